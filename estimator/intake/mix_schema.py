"""A mix as the job file writes it (contract): by shares, or in the other ways of the trade; its coupons, the bucket."""

from dataclasses import field
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, Discriminator, Field, Tag

from estimator.errors import FaultError
from estimator.job import SHARES_TOLERANCE
from estimator.keys import (
    Density,
    Force,
    Key,
    Length,
    Mass,
    MassOrNone,
    Name,
    Part,
    Pressure,
    Proportion,
    Ratio,
    Time,
    Volume,
    table,
)

SHARE_FORMS = ("cementitious_share", "sand_cementitious")  # with blends and doses beside them
PART_FORMS = ("masses", "mass_per_volume", "volume_parts")  # every material in one table
FORMS = SHARE_FORMS + PART_FORMS  # exactly one of them proportions a mix
BLENDS = ("cementitious", "aggregate")
DOSES = ("admixtures", "polymer", "pigment", "fibre")
PROPORTIONS = (*BLENDS, *DOSES, "water_cementitious")
WATER = "water"


def _sums_to_one(shares: dict[str, float]) -> dict[str, float]:
    total = sum(shares.values())
    if shares and abs(total - 1.0) > SHARES_TOLERANCE:
        raise FaultError(
            "", f"the shares sum to {total:.9g}, not 1.", f"Change {', '.join(shares)} so that they sum to 1."
        )
    return shares


@table(kw_only=True)
class ReplacementTable:
    """Sand that beads stand in for; `share` is of the sand as if the mix were all sand."""

    share: Annotated[Ratio, Key("Share of the sand that beads replace, counted as if the mix were all sand.", 0.45)]
    by: Annotated[
        Literal["loose-volume", "absolute-volume", "mass"],
        Key("Basis on which beads take the place of sand.", "loose-volume"),
    ] = "loose-volume"
    sand: Annotated[Name | None, Key("Sand that is replaced.", "silica-sand", "the reference sand")] = None
    bead: Annotated[
        Name | None, Key("Light aggregate that replaces it.", "coated-eps-bead", "the mix's only light aggregate")
    ] = None


@table(kw_only=True)
class CouponTable:
    """One flexural coupon, loaded at the thirds of its span."""

    pour: Annotated[Name, Key("Pour that the coupon was cast from.", "P-14")]
    age: Annotated[Time, Key("Age at the test.", "28 days")]
    face: Annotated[Literal["up", "down"], Key("Where the face that lay in the form was in the test.", "down")]
    span: Annotated[Length, Key("Span between the supports.", "10 in")]
    width: Annotated[Length, Key("Width of the coupon.", "2 in")]
    depth: Annotated[Length, Key("Depth of the coupon.", "1/2 in")]
    peak: Annotated[Force, Key("Highest total load.", "180 lbf")]
    limit: Annotated[
        Force | None, Key("Total load at first crack, the limit of proportionality.", "120 lbf", "it was not read")
    ] = None
    mix: Annotated[
        Name | None,
        Key("Mix of the coupon, in a file that several mixes share.", "backer-45", "the mix that names the file"),
    ] = None
    note: Annotated[str | None, Key("Note to yourself. No figure depends on it.", "edge chipped", "none")] = None

    def __post_init__(self) -> None:
        if self.limit is not None and self.limit > self.peak:
            raise FaultError("", "limit is above peak.", "First crack comes at the highest load at the latest.")


def _coupons_form(value: Any) -> str:
    return "(file)" if isinstance(value, str) else "(rows)"


Coupons = Annotated[
    Annotated[Name, Tag("(file)")] | Annotated[list[CouponTable], Tag("(rows)")], Discriminator(_coupons_form)
]


