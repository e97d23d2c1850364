"""Shapes that are upright prisms on top of each other, so that they can be put together exactly."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely

from geometry.box import box_body
from geometry.extrusion import extrusion_body
from geometry.outline import outline_body
from geometry.panel import panel_body
from geometry.plan import NEAR, Plan, fine_polygon, shifted, united
from geometry.plane import Region, Ring
from geometry.relief import Strip, Zone
from geometry.revolution import revolution_body
from geometry.shapes import Box, Extrusion, Outline, Panel, Revolution, Shape, Slab
from geometry.slab import slab_body


@dataclass(frozen=True, slots=True, eq=False)
class Prism:
    """A plan between two heights, and the lines of its sides that are cast against the form."""

    start_m: float
    end_m: float
    plan: Plan
    formed: shapely.Geometry


@dataclass(frozen=True, slots=True, eq=False)
class Stack:
    """Prisms from the bottom up.

    formed_levels  heights of the level faces against the form, and whether they look up
    """

    prisms: tuple[Prism, ...]
    formed_levels: tuple[tuple[float, bool], ...]

    def moved(self, at_m: tuple[float, float, float]) -> Stack:
        x, y, z = at_m
        return Stack(
            tuple(Prism(p.start_m + z, p.end_m + z, p.plan.moved(x, y), shifted(p.formed, x, y)) for p in self.prisms),
            tuple((level + z, up) for level, up in self.formed_levels),
        )

    def at(self, height_m: float) -> Prism | None:
        return next((p for p in self.prisms if p.start_m < height_m < p.end_m), None)


def stack_of(shape: Shape) -> Stack | None:
    """The shape as upright prisms, or None where it leans, tapers or is curved upward.

    Raises FaultError for dimensions that cannot be built.
    """
    match shape:
        case Slab():
            return _of_slab(shape)
        case Outline():
            return _of_outline(shape)
        case Panel():
            panel = panel_body(shape)
            return Stack(_prisms(panel.zones, panel.faces("form").strips, None), ((0.0, False),))
        case Box():
            return _of_box(shape)
        case Extrusion():
            return _of_extrusion(shape)
        case Revolution():
            return _of_revolution(shape)
        case _:
            return None


def _prisms(zones: tuple[Zone, ...], strips: tuple[Strip, ...], height: float | None) -> tuple[Prism, ...]:
    """Prisms of zones with a strip of formed lines each; with a height, depths are turned into heights."""
    made = [
        Prism(zone.start_m, zone.end_m, zone.at(zone.middle_m), strip.lines)
        if height is None
        else Prism(height - zone.end_m, height - zone.start_m, zone.at(zone.middle_m), strip.lines)
        for zone, strip in zip(zones, strips, strict=True)
    ]
    return tuple(sorted(made, key=lambda prism: prism.start_m))


def _of_slab(slab: Slab) -> Stack | None:
    body = slab_body(slab)
    if slab.edge_profiles or slab.taper is not None:
        return None
    return Stack(_prisms(body.zones, body.faces("form").strips, body.height_m), ((body.height_m, True),))


def _of_outline(outline: Outline) -> Stack:
    body = outline_body(outline)
    sides = shapely.boundary(body.plan.polygon)
    strips = tuple(Strip(sides, zone.start_m, zone.end_m) for zone in body.zones)
    top, bottom = body.formed_ends()
    levels = [(outline.thickness_m, True)] if top else []
    levels += [(0.0, False)] if bottom else []
    return Stack(_prisms(body.zones, strips, outline.thickness_m), tuple(levels))


def _of_box(box: Box) -> Stack | None:
    body = box_body(box)
    if body.outside.lean_x or body.outside.lean_y or box.fillet_m:
        return None
    rectangle, wall = Plan.rectangle(0.0, 0.0, box.length_m, box.width_m), box.wall_m
    base = rectangle
    for hole in box.drain_holes:
        base = base.less(Region.circle(hole.diameter_m, (hole.x_m, hole.y_m)))
    hollow = shapely.box(wall, wall, box.length_m - wall, box.width_m - wall)
    ring = Plan(shapely.difference(rectangle.straight, hollow))
    sides = shapely.boundary(rectangle.straight)
    top = body.cavity.end_m
    prisms = [Prism(0.0, box.base_m, base, sides), Prism(box.base_m, top, ring, sides)]
    if not box.open:
        prisms.append(Prism(top, box.height_m, rectangle, sides))
    levels = [(0.0, False)] + ([] if box.open else [(box.height_m, True)])
    return Stack(tuple(prisms), tuple(levels))


def _of_extrusion(shape: Extrusion) -> Stack | None:
    body = extrusion_body(shape)
    section = body.section.polygon
    if not body.is_square or len(body.zones) > 1 or not _is_rectilinear(section):
        return None
    outside = shapely.boundary(body.profile.polygon)
    prisms = []
    for low, high, spans in _levels(section):
        plan = Plan(united(shapely.box(0.0, y0, shape.length_m, y1) for y0, y1 in spans))
        edges = [y for span in spans for y in span if _on(outside, y, (low + high) / 2)]
        lines = [shapely.LineString([(0.0, y), (shape.length_m, y)]) for y in edges]
        prisms.append(Prism(low, high, plan, united(lines)))
    heights = sorted(set(shapely.get_coordinates(outside)[:, 1].tolist()))
    return Stack(tuple(prisms), tuple((z, up) for z in heights for up in (True, False)))


def _of_revolution(shape: Revolution) -> Stack | None:
    body = revolution_body(shape)
    if not _is_rectilinear(body.material):
        return None
    middle = (body.radius_m, body.radius_m)
    prisms = []
    for low, high, spans in _levels(body.material):
        plan = Plan(shapely.Polygon(), tuple(_annulus(inner, outer, middle) for inner, outer in spans))
        radii = [r for span in spans for r in span if r > 0 and _on(body.formed, r, (low + high) / 2)]
        circles = [shapely.boundary(fine_polygon(Region.circle(2 * r, middle))) for r in radii]
        prisms.append(Prism(low - body.lowest_m, high - body.lowest_m, plan, united(circles)))
    segments = [shapely.get_coordinates(part) for part in shapely.get_parts(body.formed)]
    flat = {float(ends[0, 1]) - body.lowest_m for ends in segments if abs(ends[0, 1] - ends[-1, 1]) < NEAR}
    return Stack(tuple(prisms), tuple((z, up) for z in sorted(flat) for up in (True, False)))


def _annulus(inner: float, outer: float, middle: tuple[float, float]) -> Region:
    disc = Region.circle(2 * outer, middle)
    holes: tuple[Ring, ...] = (Region.circle(2 * inner, middle).outer,) if inner > NEAR * outer else ()
    return Region(disc.outer, holes)


def _is_rectilinear(area: shapely.Geometry) -> bool:
    points, ring = shapely.get_coordinates(shapely.get_parts(shapely.boundary(area)), return_index=True)
    steps = np.abs(np.diff(points, axis=0))[ring[:-1] == ring[1:]]
    return bool((steps.min(axis=1) <= NEAR * np.ptp(points, axis=0).max()).all())


def _levels(area: shapely.Geometry) -> list[tuple[float, float, list[tuple[float, float]]]]:
    """A rectilinear area as ranges of height with the spans that it covers across."""
    x0, y0, x1, y1 = area.bounds
    heights = np.unique(shapely.get_coordinates(area)[:, 1])
    found = []
    for low, high in pairwise(map(float, heights)):
        if high - low <= NEAR * (y1 - y0):
            continue
        across = shapely.LineString([(x0 - 1, (low + high) / 2), (x1 + 1, (low + high) / 2)])
        parts = shapely.get_parts(shapely.intersection(area, across))
        spans = sorted((float(part.bounds[0]), float(part.bounds[2])) for part in parts)
        found.append((low, high, [span for span in spans if span[1] > span[0]]))
    return found


def _on(lines: shapely.Geometry, x: float, y: float) -> bool:
    point = shapely.Point(x, y)
    return bool(shapely.distance(lines, point) <= NEAR * max(1.0, abs(x), abs(y)))
