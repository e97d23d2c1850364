"""Loading the mixer: the order of the materials, each mass to the scale that weighs it best, the water in two parts."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from estimator.job import Job, Material, Mix, Scale
from estimator.mix import MadeMix, yield_of
from estimator.mix.weighed import recipe_of_weighed


@dataclass(frozen=True, slots=True)
class Load:
    """One step of loading the mixer, of one batch."""

    step: int
    material: str
    target_kg: float
    mass_kg: float  # to the scale's step
    scale_step_kg: float
    volume_m3: float  # loose, by the bucket

    @property
    def deviation(self) -> float:
        """Weighed over wanted, less one."""
        return self.mass_kg / self.target_kg - 1.0


def to_scale(target_kg: float, scales: Sequence[Scale]) -> tuple[float, float]:
    """A mass as the best scale shows it, and that scale's step.

    The finest scale that carries it weighs it; where none does, the one that carries most, in parts. What would round
    to nothing is weighed as one step.
    """
    carrying = [scale for scale in scales if scale.up_to_kg is None or target_kg <= scale.up_to_kg]
    if carrying:
        scale = min(carrying, key=lambda each: each.step_kg)
    else:
        scale = max(scales, key=lambda each: each.up_to_kg or 0.0)
    steps = max(1, int(target_kg / scale.step_kg + 0.5))
    return steps * scale.step_kg, scale.step_kg


def load_of(mix: MadeMix, volume_m3: float, job: Job) -> tuple[Load, ...]:
    """The loading steps of a batch of `volume_m3`, in the order of the workshop's mixer."""
    steps = []
    for step, (name, share) in enumerate(_order(mix, job), start=1):
        target_kg = share * mix.recipe_kg_m3[name] * volume_m3
        mass_kg, scale_step_kg = to_scale(target_kg, job.workshop.scales)
        loose_m3 = share * mix.loose_m3_per_m3[name] * volume_m3
        steps.append(Load(step, name, target_kg, mass_kg, scale_step_kg, loose_m3))
    return tuple(steps)


def yield_of_load(load: Sequence[Load], mix: Mix, materials: Mapping[str, Material]) -> float:
    """What the masses as weighed yield, m³, air in.

    Damp aggregate and liquids bring water, thirsty aggregate takes it up: a mass that is off changes the free water
    as well as the solids, so that what was weighed is taken apart again.
    """
    weighed_kg: dict[str, float] = {}
    for each in load:
        weighed_kg[each.material] = weighed_kg.get(each.material, 0.0) + each.mass_kg
    recipe = recipe_of_weighed(weighed_kg, materials, reference_sand=mix.reference_sand)
    return yield_of(recipe, materials, mix.air, mix.water_density_kg_m3).volume_m3


def _order(mix: MadeMix, job: Job) -> list[tuple[str, float]]:
    """Materials in the order of loading, each with its share; the water held back goes in before the fibre."""
    order = {kind: float(i) for i, kind in enumerate(job.workshop.loading_order)}
    held = job.mixes[mix.name].water_held_back
    steps = [
        (order[job.materials[name].kind], name, 1.0)
        for name, mass_kg in mix.recipe_kg_m3.items()
        if mass_kg > 0.0 and name != "water"
    ]
    if mix.recipe_kg_m3["water"] > 0.0:
        steps.append((order["water"], "water", 1.0 - held))
        if held > 0.0:
            steps.append((max(order["fibre"], order["water"] + 1.0) - 0.5, "water", held))
    return [(name, share) for _, name, share in sorted(steps, key=lambda each: each[0])]
