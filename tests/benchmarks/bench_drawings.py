"""How long a DXF of many outlines takes to read and measure, as a ratio to the time ezdxf takes to parse it.

Run from the project's root: python -m tests.benchmarks.bench_drawings, or python tests/benchmarks/bench_drawings.py.
Two sheets: 10,000 closed polylines of eight points, two of their edges arcs, a tenth of them with a round hole; and
40,000 loose lines that join into 10,000 outlines, each read as outlines and as the pieces of a job. The ratio holds the
parsing itself, so 1.0 is the least possible. The target for the first is 1.15.
"""

from __future__ import annotations

import gc
import random
import sys
import tempfile
from collections.abc import Callable
from math import cos, pi, sin
from pathlib import Path
from statistics import median
from time import process_time

import ezdxf

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from geometry.readers.drawing import read_drawing
from geometry.readers.pieces import read_pieces

OUTLINES = 10_000
ROUNDS = 5


def closed_outlines(path: Path) -> None:
    document = ezdxf.new("R2010", units=4)
    space = document.modelspace()
    chance = random.Random(7)
    for number in range(OUTLINES):
        x, y = number % 100 * 300, number // 100 * 300
        radii = [80 + 40 * chance.random() for _ in range(8)]
        corners = [
            (x + r * cos(k * pi / 4), y + r * sin(k * pi / 4), 0.2 if k % 4 == 0 else 0.0) for k, r in enumerate(radii)
        ]
        space.add_lwpolyline(corners, format="xyb", close=True)
        if number % 10 == 0:
            space.add_circle((x, y), 25)
    document.saveas(path)


def loose_lines(path: Path) -> None:
    document = ezdxf.new("R2010", units=4)
    space = document.modelspace()
    lines = []
    for number in range(OUTLINES):
        x, y = number % 100 * 300, number // 100 * 300
        corners = [(x, y), (x + 200, y), (x + 200, y + 100), (x, y + 100)]
        lines += [(corners[k - 1], corners[k]) for k in range(4)]
    random.Random(7).shuffle(lines)
    for start, end in lines:
        space.add_line(start, end)
    document.saveas(path)


def seconds(run: Callable[[Path], object], path: Path) -> float:
    """Processor time of one run, without other work of the machine."""
    gc.collect()
    start = process_time()
    run(path)
    return process_time() - start


def measured(path: Path) -> tuple[float, ...]:
    """Area, length of all edges, and centroid."""
    drawing = read_drawing(path)
    return drawing.area_m2, drawing.perimeter_m, *drawing.centroid_m


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        for name, write in (("closed outlines", closed_outlines), ("loose lines", loose_lines)):
            path = Path(folder) / "sheet.dxf"
            write(path)
            measured(path)
            for kind, read in (("read and measured", measured), ("read into pieces", read_pieces)):
                rounds = [(seconds(ezdxf.readfile, path), seconds(read, path)) for _ in range(ROUNDS)]
                parse, whole = (median(times) for times in zip(*rounds, strict=True))
                ratio = median(ours / theirs for theirs, ours in rounds)
                print(f"{name}: ezdxf parses in {parse:.2f} s, {kind} in {whole:.2f} s: {ratio:.2f} times")


if __name__ == "__main__":
    main()
