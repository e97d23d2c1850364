"""Tables of materials, mixes, coupons and the weighed bucket in the job file (contract)."""

from dataclasses import field
from math import inf
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, Discriminator, Field, Tag

from estimator.cement import CementAnalysis
from estimator.constants import WATER_DENSITY_KG_M3
from estimator.errors import FaultError
from estimator.job import SHARES_TOLERANCE, MaterialKind, PriceBreak
from estimator.keys import (
    FILL,
    Area,
    Count,
    Density,
    Dose,
    Force,
    Key,
    Length,
    Mass,
    MassOrNone,
    MassPerVolume,
    Name,
    Part,
    Pressure,
    Price,
    Proportion,
    Ratio,
    Time,
    Volume,
    table,
)
from estimator.names import american
from estimator.units import Units
from geometry.message import message

DRY = ("cement", "sand", "light-aggregate", "fibre", "consumable")  # not sold in water; a pozzolan may be
DENSITY_KEYS = ("relative_density", "density", "packing")  # exactly one of them describes a material
AGGREGATES = ("sand", "light-aggregate")
DENSITY_KG_M3 = {  # common practice, wide enough for barite and steel shot among sands; beyond it the unit is wrong
    "cement": (2500.0, 3500.0),
    "pozzolan": (1200.0, 3500.0),
    "sand": (1500.0, 8000.0),
    "light-aggregate": (5.0, 2000.0),
    "fibre": (800.0, 8000.0),
    "admixture": (500.0, 3000.0),
    "polymer": (700.0, 2000.0),
    "pigment": (800.0, 7000.0),
}
RelativeDensity = Annotated[float, Field(gt=0.0, le=25.0)]
MOST_ASH_CAO = 0.40
MOST_ABSORPTION = 0.30  # a larger number is probably a percentage; light aggregates may absorb more
MOST_AIR = 0.80  # foamed concrete of about 300 kg/m³, the lightest cast; common practice
SHARE_FORMS = ("cementitious_share", "sand_cementitious")  # with separate blends and dosages
PART_FORMS = ("masses", "mass_per_volume", "volume_parts")  # every material in one table
FORMS = SHARE_FORMS + PART_FORMS  # exactly one of them proportions a mix
BLENDS = ("cementitious", "aggregate")
DOSES = ("admixtures", "polymer", "pigment", "fibre")
PROPORTIONS = (*BLENDS, *DOSES, "water_cementitious")
WATER = "water"


def _sums_to_one(shares: dict[str, float]) -> dict[str, float]:
    total = sum(shares.values())
    if shares and abs(total - 1.0) > SHARES_TOLERANCE:
        raise FaultError("", message("shares-sum", total=f"{total:.9g}", names=list(shares)))
    return shares


@table(kw_only=True)
class ReplacementTable:
    """Sand replaced by beads; `share` is of the sand as if the mix were all sand."""

    share: Annotated[Ratio, Key("Share of the sand that beads replace, counted as if the mix were all sand.", 0.45)]
    by: Annotated[
        Literal["loose-volume", "absolute-volume", "mass"],
        Key("Basis of the replacement.", "loose-volume"),
    ] = "loose-volume"
    sand: Annotated[Name | None, Key("Sand that is replaced.", "silica-sand", "the reference sand")] = None
    bead: Annotated[
        Name | None, Key("Light aggregate that replaces the sand.", "coated-eps-bead", "the mix's only light aggregate")
    ] = None


