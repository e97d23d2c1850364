"""Slabs: counters and other flat rectangular pieces with cut-outs, drops, rims, edge profiles and taper.

A plain slab is a sum of cuboids less the prisms of its openings. Any other slab is measured by slices, see
`geometry.slices`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cache, lru_cache

from geometry.cuboids import Block, Plates, Thicknesses, block_of_plates
from geometry.cutouts import Cutout
from geometry.edged import EdgedShape, slices_of
from geometry.errors import require, require_dimensions, require_positive
from geometry.frozen import frozen
from geometry.inscribed import Inscribed, strips_m
from geometry.message import Message, message
from geometry.openings import Openings
from geometry.plan_edges import SIDES, Edge, PlanEdge, Side, plan_edges
from geometry.plane import Region
from geometry.plate import DropEdge, EdgeProfile
from geometry.shape import FormPlan, PlainForm, Plate, Wall, rims_of, side_names, strips_by_side
from geometry.slices import Slices, levels_of_zones
from geometry.solid import Solid
from geometry.taper import Taper, Wedge
from geometry.views import PlanArea

EDGES = ("outer", "cutouts", "finished_cutouts", "drops", "profiled", "mitred", "raw")


@frozen
class Slab(EdgedShape):
    """A flat rectangular piece: a counter, a hearth, a shelf. Its top is at z = the lowest drop's height."""

    length_m: float
    width_m: float
    thickness_m: float
    cutouts: tuple[Cutout, ...] = ()
    drop_edges: tuple[DropEdge, ...] = ()
    edge_profiles: tuple[EdgeProfile, ...] = ()
    taper: Taper | None = None
    raw_edges: tuple[Edge, ...] = ()

    # Volume and layers

    def solid(self) -> Solid:
        return self.plain_solid() or self.solid_by_slices()

    def is_plain(self, layers: int) -> bool:
        is_plain = not (self.edge_profiles or self.raw_edges) and self.taper is None
        return is_plain and self._has_plain_openings_and_drops

    @property
    def _has_plain_openings_and_drops(self) -> bool:
        """Whether all cut-outs are rectangles or circles, and no side has two drops."""
        if any(cutout.rounded is None for cutout in self.cutouts):
            return False
        if not self.drop_edges:
            return True
        named = [edge for drop in self.drop_edges for edge in drop.edges]
        return (
            all(drop.edges for drop in self.drop_edges) and len(set(named)) == len(named) and set(named) <= set(SIDES)
        )

    @classmethod
    def block(cls, shapes: Sequence[Slab], layers: Sequence[Thicknesses]) -> Block:
        sizes = [(slab.length_m, slab.width_m, slab.thickness_m) for slab in shapes]
        bands = [
            [
                ([SIDES.index(side) for side in _sides(drop)], drop.height_m, drop.thickness_m)
                for drop in slab.drop_edges
            ]
            for slab in shapes
        ]
        openings = Openings.of([slab.cutouts for slab in shapes])
        return block_of_plates(Plates.of(sizes, bands), layers, EDGES, "drops", openings, slab=True)

    @property
    def cast_thickness_m(self) -> float | None:
        return self.thickness_m if self.taper is None else None

    @property
    def footprint(self) -> Region:
        return _rectangle(self.length_m, self.width_m)

    @property
    def numbered_edges(self) -> tuple[PlanEdge, ...]:
        return plan_edges(self.footprint.outer, turned=False)

    @property
    def wedge(self) -> Wedge | None:
        return None if self.taper is None else Wedge.of(self.length_m, self.width_m, self.thickness_m, self.taper)

    def slices(self) -> Slices:
        _refuse_plate(self)
        return slices_of(self)

    def edge_lengths_m(self, slices: Slices) -> dict[str, float]:
        lengths = self.outline_lengths_m()
        edges = [slices.full.length_of(opening) for opening in slices.openings]
        lengths["cutouts"] = sum(edges)
        lengths["finished_cutouts"] = sum(
            length for length, cutout in zip(edges, self.cutouts, strict=True) if cutout.edge == "finished"
        )
        return {kind: lengths[kind] for kind in EDGES}

    # Areas and sizes

    def plan_area(self) -> PlanArea:
        return self._area_of_plate(Region.rectangle(self.length_m, self.width_m))

    def face_area_m2(self, solid: Solid) -> float:
        if self.has_edge_work or self.taper is not None:
            return solid.finished_area_m2
        return solid.volume_m3 / self.thickness_m

    def extents(self) -> tuple[tuple[str, float], ...]:
        return ("length", self.length_m), ("width", self.width_m)

    is_walled = True

    def walls(self) -> tuple[Wall, ...]:
        walls = [Wall("slab", "thickness", self.thickness_m)]
        if self.taper is not None:
            walls.append(Wall("taper-end", "taper.thickness", self.taper.thickness_m))
        return (*walls, *self.edge_walls())

    def thicker(self, by_m: float) -> Slab:
        return replace(self, thickness_m=self.thickness_m + by_m)

    def largest_sphere(self) -> Inscribed:
        _refuse_plate(self)
        return Inscribed(min(max(self.edge_spheres_m()), self.length_m, self.width_m))

    def _drop_spheres_m(self, thick_m: float) -> list[float]:
        if not self._has_plain_openings_and_drops:
            return EdgedShape._drop_spheres_m(self, thick_m)
        drops = [(side, drop.thickness_m, drop.height_m) for drop in self.drop_edges for side in _sides(drop)]
        return strips_m(thick_m, drops, SIDES)

    # Parts, forms and meshes

    @property
    def rectangle_m(self) -> tuple[float, float]:
        return self.length_m, self.width_m

    def plate(self) -> Plate:
        strips, left_out = self.strips()
        return Plate(
            (self.length_m, self.width_m),
            self.cutouts,
            self.thickness_m if self.wedge is None else self.wedge.thinnest_and_thickest[0],
            strips=strips,
            left_out=left_out,
            even=not left_out and self.taper is None and not rims_of(self.cutouts),
        )

    def edge_title(self, edge: PlanEdge) -> Message:
        return message("board-side-edge", side=message(f"side-{edge.side}"))

    @property
    def is_keyed(self) -> bool:
        return bool(self.cutouts or self.drop_edges)

    def build_notes(self) -> tuple[Message, ...]:
        notes = [message("form-thickness", thickness_m=self.thickness_m)] if self.taper is None else []
        notes += self.edge_notes()
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
        thickest = self.thickness_m if self.wedge is None else self.wedge.thinnest_and_thickest[1]
        openings = tuple(cutout.rounded for cutout in self.cutouts if cutout.rounded is not None)
        finished = {cutout.depth_m for cutout in self.cutouts if cutout.depth_m is not None}
        if finished and min(finished) <= 0.0:
            return None
        marks = (0.0, *sorted(depth_m for depth_m in finished if depth_m < thickest), thickest)
        strips = [(_sides(drop), drop.thickness_m, drop.height_m) for drop in self.drop_edges]
        return PlainForm(self.length_m, self.width_m, thickest, strips_by_side(strips, SIDES), openings, marks)

    def form(self) -> FormPlan:
        thickest = self.thickness_m if self.wedge is None else self.wedge.thinnest_and_thickest[1]
        slices = replace(self, thickness_m=thickest, taper=None, edge_profiles=()).slices()
        return FormPlan(levels_of_zones(slices.zones), slices.openings)

    def board_name(self, role: str, side: str, number: int, *, raised: bool) -> Message:
        return _board_name(role, side, raised)


@cache  # the boards of all slabs have the same few names
def _board_name(role: str, side: str, raised: bool) -> Message:
    match role:
        case "inside":
            return message("board-drop-inside", side=message(f"side-{side}"))
        case "edge":
            return message("board-drop-end" if raised else "board-side-edge", side=message(f"side-{side}"))
        case _:
            return message("board-cover")


@lru_cache(maxsize=256)
def _rectangle(length_m: float, width_m: float) -> Region:
    require_dimensions(length=length_m, width=width_m)
    return Region.rectangle(length_m, width_m)


def _sides(drop: DropEdge) -> tuple[Side, ...]:
    """Sides named by a drop of a plain slab."""
    return tuple(edge for edge in drop.edges if isinstance(edge, str))


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
