"""Ways to buy one need: complete orders of it, each with its cost and its demands on the suppliers.

A way has a count for every pack. Shadow prices stand for what couples it to other needs (shared pallets, deliveries,
order minimums), so that each need can be searched by itself. The search is exact: it expands pack by pack, from the
largest down, and prunes by a lower bound on the rest. Money is in cents.
"""

from collections.abc import Sequence
from dataclasses import fields, replace
from math import ceil, inf
from typing import Any, NamedTuple

import numpy as np

from estimator.job import Pack
from estimator.packaging.freight import most_on_one
from estimator.packaging.price import MILLIONTHS_PER_CENT, millionths
from geometry.arrays import Floats, Ints
from geometry.frozen import frozen

STEPS = 1000  # into which a need is divided for the lower bound on the rest
CELLS = 400_000  # of the matrices compared at once: some megabytes
TRIES = 10  # of a limit that is too low, each four times as far above the bound
HAIR = 1e-9  # rounding error of a sum of shares or steps


@frozen
class Need:
    """The amount of one item to buy at least, and the packs it comes in.

    amount     in the measure of `sizes`: kg, m3, m2, m or pieces; stock on hand is already taken off
    sizes      content of each pack
    """

    name: str
    amount: float
    tolerance: float
    packs: tuple[Pack, ...]
    sizes: tuple[float, ...]

    @property
    def least(self) -> float:
        """Smallest amount that covers the need."""
        return self.amount - self.tolerance

    def offered(self) -> list[tuple[int, Pack, float]]:
        """Packs to compare, as (index, pack, size): those with a price, or all if none has one."""
        priced = any(pack.unit_price is not None for pack in self.packs)
        return [
            (index, pack, size)
            for index, (pack, size) in enumerate(zip(self.packs, self.sizes, strict=True))
            if pack.unit_price is not None or not priced
        ]


@frozen
class SupplierTerms:
    """Terms of one supplier, in cents."""

    once: float
    per_pallet: float
    per_kg: float
    gate: float
    minimum: float
    small_order: float | None  # None: no order below the minimum
    mixed: bool


@frozen
class Terms:
    """Terms of all suppliers and the pallet, hashable so that solved orders can be cached."""

    suppliers: tuple[tuple[str, SupplierTerms], ...]
    pallet_kg: float
    rated_kg: float


@frozen
class ShadowPrices:
    """Shadow prices of the coupling, by supplier, in cents per unit of demand.

    share   price of a shared pallet
    value   credit for each cent of goods that counts toward an order minimum
    use     price of using the supplier at all
    gate    price of having anything on pallets
    """

    share: Floats
    value: Floats
    use: Floats
    gate: Floats


@frozen
class Ways:
    """Ways to buy one need, one in each row; columns by offer or by supplier.

    picks   index of the count of every offer, into its rows
    cost    cost of the way by itself, cents: goods, freight by mass, pallets that are not shared
    """

    picks: Ints
    cost: Floats
    amount: Floats
    packs: Ints
    share: Floats
    value: Floats
    use: Floats
    gate: Floats

    def __len__(self) -> int:
        return len(self.cost)

    def take(self, rows: Ints) -> "Ways":
        return Ways(*(getattr(self, field.name)[rows] for field in fields(self)))

    def join(self, other: "Ways") -> "Ways":
        """Union of both, without duplicates."""
        _, rows = np.unique(np.concatenate([self.picks, other.picks]), axis=0, return_index=True)
        pairs = ((getattr(self, field.name), getattr(other, field.name)) for field in fields(self))
        return Ways(*(np.concatenate(pair)[np.sort(rows)] for pair in pairs))

    def priced(self, shadow: ShadowPrices) -> Floats:
        """Cost of each way at the shadow prices, cents."""
        return (
            self.cost
            + self.share @ shadow.share
            - self.value @ shadow.value
            + self.use @ shadow.use
            + self.gate @ shadow.gate
        )

    def undominated(self) -> "Ways":
        """Ways that no other way matches or beats in cost and in every demand on the suppliers.

        Of equal ways, the one with the smaller leftover is kept, then the one with fewer packs.
        """
        asks = [self.cost[:, None], self.share, -self.value, self.use, self.gate]
        order = np.lexsort((self.packs, self.amount, self.cost))
        table = np.concatenate(asks, axis=1)[order]
        kept = np.ones(len(order), dtype=bool)
        for row in range(len(order)):
            if kept[row]:
                kept[row + 1 :] &= ~(table[row + 1 :] >= table[row] - HAIR).all(axis=1)
        return self.take(np.sort(order[kept]))


