"""List of the shop's jobs: search, status and next step; new jobs, copies and the archive."""

from __future__ import annotations

from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from estimator.disk import refusal
from estimator.errors import FaultError, InputError
from estimator.intake.edit import Edit, edited
from estimator.page.drawing import thumbnail_of
from estimator.page.orders import as_quote, is_released
from estimator.page.release import stage_of
from estimator.page.screen import Screens, problem_of
from estimator.page.shelf import JobFile
from estimator.store import Store
from estimator.units import read_quantity
from estimator.words import PLAIN

MOST_PICTURES = 4
NEW = b"""[job]
"""
SIZES = ("length", "width", "thickness")
"""Sizes of the first piece of a new job, a counter or a shelf."""


def routes(screens: Screens) -> list[Route]:
    """Routes of the list of jobs, and of creating, copying and archiving a job."""

    async def jobs(request: Request) -> Response:
        search = request.query_params.get("search", "")
        rows = await run_in_threadpool(lambda: [_row(job, screens.store) for job in screens.shelf.jobs()])
        found = [row for row in rows if search.casefold() in row["searched"]]
        return screens.render(request, "jobs.html", rows=found, search=search, count=len(rows))

    async def form(request: Request) -> Response:
        return screens.render(request, "new.html", given={}, problem="", job=None)

    async def new(request: Request) -> Response:
        async with request.form() as sent:
            given = {key: str(value).strip() for key, value in sent.items()}
        try:
            job = await run_in_threadpool(_made, screens, given)
        except (FaultError, InputError) as error:
            problem = problem_of(error, PLAIN)
            return screens.render(request, "new.html", 422, given=given, problem=problem, job=None)
        except OSError as error:
            return screens.render(request, "new.html", 503, given=given, problem=refusal(error), job=None)
        return RedirectResponse(request.url_for("desk", job=job.name).path, 303)

    async def copy(request: Request) -> Response:
        job = screens.job(request)
        async with request.form() as sent:
            title = str(sent.get("title", "")).strip() or job.name
        edits = as_quote(job.table) if is_released(job.table) else []
        made = await run_in_threadpool(screens.shelf.copy, job.name, title, edits)
        return RedirectResponse(request.url_for("desk", job=made.name).path, 303)

    async def archive(request: Request) -> Response:
        await run_in_threadpool(screens.shelf.archive, screens.job(request).name)
        return RedirectResponse("/", 303)

    return [
        Route("/", jobs, name="jobs"),
        Route("/new", form, name="new"),
        Route("/new", new, methods=["POST"]),
        Route("/jobs/{job}/copy", copy, methods=["POST"], name="copy"),
        Route("/jobs/{job}/archive", archive, methods=["POST"], name="archive"),
    ]


def _row(job: JobFile, store: Store) -> dict[str, Any]:
    """Values of one job in the list: name, status, next step, heaviest piece and total."""
    kept = job.kept()
    head, words = kept.table.get("job", {}), kept.words
    head = head if isinstance(head, dict) else {}
    client = kept.table.get("client", {})
    marks = [str(piece.get("mark", "")) for piece in kept.table.get("piece", []) if isinstance(piece, dict)]
    title, stage = str(head.get("name", job.name)), stage_of(job, store)
    who = str(client.get("name", "")) if isinstance(client, dict) else ""
    row = {
        "name": job.name,
        "title": title,
        "client": who,
        "status": words("page-status", stage=stage),
        "searched": " ".join([title, who, str(head.get("mix", "")), job.name, *marks]).casefold(),
        "problem": "",
        "pictures": [],
        "next": words("page-next-problem"),
        "weight": "",
        "total": "",
    }
    if kept.estimate is None:
        return row | {"problem": f"{kept.faults[0]}"}
    result = kept.estimate.result
    return row | {
        "pictures": [thumbnail_of(piece) for piece in result.pieces[:MOST_PICTURES]],
        "next": words("page-next", stage=stage),
        "weight": words.mass(max(piece.weight.lift_kg for piece in result.pieces), up=True),
        "total": words.price(result.cost.total),
    }


def _made(screens: Screens, given: dict[str, str]) -> JobFile:
    """Create a job of one piece. Raises FaultError or InputError if it would be invalid; nothing is written then."""
    from estimator.page.shelf import sound

    units = given.get("units", "imperial")
    for size in SIZES:
        read_quantity(given.get(size, ""), "length")
    shape = {"kind": "slab"} | {size: given.get(size, "") for size in SIZES}
    piece = {"mark": given.get("mark") or "C1", "use": given.get("use") or "counter", "shape": shape}
    head = {"name": given.get("title", ""), "units": units, "mix": given.get("mix") or "backer-45"}
    head |= {"currency": given.get("currency") or ("EUR" if units == "metric" else "USD")}
    edits = [Edit("set", ("job", key), value) for key, value in head.items()]
    content = edited(NEW, [*edits, Edit("add", ("piece",), piece)])
    sound(content, screens.shelf.folder / "job.toml")
    return screens.shelf.add(head["name"], content)
