"""The cheapest order of everything that a job buys: goods, pallets, freight and suppliers' terms in one program.

Materials and consumables alike. Each pack's price tiers get a yes-or-no and a count; each supplier a yes-or-no, its
pallets, its lift-gate, and a yes-or-no to its small-order charge. HiGHS counts nodes, never seconds, so that the same
job gives the same order on any machine; where it stops early, the order says by how much it may be off.
"""

from __future__ import annotations

import os
import sys
from bisect import bisect_left
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from decimal import Decimal
from functools import lru_cache
from math import ceil, inf

from estimator.errors import FaultError
from estimator.job import Pack
from estimator.money import ZERO, cents, total
from estimator.packaging.freight import (
    BARE,
    Charge,
    PalletKind,
    Pallets,
    freight,
    freight_total,
    most_on_one,
    pallets,
    refuse_faulty_tariff,
    zone_charge,
)
from estimator.packaging.order import Choice, buy, lines_of, ways_to_buy
from estimator.packaging.price import (
    MILLIONTHS_PER_CENT,
    MILLIONTHS_PER_UNIT,
    Line,
    millionths,
    refuse_faulty,
)
from estimator.supplies import Supplier

MOST_NODES = 20_000
CENT_TOLERANCE = Decimal("0.02")  # the program counts unrounded prices and freight; lines are rounded to the cent


@dataclass(frozen=True, slots=True)
class Need:
    """How much of one thing is bought at least, and the packs it comes in.

    amount     in the measure of `sizes`: kg, m3, m2, m or pieces; what is on hand is taken off
    sizes      what each pack holds
    """

    name: str
    amount: float
    tolerance: float
    packs: tuple[Pack, ...]
    sizes: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Haul:
    """How goods come to the workshop.

    mixed   whether packs of one supplier share pallets, where the supplier does not say
    """

    zone: str = ""
    lift_gate: bool = False  # the truck must bring its own lift
    pallet: PalletKind = BARE
    mixed: bool = True


@dataclass(frozen=True, slots=True)
class Delivery:
    """What one supplier brings.

    small_order   charge paid instead of buying up to the supplier's order minimum
    """

    supplier: str
    goods: float  # value of what has a price, currency
    standing: Pallets
    charges: tuple[Charge, ...]
    freight: float
    small_order: float = 0.0

    @property
    def pallets(self) -> int:
        return self.standing.count

    @property
    def gross_kg(self) -> float:
        """Goods and pallets."""
        return self.standing.gross_kg


@dataclass(frozen=True, slots=True)
class Purchase:
    """The cheapest order.

    lines        packs of each need, by name
    gap          by how much a cheaper order may undercut it, currency; 0 where it is proven
    for_minimum  by supplier, what its order minimum costs: more goods, another supplier or its small-order charge
    """

    lines: Mapping[str, tuple[Line, ...]]
    deliveries: tuple[Delivery, ...]
    gap: Decimal = ZERO
    for_minimum: Mapping[str, Decimal] = field(default_factory=dict)

    @property
    def freight(self) -> Decimal:
        """Freight and small-order charges."""
        return total(cents(delivery.freight + delivery.small_order) for delivery in self.deliveries)

    @property
    def goods(self) -> Decimal:
        """Of what has a price."""
        return total(cents(line.price) for lines in self.lines.values() for line in lines if line.price is not None)

    @property
    def proven(self) -> bool:
        return self.gap == ZERO


