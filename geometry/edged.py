"""Flat pieces with worked edges: the common base of slabs and drawn outlines, as slices by depth below the top."""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache
from itertools import pairwise
from math import pi, sqrt
from typing import Any

import numpy as np
import shapely

from geometry.cutouts import Cutout, outlines_of, overlap_notes, refuse_too_deep
from geometry.errors import require, require_dimensions
from geometry.inscribed import corner_m
from geometry.inset import INNER, Area, counterclockwise, segments_of, turn_between
from geometry.manifolds import corners_of, flat_section, hull, loft, manifold_of_stack
from geometry.message import Message, message
from geometry.plan import NEAR, Plan, fine_polygon, united, within_reach
from geometry.plan_edges import Edge, EdgePart, PlanEdge, chosen
from geometry.plane import Region
from geometry.plate import DropEdge, EdgedPlate, EdgeProfile, EdgeWork, Section, edged_plate, lengths_of, lines_of
from geometry.shape import (
    ArrisStrip,
    Bounds,
    FacesOf,
    HangingEdge,
    SlicedShape,
    Strip,
    Wall,
    WorkedEdge,
    rims_of,
    side_names,
)
from geometry.slices import Faces, Flat, Slices, Stack, Zone, all_flats
from geometry.slices import Strip as Face
from geometry.solid import Solid
from geometry.taper import Wedge

STEPS = 24
"""Number of lines that approximate a worked edge when layers are measured from it."""

FACET_STEPS = 48
"""Number of levels of a worked edge in a mesh."""

INSIDE_CORNER = 2.0 * sqrt(2.0) / (1.0 + sqrt(2.0))
"""Ratio of diameter to thickness of the inscribed circle where a strip turns around an inside corner of 90°."""


