"""A piece cut across, as it is drawn beside its plan: its y to the right (or x, cut the other way), z up, m."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np
import shapely

from geometry.box import RoundedFrustum, box_body
from geometry.compound import faceted, stacked
from geometry.errors import GeometryError
from geometry.extrusion import extrusion_body
from geometry.facets import Floats
from geometry.outline import outline_body
from geometry.panel import panel_body
from geometry.paths import regions_of_area
from geometry.plan import NEAR, united
from geometry.plan_view import area_of_section, manifold_from, plan_view, regions_of
from geometry.plane import Region, bounds_of
from geometry.relief import Zone
from geometry.revolution import revolution_body
from geometry.shapes import Box, Compound, Extrusion, MeshBody, Outline, Panel, Revolution, Shape, Slab
from geometry.slab import slab_body
from geometry.topology import Ints

Axis = Literal["x", "y"]

STEPS = 24
"""Depths at which a worked or sloping edge is cut."""

WALL_DRAWN = "the wall is drawn square to this section"


@dataclass(frozen=True, eq=False)
class CrossSection:
    """What a cut shows that stands square to `axis` at `at_m` on it."""

    material: tuple[Region, ...]
    at_m: float
    axis: Axis = "x"
    notes: tuple[str, ...] = ()

    @property
    def bounds_m(self) -> tuple[float, float, float, float]:
        """Smallest and largest: across, and z."""
        return bounds_of(self.material)


@lru_cache(maxsize=1024)
def telling_section(shape: Shape) -> CrossSection | None:
    """The section through the middle that shows most: square to x, or to y for a flat piece that shows more that way.

    None for a shape that cannot be cut. Raises GeometryError for one that cannot be built.
    """
    x0, y0, x1, y1 = plan_view(shape).bounds_m
    found = cross_section(shape, (x0 + x1) / 2)
    if not isinstance(shape, Slab | Outline | Panel):
        return found
    other = cross_section(shape, (y0 + y1) / 2, "y")
    cuts = [each for each in (found, other) if each is not None]
    return max(cuts, key=_corners, default=None)


def _corners(cut: CrossSection) -> int:
    return sum(len(ring.points) for region in cut.material for ring in region.rings)


def cross_section(shape: Shape, at_m: float, axis: Axis = "x") -> CrossSection | None:
    """The section at a station; None for a shape that cannot be cut there.

    Only slabs, outlines and panels are cut square to y, and a revolution always through its own axis.
    Raises GeometryError for a shape that cannot be built.
    """
    match shape:
        case Slab():
            slab = slab_body(shape)
            return _made(_cut(slab.zones, at_m, slab.height_m, axis), at_m, axis)
        case Outline():
            return _made(_cut(outline_body(shape).zones, at_m, shape.thickness_m, axis), at_m, axis)
        case Panel():
            return _made(_cut(panel_body(shape).zones, at_m, None, axis), at_m, axis)
        case Box():
            return _made(_of_box(shape, at_m), at_m)
        case Extrusion():
            return CrossSection(regions_of(extrusion_body(shape).section), at_m)
        case Revolution():
            return _made(_of_revolution(shape), at_m)
        case MeshBody():
            return _of_mesh(shape, at_m)
        case Compound():
            return _of_compound(shape, at_m)


def _of_compound(shape: Compound, at_m: float) -> CrossSection | None:
    body = stacked(shape)
    if body is not None:
        return _made(_cut(body.zones, at_m, None, "x"), at_m)
    try:
        return _of_facets(*faceted(shape), at_m)
    except GeometryError:  # a part whose facets were not kept
        return None


def _made(area: shapely.Geometry, at_m: float, axis: Axis = "x") -> CrossSection | None:
    regions = regions_of_area(area)
    return CrossSection(regions, at_m, axis) if regions else None


def _cut(zones: Sequence[Zone], at_m: float, from_top_m: float | None, axis: Axis) -> shapely.Geometry:
    """Slices cut along a line; `from_top_m` is the height of the whole where depth runs downward, else None."""
    parts = []
    for zone in zones:
        turns = np.linspace(0.0, np.pi, STEPS + 1) if zone.varies else np.array([0.0, np.pi])
        half = (zone.end_m - zone.start_m) / 2
        depths = zone.middle_m - half * np.cos(turns)
        looks = np.clip(depths, zone.start_m + half * 1e-6, zone.end_m - half * 1e-6)
        spans = [_spans(_turned(zone.at(float(depth)).polygon, axis), at_m) for depth in looks]
        for k in range(len(depths) - 1):
            upper, lower = spans[k], spans[k + 1]
            if len(upper) != len(lower):
                upper = lower = min(upper, lower, key=len)
            for (a, b), (c, d) in zip(upper, lower, strict=True):
                corners = [(a, depths[k]), (b, depths[k]), (d, depths[k + 1]), (c, depths[k + 1])]
                parts.append(shapely.Polygon(corners))
    area = _joined([part for part in parts if part.area > 0.0])
    if from_top_m is None:
        return area
    return shapely.transform(area, lambda points: np.stack([points[:, 0], from_top_m - points[:, 1]], axis=1))


def _joined(parts: Sequence[shapely.Geometry]) -> shapely.Geometry:
    """Parts as one, seams that rounding left between them closed."""
    if not parts:
        return shapely.Polygon()
    both = united(parts)
    x0, y0, x1, y1 = both.bounds
    reach = NEAR * max(x1 - x0, y1 - y0)
    grown = shapely.buffer(both, reach, join_style="mitre")
    return shapely.simplify(shapely.buffer(grown, -reach, join_style="mitre"), reach)


def _turned(plan: shapely.Geometry, axis: Axis) -> shapely.Geometry:
    """The plan with the axis of the cut along x."""
    return plan if axis == "x" else shapely.transform(plan, lambda points: points[:, ::-1])


def _spans(plan: shapely.Geometry, at_m: float) -> list[tuple[float, float]]:
    if plan.is_empty:
        return []
    _, y0, _, y1 = plan.bounds
    found = shapely.intersection(plan, shapely.LineString([(at_m, y0 - 1.0), (at_m, y1 + 1.0)]))
    parts = shapely.get_parts(shapely.line_merge(found) if found.geom_type == "MultiLineString" else found)
    return sorted((float(p.bounds[1]), float(p.bounds[3])) for p in parts if p.length > 0.0)


def _of_box(box: Box, at_m: float) -> shapely.Geometry:
    body = box_body(box)
    away, middle = abs(at_m - body.centre_m[0]), body.centre_m[1]

    def silhouette(of: RoundedFrustum, low: float, high: float) -> shapely.Geometry:
        turn = of.ball_m * np.cos(np.linspace(0.0, np.pi, STEPS + 1))
        levels = np.unique(np.concatenate([[low, high], of.floor_m - turn, of.ceiling_m - turn]))
        levels = levels[np.isfinite(levels) & (levels >= low) & (levels <= high)]
        xs, ys = of.quarter(levels, 2)
        inside = xs[:, 0] >= away - 1e-9
        half, levels = ys[inside, -1], levels[inside]
        if len(levels) < 2:
            return shapely.Polygon()
        right = np.stack([middle + half, levels], axis=1)
        left = np.stack([middle - half, levels], axis=1)
        return shapely.Polygon(np.concatenate([right, left[::-1]])).buffer(0)

    cavity = body.cavity
    top = box.height_m * 1.001 if box.open else cavity.end_m
    hollow = silhouette(cavity, cavity.start_m, top)
    area = shapely.difference(silhouette(body.outside, 0.0, box.height_m), hollow)
    for hole in box.drain_holes:
        reach = (hole.diameter_m / 2) ** 2 - (hole.x_m - at_m) ** 2
        if reach > 0.0:
            bore = shapely.box(hole.y_m - reach**0.5, -box.base_m, hole.y_m + reach**0.5, box.base_m * 1.001)
            area = shapely.difference(area, bore)
    return area


def _of_revolution(shape: Revolution) -> shapely.Geometry:
    """Through the axis, wherever it was asked for: that is what tells a turned piece."""
    body = revolution_body(shape)

    def placed(side: float) -> shapely.Geometry:
        return shapely.transform(
            body.material, lambda points: points * [side, 1.0] + [body.radius_m, -body.lowest_m]
        )  # fmt: skip

    return _joined([placed(1.0), placed(-1.0)])


def _of_mesh(body: MeshBody, at_m: float) -> CrossSection | None:
    if body.vertices_m is None or body.facets is None:
        return None
    found = _of_facets(body.vertices_m, body.facets, at_m)
    if found is None or body.wall_m is None:
        return found
    outside = united([region.polygon() for region in found.material])
    open_to = {"top": (0.0, 1.0), "bottom": (0.0, -1.0), "front": (-1.0, 0.0), "back": (1.0, 0.0)}.get(body.open)
    grown = outside
    if open_to is not None:
        reach = 2 * body.wall_m
        grown = shapely.union(outside, shapely.transform(outside, lambda p: p + reach * np.array(open_to)))
    walls = shapely.difference(outside, shapely.buffer(grown, -body.wall_m, join_style="mitre"))
    return CrossSection(regions_of_area(walls), at_m, notes=(WALL_DRAWN,))


def _of_facets(vertices: Floats, facets: Ints, at_m: float) -> CrossSection | None:
    # A manifold is cut level: (x, y, z) of the piece are (z, x, y) there.
    made = manifold_from(np.ascontiguousarray(vertices[:, [1, 2, 0]]), facets)
    if made is None:
        return None
    area = area_of_section(made.slice(at_m))
    size = float(np.ptp(vertices, axis=0).max())
    return _made(shapely.simplify(area, 1e-6 * size), at_m)
