// SPDX-License-Identifier: MIT
#pragma once

/// Stands behind `noexcept` on what runs on the audio thread: no allocation, lock, file, log, throw, or loop
/// without a bound. A compiler that can check it does (clang 20); tests/engine/live_tests.cpp counts
/// allocations whoever compiles.
#if defined(__has_cpp_attribute)
#if __has_cpp_attribute(clang::nonblocking)
#define CANEBRAKE_REALTIME [[clang::nonblocking]]
#endif
#endif
#ifndef CANEBRAKE_REALTIME
#define CANEBRAKE_REALTIME
#endif
