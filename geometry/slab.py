"""Slabs: counters and other flat rectangular pieces with cut-outs, drops, rims, worked edges and taper.

Everything is told by slices at depths below the top; see `geometry.relief`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import hypot, sqrt
from typing import Literal, get_args

import numpy as np
import shapely

from geometry.checks import mm, require, require_dimensions, require_positive
from geometry.cutouts import is_curved_unevenly, outlines_of, overlap_notes
from geometry.layers import joint_depths, parts_of
from geometry.moments import Moments
from geometry.plan import NEAR, Plan, fine_polygon, united
from geometry.plane import Region
from geometry.relief import Faces, Flat, Slope, Strip, Zone, all_flats, deeper_than, moments_of
from geometry.shapes import EdgeProfile, Side, Slab
from geometry.solid import LayerPart, Solid

SIDES: tuple[Side, ...] = get_args(Side)

STEPS = 16
"""Upright steps that stand for a worked edge where layers are measured from it."""


@dataclass(frozen=True, slots=True, eq=False)
class SlabBody:
    """A slab whose dimensions were found possible.

    slab       as given
    openings   outline of each cut-out
    under      what hangs below the plate: areas in plan with their depth from the top
    full       the plan of the whole piece seen from above
    zones      slices from the top down
    """

    slab: Slab
    openings: tuple[Region, ...]
    under: tuple[tuple[shapely.Geometry, float], ...]
    full: Plan
    zones: tuple[Zone, ...]

    @property
    def height_m(self) -> float:
        return self.zones[-1].end_m

    def to_axes(self, by_depth: Moments) -> Moments:
        """Integrals by depth turned into the shape's own axes, z up from the lowest point."""
        return by_depth.mapped(np.diag([1.0, 1.0, -1.0]), (0.0, 0.0, self.height_m))

    def faces(self, which: Literal["form", "all"]) -> Faces:
        """The faces from which layers are measured."""
        slab = self.slab
        fixed = [shapely.boundary(fine_polygon(opening)) for opening in self.openings]
        if which == "all":
            fixed += [shapely.boundary(area) for area, _ in self.under]
        strips = []
        for zone in self.zones:
            if not _is_worked(slab, zone.middle_m):
                lines = united([*fixed, shapely.boundary(_plate(slab, zone.middle_m))])
                strips.append(Strip(zone.at(zone.start_m).edges_along(lines), zone.start_m, zone.end_m))
                continue
            strips.append(Strip(zone.at(zone.start_m).edges_along(united(fixed)), zone.start_m, zone.end_m))
            for start, end in _steps(zone):
                lines = shapely.boundary(_plate(slab, (start + end) / 2))
                strips.append(Strip(zone.at((start + end) / 2).edges_along(lines), start, end, step=True))
        if which == "form":
            return Faces(tuple(strips), (Flat(self.zones[0].at(0.0).polygon, 0.0),))
        return Faces(tuple(strips), all_flats(self.zones), _slopes(slab))


def slab_body(slab: Slab) -> SlabBody:
    """The slab's slices. Raises GeometryError for dimensions that cannot be built."""
    _refuse_plate(slab)
    rectangle = shapely.box(0.0, 0.0, slab.length_m, slab.width_m)
    openings = outlines_of(slab.cutouts, rectangle)
    under = (*_drops(slab), *_rims(slab, openings, rectangle))
    height = max(slab.thickness_m, _thinnest_and_thickest(slab)[1], *(depth for _, depth in under), 0.0)
    for i, cutout in enumerate(slab.cutouts):
        require(
            cutout.depth_m is None or cutout.depth_m <= height * (1 + NEAR),
            f"is {mm(cutout.depth_m or 0)}, deeper than the piece ({mm(height)}).",
            "Leave it out to finish the whole edge.",
            f"cutouts[{i}].depth",
        )

    def at(depth: float) -> Plan:
        below = united(area for area, deepest in under if deepest > depth)
        plan = Plan(united([_plate_left(slab, depth), shapely.intersection(below, _plate(slab, depth))]))
        for opening in openings:
            plan = plan.less(opening)
        return plan

    marks = {0.0, slab.thickness_m, *_thinnest_and_thickest(slab), height, *(depth for _, depth in under)}
    marks |= {profile.size_m for profile in slab.edge_profiles}
    marks |= {cutout.depth_m for cutout in slab.cutouts if cutout.depth_m is not None}
    marks |= _taper_marks(slab, openings, under)
    zones = []
    for start, end in pairwise(sorted(marks)):
        if end - start > NEAR * height:
            zones.append(_zone(slab, start, end, at))
    full = Plan(rectangle)
    for opening in openings:
        full = full.less(opening)
    return SlabBody(slab, openings, under, full, tuple(zones))


