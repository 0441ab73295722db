#!/bin/sh
# SPDX-License-Identifier: MIT
# sh tests/support/compare-picture.sh TOP.wav BOTTOM.wav OUT.png "title top" "title bottom": two recordings, one
# above the other, on the same axes.
set -eu
[ $# -eq 5 ] || { echo "compare-picture.sh TOP.wav BOTTOM.wav OUT.png \"title top\" \"title bottom\"" >&2; exit 2; }
. "$(dirname "$0")/find-tracks.sh"
"$tracks" "$1" "$work/top"
"$tracks" "$2" "$work/bottom"
gnuplot -c "$pictures/two.gp" "$pictures" "$work/top" "$work/bottom" "$3" "$4" "$5"
