// SPDX-License-Identifier: MIT
#include "engine/synthesis/noise.h"

#include <algorithm>
#include <bit>
#include <numbers>

namespace canebrake
{

namespace
{

constexpr double pi = std::numbers::pi;
constexpr double burst_s = 0.008; // all of it
constexpr double burst_die_s = 0.0016;
constexpr double felt_hz = 2000.0; // pads and flesh are soft
constexpr double knock_pa = 130.0; // of flow times the bore's impedance: one pad closing
constexpr double outside_share = 0.2;
constexpr double high_hz = 7400.0; // where the modes stop
constexpr double round_hz = 10000.0;
constexpr double high_loss = 0.42; // see HighBand

} // namespace

void KeyNoise::prepare(const Geometry& geometry, double rate) noexcept
{
    rate_ = rate;
    follow_ = 1.0 - std::exp(-2.0 * pi * felt_hz / rate);
    die_ = std::exp(-1.0 / (burst_die_s * rate));
    for (std::size_t h = 0; h < geometry.holes.size() && h < weight_.size(); ++h)
        weight_[h] = geometry.holes[h].cover == HoleCover::pad ? 1.0 : 0.8;
    reset();
}

void KeyNoise::begin() noexcept
{
    if (left_ == 0) {
        real_.fill(0.0);
        imaginary_.fill(0.0);
        low_ = lower_ = power_ = last_ = 0.0;
    }
    left_ = int(burst_s * rate_);
    envelope_ = 1.0;
}

void KeyNoise::strike(HoleState from, const ModeTable& to, double amount, Dice& dice) noexcept
{
    const std::uint32_t changed = (from.open ^ to.state.open) | (from.half ^ to.state.half);
    if (amount <= 0.0 || changed == 0 || to.count == 0)
        return;
    begin();
    const std::size_t holes = to.shapes.size() / to.count;
    // One hand moves several holes and does not strike each as hard as one alone.
    amount *= std::pow(double(std::popcount(changed)), -0.4);
    for (std::size_t h = 0; h < holes; ++h) {
        if (!(changed >> h & 1u))
            continue;
        const bool opens = to.state.open >> h & 1u;
        const double luck = 1.0 + 0.3 * dice();
        const double sign = dice() < 0.0 ? -1.0 : 1.0;
        const double strength = sign * luck * amount * weight_[h] * (opens ? 0.7 : 1.0);
        power_ += strength * strength;
        for (std::size_t n = 0; n < to.count; ++n) {
            const Complex gain = strength * to.impedance[n] * to.shapes[n * holes + h].under_hole;
            real_[n] += gain.real();
            imaginary_[n] += gain.imag();
        }
    }
}

void KeyNoise::strike_vent(const ModeTable& now, double amount, Dice& dice) noexcept
{
    if (amount <= 0.0)
        return;
    begin();
    const double strength = 0.5 * (1.0 + 0.3 * dice()) * amount; // a small pad
    power_ += strength * strength;
    for (std::size_t n = 0; n < now.count; ++n) {
        real_[n] += strength * now.vent[n].real();
        imaginary_[n] += strength * now.vent[n].imag();
    }
}

double KeyNoise::add(double white, std::span<double, max_modes> real,
                     std::span<double, max_modes> imaginary) noexcept
{
    low_ += follow_ * (white - low_);
    lower_ += follow_ * (low_ - lower_);
    const double q = knock_pa * lower_ * envelope_;
    const double inside = q / rate_;
    envelope_ *= die_;
    --left_;
    for (std::size_t n = 0; n < max_modes; ++n) {
        real[n] += inside * real_[n];
        imaginary[n] += inside * imaginary_[n];
    }
    const double change = std::sqrt(power_) * (q - last_) * rate_;
    last_ = q;
    return outside_share * change;
}

void HighBand::prepare(double rate) noexcept
{
    rate_ = rate;
    follow_ = 1.0 - std::exp(-2.0 * pi * round_hz / rate);
    // Butterworth, fourth order, bilinear.
    const double k = std::tan(pi * high_hz / rate);
    for (std::size_t i = 0; i < 2; ++i) {
        const double q = 0.5 / std::cos(pi * (i == 0 ? 1.0 : 3.0) / 8.0);
        const double norm = 1.0 / (1.0 + k / q + k * k);
        b0_[i] = norm;
        a1_[i] = 2.0 * (k * k - 1.0) * norm;
        a2_[i] = (1.0 - k / q + k * k) * norm;
    }
    reset();
}

void HighBand::reset() noexcept
{
    section_ = {};
    last_ = low_ = 0.0;
}

double HighBand::share(const ModeTable& table) noexcept
{
    double sum = 0.0;
    constexpr int points = 12;
    for (int i = 0; i < points; ++i) {
        const double hz = 6200.0 + 1000.0 * (i + 0.5) / points;
        sum += std::norm(table.radiation_at({0.0, 2.0 * pi * hz}));
    }
    return high_loss * std::min(3.0, std::sqrt(sum / points));
}

double HighBand::next(double flow, double share) noexcept
{
    double x = flow;
    for (std::size_t i = 0; i < 2; ++i) {
        Section& s = section_[i];
        const double y = b0_[i] * (x - 2.0 * s.x1 + s.x2) - a1_[i] * s.y1 - a2_[i] * s.y2;
        s = {x, s.x1, y, s.y1};
        x = y;
    }
    const double change = (x - last_) * rate_;
    last_ = x;
    low_ += follow_ * (change - low_);
    return share * low_;
}

} // namespace canebrake
