"""Lines of one page of a PDF drawing, scaled to true size.

Runs in a child process, because the library is native and small files may expand to gigabytes. The library ignores a
page's UserUnit, so pypdf reads that. The only layers of a page are those of its marked content; other lines are grouped
by line width and color, by which drafters distinguish layers.
Source: ISO 32000-1: page boxes and UserUnit 7.7.3, paths 8.5, form XObjects 8.10, optional content 8.11.
"""

from __future__ import annotations

import ctypes
import re
from collections import Counter
from collections.abc import Collection, Iterator
from io import BytesIO
from math import atan2, hypot, pi, sin, tan
from typing import Any

import numpy as np

from geometry.apart import apart
from geometry.arcs import curve_arcs
from geometry.arrays import Floats
from geometry.errors import FaultError
from geometry.files import InputFile, Paper, limits, parsing
from geometry.frozen import frozen
from geometry.message import message
from geometry.plane import CHORD_M
from geometry.readers.extras import require_extra
from geometry.readers.sheet import NO_NAMES, LineCollector, Names, Sheet, Text

POINT_MM = 25.4 / 72
MM = 0.001
SCALE_NOTE = re.compile(
    r"""(?<![\d:/.])1\s*:\s*\d{1,4}(?![\d:]) | \d+(?:/\d+)?\s*["”″]\s*=\s*\d+\s*['’′](?:\s*-?\s*\d+\s*["”″])?""",
    re.VERBOSE,
)
"""Text that may be the scale of a drawing: it is suggested to the user, never applied."""

_ROUND = 2e-3  # relative rounding of control points in curves that stand for arcs
_LEVEL = 1e-3  # rad
_MOST_SEGMENTS = 5_000_000

Line = tuple[Floats, Floats, bool, str]
"""Points (n, 2) and bulges (n,) on the page, mm from its lower left corner, whether it is closed, and its group."""

Page = dict[str, Any]
"""Contents of a page: lines, texts [(text, (x, y), height, group)], left_out {what: number}, scales, layered."""


@frozen(eq=False)
class PdfSource:
    """A page at true size, in mm. See `geometry.readers.sheet.Source`."""

    page: Page
    scale: float
    unit_m: float | None = MM

    def sheet(self, layers: Collection[str] | None, chord: float, ignored: Names = NO_NAMES) -> Sheet:
        """Lines of the given groups. Raises FaultError for an unknown group."""
        lines: list[Line] = self.page["lines"]
        names = sorted({name for _, _, _, name in lines})
        for wanted in layers or ():
            if wanted not in names:
                raise FaultError("", message("layer-empty", layer=wanted, layers=", ".join(names), count=len(names)))
        closed, loose, omitted = LineCollector(), LineCollector(), 0
        for points, bulges, closes, name in lines:
            if ignored.hold((name,)):
                omitted += 1
            elif layers is None or name in layers:
                (closed if closes else loose).add(points * self.scale, bulges, names.index(name))
        notes = [message(f"note-pdf-{what}", count=number) for what, number in sorted(self.page["left_out"].items())]
        if self.page["layered"]:
            notes.append(message("note-pdf-layers"))
        return Sheet(
            closed.lines(),
            loose.lines(),
            tuple(names),
            tuple(notes),
            groups=tuple((name,) for name in names),
            texts=tuple(
                Text(text, (x * self.scale, y * self.scale), height * self.scale, (name,))
                for text, (x, y), height, name in self.page["texts"]
            ),
            omitted=(("ignored", omitted),) if omitted else (),
        )


def open_pdf(file: InputFile) -> PdfSource:
    """Open a page of a PDF drawing. Raises FaultError if its scale or page number is missing."""
    require_extra("pdf")
    paper = file.paper or Paper()
    chord_mm = CHORD_M / MM / paper.scale if paper.scale else 1.0
    page: Page = apart(pdf_page, file, paper.page, chord_mm)
    if paper.scale:
        return PdfSource(page, paper.scale)
    lines: list[Line] = page["lines"]
    if not lines:
        raise FaultError("", message("drawing-no-outline", found="", count=0))
    low, high = (np.array([edge(points, axis=0) for points, *_ in lines]) for edge in (np.min, np.max))
    x, y = (high.max(axis=0) - low.min(axis=0)).tolist()
    notes = page["scales"]
    raise FaultError("", message("pdf-no-scale", x=f"{x:.1f}", y=f"{y:.1f}", notes=", ".join(notes), count=len(notes)))


