"""The cheapest whole packs of one material, proven by enumeration, and the lines of its order."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from fractions import Fraction
from functools import lru_cache
from math import ceil, gcd, inf, isfinite, lcm

from estimator.errors import FaultError
from estimator.job import Pack
from estimator.packaging.price import (
    MILLIONTHS_PER_CENT,
    MILLIONTHS_PER_UNIT,
    Line,
    Tier,
    line_of,
    millionths,
    refuse_faulty,
    tiers,
)
from geometry.frozen import frozen
from geometry.message import message

TIE_TRIALS = 50_000  # trials after which ties between equally cheap orders are not searched: some tens of milliseconds
TRIALS = 200_000  # trials after which the search stops without a proof
COMMON_MEASURE_DENOMINATOR = 1_000


@frozen
class Run:
    """Packs of one size bought within one tier; `column` identifies the count in the order."""

    column: int
    size: float
    packs: int  # physical packs per unit: 1, or those on a full pallet
    tier: Tier


Choice = tuple[Run, ...]  # one way to buy a pack: loose within a tier, on full pallets, both, or not at all


@frozen
class BestCounts:
    """The best counts by column, without zeros."""

    counts: dict[int, int]
    cost: int  # millionths of the currency
    cheapest: bool  # whether it is proven that nothing is cheaper
    ties_settled: bool  # whether it is proven that nothing as cheap leaves less over, or the same in fewer packs


def cheapest_counts(
    need: float, tolerance: float, ways: Sequence[Sequence[Choice]], trials: int = TRIALS
) -> BestCounts:
    """Counts that cover `need` at the least cost; ties go to the smaller leftover, then to fewer packs.

    need       amount to cover, above zero, in the unit of the sizes
    tolerance  shortfall that counts as covered, same unit
    ways       the ways to buy each pack
    trials     most counts to try before the search stops without a proof
    """
    return _Search(need, tolerance, ways, trials).run()


class _Search:
    """State of one enumeration: the best order so far, and the bounds that prune trials."""

    def __init__(self, need: float, tolerance: float, ways: Sequence[Sequence[Choice]], trials: int) -> None:
        sizes = {run.size for choices in ways for choice in choices for run in choice}
        self.need, _ = whole_amount(need, tolerance, sizes)
        self.tolerance, self.ways = tolerance, ways
        self.trials, self.tie_trials = trials, min(TIE_TRIALS, trials)
        self.tried = 0
        self.floor = 0.0  # lower bound of the combination being tried
        self.best_cost: float = inf
        self.best_left = inf
        self.best_packs: float = inf
        self.best: dict[int, int] = {}
        self.best_rate = min(_least_rate(run) for choices in ways for choice in choices for run in choice)
        self.price_step, self.rounding = _price_steps(ways)
        self.largest = max(run.size / run.packs for choices in ways for choice in choices for run in choice)

    def run(self) -> BestCounts:
        for choices in self.ways:  # orders of a single pack give the first incumbent
            for choice in choices:
                if choice:
                    self._try(choice)
        for bound, _, choice in sorted(self._combinations(), key=lambda item: item[:2]):
            self.floor = bound
            if self._stops():
                break
            self._try(choice)
        return BestCounts(
            {column: count for column, count in sorted(self.best.items()) if count},
            int(self.best_cost) if self.best else 0,
            cheapest=bool(self.best) and self.tried < self.trials,
            ties_settled=bool(self.best) and self.tried < self.tie_trials,
        )

    def _combinations(self) -> Iterator[tuple[float, int, Choice]]:
        """Yield combinations of one way for each pack that might still win: lower bound in millionths, number, runs."""
        stack: list[tuple[int, Choice, float, float]] = [(0, (), 0.0, self.need)]
        number = 0
        while stack:
            level, chosen, spent, rest = stack.pop()
            if not self._may_win(spent + max(0.0, rest) * self.best_rate):
                continue
            if level == len(self.ways):
                bound = spent + _bound(rest, sorted(chosen, key=_rate, reverse=True)) if chosen else inf
                if self._may_win(bound):
                    number += 1
                    yield bound, number, chosen
                continue
            self.tried += 1
            if self.tried >= self.trials:
                return
            for choice in self.ways[level]:
                cost = sum(run.tier.least(run.tier.first) for run in choice)
                amount = sum(run.tier.first * run.size for run in choice)
                stack.append((level + 1, chosen + choice, spent + cost, rest - amount))

    def _stops(self) -> bool:
        """Whether the trials are used up: all of them, or those for ties if the combination cannot be cheaper."""
        if self.tried < self.tie_trials:
            return False
        return self.tried >= self.trials or self._at_least(self.floor) >= self.best_cost

    def _may_win(self, cost: float) -> bool:
        """Whether an order with the lower bound `cost`, unrounded, can match the best."""
        return self._at_least(cost) <= self.best_cost

    def _at_least(self, cost: float) -> float:
        """Lower bound on the price, in whole steps, of an order with the lower bound `cost` on its unrounded cost."""
        if cost == inf:
            return inf
        steps = (cost - self.rounding) / self.price_step
        return ceil(steps - 1e-7 - 1e-13 * steps) * self.price_step  # a rounding error must not add a step

    def _try(self, choice: Choice) -> None:
        runs = sorted(choice, key=lambda run: (-_rate(run), -run.size))
        counts = [run.tier.first for run in runs]
        rest = self.need - sum(run.size * run.tier.first for run in runs)
        spent = sum(run.tier.least(run.tier.first) for run in runs)
        if len(runs) == 1:
            self._close(runs, counts, 0, rest)
        else:
            self._branch(runs, counts, 0, rest, spent)

    def _branch(self, runs: Sequence[Run], counts: list[int], level: int, rest: float, spent: float) -> None:
        """Try the counts of runs[level:] that can still match the best order.

        `rest` is the uncovered amount. `spent` is the cost of the counts so far, millionths, with the later levels at
        their minimum. The runs are sorted by decreasing rate. One more pack of this run saves no more than its amount
        is worth at the following rates, so the bound never falls with the count, and the first count that cannot win
        ends the loop.
        """
        pair = level == len(runs) - 2
        closing = runs[-1]
        # of the last two, loop over the larger, which takes fewer steps, and fill the rest with the smaller
        at, fill = (len(runs) - 1, level) if pair and closing.size > runs[level].size else (level, len(runs) - 1)
        run = runs[at]
        first, last = run.tier.first, run.tier.last
        before = run.tier.least(first)
        enough = _packs_for(rest - self.tolerance, run.size)
        most = enough if last is None else min(enough, last - first)
        rate, next_rate = _rate(run), _rate(runs[fill])
        flat = abs(rate - next_rate) <= 1e-12 * next_rate
        for more in range(most, -1, -1) if rate < next_rate or flat else range(most + 1):
            self.tried += 1
            if self._stops():
                break
            cost = spent - before + run.tier.price(first + more)
            uncovered = rest - more * run.size
            bound = cost + (max(0.0, uncovered) * next_rate if pair else _bound(uncovered, runs[level + 1 :]))
            if not self._may_win(bound):
                # one fewer may cost less if this one covers too much, one more if its pallet is already started
                even = bound - cost + spent - before + run.tier.least(first + more)
                if flat or uncovered <= 0.0 or self._may_win(even):
                    continue
                break
            counts[at] = first + more
            if self._only_tie(runs, counts, bound, uncovered):
                continue
            if pair:
                self._close(runs, counts, fill, uncovered)
            else:
                self._branch(runs, counts, level + 1, uncovered, cost)
        counts[at] = first

    def _close(self, runs: Sequence[Run], counts: list[int], at: int, rest: float) -> None:
        """Cover the rest with the run at index `at`, and keep the order if it is better."""
        run = runs[at]
        first, last = run.tier.first, run.tier.last
        more = _packs_for(rest - self.tolerance, run.size)
        self.tried += 1
        if last is not None and first + more > last:
            return
        counts[at] = first + more
        cost = sum(run.tier.price(count) for run, count in zip(runs, counts, strict=True))
        self._keep(runs, counts, cost, more * run.size - rest)
        counts[at] = first

    def _only_tie(self, runs: Sequence[Run], counts: Sequence[int], cost: float, uncovered: float) -> bool:
        """Whether an order can at most tie the best on cost, and would lose on leftover and packs."""
        if self._at_least(cost) < self.best_cost:
            return False
        if self.tried >= self.tie_trials:
            return True
        if self.best_left > self.tolerance:
            return False
        packs = sum(count * run.packs for count, run in zip(counts, runs, strict=True))
        return packs + ceil((max(0.0, uncovered) - self.tolerance) / self.largest) >= self.best_packs

    def _keep(self, runs: Sequence[Run], counts: Sequence[int], cost: int, left: float) -> None:
        if cost > self.best_cost:
            return
        packs = sum(count * run.packs for count, run in zip(counts, runs, strict=True))
        if cost == self.best_cost:
            if left > self.best_left + self.tolerance:
                return
            if left >= self.best_left - self.tolerance and packs >= self.best_packs:
                return
        self.best_cost, self.best_left, self.best_packs = cost, left, packs
        self.best = {run.column: count for run, count in zip(runs, counts, strict=True)}


def _rate(run: Run) -> float:
    """Marginal cost per unit of amount within the tier, millionths."""
    return run.tier.slope / run.size


def _least_rate(run: Run) -> float:
    """Lower bound on the average cost per unit of amount over the tier, millionths.

    A tier that costs more than the one before it has its lowest average at its first pack.
    """
    first = run.tier.first
    return min(_rate(run), run.tier.least(first) / (first * run.size)) if first else _rate(run)


def _packs_for(amount: float, size: float) -> int:
    return ceil(amount / size) if amount > 0.0 else 0


def _bound(rest: float, runs: Sequence[Run]) -> float:
    """Lower bound on the cost of covering `rest` with the runs, which are sorted by decreasing rate, millionths.

    The last run, which has the best rate, comes in whole packs. The remainder costs the next rate, or one more pack.
    """
    if rest <= 0.0:
        return 0.0
    best = runs[-1]
    price = best.tier.slope
    if len(runs) == 1:
        return rest * _rate(best)
    whole = rest // best.size
    return whole * price + min(price, (rest - whole * best.size) * _rate(runs[-2]))


def _price_steps(ways: Sequence[Sequence[Choice]]) -> tuple[int, float]:
    """Common divisor of all order costs, millionths, and the most that rounding to the cent can reduce a cost."""
    tiers = [run.tier for choices in ways for choice in choices for run in choice]
    goods = [amount for tier in tiers for amount in (tier.base, tier.unit) if amount]
    if all(amount % MILLIONTHS_PER_CENT == 0 for amount in goods):
        return gcd(*goods) or 1, 0.0
    lines = sum(max(len(choice) for choice in choices) for choices in ways)
    # half a cent at each end of a line
    return MILLIONTHS_PER_CENT, float(lines * MILLIONTHS_PER_CENT)


def whole_amount(amount: float, tolerance: float, sizes: Collection[float]) -> tuple[float, float]:
    """Smallest multiple of the sizes' common measure that covers `amount`, and the shortfall that counts as covered.

    Packs can only hold multiples of that measure, so amounts that round up to the same multiple have the same orders.
    Without a common measure, returns the arguments.

    >>> whole_amount(1234.5, 1e-6, (25.0, 1000.0))
    (1250.0, 1.25e-06)
    """
    least, *others = sorted(sizes)
    denominator = 1
    for size in others:
        ratio = Fraction(size / least).limit_denominator(COMMON_MEASURE_DENOMINATOR)
        if abs(float(ratio) * least - size) > 1e-13 * size:
            return amount, tolerance
        denominator = lcm(denominator, ratio.denominator)
    measure = least / denominator
    if measure < 1e3 * tolerance:
        return amount, tolerance
    whole = ceil((amount - tolerance) / measure) * measure
    return whole, ROUND_UP_TOLERANCE * whole


ROUND_UP_TOLERANCE = 1e-9
"""A shortfall of this fraction of the need counts as covered: 0.1 · 3 / 0.1 is 3.0000000000000004 in floats and 3 in
the shop. One gram in a thousand tonnes, far below any scale."""


@frozen
class Order:
    """The order of one material."""

    lines: tuple[Line, ...]
    required_kg: float
    reserve_kg: float
    on_hand_kg: float
    bought_kg: float
    left_over_kg: float  # on hand + bought − required, so it includes the reserve
    purchase_cost: float | None  # sum of the lines; None if a pack bought has no price
    unpriced: tuple[str, ...]  # packs without a price: not compared with the others, or ordered without a total
    ties_settled: bool  # whether the smallest leftover among equally cheap orders is proven; the cost always is


def order(
    need_kg: float, packs: Sequence[Pack], on_hand_kg: float = 0.0, reserve_kg: float = 0.0, key: str = "packs"
) -> Order:
    """Order of the cheapest whole packs that cover need and reserve.

    need_kg     amount the job needs, kg
    packs       packs on offer, each with its mass; if some have a price, only those are compared
    on_hand_kg  stock on the shelf, kg
    reserve_kg  amount to keep on the shelf after the job, kg
    key         dotted key of the packs, for messages

    Without any price, the order has the smallest leftover, then the fewest packs, and no total. Without packs it is by
    mass: no lines, no total, exactly the missing amount. Raises FaultError for a pack that contradicts itself, or an
    amount that is negative or not a number.
    """
    sizes = masses(packs, key)
    refuse_faulty_amounts(need_kg, on_hand_kg, reserve_kg)
    tolerance = ROUND_UP_TOLERANCE * (need_kg + reserve_kg)
    lacking = need_kg + reserve_kg - on_hand_kg
    lines, settled = buy(lacking, tolerance, packs, sizes)
    return order_of(lines, need_kg, packs, on_hand_kg, reserve_kg, settled)


def order_of(
    lines: tuple[Line, ...],
    need_kg: float,
    packs: Sequence[Pack],
    on_hand_kg: float,
    reserve_kg: float,
    ties_settled: bool,
) -> Order:
    """Order with these lines; without packs, an order by mass of exactly the missing amount."""
    bought = sum(line.amount for line in lines) if packs else max(0.0, need_kg + reserve_kg - on_hand_kg)
    left = on_hand_kg + bought - need_kg
    return Order(
        lines=lines,
        required_kg=need_kg,
        reserve_kg=reserve_kg,
        on_hand_kg=on_hand_kg,
        bought_kg=bought,
        left_over_kg=left if left > ROUND_UP_TOLERANCE * (need_kg + reserve_kg) else 0.0,
        purchase_cost=None if not packs and bought else total_of(lines),
        unpriced=tuple(pack.name for pack in packs if pack.unit_price is None),
        ties_settled=ties_settled,
    )


def refuse_faulty_amounts(need_kg: float, on_hand_kg: float, reserve_kg: float) -> None:
    """Raise FaultError for an amount that is negative or not a number."""
    for name, value in (("need", need_kg), ("on_hand", on_hand_kg), ("reserve", reserve_kg)):
        if not isfinite(value) or value < 0.0:
            raise FaultError(name, message("packaging-amount-negative", value=f"{value:g}"))


def masses(packs: Sequence[Pack], key: str = "packs") -> list[float]:
    """Mass in each pack, kg. Raises FaultError for a pack that contradicts itself or has no mass."""
    masses_kg = []
    for pack in packs:
        refuse_faulty(pack)
        if pack.mass_kg is None:
            raise FaultError(f"{key}.{pack.name}.mass", message("packaging-pack-without-mass", pack=pack.name))
        masses_kg.append(pack.mass_kg)
    return masses_kg


def buy(
    amount: float, tolerance: float, packs: Sequence[Pack], sizes: Sequence[float]
) -> tuple[tuple[Line, ...], bool]:
    """Cheapest lines that cover `amount` in the unit of the sizes, and whether ties among them are settled.

    The core of `order` for any measure of packs: mass, area, length, pieces.
    """
    if amount <= tolerance or not packs:
        return (), True
    return bought_alone(*whole_amount(amount, tolerance, sizes), tuple(packs), tuple(sizes))


@lru_cache(maxsize=1024)  # most amounts of a changed job round up to the same whole packs
def bought_alone(
    amount: float, tolerance: float, packs: tuple[Pack, ...], sizes: tuple[float, ...]
) -> tuple[tuple[Line, ...], bool]:
    """Cached result of `buy` for an amount above the tolerance."""
    priced = any(pack.unit_price is not None for pack in packs)
    offered = [
        (index, pack, size)
        for index, (pack, size) in enumerate(zip(packs, sizes, strict=True))
        if pack.unit_price is not None or not priced
    ]
    ways = [ways_to_buy(index, pack, size) for index, pack, size in offered]
    best = cheapest_counts(amount, tolerance, ways)
    counts = best.counts
    if not best.cheapest:
        from estimator.packaging.together import counts_alone
        from estimator.packaging.ways import Need

        counts = counts_alone(Need("", amount, tolerance, packs, sizes))
    return lines_of(offered, counts), best.ties_settled


def lines_of(offered: Sequence[tuple[int, Pack, float]], counts: Mapping[int, int]) -> tuple[Line, ...]:
    """Lines of the offered (index, pack, size), from counts by column, in the order of the list."""
    return tuple(
        line_of(pack, size, counts.get(2 * index, 0), counts.get(2 * index + 1, 0))
        for index, pack, size in offered
        if counts.get(2 * index, 0) or counts.get(2 * index + 1, 0)
    )


def ways_to_buy(index: int, pack: Pack, size: float) -> list[Choice]:
    """Every way to buy a pack: loose within one of its tiers, also on full pallets, or not at all.

    Column 2 · index counts loose packs, 2 · index + 1 full pallets at the pallet price.
    """
    minimum = pack.minimum if pack.minimum > 1 else 0
    if pack.pallet_price is None or pack.unit_price is None or pack.per_pallet is None:
        return _with_nothing([(Run(2 * index, size, 1, tier),) for tier in tiers(pack, minimum)])
    price, on_one = millionths(pack.pallet_price), pack.per_pallet
    # packs on pallets count toward the minimum, so fewer loose packs are required
    beyond = -(-minimum // on_one)
    choices: list[Choice] = []
    for pallets in range(beyond + 1):
        tier = Tier(pallets, None if pallets == beyond else pallets, 0, price)
        on_pallets = () if tier.last == 0 else (Run(2 * index + 1, size * on_one, on_one, tier),)
        lacking = max(0, minimum - pallets * on_one)
        choices += [(*on_pallets, Run(2 * index, size, 1, loose)) for loose in tiers(pack, lacking)]
    return _with_nothing(choices)


def total_of(lines: Sequence[Line]) -> float | None:
    """Sum of the rounded lines, currency; None if a line has no price."""
    prices = [line.price for line in lines if line.price is not None]
    if len(prices) < len(lines):
        return None
    return sum(millionths(price) for price in prices) / MILLIONTHS_PER_UNIT


def _with_nothing(choices: list[Choice]) -> list[Choice]:
    if all(any(run.tier.first > 0 for run in choice) for choice in choices):
        return [*choices, ()]
    return choices
