"""One cubic meter of fresh concrete: masses, densities, fractions, and the effect of holding water back."""

from collections.abc import Mapping
from dataclasses import replace

from estimator.errors import FaultError
from estimator.job import Material, Mix
from estimator.mix.faults import particle_density_kg_m3
from estimator.mix.limits import DENSITY_TOLERANCE_OF_ENTRAINED, air_entrained, warnings_of
from estimator.mix.recipe import WATER, FibreBasis, Recipe, proportion
from estimator.mix.yields import Yield, yield_of
from estimator.notices import Notice
from geometry.frozen import frozen
from geometry.message import Message, message

LOOSE_OVER_ABSOLUTE = 2.0  # if no bulk density is given: fine powders and fiber fill about half of their bucket


@frozen
class MixDesign:
    """A mix per cubic meter of fresh concrete, air included."""

    name: str
    fresh_density_kg_m3: float
    demould_density_kg_m3: float
    oven_dry_density_kg_m3: float
    installed_density_kg_m3: float  # equilibrium
    air: float
    air_low: float  # range of air that the mix may have: its own, or the usual band of an air-entrained one
    air_high: float
    density_tolerance_least: float  # lower bound on the shop's tolerance; 0 unless the air is entrained and not weighed
    water_cementitious: float  # w/cm
    water_cement: float | None  # w/c; None without cement
    cementitious_kg_m3: float
    counted_dry_kg_m3: float  # cementitious and sand-equivalent, as if all sand
    free_water_kg_m3: float
    absorbed_water_kg_m3: float
    recipe_kg_m3: Mapping[str, float]  # as weighed, including "water"
    loose_m3_per_m3: Mapping[str, float]  # loose volumes that go into the mixer
    volume_fractions: Mapping[str, float]  # by material, "water" and "air"
    fibre_basis: FibreBasis
    floats: bool  # fresh, on water
    recipe: Recipe  # for one cubic meter
    made: Yield  # of that recipe
    warnings: tuple[Notice, ...]

    @property
    def high_over_likely(self) -> float:
        """Density at the low air of the mix over that at its likely air; 1 if its air has no band."""
        return (1.0 - self.air_low) / (1.0 - self.air)


def make(mix: Mix, materials: Mapping[str, Material], *, demould_loss: float = 0.0) -> MixDesign:
    """Design of a mix: its masses, densities and volumes per m3 of fresh concrete.

    mix           mix as written
    materials     every material of the mix, by name
    demould_loss  fraction of the fresh mass lost before the piece is stripped; 0 for a piece kept under plastic

    Raises FaultError if the mix cannot be made as written.
    """
    if not 0.0 <= demould_loss < 1.0:
        raise FaultError("demould_loss", message("mix-loss", demould_loss=f"{demould_loss:g}"))
    per_counted_kg = proportion(mix, materials)
    volume_m3 = yield_of(per_counted_kg, materials, mix.air, mix.water_density_kg_m3).volume_m3
    recipe = per_counted_kg.scaled(1.0 / volume_m3)
    per_m3 = yield_of(recipe, materials, mix.air, mix.water_density_kg_m3)
    # Weighed air is known. Only assumed air has a band.
    air_low, air_high = (mix.air, mix.air) if mix.air_band is None or mix.density_weighed else mix.air_band
    loose_m3, loose_warnings = loose_volumes(recipe, materials, mix.water_density_kg_m3)
    return MixDesign(
        name=mix.name,
        fresh_density_kg_m3=per_m3.fresh_density_kg_m3,
        demould_density_kg_m3=per_m3.fresh_density_kg_m3 * (1.0 - demould_loss),
        oven_dry_density_kg_m3=per_m3.oven_dry_density_kg_m3,
        installed_density_kg_m3=per_m3.equilibrium_density_kg_m3,
        air=per_m3.air,
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
        volume_fractions=per_m3.fractions,
        fibre_basis=mix.fibre_basis,
        floats=per_m3.floats,
        recipe=recipe,
        made=per_m3,
        warnings=warnings_of(mix, materials, recipe) + loose_warnings,
    )


