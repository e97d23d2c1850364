"""An outline of many straight edges, solid or hollow, estimated; as a ratio to shapely joining as many boards.

    python -m tests.benchmarks.bench_edges [EDGES ...]

The boards stand side by side along the outline, and the one that is joined last meets all others: that is the least
that has to be looked at. What must hold on any machine is an exponent of time against edges near 1.
"""

from __future__ import annotations

import sys
from math import log
from pathlib import Path
from time import process_time

import numpy as np
import shapely

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from estimator import estimate, job_from

EDGES = (1_000, 2_000, 4_000, 8_000)
BOARD_M = 0.018


def wavy(edges: int) -> np.ndarray:
    """Corners of an oval of 2 by 1.2 m whose edges turn a little in and out."""
    rng = np.random.default_rng(3)
    turn = 2.0 * np.pi * np.arange(edges) / edges
    radius = 1.0 + rng.uniform(-1.2, 1.2, edges) / edges
    return np.column_stack([radius * np.cos(turn) + 1.2, 0.6 * radius * np.sin(turn) + 0.8])


SOLID = {"thickness": "25 mm"}
HOLLOW = {"thickness": "0.3 m", "wall": "20 mm"}


def job(points: np.ndarray, plate: dict[str, str]) -> dict[str, object]:
    shape = {"kind": "outline", "unit": "m", "points": points.round(6).tolist(), **plate}
    head = {"name": "Oval", "units": "metric", "currency": "EUR", "mix": "backer-45"}
    return {"job": head, "piece": [{"mark": "A", "use": "counter", "shape": shape}]}


def joined(points: np.ndarray) -> float:
    """Processor time of the union of one quadrilateral board an edge."""
    start = process_time()
    out = points + BOARD_M * (points - points.mean(axis=0)) / np.hypot(*(points - points.mean(axis=0)).T)[:, None]
    after, out_after = np.roll(points, -1, axis=0), np.roll(out, -1, axis=0)
    shapely.union_all(shapely.polygons(np.stack([points, after, out_after, out], axis=1)))
    return process_time() - start


def main() -> None:
    counts = [int(each) for each in sys.argv[1:]] or EDGES
    estimate(job_from(job(wavy(50), SOLID))).document()  # warms up
    for name, plate in (("solid", SOLID), ("hollow", HOLLOW)):
        before: tuple[int, float] | None = None
        for edges in counts:
            points = wavy(edges)
            start = process_time()
            estimate(job_from(job(points, plate))).document()
            took, floor = process_time() - start, joined(points)
            grown = "" if before is None else f", exponent {log(took / before[1]) / log(edges / before[0]):.2f}"
            print(f"{edges:>6,} edges, {name}: {took:.2f} s, {took / floor:.0f} times the union of their boards{grown}")
            before = edges, took


if __name__ == "__main__":
    main()
