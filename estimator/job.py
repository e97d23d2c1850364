"""The job as all stages read it: frozen values in SI with all names resolved.

`estimator.intake` builds a Job from files, and the stages read it. Settings that the shop did not state already have
their catalog defaults, so that no stage has defaults of its own.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from datetime import date, timedelta
from typing import TYPE_CHECKING, Annotated, Literal

from estimator.catalog import Language, ReaderLanguage
from estimator.constants import DAY_S, WATER_DENSITY_KG_M3
from estimator.errors import FaultError, Locate
from estimator.keys import (
    After,
    Amount,
    Angle,
    AtLeast,
    Count,
    Date,
    Key,
    Length,
    Mass,
    MassOrNone,
    Name,
    Offset,
    Place,
    PlanPlace,
    Points,
    Pressure,
    Price,
    Proportion,
    Ratio,
    Reach,
    Speed,
    Temperature,
    ThermalResistance,
    Time,
    TimeOrNone,
    UnitName,
    Volume,
    VolumeOrNone,
    key_of,
    table,
)
from estimator.notices import Notice
from estimator.supplies import Form, Rate, Receiving, SampleOrder, Scope, Supplier, Taken
from estimator.workshop import Method, Settings, fresh_mix, room_air, within
from geometry.frozen import frozen
from geometry.message import Message, message

if TYPE_CHECKING:
    from estimator.cement import CementAnalysis
    from estimator.site import Site
    from estimator.strength import Coupon
    from geometry.joinery import Pose
    from geometry.plan_edges import Edge
    from geometry.shapes import Shape

Vector = tuple[float, float, float]
Units = Literal["imperial", "metric"]
Use = Literal["counter", "splash", "panel", "planter", "basin", "fire", "other"]
Part = Literal["", "leg", "splash", "seam"]
"""Relation of a piece to the piece that it derives from: glued to it or cut from it; "" for one of the job file."""
Glued = Literal["site", "shop"]
"""Where a part is glued to its piece. If in the shop, they are one for weight, balance, access and lifting."""
AtSeams = Literal["cut", "whole"]
"""Whether a splash is cut at the seams of its piece, or runs over them in one length."""
Status = Literal["ballpark", "quoted", "templated", "released"]
Risk = Literal["plain", "large", "thin-railed", "colour-critical"]
PriceKind = Literal["pieces", "template", "delivery", "installation", "options"]
"""Kinds of lines of a client's price that may be taxed differently."""
MixForm = Literal["share", "sand-ratio", "masses", "mass-per-volume", "volume-parts"]
ReplacedBy = Literal["loose-volume", "absolute-volume", "mass"]
MaterialKind = Literal[
    "cement", "pozzolan", "sand", "light-aggregate", "fibre", "admixture", "polymer", "pigment", "water", "consumable"
]

LEAST_R, MOST_R = 0.001, 10.0  # m²K/W
OF_SHOP = "the shop's setting in [workshop.curing]"
UNSIGNED = "not signed yet"
SHARES_TOLERANCE = 1e-6  # a sum of shares that misses 1 by less is rounded, not wrong
MOST_MARGIN = 0.9  # ten times the cost
MOST_ON_COST = 5.0  # a larger number was probably meant as a percentage
NOT_KNOWN = "no rating on file, and the sheets say so"
NOT_MEASURED = "not measured, and the sheets say so"

_blanket = within(LEAST_R, MOST_R, "cure-resistance", "m²K/W")
ROOM_CHECKS = {
    "room_c": room_air,
    "mix_temperature_c": fresh_mix,
    "tarp_resistance_m2k_w": _blanket,
    "form_resistance_m2k_w": _blanket,
}


@table()
class PriceBreak:
    """Price from a number of packs on: of all packs, or of those from there on (incremental)."""

    from_count: Annotated[Count, Key("Number of packs from which the price holds.", 10, key="from")]
    unit_price: Annotated[
        Price, Key("Price of one pack from this number on, in the job's currency.", 8.75, key="price")
    ]