@table(kw_only=True)
class CouponTable:
    """One flexural coupon, loaded at the thirds of its span."""

    pour: Annotated[Name, Key("Pour that the coupon was cast from.", "P-14")]
    age: Annotated[Time, Key("Age at the test.", "28 days")]
    face: Annotated[Literal["up", "down"], Key("Position of the form face in the test.", "down")]
    span: Annotated[Length, Key("Span between the supports.", "10 in")]
    width: Annotated[Length, Key("Width of the coupon.", "2 in")]
    depth: Annotated[Length, Key("Depth of the coupon.", "1/2 in")]
    peak: Annotated[Force, Key("Highest total load.", "180 lbf")]
    limit: Annotated[
        Force | None, Key("Total load at first crack (limit of proportionality).", "120 lbf", "not recorded")
    ] = None
    mix: Annotated[
        Name | None,
        Key("Mix of the coupon, in a file that several mixes share.", "backer-45", "the mix that names the file"),
    ] = None
    note: Annotated[str | None, Key("Note to yourself. No figure depends on it.", "edge chipped", "none")] = None

    def __post_init__(self) -> None:
        if self.limit is not None and self.limit > self.peak:
            raise FaultError("", message("coupon-limit-above-peak", limit_n=self.limit, peak_n=self.peak))


def _coupons_form(value: Any) -> str:
    return "(file)" if isinstance(value, str) else "(rows)"


Coupons = Annotated[
    Annotated[Name, Tag("(file)")] | Annotated[list[CouponTable], Tag("(rows)")], Discriminator(_coupons_form)
]


@table(kw_only=True)
class BucketTable:
    """The shop's own bucket, weighed level full in place of loose bulk densities."""

    volume: Annotated[Volume | None, Key("Volume of the bucket, level full.", "5 gal", "found from `reference`")] = None
    reference: Annotated[
        Name | None,
        Key("Material in `fills` of known bulk density, in place of the volume.", "silica-sand", "by `volume`"),
    ] = None
    fills: Annotated[
        Annotated[dict[Name, Mass], Field(min_length=1)],
        Key("Mass of a level bucket of each material.", {"silica-sand": "66 lb", "coated-eps-bead": "1.2 lb"}),
    ]

    def __post_init__(self) -> None:
        if (self.volume is None) == (self.reference is None):
            raise FaultError("", message("bucket-size"))
        if self.reference is not None and self.reference not in self.fills:
            raise FaultError("", message("bucket-reference-not-filled", name=self.reference))


