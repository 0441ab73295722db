// SPDX-License-Identifier: MIT
#include "models/bore/barrel.h"

#include "models/units/input_error.h"

namespace canebrake
{

namespace
{

/// Index of the first corner past the barrel, 0 if there is no barrel.
std::size_t past_barrel(const Geometry& geometry)
{
    int steps = 0;
    for (std::size_t i = 1; i < geometry.bore.size(); ++i)
        if (geometry.bore[i].x_m == geometry.bore[i - 1].x_m && ++steps == 2)
            return i;
    return 0;
}

} // namespace

double barrel_end_m(const Geometry& geometry)
{
    const std::size_t at = past_barrel(geometry);
    return at == 0 ? 0.0 : geometry.bore[at].x_m;
}

Geometry with_barrel_out(Geometry geometry, double by_m)
{
    if (!(by_m >= 0.0 && by_m <= 0.005))
        throw InputError("found a barrel pulled by " + std::to_string(by_m * 1e3) + " mm, wanted 0 to 5",
                         Fault::usage);
    const std::size_t at = past_barrel(geometry);
    if (by_m == 0.0)
        return geometry;
    if (at == 0)
        throw InputError("found no barrel on this instrument that could be pulled", Fault::usage);
    const double end = geometry.bore[at].x_m;
    for (std::size_t i = at; i < geometry.bore.size(); ++i)
        geometry.bore[i].x_m += by_m;
    geometry.bore.insert(geometry.bore.begin() + std::ptrdiff_t(at),
                         {end + by_m, geometry.bore[at - 1].radius_m});
    for (ToneHole& hole : geometry.holes)
        if (hole.x_m > end)
            hole.x_m += by_m;
    return geometry;
}

} // namespace canebrake
