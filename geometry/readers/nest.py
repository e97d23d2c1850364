"""Nest closed outlines into regions: outermost outlines are material, outlines directly inside them are holes."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray

from geometry.arcs import STRAIGHT_BULGE, arc_centers, arc_extremes, edge_integrals, edge_lengths, flatten
from geometry.arrays import Floats, Ints
from geometry.errors import FaultError
from geometry.frozen import frozen
from geometry.message import Message, few, message
from geometry.plane import Region, Ring, fault_of
from geometry.readers.sheet import Lines, Place, Text

FLAT = 1e-12
"""An outline has no area if its area is below this fraction of its length squared."""

ALONG = 0.01
"""A hole may touch the outline around it along at most this fraction of its length."""


Reason = Literal["border", "title-block", "twice", "flat", "bowl", "balloon", "other-layer", "hole-alone"]
"""Why an outline is neither a piece nor a hole."""

Kind = Literal["any", "piece", "other", "solid", "hole"]
"""Kind of an outline by its layer: `any` if no layers are specified. If the layers of pieces are, `piece` on those and
`other` (at most a hole) on the rest. If the layers of holes are, `solid` and `hole`."""


@frozen(eq=False)
class Piece:
    """A piece of a drawing.

    region  outline with holes, m
    layer   index of the outline's layer
    marks   marks whose insertion points lie on its material
    """

    region: Region
    layer: int
    marks: tuple[Text, ...]


@frozen(eq=False)
class Omission:
    """An outline that is left out, m, and the reason."""

    ring: Ring
    reason: Reason


@frozen(eq=False)
class Nested:
    """Pieces ordered left to right, then bottom to top; outlines left out; and notes.

    stray  number of mark-like texts outside all outlines
    """

    pieces: tuple[Piece, ...]
    omissions: tuple[Omission, ...]
    problems: tuple[Message, ...]
    stray: int = 0

    @property
    def regions(self) -> tuple[Region, ...]:
        return tuple(piece.region for piece in self.pieces)


def nested(
    outlines: Lines,
    gap: float,
    chord: float,
    place: Place,
    texts: Sequence[Text] = (),
    kinds: Sequence[Kind] = (),
    *,
    any_text: bool = False,
) -> Nested:
    """Check closed outlines and nest them.

    outlines  in the drawing's unit
    gap       outlines that agree within this are duplicates; outlines that overlap by no more only touch
    chord     tolerance for flattening arcs
    texts     texts that may be marks or belong to a title block
    kinds     kind by layer index; empty for `any` on all layers
    any_text  whether any text counts as a mark if its outline has no usual one

    Outermost outlines are material, and outlines directly inside them are holes. A deeper outline (a bowl line, a
    drain) is material only if it has a mark; otherwise it is left out and noted. An outermost outline without a mark
    but with marked ones directly inside is the border of the sheet, and outlines along it form the title block.
    Raises FaultError for outlines that cross or touch themselves, cross each other, or run along each other.
    """
    problems: list[Message] = []
    outlines, polygons, flat = _with_width(outlines, chord)
    if flat.size:
        problems.append(message("note-outlines-flat", count=len(flat), place=place.at(flat[0])))
    _refuse_invalid(polygons, place)
    of_outline: list[Kind] = [kinds[layer] if kinds else "any" for layer in outlines.layers.tolist()]
    contacts = _containment(polygons, gap, [_KEPT.index(kind) for kind in of_outline])
    if contacts.repeated.any():
        at = place.at(outlines.points[outlines.offsets[:-1][contacts.repeated][0]])
        problems.append(message("note-outlines-twice", count=int(contacts.repeated.sum()), place=at))
    tree = _Tree(outlines, polygons, contacts, of_outline, texts, any_text)
    tree.settle(gap, place)
    bowls = [number for number, reason in tree.left_out.items() if reason == "bowl"]
    if bowls:
        places = [place.at(outlines.points[at]) for at in outlines.offsets[:-1][sorted(bowls)].tolist()]
        problems.append(message("note-islands", count=len(bowls), places=few(places, 3)))
    rings = _rings(outlines, place.unit_m)
    pieces = [
        Piece(
            _region(rings[number], tuple(rings[hole] for hole in holes)),
            int(outlines.layers[number]),
            tuple(tree.marks.get(number, ())),
        )
        for number, holes in tree.material.items()
    ]
    if bowls and len(pieces) == 1:
        problems.append(message("note-border"))
    # Rounded, so that rounding errors in x do not disturb the order of a column.
    pieces.sort(key=lambda piece: (round(piece.region.bounds[0], 6), piece.region.bounds[1]))
    omissions = tuple(Omission(rings[number], reason) for number, reason in tree.left_out.items())
    for id in ("border", "title-block", "balloon"):
        if number := sum(reason == id for reason in tree.left_out.values()):
            problems.append(message(f"note-{id}s", count=number))
    return Nested(tuple(pieces), omissions, tuple(problems), tree.stray)


MARK = re.compile(r"[A-Z]{1,3}-?\d{1,3}[a-z]?")
"""Pattern of a piece mark: C1, B-12, SP3a."""

SHEET_NUMBER = re.compile(r"[A-Z]{1,2}-?\d{3}")
"""Pattern of a sheet number, in a border whose title block is not closed: A-101."""

DOUBLE_SHARE = 0.85
"""A marked outline that fills at least this part of the one around it may be a second line of the same piece."""

FRAME_SHARE = 0.75
"""An outline that fills at least this fraction of the outermost one is a second line of the sheet's border."""

