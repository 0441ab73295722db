// SPDX-License-Identifier: MIT
#include "models/air/air.h"
#include "models/bore/wall_loss.h"
#include "models/units/units.h"

#include <catch2/catch.hpp>

#include <numbers>

using namespace canebrake;

namespace
{

/// Propagation constant Γ(jω) of a round tube, 1/m: real part attenuation, imaginary part wavenumber.
Complex propagation(const Air& air, double radius_m, double hz)
{
    const WallLoss loss(air);
    const Complex s{0.0, 2.0 * std::numbers::pi * hz};
    const Complex root = 1.0 / std::sqrt(s);
    return s / air.sound_speed_mps * std::sqrt(loss.series(radius_m, root) * loss.shunt(radius_m, root));
}

double sound_speed(double celsius, double humidity, double co2 = 4.2e-4)
{
    return moist_air({celsius}, humidity, co2).sound_speed_mps;
}

double cents(double to, double from)
{
    return cents_between({to}, {from}).value;
}

} // namespace

TEST_CASE("sound in air is as fast as the standards say", "[air][outside]")
{
    // Dry air at 0 °C: 331.45 m/s (Chaigne & Kergomard 2016, p. 241, through open wind-acoustics code).
    CHECK(sound_speed(0.0, 0.0) == Approx(331.45).margin(0.3));
    // O. Cramer, JASA 93 (1993) 2510: 343.37 m/s dry at 20 °C and 0.0314 % CO2; from memory, so ± 0.3.
    CHECK(sound_speed(20.0, 0.0) == Approx(343.37).margin(0.3));
    // A. Ernoult, Inria RR-9500 (2023), as worked out by hand beforehand.
    CHECK(sound_speed(20.0, 0.5) == Approx(343.99).margin(0.01));
    CHECK(sound_speed(25.0, 0.5) == Approx(347.13).margin(0.01));
    CHECK(sound_speed(30.0, 1.0) == Approx(351.5).margin(0.06));
    CHECK(sound_speed(35.0, 1.0, 0.04) == Approx(351.5).margin(0.06));
}

TEST_CASE("a degree of warmth is three cents, moisture sharpens and breath flattens", "[air][outside]")
{
    // "+3.19 cents a degree", a makers' forum figure; the gas law gives 3.0 (600/ln2 / 288 K).
    const double a_degree = cents(sound_speed(30.0, 0.5), sound_speed(20.0, 0.5)) / 10.0;
    CHECK(a_degree > 2.9);
    CHECK(a_degree < 3.3);
    // Humidity 0 → 100 % at 30 °C: some 11 cents.
    CHECK(cents(sound_speed(30.0, 1.0), sound_speed(30.0, 0.0)) == Approx(11.0).margin(1.0));
    // CO2 from fresh air to 4 %: "somewhat less than a fifth of a semitone" (a published wind-acoustics
    // page).
    const double breath = cents(sound_speed(30.0, 1.0, 0.04), sound_speed(30.0, 1.0));
    CHECK(breath < -14.0);
    CHECK(breath > -20.0);
    CHECK(breath_air({25.0}).sound_speed_mps == sound_speed(25.0, 1.0, 0.025));
}

TEST_CASE("dry air is as dense and as viscous as handbooks have it", "[air][outside]")
{
    // Handbook values of dry air at 20 °C, sea level (from memory): 1.204 kg/m³, 1.82e-5 Pa s, γ 1.40,
    // Prandtl number 0.71.
    const Air air = moist_air({20.0}, 0.0, 4.2e-4);
    CHECK(air.density_kgpm3 == Approx(1.204).margin(0.002));
    CHECK(air.viscosity_pas == Approx(1.82e-5).epsilon(0.005));
    CHECK(air.heat_ratio == Approx(1.40).margin(0.003));
    const double prandtl = air.viscosity_pas * air.heat_capacity_jpkgk / air.conductivity_wpmk;
    CHECK(prandtl == Approx(0.71).margin(0.015));
}

TEST_CASE("a tube's wall takes what theory and a measured pipe say", "[air][outside]")
{
    // Pipe of 7.8 mm inner diameter at 200 Hz: 0.11 1/m (Dickens, France, Smith & Wolfe, Acoustics Australia
    // 35, 2007, 17, methods page).
    CHECK(propagation(moist_air({25.0}, 0.5, 4.2e-4), 3.9e-3, 200.0).real() == Approx(0.11).margin(0.005));
    // Clarinet bore, radius 7.3 mm, 25 °C: independent evaluation of Chaigne & Kergomard eq. 5.143–5.144.
    const Air air = moist_air({25.0}, 0.5, 4.2e-4);
    const double table[][3]{{100, 0.0416, 0.978},
                            {200, 0.0585, 0.984},
                            {500, 0.0920, 0.990},
                            {1000, 0.1297, 0.993},
                            {1500, 0.1587, 0.994}};
    for (const auto& [hz, attenuation, speed_ratio] : table) {
        const Complex g = propagation(air, 7.3e-3, hz);
        CAPTURE(hz);
        CHECK(g.real() == Approx(attenuation).epsilon(0.01));
        const double wavenumber = 2.0 * std::numbers::pi * hz / air.sound_speed_mps;
        CHECK(wavenumber / g.imag() == Approx(speed_ratio).margin(0.001));
    }
}

TEST_CASE("wall loss grows with the root of frequency and with one over the radius", "[air][law]")
{
    const Air air = moist_air({25.0}, 0.5, 4.2e-4);
    const double loss = propagation(air, 7.3e-3, 2000.0).real();
    CHECK(propagation(air, 7.3e-3, 8000.0).real() / loss == Approx(2.0).epsilon(0.02));
    CHECK(propagation(air, 14.6e-3, 2000.0).real() / loss == Approx(0.5).epsilon(0.02));
}
