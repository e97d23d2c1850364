"""Bodies of revolution, solid or cast as a shell: everything is an integral over half the meridian section."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import pi
from typing import Literal

import numpy as np
import shapely

from geometry.errors import FaultError, mm, require, require_positive
from geometry.outline import OFFSET_TOLERANCE
from geometry.plan import NEAR, fan, within_reach
from geometry.plane import Region
from geometry.shapes import Revolution
from geometry.solid import LayerPart, Moments, Solid, joint_depths, parts_of

ROUND = 256
"""Straight pieces to a quarter circle where a wall or a layer turns round a corner."""


@dataclass(frozen=True, slots=True, eq=False)
class RevolutionBody:
    """A revolution whose dimensions were found possible.

    radius_m  largest radius: where the axis stands in x and y
    lowest_m  height of the profile's lowest point
    outside   area within the profile, radius along x
    material  the same less the hollow
    formed    profile lines against the form: the axis, and the face left out of a shell, are not
    rims      lines of the face left out, empty for a solid
    exact     whether the material is bounded by the profile's own lines alone
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

    def place(self, about_axis: Moments) -> Moments:
        """Integrals about the axis turned into the shape's own axes."""
        return about_axis.moved((self.radius_m, self.radius_m, -self.lowest_m))

    def moments(self) -> Moments:
        return self.place(turned(self.material))

    def deeper_than(self, reach_m: float, faces: Literal["form", "all"]) -> Moments:
        lines = self.formed if faces == "form" else _off_axis(self.material, self.radius_m)
        return self.place(turned(shapely.difference(self.material, near_lines(lines, reach_m))))


def turned(area: shapely.Geometry) -> Moments:
    """Integrals about the axis of the body that an area in (radius, height) sweeps in one turn.

    Source: volume elements 2πr dr dz (Pappus); the second moments across the axis take half of r² each.
    """
    r, z, weight = fan(area)
    ring = 2 * pi * weight * r
    across = float((ring * r * r).sum()) / 2
    first = np.array([0.0, 0.0, (ring * z).sum()])
    return Moments(float(ring.sum()), first, np.diag([across, across, float((ring * z * z).sum())]))


def swept_area_m2(lines: shapely.Geometry) -> float:
    """Area that lines in (radius, height) sweep in one turn. Source: Pappus, 2π · mean radius · length."""
    area = 0.0
    for part in shapely.get_parts(shapely.line_merge(lines) if lines.geom_type == "MultiLineString" else lines):
        points = shapely.get_coordinates(part)
        steps = np.hypot(*np.diff(points, axis=0).T)
        area += float(pi * (steps * (points[:-1, 0] + points[1:, 0])).sum())
    return area


def near_lines(lines: shapely.Geometry, reach_m: float) -> shapely.Geometry:
    """All points within reach of the lines or of their mirror image across the axis."""
    mirrored = shapely.transform(lines, lambda points: points * [-1.0, 1.0])
    both = shapely.line_merge(shapely.union_all([lines, mirrored]))  # single segments would each end in a round cap
    return within_reach(both, reach_m, ROUND)


def revolution_body(shape: Revolution) -> RevolutionBody:
    """The meridian section. Raises FaultError for a profile or a wall that cannot be built."""
    require_positive(shape.wall_m, "wall")
    points = np.array(shape.points_m, dtype=np.float64).reshape(-1, 2)
    require(len(points) >= 3, "profile", f"has {len(points)} points.", "Give three or more, radius first.")
    size = float(np.abs(points).max())
    if points[:, 0].min() < -NEAR * size:
        i = int(points[:, 0].argmin())
        raise FaultError(
            f"profile[{i}]", f"has a radius of {mm(points[i, 0])}.", "A radius is measured from the axis: 0 or more."
        )
    points[:, 0] = np.where(np.abs(points[:, 0]) <= NEAR * size, 0.0, points[:, 0])
    try:
        outside = Region.from_points(points).polygon()
    except FaultError as error:
        raise FaultError("profile", error.what, error.fix) from None
    radius, lowest = float(outside.bounds[2]), float(outside.bounds[1])
    formed = _off_axis(outside, radius)
    if shape.wall_m is None:
        require(shape.open == "none", "open", "is for a shell.", "Give a wall as well.")
        return RevolutionBody(radius, lowest, outside, outside, formed, shapely.LineString(), True)
    rims = _level_face(outside, shape.open)
    formed = shapely.difference(formed, rims)
    hollow = shapely.difference(outside, near_lines(formed, shape.wall_m))
    require(
        hollow.area > NEAR * outside.area,
        "wall",
        f"is {mm(shape.wall_m)}, which leaves no hollow.",
        "Make it thinner, or leave it out for a solid piece.",
    )
    return RevolutionBody(radius, lowest, outside, shapely.difference(outside, hollow), formed, rims, False)


def _off_axis(area: shapely.Geometry, radius: float) -> shapely.Geometry:
    """The edges of a meridian area without those that lie on the axis."""
    points, ring = shapely.get_coordinates(shapely.get_parts(shapely.boundary(area)), return_index=True)
    segments = np.stack([points[:-1], points[1:]], axis=1)[ring[:-1] == ring[1:]]
    away = segments[:, :, 0].max(axis=1) > NEAR * radius
    return shapely.multilinestrings(shapely.linestrings(segments[away]))


def _level_face(area: shapely.Geometry, side: Literal["none", "top", "bottom"]) -> shapely.Geometry:
    """The level lines at the top or bottom of the profile."""
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
        f"is {side}, where the profile has no level line to leave out.",
        "End the profile level there, or choose another side.",
    )
    return shapely.multilinestrings(shapely.linestrings(segments[flat]))


def measure_revolution(shape: Revolution) -> Solid:
    """The measure of a revolution; seen faces are the outside, and the rim of a shell.

    Raises FaultError for a profile or a wall that cannot be built.
    """
    body = revolution_body(shape)
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


def revolution_layers(
    shape: Revolution, thicknesses_m: Sequence[float | None], faces: Literal["form", "all"]
) -> tuple[LayerPart, ...]:
    """The layers of a revolution. See `geometry.solid.layer_parts`."""
    body, measured = revolution_body(shape), measure_revolution(shape)
    joints = joint_depths(thicknesses_m, shape.wall_m)
    return parts_of(
        body.moments(),
        lambda joint: body.deeper_than(joint, faces),
        joints,
        measured,
        faces,
    )
