"""mix show, mix swap, mix compare."""

import sys
from collections.abc import Mapping, Sequence
from dataclasses import asdict, replace
from pathlib import Path
from typing import Any

import numpy as np

from estimator.cautions import built_in_cautions
from estimator.commands.jobs import estimate_file
from estimator.commands.mixes import (
    Bench,
    batch_of_size,
    in_words_of_job,
    marks_of,
    measure_job,
    open_bench,
    ratio,
    telling,
    writing,
)
from estimator.constants import POUND_KG
from estimator.document import row_document, to_json
from estimator.errors import Fault, FaultError, InputError
from estimator.estimate import Estimate, PieceEstimate, estimate
from estimator.job import Job, Material, Mix, MixForm, Units
from estimator.mix import MixDesign, make
from estimator.mix.bands import Band, MixBands, bands
from estimator.mix.fresh import StoppedEarly, stop_early, water_stages
from estimator.mix.replacement import (
    REPLACED_BY,
    Replacement,
    RuleOfThumb,
    cost_of,
    replaced_share,
    replacement_curve,
    replacements,
    rule_of_thumb,
    swap_pair,
    swapped,
    with_replacement,
)
from estimator.mix.table import MixListing, recipe_for, show
from estimator.mixes import CastIn, Swappable, cast_in, prices_of, swappable
from estimator.names import nearest, same_name
from estimator.report.mix_sheets import (
    as_weighed,
    basis_sheet,
    comparison_sheet,
    facts_sheet,
    first_crack,
    form_sheet,
    pieces_sheet,
    stop_sheet,
)
from estimator.report.screen import Column, Sheet, material_sheet, print_sheets, print_warnings
from estimator.report.words import CUBIC_YARD_M3, rule_of_thumb_words
from estimator.words import Words, words_for
from geometry.message import message

FORMS: tuple[MixForm, ...] = ("share", "sand-ratio", "masses", "mass-per-volume", "volume-parts")


