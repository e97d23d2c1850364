"""One order of all needs as an integer program: packs, price tiers, deliveries, pallets, lift gates, order minimums.

Each price tier of a pack has a binary variable and a count. Each supplier has a binary variable, its pallets, its lift
gate, and a binary variable for its small-order charge. HiGHS is limited by nodes, never seconds, so that the same job
gives the same order on any machine. Costs are in cents.
"""

from __future__ import annotations

import os
import sys
from bisect import bisect_left
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from math import ceil, inf
from typing import TYPE_CHECKING, NamedTuple

from estimator.job import Pack
from estimator.packaging.freight import most_on_one
from estimator.packaging.order import Choice, ways_to_buy
from estimator.packaging.price import MILLIONTHS_PER_CENT
from estimator.packaging.ways import Need, Offer, SupplierTerms, Terms
from geometry.frozen import frozen

if TYPE_CHECKING:
    import highspy

MOST_NODES = 20_000
Counts = tuple[tuple[tuple[int, int], ...], ...]  # (column of `ways_to_buy`, count) pairs of each need


@frozen
class Dealings:
    """Bounds (low, high) on the deliveries, small-order charges and shared pallets of one supplier."""

    used: tuple[float, float]
    charged: tuple[float, float]
    pallets: tuple[float, float]


class Solved(NamedTuple):
    """The best counts, None if there are none; their cost; and a lower bound on any cost."""

    counts: Counts | None
    cost: float
    bound: float


def run(model: highspy.HighsLp, options: Iterable[tuple[str, bool]] = ()) -> highspy.Highs:
    """Solve a model with HiGHS, without output; return the solver."""
    import highspy

    with _quiet():
        solver = highspy.Highs()  # type: ignore[no-untyped-call]
        solver.silent()
        for option, setting in (("mip_rel_gap", 0.0), ("mip_max_nodes", MOST_NODES), ("threads", 1), *options):
            solver.setOptionValue(option, setting)
        solver.passModel(model)
        solver.run()
    return solver


@contextmanager
def _quiet() -> Iterator[None]:
    """Silence what HiGHS writes to the standard output of the process (its banner, a line at a restart)."""
    sys.stdout.flush()
    saved, null = os.dup(1), os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(null, 1)
        yield
    finally:
        os.dup2(saved, 1)
        os.close(saved)
        os.close(null)


@dataclass(slots=True)
class _Program:
    """Columns and rows of the program while it is built; costs in cents."""

    cost: list[float] = field(default_factory=list)
    lower: list[float] = field(default_factory=list)
    upper: list[float] = field(default_factory=list)
    entries: list[tuple[int, int, float]] = field(default_factory=list)
    least: list[float] = field(default_factory=list)

    def column(self, cost_cents: float, upper: float, lower: float = 0.0) -> int:
        self.cost.append(cost_cents)
        self.lower.append(lower)
        self.upper.append(upper)
        return len(self.cost) - 1

    def at_least(self, low: float, row: Mapping[int, float]) -> None:
        self.entries += [(len(self.least), column, value) for column, value in row.items()]
        self.least.append(low)

    def solved(self) -> tuple[list[float] | None, float, float]:
        """Optimal values of the columns (None without a solution), their cost, and a lower bound on the cost."""
        import highspy

        model = highspy.HighsLp()
        model.num_col_, model.num_row_ = len(self.cost), len(self.least)
        model.col_cost_, model.col_lower_, model.col_upper_ = self.cost, self.lower, self.upper
        model.row_lower_, model.row_upper_ = self.least, [inf] * len(self.least)
        model.integrality_ = [highspy.HighsVarType.kInteger] * len(self.cost)
        model.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        model.a_matrix_.start_ = [bisect_left(self.entries, (row, 0, -inf)) for row in range(len(self.least) + 1)]
        model.a_matrix_.index_ = [column for _, column, _ in self.entries]
        model.a_matrix_.value_ = [value for _, _, value in self.entries]
        solver = run(model)
        status, info = solver.getModelStatus(), solver.getInfo()
        if status == highspy.HighsModelStatus.kInfeasible:
            return None, inf, inf
        if info.primal_solution_status != highspy.SolutionStatus.kSolutionStatusFeasible:
            return None, inf, info.mip_dual_bound
        cost = info.objective_function_value
        proven = status == highspy.HighsModelStatus.kOptimal
        return list(solver.getSolution().col_value), cost, cost if proven else info.mip_dual_bound


@dataclass(slots=True)
class _Yard:
    """Columns of one supplier, and the coefficients of its packs."""

    used: int
    asked: SupplierTerms
    dealings: Dealings
    gate: int | None
    shared: int | None  # shared pallets of its packs
    value: dict[int, float] = field(default_factory=dict)
    stands: dict[int, float] = field(default_factory=dict)  # share of a pallet by column
    most: float = 0.0


def solve(
    needs: Sequence[Need],
    terms: Terms,
    offers: Sequence[Sequence[Offer]],
    dealings: Sequence[Dealings],
) -> Solved:
    """Cheapest order of each need's offers, within the dealings of each supplier."""
    program = _Program()
    yards = {
        name: _yard(program, asked, terms, dealing)
        for (name, asked), dealing in zip(terms.suppliers, dealings, strict=True)
    }
    counted = [
        _write_need(program, need, yards, terms, {offer.index: offer for offer in own})
        for need, own in zip(needs, offers, strict=True)
    ]
    for yard in yards.values():
        _write_yard(program, yard)
    values, cost, bound = program.solved()
    if values is None:
        return Solved(None, cost, bound)
    result = []
    for pairs in counted:
        counts: dict[int, int] = {}
        for column, variable in pairs:
            number = round(values[variable])
            if number:
                counts[column] = counts.get(column, 0) + number
        result.append(tuple(sorted(counts.items())))
    return Solved(tuple(result), cost, bound)


