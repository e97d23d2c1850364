"""One piece for the crew: what it weighs, how many carry it, and what to check before lifting it."""

from __future__ import annotations

from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from estimator.handling.plan import move_name
from estimator.names import folded
from estimator.page.drawing import drawing_of
from estimator.page.screen import Screens, standing
from estimator.page.shelf import JobFile
from estimator.report.papers.crew import crew_of, hold_words, sentence, tilt_words
from estimator.words import crew_words_for


def routes(screens: Screens) -> list[Route]:
    """The list of a job's pieces for the crew, and each piece."""

    async def crew(request: Request) -> Response:
        job, revision = screens.job(request), request.query_params.get("rev")
        shown = await run_in_threadpool(_piece, job, request.path_params.get("mark"), revision)
        return screens.render(request, "crew.html", job=job, **shown)

    return [
        Route("/crew/{job}", crew, name="crew"),
        Route("/crew/{job}/{mark:path}", crew, name="crew-piece"),
    ]


def _piece(job: JobFile, mark: str | None, revision: str | None) -> dict[str, Any]:
    """What the crew reads of one piece, in its language; of the heaviest where none is named. Raises HTTPException."""
    _, estimate = standing(job)
    result = estimate.result
    words = crew_words_for(result.job)
    ranked = sorted(result.pieces, key=lambda each: -each.weight.lift_kg)
    piece = ranked[0] if mark is None else None
    for each in ranked:
        if mark is not None and folded(each.taken.piece.mark) == folded(mark):
            piece = each
    if piece is None:
        raise HTTPException(404)
    handling, weight = piece.handling, piece.weight
    number, _, unit = words.mass(weight.lift_kg, up=True).replace("\u00a0", " ").rpartition(" ")
    moves = [(words.text(move_name(move.name)), crew_of(move, handling, words)) for move in handling.moves]
    return {
        "words": words,
        "mark": piece.taken.piece.mark,
        "marks": [each.taken.piece.mark for each in result.pieces],
        "weight": number,
        "unit": unit,
        "crew": words.crew(handling.carry.persons),
        "by_hand": handling.carry.persons is not None,
        "flip": words.mass(weight.turn_kg, up=True),
        "flip_crew": words.crew(handling.turn.persons),
        "moves": moves,
        "hold": sentence(hold_words(handling, words)),
        "tilt": sentence(tilt_words(handling, words) or "") if tilt_words(handling, words) else "",
        "drawing": drawing_of(piece, words) | {"name": piece.taken.piece.mark},
        "checks": [words.text(each) for each in handling.not_shown_safe],
        "revision": result.job.revision or "",
        "is_old": bool(revision) and revision != (result.job.revision or ""),
    }
