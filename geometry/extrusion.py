"""Moldings: a profile extruded along x with square or mitered ends, solid or as a tube."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from math import cos, hypot, isfinite, radians, tan
from typing import Any, Literal

import numpy as np
import shapely

from geometry.arrays import Floats
from geometry.errors import require, require_dimensions
from geometry.frozen import frozen
from geometry.inscribed import CIRCLE_TOLERANCE_M, Inscribed, ring_m
from geometry.manifolds import flat_section, manifold_of_stack
from geometry.message import Message, message
from geometry.plan import OFFSET_TOLERANCE, Path, Plan, fan, inside_plan, ring_plan, united, within_reach
from geometry.plane import Region, Ring
from geometry.shape import Beam, FacesOf, FormPlan, Shape, Wall, side_names
from geometry.slices import (
    CHORD_M,
    Faces,
    Flat,
    Level,
    Prism,
    Stack,
    Strip,
    Zone,
    all_flats,
    deeper_than,
    is_rectilinear,
    lies_on,
    moments_of,
    spans_by_height,
    tidy,
)
from geometry.solid import Moments, Solid
from geometry.views import Axis, CrossSection, PlanArea, PlanView, profile_edges, regions_of

ROUND = 256
"""Segments per quarter circle where a layer turns around an inside corner."""


# An extrusion is measured standing on its profile: its (x, y, z) are (y, z, x) of the shape.
_LAID_DOWN = np.array([[0.0, 0.0, 1.0], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]])


@frozen
class Extrusion(Shape):
    """A molding: a profile extruded along x.

    The profile's x and y become y and z. `length_m` is the overall length. A miter turns an end face from square by
    that angle about the vertical: positive shortens the back, negative the front.
    With `wall_m` the profile is the outer surface of a tube, whose ends are open unless `open` says otherwise.
    """

    profile: Region
    length_m: float
    mitre_left_deg: float = 0.0
    mitre_right_deg: float = 0.0
    wall_m: float | None = None
    open: Literal["none", "left", "right", "both"] = "both"

    # Volume and layers

    def solid(self) -> Solid:
        """Measure the molding. Form and finished faces are its long sides, and the closed ends of a tube."""
        body = extrusion_body(self)
        moments = body.moments()
        plan, section = body.profile, body.section
        # Perimeter times length is exact for square ends; with miters the area is summed line by line.
        exact = all(zone.plan.exact for zone in body.zones)
        if body.is_square:
            sides = plan.perimeter_m * self.length_m
        else:
            sides = body.swept_m2(shapely.boundary(plan.polygon))
            exact = exact and plan.is_straight
        closed = len(body.closed_ends())
        ends = section.area_m2 * sum(1 / cos(radians(angle)) for angle in (self.mitre_left_deg, self.mitre_right_deg))
        inside = 0.0
        if self.wall_m is not None:
            hollow = plan.area_m2 - section.area_m2
            ring = next(zone for zone in body.zones if zone.plan is section)
            if body.is_square:
                inside = (section.perimeter_m - plan.perimeter_m) * (ring.end_m - ring.start_m)
            else:
                inside = body.swept_m2(shapely.boundary(section.polygon)) - sides
            ends += 2 * closed * hollow
        form = sides + closed * plan.area_m2
        y0, z0, y1, z1 = self.profile.bounds
        return Solid(
            volume_m3=moments.volume_m3,
            surface_area_m2=sides + ends + inside,
            form_area_m2=form,
            finished_area_m2=form,
            edge_lengths_m={"profile": self.profile.outer.perimeter_m, "along": self.length_m},
            centroid_m=moments.centroid_m,
            size_m=(self.length_m, y1 - y0, z1 - z0),
            lowest_m=(0.0, y0, z0),
            inertia_m5=moments.inertia_m5,
            tolerance=0.0 if exact else (1e-6 if self.wall_m is None else OFFSET_TOLERANCE),
        )

    @property
    def cast_thickness_m(self) -> float | None:
        return self.wall_m

    def moments(self) -> Moments:
        return extrusion_body(self).moments()

    def deeper_than(self, reach_m: float, faces: FacesOf) -> Moments:
        return extrusion_body(self).deeper_than(reach_m, faces)

    def share_of_mitres(self) -> float:
        """Share of the square-cut molding's volume that its miters cut off, 0 to 1.

        Raises FaultError for dimensions that cannot be built.
        """
        if not (self.mitre_left_deg or self.mitre_right_deg):
            return 0.0
        square = replace(self, mitre_left_deg=0.0, mitre_right_deg=0.0)
        return 1.0 - self.moments().volume_m3 / square.moments().volume_m3

    # Areas and sizes

    def plan_area(self) -> PlanArea:
        x0, _, x1, _ = self.profile.bounds
        return PlanArea(self.length_m * (x1 - x0), self.length_m * (x1 - x0))

    def extents(self) -> tuple[tuple[str, float], ...]:
        return ("length", self.length_m), ("profile", self.profile.mean_width_m)

    def walls(self) -> tuple[Wall, ...]:
        return () if self.wall_m is None else (Wall("wall", "wall", self.wall_m),)

    def thicker(self, by_m: float) -> Extrusion | None:
        return None if self.wall_m is None else replace(self, wall_m=self.wall_m + by_m)

    def largest_sphere(self) -> Inscribed:
        return Inscribed(min(ring_m(self.profile.polygon(CIRCLE_TOLERANCE_M), self.wall_m), self.length_m))

    # Parts, drawings and forms

    def opening_outlines(self) -> tuple[Region, ...]:
        return ()

    def plate(self) -> None:
        return None

    def beam(self) -> Beam | None:
        width_m, height_m = self.profile.size_m
        if self.length_m < max(width_m, height_m):
            return None
        area = Plan.of(self.profile)
        if self.wall_m is not None:
            area = ring_plan(area, inside_plan(self.profile, self.wall_m))
        left_out = (message("bending-mitres"),) if self.mitre_left_deg or self.mitre_right_deg else ()
        moduli = _moduli_m3(area.integrals.tolist(), self.profile.bounds)
        return Beam(0, ((0.0, self.length_m, area.area_m2),), moduli_m3=moduli, left_out=left_out)

    def stack(self) -> Stack | None:
        body = extrusion_body(self)
        section = body.section.polygon
        if not body.is_square or len(body.zones) > 1 or not is_rectilinear(section):
            return None
        outside = shapely.boundary(body.profile.polygon)
        prisms = []
        for low, high, spans in spans_by_height(section):
            plan = Plan(united(shapely.box(0.0, y0, self.length_m, y1) for y0, y1 in spans))
            edges = [y for span in spans for y in span if lies_on(outside, y, (low + high) / 2)]
            lines = [shapely.LineString([(0.0, y), (self.length_m, y)]) for y in edges]
            prisms.append(Prism(low, high, plan, united(lines)))
        heights = sorted(set(shapely.get_coordinates(outside)[:, 1].tolist()))
        return Stack(tuple(prisms), tuple((z, up) for z in heights for up in (True, False)))

    def build_notes(self) -> tuple[Message, ...]:
        notes = [
            message(f"form-mitre-{'back' if angle > 0 else 'front'}", side=side, degrees=f"{abs(angle):g}")
            for side, angle in zip(
                side_names(("left", "right")), (self.mitre_left_deg, self.mitre_right_deg), strict=True
            )
            if angle
        ]
        if self.wall_m is not None:
            notes.append(message("form-shell", wall_m=self.wall_m))
        return tuple(notes)

    def form(self) -> FormPlan | None:
        """Form of the profile over its length, standing on the left end; None for a tube."""
        if self.wall_m is not None:
            return None
        level = Level(0.0, self.length_m, tidy(self.profile.polygon(CHORD_M)))
        return FormPlan((level,), mitres=(tan(radians(self.mitre_left_deg)), tan(radians(self.mitre_right_deg))))

    @property
    def edge_numbers(self) -> Literal["plan", "section"] | None:
        return "section"

    def board_name(self, role: str, side: str, number: int, *, raised: bool) -> Message:
        if role == "edge":
            return message("board-side", number=str(number))
        return Shape.board_name(self, role, side, number, raised=raised)

    def view(self) -> PlanView:
        body = extrusion_body(self)
        area = body.section.polygon
        y0, _, y1, _ = area.bounds

        def along(y: float) -> Floats:
            return np.array([(body.start[0] + body.start[1] * y, y), (body.end[0] + body.end[1] * y, y)])

        outer = np.concatenate([along(y0), along(y1)[::-1]])
        seen, hidden = profile_edges(area)
        return PlanView(
            (Region(Ring(outer)),), (), tuple(Path(along(y)) for y in seen), tuple(Path(along(y)) for y in hidden)
        )

    def cross_section(self, at_m: float, axis: Axis = "x") -> CrossSection | None:
        return CrossSection(regions_of(extrusion_body(self).section), at_m)

    def manifold(self) -> Any:
        stack = self.stack()
        if stack is not None:
            return manifold_of_stack(stack)
        body = extrusion_body(self)
        y0, _, y1, _ = self.profile.bounds
        reach = [f(base + slope * y for y in (y0, y1)) for f, (base, slope) in ((min, body.start), (max, body.end))]
        if body.is_square and len(body.zones) > 1:
            parts = [
                flat_section(z.plan.polygon).extrude(z.end_m - z.start_m).translate((0, 0, z.start_m))
                for z in body.zones
            ]
            mesh = parts[0]
            for part in parts[1:]:
                mesh = mesh + part
        else:
            mesh = flat_section(body.section.polygon).extrude(reach[1] - reach[0]).translate((0.0, 0.0, reach[0]))
        mesh = mesh.transform(np.array([[0.0, 0, 1, 0], [1, 0, 0, 0], [0, 1, 0, 0]]))
        for (base, slope), side in ((body.start, 1.0), (body.end, -1.0)):
            if slope:
                steep = hypot(1.0, slope)
                mesh = mesh.trim_by_plane((side / steep, -side * slope / steep, 0.0), side * base / steep)
        return mesh


@frozen(eq=False)
class ExtrusionBody:
    """An extrusion with validated dimensions.

    profile     solid section
    section     section less the hollow of a tube
    zones       slices along the length, for square ends
    start, end  coefficients (a, b) of the end planes x = a + b·y, left and right
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
        """Length along x at each y of the profile."""
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
                flats = tuple(Flat(self.profile.polygon, level) for level in self.closed_ends())
                surfaces = Faces((Strip(sides, 0.0, length),), flats)
            else:
                strips = [Strip(shapely.boundary(z.at(z.middle_m).polygon), z.start_m, z.end_m) for z in self.zones]
                surfaces = Faces(tuple(strips), all_flats(self.zones))
            return deeper_than(self.zones, surfaces, reach).mapped(_LAID_DOWN)
        core = shapely.difference(self.section.polygon, within_reach(sides, reach, ROUND))
        if faces == "form":
            return _between(core, self.start, self.end)
        back = [reach / cos(radians(angle)) for angle in (self.shape.mitre_left_deg, self.shape.mitre_right_deg)]
        return _between(core, (self.start[0] + back[0], self.start[1]), (self.end[0] - back[1], self.end[1]))

    def closed_ends(self) -> list[float]:
        """Positions x of the closed ends of a tube, which are cast against the form."""
        if self.shape.wall_m is None:
            return []
        ends = {"left": 0.0, "right": self.shape.length_m}
        return [x for side, x in ends.items() if self.shape.open not in (side, "both")]


