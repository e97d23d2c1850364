"""Openings of a mesh: how flat they are, and the flat facets that close them."""

from dataclasses import dataclass

import numpy as np

from geometry.errors import GeometryError
from geometry.facets import Floats
from geometry.topology import Ints

FLATNESS = 1e-3
"""An opening counts as flat if it strays from its plane by no more than this share of its size."""


@dataclass(frozen=True, slots=True, eq=False)
class Opening:
    """An opening of a mesh: one outer loop of vertices, and loops round islands of material in the same plane.

    Lengths and areas are in the mesh's unit; `normal` points out of the solid once the opening is capped.
    """

    loops: tuple[Ints, ...]
    normal: Floats
    middle: Floats
    area: float
    size: float
    unevenness: float


def openings(vertices: Floats, loops: list[Ints]) -> list[Opening]:
    """Put loops together into openings: a loop that runs the other way round inside another is its island."""
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
    found = []
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
        found.append(Opening((loops[j], *inside), normal, middle, float(np.linalg.norm(area)), sizes[j], unevenness))
    return found


def cap(vertices: Floats, opening: Opening) -> Ints:
    """Facets (k, 3) over the vertices of a flat opening that close it."""
    from manifold3d import triangulate

    across, up = _plane_axes(opening.normal)
    flat = [np.column_stack([vertices[loop] @ across, vertices[loop] @ up]) for loop in opening.loops]
    # Triangulate to the precision that the loops themselves are flat to, so that a hair's crossing does not fail.
    made = triangulate(flat, 1e-9 * opening.size)
    faces = np.concatenate(opening.loops)[np.asarray(made, dtype=np.int64)]
    if len(faces) != sum(map(len, opening.loops)) + 2 * len(opening.loops) - 4:
        raise GeometryError("an opening's outline crosses itself, so it cannot be filled.", "Close it in the modeller.")
    return faces


def _vector_area(points: Floats) -> Floats:
    centred = points - points.mean(axis=0)
    return np.asarray(np.cross(centred, np.roll(centred, -1, axis=0)).sum(axis=0) / 2.0)


def _size(points: Floats) -> float:
    return float(np.linalg.norm(points.max(axis=0) - points.min(axis=0)))


def _across(points: Floats) -> Floats:
    """A direction square to points that enclose no area: a slit."""
    return np.asarray(np.linalg.svd(points - points.mean(axis=0))[2][2])


def _plane_axes(normal: Floats) -> tuple[Floats, Floats]:
    """Two unit vectors square to `normal` and to each other; with it they make a right-handed frame."""
    across = np.cross(normal, np.eye(3)[np.argmin(np.abs(normal))])
    across /= np.linalg.norm(across)
    return across, np.cross(normal, across)


def _lies_in(points: Floats, outer: Floats, area: Floats, size: float) -> bool:
    """Whether points lie in the plane of a loop and the first of them within it."""
    normal = area / np.linalg.norm(area)
    if np.abs((points - outer.mean(axis=0)) @ normal).max() > FLATNESS * size:
        return False
    across, up = _plane_axes(normal)
    x, y = (outer - points[0]) @ across, (outer - points[0]) @ up
    x2, y2 = np.roll(x, -1), np.roll(y, -1)
    crosses = (y > 0) != (y2 > 0)
    at = x[crosses] - y[crosses] * (x2 - x)[crosses] / (y2 - y)[crosses]
    return bool(np.count_nonzero(at > 0) % 2)
