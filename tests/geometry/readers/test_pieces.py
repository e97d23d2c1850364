"""Drawings of several pieces: marks, holes, borders, layers and omissions, in DXF and SVG."""

import math
from itertools import pairwise

import ezdxf
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.words import PLAIN
from geometry.congruence import congruent
from geometry.plane import Region
from geometry.readers.drawing import read_drawing
from geometry.readers.pieces import Layers, read_pieces
from geometry.readers.sheet import Names
from tests.refusal import refusal

IN_M = 0.0254
L_SHAPE = [(0, 0), (96, 0), (96, 25.5), (25.5, 25.5), (25.5, 72), (0, 72)]
LAYERS = ("BORDER", "COUNTER", "SINK", "LABELS", "DIM-1")


class Plan:
    """A drawing in inches, and a function that saves and reads it."""

    def __init__(self, path):
        self.document = ezdxf.new("R2010", units=1)
        self.space = self.document.modelspace()
        for name in LAYERS:
            self.document.layers.add(name)
        self.path = path

    def outline(self, points, layer="COUNTER", **attributes):
        self.space.add_lwpolyline(points, close=True, dxfattribs={"layer": layer, **attributes})

    def box(self, x, y, width, height, layer="COUNTER", **attributes):
        self.outline([(x, y), (x + width, y), (x + width, y + height), (x, y + height)], layer, **attributes)

    def mark(self, text, x, y, layer="LABELS", height=1.0):
        self.space.add_text(text, dxfattribs={"layer": layer, "height": height}).set_placement((x, y))

    def read(self, **options):
        self.document.saveas(self.path)
        return read_pieces(self.path, **options)

    def refused(self, text, **options):
        return refusal(text), lambda: self.read(**options)


@pytest.fixture
def plan(tmp_path):
    return Plan(tmp_path / "kitchen.dxf")


def marks(drawing):
    return [(piece.mark, piece.quantity) for piece in drawing.pieces]


def area_in2(piece):
    return piece.region.area_m2 / IN_M**2


def left_out(drawing):
    return dict(drawing.counts)


def test_a_counter_is_read_despite_gaps_a_bowl_line_and_a_stray_line(plan):
    # first principles: 96 · 72 − 70.5 · 46.5 − 30 · 16 − π(1.375/2)² = 3152.2651 in²
    for (x0, y0), (x1, y1) in pairwise([*L_SHAPE, L_SHAPE[0]]):
        length = math.hypot(x1 - x0, y1 - y0)
        short = 0.02 / length
        plan.space.add_line((x0, y0), (x1 - short * (x1 - x0), y1 - short * (y1 - y0)))
    plan.box(40, 5, 30, 16, "SINK")
    plan.box(41, 6, 28, 14, "SINK")
    plan.space.add_circle((55, 23), 1.375 / 2)
    plan.space.add_line((2_000_000, 0), (2_000_001, 0))
    plan.mark("C1", 10, 10)
    (piece,) = plan.read(gap_m=IN_M / 32).pieces
    assert area_in2(piece) == pytest.approx(3152.2651, abs=0.05)  # the gaps move corners by up to 0.02
    assert (len(piece.region.holes), len(piece.region.outer.points)) == (2, 6)


def test_border_title_block_and_balloons_are_no_pieces(plan):
    plan.box(-20, -60, 220, 160, "BORDER")
    plan.box(120, -60, 80, 20, "BORDER")
    for text, x in (("A-101", 125), ("KITCHEN", 150), ("2026", 170)):
        plan.mark(text, x, -55)
    plan.outline(L_SHAPE)
    plan.mark("C1", 10, 10)
    plan.space.add_circle((11, 10.5), 1.6, dxfattribs={"layer": "LABELS"})
    plan.box(110, 40, 60, 36)
    plan.space.add_mtext("C2\nIsland").set_location((120, 60))
    drawing = plan.read()
    assert marks(drawing) == [("C1", 1), ("C2", 1)]
    assert (left_out(drawing)["border"], left_out(drawing)["title-block"], left_out(drawing)["balloon"]) == (1, 1, 1)
    assert not drawing.pieces[0].region.holes
    measured = read_drawing(plan.path)
    assert len(measured.regions) == 2  # for `measure` too


