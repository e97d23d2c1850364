"""Flat pieces cut along seams: drops, worked edges and openings go with their parts."""

import pytest

from geometry.cutouts import RectangleCutout
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


def test_a_butt_that_runs_on_in_an_edge_is_raw_for_its_own_length_alone() -> None:
    leg, _ = cut_shape(Outline(L_PLAN, IN), [((25.5 * IN, 25.5 * IN), (25.5 * IN, 0.0))], 0.0)
    assert leg.shape.outline_lengths_m()["raw"] == approx(25.5 * IN)


def test_openings_go_with_the_part_that_holds_them_and_joints_are_told() -> None:
    sink = RectangleCutout(length_m=30 * IN, width_m=16 * IN, x_m=40 * IN, y_m=4 * IN)
    slab = Slab(112 * IN, 25.5 * IN, IN, cutouts=(sink,))
    parts = cut_shape(slab, [((30 * IN, 0.0), (30 * IN, 25.5 * IN)), ((80 * IN, 0.0), (80 * IN, 25.5 * IN))], IN / 16)
    assert [len(part.shape.cutouts) for part in parts] == [0, 1, 0]
    assert [len(part.joints) for part in parts] == [1, 2, 1]
