"""Waterfall legs and splashes: flat pieces glued to the edges of another flat piece."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from math import pi, radians, tan
from typing import Literal

import numpy as np

from geometry.arrays import Vector
from geometry.edged import EdgedShape
from geometry.errors import FaultError, require, require_dimensions
from geometry.frozen import frozen
from geometry.inset import SMOOTH_RAD, Inset, Segment, counterclockwise, inset, segments_of, turn_between
from geometry.message import message
from geometry.outline import Outline
from geometry.plan_edges import Edge, EdgePart, PlanEdge, Stretch, chosen
from geometry.plane import Region, Ring
from geometry.plate import EdgeProfile, split_ring
from geometry.slab import Slab

SQUARE_RAD = radians(0.5)
"""Corners within this of a right angle are butted, others mitered."""


AT_CORNER_M = 1e-6
"""A leg that ends nearer to a corner of the outline reaches it."""


@frozen
class Pose:
    """Position of a glued part in the coordinates of its piece: p → turn · p + at_m."""

    turn: tuple[Vector, Vector, Vector]
    at_m: Vector

    @classmethod
    def of(cls, x: complex, y: Vector, z: complex, at: complex, height_m: float) -> Pose:
        """Pose with the part's x and z along directions in plan, its y along a vector, and its origin at a point."""

        rows = ((x.real, y[0], z.real), (x.imag, y[1], z.imag), (0.0, y[2], 0.0))
        return cls(rows, (at.real, at.imag, height_m))

    def place(self, point_m: Vector) -> Vector:
        """Position of a point of the part in the axes of its piece."""
        x, y, z = (np.array(self.turn) @ np.array(point_m) + np.array(self.at_m)).tolist()
        return x, y, z


UP: Vector = (0.0, 0.0, 1.0)
AS_DRAWN: tuple[Vector, Vector, Vector] = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))


def waterfall_legs(
    shape: EdgedShape,
    edges: Sequence[Edge],
    height_m: float,
    key: str,
    beside: Sequence[tuple[Sequence[Edge], float]] = (),
) -> tuple[tuple[Slab, Pose], ...]:
    """Legs of a waterfall, each as a slab with its finished face up and its mitered end at the back, and their poses.

    height_m  outside height, from the floor to the top face
    key       key of the waterfall, for faults
    beside    edges and heights of all other waterfalls of the piece

    Legs that meet at a right angle are mitered down to the foot of the shorter one. At any other outside corner, the
    second leg counterclockwise is shortened by the overlap. Raises FaultError for a curved edge, and for a leg no
    taller than the thickness of the piece.
    """
    require_dimensions(**{f"{key}.height": height_m})
    plan = shape.numbered_edges
    thickness_m = shape.thickness_m
    least = message("waterfall-too-low", height_m=height_m, thickness_m=thickness_m)
    require(height_m > thickness_m, f"{key}.height", least)
    own = chosen(plan, edges, f"{key}.edges")
    every = [(stretch, height_m) for stretch in own]
    every += [(stretch, high_m) for others, high_m in beside for stretch in chosen(plan, others, f"{key}.edges")]
    legs = []
    for stretch in own:
        edge = plan[stretch.number - 1]
        curved = message("waterfall-curved", number=str(edge.number))
        require(all(segment.is_straight for segment in edge.segments), f"{key}.edges", curved)
        way = edge.segments[0].first
        inward = 1j * way
        mitered: list[Edge] = ["back"]
        short_m = 0.0
        for side, turn, other_m in _legs_met(plan, stretch, every):
            low_m = min(other_m, height_m)
            if abs(turn - pi / 2) < SQUARE_RAD:
                on_left = EdgePart("left", from_m=0.0, to_m=low_m)
                mitered.append(on_left if side == "left" else EdgePart("right", from_m=height_m - low_m, to_m=height_m))
            elif side == "left" and turn > SMOOTH_RAD:
                short_m = thickness_m * tan(turn / 2)
        start = edge.segments[0].start + (stretch.from_m + short_m) * way + thickness_m * inward
        mitre = (EdgeProfile(tuple(mitered), "mitre"),)
        long_m = stretch.to_m - stretch.from_m - short_m
        leg = Slab(long_m, height_m, thickness_m, edge_profiles=mitre, raw_edges=("front",))
        legs.append((leg, Pose.of(way, UP, -inward, start, shape.slices().height_m - height_m)))
    return tuple(legs)


def _legs_met(
    plan: Sequence[PlanEdge], stretch: Stretch, every: Sequence[tuple[Stretch, float]]
) -> Iterator[tuple[Literal["left", "right"], float, float]]:
    """Yield (side of the leg, turn of the outline in radians, height of the other leg) at corners of two legs."""
    edge = plan[stretch.number - 1]
    before, after = plan[stretch.number - 2], plan[stretch.number % len(plan)]
    if stretch.from_m <= AT_CORNER_M:
        for other, other_m in every:
            if other.number == before.number and other.to_m >= before.length_m - AT_CORNER_M:
                yield "left", turn_between(before.segments[-1], edge.segments[0]), other_m
    if stretch.to_m >= edge.length_m - AT_CORNER_M:
        for other, other_m in every:
            if other.number == after.number and other.from_m <= AT_CORNER_M:
                yield "right", turn_between(edge.segments[-1], after.segments[0]), other_m


