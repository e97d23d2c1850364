"""From what went over the scale back to a recipe, and from a recipe to the mix that it is."""

from collections.abc import Mapping

from estimator.job import WATER_DENSITY_KG_M3, Material, MaterialKind, Mix
from estimator.mix.faults import MixError, bulk_density_kg_m3
from estimator.mix.recipe import WATER, FibreBasis, Ingredient, Recipe, Role, aggregate_of, cement_mass_kg, product_of

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
    """The recipe behind masses as weighed: damp aggregate with its moisture, liquids as product, "water" as weighed.

    weighed_kg      by material; each takes the role of its kind
    reference_sand  whose loose volume is counted; None takes the only sand

    Free water is the water weighed, with what damp aggregate and liquids bring, less what the aggregate takes up.
    Raises MixError where there is no cementitious, no known sand, or too little water to wet the aggregate.
    """
    ingredients: list[Ingredient] = []
    for material_name, mass_kg in weighed_kg.items():
        if material_name == WATER or mass_kg == 0.0:
            continue
        if material_name not in materials:
            raise MixError(material_name, f"{material_name} is not among the materials.", "Correct the name or add it.")
        if not mass_kg > 0.0:
            raise MixError(material_name, f"a mass of {mass_kg:g} kg was not weighed.", "Write a mass of 0 or more.")
        ingredients.append(_ingredient(materials[material_name], mass_kg))
    cementitious_kg = sum(part.solids_kg for part in ingredients if part.role == "cementitious")
    if cementitious_kg == 0.0:
        raise MixError("cementitious", "there is no cement or pozzolan in the mix.", "Add its mass.")
    brought_kg = sum(part.water_kg for part in ingredients)
    absorbed_kg = sum(part.absorbed_kg for part in ingredients)
    free_water_kg = weighed_kg.get(WATER, 0.0) + brought_kg - absorbed_kg
    if free_water_kg <= 0.0:
        raise MixError("water", "the aggregate takes up all the water there is.", "Add water, or soak the aggregate.")
    return Recipe(
        mix=name,
        counted_dry_kg=cementitious_kg + _sand_equivalent_kg(ingredients, materials, reference_sand),
        cementitious_kg=cementitious_kg,
        cement_kg=cement_mass_kg(ingredients, materials),
        free_water_kg=free_water_kg,
        ingredients=tuple(ingredients),
        fibre_basis=fibre_basis,
    )


def mix_of_recipe(
    recipe: Recipe,
    *,
    reference_sand: str | None,
    air: float,
    fibre_basis: FibreBasis = "counted-dry",
    water_density_kg_m3: float = WATER_DENSITY_KG_M3,
) -> Mix:
    """The mix, in shares of counted dry mass, that a recipe is; proportioning it gives the recipe again.

    Where `reference_sand` is None the mix has no aggregate.
    """
    of_cementitious: dict[Role, dict[str, float]] = {}
    for part in recipe.ingredients:
        counted = part.solids_kg if part.role in ("cementitious", "polymer") else part.product_kg
        doses = of_cementitious.setdefault(part.role, {})
        doses[part.material] = doses.get(part.material, 0.0) + counted / recipe.cementitious_kg
    loose_m3 = recipe.loose_aggregate_m3
    all_loose_m3 = sum(loose_m3.values())
    fibre_kg = recipe.counted_dry_kg if fibre_basis == "counted-dry" else recipe.total_kg
    return Mix(
        name=recipe.mix,
        cementitious_share=recipe.cementitious_kg / recipe.counted_dry_kg,
        cementitious=of_cementitious.get("cementitious", {}),
        aggregate={name: part_m3 / all_loose_m3 for name, part_m3 in loose_m3.items()},
        reference_sand=reference_sand if loose_m3 else None,
        water_cementitious=recipe.free_water_kg / recipe.cementitious_kg,
        air=air,
        admixtures=of_cementitious.get("admixture", {}),
        polymer=of_cementitious.get("polymer", {}),
        pigment=of_cementitious.get("pigment", {}),
        fibre={
            name: dose * recipe.cementitious_kg / fibre_kg for name, dose in of_cementitious.get("fibre", {}).items()
        },
        fibre_basis=fibre_basis,
        water_density_kg_m3=water_density_kg_m3,
    )


def only_sand(names: Mapping[str, object], materials: Mapping[str, Material]) -> str | None:
    """The one sand among the names; None where there is none or more than one."""
    sands = [name for name in names if name in materials and materials[name].kind == "sand"]
    return sands[0] if len(sands) == 1 else None


def _ingredient(material: Material, weighed_kg: float) -> Ingredient:
    role = ROLE_OF_KIND.get(material.kind)
    if role is None:
        raise MixError(material.name, f"a {material.kind} does not go into a mix.", "Leave it out of the batch.")
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
        raise MixError(
            "reference_sand",
            "it is not said which sand's volume is counted.",
            'Name it, such as reference_sand = "silica-sand".',
        )
    return sum(loose.values()) * bulk_density_kg_m3(materials[reference_sand])
