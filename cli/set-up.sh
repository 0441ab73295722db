# SPDX-License-Identifier: MIT
# What cli/first-run.sh and tests/run.sh have in common. Sourced, with $root set to the project's folder.
# shellcheck shell=sh disable=SC2034
build=${root:?}/build

say() { printf '%s\n' "$*"; }
stop() { printf '%s\n' "$*" >&2; exit 1; }

# Prints those of the named Debian packages that are not installed.
missing_packages() {
    for package in "$@"; do
        case $(dpkg-query -W -f='${Status}' "$package" 2>/dev/null) in
            'install ok installed') ;;
            *) printf ' %s' "$package" ;;
        esac
    done
}

# Installs what is missing of the named packages, and only that; stops where it may not.
install_missing() {
    if ! command -v dpkg-query >/dev/null 2>&1; then
        say "This is no Debian system: it needs what these Debian packages hold: $*"
        return
    fi
    missing=$(missing_packages "$@")
    # Either of the two makers will do.
    if ! command -v ninja >/dev/null 2>&1 && ! command -v make >/dev/null 2>&1; then
        missing="$missing ninja-build"
    fi
    [ -n "$missing" ] || return 0

    as_root=
    if [ "$(id -u)" -ne 0 ]; then
        as_root=sudo
        if ! command -v sudo >/dev/null 2>&1 || { [ ! -t 0 ] && ! sudo -n true 2>/dev/null; }; then
            stop "These Debian packages are missing and this user may not install them:$missing
Ask someone who may to run:  apt-get install --no-install-recommends$missing"
        fi
    fi
    say "Installing:$missing"
    # One word a package, on purpose without quotes. sudo drops the environment, so env goes inside.
    # shellcheck disable=SC2086
    if ! $as_root env DEBIAN_FRONTEND=noninteractive apt-get update -qq ||
        ! $as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends \
            $missing >/dev/null; then
        stop "The packages could not be installed. By hand:  apt-get install --no-install-recommends$missing"
    fi
}

# configure ON|OFF [OPTION...]: with the tests or without; more options are cmake's.
configure() {
    tests=$1
    shift
    generator=
    fresh=
    if [ -f "$build/CMakeCache.txt" ]; then
        # A folder that was copied or moved is configured afresh.
        grep -qxF "CMAKE_HOME_DIRECTORY:INTERNAL=$root" "$build/CMakeCache.txt" || fresh=--fresh
    fi
    if [ ! -f "$build/CMakeCache.txt" ] || [ -n "$fresh" ]; then
        if command -v ninja >/dev/null 2>&1; then
            generator='-G Ninja'
        fi
    fi
    mkdir -p "$build"
    # shellcheck disable=SC2086
    cmake $fresh -S "$root" -B "$build" $generator -DCANEBRAKE_TESTS="$tests" "$@" >"$build/configure.log" 2>&1 || {
        cat "$build/configure.log" >&2
        stop "The build could not be configured."
    }
}

# compile TARGET: all processors.
compile() {
    cmake --build "$build" --target "$1" --parallel "$(nproc 2>/dev/null || echo 2)" ||
        stop "The build failed."
}

to_build='g++ cmake pkg-config libsndfile1-dev libkissfft-dev libpugixml-dev libzip-dev libcli11-dev
    nlohmann-json3-dev libfmt-dev libtomlplusplus-dev librtaudio-dev libjack-jackd2-dev'
# The sound servers play into a pipe and into nothing, the browser has no window: no test needs a sound card or
# a screen.
to_test='catch2 libxml2-utils aubio-tools libaubio-dev libebur128-dev libfftw3-dev pulseaudio jackd2
    chromium chromium-driver python3-selenium python3-jsonschema python3-markdown-it fonts-dejavu-core'
