"""Meshes: what is measured of a mesh file, and the piece that it encloses or whose outer surface it is."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from typing import Any, Literal, TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray

from geometry.arrays import Block, Floats, Ints, Tensor, Vector, vector
from geometry.errors import FaultError, mm, require, unit_name
from geometry.facets import Tally, nothing, tally, tally_blocks
from geometry.files import InputFile
from geometry.inscribed import CORNER_OF_THREE, Inscribed, sphere_in_facets
from geometry.plan import regions_of_area, united
from geometry.plane import Region
from geometry.readers.meshes import MeshFile, open_mesh
from geometry.repair import PIERCED_FACETS, Mended, Repair, count, mend, unlooked
from geometry.shape import FacesOf, Shape, Wall
from geometry.shell import Shell, between, shell
from geometry.solid import Moments, Solid
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


EXAMINED_FACETS = 250_000
"""Up to so many facets the bodies are counted and examined one by one unless the caller says otherwise."""


_NO_VOLUME = 1e-12
"""Volume per (area · diagonal) below which a closed mesh is flat: rounding alone leaves about 1e-15."""


OPEN_RIM = "open at its rim: the flat face there is left out of the shell"
"""A rim may be a planter's mouth, or a facet lost on export: what was taken for the opening is told."""


_NOTHING = 1e-9
"""Share of a piece below which nothing is left for a layer."""


WALL_DRAWN = "the wall is drawn square to this section"


@dataclass(frozen=True, slots=True)
class MeshMeasure:
    """The measure of the solid that a mesh encloses.

    volume_m3        of the solid; hollows taken away, bodies that overlap made one (and named in `problems`)
    surface_area_m2  of the solid, faces between solid and hollow in
    centroid_m       of the solid, in the file's own axes
    size_m           outer size along x, y, z
    lowest_m         the corner of the box with the smallest x, y, z, in the file's own axes
    inertia_m5       inertia tensor about the centroid for unit density; times kg/m³ gives kg·m²
    facets           in the file, faulty ones too
    bodies           how many separate closed surfaces, None where they were not counted
    closed           whether the file's surface is closed; False for one that is open at flat rims, where that is
                     allowed: then volume, centroid and inertia are those of the solid with its rims capped
    problems         faults of the file and how they were repaired, one sentence for each
    unit_m           length of the file's unit
    """

    volume_m3: float
    surface_area_m2: float
    centroid_m: Vector
    size_m: Vector
    lowest_m: Vector
    inertia_m5: Tensor
    facets: int
    bodies: int | None
    closed: bool
    problems: tuple[str, ...]
    unit_m: float


