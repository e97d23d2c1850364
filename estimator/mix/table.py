"""A mix as a table of masses and volumes of one batch, and the workings of its figures."""

from collections.abc import Mapping
from typing import Literal

from estimator.errors import FaultError
from estimator.job import Material, Mix, MixForm
from estimator.mix.faults import bulk_density_kg_m3, particle_density_kg_m3
from estimator.mix.fresh import MixDesign, loose_volumes
from estimator.mix.proportions import sand_ratio_of_share
from estimator.mix.recipe import WATER, Ingredient, Recipe, Role
from estimator.mix.yields import BOUND_WATER_PER_CEMENTITIOUS, EQUILIBRIUM_OVER_OVEN_DRY_KG_M3
from estimator.workings import Working, figure
from geometry.frozen import frozen
from geometry.message import Message, message

Form = MixForm
Unit = Literal["", "kg", "kg/m3", "m3", "part"]

# The trade's dosage basis for each role. The sheet gives the textbook term beside it once.
BASIS_OF_ROLE: Mapping[Role, Message] = {
    "cementitious": message("ratio-of-cementitious"),
    "aggregate": message("ratio-of-sand-replaced"),
    "admixture": message("ratio-product-of-cementitious"),
    "polymer": message("ratio-solids-of-cementitious"),
    "pigment": message("ratio-of-cementitious"),
    "fibre": message("ratio-of-counted-dry"),
}
_FIBER_OF_TOTAL = message("ratio-of-total")
_AS_WEIGHED = message("state-as-weighed")


@frozen
class MixLine:
    """One line of a mix as written."""

    name: str
    value: float
    unit: Unit  # "" is a ratio
    basis: Message  # basis of a ratio, or state in which a mass or volume is measured


@frozen
class MixListing:
    """A mix in one of its written forms, and the batch of its masses."""

    mix: str
    form: Form
    lines: tuple[MixLine, ...]
    batch: Recipe
    finished_m3: float


def recipe_for(
    design: MixDesign,
    *,
    counted_dry_kg: float | None = None,
    finished_m3: float | None = None,
    total_kg: float | None = None,
    material_kg: tuple[str, float] | None = None,
) -> Recipe:
    """Recipe of a batch whose size is given by exactly one measure.

    counted_dry_kg  "100 lb dry batch weight, as if all sand"
    finished_m3     fresh volume, air included; for pieces, the sum of volume · count · (1 + waste)
    total_kg        total mass of the batch
    material_kg     a material and its mass as weighed, such as two bags of cement

    Raises FaultError if none or several are given, a size is not above 0, or the material is not in the mix.
    """
    sizes = {
        "counted_dry": (counted_dry_kg, design.recipe.counted_dry_kg),
        "finished": (finished_m3, 1.0),
        "total": (total_kg, design.recipe.total_kg),
    }
    if material_kg is not None:
        name, mass_kg = material_kg
        per_m3 = design.recipe_kg_m3.get(name, 0.0)
        if per_m3 <= 0.0:
            raise FaultError(name, message("mix-not-in-mix", material=name, mix=design.name))
        sizes[name] = (mass_kg, per_m3)
    given = {key: (size, per_m3) for key, (size, per_m3) in sizes.items() if size is not None}
    if len(given) != 1:
        raise FaultError("batch", message("mix-size-count", count=len(given)))
    [(key, (size, per_m3))] = given.items()
    if not size > 0.0:
        raise FaultError(f"batch.{key}", message("mix-size-zero", size=f"{size:g}"))
    return design.recipe.scaled(size / per_m3)


def show(design: MixDesign, materials: Mapping[str, Material], form: Form, batch: Recipe | None = None) -> MixListing:
    """Mix written in `form`, with masses and volumes for `batch`, by default one cubic meter.

    "volume-parts" are loose volumes relative to the first cementitious; water has its own volume.
    """
    batch = batch or design.recipe
    finished_m3 = batch.cementitious_kg / design.recipe.cementitious_kg
    if form == "masses":
        lines = [MixLine(name, kg, "kg", _AS_WEIGHED) for name, kg in batch.weighed_kg.items()]
    elif form == "mass-per-volume":
        lines = [MixLine(name, kg, "kg/m3", _AS_WEIGHED) for name, kg in design.recipe_kg_m3.items()]
    elif form == "volume-parts":
        loose_m3, _ = loose_volumes(batch, materials, design.made.water_density_kg_m3)
        unit_m3 = loose_m3[batch.ingredients[0].material]
        lines = [MixLine(name, m3 / unit_m3, "part", message("state-loose-volume")) for name, m3 in loose_m3.items()]
    else:
        lines = _ratios(design, form)
    return MixListing(design.name, form, tuple(lines), batch, finished_m3)


def _ratios(design: MixDesign, form: Form) -> list[MixLine]:
    recipe = design.recipe
    share = recipe.cementitious_kg / recipe.counted_dry_kg
    if form == "share":
        lines = [MixLine("cementitious", share, "", BASIS_OF_ROLE["fibre"])]
    else:
        lines = [MixLine("sand", sand_ratio_of_share(share), "", message("ratio-sand-to-cementitious"))]
    loose_m3 = sum(recipe.loose_aggregate_m3.values())
    for part in recipe.ingredients:
        basis = BASIS_OF_ROLE[part.role]
        if part.role == "aggregate" and part.loose_m3 is not None:
            value = part.loose_m3 / loose_m3
        elif part.role == "fibre":
            of_total = design.fibre_basis == "total"
            value = part.product_kg / (recipe.total_kg if of_total else recipe.counted_dry_kg)
            basis = _FIBER_OF_TOTAL if of_total else basis
        else:
            counted_kg = part.solids_kg if part.role in ("cementitious", "polymer") else part.product_kg
            value = counted_kg / recipe.cementitious_kg
        lines.append(MixLine(part.material, value, "", basis))
    lines.append(MixLine(WATER, design.water_cementitious, "", message("ratio-w-cm")))
    if design.water_cement is not None:
        lines.append(MixLine(WATER, design.water_cement, "", message("ratio-w-c")))
    return lines


