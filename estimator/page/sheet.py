"""Every key of a job file as a field, so that nobody has to edit the file."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import reduce
from typing import Any
from urllib.parse import quote

from anyio import CapacityLimiter
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from estimator.disk import write_new
from estimator.errors import FaultError, InputError
from estimator.intake.documents import CATALOG_SECTIONS, built_in_catalog
from estimator.intake.edit import Edit, KeyPath, changed
from estimator.intake.material_tables import FORMS
from estimator.names import folded
from estimator.page.fields import (
    VERSIONS,
    Field,
    Group,
    at_of,
    fields_of,
    help_of,
    is_named,
    is_part,
    kinds_at,
    labels_by_place,
    name_of,
    next_of,
    of_kind,
    path_of,
    turned,
    typed,
    value_of,
    with_required,
)
from estimator.page.files import address_of_newer, older_of
from estimator.page.orders import ReleasedError, asked, done, is_of_client, is_released, order_of, revise
from estimator.page.overlays import boxes_of_marks, changes_of, is_version, marks_at, parts_with_choices
from estimator.page.screen import Screens, address_of_piece, data_uri, problem_of
from estimator.page.shelf import ConflictError, JobFile, Kept, differs
from estimator.page.shop import ShopFile, note_of
from estimator.page.uploads import plain_name
from estimator.units.table import Units
from estimator.words import Words
from geometry.edged import EdgedShape
from geometry.message import message
from geometry.picture import PieceView, draw_pieces

_uploading = CapacityLimiter(2)  # each may hold a large file


def routes(screens: Screens) -> list[Route]:
    """Routes of a table of the job file with its keys, and of adding and removing list entries."""

    async def sheet(request: Request) -> Response:
        job, at = screens.job(request), request.query_params.get("at", "")
        new = "new" in request.query_params
        of_piece = await run_in_threadpool(_of_piece, job, path_of(at))
        if of_piece:
            return RedirectResponse(of_piece, 303)
        if at == "piece" and new and "drawing" not in job.table:  # a piece that is in no drawing needs its shape
            return RedirectResponse(f"/jobs/{job.name}/add", 303)
        return await run_in_threadpool(_shown, screens, request, job, at, new)

    async def beside(request: Request) -> Response:
        """Put a file beside a job, and its name at a key of the job: a logo, a font, another drawing."""
        job, at = screens.job(request), request.query_params.get("at", "")
        async with _uploading, request.form(max_files=1, max_fields=2) as sent:
            part = sent.get("file")
            name, content = (part.filename or "", await part.read()) if isinstance(part, UploadFile) else ("", b"")
        above, older = at_of(path_of(at)[:-1]), older_of(job, name)
        if older and value_of(path_of(at), job.table) == older and differs(job.path.parent / older, content):
            key = await run_in_threadpool(screens.uploads.keep, [(name, content)])
            return RedirectResponse(address_of_newer(job, key, older), 303)
        problem = await run_in_threadpool(_put_beside, job, at, name, content)
        if problem:
            return await run_in_threadpool(_shown, screens, request, job, above, False, None, problem)
        return RedirectResponse(f"/jobs/{job.name}/sheet?at={quote(above)}", 303)

    async def save(request: Request) -> Response:
        job = screens.job(request)
        async with request.form() as sent:
            given = joined(sent.multi_items())
        return await run_in_threadpool(_saved, screens, request, job, given)

    return [
        Route("/jobs/{job}/sheet", sheet, name="sheet"),
        Route("/jobs/{job}/sheet", save, methods=["POST"]),
        Route("/upload/{job}", beside, methods=["POST"], name="upload-beside"),
    ]


def joined(sent: Iterable[tuple[str, Any]]) -> dict[str, str]:
    """Fields of a form by name. Boxes of one name are the lines of a list."""
    given: dict[str, str] = {}
    for key, value in sent:
        given[key] = f"{given[key]}\n{value}" if key in given else str(value)
    return given


def _of_piece(job: JobFile, path: KeyPath) -> str:
    """Address of the screen of a piece that a version changes, for a path below that piece; "" for other paths."""
    if not is_version(path[:2]) or path[2:3] != ("piece",) or len(path) < 4:
        return ""
    mark = value_of((*path[:4], "mark"), job.table)
    more = at_of(path[4:])
    return f"/jobs/{job.name}/versions?at={at_of(path[:2])}&change={quote(str(mark), safe='')}" + (
        f"&more={more}" if more and not more.startswith("shape") else ""
    )


def _shown(
    screens: Screens,
    request: Request,
    job: JobFile,
    at: str,
    new: bool,
    given: dict[str, str] | None = None,
    problem: str | FaultError | InputError | OSError = "",
) -> Response:
    """Screen of the keys of one table; with `new`, those of a new entry of a list."""
    kept = job.kept()
    words, sent = kept.words, given or {}
    kind = sent.get("kind") or request.query_params.get("kind")
    path = path_of(at)
    try:
        named = is_named(path, kept.table)
        own = next_of(path, kept.table, sent.get("key") or "new") if new else path
        kinds, now = _kinds(own, kept.table, new=new), str(value_of((*own, "kind"), kept.table) or "")
        is_turned = bool(now) and kind in kinds and kind != now
        parts = list(_parts(own, _turned(own, kept, str(kind)) if is_turned else kept, kind))
    except KeyError:
        raise HTTPException(404) from None
    fields = [part for part in parts if isinstance(part, Field)]
    if not isinstance(problem, str):
        problem = problem_of(problem, words, labels_by_place(fields, kept.table))
    if given is not None:
        parts = [as_given(part, given) if isinstance(part, Field) else part for part in parts]
    value = value_of(path, kept.table)
    return screens.render(
        request,
        "sheet.html",
        422 if problem else 200,
        words=words,
        job=job,
        title=name_of(path, kept.table) if path else job.title,
        help=help_of(path, kept.table),
        at=at,
        way=way_to(path, kept.table),
        new=new,
        named=named,
        is_list=isinstance(value, list) or (named and not new),
        names=_known_names(path, kept.table, words) if named and new else [],
        key=sent.get("key", ""),
        kind=kind if is_turned or not now else now or (kinds[0] if kinds else ""),
        kinds=kinds,
        can_go=bool(path) and value is not None and not new,
        moves=[] if new else named_moves(path, kept.table, words),
        fields=[part for part in parts if isinstance(part, Field) and not (kinds and part.label == "Kind")],
        sections=[] if is_turned else list(_sections(_groups(parts, job, whole=not path), words, whole=not path)),
        shop=note_of(job, words) if isinstance(job, ShopFile) else (),
        **_boxes(path, own, kept, parts, job),
        version=_version(own, kept, job) if is_version(own) else None,
        faults=[str(fault) for fault in kept.faults],
        released=words("revise-add" if is_of_client(path) else "revise-direct") if is_released(kept.table) else "",
        problem=problem,
        files=[part for part in parts if isinstance(part, Field) and not new and path_of(part.at)[-1] in OF_FILES],
    )


def _kinds(path: KeyPath, table: Any, *, new: bool) -> list[str]:
    """Kinds of table to choose from: of a new entry, or of one that stands and can become another."""
    value = value_of(path, table)
    can_turn = isinstance(value, Mapping) and "kind" in value and path[0] not in VERSIONS and not is_part(path, table)
    return kinds_at(path, table) if new or can_turn else []


def _turned(path: KeyPath, kept: Kept, kind: str) -> Kept:
    return replace(kept, table=turned(path, kept.table, kind))


OF_FILES = ("logo", "font", "font_bold", "file")
"""Keys at which a file may be put beside the job."""

EDGES_MM = (110.0, 70.0)
EDGE_KEYS = ("edges", "sides", "raw_edges")


def _edges_to_choose(path: KeyPath, kept: Kept, parts: Sequence[Field | Group]) -> dict[str, Any]:
    """Boxes for the keys that name edges of a piece, by key, and a picture of its edges; none where text says more."""
    fields = [part for part in parts if isinstance(part, Field) and path_of(part.at)[-1] in EDGE_KEYS]
    shape, mark = None, str(value_of((*path[:2], "mark"), kept.table))
    if fields and path[:1] == ("piece",) and kept.estimate is not None:
        cast = (piece.taken.piece for piece in kept.estimate.result.pieces)
        shape = next((piece.shape for piece in cast if folded(piece.mark) == folded(mark)), None)
    if not isinstance(shape, EdgedShape):
        return {"boxes": {}, "picture": ""}
    every, boxes = shape.numbered_edges, {}
    sides = [edge.side for edge in every]
    names = {e.number: str(e.side) if e.side and sides.count(e.side) == 1 else str(e.number) for e in every}
    for field in fields:
        lines = set(filter(None, map(str.strip, field.text.splitlines())))
        if lines <= {*names.values(), *map(str, names), *(str(side) for side in sides if side)}:
            boxes[field.at] = [
                (
                    names[edge.number],
                    kept.words("page-edge", number=str(edge.number), side=edge.side or "none", length_m=edge.length_m),
                    bool({names[edge.number], str(edge.number), str(edge.side)} & lines),
                )
                for edge in every
            ]
    middles = [(str(edge.number), *edge.middle, edge.length_m) for edge in every]
    picture = draw_pieces([PieceView(shape.footprint, [mark], middles)], [], [], EDGES_MM).svg().encode()
    return {"boxes": boxes, "picture": data_uri(picture, "image/svg+xml") if boxes else ""}


def _parts(path: KeyPath, kept: Kept, kind: str | None) -> Iterator[Field | Group]:
    """Keys of a table; in a version, the mixes that it may swap one by one."""
    chosen = kind or next(iter(kinds_at(path, kept.table)), None)
    held = value_of((*path, "kind"), kept.table)
    parts = of_kind(fields_of(path, kept.table, kind=kind), path, chosen if held is None else str(held))
    return parts_with_choices(path, with_required(parts, kept.table, None if held else chosen), kept)


def _boxes(path: KeyPath, own: KeyPath, kept: Kept, parts: Sequence[Field | Group], job: JobFile) -> dict[str, Any]:
    """Boxes for the keys that name edges or pieces, by key, and a picture of the edges."""
    if is_version(own):
        fields = [part for part in parts if isinstance(part, Field)]
        return {"boxes": boxes_of_marks(own, fields, kept, job.path.parent), "picture": ""}
    return _edges_to_choose(path, kept, parts)


def _version(path: KeyPath, kept: Kept, job: JobFile) -> dict[str, Any]:
    """What a version changes, and the pieces that it may change."""
    folder = job.path.parent
    return {
        "at": at_of(path),
        "stands": value_of(path, kept.table) is not None,
        "lines": changes_of(path, kept.table, folder),
        "changed": [str(piece.get("mark")) for piece in value_of((*path, "piece"), kept.table) or ()],
        "pieces": [(mark, f"{mark}, {name}" if name else mark) for mark, name in marks_at(path, kept, folder)],
    }


def _put_beside(job: JobFile, at: str, name: str, content: bytes) -> str:
    """Write a file beside a job and name it at a key; return why not, "" if it was done, and leave nothing then."""
    words, fresh = job.words, None
    try:
        if path_of(at)[-1:] not in [(key,) for key in OF_FILES]:
            raise FaultError("", message("page-no-such-field"))
        known = plain_name(name)
        path = job.path.parent / known
        if differs(path, content):
            raise FaultError("", message("page-file-taken", name=known))
        if not path.exists():
            write_new(path, content)
            fresh = path
        revise(job, [Edit("set", path_of(at), known)])
        fresh = None
    except ReleasedError:
        return words("revise-no-files")
    except (FaultError, InputError, OSError) as error:
        return problem_of(error, words)
    finally:
        if fresh is not None:
            fresh.unlink(missing_ok=True)
    return ""


SECTIONS = (
    ("job", ("job", "client", "business", "sign_off", "scope")),
    ("pieces", ("piece", "drawing", "schedule", "form", "samples")),
    ("mixes", ("mixes", "materials", "stock", "reserve", "lots", "bucket")),
    ("money", ("price", "supplier", "receiving", "option", "alternative", "change")),
    ("shop", ("workshop", "cure", "site")),
)
"""Tables of a job file by subject, as listed on its first screen."""


def _groups(parts: Sequence[Field | Group], job: JobFile, *, whole: bool) -> list[Group]:
    """Tables below the one shown; of the shop's file those that jobs may share."""
    groups = [part for part in parts if isinstance(part, Group)]
    return [group for group in groups if not (whole and job.is_shop) or group.at in CATALOG_SECTIONS]