class EdgedShape(SlicedShape):
    """A flat piece with cut-outs, drop edges and worked edges. Its top is at z = the height of the deepest drop."""

    __slots__ = ()

    thickness_m: float
    cutouts: tuple[Cutout, ...]
    drop_edges: tuple[DropEdge, ...]
    edge_profiles: tuple[EdgeProfile, ...]
    raw_edges: tuple[Edge, ...]

    @property
    @abstractmethod
    def footprint(self) -> Region:
        """Its plan without cut-outs; the outline may be counterclockwise or clockwise."""

    @property
    @abstractmethod
    def numbered_edges(self) -> tuple[PlanEdge, ...]:
        """The edges of its outline, counterclockwise."""

    @property
    def wedge(self) -> Wedge | None:
        """Its sloping underside; None if it is level."""
        return None

    @property
    def edged_plate(self) -> EdgedPlate:
        """The plate with its edge work. Raises FaultError for edges that cannot be made."""
        return _plate(self)

    @property
    def has_edge_work(self) -> bool:
        """Whether it has drop, profiled or raw edges."""
        return bool(self.drop_edges or self.edge_profiles or self.raw_edges)

    @property
    def is_prism(self) -> bool:
        """Whether its plan is the same at each depth."""
        rimmed = any(cutout.rim_thickness_m is not None for cutout in self.cutouts)
        return not (self.has_edge_work or rimmed or self.wedge is not None)

    # Volume and layers

    def slices(self) -> Slices:
        return slices_of(self)

    def slices_in_view(self) -> Slices:
        return _prism_slices(self) if self.is_prism else self.slices()

    def solid_by_slices(self) -> Solid:
        """Measure by slices, a method that works for every piece of this kind."""
        slices, plate = self.slices(), self.edged_plate
        moments = slices.moments()
        exact = not any(cutout.is_ellipse for cutout in self.cutouts)
        outer = raw = cut = finished_cut = inner = 0.0
        for zone in slices.zones:
            for depth, share, plan in zone.slices():
                lengths = _side_lengths(areas_at(self, depth), plan)
                stretch = plate.stretches(depth)
                openings = [plan.length_of(opening) for opening in _pierced(self)]
                holes = len(self.footprint.holes)
                for place, length in lengths.items():
                    area = share * length * (stretch[place] if place >= 0 else 1.0)
                    outer += area
                    raw += area if place >= 0 and self._is_unseen(plate, place) else 0.0
                cut += share * sum(openings)
                finished_cut += share * sum(openings[:holes]) + share * sum(
                    length
                    for length, cutout in zip(openings[holes:], self.cutouts, strict=True)
                    if cutout.edge == "finished" and depth < (cutout.depth_m or slices.height_m)
                )
                moving = 0.0 if self.wedge is None else plan.length_along(self.wedge.line(depth))
                inner += share * max(plan.perimeter_m - sum(lengths.values()) - sum(openings) - moving, 0.0)
                exact = exact and plan.exact
        top = slices.zones[0].at(0.0).area_m2
        x0, y0, x1, y1 = self.footprint.bounds
        return Solid(
            volume_m3=moments.volume_m3,
            surface_area_m2=top + self._underside_m2(slices) + outer + cut + inner,
            form_area_m2=top + outer + cut,
            finished_area_m2=top + outer - raw + finished_cut,
            edge_lengths_m=self.edge_lengths_m(slices),
            centroid_m=moments.centroid_m,
            size_m=(x1 - x0, y1 - y0, slices.height_m),
            lowest_m=(x0, y0, 0.0),
            inertia_m5=moments.inertia_m5,
            tolerance=0.0 if exact else 1e-6,
            notes=overlap_notes(slices.openings),
        )

    @staticmethod
    def _is_unseen(plate: EdgedPlate, place: int) -> bool:
        """Whether a part of the outline is invisible in use: raw, or glued to a leg."""
        section = plate.sections[place]
        return plate.raw[place] or (section is not None and section.kind == "mitre")

    def _underside_m2(self, slices: Slices) -> float:
        plate = self.edged_plate
        level = Plan.of(plate.foot.region).less_all(_pierced(self)).area_m2
        if self.wedge is None:
            return level
        hanging = united([area for area, _ in slices.behind])
        sloping = shapely.difference(slices.full.polygon, hanging).area
        return level + float(sloping) * (self.wedge.steepness - 1.0)

    def outline_lengths_m(self) -> dict[str, float]:
        """Lengths of the outline less openings that cut it, and of its dropped, profiled, mitered and raw parts, m."""
        plate = self.edged_plate
        full = Plan.of(plate.outline.region).less_all(_pierced(self))
        lengths = _side_lengths((plate.outline,), full)
        kinds = [None if section is None else section.kind for section in plate.sections]

        def where(has: Iterable[bool]) -> float:
            return sum(lengths.get(place, 0.0) for place, here in enumerate(has) if here)

        return {
            "outer": sum(lengths.values()),
            "drops": where(bool(own) for own in plate.drops),
            "profiled": where(kind not in (None, "mitre") for kind in kinds),
            "mitred": where(kind == "mitre" for kind in kinds),
            "raw": where(plate.raw),
        }

    @abstractmethod
    def edge_lengths_m(self, slices: Slices) -> dict[str, float]:
        """Lengths of its edges by kind, m."""

    def faces(self, which: FacesOf) -> Faces:
        slices = self.slices()
        plate, fixed = self.edged_plate, _fixed_lines(self, every=which == "all")
        strips: list[Face] = []
        for zone in slices.zones:
            plan = zone.at(zone.start_m)
            if not plate.is_worked(zone.middle_m):
                lines = united([*fixed, *_sides(areas_at(self, zone.middle_m))])
                strips.append(Face(plan.edges_along(lines), zone.start_m, zone.end_m))
                continue
            strips.append(Face(plan.edges_along(united(fixed)), zone.start_m, zone.end_m))
            for depth in _steps(zone):
                plan, areas = zone.at(depth), areas_at(self, depth)
                lines = united(_sides(areas))
                edges = lines if _is_whole(areas, plan) else plan.edges_along(lines)
                strips.append(Face(edges, depth, depth, step=True))
        if which == "form":
            return Faces(tuple(strips), (Flat(slices.zones[0].at(0.0).polygon, 0.0),))
        return Faces(tuple(strips), all_flats(slices.zones), () if self.wedge is None else self.wedge.slopes())

    # Areas and sizes

    @property
    def cuts(self) -> tuple[Cutout, ...]:
        return self.cutouts

    def edge_walls(self) -> tuple[Wall, ...]:
        """Walls of its drop edges and of the rims of its cut-outs."""
        drops = [
            Wall("drop", f"drop_edges[{i}].thickness", min(drop.thickness_m, drop.height_m))
            for i, drop in enumerate(self.drop_edges)
        ]
        return (*drops, *rims_of(self.cutouts))

    def edge_spheres_m(self) -> list[float]:
        """Diameters of the inscribed spheres where drops meet the plate and each other, and in thickened rims, m."""
        thick_m = self.thickness_m if self.wedge is None else self.wedge.thinnest_and_thickest[1]
        spheres = [thick_m, *(self._drop_spheres_m(thick_m) if self.drop_edges else ())]
        spheres += [
            min(cutout.rim_thickness_m, corner_m(thick_m, cutout.rim_width_m))
            for cutout in self.cutouts
            if cutout.rim_thickness_m and cutout.rim_width_m
        ]
        return spheres

    def _drop_spheres_m(self, thick_m: float) -> list[float]:
        """Diameters of the inscribed spheres where drops meet the plate and each other, m."""
        plate = self.edged_plate
        segments = segments_of(plate.ring)
        spheres: list[float] = []
        widest = [max(own, default=(0.0, 0.0)) for own in plate.drops]
        for place, (thickness_m, height_m) in enumerate(widest):
            if not thickness_m:
                continue
            spheres.append(min(corner_m(thick_m, thickness_m), height_m))
            before_m, before_height_m = widest[place - 1]
            if before_m:
                turn = turn_between(segments[place - 1], segments[place])
                deep_m = max(height_m, before_height_m)
                if turn > pi / 6:
                    spheres.append(min(corner_m(thick_m, before_m, thickness_m), deep_m))
                elif turn < -pi / 6:
                    spheres.append(min(corner_m(thick_m, INSIDE_CORNER * max(before_m, thickness_m)), deep_m))
        return spheres

    # Parts, forms and meshes

    def length_along(self, edges: Sequence[Edge]) -> float:
        """Total length of edges or parts of edges, m. Raises FaultError for edges that it does not have."""
        return sum(stretch.to_m - stretch.from_m for stretch in chosen(self.numbered_edges, edges, "edges"))

    def hanging_edges(self) -> tuple[HangingEdge, ...]:
        return tuple(self._hanging(drop) for drop in self.drop_edges)

    def _hanging(self, drop: DropEdge) -> HangingEdge:
        stretches = chosen(self.numbered_edges, drop.edges, "edges")
        numbers = dict.fromkeys(stretch.number for stretch in stretches)
        sides = dict.fromkeys(side for number in numbers if (side := self.numbered_edges[number - 1].side))
        return HangingEdge(
            tuple(numbers),
            tuple(sides),
            sum(stretch.to_m - stretch.from_m for stretch in stretches),
            drop.height_m,
            drop.thickness_m,
            drop.thickness_m * max(0.0, drop.height_m - self.thickness_m),
        )

    def strips(self) -> tuple[tuple[Strip, ...], tuple[Message, ...]]:
        """Strips along whole sides of a rectangle, and messages about other edge work, which is left out."""
        if not (self.drop_edges or self.edge_profiles):
            return (), ()
        plate = self.edged_plate
        left_out = [message("bending-edges")] if self.edge_profiles else []
        strips: list[Strip] = []
        for number, drops, segment in zip(plate.numbers, plate.drops, segments_of(plate.ring), strict=True):
            edge = plate.edges[number - 1]
            whole = edge.side is not None and plate.numbers.count(number) == 1 and segment.is_straight
            if not (whole and self.rectangle_m is not None) and drops:
                left_out.append(message("bending-drop", number=str(number)))
            elif edge.side is not None:
                strips += [Strip(edge.side, thickness_m, height_m) for thickness_m, height_m in drops]
        return tuple(strips), tuple(left_out)

    @abstractmethod
    def edge_title(self, edge: PlanEdge) -> Message:
        """Shop name of an edge of the outline."""

    def worked_edges(self) -> tuple[WorkedEdge, ...]:
        if not self.has_edge_work:
            return ()
        plate = self.edged_plate
        thick_m = plate.thinnest_and_thickest[1]
        lengths: dict[tuple[int, tuple[float, float], Section | None, bool], float] = {}
        parts = zip(plate.numbers, plate.drops, plate.sections, plate.raw, segments_of(plate.ring), strict=True)
        for number, drops, section, raw, segment in parts:
            if drops or section is not None or raw:
                key = (number, max(drops, key=lambda drop: drop[1], default=(0.0, 0.0)), section, raw)
                lengths[key] = lengths.get(key, 0.0) + segment.length_m
        return tuple(
            WorkedEdge(
                number,
                plate.edges[number - 1].side,
                length_m,
                height_m,
                thickness_m,
                None if section is None else section.kind,
                0.0 if section is None else section.size_m,
                raw,
                max(0.0, height_m - thick_m),
                thickness_m * max(0.0, height_m - thick_m),
            )
            for (number, (thickness_m, height_m), section, raw), length_m in sorted(
                lengths.items(), key=lambda item: item[0][0]
            )
        )

    def edge_depths(self) -> tuple[tuple[PlanEdge, float], ...]:
        """(edge, width of its drop or profile in m) of all edges."""
        depths: dict[int, float] = {}
        if self.drop_edges or self.edge_profiles:
            plate = self.edged_plate
            for number, section, drops in zip(plate.numbers, plate.sections, plate.drops, strict=True):
                own = [0.0 if section is None else section.size_m, *(thickness_m for thickness_m, _ in drops)]
                depths[number] = max(depths.get(number, 0.0), *own)
        return tuple((edge, depths.get(edge.number, 0.0)) for edge in self.numbered_edges)

    def arris_strips(self) -> tuple[ArrisStrip, ...]:
        if not self.edge_profiles:
            return ()
        plate = self.edged_plate
        runs: dict[tuple[int, str, float], float] = {}
        for number, section, segment in zip(plate.numbers, plate.sections, segments_of(plate.ring), strict=True):
            if section is not None:
                key = (number, section.kind, section.size_m)
                runs[key] = runs.get(key, 0.0) + segment.length_m
        return tuple(
            ArrisStrip(self.edge_title(plate.edges[number - 1]), kind, run_m, size_m)
            for (number, kind, size_m), run_m in runs.items()
        )

    def footing_bounds(self) -> Bounds | None:
        return self.edged_plate.foot.region.bounds if self.edge_profiles else None

    def stack(self) -> Stack | None:
        if self.edge_profiles or self.wedge is not None:
            return None
        slices = self.slices()
        return slices.stack(self.faces("form").strips, [(slices.height_m, True)])

    def edge_notes(self) -> Iterator[Message]:
        """Yield notes about its edges for the form builder."""
        for drop in self.drop_edges:
            named = self._edge_names(drop.edges)
            yield message("form-drop", sides=named, height_m=drop.height_m, thickness_m=drop.thickness_m)
        for profile in self.edge_profiles:
            size_m = self.profile_size_m(profile)
            yield message(f"form-edge-{profile.kind}", sides=self._edge_names(profile.edges), size_m=size_m)

    def _edge_names(self, edges: Sequence[Edge]) -> tuple[Message, ...]:
        """Names of edges for the form builder: by number if the drawing shows numbers."""
        if self.edge_numbers is None:
            return edge_names(edges)
        plan = self.numbered_edges
        stretches = chosen(plan, edges, "edges")
        return edge_names(
            [EdgePart(s.number, from_m=s.from_m, to_m=s.to_m) if s.is_part_of(plan) else s.number for s in stretches]
        )

    def profile_size_m(self, profile: EdgeProfile) -> float:
        """Size of a profile, m: as given, else the default of its kind."""
        if profile.size_m is not None:
            return profile.size_m
        sections = self.edged_plate.sections
        return max(section.size_m for section in sections if section is not None and section.kind == profile.kind)

    def manifold(self) -> Any:
        stack = self.stack()
        return manifold_of_stack(stack) if stack is not None else _manifold(self)


