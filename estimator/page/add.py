"""Form to add a piece to a job: its kind, sizes and use."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, get_args

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from estimator.errors import FaultError, InputError
from estimator.intake.edit import Edit, KeyPath, changed
from estimator.intake.faults import dotted
from estimator.job import Use
from estimator.page.fields import Field, at_of, fields_of, path_of, typed, value_of, with_required
from estimator.page.orders import ReleasedError, asked, done, order_of, revise
from estimator.page.overlays import is_version, parts_with_choices
from estimator.page.screen import Screens, address_of_piece, problem_of
from estimator.page.sheet import entry_of_form, joined, next_mark, way_to
from estimator.page.shelf import JobFile, Kept
from estimator.units.table import Units
from geometry.message import message

PIECES = "piece"
"""Where the pieces of the job stand in its file."""

KINDS: Mapping[str, tuple[str, ...]] = {
    "slab": (),
    "panel": (),
    "box": (),
    "revolution": ("wall", "open"),
    "extrusion": ("wall",),
}
"""Kinds of shape described by a few sizes, with the keys to ask for beside those that each has to have. The others come
from files, or are entered key by key."""


def routes(screens: Screens) -> list[Route]:
    """Routes of the form for a new piece."""

    async def form(request: Request) -> Response:
        job, at = screens.job(request), request.query_params.get("at", PIECES)
        kind = request.query_params.get("kind", "slab")
        shown = await run_in_threadpool(_form, job, at, kind, {}, "")
        return screens.render(request, "add.html", job=job, **shown)

    async def add(request: Request) -> Response:
        job = screens.job(request)
        async with request.form() as sent:
            given = {key: text.strip() for key, text in joined(sent.multi_items()).items()}
        at, kind = request.query_params.get("at", PIECES), given.get("kind", "slab")
        if given.get("act") == "add" or "turn" in given:  # of a version that begins with a new piece
            shown = await run_in_threadpool(_form, job, at, given.get("turn", kind), given, "")
            return screens.render(request, "add.html", job=job, **shown)
        try:
            mark = await run_in_threadpool(_added, job, at, kind, given)
        except ReleasedError as needed:
            return asked(screens, request, job, given, needed)
        except (FaultError, InputError, OSError) as error:
            mark, sizes = given.get("mark", ""), sizes_of(kind, job.words.units)
            places = {f"piece {mark}, shape.{dotted(path_of(key_of(field)))}": field.label for field in sizes}
            problem = problem_of(error, job.words, places)
            shown = await run_in_threadpool(_form, job, at, kind, given, problem)
            return screens.render(request, "add.html", 422, job=job, **shown)
        back = address_of_piece(job, mark)
        return done(job, given, back if at == PIECES else f"/jobs/{job.name}/sheet?at={at.rpartition('/')[0]}")

    return [
        Route("/jobs/{job}/add", form, name="add"),
        Route("/jobs/{job}/add", add, methods=["POST"]),
    ]


def sizes_of(kind: str, units: Units) -> list[Field]:
    """Sizes to ask for of a kind of shape. Raises HTTPException 404 for a kind that is not in KINDS."""
    if kind not in KINDS:
        raise HTTPException(404)
    table = {"job": {"units": units}, "piece": [{"shape": {"kind": kind}}]}
    parts = with_required(fields_of(("piece", 0, "shape"), table), table)
    asked = ("profile/points", *KINDS[kind])
    found = [part for part in parts if isinstance(part, Field) and key_of(part) != "kind"]
    return [part for part in found if part.required or key_of(part) in asked]


def key_of(field: Field) -> str:
    """Key of a size in its shape."""
    return at_of(path_of(field.at)[3:])


def _version_of(at: str) -> KeyPath:
    """Version whose new pieces stand at a path; () for those of the job. Raises HTTPException 404 for another path."""
    path = path_of(at)
    if at != PIECES and (path[2:] != ("add",) or not is_version(path[:2])):
        raise HTTPException(404)
    return path[:2] if at != PIECES else ()


def _form(job: JobFile, at: str, kind: str, given: dict[str, str], problem: str) -> dict[str, Any]:
    kept = job.kept()
    words, version = kept.words, _version_of(at)
    begun = "" if at == PIECES else f"{at.rpartition('/')[0]}/"
    sizes = [
        (key_of(field), given.get(key_of(field), ""), field, key_of(field) not in KINDS[kind])
        for field in sizes_of(kind, words.units)
    ]
    return {
        "words": words,
        "kind": kind,
        "kinds": [(name, words(f"page-kind-{name}")) for name in KINDS],
        "sizes": sizes,
        "uses": [(use, words(f"page-use-{use}")) for use in get_args(Use) if use != "splash"],
        "mark": given.get("mark") or next_mark(kept.table, _last_mark(kept.table)),
        "at": at,
        "way": way_to(version if value_of(version, kept.table) else version[:1], kept.table),
        "carried": {key: text for key, text in given.items() if begun and key.startswith(begun)},
        "given": given,
        "problem": problem,
    }


def _last_mark(table: dict[str, Any]) -> str:
    """Last mark with a number; a piece from a file may be called by the file's name."""
    marks = [str(piece.get("mark", "")) for piece in table.get("piece", [])[::-1] if isinstance(piece, dict)]
    return next((mark for mark in marks if mark[-1:].isdecimal()), "")


def _added(job: JobFile, at: str, kind: str, given: dict[str, str]) -> str:
    """Add a piece; return its mark. Raises FaultError, InputError if the job would be invalid, OSError."""
    mark = given.get("mark", "")
    if not mark:
        raise FaultError("", message("page-no-mark"))
    shape: dict[str, Any] = {"kind": kind}
    for field in sizes_of(kind, job.words.units):
        value = typed(given.get(key_of(field), ""), field)
        if value is None and key_of(field) not in KINDS[kind]:
            raise FaultError("", message("page-no-size", label=field.label))
        if value is not None:
            shape = changed(shape, Edit("set", path_of(key_of(field)), value))
    piece: dict[str, Any] = {"mark": mark}
    if given.get("quantity", "1") not in ("", "1"):
        quantity_field = Field("", "", "", "whole", "", "")
        piece["quantity"] = typed(given["quantity"], quantity_field)
    if given.get("use"):
        piece["use"] = given["use"]
    revise(job, [_edit(job.kept(), at, piece | {"shape": shape}, given)], order_of(given))
    return mark


def _edit(kept: Kept, at: str, piece: dict[str, Any], given: dict[str, str]) -> Edit:
    """Edit that adds a piece to the job, or to a version, which it starts if need be. Raises FaultError."""
    version = _version_of(at)
    if not version or value_of(version, kept.table) is not None:
        return Edit("add", path_of(at), piece)
    parts = parts_with_choices(version, fields_of(version, kept.table), kept)
    head = entry_of_form(version, [part for part in parts if isinstance(part, Field)], given)
    return Edit("add", version[:1], head | {"add": [piece]})
