"""What a job uses up beside its mixes: the workshop's rates and the pieces' own wishes over the geometry's figures."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from estimator.batching import Pour
from estimator.job import Job, Material
from estimator.packaging.consumables import ConsumableOrder, order_amount
from estimator.packaging.forms import FORM_BOARD
from estimator.supplies import Basis, Measure, Rate
from estimator.takeoff import PieceTakeoff

NOT_RUN_AGAIN = ("finished_cutouts", "profiled", "ribs")  # edges that are parts of others, or are of no form
BASIS_MEASURE: Mapping[Basis, Measure] = {
    "form-area": "m2",
    "finished-area": "m2",
    "edge-length": "m",
    "piece": "piece",
}


@dataclass(frozen=True, slots=True)
class Extent:
    """Of one cast of one mark: m², m, and how often it is cast and its form built."""

    mark: str
    form_area_m2: float
    finished_area_m2: float
    edge_length_m: float
    casts: int
    forms: int

    def of(self, basis: Basis) -> float:
        """Of one cast."""
        return {
            "form-area": self.form_area_m2,
            "finished-area": self.finished_area_m2,
            "edge-length": self.edge_length_m,
            "piece": 1.0,
        }[basis]


@dataclass(frozen=True, slots=True)
class Part:
    """One reason why a consumable is needed.

    required = max(extent / uses, at_once) · per_unit · coats · (1 + waste)

    extent     over all casts, or all forms: m², m, a count, or the amount that pieces ask for by name
    at_once    of it, what is in use on the busiest day; 0 where each cast takes its own
    per_unit   amount in the consumable's measure for one of the extent: 1 / coverage, else 1
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


@dataclass(frozen=True, slots=True)
class UsedUp:
    """One consumable of the job, every reason for it, and its order in whole packs.

    least   an amount below which the order may not fall whatever the parts say (sheets that the cut list takes)
    """

    material: str
    parts: tuple[Part, ...]
    least: float
    order: ConsumableOrder
    by_mark: Mapping[str, float]  # how the marks share in it

    @property
    def basis(self) -> str:
        return self.order.basis


def extent_of(taken: PieceTakeoff, forms: int) -> Extent:
    """What one cast of a mark takes; the tape runs along every edge of its form, cut-outs and drops in."""
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
    """Every consumable that the workshop's rates or a piece ask for, in whole packs.

    extents     by mark; those that no piece has (samples) are cast outside the pours
    sheets_m2   area of the sheets on which the cut list was laid; the form board is never less
    Raises FaultError, keyed by material, for a pack that does not say its content in the measure.
    """
    found: dict[tuple[str, Measure], list[tuple[Part, dict[str, float]]]] = {}
    for material, rate in job.workshop.consumables.items():
        found.setdefault((material, _measure(rate)), []).append(_by_rate(rate, extents.values(), pours))
    for taken in parts:
        piece = taken.piece
        for take in piece.takes:
            if take.rate is not None:
                own = _by_rate(take.rate, [extents[piece.mark]], pours)
                found.setdefault((take.material, _measure(take.rate)), []).append(own)
            elif take.amount is not None and take.measure is not None:
                whole = piece.quantity * take.amount
                part = Part("asked", whole, 0.0, 1, 1.0, 1, take.waste)
                found.setdefault((take.material, take.measure), []).append((part, {piece.mark: whole}))
    return tuple(
        _ordered(job, material, measure, reasons, sheets_m2 if material == FORM_BOARD and measure == "m2" else 0.0)
        for (material, measure), reasons in found.items()
        if any(part.extent for part, _ in reasons)
    )


def _measure(rate: Rate) -> Measure:
    return "m3" if rate.coverage_m2_m3 is not None else BASIS_MEASURE[rate.basis]


def _by_rate(rate: Rate, extents: Iterable[Extent], pours: Sequence[Pour]) -> tuple[Part, dict[str, float]]:
    number: Literal["casts", "forms"] = "forms" if rate.each == "form" else "casts"
    by_mark = {extent.mark: extent.of(rate.basis) * getattr(extent, number) for extent in extents}
    at_once = 0.0
    if rate.uses > 1:
        of_one = {extent.mark: extent.of(rate.basis) for extent in extents}
        at_once = max((sum(of_one.get(c.mark, 0.0) * c.count for c in pour.casts) for pour in pours), default=0.0)
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
        for mark, extent in by_mark.items():
            share = part.required * extent / part.extent if part.extent else 0.0
            shares[mark] = shares.get(mark, 0.0) + share
    known: Material = job.materials[material]
    on_hand = job.stock_consumables.get(material, 0.0)
    basis = bases.pop() if len(bases) == 1 else "several"
    extent = sum(part.extent for part in parts)
    order = order_amount(material, basis, extent, measure, required, known.packs, on_hand)
    return UsedUp(material, parts, least, order, shares)
