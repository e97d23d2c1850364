"""Uncertainty bands of the predicted figures of a mix, from its assumptions."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from math import sqrt
from typing import Literal

from estimator.errors import FaultError
from estimator.job import Material, MaterialKind, Mix
from estimator.mix.faults import bulk_density_kg_m3, particle_density_kg_m3
from estimator.mix.proportions import recipe_of_weighed
from estimator.mix.recipe import WATER, Recipe, proportion
from estimator.mix.yields import Yield, yield_of
from geometry.frozen import frozen

Figure = Literal["air", "water", "density", "packing", "bulk_density", "moisture"]

# Standard deviations between lots and shops, not the scatter of one test; relative unless noted. They are half the
# usual ranges of the trade's tables (from memory): cement 3050–3200, silica sand 2620–2650, and so on.
DENSITY_DEVIATION: Mapping[MaterialKind, float] = {
    "cement": 0.010,
    "pozzolan": 0.020,
    "sand": 0.005,
    "light-aggregate": 0.05,
    "fibre": 0.010,
    "admixture": 0.05,
    "polymer": 0.010,
    "pigment": 0.04,
}
BULK_DENSITY_DEVIATION: Mapping[MaterialKind, float] = {"sand": 0.04, "light-aggregate": 0.07}
PACKING_DEVIATION = 0.02  # absolute; random packing of spheres 0.56 to 0.64 (read)
AIR_DEVIATION = 0.01  # absolute; poured 3–4 %, sprayed 4–6 %, hand-packed 6–10 % (common practice)
MOISTURE_DEVIATION = 0.005  # absolute, for damp stock; dry stock is assumed dry
_HALVINGS = 60
WATER_DEVIATION = 0.01  # of the water weighed: a wet bucket, a splash


@frozen
class Assumption:
    """One figure that a prediction depends on. Independent of the others."""

    figure: Figure
    material: str  # "" for air, "water" for water
    assumed: float
    deviation: float  # one standard deviation, in the figure's own unit
    least: float  # lower bound

    @property
    def key(self) -> str:
        """Key of the figure: "air", "water" (to weigh), "materials.silica-sand.moisture"."""
        of_the_mix = self.figure in ("air", "water")
        return self.figure if of_the_mix else f"materials.{self.material}.{self.figure}"


@frozen
class Batch:
    """A batch as weighed, and the assumptions about its materials.

    by_bucket      materials measured by a level bucket, so that a denser fill puts more in the batch
    air_deviation  standard deviation of its air: a quarter of its usual band, if it has one
    """

    weighed_kg: Mapping[str, float]
    materials: Mapping[str, Material]
    air: float
    water_density_kg_m3: float
    reference_sand: str | None
    by_bucket: frozenset[str]
    air_deviation: float = AIR_DEVIATION

    @property
    def recipe(self) -> Recipe:
        """Recipe of the masses, given the assumptions."""
        return recipe_of_weighed(self.weighed_kg, self.materials, reference_sand=self.reference_sand)

    @property
    def made(self) -> Yield:
        """Yield of the batch, given the assumptions."""
        return yield_of(self.recipe, self.materials, self.air, self.water_density_kg_m3)

    def assuming(self, assumption: Assumption, value: float) -> "Batch":
        """Same batch with the figure set to `value` instead of the assumed one."""
        if assumption.figure == "air":
            return replace(self, air=value)
        if assumption.figure == "water":
            return replace(self, weighed_kg={**self.weighed_kg, WATER: value})
        material = self.materials[assumption.material]
        weighed_kg = self.weighed_kg
        if assumption.figure == "packing":
            changed = replace(material, packing=value, density_kg_m3=bulk_density_kg_m3(material) / value)
        elif assumption.figure == "bulk_density":
            # If its packing is given, a bead's own density follows its bulk density. Otherwise only its bucket does.
            density_kg_m3 = material.density_kg_m3 if material.packing is None else value / material.packing
            changed = replace(material, bulk_density_kg_m3=value, density_kg_m3=density_kg_m3)
            if material.name in self.by_bucket:
                fuller = value / bulk_density_kg_m3(material)
                weighed_kg = {**weighed_kg, material.name: weighed_kg[material.name] * fuller}
        elif assumption.figure == "moisture":
            changed = replace(material, moisture=value)
        else:
            changed = replace(material, density_kg_m3=value)
        return replace(self, weighed_kg=weighed_kg, materials={**self.materials, material.name: changed})


def nearest_possible(batch: Batch, assumption: Assumption, value: float) -> float:
    """`value`, or the nearest value between it and the assumed figure at which the batch can still be made.

    At a trial value a liquid may contain more water than its volume allows, or an aggregate may absorb all the water.
    That is not a fault of the mix as written.
    """
    for _ in range(_HALVINGS):
        try:
            outcome = batch.assuming(assumption, value).made
        except FaultError:
            value = 0.5 * (value + assumption.assumed)
            continue
        if outcome.volume_m3 > 0.0:
            return value
        value = 0.5 * (value + assumption.assumed)
    return assumption.assumed


def batch_of(mix: Mix, materials: Mapping[str, Material], *, by_bucket: frozenset[str] | None = None) -> Batch:
    """Batch of 1 kg of counted dry mass of a mix, as it would be weighed.

    by_bucket  None: every light aggregate, because beads are measured by the bucket before they are weighed
    """
    recipe = proportion(mix, materials)
    if by_bucket is None:
        by_bucket = frozenset(name for name in mix.aggregate if materials[name].kind == "light-aggregate")
    names = [*recipe.weighed_kg] + ([] if mix.reference_sand is None else [mix.reference_sand])
    return Batch(
        weighed_kg=recipe.weighed_kg,
        materials={name: materials[name] for name in names if name in materials},
        air=mix.air,
        water_density_kg_m3=mix.water_density_kg_m3,
        reference_sand=mix.reference_sand,
        by_bucket=by_bucket,
        air_deviation=_air_deviation(mix),
    )


def assumptions_of(batch: Batch) -> tuple[Assumption, ...]:
    """Every figure that the yield of a batch depends on, with its usual deviation."""
    assumptions = [Assumption("air", "", batch.air, batch.air_deviation, 0.0)]
    water_kg = batch.weighed_kg.get(WATER, 0.0)
    if water_kg > 0.0:
        assumptions.append(Assumption("water", WATER, water_kg, WATER_DEVIATION * water_kg, 0.0))
    for name in batch.weighed_kg:
        if name != WATER:
            assumptions.extend(_of_material(batch.materials[name], name in batch.by_bucket))
    return tuple(assumptions)


def _air_deviation(mix: Mix) -> float:
    """Standard deviation of the air of a mix.

    The ends of an air band are two standard deviations from its middle. A weighed mix has the usual deviation.
    """
    if mix.air_band is None or mix.density_weighed:
        return AIR_DEVIATION
    return max(AIR_DEVIATION, 0.25 * (mix.air_band[1] - mix.air_band[0]))


def _of_material(material: Material, by_bucket: bool) -> list[Assumption]:
    assumptions = []
    bulk_kg_m3 = material.bulk_density_kg_m3
    deviation = DENSITY_DEVIATION.get(material.kind, 0.02)
    if material.packing is not None:
        assumptions.append(Assumption("packing", material.name, material.packing, PACKING_DEVIATION, 0.3))
    else:
        density_kg_m3 = particle_density_kg_m3(material)
        assumptions.append(
            Assumption("density", material.name, density_kg_m3, deviation * density_kg_m3, 0.1 * density_kg_m3)
        )
    if bulk_kg_m3 is not None and (by_bucket or material.packing is not None):
        bulk_deviation = BULK_DENSITY_DEVIATION.get(material.kind, 0.05) * bulk_kg_m3
        assumptions.append(Assumption("bulk_density", material.name, bulk_kg_m3, bulk_deviation, 0.1 * bulk_kg_m3))
    if material.kind in ("sand", "light-aggregate") and material.moisture > 0.0:
        assumptions.append(Assumption("moisture", material.name, material.moisture, MOISTURE_DEVIATION, 0.0))
    return assumptions


COVERAGE = 2.0  # standard deviations to each side: about 95 % of outcomes
_STEP_OF_DEVIATION = 0.1


@frozen
class Band:
    """A predicted figure with its low and high side."""

    low: float
    best: float
    high: float
    parts: Mapping[str, float]  # share of the variance by assumption, largest first; sums to 1 unless the variance is 0


@frozen
class MixBands:
    """Bands of the figures of a mix, for the same masses on the scale."""

    fresh_density_kg_m3: Band
    oven_dry_density_kg_m3: Band
    installed_density_kg_m3: Band
    yield_m3_per_m3: Band  # volume made over volume planned


def bands(
    mix: Mix,
    materials: Mapping[str, Material],
    assumptions: Sequence[Assumption] | None = None,
    *,
    by_bucket: frozenset[str] | None = None,
    coverage: float = COVERAGE,
) -> MixBands:
    """Bands of density and yield by first-order propagation of independent deviations.

    assumptions  uncertain figures; None: every figure with its usual deviation
    by_bucket    as in `batch_of`
    coverage     standard deviations to each side

    The variance is the sum of (slope · deviation)², with slopes from finite differences.
    Source: first-order law of propagation of uncertainty, as in JCGM 100.
    """
    batch = batch_of(mix, materials, by_bucket=by_bucket)
    uncertain = assumptions_of(batch) if assumptions is None else assumptions
    planned = batch.made
    stepped = [(assumption, *_stepped(batch, assumption)) for assumption in uncertain]
    figures: tuple[Callable[[Yield], float], ...] = (
        lambda batch_yield: batch_yield.fresh_density_kg_m3,
        lambda batch_yield: batch_yield.oven_dry_density_kg_m3,
        lambda batch_yield: batch_yield.equilibrium_density_kg_m3,
        lambda batch_yield: batch_yield.volume_m3 / planned.volume_m3,
    )
    return MixBands(*(_band(figure, planned, stepped, coverage) for figure in figures))


def _stepped(batch: Batch, assumption: Assumption) -> tuple[Yield, Yield, float]:
    """Yields a small step below and above the assumed figure, and the distance; one-sided at its lower bound."""
    step = _STEP_OF_DEVIATION * assumption.deviation
    below = nearest_possible(batch, assumption, max(assumption.assumed - step, assumption.least))
    above = nearest_possible(batch, assumption, assumption.assumed + step)
    return batch.assuming(assumption, below).made, batch.assuming(assumption, above).made, above - below


def _band(
    figure: Callable[[Yield], float],
    planned: Yield,
    stepped: Sequence[tuple[Assumption, Yield, Yield, float]],
    coverage: float,
) -> Band:
    best = figure(planned)
    variances = {}
    for assumption, below, above, distance in stepped:
        slope = (figure(above) - figure(below)) / distance if distance > 0.0 else 0.0
        variances[assumption.key] = (slope * assumption.deviation) ** 2
    variance = sum(variances.values())
    half_width = coverage * sqrt(variance)
    ranked = sorted(variances.items(), key=lambda item: -item[1])
    parts = {key: part / variance for key, part in ranked} if variance > 0.0 else {}
    return Band(low=best - half_width, best=best, high=best + half_width, parts=parts)