@frozen
class Pack:
    """One pack size of a material. Volume is converted to mass by bulk density (granular) or density (liquid)."""

    name: str
    mass_kg: float | None  # mass that covers the need; None for a consumable sold by area, length or piece
    volume_m3: float | None  # as printed on the pack; None if it is sold by mass
    quantity: float | None  # consumables: area m2, length m or pieces in the pack
    unit_price: float | None  # None: not priced, the order has no total
    per_pallet: int | None = None
    minimum: int = 0  # smallest number that the supplier sells, when any is bought
    breaks: tuple[PriceBreak, ...] = ()
    breaks_rule: Literal["all-units", "incremental"] = "all-units"
    supplier: str = ""
    pallet_price: float | None = None  # of a full pallet of per_pallet packs; other packs cost unit_price
    item: str = ""  # the supplier's own number or name for it
    dearer_breaks: bool = False  # the price list states that a break raises the price (a surcharge on scarce stock)


@frozen
class Material:
    """A material as stocked. Densities are of dry material, of the product for liquids."""

    name: str
    kind: MaterialKind
    density_kg_m3: float | None  # particle (solid), or product (liquid); None only for consumables
    bulk_density_kg_m3: float | None  # loose, dry
    packing: float | None = None  # ratio of bulk to particle density, if the density was given that way
    solids: float = 1.0  # by mass; the rest is water
    moisture: float = 0.0  # as stocked, of dry mass
    absorption: float = 0.0  # of dry mass
    dose_low: float | None = None  # range given by the manufacturer or the trade, on the basis of its kind
    dose_high: float | None = None
    packs: tuple[Pack, ...] = ()
    special: bool = False  # ordered for this job, so that its whole packs are charged to it
    traits: frozenset[str] = frozenset()  # facts for cautions: "polystyrene", "uncoated", "silica", "absorbent" ...
    source: str = ""  # where the figures come from
    analysis: CementAnalysis | None = None  # of a cement; None: not known
    ash_cao: float | None = None  # of a fly ash: its share of CaO
    keeps_s: float | None = None  # shelf life from purchase; None: it does not age
    usual_air: tuple[float, float] | None = None  # (low, high) of a mix of this light aggregate with an air entrainer
    title: str = ""  # trade name on papers and orders; "": its key

    @property
    def label(self) -> str:
        """Its title, or its key."""
        return self.title or self.name


@frozen
class Mix:
    """A mix as written: shares of counted dry mass = cementitious + sand-equivalent.

    aggregate    shares of LOOSE BULK VOLUME of the sand that is replaced
    admixtures   product mass per cementitious mass
    polymer      solids per cementitious mass
    pigment      mass per cementitious mass
    fibre        per counted dry mass, or of everything ("total")
    """

    name: str
    cementitious_share: float
    cementitious: Mapping[str, float]
    aggregate: Mapping[str, float]
    reference_sand: str | None  # None only if the mix has no aggregate
    water_cementitious: float
    air: float
    admixtures: Mapping[str, float] = field(default_factory=dict)
    polymer: Mapping[str, float] = field(default_factory=dict)
    pigment: Mapping[str, float] = field(default_factory=dict)
    fibre: Mapping[str, float] = field(default_factory=dict)
    fibre_basis: Literal["counted-dry", "total"] = "counted-dry"
    waste: float | None = None  # None: the job's
    water_held_back: float = 0.15  # share of the water kept for the second addition
    water_density_kg_m3: float = WATER_DENSITY_KG_M3
    colour_group: str = ""
    consistency: Literal["stiff", "plastic", "fluid", ""] = ""
    first_crack_strength_pa: float | None = None  # tested lower limit for design; None: untested
    first_crack_age_d: float | None = None  # age of the test; None: not stated, or untested
    coupons: tuple[Coupon, ...] = ()  # test coupons cast from this mix
    written_as: MixForm = "share"
    title: str = ""  # name on papers; "": its key

    @property
    def label(self) -> str:
        """Its title, or its key."""
        return self.title or self.name

    replaced_by: ReplacedBy = "loose-volume"  # basis on which beads replace sand
    air_band: tuple[float, float] | None = None  # (low, high) if air is the usual one of an air-entrained mix
    density_weighed: bool = False  # whether a known volume of it was weighed for this job


@table()
class Layer:
    """One layer of a piece, from the form inward."""

    mix: Annotated[Name, Key("Mix of this layer.", "face")]
    thickness_m: Annotated[
        Length | None,
        Key("Thickness of this layer. One layer of a piece may leave it out.", "1/8 in", "the rest of the piece"),
    ] = None
    method: Annotated[Method, Key("Placing method of the layer.", "spray")] = "hand"
    waste: Annotated[
        Ratio | None,
        Key(
            "Concrete lost in placing this layer, as a share of its volume.",
            0.15,
            "the waste of the piece, the mix, the job, or the shop, in that order",
        ),
    ] = None


