"""The desk screen: one piece with its drawing, fields and figures, beside the job."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import suppress
from pathlib import PurePath
from typing import Any

from starlette.background import BackgroundTask
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.routing import Route

from estimator.api import Estimate
from estimator.errors import FaultError, InputError
from estimator.estimate import PieceEstimate
from estimator.explain import workings_of_figure
from estimator.intake.edit import Edit, KeyPath
from estimator.intake.read import pieces_of_schedules
from estimator.page.changes import place_of
from estimator.page.closing import closing_act
from estimator.page.drawing import OVERALL, CutoutPlace, drawing_of, thumbnail_of
from estimator.page.fields import (
    Field,
    Group,
    at_of,
    entry_of,
    fields_of,
    labels_by_place,
    node_at,
    path_of,
    text_of,
    typed,
    value_of,
)
from estimator.page.orders import ReleasedError, in_force, is_released, order_of, revise
from estimator.page.screen import Screens, address_of_piece, problem_of, sent_fields, standing, unbroken
from estimator.page.sheet import named_moves
from estimator.page.shelf import ConflictError, JobFile, Kept
from estimator.page.solid import has_solid
from estimator.page.undo import undo, undo_of
from estimator.report.figures import result_text, values_lines
from estimator.report.first_screen import MOST_OPEN, bought_of, open_items, packs_of
from estimator.store.database import here, now
from estimator.store.people import changes_of
from estimator.units import read_quantity
from estimator.words import Words
from geometry.files import read_bytes

MOST_BAGS = 6
RECENT_S = 60.0
"""What was logged longer ago is not the change that a screen has just missed."""

SEEN_POLICY = "default-src 'none'; style-src 'unsafe-inline'; sandbox"
State = dict[str, Any]


def routes(screens: Screens) -> list[Route]:
    """Routes of the desk of a job, its pieces, and the changes made there."""

    async def desk(request: Request) -> Response:
        job = screens.job(request)
        mark = request.path_params.get("mark")
        state = await run_in_threadpool(_screen, job, mark)
        if state is None:
            return RedirectResponse(screens.url("sheet", job), 303)
        return screens.render(request, "desk.html", job=job, **state)

    async def change(request: Request) -> Response:
        job, asked = screens.job(request), await sent_fields(request, "at", "text")
        return await run_in_threadpool(_changed, job, asked)

    async def why(request: Request) -> Response:
        job, figure = screens.job(request), request.query_params.get("figure", "")
        shown = await run_in_threadpool(_working, job, figure)
        return screens.render(request, "why.html", job=job, figure=figure, **shown)

    async def take_back(request: Request) -> Response:
        job, asked = screens.job(request), await sent_fields(request)
        return await run_in_threadpool(_undone, job, asked)

    async def news(request: Request) -> Response:
        job, asked = screens.job(request), request.query_params
        shown = {"mark": asked.get("mark"), "fields": asked.getlist("field")}
        return await run_in_threadpool(_news, screens, job, asked.get("digest", ""), shown)

    async def rows(request: Request) -> Response:
        """Make pieces of the job file of the rows of its schedules, so that they can be edited here."""
        job = screens.job(request)
        try:
            await run_in_threadpool(_listed, job)
        except (FaultError, InputError, OSError):
            raise HTTPException(409) from None
        return RedirectResponse(f"/jobs/{job.name}", 303)

    async def seen(request: Request) -> Response:
        job, name = screens.job(request), request.path_params["name"]
        path = job.path.parent / name
        if not name.endswith(".seen.svg") or path.name != name or not path.is_file():
            raise HTTPException(404)
        content = await run_in_threadpool(read_bytes, path)
        return Response(content, media_type="image/svg+xml", headers={"content-security-policy": SEEN_POLICY})

    return [
        Route("/jobs/{job}", desk, name="desk"),
        Route("/jobs/{job}/seen/{name}", seen, name="seen"),
        Route("/jobs/{job}/rows", rows, methods=["POST"], name="rows"),
        Route("/jobs/{job}/pieces/{mark:path}", desk, name="piece"),
        Route("/jobs/{job}/why", why, name="why"),
        Route("/jobs/{job}/news", news, name="news"),
        Route("/jobs/{job}/change", change, methods=["POST"], name="change"),
        Route("/jobs/{job}/undo", take_back, methods=["POST"], name="undo"),
    ]


def _screen(job: JobFile, mark: str | None) -> State | None:
    """Initial values of the desk; None for a job that cannot be estimated yet."""
    kept = job.kept()
    if kept.estimate is None:
        return None
    return _state(job, kept, kept.estimate, mark)


def _listed(job: JobFile) -> None:
    """Write the rows of the schedules of a job as its pieces. Raises FaultError, InputError, OSError."""
    kept = job.kept()
    pieces = pieces_of_schedules(kept.table, job.path.parent)
    gone = Edit("remove", ("schedule",))
    if pieces:
        job.edit([gone, *(Edit("add", ("piece",), piece) for piece in pieces)], now=kept)


def _working(job: JobFile, figure: str) -> State:
    """Workings of a figure, line by line, in the job's units. Raises HTTPException for a figure without workings."""
    kept, estimate = standing(job)
    try:
        workings = workings_of_figure(estimate.result, figure)
    except InputError:
        raise HTTPException(404) from None
    words = kept.words
    lines, units = list[str](), words.units
    for working in workings:
        lines += [working.formula, *values_lines(working, units), words.text(working.source)]
    return {"words": words, "result": result_text(workings[0], units), "lines": lines}


