"""Loading of the mixer, and the density check of the fresh mix."""

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
    """One step of loading the mixer for one batch."""

    step: int
    material: str
    target_kg: float
    mass_kg: float  # rounded to the step of the scale
    scale_step_kg: float
    volume_m3: float  # loose

    @property
    def deviation(self) -> float:
        """Relative deviation of the weighed mass from the target."""
        return self.mass_kg / self.target_kg - 1.0


def to_scale(target_kg: float, scales: Sequence[Scale]) -> tuple[float, float]:
    """A mass rounded to the step of the best scale, and that step, kg.

    scales   the finest first

    The best scale is the finest with enough capacity; if none has enough, the one with the largest, used in several
    weighings. The result is at least one step.
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
    """Loading and checking of batches of one mix: everything that does not depend on the size of the batch.

    steps       in the loading order of the shop: (material, kg per m³, loose m³ per m³)
    scales      of the shop, the finest first
    loose_m3_per_m3   loose volume of all materials per m³ of fresh mix
    filled_m3   by material: volume of fresh mix without air that one kilogram as weighed adds, m³/kg
    air         fraction of the volume
    checks      density checks with the containers of the shop, the smallest first, and whether one person can lift it
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
        """Yield of the weighed masses including air, m³, by absolute volume."""
        return sum(self.filled_m3[step.material] * step.mass_kg for step in load) / (1.0 - self.air)

    def check(self, batch_m3: float) -> DensityCheck | None:
        """Density check of one batch, with the largest container that it fills and one person can lift.

        If all containers that it fills are too heavy for one person, the smallest of them. None if it fills none.
        """
        filled = [
            (check, light) for check, light in self.checks if check.measure_m3 <= batch_m3 * (1.0 + FILLED_TOLERANCE)
        ]
        return next((check for check, light in reversed(filled) if light), filled[0][0] if filled else None)


def _order(mix: MixDesign, job: Job) -> list[tuple[str, float]]:
    """(material, share of its mass) in loading order; the water held back goes in before the fiber."""
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
"""Loading steps that the word catalog has, and for each the kinds of material one of which the batch must contain."""


def steps_of(job: Job, load: Sequence[Load] | None = None) -> tuple[Message | str, ...]:
    """Instructions for loading the mixer: those that apply to this load, or all if no load is given.

    A step that the shop wrote itself is used as it is and applies to every load.
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
            steps.append(
                message(f"step-{step}", liquids="yes" if liquid or load is None else "no", off_share=BEADS_OFF)
            )
    return tuple(steps)


BEADS_OFF = 0.10
"""Share by which the weight of a bucket of beads may be off before their bulk density is in doubt; choice. The bucket
governs, for a mix is stated by loose volume, and lots of one product differ in weight."""


SCALE_ERROR_MOST = 0.003  # of the filled weight; ASTM C138 (from memory)
FILLED_TOLERANCE = 1e-9
REFERENCE_MEASURE_M3 = 0.010


@frozen
class DensityCheck:
    """Expected weight of a container of fresh mix, struck level, container included, and what to do if it is off.

    scale_good_to_kg  required accuracy of the scale
    people            number of people to lift it when full
    indication_only   whether it is too small to correct the mix: it can only reveal a faulty batch
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
    """Density check for each container of the shop, the smallest first, and whether one person can lift it when full.

    The range from low to high is the density tolerance plus the error of container and scale.
    Source: the bulk measure of ASTM C138, with the containers of the shop in its place.
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
    """Relative error of a density measured with a container struck level, from the scale and the strike-off.

    The strike-off has the same error in level for any size, so its relative error scales as area over volume: the
    figure of the shop is for 10 L, and the error grows in inverse proportion to the cube root of the volume.
    """
    strike: float = workshop.mixing.strike_error * (REFERENCE_MEASURE_M3 / measure_m3) ** (1.0 / 3.0)
    return strike + scale_error(gross_kg, workshop.scales)


def scale_error(mass_kg: float, scales: Sequence[Scale]) -> float:
    """Half a step of the finest scale with enough capacity, else of the coarsest scale, as a share of the mass."""
    steps_kg = [scale.step_kg for scale in scales if scale.up_to_kg is None or mass_kg <= scale.up_to_kg]
    return 0.5 * min(steps_kg, default=max(scale.step_kg for scale in scales)) / mass_kg
