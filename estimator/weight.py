"""What a piece weighs at each stage, with its band, its balance, and the soil or water of a planter."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from estimator.bounds import (
    POUND_PER_FOOT2_KG_M2,
    POUND_PER_FOOT3_KG_M3,
    require_not_negative,
    require_positive,
    require_within,
)
from estimator.errors import FaultError
from estimator.job import Vector, Workshop
from estimator.mix import MadeMix
from estimator.takeoff import PieceTakeoff
from estimator.workings import Working
from geometry import shapes
from geometry.solid import Solid

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
            raise FaultError(
                "",
                f"thickness tolerance is {self.thickness:g} of the thickness: must be 0 to under 1; "
                "give a tolerance that is smaller than the piece is thick",
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
        raise FaultError("", "no stage is named at which the bare piece is lifted: name at least demould")
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
        raise FaultError("", "no mass: a centre of gravity needs at least one part that weighs something")
    x, y, z = (moment / total_kg for moment in moments)
    return total_kg, (x, y, z)


@dataclass(frozen=True, slots=True)
class Soil:
    """Wet soil in a planter filled to its rim; `assumption` is "" where its hollow is known exactly."""

    volume_m3: float
    assumption: str


def soil_of(shape: shapes.Shape, solid: Solid) -> Soil | None:
    """Soil in a planter of this shape, or None for a shape that holds none (a closed box).

    A box holds its outer volume less its own concrete; drain holes and fillets are as the solid has them. Of any other
    shape the box around it is taken for the outer volume, which is too much rather than too little.
    """
    if isinstance(shape, shapes.Box):
        if not shape.open:
            return None
        return Soil(_outer_volume_m3(shape) - solid.volume_m3, "")
    length_m, width_m, height_m = solid.size_m
    return Soil(
        length_m * width_m * height_m - solid.volume_m3,
        "soil: the box around the planter is taken for its outer volume",
    )


def _outer_volume_m3(box: shapes.Box) -> float:
    """Of a body between two rectangles, by the prismoidal formula, which is exact for it."""
    bottom_m = box.base_length_m or box.length_m, box.base_width_m or box.width_m
    top_m = box.length_m, box.width_m
    middle_m2 = (bottom_m[0] + top_m[0]) / 2.0 * (bottom_m[1] + top_m[1]) / 2.0
    return box.height_m / 6.0 * (bottom_m[0] * bottom_m[1] + 4.0 * middle_m2 + top_m[0] * top_m[1])


WATER_KG_M3 = 1000.0


@dataclass(frozen=True, slots=True)
class Weight:
    """Weights of one piece, inserts in.

    cast                 nominal mass of the concrete by stage
    layers_kg            fresh mass of each layer
    turn_kg              high side of the piece turned in its form, boards on
    centres_m            centre of gravity at each stage, in the piece's own axes
    soil_kg, filled      wet soil of a planter, or water to its rim, and the planter full of it; else None
    assumptions          what was taken where nothing was said or tested
    """

    cast: CastMass
    tolerance: Tolerance
    stages: StageWeights
    inserts_kg: float
    boards_kg: float
    turn_kg: float
    layers_kg: tuple[float, ...]
    centres_m: Mapping[Stage, Vector]
    soil_kg: float | None
    filled: Band | None
    assumptions: tuple[str, ...]

    @property
    def centre_of_gravity_m(self) -> Vector:
        """At demould, when it is lifted first."""
        return self.centres_m["demould"]

    @property
    def fresh_kg(self) -> float:
        return self.stages.fresh.nominal_kg

    @property
    def demould_kg(self) -> float:
        return self.stages.demould.nominal_kg

    @property
    def installed_kg(self) -> float:
        return self.stages.installed.nominal_kg

    @property
    def low_kg(self) -> float:
        """The lightest stage at the light edge of its tolerances."""
        return self.stages.low_kg

    @property
    def high_kg(self) -> float:
        """The heaviest stage at the heavy edge of its tolerances."""
        return self.stages.high_kg

    @property
    def in_place_kg(self) -> float:
        """High side of the heaviest that it is in its place: not dried out yet, or soaked outdoors; no soil."""
        return max(self.stages.may_weigh_kg("transport"), self.stages.may_weigh_kg("installed"))

    @property
    def lift_kg(self) -> float:
        """The high side of the heaviest stage at which the bare piece is lifted."""
        return self.stages.lift_kg


def weigh(taken: PieceTakeoff, mixes: Mapping[str, MadeMix], workshop: Workshop) -> Weight:
    """Weights of one piece. Raises FaultError where the thickness tolerance eats the whole thickness.

    High side: heaviest stage at the least air that its mixes may have · (1 + density tolerance) · (1 + thickness
    tolerance / thickness) + inserts; the low side takes the lightest stage at the most air, with the signs turned. A
    solid without a thickness of its own (cast in a closed form) has no thickness tolerance.
    """
    piece = taken.piece
    made = [(layer, mixes[layer.mix]) for layer in taken.layers]
    inserts_kg = sum(insert.mass_kg for insert in piece.inserts)
    cast = CastMass(
        fresh_kg=sum(layer.volume_m3 * mix.fresh_density_kg_m3 for layer, mix in made),
        demould_kg=sum(layer.volume_m3 * mix.demould_density_kg_m3 for layer, mix in made),
        installed_kg=sum(layer.volume_m3 * mix.installed_density_kg_m3 for layer, mix in made),
        oven_dry_kg=sum(layer.volume_m3 * mix.oven_dry_density_kg_m3 for layer, mix in made),
    )
    tolerance = Tolerance(
        max([workshop.density_tolerance, *(mix.density_tolerance_least for _, mix in made)]),
        thickness_spread(taken, workshop),
        sum(layer.volume_m3 * mix.fresh_density_kg_m3 * at_air(mix, mix.air_low) for layer, mix in made)
        / cast.fresh_kg,
        sum(layer.volume_m3 * mix.fresh_density_kg_m3 * at_air(mix, mix.air_high) for layer, mix in made)
        / cast.fresh_kg,
    )
    outdoors, shop = piece.in_place.outdoors is True, workshop
    stages = stage_weights(
        cast,
        tolerance,
        inserts_kg,
        outdoors=outdoors,
        absorption=shop.handling.soaked_gain if outdoors else None,
    )
    length_m, width_m, _ = taken.solid.size_m
    turned = turning_weight(
        stages.demould,
        taken.solid.form_area_m2,
        length_m * width_m,
        form_board_kg_m2=shop.handling.form_board_kg_m2,
        turning_board_kg_m2=shop.handling.turning_board_kg_m2,
    )
    inserts = [(insert.mass_kg, insert.at_m or taken.solid.centroid_m) for insert in piece.inserts]
    centres_m: dict[Stage, Vector] = {}
    for stage in stages.by_stage:
        layers = [(layer.volume_m3 * _density(mix, stage), layer.centroid_m) for layer, mix in made]
        centres_m[stage] = centre_of_gravity([*layers, *inserts])[1]
    fill_kg_m3 = max(shop.handling.wet_soil_kg_m3, WATER_KG_M3)  # a blocked drain fills it with water to the rim
    soil = soil_of(piece.shape, taken.solid) if piece.use == "planter" else None
    soil_kg = None if soil is None else soil.volume_m3 * fill_kg_m3
    full_of = stages.fresh if stages.soaked is None or stages.soaked.high_kg < stages.fresh.high_kg else stages.soaked
    return Weight(
        cast=cast,
        tolerance=tolerance,
        stages=stages,
        inserts_kg=inserts_kg,
        boards_kg=turned.high_kg - stages.demould.high_kg,
        turn_kg=turned.high_kg,
        layers_kg=tuple(layer.volume_m3 * mix.fresh_density_kg_m3 for layer, mix in made),
        centres_m=centres_m,
        soil_kg=soil_kg,
        filled=None if soil is None else planter_with_soil(full_of, soil.volume_m3, fill_kg_m3),
        assumptions=(
            *stages.assumptions,
            *(
                [f"Outdoors: lifted soaked, at least {shop.handling.soaked_gain:.0%} over oven-dry."]
                if outdoors
                else []
            ),
            *(_not_said(taken)),
            *([soil.assumption] if soil is not None and soil.assumption else []),
        ),
    )


def drop_edge_loads(taken: PieceTakeoff, weight: Weight) -> list[tuple[shapes.DropEdge, float]]:
    """Each drop edge of a slab with what of it hangs below the slab, high side in place, kg per m of edge."""
    shape = taken.piece.shape
    if not isinstance(shape, shapes.Slab):
        return []
    high_kg_m3 = (weight.in_place_kg - weight.inserts_kg) / taken.volume_m3
    return [
        (drop, high_kg_m3 * drop.thickness_m * max(0.0, drop.height_m - shape.thickness_m)) for drop in shape.drop_edges
    ]


def _density(mix: MadeMix, stage: Stage) -> float:
    """Density of one mix at a stage, kg/m³; a soaked piece is taken to be wet evenly, like a fresh one."""
    match stage:
        case "fresh" | "soaked":
            return mix.fresh_density_kg_m3
        case "demould" | "transport":
            return mix.demould_density_kg_m3
        case "installed":
            return mix.installed_density_kg_m3


def at_air(mix: MadeMix, air: float) -> float:
    """Density of a mix at another air content over that at its own."""
    return (1.0 - air) / (1.0 - mix.air)


def _not_said(taken: PieceTakeoff) -> tuple[str, ...]:
    if taken.piece.use in ("planter", "panel", "basin", "fire") and taken.piece.in_place.outdoors is None:
        return ("not said whether it stands outdoors: its soaked weight is not counted",)
    return ()


def thickness_spread(taken: PieceTakeoff, workshop: Workshop) -> float:
    """Relative thickness tolerance of a piece: that of its least exact method over its thinnest section."""
    thickness_m = taken.piece.nominal_thickness_m
    if thickness_m is None:
        return 0.0
    return max(workshop.thickness_tolerance_m[layer.method] for layer in taken.layers) / thickness_m


def weight_workings(mark: str, weight: Weight) -> list[Working]:
    """How the weights of one piece came about."""
    at = f"pieces.{mark}.weight"
    cast, spread = weight.cast, weight.tolerance
    inserts = {"inserts_kg": weight.inserts_kg}
    edges = {"density_tolerance": spread.density, "thickness_tolerance": spread.thickness, **inserts}
    high = "heaviest_kg · low_air · (1 + density_tolerance) · (1 + thickness_tolerance) + inserts_kg"
    low = "lightest_kg · high_air · (1 − density_tolerance) · (1 − thickness_tolerance) + inserts_kg"
    highest, lowest = {"low_air": spread.low_air, **edges}, {"high_air": spread.high_air, **edges}
    stages = [cast.fresh_kg, cast.demould_kg, cast.installed_kg]
    soaked_kg = None if weight.stages.soaked is None else weight.stages.soaked.nominal_kg - weight.inserts_kg
    in_place = stages if soaked_kg is None else [*stages, soaked_kg]
    stage_source = "sum over layers of volume · density; oven-dry by ASTM C567, extended to pozzolans, plus 50 kg/m³"
    spread_source = "tolerances of the workshop; thickness tolerance over the thinnest section"
    told = [
        Working(
            f"{at}.fresh_kg",
            "concrete_kg + inserts_kg",
            {"concrete_kg": cast.fresh_kg, **inserts},
            weight.fresh_kg,
            "kg",
            "sum over layers of volume · fresh density",
        ),
        Working(
            f"{at}.demould_kg",
            "concrete_kg + inserts_kg",
            {"concrete_kg": cast.demould_kg, **inserts},
            weight.demould_kg,
            "kg",
            "sealed under plastic little water goes: demould weight is fresh weight",
        ),
        Working(
            f"{at}.installed_kg",
            "concrete_kg + inserts_kg",
            {"concrete_kg": cast.installed_kg, **inserts},
            weight.installed_kg,
            "kg",
            stage_source,
        ),
        Working(f"{at}.high_kg", high, {"heaviest_kg": max(in_place), **highest}, weight.high_kg, "kg", spread_source),
        Working(f"{at}.low_kg", low, {"lightest_kg": min(in_place), **lowest}, weight.low_kg, "kg", spread_source),
        Working(
            f"{at}.lift_kg",
            high,
            {"heaviest_kg": max(in_place[1:]), **highest},
            weight.lift_kg,
            "kg",
            "high side of the heaviest stage at which the bare piece is lifted, wet outdoors included",
        ),
        Working(
            f"{at}.turn_kg",
            "demould_high_kg + boards_kg",
            {"demould_high_kg": weight.stages.demould.high_kg, "boards_kg": weight.boards_kg},
            weight.turn_kg,
            "kg",
            "form board on the form's faces, turning board over the plan; common practice",
        ),
    ]
    if weight.stages.soaked is not None and soaked_kg is not None:
        told.append(
            Working(
                f"{at}.stages.soaked.nominal_kg",
                "oven_dry_kg + water_kg + inserts_kg",
                {"oven_dry_kg": cast.oven_dry_kg, "water_kg": soaked_kg - cast.oven_dry_kg, **inserts},
                weight.stages.soaked.nominal_kg,
                "kg",
                "the greater of fresh mass and the workshop's gain of oven-dry mass, from memory; no test",
            )
        )
    if weight.filled is not None and weight.soil_kg is not None:
        told.append(
            Working(
                f"{at}.filled_kg",
                "planter_kg + soil_kg",
                {"planter_kg": weight.filled.high_kg - weight.soil_kg, "soil_kg": weight.soil_kg},
                weight.filled.high_kg,
                "kg",
                "high side of the wet planter, filled to the rim with wet soil; common practice",
            )
        )
    return told
