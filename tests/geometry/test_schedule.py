"""Columns hold the figures that each piece has alone."""

import re
from math import pi

import hypothesis.strategies as st
import numpy as np
import pytest
from hypothesis import given, settings

from geometry.errors import FaultError
from geometry.schedule import measure_many
from geometry.shape import measure
from geometry.shapes import (
    Box,
    CircleCutout,
    DropEdge,
    EllipseCutout,
    Panel,
    PanelOpening,
    RectangleCutout,
    Return,
    Revolution,
    Slab,
)

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
def test_a_row_has_the_figures_of_the_piece_alone(shapes, layered):
    layers = [0.004, None] if layered else None
    rows = measure_many(shapes, layers)
    for row, shape in enumerate(shapes):
        alone, here = shape.solid_by_slices(), rows[row].solid  # the slow form, of slices, is the oracle
        for name in ("volume_m3", "surface_area_m2", "form_area_m2", "finished_area_m2"):
            assert getattr(here, name) == pytest.approx(getattr(alone, name), rel=1e-9), name
        assert here.centroid_m == pytest.approx(alone.centroid_m, rel=1e-9)
        assert here.size_m == pytest.approx(alone.size_m)
        assert np.array(here.inertia_m5) == pytest.approx(
            np.array(alone.inertia_m5), rel=1e-9, abs=1e-12 * np.trace(alone.inertia_m5)
        )
        assert here.edge_lengths_m == pytest.approx(alone.edge_lengths_m)
        if layered:
            for mine, theirs in zip(rows[row].layers, shape.layers_by_distance([0.004, None], "form"), strict=True):
                assert mine.volume_m3 == pytest.approx(theirs.volume_m3, rel=1e-7)
                assert mine.centroid_m == pytest.approx(theirs.centroid_m, rel=1e-6)
                assert mine.area_m2 == pytest.approx(theirs.area_m2, rel=1e-9)


def test_odd_rows_may_stand_among_plain_ones_with_layers_of_their_own():
    shapes = [
        Slab(1.0, 0.6, 0.02),
        Slab(1.0, 0.6, 0.02, cutouts=(CircleCutout(0.2, 0.5, 0.3),)),
        Revolution(((0, 0), (0.3, 0), (0, 0.4))),
        Panel(1.0, 0.6, 0.01, returns=(Return(("left",), 0.05, 0.02), Return(("top",), 0.08, 0.02))),
    ]
    rows = measure_many(shapes, [[0.005, 0.01, None], [None], [0.01, None], [0.003, None]])
    volumes = [row.solid.volume_m3 for row in rows]
    assert volumes == pytest.approx([measure(shape).volume_m3 for shape in shapes], rel=1e-12)
    assert volumes[2] == pytest.approx(pi * 0.09 * 0.4 / 3)
    assert [len(row.layers) for row in rows] == [3, 1, 2, 2]
    sums = [sum(part.volume_m3 for part in row.layers) for row in rows]
    assert sums == pytest.approx(volumes, rel=1e-12)
    assert "finished_cutouts" in rows[1].solid.edge_lengths_m
    assert rows[1].plan.net_m2 == pytest.approx(0.6 - pi * 0.01, rel=1e-12)


def test_a_refused_row_stands_beside_the_measures_of_the_others():
    slab, crowded = Slab(1.0, 0.6, 0.02), Box(1.0, 0.6, 0.5, 0.3, 0.02)
    outside = Slab(1.0, 0.6, 0.02, cutouts=(RectangleCutout(0.3, 0.2, 0.8, 0.1),))
    first, wall, cutout, last = measure_many([slab, crowded, outside, slab])
    assert isinstance(wall, FaultError)
    assert isinstance(cutout, FaultError)
    assert (wall.key, cutout.key) == ("wall", "cutouts[0].x")
    assert first == last
    assert first.solid == measure(slab)
    first, layers = measure_many([slab, Slab(1.0, 0.6, 0.01)], [0.005, 0.015])
    assert layers.key == "layers"
    assert sum(part.volume_m3 for part in first.layers) == pytest.approx(0.6 * 0.02)


def test_a_row_has_only_the_kinds_of_edge_of_its_own_shape():
    slab, bowl = Slab(1.0, 0.6, 0.02), Revolution(((0, 0), (0.3, 0), (0, 0.4)))
    rows = measure_many([slab, bowl])
    for row, shape in enumerate([slab, bowl]):
        assert rows[row].solid.edge_lengths_m.keys() == measure(shape).edge_lengths_m.keys()


def test_rows_of_one_shape_and_layers_share_one_measure():
    rows = measure_many(
        [Slab(1.0, 0.6, 0.02), Slab(1.0, 0.6, 0.02), Slab(1.0, 0.6, 0.02)], [[None], [0.003, None], [None]]
    )
    assert rows[0] is rows[2]
    assert rows[0].solid == rows[1].solid
    assert len(rows[1].layers) == 2


