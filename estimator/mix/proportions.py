"""Mixes from proportions given as masses, per volume of concrete, in volume parts or in buckets."""

from collections.abc import Mapping
from dataclasses import replace

from estimator.constants import WATER_DENSITY_KG_M3
from estimator.errors import FaultError
from estimator.job import Material, MaterialKind, Mix
from estimator.mix.faults import bulk_density_kg_m3, particle_density_kg_m3
from estimator.mix.recipe import (
    WATER,
    FibreBasis,
    Ingredient,
    Recipe,
    Role,
    aggregate_of,
    cement_mass_kg,
    product_of,
    proportion,
)
from estimator.mix.yields import solids_volume_m3, yield_of
from geometry.message import message

ROLE_OF_KIND: Mapping[MaterialKind, Role] = {
    "cement": "cementitious",
    "pozzolan": "cementitious",
    "sand": "aggregate",
    "light-aggregate": "aggregate",
    "admixture": "admixture",
    "polymer": "polymer",
    "pigment": "pigment",
    "fibre": "fibre",
}


def recipe_of_weighed(
    weighed_kg: Mapping[str, float],
    materials: Mapping[str, Material],
    *,
    reference_sand: str | None = None,
    name: str = "as weighed",
    fibre_basis: FibreBasis = "counted-dry",
) -> Recipe:
    """Recipe of masses as weighed: damp aggregate with its moisture, liquids as product, "water" as weighed.

    weighed_kg      masses by material; each has the role of its kind
    reference_sand  sand whose loose volume is counted; None: the only sand

    Free water is the weighed water plus what damp aggregate and liquids bring, less what the aggregate absorbs. Raises
    FaultError if there is no cementitious, no known sand, or too little water to wet the aggregate.
    """
    ingredients: list[Ingredient] = []
    for material_name, mass_kg in weighed_kg.items():
        if material_name == WATER or mass_kg == 0.0:
            continue
        if material_name not in materials:
            raise FaultError(material_name, message("mix-no-material-here", name=material_name))
        if not mass_kg > 0.0:
            raise FaultError(material_name, message("mix-mass-zero", mass_kg=mass_kg))
        ingredients.append(_ingredient(materials[material_name], mass_kg))
    cementitious_kg = sum(part.solids_kg for part in ingredients if part.role == "cementitious")
    if cementitious_kg == 0.0:
        raise FaultError("cementitious", message("mix-no-cementitious"))
    brought_kg = sum(part.water_kg for part in ingredients)
    absorbed_kg = sum(part.absorbed_kg for part in ingredients)
    free_water_kg = weighed_kg.get(WATER, 0.0) + brought_kg - absorbed_kg
    if free_water_kg <= 0.0:
        raise FaultError("water", message("mix-water-absorbed"))
    return Recipe(
        mix=name,
        counted_dry_kg=cementitious_kg + _sand_equivalent_kg(ingredients, materials, reference_sand),
        cementitious_kg=cementitious_kg,
        cement_kg=cement_mass_kg(ingredients, materials),
        free_water_kg=free_water_kg,
        ingredients=tuple(ingredients),
        fibre_basis=fibre_basis,
    )


def filled_m3_per_kg(material: Material, water_density_kg_m3: float) -> float:
    """Volume that one kilogram of a material, as weighed, adds to the fresh mix without air, m³/kg.

    The solids count by their density. The water it brings is added to the free water, and the water it absorbs is
    taken off. The sum equals the volume from `yield_of` for `recipe_of_weighed`. Raises FaultError as they do.
    """
    if material.name == WATER:
        return 1.0 / water_density_kg_m3
    part = _ingredient(material, 1.0)
    free_kg = part.water_kg - part.absorbed_kg
    return solids_volume_m3(part, material, water_density_kg_m3) + free_kg / water_density_kg_m3


def mix_of_recipe(
    recipe: Recipe,
    *,
    reference_sand: str | None,
    air: float,
    fibre_basis: FibreBasis = "counted-dry",
    water_density_kg_m3: float = WATER_DENSITY_KG_M3,
) -> Mix:
    """Mix of a recipe, in shares of counted dry mass. Proportioning it gives the recipe again.

    If `reference_sand` is None the mix has no aggregate.
    """
    doses_by_role: dict[Role, dict[str, float]] = {}
    for part in recipe.ingredients:
        counted = part.solids_kg if part.role in ("cementitious", "polymer") else part.product_kg
        doses = doses_by_role.setdefault(part.role, {})
        doses[part.material] = doses.get(part.material, 0.0) + counted / recipe.cementitious_kg
    loose_m3 = recipe.loose_aggregate_m3
    all_loose_m3 = sum(loose_m3.values())
    fibre_kg = recipe.counted_dry_kg if fibre_basis == "counted-dry" else recipe.total_kg
    return Mix(
        name=recipe.mix,
        cementitious_share=recipe.cementitious_kg / recipe.counted_dry_kg,
        cementitious=doses_by_role.get("cementitious", {}),
        aggregate={name: part_m3 / all_loose_m3 for name, part_m3 in loose_m3.items()},
        reference_sand=reference_sand if loose_m3 else None,
        water_cementitious=recipe.free_water_kg / recipe.cementitious_kg,
        air=air,
        admixtures=doses_by_role.get("admixture", {}),
        polymer=doses_by_role.get("polymer", {}),
        pigment=doses_by_role.get("pigment", {}),
        fibre={name: dose * recipe.cementitious_kg / fibre_kg for name, dose in doses_by_role.get("fibre", {}).items()},
        fibre_basis=fibre_basis,
        water_density_kg_m3=water_density_kg_m3,
    )


