"""Facets of a piece, which the browser draws and rotates, with its center of gravity."""

from __future__ import annotations

import numpy as np
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from estimator.errors import FaultError
from estimator.estimate import PieceEstimate
from estimator.page.screen import Screens, standing
from geometry.arrays import Floats, Ints
from geometry.mesh import MeshBody
from geometry.shape import Shape

MOST_FACETS, FINEST_CELLS = 40_000, 256
"""Most facets that a phone rotates smoothly, and the finest grid, in cells of the longest side, for denser meshes."""


def routes(screens: Screens) -> list[Route]:
    """Route of the facets of a piece."""

    async def solid(request: Request) -> Response:
        job, mark = screens.job(request), request.path_params["mark"]
        _, estimate = await run_in_threadpool(standing, job)
        if mark not in estimate.pieces:
            raise HTTPException(404)
        return Response(await run_in_threadpool(packed, estimate.pieces[mark]), media_type="application/octet-stream")

    return [Route("/jobs/{job}/solid/{mark:path}", solid, name="solid")]


def packed(piece: PieceEstimate) -> bytes:
    """Binary form of a piece, in numbers of four bytes: center of gravity, number of vertices, vertices, facets.

    Coordinates are relative to the middle of the piece, in units of half its diagonal. Raises HTTPException for a piece
    whose facets were not kept.
    """
    try:
        vertices, facets = _surface(piece.taken.piece.shape)
    except FaultError:
        raise HTTPException(404) from None
    vertices, facets = sparse(vertices, facets)
    low, high = vertices.min(axis=0), vertices.max(axis=0)
    middle, reach = (low + high) / 2.0, float(np.linalg.norm(high - low)) / 2.0
    center = (np.array(piece.weight.centers_m["demould"]) - middle) / reach
    head = np.array([*center, len(vertices)])
    parts = (head.astype("<f4"), ((vertices - middle) / reach).astype("<f4"), facets.astype("<u4"))
    return b"".join(part.tobytes() for part in parts)


def has_solid(shape: Shape) -> bool:
    """Whether a shape has facets to show. Those of a very large mesh are not kept."""
    return not isinstance(shape, MeshBody) or shape.arrays is not None


def sparse(vertices: Floats, facets: Ints) -> tuple[Floats, Ints]:
    """Mesh for display with at most MOST_FACETS facets: the vertices of a grid cell are merged into their mean.

    vertices (v, 3), facets (n, 3). It is never used for volumes.
    """
    cells = FINEST_CELLS
    while len(facets) > MOST_FACETS:
        low = vertices.min(axis=0)
        side = float((vertices.max(axis=0) - low).max()) / cells
        _, cell_index = np.unique(np.floor((vertices - low) / side).astype(np.int64), axis=0, return_inverse=True)
        cell_index = cell_index.reshape(-1)
        counts = np.bincount(cell_index)
        vertices = np.column_stack([np.bincount(cell_index, vertices[:, axis]) / counts for axis in range(3)])
        facets = cell_index[facets]
        a, b, c = facets.T
        facets = facets[(a != b) & (b != c) & (c != a)]
        cells //= 2
    return vertices, facets


def _surface(shape: Shape) -> tuple[Floats, Ints]:
    """Vertices (v, 3), m, and facets (n, 3) of a shape; for a shell, its outer surface. Raises FaultError."""
    if isinstance(shape, MeshBody) and shape.arrays is not None:
        return shape.arrays
    mesh = shape.manifold().to_mesh64()
    return np.asarray(mesh.vert_properties)[:, :3], np.asarray(mesh.tri_verts).astype(np.int64)