@table(kw_only=True)
class Insert:
    """An insert cast into a piece: it adds mass and may displace concrete."""

    name: Annotated[Name, Key("Name of the insert, as the form sheet prints it.", "steel frame")]
    mass_kg: Annotated[MassOrNone, Key("Mass of one insert.", "11 lb")] = 0.0
    displaces_m3: Annotated[VolumeOrNone, Key("Volume of concrete that the insert displaces.", "0.1 ft^3")] = 0.0
    unit: Annotated[UnitName | None, Key("Unit of bare numbers in `at`.", "in", "every number needs its own unit")] = (
        None
    )
    at_m: Annotated[
        Place | None,
        Key(
            "Center of the insert in the piece's own axes: x, y, z.",
            ["36 in", "12 in", "1/2 in"],
            "the centroid of the piece",
        ),
    ] = None
    material: Annotated[
        Name,
        Key(
            "Consumable that the insert is bought as, by displaced volume or by the piece.",
            "foam-core",
            "it is not bought with the job",
        ),
    ] = ""


@table()
class RoomCure:
    """Curing conditions of a job, in place of the shop's settings.

    None: the shop's setting.
    """

    room_c: Annotated[Temperature | None, Key("Air temperature of the room.", "65 °F", OF_SHOP)] = None
    mix_temperature_c: Annotated[
        Temperature | None, Key("Temperature of the mix when it is placed.", "68 °F", OF_SHOP)
    ] = None
    humidity: Annotated[Ratio | None, Key("Relative humidity of the room.", 0.45, OF_SHOP)] = None
    air_speed_m_s: Annotated[Speed | None, Key("Air speed over the uncovered piece.", "1 mph", OF_SHOP)] = None
    uncovered_s: Annotated[TimeOrNone | None, Key("Time from placing to plastic cover.", "20 min", OF_SHOP)] = None
    tarp_resistance_m2k_w: Annotated[
        ThermalResistance | None,
        Key("Thermal resistance of the curing blanket.", "0.5 m^2*K/W", OF_SHOP),
    ] = None
    form_resistance_m2k_w: Annotated[
        ThermalResistance | None,
        Key("Thermal resistance of form and table.", "0.3 m^2*K/W", OF_SHOP),
    ] = None

    def __post_init__(self) -> None:
        for name, check in ROOM_CHECKS.items():
            value = getattr(self, name)
            problem = None if value is None else check(value)
            if problem:
                raise FaultError("", message("about", subject=key_of(RoomCure, name), text=problem))


@table()
class Cure(RoomCure):
    """Curing conditions of one piece, and its sections where its shape does not give them."""

    thickest_m: Annotated[
        Length | None, Key("Thickest section, where the shape does not give it.", "4 in", "from the shape")
    ] = None
    thinnest_m: Annotated[
        Length | None, Key("Thinnest section, where the shape does not give it.", "5/8 in", "from the shape")
    ] = None
    set_delay_s: Annotated[
        TimeOrNone | None,
        Key("Delay of the set by a retarder, from a trial of this mix.", "2 h", "no trial"),
    ] = None

    def __post_init__(self) -> None:
        RoomCure.__post_init__(self)
        if self.thickest_m is not None and self.thinnest_m is not None and self.thinnest_m > self.thickest_m:
            raise FaultError("", message("cure-thinnest", thinnest_m=self.thinnest_m, thickest_m=self.thickest_m))


@table(kw_only=True)
class Picks:
    """Pick points chosen by the shop, (x, y) in the piece's own plan."""

    unit: Annotated[UnitName | None, Key("Unit of bare numbers in `at`.", "in", "every number needs its own unit")] = (
        None
    )
    at_m: Annotated[
        Points, Key("Pick points in the piece's own plan, each [x, y].", [["15 in", "12 in"], ["57 in", "12 in"]])
    ]
    angle_deg: Annotated[
        Angle | None,
        Key(
            "Angle of the flattest sling leg. Give `angle_from` too.",
            "60 deg",
            "the shop's setting handling.sling_angle",
        ),
    ] = None
    angle_from: Annotated[
        Literal["horizontal", "vertical"] | None,
        Key("Direction from which the angle is measured.", "horizontal", "needed with `angle`"),
    ] = None
    insert_strength_kg: Annotated[
        Mass | None,
        Key("Failure load of one insert at this thickness and age.", "900 lb", NOT_KNOWN),
    ] = None
    sling_rating_kg: Annotated[
        Mass | None, Key("Working load limit of one sling leg in a straight pull.", "500 lb", NOT_KNOWN)
    ] = None

    def __post_init__(self) -> None:
        if self.angle_deg is not None and self.angle_from is None:
            raise FaultError("", message("picks-angle-from", angle=f"{self.angle_deg:.12g} deg"))


