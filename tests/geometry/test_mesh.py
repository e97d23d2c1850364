"""Mesh files measured against a second library, with every fault named or refused."""

import numpy as np
import pytest
import trimesh
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from geometry.errors import FaultError
from geometry.mesh_file import read_facets, read_mesh
from tests.geometry.sample_meshes import box, frustum, inside_out, sphere, stl_text, torus, write_stl
from tests.refusal import note_texts, refusal, words_of

approx = pytest.approx

BOX = box(100, 200, 300)
MM = 0.001
UNLOOKED = "Not checked whether the surface passes through itself. Up to 100,000 facets are checked."


@pytest.fixture
def measured(tmp_path):
    """Measure facets by way of an STL file in millimeters."""

    def measure(facets, **options):
        return read_mesh(write_stl(tmp_path / "mesh.stl", np.asarray(facets)), MM, **options)

    return measure


@pytest.fixture
def refused(tmp_path):
    """The message by which facets in an STL file are refused."""

    def refuse(facets, unit_m=MM, **options):
        with pytest.raises(FaultError) as refusal:
            read_mesh(write_stl(tmp_path / "mesh.stl", np.asarray(facets)), unit_m, **options)
        return words_of(refusal.value)

    return refuse


def test_a_box_measures_as_in_closed_form(measured):
    found = measured(BOX)
    assert found.volume_m3 == approx(0.006, rel=1e-12)
    assert found.surface_area_m2 == approx(0.22, rel=1e-12)
    assert found.centroid_m == approx((0.05, 0.1, 0.15), rel=1e-12)
    assert found.size_m == approx((0.1, 0.2, 0.3), rel=1e-12)
    assert found.lowest_m == approx((0, 0, 0), abs=1e-15)
    assert found.inertia_m5[2][2] == approx(0.006 * (0.1**2 + 0.2**2) / 12, rel=1e-12)
    assert (found.facets, found.bodies, found.closed, note_texts(found.problems)) == (12, 1, True, ())


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
    assert (found.facets, found.bodies, note_texts(found.problems)) == (len(solid.faces), solid.body_count, ())


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
    with pytest.raises(FaultError) as refusal:
        read_mesh(inches, MM)
    assert (
        words_of(refusal.value)
        == "The unit in the file is in, not mm. Leave the unit out, or export again in the other unit."
    )


def test_without_a_unit_the_size_is_shown_in_each(refused):
    assert refused(BOX, unit_m=None) == (
        "The file has no unit. Its size is 100 × 200 × 300: in mm 0.1 × 0.2 × 0.3 m, in cm 1 × 2 × 3 m, "
        'in in 2.54 × 5.08 × 7.62 m, in m 100 × 200 × 300 m. Give the unit: "mm", "cm", "in" or "m".'
    )


def test_ascii_and_binary_measure_the_same(tmp_path, measured):
    facets = torus(500, 200, 24, 12)
    path = tmp_path / "text.stl"
    path.write_text(stl_text(facets))
    assert read_mesh(path, MM).volume_m3 == approx(measured(facets).volume_m3, rel=1e-6)


# Winding ------------------------------------------------------------------------------------------------------


def test_a_mesh_inside_out_is_turned_and_reported(measured):
    found = measured(inside_out(BOX))
    assert found.volume_m3 == approx(0.006)
    assert found.centroid_m == approx((0.05, 0.1, 0.15))
    assert np.diag(found.inertia_m5) == approx(np.diag(measured(BOX).inertia_m5))
    assert note_texts(found.problems) == ("Body 1 was inside out. It was turned.",)
    assert note_texts(measured(inside_out(BOX), bodies=False).problems) == (
        "The mesh was inside out. It was turned.",
        UNLOOKED,
    )


def test_facets_wound_both_ways_are_rewound_and_reported(measured):
    facets = torus(500, 200, 24, 12)
    mixed = facets.copy()
    mixed[::5] = mixed[::5, ::-1]
    found = measured(mixed)
    assert found.volume_m3 == approx(measured(facets).volume_m3, rel=1e-12)
    assert note_texts(found.problems) == ("Turned 116 facets that ran against the rest.",)


def test_a_body_inside_out_takes_nothing_from_another_body(measured):
    found = measured(np.concatenate([BOX, inside_out(BOX + 1000)]))
    assert (found.volume_m3, found.bodies) == (approx(0.012), 2)
    assert note_texts(found.problems) == ("Body 2 was inside out. It was turned.",)