def measure_slab(slab: Slab) -> Solid:
    """The measure of a slab. Raises GeometryError for dimensions that cannot be built."""
    body = slab_body(slab)
    moments = body.to_axes(moments_of(body.zones))
    outer = cut = finished_cut = inner = 0.0
    exact = not is_curved_unevenly(slab.cutouts)
    for zone in body.zones:
        for depth, share, plan in zone.slices():
            sides = {side: plan.length_along(_side_line(slab, side, depth)) for side in SIDES}
            edges = [plan.length_of(opening) for opening in body.openings]
            outer += share * sum(length * _stretch(slab, side, depth) for side, length in sides.items())
            cut += share * sum(edges)
            finished_cut += share * sum(
                length
                for length, cutout in zip(edges, slab.cutouts, strict=True)
                if cutout.edge == "finished" and depth < (cutout.depth_m or body.height_m)
            )
            moving = plan.length_along(_taper_line(slab, depth))
            inner += share * max(plan.perimeter_m - sum(sides.values()) - sum(edges) - moving, 0.0)
            exact = exact and plan.exact
    top = body.zones[0].at(0.0).area_m2
    hanging = united([area for area, _ in body.under])
    sloping = shapely.difference(body.full.polygon, hanging).area if slab.taper else 0.0
    underside = body.full.area_m2 + sloping * (_steepness(slab) - 1.0)
    return Solid(
        volume_m3=moments.volume_m3,
        surface_area_m2=top + underside + outer + cut + inner,
        form_area_m2=top + outer + cut,
        finished_area_m2=top + outer + finished_cut,
        edge_lengths_m=_edge_lengths(body),
        centroid_m=moments.centroid_m,
        size_m=(slab.length_m, slab.width_m, body.height_m),
        lowest_m=(0.0, 0.0, 0.0),
        inertia_m5=moments.inertia_m5,
        tolerance=0.0 if exact else 1e-6,
        notes=overlap_notes(body.openings),
    )


def slab_layers(
    slab: Slab, thicknesses_m: Sequence[float | None], faces: Literal["form", "all"]
) -> tuple[LayerPart, ...]:
    """The layers of a slab. See `geometry.solid.layer_parts`."""
    body, measured = slab_body(slab), measure_slab(slab)
    joints = joint_depths(thicknesses_m, slab.thickness_m if slab.taper is None else None)
    from_faces = body.faces(faces)
    return parts_of(
        body.to_axes(moments_of(body.zones)),
        lambda joint: body.to_axes(deeper_than(body.zones, from_faces, joint)),
        joints,
        measured.form_area_m2 if faces == "form" else measured.surface_area_m2,
        measured.centroid_m,
    )


def _edge_lengths(body: SlabBody) -> dict[str, float]:
    slab, full = body.slab, body.full
    lines = {side: full.length_along(_side_line(slab, side, slab.thickness_m)) for side in SIDES}
    edges = [full.length_of(opening) for opening in body.openings]
    seen = sum(e for e, cutout in zip(edges, slab.cutouts, strict=True) if cutout.edge == "finished")
    dropped = {side for drop in slab.drop_edges for side in drop.sides}
    worked = {side for profile in slab.edge_profiles for side in profile.sides}
    return {
        "outer": sum(lines.values()),
        "cutouts": sum(edges),
        "finished_cutouts": seen,
        "drops": sum(lines[side] for side in dropped),
        "profiled": sum(lines[side] for side in worked),
    }


