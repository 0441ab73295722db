// SPDX-License-Identifier: MIT
#pragma once

#include "models/bore/geometry.h"
#include "models/modes/mode_table.h"

#include <array>
#include <cmath>
#include <cstdint>
#include <span>

namespace canebrake
{

/// xorshift64* (S. Vigna, "An experimental exploration of Marsaglia's xorshift generators", 2016): the same
/// numbers for the same seed, however a line is cut.
class Dice
{
public:
    void seed(std::uint64_t seed) noexcept { state_ = seed * 0x9E3779B97F4A7C15ull + 0xD1B54A32D192ED03ull; }
    /// −1 … 1, white.
    double operator()() noexcept
    {
        state_ ^= state_ >> 12;
        state_ ^= state_ << 25;
        state_ ^= state_ >> 27;
        return double(std::int64_t(state_ * 2685821657736338717ull)) * 0x1p-63;
    }

private:
    std::uint64_t state_ = 1;
};

/// Turbulence of the jet at the reed's edge, as a pressure that the breath brings along. A jet past an edge
/// is a dipole, its sound pressure as the cube of the jet's speed and as the root of its area (N. Curle,
/// Proc. R. Soc. A 231, 1955, 505; from memory): with u = A·v and v² as the mouth pressure p_m
///
///   noise ∝ v³ √A = √|u| · p_m^(5/4)
///
/// so that a pianissimo's noise is 12 dB under a fortissimo's, where the tone is 30 dB under it.
class BreathNoise
{
public:
    void prepare(double rate) noexcept { follow_ = 1.0 - std::exp(-2.0 * 3.14159265358979 * top_hz / rate); }
    void reset() noexcept { low_ = 0.0; }
    /// What `mouth_pa` makes of an amount of noise; for a whole tick.
    static double strength(double amount, double mouth_pa) noexcept
    {
        return amount * std::pow(std::max(0.0, mouth_pa) / usual_pa, 1.25);
    }
    /// Over the closing pressure.
    double next(double white, double strength, double flow) noexcept
    {
        low_ += follow_ * (white - low_);
        return strength * low_ * std::sqrt(std::abs(flow) + 1e-9);
    }

private:
    static constexpr double top_hz = 5000.0, usual_pa = 5700.0;
    double follow_ = 0.0, low_ = 0.0;
};

/// Pads and rings: a finger that comes down or lets go knocks a little air into the tube where its hole is. A
/// burst of noise of a few milliseconds, as flow at the changed holes: what the bore lets out of it,
///
///   ż_n = s_n z_n + C_n ψ_n(hole) q
///
/// and, as the air that is pushed in comes from outside, a part by the rate of change of q itself. The second
/// alone is heard where the hole that moves lies far from any open one. Louder for many fingers, for pads
/// more than for flesh, for closing more than for opening (common practice, no source). Left out: what the
/// metal radiates by itself.
class KeyNoise
{
public:
    void prepare(const Geometry&, double rate) noexcept;
    void reset() noexcept { left_ = 0; }
    /// The holes of `to` are shut and open from now on; `to` is the bank that hears it.
    void strike(HoleState from, const ModeTable& to, double amount, Dice&) noexcept;
    /// The register key has come up or gone down.
    void strike_vent(const ModeTable& now, double amount, Dice&) noexcept;
    bool sounding() const noexcept { return left_ > 0; }
    /// Adds one sample to the modes' real and imaginary parts; returns what is heard of it outside the tube.
    double add(double white, std::span<double, max_modes> real,
               std::span<double, max_modes> imaginary) noexcept;

private:
    void begin() noexcept;
    double rate_ = 48000.0, follow_ = 0.0, die_ = 0.0, low_ = 0.0, lower_ = 0.0, envelope_ = 0.0;
    double power_ = 0.0, last_ = 0.0; ///< of all holes together; the last flow
    int left_ = 0;                    ///< samples
    std::array<double, 32> weight_{};
    std::array<double, max_modes> real_{}, imaginary_{};
};

/// Above the highest mode of a table the sound would end in a cliff. There the flow through the reed simply
/// passes through mouthpiece and tube: a part of it, as large as the bore lets out by direct calculation
/// (8.5–16 kHz: 7 to 10 dB under 6.2–7.2 kHz on most fingerings), by its rate of change like all sound,
/// rounded off above 10 kHz (beyond 14 kHz waves across the tube are not modelled).
class HighBand
{
public:
    void prepare(double rate) noexcept;
    void reset() noexcept;
    /// How much of the flow gets out with these holes.
    static double share(const ModeTable&) noexcept;
    double next(double flow, double share) noexcept;

private:
    struct Section {
        double x1 = 0.0, x2 = 0.0, y1 = 0.0, y2 = 0.0;
    };
    double rate_ = 48000.0;
    std::array<double, 2> b0_{}, a1_{}, a2_{};
    std::array<Section, 2> section_{};
    double last_ = 0.0, follow_ = 1.0, low_ = 0.0;
};

} // namespace canebrake
