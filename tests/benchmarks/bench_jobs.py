"""Cost of a large job from its rows to its JSON, and of a small one when one of its sizes changes.

Run from the project's root: python -m tests.benchmarks.bench_jobs [ROWS ...]. The floor beside each job is a process
that reads the same rows and the finished document with the standard library, and writes the document again: no
geometry, no mix, no price. Times are CPU seconds of whole processes, what they compile once compiled before; the
exponent is that of time against rows.
"""

from __future__ import annotations

import json
import os
import random
import subprocess
import sys
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from math import log
from pathlib import Path
from time import process_time

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

ROWS = (1_000, 10_000)
WARM_RUNS = 20
JOB = """[job]
name = "Ferry terminal"
units = "metric"
currency = "EUR"
mix = "backer-45"
waste = 0.07

[[schedule]]
file = "rows.csv"
"""
FLOOR = """
import csv, json, sys
rows = list(csv.DictReader(open(sys.argv[1])))
document = json.load(open(sys.argv[2]))
assert len(rows) == len(document["pieces"])
json.dump(document, sys.stdout)
"""


@dataclass(frozen=True, slots=True)
class Cost:
    """CPU time, peak memory and output of one process."""

    cpu_s: float
    peak_mib: float
    output_mb: float


def slabs(count: int) -> list[str]:
    """Rows of unlike slabs, each with a sink."""
    between = random.Random(5).randint
    sink = [f"shape.cutouts[0].{key}" for key in ("kind", "length", "width", "x", "y")]
    head = ["mark", "use", "shape.kind", "shape.length", "shape.width", "shape.thickness", *sink]
    return [
        ",".join(head),
        *(
            f"S{row},counter,slab,{between(1200, 2400)} mm,{between(550, 700)} mm,{(20, 22, 25)[row % 3]} mm,rectangle,"
            f"{between(450, 700)} mm,{between(350, 400)} mm,{between(150, 400)} mm,{between(80, 120)} mm"
            for row in range(count)
        ),
    ]


def panels(count: int) -> list[str]:
    """Rows of panels of 14 types."""
    between = random.Random(6).randint
    types = [(between(900, 1800), between(600, 1200)) for _ in range(14)]
    sizes = (types[row % len(types)] for row in range(count))
    head = "mark,use,shape.kind,shape.length,shape.height,shape.skin"
    return [head, *(f"P{row},panel,panel,{x} mm,{y} mm,13 mm" for row, (x, y) in enumerate(sizes))]


def run(arguments: list[str], output: Path) -> Cost:
    """One process with its standard output in a file."""
    environment = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    with output.open("wb") as stream:
        process = subprocess.Popen([sys.executable, *arguments], stdout=stream, cwd=ROOT, env=environment)
        _, status, usage = os.wait4(process.pid, 0)
    assert os.waitstatus_to_exitcode(status) == 0, arguments
    return Cost(usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024, output.stat().st_size / 1e6)


def estimate_rows(rows: list[str], folder: Path) -> tuple[Cost, Cost]:
    """Cost of our command, and the floor."""
    job, table, document = folder / "job.toml", folder / "rows.csv", folder / "document.json"
    job.write_text(JOB, encoding="utf-8")
    table.write_text("\n".join(rows) + "\n", encoding="utf-8")
    ours = run(["-m", "estimator", "estimate", str(job), "--json"], document)
    return ours, run(["-c", FLOOR, str(table), str(document)], folder / "floor.json")


def large(name: str, rows_of: Callable[[int], list[str]], counts: list[int]) -> None:
    times: list[float] = []
    for count in counts:
        with tempfile.TemporaryDirectory() as folder:
            ours, floor = estimate_rows(rows_of(count), Path(folder))
        times.append(ours.cpu_s)
        print(
            f"{count:7,} {name:28s} {ours.cpu_s:6.2f} s  {ours.peak_mib:5.0f} MiB  {ours.output_mb:6.1f} MB of JSON"
            f"   {ours.cpu_s / floor.cpu_s:5.2f} times the floor of {floor.cpu_s:.2f} s"
        )
    for (few, first), (many, second) in zip(
        zip(counts, times, strict=True), list(zip(counts, times, strict=True))[1:], strict=False
    ):
        print(f"        exponent from {few:,} to {many:,} rows: {log(second / first) / log(many / few):.2f}")


def warm() -> None:
    """A job of 50 pieces in one process, estimated anew each time with one length changed."""
    from estimator import estimate, load_job

    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "job.toml").write_text(JOB, encoding="utf-8")
        rows = slabs(50)
        times, floors = [], []
        for length_mm in range(1500, 1500 + WARM_RUNS):
            cells = rows[7].split(",")
            cells[3] = f"{length_mm} mm"
            (folder / "rows.csv").write_text("\n".join([*rows[:7], ",".join(cells), *rows[8:]]), encoding="utf-8")
            start = process_time()
            document = estimate(load_job(folder / "job.toml")).document()
            times.append(process_time() - start)
            start = process_time()
            json.loads(json.dumps(document))
            floors.append(process_time() - start)
        median_s, floor_s = sorted(times)[WARM_RUNS // 2], sorted(floors)[WARM_RUNS // 2]
        print(
            f"     50 slabs, one length changed, warm: {1e3 * median_s:.0f} ms, the first {1e3 * times[0]:.0f} ms; "
            f"{median_s / floor_s:.1f} times writing and reading its document with the standard library"
        )


def main() -> None:
    counts = [int(each) for each in sys.argv[1:]] or list(ROWS)
    with tempfile.TemporaryDirectory() as folder:
        estimate_rows(slabs(1), Path(folder))  # compiles
    large("unlike slabs with a sink", slabs, counts)
    large("panels of 14 types", panels, counts)
    warm()


if __name__ == "__main__":
    main()
