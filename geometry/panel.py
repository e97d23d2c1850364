"""Panels: a thin skin with returns, ribs and openings, told by slices from the face backward."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from math import ceil
from typing import Literal, get_args

import shapely

from geometry.cutouts import is_curved_unevenly, outlines_of, overlap_notes
from geometry.errors import FaultError, mm, require, require_dimensions
from geometry.plan import NEAR, Plan, fine_polygon, united, within_reach
from geometry.plane import Region
from geometry.relief import Faces, Flat, Strip, Zone, all_flats, deeper_than, moments_of
from geometry.shapes import Panel, PanelSide, Ribs
from geometry.solid import LayerPart, Moments, Solid, joint_depths, parts_of

SIDES: tuple[PanelSide, ...] = get_args(PanelSide)


@dataclass(frozen=True, slots=True, eq=False)
class PanelBody:
    """A panel whose dimensions were found possible.

    openings  outline of each opening
    full      the face
    zones     slices from the face to the back
    ribs      how many run along x and along y
    """

    panel: Panel
    openings: tuple[Region, ...]
    full: Plan
    zones: tuple[Zone, ...]
    ribs: tuple[int, int]

    def moments(self) -> Moments:
        return moments_of(self.zones)

    def returned(self, zone: Zone) -> float:
        """Length of the outer faces of returns in a zone, m, those of openings in."""
        plan = zone.at(zone.middle_m)
        sides = sum(plan.length_along(_side_line(self.panel, side)) for side in self._sides_at(zone))
        turned = [i for i, opening in enumerate(self.panel.openings) if (opening.depth_m or 0.0) > zone.middle_m]
        return sides + sum(plan.length_of(self.openings[i]) for i in turned)

    def faces(self, which: Literal["form", "all"]) -> Faces:
        """The faces from which layers are measured."""
        strips = []
        for zone in self.zones:
            plan = zone.at(zone.middle_m)
            if which == "all":
                lines = shapely.boundary(plan.polygon)
            else:
                along = [_side_line(self.panel, side) for side in self._sides_at(zone)]
                along += [
                    shapely.boundary(fine_polygon(region))
                    for region, opening in zip(self.openings, self.panel.openings, strict=True)
                    if (opening.depth_m or 0.0) > zone.middle_m
                ]
                lines = plan.edges_along(united(along))
            strips.append(Strip(lines, zone.start_m, zone.end_m))
        if which == "form":
            return Faces(tuple(strips), (Flat(self.full.polygon, 0.0),))
        return Faces(tuple(strips), all_flats(self.zones))

    def _sides_at(self, zone: Zone) -> list[PanelSide]:
        deep = (side for back in self.panel.returns if back.depth_m > zone.middle_m for side in back.sides)
        return list(dict.fromkeys(deep))


@lru_cache(maxsize=16)  # measure, layers, view and sections of one piece follow each other
def panel_body(panel: Panel) -> PanelBody:
    """The panel's slices. Raises FaultError for dimensions that cannot be built."""
    require_dimensions(length=panel.length_m, height=panel.height_m, skin=panel.skin_m)
    rectangle = shapely.box(0.0, 0.0, panel.length_m, panel.height_m)
    openings = outlines_of([each.cutout for each in panel.openings], rectangle, "openings[{}]")
    behind = [*_returns(panel), *_opening_returns(panel, openings, rectangle)]
    ribs, counts = _ribs(panel) if panel.ribs else ([], (0, 0))
    behind += ribs
    marks = {0.0, panel.skin_m, *(depth for _, depth in behind)}
    full = _cut(Plan(rectangle), openings)
    zones = []
    for start, end in pairwise(sorted(marks)):
        if end - start <= NEAR * end:
            continue
        if start >= panel.skin_m * (1 - NEAR):
            here = [area for area, depth in behind if depth > (start + end) / 2]
            zones.append(Zone.steady(start, end, _cut(Plan(united(here)), openings)))
        else:
            zones.append(Zone.steady(start, end, full))
    body = PanelBody(panel, openings, full, tuple(zones), counts)
    deepest = zones[-1].end_m
    for i, each in enumerate(panel.openings):
        require(
            each.cutout.depth_m is None or each.cutout.depth_m <= deepest * (1 + NEAR),
            f"openings[{i}].depth",
            f"is {mm(each.cutout.depth_m or 0)}, deeper than the panel ({mm(deepest)}).",
            "Leave it out to finish the whole edge.",
        )
        require(
            each.cutout.rim_thickness_m is None,
            f"openings[{i}].rim_thickness",
            "is for a slab.",
            "Give the opening a return instead.",
        )
    return body


def _cut(plan: Plan, openings: Sequence[Region]) -> Plan:
    for opening in openings:
        plan = plan.less(opening)
    return plan


def _returns(panel: Panel) -> list[tuple[shapely.Geometry, float]]:
    behind = []
    for i, back in enumerate(panel.returns):
        key = f"returns[{i}]"
        require_dimensions(**{f"{key}.depth": back.depth_m, f"{key}.thickness": back.thickness_m})
        require(bool(back.sides), f"{key}.sides", "names no side.", f"Choose from {', '.join(SIDES)}.")
        _refuse_shallow(back.depth_m, panel, f"{key}.depth")
        for side in back.sides:
            require(side in SIDES, f"{key}.sides", f"{side!r} is no side.", f"Choose from {', '.join(SIDES)}.")
            across = panel.height_m if side in ("bottom", "top") else panel.length_m
            require(
                back.thickness_m < across,
                f"{key}.thickness",
                f"is {mm(back.thickness_m)}, on a panel of {mm(across)} there.",
                "It must be less.",
            )
            behind.append((_band(panel, side, back.thickness_m), back.depth_m))
    return behind


