// SPDX-License-Identifier: MIT
#include "engine/line/line.h"
#include "engine/telling/names.h"

#include <catch2/catch.hpp>

#include <chrono>
#include <cmath>

using namespace canebrake;

namespace
{

/// A note of so many seconds (tempo 60), C5 unless told otherwise.
Note plain(double start, double length, int pitch = 72)
{
    static constexpr int steps[] = {0, 0, 1, 1, 2, 3, 3, 4, 4, 5, 5, 6};
    static constexpr int naturals[] = {0, 2, 4, 5, 7, 9, 11};
    Note note;
    note.start_quarter = start;
    note.length_quarters = length;
    note.printed = pitch;
    note.printed_step = steps[pitch % 12];
    note.printed_alter = pitch % 12 - naturals[note.printed_step];
    note.sounding = {double(pitch)};
    return note;
}
Line at_sixty(std::vector<Note> notes)
{
    Line line;
    line.tempo = {{0.0, 60.0, false}};
    line.notes = std::move(notes);
    return line;
}
Line ornamented(double length, std::vector<Ornament> ornaments, std::uint16_t articulations = art_none,
                const OrnamentPace& pace = {})
{
    Note note = plain(0.0, length);
    note.ornaments = std::move(ornaments);
    note.articulations = articulations;
    Line line = at_sixty({note});
    write_out_ornaments(line, pace);
    return line;
}
/// Letters as spelled, so that C# and Db differ.
std::string spelled(const Line& line)
{
    static constexpr int naturals[] = {0, 2, 4, 5, 7, 9, 11};
    std::string text;
    for (const Note& note : line.notes) {
        CHECK((note.printed - naturals[note.printed_step] - note.printed_alter) % 12 == 0);
        text += text.empty() ? "" : " ";
        text += "CDEFGAB"[note.printed_step];
        text += std::string(std::size_t(std::abs(note.printed_alter)), note.printed_alter < 0 ? 'b' : '#');
    }
    return text;
}
std::string roles(const Line& line)
{
    std::string text;
    for (const Note& note : line.notes)
        text += (text.empty() ? "" : " ") + (note.figure ? std::to_string(note.figure->role) : "-");
    return text;
}
std::string groups(const Line& line)
{
    std::string text;
    for (const Note& note : line.notes)
        text += (text.empty() ? "" : " ") + (note.figure ? std::to_string(note.figure->group) : "-");
    return text;
}
/// Slurred notes are followed by _, tongued ones by a blank.
std::string joints(const Line& line)
{
    std::string text;
    for (const Note& note : line.notes)
        text += note.slurred_to_next ? '_' : ' ';
    return text;
}
void check_fills(const Line& line, double from, double to)
{
    double at = from;
    for (const Note& note : line.notes) {
        CHECK(note.start_quarter == at); // no gap, no overlap, not even by rounding
        CHECK(note.length_quarters > 0.0);
        at = note.start_quarter + note.length_quarters;
    }
    CHECK(at == Approx(to).epsilon(1e-12));
}
Ornament trill(int semitones = 2)
{
    return {OrnamentKind::trill, semitones, 0, 1};
}
Ornament of(OrnamentKind kind, int semitones = 2, int strokes = 0)
{
    return {kind, semitones, strokes, 1};
}

constexpr OrnamentKind every_kind[] = {
    OrnamentKind::trill,    OrnamentKind::mordent,       OrnamentKind::inverted_mordent, OrnamentKind::turn,
    OrnamentKind::tremolo,  OrnamentKind::inverted_turn, OrnamentKind::two_note_tremolo, OrnamentKind::slide,
    OrnamentKind::glissando};

} // namespace

TEST_CASE("the small notes of every ornament, and of every two, fill their note exactly", "[ornaments]")
{
    for (const OrnamentKind one : every_kind)
        for (const OrnamentKind other : every_kind)
            for (const double length : {0.02, 0.1, 1.0 / 3.0, 0.75, 1.0, 7.0})
                for (const int variant : {0, 1, 2, 3}) {
                    Ornament first = of(one, 3), second = of(other, 3);
                    first.accelerate = first.closing_turn = first.delayed = variant & 1;
                    first.extended = variant & 1;
                    first.start = variant & 2 ? OrnamentStart::upper : OrnamentStart::below;
                    first.strokes = second.strokes = variant;
                    CAPTURE(int(one), int(other), length, variant);
                    Note note = plain(1.0 / 3.0, length);
                    note.ornaments = {first, second};
                    Line line = at_sixty({note});
                    write_out_ornaments(line);
                    check_fills(line, 1.0 / 3.0, 1.0 / 3.0 + length);
                    if (line.notes.size() > 1)
                        for (const Note& small : line.notes) {
                            CHECK(small.figure);
                            CHECK(small.ornaments.empty());
                        }
                }
}

