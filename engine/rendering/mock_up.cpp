// SPDX-License-Identifier: MIT
#include "engine/rendering/mock_up.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace canebrake
{

namespace
{

constexpr double sink_s = 0.12;  // of it, blown hard enough to speak
constexpr double join_s = 0.020; // cross-fade of a slur
constexpr double rise_s = 0.008, fall_s = 0.030;

} // namespace

MockUp::MockUp(const Instrument& instrument, const Performance& performance, StateTables& tables, double rate)
    : instrument_(instrument), performance_(performance), tables_(tables), rate_(rate)
{
}

void MockUp::start_at(std::size_t note)
{
    for (Player& player : players_)
        player.note = none;
    next_ = first_ = note;
}

/// How much of a note is heard. Joined notes share sin² + cos² of power; others rise and fall on their own.
double MockUp::weight(std::size_t note, double time_s) const
{
    const auto& notes = performance_.notes();
    const double end = performance_.sounding_end(note);
    const auto ramp = [](double x) { return std::sin(0.5 * std::numbers::pi * std::clamp(x, 0.0, 1.0)); };
    const bool from_join = note > first_ && performance_.joined(note - 1);
    const double in = from_join ? ramp((time_s - notes[note].start_s + 0.5 * join_s) / join_s)
                                : ramp((time_s - notes[note].start_s) / rise_s);
    const double out = performance_.joined(note) ? ramp((end + 0.5 * join_s - time_s) / join_s)
                                                 : ramp((end - time_s) / fall_s);
    return in * out;
}

void MockUp::process(double time_s, std::span<double, control_tick> out)
{
    const auto& notes = performance_.notes();
    const double tick_s = double(control_tick) / rate_;
    while (next_ < notes.size() && notes[next_].start_s - lead_s <= time_s) {
        const std::size_t note = next_++;
        if (notes[note].silent)
            continue;
        Player& player = players_[note % voices];
        player.voice.prepare(instrument_, tables_.bore().characteristic_impedance(),
                             tables_.bore().air().density_kgpm3, rate_, note + 1);
        const Fingering& fingering = performance_.fingering(note);
        player.voice.start_state(tables_.table(fingering.holes, fingering.vent_number));
        player.note = note;
        player.begun_s = time_s;
    }
    std::fill(out.begin(), out.end(), 0.0);
    for (Player& player : players_) {
        if (player.note == none)
            continue;
        if (time_s > performance_.sounding_end(player.note) + join_s) {
            player.note = none;
            continue;
        }
        Control c = performance_.held(player.note, time_s + tick_s);
        const double since = time_s - player.begun_s;
        const double start = performance_.start_gamma(player.note, time_s + tick_s);
        // The very first note has no time to be set going unheard: it starts as a player's would.
        const double keep_s = notes[player.note].start_s - player.begun_s < lead_s - 0.05 ? 0.03 : sink_s;
        const double sunk = std::clamp((since - keep_s) / 0.05, 0.0, 1.0);
        c.gamma = std::max(c.gamma, start + sunk * (c.gamma - start));
        std::array<double, control_tick> block;
        player.voice.process(c, block);
        const double from = weight(player.note, time_s), to = weight(player.note, time_s + tick_s);
        for (std::size_t k = 0; k < control_tick; ++k)
            out[k] += block[k] * (from + (to - from) * double(k + 1) / double(control_tick));
    }
}

} // namespace canebrake
