// SPDX-License-Identifier: MIT
// A part that names its instrument, and one that changes it on the way.
#include "cli/commands/render/render.h"
#include "engine/files/midi/read_midi.h"
#include "engine/files/musicxml/read_musicxml.h"
#include "engine/files/phrase/read_phrase.h"
#include "engine/files/read.h"
#include "engine/part/casting.h"
#include "engine/part/choose_part.h"
#include "engine/part/part_to_play.h"
#include "engine/part/pitch_basis.h"
#include "engine/rendering/sequence.h"
#include "models/units/input_error.h"
#include "tests/support/asked_line.h"
#include "tests/support/midi_bytes.h"

#include <catch2/catch.hpp>

#include <algorithm>
#include <cstdlib>
#include <filesystem>

using namespace canebrake;
using namespace canebrake::test;

namespace
{

std::filesystem::path shared_scores()
{
    if (const char* folder = std::getenv("CANEBRAKE_SHARED"))
        return std::filesystem::path(folder) / "scores";
    return std::filesystem::path(__FILE__).parent_path() / "../../../shared/scores";
}

/// One part of 4/4 bars at 60 quarters a minute.
std::string part_of(const std::string& list_entry, const std::vector<std::string>& bars)
{
    std::string text = "<score-partwise version=\"4.0\"><part-list><score-part id=\"P1\">" + list_entry +
                       "</score-part></part-list><part id=\"P1\">";
    for (std::size_t i = 0; i < bars.size(); ++i)
        text += "<measure number=\"" + std::to_string(i + 1) + "\">" +
                (i == 0 ? "<attributes><divisions>1</divisions><time><beats>4</beats><beat-type>4</beat-type>"
                          "</time></attributes><sound tempo=\"60\"/>"
                        : "") +
                bars[i] + "</measure>";
    return text + "</part></score-partwise>";
}

std::string transpose(int semitones)
{
    return "<attributes><transpose><chromatic>" + std::to_string(semitones) +
           "</chromatic></transpose></attributes>";
}

std::string words(const std::string& text)
{
    return "<direction><direction-type><words>" + text + "</words></direction-type></direction>";
}

std::string whole(const std::string& step, int octave, const std::string& id = "")
{
    return "<note><pitch><step>" + step + "</step><octave>" + std::to_string(octave) +
           "</octave></pitch><duration>4</duration>" + (id.empty() ? "" : "<instrument id=\"" + id + "\"/>") +
           "</note>";
}

const std::string rest = "<note><rest/><duration>4</duration></note>";

Line read_part(const std::string& xml)
{
    return choose_part(read_musicxml(xml, "a.xml"), "");
}

/// "0 B-flat, 8 A": who plays from which quarter.
std::string who(const std::vector<InstrumentStretch>& stretches)
{
    std::string text;
    for (const InstrumentStretch& s : stretches)
        text += (text.empty() ? "" : ", ") + std::to_string(int(s.start_quarter)) + " " +
                (s.name.empty() ? "(" + s.other + ")" : s.name);
    return text;
}

bool says(const std::vector<std::string>& remarks, const std::string& content)
{
    return std::any_of(remarks.begin(), remarks.end(),
                       [&](const std::string& r) { return r.find(content) != std::string::npos; });
}

std::string in_b_flat(const std::string& name = "Clarinet in B♭")
{
    return "<part-name>" + name + "</part-name>";
}

std::vector<float> fetched(Sequence& sequence, std::size_t block)
{
    std::vector<float> all(sequence.total_samples());
    for (std::size_t at = 0; at < all.size();)
        at += sequence.process(std::span(all).subspan(at, std::min(block, all.size() - at)));
    return all;
}

} // namespace

