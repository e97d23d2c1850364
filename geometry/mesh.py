"""Pieces given by a mesh: the solid that it encloses, or a shell whose outer surface it is."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, Literal, TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray

from geometry.arrays import Floats, Ints
from geometry.errors import FaultError, require
from geometry.frozen import frozen
from geometry.inscribed import CORNER_OF_THREE, Inscribed, sphere_in_facets
from geometry.mesh_file import MeshMeasure
from geometry.message import Message, message
from geometry.plan import regions_of_area, united
from geometry.plane import Region
from geometry.shape import FacesOf, Shape, Wall
from geometry.shell import Shell, between, shell
from geometry.solid import Moments, Solid
from geometry.store import kept, key_of
from geometry.views import (
    Axis,
    CrossSection,
    PlanArea,
    PlanView,
    plan_area_of_box,
    plan_area_of_facets,
    section_of_facets,
    view_of_box,
    view_of_facets,
)

Opening: TypeAlias = Literal["none", "top", "bottom", "front", "back", "left", "right"]


OPEN_RIM = message("shell-open-rim")
"""A rim may be a planter's mouth or a facet lost on export, so the note names the opening."""


_NOTHING = 1e-9
"""Fraction of a piece below which nothing is left for a layer."""


WALL_DRAWN = message("view-wall-square")