// Trills begin and end on the main note unless the print says otherwise; a closing turn is the note below and
// the main note. Common practice, no source.
TEST_CASE("a trill says which of its notes is the main one and which the upper", "[ornaments]")
{
    const Line line = ornamented(0.7, {trill()});
    CHECK(roles(line) == "0 1 0 1 0 1 0");
    CHECK(groups(line) == "0 0 0 0 0 0 0");
    CHECK(line.notes[0].figure->kind == OrnamentKind::trill);
}

TEST_CASE("ornaments of one line are numbered one after the other", "[ornaments]")
{
    Line line = at_sixty({plain(0, 0.33), plain(1, 1), plain(2, 1)});
    line.notes[0].ornaments = {trill()};
    line.notes[2].ornaments = {of(OrnamentKind::mordent, 1)};
    write_out_ornaments(line);
    CHECK(groups(line) == "0 0 0 - 1 1 1");
    CHECK(roles(line) == "0 1 0 - 0 -1 0");
}

// MusicXML 4.0, start-note: "upper", "main", "below", relative to the current note.
TEST_CASE("a trill begins where the print says: from the main note, from above, from below", "[ornaments]")
{
    Ornament printed = trill();
    CHECK(roles(ornamented(0.55, {printed})) == "0 1 0 1 0");
    printed.start = OrnamentStart::main;
    CHECK(roles(ornamented(0.55, {printed})) == "0 1 0 1 0");
    printed.start = OrnamentStart::upper;
    CHECK(roles(ornamented(0.67, {printed})) == "1 0 1 0 1 0");
    printed.start = OrnamentStart::below;
    CHECK(roles(ornamented(0.67, {printed})) == "-1 0 1 0 1 0");
}

TEST_CASE("a trill from above does not repeat the grace note that has begun it", "[ornaments]")
{
    Ornament printed = trill();
    printed.start = OrnamentStart::upper;
    Note small = plain(0.0, 0.0, 74);
    small.grace = small.grace_slashed = small.slurred_to_next = true;
    Note main = plain(0.0, 1.0);
    main.ornaments = {printed};
    Line line = at_sixty({small, main});
    place_grace_notes(line);
    write_out_ornaments(line);
    CHECK(spelled(line).starts_with("D C D C"));
    line.notes[0].printed = 71; // from another note it does begin above
    Note lower = small;
    lower.printed = 71;
    lower.sounding = {71.0};
    lower.printed_step = 6;
    Line from_below = at_sixty({lower, main});
    place_grace_notes(from_below);
    write_out_ornaments(from_below);
    CHECK(spelled(from_below).starts_with("B D C D"));
}

// MusicXML 4.0, two-note-turn: "whole", "half", "none".
TEST_CASE("a closing turn goes below by a semitone or a whole tone and back", "[ornaments]")
{
    Ornament printed = trill();
    printed.closing_turn = true;
    CHECK(spelled(ornamented(1.0, {printed})) == "C D C D C D C B C");
    printed.semitones_below = 2;
    CHECK(spelled(ornamented(1.0, {printed})) == "C D C D C D C Bb C");
    CHECK(spelled(ornamented(0.25, {printed})) == "C D C"); // no time for the turn
    CHECK(spelled(ornamented(1.0, {trill()})) == "C D C D C D C D C");
    // A turn printed over the trill asks for the same (common practice, no source).
    CHECK(spelled(ornamented(1.0, {trill(), of(OrnamentKind::turn)})) == "C D C D C D C B C");
}

TEST_CASE("a closing turn printed as small notes is played once, slurred", "[ornaments]")
{
    Ornament printed = trill();
    printed.closing_turn = true;
    Note main = plain(0.0, 1.0), below = plain(1.0, 0.0, 71), back = plain(1.0, 0.0, 72);
    main.ornaments = {printed};
    below.grace = back.grace = below.grace_after = back.grace_after = below.slurred_to_next = true;
    Line line = at_sixty({main, below, back, plain(1.0, 1.0, 74)});
    place_grace_notes(line);
    write_out_ornaments(line);
    CHECK(spelled(line) == "C D C D C D C B C D");
    CHECK(joints(line) == "________  "); // the file says nothing of the joint before the last note
}

