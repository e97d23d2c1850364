"""Facets that pierce each other: found in any position, and not where surfaces only touch."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.bodies import crossings, winding_number
from geometry.facets import bodies_of, edges_of, index_facets
from tests.geometry.sample_meshes import box, sphere, torus


def crossings_of(facets, slack=1e-3):
    vertices, faces = index_facets(np.asarray(facets))
    return crossings(vertices, faces, bodies_of(faces, edges_of(faces)), slack)


def plain(facets):
    """Whether any edge pierces a facet it shares no corner with, every edge tried against every facet."""
    facets = np.asarray(facets)
    starts, ends = facets.reshape(-1, 3), facets[:, [1, 2, 0]].reshape(-1, 3)
    for a, b, c in facets:
        normal = np.cross(b - a, c - a)
        u, v = (starts - a) @ normal, (ends - a) @ normal
        through = u * v < 0
        shared = [(facets == corner).all(axis=-1).any(axis=1) for corner in (a, b, c)]
        through &= ~np.repeat(np.logical_or.reduce(shared), 3)
        at = starts[through] + (u / np.where(through, u - v, 1))[through, None] * (ends - starts)[through]
        sides = [np.einsum("nc,c->n", np.cross(q - p, at - p), normal) for p, q in ((a, b), (b, c), (c, a))]
        if (np.min(sides, axis=0) > 0).any():
            return True
    return False


def test_a_sound_mesh_has_no_crossings():
    assert len(crossings_of(torus(500, 200, 60, 40)).places) == 0


def test_the_place_is_where_the_surfaces_meet():
    places = crossings_of(np.concatenate([sphere(100), sphere(100, at=(150, 0, 0))])).places
    assert len(places)
    assert np.allclose(np.linalg.norm(places, axis=1), 100, atol=1.5)
    assert np.allclose(np.linalg.norm(places - [150, 0, 0], axis=1), 100, atol=1.5)


@settings(max_examples=80, deadline=None)
@given(st.tuples(*[st.floats(-150, 150)] * 3), st.integers(0, 2**32 - 1))
def test_two_turned_bodies_agree_with_trying_all_pairs(at, seed):
    turn, _ = np.linalg.qr(np.random.default_rng(seed).normal(size=(3, 3)))
    both = np.concatenate([sphere(90, 1), (box(100, 80, 120) - [50, 40, 60]) @ turn + at])
    assert (len(crossings_of(both, 1e-9).places) > 0) == plain(both)


@pytest.mark.parametrize("shift", [0.0, 1e-4, 40.0])
def test_surfaces_that_touch_in_a_face_do_not_cross(shift):
    assert len(crossings_of(np.concatenate([box(100, 100, 100), box(100, 100, 100, at=(100, shift, 0))])).places) == 0


def test_the_winding_number_of_a_hollow_is_zero():
    shell = np.concatenate([box(1, 1, 1), box(0.5, 0.5, 0.5, at=(0.25, 0.25, 0.25))[:, ::-1]])
    inside = [winding_number(np.array(point), shell) for point in ((0.1, 0.2, 0.3), (0.5, 0.4, 0.6), (2.0, 0.5, 0.5))]
    assert inside == pytest.approx([1, 0, 0], abs=1e-12)