@lru_cache(maxsize=16)  # measure, layers, view and sections of one piece follow each other
def extrusion_body(shape: Extrusion) -> ExtrusionBody:
    """Section and end planes of an extrusion. Raises FaultError for impossible dimensions."""
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
            message("miter-angle", angle=f"{angle:g}"),
        )
        slope = inward * tan(radians(angle)) if angle else 0.0
        longest = y0 if angle > 0 else y1
        ends.append((base - slope * longest, slope))
    start, end = ends
    shortest = min(end[0] - start[0] + (end[1] - start[1]) * y for y in (y0, y1))
    require(
        shortest > 0,
        "length",
        message("miters-cross", length_m=shape.length_m),
    )
    plan = Plan.of(shape.profile)
    if shape.wall_m is None:
        return ExtrusionBody(shape, plan, plan, (Zone.steady(0.0, shape.length_m, plan),), start, end)
    return _tube(shape, plan, shape.wall_m, start, end)


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
        message("wall-too-thick", wall_m=wall),
    )
    require(
        not any(closed) or (start[1] == 0 and end[1] == 0),
        "open",
        message("miter-tube-open", open=f"{shape.open!r}"),
    )
    ring = ring_plan(plan, hollow)
    zones = [Zone.steady(from_x, to_x, ring)]
    if closed[0]:
        zones.insert(0, Zone.steady(0.0, from_x, plan))
    if closed[1]:
        zones.append(Zone.steady(to_x, shape.length_m, plan))
    return ExtrusionBody(shape, plan, ring, tuple(zones), start, end)