def buy_together(needs: Sequence[Need], suppliers: Mapping[str, Supplier], haul: Haul) -> Purchase:
    """The order of all needs that costs least, goods, freight and small-order charges together.

    suppliers   by name, "" for packs that name none; one that is missing charges nothing
    Raises FaultError for a pack or supplier that contradicts itself, and where no order meets the minimums.
    """
    _refuse_faulty(needs, suppliers, haul)
    wanted = [need for need in needs if need.amount > need.tolerance and need.packs]
    coupled = [need for need in wanted if _is_coupled(need, suppliers, haul)]
    lines = {need.name: buy(need.amount, need.tolerance, need.packs, need.sizes)[0] for need in needs}
    gap, bound = ZERO, None
    if coupled and not _is_least(coupled, suppliers, haul, lines):
        counts, bound = _solved(tuple(coupled), _Terms.of(suppliers, haul))
        for need, need_counts in zip(coupled, counts, strict=True):
            lines[need.name] = lines_of(_offered(need), dict(need_counts))
    brought = deliveries([(name, line) for name, need_lines in lines.items() for line in need_lines], suppliers, haul)
    if bound is not None:
        # pallets as they are really stacked may be more than floor and rating alone ask for
        paid = _price({need.name: lines[need.name] for need in coupled}, brought)
        gap = max(ZERO, cents(float(paid) - bound))
    return Purchase(
        lines,
        brought,
        gap if gap > CENT_TOLERANCE else ZERO,
        _minimum_costs(coupled, suppliers, haul, lines, brought),
    )


def counts_alone(need: Need) -> dict[int, int]:
    """Packs by column of `ways_to_buy` that cover one need at the least price; nothing else bears on it."""
    counts, _ = _solved((need,), _Terms((), 0.0, inf))
    return dict(counts[0])


def deliveries(
    lines: Sequence[tuple[str, Line]], suppliers: Mapping[str, Supplier], haul: Haul, lift_limit_kg: float | None = None
) -> tuple[Delivery, ...]:
    """What each supplier brings of (name, line), on which pallets, and what it charges for it."""
    delivered = []
    for name in sorted({line.pack.supplier for _, line in lines}):
        supplier = suppliers.get(name, Supplier(name))
        brought = [(item, line) for item, line in lines if line.pack.supplier == name]
        standing = pallets(brought, haul.pallet, lift_limit_kg, _mixes(supplier, haul))
        gate = haul.lift_gate and standing.count > 0
        charges = freight(
            supplier.tariff, standing.count, standing.gross_kg, haul.zone, gate, f"suppliers.{name}.freight"
        )
        goods = sum(millionths(line.price) for _, line in brought if line.price is not None) / MILLIONTHS_PER_UNIT
        short = supplier.small_order_charge if goods < supplier.min_order_value - 0.005 else None
        delivered.append(Delivery(name, goods, standing, charges, freight_total(charges), short or 0.0))
    return tuple(delivered)


def _mixes(supplier: Supplier, haul: Haul) -> bool:
    return haul.mixed if supplier.mixed_pallets is None else supplier.mixed_pallets


def _refuse_faulty(needs: Sequence[Need], suppliers: Mapping[str, Supplier], haul: Haul) -> None:
    for need in needs:
        for pack in need.packs:
            refuse_faulty(pack)
    for name, supplier in suppliers.items():
        if not 0.0 <= supplier.min_order_value < inf:
            what = f"An order minimum of {supplier.min_order_value:g} can't be."
            raise FaultError(f"suppliers.{name}", what, "Give zero or more.")
        refuse_faulty_tariff(supplier.tariff, f"suppliers.{name}.freight")
        zone_charge(supplier.tariff, haul.zone, f"suppliers.{name}.freight")


def _is_coupled(need: Need, suppliers: Mapping[str, Supplier], haul: Haul) -> bool:
    """Whether anything but its own packs' prices bears on what is bought of it."""
    for pack in need.packs:
        supplier = suppliers.get(pack.supplier)
        if supplier is None:
            continue
        tariff = supplier.tariff
        once = tariff.per_delivery or zone_charge(tariff, haul.zone) or supplier.min_order_value or tariff.per_kg
        if once or (pack.per_pallet and (tariff.per_pallet or (haul.lift_gate and tariff.lift_gate))):
            return True
    return False