@table(kw_only=True)
class BucketTable:
    """What fills the workshop's own bucket level: it stands in for loose bulk densities."""

    volume: Annotated[
        Volume | None, Key("Volume of the bucket, level full.", "5 gal", "it follows from `reference`")
    ] = None
    reference: Annotated[
        Name | None,
        Key("Material of `fills` whose bulk density is known, in place of the volume.", "silica-sand", "by `volume`"),
    ] = None
    fills: Annotated[
        Annotated[dict[Name, Mass], Field(min_length=1)],
        Key("Mass of a level bucket of each material.", {"silica-sand": "66 lb", "coated-eps-bead": "1.2 lb"}),
    ]

    def __post_init__(self) -> None:
        if (self.volume is None) == (self.reference is None):
            raise FaultError(
                "",
                "needs either `volume` or `reference`.",
                'Give volume = "5 gal", or the material of known bulk density: reference = "silica-sand".',
            )
        if self.reference is not None and self.reference not in self.fills:
            raise FaultError("", f"reference: {self.reference} is not in `fills`.", "Weigh a bucket of it too.")


@table(kw_only=True)
class MixTable:
    based_on: Annotated[
        Name | None,
        Key("Mix that this one starts from; keys given here replace its own.", "backer-45", "the mix stands alone"),
    ] = None
    cementitious_share: Annotated[
        Annotated[Ratio, Field(gt=0.0)] | None,
        Key(
            "Cementitious share of the counted dry mass, which is cementitious plus sand as if all sand.",
            0.48,
            "the mix is written another way",
        ),
    ] = None
    sand_cementitious: Annotated[
        Proportion | None, Key("Sand, as if all sand, to cementitious by mass.", 1.0, "the mix is written another way")
    ] = None
    masses: Annotated[
        dict[Name, MassOrNone] | None,
        Key(
            "Mass of every material in one batch, as weighed, water included.",
            {"white-cement": "94 lb", "silica-sand": "100 lb", "water": "32 lb"},
            "the mix is written another way",
        ),
    ] = None
    mass_per_volume: Annotated[
        dict[Name, Density] | None,
        Key(
            "Mass of every material in a volume of concrete, as weighed. Air is what they leave open.",
            {"white-cement": "40 lb/ft^3"},
            "the mix is written another way",
        ),
    ] = None
    volume_parts: Annotated[
        dict[Name, Part] | None,
        Key(
            "Parts by volume of every material, loose and dry, liquids as they are.",
            {"white-cement": 1, "silica-sand": 1, "perlite": 2},
            "the mix is written another way",
        ),
    ] = None
    cementitious: Annotated[
        Annotated[dict[Name, Ratio], AfterValidator(_sums_to_one)],
        Key(
            "Blend of the cementitious materials by mass; the shares sum to 1.",
            {"white-cement": 0.88, "metakaolin": 0.12},
        ),
    ] = field(default_factory=dict)
    aggregate: Annotated[
        Annotated[dict[Name, Ratio], AfterValidator(_sums_to_one)],
        Key(
            "Blend of the aggregates by LOOSE BULK VOLUME; the shares sum to 1.",
            {"silica-sand": 0.55, "coated-eps-bead": 0.45},
        ),
    ] = field(default_factory=dict)
    reference_sand: Annotated[
        Name | None,
        Key(
            "Sand whose loose volume counts. A mix with no sand or with two must name it.",
            "silica-sand",
            "the mix's only sand",
        ),
    ] = None
    water_cementitious: Annotated[
        Annotated[Proportion, Field(gt=0.0, le=2.0)] | None,
        Key("Free water to cementitious by mass.", 0.33, "only for a mix written as masses or parts"),
    ] = None
    admixtures: Annotated[
        dict[Name, Ratio],
        Key("Dosage of each admixture: product mass per cementitious mass.", {"blended-admixture-powder": 0.028}),
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
        Key("Basis of the fiber dosage: counted dry mass, or everything, water and fiber included.", "total"),
    ] = "counted-dry"
    replacement: Annotated[
        ReplacementTable | None,
        Key("Sand replaced by beads in a mix written for sand.", {"share": 0.45}, "no sand is replaced"),
    ] = None
    air: Annotated[
        Ratio | None,
        Key("Air, as a share of the volume.", 0.05, "4 %, or the usual air of its light aggregate, with a warning"),
    ] = None
    waste: Annotated[
        Ratio | None,
        Key(
            "Concrete of this mix lost in casting, as a share of its volume.",
            0.1,
            "the waste of the piece, the job, or the shop",
        ),
    ] = None
    water_held_back: Annotated[
        Ratio | None,
        Key("Share of the water kept for the second addition.", 0.15, "the shop's setting mixing.water_first"),
    ] = None
    consistency: Annotated[
        Literal["stiff", "plastic", "fluid"] | None,
        Key("Consistency of the fresh mix.", "stiff", "judged from the mix"),
    ] = None
    colour_group: Annotated[
        Name | None, Key("Color group: mixes of one group must match in color.", "charcoal", "the mix stands alone")
    ] = None
    first_crack_strength: Annotated[
        Pressure | None,
        Key("Tested first-crack strength to count on: the lower value.", "6 MPa", "the mix counts as untested"),
    ] = None
    coupons: Annotated[
        Coupons | None,
        Key("Flexural coupons of this mix: rows, or a CSV or XLSX file of them.", "coupons.csv", "none were tested"),
    ] = None
    note: Annotated[str | None, Key("Note to yourself. No figure depends on it.", "trial 3", "none")] = None

    @property
    def form(self) -> str:
        """The key that proportions the mix."""
        return next(key for key in FORMS if getattr(self, key) is not None)

    def __post_init__(self) -> None:
        forms = [key for key in FORMS if getattr(self, key) is not None]
        if not forms:
            raise FaultError(
                "",
                "cementitious_share is missing.",
                "Add it, or write the mix by sand_cementitious, masses, mass_per_volume or volume_parts.",
            )
        if len(forms) > 1:
            raise FaultError("", f"{' and '.join(forms)} are both given.", "Keep the one that the mix is written by.")
        if forms[0] in SHARE_FORMS:
            self._check_shares()
        else:
            self._check_parts(forms[0])
        if self.first_crack_strength is not None and self.coupons is not None:
            raise FaultError(
                "",
                "first_crack_strength and coupons are both given.",
                "Keep the coupons: the strength follows from them.",
            )

    def _check_shares(self) -> None:
        for key in ("cementitious", "water_cementitious"):
            if not getattr(self, key):
                raise FaultError("", f"{key} is missing.", f"Add `{key}`.")
        all_cementitious = self.cementitious_share == 1.0 or self.sand_cementitious == 0.0
        if not self.aggregate and not all_cementitious:
            raise FaultError("", "no aggregate fills the rest of the counted dry mass.", "Add `aggregate`.")

    def _check_parts(self, form: str) -> None:
        parts: dict[str, float] = getattr(self, form)
        by_volume = form == "volume_parts"
        for key in (*BLENDS, *(() if by_volume else (*DOSES, "water_cementitious"))):
            if getattr(self, key):
                raise FaultError("", f"{key} and {form} are both given.", f"Put every material into {form}.")
        if form == "mass_per_volume" and self.air is not None:
            raise FaultError(
                "", "air and mass_per_volume are both given.", "Leave air out: it is what the masses leave open."
            )
        if not by_volume and WATER not in parts:
            raise FaultError("", f"{form} names no water.", f"Add water to {form}.")
        if by_volume and (WATER in parts) == (self.water_cementitious is not None):
            raise FaultError(
                "", "water is named twice, or not at all.", "Give parts of water or water_cementitious, one of the two."
            )
        twice = [name for key in DOSES for name in getattr(self, key) if name in parts]
        if twice:
            raise FaultError(
                "", f"{twice[0]} is dosed and stands in volume_parts.", "Keep the one by which it is measured out."
            )
