// SPDX-License-Identifier: MIT
#include "engine/line/line.h"
#include "engine/line/passages.h"
#include "models/units/input_error.h"

#include <catch2/catch.hpp>

#include <cmath>

using namespace canebrake;

namespace
{

Note plain(double start, double length, int pitch = 72)
{
    Note note;
    note.start_quarter = start;
    note.length_quarters = length;
    note.printed = pitch;
    note.sounding = {double(pitch)};
    return note;
}
Note grace(double start, bool slashed, bool after = false)
{
    Note note = plain(start, 0.0, 74);
    note.grace = true;
    note.grace_slashed = slashed;
    note.grace_after = after;
    return note;
}
Line at_sixty(std::vector<Note> notes)
{
    Line line;
    line.tempo = {{0.0, 60.0, false}}; // a quarter is a second
    line.notes = std::move(notes);
    return line;
}
Line ornamented(double length, Ornament ornament)
{
    Line line = at_sixty({plain(0.0, length)});
    line.notes[0].ornaments = {ornament};
    line.notes[0].source.id = "n1";
    write_out_ornaments(line);
    return line;
}
std::string pitches(const Line& line)
{
    std::string text;
    for (const Note& note : line.notes) {
        text += text.empty() ? "" : " ";
        text += pitch_name(note.printed);
    }
    return text;
}
double sum_of_lengths(const Line& line)
{
    double sum = 0.0;
    for (const Note& note : line.notes)
        sum += note.length_quarters;
    return sum;
}
/// Notes follow one another without overlap, and none is empty.
void check_in_order(const Line& line)
{
    for (std::size_t i = 0; i < line.notes.size(); ++i) {
        CAPTURE(i);
        CHECK(line.notes[i].length_quarters > 0.0);
        if (i > 0)
            CHECK(line.notes[i - 1].start_quarter + line.notes[i - 1].length_quarters <=
                  line.notes[i].start_quarter + 1e-9);
    }
}
Line eight_bars()
{
    Line line = at_sixty({});
    for (int i = 0; i < 8; ++i) {
        line.bars.push_back({std::to_string(i + 1), 4.0 * i, 4.0, 4, 4, ""});
        Note note = plain(4.0 * i, 4.0, 60 + i);
        note.source.bar = line.bars.back().number;
        note.source.bar_index = i;
        note.slurred_to_next = true;
        line.notes.push_back(note);
    }
    line.end_quarter = 32.0;
    return line;
}

} // namespace

TEST_CASE("steady tempo: quarters are seconds times tempo over sixty", "[tempo][law]")
{
    const TempoMap tempo({{0.0, 120.0, false}, {8.0, 60.0, false}});
    CHECK(tempo.seconds_at(8.0) == Approx(4.0));
    CHECK(tempo.seconds_at(10.0) == Approx(6.0));
    CHECK(tempo.quarter_at(6.0) == Approx(10.0));
    CHECK(tempo.tempo_at(7.9) == 120.0);
    CHECK(tempo.tempo_at(8.0) == 60.0);
    CHECK(tempo.seconds_at(-2.0) == Approx(-1.0));
    CHECK(TempoMap({}).tempo_at(3.0) == 100.0);
    CHECK(TempoMap({{0.0, 60.0, false}}, 2.0).seconds_at(4.0) == Approx(2.0));
}

TEST_CASE("along a ramp the time is the integral of one over the tempo", "[tempo][law]")
{
    const TempoMap tempo({{0.0, 120.0, false}, {4.0, 120.0, true}, {12.0, 60.0, false}});
    double seconds = 2.0;
    constexpr int steps = 200000;
    for (int i = 0; i < steps; ++i) {
        const double x = (i + 0.5) / steps; // midpoint rule
        seconds += 8.0 / steps * 60.0 / (120.0 - 60.0 * x);
    }
    CHECK(tempo.seconds_at(12.0) == Approx(seconds).epsilon(1e-9));
    CHECK(tempo.seconds_at(12.0) - 2.0 == Approx(8.0 * std::log(2.0))); // 60/s·ln(v1/v0), by hand
    CHECK(tempo.tempo_at(8.0) == Approx(90.0));
    for (double q = -1.0; q < 20.0; q += 0.37)
        CHECK(tempo.quarter_at(tempo.seconds_at(q)) == Approx(q).margin(1e-9));
}