TEST_CASE("an accelerating trill starts at half its speed and quickens all the way", "[ornaments]")
{
    Ornament printed = trill();
    printed.accelerate = true; // MusicXML 4.0: "accelerate"; how much is common practice, no source
    const Line line = ornamented(4.0, {printed});
    for (std::size_t i = 1; i < line.notes.size(); ++i)
        CHECK(line.notes[i].length_quarters < line.notes[i - 1].length_quarters);
    CHECK(1.0 / line.notes.front().length_quarters == Approx(4.5).epsilon(0.05));
    CHECK(1.0 / line.notes.back().length_quarters == Approx(9.0).epsilon(0.05));
    CHECK(line.notes.size() == 27); // 6.75 a second on the whole
}

TEST_CASE("a printed number of beats is kept while it is still a trill and still possible", "[ornaments]")
{
    Ornament printed = trill();
    printed.beats = 6; // MusicXML 4.0: notes, the closing turn not counted
    CHECK(ornamented(1.0, {printed}).notes.size() == 6);
    printed.closing_turn = true;
    CHECK(ornamented(1.0, {printed}).notes.size() == 8);
    printed.closing_turn = false;
    CHECK(ornamented(4.0, {printed}).notes.size() == 37); // 1.5 notes a second would be no trill
    printed.beats = 99;
    CHECK(ornamented(1.0, {printed}).notes.size() == 9);
}

TEST_CASE("the fingers set the speed of a trill, asked once for each", "[ornaments]")
{
    OrnamentPace pace;
    int asked = 0;
    pace.trill_notes_per_s = [&](const Note& main, const Ornament& ornament) {
        ++asked;
        CHECK(main.printed == 72);
        return ornament.semitones == 1 ? 13.0 : 7.0;
    };
    CHECK(ornamented(1.0, {trill(1)}, art_none, pace).notes.size() == 13);
    CHECK(ornamented(1.0, {trill(2)}, art_none, pace).notes.size() == 7);
    CHECK(ornamented(2.0, {of(OrnamentKind::two_note_tremolo, 5)}, art_none, pace).notes.size() == 14);
    CHECK(asked == 3);
    pace.trill_notes_per_s = [](const Note&, const Ornament&) { return std::nan(""); };
    CHECK(ornamented(1.0, {trill(1)}, art_none, pace).notes.size() == 9);
}

TEST_CASE("a trill keeps the printed spelling of its main note", "[ornaments]")
{
    for (const auto& [number, step, alter, names] : {std::tuple{73, 1, -1, "Db Eb Db"},
                                                     {73, 0, 1, "C# D# C#"},
                                                     {71, 0, -1, "Cb Db Cb"},
                                                     {77, 2, 1, "E# F## E#"},
                                                     {74, 0, 2, "C## D## C##"},
                                                     {69, 6, -2, "Bbb Cb Bbb"}}) {
        Note note = plain(0.0, 0.25, number);
        note.printed_step = step;
        note.printed_alter = alter;
        note.ornaments = {trill()};
        Line line = at_sixty({note});
        write_out_ornaments(line);
        CHECK(spelled(line) == names);
    }
}

// Common practice, no source: a turn over the note begins it, a turn after the note ends it.
TEST_CASE("a turn begins its note, a delayed turn ends it", "[ornaments]")
{
    const Line at_once = ornamented(2.0, {of(OrnamentKind::turn)});
    CHECK(spelled(at_once) == "D C B C");
    CHECK(roles(at_once) == "1 0 -1 0");
    CHECK(at_once.notes[3].start_quarter == Approx(0.27));
    Ornament late = of(OrnamentKind::turn);
    late.delayed = true;
    const Line delayed = ornamented(2.0, {late});
    CHECK(spelled(delayed) == "C D C B C");
    CHECK(delayed.notes[1].start_quarter == Approx(1.64));
    late.kind = OrnamentKind::inverted_turn;
    CHECK(spelled(ornamented(2.0, {late})) == "C B C D C");
    Ornament from_main = of(OrnamentKind::turn);
    from_main.start = OrnamentStart::main;
    CHECK(spelled(ornamented(2.0, {from_main})) == "C D C B C");
    const Line four = ornamented(0.2, {of(OrnamentKind::turn)}); // a short note: four equal ones
    for (const Note& note : four.notes)
        CHECK(note.length_quarters == Approx(0.05));
}

TEST_CASE("a long mordent dips twice", "[ornaments]")
{
    Ornament printed = of(OrnamentKind::mordent, 1); // MusicXML 4.0, mordent, long="yes"
    CHECK(spelled(ornamented(1.0, {printed})) == "C B C");
    printed.extended = true;
    CHECK(spelled(ornamented(1.0, {printed})) == "C B C B C");
    CHECK(roles(ornamented(1.0, {printed})) == "0 -1 0 -1 0");
}

