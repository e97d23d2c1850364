"""Shapes of an SVG drawing, read with svgelements, in user units."""

from __future__ import annotations

import io
import re
from collections.abc import Collection, Iterator
from itertools import pairwise
from math import atan2, isfinite
from typing import Any
from xml.etree import ElementTree

import numpy as np
import shapely
import svgelements
from numpy.typing import NDArray
from svgelements import SVG

from geometry.arcs import curve_arcs, ellipse_arcs
from geometry.arrays import Floats
from geometry.errors import FaultError
from geometry.files import InputFile, parsing
from geometry.message import message
from geometry.numbers import decimal_number
from geometry.readers.nest import filled
from geometry.readers.sheet import NO_NAMES, LineCollector, Lines, Names, Sheet, Text, left_out_note
from geometry.readers.svg_tree import FILL, LAYER, SVG_NAMESPACE, TEXT, bare_tag, drawn_tree

# source: CSS Values and Units, absolute lengths; exact
UNITS_M = {"mm": 0.001, "cm": 0.01, "q": 0.00025, "in": 0.0254, "pt": 0.0254 / 72, "pc": 0.0254 / 6}


LEAST_UNIT_M, MOST_UNIT_M = 1e-12, 1e6
"""Range of a plausible user unit, m; outside it, the page size tells nothing about the drawing's size."""


def open_drawing(file: InputFile) -> SvgSource:
    """Open an SVG file. Raises FaultError if it is not SVG or its size is ambiguous."""
    try:
        root = ElementTree.fromstring(file.read())
    except ElementTree.ParseError as error:
        raise FaultError("", message("svg-not", error=str(error))) from error
    if root.tag not in (SVG_NAMESPACE + "svg", "svg"):
        raise FaultError("", message("svg-root", tag=bare_tag(root.tag)))
    return SvgSource(root)


class SvgSource:
    """An opened SVG file. See `geometry.readers.sheet.Source`.

    Lengths are in user units, before the viewBox is scaled to the page. `unit_m` is the length of a user unit by the
    page's physical size, or None if width and height are plain numbers, pixels or percentages.
    """

    def __init__(self, root: ElementTree.Element) -> None:
        view = _view_box(root)
        self.unit_m = _unit_m(root, view)
        width, height = (_pixels(root.get(key)) for key in ("width", "height"))
        self._view = view
        self._size = view[2:] if view else (width or 1000.0, height or 1000.0)
        self._flip_y = view[1] + view[3] if view else (height or 0.0)
        # Remove the attributes that scale the drawing to the page, so that shapes keep their user units.
        for key in ("width", "height", "viewBox", "x", "y"):
            root.attrib.pop(key, None)
        drawn = drawn_tree(root)
        self._root, self._problems, self._others = drawn.root, drawn.problems, drawn.others

    def sheet(self, layers: Collection[str] | None, chord: float, ignored: Names = NO_NAMES) -> Sheet:
        """Shapes in the given groups, by id or label. Raises FaultError for an unknown group."""
        xml = io.BytesIO(ElementTree.tostring(self._root))
        try:
            drawing = SVG.parse(xml, reify=False, width=self._size[0], height=self._size[1], on_error="raise")
        except Exception as error:  # the library raises exceptions of any type
            raise FaultError("", message("svg-shape", error=" ".join(str(error).split())[:120])) from error
        closed, loose = LineCollector(), LineCollector()
        numbers: dict[tuple[str, ...], int] = {}
        seen: set[str] = set()
        texts: list[Text] = []
        omitted = within = 0
        others = self._others
        for shape in drawing.elements():
            if not isinstance(shape, svgelements.Shape):
                continue
            names = tuple((shape.values.get(LAYER) or "").split("\n"))
            seen.update(names)
            if ignored.hold(names):
                omitted += 1
                continue
            if shape.values.get(TEXT):
                texts.append(self._text(shape, names))
                continue
            if layers is not None and not set(layers) & set(names):
                continue
            number = numbers.setdefault(names, len(numbers))
            with parsing("SVG"):
                path = abs(svgelements.Path(shape))
            own = LineCollector()
            for points, bulges, is_closed in _lines(path, chord):
                points[:, 1] = self._flip_y - points[:, 1]
                (own if is_closed else loose).add(points, -bulges, number)
            rings = own.lines()
            if len(rings) > 1 and shape.values.get(FILL) == "nonzero":
                edges = _bound_the_fill(rings, chord)
                within += int((~edges).sum())
                rings = rings.chosen(edges)
            closed.add_lines(rings)
        for name in layers or ():
            if name not in seen:
                listed = ", ".join(sorted(seen - {""}))
                raise FaultError("", message("group-empty", group=name, groups=listed, count=len(listed)))
        problems = list(self._problems)
        if within:
            problems.append(message("note-no-holes", count=within))
        if not numbers and others:
            problems.append(left_out_note(others))
        return Sheet(
            closed.lines(),
            loose.lines(),
            tuple(names[-1] for names in numbers),
            tuple(problems),
            self._flip_y,
            groups=tuple(numbers),
            texts=tuple(texts),
            omitted=(("ignored", omitted),) if omitted else (),
        )

    def _text(self, shape: Any, names: tuple[str, ...]) -> Text:
        """The text represented by a short line, see `svg_tree.TEXT`."""
        start, up = (_xy(segment.end) for segment in list(abs(svgelements.Path(shape)))[:2])
        x, y = start.tolist()
        height = float(np.hypot(*(up - start)))
        return Text(str(shape.values[TEXT]), (x, self._flip_y - y), height, names)