@table(kw_only=True)
class SeamLine:
    """A seam that cuts a flat piece into parts, in the piece's own plan: at one x, at one y, or between two points."""

    unit: Annotated[
        UnitName | None, Key("Unit of bare numbers in `from` and `to`.", "in", "every number needs its own unit")
    ] = None
    x_m: Annotated[
        Offset | None, Key("Position of a seam square to the length.", "41 in", "by `y`, or by `from` and `to`")
    ] = None
    y_m: Annotated[
        Offset | None, Key("Position of a seam along the length.", "18 in", "by `x`, or by `from` and `to`")
    ] = None
    from_m: Annotated[
        PlanPlace | None,
        Key("End of a seam on the outline. Give `to` too.", ["25.5 in", "25.5 in"], "by `x` or `y`"),
    ] = None
    to_m: Annotated[
        PlanPlace | None,
        Key("Other end of the seam on the outline. Give `from` too.", ["0 in", "0 in"], "by `x` or `y`"),
    ] = None
    through_cutout: Annotated[
        bool,
        Key("Whether the seam may run through a cutout. The rails beside it are thin and need a strongback.", True),
    ] = False

    def __post_init__(self) -> None:
        ends = (self.from_m is not None) + (self.to_m is not None)
        ways = (self.x_m is not None) + (self.y_m is not None) + (ends > 0)
        if ways != 1 or ends == 1:
            raise FaultError("", message("seam-one-way"))


@table()
class HandlingPreferences:
    """The shop's choices for moving a piece.

    None: not stated.
    """

    carried: Annotated[
        Literal["edge", "flat"] | None,
        Key("Attitude of the piece when carried by hand.", "edge", "both ways are checked"),
    ] = None
    lifted_by: Annotated[
        Literal["hand", "slings", "inserts", "vacuum"] | None,
        Key("How the piece is lifted.", "slings", "by hand if the crew can, else by gear"),
    ] = None
    picks: Annotated[
        Picks | None,
        Key(
            "Pick points chosen by the shop.",
            {"at": [["15 in", "12 in"], ["57 in", "12 in"]]},
            "the program proposes picks",
        ),
    ] = None
    vacuum_pa: Annotated[
        Pressure | None, Key("Vacuum measured on this face with the pump running.", "55 kPa", NOT_MEASURED)
    ] = None
    vacuum_holds_s: Annotated[
        Time | None, Key("Time that the vacuum held with the pump off.", "10 min", NOT_MEASURED)
    ] = None
    release: Annotated[
        Literal["hold-point", "suction"] | None,
        Key(
            "Release from the form: by hand at a signed hold point, or by hoist against suction.",
            "hold-point",
            "by the kind of form",
        ),
    ] = None
    seal_pa: Annotated[
        Pressure | None,
        Key("Suction per area of this form, measured when stripping.", "2 kPa", "the shop's setting handling.adhesion"),
    ] = None
    hung_from: Annotated[
        Literal["crane", "machine"],
        Key("Hoist that the piece hangs from. A machine is a forklift, excavator or telehandler.", "crane"),
    ] = "crane"
    ground: Annotated[Literal["even", "rough"], Key("Ground under the machine.", "even")] = "even"
    leak_tested: Annotated[bool, Key("For older job files. Give `vacuum` and `vacuum_holds` instead.", True)] = False

    def __post_init__(self) -> None:
        if self.release == "hold-point" and self.seal_pa is not None:
            raise FaultError("", message("handling-seal-at-hold-point"))
        if self.leak_tested and (self.vacuum_pa is None or self.vacuum_holds_s is None):
            raise FaultError("", message("handling-leak-test"))


