// SPDX-License-Identifier: MIT
#include "engine/spots/ear.h"

#include "engine/listening/listening.h"

#include <algorithm>
#include <cmath>
#include <span>

namespace canebrake
{
namespace
{

constexpr double run_up_s = 0.22;       // a note stands for so long before fingers move
constexpr std::size_t run_up_notes = 5; // or so many notes are played before
constexpr double longest_note_s = 1.2, longest_change_s = 0.6;

} // namespace

double late_speech_ms(const Instrument& instrument)
{
    const bool low = instrument.transposition <= -14;
    return low ? 450.0 : 150.0;
}

Ear::Ear(const Instrument& instrument, const Line& line, Part part, const RenderSettings& settings)
    : joined_(part.joined), rate_(settings.rate), rendering_(instrument, line, std::move(part), settings)
{
}

std::span<const float> Ear::Slice::between(double start_s, double end_s, SampleRate rate) const
{
    const auto at = [&](double time_s) {
        return std::min(audio.size(), std::size_t(std::max(0.0, (time_s - from_s) * rate.value)));
    };
    const std::size_t start = at(start_s);
    return std::span(audio).subspan(start, std::max(start, at(end_s)) - start);
}

Ear::Slice Ear::listen(std::size_t first, double until_s)
{
    rendering_.start_at(first);
    Slice slice{{}, rendering_.position_s()};
    slice.audio.resize(std::size_t(std::max(0.0, until_s - slice.from_s) * rate_.value));
    slice.audio.resize(rendering_.process(slice.audio));
    return slice;
}

/// Where to begin so that a note stands when it is left.
std::size_t Ear::run_up(std::size_t note) const
{
    const auto& notes = rendering_.notes();
    std::size_t first = note;
    while (slurred_into(first) && note - first < run_up_notes &&
           notes[note].end_s - notes[first].start_s < run_up_s)
        --first;
    return first;
}

Heard Ear::change_into(std::size_t into)
{
    const auto& notes = rendering_.notes();
    const PlannedNote &old_note = notes[into - 1], &new_note = notes[into];
    const double end_s = std::min(new_note.end_s, new_note.start_s + longest_change_s);
    const Slice slice = listen(run_up(into - 1), end_s);
    const double from_s = std::max(old_note.start_s, new_note.start_s - longest_change_s);
    const SlurMeasure slur = measure_slur(slice.between(from_s, end_s, rate_), rate_,
                                          new_note.start_s - from_s, old_note.target_hz, new_note.target_hz);
    Heard heard;
    heard.dip_db = slur.dip_db;
    heard.settle_ms = 1e3 * slur.settle_s;
    heard.arrived = slur.arrived;
    const NoteMeasure before =
        measure_note(slice.between(old_note.start_s, new_note.start_s, rate_), rate_, old_note.target_hz);
    const NoteMeasure after =
        measure_note(slice.between(new_note.start_s, end_s, rate_), rate_, new_note.target_hz);
    if (before.settled_hz > 0.0 && after.settled_hz > 0.0) {
        heard.cents = after.cents;
        heard.jump_db = after.level_db - before.level_db;
        heard.tone_change = after.centroid_hz / before.centroid_hz;
    }
    return heard;
}

Heard Ear::note(std::size_t at)
{
    const PlannedNote& note = rendering_.notes()[at];
    const double end_s = std::min(rendering_.sounding_end(at), note.start_s + longest_note_s);
    const Slice slice = listen(slurred_into(at) ? run_up(at - 1) : at, end_s);
    const NoteMeasure measure =
        measure_note(slice.between(note.start_s, end_s, rate_), rate_, note.target_hz);
    Heard heard;
    heard.arrived = measure.in_register;
    if (!slurred_into(at))
        heard.speech_ms = 1e3 * measure.speaking_s;
    if (measure.settled_hz > 0.0)
        heard.cents = measure.cents;
    return heard;
}

Heard Ear::beside(std::size_t at, std::size_t neighbour)
{
    const auto& notes = rendering_.notes();
    const auto [first, last] = std::minmax(at, neighbour);
    const double end_s = std::min(rendering_.sounding_end(last), notes[last].start_s + longest_note_s);
    const Slice slice = listen(slurred_into(first) ? run_up(first - 1) : first, end_s);
    const auto measured = [&](std::size_t i) {
        return measure_note(
            slice.between(notes[i].start_s, std::min(rendering_.sounding_end(i), end_s), rate_), rate_,
            notes[i].target_hz);
    };
    const NoteMeasure here = measured(at), there = measured(neighbour);
    Heard heard;
    heard.arrived = here.in_register;
    if (here.settled_hz > 0.0)
        heard.cents = here.cents;
    if (here.settled_hz > 0.0 && there.settled_hz > 0.0) {
        heard.jump_db = here.level_db - there.level_db;
        heard.tone_change = here.centroid_hz / there.centroid_hz;
    }
    return heard;
}

} // namespace canebrake
