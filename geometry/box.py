"""Boxes: planters, troughs and plinths with straight or leaning walls, filleted inside or not."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations, pairwise
from math import hypot, inf, pi, sqrt
from typing import Literal

import numpy as np

from geometry.arrays import Floats
from geometry.errors import mm, require, require_dimensions
from geometry.plan import NEAR, region_integrals
from geometry.plane import Region
from geometry.shapes import Box
from geometry.solid import LayerPart, Moments, Solid, joint_depths, parts_of, smooth_rule, spread, total

_ANGLES, _ANGLE_WEIGHTS = spread(0.0, pi / 2, *np.polynomial.legendre.leggauss(24))


@dataclass(frozen=True, slots=True, eq=False)
class _Edge:
    """The edge of slices by direction, each (n slices, n directions).

    support  distance of the tangent from the axis; x, y where it touches
    radius   of curvature of what is rolled round
    steep    length down the surface for a unit of z
    """

    support: Floats
    x: Floats
    y: Floats
    radius: Floats
    steep: Floats


@dataclass(frozen=True, slots=True)
class RoundedFrustum:
    """A body with four leaning sides about a central axis, every edge rolled round by a ball.

    It is the sum of a sharp-edged core and a ball. All figures are of the core.

    half_x_m, half_y_m   half size of the core at z = 0
    lean_x, lean_y       growth of the half size with z
    floor_m, ceiling_m   z of the core's bottom and top, infinite where it goes on beyond the body
    ball_m               radius, 0 for a sharp-edged body
    start_m, end_m       the z between which the body is taken
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
        """The sides moved inward by a distance square to themselves."""
        return replace(
            self,
            half_x_m=self.half_x_m - by_m * hypot(1.0, self.lean_x),
            half_y_m=self.half_y_m - by_m * hypot(1.0, self.lean_y),
            start_m=start_m,
            end_m=end_m,
        )

    def grown_round(self, by_m: float, start_m: float, end_m: float) -> RoundedFrustum:
        """All points within a distance of the body, between other levels."""
        return replace(self, ball_m=self.ball_m + by_m, start_m=start_m, end_m=end_m)

    def slices(self) -> tuple[Floats, Floats]:
        """Levels z and their share of the height, such that integrals are good to rounding."""
        leans = (self.lean_x, self.lean_y, hypot(self.lean_x, self.lean_y))
        marks = {self.start_m, self.end_m}
        for level in (self.floor_m, self.ceiling_m):
            for lean in (0.0, *leans):
                marks |= {level - self.ball_m * lean / hypot(1.0, lean)}
        inside = sorted(mark for mark in marks if self.start_m <= mark <= self.end_m)
        rules = [smooth_rule(low, high) for low, high in pairwise(inside) if high > low]
        return np.concatenate([z for z, _ in rules]), np.concatenate([w for _, w in rules])

    def section(self, z: Floats) -> tuple[Floats, Floats]:
        """Plane integrals of the slice at each z about the axis, (n, 6), and area of its edge for a unit of z, (n,).

        A slice is convex and told by its support function h(θ), the distance of its tangent from the axis:
        area = ½∮h·(h + h″)dθ, and where the body leans by ∂h/∂z the edge is longer by √(1 + (∂h/∂z)²).
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
        away = np.where(rolled, z[:, None] - level, 0.0)
        ball = np.sqrt(np.maximum(self.ball_m**2 - away**2, 0.0))
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

    def quarter(self, z: Floats, points: int) -> tuple[Floats, Floats]:
        """Points x and y, (n, points) each, along one quarter of the edge of the slice at each z."""
        found = self._supported(np.asarray(z, dtype=np.float64), np.linspace(0.0, pi / 2, points))
        return found.x, found.y

    def moments(self) -> Moments:
        """Volume integrals about the axis, z from the box's underside."""
        if self.end_m <= self.start_m:
            return Moments.zero()
        z, weights = self.slices()
        return Moments.of_slice(self.section(z)[0], z, weights)

    def side_area_m2(self) -> float:
        """Area of the sides and what is rolled round, without level ends."""
        z, weights = self.slices()
        return float(weights @ self.section(z)[1])

    def level_area_m2(self, z: float) -> float:
        return float(self.section(np.array([z]))[0][0, 0])

    def edge_length_m(self, z: float) -> float:
        """Length of the edge of the slice at z, for a body that is not rolled round there."""
        c, s = np.cos(_ANGLES), np.sin(_ANGLES)
        lean, turn = self.lean_x * c + self.lean_y * s, self.lean_y * c - self.lean_x * s
        slant = np.sqrt(1 + lean**2)
        bend = (turn**2 - lean**2) / slant - (lean * turn) ** 2 / slant**3
        corner = float(_ANGLE_WEIGHTS @ (self.ball_m * (slant + bend)))
        ends = self.ball_m * self.lean_x * self.lean_y * (1 / hypot(1, self.lean_x) + 1 / hypot(1, self.lean_y))
        return 4 * (self.core_x(z) + self.core_y(z) + corner + ends)


