"""The plate of a slab: a rectangle with worked edges, of even thickness or tapered, at a depth below its top."""

from __future__ import annotations

from math import hypot, sqrt
from typing import get_args

import shapely

from geometry.plane import Region
from geometry.relief import Slope
from geometry.shapes import EdgeProfile, Side, Slab

SIDES: tuple[Side, ...] = get_args(Side)


def across_m(slab: Slab, side: Side) -> float:
    """Extent of the slab square to a side."""
    return slab.width_m if side in ("front", "back") else slab.length_m


def plate_at(slab: Slab, depth: float) -> shapely.Geometry:
    """The rectangle that the worked edges leave at a depth."""
    inset = {side: inset_of(slab, side, depth) for side in SIDES}
    return shapely.box(
        inset["left"], inset["front"], slab.length_m - inset["right"], slab.width_m - inset["back"]
    )  # fmt: skip


def plate_bounds(slab: Slab, depth: float) -> tuple[float, float, float, float]:
    """x0, y0, x1, y1 of the rectangle that the worked edges leave at a depth."""
    x0, y0, x1, y1 = plate_at(slab, depth).bounds
    return float(x0), float(y0), float(x1), float(y1)


def thickness_at_corners(slab: Slab) -> list[tuple[float, float, float]]:
    """x, y and thickness of the plate at its four corners."""
    corners = [(x, y) for x in (0.0, slab.length_m) for y in (0.0, slab.width_m)]
    if slab.taper is None:
        return [(x, y, slab.thickness_m) for x, y in corners]
    span, near, far = _taper_span(slab)
    along = 0 if slab.taper.to in ("left", "right") else 1
    return [(*corner, near + (far - near) * corner[along] / span) for corner in corners]


def plate_left(slab: Slab, depth: float) -> shapely.Geometry:
    """The slice of the plate alone: nothing below its underside."""
    thin, thick = thinnest_and_thickest(slab)
    if depth >= thick:
        return shapely.Polygon()
    plate = plate_at(slab, depth)
    if slab.taper is None or depth <= thin:
        return plate
    return shapely.intersection(plate, _thicker_than(slab, depth))


# Worked edges


def _profile(slab: Slab, side: Side) -> EdgeProfile | None:
    return next((profile for profile in slab.edge_profiles if side in profile.sides), None)


def inset_of(slab: Slab, side: Side, depth: float) -> float:
    """How far a worked edge stands back from the outer size at a depth."""
    profile = _profile(slab, side)
    if profile is None or depth >= profile.size_m:
        return 0.0
    size = profile.size_m
    match profile.kind:
        case "bevel":
            return size - depth
        case "round-over":
            return size - sqrt(size**2 - (size - depth) ** 2)
        case "cove":
            return sqrt(size**2 - depth**2)


def stretch_of(slab: Slab, side: Side, depth: float) -> float:
    """Length along the worked edge's section for a unit of depth."""
    profile = _profile(slab, side)
    if profile is None or depth >= profile.size_m:
        return 1.0
    size = profile.size_m
    match profile.kind:
        case "bevel":
            return sqrt(2.0)
        case "round-over":
            return size / sqrt(size**2 - (size - depth) ** 2)
        case "cove":
            return size / sqrt(size**2 - depth**2)


def side_line(slab: Slab, side: Side, depth: float) -> shapely.Geometry:
    """A side of the plate at a depth, as a line in plan."""
    x0, y0, x1, y1 = plate_at(slab, depth).bounds
    ends = {
        "front": [(x0, y0), (x1, y0)],
        "back": [(x0, y1), (x1, y1)],
        "left": [(x0, y0), (x0, y1)],
        "right": [(x1, y0), (x1, y1)],
    }[side]
    return shapely.LineString(ends)


def is_worked(slab: Slab, depth: float) -> bool:
    """Whether a worked edge reaches down to a depth."""
    return any(profile.size_m > depth for profile in slab.edge_profiles)


# Taper


def thinnest_and_thickest(slab: Slab) -> tuple[float, float]:
    """Least and greatest thickness of the plate, m."""
    other = slab.thickness_m if slab.taper is None else slab.taper.thickness_m
    return min(slab.thickness_m, other), max(slab.thickness_m, other)


def _taper_span(slab: Slab) -> tuple[float, float, float]:
    """Distance over which the thickness runs, and thickness at its start (x or y = 0) and end."""
    assert slab.taper is not None
    near, far = slab.thickness_m, slab.taper.thickness_m
    if slab.taper.to in ("left", "front"):
        near, far = far, near
    return across_m(slab, slab.taper.to), near, far


def steepness(slab: Slab) -> float:
    """Area of the sloping underside over its plan."""
    if slab.taper is None:
        return 1.0
    span, near, far = _taper_span(slab)
    return hypot(1.0, (far - near) / span)


def _position(slab: Slab, depth: float) -> float:
    """Where along the taper the plate is just as thick as `depth`."""
    span, near, far = _taper_span(slab)
    return span * (depth - near) / (far - near)


def _thicker_than(slab: Slab, depth: float) -> shapely.Geometry:
    """The part of the plan, taken well past the slab, where the tapered plate is thicker than `depth`."""
    assert slab.taper is not None
    span, near, far = _taper_span(slab)
    if near == far:
        return shapely.box(-span, -span, 2 * span, 2 * span) if depth < near else shapely.Polygon()
    here = _position(slab, depth)
    reach = 2 * (slab.length_m + slab.width_m)
    low, high = (-reach, here) if near > far else (here, reach)
    if low >= high:
        return shapely.Polygon()
    if slab.taper.to in ("left", "right"):
        return shapely.box(low, -reach, high, reach)
    return shapely.box(-reach, low, reach, high)


def taper_line(slab: Slab, depth: float) -> shapely.Geometry:
    """Where the sloping underside is met at a depth."""
    thin, thick = thinnest_and_thickest(slab)
    if slab.taper is None or not thin < depth < thick:
        return shapely.LineString()
    here = _position(slab, depth)
    if slab.taper.to in ("left", "right"):
        return shapely.LineString([(here, 0.0), (here, slab.width_m)])
    return shapely.LineString([(0.0, here), (slab.length_m, here)])


def taper_marks(
    slab: Slab, openings: tuple[Region, ...], under: tuple[tuple[shapely.Geometry, float], ...]
) -> set[float]:
    """Depths at which the edge of a tapered slice passes a corner, so that between them it varies smoothly."""
    if slab.taper is None or slab.taper.thickness_m == slab.thickness_m:
        return set()
    span, near, far = _taper_span(slab)
    axis = 0 if slab.taper.to in ("left", "right") else 1
    corners = [region.bounds for region in openings] + [area.bounds for area, _ in under]
    places = {box[axis + side] for box in corners for side in (0, 2)}
    for region in openings:
        if region.outer.bulges is None or len(region.outer.points) <= 8:
            places |= set(region.outer.points[:, axis].tolist())
    return {near + (far - near) * place / span for place in places if 0 < place < span}


def slopes_of(slab: Slab) -> tuple[Slope, ...]:
    """The sloping underside of a tapered slab, as a face from which layers are measured."""
    if slab.taper is None or slab.taper.thickness_m == slab.thickness_m:
        return ()
    steep = steepness(slab)

    def within(depth: float, reach: float) -> shapely.Geometry:
        whole = shapely.box(0.0, 0.0, slab.length_m, slab.width_m)
        return shapely.difference(whole, _thicker_than(slab, depth + reach * steep))

    return (Slope(within),)
