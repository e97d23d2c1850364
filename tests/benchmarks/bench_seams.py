"""Time of the search for seams, and its result beside that of trying all sets of cuts.

Run from the project's root: python -m tests.benchmarks.bench_seams [--sets 200]
Forty random counters are cut at every inch; of the others the search must be as good as the best of all sets of a
coarser step.
"""

from __future__ import annotations

import sys
from argparse import ArgumentParser
from pathlib import Path
from statistics import median
from time import perf_counter

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from estimator.handling.seams import SeamLimits, SeamPiece, SeamPlan, plan_seams
from tests.counters import PERSON_KG, best_of_all_sets, coarse_case, random_counters

COUNTERS = 40


def main() -> None:
    """Print times of the search and how many counters agree."""
    parser = ArgumentParser()
    parser.add_argument("--sets", type=int, default=200, help="counters that are compared with all sets of cuts")
    compared = parser.parse_args().sets
    times = []
    for number, plan in enumerate(random_counters(COUNTERS, 7)):
        rules = SeamLimits(2 + number % 3, PERSON_KG, 0.6, longest_m=lambda _: 2.6)
        start = perf_counter()
        plan_seams(SeamPiece(plan, 45.0), rules)
        times.append(perf_counter() - start)
    print(f"{COUNTERS} counters at every inch: median {median(times):.3f} s, worst {max(times):.3f} s")
    agree = sum(_agrees(number) for number in range(compared))
    print(f"as good as the best of all sets of cuts: {agree} of {compared}")


def _agrees(number: int) -> bool:
    piece, rules = coarse_case(number)
    best, found = best_of_all_sets(piece, rules), plan_seams(piece, rules)
    if best is None:
        return not isinstance(found, SeamPlan) or len(found.parts) > 4
    if not isinstance(found, SeamPlan):
        return False
    parts, heaviest, length = best
    even = found.heaviest_kg <= 1.01 * heaviest + 1e-6
    return len(found.parts) == parts and even and abs(found.length_m - length) <= 1e-5


if __name__ == "__main__":
    main()
