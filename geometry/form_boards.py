"""Boards of a form and their footprints: straight runs, curved formers, knock-outs and covers.

Heights count from the top of the form bottom. A piece cast face down stands upside down in its form. Between two
heights the piece has one plan; boards stand along the edges of the plan, on the side without concrete.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import ceil, cos, degrees, hypot, pi, radians, tan

import numpy as np
import shapely
from numpy.typing import NDArray

from geometry.arrays import Floats
from geometry.plain_forms import BLOCK_BOARDS, PLUG_M, FormBoard, in_list, plain_boards
from geometry.plan_edges import PlanEdge
from geometry.runs import CURVED_DEG, Run, angle_between, right_of, runs_of, unit_of
from geometry.shape import FormPlan, Shape
from geometry.slices import CHORD_M, SAME_M, Level, tidy

SMOOTH_DEG = 1.0
SQUARE_DEG = 0.5
"""Edges that turn by less than the first form one run; within the second of 90° they are butted, otherwise mitered."""

RUN_M = 1e-4
"""Distance within which the middle of a run lies on an edge of the outline or of an opening."""

GRID_M = 1e-9
"""Grid size of unions and differences: without a grid, slivers may be missed or counted twice."""


def form_boards(shape: Shape, board_m: float) -> tuple[FormBoard, ...]:
    """Boards of the form of a shape, form bottom first; empty if it is not built of boards (a mesh, a bowl, a tube).

    The boards of a plain slab, panel or box have no footprints.

    board_m  board thickness

    Raises FaultError for dimensions that cannot be built.
    """
    form = shape.plain_form()
    boards = None if form is None else plain_boards(form, board_m)
    return boards or placed_boards(shape, board_m)


def placed_boards(shape: Shape, board_m: float) -> tuple[FormBoard, ...]:
    """Boards of a form with their footprints. See `form_boards`."""
    form = shape.form()
    if form is None or not form.levels:
        return ()
    if form.mitres is not None:
        return _moulding(form.levels[0], form.mitres, board_m)
    levels = form.levels
    openings = shapely.STRtree([opening.polygon(CHORD_M) for opening in form.openings])
    boards: list[FormBoard] = []
    below: shapely.Geometry = shapely.Polygon()
    numbers = _Numbers(form, openings) if form.edges else None
    for level in levels:
        boards += _around(level, below, openings, numbers, board_m)
        below = level.plan
    boards = _with_covers(levels, _stacked(boards, board_m) if len(levels) > 1 else boards, board_m)
    if any(form.leans):
        boards = [_leaning(board, form.leans) for board in boards]
    return (*_bottoms([level.plan for level in levels], board_m), *sorted(boards, key=in_list))


# Form bottom --------------------------------------------------------------------------------------------------

JOINT_SAVES_M2 = 0.25
"""Board that a joint in the form bottom must save; a smaller corner is not worth the joint."""

MOST_CUTS = 16
"""Places tried for a joint along each axis, spread evenly over those of the inside corners."""


def _bottoms(plans: Sequence[shapely.Geometry], board_m: float) -> list[FormBoard]:
    """Rectangular boards under a piece and the boards around it: one, or several butted under an L, a T or a U."""
    filled = [shapely.Polygon(part.exterior) for plan in plans for part in shapely.get_parts(plan)]
    under = shapely.union_all(filled, grid_size=GRID_M).buffer(board_m, join_style="mitre")
    boards = []
    for area in _divided(under):
        x0, y0, x1, y1 = area.bounds
        boards.append(FormBoard("base", "", 0, x1 - x0, y1 - y0, shapely.box(x0, y0, x1, y1), -board_m, 0.0))
    return sorted(boards, key=lambda board: (-board.length_m * board.height_m, *board.footprint.bounds))


def _divided(area: shapely.Geometry) -> list[shapely.Geometry]:
    """Parts of an area whose bounding boxes together are smaller: cut at inside corners while a cut is worth it."""
    box = shapely.envelope(area)
    if box.area - area.area < JOINT_SAVES_M2:
        return [area]
    corners = shapely.get_coordinates(shapely.difference(box, area))
    x0, y0, x1, y1 = box.bounds
    halves = []
    for axis in (0, 1):
        places = np.unique(corners[:, axis].round(9))
        if len(places) > MOST_CUTS:
            places = places[np.linspace(0, len(places) - 1, MOST_CUTS).astype(int)]
        for place in places[(places > (x0, y0)[axis] + SAME_M) & (places < (x1, y1)[axis] - SAME_M)].tolist():
            sides = (
                [(x0, y0, place, y1), (place, y0, x1, y1)] if axis == 0 else [(x0, y0, x1, place), (x0, place, x1, y1)]
            )
            clipped = [part for side in sides for part in shapely.get_parts(shapely.clip_by_rect(area, *side))]
            parts = [part for part in clipped if part.area > SAME_M**2]
            halves.append((sum(shapely.envelope(part).area for part in parts), place, parts))
    least, _, parts = min(halves, key=lambda half: half[:2], default=(box.area, 0.0, []))
    if box.area - least < JOINT_SAVES_M2 * (len(parts) - 1):
        return [area]
    return [part for half in parts for part in _divided(half)]


def edge_marks(shape: Shape) -> tuple[tuple[int, tuple[float, float], tuple[float, float]], ...]:
    """Numbered edges of a shape on the form bottom: number, midpoint, and inward unit vector.

    For a molding they are the sides of its profile.
    """
    form = shape.form()
    if form is not None and form.edges:
        return tuple(_mark(edge, depth_m) for edge, depth_m in form.edges)
    marks: list[tuple[int, tuple[float, float], tuple[float, float]]] = []
    for part in shapely.get_parts(form.levels[0].plan) if form is not None and form.levels else ():
        points = shapely.get_coordinates(shapely.orient_polygons(shapely.Polygon(part.exterior)))[:-1]
        for run in runs_of(np.roll(points, -_lower_left(points), axis=0)):
            middle = len(run.points) // 2
            start, end = run.points[middle - 1], run.points[middle]
            inward = -right_of(unit_of(end - start))
            at = (start + end) / 2
            marks.append((len(marks) + 1, (float(at[0]), float(at[1])), (float(inward[0]), float(inward[1]))))
    return tuple(marks)


def _mark(edge: PlanEdge, depth_m: float) -> tuple[int, tuple[float, float], tuple[float, float]]:
    """Number of an edge, a point inward of its drop or profile, and the inward unit vector."""
    (x, y), (dx, dy) = edge.middle
    return edge.number, (x + depth_m * dx, y + depth_m * dy), (dx, dy)


# Edges of one plan --------------------------------------------------------------------------------------------


class _Numbers:
    """Finds the numbered edge of the outline, or the opening, that a run of a plan lies along."""

    def __init__(self, form: FormPlan, openings: shapely.STRtree) -> None:
        self._numbers = [edge.number for edge, _ in form.edges]
        self._lines = shapely.STRtree([edge.line(CHORD_M) for edge, _ in form.edges])
        self._openings = [shapely.boundary(opening) for opening in openings.geometries]

    def of(self, run: Run) -> tuple[int, int]:
        """Number of the nearest edge, and of the opening that the run lies along (0 for none)."""
        middle = len(run.points) // 2
        point = shapely.Point((run.points[middle - 1] + run.points[middle]) / 2)
        near = [number for number, line in enumerate(self._openings, start=1) if line.distance(point) < RUN_M]
        edge = self._numbers[int(self._lines.nearest(point))]
        on_edge = self._lines.geometries[edge - 1].distance(point) < RUN_M
        return edge, near[0] if near and not on_edge else 0


def _around(
    level: Level, below: shapely.Geometry, openings: shapely.STRtree, numbers: _Numbers | None, board_m: float
) -> list[FormBoard]:
    """Boards along the edges of the plan of one level."""
    boards: list[FormBoard] = []
    filled = shapely.union_all([shapely.Polygon(part.exterior) for part in shapely.get_parts(below)])
    number = 0
    for part in shapely.get_parts(level.plan):
        for k, ring in enumerate([part.exterior, *part.interiors]):
            if k:
                hole = shapely.Polygon(ring)
                knock_out = _knock_out(hole, openings)
                solid = _solid(hole, level, knock_out, board_m)
                if solid is not None:
                    boards.append(solid)
                    continue
            else:
                knock_out = 0
            points = shapely.get_coordinates(shapely.orient_polygons(shapely.Polygon(ring), exterior_cw=bool(k)))[:-1]
            if not k:
                points = np.roll(points, -_lower_left(points), axis=0)
            runs = runs_of(points)
            inside = [_lies_over(run, filled) for run in runs]
            feet = _footprints(runs, inside, board_m)
            for run, over, foot in zip(runs, inside, feet, strict=True):
                number += 1
                own, hole = knock_out or (0 if k else number), bool(k)
                if numbers is not None and not knock_out:
                    own, opening = numbers.of(run)
                    own, hole = (opening, True) if opening else (own, hole)
                boards.append(_board(run, over, foot, level, own, hole=hole))
    return _apart_from_each_other(boards, level.plan)


def _knock_out(hole: shapely.Polygon, openings: shapely.STRtree) -> int:
    """Number, from 1, of the first opening that the hole consists of; 0 for a hollow."""
    near = [(int(i) + 1, openings.geometries[i]) for i in np.sort(openings.query(hole, predicate="intersects"))]
    if len(near) == 1 and _same(hole, near[0][1]):
        return near[0][0]
    parts = [(i, opening) for i, opening in near if shapely.intersection(hole, opening).area > 0]
    left = shapely.difference(hole, shapely.union_all([opening for _, opening in parts])) if parts else hole
    return parts[0][0] if left.area < 0.01 * hole.area else 0


def _same(hole: shapely.Polygon, opening: shapely.Polygon) -> bool:
    """Whether a hole is a given opening, at another chord tolerance."""
    off_m = np.abs(np.subtract(hole.bounds, opening.bounds)).max()
    return bool(off_m <= CHORD_M and abs(hole.area - opening.area) < 0.001 * hole.area)


def _lower_left(points: Floats) -> int:
    """Index of the point nearest the lower left corner of the bounding box."""
    return int(np.argmin(np.hypot(*(points - points.min(axis=0)).T)))


def _lies_over(run: Run, concrete: shapely.Geometry) -> bool:
    """Whether a board beside the run stands over concrete."""
    middle = len(run.points) // 2
    start, end = run.points[middle - 1], run.points[middle]
    return bool(concrete.contains(shapely.Point((start + end) / 2 + 1e-4 * right_of(unit_of(end - start)))))


def _footprints(runs: Sequence[Run], inside: Sequence[bool], board_m: float) -> list[shapely.Geometry]:
    """Footprints of the boards along a ring.

    Corners of 90° are butted: outside boards run past inside ones, and lengthwise boards past crosswise ones. Other
    corners are mitered.
    """
    count = len(runs)
    starts, ends = [0.0] * count, [0.0] * count
    wedges: list[list[shapely.Polygon]] = [[] for _ in runs]
    for i, run in enumerate(runs):
        j = (i + 1) % count
        after = runs[j]
        turn = angle_between(run.last, after.first)
        corner = after.points[0]
        both_straight = run.straight and after.straight
        if abs(turn) < radians(SMOOTH_DEG if both_straight else CURVED_DEG):
            continue
        if both_straight and abs(abs(turn) - pi / 2) < radians(SQUARE_DEG):
            runs_past = (not inside[i], abs(run.last[0]) >= abs(run.last[1])) >= (
                not inside[j], abs(after.first[0]) > abs(after.first[1])
            )  # fmt: skip
            if turn > 0:
                ends[i], starts[j] = (board_m, 0.0) if runs_past else (0.0, board_m)
            else:
                ends[i], starts[j] = (0.0, -board_m) if runs_past else (-board_m, 0.0)
            continue
        reach = board_m * tan(max(min(turn, radians(160)), -radians(160)) / 2)
        apex = corner + board_m * right_of(run.last) + reach * run.last
        if run.straight:
            ends[i] = reach
        elif turn > 0:
            wedges[i].append(shapely.Polygon([corner, corner + board_m * right_of(run.last), apex]))
        if after.straight:
            starts[j] = reach
        elif turn > 0:
            wedges[j].append(shapely.Polygon([corner, corner + board_m * right_of(after.first), apex]))
    return [
        shapely.union_all([_footprint(run, starts[i], ends[i], _is_butted(runs, i), board_m), *wedges[i]])
        for i, run in enumerate(runs)
    ]


def _is_butted(runs: Sequence[Run], i: int) -> tuple[bool, bool]:
    """Whether the start and the end of a straight board are cut square."""
    run, before, after = runs[i], runs[i - 1], runs[(i + 1) % len(runs)]
    right = radians(90 - SQUARE_DEG), radians(90 + SQUARE_DEG)
    return (
        before.straight and right[0] < abs(angle_between(before.last, run.first)) < right[1],
        after.straight and right[0] < abs(angle_between(run.last, after.first)) < right[1],
    )


def _footprint(run: Run, start: float, end: float, butted: tuple[bool, bool], board_m: float) -> shapely.Geometry:
    """Footprint of a board along a run, longer by `start` and `end`: throughout if butted, on its outside if mitered.

    butted  whether the start and the end are cut square
    """
    out = board_m * right_of(run.first)
    if run.straight:
        a, b = run.points
        inner = [a - (start if butted[0] else 0.0) * run.first, b + (end if butted[1] else 0.0) * run.first]
        outer = [b + end * run.first + out, a - start * run.first + out]
        return shapely.Polygon([*inner, *outer])
    way = np.diff(run.points, axis=0)
    unit = way / np.hypot(*way.T)[:, None]
    normal = np.column_stack([unit[:, 1], -unit[:, 0]])
    at = np.vstack([normal[:1], normal[:-1] + normal[1:], normal[-1:]])
    at /= np.hypot(*at.T)[:, None]
    step = abs(run.turns) / max(len(unit) - 1, 1) / 2
    # Where a curve runs smoothly into a straight edge, its end normal is that edge's normal.
    for k, sign in ((0, -1.0), (-1, 1.0)):
        lean = sign * np.copysign(step, run.turns)
        at[k] = np.array([[cos(lean), -np.sin(lean)], [np.sin(lean), cos(lean)]]) @ at[k]
    radius = run.length_m / max(abs(run.turns), 1e-9)
    if run.turns < 0 and radius <= board_m * 1.001:
        middle = run.points[0] + radius * at[0]
        return shapely.make_valid(shapely.Polygon([*run.points, middle]))
    offset = run.points + board_m * at
    band = shapely.Polygon([*run.points, *offset[::-1]])
    if band.is_valid:
        return band
    # The outer side of a tight concave curve folds over itself: build the band step by step.
    steps = zip(run.points, run.points[1:], offset[1:], offset, strict=False)
    return shapely.union_all([shapely.MultiPoint(corners).convex_hull for corners in steps])


_SIDES = (((0.0, -1.0), "front"), ((1.0, 0.0), "right"), ((0.0, 1.0), "back"), ((-1.0, 0.0), "left"))


def _side(normal: Floats) -> str:
    """The side that a face looks toward, within 40°; "" if none."""
    return next((name for way, name in _SIDES if normal @ np.array(way) > cos(radians(40.0))), "")


def _board(run: Run, over: bool, foot: shapely.Geometry, level: Level, number: int, *, hole: bool) -> FormBoard:
    looks = right_of(run.first) if run.straight else right_of(unit_of(run.points[-1] - run.points[0]))
    # An inside board is named for the side of the drop or return that it forms, which it faces away from.
    side = _side(-looks if over or hole else looks)
    length = _extent(foot, run.first) if run.straight else run.length_m
    radius = run.radius_m
    sweep = None if run.straight else degrees(abs(run.turns))
    height = level.high_m - level.low_m
    return FormBoard(
        "inside" if over or hole else "edge",
        side,
        number,
        length,
        height,
        foot,
        level.low_m,
        level.high_m,
        radius,
        sweep,
    )


def _extent(area: shapely.Geometry, along: Floats) -> float:
    reach = shapely.get_coordinates(area) @ along
    return float(np.ptp(reach)) if len(reach) else 0.0


def _solid(hole: shapely.Polygon, level: Level, number: int, board_m: float) -> FormBoard | None:
    """Plug or block for a knock-out small enough to be solid; None for one that is framed."""
    height = level.high_m - level.low_m
    layers = max(1, ceil(height / board_m - 1e-9))
    x0, y0, x1, y1 = hole.bounds
    runs = runs_of(shapely.get_coordinates(shapely.orient_polygons(hole, exterior_cw=True))[:-1])
    across = 2 * (hole.area / pi) ** 0.5
    if all(not run.straight for run in runs) and abs(x1 - x0 - (y1 - y0)) < 1e-3 * across and len(runs) == 2:
        if across > PLUG_M:
            return None
        return FormBoard(
            "plug", "", number, x1 - x0, y1 - y0, hole, level.low_m, level.high_m, across / 2, 360.0, layers
        )
    if min(x1 - x0, y1 - y0) > BLOCK_BOARDS * board_m:
        return None
    return FormBoard("block", "", number, x1 - x0, y1 - y0, hole, level.low_m, level.high_m, layers=layers)


def _apart_from_each_other(boards: Sequence[FormBoard], plan: shapely.Geometry) -> list[FormBoard]:
    """Boards trimmed where they would overlap concrete or an earlier board, as in a narrow slot."""
    # snapped to the grid one by one, which repairs them: slivers that touch themselves have no valid union there
    boards = [
        board._replace(footprint=_largest(shapely.set_precision(shapely.make_valid(board.footprint), GRID_M)))
        for board in boards
    ]
    lone = _lone(boards)
    apart = iter(_framed_apart([board for board, alone in zip(boards, lone, strict=True) if not alone], plan))
    return [
        board
        for board in (board if alone else next(apart, None) for board, alone in zip(boards, lone, strict=True))
        if board is not None
    ]


def _lone(boards: Sequence[FormBoard]) -> list[bool]:
    """Whether each board is a plug or block that no other board touches."""
    feet = [board.footprint for board in boards]
    first, second = shapely.STRtree(feet).query(feet, predicate="intersects")
    touched = set(first[first != second].tolist())
    return [board.role in ("plug", "block") and number not in touched for number, board in enumerate(boards)]


def _framed_apart(boards: Sequence[FormBoard], plan: shapely.Geometry) -> list[FormBoard]:
    """`_apart_from_each_other` for boards snapped to the grid."""
    placed = np.array([board.footprint for board in boards])
    tree = shapely.STRtree(placed)
    parts = _parts_of(_beside(plan, tree))
    in_concrete_m2, in_earlier_m2 = _areas_within(placed, parts), _areas_of_earlier(tree)
    if max(in_concrete_m2.sum(), in_earlier_m2.sum()) <= SAME_M**1.5 * len(boards):
        return list(boards)
    concrete = shapely.STRtree(parts)
    apart: list[FormBoard] = []
    for number, board in enumerate(boards):
        foot, around = board.footprint, list[shapely.Geometry]()
        if in_concrete_m2[number] > SAME_M**1.5:
            around += concrete.geometries[concrete.query(foot)].tolist()
        if in_earlier_m2[number] > SAME_M**1.5:
            near = tree.query(foot, predicate="intersects")
            before = placed[np.sort(near[near < number])]
            around += before[shapely.intersects(foot, before)].tolist()
        if around:
            occupied = _largest(shapely.union_all(around, grid_size=GRID_M))
            rest = _largest(shapely.difference(foot, occupied, grid_size=GRID_M))
            foot = rest if foot.area - rest.area > SAME_M**1.5 else foot
        left = foot.area > SAME_M * 1e-3
        placed[number] = foot if left else shapely.Polygon()
        if left:
            apart.append(board._replace(footprint=foot))
    return apart


def _areas_within(feet: NDArray[np.object_], parts: Sequence[shapely.Geometry]) -> Floats:
    """Area of each footprint that lies within parts of an area which do not overlap, (n,)."""
    near, part = shapely.STRtree(parts).query(feet, predicate="intersects")
    shared = shapely.area(shapely.intersection(feet[near], np.array(parts, dtype=object)[part]))
    return np.bincount(near, shared, len(feet)).astype(np.float64)


def _areas_of_earlier(feet: shapely.STRtree) -> Floats:
    """Area of each footprint that lies within earlier ones, (n,); where several overlap it counts for each."""
    boards = feet.geometries
    near, earlier = feet.query(boards, predicate="intersects")
    near, earlier = near[earlier < near], earlier[earlier < near]
    shared = shapely.area(shapely.intersection(boards[near], boards[earlier]))
    return np.bincount(near, shared, len(boards)).astype(np.float64)


MOST_POINTS = 64  # of a part of a plan that boards are compared with


def _parts_of(plan: shapely.Geometry) -> list[shapely.Geometry]:
    """The plan halved until no part has more than MOST_POINTS, so that a board is compared with few points."""
    if shapely.get_num_coordinates(plan) <= MOST_POINTS:
        return [] if plan.is_empty else [plan]
    x0, y0, x1, y1 = plan.bounds
    if x1 - x0 > y1 - y0:
        middle = (x0 + x1) / 2
        halves = (x0, y0, middle, y1), (middle, y0, x1, y1)
    else:
        middle = (y0 + y1) / 2
        halves = (x0, y0, x1, middle), (x0, middle, x1, y1)
    if max(x1 - x0, y1 - y0) < GRID_M:
        return [plan]
    return [part for half in halves for part in _parts_of(_largest(shapely.intersection(plan, shapely.box(*half))))]


def _beside(plan: shapely.Geometry, feet: shapely.STRtree) -> shapely.Geometry:
    """The plan with every hole filled that has no board near it."""
    parts = [
        shapely.Polygon(part.exterior, [ring for ring in part.interiors if len(feet.query(ring))])
        for part in shapely.get_parts(plan)
    ]
    return parts[0] if len(parts) == 1 else shapely.multipolygons(parts)


def _largest(area: shapely.Geometry) -> shapely.Geometry:
    if area.geom_type == "Polygon":
        return area
    parts = [part for part in shapely.get_parts(area) if part.geom_type == "Polygon"]
    return shapely.union_all(parts)


def _stacked(boards: Sequence[FormBoard], board_m: float) -> list[FormBoard]:
    """Boards with those of adjacent levels joined where they have the same footprint."""
    stacked: list[FormBoard] = []
    places: dict[int, int] = {}  # in `stacked`, by the number of the lowest board
    tops: set[float] = set()
    tree = shapely.STRtree([board.footprint for board in boards])
    for number, board in enumerate(boards):
        near = []
        if any(abs(top - board.low_m) < SAME_M for top in tops):
            near = tree.query(board.footprint, predicate="dwithin", distance=2 * board_m).tolist()
        tops.add(board.high_m)
        for i in sorted(places[other] for other in near if other in places):
            lower = stacked[i]
            if (
                abs(lower.high_m - board.low_m) < SAME_M
                and lower.role in (board.role, "edge")
                and _on_the_same_ground(lower, board, board_m)
            ):
                high = board.high_m - lower.low_m
                is_solid = board.role in ("plug", "block")
                layers = lower.layers + board.layers if is_solid else 1
                height = lower.height_m if is_solid else high
                stacked[i] = lower._replace(high_m=board.high_m, height_m=height, layers=layers)
                break
        else:
            places[number] = len(stacked)
            stacked.append(board)
    return stacked


def _on_the_same_ground(lower: FormBoard, board: FormBoard, board_m: float) -> bool:
    """Whether two stacked boards have the same footprint, or follow the same curve and differ only at its ends."""
    if shapely.symmetric_difference(lower.footprint, board.footprint).area < 1e-3 * board.footprint.area:
        return True
    if lower.sweep_deg is None or board.sweep_deg is None or lower.role != board.role or lower.number != board.number:
        return False
    ends_m2 = 2 * board_m**2
    apart_m2 = float(shapely.symmetric_difference(lower.footprint, board.footprint).area)
    return apart_m2 < ends_m2 and abs(lower.length_m - board.length_m) < board_m


def _with_covers(levels: Sequence[Level], boards: list[FormBoard], board_m: float) -> list[FormBoard]:
    """Boards with covers added over hollows closed by concrete; boards under a cover are lower by its thickness."""
    for lower, upper in pairwise(levels):
        over = _largest(shapely.difference(upper.plan, lower.plan))
        over = shapely.intersection(over, shapely.buffer(over, -SAME_M).buffer(2 * SAME_M, join_style="mitre"))
        for part in shapely.get_parts(over):
            if part.geom_type != "Polygon" or part.area < SAME_M:
                continue
            cover = _largest(shapely.difference(part.buffer(board_m, join_style="mitre"), lower.plan))
            remaining, through = [], list[shapely.Geometry]()
            feet = np.array([board.footprint for board in boards])
            for board, share in zip(boards, _areas_within(feet, _parts_of(cover)) / shapely.area(feet), strict=True):
                if abs(board.high_m - upper.low_m) < SAME_M and share > 0.5:
                    if board.high_m - board.low_m > board_m + SAME_M:
                        height = board.height_m if board.role in ("plug", "block") else board.height_m - board_m
                        remaining.append(board._replace(high_m=board.high_m - board_m, height_m=height))
                    continue
                remaining.append(board)
                if share > 0 and board.low_m < upper.low_m - SAME_M < board.high_m:
                    through.append(board.footprint)
            boards = remaining
            # a wall thinner than a board leaves slivers beside the outside boards
            cover = tidy(_largest(shapely.difference(cover, shapely.union_all(through))))
            x0, y0, x1, y1 = cover.bounds
            boards.append(FormBoard("cover", "", 0, x1 - x0, y1 - y0, cover, upper.low_m - board_m, upper.low_m))
    return boards


def _leaning(board: FormBoard, leans: tuple[float, float]) -> FormBoard:
    """Adapt a board of a plumb box to a box with tapered walls.

    Boards of tapered walls are blanks with the length at the rim and the slope height, to be cut to the drawing. The
    footprints are those at the rim.
    """
    lean_x, lean_y = leans
    match board.role:
        case "edge" | "inside":
            slope = hypot(1.0, lean_y if board.side in ("front", "back") else lean_x)
            return board._replace(height_m=board.height_m * slope)
        case "cover":
            return board._replace(
                length_m=board.length_m - 2 * lean_x * board.high_m,
                height_m=board.height_m - 2 * lean_y * board.high_m,
            )
        case _:
            return board


# Mouldings ----------------------------------------------------------------------------------------------------


def _moulding(level: Level, mitres: tuple[float, float], board_m: float) -> tuple[FormBoard, ...]:
    """Boards along the straight sides of the profile, formers along its curves, and the two ends.

    Footprints are in the plane of the profile, heights along the length from the left end. A mitered end has its
    length along the slope; the sides have the length of their longer edge.
    """
    profile, length_m = level.plan, level.high_m
    left, right = mitres
    x0, y0, x1, y1 = profile.bounds
    boards = []
    for board in _around(level, shapely.Polygon(), shapely.STRtree([]), None, board_m):
        a, b = max(board.footprint.bounds[0], x0), min(board.footprint.bounds[2], x1)
        run = max(_mitred(length_m, left, right, y, x0, x1) for y in (a, b))
        boards.append(board._replace(height_m=run, side=""))
    ends = []
    for side, slope in (("left", left), ("right", right)):
        wide = (x1 - x0 + 2 * board_m) * hypot(1.0, slope)
        under = shapely.box(x0 - board_m, y0 - board_m, x1 + board_m, y1 + board_m)
        at = -board_m if side == "left" else length_m
        ends.append(FormBoard("end", side, 0, wide, y1 - y0 + 2 * board_m, under, at, at + board_m))
    return (*boards, *ends)


def _mitred(length: float, left: float, right: float, y: float, y0: float, y1: float) -> float:
    """Length of a molding between its end planes at position y across it."""
    return length - sum(slope * (y - y0) if slope > 0 else slope * (y - y1) for slope in (left, right))
