"""A perforated panel, as a ratio to the same panel with a quarter of its holes, and to one without any.

    python tests/benchmarks/bench_holes.py

What must hold on any machine is that four times the holes take no more than about four times what the holes added.
"""

from __future__ import annotations

import sys
from math import ceil, sqrt
from pathlib import Path
from time import process_time

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from estimator import estimate, job_from

PITCH_MM = 80


def panel(kind: str, holes: int) -> dict[str, object]:
    """A job of one plate with round holes on a grid."""
    across = max(1, ceil(sqrt(2 * holes)))
    length, width = PITCH_MM * (across + 1), PITCH_MM * (ceil(max(1, holes) / across) + 1)
    cutouts = [
        {
            "kind": "circle",
            "diameter": "40 mm",
            "x": f"{PITCH_MM * (1 + number % across)} mm",
            "y": f"{PITCH_MM * (1 + number // across)} mm",
        }
        for number in range(holes)
    ]
    size: dict[str, object] = (
        {"length": f"{length} mm", "width": f"{width} mm"}
        if kind == "slab"
        else {"unit": "mm", "points": [[0, 0], [length, 0], [length, width], [0, width]]}
    )
    shape = {"kind": kind, "thickness": "20 mm", "cutouts": cutouts, **size}
    job = {"name": "Screens", "units": "metric", "currency": "EUR", "mix": "backer-45"}
    return {"job": job, "piece": [{"mark": "A", "shape": shape}]}


def main() -> None:
    for kind in ("slab", "outline"):
        plain, before = 0.0, 0.0
        for holes in (0, 0, 250, 1000):  # the first one warms up
            start = process_time()
            estimate(job_from(panel(kind, holes))).document()
            took = process_time() - start
            if not holes:
                plain = took
                continue
            added = took - plain
            grown = "" if not before else f", {added / before:.1f} times what a quarter of them added"
            print(f"{kind}, {holes:>5,} holes: {took:.2f} s of CPU, without any {plain:.2f} s{grown}")
            before = added


if __name__ == "__main__":
    main()
