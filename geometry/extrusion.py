"""Mouldings: a profile carried along x, its ends square or mitred, solid or a tube."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import cos, isfinite, radians, tan
from typing import Literal

import numpy as np
import shapely

from geometry.arrays import Floats
from geometry.errors import mm, require, require_dimensions
from geometry.outline import OFFSET_TOLERANCE, inside_plan, ring_plan
from geometry.plan import Plan, fan, within_reach
from geometry.relief import Faces, Flat, Strip, Zone, all_flats, deeper_than, moments_of
from geometry.shapes import Extrusion
from geometry.solid import LayerPart, Moments, Solid, joint_depths, parts_of

ROUND = 256
"""Straight pieces to a quarter circle where a layer turns round an inside corner."""

# An extrusion stands on its profile while it is measured: (x, y, z) there are (y, z, x) of the shape.
_LAID_DOWN = np.array([[0.0, 0.0, 1.0], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]])


@dataclass(frozen=True, slots=True, eq=False)
class ExtrusionBody:
    """An extrusion whose dimensions were found possible.

    profile   its section, solid
    section   the same less the hollow of a tube
    zones     slices along it, for square ends
    start     x of the left end at a profile's y: start[0] + start[1] · y; `end` of the right
    """

    shape: Extrusion
    profile: Plan
    section: Plan
    zones: tuple[Zone, ...]
    start: tuple[float, float]
    end: tuple[float, float]

    @property
    def is_square(self) -> bool:
        return self.start[1] == 0 and self.end[1] == 0

    def moments(self) -> Moments:
        if self.is_square:
            return moments_of(self.zones).mapped(_LAID_DOWN)
        return _between(self.section.polygon, self.start, self.end)

    def length_at(self, y: Floats) -> Floats:
        """Length along x of the line at a profile's y."""
        return self.end[0] - self.start[0] + (self.end[1] - self.start[1]) * y

    def swept_m2(self, lines: shapely.Geometry) -> float:
        """Area that lines of the profile sweep along x."""
        points, line = shapely.get_coordinates(shapely.get_parts(lines), return_index=True)
        same = line[:-1] == line[1:]
        steps = np.hypot(*(points[1:] - points[:-1]).T)[same]
        middles = ((points[1:, 0] + points[:-1, 0]) / 2)[same]
        return float((steps * self.length_at(middles)).sum())

    def deeper_than(self, reach: float, faces: Literal["form", "all"]) -> Moments:
        sides = shapely.boundary(self.profile.polygon)
        if faces == "all":
            sides = shapely.boundary(self.section.polygon)
        if self.is_square:
            length = self.shape.length_m
            if faces == "form":
                flats = tuple(Flat(self.profile.polygon, level) for level in self._closed_ends())
                found = Faces((Strip(sides, 0.0, length),), flats)
            else:
                strips = [Strip(shapely.boundary(z.at(z.middle_m).polygon), z.start_m, z.end_m) for z in self.zones]
                found = Faces(tuple(strips), all_flats(self.zones))
            return deeper_than(self.zones, found, reach).mapped(_LAID_DOWN)
        core = shapely.difference(self.section.polygon, within_reach(sides, reach, ROUND))
        if faces == "form":
            return _between(core, self.start, self.end)
        back = [reach / cos(radians(angle)) for angle in (self.shape.mitre_left_deg, self.shape.mitre_right_deg)]
        return _between(core, (self.start[0] + back[0], self.start[1]), (self.end[0] - back[1], self.end[1]))

    def _closed_ends(self) -> list[float]:
        """Ends of a shell that are cast against the form, as x."""
        if self.shape.wall_m is None:
            return []
        ends = {"left": 0.0, "right": self.shape.length_m}
        return [x for side, x in ends.items() if self.shape.open not in (side, "both")]


def extrusion_body(shape: Extrusion) -> ExtrusionBody:
    """The section and its ends. Raises FaultError for dimensions that cannot be built."""
    require_dimensions(length=shape.length_m, wall=shape.wall_m)
    y0, _, y1, _ = shape.profile.bounds
    ends: list[tuple[float, float]] = []
    for key, angle, base, inward in (
        ("mitre_left", shape.mitre_left_deg, 0.0, 1.0),
        ("mitre_right", shape.mitre_right_deg, shape.length_m, -1.0),
    ):
        require(
            isfinite(angle) and abs(angle) < 90,
            key,
            f"is {angle:g}°.",
            "A mitre lies between −90° and 90° from square.",
        )
        slope = inward * tan(radians(angle)) if angle else 0.0
        longest = y0 if angle > 0 else y1
        ends.append((base - slope * longest, slope))
    start, end = ends
    shortest = min(end[0] - start[0] + (end[1] - start[1]) * y for y in (y0, y1))
    require(
        shortest > 0,
        "length",
        f"is {mm(shape.length_m)}, where the two mitres cross.",
        "Make the piece longer or the mitres less steep.",
    )
    plan = Plan.of(shape.profile)
    if shape.wall_m is None:
        return ExtrusionBody(shape, plan, plan, (Zone.steady(0.0, shape.length_m, plan),), start, end)
    return _tube(shape, plan, shape.wall_m, start, end)