TITLE_TEXTS = 3
"""An outline along the border that has a mark and fewer texts than this is a piece, not a title block. An outline near
the border with more texts is a title block."""

NEAR_BORDER = 0.03
"""Largest distance of a title block from the border, as a fraction of the square root of the sheet's area."""

CELL_SHARE = 0.05
"""A marked outline along both border and title block that fills at most this fraction of the sheet is a cell of the
title block, since a sheet number looks like a mark."""

_KEPT: tuple[Kind, ...] = ("solid", "piece", "hole", "any", "other")
"""Priority of kinds: of duplicate outlines, the one whose kind comes first is kept."""


class _Tree:
    """Containment of outlines, and their classification: material with its holes, or left out with a reason."""

    def __init__(
        self,
        outlines: Lines,
        polygons: NDArray[np.object_],
        contacts: _Contacts,
        kinds: Sequence[Kind],
        texts: Sequence[Text],
        any_text: bool,
    ) -> None:
        self.material: dict[int, list[int]] = {}
        self.left_out: dict[int, Reason] = dict.fromkeys(np.nonzero(contacts.repeated)[0].tolist(), "twice")
        self.marks: dict[int, list[Text]] = {}
        self.stray = 0
        self._polygons, self._contacts, self._kinds, self._any_text = polygons, contacts, kinds, any_text
        self._around: dict[int, list[int]] = {}
        for inner, outer in zip(contacts.inner.tolist(), contacts.outer.tolist(), strict=True):
            self._around.setdefault(inner, []).append(outer)
        areas = shapely.area(polygons)
        for outers in self._around.values():
            outers.sort(key=lambda number: float(areas[number]))
        self._holders = self._held(texts)
        self._round = _are_circles(outlines)

    def _held(self, texts: Sequence[Text]) -> list[tuple[Text, list[int]]]:
        """Each text with the outlines around its insertion point, innermost first."""
        if not texts or not len(self._polygons):
            return []
        points = shapely.points([text.place for text in texts])
        at, number = shapely.STRtree(self._polygons).query(points, predicate="intersects")
        held: list[list[int]] = [[] for _ in texts]
        for i, j in zip(at.tolist(), number.tolist(), strict=True):
            held[i].append(j)
        areas = shapely.area(self._polygons)
        return [(text, sorted(outers, key=lambda j: float(areas[j]))) for text, outers in zip(texts, held, strict=True)]

    def settle(self, gap: float, place: Place) -> None:
        """Classify every outline. Raises FaultError for outlines with invalid contacts."""
        if "piece" in self._kinds:
            self._leave_strangers()
        self._leave_balloons()
        self._assign_marks()
        borders = self._borders(place)
        if borders:
            self._leave_sheet(borders, gap)
        self._refuse_contacts(place)
        order = sorted(self._left(), key=lambda number: len(self._around.get(number, ())))
        for number in order:
            self._place_in_tree(number)

    def _left(self) -> list[int]:
        return [number for number in range(len(self._polygons)) if number not in self.left_out]

    def _parent(self, number: int) -> int | None:
        """Innermost outline around this one that is not left out, except as a bowl line."""
        skipped = ("twice", "border", "title-block", "balloon", "other-layer")
        return next((j for j in self._around.get(number, ()) if self.left_out.get(j) not in skipped), None)

    def _children(self) -> dict[int | None, list[int]]:
        below: dict[int | None, list[int]] = {}
        for number in self._left():
            below.setdefault(self._parent(number), []).append(number)
        return below

    def _leave_strangers(self) -> None:
        """Leave out outlines that are neither on a layer of pieces or holes nor inside a piece."""
        for number in self._left():
            inside = any(self._kinds[j] == "piece" for j in self._around.get(number, ()))
            if self._kinds[number] == "other" and not inside:
                self.left_out[number] = "other-layer"

    def _leave_balloons(self) -> None:
        """Leave out circles drawn around a mark."""
        for text, holders in self._holders:
            if MARK.fullmatch(text.text) is None or not holders or not self._round[holders[0]]:
                continue
            x0, _, x1, _ = self._polygons[holders[0]].bounds
            if len(holders) > 1 and text.height <= x1 - x0 <= (2 + len(text.text)) * text.height:
                self.left_out.setdefault(holders[0], "balloon")

    def _assign_marks(self) -> None:
        self.marks, self.stray, others = {}, 0, dict[int, list[Text]]()
        for text, holders in self._holders:
            number = next((j for j in holders if j not in self.left_out), None)
            if number is None and all(self.left_out[j] == "border" for j in holders):
                self.stray += MARK.fullmatch(text.text) is not None
            if number is not None and text.text:
                target = self.marks if MARK.fullmatch(text.text) is not None else others
                target.setdefault(number, []).append(text)
        if self._any_text:
            self.marks = others | self.marks

    def _borders(self, place: Place) -> list[int]:
        """Outermost outlines with marked outlines, or a second border line, directly inside.

        Raises FaultError for a marked outline with marked ones inside, since it could be a border or a piece.
        """
        below, areas = self._children(), shapely.area(self._polygons)

        def frames(number: int) -> list[int]:
            if self._kinds[number] == "hole":
                return []
            inside = below.get(number, [])
            marked = [child for child in inside if child in self.marks and self._kinds[child] not in ("hole", "other")]
            lines = [child for child in inside if areas[child] >= FRAME_SHARE * areas[number]]
            inner = frames(lines[0]) if not marked and len(lines) == 1 else []
            if not (marked or inner):
                return []
            own = [text for text in self.marks.get(number, []) if MARK.fullmatch(text.text)]
            if not all(SHEET_NUMBER.fullmatch(text.text) for text in own):
                names = [self.marks[child][0].text for child in marked or below[inner[-1]] if child in self.marks]
                at = place.at(np.array(own[0].place))
                raise FaultError("", message("drawing-marks-nested", mark=own[0].text, marks=few(names, 3), place=at))
            if len(marked) == 1 and areas[marked[0]] >= DOUBLE_SHARE * areas[number]:
                text = self.marks[marked[0]][0]
                raise FaultError("", message("drawing-two-lines", mark=text.text, place=place.at(np.array(text.place))))
            return [number, *inner]

        return [line for number in below.get(None, []) for line in frames(number)]

    def _leave_sheet(self, borders: list[int], gap: float) -> None:
        """Leave out the border and the title block, the connected outlines along the border that contain no piece."""
        self.left_out |= dict.fromkeys(borders, "border")
        texts = Counter(number for _, holders in self._holders for number in holders)
        frame = shapely.union_all([self._polygons[line].boundary for line in borders])
        sheet = max(self._polygons[line].area for line in borders)
        for number in self._left():
            own = self._polygons[number]
            near = frame.distance(own) <= NEAR_BORDER * sheet**0.5
            if near and texts[number] > TITLE_TEXTS and self._kinds[number] != "hole":
                self.left_out[number] = "title-block"
        queue = [*borders, *(number for number, reason in self.left_out.items() if reason == "title-block")]
        while queue:
            line = queue.pop()
            edge = self._polygons[line].boundary.buffer(1e-3 * gap)
            for number in self._left():
                own = self._polygons[number]
                if self._kinds[number] == "hole" or not _runs(own, edge):
                    continue
                cell = line not in borders and own.area <= CELL_SHARE * sheet and _runs(own, frame.buffer(1e-3 * gap))
                if cell or number not in self.marks or texts[number] >= TITLE_TEXTS:
                    self.left_out[number] = "title-block"
                    queue.append(number)
        blocks = {number for number, reason in self.left_out.items() if reason == "title-block"}
        for number in self._left():
            if blocks & set(self._around.get(number, ())):
                self.left_out[number] = "title-block"
        self._assign_marks()

    def _refuse_contacts(self, place: Place) -> None:
        for how, i, j in self._contacts.faults:
            if not {i, j} & self.left_out.keys():
                _refuse_contact(how, self._polygons[i], self._polygons[j], place)

    def _place_in_tree(self, number: int) -> None:
        """Classify an outline as material, as a hole, or as left out, once the outlines around it are classified."""
        parent, kind = self._parent(number), self._kinds[number]
        if parent is None:
            if kind == "hole":
                self.left_out[number] = "hole-alone"
            else:
                self.material[number] = []
        elif parent in self.material:
            if kind == "solid":
                self.left_out[number] = "other-layer"
            else:
                self.material[parent].append(number)
        elif number in self.marks and kind in ("any", "piece", "solid"):
            self.material[number] = []
        else:
            self.left_out[number] = "bowl"


