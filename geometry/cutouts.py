"""Openings through a flat piece: their outlines, the refusals that go with them, and how a form makes them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from math import pi
from typing import Literal

import shapely

from geometry.errors import FaultError, mm, require, require_dimensions, require_positive
from geometry.plan import NEAR, Path, fine_polygon
from geometry.plane import Region
from geometry.shapes import CircleCutout, Cutout, EllipseCutout, OutlineCutout, RectangleCutout


def outlines_of(cutouts: Sequence[Cutout], piece: shapely.Geometry, key: str = "cutouts[{}]") -> tuple[Region, ...]:
    """The outline of each cut-out, in the piece's own x and y.

    piece  the plan without cut-outs
    key    how a cut-out is named in a message, its number in braces

    Raises FaultError where a cut-out has impossible dimensions, leaves the piece, or they part it in two.
    """
    regions = tuple(_outline(cutout, key.format(i)) for i, cutout in enumerate(cutouts))
    polygons = [fine_polygon(region) for region in regions]
    for i, polygon in enumerate(polygons):
        _refuse_outside(polygon, piece, key.format(i))
    left = shapely.difference(piece, shapely.union_all(polygons))
    if left.area <= NEAR * piece.area:
        raise FaultError(key.split("[")[0], "leave nothing of the piece.", "Make them smaller.")
    if len([part for part in shapely.get_parts(left) if part.area > NEAR * piece.area]) > 1:
        raise FaultError(key.split("[")[0], "cut the piece in two.", "Leave a bridge, or enter two pieces.")
    return regions


def overlap_notes(regions: Sequence[Region], key: str = "cutouts[{}]") -> tuple[str, ...]:
    """Which cut-outs overlap and are therefore taken as one opening."""
    polygons = [fine_polygon(region) for region in regions]
    return tuple(
        f"{key.format(i)} and {key.format(j)} overlap and were taken as one opening."
        for (i, a), (j, b) in combinations(enumerate(polygons), 2)
        if shapely.intersection(a, b).area > NEAR * min(a.area, b.area)
    )


def _outline(cutout: Cutout, key: str) -> Region:
    require_positive(cutout.depth_m, f"{key}.depth")
    require_positive(cutout.rim_thickness_m, f"{key}.rim_thickness")
    require_positive(cutout.rim_width_m, f"{key}.rim_width")
    if (cutout.rim_thickness_m is None) != (cutout.rim_width_m is None):
        given, missing = ("rim_width", "rim_thickness") if cutout.rim_thickness_m is None else (
            "rim_thickness",
            "rim_width",
        )  # fmt: skip
        raise FaultError(f"{key}.{given}", f"is given without {missing}.", "A thickened rim needs both.")
    match cutout:
        case RectangleCutout():
            require_dimensions(**{f"{key}.length": cutout.length_m, f"{key}.width": cutout.width_m})
            short = min(cutout.length_m, cutout.width_m)
            require(
                0 <= cutout.radius_m <= short / 2 * (1 + NEAR),
                f"{key}.radius",
                f"is {mm(cutout.radius_m)}, on an opening whose shorter side is {mm(short)}.",
                "It must lie between 0 and half of that side.",
            )
            return Region.rectangle(cutout.length_m, cutout.width_m, cutout.radius_m).translated(cutout.x_m, cutout.y_m)
        case CircleCutout():
            require_positive(cutout.diameter_m, f"{key}.diameter")
            return Region.circle(cutout.diameter_m, (cutout.x_m, cutout.y_m))
        case EllipseCutout():
            require_dimensions(**{f"{key}.length": cutout.length_m, f"{key}.width": cutout.width_m})
            return Region.ellipse(cutout.length_m, cutout.width_m, (cutout.x_m, cutout.y_m))
        case OutlineCutout():
            require(not cutout.region.holes, f"{key}.file", "has holes of its own.", "Draw the opening alone.")
            return cutout.region.translated(cutout.x_m, cutout.y_m)


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
    fix = "A cut-out must lie inside the piece: move it, or make it smaller."
    if most > 0:
        raise FaultError(f"{key}.{axis}", f"the cut-out leaves the piece by {mm(most)} at the {side}.", fix)
    raise FaultError(key, "the cut-out crosses the outline of the piece.", fix)


def is_curved_unevenly(cutouts: Sequence[Cutout]) -> bool:
    """Whether an ellipse is among them, whose perimeter has no closed form."""
    return any(isinstance(cutout, EllipseCutout) for cutout in cutouts)


ALIKE = 1e-6
"""Relative difference below which two sizes are one."""


@dataclass(frozen=True, slots=True)
class KnockOut:
    """An opening's kind and measures, m.

    radius_m  of the corners of a rectangle (0 where they are sharp); of a round one its own; None where it is shaped
    """

    kind: Literal["round", "rectangle", "shaped"]
    corner_m: tuple[float, float]  # lower left, of the outer size
    size_m: tuple[float, float]
    radius_m: float | None

    @property
    def centre_m(self) -> tuple[float, float]:
        return self.corner_m[0] + self.size_m[0] / 2, self.corner_m[1] + self.size_m[1] / 2


def knock_out(opening: Region) -> KnockOut:
    """What an opening is, from its outline."""
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
