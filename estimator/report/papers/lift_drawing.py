"""A piece on the lift sheet: its crew around it, its pick points, and where it balances."""

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from math import hypot
from typing import Any

from estimator.estimate import PieceEstimate
from estimator.handling import Handling
from estimator.handling.sections import CHORD_M, EDGE_M, FlatPiece
from estimator.report.papers import drawing
from estimator.report.papers.crew import front_of
from estimator.report.papers.drawing import ROW, STAND_OFF, Scale, bare
from estimator.report.papers.style import GREY, RED
from estimator.words import Words
from geometry.frozen import frozen
from geometry.views import PlanView

Point = tuple[float, float]

PERSON = 20.0
"""What a person outside the outline takes, points."""
SIDE_LETTER = 6.5
"""Size of the name of a side and of the width of a rail, points."""
SHOULDERS = 17.0
"""Least distance between two people side by side, points."""
ROW_UPRIGHT = 17.0
"""From one upright dimension to the next: a long figure stands beside a short line."""
SIDE_ROW = 9.0
"""What the name of the side that is drawn below takes under the piece, points."""
RAIL_LOOP, RAIL_LINE = 5.0, 1.4
"""From a narrow rail to the loop around it, and the weight of the loop, points."""
MARK = 5.0
"""How far the mark of a pick sticks out over the edge, points."""
CHAIN_GAP = 8.0
"""From the figures of an upright chain to its line and to the next dimension, points."""
BESIDE_M = 0.25  # between two people who hold at one place
LETTERS = "ABCD"  # of pick points
SAME_M = 0.001
BALANCE = 7.0  # from the center of gravity to what its mark leaves free, points


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
    x0_m, y0_m, x1_m, y1_m = view.bounds_m
    spans = _spans(x0_m, x1_m, [x for x, _ in picks])
    outside = drawing.beside(bare(spans[-1][1] - spans[-1][0], words)) if spans else 0.0
    above = stand + 10.0
    chain = _chain_wide(_spans(y0_m, y1_m, [y for _, y in picks]), words)
    left = stand + STAND_OFF + (MARK if picks else 0.0) + 2 * ROW_UPRIGHT + chain
    return left, stand + SIDE_ROW + STAND_OFF + rows * ROW, max(above, outside), above


def _chain_wide(spans: Sequence[Point], words: Words) -> float:
    """What an upright chain of dimensions takes beside the next dimension, its figures level; 0 without one."""
    figures = [drawing.beside(bare(end_m - start_m, words)) for start_m, end_m in spans]
    return max(figures) + CHAIN_GAP if figures else 0.0


def draw_lift(
    canvas: Any,
    wide: float,
    high: float,
    view: PlanView,
    estimated: PieceEstimate,
    words: Words,
    rail_m: float = 0.0,
) -> None:
    """The piece from above: people outside its outline, picks or pads on it, both and the balance dimensioned.

    rail_m   width under which a rail at a cut-out is marked
    """
    handling = estimated.handling
    people, picks = people_around(estimated, view), pick_places(handling)
    stand = PERSON if people else 0.0
    left, below, right, above = _margins(estimated, view, words)
    scale = Scale.fitting(view.bounds_m, left, below, wide - left - right, high - below - above)
    drawing.draw_view(canvas, view, scale)
    _to_outermost(canvas, view, scale)
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
    _side_below(canvas, view, estimated, scale, stand, words)
    if handling.flat is not None:
        mark_rails(canvas, handling.flat, rail_m, scale, scale.place(center_m[:2]), words)


