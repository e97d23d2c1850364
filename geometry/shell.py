"""Shells: a wall of even thickness inside an outer surface, and coats on the faces of a body."""

from dataclasses import dataclass

import numpy as np
import shapely

from geometry.distance import Triangles
from geometry.errors import GeometryError
from geometry.facets import Floats, Tally, tally
from geometry.hollow import Hollow, hollow
from geometry.openings import OpenedSolid, Side, opened
from geometry.plane import CHORD_M, Region
from geometry.solid import Tensor, Vector
from geometry.topology import Flags, Ints

_DENSE_FACETS = 20_000
_SIMPLIFIED = 1.0 / 200.0
"""Denser meshes are thinned out to within this share of the wall before distances are taken from them."""


@dataclass(frozen=True, slots=True)
class Shell:
    """A shell: the points of a solid nearer than the wall's thickness to its surface, open faces left out.

    volume_m3           of the wall
    surface_area_m2     outside, inside and rim
    outer_area_m2       the outside, against the form; open faces and rim left out
    inner_area_m2       the inside
    centroid_m          of the wall, in the mesh's own axes
    inertia_m5          inertia tensor about the centroid for unit density
    area_times_wall_m3  outer area times thickness, for comparison: it counts corners wrongly
    tolerance           relative error that the volume is held to
    notes               what a reader should know
    """

    volume_m3: float
    surface_area_m2: float
    outer_area_m2: float
    inner_area_m2: float
    centroid_m: Vector
    inertia_m5: Tensor
    area_times_wall_m3: float
    tolerance: float
    notes: tuple[str, ...]


def shell(vertices: Floats, facets: Ints, wall_m: float, open: Side = "none") -> Shell:
    """The shell of thickness `wall_m` inside the outer surface that a mesh gives.

    vertices  (v, 3) m; facets (n, 3), anticlockwise from outside; closed, or open at flat rims, which are then
              open faces as well
    open      the side whose flat face is left out

    The hollow is every point of the solid at least `wall_m` from the surface that remains, by exact distances to
    the facets. Raises GeometryError for a wall that is not positive, a side without a flat face, and rims that
    are not flat or do not bound the solid.
    """
    if not (np.isfinite(wall_m) and wall_m > 0):
        raise GeometryError(f"the wall is {wall_m:g} m thick.", "Give a thickness above 0.", "wall")
    body = opened(vertices, facets, open)
    solid = tally(body.vertices[body.faces], body.vertices.mean(axis=0))
    is_open = body.is_open(body.vertices, body.faces)
    outer_area = tally(body.vertices[body.faces[~is_open]], solid.reference).area
    surface, thinned = _outside(body, is_open, wall_m)
    low, high = body.vertices.min(axis=0), body.vertices.max(axis=0)
    within = hollow(surface, low, high, wall_m, min(outer_area * wall_m, solid.volume), body.planes)
    hollow_volume = min(max(within.volume, 0.0), solid.volume)
    volume = solid.volume - hollow_volume
    rim_area = solid.area - outer_area
    for plane in body.planes:
        ends = low.copy(), high.copy()
        ends[0][plane.axis] = ends[1][plane.axis] = plane.offset
        rim_area -= hollow(surface, *ends, wall_m, solid.area - outer_area, body.planes).volume
    rim_area = max(rim_area, 0.0)
    centroid, inertia = _balance(solid, within, volume)
    inertia = body.turn.T @ inertia @ body.turn
    notes = []
    if hollow_volume <= 1e-9 * solid.volume:
        notes.append("the wall leaves no hollow: the piece is solid")
    if thinned:
        notes.append(f"distances taken from the mesh thinned out to within {_SIMPLIFIED:.1%} of the wall")
    return Shell(
        volume,
        outer_area + within.surface + rim_area,
        outer_area,
        within.surface,
        _vector(centroid @ body.turn),
        (_vector(inertia[0]), _vector(inertia[1]), _vector(inertia[2])),
        outer_area * wall_m,
        within.error / volume + (_SIMPLIFIED if thinned else 0.0) + 1e-9,
        tuple(notes),
    )


def coat_volume(vertices: Floats, facets: Ints, thickness_m: float, open: Side = "none") -> float:
    """Volume, m³, of a face coat: the points of a solid, or of a shell thicker than the coat, near its outside.

    As `shell`, of which the coat is a thin one: the outside is the mesh without its open faces and rims.
    """
    return shell(vertices, facets, thickness_m, open).volume_m3


def plane_shell(region: Region, wall_m: float, chord_m: float = CHORD_M) -> tuple[Region, ...]:
    """The hollow of an outline or profile: every point of it at least `wall_m` from its edge, holes in.

    Returns no region where the wall leaves no hollow, several where it parts it. Arcs are chords within
    `chord_m`, in the outline as in the round corners that the offset makes at reflex corners.
    """
    if not (np.isfinite(wall_m) and wall_m > 0):
        raise GeometryError(f"the wall is {wall_m:g} m thick.", "Give a thickness above 0.", "wall")
    # A quarter circle in n chords strays by r (1 − cos(π/4n)).
    quarter = max(4, int(np.ceil(np.pi / 4.0 / np.arccos(max(0.0, 1.0 - chord_m / max(wall_m, chord_m))))))
    inner = region.polygon(chord_m).buffer(-wall_m, quad_segs=quarter, join_style="round")
    parts = [part for part in shapely.get_parts(inner) if not part.is_empty]
    return tuple(
        Region.from_points(
            np.asarray(part.exterior.coords)[:-1], [np.asarray(ring.coords)[:-1] for ring in part.interiors]
        )
        for part in parts
    )


def _outside(body: OpenedSolid, is_open: Flags, wall_m: float) -> tuple[Triangles, bool]:
    """The facets to measure distances from, and whether they had to be thinned out."""
    if len(body.faces) > _DENSE_FACETS:
        from manifold3d import Error, Manifold, Mesh64

        dense = Manifold(Mesh64(body.vertices, body.faces.astype(np.uint64)))
        if dense.status() == Error.NoError:  # it takes no surface with crowded edges; then all facets are used
            sparse = dense.simplify(_SIMPLIFIED * wall_m).to_mesh64()
            vertices = np.ascontiguousarray(sparse.vert_properties[:, :3])
            faces = sparse.tri_verts.astype(np.int64)
            return Triangles.of(vertices, faces[~body.is_open(vertices, faces)]), True
    return Triangles.of(body.vertices, body.faces[~is_open]), False


def _balance(solid: Tally, within: Hollow, volume: float) -> tuple[Floats, Floats]:
    """Centroid, and inertia tensor about it, of a solid less its hollow."""
    shift = within.middle - solid.reference
    first = solid.first - (within.first + within.volume * shift)
    moved = np.outer(within.first, shift)
    second = solid.second - (within.second + moved + moved.T + within.volume * np.outer(shift, shift))
    centre = first / volume
    central = second - volume * np.outer(centre, centre)
    return solid.reference + centre, np.trace(central) * np.eye(3) - central


def _vector(values: Floats) -> Vector:
    x, y, z = values.tolist()
    return x, y, z
