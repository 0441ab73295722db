// SPDX-License-Identifier: MIT
// The members of the family beside each other, each measured on its own sound at mf, studio player. What
// should be heard is common practice, no source, but where SHARC is named (G. Sandell's archive, public
// domain).
#include "tests/engine/family_measures.h"
#include "tests/engine/known.h"

#include <catch2/catch.hpp>

#include <map>

using namespace canebrake;

namespace
{

/// Mean over every third written note of a range.
template <class Value> double mean(const std::string& name, int low, int high, Value value)
{
    const Instrument& instrument = instrument_named(name);
    double sum = 0.0;
    int count = 0;
    for (int w = low; w <= high; w += 3) {
        sum += value(sounded(instrument, w, "mf"));
        ++count;
    }
    return sum / count;
}

double centroid(const Sounded& s)
{
    return s.tone.centroid_hz;
}

double level(const Sounded& s)
{
    return s.measure.level_db;
}

} // namespace

TEST_CASE("every member speaks in its register to the professional top at pp, mf and ff", "[family]")
{
    // Every fourth note here; canebrake_figures prints them all (report "family").
    for (const std::string& name : members_with_models()) {
        const Instrument& instrument = instrument_named(name);
        int all = 0, settled = 0;
        std::string lost;
        for (int w = instrument.lowest.number; w <= instrument.top_professional.number; w += 4)
            for (const char* dynamic : {"pp", "mf", "ff"}) {
                const bool in_register = sounded(instrument, w, dynamic).measure.in_register;
                ++all;
                settled += in_register;
                lost += in_register ? "" : " " + pitch_name(w) + dynamic;
            }
        CAPTURE(name, all, lost);
        CHECK(settled >= all - 1);
    }
}

TEST_CASE("the E-flat is the brightest soprano, the A a shade darker than the B-flat, the C between",
          "[family]")
{
    std::map<std::string, double> bright;
    for (const char* name : {"E-flat", "C", "B-flat", "A"})
        bright[name] = mean(name, 52, 84, centroid);
    CAPTURE(bright["E-flat"], bright["C"], bright["B-flat"], bright["A"]);
    CHECK(bright["E-flat"] > 1.15 * bright["B-flat"]);
    CHECK(bright["C"] > 1.02 * bright["B-flat"]);
    CHECK(bright["C"] < 0.98 * bright["E-flat"]);
    CHECK(bright["A"] < bright["B-flat"]);
    CHECK(bright["A"] > 0.90 * bright["B-flat"]); // a shade
}

TEST_CASE("the E-flat penetrates, and is full at the bottom", "[family]")
{
    // Penetrating: more of its energy where the ear is keenest, 2–4 kHz.
    const auto keen = [](const Sounded& s) { return band_db(s.tone, 2000.0, 4000.0); };
    CHECK(mean("E-flat", 52, 84, keen) > mean("B-flat", 52, 84, keen) + 1.5);
    // Full: its lowest fifth is no weaker against its own clarion than the B-flat's.
    const auto fullness = [](const char* name) {
        return mean(name, 52, 58, level) - mean(name, 72, 81, level);
    };
    CHECK(fullness("E-flat") > fullness("B-flat") - 2.0);
}

TEST_CASE("the bass is rich below and thin above its break", "[family]")
{
    // Rich: many harmonics for each hertz of fundamental; thin: few.
    const auto harmonics_in_centroid = [](const Sounded& s) {
        return s.tone.centroid_hz / s.tone.fundamental_hz;
    };
    const double low = mean("bass", 52, 64, harmonics_in_centroid),
                 high = mean("bass", 73, 82, harmonics_in_centroid);
    CAPTURE(low, high);
    CHECK(low > 4.0);
    CHECK(high < 0.6 * low);
    // And darker than the soprano everywhere, in hertz (SHARC: bass 1143 Hz, B-flat 1295 Hz in the
    // chalumeau).
    CHECK(mean("bass", 52, 64, centroid) < mean("B-flat", 52, 64, centroid));
}