def _changed(job: JobFile, asked: dict[str, Any]) -> Response:
    """Response to a changed field: all figures recalculated, or the reason why it is refused."""
    at, text, later = str(asked["at"]), str(asked["text"]), list[Callable[[], None]]()
    before = job.kept()
    words, table, field = before.words, _standing_table(before), None
    try:
        path = path_of(at)
        found = (part for part in fields_of(path[:-1], table) if part.at == at)
        field = next((part for part in found if isinstance(part, Field)), None)
        if field is None:
            return JSONResponse({"problem": words("page-no-such-field")}, 404)
        value = typed(text, field)
        edit = Edit("remove", path) if value is None else Edit("set", path, value)
        if value is None and value_of(path, table) is None:
            kept = before
        else:
            was = typed(str(asked.get("was", "")), field)
            kept = revise(job, [edit], order_of(asked), was, kept=before, table=table, checked=True, later=later)
    except KeyError:
        return JSONResponse({"problem": words("page-no-such-field")}, 404)
    except ConflictError as conflict:
        return JSONResponse(_conflict(job, at, conflict, text, words), 409)
    except ReleasedError as needed:
        orders = [{"number": number, "text": words("revise-into", number=number)} for number in needed.numbers]
        return JSONResponse({"lines": needed.lines, "orders": orders, "reason": needed.reason}, 423)
    except (FaultError, InputError) as error:
        return JSONResponse(
            {"problem": problem_of(error, words, labels_by_place([field] if field else [], table))}, 422
        )
    except OSError as error:
        return JSONResponse({"problem": problem_of(error, words)}, 503)
    answer = _answer(job, kept, asked)
    answer.background = BackgroundTask(lambda: [note() for note in later])
    return answer


def _conflict(job: JobFile, at: str, conflict: ConflictError, text: str, words: Words) -> State:
    """Both values of a field that somebody else changed, and who did it when."""
    last = [change for change in changes_of(job.store, job.path, 20) if change.what == at] if job.store else []
    theirs = _plain(conflict.theirs)
    by = (last[0].person or "none", f"{here(last[0].at):%H:%M}") if last else ("none", "none")
    return {
        "theirs": theirs,
        "yours": text,
        "who": words("page-conflict-by", person=by[0], time=by[1]),
        "take": words("page-take-theirs", text=theirs or "–"),
        "keep": words("page-keep-yours", text=text or "–"),
    }


def _news(screens: Screens, job: JobFile, digest: str, shown: dict[str, Any]) -> Response:
    """State of a job that others changed since a screen was filled, with who changed what; nothing if it is as it was.

    digest  digest of the file that the screen shows
    shown   mark of its piece and its fields
    """
    kept = job.kept()
    if kept.digest == digest or kept.estimate is None:
        return Response(status_code=204)
    last = changes_of(screens.store, job.path, 1)
    recent = [change for change in last if abs((now() - change.at).total_seconds()) < RECENT_S]
    what = place_of(recent[0].what, kept.table) if recent else job.title
    by = recent[0].person if recent else ""
    seconds = round(max((now() - recent[0].at).total_seconds(), 0.0)) if recent else 0
    texts = {
        f"ago_{unit}": kept.words("page-others", person=by or "none", what=what, unit=unit) for unit in ("s", "min")
    }
    return _answer(job, kept, shown, {**texts, "seconds": seconds})


