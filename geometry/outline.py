"""Drawn plans of constant thickness, solid or cast as a shell."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from typing import Any, Literal

import shapely

from geometry.arrays import Vector
from geometry.cutouts import Cutout
from geometry.edged import EdgedShape, slices_of
from geometry.errors import require, require_dimensions
from geometry.frozen import frozen
from geometry.inscribed import CIRCLE_TOLERANCE_M, Inscribed, circle_m, corner_m, ring_m
from geometry.inset import counterclockwise
from geometry.manifolds import manifold_of_stack
from geometry.message import Message, message
from geometry.plan import OFFSET_TOLERANCE, Plan, fine_polygon, inside_plan, ring_plan
from geometry.plan_edges import Edge, PlanEdge, plan_edges
from geometry.plane import Region
from geometry.plate import DropEdge, EdgeProfile
from geometry.shape import Bounds, FacesOf, FormPlan, Plate, SlicedShape, Wall, rims_of
from geometry.slices import Faces, Flat, Slices, Stack, Strip, Zone, all_flats, levels_of_zones, turned_over
from geometry.solid import Solid
from geometry.views import PlanArea


@frozen
class Outline(EdgedShape):
    """A drawn plan of constant thickness, in the x and y of the drawing, with its lowest point at z = 0.

    With `wall_m` the plan is the outer surface of a shell, which is open at `open` (top, bottom, both ends or none).
    """

    region: Region
    thickness_m: float
    cutouts: tuple[Cutout, ...] = ()
    wall_m: float | None = None
    open: Literal["none", "top", "bottom", "both"] = "top"
    drop_edges: tuple[DropEdge, ...] = ()
    edge_profiles: tuple[EdgeProfile, ...] = ()
    raw_edges: tuple[Edge, ...] = ()

    @property
    def footprint(self) -> Region:
        return self.region

    @property
    def numbered_edges(self) -> tuple[PlanEdge, ...]:
        return plan_edges(counterclockwise(self.region.outer))

    # Volume and layers

    def solid(self) -> Solid:
        """Measure of the piece. Finished faces are those of a slab; of a shell, the outside and the rim."""
        return self.solid_by_slices() if self.wall_m is None else self._shell_solid(self.wall_m)

    def _shell_solid(self, wall_m: float) -> Solid:
        slices, height = self.slices(), self.thickness_m
        whole = slices.full
        moments = slices.moments()
        exact = all(zone.plan.exact for zone in slices.zones)
        sides, ends = whole.perimeter_m * height, self.formed_ends()
        hollow = inside_plan(self.region, wall_m)
        inner = next(zone for zone in slices.zones if zone.plan is not whole)
        form = sides + sum(ends) * whole.area_m2
        finished = form + (2 - sum(ends)) * (whole.area_m2 - hollow.area_m2)
        x0, y0, x1, y1 = self.region.bounds
        return Solid(
            volume_m3=moments.volume_m3,
            surface_area_m2=finished + hollow.perimeter_m * (inner.end_m - inner.start_m) + sum(ends) * hollow.area_m2,
            form_area_m2=form,
            finished_area_m2=finished,
            edge_lengths_m=self.edge_lengths_m(slices),
            centroid_m=moments.centroid_m,
            size_m=(x1 - x0, y1 - y0, height),
            lowest_m=(x0, y0, 0.0),
            inertia_m5=moments.inertia_m5,
            tolerance=0.0 if exact else OFFSET_TOLERANCE,
        )

    def edge_lengths_m(self, slices: Slices) -> dict[str, float]:
        edges = [slices.full.length_of(opening) for opening in slices.openings]
        return {
            **(self.outline_lengths_m() if self.has_edge_work else {}),
            "outer": self.region.outer.perimeter_m,
            "holes": sum(hole.perimeter_m for hole in self.region.holes),
            "cutouts": sum(edges),
            "finished_cutouts": sum(
                e for e, cutout in zip(edges, self.cutouts, strict=True) if cutout.edge == "finished"
            ),
        }

    @property
    def cast_thickness_m(self) -> float:
        return self.thickness_m if self.wall_m is None else self.wall_m

    def slices(self) -> Slices:
        require_dimensions(thickness=self.thickness_m, wall=self.wall_m)
        return slices_of(self) if self.wall_m is None else _shell_slices(self)

    def slices_in_view(self) -> Slices:
        return EdgedShape.slices_in_view(self) if self.wall_m is None else self.slices()

    def faces(self, which: FacesOf) -> Faces:
        if self.wall_m is None:
            return EdgedShape.faces(self, which)
        slices, end = self.slices(), self.thickness_m
        whole = slices.full.polygon
        if which == "form":
            levels = [level for level, formed in zip((0.0, end), self.formed_ends(), strict=True) if formed]
            outer = Strip(shapely.boundary(whole), 0.0, end)
            return Faces((outer,), tuple(Flat(whole, level) for level in levels))
        strips = [Strip(shapely.boundary(zone.plan.polygon), zone.start_m, zone.end_m) for zone in slices.zones]
        return Faces(tuple(strips), all_flats(slices.zones))

    def formed_ends(self) -> tuple[bool, bool]:
        """Whether top and underside are cast against the form: the top of a plate, or the closed ends of a shell."""
        if self.wall_m is None:
            return True, False
        return self.open not in ("top", "both"), self.open not in ("bottom", "both")

    # Areas and sizes

    def plan_area(self) -> PlanArea:
        return self._area_of_plate(self.region)

    def face_area_m2(self, solid: Solid) -> float:
        is_even = self.wall_m is None and not self.has_edge_work and not rims_of(self.cutouts)
        return solid.volume_m3 / self.thickness_m if is_even else solid.finished_area_m2

    def extents(self) -> tuple[tuple[str, float], ...]:
        return ("", max(self.region.size_m)), ("", self.region.mean_width_m)

    def walls(self) -> tuple[Wall, ...]:
        if self.wall_m is None:
            return (Wall("slab", "thickness", self.thickness_m), *self.edge_walls())
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
        spheres = self.edge_spheres_m() if self.drop_edges or self.cutouts else [self.thickness_m]
        return Inscribed(min(max(spheres), circle_m(plan, max(spheres))))

    def outside_m(self, at_m: Vector, solid: Solid) -> Vector:
        x, y, _ = at_m
        above = max(solid.lowest_m[2] - at_m[2], at_m[2] - solid.lowest_m[2] - solid.size_m[2], 0.0)
        return float(fine_polygon(self.region).distance(shapely.Point(x, y))), 0.0, above

    # Parts, forms and meshes

    def opening_outlines(self) -> tuple[Region, ...]:
        return self.openings_in(self.slices()) if self.cutouts else tuple(map(Region, self.region.holes))

    def openings_in(self, slices: Slices) -> tuple[Region, ...]:
        return (*map(Region, self.region.holes), *slices.openings)

    def opening_bounds(self) -> tuple[Bounds, ...]:
        return (*(hole.bounds for hole in self.region.holes), *(cutout.bounds for cutout in self.cutouts))

    def plate(self) -> Plate | None:
        if self.wall_m is not None:
            return None
        strips, left_out = self.strips()
        is_even = not left_out and not rims_of(self.cutouts)
        return Plate(self.region, self.cutouts, self.thickness_m, strips=strips, left_out=left_out, even=is_even)

    def edge_title(self, edge: PlanEdge) -> Message:
        return message("board-edge", number=str(edge.number))

    def stack(self) -> Stack | None:
        if self.wall_m is None:
            return EdgedShape.stack(self)
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
        return bool(self.cutouts or self.region.holes or self.drop_edges)

    @property
    def is_cast_face_down(self) -> bool:
        return self.wall_m is None or self.open == "bottom"

    def build_notes(self) -> tuple[Message, ...]:
        notes = (message("form-thickness", thickness_m=self.thickness_m),)
        if self.wall_m is not None:
            return (*notes, message("form-shell", wall_m=self.wall_m))
        return (*notes, *self.edge_notes())

    def form(self) -> FormPlan:
        slices = replace(self, edge_profiles=()).slices() if self.edge_profiles else self.slices()
        levels = levels_of_zones(slices.zones)  # from the top down, since a plate or an open shell is cast upside down
        upright = self.wall_m is not None and self.open != "top"
        return FormPlan(
            turned_over(levels) if upright else levels,
            self.opening_outlines(),
            edges=self.edge_depths() if self.wall_m is None else (),
        )

    def board_name(self, role: str, side: str, number: int, *, raised: bool) -> Message:
        if role == "cover":
            return message("board-core-top" if self.wall_m is not None else "board-cover")
        if self.wall_m is None and role == "inside":
            return message("board-edge-drop", number=str(number))
        if self.wall_m is None and raised:
            return message("board-edge-drop-face", number=str(number))
        return SlicedShape.board_name(self, role, side, number, raised=raised)

    def manifold(self) -> Any:
        stack = self.stack()
        return EdgedShape.manifold(self) if stack is None else manifold_of_stack(stack)


@lru_cache(maxsize=16)
def _shell_slices(outline: Outline) -> Slices:
    """Slices of a shell. Raises FaultError for dimensions that cannot be built."""
    assert outline.wall_m is not None
    require(not outline.cutouts, "cutouts", message("outline-profiles-on-shell"))
    for key in ("drop_edges", "edge_profiles", "raw_edges"):
        require(not getattr(outline, key), key, message("outline-profiles-on-shell"))
    plan = Plan.of(outline.region)
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
