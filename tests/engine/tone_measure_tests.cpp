// SPDX-License-Identifier: MIT
// The tone of a note, heard in sums of known sines: every expected figure follows from how the sound was
// made.
#include "engine/listening/tone.h"
#include "tests/engine/known_sines.h"

#include <catch2/catch.hpp>

#include <algorithm>
#include <limits>

using namespace canebrake;

namespace
{
constexpr SampleRate rate{48000.0};
const Curve level = still(1.0);
constexpr double clean = -90.0; // noise under the sines, dB

/// `count` harmonics falling by `slope_db` each; the even ones `even_db` over that line.
std::vector<double> sloping(int count, double slope_db, const std::function<double(int harmonic)>& even_db)
{
    std::vector<double> shape;
    for (int k = 1; k <= count; ++k)
        shape.push_back(-slope_db * (k - 1) + (k % 2 == 0 ? even_db(k) : 0.0));
    return shape;
}
std::vector<double> flat_to(double top_hz, double f)
{
    return std::vector<double>(std::size_t(top_hz / f), 0.0);
}
/// Odd harmonics 3 dB less each, even ones 25 dB under, up to 10 kHz.
std::vector<double> odd_to_10_khz(double f)
{
    return sloping(int(10000.0 / f), 1.5, [](int) { return -25.0; });
}

void says_nothing_was_there(const Tone& tone)
{
    CHECK(tone.fundamental_hz == 0.0);
    for (const auto& harmonic : tone.harmonic_db)
        CHECK_FALSE(harmonic.has_value());
    CHECK_FALSE(tone.odd_over_even_db.has_value());
    for (const auto& band : tone.even_over_neighbours_db)
        CHECK_FALSE(band.has_value());
    CHECK(tone.fundamental_share_db == 0.0);
    CHECK(tone.centroid_hz == 0.0);
    CHECK(tone.noise_db == 0.0);
    CHECK(tone.loudness_lkfs == -120.0);
}
} // namespace

TEST_CASE("each harmonic has the level it was made with, and none is told over half the rate",
          "[tone-measure][limits]")
{
    double worst = 0.0;
    for (const double f : {69.3, 146.8, 233.1, 349.2, 622.3, 1046.5, 1864.7})
        for (const auto& shape : {shape_at(f), flat_to(10000.0, f), odd_to_10_khz(f)}) {
            const auto heard = tone_of(tone(0.5, still(f), shape, level, clean), rate, f * 1.01);
            CHECK(cents(heard.fundamental_hz, f) == Approx(0.0).margin(0.05));
            for (std::size_t k = 1; k <= tone_harmonics; ++k) {
                INFO(f << " Hz, harmonic " << k);
                REQUIRE(heard.harmonic_db[k - 1].has_value() == (double(k) * f < 24000.0));
                if (k <= shape.size()) {
                    const double off = *heard.harmonic_db[k - 1] - (shape[k - 1] - 20.0);
                    CHECK(std::abs(off) < 0.1);
                    worst = std::max(worst, std::abs(off));
                } else if (double(k) * f < 24000.0) {
                    CHECK(*heard.harmonic_db[k - 1] < -90.0); // nothing was there
                }
            }
        }
    WARN("worst: " << worst << " dB");
}