def _undone(job: JobFile, asked: dict[str, Any]) -> Response:
    words = job.kept().words
    try:
        kept = undo(job, asked.get("digest"))
    except (FaultError, InputError) as error:
        return JSONResponse({"problem": problem_of(error, words)}, 422)
    return _answer(job, kept, asked)


def _answer(job: JobFile, kept: Kept, asked: Mapping[str, Any], more: State | None = None) -> Response:
    """Response with what a change may have altered, for the piece and the fields that the screen shows."""
    assert kept.estimate is not None
    table = in_force(kept.table)
    shown = asked.get("fields")
    values = {at: text_of(value_of(path_of(at), table)) for at in map(str, shown if isinstance(shown, list) else ())}
    chosen = _chosen(kept.estimate, _mark_now(asked.get("mark"), values, kept.estimate, table))
    state = _figures_and_drawing(job, kept, kept.estimate, chosen)
    return JSONResponse({**state, "values": values, **(more or {})})


def _mark_now(mark: Any, fields: Iterable[str], estimate: Estimate, table: Mapping[str, Any]) -> str | None:
    """Mark of the piece that a screen shows, by its fields where no piece has that mark any more."""
    if any(piece.taken.piece.mark == mark for piece in estimate.result.pieces):
        return str(mark)
    own = next((path[:2] for path in map(path_of, fields) if path[:1] == ("piece",)), ())
    return None if value_of((*own, "mark"), table) is None else str(value_of((*own, "mark"), table))


def _standing_table(kept: Kept) -> dict[str, Any]:
    """Job file as its pieces stand: with its signed change orders."""
    return kept.table if kept.estimate is None else in_force(kept.table)


def _plain(value: Any) -> str:
    return "" if value is None else str(value)


def _chosen(estimate: Estimate, mark: str | None) -> PieceEstimate:
    """Piece of this mark, else the first part of that piece, else the first piece of the job."""
    pieces = estimate.result.pieces
    own = next((piece for piece in pieces if piece.taken.piece.mark == mark), None)
    if own is not None:
        return own
    wholes = _wholes(estimate)
    return next((piece for piece in pieces if wholes[piece.taken.piece.mark] == mark), pieces[0])


def _wholes(estimate: Estimate) -> dict[str, str]:
    """Mark in the job file of the piece that each piece is, is cut from, or is glued to."""
    part_of = {piece.taken.piece.mark: piece.taken.piece.part_of for piece in estimate.result.pieces}
    wholes = {}
    for mark in part_of:
        whole = mark
        while part_of.get(whole):
            whole = part_of[whole]
        wholes[mark] = whole
    return wholes


def _figures_and_drawing(
    job: JobFile, kept: Kept, estimate: Estimate, chosen: PieceEstimate, *, pictures: bool = False
) -> State:
    """What any change may alter, as text. The template and the browser fill the same elements with it.

    pictures  whether every piece of the list has its drawing, or only the selected one
    """
    words, result = kept.words, estimate.result
    items, last = open_items(result, words), undo_of(job, kept)
    drawing = drawing_of(chosen, words, _cutout_of(in_force(kept.table), chosen.taken.piece.mark))
    return {
        "digest": kept.digest,
        "at": address_of_piece(job, chosen.taken.piece.mark),
        "pieces": [
            _row(entry, words) | ({"picture": thumbnail_of(entry)} if pictures or entry is chosen else {})
            for entry in result.pieces
        ],
        "drawing": drawing | {"name": _drawing_name(chosen, words)},
        "figures": dict(_figures(estimate, chosen, words)),
        "open": [closing_act(item, job.name, kept.table, words) for item in items[:MOST_OPEN]],
        "more_open": words("screen-more", count=len(items) - MOST_OPEN) if len(items) > MOST_OPEN else "",
        "bags": _bags(estimate, words),
        "undo": None if last is None else {"text": last.text, "of_other": last.of_other},
    }


def _state(job: JobFile, kept: Kept, estimate: Estimate, mark: str | None) -> State:
    """All values of the desk as it is opened."""
    words, chosen = kept.words, _chosen(estimate, mark)
    piece = chosen.taken.piece
    table, whole = in_force(kept.table), _wholes(estimate)[piece.mark]
    fields = list(piece_fields(table, whole))
    state = _figures_and_drawing(job, kept, estimate, chosen, pictures=True)
    return state | {
        "words": words,
        "mark": piece.mark,
        "whole": whole,
        "description": piece.description,
        "fields": fields,
        "inherited": _inherited(chosen, words),
        "on_drawing": _on_drawing(fields, table, piece.mark, state["drawing"]["places"]),
        "has_solid": has_solid(piece.shape),
        "of_schedule": entry_of(whole, table) is None and "schedule" in table,
        "adding": list(_adding(kept, whole, words)),
        "source": _source(job, kept, whole),
        "known_mixes": sorted(estimate.result.job.mixes),
        "is_released": is_released(table),
        **_of_list(kept.table, whole, words),
    }


