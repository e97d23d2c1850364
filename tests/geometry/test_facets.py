"""Sums over facets against closed forms, and the check that a volume is defined."""

from itertools import product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.facets import boundary_sum, tally, tally_blocks, vertex_hashes
from tests.geometry.sample_meshes import box, inside_out, sphere, torus

approx = pytest.approx

ORIGIN = np.zeros(3)
TETRAHEDRON = np.array([[0.0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1]])[[[0, 2, 1], [0, 1, 3], [1, 2, 3], [0, 3, 2]]]


def test_a_tetrahedron_has_its_closed_form():
    # first principles: V = 1/6, centroid 1/4; ∫x² about the origin 1/60, ∫xy 1/120
    found = tally(TETRAHEDRON, ORIGIN)
    assert found.closed
    assert found.volume == approx(1 / 6, rel=1e-15)
    assert found.area == approx(1.5 + np.sqrt(3) / 2, rel=1e-15)
    assert found.centroid == approx([0.25] * 3, rel=1e-15)
    assert found.second == approx(np.full((3, 3), 1 / 120) + np.eye(3) / 120, rel=1e-14)
    # the inertia about an axis through the centroid: ∫(y² + z²) − V (2/16) = 2/60 − 1/48
    assert np.diag(found.inertia) == approx([2 / 60 - 1 / 48] * 3, rel=1e-13)


def test_box_inertia_is_taken_about_the_centroid_wherever_the_box_lies():
    found = tally(box(2, 3, 4, at=(50, -70, 90)), np.array([50.0, -70, 90]))
    # first principles: m (b² + c²) / 12
    assert np.diag(found.inertia) == approx([24 * (9 + 16) / 12, 24 * (4 + 16) / 12, 24 * (4 + 9) / 12], rel=1e-12)
    assert found.inertia - np.diag(np.diag(found.inertia)) == approx(np.zeros((3, 3)), abs=1e-10)


def test_a_torus_tends_to_pappus():
    # source: second theorem of Pappus, V = 2π² R r², A = 4π² R r; a regular grid converges with its square
    coarse, fine = (tally(torus(0.5, 0.2, 4 * n, n), ORIGIN) for n in (64, 128))
    assert (4 * fine.volume - coarse.volume) / 3 == approx(2 * np.pi**2 * 0.5 * 0.2**2, rel=1e-6)
    assert (4 * fine.area - coarse.area) / 3 == approx(4 * np.pi**2 * 0.5 * 0.2, rel=1e-6)


def test_an_ellipsoid_tends_to_its_closed_form():
    axes = np.array([0.9, 0.5, 0.3])
    coarse, fine = (tally(sphere(1.0, k) * axes, ORIGIN) for k in (5, 6))
    volume = (4 * fine.volume - coarse.volume) / 3
    assert volume == approx(4 / 3 * np.pi * axes.prod(), rel=1e-6)
    # first principles: I_xx = V (b² + c²) / 5
    inertia = (4 * fine.inertia - coarse.inertia) / 3
    assert inertia[0, 0] == approx(4 / 3 * np.pi * axes.prod() * (0.25 + 0.09) / 5, rel=1e-5)


def test_a_far_origin_costs_no_precision():
    near, far = sphere(0.1), sphere(0.1, at=(4096.0, -8192.0, 1024.0))
    assert tally(far, far[0, 0]).volume == approx(tally(near, near[0, 0]).volume, rel=1e-9)


@given(st.floats(-np.pi, np.pi), st.floats(-np.pi, np.pi), st.tuples(*[st.floats(-100, 100)] * 3), st.floats(0.01, 100))
def test_volume_is_invariant_under_rotation_and_translation_and_scales_with_the_cube(a, b, shift, scale):
    facets = torus(0.5, 0.2, 12, 8)
    turn_a = np.array([[np.cos(a), -np.sin(a), 0], [np.sin(a), np.cos(a), 0], [0, 0, 1]])
    turn_b = np.array([[1, 0, 0], [0, np.cos(b), -np.sin(b)], [0, np.sin(b), np.cos(b)]])
    base, moved = tally(facets, ORIGIN), facets @ (turn_a @ turn_b).T * scale + shift
    found = tally(moved, moved[0, 0])
    assert found.volume == approx(base.volume * scale**3, rel=1e-9)
    assert found.area == approx(base.area * scale**2, rel=1e-9)
    assert np.linalg.eigvalsh(found.inertia) == approx(np.linalg.eigvalsh(base.inertia) * scale**5, rel=1e-8)


