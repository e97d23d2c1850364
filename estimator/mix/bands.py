"""How far a predicted density and yield may be off: low to high, and which assumption it hangs on."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import sqrt

from estimator.job import Material, Mix
from estimator.mix.assumptions import Assumption, Batch, assumptions_of, batch_of, nearest_possible
from estimator.mix.yields import Yield

COVERAGE = 2.0  # standard deviations to each side: about 95 % of what may happen
_STEP_OF_DEVIATION = 0.1


@dataclass(frozen=True, slots=True)
class Band:
    """A predicted figure with its low and high."""

    low: float
    best: float
    high: float
    parts: Mapping[str, float]  # share of the variance by assumption, largest first; sums to 1 unless all is certain


@dataclass(frozen=True, slots=True)
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
        lambda made: made.fresh_density_kg_m3,
        lambda made: made.oven_dry_density_kg_m3,
        lambda made: made.equilibrium_density_kg_m3,
        lambda made: made.volume_m3 / planned.volume_m3,
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