TEST_CASE("two tempos at one spot: the ramp aims at the first, the second holds", "[tempo]")
{
    const TempoMap tempo({{0.0, 100.0, true}, {4.0, 80.0, false}, {4.0, 100.0, false}});
    CHECK(tempo.tempo_at(2.0) == Approx(90.0));
    CHECK(tempo.tempo_at(4.0) == 100.0);
    CHECK(tempo.seconds_at(5.0) - tempo.seconds_at(4.0) == Approx(0.6));
}

TEST_CASE("a dynamic holds, or moves evenly to the next", "[dynamics]")
{
    const std::vector<DynamicPoint> points{{4.0, 2.0, true}, {8.0, 5.0, false}, {12.0, 1.0, true}};
    CHECK(dynamic_at(points, 0.0) == 4.0);
    CHECK(dynamic_at(points, 0.0, 3.0) == 3.0);
    CHECK(dynamic_at(points, 6.0) == Approx(3.5));
    CHECK(dynamic_at(points, 11.0) == 5.0);
    CHECK(dynamic_at(points, 100.0) == 1.0);
    CHECK(dynamic_at({}, 5.0) == 4.0);
}

TEST_CASE("a pass that ends inside a hairpin stops where it had got to", "[dynamics]")
{
    const std::vector<DynamicPoint> written{{0.0, 2.0, false}, {4.0, 2.0, true}, {12.0, 6.0, false}};
    // bars [0, 8) twice, then the rest
    const auto played = replay(written, {{0.0, 8.0, 0.0}, {0.0, 16.0, 8.0}});
    CHECK(dynamic_at(played, 6.0) == Approx(3.0));
    CHECK(dynamic_at(played, 7.999) == Approx(4.0).margin(0.01));
    CHECK(dynamic_at(played, 8.0) == 2.0);
    CHECK(dynamic_at(played, 16.0) == Approx(4.0));
    CHECK(dynamic_at(played, 21.0) == 6.0);
}

TEST_CASE("slashed grace notes take 70 ms each from the main note's start", "[graces]")
{
    for (const double qpm : {60.0, 120.0}) {
        Line line = at_sixty({plain(0.0, 2.0), grace(2.0, true), grace(2.0, true), plain(2.0, 2.0)});
        line.tempo[0].quarters_per_minute = qpm;
        place_grace_notes(line);
        check_in_order(line);
        const double quarters = 0.070 * qpm / 60.0;
        CHECK(line.notes[0].length_quarters == 2.0);
        CHECK(line.notes[1].start_quarter == Approx(2.0));
        CHECK(line.notes[2].start_quarter == Approx(2.0 + quarters));
        CHECK(line.notes[3].start_quarter == Approx(2.0 + 2.0 * quarters));
        CHECK(line.notes[3].start_quarter + line.notes[3].length_quarters == Approx(4.0));
    }
}

TEST_CASE("grace notes leave a short main note at least half of itself", "[graces]")
{
    Line line = at_sixty({grace(0.0, true), grace(0.0, true), grace(0.0, true), plain(0.0, 0.1)});
    place_grace_notes(line);
    check_in_order(line);
    CHECK(line.notes[3].length_quarters == Approx(0.05));
}

TEST_CASE("one grace note without a slash takes half", "[graces]")
{
    Line line = at_sixty({grace(0.0, false), plain(0.0, 1.0), grace(1.0, false), plain(1.0, 8.0)});
    place_grace_notes(line);
    check_in_order(line);
    CHECK(line.notes[0].length_quarters == Approx(0.5));
    CHECK(line.notes[1].length_quarters == Approx(0.5));
    CHECK(line.notes[2].length_quarters == Approx(1.0)); // at most a quarter note
}

