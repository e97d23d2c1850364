"""Lines of a mesh as they are seen from one side: sharp edges and silhouettes, what is hidden told apart."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from geometry.arcs import Floats, Ints
from geometry.topology import edges_of, without_degenerate

SHARP_DEG = 25.0
"""Facets that meet at more than this make an edge; a smooth surface in facets does not."""

HIDING_FACETS = 100_000
"""Up to so many facets the edges behind them are told apart; a larger mesh is drawn as if it were of glass."""

LINES = 20_000
"""So many edges are drawn, the longest."""

SAMPLES = 24
"""Places along an edge at which it is looked whether a facet hides it."""


@dataclass(frozen=True, eq=False)
class View:
    """A direction of sight: unit vectors to the right, upwards, and from the object to the eye."""

    right: Floats
    up: Floats
    to_eye: Floats


_X, _Y, _Z = np.eye(3)

VIEWS = {"front": View(_X, _Z, -_Y), "right": View(_Y, _Z, _X), "top": View(_X, _Y, _Z)}
"""Views along the axes of a piece: x to the right, y to the back, z up."""


def view_lines(vertices: Floats, faces: Ints, view: View) -> tuple[list[Floats], list[Floats]]:
    """Edges in view and edges hidden, each a line (2, 2) of what lies to the right and up, m.

    vertices  (v, 3), m
    faces     (n, 3) corners anticlockwise from outside

    An edge is drawn where its facets meet at more than `SHARP_DEG`, where one faces the eye and the other does not,
    and where only one facet is there.
    """
    faces = without_degenerate(faces)
    flat = np.stack([vertices @ view.right, vertices @ view.up], axis=1)
    depth = vertices @ view.to_eye
    ends = _edges_to_draw(vertices, faces, view)
    lengths = np.hypot(*(flat[ends[:, 1]] - flat[ends[:, 0]]).T)
    size = float(np.ptp(flat[faces.ravel()], axis=0).max())
    chosen = np.argsort(-lengths, kind="stable")[:LINES]
    ends = ends[chosen[lengths[chosen] > 1e-6 * size]]
    if len(faces) > HIDING_FACETS:
        return [flat[pair] for pair in ends], []
    hidden = _hidden(flat, depth, faces, ends, size)
    return _runs(flat, ends, ~hidden), _runs(flat, ends, hidden)


def _edges_to_draw(vertices: Floats, faces: Ints, view: View) -> Ints:
    """(m, 2) vertices of the edges worth a line."""
    corners = vertices[faces]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    normals /= np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), 1e-300)
    facing = normals @ view.to_eye > 1e-9
    edges = edges_of(faces)
    left, right, _ = edges.pairs()
    paired = edges.uses == 2
    sharp = (normals[left] * normals[right]).sum(axis=1) < np.cos(np.radians(SHARP_DEG))
    drawn = ~paired
    drawn[paired] = sharp | (facing[left] != facing[right])
    ends: Ints = edges.ends[drawn]
    return ends


def _hidden(flat: Floats, depth: Floats, faces: Ints, ends: Ints, size: float) -> NDArray[np.bool_]:
    """(m, SAMPLES) whether a facet lies between the eye and the middle of each stretch of an edge."""
    along = (np.arange(SAMPLES) + 0.5) / SAMPLES
    start, end = ends.T
    spots = flat[start][:, None] + along[:, None] * (flat[end] - flat[start])[:, None]
    spot_depth = depth[start][:, None] + along * (depth[end] - depth[start])[:, None]
    spots, spot_depth = spots.reshape(-1, 2), spot_depth.ravel()

    a, b, c = flat[faces[:, 0]], flat[faces[:, 1]], flat[faces[:, 2]]
    area = (b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]
    (broad,) = np.nonzero(np.abs(area) > 1e-9 * size**2 / max(len(faces), 1))
    tree = shapely.STRtree(shapely.polygons(flat[faces[broad]]))
    spot, facet = tree.query(shapely.points(spots), predicate="intersects")
    facet = broad[facet]
    away = spots[spot] - a[facet]
    u = (away[:, 0] * (c - a)[facet, 1] - away[:, 1] * (c - a)[facet, 0]) / area[facet]
    v = (away[:, 1] * (b - a)[facet, 0] - away[:, 0] * (b - a)[facet, 1]) / area[facet]
    corner = depth[faces[facet]]
    over = corner[:, 0] + u * (corner[:, 1] - corner[:, 0]) + v * (corner[:, 2] - corner[:, 0])
    hidden = np.zeros(len(spots), dtype=bool)
    # A facet beside the edge itself lies at the same depth, up to rounding.
    hidden[spot[over > spot_depth[spot] + 1e-4 * size]] = True
    return hidden.reshape(-1, SAMPLES)


def _runs(flat: Floats, ends: Ints, wanted: NDArray[np.bool_]) -> list[Floats]:
    """The stretches of edges at which `wanted` (m, SAMPLES) holds, neighbours joined."""
    padded = np.pad(wanted, ((0, 0), (1, 1))).astype(np.int8)
    change = np.diff(padded, axis=1)
    edge, first = np.nonzero(change == 1)
    _, last = np.nonzero(change == -1)
    start, end = flat[ends[edge, 0]], flat[ends[edge, 1]]
    return list(np.stack([start + (at / SAMPLES)[:, None] * (end - start) for at in (first, last)], axis=1))