def _is_least(
    coupled: Sequence[Need], suppliers: Mapping[str, Supplier], haul: Haul, lines: Mapping[str, tuple[Line, ...]]
) -> bool:
    """Whether the cheapest packs of each need, bought for themselves, are the cheapest order of all: no program needed.

    So it is where they bring no charge but what any order brings: one delivery, and one pallet at most, of a supplier
    that alone sells something that comes on pallets.
    """
    brought = deliveries([(need.name, line) for need in coupled for line in lines[need.name]], suppliers, haul)
    only = {next(iter(names)) for need in coupled if len(names := {pack.supplier for pack in need.packs}) == 1}
    stands = {
        need.packs[0].supplier
        for need in coupled
        if len({pack.supplier for pack in need.packs}) == 1 and all(pack.per_pallet for pack in need.packs)
    }
    for delivery in brought:
        supplier = suppliers.get(delivery.supplier)
        if supplier is None:
            continue
        tariff = supplier.tariff
        if tariff.per_kg or delivery.goods < supplier.min_order_value or delivery.pallets > 1:
            return False
        once = tariff.per_delivery or zone_charge(tariff, haul.zone)
        on_pallet = delivery.pallets and (tariff.per_pallet or (haul.lift_gate and tariff.lift_gate))
        if (once and delivery.supplier not in only) or (on_pallet and delivery.supplier not in stands):
            return False
    return True


def _offered(need: Need) -> list[tuple[int, Pack, float]]:
    """(index, pack, size) of what is compared: packs with a price, or all where none has one."""
    priced = any(pack.unit_price is not None for pack in need.packs)
    return [
        (index, pack, size)
        for index, (pack, size) in enumerate(zip(need.packs, need.sizes, strict=True))
        if pack.unit_price is not None or not priced
    ]


@dataclass(frozen=True, slots=True)
class _Asked:
    """What one supplier asks, in cents."""

    once: float
    per_pallet: float
    per_kg: float
    gate: float
    minimum: float
    small_order: float | None  # None: no order below the minimum
    mixed: bool


@dataclass(frozen=True, slots=True)
class _Terms:
    """Every supplier's terms and the pallet, as values by which a solved order is found again."""

    asked: tuple[tuple[str, _Asked], ...]
    pallet_kg: float
    rated_kg: float

    @classmethod
    def of(cls, suppliers: Mapping[str, Supplier], haul: Haul) -> _Terms:
        groups = []
        for name, supplier in sorted(suppliers.items()):
            tariff = supplier.tariff
            asked = _Asked(
                once=100.0 * (tariff.per_delivery + zone_charge(tariff, haul.zone)),
                per_pallet=100.0 * tariff.per_pallet,
                per_kg=100.0 * tariff.per_kg,
                gate=100.0 * tariff.lift_gate if haul.lift_gate else 0.0,
                minimum=100.0 * supplier.min_order_value,
                small_order=None if supplier.small_order_charge is None else 100.0 * supplier.small_order_charge,
                mixed=_mixes(supplier, haul),
            )
            groups.append((name, asked))
        return cls(tuple(groups), haul.pallet.mass_kg, haul.pallet.rated_kg)


@dataclass(slots=True)
class _Program:
    """Columns and rows as they are written down; costs in cents."""

    cost: list[float] = field(default_factory=list)
    upper: list[float] = field(default_factory=list)
    entries: list[tuple[int, int, float]] = field(default_factory=list)
    low: list[float] = field(default_factory=list)

    def column(self, cost_cents: float, upper: float) -> int:
        self.cost.append(cost_cents)
        self.upper.append(upper)
        return len(self.cost) - 1

    def at_least(self, low: float, row: Mapping[int, float]) -> None:
        self.entries += [(len(self.low), column, value) for column, value in row.items()]
        self.low.append(low)

    def optimum(self) -> tuple[list[float], float]:
        """The values of the columns at least cost, and what the cost cannot fall below, in cents.

        Raises FaultError where no values satisfy the rows, and where none were found within MOST_NODES.
        """
        import highspy

        model = highspy.HighsLp()
        model.num_col_, model.num_row_ = len(self.cost), len(self.low)
        model.col_cost_, model.col_lower_, model.col_upper_ = self.cost, [0.0] * len(self.cost), self.upper
        model.row_lower_, model.row_upper_ = self.low, [inf] * len(self.low)
        model.integrality_ = [highspy.HighsVarType.kInteger] * len(self.cost)
        model.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        model.a_matrix_.start_ = [bisect_left(self.entries, (row, 0, -inf)) for row in range(len(self.low) + 1)]
        model.a_matrix_.index_ = [column for _, column, _ in self.entries]
        model.a_matrix_.value_ = [value for _, _, value in self.entries]
        with _quiet():
            solver = highspy.Highs()  # type: ignore[no-untyped-call]
            solver.silent()
            for option, setting in (("mip_rel_gap", 0.0), ("mip_max_nodes", MOST_NODES), ("threads", 1)):
                solver.setOptionValue(option, setting)
            solver.passModel(model)
            solver.run()
        status, found = solver.getModelStatus(), solver.getInfo()
        if found.primal_solution_status != highspy.SolutionStatus.kSolutionStatusFeasible:
            infeasible = status == highspy.HighsModelStatus.kInfeasible
            raise FaultError(
                "suppliers",
                f"{'No order reaches' if infeasible else 'No order was found that reaches'} the order minimums of its "
                "suppliers.",
                "Add packs of another supplier, or give small_order_charge.",
            )
        proven = status == highspy.HighsModelStatus.kOptimal
        return list(solver.getSolution().col_value), (
            found.objective_function_value if proven else found.mip_dual_bound
        )


