"""Mesh files: measures of the enclosed solid, computed while the file is streamed."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np

from geometry.apart import apart, guarded
from geometry.arrays import Block, Floats, Ints, Tensor, Vector, vector
from geometry.errors import FaultError, sizes_by_unit, unit_name
from geometry.facets import Tally, nothing, tally, tally_blocks
from geometry.files import InputFile, input_file
from geometry.frozen import frozen
from geometry.message import Message, message
from geometry.readers.extras import require_extra
from geometry.readers.meshes import MeshFile, open_mesh
from geometry.readers.step import MM, UNITS_M, Body, step_solids
from geometry.repair import UNLOOKED, Mended, Repair, mend

MESHES = (".stl", ".obj", ".ply", ".3mf", ".glb", ".gltf", ".step", ".stp", ".3dm")
"""File name extensions of meshes and solids."""

EXAMINED_FACETS = 250_000
"""Largest mesh whose bodies are counted and examined by default."""

EXACT = (".step", ".stp")
"""Formats with exact surfaces; their facets are for drawings only."""

FARTHEST = 1e10
"""Largest coordinate, in file units: larger than anything cast, and its fifth power does not overflow."""

_NO_VOLUME = 1e-12
"""Volume / (area · diagonal) below which a closed mesh is flat; rounding leaves about 1e-15."""


@frozen
class MeshMeasure:
    """Measures of the solid that a mesh encloses.

    volume_m3        volume less cavities, with overlapping bodies united (and named in `problems`)
    surface_area_m2  surface area, cavities included
    centroid_m       centroid in the coordinates of the file
    size_m           outer size along x, y, z
    lowest_m         corner of the bounding box with the smallest x, y, z, in the coordinates of the file
    inertia_m5       inertia tensor about the centroid for unit density; times kg/m³ gives kg·m²
    facets           number of facets in the file, faulty ones included
    bodies           number of separate closed surfaces, None if they were not counted
    closed           whether the surface is closed. If False, it is open at flat rims (where that is allowed), and
                     volume, centroid and inertia are those of the solid with its rims capped
    problems         faults of the file and how they were repaired
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
    problems: tuple[Message, ...]
    unit_m: float


def read_mesh(
    file: str | Path | InputFile, unit_m: float | None, bodies: bool | None = None, repair: Repair | None = None
) -> MeshMeasure:
    """Measure a mesh file (STL, OBJ, PLY, 3MF, GLB, glTF, STEP). A large STL needs the memory of one block.

    unit_m  length of the file's unit in meters; None if the file must state it
    bodies  True to examine bodies and search for piercing facets in a mesh of any size; None to do so up to
            `EXAMINED_FACETS` and `PIERCED_FACETS`
    repair  "fill" closes flat holes and lists them in `problems`

    Raises FaultError for a file that cannot be opened, is not a valid mesh, has no unit, or encloses no volume.
    """
    file = input_file(file)
    if file.suffix in EXACT:
        return read_facets(file, unit_m)[0]
    return guarded(_read_mesh, file, unit_m, bodies, repair)


@np.errstate(all="ignore")  # coordinates that are not finite or too large are refused
def _read_mesh(file: InputFile, unit_m: float | None, bodies: bool | None, repair: Repair | None) -> MeshMeasure:
    with file.unchanged():  # it is read several times
        return _measure_of(file, unit_m, bodies, repair)


def _measure_of(file: InputFile, unit_m: float | None, bodies: bool | None, repair: Repair | None) -> MeshMeasure:
    source = open_mesh(file)
    totals = _pass(source)
    unit_m = _unit(source, unit_m, totals)
    examine = totals.facets <= EXAMINED_FACETS if bodies is None else bodies
    if totals.closed and not examine:
        notes = [message("note-facets-flat", count=totals.flat)] if totals.flat else []
        if totals.volume < 0:
            notes.append(message("note-mesh-turned"))
        notes.append(UNLOOKED)
        return _measure(totals, totals.facets, unit_m, (*source.problems, *notes))
    sound = mend(_whole(source, totals), unit_m, bodies=examine, pierced=bodies, repair=repair)
    return _measured(sound, totals, unit_m, source.problems)


def read_facets(
    file: str | Path | InputFile, unit_m: float | None, repair: Repair | None = None, rims: bool = False
) -> tuple[MeshMeasure, Floats, Ints]:
    """Measure a mesh file and keep its repaired facets, for shells, parts of a compound and pictures.

    rims  accept flat openings and leave them open, for the outer surface of a shell

    Returns the measures, vertices (v, 3) in meters, and facets (n, 3), counterclockwise from outside.
    Raises what `read_mesh` raises.
    """
    file = input_file(file)
    if file.suffix in EXACT:
        require_extra("step")
        return _exact(apart(step_solids, file), unit_m)
    return guarded(_read_facets, file, unit_m, repair, rims)