@in_words_of_job
def run_show(
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
        rows = tuple((mix_name, bench.words.share(mix.air), f"{mix.water_cementitious:.3g}") for mix_name, mix in mixes)
        sheet = Sheet("Mixes", (Column("Name", False), Column("Air"), Column("w/cm")), rows)
        print_sheets(f"Mixes of {bench.file}; show one with: cast-estimator mix show NAME", [sheet])
        return
    if form is not None and form not in FORMS:
        raise InputError([Fault("--as", "", message("option-unknown", value=form, nearest=nearest(form, FORMS)))])
    mix, materials, words = bench.mix(name), bench.shelf.materials, bench.words
    chosen: MixForm = form or ("masses" if size else mix.written_as)
    with telling(bench.file, name):
        design = make(mix, materials)
        uncertain = bands(mix, materials)
        stops = [] if stop_at is None else [stop_early(mix, materials, stop_at)]
        ways = _ways(mix, materials)
        thumb = rule_of_thumb(mix, materials)
    batch = None if size is None else batch_of_size(size, design, materials, lambda marks: _pieces_m3(job, name, marks))
    shown = show(design, materials, chosen, batch)
    if as_json:
        sys.stdout.write(to_json(_mix_table(name, shown, design, thumb)))
        return
    notes = _notes(shown, mix, stops, uncertain, thumb, bench)
    sheets = [
        facts_sheet(mix, design, uncertain, words),
        form_sheet(shown, design, materials, bench.workshop.scales, words),
    ]
    print_sheets(f"{name} · {bench.file}", [*sheets, basis_sheet(ways, words), stop_sheet(stops, words)], notes)
    print_warnings(
        [*(warning for warning in bench.shelf.warnings if name in words.text(warning.text)), *design.warnings]
    )


def _mix_table(name: str, shown: MixListing, design: MixDesign, thumb: RuleOfThumb | None) -> dict[str, Any]:
    """The mix as JSON tells it."""
    return {
        "mix": name,
        "form": shown.form,
        "lines": [
            {"name": line.name, "value": line.value, "unit": line.unit, "basis": line.basis} for line in shown.lines
        ],
        "counted_dry_kg": shown.batch.counted_dry_kg,
        "total_kg": shown.batch.total_kg,
        "finished_m3": shown.finished_m3,
        "weighed_kg": shown.batch.weighed_kg,
        "fresh_density_kg_m3": design.fresh_density_kg_m3,
        "installed_density_kg_m3": design.installed_density_kg_m3,
        "water_cementitious": design.water_cementitious,
        "water_cement": design.water_cement,
        "rule_of_thumb": None if thumb is None else asdict(thumb),
    }


def _notes(
    shown: MixListing,
    mix: Mix,
    stops: Sequence[StoppedEarly],
    uncertain: MixBands,
    thumb: RuleOfThumb | None,
    bench: Bench,
) -> list[str]:
    """What is said under the tables of a mix."""
    words = bench.words
    water = water_stages(shown.batch.batched_water_kg, mix.water_held_back)
    notes = [words.text(caution) for stop in stops for caution in stop.cautions]
    if shown.form == "masses" and water.held_back_kg > 0.0:
        first, later = (
            as_weighed(mass_kg, bench.workshop.scales, words) for mass_kg in (water.first_kg, water.held_back_kg)
        )
        notes.insert(0, words("mix-water-stages", first=first, later=later))
    part = next(iter(uncertain.fresh_density_kg_m3.parts.items()), None)
    if part is not None:
        notes.append(words("mix-spread", part=part[0], part_share=part[1]))
    if thumb is not None:
        notes.append(rule_of_thumb_words(mix.name, thumb, words))
    return notes


def _ways(mix: Mix, materials: Mapping[str, Material]) -> tuple[Replacement, ...]:
    """The sand that beads stand in for, replaced in each of the three ways; none where the mix has no beads."""
    try:
        sand, bead = swap_pair(mix, materials)
    except FaultError:
        return ()
    share = replaced_share(mix, sand, bead)
    return replacements(with_replacement(mix, sand, bead, 0.0), materials, sand, bead, share) if share > 0.0 else ()


def _pieces_m3(job: Path | None, mix: str, marks: list[str]) -> float:
    """What is to be mixed for these pieces, waste in; of all pieces of the job where none is named."""
    if job is None:
        raise InputError([Fault("--for", "", message("option-pieces-without-job"))])
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
        raise InputError([Fault(measured.job.file, "", message("pieces-not-in-mix", mix=mix))])
    return volume_m3


def run_swap(
    share_text: str,
    path: Path,
    piece: str | None,
    name: str | None,
    sand: str | None,
    bead: str | None,
    by: str,
    *,
    as_json: bool,
) -> None:
    """Estimates the job as it is and with the sand swapped. Raises InputError for what is at fault."""
    share = ratio("SHARE", share_text)
    if by not in REPLACED_BY:
        raise InputError([Fault("--by", "", message("option-unknown", value=by, nearest=nearest(by, REPLACED_BY)))])
    now = estimate_file(path)
    pieces = _pieces(now, piece)
    mix = _mix(now, pieces, name)
    with telling(now.job.file, mix.name):
        sand, bead = swap_pair(mix, now.job.materials, sand, bead or _only_bead(now))
        changed = swapped(mix, now.job.materials, sand, bead, share, by)
        band = bands(changed, now.job.materials).fresh_density_kg_m3
        was = replaced_share(mix, sand, bead)
    then = estimate(_with(now.job, changed), built_in_cautions())
    after = [part for part in then.pieces if part.taken.piece.mark in {p.taken.piece.mark for p in pieces}]
    if as_json:
        sys.stdout.write(
            to_json(
                {
                    "mix": mix.name,
                    "sand": sand,
                    "bead": bead,
                    "by": by,
                    "replacement": {"now": was, "swapped": share},
                    "now": _document(now, pieces, mix),
                    "swapped": _document(then, after, changed) | {"fresh_low": band.low, "fresh_high": band.high},
                }
            )
        )
        return
    words = words_for(now.job)
    design = then.mixes[mix.name]
    mix_sheet = _swap_sheet(now, then, mix, changed, (was, share), band, f"{bead} for {sand}")
    layers = [(layer, part.taken.piece.quantity) for part in after for layer in part.taken.layers]
    needed_m3 = sum(layer.cast_m3 * quantity for layer, quantity in layers if layer.mix == mix.name)
    shown = show(design, then.job.materials, "masses", recipe_for(design, finished_m3=needed_m3))
    need_sheet = replace(
        form_sheet(shown, design, then.job.materials, then.job.workshop.scales, words),
        title=f"What these pieces need of {mix.name}, swapped, waste in: {words.volume(needed_m3)}",
    )
    sheets = [mix_sheet, _piece_sheet(pieces, after, words), need_sheet, material_sheet(then, words)]
    title = f"{now.job.name}: {words.share(share)} of the sand swapped; the material order is of the whole job"
    print_sheets(title, sheets, [*_dangers(then, after), words("example-prices"), words("deferral")])
    print_warnings([warning for warning in then.warnings if warning not in now.warnings])


def _swap_sheet(
    now: Estimate, then: Estimate, mix: Mix, changed: Mix, shares: tuple[float, float], band: Band, swap: str
) -> Sheet:
    """The mix as it is beside the same with its sand swapped."""
    words = words_for(now.job)
    design, made_now = then.mixes[mix.name], now.mixes[mix.name]
    rows = (
        ("sand swapped", *map(words.share, shares)),
        ("fresh", words.density(made_now.fresh_density_kg_m3), words.density(design.fresh_density_kg_m3)),
        ("  low to high", "", f"{words.density(band.low)} to {words.density(band.high)}"),
        (
            words("mix-installed-equilibrium"),
            words.density(made_now.installed_density_kg_m3),
            words.density(design.installed_density_kg_m3),
        ),
        ("in water, fresh", *("floats" if mix_made.floats else "sinks" for mix_made in (made_now, design))),
        ("first-crack strength", first_crack(mix, words), first_crack(changed, words)),
    )
    return Sheet(
        f"{mix.name}: {swap}, {words(f'basis-{changed.replaced_by}')}",
        (Column("", False), Column("as it is"), Column("swapped")),
        rows,
    )


def _dangers(then: Estimate, after: Sequence[PieceEstimate]) -> list[str]:
    """The gravest cautions of the pieces after the swap."""
    marks, words = {piece.taken.piece.mark for piece in after}, words_for(then.job)
    return [
        f"{words(f'severity-{applied.caution.severity}')}, {', '.join(applied.pieces)}: {words.text(applied.text)}"
        for applied in then.cautions
        if applied.caution.severity == "danger" and marks & set(applied.pieces)
    ]


def _piece_sheet(before: list[PieceEstimate], after: list[PieceEstimate], words: Words) -> Sheet:
    """What one of each mark weighs and costs, as it is and swapped; the high weights are the ones to lift by."""
    rows: list[tuple[str, ...]] = []
    for now, then in zip(before, after, strict=True):
        pair = (now, then)
        quantity = now.taken.piece.quantity
        rows += [
            (now.taken.piece.mark, words("mix-installed"), *(words.mass(piece.weight.installed_kg) for piece in pair)),
            ("", "to lift, high", *(words.mass(piece.weight.lift_kg, up=True) for piece in pair)),
            ("", "to turn in its form, high", *(words.mass(piece.weight.turn_kg, up=True) for piece in pair)),
            ("", "carried by", *(words.crew(piece.handling.carry.persons) for piece in pair)),
            ("", f"price, {words.currency}", *(words.money(float(piece.price) / quantity) for piece in pair)),
        ]
    columns = (Column("Piece", False), Column("of one", False), Column("as it is"), Column("swapped"))
    return Sheet("The pieces", columns, tuple(rows))


def _pieces(now: Estimate, mark: str | None) -> list[PieceEstimate]:
    marks = [piece.taken.piece.mark for piece in now.pieces]
    own = None if mark is None else same_name(mark, marks)
    pieces = [piece for piece in now.pieces if mark is None or piece.taken.piece.mark == own]
    if not pieces:
        problem = message("piece-unknown", mark=str(mark), nearest=nearest(str(mark), marks))
        raise InputError([Fault(now.job.file, "", problem)])
    return pieces


def _mix(now: Estimate, pieces: list[PieceEstimate], name: str | None) -> Mix:
    """The mix that is swapped: the one named, else the one of which these pieces hold most."""
    volumes: dict[str, float] = {}
    for piece in pieces:
        for layer in piece.taken.layers:
            volumes[layer.mix] = volumes.get(layer.mix, 0.0) + layer.cast_m3 * piece.taken.piece.quantity
    if name is not None and name not in volumes:
        raise InputError([Fault(now.job.file, "", message("mix-not-cast", mix=name, nearest=nearest(name, volumes)))])
    return now.job.mixes[name or max(volumes, key=volumes.__getitem__)]


def _only_bead(now: Estimate) -> str | None:
    """The light aggregate of the job, where its mixes hold one alone."""
    materials = now.job.materials
    held = {n for mix in now.mixes for n in now.job.mixes[mix].aggregate if materials[n].kind == "light-aggregate"}
    return held.pop() if len(held) == 1 else None


def _with(job: Job, mix: Mix) -> Job:
    """The job with the mix in place of the one of its name; nothing of its other versions."""
    return replace(job, mixes={**job.mixes, mix.name: mix}, alternatives=(), options=(), changes=())


def _document(result: Estimate, pieces: list[PieceEstimate], mix: Mix) -> dict[str, Any]:
    design = result.mixes[mix.name]
    return {
        "fresh_density_kg_m3": design.fresh_density_kg_m3,
        "installed_density_kg_m3": design.installed_density_kg_m3,
        "floats": design.floats,
        "first_crack_strength_pa": mix.first_crack_strength_pa,
        "pieces": [
            {
                "mark": piece.taken.piece.mark,
                "fresh_kg": piece.weight.fresh_kg,
                "installed_kg": piece.weight.installed_kg,
                "high_kg": piece.weight.high_kg,
                "lift_kg": piece.weight.lift_kg,
                "crew": piece.handling.carry.persons,
                "price": float(piece.price) / piece.taken.piece.quantity,
            }
            for piece in pieces
        ],
        "required_kg": {line.material: line.required_kg for line in result.materials.lines},
        "total": float(result.cost.total),
    }


@in_words_of_job
def run_compare(
    names: list[str],
    job: Path | None,
    in_place_of: str | None,
    plot: Path | None,
    units: Units | None,
    *,
    as_json: bool,
) -> None:
    """Prints the mixes side by side. Raises InputError for what is at fault."""
    bench = open_bench(job, units)
    mixes = [bench.mix(name) for name in names]
    pieces = Swappable.nothing()
    if job is not None:
        measured = measure_job(job)
        cast = {layer.mix for taken in measured.takeoff.pieces for layer in taken.layers}
        if in_place_of is not None and in_place_of not in cast:
            problem = message("mix-not-cast", mix=in_place_of, nearest=nearest(in_place_of, cast))
            raise InputError([Fault("--in-place-of", "", problem)])
        replaced = {in_place_of} if in_place_of else cast & set(names)
        if not replaced:
            problem = message("mixes-not-cast", mixes=" or ".join(names), example=sorted(cast)[0])
            raise InputError([Fault(bench.file, "", problem)])
        pieces = swappable(measured.job, measured.takeoff, measured.mixes, frozenset(replaced))
    rows: list[CastIn] = []
    for mix in mixes:
        with telling(bench.file, mix.name):
            rows.append(cast_in(mix, make(mix, bench.shelf.materials), prices_of(bench.shelf.materials), pieces))
    if plot is not None:
        _plot(plot, mixes, bench, pieces)
    if as_json:
        sys.stdout.write(to_json({"rows": [row_document(row, pieces.marks) for row in rows]}))
        return
    sheets = [comparison_sheet(rows, bench.words)]
    if pieces.marks:
        sheets.append(pieces_sheet(rows, pieces.marks, np.asarray(pieces.quantity).tolist(), bench.words))
    notes = [
        rule_of_thumb_words(mix.name, thumb, bench.words)
        for mix in mixes
        if (thumb := rule_of_thumb(mix, bench.shelf.materials)) is not None
    ]
    notes.append(bench.words("example-prices"))
    if pieces.marks:
        notes.append(bench.words("deferral"))
    print_sheets(" · ".join(names), sheets, notes)
    print_warnings(warning.about(f"mix {row.mix.name}") for row in rows for warning in row.design.warnings)


def _plot(path: Path, mixes: list[Mix], bench: Bench, pieces: Swappable) -> None:
    """Weight against cost from no sand swapped to all: of the pieces, or of a volume where there are none."""
    from estimator.report.plots import SwapCurve, swap_plot, write_plot

    words, materials = bench.words, bench.shelf.materials
    imperial = words.units == "imperial"
    mass, volume_m3 = ("lb", CUBIC_YARD_M3) if imperial else ("kg", 1.0)
    per = "yd³" if imperial else "m³"
    kg = POUND_KG if imperial else 1.0
    curves: dict[tuple[object, ...], SwapCurve] = {}
    for mix in mixes:
        try:
            sand, bead = swap_pair(mix, materials)
        except FaultError:
            continue
        curve = replacement_curve(mix, materials, sand, bead, prices_of(materials))
        unpriced = cost_of(make(mix, materials), prices_of(materials)).unpriced
        cost = curve.cost_per_m3 * (np.nan if unpriced else 1.0)
        weight = curve.fresh_density_kg_m3
        if pieces.marks:
            weight = weight * (pieces.m3 @ pieces.quantity)
            weight = weight + (pieces.rest_fresh_kg + pieces.inserts_kg) @ pieces.quantity
            cost = cost * (pieces.cast_m3 @ pieces.quantity) + pieces.rest_cost @ pieces.quantity
        else:
            weight, cost = weight * volume_m3, cost * volume_m3
        # Mixes that differ in the share swapped alone lie on one curve.
        key = (sand, bead, tuple(np.round(weight, 6)), tuple(np.round(cost, 6)))
        curves.setdefault(key, SwapCurve(mix.name, curve.fraction, weight / kg, cost))
    of = "the pieces" if pieces.marks else f"one {per}"
    labels = f"fresh weight of {of}, {mass}; marks: sand swapped", f"material cost of {of}, {words.currency}"
    with writing(path):
        write_plot(path, swap_plot(list(curves.values()), *labels), "Weight against cost")


def _cast(cast: set[str]) -> str:
    return f"Cast here: {', '.join(sorted(cast))}."
