"""The open faces of a solid that is to become a shell: flat rims of its mesh, and the flat face at a side."""

from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np

from geometry.errors import GeometryError
from geometry.facets import Floats
from geometry.hollow import Plane
from geometry.rims import FLATNESS, cap, openings
from geometry.topology import Flags, Ints, edges_of, loops_of

Side: TypeAlias = Literal["none", "top", "bottom", "front", "back", "left", "right"]

_SIDES = {"left": (0, -1), "right": (0, 1), "front": (1, -1), "back": (1, 1), "bottom": (2, -1), "top": (2, 1)}

_IN_FACE = 1e-6
"""Share of the diagonal within which the corners of a flat face lie in its plane."""

_ALIGNED = 1e-9
"""How far a unit normal may stray from an axis and count as aligned with it."""


@dataclass(frozen=True, slots=True, eq=False)
class OpenedSolid:
    """A closed solid turned so that its open faces look along axes.

    vertices  (v, 3), turned; faces (n, 3), those that are open in
    planes    the planes of the open faces, each in a side of the box round the solid
    turn      (3, 3) rotation: vertices @ turn are in the mesh's own axes
    """

    vertices: Floats
    faces: Ints
    planes: tuple[Plane, ...]
    turn: Floats

    def is_open(self, vertices: Floats, faces: Ints) -> Flags:
        """Which faces, of this solid or of one made from it, lie in the planes of the open faces."""
        slack = 1e-7 * float(np.linalg.norm(np.ptp(self.vertices, axis=0)))
        lies = np.zeros(len(faces), bool)
        for plane in self.planes:
            lies |= (np.abs(vertices[faces][:, :, plane.axis] - plane.offset) <= slack).all(axis=1)
        return lies


def opened(vertices: Floats, faces: Ints, side: Side = "none") -> OpenedSolid:
    """Close flat rims, find the flat face at `side`, and turn the solid so that open faces look along axes.

    Raises GeometryError for rims that are not flat or beyond which the mesh goes on, a side without a flat face,
    and open faces that are not square to each other.
    """
    diagonal = float(np.linalg.norm(np.ptp(vertices, axis=0)))
    rims: list[tuple[Floats, Ints]] = []  # outward normal, and the vertices that lie in the face
    edges = edges_of(faces)
    if (edges.net != 0).any():
        loops = loops_of(edges)
        if loops is None:
            raise GeometryError("facets do not pair up along its edges.", "Close it in the modeller.")
        caps = []
        for rim in openings(vertices, loops):
            if rim.unevenness > FLATNESS * rim.size:
                raise GeometryError(
                    f"the rim of the mesh is not flat (by {rim.unevenness * 1000:.3g} mm).", "Cut it flat."
                )
            caps.append(cap(vertices, rim))
            rims.append((rim.normal, np.concatenate(rim.loops)))
        faces = np.concatenate([faces, *caps])
    if side != "none":
        axis, way = _SIDES[side]
        end = way * (way * vertices[:, axis]).max()
        flat = (np.abs(vertices[faces][:, :, axis] - end) <= _IN_FACE * diagonal).all(axis=1)
        if not flat.any():
            raise GeometryError(
                f"the mesh has no flat face at the {side} to leave out.",
                'Choose the side with the opening, or open = "none" for a closed shell.',
                "open",
            )
        rims.append((way * np.eye(3)[axis], np.unique(faces[flat])))
    turn = _turn(rims[0][0]) if rims else np.eye(3)
    vertices = vertices @ turn.T
    planes: list[Plane] = []
    for normal, where in rims:
        turned = turn @ normal
        axis = int(np.argmax(np.abs(turned)))
        if abs(turned[axis]) < 1.0 - FLATNESS:
            raise GeometryError("the open faces are not square to each other.", "Leave one side open.", "open")
        upper = bool(turned[axis] > 0)
        offset = float(vertices[where, axis].mean())
        beyond = (vertices[:, axis] - offset) * (1.0 if upper else -1.0)
        if beyond.max() > FLATNESS * diagonal:
            raise GeometryError(
                f"the mesh goes on {beyond.max() * 1000:.3g} mm beyond its open rim.",
                "Close it in the modeller, and leave out a side that is flat.",
            )
        vertices[(beyond > -_IN_FACE * diagonal) | np.isin(np.arange(len(vertices)), where), axis] = offset
        if not any(p.axis == axis and p.upper == upper for p in planes):
            planes.append(Plane(axis, upper, offset))
    return OpenedSolid(vertices, faces, tuple(planes), turn)


def _turn(normal: Floats) -> Floats:
    """Rotation matrix that sends `normal` along an axis; none where it looks along one already."""
    if np.abs(normal).max() > 1.0 - _ALIGNED:
        return np.eye(3)
    across = np.cross(normal, np.eye(3)[np.argmin(np.abs(normal))])
    across /= np.linalg.norm(across)
    return np.stack([across, np.cross(normal, across), normal])
