"""What one piece weighs at each stage of its life, low and high, and where its centre of gravity lies.

The stages: fresh in its form, at demould, in transport, installed dry, and soaked where it stands outdoors. Turning in
the form is a figure of its own, with the boards on: often the heaviest lift of the job.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from typing import Literal

from estimator.bounds import (
    POUND_PER_FOOT2_KG_M2,
    POUND_PER_FOOT3_KG_M3,
    require_not_negative,
    require_positive,
    require_within,
)
from estimator.errors import RangeError

Stage = Literal["fresh", "demould", "transport", "installed", "soaked"]
LIFTED_BARE: frozenset[Stage] = frozenset({"demould", "transport", "installed", "soaked"})

FORM_BOARD_KG_M2 = 2.75 * POUND_PER_FOOT2_KG_M2  # common practice: 2.5 to 3 lb/ft² of form board
WET_SOIL_KG_M3 = 110.0 * POUND_PER_FOOT3_KG_M3  # common practice: wet soil about 110 lb/ft³


@dataclass(frozen=True, slots=True)
class Band:
    """A weight with its low and high side, kg."""

    low_kg: float
    nominal_kg: float
    high_kg: float

    def plus(self, mass_kg: float) -> Band:
        """The band with a mass added that has no tolerance of its own."""
        return Band(self.low_kg + mass_kg, self.nominal_kg + mass_kg, self.high_kg + mass_kg)


@dataclass(frozen=True, slots=True)
class CastMass:
    """Nominal mass of the cast material of one piece at each stage, kg, inserts not in."""

    fresh_kg: float
    demould_kg: float
    installed_kg: float
    oven_dry_kg: float

    def __post_init__(self) -> None:
        for name in ("fresh_kg", "demould_kg", "installed_kg", "oven_dry_kg"):
            require_positive(f"cast mass {name}", getattr(self, name), "kg")


@dataclass(frozen=True, slots=True)
class Tolerance:
    """By how much a piece may be off, as fractions: of density, and of thickness (tolerance over thickness).

    low_air, high_air   density at the least and at the most air that the mix may have, over that at its own air
    """

    density: float
    thickness: float
    low_air: float = 1.0
    high_air: float = 1.0

    def __post_init__(self) -> None:
        require_within("density tolerance", self.density, 0.0, 0.5)
        require_within("density at the least air", self.low_air, 1.0, 2.0)
        require_within("density at the most air", self.high_air, 0.1, 1.0)
        if not 0.0 <= self.thickness < 1.0:
            raise RangeError(
                f"thickness tolerance is {self.thickness:g} of the thickness: must be 0 to under 1; "
                "give a tolerance that is smaller than the piece is thick"
            )

    @property
    def high(self) -> float:
        return self.low_air * (1.0 + self.density) * (1.0 + self.thickness)

    @property
    def low(self) -> float:
        return self.high_air * (1.0 - self.density) * (1.0 - self.thickness)

    def band(self, cast_kg: float, inserts_kg: float) -> Band:
        """Cast mass with the tolerance on it, inserts added at their own mass."""
        return Band(cast_kg * self.low, cast_kg, cast_kg * self.high).plus(inserts_kg)


@dataclass(frozen=True, slots=True)
class StageWeights:
    """One piece, inserts in, at every stage; `soaked` is None for a piece that stays dry."""

    fresh: Band
    demould: Band
    transport: Band
    installed: Band
    soaked: Band | None
    lifted: frozenset[Stage]  # stages at which the bare piece is lifted
    assumptions: tuple[str, ...]

    @property
    def by_stage(self) -> dict[Stage, Band]:
        bands: dict[Stage, Band] = {
            "fresh": self.fresh,
            "demould": self.demould,
            "transport": self.transport,
            "installed": self.installed,
        }
        return bands if self.soaked is None else {**bands, "soaked": self.soaked}

    @property
    def high_kg(self) -> float:
        return max(band.high_kg for band in self.by_stage.values())

    @property
    def lift_kg(self) -> float:
        """Largest high-side weight at a stage at which the bare piece is lifted."""
        return max(band.high_kg for stage, band in self.by_stage.items() if stage in self.lifted)

    def may_weigh_kg(self, stage: Stage) -> float:
        """High side of a stage from the yard on: rain may wet a piece for outdoors before it hangs in its place."""
        high_kg = self.by_stage[stage].high_kg
        return high_kg if self.soaked is None else max(high_kg, self.soaked.high_kg)

    @property
    def low_kg(self) -> float:
        return min(band.low_kg for band in self.by_stage.values())


def stage_weights(
    cast: CastMass,
    tolerance: Tolerance,
    inserts_kg: float = 0.0,
    *,
    outdoors: bool = False,
    absorption: float | None = None,
    lifted: Collection[Stage] = LIFTED_BARE,
) -> StageWeights:
    """Weights by stage, low, nominal and high.

    inserts_kg   inserts, cores and frames that stay in the piece, kg
    outdoors     the piece can take up water in place
    absorption   water taken up when soaked, as a fraction of oven-dry mass; None if not known
    lifted       stages at which the bare piece is lifted; soaked among them: rain wets it in the yard and on site

    No drying is counted on the way: the transport weight is the demould weight.
    """
    require_not_negative("mass of inserts", inserts_kg, "kg")
    assumptions = ["transport weight taken as the demould weight: no drying counted"]
    soaked: Band | None = None
    if outdoors or absorption is not None:
        soaked = tolerance.band(soaked_mass(cast, absorption), inserts_kg)
    if outdoors and absorption is None:
        assumptions.append("No absorption test: soaked weight taken as the fresh weight or more.")
    demould = tolerance.band(cast.demould_kg, inserts_kg)
    weights = StageWeights(
        fresh=tolerance.band(cast.fresh_kg, inserts_kg),
        demould=demould,
        transport=demould,
        installed=tolerance.band(cast.installed_kg, inserts_kg),
        soaked=soaked,
        lifted=frozenset(lifted),
        assumptions=tuple(assumptions),
    )
    if not weights.lifted & weights.by_stage.keys():
        raise RangeError("no stage is named at which the bare piece is lifted: name at least demould")
    return weights


def soaked_mass(cast: CastMass, absorption: float | None) -> float:
    """Mass of the soaked concrete, kg, inserts not in.

    absorption   water taken up, as a fraction of oven-dry mass; None where nothing is known

    The greater of fresh mass and oven-dry mass · (1 + absorption). In fresh concrete the aggregate is saturated and
    the paste full of water, so that the fresh mass is also the oven-dry mass with all that the two hold: soaked it
    weighs no less. (Of very absorbent aggregate, such as perlite, that is far over the usual gain.)

    >>> soaked_mass(CastMass(110.0, 110.0, 105.0, 100.0), 0.125)
    112.5
    >>> soaked_mass(CastMass(130.0, 130.0, 105.0, 100.0), 0.125)
    130.0
    """
    if absorption is not None:
        require_within("absorption", absorption, 0.0, 1.0)
    return max(cast.fresh_kg, cast.oven_dry_kg * (1.0 + (absorption or 0.0)))


def turning_weight(
    demould: Band,
    form_board_m2: float,
    turning_board_m2: float = 0.0,
    *,
    form_board_kg_m2: float = FORM_BOARD_KG_M2,
    turning_board_kg_m2: float = FORM_BOARD_KG_M2,
) -> Band:
    """The piece turned in its form: demould weight, form board and turning board.

    form_board_m2      area of form board that is turned with the piece, sides and base, m²
    turning_board_m2   area of the board laid on top, m²
    """
    require_not_negative("area of form board", form_board_m2, "m²")
    require_not_negative("area of turning board", turning_board_m2, "m²")
    require_not_negative("mass of form board", form_board_kg_m2, "kg/m²")
    require_not_negative("mass of turning board", turning_board_kg_m2, "kg/m²")
    return demould.plus(form_board_m2 * form_board_kg_m2 + turning_board_m2 * turning_board_kg_m2)


def planter_with_soil(piece: Band, soil_m3: float, soil_kg_m3: float = WET_SOIL_KG_M3) -> Band:
    """A planter filled with wet soil: a load for the floor under it, and no lift at all by hand."""
    require_not_negative("volume of soil", soil_m3, "m³")
    require_positive("density of wet soil", soil_kg_m3, "kg/m³")
    return piece.plus(soil_m3 * soil_kg_m3)


Point = tuple[float, float, float]


def centre_of_gravity(parts: Iterable[tuple[float, Point]]) -> tuple[float, Point]:
    """Total mass, kg, and centre of gravity, m, of masses at points: the cast material, and each insert at its place.

    >>> centre_of_gravity([(90.0, (1.0, 0.5, 0.0)), (10.0, (2.0, 0.5, 0.0))])
    (100.0, (1.1, 0.5, 0.0))
    """
    total_kg = 0.0
    moments = [0.0, 0.0, 0.0]
    for mass_kg, point in parts:
        require_not_negative("mass of a part", mass_kg, "kg")
        total_kg += mass_kg
        for axis in range(3):
            moments[axis] += mass_kg * point[axis]
    if total_kg == 0.0:
        raise RangeError("no mass: a centre of gravity needs at least one part that weighs something")
    x, y, z = (moment / total_kg for moment in moments)
    return total_kg, (x, y, z)