TEST_CASE("a measured tremolo is tongued stroke by stroke", "[ornaments]")
{
    const Line line = ornamented(1.0, {of(OrnamentKind::tremolo, 0, 2)}, art_accent | art_staccato);
    CHECK(line.notes.size() == 4);
    CHECK(joints(line) == "    ");
    CHECK(roles(line) == "0 0 0 0");
    CHECK(line.notes[0].articulations == (art_accent | art_staccato));
    CHECK(line.notes[1].articulations == art_staccato);
    // a triplet eighth has one flag, so one stroke makes two sixteenths of the triplet
    CHECK(ornamented(1.0 / 3.0, {of(OrnamentKind::tremolo, 0, 1)}).notes.size() == 2);
    // a quarter that gave a little time to a grace note is still a quarter in print
    Ornament printed = of(OrnamentKind::tremolo, 0, 2);
    printed.stroke_quarters = 0.25;
    CHECK(ornamented(0.93, {printed}).notes.size() == 4);
}

TEST_CASE("as fast as it goes is 8.4 strokes a second, and 12 with the double tongue", "[ornaments]")
{
    const Line single = ornamented(5.0, {of(OrnamentKind::tremolo, 0, 0)});
    CHECK(single.notes.size() == 42); // sixteenths at 126: judgement of the trade, no source
    const Line twofold = ornamented(5.0, {of(OrnamentKind::tremolo, 0, 0)}, art_double_tongue);
    CHECK(twofold.notes.size() == 60);
    for (const Note& note : twofold.notes)
        CHECK(note.articulations == art_double_tongue);
}

TEST_CASE("flutter-tongue takes the place of the strokes and lasts through any ornament", "[ornaments]")
{
    const Line struck = ornamented(1.0, {of(OrnamentKind::tremolo, 0, 3)}, art_flutter);
    REQUIRE(struck.notes.size() == 1);
    CHECK(struck.notes[0].articulations == art_flutter);
    CHECK_FALSE(struck.notes[0].figure);
    const Line trilled = ornamented(1.0, {trill()}, art_flutter | art_accent);
    CHECK(trilled.notes[0].articulations == (art_flutter | art_accent));
    for (std::size_t i = 1; i < trilled.notes.size(); ++i)
        CHECK(trilled.notes[i].articulations == art_flutter);
}

TEST_CASE("two notes in turn: measured by their beams, otherwise as fast as the fingers go", "[ornaments]")
{
    const Line measured = ornamented(2.0, {of(OrnamentKind::two_note_tremolo, 3, 2)});
    CHECK(measured.notes.size() == 8);
    CHECK(roles(measured) == "0 1 0 1 0 1 0 1");
    CHECK(joints(measured) == "_______ ");
    CHECK(ornamented(2.0, {of(OrnamentKind::two_note_tremolo, 3, 0)}).notes.size() == 24);
    // three beams mean "quick": 16 a second would be asked for here, and 12 are played (common practice)
    Ornament quick = of(OrnamentKind::two_note_tremolo, 3, 3);
    quick.stroke_quarters = 1.0 / 16.0;
    CHECK(ornamented(2.0, {quick}).notes.size() == 24);
    Ornament spelled_out = of(OrnamentKind::two_note_tremolo, 3, 1);
    spelled_out.letters = 1; // D sharp, not E flat
    CHECK(spelled(ornamented(1.0, {spelled_out})) == "C D#");
    spelled_out.letters = 2;
    CHECK(spelled(ornamented(1.0, {spelled_out})) == "C Eb");
}

// MusicXML 4.0: a glissando sounds the notes between, a slide is continuous.
TEST_CASE("a glissando runs in semitones, slurred, a little quicker to the end", "[ornaments]")
{
    Line line = at_sixty({plain(0.0, 2.0), plain(2.0, 1.0, 79)});
    line.notes[0].ornaments = {of(OrnamentKind::glissando, 7)};
    write_out_ornaments(line);
    CHECK(spelled(line) == "C C# D D# E F F# G");
    CHECK(roles(line) == "0 1 2 3 4 5 6 -");
    CHECK(joints(line) == "_______ ");
    CHECK(line.notes[1].start_quarter == Approx(1.0));
    for (std::size_t i = 2; i <= 6; ++i)
        CHECK(line.notes[i].length_quarters < line.notes[i - 1].length_quarters);
    Line down = at_sixty({plain(0.0, 2.0), plain(2.0, 1.0, 67)});
    down.notes[0].ornaments = {of(OrnamentKind::glissando, -5)};
    write_out_ornaments(down);
    CHECK(spelled(down) == "C B Bb A Ab G");
}