def _of_list(table: Mapping[str, Any], mark: str, words: Words) -> State:
    """Path of a piece in the list of the job file, and how it can be moved there; the last piece of a job stays."""
    number = entry_of(mark, table)
    path: KeyPath = () if number is None else ("piece", number)
    others = number is not None and (len(table["piece"]) > 1 or "schedule" in table)
    return {"entry": at_of(path), "moves": named_moves(path, table, words), "can_go": others}


def _row(piece: PieceEstimate, words: Words) -> State:
    """Values of one piece in the list: size, weight and crew."""
    taken = piece.taken.piece
    size = " × ".join(words.length(side) for side in piece.taken.solid.size_m)
    return {
        "mark": taken.mark,
        "description": taken.description,
        "count": f"× {taken.quantity}" if taken.quantity > 1 else "",
        "weight": words.mass(piece.weight.lift_kg, up=True),
        "size": unbroken(size),
        "crew": words.crew(piece.handling.carry.persons),
    }


def _drawing_name(piece: PieceEstimate, words: Words) -> str:
    size = [words.length(side) for side in piece.taken.solid.size_m[:2]]
    return words("page-drawing-name", mark=piece.taken.piece.mark, along=size[0], across=size[1])


def _figures(estimate: Estimate, piece: PieceEstimate, words: Words) -> Iterator[tuple[str, str]]:
    result, weight, handling = estimate.result, piece.weight, piece.handling
    standing = result.standing
    yield "lift", words.mass(weight.lift_kg, up=True)
    yield "lift-crew", words.crew(handling.carry.persons)
    yield "turn", words.mass(weight.turn_kg, up=True)
    yield "turn-crew", words.crew(handling.turn.persons)
    yield "installed", words.mass(weight.installed_kg)
    yield "per-area", words.areal_mass(piece.mass_per_area_kg_m2)
    yield "price", words.price(piece.price)
    yield "price-of", words("page-price-of", count=piece.taken.piece.quantity)
    cost = result.cost
    yield "total", words.price(cost.total)
    yield "sum", words.price(cost.price)
    yield "direct", words.price(cost.direct.total)
    yield "held", words("page-held", now_price=cost.price - cost.held) if cost.held else ""
    yield "all-weight", words.mass(standing.installed_kg)
    crews = [entry.handling.carry.persons for entry in result.pieces]
    most = max((crew for crew in crews if crew is not None), default=None)
    yield "people", words("page-and-machine", crew=words.crew(most)) if most and None in crews else words.crew(most)
    yield "batches", words.count(standing.batches)
    yield "days", words.count(standing.pours)


def _bags(estimate: Estimate, words: Words) -> list[State]:
    """Purchases, most expensive first."""
    materials = estimate.result.job.materials
    bought = bought_of(estimate.result)[:MOST_BAGS]
    return [{"name": words.name(materials[item.name]), "packs": packs_of(item.lines, words)} for item in bought]


USUAL = ("description", "quantity", "use", "finish", "color", "mix")
"""Keys of a piece that the desk shows even if the file leaves them out."""

ADDED = (
    ("shape/cutouts", "page-add-cutout"),
    ("shape/drop_edges", "page-add-drop"),
    ("shape/edge_profiles", "page-add-profile"),
    ("shape/waterfalls", "page-add-waterfall"),
    ("shape/splashes", "page-add-splash"),
    ("layers", "page-add-layer"),
    ("inserts", "page-add-insert"),
    ("seams", "page-add-seam"),
)
"""Lists of a piece to which the desk adds an entry."""


def piece_fields(table: Mapping[str, Any], mark: str) -> Iterator[Field]:
    """Yield the fields of a piece in the file, including its shape, and the usual ones that it leaves out."""
    number = entry_of(mark, table)
    if number is None:
        return
    own = table["piece"][number]
    for field in fields_of(("piece", number), table):
        key = field.at.rpartition("/")[2]
        is_usual = key in USUAL and not (key == "mix" and "layers" in own)
        if isinstance(field, Field) and key != "from" and (key in own or is_usual):
            yield field
    yield from (field for field in _leaves(("piece", number), table, "") if field.at.count("/") > 2)
    if "from" in own and "thickness" not in own.get("shape", {}):  # that of the drawing counts until it has its own
        for field in fields_of(("piece", number, "shape"), table):
            if isinstance(field, Field) and field.at.endswith("/thickness"):
                yield field


