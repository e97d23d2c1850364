"""The form sheet and its full-size drawings, read back."""

import re
from contextlib import closing
from io import StringIO
from math import hypot, pi
from pathlib import Path

import ezdxf
import numpy as np
import pypdfium2
import pytest

from estimator.commands.jobs import estimate_file
from estimator.estimate import Estimate
from estimator.report.papers.form_drawing import drawing_names, form_drawings, form_dxf
from estimator.report.papers.form_sheet import form_sheet
from estimator.report.papers.form_views import _away, _number_places
from estimator.words import Words
from geometry import shapes
from geometry.cutouts import knock_out
from geometry.plane import Region
from geometry.readers.drawing import read_drawing
from geometry.shape import plan_view, telling_section

METRIC, IMPERIAL = Words("metric", "EUR", "en-GB"), Words("imperial", "USD")
MIRRORED, AS_SEEN = METRIC("form-mirrored"), METRIC("form-as-seen")
EVERY_SHAPE = Path(__file__).parents[1] / "data" / "every_shape" / "job.toml"
SLAB = shapes.Slab(
    1.8,
    0.65,
    0.025,
    cutouts=(shapes.RectangleCutout(0.7, 0.4, 0.5, 0.1, radius_m=0.05), shapes.CircleCutout(0.035, 0.3, 0.57)),
    drop_edges=(shapes.DropEdge(("front", "left"), 0.06, 0.03),),
)


@pytest.fixture(scope="module")
def every_shape() -> Estimate:
    return estimate_file(EVERY_SHAPE)


@pytest.fixture(scope="module")
def whole(every_shape: Estimate) -> list[str]:
    """Its pages: those of the forms, then those of the cutting layout."""
    with closing(pypdfium2.PdfDocument(form_sheet(every_shape))) as pdf:
        return [" ".join(page.get_textpage().get_text_range().split()) for page in pdf]


@pytest.fixture(scope="module")
def pages(whole: list[str]) -> list[str]:
    """The pages of the forms."""
    return whole[: next(number for number, page in enumerate(whole) if "Cutting layout" in page)]


def test_boards_that_are_too_many_to_lay_out_are_said_so_on_the_sheet(tmp_path: Path):
    sizes = "".join(
        f'[[piece]]\nmark = "A{i}"\nuse = "counter"\n'
        f'shape = {{ kind = "slab", length = "{900 + i} mm", width = "{400 + i} mm", thickness = "25 mm" }}\n'
        for i in range(52)
    )
    path = tmp_path / "job.toml"
    path.write_text(f'[job]\nname = "Shelves"\nunits = "metric"\nmix = "backer-45"\n{sizes}')
    estimate = estimate_file(path)
    with closing(pypdfium2.PdfDocument(form_sheet(estimate))) as pdf:
        last = " ".join(pdf[len(pdf) - 1].get_textpage().get_text_range().split())
    nesting = estimate.supply.forms.nesting
    assert nesting is not None
    assert nesting.count == nesting.fewest > 5
    said = f"They need at least {nesting.count} sheets. Lay them out at the saw before you order."
    assert f"260 form boards are too many to lay out here. {said}" in last
    assert any(said in METRIC.text(notice.text) for notice in estimate.supply.forms.warnings)


def test_a_piece_cast_face_down_is_labeled_as_mirrored(pages: list[str]):
    by_mark = {next(mark for mark in ("S1", "O1", "W1", "P1", "M1", "R1", "B1", "K1") if f" {mark} " in page): page
               for page in pages if "for the form builder" in page}  # fmt: skip
    assert len(by_mark) == 8
    for mark in ("S1", "O1", "W1", "K1"):
        assert MIRRORED in by_mark[mark]
        assert AS_SEEN not in by_mark[mark]
    for mark in ("P1", "M1", "R1", "B1"):
        assert AS_SEEN in by_mark[mark]
        assert MIRRORED not in by_mark[mark]


def test_sizes_are_those_inside_the_form_and_places_those_of_the_mirror_image(pages: list[str]):
    (slab,) = [page for page in pages if " S1 " in page]
    assert " 1800 " in slab.split("Finished piece")[0]
    assert " 650 " in slab.split("Finished piece")[0]
    assert "1914 mm" in slab  # first principles: √(1800² + 650²) = 1913.8
    assert "700 × 400 600 100" in slab  # 1800 − 500 − 700 from the left
    assert "⌀ 35 900 570" in slab


