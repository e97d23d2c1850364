"""How fast a schedule of ten thousand plain pieces is taken off with its layers, as a ratio to plain library calls.

Run from the project's root: python -m tests.benchmarks.bench_schedule, or python tests/benchmarks/bench_schedule.py.
The plain way builds a shapely polygon a piece for its plan and for the plan a face coat leaves, and multiplies by
thickness: less than is measured here (no areas, balance, inertia, returns or drops).
"""

from __future__ import annotations

import random
import sys
from pathlib import Path
from statistics import median
from time import perf_counter

import shapely

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from geometry.schedule import measure_many
from geometry.shape import layer_parts, measure
from geometry.shapes import Box, DropEdge, Panel, Return, Shape, Slab

ROWS = 10_000
RUNS = 5
COAT_M = 0.003


def pieces() -> list[Shape]:
    between = random.Random(7).uniform
    made: list[Shape] = []
    while len(made) < ROWS:
        drops = (DropEdge(("front", "left"), between(0.05, 0.1), 0.03),)
        made.append(Slab(between(0.5, 3.0), between(0.4, 1.0), between(0.015, 0.03), drop_edges=drops))
        returns = (Return(("left", "right", "top", "bottom"), between(0.04, 0.1), 0.02),)
        made.append(Panel(between(0.5, 3.0), between(0.4, 1.5), between(0.01, 0.02), returns))
        made.append(Box(between(0.5, 1.0), between(0.4, 0.8), between(0.3, 0.6), between(0.015, 0.03), 0.03))
    return made[:ROWS]


def plainly(shapes: list[Shape]) -> float:
    volume = 0.0
    for shape in shapes:
        length, width = shape.length_m, shape.height_m if isinstance(shape, Panel) else shape.width_m
        plan = shapely.Polygon([(0, 0), (length, 0), (length, width), (0, width)])
        volume += plan.area * 0.02 + plan.buffer(-COAT_M, join_style="mitre").area * (0.02 - COAT_M)
    return volume


def timed(call: object, *arguments: object) -> float:
    assert callable(call)
    times = []
    for _ in range(RUNS):
        start = perf_counter()
        call(*arguments)
        times.append(perf_counter() - start)
    return median(times)


def main() -> None:
    shapes = pieces()
    measured = measure_many(shapes, [COAT_M, None])
    for row in range(0, ROWS, 499):
        solid, face = measure(shapes[row]), layer_parts(shapes[row], [COAT_M, None])[0]
        assert abs(measured[row][0].volume_m3 / solid.volume_m3 - 1) < 1e-9, row
        assert abs(measured[row][1][0].volume_m3 / face.volume_m3 - 1) < 1e-6, row
    ours, plain = timed(measure_many, shapes, [COAT_M, None]), timed(plainly, shapes)
    few = shapes[:200]
    alone = timed(lambda: [(measure(s), layer_parts(s, [COAT_M, None])) for s in few]) * ROWS / len(few)
    print(f"{ROWS:,} pieces with a face coat, medians of {RUNS}")
    print(f"  in columns, results made          {ours:7.3f} s")
    print(f"  a polygon a piece, plan only      {plain:7.3f} s   {plain / ours:6.1f} times as long")
    print(f"  one by one, from 200 of them      {alone:7.1f} s   {alone / ours:6.0f} times as long")


if __name__ == "__main__":
    main()
