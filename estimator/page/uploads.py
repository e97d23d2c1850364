"""Uploaded files, kept apart from the jobs until the user has said what they are."""

from __future__ import annotations

import re
import shutil
import time
from collections.abc import Iterable
from contextlib import ExitStack, suppress
from dataclasses import replace
from math import dist, prod
from pathlib import Path
from secrets import token_hex
from typing import Any

import numpy as np

from estimator.disk import write_new
from estimator.draft import Draft, FileKind, Request, draft_of, kind_of, picture_of
from estimator.errors import FaultError, InputError
from estimator.intake.drawings import edge_layers, summary_of
from estimator.intake.limits import raised_by
from estimator.intake.read import pieces_of_schedules
from estimator.intake.schedule import BARE
from estimator.intake.shape_files import mesh_of, pieces_of
from estimator.scratch import scratch_folder
from estimator.units import read_quantity
from estimator.units.table import Units
from estimator.words import PLAIN, Words
from geometry.errors import UNIT_M
from geometry.files import MOST_NAME, InputFile, Paper, input_file
from geometry.frozen import frozen
from geometry.message import message
from geometry.numbers import decimal_number
from geometry.readers.pieces import Layers
from geometry.repair import Repair

MOST_PREVIEWS = 40  # pages of a document that are shown as pictures
MOST_FILES, MOST_KEPT, KEPT_S = 20, 20, 24 * 3600.0
FROM_STRANGERS = ("apart_mb=0",)
"""Every uploaded file is read in a child process."""

UNITS = ("in", "ft", "mm", "cm", "m")
RESERVED = frozenset({"con", "prn", "aux", "nul"})


@frozen
class Incoming:
    """One uploaded file: its kind and its size.

    size      size of its largest piece, in file units if the file has no unit, otherwise in meters
    unitless  whether the user must give its unit
    units     units in which its size is shown
    notes     summary of what was read, or why it cannot be read
    sheet     drawing on paper whose scale the user must give
    pages     pages of a document of several, of which the user must choose one
    page      page that was chosen
    picture   what was read from a drawing, as SVG
    edges     layers with lines along edges, and the marks of the pieces
    previews  pictures of its pages, as PNG
    unit_m    its own unit, m; 0 if it names none
    open_edges  open edges of a model that filling its flat holes would close
    """

    name: str
    kind: FileKind | None
    size: tuple[float, ...]
    unitless: bool
    notes: tuple[str, ...]
    sound: bool
    units: Units = "imperial"
    sheet: PaperSheet | None = None
    pages: int = 1
    page: int | None = None
    picture: bytes = b""
    edges: tuple[tuple[str, tuple[str, ...]], ...] = ()
    previews: tuple[bytes, ...] = ()
    unit_m: float = 0.0
    open_edges: int = 0


@frozen
class PaperSheet:
    """A drawing as it lies on its page: what is shown for two points to be marked on it.

    box    of the picture, mm of the page, y down
    lines  its outlines as SVG path data in that box
    """

    box: str
    lines: str


class Uploads:
    """Files waiting for answers, each upload in its own folder outside the shop's folder.

    A context manager: the temporary folder is removed at exit.
    """

    def __init__(self) -> None:
        self._running = ExitStack()
        self._folder: Path | None = None

    def __enter__(self) -> Uploads:
        self._folder = self._running.enter_context(scratch_folder())
        return self

    def __exit__(self, *_: object) -> None:
        self._running.close()

    @property
    def folder(self) -> Path:
        """Folder of the uploads."""
        assert self._folder is not None
        return self._folder

    def keep(self, files: Iterable[tuple[str, bytes]]) -> str:
        """Store uploaded files; return their key. Raises FaultError for an invalid name, OSError."""
        named = [(plain_name(name), content) for name, content in files]
        if not named:
            raise FaultError("", message("page-no-files"))
        if len({name.casefold() for name, _ in named}) < len(named):
            raise FaultError("", message("page-names-alike"))
        self._clear()
        key = token_hex(16)
        lot = self.folder / key
        lot.mkdir()
        for name, content in named:
            write_new(lot / name, content)
        return key

    def files(self, key: str) -> list[Path]:
        """Files of an upload. Raises KeyError."""
        lot = self.folder / key
        if not re.fullmatch(r"[0-9a-f]{32}", key) or not lot.is_dir():
            raise KeyError(key)
        return sorted(lot.iterdir())

    def drop(self, key: str) -> None:
        """Delete an upload. Raises KeyError."""
        self.files(key)
        shutil.rmtree(self.folder / key, ignore_errors=True)

    def _clear(self) -> None:
        """Delete abandoned uploads."""
        lots = sorted(self.folder.iterdir(), key=lambda lot: lot.stat().st_mtime_ns)
        old = time.time() - KEPT_S
        for number, lot in enumerate(lots):
            if lot.stat().st_mtime < old or number <= len(lots) - MOST_KEPT:
                shutil.rmtree(lot, ignore_errors=True)


