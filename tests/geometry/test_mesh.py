"""Measuring mesh files: against a second library, with every fault named or refused."""

import numpy as np
import pytest
import trimesh
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from geometry.errors import GeometryError
from geometry.mesh import read_facets, read_mesh
from tests.geometry.sample_meshes import box, frustum, inside_out, sphere, stl_text, torus, write_stl

approx = pytest.approx

BOX = box(100, 200, 300)
MM = 0.001


@pytest.fixture
def measured(tmp_path):
    """Measure facets by way of an STL file in millimetres."""

    def measure(facets, **options):
        return read_mesh(write_stl(tmp_path / "mesh.stl", np.asarray(facets)), MM, **options)

    return measure


@pytest.fixture
def refused(tmp_path):
    """The message by which facets in an STL file are refused."""

    def refuse(facets, unit_m=MM, **options):
        with pytest.raises(GeometryError) as refusal:
            read_mesh(write_stl(tmp_path / "mesh.stl", np.asarray(facets)), unit_m, **options)
        return str(refusal.value)

    return refuse


def test_a_box(measured):
    found = measured(BOX)
    assert found.volume_m3 == approx(0.006, rel=1e-12)
    assert found.surface_area_m2 == approx(0.22, rel=1e-12)
    assert found.centroid_m == approx((0.05, 0.1, 0.15), rel=1e-12)
    assert found.size_m == approx((0.1, 0.2, 0.3), rel=1e-12)
    assert found.lowest_m == approx((0, 0, 0), abs=1e-15)
    assert found.inertia_m5[2][2] == approx(0.006 * (0.1**2 + 0.2**2) / 12, rel=1e-12)
    assert (found.facets, found.bodies, found.closed, found.problems) == (12, 1, True, ())


# Sample solids of the second library, whose own sums are the check.
SOLIDS = {
    "annulus": lambda: trimesh.creation.annulus(30, 50, 200),
    "capsule": lambda: trimesh.creation.capsule(100, 30),
    "cone": lambda: trimesh.creation.cone(40, 120),
    "cylinder": lambda: trimesh.creation.cylinder(40, 120),
    "icosahedron": trimesh.creation.icosahedron,
    "torus": lambda: trimesh.creation.torus(80, 20),
    "capsule, turned": lambda: trimesh.creation.capsule(100, 30).apply_transform(
        trimesh.transformations.euler_matrix(0.3, -1.1, 2.0)
    ),
    "revolution": lambda: trimesh.creation.revolve([(0, 0), (60, 0), (90, 70), (40, 80), (0, 80)]),
}


@pytest.mark.parametrize("kind", ["stl", "obj", "ply", "3mf"])
@pytest.mark.parametrize("name", SOLIDS)
def test_sample_solids_agree_with_a_second_library(tmp_path, name, kind):
    solid = SOLIDS[name]()
    path = tmp_path / f"solid.{kind}"
    solid.export(path)
    found = read_mesh(path, MM)
    assert found.volume_m3 == approx(solid.volume * 1e-9, rel=1e-6)
    assert found.surface_area_m2 == approx(solid.area * 1e-6, rel=1e-6)
    assert found.centroid_m == approx(solid.center_mass * MM, rel=1e-6, abs=1e-6)
    scale = np.abs(solid.moment_inertia).max() * 1e-15
    assert np.array(found.inertia_m5) == approx(solid.moment_inertia * 1e-15, rel=1e-5, abs=1e-6 * scale)
    assert found.size_m == approx(solid.extents * MM, rel=1e-6)
    assert (found.facets, found.bodies, found.problems) == (len(solid.faces), solid.body_count, ())


def test_a_3mf_is_scaled_by_its_own_unit(tmp_path):
    import zipfile

    path, inches = tmp_path / "box.3mf", tmp_path / "inches.3mf"
    trimesh.creation.box((2, 3, 4)).export(path)
    with zipfile.ZipFile(path) as made, zipfile.ZipFile(inches, "w") as changed:
        for name in made.namelist():
            changed.writestr(name, made.read(name).replace(b'unit="millimeter"', b'unit="inch"'))
    assert read_mesh(path, None).volume_m3 == approx(24e-9, rel=1e-9)
    found = read_mesh(inches, None)
    assert (found.volume_m3, found.unit_m) == (approx(24 * 0.0254**3, rel=1e-9), 0.0254)
    with pytest.raises(GeometryError) as refusal:
        read_mesh(inches, MM)
    assert str(refusal.value) == "the file's own unit is in, not mm. Leave the unit out, or export again in the other."


