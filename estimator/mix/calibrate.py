"""After the first bucket: what the mix really yields, and which assumption best explains the difference."""

from collections.abc import Mapping
from dataclasses import replace

from estimator.errors import FaultError
from estimator.job import Material, Mix
from estimator.mix.bands import Assumption, Batch, assumptions_of, batch_of, nearest_possible
from geometry.frozen import frozen
from geometry.message import message

# Beyond this many deviations a figure does not explain a difference: something else went wrong.
PLAUSIBLE_DEVIATIONS = 3.0
_REACH_DEVIATIONS = 60.0


@frozen
class FreshCheck:
    """What a batch really made, by weighing a known volume of it. Terms of ASTM C138."""

    density_kg_m3: float
    yield_m3: float
    relative_yield: float  # over the volume designed; below 1 the batch ran short
    air: float  # gravimetric, from the air-free density; negative means that the densities assumed are too low
    cementitious_kg_m3: float  # content per volume really made


@frozen
class Explanation:
    """A figure that, if it alone was wrong, gives what was weighed."""

    assumption: Assumption
    would_be: float
    deviations: float  # from what was assumed, in standard deviations, without sign

    @property
    def is_plausible(self) -> bool:
        """Whether lots and workshops differ that much."""
        return self.deviations <= PLAUSIBLE_DEVIATIONS


@frozen
class Calibration:
    """A mix beside what was weighed of it, and the mix and materials corrected by the likeliest explanation."""

    check: FreshCheck
    predicted_density_kg_m3: float
    within_uncertainty: bool  # of what was weighed: nothing is to be corrected
    explanations: tuple[Explanation, ...]  # likeliest first
    mix: Mix  # corrected
    materials: Mapping[str, Material]  # corrected


def fresh_density(gross_kg: float, tare_kg: float, container_m3: float) -> float:
    """Density of fresh concrete in a filled, struck-off container, kg/m3. Source: ASTM C138 (formula from memory).

    Raises FaultError where the container is not heavier full than empty, or has no volume.
    """
    if not (gross_kg > tare_kg >= 0.0 and container_m3 > 0.0):
        raise FaultError(
            "weighed",
            message("weighed-no-density", gross_kg=gross_kg, tare_kg=tare_kg, container_m3=container_m3),
        )
    return (gross_kg - tare_kg) / container_m3


def batch_yield_m3(total_kg: float, density_kg_m3: float) -> float:
    """Volume that a batch really makes: all its mass over the density weighed. Source: ASTM C138."""
    return total_kg / density_kg_m3


def gravimetric_air(air_free_density_kg_m3: float, density_kg_m3: float) -> float:
    """Air as a fraction of volume: what the density lacks of the air-free one. Source: ASTM C138.

    Negative where the concrete is denser than its materials allow: then a density or a mass is wrong.
    """
    return (air_free_density_kg_m3 - density_kg_m3) / air_free_density_kg_m3


