// SPDX-License-Identifier: MIT
#include "engine/spelling/spell.h"
#include "engine/spots/change.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>

namespace canebrake
{
namespace
{

Ornament* ornament_of(Line& line, std::size_t note, OrnamentKind kind)
{
    if (note < line.notes.size())
        for (Ornament& ornament : line.notes[note].ornaments)
            if (ornament.kind == kind)
                return &ornament;
    return nullptr;
}

} // namespace

Line trill_by(Line line, std::size_t note, int semitones)
{
    if (Ornament* trill = ornament_of(line, note, OrnamentKind::trill)) {
        trill->semitones = semitones;
        trill->letters.reset();
    }
    return line;
}

Line trill_from_above(Line line, std::size_t note)
{
    if (Ornament* trill = ornament_of(line, note, OrnamentKind::trill))
        trill->start = OrnamentStart::upper;
    return line;
}

Line measured(Line line, std::size_t note, double notes_per_quarter)
{
    const Ornament* ornament = ornament_of(line, note, OrnamentKind::trill);
    if (ornament == nullptr)
        ornament = ornament_of(line, note, OrnamentKind::two_note_tremolo);
    if (ornament == nullptr || !(notes_per_quarter > 0.0))
        return line;
    const int away = ornament->kind == OrnamentKind::trill ? std::max(1, std::abs(ornament->semitones))
                                                           : ornament->semitones;
    const Note whole = line.notes[note];
    const auto count =
        std::size_t(std::clamp(std::round(whole.length_quarters * notes_per_quarter), 2.0, 1024.0));
    std::vector<Note> written;
    for (std::size_t i = 0; i < count; ++i) {
        Note one = whole;
        one.ornaments.clear();
        one.length_quarters = whole.length_quarters / double(count);
        one.start_quarter = whole.start_quarter + double(i) * one.length_quarters;
        one.slurred_to_next = i + 1 < count || whole.slurred_to_next;
        one.articulations = i == 0 ? std::uint16_t(whole.articulations & ~(art_breath_after | art_fermata))
                                   : std::uint16_t(art_none);
        if (i + 1 == count)
            one.articulations |= whole.articulations & (art_breath_after | art_fermata);
        if (i % 2 == 1) {
            one.sounding.number += away;
            one.printed += away;
        }
        written.push_back(std::move(one));
    }
    const auto at = line.notes.begin() + std::ptrdiff_t(note);
    line.notes.insert(line.notes.erase(at), written.begin(), written.end());
    std::vector<bool> which(line.notes.size(), false);
    for (std::size_t i = 1; i < count; i += 2)
        which[note + i] = true;
    respell_some(line.notes, line.keys, which);
    return line;
}

Line without_ornament(Line line, std::size_t note, OrnamentKind kind)
{
    if (note < line.notes.size())
        std::erase_if(line.notes[note].ornaments, [&](const Ornament& o) { return o.kind == kind; });
    return line;
}

Line slide_as_run(Line line, std::size_t note)
{
    if (Ornament* slide = ornament_of(line, note, OrnamentKind::slide))
        slide->kind = OrnamentKind::glissando;
    return line;
}

Line without_marks(Line line, std::size_t note, std::uint16_t articulations)
{
    if (note < line.notes.size())
        line.notes[note].articulations &= std::uint16_t(~articulations);
    return line;
}

} // namespace canebrake
