"""`cast-estimator mix compare`: mixes side by side, with a job's pieces cast in each."""

import sys
from pathlib import Path

import numpy as np

from estimator.commands.mixes import Bench, measure_job, open_bench, telling, writing
from estimator.comparison import CastIn, Swappable, cast_in, prices_of, swappable
from estimator.document import row_document, to_json
from estimator.errors import Fault, InputError
from estimator.job import Mix, Units
from estimator.mix import MixError, make
from estimator.mix.compare import cost_of, replacement_curve
from estimator.mix.replacement import swap_pair
from estimator.mix.rule_of_thumb import rule_of_thumb
from estimator.report.mix_sheets import comparison_sheet, pieces_sheet
from estimator.report.mix_words import rule_of_thumb_words
from estimator.report.terminal import print_sheets, print_warnings
from estimator.report.words import CUBIC_YARD_M3, DEFERRAL, EXAMPLE_PRICES

POUND_KG = 0.45359237


def run(
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
            raise InputError([Fault("--in-place-of", "", f"no piece is cast in {in_place_of}.", _cast(cast))])
        replaced = {in_place_of} if in_place_of else cast & set(names)
        if not replaced:
            raise InputError(
                [
                    Fault(
                        bench.file,
                        "",
                        f"no piece is cast in {' or '.join(names)}.",
                        f"Say in place of which mix: --in-place-of {sorted(cast)[0]}.",
                    )
                ]
            )
        pieces = swappable(measured.job, measured.takeoff, measured.mixes, frozenset(replaced))
    rows: list[CastIn] = []
    for mix in mixes:
        with telling(bench.file, mix.name):
            rows.append(cast_in(mix, bench.shelf.materials, prices_of(bench.shelf.materials), pieces))
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
    notes.append(EXAMPLE_PRICES)
    if pieces.marks:
        notes.append(DEFERRAL)
    print_sheets(" · ".join(names), sheets, notes)
    print_warnings(each.about(f"mix {row.mix.name}") for row in rows for each in row.made.warnings)


def _plot(path: Path, mixes: list[Mix], bench: Bench, pieces: Swappable) -> None:
    """Weight against cost from no sand swapped to all: of the pieces, or of a volume where there are none."""
    from estimator.report.swap_plot import SwapCurve, write_swap_plot

    words, materials = bench.words, bench.shelf.materials
    imperial = words.units == "imperial"
    mass, volume_m3 = ("lb", CUBIC_YARD_M3) if imperial else ("kg", 1.0)
    per = "yd³" if imperial else "m³"
    kg = POUND_KG if imperial else 1.0
    curves: dict[tuple[object, ...], SwapCurve] = {}
    for mix in mixes:
        try:
            sand, bead = swap_pair(mix, materials)
        except MixError:
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
        write_swap_plot(path, list(curves.values()), *labels)


def _cast(cast: set[str]) -> str:
    return f"Cast here: {', '.join(sorted(cast))}."
