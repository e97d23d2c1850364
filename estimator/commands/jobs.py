"""estimate, check, explain, compare, schema, new: what is done with whole job files."""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from contextlib import nullcontext
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING, Any

from estimator.cautions import built_in_cautions
from estimator.commands.progress import progress
from estimator.disk import check_replaceable, refusal, replace_file, write_folder
from estimator.document import sections_of
from estimator.errors import Fault, InputError
from estimator.estimate import Estimate, estimate, price_before_tax, survey
from estimator.explain import workings_of_figure
from estimator.garbage import not_freed, without_collection
from estimator.intake import Reading, read_job
from estimator.intake.ahead import cores
from estimator.intake.json_schema import json_schema
from estimator.pricing.sensitivity import Swing, sensitivity
from estimator.pricing.versions import Row, Value, side_by_side
from estimator.report.figures import result_text, values_lines
from estimator.serialize import json_lines
from estimator.words import PLAIN, words_for
from geometry import store
from geometry.files import packaged
from geometry.message import message

if TYPE_CHECKING:
    from estimator.draft import Request

SCHEMA_FILE = "job.schema.json"
SCHEMA_LINE = f"#:schema ./{SCHEMA_FILE}\n".encode()  # by which editors of TOML complete and explain a file's keys


def estimate_file(path: Path, workers: int = 1, *, cache: bool = True) -> Estimate:
    """The estimate of a job file. Raises InputError with every fault of the file and of what it names.

    workers  processes that read drawings and meshes
    cache    whether what they hold is taken from earlier runs and kept for later ones
    """
    with nullcontext() if cache else store.off(), progress(PLAIN("progress-reading", file=path.name)) as show:
        reading = read_job(path, workers)
        show(PLAIN("progress-estimating", file=path.name))
        return _estimated(reading)


def _estimated(reading: Reading) -> Estimate:
    faults = list(reading.faults)
    if reading.job is not None and faults:
        try:
            survey(reading.job)
        except InputError as error:
            faults += [fault for fault in error.faults if fault not in faults]
    if faults or reading.job is None:
        raise InputError(faults)
    return estimate(reading.job, built_in_cautions())


@without_collection()
def run_estimate(
    path: Path,
    out: Path | None,
    *,
    as_json: bool,
    workings: bool = False,
    tables: Sequence[str] = (),
    workers: int | None = None,
    cache: bool = True,
) -> None:
    """Estimates the job of `path`; prints the document, or the first screen and `tables`; writes the pack to `out`."""
    if tables and as_json:
        raise InputError([Fault("--show", "", message("show-with-json"))])
    if workings and not as_json:
        raise InputError([Fault("--workings", "", message("option-workings-without-json"))])
    if out is not None:
        check_replaceable(out, path)
    workers = workers or cores()
    result = estimate_file(path, workers, cache=cache)
    not_freed(result)
    if out is not None:
        from estimator.report.pack import write_pack

        with progress(PLAIN("progress-papers")) as show:
            write_pack(result, out, path, lambda name: show(PLAIN("progress-paper", name=name)), workers)
    if as_json:
        sys.stdout.flush()
        sys.stdout.buffer.writelines(json_lines(sections_of(result, workings=workings), words_for(result.job)))
        return
    from estimator.report.screen import print_summary

    print_summary(result, out, tables)


def table_names(text: str | None, *, full: bool) -> tuple[str, ...]:
    """The tables that `--show` names, or all of them. Raises InputError for an unknown name."""
    from estimator.report.screen import TABLES

    names = list(TABLES) if full else [name.strip().casefold() for name in (text or "").split(",") if name.strip()]
    names = ["labor" if name == "labour" else name for name in names]
    faults = [
        Fault("--show", "", message("show-unknown", name=name, names=list(TABLES)))
        for name in names
        if name not in TABLES
    ]
    if faults:
        raise InputError(faults)
    return tuple(names)


def run_check(path: Path, workers: int | None = None, *, cache: bool = True, accept: bool = False) -> None:
    """Estimates the job and prints its warnings, those of one kind as one. Raises InputError with every fault.

    accept  keep the drawings as they are now, for later comparison
    """
    from estimator.report.first_screen import grouped

    if accept:
        accept_drawings(path)
    result = estimate_file(path, workers or cores(), cache=cache)
    words = words_for(result.job)
    for text in grouped(result.warnings, words):
        print(words("of-file", file=path.name, text=words("warning", text=text)))
    print(words("check-passed", file=path.name, marks=len(result.pieces), mixes=len(result.mixes)))


def accept_drawings(path: Path) -> None:
    """Keeps what the drawings of a job hold now, beside them. Raises InputError where they cannot be read or kept."""
    from estimator.intake.documents import read_toml
    from estimator.intake.drawings import accepted

    for target, content in accepted(read_toml(path), path.parent, path.name).items():
        try:
            replace_file(target, content)
        except OSError as error:
            problem = message("folder-not-written", reason=refusal(error))
            raise InputError([Fault(str(target), "", problem)]) from None


LIFTED_BY = ("weight", "handling")  # branches whose figures somebody lifts by


