"""How the weights of one piece came about."""

from estimator.weight.weighing import Weight
from estimator.workings import Working


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
