"""Pieces glued together in the shop, which count as one for weight, balance, access and lifts from then on."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np

from estimator.errors import FaultError
from estimator.handling.plan import Handling, moves_by, plan_all
from estimator.job import Job, Piece
from estimator.mix import MixDesign
from estimator.takeoff import LayerTakeoff, PieceTakeoff
from estimator.weight import Weight, weigh_all
from geometry.arrays import Floats, Vector
from geometry.compound import Compound, Placed
from geometry.joinery import Pose
from geometry.solid import Moments, Solid, total

Part = tuple[PieceTakeoff, Weight, Handling]

CAST = ("strip", "turn")
"""Lifts before gluing."""


def assembled(parts: Sequence[Part], mixes: Mapping[str, MixDesign], job: Job) -> list[Part]:
    """Combine pieces of a job with the legs and splashes that are glued to them in the shop.

    Such a piece is stripped and flipped as cast. From transport on, its weight, balance, size and handling plan are
    those of the glued piece. Raises FaultError if the glued piece cannot be weighed or moved.
    """
    glued: dict[str, list[PieceTakeoff]] = {}
    for taken, _, _ in parts:
        if taken.piece.glued_in_shop:
            glued.setdefault(taken.piece.part_of, []).append(taken)
    if not glued:
        return list(parts)
    return [
        _assembled(part, glued[mark], mixes, job) if (mark := part[0].piece.mark) in glued else part for part in parts
    ]


def _assembled(part: Part, glued: Sequence[PieceTakeoff], mixes: Mapping[str, MixDesign], job: Job) -> Part:
    taken, weight, handling = part
    whole = _together(taken, glued)
    (heavy,) = weigh_all([whole], mixes, job.workshop)
    if isinstance(heavy, FaultError):
        raise heavy
    (plan,) = plan_all([whole], [heavy], job)
    if isinstance(plan, FaultError):
        raise plan
    cast = {lift.name: lift for lift in handling.lifts if lift.name in CAST}
    lifts = tuple(cast.get(lift.name, lift) for lift in plan.lifts)
    loads = {load.stage: load for load in handling.lifting.loads if load.stage in CAST}
    lifting = replace(plan.lifting, loads=tuple(loads.get(load.stage, load) for load in plan.lifting.loads))
    centers = dict(heavy.centers_m)
    centers["fresh"], centers["demould"] = weight.centers_m["fresh"], weight.centers_m["demould"]
    return (
        taken,
        replace(
            heavy,
            fresh=weight.fresh,
            demould=weight.demould,
            boards_kg=weight.boards_kg,
            layers_kg=weight.layers_kg,
            centers_m=centers,
            whole_from="transport",
        ),
        replace(plan, lifts=lifts, moves=moves_by(lifts), lifting=lifting),
    )


def _together(taken: PieceTakeoff, glued: Sequence[PieceTakeoff]) -> PieceTakeoff:
    """The glued piece as one takeoff. Its shape is not a plate, so no bending strength is assumed."""
    poses = [part.piece.pose for part in glued]
    layers = [*taken.layers, *(layer for part, pose in zip(glued, poses, strict=True) for layer in _stood(part, pose))]
    piece: Piece = replace(
        taken.piece,
        shape=Compound((Placed(taken.piece.shape),)),
        handling=replace(taken.piece.handling, picks=None),
    )
    area_m2 = taken.face_area_m2 + sum(part.face_area_m2 for part in glued)
    return PieceTakeoff(piece, _solid(taken, glued, poses), tuple(layers), area_m2, taken.plan)


def _stood(part: PieceTakeoff, pose: Pose | None) -> Iterator[LayerTakeoff]:
    """Yield the layers of a glued part in its position."""
    assert pose is not None
    for layer in part.layers:
        yield replace(layer, centroid_m=pose.place(layer.centroid_m))


def _solid(taken: PieceTakeoff, glued: Sequence[PieceTakeoff], poses: Sequence[Pose | None]) -> Solid:
    """Measures of the glued piece, exact except that surface area includes the glued faces."""
    own = taken.solid
    moments = [Moments.of_balance(own.volume_m3, own.centroid_m, own.inertia_m5)]
    corners = [_corners(own)]
    for part, pose in zip(glued, poses, strict=True):
        assert pose is not None
        solid = part.solid
        turn, at = np.array(pose.turn), np.array(pose.at_m)
        moments.append(Moments.of_balance(solid.volume_m3, solid.centroid_m, solid.inertia_m5).mapped(turn, at))
        corners.append(_corners(solid) @ turn.T + at)
    whole, points = total(moments), np.concatenate(corners)
    low, high = points.min(axis=0), points.max(axis=0)
    return replace(
        own,
        volume_m3=whole.volume_m3,
        surface_area_m2=own.surface_area_m2 + sum(part.solid.surface_area_m2 for part in glued),
        centroid_m=whole.centroid_m,
        size_m=_vector(high - low),
        lowest_m=_vector(low),
        inertia_m5=whole.inertia_m5,
    )


def _corners(solid: Solid) -> Floats:
    """Corners (8, 3) of a solid's bounding box."""
    low, size = np.array(solid.lowest_m), np.array(solid.size_m)
    steps = np.array([(x, y, z) for x in (0.0, 1.0) for y in (0.0, 1.0) for z in (0.0, 1.0)])
    corners: Floats = low + steps * size
    return corners


def _vector(values: Floats) -> Vector:
    x, y, z = values.tolist()
    return x, y, z