@table(kw_only=True)
class MixTable:
    title: Annotated[
        Name | None, Key("Name of the mix on papers.", "Backer, 45% beads", "its key, with spaces for hyphens")
    ] = None
    based_on: Annotated[
        Name | None,
        Key("Mix to start from. Keys given here replace its keys.", "backer-45", "a mix of its own"),
    ] = None
    cementitious_share: Annotated[
        Annotated[Ratio, Field(gt=0.0)] | None,
        Key(
            "Cementitious share of the counted dry mass (cementitious plus sand, as if all sand).",
            0.48,
            "the mix is given another way",
        ),
    ] = None
    sand_cementitious: Annotated[
        Proportion | None, Key("Sand, as if all sand, to cementitious by mass.", 1.0, "the mix is given another way")
    ] = None
    masses: Annotated[
        dict[Name, MassOrNone] | None,
        Key(
            "Mass of every material in one batch, as weighed, water included.",
            {"white-cement": "94 lb", "silica-sand": "100 lb", "water": "32 lb"},
            "the mix is given another way",
        ),
    ] = None
    mass_per_volume: Annotated[
        dict[Name, MassPerVolume] | None,
        Key(
            "Mass of every material in a volume of concrete, as weighed. The rest is air. One aggregate may be "
            '"fill", which takes the volume left by the others and by `air`.',
            {"white-cement": "40 lb/ft^3", "silica-sand": "fill"},
            "the mix is given another way",
        ),
    ] = None
    volume_parts: Annotated[
        dict[Name, Part] | None,
        Key(
            "Parts by volume of every material, loose and dry. Liquids are measured as supplied.",
            {"white-cement": 1, "silica-sand": 1, "perlite": 2},
            "the mix is given another way",
        ),
    ] = None
    cementitious: Annotated[
        Annotated[dict[Name, Ratio], AfterValidator(_sums_to_one)],
        Key(
            "Blend of the cementitious materials by mass. The shares must add up to 1.",
            {"white-cement": 0.88, "metakaolin": 0.12},
        ),
    ] = field(default_factory=dict)
    aggregate: Annotated[
        Annotated[dict[Name, Ratio], AfterValidator(_sums_to_one)],
        Key(
            "Blend of the aggregates by LOOSE BULK VOLUME. The shares must add up to 1.",
            {"silica-sand": 0.55, "coated-eps-bead": 0.45},
        ),
    ] = field(default_factory=dict)
    reference_sand: Annotated[
        Name | None,
        Key(
            "Sand whose loose volume counts. Required in a mix with no sand or with several.",
            "silica-sand",
            "the mix's only sand",
        ),
    ] = None
    water_cementitious: Annotated[
        Annotated[Proportion, Field(gt=0.0, le=2.0)] | None,
        Key("Free water to cementitious by mass.", 0.33, "only for a mix given by masses or parts"),
    ] = None
    admixtures: Annotated[
        dict[Name, Dose],
        Key(
            "Dosage of each admixture: product mass per cementitious mass, or a liquid's volume per cementitious mass.",
            {"blended-admixture-powder": 0.028},
        ),
    ] = field(default_factory=dict)
    polymer: Annotated[
        dict[Name, Ratio], Key("Dosage of each polymer: SOLIDS per cementitious mass.", {"acrylic-emulsion": 0.05})
    ] = field(default_factory=dict)
    pigment: Annotated[
        dict[Name, Ratio], Key("Dosage of each pigment per cementitious mass.", {"iron-oxide-black": 0.02})
    ] = field(default_factory=dict)
    fibre: Annotated[dict[Name, Ratio], Key("Dosage of each fiber per `fibre_basis`.", {"ar-glass-chopped": 0.025})] = (
        field(default_factory=dict)
    )
    fibre_basis: Annotated[
        Literal["counted-dry", "total"],
        Key("Basis of the fiber dosage: counted dry mass, or the total mass with water and fiber.", "total"),
    ] = "counted-dry"
    replacement: Annotated[
        ReplacementTable | None,
        Key("Sand replaced by beads in a mix designed with sand.", {"share": 0.45}, "no sand is replaced"),
    ] = None
    air: Annotated[
        Ratio | None,
        Key("Air, as a share of the volume.", 0.05, "4%, or the usual air of its light aggregate, with a warning"),
    ] = None
    waste: Annotated[
        Ratio | None,
        Key(
            "Waste of this mix in casting, as a share of its volume.",
            0.1,
            "the waste of the piece, the job, or the shop",
        ),
    ] = None
    water_held_back: Annotated[
        Ratio | None,
        Key("Share of the mix water held back for the second addition.", 0.15, "the shop's setting mixing.water_first"),
    ] = None
    consistency: Annotated[
        Literal["stiff", "plastic", "fluid"] | None,
        Key("Consistency of the fresh mix.", "stiff", "judged from the mix"),
    ] = None
    colour_group: Annotated[
        Name | None, Key("Color group. Mixes of one group must match in color.", "charcoal", "no group")
    ] = None
    first_crack_strength: Annotated[
        Pressure | None,
        Key("Tested first-crack strength, the lower value.", "6 MPa", "the mix counts as untested"),
    ] = None
    coupons: Annotated[
        Coupons | None,
        Key("Flexural coupons of this mix, as rows or as a CSV or XLSX file.", "coupons.csv", "not tested"),
    ] = None
    note: Annotated[str | None, Key("Note to yourself. No figure depends on it.", "trial 3", "none")] = None

    @property
    def form(self) -> str:
        """Key that proportions the mix."""
        return next(key for key in FORMS if getattr(self, key) is not None)

    def __post_init__(self) -> None:
        forms = [key for key in FORMS if getattr(self, key) is not None]
        if not forms:
            raise FaultError("", message("mix-form-missing"))
        if len(forms) > 1:
            raise FaultError("", message("keys-conflict", keys=forms))
        if forms[0] in SHARE_FORMS:
            self._check_shares()
        else:
            self._check_parts(forms[0])
        if self.first_crack_strength is not None and self.coupons is not None:
            raise FaultError("", message("mix-strength-and-coupons"))
        if self.air is not None and self.air > MOST_AIR:
            raise FaultError("", message("mix-air-most", air_share=self.air, most_share=MOST_AIR))

    def _check_shares(self) -> None:
        for key in ("cementitious", "water_cementitious"):
            if not getattr(self, key):
                raise FaultError("", message("about", subject=key, text=message("key-missing", key=key)))
        all_cementitious = self.cementitious_share == 1.0 or self.sand_cementitious == 0.0
        if not self.aggregate and not all_cementitious:
            raise FaultError("", message("mix-no-aggregate"))

    def _check_air(self, form: str, fills: list[str]) -> None:
        if len(fills) > 1:
            raise FaultError("", message("mix-two-fillers", names=fills))
        if fills and self.air is None:
            raise FaultError("", message("mix-filler-without-air", name=fills[0]))
        if form == "mass_per_volume" and not fills and self.air is not None:
            raise FaultError("", message("mix-air-and-mass-per-volume"))

    def _check_parts(self, form: str) -> None:
        parts: dict[str, float | str] = getattr(self, form)
        by_volume = form == "volume_parts"
        for key in (*BLENDS, *(() if by_volume else (*DOSES, "water_cementitious"))):
            if getattr(self, key):
                raise FaultError("", message("mix-part-beside-form", key=key, form=form))
        self._check_air(form, [name for name, part in parts.items() if part == FILL])
        if not by_volume and WATER not in parts:
            raise FaultError("", message("mix-no-water", form=form))
        if by_volume and (WATER in parts) == (self.water_cementitious is not None):
            raise FaultError("", message("mix-water-twice" if WATER in parts else "mix-water-missing"))
        twice = [name for key in DOSES for name in getattr(self, key) if name in parts]
        if twice:
            raise FaultError("", message("mix-dosed-twice", name=twice[0]))


