// SPDX-License-Identifier: MIT
#include "engine/listening/listening.h"
#include "engine/listening/period.h"
#include "engine/listening/projection.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace canebrake
{
namespace
{
constexpr double clear_enough = 0.6;  // of the normalised correlation
constexpr double audible_db = -95.0;  // under this a pitch means nothing
constexpr std::size_t short_slip = 5; // frames

/// Whether `f` is an octave or a twelfth off `steady`, within 60 cents.
bool slipped(double f, double steady)
{
    constexpr std::array<double, 4> slips{1200.0, -1200.0, 1901.955, -1901.955};
    const double off = 1200.0 * std::log2(f / steady);
    return std::any_of(slips.begin(), slips.end(), [&](double s) { return std::abs(off - s) < 60.0; });
}
} // namespace

std::vector<TrackFrame> track(std::span<const float> audio, SampleRate rate, const TrackOptions& options)
{
    // 1.7 periods of the lowest pitch at least, or its lag cannot be looked at.
    const double window_s = std::max(options.window_s, 1.7 / options.low_hz);
    const auto window = std::min(std::size_t(window_s * rate.value), audio.size());
    std::vector<TrackFrame> frames;
    if (window < 16)
        return frames;
    listening::PeriodFinder finder(window, rate, options.low_hz, options.high_hz);
    const double hop = std::max(1.0, options.hop_s * rate.value);
    const auto frame_at = [&](std::size_t i) {
        return audio.subspan(std::size_t(std::llround(double(i) * hop)), window);
    };
    const auto count = std::size_t(double(audio.size() - window) / hop) + 1;
    for (std::size_t i = 0; i < count; ++i) {
        const auto start = std::size_t(std::llround(double(i) * hop));
        if (start + window > audio.size())
            break;
        const auto part = frame_at(i);
        TrackFrame frame;
        frame.time_s = (double(start) + 0.5 * double(window)) / rate.value;
        frame.level_db = listening::level_of(listening::mean_square(part));
        if (frame.level_db > audible_db) {
            const auto period = finder.find(part);
            frame.clarity = period.clarity;
            frame.frequency_hz = period.clarity >= clear_enough ? period.frequency_hz : 0.0;
        }
        frames.push_back(frame);
    }

    // A slip of an octave or twelfth for a few frames, between two agreeing pitches: read those frames again
    // at the pitch around them, and believe it if the correlation is nearly as high there.
    for (std::size_t i = 1; i + 1 < frames.size(); ++i) {
        const double before = frames[i - 1].frequency_hz;
        if (before <= 0.0 || frames[i].frequency_hz <= 0.0 || !slipped(frames[i].frequency_hz, before))
            continue;
        std::size_t end = i;
        while (end < frames.size() && end - i <= short_slip &&
               (frames[end].frequency_hz <= 0.0 || slipped(frames[end].frequency_hz, before)))
            ++end;
        if (end == frames.size() || end - i > short_slip ||
            std::abs(1200.0 * std::log2(frames[end].frequency_hz / before)) > 80.0)
            continue;
        for (std::size_t j = i; j < end; ++j) {
            finder.find(frame_at(j));
            const auto period = finder.near(before, 100.0);
            if (period.clarity >= 0.85 * frames[j].clarity && period.clarity >= clear_enough) {
                frames[j].frequency_hz = period.frequency_hz;
                frames[j].clarity = period.clarity;
            }
        }
    }
    return frames;
}

} // namespace canebrake