@dataclass(slots=True)
class _Yard:
    """One supplier's columns, and the rows that its packs add up in."""

    used: int
    asked: _Asked
    gate: int | None
    shared: int | None  # pallets on which its packs share
    value: dict[int, float] = field(default_factory=dict)
    stands: dict[int, float] = field(default_factory=dict)  # share of a pallet by column
    weighs: dict[int, float] = field(default_factory=dict)
    begun: list[int] = field(default_factory=list)  # pallets of one kind of pack each
    most: float = 0.0


@lru_cache(maxsize=64)  # alternatives and sensitivities ask for most orders again
def _solved(needs: tuple[Need, ...], terms: _Terms) -> tuple[tuple[tuple[tuple[int, int], ...], ...], float]:
    """((column, count) pairs of each need, what all of them cost together at least in currency units)."""
    program = _Program()
    yards = {name: _yard(program, asked, terms) for name, asked in terms.asked}
    counted = [_write_need(program, need, yards, terms) for need in needs]
    for yard in yards.values():
        _write_yard(program, yard, terms)
    values, bound_cents = program.optimum()
    result = []
    for pairs in counted:
        counts: dict[int, int] = {}
        for column, variable in pairs:
            number = round(values[variable])
            if number:
                counts[column] = counts.get(column, 0) + number
        result.append(tuple(counts.items()))
    return tuple(result), bound_cents / 100.0


@contextmanager
def _quiet() -> Iterator[None]:
    """Keep what HiGHS itself writes to the process's output (its name, a line at a restart) out of our results."""
    sys.stdout.flush()
    kept, nowhere = os.dup(1), os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, 1)
        yield
    finally:
        os.dup2(kept, 1)
        os.close(kept)
        os.close(nowhere)


def _yard(program: _Program, asked: _Asked, terms: _Terms) -> _Yard:
    pallet_cents = asked.per_pallet + asked.per_kg * terms.pallet_kg
    used = program.column(asked.once, 1.0)
    gate = program.column(asked.gate, 1.0) if asked.gate else None
    shared = program.column(pallet_cents, 0.0) if asked.mixed and (pallet_cents or gate is not None) else None
    return _Yard(used, asked, gate, shared)


def _write_need(program: _Program, need: Need, yards: Mapping[str, _Yard], terms: _Terms) -> list[tuple[int, int]]:
    """Write one need's columns and rows; returns (column of the order, variable) pairs."""
    pairs: list[tuple[int, int]] = []
    covering: dict[int, float] = {}
    for index, pack, size in _offered(need):
        yard = yards.get(pack.supplier)
        picks: dict[int, float] = {}
        for choice in ways_to_buy(index, pack, size):
            if choice:
                _write_choice(program, need, pack, choice, yard, terms, picks, covering, pairs)
        program.at_least(0.0 if yard else -1.0, picks | ({yard.used: 1.0} if yard else {}))
    program.at_least(need.amount - need.tolerance, covering)
    return pairs