def test_a_one_sided_surface_is_refused(refused):
    around = 2 * np.pi * np.arange(40) / 40
    turn = np.stack([np.cos(around), np.sin(around), 0 * around], axis=1)
    half = np.cos(around / 2)[:, None] * turn + np.sin(around / 2)[:, None] * [0, 0, 1]
    low, high = 100 * turn - 20 * half, 100 * turn + 20 * half
    low2, high2 = np.r_[low[1:], high[:1]], np.r_[high[1:], low[:1]]
    strip = np.concatenate([np.stack([low, low2, high2], 1), np.stack([low, high2, high], 1)])
    assert refused(strip) == (
        "The surface is one-sided, so it encloses no volume. Rebuild it in the modeler as a closed body."
    )


# Bodies -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("turned", [False, True])
def test_a_hollow_is_subtracted(measured, turned):
    shell = np.concatenate([box(100, 100, 100), inside_out(box(80, 80, 80, at=(10, 10, 10)))])
    found = measured(inside_out(shell) if turned else shell)
    assert (found.volume_m3, found.bodies) == (approx(1e-3 - 0.512e-3), 2)
    assert (
        note_texts(found.problems)[-1]
        == "Body 2 lies inside another body and counts as its hollow, or as an island in one."
    )


def test_a_hollow_that_is_sound_stays_when_only_its_body_is_inside_out(measured):
    found = measured(inside_out(np.concatenate([box(100, 100, 100), box(80, 80, 80, at=(10, 10, 10))])))
    assert found.volume_m3 == approx(1e-3 - 0.512e-3)
    assert note_texts(found.problems)[0] == "Body 1 was inside out. It was turned."


def test_a_body_in_a_body_wound_alike_counts_once_and_is_named(measured):
    inner = box(80, 80, 80, at=(10, 10, 10))
    for shift in (0, -10):  # well inside, and flush with three faces
        found = measured(np.concatenate([box(100, 100, 100), inner + shift]))
        assert found.volume_m3 == approx(1e-3)
        (told,) = note_texts(found.problems)
        assert told.startswith("Bodies 1 and 2 overlap near (")
        assert told.endswith(" mm and became one. The 0.51 L they share count once.")


def test_an_island_in_a_hollow_is_solid(measured):
    parts = [box(100, 100, 100), inside_out(box(80, 80, 80, at=(10, 10, 10))), box(20, 20, 20, at=(40, 40, 40))]
    assert measured(np.concatenate(parts)).volume_m3 == approx((1000 - 512 + 8) * 1e-6)


def test_overlapping_bodies_are_united_and_named(measured):
    # source: lens of two spheres of radius r at distance d, π (4r + d)(2r − d)² / 12; the facets' own is 1 % smaller
    two = measured(np.concatenate([sphere(100), sphere(100, at=(150, 0, 0))]))
    lens = np.pi * (4 * 0.1 + 0.15) * (2 * 0.1 - 0.15) ** 2 / 12
    assert two.volume_m3 == approx(2 * 4 / 3 * np.pi * 0.1**3 - lens, rel=0.01)
    (told,) = note_texts(two.problems)
    assert told.startswith("Bodies 1 and 2 overlap near (75, ")
    assert "The 0.35 L they share count once." in told
    assert two.bodies == 2


@pytest.mark.parametrize(
    ("at", "shared"),
    [
        ((50, 50, 50), 0.125),
        ((50, 50, 0), 0.25),  # flush above and below
        ((50, 0, 0), 0.5),  # flush on four sides
        ((0.5, 0, 0), 0.995),
        ((100, 50, 0), 0.0),  # touching
        ((100, 100, 100), 0.0),  # touching at a corner
        ((150, 0, 0), 0.0),
    ],
)
@pytest.mark.parametrize("turn", [0.0, 0.37])
def test_boxes_that_overlap_partly_or_flush_or_touch_are_measured_right(measured, at, shared, turn):
    both = np.concatenate([box(100, 100, 100), box(100, 100, 100, at=at)])
    c, s = np.cos(turn), np.sin(turn)
    found = measured(both @ np.array([[c, s, 0], [-s * c, c * c, s], [s * s, -s * c, c]]))
    assert found.volume_m3 == approx((2 - shared) * 1e-3, rel=1e-5)
    assert any("became one" in told for told in note_texts(found.problems)) == (shared > 0)


