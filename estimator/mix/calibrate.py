"""Calibration from the first bucket: the true yield of a mix, and the assumption that best explains the difference."""

from collections.abc import Mapping
from dataclasses import replace

from estimator.errors import FaultError
from estimator.job import Material, Mix
from estimator.mix.bands import Assumption, Batch, assumptions_of, batch_of, nearest_possible
from geometry.frozen import frozen
from geometry.message import message

# Beyond this many deviations a figure does not explain a difference; something else went wrong.
PLAUSIBLE_DEVIATIONS = 3.0
_REACH_DEVIATIONS = 60.0


@frozen
class FreshCheck:
    """Measured figures of a batch, from weighing a known volume of it. Terms of ASTM C138."""

    density_kg_m3: float
    yield_m3: float
    relative_yield: float  # over the design volume; below 1 the batch ran short
    air: float  # gravimetric, from the air-free density; negative means the assumed densities are too low
    cementitious_kg_m3: float  # content per volume actually made


@frozen
class Explanation:
    """A figure that would explain the weighed density if it alone was wrong."""

    assumption: Assumption
    would_be: float
    deviations: float  # absolute difference from the assumed figure, in standard deviations

    @property
    def is_plausible(self) -> bool:
        """Whether lots and shops can differ that much."""
        return self.deviations <= PLAUSIBLE_DEVIATIONS


@frozen
class Calibration:
    """A mix checked against a weighing, and the mix and materials corrected by the likeliest explanation."""

    check: FreshCheck
    predicted_density_kg_m3: float
    within_uncertainty: bool  # of the weighing: nothing needs correction
    explanations: tuple[Explanation, ...]  # likeliest first
    mix: Mix  # corrected
    materials: Mapping[str, Material]  # corrected


def fresh_density(gross_kg: float, tare_kg: float, container_m3: float) -> float:
    """Density of fresh concrete in a filled, struck-off container, kg/m3. Source: ASTM C138 (formula from memory).

    Raises FaultError if the container is not heavier full than empty, or has no volume.
    """
    if not (gross_kg > tare_kg >= 0.0 and container_m3 > 0.0):
        raise FaultError(
            "weighed",
            message("weighed-no-density", gross_kg=gross_kg, tare_kg=tare_kg, container_m3=container_m3),
        )
    return (gross_kg - tare_kg) / container_m3


def batch_yield_m3(total_kg: float, density_kg_m3: float) -> float:
    """Volume that a batch actually makes: its total mass over the weighed density. Source: ASTM C138."""
    return total_kg / density_kg_m3


def gravimetric_air(air_free_density_kg_m3: float, density_kg_m3: float) -> float:
    """Air as a fraction of volume, from the difference to the air-free density. Source: ASTM C138.

    Negative if the concrete is denser than its materials allow, which means a density or a mass is wrong.
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
    """Check a mix against a weighed fresh density, and correct it by the likeliest explanation.

    weighed_kg    masses in the batch, including "water"; None: the mix's own proportions
    designed_m3   volume that the batch was meant to make; None: the volume predicted from those masses
    measured_air  air from a meter, if any: air is then known and does not explain the difference
    uncertainty   uncertainty of the weighed density, as a fraction of it; a difference within it corrects nothing
    by_bucket     materials measured by bucket, as in `batch_of`

    For every figure behind the prediction, finds the value that alone would give the weighed density. The figure with
    the fewest deviations is the likeliest. If none is plausible the mix is not changed. Raises FaultError if the
    density is not above 0.
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
    """Value of each assumed figure that alone would give the weighed density, likeliest first.

    A figure that cannot give that density at any value is left out.
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
    """Mix and materials with the explaining figure set to its inferred value.

    If the figure is the weighed water, w/cm is set to what really went in.
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
    upper = assumption.assumed + reach
    if assumption.figure in ("air", "packing"):
        upper = min(upper, 0.95)
    lower = max(assumption.assumed - reach, assumption.least)
    at_assumed = miss(assumption.assumed)
    if abs(at_assumed) <= 1e-9 * measured_density_kg_m3:
        return assumption.assumed
    for end in (nearest_possible(batch, assumption, lower), nearest_possible(batch, assumption, upper)):
        if end != assumption.assumed and miss(end) * at_assumed <= 0.0:
            return float(brentq(miss, min(end, assumption.assumed), max(end, assumption.assumed), xtol=1e-12))
    return None