def pdf_page(file: InputFile, number: int | None, chord_mm: float) -> Page:
    """Contents of a page, by default the only one. Runs in a child process. Raises FaultError."""
    import pypdfium2

    content = file.read()
    with parsing("PDF"):
        document = pypdfium2.PdfDocument(content)
        pages = len(document)
        if number is None and pages > 1:
            raise FaultError("", message("pdf-pages", pages=pages))
        at = number or 1
        if at > pages:
            raise FaultError("", message("pdf-no-page", page=at, pages=pages))
        unit = _user_unit(content, at - 1)
        if abs(unit - 1) > 1e-9:
            raise FaultError("", message("pdf-unit", unit=f"{unit:g}"))
        page = document[at - 1]
        reader = _Reader(page, chord_mm)
        reader.take(None, _upright(page), 1)
        notes = page.get_textpage().get_text_range()[:100_000]
    return {
        "lines": reader.lines,
        "texts": reader.texts,
        "left_out": dict(reader.left_out),
        "layered": reader.layered,
        "scales": list(dict.fromkeys(" ".join(match[0].split()) for match in SCALE_NOTE.finditer(notes)))[:5],
    }


PREVIEW_PX = 220
"""Longer side of the picture of a page."""


def page_pictures(file: InputFile, most: int) -> list[bytes]:
    """Pictures of the first pages of a document as PNG, small. Raises FaultError for a damaged or protected file."""
    require_extra("pdf")
    pictures: list[bytes] = apart(_page_pictures, file, most)
    return pictures


def _page_pictures(file: InputFile, most: int) -> list[bytes]:
    import pypdfium2

    pictures = []
    content = file.read()
    with parsing("PDF"):
        document = pypdfium2.PdfDocument(content)
        for number in range(min(most, len(document))):
            page = document[number]
            picture = page.render(scale=PREVIEW_PX / max(*page.get_size(), 1.0)).to_pil()
            written = BytesIO()
            picture.convert("L").save(written, "PNG")
            pictures.append(written.getvalue())
    return pictures


def _user_unit(content: bytes, page: int) -> float:
    from pypdf import PdfReader

    return float(PdfReader(BytesIO(content)).pages[page].get("/UserUnit", 1.0))


def _upright(page: Any) -> Floats:
    """Transform (3, 2) from page space to mm from the lower left corner of the page as displayed."""
    left, bottom, right, top = page.get_cropbox()
    match page.get_rotation():
        case 90:
            way = [[0, -1], [1, 0], [-bottom, right]]
        case 180:
            way = [[-1, 0], [0, -1], [right, top]]
        case 270:
            way = [[0, 1], [-1, 0], [top, -left]]
        case _:
            way = [[1, 0], [0, 1], [-left, -bottom]]
    return np.array(way, dtype=np.float64) * POINT_MM


