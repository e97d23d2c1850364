"""Lines of the model space of a DXF drawing, read with ezdxf."""

from __future__ import annotations

import logging
import re
import struct
from collections import Counter
from collections.abc import Collection, Iterable
from io import BytesIO, TextIOWrapper
from math import pi, radians
from typing import Any

import numpy as np
from ezdxf import recover
from ezdxf.audit import AuditError
from ezdxf.document import Drawing as Document
from ezdxf.entities.dxfentity import DXFEntity
from ezdxf.entities.insert import Insert
from ezdxf.filemanagement import dxf_stream_info
from ezdxf.lldxf.const import DXFError
from ezdxf.lldxf.tagger import binary_tags_loader
from ezdxf.lldxf.validator import is_dxf_stream
from ezdxf.xclip import XClip

from geometry.arcs import curve_arcs, ellipse_arcs
from geometry.arrays import Floats
from geometry.errors import FaultError, unit_name
from geometry.files import InputFile, limits
from geometry.message import Message, message
from geometry.readers.dxf_tags import refuse_guesses, tags_of
from geometry.readers.sheet import NO_NAMES, LineCollector, Names, Sheet, Text, Unevenness, left_out_note, unevenness

# The library also logs damage; here it goes to the drawing's problems.
logging.getLogger("ezdxf").addHandler(logging.NullHandler())

# The DXF reference's table of $INSUNITS, with exact factors.
IMPERIAL = (1, 2, 3, 8, 9, 10)
UNITS_M = {
    1: 0.0254,
    2: 0.3048,
    3: 1609.344,
    4: 0.001,
    5: 0.01,
    6: 1.0,
    7: 1000.0,
    8: 0.0254e-6,
    9: 0.0254e-3,
    10: 0.9144,
    11: 1e-10,
    12: 1e-9,
    13: 1e-6,
    14: 0.1,
    15: 10.0,
    16: 100.0,
    21: 1200 / 3937,
    22: 100 / 3937,
    23: 3600 / 3937,
}

# fmt: off
SILENT = frozenset(
    [
        "TEXT", "MTEXT", "ATTRIB", "ATTDEF", "DIMENSION", "ARC_DIMENSION", "LEADER", "MULTILEADER",
        "TOLERANCE", "POINT", "VIEWPORT", "HATCH", "MPOLYGON", "IMAGE", "WIPEOUT", "PDFUNDERLAY",
        "DWFUNDERLAY", "DGNUNDERLAY", "XLINE", "RAY", "LIGHT", "SUN", "ACAD_TABLE", "OLE2FRAME", "OLEFRAME",
        "SHAPE",
    ]
)
# fmt: on
"""Entities that are never outlines; mentioned only if a drawing has nothing else."""

TEXTS = frozenset(["TEXT", "MTEXT", "ATTRIB"])
"""Free-standing texts, which include the marks of pieces."""

_SILENT_KINDS = {
    **dict.fromkeys(["DIMENSION", "ARC_DIMENSION", "LEADER", "MULTILEADER", "TOLERANCE"], "dimension"),
    **dict.fromkeys(["HATCH", "MPOLYGON"], "hatch"),
}

UNREADABLE = (
    OSError,
    DXFError,
    ValueError,
    LookupError,
    TypeError,
    AttributeError,
    ArithmeticError,
    AssertionError,
    StopIteration,
    EOFError,
    MemoryError,
    RuntimeError,
    struct.error,
)
"""Exceptions that the library raises for files and entities that are damaged or of another kind."""

BINARY = b"AutoCAD Binary DXF"


WIDTHS = ("default_start_width", "default_end_width", "start_width", "end_width")
LEVEL = 1e-9
"""Largest x or y component of a unit normal that counts as vertical."""


def open_drawing(file: InputFile) -> DxfSource:
    """Open a DXF file, with recovery if it is damaged. Raises FaultError if it cannot be recovered."""
    problems: list[Message] = []
    raw = file.read()
    try:
        document = _document(raw)
    except FaultError:
        raise
    except UNREADABLE as first:
        document = _recovered(raw, first, problems)
    if not raw.startswith(BINARY) and not raw.rstrip().endswith(b"EOF"):
        problems.append(message("note-cut-off"))
    # The library assumes a unit if the header states none, so the file itself is searched.
    number = document.header.get("$INSUNITS", 0) if b"$INSUNITS" in raw else 0
    stated = {int(code) for code in re.findall(rb"\$INSUNITS\s+70\s+(\d{1,4})\b", raw)}
    if len(stated) > 1:
        problems.append(message("note-two-units"))
        number = 0
    return DxfSource(document, UNITS_M.get(number), problems, _doubt(raw, number))


