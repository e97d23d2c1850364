"""A flat piece cut along seams into parts that are pieces of their own."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeGuard

import shapely

from geometry.cutouts import Cutout
from geometry.errors import FaultError, require
from geometry.frozen import frozen
from geometry.message import message
from geometry.plane import Region
from geometry.shapes import Outline, Shape, Slab
from geometry.split import Chord, split_region

LEAST_JOINT = 4.0
"""Widths of a seam, along which a part must lie to be joined at it."""


@frozen
class PlatePart:
    """One part of a cut piece, in the coordinates of the whole.

    joints  its seams, each as far as it runs along this part, m
    """

    shape: Outline
    joints: tuple[Chord, ...]


def can_be_cut(shape: Shape) -> TypeGuard[Slab | Outline]:
    """Whether a shape is a flat piece of even thickness, which seams may cut."""
    if isinstance(shape, Slab):
        return shape.taper is None and not shape.has_edge_work
    return isinstance(shape, Outline) and shape.wall_m is None and not shape.has_edge_work


def footprint(shape: Slab | Outline) -> Region:
    """The plan of a flat piece with its holes, without cut-outs."""
    return Region.rectangle(shape.length_m, shape.width_m) if isinstance(shape, Slab) else shape.region


def cut_shape(shape: Shape, seams: Sequence[Chord], width_m: float) -> list[PlatePart]:
    """The parts of a flat piece between seams, from left to right, and from front to back where they begin alike.

    seams     from edge to edge, in the piece's own plan, m
    width_m   of a seam

    Raises FaultError for a shape that seams cannot cut, and for a seam that cannot be.
    """
    if not can_be_cut(shape):
        raise FaultError("seams", message("seam-no-plate"))
    regions = split_region(footprint(shape), seams, width_m)
    for number, (start, end) in enumerate(seams):
        line = shapely.LineString([start, end])
        for cutout in shape.cutouts:
            opening = cutout.outline("cutouts").polygon()
            require(line.distance(opening) > width_m / 2.0, f"seams[{number}]", message("seam-through-opening"))
    return [_part(shape, region, seams, width_m) for region in regions]


def _part(shape: Slab | Outline, region: Region, seams: Sequence[Chord], width_m: float) -> PlatePart:
    outline = Outline(region, shape.thickness_m, cutouts=_within(shape.cutouts, region))
    reach = region.polygon().buffer(width_m + 1e-6)
    joints = []
    for start, end in seams:
        along = [
            part
            for part in shapely.get_parts(shapely.LineString([start, end]).intersection(reach))
            if part.geom_type == "LineString" and part.length > LEAST_JOINT * width_m + 1e-6
        ]
        joints += [(line.coords[0], line.coords[-1]) for line in along]
    return PlatePart(outline, tuple(joints))


def _within(cutouts: Sequence[Cutout], region: Region) -> tuple[Cutout, ...]:
    own = Region(region.outer).polygon()
    boxes = [cutout.bounds for cutout in cutouts]
    return tuple(
        cutout
        for cutout, (x0, y0, x1, y1) in zip(cutouts, boxes, strict=True)
        if own.contains(shapely.Point((x0 + x1) / 2.0, (y0 + y1) / 2.0))
    )
