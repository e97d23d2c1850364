"""Low and high of what is predicted of a mix, from what is assumed of it."""

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

# Standard deviations, relative unless said: what separates lots and workshops, not the scatter of one test. They are
# half the usual ranges of the trade's tables (from memory): cement 3050–3200, silica sand 2620–2650, and so on.
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
MOISTURE_DEVIATION = 0.005  # absolute, of damp stock; dry stock is taken at its word
_HALVINGS = 60
WATER_DEVIATION = 0.01  # of the water weighed: a wet bucket, a splash


@frozen
class Assumption:
    """One figure that a prediction rests on. Independent of the others."""

    figure: Figure
    material: str  # "" for air, "water" for water
    assumed: float
    deviation: float  # one standard deviation, in the figure's own unit
    least: float  # what it cannot be below

    @property
    def key(self) -> str:
        """Where the figure is written: "air", "water" (to weigh), "materials.silica-sand.moisture"."""
        of_the_mix = self.figure in ("air", "water")
        return self.figure if of_the_mix else f"materials.{self.material}.{self.figure}"


@frozen
class Batch:
    """A batch as it went over the scale, and what is assumed of its materials.

    by_bucket      materials measured by a level bucket: more in the bucket is more in the batch
    air_deviation  standard deviation of its air: a quarter of the band usual of it, where it has one
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
        """What the masses hold, as far as the assumptions are right."""
        return recipe_of_weighed(self.weighed_kg, self.materials, reference_sand=self.reference_sand)

    @property
    def made(self) -> Yield:
        """What the batch yields, as far as the assumptions are right."""
        return yield_of(self.recipe, self.materials, self.air, self.water_density_kg_m3)

    def assuming(self, assumption: Assumption, value: float) -> "Batch":
        """The same batch, if the figure is `value` in place of what was assumed."""
        if assumption.figure == "air":
            return replace(self, air=value)
        if assumption.figure == "water":
            return replace(self, weighed_kg={**self.weighed_kg, WATER: value})
        material = self.materials[assumption.material]
        weighed_kg = self.weighed_kg
        if assumption.figure == "packing":
            changed = replace(material, packing=value, density_kg_m3=bulk_density_kg_m3(material) / value)
        elif assumption.figure == "bulk_density":
            # With its packing given a bead's own density follows its bulk; otherwise only its bucket's load does.
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
    """`value`, or what is nearest to it on the way from the figure assumed at which the batch can still be made.

    At a trial value a liquid may hold more water than it has room for, or an aggregate drink all the water: no fault
    of the mix as it is written.
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
    """The batch of 1 kg of counted dry mass of a mix, as it would be weighed.

    by_bucket  None: every light aggregate, since beads are measured by bucket and only then weighed
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
    """Every figure that the yield of a batch rests on, with its usual deviation."""
    assumptions = [Assumption("air", "", batch.air, batch.air_deviation, 0.0)]
    water_kg = batch.weighed_kg.get(WATER, 0.0)
    if water_kg > 0.0:
        assumptions.append(Assumption("water", WATER, water_kg, WATER_DEVIATION * water_kg, 0.0))
    for name in batch.weighed_kg:
        if name != WATER:
            assumptions.extend(_of_material(batch.materials[name], name in batch.by_bucket))
    return tuple(assumptions)


def _air_deviation(mix: Mix) -> float:
    """Low and high of a usual band are two standard deviations from its middle; a weighed mix has the usual one."""
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


COVERAGE = 2.0  # standard deviations to each side: about 95 % of what may happen
_STEP_OF_DEVIATION = 0.1


@frozen
class Band:
    """A predicted figure with its low and high."""

    low: float
    best: float
    high: float
    parts: Mapping[str, float]  # share of the variance by assumption, largest first; sums to 1 unless all is certain


@frozen
class MixBands:
    """Bands of what a mix makes, from the same masses on the scale."""

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

    assumptions  what is uncertain; None: every figure with its usual deviation
    by_bucket    as in `batch_of`
    coverage     standard deviations to each side

    The variance is the sum of (slope · deviation)², the slopes taken by small differences.
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
    """Yields a small step below and above the assumed figure, and that distance; one-sided at the figure's least."""
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
