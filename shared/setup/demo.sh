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

run() {
  echo "\$ halfsplit $*"
  "$build/src/halfsplit" "$@"
}
cd "$root"
run boards