@table()
class InPlace:
    """Conditions of a piece in use.

    None: not stated.
    """

    outdoors: Annotated[
        bool | None,
        Key(
            "Whether the piece is outdoors.",
            True,
            "soaked weight is left out, with a warning for planters, panels and basins",
        ),
    ] = None
    dark: Annotated[
        bool | None,
        Key("Whether the piece is dark and heats up in the sun.", True, "cautions allow for a dark piece"),
    ] = None
    honed: Annotated[bool, Key("Whether the face is honed or ground.", True)] = False
    cut_on_site: Annotated[
        bool | None, Key("Whether the piece is cut on site.", False, "cautions allow for trimming a counter on site")
    ] = None
    overhang_m: Annotated[Reach | None, Key("Overhang of the front edge past its support.", "10 in", "none")] = None
    hung: Annotated[bool | None, Key("Whether the piece hangs on a wall.", True, "true for a panel")] = None
    anchors_m: Annotated[
        Annotated[tuple[Reach, ...], AtLeast(2)] | None,
        Key(
            "Positions of the bearing anchors from the left end, two or more.",
            ["12 in", "48 in"],
            "two anchors at the points of equal bending",
        ),
    ] = None
    anchor_height_m: Annotated[
        Length | None,
        Key(
            "Height of the anchors above the foot of the piece.",
            "30 in",
            "the upper point of equal bending",
        ),
    ] = None


@frozen
class Attachment:
    """Parts glued to edges of a flat piece: the legs of a waterfall, or a splash.

    key       key of its table in the piece
    edges     edges of the piece
    at_seams  whether it is cut at the seams of the piece, or runs across them
    """

    part: Literal["leg", "splash"]
    key: str
    edges: tuple[Edge, ...]
    height_m: float
    thickness_m: float
    mark: str | None
    glued: Glued
    at_seams: AtSeams


@frozen
class Piece:
    """One mark: a piece and the number of times it is cast."""

    mark: str
    quantity: int
    use: Use
    forms: int
    pour: str | None
    waste: float | None  # None: the mix's, else the job's
    shape: Shape
    nominal_thickness_m: float | None  # smallest thickness given by the shape; None for a solid without one
    layers: tuple[Layer, ...]
    faces: Literal["form", "all"]
    inserts: tuple[Insert, ...]
    file: str  # location in the input, for messages
    place: str
    risk: Risk | None = None  # of a remake; None: judged from its size, rails and color
    install: bool | None = None  # whether this shop installs it; None: by its use
    handling: HandlingPreferences = field(default_factory=HandlingPreferences)
    in_place: InPlace = field(default_factory=InPlace)
    cure: Cure = field(default_factory=Cure)
    allowed: frozenset[str] = frozenset()  # names of explicit permissions
    form: Form = field(default_factory=Form)
    takes: tuple[Taken, ...] = ()  # consumables in addition to those of every job
    description: str = ""  # this and the next three are for the client
    finish: str = ""
    color: str = ""
    note: str = ""
    part_of: str = ""  # mark of the piece in the job file that this one is cut from or glued to
    part: Part = ""
    glued: Glued = "site"
    pose: Pose | None = None  # of a glued part, in the axes of its piece
    joints_m: tuple[tuple[tuple[float, float], tuple[float, float]], ...] = ()  # (start, end) of its seams, in its plan
    attached: tuple[Attachment, ...] = ()  # what is glued to the edges of a piece as written; none on its parts

    @property
    def glued_in_shop(self) -> bool:
        """Whether it leaves the shop as part of another piece."""
        return self.part in ("leg", "splash") and self.glued == "shop"


@table()
class Scale:
    """A scale of the shop.

    up_to_kg   None: no limit
    units      system of units of the jobs that use it, None: all
    """

    step_kg: Annotated[Mass, Key("Readability of the scale.", "0.1 lb")]
    up_to_kg: Annotated[Mass | None, Key("Capacity of the scale.", "10 lb", "no limit")] = None
    units: Annotated[Units | None, Key("System of units of the jobs that use it.", "imperial", "all jobs use it")] = (
        None
    )


@table()
class Mixer:
    """The mixer; `fill` is a share of the vessel, by loose volume of the load."""

    volume_m3: Annotated[Volume, Key("Volume of the mixer's vessel.", "3 ft^3")]
    mass_kg: Annotated[Mass, Key("Heaviest batch of the mixer.", "250 lb")]
    fill: Annotated[Ratio, Key("Usable share of the vessel, by loose volume of the load.", 0.65)]
    kind: Annotated[Name, Key("Kind of mixer. It sets the loading order.", "paddle")] = "paddle"


