"""Shells and coats against closed forms, within the tolerance that each states and never over 1 %."""

import numpy as np
import pytest
import shapely
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.errors import FaultError
from geometry.facets import index_facets, tally
from geometry.message import message
from geometry.outline import Outline
from geometry.plan import inside_plan
from geometry.plane import Region
from geometry.shape import measure
from geometry.shell import shell
from tests.geometry.sample_meshes import box, frustum, inside_out, sphere
from tests.refusal import words_of

approx = pytest.approx
CUBE = index_facets(box(1, 1, 1))


def turned(vertices, a=0.3, b=-0.8, c=1.1):
    return vertices @ trimesh.transformations.euler_matrix(a, b, c)[:3, :3].T + [5.0, -3.0, 2.0]


def without_top(facets):
    vertices, faces = index_facets(facets)
    return vertices, faces[~np.isclose(vertices[faces][:, :, 2], vertices[:, 2].max()).all(axis=1)]


def held(found, volume):
    """The volume is right within the stated tolerance, and that is within 1 %."""
    assert found.tolerance <= 0.01
    assert found.volume_m3 == approx(volume, rel=max(found.tolerance, 1e-3))


def test_a_closed_cube_has_its_closed_form():
    found = shell(*CUBE, 0.05)
    held(found, 1 - 0.9**3)
    assert (found.outer_area_m2, found.area_times_wall_m3) == (approx(6), approx(0.3))
    assert found.inner_area_m2 == approx(6 * 0.9**2, rel=0.01)
    assert found.surface_area_m2 == approx(6 + 6 * 0.9**2, rel=0.01)
    assert found.centroid_m == approx((0.5, 0.5, 0.5), abs=1e-6)
    # first principles: a cube of side a has a⁵/6
    assert np.diag(found.inertia_m5) == approx([(1 - 0.9**5) / 6] * 3, rel=5e-3)


@pytest.mark.parametrize("side", ["top", "bottom", "front", "back", "left", "right"])
def test_a_box_open_at_each_side_has_its_closed_form(side):
    found = shell(*CUBE, 0.05, side)
    hollow = 0.9 * 0.9 * 0.95
    held(found, 1 - hollow)
    assert found.outer_area_m2 == approx(5)
    assert found.inner_area_m2 == approx(0.81 + 4 * 0.9 * 0.95, rel=0.01)
    assert found.surface_area_m2 == approx(5 + 0.81 + 4 * 0.9 * 0.95 + 0.19, rel=0.01)
    axis = {"left": 0, "right": 0, "front": 1, "back": 1}.get(side, 2)
    high = side in ("right", "back", "top")
    centre = (0.5 - hollow * (0.525 if high else 0.475)) / (1 - hollow)
    assert found.centroid_m[axis] == approx(centre, rel=2e-3)
    assert found.centroid_m[axis - 1] == approx(0.5, abs=1e-4)


def test_an_open_rim_is_an_open_face_however_it_is_turned():
    vertices, faces = without_top(box(1, 1, 1))
    held(shell(vertices, faces, 0.05), 1 - 0.9 * 0.9 * 0.95)
    found = shell(turned(vertices), faces, 0.05)
    held(found, 1 - 0.9 * 0.9 * 0.95)
    level = (0.5 - 0.9 * 0.9 * 0.95 * 0.525) / (1 - 0.9 * 0.9 * 0.95)
    assert found.centroid_m == approx(turned(np.array([[0.5, 0.5, level]]))[0], abs=2e-3)
    assert found.outer_area_m2 == approx(5)


def inner_frustum(bottom, top, height, wall, sides):
    """Hollow of a regular frustum shell without its top: sides offset square to the slope, base by the wall."""
    half = np.cos(np.pi / sides)
    slope = (top - bottom) * half / height
    inset = wall * np.sqrt(1 + slope**2)
    area = [sides * np.tan(np.pi / sides) * (bottom * half + slope * z - inset) ** 2 for z in (wall, height)]
    return (height - wall) / 3 * (area[0] + np.sqrt(area[0] * area[1]) + area[1])


