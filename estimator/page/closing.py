"""Open safety items: each with the action that closes it, and the few fields that the action needs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any
from urllib.parse import quote

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from estimator.errors import FaultError, InputError
from estimator.estimate import Estimate
from estimator.handling.doubts import DoubtId
from estimator.intake.edit import KeyPath
from estimator.names import folded
from estimator.page.coupons import address_of_coupons
from estimator.page.fields import Field, at_of, entry_of, fields_of
from estimator.page.screen import Screens, address_of_piece, problem_of, standing
from estimator.page.sheet import as_given, edits_of
from estimator.page.shelf import JobFile
from estimator.report.first_screen import OpenItem, open_items
from estimator.words import Words

GEAR = {
    "A-frame": (("workshop", "transport", "a_frame_rating"),),
    "sling-leg": (("workshop", "handling", "sling_rating"),),
    "pallet": (("workshop", "transport", "pallet_rating"),),
    "forklift": (("workshop", "transport", "forklift_rating"), ("workshop", "transport", "forklift_load_center")),
    "truck": (("workshop", "transport", "truck_payload"),),
    "elevator": (("site", "lift", "rating"),),
}
"""Keys of gear ratings."""

PIECE = ("piece",)  # placeholder for the entry of a piece
KEYS: dict[str, tuple[KeyPath, ...]] = {
    "ratings": (),
    "coupons": (),
    "doors": (("site", "door", "width"), ("site", "door", "height")),
    "floor": (("site", "floor_load"),),
    "bed": (("workshop", "transport", "truck_bed_length"), ("workshop", "transport", "truck_bed_width")),
    "pallet": (("workshop", "transport", "pallet_length"), ("workshop", "transport", "pallet_width")),
    "rack": (("workshop", "transport", "a_frame_room"),),
    "pads": (("workshop", "handling", "vacuum_cup"),),
    "vacuum": ((*PIECE, "handling", "vacuum"), (*PIECE, "handling", "vacuum_holds")),
    "inserts": ((*PIECE, "handling", "picks", "at"), (*PIECE, "handling", "picks", "insert_strength")),
    "picks": ((*PIECE, "handling", "picks", "at"), (*PIECE, "handling", "picks", "sling_rating")),
    "overhang": ((*PIECE, "in_place", "overhang"),),
}
"""Keys that an action needs, by its name. The screen of an action shows only these."""

ACTS: dict[DoubtId, str] = {
    "access": "doors",
    "bending-not-checked": "rigger",
    "bending-over-core": "rigger",
    "carry-not-enough": "lighter",
    "carry-too-young": "coupons",
    "carry-untested": "coupons",
    "coupons-too-thin": "coupons",
    "floor-over": "floor",
    "holds-off-balance": "lighter",
    "insert-not-enough": "inserts",
    "insert-untested": "inserts",
    "over-bed": "bed",
    "over-pallet": "pallet",
    "over-rack": "rack",
    "overhang-unsupported": "overhang",
    "pads-core": "picks",
    "pads-no-place": "pads",
    "pads-not-enough": "lighter",
    "pads-not-measured": "vacuum",
    "pads-untested": "coupons",
    "picks-core": "picks",
    "picks-near-cutout": "picks",
    "picks-no-room": "picks",
    "picks-no-shape": "picks",
    "picks-no-strength": "lighter",
    "rating-missing": "ratings",
    "rating-over": "ratings",
    "slings-not-enough": "lighter",
    "slings-untested": "coupons",
    "tips-off-support": "overhang",
    "walls-not-checked": "rigger",
    "walls-not-enough": "lighter",
    "walls-untested": "coupons",
}
"""Action that closes an item. An item that no figure can close goes to a rigger, with the lift sheet."""

STRENGTH = "first_crack_strength"


def routes(screens: Screens) -> list[Route]:
    """Route of the screen of one open item, which also saves its fields."""

    async def item(request: Request) -> Response:
        job = screens.job(request)
        given: dict[str, str] = {}
        if request.method == "POST":
            async with request.form() as sent:
                given = {key: str(value) for key, value in sent.items()}
        return await run_in_threadpool(_item, screens, request, job, given)

    return [Route("/jobs/{job}/open/{item}", item, methods=["GET", "POST"], name="open-item")]


def closing_act(item: OpenItem, job: str, table: Any, words: Words) -> dict[str, str]:
    """Text of an open item of a job by its name and file, with the name and address of the action that closes it."""
    name = ACTS[_doubt(item)]
    mark = item.marks[0] if item.marks else ""
    if any(path[:1] == PIECE for path in KEYS.get(name, ())) and entry_of(mark, table) is None:
        name = "rigger"  # a schedule row or a part has no entry for the key
    places = {"lighter": f"liftable/{quote(mark, safe='')}", "rigger": "papers/lift-sheet.pdf"}
    at = places.get(name, f"open/{item.id}" + (f"?mark={quote(mark, safe='')}" if mark else ""))
    return {"text": item.text, "act": words(f"page-act-{name}", mark=mark), "at": f"/jobs/{job}/{at}"}


def _doubt(item: OpenItem) -> DoubtId:
    return next(id for id in ACTS if id == item.id)


def _item(screens: Screens, request: Request, job: JobFile, given: dict[str, str]) -> Response:
    """Screen of one item; saves the fields if they were sent."""
    kept, estimate = standing(job)
    words, mark = kept.words, request.query_params.get("mark", "")
    items = [entry for entry in open_items(estimate.result, words) if entry.id == request.path_params["item"]]
    if not items:
        return RedirectResponse(f"/jobs/{job.name}", 303)  # closed meanwhile
    item = next((entry for entry in items if mark in entry.marks), items[0])
    fields = _fields(item, mark, estimate.result, kept.table)
    problem = ""
    if given:
        try:
            job.edit(edits_of(fields, given, kept.table, words.units))
            return RedirectResponse(address_of_piece(job, mark) if mark else f"/jobs/{job.name}", 303)
        except (FaultError, InputError, OSError) as error:
            problem = problem_of(error, words)
        fields = [as_given(field, given) for field in fields]
    act = closing_act(item, job.name, kept.table, words)
    coupons = [(address_of_coupons(job.name, mix), mix) for _, mix, _ in _strengths(item, estimate.result)]
    return screens.render(
        request, "open_item.html", 422 if problem else 200, words=words, job=job, act=act["act"], text=item.text,
        fields=fields, coupons=coupons if ACTS[_doubt(item)] == "coupons" else [], problem=problem,
    )  # fmt: skip


def _fields(item: OpenItem, mark: str, result: Estimate, table: Any) -> list[Field]:
    """Fields that an item needs. Raises HTTPException for an item that no field can close."""
    act = ACTS[_doubt(item)]
    if act == "coupons":  # a mix with coupons takes more coupons, not a strength
        paths: Sequence[KeyPath] = [path for path in _strengths(item, result) if not result.job.mixes[path[1]].coupons]
    elif act == "ratings":
        paths = [path for name in item.gear for path in GEAR[name]]
    else:
        paths = [_placed(path, mark, table) for path in KEYS.get(act, ())]
    fields = [field for path in paths for field in _field(path, table)]
    if not fields and act != "coupons":
        raise HTTPException(404)
    return fields


def _placed(path: KeyPath, mark: str, table: Any) -> KeyPath:
    """Path of a piece key in the entry of the piece. Raises HTTPException for a piece without its own entry."""
    if path[:1] != PIECE:
        return path
    number = entry_of(mark, table)
    if number is None:
        raise HTTPException(404)
    return (*PIECE, number, *path[1:])


def _field(path: KeyPath, table: Any) -> Iterator[Field]:
    for part in fields_of(path[:-1], table):
        if isinstance(part, Field) and part.at == at_of(path):
            label = f"{part.label}, {path[1]}" if path[0] == "mixes" else part.label
            yield Field(part.at, label, part.help, part.kind, part.text, part.example, part.choices, part.required)


def _strengths(item: OpenItem, result: Estimate) -> Iterator[tuple[str, str, str]]:
    """Yield the strength keys of the mixes in an item's pieces. One untested mix leaves a piece untested."""
    marks = {folded(mark) for mark in item.marks}
    pieces = [piece.taken.piece for piece in result.pieces if folded(piece.taken.piece.mark) in marks]
    for name in dict.fromkeys(layer.mix for piece in pieces for layer in piece.layers):
        mix = result.job.mixes[name]
        if mix.first_crack_strength_pa is None or item.id in ("carry-too-young", "coupons-too-thin"):
            yield ("mixes", name, STRENGTH)
