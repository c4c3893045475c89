"""Solves random radial networks with pandapower and with the engine, and compares.

Usage: compare.py ENGINE, the path of the `electrical` bench program.

A single-phase circuit of voltage V, loop impedance Z and power S is handed to the
three-phase library as a balanced network of line voltage V, impedance Z and power S:
the per-unit equations are the same. One load per bus, because the library averages the
voltage shares of several loads at a bus without weights. Exits with 1 when a voltage
differs by more than AGREED_V; the speed is only reported.
"""

import math
import pathlib
import random
import statistics
import subprocess
import sys
import tempfile
import time
import warnings

import pandapower as pp

AGREED_V = 1e-6
RATED_V = 12.0
COUNTS = [5, 10, 10, 20, 20, 50, 50, 100, 200, 500]
LEAST_TIMED_S = 1.0
# Tightest first: the floor of rounding in the library's mismatch rises with the network.
TIGHT_MVA = [1e-13, 1e-12, 1e-11, 1e-10]


def draw(generator, count):
    """A random network: source volts and rows (parent, r, x, watts, vars, exponent)."""
    rows = []
    for bus in range(1, count + 1):
        parent = generator.randrange(max(0, bus - 4), bus)
        apparent = generator.uniform(0.5, 3.0) * 20.0 / count
        power_factor = generator.uniform(0.6, 1.0)
        watts = apparent * power_factor
        rows.append(
            (
                parent,
                generator.uniform(0.02, 0.4) * 5.0 / count,
                generator.uniform(0.001, 0.02) * 5.0 / count,
                watts,
                math.sqrt(apparent**2 - watts**2),
                generator.choice([0, 0, 1, 2]),
            )
        )
    return generator.uniform(12.0, 15.0), rows


def write(networks, path):
    lines = []
    for source_v, rows in networks:
        lines.append(f"source {source_v!r}")
        for parent, r, x, watts, reactive, exponent in rows:
            lines.append(f"bus {parent} {r!r} {x!r} {watts!r} {reactive!r} {RATED_V} {exponent}")
    path.write_text("\n".join(lines) + "\n")


def engine(program, path):
    """Pairs of seconds per solution and voltages, by network."""
    out = subprocess.run(
        [program, "peer", str(path)], check=True, capture_output=True, text=True
    ).stdout.splitlines()
    results = []
    for line in out:
        word, _, rest = line.partition(" ")
        if word == "none":
            raise SystemExit(f"the engine found no solution: {rest}")
        if word == "time":
            results.append([float(rest) * 1e-9, None])
        else:
            results[-1][1] = [float(volts) for volts in rest.split()]
    return results


def library_network(source_v, rows):
    net = pp.create_empty_network(sn_mva=1e-4)
    buses = [pp.create_bus(net, vn_kv=RATED_V / 1e3) for _ in range(len(rows) + 1)]
    pp.create_ext_grid(net, buses[0], vm_pu=source_v / RATED_V)
    for bus, (parent, r, x, watts, reactive, exponent) in enumerate(rows, start=1):
        pp.create_line_from_parameters(
            net, buses[parent], buses[bus], length_km=1.0, r_ohm_per_km=r, x_ohm_per_km=x,
            c_nf_per_km=0.0, max_i_ka=1.0,
        )
        current, impedance = 100.0 * (exponent == 1), 100.0 * (exponent == 2)
        pp.create_load(
            net, buses[bus], p_mw=watts / 1e6, q_mvar=reactive / 1e6,
            const_i_p_percent=current, const_i_q_percent=current,
            const_z_p_percent=impedance, const_z_q_percent=impedance,
        )
    return net


def library(source_v, rows):
    """Processor seconds per solution (library defaults, flat start) and voltages (tight tolerance)."""
    net = library_network(source_v, rows)
    pp.runpp(net, init="flat", max_iteration=50)
    start, runs = time.process_time(), 0
    while time.process_time() - start < LEAST_TIMED_S:
        pp.runpp(net, init="flat")
        runs += 1
    seconds = (time.process_time() - start) / runs
    for tolerance_mva in TIGHT_MVA:
        try:
            pp.runpp(net, init="flat", tolerance_mva=tolerance_mva, max_iteration=20)
            break
        except pp.LoadflowNotConverged:
            continue
    return seconds, [RATED_V * float(pu) for pu in net.res_bus.vm_pu.iloc[1:]]


def main():
    warnings.simplefilter("ignore")
    generator = random.Random(20261125)
    networks = [draw(generator, count) for count in COUNTS]
    with tempfile.TemporaryDirectory() as folder:
        path = pathlib.Path(folder) / "networks.txt"
        write(networks, path)
        ours = engine(sys.argv[1], path)
    print(f"pandapower {pp.__version__}, library defaults, against the engine's phasor solution")
    print(f"{'buses':>6} {'worst difference, V':>20} {'library, ms':>12} {'engine, us':>11} {'ratio':>9}")
    worst, ratios = 0.0, []
    for (source_v, rows), (engine_s, engine_v) in zip(networks, ours, strict=True):
        library_s, library_v = library(source_v, rows)
        difference = max(abs(a - b) for a, b in zip(engine_v, library_v, strict=True))
        worst = max(worst, difference)
        ratios.append(library_s / engine_s)
        print(
            f"{len(rows):>6} {difference:>20.2e} {1e3 * library_s:>12.2f} "
            f"{1e6 * engine_s:>11.2f} {ratios[-1]:>9.0f}"
        )
    print(
        f"worst difference {worst:.2e} V; speed ratio: least {min(ratios):.0f}, "
        f"median {statistics.median(ratios):.0f}, largest {max(ratios):.0f}"
    )
    return 0 if worst <= AGREED_V else 1


if __name__ == "__main__":
    sys.exit(main())