@pytest.mark.parametrize(("bottom", "top"), [(0.3, 0.4), (0.4, 0.3)], ids=["planter", "bottle"])
def test_a_planter_frustum_has_its_closed_form(bottom, top):
    vertices, faces = index_facets(frustum(bottom, top, 0.5))
    solid = 2 * 0.5 / 3 * (bottom**2 + bottom * top + top**2)
    found = shell(vertices, faces, 0.016, "top")
    held(found, solid - inner_frustum(bottom, top, 0.5, 0.016, 4))
    assert found.volume_m3 < 0.98 * found.area_times_wall_m3  # corners counted once


def test_a_cylinder_has_its_closed_form():
    sides, wall = 64, 0.05
    vertices, faces = index_facets(frustum(0.3, 0.3, 0.6, sides))
    solid = sides / 2 * np.sin(2 * np.pi / sides) * 0.3**2 * 0.6
    held(shell(vertices, faces, wall, "top"), solid - inner_frustum(0.3, 0.3, 0.6, wall, sides))


def test_a_sphere_has_its_closed_form():
    facets = sphere(0.25, 3)
    solid = tally(facets, np.zeros(3)).volume
    inscribed = np.linalg.norm(np.cross(facets[:, 1] - facets[:, 0], facets[:, 2] - facets[:, 0]), axis=1).sum() / 2
    inscribed = 3 * solid / inscribed  # mean distance of the facets from the center
    found = shell(*index_facets(facets), 0.04)
    assert found.tolerance <= 0.01
    # every facet moves in by the wall: the hollow is the solid scaled by (1 − wall / its distance)
    assert found.volume_m3 == approx(solid * (1 - (1 - 0.04 / inscribed) ** 3), rel=5e-3)


def test_a_dense_mesh_is_thinned_out_and_reported(monkeypatch):
    monkeypatch.setattr("geometry.shell._DENSE_FACETS", 1000)
    facets = sphere(0.25, 4)
    found = shell(*index_facets(facets), 0.06)
    assert found.notes == (message("shell-thinned", within_share=0.005),)
    assert found.volume_m3 == approx(4 / 3 * np.pi * (0.25**3 - 0.19**3), rel=0.01)


def test_inside_corners_are_round():
    # a cube less a corner cube: the three edges and the corner of the notch are reflex
    notched = trimesh.boolean.difference(
        [trimesh.Trimesh(*CUBE), trimesh.Trimesh(*index_facets(box(0.6, 0.6, 0.6, at=(0.5, 0.5, 0.5))))],
        engine="manifold",
    )
    w, side = 0.05, 0.5 - 0.05
    near_notch = side**3 + 3 * w * side**2 + 3 * np.pi * w**2 / 4 * side + np.pi * w**3 / 6
    held(
        shell(np.asarray(notched.vertices), np.asarray(notched.faces), w),
        (1 - 0.125) - ((1 - 2 * w) ** 3 - near_notch),
    )


def test_a_solid_and_an_open_shell_take_a_face_coat():
    assert shell(*CUBE, 0.01).volume_m3 == approx(1 - 0.98**3, rel=2e-3)
    assert shell(*CUBE, 0.01, "top").volume_m3 == approx(1 - 0.98**2 * 0.99, rel=2e-3)


def test_a_wall_that_leaves_no_hollow_makes_the_piece_solid():
    found = shell(*index_facets(box(1, 1, 0.05)), 0.03)
    assert found.volume_m3 == approx(0.05)
    assert found.notes == (message("shell-solid"),)


@settings(max_examples=5, deadline=None)
@given(st.floats(0.03, 0.2), st.tuples(*[st.floats(-3, 3)] * 3), st.floats(0.1, 10))
def test_turning_and_scaling_change_no_proportion(wall, angles, scale):
    vertices, faces = CUBE
    found = shell(turned(vertices, *angles) * scale, faces, wall * scale)
    assert found.volume_m3 / scale**3 == approx(1 - (1 - 2 * wall) ** 3, rel=5e-3)


# What cannot be a shell ---------------------------------------------------------------------------------------