def only_sand(names: Mapping[str, object], materials: Mapping[str, Material]) -> str | None:
    """The only sand among the names; None if there is none or more than one."""
    sands = [name for name in names if name in materials and materials[name].kind == "sand"]
    return sands[0] if len(sands) == 1 else None


def _ingredient(material: Material, weighed_kg: float) -> Ingredient:
    role = ROLE_OF_KIND.get(material.kind)
    if role is None:
        raise FaultError(material.name, message("mix-foreign-kind", kind=material.kind))
    if role == "aggregate":
        return aggregate_of(material, dry_kg=weighed_kg / (1.0 + material.moisture))
    return product_of(role, material, product_kg=weighed_kg)


def _sand_equivalent_kg(
    ingredients: list[Ingredient], materials: Mapping[str, Material], reference_sand: str | None
) -> float:
    loose = {part.material: part.loose_m3 for part in ingredients if part.loose_m3 is not None}
    if not loose:
        return 0.0
    if reference_sand is None:
        reference_sand = only_sand(loose, materials)
    if reference_sand is None or reference_sand not in materials:
        raise FaultError(
            "reference_sand",
            message("mix-no-reference"),
        )
    return sum(loose.values()) * bulk_density_kg_m3(materials[reference_sand])


LEAST_MEASURE_M3 = 0.002  # a smaller measure of fresh mix gives only an indication


def bulk_densities_kg_m3(fills_kg: Mapping[str, float], bucket_m3: float) -> dict[str, float]:
    """Loose bulk density of each material from the dry mass of a level bucket. Source: ASTM C29, loose."""
    return {name: mass_kg / bucket_m3 for name, mass_kg in fills_kg.items()}


def share_of_sand_ratio(sand_to_cementitious: float) -> float:
    """Cementitious share of counted dry mass for a mix written as sand to cementitious, such as 1 : 1.

    >>> share_of_sand_ratio(1.0)
    0.5

    Raises FaultError below 0.
    """
    if not 0.0 <= sand_to_cementitious < float("inf"):
        raise FaultError(
            "sand_cementitious", message("mix-sand-ratio", sand_to_cementitious=f"{sand_to_cementitious:g}")
        )
    return 1.0 / (1.0 + sand_to_cementitious)


def sand_ratio_of_share(cementitious_share: float) -> float:
    """Sand-equivalent to cementitious ratio for a mix written by its cementitious share.

    >>> sand_ratio_of_share(0.5)
    1.0
    """
    return (1.0 - cementitious_share) / cementitious_share


def mix_from_masses(
    name: str,
    weighed_kg: Mapping[str, float],
    materials: Mapping[str, Material],
    *,
    air: float,
    reference_sand: str | None = None,
    fibre_basis: FibreBasis = "counted-dry",
    water_density_kg_m3: float = WATER_DENSITY_KG_M3,
) -> Mix:
    """Mix written as masses of one batch as weighed ("52 lb cement, 7 lb ..."), of any size.

    weighed_kg      masses by material, including "water"
    reference_sand  None: the only sand in the batch

    Raises FaultError as `recipe_of_weighed` does.
    """
    reference_sand = reference_sand or only_sand(weighed_kg, materials)
    recipe = recipe_of_weighed(weighed_kg, materials, reference_sand=reference_sand, name=name, fibre_basis=fibre_basis)
    return mix_of_recipe(
        recipe,
        reference_sand=reference_sand,
        air=air,
        fibre_basis=fibre_basis,
        water_density_kg_m3=water_density_kg_m3,
    )


