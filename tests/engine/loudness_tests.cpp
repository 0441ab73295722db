// SPDX-License-Identifier: MIT
// Loudness against ITU-R BS.1770 as printed, and against libebur128 1.2.6 (J. Kokemüller and others,
// https://github.com/jiixyj/libebur128) as Debian 12 has it.
#include "engine/listening/k_weighting.h"
#include "tests/engine/heard_notes.h"
#include "tests/engine/known_sines.h"

#include <catch2/catch.hpp>
#include <ebur128.h>

#include <complex>

using namespace canebrake;

namespace
{
constexpr SampleRate rate{output_rate};

/// The loudness libebur128 tells of all of it, without a gate.
double ebur128_lkfs(std::span<const float> audio, SampleRate at)
{
    ebur128_state* state = ebur128_init(1, (unsigned long)at.value, EBUR128_MODE_M);
    REQUIRE(state);
    const auto length_ms = (unsigned long)std::lround(1000.0 * double(audio.size()) / at.value);
    double lkfs = 0.0;
    REQUIRE(ebur128_set_max_window(state, std::max(400UL, length_ms)) != EBUR128_ERROR_NOMEM);
    REQUIRE(ebur128_add_frames_float(state, audio.data(), audio.size()) == EBUR128_SUCCESS);
    REQUIRE(ebur128_loudness_window(state, length_ms, &lkfs) == EBUR128_SUCCESS);
    ebur128_destroy(&state);
    return lkfs;
}

/// Power gain of the K-weighting at 48 kHz, of the coefficients as printed: ITU-R BS.1770, Annex 1, tables 1
/// and 2 (from memory; libebur128 below has them from its own design).
constexpr double shelf_b[] = {1.53512485958697, -2.69169618940638, 1.19839281085285};
constexpr double shelf_a[] = {1.0, -1.69065929318241, 0.73248077421585};
constexpr double high_pass_b[] = {1.0, -2.0, 1.0};
constexpr double high_pass_a[] = {1.0, -1.99004745483398, 0.99007225036621};
double printed_gain(double hz)
{
    const auto at = [&](const double(&c)[3]) {
        const auto z = std::polar(1.0, -2.0 * std::numbers::pi * hz / 48000.0);
        return std::norm(c[0] + z * (c[1] + z * c[2]));
    };
    return at(shelf_b) / at(shelf_a) * at(high_pass_b) / at(high_pass_a);
}

} // namespace

TEST_CASE("loudness weighs each sine as the printed filters do", "[loudness][outside]")
{
    const auto [shelf, high_pass] = listening::k_weighting({48000.0});
    CHECK(shelf.b0 == Approx(shelf_b[0]).margin(1e-12));
    CHECK(shelf.b1 == Approx(shelf_b[1]).margin(1e-12));
    CHECK(shelf.b2 == Approx(shelf_b[2]).margin(1e-12));
    CHECK(shelf.a1 == Approx(shelf_a[1]).margin(1e-12));
    CHECK(shelf.a2 == Approx(shelf_a[2]).margin(1e-12));
    CHECK(high_pass.b0 == Approx(1.0).margin(1e-12));
    CHECK(high_pass.b1 == Approx(-2.0).margin(1e-12));
    CHECK(high_pass.b2 == Approx(1.0).margin(1e-12));
    CHECK(high_pass.a1 == Approx(high_pass_a[1]).margin(1e-12));
    CHECK(high_pass.a2 == Approx(high_pass_a[2]).margin(1e-12));

    for (const double f : {69.3, 146.8, 440.0, 1864.7})
        for (const double hz : {44100.0, 48000.0, 96000.0}) {
            const auto& shape = shape_at(f);
            double power = 0.0;
            for (std::size_t k = 1; k <= shape.size(); ++k)
                power += 0.5 * std::pow(from_db(shape[k - 1] - 20.0), 2.0) * printed_gain(double(k) * f);
            const auto audio = tone(1.0, still(f), shape, still(1.0), -90.0, 1, {hz});
            INFO(f << " Hz at a rate of " << hz);
            // The same at every rate to 0.05 dB; the bilinear transform bends the shelf a little.
            const double allowed = hz == 48000.0 ? 0.01 : 0.05;
            CHECK(loudness_lkfs(audio, {hz}) == Approx(-0.691 + 10.0 * std::log10(power)).margin(allowed));
            CHECK(tone_of(audio, {hz}, f).loudness_lkfs == loudness_lkfs(audio, {hz}));
        }
}

TEST_CASE("a full-scale sine of 997 Hz has -3.01 LKFS at every rate", "[loudness][outside]")
{
    // ITU-R BS.1770, Annex 1: "If a 0 dB FS, 997 Hz sine wave is applied ... the indicated loudness will
    // equal -3.01 LKFS" (from memory). To 0.01 LU, as it is printed.
    for (const double hz : {44100.0, 48000.0, 96000.0}) {
        Audio sine(std::size_t(2.0 * hz));
        for (std::size_t n = 0; n < sine.size(); ++n)
            sine[n] = float(std::sin(2.0 * std::numbers::pi * 997.0 * double(n) / hz));
        INFO("rate " << hz << ": libebur128 " << ebur128_lkfs(sine, {hz}));
        CHECK(loudness_lkfs(sine, {hz}) == Approx(-3.01).margin(0.01));
    }
}

TEST_CASE("libebur128 tells the same loudness", "[loudness][outside]")
{
    double worst = 0.0, worst_elsewhere = 0.0;
    const auto both = [](std::span<const float> audio, SampleRate at) {
        return loudness_lkfs(audio, at) - ebur128_lkfs(audio, at);
    };
    for (const auto& h : rendered_notes()) {
        const auto whole_ms = h.settled.first(h.settled.size() / 48 * 48);
        INFO(h.name << ": ours " << h.ours.tone.loudness_lkfs);
        CHECK(h.ours.tone.loudness_lkfs == Approx(ebur128_lkfs(whole_ms, rate)).margin(0.02));
        worst = std::max(worst, std::abs(both(whole_ms, rate)));
    }
    for (const double hz : {44100.0, 48000.0, 96000.0}) {
        std::vector<Audio> sounds{tone(1.0, still(440.0), {0.0}, still(0.0), 0.0, 3, {hz})}; // noise alone
        for (const double f : {41.2, 146.8, 440.0, 1864.7})
            sounds.push_back(tone(1.0, still(f), shape_at(f), still(1.0), -50.0, 1, {hz}));
        for (const auto& sound : sounds) {
            const double off = std::abs(both(sound, {hz}));
            (hz == 48000.0 ? worst : worst_elsewhere) =
                std::max(hz == 48000.0 ? worst : worst_elsewhere, off);
        }
    }
    WARN("worst: 48 kHz " << worst << " dB, 44.1 and 96 kHz " << worst_elsewhere << " dB");
    CHECK(worst < 0.001);
    // libebur128 leaves the high-pass at the printed 1, -2, 1 at every rate: 0.02 dB less at 96 kHz.
    CHECK(worst_elsewhere < 0.03);
}
