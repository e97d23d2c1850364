"""Mesh repair: faults with a unique repair are repaired and noted, all others are refused.

Lengths are in the file's unit; `unit_m` is for messages.
"""

from __future__ import annotations

from typing import Literal

import numpy as np

from geometry.arrays import Block, Floats, Ints
from geometry.bodies import Bodies, Place, crossings, set_right
from geometry.errors import FaultError, unit_name
from geometry.facets import (
    Edges,
    bodies_of,
    edges_of,
    index_facets,
    loops_of,
    rewound,
    weld,
    without_degenerate,
    without_duplicates,
)
from geometry.frozen import frozen
from geometry.message import Message, few, message

FLATNESS = 1e-3
"""Largest deviation of a flat opening from its plane, as a fraction of its size."""


@frozen(eq=False)
class Opening:
    """An opening of a mesh: an outer vertex loop, and loops around islands of material in the same plane.

    Lengths and areas are in the mesh's unit; `normal` points out of the capped solid.
    """

    loops: tuple[Ints, ...]
    normal: Floats
    middle: Floats
    area: float
    size: float
    unevenness: float


def openings(vertices: Floats, loops: list[Ints]) -> list[Opening]:
    """Group loops into openings: a loop of opposite direction inside another is its island."""
    areas = [_vector_area(vertices[loop]) for loop in loops]
    sizes = [_size(vertices[loop]) for loop in loops]
    outer_of = list(range(len(loops)))
    order = np.argsort([-float(np.linalg.norm(area)) for area in areas])
    for i in order:
        for j in order:
            if np.linalg.norm(areas[j]) <= np.linalg.norm(areas[i]) or outer_of[j] != j:
                continue
            if areas[i] @ areas[j] < 0 and _lies_in(vertices[loops[i]], vertices[loops[j]], areas[j], sizes[j]):
                outer_of[i] = int(j)
    rims = []
    for j in range(len(loops)):
        if outer_of[j] != j:
            continue
        inside = tuple(loops[i] for i in range(len(loops)) if i != j and outer_of[i] == j)
        area = areas[j] + sum((areas[i] for i in range(len(loops)) if i != j and outer_of[i] == j), np.zeros(3))
        points = vertices[np.concatenate([loops[j], *inside])]
        length = float(np.linalg.norm(areas[j]))
        normal = areas[j] / length if length > 0 else _across(points)
        middle = vertices[loops[j]].mean(axis=0)
        unevenness = float(np.abs((points - middle) @ normal).max())
        rims.append(Opening((loops[j], *inside), normal, middle, float(np.linalg.norm(area)), sizes[j], unevenness))
    return rims


def cap(vertices: Floats, opening: Opening) -> Ints:
    """Facets (k, 3) that close a flat opening, on its own vertices."""
    from manifold3d import triangulate

    across, up = _plane_axes(opening.normal)
    flat = [np.column_stack([vertices[loop] @ across, vertices[loop] @ up]) for loop in opening.loops]
    # A tolerance, so that loops that cross only by rounding do not fail.
    triangles = triangulate(flat, 1e-9 * opening.size)
    faces = np.concatenate(opening.loops)[np.asarray(triangles, dtype=np.int64)]
    if len(faces) != sum(map(len, opening.loops)) + 2 * len(opening.loops) - 4:
        raise FaultError("", message("mesh-opening-crosses"))
    return faces


def _vector_area(points: Floats) -> Floats:
    centered = points - points.mean(axis=0)
    return np.asarray(np.cross(centered, np.roll(centered, -1, axis=0)).sum(axis=0) / 2.0)


def _size(points: Floats) -> float:
    return float(np.linalg.norm(points.max(axis=0) - points.min(axis=0)))


def _across(points: Floats) -> Floats:
    """Unit normal for points that enclose no area, as in a slit."""
    return np.asarray(np.linalg.svd(points - points.mean(axis=0))[2][2])


def _plane_axes(normal: Floats) -> tuple[Floats, Floats]:
    """Two unit vectors that form a right-handed orthonormal frame with `normal`."""
    across = np.cross(normal, np.eye(3)[np.argmin(np.abs(normal))])
    across /= np.linalg.norm(across)
    return across, np.cross(normal, across)


def _lies_in(points: Floats, outer: Floats, area: Floats, size: float) -> bool:
    """Whether points lie in the plane of a loop, and the first point inside the loop."""
    normal = area / np.linalg.norm(area)
    if np.abs((points - outer.mean(axis=0)) @ normal).max() > FLATNESS * size:
        return False
    across, up = _plane_axes(normal)
    x, y = (outer - points[0]) @ across, (outer - points[0]) @ up
    x2, y2 = np.roll(x, -1), np.roll(y, -1)
    crosses = (y > 0) != (y2 > 0)
    at = x[crosses] - y[crosses] * (x2 - x)[crosses] / (y2 - y)[crosses]
    return bool(np.count_nonzero(at > 0) % 2)


