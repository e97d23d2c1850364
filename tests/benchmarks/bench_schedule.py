"""How fast ten thousand pieces are taken off with their layers and boards, as a ratio to plain library calls.

Run from the project's root: python -m tests.benchmarks.bench_schedule, or python tests/benchmarks/bench_schedule.py.
The plain way builds a shapely polygon a piece for its plan and for the plan a face coat leaves, and multiplies by
thickness: less than is measured here (no areas, balance, inertia, returns or drops). The second schedule is of unlike
slabs with a sink each, measured and given the boards of their forms, alone and with one slab among them whose sink
runs over its edge.
"""

from __future__ import annotations

import random
import sys
from pathlib import Path
from statistics import median
from time import process_time

import shapely

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from estimator.packaging.forms import boards_of
from geometry.form_boards import placed_boards
from geometry.schedule import Measure, measure_many
from geometry.shape import layer_parts, measure
from geometry.shapes import Box, DropEdge, Panel, RectangleCutout, Return, Shape, Slab

ROWS = 10_000
RUNS = 5
COAT_M = 0.003
BOARD_M = 0.019


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


def counters() -> list[Slab]:
    """Unlike slabs, each with a sink whose corners are round."""
    between = random.Random(8).uniform
    slabs = []
    for _ in range(ROWS):
        length, width = between(1.2, 3.0), between(0.6, 0.75)
        sink = RectangleCutout(between(0.4, 0.8), between(0.35, 0.42), between(0.1, 0.3), between(0.08, 0.12), 0.02)
        slabs.append(Slab(length, width, between(0.018, 0.03), (sink,)))
    return slabs


def plainly(shapes: list[Shape]) -> float:
    volume = 0.0
    for shape in shapes:
        length, width = shape.length_m, shape.height_m if isinstance(shape, Panel) else shape.width_m
        plan = shapely.Polygon([(0, 0), (length, 0), (length, width), (0, width)])
        if isinstance(shape, Slab):
            plan = plan.difference(shapely.union_all([shapely.box(*cutout.bounds) for cutout in shape.cutouts]))
        volume += plan.area * 0.02 + plan.buffer(-COAT_M, join_style="mitre").area * (0.02 - COAT_M)
    return volume


def timed(call: object, *arguments: object) -> float:
    assert callable(call)
    times = []
    for _ in range(RUNS):
        start = process_time()
        call(*arguments)
        times.append(process_time() - start)
    return median(times)


def boarded(shapes: list[Slab]) -> int:
    return sum(len(boards_of(shape, "C1", BOARD_M)) for shape in shapes)


def measured(shape: Shape) -> Measure:
    (measure_of_row,) = measure_many([shape], [COAT_M, None])
    assert isinstance(measure_of_row, Measure)
    return measure_of_row


def mixed() -> None:
    """Slabs with drops, panels with returns and boxes."""
    shapes = pieces()
    for shape in shapes[::499]:
        row, solid, face = measured(shape), measure(shape), layer_parts(shape, [COAT_M, None])[0]
        assert abs(row.solid.volume_m3 / solid.volume_m3 - 1) < 1e-9, shape
        assert abs(row.layers[0].volume_m3 / face.volume_m3 - 1) < 1e-6, shape
    ours, plain = timed(measure_many, shapes, [COAT_M, None]), timed(plainly, shapes)
    few = shapes[:200]
    alone = timed(lambda: [(measure(s), layer_parts(s, [COAT_M, None])) for s in few]) * ROWS / len(few)
    print(f"{ROWS:,} pieces with a face coat, CPU time, medians of {RUNS}")
    print(f"  in columns, results made          {ours:7.3f} s")
    print(f"  a polygon a piece, plan only      {plain:7.3f} s   {plain / ours:6.1f} times as long")
    print(f"  one by one, from 200 of them      {alone:7.1f} s   {alone / ours:6.0f} times as long")


def with_sinks() -> None:
    """Unlike slabs with a sink, their boards, and one refused row among them."""
    slabs = counters()
    few = slabs[:: ROWS // 25]
    for slab in few:
        assert abs(measured(slab).solid.volume_m3 / slab.solid_by_slices().volume_m3 - 1) < 1e-12, slab
    outside = Slab(1.5, 0.6, 0.02, (RectangleCutout(0.6, 0.4, 1.2, 0.1),))
    refused = [*slabs[:4999], outside, *slabs[5000:]]
    assert isinstance(measure_many(refused, [COAT_M, None])[4999], ValueError)
    ours, plain = timed(measure_many, slabs, [COAT_M, None]), timed(plainly, slabs)
    one_refused = timed(measure_many, refused, [COAT_M, None])
    sliced = timed(lambda: [(s.solid_by_slices(), s.layers_by_distance([COAT_M, None], "form")) for s in few])
    sliced *= ROWS / len(few)
    boards = timed(boarded, slabs)
    placed = timed(lambda: [placed_boards(slab, BOARD_M) for slab in few]) * ROWS / len(few)
    print(f"{ROWS:,} unlike slabs with a sink and a face coat")
    print(f"  in columns, results made          {ours:7.3f} s")
    print(f"  the same, one row refused         {one_refused:7.3f} s   {one_refused / ours:6.2f} times as long")
    print(f"  a polygon a piece, plan only      {plain:7.3f} s   {plain / ours:6.1f} times as long")
    print(f"  by slices, from {len(few)} of them        {sliced:7.1f} s   {sliced / ours:6.0f} times as long")
    print(f"  boards of their forms             {boards:7.3f} s   {plain / boards:6.1f} times a polygon a piece")
    print(f"  boards put together, from {len(few)}      {placed:7.1f} s   {placed / boards:6.0f} times as long")


def main() -> None:
    mixed()
    with_sinks()


if __name__ == "__main__":
    main()
