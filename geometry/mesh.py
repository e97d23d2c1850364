"""Meshes: what is measured of a mesh file, and the piece that it encloses or whose outer surface it is."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Literal

import numpy as np

from geometry.arrays import Block, Floats, Ints, Tensor, Vector, vector
from geometry.errors import FaultError, mm, require
from geometry.facets import Tally, nothing, tally, tally_blocks
from geometry.readers.meshes import MeshFile, open_mesh
from geometry.repair import PIERCED_FACETS, Mended, Repair, count, mend, unit_name, unlooked
from geometry.shapes import MeshBody
from geometry.shell import Shell, between, shell
from geometry.solid import LayerPart, Moments, Solid, joint_depths, parts_of

EXAMINED_FACETS = 250_000
"""Up to so many facets the bodies are counted and examined one by one unless the caller says otherwise."""

_NO_VOLUME = 1e-12
"""Volume per (area · diagonal) below which a closed mesh is flat: rounding alone leaves about 1e-15."""


@dataclass(frozen=True, slots=True)
class MeshMeasure:
    """What a mesh encloses.

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
    problems         what was found amiss and what was done about it, a sentence each
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


def read_mesh(
    path: Path, unit_m: float | None, bodies: bool | None = None, repair: Repair | None = None
) -> MeshMeasure:
    """Measure a mesh file (STL, OBJ, PLY, 3MF). A large STL streams by in the memory of one block.

    unit_m  length of the file's unit in metres; None where the file must tell it itself
    bodies  count and examine the bodies, and look for facets that pierce each other, however many there are; None does
            the one up to `EXAMINED_FACETS`, the other up to `PIERCED_FACETS`
    repair  "fill" closes flat holes, and `problems` tells which

    Raises FaultError for a file that is not a sound mesh file, that has no unit, or that encloses no volume;
    OSError for one that cannot be opened.
    """
    file = open_mesh(path)
    passed = _pass(file)
    unit_m = _unit(file, unit_m, passed)
    examine = passed.facets <= EXAMINED_FACETS if bodies is None else bodies
    if passed.closed and not examine:
        said = [f"{count(passed.flat, 'facet')} of zero area left out"] if passed.flat else []
        if passed.volume < 0:
            said.append("the mesh was inside out and was turned")
        said.append(unlooked(PIERCED_FACETS))
        return _measure(passed, passed.facets, unit_m, (*file.problems, *said))
    mended = mend(_whole(file, passed), unit_m, bodies=examine, pierced=bodies, repair=repair)
    return _measured(mended, passed, unit_m, file.problems)


def read_facets(
    path: Path, unit_m: float | None, repair: Repair | None = None, rims: bool = False
) -> tuple[MeshMeasure, Floats, Ints]:
    """Measure a mesh file and keep its facets, mended: for shells, parts of a compound and pictures.

    rims  accept flat openings and leave them open: the mesh is the outer surface of a shell

    Returns the measure, vertices (v, 3) in metres and facets (n, 3), anticlockwise from outside.
    Raises as `read_mesh`.
    """
    file = open_mesh(path)
    passed = _pass(file)
    unit_m = _unit(file, unit_m, passed)
    mended = mend(_whole(file, passed), unit_m, repair=repair, rims=rims)
    return _measured(mended, passed, unit_m, file.problems), mended.vertices * unit_m, mended.faces


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
        f"in {name} {' × '.join(f'{x * metres:.3g}' for x in size)} m"
        for name, metres in (("mm", 0.001), ("cm", 0.01), ("in", 0.0254), ("m", 1.0))
    )
    plain = " × ".join(f"{x:.6g}" for x in size)
    raise FaultError(
        "", f"the file has no unit; its size is {plain}: {readings}.", 'Give the unit: "mm", "cm", "in" or "m".'
    )


def _measured(mended: Mended, passed: Tally, unit_m: float, problems: tuple[str, ...]) -> MeshMeasure:
    """The measure of a mesh after it was mended; size and number of facets stay those of the file."""
    total = tally(mended.vertices[np.concatenate([mended.faces, mended.caps])], passed.reference)
    told = (*problems, *mended.problems)
    return _measure(total, passed.facets, unit_m, told, mended.bodies, closed=len(mended.caps) == 0)


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


