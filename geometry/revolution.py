"""Bodies of revolution, solid or as a shell, by integrals over half the meridian section."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from math import pi, sin, sqrt
from typing import Any, Literal

import numpy as np
import shapely

from geometry.arrays import Vector
from geometry.errors import FaultError, require, require_positive
from geometry.frozen import frozen
from geometry.inscribed import Inscribed, ring_m
from geometry.manifolds import TURN, flat_section, manifold_of_stack
from geometry.message import Message, message
from geometry.plan import NEAR, OFFSET_TOLERANCE, Path, Plan, fan, fine_polygon, united, within_reach
from geometry.plane import Region, Ring
from geometry.shape import FacesOf, Shape, Wall
from geometry.slices import Prism, Stack, is_rectilinear, lies_on, spans_by_height
from geometry.solid import Moments, Solid
from geometry.views import Axis, CrossSection, PlanArea, PlanView, joined, profile_edges, section_of_area

ROUND = 256
"""Segments per quarter circle where a wall or a layer turns around a corner."""


@frozen
class Revolution(Shape):
    """A bowl, column or sphere: a closed profile of (radius, height) revolved about the vertical.

    The axis is at x = y = the largest radius. With `wall_m` the profile is the outer surface of a shell, which is open
    at its horizontal face `open`.
    """

    points_m: tuple[tuple[float, float], ...]
    wall_m: float | None = None
    open: Literal["none", "top", "bottom"] = "none"

    # Volume and layers

    def solid(self) -> Solid:
        """Measure the body. Finished faces are the outside, and the rim of a shell."""
        body = revolution_body(self)
        moments = body.moments()
        form = swept_area_m2(body.formed)
        surface = swept_area_m2(_off_axis(body.material, body.radius_m))
        rim = 0.0
        if not body.rims.is_empty:
            strip = shapely.buffer(body.rims, NEAR * body.radius_m, cap_style="flat", quad_segs=1)
            rim = swept_area_m2(shapely.intersection(_off_axis(body.material, body.radius_m), strip))
        _, z0, x1, z1 = body.outside.bounds
        ends = shapely.get_coordinates(shapely.boundary(body.outside))
        return Solid(
            volume_m3=moments.volume_m3,
            surface_area_m2=surface,
            form_area_m2=form,
            finished_area_m2=form + rim,
            edge_lengths_m={
                "top": 2 * pi * float(ends[ends[:, 1] >= z1 - NEAR * x1, 0].max()),
                "bottom": 2 * pi * float(ends[ends[:, 1] <= z0 + NEAR * x1, 0].max()),
            },
            centroid_m=moments.centroid_m,
            size_m=(2 * x1, 2 * x1, z1 - z0),
            lowest_m=(0.0, 0.0, 0.0),
            inertia_m5=moments.inertia_m5,
            tolerance=0.0 if body.exact else OFFSET_TOLERANCE,
        )

    @property
    def cast_thickness_m(self) -> float | None:
        return self.wall_m

    def moments(self) -> Moments:
        return revolution_body(self).moments()

    def deeper_than(self, reach_m: float, faces: FacesOf) -> Moments:
        return revolution_body(self).deeper_than(reach_m, faces)

    # Areas and sizes

    def plan_area(self) -> PlanArea:
        body = revolution_body(self)
        gross_m2 = pi * body.radius_m**2
        return PlanArea(gross_m2, gross_m2 - pi * body.bore_m**2)

    def extents(self) -> tuple[tuple[str, float], ...]:
        heights = [z for _, z in self.points_m]
        return (("", max(2.0 * max(r for r, _ in self.points_m), max(heights) - min(heights))),)

    def walls(self) -> tuple[Wall, ...]:
        return () if self.wall_m is None else (Wall("wall", "wall", self.wall_m),)

    def thicker(self, by_m: float) -> Revolution | None:
        return None if self.wall_m is None else replace(self, wall_m=self.wall_m + by_m)

    def largest_sphere(self) -> Inscribed:
        half = shapely.Polygon(self.points_m)
        mirrored = shapely.Polygon([(-radius, height) for radius, height in self.points_m])
        return Inscribed(ring_m(shapely.union_all([half, mirrored], grid_size=1e-9), self.wall_m))

    def foot_m(self, size_m: Vector) -> tuple[float, float]:
        lowest_m = min(z for _, z in self.points_m)
        foot_m = 2.0 * max(r for r, z in self.points_m if z <= lowest_m + 1e-9)
        return foot_m or size_m[0], foot_m or size_m[1]

    # Parts, drawings and forms

    def opening_outlines(self) -> tuple[Region, ...]:
        return ()  # a bore belongs to the profile

    def plate(self) -> None:
        return None

    def build_notes(self) -> tuple[Message, ...]:
        return () if self.wall_m is None else (message("form-shell", wall_m=self.wall_m),)

    def form(self) -> None:
        return None

    def stack(self) -> Stack | None:
        body = revolution_body(self)
        if not is_rectilinear(body.material):
            return None
        middle = (body.radius_m, body.radius_m)
        prisms = []
        for low, high, spans in spans_by_height(body.material):
            plan = Plan(shapely.Polygon(), tuple(_annulus(inner, outer, middle) for inner, outer in spans))
            radii = [r for span in spans for r in span if r > 0 and lies_on(body.formed, r, (low + high) / 2)]
            circles = [shapely.boundary(fine_polygon(body.circle(r))) for r in radii]
            prisms.append(Prism(low - body.lowest_m, high - body.lowest_m, plan, united(circles)))
        segments = [shapely.get_coordinates(part) for part in shapely.get_parts(body.formed)]
        flat = {float(ends[0, 1]) - body.lowest_m for ends in segments if abs(ends[0, 1] - ends[-1, 1]) < NEAR}
        return Stack(tuple(prisms), tuple((z, up) for z in sorted(flat) for up in (True, False)))

    def view(self) -> PlanView:
        body = revolution_body(self)
        openings = (body.circle(body.bore_m),) if body.bore_m > NEAR * body.radius_m else ()
        seen, hidden = profile_edges(body.material)

        def circles(radii: Sequence[float]) -> tuple[Path, ...]:
            return tuple(Path.of_ring(body.circle(radius).outer) for radius in radii if radius > NEAR * body.radius_m)

        material = Region(body.circle(body.radius_m).outer, tuple(opening.outer for opening in openings))
        return PlanView((material,), openings, circles(seen), circles(hidden))

    def cross_section(self, at_m: float, axis: Axis = "x") -> CrossSection | None:
        """Section through the axis, for any station."""
        body = revolution_body(self)

        def placed(side: float) -> shapely.Geometry:
            offset = [body.radius_m, -body.lowest_m]
            return shapely.transform(body.material, lambda points: points * [side, 1.0] + offset)

        return section_of_area(joined([placed(1.0), placed(-1.0)]), at_m)

    def manifold(self) -> Any:
        stack = self.stack()
        if stack is not None:
            return manifold_of_stack(stack)
        body = revolution_body(self)
        # Corners lie outside the true circle, so that the polygon has the same area.
        swell = sqrt(2 * pi / TURN / sin(2 * pi / TURN))
        mesh = flat_section(body.material).revolve(TURN).scale((swell, swell, 1.0))
        return mesh.translate((body.radius_m, body.radius_m, -body.lowest_m))


@frozen(eq=False)
class RevolutionBody:
    """A body of revolution with validated dimensions.

    radius_m  largest radius, which is also x and y of the axis
    lowest_m  height of the profile's lowest point
    outside   area inside the profile, radius along x
    material  the same, less the hollow
    formed    profile lines cast against the form, without the axis and the open face of a shell
    rims      lines of the open face, empty for a solid
    exact     whether the material is bounded only by lines of the profile
    """

    radius_m: float
    lowest_m: float
    outside: shapely.Geometry
    material: shapely.Geometry
    formed: shapely.Geometry
    rims: shapely.Geometry
    exact: bool

    @property
    def height_m(self) -> float:
        return float(self.outside.bounds[3]) - self.lowest_m

    @property
    def bore_m(self) -> float:
        """Radius of a through hole along the axis; 0 for a piece without one."""
        axis = shapely.LineString([(0.0, self.lowest_m - 1.0), (0.0, self.lowest_m + self.height_m + 1.0)])
        return 0.0 if self.material.intersects(axis) else float(self.material.bounds[0])

    def circle(self, radius_m: float) -> Region:
        """A circle about the axis, in plan."""
        return Region.circle(2 * radius_m, (self.radius_m, self.radius_m))

    def place(self, about_axis: Moments) -> Moments:
        """Convert moments about the axis to the shape's coordinates."""
        return about_axis.moved((self.radius_m, self.radius_m, -self.lowest_m))

    def moments(self) -> Moments:
        return self.place(turned(self.material))

    def deeper_than(self, reach_m: float, faces: Literal["form", "all"]) -> Moments:
        lines = self.formed if faces == "form" else _off_axis(self.material, self.radius_m)
        return self.place(turned(shapely.difference(self.material, near_lines(lines, reach_m))))


