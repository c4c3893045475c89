#!/usr/bin/env bash
# Compares cutting plans and their time with a general-purpose solver from PyPI.
# Out of the main test run: needs Python 3.10 or newer and a package index.
# Arguments: parts of problem names (default: a few of each kind).
# BENCH_CUTTING names a bench built before; without it, it is built.
set -euo pipefail
cd "$(dirname "$0")/../.."
target="${CARGO_TARGET_DIR:-target}"
if [ ! -x "$target/peer-cutting/bin/python" ]; then
    python3 -m venv "$target/peer-cutting"
fi
"$target/peer-cutting/bin/python" -m pip install --quiet ortools==9.15.6755
bench="${BENCH_CUTTING:-}"
if [ -z "$bench" ]; then
    cargo build --release --package duskwright-benches --bin bench-cutting
    bench="$target/release/bench-cutting"
fi
if [ $# -eq 0 ]; then
    set -- u120_00 u250_08 t60_00 t120_00 order-100-
fi
"$bench" --lists "$@" |
    "$target/peer-cutting/bin/python" tests/peer/cutting_peer.py --seconds "${SECONDS_EACH:-60}"