def _lines(path: Any, chord: float) -> Iterator[tuple[Floats, Floats, bool]]:
    """Yield each subpath as points (n, 2), bulges (n − 1,), or (n,) if closed, and whether it is closed."""
    points: list[Floats] = []
    bulges: list[Floats] = []
    for segment in path:
        if isinstance(segment, svgelements.Move):
            if len(points) > 1:
                yield np.concatenate(points), np.concatenate(bulges), False
            points, bulges = [_xy(segment.end)[None]], []
        elif isinstance(segment, svgelements.Close):
            if len(points) > 1:
                yield np.concatenate(points), np.concatenate([*bulges, [0.0]]), True
            points, bulges = [_xy(segment.end)[None]] if segment.end is not None else [], []
        else:
            along, bends = _arcs(segment, chord)
            points.append(along[1:])
            bulges.append(bends)
    if len(points) > 1:
        yield np.concatenate(points), np.concatenate(bulges), False


def _bound_the_fill(rings: Lines, chord: float) -> NDArray[np.bool_]:
    """Mask (k,) of the closed subpaths of one path across which its fill begins or ends, by the rule "nonzero".

    A subpath inside another makes a hole only if it runs the other way round.
    Source: SVG 2, fill-rule.
    """
    polygons = filled(rings, chord)
    if not shapely.is_valid(polygons).all():  # refused later, with its place
        return np.ones(len(rings), dtype=bool)
    way = np.where(shapely.is_ccw(shapely.get_exterior_ring(polygons)), 1, -1)
    inner, outer = shapely.STRtree(polygons).query(polygons, predicate="covered_by")
    around = inner != outer
    outside = np.bincount(inner[around], weights=way[outer[around]], minlength=len(rings))
    return np.asarray((outside != 0) != (outside + way != 0), dtype=np.bool_)