def test_boards_are_those_of_the_cut_list_with_left_and_right_as_the_form_builder_sees_them(
    pages: list[str], every_shape: Estimate
):
    (slab,) = [page for page in pages if " S1 " in page]
    boards = slab.split("Boards for one form")[1]
    assert "form bottom 1 1838 688" in boards  # two boards of 19 mm round 1800 × 650
    assert "front edge 1 1838 60" in boards
    assert "right edge 1 650 60" in boards  # the piece has its drop on the left
    assert "left edge 1 650 25" in boards
    (planter,) = [page for page in pages if " P1 " in page]
    assert "long side 2" in planter
    names = {each.mark: each.boards for each in every_shape.supply.forms.marks}
    assert not names["B1"]
    (basin,) = [page for page in pages if " B1 " in page]
    assert "No cut list" in basin
    assert "Form material not stated" in basin  # the default is boards, of which nobody builds it
    assert "Form material melamine board" in slab


def test_numbered_edges_are_drawn_and_a_long_list_repeats_its_mark(pages: list[str]):
    (outline,) = [page for page in pages if " O1 " in page]
    drawn, listed = outline.split("Finished piece")
    assert all(f" {number} " in drawn for number in range(1, 7))
    assert all(f"edge {number} 1 " in listed for number in range(1, 7))
    assert [("for the form builder" in page) for page in pages if " W1 " in page] == [True, False]


def test_the_plane_of_a_miter_is_stated_and_its_corners_are_dimensioned(pages: list[str]):
    (moulding,) = [page for page in pages if " M1 " in page]
    assert "Mitre at the left end: 45° off square in plan, cut upright. The back is short." in moulding
    assert "Mitre at the right end: 30° off square in plan, cut upright. The front is short." in moulding
    # first principles: 120 mm wide, so the left end runs back by 120 and the right end by 120 · tan 30° = 69
    assert "b 1431 0" in moulding
    assert "d 120 120" in moulding


def test_every_page_of_a_form_has_its_title_block(pages: list[str]):
    for page in pages:
        assert "Thickness ± 1.5 mm" in page
        assert "Dimensions in" in page
        assert re.search(r" 1:(1|2|5|10|20|25|50) ", page)


def test_a_size_in_the_section_is_not_repeated_in_words(tmp_path: Path):
    job = '[job]\nname = "Shelf"\nunits = "metric"\nmix = "backer-45"\n[[piece]]\nmark = "A1"\nuse = "counter"\n'
    path = tmp_path / "job.toml"
    path.write_text(
        job + 'shape = { kind = "slab", length = "900 mm", width = "400 mm", thickness = "25 mm", '
        'drop_edges = [{ sides = ["front", "left"], height = "60 mm", thickness = "30 mm" }] }\n'
    )
    with closing(pypdfium2.PdfDocument(form_sheet(estimate_file(path)))) as pdf:
        page = " ".join(pdf[0].get_textpage().get_text_range().split())
        layout = " ".join(pdf[len(pdf) - 1].get_textpage().get_text_range().split())
    section, words = page.split("Section A")[1].split("Notes")
    assert all(f" {size} " in section for size in (60, 25, 30))
    assert "Drop edge: front and right." in words  # as built
    assert "60 mm" not in words
    assert "Cutting layout" in layout
    assert "A1 form bottom 938 × 438" in layout


def test_the_parts_of_a_compound_have_their_size_and_place_in_the_form(tmp_path: Path):
    path = tmp_path / "job.toml"
    path.write_text("""
[job]
name = "Bench"
units = "metric"
mix = "backer-45"
[[piece]]
mark = "K1"
[piece.shape]
kind = "compound"
add = [
  { kind = "slab", length = "1200 mm", width = "400 mm", thickness = "40 mm", at = ["0 mm", "0 mm", "410 mm"] },
  { kind = "slab", length = "80 mm", width = "400 mm", thickness = "410 mm", at = ["75 mm", "0 mm", "0 mm"] },
  { kind = "slab", length = "80 mm", width = "350 mm", thickness = "410 mm", at = ["1000 mm", "30 mm", "0 mm"] },
]
subtract = [
  { kind = "slab", length = "200 mm", width = "100 mm", thickness = "40 mm", at = ["500 mm", "90 mm", "410 mm"] },
]
""")
    with closing(pypdfium2.PdfDocument(form_sheet(estimate_file(path)))) as pdf:
        text = " ".join(pdf[0].get_textpage().get_text_range().split())
    # The form is the mirror image, top down: from the left it is 1200 - 75 - 80, and up is from the top of the bench.
    for row in ("part 1 1200 × 400 × 40 0 0 0", "part 2 80 × 400 × 410 1045 0 40", "part 3 80 × 350 × 410 120 30 40"):
        assert row in text
    assert "taken out 1 200 × 100 × 40 500 90 0" in text
    assert "Thickness" not in text.partition("Notes")[2].partition("Full-size")[0]


