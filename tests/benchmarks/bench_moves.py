"""Cost per piece of weights, lifts by hand, delivery and curing, and its growth from one thousand pieces to ten.

Run from the project's root: python -m tests.benchmarks.bench_moves, or python tests/benchmarks/bench_moves.py.
The floor of weights and lifts is the cost of their result objects alone, built from ready figures; that of the
delivery is sorting its loads. CPU time, so that other work on the machine does not count.
"""

from __future__ import annotations

import gc
import random
import sys
from collections.abc import Callable, Sequence
from math import log
from pathlib import Path
from time import process_time

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from estimator import job_from
from estimator.curing.pieces import cure
from estimator.handling.lifts import HandLift, lifts_of_all
from estimator.handling.people import Crew, Grip, Hold
from estimator.handling.transport import Cargo, deliver
from estimator.job import Job
from estimator.mix import MixDesign, make
from estimator.takeoff import Takeoff, take_off
from estimator.weight import Weight, WeightBand, weigh_all

FEW, MANY = 1_000, 10_000
RUNS = 3


def job_of(count: int) -> Job:
    """A job of unlike counters."""
    draw = random.Random(11)
    pieces = [
        {
            "mark": f"S{number}",
            "use": "counter",
            "shape": {
                "kind": "slab",
                "length": f"{draw.randint(1200, 2400)} mm",
                "width": f"{draw.randint(550, 700)} mm",
                "thickness": f"{draw.choice([20, 22, 25])} mm",
            },
        }
        for number in range(count)
    ]
    return job_from({"job": {"name": "Bench", "units": "metric", "mix": "backer-45"}, "piece": pieces})


def seconds(call: Callable[[], object]) -> float:
    """The least of a few runs."""
    times = []
    for _ in range(RUNS):
        start = process_time()
        call()
        times.append(process_time() - start)
    return min(times)


def weights_alone(weights: Sequence[Weight]) -> list[Weight]:
    """The same weights again, from their figures."""

    def band(old: WeightBand) -> WeightBand:
        return WeightBand(old.low_kg, old.nominal_kg, old.high_kg)

    return [
        Weight(
            band(old.fresh),
            band(old.demould),
            old.transport,
            band(old.installed),
            old.soaked,
            old.oven_dry_kg,
            old.tolerance,
            old.inserts_kg,
            old.boards_kg,
            old.layers_kg,
            dict(old.centers_m),
            old.soil_kg,
            old.assumptions,
        )
        for old in weights
    ]


def lifts_alone(lifts: Sequence[Sequence[HandLift]]) -> list[list[HandLift]]:
    """The same lifts again, from their figures."""

    def crew(old: Crew) -> Crew:
        holds = tuple(Hold(hold.position_m, hold.persons, hold.share_kg) for hold in old.holds)
        return Crew(old.persons, old.share_kg, old.limit_kg, holds, old.reason)

    def grip(old: Grip) -> Grip:
        return Grip(old.length_m, old.center_m, old.heavier_side, old.edge_m, old.depth_m)

    return [
        [HandLift(old.name, old.weight_kg, grip(old.grip), crew(old.crew), old.task) for old in row] for row in lifts
    ]


def costs(count: int) -> dict[str, tuple[float, float | None]]:
    """Seconds of each stage for `count` pieces, and of its floor."""
    job = job_of(count)
    takeoff, _ = take_off(job)
    mixes: dict[str, MixDesign] = {"backer-45": make(job.mixes["backer-45"], job.materials)}
    shop = job.workshop
    weights = [weight for weight in weigh_all(takeoff.pieces, mixes, shop) if isinstance(weight, Weight)]
    on_edge = [True] * count
    lifts = [
        row for row in lifts_of_all(takeoff.pieces, weights, on_edge, None, shop.handling) if isinstance(row, tuple)
    ]
    freight = [
        Cargo(taken.piece.mark, 1, weight.lift_kg, taken.solid.size_m, on_edge=True)
        for taken, weight in zip(takeoff.pieces, weights, strict=True)
    ]
    cure(job, Takeoff(takeoff.pieces[:50]), mixes)  # its three sections: the heat runs have a benchmark of their own
    gc.collect()
    gc.freeze()
    gc.disable()
    try:
        return {
            "weights": (
                seconds(lambda: weigh_all(takeoff.pieces, mixes, shop)),
                seconds(lambda: weights_alone(weights)),
            ),
            "lifts by hand": (
                seconds(lambda: lifts_of_all(takeoff.pieces, weights, on_edge, None, shop.handling)),
                seconds(lambda: lifts_alone(lifts)),
            ),
            "delivery": (
                seconds(lambda: deliver(freight, shop.transport)),
                seconds(lambda: sorted(freight, key=lambda cargo: (-cargo.weight_kg, cargo.mark))),
            ),
            "curing, sections kept": (seconds(lambda: cure(job, takeoff, mixes)), None),
        }
    finally:
        gc.enable()
        gc.unfreeze()


def main() -> None:
    few, many = costs(FEW), costs(MANY)
    for stage, (taken, floor) in many.items():
        exponent = log(taken / few[stage][0]) / log(MANY / FEW)
        ratio = "" if floor is None else f", {taken / floor:.1f} times its floor"
        print(f"{stage:22} {taken / MANY * 1e6:6.1f} µs a piece, exponent {exponent:.3f}{ratio}")


if __name__ == "__main__":
    main()
