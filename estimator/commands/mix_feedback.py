"""mix calibrate and mix coupons: what was weighed and tested, against what was planned."""

import sys
from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Any

from estimator.batching.loading import measuring_error
from estimator.commands.mixes import Bench, in_words_of_job, open_bench, quantity, ratio, telling, writing
from estimator.document import to_json
from estimator.errors import Fault, FaultError, InputError
from estimator.intake.corrections import Correction, added, read_corrections, write_corrections
from estimator.intake.shelf import read_coupons, with_coupons
from estimator.job import Material, Mix, Units
from estimator.mix.calibrate import Calibration, Explanation, calibrate, corrected_by, fresh_density
from estimator.mix.proportions import LEAST_MEASURE_M3
from estimator.mix.replacement import replaced_share, swap_pair
from estimator.mixes import strengths_of
from estimator.names import nearest
from estimator.records import Record, new_record, records_path
from estimator.report.mix_sheets import coupon_sheet, explanation_sheet, figure_name, per_volume, strength_sheet
from estimator.report.screen import Column, Sheet, print_sheets, print_warnings
from estimator.serialize import plain
from estimator.store.records import add_record, records_of
from estimator.words import Words
from geometry.frozen import frozen
from geometry.message import message

SHOWN_EXPLANATIONS = 6


@frozen
class Weighing:
    """A container of fresh mix, and the batch that it came from as far as that was written down."""

    container_m3: float
    gross_kg: float
    tare_kg: float
    air: float | None  # by a meter
    masses_kg: Mapping[str, float] | None
    designed_m3: float | None
    day: str
    batch: str | None


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
    weighing = _given(container, gross, tare, air, batch) if gross is not None else _recorded(job, name, batch)
    weighing = _with_batch(weighing, job, name)
    with telling(bench.file, name):
        density_kg_m3 = fresh_density(weighing.gross_kg, weighing.tare_kg, weighing.container_m3)
        calibration = calibrate(
            mix,
            bench.shelf.materials,
            density_kg_m3,
            weighed_kg=weighing.masses_kg,
            designed_m3=weighing.designed_m3,
            measured_air=weighing.air,
            uncertainty=measuring_error(weighing.container_m3, weighing.gross_kg, bench.workshop),
        )
    chosen = _chosen(calibration, choose, weighing)
    corrections = _corrections(bench, mix, calibration, chosen, weighing)
    if write:
        with writing(records_path(job)):
            if gross is not None:
                add_record(job, _bucket_record(name, weighing))
            if corrections:
                _keep(job, bench, name, corrections, density_kg_m3)
    if as_json:
        sys.stdout.write(to_json(_document(name, calibration, corrections)))
    else:
        _print(name, bench, calibration, chosen, weighing)


def _keep(job: Path, bench: Bench, name: str, corrections: list[Correction], density_kg_m3: float) -> None:
    """Puts the corrections beside the job, over earlier ones of the same figures, and writes down that it did."""
    kept = read_corrections(job, [])
    for correction in corrections:
        kept = added(kept, correction)
    path = write_corrections(job, kept)
    corrected = {correction.key: correction.becomes for correction in corrections}
    add_record(job, new_record("calibration", {"mix": name, "figures": corrected, "density_kg_m3": density_kg_m3}))
    words, materials = bench.words, bench.shelf.materials
    print_warnings(
        words(
            "calibrate-saved",
            figure=_corrected_name(correction, materials, words),
            value=_figure_text(correction.figure, correction.becomes, words),
            file=path.name,
        )
        for correction in corrections
    )


def _corrected_name(correction: Correction, materials: Mapping[str, Material], words: Words) -> str:
    if correction.figure == "water_cementitious":
        return words("mix-water-cementitious")
    of = f"materials.{correction.material}." if correction.material else ""
    return figure_name(f"{of}{correction.figure}", materials, words)


def _figure_text(figure: str, value: float, words: Words) -> str:
    """A figure that a density rests on, in the job's units."""
    if figure in ("density", "bulk_density"):
        return words.density(value)
    return f"{value:.3g}" if figure == "water_cementitious" else words.share(round(value, 3))


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


def _recorded(job: Path, name: str, batch: str | None) -> Weighing:
    """The last bucket of the mix that was written down; of one batch, where it is named."""
    wanted = {"mix": name} if batch is None else {"mix": name, "batch": batch}
    buckets = records_of(job).of("bucket", **wanted)
    if not buckets:
        raise InputError([Fault(job.name, "", message("bucket-not-recorded", mix=name, job=job.name))])
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


