"""Form boards, assembled: they must enclose the piece, and no part of the piece may lie in a board."""

from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from geometry.errors import FaultError
from geometry.form_boards import (
    GRID_M,
    MOST_POINTS,
    _areas_within,
    _footprints,
    _framed_apart,
    _largest,
    _parts_of,
    form_boards,
    placed_boards,
)
from geometry.plain_forms import FormBoard
from geometry.plane import Region, Ring
from geometry.runs import runs_of
from geometry.shape import measure
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
from geometry.slices import SAME_M

approx = pytest.approx
INCH = 0.0254
BOARD = 0.019


def form_levels(shape):
    """The plans of a shape other than a moulding, as it lies in its form."""
    form = shape.form()
    return () if form is None or form.mitres is not None else form.levels


def assembled(shape, board_m=BOARD):
    """Assemble the boards as solids and check, at every height, that they enclose the piece."""
    boards, levels = placed_boards(shape, board_m), form_levels(shape)
    lists_the_same(form_boards(shape, board_m), boards)
    assert boards
    volume = 0.0
    heights = sorted({0.0, *(each.low_m for each in boards), *(each.high_m for each in boards)})
    heights = sorted({*heights, *(z for each in levels for z in (each.low_m, each.high_m))})
    top = levels[-1].high_m
    for low, high in pairwise(z for z in heights if -1e-9 < z <= top + 1e-9):
        if high - low < 1e-7:
            continue
        level = next(each for each in levels if each.low_m < (low + high) / 2 < each.high_m)
        standing = [each.footprint for each in boards if each.low_m < (low + high) / 2 < each.high_m]
        wood = shapely.union_all(standing)
        assert sum(each.area for each in standing) == approx(wood.area, rel=1e-4, abs=1e-7), "boards in one another"
        scale = max(level.plan.area, 1e-4)
        assert shapely.intersection(wood, level.plan).area < 1e-5 * scale, "a board in the concrete"
        x0, y0, x1, y1 = shapely.union_all([wood, level.plan]).bounds
        # Boards that meet along a line count as tight: closed by a hair.
        room = shapely.box(x0 - 1, y0 - 1, x1 + 1, y1 + 1).difference(wood.buffer(2e-6, join_style="mitre"))
        cells = [cell for cell in shapely.get_parts(room) if shapely.intersection(cell, level.plan).area > 1e-7]
        void = shapely.union_all(cells)
        stray = shapely.symmetric_difference(void, level.plan).area
        assert stray < 5e-6 * level.plan.length + 1e-7, f"the void is not the piece from {low} to {high}"
        volume += shapely.intersection(void, level.plan).area * (high - low)
    for lower, upper in pairwise(levels):  # concrete above a hollow lies on a cover
        over = upper.plan.difference(lower.plan).buffer(-1e-5)
        covers = shapely.union_all(
            [
                each.footprint
                for each in boards
                if abs(each.high_m - upper.low_m) < 1e-9 or each.low_m < upper.low_m < each.high_m
            ]
        )
        assert over.difference(covers).area < 1e-6
    assert volume == approx(sum(each.plan.area * (each.high_m - each.low_m) for each in levels), rel=2e-3)
    lies_on_its_bottom(boards, levels, board_m)
    return boards


def lies_on_its_bottom(boards, levels, board_m):
    """Check that the form bottom is under the piece and the boards around it, and not twice."""
    bottoms = [each.footprint for each in boards if each.role == "base"]
    under = shapely.union_all(bottoms)
    assert sum(each.area for each in bottoms) == approx(under.area)
    plan = shapely.union_all(
        [shapely.Polygon(part.exterior) for each in levels for part in shapely.get_parts(each.plan)]
    )
    assert plan.buffer(board_m, join_style="mitre").difference(under.buffer(1e-6)).area < 1e-9


def lists_the_same(by_size, placed):
    """Boards found by sizes alone equal those assembled in plan, with equal boards of a knockout listed once."""

    def in_order(boards):
        return sorted(boards, key=lambda each: (each.role, each.number, round(each.low_m, 6), round(each.length_m, 6)))

    single = [each._replace(alike=1) for each in by_size for _ in range(each.alike)]
    assert [(each.role, each.number) for each in single] == [(each.role, each.number) for each in placed]
    sides = {each.side for each in by_size if each.alike == 1} - {each.side for each in placed}
    assert not sides
    for mine, theirs in zip(in_order(single), in_order(placed), strict=True):
        assert mine.layers == theirs.layers
        sizes = [
            [each.length_m, each.height_m, each.low_m, each.high_m, each.radius_m or 0.0, each.sweep_deg or 0.0]
            for each in (mine, theirs)
        ]
        assert sizes[0] == approx(sizes[1], rel=1e-9, abs=2e-9)


