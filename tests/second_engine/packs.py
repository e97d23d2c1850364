"""The cheapest whole packs of one material by trying them all, and what a job is charged for it."""

from dataclasses import dataclass
from fractions import Fraction
from itertools import product
from math import ceil
from typing import Any

from tests.second_engine.quantities import cents, si

Table = dict[str, Any]
ZERO = Fraction(0)
SHORTFALL = Fraction(1, 10**9)  # share of the need that counts as covered


@dataclass(frozen=True)
class Pack:
    mass: Fraction
    price: Fraction
    minimum: int
    breaks: tuple[tuple[int, Fraction], ...]
    incremental: bool

    def line(self, count: int) -> Fraction:
        """Price of `count` packs."""
        if not self.incremental:
            each = next((price for first, price in reversed(self.breaks) if count >= first), self.price)
            return cents(each * count)
        bounds = [(1, self.price), *self.breaks]
        ends = [*(first for first, _ in self.breaks), count + 1]
        return cents(
            sum(
                (price * max(0, min(end, count + 1) - first) for (first, price), end in zip(bounds, ends, strict=True)),
                ZERO,
            )
        )

    def enough(self, need: Fraction) -> list[int]:
        """Counts that may be the cheapest to cover the need: the least, and each at which a price falls."""
        least = max(ceil(need / self.mass), 1 if need > 0 else 0)
        least = max(least, self.minimum) if least else 0
        return [least, *(first for first, _ in self.breaks if first > least and first >= self.minimum)]


def pack_of(table: Table, material: Table) -> Pack:
    mass = si(table["mass"]) if "mass" in table else si(table["volume"]) * weight_per_volume(material)
    return Pack(
        mass=mass,
        price=Fraction(table["price"]),
        minimum=int(table.get("minimum", 0)),
        breaks=tuple((int(step["from"]), Fraction(step["price"])) for step in table.get("breaks", [])),
        incremental=table.get("breaks_rule") == "incremental",
    )


def weight_per_volume(material: Table) -> Fraction:
    """Bulk density of a granular material, density of a liquid."""
    return si(material["bulk_density"] if "bulk_density" in material else material["density"])


def cheapest(required: Fraction, on_hand: Fraction, packs: list[Pack]) -> Fraction:
    """Least price of whole packs that cover what is lacking: every count of all packs but the last is tried."""
    need = required - on_hand - required * SHORTFALL
    if need <= 0:
        return ZERO
    *others, last = sorted(packs, key=lambda pack: -pack.mass)
    counts = [[n for n in range(max(pack.enough(need)) + 1) if n == 0 or n >= pack.minimum] for pack in others]
    lines = [[pack.line(n) for n in tried] for pack, tried in zip(others, counts, strict=True)]
    best: Fraction | None = None
    for chosen in product(*(range(len(tried)) for tried in counts)):
        spent = sum((lines[i][k] for i, k in enumerate(chosen)), ZERO)
        if best is not None and spent >= best:
            continue
        held = sum((pack.mass * counts[i][k] for i, (pack, k) in enumerate(zip(others, chosen, strict=True))), ZERO)
        rest = [0] if held >= need else last.enough(need - held)
        price = spent + min(last.line(n) for n in rest)
        best = price if best is None else min(best, price)
    assert best is not None
    return best


def list_price(required: Fraction, packs: list[Pack]) -> Fraction:
    """Lowest list price per kg among the packs that hold no more than is required; else that of the smallest."""
    offers = [(pack.mass * max(1, pack.minimum), pack.price / pack.mass) for pack in packs]
    within = [price for least, price in offers if least <= required * (1 + SHORTFALL)]
    return min(within) if within else min(offers)[1]


def charge(required: Fraction, packs: list[Pack], *, special: bool) -> Fraction:
    """What the job is charged for its use."""
    alone = cheapest(required, ZERO, packs)
    return alone if special else min(alone, cents(required * list_price(required, packs)))
