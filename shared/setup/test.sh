#!/bin/sh
# Installs what is needed, builds everything and runs every test. Last line: "N passed, N failed".
# Exit 0 when all passed; 1 when one failed, when the build failed, or when no test ran.
#   HALFSPLIT_BUILD=FOLDER      build there instead of build/
#   HALFSPLIT_NETLISTS=FOLDER   published netlists to try the importer and the measuring programs on; without it those are skipped
set -u
root=$(CDPATH='' cd -- "$(dirname -- "$0")/../.." && pwd) || exit 1
. "$root/shared/setup/packages.sh"
build=${HALFSPLIT_BUILD:-$root/build}
junit=$build/test-results.xml

give_up() {
  echo "$1" >&2
  echo "0 passed, 1 failed"
  exit 1
}

# shellcheck disable=SC2086 # lists of words
need_packages $build_packages $test_packages || give_up "installing failed"
configure "$build" -DHALFSPLIT_TESTS=ON || give_up "configuring failed"
cmake --build "$build" --parallel "$(cores)" || give_up "the build failed"

rm -f "$junit"
ctest --test-dir "$build" --output-on-failure --no-tests=error --parallel "$(cores)" --output-junit "$junit"
[ -f "$junit" ] || give_up "ctest left no results"

# The counts stand in the first element of the results: <testsuite ... tests="5" failures="0" disabled="0" skipped="1" ...>.
count() {
  number=$(tr '\n\t' '  ' <"$junit" | sed -n "s/.*<testsuite [^>]*[ ]$1=\"\([0-9]*\)\".*/\1/p")
  echo "${number:-0}"
}
failed=$(count failures)
passed=$(($(count tests) - failed - $(count skipped) - $(count disabled)))
tr '\n' ' ' <"$junit" | sed 's/<testcase /\n&/g' | sed -n 's/^<testcase name="\([^"]*\)"[^>]*status="notrun".*/skipped: \1/p'
[ "$passed" -gt 0 ] || [ "$failed" -gt 0 ] || echo "no test ran" >&2
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]
