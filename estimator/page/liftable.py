"""Screen of the ways to make a heavy piece liftable, side by side, and of writing one into the job."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from estimator.api import Estimate
from estimator.errors import FaultError, InputError
from estimator.lighten import Goal, Lightening, lighten
from estimator.lighten_edits import edits_of
from estimator.names import folded
from estimator.page.orders import ReleasedError, asked, done, order_of, revise
from estimator.page.screen import Screens, problem_of, standing
from estimator.page.shelf import JobFile, Kept
from estimator.report.ways import change_text
from geometry.message import message


def routes(screens: Screens) -> list[Route]:
    """Routes of the ways of a piece, and of writing one into the job."""

    async def ways(request: Request) -> Response:
        job, mark = screens.job(request), request.path_params["mark"]
        shown = await run_in_threadpool(_shown, job, mark, "")
        return screens.render(request, "liftable.html", job=job, **shown)

    async def use(request: Request) -> Response:
        job, mark = screens.job(request), request.path_params["mark"]
        async with request.form() as sent:
            given = {key: str(value) for key, value in sent.items()}
        try:
            await run_in_threadpool(_use, job, mark, given)
        except ReleasedError as needed:
            return asked(screens, request, job, given, needed)
        except (FaultError, InputError, OSError) as error:
            problem = problem_of(error, job.words)
            shown = await run_in_threadpool(_shown, job, mark, problem)
            return screens.render(request, "liftable.html", 422, job=job, **shown)
        return done(job, given, f"/jobs/{job.name}")

    return [
        Route("/jobs/{job}/liftable/{mark:path}", ways, name="liftable"),
        Route("/jobs/{job}/liftable/{mark:path}", use, methods=["POST"]),
    ]


@lru_cache(maxsize=8)
def _lightened(estimate: Estimate, mark: str) -> Lightening:
    """Ways to lighten one piece. Raises KeyError for an unknown mark."""
    piece = estimate.pieces[mark]
    return lighten(estimate.result.job, (piece.taken, piece.weight, piece.handling), Goal())


def _found(job: JobFile, mark: str) -> tuple[Kept, Estimate, Lightening]:
    kept, estimate = standing(job)
    try:
        piece = estimate.pieces[mark].taken.piece
        if piece.part_of:
            reason = message("lighten-part", mark=piece.mark, whole=piece.part_of)
            weight, handling = estimate.pieces[mark].weight, estimate.pieces[mark].handling
            entry = Lightening(piece.mark, weight.lift_kg, handling.carry.persons, (), reason)
        else:
            entry = _lightened(estimate, mark)
    except KeyError:
        raise HTTPException(404) from None
    return kept, estimate, entry


def _shown(job: JobFile, mark: str, problem: str) -> dict[str, Any]:
    kept, estimate, entry = _found(job, mark)
    words, result = kept.words, estimate.result
    piece = estimate.pieces[mark].taken.piece
    ways = [
        {
            "number": number,
            "change": change_text(way, piece, words),
            "people": words.crew(way.people),
            "heaviest": words.mass(way.heaviest_kg, up=True),
            "parts": len(way.parts),
            "price": words.price(way.price),
            "more": words.price_change(way.price - result.cost.price),
            "untested": way.strength == "untested",
        }
        for number, way in enumerate(entry.ways, start=1)
    ]
    return {
        "words": words,
        "mark": entry.mark,
        "weight": words.mass(entry.lift_kg, up=True),
        "crew": words.crew(entry.crew),
        "price": words.price(result.cost.price),
        "ways": ways,
        "reason": "" if entry.reason is None else words.text(entry.reason),
        "problem": problem,
    }


def _use(job: JobFile, mark: str, given: dict[str, str]) -> None:
    """Write a way into the job.

    Raises FaultError for a way that is neither tested nor accepted, ReleasedError, InputError, OSError.
    """
    number, accepted = given.get("way", ""), given.get("accept") == "yes"
    kept, estimate, entry = _found(job, mark)
    if not (number.isascii() and number.isdecimal()) or not 1 <= int(number) <= len(entry.ways):
        raise HTTPException(404)
    way = entry.ways[int(number) - 1]
    if way.strength == "untested" and not accepted:
        raise FaultError("", message("page-accept-untested"))
    piece = next(piece for piece in estimate.result.job.pieces if folded(piece.mark) == folded(mark))
    revise(job, edits_of(way, piece, estimate.result.job, kept.content), order_of(given))