@dataclass(frozen=True, slots=True, eq=False)
class MeshBody(Shape):
    """A closed mesh as it was measured while read; a shell or a part of a compound also keeps its facets.

    vertices_m  shape (n, 3), float64; facets shape (m, 3), int64, counter-clockwise from outside
    wall_m      the mesh is the outer surface of a shell of this thickness, its planar face at `open` left out
    """

    measure: MeshMeasure
    vertices_m: NDArray[np.float64] | None = None
    facets: NDArray[np.int64] | None = None
    wall_m: float | None = None
    open: Opening = "none"

    @property
    def arrays(self) -> tuple[Floats, Ints] | None:
        """Vertices and facets, where they were kept."""
        return None if self.vertices_m is None or self.facets is None else (self.vertices_m, self.facets)

    # Volume and layers

    def solid(self) -> Solid:
        """The measure of the solid, or with a wall of the shell inside it.

        All of a solid is cast against the form and seen; of a shell the outside is cast against the form, and the
        outside and the rim are seen. What was found wrong in the file stands in `measure.problems`, not again in
        the notes.
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
            wall.inner_area_m2 > 0.0,
            "wall",
            f"is {mm(self.wall_m)}, which leaves no hollow.",
            "Make it thinner, or leave it out for a solid piece.",
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
                f"shell by true offset {wall.volume_m3:.6g} m³; outer area times wall would be "
                f"{wall.area_times_wall_m3:.6g} m³ ({wall.area_times_wall_m3 / wall.volume_m3 - 1.0:+.1%})",
            ),
        )

    @property
    def cast_thickness_m(self) -> float | None:
        return self.wall_m

    def moments(self) -> Moments:
        solid = self.solid()
        return Moments.of_balance(solid.volume_m3, solid.centroid_m, solid.inertia_m5)

    def deeper_than(self, reach_m: float, faces: FacesOf) -> Moments:
        fix = "Make the outer layers thinner."
        if faces == "form" or self.wall_m is None:
            whole, coat = self.moments(), _within(self, reach_m)
            left = whole - Moments.of_balance(coat.volume_m3, coat.centroid_m, coat.inertia_m5)
            require(left.volume_m3 > _NOTHING * whole.volume_m3, "layers", f"reach {mm(reach_m)} and fill it.", fix)
            return left
        require(
            2.0 * reach_m < self.wall_m,
            "layers",
            f"reach {mm(reach_m)} from both sides into a wall of {mm(self.wall_m)}.",
            fix,
        )
        return between(*_kept(self), reach_m, self.wall_m - reach_m, self.open)

    # Areas and sizes

    def plan_area(self) -> PlanArea:
        return plan_area_of_box(self.measure.size_m) if self.arrays is None else plan_area_of_facets(*self.arrays)

    def extents(self) -> tuple[tuple[str, float], ...]:
        return (("file", max(self.measure.size_m)),)

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
                "a shell from a mesh cannot be a part of a compound.",
                "Model its hollow and take it away as a second mesh.",
            )
        if self.arrays is None:
            raise FaultError("file", "the facets of the mesh were not kept.", "Read it with its facets.")
        vertices, facets = self.arrays
        body = Manifold(Mesh64(np.ascontiguousarray(vertices), facets.astype(np.uint64)))
        if body.status() != Error.NoError:
            raise FaultError(
                "file",
                f"the mesh is no closed manifold ({body.status().name}).",
                "Weld its vertices and remove faces that meet in an edge more than twice.",
            )
        return body


def _require_closed(body: MeshBody) -> None:
    if not body.measure.closed:
        raise FaultError(
            "wall",
            "the mesh is open at its rim: it encloses no volume.",
            'Give the wall of the shell, or set repair = "fill" to close flat holes.',
        )


@lru_cache(maxsize=32)  # the measure and the layers of one body ask for the same shells, seconds apart
def _within(body: MeshBody, depth_m: float) -> Shell:
    return shell(*_kept(body), depth_m, body.open)


def _kept(body: MeshBody) -> tuple[Floats, Ints]:
    if body.arrays is None:
        raise FaultError("", "the facets of the mesh were not kept, so distances inside it cannot be taken.")
    return body.arrays


def read_mesh(
    file: str | Path | InputFile, unit_m: float | None, bodies: bool | None = None, repair: Repair | None = None
) -> MeshMeasure:
    """Measure a mesh file (STL, OBJ, PLY, 3MF). A large STL streams by in the memory of one block.

    unit_m  length of the file's unit in meters; None where the file must tell it itself
    bodies  count and examine the bodies, and look for facets that pierce each other, however many there are; None does
            the one up to `EXAMINED_FACETS`, the other up to `PIERCED_FACETS`
    repair  "fill" closes flat holes, and `problems` tells which

    Raises FaultError for a file that is not a sound mesh file, that cannot be opened, that has no unit, or
    that encloses no volume.
    """
    source = open_mesh(file)
    passed = _pass(source)
    unit_m = _unit(source, unit_m, passed)
    examine = passed.facets <= EXAMINED_FACETS if bodies is None else bodies
    if passed.closed and not examine:
        notes = [f"{count(passed.flat, 'facet')} of zero area left out"] if passed.flat else []
        if passed.volume < 0:
            notes.append("the mesh was inside out and was turned")
        notes.append(unlooked(PIERCED_FACETS))
        return _measure(passed, passed.facets, unit_m, (*source.problems, *notes))
    sound = mend(_whole(source, passed), unit_m, bodies=examine, pierced=bodies, repair=repair)
    return _measured(sound, passed, unit_m, source.problems)


def read_facets(
    file: str | Path | InputFile, unit_m: float | None, repair: Repair | None = None, rims: bool = False
) -> tuple[MeshMeasure, Floats, Ints]:
    """Measure a mesh file and keep its facets, mended: for shells, parts of a compound and pictures.

    rims  accept flat openings and leave them open: the mesh is the outer surface of a shell

    Returns the measure, vertices (v, 3) in meters and facets (n, 3), anticlockwise from outside.
    Raises as `read_mesh`.
    """
    source = open_mesh(file)
    passed = _pass(source)
    unit_m = _unit(source, unit_m, passed)
    sound = mend(_whole(source, passed), unit_m, repair=repair, rims=rims)
    return _measured(sound, passed, unit_m, source.problems), sound.vertices * unit_m, sound.faces


def _pass(file: MeshFile) -> Tally:
    """Let the whole file go by once."""
    first = next(file.blocks())
    reference = np.array(first[0, 0], dtype=np.float64)
    if not np.isfinite(reference).all():
        reference = np.zeros(3)
    passed = nothing(reference)
    with ThreadPoolExecutor(len(file.sections)) as threads:
        for part in threads.map(lambda section: tally_blocks(section(), reference), file.sections):
            passed = passed + part
    if not (np.isfinite(passed.low).all() and np.isfinite(passed.high).all()):
        number = _first_not_finite(file.blocks())
        raise FaultError("", f"facet {number:,} has a corner that is not a finite number.", "Export it again.")
    return passed


def _first_not_finite(blocks: Iterator[Block]) -> int:
    before = 0
    for block in blocks:
        bad = ~np.isfinite(block).all(axis=(1, 2))
        if bad.any():
            return before + int(np.argmax(bad)) + 1
        before += len(block)
    return before


def _whole(file: MeshFile, passed: Tally) -> Block:
    facets = np.empty((passed.facets, 3, 3))
    at = 0
    for block in file.blocks():
        facets[at : at + len(block)] = block
        at += len(block)
    return facets


def _unit(file: MeshFile, unit_m: float | None, passed: Tally) -> float:
    own = file.unit_m
    if own is not None:
        if unit_m is not None and abs(unit_m - own) > 1e-9 * own:
            raise FaultError(
                "",
                f"the file's own unit is {unit_name(own)}, not {unit_name(unit_m)}.",
                "Leave the unit out, or export again in the other.",
            )
        return own
    if unit_m is not None:
        return unit_m
    size = passed.high - passed.low
    readings = "; ".join(
        f"in {name} {' × '.join(f'{x * meters:.3g}' for x in size)} m"
        for name, meters in (("mm", 0.001), ("cm", 0.01), ("in", 0.0254), ("m", 1.0))
    )
    plain = " × ".join(f"{x:.6g}" for x in size)
    raise FaultError(
        "", f"the file has no unit; its size is {plain}: {readings}.", 'Give the unit: "mm", "cm", "in" or "m".'
    )


def _measured(mended: Mended, passed: Tally, unit_m: float, problems: tuple[str, ...]) -> MeshMeasure:
    """The measure of a mesh after it was mended; size and number of facets stay those of the file."""
    total = tally(mended.vertices[np.concatenate([mended.faces, mended.caps])], passed.reference)
    notes = (*problems, *mended.problems)
    return _measure(total, passed.facets, unit_m, notes, mended.bodies, closed=len(mended.caps) == 0)


def _measure(
    total: Tally, facets: int, unit_m: float, problems: tuple[str, ...], bodies: int | None = None, closed: bool = True
) -> MeshMeasure:
    """The measure from sums in the file's unit; the sign of a mesh inside out drops out of what is not linear in it."""
    size = total.high - total.low
    if abs(total.volume) <= _NO_VOLUME * total.area * float(np.linalg.norm(size)):
        raise FaultError("", "the surface is closed but flat: it encloses no volume.", "Export it as a solid body.")
    sign = 1.0 if total.volume > 0 else -1.0
    inertia = sign * unit_m**5 * total.inertia
    return MeshMeasure(
        volume_m3=sign * unit_m**3 * total.volume,
        surface_area_m2=unit_m**2 * total.area,
        centroid_m=vector(unit_m * total.centroid),
        size_m=vector(unit_m * size),
        lowest_m=vector(unit_m * total.low),
        inertia_m5=(vector(inertia[0]), vector(inertia[1]), vector(inertia[2])),
        facets=facets,
        bodies=bodies,
        closed=closed,
        problems=problems,
        unit_m=unit_m,
    )
