// SPDX-License-Identifier: MIT
#include "engine/listening/projection.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace canebrake::listening
{

std::vector<double> make_window(WindowShape shape, std::size_t length)
{
    using Terms = std::array<double, 4>;
    const Terms terms =
        shape == WindowShape::hann ? Terms{0.5, 0.5, 0.0, 0.0} : Terms{0.35875, 0.48829, 0.14128, 0.01168};
    std::vector<double> window(length);
    // It is the same from both ends. The cosine turns a sample at a time: 1e-13 off after a second.
    const auto turn = std::polar(1.0, 2.0 * std::numbers::pi / double(length));
    auto here = std::polar(1.0, std::numbers::pi / double(length));
    for (std::size_t n = 0; n < (length + 1) / 2; ++n, here *= turn) {
        const double c = here.real();
        const double c2 = 2.0 * c * c - 1.0, c3 = c * (2.0 * c2 - 1.0); // Chebyshev: cos 2φ, cos 3φ
        window[n] = window[length - 1 - n] = terms[0] - terms[1] * c + terms[2] * c2 - terms[3] * c3;
    }
    return window;
}

WindowShape window_for(std::size_t length, double frequency_hz, SampleRate rate)
{
    const double periods = double(length) * frequency_hz / rate.value;
    return periods >= 4.5 ? WindowShape::blackman_harris : WindowShape::hann;
}

void project(std::span<const float> audio, std::span<const double> window, double omega,
             std::span<std::complex<double>> out)
{
    constexpr std::size_t lanes = 8; // turning together: what the compiler makes vectors of
    // A resonator without loss at each frequency, s = x + 2 cos(kω) s₋₁ − s₋₂, ends up holding the sum
    // (G. Goertzel, Amer. Math. Monthly 65, 1958): three operations a sample where a turning phasor takes
    // ten.
    const double last = double(audio.size()) - 1.0;
    for (std::size_t first = 0; first < out.size(); first += lanes) {
        std::array<double, lanes> twice_cos, s1{}, s2{};
        for (std::size_t k = 0; k < lanes; ++k)
            twice_cos[k] = 2.0 * std::cos(omega * double(first + k + 1));
        for (std::size_t n = 0; n < audio.size(); ++n) {
            const double x = window[n] * double(audio[n]);
            for (std::size_t k = 0; k < lanes; ++k) {
                const double s = (x - s2[k]) + twice_cos[k] * s1[k];
                s2[k] = s1[k];
                s1[k] = s;
            }
        }
        for (std::size_t k = 0; k < std::min(lanes, out.size() - first); ++k) {
            const double turn = omega * double(first + k + 1);
            out[first + k] =
                std::polar(1.0, -turn * last) * s1[k] - std::polar(1.0, -turn * (last + 1.0)) * s2[k];
        }
    }
}

double sharpen_fundamental(std::span<const float> audio, SampleRate rate, double guess_hz)
{
    struct Pass {
        double distance; ///< as a part of the stretch
        int harmonics;
    };
    constexpr std::array<Pass, 3> passes{{{1.0 / 16.0, 3}, {1.0 / 5.0, 8}, {1.0 / 2.0, 8}}};
    const double to_omega = 2.0 * std::numbers::pi / rate.value;
    const double three_periods = 3.0 * rate.value / guess_hz;
    double omega = guess_hz * to_omega;
    std::vector<std::complex<double>> early, late;
    for (const Pass pass : passes) {
        const double room = double(audio.size()) - three_periods;
        const auto distance = std::size_t(std::min(pass.distance * double(audio.size()), room));
        if (room < 1.0 || distance < 1)
            break;
        const int heard = int(std::min(10000.0, 0.45 * rate.value) * to_omega / omega);
        const std::size_t count = std::size_t(std::clamp(heard, 1, pass.harmonics));
        const std::size_t length = audio.size() - distance;
        const double f = omega / to_omega;
        const auto window = make_window(window_for(length, f, rate), length);
        early.resize(count);
        late.resize(count);
        project(audio.first(length), window, omega, early);
        project(audio.subspan(distance, length), window, omega, late);
        double turn = 0.0, weight = 0.0;
        for (std::size_t i = 0; i < count; ++i) {
            const double k = double(i + 1), power = std::abs(early[i]) * std::abs(late[i]);
            const auto expected = std::polar(1.0, -k * omega * double(distance));
            turn += k * power * std::arg(late[i] * std::conj(early[i]) * expected) / double(distance);
            weight += k * k * power;
        }
        if (weight <= 0.0)
            break;
        omega += turn / weight;
    }
    return omega / to_omega;
}

double mean_square(std::span<const float> audio)
{
    double sum = 0.0;
    for (const float x : audio)
        sum += double(x) * double(x);
    return audio.empty() ? 0.0 : sum / double(audio.size());
}

double level_of(double power)
{
    return power > 1e-12 ? 10.0 * std::log10(power) : -120.0;
}

} // namespace canebrake::listening
