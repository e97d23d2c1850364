"""What the job file says of buying: suppliers and their freight, consumables, forms, samples, stock."""

from typing import Annotated, Any, Literal

from pydantic import Discriminator, Field, Tag, model_validator

from estimator.intake.base import Name, Table
from estimator.intake.fields import (
    Area,
    Count,
    Coverage,
    Date,
    Length,
    Mass,
    MassOrNone,
    Price,
    Ratio,
    Volume,
    WholeNumber,
    fault,
)

MEASURES = {"area": "m2", "length": "m", "volume": "m3", "mass": "kg", "pieces": "piece"}  # key: measure
Basis = Literal["form-area", "finished-area", "edge-length", "piece"]


class ByMassTable(Table):
    """So much money for every such mass, begun or not: price 14.00 for mass "100 lb"."""

    mass: Mass
    price: Price


class FreightTable(Table):
    """What a supplier charges to bring an order."""

    per_delivery: Price = 0.0
    per_pallet: Price = 0.0  # for every pallet begun
    by_mass: ByMassTable | None = None  # of gross mass, pallets in
    zones: dict[Name, Price] = {}  # a delivery's surcharge, by the zone of `receiving`
    lift_gate: Price = 0.0  # where `receiving` asks for one


class SupplierTable(Table):
    """A supplier that packs name, and on which terms goods leave the yard."""

    name: Name
    minimum: Price = 0.0  # least value of the goods of one order, before freight
    small_order_charge: Price | None = None  # paid instead of buying up to the minimum
    mixed_pallets: bool | None = None  # whether its packs share pallets; as `receiving` says unless said
    freight: FreightTable = FreightTable()


class ReceivingTable(Table):
    """Where and how deliveries come to the workshop."""

    zone: str = ""
    lift_gate: bool = False
    mixed_pallets: bool = True


class FormTable(Table):
    kind: Literal["melamine", "rubber", "glass-fibre"] | None = None
    uses: Count | None = None  # casts from one form; the workshop's for its kind unless said


class SamplesTable(Table):
    """Samples for the client, really cast and sealed, of the size in workshop.forms."""

    count: Count | None = None  # the workshop's unless said
    price: Price = 0.0  # of each
    credited: bool = True  # taken off what is due when the job is ordered
    mix: Name | None = None  # the job's unless said


class ConsumableTable(Table):
    """What a job uses up beside the mix, by area, edge length or piece."""

    basis: Basis
    coverage: Coverage | None = None  # area that a volume covers, one coat
    coats: WholeNumber = 1  # 0: not used
    uses: Count = 1  # casts over which one lasts
    waste: Ratio = 0.0
    each: Literal["cast", "form"] = "cast"  # form: every form that is built takes it, not every cast

    @model_validator(mode="after")
    def _covers_an_area(self) -> "ConsumableTable":
        if self.coverage is not None and not self.basis.endswith("area"):
            raise fault("coverage goes with an area.", 'Set basis = "form-area" or "finished-area", or remove it.')
        return self


class PieceConsumableTable(Table):
    """What one piece asks of a consumable: an amount of it, or a basis as the workshop's own have."""

    basis: Basis | None = None
    coverage: Coverage | None = None
    coats: Count = 1
    uses: Count = 1
    area: Area | None = None
    length: Length | None = None
    volume: Volume | None = None
    mass: Mass | None = None
    pieces: Count | None = None
    waste: Ratio = 0.0

    @model_validator(mode="after")
    def _is_one_amount(self) -> "PieceConsumableTable":
        given = [key for key in ("basis", *MEASURES) if getattr(self, key) is not None]
        if len(given) != 1:
            what = f"{' and '.join(given)} are both given." if given else "says no amount."
            raise fault(what, "Give exactly one of basis, area, length, volume, mass and pieces.")
        return self


class StockLotTable(Table):
    """What is on the shelf of one lot: its mass, or of a consumable what it is used by."""

    mass: MassOrNone | None = None
    area: Area | None = None
    length: Length | None = None
    volume: Volume | None = None
    pieces: WholeNumber | None = None
    lot: Name | None = None
    keeps_until: Date | None = None  # after that day it does not count

    @model_validator(mode="after")
    def _is_one_amount(self) -> "StockLotTable":
        given = [key for key in MEASURES if getattr(self, key) is not None]
        if len(given) != 1:
            what = f"{' and '.join(given)} are both given." if given else "says no amount."
            raise fault(what, 'Give its mass = "60 lb"; of a consumable its area, length, volume or pieces.')
        return self

    @property
    def amount(self) -> tuple[str, float]:
        """(measure, amount in it)."""
        return next((MEASURES[key], float(value)) for key in MEASURES if (value := getattr(self, key)) is not None)


def _stock_form(value: Any) -> str:
    return "(lots)" if isinstance(value, list) else "(lot)" if isinstance(value, dict) else "(mass)"


StockEntry = Annotated[
    Annotated[MassOrNone, Tag("(mass)")]
    | Annotated[StockLotTable, Tag("(lot)")]
    | Annotated[list[StockLotTable], Tag("(lots)")],
    Discriminator(_stock_form),
]


class StockTable(Table):
    stock: dict[Name, StockEntry] = {}


class ReserveTable(Table):
    reserve: dict[Name, MassOrNone] = {}


class LotsTable(Table):
    lots: dict[Name, Name] = {}


class SupplierList(Table):
    """The suppliers of a job or a catalog."""

    supplier: Annotated[list[SupplierTable], Field()] = []