def _with_batch(weighing: Weighing, job: Path, name: str) -> Weighing:
    """The weighing with what really went into its batch, where the bucket names the batch and that was written down."""
    if weighing.batch is None:
        return weighing
    batches = records_of(job).of("batch", mix=name, batch=weighing.batch)
    if not batches:
        raise InputError([Fault(job.name, "", message("batch-not-recorded", batch=weighing.batch, mix=name))])
    values = batches[-1].values
    return Weighing(
        container_m3=weighing.container_m3,
        gross_kg=weighing.gross_kg,
        tare_kg=weighing.tare_kg,
        air=weighing.air,
        masses_kg=values.get("masses_kg"),
        designed_m3=values.get("designed_m3"),
        day=weighing.day,
        batch=weighing.batch,
    )


def _too_small(weighing: Weighing) -> bool:
    """Whether what was weighed is an indication only."""
    return weighing.container_m3 < LEAST_MEASURE_M3 * (1.0 - 1e-9)


def _chosen(calibration: Calibration, choose: str | None, weighing: Weighing) -> Explanation | None:
    """The explanation to correct by: the one named, else the likeliest if it is plausible; None where nothing is.

    Nothing is corrected by a measure that is too small, or by a difference that the measuring itself may make.
    """
    untouched = calibration.within_uncertainty or _too_small(weighing)
    if choose is None:
        first = next(iter(calibration.explanations), None)
        explains = first is not None and first.is_plausible and first.deviations > 0.0
        return first if explains and not untouched else None
    by_key = {explanation.assumption.key: explanation for explanation in calibration.explanations}
    if choose not in by_key:
        raise InputError(
            [Fault("--choose", "", message("option-unknown", value=choose, nearest=nearest(choose, by_key)))]
        )
    return None if untouched else by_key[choose]


def _corrections(
    bench: Bench, mix: Mix, calibration: Calibration, chosen: Explanation | None, weighing: Weighing
) -> list[Correction]:
    """What is written beside the job: metered air, and the figure that explains the rest."""
    corrections = []
    predicted, weighed = calibration.predicted_density_kg_m3, calibration.check.density_kg_m3
    why = bench.words("calibrate-why", weighed_kg_m3=weighed, predicted_kg_m3=predicted)
    if weighing.air is not None and weighing.air != mix.air and not _too_small(weighing):
        corrections.append(Correction(mix.name, "", "air", mix.air, weighing.air, weighing.day, "metered"))
    if chosen is None:
        return corrections
    assumption = chosen.assumption
    if assumption.figure == "water":
        corrected, _ = corrected_by(chosen, mix, bench.shelf.materials)
        becomes = corrected.water_cementitious
        return [
            *corrections,
            Correction(mix.name, "", "water_cementitious", mix.water_cementitious, becomes, weighing.day, why),
        ]
    material = "" if assumption.figure == "air" else assumption.material
    return [
        *corrections,
        Correction(mix.name, material, assumption.figure, assumption.assumed, chosen.would_be, weighing.day, why),
    ]


def _print(name: str, bench: Bench, calibration: Calibration, chosen: Explanation | None, weighing: Weighing) -> None:
    words, check = bench.words, calibration.check
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
            *_assumed_and_would_be(explanation, words),
            f"{explanation.deviations:.1f}",
            _verdict(explanation, chosen, words),
        )
        for explanation in calibration.explanations[:SHOWN_EXPLANATIONS]
    )
    sheets = [
        Sheet(words("calibrate-test"), (Column("", False), Column("")), rows),
        explanation_sheet(reasons, words),
    ]
    notes = [] if chosen else [_why_nothing(calibration, weighing, bench)]
    plausible = [explanation for explanation in calibration.explanations if explanation.is_plausible]
    others = [explanation.assumption.key for explanation in plausible if explanation is not chosen]
    if others and chosen:
        notes.append(words("calibrate-choose", keys=", ".join(others)))
    if check.air < 0.0:
        notes.append(words("calibrate-negative-air"))
    print_sheets(words("mix-heading", mix_name=bench.mix(name).label, file=bench.file), sheets, notes)


def _assumed_and_would_be(explanation: Explanation, words: Words) -> tuple[str, str]:
    """The figure as assumed and as it would be; water as a share of what was planned."""
    assumption = explanation.assumption
    values = assumption.assumed, explanation.would_be
    if assumption.figure == "water":
        values = 1.0, explanation.would_be / assumption.assumed
    assumed, would_be = (_figure_text(assumption.figure, value, words) for value in values)
    return assumed, would_be


def _verdict(explanation: Explanation, chosen: Explanation | None, words: Words) -> str:
    if explanation is chosen:
        return words("calibrate-likely")
    return words("calibrate-possible" if explanation.is_plausible else "calibrate-unlikely")


def _why_nothing(calibration: Calibration, weighing: Weighing, bench: Bench) -> str:
    """Why the mix is left as it was."""
    words = bench.words
    if _too_small(weighing):
        return words("calibrate-small", least=words.bucketful(LEAST_MEASURE_M3))
    if calibration.within_uncertainty:
        error = measuring_error(weighing.container_m3, weighing.gross_kg, bench.workshop)
        return words("calibrate-within", error_share=round(error, 3))
    return words("calibrate-unexplained")


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
