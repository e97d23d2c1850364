"""Parts of a piece: the pieces between its seams, and the legs and splashes glued to it.

Seams cut a piece into parts (C1a, C1b) that replace it, each with its share of the inserts and consumables. The legs
of its waterfalls (C1-W1) and its splashes (C1-S1) are glued to it and listed after it. Each is a piece like any other,
with a form, weights and papers of its own. From the piece it inherits mix and layers, finish, color, quantity, pour,
waste and cure, unless it has its own.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace
from functools import lru_cache
from string import ascii_lowercase

import shapely

from estimator.catalog import catalog
from estimator.errors import FaultError
from estimator.job import Attachment, HandlingPreferences, Insert, Layer, Piece, SeamLine
from estimator.supplies import Taken
from geometry.joinery import Pose, splash_strips, waterfall_legs
from geometry.message import message
from geometry.parts import PlatePart, can_be_cut, cut_shape, edges_on_part, footprint
from geometry.plan_edges import Edge, Side
from geometry.shapes import EdgedShape, Outline, Shape, Slab
from geometry.solid import ROUNDED_M
from geometry.split import Chord, chords_at

MOST_PARTS = len(ascii_lowercase)


def cut_piece(piece: Piece, seams: Sequence[Chord], width_m: float, through: Collection[int] = ()) -> tuple[Piece, ...]:
    """The parts of a piece between seams, marked C1a, C1b and so on; the piece itself where there are no seams.

    through   numbers of the seams that may run through openings

    A part keeps the layers of the whole, the cut-outs that it holds, and its inserts: one with a place goes to the
    part that holds this place, any other is shared by area, as is what the piece takes of consumables.

    Raises FaultError for a piece that seams cannot cut, and for a seam that cannot be.
    """
    if not seams:
        return (piece,)
    parts = cut_shape(piece.shape, seams, width_m, through)
    if len(parts) > MOST_PARTS:
        raise FaultError("seams", message("seam-too-many", parts=len(parts), most=MOST_PARTS))
    areas = [part.shape.region.area_m2 for part in parts]
    homes = [_home(insert, parts) for insert in piece.inserts]
    return tuple(
        _part(piece, part, number, area / sum(areas), homes)
        for number, (part, area) in enumerate(zip(parts, areas, strict=True))
    )


def chords_of(piece: Piece, seams: Sequence[SeamLine]) -> list[Chord]:
    """Seams of a flat piece from edge to edge, in its plan, m.

    Raises FaultError for a shape that seams cannot cut, and for a seam at an x or a y that does not cross the piece
    exactly once.
    """
    if seams and not can_be_cut(piece.shape):
        raise FaultError("seams", message("seam-no-plate"))
    return [_chord(piece, seam, f"seams[{number}]") for number, seam in enumerate(seams)]


def _chord(piece: Piece, seam: SeamLine, key: str) -> Chord:
    assert can_be_cut(piece.shape)
    if seam.from_m is not None and seam.to_m is not None:
        return seam.from_m, seam.to_m
    axis, place_m = (0, seam.x_m) if seam.x_m is not None else (1, seam.y_m)
    assert place_m is not None
    chords = chords_at(footprint(piece.shape), axis, place_m)
    if not chords:
        bounds_m = footprint(piece.shape).outer.bounds
        raise FaultError(key, message("seam-beside", from_m=bounds_m[axis], to_m=bounds_m[axis + 2]))
    if len(chords) > 1:
        raise FaultError(key, message("seam-several"))
    return chords[0]


def _home(insert: Insert, parts: Sequence[PlatePart]) -> int | None:
    """Number of the part that contains an insert; None for an insert without a place."""
    if insert.at_m is None:
        return None
    point = shapely.Point(insert.at_m[:2])
    return min(range(len(parts)), key=lambda number: parts[number].shape.region.polygon().distance(point))


def _part(piece: Piece, part: PlatePart, number: int, share: float, homes: Sequence[int | None]) -> Piece:
    inserts = tuple(
        insert if home == number else _shared(insert, share)
        for insert, home in zip(piece.inserts, homes, strict=True)
        if home in (number, None)
    )
    return replace(
        piece,
        mark=f"{piece.mark}{ascii_lowercase[number]}",
        shape=part.shape,
        inserts=inserts,
        handling=_own_picks(piece.handling, part),
        in_place=replace(piece.in_place, anchors_m=None, anchor_height_m=None),
        takes=tuple(_shared_taken(taken, share) for taken in piece.takes),
        note=piece.note if number == 0 else "",
        part="seam",
        part_of=piece.mark,
        joints_m=part.joints,
        attached=(),
    )


def _shared(insert: Insert, share: float) -> Insert:
    return replace(insert, mass_kg=insert.mass_kg * share, displaces_m3=insert.displaces_m3 * share)


def _shared_taken(taken: Taken, share: float) -> Taken:
    return taken if taken.amount is None else replace(taken, amount=taken.amount * share)


def _own_picks(handling: HandlingPreferences, part: PlatePart) -> HandlingPreferences:
    """The preferences with the picks that lie on this part; without picks if fewer than two do."""
    if handling.picks is None:
        return handling
    plan = part.shape.region.polygon()
    inside = tuple(at for at in handling.picks.at_m if plan.contains(shapely.Point(at)))
    return replace(handling, picks=replace(handling.picks, at_m=inside) if len(inside) > 1 else None)


# Glued parts ---------------------------------------------------------------------------------------------------

LETTERS = {"leg": "W", "splash": "S"}


def glued_pieces(piece: Piece, language: str, cut: Sequence[Piece] = ()) -> list[Piece]:
    """The legs of a piece's waterfalls and the strips of its splashes.

    language  of the papers, for their names
    cut       the parts of the piece between seams, which have those of their own edges

    Raises FaultError for edges that cannot have them, and for what the shop would glue to two parts.
    """
    parts: list[Piece] = []
    for glued in piece.attached:
        key = f"shape.{glued.key}"
        legs = [other for other in piece.attached if other is not glued and "leg" == other.part == glued.part]
        own = [
            (host, *solid)
            for host, edges in _hosts(piece, glued, cut, key)
            for solid in _solids(host, replace(glued, edges=edges), _beside(piece, host, legs), key)
        ]
        for number, (host, solid, pose) in enumerate(own, start=1):
            before = sum(part.part == glued.part and part.part_of == host.mark for part in parts)
            mark = f"{host.mark}-{LETTERS[glued.part]}{before + 1}"
            if glued.mark is not None:
                mark = glued.mark if len(own) == 1 else f"{glued.mark}-{number}"
            parts.append(replace(_glued(piece, glued, mark, solid, language), part_of=host.mark, pose=pose))
    return parts


def _hosts(piece: Piece, glued: Attachment, cut: Sequence[Piece], key: str) -> Iterator[tuple[Piece, tuple[Edge, ...]]]:
    """Yield the pieces that are glued to, and their edges: the whole piece, or each part with a stretch of an edge."""
    on_parts = []
    if len(cut) > 1 and (glued.at_seams == "cut" or glued.glued == "shop"):
        assert can_be_cut(piece.shape)
        for part in cut:
            assert isinstance(part.shape, Outline)
            edges = edges_on_part(piece.shape, part.shape, glued.edges, f"{key}.edges")
            if edges:
                on_parts.append((part, edges))
    if glued.at_seams == "whole" and len(on_parts) > 1:
        marks = [part.mark for part, _ in on_parts]
        raise FaultError(f"{key}.at_seams", message("glued-over-seam", marks=marks))
    yield from on_parts or [(piece, glued.edges)]


def _beside(piece: Piece, host: Piece, legs: Sequence[Attachment]) -> list[tuple[tuple[Edge, ...], float]]:
    """(edges, height) of the other waterfalls, with the edges numbered as on the piece or part `host`."""
    if host is piece:
        return [(leg.edges, leg.height_m) for leg in legs]
    assert can_be_cut(piece.shape)
    assert isinstance(host.shape, Outline)
    own = [(edges_on_part(piece.shape, host.shape, leg.edges, f"{leg.key}.edges"), leg.height_m) for leg in legs]
    return [(edges, height_m) for edges, height_m in own if edges]


def _solids(
    host: Piece, glued: Attachment, legs: Sequence[tuple[tuple[Edge, ...], float]], key: str
) -> Iterator[tuple[Shape, Pose]]:
    """The solids that are glued to a piece, and where they stand; their ends at a seam meet the next one, unseen.

    legs  edges and heights of other waterfalls of the piece
    """
    shape = host.shape
    assert isinstance(shape, EdgedShape)
    solids = _along_edges(shape, glued, tuple(legs), key)
    joints = shapely.MultiLineString([list(joint) for joint in host.joints_m])
    for solid, pose in solids:
        if isinstance(solid, Slab) and host.joints_m:
            ends: dict[Side, float] = {"left": 0.0, "right": solid.length_m}
            at = {side: shapely.Point(pose.place((x_m, 0.0, 0.0))[:2]) for side, x_m in ends.items()}
            hidden = [side for side, point in at.items() if joints.distance(point) <= AT_SEAM_M]
            solid = replace(solid, raw_edges=(*solid.raw_edges, *hidden))
        yield solid, pose


@lru_cache(maxsize=512)  # the same in every estimate of a job, whatever else of it changed
def _along_edges(
    shape: EdgedShape, glued: Attachment, legs: tuple[tuple[tuple[Edge, ...], float], ...], key: str
) -> Sequence[tuple[Shape, Pose]]:
    if glued.part == "leg":
        return waterfall_legs(shape, glued.edges, glued.height_m, key, legs)
    return splash_strips(shape, glued.edges, glued.height_m, glued.thickness_m, key)


AT_SEAM_M = 0.005
"""An end within this distance of a seam meets it. Seams are narrower."""


def _glued(piece: Piece, glued: Attachment, mark: str, shape: Shape, language: str) -> Piece:
    """A leg or a strip as a piece, with the properties that it inherits from the piece."""
    is_splash = glued.part == "splash"
    return replace(
        piece,
        mark=mark,
        use="splash" if is_splash else piece.use,
        part=glued.part,
        glued=glued.glued,
        shape=shape,
        nominal_thickness_m=shape.nominal_thickness_m,
        layers=_filling(piece.layers, glued.thickness_m) if is_splash else piece.layers,
        inserts=(),
        takes=(),
        risk=None,
        handling=HandlingPreferences(),
        in_place=replace(piece.in_place, overhang_m=None, hung=None, anchors_m=None, anchor_height_m=None),
        description=catalog(language).text(f"part-{glued.part}", {"piece": piece.description or piece.mark}),
        note="",
        attached=(),
    )


def _filling(layers: tuple[Layer, ...], thickness_m: float) -> tuple[Layer, ...]:
    """Layers for a part of another thickness: if theirs does not match it, the innermost fills the rest."""
    known_m = [layer.thickness_m for layer in layers]
    if None in known_m or abs(sum(known for known in known_m if known is not None) - thickness_m) <= ROUNDED_M:
        return layers
    return (*layers[:-1], replace(layers[-1], thickness_m=None))
