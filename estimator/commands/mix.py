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
    mix_with_beads,
    replaced_share,
    replacement_curve,
    replacements,
    rule_of_thumb,
    swap_pair,
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
    figure_name,
    first_crack,
    form_sheet,
    material_name,
    mixes_sheet,
    now_and_after,
    pieces_sheet,
    rule_of_thumb_text,
    stop_sheet,
)
from estimator.report.screen import Sheet, material_sheet, print_sheets, print_warnings
from estimator.words import PLAIN, Words, words_for
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
        print_sheets(bench.words("mix-list", file=bench.file), [mixes_sheet(bench.shelf.mixes, bench.words)])
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
    listing = show(design, materials, chosen, batch)
    if as_json:
        sys.stdout.write(to_json(_mix_table(name, listing, design, thumb)))
        return
    if chosen == "masses" and batch is None:
        listing = show(design, materials, chosen, recipe_for(design, finished_m3=words.concrete_unit_m3))
    notes = _notes(listing, mix, stops, uncertain, thumb, bench)
    if ways:
        notes.insert(0, words("mix-replaced-by", basis=words(f"basis-{mix.replaced_by}")))
    sheets = [
        facts_sheet(mix, design, uncertain, words),
        form_sheet(listing, design, materials, bench.workshop.scales, words),
    ]
    heading = words("mix-heading", mix_name=mix.label, file=bench.file)
    print_sheets(heading, [*sheets, basis_sheet(ways, words), stop_sheet(stops, words)], notes)
    about = [warning for warning in bench.shelf.warnings if _is_about(words.text(warning.text), mix, words)]
    print_warnings([*about, *design.warnings], words)


def _is_about(warning: str, mix: Mix, words: Words) -> bool:
    return mix.name in warning or words.name(mix) in warning


def _mix_table(name: str, listing: MixListing, design: MixDesign, thumb: RuleOfThumb | None) -> dict[str, Any]:
    """The mix as JSON tells it."""
    return {
        "mix": name,
        "form": listing.form,
        "lines": [
            {"name": line.name, "value": line.value, "unit": line.unit, "basis": PLAIN.text(line.basis)}
            for line in listing.lines
        ],
        "counted_dry_kg": listing.batch.counted_dry_kg,
        "total_kg": listing.batch.total_kg,
        "finished_m3": listing.finished_m3,
        "weighed_kg": listing.batch.weighed_kg,
        "fresh_density_kg_m3": design.fresh_density_kg_m3,
        "installed_density_kg_m3": design.installed_density_kg_m3,
        "water_cementitious": design.water_cementitious,
        "water_cement": design.water_cement,
        "rule_of_thumb": None if thumb is None else asdict(thumb),
    }


def _notes(
    listing: MixListing,
    mix: Mix,
    stops: Sequence[StoppedEarly],
    uncertain: MixBands,
    thumb: RuleOfThumb | None,
    bench: Bench,
) -> list[str]:
    """What is said under the tables of a mix."""
    words = bench.words
    water = water_stages(listing.batch.batched_water_kg, mix.water_held_back)
    notes = [words.text(caution) for stop in stops for caution in stop.cautions]
    if listing.form == "masses" and water.held_back_kg > 0.0:
        first, later = (
            as_weighed(mass_kg, bench.workshop.scales, words) for mass_kg in (water.first_kg, water.held_back_kg)
        )
        notes.insert(0, words("mix-water-stages", first=first, later=later))
    part = next(iter(uncertain.fresh_density_kg_m3.parts.items()), None)
    if part is not None:
        of = figure_name(part[0], bench.shelf.materials, words)
        notes.append(words("mix-spread", part=of, part_share=part[1]))
    if thumb is not None:
        notes.append(rule_of_thumb_text(mix, thumb, words))
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


@in_words_of_job
def run_swap(
    share_text: str,
    job: Path,
    piece: str | None,
    name: str | None,
    sand: str | None,
    bead: str | None,
    by: str,
    *,
    as_json: bool,
) -> None:
    """Prints the job as it is now and with the sand replaced. Raises InputError for what is at fault."""
    share = ratio("SHARE", share_text)
    if by not in REPLACED_BY:
        raise InputError([Fault("--by", "", message("option-unknown", value=by, nearest=nearest(by, REPLACED_BY)))])
    now = estimate_file(job)
    pieces = _pieces(now, piece)
    mix = _mix(now, pieces, name)
    with telling(now.job.file, mix.name):
        sand, bead = swap_pair(mix, now.job.materials, sand, bead or _only_bead(now))
        changed = mix_with_beads(mix, now.job.materials, sand, bead, share, by)
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
    mix_sheet = _swap_sheet(now, then, changed, (was, share), band, (sand, bead))
    layers = [(layer, part.taken.piece.quantity) for part in after for layer in part.taken.layers]
    needed_m3 = sum(layer.cast_m3 * quantity for layer, quantity in layers if layer.mix == mix.name)
    listing = show(design, then.job.materials, "masses", recipe_for(design, finished_m3=needed_m3))
    need_sheet = replace(
        form_sheet(listing, design, then.job.materials, then.job.workshop.scales, words),
        title=words("swap-needed", needed_m3=needed_m3),
    )
    sheets = [mix_sheet, _piece_sheet(pieces, after, words), need_sheet, material_sheet(then, words)]
    title = words("swap-title", job=now.job.name, replaced_share=share)
    print_sheets(title, sheets, [*_dangers(then, after), words("example-prices"), words("deferral")])
    print_warnings([warning for warning in then.warnings if warning not in now.warnings], words)


