#!/usr/bin/env bash
# Builds the coverage-guided fuzzers (Clang, libFuzzer) and runs each for some seconds.
#   tests/fuzz/run.sh [SECONDS]
set -euo pipefail
cd "$(dirname "$0")/../.."
seconds=${1:-30}
cmake --preset fuzz >/dev/null
cmake --build --preset fuzz
found=0
for fuzzer in build/fuzz/tests/fuzz/fuzz_*; do
  [ -x "$fuzzer" ] && [ -f "$fuzzer" ] || continue
  found=1
  corpus=build/fuzz/corpus/$(basename "$fuzzer")
  mkdir -p "$corpus"
  "$fuzzer" -max_total_time="$seconds" -print_final_stats=1 "$corpus"
done
[ "$found" = 1 ] || { echo "no fuzzer was built" >&2; exit 1; }
