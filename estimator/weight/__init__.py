"""What a piece weighs from the form to its place, at its nominal, its lightest and its heaviest."""

from collections.abc import Mapping
from dataclasses import dataclass

from estimator.job import Vector, Workshop
from estimator.mix import MadeMix
from estimator.takeoff import PieceTakeoff
from estimator.weight.stages import (
    CastMass,
    StageWeights,
    Tolerance,
    centre_of_gravity,
    stage_weights,
    turning_weight,
)
from estimator.workings import Working


@dataclass(frozen=True, slots=True)
class Weight:
    """Weights of one piece, inserts in.

    cast                 nominal mass of the concrete by stage
    layers_kg            fresh mass of each layer
    turn_kg              high side of the piece turned in its form, boards on
    centre_of_gravity_m  at demould, when it is lifted first
    """

    cast: CastMass
    tolerance: Tolerance
    stages: StageWeights
    inserts_kg: float
    boards_kg: float
    turn_kg: float
    layers_kg: tuple[float, ...]
    centre_of_gravity_m: Vector

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
    def lift_kg(self) -> float:
        """The high side of the heaviest stage at which the bare piece is lifted."""
        return self.stages.lift_kg


def weigh(taken: PieceTakeoff, mixes: Mapping[str, MadeMix], workshop: Workshop) -> Weight:
    """Weights of one piece. Raises ValueError where the thickness tolerance eats the whole thickness.

    High side: heaviest stage · (1 + density tolerance) · (1 + thickness tolerance / thickness) + inserts; the low
    side takes the lightest stage with the signs turned. A solid without a thickness of its own (cast in a closed
    form) has no thickness tolerance.
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
    tolerance = Tolerance(workshop.density_tolerance, thickness_spread(taken, workshop))
    stages = stage_weights(cast, tolerance, inserts_kg)
    length_m, width_m, _ = taken.solid.size_m
    turned = turning_weight(
        stages.demould,
        taken.solid.form_area_m2,
        length_m * width_m,
        form_board_kg_m2=workshop.figures["handling.form_board"],
        turning_board_kg_m2=workshop.figures["handling.turning_board"],
    )
    parts = [(layer.volume_m3 * mix.demould_density_kg_m3, layer.centroid_m) for layer, mix in made]
    parts += [(insert.mass_kg, insert.at_m or taken.solid.centroid_m) for insert in piece.inserts]
    return Weight(
        cast=cast,
        tolerance=tolerance,
        stages=stages,
        inserts_kg=inserts_kg,
        boards_kg=turned.high_kg - stages.demould.high_kg,
        turn_kg=turned.high_kg,
        layers_kg=tuple(layer.volume_m3 * mix.fresh_density_kg_m3 for layer, mix in made),
        centre_of_gravity_m=centre_of_gravity(parts)[1],
    )


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
    high = "heaviest_kg · (1 + density_tolerance) · (1 + thickness_tolerance) + inserts_kg"
    low = "lightest_kg · (1 − density_tolerance) · (1 − thickness_tolerance) + inserts_kg"
    stages = [cast.fresh_kg, cast.demould_kg, cast.installed_kg]
    stage_source = "sum over layers of volume · density; oven-dry by ASTM C567, extended to pozzolans, plus 50 kg/m³"
    spread_source = "tolerances of the workshop; thickness tolerance over the thinnest section"
    return [
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
        Working(f"{at}.high_kg", high, {"heaviest_kg": max(stages), **edges}, weight.high_kg, "kg", spread_source),
        Working(f"{at}.low_kg", low, {"lightest_kg": min(stages), **edges}, weight.low_kg, "kg", spread_source),
        Working(
            f"{at}.lift_kg",
            high,
            {"heaviest_kg": max(stages[1:]), **edges},
            weight.lift_kg,
            "kg",
            "high side of the heaviest stage at which the bare piece is lifted",
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
