// SPDX-License-Identifier: MIT
#include "engine/listening/listening.h"
#include "engine/listening/note_ends.h"
#include "engine/listening/period.h"
#include "engine/listening/projection.h"

#include <algorithm>
#include <cmath>

namespace canebrake
{
namespace
{
constexpr double arrived_cents = 80.0;
constexpr double steady_cents = 50.0;
constexpr double steady_db = 3.0;
constexpr double hop_s = 0.002;
constexpr double longest_look_back_s = 0.25;
/// Levels are taken over 18 ms under a Hann window, which averages noise like 12 ms with square ends, and
/// unlike that does not swing with the periods of a low note (up to 1/(2π·f·12 ms) of its power with square
/// ends: 0.5 dB at 120 Hz).
constexpr double level_span_s = 0.018;

double cents_off(double f, double reference)
{
    return f > 0.0 && reference > 0.0 ? std::abs(1200.0 * std::log2(f / reference)) : 1e9;
}

/// Level about a moment; the audio is taken as going on as loud as it is where the window hangs over an end.
double level_about(std::span<const float> audio, std::size_t at, std::span<const double> window)
{
    const std::size_t half = window.size() / 2;
    double sum = 0.0, weight = 0.0;
    for (std::size_t i = 0; i < window.size(); ++i)
        if (at + i >= half && at + i - half < audio.size()) {
            const double x = double(audio[at + i - half]);
            sum += window[i] * x * x;
            weight += window[i];
        }
    return listening::level_of(weight > 0.0 ? sum / weight : 0.0);
}
} // namespace

SlurMeasure measure_slur(std::span<const float> audio, SampleRate rate, double change_s, double from_hz,
                         double to_hz)
{
    SlurMeasure slur;
    const auto change = std::min(audio.size(), std::size_t(std::max(0.0, change_s) * rate.value));
    const auto after = audio.subspan(change);
    if (after.empty())
        return slur;
    const auto settled = listening::settled_stretch(after.size(), rate);
    const auto new_note = after.subspan(settled.start, settled.end - settled.start);
    const auto look_back =
        std::min(change - std::size_t(0.4 * double(change)), std::size_t(longest_look_back_s * rate.value));
    const auto old_note = audio.subspan(change - look_back, look_back);

    double new_hz = settled_frequency(new_note, rate, to_hz);
    if (new_hz <= 0.0)
        new_hz = settled_frequency(new_note, rate, 0.0);
    slur.arrived = cents_off(new_hz, to_hz) <= arrived_cents;
    const double new_db = listening::level_of(listening::mean_square(new_note));
    const double old_db = listening::level_of(listening::mean_square(old_note));
    const double softer_db = old_note.empty() ? new_db : std::min(old_db, new_db);

    // Backwards from where the new note counts as settled: the last moment that is not yet the new note.
    const auto hop = std::size_t(std::max(1.0, hop_s * rate.value));
    const auto window =
        listening::make_window(listening::WindowShape::hann, std::size_t(level_span_s * rate.value));
    const double low_hz = std::min(to_hz, new_hz > 0.0 ? new_hz : to_hz);
    const double slow_hz = std::min(low_hz, from_hz > 0.0 ? from_hz : low_hz);
    const auto frame = std::size_t(std::clamp(2.5 / slow_hz, 0.012, 0.030) * rate.value);
    listening::PeriodFinder finder(frame, rate, std::max(55.0, slow_hz / 1.5), 3000.0);
    const auto is_new = [&](std::size_t at) {
        if (std::abs(level_about(audio, at, window) - new_db) > steady_db)
            return false;
        const std::size_t start = at - std::min(at, frame / 2);
        const auto part = audio.subspan(start, std::min(frame, audio.size() - start));
        const auto found = finder.find(part);
        if (cents_off(found.frequency_hz, new_hz) <= steady_cents)
            return true;
        const auto wanted = finder.near(new_hz, steady_cents); // strong upper harmonics, still the new note
        return wanted.frequency_hz > 0.0 && found.frequency_hz > 1.5 * new_hz &&
               cents_off(found.frequency_hz, from_hz) > steady_cents && wanted.clarity >= found.clarity;
    };
    std::size_t steady_from = change + settled.start;
    if (slur.arrived) {
        while (steady_from >= change + hop && is_new(steady_from - hop))
            steady_from -= hop;
        slur.settle_s = double(steady_from - change) / rate.value;
    } else {
        slur.settle_s = double(after.size()) / rate.value;
    }

    const std::size_t until = std::min(steady_from + window.size(), change + settled.start);
    double lowest_db = softer_db;
    const auto fine_hop = std::size_t(std::max(1.0, 0.5 * double(hop)));
    for (std::size_t at = change; at <= until; at += fine_hop)
        lowest_db = std::min(lowest_db, level_about(audio, at, window));
    slur.dip_db = softer_db - lowest_db;
    return slur;
}

} // namespace canebrake
