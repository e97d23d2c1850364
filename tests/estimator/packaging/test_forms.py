"""Forms, their renewal, and samples."""

from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.errors import FaultError
from estimator.packaging.forms import boards_of, cost_per_cast, fitted, form_set, samples
from estimator.packaging.materials import cost_per_m3
from estimator.packaging.nesting import Board, Sheet
from geometry.plane import Region, Ring
from geometry.shapes import Box, CircleCutout, DropEdge, Extrusion, Outline, Panel, PanelOpening, RectangleCutout, Slab
from tests.refusal import METRIC, words_of

INCH = 0.0254


@pytest.mark.parametrize(
    ("casts", "forms", "uses", "standing", "built"),
    [(1, 1, 3, 1, 1), (6, 1, 3, 1, 2), (7, 1, 3, 1, 3), (7, 2, 3, 2, 3), (2, 5, 3, 2, 2), (8, 2, 3, 2, 4)],
)
def test_forms_are_renewed_when_their_share_wears_them_out(casts, forms, uses, standing, built):
    made = form_set(casts, forms, uses)
    assert (made.forms, made.built, made.renewals) == (standing, built, built - standing)


@given(st.integers(1, 60), st.integers(1, 12), st.integers(1, 12))
def test_forms_cast_in_turn_are_renewed_as_often_as_they_are_worn_out(casts, forms, uses):
    worn = [0] * min(casts, forms)
    built = len(worn)
    for cast in range(casts):
        at = cast % len(worn)
        if worn[at] == uses:
            worn[at], built = 0, built + 1
        worn[at] += 1
    made = form_set(casts, forms, uses)
    assert (made.casts, made.forms, made.built) == (casts, len(worn), built)
    assert cost_per_cast(built * 30.0, made) == pytest.approx(built * 30.0 / casts)


def test_samples_are_twelve_inches_square_priced_and_credited():
    made = samples(3, 0.75 * INCH, 45.0)
    assert made.area_m2 == pytest.approx(3 * 144 * INCH**2)
    assert made.volume_m3 == pytest.approx(3 * 144 * 0.75 * INCH**3)
    assert (made.price, made.credit) == (135.0, 135.0)
    assert samples(2, 0.02, 45.0, credited=False).credit == 0.0


@pytest.mark.parametrize("numbers", [(0, 1, 1), (1, 0, 1), (1, 1, 0)])
def test_forms_without_uses_or_area_are_refused(numbers):
    with pytest.raises(FaultError):
        form_set(*numbers)


@pytest.mark.parametrize("numbers", [(-1, 0.02, 45.0), (1, 0.0, 45.0), (1, 0.02, -45.0)])
def test_samples_without_size_or_count_are_refused_by_name(numbers):
    with pytest.raises(FaultError) as raised:
        samples(*numbers)
    assert raised.value.key == "samples"
    assert words_of(raised.value).startswith("Count, thickness and price of samples can't be negative or zero.")


@pytest.mark.parametrize(
    ("length_in", "width_in", "parts", "size_in"),
    [
        (96.0, 48.0, 1, (96.0, 48.0)),  # as large as the sheet
        (48.0, 96.0, 1, (48.0, 96.0)),  # and turned
        (97.0, 3.0, 2, (48.5, 3.0)),
        (200.0, 50.0, 6, (200.0 / 3, 25.0)),
        (130.0, 10.0, 2, (65.0, 10.0)),
    ],
)
def test_a_board_larger_than_the_sheet_is_cut_into_equal_parts_that_cover_it(length_in, width_in, parts, size_in):
    board = Board("edge", length_in * INCH, width_in * INCH, 2)
    (cut,) = fitted((board,), Sheet(96.0 * INCH, 48.0 * INCH, 0.0))
    assert str(cut.name) == ("edge" if parts == 1 else f"board-part (board = edge, parts = {parts})")
    assert cut.count == 2 * parts
    assert (cut.length_m / INCH, cut.width_m / INCH) == pytest.approx(size_in)
    # first principles: nothing is lost
    assert cut.count * cut.length_m * cut.width_m == pytest.approx(2 * board.length_m * board.width_m)