def lengths(boards, role, side=None, unit=INCH):
    return sorted(round(each.length_m / unit, 6) for each in boards if each.role == role and side in (None, each.side))


def test_drops_that_meet_at_corners_have_boards_as_long_as_the_pocket():
    # first principles: 49 × 22-1/2 in with drops of 1 in on three sides leaves a pocket of 47 wide
    slab = Slab(49 * INCH, 22.5 * INCH, INCH, drop_edges=(DropEdge(("front", "left", "right"), 3 * INCH, INCH),))
    boards = assembled(slab, 0.75 * INCH)
    assert lengths(boards, "inside", "front") == [47]
    assert lengths(boards, "inside", "left") == [20.75]  # 21-1/2, less the board that it butts on
    assert {round(each.height_m / INCH, 6) for each in boards if each.role == "inside"} == {2}
    closed = Slab(
        49 * INCH, 22.5 * INCH, INCH, drop_edges=(DropEdge(("front", "back", "left", "right"), 3 * INCH, INCH),)
    )
    inside = assembled(closed, 0.75 * INCH)
    assert lengths(inside, "inside", "back") == [47]
    assert lengths(inside, "inside", "right") == [20.5 - 1.5]
    # a board closes the open end of a drop
    assert lengths(boards, "edge", "back") == [2.5, 2.5, 50.5]


def test_returns_fit_between_those_of_the_sides():
    panel = Panel(1.2, 2.4, 0.013, returns=(Return(("bottom", "left", "right"), 0.1, 0.013),))
    boards = assembled(panel)
    assert lengths(boards, "inside", "front", 0.001) == [1174]
    assert lengths(boards, "inside", "left", 0.001) == [2387 - 19]


def test_ribs_have_boards_for_every_bay():
    panel = Panel(1.2, 0.9, 0.013, ribs=Ribs(0.4, 0.04, 0.08, "both"))
    assert sum(each.role == "inside" for each in assembled(panel)) >= 16


def test_the_core_of_a_planter_is_as_high_as_its_hollow_with_its_cover():
    box = Box(0.9, 0.4, 0.45, 0.02, 0.025, drain_holes=(DrainHole(0.03, 0.2, 0.2),))
    boards = assembled(box)
    assert {round(each.height_m, 6) for each in boards if each.role == "inside"} == {0.406}
    (cover,) = [each for each in boards if each.role == "cover"]
    assert (cover.length_m, cover.height_m) == approx((0.86, 0.36))
    (plug,) = [each for each in boards if each.role == "plug"]
    assert (plug.length_m, plug.layers, plug.number) == (approx(0.03, rel=1e-4), 2, 1)


def test_a_faucet_hole_is_a_plug_and_a_sink_has_straight_boards_and_formers():
    sink = RectangleCutout(30 * INCH, 16 * INCH, 20 * INCH, 5 * INCH, radius_m=INCH)
    faucet = CircleCutout(1.375 * INCH, 35 * INCH, 23 * INCH)
    slot = RectangleCutout(4 * INCH, INCH, 5 * INCH, 5 * INCH)
    boards = assembled(Slab(96 * INCH, 25.5 * INCH, INCH, cutouts=(sink, faucet, slot)), 0.75 * INCH)
    (plug,) = [each for each in boards if each.role == "plug"]
    assert (plug.number, plug.length_m / INCH) == (2, approx(1.375, rel=1e-4))
    (block,) = [each for each in boards if each.role == "block"]
    assert (block.number, block.length_m / INCH, block.height_m / INCH) == (3, approx(4), approx(1))
    formers = [each for each in boards if each.radius_m is not None and each.role == "inside"]
    assert [(each.number, round(each.radius_m / INCH, 3), round(each.sweep_deg)) for each in formers] == [
        (1, 1, 90)
    ] * 4
    straight = [each.length_m / INCH for each in boards if each.role == "inside" and each.radius_m is None]
    assert sorted(straight) == approx([14, 14, 28, 28])


