"""Meshes to measure, as facets (n, 3, 3), and ways to write them to files."""

from pathlib import Path

import numpy as np
import trimesh
from numpy.typing import ArrayLike, NDArray

Facets = NDArray[np.float64]


def box(x: float, y: float, z: float, at: ArrayLike = (0.0, 0.0, 0.0)) -> Facets:
    """A box with its lowest corner at `at`."""
    made = trimesh.creation.box((x, y, z)).triangles + np.array([x, y, z]) / 2 + np.asarray(at)
    return np.asarray(made)


def sphere(radius: float, subdivisions: int = 3, at: ArrayLike = (0.0, 0.0, 0.0)) -> Facets:
    """An inscribed icosphere about `at`."""
    return np.asarray(trimesh.creation.icosphere(subdivisions, radius).triangles + np.asarray(at))


def torus(major: float, minor: float, around: int, across: int) -> Facets:
    """A torus about the z axis, its corners on the true surface."""
    u = 2 * np.pi * np.arange(around) / around
    v = 2 * np.pi * np.arange(across) / across
    u, v = np.meshgrid(u, v, indexing="ij")
    reach = major + minor * np.cos(v)
    grid = np.stack([reach * np.cos(u), reach * np.sin(u), minor * np.sin(v)], axis=-1)
    a, b = grid, np.roll(grid, -1, axis=0)
    c, d = np.roll(b, -1, axis=1), np.roll(a, -1, axis=1)
    return np.concatenate([np.stack(t, axis=2).reshape(-1, 3, 3) for t in ((a, b, c), (a, c, d))])


def inside_out(facets: Facets) -> Facets:
    """The same surface with reversed winding."""
    return facets[:, ::-1]


def frustum(bottom: float, top: float, height: float, sides: int = 4) -> Facets:
    """A planter's outer form: regular polygon rings of circumradius `bottom` at z = 0 and `top` at z = height."""
    turn = 2 * np.pi * np.arange(sides) / sides + np.pi / sides
    ring = np.stack([np.cos(turn), np.sin(turn), np.zeros(sides)], axis=1)
    low, high = bottom * ring, top * ring + [0, 0, height]
    low2, high2 = np.roll(low, -1, axis=0), np.roll(high, -1, axis=0)
    down, up = np.zeros((sides, 3)), np.full((sides, 3), [0.0, 0.0, height])
    parts = ((low, low2, high2), (low, high2, high), (down, low2, low), (up, high, high2))
    return np.concatenate([np.stack(part, axis=1) for part in parts])


def write_stl(path: Path, facets: Facets, header: bytes = b"made for a test") -> Path:
    """Binary STL: 80 bytes of header, the count, 50 bytes a facet."""
    records = np.zeros(len(facets), np.dtype([("n", "<f4", 3), ("c", "<f4", (3, 3)), ("a", "<u2")]))
    records["c"] = facets
    path.write_bytes(header.ljust(80, b" ")[:80] + len(facets).to_bytes(4, "little") + records.tobytes())
    return path


def stl_text(facets: Facets, name: str = "part") -> str:
    """ASCII STL."""
    lines = [f"solid {name}"]
    for facet in facets:
        lines += [" facet normal 0 0 0", "  outer loop"]
        lines += [f"   vertex {x:.9e} {y:.9e} {z:.9e}" for x, y, z in facet]
        lines += ["  endloop", " endfacet"]
    return "\n".join([*lines, f"endsolid {name}", ""])