class _Reader:
    """Walks the objects of a page, including nested forms."""

    def __init__(self, page: Any, chord_mm: float) -> None:
        self.lines: list[Line] = []
        self.texts: list[tuple[str, tuple[float, float], float, str]] = []
        self.left_out: Counter[str] = Counter()
        self.layered = False
        self._page, self._texts, self._chord_mm = page, page.get_textpage(), chord_mm
        self._objects = self._segments = 0

    def take(self, form: Any, way: Floats, depth: int) -> None:
        """Collect the lines of a form, or of the page itself; `way` transforms its space to mm on the page."""
        import pypdfium2.raw as pdf

        if depth > limits().levels:
            raise limits().over("file-nested", "levels", depth, kind="PDF")
        number = pdf.FPDFPage_CountObjects(self._page.raw) if form is None else pdf.FPDFFormObj_CountObjects(form)
        for at in range(number):
            self._objects += 1
            if self._objects > limits().parts:
                raise limits().over("file-unfolds", "parts", self._objects, kind="PDF")
            thing = pdf.FPDFPage_GetObject(self._page.raw, at) if form is None else pdf.FPDFFormObj_GetObject(form, at)
            own = np.vstack([_matrix(thing) @ way[:2], [0, 0]])
            own[2] = way[2] + _shift(thing) @ way[:2]
            match pdf.FPDFPageObj_GetType(thing):
                case pdf.FPDF_PAGEOBJ_FORM:
                    self.take(thing, own, depth + 1)
                case pdf.FPDF_PAGEOBJ_PATH:
                    self._take_path(thing, own)
                case pdf.FPDF_PAGEOBJ_TEXT:
                    self._take_text(thing, own)
                case pdf.FPDF_PAGEOBJ_IMAGE:
                    self.left_out["images"] += 1
                case _:
                    self.left_out["shadings"] += 1

    def _take_text(self, thing: Any, way: Floats) -> None:
        import pypdfium2.raw as pdf

        size = pdf.FPDFTextObj_GetText(thing, self._texts.raw, None, 0)
        buffer = (ctypes.c_ushort * (size // 2 + 1))()
        pdf.FPDFTextObj_GetText(thing, self._texts.raw, buffer, size)
        text = bytes(buffer)[: max(0, size - 2)].decode("utf-16-le", "replace").strip()
        height = ctypes.c_float()
        pdf.FPDFTextObj_GetFontSize(thing, height)
        if text:
            x, y = way[2].tolist()
            tall = abs(height.value) * float(np.hypot(*way[1]))
            self.texts.append((text.splitlines()[0], (x, y), tall, self._layer(thing) or "text"))

    def _take_path(self, thing: Any, way: Floats) -> None:
        import pypdfium2.raw as pdf

        fill, stroked = ctypes.c_int(), ctypes.c_int()
        pdf.FPDFPath_GetDrawMode(thing, fill, stroked)
        color = _color(thing, pdf.FPDFPageObj_GetStrokeColor if stroked.value else pdf.FPDFPageObj_GetFillColor)
        if not (fill.value or stroked.value):
            return  # a clip
        if not stroked.value and color == "#ffffff":
            self.left_out["white"] += 1
            return
        width = ctypes.c_float()
        pdf.FPDFPageObj_GetStrokeWidth(thing, width)
        thick = abs(width.value) * abs(float(np.linalg.det(way[:2]))) ** 0.5
        group = self._layer(thing) or (f"{thick:.2f} mm {color}" if stroked.value else f"filled {color}")
        for points, bulges, closes in self._subpaths(thing, way):
            self.lines.append((points, bulges, closes or bool(fill.value), group))

    def _layer(self, thing: Any) -> str:
        """Layer name of marked content, or ""."""
        import pypdfium2.raw as pdf

        for number in range(pdf.FPDFPageObj_CountMarks(thing)):
            mark = pdf.FPDFPageObj_GetMark(thing, number)
            if _text(pdf.FPDFPageObjMark_GetName, mark) == "OC":
                self.layered = True
                return _text(pdf.FPDFPageObjMark_GetParamStringValue, mark, b"Name")
        return ""

    def _subpaths(self, thing: Any, way: Floats) -> Iterator[tuple[Floats, Floats, bool]]:
        """Yield points and bulges of each subpath, and whether it is closed."""
        import pypdfium2.raw as pdf

        x, y = ctypes.c_float(), ctypes.c_float()
        number = pdf.FPDFPath_CountSegments(thing)
        self._segments += number
        if self._segments > _MOST_SEGMENTS:
            raise FaultError("", message("file-too-much", kind="PDF"))
        part = _Subpath(self._chord_mm)
        handles: list[Floats] = []
        for at in range(number):
            segment = pdf.FPDFPath_GetPathSegment(thing, at)
            pdf.FPDFPathSegment_GetPoint(segment, x, y)
            place = np.array([x.value, y.value]) @ way[:2] + way[2]
            match pdf.FPDFPathSegment_GetType(segment):
                case pdf.FPDF_SEGMENT_MOVETO:
                    yield from part.ended(closes=False)
                    part.begin(place)
                case pdf.FPDF_SEGMENT_BEZIERTO:
                    handles.append(place)
                    if len(handles) == 3:
                        part.curve(*handles)
                        handles = []
                case _:
                    part.line(place)
            if pdf.FPDFPathSegment_GetClose(segment):
                yield from part.ended(closes=True)
        yield from part.ended(closes=False)


class _Subpath:
    """A subpath under construction."""

    def __init__(self, chord_mm: float) -> None:
        self._chord_mm = chord_mm
        self._points: list[Floats] = []
        self._bulges: list[Floats] = []

    def begin(self, place: Floats) -> None:
        self._points, self._bulges = [place[np.newaxis]], []

    def line(self, place: Floats) -> None:
        self._points.append(place[np.newaxis])
        self._bulges.append(np.zeros(1))

    def curve(self, first: Floats, second: Floats, end: Floats) -> None:
        start = self._points[-1][-1]
        bulge = arc_of_curve(start, first, second, end)
        if bulge is not None:
            self._points.append(end[np.newaxis])
            self._bulges.append(np.array([bulge]))
            return
        corners = np.array([start, first, second, end])

        def evaluate(t: Floats) -> tuple[Floats, Floats]:
            s = 1 - t
            weights = np.stack([s**3, 3 * s * s * t, 3 * s * t * t, t**3], axis=1)
            slopes = 3 * np.stack([s * s, 2 * s * t, t * t], axis=1)
            return weights @ corners, slopes @ np.diff(corners, axis=0)

        points, bulges = curve_arcs(evaluate, np.array([0.0, 1.0]), self._chord_mm)
        self._points.append(points[1:])
        self._bulges.append(bulges)

    def ended(self, *, closes: bool) -> Iterator[tuple[Floats, Floats, bool]]:
        """Yield the subpath if it has an edge; the next one starts at the same point."""
        if not self._bulges:
            return
        points, bulges = np.concatenate(self._points), np.concatenate(self._bulges)
        size = float(np.ptp(points, axis=0).max())
        if float(np.hypot(*(points[0] - points[-1]))) <= 1e-6 * size:
            yield points[:-1], bulges, True
        else:
            yield points, np.append(bulges, 0.0), closes
        self._points, self._bulges = [points[:1]], []


def arc_of_curve(start: Floats, first: Floats, second: Floats, end: Floats) -> float | None:
    """Bulge of the circular arc that a cubic Bézier approximates; None if it is not an arc.

    PDF has no arcs. Programs approximate an arc of angle a and radius r with control points at 4/3 tan(a/4) r along its
    tangents. A circle of four such curves is 0.03% too large.
    """
    chord, before, after = end - start, first - start, end - second
    lengths = [hypot(*part) for part in (chord, before, after)]
    if min(lengths) == 0 or abs(lengths[1] / lengths[2] - 1) > _ROUND:
        return None
    leaving, arriving = _turn(before, chord), _turn(chord, after)
    if abs(leaving - arriving) > _LEVEL or not _LEVEL < abs(leaving) < pi / 2 + _LEVEL:
        return None
    half = (leaving + arriving) / 2  # of the arc's angle
    radius = lengths[0] / (2 * sin(abs(half)))
    handle = 4 / 3 * tan(abs(half) / 2) * radius
    return tan(half / 2) if abs((lengths[1] + lengths[2]) / 2 / handle - 1) <= _ROUND else None


def _turn(before: Floats, after: Floats) -> float:
    """Angle from one direction to the next, radians, positive to the left."""
    return atan2(float(before[0] * after[1] - before[1] * after[0]), float(before @ after))


def _raw_matrix(thing: Any) -> Any:
    import pypdfium2.raw as pdf

    matrix = pdf.FS_MATRIX()
    pdf.FPDFPageObj_GetMatrix(thing, matrix)
    return matrix


def _matrix(thing: Any) -> Floats:
    """Linear part (2, 2) of an object's matrix."""
    matrix = _raw_matrix(thing)
    return np.array([[matrix.a, matrix.b], [matrix.c, matrix.d]], dtype=np.float64)


def _shift(thing: Any) -> Floats:
    matrix = _raw_matrix(thing)
    return np.array([matrix.e, matrix.f], dtype=np.float64)


def _color(thing: Any, ask: Any) -> str:
    parts = [ctypes.c_uint() for _ in range(4)]
    ask(thing, *parts)
    return "#" + "".join(f"{part.value & 255:02x}" for part in parts[:3])


def _text(ask: Any, mark: Any, *key: bytes) -> str:
    """Text of a content mark, in two calls: one for its length, one for its contents."""
    size = ctypes.c_ulong()
    ask(mark, *key, None, 0, size)
    buffer = ctypes.create_string_buffer(size.value + 2)
    ask(mark, *key, ctypes.cast(buffer, ctypes.POINTER(ctypes.c_ushort)), size.value, size)
    return buffer.raw[: max(0, size.value - 2)].decode("utf-16-le", "replace")