def edge_names(edges: Sequence[Edge]) -> tuple[Message, ...]:
    """Names of edges for people; edges given by number are combined."""
    numbers = [str(edge) for edge in edges if isinstance(edge, int)]
    names = [_name(edge) for edge in edges if not isinstance(edge, int)]
    if numbers:
        names.append(message("edges-by-number", numbers=numbers, count=len(numbers)))
    return tuple(names)


def _name(edge: Edge) -> Message:
    if isinstance(edge, EdgePart):
        if edge.edge is None:
            return message("edge-near")
        whole = edge.from_m is None and edge.to_m is None
        return _name(edge.edge) if whole else message("edge-part-of", edge=_name(edge.edge))
    return side_names([edge])[0] if isinstance(edge, str) else message("edges-by-number", numbers=[str(edge)], count=1)


@lru_cache(maxsize=512)  # its edges are priced in every estimate of a job, whatever else of it changed
def _plate(shape: EdgedShape) -> EdgedPlate:
    edges = shape.numbered_edges
    work = EdgeWork(shape.drop_edges, shape.edge_profiles, shape.raw_edges)
    return edged_plate(counterclockwise(shape.footprint.outer), edges, shape.thickness_m, work, shape.wedge)


def _pierced(shape: EdgedShape) -> tuple[Region, ...]:
    """Regions of the holes of the drawing, then of the cut-outs."""
    return (*_holes(shape.footprint), *shape.slices().openings)


