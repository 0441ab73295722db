#!/bin/sh
# SPDX-License-Identifier: MIT
# installed_copy.sh CASE SOURCE BUILD INSTALLED COMPILER: installs into an empty folder, or builds the examples
# against what is there, or takes the sources in as a subproject. Everything it says is a failure.
set -eu
case_name=$1 source=$2 build=$3 installed=$4 compiler=$5
examples=$source/assets/examples

fail() { echo "installed copy: $*"; exit 1; }
# expect WHAT COMMAND...: the command's output holds it.
expect() {
    what=$1
    shift
    "$@" >"$work/said" 2>&1 || fail "$1 ended with $?: $(cat "$work/said")"
    grep -q -- "$what" "$work/said" || fail "$1: no '$what' in: $(head -c 2000 "$work/said")"
}

work=$installed-$case_name
rm -rf "$work"
mkdir -p "$work"

case $case_name in
    install)
        rm -rf "$installed"
        cmake --install "$build" --prefix "$installed" >"$work/log" 2>&1 || fail "$(cat "$work/log")"
        expect '^canebrake [0-9]' "$installed/bin/canebrake" --version
        [ -f "$installed/share/canebrake/schemas/canebrake-spots.schema.json" ] || fail "no schemas"
        # Nothing but the C face shows.
        library=$(find "$installed" -name 'libcanebrake_c.so' | head -1)
        others=$(nm -D --defined-only "$library" | awk '{print $3}' | grep -v '^canebrake_' || true)
        [ -z "$others" ] || fail "symbols besides the C face: $(echo "$others" | head -5)"
        ;;
    cmake)
        cmake -S "$examples" -B "$work" -DCMAKE_PREFIX_PATH="$installed" -DCMAKE_CXX_COMPILER="$compiler" \
            >"$work/log" 2>&1 || fail "$(cat "$work/log")"
        cmake --build "$work" -j2 >"$work/log" 2>&1 || fail "$(cat "$work/log")"
        ! grep -i warning "$work/log" || fail "warnings"
        # Written E3 on the B-flat clarinet sounds D3, 146.8 Hz; the air column's first peak lies near it.
        expect '^peak 1[45][0-9] Hz' "$work/impedance" E3
        "$work/phrase_to_sound" "C5" >"$work/sound.f32" || fail "phrase_to_sound ended with $?"
        bytes=$(wc -c <"$work/sound.f32")
        [ "$bytes" -gt 100000 ] && [ $((bytes % 4)) -eq 0 ] || fail "$bytes bytes of sound"
        expect '"schema": "canebrake-spots"' "$work/score_to_spots" "$installed/share/canebrake/scores/solo.musicxml"
        ;;
    pkgconfig)
        PKG_CONFIG_PATH=$(dirname "$(find "$installed" -name canebrake-c.pc)")
        export PKG_CONFIG_PATH
        # shellcheck disable=SC2046
        cc -std=c99 -Wpedantic -Wall -Wextra -Werror "$examples/score_to_spots.c" -o "$work/spots" \
            $(pkg-config --define-prefix --cflags --libs canebrake-c) || fail "the C example does not build"
        LD_LIBRARY_PATH=$(dirname "$PKG_CONFIG_PATH") expect '"schema": "canebrake-spots"' "$work/spots" \
            "$installed/share/canebrake/scores/solo.musicxml"
        # shellcheck disable=SC2046
        "$compiler" -std=c++20 -Wall -Wextra -Werror "$examples/phrase_to_sound.cpp" -o "$work/sound" \
            $(pkg-config --define-prefix --cflags --libs canebrake) || fail "the C++ example does not build"
        "$work/sound" "C5" | head -c 1000 >"$work/sound.f32"
        [ -s "$work/sound.f32" ] || fail "no sound"
        ;;
    subproject)
        cat >"$work/CMakeLists.txt" <<'TEXT'
cmake_minimum_required(VERSION 3.25)
project(host LANGUAGES CXX)
add_subdirectory(${CANEBRAKE} canebrake EXCLUDE_FROM_ALL)
get_property(tests DIRECTORY ${CANEBRAKE} PROPERTY TESTS)
get_target_property(flags canebrake_models INTERFACE_COMPILE_OPTIONS)
if(TARGET canebrake OR TARGET canebrake_app OR TARGET Catch2::Catch2 OR tests OR flags OR CMAKE_BUILD_TYPE)
    message(FATAL_ERROR "brings more than libraries: ${tests} ${flags} ${CMAKE_BUILD_TYPE}")
endif()
add_executable(impedance ${CANEBRAKE}/assets/examples/impedance.cpp)
target_link_libraries(impedance PRIVATE canebrake::models)
TEXT
        cmake -S "$work" -B "$work/build" -DCANEBRAKE="$source" -DCMAKE_CXX_COMPILER="$compiler" \
            >"$work/log" 2>&1 || fail "$(cat "$work/log")"
        cmake --build "$work/build" --target impedance -j2 >"$work/log" 2>&1 || fail "$(cat "$work/log")"
        ! grep -i warning "$work/log" || fail "warnings"
        expect '^peak 1[45][0-9] Hz' "$work/build/impedance" E3
        ;;
    *) fail "found '$case_name', wanted install, cmake, pkgconfig or subproject" ;;
esac
