"""The files that a job uses, and newer ones in their place: a revised drawing, model or schedule.

A newer file does not overwrite the older one: it stands beside it under a name of its own, and the job file names it.
So undo brings the older one back, and a quote sent before still stands on it.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from functools import reduce
from math import isclose
from pathlib import Path
from typing import Any
from urllib.parse import quote

from anyio import CapacityLimiter
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from estimator.api import Estimate
from estimator.disk import write_new
from estimator.draft import picture_of
from estimator.errors import FaultError, InputError
from estimator.estimate import PieceEstimate
from estimator.intake.drawing_tables import DrawingTable
from estimator.intake.drawings import accepted, layers_of
from estimator.intake.edit import Edit, KeyPath, changed, edited
from estimator.intake.faults import validate
from estimator.intake.limits import raised_by
from estimator.intake.seen import seen_name
from estimator.intake.shape_files import pieces_of
from estimator.names import folded
from estimator.page.fields import value_of
from estimator.page.orders import is_released
from estimator.page.screen import Screens, data_uri, problem_of, standing
from estimator.page.shelf import FILE_KEYS, JobFile, Kept, differs, sound, table_of
from estimator.page.uploads import FROM_STRANGERS, Choice, choices_of, looked_at, plain_name
from estimator.words import Words
from geometry.errors import UNIT_M
from geometry.files import read_bytes
from geometry.frozen import frozen
from geometry.message import message
from geometry.readers.pieces import Layers
from geometry.readers.sheet import Names

_uploading = CapacityLimiter(2)  # each may hold a large file

NAMING = (FILE_KEYS | {"from"}) - {"catalog"}
"""Keys at which a newer file takes the place of an older one. The shop's own catalog has a screen of its own."""

NUMBERED = re.compile(r"(?P<stem>.+)-(?P<number>[1-9]\d{0,3})")
UNITS_APART = 0.03
"""Sizes whose ratio is that of two units within this share are asked about: a revision rarely grows 25.4 times."""


@frozen
class Question:
    """The unit of a newer file, where it may not be that of the older one.

    text     why it is asked
    own      unit that the file itself states; "" if none
    choices  its size in each unit
    """

    text: str
    own: str
    choices: tuple[Choice, ...]


@frozen
class Row:
    """A piece that a newer file changes: its size, area and weight before and after; "" for one that is not there."""

    mark: str
    was: tuple[str, str, str]
    becomes: tuple[str, str, str]


def routes(screens: Screens) -> list[Route]:
    """Routes of the files of a job, and of a newer file: what it changes, and putting it in."""

    async def files(request: Request) -> Response:
        return await run_in_threadpool(_files, screens, request, screens.job(request), "")

    async def send(request: Request) -> Response:
        """Keep a newer file, and show what it changes."""
        job, old = screens.job(request), request.query_params.get("file", "")
        async with _uploading, request.form(max_files=1, max_fields=2) as sent:
            part = sent.get("newer")
            named = (part.filename or "", await part.read()) if isinstance(part, UploadFile) else None
        try:
            key = await run_in_threadpool(screens.uploads.keep, [named] if named and named[0] else [])
        except (FaultError, OSError) as error:
            problem = problem_of(error, job.words)
            return await run_in_threadpool(_files, screens, request, job, problem)
        return RedirectResponse(address_of_newer(job, key, old), 303)

    async def newer(request: Request) -> Response:
        job, given = screens.job(request), dict(request.query_params)
        if request.method == "POST":
            async with request.form() as sent:
                given |= {name: str(value) for name, value in sent.items()} | {"act": "save"}
        return await run_in_threadpool(_newer, screens, request, job, given)

    return [
        Route("/jobs/{job}/files", files, name="files"),
        Route("/upload/{job}/newer", send, methods=["POST"], name="send-newer"),
        Route("/jobs/{job}/newer/{key}", newer, methods=["GET", "POST"], name="newer"),
    ]


def address_of_newer(job: JobFile, key: str, old: str) -> str:
    """Address of the screen that shows what an uploaded file changes in the place of an older one."""
    return f"/jobs/{job.name}/newer/{key}?file={quote(old, safe='')}"


def older_of(job: JobFile, name: str) -> str:
    """File of a job that a file of this name is a newer state of: of the same name, or of that with a number; or ""."""
    wanted = name.casefold()
    for used in dict.fromkeys(value for _, value in places_of(job.table)):
        path = Path(used)
        numbered = NUMBERED.fullmatch(path.stem)
        first = f"{numbered['stem']}{path.suffix}" if numbered else used
        if path.name == used and wanted in (used.casefold(), first.casefold()):
            return used
    return ""


