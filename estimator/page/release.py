"""Releases a job from an accepted quote: what the client chose and accepted, and the start date, go into its file."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import suppress
from datetime import date, timedelta
from operator import itemgetter
from typing import Any, Literal

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from estimator.errors import FaultError, InputError
from estimator.intake.edit import Edit, edited
from estimator.job import Workshop
from estimator.money import cents
from estimator.page.orders import AGREED, amounts_of, is_released
from estimator.page.screen import Screens, problem_of, standing
from estimator.page.shelf import JobFile, Kept, sound, table_of
from estimator.pricing.quote import exact
from estimator.store import Store
from estimator.store.links import Acceptance, Link, job_sent, links_of, sent_of, withdraw_open
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
            await run_in_threadpool(_release, job, screens.store, start)
        except (FaultError, InputError, OSError) as error:
            problem = problem_of(error, job.kept().words)
            return await run_in_threadpool(_screen, screens, request, job, start, problem)
        return RedirectResponse(f"/jobs/{job.name}", 303)

    return [
        Route("/jobs/{job}/release", ask, name="release"),
        Route("/jobs/{job}/release", release, methods=["POST"]),
    ]


def accepted_of(job: JobFile, store: Store) -> Link | None:
    """Latest accepted quote of a job, or None."""
    accepted = [(link.acceptance.at, link) for link in links_of(store, job.path) if link.acceptance is not None]
    return max(accepted, key=itemgetter(0))[1] if accepted else None


def may_release(job: JobFile, store: Store) -> bool:
    """Whether a job has an accepted quote and is not released yet."""
    return not is_released(job.table) and accepted_of(job, store) is not None


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
        amounts = _agreed(job, kept, link, screens.store, _steps(kept, link.acceptance, start))
        total = kept.words.price(cents(exact(amounts["price"])) + cents(exact(amounts["tax"])))
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


def _release(job: JobFile, store: Store, start: str) -> None:
    """Write the status, the start date, the accepted options and amounts; nothing else can be accepted then.

    Raises FaultError, InputError, OSError.
    """
    link, kept = accepted_of(job, store), job.kept()
    if link is None or link.acceptance is None:
        raise FaultError("", message("release-not-accepted"))
    steps = _steps(kept, link.acceptance, start)
    job.edit([*steps, Edit("set", ("price", AGREED), _agreed(job, kept, link, store, steps))])
    withdraw_open(store, job.path)


def _steps(kept: Kept, accepted: Acceptance, start: str) -> list[Edit]:
    """Edits that release a job with the options that the client took. Raises FaultError."""
    released = [Edit("set", ("job", "status"), "released"), Edit("set", ("job", "start"), start)]
    return [*_taken(kept.table, accepted), *released]


def _taken(table: Mapping[str, Any], accepted: Acceptance) -> list[Edit]:
    """Edits that take the options that the client chose. Raises FaultError."""
    listed = [str(option.get("name", "")) for option in table.get("option", [])]
    unknown = [name for name in accepted.options if name not in listed]
    if unknown:
        raise FaultError("", message("release-alternate", name=unknown[0]))
    return [Edit("set", ("option", listed.index(name), "taken"), True) for name in accepted.options]


def _agreed(job: JobFile, kept: Kept, link: Link, store: Store, steps: Sequence[Edit]) -> dict[str, Any]:
    """Amounts that a released job keeps: those that the client accepted, unless its file was changed in what it costs.

    Then those that it comes to once released. Raises FaultError, InputError.
    """
    accepted, (view, _) = link.acceptance, sent_of(store, link)
    assert accepted is not None
    choice = next((key for key, names in view["choices"].items() if tuple(names) == accepted.options), None)
    if choice in view.get("agreed", {}) and _costs_the_same(job, job_sent(store, link), kept, accepted):
        amounts: dict[str, Any] = view["agreed"][choice]
        return amounts
    gone = [Edit("remove", ("price", AGREED))] if AGREED in kept.table.get("price", {}) else []
    return amounts_of(sound(edited(kept.content, [*steps, *gone]), job.path).result.standing)


def _costs_the_same(job: JobFile, sent: bytes, kept: Kept, accepted: Acceptance) -> bool:
    """Whether a job costs by its file what it costs by the file that was sent, both as quoted today."""
    was = table_of(sent)
    if was == kept.table:
        return True
    quoted = Edit("set", ("job", "status"), "quoted")
    both = (
        sound(edited(content, [*_taken(table, accepted), quoted]), job.path)
        for content, table in ((sent, was), (kept.content, kept.table))
    )
    first, second = (amounts_of(each.result.standing) for each in both)
    return first == second