def _side_below(
    canvas: Any, view: PlanView, estimated: PieceEstimate, scale: Scale, stand: float, words: Words
) -> None:
    """The name of the side that is drawn below, under its longest stretch, clear of the dimension of the balance."""
    (left_m, low_m, right_m, _), flat = view.bounds_m, estimated.handling.flat
    if flat is not None:
        runs = flat.material_along(0 if flat.turned else 1, EDGE_M)
        start_m, end_m = max(runs, key=lambda run: run[1] - run[0], default=(0.0, right_m - left_m))
        left_m, right_m = left_m + start_m, left_m + end_m
    left, low = scale.place((left_m, low_m))
    right, _ = scale.place((right_m, low_m))
    center, _ = scale.place(estimated.weight.center_of_gravity_m[:2])
    middle = (left + right) / 2.0
    if left < center < right:
        middle = (left + center) / 2.0 if center - left > right - center else (center + right) / 2.0
    drawing.centered_note(
        canvas, middle, low - stand - SIDE_ROW + 2.0, words("lift-side", side=front_of(estimated)), SIDE_LETTER
    )


def key_of(symbols: Iterable[str], words: Words) -> str:
    """What the symbols of a drawing mean, beside it: a sheet is taken to the piece without its first page."""
    unit = ("millimeters",) if words.units == "metric" else ()
    return " ".join(words("lift-key-symbol", symbol=symbol) for symbol in (*unit, *symbols))


def symbols_of(estimated: PieceEstimate, view: PlanView, rail_m: float) -> Iterator[str]:
    """Symbols in the drawing of a piece on the lift sheet."""
    handling = estimated.handling
    if people_around(estimated, view):
        yield "person"
    yield "balance"
    if pick_places(handling):
        yield "pad" if handling.hold == "pads" else "pick"
    if handling.hold == "on-edge" and handling.flat is not None and handling.flat.bearings_m:
        yield "foam"
    if not is_square(estimated):
        yield "outermost"
    yield from plan_symbols(handling, view, rail_m)


def is_square(estimated: PieceEstimate) -> bool:
    """Whether ends and long sides of a plate run straight across as it is drawn, so that a length from one of them is
    the same all along it; True for what is no plate.
    """
    flat, plate = estimated.handling.flat, estimated.taken.piece.shape.plate()
    if flat is None:
        return plate is None or not plate.is_askew
    return flat.square_ends and flat.transposed.square_ends


def plan_symbols(handling: Handling, view: PlanView, rail_m: float) -> Iterator[str]:
    """Symbols of the plan itself: narrow rails, hidden edges."""
    if handling.flat is not None and handling.flat.rails_under(rail_m):
        yield "rail"
    if view.hidden:
        yield "hidden"


def mark_rails(canvas: Any, flat: FlatPiece, width_m: float, scale: Scale, center: Point, words: Words) -> None:
    """A loop around the rails narrower than a width that lie together, and the least width of each group.

    center   place of the mark of the center of gravity on paper, which no figure hides
    """
    rails = flat.rails_under(width_m)
    if not rails:
        return
    import shapely

    lines = [shapely.LineString([scale.place(flat.own(end)) for end in ends]) for ends in rails]
    canvas.saveState()
    canvas.setStrokeColor(RED)
    canvas.setLineWidth(RAIL_LINE)
    loose = shapely.union_all([line.buffer(2.0 * RAIL_LOOP) for line in lines])
    loops = shapely.get_parts(loose.buffer(-RAIL_LOOP))
    for loop in loops:
        path = canvas.beginPath()
        for number, (x, y) in enumerate(loop.exterior.coords):
            (path.lineTo if number else path.moveTo)(x, y)
        path.close()
        canvas.drawPath(path, stroke=1, fill=0)
    canvas.restoreState()
    end = scale.place(flat.own((flat.length_m, flat.width_m)))[0] + MARK
    for loop in loops:
        least_m = min(
            hypot(b[0] - a[0], b[1] - a[1]) for (a, b), line in zip(rails, lines, strict=True) if loop.intersects(line)
        )
        text = bare(least_m, words)
        drawing.note(canvas, *_beside(loop.bounds, drawing.beside(text), center, end), text, SIDE_LETTER)


