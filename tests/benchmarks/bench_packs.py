"""How fast whole packs are ordered: against brute force on small offers, against a plain integer program on large ones.

Run from the project's root: python -m tests.benchmarks.bench_packs [--limit SECONDS] [--draws N] [--seed N].
Each draw is one order of 40 materials from five suppliers, of whom one or two have an order minimum that binds; the
plain program is the whole model at once, and HiGHS gets --limit seconds of it (5 unless said).
"""

from __future__ import annotations

import argparse
import random
import sys
from collections.abc import Callable
from dataclasses import replace
from itertools import product
from math import ceil
from pathlib import Path
from statistics import median
from time import perf_counter, process_time
from unittest.mock import patch

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import highspy

from estimator.job import Pack, PriceBreak
from estimator.packaging import bounds, program
from estimator.packaging import order as orders
from estimator.packaging.freight import PalletKind
from estimator.packaging.order import order
from estimator.packaging.price import line_of
from estimator.packaging.program import Dealings, solve
from estimator.packaging.together import Haul, buy_together, terms_in_cents, whole
from estimator.packaging.ways import Need, offers_of
from estimator.supplies import Supplier, Tariff

PALLET = PalletKind(20.0, 1.2, 1.0, 1500.0)
HAUL = Haul(lift_gate=True, pallet=PALLET)
NAMES = ("north", "south", "west", "east", "harbor")
WHOLE = Dealings((0.0, 1.0), (0.0, 1.0), (0.0, float("inf")))


def needs(number: int, packs: int, seed: int, amounts: tuple[float, ...] = (20.0, 100.0, 500.0, 3000.0)) -> list[Need]:
    """Invented materials: packs of 5 to 1000 kg, three falling breaks each, from five suppliers."""
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
            seller = draw.choice(NAMES)
            on_one = max(1, int(1000 // mass))
            offered.append(Pack(f"pack {name}", mass, None, None, price, on_one, breaks=tuple(steps), supplier=seller))
        wanted = draw.choice(amounts) * draw.uniform(0.3, 1.0)
        sizes = tuple(one.mass_kg or 0.0 for one in offered)
        made.append(Need(f"material {material}", wanted, 1e-9 * wanted, tuple(offered), sizes))
    return made


def brute_force(need: Need) -> float:
    """Cost of the cheapest counts, each pack from zero to the count that covers the need or reaches its last break."""
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
        orders.bought_alone.cache_clear()
        begun = perf_counter()
        work()
        taken.append(perf_counter() - begun)
    return median(taken)


def suppliers(offers: list[Need], seed: int) -> dict[str, Supplier]:
    """Invented terms; one or two suppliers ask up to half more than they would be sent, or a small-order charge."""
    draw = random.Random(f"terms {seed}")
    sellers = {
        name: Supplier(
            name,
            0.0,
            Tariff(
                draw.choice([0.0, 40.0, 60.0, 95.0]),
                draw.choice([0.0, 30.0, 45.0, 60.0]),
                draw.choice([0.0, 0.02, 0.05]),
                {},
                draw.choice([0.0, 45.0, 75.0]),
            ),
        )
        for name in NAMES
    }
    goods = {delivery.supplier: delivery.goods for delivery in buy_together(offers, sellers, HAUL).deliveries}
    for name in draw.sample(NAMES, draw.choice([1, 2])):
        least = round(draw.uniform(1.05, 1.5) * goods.get(name, 100.0), 2)
        charge = draw.choice([None, 25.0, 60.0, 120.0])
        sellers[name] = replace(sellers[name], min_order_value=least, small_order_charge=charge)
    return sellers


def plain(offers: list[Need], sellers: dict[str, Supplier], limit_s: float) -> tuple[float, float]:
    """(cost, CPU time) of the whole model given to HiGHS at once."""

    def run(model: highspy.HighsLp) -> highspy.Highs:
        solver = highspy.Highs()
        solver.silent()
        for option, setting in (("mip_rel_gap", 0.0), ("time_limit", limit_s), ("threads", 1)):
            solver.setOptionValue(option, setting)
        solver.passModel(model)
        solver.run()
        return solver

    terms = terms_in_cents(sellers, HAUL)
    began = process_time()
    with patch.object(program, "run", run):
        solved = solve(offers, terms, [offers_of(need, terms) for need in offers], [WHOLE] * len(sellers))
    return solved.cost / 100.0, process_time() - began


def draw_of(seed: int, amounts: tuple[float, ...], limit_s: float) -> None:
    """Print one draw: time, proof, and the ratios to the plain program."""
    offers = needs(40, 5, seed, amounts)
    sellers = suppliers(offers, seed)
    terms = terms_in_cents(sellers, HAUL)
    began = process_time()
    bounds.cheapest(tuple(whole(need) for need in offers), terms)
    order_s = process_time() - began
    began = process_time()
    made = buy_together(offers, sellers, HAUL)
    whole_s = process_time() - began
    cost = float(made.goods + made.freight)
    plain_cost, plain_s = plain(offers, sellers, limit_s)
    proof = "proven" if made.proven else f"{made.gap} at most over the cheapest"
    print(
        f"draw {seed}: {cost:,.2f} in {order_s:.2f} s, {whole_s:.2f} s with what the minimums cost, {proof}; "
        f"plain HiGHS {plain_s / order_s:.1f} × as long, cost ours / plain {cost / plain_cost:.6f}"
    )


def main() -> None:
    """Print times and ratios."""
    options = argparse.ArgumentParser()
    options.add_argument("--limit", type=float, default=5.0)
    options.add_argument("--draws", type=int, default=5)
    options.add_argument("--seed", type=int, default=0)
    asked = options.parse_args()
    small = [replace(one, amount=min(one.amount, 300.0)) for one in needs(5, 3, 1)]
    ours = seconds(lambda: [order(one.amount, one.packs) for one in small])
    brute = seconds(lambda: [brute_force(one) for one in small], 1)
    print(f"5 materials × 3 packs alone: {ours * 1e3:.2f} ms, brute force {brute / ours:,.0f} times as long")

    offers = needs(40, 5, 2)
    ours = seconds(lambda: [order(one.amount, one.packs) for one in offers])
    print(f"40 × 5 × 3 breaks, uncoupled: {ours * 1e3:.1f} ms")

    for text, amounts in (
        ("up to 600 kg of each", (8.0, 40.0, 150.0, 600.0)),
        ("up to 3 t of each", (20.0, 100.0, 500.0, 3000.0)),
    ):
        print(f"40 × 5 × 3 breaks, five suppliers, order minimums, {text}:")
        for seed in range(asked.seed, asked.seed + asked.draws):
            draw_of(seed, amounts, asked.limit)

    bags = [Pack("light", 42.637, None, None, 12.0), Pack("heavy", 42.638, None, None, 12.0)]
    ours = seconds(lambda: order(100_000.0, bags))
    print(f"100 t in two sizes that nearly agree: {ours * 1e3:.1f} ms")


if __name__ == "__main__":
    main()