TEST_CASE("the suite's part that changes from E-flat to B-flat is followed", "[change]")
{
    // MusicXML test suite (MIT), 72c-TransposingInstruments-Change: sounding B flat throughout, written C4 on
    // the E flat clarinet sounds Eb4, on the B flat clarinet Bb3.
    const auto file = shared_scores() / "suite-72c-TransposingInstruments-Change.xml";
    if (!std::filesystem::exists(file)) {
        WARN("skipped, no reference files");
        return;
    }
    const Line line = choose_part(read_score(file), "");
    CHECK(who(line.instruments) == "0 E-flat, 4 B-flat");
    CHECK(line.notes[0].sounding.number == 63);
    CHECK(line.notes[1].sounding.number == 58);
    const Casting casting = cast(line, "", "");
    REQUIRE(casting.changes.size() == 1);
    CHECK(casting.changes[0].bar == "2");
    CHECK(casting.changes[0].seconds == Approx(0.0));
    CHECK(says(casting.remarks, "from the clarinet in E♭ to the clarinet in B♭"));
    CHECK(says(casting.remarks, "risky"));
}

TEST_CASE("'muta in La' takes effect where the transposition changes, and the seconds are counted",
          "[change]")
{
    const Line line = read_part(part_of(in_b_flat("Clarinetto in Si♭"),
                                        {transpose(-2) + whole("C", 5), words("muta in La") + whole("D", 5),
                                         rest, rest, transpose(-3) + whole("E", 5)}));
    CHECK(who(line.instruments) == "0 B-flat, 16 A");
    const Casting casting = cast(line, "", "");
    REQUIRE(casting.changes.size() == 1);
    CHECK(casting.changes[0].bar == "5");
    CHECK(casting.changes[0].seconds == Approx(8.0)); // two bars of rest at 60
    // Common practice: eight seconds are safe, but B-flat and A mostly share one mouthpiece.
    CHECK(says(casting.remarks,
               "bar 5: from the clarinet in B♭ to the clarinet in A (the file says 'muta in "
               "La') in 8.0 s: enough (8 s is safe; 3 to 5 s more if one mouthpiece serves"));
}

TEST_CASE("words in four languages change the instrument where the file says nothing of transposition",
          "[change]")
{
    for (const char* text : {"muta in La", "to A Clarinet", "nimmt A-Klar.", "Kl. in A",
                             "change to clarinet in A", "prenez la clarinette en la"}) {
        CAPTURE(text);
        const Line line = read_part(part_of(in_b_flat(), {whole("C", 5), words(text) + rest, whole("E", 5)}));
        CHECK(who(line.instruments) == "0 B-flat, 8 A");
    }
    const Line bass = read_part(
        part_of(in_b_flat(), {whole("C", 5), words("change to bass clarinet") + rest, whole("E", 5)}));
    CHECK(who(bass.instruments) == "0 B-flat, 8 bass");
    CHECK(cast(bass, "", "").changes.at(0).wanted.safe_from_s == 11.0);
}

TEST_CASE("a cue's heading and a jump are no change of instrument", "[change]")
{
    for (const char* text :
         {"Fl. 1", "Ob.", "Bass Cl.", "to Coda", "Clarinet", "Sax. solo", "a tempo", "D.S. al Fine"}) {
        CAPTURE(text);
        const Line line =
            read_part(part_of(in_b_flat(), {whole("C", 5), words(text) + whole("D", 5), whole("E", 5)}));
        CHECK(who(line.instruments) == "0 B-flat");
    }
}

TEST_CASE("notes for the flute in a clarinet part are left out and their seconds said", "[change]")
{
    const std::string list =
        "<part-name>Reed 1</part-name>"
        "<score-instrument id=\"I1\"><instrument-name>Clarinet in Bb</instrument-name>"
        "<instrument-sound>wind.reed.clarinet.bflat</instrument-sound></score-instrument>"
        "<score-instrument id=\"I2\"><instrument-name>Flute</instrument-name>"
        "<instrument-sound>wind.flutes.flute</instrument-sound></score-instrument>";
    const Line line = read_part(
        part_of(list, {transpose(-2) + whole("C", 5, "I1"), rest, transpose(0) + whole("D", 5, "I2"),
                       whole("E", 5, "I2"), transpose(-2) + whole("F", 5, "I1")}));
    CHECK(who(line.instruments) == "0 B-flat, 8 (flute), 16 B-flat");
    const Casting casting = cast(line, "", "");
    REQUIRE(casting.changes.size() == 2);
    CHECK(casting.changes[0].seconds == Approx(4.0));
    CHECK(casting.changes[1].seconds == Approx(0.0));
    CHECK(says(casting.remarks, "bar 3: 2 notes for the flute left out, 8.0 s"));
    CHECK(says(casting.remarks, "bar 3: from the clarinet in B♭ to the flute"));
    CHECK(says(casting.remarks, "in 4.0 s: risky"));

    // Words do it too, and "to clarinet" goes back to the one before.
    const Line spoken = read_part(
        part_of(in_b_flat("Clarinet in A"),
                {transpose(-3) + whole("C", 5), words("to Flute") + rest, transpose(0) + whole("D", 5),
                 words("to Clarinet") + rest, transpose(-3) + whole("F", 5)}));
    CHECK(who(spoken.instruments) == "0 A, 8 (flute), 16 A");
    // A part that is all flute was chosen on purpose: it is played.
    const Line flute = read_part(part_of("<part-name>Flute</part-name>", {whole("C", 5)}));
    const Casting whole_part = cast(flute, "", "");
    REQUIRE(whole_part.stretches.size() == 1);
    CHECK(whole_part.stretches[0].played_on == "B-flat");
    CHECK(says(whole_part.remarks, "the part is for the flute"));
}

