"""Columns must hold the figures that each piece gets alone."""

from math import pi

import hypothesis.strategies as st
import numpy as np
import pytest
from hypothesis import given, settings

from geometry.errors import FaultError
from geometry.schedule import measure_many
from geometry.shape import measure
from geometry.shapes import Box, CircleCutout, DropEdge, Panel, Return, Revolution, Slab

length = st.floats(0.3, 3.0)
thin = st.floats(0.01, 0.03)


@st.composite
def slabs(draw):
    sides = draw(st.lists(st.sampled_from(["front", "back", "left", "right"]), unique=True))
    drops = tuple(
        DropEdge((side,), draw(st.sampled_from([0.05, 0.08, 0.1])), draw(st.floats(0.02, 0.1))) for side in sides
    )
    return Slab(draw(length), draw(length), draw(thin), drop_edges=drops)


@st.composite
def panels(draw):
    sides = draw(st.lists(st.sampled_from(["bottom", "top", "left", "right"]), unique=True))
    depth = draw(st.floats(0.04, 0.1))
    return Panel(
        draw(length), draw(length), draw(thin), tuple(Return((s,), depth, draw(st.floats(0.02, 0.1))) for s in sides)
    )


@st.composite
def boxes(draw):
    return Box(draw(length), draw(length), draw(length), draw(thin), draw(thin), open=draw(st.booleans()))


@given(st.lists(st.one_of(slabs(), panels(), boxes()), min_size=1, max_size=4), st.booleans())
@settings(max_examples=40, deadline=None)
def test_a_row_is_what_the_piece_is_alone(shapes, layered):
    layers = [0.004, None] if layered else None
    rows = measure_many(shapes, layers)
    for row, shape in enumerate(shapes):
        alone, here = shape.solid_by_slices(), rows[row][0]  # the slow form, of slices, is the oracle
        for name in ("volume_m3", "surface_area_m2", "form_area_m2", "finished_area_m2"):
            assert getattr(here, name) == pytest.approx(getattr(alone, name), rel=1e-9), name
        assert here.centroid_m == pytest.approx(alone.centroid_m, rel=1e-9)
        assert here.size_m == pytest.approx(alone.size_m)
        assert np.array(here.inertia_m5) == pytest.approx(
            np.array(alone.inertia_m5), rel=1e-9, abs=1e-12 * np.trace(alone.inertia_m5)
        )
        assert here.edge_lengths_m == pytest.approx(alone.edge_lengths_m)
        if layered:
            for mine, theirs in zip(rows[row][1], shape.layers_by_distance([0.004, None], "form"), strict=True):
                assert mine.volume_m3 == pytest.approx(theirs.volume_m3, rel=1e-7)
                assert mine.centroid_m == pytest.approx(theirs.centroid_m, rel=1e-6)
                assert mine.area_m2 == pytest.approx(theirs.area_m2, rel=1e-9)


def test_odd_rows_stand_among_plain_ones_with_layers_of_their_own():
    shapes = [
        Slab(1.0, 0.6, 0.02),
        Slab(1.0, 0.6, 0.02, cutouts=(CircleCutout(0.2, 0.5, 0.3),)),
        Revolution(((0, 0), (0.3, 0), (0, 0.4))),
        Panel(1.0, 0.6, 0.01, returns=(Return(("left",), 0.05, 0.02), Return(("top",), 0.08, 0.02))),
    ]
    rows = measure_many(shapes, [[0.005, 0.01, None], [None], [0.01, None], [0.003, None]])
    volumes = [solid.volume_m3 for solid, _ in rows]
    assert volumes == pytest.approx([measure(shape).volume_m3 for shape in shapes], rel=1e-12)
    assert volumes[2] == pytest.approx(pi * 0.09 * 0.4 / 3)
    assert [len(parts) for _, parts in rows] == [3, 1, 2, 2]
    assert [sum(part.volume_m3 for part in parts) for _, parts in rows] == pytest.approx(volumes, rel=1e-12)
    assert "finished_cutouts" in rows[1][0].edge_lengths_m


def test_the_first_row_that_cannot_be_built_is_named():
    with pytest.raises(FaultError) as refused:
        measure_many([Slab(1.0, 0.6, 0.02), Box(1.0, 0.6, 0.5, 0.3, 0.02)])
    assert refused.value.key == "[1].wall"
    with pytest.raises(FaultError) as refused:
        measure_many([Slab(1.0, 0.6, 0.02), Slab(1.0, 0.6, 0.01)], [0.005, 0.015])
    assert refused.value.key == "[1].layers"


def test_a_row_has_the_kinds_of_edge_of_its_own_shape_alone():
    slab, bowl = Slab(1.0, 0.6, 0.02), Revolution(((0, 0), (0.3, 0), (0, 0.4)))
    rows = measure_many([slab, bowl])
    for row, shape in enumerate([slab, bowl]):
        assert rows[row][0].edge_lengths_m.keys() == measure(shape).edge_lengths_m.keys()