@table()
class Measure:
    """A measure for weighing fresh mix, struck level.

    units   system of units of the jobs that use it, None: all
    """

    volume_m3: Annotated[Volume, Key("Volume of the measure, found with water.", "0.25 ft^3")]
    tare_kg: Annotated[MassOrNone, Key("Mass of the empty measure.", "2 lb")]
    units: Annotated[Units | None, Key("Jobs that use this measure, by system of units.", "imperial", "all jobs")] = (
        None
    )


@frozen
class Workshop(Settings):
    """A shop and its settings. Values come from the catalog unless the job overrides them."""

    mixer: Mixer
    scales: tuple[Scale, ...]  # the finest first
    measures: tuple[Measure, ...]
    loss_per_batch_kg: float
    pot_life_s: float
    density_tolerance: float
    thickness_tolerance_m: Mapping[str, float]  # by method
    loading_order: tuple[MaterialKind, ...]  # kinds of material in the order in which the mixer is loaded
    loading_steps: tuple[str, ...]  # instructions at the mixer: names of batching.loading.STEPS, or the shop's text
    closed_days: frozenset[date] = frozenset()  # holidays, in addition to the days off of every week
    practice: Mapping[str, str] = field(default_factory=dict)  # the shop's own advice for the sheets, by name
    consumables: Mapping[str, Rate] = field(default_factory=dict)  # consumables of every job, by material

    @property
    def bucket_m3(self) -> float:
        """Volume of the bucket for measuring beads: the shop's own, else its largest container; 0 without one."""
        return self.mixing.bucket_m3 or max((measure.volume_m3 for measure in self.measures), default=0.0)


@table()
class PaymentStep:
    """A share of the total and when it is due."""

    name: Annotated[Name, Key("Name of the payment step.", "deposit")]
    share: Annotated[Ratio, Key("Share of the total.", 0.5)]
    due: Annotated[str, Key("When the payment is due, in words.", "with the order", "not stated")] = ""


@table()
class Received:
    """A payment received from the client."""

    amount: Annotated[Price, Key("Amount received, tax included.", 1200.0)]
    date: Annotated[Date | None, Key("Date received.", "2026-03-09", "not stated")] = None
    step: Annotated[Name | None, Key("Payment step that the amount settles.", "deposit", "the first open step")] = None


@table()
class Agreed:
    """What the client accepted. In a released job it holds, however prices, settings and the program move later."""

    price: Annotated[Price, Key("Price before tax.", 8580.0)]
    tax: Annotated[Price, Key("Tax.", 514.8)]
    pieces: Annotated[
        Mapping[Name, Price],
        Key("Price of each mark, for all its pieces.", {"C1": 2794.4}, "the price, divided by cost"),
    ] = field(default_factory=dict)

    def plus(self, change: AgreedChange) -> Agreed:
        """These amounts with those of a change order. Without amounts by mark in one, none are known of the sum."""
        both = self.pieces and (change.pieces or not change.price)
        pieces = {mark: self.pieces.get(mark, 0.0) for mark in (*self.pieces, *change.pieces)} if both else {}
        return Agreed(
            price=max(0.0, round(self.price + change.price, 2)),
            tax=max(0.0, round(self.tax + change.tax, 2)),
            pieces={mark: max(0.0, round(own + change.pieces.get(mark, 0.0), 2)) for mark, own in pieces.items()},
        )


@table()
class AgreedChange:
    """What a change order adds to the accepted amounts, or takes off."""

    price: Annotated[Amount, Key("Change of the price before tax.", 210.0)]
    tax: Annotated[Amount, Key("Change of the tax.", 12.6)]
    pieces: Annotated[
        Mapping[Name, Amount],
        Key("Change of the price of each mark, for all its pieces.", {"C1": 210.0}, "the price, divided by cost"),
    ] = field(default_factory=dict)


def _pay_all(steps: tuple[PaymentStep, ...]) -> Message | None:
    whole = sum(step.share for step in steps)
    if not steps or abs(whole - 1.0) <= SHARES_TOLERANCE:
        return None
    return message("payments-sum", total=f"{whole:.4g}", steps=[step.name for step in steps])


