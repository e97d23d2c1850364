"""Distance from points to triangles, one triangle a point."""

from dataclasses import dataclass

import numpy as np

from geometry.facets import Floats
from geometry.topology import Ints


@dataclass(frozen=True, slots=True, eq=False)
class Triangles:
    """Triangles with what their distances need, in any one unit of length.

    corners  (n, 3, 3)
    edges    (n, 3, 3) from each corner to the next, and squares (n, 3) of their lengths
    inward   (n, 3, 3) square to each edge, in the plane, into the triangle
    normal   (n, 3) of unit length, outward
    angle    (n, 3) at each corner, radians
    middle   (n, 3) centre, and reach (n,) the distance from it to the farthest corner
    """

    corners: Floats
    edges: Floats
    squares: Floats
    inward: Floats
    normal: Floats
    angle: Floats
    middle: Floats
    reach: Floats

    @classmethod
    def of(cls, vertices: Floats, faces: Ints) -> "Triangles":
        """From vertices (v, 3) and faces (n, 3); triangles without area are left out."""
        corners = vertices[faces]
        edges = np.roll(corners, -1, axis=1) - corners
        normal = np.cross(edges[:, 0], -edges[:, 2])
        area = np.linalg.norm(normal, axis=1)
        longest = np.square(edges).sum(axis=2).max(axis=1)
        kept = area > 1e-12 * longest
        corners, edges = corners[kept], edges[kept]
        normal = normal[kept] / area[kept, None]
        back = -np.roll(edges, 1, axis=1)
        sine = np.linalg.norm(np.cross(edges, back), axis=2)
        angle = np.arctan2(sine, np.einsum("nkc,nkc->nk", edges, back))
        middle = corners.mean(axis=1)
        reach = np.linalg.norm(corners - middle[:, None], axis=2).max(axis=1)
        inward = np.cross(normal[:, None], edges)
        return cls(corners, edges, np.square(edges).sum(axis=2), inward, normal, angle, middle, reach)

    def __len__(self) -> int:
        return len(self.normal)


def nearest_on(triangles: Triangles, which: Ints, points: Floats) -> tuple[Floats, Floats, Floats]:
    """Nearest point of triangle `which[i]` to `points[i]`.

    Returns the distances (k,), the vectors from the triangle to the point (k, 3), and weights (k,): the angle at
    the corner where a corner is nearest, otherwise 1. The weighted normals of all triangles that are equally near
    add up to a vector that tells inside from outside.
    Source: the angle-weighted pseudonormal (Bærentzen and Aanæs 2005); distances from first principles.
    """
    normal, edges, corners = triangles.normal[which], triangles.edges[which], triangles.corners[which]
    from_corner = points[:, None] - corners
    height = np.einsum("kc,kc->k", from_corner[:, 0], normal)
    beyond = np.einsum("kec,kec->ke", from_corner, triangles.inward[which]) < 0
    # On each edge the nearest point lies a share t of the way.
    t = (np.einsum("kec,kec->ke", from_corner, edges) / triangles.squares[which]).clip(0.0, 1.0)
    off = from_corner - t[:, :, None] * edges
    squared = np.einsum("kec,kec->ke", off, off)
    edge = squared.argmin(axis=1)
    rows = np.arange(len(which))
    outside = beyond.any(axis=1)
    vector = np.where(outside[:, None], off[rows, edge], height[:, None] * normal)
    distance = np.where(outside, np.sqrt(squared[rows, edge]), np.abs(height))
    t_edge = t[rows, edge]
    corner = np.where(t_edge == 0.0, edge, (edge + 1) % 3)
    weight = np.where(outside & ((t_edge == 0.0) | (t_edge == 1.0)), triangles.angle[which, corner], 1.0)
    return distance, vector, weight