def turned(area: shapely.Geometry) -> Moments:
    """Moments about the axis of the body swept by an area in (radius, height) in one revolution.

    Source: volume elements 2πr dr dz (Pappus); the second moments across the axis take half of r² each.
    """
    r, z, weight = fan(area)
    ring = 2 * pi * weight * r
    across = float((ring * r * r).sum()) / 2
    first = np.array([0.0, 0.0, (ring * z).sum()])
    return Moments(float(ring.sum()), first, np.diag([across, across, float((ring * z * z).sum())]))


def swept_area_m2(lines: shapely.Geometry) -> float:
    """Area swept by lines in (radius, height) in one revolution, m². Source: Pappus, 2π · mean radius · length."""
    area = 0.0
    for part in shapely.get_parts(shapely.line_merge(lines) if lines.geom_type == "MultiLineString" else lines):
        points = shapely.get_coordinates(part)
        steps = np.hypot(*np.diff(points, axis=0).T)
        area += float(pi * (steps * (points[:-1, 0] + points[1:, 0])).sum())
    return area


def near_lines(lines: shapely.Geometry, reach_m: float) -> shapely.Geometry:
    """All points within a distance of the lines or of their mirror image across the axis."""
    mirrored = shapely.transform(lines, lambda points: points * [-1.0, 1.0])
    both = shapely.line_merge(
        shapely.union_all([lines, mirrored])
    )  # merged, since every separate segment would get round caps
    return within_reach(both, reach_m, ROUND)


