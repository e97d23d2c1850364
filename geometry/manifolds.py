"""Closed meshes for Booleans, sections and projections by the mesh kernel, and facets of prisms, lofts and hulls."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely

from geometry.arcs import arc_centers
from geometry.arrays import Floats, Ints
from geometry.facets import tally
from geometry.plan import Plan, united
from geometry.plane import Region, Ring
from geometry.slices import Stack
from geometry.solid import Moments

TURN = 360
"""Facets per full turn; the polygon has the area of the circle."""


STEPS = 48
"""Facets per edge profile or fillet."""


CURVE = 2e-5
"""Chord tolerance of curves in plan and profile, as a fraction of their size."""


PROJECTED_FACETS = 20_000
"""Largest mesh, of those that are not closed manifolds, that is projected facet by facet; others are drawn as boxes."""


def manifold_of_stack(stack: Stack) -> Any:
    """Union of a stack of prisms."""
    from manifold3d import Manifold, OpType

    prisms = [prism_manifold(prism.plan, prism.start_m, prism.end_m) for prism in stack.prisms]
    return Manifold.batch_boolean(prisms, OpType.Add)


def prism_manifold(plan: Plan, start: float, end: float) -> Any:
    """Prism over a plan between two heights."""
    return flat_section(plan.polygon).extrude(end - start).translate((0.0, 0.0, start))


def flat_section(area: shapely.Geometry) -> Any:
    """A shapely area as a cross-section of the mesh kernel."""
    from manifold3d import CrossSection, FillRule

    size = max(np.ptp(np.array(area.bounds).reshape(2, 2), axis=0))
    rings = []
    for part in shapely.get_parts(shapely.simplify(area, CURVE * size / 10)):
        if part.geom_type == "Polygon":
            rings += [shapely.get_coordinates(ring)[:-1] for ring in (part.exterior, *part.interiors)]
    return CrossSection(rings, FillRule.EvenOdd)


def manifold_from(vertices: Floats, facets: Ints) -> Any | None:
    """The mesh as a closed manifold; None if it is not one."""
    from manifold3d import Error, Manifold, Mesh64

    body = Manifold(Mesh64(np.array(vertices, np.float64, order="C"), np.array(facets, np.uint64, order="C")))
    return body if body.status() == Error.NoError and not body.is_empty() else None


def area_of_section(section: Any) -> shapely.Geometry:
    """A cross-section or projection of the mesh kernel as a shapely area."""
    rings = [shapely.Polygon(ring) for ring in section.to_polygons() if len(ring) >= 3]
    area: shapely.Geometry = shapely.Polygon()
    for ring in sorted(rings, key=lambda ring: -ring.area):  # rings alternate: material, hole, island
        area = shapely.symmetric_difference(area, ring.buffer(0))
    return area


def shadow_of(vertices: Floats, facets: Ints) -> shapely.Geometry | None:
    """Projection of a mesh on z = 0; None if it is not a closed manifold and too large."""
    size = float(np.ptp(vertices[:, :2], axis=0).max())
    body = manifold_from(vertices, facets)
    if body is not None:
        return shapely.simplify(area_of_section(body.project()), 1e-5 * size)
    if len(facets) > PROJECTED_FACETS:
        return None
    corners = vertices[facets][:, :, :2]
    triangles = shapely.polygons(corners)
    return shapely.simplify(united(triangles[shapely.area(triangles) > 1e-12 * size**2]), 1e-5 * size)


LOFTED_ARC = 24
"""Segments per arc of a lofted plan."""


def loft(plans: Sequence[Region], heights_m: Sequence[float]) -> Any:
    """Body lofted through horizontal plans with the same number of edges, from the top down."""
    body = _lofted([plan.outer for plan in plans], heights_m)
    for number in range(len(plans[0].holes)):
        body = body - _lofted([plan.holes[number] for plan in plans], heights_m)
    return body


def _lofted(rings: Sequence[Ring], heights_m: Sequence[float]) -> Any:
    from manifold3d import Error, Manifold, Mesh64, triangulate

    levels = [_pieces(ring) for ring in rings]
    count = len(levels[0])
    points = np.concatenate(
        [np.column_stack([level, np.full(count, height)]) for level, height in zip(levels, heights_m, strict=True)]
    )
    here, following = np.arange(count), np.roll(np.arange(count), -1)
    facets = [np.asarray(triangulate([levels[0]]), dtype=np.int64)]
    for k in range(len(levels) - 1):
        a, b, c, d = here + k * count, following + k * count, here + (k + 1) * count, following + (k + 1) * count
        facets += [np.column_stack([a, c, b]), np.column_stack([b, c, d])]
    last = np.asarray(triangulate([levels[-1]]), dtype=np.int64)
    facets.append(last[:, ::-1] + (len(levels) - 1) * count)
    body = Manifold(Mesh64(np.ascontiguousarray(points), np.concatenate(facets).astype(np.uint64)))
    assert body.status() == Error.NoError, body.status()
    return body


def _pieces(ring: Ring) -> Floats:
    """Points (m, 2) of a ring, with the same number of segments in every arc."""
    if ring.bulges is None:
        return ring.points
    pieces: list[Floats] = []
    for start, end, bulge in zip(ring.points, ring.ends, ring.bulges.tolist(), strict=True):
        if not bulge:
            pieces.append(start[None])
            continue
        (center,), _ = arc_centers(start[None], end[None], np.array([bulge]))
        angle = 4 * np.arctan(bulge) * np.arange(LOFTED_ARC) / LOFTED_ARC
        x, y = start - center
        pieces.append(
            center + np.column_stack([x * np.cos(angle) - y * np.sin(angle), x * np.sin(angle) + y * np.cos(angle)])
        )
    return np.concatenate(pieces)


def hull(points: Floats) -> Any:
    """Convex hull as a manifold, with Qhull's facets: the mesh kernel's own fold over where points are crowded."""
    from manifold3d import Error, Manifold, Mesh64
    from scipy.spatial import ConvexHull

    hull = ConvexHull(points)
    facets = hull.simplices.astype(np.int64)
    a, b, c = (points[facets[:, i]] for i in range(3))
    inward = np.einsum("nc,nc->n", np.cross(b - a, c - a), hull.equations[:, :3]) < 0
    facets[inward] = facets[inward][:, ::-1]
    used, renumbered = np.unique(facets, return_inverse=True)
    body = Manifold(Mesh64(np.ascontiguousarray(points[used]), renumbered.reshape(facets.shape).astype(np.uint64)))
    assert body.status() == Error.NoError, body.status()
    return body


def corners_of(box: tuple[float, float, float, float]) -> list[tuple[float, float]]:
    """Corners of a box (x0, y0, x1, y1), counterclockwise."""
    x0, y0, x1, y1 = box
    return [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]


def moments_of_facets(vertices: Floats, facets: Ints) -> Moments:
    """Moments of the solid that closed facets enclose."""
    sums = tally(vertices[facets], vertices.mean(axis=0))
    return Moments(sums.volume, sums.first, sums.second).moved(sums.reference)
