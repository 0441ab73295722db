// SPDX-License-Identifier: MIT
#include "models/instruments/family.h"
#include "models/instruments/family_names.h"
#include "models/instruments/instrument.h"

#include <catch2/catch.hpp>

#include <algorithm>
#include <set>

using namespace canebrake;

namespace
{

std::string name_of(const Named& named)
{
    return named.member != nullptr ? named.member->name : named.other.empty() ? "nobody" : named.other;
}

std::string by_name(const std::string& part_name)
{
    return name_of(member_for({"", part_name}));
}

} // namespace

TEST_CASE("every member's figures hang together", "[family]")
{
    std::set<std::string> names;
    for (const FamilyMember& m : family()) {
        CAPTURE(m.name);
        CHECK(names.insert(m.name).second);
        CHECK(member_named(m.name) == &m);
        for (const std::string& alias : m.aliases)
            CHECK(member_named(alias) == &m);
        CHECK(m.lowest < m.top_section);
        CHECK(m.top_section < m.top_professional);
        CHECK(m.top_professional < m.top_extreme);
        REQUIRE_FALSE(m.notations.empty());
        CHECK(m.notations.front().transposition == m.transposition);
        CHECK(m.written_at(m.transposition));
        CHECK((m.played_on.empty() || member_named(m.played_on) != nullptr));
        CHECK_FALSE(m.reed.empty());
        CHECK_FALSE(m.mouthpiece.empty());
        // The registers follow on one another from the lowest note to the extreme top.
        REQUIRE(m.registers.size() >= 3);
        CHECK(m.registers.front().from == m.lowest);
        CHECK(m.registers.back().to == m.top_extreme);
        for (std::size_t i = 1; i < m.registers.size(); ++i)
            CHECK(m.registers[i].from.number == m.registers[i - 1].to.number + 1);
        for (const RegisterTendency& r : m.registers)
            CHECK((!r.tone.empty() && !r.pitch.empty()));
    }
    CHECK(names.size() == 14);
    CHECK(member_named("bass clarinet in G") == nullptr);
}

TEST_CASE("each member's lowest note sounds where the handbooks put it", "[family]")
{
    // SHARC Timbre Database (G. Sandell, 1994-2007): lowest notes recorded are G3 on the E-flat, D3 on the
    // B-flat; on the bass C#2. The contra-alto's F#1 and the basset horn's F2 and the alto's Gb2: the
    // instruments' pages ("descends to concert F", "... G flat"); the others from memory.
    const std::pair<const char*, const char*> sounding[] = {
        {"E-flat", "G3"},      {"D", "F#3"},        {"C", "E3"},           {"B-flat", "D3"},
        {"A", "C#3"},          {"bass", "Db2"},     {"basset horn", "F2"}, {"alto", "Gb2"},
        {"low-C bass", "Bb1"}, {"bass in A", "C2"}, {"contrabass", "Db1"}, {"basset clarinet", "A2"},
        {"contra-alto", "F#1"}};
    for (const auto& [name, pitch] : sounding) {
        CAPTURE(name);
        const FamilyMember* m = member_named(name);
        REQUIRE(m != nullptr);
        CHECK(m->lowest.number + m->transposition == pitch_number(pitch));
    }
}

TEST_CASE("a member that can be played has the same figures in both tables", "[family]")
{
    int played = 0;
    for (const FamilyMember& m : family()) {
        if (!has_model(m.name))
            continue;
        CAPTURE(m.name);
        const Instrument& instrument = instrument_named(m.name);
        CHECK(instrument.title == m.title);
        CHECK(instrument.transposition == m.transposition);
        CHECK(instrument.lowest == m.lowest);
        CHECK(instrument.top_section == m.top_section);
        CHECK(instrument.top_professional == m.top_professional);
        CHECK(instrument.top_extreme == m.top_extreme);
        CHECK(instrument.breath_factor == m.breath_factor);
        CHECK(instrument.tongue_factor == m.tongue_factor);
        ++played;
    }
    CHECK(played >= 1);
    CHECK(has_model("B-flat"));
    CHECK_FALSE(has_model("ocarina"));
}

