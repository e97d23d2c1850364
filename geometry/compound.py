"""Unions and differences of parts.

Parts that are stacks of prisms are united slice by slice, exactly. Parts that do not touch are added up. All others
are united as meshes.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import lru_cache
from itertools import combinations, pairwise
from typing import Any, Literal

import numpy as np
import shapely

from geometry.arrays import Floats, Ints, vector
from geometry.errors import FaultError, require
from geometry.facets import tally
from geometry.frozen import frozen
from geometry.inscribed import Inscribed, sphere_in_facets
from geometry.manifolds import moments_of_facets
from geometry.message import Message, message
from geometry.plan import NEAR, Plan, united
from geometry.plane import Region
from geometry.shape import FacesOf, FormPlan, Part, Shape, Wall, plan_view
from geometry.shell import shell
from geometry.slices import (
    Faces,
    Flat,
    Stack,
    Strip,
    Zone,
    all_flats,
    deeper_than,
    distinct,
    levels_of_stacks,
    moments_of,
    turned_over,
)
from geometry.solid import Moments, Solid
from geometry.views import (
    Axis,
    CrossSection,
    PlanArea,
    PlanView,
    cut_zones,
    edges_of_zones,
    plan_area_of_box,
    plan_area_of_facets,
    plan_area_of_shadow,
    regions_of,
    section_of_area,
    section_of_facets,
    view_of_box,
    view_of_facets,
)

FACETED = 1e-5
"""Relative error allowed for a compound whose curves are faceted."""


@frozen
class Placed:
    """A shape moved so that its own origin lies at `at_m`."""

    shape: Shape
    at_m: tuple[float, float, float] = (0.0, 0.0, 0.0)


@frozen
class Compound(Shape):
    """The union of added parts less the subtracted ones; overlaps count once."""

    add: tuple[Placed, ...]
    subtract: tuple[Placed, ...] = ()

    # Volume and layers

    def solid(self) -> Solid:
        """Measure the compound.

        Form and finished area: the form faces of the added parts that remain at the surface, and all faces left by
        subtracted parts. If the parts are united as meshes, the whole surface, which a note says. The key of a part's
        fault names the part.
        """
        require(bool(self.add), "add", message("compound-empty"))
        solids = [_of_part(lambda shape: shape.solid(), placed, f"add[{i}]") for i, placed in enumerate(self.add)]
        for i, placed in enumerate(self.subtract):
            _of_part(lambda shape: shape.solid(), placed, f"subtract[{i}]")
        body = stacked(self)
        if body is not None:
            return _measure_stacked(body, _overlap_notes(self, solids))
        if not self.subtract and _stand_apart(self, solids):
            return _added_up(self, solids)
        return _measure_faceted(*faceted(self), solids)

    @property
    def cast_thickness_m(self) -> None:
        return None

    def moments(self) -> Moments:
        body = stacked(self)
        return moments_of(body.zones) if body is not None else moments_of_facets(*faceted(self))

    def deeper_than(self, reach_m: float, faces: FacesOf) -> Moments:
        body = stacked(self)
        if body is not None:
            return deeper_than(body.zones, body.faces(faces), reach_m)
        coat = shell(*faceted(self), reach_m)
        return self.moments() - Moments.of_balance(coat.volume_m3, coat.centroid_m, coat.inertia_m5)

    # Areas and sizes

    def plan_area(self) -> PlanArea:
        body = stacked(self)
        if body is not None:
            return plan_area_of_shadow(united([plan.polygon for plan in body.plans]))
        facets = _facets_if_kept(self)
        return plan_area_of_box(self.solid().size_m) if facets is None else plan_area_of_facets(*facets)

    def extents(self) -> tuple[tuple[str, float], ...]:
        return tuple(
            (f"add[{i}].{key}".rstrip("."), size_m)
            for i, part in enumerate(self.add)
            for key, size_m in part.shape.extents()
        )

    def walls(self) -> tuple[Wall, ...]:
        return tuple(
            Wall(wall.name, f"add[{i}].{wall.key}", wall.thickness_m, wall.nominal)
            for i, part in enumerate(self.add)
            for wall in part.shape.walls()
        )

    def thicker(self, by_m: float) -> None:
        return None

    def largest_sphere(self) -> Inscribed:
        return Inscribed(sphere_in_facets(*faceted(self)))

    # Parts, drawings and forms

    def opening_outlines(self) -> tuple[Region, ...]:
        return tuple(
            outline.translated(*part.at_m[:2]) for part in self.add for outline in part.shape.opening_outlines()
        )

    def plate(self) -> None:
        return None

    @property
    def is_walled(self) -> bool:
        return all(part.shape.is_walled for part in self.add)

    @property
    def edge_numbers(self) -> Literal["plan", "section"] | None:
        return "plan"

    @property
    def is_cast_face_down(self) -> bool:
        return self.add[0].shape.is_cast_face_down

    @property
    def face_is_lowest(self) -> bool:
        return self.add[0].shape.face_is_lowest

    def build_notes(self) -> tuple[Message, ...]:
        """Notes on its parts, less their thickness, which `parts` gives."""
        return tuple(
            message("form-part-note", number=i, note=note)
            for i, part in enumerate(self.add, start=1)
            for note in part.shape.build_notes()
            if note.id != "form-thickness"
        )

    def parts(self) -> tuple[Part, ...]:
        return tuple(
            _in_place(message(id, number=i), part)
            for id, parts in (("form-part-added", self.add), ("form-part-out", self.subtract))
            for i, part in enumerate(parts, start=1)
        )

    def form(self) -> FormPlan:
        """Form, cast face down if the first part is a plate with its face up; no levels unless all parts are prisms."""
        stacks = [part.shape.stack() for part in self.add + self.subtract]
        placed = [
            stack.moved(part.at_m)
            for stack, part in zip(stacks, self.add + self.subtract, strict=True)
            if stack is not None
        ]
        if len(placed) < len(stacks):
            return FormPlan(())
        levels = levels_of_stacks(placed[: len(self.add)], placed[len(self.add) :])
        plate = self.add[0].shape.plate()
        face_up = plate is not None and plate.face_up
        return FormPlan(turned_over(levels) if face_up else levels, plan_view(self).openings if levels else ())

    def view(self) -> PlanView:
        body = stacked(self)
        if body is None:
            facets = _facets_if_kept(self)
            if facets is not None:
                return view_of_facets(*facets)
            solid = self.solid()
            return view_of_box(solid.lowest_m, solid.size_m)
        whole = united([plan.polygon for plan in body.plans])
        widest = max(body.plans, key=lambda plan: float(plan.polygon.area))
        full = widest if whole.area - widest.polygon.area <= 1e-9 * whole.area else Plan(whole)
        seen, hidden = edges_of_zones(body.zones[::-1], full)
        material = regions_of(full)
        return PlanView(material, tuple(Region(hole) for region in material for hole in region.holes), seen, hidden)

    @property
    def cut_along(self) -> tuple[Axis, ...]:
        return ("x",) if stacked(self) is None else ("x", "y")

    def cross_section(self, at_m: float, axis: Axis = "x") -> CrossSection | None:
        body = stacked(self)
        if body is not None:
            return section_of_area(cut_zones(body.zones, at_m, None, axis), at_m, axis)
        facets = _facets_if_kept(self)
        return None if facets is None else section_of_facets(*facets, at_m)

    def manifold(self) -> Any:
        from manifold3d import Manifold, OpType

        def placed_as(placed: Placed, key: str) -> Any:
            return _of_part(lambda shape: shape.manifold(), placed, key).translate(placed.at_m)

        body = Manifold.batch_boolean([placed_as(p, f"add[{i}]") for i, p in enumerate(self.add)], OpType.Add)
        for i, placed in enumerate(self.subtract):
            body = body - placed_as(placed, f"subtract[{i}]")
        return body


@frozen(eq=False)
class StackedBody:
    """A compound of prisms: slices from the bottom up, and their faces that are cast against the form."""

    zones: tuple[Zone, ...]
    formed_lines: tuple[shapely.Geometry, ...]
    formed_flats: tuple[Flat, ...]
    flat_area_m2: float

    @property
    def plans(self) -> list[Plan]:
        return [zone.plan for zone in self.zones]

    def formed_walls_m2(self) -> float:
        walls = 0.0
        for zone, plan, lines in zip(self.zones, self.plans, self.formed_lines, strict=True):
            edge = float(shapely.length(shapely.boundary(plan.polygon)))
            if edge > 0:
                share = plan.length_along(lines) / edge
                walls += plan.perimeter_m * (1.0 if share > 1 - NEAR else share) * (zone.end_m - zone.start_m)
        return walls

    def faces(self, which: FacesOf) -> Faces:
        if which == "all":
            strips = [
                Strip(shapely.boundary(plan.polygon), zone.start_m, zone.end_m)
                for zone, plan in zip(self.zones, self.plans, strict=True)
            ]
            return Faces(tuple(strips), all_flats(self.zones))
        strips = [
            Strip(plan.edges_along(lines), zone.start_m, zone.end_m)
            for zone, plan, lines in zip(self.zones, self.plans, self.formed_lines, strict=True)
            if not lines.is_empty
        ]
        return Faces(tuple(strips), self.formed_flats)


def _of_part(of: Callable[[Shape], Any], placed: Placed, key: str) -> Any:
    """Apply a function to a part's shape. Raises FaultError with the part's key prefixed."""
    require(bool(np.isfinite(placed.at_m).all()), f"{key}.at", message("compound-no-place"))
    try:
        return of(placed.shape)
    except FaultError as error:
        raise FaultError(f"{key}.{error.key}".rstrip("."), error.message) from None


# Upright parts


@lru_cache(maxsize=16)  # measure, layers, view and sections of one piece follow each other
def stacked(compound: Compound) -> StackedBody | None:
    """The compound as slices; None if a part is no stack of prisms. Raises FaultError if nothing is left."""
    added, taken = ([_stack(placed) for placed in parts] for parts in (compound.add, compound.subtract))
    add = [stack for stack in added if stack is not None]
    subtract = [stack for stack in taken if stack is not None]
    if len(add) < len(added) or len(subtract) < len(taken):
        return None
    ends = [end for stack in (*add, *subtract) for p in stack.prisms for end in (p.start_m, p.end_m)]
    marks = distinct(ends)
    zones, lines = [], []
    for start, end in pairwise(marks):
        plan, formed = _slice(add, subtract, (start + end) / 2)
        zones.append(Zone.steady(start, end, plan))
        lines.append(formed)
    while zones and zones[0].at(0.0).polygon.is_empty:
        zones, lines = zones[1:], lines[1:]
    while zones and zones[-1].at(0.0).polygon.is_empty:
        zones, lines = zones[:-1], lines[:-1]
    if not zones or moments_of(zones).volume_m3 <= 0:
        raise FaultError("subtract", message("compound-nothing-left"))
    formed_flats, flat_area = _flats(zones, add)
    return StackedBody(tuple(zones), tuple(lines), formed_flats, flat_area)


def _stack(placed: Placed) -> Stack | None:
    stack = placed.shape.stack()
    return None if stack is None else stack.moved(placed.at_m)


def _slice(add: list[Stack], subtract: list[Stack], height: float) -> tuple[Plan, shapely.Geometry]:
    """Plan at a height, and the lines in it that are cast against the form."""
    plan = Plan(shapely.Polygon())
    formed: list[shapely.Geometry] = []
    for stack in add:
        prism = stack.at(height)
        if prism is not None:
            plan = prism.plan if plan.polygon.is_empty else plan.plus(prism.plan)
            formed.append(prism.formed)
    for stack in subtract:
        prism = stack.at(height)
        if prism is not None and not plan.polygon.is_empty:
            plan = plan.minus(prism.plan)
            formed.append(shapely.boundary(prism.plan.polygon))
    return plan, united(formed) if formed else shapely.LineString()


def _flats(zones: list[Zone], add: list[Stack]) -> tuple[tuple[Flat, ...], float]:
    """Horizontal faces cast against the form, and the area of all horizontal faces.

    A face is cast against the form unless it belongs to an unformed face of a part, such as the underside of a slab.
    """
    nothing = shapely.Polygon()
    polygons = [nothing, *(zone.plan.polygon for zone in zones), nothing]
    levels = [zones[0].start_m, *(zone.end_m for zone in zones)]
    reach = NEAR * (levels[-1] - levels[0])
    flats, area = [], 0.0
    for level, (below, above) in zip(levels, pairwise(polygons), strict=True):
        for up, face in ((True, shapely.difference(below, above)), (False, shapely.difference(above, below))):
            area += float(face.area)
            unformed = [_own_level(stack, level, up, reach) for stack in add]
            formed = shapely.difference(face, united(unformed))
            if formed.area > NEAR * max(below.area, above.area):
                flats.append(Flat(formed, level))
    return tuple(flats), area


def _own_level(stack: Stack, level: float, up: bool, reach: float) -> shapely.Geometry:
    """Horizontal faces of a part at a height that are not cast against the form."""
    if any(abs(own - level) <= reach and looks == up for own, looks in stack.formed_levels):
        return shapely.Polygon()
    under, over = stack.at(level - 2 * reach), stack.at(level + 2 * reach)
    inside, outside = (under, over) if up else (over, under)
    if inside is None:
        return shapely.Polygon()
    return inside.plan.polygon if outside is None else shapely.difference(inside.plan.polygon, outside.plan.polygon)


def _measure_stacked(body: StackedBody, notes: tuple[Message, ...]) -> Solid:
    moments = moments_of(body.zones)
    walls = sum(
        plan.perimeter_m * (zone.end_m - zone.start_m) for zone, plan in zip(body.zones, body.plans, strict=True)
    )
    form = body.formed_walls_m2() + sum(float(flat.area.area) for flat in body.formed_flats)
    boxes = np.array([plan.bounds for plan in body.plans if not plan.polygon.is_empty])
    (x0, y0), (x1, y1) = boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)
    z0, z1 = body.zones[0].start_m, body.zones[-1].end_m
    return Solid(
        volume_m3=moments.volume_m3,
        surface_area_m2=walls + body.flat_area_m2,
        form_area_m2=form,
        finished_area_m2=form,
        edge_lengths_m={},
        centroid_m=moments.centroid_m,
        size_m=(float(x1 - x0), float(y1 - y0), z1 - z0),
        lowest_m=(float(x0), float(y0), z0),
        inertia_m5=moments.inertia_m5,
        tolerance=0.0 if all(plan.exact for plan in body.plans) else 1e-6,
        notes=notes,
    )


# Parts that stand apart


def _boxes(compound: Compound, solids: Sequence[Solid]) -> list[tuple[Floats, Floats]]:
    lows = [np.array(placed.at_m) + solid.lowest_m for placed, solid in zip(compound.add, solids, strict=True)]
    return [(low, low + solid.size_m) for low, solid in zip(lows, solids, strict=True)]


def _stand_apart(compound: Compound, solids: Sequence[Solid]) -> bool:
    return all(
        bool(((a_high < b_low) | (b_high < a_low)).any())
        for (a_low, a_high), (b_low, b_high) in combinations(_boxes(compound, solids), 2)
    )


def _added_up(compound: Compound, solids: Sequence[Solid]) -> Solid:
    moments = Moments.zero()
    for placed, solid in zip(compound.add, solids, strict=True):
        moments = moments + Moments.of_balance(solid.volume_m3, solid.centroid_m, solid.inertia_m5).moved(placed.at_m)
    boxes = _boxes(compound, solids)
    low = np.min([low for low, _ in boxes], axis=0)
    high = np.max([high for _, high in boxes], axis=0)
    return Solid(
        volume_m3=moments.volume_m3,
        surface_area_m2=sum(solid.surface_area_m2 for solid in solids),
        form_area_m2=sum(solid.form_area_m2 for solid in solids),
        finished_area_m2=sum(solid.finished_area_m2 for solid in solids),
        edge_lengths_m={},
        centroid_m=moments.centroid_m,
        size_m=vector(high - low),
        lowest_m=vector(low),
        inertia_m5=moments.inertia_m5,
        tolerance=max(solid.tolerance for solid in solids),
        notes=tuple(note for solid in solids for note in solid.notes),
    )


def _overlap_notes(compound: Compound, solids: Sequence[Solid]) -> tuple[Message, ...]:
    if len(compound.add) < 2 or _stand_apart(compound, solids):
        return ()
    alone = stacked(Compound(compound.add))
    assert alone is not None
    apart = sum(solid.volume_m3 for solid in solids)
    shared = apart - moments_of(alone.zones).volume_m3
    return (message("compound-overlap", shared_m3=float(shared)),) if shared > 1e-9 * apart else ()


# Parts as meshes


@lru_cache(maxsize=16)  # measure, layers, view and sections of one piece follow each other
def faceted(compound: Compound) -> tuple[Floats, Ints]:
    """Vertices (v, 3) in m and facets (n, 3) of the compound. Raises FaultError where nothing is left."""
    body = compound.manifold()
    if body.is_empty() or body.volume() <= 0:
        raise FaultError("subtract", message("compound-nothing-left"))
    mesh = body.to_mesh64()
    return np.ascontiguousarray(mesh.vert_properties[:, :3]), mesh.tri_verts.astype(np.int64)


def _facets_if_kept(compound: Compound) -> tuple[Floats, Ints] | None:
    """Facets of the compound; None if a part was read without keeping its facets."""
    try:
        return faceted(compound)
    except FaultError:
        return None


def _measure_faceted(vertices: Floats, facets: Ints, solids: Sequence[Solid]) -> Solid:
    moments = moments_of_facets(vertices, facets)
    area = tally(vertices[facets], vertices.mean(axis=0)).area
    low, high = vertices.min(axis=0), vertices.max(axis=0)
    apart = sum(solid.volume_m3 for solid in solids)
    notes = [message("compound-united")]
    if apart - moments.volume_m3 > FACETED * apart:
        notes.append(message("compound-apart", apart_m3=float(apart)))
    return Solid(
        volume_m3=moments.volume_m3,
        surface_area_m2=area,
        form_area_m2=area,
        finished_area_m2=area,
        edge_lengths_m={},
        centroid_m=moments.centroid_m,
        size_m=vector(high - low),
        lowest_m=vector(low),
        inertia_m5=moments.inertia_m5,
        tolerance=max(FACETED, *(solid.tolerance for solid in solids)),
        notes=tuple(notes),
    )


def _in_place(name: Message, placed: Placed) -> Part:
    solid = placed.shape.solid()
    x, y, z = (low + at for low, at in zip(solid.lowest_m, placed.at_m, strict=True))
    length, width, height = solid.size_m
    return Part(name, (x, y, z), (length, width, height))
