// SPDX-License-Identifier: MIT
#include "cli/commands/instruments/text.h"

#include "engine/telling/names.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cstdlib>

namespace canebrake
{
namespace
{

constexpr std::size_t width = 80, margin = 14;

/// "+3", "0", "-14".
std::string distance(int semitones)
{
    return semitones == 0 ? "0" : fmt::format("{:+}", semitones);
}

/// "a major ninth below written": the trade's word for the interval.
std::string interval_words(int semitones)
{
    static constexpr std::array<const char*, 12> small{
        "unison",           "minor second",  "major second", "minor third", "major third",   "perfect fourth",
        "augmented fourth", "perfect fifth", "minor sixth",  "major sixth", "minor seventh", "major seventh"};
    if (semitones == 0)
        return "as written";
    const int size = std::abs(semitones), octaves = size / 12;
    std::string words = size % 12 == 0 ? "" : std::string("a ") + small[std::size_t(size % 12)];
    if (size % 12 == 6)
        words.insert(1, "n");
    const std::string over = octaves == 0   ? ""
                             : octaves == 1 ? "an octave"
                                            : fmt::format("{} octaves", octaves == 2 ? "two" : "three");
    words = over + (over.empty() || words.empty() ? "" : " and ") + words;
    return words + (semitones < 0 ? " below written" : " above written");
}

std::string played_here(const FamilyMember& m)
{
    if (has_model(m.name))
        return "yes";
    return !m.played_on.empty() && has_model(m.played_on) ? m.played_on : "no";
}

/// One labelled paragraph, broken at blanks; lines after the first are indented.
std::string paragraph(const std::string& label, const std::string& text, std::size_t indent = margin)
{
    std::string page = fmt::format("{:<{}}", " " + label, indent);
    std::size_t column = indent;
    bool first = true;
    for (std::size_t start = 0; start < text.size();) {
        const auto end = std::min(text.find(' ', start), text.size());
        const std::string word = text.substr(start, end - start);
        const auto letters =
            std::size_t(std::count_if(word.begin(), word.end(), [](char c) { return (c & 0xC0) != 0x80; }));
        if (!first && column + 1 + letters > width) {
            page += "\n" + std::string(indent, ' ');
            column = indent;
            first = true;
        }
        page += (first ? "" : " ") + word;
        column += letters + (first ? 0 : 1);
        first = false;
        start = end + 1;
    }
    return page + "\n";
}

std::string sharers(const FamilyMember& m)
{
    std::string names;
    for (const FamilyMember& other : family())
        if (&other != &m && other.mouthpiece_group == m.mouthpiece_group && m.mouthpiece_group != "bass")
            names += (names.empty() ? "" : ", ") + other.name;
    return names;
}

std::string times(double factor)
{
    return factor == 1.0 ? "as on the soprano" : fmt::format("{:.2g} of the soprano's", factor);
}

std::string pick_up(const FamilyMember& m)
{
    const ChangeTime time = change_time(nullptr, &m);
    std::string text = fmt::format("from another clarinet under {:.0f} s risky, from {:.0f} s safe",
                                   time.risky_below_s, time.safe_from_s);
    if (m.support != Support::none)
        text += m.support == Support::strap ? " (with a strap)" : " (with a peg)";
    if (const std::string names = sharers(m); !names.empty())
        text += "; 3 to 5 s more if one mouthpiece serves it and another (" + names + ")";
    return text + "; cold, it is flat for the first minute";
}

} // namespace

std::string family_table()
{
    std::string page = "The clarinet family, highest first. C4 is middle C. Tops: what a section player,\n"
                       "a professional and the boldest soloist reach; your player has the last word.\n\n"
                       "                 semi-    written                  sounding\n"
                       " name            tones    low  sect. prof. extr.   low  sect. prof. extr.  here\n";
    for (const FamilyMember& m : family()) {
        page += fmt::format(" {:<16} {:>4}    {:<4} {:<5} {:<5} {:<5}   {:<4} {:<5} {:<5} {:<5}  {}\n",
                            m.name, distance(m.transposition), written_name(m.lowest),
                            written_name(m.top_section), written_name(m.top_professional),
                            written_name(m.top_extreme), sounding_name(m, m.lowest),
                            sounding_name(m, m.top_section), sounding_name(m, m.top_professional),
                            sounding_name(m, m.top_extreme), played_here(m));
    }
    return page + "\nsemitones: from written to sounding. here: what can be played, or on what.\n"
                  "More of one: canebrake instruments bass\n";
}

std::string member_page(const FamilyMember& m)
{
    std::string page = fmt::format("{} ({})\n\n", m.title, m.name);
    std::string sounds = interval_words(m.transposition) + " (" + distance(m.transposition) + ")";
    for (std::size_t i = 1; i < m.notations.size(); ++i)
        sounds += fmt::format("{} in {} clef {}", i == 1 ? "; also written" : " or", m.notations[i].clef,
                              distance(m.notations[i].transposition));
    page += paragraph("sounds", sounds);
    page +=
        paragraph("written", fmt::format("{} to {} in a section, {} for a professional, {} at the extreme",
                                         written_name(m.lowest), written_name(m.top_section),
                                         written_name(m.top_professional), written_name(m.top_extreme)));
    page +=
        paragraph("sounding",
                  fmt::format("{} to {}, {}, {}", sounding_name(m, m.lowest), sounding_name(m, m.top_section),
                              sounding_name(m, m.top_professional), sounding_name(m, m.top_extreme)));
    if (!m.played_on.empty())
        page += paragraph("read on", "the " + member_named(m.played_on)->title + ", as a rule");
    page += paragraph("here", has_model(m.name) ? "can be played"
                              : m.played_on.empty() || !has_model(m.played_on)
                                  ? "cannot be played yet"
                                  : "is played on the " + member_named(m.played_on)->title);
    page += "\n";
    for (const RegisterTendency& r : m.registers)
        page += paragraph(r.name, fmt::format("{} to {}: {}. Pitch: {}.", written_name(r.from),
                                              written_name(r.to), r.tone, r.pitch));
    page += "\n" + paragraph("reed", m.reed) + paragraph("mouthpiece", m.mouthpiece);
    page += paragraph("vents", m.clarion_vents == 1 ? "one for the clarion"
                                                    : "two for the clarion; they change over by themselves");
    if (m.half_hole_altissimo)
        page += paragraph("half-hole", "first finger, for the altissimo only (C#6 up)");
    page += paragraph("breath", "lasts " + times(m.breath_factor));
    page += paragraph("tongue", "speed " + times(m.tongue_factor));
    page += paragraph("to pick up", pick_up(m));
    std::string ids;
    for (const std::string& id : m.sound_ids)
        ids += (ids.empty() ? "MusicXML sound " : ", ") + id;
    page += paragraph("in files",
                      ids + (ids.empty() ? "" : "; ") + fmt::format("MIDI program {}", m.midi_program + 1));
    return page + "\nTone, pitch, tops and times are common practice, not measured: ask your player.\n";
}

} // namespace canebrake