def test_a_title_block_of_loose_lines_and_the_number_of_the_sheet_make_no_piece(plan):
    for start, end in pairwise([(0, 0), (420, 0), (420, 297), (0, 297), (0, 0)]):
        plan.space.add_line(start, end, dxfattribs={"layer": "BORDER"})
    for start, end in (((300, 0), (300, 40)), ((300, 40), (420, 40)), ((300, 20), (420, 20))):
        plan.space.add_line(start, end, dxfattribs={"layer": "BORDER"})
    plan.mark("A-101", 380, 5)
    plan.box(30, 60, 90, 60)
    plan.mark("C1", 40, 70)
    drawing = plan.read()
    assert marks(drawing) == [("C1", 1)]
    assert left_out(drawing) == {"border": 1, "mark": 1, "open": 2}


def test_cells_of_a_title_block_and_one_beside_the_border_make_no_piece(plan):
    plan.box(0, 0, 420, 297, "BORDER")
    plan.box(300, 0, 60, 20, "BORDER")
    plan.box(360, 0, 60, 20, "BORDER")
    plan.mark("KITCHEN", 305, 5)
    plan.mark("A-101", 365, 5)
    plan.box(300, 270, 118, 25, "BORDER")
    for row, text in enumerate(("NOTES", "B2", "EASED EDGES", "SEALED")):
        plan.mark(text, 305, 272 + 5 * row)
    plan.box(30, 60, 90, 60)
    plan.mark("C1", 40, 70)
    drawing = plan.read()
    assert (marks(drawing), left_out(drawing)["title-block"]) == ([("C1", 1)], 3)


@pytest.mark.parametrize("frame", [False, True])
def test_a_mark_in_the_border_or_in_a_hole_is_not_guessed_at(plan, frame):
    plan.box(0, 0, 420, 297, "BORDER")
    if frame:
        plan.box(10, 10, 400, 277, "BORDER")
    plan.mark("A3", 2, 2)
    plan.box(30, 60, 90, 60)
    plan.mark("C1", 40, 70)
    with refusal(r"The outline marked A3, at \(2, 2\) in, encloses outlines with marks of their own: C1"):
        plan.read()
    assert marks(plan.read(layers=Layers(ignore=Names(("BORDER",))))) == [("C1", 1)]
    if not frame:
        holes = Layers(pieces=Names(("BORDER",)), holes=Names(("COUNTER",)))
        assert marks(plan.read(layers=holes)) == [("A3", 1)]


def test_marks_beside_their_pieces_are_counted(plan):
    plan.box(0, 0, 60, 24)
    plan.mark("C1", 2, 30)
    drawing = plan.read()
    assert (marks(drawing), left_out(drawing)) == ([(None, 1)], {"mark": 1})


def test_a_double_border_is_left_out_and_marked_panels_against_it_stay(plan):
    plan.box(-1, -1, 102, 52, "BORDER")
    plan.box(0, 0, 100, 50, "BORDER")
    for number in range(2):
        plan.box(50 * number, 0, 50, 50)
        plan.mark(f"P{number + 1}", 50 * number + 5, 5)
    assert marks(plan.read()) == [("P1", 1), ("P2", 1)]


def test_a_sink_is_a_hole_and_an_island_in_it_counts_only_with_a_mark_of_its_own(plan):
    plan.box(0, 0, 60, 24)
    plan.mark("C1", 2, 2)
    plan.box(10, 4, 20, 16)
    plan.box(12, 6, 8, 8)
    plan.mark("C2", 13, 7)
    plan.box(22, 6, 4, 4)
    drawing = plan.read()
    assert [(piece.mark, round(area_in2(piece), 6)) for piece in drawing.pieces] == [("C1", 1120), ("C2", 64)]
    assert left_out(drawing) == {"bowl": 1}


