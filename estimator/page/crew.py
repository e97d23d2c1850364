"""Crew screens on a phone: a code, typed or scanned from a label, opens a piece with its weight, crew and cautions."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date, datetime
from typing import Any
from urllib.parse import quote

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.routing import Route

from estimator.api import Estimate
from estimator.disk import digest
from estimator.errors import FaultError
from estimator.estimate import PieceEstimate
from estimator.handling.people import Crew
from estimator.handling.plan import move_name
from estimator.names import folded
from estimator.page.crew_picture import carry_picture, flip_picture
from estimator.page.drawing import thumbnail_of
from estimator.page.screen import Screens, problem_of, standing
from estimator.page.shelf import JobFile, Kept
from estimator.report.papers.crew import (
    cautions_for,
    cautions_of_piece,
    crew_of,
    hold_words,
    sentence,
    stage_words,
    tilt_words,
)
from estimator.report.papers.install_sheet import access_words
from estimator.report.papers.labels import says_of
from estimator.report.papers.lift_sheet import lines_of
from estimator.report.papers.quote import capital
from estimator.words import Words, crew_words_for
from geometry.files import read_bytes
from geometry.message import message

MOST_TILES = 60
"""Most pieces shown as tiles on the first screen; with more, the code must be typed."""

NUMBERED = re.compile(r"(?P<mark>.+?)[\s./-]+(?P<number>\d+)")
CARRY_LINES = (
    "lift-capacity", "lift-not-planned", "lift-gear", "lift-picks", "lift-pads", "lift-foam", "lift-avoid",
    "lift-on-edge",
)  # fmt: skip
FLIP_LINES = ("lift-not-planned", "lift-hold-point-hands", "lift-hold-point-hook", "lift-strip-load")
CARRY_CAUTIONS = frozenset(
    {
        "carried-on-edge", "cutout-carried-on-edge", "slender-strip", "above-guideline", "carried-far",
        "carried-on-stairs", "crew-over-four", "rigged", "lifted-by-inserts", "lifted-by-vacuum", "glued-parts",
    }
)  # fmt: skip
FLIP_CAUTIONS = frozenset({"turned-in-form", "adhesion-rules", "slender-strip"})


def routes(screens: Screens) -> list[Route]:
    """Routes of a job's first crew screen, of each piece, and of the digest that shows that the job changed."""

    async def first(request: Request) -> Response:
        job, code = screens.job(request), request.query_params.get("code", "").strip()
        kept, estimate = await run_in_threadpool(standing, job)
        words, problem = crew_words_for(estimate.result.job), ""
        if code:
            try:
                return RedirectResponse(_address(job, estimate, code), 303)
            except FaultError as error:
                problem = problem_of(error, words)
        shown = await run_in_threadpool(_first, kept, estimate, words)
        return screens.render(
            request, "crew.html", 422 if problem else 200, job=job, problem=problem, code=code, **shown
        )

    async def unknown(request: Request, job: JobFile, mark: str) -> Response:
        """The first screen, which says that the piece of a label is not, or no longer, in the job."""
        kept, estimate = await run_in_threadpool(standing, job)
        words = crew_words_for(estimate.result.job)
        problem, shown = problem_of(_no_piece(estimate, mark), words), _first(kept, estimate, words)
        return screens.render(request, "crew.html", 404, job=job, problem=problem, code="", **shown)

    async def piece(request: Request) -> Response:
        job, mark, query = screens.job(request), request.path_params["mark"], request.query_params
        shown = await run_in_threadpool(_piece, job, mark, query.get("n", ""))
        if shown is None:
            return await unknown(request, job, mark)
        old = query.get("rev", "") not in ("", shown["revision"])
        stale = not old and query.get("says", "") not in ("", shown["says"])
        return screens.render(request, "crew_piece.html", job=job, is_old=old, is_stale=stale, **shown)

    async def state(request: Request) -> Response:
        job = screens.job(request)
        return JSONResponse({"digest": await run_in_threadpool(lambda: digest(read_bytes(job.path)))})

    return [
        Route("/crew/{job}", first, name="crew"),
        Route("/crew/{job}/{mark:path}", piece, name="crew-piece"),
        Route("/crew-state/{job}", state, name="crew-state"),
    ]


def _sheet(kept: Kept, estimate: Estimate, words: Words) -> dict[str, Any]:
    """Values on every crew screen: its version, and the line shown when offline."""
    revision = estimate.result.job.revision or ""
    offline = words("crew-offline", day=words.day(date.today().isoformat()), time="%time", revision=revision or "none")
    created = datetime.now().astimezone().isoformat(timespec="seconds")
    return {"words": words, "revision": revision, "digest": kept.digest, "offline": offline, "made": created}


def _first(kept: Kept, estimate: Estimate, words: Words) -> dict[str, Any]:
    pieces = estimate.result.pieces
    tiles = [(piece.taken.piece.mark, thumbnail_of(piece)) for piece in pieces[:MOST_TILES]]
    return {**_sheet(kept, estimate, words), "tiles": tiles, "more": len(pieces) - len(tiles)}


