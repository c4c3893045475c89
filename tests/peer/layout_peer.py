"""Open chains of points in a plane: the engine's plans beside those of two libraries.

Usage: layout_peer.py PLANS, the output of the `bench-layout` program.

The question: every chain starts at the site and serves at most so many points, every point
is in one chain, and the straight lengths of all pieces together are least.

- pyvrp: a vehicle-routing problem with one capacity; the way back to the site costs nothing.
  Distances are whole numbers: centimetres rounded up, as the engine buys its pieces (in tenths
  of a millimetre the library's penalties reach their largest value). As many vehicles as points.
- optiwindnet: its hybrid genetic search (HybGenSea) for radial networks, over every pair of
  points and with crossings allowed, so that it answers the same question.

Each gets the engine's limit of processor seconds on one thread, its defaults otherwise, and
one seed. All lengths in the table are computed here from the chains. Exits with 1 when an
answer is none, the engine's cost is not the length of its chains with each piece rounded up
to the centimetre (or the next one), or any chains cost less than the engine's proven bound.
"""

import json
import logging
import math
import statistics
import sys
import time
from importlib.metadata import version

import numpy as np
import pyvrp
from optiwindnet.api import WindFarmNetwork
from optiwindnet.baselines.hgs import hgs_cvrp
from optiwindnet.transforming import as_normalized

SEED = 1
GRID_M = 0.01
EPSILON_M = 1e-6


def pieces(instance, chains):
    """Straight lengths of the pieces of all chains, m."""
    points = instance["points"]
    for chain in chains:
        stops = [instance["site"]] + [points[point] for point in chain]
        for a, b in zip(stops, stops[1:]):
            yield math.dist(a, b)


def length(instance, chains):
    return math.fsum(pieces(instance, chains))


def centimetres(metres):
    """A length rounded up as it is bought: one within a millionth of a centimetre stays."""
    return math.ceil(100 * metres - 1e-6)


def bought(instance, chains):
    """Length with each piece rounded up to the centimetre, m."""
    return sum(map(centimetres, pieces(instance, chains))) / 100


def fault(instance, chains):
    """What is wrong with an answer; None when it is one."""
    served = sorted(point for chain in chains for point in chain)
    if served != list(range(len(instance["points"]))):
        return f"serves the points {served}"
    longest = max(len(chain) for chain in chains)
    return f"a chain of {longest} points" if longest > instance["most"] else None


class ProcessorTime:
    """Stops pyvrp after so many processor seconds."""

    def __init__(self, seconds):
        self.end = time.process_time() + seconds

    def __call__(self, best_cost):
        return time.process_time() >= self.end


def routes_pyvrp(instance):
    """Chains and processor seconds of pyvrp."""
    model = pyvrp.Model()
    places = [instance["site"]] + instance["points"]
    locations = [model.add_location(x, y) for x, y in places]
    site = model.add_depot(locations[0])
    for location in locations[1:]:
        model.add_client(location, delivery=1)
    model.add_vehicle_type(len(instance["points"]), instance["most"], site, site)
    for i, a in enumerate(places):
        for j, b in enumerate(places):
            if i != j:
                distance = 0 if j == 0 else centimetres(math.dist(a, b))
                model.add_edge(locations[i], locations[j], distance)
    data = model.data()
    start = time.process_time()
    result = pyvrp.solve(data, ProcessorTime(instance["limit"]), seed=SEED, collect_stats=False, display=False)
    spent = time.process_time() - start
    chains = [[stop.idx for stop in route if stop.is_client()] for route in result.best.routes()]
    return chains, spent


def routes_optiwindnet(instance):
    """Chains and processor seconds of optiwindnet."""
    network = WindFarmNetwork(
        cables=instance["most"],
        turbinesC=np.array(instance["points"]),
        substationsC=np.array([instance["site"]]),
    )
    links = as_normalized(network.A)
    start = time.process_time()
    tree = hgs_cvrp(
        links, capacity=instance["most"], time_limit=instance["limit"], seed=SEED, repair=False, complete=True
    )
    spent = time.process_time() - start
    chains = []
    for first in tree.neighbors(-1):
        chain, before = [first], -1
        while following := [point for point in tree.neighbors(chain[-1]) if point != before]:
            before = chain[-1]
            chain.append(following[0])
        chains.append(chain)
    return chains, spent


def check(instance, own, others):
    """Everything that contradicts, in words."""
    answers = [("engine", run["chains"]) for run in own] + list(others.items())
    for name, chains in answers:
        if wrong := fault(instance, chains):
            yield f"{instance['name']}: {name}: {wrong}"
    for run in own:
        # A piece may pass another point where that is longer by no more than the rounding.
        straight = bought(instance, run["chains"])
        most = straight + GRID_M * len(instance["points"])
        if not straight - EPSILON_M < run["cost"] < most + EPSILON_M:
            yield f"{instance['name']}: the engine's cost is {run['cost']}, its chains are {straight} m"
        for name, chains in answers:
            if bought(instance, chains) < run["bound"] - EPSILON_M:
                yield f"{instance['name']}: {name}: {bought(instance, chains)} m, under the bound {run['bound']}"


def main():
    # It warns of every chain that uses a pair of points outside its own mesh, which is meant here.
    logging.getLogger("optiwindnet").setLevel(logging.ERROR)
    print(f"pyvrp {version('pyvrp')}, optiwindnet {version('optiwindnet')} (HybGenSea {version('hybgensea')})")
    print(
        "| instance | to its end, m | s | stopped, m | s | pyvrp, m | s | optiwindnet, m | s "
        "| to its end : better | stopped : better |"
    )
    print("|---|---:|---:|---:|---:|---:|---:|---:|---:|---:|---:|")
    faults, ratios = [], {}
    with open(sys.argv[1], encoding="utf-8") as plans:
        instances = [json.loads(line) for line in plans]
    for instance in instances:
        whole, stopped = instance["whole"], instance["stopped"]
        vehicles, vehicles_s = routes_pyvrp(instance)
        radial, radial_s = routes_optiwindnet(instance)
        faults += check(instance, [whole, stopped], {"pyvrp": vehicles, "optiwindnet": radial})
        lengths = [length(instance, chains) for chains in (whole["chains"], stopped["chains"], vehicles, radial)]
        better = min(lengths[2:])
        ratio = [value / better for value in lengths]
        ratios.setdefault(len(instance["points"]), []).append(ratio)
        print(
            f"| {instance['name']} | {lengths[0]:.2f} | {whole['seconds']:.1f} "
            f"| {lengths[1]:.2f} | {stopped['seconds']:.1f} | {lengths[2]:.2f} | {vehicles_s:.1f} "
            f"| {lengths[3]:.2f} | {radial_s:.1f} | {ratio[0]:.4f} | {ratio[1]:.4f} |",
            flush=True,
        )
    print()
    for size, rows in ratios.items():
        named = zip(["to its end", "stopped", "pyvrp", "optiwindnet"], zip(*rows))
        means = ", ".join(f"{name} {statistics.fmean(column):.4f} (worst {max(column):.4f})" for name, column in named)
        print(f"{size} points, {len(rows)} instances, mean ratio to the better library: {means}")
    for line in faults:
        print(line, file=sys.stderr)
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
