"""How much sooner a job of many meshes is estimated by two processes than by one, and again once it was read.

    python -m tests.benchmarks.bench_many_files                2,000 meshes
    python -m tests.benchmarks.bench_many_files --meshes 100

Whole processes on the wall clock, each with a store of its own that is empty before; the target is 1.8 times. What
the machine gives to two processes that know nothing of each other is measured in the same run, as the most possible.
"""

import argparse
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[2]
BUSY = "sum(i * i for i in range(12_000_000))"


def write_torus(path: Path, reach_mm: float, radius_mm: float) -> None:
    """A closed torus of some 1,200 facets as binary STL."""
    u, v = (2 * np.pi * np.arange(n + 1) / n for n in (42, 14))
    u[-1] = v[-1] = 0.0
    u, v = np.meshgrid(u, v, indexing="ij")
    out = reach_mm + radius_mm * np.cos(v)
    grid = np.stack([out * np.cos(u), out * np.sin(u), radius_mm * np.sin(v)], axis=-1).astype(np.float32)
    a, b, c, d = grid[:-1, :-1], grid[1:, :-1], grid[1:, 1:], grid[:-1, 1:]
    records = np.zeros((2, 42, 14), np.dtype([("n", "<f4", 3), ("c", "<f4", (3, 3)), ("a", "<u2")]))
    records["c"][0], records["c"][1] = np.stack([a, b, c], axis=2), np.stack([a, c, d], axis=2)
    path.write_bytes(bytes(80) + records.size.to_bytes(4, "little") + records.tobytes())


def write_job(folder: Path, meshes: int) -> Path:
    """A job with a piece per mesh, no two alike."""
    chance = np.random.default_rng(4)
    rows = ["mark,shape.kind,shape.file,shape.unit"]
    for number in range(meshes):
        write_torus(folder / f"m{number}.stl", 300 + 100 * chance.random(), 60 + 40 * chance.random())
        rows.append(f"M{number},mesh,m{number}.stl,mm")
    (folder / "rows.csv").write_text("\n".join(rows) + "\n")
    head = '[job]\nname = "Rings"\nunits = "metric"\nmix = "backer-45"\nwaste = 0.07\n'
    (folder / "job.toml").write_text(head + '[[schedule]]\nfile = "rows.csv"\n')
    return folder / "job.toml"


def seconds(job: Path, workers: int, store: Path) -> float:
    """Wall clock of one `check`."""
    environment = {**os.environ, "CAST_ESTIMATOR_CACHE": str(store)}
    command = [sys.executable, "-m", "estimator", "check", str(job), "--workers", str(workers)]
    start = time.perf_counter()
    subprocess.run(command, cwd=ROOT, env=environment, check=True, stdout=subprocess.DEVNULL)
    return time.perf_counter() - start


def most_possible() -> float:
    """How much sooner two busy processes end side by side than one after the other."""

    def run(together: int) -> float:
        start = time.perf_counter()
        for process in [subprocess.Popen([sys.executable, "-c", BUSY]) for _ in range(together)]:
            process.wait()
        return time.perf_counter() - start

    return 2 * run(1) / run(2)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--meshes", type=int, default=2_000)
    meshes = parser.parse_args().meshes
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        job = write_job(folder, meshes)
        alone, both = seconds(job, 1, folder / "one"), seconds(job, 2, folder / "two")
        again = seconds(job, 2, folder / "two")
    print(f"{meshes:,} meshes: one process {alone:.1f} s, two {both:.1f} s, read before {again:.1f} s")
    print(f"two processes: {alone / both:.2f} times sooner (two that share nothing: {most_possible():.2f})")
    print(f"read before: {alone / again:.1f} times sooner than the first time")


if __name__ == "__main__":
    main()
