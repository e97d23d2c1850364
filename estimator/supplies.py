"""What a job buys beside its mixes, of whom and on which terms: frozen values in SI, amounts in the job's currency."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

FormKind = Literal["melamine", "rubber", "glass-fibre"]
Basis = Literal["form-area", "finished-area", "edge-length", "piece"]
Measure = Literal["m2", "m", "m3", "kg", "piece"]


@dataclass(frozen=True, slots=True)
class Tariff:
    """What a supplier or carrier charges for a delivery; amounts in the currency."""

    per_delivery: float = 0.0
    per_pallet: float = 0.0  # for every pallet begun
    per_kg: float = 0.0  # of gross mass, pallets in
    zones: Mapping[str, float] = field(default_factory=dict)  # a delivery's surcharge by zone
    lift_gate: float = 0.0  # a delivery with pallets, where the workshop has neither dock nor forklift


@dataclass(frozen=True, slots=True)
class Supplier:
    """Whom packs name in `supplier`, and on which terms goods leave the yard."""

    name: str
    min_order_value: float = 0.0  # of the goods of one order, before freight, currency
    tariff: Tariff = field(default_factory=Tariff)
    small_order_charge: float | None = None  # paid instead of buying up to the least value; None: not offered
    mixed_pallets: bool | None = None  # whether packs share pallets; None: as the workshop receives them


@dataclass(frozen=True, slots=True)
class Receiving:
    """Where and how deliveries come to the workshop."""

    zone: str = ""  # as the suppliers' tariffs name it
    lift_gate: bool = False  # the truck must bring its own lift
    mixed_pallets: bool = True  # what does not fill a pallet shares one with other packs of the same supplier


@dataclass(frozen=True, slots=True)
class Form:
    """What a piece is cast in; None: melamine board, and the workshop's casts before renewal."""

    kind: FormKind | None = None
    uses: int | None = None  # casts from one form before it is renewed


@dataclass(frozen=True, slots=True)
class Rate:
    """How one consumable is used up.

    coverage_m2_m3   area that a cubic metre covers, one coat; None: it is used as long, as large or as many as it is
    coats            0: not used
    uses             casts over which one lasts
    waste            laps, offcuts and what stays in the tool, on top
    each             whether every cast takes it, or every form that is built
    """

    basis: Basis
    coverage_m2_m3: float | None = None
    coats: int = 1
    uses: int = 1
    waste: float = 0.0
    each: Literal["cast", "form"] = "cast"


@dataclass(frozen=True, slots=True)
class Taken:
    """What one piece asks of a consumable: so much of it, or by a rate."""

    material: str
    amount: float | None  # of one piece, in `measure`; None: by `rate`
    measure: Measure | None
    rate: Rate | None
    waste: float = 0.0


@dataclass(frozen=True, slots=True)
class SampleOrder:
    """Samples that the client sees first, really cast and sealed.

    price   asked for each, currency; credited: taken off what is due when the job is ordered
    """

    count: int
    price: float
    credited: bool
    mix: str
