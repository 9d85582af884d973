#!/usr/bin/env bash
# Fuzzes each reader for some minutes: fuzz/run.sh MINUTES [TARGET…]. Needs a nightly Rust and cargo-fuzz.
# Writes one line for each target to fuzz/figures.csv: target, seconds, runs, crashes, greatest memory in MB.
set -euo pipefail
cd "$(dirname "$0")/.."
minutes="${1:-10}"
shift || true
targets=("$@")
[ ${#targets[@]} -gt 0 ] || targets=(tmy3 epw nsrdb pvgis tmy2 plain gz normals)
python3 fuzz/seeds.py
[ -f fuzz/figures.csv ] || echo "target,seconds,runs,crashes,greatest_memory_mb" >fuzz/figures.csv
for target in "${targets[@]}"; do
  # The crates forbid unsafe code, so that there is nothing for an address sanitizer to find, and without it many more runs fit in.
  cargo +nightly fuzz run --sanitizer none "$target" -- \
    -max_total_time=$((minutes * 60)) -max_len=200000 -rss_limit_mb=512 -malloc_limit_mb=64 -timeout=10 \
    -dict=fuzz/weather.dict -print_final_stats=1 >"fuzz/$target.log" 2>&1 || true
  crashes=$(grep -c -E '^==.*ERROR: libFuzzer' "fuzz/$target.log" || true)
  runs=$(sed -n 's/^stat::number_of_executed_units: *//p' "fuzz/$target.log")
  memory=$(sed -n 's/^stat::peak_rss_mb: *//p' "fuzz/$target.log")
  seconds=$(sed -n 's/^Done .* in \([0-9]*\) second.*/\1/p' "fuzz/$target.log")
  echo "$target,${seconds:-stopped},${runs:-?},$crashes,${memory:-?}" >>fuzz/figures.csv
  tail -1 fuzz/figures.csv
done