@table()
class PriceTable:
    """Terms of the price. Amounts are in the job's currency, before tax."""

    overhead: Annotated[Proportion, Key("Overhead, as a share of direct cost.", 0.15)]
    tax: Annotated[Ratio, Key("Tax on the price.", 0.06)]
    margin: Annotated[
        Ratio | None, Key("Margin, as a share of the price. Give a margin or a markup.", 0.3, "by `markup`")
    ] = None
    markup: Annotated[Proportion | None, Key("Markup, on cost. Give a markup or a margin.", 0.45, "by `margin`")] = None
    charge: Annotated[
        Literal["used", "packs"],
        Key("Material charged to the job: the amount used, or the whole packs bought.", "used"),
    ] = "used"
    tax_rates: Annotated[
        Mapping[PriceKind, Ratio],
        Key(
            "Tax by kind of line, where it differs from `tax`.",
            {"installation": 0.0, "delivery": 0.0},
            "`tax` on every line",
        ),
    ] = field(default_factory=dict)
    show: Annotated[
        Literal["pieces", "lump", "area"],
        Key("Pricing on the quote: by the piece, by area, or one lump sum.", "lump"),
    ] = "pieces"
    reuse_within_s: Annotated[
        Time,
        Key(
            "Time within which leftovers are used. Material that expires sooner is charged by whole packs.", "183 days"
        ),
    ] = 183 * DAY_S
    rounding: Annotated[
        Literal["nearest", "up"], Key("Rounding of the price to the shop's setting quote.round_to.", "up")
    ] = "nearest"
    adjustment: Annotated[
        Amount,
        Key(
            "Amount added to the calculated price, or taken off if negative: a discount, or what keeps a price.", -150.0
        ),
    ] = 0.0
    agreed: Annotated[
        Agreed | None,
        Key(
            "Amounts that the client accepted with the quote. They count once the job is released.",
            {"price": 8580.0, "tax": 514.8},
            "the price is calculated",
        ),
    ] = None
    payments: Annotated[
        tuple[PaymentStep, ...],
        After(_pay_all),
        Key(
            "Payment steps. Their shares must add up to 1.",
            [
                {"name": "deposit", "share": 0.5, "due": "with the order"},
                {"name": "rest", "share": 0.5, "due": "on delivery"},
            ],
            "the shop's three steps, from [workshop.quote]",
        ),
    ] = ()
    received: Annotated[
        tuple[Received, ...],
        Key("Payments received from the client.", [{"amount": 1200.0, "date": "2026-03-09"}]),
    ] = ()

    def __post_init__(self) -> None:
        for key in ("overhead", "markup"):
            share = getattr(self, key)
            if share is not None and share > MOST_ON_COST:
                values = {"value": f"{share:.12g}", "most": f"{MOST_ON_COST:g}", "share": f"{share / 100:g}"}
                raise FaultError("", message("price-on-cost", key=key, percent_share=share / 100, **values))
        if self.margin is not None and self.markup is not None:
            raise FaultError("", message("price-margin-and-markup"))
        if self.margin is not None and self.margin >= 1.0:
            raise FaultError("", message("price-margin", margin_share=self.margin))
        if self.margin is not None and self.margin > MOST_MARGIN:
            times = f"{1.0 / (1.0 - self.margin):.3g}"
            text = message("price-margin-most", margin_share=self.margin, times=times, most_share=MOST_MARGIN)
            raise FaultError("", text)


@frozen
class PriceTerms(PriceTable):
    """Terms of the price with those of the shop's settings.

    minimum   minimum charge of a job
    round_to  rounding step of the price; up to 0.01: none
    valid_s   time that the quote is valid
    """

    minimum: float = 0.0
    round_to: float = 0.0
    valid_s: float | None = None


@frozen
class StockLot:
    """One lot of a material in stock."""

    mass_kg: float
    lot: str  # "" if unknown


@frozen
class QuoteTerm:
    """One paragraph of the terms, and the uses of pieces that it applies to; none for every quote."""

    text: str
    uses: tuple[Use, ...] = ()


@frozen
class Business:
    """The shop as named on its papers; empty fields are not stated."""

    name: str = ""
    address: tuple[str, ...] = ()
    contact: tuple[str, ...] = ()
    registration: str = ""
    license: str = ""
    tax_number: str = ""
    color: str = ""  # accent of the client's papers, #RRGGBB; "": ink
    logo: bytes | None = None  # PNG or JPEG
    fonts: tuple[bytes, bytes] | None = None  # plain and bold, TrueType; None: the papers' own
    terms: tuple[QuoteTerm, ...] = ()


