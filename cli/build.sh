#!/bin/sh
# SPDX-License-Identifier: MIT
# For contributors: builds the program and every test in one of four ways, each in a folder of its own.
#   sh cli/build.sh release     as it is shipped, in build
#   sh cli/build.sh debug       without optimisation, in build-debug
#   sh cli/build.sh sanitize    with the address and undefined-behaviour sanitizers, in build-sanitize
#   sh cli/build.sh clang       with clang, in build-clang
# A second word is a target instead of all. The tests then run with: ctest --test-dir build-KIND -j2
set -eu
root=$(CDPATH='' cd -- "$(dirname -- "$0")/.." && pwd -P)
. "$root/cli/set-up.sh"

kind=${1-release}
more=
case $kind in
    release) ;;
    debug) more='-DCMAKE_BUILD_TYPE=Debug' ;;
    sanitize) more='-DCMAKE_BUILD_TYPE=RelWithDebInfo -DCANEBRAKE_SANITIZE=ON' ;;
    clang)
        more='-DCMAKE_CXX_COMPILER=clang++'
        to_build="$to_build clang"
        ;;
    *) stop "cli/build.sh: found '$kind', wanted release, debug, sanitize or clang" ;;
esac
[ "$kind" = release ] || build="$build-$kind"

# shellcheck disable=SC2086
install_missing $to_build $to_test
say "Building in $build"
# shellcheck disable=SC2086
configure ON $more
compile "${2-all}"
