// SPDX-License-Identifier: MIT
#pragma once

#include "models/bore/geometry.h"

namespace canebrake
{

/// Where the barrel meets the upper joint: the second step of the bore, the first being that from the
/// mouthpiece into the barrel. 0 where there is none.
double barrel_end_m(const Geometry&);

/// The same instrument with its barrel pulled out by `by_m` (0…5 mm): a piece of tube as wide as the barrel's
/// end, and all below it that much farther away. As if the gap held a tuning ring; without one the gap is as
/// wide as the socket, which flattens a little more. Throws InputError outside 0…5 mm or where no barrel is
/// found.
Geometry with_barrel_out(Geometry, double by_m);

} // namespace canebrake
