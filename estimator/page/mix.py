"""Mix bench screen: a slider for the share of sand replaced, with the weight, crew and cost of every piece."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import lru_cache
from typing import Any
from urllib.parse import quote

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from estimator.api import Estimate
from estimator.errors import FaultError, InputError
from estimator.estimate import Part, price_before_tax, survey
from estimator.intake.edit import Edit, KeyPath
from estimator.job import Job, Mix
from estimator.lighten import beads_of, mix_with
from estimator.lighten_edits import mix_table
from estimator.mix import MixDesign
from estimator.page.orders import Order, ReleasedError, asked, done, in_force, order_of, revise
from estimator.page.screen import Screens, problem_of, standing
from estimator.page.shelf import JobFile
from estimator.words import Words, words_for

STEP = 5
SHARES = tuple(range(0, 101, STEP))
"""Slider steps, percent of the sand."""

MOST_SIDE_BY_SIDE = 4
WATER_KG_M3 = 998.0
PAIR = 2
State = dict[str, Any]


def routes(screens: Screens) -> list[Route]:
    """Routes of the mix bench of a job, of the values for its slider, and of writing a share into the job."""

    async def bench(request: Request) -> Response:
        job = screens.job(request)
        shown = await run_in_threadpool(_bench, job, request.query_params.get("mix"), _kept_shares(request), "")
        last = [_share(text) for text in request.query_params.getlist("keep")[-1:]]
        return screens.render(request, "mix.html", job=job, **shown | ({"at": last[0]} if last else {}))

    async def rows(request: Request) -> Response:
        job, name = screens.job(request), request.query_params.get("mix", "")
        share = request.query_params.get("share")
        shares = SHARES if share is None else (_share(share),)
        return JSONResponse(await run_in_threadpool(_rows, job, name, shares))

    async def price(request: Request) -> Response:
        job, name = screens.job(request), request.query_params.get("mix", "")
        share = _share(request.query_params.get("share", ""))
        return JSONResponse(await run_in_threadpool(_priced, job, name, share))

    async def use(request: Request) -> Response:
        job = screens.job(request)
        async with request.form() as sent:
            given = {key: str(value) for key, value in sent.items()}
        name, share = given.get("mix", ""), _share(given.get("share", ""))
        try:
            used = await run_in_threadpool(_use, job, name, share, order_of(given))
        except ReleasedError as needed:
            return asked(screens, request, job, given, needed)
        except (FaultError, InputError, OSError) as error:
            words = job.words
            problem = problem_of(error, words)
            shown = await run_in_threadpool(_bench, job, name, _kept_shares(request), problem)
            return screens.render(request, "mix.html", 422, job=job, **shown)
        return done(job, given, f"/jobs/{job.name}/mix?mix={quote(used, safe='')}")

    return [
        Route("/jobs/{job}/mix", bench, name="mix"),
        Route("/jobs/{job}/mix", use, methods=["POST"]),
        Route("/jobs/{job}/mix/rows", rows, name="mix-rows"),
        Route("/jobs/{job}/mix/price", price, name="mix-price"),
    ]


def _share(text: str) -> int:
    """Share in percent, from the slider. Raises HTTPException."""
    if not (text.isascii() and text.isdecimal()) or int(text) > 100:
        raise HTTPException(404)
    return int(text)


def _kept_shares(request: Request) -> list[int]:
    """Shares shown side by side: the last ones requested."""
    shares = [_share(text) for text in request.query_params.getlist("keep")]
    return list(dict.fromkeys(shares))[-MOST_SIDE_BY_SIDE:]


def mixes_with_sand(estimate: Estimate) -> list[str]:
    """Mixes of the pieces in which beads could replace sand, the one with the most concrete first."""
    job, volumes = estimate.result.job, dict[str, float]()
    for piece in estimate.result.pieces:
        for layer in piece.taken.layers:
            name = job.mixes[layer.mix].name
            volumes[name] = volumes.get(name, 0.0) + layer.volume_m3 * piece.taken.piece.quantity
    ranked = sorted(volumes, key=lambda name: -volumes[name])
    return [name for name in ranked if beads_of(job, name) is not None]


def _chosen(estimate: Estimate, name: str | None) -> str:
    """Requested mix, else the one with the most concrete. Raises HTTPException for an unknown mix."""
    names = mixes_with_sand(estimate)
    if not names or (name and name not in names):
        raise HTTPException(404)
    return name or names[0]


def _bench(job: JobFile, name: str | None, kept_shares: list[int], problem: str) -> State:
    kept, estimate = standing(job)
    name, words = _chosen(estimate, name), kept.words
    result = estimate.result
    now = round(100 * (beads_of(result.job, name) or 0.0))
    beside = kept_shares or [now]
    return {
        "words": words,
        "mix": name,
        "mixes": mixes_with_sand(estimate),
        "now": now,
        "at": now,
        "beside": beside,
        "table": list(_side_by_side(estimate, name, beside, words)),
        "marks": [piece.taken.piece.mark for piece in result.pieces],
        "heavy": list(_heavy(estimate, words)),
        "problem": problem,
        "title": words.name(result.job.mixes[name]),
    }


def _heavy(estimate: Estimate, words: Words) -> Iterator[tuple[str, str, str]]:
    """Pieces that more than two people carry, or none can: more beads alone may not do."""
    for piece in estimate.result.pieces:
        crew = piece.handling.carry.persons
        if crew is None or crew > PAIR:
            yield piece.taken.piece.mark, words.mass(piece.weight.lift_kg, up=True), words.crew(crew)


def with_share(job: Job, name: str, percent: int) -> Job:
    """Job with a share of the sand of one mix replaced and everything else unchanged. Raises FaultError."""
    other = replace(mix_with(job, name, percent / 100.0), name=name)
    return replace(job, mixes={**job.mixes, name: other})


def _rows(job: JobFile, name: str, shares: Sequence[int]) -> State:
    """Values at some places of the slider, without prices."""
    _, estimate = standing(job)
    name = _chosen(estimate, name)
    return {"rows": [_row(estimate, name, percent) for percent in shares]}


@lru_cache(maxsize=3 * len(SHARES))
def _surveyed(estimate: Estimate, name: str, percent: int) -> tuple[MixDesign, list[Part]] | str:
    """Mix and parts at a share, or the error text if it cannot be cast."""
    job = estimate.result.job
    try:
        _, mixes, parts = survey(with_share(job, name, percent))
    except (FaultError, InputError) as error:
        return problem_of(error, words_for(job))
    return mixes[name], parts


def _row(estimate: Estimate, name: str, percent: int) -> State:
    """Values at one share: fresh density, installed weight and crews."""
    words, survey_result = words_for(estimate.result.job), _surveyed(estimate, name, percent)
    if isinstance(survey_result, str):
        return {"share": percent, "problem": survey_result}
    design, parts = survey_result
    return {
        "share": percent,
        "problem": "",
        "fresh": words.density(design.fresh_density_kg_m3),
        "fresh_kg_m3": design.fresh_density_kg_m3,
        "floats": words("page-floats") if design.fresh_density_kg_m3 < WATER_KG_M3 else words("page-sinks"),
        "all": words.mass(sum(weight.installed_kg * taken.piece.quantity for taken, weight, _ in parts)),
        "all_kg": sum(weight.installed_kg * taken.piece.quantity for taken, weight, _ in parts),
        "pieces": [
            {
                "mark": taken.piece.mark,
                "weight": words.mass(weight.lift_kg, up=True),
                "people": handling.carry.persons or 0,
                "crew": words.crew(handling.carry.persons),
            }
            for taken, weight, handling in parts
        ],
    }


@lru_cache(maxsize=len(SHARES))
def _price_text(estimate: Estimate, name: str, percent: int) -> str:
    job = estimate.result.job
    try:
        return words_for(job).price(price_before_tax(with_share(job, name, percent)))
    except (FaultError, InputError):
        return ""


def _priced(job: JobFile, name: str, percent: int) -> State:
    _, estimate = standing(job)
    name = _chosen(estimate, name)
    return {"share": percent, "price": _price_text(estimate, name, percent)}


def _side_by_side(estimate: Estimate, name: str, shares: list[int], words: Words) -> Iterator[State]:
    """Yield one column for each share."""
    for percent in shares:
        row = _row(estimate, name, percent)
        if row["problem"]:
            yield row
            continue
        mix: Mix = with_share(estimate.result.job, name, percent).mixes[name]
        tested = mix.first_crack_strength_pa is not None or bool(mix.coupons)
        strength = words("page-tested" if tested else "page-untested")
        yield row | {"price": _price_text(estimate, name, percent), "strength": strength, "untested": not tested}


def _use(job: JobFile, name: str, percent: int, order: Order | None) -> str:
    """Write a share into the job, so that its pieces are cast in the mix with that share; return its name.

    Raises ReleasedError, InputError, FaultError, OSError.
    """
    kept, estimate = standing(job)
    name = _chosen(estimate, name)
    own = estimate.result.job
    other = mix_with(own, name, percent / 100.0)
    if other.name == name:
        return name
    edits = [] if other.name in own.mixes else [Edit("set", ("mixes", other.name), mix_table(other, name))]
    table = in_force(kept.table)
    for at in _uses(table, name):
        edits.append(Edit("set", at, other.name))
    revise(job, edits, order, table=table)
    return other.name


def _uses(table: State, name: str) -> Iterator[KeyPath]:
    """Yield the paths of the keys of a job file that assign a mix to pieces."""
    if table.get("job", {}).get("mix") == name:
        yield ("job", "mix")
    for number, piece in enumerate(table.get("piece", [])):
        if piece.get("mix") == name:
            yield ("piece", number, "mix")
        for layer, entry in enumerate(piece.get("layers", [])):
            if entry.get("mix") == name:
                yield ("piece", number, "layers", layer, "mix")
    for list_name in ("drawing", "schedule"):
        for number, entry in enumerate(table.get(list_name, [])):
            if entry.get("mix") == name:
                yield (list_name, number, "mix")
            for layer, part in enumerate(entry.get("layers", [])):
                if part.get("mix") == name:
                    yield (list_name, number, "layers", layer, "mix")
