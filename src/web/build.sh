#!/usr/bin/env bash
# Builds the edition that runs in a browser alone: target/web/hillwash.core (the core, packed) and target/web/hillwash.html
# (the whole program in one file). Needs the target wasm32-unknown-unknown: by rustup where it can be had, otherwise by
# Debian's rustc-web, cargo-web, rust-web-src and lld-22, whose compiler and cargo must come first in PATH.
# HILLWASH may name a built program that assembles the page; without it, target/release/hillwash is built.
set -euo pipefail
cd "$(dirname "$0")/../.."

say() { printf '== %s\n' "$*"; }
fail() { printf 'src/web/build.sh: %s\n' "$*" >&2; exit 1; }

target=wasm32-unknown-unknown
# Nothing in the core draws random numbers: whoever asks for some is told that there are none. All current browsers know
# instructions for several numbers at once.
rustflags=(--cfg 'getrandom_backend="unsupported"' -Ctarget-feature=+simd128)
flags=(--config "target.$target.rustflags=[$(printf "'%s'," "${rustflags[@]}")]")
sysroot=$(rustc --print sysroot)
if [ ! -d "$sysroot/lib/rustlib/$target" ] && command -v rustup >/dev/null; then
  rustup target add "$target" || true
fi
if [ ! -d "$sysroot/lib/rustlib/$target" ]; then
  [ -d "$sysroot/lib/rustlib/src/rust/library" ] ||
    fail "found neither the target $target nor the standard library's source: rustup target add $target; or, on Debian, apt install rustc-web cargo-web rust-web-src lld-22, and put their rustc and cargo first in PATH"
  # A standard library built here takes its flags from outside.
  export RUSTC_BOOTSTRAP=1 RUSTFLAGS="${rustflags[*]}"
  linker=$(command -v wasm-ld-22 || command -v wasm-ld || true)
  [ -n "$linker" ] || fail "found no wasm-ld-22: apt install lld-22"
  export CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_LINKER=$linker
  flags=(-Zbuild-std=std,panic_abort)
fi

say "the core"
cargo rustc --locked --lib --crate-type cdylib --target "$target" --profile web "${flags[@]}"
built=target/$target/web/hillwash.wasm
[ -s "$built" ] || fail "cargo gave no $built"
mkdir -p target/web
core=target/web/hillwash.core
small=$built
if command -v wasm-opt >/dev/null; then
  small=target/web/small.wasm
  wasm-opt -O1 --all-features "$built" -o "$small"
fi
# The same format, packed longer: some 4 % smaller.
if command -v zopfli >/dev/null; then
  zopfli --i5 -c "$small" > "$core.part"
else
  gzip -9 -n -c "$small" > "$core.part"
fi
mv "$core.part" "$core"
unset RUSTC_BOOTSTRAP RUSTFLAGS CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_LINKER

say "the page"
program=${HILLWASH:-}
if [ -z "$program" ]; then
  cargo build --release --locked
  program=target/release/hillwash
fi
rm -rf target/web/one
"$program" site target/web/one --one-file --core "$core" --quiet
mv target/web/one/hillwash.html target/web/hillwash.html
rmdir target/web/one
# A program in target/ finds the core beside itself.
for folder in target/release target/debug; do if [ -d "$folder" ]; then cp "$core" "$folder/"; fi; done

say "sizes"
wc -c "$built" "$core" target/web/hillwash.html
packed=$(wc -c < "$core")
[ "$packed" -le 2097152 ] || fail "the core has $packed bytes, packed; it may have 2,097,152 (2 MB); wasm-opt (Debian: binaryen) and zopfli make it smaller where they are installed"