def _exact(read: tuple[str, list[Body], int], unit_m: float | None) -> tuple[MeshMeasure, Floats, Ints]:
    """Measures, vertices and facets of solids with exact surfaces."""
    unit, bodies, left_out = read
    own = UNITS_M[unit]
    _refuse_other_unit(own, unit_m)
    volume = sum(body["volume"] for body in bodies)
    center = sum(body["volume"] * body["center"] for body in bodies) / volume
    inertia = np.zeros((3, 3))
    for body in bodies:  # moved to the common center
        off = body["center"] - center
        inertia += body["inertia"] + body["volume"] * (off @ off * np.eye(3) - np.outer(off, off))
    low = np.min([body["low"] for body in bodies], axis=0)
    high = np.max([body["high"] for body in bodies], axis=0)
    sound = mend(np.concatenate([body["vertices"][body["faces"]] for body in bodies]), MM)
    inertia *= MM**5
    measure = MeshMeasure(
        volume_m3=MM**3 * volume,
        surface_area_m2=MM**2 * sum(body["area"] for body in bodies),
        centroid_m=vector(MM * center),
        size_m=vector(MM * (high - low)),
        lowest_m=vector(MM * low),
        inertia_m5=(vector(inertia[0]), vector(inertia[1]), vector(inertia[2])),
        facets=len(sound.faces),
        bodies=len(bodies),
        closed=True,
        problems=(message("note-solids-left-out", count=left_out),) if left_out else (),
        unit_m=own,
    )
    return measure, sound.vertices * MM, sound.faces


@np.errstate(all="ignore")
def _read_facets(
    file: InputFile, unit_m: float | None, repair: Repair | None, rims: bool
) -> tuple[MeshMeasure, Floats, Ints]:
    with file.unchanged():
        source = open_mesh(file)
        totals = _pass(source)
        unit_m = _unit(source, unit_m, totals)
        facets = _whole(source, totals)
    sound = mend(facets, unit_m, repair=repair, rims=rims)
    return _measured(sound, totals, unit_m, source.problems), sound.vertices * unit_m, sound.faces


def _pass(file: MeshFile) -> Tally:
    """Sum the facets of the whole file in one pass. Raises FaultError for coordinates not finite or too large."""
    first = next(file.blocks())
    reference = np.array(first[0, 0], dtype=np.float64)
    if not np.isfinite(reference).all():
        reference = np.zeros(3)
    from concurrent.futures import ThreadPoolExecutor  # only where a mesh is read

    totals = nothing(reference)
    with ThreadPoolExecutor(len(file.sections)) as threads:
        for part in threads.map(lambda section: tally_blocks(section(), reference), file.sections):
            totals = totals + part
    if not (np.isfinite(totals.low).all() and np.isfinite(totals.high).all()):
        number = _first_not_finite(file.blocks())
        raise FaultError("", message("mesh-corner-not-finite", number=f"{number:,}"))
    far = float(max(np.abs(totals.low).max(), np.abs(totals.high).max()))
    if far > FARTHEST:
        raise FaultError("", message("coordinate-too-far", found=f"{far:.3g}", most=f"{FARTHEST:,.0f}"))
    return totals


def _first_not_finite(blocks: Iterator[Block]) -> int:
    before = 0
    for block in blocks:
        bad = ~np.isfinite(block).all(axis=(1, 2))
        if bad.any():
            return before + int(np.argmax(bad)) + 1
        before += len(block)
    return before


def _whole(file: MeshFile, totals: Tally) -> Block:
    facets = np.empty((totals.facets, 3, 3))
    at = 0
    for block in file.blocks():
        facets[at : at + len(block)] = block
        at += len(block)
    return facets


def _unit(file: MeshFile, unit_m: float | None, totals: Tally) -> float:
    own = file.unit_m
    if own is not None:
        _refuse_other_unit(own, unit_m)
        return own
    if unit_m is not None:
        return unit_m
    size = totals.high - totals.low
    plain = " × ".join(f"{x:.6g}" for x in size)
    raise FaultError("", message("mesh-no-unit", size=plain, sizes=sizes_by_unit(size, 3)))


def _refuse_other_unit(own_m: float, unit_m: float | None) -> None:
    if unit_m is not None and abs(unit_m - own_m) > 1e-9 * own_m:
        raise FaultError("", message("mesh-unit-differs", own=unit_name(own_m), given=unit_name(unit_m)))


def _measured(mended: Mended, totals: Tally, unit_m: float, problems: tuple[Message, ...]) -> MeshMeasure:
    """Measures of a repaired mesh; size and number of facets are those of the file."""
    total = tally(mended.vertices[np.concatenate([mended.faces, mended.caps])], totals.reference)
    notes = (*problems, *mended.problems)
    return _measure(total, totals.facets, unit_m, notes, mended.bodies, closed=len(mended.caps) == 0)


def _measure(
    total: Tally,
    facets: int,
    unit_m: float,
    problems: tuple[Message, ...],
    bodies: int | None = None,
    closed: bool = True,
) -> MeshMeasure:
    """Measures from sums in the file's unit. An inside-out mesh changes the sign of volume and inertia only."""

    size = total.high - total.low
    if abs(total.volume) <= _NO_VOLUME * total.area * float(np.linalg.norm(size)):
        raise FaultError("", message("mesh-flat"))
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