def _doubt(raw: bytes, number: int) -> Message | None:
    """Note if $MEASUREMENT (0 for imperial, 1 for metric) contradicts the unit in the header."""
    systems = {int(code) for code in re.findall(rb"\$MEASUREMENT\s+70\s+(\d{1,4})\b", raw)}
    imperial = number in IMPERIAL
    if number not in UNITS_M or not systems & {0, 1} or (0 if imperial else 1) in systems:
        return None
    unit = unit_name(UNITS_M[number], f"{UNITS_M[number]:g} m")
    return message("note-measurement", unit=unit, system="metric" if imperial else "imperial")


def _document(raw: bytes) -> Document:
    """Parse valid DXF in the encoding named in its header. Raises the library's exceptions."""
    if raw.startswith(BINARY):
        return Document.load(binary_tags_loader(raw, errors="surrogateescape"))

    def text(encoding: str, errors: str) -> TextIOWrapper:
        return TextIOWrapper(BytesIO(raw), encoding=encoding, errors=errors)

    if not is_dxf_stream(text("utf-8", "ignore")):
        raise OSError("no DXF")
    stream = text(dxf_stream_info(text("utf-8", "ignore")).encoding, "surrogateescape")
    try:
        return Document.from_tags(tags_of(stream.read()))
    except FaultError:
        raise
    except UNREADABLE:
        refuse_guesses(raw)
        stream.seek(0)
        return Document.read(stream)


def _recovered(raw: bytes, first: Exception, problems: list[Message]) -> Document:
    reason = f" ({_one_line(first)})" if isinstance(first, DXFError) else ""
    try:
        document, auditor = recover.read(BytesIO(raw))
    except UNREADABLE as error:
        raise FaultError("", message("dxf-not-a-drawing", reason=reason)) from error
    if not raw.startswith(BINARY):
        refuse_guesses(raw)
    faults = [*auditor.fixes, *auditor.errors]
    for fault in faults:
        # The library would read 1.0 from "1oo.0", a size that nobody drew.
        if fault.code == AuditError.INVALID_FLOATING_POINT_VALUE:
            number = fault.message.split(" as ")[0].removeprefix("recovered ")
            raise FaultError("", message("dxf-number", number=number))
    detail = _one_line(faults[0].message) if faults else reason.strip(" ()")
    problems.append(message("note-recovered", count=max(len(faults), 1), fault=detail))
    return document


class DxfSource:
    """An opened DXF file. See `geometry.readers.sheet.Source`."""

    def __init__(
        self, document: Document, unit_m: float | None, problems: list[Message], unit_doubt: Message | None = None
    ) -> None:
        self.unit_m, self.unit_doubt = unit_m, unit_doubt
        self._document = document
        self._problems = problems

    def sheet(self, layers: Collection[str] | None, chord: float, ignored: Names = NO_NAMES) -> Sheet:
        """Lines on the given layers, or on all visible ones. Raises FaultError for an unknown layer."""
        try:
            return self._sheet(layers, chord, ignored)
        except FaultError:
            raise
        except UNREADABLE as error:
            raise FaultError("", message("dxf-damaged", reason=_one_line(error))) from error

    def _sheet(self, layers: Collection[str] | None, chord: float, ignored: Names) -> Sheet:
        number = _placed(self._document.modelspace(), {})
        if number > limits().parts:
            raise limits().over("file-unfolds", "parts", number, kind="DXF")
        hidden = {layer.dxf.name.lower(): why for layer in self._document.layers if (why := _hidden_by(layer))}
        taker = _Taker(None if layers is None else {name.lower() for name in layers}, hidden, chord, ignored)
        taker.take(self._document.modelspace(), layer=None)
        if layers is not None:
            self._refuse_unknown(layers, taker)
        return taker.sheet([*self._problems, *self._on_paper()])

    def _on_paper(self) -> list[Message]:
        """Note on lines and blocks in paper space, which are not read."""
        on_paper = sum(
            entity.dxftype() in _TAKERS or entity.dxftype() == "INSERT"
            for layout in self._document.layouts
            if not layout.is_modelspace
            for entity in layout
        )
        return [message("note-paper-space", count=on_paper)] if on_paper else []

    def _refuse_unknown(self, layers: Iterable[str], taker: _Taker) -> None:
        for name in layers:
            if name.lower() not in taker.seen:
                listed = sorted(taker.seen.values())
                raise FaultError("", message("layer-empty", layer=name, layers=", ".join(listed), count=len(listed)))