Repair = Literal["fill"]

WELD_M = 2e-6
"""Corners closer than this are merged if the mesh is not closed."""

PIERCED_FACETS = 100_000
"""Largest mesh that is checked by default for facets that pierce each other."""

UNLOOKED = message("note-not-looked", most=PIERCED_FACETS)
"""Note on a mesh too large to be checked for facets that pierce each other."""

TOUCH_M = 1e-5
ROUNDING = 2e-7
"""Surfaces that overlap by no more than this only touch: a length that no form can show, plus a fraction of the
coordinates for the rounding of single precision."""


@frozen(eq=False)
class Mended:
    """A repaired mesh with outward-facing facets, closed or open only at flat rims.

    vertices  (v, 3) in the file's unit; faces (n, 3)
    caps      (k, 3) faces that close the flat rims, empty if there are none
    bodies    number of bodies; None if they were not counted
    problems  faults, and how they were repaired
    """

    vertices: Floats
    faces: Ints
    caps: Ints
    bodies: int | None
    problems: tuple[Message, ...]


def mend(
    facets: Block,
    unit_m: float,
    *,
    bodies: bool = True,
    pierced: bool | None = None,
    repair: Repair | None = None,
    rims: bool = False,
) -> Mended:
    """Repair a mesh of facets (n, 3, 3).

    bodies   separate the bodies; if False, only reverse the whole mesh if its volume is negative
    pierced  check for facets that pierce each other; None to do so up to `PIERCED_FACETS`
    repair   "fill" closes flat openings
    rims     leave flat openings open and return their caps separately, unless they are filled

    Raises FaultError for a mesh with openings (unless they may be filled or left open), for a one-sided surface, and
    for a mesh that encloses no volume.
    """
    problems: list[Message] = []
    rims = rims and repair != "fill"
    vertices, faces = index_facets(facets)
    place = _place(float(np.linalg.norm(vertices.max(axis=0) - vertices.min(axis=0))), unit_m)
    vertices, faces, edges = _welded(vertices, faces, unit_m, problems)
    caps = np.empty((0, 3), np.int64)
    if (edges.net != 0).any():
        holes = _flat_openings(vertices, edges, unit_m, allowed=repair == "fill" or rims)
        if rims:
            _refuse_gaps(vertices, faces, edges, holes, unit_m)
        caps = np.concatenate([cap(vertices, hole) for hole in holes])
        if not rims:
            problems.append(_filled(holes, unit_m))
            faces, caps = np.concatenate([faces, caps]), caps[:0]
            edges = edges_of(faces)
    crowded = (edges.uses > 2) & (edges.net == 0)
    if crowded.any():
        near = place.at(vertices[edges.ends[crowded][0]].mean(axis=0))
        problems.append(message("note-edges-crowded", count=int(crowded.sum()), place=near))
    number = None
    whole = np.concatenate([faces, caps])
    if bodies:
        label = bodies_of(whole, edges_of(whole) if len(caps) else edges)
        if pierced is None:
            pierced = len(whole) <= PIERCED_FACETS
        solids = _solids(vertices, whole, label, unit_m, place, pierced, problems)
        if len(caps) and len(solids.vertices) > len(vertices):
            raise FaultError("", message("mesh-overlap-open"))
        if not len(caps):
            faces = solids.faces
        vertices, whole, number = solids.vertices, solids.faces, solids.count
    elif _signed_volume(vertices, whole) < 0:
        whole = whole[:, ::-1]
        problems.append(message("note-mesh-turned"))
    return Mended(vertices, whole[: len(faces)], whole[len(faces) :], number, tuple(problems))


def _welded(vertices: Floats, faces: Ints, unit_m: float, problems: list[Message]) -> tuple[Floats, Ints, Edges]:
    """Make windings consistent and, if the mesh is still open, merge nearly coincident corners."""
    faces, edges = _wound_alike(faces, problems)
    if (edges.net != 0).any():
        reach = WELD_M / unit_m + ROUNDING * float(np.abs(vertices).max())
        welded, joined_faces, joined = weld(vertices, faces, reach)
        if joined:
            problems.append(message("note-corners-joined", count=joined, reach_m=reach * unit_m))
            vertices = welded
            faces, edges = _wound_alike(joined_faces, problems)
    return vertices, faces, edges