def test_an_outline_has_a_board_for_each_straight_run():
    corners = [(0, 0), (96, 0), (96, 25.5), (25.5, 25.5), (25.5, 72), (0, 72)]
    boards = assembled(Outline(Region.from_points(np.array(corners) * INCH), INCH), 0.75 * INCH)
    # first principles: a board thickness more past an outer corner, a board thickness less into an inner one
    assert {each.number: round(each.length_m / INCH, 6) for each in boards if each.role == "edge"} == {
        1: 97.5,
        2: 25.5,
        3: 70.5 + 0.75,
        4: 46.5 - 0.75,
        5: 27.0,
        6: 72.0,
    }


def bottoms(*points, board_m=BOARD):
    """Sizes of the form bottom of an outline with these corners in inches, to the tenth of an inch."""
    outline = Outline(Region(Ring(np.array(points) * INCH, np.zeros(len(points)))), 0.03)
    boards = [each for each in assembled(outline, board_m) if each.role == "base"]
    return sorted([tuple(sorted((round(b.length_m / INCH, 1), round(b.height_m / INCH, 1)))) for b in boards])


def test_the_bottom_under_an_l_a_t_or_a_u_is_butted_from_boards_under_its_legs():
    # first principles: 3/4 in beyond the concrete on every side, cut at the inside corners
    board = 0.75 * INCH
    corner = ((0, 0), (84, 0), (84, 25), (25, 25), (25, 110), (0, 110))
    assert bottoms(*corner, board_m=board) == [(26.5, 59.0), (26.5, 111.5)]
    bay = ((0, 0), (110, 0), (110, 70), (85, 70), (85, 25), (25, 25), (25, 70), (0, 70))
    assert bottoms(*bay, board_m=board) == [(26.5, 45.0), (26.5, 45.0), (26.5, 111.5)]
    tee = ((0, 0), (100, 0), (100, 25), (62, 25), (62, 75), (38, 75), (38, 25), (0, 25))
    assert bottoms(*tee, board_m=board) == [(25.5, 50.0), (26.5, 101.5)]


def test_a_small_corner_is_not_worth_a_joint_in_the_bottom():
    assert bottoms((0, 0), (60, 0), (60, 25), (20, 25), (20, 30), (0, 30)) == [(31.5, 61.5)]


def test_round_corners_are_formers_of_their_radius():
    boards = assembled(Outline(Region.rectangle(1.0, 0.6, 0.05), 0.03))
    formers = [each for each in boards if each.radius_m is not None]
    assert [(round(each.radius_m, 5), round(each.sweep_deg, 1)) for each in formers] == [(0.05, 90.0)] * 4
    assert lengths([each for each in boards if each.radius_m is None], "edge", unit=0.001) == [500, 500, 900, 900]


def test_a_moulding_has_ends_and_sides_as_long_as_its_miters_leave():
    ell = [(0, 0), (100, 0), (100, 50), (40, 50), (40, 150), (0, 150)]
    boards = form_boards(Extrusion(Region.from_points(np.array(ell) * 1e-3), 2.0, mitre_left_deg=45), BOARD)
    ends = {each.side: each for each in boards if each.role == "end"}
    assert ends["right"].length_m == approx(0.1 + 2 * BOARD)
    assert ends["left"].length_m == approx((0.1 + 2 * BOARD) * 2**0.5)
    runs = {each.number: each.height_m for each in boards if each.role != "end"}
    assert runs == approx({1: 2.0, 2: 1.9, 3: 1.96, 4: 1.96, 5: 2.0, 6: 2.0})


def test_a_compound_of_slabs_has_boards_for_each_of_its_levels():
    top, rib = Slab(1.0, 0.5, 0.03), Slab(0.3, 0.3, 0.2)
    boards = assembled(Compound((Placed(top), Placed(rib, (0.1, 0.1, -0.2)))))
    assert lengths(boards, "inside", unit=0.001) == [300, 300, 338, 338]
    step = Compound((Placed(Box(0.6, 0.4, 0.2, 0.05, 0.05)), Placed(Slab(0.6, 0.3, 0.05), (0.6, 0.0, 0.0))))
    assembled(step)


