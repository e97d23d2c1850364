"""`cast-estimator mix show`: one mix in any of its written forms, for a batch of any size."""

import sys
from collections.abc import Mapping
from dataclasses import asdict
from pathlib import Path

from estimator.commands.batch_size import batch_of_size
from estimator.commands.mixes import marks_of, measure_job, open_bench, telling
from estimator.document import to_json
from estimator.errors import Fault, InputError
from estimator.intake.faults import nearest
from estimator.job import Material, Mix, MixForm, Units
from estimator.mix import MixError, make
from estimator.mix.bands import bands
from estimator.mix.replacement import Replacement, replaced_share, replacements, swap_pair, with_replacement
from estimator.mix.rule_of_thumb import rule_of_thumb
from estimator.mix.shown import show
from estimator.mix.water import stop_early, water_stages
from estimator.report.mix_sheets import as_weighed, basis_sheet, facts_sheet, form_sheet, stop_sheet
from estimator.report.mix_words import rule_of_thumb_words
from estimator.report.tables import Column, Sheet
from estimator.report.terminal import print_sheets, print_warnings

FORMS: tuple[MixForm, ...] = ("share", "sand-ratio", "masses", "mass-per-volume", "volume-parts")


def run(
    name: str | None,
    job: Path | None,
    form: str | None,
    size: str | None,
    stop_at: float | None,
    units: Units | None,
    *,
    as_json: bool,
) -> None:
    """Prints a mix; all the mixes there are where none is named. Raises InputError for what is at fault."""
    bench = open_bench(job, units)
    if name is None:
        mixes = bench.shelf.mixes.items()
        rows = tuple((each, bench.words.share(mix.air), f"{mix.water_cementitious:.3g}") for each, mix in mixes)
        sheet = Sheet("Mixes", (Column("Name", False), Column("Air"), Column("w/cm")), rows)
        print_sheets(f"Mixes of {bench.file}; show one with: cast-estimator mix show NAME", [sheet])
        return
    if form is not None and form not in FORMS:
        raise InputError([Fault("--as", "", f'"{form}" is no way of writing a mix.', nearest(form, FORMS))])
    mix, materials, words = bench.mix(name), bench.shelf.materials, bench.words
    chosen: MixForm = form or ("masses" if size else mix.written_as)
    with telling(bench.file, name):
        made = make(mix, materials)
        uncertain = bands(mix, materials)
        stops = [] if stop_at is None else [stop_early(mix, materials, stop_at)]
        ways = _ways(mix, materials)
        thumb = rule_of_thumb(mix, materials)
    batch = None if size is None else batch_of_size(size, made, materials, lambda marks: _pieces_m3(job, name, marks))
    shown = show(made, materials, chosen, batch)
    if as_json:
        sys.stdout.write(
            to_json(
                {
                    "mix": name,
                    "form": shown.form,
                    "lines": [
                        {"name": each.name, "value": each.value, "unit": each.unit, "basis": each.basis}
                        for each in shown.lines
                    ],
                    "counted_dry_kg": shown.batch.counted_dry_kg,
                    "total_kg": shown.batch.total_kg,
                    "finished_m3": shown.finished_m3,
                    "weighed_kg": shown.batch.weighed_kg,
                    "fresh_density_kg_m3": made.fresh_density_kg_m3,
                    "installed_density_kg_m3": made.installed_density_kg_m3,
                    "water_cementitious": made.water_cementitious,
                    "water_cement": made.water_cement,
                    "rule_of_thumb": None if thumb is None else asdict(thumb),
                }
            )
        )
        return
    water = water_stages(shown.batch.batched_water_kg, mix.water_held_back)
    notes = [each for stop in stops for each in stop.cautions]
    if shown.form == "masses" and water.held_back_kg > 0.0:
        first, later = (as_weighed(each, bench.workshop.scales, words) for each in (water.first_kg, water.held_back_kg))
        notes.insert(0, f"Water: {first} first, {later} held back for later.")
    part = next(iter(uncertain.fresh_density_kg_m3.parts.items()), None)
    if part is not None:
        notes.append(f"Low to high hangs most on {part[0]} ({part[1]:.0%} of it): weigh a known volume of the mix.")
    if thumb is not None:
        notes.append(rule_of_thumb_words(mix.name, thumb, words))
    sheets = [
        facts_sheet(mix, made, uncertain, words),
        form_sheet(shown, made, materials, bench.workshop.scales, words),
    ]
    print_sheets(f"{name} · {bench.file}", [*sheets, basis_sheet(ways, words), stop_sheet(stops, words)], notes)
    print_warnings([*(each for each in bench.shelf.warnings if name in each.text), *made.warnings])


def _ways(mix: Mix, materials: Mapping[str, Material]) -> tuple[Replacement, ...]:
    """The sand that beads stand in for, replaced in each of the three ways; none where the mix has no beads."""
    try:
        sand, bead = swap_pair(mix, materials)
    except MixError:
        return ()
    share = replaced_share(mix, sand, bead)
    return replacements(with_replacement(mix, sand, bead, 0.0), materials, sand, bead, share) if share > 0.0 else ()


def _pieces_m3(job: Path | None, mix: str, marks: list[str]) -> float:
    """What is to be mixed for these pieces, waste in; of all pieces of the job where none is named."""
    if job is None:
        raise InputError([Fault("--for", "", "pieces are of a job.", "Name it: --job job.toml.")])
    measured = measure_job(job)
    marks = marks_of(measured, marks)
    volume_m3 = sum(
        layer.cast_m3 * taken.piece.quantity
        for taken in measured.takeoff.pieces
        if not marks or taken.piece.mark in marks
        for layer in taken.layers
        if layer.mix == mix
    )
    if volume_m3 == 0.0:
        raise InputError([Fault(measured.job.file, "", f"no such piece is cast in {mix}.", "Name others.")])
    return volume_m3
