"""The weights of one piece, from its layers' volumes and densities and what is cast in."""

from collections.abc import Mapping
from dataclasses import dataclass

from estimator.job import Vector, Workshop
from estimator.mix import MadeMix
from estimator.takeoff import PieceTakeoff
from estimator.weight.planter import soil_of
from estimator.weight.stages import (
    Band,
    CastMass,
    Stage,
    StageWeights,
    Tolerance,
    centre_of_gravity,
    planter_with_soil,
    stage_weights,
    turning_weight,
)
from geometry import shapes

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
    """Weights of one piece. Raises RangeError where the thickness tolerance eats the whole thickness.

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
    outdoors, figures = piece.in_place.outdoors is True, workshop.figures
    stages = stage_weights(
        cast,
        tolerance,
        inserts_kg,
        outdoors=outdoors,
        absorption=figures["handling.soaked_gain"] if outdoors else None,
    )
    length_m, width_m, _ = taken.solid.size_m
    turned = turning_weight(
        stages.demould,
        taken.solid.form_area_m2,
        length_m * width_m,
        form_board_kg_m2=figures["handling.form_board"],
        turning_board_kg_m2=figures["handling.turning_board"],
    )
    inserts = [(insert.mass_kg, insert.at_m or taken.solid.centroid_m) for insert in piece.inserts]
    centres_m: dict[Stage, Vector] = {}
    for stage in stages.by_stage:
        layers = [(layer.volume_m3 * _density(mix, stage), layer.centroid_m) for layer, mix in made]
        centres_m[stage] = centre_of_gravity([*layers, *inserts])[1]
    fill_kg_m3 = max(figures["handling.wet_soil"], WATER_KG_M3)  # a blocked drain fills it with water to the rim
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
                [f"Outdoors: lifted soaked, at least {figures['handling.soaked_gain']:.0%} over oven-dry."]
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
