"""Openings through a flat piece: outlines, checks, and knock-outs in the form."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Sequence
from functools import lru_cache
from math import pi
from typing import Literal

import numpy as np
import shapely

from geometry.arcs import flatten
from geometry.arrays import Floats
from geometry.edges import near_pairs
from geometry.errors import FaultError, require, require_dimensions, require_positive
from geometry.frozen import frozen
from geometry.message import Message, message
from geometry.plan import FINE, NEAR, Path, fine_polygon
from geometry.plane import SHARP_M, Region

Box = tuple[float, float, float, float]


@frozen(kw_only=True)
class Cutout(ABC):
    """An opening through a piece, and how its edge is finished.

    edge             finished (seen, polished or coated) or raw (hidden under a sink's flange)
    depth_m          depth below the top to which a finished edge is finished; None for the full depth
    rim_thickness_m  thickness of the piece around the cut-out, from its top, if the rim is thickened
    rim_width_m      width of the thickened rim, from the edge of the cut-out
    """

    edge: Literal["finished", "raw"] = "finished"
    depth_m: float | None = None
    rim_thickness_m: float | None = None
    rim_width_m: float | None = None

    @abstractmethod
    def outline(self, key: str) -> Region:
        """Outline in the piece's coordinates. Raises FaultError, under `key`, for impossible dimensions."""

    def ring(self, chord_m: float) -> Floats:
        """Corners (n, 2) of a polygon of the same area within `chord_m` of the outline, in the piece's coordinates.

        Raises FaultError for impossible dimensions.
        """
        return self.outline("").outer.flattened(chord_m)

    @property
    @abstractmethod
    def bounds(self) -> tuple[float, float, float, float]:
        """Smallest x and y, largest x and y in the piece's own axes, m."""

    def fine_ring(self) -> Floats:
        """Corners (n, 2) of the outline as in `fine_polygon`. Raises FaultError for impossible dimensions."""
        region = self.outline("")
        return region.outer.flattened(FINE * max(region.size_m))

    @property
    def box(self) -> Box | None:
        """Bounds (x0, y0, x1, y1) if the cut-out is a rectangle with sharp corners, otherwise None."""
        return None

    @property
    def is_ellipse(self) -> bool:
        """Whether its perimeter has no closed form."""
        return False

    @property
    def rounded(self) -> tuple[float, float, float, float, float] | None:
        """Center x and y, half sizes along x and y, and corner radius of a rectangle or circle; otherwise None."""
        return None

    def refuse_edge(self, key: str) -> None:
        """Raise FaultError, under `key`, for an edge or a rim that cannot be made."""
        require_positive(self.depth_m, f"{key}.depth")
        require_positive(self.rim_thickness_m, f"{key}.rim_thickness")
        require_positive(self.rim_width_m, f"{key}.rim_width")
        names = ("rim_width", "rim_thickness") if self.rim_thickness_m is None else ("rim_thickness", "rim_width")
        if (self.rim_thickness_m is None) != (self.rim_width_m is None):
            raise FaultError(f"{key}.{names[0]}", message("cutout-rim-incomplete", missing=names[1]))


@frozen
class RectangleCutout(Cutout):
    """A rectangle with its lower left corner at (x, y); `radius_m` rounds the four corners."""

    length_m: float
    width_m: float
    x_m: float
    y_m: float
    radius_m: float = 0.0

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        return self.x_m, self.y_m, self.x_m + self.length_m, self.y_m + self.width_m

    @property
    def rounded(self) -> tuple[float, float, float, float, float]:
        x_reach_m, y_reach_m = self.length_m / 2, self.width_m / 2
        return self.x_m + x_reach_m, self.y_m + y_reach_m, x_reach_m, y_reach_m, self.radius_m

    def outline(self, key: str) -> Region:
        require_dimensions(**{f"{key}.length": self.length_m, f"{key}.width": self.width_m})
        short = min(self.length_m, self.width_m)
        require(
            0 <= self.radius_m <= short / 2 * (1 + NEAR),
            f"{key}.radius",
            message("cutout-radius", radius_m=self.radius_m, short_m=short),
        )
        return Region.rectangle(self.length_m, self.width_m, self.radius_m).translated(self.x_m, self.y_m)

    @property
    def box(self) -> Box | None:
        if self.radius_m >= SHARP_M:
            return None
        return self.x_m, self.y_m, self.length_m + self.x_m, self.width_m + self.y_m


@frozen
class CircleCutout(Cutout):
    """A circle about (x, y): a basin, a tap hole, a drain."""

    diameter_m: float
    x_m: float
    y_m: float

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        radius_m = self.diameter_m / 2
        return self.x_m - radius_m, self.y_m - radius_m, self.x_m + radius_m, self.y_m + radius_m

    @property
    def rounded(self) -> tuple[float, float, float, float, float]:
        radius_m = self.diameter_m / 2
        return self.x_m, self.y_m, radius_m, radius_m, radius_m

    def outline(self, key: str) -> Region:
        require_positive(self.diameter_m, f"{key}.diameter")
        return Region.circle(self.diameter_m, (self.x_m, self.y_m))

    def ring(self, chord_m: float) -> Floats:
        points: Floats = _circle(self.diameter_m, chord_m) + np.array((self.x_m, self.y_m))
        return points

    def fine_ring(self) -> Floats:
        return self.ring(FINE * self.diameter_m)


@lru_cache(maxsize=256)
def _circle(diameter_m: float, chord_m: float) -> Floats:
    """Corners (n, 2) of a polygon for a circle about the origin."""
    ends = np.array([(-diameter_m / 2, 0.0), (diameter_m / 2, 0.0)])
    points = flatten(ends, ends[::-1], np.ones(2), chord_m)[0]
    points.flags.writeable = False
    return points


@frozen
class EllipseCutout(Cutout):
    """An ellipse about (x, y), `length_m` along x and `width_m` along y."""

    length_m: float
    width_m: float
    x_m: float
    y_m: float

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        x_reach_m, y_reach_m = self.length_m / 2, self.width_m / 2
        return self.x_m - x_reach_m, self.y_m - y_reach_m, self.x_m + x_reach_m, self.y_m + y_reach_m

    @property
    def is_ellipse(self) -> bool:
        return True

    def outline(self, key: str) -> Region:
        require_dimensions(**{f"{key}.length": self.length_m, f"{key}.width": self.width_m})
        return Region.ellipse(self.length_m, self.width_m, (self.x_m, self.y_m))


@frozen
class OutlineCutout(Cutout):
    """A drawn opening; (x, y) is the position of its origin."""

    region: Region
    x_m: float = 0.0
    y_m: float = 0.0

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        x0, y0, x1, y1 = self.region.bounds
        return x0 + self.x_m, y0 + self.y_m, x1 + self.x_m, y1 + self.y_m

    def outline(self, key: str) -> Region:
        require(not self.region.holes, f"{key}.file", message("cutout-has-holes"))
        return self.region.translated(self.x_m, self.y_m)


def outlines_of(cutouts: Sequence[Cutout], piece: shapely.Geometry, key: str = "cutouts[{}]") -> tuple[Region, ...]:
    """The outline of each cut-out, in the piece's own x and y.

    piece  the plan without cut-outs
    key    format of a cut-out's key in messages, with braces for its index

    Raises FaultError if a cut-out has impossible dimensions or extends beyond the piece, or if the cut-outs split the
    piece.
    """
    if not cutouts:
        return ()
    for i, cutout in enumerate(cutouts):
        cutout.refuse_edge(key.format(i))
    regions = _outlines(tuple(cutouts), key)
    polygons = [fine_polygon(region) for region in regions]
    shapely.prepare(piece)
    whole = [bool(shapely.contains_properly(piece, polygon)) for polygon in polygons]
    for i, polygon in enumerate(polygons):
        if not whole[i]:
            _refuse_outside(polygon, piece, key.format(i))
    boxes = [polygon.bounds for polygon in polygons]
    if all(whole) and next(near_pairs(boxes, 0.0), None) is None:
        return regions  # each surrounded by concrete, so the piece cannot be split or used up
    left = shapely.difference(piece, shapely.union_all(polygons))
    if left.area <= NEAR * piece.area:
        raise FaultError(key.split("[")[0], message("cutouts-leave-nothing"))
    if len([part for part in shapely.get_parts(left) if part.area > NEAR * piece.area]) > 1:
        raise FaultError(key.split("[")[0], message("cutouts-split"))
    return regions


@lru_cache(maxsize=64)  # checks, measures and forms of one piece follow each other
def _outlines(cutouts: tuple[Cutout, ...], key: str) -> tuple[Region, ...]:
    return tuple(cutout.outline(key.format(i)) for i, cutout in enumerate(cutouts))


def refuse_too_deep(cutouts: Sequence[Cutout], height_m: float, what: str, key: str = "cutouts[{}]") -> None:
    """Raise FaultError for an edge finished to a depth greater than that of the piece."""
    for i, cutout in enumerate(cutouts):
        require(
            cutout.depth_m is None or cutout.depth_m <= height_m * (1 + NEAR),
            f"{key.format(i)}.depth",
            message("cutout-too-deep", depth_m=cutout.depth_m or 0, limit=what, height_m=height_m),
        )


def refuse_rims(cutouts: Sequence[Cutout], instead: Message, key: str = "cutouts[{}]") -> None:
    """Raise FaultError for a thickened rim on a piece that cannot have one."""
    for i, cutout in enumerate(cutouts):
        require(cutout.rim_thickness_m is None, f"{key.format(i)}.rim_thickness", instead)


def overlap_notes(regions: Sequence[Region], key: str = "cutouts[{}]") -> tuple[Message, ...]:
    """Notes on cut-outs that overlap and therefore count as one opening."""
    polygons = [fine_polygon(region) for region in regions]
    return tuple(
        message("cutouts-overlap", first=key.format(i), second=key.format(j))
        for i, j in sorted(near_pairs([polygon.bounds for polygon in polygons], 0.0))
        if shapely.intersection(polygons[i], polygons[j]).area > NEAR * min(polygons[i].area, polygons[j].area)
    )


def _refuse_outside(polygon: shapely.Polygon, piece: shapely.Geometry, key: str) -> None:
    if shapely.difference(polygon, piece).area <= NEAR * polygon.area:
        return
    (x0, y0, x1, y1), (px0, py0, px1, py1) = polygon.bounds, piece.bounds
    beyond = {
        ("left", "x"): px0 - x0,
        ("right", "x"): x1 - px1,
        ("front", "y"): py0 - y0,
        ("back", "y"): y1 - py1,
    }
    (side, axis), most = max(beyond.items(), key=lambda item: item[1])
    if most > 0:
        place = message("cutout-outside", beyond_m=float(most), side=message(f"side-{side}"))
        raise FaultError(f"{key}.{axis}", place)
    raise FaultError(key, message("cutout-crosses"))


ALIKE = 1e-6
"""Relative difference below which two sizes are equal."""


@frozen
class KnockOut:
    """Kind and dimensions of an opening, m.

    corner_m  lower left corner of its bounds
    radius_m  corner radius of a rectangle (0 if sharp), radius of a round opening, None for a shaped one
    """

    kind: Literal["round", "rectangle", "shaped"]
    corner_m: tuple[float, float]
    size_m: tuple[float, float]
    radius_m: float | None

    @property
    def center_m(self) -> tuple[float, float]:
        return self.corner_m[0] + self.size_m[0] / 2, self.corner_m[1] + self.size_m[1] / 2


def knock_out(opening: Region) -> KnockOut:
    """Kind and dimensions of an opening, from its outline."""
    x0, y0, _, _ = opening.bounds
    size = opening.size_m
    edges = list(Path.of_ring(opening.outer).edges())
    radii = [edge.radius for edge in edges if not edge.straight]
    area = abs(opening.outer.signed_area_m2)
    box = size[0] * size[1]
    even = bool(radii) and max(radii) - min(radii) <= ALIKE * max(size)
    if even and len(radii) == len(edges) and abs(area - pi / 4 * box) <= ALIKE * box and _alike(*size):
        return KnockOut("round", (x0, y0), size, size[0] / 2)
    radius = radii[0] if even else 0.0
    if (even or not radii) and abs(area - (box - (4 - pi) * radius**2)) <= ALIKE * box:
        return KnockOut("rectangle", (x0, y0), size, radius)
    return KnockOut("shaped", (x0, y0), size, None)


def _alike(first: float, second: float) -> bool:
    return abs(first - second) <= ALIKE * max(first, second)
