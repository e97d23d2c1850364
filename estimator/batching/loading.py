"""Loading the mixer, and the density check of what comes out."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil

from estimator.job import Job, Material, Mix, Scale, Workshop
from estimator.mix import MixDesign, yield_of
from estimator.mix.limits import holds_beads
from estimator.mix.proportions import LEAST_MEASURE_M3, recipe_of_weighed


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
        scale = min(carrying, key=lambda candidate: candidate.step_kg)
    else:
        scale = max(scales, key=lambda candidate: candidate.up_to_kg or 0.0)
    steps = max(1, int(target_kg / scale.step_kg + 0.5))
    return steps * scale.step_kg, scale.step_kg


def load_of(mix: MixDesign, volume_m3: float, job: Job) -> tuple[Load, ...]:
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
    for load_line in load:
        weighed_kg[load_line.material] = weighed_kg.get(load_line.material, 0.0) + load_line.mass_kg
    recipe = recipe_of_weighed(weighed_kg, materials, reference_sand=mix.reference_sand)
    return yield_of(recipe, materials, mix.air, mix.water_density_kg_m3).volume_m3


def _order(mix: MixDesign, job: Job) -> list[tuple[str, float]]:
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
    return [(name, share) for _, name, share in sorted(steps, key=lambda step: step[0])]


SCALE_ERROR_MOST = 0.003  # of the filled weight; ASTM C138 (from memory)
FILLED_TOLERANCE = 1e-9
REFERENCE_MEASURE_M3 = 0.010


@dataclass(frozen=True, slots=True)
class DensityCheck:
    """Expected weight of a measure struck level with fresh mix, measure included; what to do when it is off.

    scale_good_to_kg  what its scale must be good to
    people            who lift it when full
    indication_only   too small to go by: it shows a fault of the batch, and never corrects the mix
    """

    measure_m3: float
    tare_kg: float
    expected_kg: float
    low_kg: float
    high_kg: float
    scale_good_to_kg: float
    people: int
    indication_only: bool
    when_heavy: str
    when_light: str


def density_check(mix: MixDesign, batch_m3: float, job: Job) -> DensityCheck | None:
    """The check of one batch, by the largest measure that it fills and one person may lift; None where none is filled.

    Low and high are the density tolerance and the error of measure and scale together; where all that are filled
    are too heavy for one, the smallest of them by as many people as it takes.
    Source: the bulk measure of ASTM C138, with a workshop's own measures in its place.
    """
    workshop = job.workshop
    density_kg_m3, most_kg = mix.fresh_density_kg_m3, workshop.handling.limit_level_kg
    filled = sorted(
        (
            measure
            for measure in workshop.measures
            if measure.units in (None, job.units) and measure.volume_m3 <= batch_m3 * (1.0 + FILLED_TOLERANCE)
        ),
        key=lambda measure: measure.volume_m3,
    )
    if not filled:
        return None
    weights_kg = [measure.tare_kg + measure.volume_m3 * density_kg_m3 for measure in filled]
    light = [measure for measure, weight_kg in zip(filled, weights_kg, strict=True) if weight_kg <= most_kg]
    measure = (light or filled[:1])[-1]
    mass_kg = measure.volume_m3 * density_kg_m3
    gross_kg = measure.tare_kg + mass_kg
    spread = max(workshop.density_tolerance, mix.density_tolerance_least)
    spread += measuring_error(measure.volume_m3, gross_kg, workshop)
    off = "bucket" if holds_beads(job.mixes[mix.name], job.materials) else "plain"
    return DensityCheck(
        measure_m3=measure.volume_m3,
        tare_kg=measure.tare_kg,
        expected_kg=gross_kg,
        low_kg=measure.tare_kg + mass_kg * (1.0 - spread),
        high_kg=measure.tare_kg + mass_kg * (1.0 + spread),
        scale_good_to_kg=SCALE_ERROR_MOST * gross_kg,
        people=max(1, ceil(gross_kg / most_kg - FILLED_TOLERANCE)),
        indication_only=measure.volume_m3 < LEAST_MEASURE_M3 * (1.0 - FILLED_TOLERANCE),
        when_heavy=workshop.practice.get(f"{off}_heavy", ""),
        when_light=workshop.practice.get(f"{off}_light", ""),
    )


def measuring_error(measure_m3: float, gross_kg: float, workshop: Workshop) -> float:
    """What a density by a measure struck level may be off by itself, as a share of it: by scale, and by the strike.

    The strike is off by as much at its brim whatever its size, so it counts by the surface over the volume: the error
    of the workshop's figures is that of 10 L, and grows as the cube root of the volume falls.
    """
    strike: float = workshop.mixing.strike_error * (REFERENCE_MEASURE_M3 / measure_m3) ** (1.0 / 3.0)
    return strike + scale_error(gross_kg, workshop.scales)


def scale_error(mass_kg: float, scales: Sequence[Scale]) -> float:
    """Half a step of the finest scale that carries a mass, as a share of it; of the coarsest where none does."""
    steps_kg = [scale.step_kg for scale in scales if scale.up_to_kg is None or mass_kg <= scale.up_to_kg]
    return 0.5 * min(steps_kg, default=max(scale.step_kg for scale in scales)) / mass_kg