OPEN_RIM = "open at its rim: the flat face there is left out of the shell"
"""A rim may be a planter's mouth, or a facet lost on export: what was taken for the opening is told."""

_NOTHING = 1e-9
"""Share of a piece below which nothing is left for a layer."""


def measure_mesh_body(body: MeshBody) -> Solid:
    """The measure of a mesh: of the solid, or with a wall of the shell inside it.

    All of a solid is cast against the form and seen; of a shell the outside is cast against the form, and the
    outside and the rim are seen. What was found amiss in the file is told by `body.measure.problems`, not again in
    the notes. Raises FaultError for a shell that cannot be built.
    """
    measured = body.measure
    if body.wall_m is None:
        _require_closed(body)
        area = measured.surface_area_m2
        return Solid(
            measured.volume_m3, area, area, area, {}, measured.centroid_m, measured.size_m, measured.lowest_m,
            measured.inertia_m5, tolerance=0.0,
        )  # fmt: skip
    found = _within(body, body.wall_m)
    require(
        found.inner_area_m2 > 0.0,
        "wall",
        f"is {mm(body.wall_m)}, which leaves no hollow.",
        "Make it thinner, or leave it out for a solid piece.",
    )
    return Solid(
        found.volume_m3,
        found.surface_area_m2,
        found.outer_area_m2,
        found.surface_area_m2 - found.inner_area_m2,
        {},
        found.centroid_m,
        measured.size_m,
        measured.lowest_m,
        found.inertia_m5,
        found.tolerance,
        (
            *found.notes,
            *([] if measured.closed else [OPEN_RIM]),
            f"shell by true offset {found.volume_m3:.6g} m³; outer area times wall would be "
            f"{found.area_times_wall_m3:.6g} m³ ({found.area_times_wall_m3 / found.volume_m3 - 1.0:+.1%})",
        ),
    )


def mesh_layer_parts(
    body: MeshBody, thicknesses_m: Sequence[float | None], faces: Literal["form", "all"] = "form"
) -> tuple[LayerPart, ...]:
    """The layers of a mesh from the form inward. See `geometry.solid.layer_parts`."""
    measured = measure_mesh_body(body)
    joints = joint_depths(thicknesses_m, body.wall_m)
    whole = _moments(measured.volume_m3, measured.centroid_m)

    def deeper_than(joint_m: float) -> Moments:
        fix = "Make the outer layers thinner."
        if faces == "form" or body.wall_m is None:
            coat = _within(body, joint_m)
            left = whole - _moments(coat.volume_m3, coat.centroid_m)
            require(left.volume_m3 > _NOTHING * whole.volume_m3, "layers", f"reach {mm(joint_m)} and fill it.", fix)
            return left
        require(
            2.0 * joint_m < body.wall_m,
            "layers",
            f"reach {mm(joint_m)} from both sides into a wall of {mm(body.wall_m)}.",
            fix,
        )
        return between(*_arrays(body), joint_m, body.wall_m - joint_m, body.open)

    return parts_of(whole, deeper_than, joints, measured, faces)


def _moments(volume_m3: float, centroid_m: Vector) -> Moments:
    """Volume and first moment; layers tell no inertia."""
    return Moments(volume_m3, volume_m3 * np.array(centroid_m), np.zeros((3, 3)))


def _require_closed(body: MeshBody) -> None:
    if not body.measure.closed:
        raise FaultError(
            "wall",
            "the mesh is open at its rim: it encloses no volume.",
            'Give the wall of the shell, or set repair = "fill" to close flat holes.',
        )


@lru_cache(maxsize=32)  # the measure and the layers of one body ask for the same shells, seconds apart
def _within(body: MeshBody, depth_m: float) -> Shell:
    vertices, facets = _arrays(body)
    return shell(vertices, facets, depth_m, body.open)


def _arrays(body: MeshBody) -> tuple[Floats, Ints]:
    if body.vertices_m is None or body.facets is None:
        raise FaultError("", "the facets of the mesh were not kept, so distances inside it cannot be taken.")
    return body.vertices_m, body.facets