TEST_CASE("the sign for a change in MusicXML 4.0 is obeyed", "[change]")
{
    // W3C MusicXML 4.0, element instrument-change (child of sound), with instrument-sound.
    const std::string sign = "<sound><instrument-change id=\"I1\"><instrument-sound>wind.reed.clarinet.bass"
                             "</instrument-sound></instrument-change></sound>";
    const Line line = read_part(part_of(in_b_flat(), {whole("C", 5), sign + whole("D", 4)}));
    CHECK(who(line.instruments) == "0 B-flat, 4 bass");
}

TEST_CASE("a MIDI track that changes its program to the flute and back leaves the flute's notes out",
          "[change]")
{
    // General MIDI: program 71, counted from 0, is the clarinet, 73 the flute.
    const std::string file =
        header(0, 1, 96) + track(meta(0, 3, "Klarinette in A") + message(0, {0xC0, 71}) + note(0, 60, 96) +
                                 message(0, {0xC0, 73}) + note(0, 72, 96) + note(0, 74, 96) +
                                 message(0, {0xC0, 71}) + note(0, 62, 96));
    const Line line = choose_part(read_midi(file, "a.mid"), "");
    CHECK(who(line.instruments) == "0 A, 1 (flute), 3 A");
    CHECK(says(cast(line, "", "").remarks, "bar 1: 2 notes for the flute left out"));
    // A program that is no wood-wind says nothing: many files never set one, or set it for the ear.
    const std::string piano =
        header(0, 1, 96) + track(meta(0, 3, "Clarinet in Bb") + message(0, {0xC0, 0}) + note(0, 60, 96) +
                                 message(0, {0xC0, 48}) + note(0, 62, 96));
    CHECK(who(choose_part(read_midi(piano, "a.mid"), "").instruments) == "0 B-flat");
}

TEST_CASE("cutting bars out keeps who plays them", "[change]")
{
    const Line line = read_part(
        part_of(in_b_flat(), {transpose(-2) + whole("C", 5), transpose(-3) + whole("D", 5), whole("E", 5)}));
    CHECK(who(line.instruments) == "0 B-flat, 4 A");
    CHECK(who(cut_to_bars(line, 1, 1).instruments) == "0 B-flat");
    CHECK(who(cut_to_bars(line, 2, 3).instruments) == "0 A");
    CHECK(who(cut_to_bars(line, 1, 2).instruments) == "0 B-flat, 4 A");
    const Line piece = cut_to_quarters(line, 4.0, 12.0);
    REQUIRE(piece.notes.size() == 2);
    CHECK(piece.notes[0].start_quarter == 0.0);
    CHECK(piece.notes[1].source.bar == "3");
    CHECK(piece.end_quarter == 8.0);
}

