"""Panels: a thin skin with returns, ribs and openings, sliced from the face backward."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import pairwise
from math import ceil
from typing import Any, Literal, TypeAlias, get_args

import shapely

from geometry.cuboids import Block, Plates, Thicknesses, block_of_plates
from geometry.cutouts import Cutout, outlines_of, overlap_notes, refuse_rims, refuse_too_deep
from geometry.errors import FaultError, require, require_dimensions
from geometry.frozen import frozen
from geometry.inscribed import Inscribed, behind_rib_m, corner_m, strips_m
from geometry.manifolds import manifold_of_stack
from geometry.message import Message, message
from geometry.openings import Openings
from geometry.plan import NEAR, Plan, fine_polygon, united, within_reach
from geometry.plane import Region
from geometry.shape import FacesOf, FormPlan, PlainForm, Plate, SlicedShape, Strip, Wall, side_names, strips_by_side
from geometry.slices import Faces, Flat, Slices, Stack, Zone, all_flats, levels_of_zones
from geometry.slices import Strip as Face
from geometry.solid import Solid
from geometry.views import PlanArea

PanelSide: TypeAlias = Literal["bottom", "top", "left", "right"]

SIDES: tuple[PanelSide, ...] = get_args(PanelSide)

EDGES = ("outer", "openings", "returns", "ribs")

OPENING = "openings[{}]"

OWN_SIDE = {"front": "bottom", "back": "top"}
"""A panel's names for the front and back sides of a form."""


@frozen
class Return:
    """A panel's edge turned back along `sides`, `depth_m` deep from the face and `thickness_m` thick."""

    sides: tuple[PanelSide, ...]
    depth_m: float
    thickness_m: float


@frozen
class Ribs:
    """Stiffening ribs behind the skin, `depth_m` from the face, on a grid centered on the panel.

    spacing_m  between center lines; there are just enough ribs that no bay is wider than the spacing
    ways       directions in which they run: `x` along the length, `y` up the height
    """

    spacing_m: float
    width_m: float
    depth_m: float
    ways: Literal["x", "y", "both"] = "both"


@frozen
class PanelOpening:
    """A window or hatch through the panel; with `depth_m` and `thickness_m` it has a return."""

    cutout: Cutout
    depth_m: float | None = None
    thickness_m: float | None = None

    @property
    def is_plain(self) -> bool:
        """Whether it is a rectangle or a circle without return or thickened rim."""
        cutout = self.cutout
        turned = self.depth_m is not None or self.thickness_m is not None
        rimmed = cutout.rim_thickness_m is not None or cutout.rim_width_m is not None
        return cutout.rounded is not None and not turned and not rimmed