def _inherited(piece: PieceEstimate, words: Words) -> dict[str, str]:
    """What counts for keys that the file leaves out at a piece: from the drawing, the job or the schema."""
    taken = piece.taken.piece
    mixes = dict.fromkeys(layer.mix for layer in taken.layers)
    return {
        "quantity": words.count(taken.quantity),
        "use": words(f"page-use-{taken.use}"),
        "mix": ", ".join(mixes),
        "thickness": words.length(getattr(taken.shape, "thickness_m", piece.taken.solid.size_m[2])),
    }


def _adding(kept: Kept, mark: str, words: Words) -> Iterator[tuple[str, str]]:
    """Yield the links for entering more of a piece: its lists, and all its keys, as the query of their screen."""
    number = entry_of(mark, kept.table)
    if number is None:
        yield "at=", words("page-all-keys")
        return
    for key, label in ADDED:
        path: KeyPath = ("piece", number, *key.split("/"))
        with suppress(KeyError):
            node_at(path, kept.table)
            yield f"at={at_of(path)}&new", words(label)
    yield f"at={at_of(('piece', number))}", words("page-all-of-piece", mark=mark)


def _source(job: JobFile, kept: Kept, mark: str) -> State:
    """Drawing that a piece comes from, its settings, and the picture of what was read from it."""
    number = entry_of(mark, kept.table)
    name = "" if number is None else str(kept.table["piece"][number].get("from", ""))
    if not name:
        return {}
    seen = f"{PurePath(name).stem}.seen.svg"
    drawings = [at for at, entry in enumerate(kept.table.get("drawing", [])) if entry.get("file") == name]
    there = (job.path.parent / seen).is_file()
    return {"name": name, "seen": seen if there else "", "at": at_of(("drawing", drawings[0])) if drawings else ""}


def _leaves(path: tuple[str | int, ...], table: Any, above: str) -> Iterator[Field]:
    """Yield the fields at and below a path that the file has, each labeled with the tables around it."""
    for part in fields_of(path, table, only_standing=True):
        if isinstance(part, Field):
            label = f"{above}: {part.label.lower()}" if above else part.label
            yield Field(part.at, label, part.help, part.kind, part.text, part.example, part.choices, part.required)
        elif isinstance(part, Group) and part.at.count("/") < 6:
            below = [entry for entry, _ in part.entries] if part.is_list else [part.at]
            for number, entry in enumerate(below, start=1):
                single = part.label.removesuffix("s") if part.is_list else part.label
                name = "" if part.label == "Shape" else f"{single} {number}" if len(below) > 1 else single
                yield from _leaves(path_of(entry), table, name or above)


CUTOUT = {"x": "cutout-x", "length": "cutout-length", "y": "cutout-y", "width": "cutout-width"}
"""Keys of a rectangular cutout, and their places on the drawing."""


def _cutout_of(table: Mapping[str, Any], mark: str) -> CutoutPlace | None:
    """Position and size of the first cutout of a slab, m, if it is a rectangle in the job file."""
    number = entry_of(mark, table)
    shape = None if number is None else table["piece"][number].get("shape")
    cutouts = shape.get("cutouts") if isinstance(shape, dict) and shape.get("kind") == "slab" else None
    if not cutouts or cutouts[0].get("kind") != "rectangle":
        return None
    x_m, y_m, length_m, width_m = (read_quantity(cutouts[0][key], "length") for key in ("x", "y", "length", "width"))
    return x_m, y_m, length_m, width_m


def _on_drawing(
    fields: list[Field], table: Mapping[str, Any], mark: str, places: Mapping[str, Any]
) -> dict[str, Field]:
    """Fields shown on the dimension lines, by their places, if the shape is in the job file."""
    number = entry_of(mark, table)
    shape = None if number is None else table["piece"][number].get("shape")
    if not isinstance(shape, dict):
        return {}
    ends = dict(zip(OVERALL.get(str(shape.get("kind")), ()), ("along", "across"), strict=False))
    ends |= {f"cutouts/0/{key}": name for key, name in CUTOUT.items() if name in places}
    by_key = {field.at.split("/", 2)[2]: field for field in fields}
    return {name: by_key[f"shape/{key}"] for key, name in ends.items() if f"shape/{key}" in by_key}
