"""Lines of a drawing as read: closed outlines and loose lines, in the drawing's unit."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from math import acos, degrees
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from geometry.arrays import Floats, Ints
from geometry.errors import unit_name
from geometry.frozen import frozen
from geometry.message import Message, message


@frozen(eq=False)
class Lines:
    """k polylines of straight edges and arcs, concatenated into one set of arrays.

    points   (n, 2)
    bulges   (n,) bulge of the edge from each point to the next; meaningless for the last point of an open line
    offsets  (k + 1,) index of each line's first point, and n
    layers   (k,) layer index of each line
    """

    points: Floats
    bulges: Floats
    offsets: Ints
    layers: Ints

    def __len__(self) -> int:
        return len(self.layers)

    @property
    def line_of_point(self) -> Ints:
        """Index (n,) of the line that each point belongs to."""
        return np.repeat(np.arange(len(self)), np.diff(self.offsets))

    @property
    def successors(self) -> Ints:
        """Index (n,) of the point after each point; the last point of a line is followed by its first."""
        after = np.arange(1, len(self.points) + 1)
        after[self.offsets[1:] - 1] = self.offsets[:-1]
        return after

    def line(self, number: int) -> tuple[Floats, Floats]:
        """Points and bulges of one line."""
        part = slice(self.offsets[number], self.offsets[number + 1])
        return self.points[part], self.bulges[part]

    def chosen(self, wanted: NDArray[np.bool_]) -> Lines:
        """The lines where the mask (k,) is true."""
        sizes = np.diff(self.offsets)
        points = np.repeat(wanted, sizes)
        return Lines(self.points[points], self.bulges[points], _offsets(sizes[wanted]), self.layers[wanted])

    def without_points(self, unwanted: NDArray[np.bool_]) -> Lines:
        """The lines without the points where the mask (n,) is true, and without lines that become empty."""
        sizes = np.bincount(self.line_of_point[~unwanted], minlength=len(self))
        left = sizes > 0
        return Lines(self.points[~unwanted], self.bulges[~unwanted], _offsets(sizes[left]), self.layers[left])

    def joined(self, others: Lines) -> Lines:
        """These lines followed by others."""
        return Lines(
            np.concatenate([self.points, others.points]),
            np.concatenate([self.bulges, others.bulges]),
            np.concatenate([self.offsets, others.offsets[1:] + self.offsets[-1]]),
            np.concatenate([self.layers, others.layers]),
        )


@dataclass
class LineCollector:
    """Collects lines one by one and concatenates them."""

    _points: list[Floats] = field(default_factory=list)
    _bulges: list[Floats] = field(default_factory=list)
    _layers: list[int] = field(default_factory=list)

    def add(self, points: Floats, bulges: Floats | None, layer: int) -> None:
        """Add a line; `bulges` may omit an open line's last one, or be None if all edges are straight."""
        if bulges is None:
            bulges = np.zeros(len(points))
        elif len(bulges) < len(points):
            bulges = np.append(bulges, 0.0)
        self._points.append(points)
        self._bulges.append(bulges)
        self._layers.append(layer)

    def add_lines(self, lines: Lines) -> None:
        """Add every line of a set."""
        for number, layer in enumerate(lines.layers.tolist()):
            self.add(*lines.line(number), layer)

    def lines(self) -> Lines:
        """All collected lines."""
        sizes = [len(points) for points in self._points]
        return Lines(
            np.concatenate([np.empty((0, 2)), *self._points]),
            np.concatenate([np.empty(0), *self._bulges]),
            _offsets(np.array(sizes, dtype=np.intp)),
            np.array(self._layers, dtype=np.intp),
        )


@frozen
class Names:
    """Case-insensitive names of layers or groups; `*` matches any characters.

    >>> Names(("DIM*", "border")).hold(("plan", "dimensions"))
    True
    """

    patterns: tuple[str, ...] = ()

    def hold(self, names: Iterable[str]) -> bool:
        """Whether any of the given names matches."""
        return bool(self.patterns) and any(_pattern(self.patterns).fullmatch(name.casefold()) for name in names)

    def unmet(self, names: Iterable[str]) -> list[str]:
        """Patterns that match none of the given names."""
        known = [name.casefold() for name in names]
        return [name for name in self.patterns if not any(map(_pattern((name,)).fullmatch, known))]


