#!/usr/bin/env bash
# Installs what is missing, builds, and runs all tests. Options:
#   --long    also the slow runs: studies of a thousand sets, fuzzers for a minute each, sanitizer
#             builds
# CTest's closing lines say how many tests ran, failed and were skipped.
set -euo pipefail
cd "$(dirname "$0")/.."

bash cli/scripts/install_packages.sh tests
# Real recordings for the tests that use them; those tests skip where the folder is missing.
export STRAPLINE_DATA="${STRAPLINE_DATA:-$PWD/../shared/data}"

run_preset() {
  cmake --preset "$1" >build-"$1".log 2>&1 || { cat build-"$1".log; exit 1; }
  rm -f build-"$1".log
  cmake --build --preset "$1"
  ctest --preset "$1" -j "$(nproc)" --output-on-failure
}

if [ "${1:-}" = --long ]; then export STRAPLINE_LONG=1; fi
run_preset dev
unset STRAPLINE_LONG
if [ "${1:-}" = --long ]; then
  run_preset asan
  bash tests/fuzz/run.sh 60
fi
