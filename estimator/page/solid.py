"""A piece as facets that the browser draws and turns, with its center of gravity."""

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
"""A phone turns that many without a jerk; denser meshes are drawn in ever coarser cells of their longest side."""


def routes(screens: Screens) -> list[Route]:
    """The facets of a piece."""

    async def solid(request: Request) -> Response:
        job, mark = screens.job(request), request.path_params["mark"]
        _, estimate = await run_in_threadpool(standing, job)
        if mark not in estimate.pieces:
            raise HTTPException(404)
        return Response(await run_in_threadpool(packed, estimate.pieces[mark]), media_type="application/octet-stream")

    return [Route("/jobs/{job}/solid/{mark:path}", solid, name="solid")]


def packed(piece: PieceEstimate) -> bytes:
    """A piece as numbers of four bytes: its center of gravity, how many vertices, the vertices, and the facets.

    Places lie around the middle of the piece, in parts of half its diagonal. Raises HTTPException for a piece whose
    facets nobody kept.
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
    """Whether a shape has facets to show; those of a very large mesh are not kept."""
    return not isinstance(shape, MeshBody) or shape.arrays is not None


def sparse(vertices: Floats, facets: Ints) -> tuple[Floats, Ints]:
    """A mesh with at most MOST_FACETS facets, to look at: vertices of one cell are drawn as their mean.

    vertices (v, 3), facets (n, 3). Volumes are never taken from it.
    """
    cells = FINEST_CELLS
    while len(facets) > MOST_FACETS:
        low = vertices.min(axis=0)
        side = float((vertices.max(axis=0) - low).max()) / cells
        _, home = np.unique(np.floor((vertices - low) / side).astype(np.int64), axis=0, return_inverse=True)
        home = home.reshape(-1)
        counts = np.bincount(home)
        vertices = np.column_stack([np.bincount(home, vertices[:, axis]) / counts for axis in range(3)])
        facets = home[facets]
        a, b, c = facets.T
        facets = facets[(a != b) & (b != c) & (c != a)]
        cells //= 2
    return vertices, facets


def _surface(shape: Shape) -> tuple[Floats, Ints]:
    """Vertices (v, 3), m, and facets (n, 3) of a shape; of a shell those of its outer surface. Raises FaultError."""
    if isinstance(shape, MeshBody) and shape.arrays is not None:
        return shape.arrays
    mesh = shape.manifold().to_mesh64()
    return np.asarray(mesh.vert_properties)[:, :3], np.asarray(mesh.tri_verts).astype(np.int64)
