"""What a way to lighten a piece changes, in words: the list of ways and the first screen print it."""

from __future__ import annotations

from collections.abc import Sequence

from estimator.job import Piece
from estimator.lighten import Hint, Way, runs_through
from estimator.words import Words
from geometry.message import Message, message
from geometry.parts import can_be_cut, footprint
from geometry.plan_edges import level_way
from geometry.split import Chord


def change_text(way: Way, piece: Piece, words: Words) -> str:
    """What a way changes in a piece, in words."""
    return words.series([words.text(change) for change in changes(way, piece, words)])


def changes(way: Way, piece: Piece, words: Words) -> list[Message]:
    """Everything that a way changes in a piece."""
    parts = []
    if way.mix is not None and way.sand_replaced is not None:
        parts.append(message("lighten-replaced", replaced_share=way.sand_replaced, mix_name=words.name(way.mix)))
    if way.thickness_m is not None and way.thickness_m != piece.shape.cast_thickness_m:
        parts.append(message("lighten-thickness", thickness_m=way.thickness_m))
    if way.cores:
        parts.append(message("lighten-core", core_m3=way.core_m3))
    if way.on_site:
        parts.append(on_site_text(piece))
    if way.seams:
        parts += seam_texts(way.seams, piece, words)
        through = sum(runs_through(seam, piece) for seam in way.seams)
        if through:
            parts.append(message("lighten-through", count=through))
    return parts


def on_site_text(piece: Piece) -> Message:
    """Which parts that the shop would glue on are glued on site instead."""
    kinds = {glued.part for glued in piece.attached if glued.glued == "shop"}
    return message("lighten-on-site", parts="both" if len(kinds) > 1 else min(kinds))


def seam_texts(seams: Sequence[Chord], piece: Piece, words: Words) -> list[Message]:
    """Where seams run: from the left or the front of the piece with its longest edge level, or slanted."""
    if not can_be_cut(piece.shape):
        return []
    outer = footprint(piece.shape).outer
    way = level_way(outer)
    x0, y0 = ((outer.points @ (1.0, 1j)) / way).view(float).reshape(-1, 2).min(axis=0).tolist()
    level = [_turned(seam, 1.0 / way) for seam in seams]
    left = [start[0] - x0 for start, end in level if axis_of((start, end)) == 0]
    front = [start[1] - y0 for start, end in level if axis_of((start, end)) == 1]
    slanted = len(seams) - len(left) - len(front)
    texts = []
    for id, places in (("lighten-seam-left", left), ("lighten-seam-front", front)):
        if places:
            text = words.series([words.length(place) for place in sorted(places)])
            texts.append(message(id, count=len(places), places=text))
    if slanted:
        texts.append(message("lighten-seam-corner", count=slanted))
    return texts


def _turned(seam: Chord, by: complex) -> Chord:
    """A seam turned about the origin by the angle of a unit vector."""
    start, end = (complex(*point) * by for point in seam)
    return (start.real, start.imag), (end.real, end.imag)


def axis_of(seam: Chord) -> int | None:
    """0 for a seam that stands at one x, 1 for one that lies at one y; None for any other."""
    (x0, y0), (x1, y1) = seam
    if abs(x1 - x0) < 1e-6:
        return 0
    return 1 if abs(y1 - y0) < 1e-6 else None


def hint_text(hints: Sequence[Hint], piece: Piece, words: Words) -> str:
    """Single changes that make a piece liftable, with its people: "2 people with a seam ..., or ..."."""
    texts = []
    for hint in hints:
        if hint.seams:
            change = words.series([words.text(text) for text in seam_texts(hint.seams, piece, words)])
        elif hint.on_site:
            change = words.text(on_site_text(piece))
        else:
            change = words("lighten-hint-beads", replaced_share=hint.sand_replaced or 0.0)
        texts.append(words("lighten-hint", people=hint.people, change=change, strength=hint.strength))
    return words("lighten-hint-or", first=texts[0], second=texts[1]) if len(texts) > 1 else texts[0]
