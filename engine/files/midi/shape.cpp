// SPDX-License-Identifier: MIT
#include "engine/files/midi/shape.h"

#include <algorithm>
#include <cmath>

namespace canebrake
{
namespace
{

struct Value {
    std::int64_t tick;
    double value;
};

/// A controller's values while notes sound: what holds at the first note (moved to its start), then each
/// change.
std::vector<Value> controller_values(const std::vector<MidiEvent>& controls, int controller,
                                     std::int64_t begin, std::int64_t end)
{
    std::vector<Value> values;
    for (const MidiEvent& event : controls) {
        if (event.kind() != 0xB0 || event.data1 != controller || event.tick >= end)
            continue;
        if (event.tick <= begin)
            values.assign(1, {begin, double(event.data2)});
        else
            values.push_back({event.tick, double(event.data2)});
    }
    if (!values.empty())
        values.front().tick = begin;
    return values;
}

bool changes(const std::vector<Value>& values)
{
    return std::any_of(values.begin(), values.end(),
                       [&](const Value& v) { return v.value != values[0].value; });
}

} // namespace

double ladder_level(double value)
{
    return std::clamp((value - 16.0) / 16.0, -1.0, 7.0);
}

std::vector<DynamicPoint> midi_dynamics(const std::vector<KeyPress>& notes,
                                        const std::vector<MidiEvent>& controls, double ticks_per_quarter)
{
    if (notes.empty())
        return {};
    const std::int64_t begin = notes.front().on, end = notes.back().off;
    std::vector<Value> blown = controller_values(controls, 2, begin, end);
    if (!changes(blown))
        blown = controller_values(controls, 11, begin, end);
    if (!changes(blown)) {
        blown.clear();
        for (const KeyPress& note : notes) // a struck note is never niente
            blown.push_back({note.on, std::max(16.0, double(note.velocity))});
    }
    std::vector<Value> volume = controller_values(controls, 7, begin, end);
    if (!changes(volume))
        volume.assign(1, {begin, 127.0});
    if (!changes(blown) && !changes(volume))
        return {};
    const double full = std::max_element(volume.begin(), volume.end(), [](const Value& a, const Value& b) {
                            return a.value < b.value;
                        })->value;

    std::vector<DynamicPoint> points;
    double blown_now = blown[0].value, volume_now = volume[0].value;
    for (std::size_t b = 0, v = 0; b < blown.size() || v < volume.size();) {
        const std::int64_t tick = std::min(b < blown.size() ? blown[b].tick : volume[v].tick,
                                           v < volume.size() ? volume[v].tick : blown[b].tick);
        for (; b < blown.size() && blown[b].tick == tick; ++b)
            blown_now = blown[b].value;
        for (; v < volume.size() && volume[v].tick == tick; ++v)
            volume_now = volume[v].value;
        const double level = ladder_level(blown_now * volume_now / full);
        if (points.empty())
            points.push_back({0.0, level, false});
        else if (std::abs(level - points.back().level) >= 0.1 - 1e-9)
            points.push_back({tick / ticks_per_quarter, level, false});
    }
    return points;
}

std::vector<BendPoint> midi_bends(const std::vector<MidiEvent>& controls, double ticks_per_quarter)
{
    std::vector<BendPoint> bends;
    int parameter_msb = 127, parameter_lsb = 127; // 127,127: none chosen
    double semitones = 2.0, cents = 0.0, last = 0.0;
    for (const MidiEvent& event : controls) {
        double bend = last;
        if (event.kind() == 0xB0) {
            const bool range = parameter_msb == 0 && parameter_lsb == 0;
            if (event.data1 == 101)
                parameter_msb = event.data2;
            else if (event.data1 == 100)
                parameter_lsb = event.data2;
            else if (event.data1 == 98 || event.data1 == 99)
                parameter_msb = parameter_lsb = 127; // a parameter outside the register
            else if (event.data1 == 6 && range)
                semitones = event.data2;
            else if (event.data1 == 38 && range)
                cents = event.data2;
            else if (event.data1 == 121)
                bend = 0.0; // reset all controllers
        } else if (event.kind() == 0xE0) {
            const int position = (event.data2 << 7 | event.data1) - 8192;
            bend = position / 8192.0 * (semitones + cents / 100.0);
        }
        if (bend == last)
            continue;
        const double quarter = event.tick / ticks_per_quarter;
        if (!bends.empty() && bends.back().quarter == quarter)
            bends.back().semitones = bend;
        else
            bends.push_back({quarter, bend});
        last = bend;
    }
    return bends;
}

} // namespace canebrake