def share_of_mitres(shape: Extrusion) -> float:
    """Part of the volume of the moulding cut square that its mitres take, 0 to 1.

    Raises FaultError for dimensions that cannot be built.
    """
    if not (shape.mitre_left_deg or shape.mitre_right_deg):
        return 0.0
    square = replace(shape, mitre_left_deg=0.0, mitre_right_deg=0.0)
    return 1.0 - extrusion_body(shape).moments().volume_m3 / extrusion_body(square).moments().volume_m3


def _tube(
    shape: Extrusion, plan: Plan, wall: float, start: tuple[float, float], end: tuple[float, float]
) -> ExtrusionBody:
    hollow = inside_plan(shape.profile, wall)
    closed = [shape.open not in (side, "both") for side in ("left", "right")]
    from_x = wall if closed[0] else 0.0
    to_x = shape.length_m - (wall if closed[1] else 0.0)
    require(
        not hollow.straight.is_empty and from_x < to_x,
        "wall",
        f"is {mm(wall)}, which leaves no hollow.",
        "Make it thinner, or leave it out for a solid piece.",
    )
    require(
        not any(closed) or (start[1] == 0 and end[1] == 0),
        "open",
        f"is {shape.open!r} on a mitred tube.",
        'Leave both ends open ("both").',
    )
    ring = ring_plan(plan, hollow)
    zones = [Zone.steady(from_x, to_x, ring)]
    if closed[0]:
        zones.insert(0, Zone.steady(0.0, from_x, plan))
    if closed[1]:
        zones.append(Zone.steady(to_x, shape.length_m, plan))
    return ExtrusionBody(shape, plan, ring, tuple(zones), start, end)


def _between(section: shapely.Geometry, start: tuple[float, float], end: tuple[float, float]) -> Moments:
    """Integrals of a section carried along x between two upright planes x = a + b·y.

    The integrals over x are polynomials of y up to the third degree, which Gauss points in a fan of triangles
    sum exactly for straight edges.
    """
    y, z, weight = fan(section)
    a, b = start[0] + start[1] * y, end[0] + end[1] * y
    once, x_once, xx = weight * (b - a), weight * (b**2 - a**2) / 2, float((weight * (b**3 - a**3)).sum()) / 3
    xy, xz = float((x_once * y).sum()), float((x_once * z).sum())
    yy, zz, yz = (float((once * f).sum()) for f in (y * y, z * z, y * z))
    first = np.array([x_once.sum(), (once * y).sum(), (once * z).sum()])
    return Moments(float(once.sum()), first, np.array([[xx, xy, xz], [xy, yy, yz], [xz, yz, zz]]))


def measure_extrusion(shape: Extrusion) -> Solid:
    """The measure of an extrusion; the form's and the seen faces are its profile's sides, with a tube's closed ends.

    Raises FaultError for dimensions that cannot be built.
    """
    body = extrusion_body(shape)
    moments = body.moments()
    plan, section = body.profile, body.section
    # The mean length over the outline is exact for square ends; a mitre needs the lines themselves.
    exact = all(zone.at(zone.middle_m).exact for zone in body.zones)
    if body.is_square:
        sides = plan.perimeter_m * shape.length_m
    else:
        sides = body.swept_m2(shapely.boundary(plan.polygon))
        exact = exact and plan.is_straight
    closed = len(body._closed_ends())
    ends = section.area_m2 * sum(
        1 / cos(radians(angle)) for angle in (shape.mitre_left_deg, shape.mitre_right_deg)
    )  # fmt: skip
    inside = 0.0
    if shape.wall_m is not None:
        hollow = plan.area_m2 - section.area_m2
        ring = next(zone for zone in body.zones if zone.at(zone.middle_m) is section)
        if body.is_square:
            inside = (section.perimeter_m - plan.perimeter_m) * (ring.end_m - ring.start_m)
        else:
            inside = body.swept_m2(shapely.boundary(section.polygon)) - sides
        ends += 2 * closed * hollow
    form = sides + closed * plan.area_m2
    y0, z0, y1, z1 = shape.profile.bounds
    return Solid(
        volume_m3=moments.volume_m3,
        surface_area_m2=sides + ends + inside,
        form_area_m2=form,
        finished_area_m2=form,
        edge_lengths_m={"profile": shape.profile.outer.perimeter_m, "along": shape.length_m},
        centroid_m=moments.centroid_m,
        size_m=(shape.length_m, y1 - y0, z1 - z0),
        lowest_m=(0.0, y0, z0),
        inertia_m5=moments.inertia_m5,
        tolerance=0.0 if exact else (1e-6 if shape.wall_m is None else OFFSET_TOLERANCE),
    )


def extrusion_layers(
    shape: Extrusion, thicknesses_m: Sequence[float | None], faces: Literal["form", "all"]
) -> tuple[LayerPart, ...]:
    """The layers of an extrusion. See `geometry.solid.layer_parts`."""
    body, measured = extrusion_body(shape), measure_extrusion(shape)
    joints = joint_depths(thicknesses_m, shape.wall_m)
    return parts_of(
        body.moments(),
        lambda joint: body.deeper_than(joint, faces),
        joints,
        measured,
        faces,
    )