@given(st.integers(1, 40), st.randoms(use_true_random=False))
def test_sums_do_not_depend_on_blocks_sequence_or_triangulation(size, random):
    facets = list(torus(0.5, 0.2, 6, 5))
    whole = tally(np.array(facets), ORIGIN)
    random.shuffle(facets)
    cut = facets.pop()  # split one facet in three about a point in it
    middle = cut.mean(axis=0)
    facets += [np.array([cut[i], cut[(i + 1) % 3], middle]) for i in range(3)]
    blocks = [np.array(facets[i : i + size]) for i in range(0, len(facets), size)]
    found = tally_blocks(blocks, ORIGIN)
    assert found.closed
    assert found.facets == whole.facets + 2
    assert found.volume == approx(whole.volume, rel=1e-12)
    assert found.area == approx(whole.area, rel=1e-12)
    assert found.inertia == approx(whole.inertia, rel=1e-12, abs=1e-15)


@pytest.mark.parametrize("facet", [0, 77])
def test_a_missing_turned_or_doubled_facet_is_not_closed(facet):
    facets = sphere(1.0, 2)
    turned = facets.copy()
    turned[facet] = turned[facet, ::-1]
    assert tally(facets, ORIGIN).closed
    assert not tally(np.delete(facets, facet, axis=0), ORIGIN).closed
    assert not tally(turned, ORIGIN).closed
    assert not tally(np.concatenate([facets, facets[facet : facet + 1]]), ORIGIN).closed
    assert tally(inside_out(facets), ORIGIN).closed


def test_a_symmetric_opening_is_found():
    # two holes whose edges mirror each other must not cancel
    facets = box(2, 2, 2, at=(-1, -1, -1))
    assert not tally(facets[np.abs(facets[:, :, 2].mean(axis=1)) < 1], ORIGIN).closed


def test_minus_zero_is_zero():
    facets = box(2, 2, 2, at=(-1, -1, 0))
    facets[::2][facets[::2] == 0] = -0.0
    assert tally(facets, ORIGIN).closed


@pytest.mark.parametrize("kind", [np.float32, np.float64])
def test_no_two_of_a_million_likely_neighbors_share_a_hash(kind):
    # mirrored points one rounding step apart and regular grids: what a sum of products lets collide
    base = np.random.default_rng(1).normal(0, 100, (10_000, 3)).astype(kind)
    near = [base, np.nextafter(base, kind(np.inf)), np.nextafter(base, kind(-np.inf))]
    mirrored = [points * np.array(signs, kind) for points in near for signs in product((1, -1), repeat=3)]
    steps = np.arange(-32, 32).astype(kind)
    grid = np.stack(np.meshgrid(steps, steps, steps), axis=-1).reshape(-1, 3)
    points = np.concatenate([*mirrored, grid, grid * kind(0.1) + kind(500)]).astype(np.float64) + 0.0
    different = len(np.unique(points, axis=0))
    assert different > 700_000
    assert len(np.unique(vertex_hashes(np.ascontiguousarray(points.T)))) == different


def test_facets_with_two_equal_corners_neither_open_nor_close():
    flat = np.repeat(np.random.default_rng(0).random((50, 1, 3)), 3, axis=1)
    flat[:, 2] += 1.0
    found = tally(np.concatenate([sphere(1.0, 1), flat]), ORIGIN)
    assert found.closed
    assert found.flat == 50


def test_boundary_of_one_facet_is_not_zero():
    assert boundary_sum(np.ascontiguousarray(TETRAHEDRON[:1].transpose(2, 1, 0))) != 0
