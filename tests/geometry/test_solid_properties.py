"""Properties of every solid, whatever its dimensions."""

from dataclasses import fields, is_dataclass, replace

import hypothesis.strategies as st
import numpy as np
import pytest
from hypothesis import given, settings

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
    OutlineCutout,
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

share = st.floats(0.1, 0.9)
few = settings(max_examples=15, deadline=None)


@st.composite
def slabs(draw):
    length, width, thick = draw(st.floats(0.6, 3.0)), draw(st.floats(0.4, 1.2)), draw(st.floats(0.015, 0.04))
    sides = draw(st.lists(st.sampled_from(["front", "back", "left", "right"]), max_size=3, unique=True))
    drops = (DropEdge(tuple(sides), draw(st.floats(0.05, 0.1)), draw(st.floats(0.02, 0.06))),) if sides else ()
    radius = 0.4 * min(length, width) * draw(share)
    x, y = radius + (length - 2 * radius) * draw(share), radius + (width - 2 * radius) * draw(share)
    cutouts = draw(
        st.sampled_from(
            [
                (),
                (CircleCutout(2 * radius, x, y),),
                (RectangleCutout(radius, radius / 2, x, y - radius / 2, radius / 8, edge="raw"),),
                (EllipseCutout(1.8 * radius, radius, x, y),),
            ]
        )
    )
    return Slab(length, width, thick, cutouts=cutouts, drop_edges=drops)


@st.composite
def panels(draw):
    length, height = draw(st.floats(0.8, 3.0)), draw(st.floats(0.8, 2.0))
    sides = draw(st.lists(st.sampled_from(["bottom", "top", "left", "right"]), max_size=4, unique=True))
    returns = tuple(Return((side,), draw(st.floats(0.04, 0.1)), draw(st.floats(0.02, 0.04))) for side in sides)
    ribs = draw(st.sampled_from([None, Ribs(0.5, 0.04, 0.05, "x"), Ribs(0.4, 0.03, 0.06)]))
    opening = PanelOpening(CircleCutout(0.3, length / 2, height / 2), 0.05, 0.02)
    return Panel(length, height, draw(st.floats(0.01, 0.02)), returns, ribs, draw(st.sampled_from([(), (opening,)])))


@st.composite
def boxes(draw):
    length, width, height = (draw(st.floats(0.5, 1.5)) for _ in range(3))
    return Box(
        length,
        width,
        height,
        draw(st.floats(0.015, 0.04)),
        draw(st.floats(0.02, 0.05)),
        open=draw(st.booleans()),
        base_length_m=draw(st.sampled_from([None, 0.8 * length, 1.1 * length])),
        fillet_m=draw(st.sampled_from([0.0, 0.05])),
        drain_holes=draw(st.sampled_from([(), (DrainHole(0.04, 0.55 * length, width / 2),)])),
    )


@st.composite
def outlines(draw):
    a, b = draw(st.floats(0.3, 2.0)), draw(st.floats(0.3, 2.0))
    plan = draw(
        st.sampled_from(
            [
                Region.circle(a),
                Region.rectangle(a, b, 0.1),
                Region.from_points([(0, 0), (a, 0), (a, b / 3), (a / 3, b / 2), (0, b)]),
            ]
        )
    )
    return Outline(plan, draw(st.floats(0.1, 0.3)), wall_m=draw(st.sampled_from([None, 0.02])))


swept = st.sampled_from(
    [
        Extrusion(Region.from_points([(0, 0), (0.1, 0), (0.08, 0.05), (0, 0.05)]), 1.5, 30.0, -45.0),
        Extrusion(Region.circle(0.2), 1.5, wall_m=0.02, open="left"),
        Revolution(((0, 0), (0.2, 0), (0.3, 0.5), (0, 0.5)), wall_m=0.02, open="top"),
        Revolution(((0.2, 0), (0.4, 0), (0.3, 0.3))),
    ]
)
solids = st.one_of(slabs(), panels(), boxes(), outlines(), swept)


def scaled(value: object, factor: float) -> object:
    """Every length in a shape times a factor."""
    if isinstance(value, Region):
        return value.scaled(factor)
    if isinstance(value, tuple):
        return tuple(scaled(each, factor) for each in value)
    if is_dataclass(value) and not isinstance(value, type):
        return replace(
            value,
            **{
                field.name: scaled(getattr(value, field.name), factor)
                for field in fields(value)
                if not field.name.endswith("_deg")
            },
        )
    return value * factor if isinstance(value, float) else value


@given(solids, st.floats(0.5, 3.0))
@few
def test_volume_scales_with_the_cube_and_area_with_the_square(shape, factor):
    small, large = measure(shape), measure(scaled(shape, factor))
    assert large.volume_m3 == pytest.approx(small.volume_m3 * factor**3, rel=1e-6)
    assert large.surface_area_m2 == pytest.approx(small.surface_area_m2 * factor**2, rel=1e-6)
    assert large.form_area_m2 == pytest.approx(small.form_area_m2 * factor**2, rel=1e-6)
    assert large.centroid_m == pytest.approx(np.array(small.centroid_m) * factor, rel=1e-6, abs=1e-9)
    inertia = np.array(small.inertia_m5) * factor**5
    assert np.array(large.inertia_m5) == pytest.approx(inertia, rel=1e-5, abs=1e-8 * np.trace(inertia))


