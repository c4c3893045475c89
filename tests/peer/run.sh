#!/usr/bin/env bash
# Compares voltages and speed with a general-purpose power-flow library from PyPI.
# Out of the main test run: needs Python 3.10 or newer and a package index.
set -euo pipefail
cd "$(dirname "$0")/../.."
venv="${CARGO_TARGET_DIR:-target}/peer-venv"
if [ ! -x "$venv/bin/python" ]; then
    python3 -m venv "$venv"
fi
"$venv/bin/python" -m pip install --quiet --requirement tests/peer/requirements.txt
cargo build --release --package duskwright-benches --bin electrical
exec "$venv/bin/python" tests/peer/compare.py "${CARGO_TARGET_DIR:-target}/release/electrical"