def mix_from_mass_per_volume(
    name: str,
    weighed_kg: Mapping[str, float],
    volume_m3: float,
    materials: Mapping[str, Material],
    *,
    reference_sand: str | None = None,
    fibre_basis: FibreBasis = "counted-dry",
    water_density_kg_m3: float = WATER_DENSITY_KG_M3,
) -> Mix:
    """Mix written as mass per volume of concrete, such as kg in 1 m3. Its air is the volume that the masses leave.

    Raises FaultError if the materials alone fill more than the volume.
    """
    airless = mix_from_masses(
        name,
        weighed_kg,
        materials,
        air=0.0,
        reference_sand=reference_sand,
        fibre_basis=fibre_basis,
        water_density_kg_m3=water_density_kg_m3,
    )
    recipe = recipe_of_weighed(weighed_kg, materials, reference_sand=airless.reference_sand)
    filled_m3 = yield_of(recipe, materials, 0.0, water_density_kg_m3).volume_m3
    if filled_m3 > volume_m3:
        raise FaultError(
            "air",
            message("mix-overfull", filled=f"{filled_m3 / volume_m3:.4g}"),
        )
    return replace(airless, air=1.0 - filled_m3 / volume_m3)


def mix_from_volume_parts(
    name: str,
    parts: Mapping[str, float],
    materials: Mapping[str, Material],
    *,
    air: float,
    water_cementitious: float | None = None,
    reference_sand: str | None = None,
    fibre_basis: FibreBasis = "counted-dry",
    water_density_kg_m3: float = WATER_DENSITY_KG_M3,
) -> Mix:
    """Mix written as volume parts, such as 1 bucket of cement to 2 of sand: loose and dry, liquids as product.

    parts               parts by material; "water" is one of them, or given by `water_cementitious`
    water_cementitious  w/cm, if the parts contain no water

    Raises FaultError if a granular material has no bulk density, or if water is given twice or not at all.
    """
    if (WATER in parts) == (water_cementitious is not None):
        raise FaultError("water", message("mix-water-twice-named"))
    weighed_kg = {
        part_name: part * _mass_per_loose_volume(materials, part_name)
        for part_name, part in parts.items()
        if part_name != WATER
    }
    # Without parts of water any amount works for finding the shares; the ratio then replaces it.
    weighed_kg[WATER] = parts[WATER] * water_density_kg_m3 if WATER in parts else sum(weighed_kg.values())
    mix = mix_from_masses(
        name,
        weighed_kg,
        materials,
        air=air,
        reference_sand=reference_sand,
        fibre_basis="counted-dry",
        water_density_kg_m3=water_density_kg_m3,
    )
    if water_cementitious is not None:
        mix = replace(mix, water_cementitious=water_cementitious)
    return mix if fibre_basis == "counted-dry" else _on_total_fibre(mix, materials)


def aggregate_that_fills_kg(
    filler: str,
    others_kg: Mapping[str, float],
    materials: Mapping[str, Material],
    *,
    air: float,
    volume_m3: float = 1.0,
    water_density_kg_m3: float = WATER_DENSITY_KG_M3,
) -> float:
    """Mass, as weighed, of the aggregate that fills the volume left by the others, as sand does in ACI 211.1.

    filler     an aggregate
    others_kg  every other material, as weighed

    The filled volume is linear in this mass. Raises FaultError if the others leave no room. Source: absolute-volume
    method of ACI 211.1.
    """

    def filled_m3(mass_kg: float) -> float:
        recipe = recipe_of_weighed({**others_kg, filler: mass_kg}, materials, reference_sand=filler)
        return yield_of(recipe, materials, 0.0, water_density_kg_m3).volume_m3

    one_m3, two_m3 = filled_m3(1.0), filled_m3(2.0)
    mass_kg = 1.0 + (volume_m3 * (1.0 - air) - one_m3) / (two_m3 - one_m3)
    if mass_kg <= 0.0:
        raise FaultError(filler, message("mix-no-room", volume_m3=volume_m3))
    return mass_kg


def dose_of_volume(volume_m3: float, cementitious_kg: float, material: Material) -> float:
    """Dosage of a liquid admixture, product mass per cementitious mass, from volume per mass of cementitious.

    Makers write mL per 100 kg, or fl oz per hundredweight. Raises FaultError if the product has no density.
    """
    return volume_m3 * particle_density_kg_m3(material) / cementitious_kg


def _mass_per_loose_volume(materials: Mapping[str, Material], name: str) -> float:
    if name not in materials:
        raise FaultError(name, message("mix-no-material-here", name=name))
    material = materials[name]
    if material.solids < 1.0:
        return particle_density_kg_m3(material)
    if material.bulk_density_kg_m3 is None:
        raise FaultError(
            f"materials.{name}.bulk_density",
            message("mix-part-no-bulk", name=name),
        )
    return material.bulk_density_kg_m3 * (1.0 + material.moisture)


def _on_total_fibre(mix: Mix, materials: Mapping[str, Material]) -> Mix:
    """Same mix with its fiber as a share of the total mass instead of the counted dry mass."""
    total_kg = proportion(mix, materials).total_kg
    return replace(mix, fibre={name: dose / total_kg for name, dose in mix.fibre.items()}, fibre_basis="total")
