"""Screen of the changes of a job: what, by whom and when."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from estimator.intake.edit import KeyPath
from estimator.page.fields import is_named, name_of, path_of
from estimator.page.screen import Screens
from estimator.store.database import here
from estimator.store.people import changes_of
from estimator.words import Words


def routes(screens: Screens) -> list[Route]:
    """Route of the last changes of a job."""

    async def changes(request: Request) -> Response:
        job = screens.job(request)
        kept = await run_in_threadpool(job.kept)
        entries = await run_in_threadpool(changes_of, screens.store, job.path)
        rows = [(change, place_of(change.what, kept.table), time_of(change.at, kept.words)) for change in entries]
        return screens.render(request, "changes.html", job=job, words=kept.words, rows=rows)

    return [Route("/jobs/{job}/changes", changes, name="changes")]


def place_of(what: str, table: dict[str, Any]) -> str:
    """Place of a change in words, from the key of the job file: the piece or table, and what changed of it."""
    if ":" in what:  # of a file beside the job, such as its corrections, which stands before the colon
        return what
    path = path_of(what)
    names = [_name(path[: number + 1], table) for number in range(len(path))]
    if path[:1] == ("piece",) and len(path) > 1:
        names = [name for name, step in zip(names, path, strict=True) if step not in ("piece", "shape")]
    return " › ".join(names)


def _name(path: KeyPath, table: dict[str, Any]) -> str:
    """Name of one step of a place; what the shop has named itself, such as a mix, stays as written."""
    try:
        own = isinstance(path[-1], str) and is_named(path[:-1], table)
    except KeyError:  # a key that the file has no more
        own = False
    return str(path[-1]) if own else name_of(path, table)


def time_of(at: datetime, words: Words) -> str:
    """Day and time of a change on this computer's clock."""
    local = here(at)
    return f"{words.date(local.date().isoformat())}, {local:%H:%M}"