def _beside(bounds: tuple[float, float, float, float], wide: float, center: Point, end: float) -> Point:
    """Place of a figure right of a loop and before `end`, or above, below or left of it, off the center of gravity."""
    left, low, right, high = bounds
    level, middle = (low + high) / 2.0 - 2.5, (left + right - wide) / 2.0
    places = [(right + 2.0, level), (middle, high + 2.5), (middle, low - SIDE_LETTER - 2.0), (left - wide, level)]
    for x, y in places:
        in_the_way = (
            x - BALANCE < center[0] < x + wide + BALANCE and y - BALANCE < center[1] < y + BALANCE + SIDE_LETTER
        )
        if x + wide <= end and not in_the_way:
            return x, y
    return places[0]


def pick_places(handling: Handling) -> Sequence[Point]:
    """Where gear holds the piece, in its own plan, m; nothing where hands do or a rigger decides."""
    if handling.hold == "pads":
        return () if handling.lifting.vacuum.cracks else handling.lifting.vacuum.places_m
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
    start_m, end_m = (0.0, high[along] - low[along]) if handling.flat is None else handling.flat.lower_edge_m
    people = []
    for hold in handling.carry.holds:
        for number in range(hold.persons):
            at_m = hold.position_m + BESIDE_M * (number - (hold.persons - 1) / 2)
            people.append(_hands(low[along] + min(max(at_m, start_m), end_m), down, 0.0, outward, along))
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
    down = y0 - stand - SIDE_ROW - STAND_OFF
    aside = x0 - stand - STAND_OFF - (MARK if picks else 0.0)
    rows = 2 if picks else 1
    upright = _spans(y0_m, y1_m, [y for _, y in picks])
    chain = aside - _chain_wide(upright, words)
    drawing.across(canvas, x0, x1, down - rows * ROW, bare(x1_m - x0_m, words), y0)
    drawing.upright(canvas, chain - ROW_UPRIGHT, y0, y1, bare(y1_m - y0_m, words), x0)
    if picks:
        along = [
            (scale.place((start_m, y0_m))[0], scale.place((end_m, y0_m))[0], bare(end_m - start_m, words))
            for start_m, end_m in _spans(x0_m, x1_m, [x for x, _ in picks])
        ]
        drawing.chain_across(canvas, along, down - ROW, y0)
        levels = [
            (scale.place((x0_m, start_m))[1], scale.place((x0_m, end_m))[1], bare(end_m - start_m, words))
            for start_m, end_m in upright
        ]
        drawing.chain_upright(canvas, levels, chain, x0)
    cx, cy = scale.place(center_m)
    drawing.across(canvas, x0, cx, down, bare(center_m[0] - x0_m, words), y0 - stand if stand else cy)
    drawing.upright(canvas, aside, y0, cy, bare(center_m[1] - y0_m, words), x0 - stand if stand else cx)


def _to_outermost(canvas: Any, view: PlanView, scale: Scale) -> None:
    """Extension lines from the outermost points of a plan to its lower left box, where the dimensions begin."""
    x0, y0 = scale.place(view.bounds_m[:2])
    rim = [scale.place(point) for region in view.material for point in region.outer.flattened(CHORD_M).tolist()]
    canvas.saveState()
    canvas.setStrokeColor(GREY)
    canvas.setLineWidth(drawing.HAIRLINE)
    for axis, start in ((0, y0), (1, x0)):
        for outermost in (min, max):
            at = outermost(point[axis] for point in rim)
            nearest = min(point[1 - axis] for point in rim if abs(point[axis] - at) < SAME_M * scale.per_m)
            if nearest > start:
                canvas.line(*((at, start, at, nearest) if axis == 0 else (start, at, nearest, at)))
    canvas.restoreState()


def _spans(low_m: float, high_m: float, places_m: Sequence[float]) -> list[tuple[float, float]]:
    """From one end over every place between to the other; nothing where no place lies between."""
    stations = [low_m]
    for place_m in (*sorted(places_m), high_m):
        if place_m > stations[-1] + SAME_M:
            stations.append(place_m)
    return list(pairwise(stations)) if len(stations) > 2 else []
