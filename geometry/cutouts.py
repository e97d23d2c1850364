"""Openings through a flat piece: their outlines, the refusals that go with them, and how a form makes them."""

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
    depth_m          how far down from the top a finished edge is finished; the whole edge unless said
    rim_thickness_m  thickness of the piece round the cut-out, from its top, where the edge is thickened
    rim_width_m      how far the thickened rim reaches from the cut-out's edge
    """

    edge: Literal["finished", "raw"] = "finished"
    depth_m: float | None = None
    rim_thickness_m: float | None = None
    rim_width_m: float | None = None

    @abstractmethod
    def outline(self, key: str) -> Region:
        """Its outline in the piece's own x and y. Raises FaultError, under `key`, for impossible dimensions."""

    def ring(self, chord_m: float) -> Floats:
        """Corners (n, 2) of its outline as straight lines within `chord_m`, of the same area, in the piece's x and y.

        Raises FaultError for impossible dimensions.
        """
        return self.outline("").outer.flattened(chord_m)

    @property
    @abstractmethod
    def bounds(self) -> tuple[float, float, float, float]:
        """Smallest x and y, largest x and y in the piece's own axes, m."""

    def fine_ring(self) -> Floats:
        """Corners of its outline as `fine_polygon` has them. Raises FaultError for impossible dimensions."""
        region = self.outline("")
        return region.outer.flattened(FINE * max(region.size_m))

    @property
    def box(self) -> Box | None:
        """Least x and y, greatest x and y, of a rectangle with sharp corners; None of any other."""
        return None

    @property
    def is_ellipse(self) -> bool:
        """Whether its perimeter has no closed form."""
        return False

    @property
    def rounded(self) -> tuple[float, float, float, float, float] | None:
        """Center x and y, half sides along x and y and corner radius of a rectangle or a circle; None of any other."""
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
    """Points (n, 2) of a circle about the origin as straight lines."""
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
    """A drawn opening; its own origin is put at (x, y)."""

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
    key    how a cut-out is named in a message, its number in braces

    Raises FaultError where a cut-out has impossible dimensions, leaves the piece, or they part it in two.
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
        return regions  # each in concrete all round: nothing is parted, something is left
    left = shapely.difference(piece, shapely.union_all(polygons))
    if left.area <= NEAR * piece.area:
        raise FaultError(key.split("[")[0], message("cutouts-leave-nothing"))
    if len([part for part in shapely.get_parts(left) if part.area > NEAR * piece.area]) > 1:
        raise FaultError(key.split("[")[0], message("cutouts-split"))
    return regions


@lru_cache(maxsize=64)  # looked at, measured and formed one after the other
def _outlines(cutouts: tuple[Cutout, ...], key: str) -> tuple[Region, ...]:
    return tuple(cutout.outline(key.format(i)) for i, cutout in enumerate(cutouts))


def refuse_too_deep(cutouts: Sequence[Cutout], height_m: float, what: str, key: str = "cutouts[{}]") -> None:
    """Raise FaultError for a finished edge that reaches deeper than the piece."""
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
    """Which cut-outs overlap and are therefore taken as one opening."""
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
"""Relative difference below which two sizes are one."""


@frozen
class KnockOut:
    """An opening's kind and measures, m.

    radius_m  of the corners of a rectangle (0 where they are sharp); of a round one its own; None where it is shaped
    """

    kind: Literal["round", "rectangle", "shaped"]
    corner_m: tuple[float, float]  # lower left, of the outer size
    size_m: tuple[float, float]
    radius_m: float | None

    @property
    def center_m(self) -> tuple[float, float]:
        return self.corner_m[0] + self.size_m[0] / 2, self.corner_m[1] + self.size_m[1] / 2


def knock_out(opening: Region) -> KnockOut:
    """Kind and measures of an opening, from its outline."""
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


def _alike(one: float, other: float) -> bool:
    return abs(one - other) <= ALIKE * max(one, other)