_COUNTED = message("source-counted-dry")
_BUCKET = message("source-loose-volume")
_OVEN_DRY = message("source-oven-dry", service_kg_m3=EQUILIBRIUM_OVER_OVEN_DRY_KG_M3)


def mix_workings(design: MixDesign, mix: Mix, materials: Mapping[str, Material]) -> tuple[Working, ...]:
    """Workings of every figure of a mix design that could be disputed, per cubic meter of fresh concrete.

    mix, materials   those the design was made from
    """
    lines = [_mass(design, mix, materials, part) for part in design.recipe.ingredients]
    return (*lines, _water(design), _fresh(design, materials), _installed(design))


def _mass(design: MixDesign, mix: Mix, materials: Mapping[str, Material], part: Ingredient) -> Working:
    name, material = part.material, materials[part.material]
    values = {"cementitious": design.cementitious_kg_m3}
    source = message("source-dosed")
    if part.role == "cementitious":
        values = {
            "share": mix.cementitious_share,
            "blend": mix.cementitious[name],
            "counted_dry": design.counted_dry_kg_m3,
        }
        values["solids"] = material.solids
        formula, source = "share · counted_dry · blend / solids", _COUNTED
    elif part.role == "aggregate":
        reference = materials[mix.reference_sand or name]
        values |= {
            "counted_dry": design.counted_dry_kg_m3,
            "share": mix.aggregate[name],
            "bulk": bulk_density_kg_m3(material),
            "bulk_sand": bulk_density_kg_m3(reference),
            "moisture": material.moisture,
        }
        formula, source = "share · (counted_dry − cementitious) / bulk_sand · bulk · (1 + moisture)", _BUCKET
    elif part.role == "fibre" and design.fibre_basis == "total":
        total_kg = design.recipe.total_kg
        values = {"dose": mix.fibre[name], "everything": total_kg}
        formula, source = "dose · everything", message("source-dosed-total")
    elif part.role == "fibre":
        values = {"dose": mix.fibre[name], "counted_dry": design.counted_dry_kg_m3}
        formula, source = "dose · counted_dry", _COUNTED
    elif part.role == "polymer":
        values |= {"dose": mix.polymer[name], "solids": material.solids}
        formula, source = "dose · cementitious / solids", message("source-dosed-solids")
    else:
        values["dose"] = (mix.admixtures if part.role == "admixture" else mix.pigment)[name]
        formula = "dose · cementitious"
    return figure(f"mixes.{design.name}.recipe_kg_m3.{name}", formula, values, "kg/m3", source)


def _water(design: MixDesign) -> Working:
    return figure(
        path=f"mixes.{design.name}.recipe_kg_m3.{WATER}",
        formula="water_cementitious · cementitious + absorbed − brought",
        values={
            "water_cementitious": design.water_cementitious,
            "cementitious": design.cementitious_kg_m3,
            "absorbed": design.absorbed_water_kg_m3,
            "brought": sum(part.water_kg for part in design.recipe.ingredients),
        },
        unit="kg/m3",
        source=message("source-water"),
    )


def _fresh(design: MixDesign, materials: Mapping[str, Material]) -> Working:
    values: dict[str, float] = {}
    added_kg = design.free_water_kg_m3
    for number, part in enumerate(design.recipe.ingredients, start=1):
        counted_kg = part.solids_kg if part.role == "aggregate" else part.product_kg
        added_kg -= counted_kg - part.solids_kg
        values[f"m{number}"] = counted_kg
        values[f"d{number}"] = particle_density_kg_m3(materials[part.material])
    numbers = range(1, len(design.recipe.ingredients) + 1)
    masses = " + ".join(f"m{number}" for number in numbers)
    volumes = " + ".join(f"m{number}/d{number}" for number in numbers)
    values |= {
        "water": added_kg,
        "d_water": design.made.water_density_kg_m3,
        "absorbed": design.absorbed_water_kg_m3,
        "air": design.air,
    }
    names = [f"m{number} {part.material}" for number, part in enumerate(design.recipe.ingredients, start=1)]
    return figure(
        path=f"mixes.{design.name}.fresh_density_kg_m3",
        formula=f"({masses} + water + absorbed) · (1 − air) / ({volumes} + water/d_water)",
        values=values,
        unit="kg/m3",
        source=message("source-absolute-volume", names=", ".join(names)),
    )


def _installed(design: MixDesign) -> Working:
    return figure(
        path=f"mixes.{design.name}.installed_density_kg_m3",
        formula="min(dry + min(bound · cementitious, free_water) + service, fresh)",
        values={
            "dry": sum(part.solids_kg for part in design.recipe.ingredients),
            "bound": BOUND_WATER_PER_CEMENTITIOUS,
            "cementitious": design.cementitious_kg_m3,
            "free_water": design.free_water_kg_m3,
            "service": EQUILIBRIUM_OVER_OVEN_DRY_KG_M3,
            "fresh": design.fresh_density_kg_m3,
        },
        unit="kg/m3",
        source=_OVEN_DRY,
    )
