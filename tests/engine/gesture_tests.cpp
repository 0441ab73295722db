// SPDX-License-Identifier: MIT
// Trills, slides, flutter, breath and tongue, measured on the sound.
#include "engine/files/phrase/read_phrase.h"
#include "engine/part/choose_part.h"
#include "engine/plan/pace.h"
#include "tests/engine/rendered.h"

#include <catch2/catch.hpp>

#include <cmath>

using namespace canebrake;

namespace
{

struct Played {
    std::vector<float> audio;
    std::vector<PlannedNote> notes;

    std::span<const float> between(double from_s, double to_s) const
    {
        const auto at = [&](double s) {
            return std::min(audio.size(), std::size_t(std::max(0.0, s) * output_rate));
        };
        return std::span(audio).subspan(at(from_s), at(to_s) - at(from_s));
    }
};

Played played(const std::string& phrase, Player player = Player::studio, Kit kit = {})
{
    kit.level = player;
    TrillBook book(b_flat_soprano(), kit);
    Line line = choose_part(read_phrase(phrase), "");
    set_pitch_basis(line, PitchBasis::written, -2);
    place_grace_notes(line);
    write_out_ornaments(line, pace_of(book, kit));
    RenderSettings settings;
    settings.player = player;
    settings.kit = kit;
    Rendering rendering(book, line, settings);
    Played result;
    result.audio.resize(rendering.total_samples());
    rendering.process(result.audio);
    result.notes = rendering.notes();
    return result;
}

/// Pitch against a written note, in cents, over a stretch; NaN where there is none.
double cents_at(const Played& p, int written, double from_s, double to_s)
{
    const double target = frequency({written - 2.0}, {440.0}).value;
    const double hz = settled_frequency(p.between(from_s, to_s), {output_rate}, target);
    return hz > 0.0 ? cents_between({hz}, {target}).value : std::nan("");
}

double level_db(std::span<const float> audio)
{
    double sum = 0.0;
    for (const float x : audio)
        sum += double(x) * double(x);
    return 10.0 * std::log10(sum / double(std::max<std::size_t>(1, audio.size())) + 1e-20);
}

std::size_t strokes(const Played& p)
{
    return std::size_t(
        std::count_if(p.notes.begin(), p.notes.end(), [](const PlannedNote& n) { return n.tongued; }));
}

} // namespace

TEST_CASE("both notes of a trill are heard, at the interval its fingering gives", "[gesture][trill]")
{
    Kit kit;
    TrillBook book(b_flat_soprano(), kit);
    for (const auto& [name, semitones] : {std::pair{"E4", 1}, std::pair{"C4", 2}, std::pair{"A4", 2},
                                          std::pair{"D5", 2}, std::pair{"A5", 1}, std::pair{"A#4", 2}}) {
        const auto p = played(std::string("tempo 60 mf 1/2 trill ") + (semitones == 1 ? "half " : "") + name);
        const int low = *pitch_number(name);
        CAPTURE(name, semitones);
        REQUIRE(p.notes.size() >= 9);
        double lower = 0.0, upper = 0.0;
        int heard = 0;
        for (std::size_t i = 3; i + 3 < p.notes.size(); i += 2) { // pairs in the middle of the trill
            const auto middle = [&](const PlannedNote& n) {
                const double length = n.end_s - n.start_s;
                return cents_at(p, low, n.start_s + 0.35 * length, n.start_s + 0.95 * length);
            };
            const auto middle_high = [&, by = semitones](const PlannedNote& n) {
                const double length = n.end_s - n.start_s;
                return cents_at(p, low + by, n.start_s + 0.35 * length, n.start_s + 0.95 * length);
            };
            const auto& high_note = p.notes[i].written.number > low ? p.notes[i] : p.notes[i + 1];
            const auto& low_note = p.notes[i].written.number > low ? p.notes[i + 1] : p.notes[i];
            const double a = middle(low_note), b = middle_high(high_note);
            if (std::isnan(a) || std::isnan(b))
                continue; // 30 ms are sometimes too short for the meter
            lower += a;
            upper += b;
            ++heard;
        }
        REQUIRE(heard >= 2);
        lower /= heard;
        upper /= heard;
        const double promised = book.ways({low}, semitones).front().error_cents;
        CAPTURE(lower, upper, promised);
        CHECK(std::abs(lower) < 25.0);
        CHECK(std::abs(upper - lower - promised) < 25.0); // what the model promised is what sounds
    }
}

TEST_CASE("a trill goes as fast as its fingers", "[gesture][trill]")
{
    // 10–14 notes a second with one finger, 8–10 with two or a little finger (from memory, and common
    // practice).
    const auto rate = [](const std::string& phrase, Player player) {
        const auto p = played(phrase, player);
        return double(p.notes.size()) / 3.0;
    };
    const double finger = rate("tempo 40 mf 1/2 trill C4", Player::studio),
                 little = rate("tempo 40 mf 1/2 trill F3", Player::studio),
                 learner = rate("tempo 40 mf 1/2 trill C4", Player::learner);
    CAPTURE(finger, little, learner);
    CHECK(finger >= 10.0);
    CHECK(finger <= 14.0);
    CHECK(little >= 8.0);
    CHECK(little <= 10.0);
    CHECK(learner < 0.85 * finger);
}

