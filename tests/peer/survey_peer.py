"""Cheapest ways over a fine grid, beside those through the graph of a survey.

Reads a plan with the costs of the graph's cheapest ways as JSON from standard input. The
ground is cut into square cells; a way goes from cell to cell by any of 32 steps and pays for
each the mean of the cells along it (Dijkstra's algorithm of scipy.sparse.csgraph). Directions
between the steps make such ways up to about 1 % dearer than true ones, so a ratio a little
below 1 is expected. Lines that cables follow are one cell wide. Bored ground is closed: pairs
whose way uses a bore or sleeve are not in the input.
"""

import json
import sys
import time

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import dijkstra
from shapely import contains_xy
from shapely.geometry import LineString, Polygon

CELL_M = 0.2
MARGIN_M = 6.0
# One of each pair of opposite steps.
STEPS = [
    (0, 1), (1, 0), (1, 1), (1, -1), (1, 2), (1, -2), (2, 1), (2, -1),
    (1, 3), (1, -3), (3, 1), (3, -1), (2, 3), (2, -3), (3, 2), (3, -2),
]


def raster(plan):
    """Cost per metre of every cell, -1 where no way leads, and the lower left corner."""
    points = np.array([at for area in plan["areas"] for at in area["ring"]] + plan["fixtures"])
    low = points.min(axis=0) - MARGIN_M
    high = points.max(axis=0) + MARGIN_M
    columns, rows = np.ceil((high - low) / CELL_M).astype(int)
    xs = low[0] + (np.arange(columns) + 0.5) * CELL_M
    ys = low[1] + (np.arange(rows) + 0.5) * CELL_M
    cost = np.full((rows, columns), plan["rates"][plan["ground"]])
    # What counts least first: ground, bored, utility, closed; the larger before the smaller.
    ordered = sorted(plan["areas"], key=lambda area: (-area["order"], -Polygon(area["ring"]).area))
    for area in ordered:
        outline = Polygon(area["ring"])
        west, south, east, north = outline.bounds
        i0, i1 = np.searchsorted(xs, [west, east])
        j0, j1 = np.searchsorted(ys, [south, north])
        grid = np.meshgrid(xs[i0:i1], ys[j0:j1])
        inside = contains_xy(outline, *grid)
        part = cost[j0:j1, i0:i1]
        part[inside] = plan["rates"][area["surface"]] if area["surface"] else -1.0
    cell = lambda at: tuple(np.floor((np.array(at) - low) / CELL_M).astype(int)[::-1])
    for follow in plan["lines"]:
        rate = plan["rates"][follow["surface"]]
        course = list(LineString(follow["course"]).coords)
        for a, b in zip(course, course[1:]):
            shares = np.linspace(0, 1, int(np.hypot(*np.subtract(a, b)) / CELL_M * 4) + 2)
            for share in shares:
                cost[cell(np.add(a, np.subtract(b, a) * share))] = rate
    return cost, cell


def steps(cost):
    """Every step between two cells as a sparse matrix of costs."""
    rows, columns = cost.shape
    number = np.arange(rows * columns).reshape(cost.shape)
    found = []
    for dy, dx in STEPS:
        y0, x0 = np.mgrid[0 : rows - dy, max(0, -dx) : columns - max(0, dx)]
        along = np.linspace(0, 1, 2 * max(dy, abs(dx)) + 1)
        cells = [cost[y0 + round(dy * share), x0 + round(dx * share)] for share in along]
        closed = np.min(cells, axis=0) < 0
        each = np.mean(cells, axis=0) * np.hypot(dy, dx) * CELL_M
        open_ = ~closed
        found.append((each[open_], number[y0, x0][open_], number[y0 + dy, x0 + dx][open_]))
    each, origin, target = (np.concatenate(part) for part in zip(*found))
    return coo_array((each, (origin, target)), shape=(number.size, number.size)).tocsr()


def main():
    plan = json.load(sys.stdin)
    start = time.perf_counter()
    cost, cell = raster(plan)
    matrix = steps(cost)
    ratios = []
    sources = sorted({one for one, _, _ in plan["pairs"]})
    for source in sources:
        at = np.ravel_multi_index(cell(plan["fixtures"][source]), cost.shape)
        reached = dijkstra(matrix, directed=False, indices=at).reshape(cost.shape)
        for one, two, graph in plan["pairs"]:
            grid = reached[cell(plan["fixtures"][two])]
            # Nearer pairs would measure the cells.
            far = np.hypot(*np.subtract(plan["fixtures"][one], plan["fixtures"][two])) > 40 * CELL_M
            if one == source and far and np.isfinite(grid):
                ratios.append(graph / grid)
    ratios = np.array(ratios)
    seconds = time.perf_counter() - start
    print(f"{cost.shape[1]} x {cost.shape[0]} cells of {CELL_M} m, {len(sources)} sources, {seconds:.1f} s")
    print(
        f"graph beside grid, {len(ratios)} pairs: least {ratios.min():.4f}, "
        f"median {np.median(ratios):.4f}, 99 % within {np.quantile(ratios, 0.99):.4f}, worst {ratios.max():.4f}"
    )


main()
