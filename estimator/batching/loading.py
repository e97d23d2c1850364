"""Loading the mixer, and the density check of what comes out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import ceil
from types import MappingProxyType

from estimator.batching.placing import worded
from estimator.job import Job, Scale, Workshop
from estimator.mix import MixDesign
from estimator.mix.limits import holds_beads
from estimator.mix.proportions import LEAST_MEASURE_M3, filled_m3_per_kg
from geometry.frozen import frozen
from geometry.message import Message, message


@frozen
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

    scales   the finest first

    The finest scale that carries it weighs it; where none does, the one that carries most, in parts. What would round
    to nothing is weighed as one step.
    """
    for scale in scales:
        if scale.up_to_kg is None or target_kg <= scale.up_to_kg:
            break
    else:
        scale = max(scales, key=lambda candidate: candidate.up_to_kg or 0.0)
    steps = max(1, int(target_kg / scale.step_kg + 0.5))
    return steps * scale.step_kg, scale.step_kg


@frozen
class Loading:
    """How batches of one mix are loaded and checked: what is the same for each of them, whatever its size.

    steps       in the order of the workshop's mixer: material, its mass and its loose volume in a cubic meter
    scales      of the workshop, the finest first
    loose_m3_per_m3   of all that goes into the vessel
    filled_m3   by material: volume of fresh mix, air left out, that a kilogram as weighed adds
    air         fraction of the volume
    checks      density checks by the workshop's measures, the smallest first, and whether one person lifts each
    """

    steps: tuple[tuple[str, float, float], ...]
    scales: tuple[Scale, ...]
    loose_m3_per_m3: float
    filled_m3: Mapping[str, float]
    air: float
    checks: tuple[tuple[DensityCheck, bool], ...]

    @classmethod
    def of(cls, design: MixDesign, job: Job) -> Loading:
        mix = job.mixes[design.name]
        return cls(
            steps=tuple(
                (name, share * design.recipe_kg_m3[name], share * design.loose_m3_per_m3[name])
                for name, share in _order(design, job)
            ),
            scales=job.workshop.scales,
            loose_m3_per_m3=sum(design.loose_m3_per_m3.values()),
            filled_m3={
                name: filled_m3_per_kg(job.materials[name], mix.water_density_kg_m3) for name in design.recipe_kg_m3
            },
            air=mix.air,
            checks=_density_checks(design, job),
        )

    def load(self, volume_m3: float) -> tuple[Load, ...]:
        """The loading steps of a batch."""
        load = []
        for step, (name, kg_per_m3, loose_m3_per_m3) in enumerate(self.steps, start=1):
            mass_kg, scale_step_kg = to_scale(kg_per_m3 * volume_m3, self.scales)
            load.append(Load(step, name, kg_per_m3 * volume_m3, mass_kg, scale_step_kg, loose_m3_per_m3 * volume_m3))
        return tuple(load)

    def yield_m3(self, load: Sequence[Load]) -> float:
        """What the masses as weighed yield, m³, air in: absolute volume, in which every mass counts in proportion."""
        return sum(self.filled_m3[step.material] * step.mass_kg for step in load) / (1.0 - self.air)

    def check(self, batch_m3: float) -> DensityCheck | None:
        """The check of one batch, by the largest measure that it fills and one person may lift; None where it fills
        none. Where all that are filled are too heavy for one, the smallest of them by as many people as it takes."""
        filled = [
            (check, light) for check, light in self.checks if check.measure_m3 <= batch_m3 * (1.0 + FILLED_TOLERANCE)
        ]
        return next((check for check, light in reversed(filled) if light), filled[0][0] if filled else None)


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


STEPS: Mapping[str, frozenset[str]] = MappingProxyType(
    {
        "load-sand": frozenset({"sand"}),
        "load-beads": frozenset({"light-aggregate"}),
        "load-powders": frozenset({"cement", "pozzolan", "pigment"}),
        "add-water": frozenset({"water"}),
        "begin-water": frozenset({"water"}),
        "stir-powders": frozenset({"admixture", "pigment"}),
        "add-cement": frozenset({"cement", "pozzolan"}),
        "add-sand": frozenset({"sand"}),
        "hold-back": frozenset({"water"}),
        "fiber-last": frozenset({"fibre"}),
        "fiber-last-slow": frozenset({"fibre"}),
    }
)
"""Steps of loading that the word catalog has words for, and the kinds of material of which one must be in the batch."""


def steps_of(job: Job, load: Sequence[Load] | None = None) -> tuple[Message | str, ...]:
    """What to do at the mixer, step by step: only what applies to this load, or all of it where none is given.

    A step of the shop's own is its own words, and applies to every load.
    """
    materials = [job.materials[step.material] for step in load or ()]
    kinds = {material.kind for material in materials}
    held_back = [step.material for step in load or ()].count("water") > 1
    liquid = any(material.solids < 1.0 for material in materials if material.kind in ("polymer", "admixture"))
    steps: list[Message | str] = []
    for step in job.workshop.loading_steps:
        if step not in STEPS:
            steps.append(step)
        elif load is None or (kinds & STEPS[step] and (step != "hold-back" or held_back)):
            steps.append(message(f"step-{step}", liquids="yes" if liquid or load is None else "no"))
    return tuple(steps)


SCALE_ERROR_MOST = 0.003  # of the filled weight; ASTM C138 (from memory)
FILLED_TOLERANCE = 1e-9
REFERENCE_MEASURE_M3 = 0.010


@frozen
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
    when_heavy: Message | str
    when_light: Message | str


def _density_checks(design: MixDesign, job: Job) -> tuple[tuple[DensityCheck, bool], ...]:
    """The check by each measure of the workshop, the smallest first, and whether one person lifts it when full.

    Low and high are the density tolerance and the error of measure and scale together.
    Source: the bulk measure of ASTM C138, with a workshop's own measures in its place.
    """
    workshop, most_kg = job.workshop, job.workshop.handling.limit_level_kg
    off = "bucket" if holds_beads(job.mixes[design.name], job.materials) else "plain"
    checks = []
    for measure in sorted(workshop.measures, key=lambda measure: measure.volume_m3):
        mass_kg = measure.volume_m3 * design.fresh_density_kg_m3
        gross_kg = measure.tare_kg + mass_kg
        spread = max(workshop.density_tolerance, design.density_tolerance_least)
        spread += measuring_error(measure.volume_m3, gross_kg, workshop)
        check = DensityCheck(
            measure_m3=measure.volume_m3,
            tare_kg=measure.tare_kg,
            expected_kg=gross_kg,
            low_kg=measure.tare_kg + mass_kg * (1.0 - spread),
            high_kg=measure.tare_kg + mass_kg * (1.0 + spread),
            scale_good_to_kg=SCALE_ERROR_MOST * gross_kg,
            people=max(1, ceil(gross_kg / most_kg - FILLED_TOLERANCE)),
            indication_only=measure.volume_m3 < LEAST_MEASURE_M3 * (1.0 - FILLED_TOLERANCE),
            when_heavy=next(iter(worded((f"{off}_heavy",), workshop)), ""),
            when_light=next(iter(worded((f"{off}_light",), workshop)), ""),
        )
        checks.append((check, gross_kg <= most_kg))
    return tuple(checks)


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