@pytest.mark.parametrize(("unmarked", "expected"), [("leave-out", [("C1", 1)]), ("number", [("C1", 1), (None, 1)])])
def test_outlines_without_a_mark_beside_marked_ones_are_refused(plan, unmarked, expected):
    plan.box(0, 0, 60, 24)
    plan.mark("C1", 2, 2)
    plan.box(100, 0, 60, 24)
    with refusal(r"1 outline has no mark, at \(100, 0\) in"):
        plan.read()
    assert marks(plan.read(unmarked=unmarked)) == expected


def test_pieces_without_marks_come_in_reading_order(plan):
    for x, y in ((0, 0), (40, 1), (0, 40), (45, 38), (90, 30)):
        plan.box(x, y, 30, 24)
    corners = [tuple(round(float(v) / IN_M) for v in piece.region.bounds[:2]) for piece in plan.read().pieces]
    assert corners == [(0, 40), (45, 38), (90, 30), (0, 0), (40, 1)]
    assert marks(plan.read(layers=Layers(marks=Names()))) == [(None, 1)] * 5


def test_two_marks_in_a_piece_are_refused_with_their_places(plan):
    plan.box(0, 0, 60, 24)
    plan.mark("C1", 2, 2)
    plan.mark("R2", 50, 20)
    with refusal(r"A piece has two marks: C1 and R2, at \(2, 2\) in and \(50, 20\) in"):
        plan.read()


def test_pieces_of_one_mark_are_a_quantity_where_turned_and_refused_where_mirrored(plan):
    corner = np.array([(0, 0), (30, 0), (30, 10), (12, 10), (12, 24), (0, 24)], dtype=float)
    turn = np.array([(math.cos(1.1), -math.sin(1.1)), (math.sin(1.1), math.cos(1.1))])
    for shape in (corner, corner @ turn.T + (80, 0)):
        plan.outline(shape.tolist())
        plan.mark("C1", *(shape[:2].mean(axis=0) * 0.9 + shape[3] * 0.1))
    assert marks(plan.read()) == [("C1", 2)]
    mirrored = corner * (-1, 1) + (200, 0)
    plan.outline(mirrored.tolist())
    plan.mark("C1", 195, 3)
    with refusal("Two pieces marked C1 differ by more than 0.5 mm or are mirrored"):
        plan.read()


def test_layers_have_the_meaning_that_the_user_gives(plan):
    plan.outline(L_SHAPE)
    plan.mark("C1", 10, 10)
    plan.box(40, 5, 30, 16, "SINK")
    plan.box(2, 2, 90, 20, "DIM-1")
    plan.box(-50, -50, 300, 300, "BORDER")
    plan.space.add_line((-50, 0), (0, 0), dxfattribs={"layer": "DIM-1"})
    holes = Layers(Names(("COUNTER",)), Names(("sink",)), Names(("LAB*",)))
    (piece,) = plan.read(layers=holes).pieces
    assert area_in2(piece) == pytest.approx(96 * 72 - 70.5 * 46.5 - 480)
    (piece,) = plan.read(layers=Layers(Names(("COUNTER",)), ignore=Names(("DIM*",)))).pieces
    assert area_in2(piece) == pytest.approx(96 * 72 - 70.5 * 46.5 - 480)
    (piece,) = plan.read(layers=Layers(ignore=Names(("dim*", "border", "sink")))).pieces
    assert area_in2(piece) == pytest.approx(96 * 72 - 70.5 * 46.5)
    with refusal('Nothing lies on a layer "SINKS"'):
        plan.read(layers=Layers(holes=Names(("SINKS",))))


def test_any_text_on_a_layer_of_marks_is_a_mark_where_there_is_no_usual_one(plan):
    plan.box(0, 0, 60, 24)
    plan.mark("ISLAND", 2, 2)
    plan.box(100, 0, 60, 24)
    plan.mark("C1", 102, 2)
    plan.mark("eased edge", 102, 8)
    assert marks(plan.read(layers=Layers(marks=Names(("LABELS",))))) == [("ISLAND", 1), ("C1", 1)]
    assert marks(plan.read(unmarked="number")) == [(None, 1), ("C1", 1)]


