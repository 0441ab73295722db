// SPDX-License-Identifier: MIT
#include "engine/note_finding/note_frames.h"
#include "engine/listening/period.h"
#include "engine/listening/projection.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <complex>
#include <numbers>
#include <numeric>

namespace canebrake::listening
{
namespace
{
constexpr double short_window_s = 0.024, short_low_hz = 110.0;
constexpr double clear_enough = 0.6, quite_clear = 0.85;
constexpr double least_fundamental = 0.01, mixed_margin = 0.25;
constexpr double audible_db = -80.0;
constexpr double level_span_s = 0.008;
constexpr double enough_rate_hz = 22050.0; // a period of 3 kHz still has 7 samples

/// Every `step`-th sample, after a Hann-windowed low pass: pitches are all that is wanted.
std::vector<float> thinned(std::span<const float> audio, std::size_t step)
{
    const std::size_t reach = 8 * step;
    std::vector<double> taps(2 * reach + 1);
    double sum = 0.0;
    for (std::size_t i = 0; i < taps.size(); ++i) {
        const double x = std::numbers::pi * (double(i) - double(reach)) / double(step);
        const double hann =
            0.5 + 0.5 * std::cos(std::numbers::pi * (double(i) - double(reach)) / double(reach));
        taps[i] = hann * (x == 0.0 ? 1.0 : std::sin(x) / x);
        sum += taps[i];
    }
    std::vector<float> result(audio.size() / step);
    for (std::size_t n = 0; n < result.size(); ++n) {
        double value = 0.0;
        for (std::size_t i = 0; i < taps.size(); ++i)
            if (n * step + i >= reach && n * step + i - reach < audio.size())
                value += taps[i] * double(audio[n * step + i - reach]);
        result[n] = float(value / sum);
    }
    return result;
}

/// The stretch of `length` samples about a moment, whole even at the ends.
std::span<const float> about(std::span<const float> audio, std::size_t centre, std::size_t length)
{
    length = std::min(length, audio.size());
    const std::size_t start = std::min(centre - std::min(centre, length / 2), audio.size() - length);
    return audio.subspan(start, length);
}

/// Mean square without what is constant, which some sound cards add.
double variance(std::span<const float> part)
{
    double sum = 0.0;
    for (const float x : part)
        sum += double(x);
    const double mean = part.empty() ? 0.0 : sum / double(part.size());
    return mean_square(part) - mean * mean;
}

/// Whether a sound that repeats at `hz` has a partial there, at most 20 dB under the whole. Where a room
/// mixes two notes, their sum repeats far below both, and nothing sounds at that pitch; a throat note's first
/// harmonic is 15 dB under its third at most.
bool has_fundamental(std::span<const float> part, SampleRate rate, double hz)
{
    const auto window = make_window(WindowShape::hann, part.size());
    std::array<std::complex<double>, 1> line;
    project(part, window, 2.0 * std::numbers::pi * hz / rate.value, line);
    const double amplitude = 2.0 * std::abs(line[0]) / std::accumulate(window.begin(), window.end(), 0.0);
    return 0.5 * amplitude * amplitude > least_fundamental * variance(part);
}
} // namespace

std::vector<NoteFrame> note_frames(std::span<const float> audio, SampleRate rate, const FindOptions& options)
{
    const auto step = std::max<std::size_t>(1, std::size_t(rate.value / enough_rate_hz));
    const std::vector<float> thin = step > 1 ? thinned(audio, step) : std::vector<float>();
    const std::span<const float> source = step > 1 ? std::span<const float>(thin) : audio;
    const SampleRate source_rate{rate.value / double(step)};
    std::vector<NoteFrame> frames(std::size_t(double(audio.size()) / rate.value / note_hop_s));
    const auto samples = [&](double s) { return std::size_t(s * source_rate.value); };
    const double long_window_s = std::max(short_window_s, 1.7 / options.low_hz);
    if (source.size() < samples(short_window_s))
        return {};
    PeriodFinder brief(samples(short_window_s), source_rate, std::max(options.low_hz, 1.7 / short_window_s),
                       options.high_hz);
    PeriodFinder mixed(samples(short_window_s), source_rate, std::max(options.low_hz, 1.7 / short_window_s),
                       options.high_hz, mixed_margin);
    PeriodFinder patient(samples(long_window_s), source_rate, options.low_hz, options.high_hz);

    double period_s = level_span_s;
    for (std::size_t i = 0; i < frames.size(); ++i) {
        const double time_s = double(i) * note_hop_s;
        const std::size_t centre = samples(time_s);
        const auto part = about(source, centre, samples(short_window_s));
        if (level_of(mean_square(part)) > audible_db) {
            const Period shortly = brief.find(part);
            Period found = shortly;
            if (found.clarity < quite_clear || found.frequency_hz < short_low_hz) {
                const Period longer = patient.find(about(source, centre, samples(long_window_s)));
                if (longer.clarity >= quite_clear &&
                    (longer.frequency_hz < short_low_hz || found.clarity < clear_enough))
                    found = longer;
            }
            if (shortly.clarity >= clear_enough && found.clarity >= clear_enough &&
                !has_fundamental(part, source_rate, found.frequency_hz))
                if (const Period upper = mixed.find(part); upper.clarity >= clear_enough)
                    found = upper;
            if (found.clarity >= clear_enough) {
                frames[i].cents = 1200.0 * std::log2(found.frequency_hz);
                period_s = 1.0 / found.frequency_hz;
            }
        }
        const double span_s = std::ceil(level_span_s / period_s) * period_s;
        const auto middle = std::size_t(time_s * rate.value);
        frames[i].level_db = level_of(variance(about(audio, middle, std::size_t(span_s * rate.value))));
    }
    return frames;
}

} // namespace canebrake::listening