@frozen(eq=False)
class MeshBody(Shape):
    """A closed mesh, measured while it was read. A shell or a part of a compound also keeps its facets.

    vertices_m  (n, 3) float64
    facets      (m, 3) int64, counterclockwise from outside
    wall_m      thickness of the shell whose outer surface the mesh is, without its planar face at `open`
    """

    measure: MeshMeasure
    vertices_m: NDArray[np.float64] | None = None
    facets: NDArray[np.int64] | None = None
    wall_m: float | None = None
    open: Opening = "none"

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, MeshBody):
            return False
        own, others = ((body.measure, body.wall_m, body.open) for body in (self, other))
        return own == others and all(
            a is b or (a is not None and b is not None and np.array_equal(a, b))
            for a, b in ((self.vertices_m, other.vertices_m), (self.facets, other.facets))
        )

    def __hash__(self) -> int:
        return hash((self.measure, self.wall_m, self.open))

    @property
    def arrays(self) -> tuple[Floats, Ints] | None:
        """Vertices and facets, if they were kept."""
        return None if self.vertices_m is None or self.facets is None else (self.vertices_m, self.facets)

    # Volume and layers

    def solid(self) -> Solid:
        """Measure the solid, or the shell inside it if it has a wall.

        The whole surface of a solid is form and finished area. Of a shell, the outside is form area, and the outside
        and the rim are finished area. Problems of the file are in `measure.problems` and not repeated in the notes.
        """
        measured = self.measure
        if self.wall_m is None:
            _require_closed(self)
            area = measured.surface_area_m2
            return Solid(
                measured.volume_m3, area, area, area, {}, measured.centroid_m, measured.size_m, measured.lowest_m,
                measured.inertia_m5, tolerance=0.0,
            )  # fmt: skip
        wall = _within(self, self.wall_m)
        require(
            wall.inner_area_m2 > 0.0 and all(note.id != "shell-solid" for note in wall.notes),
            "wall",
            message("wall-too-thick", wall_m=self.wall_m),
        )
        return Solid(
            wall.volume_m3,
            wall.surface_area_m2,
            wall.outer_area_m2,
            wall.surface_area_m2 - wall.inner_area_m2,
            {},
            wall.centroid_m,
            measured.size_m,
            measured.lowest_m,
            wall.inertia_m5,
            wall.tolerance,
            (
                *wall.notes,
                *([] if measured.closed else [OPEN_RIM]),
                message(
                    "shell-offset",
                    volume_m3=wall.volume_m3,
                    plain_m3=wall.area_times_wall_m3,
                    more=f"{wall.area_times_wall_m3 / wall.volume_m3 - 1.0:+.1%}",
                ),
            ),
        )

    @property
    def cast_thickness_m(self) -> float | None:
        return self.wall_m

    def moments(self) -> Moments:
        solid = self.solid()
        return Moments.of_balance(solid.volume_m3, solid.centroid_m, solid.inertia_m5)

    def deeper_than(self, reach_m: float, faces: FacesOf) -> Moments:
        if faces == "form" or self.wall_m is None:
            whole, coat = self.moments(), _within(self, reach_m)
            left = whole - Moments.of_balance(coat.volume_m3, coat.centroid_m, coat.inertia_m5)
            require(left.volume_m3 > _NOTHING * whole.volume_m3, "layers", message("layers-fill", reach_m=reach_m))
            return left
        require(
            2.0 * reach_m < self.wall_m,
            "layers",
            message("layers-fill-wall", reach_m=reach_m, wall_m=self.wall_m),
        )
        return between(*_arrays(self), reach_m, self.wall_m - reach_m, self.open)

    # Areas and sizes

    def plan_area(self) -> PlanArea:
        return plan_area_of_box(self.measure.size_m) if self.arrays is None else plan_area_of_facets(*self.arrays)

    def extents(self) -> tuple[tuple[str, float], ...]:
        return ("file", max(self.measure.size_m)), ("file", min(self.measure.size_m))

    def walls(self) -> tuple[Wall, ...]:
        return () if self.wall_m is None else (Wall("wall", "wall", self.wall_m),)

    def thicker(self, by_m: float) -> MeshBody | None:
        return None if self.wall_m is None else replace(self, wall_m=self.wall_m + by_m)

    def largest_sphere(self) -> Inscribed:
        if self.wall_m is not None:
            return Inscribed(min(CORNER_OF_THREE * self.wall_m, *self.measure.size_m))
        if self.arrays is None:
            return Inscribed(min(self.measure.size_m), estimated=True)
        return Inscribed(sphere_in_facets(*self.arrays))

    # Parts, drawings and forms

    def opening_outlines(self) -> tuple[Region, ...]:
        return ()

    def plate(self) -> None:
        return None

    def build_notes(self) -> tuple[Message, ...]:
        return () if self.wall_m is None else (message("form-shell", wall_m=self.wall_m),)

    def form(self) -> None:
        return None

    def view(self) -> PlanView:
        if self.arrays is None:
            return view_of_box(self.measure.lowest_m, self.measure.size_m)
        return view_of_facets(*self.arrays)

    def cross_section(self, at_m: float, axis: Axis = "x") -> CrossSection | None:
        if self.arrays is None:
            return None
        whole = section_of_facets(*self.arrays, at_m)
        if whole is None or self.wall_m is None:
            return whole
        outside = united([region.polygon() for region in whole.material])
        ways = {"top": (0.0, 1.0), "bottom": (0.0, -1.0), "front": (-1.0, 0.0), "back": (1.0, 0.0)}
        beyond = outside
        if self.open in ways:
            step = 2 * self.wall_m * np.array(ways[self.open])
            beyond = shapely.union(outside, shapely.transform(outside, lambda points: points + step))
        walls = shapely.difference(outside, shapely.buffer(beyond, -self.wall_m, join_style="mitre"))
        return CrossSection(regions_of_area(walls), at_m, notes=(WALL_DRAWN,))

    def manifold(self) -> Any:
        from manifold3d import Error, Manifold, Mesh64

        if self.wall_m is not None:
            raise FaultError(
                "wall",
                message("mesh-shell-in-compound"),
            )
        if self.arrays is None:
            raise FaultError("file", message("mesh-facets-gone"))
        vertices, facets = self.arrays
        body = Manifold(Mesh64(np.ascontiguousarray(vertices), facets.astype(np.uint64)))
        if body.status() != Error.NoError:
            raise FaultError(
                "file",
                message("mesh-no-manifold", status=body.status().name),
            )
        return body


def _require_closed(body: MeshBody) -> None:
    if not body.measure.closed:
        raise FaultError(
            "wall",
            message("mesh-open-rim"),
        )


def _within(body: MeshBody, depth_m: float) -> Shell:
    vertices, facets = _arrays(body)
    key = key_of("shell", (vertices.data, facets.data), depth_m, body.open)
    return kept(key, lambda: shell(vertices, facets, depth_m, body.open))


def _arrays(body: MeshBody) -> tuple[Floats, Ints]:
    if body.arrays is None:
        raise FaultError("", message("mesh-no-distances"))
    vertices, facets = body.arrays
    return np.ascontiguousarray(vertices), np.ascontiguousarray(facets)