@frozen
class Offer:
    """Counts of one pack that may be bought, one in each row, with their cost and demands on the supplier.

    index      index of the pack in its need
    supplier   index of the supplier in the terms, -1 if it has none
    rows       indices of the counts among those first considered
    share      number of shared pallets, as a fraction, by their floor and rating
    """

    index: int
    supplier: int
    rows: Ints
    loose: Ints
    full_pallets: Ints
    packs: Ints
    amount: Floats
    cost: Floats
    value: Floats
    share: Floats
    on_pallet: bool

    def take(self, counts: Ints) -> "Offer":
        """Offer of only these counts."""
        names = ("rows", "loose", "full_pallets", "packs", "amount", "cost", "value", "share")
        kept: dict[str, Any] = {name: getattr(self, name)[counts] for name in names}
        return replace(self, **kept)

    def priced(self, shadow: ShadowPrices, alike: int) -> Floats:
        """Cost of each count at the shadow prices; fixed prices of a supplier are split over its `alike` offers."""
        if self.supplier < 0:
            return self.cost
        at, bought = self.supplier, self.packs > 0
        once = shadow.use[at] + (shadow.gate[at] if self.on_pallet else 0.0)
        coupled = self.share * shadow.share[at] - self.value * shadow.value[at]
        total: Floats = self.cost + coupled + bought * (once / alike)
        return total


def offers_of(need: Need, terms: Terms) -> list[Offer]:
    """Offers for a need, the largest packs first."""
    position = {name: index for index, (name, _) in enumerate(terms.suppliers)}
    asked = dict(terms.suppliers)
    offers = [
        (size, _offer(need, index, pack, size, position.get(pack.supplier, -1), asked.get(pack.supplier), terms))
        for index, pack, size in need.offered()
    ]
    return [offer for _, offer in sorted(offers, key=lambda entry: -entry[0])]


def _offer(
    need: Need, index: int, pack: Pack, size: float, position: int, asked: SupplierTerms | None, terms: Terms
) -> Offer:
    most = ceil(need.least / size)
    toward_minimum = asked is not None and asked.minimum > 0.0
    if asked is not None and toward_minimum:
        # more than needed may be bought to reach the order minimum
        least_price = min((price for price in _prices(pack) if price > 0.0), default=inf)
        most = max(most, ceil(asked.minimum / (100.0 * least_price)))
    loose, full_pallets, cents = _counts(pack, most, every_price=toward_minimum)
    packs = loose + full_pallets * (pack.per_pallet or 1)
    cost: Floats = cents.astype(float)
    mass_kg = packs.astype(np.float64) * (pack.mass_kg or 0.0)
    value = share = np.zeros(len(packs))
    on_pallet = asked is not None and pack.per_pallet is not None
    if toward_minimum:
        value = cost
    if asked is not None:
        cost = cost + asked.per_kg * mass_kg
    if asked is not None and on_pallet:
        pallets = packs / most_on_one(pack, terms.rated_kg)
        if asked.mixed:
            share = pallets
        else:
            cost = cost + np.ceil(pallets - HAIR) * (asked.per_pallet + asked.per_kg * terms.pallet_kg)
    rows, amount = np.arange(len(packs)), packs.astype(np.float64) * size
    return Offer(index, position, rows, loose, full_pallets, packs, amount, cost, value, share, on_pallet=on_pallet)


def _prices(pack: Pack) -> list[float]:
    return [pack.unit_price or 0.0, *(step.unit_price for step in pack.breaks)]


