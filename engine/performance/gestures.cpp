// SPDX-License-Identifier: MIT
// What lip, tract, tongue and throat add to a note: slides and flutter.
#include "engine/performance/performance.h"

#include <algorithm>
#include <cmath>

namespace canebrake
{

namespace
{

constexpr double flutter_hz = 26.0; // 20–30

/// How far lip, tract and a finger half off its hole can pull a written note down, cents. Pads up to C♯5 do
/// not smear, open holes from D5 do, the top of the clarion and the altissimo bend by the tract (Chen, Smith
/// & Wolfe 2009, abstract: reliable upwards in the clarion and above; the sizes from memory).
double bend_limit(int written)
{
    return written < 67    ? 50.0
           : written <= 70 ? 125.0
           : written <= 73 ? 40.0
           : written <= 78 ? 110.0
           : written <= 84 ? 250.0
                           : 400.0;
}

} // namespace

bool Performance::slides_into(std::size_t note) const
{
    const auto figure = [&](std::size_t i) -> const std::optional<Figure>& {
        return line_.notes[part_.notes[i].line_note].figure;
    };
    return slurred_into(note) && figure(note - 1) && figure(note - 1)->kind == OrnamentKind::slide &&
           (!figure(note) || figure(note)->group == figure(note - 1)->group) &&
           fingering(note).register_number == fingering(note - 1).register_number;
}

/// Inside a slide each fingering is bent from its neighbour's pitch or towards it, as far as the note allows:
/// a whole semitone where the instrument slides, less where it breaks up into steps. Nothing bends upwards,
/// so a rising slide takes the coming finger early, a falling one keeps the old one long.
double Performance::bend_cents(std::size_t note, double time_s) const
{
    const PlannedNote& now = part_.notes[note];
    const double limit = skill_.bend * bend_limit(now.written.number);
    const double share =
        std::clamp((time_s - now.start_s) / std::max(1e-3, now.end_s - now.start_s), 0.0, 1.0);
    const auto gap = [&](std::size_t other) {
        return 100.0 * double(part_.notes[other].written.number - now.written.number);
    };
    double cents = 0.0;
    if (slides_into(note) && gap(note - 1) < 0.0) {
        const bool last =
            !line_.notes[now.line_note].figure; // the note that was aimed at: arrive within 80 ms
        const double reached = last ? std::clamp((time_s - now.start_s) / 0.08, 0.0, 1.0) : share;
        cents = std::max(gap(note - 1), -limit) * (1.0 - reached);
    }
    if (note + 1 < part_.notes.size() && slides_into(note + 1) && gap(note + 1) < 0.0) {
        const bool held_before = line_.notes[now.line_note].figure->role == 0;
        const double begun = held_before ? std::clamp((time_s - (now.end_s - 0.08)) / 0.08, 0.0, 1.0) : share;
        cents = std::max(gap(note + 1), -limit) * begun;
    }
    return cents;
}

/// The bend crosses over with the fingers, so that the pitch itself runs on while the holes change.
double Performance::slide_cents(std::size_t note, double time_s) const
{
    const double here = bend_cents(note, time_s);
    const double since = time_s - part_.notes[note].start_s;
    if (!slides_into(note) || since >= slide_fade_s)
        return here;
    const double before = bend_cents(note - 1, part_.notes[note].start_s);
    return before + std::clamp(since / slide_fade_s, 0.0, 1.0) * (here - before);
}

/// Factor on the breath: tongue or throat rattling behind the reed. It costs breath, and the more the higher.
double Performance::flutter(std::size_t note, double time_s) const
{
    const PlannedNote& now = part_.notes[note];
    if (!(line_.notes[now.line_note].articulations & art_flutter))
        return 1.0;
    const double depth = now.written.number <= 74 ? 0.30 : 0.22;
    const double phase = std::fmod((time_s - now.start_s) * flutter_hz, 1.0);
    return 1.0 - depth * (0.5 - 0.5 * std::cos(2.0 * 3.14159265358979 * phase));
}

} // namespace canebrake