def plain_name(name: str) -> str:
    """Last part of a file name sent by a browser. Raises FaultError for a name that is not plain."""
    last = name.replace("\\", "/").rpartition("/")[2].strip()
    stem = last.partition(".")[0].casefold()
    if not last.isprintable() or last.startswith(".") or not stem or stem in RESERVED or re.search(r'[<>:"|?*]', last):
        raise FaultError("", message("page-name-refused", name=last or name))
    if len(last.encode()) > MOST_NAME // 2 or last.casefold().endswith(".toml"):
        raise FaultError("", message("page-name-refused", name=last))
    return last


def looked_at(path: Path, page: int | None = None, layers: Layers | None = None) -> Incoming:
    """Kind and content of a file, read in a child process.

    page    page to read of a document of several; 1 or more
    layers  what the layers of a drawing hold, as far as that is known
    """
    kind = kind_of(path)
    try:
        with raised_by(FROM_STRANGERS):
            if kind == "drawing":
                return _page_of(path, page, layers or Layers())
            if kind == "mesh":
                return _mesh(path)
            if kind == "table":
                return _table(path)
    except FaultError as error:
        text = f"{PLAIN.text(error.message)} {PLAIN.text(error.message, 'fix')}".strip()
        return Incoming(path.name, kind, (), False, (text,), False)
    return Incoming(path.name, None, (), False, (PLAIN("page-file-unknown"),), False)


def _page_of(path: Path, page: int | None, layers: Layers) -> Incoming:
    """Drawing in a file; of a document of several pages that on one of them. Raises FaultError."""
    try:
        return _drawing(path, None, layers)
    except FaultError as error:
        if error.message.id != "pdf-pages":
            raise
        pages = int(dict(error.message.values)["pages"])
        if page is None:
            return Incoming(path.name, "drawing", (), False, (), False, pages=pages, previews=_previews(path))
    try:
        return replace(_drawing(path, page, layers), pages=pages, page=page, previews=_previews(path))
    except FaultError as error:
        text = f"{PLAIN.text(error.message)} {PLAIN.text(error.message, 'fix')}".strip()
        failed = Incoming(path.name, "drawing", (), False, (text,), False, pages=pages, page=page)
        return replace(failed, previews=_previews(path))


def _previews(path: Path) -> tuple[bytes, ...]:
    """Pictures of the first pages of a document; none if they cannot be drawn."""
    from geometry.readers.pdf import page_pictures

    with suppress(FaultError):
        return tuple(page_pictures(InputFile(path.name, path), MOST_PREVIEWS))
    return ()


def _drawing(path: Path, page: int | None, layers: Layers) -> Incoming:
    unitless = False
    file = path if page is None else InputFile(path.name, path, paper=Paper(None, page))
    try:
        drawing = pieces_of(file, None, layers, None, "leave-out")
    except FaultError as error:
        if error.message.id == "pdf-no-scale":
            return _sheet(path, page, PLAIN.text(error.message))
        if error.message.id != "drawing-no-unit":
            raise
        unitless, drawing = True, pieces_of(file, UNIT_M["in"], layers, None, "leave-out")
    largest = max(drawing.pieces, key=lambda piece: piece.region.area_m2).region.size_m
    size = tuple(side / UNIT_M["in"] for side in largest) if unitless else tuple(largest)
    units: Units = "imperial" if drawing.unit_m in (UNIT_M["in"], UNIT_M["ft"]) else "metric"
    along = edge_layers(input_file(file), UNIT_M["in"] if unitless else None, drawing)
    picture = b"" if unitless else picture_of(drawing, replace(PLAIN, units=units))
    return Incoming(
        path.name, "drawing", size, unitless, (PLAIN.text(summary_of(drawing)),), True, units, picture=picture,
        edges=tuple(along.items()), unit_m=0.0 if unitless else drawing.unit_m,
    )  # fmt: skip


def _sheet(path: Path, page: int | None, note: str) -> Incoming:
    """A drawing on paper without a scale, at the size of its page. Raises FaultError."""
    drawing = pieces_of(InputFile(path.name, path, paper=Paper(1.0, page)), None, Layers(), None, "number")
    regions = [piece.region for piece in drawing.pieces] + [piece for each in drawing.pieces for piece in each.copies]
    rings = [1000.0 * ring.points for region in regions for ring in (region.outer, *region.holes)]
    low, high = (
        np.min([ring.min(axis=0) for ring in rings], axis=0),
        np.max([ring.max(axis=0) for ring in rings], axis=0),
    )
    places = [np.column_stack([ring[:, 0] - low[0], high[1] - ring[:, 1]]) for ring in rings]
    lines = "".join("M" + "L".join(f"{x:.3f} {y:.3f}" for x, y in ring) + "Z" for ring in places)
    wide, high_mm = (high - low).tolist()
    sheet = PaperSheet(f"0 0 {wide:.3f} {high_mm:.3f}", lines)
    return Incoming(path.name, "drawing", (), False, (note,), True, "metric", sheet)