def test_the_section_of_a_bench_runs_through_both_legs():
    seat = shapes.Placed(shapes.Slab(1.2, 0.4, 0.04), (0.0, 0.0, 0.41))
    legs = [shapes.Placed(shapes.Slab(0.08, 0.4, 0.41), (x, 0.0, 0.0)) for x in (0.075, 1.0)]
    section = telling_section(shapes.Compound((seat, *legs)))
    assert section is not None
    assert section.axis == "y"
    # Its area is that of the seat's and both legs' ends.
    assert sum(region.area_m2 for region in section.material) == pytest.approx(1.2 * 0.04 + 2 * 0.08 * 0.41)


def test_a_panel_higher_than_long_runs_down_its_page_at_a_scale_to_build_from(tmp_path: Path):
    job = '[job]\nname = "Facade"\nunits = "imperial"\nmix = "backer-45"\n[[piece]]\nmark = "F1"\nuse = "panel"\n'
    path = tmp_path / "job.toml"
    path.write_text(job + 'shape = { kind = "panel", length = "48 in", height = "96 in", skin = "5/8 in" }\n')
    with closing(pypdfium2.PdfDocument(form_sheet(estimate_file(path)))) as pdf:
        texts = [" ".join(page.get_textpage().get_text_range().split()) for page in pdf]
    (page,) = [text for text in texts if "Form F1" in text]  # its lists beside it, so that one page holds all
    assert "Boards for one form" in page
    # first principles: 96 in at 1:24 are 4 in, less than half of a page of letter paper; across it, 1:64 would be left
    assert re.search(r" 1:(12|16|24) inches", page)


def test_numbers_of_small_knockouts_touch_neither_each_other_nor_a_knockout():
    faucet = [(x, 50.0, x + 3.0, 53.0) for x in (40.0, 47.0, 54.0)]  # 8 in apart at 1:84, points
    sink = (30.0, 20.0, 70.0, 44.0)
    places = _number_places([sink, *faucet])
    assert places[0] == (50.0, 32.0)
    for i, (x, y) in enumerate(places):
        assert all(hypot(x - a, y - b) >= 14.0 for a, b in places[:i])  # their rings are 12 points wide
        assert all(_away((x, y), box) >= 6.0 for j, box in enumerate([sink, *faucet]) if j != i)


def test_the_drawing_is_full_size_in_mm_with_arcs_kept_and_mirrored():
    drawing = ezdxf.read(StringIO(form_dxf(SLAB, METRIC).decode()))
    assert drawing.units == ezdxf.units.MM
    assert not drawing.audit().errors
    rings = [line for line in drawing.modelspace() if line.dxf.layer == "OUTLINE"]
    assert all(line.is_closed for line in rings)
    outline, sink, tap = sorted(rings, key=lambda line: -np.ptp([p[0] for p in line.get_points("xy")]))
    corners = np.array(outline.get_points("xy"))
    assert corners.min(axis=0) == pytest.approx([0, 0], abs=1e-9)
    assert corners.max(axis=0) == pytest.approx([1800, 650])
    assert min(p[0] for p in sink.get_points("xy")) == pytest.approx(1800 - 500 - 700)
    assert sorted({round(abs(p[0]), 9) for p in sink.get_points("b")}) == pytest.approx([0, np.tan(pi / 8)])
    (x0, y0, b0), (x1, y1, b1) = tap.get_points("xyb")
    assert ((x0 + x1) / 2, (y0 + y1) / 2) == pytest.approx((1800 - 300, 570))
    assert abs(b0) == abs(b1) == 1.0  # two half turns
    assert abs(x1 - x0) == pytest.approx(35)


