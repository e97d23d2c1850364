"""Slabs: counters and other flat rectangular pieces with cut-outs, drops, rims, worked edges and taper.

Everything is told by slices at depths below the top; see `geometry.relief`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import Literal

import numpy as np
import shapely

from geometry.cutouts import is_curved_unevenly, outlines_of, overlap_notes
from geometry.errors import mm, require, require_dimensions, require_positive
from geometry.plan import NEAR, Plan, fine_polygon, united, within_reach
from geometry.plane import Region
from geometry.plate import (
    SIDES,
    across_m,
    is_worked,
    plate_at,
    plate_left,
    side_line,
    slopes_of,
    steepness,
    stretch_of,
    taper_line,
    taper_marks,
    thinnest_and_thickest,
)
from geometry.relief import Faces, Flat, Strip, Zone, all_flats, deeper_than, moments_of
from geometry.shapes import Side, Slab
from geometry.solid import LayerPart, Moments, Solid, joint_depths, parts_of

STEPS = 24
"""Lines that stand for a worked edge where layers are measured from it."""


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
            if not is_worked(slab, zone.middle_m):
                lines = united([*fixed, shapely.boundary(plate_at(slab, zone.middle_m))])
                strips.append(Strip(zone.at(zone.start_m).edges_along(lines), zone.start_m, zone.end_m))
                continue
            strips.append(Strip(zone.at(zone.start_m).edges_along(united(fixed)), zone.start_m, zone.end_m))
            for depth in _steps(zone):
                lines = shapely.boundary(plate_at(slab, depth))
                strips.append(Strip(zone.at(depth).edges_along(lines), depth, depth, step=True))
        if which == "form":
            return Faces(tuple(strips), (Flat(self.zones[0].at(0.0).polygon, 0.0),))
        return Faces(tuple(strips), all_flats(self.zones), slopes_of(slab))


@lru_cache(maxsize=16)  # measure, layers, view and sections of one piece follow each other
def slab_body(slab: Slab) -> SlabBody:
    """The slab's slices. Raises FaultError for dimensions that cannot be built."""
    _refuse_plate(slab)
    rectangle = shapely.box(0.0, 0.0, slab.length_m, slab.width_m)
    openings = outlines_of(slab.cutouts, rectangle)
    under = (*_drops(slab), *_rims(slab, openings, rectangle))
    height = max(slab.thickness_m, thinnest_and_thickest(slab)[1], *(depth for _, depth in under), 0.0)
    for i, cutout in enumerate(slab.cutouts):
        require(
            cutout.depth_m is None or cutout.depth_m <= height * (1 + NEAR),
            f"cutouts[{i}].depth",
            f"is {mm(cutout.depth_m or 0)}, deeper than the piece ({mm(height)}).",
            "Leave it out to finish the whole edge.",
        )

    def at(depth: float) -> Plan:
        below = united(area for area, deepest in under if deepest > depth)
        plan = Plan(united([plate_left(slab, depth), shapely.intersection(below, plate_at(slab, depth))]))
        for opening in openings:
            plan = plan.less(opening)
        return plan

    marks = {0.0, slab.thickness_m, *thinnest_and_thickest(slab), height, *(depth for _, depth in under)}
    marks |= {profile.size_m for profile in slab.edge_profiles}
    marks |= {cutout.depth_m for cutout in slab.cutouts if cutout.depth_m is not None}
    marks |= taper_marks(slab, openings, under)
    zones = []
    for start, end in pairwise(sorted(marks)):
        if end - start > NEAR * height:
            zones.append(_zone(slab, start, end, at))
    full = Plan(rectangle)
    for opening in openings:
        full = full.less(opening)
    return SlabBody(slab, openings, under, full, tuple(zones))


def measure_slab(slab: Slab) -> Solid:
    """The measure of a slab. Raises FaultError for dimensions that cannot be built."""
    body = slab_body(slab)
    moments = body.to_axes(moments_of(body.zones))
    outer = cut = finished_cut = inner = 0.0
    exact = not is_curved_unevenly(slab.cutouts)
    for zone in body.zones:
        for depth, share, plan in zone.slices():
            sides = {side: plan.length_along(side_line(slab, side, depth)) for side in SIDES}
            edges = [plan.length_of(opening) for opening in body.openings]
            outer += share * sum(length * stretch_of(slab, side, depth) for side, length in sides.items())
            cut += share * sum(edges)
            finished_cut += share * sum(
                length
                for length, cutout in zip(edges, slab.cutouts, strict=True)
                if cutout.edge == "finished" and depth < (cutout.depth_m or body.height_m)
            )
            moving = plan.length_along(taper_line(slab, depth))
            inner += share * max(plan.perimeter_m - sum(sides.values()) - sum(edges) - moving, 0.0)
            exact = exact and plan.exact
    top = body.zones[0].at(0.0).area_m2
    hanging = united([area for area, _ in body.under])
    sloping = shapely.difference(body.full.polygon, hanging).area if slab.taper else 0.0
    underside = body.full.area_m2 + sloping * (steepness(slab) - 1.0)
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
        measured,
        faces,
    )


