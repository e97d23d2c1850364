"""Slabs: counters and other flat rectangular pieces with cut-outs, drops, rims, worked edges and taper.

A plain slab is a sum of cuboids, less the prisms of its openings. Any other is sliced at depths below its top, see
`geometry.slices`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import pairwise
from math import pi
from typing import Any

import numpy as np
import shapely

from geometry.cuboids import Block, Plates, Thicknesses, block_of_plates
from geometry.cutouts import Cutout, outlines_of, overlap_notes, refuse_too_deep
from geometry.errors import require, require_dimensions, require_positive
from geometry.frozen import frozen
from geometry.inscribed import Inscribed, corner_m, strips_m
from geometry.manifolds import STEPS as FACET_STEPS
from geometry.manifolds import corners_of, flat_section, hull, manifold_of_stack
from geometry.message import Message, message
from geometry.openings import Openings
from geometry.plan import NEAR, Plan, fine_polygon, united, within_reach
from geometry.plane import Region
from geometry.plate import SIDES, EdgedPlate, EdgeProfile, Side, Taper
from geometry.shape import (
    ArrisStrip,
    FacesOf,
    FormPlan,
    PlainForm,
    Plate,
    SlicedShape,
    Strip,
    Wall,
    rims_of,
    side_names,
    strips_by_side,
)
from geometry.slices import Faces, Flat, Slices, Stack, Zone, all_flats, levels_of_zones
from geometry.slices import Strip as Face
from geometry.solid import Solid
from geometry.views import PlanArea

STEPS = 24
"""Lines that stand for a worked edge where layers are measured from it."""

EDGES = ("outer", "cutouts", "finished_cutouts", "drops", "profiled")


@frozen
class DropEdge:
    """A turned-down edge along `sides`, inside the slab's length × width, outer face flush.

    height_m is measured from the TOP of the slab, thickness_m horizontally.
    """

    sides: tuple[Side, ...]
    height_m: float
    thickness_m: float


@frozen
class Slab(SlicedShape):
    """A flat rectangular piece: a counter, a hearth, a shelf. Its top is at z = the lowest drop's height."""

    length_m: float
    width_m: float
    thickness_m: float
    cutouts: tuple[Cutout, ...] = ()
    drop_edges: tuple[DropEdge, ...] = ()
    edge_profiles: tuple[EdgeProfile, ...] = ()
    taper: Taper | None = None

    @property
    def edged_plate(self) -> EdgedPlate:
        """The plate alone."""
        return EdgedPlate(self.length_m, self.width_m, self.thickness_m, self.edge_profiles, self.taper)

    # Volume and layers

    def solid(self) -> Solid:
        return self.plain_solid() or self.solid_by_slices()

    def is_plain(self, layers: int) -> bool:
        return not self.edge_profiles and self.taper is None and self._has_plain_openings_and_drops

    @property
    def _has_plain_openings_and_drops(self) -> bool:
        """Whether its cut-outs are rectangles and circles, and no side has two drops."""
        if any(cutout.rounded is None for cutout in self.cutouts):
            return False
        if not self.drop_edges:
            return True
        named = [side for drop in self.drop_edges for side in drop.sides]
        return (
            all(drop.sides for drop in self.drop_edges) and len(set(named)) == len(named) and set(named) <= set(SIDES)
        )

    @classmethod
    def block(cls, shapes: Sequence[Slab], layers: Sequence[Thicknesses]) -> Block:
        sizes = [(slab.length_m, slab.width_m, slab.thickness_m) for slab in shapes]
        bands = [
            [([SIDES.index(side) for side in drop.sides], drop.height_m, drop.thickness_m) for drop in slab.drop_edges]
            for slab in shapes
        ]
        openings = Openings.of([slab.cutouts for slab in shapes])
        return block_of_plates(Plates.of(sizes, bands), layers, EDGES, "drops", openings, slab=True)

    @property
    def cast_thickness_m(self) -> float | None:
        return self.thickness_m if self.taper is None else None

    def slices(self) -> Slices:
        return _slices(self)

    def faces(self, which: FacesOf) -> Faces:
        plate, slices = self.edged_plate, self.slices()
        fixed = [shapely.boundary(fine_polygon(opening)) for opening in slices.openings]
        if which == "all":
            fixed += [shapely.boundary(area) for area, _ in slices.behind]
        strips = []
        for zone in slices.zones:
            if not plate.is_worked(zone.middle_m):
                lines = united([*fixed, shapely.boundary(plate.at(zone.middle_m))])
                strips.append(Face(zone.at(zone.start_m).edges_along(lines), zone.start_m, zone.end_m))
                continue
            strips.append(Face(zone.at(zone.start_m).edges_along(united(fixed)), zone.start_m, zone.end_m))
            for depth in _steps(zone):
                lines, plan = shapely.boundary(plate.at(depth)), zone.at(depth)
                edges = lines if self._has_whole_sides(plan, depth) else plan.edges_along(lines)
                strips.append(Face(edges, depth, depth, step=True))
        if which == "form":
            return Faces(tuple(strips), (Flat(slices.zones[0].at(0.0).polygon, 0.0),))
        return Faces(tuple(strips), all_flats(slices.zones), plate.slopes())

    def _has_whole_sides(self, plan: Plan, depth: float) -> bool:
        """Whether no opening reaches the sides of its slice at a depth, and the underside is not yet met there."""
        return depth < self.edged_plate.thinnest_and_thickest[0] and len(plan.cut) == len(self.cutouts)

    def solid_by_slices(self) -> Solid:
        """The measure by slices, which holds for every slab."""
        slices, plate = self.slices(), self.edged_plate
        moments = slices.moments()
        outer = cut = finished_cut = inner = 0.0
        exact = not any(cutout.is_ellipse for cutout in self.cutouts)
        for zone in slices.zones:
            for depth, share, plan in zone.slices():
                lines = {side: plate.side_line(side, depth) for side in SIDES}
                whole = self._has_whole_sides(plan, depth)
                sides = {side: line.length if whole else plan.length_along(line) for side, line in lines.items()}
                edges = [plan.length_of(opening) for opening in slices.openings]
                outer += share * sum(length * plate.stretch(side, depth) for side, length in sides.items())
                cut += share * sum(edges)
                finished_cut += share * sum(
                    length
                    for length, cutout in zip(edges, self.cutouts, strict=True)
                    if cutout.edge == "finished" and depth < (cutout.depth_m or slices.height_m)
                )
                moving = plan.length_along(plate.taper_line(depth))
                inner += share * max(plan.perimeter_m - sum(sides.values()) - sum(edges) - moving, 0.0)
                exact = exact and plan.exact
        top = slices.zones[0].at(0.0).area_m2
        hanging = united([area for area, _ in slices.behind])
        sloping = shapely.difference(slices.full.polygon, hanging).area if self.taper else 0.0
        underside = slices.full.area_m2 + sloping * (plate.steepness - 1.0)
        return Solid(
            volume_m3=moments.volume_m3,
            surface_area_m2=top + underside + outer + cut + inner,
            form_area_m2=top + outer + cut,
            finished_area_m2=top + outer + finished_cut,
            edge_lengths_m=self._edge_lengths(slices),
            centroid_m=moments.centroid_m,
            size_m=(self.length_m, self.width_m, slices.height_m),
            lowest_m=(0.0, 0.0, 0.0),
            inertia_m5=moments.inertia_m5,
            tolerance=0.0 if exact else 1e-6,
            notes=overlap_notes(slices.openings),
        )

    def _edge_lengths(self, slices: Slices) -> dict[str, float]:
        full, plate = slices.full, self.edged_plate
        lines = {side: full.length_along(plate.side_line(side, self.thickness_m)) for side in SIDES}
        edges = [full.length_of(opening) for opening in slices.openings]
        seen = sum(e for e, cutout in zip(edges, self.cutouts, strict=True) if cutout.edge == "finished")
        dropped = {side for drop in self.drop_edges for side in drop.sides}
        worked = {side for profile in self.edge_profiles for side in profile.sides}
        lengths = (
            sum(lines.values()),
            sum(edges),
            seen,
            sum(lines[side] for side in dropped),
            sum(lines[side] for side in worked),
        )
        return dict(zip(EDGES, lengths, strict=True))

    # Areas and sizes

    @property
    def cuts(self) -> tuple[Cutout, ...]:
        return self.cutouts

    def plan_area(self) -> PlanArea:
        return self._area_of_plate(Region.rectangle(self.length_m, self.width_m))

    def face_area_m2(self, solid: Solid) -> float:
        if self.drop_edges or self.edge_profiles or self.taper is not None:
            return solid.finished_area_m2
        return solid.volume_m3 / self.thickness_m

    def extents(self) -> tuple[tuple[str, float], ...]:
        return ("length", self.length_m), ("width", self.width_m)

    is_walled = True

    def walls(self) -> tuple[Wall, ...]:
        walls = [Wall("slab", "thickness", self.thickness_m)]
        if self.taper is not None:
            walls.append(Wall("far end of the taper", "taper.thickness", self.taper.thickness_m))
        for i, drop in enumerate(self.drop_edges):
            walls.append(Wall("turned-down edge", f"drop_edges[{i}].thickness", min(drop.thickness_m, drop.height_m)))
        return (*walls, *rims_of(self.cutouts))

    def thicker(self, by_m: float) -> Slab:
        return replace(self, thickness_m=self.thickness_m + by_m)

    def largest_sphere(self) -> Inscribed:
        thick_m = self.thickness_m if self.taper is None else self.edged_plate.thinnest_and_thickest[1]
        spheres = [thick_m]
        if self.drop_edges:
            drops = [(side, drop.thickness_m, drop.height_m) for drop in self.drop_edges for side in drop.sides]
            spheres += strips_m(thick_m, drops, SIDES)
        spheres += [
            min(cutout.rim_thickness_m, corner_m(thick_m, cutout.rim_width_m))
            for cutout in self.cutouts
            if cutout.rim_thickness_m and cutout.rim_width_m
        ]
        return Inscribed(min(max(spheres), self.length_m, self.width_m))

    # Parts, forms and meshes

    @property
    def rectangle_m(self) -> tuple[float, float]:
        return self.length_m, self.width_m

    def plate(self) -> Plate:
        return Plate(
            (self.length_m, self.width_m),
            self.cutouts,
            self.thickness_m if self.taper is None else self.edged_plate.thinnest_and_thickest[0],
            strips=tuple(
                Strip(side, drop.thickness_m, drop.height_m) for drop in self.drop_edges for side in drop.sides
            ),
            left_out=(f"{len(self.edge_profiles)} worked edges",) if self.edge_profiles else (),
            even=not self.edge_profiles and self.taper is None and not rims_of(self.cutouts),
        )

    def hanging_edges(self) -> tuple[tuple[DropEdge, float], ...]:
        return tuple((drop, drop.thickness_m * max(0.0, drop.height_m - self.thickness_m)) for drop in self.drop_edges)

    def arris_strips(self) -> tuple[ArrisStrip, ...]:
        return tuple(
            ArrisStrip(side, profile.kind, self.length_m if side in ("front", "back") else self.width_m, profile.size_m)
            for profile in self.edge_profiles
            for side in profile.sides
        )

    def stack(self) -> Stack | None:
        slices = self.slices()
        if self.edge_profiles or self.taper is not None:
            return None
        return slices.stack(self.faces("form").strips, [(slices.height_m, True)])

    @property
    def is_keyed(self) -> bool:
        return bool(self.cutouts or self.drop_edges)

    def build_notes(self) -> tuple[Message, ...]:
        notes = [message("form-thickness", thickness_m=self.thickness_m)] if self.taper is None else []
        notes += [
            message("form-drop", sides=side_names(drop.sides), height_m=drop.height_m, thickness_m=drop.thickness_m)
            for drop in self.drop_edges
        ]
        notes += [
            message(f"form-edge-{profile.kind}", sides=side_names(profile.sides), size_m=profile.size_m)
            for profile in self.edge_profiles
        ]
        if self.taper is not None:
            (side,) = side_names((self.taper.to,))
            notes.append(message("form-taper", side=side, thickness_m=self.taper.thickness_m, full_m=self.thickness_m))
        return tuple(notes)

    @property
    def is_cast_face_down(self) -> bool:
        return True

    def plain_form(self) -> PlainForm | None:
        rimmed = any(cutout.rim_width_m or cutout.rim_thickness_m for cutout in self.cutouts)
        if rimmed or not self._has_plain_openings_and_drops:
            return None
        thickest = self.thickness_m if self.taper is None else self.edged_plate.thinnest_and_thickest[1]
        openings = tuple(cutout.rounded for cutout in self.cutouts if cutout.rounded is not None)
        finished = {cutout.depth_m for cutout in self.cutouts if cutout.depth_m is not None}
        if finished and min(finished) <= 0.0:
            return None
        marks = (0.0, *sorted(depth_m for depth_m in finished if depth_m < thickest), thickest)
        strips = [(drop.sides, drop.thickness_m, drop.height_m) for drop in self.drop_edges]
        return PlainForm(self.length_m, self.width_m, thickest, strips_by_side(strips, SIDES), openings, marks)

    def form(self) -> FormPlan:
        thickest = self.edged_plate.thinnest_and_thickest[1]
        slices = replace(self, thickness_m=thickest, taper=None, edge_profiles=()).slices()
        return FormPlan(levels_of_zones(slices.zones), slices.openings)

    def board_name(self, role: str, side: str, number: int, *, raised: bool) -> Message:
        match role:
            case "inside":
                return message("board-drop-inside", side=message(f"side-{side}"))
            case "edge":
                return message("board-drop-end" if raised else "board-side-edge", side=message(f"side-{side}"))
            case _:
                return message("board-cover")

    def manifold(self) -> Any:
        from manifold3d import Manifold, OpType

        stack = self.stack()
        if stack is not None:
            return manifold_of_stack(stack)
        slices, plate = self.slices(), self.edged_plate
        top = slices.height_m
        worked = max((profile.size_m for profile in self.edge_profiles), default=0.0)
        spacing = (1 - np.cos(np.linspace(0.0, pi, 2 * FACET_STEPS + 1))) / 2
        depths = [profile.size_m * spacing for profile in self.edge_profiles]
        levels = np.unique(np.concatenate([[0.0, worked], *depths])).tolist()
        parts = []
        for upper, lower in pairwise(levels):
            corners = [(x, y, top - depth) for depth in (upper, lower) for x, y in corners_of(plate.at(depth).bounds)]
            parts.append(hull(np.array(corners)))
        foot = [(x, y, top - worked) for x, y in corners_of(plate.at(worked).bounds)]
        foot += [(x, y, top - deep) for x, y, deep in plate.thickness_at_corners()]
        parts.append(hull(np.array(foot)))
        for area, depth in slices.behind:
            parts.append(flat_section(area).extrude(depth - worked).translate((0.0, 0.0, top - depth)))
        body = Manifold.batch_boolean(parts, OpType.Add)
        for opening in slices.openings:
            body = body - flat_section(fine_polygon(opening)).extrude(3 * top).translate((0.0, 0.0, -top))
        return body