def scale_of(first: str, second: str, distance: str) -> str:
    """The scale of a page from two points on it, mm, and how far apart they truly are. Raises FaultError.

    >>> scale_of("0, 0", "120, 0", "2.4 m")
    '1:20'
    """
    points = []
    for text in (first, second):
        try:
            x, y = (decimal_number(part) for part in text.split(","))
        except ValueError:
            raise FaultError("", message("page-no-point", text=text)) from None
        points.append((x, y))
    on_page_m = dist(*points) / 1000.0
    true_m = read_quantity(distance, "length")
    if on_page_m <= 0.0 or true_m <= 0.0:
        raise FaultError("", message("page-points-alike"))
    return f"1:{true_m / on_page_m:.8g}"


def _mesh(path: Path) -> Incoming:
    """A model; one with flat holes as it is once they are filled. Raises FaultError."""
    try:
        return _closed(path, None)
    except FaultError as error:
        if error.message.id != "mesh-open-edges":
            raise
        return replace(_closed(path, "fill"), open_edges=int(dict(error.message.values)["count"]))


def _closed(path: Path, repair: Repair | None) -> Incoming:
    unitless = False
    try:
        measure = mesh_of(path, None, repair)
    except FaultError as error:
        if error.message.id != "mesh-no-unit":
            raise
        unitless, measure = True, mesh_of(path, UNIT_M["in"], repair)
    size = tuple(side / UNIT_M["in"] if unitless else side for side in measure.size_m)
    tells_sizes = unitless and repair is not None  # of what is filled, in a unit that nobody has named yet
    notes = () if tells_sizes else tuple(PLAIN.text(problem) for problem in measure.problems)
    unit_m = 0.0 if unitless else measure.unit_m
    return Incoming(path.name, "mesh", size, unitless, notes, True, "metric", unit_m=unit_m)


SIDES = ("length", "width", "height", "thickness", "skin")
"""Sizes of the shapes that a schedule may list."""

MOST_SIDE = 1e6
DOOR_M = (0.81, 2.03)
SCENE_M, PIXELS_M, LEFT, HIGH = 3.45, 40.0, 46.0, 88.0


@frozen
class Choice:
    """Size of a piece in one unit, drawn beside a door.

    wide, high   size of its picture, px
    cut          whether it is larger than the picture
    """

    unit: str
    size: str
    wide: float
    high: float
    cut: bool


def _table(path: Path) -> Incoming:
    """A schedule, with the sizes of its largest piece where they have no unit."""
    try:
        rows = pieces_of_schedules({"schedule": [{"file": path.name}]}, path.parent)
    except InputError:  # told in full, row by row, when it is added
        rows = []
    sizes = [_sizes_without_unit(row.get("shape")) for row in rows]
    largest = max(sizes, key=prod, default=())
    return Incoming(path.name, "table", largest, bool(largest), (PLAIN("page-file-table"),), True)


def _sizes_without_unit(shape: Any) -> tuple[float, ...]:
    """Plain numbers among the sizes of a row, in the unit of its table; empty unless there are two."""
    given = [str(shape.get(side, "")) for side in SIDES] if isinstance(shape, dict) else []
    sizes = [read_quantity(f"{text} in", "length") / UNIT_M["in"] for text in given if BARE.fullmatch(text)]
    return tuple(size for size in sizes if 0.0 < size < MOST_SIDE) if len(sizes) > 1 else ()


def choices_of(size: tuple[float, ...]) -> list[Choice]:
    """Size of a piece in each unit that its file could be in."""
    choices = []
    for unit in UNITS:
        units: Units = "imperial" if unit in ("in", "ft") else "metric"
        sides = [side * UNIT_M[unit] for side in size]
        tall = sides[2] if len(sides) > 2 else sides[1]
        wide, high = sides[0] * PIXELS_M, tall * PIXELS_M
        most = (SCENE_M * PIXELS_M, HIGH - 4)
        text = replace(PLAIN, units=units).size(sides)
        cut = wide > most[0] or high > most[1]
        choices.append(Choice(unit, text, max(min(wide, most[0]), 1.0), max(min(high, most[1]), 1.0), cut))
    return choices


def size_text(incoming: Incoming) -> str:
    """Size of a file's largest piece as text; "" if the file has no unit."""
    return Words(incoming.units, PLAIN.currency).size(incoming.size) if incoming.size and not incoming.unitless else ""


def drafted(title: str, request: Request) -> Draft:
    """Draft of a job from files, each read in a child process. Raises InputError."""

    with raised_by(FROM_STRANGERS):
        return draft_of(title, request)