def test_without_a_unit_the_size_is_shown_in_each(refused):
    assert refused(BOX, unit_m=None) == (
        "the file has no unit; its size is 100 × 200 × 300: in mm 0.1 × 0.2 × 0.3 m; in cm 1 × 2 × 3 m; "
        'in in 2.54 × 5.08 × 7.62 m; in m 100 × 200 × 300 m. Give the unit: "mm", "cm", "in" or "m".'
    )


def test_ascii_and_binary_measure_alike(tmp_path, measured):
    facets = torus(500, 200, 24, 12)
    path = tmp_path / "text.stl"
    path.write_text(stl_text(facets))
    assert read_mesh(path, MM).volume_m3 == approx(measured(facets).volume_m3, rel=1e-6)


# Winding ------------------------------------------------------------------------------------------------------


def test_a_mesh_inside_out_is_turned_and_said(measured):
    found = measured(inside_out(BOX))
    assert found.volume_m3 == approx(0.006)
    assert found.centroid_m == approx((0.05, 0.1, 0.15))
    assert np.diag(found.inertia_m5) == approx(np.diag(measured(BOX).inertia_m5))
    assert found.problems == ("body 1: inside out, turned",)
    assert measured(inside_out(BOX), bodies=False).problems == ("the mesh was inside out and was turned",)


def test_facets_wound_both_ways_are_rewound_and_said(measured):
    facets = torus(500, 200, 24, 12)
    mixed = facets.copy()
    mixed[::5] = mixed[::5, ::-1]
    found = measured(mixed)
    assert found.volume_m3 == approx(measured(facets).volume_m3, rel=1e-12)
    assert found.problems == ("116 facets wound against the rest turned",)


def test_one_body_of_two_inside_out_does_not_take_from_the_other(measured):
    found = measured(np.concatenate([BOX, inside_out(BOX + 1000)]))
    assert (found.volume_m3, found.bodies) == (approx(0.012), 2)
    assert found.problems == ("body 2: inside out, turned",)


def test_a_one_sided_surface_is_refused(refused):
    around = 2 * np.pi * np.arange(40) / 40
    turn = np.stack([np.cos(around), np.sin(around), 0 * around], axis=1)
    half = np.cos(around / 2)[:, None] * turn + np.sin(around / 2)[:, None] * [0, 0, 1]
    low, high = 100 * turn - 20 * half, 100 * turn + 20 * half
    low2, high2 = np.r_[low[1:], high[:1]], np.r_[high[1:], low[:1]]
    strip = np.concatenate([np.stack([low, low2, high2], 1), np.stack([low, high2, high], 1)])
    assert refused(strip) == (
        "its surface is one-sided: neighbouring facets cannot all be wound alike, so it encloses no volume. "
        "Rebuild it in the modeller as a closed body."
    )


# Bodies -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("turned", [False, True])
def test_a_hollow_is_taken_away(measured, turned):
    shell = np.concatenate([box(100, 100, 100), inside_out(box(80, 80, 80, at=(10, 10, 10)))])
    found = measured(inside_out(shell) if turned else shell)
    assert (found.volume_m3, found.bodies) == (approx(1e-3 - 0.512e-3), 2)
    assert found.problems[-1] == "body 2: inside another body, taken as its hollow or as an island in one"


def test_a_hollow_that_is_sound_stays_when_only_its_body_is_inside_out(measured):
    found = measured(inside_out(np.concatenate([box(100, 100, 100), box(80, 80, 80, at=(10, 10, 10))])))
    assert found.volume_m3 == approx(1e-3 - 0.512e-3)
    assert found.problems[0] == "body 1: inside out, turned"


def test_a_body_in_a_body_wound_alike_counts_twice_and_is_named(measured):
    found = measured(np.concatenate([box(100, 100, 100), box(80, 80, 80, at=(10, 10, 10))]))
    assert found.volume_m3 == approx(1e-3 + 0.512e-3)
    assert found.problems == ("body 2: inside another body and wound alike, so this volume is counted twice",)


def test_an_island_in_a_hollow_is_solid(measured):
    parts = [box(100, 100, 100), inside_out(box(80, 80, 80, at=(10, 10, 10))), box(20, 20, 20, at=(40, 40, 40))]
    assert measured(np.concatenate(parts)).volume_m3 == approx((1000 - 512 + 8) * 1e-6)


def test_overlapping_boxes_are_named_and_touching_ones_are_not(measured):
    overlapping = measured(np.concatenate([sphere(100), sphere(100, at=(150, 0, 0))]))
    assert overlapping.problems == (
        "the boxes of bodies 1 and 2 overlap: where the bodies do too, volume is counted twice",
    )
    assert measured(np.concatenate([BOX, BOX + np.array([100, 0, 0])])).bodies == 2


