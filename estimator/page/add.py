"""Form to add a piece to a job: its kind, sizes and use."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, get_args

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from estimator.disk import refusal
from estimator.errors import FaultError, InputError
from estimator.intake.edit import Edit
from estimator.job import Use
from estimator.names import folded
from estimator.page.fields import Field, fields_of, typed
from estimator.page.orders import ReleasedError, asked, done, order_of, revise
from estimator.page.screen import Screens, problem_of
from estimator.page.shelf import JobFile
from estimator.units.table import Units
from geometry.message import message

KINDS = ("slab", "panel", "box")
"""Kinds of shape described by a few sizes; the others come from files, or are entered key by key."""


def routes(screens: Screens) -> list[Route]:
    """Routes of the form for a new piece."""

    async def form(request: Request) -> Response:
        job = screens.job(request)
        kind = request.query_params.get("kind", KINDS[0])
        shown = await run_in_threadpool(_form, job, kind, {}, "")
        return screens.render(request, "add.html", job=job, **shown)

    async def add(request: Request) -> Response:
        job = screens.job(request)
        async with request.form() as sent:
            given = {key: str(value).strip() for key, value in sent.items()}
        kind = given.get("kind", "")
        try:
            mark = await run_in_threadpool(_added, job, kind, given)
        except ReleasedError as needed:
            return asked(screens, request, job, given, needed)
        except (FaultError, InputError, OSError) as error:
            problem = refusal(error) if isinstance(error, OSError) else problem_of(error, job.words)
            shown = await run_in_threadpool(_form, job, kind, given, problem)
            return screens.render(request, "add.html", 422, job=job, **shown)
        return done(job, given, request.url_for("piece", job=job.name, mark=mark).path)

    return [
        Route("/jobs/{job}/add", form, name="add"),
        Route("/jobs/{job}/add", add, methods=["POST"]),
    ]


def sizes_of(kind: str, units: Units) -> list[Field]:
    """Sizes that a kind of shape needs. Raises HTTPException 404 for a kind that is not in KINDS."""
    if kind not in KINDS:
        raise HTTPException(404)
    table = {"job": {"units": units}, "piece": [{"shape": {"kind": kind}}]}
    parts = fields_of(("piece", 0, "shape"), table)
    return [part for part in parts if isinstance(part, Field) and part.required and key_of(part) != "kind"]


def key_of(field: Field) -> str:
    """Key of a size in its shape."""
    return field.at.rpartition("/")[2]


def _form(job: JobFile, kind: str, given: dict[str, str], problem: str) -> dict[str, Any]:
    kept = job.kept()
    words = kept.words
    sizes = [
        (key_of(field), field.label, given.get(key_of(field), ""), field.example)
        for field in sizes_of(kind, words.units)
    ]
    return {
        "words": words,
        "kind": kind,
        "kinds": [(name, words(f"page-kind-{name}")) for name in KINDS],
        "sizes": sizes,
        "uses": [(use, words(f"page-use-{use}")) for use in get_args(Use) if use != "splash"],
        "mark": given.get("mark") or _next_mark(kept.table),
        "given": given,
        "problem": problem,
    }


def _marks(table: dict[str, Any]) -> Iterator[str]:
    for piece in table.get("piece", []):
        if isinstance(piece, dict):
            yield str(piece.get("mark", ""))


def _next_mark(table: dict[str, Any]) -> str:
    """Next mark: the letters of the last mark with the first free number."""
    marks = list(_marks(table))
    stem = (marks[-1] if marks else "C1").rstrip("0123456789") or "C"
    taken = {folded(mark) for mark in marks}
    number = 1
    while folded(f"{stem}{number}") in taken:
        number += 1
    return f"{stem}{number}"


def _added(job: JobFile, kind: str, given: dict[str, str]) -> str:
    """Add a piece; return its mark. Raises FaultError, InputError if the job would be invalid, OSError."""
    mark = given.get("mark", "")
    if not mark:
        raise FaultError("", message("page-no-mark"))
    shape: dict[str, Any] = {"kind": kind}
    for field in sizes_of(kind, job.words.units):
        value = typed(given.get(key_of(field), ""), field)
        if value is None:
            raise FaultError("", message("page-no-size", label=field.label))
        shape[key_of(field)] = value
    piece: dict[str, Any] = {"mark": mark}
    if given.get("quantity", "1") not in ("", "1"):
        quantity_field = Field("", "", "", "whole", "", "")
        piece["quantity"] = typed(given["quantity"], quantity_field)
    if given.get("use"):
        piece["use"] = given["use"]
    revise(job, [Edit("add", ("piece",), piece | {"shape": shape})], order_of(given))
    return mark