def test_the_sides_of_a_tapered_planter_are_as_high_as_they_slope():
    # first principles: 60 mm in on 450 mm, √(450² + 60²)
    box = Box(0.9, 0.4, 0.45, 0.02, 0.025, base_length_m=0.9, base_width_m=0.28, fillet_m=0.02)
    boards = form_boards(box, BOARD)
    front = next(each for each in boards if (each.role, each.side) == ("edge", "front"))
    right = next(each for each in boards if (each.role, each.side) == ("edge", "right"))
    assert (front.height_m, right.height_m) == approx((0.453982, 0.45), abs=1e-6)
    (cover,) = [each for each in boards if each.role == "cover"]
    assert cover.height_m == approx(0.36 - 2 * 0.425 * 60 / 450)


def test_a_bowl_and_a_mesh_have_no_boards():
    assert form_boards(Revolution(((0.0, 0.0), (0.2, 0.0), (0.3, 0.2), (0.0, 0.2))), BOARD) == ()


@pytest.mark.parametrize(
    "shape",
    [
        Slab(1.2, 0.6, 0.02, (RectangleCutout(0.5, 0.35, 0.2, 0.1, 0.02), CircleCutout(0.035, 0.9, 0.5))),
        Slab(
            1.2, 0.6, 0.02, (RectangleCutout(0.5, 0.35, 0.2, 0.1, depth_m=0.01), RectangleCutout(0.05, 0.1, 0.9, 0.2))
        ),
        Slab(1.2, 0.6, 0.02, (), (DropEdge(("front", "left"), 0.06, 0.03), DropEdge(("back",), 0.09, 0.02))),
        Panel(1.2, 0.6, 0.012, (Return(("bottom", "left", "right"), 0.06, 0.02), Return(("top",), 0.09, 0.02))),
        Slab(1.2, 0.6, 0.02, (), (), (EdgeProfile(("front", "left"), "round-over", 0.006),), Taper("back", 0.03)),
        Panel(1.2, 0.6, 0.012, openings=(PanelOpening(RectangleCutout(0.5, 0.35, 0.2, 0.1, 0.02)),)),
        Box(0.9, 0.4, 0.45, 0.012, 0.025),
    ],
)
def test_plain_forms_are_listed_without_being_assembled(shape):
    assert all(board.footprint is None for board in form_boards(shape, BOARD))
    assembled(shape)


@pytest.mark.parametrize(
    "slab",
    [
        Slab(1.2, 0.6, 0.02, (CircleCutout(0.4, 0.5, 0.3),)),
        Slab(1.2, 0.6, 0.02, (RectangleCutout(0.5, 0.35, 0.0, 0.1),)),
        Slab(1.2, 0.6, 0.02, (RectangleCutout(0.5, 0.35, 0.2, 0.02),), (DropEdge(("front",), 0.06, 0.03),)),
        Slab(0.1, 0.6, 0.02, (), (DropEdge(("left", "right"), 0.06, 0.035),)),
    ],
)
def test_crowded_and_large_round_forms_are_assembled(slab):
    assert form_boards(slab, BOARD) == placed_boards(slab, BOARD)
    assert form_boards(slab, BOARD)[0].footprint is not None


mm = st.integers


def test_boards_that_leave_slivers_on_each_other_are_united():
    # found by random trial: cutouts that run into one another
    cutouts = (
        RectangleCutout(0.03, 0.03, 0.001, 0.001),
        CircleCutout(0.02, 0.01, 0.01),
        CircleCutout(0.113, 0.058, 0.058),
    )
    assembled(Slab(0.4, 0.3, 0.012, cutouts))