@given(solids)
@few
def test_every_solid_is_consistent_with_itself(shape):
    made = measure(shape)
    assert 0 < made.volume_m3 <= np.prod(made.size_m) * (1 + 1e-9)
    assert 0 < made.form_area_m2 <= made.surface_area_m2 * (1 + 1e-6)
    assert 0 < made.finished_area_m2 <= made.surface_area_m2 * (1 + 1e-6)
    low = np.array(made.lowest_m)
    assert (low < made.centroid_m).all()
    assert (made.centroid_m < low + made.size_m).all()
    tensor = np.array(made.inertia_m5)
    assert tensor == pytest.approx(tensor.T, abs=1e-12 * np.trace(tensor))
    a, b, c = np.linalg.eigvalsh(tensor)
    assert 0 < a <= b <= c <= (a + b) * (1 + 1e-9)  # principal moments obey the triangle inequality


@given(solids, st.sampled_from(["form", "all"]))
@few
def test_layers_add_up_to_the_piece_and_its_center_of_gravity(shape, faces):
    whole = measure(shape)
    layers = [0.003, 0.0015, None]  # on both sides of the thinnest piece, 10 mm, they leave a rest
    parts = layer_parts(shape, layers, faces)
    assert sum(part.volume_m3 for part in parts) == pytest.approx(whole.volume_m3, rel=1e-12)
    assert all(part.volume_m3 > 0 for part in parts)
    balance = sum(part.volume_m3 * np.array(part.centroid_m) for part in parts) / whole.volume_m3
    assert balance == pytest.approx(whole.centroid_m, rel=1e-6, abs=1e-7)
    # a thin coat is about its area times its thickness, less what corners share and more where they turn
    area = whole.form_area_m2 if faces == "form" else whole.surface_area_m2
    assert parts[0].volume_m3 == pytest.approx(area * 0.003, rel=0.12)


@given(st.floats(-5.0, 5.0), st.floats(-5.0, 5.0), st.floats(-5.0, 5.0), slabs())
@few
def test_a_compound_of_one_part_moves_with_it(x, y, z, slab):
    alone, moved = measure(slab), measure(Compound((Placed(slab, (x, y, z)),)))
    assert moved.volume_m3 == pytest.approx(alone.volume_m3, rel=1e-9)
    assert moved.surface_area_m2 == pytest.approx(alone.surface_area_m2, rel=1e-6)
    assert moved.form_area_m2 == pytest.approx(alone.form_area_m2, rel=1e-6)
    assert moved.centroid_m == pytest.approx(np.add(alone.centroid_m, (x, y, z)), rel=1e-9, abs=1e-9)
    inertia = np.array(alone.inertia_m5)
    assert np.array(moved.inertia_m5) == pytest.approx(inertia, rel=1e-6, abs=1e-8 * np.trace(inertia))


@given(st.floats(0.05, 0.95), st.floats(0.3, 2.0), st.floats(0.2, 1.0))
@few
def test_a_slab_cut_anywhere_is_the_sum_of_its_parts(at, length, width):
    parts = Compound(
        (Placed(Slab(at * length, width, 0.02)), Placed(Slab((1 - at) * length, width, 0.02), (at * length, 0, 0)))
    )
    assert measure(parts).volume_m3 == pytest.approx(length * width * 0.02, rel=1e-9)
    assert measure(parts).surface_area_m2 == pytest.approx(2 * length * width + 2 * (length + width) * 0.02, rel=1e-6)


@given(share, share, st.floats(0.05, 0.3))
@few
def test_a_hole_and_its_plug_make_the_whole(u, v, radius):
    plug = Region.from_points([(0, 0), (radius, 0), (radius * u, radius)])
    slab = Slab(1.5, 0.9, 0.03, cutouts=(OutlineCutout(plug, 0.1 + u, 0.1 + 0.4 * v),))
    assert measure(slab).volume_m3 + measure(Outline(plug, 0.03)).volume_m3 == pytest.approx(1.5 * 0.9 * 0.03, rel=1e-9)


@given(st.floats(0.002, 0.01), st.sampled_from(["bevel", "round-over", "cove"]), st.sampled_from(["left", "back"]))
@few
def test_worked_and_tapered_slabs_lose_the_section_of_their_edges(size, kind, to):
    plain = Slab(1.0, 0.6, 0.02, taper=Taper(to, 0.03))
    worked = replace(plain, edge_profiles=(EdgeProfile(("front", "right"), kind, size),))
    section = {"bevel": 0.5, "round-over": 1 - np.pi / 4, "cove": np.pi / 4}[kind] * size**2
    lost = measure(plain).volume_m3 - measure(worked).volume_m3
    assert lost == pytest.approx(section * 1.6, rel=0.02)  # their shared corner apart
    assert lost < section * 1.6
