"""How fast whole packs are ordered, as ratios to brute force over the same offers.

Run from the project's root: python -m tests.benchmarks.bench_packs, or python tests/benchmarks/bench_packs.py.
Brute force tries every count, on sizes that it finishes; beyond, one material's enumeration stands beside the program
that couples all of them by pallets, freight and order minimums.
"""

from __future__ import annotations

import random
import sys
from collections.abc import Callable
from dataclasses import replace
from itertools import product
from math import ceil
from pathlib import Path
from statistics import median
from time import perf_counter

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from estimator.job import Pack, PriceBreak
from estimator.packaging.freight import PalletKind
from estimator.packaging.order import order
from estimator.packaging.price import line_of
from estimator.packaging.together import Haul, Need, buy_together, counts_alone
from estimator.supplies import Supplier, Tariff

PALLET = PalletKind(20.0, 1.2, 1.0, 1500.0)
HAUL = Haul(lift_gate=True, pallet=PALLET)
SELLERS = {name: Supplier(name, 0.0, Tariff(60.0, 45.0, 0.02, {}, 75.0)) for name in ("north", "south", "west")}


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
        sizes = tuple(one.mass_kg or 0.0 for one in offered)
        made.append(Need(f"material {material}", wanted, 1e-9 * wanted, tuple(offered), sizes))
    return made


def brute_force(need: Need) -> float:
    """Cost of the cheapest counts, each pack from none to what covers the need, or reaches its last break."""
    most = [max(ceil(need.amount / (one.mass_kg or 1.0)), one.breaks[-1].from_count) for one in need.packs]
    lists = [
        [(n * (one.mass_kg or 0.0), line_of(one, 1.0, n, 0).price if n else 0.0) for n in range(top + 1)]
        for one, top in zip(need.packs, most, strict=True)
    ]
    return min(
        sum(price or 0.0 for _, price in taken)
        for taken in product(*lists)
        if sum(mass for mass, _ in taken) >= need.amount
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
    small = [replace(one, amount=min(one.amount, 300.0)) for one in needs(5, 3, 1)]
    ours = seconds(lambda: [order(one.amount, one.packs) for one in small])
    brute = seconds(lambda: [brute_force(one) for one in small], 1)
    print(f"5 materials × 3 packs alone: {ours * 1e3:.2f} ms, brute force {brute / ours:,.0f} times as long")

    offers = needs(40, 5, 2)
    ours = seconds(lambda: [order(one.amount, one.packs) for one in offers])
    counts_alone(offers[0])  # imports
    program = seconds(lambda: [counts_alone(one) for one in offers], 1)
    print(f"40 × 5 × 3 breaks, uncoupled: {ours * 1e3:.1f} ms, as programs {program / ours:,.0f} times as long")

    for number in (6, 20, 40):
        for least in (0.0, 1.2):
            coupled(number, least, ours)

    bags = [Pack("light", 42.637, None, None, 12.0), Pack("heavy", 42.638, None, None, 12.0)]
    ours = seconds(lambda: order(100_000.0, bags))
    print(f"100 t in two sizes that nearly agree: {ours * 1e3:.1f} ms")


def coupled(number: int, least: float, floor_s: float) -> None:
    """One order of many materials; `least` times what the north alone would deliver is its order minimum, 0: none."""
    for seed in range(3):
        offers, sellers = needs(number, 5, seed), dict(SELLERS)
        if least:
            free = buy_together(offers, sellers, HAUL)
            goods = next((each.goods for each in free.deliveries if each.supplier == "north"), 100.0)
            sellers["north"] = replace(sellers["north"], min_order_value=round(least * goods, 2))
        began = perf_counter()
        made = buy_together(offers, sellers, HAUL)
        took = perf_counter() - began
        told = "proven" if made.proven else f"{made.gap} at most over the cheapest"
        name = f"{number} × 5 × 3 breaks together{', an order minimum that binds' if least else ''} (draw {seed})"
        print(f"{name}: {took:.2f} s, {took / floor_s:,.0f} × uncoupled, {told}")


if __name__ == "__main__":
    main()