def calibrate(
    mix: Mix,
    materials: Mapping[str, Material],
    measured_density_kg_m3: float,
    *,
    weighed_kg: Mapping[str, float] | None = None,
    designed_m3: float | None = None,
    measured_air: float | None = None,
    uncertainty: float = 0.0,
    by_bucket: frozenset[str] | None = None,
) -> Calibration:
    """Set a mix against the fresh density that was weighed.

    weighed_kg    what went into the batch, "water" among it; None: the mix's own proportions
    designed_m3   volume that the batch was to make; None: what the mix predicts of those masses
    measured_air  by a meter, where there is one: then air is known and does not explain the difference
    uncertainty   of the density weighed, as a share of it: a difference within it corrects nothing
    by_bucket     materials measured by bucket, as in `batch_of`

    Every figure that the prediction rests on is asked what it would have to be, alone, for the weighed density; the
    one the fewest deviations away is the likeliest. Where none is plausible the mix is left as it was.
    Raises FaultError where the density is not above 0.
    """
    if not measured_density_kg_m3 > 0.0:
        raise FaultError(
            "measured_density", message("weighed-not-positive", measured_density_kg_m3=measured_density_kg_m3)
        )
    batch = batch_of(mix, materials, by_bucket=by_bucket)
    if weighed_kg is not None:
        used = {name: materials[name] for name in weighed_kg if name in materials} | dict(batch.materials)
        batch = replace(batch, weighed_kg=dict(weighed_kg), materials=used)
    if measured_air is not None:
        batch = replace(batch, air=measured_air)
    explanations = explain(batch, measured_density_kg_m3, air_is_known=measured_air is not None)
    corrected_mix = mix if measured_air is None else replace(mix, air=measured_air)
    corrected: Mapping[str, Material] = materials
    recipe, predicted = batch.recipe, batch.made
    off_kg_m3 = abs(measured_density_kg_m3 - predicted.fresh_density_kg_m3)
    within = off_kg_m3 <= uncertainty * measured_density_kg_m3
    if explanations and explanations[0].is_plausible and not within:
        corrected_mix, corrected = corrected_by(explanations[0], corrected_mix, materials)
    yield_m3 = batch_yield_m3(recipe.total_kg, measured_density_kg_m3)
    return Calibration(
        check=FreshCheck(
            density_kg_m3=measured_density_kg_m3,
            yield_m3=yield_m3,
            relative_yield=yield_m3 / (predicted.volume_m3 if designed_m3 is None else designed_m3),
            air=gravimetric_air(predicted.air_free_density_kg_m3, measured_density_kg_m3),
            cementitious_kg_m3=recipe.cementitious_kg / yield_m3,
        ),
        predicted_density_kg_m3=predicted.fresh_density_kg_m3,
        within_uncertainty=within,
        explanations=explanations,
        mix=corrected_mix,
        materials=corrected,
    )


def explain(batch: Batch, measured_density_kg_m3: float, *, air_is_known: bool = False) -> tuple[Explanation, ...]:
    """What each assumed figure would have to be, alone, for the density weighed; likeliest first.

    A figure that cannot reach that density, however far off it is, is left out.
    """
    explanations = []
    for assumption in assumptions_of(batch):
        if assumption.figure == "air" and air_is_known:
            continue
        would_be = _would_be(batch, assumption, measured_density_kg_m3)
        if would_be is not None:
            deviations = abs(would_be - assumption.assumed) / assumption.deviation
            explanations.append(Explanation(assumption, would_be, deviations))
    return tuple(sorted(explanations, key=lambda explanation: explanation.deviations))


def corrected_by(
    explanation: Explanation, mix: Mix, materials: Mapping[str, Material]
) -> tuple[Mix, Mapping[str, Material]]:
    """Mix and materials with the explaining figure set to what it would have to be.

    Where it is the water weighed, w/cm becomes what really went in.
    """
    assumption, value = explanation.assumption, explanation.would_be
    if assumption.figure == "air":
        return replace(mix, air=value), materials
    if assumption.figure == "water":
        batch = batch_of(mix, materials)
        factor = value / assumption.assumed
        wetter = {**batch.weighed_kg, "water": batch.weighed_kg["water"] * factor}
        return replace(mix, water_cementitious=replace(batch, weighed_kg=wetter).recipe.water_cementitious), materials
    changed = batch_of(mix, materials).assuming(assumption, value).materials[assumption.material]
    return mix, {**materials, assumption.material: changed}


def _would_be(batch: Batch, assumption: Assumption, measured_density_kg_m3: float) -> float | None:
    from scipy.optimize import brentq

    def miss(value: float) -> float:
        return batch.assuming(assumption, value).made.fresh_density_kg_m3 - measured_density_kg_m3

    reach = _REACH_DEVIATIONS * assumption.deviation
    most = assumption.assumed + reach
    if assumption.figure in ("air", "packing"):
        most = min(most, 0.95)
    least = max(assumption.assumed - reach, assumption.least)
    at_assumed = miss(assumption.assumed)
    if abs(at_assumed) <= 1e-9 * measured_density_kg_m3:
        return assumption.assumed
    for end in (nearest_possible(batch, assumption, least), nearest_possible(batch, assumption, most)):
        if end != assumption.assumed and miss(end) * at_assumed <= 0.0:
            return float(brentq(miss, min(end, assumption.assumed), max(end, assumption.assumed), xtol=1e-12))
    return None