TEST_CASE("after-graces take the end of the note before", "[graces]")
{
    Line line = at_sixty({plain(0.0, 2.0), grace(2.0, false, true), grace(2.0, false, true), plain(2.0, 1.0),
                          grace(3.0, true, true)});
    place_grace_notes(line);
    check_in_order(line);
    CHECK(line.notes[0].length_quarters == Approx(1.8));
    CHECK(line.notes[1].start_quarter == Approx(1.8));
    CHECK(line.notes[3].start_quarter == Approx(2.0));
    CHECK(line.notes[4].start_quarter + line.notes[4].length_quarters == Approx(3.0));
}

TEST_CASE("after- and before-graces at one spot, and graces with no neighbour", "[graces]")
{
    Line both = at_sixty({plain(0.0, 2.0), grace(2.0, false, true), grace(2.0, true), plain(2.0, 2.0)});
    place_grace_notes(both);
    check_in_order(both);
    CHECK(both.notes[1].start_quarter < 2.0);
    CHECK(both.notes[2].start_quarter == Approx(2.0));
    Line alone = at_sixty({grace(0.0, false)});
    place_grace_notes(alone);
    check_in_order(alone);
    Line before_a_rest = at_sixty({grace(0.0, true), plain(4.0, 1.0)});
    place_grace_notes(before_a_rest);
    check_in_order(before_a_rest);
    CHECK(before_a_rest.notes[1].start_quarter == 4.0);
    Line at_first = at_sixty({grace(0.0, false, true), grace(0.0, true), plain(0.0, 1.0)});
    place_grace_notes(at_first);
    check_in_order(at_first);
}

TEST_CASE("a trill alternates about nine times a second, slurred, from the main note back to it",
          "[ornaments]")
{
    const Line line = ornamented(2.0, {OrnamentKind::trill, 1, 0});
    REQUIRE(line.notes.size() == 19);
    CHECK(pitches(line).starts_with("C5 C#5 C5 C#5"));
    CHECK(line.notes.back().printed == 72);
    CHECK(sum_of_lengths(line) == Approx(2.0));
    for (std::size_t i = 0; i < line.notes.size(); ++i) {
        CHECK(line.notes[i].slurred_to_next == (i + 1 < line.notes.size()));
        CHECK(line.notes[i].source.id == "n1");
        CHECK(line.notes[i].ornaments.empty());
    }
    check_in_order(line);
    CHECK(ornamented(0.25, {OrnamentKind::trill, 2, 0}).notes.size() == 3);
    CHECK(ornamented(0.1, {OrnamentKind::trill, 2, 0}).notes.size() == 1); // too short for any
}

TEST_CASE("mordents and turns", "[ornaments]")
{
    CHECK(pitches(ornamented(1.0, {OrnamentKind::mordent, 1, 0})) == "C5 B4 C5");
    CHECK(pitches(ornamented(1.0, {OrnamentKind::inverted_mordent, 2, 0})) == "C5 D5 C5");
    CHECK(ornamented(1.0, {OrnamentKind::mordent, 1, 0}).notes[2].start_quarter == Approx(0.130));
    CHECK(pitches(ornamented(1.0, {OrnamentKind::turn, 2, 0, 1})) == "D5 C5 B4 C5");
    CHECK(pitches(ornamented(1.0, {OrnamentKind::inverted_turn, 2, 0, 1})) == "B4 C5 D5 C5");
    for (const double length : {0.1, 0.5, 1.0, 8.0})
        for (const auto kind : {OrnamentKind::mordent, OrnamentKind::inverted_mordent, OrnamentKind::turn}) {
            const Line line = ornamented(length, {kind, 2, 0});
            check_in_order(line);
            CHECK(sum_of_lengths(line) == Approx(length));
        }
}

TEST_CASE("tremolo beams count like flags", "[ornaments]")
{
    // two strokes on a half note are sixteenths; on an eighth they make thirty-seconds (common practice)
    const Line half = ornamented(2.0, {OrnamentKind::tremolo, 0, 2});
    CHECK(half.notes.size() == 8);
    CHECK_FALSE(half.notes[0].slurred_to_next);
    CHECK(ornamented(0.5, {OrnamentKind::tremolo, 0, 2}).notes.size() == 4);
    CHECK(ornamented(3.0, {OrnamentKind::tremolo, 0, 1}).notes.size() == 6);
    CHECK(ornamented(10.0, {OrnamentKind::tremolo, 0, 0}).notes.size() == 84); // 8.4 strokes a second
    const Line two = ornamented(2.0, {OrnamentKind::two_note_tremolo, -3, 3});
    CHECK(two.notes.size() == 16);
    CHECK(pitches(two).starts_with("C5 A4 C5 A4"));
    CHECK(two.notes[0].slurred_to_next);
}