def refusal(*arguments):
    with pytest.raises(FaultError) as raised:
        shell(*arguments)
    return words_of(raised.value), raised.value.key


def test_a_wall_must_be_positive():
    assert refusal(*CUBE, 0.0) == ("is 0.0 mm. It must be more than 0.", "wall")
    assert refusal(*CUBE, float("nan"))[1] == "wall"


def test_a_side_without_a_flat_face_cannot_be_open():
    assert refusal(*index_facets(sphere(0.25, 2)), 0.02, "top") == (
        "The mesh has no flat face at the top to leave out. "
        'Choose the side with the opening, or open = "none" for a closed shell.',
        "open",
    )


def test_a_rim_must_be_flat_and_bound_the_solid():
    vertices, faces = index_facets(sphere(0.25, 3))
    middles = vertices[faces].mean(axis=1)
    assert refusal(vertices, faces[middles[:, 2] < 0.1], 0.02)[0].startswith("The rim of the mesh is not flat (by ")
    cube = box(1, 1, 1)
    step = np.concatenate([cube, box(0.2, 0.2, 0.2, at=(0.4, 0.4, 1.0))])
    vertices, faces = index_facets(step)
    faces = np.delete(faces, np.flatnonzero(np.isclose(vertices[faces][:, :, 2], 1).all(axis=1))[:2], axis=0)
    assert refusal(vertices, faces, 0.02)[0].startswith("The mesh goes on 200 mm beyond its open rim.")


# Plane outlines -----------------------------------------------------------------------------------------------


def test_the_hollow_of_an_outline_is_a_true_offset():
    w = 0.05
    corner = Region.from_points([(0, 0), (1, 0), (1, 0.4), (0.4, 0.4), (0.4, 1), (0, 1)])
    hollow = inside_plan(corner, w)
    # square ends at outer corners, a quarter circle round the inside corner
    assert hollow.area_m2 == approx((1 - 2 * w) ** 2 - 0.36 + w**2 * (1 - np.pi / 4), rel=1e-4)
    ring = inside_plan(Region.circle(1.0), 0.1)
    assert ring.area_m2 == approx(np.pi * 0.4**2, rel=1e-3)


def test_a_wall_can_part_a_hollow_or_leave_none():
    waist = Region.from_points([(0, 0), (1, 0), (1, 1), (0.55, 0.5), (1, 2), (0, 2), (0.45, 0.5), (0, 1)])
    assert len(shapely.get_parts(inside_plan(waist, 0.1).polygon)) == 2
    assert inside_plan(Region.rectangle(1.0, 0.1), 0.05).polygon.is_empty
    with pytest.raises(FaultError, match="wall: not-positive"):
        measure(Outline(Region.rectangle(1.0, 0.1), 0.1, wall_m=-1.0))


def test_a_surface_that_bounds_no_solid_has_no_shell():
    vertices, facets = index_facets(inside_out(box(1.0, 0.5, 0.4)))
    with pytest.raises(FaultError, match="shell-no-solid"):
        shell(vertices, facets, 0.02)


@pytest.mark.parametrize("size", [(1.0, 0.6, 0.4), (0.9, 0.7, 0.3), (1.0, 1.0, 1.0), (1.2, 0.35, 0.3)])
@pytest.mark.parametrize("wall", [0.01, 0.05, 0.1, 0.13, 0.149])
def test_the_wall_of_a_box_has_its_closed_form(size, wall):
    # first principles; walls came out up to 1.9% too thin, with an error stated as 1e-9
    box = trimesh.creation.box(size)
    made = shell(np.asarray(box.vertices, dtype=float), np.asarray(box.faces), wall)
    exact = np.prod(size) - np.prod([side - 2 * wall for side in size])
    assert made.volume_m3 == pytest.approx(exact, rel=1e-3)


def test_a_wall_that_just_meets_itself_leaves_no_hollow():
    box = trimesh.creation.box((1.0, 0.6, 0.4))
    made = shell(np.asarray(box.vertices, dtype=float), np.asarray(box.faces), 0.2)
    assert "shell-solid" in [note.id for note in made.notes]