class _Taker:
    """Walks entities, including nested blocks, and collects their lines."""

    def __init__(self, wanted: set[str] | None, hidden: dict[str, str], chord: float, ignored: Names) -> None:
        self.seen: dict[str, str] = {}
        self._wanted = wanted
        self._ignored = ignored
        self._omitted: Counter[str] = Counter()
        self._texts: list[Text] = []
        self._hidden = hidden
        self._chord = chord
        self._closed = LineCollector()
        self._loose = LineCollector()
        self._numbers: dict[str, int] = {}
        self._left_out: Counter[str] = Counter()
        self._silent: Counter[str] = Counter()
        self._unseen: Counter[tuple[str, str]] = Counter()  # (layer, why its contents are hidden)
        self._clipped = 0
        self._empty = 0
        self._wide = 0
        self._uneven: list[Unevenness] = []
        self._slanting: list[Floats] = []  # ends of single lines in space, which define no plane

    def sheet(self, problems: Iterable[Message]) -> Sheet:
        closed, loose = self._closed.lines(), self._loose.lines()
        if not len(closed) + len(loose) and self._silent["POINT"]:
            raise FaultError("", message("points-alone", count=self._silent["POINT"]))
        notes = list(problems)
        left_out = self._left_out if len(closed) + len(loose) else self._left_out + self._silent
        if left_out:
            notes.append(left_out_note(left_out))
        if self._unseen:
            items = [
                message("note-hidden-item", count=n, why=why, layer=self.seen[key])
                for (key, why), n in sorted(self._unseen.items())
            ]
            notes.append(message("note-hidden", items=items))
        if self._clipped:
            notes.append(message("note-blocks-clipped", count=self._clipped))
        if self._empty:
            notes.append(message("note-lines-empty", count=self._empty))
        if self._wide:
            notes.append(message("note-lines-wide", count=self._wide))
        if self._slanting:
            part = message("part-lines", count=len(self._slanting))
            self._uneven.append(unevenness(part, np.concatenate(self._slanting)))
        return Sheet(
            closed,
            loose,
            tuple(self._numbers),
            tuple(notes),
            uneven=tuple(self._uneven),
            groups=tuple((name,) for name in self._numbers),
            texts=tuple(self._texts),
            omitted=tuple(sorted(self._omitted.items())),
        )

    def take(self, entities: Iterable[DXFEntity], layer: str | None, hidden: str = "") -> None:
        """Collect entities; those on layer 0 of a block get the layer of the block reference.

        hidden  why the enclosing block is hidden, or ""
        """
        for entity in entities:
            kind = entity.dxftype()
            dxf = entity.dxf
            own = dxf.layer
            name = layer if layer is not None and own == "0" else own
            key = name.lower()
            why = hidden or ("invisible" if dxf.get("invisible", 0) else self._hidden.get(key, ""))
            if not why and self._ignored.hold((name,)):
                why = "ignored"
            if kind == "INSERT":
                for label in entity.attribs:  # type: ignore[attr-defined]
                    self.take([label], layer, why)
                # A block on a layer that is off still shows its contents on other layers.
                self._take_block(entity, name, why if why in ("invisible", "frozen", "ignored") else hidden)  # type: ignore[arg-type]
                continue
            self.seen.setdefault(key, name)
            if why == "ignored":
                self._omitted[why] += 1
                continue
            if kind in TEXTS and not why:
                self._take_text(entity, name)
            if self._wanted is not None and key not in self._wanted:
                continue
            take = _TAKERS.get(kind)
            if take is None:
                (self._silent if kind in SILENT else self._left_out)[kind] += 1
                if kind in SILENT and kind not in TEXTS:
                    self._omitted[_SILENT_KINDS.get(kind, "other")] += 1
            elif why:
                self._unseen[key, why] += 1
            else:
                try:
                    take(self, entity, self._numbers.setdefault(name, len(self._numbers)))
                except FaultError:
                    raise
                except UNREADABLE as error:
                    raise _unreadable(entity, error) from error

    def _take_text(self, entity: Any, layer: str) -> None:
        """Keep the first line of a text; an unreadable text is not a mark."""
        try:
            lines = str(entity.plain_text()).split("\n")
            if entity.dxftype() == "MTEXT":
                height, at = entity.dxf.get("char_height", 0.0), entity.dxf.insert
            else:
                height, (_, at, _) = entity.dxf.get("height", 0.0), entity.get_placement()
                at = entity.ocs().to_wcs(at)
            if getattr(entity, "is_invisible", False):
                return
            first = next((line.strip() for line in lines if line.strip()), "")
            self._texts.append(Text(first, (float(at[0]), float(at[1])), abs(float(height)), (layer,)))
        except UNREADABLE:
            self._omitted["text"] += 1

    def _take_block(self, insert: Insert, layer: str, hidden: str) -> None:
        block = insert.block()
        if block is None:
            self._left_out["INSERT-missing"] += 1
            return
        if block.block.is_xref:  # type: ignore[union-attr]
            self._left_out["INSERT-elsewhere"] += 1
            return
        self._clipped += XClip(insert).has_clipping_path
        try:
            for copy in insert.multi_insert() if insert.mcount > 1 else (insert,):
                entities = list(copy.virtual_entities(skipped_entity_callback=lambda entity, _: self._skipped(entity)))
                self.take(entities, layer, hidden)
        except FaultError:
            raise
        except UNREADABLE as error:
            raise _unreadable(insert, error) from error

    def _skipped(self, entity: DXFEntity) -> None:
        (self._silent if entity.dxftype() in SILENT else self._left_out)[entity.dxftype()] += 1

    def _add(self, points: Floats, bulges: Floats | None, closed: bool, layer: int) -> None:
        if len(points) < 2 or (not closed and len(points) == 2 and (points[0] == points[1]).all()):
            self._empty += 1
            return
        (self._closed if closed else self._loose).add(points, bulges, layer)

    def take_lwpolyline(self, entity: Any, layer: int) -> None:
        values = np.array(entity.lwpoints.values, dtype=np.float64).reshape(-1, 5)
        points, bulges = values[:, :2], values[:, 4]
        self._wide += bool(entity.dxf.const_width or values[:, 2:4].any())
        self._add(*_upright(entity, points, bulges), entity.closed, layer)

    def take_polyline(self, entity: Any, layer: int) -> None:
        if entity.is_poly_face_mesh or entity.is_polygon_mesh:
            self._left_out["POLYLINE-mesh"] += 1
            return
        # Flag 16 marks spline control points; the curve runs through the other vertices.
        vertices = [v.dxf for v in entity.vertices if not v.dxf.flags & 16]
        places = np.array([tuple(v.location) for v in vertices], dtype=np.float64).reshape(-1, 3)
        if entity.is_3d_polyline:
            self._lay_flat(entity, places)
            self._add(places[:, :2], None, entity.is_closed, layer)
            return
        bulges = np.array([v.get("bulge", 0.0) for v in vertices], dtype=np.float64)
        wide = (entity.dxf, *vertices)
        self._wide += any(dxf.get(name, 0.0) for dxf in wide for name in WIDTHS if dxf.is_supported(name))
        self._add(*_upright(entity, places[:, :2], bulges), entity.is_closed, layer)

    def take_line(self, entity: Any, layer: int) -> None:
        start, end = entity.dxf.start, entity.dxf.end
        ends = np.array([(start.x, start.y), (end.x, end.y)])
        if start.z != end.z:
            self._slanting.append(np.array([tuple(start), tuple(end)]))
        self._add(ends, None, False, layer)

    def take_circle(self, entity: Any, layer: int) -> None:
        x, y, _ = entity.dxf.center
        radius = abs(entity.dxf.radius)
        if radius == 0:
            self._empty += 1
            return
        points = np.array([(x - radius, y), (x + radius, y)])
        self._add(*_upright(entity, points, np.ones(2)), True, layer)

    def take_arc(self, entity: Any, layer: int) -> None:
        x, y, _ = entity.dxf.center
        radius = abs(entity.dxf.radius)
        start, end = radians(entity.dxf.start_angle), radians(entity.dxf.end_angle)
        sweep = (end - start) % (2 * pi) or 2 * pi
        if radius == 0:
            self._empty += 1
            return
        along, up = np.array([radius, 0.0]), np.array([0.0, radius])
        points, bulges = ellipse_arcs(np.array([x, y]), along, up, start, sweep, self._chord)
        self._add_curve(*_upright(entity, points, bulges), layer, full=sweep > 2 * pi - 1e-12)

    def take_ellipse(self, entity: Any, layer: int) -> None:
        curve = entity.construction_tool()
        axes = np.array([tuple(curve.center), tuple(curve.major_axis), tuple(curve.minor_axis)])
        if abs(axes[1:, 2]).max() > LEVEL * abs(axes[1:]).max():
            raise _tilted(entity, axes[0])
        sweep = (curve.end_param - curve.start_param) % (2 * pi)
        full = sweep < 1e-9 or sweep > 2 * pi - 1e-9
        center, major, minor = axes[:, :2]
        if not (major.any() and minor.any()):
            self._empty += 1
            return
        points, bulges = ellipse_arcs(center, major, minor, curve.start_param, 2 * pi if full else sweep, self._chord)
        self._add_curve(points, bulges, layer, full)

    def take_spline(self, entity: Any, layer: int) -> None:
        try:
            spline = entity.construction_tool()
        except (DXFError, ValueError):
            self._left_out["SPLINE-empty"] += 1
            return
        self._lay_flat(entity, np.array([tuple(p) for p in spline.control_points]))

        def evaluate(t: Floats) -> tuple[Floats, Floats]:
            # One row per parameter: the point and the first derivative.
            derivatives = np.array([[tuple(v) for v in row] for row in spline.derivatives(t.tolist(), 1)])
            return derivatives[:, 0, :2], derivatives[:, 1, :2]

        knots = np.unique(np.array(spline.knots(), dtype=np.float64))
        order = spline.order
        low, high = spline.knots()[order - 1], spline.knots()[spline.count]
        points, bulges = curve_arcs(evaluate, knots[(knots >= low) & (knots <= high)], self._chord)
        ends_meet = float(np.hypot(*(points[0] - points[-1]))) <= 1e-9 * float(np.ptp(points, axis=0).max())
        self._add_curve(points, bulges, layer, full=ends_meet)

    def _lay_flat(self, entity: Any, places: Floats) -> None:
        """Record how uneven a line in space is; whether that is too much depends on the unit, so the caller decides."""
        if len(places) and np.ptp(places[:, 2]) > 0:
            if np.linalg.matrix_rank(np.diff(places[:, :2], axis=0)) < 2:  # straight in plan, so it defines no plane
                self._slanting.append(places)
                return
            part = message("part-on-layer", kind=entity.dxftype(), layer=entity.dxf.layer)
            self._uneven.append(unevenness(part, places))

    def _add_curve(self, points: Floats, bulges: Floats, layer: int, full: bool) -> None:
        if full:
            self._add(points[:-1], bulges, True, layer)
        else:
            self._add(points, bulges, False, layer)