def _solids(
    vertices: Floats, faces: Ints, label: Ints, unit_m: float, place: Place, pierced: bool, problems: list[Message]
) -> Bodies:
    """Separate bodies facing outward, optionally checked for facets that pierce each other."""
    slack = TOUCH_M / unit_m + ROUNDING * float(np.abs(vertices).max())
    crossed = crossings(vertices, faces, label, slack) if pierced else None
    if crossed is None:
        problems.append(UNLOOKED)
    solids = set_right(vertices, faces, label, slack, crossed, place)
    problems += solids.problems
    return solids


def _wound_alike(faces: Ints, problems: list[Message]) -> tuple[Ints, Edges]:
    """Remove degenerate and duplicate facets, and make windings consistent."""
    whole = without_degenerate(faces)
    if len(whole) < len(faces):
        problems.append(message("note-facets-flat", count=len(faces) - len(whole)))
    if not len(whole):
        raise FaultError("", message("mesh-flat-facets"))
    faces, removed, facing = without_duplicates(whole)
    if removed:
        problems.append(message("note-facets-twice", count=removed))
    if facing and 2 * facing == len(faces):
        raise FaultError(
            "",
            message("mesh-skin"),
        )
    if facing:
        problems.append(message("note-facets-back-to-back", count=facing))
    edges = edges_of(faces)
    turned = rewound(faces, edges)
    if turned is None:
        raise FaultError(
            "",
            message("mesh-one-sided"),
        )
    if turned[1]:
        faces = turned[0]
        problems.append(message("note-facets-turned", count=turned[1]))
        edges = edges_of(faces)
    return faces, edges


def _flat_openings(vertices: Floats, edges: Edges, unit_m: float, *, allowed: bool) -> list[Opening]:
    """Openings of a mesh. Raises FaultError if they are not allowed, not flat, or have torn edges."""
    diagonal = float(np.linalg.norm(vertices.max(axis=0) - vertices.min(axis=0)))
    bad = edges.net != 0
    torn = bad & (edges.uses > 1)
    loops = loops_of(edges)
    if loops is None or torn.any():
        where = vertices[edges.ends[torn if torn.any() else bad][0]].mean(axis=0)
        raise FaultError(
            "",
            message("mesh-unpaired", count=int(bad.sum()), where=_place(diagonal, unit_m).at(where)),
        )
    if not allowed:
        where = vertices[loops[0]].mean(axis=0)
        raise FaultError(
            "",
            message("mesh-open-edges", count=int(bad.sum()), where=_place(diagonal, unit_m).at(where)),
        )
    holes = openings(vertices, loops)
    uneven = [hole for hole in holes if hole.unevenness > FLATNESS * hole.size]
    if uneven:
        worst = max(uneven, key=lambda hole: hole.unevenness)
        raise FaultError(
            "",
            message(
                "mesh-opening-not-flat",
                middle=_place(diagonal, unit_m).at(worst.middle),
                uneven_m=float(worst.unevenness * unit_m),
            ),
        )
    return holes


def _refuse_gaps(vertices: Floats, faces: Ints, edges: Edges, holes: list[Opening], unit_m: float) -> None:
    """Raise FaultError for an opening that is part of a flat face, which would be taken for the mouth of a shell."""
    used = np.repeat(edges.net != 0, edges.uses)
    beside = faces[edges.face[used]]
    a, b, c = (vertices[beside[:, i]] for i in range(3))
    normal = np.cross(b - a, c - a)
    normal /= np.maximum(np.linalg.norm(normal, axis=1), 1e-300)[:, None]
    for hole in holes:
        rim = np.concatenate(hole.loops)
        level = np.abs(normal @ hole.normal) > 1.0 - FLATNESS
        touching = np.isin(beside, rim).sum(axis=1) >= 2
        off = np.abs((vertices[beside] - hole.middle) @ hole.normal).max(axis=1)
        if (level & touching & (off <= FLATNESS * hole.size)).any():
            near = _place(hole.size, unit_m).at(hole.middle)
            raise FaultError("", message("mesh-face-part-missing", edges=len(rim), near=near))


def _filled(holes: list[Opening], unit_m: float) -> Message:
    places = few((_place(hole.size, unit_m).at(hole.middle) for hole in holes), 5)
    return message(
        "note-holes-filled", count=len(holes), across_m=max(hole.size for hole in holes) * unit_m, places=places
    )


def _signed_volume(vertices: Floats, faces: Ints) -> float:
    a, b, c = np.moveaxis(vertices[faces] - vertices.mean(axis=0), 1, 0)
    return float(np.einsum("ij,ij->", a, np.cross(b, c))) / 6.0


def _place(size: float, unit_m: float) -> Place:
    return Place(size, unit_m, unit_name(unit_m))
