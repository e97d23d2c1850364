"""Compounds: parts added and subtracted, and every kind of shape against its facets."""

from math import pi

import numpy as np
import pytest

from geometry.errors import FaultError
from geometry.facets import tally
from geometry.message import message
from geometry.plane import Region
from geometry.shape import layer_parts, measure
from geometry.shapes import (
    Box,
    CircleCutout,
    Compound,
    DrainHole,
    DropEdge,
    EdgeProfile,
    EllipseCutout,
    Extrusion,
    Outline,
    Panel,
    PanelOpening,
    Placed,
    RectangleCutout,
    Return,
    Revolution,
    Ribs,
    Slab,
    Taper,
)

BAR = Region.from_points([(0, 0), (0.1, 0), (0.08, 0.05), (0, 0.05)])
CYLINDER = Revolution(((0, 0), (0.1, 0), (0.1, 0.5), (0, 0.5)))


def test_two_halves_make_the_whole():
    half, whole = Slab(0.5, 0.6, 0.02), measure(Slab(1.0, 0.6, 0.02))
    made = measure(Compound((Placed(half), Placed(half, (0.5, 0.0, 0.0)))))
    for name in ("volume_m3", "surface_area_m2", "form_area_m2", "finished_area_m2"):
        assert getattr(made, name) == pytest.approx(getattr(whole, name), rel=1e-12)
    assert made.centroid_m == pytest.approx(whole.centroid_m)
    assert np.array(made.inertia_m5) == pytest.approx(np.array(whole.inertia_m5), rel=1e-9, abs=1e-15)
    assert made.tolerance == 0.0


def test_an_overlap_counts_once_and_is_reported():
    cube = Outline(Region.rectangle(1.0, 1.0), 1.0)
    made = measure(Compound((Placed(cube), Placed(cube, (0.5, 0.5, 0.5)))))
    assert made.volume_m3 == pytest.approx(2 - 0.125, rel=1e-12)
    assert made.surface_area_m2 == pytest.approx(12 - 6 * 0.25, rel=1e-12)
    (note,) = made.notes
    assert note.id == "compound-overlap"
    assert dict(note.values)["shared_m3"] == pytest.approx(0.125, rel=1e-12)
    assert made.size_m == pytest.approx((1.5, 1.5, 1.5))


def test_a_cylinder_taken_away_is_a_round_cutout():
    plug = Revolution(((0, 0), (0.1, 0), (0.1, 0.02), (0, 0.02)))
    made = measure(Compound((Placed(Slab(1.0, 0.6, 0.02)),), (Placed(plug, (0.4, 0.2, 0.0)),)))
    cut = measure(Slab(1.0, 0.6, 0.02, cutouts=(CircleCutout(0.2, 0.5, 0.3),)))
    assert made.volume_m3 == pytest.approx(cut.volume_m3, rel=1e-12)
    assert made.surface_area_m2 == pytest.approx(cut.surface_area_m2, rel=1e-12)
    assert made.form_area_m2 == pytest.approx(cut.form_area_m2, rel=1e-6)
    assert made.volume_m3 + measure(plug).volume_m3 == pytest.approx(0.012, rel=1e-12)


def test_a_box_with_its_hollow_taken_away_is_an_open_box():
    block = Outline(Region.rectangle(1.0, 0.5), 0.4)
    core = Outline(Region.rectangle(0.96, 0.46), 0.37)
    made = measure(Compound((Placed(block),), (Placed(core, (0.02, 0.02, 0.03)),)))
    box = measure(Box(1.0, 0.5, 0.4, 0.02, 0.03))
    assert made.volume_m3 == pytest.approx(box.volume_m3, rel=1e-12)
    assert made.surface_area_m2 == pytest.approx(box.surface_area_m2, rel=1e-12)


def test_upright_parts_keep_their_form_faces():
    # a plinth under a counter: the underside that it covers was not formed, nor was the plinth's own underside
    plinth = Outline(Region.rectangle(0.4, 0.3), 0.2)
    made = measure(Compound((Placed(Slab(1.0, 0.6, 0.02), (0, 0, 0.2)), Placed(plinth, (0.3, 0.15, 0.0)))))
    assert made.volume_m3 == pytest.approx(0.012 + 0.024, rel=1e-12)
    assert made.surface_area_m2 == pytest.approx(2 * 0.6 + 3.2 * 0.02 + 1.4 * 0.2, rel=1e-12)
    assert made.form_area_m2 == pytest.approx(0.6 + 3.2 * 0.02 + 1.4 * 0.2, rel=1e-12)


def test_layers_of_a_compound_are_those_of_the_whole():
    half = Slab(0.5, 0.6, 0.02)
    face, back = layer_parts(Compound((Placed(half), Placed(half, (0.5, 0.0, 0.0)))), [0.003, None])
    whole_face, whole_back = layer_parts(Slab(1.0, 0.6, 0.02), [0.003, None])
    assert face.volume_m3 == pytest.approx(whole_face.volume_m3, rel=1e-9)
    assert back.volume_m3 == pytest.approx(whole_back.volume_m3, rel=1e-9)


def test_separate_parts_are_added_up_in_closed_form():
    cone = Revolution(((0, 0), (0.3, 0), (0, 0.4)))
    made = measure(Compound((Placed(cone), Placed(cone, (1.0, 0.0, 0.0)))))
    assert made.volume_m3 == pytest.approx(2 * pi * 0.09 * 0.4 / 3, rel=1e-12)
    assert made.centroid_m == pytest.approx((0.8, 0.3, 0.1))
    assert made.tolerance == 0.0
    assert made.size_m == pytest.approx((1.6, 0.6, 0.4))