def loose_volumes(
    recipe: Recipe, materials: Mapping[str, Material], water_density_kg_m3: float
) -> tuple[dict[str, float], tuple[Notice, ...]]:
    """Loose volume of everything that goes into the mixer, m3 by material, and warnings.

    An aggregate uses its loose bulk density. Another material uses its own if given, otherwise twice its absolute
    volume (with a warning). Water has its own volume.
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
                text = message(
                    "warning-bulk-density-missing", material_name=material.label, times=f"{LOOSE_OVER_ABSOLUTE:g}"
                )
                warnings.append(Notice("bulk-density-missing", text))
        loose_m3[material.name] = loose_m3.get(material.name, 0.0) + volume_m3
    loose_m3[WATER] = recipe.batched_water_kg / water_density_kg_m3
    return loose_m3, tuple(dict.fromkeys(warnings))


@frozen
class WaterStages:
    """Water to weigh for one batch, in the order it goes in."""

    first_kg: float
    held_back_kg: float


@frozen
class StoppedEarly:
    """A batch whose water stopped short of its target, with the planned one.

    yield_ratio       volume made over volume planned, from the same materials
    water_left_kg_m3  water not added, per m3 planned
    cautions          what the caster must watch for
    """

    planned: MixDesign
    design: MixDesign
    yield_ratio: float
    water_left_kg_m3: float
    cautions: tuple[Message, ...]


def water_stages(batched_water_kg: float, held_back: float) -> WaterStages:
    """Split the water to weigh; `held_back` is the fraction kept for the second addition, 0 to 1.

    Raises FaultError for a share outside that range.
    """
    if not 0.0 <= held_back <= 1.0:
        raise FaultError("water_held_back", message("mix-held-back", held_back=f"{held_back:g}"))
    second_kg = batched_water_kg * held_back
    return WaterStages(first_kg=batched_water_kg - second_kg, held_back_kg=second_kg)


def stop_early(mix: Mix, materials: Mapping[str, Material], water_cementitious: float) -> StoppedEarly:
    """Batch whose caster stops at `water_cementitious`, short of the mix's own (0.34 that ends at 0.30).

    The other masses are those of the planned batch. Air stays the mix's own; a stiffer mix usually keeps more of it,
    as the cautions say. Raises FaultError if the figure is not below the target, or if stock and liquids alone bring
    more water.
    """
    if not water_cementitious < mix.water_cementitious:
        raise FaultError(
            "water_cementitious",
            message(
                "mix-stops-late", water_cementitious=f"{water_cementitious:g}", planned=f"{mix.water_cementitious:g}"
            ),
        )
    planned = make(mix, materials)
    drier = make(_fibre_kept(mix, materials, water_cementitious), materials)
    yield_ratio = planned.cementitious_kg_m3 / drier.cementitious_kg_m3
    cautions = [
        message(
            "stop-short",
            mix_name=mix.label,
            ratio=f"{water_cementitious:.2f}",
            planned=f"{mix.water_cementitious:.2f}",
            short_share=1.0 - yield_ratio,
        ),
        message("stop-stiff"),
        message("stop-untested" if mix.first_crack_strength_pa is None else "stop-other-water"),
    ]
    return StoppedEarly(
        planned=planned,
        design=drier,
        yield_ratio=yield_ratio,
        water_left_kg_m3=(mix.water_cementitious - water_cementitious) * planned.cementitious_kg_m3,
        cautions=tuple(cautions),
    )


def _fibre_kept(mix: Mix, materials: Mapping[str, Material], water_cementitious: float) -> Mix:
    """Mix with less water and the fiber already weighed for it, on either dosage basis."""
    drier = replace(mix, water_cementitious=water_cementitious)
    if mix.fibre_basis == "counted-dry" or not mix.fibre:
        return drier
    recipe = make(mix, materials).recipe
    fibre_kg = {part.material: part.product_kg for part in recipe.ingredients if part.role == "fibre"}
    return replace(
        drier,
        fibre={name: kg / recipe.counted_dry_kg for name, kg in fibre_kg.items()},
        fibre_basis="counted-dry",
    )