TEST_CASE("a glissando fills the second half with semitones up to its goal", "[ornaments]")
{
    Line line = at_sixty({plain(0.0, 2.0), plain(2.0, 1.0, 76)});
    line.notes[0].ornaments = {{OrnamentKind::glissando, 4, 0}};
    write_out_ornaments(line);
    CHECK(pitches(line) == "C5 C#5 D5 D#5 E5");
    CHECK(line.notes[1].start_quarter == Approx(1.0));
    CHECK(line.notes[3].slurred_to_next);
    check_in_order(line);
    CHECK(pitches(ornamented(2.0, {OrnamentKind::slide, -3, 0})) == "C5 B4 A#4");
}

TEST_CASE("accents stay on an ornament's first note, breaths on its last", "[ornaments]")
{
    Line line = at_sixty({plain(0.0, 2.0)});
    line.notes[0].ornaments = {{OrnamentKind::trill, 2, 0}};
    line.notes[0].articulations = art_accent | art_breath_after | art_staccato;
    write_out_ornaments(line);
    CHECK(line.notes.front().articulations == art_accent);
    CHECK(line.notes.back().articulations == art_breath_after);
    CHECK(line.notes[3].articulations == 0);
}

TEST_CASE("a line cut to bars begins at 0, with the tempo and dynamic of the place", "[cut]")
{
    Line line = eight_bars();
    line.tempo = {{0.0, 60.0, false}, {8.0, 90.0, false}};
    line.dynamics = {{0.0, 2.0, true}, {16.0, 6.0, false}};
    line.notes[4].length_quarters = 6.0; // over the bar line
    const Line cut = cut_to_bars(line, 3, 5);
    CHECK(pitches(cut) == "D4 D#4 E4");
    CHECK(cut.notes[0].start_quarter == 0.0);
    CHECK(cut.notes[2].length_quarters == 4.0);
    CHECK(cut.notes[2].source.bar_index == 2);
    CHECK(cut.notes[2].source.bar == "5");
    CHECK(cut.notes[1].slurred_to_next);
    CHECK_FALSE(cut.notes[2].slurred_to_next);
    CHECK(cut.end_quarter == 12.0);
    CHECK(cut.tempo.at(0).quarter == 0.0);
    CHECK(cut.tempo[0].quarters_per_minute == 90.0);
    CHECK(dynamic_at(cut.dynamics, 0.0) == Approx(4.0));
    CHECK(dynamic_at(cut.dynamics, 4.0) == Approx(5.0));
    CHECK(cut.remarks.empty());
}

TEST_CASE("bars inside a repeat are kept on every pass, without the bars between", "[cut]")
{
    Line line = eight_bars();
    for (int i = 4; i < 8; ++i) {
        line.bars[std::size_t(i)].number = std::to_string(i - 3);
        line.notes[std::size_t(i)].source.bar = line.bars[std::size_t(i)].number;
    }
    const Line cut = cut_to_bars(line, 2, 3);
    CHECK(pitches(cut) == "C#4 D4 F4 F#4");
    CHECK(cut.notes[2].start_quarter == 8.0);
    CHECK_FALSE(cut.notes[1].slurred_to_next);
    CHECK(cut.remarks.size() == 1);
}

TEST_CASE("asking for bars that are not there names those that are", "[cut]")
{
    try {
        cut_to_bars(eight_bars(), 20, 30);
        FAIL("no error");
    } catch (const InputError& error) {
        CHECK(error.fault() == Fault::usage);
        CHECK(std::string(error.what()) == "bars 20 to 30: found none of them, wanted bars between 1 and 8");
    }
}