def _narrowed(choice: Choice, offer: Offer) -> Choice | None:
    """The choice with its tiers limited to the counts of the offer; None if none of the counts is in it."""
    loose, full = offer.loose.tolist(), offer.full_pallets.tolist()
    counts_by_column = {2 * offer.index: loose, 2 * offer.index + 1: full}
    columns = {run.column for run in choice}
    rows = [
        row
        for row in range(len(loose))
        if all(run.tier.holds(counts_by_column[run.column][row]) for run in choice)
        and not any(numbers[row] for column, numbers in counts_by_column.items() if column not in columns)
        and loose[row] + full[row] > 0
    ]
    if not rows:
        return None
    return tuple(
        replace(run, tier=replace(run.tier, first=min(numbers), last=max(numbers)))
        for run in choice
        for numbers in ([counts_by_column[run.column][row] for row in rows],)
    )


def _yard(program: _Program, asked: SupplierTerms, terms: Terms, dealings: Dealings) -> _Yard:
    pallet_cents = asked.per_pallet + asked.per_kg * terms.pallet_kg
    used = program.column(asked.once, dealings.used[1], dealings.used[0])
    gate = program.column(asked.gate, 1.0) if asked.gate else None
    shared = program.column(pallet_cents, 0.0) if asked.mixed and (pallet_cents or gate is not None) else None
    return _Yard(used, asked, dealings, gate, shared)


def _write_need(
    program: _Program, need: Need, yards: Mapping[str, _Yard], terms: Terms, offers: Mapping[int, Offer]
) -> list[tuple[int, int]]:
    """Add the columns and rows of one need; return (column of the order, variable) pairs."""
    pairs: list[tuple[int, int]] = []
    covering: dict[int, float] = {}
    for index, pack, size in need.offered():
        yard = yards.get(pack.supplier)
        choices = (_narrowed(choice, offers[index]) for choice in ways_to_buy(index, pack, size) if choice)
        picks = {
            _write_choice(program, pack, choice, yard, terms, covering, pairs): -1.0
            for choice in choices
            if choice is not None
        }
        if not picks:
            continue
        program.at_least(0.0 if yard else -1.0, picks | ({yard.used: 1.0} if yard else {}))
        if yard is not None and yard.gate is not None and pack.per_pallet:
            program.at_least(0.0, picks | {yard.gate: 1.0})
    program.at_least(need.least, covering)
    return pairs


def _write_choice(
    program: _Program,
    pack: Pack,
    choice: Choice,
    yard: _Yard | None,
    terms: Terms,
    covering: dict[int, float],
    pairs: list[tuple[int, int]],
) -> int:
    """Add one way to buy a pack; return its binary variable."""
    base = sum(run.tier.base for run in choice) / MILLIONTHS_PER_CENT
    pick = program.column(base, 1.0)
    if yard is not None and base:
        yard.value[pick] = base
    for run in choice:
        tier, unit = run.tier, run.tier.unit / MILLIONTHS_PER_CENT
        most = float(tier.last or 0)
        mass_kg = (pack.mass_kg or 0.0) * run.packs
        count = program.column(unit + (yard.asked.per_kg * mass_kg if yard else 0.0), most)
        pairs.append((run.column, count))
        covering[count] = run.size
        program.at_least(0.0, {count: -1.0, pick: most})
        if tier.first:
            program.at_least(0.0, {count: 1.0, pick: -float(tier.first)})
        if yard is None:
            continue
        yard.value[count] = unit
        if pack.per_pallet:
            share = run.packs / most_on_one(pack, terms.rated_kg)
            yard.most += ceil(most * share)
            if yard.shared is not None:
                yard.stands[count] = share
            elif yard.asked.per_pallet or yard.asked.per_kg:
                cost = yard.asked.per_pallet + yard.asked.per_kg * terms.pallet_kg
                begun = program.column(cost, float(ceil(most * share)))
                program.at_least(0.0, {begun: 1.0, count: -share})
    return pick


def _write_yard(program: _Program, yard: _Yard) -> None:
    """Add the rows of shared pallets, the lift gate that they need, and the order minimum."""
    if yard.shared is not None:
        # packs of unlike shares may not fill a floor; the real arrangement decides
        program.lower[yard.shared], most = yard.dealings.pallets
        program.upper[yard.shared] = min(most, max(2.0 * yard.most + 1.0, program.lower[yard.shared]))
        program.at_least(-1e-9, {yard.shared: 1.0} | {column: -share for column, share in yard.stands.items()})
        if yard.gate is not None:
            program.at_least(0.0, {yard.shared: 1.0, yard.gate: -1.0})
    if yard.asked.minimum:
        # half a cent of slack, so that a value met exactly is never rejected by rounding
        row = dict(yard.value) | {yard.used: 0.5 - yard.asked.minimum}
        if yard.asked.small_order is not None:
            least, most = yard.dealings.charged
            row[program.column(yard.asked.small_order, most, least)] = yard.asked.minimum
        program.at_least(0.0, row)
