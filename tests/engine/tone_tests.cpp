// SPDX-License-Identifier: MIT
// Tone against what is published of real clarinets. Patterns and not values: an instrument, a player and a
// room make ten decibels of difference in single harmonics.
#include "engine/listening/balance.h"
#include "models/instruments/mechanism.h"
#include "tests/engine/known.h"
#include "tests/engine/rendered.h"

#include <catch2/catch.hpp>

#include <algorithm>
#include <cstdio>
#include <vector>

using namespace canebrake;

namespace
{

const KnownShortfalls known_odd_even{};

Harmonics tone(int written, const char* dynamic)
{
    const auto note = one_note(written, dynamic);
    REQUIRE(boehm_holes(b_flat_soprano().primary({written})->keys) ==
            boehm_holes(note.notes[0].fingering)); // a little finger's hand cannot be heard
    const auto result = harmonics(note.between(0.4, 0.8), {output_rate}, note.notes[0].target_hz);
    REQUIRE(result.level_db.size() >= 5);
    return result;
}

/// "E3 21.4, F3 …"
class Figures
{
public:
    void add(int written, double value)
    {
        char piece[32];
        std::snprintf(piece, sizeof piece, " %s %.1f", pitch_name(written).c_str(), value);
        text_ += piece;
    }
    const std::string& text() const { return text_; }

private:
    std::string text_;
};

} // namespace

TEST_CASE("the chalumeau's second harmonic is weak", "[tone][outside]")
{
    // SHARC (G. Sandell, Sandell Harmonic Archive), B-flat clarinet: in the chalumeau H2 lies between 24 and
    // 44 dB under H1, and H3 6 dB under it in the median.
    Figures figures;
    for (int n = 52; n <= 65; ++n) {
        const auto h = tone(n, "mf").level_db;
        const double under = 0.5 * (h[0] + h[2]) - h[1];
        figures.add(n, under);
        hold(pitch_name(n), under, 14.0 - under);
    }
    WARN("measured, dB under the mean of first and third:" << figures.text());
}

TEST_CASE("in the clarion odd and even harmonics draw level", "[tone][outside]")
{
    // SHARC, B-flat clarinet: odd (1, 3, 5) over even (2, 4) is 10 dB in the clarion's median, 29 in the
    // chalumeau's.
    Figures figures;
    for (int n = 71; n <= 84; ++n) {
        const auto h = tone(n, "mf").level_db;
        const double gap = listening::odd_over_even(h).value();
        figures.add(n, gap);
        hold(pitch_name(n), gap, gap - 15.0, known_odd_even);
    }
    WARN("measured, dB of odd over even:" << figures.text());
}

TEST_CASE("beside the first, the third harmonic is strongest in the throat", "[tone][outside]")
{
    // SHARC, B-flat clarinet, medians of the third harmonic over the first: −6 dB in the chalumeau, +9 from
    // G4 to B-flat4, −10 in the clarion. Our throat's is level with the first and not above it (figures.md).
    Figures figures;
    const auto third_over_first = [&](int from, int to) {
        std::vector<double> all;
        for (int n = from; n <= to; ++n) {
            const auto h = tone(n, "mf").level_db;
            all.push_back(h[2] - h[0]);
            figures.add(n, all.back());
        }
        return all;
    };
    const auto median = [](std::vector<double> all) {
        std::sort(all.begin(), all.end());
        return 0.5 * (all[(all.size() - 1) / 2] + all[all.size() / 2]);
    };
    const double chalumeau = median(third_over_first(52, 66)), clarion = median(third_over_first(71, 84));
    const auto throat = third_over_first(67, 70);
    WARN("measured, dB of third over first:" << figures.text());
    CHECK(median(throat) > chalumeau);
    CHECK(median(throat) > clarion + 5.0);
    for (int n = 67; n <= 69; ++n)
        hold(pitch_name(n), throat[std::size_t(n - 67)], chalumeau - throat[std::size_t(n - 67)]);
}

TEST_CASE("the centre of a forte's spectrum lies where a clarinet's does", "[tone][outside]")
{
    // SHARC, B-flat clarinet: centroids from 825 Hz (E3) to 2166 Hz (G-sharp4), over harmonics up to 10 kHz.
    Figures figures;
    for (int n = 52; n <= 84; n += 2) {
        const double hz = tone(n, "f").centroid_hz;
        figures.add(n, hz);
        hold(pitch_name(n), hz, std::max(800.0 - hz, hz - 2300.0));
    }
    WARN("measured, Hz:" << figures.text());
}

TEST_CASE("a chalumeau note grows brighter as it grows louder", "[tone][outside]")
{
    // A centroid one and a half to two and a half times as high from pp to ff (from memory; cf. J. Meyer,
    // Acoustics and the Performance of Music).
    Figures figures;
    for (int n = 52; n <= 65; ++n) {
        const double growth = tone(n, "ff").centroid_hz / tone(n, "pp").centroid_hz;
        figures.add(n, growth);
        hold(pitch_name(n), growth, 1.5 - growth);
    }
    WARN("measured, times:" << figures.text());
}

TEST_CASE("pianissimo and fortissimo lie far apart, farthest in the low register", "[tone][outside]")
{
    // J. Meyer, Acoustics and the Performance of Music (from memory): about 30 dB usable in scales, up to 50
    // on single notes, the range narrowing upwards.
    Figures figures;
    for (int n = 52; n <= 84; ++n) {
        const double span = one_note(n, "ff").measure(0).level_db - one_note(n, "pp").measure(0).level_db;
        figures.add(n, span);
        hold(pitch_name(n), span, (n <= 69 ? 22.0 : n >= 71 && n <= 76 ? 16.0 : 10.0) - span);
    }
    WARN("measured, dB from pp to ff:" << figures.text());
}
