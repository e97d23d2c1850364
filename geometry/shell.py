"""Shells: a wall of constant thickness inside an outer surface, open at flat faces, and coats on faces of a body."""

from __future__ import annotations

from typing import Literal, TypeAlias

import numpy as np

from geometry.arrays import Flags, Floats, Ints, Tensor, Vector
from geometry.errors import FaultError, require_positive
from geometry.facets import edges_of, loops_of, tally
from geometry.frozen import frozen
from geometry.hollow import Hollow, Plane, Triangles, hollow
from geometry.message import Message, message
from geometry.repair import FLATNESS, cap, openings
from geometry.solid import Moments

Side: TypeAlias = Literal["none", "top", "bottom", "front", "back", "left", "right"]

_SIDES = {"left": (0, -1), "right": (0, 1), "front": (1, -1), "back": (1, 1), "bottom": (2, -1), "top": (2, 1)}

_IN_FACE = 1e-6
"""Largest distance of a flat face's corners from its plane, as a fraction of the diagonal."""

_ALIGNED = 1e-9
"""Largest deviation of a unit normal that counts as aligned with an axis."""


@frozen(eq=False)
class OpenedSolid:
    """A closed solid rotated so that its open faces are square to axes.

    vertices  (v, 3), rotated
    faces     (n, 3), including the open faces
    planes    planes of the open faces, each in a side of the bounding box
    turn      (3, 3) rotation: vertices @ turn are in the mesh's coordinates
    """

    vertices: Floats
    faces: Ints
    planes: tuple[Plane, ...]
    turn: Floats

    def is_open(self, vertices: Floats, faces: Ints) -> Flags:
        """Mask (n,) of the faces, of this solid or one derived from it, that lie in the planes of the open faces."""
        slack = 1e-7 * float(np.linalg.norm(np.ptp(self.vertices, axis=0)))
        lies = np.zeros(len(faces), bool)
        for plane in self.planes:
            lies |= (np.abs(vertices[faces][:, :, plane.axis] - plane.offset) <= slack).all(axis=1)
        return lies


def opened(vertices: Floats, faces: Ints, side: Side = "none") -> OpenedSolid:
    """Cap flat rims, find the flat face at `side`, and rotate the solid so that open faces are square to axes.

    Raises FaultError for rims that are not flat or that the mesh extends beyond, for a side without a flat face, and
    for open faces that are not square to each other.
    """
    diagonal = float(np.linalg.norm(np.ptp(vertices, axis=0)))
    rims: list[tuple[Floats, Ints]] = []  # outward normal, and indices of the vertices in the face
    edges = edges_of(faces)
    if (edges.net != 0).any():
        loops = loops_of(edges)
        if loops is None:
            raise FaultError("", message("shell-unpaired"))
        caps = []
        for rim in openings(vertices, loops):
            if rim.unevenness > FLATNESS * rim.size:
                raise FaultError("", message("shell-rim-not-flat", uneven_m=float(rim.unevenness)))
            caps.append(cap(vertices, rim))
            rims.append((rim.normal, np.concatenate(rim.loops)))
        faces = np.concatenate([faces, *caps])
    if side != "none":
        axis, way = _SIDES[side]
        end = way * (way * vertices[:, axis]).max()
        flat = (np.abs(vertices[faces][:, :, axis] - end) <= _IN_FACE * diagonal).all(axis=1)
        if not flat.any():
            raise FaultError(
                "open",
                message("shell-no-flat-face", side=side),
            )
        rims.append((way * np.eye(3)[axis], np.unique(faces[flat])))
    turn = _turn(rims[0][0]) if rims else np.eye(3)
    vertices = vertices @ turn.T
    planes: list[Plane] = []
    for normal, where in rims:
        turned = turn @ normal
        axis = int(np.argmax(np.abs(turned)))
        if abs(turned[axis]) < 1.0 - FLATNESS:
            raise FaultError("open", message("shell-open-not-square"))
        upper = bool(turned[axis] > 0)
        offset = float(vertices[where, axis].mean())
        beyond = (vertices[:, axis] - offset) * (1.0 if upper else -1.0)
        if beyond.max() > FLATNESS * diagonal:
            raise FaultError(
                "",
                message("shell-beyond-rim", beyond_m=float(beyond.max())),
            )
        vertices[(beyond > -_IN_FACE * diagonal) | np.isin(np.arange(len(vertices)), where), axis] = offset
        if not any(p.axis == axis and p.upper == upper for p in planes):
            planes.append(Plane(axis, upper, offset))
    return OpenedSolid(vertices, faces, tuple(planes), turn)


def _turn(normal: Floats) -> Floats:
    """Rotation matrix that aligns `normal` with an axis; the identity if it is aligned already."""
    if np.abs(normal).max() > 1.0 - _ALIGNED:
        return np.eye(3)
    across = np.cross(normal, np.eye(3)[np.argmin(np.abs(normal))])
    across /= np.linalg.norm(across)
    return np.stack([across, np.cross(normal, across), normal])


_DENSE_FACETS = 20_000
_SIMPLIFIED = 1.0 / 200.0
"""Denser meshes are simplified to within this fraction of the wall before distances are computed."""


