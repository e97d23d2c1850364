"""Layers against other ways of measuring them: plane offsets of the section, and exact distances in an octree."""

from math import cos, pi, sin

import numpy as np
import pytest
import shapely

from geometry.plane import Region
from geometry.shape import layer_parts, measure
from geometry.shapes import Box, DropEdge, EdgeProfile, Outline, Panel, RectangleCutout, Return, Slab, Taper
from geometry.shell import shell

T = 0.004


@pytest.mark.parametrize("kind", ["round-over", "bevel", "cove"])
def test_a_coat_follows_a_worked_edge(kind):
    """The section's coat is a plane offset; the ends are plane, so it runs the length less two thicknesses."""
    r, width, thick, length = 0.01, 0.4, 0.03, 1.0
    angles = np.linspace(0, pi / 2, 100)
    curve = {
        "round-over": [(r - r * cos(a), thick - r + r * sin(a)) for a in angles],
        "bevel": [(0, thick - r), (r, thick)],
        "cove": [(r * sin(a), thick - r * cos(a)) for a in angles],
    }[kind]
    section = shapely.Polygon([(0, 0), *curve, (width, thick), (width, 0)])
    formed = shapely.LineString([(0, 0), *curve, (width, thick), (width, 0)])
    core = section.difference(formed.buffer(T, quad_segs=128)).area
    slab = Slab(length, width, thick, edge_profiles=(EdgeProfile(("front",), kind, r),))
    face, back = layer_parts(slab, [T, None])
    assert back.volume_m3 == pytest.approx(core * (length - 2 * T), rel=2e-4)
    assert face.volume_m3 == pytest.approx(measure(slab).volume_m3 - core * (length - 2 * T), rel=1e-3)


@pytest.mark.parametrize(
    "shape",
    [
        Slab(
            0.5,
            0.3,
            0.02,
            cutouts=(RectangleCutout(0.15, 0.1, 0.2, 0.12),),
            drop_edges=(DropEdge(("front", "left"), 0.06, 0.03),),
        ),
        Slab(0.5, 0.3, 0.02, taper=Taper("right", 0.04)),
        Outline(Region.from_points([(0, 0), (0.4, 0), (0.4, 0.1), (0.15, 0.15), (0.1, 0.4), (0, 0.4)]), 0.05),
        Panel(0.5, 0.4, 0.015, returns=(Return(("left",), 0.08, 0.03), Return(("bottom",), 0.05, 0.02))),
        Box(0.4, 0.3, 0.2, 0.02, 0.03, base_length_m=0.3),
    ],
    ids=["drops", "taper", "angle", "returns", "box"],
)
def test_a_coat_on_all_faces_is_all_concrete_near_them(shape):
    mesh = shape.manifold().to_mesh64()
    vertices, facets = np.ascontiguousarray(mesh.vert_properties[:, :3]), mesh.tri_verts.astype(np.int64)
    near = shell(vertices, facets, T)
    coat = layer_parts(shape, [T, None], faces="all")[0]
    assert coat.volume_m3 == pytest.approx(near.volume_m3, rel=3e-3)
    assert coat.centroid_m == pytest.approx(near.centroid_m, abs=5e-4)


@pytest.mark.parametrize("points", [100, 400, 2000])
def test_a_hollow_curve_keeps_its_offset_however_many_points_it_has(points):
    # a half round groove of radius r in a block: what lies within t of it is a half ring beneath
    r, t = 0.05, 0.02
    groove = [(0.5 + r * cos(a), 0.3 - r * sin(a)) for a in np.linspace(0, pi, points)]
    block = Outline(Region.from_points([(0, 0), (1, 0), (1, 0.3), *groove, (0, 0.3)]), 0.1)
    _, core = layer_parts(block, [t, None])
    left = (1 - 2 * t) * (0.3 - 2 * t)
    half_width = ((r + t) ** 2 - t**2) ** 0.5
    gone = (r + t) ** 2 * np.arctan2(half_width, t) - half_width * t
    assert core.volume_m3 == pytest.approx((left - gone) * (0.1 - t), rel=2e-4)