def _sections(groups: list[Group], words: Words, *, whole: bool) -> Iterator[tuple[str, list[Group]]]:
    """Yield the groups of a screen under their headings; those of the whole file are sorted by subject."""
    if not whole:
        yield "", groups
        return
    for name, keys in SECTIONS:
        yield words(f"page-section-{name}"), [group for key in keys for group in groups if group.at == key]
    rest = {key for _, keys in SECTIONS for key in keys}
    yield "", [group for group in groups if group.at not in rest]


KNOWN = {"mixes": "mixes", "materials": "materials", "stock": "materials", "reserve": "materials", "lots": "materials"}
"""Catalog sections with known names for the entries of a table. They are suggested; others may be typed."""


def _known_names(path: KeyPath, table: Any, words: Words) -> list[str]:
    section = KNOWN.get(str(path[0]), "materials") if path else ""
    own = table.get(section)
    known = {*built_in_catalog(words.units).get(section, {}), *(own if isinstance(own, dict) else {})}
    return sorted(known - set(value_of(path, table) or ()))


def _saved(screens: Screens, request: Request, job: JobFile, given: dict[str, str]) -> Response:
    """Save a submitted form: a new entry, changed keys, or a removed entry."""
    kept = job.kept()
    at, act = given.get("at", ""), given.get("act", "save")
    path = path_of(at)
    try:
        if act == "add" and path[0] in VERSIONS and given.get("change"):
            own = at_of(next_of(path, kept.table, ""))
            return RedirectResponse(_screen_of_change(job, own, given["change"]), 307)
        edits = _edits(path, kept, given, act, is_shop=job.is_shop)
        if edits:
            revise(job, edits, order_of(given))
    except ReleasedError as needed:
        return asked(screens, request, job, given, needed)
    except KeyError:
        raise HTTPException(404) from None
    except ConflictError:
        raise AssertionError from None  # only a single checked field can conflict
    except (FaultError, InputError, OSError) as error:
        return _shown(screens, request, job, at, act == "add", given, error)
    if path[:1] == ("piece",) and len(path) == 2 and act in (COPY, *MOVES, "remove"):
        return done(job, given, _address_after(job, path, act))
    path = (*path[:-1], path[-1] + MOVES[act]) if act in MOVES and isinstance(path[-1], int) else path
    back = at_of(path[:-1]) if act == "remove" else at_of(path)
    while back and value_of(path_of(back), job.kept().table) is None:
        back = at_of(path_of(back)[:-1])
    if back and isinstance(value_of(path_of(back), job.kept().table), list):
        back = at_of(path_of(back)[:-1])
    address = f"{request.url.path}?at={quote(back)}" if back else request.url.path
    if act == "add" and path[:1] == ("piece",) and len(path) > 2:  # its effect is on the drawing
        address = address_of_piece(job, str(value_of((*path[:2], "mark"), job.table)))
    return done(job, given, address)


