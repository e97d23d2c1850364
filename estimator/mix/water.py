"""Water in stages: what goes in first, what is held back, and what the mix is if the caster stops early."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from estimator.job import Material, Mix
from estimator.mix.faults import MixError
from estimator.mix.made import MadeMix, make


@dataclass(frozen=True, slots=True)
class WaterStages:
    """Water to weigh for one batch, in the order in which it goes in."""

    first_kg: float
    held_back_kg: float


@dataclass(frozen=True, slots=True)
class StoppedEarly:
    """A batch whose water stopped short of its target, beside the one that was planned.

    yield_ratio      volume made over volume planned, from the same materials
    water_left_kg_m3 not added, per m3 planned
    cautions         what the change asks of the caster
    """

    planned: MadeMix
    made: MadeMix
    yield_ratio: float
    water_left_kg_m3: float
    cautions: tuple[str, ...]


def water_stages(batched_water_kg: float, held_back: float) -> WaterStages:
    """Split the water to weigh: `held_back` is the share kept for the second addition, 0 to 1.

    Raises MixError for a share outside that range.
    """
    if not 0.0 <= held_back <= 1.0:
        raise MixError("water_held_back", f"{held_back:g} is not a share of the water.", "Write a number such as 0.15.")
    second_kg = batched_water_kg * held_back
    return WaterStages(first_kg=batched_water_kg - second_kg, held_back_kg=second_kg)


def stop_early(mix: Mix, materials: Mapping[str, Material], water_cementitious: float) -> StoppedEarly:
    """What a batch is when the caster stops at `water_cementitious`, short of the mix's own (0.34 that ends at 0.30).

    The other masses are those of the planned batch. Air is the mix's own: a stiffer mix usually keeps more of it,
    which the cautions say. Raises MixError where the figure is not below the target, or stock and liquids alone
    bring more water.
    """
    if not water_cementitious < mix.water_cementitious:
        raise MixError(
            "water_cementitious",
            f"{water_cementitious:g} does not stop short of {mix.water_cementitious:g}.",
            "Write the ratio at which the water ended.",
        )
    planned = make(mix, materials)
    made = make(_fibre_kept(mix, materials, water_cementitious), materials)
    yield_ratio = planned.cementitious_kg_m3 / made.cementitious_kg_m3
    cautions = [
        f"{mix.name} stopped at w/cm {water_cementitious:.2f} in place of {mix.water_cementitious:.2f}: the batch "
        f"makes {1.0 - yield_ratio:.1%} less than planned; the last piece may run short.",
        "A stiffer mix holds more trapped air, and less of it flows into corners: compact it well, and weigh a known "
        "volume before relying on this density.",
        "No strength of it was tested: drier is stronger only if fully compacted; cast coupons of it."
        if mix.first_crack_strength_pa is None
        else "The strength was tested at another w/cm: drier is stronger only if fully compacted; cast coupons of it.",
    ]
    return StoppedEarly(
        planned=planned,
        made=made,
        yield_ratio=yield_ratio,
        water_left_kg_m3=(mix.water_cementitious - water_cementitious) * planned.cementitious_kg_m3,
        cautions=tuple(cautions),
    )


def _fibre_kept(mix: Mix, materials: Mapping[str, Material], water_cementitious: float) -> Mix:
    """The mix with less water and the fibre that was already weighed for it, whichever basis it was dosed on."""
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
