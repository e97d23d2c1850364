"""`cast-estimator compare`: jobs side by side, or one job beside its alternatives and what moves its price."""

import json
from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

from estimator.commands.estimate import estimate_file
from estimator.errors import Fault, InputError
from estimator.estimate import Estimate, price_before_tax
from estimator.pricing.compare import Row, Standing, Value, side_by_side
from estimator.pricing.sensitivity import Swing, sensitivity


def run(paths: Sequence[Path], *, every: bool, as_json: bool) -> None:
    """Prints the comparison. Raises InputError with every fault of every job, or where the currencies differ."""
    done = estimates(paths)
    first = done[0]
    _check_currencies(paths, done)
    standings = [_named(each, path, paths) for each, path in zip(done, paths, strict=True)]
    swings: tuple[Swing, ...] = ()
    if len(done) == 1:
        standings += [each.standing for each in first.versions.alternatives]
        names = [first.job.name, *(each.name for each in first.versions.alternatives)]
        swings = moving_most(first)
    else:
        names = [each.name for each in standings]
    rows = side_by_side(standings)
    if as_json:
        print(json.dumps(_document(names, rows, swings, first), indent=2, ensure_ascii=False))
        return
    from estimator.report.comparison import comparison_sheets
    from estimator.report.terminal import print_sheets
    from estimator.report.words import DEFERRAL, Words

    words = Words(first.job.units, first.job.currency)
    sheets = comparison_sheets(names, rows, swings, first.cost.price, words, every=every)
    print_sheets(f"{first.job.name}, in {first.job.currency}", sheets, [DEFERRAL])


def estimates(paths: Sequence[Path]) -> list[Estimate]:
    """The estimate of every job. Raises InputError with the faults of all of them."""
    done, faults = [], list[Fault]()
    for path in paths:
        try:
            done.append(estimate_file(path))
        except InputError as error:
            faults += error.faults
    if faults:
        raise InputError(faults)
    return done


def _check_currencies(paths: Sequence[Path], done: Sequence[Estimate]) -> None:
    first = done[0].job.currency
    faults = [
        Fault(
            path.name, "job, currency", f"is {each.job.currency}, where the first job has {first}.", "Compare in one."
        )
        for path, each in zip(paths, done, strict=True)
        if each.job.currency != first
    ]
    if faults:
        raise InputError(faults)


def _named(done: Estimate, path: Path, paths: Sequence[Path]) -> Standing:
    """The job, by its name and, beside others, its path: two versions of a job often share the name."""
    standing = done.standing
    return replace(standing, name=f"{standing.name} ({path})") if len(paths) > 1 else standing


def moving_most(done: Estimate) -> tuple[Swing, ...]:
    """The inputs that move the price of an estimate most."""
    return sensitivity(done.job, done.cost.price, price_before_tax, lambda job: price_before_tax(job, like=done))


def _document(names: Sequence[str], rows: Sequence[Row], swings: Sequence[Swing], first: Estimate) -> dict[str, Any]:
    return {
        "jobs": list(names),
        "currency": first.job.currency,
        "rows": [
            {
                "section": row.section,
                "what": row.what,
                "figure": row.figure,
                "values": [_plain(value) for value in row.values],
                "changes": [_plain(row.change(at)) for at in range(1, len(row.values))],
            }
            for row in rows
        ],
        "sensitivity": [
            {"input": each.name, "step": each.step, "low": _plain(each.low), "high": _plain(each.high)}
            for each in swings
        ],
    }


def _plain(value: Value) -> float | int | None:
    return float(value) if isinstance(value, Decimal) else value