@frozen
class Panel(SlicedShape):
    """A thin skin with returns and ribs; x along the length, y up the height, z from the face to the back."""

    length_m: float
    height_m: float
    skin_m: float
    returns: tuple[Return, ...] = ()
    ribs: Ribs | None = None
    openings: tuple[PanelOpening, ...] = ()

    # Volume and layers

    def solid(self) -> Solid:
        return self.plain_solid() or self.solid_by_slices()

    def is_plain(self, layers: int) -> bool:
        if self.ribs is not None or not all(opening.is_plain for opening in self.openings):
            return False
        if not self.returns:
            return True
        named = [side for back in self.returns for side in back.sides]
        even = len({back.depth_m for back in self.returns}) < 2 or layers < 2
        known = len(set(named)) == len(named) and set(named) <= set(SIDES) and all(back.sides for back in self.returns)
        return known and even

    @classmethod
    def block(cls, shapes: Sequence[Panel], layers: Sequence[Thicknesses]) -> Block:
        sizes = [(panel.length_m, panel.height_m, panel.skin_m) for panel in shapes]
        bands = [
            [([SIDES.index(side) for side in back.sides], back.depth_m, back.thickness_m) for back in panel.returns]
            for panel in shapes
        ]
        openings = Openings.of([[opening.cutout for opening in panel.openings] for panel in shapes])
        return block_of_plates(Plates.of(sizes, bands), layers, EDGES, "returns", openings, slab=False)

    @property
    def cast_thickness_m(self) -> float:
        return self.skin_m

    def slices(self) -> Slices:
        return _slices(self)

    def faces(self, which: FacesOf) -> Faces:
        slices = self.slices()
        strips = []
        for zone in slices.zones:
            if which == "all":
                lines = shapely.boundary(zone.plan.polygon)
            else:
                along = [_side_line(self, side) for side in self._sides_at(zone)]
                along += [
                    shapely.boundary(fine_polygon(region))
                    for region, opening in zip(slices.openings, self.openings, strict=True)
                    if (opening.depth_m or 0.0) > zone.middle_m
                ]
                lines = zone.plan.edges_along(united(along))
            strips.append(Face(lines, zone.start_m, zone.end_m))
        if which == "form":
            return Faces(tuple(strips), (Flat(slices.full.polygon, 0.0),))
        return Faces(tuple(strips), all_flats(slices.zones))

    def _sides_at(self, zone: Zone) -> list[PanelSide]:
        deep = (side for back in self.returns if back.depth_m > zone.middle_m for side in back.sides)
        return list(dict.fromkeys(deep))

    def solid_by_slices(self) -> Solid:
        """Measure by slices. Finished are the face, the outer faces of returns, and finished edges of openings."""
        slices = self.slices()
        moments = slices.moments()
        sides = returned = seen = 0.0
        exact = not any(opening.cutout.is_ellipse for opening in self.openings)
        for zone in slices.zones:
            plan, deep = zone.plan, zone.end_m - zone.start_m
            exact = exact and plan.exact
            sides += plan.perimeter_m * deep
            returned += sum(plan.length_along(_side_line(self, side)) for side in self._sides_at(zone)) * deep
            for region, opening in zip(slices.openings, self.openings, strict=True):
                formed = (opening.depth_m or 0.0) > zone.middle_m
                returned += plan.length_of(region) * deep if formed else 0.0
                finish = zone.end_m if opening.cutout.depth_m is None else opening.cutout.depth_m
                part = min(max(finish - zone.start_m, 0.0), deep) if opening.cutout.edge == "finished" else 0.0
                seen += plan.length_of(region) * (part - (deep if formed else 0.0))
        notes: list[Message] = list(overlap_notes(slices.openings, OPENING))
        ribs = _rib_counts(self)
        if self.ribs is not None and not any(ribs):
            notes.append(message("panel-no-rib", spacing_m=self.ribs.spacing_m))
        face = slices.full.area_m2
        lengths = (
            sum(slices.full.length_along(_side_line(self, side)) for side in SIDES),
            sum(slices.full.length_of(region) for region in slices.openings),
            sum(
                slices.full.length_along(_side_line(self, side))
                for side in dict.fromkeys(side for back in self.returns for side in back.sides)
            ),
            ribs[0] * self.length_m + ribs[1] * self.height_m,
        )
        return Solid(
            volume_m3=moments.volume_m3,
            surface_area_m2=2 * face + sides,
            form_area_m2=face + returned,
            finished_area_m2=face + returned + seen,
            edge_lengths_m=dict(zip(EDGES, lengths, strict=True)),
            centroid_m=moments.centroid_m,
            size_m=(self.length_m, self.height_m, slices.height_m),
            lowest_m=(0.0, 0.0, 0.0),
            inertia_m5=moments.inertia_m5,
            tolerance=0.0 if exact else 1e-6,
            notes=tuple(notes),
        )

    # Areas and sizes

    @property
    def cuts(self) -> tuple[Cutout, ...]:
        return tuple(opening.cutout for opening in self.openings)

    def plan_area(self) -> PlanArea:
        return self._area_of_plate(Region.rectangle(self.length_m, self.height_m))

    def extents(self) -> tuple[tuple[str, float], ...]:
        return ("length", self.length_m), ("height", self.height_m)

    is_walled = True

    def walls(self) -> tuple[Wall, ...]:
        walls = [Wall("skin", "skin", self.skin_m)]
        walls += [Wall("return", f"returns[{i}].thickness", back.thickness_m) for i, back in enumerate(self.returns)]
        if self.ribs is not None:
            walls.append(Wall("rib", "ribs.width", min(self.ribs.width_m, self.ribs.depth_m), nominal=False))
        for i, opening in enumerate(self.openings):
            if opening.thickness_m is not None:
                key = f"openings[{i}].return_thickness"
                walls.append(Wall("opening-return", key, opening.thickness_m, nominal=False))
        return tuple(walls)

    def thicker(self, by_m: float) -> Panel:
        return replace(self, skin_m=self.skin_m + by_m)

    def largest_sphere(self) -> Inscribed:
        spheres = [self.skin_m]
        if self.returns:
            returns = [(side, back.thickness_m, back.depth_m) for back in self.returns for side in back.sides]
            spheres += strips_m(self.skin_m, returns, SIDES)
        if self.ribs is not None:
            ways = 2 if self.ribs.ways == "both" else 1
            spheres.append(behind_rib_m(self.skin_m, self.ribs.width_m, self.ribs.depth_m, ways))
        spheres += [
            min(corner_m(self.skin_m, opening.thickness_m), opening.depth_m or opening.thickness_m)
            for opening in self.openings
            if opening.thickness_m is not None
        ]
        return Inscribed(max(spheres))

    # Parts, forms and meshes

    @property
    def rectangle_m(self) -> tuple[float, float]:
        return self.length_m, self.height_m

    def plate(self) -> Plate:
        return Plate(
            (self.length_m, self.height_m),
            self.cuts,
            self.skin_m,
            thickness_key="skin",
            strips=tuple(Strip(side, back.thickness_m, back.depth_m) for back in self.returns for side in back.sides),
            sides=("bottom", "top", "left", "right"),
            cutouts_key=OPENING,
            face_up=False,
            left_out=(message("bending-ribs"),) if self.ribs else (),
            even=self.ribs is None and not any(opening.depth_m for opening in self.openings),
        )

    def stack(self) -> Stack:
        return self.slices().stack(self.faces("form").strips, [(0.0, False)])

    @property
    def is_keyed(self) -> bool:
        return bool(self.returns or self.ribs or self.openings)

    def build_notes(self) -> tuple[Message, ...]:
        notes = [message("form-skin", thickness_m=self.skin_m)]
        notes += [
            message("form-return", sides=side_names(back.sides), depth_m=back.depth_m, thickness_m=back.thickness_m)
            for back in self.returns
        ]
        if self.ribs is not None:
            notes.append(message("form-ribs", width_m=self.ribs.width_m, depth_m=self.ribs.depth_m))
            for way, places in zip(("x", "y"), _rib_lines(self), strict=True):
                if places:
                    notes.append(message(f"form-ribs-{way}", count=len(places), places_m=tuple(sorted(places))))
        notes += [
            message("form-opening-return", number=number, depth_m=opening.depth_m, thickness_m=opening.thickness_m)
            for number, opening in enumerate(self.openings, start=1)
            if opening.depth_m is not None and opening.thickness_m is not None
        ]
        return tuple(notes)

    @property
    def is_cast_face_down(self) -> bool:
        return True

    @property
    def face_is_lowest(self) -> bool:
        return True

    def plain_form(self) -> PlainForm | None:
        if not self.is_plain(0):
            return None
        strips = strips_by_side([(back.sides, back.thickness_m, back.depth_m) for back in self.returns], SIDES)
        openings = tuple([cutout.rounded for cutout in self.cuts if cutout.rounded is not None])
        marks = 0.0, self.skin_m
        return PlainForm(self.length_m, self.height_m, self.skin_m, strips, openings, marks, first_inside=1)

    def form(self) -> FormPlan:
        slices = self.slices()
        return FormPlan(levels_of_zones(slices.zones), slices.openings)

    def board_name(self, role: str, side: str, number: int, *, raised: bool) -> Message:
        own_side = message(f"side-{OWN_SIDE.get(side, side)}")
        if role == "edge":
            return message("board-return-end" if raised else "board-side-edge", side=own_side)
        if role == "inside" and self.ribs is None:
            return message("board-return-inside", side=own_side)
        if role == "inside":
            return message("board-bay", way="across" if side in ("left", "right") else "along")
        return message("board-cover")

    def manifold(self) -> Any:
        return manifold_of_stack(self.stack())


