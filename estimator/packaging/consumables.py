"""What is used up by the area, the length or the piece: release agent, sealer, tape, sealant, film, scrim, inserts.

Each need follows from the geometry by one rate, is raised by its waste, and is bought in whole packs like any material.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import isfinite
from typing import Literal

from estimator.errors import FaultError
from estimator.job import Pack
from estimator.packaging.materials import job_charge
from estimator.packaging.order import ROUND_UP_TOLERANCE, Line, buy, total_of
from estimator.packaging.price import refuse_faulty
from estimator.packaging.together import Need

Basis = Literal["form area", "finished area", "surface area", "edge length", "joint length", "form", "piece", "cast"]
Measure = Literal["m2", "m", "piece", "kg", "m3"]

AREAS: frozenset[Basis] = frozenset({"form area", "finished area", "surface area"})
LENGTHS: frozenset[Basis] = frozenset({"edge length", "joint length"})


@dataclass(frozen=True, slots=True)
class Extent:
    """What of a job a consumable is needed for: sums over all casts."""

    form_area_m2: float = 0.0
    finished_area_m2: float = 0.0
    surface_area_m2: float = 0.0
    edge_length_m: float = 0.0
    joint_length_m: float = 0.0
    forms: int = 0
    pieces: int = 0
    casts: int = 0

    def of(self, basis: Basis) -> float:
        """The extent on one basis: m², m or a count."""
        return {
            "form area": self.form_area_m2,
            "finished area": self.finished_area_m2,
            "surface area": self.surface_area_m2,
            "edge length": self.edge_length_m,
            "joint length": self.joint_length_m,
            "form": float(self.forms),
            "piece": float(self.pieces),
            "cast": float(self.casts),
        }[basis]


@dataclass(frozen=True, slots=True)
class Consumable:
    """How one consumable is used.

    rate      amount per m², per m or per form, piece or cast, in `measure`: 1.0 m2 of film per m², 0.12 kg of
              sealer per m². Of a product sold by coverage the measure is m2 and the rate 1, each coat
              again: a pack's `quantity` is then the area that it covers once.
    coats     how often (sealer coats); 1 unless said
    overlap   share lost to laps, offcuts and what stays in the tool
    """

    name: str
    basis: Basis
    measure: Measure
    packs: Sequence[Pack]
    rate: float = 1.0
    coats: int = 1
    overlap: float = 0.0
    on_hand: float = 0.0  # in the measure


@dataclass(frozen=True, slots=True)
class ConsumableOrder:
    """What to buy of one consumable, in its measure."""

    name: str
    basis: str
    extent: float  # m², m or count that it is needed for
    measure: Measure
    required: float
    on_hand: float
    bought: float
    left_over: float
    lines: tuple[Line, ...]
    purchase_cost: float | None  # of the packs bought; None where they have no price
    cost: float | None  # what the job is charged; None where it has no price
    unpriced: tuple[str, ...]
    packs: tuple[Pack, ...] = ()
    sizes: tuple[float, ...] = ()  # what each pack holds, in the measure

    def need(self, *, in_stock: bool = True) -> Need:
        """What has to be bought of it."""
        lacking = self.required - (self.on_hand if in_stock else 0.0)
        return Need(self.name, lacking, ROUND_UP_TOLERANCE * self.required, self.packs, self.sizes)

    def filled(self, lines: tuple[Line, ...], *, by_packs: bool, special: bool) -> ConsumableOrder:
        """The same with the packs that are really bought, and what the job is charged for it."""
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


def order_consumable(consumable: Consumable, extent: Extent) -> ConsumableOrder:
    """The cheapest whole packs of a consumable for the extent of a job.

    required = extent · rate · coats · (1 + overlap); what is counted in pieces keeps its fraction until the packs.
    Raises FaultError for a rate, a pack or an extent that cannot be.
    """
    key = f"consumables.{consumable.name}"
    amount = extent.of(consumable.basis)
    for name, value in (
        ("extent", amount),
        ("rate", consumable.rate),
        ("overlap", consumable.overlap),
        ("on_hand", consumable.on_hand),
    ):
        if not isfinite(value) or value < 0.0:
            raise FaultError(f"{key}.{name}", f"{name} {value:g} cannot be.", "Give zero or more.")
    if consumable.coats < 1:
        raise FaultError(f"{key}.coats", f"{consumable.coats} coats are none.", "Give one or more.")
    required = amount * consumable.rate * consumable.coats * (1.0 + consumable.overlap)
    return order_amount(
        consumable.name,
        consumable.basis,
        amount,
        consumable.measure,
        required,
        consumable.packs,
        consumable.on_hand,
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
    """The cheapest whole packs for an amount in its measure.

    extent   m², m or count that it is needed for, told with the order
    Raises FaultError for a pack that does not say its content in the measure.
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
        asked = {"kg": "mass", "m3": "volume", "m2": "area", "m": "length", "piece": "number of pieces"}[measure]
        raise FaultError(
            f"{key}, packs.{pack.name}",
            f'pack "{pack.name}" does not say its {asked}, by which it is needed.',
            f"Give the {asked} in it.",
        )
    return size