TEST_CASE("a slide is continuous in the clarion and breaks into steps in the chalumeau", "[gesture][slide]")
{
    // Common practice, no source; upwards reliable from the clarion up: Chen, Smith & Wolfe, JASA 126 (2009)
    // 1511, abstract.
    const auto off_straight = [](const std::string& phrase) { // RMS distance from an even glide, cents
        const auto p = played(phrase);
        const auto frames = track(p.between(p.notes[1].start_s, p.notes.back().start_s), {output_rate},
                                  {100.0, 2000.0, 0.004, 0.030});
        std::vector<double> cents;
        for (const auto& frame : frames)
            if (frame.frequency_hz > 0.0)
                cents.push_back(cents_between({frame.frequency_hz}, {p.notes[0].target_hz}).value);
        REQUIRE(cents.size() > 60);
        // Least squares: cents = a + b i.
        const double n = double(cents.size());
        double sum = 0.0, moment = 0.0, squares = 0.0;
        for (std::size_t i = 0; i < cents.size(); ++i) {
            const double x = double(i) - 0.5 * (n - 1.0);
            sum += cents[i];
            moment += x * cents[i];
            squares += x * x;
        }
        double off = 0.0;
        for (std::size_t i = 0; i < cents.size(); ++i)
            off += std::pow(cents[i] - sum / n - (double(i) - 0.5 * (n - 1.0)) * moment / squares, 2);
        return std::sqrt(off / n);
    };
    const double clarion = off_straight("tempo 60 mf 1/2 slide G5 C6"),
                 chalumeau = off_straight("tempo 60 mf 1/2 slide C4 F4"),
                 across = off_straight("tempo 60 mf 1/2 slide G4 C5");
    CAPTURE(clarion, chalumeau, across);
    CHECK(clarion < 15.0);
    CHECK(chalumeau > 1.5 * clarion); // the fingers are heard
    CHECK(across > 1.5 * clarion);    // never over a register change
}

TEST_CASE("flutter rattles at twenty to thirty a second", "[gesture]")
{
    const auto p = played("tempo 60 f 1/2 flutter C4"), plain = played("tempo 60 f 1/2 C4");
    const auto swings = [](const Played& x) { // level, 5 ms steps, from 0.4 s to 1.6 s
        std::vector<double> level;
        for (double t = 0.4; t < 1.6; t += 0.005)
            level.push_back(level_db(x.between(t, t + 0.010)));
        double mean = 0.0;
        for (const double l : level)
            mean += l / double(level.size());
        int crossings = 0;
        double size = 0.0;
        for (std::size_t i = 1; i < level.size(); ++i) {
            crossings += level[i - 1] < mean && level[i] >= mean;
            size = std::max(size, std::abs(level[i] - mean));
        }
        return std::pair{double(crossings) / 1.2, size};
    };
    const auto [rate, depth] = swings(p);
    const double still = swings(plain).second;
    CAPTURE(rate, depth, still);
    CHECK(rate >= 20.0);
    CHECK(rate <= 30.0);
    CHECK(depth > still + 1.5);
    CHECK(std::abs(cents_at(p, 60, 0.5, 1.5)) < 30.0);
}

TEST_CASE("a tongue that cannot keep up loses strokes, and double tonguing brings them back",
          "[gesture][tongue]")
{
    // Common practice, no source: single tongue of a good player up to about 11 a second in a burst.
    std::string sixteenths = "tempo 200 mf 1/16"; // 13.3 a second
    for (int i = 0; i < 16; ++i)
        sixteenths += " G4";
    std::string moderate = "tempo 120 mf 1/16"; // 8 a second
    for (int i = 0; i < 16; ++i)
        moderate += " G4";
    Kit twice;
    twice.double_tongue = true;
    CHECK(strokes(played(moderate)) == 16);
    CHECK(strokes(played(sixteenths)) < 15);
    CHECK(strokes(played(sixteenths, Player::ideal)) == 16);
    CHECK(strokes(played(sixteenths, Player::studio, twice)) == 16);
    CHECK(strokes(played(moderate, Player::learner)) <= 16);
    CHECK(strokes(played(sixteenths, Player::learner)) < strokes(played(sixteenths)));
}

TEST_CASE("the player breathes: the note before gives its end", "[gesture][breath]")
{
    std::string line = "tempo 60 mf 1/4"; // 40 s without a rest
    for (int i = 0; i < 20; ++i)
        line += " C4_D4";
    const auto studio = played(line), ideal = played(line, Player::ideal);
    const auto breaths = [](const Played& p) {
        std::size_t count = 0;
        for (std::size_t i = 0; i + 1 < p.notes.size(); ++i)
            count += p.notes[i].breath_s > 0.0;
        return count;
    };
    CHECK(breaths(studio) >= 1);
    CHECK(breaths(ideal) == 0);
    for (std::size_t i = 0; i + 1 < studio.notes.size(); ++i)
        if (studio.notes[i].breath_s > 0.0) {
            CAPTURE(i);
            const double next = studio.notes[i + 1].start_s;
            CHECK(next - studio.notes[i].end_s >= 0.25);
            CHECK(level_db(studio.between(next - 0.12, next - 0.02)) <
                  level_db(studio.between(studio.notes[i].start_s + 0.1, studio.notes[i].start_s + 0.4)) -
                      20.0);
        }
}

TEST_CASE("a fingering typed for a note is the one that sounds", "[gesture]")
{
    const auto fork = played("tempo 60 mf 1/2 by T+L1+R1 D#4"), side = played("tempo 60 mf 1/2 by side D#4");
    CHECK(fork.notes[0].fingering == "T L1 R1");
    CHECK(side.notes[0].fingering == "T L1 L2 S1");
    const auto harmonic = [](const Played& p) {
        return harmonics(p.between(0.6, 1.2), {output_rate}, p.notes[0].target_hz).level_db;
    };
    const auto a = harmonic(fork), b = harmonic(side);
    double difference = 0.0;
    for (std::size_t h = 1; h < std::min(a.size(), b.size()) && h < 8; ++h)
        difference = std::max(difference, std::abs((a[h] - a[0]) - (b[h] - b[0])));
    CHECK(difference > 2.0); // another colour
}