def splash_strips(
    shape: EdgedShape, edges: Sequence[Edge], height_m: float, thickness_m: float, key: str
) -> tuple[tuple[EdgedShape, Pose], ...]:
    """Strips of a splash along the edges of a flat piece, flush with its outline, and their poses.

    key  key of the splash, for faults

    Strips are butted at right angles, where the first counterclockwise runs through, and mitered at other corners.
    Together they fill the band along the edges. A straight strip with square ends is a slab lying on its back; any
    other is an outline as seen from above. Raises FaultError if the band does not fit the outline.
    """
    require_dimensions(**{f"{key}.height": height_m, f"{key}.thickness": thickness_m})
    plan = shape.numbered_edges
    stretches = chosen(plan, edges, f"{key}.edges")
    ring, has = split_ring(counterclockwise(shape.footprint.outer), plan, stretches)
    segments = segments_of(ring)
    try:
        moved = inset(ring, [thickness_m if here else 0.0 for here in has])
    except FaultError as error:
        raise FaultError(f"{key}.thickness", error.message) from None
    top_m = shape.slices().height_m
    strips = (_strip(segments, moved, run, height_m, thickness_m, has) for run in _runs(segments, has))
    return tuple((strip, replace(pose, at_m=(*pose.at_m[:2], top_m))) for strip, pose in strips)


def _runs(segments: Sequence[Segment], has: Sequence[bool]) -> Iterator[tuple[int, ...]]:
    """Yield the indices of the segments of each strip: lines, or arcs, that continue each other smoothly."""
    count = len(segments)

    def runs_on(place: int) -> bool:
        before, after = segments[place - 1], segments[place]
        alike = before.is_straight == after.is_straight
        return has[place - 1] and has[place] and alike and abs(turn_between(before, after)) < SMOOTH_RAD

    starts = [place for place in range(count) if has[place] and not runs_on(place)]
    if not starts and all(has):  # a full circle
        starts = [0, count // 2]
    for start in starts:
        run = [start]
        while (following := (run[-1] + 1) % count) not in starts and has[following]:
            run.append(following)
        yield tuple(run)


def _strip(
    segments: Sequence[Segment],
    moved: Inset,
    run: Sequence[int],
    height_m: float,
    thickness_m: float,
    has: Sequence[bool],
) -> tuple[EdgedShape, Pose]:
    """One strip, and its pose on a top at z = 0."""
    first, last = segments[run[0]], segments[run[-1]]
    before, after = segments[run[0] - 1], segments[(run[-1] + 1) % len(segments)]
    joined = has[run[0] - 1], has[(run[-1] + 1) % len(segments)]
    start = _end(
        first.start, first.first, turn_between(before, first), thickness_m, joined[0], moved.edges[run[0]][0], 0
    )
    end = _end(last.end, last.last, turn_between(last, after), thickness_m, joined[1], moved.edges[run[-1]][1], 1)
    if all(segments[place].is_straight for place in run):
        wall, room = end[0] - start[0], end[1] - start[1]
        if abs(wall - room) < 1e-9 + 1e-9 * abs(wall):
            along = wall / abs(wall)
            strip = Slab(abs(wall), height_m, thickness_m, raw_edges=("front",))
            return strip, Pose.of(-along, UP, 1j * along, end[0], 0.0)
    wall_side = [(segments[place].start, segments[place].bulge) for place in run]
    wall_side[0] = (start[0], wall_side[0][1])
    room_side = [(moved.edges[place][0], moved.edges[place][2]) for place in run]
    room_side[0] = (start[1], room_side[0][1])
    points = [at for at, _ in wall_side] + [end[0], end[1]] + [at for at, _ in reversed(room_side)]
    bulges = [bulge for _, bulge in wall_side] + [0.0] + [-bulge for _, bulge in reversed(room_side)] + [0.0]
    area = Region(Ring(np.array([(at.real, at.imag) for at in points]), np.array(bulges)))
    return Outline(area, height_m), Pose(AS_DRAWN, (0.0, 0.0, 0.0))


def _end(
    corner: complex, way: complex, turn: float, thickness_m: float, joined: bool, inner: complex, side: int
) -> tuple[complex, complex]:
    """Corners of a strip's end, at the wall and toward the room.

    way, turn  direction of the strip at the corner, and the angle by which the outline turns there
    joined     whether the next edge has a strip as well
    inner      point where the inner sides of the strips meet
    side       0 at the start of the strip, 1 at its end
    """
    inward = 1j * way * thickness_m
    square = abs(abs(turn) - pi / 2) < SQUARE_RAD
    if abs(turn) < SMOOTH_RAD or (square and not joined):
        return corner, corner + inward
    if square:  # the earlier strip runs through: it ends long where the outline turns right, else the next starts short
        short = thickness_m if side == 0 and turn > 0 else 0.0
        long = thickness_m if side == 1 and turn < 0 else 0.0
        at = corner + (short + long) * way
        return at, at + inward
    return corner, inner
