"""The cross-sections of a slab along its length: stiffness, self-weight, cut-outs and drop edges counted.

x runs along the carried length, y across, z up from the top face (0) to the bottom (negative).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil
from typing import TYPE_CHECKING, Literal

from estimator.bounds import STANDARD_GRAVITY_M_S2, require_positive
from estimator.errors import RangeError

from .picks import Plan

if TYPE_CHECKING:
    from shapely.geometry import Polygon

Attitude = Literal["flat", "edge"]
_SAME = 1e-9  # m; below it two edges are one
_SLANT_PARTS = 8  # most stretches into which one with slanting edges is cut
_FINE_PART = 0.02  # of the length: a stretch so short is cut no further


@dataclass(frozen=True, slots=True)
class Rectangle:
    """Part of a cross-section: y0 to y1 across, z0 to z1 high, m."""

    y0: float
    y1: float
    z0: float
    z1: float

    @property
    def area_m2(self) -> float:
        return (self.y1 - self.y0) * (self.z1 - self.z0)


@dataclass(frozen=True, slots=True)
class SectionModulus:
    """Of a whole cross-section about its own neutral axis; low and high are its faces of least and greatest height."""

    area_m2: float
    second_moment_m4: float
    low_m3: float
    high_m3: float

    @property
    def least_m3(self) -> float:
        """The modulus that counts whichever face is up."""
        return min(self.low_m3, self.high_m3)


@dataclass(frozen=True, slots=True)
class DropEdge:
    """A strip of the plan in which the slab is `height_m` deep from its top instead of its thickness."""

    x0: float
    y0: float
    x1: float
    y1: float
    height_m: float


@dataclass(frozen=True, slots=True)
class Stretch:
    """Part of the length with one cross-section: the weakest in it, and the true weight of it.

    parts       rectangles of the section; none where its moduli are given
    moduli_m3   least section moduli lying flat and on edge, of a section that is not made of rectangles
    """

    from_m: float
    to_m: float
    n_per_m: float
    parts: tuple[Rectangle, ...]
    moduli_m3: tuple[float, float] | None = None

    def least_modulus_m3(self, attitude: Attitude) -> float:
        """The modulus that counts whichever face is up."""
        if self.moduli_m3 is not None:
            return self.moduli_m3[0 if attitude == "flat" else 1]
        return section_modulus(self.parts, attitude).least_m3


def section_modulus(parts: Sequence[Rectangle], attitude: Attitude) -> SectionModulus:
    """Second moment and section moduli of disjoint rectangles that bend as one (parallel-axis theorem).

    attitude   flat: bending about the horizontal y axis; edge: the slab stands on the edge of least y

    Over a cut-out the strips bend as one only while something holds them together: on edge that is the piece left and
    right of the cut-out, or a strongback clamped across.

    >>> modulus = section_modulus([Rectangle(0.0, 0.65, -0.025, 0.0)], "flat")
    >>> round(modulus.low_m3 * 1e6, 3)      # b t² / 6 in cm³
    67.708
    """
    spans = [(p.z0, p.z1, p.y1 - p.y0) if attitude == "flat" else (p.y0, p.y1, p.z1 - p.z0) for p in parts]
    area_m2 = sum(width * (top - foot) for foot, top, width in spans)
    require_positive("area of the cross-section", area_m2, "m²")
    axis = sum(width * (top - foot) * (foot + top) / 2.0 for foot, top, width in spans) / area_m2
    second = sum(
        width * (top - foot) ** 3 / 12.0 + width * (top - foot) * ((foot + top) / 2.0 - axis) ** 2
        for foot, top, width in spans
    )
    lowest, highest = min(foot for foot, _, _ in spans), max(top for _, top, _ in spans)
    return SectionModulus(area_m2, second, second / (axis - lowest), second / (highest - axis))


def stretches_of_slab(
    outline: Sequence[Plan],
    cutouts: Sequence[Sequence[Plan]],
    thickness_m: float,
    density_kg_m3: float,
    drops: Sequence[DropEdge] = (),
) -> tuple[Stretch, ...]:
    """Cut a slab across its length into stretches of one cross-section each.

    outline, cutouts   rings of points, m; curves as polygons, their chord tolerance small against the slab
    density_kg_m3      on the high side
    drops              plan strips that are deeper than the slab

    Where edges slant or curve a stretch takes its true mean weight and its weakest cross-section.
    """
    from shapely.geometry import Polygon

    require_positive("thickness", thickness_m, "m")
    require_positive("density", density_kg_m3, "kg/m³")
    plan = Polygon(outline, cutouts)
    if not plan.is_valid or plan.area <= 0.0:
        raise RangeError("the outline and its cut-outs don't bound one slab: rings must close, not cross, not overlap")
    for drop in drops:
        if drop.height_m <= thickness_m:
            raise RangeError(f"drop edge {drop.height_m:g} m high is no deeper than the slab of {thickness_m:g} m")
    breaks = {x for ring in (outline, *cutouts) for x, _ in ring} | {x for d in drops for x in (d.x0, d.x1)}
    left, _, right, _ = plan.bounds
    places = [left]
    for x in sorted(breaks):
        if places[-1] + _SAME < x <= right:
            places.append(x)
    specific_n_m3 = density_kg_m3 * STANDARD_GRAVITY_M_S2
    stretches: list[Stretch] = []
    for x0, x1 in pairwise(places):
        start, end = (_cross_section(plan, thickness_m, drops, x) for x in _just_inside(x0, x1))
        count = 1 if _alike(start, end) else min(_SLANT_PARTS, ceil((x1 - x0) / (_FINE_PART * (right - left))))
        for part in range(count):
            a, b = x0 + (x1 - x0) * part / count, x0 + (x1 - x0) * (part + 1) / count
            faces = [_cross_section(plan, thickness_m, drops, x) for x in (*_just_inside(a, b), (a + b) / 2.0)]
            # between breaks the edges are straight, so the middle has the mean area; a strip may end at a point
            weakest = min((face for face in faces if face), key=_flat_modulus)
            area_m2 = sum(p.area_m2 for p in faces[2])
            stretches.append(Stretch(a - left, b - left, area_m2 * specific_n_m3, weakest))
    return tuple(stretches)


def narrowest_strip(outline: Sequence[Plan], cutouts: Sequence[Sequence[Plan]]) -> float | None:
    """Width of the narrowest strip beside a cut-out, m: to the edge or to the next cut-out; None without cut-outs."""
    from shapely.geometry import LinearRing

    edge = LinearRing(outline)
    rings = [LinearRing(ring) for ring in cutouts]
    widths = [edge.distance(ring) for ring in rings]
    widths += [a.distance(b) for number, a in enumerate(rings) for b in rings[number + 1 :]]
    return min(widths, default=None)


def _flat_modulus(parts: tuple[Rectangle, ...]) -> float:
    return section_modulus(parts, "flat").least_m3


def _just_inside(x0: float, x1: float) -> tuple[float, float]:
    nudge = (x1 - x0) * 1e-6  # a cut exactly through a corner would be ambiguous
    return x0 + nudge, x1 - nudge


def _alike(one: tuple[Rectangle, ...], other: tuple[Rectangle, ...]) -> bool:
    if len(one) != len(other):
        return False
    return all(
        max(abs(a.y0 - b.y0), abs(a.y1 - b.y1), abs(a.z0 - b.z0)) < _SAME for a, b in zip(one, other, strict=True)
    )


def _cross_section(plan: Polygon, thickness_m: float, drops: Sequence[DropEdge], x: float) -> tuple[Rectangle, ...]:
    from shapely.geometry import LineString

    _, low, _, high = plan.bounds
    cut = plan.intersection(LineString([(x, low - 1.0), (x, high + 1.0)]))
    lines = [line for line in getattr(cut, "geoms", [cut]) if line.length > 0.0]
    across = [drop for drop in drops if drop.x0 <= x <= drop.x1]
    parts: list[Rectangle] = []
    for line in sorted(lines, key=lambda line: float(line.bounds[1])):
        y0, y1 = line.bounds[1], line.bounds[3]
        cuts = {y0, y1} | {y for drop in across for y in (drop.y0, drop.y1) if y0 < y < y1}
        for a, b in pairwise(sorted(cuts)):
            middle = (a + b) / 2.0
            deep = max((d.height_m for d in across if d.y0 <= middle <= d.y1), default=thickness_m)
            parts.append(Rectangle(a, b, -deep, 0.0))
    return tuple(parts)