@table(kw_only=True)
class PackTable:
    name: Annotated[Name, Key("Name of the package, as the purchase order prints it.", "bag")]
    mass: Annotated[
        Mass | None,
        Key("Mass of one package. If mass and volume are given, mass governs.", "50 lb", "found from the volume"),
    ] = None
    volume: Annotated[
        Volume | None,
        Key(
            "Volume of one package. Bulk density converts it to mass, or density for a liquid.",
            "27 ft^3",
            "sold by mass",
        ),
    ] = None
    area: Annotated[
        Area | None,
        Key("Area in one package of a consumable.", "100 ft^2", "not sold by area"),
    ] = None
    length: Annotated[
        Length | None,
        Key("Length in one package of a consumable.", "60 ft", "not sold by length"),
    ] = None
    pieces: Annotated[Count | None, Key("Pieces in one package of a consumable.", 12, "not sold by the piece")] = None
    price: Annotated[
        Price | None,
        Key("Price of one package, in the job's currency.", 9.5, "ordered without a price, with a warning"),
    ] = None
    per_pallet: Annotated[Count | None, Key("Packages on a full pallet.", 56, "shipped without a pallet")] = None
    minimum: Annotated[Annotated[int, Field(ge=0)], Key("Minimum number of packages per order.", 1)] = 0
    breaks: Annotated[list[PriceBreak], Key("Price breaks by number of packages.", [{"from": 10, "price": 8.75}])] = (
        field(default_factory=list)
    )
    breaks_rule: Annotated[
        Literal["all-units", "incremental"],
        Key("Whether a break prices all packages, or only those above it.", "all-units"),
    ] = "all-units"
    dearer_breaks: Annotated[bool, Key("True if the list price really rises above a break.", True)] = False
    pallet_price: Annotated[
        Price | None, Key("Price of a full pallet of `per_pallet` packages.", 460.0, "`price` for each package")
    ] = None
    supplier: Annotated[str, Key("Supplier of this package.", "north yard", "none is printed")] = ""
    units: Annotated[Units | None, Key("Jobs that buy this package, by system of units.", "imperial", "all jobs")] = (
        None
    )
    item: Annotated[str, Key("Supplier's item number, printed on the purchase order.", "S-30", "none is printed")] = ""

    def __post_init__(self) -> None:
        if all(amount is None for amount in (self.mass, self.volume, self.area, self.length, self.pieces)):
            raise FaultError("", message("pack-without-size"))


