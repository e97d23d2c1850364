"""Comparison of a weighed mix with its design, and the correction stored beside the job."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from estimator.batching.loading import measuring_error
from estimator.errors import Fault, InputError
from estimator.intake.corrections import Correction, added, read_corrections, write_corrections
from estimator.job import Material, Mix, Workshop
from estimator.mix.calibrate import Calibration, Explanation, calibrate, corrected_by, fresh_density
from estimator.mix.proportions import LEAST_MEASURE_M3
from estimator.names import nearest
from estimator.records import new_record
from estimator.store.records import add_record, records_of
from estimator.words import Words
from geometry.frozen import frozen
from geometry.message import message


@frozen
class Weighing:
    """A weighed container of fresh mix, with what was recorded of the batch it came from."""

    container_m3: float
    gross_kg: float
    tare_kg: float
    air: float | None  # measured with an air meter
    masses_kg: Mapping[str, float] | None
    designed_m3: float | None
    day: str
    batch: str | None

    @property
    def too_small(self) -> bool:
        """Whether the container is so small that the weighing gives only an indication."""
        return self.container_m3 < LEAST_MEASURE_M3 * (1.0 - 1e-9)


@frozen
class Feedback:
    """A mix and the evaluation of its weighing.

    error   measuring error of container and scale, as a share of the density
    """

    mix: Mix
    materials: Mapping[str, Material]
    weighing: Weighing
    calibration: Calibration
    error: float

    def chosen(self, key: str | None = None) -> Explanation | None:
        """The explanation to correct: that of `key`, else the likeliest one if it is plausible, else None.

        None also if the container is too small or the difference is within the measuring error.
        Raises InputError for an unknown key.
        """
        untouched = self.calibration.within_uncertainty or self.weighing.too_small
        if key is None:
            first = next(iter(self.calibration.explanations), None)
            explains = first is not None and first.is_plausible and first.deviations > 0.0
            return first if explains and not untouched else None
        by_key = {explanation.assumption.key: explanation for explanation in self.calibration.explanations}
        if key not in by_key:
            raise InputError(
                [Fault("--choose", "", message("option-unknown", value=key, nearest=nearest(key, by_key)))]
            )
        return None if untouched else by_key[key]

    def why_nothing(self, words: Words) -> str:
        """Why the mix is left as it is when no explanation is chosen."""
        if self.weighing.too_small:
            return words("calibrate-small", least=words.bucketful(LEAST_MEASURE_M3))
        if self.calibration.within_uncertainty:
            return words("calibrate-within", error_share=round(self.error, 3))
        return words("calibrate-unexplained")

    def corrections(self, chosen: Explanation | None, words: Words) -> list[Correction]:
        """Corrections to store beside the job: measured air, and the figure that explains the remaining difference."""
        mix, weighing, corrections = self.mix, self.weighing, list[Correction]()
        predicted, weighed = self.calibration.predicted_density_kg_m3, self.calibration.check.density_kg_m3
        why = words("calibrate-why", weighed_kg_m3=weighed, predicted_kg_m3=predicted)
        if weighing.air is not None and weighing.air != mix.air and not weighing.too_small:
            corrections.append(Correction(mix.name, "", "air", mix.air, weighing.air, weighing.day, "metered"))
        if chosen is None:
            return corrections
        assumption = chosen.assumption
        if assumption.figure == "water":
            corrected, _ = corrected_by(chosen, mix, self.materials)
            was, becomes = mix.water_cementitious, corrected.water_cementitious
            return [*corrections, Correction(mix.name, "", "water_cementitious", was, becomes, weighing.day, why)]
        material = "" if assumption.figure == "air" else assumption.material
        figure, was, becomes = assumption.figure, assumption.assumed, chosen.would_be
        return [*corrections, Correction(mix.name, material, figure, was, becomes, weighing.day, why)]


def recorded_weighing(job: Path, mix: str, batch: str | None = None) -> Weighing:
    """The last recorded bucket of a mix, or of one of its batches. Raises InputError if none is recorded."""
    wanted = {"mix": mix} if batch is None else {"mix": mix, "batch": batch}
    buckets = records_of(job).of("bucket", **wanted)
    if not buckets:
        raise InputError([Fault(job.name, "", message("bucket-not-recorded", mix=mix, job=job.name))])
    values = buckets[-1].values
    try:
        return Weighing(
            container_m3=float(values["container_m3"]),
            gross_kg=float(values["gross_kg"]),
            tare_kg=float(values.get("tare_kg", 0.0)),
            air=values.get("air"),
            masses_kg=None,
            designed_m3=None,
            day=buckets[-1].at[:10],
            batch=values.get("batch"),
        )
    except (KeyError, TypeError, ValueError):
        raise InputError([Fault(job.name, "", message("bucket-incomplete", at=buckets[-1].at))]) from None


def with_batch(weighing: Weighing, job: Path, mix: str) -> Weighing:
    """The weighing with the recorded masses of its batch, if it names one.

    Raises InputError for a batch that was not recorded.
    """
    if weighing.batch is None:
        return weighing
    batches = records_of(job).of("batch", mix=mix, batch=weighing.batch)
    if not batches:
        raise InputError([Fault(job.name, "", message("batch-not-recorded", batch=weighing.batch, mix=mix))])
    values = batches[-1].values
    return replace(weighing, masses_kg=values.get("masses_kg"), designed_m3=values.get("designed_m3"))


def feedback_of(weighing: Weighing, mix: Mix, materials: Mapping[str, Material], workshop: Workshop) -> Feedback:
    """Evaluate the weighing of a mix. Raises FaultError for a mix without a density."""
    error = measuring_error(weighing.container_m3, weighing.gross_kg, workshop)
    calibration = calibrate(
        mix,
        materials,
        fresh_density(weighing.gross_kg, weighing.tare_kg, weighing.container_m3),
        weighed_kg=weighing.masses_kg,
        designed_m3=weighing.designed_m3,
        measured_air=weighing.air,
        uncertainty=error,
    )
    return Feedback(mix, materials, weighing, calibration, error)


def keep_corrections(job: Path, feedback: Feedback, corrections: Sequence[Correction]) -> Path:
    """Store corrections beside the job, replacing earlier ones of the same figures, and record the calibration.

    Returns the path of the file of corrections. Raises InputError and OSError.
    """
    stored = read_corrections(job, [])
    for correction in corrections:
        stored = added(stored, correction)
    path = write_corrections(job, stored)
    figures = {correction.key: correction.becomes for correction in corrections}
    density_kg_m3 = feedback.calibration.check.density_kg_m3
    values = {"mix": feedback.mix.name, "figures": figures, "density_kg_m3": density_kg_m3}
    add_record(job, new_record("calibration", values))
    return path
