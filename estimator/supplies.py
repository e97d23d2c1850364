"""Purchases of a job besides its mixes: suppliers, terms, forms and consumables; amounts in the job's currency."""

from collections.abc import Mapping
from dataclasses import field
from typing import Annotated, Any, Literal

from estimator.errors import FaultError
from estimator.keys import Count, Coverage, Key, Mass, Name, Price, Ratio, Text, WholeNumber, table
from geometry.frozen import frozen
from geometry.message import message

Line = Annotated[str, Text(most=400)]
FormKind = Literal["melamine", "rubber", "glass-fibre"]
Basis = Literal["form-area", "finished-area", "edge-length", "piece"]
Measure = Literal["m2", "m", "m3", "kg", "piece"]


@table()
class MassStep:
    """A price for every step of mass, the last one counted whole."""

    mass_kg: Annotated[Mass, Key("Step of gross mass, pallets included.", "100 lb")]
    price: Annotated[Price, Key("Price of each step, the last one counted whole.", 14.0)]


@frozen
class PerMass:
    """A price for each kilogram, written as the price of a step of mass."""

    def __get_pydantic_core_schema__(self, _source: Any, handler: Any) -> Any:
        from pydantic_core import core_schema

        step = handler.generate_schema(MassStep)
        return core_schema.no_info_after_validator_function(lambda read: read.price / read.mass_kg, step)


@table()
class Tariff:
    """What a supplier or carrier charges for a delivery."""

    per_delivery: Annotated[Price, Key("Freight of one delivery, in the job's currency.", 60.0)] = 0.0
    per_pallet: Annotated[Price, Key("Freight of each pallet, full or not.", 45.0)] = 0.0
    per_kg: Annotated[
        float,
        PerMass(),
        Key("Freight by gross mass.", {"mass": "100 lb", "price": 14.0}, "no freight by mass", key="by_mass"),
    ] = 0.0
    zones: Annotated[
        Mapping[Name, Price],
        Key("Surcharge of a delivery by zone; `receiving` names the shop's zone.", {"near": 0.0, "far": 40.0}),
    ] = field(default_factory=dict)
    lift_gate: Annotated[Price, Key("Charge for a lift gate, where `receiving` asks for one.", 45.0)] = 0.0


@table()
class Supplier:
    """A supplier and its terms.

    None: not offered, or as the shop receives.
    """

    name: Annotated[Name, Key("Name of the supplier, as named in packs.", "north yard")]
    min_order_value: Annotated[
        Price,
        Key("Order minimum, before freight.", 250.0, key="minimum"),
    ] = 0.0
    tariff: Annotated[
        Tariff, Key("Delivery charges of the supplier.", {"per_pallet": 45.0}, "delivery is free", key="freight")
    ] = field(default_factory=Tariff)
    small_order_charge: Annotated[
        Price | None,
        Key("Charge for an order below the minimum, paid instead of buying more.", 25.0, "small orders are not taken"),
    ] = None
    mixed_pallets: Annotated[
        bool | None, Key("Whether packs of this supplier share pallets.", False, "as in [receiving]")
    ] = None
    address: Annotated[
        tuple[Name, ...],
        Key("Address on the purchase order, one line each.", ["Quarry road 12", "Invented Town"], "none is printed"),
    ] = ()
    contact: Annotated[
        tuple[Name, ...],
        Key("Telephone and mail on the purchase order, one line each.", ["orders@yard.example"], "none is printed"),
    ] = ()
    account: Annotated[Name | None, Key("The shop's account with the supplier.", "A-1180", "none is printed")] = None
    order_number: Annotated[
        Name | None, Key("Number of the purchase order.", "PO-118", "the number of the job and a count")
    ] = None


@table()
class Receiving:
    """Where and how deliveries come to the shop."""

    zone: Annotated[str, Key("Freight zone of the shop, as its suppliers name it.", "near", "no zone")] = ""
    lift_gate: Annotated[bool, Key("True if the truck must bring a lift gate.", True)] = False
    mixed_pallets: Annotated[bool, Key("Whether packs share pallets, unless a supplier states otherwise.", False)] = (
        True
    )
    address: Annotated[
        tuple[Name, ...],
        Key("Ship-to address of purchase orders, one line each.", ["Dock road 3, rear gate"], "the shop's address"),
    ] = ()
    hours: Annotated[
        Name | None, Key("Hours and directions for the driver.", "7 am to 3 pm, call ahead", "none are printed")
    ] = None


@table()
class Scope:
    """Work that the price of a quote includes and excludes, in addition to that of the job."""

    included: Annotated[
        tuple[Line, ...], Key("Work included, one line each.", ["Faucet holes", "One site visit"], "by the job alone")
    ] = ()
    excluded: Annotated[
        tuple[Line, ...],
        Key("Work not included, one line each.", ["Removal of existing counters"], "by the job alone"),
    ] = ()


@table()
class Form:
    """Form of a piece.

    None: the job's form, or melamine board, and the shop's number of casts.
    """

    kind: Annotated[
        FormKind | None, Key("Material of the form.", "rubber", "the form of the job, or melamine board")
    ] = None
    uses: Annotated[
        Count | None, Key("Casts from one form before it is renewed.", 20, "the shop's number for its kind")
    ] = None

    def over(self, job: "Form") -> "Form":
        """The form of a piece, with defaults from the form of the job; a different kind has its own number of casts."""
        if self.kind is None:
            return Form(job.kind, self.uses or job.uses)
        return Form(self.kind, self.uses or (job.uses if self.kind == job.kind else None))


@table()
class Rate:
    """Use of one consumable by area, edge length or piece.

    Raises FaultError for coverage without an area.
    """

    basis: Annotated[Basis, Key("Basis of the amount.", "form-area")]
    coverage_m2_m3: Annotated[
        Coverage | None,
        Key("Area that a volume covers in one coat.", "200 ft^2/gal", "the amount is the length, area or count itself"),
    ] = None
    coats: Annotated[WholeNumber, Key("Number of coats; 0 means not used.", 2)] = 1
    uses: Annotated[Count, Key("Casts before it is used up.", 20)] = 1
    waste: Annotated[Ratio, Key("Laps, offcuts and residue in the tool, as a share added.", 0.1)] = 0.0
    each: Annotated[Literal["cast", "form"], Key("Unit that takes it: each cast, or each form built.", "form")] = "cast"

    def __post_init__(self) -> None:
        if self.coverage_m2_m3 is not None and not self.basis.endswith("area"):
            raise FaultError("", message("coverage-without-area", basis=self.basis))


@frozen
class Taken:
    """Use of a consumable by one piece: a stated amount, or a rate."""

    material: str
    amount: float | None  # per piece, in `measure`; None: by `rate`

    measure: Measure | None
    rate: Rate | None
    waste: float = 0.0


@frozen
class SampleOrder:
    """Samples for the client, cast and sealed.

    price   of one sample, currency; credited: deducted from the amount due once the job is ordered
    """

    count: int
    price: float
    credited: bool
    mix: str
