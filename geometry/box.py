"""Boxes: planters, troughs and plinths with plumb or tapered walls and optional inside fillets.

A plain box is a sum of cuboids. Any other box is its outer body less its cavity, both measured as rounded frusta by
slices.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import combinations, pairwise
from math import hypot, inf, pi, sqrt
from typing import Any, Literal

import numpy as np
import shapely

from geometry.arrays import Floats, Vector
from geometry.cuboids import Block, Thicknesses, block_of_boxes
from geometry.errors import require, require_dimensions
from geometry.frozen import frozen
from geometry.inscribed import Inscribed, corner_m
from geometry.manifolds import STEPS as FACET_STEPS
from geometry.manifolds import TURN, flat_section, hull, manifold_of_stack
from geometry.message import Message, message
from geometry.plan import NEAR, Path, Plan, region_integrals
from geometry.plane import Region
from geometry.shape import Beam, FacesOf, FormPlan, PlainForm, Shape, Trough, Wall
from geometry.slices import Prism, Stack, levels_of_stacks, turned_over
from geometry.solid import Moments, Solid, smooth_rule, spread, total
from geometry.views import STEPS, Axis, CrossSection, PlanArea, PlanView, section_of_area

_ANGLES, _ANGLE_WEIGHTS = spread(0.0, pi / 2, *np.polynomial.legendre.leggauss(24))


@frozen
class DrainHole:
    """A round hole through the base of a box, about (x, y)."""

    diameter_m: float
    x_m: float
    y_m: float


@frozen
class Box(Shape):
    """A planter, trough or plinth by its OUTER size.

    wall_m                         thickness, measured perpendicular to the wall
    base_m                         thickness of the base, and of the lid if the box is closed
    base_length_m, base_width_m    outer size at the bottom of tapered walls; None if the same as at the top
    fillet_m                       radius of every inside edge and corner
    """

    length_m: float
    width_m: float
    height_m: float
    wall_m: float
    base_m: float
    open: bool = True
    base_length_m: float | None = None
    base_width_m: float | None = None
    fillet_m: float = 0.0
    drain_holes: tuple[DrainHole, ...] = ()

    @property
    def foot(self) -> tuple[float, float]:
        """Outer length and width at the bottom, m."""
        return (
            self.length_m if self.base_length_m is None else self.base_length_m,
            self.width_m if self.base_width_m is None else self.base_width_m,
        )

    @property
    def leans(self) -> tuple[float, float]:
        """Increase of half the length and half the width per unit of height."""
        length_m, width_m = self.foot
        return (self.length_m - length_m) / 2 / self.height_m, (self.width_m - width_m) / 2 / self.height_m

    # Volume and layers

    def solid(self) -> Solid:
        return self.plain_solid() or self.solid_by_slices()

    def is_plain(self, layers: int) -> bool:
        leaning = self.base_length_m is not None or self.base_width_m is not None
        return not leaning and self.fillet_m == 0 and not self.drain_holes

    @classmethod
    def block(cls, shapes: Sequence[Box], layers: Sequence[Thicknesses]) -> Block:
        sizes = [(box.length_m, box.width_m, box.height_m, box.wall_m, box.base_m) for box in shapes]
        is_open = np.array([box.open for box in shapes], dtype=bool)
        return block_of_boxes(np.array(sizes, dtype=np.float64), is_open, layers)

    def solid_by_slices(self) -> Solid:
        """Measure the box by slices. Finished faces are the outer walls, and the rim or the top of the lid."""
        body = box_body(self)
        outside, cavity = body.outside, body.cavity
        moments = body.moments()
        holes = sum(pi / 4 * hole.diameter_m**2 for hole in self.drain_holes)
        hole_edges = sum(pi * hole.diameter_m for hole in self.drain_holes)
        walls = outside.side_area_m2()
        bottom = outside.level_area_m2(0.0) - holes
        floor = _core_area(cavity, cavity.floor_m) - holes
        top = outside.level_area_m2(self.height_m)
        inside = cavity.side_area_m2() + floor
        if self.open:
            top -= cavity.level_area_m2(self.height_m)
        else:
            inside += _core_area(cavity, cavity.ceiling_m)
        rolled_and_leaning = self.fillet_m > 0 and (outside.lean_x != 0 or outside.lean_y != 0)
        return Solid(
            volume_m3=moments.volume_m3,
            surface_area_m2=walls + bottom + top + inside + hole_edges * self.base_m,
            form_area_m2=walls + bottom + (0.0 if self.open else top),
            finished_area_m2=walls + top,
            edge_lengths_m={
                "top": outside.edge_length_m(self.height_m),
                "rim_inside": cavity.edge_length_m(self.height_m) if self.open else 0.0,
                "bottom": outside.edge_length_m(0.0),
                "upright": 4 * self.height_m * sqrt(1 + outside.lean_x**2 + outside.lean_y**2),
                "drain_holes": hole_edges,
            },
            centroid_m=moments.centroid_m,
            size_m=body.size_m,
            lowest_m=(0.0, 0.0, 0.0),
            inertia_m5=moments.inertia_m5,
            tolerance=1e-6 if rolled_and_leaning else 0.0,
        )

    @property
    def cast_thickness_m(self) -> float:
        return self.wall_m

    def moments(self) -> Moments:
        return box_body(self).moments()

    def deeper_than(self, reach_m: float, faces: FacesOf) -> Moments:
        thinnest = min(self.wall_m, self.base_m) / (1 if faces == "form" else 2)
        require(
            reach_m < thinnest,
            "layers",
            message("layers-too-deep", reach_m=reach_m, thinnest_m=thinnest),
        )
        return box_body(self).deeper_than(reach_m, faces)

    # Areas and sizes

    def plan_area(self) -> PlanArea:
        gross_m2 = self.length_m * self.width_m
        return PlanArea(gross_m2, gross_m2 - sum(pi / 4.0 * hole.diameter_m**2 for hole in self.drain_holes))

    def extents(self) -> tuple[tuple[str, float], ...]:
        return ("length", self.length_m), ("width", self.width_m), ("height", self.height_m)

    is_walled = True

    def walls(self) -> tuple[Wall, ...]:
        return Wall("wall", "wall", self.wall_m), Wall("base", "base", self.base_m)

    def thicker(self, by_m: float) -> Box:
        return replace(self, wall_m=self.wall_m + by_m, base_m=self.base_m + by_m)

    def largest_sphere(self) -> Inscribed:
        corner = corner_m(self.wall_m, self.wall_m, self.base_m)
        return Inscribed(min(max(corner, self.wall_m, self.base_m), self.height_m))

    def soil_m3(self, solid: Solid) -> tuple[float, bool] | None:
        """Outer volume, by the prismoidal formula (exact for this shape), less the concrete."""
        if not self.open:
            return None
        length_m, width_m = self.foot
        middle_m2 = (length_m + self.length_m) / 2.0 * (width_m + self.width_m) / 2.0
        outer_m3 = self.height_m / 6.0 * (length_m * width_m + 4.0 * middle_m2 + self.length_m * self.width_m)
        return outer_m3 - solid.volume_m3, True

    def foot_m(self, size_m: Vector) -> tuple[float, float]:
        length_m, width_m = self.foot
        return min(size_m[0], length_m), min(size_m[1], width_m)

    # Parts, drawings and forms

    def opening_outlines(self) -> tuple[Region, ...]:
        return tuple(Region.circle(hole.diameter_m, (hole.x_m, hole.y_m)) for hole in self.drain_holes)

    def plate(self) -> None:
        return None

    def trough(self) -> Trough | None:
        if not self.open:
            return None
        return Trough(self.length_m, self.width_m, self.height_m, self.wall_m, self.base_m)

    def beam(self) -> Beam:
        """Beam of base and long walls; end walls are load only. Tapered walls count as plumb, at the smaller end."""
        length_m, width_m = min(self.length_m, self.foot[0]), min(self.width_m, self.foot[1])
        axis = 0 if length_m >= width_m else 1
        along_m, across_m = (length_m, width_m) if axis == 0 else (width_m, length_m)
        wall_m, base_m, high_m = self.wall_m, self.base_m, self.height_m
        top_m = high_m if self.open else high_m - base_m
        section = [
            (0.0, across_m, 0.0, base_m),
            (0.0, wall_m, base_m, top_m),
            (across_m - wall_m, across_m, base_m, top_m),
        ]
        if not self.open:
            section.append((0.0, across_m, top_m, high_m))
        ends = across_m * high_m
        middle = sum((y1 - y0) * (z1 - z0) for y0, y1, z0, z1 in section)
        places = ((0.0, wall_m, ends), (wall_m, along_m - wall_m, middle), (along_m - wall_m, along_m, ends))
        left_out = [message("bending-lean")] if self.base_length_m or self.base_width_m else []
        left_out += [message("bending-drains")] if self.drain_holes else []
        return Beam(axis, places, tuple(section), on_edge=False, left_out=tuple(left_out))

    def stack(self) -> Stack | None:
        body = box_body(self)
        if body.outside.lean_x or body.outside.lean_y or self.fillet_m:
            return None
        rectangle, wall = Plan.rectangle(0.0, 0.0, self.length_m, self.width_m), self.wall_m
        base = rectangle
        for hole in self.opening_outlines():
            base = base.less(hole)
        hollow = shapely.box(wall, wall, self.length_m - wall, self.width_m - wall)
        ring = Plan(shapely.difference(rectangle.straight, hollow))
        sides = shapely.boundary(rectangle.straight)
        top = body.cavity.end_m
        prisms = [Prism(0.0, self.base_m, base, sides), Prism(self.base_m, top, ring, sides)]
        if not self.open:
            prisms.append(Prism(top, self.height_m, rectangle, sides))
        levels = [(0.0, False)] + ([] if self.open else [(self.height_m, True)])
        return Stack(tuple(prisms), tuple(levels))

    @property
    def is_hollow(self) -> bool:
        return True

    def build_notes(self) -> tuple[Message, ...]:
        notes = [message("form-walls", wall_m=self.wall_m, base_m=self.base_m)]
        if self.fillet_m:
            notes.append(message("form-fillet", radius_m=self.fillet_m))
        if self.base_length_m is not None or self.base_width_m is not None:
            length_m, width_m = self.foot
            notes.append(message("form-foot", length_m=length_m, width_m=width_m))
        if not self.open:
            notes.append(message("form-lid"))
        return tuple(notes)

    def plain_form(self) -> PlainForm | None:
        if not (self.is_plain(0) and self.open):
            return None
        return PlainForm(self.length_m, self.width_m, self.height_m, hollow_m=(self.wall_m, self.base_m))

    def form(self) -> FormPlan:
        """Form of the box with plumb walls and no fillets; tapers and fillets are made from that."""
        box_body(self)  # raises FaultError for impossible dimensions
        upright = replace(self, fillet_m=0.0, base_length_m=None, base_width_m=None)
        stack = upright.stack()
        assert stack is not None
        levels = levels_of_stacks([stack], [])
        return FormPlan(turned_over(levels) if self.open else levels, self.opening_outlines(), self.leans)

    def board_name(self, role: str, side: str, number: int, *, raised: bool) -> Message:
        if role == "cover":
            return message("board-core-top")
        run = "long" if side in ("front", "back") else "short"
        return message("board-core-run" if role == "inside" else "board-run", run=run)

    def view(self) -> PlanView:
        body = box_body(self)
        outside, cavity = body.outside, body.cavity
        foot, top = (_rounded(body.center_m, outside, z) for z in (0.0, self.height_m))
        wide, narrow = (top, foot) if top.area_m2 >= foot.area_m2 else (foot, top)
        drains = self.opening_outlines()
        rim = _rounded(body.center_m, cavity, self.height_m if self.open else cavity.end_m)
        level = cavity.floor_m if cavity.ball_m > 0 else cavity.start_m
        floor = _rectangle(body.center_m, cavity.core_x(level), cavity.core_y(level))
        leaning = NEAR * max(body.size_m)
        inner = [rim] if np.abs(np.subtract(rim.bounds, floor.bounds)).max() <= leaning else [rim, floor]
        seen = [Path.of_ring(region.outer) for region in inner] if self.open else []
        hidden = [] if self.open else [Path.of_ring(region.outer) for region in inner]
        if wide.area_m2 - narrow.area_m2 > leaning**2:
            (hidden if wide is top else seen).append(Path.of_ring(narrow.outer))
        if not self.open:
            hidden += [Path.of_ring(drain.outer) for drain in drains]
            return PlanView((wide,), drains, tuple(seen), tuple(hidden))
        material = Region(wide.outer, tuple(drain.outer for drain in drains))
        return PlanView((material,), drains, tuple(seen), tuple(hidden))

    def cross_section(self, at_m: float, axis: Axis = "x") -> CrossSection | None:
        body = box_body(self)
        offset, middle = abs(at_m - body.center_m[0]), body.center_m[1]
        cavity = body.cavity
        top = self.height_m * 1.001 if self.open else cavity.end_m
        hollow = cavity.silhouette(offset, middle, cavity.start_m, top)
        area = shapely.difference(body.outside.silhouette(offset, middle, 0.0, self.height_m), hollow)
        for hole in self.drain_holes:
            reach = (hole.diameter_m / 2) ** 2 - (hole.x_m - at_m) ** 2
            if reach > 0.0:
                bore = shapely.box(hole.y_m - reach**0.5, -self.base_m, hole.y_m + reach**0.5, self.base_m * 1.001)
                area = shapely.difference(area, bore)
        return section_of_area(area, at_m)

    def manifold(self) -> Any:
        stack = self.stack()
        if stack is not None:
            return manifold_of_stack(stack)
        body = box_body(self)
        cavity = body.cavity
        if self.open:
            cavity = replace(cavity, end_m=cavity.end_m * 1.001)  # proud of the rim, so that it cuts clean
        mesh = hull(body.outside.points()) - hull(cavity.points())
        mesh = mesh.translate((*body.center_m, 0.0))
        for hole in self.drain_holes:
            disc = shapely.Point(hole.x_m, hole.y_m).buffer(hole.diameter_m / 2, quad_segs=TURN // 4)
            mesh = mesh - flat_section(disc).extrude(3 * self.base_m).translate((0.0, 0.0, -self.base_m))
        return mesh


@frozen(eq=False)
class _Edge:
    """Boundary of slices by direction, each array (n slices, n directions).

    support  distance of the tangent from the axis
    x, y     point of tangency
    radius   radius of curvature
    steep    length along the surface per unit of z
    """

    support: Floats
    x: Floats
    y: Floats
    radius: Floats
    steep: Floats


@frozen
class RoundedFrustum:
    """A body with four sloping sides about a central axis and all edges rounded.

    It is the Minkowski sum of a sharp-edged core and a ball. All dimensions but the last two are those of the core.

    half_x_m, half_y_m   half size of the core at z = 0
    lean_x, lean_y       increase of the half size per unit of z
    floor_m, ceiling_m   z of the core's bottom and top, infinite where the core extends beyond the body
    ball_m               radius of the rounded edges, 0 for a sharp-edged body
    start_m, end_m       z at which the body is cut off, below and above
    """

    half_x_m: float
    half_y_m: float
    lean_x: float
    lean_y: float
    floor_m: float
    ceiling_m: float
    ball_m: float
    start_m: float
    end_m: float

    def core_x(self, z: float) -> float:
        return self.half_x_m + self.lean_x * z

    def core_y(self, z: float) -> float:
        return self.half_y_m + self.lean_y * z

    def shrunk(self, by_m: float, start_m: float, end_m: float) -> RoundedFrustum:
        """The body with its sides offset inward, and new levels."""
        return replace(
            self,
            half_x_m=self.half_x_m - by_m * hypot(1.0, self.lean_x),
            half_y_m=self.half_y_m - by_m * hypot(1.0, self.lean_y),
            start_m=start_m,
            end_m=end_m,
        )

    def grown_round(self, by_m: float, start_m: float, end_m: float) -> RoundedFrustum:
        """The body offset outward, with rounded edges, and new levels."""
        return replace(self, ball_m=self.ball_m + by_m, start_m=start_m, end_m=end_m)

    def slices(self) -> tuple[Floats, Floats]:
        """Quadrature nodes z and weights, m, that integrate the body to rounding."""
        leans = (self.lean_x, self.lean_y, hypot(self.lean_x, self.lean_y))
        marks = {self.start_m, self.end_m}
        for level in (self.floor_m, self.ceiling_m):
            for lean in (0.0, *leans):
                marks |= {level - self.ball_m * lean / hypot(1.0, lean)}
        inside = sorted(mark for mark in marks if self.start_m <= mark <= self.end_m)
        rules = [smooth_rule(low, high) for low, high in pairwise(inside) if high > low]
        return np.concatenate([z for z, _ in rules]), np.concatenate([w for _, w in rules])

    def section(self, z: Floats) -> tuple[Floats, Floats]:
        """Plane integrals (n, 6) of the slice at each z about the axis, and side area per unit of z (n,).

        A slice is convex and given by its support function h(θ), the distance of its tangent from the axis:
        area = ½∮h·(h + h″)dθ; where the side slopes by ∂h/∂z, its area grows by the factor √(1 + (∂h/∂z)²).
        """
        angle = np.concatenate([[0.0], _ANGLES, [pi / 2]])
        c, s = np.cos(angle), np.sin(angle)
        edge_of = self._supported(np.asarray(z, dtype=np.float64), angle)
        support, x, y, radius, steep = edge_of.support, edge_of.x, edge_of.y, edge_of.radius, edge_of.steep
        arc = _ANGLE_WEIGHTS * radius[:, 1:-1]
        area = (support[:, 0] * y[:, 0] + (arc * support[:, 1:-1]).sum(1) + support[:, -1] * x[:, -1]) / 2
        xx = (x[:, 0] ** 3 * y[:, 0] + (arc * x[:, 1:-1] ** 3 * c[1:-1]).sum(1)) / 3
        yy = ((arc * y[:, 1:-1] ** 3 * s[1:-1]).sum(1) + y[:, -1] ** 3 * x[:, -1]) / 3
        edge = y[:, 0] * steep[:, 0] + (arc * steep[:, 1:-1]).sum(1) + x[:, -1] * steep[:, -1]
        nothing = np.zeros_like(area)
        return 4 * np.stack([area, nothing, nothing, xx, yy, nothing], axis=1), 4 * edge

    def _supported(self, z: Floats, angle: Floats) -> _Edge:
        """Boundary of the slice at each z, in the directions of `angle`, radians."""
        c, s = np.cos(angle), np.sin(angle)
        lean = self.lean_x * c + self.lean_y * s
        turn = self.lean_y * c - self.lean_x * s
        slant = np.sqrt(1 + lean**2)
        touched = z[:, None] + self.ball_m * lean / slant
        level = np.clip(touched, self.floor_m, self.ceiling_m)
        rolled = level != touched
        at = np.where(rolled, level, z[:, None])
        half_x = self.half_x_m + self.lean_x * at
        half_y = self.half_y_m + self.lean_y * at
        offset = np.where(rolled, z[:, None] - level, 0.0)
        ball = np.sqrt(np.maximum(self.ball_m**2 - offset**2, 0.0))
        round_h = np.where(rolled, ball, self.ball_m * slant)
        round_turn = np.where(rolled, 0.0, self.ball_m * lean * turn / slant)
        bend = (turn**2 - lean**2) / slant - (lean * turn) ** 2 / slant**3
        with np.errstate(divide="ignore", invalid="ignore"):
            steep = np.where(rolled, np.where(ball > 0, self.ball_m / ball, 1.0), slant)
        return _Edge(
            support=half_x * c + half_y * s + round_h,
            x=half_x + round_h * c - round_turn * s,
            y=half_y + round_h * s + round_turn * c,
            radius=np.where(rolled, ball, self.ball_m * (slant + bend)),
            steep=steep,
        )

    def silhouette(self, away_m: float, middle_m: float, low_m: float, high_m: float) -> shapely.Geometry:
        """Section between two levels in the plane x = away_m from the axis; y about `middle_m`, z up."""
        turn = self.ball_m * np.cos(np.linspace(0.0, np.pi, STEPS + 1))
        levels = np.unique(np.concatenate([[low_m, high_m], self.floor_m - turn, self.ceiling_m - turn]))
        levels = levels[np.isfinite(levels) & (levels >= low_m) & (levels <= high_m)]
        xs, ys = self.quarter(levels, 2)
        inside = xs[:, 0] >= away_m - 1e-9
        half, levels = ys[inside, -1], levels[inside]
        if len(levels) < 2:
            return shapely.Polygon()
        right = np.stack([middle_m + half, levels], axis=1)
        left = np.stack([middle_m - half, levels], axis=1)
        return shapely.Polygon(np.concatenate([right, left[::-1]])).buffer(0)

    def points(self) -> Floats:
        """Points (n, 3) whose convex hull is the body, with facets for curved edges."""
        turn = self.ball_m * np.cos(np.linspace(0.0, pi, 2 * FACET_STEPS + 1))
        levels = np.unique(np.concatenate([[self.start_m, self.end_m], self.floor_m - turn, self.ceiling_m - turn]))
        levels = levels[(levels >= self.start_m) & (levels <= self.end_m)]
        x, y = self.quarter(levels, FACET_STEPS)
        z = np.broadcast_to(levels[:, None], x.shape)
        corners = np.stack([x, y, z], axis=-1).reshape(-1, 3)
        return np.concatenate([corners * [sx, sy, 1.0] for sx in (1, -1) for sy in (1, -1)])

    def quarter(self, z: Floats, points: int) -> tuple[Floats, Floats]:
        """Points x and y, (n, points) each, along one quarter of the boundary of the slice at each z."""
        edge = self._supported(np.asarray(z, dtype=np.float64), np.linspace(0.0, pi / 2, points))
        return edge.x, edge.y

    def moments(self) -> Moments:
        """Moments about the axis, with z from the underside of the box."""
        if self.end_m <= self.start_m:
            return Moments.zero()
        z, weights = self.slices()
        return Moments.of_slice(self.section(z)[0], z, weights)

    def side_area_m2(self) -> float:
        """Area of the sides and rounded edges, without level ends."""
        z, weights = self.slices()
        return float(weights @ self.section(z)[1])

    def level_area_m2(self, z: float) -> float:
        return float(self.section(np.array([z]))[0][0, 0])

    def edge_length_m(self, z: float) -> float:
        """Perimeter of the slice at z, for a level where no edge is rounded in z."""
        c, s = np.cos(_ANGLES), np.sin(_ANGLES)
        lean, turn = self.lean_x * c + self.lean_y * s, self.lean_y * c - self.lean_x * s
        slant = np.sqrt(1 + lean**2)
        bend = (turn**2 - lean**2) / slant - (lean * turn) ** 2 / slant**3
        corner = float(_ANGLE_WEIGHTS @ (self.ball_m * (slant + bend)))
        ends = self.ball_m * self.lean_x * self.lean_y * (1 / hypot(1, self.lean_x) + 1 / hypot(1, self.lean_y))
        return 4 * (self.core_x(z) + self.core_y(z) + corner + ends)


@frozen
class BoxBody:
    """A box with validated dimensions: outer body less cavity less drain holes."""

    box: Box
    outside: RoundedFrustum
    cavity: RoundedFrustum
    center_m: tuple[float, float]
    size_m: tuple[float, float, float]

    def drains(self, grown_m: float, start_m: float, end_m: float) -> Moments:
        """Moments of the drain holes between two levels, with radii larger by `grown_m`."""
        holes = (Region.circle(hole.diameter_m + 2 * grown_m, (hole.x_m, hole.y_m)) for hole in self.box.drain_holes)
        return total(Moments.prism(region_integrals(hole), start_m, end_m) for hole in holes)

    def moments(self) -> Moments:
        return self._about_corner(self.outside.moments() - self.cavity.moments()) - self.drains(
            0.0, 0.0, self.box.base_m
        )

    def deeper_than(self, reach: float, faces: Literal["form", "all"]) -> Moments:
        """Moments of the points farther than `reach` from the outer faces, or from every face.

        The distance from a sloping wall is measured perpendicular to its plane, beside the rim too.
        """
        box, inside = self.box, self.cavity
        top = box.height_m if box.open and faces == "form" else box.height_m - reach
        core = self.outside.shrunk(reach, reach, top)
        grown = 0.0 if faces == "form" else reach
        hollow = inside.grown_round(
            grown, inside.start_m - grown, top if box.open else inside.end_m + grown
        )  # fmt: skip
        left = self._about_corner(core.moments() - hollow.moments())
        return left - self.drains(grown, reach, box.base_m - grown)

    def _about_corner(self, moments: Moments) -> Moments:
        return moments.moved((*self.center_m, 0.0))


@lru_cache(maxsize=16)  # measure, layers and view of one piece follow each other
def box_body(box: Box) -> BoxBody:
    """Outer body and cavity of a box. Raises FaultError for impossible dimensions."""
    require_dimensions(
        length=box.length_m,
        width=box.width_m,
        height=box.height_m,
        wall=box.wall_m,
        base=box.base_m,
        base_length=box.base_length_m,
        base_width=box.base_width_m,
    )
    (base_length, base_width), (lean_x, lean_y) = box.foot, box.leans
    size = (max(box.length_m, base_length), max(box.width_m, base_width), box.height_m)
    outside = RoundedFrustum(
        base_length / 2, base_width / 2, lean_x, lean_y, -inf, inf, 0.0, 0.0, box.height_m
    )  # fmt: skip
    lid = 0.0 if box.open else box.base_m
    require(
        box.base_m + lid < box.height_m,
        "base",
        message("box-base-open" if box.open else "box-base-closed", base_m=box.base_m, height_m=box.height_m),
    )
    floor, ceiling = box.base_m, box.height_m - lid
    sharp = outside.shrunk(box.wall_m, floor, ceiling)
    narrow = min(f(z) for f in (sharp.core_x, sharp.core_y) for z in (floor, ceiling))
    require(
        narrow > 0,
        "wall",
        message("box-wall-too-thick", wall_m=box.wall_m),
    )
    require(box.fillet_m >= 0, "fillet", message("box-fillet-negative", fillet_m=box.fillet_m))
    room = sharp.shrunk(box.fillet_m, floor, ceiling)
    require(
        min(f(z) for f in (room.core_x, room.core_y) for z in (floor + box.fillet_m, ceiling)) >= 0
        and box.fillet_m * (1 if box.open else 2) <= ceiling - floor,
        "fillet",
        message("box-fillet-too-large", fillet_m=box.fillet_m),
    )
    cavity = replace(
        room,
        floor_m=floor + box.fillet_m,
        ceiling_m=inf if box.open else ceiling - box.fillet_m,
        ball_m=box.fillet_m,
    )
    body = BoxBody(box, outside, cavity, (size[0] / 2, size[1] / 2), size)
    _refuse_drains(body)
    return body


def _refuse_drains(body: BoxBody) -> None:
    box, cavity = body.box, body.cavity
    half_x = min(cavity.core_x(cavity.floor_m), body.outside.half_x_m)
    half_y = min(cavity.core_y(cavity.floor_m), body.outside.half_y_m)
    for i, hole in enumerate(box.drain_holes):
        key = f"drain_holes[{i}]"
        require_dimensions(**{f"{key}.diameter": hole.diameter_m})
        for axis, place, middle, half in (
            ("x", hole.x_m, body.center_m[0], half_x),
            ("y", hole.y_m, body.center_m[1], half_y),
        ):
            require(
                abs(place - middle) + hole.diameter_m / 2 <= half * (1 + NEAR),
                f"{key}.{axis}",
                message("box-drain-off-floor", place_m=place, from_m=middle - half, to_m=middle + half),
            )
    for (i, first), (j, second) in combinations(enumerate(box.drain_holes), 2):
        apart = hypot(first.x_m - second.x_m, first.y_m - second.y_m)
        require(
            apart >= (first.diameter_m + second.diameter_m) / 2,
            f"drain_holes[{j}]",
            message("box-drains-overlap", other=i),
        )


def _core_area(body: RoundedFrustum, z: float) -> float:
    return 4 * body.core_x(z) * body.core_y(z)


def _rectangle(center: tuple[float, float], half_x: float, half_y: float) -> Region:
    return Region.rectangle(2 * half_x, 2 * half_y).translated(center[0] - half_x, center[1] - half_y)


def _rounded(center: tuple[float, float], body: RoundedFrustum, z: float) -> Region:
    """Slice of a body at a height, with corners as arcs; exact where the walls are plumb."""

    (xs,), (ys,) = body.quarter(np.array([z]), 2)
    half_x, half_y = float(xs[0]), float(ys[-1])
    radius = min(body.ball_m, half_x, half_y)
    return Region.rectangle(2 * half_x, 2 * half_y, radius).translated(center[0] - half_x, center[1] - half_y)