@frozen
class Shell:
    """A shell: the points of a solid within the wall thickness of its surface, without open faces.

    volume_m3           volume of the wall
    surface_area_m2     outside, inside and rim
    outer_area_m2       outside, cast against the form, without open faces and rim
    inner_area_m2       inside
    centroid_m          centroid of the wall, in the mesh's coordinates
    inertia_m5          inertia tensor about the centroid for unit density
    area_times_wall_m3  outer area times thickness, for comparison; wrong at corners
    tolerance           relative error of the volume
    notes               remarks for the user
    """

    volume_m3: float
    surface_area_m2: float
    outer_area_m2: float
    inner_area_m2: float
    centroid_m: Vector
    inertia_m5: Tensor
    area_times_wall_m3: float
    tolerance: float
    notes: tuple[Message, ...]


def shell(vertices: Floats, facets: Ints, wall_m: float, open: Side = "none") -> Shell:
    """Shell of thickness `wall_m` inside the outer surface given by a mesh.

    vertices  (v, 3) m
    facets    (n, 3), counterclockwise from outside; closed, or open at flat rims, which are then open faces
    open      side whose flat face is open

    The hollow is every point of the solid at least `wall_m` from the remaining surface, by exact distances to the
    facets. Raises FaultError for a wall that is not positive, a side without a flat face, and rims that are not flat
    or do not bound the solid.
    """
    _require_thick(wall_m)
    body = opened(vertices, facets, open)
    solid = tally(body.vertices[body.faces], body.vertices.mean(axis=0))
    is_open = body.is_open(body.vertices, body.faces)
    outer_area = tally(body.vertices[body.faces[~is_open]], solid.reference).area
    open_area = solid.area - outer_area
    surface, thinned = _outside(body, is_open, wall_m)
    low, high = body.vertices.min(axis=0), body.vertices.max(axis=0)
    within = hollow(surface, low, high, wall_m, min(outer_area * wall_m, solid.volume), body.planes)
    rim_area = open_area
    for plane in body.planes:
        ends = low.copy(), high.copy()
        ends[0][plane.axis] = ends[1][plane.axis] = plane.offset
        rim_area -= hollow(surface, *ends, wall_m, open_area, body.planes).volume
    rim_area = max(rim_area, 0.0)
    # About the solid's reference point, for precision; then in the mesh's coordinates.
    whole = Moments(solid.volume, solid.first, solid.second)
    wall = (whole - _moments(within).moved(-solid.reference)).mapped(body.turn.T)
    # Within the octree's error the wall may vanish, but its volume cannot be negative.
    if not 0.0 < wall.volume_m3 <= solid.volume * (1.0 + 1e-9):
        raise FaultError(
            "",
            message("shell-no-solid"),
        )
    notes = []
    if within.volume <= 1e-9 * solid.volume:
        notes.append(message("shell-solid"))
    if thinned:
        notes.append(message("shell-thinned", within_share=_SIMPLIFIED))
    x, y, z = (np.array(wall.centroid_m) + solid.reference @ body.turn).tolist()
    return Shell(
        wall.volume_m3,
        outer_area + within.surface + rim_area,
        outer_area,
        within.surface,
        (x, y, z),
        wall.inertia_m5,
        outer_area * wall_m,
        within.error / wall.volume_m3 + (_SIMPLIFIED if thinned else 0.0) + 1e-9,
        tuple(notes),
    )


def between(vertices: Floats, facets: Ints, near_m: float, far_m: float, open: Side = "none") -> Moments:
    """Moments of the points of a solid between two depths below its outside, and at least `near_m` below its rims.

    In a shell with a wall of `near_m` + `far_m` this is what a coat of `near_m` on all faces leaves. On the inside the
    rounding of corners is neglected, which is of the order of the square of `near_m`.
    Arguments and errors as in `shell`; the moments are about the origin of the mesh's coordinates.
    """
    _require_thick(near_m)
    body = opened(vertices, facets, open)
    is_open = body.is_open(body.vertices, body.faces)
    surface, _ = _outside(body, is_open, near_m)
    low, high = body.vertices.min(axis=0), body.vertices.max(axis=0)
    for plane in body.planes:
        if plane.upper:
            high[plane.axis] -= near_m
        else:
            low[plane.axis] += near_m
    scale = tally(body.vertices[body.faces[~is_open]], low).area * near_m
    deeper, deepest = (hollow(surface, low, high, depth, scale, body.planes) for depth in (near_m, far_m))
    return (_moments(deeper) - _moments(deepest)).mapped(body.turn.T)


def _outside(body: OpenedSolid, is_open: Flags, wall_m: float) -> tuple[Triangles, bool]:
    """Facets from which distances are measured, and whether they were simplified."""
    if len(body.faces) > _DENSE_FACETS:
        from manifold3d import Error, Manifold, Mesh64

        dense = Manifold(Mesh64(body.vertices, body.faces.astype(np.uint64)))
        if (
            dense.status() == Error.NoError
        ):  # surfaces with edges shared by more than two facets are not accepted; use all facets then
            sparse = dense.simplify(_SIMPLIFIED * wall_m).to_mesh64()
            vertices = np.ascontiguousarray(sparse.vert_properties[:, :3])
            faces = sparse.tri_verts.astype(np.int64)
            return Triangles.of(vertices, faces[~body.is_open(vertices, faces)]), True
    return Triangles.of(body.vertices, body.faces[~is_open]), False


def _moments(body: Hollow) -> Moments:
    return Moments(body.volume, body.first, body.second).moved(body.middle)


def _require_thick(wall_m: float) -> None:
    """Raise FaultError unless the wall thickness is finite and positive."""
    require_positive(wall_m, "wall")
