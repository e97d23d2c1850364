"""Consumables of a job besides its mixes: rates over the geometry, and the whole packs that cover the need."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from itertools import repeat
from operator import add, attrgetter, mul

import numpy as np

from estimator.batching import Pour
from estimator.errors import FaultError
from estimator.job import Job, Material, Pack
from estimator.packaging.forms import FORM_BOARD
from estimator.packaging.materials import job_charge
from estimator.packaging.order import ROUND_UP_TOLERANCE, buy, total_of
from estimator.packaging.price import Line, refuse_faulty
from estimator.packaging.ways import Need
from estimator.supplies import Basis, Measure, Rate
from estimator.takeoff import PieceTakeoff
from geometry.frozen import frozen
from geometry.message import message


@frozen
class ConsumableOrder:
    """The order of one consumable, in its measure."""

    name: str
    basis: str
    extent: float  # m², m or count that it is needed for
    measure: Measure
    required: float
    on_hand: float
    bought: float
    left_over: float
    lines: tuple[Line, ...]
    purchase_cost: float | None  # of the packs bought; None without a price
    cost: float | None  # charge to the job; None without a price
    unpriced: tuple[str, ...]
    packs: tuple[Pack, ...] = ()
    sizes: tuple[float, ...] = ()  # content of each pack, in the measure

    def need(self, *, in_stock: bool = True) -> Need:
        """Amount that has to be bought, as a Need."""
        lacking = self.required - (self.on_hand if in_stock else 0.0)
        return Need(self.name, lacking, ROUND_UP_TOLERANCE * self.required, self.packs, self.sizes)

    def filled(self, lines: tuple[Line, ...], *, by_packs: bool, special: bool) -> ConsumableOrder:
        """Same order with the packs that are actually bought, and the charge to the job."""
        bought = sum(line.amount for line in lines) if self.packs else max(0.0, self.required - self.on_hand)
        left = self.on_hand + bought - self.required
        paid = None if not self.packs and bought else total_of(lines)
        charge = job_charge(self.required, self.packs, self.sizes, by_packs=special).amount if self.packs else None
        return replace(
            self,
            bought=bought,
            left_over=left if left > ROUND_UP_TOLERANCE * self.required else 0.0,
            lines=lines,
            purchase_cost=paid,
            cost=paid if by_packs or not self.packs else None if charge is None else float(charge),
        )


def order_amount(
    name: str,
    basis: str,
    extent: float,
    measure: Measure,
    required: float,
    packs: Sequence[Pack],
    on_hand: float = 0.0,
) -> ConsumableOrder:
    """Order of the cheapest whole packs for an amount in its measure.

    extent   m², m or count that it is needed for, reported with the order

    Raises FaultError for a pack that does not give its content in the measure.
    """
    sizes = [_size(pack, measure, f"material {name}") for pack in packs]
    lacking = required - on_hand
    lines, _ = buy(lacking, ROUND_UP_TOLERANCE * required, packs, sizes)
    bought = sum(line.amount for line in lines) if packs else max(0.0, lacking)
    left = on_hand + bought - required
    paid = None if not packs and bought else total_of(lines)
    return ConsumableOrder(
        name=name,
        basis=basis,
        extent=extent,
        measure=measure,
        required=required,
        on_hand=on_hand,
        bought=bought,
        left_over=left if left > ROUND_UP_TOLERANCE * required else 0.0,
        lines=lines,
        purchase_cost=paid,
        cost=paid,
        unpriced=tuple(pack.name for pack in packs if pack.unit_price is None),
        packs=tuple(packs),
        sizes=tuple(sizes),
    )


def _size(pack: Pack, measure: Measure, key: str) -> float:
    refuse_faulty(pack)
    size = {"kg": pack.mass_kg, "m3": pack.volume_m3}.get(measure, pack.quantity)
    if size is None:
        problem = message("packaging-measure-missing", pack=pack.name, measure=measure)
        raise FaultError(f"{key}, packs.{pack.name}", problem)
    return size


NOT_RUN_AGAIN = (
    "finished_cutouts",
    "profiled",
    "mitred",
    "raw",
    "ribs",
)  # edges that are part of others, or have no form
BASIS_MEASURE: Mapping[Basis, Measure] = {
    "form-area": "m2",
    "finished-area": "m2",
    "edge-length": "m",
    "piece": "piece",
}


@frozen
class Extent:
    """Areas and lengths of one cast of one mark, m² and m, and how often it is cast and its form is built."""

    mark: str
    form_area_m2: float
    finished_area_m2: float
    edge_length_m: float
    casts: int
    forms: int


EXTENTS: Mapping[Basis, Callable[[Extent], float]] = {
    "form-area": attrgetter("form_area_m2"),
    "finished-area": attrgetter("finished_area_m2"),
    "edge-length": attrgetter("edge_length_m"),
    "piece": lambda _: 1.0,
}
"""Extent of one cast on each basis: m², m or 1."""


@frozen
class Part:
    """One use of a consumable.

    required = max(extent / uses, at_once) · per_unit · coats · (1 + waste)

    extent     over all casts, or all forms: m², m, a count, or the amount that pieces request by name
    at_once    extent in use on the busiest day; 0 if each cast takes its own
    per_unit   amount in the consumable's measure per unit of extent: 1 / coverage, else 1
    """

    basis: str  # of Basis, or "asked"
    extent: float
    at_once: float
    uses: int
    per_unit: float
    coats: int
    waste: float

    @property
    def required(self) -> float:
        return max(self.extent / self.uses, self.at_once) * self.per_unit * self.coats * (1.0 + self.waste)


@frozen
class UsedUp:
    """One consumable of the job, all its uses, and its order in whole packs.

    least   minimum amount of the order, whatever the parts need (sheets of the cut list)
    """

    material: str
    parts: tuple[Part, ...]
    least: float
    order: ConsumableOrder
    by_mark: Mapping[str, float]  # weights that divide it over the marks

    @property
    def basis(self) -> str:
        return self.order.basis


def extent_of(taken: PieceTakeoff, forms: int) -> Extent:
    """Extent of one cast of a mark. Tape runs along every edge of its form, including cut-outs and drops."""
    solid = taken.solid
    edge_m = sum(length for kind, length in solid.edge_lengths_m.items() if kind not in NOT_RUN_AGAIN)
    return Extent(taken.piece.mark, solid.form_area_m2, solid.finished_area_m2, edge_m, taken.piece.quantity, forms)


def use_up(
    job: Job,
    parts: Sequence[PieceTakeoff],
    extents: Mapping[str, Extent],
    pours: Sequence[Pour],
    sheets_m2: float,
) -> tuple[UsedUp, ...]:
    """Orders of every consumable required by the shop's rates or by a piece, in whole packs.

    extents     extents by mark; those without a piece (samples) are cast outside the pours
    sheets_m2   area of the sheets of the cut list, the minimum for the form board

    Raises FaultError, keyed by material, for a pack that does not give its content in the measure.
    """
    parts_by_material: dict[tuple[str, Measure], list[tuple[Part, dict[str, float]]]] = {}
    for material, rate in job.workshop.consumables.items():
        parts_by_material.setdefault((material, _measure(rate)), []).append(_by_rate(rate, extents.values(), pours))
    for taken in parts:
        piece = taken.piece
        for take in piece.takes:
            if take.rate is not None:
                own = _by_rate(take.rate, [extents[piece.mark]], pours)
                parts_by_material.setdefault((take.material, _measure(take.rate)), []).append(own)
            elif take.amount is not None and take.measure is not None:
                amount = piece.quantity * take.amount
                part = Part("asked", amount, 0.0, 1, 1.0, 1, take.waste)
                parts_by_material.setdefault((take.material, take.measure), []).append((part, {piece.mark: amount}))
    return tuple(
        _ordered(job, material, measure, reasons, sheets_m2 if material == FORM_BOARD and measure == "m2" else 0.0)
        for (material, measure), reasons in parts_by_material.items()
        if any(part.extent for part, _ in reasons)
    )


def _measure(rate: Rate) -> Measure:
    return "m3" if rate.coverage_m2_m3 is not None else BASIS_MEASURE[rate.basis]


def _by_rate(rate: Rate, extents: Iterable[Extent], pours: Sequence[Pour]) -> tuple[Part, dict[str, float]]:
    extents = list(extents)
    times = attrgetter("forms" if rate.each == "form" else "casts")
    per_cast = [*map(EXTENTS[rate.basis], extents)]
    marks = [extent.mark for extent in extents]
    by_mark = dict(zip(marks, map(mul, per_cast, map(times, extents)), strict=True))
    at_once = 0.0
    if rate.uses > 1:
        of_mark = dict(zip(marks, per_cast, strict=True))
        at_once = max((sum(of_mark.get(c.mark, 0.0) * c.count for c in pour.casts) for pour in pours), default=0.0)
    per_unit = 1.0 if rate.coverage_m2_m3 is None else 1.0 / rate.coverage_m2_m3
    part = Part(rate.basis, sum(by_mark.values()), at_once, rate.uses, per_unit, rate.coats, rate.waste)
    return part, by_mark


def _ordered(
    job: Job,
    material: str,
    measure: Measure,
    reasons: Sequence[tuple[Part, Mapping[str, float]]],
    least: float,
) -> UsedUp:
    parts = tuple(part for part, _ in reasons if part.extent)
    bases = {part.basis for part in parts}
    required = max(sum(part.required for part in parts), least)
    shares: dict[str, float] = {}
    for part, by_mark in reasons:
        of_marks = np.fromiter(by_mark.values(), np.float64, len(by_mark))
        own = (part.required * of_marks / part.extent if part.extent else 0.0 * of_marks).tolist()
        before = map(shares.get, by_mark, repeat(0.0))
        shares |= zip(by_mark, map(add, before, own), strict=True)
    known: Material = job.materials[material]
    on_hand = job.stock_consumables.get(material, 0.0)
    basis = bases.pop() if len(bases) == 1 else "several"
    extent = sum(part.extent for part in parts)
    order = order_amount(material, basis, extent, measure, required, known.packs, on_hand)
    return UsedUp(material, parts, least, order, shares)