@dataclass(frozen=True, slots=True)
class BoxBody:
    """A box whose dimensions were found possible: outside less cavity less drain holes."""

    box: Box
    outside: RoundedFrustum
    cavity: RoundedFrustum
    centre_m: tuple[float, float]
    size_m: tuple[float, float, float]

    def drains(self, grown_m: float, start_m: float, end_m: float) -> Moments:
        """Integrals of the drain holes, larger by `grown_m` all round, between two levels."""
        holes = (Region.circle(hole.diameter_m + 2 * grown_m, (hole.x_m, hole.y_m)) for hole in self.box.drain_holes)
        return total(Moments.prism(region_integrals(hole), start_m, end_m) for hole in holes)

    def moments(self) -> Moments:
        return self._about_corner(self.outside.moments() - self.cavity.moments()) - self.drains(
            0.0, 0.0, self.box.base_m
        )

    def deeper_than(self, reach: float, faces: Literal["form", "all"]) -> Moments:
        """Integrals of the points further than `reach` from the outside, or from every face.

        The distance from a leaning wall is taken square to its plane, also beside the rim.
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
        return moments.moved((*self.centre_m, 0.0))


def box_body(box: Box) -> BoxBody:
    """The box as outside and cavity. Raises FaultError for dimensions that cannot be built."""
    require_dimensions(
        length=box.length_m,
        width=box.width_m,
        height=box.height_m,
        wall=box.wall_m,
        base=box.base_m,
        base_length=box.base_length_m,
        base_width=box.base_width_m,
    )
    base_length = box.length_m if box.base_length_m is None else box.base_length_m
    base_width = box.width_m if box.base_width_m is None else box.base_width_m
    lean_x = (box.length_m - base_length) / 2 / box.height_m
    lean_y = (box.width_m - base_width) / 2 / box.height_m
    size = (max(box.length_m, base_length), max(box.width_m, base_width), box.height_m)
    outside = RoundedFrustum(
        base_length / 2, base_width / 2, lean_x, lean_y, -inf, inf, 0.0, 0.0, box.height_m
    )  # fmt: skip
    lid = 0.0 if box.open else box.base_m
    require(
        box.base_m + lid < box.height_m,
        "base",
        f"is {mm(box.base_m)}, in a box {mm(box.height_m)} high.",
        "It must leave a hollow" + (" above it." if box.open else " between base and lid."),
    )
    floor, ceiling = box.base_m, box.height_m - lid
    sharp = outside.shrunk(box.wall_m, floor, ceiling)
    narrow = min(f(z) for f in (sharp.core_x, sharp.core_y) for z in (floor, ceiling))
    require(
        narrow > 0,
        "wall",
        f"is {mm(box.wall_m)}, which leaves no hollow between the walls.",
        "It must be less than half of the box's length and width.",
    )
    require(box.fillet_m >= 0, "fillet", f"is {mm(box.fillet_m)}.", "It cannot be negative.")
    room = sharp.shrunk(box.fillet_m, floor, ceiling)
    require(
        min(f(z) for f in (room.core_x, room.core_y) for z in (floor + box.fillet_m, ceiling)) >= 0
        and box.fillet_m * (1 if box.open else 2) <= ceiling - floor,
        "fillet",
        f"is {mm(box.fillet_m)}, more than the hollow can hold.",
        "It may be half of the hollow's smallest size.",
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
            ("x", hole.x_m, body.centre_m[0], half_x),
            ("y", hole.y_m, body.centre_m[1], half_y),
        ):
            require(
                abs(place - middle) + hole.diameter_m / 2 <= half * (1 + NEAR),
                f"{key}.{axis}",
                f"is {mm(place)}, where the hole leaves the flat of the floor.",
                f"It must keep between {mm(middle - half)} and {mm(middle + half)}.",
            )
    for (i, one), (j, other) in combinations(enumerate(box.drain_holes), 2):
        apart = hypot(one.x_m - other.x_m, one.y_m - other.y_m)
        require(
            apart >= (one.diameter_m + other.diameter_m) / 2,
            f"drain_holes[{j}]",
            f"overlaps drain_holes[{i}].",
            "Move it.",
        )


def measure_box(box: Box) -> Solid:
    """The measure of a box; seen faces are the outer walls, and the rim or the lid's top.

    Raises FaultError for dimensions that cannot be built.
    """
    body = box_body(box)
    outside, cavity = body.outside, body.cavity
    moments = body.moments()
    holes = sum(pi / 4 * hole.diameter_m**2 for hole in box.drain_holes)
    hole_edges = sum(pi * hole.diameter_m for hole in box.drain_holes)
    walls = outside.side_area_m2()
    bottom = outside.level_area_m2(0.0) - holes
    floor = _core_area(cavity, cavity.floor_m) - holes
    top = outside.level_area_m2(box.height_m)
    inside = cavity.side_area_m2() + floor
    if box.open:
        top -= cavity.level_area_m2(box.height_m)
    else:
        inside += _core_area(cavity, cavity.ceiling_m)
    form = walls + bottom + (0.0 if box.open else top)
    rolled_and_leaning = box.fillet_m > 0 and (outside.lean_x != 0 or outside.lean_y != 0)
    return Solid(
        volume_m3=moments.volume_m3,
        surface_area_m2=walls + bottom + top + inside + hole_edges * box.base_m,
        form_area_m2=form,
        finished_area_m2=walls + top,
        edge_lengths_m={
            "top": outside.edge_length_m(box.height_m),
            "rim_inside": cavity.edge_length_m(box.height_m) if box.open else 0.0,
            "bottom": outside.edge_length_m(0.0),
            "upright": 4 * box.height_m * sqrt(1 + outside.lean_x**2 + outside.lean_y**2),
            "drain_holes": hole_edges,
        },
        centroid_m=moments.centroid_m,
        size_m=body.size_m,
        lowest_m=(0.0, 0.0, 0.0),
        inertia_m5=moments.inertia_m5,
        tolerance=1e-6 if rolled_and_leaning else 0.0,
    )


def _core_area(body: RoundedFrustum, z: float) -> float:
    return 4 * body.core_x(z) * body.core_y(z)


def box_layers(box: Box, thicknesses_m: Sequence[float | None], faces: Literal["form", "all"]) -> tuple[LayerPart, ...]:
    """The layers of a box. See `geometry.solid.layer_parts`."""
    body, measured = box_body(box), measure_box(box)
    joints = joint_depths(thicknesses_m, box.wall_m)
    thinnest = min(box.wall_m, box.base_m) / (1 if faces == "form" else 2)
    for joint in joints:
        require(
            joint < thinnest,
            "layers",
            f"reach {mm(joint)} into a piece that is {mm(thinnest)} deep there.",
            "Make the outer layers thinner.",
        )
    return parts_of(
        body.moments(),
        lambda joint: body.deeper_than(joint, faces),
        joints,
        measured,
        faces,
    )
