// SPDX-License-Identifier: MIT
#include "engine/listening/spectrum.h"
#include "engine/listening/listening.h"
#include "engine/listening/period.h"
#include "engine/listening/projection.h"

#include <kissfft/kissfft.hh>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace canebrake
{
namespace
{
using listening::make_window;
using listening::WindowShape;

constexpr double coarse_span_s = 0.2; // the period is first looked for in so much of the middle
constexpr double segment_s = 0.25;    // longer stretches are heard in segments, and the median taken
constexpr std::size_t most_segments = 8;
constexpr double least_clarity = 0.5;
constexpr double own_lines_db = -30.0; // a fundamental must show so much energy in lines of its own
constexpr double centroid_top_hz = 10000.0;
constexpr double noise_top_hz = 16000.0;
constexpr double longest_s = 1.0;

std::span<const float> middle(std::span<const float> audio, double span_s, SampleRate rate)
{
    const auto length = std::min(audio.size(), std::size_t(span_s * rate.value));
    return audio.subspan((audio.size() - length) / 2, length);
}

/// Whether a sound that repeats at `f` is really at `f`, and not at `multiple`·f: energy in the harmonics
/// that are not multiples of `multiple`.
bool has_own_lines(std::span<const float> audio, SampleRate rate, double f, int multiple)
{
    const auto window = make_window(listening::window_for(audio.size(), f, rate), audio.size());
    const double top = std::min(8000.0, 0.45 * rate.value);
    std::vector<std::complex<double>> lines(std::size_t(std::clamp(int(top / f), 1, 3 * multiple)));
    listening::project(audio, window, 2.0 * std::numbers::pi * f / rate.value, lines);
    double own = 0.0, all = 0.0;
    for (std::size_t i = 0; i < lines.size(); ++i) {
        all += std::norm(lines[i]);
        own += (int(i) + 1) % multiple ? std::norm(lines[i]) : 0.0;
    }
    return own > all * std::pow(10.0, own_lines_db / 10.0);
}

double coarse_frequency(std::span<const float> audio, SampleRate rate, double near_hz)
{
    constexpr double long_stretch_margin = 0.006;
    const auto part = middle(audio, coarse_span_s, rate);
    const double low_hz = near_hz > 0.0 ? std::min(55.0, near_hz / 1.2) : 55.0; // a contrabass goes to 35 Hz
    listening::PeriodFinder finder(part.size(), rate, low_hz, 3000.0, long_stretch_margin);
    const auto found = finder.find(part);
    if (found.clarity < least_clarity)
        return 0.0;
    if (near_hz <= 0.0)
        return found.frequency_hz;
    const double off = 1200.0 * std::log2(found.frequency_hz / near_hz);
    if (std::abs(off) <= 150.0)
        return found.frequency_hz;
    const int multiple = int(std::lround(found.frequency_hz / near_hz));
    const auto wanted = finder.near(near_hz, 150.0);
    // While a short note settles it may repeat best after two of its periods or more.
    const int periods = int(std::lround(near_hz / found.frequency_hz));
    if (periods >= 2 && wanted.clarity >= least_clarity &&
        !has_own_lines(part, rate, wanted.frequency_hz / periods, periods))
        return wanted.frequency_hz;
    const bool there = multiple >= 2 && wanted.clarity >= found.clarity - 0.1 &&
                       has_own_lines(part, rate, wanted.frequency_hz, multiple);
    return there ? wanted.frequency_hz : 0.0;
}

/// Power of the spectrum under `noise_top_hz` further than the window's main lobe from every harmonic,
/// scaled up for the gaps, over power of the whole. dB.
double noise_level(std::span<const float> audio, SampleRate rate, double f)
{
    const std::size_t length = audio.size();
    const double periods = double(length) * f / rate.value;
    const bool wide = periods >= 10.0; // room between two main lobes of 4/duration each side
    const auto window = make_window(wide ? WindowShape::blackman_harris : WindowShape::hann, length);
    std::size_t size = 1024;
    while (size < length)
        size *= 2;
    std::vector<double> in(size);
    std::vector<std::complex<double>> bins(size / 2); // up to half the rate
    double mean = 0.0;
    for (const float x : audio)
        mean += double(x) / double(length);
    for (std::size_t n = 0; n < length; ++n)
        in[n] = window[n] * (double(audio[n]) - mean);
    kissfft<double>(size / 2, false).transform_real(in.data(), bins.data());
    bins[0] = bins[0].real(); // the one at half the rate comes in its imaginary part

    const double bin_hz = rate.value / double(size);
    const double lobe_hz = (wide ? 4.5 : 2.2) * rate.value / double(length);
    const double top_hz = std::min(noise_top_hz, 0.5 * rate.value);
    double noise = 0.0, all = 0.0, heard = 0.0, counted = 0.0;
    for (std::size_t i = 0; i < bins.size() && double(i) * bin_hz < top_hz; ++i) {
        const double hz = double(i) * bin_hz, power = std::norm(bins[i]);
        const double harmonic = std::round(hz / f) * f; // 0 is left out too: what stands at DC is no noise
        heard += 1.0;
        all += power;
        if (std::abs(hz - harmonic) > lobe_hz) {
            noise += power;
            counted += 1.0;
        }
    }
    if (counted < 1.0 || all <= 0.0)
        return 0.0;
    noise *= heard / counted;
    return std::max(-120.0, 10.0 * std::log10(std::max(noise, 1e-30) / std::max(all - noise, 1e-6 * all)));
}
} // namespace

double settled_frequency(std::span<const float> audio, SampleRate rate, double near_hz)
{
    if (double(audio.size()) < 0.008 * rate.value || listening::mean_square(audio) < 1e-12)
        return 0.0;
    const double coarse = coarse_frequency(audio, rate, near_hz);
    if (coarse <= 0.0)
        return 0.0;
    const auto segment = std::min(audio.size(), std::size_t(segment_s * rate.value));
    const auto count = std::min(most_segments, std::max<std::size_t>(1, audio.size() / segment));
    std::vector<double> heard;
    for (std::size_t i = 0; i < count; ++i) {
        const std::size_t slack = audio.size() - segment;
        const std::size_t start = count == 1 ? slack / 2 : i * slack / (count - 1);
        heard.push_back(listening::sharpen_fundamental(audio.subspan(start, segment), rate, coarse));
    }
    std::sort(heard.begin(), heard.end());
    const double f = 0.5 * (heard[(count - 1) / 2] + heard[count / 2]);
    const double reference = near_hz > 0.0 ? near_hz : coarse;
    return f > 0.0 && std::abs(1200.0 * std::log2(f / reference)) <= 150.0 ? f : 0.0;
}

Harmonics harmonics(std::span<const float> audio, SampleRate rate, double near_hz, int count)
{
    const auto part = middle(audio, longest_s, rate);
    if (double(part.size()) < 2.0 * rate.value / near_hz || listening::mean_square(part) < 1e-12)
        return {};
    listening::PeriodFinder finder(std::min(part.size(), std::size_t(coarse_span_s * rate.value)), rate,
                                   0.9 * near_hz, 1.2 * near_hz);
    finder.find(middle(part, coarse_span_s, rate));
    const auto period = finder.near(near_hz, 60.0);
    return listening::harmonics_at(part, rate, period.frequency_hz > 0.0 ? period.frequency_hz : near_hz,
                                   count);
}

Harmonics listening::harmonics_at(std::span<const float> audio, SampleRate rate, double sounding_hz,
                                  int count)
{
    Harmonics result;
    const auto part = middle(audio, longest_s, rate);
    if (double(part.size()) < 2.0 * rate.value / sounding_hz)
        return result;
    const double f = listening::sharpen_fundamental(part, rate, sounding_hz);
    result.fundamental_hz = f;

    const double nyquist = 0.5 * rate.value;
    const int for_centroid = int(std::min(centroid_top_hz, nyquist) / f);
    const int possible = int(std::ceil(nyquist / f)) - 1;
    const int all = std::clamp(std::max(count, for_centroid), 1, std::max(possible, 1));
    std::vector<std::complex<double>> lines(std::size_t(all), 0.0);
    const auto window = make_window(listening::window_for(part.size(), f, rate), part.size());
    listening::project(part, window, 2.0 * std::numbers::pi * f / rate.value, lines);
    double window_sum = 0.0;
    for (const double w : window)
        window_sum += w;
    double weighted = 0.0, sum = 0.0;
    for (int k = 1; k <= all; ++k) {
        const double amplitude = 2.0 * std::abs(lines[std::size_t(k - 1)]) / window_sum;
        if (k <= for_centroid) {
            weighted += amplitude * k * f;
            sum += amplitude;
        }
        if (k <= count)
            result.level_db.push_back(std::max(-200.0, 20.0 * std::log10(amplitude + 1e-12)));
    }
    result.level_db.resize(std::size_t(std::max(count, 0)), -200.0);
    result.centroid_hz = sum > 0.0 ? weighted / sum : 0.0;
    result.noise_db = noise_level(part, rate, f);
    return result;
}

} // namespace canebrake
