"""Closed outlines nested into regions: the outermost is material, those right inside it are holes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from geometry.arcs import STRAIGHT_BULGE, arc_extremes, edge_integrals, edge_lengths, flatten
from geometry.arrays import Floats, Ints
from geometry.errors import FaultError
from geometry.message import Message, few, message
from geometry.plane import Region, Ring, fault_of
from geometry.readers.sheet import Lines, Place

FLAT = 1e-12
"""An outline whose area is below this part of its length squared encloses nothing."""

ALONG = 0.01
"""A hole may touch the outline around it, but not over more than this part of its own length."""


@dataclass(frozen=True, eq=False)
class Nested:
    """Regions in meters, ordered left to right, then bottom up, and what was left out."""

    regions: tuple[Region, ...]
    problems: tuple[Message, ...]


def nested(outlines: Lines, gap: float, chord: float, place: Place) -> Nested:
    """Check closed outlines and nest them.

    outlines  in the drawing's unit
    gap       outlines that agree within this are one drawn twice; those that overlap by no more only touch
    chord     arcs are looked at as straight lines within this

    What lies inside a hole (a bowl line, a drain) is left out and named: it is no material.
    Raises FaultError for outlines that cross or touch themselves, cross each other, or run along each other.
    """
    problems: list[Message] = []
    outlines, polygons, flat = _with_width(outlines, chord)
    if flat.size:
        problems.append(message("note-outlines-flat", count=len(flat), place=place.at(flat[0])))
    _refuse_invalid(polygons, place)
    inner, outer, repeated = _containment(polygons, gap, place)
    if repeated.any():
        at = place.at(outlines.points[outlines.offsets[:-1][repeated][0]])
        problems.append(message("note-outlines-twice", count=int(repeated.sum()), place=at))
    depth = np.bincount(inner, minlength=len(outlines))
    deeper = np.nonzero((depth > 1) & ~repeated)[0]
    if deeper.size:
        places = [place.at(outlines.points[at]) for at in outlines.offsets[:-1][deeper].tolist()]
        problems.append(message("note-islands", count=len(deeper), places=few(places, 3)))
    regions = _regions(_rings(outlines, place.unit_m), inner, outer, repeated)
    if deeper.size and len(regions) == 1:
        problems.append(message("note-border"))
    return Nested(regions, tuple(problems))


def _with_width(outlines: Lines, chord: float) -> tuple[Lines, NDArray[np.object_], Floats]:
    """The outlines that enclose something, their polygons, and a point (m, 2) of each of the others."""
    still = (outlines.points == outlines.points[outlines.successors]).all(axis=1)
    if still.any():
        outlines = outlines.without_points(still)
    curved = np.bincount(
        outlines.line_of_point, np.abs(outlines.bulges) > STRAIGHT_BULGE, minlength=len(outlines)
    ).astype(bool)
    wide = curved | (np.diff(outlines.offsets) >= 3)
    flat = outlines.points[outlines.offsets[:-1][~wide]]
    outlines = outlines.chosen(wide)
    polygons = _polygons(outlines, chord)
    thin = np.abs(shapely.area(polygons)) <= FLAT * shapely.length(polygons) ** 2
    thin[thin] = shapely.area(shapely.convex_hull(polygons[thin])) <= FLAT * shapely.length(polygons[thin]) ** 2
    if thin.any():
        flat = np.concatenate([flat, outlines.points[outlines.offsets[:-1][thin]]])
        outlines, polygons = outlines.chosen(~thin), polygons[~thin]
    return outlines, polygons, flat


def _polygons(outlines: Lines, chord: float) -> NDArray[np.object_]:
    """Each outline as a filled polygon, its arcs as straight lines that keep its area."""
    points, edges = flatten(outlines.points, outlines.points[outlines.successors], outlines.bulges, chord)
    rings: NDArray[np.object_] = shapely.linearrings(points, indices=outlines.line_of_point[edges])
    polygons: NDArray[np.object_] = shapely.polygons(rings)
    return polygons


def _refuse_invalid(polygons: NDArray[np.object_], place: Place) -> None:
    wrong = polygons[~shapely.is_valid(polygons)]
    if not len(wrong):
        return
    fault, x, y = fault_of(wrong[0])
    at = place.at(np.array([x, y]))
    raise FaultError("", message("outlines-invalid", fault=fault, place=at, more=len(wrong) - 1))


def _containment(polygons: NDArray[np.object_], gap: float, place: Place) -> tuple[Ints, Ints, NDArray[np.bool_]]:
    """Which outline lies inside which: pairs inner, outer (m,); and a mask (k,) of outlines drawn a second time."""
    repeated = np.zeros(len(polygons), dtype=bool)
    first, second = shapely.STRtree(polygons).query(polygons, predicate="intersects")
    once = first < second
    first, second = first[once], second[once]
    areas = shapely.area(polygons)
    swap = areas[first] > areas[second]
    inner, outer = np.where(swap, second, first), np.where(swap, first, second)
    shapely.prepare(polygons[np.unique(outer)])
    inside = shapely.contains_properly(polygons[outer], polygons[inner])
    # One drawn a hair inside the other is the same outline twice, not a ring without width.
    inside &= areas[outer] - areas[inner] > gap * shapely.length(polygons[inner])
    for i, j in zip(inner[~inside].tolist(), outer[~inside].tolist(), strict=True):
        if repeated[i] or repeated[j]:
            continue
        slack = gap * polygons[i].length
        shared = shapely.intersection(polygons[i], polygons[j]).area
        if shared <= slack:
            continue
        if areas[i] - shared > slack:
            _refuse_contact("crosses", polygons[i], polygons[j], place)
        if areas[j] - shared <= slack:
            repeated[max(i, j)] = True
        elif _contact(polygons[i], polygons[j], gap) > ALONG * polygons[i].length:
            _refuse_contact("along", polygons[i], polygons[j], place)
        else:
            inside |= (inner == i) & (outer == j)
    inside &= ~(repeated[inner] | repeated[outer])
    return inner[inside], outer[inside], repeated


def _contact(one: shapely.Polygon, other: shapely.Polygon, gap: float) -> float:
    """Length over which the edge of one runs on that of the other."""
    return float(shapely.intersection(one.boundary, other.boundary.buffer(1e-3 * gap)).length)


def _refuse_contact(how: str, one: shapely.Polygon, other: shapely.Polygon, place: Place) -> None:
    common = shapely.get_coordinates(shapely.intersection(one.boundary, other.boundary))
    if not len(common):
        common = shapely.get_coordinates(one.representative_point())
    raise FaultError("", message("outlines-touch", how=how, place=place.at(common[0])))


def _rings(outlines: Lines, unit_m: float) -> list[Ring]:
    """Every outline in meters, its area, length and bounds already known from one pass over all."""
    if not len(outlines):
        return []
    points, bulges = outlines.points * unit_m, outlines.bulges
    points.flags.writeable = bulges.flags.writeable = False
    first = outlines.offsets[:-1]
    start, end = points, points[outlines.successors]
    origin = points[first][outlines.line_of_point]
    about_start = np.add.reduceat(edge_integrals(start - origin, end - origin, bulges), first)
    areas = about_start[:, 0].tolist()
    lengths = np.add.reduceat(edge_lengths(start, end, bulges), first).tolist()
    low, high = np.minimum.reduceat(points, first), np.maximum.reduceat(points, first)
    extremes, edges = arc_extremes(start, end, bulges)
    np.minimum.at(low, outlines.line_of_point[edges], extremes)
    np.maximum.at(high, outlines.line_of_point[edges], extremes)
    bounds = [tuple(box) for box in np.concatenate([low, high], axis=1).tolist()]
    curved = np.add.reduceat(np.abs(bulges) > STRAIGHT_BULGE, first, dtype=np.intp).tolist()
    cuts = outlines.offsets.tolist()
    return [
        Ring._made(
            points[cuts[i] : cuts[i + 1]],
            bulges[cuts[i] : cuts[i + 1]] if curved[i] else None,
            _about_start=about_start[i],
            signed_area_m2=areas[i],
            perimeter_m=lengths[i],
            bounds=bounds[i],
        )
        for i in range(len(outlines))
    ]


def _regions(rings: list[Ring], inner: Ints, outer: Ints, repeated: NDArray[np.bool_]) -> tuple[Region, ...]:
    """The outermost rings, each with the rings right inside it as holes."""
    depth = np.bincount(inner, minlength=len(rings))
    holes: dict[int, list[Ring]] = {}
    direct = depth[inner] == 1
    for i, j in zip(inner[direct].tolist(), outer[direct].tolist(), strict=True):
        holes.setdefault(j, []).append(rings[i])
    pieces = np.nonzero((depth == 0) & ~repeated)[0].tolist()
    # Rounded, so that the last digit of an x does not upset the order of a column.
    pieces.sort(key=lambda number: (round(rings[number].bounds[0], 6), rings[number].bounds[1]))
    return tuple(Region._made(rings[number], tuple(holes.get(number, ()))) for number in pieces)
