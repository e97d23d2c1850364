"""Time of the ways to lighten the heaviest pieces of the example, beside an estimate of it.

Run from the project's root: python -m tests.benchmarks.bench_lighten
Each is a process of its own, started twice: the first fills the store of measured geometry. CPU time of the second.
"""

from __future__ import annotations

import resource
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
EXAMPLE = ROOT / "examples" / "boathouse" / "job.toml"


def seconds(*call: str) -> float:
    """CPU time of a command, the least of two runs."""
    times = []
    for _ in range(2):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run([sys.executable, "-m", "estimator", *call], cwd=ROOT, check=True, stdout=subprocess.DEVNULL)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        times.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    return min(times)


def main() -> None:
    """Print both times and their ratio."""
    whole = seconds("estimate", str(EXAMPLE), "--json")
    ways = seconds("lighten", str(EXAMPLE), "--json")
    print(f"estimate of the example: {whole:.2f} s; lighten of it: {ways:.2f} s, {ways / whole:.2f} times as long")


if __name__ == "__main__":
    main()