def test_united_bodies_are_closed_and_keep_all_their_facets(tmp_path):
    path = write_stl(tmp_path / "two.stl", np.concatenate([box(100, 100, 100), box(100, 100, 100, at=(50, 50, 50))]))
    found, vertices, faces = read_facets(path, MM)
    assert found.closed
    a, b, c = (vertices[faces[:, i]] for i in range(3))
    assert np.einsum("ij,ij->", a, np.cross(b, c)) / 6 == approx(1.875e-3)


@pytest.mark.parametrize("shift", [0.0, 1e-3])
def test_a_duplicate_body_counts_once(measured, shift):
    found = measured(np.concatenate([box(100, 100, 100), box(100, 100, 100) + shift]))
    assert found.volume_m3 == approx(1e-3, rel=1e-4)
    assert note_texts(found.problems)


def test_bodies_that_overlap_keep_their_hollows(measured):
    pipe = trimesh.creation.annulus(30, 50, 200)
    rod = trimesh.creation.cylinder(20, 300)
    rod.apply_transform(trimesh.transformations.rotation_matrix(np.pi / 2, (0, 1, 0)))
    both = trimesh.boolean.union([pipe, rod], engine="manifold")
    found = measured(np.concatenate([pipe.triangles, rod.triangles]))
    assert found.volume_m3 == approx(both.volume * 1e-9, rel=1e-5)


def bow_tie(length=1.0, width=3.0, height=0.85):
    """A prism on an outline that crosses itself: its two halves cancel except for their difference."""
    plan = np.array([(0, 0), (2 * width, 1.0), (2 * width, 0), (0, length)]) * 1000
    top, low = (np.column_stack([plan, np.full(4, z)]) for z in (height * 1000, 0.0))
    cap = np.array([(0, 1, 2), (0, 2, 3)])
    walls = [f for i in range(4) for j in [(i + 1) % 4] for f in ((low[i], low[j], top[j]), (low[i], top[j], top[i]))]
    return np.concatenate([top[cap], low[cap[:, ::-1]], np.array(walls)])


def test_a_mesh_that_passes_through_itself_is_refused_with_the_place(refused):
    told = refused(bow_tie())
    assert told.startswith("The surface passes through itself near (3000, 500, ")
    assert "mm. Unite the parts into one clean body" in told
    assert told.endswith("Unite the parts into one clean body in the modeler and export again.")


def test_a_dented_sphere_whose_dent_comes_out_at_the_back_is_refused(refused):
    facets = sphere(100, 4)
    dented = facets.copy()
    deep = facets[:, :, 2] > 70
    dented[:, :, 2] = np.where(deep, facets[:, :, 2] - 250 * (facets[:, :, 2] - 70) / 30, facets[:, :, 2])
    assert refused(dented).startswith("The surface passes through itself near (")


def test_a_dented_sphere_whose_dent_stays_inside_is_sound(measured):
    facets = sphere(100, 4)
    dented = facets.copy()
    deep = facets[:, :, 2] > 70
    dented[:, :, 2] = np.where(deep, facets[:, :, 2] - 130 * (facets[:, :, 2] - 70) / 30, facets[:, :, 2])
    assert note_texts(measured(dented).problems) == ()


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.tuples(*[st.integers(-100, 100)] * 3), min_size=2, max_size=4), st.integers(0, 2**32 - 1))
def test_random_bodies_measure_as_their_union(tmp_path, places, seed):
    # the union by a library of solid booleans is the check
    spread = np.random.default_rng(seed)
    solids = []
    for place in places:
        solid = trimesh.creation.icosphere(1, 80) if spread.random() < 0.3 else trimesh.creation.box((100, 60, 150))
        if spread.random() < 0.5:
            solid.apply_transform(trimesh.transformations.random_rotation_matrix(spread.random(3)))
        solid.apply_translation(place)
        solids.append(solid)
    true = trimesh.boolean.union(solids, engine="manifold").volume
    found = read_mesh(write_stl(tmp_path / "many.stl", np.concatenate([s.triangles for s in solids])), MM)
    assert found.volume_m3 == approx(true * 1e-9, rel=1e-4)


