// SPDX-License-Identifier: MIT
#include "engine/listening/listening.h"
#include "engine/listening/note_ends.h"
#include "engine/listening/period.h"
#include "engine/listening/projection.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace canebrake
{
namespace listening
{
namespace
{
constexpr double in_register_cents = 80.0;
constexpr double spoken_under_db = 6.0;
constexpr double repeating = 0.6;
constexpr double centroid_span_s = 0.1;
constexpr double centroid_top_hz = 10000.0;

double cents_off(double f, double reference)
{
    return f > 0.0 && reference > 0.0 ? std::abs(1200.0 * std::log2(f / reference)) : 1e9;
}

/// Amplitude-weighted mean of the harmonics up to 10 kHz, in the middle of the stretch.
double centroid_of(std::span<const float> stretch, SampleRate rate, double f)
{
    const auto length = std::min(stretch.size(), std::size_t(centroid_span_s * rate.value));
    const auto part = stretch.subspan((stretch.size() - length) / 2, length);
    const double here = sharpen_fundamental(part, rate, f); // the note may waver about `f`
    const double exact = cents_off(here, f) < 50.0 ? here : f;
    const double top = std::min(centroid_top_hz, 0.49 * rate.value);
    std::vector<std::complex<double>> lines(std::size_t(std::max(1.0, top / exact)));
    project(part, make_window(window_for(length, exact, rate), length),
            2.0 * std::numbers::pi * exact / rate.value, lines);
    double weighted = 0.0, sum = 0.0;
    for (std::size_t i = 0; i < lines.size(); ++i) {
        weighted += std::abs(lines[i]) * double(i + 1) * exact;
        sum += std::abs(lines[i]);
    }
    return sum > 0.0 ? weighted / sum : 0.0;
}

/// How well the first 3 ms or one period of `frame` come back a period later, −1…1: so short a look tells to
/// the millisecond when a lower register gives way, which a frame long enough to find a pitch cannot.
double repeats(std::span<const float> frame, double period)
{
    const auto lag = std::size_t(std::lround(period));
    const std::size_t length = std::min(std::max(lag, frame.size() / 4), frame.size() - lag);
    double product = 0.0, now = 0.0, then = 0.0;
    for (std::size_t n = 0; n < length; ++n) {
        product += double(frame[n]) * double(frame[n + lag]);
        now += double(frame[n]) * double(frame[n]);
        then += double(frame[n + lag]) * double(frame[n + lag]);
    }
    return now > 0.0 && then > 0.0 ? product / std::sqrt(now * then) : 0.0;
}

/// When the note speaks, in samples from its start: the level over a few whole periods about that moment is
/// less than 6 dB under `power`, the sound that follows has the settled pitch, and both still hold 4 ms
/// later. Negative: not within `head`.
double speaking_sample(std::span<const float> head, SampleRate rate, double settled_hz, double power)
{
    const double period = rate.value / settled_hz;
    const auto level_span = std::size_t(std::ceil(0.004 * rate.value / period) * period);
    const auto frame =
        std::size_t(std::clamp(3.0 * period, 0.012 * rate.value, std::max(0.030 * rate.value, 2.2 * period)));
    const auto hop = std::size_t(std::max(1.0, 0.001 * rate.value));
    const std::size_t steady_hops = 4;
    const double wanted = power * std::pow(10.0, -spoken_under_db / 10.0);

    std::vector<double> energy_until(head.size() + 1, 0.0);
    for (std::size_t n = 0; n < head.size(); ++n)
        energy_until[n + 1] = energy_until[n] + double(head[n]) * double(head[n]);
    const auto loud = [&](std::size_t at) {
        const std::size_t from = at - std::min(at, level_span / 2);
        const std::size_t to = std::min(head.size(), at + level_span - level_span / 2);
        return to > from && energy_until[to] - energy_until[from] >= wanted * double(to - from);
    };
    PeriodFinder finder(frame, rate, std::min(settled_hz / 1.5, 110.0), 3000.0);
    const auto in_tune = [&](std::size_t at) {
        const auto part = head.subspan(at, std::min(frame, head.size() - at));
        return double(part.size()) > 1.7 * period && repeats(part, period) >= repeating &&
               cents_off(finder.find(part).frequency_hz, settled_hz) <= in_register_cents;
    };
    std::vector<signed char> tuned(head.size() / hop + steady_hops + 2, -1); // −1: not looked at yet
    const auto tuned_at = [&](std::size_t i) {
        if (tuned[i] < 0)
            tuned[i] = in_tune(i * hop);
        return tuned[i] == 1;
    };
    for (std::size_t i = 0; (i + steady_hops) * hop < head.size(); ++i)
        if (loud(i * hop) && loud((i + steady_hops) * hop) && tuned_at(i) && tuned_at(i + steady_hops))
            return double(i * hop);
    return -1.0;
}
} // namespace

Stretch settled_stretch(std::size_t samples, SampleRate rate)
{
    const auto count = [&](double s) { return std::size_t(std::lround(s * rate.value)); };
    const std::size_t least = std::min(samples, count(0.060)), longest = count(note_end_s);
    std::size_t start = samples - std::size_t(0.6 * double(samples));
    start = std::max(start, samples - std::min(samples, longest));
    std::size_t end = samples - std::min(samples, count(0.040));
    end = std::min(samples, std::max(end, start + least));
    if (end - start < least)
        start = end - least;
    return {start, end};
}

NoteMeasure measure_note_ends(std::span<const float> head, std::span<const float> tail, std::size_t samples,
                              SampleRate rate, double target_hz)
{
    NoteMeasure note;
    note.speaking_s = double(samples) / rate.value;
    const Stretch where = settled_stretch(samples, rate);
    if (where.end <= where.start)
        return note;
    const std::size_t offset = samples - tail.size(); // where `tail` starts in the note
    const auto stretch = tail.subspan(where.start - offset, where.end - where.start);
    const double power = mean_square(stretch);
    note.level_db = level_of(power);

    double f = target_hz > 0.0 ? settled_frequency(stretch, rate, target_hz) : 0.0;
    if (f <= 0.0)
        f = settled_frequency(stretch, rate, 0.0);
    if (f > 0.0 && double(stretch.size()) >= 0.080 * rate.value) {
        // A note that changes register half-way has not settled.
        const auto half = stretch.size() / 2;
        for (const auto part : {stretch.first(half), stretch.last(half)})
            if (cents_off(settled_frequency(part, rate, f), f) > in_register_cents)
                f = 0.0;
    }
    if (f <= 0.0)
        return note;
    note.settled_hz = f;
    note.cents = target_hz > 0.0 ? 1200.0 * std::log2(f / target_hz) : 0.0;
    note.in_register = target_hz > 0.0 && std::abs(note.cents) <= in_register_cents;
    note.centroid_hz = centroid_of(stretch, rate, f);
    if (const double spoke = speaking_sample(head, rate, f, power); spoke >= 0.0)
        note.speaking_s = spoke / rate.value;
    return note;
}

} // namespace listening

NoteMeasure measure_note(std::span<const float> audio, SampleRate rate, double target_hz)
{
    const auto end = std::min(audio.size(), std::size_t(std::lround(listening::note_end_s * rate.value)));
    return listening::measure_note_ends(audio.first(end), audio.last(end), audio.size(), rate, target_hz);
}

} // namespace canebrake