@lru_cache(maxsize=64)
def _holes(region: Region) -> tuple[Region, ...]:
    return tuple(Region._made(hole, ()) for hole in region.holes)


# Slices -------------------------------------------------------------------------------------------------------


@lru_cache(maxsize=64)  # the measure, layers, view and sections of a piece all use it
def slices_of(shape: EdgedShape) -> Slices:
    """Slices of an edged plate. Raises FaultError for dimensions that cannot be built."""
    plate = shape.edged_plate
    thin, thick = plate.thinnest_and_thickest
    region = shape.footprint
    openings = outlines_of(shape.cutouts, fine_polygon(region))
    pierced = (*_holes(region), *openings)
    whole = fine_polygon(Region._made(region.outer, ()))
    rims = tuple(_rims(shape, openings, whole))
    drops = sorted({height for own in plate.drops for _, height in own})
    hanging = [(area, height) for height in drops for area in plate.hanging(height * (1 - NEAR))]
    behind = (*((fine_polygon(area.region), height) for area, height in hanging), *rims)
    height = max([shape.thickness_m, thick, *(depth for _, depth in behind)])
    refuse_too_deep(shape.cutouts, height, "piece")

    def at(depth: float) -> Plan:
        return _plan(shape, depth, rims).less_all(pierced)

    marks = {*plate.marks, shape.thickness_m, height, *(depth for _, depth in rims)}
    marks |= {cutout.depth_m for cutout in shape.cutouts if cutout.depth_m is not None}
    if plate.wedge is not None:
        marks |= plate.wedge.marks(openings, tuple(area for area, _ in behind))
    zones = []
    for start, end in pairwise(sorted(marks)):
        middle = (start + end) / 2
        if end - start > NEAR * height and start < height:
            varies = plate.is_worked(middle) or thin < middle < thick
            zones.append(Zone(start, end, at, varies=True) if varies else Zone.steady(start, end, at(middle)))
    full = Plan.of(Region._made(region.outer, ())).less_all(pierced)
    return Slices(tuple(zones), full, openings, behind)