def _write_choice(
    program: _Program,
    need: Need,
    pack: Pack,
    choice: Choice,
    yard: _Yard | None,
    terms: _Terms,
    picks: dict[int, float],
    covering: dict[int, float],
    pairs: list[tuple[int, int]],
) -> None:
    base = sum(run.tier.base for run in choice) / MILLIONTHS_PER_CENT
    pick = program.column(base, 1.0)
    picks[pick] = -1.0
    if yard is not None and base:
        yard.value[pick] = base
    for run in choice:
        tier, unit = run.tier, run.tier.unit / MILLIONTHS_PER_CENT
        most = float(max(tier.first, ceil(need.amount / run.size)))
        if yard is not None and yard.asked.minimum and unit:
            # more than the need may be bought to bring the goods up to the order minimum
            most = max(most, float(ceil(yard.asked.minimum / unit)))
        most = most if tier.last is None else min(most, float(tier.last))
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
                yard.weighs[count] = mass_kg
            elif yard.asked.per_pallet or yard.asked.per_kg or yard.gate is not None:
                cost = yard.asked.per_pallet + yard.asked.per_kg * terms.pallet_kg
                begun = program.column(cost, float(ceil(most * share)))
                program.at_least(0.0, {begun: 1.0, count: -share})
                yard.begun.append(begun)


def _write_yard(program: _Program, yard: _Yard, terms: _Terms) -> None:
    """Pallets that the packs share, the lift-gate that they call for, and the order minimum."""
    own = list(yard.begun)
    if yard.shared is not None:
        own.append(yard.shared)
        # rating and floor together may ask for more pallets than either; the arrangement settles it
        program.upper[yard.shared] = 2.0 * yard.most + 1.0
        program.at_least(-1e-9, {yard.shared: 1.0} | {column: -share for column, share in yard.stands.items()})
        if terms.rated_kg < inf:
            heavy = {column: -mass_kg / terms.rated_kg for column, mass_kg in yard.weighs.items() if mass_kg}
            program.at_least(-1e-9, {yard.shared: 1.0} | heavy)
    if yard.gate is not None:
        for column in own:
            program.at_least(0.0, {yard.gate: max(1.0, program.upper[column]), column: -1.0})
    if yard.asked.minimum:
        # half a cent, so that float error never refuses a value met exactly
        row = dict(yard.value) | {yard.used: 0.5 - yard.asked.minimum}
        if yard.asked.small_order is not None:
            row[program.column(yard.asked.small_order, 1.0)] = yard.asked.minimum
        program.at_least(0.0, row)


def _minimum_costs(
    coupled: Sequence[Need],
    suppliers: Mapping[str, Supplier],
    haul: Haul,
    lines: Mapping[str, tuple[Line, ...]],
    brought: Iterable[Delivery],
) -> dict[str, Decimal]:
    """By supplier whose order minimum bears on the order, what all comes dearer than without that minimum."""
    costs: dict[str, Decimal] = {}
    asking = [name for name, supplier in suppliers.items() if supplier.min_order_value > 0.0]
    if not coupled or not asking:
        return costs
    paid = _price(lines, brought)
    for name in asking:
        freed = dict(suppliers) | {name: replace(suppliers[name], min_order_value=0.0)}
        counts, _ = _solved(tuple(coupled), _Terms.of(freed, haul))
        cheaper = {need.name: lines_of(_offered(need), dict(best)) for need, best in zip(coupled, counts, strict=True)}
        without = {**lines, **cheaper}
        unbound = deliveries([(item, line) for item, bought in without.items() for line in bought], freed, haul)
        more = paid - _price(without, unbound)
        if more > CENT_TOLERANCE:
            costs[name] = more
    return costs


def _price(lines: Mapping[str, tuple[Line, ...]], brought: Iterable[Delivery]) -> Decimal:
    goods = total(cents(line.price) for order_lines in lines.values() for line in order_lines if line.price is not None)
    return goods + total(cents(delivery.freight + delivery.small_order) for delivery in brought)