_TAKERS = {
    "LWPOLYLINE": _Taker.take_lwpolyline,
    "POLYLINE": _Taker.take_polyline,
    "LINE": _Taker.take_line,
    "CIRCLE": _Taker.take_circle,
    "ARC": _Taker.take_arc,
    "ELLIPSE": _Taker.take_ellipse,
    "SPLINE": _Taker.take_spline,
}


def _placed(entities: Iterable[DXFEntity], sizes: dict[str, int], within: tuple[str, ...] = ()) -> int:
    """Number of entities after all blocks are expanded, counting each block reference as one more.

    sizes   size of each block already counted, by name; updated here
    within  names of the enclosing blocks, outermost first
    """
    number = 0
    for entity in entities:
        number += 1
        block = entity.block() if isinstance(entity, Insert) else None
        if block is None:
            continue
        if block.name in within:
            raise FaultError("", message("dxf-block-recursive", name=block.name))
        if len(within) >= limits().levels:
            raise limits().over("file-nested", "levels", limits().levels + 1, kind="DXF")
        if block.name not in sizes:
            sizes[block.name] = _placed(block, sizes, (*within, block.name))
        number += max(1, entity.mcount) * (1 + sizes[block.name])  # type: ignore[attr-defined]
    return number


def _hidden_by(layer: Any) -> str:
    """Why a layer is hidden, or "" if it is visible."""
    if layer.is_frozen():
        return "frozen"
    if layer.is_off():
        return "off"
    return "" if layer.dxf.get("plot", 1) else "unplotted"


def _upright(entity: Any, points: Floats, bulges: Floats) -> tuple[Floats, Floats]:
    """Points and bulges in world coordinates; an entity seen from below has x and its bulges reversed."""
    if not entity.dxf.hasattr("extrusion"):
        return points, bulges
    x, y, z = entity.dxf.extrusion
    if abs(x) > LEVEL or abs(y) > LEVEL:
        raise _tilted(entity, points[0] if len(points) else np.zeros(2))
    if z > 0:
        return points, bulges
    return points * [-1.0, 1.0], -bulges


def _unreadable(entity: Any, error: Exception) -> FaultError:
    return FaultError(
        "",
        message("dxf-unreadable", kind=entity.dxftype(), layer=entity.dxf.layer, error=_one_line(error)),
    )


def _one_line(text: object) -> str:
    return " ".join(str(text).split()).rstrip(".")[:160]


def _tilted(entity: Any, place: Floats) -> FaultError:
    return FaultError(
        "",
        message(
            "dxf-not-flat", kind=entity.dxftype(), layer=entity.dxf.layer, x=f"{place[0]:.6g}", y=f"{place[1]:.6g}"
        ),
    )
