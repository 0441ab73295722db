#!/bin/sh
# SPDX-License-Identifier: MIT
# sh tests/support/picture.sh A.wav OUT.png ["title"]: spectrogram, written pitch (B-flat clarinet) and level.
set -eu
[ $# -ge 2 ] || { echo "picture.sh A.wav OUT.png [\"title\"]" >&2; exit 2; }
. "$(dirname "$0")/find-tracks.sh"
"$tracks" "$1" "$work/a"
gnuplot -c "$pictures/one.gp" "$pictures" "$work/a" "$2" "${3:-$(basename "$1")}"