# Dimensions that cannot be built


def _refuse_plate(slab: Slab) -> None:
    require_dimensions(length=slab.length_m, width=slab.width_m, thickness=slab.thickness_m)
    if slab.taper is not None:
        require_positive(slab.taper.thickness_m, "taper.thickness")
        require(slab.taper.to in SIDES, f"{slab.taper.to!r} is no side.", f"Choose {_names()}.", "taper.to")
    thin, thick = _thinnest_and_thickest(slab)
    for i, drop in enumerate(slab.drop_edges):
        key = f"drop_edges[{i}]"
        require_dimensions(**{f"{key}.height": drop.height_m, f"{key}.thickness": drop.thickness_m})
        _refuse_sides(drop.sides, f"{key}.sides")
        require(
            drop.height_m >= thick * (1 - NEAR),
            f"is {mm(drop.height_m)}, less than the slab's thickness of {mm(thick)}.",
            "The height of a drop is measured from the top of the slab.",
            f"{key}.height",
        )
        for side in drop.sides:
            across = _across(slab, side)
            require(
                drop.thickness_m <= across,
                f"is {mm(drop.thickness_m)}, more than the slab's {mm(across)} there.",
                "A drop stands inside length × width.",
                f"{key}.thickness",
            )
    insets = dict.fromkeys(SIDES, 0.0)
    for i, profile in enumerate(slab.edge_profiles):
        key = f"edge_profiles[{i}]"
        require_positive(profile.size_m, f"{key}.size")
        _refuse_sides(profile.sides, f"{key}.sides")
        for side in profile.sides:
            require(insets[side] == 0, f"names {side} a second time.", "Give each side one profile.", f"{key}.sides")
            insets[side] = profile.size_m
        require(
            profile.size_m <= thin * (1 + NEAR),
            f"is {mm(profile.size_m)}, more than the edge's {mm(thin)}.",
            "A profile must fit the thickness of the slab.",
            f"{key}.size",
        )
        require(
            insets["left"] + insets["right"] < slab.length_m and insets["front"] + insets["back"] < slab.width_m,
            "leaves nothing of the top.",
            "Make the profile smaller.",
            f"{key}.size",
        )


def _refuse_sides(sides: tuple[Side, ...], key: str) -> None:
    require(bool(sides), "names no side.", f"Choose from {_names()}.", key)
    for side in sides:
        require(side in SIDES, f"{side!r} is no side.", f"Choose from {_names()}.", key)


def _names() -> str:
    return ", ".join(SIDES)


def _across(slab: Slab, side: Side) -> float:
    return slab.width_m if side in ("front", "back") else slab.length_m


# The plate and what hangs below it


def _drops(slab: Slab) -> list[tuple[shapely.Geometry, float]]:
    return [(_band(slab, side, drop.thickness_m), drop.height_m) for drop in slab.drop_edges for side in drop.sides]


def _band(slab: Slab, side: Side, thickness: float) -> shapely.Geometry:
    length, width = slab.length_m, slab.width_m
    return {
        "front": shapely.box(0, 0, length, thickness),
        "back": shapely.box(0, width - thickness, length, width),
        "left": shapely.box(0, 0, thickness, width),
        "right": shapely.box(length - thickness, 0, length, width),
    }[side]


def _rims(
    slab: Slab, openings: tuple[Region, ...], rectangle: shapely.Geometry
) -> list[tuple[shapely.Geometry, float]]:
    rims = []
    _, thick = _thinnest_and_thickest(slab)
    for i, (cutout, opening) in enumerate(zip(slab.cutouts, openings, strict=True)):
        if cutout.rim_thickness_m is None or cutout.rim_width_m is None:
            continue
        require(
            cutout.rim_thickness_m >= thick * (1 - NEAR),
            f"is {mm(cutout.rim_thickness_m)}, less than the slab's thickness of {mm(thick)}.",
            "It is measured from the top of the slab.",
            f"cutouts[{i}].rim_thickness",
        )
        grown = shapely.buffer(fine_polygon(opening), cutout.rim_width_m, join_style="mitre")
        rims.append((shapely.intersection(grown, rectangle), cutout.rim_thickness_m))
    return rims


