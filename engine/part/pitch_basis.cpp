// SPDX-License-Identifier: MIT
#include "engine/part/pitch_basis.h"

#include <algorithm>
#include <cmath>

namespace canebrake
{

void set_pitch_basis(Line& line, PitchBasis basis, int transposition)
{
    set_pitch_basis(line, basis, [transposition](double) { return transposition; });
}

void set_pitch_basis(Line& line, PitchBasis basis, const std::function<int(double)>& transposition)
{
    if (basis == PitchBasis::as_file)
        return;
    // A microtone is what is left of sounding − printed beside the file's own transposition: that of the
    // nearest note before (or else after) without one.
    const auto shift = [](const Note& note) { return note.sounding.number - note.printed; };
    const auto whole = [&](const Note& note) { return shift(note) == std::round(shift(note)); };
    const auto first = std::find_if(line.notes.begin(), line.notes.end(), whole);
    double file_transposition = first != line.notes.end() ? shift(*first) : 0.0;
    if (first == line.notes.end() && !line.notes.empty())
        file_transposition = std::trunc(shift(line.notes[0]));
    for (Note& note : line.notes) {
        if (whole(note))
            file_transposition = shift(note);
        const double microtone = shift(note) - file_transposition;
        note.sounding.number =
            note.printed + microtone + (basis == PitchBasis::written ? transposition(note.start_quarter) : 0);
    }
    line.written_known = basis == PitchBasis::written;
}

} // namespace canebrake