@lru_cache(maxsize=64)
def _prism_slices(shape: EdgedShape) -> Slices:
    """Slices of a plate that is a prism, for drawings, which do not need its edges numbered."""
    require_dimensions(thickness=shape.thickness_m)
    outer = Region._made(counterclockwise(shape.footprint.outer), ())
    openings = outlines_of(shape.cutouts, fine_polygon(shape.footprint))
    height = shape.thickness_m
    refuse_too_deep(shape.cutouts, height, "piece")
    full = Plan.of(outer).less_all((*_holes(shape.footprint), *openings))
    marks = {0.0, height, *(cutout.depth_m for cutout in shape.cutouts if cutout.depth_m is not None)}
    zones = [
        Zone.steady(start, end, full)
        for start, end in pairwise(sorted(marks))
        if end - start > NEAR * height and start < height
    ]
    return Slices(tuple(zones), full, openings)


def areas_at(shape: EdgedShape, depth: float) -> tuple[Area, ...]:
    """Areas of the plate, or of the drops below it, at a depth."""
    plate = shape.edged_plate
    return (plate.top(depth),) if depth < plate.thinnest_and_thickest[1] else plate.hanging(depth)


def _plan(shape: EdgedShape, depth: float, rims: Sequence[tuple[shapely.Geometry, float]]) -> Plan:
    """The slice at a depth, before openings are subtracted."""
    plate = shape.edged_plate
    thin, thick = plate.thinnest_and_thickest
    rest = [area for area, deepest in rims if deepest > depth]
    if thin <= depth < thick and plate.wedge is not None:
        left = shapely.intersection(fine_polygon(plate.top(depth).region), plate.wedge.thicker_than(depth))
        return Plan(united([left, *(fine_polygon(area.region) for area in plate.hanging(depth)), *rest]))
    plan = Plan(shapely.Polygon(), tuple(area.region for area in areas_at(shape, depth)))
    if rest and depth >= thick:
        plan = plan.plus(Plan(united(rest)))
    return plan


