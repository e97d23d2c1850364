"""mix calibrate and mix coupons: what was weighed and tested, against what was planned."""

import sys
from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Any

from estimator.commands.mixes import Bench, in_words_of_job, open_bench, quantity, ratio, telling, writing
from estimator.document import to_json
from estimator.errors import Fault, FaultError, InputError
from estimator.feedback import Feedback, Weighing, feedback_of, keep_corrections, recorded_weighing, with_batch
from estimator.intake.corrections import Correction
from estimator.intake.shelf import read_coupons, with_coupons
from estimator.job import Material, Mix, Units
from estimator.mix.calibrate import Calibration, Explanation
from estimator.mix.replacement import replaced_share, swap_pair
from estimator.mixes import strengths_of
from estimator.records import Record, new_record, records_path
from estimator.report.mix_sheets import (
    assumed_and_would_be,
    corrected_name,
    corrected_text,
    coupon_sheet,
    explanation_sheet,
    figure_name,
    per_volume,
    strength_sheet,
)
from estimator.report.screen import Column, Sheet, print_sheets, print_warnings
from estimator.serialize import plain
from estimator.store.records import add_record
from estimator.words import Words
from geometry.message import message

SHOWN_EXPLANATIONS = 6


@in_words_of_job
def run_calibrate(
    name: str,
    job: Path,
    container: str | None,
    gross: str | None,
    tare: str,
    air: str | None,
    batch: str | None,
    choose: str | None,
    *,
    write: bool,
    as_json: bool,
) -> None:
    """Prints density, yield and air, and what explains the difference; writes the corrected figure beside the job."""
    bench = open_bench(job)
    mix = bench.mix(name)
    weighing = _given(container, gross, tare, air, batch) if gross is not None else recorded_weighing(job, name, batch)
    weighing = with_batch(weighing, job, name)
    with telling(bench.file, name):
        feedback = feedback_of(weighing, mix, bench.shelf.materials, bench.workshop)
    chosen = feedback.chosen(choose)
    corrections = feedback.corrections(chosen, bench.words)
    if write:
        with writing(records_path(job)):
            if gross is not None:
                add_record(job, _bucket_record(name, weighing))
            if corrections:
                _keep(job, bench, feedback, corrections)
    if as_json:
        sys.stdout.write(to_json(_document(name, feedback.calibration, corrections)))
    else:
        _print(bench, feedback, chosen)


def _keep(job: Path, bench: Bench, feedback: Feedback, corrections: list[Correction]) -> None:
    path = keep_corrections(job, feedback, corrections)
    words, materials = bench.words, bench.shelf.materials
    print_warnings(
        words(
            "calibrate-saved",
            figure=corrected_name(correction, materials, words),
            value=corrected_text(correction.figure, correction.becomes, words),
            file=path.name,
        )
        for correction in corrections
    )


def _given(container: str | None, gross: str, tare: str, air: str | None, batch: str | None) -> Weighing:
    if container is None:
        raise InputError([Fault("--container", "", message("option-container-missing"))])
    return Weighing(
        container_m3=quantity("--container", container, "volume"),
        gross_kg=quantity("--gross", gross, "mass"),
        tare_kg=quantity("--tare", tare, "mass"),
        air=None if air is None else ratio("--air", air),
        masses_kg=None,
        designed_m3=None,
        day=date.today().isoformat(),
        batch=batch,
    )


def _print(bench: Bench, feedback: Feedback, chosen: Explanation | None) -> None:
    words, calibration, check = bench.words, feedback.calibration, feedback.calibration.check
    rows = (
        (words("calibrate-weighed"), words.density(check.density_kg_m3)),
        (words("calibrate-predicted"), words.density(calibration.predicted_density_kg_m3)),
        (words("calibrate-yield"), words.share(check.relative_yield)),
        (words("calibrate-air"), words.share(check.air)),
        (words("calibrate-cementitious"), per_volume(check.cementitious_kg_m3, words)),
    )
    reasons = tuple(
        (
            figure_name(explanation.assumption.key, bench.shelf.materials, words),
            *assumed_and_would_be(explanation, words),
            f"{explanation.deviations:.1f}",
            _verdict(explanation, chosen, words),
        )
        for explanation in calibration.explanations[:SHOWN_EXPLANATIONS]
    )
    sheets = [
        Sheet(words("calibrate-test"), (Column("", False), Column("")), rows),
        explanation_sheet(reasons, words),
    ]
    notes = [] if chosen else [feedback.why_nothing(words)]
    plausible = [explanation for explanation in calibration.explanations if explanation.is_plausible]
    others = [explanation.assumption.key for explanation in plausible if explanation is not chosen]
    if others and chosen:
        notes.append(words("calibrate-choose", keys=", ".join(others)))
    if check.air < 0.0:
        notes.append(words("calibrate-negative-air"))
    print_sheets(words("mix-heading", mix_name=feedback.mix.label, file=bench.file), sheets, notes)


