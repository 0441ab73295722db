# SPDX-License-Identifier: MIT
# Read by picture.sh and compare-picture.sh: sets `tracks` to the program, building it if a build folder is there,
# `pictures` to the folder of gnuplot scripts and `work` to a folder that goes away at the end.
here=$(cd "$(dirname "$0")" && pwd)
root=$(cd "$here/../.." && pwd)
pictures=$root/assets/pictures
build=${CANEBRAKE_BUILD:-$root/build}
if [ -n "${CANEBRAKE_TRACKS:-}" ]; then
    tracks=$CANEBRAKE_TRACKS
else
    if [ ! -f "$build/CMakeCache.txt" ]; then
        echo "no build in $build: build first, or set CANEBRAKE_BUILD to the build folder" >&2
        exit 2
    fi
    cmake --build "$build" --target canebrake_tracks >/dev/null || exit 1
    tracks=$build/tests/support/canebrake_tracks
fi
command -v gnuplot >/dev/null || {
    echo "gnuplot is not installed (Debian package gnuplot-nox)" >&2
    exit 2
}
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