@lru_cache(maxsize=16)  # measure, layers, view and sections of one piece follow each other
def _slices(slab: Slab) -> Slices:
    """The slab's slices. Raises FaultError for dimensions that cannot be built."""
    _refuse_plate(slab)
    plate = slab.edged_plate
    thin, thick = plate.thinnest_and_thickest
    rectangle = shapely.box(0.0, 0.0, slab.length_m, slab.width_m)
    openings = outlines_of(slab.cutouts, rectangle)
    under = (*_drops(slab), *_rims(slab, openings, rectangle))
    height = max(slab.thickness_m, thick, *(depth for _, depth in under), 0.0)
    refuse_too_deep(slab.cutouts, height, "piece")

    def at(depth: float) -> Plan:
        below = united(area for area, deepest in under if deepest > depth)
        return Plan(united([plate.left_at(depth), shapely.intersection(below, plate.at(depth))])).less_all(openings)

    marks = {0.0, slab.thickness_m, thin, thick, height, *(depth for _, depth in under)}
    marks |= {profile.size_m for profile in slab.edge_profiles}
    marks |= {cutout.depth_m for cutout in slab.cutouts if cutout.depth_m is not None}
    marks |= plate.taper_marks(openings, under)
    zones = [_zone(plate, start, end, at) for start, end in pairwise(sorted(marks)) if end - start > NEAR * height]
    full = Plan(rectangle).less_all(openings)
    return Slices(tuple(zones), full, openings, under)