def _verdict(explanation: Explanation, chosen: Explanation | None, words: Words) -> str:
    if explanation is chosen:
        return words("calibrate-likely")
    return words("calibrate-possible" if explanation.is_plausible else "calibrate-unlikely")


def _document(name: str, calibration: Calibration, corrections: list[Correction]) -> dict[str, object]:
    check = calibration.check
    return {
        "mix": name,
        "density_kg_m3": check.density_kg_m3,
        "predicted_density_kg_m3": calibration.predicted_density_kg_m3,
        "yield_m3": check.yield_m3,
        "relative_yield": check.relative_yield,
        "air": check.air,
        "cementitious_kg_m3": check.cementitious_kg_m3,
        "within_uncertainty": calibration.within_uncertainty,
        "explanations": [
            {
                "figure": explanation.assumption.key,
                "assumed": explanation.assumption.assumed,
                "would_be": explanation.would_be,
                "deviations": explanation.deviations,
                "plausible": explanation.is_plausible,
            }
            for explanation in calibration.explanations
        ],
        "corrections": [
            {"figure": correction.key, "was": correction.was, "becomes": correction.becomes}
            for correction in corrections
        ],
    }


def _bucket_record(name: str, weighing: Weighing) -> Record:
    values: dict[str, object] = {
        "mix": name,
        "container_m3": weighing.container_m3,
        "gross_kg": weighing.gross_kg,
        "tare_kg": weighing.tare_kg,
    }
    if weighing.air is not None:
        values["air"] = weighing.air
    if weighing.batch is not None:
        values["batch"] = weighing.batch
    return new_record("bucket", values)


@in_words_of_job
def run_coupons(
    names: list[str] | None,
    job: Path | None,
    file: Path | None,
    plot: Path | None,
    units: Units | None,
    *,
    as_json: bool,
) -> None:
    """Prints the tests of the mixes named, of all that have any where none is."""
    bench = open_bench(job, units)
    mixes = [bench.mix(name) for name in names] if names else [m for m in bench.shelf.mixes.values() if m.coupons]
    if file is not None:
        if len(mixes) != 1:
            raise InputError([Fault("--file", "", message("option-file-without-mix"))])
        faults: list[Fault] = []
        rows = read_coupons(file, file.name, mixes[0].name, ("--file", ""), faults)
        if faults:
            raise InputError(faults)
        mixes = [with_coupons(mixes[0], rows)]
    if not mixes:
        raise InputError([Fault(bench.file, "", message("mixes-without-coupons"))])
    shares = {mix.name: _dosage(mix, bench.shelf.materials) for mix in mixes}
    if plot is not None:
        from estimator.report.plots import strength_plot, write_plot

        with writing(plot):
            write_plot(plot, strength_plot(mixes, shares, bench.words), bench.words("coupon-plot"))
    if as_json:
        sys.stdout.write(to_json({"mixes": [_tested(mix, shares[mix.name]) for mix in mixes]}))
        return
    sheets = [coupon_sheet(mix, bench.words) for mix in mixes]
    sheets.append(strength_sheet([(mix, shares[mix.name], strengths_of(mix)) for mix in mixes], bench.words))
    notes = [bench.words("coupon-untested", mix_name=mix.label) for mix in mixes if mix.first_crack_strength_pa is None]
    notes += [
        bench.words("coupon-shortcoming", mix_name=mix.label, pour=test.pour, days=f"{test.age_d:g}", text=text)
        for mix in mixes
        for test in strengths_of(mix)
        for text in test.shortcomings
    ]
    notes.append(bench.words("coupon-terms"))
    notes.append(bench.words("coupon-design-on"))
    print_sheets(bench.words("coupon-test"), sheets, notes)


def _tested(mix: Mix, share: float | None) -> dict[str, Any]:
    """A mix with its coupons as JSON tells it."""
    return {
        "name": mix.name,
        "replacement": share,
        "coupons": [
            {
                "pour": coupon.pour,
                "age_d": coupon.age_d,
                "face_up": coupon.face_up,
                "limit_of_proportionality_pa": coupon.limit_pa,
                "modulus_of_rupture_pa": coupon.rupture_pa,
            }
            for coupon in mix.coupons
        ],
        "sets": [plain(strength) for strength in strengths_of(mix)],
        "first_crack_strength_pa": mix.first_crack_strength_pa,
        "first_crack_age_d": mix.first_crack_age_d,
    }


def _dosage(mix: Mix, materials: Mapping[str, Material]) -> float | None:
    """Share of the sand that beads stand in for; None for a mix without the two."""
    try:
        sand, bead = swap_pair(mix, materials)
    except FaultError:
        return None
    return replaced_share(mix, sand, bead)