TEST_CASE("the low clarinets are known by what differs on them", "[family]")
{
    // Common practice, no source.
    CHECK(member_named("bass")->written_at(-14));
    CHECK(member_named("bass")->written_at(-2)); // bass clef as older German parts have it
    CHECK(member_named("bass in A")->written_at(-15));
    CHECK(member_named("bass in A")->written_at(-3));
    CHECK(member_named("bass in A")->played_on == "bass");
    for (const FamilyMember& m : family()) {
        CAPTURE(m.name);
        const bool low = m.transposition <= -14;
        CHECK(m.clarion_vents == (m.transposition <= -7 ? 2 : 1)); // as they are built now
        CHECK(m.half_hole_altissimo == (m.transposition <= -7));
        CHECK(m.breath_factor == (m.transposition <= -21  ? 0.6
                                  : low                   ? 0.7
                                  : m.transposition <= -7 ? 0.85
                                                          : 1));
    }
}

TEST_CASE("a change is risky under five seconds and safe from eight, more with a strap or a peg", "[family]")
{
    // Common practice, no source.
    const auto from_b_flat = [](const char* to) {
        return change_time(member_named("B-flat"), member_named(to));
    };
    CHECK(from_b_flat("A").risky_below_s == 5.0);
    CHECK(from_b_flat("A").safe_from_s == 8.0);
    CHECK(from_b_flat("A").shared_mouthpiece_s == 4.0);
    CHECK(from_b_flat("E-flat").shared_mouthpiece_s == 0.0);
    CHECK(from_b_flat("bass").safe_from_s == 11.0);
    CHECK(from_b_flat("basset horn").risky_below_s == 8.0);
    CHECK(change_time(member_named("B-flat"), nullptr).safe_from_s == 8.0); // to the flute
}

TEST_CASE("a part's name says which clarinet, in English, German, French and Italian", "[family][names]")
{
    // Names as they stand over printed parts: common practice, no source.
    const std::pair<const char*, const char*> names[] = {
        {"Clarinet in Bb", "B-flat"},
        {"B♭ Clarinet 1", "B-flat"},
        {"B-flat Clarinet", "B-flat"},
        {"Bb Cl.", "B-flat"},
        {"Clarinet in A", "A"},
        {"A Clarinet", "A"},
        {"2 Clarinets in C", "C"},
        {"Clarinet in E♭", "E-flat"},
        {"Eb Clarinet", "E-flat"},
        {"D Clarinet", "D"},
        {"Klarinette in B", "B-flat"},
        {"B-Klarinette", "B-flat"},
        {"Klarinette in A", "A"},
        {"Klar. in Es", "E-flat"},
        {"Es-Klarinette", "E-flat"},
        {"1. Klarinette in C", "C"},
        {"Bassklarinette", "bass"},
        {"Bassklarinette in A", "bass in A"},
        {"Bassetthorn", "basset horn"},
        {"Bassetthörner", "basset horn"},
        {"Altklarinette", "alto"},
        {"Kontrabassklarinette", "contrabass"},
        {"Clarinette en Si♭", "B-flat"},
        {"Clarinette en si bémol", "B-flat"},
        {"Clarinettes en La", "A"},
        {"Petite clarinette", "E-flat"},
        {"petite clarinette (en ré)", "D"},
        {"Clarinette basse", "bass"},
        {"Cor de basset", "basset horn"},
        {"Clarinetto in Si♭", "B-flat"},
        {"Clarinetti in Sib", "B-flat"},
        {"Clarinetto I in La", "A"},
        {"Clarinetto in Do", "C"},
        {"Clarinetto piccolo in Mi♭", "E-flat"},
        {"Clarone", "bass"},
        {"Clarone in La", "bass in A"},
        {"Clarinetto basso", "bass"},
        {"Corno di bassetto", "basset horn"},
        {"Bass Clarinet in B♭", "bass"},
        {"B. Cl.", "bass"},
        {"Bass Clarinet (low C)", "low-C bass"},
        {"Alto Clarinet", "alto"},
        {"Contra-alto Clarinet", "contra-alto"},
        {"Eb Contra Alto Clarinet", "contra-alto"},
        {"Contrabass Clarinet in Bb", "contrabass"},
        {"Basset Clarinet in A", "basset clarinet"},
        {"Basset Horn in F", "basset horn"},
        {"Clarinet", "B-flat"},
        {"Clarinet 1", "B-flat"},
        {"Flute 1", "flute"},
        {"Große Flöte", "flute"},
        {"Alto Sax", "saxophone"},
        {"Violin", "nobody"},
        {"Bass", "nobody"},
        {"Trumpet in A", "nobody"},
        {"", "nobody"},
    };
    for (const auto& [text, who] : names) {
        CAPTURE(text);
        CHECK(by_name(text) == who);
    }
}