def _swap_sheet(
    now: Estimate, then: Estimate, changed: Mix, shares: tuple[float, float], band: Band, pair: tuple[str, str]
) -> Sheet:
    """The mix as it is now beside the same mix with its sand replaced.

    shares  of the sand replaced, now and after
    pair    the sand and the light aggregate, by name
    """
    words, materials = words_for(now.job), now.job.materials
    mix = now.job.mixes[changed.name]
    designs = now.mixes[mix.name], then.mixes[mix.name]
    rows = (
        (words("swap-sand-replaced"), *map(words.share, shares)),
        (words("mix-fresh"), *(words.density(design.fresh_density_kg_m3) for design in designs)),
        (words("swap-range"), "", words("swap-low-high", low_kg_m3=band.low, high_kg_m3=band.high)),
        (
            words("mix-installed-equilibrium"),
            *(words.density(design.installed_density_kg_m3) for design in designs),
        ),
        (words("mix-in-water"), *(words("mix-floats" if design.floats else "mix-sinks") for design in designs)),
        (words("mix-first-crack"), first_crack(mix, words), first_crack(changed, words)),
    )
    sand, bead = (material_name(name, materials, words) for name in pair)
    basis = words(f"basis-{changed.replaced_by}")
    title = words("swap-mix", mix_name=mix.label, sand=sand, bead=bead, basis=basis)
    return Sheet(title, now_and_after(words, ""), rows)


def _dangers(then: Estimate, after: Sequence[PieceEstimate]) -> list[str]:
    """The gravest cautions of these pieces with the sand replaced; those of some pieces alone name them."""
    marks, words = {piece.taken.piece.mark for piece in after}, words_for(then.job)
    lines = []
    for applied in then.cautions:
        pieces = [mark for mark in applied.pieces if mark in marks]
        if applied.caution.severity != "danger" or not pieces:
            continue
        id = "swap-danger" if len(pieces) == len(marks) else "swap-danger-for"
        severity = words(f"severity-{applied.caution.severity}")
        lines.append(words(id, severity=severity, pieces=", ".join(pieces), text=applied.text))
    return lines


def _piece_sheet(before: list[PieceEstimate], after: list[PieceEstimate], words: Words) -> Sheet:
    """What one piece of each mark weighs and costs, now and with the sand replaced."""
    rows: list[tuple[str, ...]] = []
    for now, then in zip(before, after, strict=True):
        pair = (now, then)
        quantity = now.taken.piece.quantity
        price = words("swap-price", currency=words.currency)
        rows += [
            (now.taken.piece.mark, words("mix-installed"), *(words.mass(piece.weight.installed_kg) for piece in pair)),
            ("", words("mix-lift-high"), *(words.mass(piece.weight.lift_kg, up=True) for piece in pair)),
            ("", words("swap-flip-high"), *(words.mass(piece.weight.turn_kg, up=True) for piece in pair)),
            ("", words("swap-carry"), *(words.crew(piece.handling.carry.persons) for piece in pair)),
            ("", price, *(words.money(float(piece.price) / quantity) for piece in pair)),
        ]
    return Sheet(words("swap-pieces"), now_and_after(words, words("mix-head-piece"), ""), tuple(rows))


def _pieces(now: Estimate, mark: str | None) -> list[PieceEstimate]:
    marks = [piece.taken.piece.mark for piece in now.pieces]
    own = None if mark is None else same_name(mark, marks)
    pieces = [piece for piece in now.pieces if mark is None or piece.taken.piece.mark == own]
    if not pieces:
        problem = message("piece-unknown", mark=str(mark), nearest=nearest(str(mark), marks))
        raise InputError([Fault(now.job.file, "", problem)])
    return pieces


def _mix(now: Estimate, pieces: list[PieceEstimate], name: str | None) -> Mix:
    """The mix whose sand is replaced: the one named, else the one of which these pieces hold most."""
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
    beads = {n for mix in now.mixes for n in now.job.mixes[mix].aggregate if materials[n].kind == "light-aggregate"}
    return beads.pop() if len(beads) == 1 else None


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
        rule_of_thumb_text(mix, thumb, bench.words)
        for mix in mixes
        if (thumb := rule_of_thumb(mix, bench.shelf.materials)) is not None
    ]
    notes.append(bench.words("example-prices"))
    if pieces.marks:
        notes.append(bench.words("deferral"))
    print_sheets(" · ".join(bench.words.name(mix) for mix in mixes), sheets, notes)
    warnings = [
        warning.about(message("of-mix", mix_name=row.mix.label)) for row in rows for warning in row.design.warnings
    ]
    print_warnings(warnings, bench.words)


def _plot(path: Path, mixes: list[Mix], bench: Bench, pieces: Swappable) -> None:
    """Plots weight and cost over the share of sand replaced, for the pieces, or without a job for a unit of volume."""
    from estimator.report.plots import SwapCurve, swap_plot, write_plot

    words, materials = bench.words, bench.shelf.materials
    volume_m3 = words.concrete_unit_m3
    kg = POUND_KG if words.units == "imperial" else 1.0
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
        # Mixes that differ in the share replaced alone lie on one curve.
        key = (sand, bead, tuple(np.round(weight, 6)), tuple(np.round(cost, 6)))
        curves.setdefault(key, SwapCurve(words.name(mix), curve.fraction, weight / kg, cost))
    of = words("mix-plot-pieces") if pieces.marks else words.concrete_unit
    labels = (
        words("mix-plot-weight", of=of, unit=words.mass_unit),
        words("mix-plot-cost", of=of, unit=words.currency),
    )
    with writing(path):
        write_plot(path, swap_plot(list(curves.values()), *labels, words), words("mix-plot-title"))
