// SPDX-License-Identifier: MIT
#include "models/reed/flow.h"
#include "models/reed/reed.h"

#include <catch2/catch.hpp>

#include <numbers>
#include <random>

using namespace canebrake;

namespace
{

constexpr double two_pi = 2.0 * std::numbers::pi;

/// A reed driven by a force given sample by sample.
template <class Force> std::vector<double> motion(double rate, double hz, double damping, double s, Force f)
{
    Reed reed;
    reed.prepare(rate, hz, damping);
    std::vector<double> x;
    double last = f(0.0);
    for (int n = 1; n <= int(s * rate); ++n) {
        const double now = f(n / rate);
        x.push_back(reed.advance(last) + reed.direct() * now);
        last = now;
    }
    return x;
}

} // namespace

TEST_CASE("the reed's flow satisfies Bernoulli's equation with the bore's answer in it", "[reed][law]")
{
    std::mt19937 random(7);
    std::uniform_real_distribution<double> pressure(-2.0, 2.0), response(0.0, 2.0), opening(0.0, 1.5);
    for (int i = 0; i < 2000; ++i) {
        const double gamma = pressure(random), history = pressure(random);
        const double B = response(random), w = opening(random);
        const double u = reed_flow(gamma, history, B, w);
        const double drop = gamma - (history + B * u);
        CAPTURE(gamma, history, B, w);
        CHECK(u == Approx(std::copysign(w * std::sqrt(std::abs(drop)), drop)).margin(1e-7));
    }
}

TEST_CASE("a shut reed lets nothing through and equal pressures move nothing", "[reed]")
{
    CHECK(reed_flow(0.7, -0.3, 0.2, 0.0) == 0.0);
    CHECK(reed_flow(0.4, 0.4, 0.3, 0.5) == 0.0);
    CHECK(reed_flow(0.9, 0.4, 0.3, 0.5) == -reed_flow(0.4, 0.9, 0.3, 0.5));
    CHECK(reed_flow(0.5, 0.25, 0.0, 0.3) == Approx(0.3 * 0.5)); // rigid bore: w √Δ
}

TEST_CASE("a steady force bends the reed as far as the force", "[reed][law]")
{
    // x'' + q ω x' + ω² x = ω² F settles at x = F.
    const auto x = motion(48000.0, 2000.0, 0.8, 0.02, [](double) { return -0.37; });
    CHECK(x.back() == Approx(-0.37).epsilon(1e-9));
}

TEST_CASE("a reed rings at its own pitch and dies in its own time at every sample rate", "[reed][law]")
{
    const double hz = 2200.0;
    const double q = GENERATE(0.1, 0.4, 1.0);
    const double omega = two_pi * hz, decay = 0.5 * q * omega;
    const double omega_d = omega * std::sqrt(1.0 - 0.25 * q * q);
    for (const double rate : {16000.0, 44100.0, 48000.0, 96000.0, 192000.0}) {
        CAPTURE(rate, q);
        // A force that comes on over one sample T: x(t) = (G(t + T) − G(t))/T, G the answer to a ramp,
        // G = t − q/ω + e^(−decay·t)(q/ω cos ω_d t + (decay q/ω − 1)/ω_d sin ω_d t).
        const auto ramp = [&](double t) {
            return t - q / omega +
                   std::exp(-decay * t) * (q / omega * std::cos(omega_d * t) +
                                           (decay * q / omega - 1.0) / omega_d * std::sin(omega_d * t));
        };
        const auto x = motion(rate, hz, q, 0.004, [](double) { return 1.0; });
        double worst = 0.0;
        for (std::size_t n = 0; n < x.size(); ++n) {
            const double t = double(n + 1) / rate;
            worst = std::max(worst, std::abs(x[n] - (ramp(t + 1.0 / rate) - ramp(t)) * rate));
        }
        CHECK(worst < 1e-9);
    }
}

TEST_CASE("a reed answers a ramp exactly, whatever the sample rate", "[reed][twin]")
{
    // Straight between samples is what the hold assumes, so a ramp is exact: x → F − q/ω · slope.
    const double q = 0.7, hz = 1900.0, slope = 40.0;
    for (const double rate : {22050.0, 48000.0, 96000.0}) {
        const auto x = motion(rate, hz, q, 0.05, [&](double t) { return slope * t; });
        const double t = double(x.size()) / rate;
        CHECK(x.back() == Approx(slope * t - q / (two_pi * hz) * slope).epsilon(1e-9));
    }
}

TEST_CASE("a reset reed is a new reed", "[reed][invariant]")
{
    Reed used, fresh;
    used.prepare(48000.0, 2100.0, 0.6);
    fresh.prepare(48000.0, 2100.0, 0.6);
    for (int i = 0; i < 100; ++i)
        used.advance(std::sin(0.3 * i));
    used.reset();
    for (int i = 0; i < 50; ++i)
        CHECK(used.advance(0.1 * i) == fresh.advance(0.1 * i));
}