def _runs(outline: shapely.Polygon, edge: shapely.Geometry) -> bool:
    """Whether an outline runs along an edge, not just touching it at a point."""
    return bool(shapely.intersection(outline.boundary, edge).length > ALONG * outline.length)


def _are_circles(outlines: Lines) -> NDArray[np.bool_]:
    """Mask (k,) of outlines that are full circles: only arcs, all with the same center."""
    start, end = outlines.points, outlines.points[outlines.successors]
    curved = np.abs(outlines.bulges) > STRAIGHT_BULGE
    whole: NDArray[np.bool_] = np.bincount(outlines.line_of_point, ~curved, minlength=len(outlines)) == 0
    if not whole.any():
        return whole
    centers, radii = arc_centers(start, end, np.where(curved, outlines.bulges, 1.0))
    first = outlines.offsets[:-1]
    offsets = np.hypot(*(centers - centers[first][outlines.line_of_point]).T)
    whole &= np.maximum.reduceat(offsets, first) <= 1e-6 * radii[first]
    return whole


def _with_width(outlines: Lines, chord: float) -> tuple[Lines, NDArray[np.object_], Floats]:
    """Outlines with a nonzero area, their polygons, and a point (m, 2) of each of the others."""
    still = (outlines.points == outlines.points[outlines.successors]).all(axis=1)
    if still.any():
        outlines = outlines.without_points(still)
    curved = np.bincount(
        outlines.line_of_point, np.abs(outlines.bulges) > STRAIGHT_BULGE, minlength=len(outlines)
    ).astype(bool)
    wide = curved | (np.diff(outlines.offsets) >= 3)
    flat = outlines.points[outlines.offsets[:-1][~wide]]
    outlines = outlines.chosen(wide)
    polygons = filled(outlines, chord)
    thin = np.abs(shapely.area(polygons)) <= FLAT * shapely.length(polygons) ** 2
    thin[thin] = shapely.area(shapely.convex_hull(polygons[thin])) <= FLAT * shapely.length(polygons[thin]) ** 2
    if thin.any():
        flat = np.concatenate([flat, outlines.points[outlines.offsets[:-1][thin]]])
        outlines, polygons = outlines.chosen(~thin), polygons[~thin]
    return outlines, polygons, flat