COPY = "copy"
MOVES = {"up": -1, "down": 1}
"""Acts that move an entry of a list, with the places that it moves by."""


def moves_of(path: KeyPath, table: Any) -> list[str]:
    """Acts that move the entry at a path: of a list that stands in an order of its owner's choice."""
    siblings = value_of(path[:-1], table) if path else None
    if not isinstance(siblings, list) or path[0] == "change" or (is_of_client(path) and is_released(table)):
        return []
    return [act for act, by in MOVES.items() if 0 <= int(path[-1]) + by < len(siblings)]


def named_moves(path: KeyPath, table: Any, words: Words) -> list[tuple[str, str]]:
    """Acts that move the entry at a path, each with its name."""
    return [(act, words(f"page-move-{act}")) for act in moves_of(path, table)]


def _move(path: KeyPath, table: Any, act: str) -> Edit:
    """Edit that moves an entry of a list by one place. Raises KeyError if it cannot move there."""
    if act not in moves_of(path, table):
        raise KeyError(act)
    return Edit("move", path, int(path[-1]) + MOVES[act])


def _copied(path: KeyPath, table: Any) -> dict[str, Any]:
    """Copy of a piece with the next mark. Its legs and splashes get theirs from it. Raises KeyError for another entry.

    The marks that its legs and splashes have of their own are those of the first piece.
    """
    piece = value_of(path, table)
    if path[:1] != ("piece",) or len(path) != 2 or not isinstance(piece, dict):
        raise KeyError(COPY)
    shape = piece.get("shape", {})
    joined = {key: [_without_mark(part) for part in shape[key]] for key in ("waterfalls", "splashes") if key in shape}
    return {
        **piece,
        "mark": next_mark(table, str(piece.get("mark", ""))),
        **({"shape": shape | joined} if joined else {}),
    }


