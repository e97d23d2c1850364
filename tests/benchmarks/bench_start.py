"""Cost of a small job from the command to its document, as a ratio to importing the libraries that it needs.

    python -m tests.benchmarks.bench_start

Processor time of whole processes, the best of five, with everything compiled before. The floor is a process
that imports numpy, shapely and pydantic and ends. The targets, on a machine whose floor is 0.16 s: help 0.10 s, ten
panels 0.45 s, the example job 1.0 s (read before; the first run also reads its drawing and mesh).
"""

import os
import resource
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
FLOOR = ("-c", "import numpy, shapely, pydantic")
TIMES = 5
PANELS = """[job]
name = "Panels"
units = "metric"
mix = "backer-45"
waste = 0.07
"""
PANEL = """
[[piece]]
mark = "P{number}"
use = "panel"
[piece.shape]
kind = "panel"
length = "{length} mm"
height = "800 mm"
skin = "15 mm"
"""


def seconds(*arguments: str, store: str = "off", times: int = TIMES) -> float:
    """Processor time of a process, user and system, the best of a few."""
    environment = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    environment["CAST_ESTIMATOR_CACHE"] = store
    spent = []
    for _ in range(times):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run(
            [sys.executable, *arguments], cwd=ROOT, env=environment, check=True, stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )  # fmt: skip
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        spent.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    return min(spent)


def main() -> None:
    with tempfile.TemporaryDirectory() as name:
        panels = Path(name) / "job.toml"
        panels.write_text(PANELS + "".join(PANEL.format(number=n, length=1000 + 50 * n) for n in range(10)))
        estimate = ("-m", "estimator", "estimate")
        boathouse = str(ROOT / "examples/boathouse/job.toml")
        seconds(*estimate, boathouse, store=f"{name}/store", times=1)  # compiles, and fills the store
        floor = seconds(*FLOOR)
        print(f"numpy, shapely and pydantic imported: {floor:.3f} s")
        for what, spent in (
            ("help", seconds("-m", "estimator", "--help")),
            ("ten panels", seconds(*estimate, str(panels), "--json")),
            ("the example job, read before", seconds(*estimate, boathouse, store=f"{name}/store")),
            ("the example job, read for the first time", seconds(*estimate, boathouse)),
        ):
            print(f"{what}: {spent:.3f} s, {spent / floor:.2f} times the floor")


if __name__ == "__main__":
    main()