def test_bodies_are_counted_only_up_to_a_size_unless_asked(monkeypatch, measured):
    monkeypatch.setattr("geometry.mesh_file.EXAMINED_FACETS", 20)
    two = np.concatenate([BOX, BOX + 1000])
    assert measured(two).bodies is None
    assert measured(two, bodies=True).bodies == 2
    assert measured(two).volume_m3 == approx(measured(two, bodies=True).volume_m3, rel=1e-12)


# Faulty facets ------------------------------------------------------------------------------------------------


def test_zero_area_and_duplicate_facets_are_left_out_and_named(measured):
    point = np.repeat(BOX[:1, :1], 3, axis=1)
    found = measured(np.concatenate([BOX, BOX[3:5], point]))
    assert (found.volume_m3, found.surface_area_m2, found.facets) == (approx(0.006), approx(0.22), 15)
    assert note_texts(found.problems) == (
        "Left out 1 facet of zero area.",
        "Left out 2 facets that are there more than once.",
    )
    assert note_texts(measured(np.concatenate([BOX, point]), bodies=False).problems) == (
        "Left out 1 facet of zero area.",
        UNLOOKED,
    )


def test_an_edge_where_bodies_touch_is_named(measured):
    found = measured(np.concatenate([BOX, BOX + np.array([100, 200, 0])]))
    assert (found.volume_m3, found.bodies) == (approx(0.012), 2)
    assert note_texts(found.problems) == ("1 edge is shared by four or more facets, near (100, 200, 150) mm.",)


def test_an_inner_wall_that_facets_share_by_threes_is_refused(refused):
    wall = BOX[np.isclose(BOX[:, :, 0], 100).all(axis=1)]
    second = box(100, 200, 300, at=(100, 0, 0))
    second = second[~np.isclose(second[:, :, 0], 100).all(axis=1)]
    assert len(wall) == 2
    assert "Facets do not pair up at 4 edges near (100, " in refused(np.concatenate([BOX, second]))


def test_corners_that_nearly_meet_are_joined_and_reported(measured):
    facets = sphere(100)
    shaken = facets + np.random.default_rng(0).normal(0, 1e-5, facets.shape)
    found = measured(shaken)
    assert found.volume_m3 == approx(measured(facets).volume_m3, rel=1e-6)
    assert note_texts(found.problems) == ("Joined 3,186 corners nearer than 0.002 mm.",)


def test_a_skin_that_faces_both_ways_is_refused(refused):
    assert refused(np.concatenate([BOX, inside_out(BOX)])).startswith("Every facet is there twice")


def test_a_flat_closed_surface_is_refused(refused):
    facets = box(100, 200, 300)
    facets[:, :, 2] = 0
    kept = facets[np.linalg.norm(np.cross(facets[:, 1] - facets[:, 0], facets[:, 2] - facets[:, 0]), axis=1) > 0]
    fan = np.array([[kept[0, 0], kept[0, 1], kept[0, 2]], [kept[0, 0], kept[0, 2], kept[0, 1]]])
    assert "no volume" in refused(facets)
    assert "A skin has no volume" in refused(fan)


def test_a_corner_that_is_not_a_number_is_refused(refused):
    facets = BOX.copy()
    facets[5, 1, 2] = np.nan
    assert refused(facets) == "Facet 6 has a corner that is not a finite number. Export it again."
    facets[5, 1, 2] = np.inf
    assert refused(facets) == "Facet 6 has a corner that is not a finite number. Export it again."


# Openings -----------------------------------------------------------------------------------------------------

OPEN = np.delete(BOX, 3, axis=0)


def test_an_open_mesh_is_refused_with_the_place(refused):
    assert refused(OPEN) == (
        "3 open edges near (33.3, 66.7, 0) mm. The mesh encloses no volume. "
        'Close it in the modeler, or set repair = "fill" to fill flat holes and accept the change.'
    )


def test_a_flat_hole_is_filled_and_reported(measured):
    found = measured(OPEN, repair="fill")
    assert (found.volume_m3, found.closed) == (approx(0.006), True)
    assert note_texts(found.problems) == ("Filled 1 flat hole, 224 mm across, near (33.3, 66.7, 0) mm.",)


