#!/bin/sh
# SPDX-License-Identifier: MIT
# Every test, from a fresh clone: installs what is missing, builds, runs. "tests/run.sh slow" runs the slow
# ones instead.
set -eu
root=$(CDPATH='' cd -- "$(dirname -- "$0")/.." && pwd -P)
. "$root/cli/set-up.sh"

case ${1-} in
    '' | slow) ;;
    *) stop "tests/run.sh: found '$1', wanted nothing or slow" ;;
esac

# shellcheck disable=SC2086
install_missing $to_build $to_test
say "Building in $build"
configure ON
compile all

if [ "${1-}" = slow ]; then
    failed=
    for program in $(find "$build/tests" -type f -name 'canebrake_*_tests' -perm -u+x | sort); do
        # Lists the names, one a line; the number of them is its exit code.
        [ -n "$("$program" --list-test-names-only '[slow]' 2>/dev/null || true)" ] || continue
        say "$(basename "$program"):"
        "$program" '[slow]' || failed="$failed $(basename "$program")"
    done
    [ -z "$failed" ] || stop "Failed:$failed"
    exit 0
fi
cd "$build"
ctest --output-on-failure -j2