def test_bodies_are_counted_only_up_to_a_size_unless_asked(monkeypatch, measured):
    monkeypatch.setattr("geometry.mesh.EXAMINED_FACETS", 20)
    two = np.concatenate([BOX, BOX + 1000])
    assert measured(two).bodies is None
    assert measured(two, bodies=True).bodies == 2
    assert measured(two).volume_m3 == approx(measured(two, bodies=True).volume_m3, rel=1e-12)


# Faulty facets ------------------------------------------------------------------------------------------------


def test_zero_area_and_duplicate_facets_are_left_out_and_named(measured):
    point = np.repeat(BOX[:1, :1], 3, axis=1)
    found = measured(np.concatenate([BOX, BOX[3:5], point]))
    assert (found.volume_m3, found.surface_area_m2, found.facets) == (approx(0.006), approx(0.22), 15)
    assert found.problems == ("1 facet of zero area left out", "2 facets there more than once left out")
    assert measured(np.concatenate([BOX, point]), bodies=False).problems == ("1 facet of zero area left out",)


def test_an_edge_where_bodies_touch_is_named(measured):
    found = measured(np.concatenate([BOX, BOX + np.array([100, 200, 0])]))
    assert (found.volume_m3, found.bodies) == (approx(0.012), 2)
    assert found.problems == ("1 edge shared by four or more facets near (100, 200, 150) mm",)


def test_an_inner_wall_that_facets_share_by_threes_is_refused(refused):
    wall = BOX[np.isclose(BOX[:, :, 0], 100).all(axis=1)]
    second = box(100, 200, 300, at=(100, 0, 0))
    second = second[~np.isclose(second[:, :, 0], 100).all(axis=1)]
    assert len(wall) == 2
    assert "facets do not pair up at 4 edges near (100, " in refused(np.concatenate([BOX, second]))


def test_corners_that_nearly_meet_are_joined_and_said(measured):
    facets = sphere(100)
    shaken = facets + np.random.default_rng(0).normal(0, 1e-5, facets.shape)
    found = measured(shaken)
    assert found.volume_m3 == approx(measured(facets).volume_m3, rel=1e-6)
    assert found.problems == ("3,186 corners nearer than 0.00035 mm were joined",)


def test_a_skin_that_faces_both_ways_is_refused(refused):
    assert refused(np.concatenate([BOX, inside_out(BOX)])).startswith("every facet is there twice")


def test_a_flat_closed_surface_is_refused(refused):
    facets = box(100, 200, 300)
    facets[:, :, 2] = 0
    kept = facets[np.linalg.norm(np.cross(facets[:, 1] - facets[:, 0], facets[:, 2] - facets[:, 0]), axis=1) > 0]
    fan = np.array([[kept[0, 0], kept[0, 1], kept[0, 2]], [kept[0, 0], kept[0, 2], kept[0, 1]]])
    assert "no volume" in refused(facets)
    assert "without volume" in refused(fan)


def test_a_corner_that_is_no_number_is_refused(refused):
    facets = BOX.copy()
    facets[5, 1, 2] = np.nan
    assert refused(facets) == "facet 6 has a corner that is not a finite number. Export it again."
    facets[5, 1, 2] = np.inf
    assert refused(facets) == "facet 6 has a corner that is not a finite number. Export it again."


# Openings -----------------------------------------------------------------------------------------------------

OPEN = np.delete(BOX, 3, axis=0)


def test_an_open_mesh_is_refused_with_the_place(refused):
    assert refused(OPEN) == (
        "3 open edges near (33.3, 66.7, 0) mm: it encloses no volume. "
        'Close it in the modeller, or set repair = "fill" to fill flat holes and accept the change.'
    )


def test_a_flat_hole_is_filled_and_said(measured):
    found = measured(OPEN, repair="fill")
    assert (found.volume_m3, found.closed) == (approx(0.006), True)
    assert found.problems == ("1 flat hole filled: 100 cm² near (33.3, 66.7, 0) mm",)


def test_a_concave_hole_with_an_island_is_filled_in_its_outline_alone(measured):
    ring = trimesh.creation.annulus(50, 100, 200)
    facets = np.asarray(ring.triangles)
    found = measured(facets[facets[:, :, 2].mean(axis=1) < 99.9], repair="fill")
    assert found.volume_m3 == approx(ring.volume * 1e-9, rel=1e-6)
    assert found.surface_area_m2 == approx(ring.area * 1e-6, rel=1e-6)
    assert found.problems[0].startswith("1 flat hole filled")


