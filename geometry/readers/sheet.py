"""The lines of a drawing before they are measured: closed outlines and loose lines, in its own unit."""

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


@dataclass(frozen=True, eq=False)
class Lines:
    """Many lines end to end in one set of arrays; each is a run of points joined by straight edges or arcs.

    points   (n, 2)
    bulges   (n,) of the edge from each point to the next; that of an open line's last point means nothing
    offsets  (k + 1,) where each line starts, and n
    layers   (k,) number of its layer
    """

    points: Floats
    bulges: Floats
    offsets: Ints
    layers: Ints

    def __len__(self) -> int:
        return len(self.layers)

    @property
    def line_of_point(self) -> Ints:
        """(n,) number of the line that each point belongs to."""
        return np.repeat(np.arange(len(self)), np.diff(self.offsets))

    @property
    def successors(self) -> Ints:
        """(n,) the point after each; the first of its line after the last."""
        after = np.arange(1, len(self.points) + 1)
        after[self.offsets[1:] - 1] = self.offsets[:-1]
        return after

    def line(self, number: int) -> tuple[Floats, Floats]:
        """Points and bulges of one line."""
        part = slice(self.offsets[number], self.offsets[number + 1])
        return self.points[part], self.bulges[part]

    def chosen(self, wanted: NDArray[np.bool_]) -> Lines:
        """Only the lines where the mask (k,) is true."""
        sizes = np.diff(self.offsets)
        points = np.repeat(wanted, sizes)
        return Lines(self.points[points], self.bulges[points], _offsets(sizes[wanted]), self.layers[wanted])

    def without_points(self, unwanted: NDArray[np.bool_]) -> Lines:
        """The lines less the points where the mask (n,) is true, and less lines that are left with none."""
        sizes = np.bincount(self.line_of_point[~unwanted], minlength=len(self))
        left = sizes > 0
        return Lines(self.points[~unwanted], self.bulges[~unwanted], _offsets(sizes[left]), self.layers[left])

    def joined(self, others: Lines) -> Lines:
        """These lines and then the others."""
        return Lines(
            np.concatenate([self.points, others.points]),
            np.concatenate([self.bulges, others.bulges]),
            np.concatenate([self.offsets, others.offsets[1:] + self.offsets[-1]]),
            np.concatenate([self.layers, others.layers]),
        )


@dataclass
class LineCollector:
    """Gathers lines one by one and lays them end to end."""

    _points: list[Floats] = field(default_factory=list)
    _bulges: list[Floats] = field(default_factory=list)
    _layers: list[int] = field(default_factory=list)

    def add(self, points: Floats, bulges: Floats | None, layer: int) -> None:
        """One line; `bulges` may leave out that of an open line's last point, or be None where all is straight."""
        if bulges is None:
            bulges = np.zeros(len(points))
        elif len(bulges) < len(points):
            bulges = np.append(bulges, 0.0)
        self._points.append(points)
        self._bulges.append(bulges)
        self._layers.append(layer)

    def lines(self) -> Lines:
        """All that was gathered."""
        sizes = [len(points) for points in self._points]
        return Lines(
            np.concatenate([np.empty((0, 2)), *self._points]),
            np.concatenate([np.empty(0), *self._bulges]),
            _offsets(np.array(sizes, dtype=np.intp)),
            np.array(self._layers, dtype=np.intp),
        )


@frozen
class Names:
    """Names of layers or groups, in any case; a `*` stands for any signs.

    >>> Names(("DIM*", "border")).hold(("plan", "dimensions"))
    True
    """

    patterns: tuple[str, ...] = ()

    def hold(self, names: Iterable[str]) -> bool:
        """Whether one of some names is among them."""
        return bool(self.patterns) and any(_pattern(self.patterns).fullmatch(name.casefold()) for name in names)

    def unmet(self, names: Iterable[str]) -> list[str]:
        """The patterns that none of some names meets."""
        known = [name.casefold() for name in names]
        return [name for name in self.patterns if not any(map(_pattern((name,)).fullmatch, known))]


@lru_cache(maxsize=64)
def _pattern(patterns: tuple[str, ...]) -> re.Pattern[str]:
    return re.compile("|".join(".*".join(map(re.escape, name.casefold().split("*"))) for name in patterns), re.DOTALL)


NO_NAMES = Names()


@frozen
class Text:
    """A line of text in a drawing, which may be the mark of a piece.

    text    its first line
    place   (x, y) of its insertion point, in the drawing's unit
    height  of its letters, in the drawing's unit
    layers  names of all layers or groups around it, outermost first
    """

    text: str
    place: tuple[float, float]
    height: float
    layers: tuple[str, ...]


@frozen
class Unevenness:
    """How far points drawn in space stray from the plane that fits them best.

    part      the lines that stray
    residual  of the worst point, in the drawing's unit; place is (x, y) of that point
    tilt_deg  between the plane and that of the drawing
    """

    part: Message
    residual: float
    place: tuple[float, float]
    tilt_deg: float


def unevenness(part: Message, places: Floats) -> Unevenness:
    """How far points (n, 3) stray from the plane that fits them best, by singular values."""
    centered = places - places.mean(axis=0)
    normal = np.linalg.svd(centered, full_matrices=False)[2][-1] if len(places) > 2 else np.array([0.0, 0.0, 1.0])
    off = np.abs(centered @ normal)
    worst = int(off.argmax())
    x, y, _ = places[worst].tolist()
    return Unevenness(part, float(off[worst]), (x, y), degrees(acos(min(1.0, abs(float(normal[2]))))))


@dataclass(frozen=True, eq=False)
class Sheet:
    """The lines of a drawing, in its own unit, y upwards.

    closed, loose  outlines that the file calls closed, and lines that may join into others
    layers         names that the lines' layer numbers stand for
    problems       what was left out or mended while reading
    flip_y         where the file's own y runs downwards: own y = flip_y − y
    uneven         lines in space that were laid flat
    groups         names of all layers or groups around the lines of each layer number, outermost first
    texts          lines of text that are shown
    omitted        how many entities are no lines of a piece, by reason
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
    """Meters per unit of the drawing, None where the file does not say."""

    def sheet(self, layers: Collection[str] | None, chord: float, ignored: Names = NO_NAMES) -> Sheet:
        """The lines on these layers (on all where None), curves as arcs within `chord` of them, drawing units.

        ignored  layers that are left out whole, what blocks on them hold included
        """


@frozen
class Place:
    """Writes places and lengths as the drawing's own program shows them."""

    unit_m: float
    flip_y: float | None = None

    @property
    def unit(self) -> str:
        """Name of the drawing's unit."""
        return unit_name(self.unit_m, f"× {self.unit_m:g} m")

    def at(self, point: Floats) -> str:
        """A point, drawing units."""
        x, y = float(point[0]), float(point[1])
        return f"({_plain(x)}, {_plain(y if self.flip_y is None else self.flip_y - y)}) {self.unit}"

    def length(self, length: float) -> str:
        """A length, drawing units."""
        return f"{length:.3g} {self.unit}"


def left_out_note(kinds: Mapping[str, int]) -> Message:
    """A note on what of a drawing is no outline: how many, by kind."""
    items = [message("note-left-out-item", count=n, kind=kind) for kind, n in sorted(kinds.items())]
    return message("note-left-out", items=items)


def _offsets(sizes: Ints) -> Ints:
    return np.concatenate([np.zeros(1, dtype=np.intp), np.cumsum(sizes, dtype=np.intp)])


def _plain(value: float) -> str:
    return f"{round(value, 4) + 0.0:.8g}"
