// SPDX-License-Identifier: MIT
// Linked into every test program: however it is started, it works its mode tables out itself and leaves the
// user's cache alone. Tests of the cache name a folder of their own.
#include <cstdlib>

namespace
{

const int no_cache = setenv("CANEBRAKE_NO_CACHE", "1", 1);

} // namespace