def _refuse_shallow(depth: float, panel: Panel, key: str) -> None:
    require(
        depth >= panel.skin_m * (1 - NEAR),
        key,
        f"is {mm(depth)}, less than the skin's {mm(panel.skin_m)}.",
        "It is measured from the face.",
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
            raise FaultError(
                f"{key}.{missing}", f"has a return without {missing}.", "A return needs depth and thickness."
            )
        if opening.depth_m is None or opening.thickness_m is None:
            continue
        require_dimensions(
            **{f"{key}.return_depth": opening.depth_m, f"{key}.return_thickness": opening.thickness_m}
        )  # fmt: skip
        _refuse_shallow(opening.depth_m, panel, f"{key}.return_depth")
        grown = within_reach(fine_polygon(region), opening.thickness_m, 1, "mitre")
        behind.append((shapely.intersection(grown, rectangle), opening.depth_m))
    return behind


def _ribs(panel: Panel) -> tuple[list[tuple[shapely.Geometry, float]], tuple[int, int]]:
    ribs = panel.ribs
    assert ribs is not None
    require_dimensions(**{"ribs.spacing": ribs.spacing_m, "ribs.width": ribs.width_m, "ribs.depth": ribs.depth_m})
    _refuse_shallow(ribs.depth_m, panel, "ribs.depth")
    require(
        ribs.width_m < ribs.spacing_m,
        "ribs.width",
        f"is {mm(ribs.width_m)}, at a spacing of {mm(ribs.spacing_m)}.",
        "Ribs must leave a bay between them.",
    )
    half = ribs.width_m / 2
    along_x = rib_lines(panel.height_m, ribs) if ribs.ways in ("x", "both") else []
    along_y = rib_lines(panel.length_m, ribs) if ribs.ways in ("y", "both") else []
    areas = [shapely.box(0, max(y - half, 0), panel.length_m, min(y + half, panel.height_m)) for y in along_x]
    areas += [shapely.box(max(x - half, 0), 0, min(x + half, panel.length_m), panel.height_m) for x in along_y]
    return [(area, ribs.depth_m) for area in areas], (len(along_x), len(along_y))


def rib_lines(across_m: float, ribs: Ribs) -> list[float]:
    """Centre lines of ribs across a panel, m: at the spacing, centred, no bay wider than it."""
    count = ceil(across_m / ribs.spacing_m * (1 - NEAR)) - 1
    first = (across_m - (count - 1) * ribs.spacing_m) / 2
    return [first + i * ribs.spacing_m for i in range(count)]


def measure_panel(panel: Panel) -> Solid:
    """The measure of a panel; seen are the face, the outer faces of returns, and finished edges of openings.

    Raises FaultError for dimensions that cannot be built.
    """
    body = panel_body(panel)
    moments = body.moments()
    sides = returned = seen = 0.0
    exact = not is_curved_unevenly([opening.cutout for opening in panel.openings])
    for zone in body.zones:
        plan, deep = zone.at(zone.middle_m), zone.end_m - zone.start_m
        exact = exact and plan.exact
        sides += plan.perimeter_m * deep
        returned += body.returned(zone) * deep
        turned = [(opening.depth_m or 0.0) > zone.middle_m for opening in panel.openings]
        for region, opening, formed in zip(body.openings, panel.openings, turned, strict=True):
            finish = zone.end_m if opening.cutout.depth_m is None else opening.cutout.depth_m
            part = min(max(finish - zone.start_m, 0.0), deep) if opening.cutout.edge == "finished" else 0.0
            seen += plan.length_of(region) * (part - (deep if formed else 0.0))
    notes = list(overlap_notes(body.openings, "openings[{}]"))
    if panel.ribs is not None and not any(body.ribs):
        notes.append(f"no rib fits: the panel is not wider than the spacing of {mm(panel.ribs.spacing_m)}.")
    face = body.full.area_m2
    lengths = [body.full.length_of(region) for region in body.openings]
    return Solid(
        volume_m3=moments.volume_m3,
        surface_area_m2=2 * face + sides,
        form_area_m2=face + returned,
        finished_area_m2=face + returned + seen,
        edge_lengths_m={
            "outer": sum(body.full.length_along(_side_line(panel, side)) for side in SIDES),
            "openings": sum(lengths),
            "returns": sum(
                body.full.length_along(_side_line(panel, side))
                for side in dict.fromkeys(side for back in panel.returns for side in back.sides)
            ),
            "ribs": body.ribs[0] * panel.length_m + body.ribs[1] * panel.height_m,
        },
        centroid_m=moments.centroid_m,
        size_m=(panel.length_m, panel.height_m, body.zones[-1].end_m),
        lowest_m=(0.0, 0.0, 0.0),
        inertia_m5=moments.inertia_m5,
        tolerance=0.0 if exact else 1e-6,
        notes=tuple(notes),
    )


def panel_layers(
    panel: Panel, thicknesses_m: Sequence[float | None], faces: Literal["form", "all"]
) -> tuple[LayerPart, ...]:
    """The layers of a panel. See `geometry.solid.layer_parts`."""
    body, measured = panel_body(panel), measure_panel(panel)
    joints = joint_depths(thicknesses_m, panel.skin_m)
    from_faces = body.faces(faces)
    return parts_of(
        body.moments(),
        lambda joint: deeper_than(body.zones, from_faces, joint),
        joints,
        measured,
        faces,
    )
