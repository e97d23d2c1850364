"""A mesh as a piece: solid or shell, and its layers."""

import numpy as np
import pytest

from geometry.errors import FaultError
from geometry.mesh_file import read_facets
from geometry.shape import layer_parts, measure
from geometry.shapes import MeshBody
from tests.geometry.sample_meshes import box, write_stl
from tests.refusal import refusal, words_of

approx = pytest.approx


@pytest.fixture
def body(tmp_path):
    """A box of 1 m as a mesh body."""

    def make(rim=False, **options):
        facets = box(1000, 1000, 1000)
        if rim:
            facets = facets[~np.isclose(facets[:, :, 2], 1000).all(axis=1)]
        measured, vertices, faces = read_facets(write_stl(tmp_path / "box.stl", facets), 0.001, rims=rim)
        return MeshBody(measured, vertices, faces, **options)

    return make


def test_a_solid_body_equals_its_measured_mesh(body):
    found = measure(body())
    assert (found.volume_m3, found.surface_area_m2, found.form_area_m2) == (approx(1), approx(6), approx(6))
    assert (found.tolerance, found.notes) == (0.0, ())


@pytest.mark.parametrize("rim", [False, True])
def test_a_shell_states_what_area_times_wall_would_give(body, rim):
    found = measure(body(rim=rim, wall_m=0.05, open="none" if rim else "top"))
    assert found.volume_m3 == approx(1 - 0.9 * 0.9 * 0.95, rel=2e-3)
    assert found.form_area_m2 == approx(5)
    assert found.finished_area_m2 == approx(5.19, rel=5e-3)
    assert found.size_m == approx((1, 1, 1))
    values = dict(found.notes[-1].values)
    assert found.notes[-1].id == "shell-offset"
    assert values["volume_m3"] == pytest.approx(0.2304, abs=0.0005)
    assert (values["plain_m3"], values["more"]) == (pytest.approx(0.25), "+8.5%")


def test_layers_of_a_shell_add_up_to_its_volume_and_center_of_gravity(body):
    planter = body(wall_m=0.05, open="top")
    whole, parts = measure(planter), layer_parts(planter, [0.01, None])
    assert parts[0].volume_m3 == approx(1 - 0.98**2 * 0.99, rel=2e-3)
    assert parts[0].area_m2 == approx(5)
    assert sum(part.volume_m3 for part in parts) == approx(whole.volume_m3, rel=1e-12)
    moment = sum(part.volume_m3 * np.array(part.centroid_m) for part in parts)
    assert moment / whole.volume_m3 == approx(whole.centroid_m, rel=1e-9)
    assert layer_parts(planter, [None, 0.04])[0].volume_m3 == approx(parts[0].volume_m3, rel=1e-9)


@pytest.mark.parametrize("rim", [False, True])
def test_a_coat_on_all_faces_of_a_shell_is_on_its_inside_and_rim_as_well(body, rim):
    planter = body(rim=rim, wall_m=0.05, open="none" if rim else "top")
    coat, core = layer_parts(planter, [0.005, None], "all")
    # what the coat leaves: between boxes 5 mm inside the outer one and 5 mm outside the hollow, 5 mm below the rim
    left = 0.99**2 * 0.99 - 0.91**2 * 0.95
    assert core.volume_m3 == approx(left, rel=2e-3)
    whole = measure(planter)
    assert coat.volume_m3 == approx(1 - 0.9 * 0.9 * 0.95 - left, rel=1e-2)
    assert coat.area_m2 == whole.surface_area_m2
    centre = (0.99**3 * 0.5 - 0.91**2 * 0.95 * 0.52) / left
    assert core.centroid_m == approx((0.5, 0.5, centre), abs=1e-3)


def test_the_last_layer_of_a_solid_takes_the_rest(body):
    parts = layer_parts(body(), [0.01, 0.02, None], "all")
    assert [part.volume_m3 for part in parts] == approx([1 - 0.98**3, 0.98**3 - 0.94**3, 0.94**3], rel=5e-3)


@pytest.mark.parametrize(
    ("thicknesses", "faces", "message"),
    [
        ([0.02, 0.02], "form", "add up to 40 mm, but the piece is 50 mm thick."),
        ([0.03, None], "all", "reach 30 mm from both sides into a wall of 50 mm."),
    ],
)
def test_layers_that_do_not_fit_the_wall_are_refused(body, thicknesses, faces, message):
    with pytest.raises(FaultError) as refusal:
        layer_parts(body(wall_m=0.05), thicknesses, faces)
    assert words_of(refusal.value).startswith(message)
    assert refusal.value.key == "layers"


def test_layers_that_fill_a_solid_leave_nothing_for_the_last(body):
    with refusal("reach 600 mm and fill it"):
        layer_parts(body(), [0.6, None])


def test_an_open_mesh_is_no_solid_and_distances_need_its_facets(body):
    with refusal("The mesh is open at its rim"):
        measure(body(rim=True))
    with refusal("The facets of the mesh were not kept"):
        measure(MeshBody(body().measure, wall_m=0.05))