TEST_CASE("even harmonics are set against odd ones, and against their neighbours band by band",
          "[tone-measure][limits]")
{
    const auto by_band = [](double f) {
        return [f](int k) { return k * f < 1200.0 ? -20.0 : k * f < 2000.0 ? -10.0 : -5.0; };
    };
    SECTION("each band has its own figure, whatever the slope")
    {
        for (const double f : {69.3, 147.0, 205.0})
            for (const double slope : {0.0, 0.7}) {
                const auto shape = sloping(int(6000.0 / f), slope, by_band(f));
                const auto heard = tone_of(tone(0.5, still(f), shape, level, clean), rate, f);
                INFO(f << " Hz, " << slope << " dB a harmonic");
                CHECK(heard.odd_over_even_db.value() == Approx(20.0).margin(0.1));
                CHECK(heard.even_over_neighbours_db[0].value() == Approx(-20.0).margin(0.1));
                CHECK(heard.even_over_neighbours_db[1].value() == Approx(-10.0).margin(0.1));
                CHECK(heard.even_over_neighbours_db[2].value() == Approx(-5.0).margin(0.1));
            }
    }
    SECTION("a band's figure is the mean of its own even harmonics")
    {
        const auto heard =
            tone_of(tone(0.5, still(130.0), sloping(40, 0.0, [](int k) { return -0.5 * k; }), level, clean),
                    rate, 130.0);
        CHECK(heard.even_over_neighbours_db[0].value() == Approx(-2.5).margin(0.05));  // H2 … H8
        CHECK(heard.even_over_neighbours_db[1].value() == Approx(-6.0).margin(0.05));  // H10, H12, H14
        CHECK(heard.even_over_neighbours_db[2].value() == Approx(-11.5).margin(0.05)); // H16 … H30
    }
    SECTION("odd over even is of the first five only")
    {
        const auto heard = tone_of(tone(0.5, still(220.0), {-6, -30, 0, -20, -3, 9, 12}, level), rate, 220.0);
        CHECK(heard.odd_over_even_db.value() == Approx(-3.0 + 25.0).margin(0.1));
    }
    SECTION("a band without an even harmonic says nothing")
    {
        const auto shape = sloping(8, 0.0, [](int) { return 7.0; });
        const auto heard = tone_of(tone(0.5, still(1300.0), shape, level, clean), rate, 1300.0);
        CHECK_FALSE(heard.even_over_neighbours_db[0].has_value());
        CHECK_FALSE(heard.even_over_neighbours_db[1].has_value());
        CHECK(heard.even_over_neighbours_db[2].value() == Approx(7.0).margin(0.1)); // 2600 Hz alone
        CHECK(heard.odd_over_even_db.value() == Approx(-7.0).margin(0.1));
    }
    SECTION("a neighbour over half the rate is not made up")
    {
        const SampleRate slow{8000.0};
        const auto three = tone_of(tone(0.5, still(1050.0), {0, -8, 0}, level, clean, 1, slow), slow, 1050.0);
        CHECK(three.harmonic_db[2].value() == Approx(-20.0).margin(0.1)); // 3150 Hz
        CHECK_FALSE(three.harmonic_db[3].has_value());
        CHECK_FALSE(three.odd_over_even_db.has_value());
        CHECK(three.even_over_neighbours_db[2].value() == Approx(-8.0).margin(0.1));
        const auto two = tone_of(tone(0.5, still(1700.0), {0, -8}, level, clean, 1, slow), slow, 1700.0);
        CHECK(two.harmonic_db[1].value() == Approx(-28.0).margin(0.1)); // 3400 Hz, its neighbour at 5100
        CHECK_FALSE(two.even_over_neighbours_db[2].has_value());
    }
}

TEST_CASE("the fundamental's share and the centroid are those of the sines", "[tone-measure][limits]")
{
    for (const double f : {69.3, 146.8, 440.0, 1244.5}) {
        const auto shape = flat_to(10000.0, f);
        const double count = double(shape.size());
        const auto heard = tone_of(tone(0.5, still(f), shape, level, clean), rate, f);
        INFO(f << " Hz, " << count << " equal harmonics");
        CHECK(heard.fundamental_share_db == Approx(-10.0 * std::log10(count)).margin(0.05));
        CHECK(heard.centroid_hz == Approx(0.5 * (count + 1.0) * f).epsilon(0.005));
    }
    // A third harmonic 6.02 dB up has four times the energy and twice the weight of the first.
    const auto heard = tone_of(tone(0.5, still(330.0), {0, -200, 6.0206}, level, clean), rate, 330.0);
    CHECK(heard.fundamental_share_db == Approx(-10.0 * std::log10(5.0)).margin(0.05));
    CHECK(heard.centroid_hz == Approx((330.0 + 2.0 * 990.0) / 3.0).epsilon(0.005));
    // What stands over 10 kHz shifts no centroid: five of eight harmonics lie under it.
    const auto high = tone_of(tone(0.5, still(1864.7), flat_to(16000.0, 1864.7), level, clean), rate, 1864.7);
    CHECK(high.centroid_hz == Approx(3.0 * 1864.7).epsilon(0.005));
}

