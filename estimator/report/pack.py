"""The pack of papers of one estimate: a line a paper."""

import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from estimator.disk import write_folder
from estimator.document import sections_of, to_workings_document
from estimator.estimate import Estimate
from estimator.explain import workings_of
from estimator.report.papers.batch_sheets import batch_sheets
from estimator.report.papers.data_files import materials_csv, pieces_csv, shelf_toml
from estimator.report.papers.form_drawing import form_drawings
from estimator.report.papers.form_sheet import form_sheet
from estimator.report.papers.install_sheet import install_sheet
from estimator.report.papers.labels import labels
from estimator.report.papers.lift_sheet import lift_sheet
from estimator.report.papers.order import order, order_csv, order_xlsx
from estimator.report.papers.pour_days import pour_days
from estimator.report.papers.quote import quote
from estimator.report.papers.summary_html import summary_html
from estimator.report.papers.workbook import estimate_xlsx
from estimator.report.papers.workings import workings
from estimator.serialize import json_lines
from estimator.words import words_for

Paper = Callable[[Estimate], bytes]

PAPERS: Mapping[str, Paper] = {
    "estimate.json": lambda estimate: b"".join(json_lines(sections_of(estimate), words_for(estimate.job))),
    "workings.json": lambda estimate: b"".join(json_lines(to_workings_document(workings_of(estimate)).items())),
    "quote.pdf": quote,
    "order.pdf": order,
    "order.csv": order_csv,
    "order.xlsx": order_xlsx,
    "batch-sheets.pdf": batch_sheets,
    "pour-days.pdf": pour_days,
    "form-sheet.pdf": form_sheet,
    "lift-sheet.pdf": lift_sheet,
    "install-sheet.pdf": install_sheet,
    "labels.pdf": labels,
    "workings.pdf": workings,
    "estimate.xlsx": estimate_xlsx,
    "summary.html": summary_html,
    "pieces.csv": pieces_csv,
    "materials.csv": materials_csv,
    "shelf.toml": shelf_toml,
}

LONG_JOB = 40  # piece marks from which on a bar shows how far the papers are


def make_papers(estimate: Estimate) -> dict[str, bytes]:
    """Every paper of the pack, by its file name, and a full-size drawing of each form."""
    papers = {}
    with _progress(len(estimate.pieces)) as show:
        for name, paper in PAPERS.items():
            show(name)
            papers[name] = paper(estimate)
    return papers | form_drawings(estimate)


def write_pack(estimate: Estimate, folder: Path, job: Path) -> None:
    """Writes every paper of the estimate into `folder`, whole or not at all. Raises InputError where it may not.

    job   the job file: its own folder is never the pack's
    """
    write_folder(folder, make_papers(estimate), job)


@contextmanager
def _progress(marks: int) -> Iterator[Callable[[str], None]]:
    """Tells which paper is being made: on standard error, on a long job, where that is a terminal."""
    if marks < LONG_JOB or not sys.stderr.isatty():
        yield lambda _: None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn

    console = Console(stderr=True)
    with Progress(TextColumn("{task.description}"), BarColumn(), console=console, transient=True) as progress:
        task = progress.add_task("papers", total=len(PAPERS))
        started = False

        def show(name: str) -> None:
            nonlocal started
            progress.update(task, description=name, advance=1 if started else 0, refresh=True)
            started = True

        yield show
