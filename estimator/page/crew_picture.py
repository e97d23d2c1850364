"""Pictures of a piece as the crew holds it: on edge with the right edge up, flat, or on pick points, with the loads.

A picture is a list of lines, circles and texts in one frame, which the template draws.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Any

from estimator.estimate import PieceEstimate
from estimator.page.drawing import Frame, paths_of
from estimator.report.papers.lift_drawing import LETTERS, people_around, pick_places
from estimator.words import Words
from geometry.frozen import frozen
from geometry.shape import plan_view

WIDE, HIGH = 340.0, 190.0
"""Largest size of the piece itself, in CSS pixels."""

MARGIN, HAND, TEXT = 44.0, 15.0, 15.0
Place = tuple[float, float]
QUARTER_TURNS = {"back": 0, "top": 0, "left": 1, "front": 2, "bottom": 2, "right": 3}
"""Clockwise quarter turns of the plan that bring a side up."""


@frozen
class Mark:
    """One line, circle or text of a picture.

    kind   CSS class
    """

    kind: str
    d: str = ""
    text: str = ""
    x: float = 0.0
    y: float = 0.0
    radius: float = 0.0


def carry_picture(piece: PieceEstimate, words: Words) -> dict[str, Any]:
    """Picture of a piece as carried or hung, with the load on each person at each hold."""
    handling = piece.handling
    view = plan_view(piece.taken.piece.shape)
    on_edge = handling.hold == "on-edge"
    frame = Frame.fitted(view.bounds_m, WIDE, HIGH, MARGIN, QUARTER_TURNS[handling.edge_up or "back"] if on_edge else 0)
    marks = [*_edge_up(frame, words)] if on_edge else []
    hands = _apart([frame.at(*person.at_m) for person in people_around(piece, view)])
    marks += [Mark("hand", x=x, y=y, radius=HAND) for x, y in hands]
    marks += _shares(piece, hands, frame, words)
    for letter, place in zip(LETTERS, pick_places(handling), strict=False):
        marks += _pick(frame.at(*place), letter, pads=handling.hold == "pads")
    if not on_edge:
        marks.append(Mark("tick", d=_cross(*frame.at(*piece.weight.center_of_gravity_m[:2]))))
    return {"box": f"0 0 {frame.wide:g} {frame.high:g}", "paths": paths_of(view, frame), "marks": marks}


def flip_picture(people: int, words: Words) -> dict[str, Any]:
    """Picture of a piece strapped between form and flip board, over foam, with people at its ends."""
    left, right, top = 60.0, 360.0, 30.0
    marks = [
        Mark("side", d=f"M{left} {top}H{right}V{top + 18}H{left}z"),
        Mark("cut", d=f"M{left + 12} {top + 18}H{right - 12}V{top + 46}H{left + 12}z"),
        Mark("side", d=f"M{left} {top + 46}H{right}V{top + 64}H{left}z"),
        Mark("strap", d="".join(f"M{x} {top}V{top + 64}" for x in (left + 45, right - 45))),
        Mark("hid", d=f"M{left - 20} {top + 112}H{right + 20}V{top + 140}H{left - 20}z"),
        Mark("label", text=words("crew-in-form"), x=(left + right) / 2, y=top + 32),
        Mark("label", text=words("crew-foam"), x=(left + right) / 2, y=top + 126),
    ]
    ends = [(left - 4, people - people // 2), (right + 4, people // 2)]
    for x, count in ends:
        rows = [top + 32 + 36 * (number - (min(count, 2) - 1) / 2) for number in range(min(count, 2))]
        marks += [Mark("hand", x=x, y=y, radius=HAND) for y in rows]
        if count > len(rows):
            marks.append(Mark("label", text=f"× {count}", x=x, y=top + 86))
    return {"box": "0 0 420 180", "paths": [], "marks": marks}


def _edge_up(frame: Frame, words: Words) -> Iterator[Mark]:
    """Yield marks for the edge that goes up: a heavy line, an arrow, and a text if there is room."""
    left, right, middle = frame.left, frame.right, (frame.left + frame.right) / 2
    yield Mark("up", d=f"M{left:g} {frame.top:g}H{right:g}")
    yield Mark("solid", d=f"M{middle:g} {frame.top - 38:g}l17 19h-10v13h-14v-13h-10z")
    if right - left > 150.0 and frame.low - frame.top > 30.0:
        yield Mark("label over", text=words("lift-edge-up"), x=middle, y=frame.top + 18)


def _apart(places: Sequence[Place]) -> list[Place]:
    """Places of hands, with neighbors on one line moved apart so that both are visible."""
    moved = list(places)
    for along, across in ((0, 1), (1, 0)):
        for i, j in pairwise(sorted(range(len(moved)), key=lambda at: (moved[at][across], moved[at][along]))):
            overlap = 2.0 * HAND + 4.0 - (moved[j][along] - moved[i][along])
            if abs(moved[i][across] - moved[j][across]) < 1.0 and overlap > 0.0:
                for at, by in ((i, -overlap / 2.0), (j, overlap / 2.0)):
                    x, y = moved[at]
                    moved[at] = (x + by, y) if along == 0 else (x, y + by)
    return moved


def _shares(piece: PieceEstimate, places: Sequence[Place], frame: Frame, words: Words) -> Iterator[Mark]:
    """Yield the load on one person at each hold, below its hands."""
    at = 0
    for hold in piece.handling.carry.holds:
        hands = places[at : at + hold.persons]
        at += hold.persons
        if not hands:
            return
        x = sum(place[0] for place in hands) / len(hands)
        y = max(place[1] for place in hands) + HAND + TEXT
        share = words.mass(hold.share_kg, up=True)
        yield Mark("label", text=share, x=min(max(x, 30.0), frame.wide - 30.0), y=min(y, frame.high - 8.0))


def _pick(place: Place, letter: str, *, pads: bool) -> Iterator[Mark]:
    x, y = place
    if pads:
        yield Mark("hand", x=x, y=y, radius=HAND)
        yield Mark("hand", x=x, y=y, radius=HAND - 5.0)
    else:
        yield Mark("solid", d=f"M{x:g} {y:g}l-9 -18h18z")
    yield Mark("label", text=letter, x=x, y=y + 18.0)


def _cross(x: float, y: float) -> str:
    return f"M{x - 9:g} {y:g}h18M{x:g} {y - 9:g}v18M{x - 5:g} {y:g}a5 5 0 1 0 10 0a5 5 0 1 0 -10 0"
