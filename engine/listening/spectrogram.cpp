// SPDX-License-Identifier: MIT
#include "engine/listening/spectrogram.h"
#include "engine/listening/projection.h"

#include <kissfft/kissfft.hh>

#include <algorithm>
#include <cmath>

namespace canebrake
{

Spectrogram spectrogram(std::span<const float> audio, SampleRate rate, const SpectrogramOptions& options)
{
    Spectrogram picture;
    const auto window_length = std::size_t(options.window_s * rate.value);
    if (audio.empty() || window_length < 4 || options.columns < 1 || options.rows < 1)
        return picture;
    const auto window = listening::make_window(listening::WindowShape::blackman_harris, window_length);
    double window_sum = 0.0;
    for (const double w : window)
        window_sum += w;
    std::size_t size = 1;
    while (size < 2 * window_length)
        size *= 2;
    const kissfft<double> transform(size, false);
    std::vector<std::complex<double>> in(size), bins(size);

    const double row_hz = options.top_hz / double(options.rows), bin_hz = rate.value / double(size);
    for (int row = 0; row < options.rows; ++row)
        picture.frequency_hz.push_back((row + 0.5) * row_hz);
    const double column = double(audio.size()) / double(options.columns);
    for (int i = 0; i < options.columns; ++i) {
        const auto centre = std::ptrdiff_t((double(i) + 0.5) * column);
        for (std::size_t n = 0; n < window_length; ++n) {
            const auto at = centre + std::ptrdiff_t(n) - std::ptrdiff_t(window_length / 2);
            const bool inside = at >= 0 && at < std::ptrdiff_t(audio.size());
            in[n] = inside ? window[n] * double(audio[std::size_t(at)]) : 0.0;
        }
        transform.transform(in.data(), bins.data());
        std::vector<float> levels;
        for (int row = 0; row < options.rows; ++row) {
            const auto first = std::size_t(row * row_hz / bin_hz);
            const auto last = std::max(first, std::size_t((row + 1) * row_hz / bin_hz));
            double highest = 0.0;
            for (std::size_t k = first; k <= last && k <= size / 2; ++k)
                highest = std::max(highest, std::abs(bins[k]));
            levels.push_back(float(20.0 * std::log10(2.0 * highest / window_sum + 1e-10)));
        }
        picture.time_s.push_back(double(centre) / rate.value);
        picture.level_db.push_back(std::move(levels));
    }
    return picture;
}

} // namespace canebrake