def _without_mark(part: Mapping[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in part.items() if key != "mark"}


def next_mark(table: Mapping[str, Any], like: str) -> str:
    """Next mark: the letters of a mark with the first free number."""
    stem = (like or "C1").rstrip("0123456789") or "C"
    taken = {folded(str(piece.get("mark", ""))) for piece in table.get("piece", []) if isinstance(piece, dict)}
    number = 1
    while folded(f"{stem}{number}") in taken:
        number += 1
    return f"{stem}{number}"


def _address_after(job: JobFile, path: KeyPath, act: str) -> str:
    """Desk with the piece that was copied or moved, or with the one beside a piece that is gone."""
    pieces = job.table.get("piece", [])
    at = len(pieces) - 1 if act == COPY else int(path[1]) + MOVES.get(act, 0)
    return address_of_piece(job, str(pieces[min(at, len(pieces) - 1)]["mark"])) if pieces else f"/jobs/{job.name}"


NEW_PIECE = "+"
"""Choice of a piece to add, among the marks of those that a version may change."""


def _screen_of_change(job: JobFile, at: str, change: str) -> str:
    """Address of the screen that enters what a new version changes: a piece by its mark, or a new piece."""
    if change == NEW_PIECE:
        return f"/jobs/{job.name}/add?at={at}/add"
    return f"/jobs/{job.name}/versions?at={at}&change={quote(change, safe='')}"


def _edits(path: KeyPath, kept: Kept, given: dict[str, str], act: str, *, is_shop: bool) -> list[Edit]:
    table, words = kept.table, kept.words
    if act == "remove":
        siblings = value_of(path[:-1], table)
        return [Edit("remove", path[:-1] if isinstance(siblings, list) and len(siblings) == 1 else path)]
    if act in (COPY, *MOVES):
        return [Edit("add", path[:1], _copied(path, table))] if act == COPY else [_move(path, table, act)]
    if act == "add":
        kind = given.get("kind") or None
        own = next_of(path, table, given.get("key", "").strip())
        fields = [part for part in _parts(own, kept, kind) if isinstance(part, Field)]
        if [field.at for field in fields] == [at_of(own)]:
            return [Edit("set", own, typed(given.get(fields[0].at, ""), fields[0]))]
        entry = entry_of_form(own, fields, given) | ({"kind": kind} if kind else {})
        entry = _with_origin(own, entry, words.units, whole=is_shop)
        added = Edit("set", own, entry) if isinstance(own[-1], str) else Edit("add", path, entry)
        return edits_with_origins([added], table, words.units, whole=is_shop)
    kind, now = given.get("kind", ""), value_of((*path, "kind"), table) if path else None
    is_turned = now not in (None, kind) and kind in _kinds(path, table, new=False)
    kept = _turned(path, kept, kind) if is_turned else kept
    fields = [part for part in _parts(path, kept, None) if isinstance(part, Field)]
    edits = edits_of(fields, given, kept.table, words.units, whole=is_shop)
    return [Edit("set", path, value_of(path, reduce(changed, edits, kept.table)))] if is_turned else edits


def entry_of_form(path: KeyPath, fields: Iterable[Field], given: Mapping[str, str]) -> dict[str, Any]:
    """Table at a path from the texts typed into its fields. Raises FaultError."""
    entry: dict[str, Any] = {}
    for field in fields:
        value = typed(given.get(field.at, ""), field)
        if value is not None:
            entry = changed(entry, Edit("set", path_of(field.at)[len(path) :], value))
    return entry


WAS = "was/"
"""Before the name of a field: the value that the form was made with, which it sends along."""


def edits_of(
    fields: Sequence[Field], given: Mapping[str, str], table: Any, units: Units, *, whole: bool = False
) -> list[Edit]:
    """Edits that set the fields of a form to the typed values.

    What others changed in other fields meanwhile stays. When the first key of a catalog mix is entered, the mix is
    based on the catalog's; with `whole`, all of the catalog's is written, since the shop's file replaces it.

    Raises FaultError for a field that somebody else changed too.
    """
    edits = []
    for field in fields:
        held, text = _plain(field.text), _plain(typed_into(field.at, field.text, given))
        if text == held:
            continue
        if _plain(given.get(WAS + field.at, held)) != held:
            raise FaultError("", message("page-changed-too", label=field.label, theirs=held or "–", yours=text or "–"))
        value, at = typed(text, field), path_of(field.at)
        edits.append(Edit("remove", at) if value is None else Edit("set", at, value))
    return edits_with_origins(edits, table, units, whole=whole)


def _plain(text: str) -> str:
    """Text of a field as compared: a browser sends other line ends."""
    return text.replace("\r\n", "\n").strip()


def edits_with_origins(edits: Sequence[Edit], table: Any, units: Units, *, whole: bool = False) -> list[Edit]:
    """Edits, preceded by those that start new mixes from the catalog mixes of the same name."""
    known, own = built_in_catalog(units)["mixes"], table.get("mixes", {})
    names = dict.fromkeys(edit.at[1] for edit in edits if edit.at[0] == "mixes" and len(edit.at) > 2)
    fresh = [name for name in names if name in known and name not in own]
    if whole:
        return [*(Edit("set", ("mixes", name), known[name]) for name in fresh), *edits]
    return [*(Edit("set", ("mixes", name, "based_on"), name) for name in fresh), *edits]


def _with_origin(path: KeyPath, entry: dict[str, Any], units: Units, *, whole: bool) -> dict[str, Any]:
    """Entry of a new mix, started from the catalog mix of its name unless it gives its own proportions."""
    known = built_in_catalog(units)["mixes"].get(path[1]) if len(path) == 2 and path[0] == "mixes" else None
    if known is None or set(entry) & {"based_on", *FORMS}:
        return entry
    return {**known, **entry} if whole else {"based_on": path[1], **entry}


def as_given(field: Field, given: Mapping[str, str]) -> Field:
    """Field with the text typed into it."""
    return replace(field, text=typed_into(field.at, field.text, given), held=field.text)


def typed_into(at: str, held: str, given: Mapping[str, str]) -> str:
    """Text typed into a field; what the file holds if nothing was, also where that has changed since."""
    text = given.get(at, held)
    return held if _plain(text) == _plain(given.get(WAS + at, held)) else text


def way_to(path: KeyPath, table: Any) -> list[tuple[str, str]]:
    """Path and name of each table above one, for the breadcrumb line."""
    return [(at_of(path[: number + 1]), name_of(path[: number + 1], table)) for number in range(len(path))]
