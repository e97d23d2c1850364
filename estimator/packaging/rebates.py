"""Ways of buying one material while goods of some suppliers are counted at a rebate, as columns."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import ceil, inf

import numpy as np
from numpy.typing import NDArray

from estimator.packaging.offers import Offer
from estimator.packaging.price import MILLIONTHS_PER_CENT
from estimator.packaging.search import Choice

Floats = NDArray[np.float64]
MOST_COUNTS = 100_000  # of one pack


class TooManyError(Exception):
    """More ways than may be followed."""


@dataclass(slots=True)
class Ways:
    """Ways of buying one material, by row.

    cost    millionths, goods and the freight of their lines
    value   (n, suppliers), millionths of goods
    taken   (n, packs), row of each pack's own list
    """

    cost: Floats
    value: Floats
    taken: NDArray[np.int64]


@dataclass(slots=True)
class Bought:
    """What may be bought of one pack: by row its amount, cost, value, and counts by column."""

    supplier: int | None
    amount: Floats
    cost: Floats
    goods: Floats
    counts: Sequence[Mapping[int, int]]

    def reduced(self, rebates: Floats) -> Floats:
        """Cost less what the rebates give."""
        return self.cost if self.supplier is None else self.cost - self.goods * rebates[self.supplier]


def at_rebate(choices: Sequence[Choice], rebate: float) -> list[Choice]:
    """The choices with their goods cheaper by a share, to the cent, so that the search stays sharp."""

    def less(amount: int) -> int:
        return round(amount * (1.0 - rebate) / MILLIONTHS_PER_CENT) * MILLIONTHS_PER_CENT

    return [
        tuple(replace(run, tier=replace(run.tier, base=less(run.tier.base), unit=less(run.tier.unit))) for run in way)
        for way in choices
    ]


def best_rate(amount: Floats, costs: Floats) -> float:
    """Least cost for one of amount; without limit where nothing is bought."""
    some = amount > 0.0
    return float(np.min(costs[some] / amount[some])) if some.any() else inf


def wanted(offer: Offer) -> bool:
    return bool(offer.packs) and offer.amount > offer.tolerance


def counts_of(choices: Sequence[Choice], supplier: int | None, rebates: Floats, cap: float, need: float) -> Bought:
    """The counts of one pack that cost no more than `cap` at the rebates, or nothing bought."""
    rebate = float(rebates[supplier]) if supplier is not None else 0.0
    amounts, costs, goods = [np.zeros(1)], [np.zeros(1)], [np.zeros(1)]
    counts: list[dict[int, int]] = [{}]
    for choice in choices:
        held, cost, value = np.zeros(1), np.zeros(1), np.zeros(1)
        mine: list[dict[int, int]] = [{}]
        for run in choice:
            tier = run.tier
            slope = tier.unit * (1.0 - rebate) + tier.carriage + tier.pallet_fee / tier.on_pallet
            base = tier.base * (1.0 - rebate)
            # a line is rounded by half a cent
            top = (cap - base + MILLIONTHS_PER_CENT) / slope if slope > 0.0 else ceil(need / run.size) + tier.first
            last = int(top) if tier.last is None else min(tier.last, int(top))
            if last - tier.first > MOST_COUNTS:
                raise TooManyError
            numbers = np.arange(tier.first, max(last, tier.first - 1) + 1)
            if not len(numbers):
                mine = []
                break
            priced = np.floor((tier.base + tier.unit * numbers + MILLIONTHS_PER_CENT / 2) / MILLIONTHS_PER_CENT)
            priced = np.where(numbers > 0, priced * MILLIONTHS_PER_CENT, 0.0)
            freight = tier.carriage * numbers + tier.pallet_fee * -(-numbers // tier.on_pallet)
            held = (held[:, None] + numbers[None, :] * run.size).ravel()
            cost = (cost[:, None] + (priced + freight)[None, :]).ravel()
            value = (value[:, None] + priced[None, :]).ravel()
            mine = [{**one, run.column: int(n)} if n else one for one in mine for n in numbers]
        if not mine or not choice:
            continue
        keep = np.flatnonzero((cost - rebate * value <= cap) & (held > 0.0))
        amounts.append(held[keep])
        costs.append(cost[keep])
        goods.append(value[keep])
        counts += [mine[at] for at in keep]
    return Bought(supplier, np.concatenate(amounts), np.concatenate(costs), np.concatenate(goods), counts)


def undominated_rows(cost: Floats, more: Floats) -> NDArray[np.int64]:
    """Rows that no other beats: none costs less or as much and has as much of everything in `more`.

    Exact for one column; of several, rows beaten by one of the cheapest few or by a neighbour are left out, and some
    that are beaten may stay.
    """
    if not len(cost):
        return np.zeros(0, dtype=np.int64)
    more = more[:, (more != more[0]).any(axis=0)]
    if not more.shape[1]:
        return np.array([np.argmin(cost)], dtype=np.int64)
    if more.shape[1] == 1:
        order = np.lexsort((-more[:, 0], cost))
        best = np.maximum.accumulate(more[order, 0])
        keep = np.ones(len(order), dtype=bool)
        keep[1:] = more[order[1:], 0] > best[:-1]
        return order[keep]
    order = np.lexsort((*(-more[:, at] for at in range(more.shape[1])), cost))
    sorted_more = more[order]
    alive = np.ones(len(order), dtype=bool)
    for at in range(min(len(order), 64)):
        if alive[at]:
            beaten = (sorted_more <= sorted_more[at]).all(axis=1)
            beaten[: at + 1] = False
            alive &= ~beaten
    return order[alive]
