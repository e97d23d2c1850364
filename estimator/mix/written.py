"""The ways in which the trade writes a mix, each read into the one inner form: shares of counted dry mass."""

from collections.abc import Mapping
from dataclasses import replace

from estimator.job import WATER_DENSITY_KG_M3, Material, Mix
from estimator.mix.faults import MixError, particle_density_kg_m3
from estimator.mix.recipe import WATER, FibreBasis, proportion
from estimator.mix.weighed import mix_of_recipe, only_sand, recipe_of_weighed
from estimator.mix.yields import yield_of


def share_of_sand_ratio(sand_to_cementitious: float) -> float:
    """Cementitious share of counted dry mass of a mix written as sand to cementitious, such as 1 : 1.

    >>> share_of_sand_ratio(1.0)
    0.5

    Raises MixError below 0.
    """
    if not 0.0 <= sand_to_cementitious < float("inf"):
        raise MixError("sand_cementitious", f"{sand_to_cementitious:g} is not a ratio.", "Write a number such as 1.0.")
    return 1.0 / (1.0 + sand_to_cementitious)


def sand_ratio_of_share(cementitious_share: float) -> float:
    """Sand-equivalent to cementitious of a mix written by its cementitious share.

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
    """A mix written as masses of one batch as weighed ("52 lb cement, 7 lb ..."), of whatever size.

    weighed_kg      by material, "water" among them
    reference_sand  None takes the only sand in the batch

    Raises MixError as `recipe_of_weighed`.
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
    """A mix written as mass per volume of concrete, such as kg in 1 m3: its air is what the masses leave open.

    Raises MixError where the materials alone fill more than the volume.
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
        raise MixError(
            "air",
            f"the materials alone fill {filled_m3 / volume_m3:.4g} of the volume that they are written for.",
            "Check masses and densities, or write the batch as masses alone.",
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
    """A mix written as volume parts, such as 1 bucket of cement to 2 of sand: loose and dry, liquids as they are.

    parts               by material; "water" among them, or left to `water_cementitious`
    water_cementitious  w/cm, where the parts name no water

    Raises MixError where a granular material has no bulk density, or water is named twice or not at all.
    """
    if (WATER in parts) == (water_cementitious is not None):
        raise MixError("water", "it must be named once.", "Give either parts of water or water_cementitious.")
    weighed_kg = {
        part_name: part * _mass_per_loose_volume(materials, part_name)
        for part_name, part in parts.items()
        if part_name != WATER
    }
    # Without parts of water any amount serves to find the shares; the ratio then replaces it.
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
    """Dry mass of the aggregate that fills what the others leave of the volume, as the sand does in ACI 211.1.

    filler     an aggregate
    others_kg  every other material, as weighed; "water" is the free water

    Raises MixError where the others leave no room. Source: absolute-volume method of ACI 211.1.
    """
    room_m3 = volume_m3 * (1.0 - air)
    for name, mass_kg in others_kg.items():
        density_kg_m3 = water_density_kg_m3 if name == WATER else particle_density_kg_m3(materials[name])
        room_m3 -= mass_kg / density_kg_m3
    if room_m3 <= 0.0:
        raise MixError(filler, f"the other materials leave no room for it in {volume_m3:g} m³.", "Lower their masses.")
    return room_m3 * particle_density_kg_m3(materials[filler])


def dose_of_volume(volume_m3: float, cementitious_kg: float, material: Material) -> float:
    """Dose of a liquid admixture, product mass per cementitious mass, written as volume per mass of cementitious.

    Makers write mL per 100 kg, or fl oz per hundredweight. Raises MixError where the product has no density.
    """
    return volume_m3 * particle_density_kg_m3(material) / cementitious_kg


def _mass_per_loose_volume(materials: Mapping[str, Material], name: str) -> float:
    if name not in materials:
        raise MixError(name, f"{name} is not among the materials.", "Correct the name or add the material.")
    material = materials[name]
    if material.solids < 1.0:
        return particle_density_kg_m3(material)
    if material.bulk_density_kg_m3 is None:
        raise MixError(
            f"materials.{name}.bulk_density",
            f"{name} is written as a part by volume and has no loose bulk density.",
            "Weigh a level bucket of it and give bulk_density.",
        )
    return material.bulk_density_kg_m3 * (1.0 + material.moisture)


def _on_total_fibre(mix: Mix, materials: Mapping[str, Material]) -> Mix:
    """The same mix, its fibre as a share of everything in place of counted dry mass."""
    total_kg = proportion(mix, materials).total_kg
    return replace(mix, fibre={name: dose / total_kg for name, dose in mix.fibre.items()}, fibre_basis="total")
