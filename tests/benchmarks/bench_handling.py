"""Handling plans of unlike slabs with a sink, planned together, as a ratio to a floor in the same run.

Run from the project's root: python -m tests.benchmarks.bench_handling, or python tests/benchmarks/bench_handling.py.
The floor is the cost of the results alone: the same plans unpickled by the standard library, which sets every field
of every result and computes nothing. CPU time, so that other work on the machine does not count. Beside it
stand plain slabs, on which vacuum pads find places, and the plan of each piece by itself.
"""

from __future__ import annotations

import gc
import pickle
import random
import sys
from collections.abc import Sequence
from math import log
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from estimator import job_from
from estimator.handling.plan import plan_all, plan_handling
from estimator.job import Job
from estimator.mix import make
from estimator.takeoff import PieceTakeoff, take_off
from estimator.weight import Weight, weigh_all
from tests.benchmarks.bench_moves import seconds

FEW, MANY = 1_000, 10_000
ALONE = 100


def job_of(count: int, *, sinks: bool) -> Job:
    """A job of unlike counters."""
    draw = random.Random(5)

    def mm(low: int, high: int) -> str:
        return f"{draw.randint(low, high)} mm"

    def sink() -> dict[str, str]:
        size = {"length": mm(450, 700), "width": mm(350, 400), "x": mm(150, 400), "y": mm(80, 120)}
        return {"kind": "rectangle", **size}

    pieces = [
        {
            "mark": f"S{number}",
            "use": "counter",
            "shape": {
                "kind": "slab",
                "length": mm(1200, 2400),
                "width": mm(550, 700),
                "thickness": f"{draw.choice([20, 22, 25])} mm",
                "cutouts": [sink()] if sinks else [],
            },
        }
        for number in range(count)
    ]
    return job_from({"job": {"name": "Bench", "units": "metric", "mix": "backer-45"}, "piece": pieces})


def weighed(job: Job) -> tuple[Sequence[PieceTakeoff], list[Weight]]:
    """The pieces of a job measured and weighed."""
    takeoff, _ = take_off(job)
    mixes = {"backer-45": make(job.mixes["backer-45"], job.materials)}
    weights = weigh_all(takeoff.pieces, mixes, job.workshop)
    return takeoff.pieces, [weight for weight in weights if isinstance(weight, Weight)]


def costs(count: int, *, sinks: bool) -> tuple[float, float, float]:
    """Seconds a piece: planned together, the floor, and planned one by one."""
    job = job_of(count, sinks=sinks)
    takeoffs, weights = weighed(job)
    plans = pickle.dumps(plan_all(takeoffs, weights, job))
    gc.collect()
    gc.freeze()
    gc.disable()
    try:
        together = seconds(lambda: plan_all(takeoffs, weights, job))
        floor = seconds(lambda: pickle.loads(plans))
        alone = seconds(lambda: [plan_handling(takeoffs[row], weights[row], job) for row in range(ALONE)])
    finally:
        gc.enable()
        gc.unfreeze()
    return together / count, floor / count, alone / ALONE


def main() -> None:
    for name, sinks in (("slabs with a sink", True), ("plain slabs, pads placed", False)):
        few, (together, floor, alone) = costs(FEW, sinks=sinks)[0], costs(MANY, sinks=sinks)
        exponent = 1.0 + log(together / few) / log(MANY / FEW)
        print(
            f"{name:26} {together * 1e6:6.1f} µs a piece, exponent {exponent:.3f}, "
            f"{together / floor:.1f} times its floor, 1/{alone / together:.0f} of one by one"
        )


if __name__ == "__main__":
    main()
