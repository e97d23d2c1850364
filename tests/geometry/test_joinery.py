"""Legs of waterfalls and strips of splashes, against closed forms in inches."""

import numpy as np
import pytest
import trimesh

from geometry.errors import FaultError
from geometry.inset import inset
from geometry.joinery import splash_strips, waterfall_legs
from geometry.plane import Region, Ring
from geometry.shape import measure
from geometry.shapes import EdgePart, EdgeProfile, Outline, Slab

IN = 0.0254
T, HIGH = 0.75 * IN, 4 * IN

PLANS = {
    "rectangle": ([(0, 0), (72, 0), (72, 25.5), (0, 25.5)], None),
    "l": ([(0, 0), (96, 0), (96, 25.5), (25.5, 25.5), (25.5, 72), (0, 72)], None),
    "clipped": ([(10, 0), (50, 0), (60, 10), (60, 24), (0, 24), (0, 10)], None),
    "d": ([(0, 0), (60, 0), (60, 30), (0, 30)], [0, 1, 0, 0]),
}


def piece(name: str) -> Outline:
    points, bulges = PLANS[name]
    return Outline(Region(Ring(np.array(points) * IN, None if bulges is None else np.array(bulges))), IN)


def test_the_leg_of_a_waterfall_is_as_wide_as_its_edge():
    ((leg, _),) = waterfall_legs(Slab(60 * IN, 25 * IN, 1.5 * IN), ("left",), 36 * IN, "waterfalls[0]")
    assert measure(leg).volume_m3 / IN**3 == pytest.approx(25 * 1.5 * (36 - 0.75), rel=1e-12)
    assert measure(leg).size_m == pytest.approx((25 * IN, 36 * IN, 1.5 * IN))


@pytest.mark.parametrize(
    ("name", "edges"),
    [
        ("rectangle", ["back"]),
        ("rectangle", ["left", "back", "right"]),
        ("rectangle", [1, 2, 3, 4]),
        ("rectangle", [EdgePart("back", from_m=10 * IN, to_m=50 * IN)]),
        ("l", [3, 4]),
        ("l", [1, 2, 3, 4, 5, 6]),
        ("clipped", [1, 2, 3]),
        ("clipped", [6, 1]),
        ("d", ["front", 2, "back"]),
        ("d", [2]),
    ],
)
def test_strips_add_up_to_the_band_along_their_edges(name, edges):
    shape = piece(name)
    strips = [strip for strip, _ in splash_strips(shape, tuple(edges), HIGH, T, "splashes[0]")]
    whole = sum(measure(strip).volume_m3 for strip in strips)
    plan = shape.region.outer
    if all(isinstance(edge, EdgePart) for edge in edges):
        assert whole == pytest.approx(40 * IN * T * HIGH, rel=1e-12)
        return
    named = {edge.number for edge in shape.numbered_edges if edge.number in edges or edge.side in edges}
    distances = [0.0] * len(plan.points)
    for edge in shape.numbered_edges:
        for place in edge.places:
            distances[place] = T if edge.number in named else 0.0
    band = abs(plan.signed_area_m2) - inset(plan, distances).ring.signed_area_m2
    assert whole == pytest.approx(band * HIGH, rel=1e-9)


def test_straight_strips_lie_on_their_backs():
    strips = [strip for strip, _ in splash_strips(piece("rectangle"), ("left", "back"), HIGH, T, "splashes[0]")]
    # the back comes first counterclockwise and runs through, the left is butted to it
    assert sorted(strip.length_m / IN for strip in strips) == pytest.approx([25.5 - 0.75, 72.0])
    assert all(isinstance(strip, Slab) and strip.thickness_m == T for strip in strips)


def test_a_waterfall_on_a_curve_is_refused():
    with pytest.raises(FaultError) as refused:
        waterfall_legs(piece("d"), (2,), 36 * IN, "waterfalls[0]")
    assert refused.value.message.id == "waterfall-curved"
    assert refused.value.key == "waterfalls[0].edges"


def test_a_splash_wider_than_the_piece_is_refused():
    with pytest.raises(FaultError) as refused:
        splash_strips(piece("rectangle"), ("front", "back"), HIGH, 14 * IN, "splashes[0]")
    assert refused.value.key == "splashes[0].thickness"


def box_of(low: tuple[float, float, float], high: tuple[float, float, float]) -> trimesh.Trimesh:
    return trimesh.creation.box(bounds=[low, high])


@pytest.mark.parametrize(("front_high", "left_high"), [(36.0, 36.0), (36.0, 20.0), (12.0, 30.0)])
@pytest.mark.parametrize("apart", [False, True])
def test_legs_on_neighboring_edges_meet_in_a_miter_and_count_no_corner_twice(front_high, left_high, apart):
    thick = 1.5
    if not apart and front_high != left_high:
        return
    top = Slab(60 * IN, 25 * IN, thick * IN, edge_profiles=(EdgeProfile(("front", "left"), "mitre"),))
    if apart:  # two entries of the job, which may differ in height
        falls = [(("front",), front_high * IN), (("left",), left_high * IN)]
        legs = [
            leg
            for i, (edges, high) in enumerate(falls)
            for leg, _ in waterfall_legs(top, edges, high, "waterfalls[0]", [falls[1 - i]])
        ]
    else:
        legs = [leg for leg, _ in waterfall_legs(top, ("front", "left"), front_high * IN, "waterfalls[0]")]
    parts = sum(measure(part).volume_m3 for part in (top, *legs)) / IN**3
    # an independent library's union of the three plates, outside to outside
    plates = [box_of((0, 0, -thick), (60, 25, 0)), box_of((0, 0, -front_high), (60, thick, 0))]
    whole = trimesh.boolean.union([*plates, box_of((0, 0, -left_high), (thick, 25, 0))])
    assert parts == pytest.approx(whole.volume, rel=1e-6)


def test_legs_at_a_clipped_corner_lose_their_shared_volume():
    shape = piece("clipped")
    legs = [leg for leg, _ in waterfall_legs(shape, (1, 2), 30 * IN, "waterfalls[0]")]
    # first principles: at a turn of 45° two plates of thickness t share a kite of t² · tan(22.5°)
    edges = [shape.numbered_edges[number - 1].length_m for number in (1, 2)]
    kite = IN**2 * np.tan(np.radians(22.5)) * (30 - 0.5) * IN
    expected = sum(length * IN * (30 - 0.5) * IN for length in edges) - kite
    assert sum(measure(leg).volume_m3 for leg in legs) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("edges", [(3, 4)])
def test_legs_at_an_inside_corner_stay_whole(edges):
    shape = piece("l")
    for leg, _ in waterfall_legs(shape, edges, 36 * IN, "waterfalls[0]"):
        assert measure(leg).volume_m3 / IN**3 == pytest.approx(leg.length_m / IN * (36 - 0.5), rel=1e-9)
