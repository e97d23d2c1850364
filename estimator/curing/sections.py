"""How thick a piece is: the largest sphere inside rules its heat, its thinnest section its cold and its drying."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from estimator.takeoff import PieceTakeoff, own_thickness_m
from geometry import shapes
from geometry.inscribed import Inscribed, largest_sphere
from geometry.solid import Solid, measure


@dataclass(frozen=True, slots=True)
class Thickness:
    """A section of a piece; `estimated` where the shape names no thickness there."""

    name: str
    thickness_m: float
    estimated: bool = False


@dataclass(frozen=True, slots=True)
class Sections:
    """The two sections of a piece that rule its curing.

    thickest   as thick as the largest sphere inside, since a lump or an inside corner is hotter than any leg of it
    """

    thickest: Thickness
    thinnest: Thickness


def sections_of(taken: PieceTakeoff) -> Sections:
    """The section that rules heat and the thinnest section of a piece, or what its `cure` says.

    Heat goes by the largest sphere inside the concrete. The thinnest is the least that the shape names; a solid that
    names none counts as 2 · volume / surface, the notional size of EN 1992-1-1, 3.1.4, and is marked.
    """
    found = [Thickness(name, t, guess) for name, t, guess in _named(taken.piece.shape, taken.solid)]
    sphere = _sphere(taken.piece.shape)
    thickest = Thickness("largest sphere inside", sphere.diameter_m, sphere.estimated)
    thinnest = min(found, key=lambda each: each.thickness_m)
    own = taken.piece.cure
    if own.thickest_m is not None:
        thickest = Thickness("thickest, as the job says", own.thickest_m)
    if own.thinnest_m is not None:
        thinnest = Thickness("thinnest, as the job says", own.thinnest_m)
    if thinnest.estimated and own.thickest_m is not None:
        thinnest = thickest if thinnest.thickness_m > thickest.thickness_m else thinnest
    return Sections(thickest, min(thinnest, thickest, key=lambda each: each.thickness_m))


@lru_cache(maxsize=256)  # of many pieces of one shape, and of the alternatives of a job
def _sphere(shape: shapes.Shape) -> Inscribed:
    return largest_sphere(shape, measure(shape))


def layer_depths(taken: PieceTakeoff, thickness_m: float) -> tuple[tuple[str, float], ...]:
    """The mixes through a section of this thickness and how deep each is, m; the last takes whatever lies deeper."""
    layers = taken.piece.layers
    own_m = own_thickness_m(taken.piece.shape)
    given_m = sum(layer.thickness_m or 0.0 for layer in layers)
    left_m, depths = thickness_m, []
    for i, layer in enumerate(layers):
        depth_m = layer.thickness_m
        if depth_m is None:
            depth_m = left_m if own_m is None else max(0.0, own_m - given_m)
        if i == len(layers) - 1:
            depth_m = left_m
        depth_m = min(depth_m, left_m)
        left_m -= depth_m
        if depth_m > 0.0:
            depths.append((layer.mix, depth_m))
    return tuple(depths)


def _named(shape: shapes.Shape, solid: Solid) -> Iterator[tuple[str, float, bool]]:
    """Each section of a shape: name, thickness, and whether that is estimated."""
    match shape:
        case shapes.Slab():
            yield "slab", shape.thickness_m, False
            if shape.taper is not None:
                yield "far end of the taper", shape.taper.thickness_m, False
            for drop in shape.drop_edges:
                yield "turned-down edge", min(drop.thickness_m, drop.height_m), False
            yield from _rims(shape.cutouts)
        case shapes.Outline():
            yield ("slab", shape.thickness_m, False) if shape.wall_m is None else ("wall", shape.wall_m, False)
            yield from _rims(shape.cutouts)
        case shapes.Panel():
            yield "skin", shape.skin_m, False
            for each in shape.returns:
                yield "return", each.thickness_m, False
            if shape.ribs is not None:
                yield "rib", min(shape.ribs.width_m, shape.ribs.depth_m), False
            for opening in shape.openings:
                if opening.thickness_m is not None:
                    yield "return of an opening", opening.thickness_m, False
        case shapes.Box():
            yield "wall", shape.wall_m, False
            yield "base", shape.base_m, False
        case shapes.Compound():
            named = [each for part in shape.add for each in _named(part.shape, solid)]
            yield from (each for each in named if not each[2])
            if any(guess for _, _, guess in named):
                yield "body", _notional_m(solid), True
        case _:
            if shape.wall_m is not None:
                yield "wall", shape.wall_m, False
            else:
                yield "body", _notional_m(solid), True


def _rims(cutouts: tuple[shapes.Cutout, ...]) -> Iterator[tuple[str, float, bool]]:
    for cutout in cutouts:
        if cutout.rim_thickness_m is not None:
            yield "rim of a cut-out", cutout.rim_thickness_m, False


def _notional_m(solid: Solid) -> float:
    return 2.0 * solid.volume_m3 / solid.surface_area_m2