def test_a_concave_hole_with_an_island_is_filled_in_its_outline_alone(measured):
    ring = trimesh.creation.annulus(50, 100, 200)
    facets = np.asarray(ring.triangles)
    found = measured(facets[facets[:, :, 2].mean(axis=1) < 99.9], repair="fill")
    assert found.volume_m3 == approx(ring.volume * 1e-9, rel=1e-6)
    assert found.surface_area_m2 == approx(ring.area * 1e-6, rel=1e-6)
    assert note_texts(found.problems)[0].startswith("Filled 1 flat hole, ")


def test_a_seam_where_a_long_edge_meets_two_short_ones_is_a_slit_that_fill_closes(measured, refused):
    facet = BOX[0]
    middle = (facet[0] + facet[1]) / 2
    split = np.array([[facet[0], middle, facet[2]], [middle, facet[1], facet[2]]])
    seamed = np.concatenate([BOX[1:], split])
    assert refused(seamed).startswith("3 open edges near")
    assert measured(seamed, repair="fill").volume_m3 == approx(0.006)


def test_a_hole_that_is_not_flat_is_refused(refused):
    facets = sphere(100)
    cap = facets[:, :, 2].mean(axis=1) < 50
    assert refused(facets[cap], repair="fill") == (
        "The opening near (0, 0, 49.8) mm is not flat (by 7.3 mm), so it can't be filled. Close it in the modeler."
    )


def test_a_flat_rim_is_left_open_where_a_shell_is_wanted(tmp_path):
    facets = frustum(300, 400, 500)
    form = facets[~np.isclose(facets[:, :, 2], 500).all(axis=1)]
    found, vertices, faces = read_facets(write_stl(tmp_path / "form.stl", form), MM, rims=True)
    assert (found.closed, found.bodies, note_texts(found.problems)) == (False, 1, ())
    assert found.volume_m3 == approx(0.5 / 3 * 2 * (0.3**2 + 0.3 * 0.4 + 0.4**2), rel=1e-6)
    assert (len(faces), vertices.max()) == (len(form), approx(0.5))
    with refusal("open edges"):
        read_mesh(tmp_path / "form.stl", MM)
    turned, _, faces_turned = read_facets(write_stl(tmp_path / "turned.stl", inside_out(form)), MM, rims=True)
    assert note_texts(turned.problems) == ("Body 1 was inside out. It was turned.",)
    assert turned.volume_m3 == approx(found.volume_m3, rel=1e-12)
    assert len(faces_turned) == len(faces)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.data())
def test_a_damaged_mesh_has_the_true_volume_or_none(tmp_path, data):
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
        with refusal(r"3 open edges near \("):
            read_mesh(path, MM)
        assert read_mesh(path, MM, repair="fill").volume_m3 == approx(true, rel=1e-6)
    else:
        assert read_mesh(path, MM).volume_m3 == approx(true, rel=1e-6)
        assert read_mesh(path, MM).bodies == 3


@pytest.mark.parametrize("missing", [0, 3])
def test_a_facet_missing_from_a_flat_face_is_no_open_rim_of_a_shell(tmp_path, missing):
    path = write_stl(tmp_path / "torn.stl", np.delete(BOX, missing, axis=0))
    with pytest.raises(FaultError) as refusal:
        read_facets(path, MM, rims=True)
    assert "3 open edges near (" in words_of(refusal.value)
    assert "A part of a flat face is missing there" in words_of(refusal.value)
    found, _, faces = read_facets(path, MM, rims=True, repair="fill")
    assert (found.closed, len(faces), found.volume_m3) == (True, 12, approx(0.006))


# Files --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", ["obj", "ply", "3mf"])
@pytest.mark.parametrize("content", [b"", b"this is no mesh\n", bytes(500)])
def test_other_formats_refuse_what_they_cannot_read(tmp_path, kind, content):
    path = tmp_path / f"a.{kind}"
    path.write_bytes(content)
    with pytest.raises(FaultError) as refusal:
        read_mesh(path, MM)
    kinds = ("is empty", "has no facets", "holds no facets", "cannot be read as", "is not valid 3MF")
    assert any(note_texts in words_of(refusal.value) for note_texts in kinds)
    assert "\n" not in words_of(refusal.value)