def filled(outlines: Lines, chord: float) -> NDArray[np.object_]:
    """Outlines as filled polygons, with arcs flattened so that the area is kept."""
    points, edges = flatten(outlines.points, outlines.points[outlines.successors], outlines.bulges, chord)
    rings: NDArray[np.object_] = shapely.linearrings(points, indices=outlines.line_of_point[edges])
    polygons: NDArray[np.object_] = shapely.polygons(rings)
    return polygons


def _refuse_invalid(polygons: NDArray[np.object_], place: Place) -> None:
    invalid = polygons[~shapely.is_valid(polygons)]
    if not len(invalid):
        return
    fault, x, y = fault_of(invalid[0])
    at = place.at(np.array([x, y]))
    raise FaultError("", message("outlines-invalid", fault=fault, place=at, more=len(invalid) - 1))


@frozen(eq=False)
class _Contacts:
    """Containment and contacts of outlines.

    inner, outer  (m,) index pairs: outline `inner` lies inside `outer`
    repeated      (k,) mask of duplicates
    faults        (how, index, index) of pairs that cross or run along each other
    """

    inner: Ints
    outer: Ints
    repeated: NDArray[np.bool_]
    faults: tuple[tuple[str, int, int], ...]


def _containment(polygons: NDArray[np.object_], gap: float, rank: Sequence[int]) -> _Contacts:
    """Find containment and contacts; of duplicates, the one of lowest rank is kept, then the first."""
    repeated = np.zeros(len(polygons), dtype=bool)
    first, second = shapely.STRtree(polygons).query(polygons, predicate="intersects")
    once = first < second
    first, second = first[once], second[once]
    areas = shapely.area(polygons)
    swap = areas[first] > areas[second]
    inner, outer = np.where(swap, second, first), np.where(swap, first, second)
    shapely.prepare(polygons[np.unique(outer)])
    inside = shapely.contains_properly(polygons[outer], polygons[inner])
    # An outline just inside another is a duplicate, not the hole of a ring with no width.
    inside &= areas[outer] - areas[inner] > gap * shapely.length(polygons[inner])
    faults = []
    for i, j in zip(inner[~inside].tolist(), outer[~inside].tolist(), strict=True):
        if repeated[i] or repeated[j]:
            continue
        slack = gap * polygons[i].length
        shared = shapely.intersection(polygons[i], polygons[j]).area
        if shared <= slack:
            continue
        if areas[i] - shared > slack:
            faults.append(("crosses", i, j))
        elif areas[j] - shared <= slack:
            repeated[max((i, j), key=lambda number: (rank[number], number))] = True
        else:
            if _contact(polygons[i], polygons[j], gap) > ALONG * polygons[i].length:
                faults.append(("along", i, j))
            inside |= (inner == i) & (outer == j)
    inside &= ~(repeated[inner] | repeated[outer])
    return _Contacts(inner[inside], outer[inside], repeated, tuple(faults))


