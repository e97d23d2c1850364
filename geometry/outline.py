"""Drawn plans of even thickness, solid or cast as a shell."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np
import shapely

from geometry.cutouts import is_curved_unevenly, outlines_of, overlap_notes
from geometry.errors import mm, require, require_dimensions
from geometry.plan import NEAR, Plan, fine_polygon, within_reach
from geometry.plane import Region
from geometry.relief import Faces, Flat, Strip, Zone, all_flats, deeper_than, moments_of
from geometry.shapes import Outline
from geometry.solid import LayerPart, Moments, Solid, joint_depths, parts_of

OFFSET_TOLERANCE = 1e-5
"""Relative error that a shell is held to where its hollow is a curve's offset. See `geometry.plan.within_reach`."""

HOLLOW_ROUND = 512
"""Straight pieces to a quarter circle where a hollow turns round an inside corner."""


@dataclass(frozen=True, slots=True, eq=False)
class OutlineBody:
    """An outline whose dimensions were found possible, as slices from the top down."""

    outline: Outline
    openings: tuple[Region, ...]
    plan: Plan
    hollow: Plan | None
    zones: tuple[Zone, ...]

    def to_axes(self, by_depth: Moments) -> Moments:
        return by_depth.mapped(np.diag([1.0, 1.0, -1.0]), (0.0, 0.0, self.outline.thickness_m))

    def faces(self, which: Literal["form", "all"]) -> Faces:
        whole, end = self.plan.polygon, self.outline.thickness_m
        outer = Strip(shapely.boundary(whole), 0.0, end)
        if which == "form":
            levels = [level for level, formed in zip((0.0, end), self.formed_ends(), strict=True) if formed]
            return Faces((outer,), tuple(Flat(whole, level) for level in levels))
        strips = [Strip(shapely.boundary(z.at(z.middle_m).polygon), z.start_m, z.end_m) for z in self.zones]
        return Faces(tuple(strips), all_flats(self.zones))

    def formed_ends(self) -> tuple[bool, bool]:
        """Whether top and underside are cast against the form: the top of a plate, the closed ends of a shell."""
        if self.hollow is None:
            return True, False
        return self.outline.open not in ("top", "both"), self.outline.open not in ("bottom", "both")


@lru_cache(maxsize=16)  # measure, layers, view and sections of one piece follow each other
def outline_body(outline: Outline) -> OutlineBody:
    """The outline's slices. Raises FaultError for dimensions that cannot be built."""
    require_dimensions(thickness=outline.thickness_m, wall=outline.wall_m)
    openings = outlines_of(outline.cutouts, fine_polygon(outline.region))
    plan = Plan.of(outline.region)
    for opening in openings:
        plan = plan.less(opening)
    for i, cutout in enumerate(outline.cutouts):
        require(
            cutout.rim_thickness_m is None,
            f"cutouts[{i}].rim_thickness",
            "is for a slab.",
            "Build the rim as a part of a compound.",
        )
        require(
            cutout.depth_m is None or cutout.depth_m <= outline.thickness_m * (1 + NEAR),
            f"cutouts[{i}].depth",
            f"is {mm(cutout.depth_m or 0)}, deeper than the piece ({mm(outline.thickness_m)}).",
            "Leave it out to finish the whole edge.",
        )
    if outline.wall_m is None:
        return OutlineBody(outline, openings, plan, None, (Zone.steady(0.0, outline.thickness_m, plan),))
    require(not outline.cutouts, "cutouts", "are for a plate.", "Take them away from the shell in a compound.")
    return _shell(outline, plan, outline.wall_m)


def _shell(outline: Outline, plan: Plan, wall: float) -> OutlineBody:
    hollow = inside_plan(outline.region, wall)
    start = 0.0 if outline.open in ("top", "both") else wall
    end = outline.thickness_m - (0.0 if outline.open in ("bottom", "both") else wall)
    require(
        not hollow.straight.is_empty and start < end,
        "wall",
        f"is {mm(wall)}, which leaves no hollow.",
        "Make it thinner, or leave it out for a solid piece.",
    )
    ring = ring_plan(plan, hollow)
    zones = [Zone.steady(start, end, ring)]
    if start > 0:
        zones.insert(0, Zone.steady(0.0, start, plan))
    if end < outline.thickness_m:
        zones.append(Zone.steady(end, outline.thickness_m, plan))
    return OutlineBody(outline, (), plan, hollow, tuple(zones))