TEST_CASE("noise under a tone is told to 1 dB", "[tone-measure][limits]")
{
    for (const double f : {69.3, 146.8, 440.0, 1864.7})
        for (const double duration_s : {0.2, 1.0}) // in 0.2 s the lines of 69 Hz hide two thirds of it
            for (const double under : {-60.0, -40.0, -20.0}) {
                const auto audio = tone(duration_s, still(f), shape_at(f), level, under);
                INFO(f << " Hz, " << duration_s << " s, white noise at " << under << " dB");
                CHECK(tone_of(audio, rate, f).noise_db ==
                      Approx(under + 10.0 * std::log10(16.0 / 24.0)).margin(1.0));
            }
}

TEST_CASE("from D3 to B-flat 6 pitch is told to half a cent and levels to 0.2 dB under noise at -50 dB",
          "[tone-measure][limits]")
{
    double worst_cents = 0.0, worst_level = 0.0, worst_harmonic = 0.0;
    unsigned seed = 40;
    for (int key = 50; key <= 94; ++key) {
        const double even_tempered = 440.0 * std::exp2((key - 69) / 12.0);
        for (const double off : {-31.0, 0.0, 17.0}) {
            const double f = even_tempered * std::exp2(off / 1200.0);
            for (const auto& shape : {shape_at(f), odd_to_10_khz(f), flat_to(10000.0, f)}) {
                const auto heard =
                    measure_tone(tone(0.3, still(f), shape, level, -50.0, ++seed), rate, even_tempered);
                INFO(f << " Hz, " << shape.size() << " harmonics");
                REQUIRE(heard.note.in_register);
                worst_cents = std::max({worst_cents, std::abs(heard.note.cents - off),
                                        std::abs(cents(heard.tone.fundamental_hz, f))});
                worst_level = std::max(worst_level, std::abs(heard.note.level_db - rms_db(shape)));
                for (std::size_t k = 0; k < std::min(tone_harmonics, shape.size()); ++k)
                    if (shape[k] >= -30.0) // what the noise leaves alone
                        worst_harmonic = std::max(worst_harmonic,
                                                  std::abs(*heard.tone.harmonic_db[k] - (shape[k] - 20.0)));
            }
        }
    }
    WARN("worst: " << worst_cents << " cents, level " << worst_level << " dB, harmonics to -30 dB "
                   << worst_harmonic << " dB");
    CHECK(worst_cents < 0.5);
    CHECK(worst_level < 0.2);
    CHECK(worst_harmonic < 0.2);
}

TEST_CASE("speaking times are told to 5 ms, also after a lower undertone", "[tone-measure][limits]")
{
    const double half = from_db(-6.0);
    struct Attack {
        const char* name;
        double speaks_s;
        Curve envelope;
    };
    const std::vector<Attack> attacks{
        {"straight, 40 ms", 0.04 * half, [](double t) { return std::min(1.0, t / 0.04); }},
        {"dying away from the end, 25 ms", -0.025 * std::log(1.0 - half),
         [](double t) { return 1.0 - std::exp(-t / 0.025); }},
        {"a raised cosine, 80 ms, after 50 ms", 0.05 + 0.08 / std::numbers::pi * std::acos(1.0 - 2.0 * half),
         [](double t) {
             const double x = std::clamp((t - 0.05) / 0.08, 0.0, 1.0);
             return 0.5 - 0.5 * std::cos(std::numbers::pi * x);
         }},
        {"growing tenfold in each 30 ms", 0.09 - 0.03 * std::log10(1.0 / half),
         [](double t) { return std::min(1.0, std::pow(10.0, (t - 0.09) / 0.03)); }}};
    double worst = 0.0, worst_after = 0.0;
    for (const double f : {146.8, 196.0, 293.7, 440.0, 698.5, 932.3, 1396.9, 1864.7}) {
        for (const auto& shape : {shape_at(f), odd_to_10_khz(f), flat_to(10000.0, f)})
            for (const auto& attack : attacks) {
                const auto note = measure_tone(tone(0.6, still(f), shape, attack.envelope), rate, f).note;
                INFO(f << " Hz, " << attack.name << ": " << note.speaking_s << " s");
                CHECK(note.speaking_s == Approx(attack.speaks_s).margin(0.005));
                worst = std::max(worst, std::abs(note.speaking_s - attack.speaks_s));
            }
        // A twelfth below, as loud or softer, until the note gives way to its own pitch.
        for (const double undertone_db : {0.0, -4.0, -12.0})
            for (const double until_s : {0.04, 0.1}) {
                if (f < 400.0)
                    continue; // the chalumeau has no register below
                const auto note = measure_tone(tone(0.6, step(until_s, f / 3.0, f), shape_at(f),
                                                    step(until_s, from_db(undertone_db), 1.0)),
                                               rate, f)
                                      .note;
                INFO(f << " Hz after " << until_s << " s of undertone at " << undertone_db
                       << " dB: " << note.speaking_s << " s");
                CHECK(note.speaking_s == Approx(until_s).margin(0.005));
                CHECK(note.in_register);
                worst_after = std::max(worst_after, std::abs(note.speaking_s - until_s));
            }
    }
    WARN("worst: " << worst * 1000.0 << " ms, after an undertone " << worst_after * 1000.0 << " ms");
}

