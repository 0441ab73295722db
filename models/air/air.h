// SPDX-License-Identifier: MIT
#pragma once

#include "models/units/units.h"

namespace canebrake
{

/// The air inside the instrument. SI units.
struct Air {
    double sound_speed_mps;
    double density_kgpm3;
    double viscosity_pas;
    double conductivity_wpmk;
    double heat_capacity_jpkgk;
    double heat_ratio;
    /// √(μ/ρ) and √(κ/(ρ Cp)), in m/√s: with √s and a radius they give the boundary layers' share of a
    /// section.
    double viscous_length() const;
    double thermal_length() const;
};

/// Moist air with carbon dioxide, from −20 to 60 °C at sea level; relative humidity 0…1, CO2 as a mole
/// fraction. Fits of A. Ernoult, Inria RR-9500 (2023), as quoted in open wind-acoustics code; first-order
/// terms kept. What is left out: the pressure's effect on density (weather moves no pitch), and the profile
/// along the tube.
Air moist_air(Celsius, double relative_humidity, double co2_fraction);

/// What stands in a clarinet that has been played for a few minutes: saturated, 2.5 % CO2.
Air breath_air(Celsius);

} // namespace canebrake
