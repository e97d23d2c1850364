"""A mix made: what one cubic metre of it takes, weighs and fills, with its warnings. What later stages read."""

from collections.abc import Mapping
from dataclasses import dataclass

from estimator.job import Material, Mix
from estimator.mix.faults import MixError, particle_density_kg_m3
from estimator.mix.limits import DENSITY_TOLERANCE_OF_ENTRAINED, air_entrained, warnings_of
from estimator.mix.recipe import WATER, FibreBasis, Recipe, proportion
from estimator.mix.yields import Yield, yield_of
from estimator.notices import Notice

LOOSE_OVER_ABSOLUTE = 2.0  # where no bulk density is given: fine powders and fibre fill about half of their bucket


@dataclass(frozen=True, slots=True)
class MadeMix:
    """A mix per cubic metre of fresh concrete, air in."""

    name: str
    fresh_density_kg_m3: float
    demould_density_kg_m3: float
    oven_dry_density_kg_m3: float
    installed_density_kg_m3: float  # equilibrium
    air: float
    air_low: float  # air that the mix may have: its own, or the band usual of an air-entrained one
    air_high: float
    density_tolerance_least: float  # that no tolerance of the workshop is below; 0 but for air that nobody weighed
    water_cementitious: float  # w/cm
    water_cement: float | None  # w/c; None without cement
    cementitious_kg_m3: float
    counted_dry_kg_m3: float  # cementitious and sand-equivalent, as if all sand
    free_water_kg_m3: float
    absorbed_water_kg_m3: float
    recipe_kg_m3: Mapping[str, float]  # as weighed, "water" among them
    loose_m3_per_m3: Mapping[str, float]  # what goes into the vessel, by loose volume
    volume_fractions: Mapping[str, float]  # by material, "water" and "air"
    fibre_basis: FibreBasis
    floats: bool  # fresh, on water
    recipe: Recipe  # for one cubic metre
    made: Yield  # of that recipe
    warnings: tuple[Notice, ...]

    @property
    def high_over_likely(self) -> float:
        """Density at the low air of the mix over that at its likely air; 1 where its air has no band."""
        return (1.0 - self.air_low) / (1.0 - self.air)


def make(mix: Mix, materials: Mapping[str, Material], *, demould_loss: float = 0.0) -> MadeMix:
    """Proportion a mix and find what it yields.

    mix           as written
    materials     by name, every material of the mix
    demould_loss  share of the fresh mass that is gone when the piece is stripped; 0 for a piece kept under plastic

    Returns the mix per m3 of fresh concrete. Raises MixError where it cannot be made as written.
    """
    if not 0.0 <= demould_loss < 1.0:
        raise MixError("demould_loss", f"{demould_loss:g} is not a share of the fresh mass.", "Write 0 unless weighed.")
    per_counted_kg = proportion(mix, materials)
    volume_m3 = yield_of(per_counted_kg, materials, mix.air, mix.water_density_kg_m3).volume_m3
    recipe = per_counted_kg.scaled(1.0 / volume_m3)
    made = yield_of(recipe, materials, mix.air, mix.water_density_kg_m3)
    # A weighed air is known: only an assumed one has a band.
    air_low, air_high = (mix.air, mix.air) if mix.air_band is None or mix.density_weighed else mix.air_band
    loose_m3, loose_warnings = loose_volumes(recipe, materials, mix.water_density_kg_m3)
    return MadeMix(
        name=mix.name,
        fresh_density_kg_m3=made.fresh_density_kg_m3,
        demould_density_kg_m3=made.fresh_density_kg_m3 * (1.0 - demould_loss),
        oven_dry_density_kg_m3=made.oven_dry_density_kg_m3,
        installed_density_kg_m3=made.equilibrium_density_kg_m3,
        air=made.air,
        air_low=air_low,
        air_high=air_high,
        density_tolerance_least=(
            DENSITY_TOLERANCE_OF_ENTRAINED if air_entrained(mix, materials) and not mix.density_weighed else 0.0
        ),
        water_cementitious=mix.water_cementitious,
        water_cement=recipe.water_cement,
        cementitious_kg_m3=recipe.cementitious_kg,
        counted_dry_kg_m3=recipe.counted_dry_kg,
        free_water_kg_m3=recipe.free_water_kg,
        absorbed_water_kg_m3=recipe.absorbed_water_kg,
        recipe_kg_m3=recipe.weighed_kg,
        loose_m3_per_m3=loose_m3,
        volume_fractions=made.fractions,
        fibre_basis=mix.fibre_basis,
        floats=made.floats,
        recipe=recipe,
        made=made,
        warnings=warnings_of(mix, materials, recipe) + loose_warnings,
    )


def loose_volumes(
    recipe: Recipe, materials: Mapping[str, Material], water_density_kg_m3: float
) -> tuple[dict[str, float], tuple[Notice, ...]]:
    """Loose volume in m3 of everything that goes into the vessel, by material, and the warnings that it calls for.

    Aggregate by its loose bulk density, another material by its own where it has one, otherwise twice its absolute
    volume (with a warning); water as it is.
    """
    loose_m3: dict[str, float] = {}
    warnings: list[Notice] = []
    for ingredient in recipe.ingredients:
        material = materials[ingredient.material]
        volume_m3 = ingredient.loose_m3
        if volume_m3 is None:
            if material.bulk_density_kg_m3 is not None:
                volume_m3 = ingredient.product_kg / material.bulk_density_kg_m3
            else:
                volume_m3 = LOOSE_OVER_ABSOLUTE * ingredient.product_kg / particle_density_kg_m3(material)
                text = (
                    f"{material.name} has no bulk density: its loose volume in the mixer is taken as "
                    f"{LOOSE_OVER_ABSOLUTE:g} times its absolute volume."
                )
                warnings.append(Notice("bulk-density-missing", text))
        loose_m3[material.name] = loose_m3.get(material.name, 0.0) + volume_m3
    loose_m3[WATER] = recipe.batched_water_kg / water_density_kg_m3
    return loose_m3, tuple(dict.fromkeys(warnings))
