"""Drawn plans of even thickness, solid or cast as a shell."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from typing import Any, Literal

import shapely

from geometry.arrays import Vector
from geometry.cutouts import Cutout, outlines_of, overlap_notes, refuse_rims, refuse_too_deep
from geometry.errors import require, require_dimensions
from geometry.frozen import frozen
from geometry.inscribed import CIRCLE_TOLERANCE_M, Inscribed, circle_m, corner_m, ring_m
from geometry.manifolds import manifold_of_stack
from geometry.message import Message, message
from geometry.plan import OFFSET_TOLERANCE, Plan, fine_polygon, inside_plan, ring_plan
from geometry.plane import Region
from geometry.shape import Bounds, FacesOf, FormPlan, Plate, SlicedShape, Wall, rims_of
from geometry.slices import Faces, Flat, Slices, Stack, Strip, Zone, all_flats, levels_of_zones, turned_over
from geometry.solid import Solid
from geometry.views import PlanArea


@frozen
class Outline(SlicedShape):
    """A drawn plan of even thickness, in the drawing's own x and y, underside at z = 0.

    With `wall_m` the plan is the outer surface of a shell, left out at `open` (top, bottom, both ends or none).
    """

    region: Region
    thickness_m: float
    cutouts: tuple[Cutout, ...] = ()
    wall_m: float | None = None
    open: Literal["none", "top", "bottom", "both"] = "top"

    # Volume and layers

    def solid(self) -> Solid:
        """The measure; seen faces of a plate are those of a slab, of a shell the outside and the rim."""
        slices, height = self.slices(), self.thickness_m
        whole = slices.full
        moments = slices.moments()
        edges = [whole.length_of(opening) for opening in slices.openings]
        own_edges = whole.perimeter_m - sum(edges)
        exact = not any(cutout.is_ellipse for cutout in self.cutouts) and all(zone.plan.exact for zone in slices.zones)
        sides, ends = whole.perimeter_m * height, self.formed_ends()
        if self.wall_m is None:
            surface = 2 * whole.area_m2 + sides
            form = whole.area_m2 + sides
            seen = [
                length * (height if cutout.depth_m is None else cutout.depth_m)
                for length, cutout in zip(edges, self.cutouts, strict=True)
                if cutout.edge == "finished"
            ]
            finished = whole.area_m2 + own_edges * height + sum(seen)
        else:
            hollow = inside_plan(self.region, self.wall_m)
            inner = next(zone for zone in slices.zones if zone.plan is not whole)
            form = sides + sum(ends) * whole.area_m2
            finished = form + (2 - sum(ends)) * (whole.area_m2 - hollow.area_m2)
            surface = finished + hollow.perimeter_m * (inner.end_m - inner.start_m) + sum(ends) * hollow.area_m2
        x0, y0, x1, y1 = self.region.bounds
        return Solid(
            volume_m3=moments.volume_m3,
            surface_area_m2=surface,
            form_area_m2=form,
            finished_area_m2=finished,
            edge_lengths_m={
                "outer": self.region.outer.perimeter_m,
                "holes": sum(hole.perimeter_m for hole in self.region.holes),
                "cutouts": sum(edges),
                "finished_cutouts": sum(
                    e for e, cutout in zip(edges, self.cutouts, strict=True) if cutout.edge == "finished"
                ),
            },
            centroid_m=moments.centroid_m,
            size_m=(x1 - x0, y1 - y0, height),
            lowest_m=(x0, y0, 0.0),
            inertia_m5=moments.inertia_m5,
            tolerance=0.0 if exact else (1e-6 if self.wall_m is None else OFFSET_TOLERANCE),
            notes=overlap_notes(slices.openings),
        )

    @property
    def cast_thickness_m(self) -> float:
        return self.thickness_m if self.wall_m is None else self.wall_m

    def slices(self) -> Slices:
        return _slices(self)

    def faces(self, which: FacesOf) -> Faces:
        slices, end = self.slices(), self.thickness_m
        whole = slices.full.polygon
        if which == "form":
            levels = [level for level, formed in zip((0.0, end), self.formed_ends(), strict=True) if formed]
            outer = Strip(shapely.boundary(whole), 0.0, end)
            return Faces((outer,), tuple(Flat(whole, level) for level in levels))
        strips = [Strip(shapely.boundary(zone.plan.polygon), zone.start_m, zone.end_m) for zone in slices.zones]
        return Faces(tuple(strips), all_flats(slices.zones))

    def formed_ends(self) -> tuple[bool, bool]:
        """Whether top and underside are cast against the form: the top of a plate, the closed ends of a shell."""
        if self.wall_m is None:
            return True, False
        return self.open not in ("top", "both"), self.open not in ("bottom", "both")

    # Areas and sizes

    @property
    def cuts(self) -> tuple[Cutout, ...]:
        return self.cutouts

    def plan_area(self) -> PlanArea:
        return self._area_of_plate(self.region)

    def face_area_m2(self, solid: Solid) -> float:
        return solid.finished_area_m2 if self.wall_m is not None else solid.volume_m3 / self.thickness_m

    def extents(self) -> tuple[tuple[str, float], ...]:
        return (("", max(self.region.size_m)),)

    def walls(self) -> tuple[Wall, ...]:
        if self.wall_m is None:
            return (Wall("slab", "thickness", self.thickness_m), *rims_of(self.cutouts))
        return (Wall("wall", "wall", self.wall_m),)

    def thicker(self, by_m: float) -> Outline:
        if self.wall_m is None:
            return replace(self, thickness_m=self.thickness_m + by_m)
        return replace(self, wall_m=self.wall_m + by_m)

    def largest_sphere(self) -> Inscribed:
        plan = self.region.polygon(CIRCLE_TOLERANCE_M)
        if self.wall_m is not None:
            ring = ring_m(plan, self.wall_m)
            corner = ring if self.open == "both" else corner_m(self.wall_m, self.wall_m)
            return Inscribed(min(max(ring, corner), self.thickness_m))
        openings = self.slices().openings
        if openings:
            cut = shapely.union_all([opening.polygon(CIRCLE_TOLERANCE_M) for opening in openings])
            plan = shapely.difference(plan, cut)
        return Inscribed(min(self.thickness_m, circle_m(plan, self.thickness_m)))

    def outside_m(self, at_m: Vector, solid: Solid) -> Vector:
        x, y, _ = at_m
        above = max(solid.lowest_m[2] - at_m[2], at_m[2] - solid.lowest_m[2] - solid.size_m[2], 0.0)
        return float(fine_polygon(self.region).distance(shapely.Point(x, y))), 0.0, above

    # Parts, forms and meshes

    def opening_outlines(self) -> tuple[Region, ...]:
        cut = self.slices().openings if self.cutouts else ()
        return (*(Region(hole) for hole in self.region.holes), *cut)

    def opening_bounds(self) -> tuple[Bounds, ...]:
        return (*(hole.bounds for hole in self.region.holes), *(cutout.bounds for cutout in self.cutouts))

    def plate(self) -> Plate | None:
        if self.wall_m is not None:
            return None
        return Plate(self.region, self.cutouts, self.thickness_m, even=True)

    def stack(self) -> Stack:
        slices = self.slices()
        sides = shapely.boundary(slices.full.polygon)
        top, bottom = self.formed_ends()
        levels = ([(self.thickness_m, True)] if top else []) + ([(0.0, False)] if bottom else [])
        return slices.stack([Strip(sides, zone.start_m, zone.end_m) for zone in slices.zones], levels)

    @property
    def edge_numbers(self) -> Literal["plan", "section"] | None:
        return "plan"

    @property
    def is_keyed(self) -> bool:
        return bool(self.cutouts or self.region.holes)

    @property
    def is_cast_face_down(self) -> bool:
        return self.wall_m is None or self.open == "bottom"

    def build_notes(self) -> tuple[Message, ...]:
        notes = (message("form-thickness", thickness_m=self.thickness_m),)
        return notes if self.wall_m is None else (*notes, message("form-shell", wall_m=self.wall_m))

    def form(self) -> FormPlan:
        levels = levels_of_zones(self.slices().zones)  # from the top down, as a plate and an open shell are cast
        upright = self.wall_m is not None and self.open != "top"
        return FormPlan(turned_over(levels) if upright else levels, self.opening_outlines())

    def board_name(self, role: str, side: str, number: int, *, raised: bool) -> Message:
        if role == "cover":
            return message("board-core-top")
        return SlicedShape.board_name(self, role, side, number, raised=raised)

    def manifold(self) -> Any:
        return manifold_of_stack(self.stack())


@lru_cache(maxsize=16)  # measure, layers, view and sections of one piece follow each other
def _slices(outline: Outline) -> Slices:
    """The outline's slices. Raises FaultError for dimensions that cannot be built."""
    require_dimensions(thickness=outline.thickness_m, wall=outline.wall_m)
    openings = outlines_of(outline.cutouts, fine_polygon(outline.region))
    plan = Plan.of(outline.region).less_all(openings)
    refuse_rims(outline.cutouts, message("rim-in-outline"))
    refuse_too_deep(outline.cutouts, outline.thickness_m, "piece")
    if outline.wall_m is None:
        return Slices((Zone.steady(0.0, outline.thickness_m, plan),), plan, openings)
    require(not outline.cutouts, "cutouts", message("outline-profiles-on-shell"))
    return Slices(_shell(outline, plan, outline.wall_m), plan, ())


def _shell(outline: Outline, plan: Plan, wall: float) -> tuple[Zone, ...]:
    hollow = inside_plan(outline.region, wall)
    start = 0.0 if outline.open in ("top", "both") else wall
    end = outline.thickness_m - (0.0 if outline.open in ("bottom", "both") else wall)
    require(
        not hollow.straight.is_empty and start < end,
        "wall",
        message("wall-too-thick", wall_m=wall),
    )
    zones = [Zone.steady(start, end, ring_plan(plan, hollow))]
    if start > 0:
        zones.insert(0, Zone.steady(0.0, start, plan))
    if end < outline.thickness_m:
        zones.append(Zone.steady(end, outline.thickness_m, plan))
    return tuple(zones)
