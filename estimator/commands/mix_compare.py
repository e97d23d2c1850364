"""`cast-estimator mix compare`: mixes side by side, with a job's pieces cast in each."""

import sys
from pathlib import Path

import numpy as np

from estimator.commands.mixes import measure_job, open_bench, telling
from estimator.comparison import CastIn, Swappable, cast_in, prices_of, swappable
from estimator.document import to_json
from estimator.errors import Fault, InputError
from estimator.job import Units
from estimator.mix_document import row_document
from estimator.report.mix_sheets import comparison_sheet, pieces_sheet
from estimator.report.terminal import print_sheets, print_warnings
from estimator.report.words import EXAMPLE_PRICES


def run(names: list[str], job: Path | None, in_place_of: str | None, units: Units | None, *, as_json: bool) -> None:
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
    if as_json:
        sys.stdout.write(to_json({"rows": [row_document(row, pieces.marks) for row in rows]}))
        return
    sheets = [comparison_sheet(rows, bench.words)]
    if pieces.marks:
        sheets.append(pieces_sheet(rows, pieces.marks, np.asarray(pieces.quantity).tolist(), bench.words))
    print_sheets(" · ".join(names), sheets, [EXAMPLE_PRICES])
    print_warnings(f"mix {row.mix.name}: {text}" for row in rows for text in row.made.warnings)


def _cast(cast: set[str]) -> str:
    return f"Cast here: {', '.join(sorted(cast))}."
