"""Yield of a recipe: absolute volume, density, and volume fractions."""

from collections.abc import Iterable, Mapping

from estimator.constants import WATER_DENSITY_KG_M3
from estimator.errors import FaultError
from estimator.job import Material
from estimator.mix.faults import particle_density_kg_m3
from estimator.mix.recipe import WATER, Ingredient, Recipe
from geometry.frozen import frozen
from geometry.message import message

AIR = "air"
# ASTM C567: equilibrium density from the oven-dry density; figure read, 3 lb/ft³ in its US form.
EQUILIBRIUM_OVER_OVEN_DRY_KG_M3 = 50.0
# ASTM C567 counts 1.2 times the cement in the oven-dry mass (from memory): the 0.2 is water that hydration binds.
BOUND_WATER_PER_CEMENTITIOUS = 0.2


@frozen
class Yield:
    """Volume and densities of one batch of a mix."""

    volume_m3: float  # air included
    fresh_density_kg_m3: float
    air: float  # fraction of volume
    fractions: Mapping[str, float]  # of volume, by material; "water" is the free water; with "air" they sum to 1
    oven_dry_density_kg_m3: float
    water_density_kg_m3: float

    @property
    def equilibrium_density_kg_m3(self) -> float:
        """Air-dry density in service: oven-dry plus 50 kg/m³, never more than fresh. Source: ASTM C567."""
        return equilibrium_density(self.oven_dry_density_kg_m3, self.fresh_density_kg_m3)

    @property
    def air_free_density_kg_m3(self) -> float:
        """Density without air: the theoretical density T of ASTM C138."""
        return self.fresh_density_kg_m3 / (1.0 - self.air)

    @property
    def floats(self) -> bool:
        """Whether the fresh mix is lighter than water."""
        return self.fresh_density_kg_m3 < self.water_density_kg_m3


def yield_of(
    recipe: Recipe,
    materials: Mapping[str, Material],
    air: float,
    water_density_kg_m3: float = WATER_DENSITY_KG_M3,
) -> Yield:
    """Yield of a recipe by absolute volume: V = sum of m_i / rho_i over (1 - air).

    recipe               masses of the batch, kg
    materials            by name; particle density, or product density of a liquid, kg/m3
    air                  fraction of the fresh volume, from 0 to below 1
    water_density_kg_m3  density of the free water and of the water in liquids

    Dry aggregate, solids and free water take up volume; absorbed water adds only mass. Raises FaultError if a density
    is missing, or if a liquid's density and solids contradict each other.
    Source: absolute-volume method, as in ACI 211.1; oven-dry density after ASTM C567.
    """
    if not 0.0 <= air < 1.0:
        raise FaultError("air", message("mix-air", air=f"{air:g}"))
    parts_m3: dict[str, float] = {}
    for ingredient in recipe.ingredients:
        volume_m3 = solids_volume_m3(ingredient, materials[ingredient.material], water_density_kg_m3)
        parts_m3[ingredient.material] = parts_m3.get(ingredient.material, 0.0) + volume_m3
    parts_m3[WATER] = recipe.free_water_kg / water_density_kg_m3
    volume_m3 = sum(parts_m3.values()) / (1.0 - air)
    fractions = {name: part_m3 / volume_m3 for name, part_m3 in parts_m3.items()}
    fractions[AIR] = air
    return Yield(
        volume_m3=volume_m3,
        fresh_density_kg_m3=recipe.total_kg / volume_m3,
        air=air,
        fractions=fractions,
        oven_dry_density_kg_m3=oven_dry_density(
            (ingredient.solids_kg for ingredient in recipe.ingredients),
            recipe.cementitious_kg,
            recipe.free_water_kg,
            volume_m3,
        ),
        water_density_kg_m3=water_density_kg_m3,
    )


def solids_volume_m3(ingredient: Ingredient, material: Material, water_density_kg_m3: float) -> float:
    """Absolute volume of the solids; for a liquid, its volume less that of the water in it.

    Raises FaultError if the water in a liquid alone would take more volume than the liquid.
    """
    density_kg_m3 = particle_density_kg_m3(material)
    if ingredient.role == "aggregate" or ingredient.water_kg == 0.0:
        return ingredient.solids_kg / density_kg_m3
    volume_m3 = ingredient.product_kg / density_kg_m3 - ingredient.water_kg / water_density_kg_m3
    if volume_m3 < 0.0:
        raise FaultError(
            f"materials.{material.name}.density",
            message("mix-solids-density", density_kg_m3=density_kg_m3, solids=f"{material.solids:g}"),
        )
    return volume_m3


def oven_dry_density(dry_kg: Iterable[float], cementitious_kg: float, free_water_kg: float, volume_m3: float) -> float:
    """Oven-dry density, kg/m3: dry masses plus the water bound by hydration, over the fresh volume.

    dry_kg  every dry mass: cementitious, aggregate, fiber, pigment, solids of polymer and admixture

    The bound water is 0.2 of the cementitious mass, or all the free water if there is less. ASTM C567 counts
    aggregate and 1.2 times the cement (from memory); pozzolans, fiber and the other solids are our extension. At a
    low w/c not all cement hydrates, and the 1.2 overstates by about 2 %.


    >>> round(oven_dry_density([650.0, 400.0, 380.0], 380.0, 150.0, 1.0))
    1506
    """
    bound_kg = min(BOUND_WATER_PER_CEMENTITIOUS * cementitious_kg, free_water_kg)
    return (sum(dry_kg) + bound_kg) / volume_m3


def equilibrium_density(oven_dry_kg_m3: float, fresh_kg_m3: float) -> float:
    """Density in service, kg/m3: oven-dry + 50, never more than fresh. Source: ASTM C567 (the 50 was read)."""
    return min(oven_dry_kg_m3 + EQUILIBRIUM_OVER_OVEN_DRY_KG_M3, fresh_kg_m3)