def _zone(slab: Slab, start: float, end: float, at: Callable[[float], Plan]) -> Zone:
    middle = (start + end) / 2
    thin, thick = _thinnest_and_thickest(slab)
    if _is_worked(slab, middle) or thin < middle < thick:
        return Zone(start, end, at, varies=True)
    return Zone.steady(start, end, at(middle))


def _plate(slab: Slab, depth: float) -> shapely.Geometry:
    """The rectangle that the worked edges leave at a depth."""
    inset = {side: _inset(slab, side, depth) for side in SIDES}
    return shapely.box(
        inset["left"], inset["front"], slab.length_m - inset["right"], slab.width_m - inset["back"]
    )  # fmt: skip


def plate_bounds(slab: Slab, depth: float) -> tuple[float, float, float, float]:
    """x0, y0, x1, y1 of the rectangle that the worked edges leave at a depth."""
    x0, y0, x1, y1 = _plate(slab, depth).bounds
    return float(x0), float(y0), float(x1), float(y1)


def thickness_at_corners(slab: Slab) -> list[tuple[float, float, float]]:
    """x, y and thickness of the plate at its four corners."""
    corners = [(x, y) for x in (0.0, slab.length_m) for y in (0.0, slab.width_m)]
    if slab.taper is None:
        return [(x, y, slab.thickness_m) for x, y in corners]
    span, near, far = _taper_span(slab)
    along = 0 if slab.taper.to in ("left", "right") else 1
    return [(*corner, near + (far - near) * corner[along] / span) for corner in corners]


def _plate_left(slab: Slab, depth: float) -> shapely.Geometry:
    """The slice of the plate alone: nothing below its underside."""
    thin, thick = _thinnest_and_thickest(slab)
    if depth >= thick:
        return shapely.Polygon()
    plate = _plate(slab, depth)
    if slab.taper is None or depth <= thin:
        return plate
    return shapely.intersection(plate, _thicker_than(slab, depth))


# Worked edges


def _profile(slab: Slab, side: Side) -> EdgeProfile | None:
    return next((profile for profile in slab.edge_profiles if side in profile.sides), None)


def _inset(slab: Slab, side: Side, depth: float) -> float:
    """How far a worked edge stands back from the outer size at a depth."""
    profile = _profile(slab, side)
    if profile is None or depth >= profile.size_m:
        return 0.0
    size = profile.size_m
    match profile.kind:
        case "bevel":
            return size - depth
        case "round-over":
            return size - sqrt(size**2 - (size - depth) ** 2)
        case "cove":
            return sqrt(size**2 - depth**2)


def _stretch(slab: Slab, side: Side, depth: float) -> float:
    """Length along the worked edge's section for a unit of depth."""
    profile = _profile(slab, side)
    if profile is None or depth >= profile.size_m:
        return 1.0
    size = profile.size_m
    match profile.kind:
        case "bevel":
            return sqrt(2.0)
        case "round-over":
            return size / sqrt(size**2 - (size - depth) ** 2)
        case "cove":
            return size / sqrt(size**2 - depth**2)


def _side_line(slab: Slab, side: Side, depth: float) -> shapely.Geometry:
    x0, y0, x1, y1 = _plate(slab, depth).bounds
    ends = {
        "front": [(x0, y0), (x1, y0)],
        "back": [(x0, y1), (x1, y1)],
        "left": [(x0, y0), (x0, y1)],
        "right": [(x1, y0), (x1, y1)],
    }[side]
    return shapely.LineString(ends)


def _is_worked(slab: Slab, depth: float) -> bool:
    return any(profile.size_m > depth for profile in slab.edge_profiles)