@pytest.mark.parametrize("kind", ["obj", "ply", "3mf"])
@pytest.mark.parametrize("share", [0.3, 0.6, 0.9])
def test_a_truncated_file_is_refused(tmp_path, kind, share):
    path = tmp_path / f"a.{kind}"
    trimesh.creation.icosphere(2, 100).export(path)
    whole = path.read_bytes()
    path.write_bytes(whole[: int(share * len(whole))])
    with pytest.raises(FaultError):
        read_mesh(path, MM)


def three_mf(path, resources, build, unit="millimeter", others=()):
    """A 3MF package written by hand."""
    import zipfile

    names = 'xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02" xmlns:p="urn:p"'
    with zipfile.ZipFile(path, "w") as package:
        model = f'<model unit="{unit}" {names}><resources>{resources}</resources><build>{build}</build></model>'
        package.writestr("3D/3dmodel.model", model)
        for name, text in others:
            package.writestr(name, f'<model unit="{unit}" {names}><resources>{text}</resources><build/></model>')
    return path


def cube(number, size=10, kind="model"):
    """An object that is a cube."""
    solid = trimesh.creation.box((size, size, size))
    points = "".join(f'<vertex x="{x}" y="{y}" z="{z}"/>' for x, y, z in solid.vertices)
    facets = "".join(f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in solid.faces)
    mesh = f"<mesh><vertices>{points}</vertices><triangles>{facets}</triangles></mesh>"
    return f'<object id="{number}" type="{kind}">{mesh}</object>'


def test_components_shared_over_six_levels_all_count(tmp_path):
    # each level holds the one below twice: 2 ** 6 bodies
    levels = "".join(
        f'<object id="{n + 1}"><components><component objectid="{n}"/>'
        f'<component objectid="{n}" transform="1 0 0 0 1 0 0 0 1 {20 * 2 ** (n - 1)} 0 0"/></components></object>'
        for n in range(1, 7)
    )
    found = read_mesh(three_mf(tmp_path / "many.3mf", cube(1) + levels, '<item objectid="7"/>'), None)
    assert (found.bodies, found.volume_m3) == (64, approx(64e-6))
    assert found.size_m == approx(((63 * 20 + 10) * MM, 0.01, 0.01))


def test_supports_are_no_part_of_the_piece(tmp_path):
    resources = cube(1) + cube(2, 6, "support") + cube(3, 6, "other")
    build = '<item objectid="1"/><item objectid="2" transform="1 0 0 0 1 0 0 0 1 30 0 0"/><item objectid="3"/>'
    found = read_mesh(three_mf(tmp_path / "held.3mf", resources, build), None)
    assert (found.bodies, found.volume_m3) == (1, approx(1e-6))
    assert note_texts(found.problems) == ("Left out 1 object of type other.", "Left out 1 object of type support.")


def test_items_not_printed_and_objects_not_placed_are_left_out_and_counted(tmp_path):
    build = '<item objectid="1"/><item objectid="2" printable="0"/>'
    found = read_mesh(three_mf(tmp_path / "some.3mf", cube(1) + cube(2) + cube(3) + cube(4), build), None)
    assert (found.bodies, found.volume_m3) == (1, approx(1e-6))
    assert note_texts(found.problems) == (
        "Left out 1 item marked as not printed.",
        "Left out 2 objects that nothing places.",
    )


@pytest.mark.parametrize("levels", [20, 60])
def test_components_doubled_level_by_level_are_refused_before_they_are_placed(tmp_path, levels):
    # source: first principles: the tree of doubled parts has 2 ** (levels + 1) - 1 nodes
    doubled = "".join(
        f'<object id="{n + 1}"><components>{f"""<component objectid="{n}"/>""" * 2}</components></object>'
        for n in range(1, levels + 1)
    )
    parts = 2 ** (levels + 1) - 1
    counted = f"{parts:,}" if parts < 10**15 else r"2.30584e\+18"
    with refusal(f"The 3MF file unfolds to {counted} parts. At most 100,000 are read"):
        read_mesh(three_mf(tmp_path / "bomb.3mf", cube(1) + doubled, f'<item objectid="{levels + 1}"/>'), None)


def test_an_archive_of_blanks_is_refused_before_it_is_unpacked(tmp_path):
    import zipfile

    path = tmp_path / "blank.3mf"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as package, package.open("3D/3dmodel.model", "w") as part:
        for _ in range(40):
            part.write(b" " * 1_000_000)
    with refusal("The file unpacks to 1,025 times its size"):
        read_mesh(path, None)