TEST_CASE("the sound ids of MusicXML name the member", "[family][names]")
{
    // W3C MusicXML 4.0, list of standard sounds (sounds.xml).
    const std::pair<const char*, const char*> ids[] = {{"wind.reed.clarinet.a", "A"},
                                                       {"wind.reed.clarinet.bflat", "B-flat"},
                                                       {"wind.reed.clarinet.eflat", "E-flat"},
                                                       {"wind.reed.clarinet.d", "D"},
                                                       {"wind.reed.clarinet.bass", "bass"},
                                                       {"wind.reed.clarinet.alto", "alto"},
                                                       {"wind.reed.clarinet.basset", "basset clarinet"},
                                                       {"wind.reed.clarinet.contra-alto", "contra-alto"},
                                                       {"wind.reed.clarinet.contrabass", "contrabass"},
                                                       {"wind.reed.clarinet.piccolo.aflat", "A-flat"},
                                                       {"wind.reed.basset-horn", "basset horn"},
                                                       {"wind.reed.clarinet", "B-flat"},
                                                       {"wind.flutes.flute", "flute"},
                                                       {"wind.reed.saxophone.alto", "saxophone alto"}};
    for (const auto& [id, who] : ids) {
        CAPTURE(id);
        CHECK(name_of(member_for({id, ""})) == who);
    }
    // A G clarinet exists in the list and not in our family: it is no other clarinet.
    CHECK(name_of(member_for({"wind.reed.clarinet.g", ""})) == "wind.reed.clarinet.g");
}

TEST_CASE("where a file disagrees with itself, the transposition decides, then the name", "[family][names]")
{
    const std::string b_flat = "wind.reed.clarinet.bflat";
    CHECK(name_of(member_for({b_flat, "Clarinet in A", -1, -3})) == "A");
    CHECK(name_of(member_for({b_flat, "Clarinet in A", -1, -2})) == "B-flat");
    CHECK(name_of(member_for({b_flat, "Clarinet in A"})) == "A");
    CHECK(name_of(member_for({b_flat, "Solo", -1, -3})) == "A");
    CHECK(name_of(member_for({"wind.reed.clarinet.bass", "Bass Clarinet", -1, -15})) == "bass in A");
    CHECK(name_of(member_for({"", "Bass Clarinet", -1, -3})) == "bass in A");
    CHECK(name_of(member_for({"", "Clarinet", -1, -3})) == "A");
    CHECK(name_of(member_for({"", "Clarinet", -1, 3})) == "E-flat");
    CHECK(name_of(member_for({"", "Clarinet", -1, 0})) == "B-flat"); // a score at concert pitch
    // General MIDI: program 72 (71 counted from 0) is the clarinet, 74 the flute, 66 the alto saxophone.
    CHECK(name_of(member_for({"", "", 71})) == "B-flat");
    CHECK(name_of(member_for({"", "Klarinette in A", 71})) == "A");
    CHECK(name_of(member_for({"", "", 73})) == "flute");
    CHECK(name_of(member_for({"", "Staff 3", 65})) == "saxophone");
    CHECK(member_for({"", "Clarinet in A"}).why == "its name is 'Clarinet in A'");
}

TEST_CASE("words over the notes that ask for another instrument are understood", "[family][names]")
{
    struct Said {
        const char* text;
        const char* member;
        bool asks, whole;
    };
    const Said all[] = {{"muta in La", "A", true, false},
                        {"muta in Si♭", "B-flat", true, false},
                        {"to A Clarinet", "A", true, true},
                        {"change to bass clarinet", "bass", true, false},
                        {"nimmt A-Klar.", "A", true, false},
                        {"Kl. in A", "A", false, true},
                        {"prenez la clarinette en la", "A", true, false},
                        {"take E♭ Clarinet", "E-flat", true, false},
                        {"Bass Clarinet", "bass", false, true},
                        {"muta in Clarone", "bass", true, false}};
    for (const Said& said : all) {
        CAPTURE(said.text);
        const NameReading reading = read_instrument_name(said.text);
        const FamilyMember* member = member_in(reading);
        REQUIRE(member != nullptr);
        CHECK(member->name == said.member);
        CHECK(reading.asks_change == said.asks);
        if (said.whole)
            CHECK(reading.whole);
    }
    CHECK(read_instrument_name("to Flute").other == "flute");
    CHECK(read_instrument_name("muta in Sax.").other == "saxophone");
    for (const char* text :
         {"a tempo", "in a hurry", "cl. soli", "with the clarinets", "as before", "mit Dämpfer"}) {
        CAPTURE(text);
        CHECK(member_in(read_instrument_name(text)) == nullptr);
    }
}