def test_lines_along_edges_join_no_outline(plan):
    plan.outline(L_SHAPE)
    plan.mark("C1", 10, 10)
    plan.document.layers.add("DROP")
    plan.space.add_line((0, 0), (96, 0), dxfattribs={"layer": "DROP"})
    plan.space.add_line((96, 0), (96, 25.5), dxfattribs={"layer": "DROP"})
    drawing = plan.read(layers=Layers(edges=Names(("DROP",))))
    assert [names for names, _ in drawing.edge_lines] == [("DROP",), ("DROP",)]
    assert drawing.edge_lines[0][1] == pytest.approx(np.array([(0, 0), (96, 0)]) * IN_M)
    assert area_in2(drawing.pieces[0]) == pytest.approx(96 * 72 - 70.5 * 46.5)


@pytest.mark.parametrize(
    ("attributes", "reason"),
    [
        ({"layer": "OFF"}, "off"),
        ({"layer": "FROZEN"}, "frozen"),
        ({"layer": "UNPLOTTED"}, "unplotted"),
        ({"invisible": 1}, "invisible"),
    ],
)
@pytest.mark.parametrize("inside_block", [False, True])
def test_hidden_entities_are_counted_by_reason_on_a_named_layer_and_in_blocks_too(
    plan, attributes, reason, inside_block
):
    for name in ("OFF", "FROZEN", "UNPLOTTED"):
        plan.document.layers.add(name)
    plan.document.layers.get("OFF").off()
    plan.document.layers.get("FROZEN").freeze()
    plan.document.layers.get("UNPLOTTED").dxf.plot = 0
    plan.box(0, 0, 40, 20)
    plan.mark("C1", 2, 2)
    space = plan.document.blocks.new("PART") if inside_block else plan.space
    space.add_lwpolyline([(100, 0), (110, 0), (110, 20)], close=True, dxfattribs={"layer": "COUNTER", **attributes})
    if inside_block:
        plan.space.add_blockref("PART", (0, 0))
    named = Names(("COUNTER", "OFF", "FROZEN", "UNPLOTTED")[:1])
    for layers in (None, Layers(pieces=named)):
        drawing = plan.read(layers=layers)
        assert (marks(drawing), left_out(drawing)) == ([("C1", 1)], {reason: 1})


def test_attributes_of_blocks_are_marks(plan):
    block = plan.document.blocks.new("LABEL")
    block.add_attdef("MARK", (0, 0))
    plan.box(0, 0, 40, 20)
    plan.space.add_blockref("LABEL", (5, 5)).add_attrib("MARK", "B-12", (5, 5))
    assert marks(plan.read()) == [("B-12", 1)]


def test_everything_left_out_is_reported_in_one_line(plan):
    plan.box(0, 0, 40, 20)
    plan.box(0, 0, 40, 20)
    plan.mark("C1", 2, 2)
    plan.space.add_linear_dim(base=(0, -5), p1=(0, 0), p2=(40, 0)).render()
    plan.space.add_line((100, 100), (140, 100))
    plan.document.layout("Layout1").add_line((0, 0), (1, 1))
    drawing = plan.read()
    assert [PLAIN.text(item) for item in drawing.omitted] == [
        "1 duplicate",
        "1 open line",
        "1 dimension",
        "1 in paper space",
    ]
    assert drawing.problems == ()


SVG = """<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="200mm" viewBox="0 0 300 200">
<g id="frame"><rect x="1" y="1" width="298" height="198"/><rect x="201" y="171" width="98" height="28"/></g>
<g id="counters" transform="translate(10 10)"><rect width="120" height="60"/>
<g id="sinks"><circle cx="60" cy="30" r="10"/></g>
<text x="5" y="12" font-size="6">C1<tspan x="5" dy="7">island</tspan></text></g>
<rect x="150" y="20" width="40" height="30"/>
<text transform="translate(160 40)"><tspan x="0" y="0">C2</tspan></text>
<rect x="20" y="100" width="30" height="30" style="display:none"/></svg>"""


