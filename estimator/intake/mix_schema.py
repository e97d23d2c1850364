"""A mix as the job file writes it (contract): by shares, or in the other ways of the trade; its coupons, the bucket."""

from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BeforeValidator, Discriminator, Field, Tag, model_validator

from estimator.intake.fields import (
    SHARES_TOLERANCE,
    Density,
    Force,
    Length,
    Mass,
    MassOrNone,
    Name,
    Pressure,
    Proportion,
    Ratio,
    Table,
    Time,
    Volume,
    fault,
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
        raise fault(f"the shares sum to {total:.9g}, not 1.", f"Change {', '.join(shares)} so that they sum to 1.")
    return shares


def _part(value: Any) -> Any:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise fault(f"{value!r} is not a number of parts.", "Write a bare number such as 2 or 0.5.")
    if not 0.0 < value < float("inf"):
        raise fault(f"{value:g} is not a number of parts.", "Write a number above 0, or leave the material out.")
    return value


Part = Annotated[float, BeforeValidator(_part)]


class ReplacementTable(Table):
    """Sand that beads stand in for; `share` is of the sand as if the mix were all sand."""

    share: Ratio
    by: Literal["loose-volume", "absolute-volume", "mass"] = "loose-volume"
    sand: Name | None = None  # unless said, the counted sand
    bead: Name | None = None  # unless said, the only light aggregate of the mix


class CouponTable(Table):
    """One flexural coupon, loaded at the thirds of its span."""

    pour: Name
    age: Time
    face: Literal["up", "down"]  # where the face that lay in the form was in the test
    span: Length
    width: Length
    depth: Length
    peak: Force  # highest total load
    limit: Force | None = None  # total load at first crack, the limit of proportionality
    mix: Name | None = None  # in a file that several mixes share
    note: str | None = None

    @model_validator(mode="after")
    def _cracks_before_it_breaks(self) -> "CouponTable":
        if self.limit is not None and self.limit > self.peak:
            raise fault("limit is above peak.", "First crack comes at the highest load at the latest.")
        return self


def _coupons_form(value: Any) -> str:
    return "(file)" if isinstance(value, str) else "(rows)"


Coupons = Annotated[
    Annotated[Name, Tag("(file)")] | Annotated[list[CouponTable], Tag("(rows)")], Discriminator(_coupons_form)
]


class BucketTable(Table):
    """What fills the workshop's own bucket level: it stands in for loose bulk densities."""

    volume: Volume | None = None
    reference: Name | None = None  # a material of `fills` whose bulk density is known, in place of the volume
    fills: Annotated[dict[Name, Mass], Field(min_length=1)]

    @model_validator(mode="after")
    def _has_a_size(self) -> "BucketTable":
        if (self.volume is None) == (self.reference is None):
            raise fault(
                "needs either `volume` or `reference`.",
                'Give volume = "5 gal", or the material of known bulk density: reference = "silica-sand".',
            )
        if self.reference is not None and self.reference not in self.fills:
            raise fault(f"reference: {self.reference} is not in `fills`.", "Weigh a bucket of it too.")
        return self


class MixTable(Table):
    based_on: Name | None = None
    cementitious_share: Annotated[Ratio, Field(gt=0.0)] | None = None
    sand_cementitious: Proportion | None = None  # sand, as if all sand, to cementitious
    masses: dict[Name, MassOrNone] | None = None  # of one batch, as weighed, water among them
    mass_per_volume: dict[Name, Density] | None = None  # of concrete, as weighed; air is what they leave open
    volume_parts: dict[Name, Part] | None = None  # loose and dry, liquids as they are
    cementitious: Annotated[dict[Name, Ratio], AfterValidator(_sums_to_one)] = {}
    aggregate: Annotated[dict[Name, Ratio], AfterValidator(_sums_to_one)] = {}
    reference_sand: Name | None = None
    water_cementitious: Annotated[Proportion, Field(gt=0.0, le=2.0)] | None = None
    admixtures: dict[Name, Ratio] = {}
    polymer: dict[Name, Ratio] = {}
    pigment: dict[Name, Ratio] = {}
    fibre: dict[Name, Ratio] = {}
    fibre_basis: Literal["counted-dry", "total"] = "counted-dry"
    replacement: ReplacementTable | None = None
    air: Ratio | None = None
    waste: Ratio | None = None
    water_held_back: Ratio | None = None
    consistency: Literal["stiff", "plastic", "fluid"] | None = None
    colour_group: Name | None = None
    first_crack_strength: Pressure | None = None
    coupons: Coupons | None = None  # a CSV or XLSX file, or rows
    note: str | None = None

    @property
    def form(self) -> str:
        """The key that proportions the mix."""
        return next(key for key in FORMS if getattr(self, key) is not None)

    @model_validator(mode="after")
    def _is_proportioned_once(self) -> "MixTable":
        forms = [key for key in FORMS if getattr(self, key) is not None]
        if not forms:
            raise fault(
                "cementitious_share is missing.",
                "Add it, or write the mix by sand_cementitious, masses, mass_per_volume or volume_parts.",
            )
        if len(forms) > 1:
            raise fault(f"{' and '.join(forms)} are both given.", "Keep the one that the mix is written by.")
        if forms[0] in SHARE_FORMS:
            self._check_shares()
        else:
            self._check_parts(forms[0])
        if self.first_crack_strength is not None and self.coupons is not None:
            raise fault(
                "first_crack_strength and coupons are both given.", "Keep the coupons: the strength follows from them."
            )
        return self

    def _check_shares(self) -> None:
        for key in ("cementitious", "water_cementitious"):
            if not getattr(self, key):
                raise fault(f"{key} is missing.", f"Add `{key}`.")
        all_cementitious = self.cementitious_share == 1.0 or self.sand_cementitious == 0.0
        if not self.aggregate and not all_cementitious:
            raise fault("no aggregate fills the rest of the counted dry mass.", "Add `aggregate`.")

    def _check_parts(self, form: str) -> None:
        parts: dict[str, float] = getattr(self, form)
        by_volume = form == "volume_parts"
        for key in (*BLENDS, *(() if by_volume else (*DOSES, "water_cementitious"))):
            if getattr(self, key):
                raise fault(f"{key} and {form} are both given.", f"Put every material into {form}.")
        if form == "mass_per_volume" and self.air is not None:
            raise fault("air and mass_per_volume are both given.", "Leave air out: it is what the masses leave open.")
        if not by_volume and WATER not in parts:
            raise fault(f"{form} names no water.", f"Add water to {form}.")
        if by_volume and (WATER in parts) == (self.water_cementitious is not None):
            raise fault(
                "water is named twice, or not at all.", "Give parts of water or water_cementitious, one of the two."
            )
        twice = [name for key in DOSES for name in getattr(self, key) if name in parts]
        if twice:
            raise fault(f"{twice[0]} is dosed and stands in volume_parts.", "Keep the one by which it is measured out.")