@lru_cache(maxsize=16)  # measure, layers, view and sections of one piece follow each other
def _slices(panel: Panel) -> Slices:
    """Slices of a panel. Raises FaultError for impossible dimensions."""
    require_dimensions(length=panel.length_m, height=panel.height_m, skin=panel.skin_m)
    rectangle = shapely.box(0.0, 0.0, panel.length_m, panel.height_m)
    cutouts = [opening.cutout for opening in panel.openings]
    openings = outlines_of(cutouts, rectangle, OPENING)
    behind = [*_returns(panel), *_opening_returns(panel, openings, rectangle), *_ribs(panel)]
    marks = {0.0, panel.skin_m, *(depth for _, depth in behind)}
    full = Plan(rectangle).less_all(openings)
    zones = []
    for start, end in pairwise(sorted(marks)):
        if end - start <= NEAR * end:
            continue
        if start >= panel.skin_m * (1 - NEAR):
            here = [area for area, depth in behind if depth > (start + end) / 2]
            zones.append(Zone.steady(start, end, Plan(united(here)).less_all(openings)))
        else:
            zones.append(Zone.steady(start, end, full))
    refuse_too_deep(cutouts, zones[-1].end_m, "panel", OPENING)
    refuse_rims(cutouts, message("rim-in-panel"), OPENING)
    return Slices(tuple(zones), full, openings, tuple(behind), down=False)


