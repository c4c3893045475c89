#!/usr/bin/env python3
"""Times a general-purpose solver on the straightforward assignment model of cutting.

Reads problems, with the plan's price, bound and seconds, from the cutting bench:

    target/release/cutting --lists u120_00 t60_00 order-100 |
        target/peer/bin/python tests/peer/cutting_peer.py --seconds 60

The model: a switch for each spool that may be opened, a switch for each piece
on each such spool; every piece on one spool, no spool over its length, least
price. As many spools of each kind as a first-fit filling with that kind opens,
the remnants on hand besides. Solver: CP-SAT of OR-tools (PyPI `ortools`), one thread.
"""

import argparse
import json
import sys
import time
from decimal import Decimal

from ortools.sat.python import cp_model

CENT = Decimal(100)


def first_fit(pieces, length):
    """Spools of one length that first-fit decreasing opens for the pieces that fit it."""
    rooms = []
    for piece in sorted((p for p in pieces if p <= length), reverse=True):
        for index, room in enumerate(rooms):
            if room >= piece:
                rooms[index] -= piece
                break
        else:
            rooms.append(length - piece)
    return len(rooms)


def assignment(problem, seconds):
    """Solves the assignment model; returns price, bound, whether proved, seconds."""
    pieces = problem["pieces"]
    spools = [(length, 0) for length, count in problem["stock"] for _ in range(count)]
    for length, price in problem["spools"]:
        cents = int(Decimal(price) * CENT)
        spools += [(length, cents)] * first_fit(pieces, length)
    model = cp_model.CpModel()
    opened = [model.new_bool_var("") for _ in spools]
    on = [[model.new_bool_var("") for _ in spools] for _ in pieces]
    for row in on:
        model.add_exactly_one(row)
    for index, (length, _) in enumerate(spools):
        load = sum(piece * row[index] for piece, row in zip(pieces, on))
        model.add(load <= length * opened[index])
    model.minimize(sum(cents * switch for (_, cents), switch in zip(spools, opened)))
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    start = time.perf_counter()
    status = solver.solve(model)
    spent = time.perf_counter() - start
    found = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    price = Decimal(round(solver.objective_value)) / CENT if found else None
    bound = Decimal(round(solver.best_objective_bound)) / CENT
    return price, bound, status == cp_model.OPTIMAL, spent


def main():
    arguments = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    arguments.add_argument("--seconds", type=float, default=60.0, help="limit for each problem (default 60)")
    seconds = arguments.parse_args().seconds
    print("| problem | pieces | price here | bound here | s here | price CP-SAT | bound CP-SAT | proved | s CP-SAT |")
    print("|---|---|---|---|---|---|---|---|---|")
    contradictions = 0
    for line in sys.stdin:
        problem = json.loads(line)
        price, bound, proved, spent = assignment(problem, seconds)
        ours, ours_bound = Decimal(problem["price"]), Decimal(problem["bound"])
        if bound > ours or (price is not None and price < ours_bound):
            contradictions += 1
        print(
            f"| {problem['name']} | {len(problem['pieces'])} | {ours} | {ours_bound} | {problem['seconds']:.3f} "
            f"| {price if price is not None else 'none'} | {bound} | {'yes' if proved else 'no'} | {spent:.3f} |",
            flush=True,
        )
    if contradictions:
        sys.exit(f"{contradictions} problems where one program's price lies below the other's bound")


if __name__ == "__main__":
    main()