TEST_CASE("on the low clarinets the clarion keeps to the chalumeau's level", "[family]")
{
    // Common practice, no source: thin, "like a weak bass clarinet", but no other instrument's loudness. It
    // hung 30 dB under the chalumeau on the contras while their reeds let in no more air than a soprano's.
    for (const char* name : {"bass", "contra-alto", "contrabass"}) {
        const double chalumeau = mean(name, 52, 64, level);
        for (int w = 71; w <= 81; w += 2) {
            const Sounded clarion = sounded(instrument_named(name), w, "mf");
            CAPTURE(name, pitch_name(w), chalumeau, clarion.measure.level_db);
            CHECK(clarion.measure.in_register);
            CHECK(std::abs(clarion.measure.level_db - chalumeau) < 12.0);
        }
    }
}

TEST_CASE("the low clarinets are as bright as recorded ones", "[family][literature]")
{
    // SHARC, medians of amplitude centroids. Its "contrabass" goes down to F#1 and so is a contra-alto's.
    struct Recorded {
        const char* name;
        int low, high;
        double centroid_hz;
    };
    for (const Recorded& r : {Recorded{"bass", 51, 66, 1143.0}, Recorded{"bass", 67, 70, 1152.0},
                              Recorded{"bass", 71, 75, 1152.0}, Recorded{"contra-alto", 51, 66, 1068.0}}) {
        const double ours = mean(r.name, r.low, r.high, centroid);
        CAPTURE(r.name, r.low, ours, r.centroid_hz);
        CHECK(std::abs(ours - r.centroid_hz) < 0.35 * r.centroid_hz);
    }
}

TEST_CASE("the chalumeau's odd harmonics stand over the even ones on every member", "[family]")
{
    // SHARC, chalumeau medians: B-flat 29 dB, E-flat 32, bass 38; its smallest single note 15.
    for (const std::string& name : members_with_models()) {
        const double gap = mean(name, 53, 62, [](const Sounded& s) { return odd_over_even(s.tone); });
        CAPTURE(name, gap);
        CHECK(gap > 12.0);
    }
}

TEST_CASE("the low-C bass's lowest notes are softer-edged, and its G3 rings less than the short model's",
          "[family]")
{
    const KnownShortfalls known{};
    const auto edge = [](const Sounded& s) { return band_db(s.tone, 1000.0, 4000.0); };
    const double lowest = mean("low-C bass", 48, 51, edge), rest = mean("low-C bass", 53, 62, edge);
    CAPTURE(lowest, rest);
    CHECK(lowest < rest);
    const Sounded long_g = sounded(instrument_named("low-C bass"), 55, "mf"),
                  short_g = sounded(instrument_named("bass"), 55, "mf");
    CAPTURE(edge(long_g), edge(short_g), long_g.tone.centroid_hz, short_g.tone.centroid_hz);
    CHECK(long_g.tone.centroid_hz < short_g.tone.centroid_hz);
}

TEST_CASE("written fingerings are the same on every member, and the sound is its own", "[family]")
{
    // Common practice, no source: a doubler changes instruments and not fingers.
    const auto& b_flat = b_flat_soprano();
    for (const std::string& name : members_with_models()) {
        const Instrument& instrument = instrument_named(name);
        CAPTURE(name);
        for (int w = 52; w <= 84; ++w) {
            if (w == 70)
                continue; // the throat B-flat: by the side key on low clarinets
            REQUIRE(instrument.primary({w}) != nullptr);
            CHECK(instrument.primary({w})->keys == b_flat.primary({w})->keys);
        }
        CHECK(instrument.geometry.holes.size() >= 24);
        if (name != "B-flat")
            CHECK(instrument.geometry.length_m() != b_flat.geometry.length_m());
    }
}