def test_an_svg_file_may_hold_several_pieces(tmp_path):
    path = tmp_path / "plan.svg"
    path.write_text(SVG)
    drawing = read_pieces(path)
    assert [(piece.mark, len(piece.region.holes)) for piece in drawing.pieces] == [("C1", 1), ("C2", 0)]
    assert left_out(drawing) == {"border": 1, "title-block": 1, "invisible": 1}
    assert drawing.pieces[0].layers == ("counters",)
    (piece,) = read_pieces(path, layers=Layers(Names(("COUNTERS",)), Names(("sinks",)))).pieces
    assert piece.region.area_m2 == pytest.approx(7200e-6 - math.pi * 1e-4)


@settings(max_examples=25, deadline=None)
@given(st.data())
def test_random_sheets_give_back_what_was_drawn(tmp_path_factory, data):
    # property: in any drawing order, each marked rectangle comes back with its area, holes and mark
    plan = Plan(tmp_path_factory.mktemp("sheet") / "sheet.dxf")
    count = data.draw(st.integers(1, 6))
    sizes = data.draw(st.lists(st.tuples(st.integers(12, 60), st.integers(12, 40)), min_size=count, max_size=count))
    sinks = data.draw(st.lists(st.booleans(), min_size=count, max_size=count))
    drawn = []
    for number, ((width, height), sink) in enumerate(zip(sizes, sinks, strict=True)):
        x, y = 100 * (number % 3), 60 * (number // 3)
        drawn.append(lambda x=x, y=y, w=width, h=height: plan.box(x, y, w, h))
        drawn.append(lambda x=x, y=y, n=number: plan.mark(f"C{n + 1}", x + 1, y + 1))
        if sink:
            drawn.append(lambda x=x, y=y: plan.box(x + 3, y + 3, 6, 6))
            drawn.append(lambda x=x, y=y: plan.box(x + 4, y + 4, 4, 4))
    if data.draw(st.booleans()):
        drawn.append(lambda: plan.box(-10, -10, 400, 200, "BORDER"))
        drawn.append(lambda: plan.box(300, -10, 90, 15, "BORDER"))
    for draw in data.draw(st.permutations(drawn)):
        draw()
    found = {piece.mark: area_in2(piece) for piece in plan.read().pieces}
    expected = {f"C{n + 1}": w * h - 36 * sink for n, ((w, h), sink) in enumerate(zip(sizes, sinks, strict=True))}
    assert found == pytest.approx(expected)


@settings(max_examples=40, deadline=None)
@given(
    radii=st.lists(st.floats(0.2, 1.0), min_size=4, max_size=9),
    turn=st.floats(-math.pi, math.pi),
    jitter=st.floats(0, 3e-4),
    seed=st.integers(0, 2**16),
)
def test_congruence_allows_turns_and_jitter_but_no_mirroring_or_growth(radii, turn, jitter, seed):
    rng = np.random.default_rng(seed)
    angles = 2 * math.pi * np.arange(len(radii)) / len(radii)
    points = np.array(radii)[:, None] * np.stack([np.cos(angles), np.sin(angles)], axis=1)
    first = Region.from_points(points, [0.03 * points[:3] + (0.02, 0.05)])
    matrix = np.array([(math.cos(turn), -math.sin(turn)), (math.sin(turn), math.cos(turn))])
    away = rng.uniform(-1, 1, points.shape)
    away *= jitter / np.maximum(np.hypot(*away.T), 1e-12)[:, None] if jitter else 0.0
    second = Region.from_points(
        (points + away) @ matrix.T + (3, -2), [(0.03 * points[:3] + (0.02, 0.05)) @ matrix.T + (3, -2)]
    )
    assert congruent(first, second)
    assert congruent(second, first)
    assert not congruent(first, first.scaled(1.02))
    mirrored = Region.from_points(points * (-1, 1), [(0.03 * points[:3] + (0.02, 0.05)) * (-1, 1)])
    assert not congruent(first, mirrored)
