#!/usr/bin/env bash
# Compares open chains of points in a plane with two general-purpose libraries from PyPI.
# Out of the main test run: needs Python 3.11 or newer and a package index.
# Environment: SIZES, SEEDS, MOST, EFFORT, SECONDS_EACH (benches/layout.rs says of what; SECONDS
# itself is the shell's own). BENCH_LAYOUT names a bench built before; without it, it is built.
set -euo pipefail
cd "$(dirname "$0")/../.."
target="${CARGO_TARGET_DIR:-target}"
if [ ! -x "$target/peer-layout/bin/python" ]; then
    python3 -m venv "$target/peer-layout"
fi
"$target/peer-layout/bin/python" -m pip install --quiet --requirement tests/peer/requirements-layout.txt
bench="${BENCH_LAYOUT:-}"
if [ -z "$bench" ]; then
    cargo build --release --package duskwright-benches --bin bench-layout
    bench="$target/release/bench-layout"
fi
# One after the other, not through a pipe: neither takes the other's time.
plans="$(mktemp)"
trap 'rm -f "$plans"' EXIT
"$bench" >"$plans"
"$target/peer-layout/bin/python" tests/peer/layout_peer.py "$plans"