def _address(job: JobFile, estimate: Estimate, code: str) -> str:
    """Address of the piece with this label code. Raises FaultError for an unknown code."""
    marks = {folded(piece.taken.piece.mark): piece.taken.piece for piece in estimate.result.pieces}
    numbered = NUMBERED.fullmatch(code)
    for mark, number in ((code, ""), (numbered["mark"], numbered["number"]) if numbered else ("", "")):
        piece = marks.get(folded(mark))
        if piece is not None and (not number or 1 <= int(number) <= piece.quantity):
            query = f"?n={int(number)}" if number else ""
            return f"/crew/{quote(job.name)}/{quote(piece.mark, safe='')}{query}"
    raise _no_piece(estimate, code)


def _no_piece(estimate: Estimate, code: str) -> FaultError:
    first = estimate.result.pieces[0].taken.piece.mark
    return FaultError("", message("crew-no-piece", code=code[:40], mark=first))


def _piece(job: JobFile, mark: str, number: str) -> dict[str, Any] | None:
    """Values of the screen of one piece, in the crew's language; None where the job has no such piece."""
    kept, estimate = standing(job)
    words = crew_words_for(estimate.result.job)
    piece = next((p for p in estimate.result.pieces if folded(p.taken.piece.mark) == folded(mark)), None)
    if piece is None:
        return None
    cast, count = piece.taken.piece, piece.taken.piece.quantity
    is_numbered = number.isdecimal() and 1 <= int(number) <= count
    return {
        **_sheet(kept, estimate, words),
        "mark": cast.mark,
        "says": says_of(piece, estimate.result.job.units),
        "count": words("label-count", number=number, count=count) if is_numbered else words("crew-count", count=count),
        "size": words.size(piece.taken.solid.size_m),
        "carry": _carry(estimate, piece, words),
        "flip": _flip(estimate, piece, words),
    }


def _carry(estimate: Estimate, piece: PieceEstimate, words: Words) -> dict[str, Any]:
    """Values for carrying a piece by hand or gear: weight, people, picture, hold, and cautions."""
    handling = piece.handling
    hold, tilt = sentence(hold_words(handling, words)), tilt_words(handling, words)
    doubts = [words.text(doubt) for doubt in handling.not_shown_safe]
    lines = {id: text for id, text in lines_of(piece, words) if text not in doubts}
    return {
        **_move(handling.carry, piece.weight.lift_kg, words),
        "picture": carry_picture(piece, words),
        "hold": f"{hold} {words('lift-tilt')} {tilt}" if tilt else hold,
        "lines": [
            *map(_first_sentence, doubts),
            *((f"{words(id)}:", lines[id]) for id in CARRY_LINES if id in lines),
            (f"{words('install-access')}:", sentence(access_words(piece, words))),
            *_cautions(estimate, piece, CARRY_CAUTIONS, words),
        ],
        "moves": [
            (stage_words(capital(words.text(move_name(m.name))), m.name, piece, words), crew_of(m, handling, words))
            for m in handling.moves
        ],
    }


def _flip(estimate: Estimate, piece: PieceEstimate, words: Words) -> dict[str, Any]:
    """Values for flipping a piece in its form, between its boards."""
    turn, lines = piece.handling.turn, dict(lines_of(piece, words))
    frame = [sentence(words.text(gear)) for gear in piece.handling.gear if gear.id == "gear-flipping-frame"]
    return {
        **_move(turn, piece.weight.turn_kg, words),
        "picture": flip_picture(turn.persons, words) if turn.persons else None,
        "hold": words("crew-flip-name"),
        "lines": [
            *((f"{words('lift-gear')}:", text) for text in frame),
            *((f"{words(id)}:", lines[id]) for id in FLIP_LINES if id in lines),
            *_cautions(estimate, piece, FLIP_CAUTIONS, words),
        ],
        "moves": [],
    }


def _move(crew: Crew, weight_kg: float, words: Words) -> dict[str, Any]:
    """Weight and people of a move."""
    return {
        "weight": words.mass(weight_kg, up=True).replace("\N{NO-BREAK SPACE}", " ").rpartition(" ")[::2],
        "people": crew.persons or 0,
        "crew": words.crew(crew.persons),
        "each": words("crew-each", high_kg=crew.share_kg, people=crew.persons or 0),
    }


def _cautions(
    estimate: Estimate, piece: PieceEstimate, conditions: frozenset[str], words: Words
) -> Iterator[tuple[str, str]]:
    for caution in cautions_of_piece(piece, cautions_for(estimate.result, conditions)):
        yield _first_sentence(words.text(caution.text))


def _first_sentence(text: str) -> tuple[str, str]:
    """First sentence, the hazard, which is highlighted, and the rest."""
    first, _, rest = text.partition(". ")
    return (f"{first}." if rest else first, rest)
