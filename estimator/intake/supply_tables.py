"""Suppliers, freight, stock, terms, quotes, the business and its client, as the job file writes them."""

from typing import Annotated, Any, Literal

from pydantic import AfterValidator, Discriminator, Field, Tag, model_validator

from estimator.intake.fields import (
    SHARES_TOLERANCE,
    Area,
    Count,
    Coverage,
    Date,
    Length,
    Mass,
    MassOrNone,
    Name,
    Price,
    Proportion,
    Ratio,
    Table,
    Time,
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


MOST_ON_COST = 5.0  # above it a percentage was likely written as a number
AnyTable = dict[str, Any]  # a table of the job file in part: what it holds is checked once it lies over the job


class PaymentTable(Table):
    """A part of the total that falls due at one moment."""

    name: Name
    share: Ratio
    due: str = ""


class ReceivedTable(Table):
    """A payment that the client made."""

    amount: Price = Field(description="What was paid, tax included.")
    date: Date | None = Field(default=None, description="The day on which it came in.")
    step: Name | None = Field(
        default=None, description="The payment step that it settles; the first open one if left out."
    )


def _pays_all(steps: list[PaymentTable]) -> list[PaymentTable]:
    whole = sum(step.share for step in steps)
    if steps and abs(whole - 1.0) > SHARES_TOLERANCE:
        raise fault(
            f"the payment steps sum to {whole:.4g} of the total, not 1.",
            f"Change the share of {' or '.join(step.name for step in steps)}.",
        )
    return steps


class PriceTable(Table):
    overhead: Proportion
    margin: Ratio | None = None
    markup: Proportion | None = None
    tax: Ratio
    charge: Literal["used", "packs"] = "used"  # of material: what the job uses, or the whole packs bought for it
    reuse_within: Time = 183 * 86_400.0  # what keeps no longer is charged by whole packs
    rounding: Literal["nearest", "up"] = "nearest"  # of the price to quote.round_to
    payments: Annotated[list[PaymentTable], AfterValidator(_pays_all)] = []  # the workshop's three unless said
    received: list[ReceivedTable] = []  # what the client has paid so far

    @model_validator(mode="after")
    def _one_way_to_profit(self) -> "PriceTable":
        for key in ("overhead", "markup"):
            share = getattr(self, key)
            if share is not None and share > MOST_ON_COST:
                raise fault(f"{key} is {share:g} times the cost.", f"Is it {share:g} %? Write {share / 100:g}.")
        if self.margin is not None and self.markup is not None:
            raise fault("margin and markup are both given.", "Keep the margin, on the price, or the markup, on cost.")
        if self.margin is not None and self.margin >= 1.0:
            raise fault(
                f"a margin of {self.margin:.0%} of the price leaves nothing for the cost.", "Write less than 1."
            )
        return self


class SignOffTable(Table):
    """The day on which the client signed each."""

    sketch: Date | None = None
    sample: Date | None = None
    template: Date | None = None


class OverlayTable(Table):
    """The job once more with something changed: tables in part, laid over it key by key."""

    note: str = ""
    pieces: list[Name] = []  # marks on which `swap` acts; all unless said
    swap: dict[Name, Name] = {}  # mixes put in the place of others
    piece: list[AnyTable] = []  # marks with the keys that change
    add: list[AnyTable] = []  # further pieces
    remove: list[Name] = []  # marks left out
    mixes: dict[Name, AnyTable] = {}
    materials: dict[Name, AnyTable] = {}
    workshop: AnyTable = {}
    price: AnyTable = {}
    stock: AnyTable = {}

    @property
    def changes_anything(self) -> bool:
        return any(
            getattr(self, key)
            for key in ("swap", "piece", "add", "remove", "mixes", "materials", "workshop", "price", "stock")
        )


class AlternativeTable(OverlayTable):
    """Another way to make the job, priced beside it."""

    name: Name

    @model_validator(mode="after")
    def _differs(self) -> "AlternativeTable":
        if not self.changes_anything:
            raise fault("changes nothing.", "Say what differs: swap, piece, add, remove, price, workshop ...")
        return self


class OptionTable(OverlayTable):
    """What the client may add: a lump sum before tax, or changes. Priced beside the job until it is taken."""

    name: Name
    lump: Price | None = None
    taken: bool = False

    @model_validator(mode="after")
    def _is_one_thing(self) -> "OptionTable":
        if (self.lump is None) != self.changes_anything:
            raise fault(
                "is neither a lump sum nor a change, or both.", "Give `lump`, or what it changes: add, piece ..."
            )
        return self


class ChangeTable(OverlayTable):
    """A numbered change order after release. It is part of the job from the day on which the client signed it."""

    number: Annotated[WholeNumber, Field(ge=1)]
    reason: Name
    date: Date | None = None
    signed: Date | None = None
    days: WholeNumber = 0  # working days of delay beyond what its hours take

    @model_validator(mode="after")
    def _differs(self) -> "ChangeTable":
        if not self.changes_anything:
            raise fault("changes nothing.", "Say what differs: piece, add, remove, swap ...")
        return self


Term = Annotated[str, Field(min_length=1, max_length=2000)]


class BusinessTable(Table):
    """The workshop as its papers name it."""

    name: Name | None = None
    address: list[Name] = []  # a line each
    contact: list[Name] = []  # telephone, mail, a line each
    registration: Name | None = None  # licence or tax number, where it must be printed
    logo: Name | None = None  # PNG or JPEG, its path relative to the file that names it
    terms: list[Term] = []  # of its quotes


class ClientTable(Table):
    """Whom the job is for, and where the pieces go."""

    name: Name | None = None
    address: list[Name] = []
    site: list[Name] = []  # where the pieces go, if not to the address