def _contact(first: shapely.Polygon, second: shapely.Polygon, gap: float) -> float:
    """Length of the first outline along the second."""
    return float(shapely.intersection(first.boundary, second.boundary.buffer(1e-3 * gap)).length)


def _refuse_contact(how: str, first: shapely.Polygon, second: shapely.Polygon, place: Place) -> None:
    common = shapely.get_coordinates(shapely.intersection(first.boundary, second.boundary))
    if not len(common):
        common = shapely.get_coordinates(first.representative_point())
    raise FaultError("", message("outlines-touch", how=how, place=place.at(common[0])))


def _region(outer: Ring, holes: tuple[Ring, ...]) -> Region:
    """A region whose rings have been checked and measured."""
    if holes:
        return Region._made(outer, holes)
    return Region._made(outer, holes, area_m2=abs(outer.signed_area_m2), perimeter_m=outer.perimeter_m)


def _rings(outlines: Lines, unit_m: float) -> list[Ring]:
    """Outlines as rings in meters, with area, length and bounds precomputed in one pass."""
    if not len(outlines):
        return []
    points, bulges = outlines.points * unit_m, outlines.bulges
    points.flags.writeable = bulges.flags.writeable = False
    first = outlines.offsets[:-1]
    start, end = points, points[outlines.successors]
    origin = points[first][outlines.line_of_point]
    about_start = np.add.reduceat(edge_integrals(start - origin, end - origin, bulges), first)
    areas = about_start[:, 0].tolist()
    lengths = np.add.reduceat(edge_lengths(start, end, bulges), first).tolist()
    low, high = np.minimum.reduceat(points, first), np.maximum.reduceat(points, first)
    extremes, edges = arc_extremes(start, end, bulges)
    np.minimum.at(low, outlines.line_of_point[edges], extremes)
    np.maximum.at(high, outlines.line_of_point[edges], extremes)
    bounds = [tuple(box) for box in np.concatenate([low, high], axis=1).tolist()]
    curved = np.add.reduceat(np.abs(bulges) > STRAIGHT_BULGE, first, dtype=np.intp).tolist()
    cuts = outlines.offsets.tolist()
    return [
        Ring._made(
            points[cuts[i] : cuts[i + 1]],
            bulges[cuts[i] : cuts[i + 1]] if curved[i] else None,
            _about_start=about_start[i],
            signed_area_m2=areas[i],
            perimeter_m=lengths[i],
            bounds=bounds[i],
        )
        for i in range(len(outlines))
    ]