def _between(section: shapely.Geometry, start: tuple[float, float], end: tuple[float, float]) -> Moments:
    """Moments of a section extruded along x between two vertical planes x = a + b·y.

    The integrals over x are polynomials in y of degree 3 at most, which Gauss points in a fan of triangles integrate
    exactly for straight edges.
    """
    y, z, weight = fan(section)
    a, b = start[0] + start[1] * y, end[0] + end[1] * y
    once, x_once, xx = weight * (b - a), weight * (b**2 - a**2) / 2, float((weight * (b**3 - a**3)).sum()) / 3
    xy, xz = float((x_once * y).sum()), float((x_once * z).sum())
    yy, zz, yz = (float((once * f).sum()) for f in (y * y, z * z, y * z))
    first = np.array([x_once.sum(), (once * y).sum(), (once * z).sum()])
    return Moments(float(once.sum()), first, np.array([[xx, xy, xz], [xy, yy, yz], [xz, yz, zz]]))


def _moduli_m3(integrals: Sequence[float], bounds: tuple[float, float, float, float]) -> tuple[float, float]:
    """Smallest section moduli of a profile in (y, z), m³: lying as cast, and turned on its side."""

    area, first_y, first_z, second_y, second_z, _ = integrals
    y, z = first_y / area, first_z / area
    y0, z0, y1, z1 = bounds
    lying = (second_z - area * z * z) / max(z1 - z, z - z0)
    turned = (second_y - area * y * y) / max(y1 - y, y - y0)
    return lying, turned
