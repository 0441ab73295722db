// SPDX-License-Identifier: MIT
#include "engine/listening/note_frames.h"
#include "engine/listening/period.h"
#include "engine/listening/projection.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace canebrake::listening
{
namespace
{
constexpr double short_window_s = 0.024, short_low_hz = 110.0;
constexpr double clear_enough = 0.6, quite_clear = 0.85;
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
    PeriodFinder patient(samples(long_window_s), source_rate, options.low_hz, options.high_hz);

    double period_s = level_span_s;
    for (std::size_t i = 0; i < frames.size(); ++i) {
        const double time_s = double(i) * note_hop_s;
        const std::size_t centre = samples(time_s);
        const auto part = about(source, centre, samples(short_window_s));
        if (level_of(mean_square(part)) > audible_db) {
            Period found = brief.find(part);
            if (found.clarity < quite_clear || found.frequency_hz < short_low_hz) {
                const Period longer = patient.find(about(source, centre, samples(long_window_s)));
                if (longer.clarity >= quite_clear &&
                    (longer.frequency_hz < short_low_hz || found.clarity < clear_enough))
                    found = longer;
            }
            if (found.clarity >= clear_enough) {
                frames[i].cents = 1200.0 * std::log2(found.frequency_hz);
                period_s = 1.0 / found.frequency_hz;
            }
        }
        const double span_s = std::ceil(level_span_s / period_s) * period_s;
        const auto middle = std::size_t(time_s * rate.value);
        frames[i].level_db = level_of(mean_square(about(audio, middle, std::size_t(span_s * rate.value))));
    }
    return frames;
}

} // namespace canebrake::listening