def test_curved_parts_are_united_as_meshes_within_the_stated_tolerance():
    # first principles: a cone standing on a cylinder of its own foot
    cone = Revolution(((0, 0), (0.1, 0), (0, 0.3)))
    made = measure(Compound((Placed(CYLINDER), Placed(cone, (0.0, 0.0, 0.5)))))
    assert made.volume_m3 == pytest.approx(pi * 0.01 * 0.6, rel=made.tolerance)
    assert 0 < made.tolerance <= 1e-5
    assert made.notes[0] == message("compound-united")
    assert made.centroid_m == pytest.approx((0.1, 0.1, (0.5 * 0.25 + 0.1 * 0.575) / 0.6), rel=1e-5)


def test_a_compound_may_hold_compounds():
    inner = Compound((Placed(CYLINDER),), (Placed(CYLINDER, (0.0, 0.0, 0.2)),))
    made = measure(Compound((Placed(inner), Placed(Slab(1.0, 1.0, 0.1), (0.0, 0.0, -0.1)))))
    assert made.volume_m3 == pytest.approx(pi * 0.01 * 0.2 + 0.1, rel=1e-5)


@pytest.mark.parametrize(
    ("compound", "key"),
    [
        (Compound(()), "add"),
        (Compound((Placed(Slab(1.0, 0.6, 0.0)),)), "add[0].thickness"),
        (
            Compound((Placed(Slab(1.0, 0.6, 0.02)),), (Placed(CYLINDER), Placed(Box(1, 1, 1, 0.6, 0.1)))),
            "subtract[1].wall",
        ),
        (Compound((Placed(Slab(1.0, 0.6, 0.02)),), (Placed(Slab(1.0, 0.6, 0.02)),)), "subtract"),
        (Compound((Placed(Slab(1.0, 0.6, 0.02), (0, 0, float("nan"))),)), "add[0].at"),
    ],
)
def test_compounds_that_cannot_be_built_are_refused_at_their_key(compound, key):
    with pytest.raises(FaultError) as refused:
        measure(compound)
    assert refused.value.key == key


EVERY_KIND = [
    Slab(
        1.0,
        0.6,
        0.02,
        cutouts=(RectangleCutout(0.3, 0.2, 0.3, 0.02), EllipseCutout(0.2, 0.1, 0.8, 0.4, edge="raw")),
        drop_edges=(DropEdge(("front", "left"), 0.1, 0.04),),
    ),
    Slab(
        1.0,
        0.6,
        0.02,
        cutouts=(CircleCutout(0.3, 0.4, 0.3, rim_thickness_m=0.05, rim_width_m=0.03),),
        drop_edges=(DropEdge(("right",), 0.06, 0.05),),
        edge_profiles=(EdgeProfile(("front", "left"), "round-over", 0.01), EdgeProfile(("back",), "cove", 0.008)),
        taper=Taper("right", 0.03),
    ),
    Panel(
        2.4,
        1.2,
        0.013,
        returns=(Return(("left", "top"), 0.1, 0.02), Return(("bottom",), 0.05, 0.03)),
        ribs=Ribs(0.5, 0.04, 0.06),
        openings=(PanelOpening(CircleCutout(0.4, 1.0, 0.6), depth_m=0.04, thickness_m=0.02),),
    ),
    Box(1.0, 0.6, 0.4, 0.02, 0.03, base_length_m=0.8, base_width_m=0.5, fillet_m=0.05),
    Box(1.0, 0.6, 0.4, 0.02, 0.03, fillet_m=0.04, open=False, drain_holes=(DrainHole(0.05, 0.5, 0.3),)),
    Box(0.8, 0.6, 0.4, 0.02, 0.03, base_length_m=1.0),
    Extrusion(BAR, 1.5, mitre_left_deg=30.0, mitre_right_deg=-45.0),
    Extrusion(Region.circle(0.2), 1.5, wall_m=0.02, open="left"),
    Revolution(((0, 0), (0.2, 0), (0.3, 0.5), (0, 0.5)), wall_m=0.02, open="top"),
    Outline(Region.circle(0.5), 0.3, wall_m=0.03, open="none"),
]


@pytest.mark.parametrize("shape", EVERY_KIND, ids=lambda shape: type(shape).__name__)
def test_integrals_agree_with_the_facets_of_a_mesh_kernel(shape):
    """Volume, area, centroid and inertia by slices against signed tetrahedra of booleans done by manifold3d."""
    made, mesh = measure(shape), shape.manifold().to_mesh64()
    vertices = mesh.vert_properties[:, :3]
    sums = tally(vertices[mesh.tri_verts], vertices.mean(axis=0))
    assert made.volume_m3 == pytest.approx(sums.volume, rel=2e-4)
    assert made.surface_area_m2 == pytest.approx(sums.area, rel=2e-4)
    assert made.centroid_m == pytest.approx(sums.centroid, abs=2e-4)
    about = sums.second - np.outer(sums.first, sums.first) / sums.volume
    inertia = np.trace(about) * np.eye(3) - about
    assert np.array(made.inertia_m5) == pytest.approx(inertia, rel=5e-4, abs=5e-4 * np.trace(inertia))
    assert made.size_m == pytest.approx(sums.high - sums.low, rel=1e-3)
