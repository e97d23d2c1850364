"""A piece on the lift sheet: its crew around it, its pick points, and where it balances."""

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

from estimator.estimate import PieceEstimate
from estimator.handling import Handling
from estimator.report.papers import drawing
from estimator.report.papers.drawing import ROW, STAND_OFF, Scale, bare
from estimator.words import Words
from geometry.frozen import frozen
from geometry.views import PlanView

Point = tuple[float, float]

PERSON = 20.0
"""What a person outside the outline takes, points."""
SHOULDERS = 17.0
"""Least distance between two people side by side, points."""
ROW_UPRIGHT = 17.0
"""From one upright dimension to the next: a long figure stands beside a short line."""
MARK = 5.0
"""How far the mark of a pick sticks out over the edge, points."""
BESIDE_M = 0.25  # between two people who hold at one place
LETTERS = "ABCD"  # of pick points
SAME_M = 0.001


@frozen
class Hands:
    """Where one person holds, in plan, and which way that person stands from there."""

    at_m: Point
    outward: Point


def height_of(view: PlanView, estimated: PieceEstimate, wide: float, most: float, words: Words) -> float:
    """Height that the drawing needs at this width, points, no more than `most`."""
    left, below, right, above = _margins(estimated, view, words)
    x0, y0, x1, y1 = view.bounds_m
    return float(min(most, below + above + max(wide - left - right, 1.0) * (y1 - y0) / max(x1 - x0, 1e-6)))


def _margins(estimated: PieceEstimate, view: PlanView, words: Words) -> tuple[float, float, float, float]:
    """What dimensions and people take to the left, below, to the right and above, points.

    The figure of the span from the last pick to the end may stand to the right of the piece.
    """
    stand = PERSON if people_around(estimated, view) else 0.0
    picks = pick_places(estimated.handling)
    rows = 3 if picks else 2
    x0_m, _, x1_m, _ = view.bounds_m
    spans = _spans(x0_m, x1_m, [x for x, _ in picks])
    outside = drawing.beside(bare(spans[-1][1] - spans[-1][0], words)) if spans else 0.0
    above = stand + 10.0
    left = stand + STAND_OFF + (MARK if picks else 0.0) + rows * ROW_UPRIGHT
    return left, stand + STAND_OFF + rows * ROW, max(above, outside), above


def draw_lift(canvas: Any, wide: float, high: float, view: PlanView, estimated: PieceEstimate, words: Words) -> None:
    """The piece from above: people outside its outline, picks or pads on it, both and the balance dimensioned."""
    handling = estimated.handling
    people, picks = people_around(estimated, view), pick_places(handling)
    stand = PERSON if people else 0.0
    left, below, right, above = _margins(estimated, view, words)
    scale = Scale.fitting(view.bounds_m, left, below, wide - left - right, high - below - above)
    drawing.draw_view(canvas, view, scale)
    center_m = estimated.weight.center_of_gravity_m
    _dimensions(canvas, view, scale, (center_m[0], center_m[1]), picks, stand, words)
    if handling.hold == "pads":
        for place in picks:
            drawing.pad_mark(canvas, scale.place(place), handling.lifting.vacuum.pad_m * scale.per_m / 2)
    else:
        for letter, pick in zip(LETTERS, picks, strict=False):
            drawing.pick_mark(canvas, scale.place(pick), letter)
    if handling.hold == "on-edge":
        _edges(canvas, handling, scale, words)
    for person, at in zip(people, _apart([scale.place(person.at_m) for person in people], people), strict=True):
        drawing.person_mark(canvas, at, person.outward)
    drawing.balance_mark(canvas, scale.place(center_m[:2]))


def pick_places(handling: Handling) -> Sequence[Point]:
    """Where gear holds the piece, in its own plan, m; nothing where hands do or a rigger decides."""
    if handling.hold == "pads":
        return handling.lifting.vacuum.places_m
    if handling.hold == "slings" and handling.lifting.rigging:
        return handling.lifting.rigging[0].picks_m
    return ()


def people_around(estimated: PieceEstimate, view: PlanView) -> list[Hands]:
    """Where each person holds, at the ends of the piece, or at both long sides where two hold a place.

    On edge everybody has a hand under the edge that is down, two at one place side by side.
    """
    handling = estimated.handling
    if handling.hold not in ("on-edge", "flat", "upright"):
        return []
    size = estimated.taken.solid.size_m
    along = 0 if size[0] >= size[1] else 1
    low, high = view.bounds_m[:2], view.bounds_m[2:]
    if handling.hold == "on-edge":
        return _under_edge(handling, low, high, along)
    middle = (low[1 - along] + high[1 - along]) / 2
    people: list[Hands] = []
    for hold in handling.carry.holds:
        at = low[along] + hold.position_m
        if hold.persons == 1:
            first = hold.position_m < size[along] / 2
            people.append(_hands(low[along] if first else high[along], middle, -1.0 if first else 1.0, 0.0, along))
            continue
        for number in range(hold.persons):
            side = low if number % 2 == 0 else high
            people.append(_hands(at, side[1 - along], 0.0, -1.0 if number % 2 == 0 else 1.0, along))
    return people