def _returns(panel: Panel) -> list[tuple[shapely.Geometry, float]]:
    behind = []
    for i, back in enumerate(panel.returns):
        key = f"returns[{i}]"
        require_dimensions(**{f"{key}.depth": back.depth_m, f"{key}.thickness": back.thickness_m})
        require(bool(back.sides), f"{key}.sides", message("sides-none", sides=", ".join(SIDES)))
        _refuse_shallow(back.depth_m, panel, f"{key}.depth")
        for side in back.sides:
            require(side in SIDES, f"{key}.sides", message("side-unknown", side=f"{side!r}", sides=", ".join(SIDES)))
            across = panel.height_m if side in ("bottom", "top") else panel.length_m
            require(
                back.thickness_m < across,
                f"{key}.thickness",
                message("panel-return-too-thick", thickness_m=back.thickness_m, across_m=across),
            )
            behind.append((_band(panel, side, back.thickness_m), back.depth_m))
    return behind


def _refuse_shallow(depth: float, panel: Panel, key: str) -> None:
    require(
        depth >= panel.skin_m * (1 - NEAR),
        key,
        message("panel-depth-in-skin", depth_m=depth, skin_m=panel.skin_m),
    )


def _band(panel: Panel, side: PanelSide, thickness: float) -> shapely.Geometry:
    length, height = panel.length_m, panel.height_m
    return {
        "bottom": shapely.box(0, 0, length, thickness),
        "top": shapely.box(0, height - thickness, length, height),
        "left": shapely.box(0, 0, thickness, height),
        "right": shapely.box(length - thickness, 0, length, height),
    }[side]


def _side_line(panel: Panel, side: PanelSide) -> shapely.Geometry:
    length, height = panel.length_m, panel.height_m
    ends = {
        "bottom": [(0.0, 0.0), (length, 0.0)],
        "top": [(0.0, height), (length, height)],
        "left": [(0.0, 0.0), (0.0, height)],
        "right": [(length, 0.0), (length, height)],
    }[side]
    return shapely.LineString(ends)


def _opening_returns(
    panel: Panel, openings: Sequence[Region], rectangle: shapely.Geometry
) -> list[tuple[shapely.Geometry, float]]:
    behind = []
    for i, (opening, region) in enumerate(zip(panel.openings, openings, strict=True)):
        key = f"openings[{i}]"
        if (opening.depth_m is None) != (opening.thickness_m is None):
            missing = "return_thickness" if opening.thickness_m is None else "return_depth"
            raise FaultError(f"{key}.{missing}", message("panel-return-incomplete", missing=missing))
        if opening.depth_m is None or opening.thickness_m is None:
            continue
        require_dimensions(
            **{f"{key}.return_depth": opening.depth_m, f"{key}.return_thickness": opening.thickness_m}
        )  # fmt: skip
        _refuse_shallow(opening.depth_m, panel, f"{key}.return_depth")
        grown = within_reach(fine_polygon(region), opening.thickness_m, 1, "mitre")
        behind.append((shapely.intersection(grown, rectangle), opening.depth_m))
    return behind


def _ribs(panel: Panel) -> list[tuple[shapely.Geometry, float]]:
    ribs = panel.ribs
    if ribs is None:
        return []
    require_dimensions(**{"ribs.spacing": ribs.spacing_m, "ribs.width": ribs.width_m, "ribs.depth": ribs.depth_m})
    _refuse_shallow(ribs.depth_m, panel, "ribs.depth")
    require(
        ribs.width_m < ribs.spacing_m,
        "ribs.width",
        message("panel-ribs-too-wide", width_m=ribs.width_m, spacing_m=ribs.spacing_m),
    )
    half = ribs.width_m / 2
    along_x, along_y = _rib_lines(panel)
    areas = [shapely.box(0, max(y - half, 0), panel.length_m, min(y + half, panel.height_m)) for y in along_x]
    areas += [shapely.box(max(x - half, 0), 0, min(x + half, panel.length_m), panel.height_m) for x in along_y]
    return [(area, ribs.depth_m) for area in areas]


def _rib_lines(panel: Panel) -> tuple[list[float], list[float]]:
    """Positions of the center lines of the ribs along x and along y, m."""
    ribs = panel.ribs
    lines: list[list[float]] = []
    for way, across_m in (("x", panel.height_m), ("y", panel.length_m)):
        if ribs is None or ribs.ways not in (way, "both"):
            lines.append([])
            continue
        count = ceil(across_m / ribs.spacing_m * (1 - NEAR)) - 1
        first = (across_m - (count - 1) * ribs.spacing_m) / 2
        lines.append([first + i * ribs.spacing_m for i in range(count)])
    return lines[0], lines[1]


def _rib_counts(panel: Panel) -> tuple[int, int]:
    """Number of ribs along x and along y."""
    along_x, along_y = _rib_lines(panel)
    return len(along_x), len(along_y)
