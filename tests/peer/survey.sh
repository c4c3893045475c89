#!/usr/bin/env bash
# Compares the cost of the cheapest ways through a survey's graph with those over a fine grid,
# by a general-purpose library from PyPI.
# Out of the main test run: needs Python 3.10 or newer and a package index.
# Arguments: fixtures, areas and seed of a made-up plan (default: 60 40 3).
# BENCH_SURVEY names a bench built before; without it, it is built.
set -euo pipefail
cd "$(dirname "$0")/../.."
target="${CARGO_TARGET_DIR:-target}"
if [ ! -x "$target/peer-survey/bin/python" ]; then
    python3 -m venv "$target/peer-survey"
fi
"$target/peer-survey/bin/python" -m pip install --quiet scipy==1.17.1 shapely==2.2.0
bench="${BENCH_SURVEY:-}"
if [ -z "$bench" ]; then
    cargo build --release --package duskwright-survey --example bench-survey
    bench="$target/release/examples/bench-survey"
fi
if [ $# -eq 0 ]; then
    set -- 60 40 3
fi
"$bench" --plan "$@" | "$target/peer-survey/bin/python" tests/peer/survey_peer.py
