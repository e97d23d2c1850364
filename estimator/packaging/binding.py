"""Orders that reach what their suppliers ask for at least, at the least cost, with proof.

A least value couples the materials: it may pay to buy one of them dearer from a supplier who is short. Goods of such
a supplier are therefore counted at a rebate (a multiplier of its least value), at which the materials part again. What
the best rebates promise is a lower bound; any order that costs at most `gap` more than it takes, for every material, a
way of buying within `gap` of the best at the rebate. Those ways are few, all are listed, and their combinations are
followed material by material. Where none within the gap reaches the least values, the gap is widened: the first found
is the cheapest.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import inf
from time import process_time

import numpy as np
from numpy.typing import NDArray

from estimator.packaging.offers import Offer
from estimator.packaging.price import MILLIONTHS_PER_CENT, cents
from estimator.packaging.rebates import (
    Bought,
    Floats,
    TooManyError,
    Ways,
    at_rebate,
    best_rate,
    counts_of,
    undominated_rows,
    wanted,
)
from estimator.packaging.search import cheapest_counts

MOST_REBATE = 0.999  # at a rebate of everything, goods without limit would cost nothing
FIRST_REBATES = (0.05, 0.2)
ROUNDS = 10  # in which the rebates are improved
SWEEPS, HALVINGS = 3, 16  # through the suppliers, and for each
GOOD_ENOUGH = 200_000.0  # millionths by which better rebates would raise the bound
FIRST_GAP = 2_000_000.0  # millionths
SEEK_TRIALS = 5_000  # for one offer at one rebate: its bound is proven only at the last
MOST_LABELS = 40_000  # ways followed side by side
MOST_PRODUCTS = 8_000_000


@dataclass(frozen=True, slots=True)
class Met:
    """Counts by column for every offer, or None where no order beats the ceiling; and whether that is proven."""

    counts: tuple[Mapping[int, int], ...] | None
    proven: bool


def cheapest_that_meets(
    offers: Sequence[Offer],
    least: Mapping[str, int],
    known: Sequence[Mapping[int, int]],
    ceiling: int,
    limit_s: float,
) -> Met:
    """The cheapest order whose goods of every supplier in `least` reach its value, millionths; less than `ceiling`.

    offers   of packs whose suppliers all deliver
    known    counts that cover each offer, the cheapest by themselves
    ceiling  goods and their lines' freight of the best order known
    limit_s  of the processor, after which it proves nothing and hands back the best it has
    """
    return _Binding(offers, least, known, float(ceiling), process_time() + limit_s).run()


class _Binding:
    """The offers, the rebates, and the ways of buying that were met so far."""

    def __init__(
        self,
        offers: Sequence[Offer],
        least: Mapping[str, int],
        known: Sequence[Mapping[int, int]],
        ceiling: float,
        until: float,
    ) -> None:
        self.offers, self.ceiling, self.until = offers, ceiling, until
        self.names = sorted(least)
        self.least = np.array([float(least[name]) for name in self.names])
        self.known = known
        self.cut = False  # whether ways were left out for their number
        self.pool_cost: list[list[float]] = [[] for _ in offers]
        self.pool_value: list[list[Floats]] = [[] for _ in offers]
        self.pool_counts: list[list[Mapping[int, int]]] = [[] for _ in offers]

    def run(self) -> Met:
        try:
            rebates, bound, bests = self._best_rebates()
            return self._closed(rebates, bound, bests)
        except TooManyError:
            return Met(self._of_ways_met(), proven=False)

    def _of_ways_met(self) -> tuple[Mapping[int, int], ...] | None:
        """The cheapest order of the ways that the pool holds, or nearly so."""
        self.until = inf
        rebates, names = self._of_pool(), len(self.names)
        listed = []
        for number, offer in enumerate(self.offers):
            if wanted(offer):
                cost, value = np.array(self.pool_cost[number]), np.array(self.pool_value[number]).reshape(-1, names)
                rows = np.arange(len(cost)).reshape(-1, 1)
                bought = Bought(None, cost, cost, cost, self.pool_counts[number])
                low = float(np.min(cost - value @ rebates))
                listed.append((number, Ways(cost, value, rows), [bought], low))
        bound = sum(low for *_, low in listed) + float(rebates @ self.least)
        return self._follow(listed, rebates, bound, max(0.0, self.ceiling - bound))

    def _best_rebates(self) -> tuple[Floats, float, list[float]]:
        """Rebates near the best, the bound that they prove, and each offer's least reduced cost at them."""
        for number, counts in enumerate(self.known):
            self._remember(number, counts)
        tried = [np.full(len(self.names), rebate) for rebate in FIRST_REBATES]
        rebates = tried[0]
        for round_ in range(ROUNDS):
            rebates = tried[round_] if round_ < len(tried) else self._of_pool()
            before = self._pool_bound(rebates)
            for number in range(len(self.offers)):
                self._buy_at(number, rebates)
            if round_ >= len(tried) and before - self._pool_bound(rebates) < GOOD_ENOUGH:
                break
            self._check_time()
        lows = [self._least_reduced(number, rebates) for number in range(len(self.offers))]
        return rebates, sum(lows) + float(rebates @ self.least), lows

    def _buy_at(self, number: int, rebates: Floats) -> None:
        """Let the pool hold the way of buying an offer that is the best, or nearly so, at the rebates."""
        offer = self.offers[number]
        if not wanted(offer) or not any(pack.supplier in self.names for _, pack, _ in offer.packs):
            return
        ways = [
            choices if (at := self._at(pack.supplier)) is None else at_rebate(choices, float(rebates[at]))
            for (_, pack, _), choices in zip(offer.packs, offer.ways, strict=True)
        ]
        self._remember(number, cheapest_counts(offer.amount, offer.tolerance, ways, SEEK_TRIALS).counts)

    def _remember(self, number: int, counts: Mapping[int, int]) -> None:
        cost, value = self._of_counts(number, counts)
        self.pool_cost[number].append(cost)
        self.pool_value[number].append(value)
        self.pool_counts[number].append(counts)

    def _of_pool(self) -> Floats:
        """The rebates at which the ways met so far promise most: by one coordinate after another."""
        costs = np.concatenate([np.array(each) for each in self.pool_cost])
        values = np.concatenate([np.array(each) for each in self.pool_value])
        sizes = np.array([len(each) for each in self.pool_cost])
        starts, segment = np.concatenate([[0], np.cumsum(sizes)[:-1]]), np.repeat(np.arange(len(sizes)), sizes)

        def falls_short(rebates: Floats, at: int) -> bool:
            reduced = costs - values @ rebates
            lowest = np.flatnonzero(reduced <= np.minimum.reduceat(reduced, starts)[segment])
            _, first = np.unique(segment[lowest], return_index=True)
            return bool(values[lowest[first], at].sum() < self.least[at])

        rebates = np.zeros(len(self.names))
        for _ in range(SWEEPS if len(self.names) > 1 else 1):
            for at in range(len(self.names)):
                rebates[at] = 0.0
                if not falls_short(rebates, at):
                    continue
                low, high = 0.0, MOST_REBATE
                for _ in range(HALVINGS):
                    rebates[at] = (low + high) / 2
                    low, high = (rebates[at], high) if falls_short(rebates, at) else (low, rebates[at])
                rebates[at] = high
        return rebates

    def _pool_bound(self, rebates: Floats) -> float:
        lows = (
            float(np.min(np.array(costs) - np.array(values) @ rebates))
            for costs, values in zip(self.pool_cost, self.pool_value, strict=True)
        )
        return sum(lows) + float(rebates @ self.least)

    def _least_reduced(self, number: int, rebates: Floats) -> float:
        """The least cost of an offer at the rebates, proven."""
        if not wanted(self.offers[number]):
            return 0.0
        cap = float(np.min(np.array(self.pool_cost[number]) - np.array(self.pool_value[number]) @ rebates))
        ways, _ = self._ways(number, rebates, cap)
        return float(np.min(ways.cost - ways.value @ rebates))

    def _of_counts(self, number: int, counts: Mapping[int, int]) -> tuple[float, Floats]:
        offer = self.offers[number]
        cost, value = 0.0, np.zeros(len(self.names))
        for (index, pack, _), choices in zip(offer.packs, offer.ways, strict=True):
            for column in (2 * index, 2 * index + 1):
                count = counts.get(column, 0)
                if count:
                    tier = min(
                        (r.tier for c in choices for r in c if r.column == column and r.tier.holds(count)),
                        key=lambda one: one.price(count),
                    )
                    cost += tier.price(count)
                    if pack.supplier in self.names:
                        goods = cents(tier.base + tier.unit * count) * MILLIONTHS_PER_CENT
                        value[self.names.index(pack.supplier)] += goods
        return cost, value

    def _closed(self, rebates: Floats, bound: float, lows: Sequence[float]) -> Met:
        """The cheapest order, sought within gaps that widen; None where it is no cheaper than the ceiling."""
        gap = FIRST_GAP
        room = self.ceiling - bound
        if room <= 0.0:
            return Met(None, proven=True)
        while True:
            gap = min(gap, room)
            found = self._within(rebates, lows, bound, gap)
            if found is not None:
                return Met(found, proven=not self.cut)
            if gap >= room or self.cut:
                return Met(None, proven=not self.cut)
            gap *= 2.0

    def _within(
        self, rebates: Floats, lows: Sequence[float], bound: float, gap: float
    ) -> tuple[Mapping[int, int], ...] | None:
        """The cheapest order within `gap` of the bound that reaches the least values, or None."""
        listed = []
        for number, low in enumerate(lows):
            if not wanted(self.offers[number]):
                continue
            ways, packs = self._ways(number, rebates, low + gap)
            keep = undominated_rows(ways.cost, ways.value)
            listed.append((number, Ways(ways.cost[keep], ways.value[keep], ways.taken[keep]), packs, low))
        return self._follow(listed, rebates, bound, gap)

    def _follow(
        self, listed: list[tuple[int, Ways, list[Bought], float]], rebates: Floats, bound: float, gap: float
    ) -> tuple[Mapping[int, int], ...] | None:
        """The cheapest combination of one listed way of every offer that reaches the least values within the gap."""
        # those with the fewest ways first, so that the many are followed from few
        listed.sort(key=lambda entry: len(entry[1].cost))
        most = [entry[1].value.max(axis=0) for entry in listed]
        fewest = [entry[1].value.min(axis=0) for entry in listed]
        reach = np.zeros((len(listed) + 1, len(self.names)))  # what the ways still to be chosen may bring
        sure = np.zeros((len(listed) + 1, len(self.names)))  # and what they bring at least
        for position in range(len(listed) - 1, -1, -1):
            reach[position] = reach[position + 1] + most[position]
            sure[position] = sure[position + 1] + fewest[position]
        over = np.zeros(1)  # what the ways so far cost above the best at the rebates
        cost = np.zeros(1)
        value = np.zeros((1, len(self.names)))
        trail: list[tuple[NDArray[np.int64], NDArray[np.int64]]] = []
        for position, (_, ways, _, low) in enumerate(listed):
            self._check_time()
            reduced = ways.cost - ways.value @ rebates - low
            sums = over[:, None] + reduced[None, :]
            before, taken = self._lowest(sums, gap + 1.0)
            over, cost = sums[before, taken], cost[before] + ways.cost[taken]
            value = value[before] + ways.value[taken]
            able = (value + reach[position + 1] >= self.least - 0.5).all(axis=1)
            # what is bought beyond the least values is paid for at the rebates
            able &= over + np.maximum(0.0, value - self.least) @ rebates <= gap + 1.0
            over, cost, value, before, taken = over[able], cost[able], value[able], before[able], taken[able]
            keep = undominated_rows(cost, np.minimum(value, self.least - sure[position + 1]))
            over, cost, value, before, taken = over[keep], cost[keep], value[keep], before[keep], taken[keep]
            trail.append((before, taken))
            if not len(cost):
                return None
        if not listed:
            return None
        reached = (value >= self.least - 0.5).all(axis=1)
        if not reached.any():
            return None
        rows = np.flatnonzero(reached)
        row = int(rows[np.argmin(cost[rows])])
        if cost[row] > bound + gap + 1.0 or cost[row] >= self.ceiling:
            return None
        counts: list[Mapping[int, int]] = [{} for _ in self.offers]
        for (number, ways, packs, _), (before, taken) in zip(reversed(listed), reversed(trail), strict=True):
            merged: dict[int, int] = {}
            for pack, at in zip(packs, ways.taken[int(taken[row])], strict=True):
                merged |= pack.counts[int(at)]
            counts[number] = merged
            row = int(before[row])
        return tuple(counts)

    def _ways(self, number: int, rebates: Floats, cap: float) -> tuple[Ways, list[Bought]]:
        """Every way of buying an offer that costs at most `cap` at the rebates, those for nothing beaten left out."""
        offer = self.offers[number]
        cap += 1.0  # a millionth, so that float error loses no way
        packs = [
            counts_of(choices, self._at(pack.supplier), rebates, cap, offer.amount)
            for (_, pack, _), choices in zip(offer.packs, offer.ways, strict=True)
        ]
        reduced = [pack.reduced(rebates) for pack in packs]
        rates = [best_rate(pack.amount, costs) for pack, costs in zip(packs, reduced, strict=True)]
        order = sorted(range(len(packs)), key=lambda at: -rates[at])  # the best by amount fills what is left
        packs, reduced = [packs[at] for at in order], [reduced[at] for at in order]
        rates = [rates[at] for at in order]
        need = offer.amount - offer.tolerance
        amount, spent, cost = np.zeros(1), np.zeros(1), np.zeros(1)
        value = np.zeros((1, len(self.names)))
        taken = np.zeros((1, 0), dtype=np.int64)
        for at, pack in enumerate(packs):
            after = min(rates[at + 1 :], default=inf)
            if len(amount) * len(pack.amount) > MOST_PRODUCTS:
                raise TooManyError
            sums = spent[:, None] + reduced[at][None, :]
            lacking = np.maximum(0.0, need - amount[:, None] - pack.amount[None, :])
            bound = sums + np.where(lacking > 0.0, lacking * after if after < inf else inf, 0.0)
            before, row = self._lowest(bound, cap)
            amount, spent = amount[before] + pack.amount[row], sums[before, row]
            cost, value = cost[before] + pack.cost[row], value[before]
            if pack.supplier is not None:
                value = value.copy()
                value[:, pack.supplier] += pack.goods[row]
            taken = np.column_stack([taken[before], row])
            if len(amount) > 200:
                keep = undominated_rows(cost, np.column_stack([np.minimum(amount, need), value]))
                amount, spent, cost, value, taken = amount[keep], spent[keep], cost[keep], value[keep], taken[keep]
        return Ways(cost, value, taken), packs

    def _at(self, supplier: str) -> int | None:
        return self.names.index(supplier) if supplier in self.names else None

    def _lowest(self, sums: Floats, most: float) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """Rows and columns of the sums up to `most`; the lowest of them, and the proof is lost, where they are many."""
        kept = sums <= most
        number = np.count_nonzero(kept)
        if number > MOST_LABELS:
            self.cut = True
            kept &= sums <= np.partition(sums[kept], MOST_LABELS)[MOST_LABELS]
        before, taken = np.nonzero(kept)
        return before.astype(np.int64), taken.astype(np.int64)

    def _check_time(self) -> None:
        if process_time() > self.until:
            raise TooManyError