def _under_edge(handling: Handling, low: Sequence[float], high: Sequence[float], along: int) -> list[Hands]:
    low_up = handling.edge_up in ("front", "left", "bottom")
    down, outward = (high[1 - along], 1.0) if low_up else (low[1 - along], -1.0)
    people = []
    for hold in handling.carry.holds:
        for number in range(hold.persons):
            at = low[along] + hold.position_m + BESIDE_M * (number - (hold.persons - 1) / 2)
            people.append(_hands(min(max(at, low[along]), high[along]), down, 0.0, outward, along))
    return people


def _hands(at: float, across: float, out_along: float, out_across: float, along: int) -> Hands:
    if along == 0:
        return Hands((at, across), (out_along, out_across))
    return Hands((across, at), (out_across, out_along))


def _apart(places: Sequence[Point], people: Sequence[Hands]) -> list[Point]:
    """Places on paper, those of neighbors on one side moved apart by the width of their shoulders."""
    moved = list(places)
    for outward in dict.fromkeys(person.outward for person in people):
        axis = 0 if outward[0] == 0.0 else 1
        side = sorted((i for i, person in enumerate(people) if person.outward == outward), key=lambda i: moved[i][axis])
        for i, j in pairwise(side):
            lack = SHOULDERS - (moved[j][axis] - moved[i][axis])
            if lack > 0.0:
                step = (lack / 2, 0.0) if axis == 0 else (0.0, lack / 2)
                moved[i] = (moved[i][0] - step[0], moved[i][1] - step[1])
                moved[j] = (moved[j][0] + step[0], moved[j][1] + step[1])
    return moved


def _edges(canvas: Any, handling: Handling, scale: Scale, words: Words) -> None:
    """Which long edge goes up, and where the other bears on foam."""
    flat = handling.flat
    if flat is None:
        return
    low_up = handling.edge_up in ("front", "left", "bottom")
    up, down = (0.0, flat.width_m) if low_up else (flat.width_m, 0.0)
    x, y = scale.place(flat.own((flat.length_m / 2, up)))
    text = words("lift-edge-up")
    if flat.turned:
        drawing.upright_note(canvas, x + (-4 if low_up else 9), y, text, 6.5)
    else:
        drawing.centered_note(canvas, x, y + (-9 if low_up else 4), text, 6.5)
    foam = words("lift-foam-mark")
    for bearing_m in flat.bearings_m:
        x, y = scale.place(flat.own((bearing_m, down)))
        drawing.foam_mark(canvas, (x, y), turned=flat.turned)
        if flat.turned:
            drawing.upright_note(canvas, x + (-5 if low_up else 11), y, foam, 6.5)
        else:
            drawing.centered_note(canvas, x, y + (-10 if low_up else 5), foam, 6.5)


def _dimensions(
    canvas: Any,
    view: PlanView,
    scale: Scale,
    center_m: Point,
    picks: Sequence[Point],
    stand: float,
    words: Words,
) -> None:
    """Below and to the left: center of gravity, picks from edge to edge, and the whole, the farthest out first."""
    x0_m, y0_m, x1_m, y1_m = view.bounds_m
    (x0, y0), (x1, y1) = scale.place((x0_m, y0_m)), scale.place((x1_m, y1_m))
    down = y0 - stand - STAND_OFF
    aside = x0 - stand - STAND_OFF - (MARK if picks else 0.0)
    rows = 2 if picks else 1
    drawing.across(canvas, x0, x1, down - rows * ROW, bare(x1_m - x0_m, words), y0)
    drawing.upright(canvas, aside - rows * ROW_UPRIGHT, y0, y1, bare(y1_m - y0_m, words), x0)
    if picks:
        along = [
            (scale.place((start_m, y0_m))[0], scale.place((end_m, y0_m))[0], bare(end_m - start_m, words))
            for start_m, end_m in _spans(x0_m, x1_m, [x for x, _ in picks])
        ]
        drawing.chain_across(canvas, along, down - ROW, y0)
        for start_m, end_m in _spans(y0_m, y1_m, [y for _, y in picks]):
            start, end = scale.place((x0_m, start_m))[1], scale.place((x0_m, end_m))[1]
            drawing.upright(canvas, aside - ROW_UPRIGHT, start, end, bare(end_m - start_m, words), x0)
    cx, cy = scale.place(center_m)
    drawing.across(canvas, x0, cx, down, bare(center_m[0] - x0_m, words), y0 - stand if stand else cy)
    drawing.upright(canvas, aside, y0, cy, bare(center_m[1] - y0_m, words), x0 - stand if stand else cx)


def _spans(low_m: float, high_m: float, places_m: Sequence[float]) -> list[tuple[float, float]]:
    """From one end over every place between to the other; nothing where no place lies between."""
    stations = [low_m]
    for place_m in (*sorted(places_m), high_m):
        if place_m > stations[-1] + SAME_M:
            stations.append(place_m)
    return list(pairwise(stations)) if len(stations) > 2 else []