def _counts(pack: Pack, most: int, *, every_price: bool) -> tuple[Ints, Ints, Ints]:
    """Loose packs, full pallets and cents of the counts that may be bought, up to `most` packs.

    Beyond `most`, only counts where a price break or the minimum order starts. With `every_price`, the more expensive
    of two mixes of loose packs and full pallets is kept too, because its value may reach an order minimum.
    """
    starts = [*(step.from_count for step in pack.breaks), max(1, pack.minimum)]
    loose = np.arange(max(most, *starts) + 1)
    cents = (_loose_price(pack, loose) + MILLIONTHS_PER_CENT // 2) // MILLIONTHS_PER_CENT
    keep = (loose <= most) | np.isin(loose, starts)
    loose, cents = loose[keep], cents[keep]
    full_pallets = np.zeros_like(loose)
    packs = loose
    if pack.pallet_price is not None and pack.per_pallet is not None:
        pallets = ceil(max(most, pack.minimum) / pack.per_pallet) + 1
        full_pallets = np.repeat(np.arange(pallets), len(loose))
        by_pallet = full_pallets * millionths(pack.pallet_price)
        cents = np.tile(cents, pallets) + (by_pallet + MILLIONTHS_PER_CENT // 2) // MILLIONTHS_PER_CENT
        loose = np.tile(loose, pallets)
        packs = loose + full_pallets * pack.per_pallet
        order = np.lexsort((full_pallets, cents, packs))
        if not every_price:
            order = order[np.unique(packs[order], return_index=True)[1]]
        order = order[packs[order] <= max(most, *starts) + pack.per_pallet]
        loose, full_pallets, cents, packs = loose[order], full_pallets[order], cents[order], packs[order]
    enough = (packs == 0) | (packs >= pack.minimum)
    return loose[enough], full_pallets[enough], cents[enough]


def _loose_price(pack: Pack, count: Ints) -> Ints:
    """List price of `count` packs, millionths, not rounded."""
    unit = before = millionths(pack.unit_price or 0.0)
    price = unit * count
    base = 0
    for step in pack.breaks:
        unit = millionths(step.unit_price)
        if pack.breaks_rule == "incremental":
            # packs from from_count on cost less; earlier packs keep their price
            base += (before - unit) * (step.from_count - 1)
        price = np.where(count >= step.from_count, base + unit * count, price)
        before = unit
    return price


class Listing(NamedTuple):
    """Ways within a limit; `floor` is a lower bound on the cost of any missing way, inf if none is missing."""

    ways: Ways
    floor: float


def _moved_up(bounds: Floats, steps: Ints) -> Floats:
    """Bounds shifted by steps that are already covered, (k, STEPS + 1); if all are covered, the bound for none.

    steps   (k,) number of steps covered
    """
    padded = np.concatenate([np.full(STEPS, bounds[0]), bounds])
    moved: Floats = np.lib.stride_tricks.sliding_window_view(padded, STEPS + 1)[STEPS - steps]
    return moved


class Search:
    """Search of one need at given shadow prices, with lower bounds on the cost of the smaller packs."""

    def __init__(self, need: Need, offers: Sequence[Offer], shadow: ShadowPrices) -> None:
        self.offers, self.shadow, self.least = offers, shadow, need.least
        self.step = self.least / STEPS
        alike: dict[int, int] = {}
        for offer in offers:
            alike[offer.supplier] = alike.get(offer.supplier, 0) + 1
        self.costs = [offer.priced(shadow, alike[offer.supplier]) for offer in offers]
        rest = np.full(STEPS + 1, inf)
        rest[0] = 0.0
        self.bounds = [rest]  # bounds[k][n]: lower bound on covering n steps with the offers from k on
        for offer, cost in zip(reversed(offers), reversed(self.costs), strict=True):
            self.bounds.append(self._with(offer, cost, self.bounds[-1]))
        self.bounds.reverse()

    def _with(self, offer: Offer, cost: Floats, rest: Floats) -> Floats:
        """Bounds with one more offer. Each count covers its steps rounded up, so that no bound is too high."""
        covered = np.minimum(STEPS, np.ceil(offer.amount / self.step - HAIR)).astype(np.int64)
        cheapest = np.full(STEPS + 1, inf)
        np.minimum.at(cheapest, covered, cost)
        steps = np.flatnonzero(cheapest < inf)
        lines = _moved_up(rest, steps)
        lines += cheapest[steps][:, None]
        bounds: Floats = lines.min(axis=0)
        return bounds

    @property
    def bound(self) -> float:
        """Lower bound on the cost of any way, cents."""
        return float(self.bounds[0][STEPS])

    def counts_within(self, limit: float) -> list[Ints]:
        """For each offer, the counts that a way within the limit may have."""
        before = [self.bounds[-1]]
        for offer, cost in zip(self.offers, self.costs, strict=True):
            before.append(self._with(offer, cost, before[-1]))
        allowed = []
        for position, (offer, cost) in enumerate(zip(self.offers, self.costs, strict=True)):
            counts = np.flatnonzero(cost <= limit)
            covered = np.minimum(STEPS, np.ceil(offer.amount[counts] / self.step - HAIR)).astype(np.int64)
            rests, at = np.unique(STEPS - covered, return_inverse=True)
            others = _moved_up(self.bounds[position + 1], STEPS - rests)[:, ::-1]
            others += before[position]
            allowed.append(counts[cost[counts] + others.min(axis=1)[at] <= limit])
        return allowed

    def cheapest(self, number: int, most: int) -> Ways:
        """About the `number` cheapest ways at the shadow prices; empty if the search finds no complete way."""
        slack = 0.002 * abs(self.bound) + 100.0 if self.bound < inf else -inf
        ways = self.within(self.bound + slack if slack > 0.0 else -inf, most).ways
        for _ in range(TRIES):
            if len(ways) or slack == -inf:
                break
            slack *= 4.0
            ways = self.within(self.bound + slack, most).ways
        return ways.take(np.argsort(ways.priced(self.shadow), kind="stable")[:number])

    def within(self, limit: float, most: int) -> Listing:
        """Ways that cost at most `limit` at the shadow prices, with at most `most` partial ways kept at each pack."""
        rest, spent = np.array([self.least]), np.zeros(1)
        picks, floor = np.zeros((1, 0), dtype=np.int64), inf
        for position, offer in enumerate(self.offers):
            rows, counts, dropped = self._expand(position, rest, spent, limit, most)
            floor = min(floor, dropped)
            rest, spent = rest[rows] - offer.amount[counts], spent[rows] + self.costs[position][counts]
            picks = np.concatenate([picks[rows], counts[:, None]], axis=1)
        ways = self._ways(picks)
        return Listing(ways.take(np.flatnonzero(ways.priced(self.shadow) <= limit)), floor)

    def _expand(self, position: int, rest: Floats, spent: Floats, limit: float, most: int) -> tuple[Ints, Ints, float]:
        """Row and count of the `most` cheapest extensions of partial ways by this offer within the limit.

        Also the least bound of those dropped, inf if all are kept. A need of a hundred thousand packs has a million
        extensions, so no more than one block of them is held at a time.
        """
        amount, cost, bounds = self.offers[position].amount, self.costs[position], self.bounds[position + 1]
        block = max(1, CELLS // len(cost))
        rows = counts = np.zeros(0, dtype=np.int64)
        totals, dropped = np.zeros(0), inf
        for start in range(0, len(rest), block):
            left = rest[start : start + block, None] - amount
            steps = np.clip(np.floor(left / self.step + HAIR), 0, STEPS).astype(np.int64)
            if position == len(self.offers) - 1:
                steps[left > 0.0] = STEPS  # the last offer leaves nothing uncovered
            total = spent[start : start + block, None] + cost + bounds[steps]
            more, count = np.nonzero(total <= limit)
            rows, counts = np.concatenate([rows, more + start]), np.concatenate([counts, count])
            totals = np.concatenate([totals, total[more, count]])
            if len(totals) > most:
                order = np.argsort(totals, kind="stable")
                dropped = min(dropped, float(totals[order[most]]))
                kept = np.sort(order[:most])
                rows, counts, totals = rows[kept], counts[kept], totals[kept]
        return rows, counts, dropped

    def _ways(self, picks: Ints) -> Ways:
        number, suppliers = len(picks), len(self.shadow.use)
        cost, amount, packs = np.zeros(number), np.zeros(number), np.zeros(number, dtype=np.int64)
        share, value, use, gate = (np.zeros((number, suppliers)) for _ in range(4))
        for offer, counts in zip(self.offers, picks.T, strict=True):
            cost += offer.cost[counts]
            amount += offer.amount[counts]
            packs += offer.packs[counts]
            at = offer.supplier
            if at < 0:
                continue
            share[:, at] += offer.share[counts]
            value[:, at] += offer.value[counts]
            bought = offer.packs[counts] > 0
            use[bought, at] = 1.0
            gate[bought, at] = np.maximum(gate[bought, at], float(offer.on_pallet))
        rows = np.stack([offer.rows[counts] for offer, counts in zip(self.offers, picks.T, strict=True)], axis=1)
        return Ways(rows, cost, amount, packs, share, value, use, gate)
