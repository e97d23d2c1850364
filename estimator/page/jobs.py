"""List of the shop's jobs: search, status and next step; new jobs, copies and the archive."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from estimator.disk import write_new
from estimator.errors import FaultError, InputError
from estimator.intake.edit import Edit, edited
from estimator.page.drawing import thumbnail_of
from estimator.page.orders import as_quote, is_released
from estimator.page.release import stage_of
from estimator.page.screen import Screens, problem_of
from estimator.page.shelf import JobFile, Shelf, sound, table_of
from estimator.scratch import scratch_folder
from estimator.store import Store
from estimator.units.table import Units
from estimator.words import PLAIN
from geometry.message import message

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
        archived = await run_in_threadpool(screens.shelf.archived)
        return screens.render(request, "jobs.html", rows=found, search=search, count=len(rows), archived=archived)

    async def form(request: Request) -> Response:
        return await run_in_threadpool(new_screen, screens, request)

    async def new(request: Request) -> Response:
        async with request.form() as sent:
            given = {key: str(value).strip() for key, value in sent.items()}
        try:
            job = await run_in_threadpool(_made, screens, given)
        except (FaultError, InputError) as error:
            units: Units = "metric" if given.get("units") == "metric" else "imperial"
            places = {f"piece {given.get('mark') or 'C1'}, shape.{size}": PLAIN(f"page-{size}") for size in SIZES}
            problem = problem_of(error, replace(PLAIN, units=units), places)
            return await run_in_threadpool(new_screen, screens, request, given, problem, 422)
        except OSError as error:
            return await run_in_threadpool(new_screen, screens, request, given, problem_of(error, PLAIN), 503)
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

    async def bring_back(request: Request) -> Response:
        async with request.form() as sent:
            place = str(sent.get("place", ""))
        try:
            await run_in_threadpool(screens.shelf.bring_back, place)
        except KeyError:
            raise HTTPException(404) from None
        return RedirectResponse("/", 303)

    return [
        Route("/", jobs, name="jobs"),
        Route("/archive/back", bring_back, methods=["POST"], name="bring-back"),
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
    units = given.get("units", "imperial")
    shape = {"kind": "slab"} | {size: given.get(size, "") for size in SIZES}
    piece = {"mark": given.get("mark") or "C1", "use": given.get("use") or "counter", "shape": shape}
    head = {"name": given.get("title", ""), "units": units, "mix": given.get("mix") or "backer-45"}
    head |= {"currency": given.get("currency") or "USD"}
    edits = [Edit("set", ("job", key), value) for key, value in head.items()]
    content = edited(NEW, [*edits, Edit("add", ("piece",), piece)])
    return added(screens.shelf, head["name"], content, {}, given.get("like", ""))


def added(shelf: Shelf, title: str, content: bytes, beside: Mapping[str, bytes], like: str) -> JobFile:
    """Add a job with the files beside it, with the shop, prices and mixes of another.

    like   name of that job; "" for those of the catalog

    Raises FaultError, InputError if the job would be invalid, OSError; nothing is written then.
    """
    try:
        edits, files = shelf.like(like) if like else _of_catalog(content)
    except KeyError:
        raise FaultError("", message("page-no-such-job")) from None
    beside, shared = {**files, **beside}, shelf.shop_seen_from(shelf.folder / "new" / "job.toml", shelf.shop_path())
    if shelf.shop_path().is_file() and not any(edit.at == ("job", "catalog") for edit in edits):
        edits.append(Edit("set", ("job", "catalog"), shared))
    content = edited(content, edits)
    with scratch_folder(shelf.folder) as place:  # beside the jobs, for a catalog they share
        for name, own in beside.items():
            write_new(place / name, own)
        sound(content, place / "job.toml", shelf.job(like) if like else None, [shared])
    return shelf.add(title, content, beside)


def _of_catalog(content: bytes) -> tuple[list[Edit], dict[str, bytes]]:
    """Edits of a new job that takes its shop from the catalog: a metric one is priced in euros."""
    is_metric = table_of(content).get("job", {}).get("units") == "metric"
    return [Edit("set", ("job", "currency"), "EUR")] if is_metric else [], {}


def new_screen(
    screens: Screens, request: Request, given: Mapping[str, str] | None = None, problem: str = "", status: int = 200,
    job: JobFile | None = None,
) -> Response:  # fmt: skip
    """Screen on which a job is started, or pieces are added to one from files."""
    return screens.render(
        request, "new.html", status, given=given or {}, problem=problem, job=job, **like_choices(screens.shelf, given)
    )


def like_choices(shelf: Shelf, given: Mapping[str, str] | None) -> dict[str, Any]:
    """Jobs whose shop, prices and mixes a new job may take, and the one that is chosen."""
    jobs = [(job.name, job.title) for job in shelf.jobs()]
    return {"jobs": jobs, "like": given["like"] if given and "like" in given else shelf.newest()}