@settings(max_examples=80, deadline=None)
@given(st.data())
def test_boards_of_random_slabs_enclose_the_piece(data):
    length, width, thick = data.draw(mm(400, 3000)), data.draw(mm(300, 1200)), data.draw(mm(12, 60))
    sides = data.draw(st.lists(st.sampled_from(["front", "back", "left", "right"]), unique=True, max_size=4))
    heights = data.draw(st.lists(mm(thick + 5, 200), min_size=2, max_size=2))
    drops = tuple(
        DropEdge(tuple(group), height / 1000, data.draw(mm(12, 60)) / 1000)
        for group, height in zip((sides[:2], sides[2:]), heights, strict=True)
        if group
    )
    cutouts = []
    for _ in range(data.draw(mm(0, 3))):
        x, y = data.draw(mm(0, length)) / 1000, data.draw(mm(0, width)) / 1000
        kind = data.draw(st.sampled_from(["circle", "rectangle", "ellipse"]))
        if kind == "circle":
            cutouts.append(CircleCutout(data.draw(mm(20, 450)) / 1000, x, y))
        elif kind == "rectangle":
            a, b = data.draw(mm(30, 700)), data.draw(mm(30, 450))
            cutouts.append(RectangleCutout(a / 1000, b / 1000, x, y, data.draw(mm(0, min(a, b) // 2)) / 1000))
        else:
            cutouts.append(EllipseCutout(data.draw(mm(60, 500)) / 1000, data.draw(mm(60, 400)) / 1000, x, y))
    slab = Slab(length / 1000, width / 1000, thick / 1000, tuple(cutouts), drops)
    try:
        measure(slab)
    except FaultError:
        assume(False)
    assume(all(_has_room(part) for level in form_levels(slab) for part in shapely.get_parts(level.plan)))
    assembled(slab)


def _has_room(plan):
    """Whether every gap of a plan has room for two boards; in a narrower slot they are ripped to fit."""
    plan = shapely.Polygon(plan.exterior)
    gaps = plan.buffer(BOARD * 1.1, join_style="mitre").buffer(-BOARD * 1.1, join_style="mitre")
    return gaps.difference(plan.buffer(1e-6)).area < 1e-6


def test_a_block_stands_beside_a_notch_with_cusps():
    # Rounded corners that touch the back edge taper to nothing there: older GEOS lost the block in an offset.
    notch = RectangleCutout(0.064, 0.304, 0.032, 0.071, 0.005)
    boards = assembled(Slab(0.4, 0.375, 0.012, (notch, RectangleCutout(0.03, 0.369, 0.001, 0.001))))
    (block,) = [each for each in boards if each.role == "block"]
    assert (block.length_m, block.height_m) == approx((0.03, 0.369))


@settings(max_examples=60, deadline=None)
@given(st.integers(3, 9), st.integers(0, 2**32 - 1), st.sampled_from([0.0, 0.2]))
def test_boards_of_random_outlines_enclose_the_piece(corners, seed, bulge):
    spread = np.random.default_rng(seed)
    angle = (np.arange(corners) + spread.uniform(-0.3, 0.3, corners)) * 2 * np.pi / corners
    reach = spread.uniform(0.45, 1.0, corners)[:, None]
    points = reach * np.column_stack([np.cos(angle), np.sin(angle)])
    bulges = spread.choice([0.0, bulge, -bulge], corners)
    try:
        region = Region(Ring(points, bulges))
    except FaultError:
        assume(False)
    polygon = region.polygon(1e-5)
    assume(
        polygon.buffer(-0.06).geom_type == "Polygon" and polygon.buffer(0.06).buffer(-0.06).area < polygon.area * 1.02
    )
    assembled(Outline(region, 0.03))


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_boards_of_random_panels_enclose_the_piece(data):
    length, height, skin = data.draw(mm(500, 3000)), data.draw(mm(500, 3000)), data.draw(mm(8, 25))
    sides = data.draw(st.lists(st.sampled_from(["bottom", "top", "left", "right"]), unique=True, max_size=4))
    depth = data.draw(mm(skin + 30, 250)) / 1000
    returns = (Return(tuple(sides), depth, data.draw(mm(10, 40)) / 1000),) if sides else ()
    ribs = None
    if data.draw(st.booleans()):
        spacing, ways = data.draw(mm(250, 700)) / 1000, data.draw(st.sampled_from(["x", "y", "both"]))
        ribs = Ribs(spacing, data.draw(mm(20, 60)) / 1000, data.draw(mm(skin + 20, 150)) / 1000, ways)
    openings = ()
    if data.draw(st.booleans()):
        openings = (PanelOpening(RectangleCutout(0.2, 0.15, length / 2000 - 0.1, height / 2000 - 0.1)),)
    panel = Panel(length / 1000, height / 1000, skin / 1000, returns, ribs, openings)
    try:
        measure(panel)
    except FaultError:
        assume(False)
    assembled(panel)


@settings(max_examples=60, deadline=None)
@given(mm(250, 2000), mm(250, 1200), mm(180, 900), mm(10, 50), mm(10, 80), st.booleans())
def test_boards_of_random_boxes_enclose_the_piece(length, width, height, wall, base, is_open):
    assembled(Box(length / 1000, width / 1000, height / 1000, wall / 1000, base / 1000, open=is_open))


@settings(max_examples=60, deadline=None)
@given(st.integers(3, 8), st.integers(0, 2**32 - 1), st.floats(0.3, 3.0))
def test_boards_of_random_mouldings_enclose_the_piece(corners, seed, length):
    # a square moulding stands on its end as an outline as thick as it is long
    spread = np.random.default_rng(seed)
    angle = (np.arange(corners) + spread.uniform(-0.3, 0.3, corners)) * 2 * np.pi / corners
    points = spread.uniform(0.12, 0.2, corners)[:, None] * np.column_stack([np.cos(angle), np.sin(angle)])
    region = Region.from_points(points)
    assume(region.polygon().buffer(0.06).buffer(-0.06).area < region.area_m2 * 1.02)
    upright = [each for each in assembled(Outline(region, length)) if each.role == "edge"]
    sides = [each for each in form_boards(Extrusion(region, length), BOARD) if each.role == "edge"]
    # an outline numbers its edges as its longest lies level, a molding as it is drawn
    assert sorted(each.length_m for each in sides) == approx(sorted(each.length_m for each in upright), rel=1e-6)
    assert {round(each.height_m, 9) for each in sides} == {round(length, 9)}


def comb(teeth, rng, edges):
    """A plate with narrow slots, in which boards meet, and a wavy back of many edges."""
    points, at = [(0.0, 0.0)], 0.0
    for _ in range(teeth):
        width, gap, deep = rng.uniform(0.02, 0.2), rng.uniform(0.01, 0.06), rng.uniform(0.03, 0.3)
        points += [(at + width, 0.0), (at + width, deep), (at + width + gap, deep), (at + width + gap, 0.0)]
        at += width + gap
    points += [(at + 0.1, 0.0)]
    across = np.linspace(at + 0.1, 0.0, edges)
    return [*points, *zip(across.tolist(), (0.6 + rng.uniform(-0.002, 0.002, edges)).tolist(), strict=True)]


def overlap_removed_one_by_one(boards, plan):
    """The slow way: every board against the concrete and all boards before it."""
    apart, occupied = [], plan
    for board in boards:
        foot = _largest(shapely.difference(board.footprint, occupied, grid_size=GRID_M))
        if foot.area > SAME_M * 1e-3:
            apart.append(board._replace(footprint=foot))
            occupied = _largest(shapely.union(occupied, foot, grid_size=GRID_M))
    return apart


@pytest.mark.parametrize("seed", range(4))
def test_boards_compared_with_their_neighbors_stand_where_those_compared_with_all_others_do(seed):
    rng = np.random.default_rng(seed)
    plan = shapely.Polygon(comb(3 + seed, rng, 90))
    ring = shapely.get_coordinates(shapely.orient_polygons(plan))[:-1]
    runs = runs_of(ring)
    feet = _footprints(runs, [False] * len(runs), BOARD)
    feet = [_largest(shapely.set_precision(shapely.make_valid(foot), GRID_M)) for foot in feet]
    boards = [FormBoard("edge", "", i, 1.0, 0.02, foot, 0.0, 0.02) for i, foot in enumerate(feet)]
    slow, fast = overlap_removed_one_by_one(boards, plan), _framed_apart(boards, plan)
    trimmed = sum(board.footprint.area for board in boards) - sum(board.footprint.area for board in slow)
    assert trimmed > 1e-4, "boards of a narrow slot overlap as long as nothing is cut from them"
    assert [board.number for board in fast] == [board.number for board in slow]
    for one, other in zip(fast, slow, strict=True):
        assert shapely.symmetric_difference(one.footprint, other.footprint).area < 1e-9


def test_a_plan_in_parts_is_the_plan():
    plan = shapely.Polygon(comb(12, np.random.default_rng(9), 3000))
    parts = _parts_of(plan)
    assert max(shapely.get_num_coordinates(parts)) <= MOST_POINTS
    assert shapely.area(parts).sum() == approx(plan.area, rel=1e-12)
    assert shapely.symmetric_difference(shapely.union_all(parts), plan).area < 1e-12


def test_boards_within_a_plan_are_found_by_its_parts():
    rng = np.random.default_rng(4)
    plan = shapely.Polygon(comb(6, rng, 400))
    x, y = rng.uniform(-0.1, 1.5, 300), rng.uniform(-0.1, 0.7, 300)
    feet = shapely.box(x, y, x + rng.uniform(0.01, 0.3, 300), y + 0.02)
    areas = _areas_within(feet, _parts_of(plan))
    assert areas == approx(shapely.area(shapely.intersection(feet, plan)), abs=1e-12)
    assert (areas > 0.0).any()
    assert (areas == 0.0).any()