@lru_cache(maxsize=16)  # measure, layers, view and sections of one piece follow each other
def revolution_body(shape: Revolution) -> RevolutionBody:
    """Meridian section of a body of revolution. Raises FaultError for an impossible profile or wall."""
    require_positive(shape.wall_m, "wall")
    points = np.array(shape.points_m, dtype=np.float64).reshape(-1, 2)
    require(len(points) >= 3, "profile", message("profile-too-few-points", points=len(points)))
    size = float(np.abs(points).max())
    if points[:, 0].min() < -NEAR * size:
        i = int(points[:, 0].argmin())
        raise FaultError(f"profile[{i}]", message("profile-radius-negative", radius_m=points[i, 0]))
    points[:, 0] = np.where(np.abs(points[:, 0]) <= NEAR * size, 0.0, points[:, 0])
    try:
        outside = Region.from_points(points).polygon()
    except FaultError as error:
        raise FaultError("profile", error.message) from None
    radius, lowest = float(outside.bounds[2]), float(outside.bounds[1])
    formed = _off_axis(outside, radius)
    if shape.wall_m is None:
        require(shape.open == "none", "open", message("open-needs-wall"))
        return RevolutionBody(radius, lowest, outside, outside, formed, shapely.LineString(), True)
    rims = _level_face(outside, shape.open)
    formed = shapely.difference(formed, rims)
    hollow = shapely.difference(outside, near_lines(formed, shape.wall_m))
    require(
        hollow.area > NEAR * outside.area,
        "wall",
        message("wall-too-thick", wall_m=shape.wall_m),
    )
    return RevolutionBody(radius, lowest, outside, shapely.difference(outside, hollow), formed, rims, False)


def _off_axis(area: shapely.Geometry, radius: float) -> shapely.Geometry:
    """Edges of a meridian area, without those on the axis."""
    points, ring = shapely.get_coordinates(shapely.get_parts(shapely.boundary(area)), return_index=True)
    segments = np.stack([points[:-1], points[1:]], axis=1)[ring[:-1] == ring[1:]]
    is_off = segments[:, :, 0].max(axis=1) > NEAR * radius
    return shapely.multilinestrings(shapely.linestrings(segments[is_off]))


def _level_face(area: shapely.Geometry, side: Literal["none", "top", "bottom"]) -> shapely.Geometry:
    """Horizontal lines at the top or bottom of the profile."""
    if side == "none":
        return shapely.LineString()
    level = area.bounds[3] if side == "top" else area.bounds[1]
    points = shapely.get_coordinates(shapely.boundary(area))
    segments = np.stack([points[:-1], points[1:]], axis=1)
    reach = NEAR * (area.bounds[3] - area.bounds[1])
    flat = (np.abs(segments[:, :, 1] - level) <= reach).all(axis=1)
    require(
        bool(flat.any()),
        "open",
        message("profile-not-level", side=side),
    )
    return shapely.multilinestrings(shapely.linestrings(segments[flat]))


def _annulus(inner: float, outer: float, middle: tuple[float, float]) -> Region:
    disc = Region.circle(2 * outer, middle)
    holes: tuple[Ring, ...] = (Region.circle(2 * inner, middle).outer,) if inner > NEAR * outer else ()
    return Region(disc.outer, holes)
