#!/bin/sh
# SPDX-License-Identifier: MIT
# From a fresh clone to the first sound: installs what is missing, builds, renders the demo.
set -eu
root=$(CDPATH='' cd -- "$(dirname -- "$0")/.." && pwd -P)
. "$root/cli/set-up.sh"

# shellcheck disable=SC2086
install_missing $to_build
say "Building in $build"
configure OFF
compile canebrake

demo=$(cat "$root/assets/phrases/demo.txt")
for player in ideal studio; do
    "$build/cli/canebrake" render --phrase "$demo" --player "$player" -o "$build/demo-$player.wav"
done
cat <<TEXT

The demo is eight bars for a B-flat clarinet, the same notes twice:
  $build/demo-ideal.wav    what a keyboard promises
  $build/demo-studio.wav   a professional at ease
Check your volume, then listen for bar 2 (A4 to B4 and back, about 3 s in) and bar 3 (Bb4 to C5, about
6 s in): there the ideal player glides and the studio player has to cross the break. Bar 5 leaps a twelfth,
which is easy; bars 4 and 8 rest on the throat notes, which are the instrument's palest.
Next:  $build/cli/canebrake render --help
TEXT