def inside_plan(region: Region, wall: float) -> Plan:
    """The points of a region at least `wall` from its edges; exact where its edges are straight and it is convex."""
    whole = fine_polygon(region)
    inner = shapely.difference(whole, within_reach(shapely.boundary(whole), wall, HOLLOW_ROUND))
    straight = all(ring.bulges is None for ring in region.rings)
    convex = straight and shapely.convex_hull(whole).area <= whole.area * (1 + NEAR)
    return Plan(inner, exact=convex)


def ring_plan(plan: Plan, hollow: Plan) -> Plan:
    """A plan less a hollow that lies well inside it."""
    parts = [part for part in shapely.get_parts(hollow.straight) if part.area > 0]
    cut = tuple(
        Region.from_points(shapely.get_coordinates(part.exterior), [shapely.get_coordinates(h) for h in part.interiors])
        for part in parts
    )
    return Plan(plan.straight, plan.added, (*plan.cut, *cut), plan.exact and hollow.exact)


def measure_outline(outline: Outline) -> Solid:
    """The measure of an outline; seen faces of a plate are those of a slab, of a shell the outside and the rim.

    Raises FaultError for dimensions that cannot be built.
    """
    body = outline_body(outline)
    moments = body.to_axes(moments_of(body.zones))
    plan, height, region = body.plan, outline.thickness_m, outline.region
    edges = [plan.length_of(opening) for opening in body.openings]
    own_edges = plan.perimeter_m - sum(edges)
    exact = not is_curved_unevenly(outline.cutouts) and all(zone.at(zone.middle_m).exact for zone in body.zones)
    sides = plan.perimeter_m * height
    ends = body.formed_ends()
    if body.hollow is None:
        surface = 2 * plan.area_m2 + sides
        form = plan.area_m2 + sides
        seen = [
            length * (height if cutout.depth_m is None else cutout.depth_m)
            for length, cutout in zip(edges, outline.cutouts, strict=True)
            if cutout.edge == "finished"
        ]
        finished = plan.area_m2 + own_edges * height + sum(seen)
    else:
        hollow = body.hollow
        inner = next(zone for zone in body.zones if zone.at(zone.middle_m) is not plan)
        form = sides + sum(ends) * plan.area_m2
        finished = form + (2 - sum(ends)) * (plan.area_m2 - hollow.area_m2)
        surface = finished + hollow.perimeter_m * (inner.end_m - inner.start_m) + sum(ends) * hollow.area_m2
    x0, y0, x1, y1 = region.bounds
    return Solid(
        volume_m3=moments.volume_m3,
        surface_area_m2=surface,
        form_area_m2=form,
        finished_area_m2=finished,
        edge_lengths_m={
            "outer": region.outer.perimeter_m,
            "holes": sum(hole.perimeter_m for hole in region.holes),
            "cutouts": sum(edges),
            "finished_cutouts": sum(
                e for e, cutout in zip(edges, outline.cutouts, strict=True) if cutout.edge == "finished"
            ),
        },
        centroid_m=moments.centroid_m,
        size_m=(x1 - x0, y1 - y0, height),
        lowest_m=(x0, y0, 0.0),
        inertia_m5=moments.inertia_m5,
        tolerance=0.0 if exact else (1e-6 if body.hollow is None else OFFSET_TOLERANCE),
        notes=overlap_notes(body.openings),
    )


def outline_layers(
    outline: Outline, thicknesses_m: Sequence[float | None], faces: Literal["form", "all"]
) -> tuple[LayerPart, ...]:
    """The layers of an outline. See `geometry.solid.layer_parts`."""
    body, measured = outline_body(outline), measure_outline(outline)
    whole = outline.thickness_m if outline.wall_m is None else outline.wall_m
    joints = joint_depths(thicknesses_m, whole)
    from_faces = body.faces(faces)
    return parts_of(
        body.to_axes(moments_of(body.zones)),
        lambda joint: body.to_axes(deeper_than(body.zones, from_faces, joint)),
        joints,
        measured,
        faces,
    )
