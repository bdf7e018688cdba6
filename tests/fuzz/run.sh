#!/usr/bin/env bash
# Fuzzes every target for so many seconds each: bash tests/fuzz/run.sh [SECONDS] [TARGET…]
# Coverage comes from the compiler itself, so the stable toolchain will do. Seeds are the sample scene, small lists and
# tiny pictures; what is found grows in target/fuzz/corpus. An input that fails is left in target/fuzz/failures and
# becomes a plain test.
set -euo pipefail
cd "$(dirname "$0")"
seconds=${1:-60}
shift || true
targets=("$@")
[ "${#targets[@]}" -gt 0 ] || targets=($(cd targets && ls ./*.rs | sed 's|^\./||; s|\.rs$||'))
root=$(cd ../.. && pwd)
here=$root/target/fuzz
triple=$(rustc -vV | sed -n 's/^host: //p')
export RUSTFLAGS="-Cpasses=sancov-module -Cllvm-args=-sanitizer-coverage-level=4 -Cllvm-args=-sanitizer-coverage-inline-8bit-counters -Cllvm-args=-sanitizer-coverage-pc-table -Cllvm-args=-sanitizer-coverage-trace-compares"
# the versions the program itself is built from; what only fuzzing needs is added
cp "$root/Cargo.lock" Cargo.lock
cargo build --release --target "$triple" --target-dir "$here"

mkdir -p "$here/failures"
for target in "${targets[@]}"; do
  corpus=$here/corpus/$target
  mkdir -p "$corpus"
  case $target in
    scene) for scene in "$root"/sample-photos/*/scene.toml; do cp "$scene" "$corpus/$(basename "$(dirname "$scene")")"; done ;;
    drawing) for drawing in seeds/drawing/*.json; do
               { cat "$root/sample-photos/starter/scene.toml"; printf '\0'; cat "$drawing"; } >"$corpus/$(basename "$drawing")"
             done ;;
    *) cp "seeds/$target"/* "$corpus/" ;;
  esac
  echo "== $target, $seconds s"
  log=$here/$target.log
  status=0
  "$here/$triple/release/$target" "$corpus" -max_total_time="$seconds" -timeout=20 -rss_limit_mb=2048 \
    -max_len=65536 -artifact_prefix="$here/failures/$target-" -print_final_stats=1 -verbosity=0 >"$log" 2>&1 || status=$?
  grep -E 'stat::number_of_executed|stat::new_units|stat::peak_rss|ERROR|panicked|Test unit|SUMMARY' "$log" || true
  [ "$status" = 0 ] || { echo "$target: an input failed; see $here/failures" >&2; exit 1; }
done
