// SPDX-License-Identifier: MIT
#pragma once

// Sounds of which everything is known: sums of sines under a known envelope and known noise.
#include "models/units/units.h"

#include <cmath>
#include <functional>
#include <numbers>
#include <random>
#include <vector>

namespace canebrake
{

using Audio = std::vector<float>;
using Curve = std::function<double(double seconds)>;

inline double from_db(double level)
{
    return std::pow(10.0, level / 20.0);
}
inline double cents(double f, double reference)
{
    return 1200.0 * std::log2(f / reference);
}

/// Harmonic levels re the first, in dB, of three kinds of clarinet note.
inline const std::vector<double> chalumeau{0,   -40, -6,  -34, -12, -30, -17, -28,
                                           -22, -30, -27, -33, -31, -36, -35};
inline const std::vector<double> throat{0, -15, 15, -12, 2, -20, -6, -22, -12};
inline const std::vector<double> clarion{0, -14, -10, -22, -24, -30, -34};
inline const std::vector<double> altissimo{0, -22, -28, -40};

/// Sines at multiples of `pitch` under 0.45 of the rate, the first at −20 dB, times `envelope`, under white
/// noise `noise_db` re the sines' RMS.
inline Audio tone(
    double duration_s, const Curve& pitch, const std::vector<double>& shape,
    const Curve& envelope = [](double) { return 1.0; }, double noise_db = -50.0, unsigned seed = 1,
    SampleRate rate = {48000.0})
{
    Audio audio(std::size_t(duration_s * rate.value));
    std::mt19937 random(seed);
    std::normal_distribution<double> noise;
    double phase = 0.3, power = 0.0;
    for (const double level : shape)
        power += 0.5 * std::pow(from_db(level - 20.0), 2.0);
    const double noise_rms = noise_db < -300.0 ? 0.0 : std::sqrt(power) * from_db(noise_db);
    for (std::size_t n = 0; n < audio.size(); ++n) {
        const double t = double(n) / rate.value, f = pitch(t);
        phase += 2.0 * std::numbers::pi * f / rate.value;
        double x = 0.0;
        for (std::size_t k = 1; k <= shape.size(); ++k)
            if (double(k) * f < 0.45 * rate.value)
                x += from_db(shape[k - 1] - 20.0) * std::sin(double(k) * phase + 0.7 * double(k * k));
        audio[n] = float(x * envelope(t) + noise_rms * noise(random));
    }
    return audio;
}
inline Curve still(double f)
{
    return [f](double) { return f; };
}
/// RMS of all the sines of a shape, re full scale.
inline double rms_db(const std::vector<double>& shape)
{
    double power = 0.0;
    for (const double level : shape)
        power += 0.5 * std::pow(from_db(level - 20.0), 2.0);
    return 10.0 * std::log10(power);
}
inline Curve step(double at_s, double before, double after)
{
    return [=](double t) { return t < at_s ? before : after; };
}

/// The kind of note a B-flat clarinet plays at that sounding pitch.
inline const std::vector<double>& shape_at(double f)
{
    return f < 300.0 ? chalumeau : f < 420.0 ? throat : f < 900.0 ? clarion : altissimo;
}

} // namespace canebrake