TEST_CASE("the tone is that of what sounds and of its settled part", "[tone-measure]")
{
    const auto wrong = measure_tone(tone(0.5, still(523.3), clarion), rate, 174.4);
    CHECK_FALSE(wrong.note.in_register);
    CHECK(cents(wrong.tone.fundamental_hz, 523.3) == Approx(0.0).margin(0.5));
    CHECK(wrong.tone.harmonic_db[2].value() == Approx(-30.0).margin(0.1));
    // Twice as loud in its first third, which is not settled yet.
    const auto dying = measure_tone(tone(0.6, still(294.0), chalumeau, step(0.2, 2.0, 1.0)), rate, 294.0);
    CHECK(dying.tone.harmonic_db[0].value() == Approx(-20.0).margin(0.1));
    CHECK(dying.tone.loudness_lkfs ==
          Approx(loudness_lkfs(tone(0.3, still(294.0), chalumeau), rate)).margin(0.1));
}

TEST_CASE("of silence, noise, a click and scraps it says that nothing was there", "[tone-measure]")
{
    Audio click(24000, 0.0F), offset(24000, 0.25F);
    click[15000] = 0.9F;
    const Audio noise = tone(0.5, still(440.0), {0.0}, still(0.0), 0.0, 7); // the noise alone
    for (const auto& audio : {Audio{}, Audio{0.5F}, Audio(24000, 0.0F), click, offset, noise})
        for (const double target : {0.0, 146.8, 440.0, 1864.7}) {
            INFO(audio.size() << " samples, told " << target << " Hz");
            const auto heard = measure_tone(audio, rate, target);
            CHECK(heard.note.settled_hz == 0.0);
            CHECK_FALSE(heard.note.in_register);
            CHECK(heard.note.speaking_s == double(audio.size()) / rate.value);
            CHECK(std::isfinite(heard.note.level_db));
            says_nothing_was_there(heard.tone);
            says_nothing_was_there(tone_of(audio, rate, target));
            CHECK(std::isfinite(loudness_lkfs(audio, rate)));
        }
    for (const float bad : {std::numeric_limits<float>::quiet_NaN(), std::numeric_limits<float>::infinity()})
        for (const std::size_t at : {0UL, 15000UL, 23999UL}) {
            auto audio = tone(0.5, still(440.0), clarion);
            audio[at] = bad;
            const auto heard = measure_tone(audio, rate, 440.0);
            CHECK(heard.note.settled_hz == 0.0);
            CHECK(heard.note.level_db == -120.0);
            says_nothing_was_there(heard.tone);
            says_nothing_was_there(tone_of(audio, rate, 440.0));
            CHECK(loudness_lkfs(audio, rate) == -120.0);
        }
}