def test_an_archive_with_a_damaged_part_is_refused(tmp_path):
    import zipfile

    path = tmp_path / "bad.3mf"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as package:
        package.writestr("3D/3dmodel.model", "".join(f"<{n}>" for n in range(2000)))
    whole = bytearray(path.read_bytes())
    whole[60:200] = bytes(range(140))
    path.write_bytes(whole)
    with refusal("The file cannot be read as ZIP"):
        read_mesh(path, None)


def test_a_mirrored_part_of_another_model_file_stands_where_it_is_placed(tmp_path):
    resources = '<object id="2"><components><component p:path="/3D/part.model" objectid="1"/></components></object>'
    build = '<item objectid="2" transform="-2 0 0 0 1 0 0 0 1 100 50 0"/>'
    path = three_mf(tmp_path / "part.3mf", resources, build, "inch", [("3D/part.model", cube(1))])
    found = read_mesh(path, None)
    assert found.volume_m3 == approx(2000 * 0.0254**3)
    assert found.centroid_m == approx((2.54, 1.27, 0), abs=1e-12)
    assert note_texts(found.problems) == ()


@pytest.mark.parametrize(
    ("resources", "refused_with"),
    [
        ('<object id="1"><components><component objectid="1"/></components></object>', "is a part of itself"),
        ("", "Object 1 is missing"),
        (cube(1, kind="support"), "holds no facets. Left out 1 object of type support"),
        (cube(1, kind="plinth"), 'Object 1 of the 3MF file has the type "plinth"'),
        (cube(1).replace('x="5.0"', 'x="1e200"'), "A coordinate is 1e\\+200"),
        (cube(1).replace('v1="0"', 'v1="99"'), "Object 1 names a corner that it does not have"),
        (cube(1).replace('x="5.0"', 'x="five"'), "cannot be read as 3MF"),
    ],
)
def test_an_invalid_3mf_is_refused(tmp_path, resources, refused_with):
    with refusal(refused_with):
        read_mesh(three_mf(tmp_path / "bad.3mf", resources, '<item objectid="1"/>'), None)


TETRAHEDRON = ((0, 0, 0), (10, 0, 0), (0, 10, 0), (0, 0, 10))
CORNERS = ((1, 3, 2), (1, 2, 4), (2, 3, 4), (1, 4, 3))


def obj_text(corner):
    """Two tetrahedra of 1000 / 6 mm³, 20 mm apart, each with its faces right below its vertices."""
    lines = []
    for body in range(2):
        lines += [f"v {x + 20 * body} {y} {z}" for x, y, z in TETRAHEDRON]
        lines += [f"f {' '.join(corner(body, number) for number in face)}" for face in CORNERS]
    return "\n".join(lines)


@pytest.mark.parametrize("corner", [lambda body, n: f"{4 * body + n}", lambda _, n: f"{n - 5}"])
def test_corners_counted_back_are_those_above_their_face(tmp_path, corner):
    # source: the OBJ format: -1 is the last vertex above the face
    path = tmp_path / "two.obj"
    path.write_text(obj_text(corner))
    found = read_mesh(path, MM)
    assert (found.bodies, found.volume_m3) == (2, approx(2e-6 / 6))
    assert note_texts(found.problems) == ()


@pytest.mark.parametrize("number", ["-5", "9", "9" * 30, "-" + "9" * 5000, "x"])
def test_a_missing_corner_is_refused(tmp_path, number):
    path = tmp_path / "bad.obj"
    path.write_text("\n".join([*(f"v {x} {y} {z}" for x, y, z in TETRAHEDRON), "f -4 -2 -3", f"f 1 2 {number}"]))
    with refusal("The file cannot be read as OBJ"):
        read_mesh(path, MM)


def test_faces_above_their_vertices_are_read(tmp_path):
    path = tmp_path / "above.obj"
    faces = [f"f {a} {b} {c}" for a, b, c in CORNERS]
    path.write_text("\n".join([*faces, *(f"v {x} {y} {z}" for x, y, z in TETRAHEDRON)]))
    assert read_mesh(path, MM).volume_m3 == approx(1e-6 / 6)


def test_an_unknown_file_extension_is_refused(tmp_path):
    with refusal(r'"\.fbx" is not a mesh format that can be read\. Give STL, OBJ'):
        read_mesh(tmp_path / "a.fbx", MM)