def _rims(
    shape: EdgedShape, openings: Sequence[Region], whole: shapely.Geometry
) -> Iterator[tuple[shapely.Geometry, float]]:
    thick = shape.edged_plate.thinnest_and_thickest[1]
    for i, (cutout, opening) in enumerate(zip(shape.cutouts, openings, strict=True)):
        if cutout.rim_thickness_m is None or cutout.rim_width_m is None:
            continue
        require(
            cutout.rim_thickness_m >= thick * (1 - NEAR),
            f"cutouts[{i}].rim_thickness",
            message("rim-too-thin", rim_thickness_m=cutout.rim_thickness_m, thick_m=thick),
        )
        grown = within_reach(fine_polygon(opening), cutout.rim_width_m, 1, "mitre")
        yield shapely.intersection(grown, whole), cutout.rim_thickness_m


def _is_whole(areas: Sequence[Area], plan: Plan) -> bool:
    """Whether the sides of a slice are untouched by openings, rims and slopes."""
    whole = {id(region) for region in plan.added}
    return all(id(area.region) in whole for area in areas)


def _side_lengths(areas: Sequence[Area], plan: Plan) -> dict[int, float]:
    """Lengths of the sides of a slice by the part of the outline that they belong to (STEP for other ends), m."""
    whole = _is_whole(areas, plan)
    lengths: dict[int, float] = {}
    for area in areas:
        if whole:
            own = {owner: length for owner, length in lengths_of(area).items() if owner != INNER}
        else:
            own = {owner: plan.length_along(line) for owner, line in lines_of(area).items()}
        for owner, length in own.items():
            lengths[owner] = lengths.get(owner, 0.0) + length
    return lengths


def _fixed_lines(shape: EdgedShape, *, every: bool) -> list[shapely.Geometry]:
    """Lines of plumb faces: those of openings, and with `every` also those of drops and rims below the plate."""
    lines = [shapely.boundary(fine_polygon(opening)) for opening in _pierced(shape)]
    return lines + [shapely.boundary(area) for area, _ in shape.slices().behind] if every else lines


def _sides(areas: Sequence[Area]) -> list[shapely.Geometry]:
    return [line for area in areas for line in lines_of(area).values()]


def _steps(zone: Zone) -> list[float]:
    """Depths of the lines that approximate a worked edge, denser toward both ends, where a curve becomes tangent."""
    half = (zone.end_m - zone.start_m) / 2
    depths: list[float] = (zone.middle_m - half * np.cos((np.arange(STEPS) + 0.5) * np.pi / STEPS)).tolist()
    return depths


# As facets ----------------------------------------------------------------------------------------------------


def _manifold(shape: EdgedShape) -> Any:
    from manifold3d import Manifold, OpType

    slices, plate = shape.slices(), shape.edged_plate
    top = slices.height_m
    worked = max((section.reach_m for section in plate.sections if section is not None), default=0.0)
    thick = plate.thinnest_and_thickest[1]
    rims = sum(cutout.rim_width_m is not None for cutout in shape.cutouts)
    parts = []
    for zone in slices.zones:
        if plate.wedge is not None and worked - NEAR <= zone.middle_m < thick:
            continue
        if plate.is_worked(zone.middle_m):
            half = (zone.end_m - zone.start_m) / 2
            depths = zone.middle_m - half * np.cos(np.linspace(0.0, pi, FACET_STEPS + 1))
            looks = np.clip(depths, zone.start_m, zone.end_m * (1 - NEAR))
            levels = [areas_at(shape, float(look)) for look in looks]
            for areas in zip(*levels, strict=True):
                parts.append(loft([area.region for area in areas], [top - float(depth) for depth in depths]))
        else:
            for area in areas_at(shape, zone.middle_m):
                prism = flat_section(fine_polygon(area.region)).extrude(zone.end_m - zone.start_m)
                parts.append(prism.translate((0.0, 0.0, top - zone.end_m)))
    if plate.wedge is not None:
        foot = [(x, y, top - worked) for x, y in corners_of(plate.top(worked).region.bounds)]
        foot += [(x, y, top - deep) for x, y, deep in plate.wedge.thickness_at_corners()]
        parts.append(hull(np.array(foot)))
    for area, depth in slices.behind if plate.wedge is not None else slices.behind[len(slices.behind) - rims :]:
        parts.append(flat_section(area).extrude(depth - worked).translate((0.0, 0.0, top - depth)))
    body = Manifold.batch_boolean(parts, OpType.Add)
    for opening in _pierced(shape):
        body = body - flat_section(fine_polygon(opening)).extrude(3 * top).translate((0.0, 0.0, -top))
    return body
