"""How fast whole packs are ordered, as ratios to brute force and to HiGHS over the same offers.

Run from the project's root: python -m tests.benchmarks.bench_packs, or python tests/benchmarks/bench_packs.py.
Brute force tries every count; HiGHS gets the whole program at once, with its gap set to zero. Both are run on sizes
that they finish, and the whole job of 40 materials × 5 packs × 3 breaks with coupled freight by our way alone.
"""

from __future__ import annotations

import random
import sys
from collections.abc import Callable
from dataclasses import replace
from itertools import product
from math import ceil, inf
from pathlib import Path
from statistics import median
from time import perf_counter

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from estimator.job import Pack, PriceBreak
from estimator.packaging.coupled import _by_solver, _terms, order_together
from estimator.packaging.offers import Haul, Need, offer_of
from estimator.packaging.order import line_of, order, ways_to_buy
from estimator.packaging.pallets import PalletKind
from estimator.packaging.solver import solved_counts
from estimator.supplies import Supplier, Tariff

PALLET = PalletKind(20.0, 1.2, 1.0, 1500.0)
HAUL = Haul(lift_gate=True, pallet=PALLET)
FREE = {name: Supplier(name) for name in ("north", "south", "west")}
SELLERS = {name: Supplier(name, 500.0, Tariff(60.0, 45.0, 0.02, {}, 75.0)) for name in ("north", "south", "west")}


def needs(number: int, packs: int, seed: int) -> list[Need]:
    """Invented materials: packs of 5 to 1000 kg, three falling breaks each, from three suppliers."""
    draw = random.Random(seed)
    made = []
    for material in range(number):
        worth = draw.uniform(0.2, 5.0)
        offered = []
        for name in range(packs):
            mass = draw.choice([5.0, 10.0, 20.0, 22.68, 25.0, 42.64, 500.0, 1000.0])
            now = price = round(mass * worth * draw.uniform(0.85, 1.2), 2)
            steps, count = [], 1
            for _ in range(3):
                count += draw.randint(1, 15) if mass < 100.0 else draw.randint(1, 3)
                now = round(now * draw.uniform(0.85, 0.97), 2)
                steps.append(PriceBreak(count, now))
            seller = draw.choice(sorted(SELLERS))
            on_one = max(1, int(1000 // mass))
            offered.append(Pack(f"pack {name}", mass, None, None, price, on_one, breaks=tuple(steps), supplier=seller))
        wanted = draw.choice([20.0, 100.0, 500.0, 3000.0]) * draw.uniform(0.3, 1.0)
        made.append(Need(f"material {material}", wanted, offered))
    return made


def brute_force(need: Need) -> float:
    """Cost of the cheapest counts, each pack from none to what covers the need, or reaches its last break."""
    most = [max(ceil(need.required_kg / (one.mass_kg or 1.0)), one.breaks[-1].from_count) for one in need.packs]
    lists = [
        [(n * (one.mass_kg or 0.0), line_of(one, 1.0, n, 0).price if n else 0.0) for n in range(top + 1)]
        for one, top in zip(need.packs, most, strict=True)
    ]
    return min(
        sum(price or 0.0 for _, price in taken)
        for taken in product(*lists)
        if sum(mass for mass, _ in taken) >= need.required_kg
    )


def seconds(work: Callable[[], object], runs: int = 3) -> float:
    """Median wall time of `work`."""
    taken = []
    for _ in range(runs):
        begun = perf_counter()
        work()
        taken.append(perf_counter() - begun)
    return median(taken)


def main() -> None:
    """Print times and ratios."""
    small = [Need(one.material, min(one.required_kg, 300.0), one.packs) for one in needs(5, 3, 1)]
    ours = seconds(lambda: [order(one.required_kg, one.packs) for one in small])
    brute = seconds(lambda: [brute_force(one) for one in small], 1)
    print(f"5 materials × 3 packs alone: {ours * 1e3:.2f} ms, brute force {brute / ours:,.0f} times as long")

    offers = needs(40, 5, 2)
    ours = seconds(lambda: [order(one.required_kg, one.packs) for one in offers])

    def by_solver() -> None:
        for one in offers:
            ways = [ways_to_buy(index, pack, pack.mass_kg or 0.0) for index, pack in enumerate(one.packs)]
            solved_counts(one.required_kg, 1e-9 * one.required_kg, ways)

    by_solver()  # imports
    solver = seconds(by_solver, 1)
    print(f"40 × 5 × 3 breaks, uncoupled: {ours * 1e3:.1f} ms, HiGHS {solver / ours:,.0f} times as long")

    few = needs(6, 3, 3)
    ours = seconds(lambda: order_together(few, SELLERS, HAUL))
    solver = seconds(lambda: _by_solver([offer_of(one, SELLERS, HAUL) for one in few], _terms(SELLERS, HAUL), inf), 1)
    print(f"6 × 3 × 3 breaks, coupled freight: {ours * 1e3:.1f} ms, HiGHS {solver / ours:,.0f} times as long")

    for seed in range(3):
        offers = needs(40, 5, seed)
        ours = seconds(lambda offers=offers: order_together(offers, SELLERS, HAUL), 1)
        print(f"40 × 5 × 3 breaks, coupled freight (draw {seed}): {ours:.3f} s")

    for seed in range(3):
        offers = needs(40, 5, seed)
        north = next(each.goods for each in order_together(offers, FREE, HAUL).deliveries if each.supplier == "north")
        binding = SELLERS | {"north": replace(SELLERS["north"], least_value=round(1.2 * north, 2))}
        made = order_together(offers, binding, HAUL)
        ours = seconds(lambda offers=offers, binding=binding: order_together(offers, binding, HAUL), 1)
        told = "proven" if made.proven else "not proven"
        print(f"the same with a least value that binds (draw {seed}): {ours:.3f} s, {told}")

    bags = [Pack("light", 42.637, None, None, 12.0), Pack("heavy", 42.638, None, None, 12.0)]
    ours = seconds(lambda: order(100_000.0, bags))
    print(f"100 t in two sizes that nearly agree: {ours * 1e3:.1f} ms")


if __name__ == "__main__":
    main()