TEST_CASE("the option instrument says what the part is printed for, the option on what is brought",
          "[change]")
{
    const auto sounding = [](const std::string& instrument, const std::string& on) {
        RenderRequest request;
        request.phrase = "C5";
        request.pitch = PitchBasis::written;
        request.instrument = instrument;
        request.on = on;
        TrillBooks books(request.settings.kit);
        const PartToPlay part = part_to_play(asked_line(request), request, books);
        REQUIRE(part.stretches.size() == 1);
        CHECK(part.stretches[0].book->chart().instrument().name == "B-flat");
        return part.stretches[0].line.notes.at(0).sounding.number;
    };
    // Written C5 sounds a tone lower on the B-flat clarinet, a ninth lower on the bass, a minor sixth higher
    // on the A-flat.
    CHECK(sounding("", "") == 70);
    CHECK(sounding("A", "B-flat") == 69);
    CHECK(sounding("bass", "B-flat") == 58);
    CHECK(sounding("A-flat", "B-flat") == 80);
}

TEST_CASE("an instrument without a model is refused in one line that names those with one", "[change]")
{
    Line line;
    line.notes.emplace_back();
    const auto complaint = [&](const std::string& instrument, const std::string& on) -> std::string {
        try {
            cast(line, instrument, on);
        } catch (const InputError& error) {
            CHECK(error.fault() == Fault::usage);
            return error.what();
        }
        return "";
    };
    REQUIRE_FALSE(has_model("A-flat")); // the one size we do not mean to build
    CHECK(complaint("A-flat", "") == "--instrument: found 'A-flat', which cannot be played yet, wanted " +
                                         names_with_model() + ", or --on with one of them");
    CHECK(complaint("", "A-flat") ==
          "--on: found 'A-flat', which cannot be played yet, wanted " + names_with_model());
    CHECK(complaint("A-flat", "B-flat").empty());
    CHECK(complaint("B-flat", "").empty());
    CHECK(complaint("ocarina", "").find("wanted A-flat, E-flat") != std::string::npos);
}

TEST_CASE("a part that names a clarinet is cast by it, and one that names none for the B-flat without a word",
          "[change]")
{
    Line line;
    line.notes.emplace_back();
    CHECK(cast(line, "", "").remarks.empty());
    line.instruments = {{0.0, "B-flat", "", "its name is 'Clarinet in Bb'"}};
    CHECK(cast(line, "", "").remarks ==
          std::vector<std::string>{"the part is for the clarinet in B♭ (its name is 'Clarinet in Bb')"});
    line.instruments = {{0.0, "A-flat", "", "its name is 'As-Klarinette'"}};
    CHECK(
        cast(line, "", "").remarks ==
        std::vector<std::string>{"the part is for the piccolo clarinet in A♭ (its name is 'As-Klarinette'), "
                                 "played at its sounding pitch on the clarinet in B♭, for want of a model"});
}

TEST_CASE("stretches sound one after the other, however they are fetched", "[change][sound]")
{
    const auto phrase = [](const char* text) {
        Line line = read_phrase(text).parts.at(0);
        set_pitch_basis(line, PitchBasis::written, -2);
        return line;
    };
    const RenderSettings settings;
    TrillBook book(instrument_named("B-flat"), settings.kit);
    const auto both = [&] {
        Sequence sequence(settings);
        sequence.add(book, phrase("tempo 240 C4"), 0.0);
        sequence.add(book, phrase("tempo 240 G4"), 1.0);
        return sequence;
    };
    Sequence whole = both(), pieces = both();
    const std::vector<float> once = fetched(whole, 1 << 20), often = fetched(pieces, 777);
    CHECK(once == often);
    // One stretch is its rendering, and before its time the second one is not there.
    Sequence alone(settings);
    alone.add(book, phrase("tempo 240 C4"), 0.0);
    const std::vector<float> first = fetched(alone, 4096);
    Rendering rendering(book, phrase("tempo 240 C4"), settings);
    std::vector<float> plain(rendering.total_samples());
    rendering.process(plain);
    CHECK(first == plain);
    REQUIRE(first.size() < 48000);
    CHECK(std::equal(first.begin(), first.end(), once.begin()));
    Rendering second(book, phrase("tempo 240 G4"), settings);
    plain.assign(second.total_samples(), 0.0f);
    second.process(plain);
    REQUIRE(once.size() == 48000 + plain.size());
    CHECK(std::equal(plain.begin(), plain.end(), once.begin() + 48000));
}
