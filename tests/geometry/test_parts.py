"""Flat pieces cut along seams: drops, worked edges and openings go with their parts."""

import pytest

from geometry.cutouts import RectangleCutout
from geometry.errors import FaultError
from geometry.parts import cut_shape
from geometry.plan_edges import EdgePart
from geometry.plane import Region
from geometry.plate import DropEdge, EdgeProfile
from geometry.shapes import Outline, Slab

approx = pytest.approx
IN = 0.0254
L_PLAN = Region.from_points(
    [(x * IN, y * IN) for x, y in [(0, 0), (96, 0), (96, 25.5), (25.5, 25.5), (25.5, 72), (0, 72)]]
)
MITER = ((25.5 * IN, 25.5 * IN), (0.0, 0.0))


def volumes(shape: Slab | Outline, seams: list[tuple[tuple[float, float], tuple[float, float]]]) -> float:
    return sum(part.shape.solid().volume_m3 for part in cut_shape(shape, seams, 0.0))


@pytest.mark.parametrize("edges", [("front",), ("front", "left"), ("front", "back", "left", "right")])
def test_the_drops_of_the_parts_add_up_to_those_of_the_whole(edges: tuple[str, ...]) -> None:
    slab = Slab(72 * IN, 25.5 * IN, IN, drop_edges=(DropEdge(edges, 3 * IN, 1.5 * IN),))  # type: ignore[arg-type]
    seam = ((30 * IN, 0.0), (30 * IN, 25.5 * IN))
    assert volumes(slab, [seam]) == approx(slab.solid().volume_m3, rel=1e-6)


def test_worked_edges_and_drops_of_an_l_go_with_its_parts() -> None:
    outline = Outline(
        L_PLAN,
        IN,
        drop_edges=(DropEdge(("front", "left", EdgePart(4, from_m=0.2, to_m=0.9)), 3 * IN, 1.5 * IN),),
        edge_profiles=(EdgeProfile((2,), "round-over", 0.5 * IN),),
    )
    seams = [((60 * IN, 0.0), (60 * IN, 25.5 * IN)), MITER]
    parts = cut_shape(outline, seams, 0.0)
    assert [len(part.shape.drop_edges) for part in parts] == [1, 1, 1]
    whole, cut = outline.solid().volume_m3, sum(part.shape.solid().volume_m3 for part in parts)
    assert cut == approx(whole, rel=1e-6)


def test_a_seam_is_a_raw_edge_and_takes_no_finish() -> None:
    slab = Slab(72 * IN, 25.5 * IN, IN)
    left, right = cut_shape(slab, [((30 * IN, 0.0), (30 * IN, 25.5 * IN))], IN / 16)
    assert left.shape.outline_lengths_m()["raw"] == approx(25.5 * IN)
    finished = sum(part.shape.solid().finished_area_m2 for part in (left, right))
    assert finished == approx(slab.solid().finished_area_m2 - (25.5 + 2) * IN * IN / 16, rel=1e-6)


def test_a_butt_in_line_with_an_edge_is_raw_for_its_own_length_alone() -> None:
    leg, _ = cut_shape(Outline(L_PLAN, IN), [((25.5 * IN, 25.5 * IN), (25.5 * IN, 0.0))], 0.0)
    assert leg.shape.outline_lengths_m()["raw"] == approx(25.5 * IN)


def test_openings_go_with_the_part_that_holds_them_and_joints_are_listed() -> None:
    sink = RectangleCutout(length_m=30 * IN, width_m=16 * IN, x_m=40 * IN, y_m=4 * IN)
    slab = Slab(112 * IN, 25.5 * IN, IN, cutouts=(sink,))
    parts = cut_shape(slab, [((30 * IN, 0.0), (30 * IN, 25.5 * IN)), ((80 * IN, 0.0), (80 * IN, 25.5 * IN))], IN / 16)
    assert [len(part.shape.cutouts) for part in parts] == [0, 1, 0]
    assert [len(part.joints) for part in parts] == [1, 2, 1]


THROUGH = ((36 * IN, 0.0), (36 * IN, 25.5 * IN))


@pytest.mark.parametrize("drawn", [False, True])
def test_a_seam_through_a_sink_loses_no_concrete_but_its_own_width(drawn: bool) -> None:
    sink = RectangleCutout(length_m=30 * IN, width_m=16 * IN, x_m=20 * IN, y_m=4 * IN, radius_m=3 * IN, edge="finished")
    drops = (DropEdge(("front",), 3 * IN, 1.5 * IN),)
    slab: Slab | Outline = Slab(72 * IN, 25.5 * IN, IN, cutouts=(sink,), drop_edges=drops)
    if drawn:
        plan = Region(Region.rectangle(72 * IN, 25.5 * IN).outer, (sink.outline("").outer,))
        slab = Outline(plan, IN, drop_edges=drops)
    parts = cut_shape(slab, [THROUGH], IN / 16, through=[0])
    solids = [part.shape.solid() for part in parts]
    # first principles: the two rails, the front one with its drop, are narrower by the seam
    seam = (25.5 - 16 + 1.5 * 2) * IN * IN * IN / 16
    assert sum(solid.volume_m3 for solid in solids) == approx(slab.solid().volume_m3 - seam, rel=1e-9)
    assert [len(part.joints) for part in parts] == [2, 2]
    rails = [abs(end[1] - start[1]) / IN for start, end in parts[0].joints]
    assert rails == approx([4, 5.5], abs=0.15)
    gross = sum(part.shape.plan_area().gross_m2 for part in parts)
    assert gross == approx(
        (72 - 1 / 16) * 25.5 * IN * IN, rel=1e-9
    )  # the area that a client pays for includes the openings
    rim = 2 * (30 + 16) - (8 - 2 * 3.14159265) * 3 - 2 / 16
    assert sum(solid.edge_lengths_m["finished_cutouts"] for solid in solids) == approx(rim * IN, rel=1e-6)
    # the facets of an independent library
    for part, solid in zip(parts, solids, strict=True):
        mesh = part.shape.manifold()
        assert mesh.volume() == approx(solid.volume_m3, rel=1e-5)
        assert mesh.surface_area() == approx(solid.surface_area_m2, rel=1e-5)


def test_a_seam_through_a_rim_is_refused() -> None:
    sink = RectangleCutout(30 * IN, 16 * IN, 20 * IN, 4 * IN, rim_thickness_m=2 * IN, rim_width_m=IN)
    with pytest.raises(FaultError) as caught:
        cut_shape(Slab(72 * IN, 25.5 * IN, IN, cutouts=(sink,)), [THROUGH], IN / 16, through=[0])
    assert caught.value.message.id == "seam-through-rim"