def places_of(table: Any, at: KeyPath = ()) -> Iterator[tuple[KeyPath, str]]:
    """Yield where a job file names files, and the names."""
    if isinstance(table, list):
        for number, part in enumerate(table):
            yield from places_of(part, (*at, number))
    elif isinstance(table, dict):
        for key, part in table.items():
            if key in NAMING and isinstance(part, str):
                yield (*at, key), part
            else:
                yield from places_of(part, (*at, key))


def _files(screens: Screens, request: Request, job: JobFile, problem: str) -> Response:
    """Screen of the files that a job uses."""
    kept = job.kept()
    used: dict[str, list[str]] = {}
    for at, name in places_of(kept.table):
        marks = used.setdefault(name, [])
        mark = value_of((*at[:2], "mark"), kept.table) if at[0] == "piece" else None
        if mark and str(mark) not in marks:
            marks.append(str(mark))
    return screens.render(
        request, "files.html", 422 if problem else 200, words=kept.words, job=job, problem=problem,
        files=[(name, kept.words.series(marks)) for name, marks in used.items()], released=is_released(kept.table),
    )  # fmt: skip


def _newer(screens: Screens, request: Request, job: JobFile, given: Mapping[str, str]) -> Response:
    """Screen of what a newer file changes; puts it in if that was asked for."""
    kept, before = standing(job)
    words, old, unit = kept.words, given.get("file", ""), given.get("unit", "")
    try:
        [path] = screens.uploads.files(request.path_params["key"])
    except (KeyError, ValueError):
        raise HTTPException(404) from None
    if old not in {name for _, name in places_of(kept.table)}:
        raise HTTPException(404)
    shown: dict[str, Any] = {"old": old, "unit": unit, "question": None, "gone": (), "rows": (), "price": None}
    shown |= {"leave": given.get("leave", ""), "can_save": False, "notes": (), "picture": ""}
    problem = ""
    try:
        if is_released(kept.table):
            raise FaultError("", message("revise-no-files"))
        change = _Change(job, kept, old, path, unit, bool(given.get("leave")))
        shown |= {"notes": change.incoming.notes, "question": change.question}
        if change.picture:
            shown["picture"] = data_uri(change.picture, "image/svg+xml")
        if change.question is None or unit:
            if given.get("act") == "save":
                change.save()
                screens.uploads.drop(request.path_params["key"])
                return RedirectResponse(f"/jobs/{job.name}", 303)
            shown["gone"] = change.gone
            after = change.tried()
            shown |= {"rows": tuple(_rows(before, after, words)), "can_save": True}
            shown["price"] = tuple(words.price(each.result.cost.price) for each in (before, after))
    except (FaultError, InputError, OSError) as error:
        problem = problem_of(error, words)
    return screens.render(
        request, "newer.html", 422 if problem else 200, words=words, job=job, problem=problem, name=path.name, **shown
    )


def _rows(before: Estimate, after: Estimate, words: Words) -> Iterator[Row]:
    """Yield the pieces whose size, area or weight a newer file changes."""

    def texts(piece: PieceEstimate | None) -> tuple[str, str, str]:
        if piece is None:
            return "", "", ""
        taken = piece.taken
        weight = words.mass(piece.weight.lift_kg, up=True)
        return words.size(taken.solid.size_m), words.area(taken.plan.gross_m2), weight

    pieces = [{piece.taken.piece.mark: piece for piece in each.result.pieces} for each in (before, after)]
    for mark in dict.fromkeys((*pieces[0], *pieces[1])):
        was, becomes = (texts(each.get(mark)) for each in pieces)
        if was != becomes:
            yield Row(mark, was, becomes)


