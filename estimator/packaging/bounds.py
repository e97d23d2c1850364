"""The cheapest order of all needs together, by column generation and branch and bound.

A linear relaxation over ways to buy each need prices what couples the needs (pallets, deliveries, order minimums). Each
need is then searched by itself at these shadow prices, and ways are added as long as one would lower the
relaxation. It is then a lower bound on the cost of any order. A count whose ways all exceed the best of their
need by more than the gap to the best known order can be dropped, which leaves a small integer program. Branching first
fixes the suppliers whose minimums the relaxation meets fractionally. Limits count ways, nodes and cases, never seconds,
so that the same job gives the same order on any machine. Costs are in cents.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from heapq import heappop, heappush
from itertools import count
from math import ceil, floor, inf
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from estimator.errors import FaultError
from estimator.packaging.program import Counts, Dealings, run, solve
from estimator.packaging.ways import Need, Offer, Search, ShadowPrices, SupplierTerms, Terms, Ways, offers_of
from geometry.arrays import Floats, Ints
from geometry.frozen import frozen
from geometry.message import message

if TYPE_CHECKING:
    import highspy

MOST_CASES = 200  # of deliveries and small-order charges
MOST_WAYS, MOST_LISTED = 700, 3_000  # in one program: of all needs, and of one need before dominated ways are dropped
MOST_COUNTS = 3_000  # of all packs, for a case to be split further
MOST_ROUNDS = 15  # of adding ways to one relaxation
FEW_ROUNDS = 4  # of those, if a case is split anyway
NEW_WAYS = 20  # of one need in a round
FEW_WAYS = 40  # of one need, for a first order
FEW_BEGINNINGS, MOST_BEGINNINGS = 100, 1_000  # partial ways of one need, at first and to prove a bound
CLOSE = 1e-5  # relative gap below which a relaxation counts as solved
LACKING = 1.5  # penalty in cents for each cent that a relaxation falls short of a minimum: more than any goods cost
UNMET = 1e8  # penalty in cents for a need that no known way of a case meets, until one is added
CENT = 1.0
HAIR = 0.1  # cents: smaller differences are rounding errors
ROUNDING = 2.0  # cents of rounding in the lines of one need
NEVER = 1e12  # cents
PLAIN_SEARCH = tuple(  # the bounds are already tight, so sub-programs only take time
    (f"mip_{option}", False)
    for option in ("allow_restart", "heuristic_run_rens", "heuristic_run_rins", "heuristic_run_root_reduced_cost")
)
WHOLE = 1e-6  # integrality tolerance

Offers = list[list[Offer]]  # of each need

COLUMNS = 5  # for each supplier, before the columns of the ways
USED, GATE, PALLETS, CHARGE, LACK = range(COLUMNS)
ROWS = 5  # for each supplier
SHARE, VALUE, GATE_USED, CHARGE_USED, GATE_PALLETS = range(ROWS)


@frozen
class Case:
    """Bounds on the supplier columns (deliveries, lift gates, pallets, charges) that define a set of orders."""

    low: Floats
    high: Floats

    @classmethod
    def all(cls, asked: Sequence[SupplierTerms]) -> Case:
        """Case of all orders."""
        high = [
            most
            for terms in asked
            for most in (1.0, 1.0, inf, float(terms.small_order is not None and terms.minimum > 0.0), 1.0)
        ]
        return cls(np.zeros(len(high)), np.array(high))

    def dealings(self) -> list[Dealings]:
        """Bounds of the case, by supplier."""
        bounds = list(zip(self.low.tolist(), self.high.tolist(), strict=True))
        return [
            Dealings(bounds[at + USED], bounds[at + CHARGE], bounds[at + PALLETS])
            for at in range(0, len(bounds), COLUMNS)
        ]

    def split(self, column: int, value: float) -> tuple[Case, Case]:
        """The cases below and above a fractional value."""
        high, low = self.high.copy(), self.low.copy()
        high[column], low[column] = floor(value), ceil(value)
        return Case(self.low, high), Case(low, self.high)


class Split(NamedTuple):
    """A supplier column with a fractional value in a relaxation."""

    column: int
    value: float

    @property
    def first(self) -> bool:
        """Whether to branch on it before anything else: deliveries and charges, not pallets."""
        return self.column % COLUMNS != PALLETS


class Bounds(NamedTuple):
    """Bounds on a case from its relaxation."""

    lower: float  # lower bound on the cost of any order of the case
    best: tuple[float, ...]  # by need, lower bound on the cost of any way at the shadow prices
    searches: tuple[Search, ...]
    split: Split | None


@lru_cache(maxsize=64)  # alternatives and sensitivities repeat most orders
def cheapest(needs: tuple[Need, ...], terms: Terms) -> tuple[Counts, float]:
    """(column, count) pairs of each need, and a lower bound on their total cost, currency.

    Column 2 · index counts a pack's loose packs, 2 · index + 1 its full pallets at the pallet price. Raises FaultError
    if no order reaches the minimums, or if none was found within the limits.
    """
    counts, bound = _Cases(needs, terms).solve()
    return counts, bound / 100.0


class _Cases:
    """State of the branch and bound: the known ways of each need, and the best order so far."""

    def __init__(self, needs: Sequence[Need], terms: Terms) -> None:
        self.needs, self.terms = needs, terms
        self.asked = [asked for _, asked in terms.suppliers]
        self.offers = [offers_of(need, terms) for need in needs]
        self.pools = [self._first_ways(need, offers) for need, offers in zip(needs, self.offers, strict=True)]
        self.cost = inf
        self.counts: Counts | None = None
        self.floor = inf  # lower bound over the closed cases

    def _first_ways(self, need: Need, offers: Sequence[Offer]) -> Ways:
        """Initial ways: cheap by themselves, and cheap if goods count toward the minimums."""
        nothing = np.zeros(len(self.asked))
        by_pallet = np.array([asked.per_pallet for asked in self.asked])
        toward = np.array([float(asked.minimum > 0.0) for asked in self.asked])
        pool: Ways | None = None
        for value in (nothing, 0.1 * toward, 0.3 * toward, 0.7 * toward) if toward.any() else (nothing,):
            search = Search(need, offers, ShadowPrices(by_pallet, value, nothing, nothing))
            ways = search.cheapest(NEW_WAYS, FEW_BEGINNINGS)
            pool = ways if pool is None else pool.join(ways)
        assert pool is not None
        return pool

    def solve(self) -> tuple[Counts, float]:
        """Counts of the best order, and a lower bound on the cost of any order."""
        serial = count()
        heap: list[tuple[float, int, Case, Offers]] = [(-inf, next(serial), Case.all(self.asked), self.offers)]
        number = 0
        while heap and number < MOST_CASES and heap[0][0] < self.cost - CENT:
            above, _, case, offers = heappop(heap)
            number += 1
            bounds = self._relax(case, offers)
            lower = max(above, bounds.lower)
            if lower >= self.cost - CENT:
                continue
            if bounds.split is None or not bounds.split.first:
                offers = self._close(case, offers, bounds)
                if not offers:
                    continue
            assert bounds.split is not None
            for part in case.split(*bounds.split):
                heappush(heap, (lower, next(serial), part, offers))
        if self.counts is None:
            raise FaultError("suppliers", message("packaging-minimum-not-reached", searched="some" if heap else "all"))
        return self.counts, min([self.cost, self.floor, *(lower for lower, *_ in heap)])

    def _relax(self, case: Case, offers_of_needs: Offers) -> Bounds:
        """Bounds from the relaxation of a case, with ways added until none would lower it."""
        beginnings = FEW_BEGINNINGS
        for number in range(MOST_ROUNDS):
            solved = _Relaxation(self.pools, self.asked, self.terms.pallet_kg, case).relaxation()
            lower, best, searches, grown = solved.cost, [], [], False
            for position, (need, offers) in enumerate(zip(self.needs, offers_of_needs, strict=True)):
                shadow, cost = solved.shadows[position], solved.costs[position]
                search = Search(need, offers, shadow)
                ways, floor = search.within(cost - HAIR, beginnings)
                gain = min(0.0, floor - cost)
                if len(ways):
                    priced = ways.priced(shadow)
                    gain = min(gain, float(priced.min()) - cost)
                    rows = np.argsort(priced, kind="stable")[:NEW_WAYS]
                    self.pools[position] = self.pools[position].join(ways.take(rows))
                    grown = True
                lower += gain
                best.append(cost + gain)
                searches.append(search)
            if lower >= solved.cost * (1.0 - CLOSE) or (solved.split and solved.split.first and number >= FEW_ROUNDS):
                break
            if not grown:
                if beginnings == MOST_BEGINNINGS:
                    break
                beginnings = MOST_BEGINNINGS
        return Bounds(lower, tuple(best), tuple(searches), solved.split)

    def _close(self, case: Case, offers: Offers, bounds: Bounds) -> Offers:
        """Find the best order of a case. A good order among few ways comes first, which narrows the program.

        Returns the remaining offers if the case must be split further, else an empty list.
        """
        few = [search.cheapest(FEW_WAYS, FEW_BEGINNINGS) for search in bounds.searches]
        if all(map(len, few)):
            self._pick(few, case)
        doubt = self.cost - bounds.lower + ROUNDING * len(self.needs)
        listed = self._list(bounds, doubt)
        if listed is not None:
            self.floor = min(self.floor, self._pick(listed, case))
            return []
        narrowed = [
            [offer.take(counts) for offer, counts in zip(own, search.counts_within(best + doubt), strict=True)]
            for own, search, best in zip(offers, bounds.searches, bounds.best, strict=True)
        ]
        if bounds.split is not None and sum(len(offer.rows) for own in narrowed for offer in own) <= MOST_COUNTS:
            return narrowed
        solved = solve(self.needs, self.terms, narrowed, case.dealings())
        if solved.counts is not None and solved.cost < self.cost - CENT:
            self.cost, self.counts = solved.cost, solved.counts
        self.floor = min(self.floor, solved.bound)
        return []

    def _list(self, bounds: Bounds, doubt: float) -> list[Ways] | None:
        """All ways within the gap; None if there are too many for one program."""
        lists: list[Ways] = []
        for search, best in zip(bounds.searches, bounds.best, strict=True):
            ways, floor = search.within(best + doubt, MOST_LISTED)
            if floor <= best + doubt:
                return None
            lists.append(ways.undominated())
            if sum(map(len, lists)) > MOST_WAYS:
                return None
        return lists

    def _pick(self, lists: Sequence[Ways], case: Case) -> float:
        """Pick among listed ways and keep a better order; return a lower bound on the cost of any of them."""
        rows, cost, bound = _Relaxation(lists, self.asked, self.terms.pallet_kg, case).best()
        if rows is not None and cost < self.cost:
            picks = [ways.picks[row] for ways, row in zip(lists, rows, strict=True)]
            self.cost, self.counts = cost, tuple(map(_counts, self.offers, picks))
        return bound


def _counts(offers: Sequence[Offer], picks: Ints) -> tuple[tuple[int, int], ...]:
    """Pairs (column, count) of one way."""
    pairs = []
    for offer, row in zip(offers, picks.tolist(), strict=True):
        for column, counts in ((2 * offer.index, offer.loose), (2 * offer.index + 1, offer.full_pallets)):
            if counts[row]:
                pairs.append((column, int(counts[row])))
    return tuple(sorted(pairs))


class Relaxed(NamedTuple):
    """A solved relaxation: its cost, the cost of each need, the shadow prices, and a column to branch on."""

    cost: float
    costs: list[float]
    shadows: list[ShadowPrices]
    split: Split | None


class _Relaxation:
    """The program: a binary variable for each way and supplier, and the rows that couple them."""

    def __init__(self, ways: Sequence[Ways], asked: Sequence[SupplierTerms], pallet_kg: float, case: Case) -> None:
        self.ways, self.asked, self.case = ways, asked, case
        self.first = COLUMNS * len(asked)
        lengths = [len(way) for way in ways]
        self.need = np.repeat(np.arange(len(ways)), lengths)
        self.starts = self.first + len(ways) + np.concatenate([[0], np.cumsum(lengths)]).astype(np.int64)
        own = [
            cost
            for terms in asked
            for cost in (
                terms.once,
                terms.gate,
                terms.per_pallet + terms.per_kg * pallet_kg,
                terms.small_order or 0.0,
                LACKING * terms.minimum,
            )
        ]
        self.costs = np.concatenate([np.array(own), np.full(len(ways), UNMET), *(way.cost for way in ways)])
        self.entries: list[tuple[Ints, Ints, Floats]] = []
        self._tie_ways()
        for supplier, terms in enumerate(asked):
            self._tie_supplier(supplier, terms)

    def _row(self, supplier: int, which: int) -> int:
        return len(self.ways) + ROWS * supplier + which

    def _once_rows(self, which: int) -> Ints:
        """Rows (supplier, need): a need uses a supplier, or its lift gate, only if the order does."""
        suppliers, needs = len(self.asked), len(self.ways)
        start = needs + ROWS * suppliers + which * suppliers * needs
        return start + np.arange(suppliers * needs).reshape(suppliers, needs)

    def _add(self, rows: Ints, columns: Ints, values: Floats) -> None:
        self.entries.append((rows, columns, values))

    def _tie_ways(self) -> None:
        """Add rows: each need takes one way, and the demands of the ways add up by supplier."""
        needs = np.arange(len(self.ways))
        columns = self.first + len(needs) + np.arange(len(self.need))
        self._add(needs, self.first + needs, np.ones(len(needs)))
        self._add(self.need, columns, np.ones(len(self.need)))
        for which, name, sign in ((SHARE, "share", -1.0), (VALUE, "value", 1.0)):
            asks = np.concatenate([getattr(way, name) for way in self.ways])
            rows, suppliers = np.nonzero(asks)
            self._add(self._row(0, which) + ROWS * suppliers, columns[rows], sign * asks[rows, suppliers])
        for which, name in ((USED, "use"), (GATE, "gate")):
            asks = np.concatenate([getattr(way, name) for way in self.ways])
            rows, suppliers = np.nonzero(asks)
            ties = self._once_rows(which)
            self._add(ties[suppliers, self.need[rows]], columns[rows], -np.ones(len(rows)))
            everyone = np.repeat(COLUMNS * np.arange(len(self.asked)) + which, len(self.ways))
            self._add(ties.ravel(), everyone, np.ones(ties.size))

    def _tie_supplier(self, supplier: int, terms: SupplierTerms) -> None:
        own = COLUMNS * supplier
        ties = [(SHARE, PALLETS, 1.0)]
        ties += [(GATE_USED, USED, 1.0), (GATE_USED, GATE, -1.0), (CHARGE_USED, USED, 1.0), (CHARGE_USED, CHARGE, -1.0)]
        if terms.mixed:
            ties += [(GATE_PALLETS, PALLETS, 1.0), (GATE_PALLETS, GATE, -1.0)]
        if terms.minimum:
            # half a cent of slack, so that a value met exactly is never rejected by rounding
            ties += [(VALUE, USED, 0.5 - terms.minimum), (VALUE, CHARGE, terms.minimum), (VALUE, LACK, terms.minimum)]
        for row, column, value in ties:
            self._add(np.array([self._row(supplier, row)]), np.array([own + column]), np.array([value]))

    def _bounds(self, *, whole: bool) -> tuple[Floats, Floats]:
        """Lower and upper bound of each column."""
        # The rows of the needs limit ways to one, so that no reduced cost is negative in the relaxation.
        most = [0.0] * len(self.ways) + [1.0] * len(self.need) if whole else [inf] * (len(self.ways) + len(self.need))
        low = np.concatenate([self.case.low, np.zeros(len(most))])
        high = np.concatenate([self.case.high, np.array(most)])
        if whole:
            high[LACK : self.first : COLUMNS] = 0.0
        return low, high

    def _solve(self, *, whole: bool) -> highspy.Highs:
        import highspy

        rows, columns, values = (np.concatenate(part) for part in zip(*self.entries, strict=True))
        order = np.argsort(rows, kind="stable")
        number = len(self.ways) + ROWS * len(self.asked) + 2 * len(self.asked) * len(self.ways)
        model = highspy.HighsLp()
        model.num_col_, model.num_row_ = len(self.costs), number
        model.col_cost_ = self.costs
        model.col_lower_, model.col_upper_ = self._bounds(whole=whole)
        low, high = np.zeros(number), np.full(number, inf)
        low[: len(self.ways)] = high[: len(self.ways)] = 1.0
        model.row_lower_, model.row_upper_ = low, high
        if whole:
            model.integrality_ = [highspy.HighsVarType.kInteger] * len(self.costs)
        model.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        model.a_matrix_.start_ = np.searchsorted(rows[order], np.arange(number + 1))
        model.a_matrix_.index_, model.a_matrix_.value_ = columns[order], values[order]
        return run(model, PLAIN_SEARCH)

    def relaxation(self) -> Relaxed:
        """Solve the program with fractional ways, and a penalty for falling short of a minimum."""
        solver = self._solve(whole=False)
        solution = solver.getSolution()
        duals, values = np.array(solution.row_dual), np.array(solution.col_value)
        suppliers = len(self.asked)
        by_row = np.maximum(0.0, duals[len(self.ways) : len(self.ways) + ROWS * suppliers].reshape(suppliers, ROWS))
        use, gate = (np.maximum(0.0, duals[self._once_rows(which)]) for which in (USED, GATE))
        use[self.case.high[USED::COLUMNS] == 0.0] = NEVER
        shadows = [
            ShadowPrices(by_row[:, SHARE], by_row[:, VALUE], use[:, need], gate[:, need])
            for need in range(len(self.ways))
        ]
        return Relaxed(
            solver.getInfo().objective_function_value,
            duals[: len(self.ways)].tolist(),
            shadows,
            self._split(values[: self.first]),
        )

    def _split(self, values: Floats) -> Split | None:
        """The most fractional supplier column: a delivery or charge if there is a minimum, else pallets."""
        asking = [COLUMNS * supplier for supplier, terms in enumerate(self.asked) if terms.minimum > 0.0]
        for columns in (
            [at + which for at in asking for which in (USED, CHARGE)],
            list(range(PALLETS, self.first, COLUMNS)),
        ):
            off = [abs(values[column] - round(values[column])) for column in columns]
            if max(off, default=0.0) > WHOLE:
                column = columns[off.index(max(off))]
                return Split(column, float(values[column]))
        return None

    def best(self) -> tuple[list[int] | None, float, float]:
        """Row of each need's way in the cheapest integer solution (None without one), its cost, and a lower bound."""
        import highspy

        solver = self._solve(whole=True)
        status, info = solver.getModelStatus(), solver.getInfo()
        if status == highspy.HighsModelStatus.kInfeasible:
            return None, inf, inf
        if info.primal_solution_status != highspy.SolutionStatus.kSolutionStatusFeasible:
            return None, inf, info.mip_dual_bound
        values = np.array(solver.getSolution().col_value)
        ends = zip(self.starts[:-1].tolist(), self.starts[1:].tolist(), strict=True)
        rows = [int(values[start:end].argmax()) for start, end in ends]
        cost = info.objective_function_value
        return rows, cost, cost if status == highspy.HighsModelStatus.kOptimal else info.mip_dual_bound