def _zone(plate: EdgedPlate, start: float, end: float, at: Callable[[float], Plan]) -> Zone:
    middle = (start + end) / 2
    thin, thick = plate.thinnest_and_thickest
    if plate.is_worked(middle) or thin < middle < thick:
        return Zone(start, end, at, varies=True)
    return Zone.steady(start, end, at(middle))


def _steps(zone: Zone) -> list[float]:
    """Depths of lines that stand for a worked edge, closer at both ends, where a curve runs out."""
    half = (zone.end_m - zone.start_m) / 2
    depths: list[float] = (zone.middle_m - half * np.cos((np.arange(STEPS) + 0.5) * np.pi / STEPS)).tolist()
    return depths


# Dimensions that cannot be built


def _refuse_plate(slab: Slab) -> None:
    require_dimensions(length=slab.length_m, width=slab.width_m, thickness=slab.thickness_m)
    if slab.taper is not None:
        require_positive(slab.taper.thickness_m, "taper.thickness")
        require(
            slab.taper.to in SIDES,
            "taper.to",
            message("side-unknown", side=f"{slab.taper.to!r}", sides=", ".join(SIDES)),
        )
    plate = slab.edged_plate
    for i, drop in enumerate(slab.drop_edges):
        _refuse_drop(plate, drop, f"drop_edges[{i}]")
    thin, _ = plate.thinnest_and_thickest
    insets = dict.fromkeys(SIDES, 0.0)
    for i, profile in enumerate(slab.edge_profiles):
        key = f"edge_profiles[{i}]"
        require_positive(profile.size_m, f"{key}.size")
        _refuse_sides(profile.sides, f"{key}.sides")
        for side in profile.sides:
            require(insets[side] == 0, f"{key}.sides", message("edge-twice", side=side))
            insets[side] = profile.size_m
        require(
            profile.size_m <= thin * (1 + NEAR),
            f"{key}.size",
            message("edge-too-large", size_m=profile.size_m, thin_m=thin),
        )
        require(
            insets["left"] + insets["right"] < slab.length_m and insets["front"] + insets["back"] < slab.width_m,
            f"{key}.size",
            message("edge-leaves-nothing"),
        )


