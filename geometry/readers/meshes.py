"""Mesh files by extension: STL as a stream, OBJ and PLY through trimesh, 3MF; all as blocks of facets."""

import os
import warnings
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from geometry.errors import GeometryError
from geometry.readers.stl import open_stl
from geometry.readers.threemf import read_threemf

EXTENSIONS = (".stl", ".obj", ".ply", ".3mf")

_WORTH_A_THREAD = 200_000


@dataclass(frozen=True, slots=True)
class MeshFile:
    """A mesh file whose facets can be gone through any number of times."""

    blocks: Callable[[], Iterator[NDArray[Any]]]  # of facets (n, 3, 3) in the file's unit; one may overwrite the last
    unit_m: float | None  # the file's own unit, None where the format has none
    sections: tuple[Callable[[], Iterator[NDArray[Any]]], ...]  # the same blocks in parts that can be read at once
    problems: tuple[str, ...] = ()  # what was left out on reading


def open_mesh(path: Path) -> MeshFile:
    """Open a mesh file by its extension.

    Raises GeometryError for an unknown extension and for a file that is empty, cut short or of another kind;
    OSError where it cannot be opened.
    """
    kind = path.suffix.lower()
    if kind == ".stl":
        stl = open_stl(path)
        bounds = np.linspace(0, stl.facets or 0, _sections(stl.facets) + 1).astype(int).tolist()
        sections = tuple(partial(stl.blocks, start, stop) for start, stop in pairwise(bounds))
        return MeshFile(stl.blocks, None, sections, stl.problems)
    if kind not in EXTENSIONS:
        raise GeometryError(
            f'"{path.suffix or path.name}" is not a mesh format that can be read.', "Give STL, OBJ, PLY or 3MF."
        )
    if path.stat().st_size == 0:
        raise GeometryError("the file is empty.", "Export it again.")
    facets, unit_m, problems = read_threemf(path) if kind == ".3mf" else (_load(path, kind[1:]), None, ())
    return MeshFile(lambda: iter((facets,)), unit_m, (lambda: iter((facets,)),), problems)


def _sections(facets: int | None) -> int:
    """How many threads to read with: the arithmetic on big blocks runs side by side, up to a few."""
    return 1 if (facets or 0) < _WORTH_A_THREAD else min(os.cpu_count() or 1, 4)


def _load(path: Path, kind: str) -> NDArray[np.float64]:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import trimesh  # a second to import: only where such a file is read

        with path.open("rb") as file:
            try:
                # Unprocessed: vertices and facets as they stand in the file, so that faults are seen and named.
                scene = trimesh.load_scene(file, file_type=kind, process=False)
                meshes = [part for part in scene.dump() if isinstance(part, trimesh.Trimesh)]
            except Exception as error:  # the loaders raise whatever their parsing meets
                reason = " ".join(str(error).split())[:120]
                raise GeometryError(
                    f"the file cannot be read as {kind.upper()} ({type(error).__name__}: {reason}).", "Export it again."
                ) from error
    solids = [np.asarray(mesh.triangles, dtype=np.float64) for mesh in meshes if len(mesh.faces)]
    if not solids:
        raise GeometryError(f"the {kind.upper()} file holds no facets.", "Export it again with the piece in it.")
    return np.concatenate(solids)
