#!/bin/sh
# Installs what is needed, builds halfsplit without its tests and runs it on the invented machines that come with it.
set -eu
root=$(CDPATH='' cd -- "$(dirname -- "$0")/../.." && pwd)
. "$root/shared/setup/packages.sh"
build=${HALFSPLIT_BUILD:-$root/build-demo}

# shellcheck disable=SC2086 # a list of words
need_packages $build_packages
configure "$build" -DHALFSPLIT_TESTS=OFF >&2
cmake --build "$build" --parallel "$(cores)" --target halfsplit >&2

cd "$root"
bench=$(mktemp -d)
trap 'rm -rf "$bench"' EXIT
HALFSPLIT_DATA=$root
export HALFSPLIT_DATA
say() {
  echo "\$ halfsplit $*"
  "$build/src/halfsplit" --workshop "$bench/workshop.db" "$@"
  echo
}
say boards
say check osprill-home-8
say expect osprill-home-8 U4
# A Home 8 that is dead; a data line is held low.
say job open osprill-home-8
say symptom it does not run
say symptom sound dead
say read U3.11 5.02V
say read U3.6 pulsing
say read U3.14 stuck low
say suspects
say next
say why U4
# The outputs on that line are freed one by one.
say state U27.18-lifted
say read U4.2 low
say state U27.18-down U37.18-lifted
say read U4.2 low
say state U37.18-down U4.2-lifted
say read U3.14 pulsing
say suspects
say state U4.2-down
say repair U4 replaced
say symptom it runs
say close proven U4 --yes