@given(
    st.lists(st.tuples(st.floats(0.05, 8.0), st.floats(0.05, 8.0), st.integers(1, 3)), min_size=1, max_size=4),
    st.tuples(st.floats(1.0, 3.0), st.floats(1.0, 3.0)),
    st.floats(0.0, 0.1),
)
def test_boards_are_cut_into_the_fewest_equal_parts_that_fit_a_trimmed_sheet(drawn, sides, trim):
    boards = tuple(Board(f"b{n}", *size) for n, size in enumerate(drawn))
    room = sorted(side - 2 * trim for side in sides)
    for board, cut in zip(boards, fitted(boards, Sheet(*sides, 0.003, trim)), strict=True):
        assert sorted((cut.length_m, cut.width_m))[0] <= room[0] + 1e-8
        assert max(cut.length_m, cut.width_m) <= room[1] + 1e-8
        area = board.count * board.length_m * board.width_m
        assert cut.count * cut.length_m * cut.width_m == pytest.approx(area)
        parts, (short, long) = cut.count // board.count, sorted((board.length_m, board.width_m))
        grids = [(along, parts // along) for along in range(1, parts + 1) if parts % along == 0]
        assert any(long / n <= room[1] + 1e-8 and short / m <= room[0] + 1e-8 for n, m in grids)
        # long sides along the sheet: one fewer either way leaves parts that are too long or too wide
        along = round(long / max(cut.length_m, cut.width_m)) if parts == 1 else round(long / cut.length_m)
        across = parts // along
        assert along == 1 or long / (along - 1) > room[1]
        assert across == 1 or short / (across - 1) > room[0]


@pytest.mark.parametrize(("width_m", "parts"), [(1.2, 1), (1.2001, 2)])
def test_a_board_as_wide_as_the_trimmed_sheet_stays_whole(width_m, parts):
    # first principles: 10 mm off each edge of 2,440 by 1,220 mm leave 2,420 by 1,200 mm
    (cut,) = fitted((Board("bottom", 2.42, width_m),), Sheet(2.44, 1.22, 0.003, 0.01))
    assert cut.count == parts


CORNERS = np.array([[0.0, 0.0], [1.2, 0.0], [1.2, 0.6], [0.0, 0.6]])
ROUNDED = Outline(Region(Ring(CORNERS, np.array([0.0, 0.5, 0.0, 0.0]))), 0.03)
SHAPES = {
    "a slab with a round and a square hole": (
        Slab(1.2, 0.6, 0.03, (RectangleCutout(0.5, 0.3, 0.2, 0.15, 0.02), CircleCutout(0.2, 0.95, 0.3))),
        ["board-bottom", "board-side-edge", "board-former", "board-knockout-side", "board-knockout-plug"],
    ),
    "a slab with a drop": (
        Slab(1.2, 0.6, 0.02, (), (DropEdge(("front", "left"), 0.06, 0.03),)),
        ["board-bottom", "board-side-edge", "board-drop-end", "board-drop-inside"],
    ),
    "a plan with a round end": (
        ROUNDED,
        ["board-bottom", "board-edge (number = 1)", "board-edge-former (number = 2", "board-former"],
    ),
    "a molding": (
        Extrusion(
            Region.from_points(np.array([[0.0, 0.0], [0.12, 0.0], [0.12, 0.04], [0.04, 0.04], [0.04, 0.1], [0, 0.1]])),
            1.5,
        ),
        ["board-end (side = side-left)", "board-end (side = side-right)"],
    ),
    "a panel with a window whose return turns round its corners": (
        Panel(2.4, 1.5, 0.016, openings=(PanelOpening(RectangleCutout(0.9, 0.7, 1.2, 0.75, 0.02), 0.06, 0.016),)),
        ["board-bottom", "board-inside-former"],
    ),
    "a box": (
        Box(0.6, 0.4, 0.3, 0.03, 0.03),
        ["board-bottom", "board-run (run = long)", "board-core-run", "board-core-top"],
    ),
}


@pytest.mark.parametrize("name", SHAPES)
def test_every_board_has_the_mark_of_its_piece_and_a_name_that_can_be_printed(name):
    shape, needed = SHAPES[name]
    boards = boards_of(shape, "C1", 0.018)
    assert {board.mark for board in boards} == {"C1"}
    names = " ".join(str(board.name) for board in boards)
    assert [part for part in needed if part not in names] == []
    assert all(METRIC.text(board.name) for board in boards)


def test_a_mix_of_priced_materials_costs_its_masses_times_their_prices():
    # first principles, from the packs: 50 kg at 20.00 and 25 kg at 5.00, of which the cheaper by weight counts
    cement, sand, water = (
        SimpleNamespace(kind=kind, packs=[SimpleNamespace(unit_price=price, mass_kg=kg) for price, kg in packs])
        for kind, packs in (("cement", [(20.0, 50.0), (25.0, 50.0)]), ("sand", [(5.0, 25.0)]), ("water", []))
    )
    recipe = SimpleNamespace(recipe_kg_m3={"cement": 600.0, "sand": 500.0, "water": 200.0})
    materials = {"cement": cement, "sand": sand, "water": water}
    assert cost_per_m3(recipe, materials) == pytest.approx(600.0 * 0.4 + 500.0 * 0.2)
    sand.packs[0].unit_price = None
    assert cost_per_m3(recipe, materials) is None