TEST_CASE("a long glissando on a short note begins early rather than run faster than fingers", "[ornaments]")
{
    Line line = at_sixty({plain(0.0, 1.0), plain(1.0, 1.0, 84)});
    line.notes[0].ornaments = {of(OrnamentKind::glissando, 12)};
    write_out_ornaments(line);
    CHECK(line.notes[1].start_quarter == Approx(1.0 - 11.0 / 16.0)); // 16 notes a second
}

TEST_CASE("a slide comes late: the last half of its note, at most half a second", "[ornaments]")
{
    for (const auto& [length, begins] : {std::pair{0.6, 0.3}, {4.0, 3.5}}) {
        Line line = at_sixty({plain(0.0, length), plain(length, 1.0, 76)});
        line.notes[0].ornaments = {of(OrnamentKind::slide, 4)};
        write_out_ornaments(line);
        CHECK(roles(line) == "0 1 2 3 -");
        CHECK(line.notes[0].figure->kind == OrnamentKind::slide);
        CHECK(line.notes[1].start_quarter == Approx(begins));
        CHECK(joints(line) == "____ ");
    }
    Line neighbour = at_sixty({plain(0.0, 1.0), plain(1.0, 1.0, 73)});
    neighbour.notes[0].ornaments = {of(OrnamentKind::slide, 1)};
    write_out_ornaments(neighbour);
    CHECK(roles(neighbour) == "0 -"); // nothing lies between, and it is a slide
    CHECK(joints(neighbour) == "_ ");
    Line over_a_rest = at_sixty({plain(0.0, 1.0), plain(2.0, 1.0, 76)});
    over_a_rest.notes[0].ornaments = {of(OrnamentKind::slide, 4)};
    write_out_ornaments(over_a_rest);
    CHECK(joints(over_a_rest) == "___  ");
}

TEST_CASE("a mordent opens what the note does otherwise", "[ornaments]")
{
    const Ornament mordent = of(OrnamentKind::mordent, 1);
    const Line struck = ornamented(1.0, {mordent, of(OrnamentKind::tremolo, 0, 1)}, art_staccato);
    CHECK(spelled(struck) == "C B C C");
    CHECK(joints(struck) == "__  "); // the dip is slurred, the second stroke tongued
    CHECK(struck.notes[3].start_quarter == Approx(0.5));
    CHECK(groups(struck) == "0 0 0 1");
    CHECK(struck.notes[3].articulations == art_staccato);
    const Line trilled = ornamented(1.0, {trill(), mordent});
    CHECK(spelled(trilled).starts_with("C B C D C D"));
    CHECK(groups(trilled).starts_with("0 0 1 1"));
    Line run = at_sixty({plain(0.0, 2.0), plain(2.0, 1.0, 76)});
    run.notes[0].ornaments = {of(OrnamentKind::glissando, 4), mordent};
    write_out_ornaments(run);
    CHECK(spelled(run) == "C B C C# D D# E");
    CHECK(roles(run) == "0 -1 0 1 2 3 -");
}

TEST_CASE("a printed fingering stays on the main note of an ornament", "[ornaments]")
{
    Line line = at_sixty({plain(0.0, 0.3)});
    line.notes[0].ornaments = {trill()};
    line.notes[0].fingering = "side";
    write_out_ornaments(line);
    REQUIRE(line.notes.size() == 3);
    CHECK(line.notes[0].fingering == "side");
    CHECK(line.notes[1].fingering.empty());
    CHECK(line.notes[2].fingering == "side");
}

TEST_CASE("ten thousand trilled notes are written out within a second", "[ornaments]")
{
    Line line = at_sixty({});
    for (int i = 0; i < 10000; ++i) {
        line.notes.push_back(plain(i, 1.0, 60 + i % 24));
        line.notes.back().ornaments = {trill()};
        line.notes.back().source.id = std::to_string(i);
    }
    const auto begin = std::chrono::steady_clock::now();
    write_out_ornaments(line);
    const std::chrono::duration<double> taken = std::chrono::steady_clock::now() - begin;
    CHECK(line.notes.size() == 90000);
    CHECK(line.notes.back().figure->group == 9999);
    for (std::size_t i = 1; i < line.notes.size(); ++i)
        if (line.notes[i - 1].start_quarter + line.notes[i - 1].length_quarters >
            line.notes[i].start_quarter + 1e-9)
            FAIL("small note " << i << " overlaps the one before");
    CHECK(taken.count() < 1.0);
}
