// SPDX-License-Identifier: MIT
#include "models/air/air.h"

namespace canebrake
{

double Air::viscous_length() const
{
    return std::sqrt(viscosity_pas / density_kgpm3);
}
double Air::thermal_length() const
{
    return std::sqrt(conductivity_wpmk / (density_kgpm3 * heat_capacity_jpkgk));
}

Air moist_air(Celsius temperature, double relative_humidity, double co2_fraction)
{
    const double t20 = 293.15;
    const double kelvin = temperature.value + 273.15;
    const double warm = kelvin / t20 - 1.0;
    const double cold = t20 / kelvin;
    const double water = relative_humidity * std::pow(10.0, 5.21899 - 5.8294 * cold - 1.0252 * cold * cold);
    const double dh = water - 0.011571;
    const double dx = co2_fraction - 4.2e-4;
    Air air{};
    air.sound_speed_mps = 343.986 * std::sqrt((1.0 + warm) * (1.0 + 0.314 * dh - 0.520 * dx));
    air.density_kgpm3 = 1.1993 * cold * (1.0 - 0.3767 * dh + 0.4162 * dx - 0.00291 * warm);
    air.viscosity_pas = 1.8206e-5 * (1.0 + 0.77013 * warm);
    air.conductivity_wpmk = 2.5562e-2 * (1.0 + 0.849 * warm);
    air.heat_capacity_jpkgk = 1012.25 * (1.0 + 0.5438 * dh - 0.1594 * dx);
    air.heat_ratio = 1.40108 * (1.0 - 0.060 * dh - 0.104 * dx - 0.0087 * warm);
    return air;
}

Air breath_air(Celsius temperature)
{
    return moist_air(temperature, 1.0, 0.025);
}

} // namespace canebrake
