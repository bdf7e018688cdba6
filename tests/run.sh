#!/usr/bin/env bash
# Sets up what the tests need and runs all of them: formatting, lints, docs, tests, the demo scene, browser checks.
# A missing tool is a failure, never a skip.
set -euo pipefail
cd "$(dirname "$0")/.."

say() { printf '\n== %s\n' "$*"; }
fail() { printf 'tests/run.sh: %s\n' "$*" >&2; exit 1; }
as_root() { if [ "$(id -u)" = 0 ]; then "$@"; else sudo "$@"; fi; }

say "set-up"
command -v cargo >/dev/null || fail "cargo is missing: install Rust (rustup), then run this again"
rustup component add rustfmt clippy >/dev/null 2>&1 || true
cargo fmt --version >/dev/null || fail "cargo fmt is missing: rustup component add rustfmt"
cargo clippy --version >/dev/null || fail "cargo clippy is missing: rustup component add clippy"

rustup target add wasm32-unknown-unknown >/dev/null 2>&1 || true

browser() { command -v chromium || command -v chromium-browser || command -v google-chrome || true; }
wanted=()
[ -n "$(browser)" ] || wanted+=(chromium)
command -v node >/dev/null || wanted+=(nodejs)
command -v wasm-opt >/dev/null || wanted+=(binaryen)
command -v zopfli >/dev/null || wanted+=(zopfli)
command -v npm >/dev/null || wanted+=(npm)
python3 -m pip --version >/dev/null 2>&1 || wanted+=(python3 python3-pip)
command -v pdftotext >/dev/null || wanted+=(poppler-utils)
fc-list 2>/dev/null | grep -qi dejavu || wanted+=(fonts-dejavu-core fontconfig)
if [ "${#wanted[@]}" -gt 0 ]; then
  command -v apt-get >/dev/null || fail "missing: ${wanted[*]}; install them and run this again"
  as_root apt-get update -q
  as_root env DEBIAN_FRONTEND=noninteractive apt-get install -q -y --no-install-recommends "${wanted[@]}"
fi
[ -n "$(browser)" ] || fail "no Chromium found after installing"
python=$(command -v python3 || command -v python || true)
[ -n "$python" ] || fail "python3 is missing: the measured materials are tested against a Python package"
[ -f target/test-packages/earthlib/data/spectra.sli ] ||
  "$python" -m pip install --quiet --no-deps --target target/test-packages earthlib==1.1.0
[ -f target/test-packages/earthlib/data/spectra.sli ] || fail "the Python package earthlib 1.1.0 could not be installed"
(cd tests && npm ci --no-audit --no-fund)

say "formatting"
cargo fmt --check
cargo fmt --check --manifest-path tests/fuzz/Cargo.toml

say "lints"
cargo clippy --locked --all-targets -- -D warnings

say "docs"
RUSTDOCFLAGS="-D warnings" cargo doc --locked --no-deps --document-private-items

say "tests"
INSTA_UPDATE=no cargo test --locked

say "a short round of fuzzing"
bash tests/fuzz/run.sh "${FUZZ_SECONDS:-15}"

say "the package builds by itself"
cargo package --locked --no-verify
version=$(cargo pkgid | sed 's/.*[#@]//')
tar -xzf "target/package/hillwash-$version.crate" -C target/package
cargo check --locked --manifest-path "target/package/hillwash-$version/Cargo.toml" --target-dir target

say "demo scene"
cargo build --release --locked
out=$(mktemp -d)
trap 'rm -rf "$out"' EXIT
target/release/hillwash plan sample-photos/brewery-yard/scene.toml --out "$out/schedule" --quiet --color never
for file in schedule.html plan.json schedule.csv palette.svg palette.tokens.json; do
  [ -s "$out/schedule/$file" ] || fail "the demo scene gave no $file"
done

say "browser checks"
node tests/schedule/browser.mjs target/release/hillwash "$(browser)" tests/pictures
node tests/mark/browser.mjs target/release/hillwash "$(browser)" tests/pictures

say "the edition for browsers"
HILLWASH=target/release/hillwash bash src/web/build.sh
node tests/web/same.mjs target/release/hillwash target/web/hillwash.core
node tests/web/browser.mjs target/release/hillwash target/web/hillwash.html "$(browser)" tests/pictures
node tests/web/guide.mjs target/release/hillwash target/web/hillwash.html "$(browser)"

say "all passed"