@lru_cache(maxsize=64)
def _pattern(patterns: tuple[str, ...]) -> re.Pattern[str]:
    return re.compile("|".join(".*".join(map(re.escape, name.casefold().split("*"))) for name in patterns), re.DOTALL)


NO_NAMES = Names()


@frozen
class Text:
    """A line of text in a drawing, which may be the mark of a piece.

    text    first line
    place   (x, y) of the insertion point, in the drawing's unit
    height  letter height, in the drawing's unit
    layers  names of all layers or groups around it, outermost first
    """

    text: str
    place: tuple[float, float]
    height: float
    layers: tuple[str, ...]


@frozen
class Unevenness:
    """Deviation of points drawn in space from their best-fit plane.

    part      the lines concerned
    residual  largest deviation, in the drawing's unit
    place     (x, y) of the point with the largest deviation
    tilt_deg  angle between the plane and the drawing plane
    """

    part: Message
    residual: float
    place: tuple[float, float]
    tilt_deg: float


def unevenness(part: Message, places: Floats) -> Unevenness:
    """Deviation of points (n, 3) from their best-fit plane, by singular value decomposition."""
    centered = places - places.mean(axis=0)
    normal = np.linalg.svd(centered, full_matrices=False)[2][-1] if len(places) > 2 else np.array([0.0, 0.0, 1.0])
    off = np.abs(centered @ normal)
    worst = int(off.argmax())
    x, y, _ = places[worst].tolist()
    return Unevenness(part, float(off[worst]), (x, y), degrees(acos(min(1.0, abs(float(normal[2]))))))


@frozen(eq=False)
class Sheet:
    """The lines of a drawing, in its own unit, y upward.

    closed    outlines closed in the file
    loose     lines that may join into outlines
    layers    layer names by layer index
    problems  what was left out or repaired while reading
    flip_y    for files with y downward: the file's y is flip_y − y
    uneven    flattened lines in space
    groups    names of all layers or groups by layer index, outermost first
    texts     visible lines of text
    omitted   (reason, number) of other entities
    """

    closed: Lines
    loose: Lines
    layers: tuple[str, ...] = ()
    problems: tuple[Message, ...] = ()
    flip_y: float | None = None
    uneven: tuple[Unevenness, ...] = ()
    groups: tuple[tuple[str, ...], ...] = ()
    texts: tuple[Text, ...] = ()
    omitted: tuple[tuple[str, int], ...] = ()


class Source(Protocol):
    """An opened drawing file."""

    unit_m: float | None
    """Meters per unit of the drawing; None if the file does not state it."""

    def sheet(self, layers: Collection[str] | None, chord: float, ignored: Names = NO_NAMES) -> Sheet:
        """Lines on the given layers (None for all), with curves as arcs within `chord`, in drawing units.

        ignored  layers to leave out completely, including the contents of blocks on them
        """


@frozen
class Place:
    """Formats points and lengths in the coordinates and unit of the drawing."""

    unit_m: float
    flip_y: float | None = None

    @property
    def unit(self) -> str:
        """Name of the drawing's unit."""
        return unit_name(self.unit_m, f"× {self.unit_m:g} m")

    def at(self, point: Floats) -> str:
        """Text for a point given in drawing units."""
        x, y = float(point[0]), float(point[1])
        return f"({_plain(x)}, {_plain(y if self.flip_y is None else self.flip_y - y)}) {self.unit}"

    def length(self, length: float) -> str:
        """Text for a length given in drawing units."""
        return f"{length:.3g} {self.unit}"


def left_out_note(kinds: Mapping[str, int]) -> Message:
    """Note on entities that are not outlines: their numbers by kind."""
    items = [message("note-left-out-item", count=n, kind=kind) for kind, n in sorted(kinds.items())]
    return message("note-left-out", items=items)


def _offsets(sizes: Ints) -> Ints:
    return np.concatenate([np.zeros(1, dtype=np.intp), np.cumsum(sizes, dtype=np.intp)])


def _plain(value: float) -> str:
    return f"{round(value, 4) + 0.0:.8g}"
