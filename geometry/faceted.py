"""Shapes as closed facets, for parts that lean or curve and can only be put together as meshes."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from math import hypot, pi, sin, sqrt
from typing import Any

import numpy as np
import shapely

from geometry.arrays import Floats
from geometry.box import RoundedFrustum, box_body
from geometry.errors import FaultError
from geometry.extrusion import extrusion_body
from geometry.plan import Plan, fine_polygon
from geometry.plate import plate_bounds, thickness_at_corners
from geometry.revolution import revolution_body
from geometry.shapes import Box, Extrusion, MeshBody, Revolution, Shape, Slab
from geometry.slab import slab_body
from geometry.stack import Stack, stack_of

TURN = 360
"""Facets to a full turn; the circle that they make has the true area."""

STEPS = 48
"""Facets to a worked edge or to a fillet."""

CURVE = 2e-5
"""Chord tolerance of curves in plan and profile, as a fraction of their size."""


def manifold_of(shape: Shape) -> Any:
    """The shape as a closed manifold in its own axes.

    Raises FaultError for dimensions that cannot be built, and for a shell from a mesh.
    """
    stack = stack_of(shape)
    if stack is not None:
        return of_stack(stack)
    match shape:
        case MeshBody():
            return _of_mesh(shape)
        case Revolution():
            return _of_revolution(shape)
        case Extrusion():
            return _of_extrusion(shape)
        case Box():
            return _of_box(shape)
        case Slab():
            return _of_slab(shape)
    raise FaultError("", "cannot be a part of a compound.", "Put its own parts into the compound instead.")


def of_stack(stack: Stack) -> Any:
    """Upright prisms as one manifold."""
    from manifold3d import Manifold, OpType

    prisms = [_prism(prism.plan, prism.start_m, prism.end_m) for prism in stack.prisms]
    return Manifold.batch_boolean(prisms, OpType.Add)


def _prism(plan: Plan, start: float, end: float) -> Any:
    return _section(plan.polygon).extrude(end - start).translate((0.0, 0.0, start))


def _section(area: shapely.Geometry) -> Any:
    from manifold3d import CrossSection, FillRule

    size = max(np.ptp(np.array(area.bounds).reshape(2, 2), axis=0))
    rings = []
    for part in shapely.get_parts(shapely.simplify(area, CURVE * size / 10)):
        if part.geom_type == "Polygon":
            rings += [shapely.get_coordinates(ring)[:-1] for ring in (part.exterior, *part.interiors)]
    return CrossSection(rings, FillRule.EvenOdd)


def _of_mesh(body: MeshBody) -> Any:
    from manifold3d import Error, Manifold, Mesh64

    if body.wall_m is not None:
        raise FaultError(
            "wall",
            "a shell from a mesh cannot be a part of a compound.",
            "Model its hollow and take it away as a second mesh.",
        )
    if body.vertices_m is None or body.facets is None:
        raise FaultError("file", "the facets of the mesh were not kept.", "Read it with its facets.")
    made = Manifold(Mesh64(np.ascontiguousarray(body.vertices_m), body.facets.astype(np.uint64)))
    if made.status() != Error.NoError:
        raise FaultError(
            "file",
            f"the mesh is no closed manifold ({made.status().name}).",
            "Weld its vertices and remove faces that meet in an edge more than twice.",
        )
    return made


def _of_revolution(shape: Revolution) -> Any:
    body = revolution_body(shape)
    # Corners stand outside the true circle just so far that the polygon has its area.
    swell = sqrt(2 * pi / TURN / sin(2 * pi / TURN))
    made = _section(body.material).revolve(TURN).scale((swell, swell, 1.0))
    return made.translate((body.radius_m, body.radius_m, -body.lowest_m))


def _of_extrusion(shape: Extrusion) -> Any:
    body = extrusion_body(shape)
    y0, _, y1, _ = shape.profile.bounds
    reach = [f(base + slope * y for y in (y0, y1)) for f, (base, slope) in ((min, body.start), (max, body.end))]
    if body.is_square and len(body.zones) > 1:
        stack = [_section(z.at(z.middle_m).polygon).extrude(z.end_m - z.start_m).translate((0, 0, z.start_m))
                 for z in body.zones]  # fmt: skip
        made = stack[0]
        for part in stack[1:]:
            made = made + part
    else:
        made = _section(body.section.polygon).extrude(reach[1] - reach[0]).translate((0.0, 0.0, reach[0]))
    made = made.transform(np.array([[0.0, 0, 1, 0], [1, 0, 0, 0], [0, 1, 0, 0]]))
    for (base, slope), side in ((body.start, 1.0), (body.end, -1.0)):
        if slope:
            steep = hypot(1.0, slope)
            made = made.trim_by_plane((side / steep, -side * slope / steep, 0.0), side * base / steep)
    return made


def _of_box(box: Box) -> Any:
    body = box_body(box)
    cavity = body.cavity
    if box.open:
        cavity = replace(cavity, end_m=cavity.end_m * 1.001)  # proud of the rim, so that it cuts clean
    made = _hull(_frustum_points(body.outside)) - _hull(_frustum_points(cavity))
    made = made.translate((*body.centre_m, 0.0))
    for hole in box.drain_holes:
        disc = shapely.Point(hole.x_m, hole.y_m).buffer(hole.diameter_m / 2, quad_segs=TURN // 4)
        made = made - _section(disc).extrude(3 * box.base_m).translate((0.0, 0.0, -box.base_m))
    return made


def _frustum_points(body: RoundedFrustum) -> Floats:
    """Points of a convex body whose hull it is."""
    turn = body.ball_m * np.cos(np.linspace(0.0, pi, 2 * STEPS + 1))
    levels = np.unique(np.concatenate([[body.start_m, body.end_m], body.floor_m - turn, body.ceiling_m - turn]))
    levels = levels[(levels >= body.start_m) & (levels <= body.end_m)]
    x, y = body.quarter(levels, STEPS)
    z = np.broadcast_to(levels[:, None], x.shape)
    corners = np.stack([x, y, z], axis=-1).reshape(-1, 3)
    return np.concatenate([corners * [sx, sy, 1.0] for sx in (1, -1) for sy in (1, -1)])


def _hull(points: Floats) -> Any:
    """The convex hull as a manifold. Qhull's facets, as the mesh kernel's own fold over where points are crowded."""
    from manifold3d import Error, Manifold, Mesh64
    from scipy.spatial import ConvexHull

    hull = ConvexHull(points)
    facets = hull.simplices.astype(np.int64)
    a, b, c = (points[facets[:, i]] for i in range(3))
    inward = np.einsum("nc,nc->n", np.cross(b - a, c - a), hull.equations[:, :3]) < 0
    facets[inward] = facets[inward][:, ::-1]
    used, renumbered = np.unique(facets, return_inverse=True)
    made = Manifold(Mesh64(np.ascontiguousarray(points[used]), renumbered.reshape(facets.shape).astype(np.uint64)))
    assert made.status() == Error.NoError, made.status()
    return made


def _of_slab(slab: Slab) -> Any:
    from manifold3d import Manifold, OpType

    body = slab_body(slab)
    top = body.height_m
    worked = max((profile.size_m for profile in slab.edge_profiles), default=0.0)
    spacing = (1 - np.cos(np.linspace(0.0, pi, 2 * STEPS + 1))) / 2
    depths = [profile.size_m * spacing for profile in slab.edge_profiles]
    levels = np.unique(np.concatenate([[0.0, worked], *depths])).tolist()
    parts = []
    for upper, lower in pairwise(levels):
        corners = [(x, y, top - depth) for depth in (upper, lower) for x, y in _corners(plate_bounds(slab, depth))]
        parts.append(_hull(np.array(corners)))
    foot = [(x, y, top - worked) for x, y in _corners(plate_bounds(slab, worked))]
    foot += [(x, y, top - deep) for x, y, deep in thickness_at_corners(slab)]
    parts.append(_hull(np.array(foot)))
    for area, depth in body.under:
        parts.append(_section(area).extrude(depth - worked).translate((0.0, 0.0, top - depth)))
    made = Manifold.batch_boolean(parts, OpType.Add)
    for opening in body.openings:
        made = made - _section(fine_polygon(opening)).extrude(3 * top).translate((0.0, 0.0, -top))
    return made


def _corners(box: tuple[float, float, float, float]) -> list[tuple[float, float]]:
    x0, y0, x1, y1 = box
    return [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