def _steps(zone: Zone) -> list[tuple[float, float]]:
    """The depths of a worked edge in steps, finer at both ends, where a curve runs out."""
    half = (zone.end_m - zone.start_m) / 2
    marks = zone.middle_m - half * np.cos(np.linspace(0.0, np.pi, STEPS + 1))
    return [(float(start), float(end)) for start, end in pairwise(marks)]


# Taper


def _thinnest_and_thickest(slab: Slab) -> tuple[float, float]:
    other = slab.thickness_m if slab.taper is None else slab.taper.thickness_m
    return min(slab.thickness_m, other), max(slab.thickness_m, other)


def _taper_span(slab: Slab) -> tuple[float, float, float]:
    """Distance over which the thickness runs, and thickness at its start (x or y = 0) and end."""
    assert slab.taper is not None
    near, far = slab.thickness_m, slab.taper.thickness_m
    if slab.taper.to in ("left", "front"):
        near, far = far, near
    return _across(slab, slab.taper.to), near, far


def _steepness(slab: Slab) -> float:
    """Area of the sloping underside over its plan."""
    if slab.taper is None:
        return 1.0
    span, near, far = _taper_span(slab)
    return hypot(1.0, (far - near) / span)


def _position(slab: Slab, depth: float) -> float:
    """Where along the taper the plate is just as thick as `depth`."""
    span, near, far = _taper_span(slab)
    return span * (depth - near) / (far - near)


def _thicker_than(slab: Slab, depth: float) -> shapely.Geometry:
    """The part of the plan, taken well past the slab, where the tapered plate is thicker than `depth`."""
    assert slab.taper is not None
    span, near, far = _taper_span(slab)
    if near == far:
        return shapely.box(-span, -span, 2 * span, 2 * span) if depth < near else shapely.Polygon()
    here = _position(slab, depth)
    reach = 2 * (slab.length_m + slab.width_m)
    low, high = (-reach, here) if near > far else (here, reach)
    if low >= high:
        return shapely.Polygon()
    if slab.taper.to in ("left", "right"):
        return shapely.box(low, -reach, high, reach)
    return shapely.box(-reach, low, reach, high)


def _taper_line(slab: Slab, depth: float) -> shapely.Geometry:
    """Where the sloping underside is met at a depth."""
    thin, thick = _thinnest_and_thickest(slab)
    if slab.taper is None or not thin < depth < thick:
        return shapely.LineString()
    here = _position(slab, depth)
    if slab.taper.to in ("left", "right"):
        return shapely.LineString([(here, 0.0), (here, slab.width_m)])
    return shapely.LineString([(0.0, here), (slab.length_m, here)])


def _taper_marks(
    slab: Slab, openings: tuple[Region, ...], under: tuple[tuple[shapely.Geometry, float], ...]
) -> set[float]:
    """Depths at which the edge of a tapered slice passes a corner, so that between them it varies smoothly."""
    if slab.taper is None or slab.taper.thickness_m == slab.thickness_m:
        return set()
    span, near, far = _taper_span(slab)
    axis = 0 if slab.taper.to in ("left", "right") else 1
    corners = [region.bounds for region in openings] + [area.bounds for area, _ in under]
    places = {box[axis + side] for box in corners for side in (0, 2)}
    for region in openings:
        if region.outer.bulges is None or len(region.outer.points) <= 8:
            places |= set(region.outer.points[:, axis].tolist())
    return {near + (far - near) * place / span for place in places if 0 < place < span}


def _slopes(slab: Slab) -> tuple[Slope, ...]:
    if slab.taper is None or slab.taper.thickness_m == slab.thickness_m:
        return ()
    steep = _steepness(slab)

    def within(depth: float, reach: float) -> shapely.Geometry:
        whole = shapely.box(0.0, 0.0, slab.length_m, slab.width_m)
        return shapely.difference(whole, _thicker_than(slab, depth + reach * steep))

    return (Slope(within),)