class _Change:
    """A newer file in the place of an older one."""

    def __init__(self, job: JobFile, kept: Kept, old: str, path: Path, unit: str, leave: bool) -> None:
        """Read the newer file in a child process.

        old    file as the job names it
        path   newer file, kept apart
        unit   unit in which it counts, as answered
        leave  whether pieces that it lacks are left out of the job

        Raises FaultError for a file that cannot be read or that the job has already, and for an unknown unit.
        """
        self.job, self.kept, self.old, self.unit, self.leave = job, kept, old, unit, leave
        self.folder, self.content = job.path.parent, read_bytes(path)
        if (self.folder / old).is_file() and not differs(self.folder / old, self.content):
            raise FaultError("", message("newer-same", name=old))
        if unit and unit not in UNIT_M:
            raise FaultError("", message("newer-no-unit"))
        self.name = self._free_name(plain_name(path.name))
        self.parents = [at[:-1] for at, name in places_of(kept.table) if name == old and at[-1] == "file"]
        self.layers = self._layers()
        self.incoming = looked_at(path, None, self.layers)
        if not self.incoming.sound and self.incoming.pages < 2:
            raise FaultError("", message("newer-unreadable", name=path.name, reason=" ".join(self.incoming.notes)))
        self.question = self._question()
        self.picture = self._picture(path)

    def _layers(self) -> Layers:
        """What the layers of the older drawing hold, which counts for the newer one too."""
        for at in self.parents:
            table = value_of(at, self.kept.table)
            if at[0] == "drawing":
                settings = validate(DrawingTable, table, "", "", [])
                return Layers() if settings is None else layers_of(settings, self.kept.table.get("piece", []))
            if table.get("layer"):
                return Layers(pieces=Names((str(table["layer"]),)))
        return Layers()

    def _free_name(self, name: str) -> str:
        """Name that the file gets: its own, or with the first number that no other file has."""
        path = Path(name)
        numbered = NUMBERED.fullmatch(path.stem)
        stem, number = (numbered["stem"], int(numbered["number"])) if numbered else (path.stem, 1)
        while self._is_taken(name):
            number += 1
            name = f"{stem}-{number}{path.suffix}"
        return name

    def _is_taken(self, name: str) -> bool:
        there = self.folder / name
        return differs(there, self.content) or (not there.exists() and (self.folder / seen_name(name)).exists())

    def _question(self) -> Question | None:
        """Question for the unit of the file; None if it is that of the older one."""
        new, words = self.incoming, self.kept.words
        if new.kind is None or not new.size:
            return None
        given = next((str(unit) for at in self.parents if (unit := value_of((*at, "unit"), self.kept.table))), "")
        own = next((unit for unit, unit_m in UNIT_M.items() if isclose(unit_m, new.unit_m)), "")
        in_file = tuple(side / UNIT_M[own] for side in new.size) if own else new.size
        choices = tuple(choices_of(in_file))
        drawn = {name: words("page-drawn-in", unit=unit) for name, unit in (("own", own), ("given", given))}
        if own and given and given != own:
            return Question(words("newer-other-unit", **drawn), own, choices)
        if not own and not new.unitless:
            return None
        if not own and not given:
            return Question(words("newer-names-none"), "", choices)
        if not own and self._is_grown_like_a_unit():
            return Question(words("newer-grown", given=drawn["given"]), "", choices)
        return None

    def _is_grown_like_a_unit(self) -> bool:
        """Whether the sizes in the two files, neither of which names its unit, differ as two units do."""
        path = self.folder / self.old
        before = looked_at(path, None, self.layers).size if path.is_file() else ()
        if not before:
            return False
        ratio = max(self.incoming.size) / max(before)
        apart = {first / second for first in UNIT_M.values() for second in UNIT_M.values() if first != second}
        return any(isclose(ratio, unit_ratio, rel_tol=UNITS_APART) for unit_ratio in apart)

    def _picture(self, path: Path) -> bytes:
        """Picture of what is read from a drawing; empty for other files, and while its unit is not known."""
        given = next((str(unit) for at in self.parents if (unit := value_of((*at, "unit"), self.kept.table))), "")
        unit = self.unit or ("" if self.question else given)
        if self.incoming.kind != "drawing" or self.incoming.picture or not unit:
            return self.incoming.picture
        with suppress(FaultError), raised_by(FROM_STRANGERS):
            return picture_of(pieces_of(path, UNIT_M[unit], self.layers, None, "leave-out"), self.kept.words)
        return b""

    @property
    def gone(self) -> tuple[str, ...]:
        """Marks of pieces of the job that the newer drawing lacks. Raises InputError if it cannot be read."""
        if not any(at[:1] == ("drawing",) for at in self.parents):
            return ()
        with self._beside(self._trial):
            return self._marks(self._trial)[0]

    @property
    def _trial(self) -> str:
        """Name under which the file stands beside the job while it is tried; no screen looks at hidden files."""
        return f".newer-{self.name}"

    def tried(self) -> Estimate:
        """Estimate of the job with the newer file; leaves nothing behind. Raises InputError, FaultError, OSError."""
        with self._beside(self._trial), raised_by(FROM_STRANGERS):
            return sound(edited(self.kept.content, self._edits(self._trial)), self.job.path)

    def save(self) -> None:
        """Put the newer file beside the job and into its file; leave nothing behind if that fails.

        Raises InputError if the job would be invalid, FaultError, OSError.
        """
        with self._beside(self.name) as keep:
            edits = self._edits(self.name)
            after = table_of(edited(self.kept.content, edits))
            seen = accepted(after, self.folder, self.job.path.name).get(self.folder / seen_name(self.name))
            if seen is not None:
                write_new(self.folder / seen_name(self.name), seen)
            self.job.edit(edits, now=self.kept)
            keep()

    @contextmanager
    def _beside(self, name: str) -> Iterator[Callable[[], None]]:
        """Write the file beside the job under a name, with what was accepted of the older one; yield how to keep it."""
        files = {name: self.content}
        if self.incoming.kind == "drawing":
            with suppress(InputError):
                before = accepted(self.kept.table, self.folder, self.job.path.name)
                record = before.get(self.folder / seen_name(self.old))
                if record is not None:
                    files[seen_name(name)] = json.dumps({**json.loads(record), "file": name}).encode()
            if self.picture and not name.startswith("."):
                files[f"{Path(name).stem}.seen.svg"] = self.picture
        fresh = [self.folder / each for each in files if not (self.folder / each).exists()]
        try:
            for path in fresh:
                write_new(path, files[path.name])
            yield fresh.clear
        finally:
            for path in fresh:
                path.unlink(missing_ok=True)

    def _marks(self, name: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """Marks of the pieces that a drawing lacks, and of those that it adds to a job that lists all of them."""
        table = self.kept.table
        own = [str(piece.get("mark")) for piece in table.get("piece", []) if piece.get("from") == self.old]
        before, after = self._drawn(table, self.old), self._drawn(reduce(changed, self._renamed(name), table), name)
        had, has = ({folded(mark) for mark in marks} for marks in (before, after))
        gone = tuple(mark for mark in own if folded(mark) in had - has)
        listed = had <= {folded(mark) for mark in own}
        return gone, tuple(mark for mark in after if listed and folded(mark) not in had)

    def _drawn(self, table: dict[str, Any], name: str) -> list[str]:
        """Marks in a drawing of a job. Raises InputError."""
        record = accepted(table, self.folder, self.job.path.name).get(self.folder / seen_name(name))
        return [str(piece["mark"]) for piece in json.loads(record)["pieces"]] if record is not None else []

    def _unit_of(self, table: Mapping[str, Any]) -> dict[str, str]:
        """Unit that a table that names the file gets. Raises FaultError if it counts for plain numbers too."""
        given, own = table.get("unit"), self.question.own if self.question else ""
        if not self.unit or given == self.unit or (given is None and own == self.unit):
            return {}
        if given is not None and any(_plain_numbers(table)):
            raise FaultError("", message("newer-plain-numbers", unit=str(given)))
        return {"unit": self.unit}

    def _renamed(self, name: str) -> list[Edit]:
        """Edits that name the newer file wherever the older one is named, with its unit. Raises FaultError."""
        table = self.kept.table
        edits = [Edit("set", at, name) for at, used in places_of(table) if used == self.old]
        for at in self.parents:
            edits += [Edit("set", (*at, "unit"), unit) for unit in self._unit_of(value_of(at, table)).values()]
        return edits

    def _edits(self, name: str) -> list[Edit]:
        """Edits of the job file that put the newer file in under a name. Raises InputError, FaultError."""
        edits, table = self._renamed(name), self.kept.table
        if not any(at[:1] == ("drawing",) for at in self.parents):
            return edits
        gone, fresh = self._marks(name)
        if self.leave:
            marks = [str(piece.get("mark")) for piece in table.get("piece", [])]
            edits += [Edit("remove", ("piece", at)) for at in reversed(range(len(marks))) if marks[at] in gone]
        return edits + [Edit("add", ("piece",), {"mark": mark, "from": name}) for mark in fresh]


NO_LENGTHS = ("page", "quantity")


def _plain_numbers(value: Any) -> Iterator[float]:
    """Yield the numbers without a unit in a table, which its `unit` counts for."""
    parts = value.items() if isinstance(value, Mapping) else enumerate(value) if isinstance(value, list) else ()
    for key, part in parts:
        if isinstance(part, int | float) and not isinstance(part, bool) and key not in NO_LENGTHS:
            yield part
        yield from _plain_numbers(part)
