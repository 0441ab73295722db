// SPDX-License-Identifier: MIT
#include "cli/audio/audio_file.h"
#include "cli/audio/packed_sound.h"
#include "models/units/input_error.h"

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <limits>
#include <numbers>
#include <unistd.h>

using namespace canebrake;

namespace
{
/// Three notes with gaps, each of ten odd-heavy harmonics; the peak of the first is about `peak`.
std::vector<float> notes(double rate, double peak)
{
    std::vector<float> sound(std::size_t(2.0 * rate));
    for (std::size_t i = 0; i < sound.size(); ++i) {
        const double t = double(i) / rate, within = std::fmod(t, 0.6);
        const double hz = 147.0 * std::floor(t / 0.6 + 1.0);
        const double shape = std::clamp(std::min((within - 0.1) / 0.01, (0.5 - within) / 0.02), 0.0, 1.0);
        double sum = 0.0;
        for (int h = 1; h <= 10 && h * hz < rate / 2; ++h)
            sum += (h % 2 ? 0.5 : 0.1) / h * std::sin(2.0 * std::numbers::pi * h * hz * t);
        sound[i] = float(peak / 0.5 * shape * sum);
    }
    return sound;
}

/// libsndfile reads what was packed, through a file.
Audio unpacked(const PackedSound& packed)
{
    const auto path = std::filesystem::temp_directory_path() /
                      ("canebrake-packed-" + std::to_string(::getpid()) + ".sound");
    std::ofstream(path, std::ios::binary) << packed.bytes;
    const Audio audio = read_audio(path);
    std::filesystem::remove(path);
    return audio;
}

double rms_db(std::span<const float> sound)
{
    double sum = 0.0;
    for (const float x : sound)
        sum += double(x) * double(x);
    return 10.0 * std::log10(sum / double(sound.size()) + 1e-30);
}

/// The shift by which `later` fits `sound` best, in samples.
int lag(std::span<const float> sound, std::span<const float> later)
{
    const int reach = 3000;
    double best = -1.0;
    int at = 0;
    for (int shift = -reach; shift <= reach; ++shift) {
        double sum = 0.0;
        for (int i = reach; i + reach < int(std::min(sound.size(), later.size())); i += 3)
            sum += double(sound[std::size_t(i)]) * double(later[std::size_t(i + shift)]);
        if (sum > best) {
            best = sum;
            at = shift;
        }
    }
    return at;
}
} // namespace

TEST_CASE("packed sound keeps its length, its level and its time", "[packed]")
{
    for (const double rate : {22050.0, 32000.0, 44100.0, 48000.0, 88200.0, 96000.0})
        for (const double peak : {0.5, 0.01}) {
            INFO(rate << " " << peak);
            const auto sound = notes(rate, peak);
            const PackedSound packed = packed_sound(sound, {rate});
            CHECK(packed.media_type == (rate > 48000 ? "audio/flac" : "audio/mpeg"));
            const Audio audio = unpacked(packed);
            CHECK(audio.rate.value == rate);
            REQUIRE(audio.samples.size() == sound.size());
            CHECK(lag(sound, audio.samples) == 0);
            for (const double from_s : {0.15, 0.75, 1.35}) {
                const auto first = std::size_t(from_s * rate), length = std::size_t(0.3 * rate);
                CHECK(rms_db(std::span(audio.samples).subspan(first, length)) ==
                      Approx(rms_db(std::span(sound).subspan(first, length))).margin(0.5));
            }
        }
}

TEST_CASE("the same samples pack to the same bytes", "[packed]")
{
    for (const double rate : {44100.0, 96000.0}) {
        const auto sound = notes(rate, 0.3);
        CHECK(packed_sound(sound, {rate}).bytes == packed_sound(sound, {rate}).bytes);
    }
}

TEST_CASE("samples over full scale are clipped and what is no number is silent", "[packed]")
{
    for (const double rate : {44100.0, 96000.0}) {
        INFO(rate);
        auto sound = notes(rate, 0.3);
        auto loud = sound;
        const auto first = std::size_t(0.2 * rate), length = std::size_t(0.1 * rate);
        for (std::size_t i = first; i < first + length; ++i)
            loud[i] *= 10.0F;
        auto clipped = loud;
        for (float& x : clipped)
            x = std::clamp(x, -1.0F, 1.0F);
        CHECK(packed_sound(loud, {rate}).bytes == packed_sound(clipped, {rate}).bytes);
        // nothing else is turned down for it
        const auto later = std::size_t(0.75 * rate);
        const Audio audio = unpacked(packed_sound(loud, {rate}));
        CHECK(rms_db(std::span(audio.samples).subspan(later, length)) ==
              Approx(rms_db(std::span(sound).subspan(later, length))).margin(0.5));
        auto holed = sound, mended = sound;
        holed[first] = std::numeric_limits<float>::quiet_NaN();
        mended[first] = 0.0F;
        CHECK(packed_sound(holed, {rate}).bytes == packed_sound(mended, {rate}).bytes);
        sound[first] = std::numeric_limits<float>::infinity();
        CHECK_NOTHROW(packed_sound(sound, {rate}));
    }
}

TEST_CASE("no samples cannot be packed", "[packed]")
{
    CHECK_THROWS_AS(packed_sound({}, {44100.0}), InputError);
}

TEST_CASE("a minute of clarinet-like tones packs to under a megabyte", "[packed]")
{
    std::vector<float> minute;
    while (minute.size() < 60 * 44100) {
        const auto more = notes(44100.0, 0.3);
        minute.insert(minute.end(), more.begin(), more.end());
    }
    CHECK(packed_sound(minute, {44100.0}).bytes.size() < 1'000'000);
}