def _edge_lengths(body: SlabBody) -> dict[str, float]:
    slab, full = body.slab, body.full
    lines = {side: full.length_along(side_line(slab, side, slab.thickness_m)) for side in SIDES}
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
        require(slab.taper.to in SIDES, "taper.to", f"{slab.taper.to!r} is no side.", f"Choose {_names()}.")
    thin, thick = thinnest_and_thickest(slab)
    for i, drop in enumerate(slab.drop_edges):
        key = f"drop_edges[{i}]"
        require_dimensions(**{f"{key}.height": drop.height_m, f"{key}.thickness": drop.thickness_m})
        _refuse_sides(drop.sides, f"{key}.sides")
        require(
            drop.height_m >= thick * (1 - NEAR),
            f"{key}.height",
            f"is {mm(drop.height_m)}, less than the slab's thickness of {mm(thick)}.",
            "The height of a drop is measured from the top of the slab.",
        )
        for side in drop.sides:
            across = across_m(slab, side)
            require(
                drop.thickness_m <= across,
                f"{key}.thickness",
                f"is {mm(drop.thickness_m)}, more than the slab's {mm(across)} there.",
                "A drop stands inside length × width.",
            )
    insets = dict.fromkeys(SIDES, 0.0)
    for i, profile in enumerate(slab.edge_profiles):
        key = f"edge_profiles[{i}]"
        require_positive(profile.size_m, f"{key}.size")
        _refuse_sides(profile.sides, f"{key}.sides")
        for side in profile.sides:
            require(insets[side] == 0, f"{key}.sides", f"names {side} a second time.", "Give each side one profile.")
            insets[side] = profile.size_m
        require(
            profile.size_m <= thin * (1 + NEAR),
            f"{key}.size",
            f"is {mm(profile.size_m)}, more than the edge's {mm(thin)}.",
            "A profile must fit the thickness of the slab.",
        )
        require(
            insets["left"] + insets["right"] < slab.length_m and insets["front"] + insets["back"] < slab.width_m,
            f"{key}.size",
            "leaves nothing of the top.",
            "Make the profile smaller.",
        )


def _refuse_sides(sides: tuple[Side, ...], key: str) -> None:
    require(bool(sides), key, "names no side.", f"Choose from {_names()}.")
    for side in sides:
        require(side in SIDES, key, f"{side!r} is no side.", f"Choose from {_names()}.")


def _names() -> str:
    return ", ".join(SIDES)


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
    _, thick = thinnest_and_thickest(slab)
    for i, (cutout, opening) in enumerate(zip(slab.cutouts, openings, strict=True)):
        if cutout.rim_thickness_m is None or cutout.rim_width_m is None:
            continue
        require(
            cutout.rim_thickness_m >= thick * (1 - NEAR),
            f"cutouts[{i}].rim_thickness",
            f"is {mm(cutout.rim_thickness_m)}, less than the slab's thickness of {mm(thick)}.",
            "It is measured from the top of the slab.",
        )
        grown = within_reach(fine_polygon(opening), cutout.rim_width_m, 1, "mitre")
        rims.append((shapely.intersection(grown, rectangle), cutout.rim_thickness_m))
    return rims


def _zone(slab: Slab, start: float, end: float, at: Callable[[float], Plan]) -> Zone:
    middle = (start + end) / 2
    thin, thick = thinnest_and_thickest(slab)
    if is_worked(slab, middle) or thin < middle < thick:
        return Zone(start, end, at, varies=True)
    return Zone.steady(start, end, at(middle))


def _steps(zone: Zone) -> list[float]:
    """Depths of lines that stand for a worked edge, closer at both ends, where a curve runs out."""
    half = (zone.end_m - zone.start_m) / 2
    depths: list[float] = (zone.middle_m - half * np.cos((np.arange(STEPS) + 0.5) * np.pi / STEPS)).tolist()
    return depths