# Openings of slabs

QUARTERS = [(0.1, 0.1), (0.7, 0.1), (0.1, 0.6), (0.7, 0.6)]  # lower left corners, clear of drops up to 60 mm


@st.composite
def cutouts(draw, at, curved):
    """A cutout 0.02 to 0.4 m across within 0.4 m of its corner, finished or raw."""
    x, y = at
    finish = {
        "edge": draw(st.sampled_from(["finished", "raw"])),
        "depth_m": draw(st.sampled_from([None, 0.004, 0.015])),
    }
    rim = draw(st.sampled_from([{}, {}, {"rim_thickness_m": draw(st.floats(0.03, 0.05)), "rim_width_m": 0.02}]))
    if curved and draw(st.booleans()):
        size = draw(st.floats(0.02, 0.4))
        return CircleCutout(size, x + size / 2, y + size / 2, **finish)
    along, across = draw(st.floats(0.02, 0.4)), draw(st.floats(0.02, 0.4))
    if not curved:
        return RectangleCutout(along, across, x, y, **finish, **rim)
    radius = draw(st.floats(0.0, 0.5)) * min(along, across)
    return RectangleCutout(along, across, x, y, radius, **finish)


@st.composite
def cut_slabs(draw, curved):
    """A slab with one to four cutouts, drops and coats, all clear of each other."""
    sides = draw(st.lists(st.sampled_from(["front", "back", "left", "right"]), unique=True))
    drops = tuple(
        DropEdge((side,), draw(st.sampled_from([0.05, 0.08, 0.1])), draw(st.floats(0.02, 0.06))) for side in sides
    )
    places = draw(st.lists(st.sampled_from(QUARTERS), min_size=1, unique=True))
    slab = Slab(1.25, 1.15, draw(st.floats(0.02, 0.03)), tuple(draw(cutouts(at, curved)) for at in places), drops)
    coats = draw(st.sampled_from([[None], [0.003, None], [None, 0.012], [0.003, 0.005, None]]))
    return slab, coats


@st.composite
def cut_panels(draw):
    """A panel with one to four openings, round or not, and returns of one depth, all clear of each other."""
    sides = draw(st.lists(st.sampled_from(["bottom", "top", "left", "right"]), unique=True))
    depth = draw(st.sampled_from([0.05, 0.08]))
    returns = tuple(Return((side,), depth, draw(st.floats(0.02, 0.06))) for side in sides)
    places = draw(st.lists(st.sampled_from(QUARTERS), min_size=1, unique=True))
    openings = tuple(PanelOpening(draw(cutouts(at, curved=True))) for at in places)
    panel = Panel(1.25, 1.15, draw(st.floats(0.02, 0.03)), returns, openings=openings)
    return panel, draw(st.sampled_from([[None], [0.003, None], [None, 0.012], [0.003, 0.005, None]]))


def agrees(slab, coats, *, layers_to):
    (row,) = measure_many([slab], coats)
    assert slab.block([slab], [tuple(coats)]).sound[0], "columns cover it"
    alone = slab.solid_by_slices()
    for name in ("volume_m3", "surface_area_m2", "form_area_m2", "finished_area_m2"):
        assert getattr(row.solid, name) == pytest.approx(getattr(alone, name), rel=1e-12), name
    assert row.solid.centroid_m == pytest.approx(alone.centroid_m, rel=1e-12)
    assert np.array(row.solid.inertia_m5) == pytest.approx(
        np.array(alone.inertia_m5), rel=1e-12, abs=1e-12 * np.trace(alone.inertia_m5)
    )
    assert row.solid.edge_lengths_m == pytest.approx(alone.edge_lengths_m, rel=1e-12)
    assert (row.solid.notes, row.solid.tolerance) == (alone.notes, alone.tolerance)
    assert row.solid.size_m == pytest.approx(alone.size_m, rel=1e-12)
    plan = slab.plan_area()
    assert (row.plan.gross_m2, row.plan.net_m2) == pytest.approx((plan.gross_m2, plan.net_m2), rel=1e-12)
    for mine, theirs in zip(row.layers, slab.layers_by_distance(coats, "form"), strict=True):
        assert mine.volume_m3 == pytest.approx(theirs.volume_m3, rel=layers_to)
        assert mine.centroid_m == pytest.approx(theirs.centroid_m, rel=layers_to)
        assert mine.area_m2 == pytest.approx(theirs.area_m2, rel=1e-12)


@given(cut_slabs(curved=False))
@settings(max_examples=30, deadline=None)
def test_sharp_openings_in_columns_agree_with_slices(case):
    # Columns turn round a corner exactly, slices in straight pieces.
    agrees(*case, layers_to=1e-6)


