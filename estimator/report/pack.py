"""The pack of papers of one estimate: a line a paper."""

import os
import sys
import warnings
from collections.abc import Callable, Mapping, Sequence
from multiprocessing import get_context
from multiprocessing.connection import Connection
from pathlib import Path
from signal import SIG_DFL, SIG_IGN, SIGINT, SIGTERM, signal

from estimator.disk import write_folder
from estimator.document import sections_of, to_workings_document
from estimator.estimate import Estimate
from estimator.explain import workings_of
from estimator.garbage import collect, collection_on_call
from estimator.report.papers.batch_sheets import batch_sheets
from estimator.report.papers.change_order import change_orders
from estimator.report.papers.data_files import materials_csv, pieces_csv, shelf_toml
from estimator.report.papers.form_drawing import form_drawings
from estimator.report.papers.form_sheet import form_sheet
from estimator.report.papers.install_sheet import install_sheet
from estimator.report.papers.labels import labels
from estimator.report.papers.lift_sheet import lift_sheet
from estimator.report.papers.order import order_csv, order_xlsx
from estimator.report.papers.pour_days import pour_days
from estimator.report.papers.purchase_orders import material_list, purchase_orders
from estimator.report.papers.quote import quote
from estimator.report.papers.summary_html import summary_html
from estimator.report.papers.truck_sheet import truck_sheet
from estimator.report.papers.workbook import estimate_xlsx
from estimator.report.papers.workings import workings
from estimator.serialize import json_lines
from estimator.words import words_for
from estimator.workings import Working

Paper = Callable[[Estimate], bytes]


def workings_json(estimate: Estimate, every: Sequence[Working]) -> bytes:
    """The workings as data: the text of each formula once, and rows of numbers."""
    return b"".join(json_lines(to_workings_document(every).items(), words_for(estimate.job)))


PAPERS: Mapping[str, Paper] = {
    "estimate.json": lambda estimate: b"".join(json_lines(sections_of(estimate), words_for(estimate.job))),
    "workings.json": lambda estimate: workings_json(estimate, workings_of(estimate)),
    "quote.pdf": quote,
    "material-list.pdf": material_list,
    "order.csv": order_csv,
    "order.xlsx": order_xlsx,
    "batch-sheets.pdf": batch_sheets,
    "pour-days.pdf": pour_days,
    "form-sheet.pdf": form_sheet,
    "lift-sheet.pdf": lift_sheet,
    "truck-sheet.pdf": truck_sheet,
    "install-sheet.pdf": install_sheet,
    "labels.pdf": labels,
    "workings.pdf": workings,
    "estimate.xlsx": estimate_xlsx,
    "summary.html": summary_html,
    "pieces.csv": pieces_csv,
    "materials.csv": materials_csv,
    "shelf.toml": shelf_toml,
}

SLOWEST = ("form-sheet.pdf", "workings.pdf", "lift-sheet.pdf", "install-sheet.pdf", "batch-sheets.pdf", "estimate.xlsx")
"""The papers that take longest on a long job, longest first: two processes end together where these are begun first."""

Papers = Callable[[Estimate], dict[str, bytes]]

SERIES: Mapping[str, Papers] = {
    "forms": form_drawings,
    "purchase-orders": purchase_orders,
    "change-orders": change_orders,
}
"""Folders of papers, one for each form, supplier or change."""


def _both_workings(estimate: Estimate) -> dict[str, bytes]:
    every = workings_of(estimate)
    return {"workings.pdf": workings(estimate, every), "workings.json": workings_json(estimate, every)}


TOGETHER: Mapping[str, Papers] = {"workings.pdf": _both_workings}
"""Papers that share most of their work, by the one that is named in the order of writing."""

BESIDE = ("workings.json",)
"""Papers that are written together with another."""

CONFIRMED = {"quote.pdf": "order-confirmation.pdf"}
"""Papers that have another name once the job is released."""

LONG_JOB = 100  # piece marks from which on a second process is worth its start

Show = Callable[[str], None]


def make_papers(estimate: Estimate, show: Show = lambda _: None, workers: int = 1) -> dict[str, bytes]:
    """Every paper of the pack, by its path in it.

    show      called with the name of each paper before it is written
    workers   processes that may be used; the papers are the same, byte by byte
    """
    names = [*SLOWEST, *SERIES, *(name for name in PAPERS if name not in (*SLOWEST, *BESIDE))]
    with collection_on_call():
        if workers < 2 or len(estimate.pieces) < LONG_JOB or sys.platform != "linux":
            written = {}
            for name in names:
                show(name)
                written[name] = _write(estimate, name)
        else:
            written = _write_in_two(estimate, names, show)
    contents = {path: content for papers in written.values() for path, content in papers.items()}
    order = {name: place for place, name in enumerate((*PAPERS, *SERIES))}
    papers = dict(sorted(contents.items(), key=lambda named: order[named[0].partition("/")[0]]))
    renamed = CONFIRMED if estimate.job.status == "released" else {}
    return {renamed.get(path, path): content for path, content in papers.items()}


def write_pack(estimate: Estimate, folder: Path, job: Path, show: Show = lambda _: None, workers: int = 1) -> None:
    """Writes every paper of the estimate into `folder`, whole or not at all. Raises InputError where it may not.

    job   the job file: its own folder is never the pack's
    """
    write_folder(folder, make_papers(estimate, show, workers), job)


def _write(estimate: Estimate, name: str) -> dict[str, bytes]:
    series = SERIES.get(name) or TOGETHER.get(name)
    written = {name: PAPERS[name](estimate)} if series is None else series(estimate)
    collect()
    return written


def _write_in_two(estimate: Estimate, names: Sequence[str], show: Show) -> dict[str, dict[str, bytes]]:
    """The papers written by this process and a copy of it, which knows the estimate without being sent it.

    Either takes the next name from one pipe whenever it is free: a byte a name, all written before the start, so that
    the pipe is at its end when all are taken. A copy that dies is an error, and nothing is written to disk.
    """
    context = get_context("fork")
    taker, filler = os.pipe()
    os.write(filler, bytes(range(len(names))))
    os.close(filler)
    receiver, sender = context.Pipe(duplex=False)
    helper = context.Process(target=_help, args=(estimate, names, taker, receiver, sender), daemon=True)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)  # of a fork beside threads: the copy uses none of theirs
        helper.start()
    sender.close()
    try:
        written = _write_next(estimate, names, taker, show)
        try:
            theirs: dict[str, dict[str, bytes]] | Exception = receiver.recv()
        except EOFError:
            helper.join()
            raise ChildProcessError(helper.exitcode) from None
        if isinstance(theirs, Exception):
            raise theirs
        return written | theirs
    finally:
        os.close(taker)
        receiver.close()
        helper.terminate()
        helper.join()


def _write_next(
    estimate: Estimate, names: Sequence[str], taker: int, show: Show = lambda _: None
) -> dict[str, dict[str, bytes]]:
    """Papers taken one after the other, until none is left."""
    written = {}
    while taken := os.read(taker, 1):
        name = names[taken[0]]
        show(name)
        written[name] = _write(estimate, name)
    return written


def _help(estimate: Estimate, names: Sequence[str], taker: int, receiver: Connection, sender: Connection) -> None:
    """Writes papers in the copy and sends them back, or the error that stopped it."""
    signal(SIGINT, SIG_IGN)  # the first process answers Ctrl-C for both
    signal(SIGTERM, SIG_DFL)  # which is how the first process ends this one
    receiver.close()
    try:
        sender.send(_write_next(estimate, names, taker))
    except Exception as error:
        sender.send(error)
    finally:
        sender.close()