@pytest.mark.parametrize(
    ("words", "unit", "bar", "length"), [(METRIC, ezdxf.units.MM, 100, 1800), (IMPERIAL, ezdxf.units.IN, 4, 70.866)]
)
def test_a_drawing_in_the_unit_of_the_job_has_a_bar_to_check_its_scale(
    words: Words, unit: int, bar: float, length: float, tmp_path: Path
):
    path = tmp_path / "S1.dxf"
    path.write_bytes(form_dxf(SLAB, words))
    drawing = ezdxf.readfile(path)
    assert drawing.units == unit
    (hatch,) = drawing.modelspace().query('HATCH[layer=="CHECK"]')
    xs = [vertex[0] for vertex in hatch.paths[0].vertices]
    assert max(xs) - min(xs) == bar
    assert drawing.header["$EXTMAX"][0] == pytest.approx(length, abs=1e-3)
    handles = [entity.dxf.handle for entity in drawing.entitydb.values()]
    assert len(set(handles)) == len(handles)
    assert int(str(drawing.entitydb.handles), 16) > max(int(handle, 16) for handle in handles)
    read = read_drawing(path)
    assert read.area_m2 == pytest.approx(1.8 * 0.65 - 0.7 * 0.4 + (4 - pi) * 0.05**2 - pi * 0.0175**2)


def test_the_drawing_of_a_planter_is_not_mirrored():
    box = shapes.Box(0.9, 0.4, 0.45, 0.02, 0.025, drain_holes=(shapes.DrainHole(0.03, 0.2, 0.2),))
    drawing = ezdxf.read(StringIO(form_dxf(box, METRIC).decode()))
    holes = [p for line in drawing.modelspace() if line.dxf.layer == "OUTLINE" for p in line.get_points("xyb") if p[2]]
    assert np.mean([p[0] for p in holes]) == pytest.approx(200)


def test_every_mark_has_its_drawing_with_the_same_bytes_each_time(every_shape: Estimate):
    drawn = form_drawings(every_shape)
    assert set(drawn) == {f"forms/{piece.taken.piece.mark}.dxf" for piece in every_shape.pieces}
    assert form_drawings(every_shape) == drawn
    assert b"2026" not in drawn["forms/S1.dxf"]  # no date of writing in it


def test_marks_that_are_no_file_names_get_file_names_of_their_own():
    names = drawing_names(["A/1", "A-1", "a:1", "..", "../../x", "ü ½"])
    assert len({name.lower() for name in names.values()}) == 6
    assert all(name.startswith("forms/") and name.count("/") == 1 and ".." not in name for name in names.values())


@pytest.mark.parametrize(
    ("region", "kind", "radius"),
    [
        (Region.circle(0.2, (0.3, 0.3)), "round", 0.1),
        (Region.rectangle(0.4, 0.3), "rectangle", 0.0),
        (Region.rectangle(0.4, 0.3, 0.02), "rectangle", 0.02),
        (Region.ellipse(0.4, 0.3), "shaped", None),
        (Region.from_points([(0, 0), (1, 0), (0, 1)]), "shaped", None),
    ],
)
def test_knockouts_are_named_by_kind(region: Region, kind: str, radius: float | None):
    found = knock_out(region)
    assert found.kind == kind
    assert found.radius_m == (None if radius is None else pytest.approx(radius))


def test_a_knockout_keeps_its_kind_in_the_mirror_image():
    kinds = [knock_out(opening).kind for opening in plan_view(SLAB).mirrored().openings]
    assert kinds == ["rectangle", "round"]


def test_a_window_in_a_ribbed_panel_has_no_boards_that_a_builder_cannot_find_or_cut(tmp_path: Path):
    path = tmp_path / "job.toml"
    path.write_text(
        '[job]\nname = "Gallery"\nunits = "metric"\nmix = "backer-45"\n[[piece]]\nmark = "P1"\nuse = "panel"\n'
        'shape = { kind = "panel", length = "2400 mm", height = "1500 mm", skin = "16 mm", '
        'returns = [{ sides = ["left", "right"], depth = "80 mm", thickness = "20 mm" }], '
        'ribs = { spacing = "600 mm", width = "60 mm", depth = "60 mm", ways = "x" }, '
        'openings = [{ kind = "rectangle", length = "900 mm", width = "700 mm", x = "800 mm", y = "400 mm", '
        'radius = "20 mm", return_depth = "60 mm", return_thickness = "16 mm" }] }\n'
    )
    estimate = estimate_file(path)
    (forms,) = estimate.supply.forms.marks
    assert min(board.length_m for board in forms.boards) > 0.003  # a rib and a corner left 0.5 mm between them
    with closing(pypdfium2.PdfDocument(form_sheet(estimate))) as pdf:
        said = " ".join(" ".join(page.get_textpage().get_text_range().split()) for page in pdf)
    assert "inside former, radius 36 mm 4 56 44" in said
    assert "at edge" not in said  # no edge of a panel has a number on its drawing
    assert "Depth 60 mm from the face, thickness 16 mm." in said