@table(kw_only=True)
class DoseTable:
    """Usual range of dosage, on the basis of the material's kind."""

    low: Annotated[Ratio, Key("Lowest usual dosage, on the basis of the material's kind.", 0.01)]
    high: Annotated[Ratio, Key("Highest usual dosage, on the same basis.", 0.03)]


@table(kw_only=True)
class AirTable:
    """Usual air of a mix of this light aggregate with an air entrainer."""

    low: Annotated[Ratio, Key("Low end of the usual air, as a share of the volume.", 0.18)]
    high: Annotated[Ratio, Key("High end of the usual air, as a share of the volume.", 0.28)]

    def __post_init__(self) -> None:
        if not self.low <= self.high < 1.0:
            raise FaultError("", message("air-band", low_share=self.low, high_share=self.high))


@table(kw_only=True)
class MaterialTable:
    kind: Annotated[MaterialKind, Key("Kind of material. It sets where the material may be used in a mix.", "sand")]
    title: Annotated[
        Name | None,
        Key("Trade name on sheets and orders.", "Silica sand, 30 mesh", "its key, with spaces for hyphens"),
    ] = None
    relative_density: Annotated[
        RelativeDensity | None,
        Key(
            "Density relative to water. Give exactly one of `relative_density`, `density` and `packing`.",
            2.65,
            "by `density` or `packing`",
        ),
    ] = None
    density: Annotated[
        Density | None,
        Key(
            "Density of the dry material, or of a liquid product.", "165 lb/ft^3", "by `relative_density` or `packing`"
        ),
    ] = None
    packing: Annotated[
        Ratio | None,
        Key(
            "Bulk density over particle density, for a light aggregate only.",
            0.62,
            "by `density` or `relative_density`",
        ),
    ] = None
    bulk_density: Annotated[
        Density | None,
        Key(
            "Loose bulk density, dry. Every aggregate needs it.",
            "100 lb/ft^3",
            "loose volume is taken as twice the absolute volume",
        ),
    ] = None
    solids: Annotated[Ratio, Key("Solids by mass. The rest is water.", 0.47)] = 1.0
    moisture: Annotated[Ratio, Key("Moisture as stocked, of dry mass.", 0.03)] = 0.0
    absorption: Annotated[Ratio, Key("Absorption, of dry mass. Above 30% for a light aggregate only.", 0.01)] = 0.0
    dose: Annotated[
        DoseTable | None,
        Key(
            "Usual range of dosage. A dosage outside it gets a warning.",
            {"low": 0.01, "high": 0.03},
            "no range is checked",
        ),
    ] = None
    analysis: Annotated[
        CementAnalysis | None,
        Key(
            "Compounds and fineness of a cement, from its mill certificate.",
            {
                "c3s": 0.57,
                "c2s": 0.17,
                "c3a": 0.08,
                "c4af": 0.09,
                "so3": 0.03,
                "free_cao": 0.01,
                "mgo": 0.02,
                "blaine": "380 m^2/kg",
            },
            "the shop's usual cement is assumed",
        ),
    ] = None
    cao: Annotated[
        Ratio | None, Key("CaO of a fly ash by mass, from its data sheet.", 0.1, "a typical ash is assumed")
    ] = None
    special: Annotated[
        bool, Key("True if the material is ordered for this job only. The job then pays for whole packages.", True)
    ] = False
    traits: Annotated[list[Name], Key("Properties that trigger cautions.", ["silica"])] = field(default_factory=list)
    usual_air: Annotated[
        AirTable | None,
        Key(
            "Usual air of a mix of this light aggregate with an air entrainer.",
            {"low": 0.18, "high": 0.28},
            "none is assumed",
        ),
    ] = None
    shelf_life: Annotated[Time | None, Key("Shelf life from purchase.", "183 days", "no limit")] = None
    packs: Annotated[
        list[PackTable],
        Key(
            "Packages in which the material is sold.",
            [{"name": "bag", "mass": "50 lb", "price": 9.5, "per_pallet": 56}],
        ),
    ] = field(default_factory=list)
    source: Annotated[str, Key("Source of the figures.", "supplier's data sheet", "not stated")] = ""

    def density_kg_m3(self, water_kg_m3: float) -> float | None:
        """Density of the material, kg/m³; None if it is not given.

        water_kg_m3   density of water, the reference of a relative density
        """
        if self.packing and self.bulk_density is not None:
            return self.bulk_density / self.packing
        return self.density if self.relative_density is None else self.relative_density * water_kg_m3

    def _check_density(self) -> None:
        density, kind = self.density_kg_m3(WATER_DENSITY_KG_M3), american(self.kind)
        least, most = DENSITY_KG_M3.get(self.kind, (0.0, inf))
        if density is not None and not least <= density <= most:
            values = {"density_kg_m3": density, "least_kg_m3": least, "most_kg_m3": most}
            raise FaultError("", message("material-density-range", kind=kind, **values))
        if density is not None and self.bulk_density is not None and self.bulk_density > 1.02 * density:  # rounded
            values = {"bulk_density_kg_m3": self.bulk_density, "solid_kg_m3": density}
            raise FaultError("", message("material-bulk-denser", **values))

    def __post_init__(self) -> None:
        self._check_density()
        given = [key for key in DENSITY_KEYS if getattr(self, key) is not None]
        if len(given) > 1:
            raise FaultError("", message("keys-conflict", keys=given))
        if not given and self.kind != "consumable":
            raise FaultError("", message("material-no-density"))
        if self.packing is not None and self.kind != "light-aggregate":
            raise FaultError("", message("material-packing", kind=american(self.kind)))
        if self.bulk_density is None and (self.kind in AGGREGATES or self.packing is not None):
            raise FaultError("", message("material-no-bulk-density"))
        if self.usual_air is not None and self.kind != "light-aggregate":
            raise FaultError("", message("material-usual-air", kind=american(self.kind)))
        if self.absorption > MOST_ABSORPTION and self.kind != "light-aggregate":
            share = self.absorption / 100
            values = {"value": f"{self.absorption:.12g}", "share": f"{share:g}"}
            shares = {"most_share": MOST_ABSORPTION, "percent_share": share}
            raise FaultError("", message("material-absorption", **values, **shares))
        if self.analysis is not None and self.kind != "cement":
            raise FaultError("", message("material-analysis", kind=american(self.kind)))
        if self.cao is not None and self.kind != "pozzolan":
            raise FaultError("", message("material-cao", kind=american(self.kind)))
        if self.cao is not None and self.cao > MOST_ASH_CAO:
            raise FaultError("", message("material-cao-most", cao_share=self.cao, most_share=MOST_ASH_CAO))
        if self.solids <= 0.0 and self.kind != "water":
            raise FaultError("", message("material-solids"))
        if 0.0 < self.solids < 1.0 and self.kind in DRY:
            raise FaultError("", message("material-solids-dry", kind=american(self.kind)))