def _refuse_drop(plate: EdgedPlate, drop: DropEdge, key: str) -> None:
    _, thick = plate.thinnest_and_thickest
    require_dimensions(**{f"{key}.height": drop.height_m, f"{key}.thickness": drop.thickness_m})
    _refuse_sides(drop.sides, f"{key}.sides")
    require(
        drop.height_m >= thick * (1 - NEAR),
        f"{key}.height",
        message("drop-too-low", height_m=drop.height_m, thick_m=thick),
    )
    for side in drop.sides:
        across = plate.across_m(side)
        require(
            drop.thickness_m <= across,
            f"{key}.thickness",
            message("drop-too-thick", thickness_m=drop.thickness_m, across_m=across),
        )


def _refuse_sides(sides: tuple[Side, ...], key: str) -> None:
    require(bool(sides), key, message("sides-none", sides=", ".join(SIDES)))
    for side in sides:
        require(side in SIDES, key, message("side-unknown", side=f"{side!r}", sides=", ".join(SIDES)))


# What hangs below the plate


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
    _, thick = slab.edged_plate.thinnest_and_thickest
    for i, (cutout, opening) in enumerate(zip(slab.cutouts, openings, strict=True)):
        if cutout.rim_thickness_m is None or cutout.rim_width_m is None:
            continue
        require(
            cutout.rim_thickness_m >= thick * (1 - NEAR),
            f"cutouts[{i}].rim_thickness",
            message("rim-too-thin", rim_thickness_m=cutout.rim_thickness_m, thick_m=thick),
        )
        grown_area = within_reach(fine_polygon(opening), cutout.rim_width_m, 1, "mitre")
        rims.append((shapely.intersection(grown_area, rectangle), cutout.rim_thickness_m))
    return rims