@given(cut_slabs(curved=True))
@settings(max_examples=30, deadline=None)
def test_rounded_openings_in_columns_agree_with_slices(case):
    # The slices offset a curve in straight pieces, which leaves them some hundred-thousandths of a thin layer.
    agrees(*case, layers_to=1e-4)


@given(cut_panels())
@settings(max_examples=30, deadline=None)
def test_openings_of_panels_in_columns_agree_with_slices(case):
    # a panel is not cast against their edges, so no layer turns round them
    agrees(*case, layers_to=1e-12)


@pytest.mark.parametrize(
    ("cutout", "area_m2"),
    [
        (CircleCutout(0.2, 0.5, 0.3), pi * 0.104**2),
        (RectangleCutout(0.3, 0.2, 0.4, 0.2), 0.3 * 0.2 + 2 * 0.5 * 0.004 + pi * 0.004**2),
        (RectangleCutout(0.3, 0.2, 0.4, 0.2, 0.05), 0.308 * 0.208 - (4 - pi) * 0.054**2),
    ],
)
def test_the_coat_round_an_opening_is_its_exact_offset(cutout, area_m2):
    # first principles: the backer misses the opening and 4 mm round it, below the 4 mm of the top coat
    plain = measure_many([Slab(1.0, 0.6, 0.02)], [0.004, None])[0].layers[1].volume_m3
    core = measure_many([Slab(1.0, 0.6, 0.02, (cutout,))], [0.004, None])[0].layers[1].volume_m3
    assert plain - core == pytest.approx(area_m2 * 0.016, rel=1e-12)


@pytest.mark.parametrize(
    ("slab", "coats"),
    [
        (Slab(1.0, 0.6, 0.02, (RectangleCutout(0.3, 0.2, 0.0, 0.1),)), [None]),  # flush with the edge
        (Slab(1.0, 0.6, 0.02, (RectangleCutout(0.3, 0.2, 0.004, 0.1),)), [0.003, None]),  # a rail that is coat alone
        (Slab(1.0, 0.6, 0.02, (RectangleCutout(0.3, 0.2, 0.1, 0.1), CircleCutout(0.1, 0.4, 0.2))), [None]),  # overlap
        (Slab(1.0, 0.6, 0.02, (CircleCutout(0.1, 0.4, 0.2), CircleCutout(0.1, 0.502, 0.2))), [0.003, None]),
        (Slab(1.0, 0.6, 0.02, (CircleCutout(0.1, 0.2, 0.06),), (DropEdge(("front",), 0.08, 0.03),)), [None]),
        (Slab(1.0, 0.6, 0.02, (CircleCutout(0.1, 0.2, 0.082),), (DropEdge(("front",), 0.08, 0.03),)), [0.003, None]),
        (Slab(1.0, 0.6, 0.02, (CircleCutout(0.1, 0.4, 0.2, rim_thickness_m=0.03, rim_width_m=0.02),)), [None]),
        (Slab(1.0, 0.6, 0.02, (EllipseCutout(0.2, 0.1, 0.4, 0.2),)), [None]),
    ],
)
def test_openings_that_touch_their_surroundings_are_measured_by_slices(slab, coats):
    assert not (slab.is_plain(len(coats)) and slab.block([slab], [tuple(coats)]).sound[0])
    (row,) = measure_many([slab], coats)
    assert row.solid.volume_m3 == pytest.approx(slab.solid_by_slices().volume_m3, rel=1e-12)
    assert row.layers == slab.layers_by_distance(coats, "form")


@given(
    st.builds(
        RectangleCutout,
        *(
            st.floats(low, high).map(lambda size: round(size, 5))  # drawn to a hundredth of a millimeter
            for low, high in ((-0.1, 1.2), (-0.1, 0.8), (-0.2, 0.9), (-0.2, 0.5), (-0.01, 0.2))
        ),
        depth_m=st.sampled_from([None, 0.01, 0.03, -0.01, float("nan")]),
        rim_thickness_m=st.sampled_from([None, None, 0.01, 0.04]),
        rim_width_m=st.sampled_from([None, None, 0.03]),
    )
)
@settings(max_examples=60, deadline=None)
def test_a_cutout_in_columns_is_refused_in_the_same_words(cutout):
    slab = Slab(1.0, 0.6, 0.02, (cutout,))
    (row,) = measure_many([slab], [None])
    if isinstance(row, FaultError):
        with pytest.raises(FaultError, match=re.escape(str(row))):
            slab.solid_by_slices()
    else:
        assert row.solid.volume_m3 == pytest.approx(slab.solid_by_slices().volume_m3, rel=1e-12)
