"""How the figures of a mix came about, told next to the recipe: masses per cubic metre, densities, water."""

from collections.abc import Mapping

from estimator.job import Material, Mix
from estimator.mix.faults import bulk_density_kg_m3, particle_density_kg_m3
from estimator.mix.fresh import MadeMix
from estimator.mix.recipe import WATER, Ingredient
from estimator.mix.yields import BOUND_WATER_PER_CEMENTITIOUS, EQUILIBRIUM_OVER_OVEN_DRY_KG_M3
from estimator.workings import Working, figure

_COUNTED = "counted dry mass: cementitious and sand-equivalent, as if no sand had been replaced (common practice)"
_BUCKET = "loose volume of the sand that is replaced, at the aggregate's own loose bulk density (common practice)"
_ABSOLUTE = "absolute-volume method, as in ACI 211.1; absorbed water adds mass, not volume"
_OVEN_DRY = (
    "ASTM C567: dry mass with 0.2 of the cement as bound water, and 50 kg/m³ in service; counting pozzolan, fibre and "
    "solids is our extension, and at low w/cm the 0.2 overstates by about 2 %"
)


def mix_workings(made: MadeMix, mix: Mix, materials: Mapping[str, Material]) -> tuple[Working, ...]:
    """Every figure of a made mix that a person could dispute, per cubic metre of fresh concrete.

    mix and materials are those that it was made from.
    """
    lines = [_mass(made, mix, materials, part) for part in made.recipe.ingredients]
    return (*lines, _water(made), _fresh(made, materials), _installed(made))


def _mass(made: MadeMix, mix: Mix, materials: Mapping[str, Material], part: Ingredient) -> Working:
    name, material = part.material, materials[part.material]
    values = {"cementitious": made.cementitious_kg_m3}
    source = "dosed on the cementitious (common practice)"
    if part.role == "cementitious":
        values = {
            "share": mix.cementitious_share,
            "blend": mix.cementitious[name],
            "counted_dry": made.counted_dry_kg_m3,
        }
        values["solids"] = material.solids
        formula, source = "share · counted_dry · blend / solids", _COUNTED
    elif part.role == "aggregate":
        reference = materials[mix.reference_sand or name]
        values |= {
            "counted_dry": made.counted_dry_kg_m3,
            "share": mix.aggregate[name],
            "bulk": bulk_density_kg_m3(material),
            "bulk_sand": bulk_density_kg_m3(reference),
            "moisture": material.moisture,
        }
        formula, source = "share · (counted_dry − cementitious) / bulk_sand · bulk · (1 + moisture)", _BUCKET
    elif part.role == "fibre" and made.fibre_basis == "total":
        total_kg = made.recipe.total_kg
        values = {"dose": mix.fibre[name], "everything": total_kg}
        formula, source = "dose · everything", "dosed on everything, water and fibre in (common practice)"
    elif part.role == "fibre":
        values = {"dose": mix.fibre[name], "counted_dry": made.counted_dry_kg_m3}
        formula, source = "dose · counted_dry", _COUNTED
    elif part.role == "polymer":
        values |= {"dose": mix.polymer[name], "solids": material.solids}
        formula, source = "dose · cementitious / solids", "solids dosed on the cementitious (common practice)"
    else:
        values["dose"] = (mix.admixtures if part.role == "admixture" else mix.pigment)[name]
        formula = "dose · cementitious"
    return figure(f"mixes.{made.name}.recipe_kg_m3.{name}", formula, values, "kg/m3", source)


def _water(made: MadeMix) -> Working:
    return figure(
        path=f"mixes.{made.name}.recipe_kg_m3.{WATER}",
        formula="water_cementitious · cementitious + absorbed − brought",
        values={
            "water_cementitious": made.water_cementitious,
            "cementitious": made.cementitious_kg_m3,
            "absorbed": made.absorbed_water_kg_m3,
            "brought": sum(part.water_kg for part in made.recipe.ingredients),
        },
        unit="kg/m3",
        source="moisture corrections as in ACI 211.1; what damp aggregate and liquids bring is not weighed again",
    )


def _fresh(made: MadeMix, materials: Mapping[str, Material]) -> Working:
    values: dict[str, float] = {}
    added_kg = made.free_water_kg_m3
    for number, part in enumerate(made.recipe.ingredients, start=1):
        counted_kg = part.solids_kg if part.role == "aggregate" else part.product_kg
        added_kg -= counted_kg - part.solids_kg
        values[f"m{number}"] = counted_kg
        values[f"d{number}"] = particle_density_kg_m3(materials[part.material])
    numbers = range(1, len(made.recipe.ingredients) + 1)
    masses = " + ".join(f"m{number}" for number in numbers)
    volumes = " + ".join(f"m{number}/d{number}" for number in numbers)
    values |= {
        "water": added_kg,
        "d_water": made.made.water_density_kg_m3,
        "absorbed": made.absorbed_water_kg_m3,
        "air": made.air,
    }
    names = ", ".join(f"m{number} {part.material}" for number, part in enumerate(made.recipe.ingredients, start=1))
    return figure(
        path=f"mixes.{made.name}.fresh_density_kg_m3",
        formula=f"({masses} + water + absorbed) · (1 − air) / ({volumes} + water/d_water)",
        values=values,
        unit="kg/m3",
        source=f"{_ABSOLUTE}; dry aggregate, liquids as product: {names}",
    )


def _installed(made: MadeMix) -> Working:
    return figure(
        path=f"mixes.{made.name}.installed_density_kg_m3",
        formula="min(dry + min(bound · cementitious, free_water) + service, fresh)",
        values={
            "dry": sum(part.solids_kg for part in made.recipe.ingredients),
            "bound": BOUND_WATER_PER_CEMENTITIOUS,
            "cementitious": made.cementitious_kg_m3,
            "free_water": made.free_water_kg_m3,
            "service": EQUILIBRIUM_OVER_OVEN_DRY_KG_M3,
            "fresh": made.fresh_density_kg_m3,
        },
        unit="kg/m3",
        source=_OVEN_DRY,
    )
