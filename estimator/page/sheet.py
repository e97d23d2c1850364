"""Every key of a job file as a field: nothing forces anybody back to the file."""

from __future__ import annotations

from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from estimator.disk import refusal
from estimator.errors import FaultError, InputError
from estimator.intake.edit import Edit, KeyPath
from estimator.page.fields import Field, Group, at_of, fields_of, help_of, name_of, next_of, path_of, typed, value_of
from estimator.page.screen import Screens, problem_of
from estimator.page.shelf import ConflictError, JobFile


def routes(screens: Screens) -> list[Route]:
    """A table of the job file with its keys, and what adds to a list and takes out of it."""

    async def sheet(request: Request) -> Response:
        job, at = screens.job(request), request.query_params.get("at", "")
        new = "new" in request.query_params
        return await run_in_threadpool(_shown, screens, request, job, at, new)

    async def save(request: Request) -> Response:
        job = screens.job(request)
        async with request.form() as sent:
            given = {key: str(value) for key, value in sent.items()}
        return await run_in_threadpool(_saved, screens, request, job, given)

    return [
        Route("/jobs/{job}/sheet", sheet, name="sheet"),
        Route("/jobs/{job}/sheet", save, methods=["POST"]),
    ]


def _shown(
    screens: Screens,
    request: Request,
    job: JobFile,
    at: str,
    new: bool,
    given: dict[str, str] | None = None,
    problem: str = "",
) -> Response:
    """The keys of one table; with `new`, those of an entry that a list does not have yet."""
    kept = job.kept()
    words = kept.words
    path = path_of(at)
    try:
        if new:
            path = next_of(path, kept.table, (given or {}).get("key") or "new")
        parts = list(fields_of(path, kept.table))
    except KeyError:
        return screens.render(request, "gone.html", 404, words=words)
    if given is not None:
        parts = [_as_given(part, given) if isinstance(part, Field) else part for part in parts]
    value = value_of(path, kept.table)
    return screens.render(
        request,
        "sheet.html",
        422 if problem else 200,
        words=words,
        job=job,
        title=name_of(path, kept.table) if path else job.title,
        help=help_of(path, kept.table),
        at=at,
        way=_way(path_of(at), kept.table),
        new=new,
        named=new and isinstance(path[-1], str),
        key=(given or {}).get("key", ""),
        can_go=bool(path) and value is not None,
        fields=[part for part in parts if isinstance(part, Field)],
        groups=[part for part in parts if isinstance(part, Group)],
        faults=[str(fault) for fault in kept.faults],
        problem=problem,
    )


def _saved(screens: Screens, request: Request, job: JobFile, given: dict[str, str]) -> Response:
    """Saves what a form sent: a new entry, changed keys, or one entry less."""
    kept = job.kept()
    at, act = given.get("at", ""), given.get("act", "save")
    path, words = path_of(at), kept.words
    try:
        edits = _edits(path, kept.table, given, act)
        if edits:
            job.edit(edits)
    except KeyError:
        return screens.render(request, "gone.html", 404, words=words)
    except ConflictError:
        raise AssertionError from None  # only a single checked field can conflict
    except (FaultError, InputError) as error:
        return _shown(screens, request, job, at, act == "add", given, problem_of(error, words))
    except OSError as error:
        return _shown(screens, request, job, at, act == "add", given, refusal(error))
    back = at_of(path[:-1]) if act == "remove" else at
    while back and value_of(path_of(back), job.kept().table) is None:
        back = at_of(path_of(back)[:-1])
    if back and isinstance(value_of(path_of(back), job.kept().table), list):
        back = at_of(path_of(back)[:-1])
    return RedirectResponse(f"{request.url.path}?at={back}" if back else request.url.path, 303)


def _edits(path: KeyPath, table: Any, given: dict[str, str], act: str) -> list[Edit]:
    if act == "remove":
        return [Edit("remove", path)]
    if act == "add":
        own = next_of(path, table, given.get("key", ""))
        fields = [part for part in fields_of(own, table) if isinstance(part, Field)]
        values = {path_of(field.at)[-1]: typed(given.get(field.at, ""), field) for field in fields}
        entry = {str(key): value for key, value in values.items() if value is not None}
        return [Edit("set", own, entry) if isinstance(own[-1], str) else Edit("add", path, entry)]
    edits = []
    for field in fields_of(path, table):
        if isinstance(field, Field) and field.at in given and given[field.at].strip() != field.text.strip():
            value = typed(given[field.at], field)
            at = path_of(field.at)
            edits.append(Edit("remove", at) if value is None else Edit("set", at, value))
    return edits


def _as_given(field: Field, given: dict[str, str]) -> Field:
    text = given.get(field.at, field.text)
    return Field(field.at, field.label, field.help, field.kind, text, field.example, field.choices, field.required)


def _way(path: KeyPath, table: Any) -> list[tuple[str, str]]:
    """Path and name of each table on the way to one, for the line above it."""
    return [(at_of(path[: number + 1]), name_of(path[: number + 1], table)) for number in range(len(path))]