def test_a_seam_where_a_long_edge_meets_two_short_ones_is_a_slit_that_fill_closes(measured, refused):
    facet = BOX[0]
    middle = (facet[0] + facet[1]) / 2
    split = np.array([[facet[0], middle, facet[2]], [middle, facet[1], facet[2]]])
    seamed = np.concatenate([BOX[1:], split])
    assert refused(seamed).startswith("3 open edges near")
    assert measured(seamed, repair="fill").volume_m3 == approx(0.006)


def test_a_hole_that_is_not_flat_stays_refused(refused):
    facets = sphere(100)
    cap = facets[:, :, 2].mean(axis=1) < 50
    assert refused(facets[cap], repair="fill") == (
        "the opening near (0, 0, 49.8) mm is not flat (by 7.32 mm), so nothing says how it should be closed. "
        "Close it in the modeller."
    )


def test_a_flat_rim_is_left_open_where_a_shell_is_wanted(tmp_path):
    facets = frustum(300, 400, 500)
    form = facets[~np.isclose(facets[:, :, 2], 500).all(axis=1)]
    found, vertices, faces = read_facets(write_stl(tmp_path / "form.stl", form), MM, rims=True)
    assert (found.closed, found.bodies, found.problems) == (False, 1, ())
    assert found.volume_m3 == approx(0.5 / 3 * 2 * (0.3**2 + 0.3 * 0.4 + 0.4**2), rel=1e-6)
    assert (len(faces), vertices.max()) == (len(form), approx(0.5))
    with pytest.raises(GeometryError, match="open edges"):
        read_mesh(tmp_path / "form.stl", MM)
    turned, _, faces_turned = read_facets(write_stl(tmp_path / "turned.stl", inside_out(form)), MM, rims=True)
    assert turned.problems == ("body 1: inside out, turned",)
    assert turned.volume_m3 == approx(found.volume_m3, rel=1e-12)
    assert len(faces_turned) == len(faces)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.data())
def test_a_spoilt_mesh_has_the_true_volume_or_none(tmp_path, data):
    facets = np.concatenate(
        [torus(500, 200, 8, 5), box(100, 200, 300, at=(2000, 0, 0)), sphere(90, 0, at=(0, 2000, 0))]
    )
    true = read_mesh(write_stl(tmp_path / "sound.stl", facets), MM).volume_m3
    some = st.lists(st.integers(0, len(facets) - 1), max_size=12, unique=True)
    turned, again, missing = data.draw(some), data.draw(some), data.draw(st.lists(st.integers(0, 79), max_size=1))
    spoilt = facets.copy()
    spoilt[turned] = spoilt[turned, ::-1]
    spoilt = np.concatenate([np.delete(spoilt, missing, axis=0), spoilt[list(set(again) - set(missing))]])
    spoilt = spoilt[data.draw(st.permutations(range(len(spoilt))))]
    path = write_stl(tmp_path / "spoilt.stl", spoilt)
    if missing:
        with pytest.raises(GeometryError, match=r"3 open edges near \("):
            read_mesh(path, MM)
        assert read_mesh(path, MM, repair="fill").volume_m3 == approx(true, rel=1e-6)
    else:
        assert read_mesh(path, MM).volume_m3 == approx(true, rel=1e-6)
        assert read_mesh(path, MM).bodies == 3


# Files --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", ["obj", "ply", "3mf"])
@pytest.mark.parametrize("content", [b"", b"this is no mesh\n", bytes(500)])
def test_other_formats_refuse_what_they_cannot_read(tmp_path, kind, content):
    path = tmp_path / f"a.{kind}"
    path.write_bytes(content)
    with pytest.raises(GeometryError) as refusal:
        read_mesh(path, MM)
    assert any(said in str(refusal.value) for said in ("is empty", "holds no facets", "cannot be read as"))
    assert "\n" not in str(refusal.value)


@pytest.mark.parametrize("kind", ["obj", "ply", "3mf"])
@pytest.mark.parametrize("share", [0.3, 0.6, 0.9])
def test_a_truncated_file_is_refused(tmp_path, kind, share):
    path = tmp_path / f"a.{kind}"
    trimesh.creation.icosphere(2, 100).export(path)
    whole = path.read_bytes()
    path.write_bytes(whole[: int(share * len(whole))])
    with pytest.raises(GeometryError):
        read_mesh(path, MM)


def test_another_extension_is_refused(tmp_path):
    with pytest.raises(GeometryError, match=r'"\.step" is not a mesh format that can be read\. Give STL, OBJ'):
        read_mesh(tmp_path / "a.step", MM)
