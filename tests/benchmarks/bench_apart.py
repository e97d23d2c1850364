"""Cost of a process of its own for a reader: its start, and a whole drawing and mesh, beside reading them in process.

python -m tests.benchmarks.bench_apart
"""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Callable
from functools import partial

from geometry.apart import apart
from geometry.files import InputFile, Limits
from geometry.mesh_file import read_mesh
from geometry.readers.drawing import read_drawing
from tests.fuzz_readers import MM, SEEDS
from tests.geometry import hostile

RUNS = 15


def median_s(run: Callable[[], object]) -> float:
    times = []
    for _ in range(RUNS):
        began = time.perf_counter()
        run()
        times.append(time.perf_counter() - began)
    return sorted(times)[RUNS // 2]


def main() -> None:
    plain = median_s(lambda: subprocess.run([sys.executable, "-c", "import numpy"], check=True))
    start = median_s(lambda: apart(hostile.returns, InputFile("part.step", b"x"), 1))
    print(f"start of a child and its answer {start:.3f} s, {start / plain:.2f} times a Python that imports numpy")
    for name, read in (("plan.dxf", read_drawing), ("box.obj", read_mesh), ("box.stl", read_mesh)):
        files = [InputFile(name, SEEDS[name], limits) for limits in (Limits(), Limits(apart_mb=0))]
        here, there = (median_s(partial(read, file, MM)) for file in files)
        print(f"{name}: {there:.3f} s in a child, {here:.3f} s here, its libraries loaded before")


if __name__ == "__main__":
    main()
