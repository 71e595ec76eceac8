# shellcheck shell=sh disable=SC2034,SC2154
# Sourced by test.sh and demo.sh: what Debian 12 packages the build needs, and how to get those that are missing.
build_packages="g++ cmake make pkg-config libboost-dev libsqlite3-dev libtomlplusplus-dev nlohmann-json3-dev libcli11-dev libfmt-dev libutf8proc-dev"
test_packages="doctest-dev"

# need_packages NAMES...: installs what is missing where that is possible (Debian, root); else says what is missing and goes on, since other
# systems carry the same libraries under other names and cmake tells what it can't find.
need_packages() {
  command -v dpkg-query >/dev/null 2>&1 || return 0
  missing=""
  for package in "$@"; do
    state=$(dpkg-query -W -f '${Status}' "$package" 2>/dev/null) || state=""
    case $state in *" installed") ;; *) missing="$missing $package" ;; esac
  done
  [ -n "$missing" ] || return 0
  if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null 2>&1; then
    echo "installing:$missing"
    # shellcheck disable=SC2086 # a list of words
    { apt-get update -q && DEBIAN_FRONTEND=noninteractive apt-get install -y -q --no-install-recommends $missing; } >&2
  else
    echo "missing packages:$missing" >&2
    echo "install them as root: apt-get install -y --no-install-recommends$missing" >&2
  fi
}

# configure BUILD_FOLDER OPTIONS...: with Ninja where it is installed, else make; a folder configured before keeps its generator.
configure() {
  folder=$1
  shift
  if [ ! -f "$folder/CMakeCache.txt" ] && command -v ninja >/dev/null 2>&1; then set -- -G Ninja "$@"; fi
  cmake -S "$root" -B "$folder" -DCMAKE_BUILD_TYPE=Release "$@"
}

cores() { getconf _NPROCESSORS_ONLN 2>/dev/null || echo 2; }