@table()
class Client:
    """The client and the site; empty where not stated."""

    name: Annotated[Name, Key("Name of the client.", "The boathouse cafe", "none is printed")] = ""
    address: Annotated[tuple[Name, ...], Key("Address, one line each.", ["Pier 2", "Invented Harbor"])] = ()
    site: Annotated[tuple[Name, ...], Key("Site address, one line each.", ["Pier 2"], "the client's address")] = ()
    contact: Annotated[
        tuple[Name, ...],
        Key("Contact for the job, one line each.", ["A. Miller", "555 0144"], "none is printed"),
    ] = ()


@table()
class SignOffs:
    """Dates of the client's signatures."""

    sketch: Annotated[Date | None, Key("Date of the client's signature on the sketch.", "2026-03-05", UNSIGNED)] = None
    sample: Annotated[Date | None, Key("Date of the client's signature on the sample.", "2026-03-12", UNSIGNED)] = None
    template: Annotated[Date | None, Key("Date of the client's signature on the template.", "2026-03-19", UNSIGNED)] = (
        None
    )


@frozen
class Job:
    """All inputs of an estimate."""

    file: str  # for messages
    name: str
    units: Units
    currency: str
    date: str | None
    waste: float | None  # None: the workshop's, by method
    pieces: tuple[Piece, ...]
    mixes: Mapping[str, Mix]
    materials: Mapping[str, Material]
    workshop: Workshop
    price: PriceTerms
    stock_kg: Mapping[str, float]  # of every lot
    language: Language = "en-US"
    crew_language: ReaderLanguage = "en-US"
    client_language: ReaderLanguage = "en-US"
    site: Site | None = None  # None: nothing was measured
    warnings: tuple[Notice, ...] = ()
    status: Status = "quoted"
    start: str | None = None  # first day of work, ISO
    revision: str | None = None  # of the papers, in the shop's numbering
    number: str | None = None  # of the quote, in the shop's numbering
    business: Business = Business()
    client: Client = field(default_factory=Client)
    sign_offs: Mapping[str, str | None] = field(default_factory=dict)  # date by sign-off; None: not signed yet
    lumps: Mapping[str, float] = field(default_factory=dict)  # options taken for a lump sum before tax
    alternatives: tuple[Alternative, ...] = ()
    options: tuple[Option, ...] = ()
    changes: tuple[Change, ...] = ()
    stock_lots: Mapping[str, tuple[StockLot, ...]] = field(default_factory=dict)  # the same by lot
    lots: Mapping[str, str] = field(default_factory=dict)  # lot that the job is cast from, by material
    stock_consumables: Mapping[str, float] = field(default_factory=dict)  # in the unit in which each is used
    stock_until: Mapping[str, str] = field(default_factory=dict)  # last usable day of the stock, by material, ISO
    reserve_kg: Mapping[str, float] = field(default_factory=dict)  # to remain in stock after the job
    suppliers: Mapping[str, Supplier] = field(default_factory=dict)
    receiving: Receiving = field(default_factory=Receiving)
    scope: Scope = field(default_factory=Scope)
    samples: SampleOrder | None = None  # None: none are made
    located: Locate = field(default=tuple, repr=False, compare=False)  # faults in the file that holds their key

    @property
    def valid_until(self) -> str | None:
        """Last day on which the quote is valid; None if the job has no date, or if it is beyond the calendar."""
        if self.date is None or self.price.valid_s is None:
            return None
        try:
            return (date.fromisoformat(self.date) + timedelta(seconds=self.price.valid_s)).isoformat()
        except OverflowError:
            return None


@frozen
class Alternative:
    """An alternate: another complete job instead of this one."""

    name: str
    note: str
    job: Job


@frozen
class Option:
    """An option for the client: a lump sum before tax, or the job with it. Once taken, it is part of the job."""

    name: str
    note: str
    taken: bool
    lump: float | None
    job: Job | None  # the job with it; None for a lump sum, and if it is taken


@frozen
class Change:
    """A change order: the job before and after. Once signed, it is part of the job; its days add to the calendar."""

    number: int
    reason: str
    date: str | None
    signed: str | None
    days: int
    before: Job
    after: Job
    note: str = ""