def run_explain(path: Path, figure: str) -> None:
    """Prints the workings of a figure, or of all below a branch. Raises InputError for one that is not known."""
    result = estimate_file(path)
    words, units = words_for(result.job), result.job.units
    workings = workings_of_figure(result, figure)
    for i, working in enumerate(workings):
        if i:
            print()
        print(working.figure)
        print(f"  = {working.formula}")
        for line in values_lines(working, units):
            print(f"    {line}")
        print(f"  = {result_text(working, units)}")
        print(words("explain-source", source=words.text(working.source)))
    if any(part in LIFTED_BY for working in workings for part in working.figure.split(".")):
        print()
        print(words("deferral"))


def run_compare(paths: Sequence[Path], *, every: bool, as_json: bool) -> None:
    """Prints the comparison. Raises InputError with every fault of every job, or where the currencies differ."""
    results = estimates(paths)
    first = results[0]
    _check_currencies(paths, results)
    standings = [
        replace(result.standing, name=f"{result.standing.name} ({path})" if path else result.standing.name)
        for result, path in zip(results, told_apart(paths), strict=True)
    ]
    swings: tuple[Swing, ...] = ()
    if len(results) == 1:
        standings += [standing.standing for standing in first.versions.alternatives]
        names = [first.job.name, *(standing.name for standing in first.versions.alternatives)]
        swings = moving_most(first)
    else:
        names = [standing.name for standing in standings]
    rows = side_by_side(standings)
    if as_json:
        print(json.dumps(_document(names, rows, swings, first), indent=2, ensure_ascii=False))
        return
    from estimator.report.mix_sheets import comparison_sheets
    from estimator.report.screen import print_sheets

    words = words_for(first.job)
    sheets = comparison_sheets(names, rows, swings, first.cost.price, words, every=every)
    print_sheets(words("compare-title", name=first.job.name, currency=first.job.currency), sheets, [words("deferral")])


def estimates(paths: Sequence[Path]) -> list[Estimate]:
    """The estimate of every job. Raises InputError with the faults of all of them."""
    results, faults = [], list[Fault]()
    for path in paths:
        try:
            results.append(estimate_file(path))
        except InputError as error:
            faults += error.faults
    if faults:
        raise InputError(faults)
    return results


def _check_currencies(paths: Sequence[Path], results: Sequence[Estimate]) -> None:
    first = results[0].job.currency
    faults = [
        Fault(path.name, "job, currency", message("compare-currency", code=result.job.currency, first=first))
        for path, result in zip(paths, results, strict=True)
        if result.job.currency != first
    ]
    if faults:
        raise InputError(faults)


def told_apart(paths: Sequence[Path]) -> list[str]:
    """What to write beside the names of jobs, as two versions of a job often share one: their paths from the folder
    that holds them all. Empty for a job that stands alone.

    >>> told_apart([Path("jobs/hill/job.toml"), Path("jobs/lake/job.toml")]), told_apart([Path("jobs/hill/job.toml")])
    (['hill/job.toml', 'lake/job.toml'], [''])
    """
    if len(paths) == 1:
        return [""]
    whole = [path.absolute() for path in paths]
    shared = next((folder for folder in whole[0].parents if all(path.is_relative_to(folder) for path in whole)), None)
    return [path.relative_to(shared).as_posix() if shared else str(path) for path in whole]


def moving_most(result: Estimate) -> tuple[Swing, ...]:
    """The inputs that move the price of an estimate most."""
    return sensitivity(result.job, result.cost.price, price_before_tax, lambda job: price_before_tax(job, like=result))


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
            {"input": swing.name, "step": swing.step, "low": _plain(swing.low), "high": _plain(swing.high)}
            for swing in swings
        ],
    }


def _plain(value: Value) -> float | int | None:
    return float(value) if isinstance(value, Decimal) else value


def run_schema() -> None:
    print(_schema_text())


def _schema_text() -> str:
    return json.dumps(json_schema(), indent=2, ensure_ascii=False)


def run_new(folder: Path, request: Request) -> None:
    """Write a job into `folder`, and beside it the schema that its first line names for the editor.

    request  the files that the job is made from; the starter job where there are none

    Raises InputError where the folder holds anything else, and where a file is at fault.
    """
    if request.files:
        _write_draft(folder, request)
        return
    options = ("unit", "gap", "thickness", "use", "ignore", "scale", "page", "pieces", "holes", "marks")
    unread = [f"--{option}" for option in options if getattr(request, option)]
    unused = [Fault("cast-estimator", option, message("new-without-from")) for option in unread]
    if unused:
        raise InputError(unused)
    starter = packaged("estimator.commands", "starter.toml")
    write_folder(folder, {"job.toml": SCHEMA_LINE + starter, SCHEMA_FILE: _schema_text().encode()})
    print(PLAIN("new-written", file=str(folder / "job.toml")), file=sys.stderr)


def _write_draft(folder: Path, request: Request) -> None:
    from estimator.draft import draft_of

    check_replaceable(folder)
    name = folder.resolve().name.replace("-", " ").replace("_", " ").strip().capitalize() or "Job"
    draft = draft_of(name, request)
    job = SCHEMA_LINE + draft.text.encode()
    write_folder(folder, {"job.toml": job, SCHEMA_FILE: _schema_text().encode(), **draft.files})
    for note in draft.notes:
        print(note)
    print(PLAIN("new-written", file=str(folder / "job.toml")), file=sys.stderr)
