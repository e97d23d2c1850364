"""Releases a job from an accepted quote: the client's choices and the start date go into the job file."""

from __future__ import annotations

from contextlib import suppress
from datetime import date, timedelta
from typing import Literal

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from estimator.disk import refusal
from estimator.errors import FaultError, InputError
from estimator.intake.edit import Edit, edited
from estimator.job import Workshop
from estimator.page.screen import Screens, problem_of, standing
from estimator.page.shelf import JobFile, Kept, sound
from estimator.store import Store
from estimator.store.links import Acceptance, Link, links_of
from geometry.message import message

Stage = Literal["ballpark", "quoted", "sent", "accepted", "templated", "released"]
"""Stage of a job: its status, and for a quote whether it was sent to the client and accepted."""


def routes(screens: Screens) -> list[Route]:
    """Routes of releasing a job."""

    async def ask(request: Request) -> Response:
        job = screens.job(request)
        return await run_in_threadpool(_screen, screens, request, job, "", "")

    async def release(request: Request) -> Response:
        job = screens.job(request)
        async with request.form() as sent:
            start = str(sent.get("start", "")).strip()
        try:
            await run_in_threadpool(_release, job, accepted_of(job, screens.store), start)
        except (FaultError, InputError, OSError) as error:
            problem = refusal(error) if isinstance(error, OSError) else problem_of(error, job.kept().words)
            return await run_in_threadpool(_screen, screens, request, job, start, problem)
        return RedirectResponse(f"/jobs/{job.name}", 303)

    return [
        Route("/jobs/{job}/release", ask, name="release"),
        Route("/jobs/{job}/release", release, methods=["POST"]),
    ]


def accepted_of(job: JobFile, store: Store) -> Link | None:
    """Latest accepted quote of a job, or None."""
    return next((link for link in links_of(store, job.path) if link.acceptance is not None), None)


def stage_of(job: JobFile, store: Store) -> Stage:
    """Stage of a job."""
    head = job.kept().table.get("job")
    status = str(head.get("status", "quoted")) if isinstance(head, dict) else "quoted"
    if status != "quoted":
        return next((known for known in ("ballpark", "templated", "released") if known == status), "quoted")
    states = {link.state for link in links_of(store, job.path)}
    return "accepted" if "accepted" in states else "sent" if "open" in states else "quoted"


def _screen(screens: Screens, request: Request, job: JobFile, start: str, problem: str) -> Response:
    link = accepted_of(job, screens.store)
    if link is None or link.acceptance is None:
        raise HTTPException(404)
    kept, estimate = standing(job)
    start = start or _first_day(estimate.result.job.workshop).isoformat()
    moves = ""
    with suppress(FaultError, InputError):
        content = edited(kept.content, _edits(job, kept, link.acceptance, start))
        total = kept.words.price(sound(content, job.path).result.cost.total)
        moves = "" if total == link.acceptance.total else total
    return screens.render(
        request, "release.html", 422 if problem else 200, words=kept.words, job=job, accepted=link.acceptance,
        start=start, moves=moves, problem=problem,
    )  # fmt: skip


def _first_day(shop: Workshop) -> date:
    """Next day on which the shop works, today included."""
    day, week = date.today(), int(shop.calendar.days_per_week)
    while day.weekday() >= week or day in shop.closed_days:
        day += timedelta(days=1)
    return day


def _release(job: JobFile, link: Link | None, start: str) -> None:
    """Write the status, the start date and the accepted options. Raises FaultError, InputError, OSError."""
    if link is None or link.acceptance is None:
        raise FaultError("", message("release-not-accepted"))
    job.edit(_edits(job, job.kept(), link.acceptance, start))


def _edits(job: JobFile, kept: Kept, accepted: Acceptance, start: str) -> list[Edit]:
    """Edits that release a job with the options that the client took, at the price that the client accepted.

    Released, a job loses the allowance for sizes not templated: an adjustment makes up for it. It is left out where the
    job has changed since the quote was accepted. Raises FaultError, InputError.
    """
    listed = [str(option.get("name", "")) for option in kept.table.get("option", [])]
    unknown = [name for name in accepted.options if name not in listed]
    if unknown:
        raise FaultError("", message("release-alternate", name=unknown[0]))
    taken = [Edit("set", ("option", listed.index(name), "taken"), True) for name in accepted.options]
    released = [*taken, Edit("set", ("job", "status"), "released"), Edit("set", ("job", "start"), start)]
    quoted, now = (sound(edited(kept.content, edits), job.path).result.cost for edits in (taken, released))
    if kept.words.price(quoted.total) != accepted.total or quoted.price == now.price:
        return released
    adjustment = now.adjustment + quoted.price - now.price
    return [*released, Edit("set", ("price", "adjustment"), float(adjustment))]