def _arcs(segment: Any, chord: float) -> tuple[Floats, Floats]:
    """A path segment as points (k + 1, 2) and bulges (k,). Raises FaultError for coordinates that are not finite."""
    if not all(isfinite(x) for point in segment if point is not None for x in (point.x, point.y)):
        raise FaultError("", message("coordinate-not-finite"))
    start, end = _xy(segment.start), _xy(segment.end)
    if isinstance(segment, svgelements.Arc):
        # The library transforms two conjugate semi-axes; rx, ry and rotation are only valid without skew.
        center = _xy(segment.center)
        major, minor = _xy(segment.prx) - center, _xy(segment.pry) - center
        turning = major[0] * minor[1] - major[1] * minor[0]
        if not isfinite(turning + float(segment.sweep)):
            raise FaultError("", message("coordinate-not-finite"))
        if turning and segment.sweep:
            c, s = np.linalg.solve(np.stack([major, minor], axis=1), start - center)
            return ellipse_arcs(center, major, minor, atan2(s, c), float(segment.sweep) * np.sign(turning), chord)
    elif isinstance(segment, svgelements.CubicBezier):
        controls = np.array([start, _xy(segment.control1), _xy(segment.control2), end])
        return _bezier(controls, chord)
    elif isinstance(segment, svgelements.QuadraticBezier):
        return _bezier(np.array([start, _xy(segment.control), end]), chord)
    return np.array([start, end]), np.zeros(1)


def _bezier(controls: Floats, chord: float) -> tuple[Floats, Floats]:
    """A Bézier curve with control points (3, 2) or (4, 2) as arcs."""
    if (controls == controls[0]).all():
        return controls[[0, -1]], np.zeros(1)

    def evaluate(t: Floats) -> tuple[Floats, Floats]:
        s = t[:, None]
        level = [np.broadcast_to(point, (len(t), 2)) for point in controls]
        while len(level) > 2:
            level = [(1 - s) * a + s * b for a, b in pairwise(level)]
        return (1 - s) * level[0] + s * level[1], (len(controls) - 1) * (level[1] - level[0])

    return curve_arcs(evaluate, np.array([0.0, 1.0]), chord)


def _xy(point: Any) -> Floats:
    return np.array([float(point.x), float(point.y)])


def _unit_m(root: ElementTree.Element, view: tuple[float, ...] | None) -> float | None:
    """Meters per user unit, from the page's physical size; None if it has none."""
    sizes = [_meters(root.get(key)) for key in ("width", "height")]
    if sizes == [None, None]:
        return None
    if view is None:
        return UNITS_M["in"] / 96  # source: CSS Values and Units, 96 px per inch
    scales = [size / extent for size, extent in zip(sizes, view[2:], strict=True) if size is not None]
    fit = root.get("preserveAspectRatio", "").split()
    if fit[:1] == ["none"] and abs(scales[0] - scales[-1]) > 1e-6 * scales[0]:
        raise FaultError("", message("svg-stretched"))
    scale = max(scales) if "slice" in fit else min(scales)
    if not LEAST_UNIT_M <= scale <= MOST_UNIT_M:
        raise FaultError("", message("svg-viewbox-scale", text=root.get("viewBox", "")[:60], unit=f"{scale:.3g}"))
    return scale


def _view_box(root: ElementTree.Element) -> tuple[float, float, float, float] | None:
    text = root.get("viewBox")
    if text is None:
        return None
    try:
        x, y, width, height = (decimal_number(value) for value in re.split(r"[\s,]+", text.strip()))
    except ValueError as error:
        raise FaultError("", message("svg-viewbox", text=text)) from error
    if not (width > 0 and height > 0):
        raise FaultError("", message("svg-viewbox-empty", text=text))
    return x, y, width, height


def _length(text: str | None) -> tuple[float, str] | None:
    match = re.fullmatch(r"\s*([0-9.]+(?:e[+-]?[0-9]+)?)\s*([a-z%]*)\s*", (text or "").lower())
    return (float(match[1]), match[2]) if match else None


def _meters(text: str | None) -> float | None:
    length = _length(text)
    return length[0] * UNITS_M[length[1]] if length and length[1] in UNITS_M and length[0] > 0 else None


def _pixels(text: str | None) -> float | None:
    length = _length(text)
    if length is None:
        return None
    number, unit = length
    if unit in UNITS_M:
        return number * UNITS_M[unit] / UNITS_M["in"] * 96
    return number if unit in ("", "px") else None
