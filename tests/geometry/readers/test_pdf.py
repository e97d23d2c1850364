"""PDF drawings: lines and arcs at true size by a scale, forms within forms, and pages that hide their size refused."""

import zlib
from io import BytesIO
from math import pi

import pytest
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from geometry.errors import FaultError
from geometry.files import InputFile, Limits, Paper
from geometry.readers.drawing import read_drawing
from geometry.readers.pieces import Layers, read_pieces
from tests.refusal import note_texts, words_of

pytest.importorskip("pypdfium2")
pypdf = pytest.importorskip("pypdf")
approx = pytest.approx


def page(draw, *more, size=(297, 210)):
    """A PDF of pages, each drawn on a canvas."""
    canvas = Canvas(content := BytesIO(), pagesize=(size[0] * mm, size[1] * mm))
    for step in (draw, *more):
        step(canvas)
        canvas.showPage()
    canvas.save()
    return content.getvalue()


def plan(canvas):
    """1:20 of 2400 by 650 with a round hole of 100, a dimension line, a mark and a note of the scale."""
    canvas.setLineWidth(0.7 * mm)
    canvas.rect(50 * mm, 60 * mm, 120 * mm, 32.5 * mm)
    canvas.setLineWidth(0.35 * mm)
    canvas.circle(110 * mm, 76 * mm, 5 * mm)
    canvas.line(50 * mm, 50 * mm, 170 * mm, 50 * mm)
    canvas.drawString(60 * mm, 70 * mm, "C1")
    canvas.drawString(200 * mm, 10 * mm, "Scale 1:20")


def read(content, scale=20.0, number=None, **more):
    return read_drawing(InputFile("plan.pdf", content, paper=Paper(scale, number)), **more)


def refused(content, scale=None, number=None, **more):
    with pytest.raises(FaultError) as refusal:
        read(content, scale, number, **more)
    return words_of(refusal.value)


def test_a_plan_has_its_true_size_and_its_circle_is_round():
    found = read(page(plan))
    assert found.size_m == approx((2.4, 0.65), rel=1e-6)
    assert found.area_m2 == approx(2.4 * 0.65 - pi * 0.1**2, rel=1e-6)  # by Béziers the hole is 0.03 % too large
    assert found.perimeter_m == approx(2 * (2.4 + 0.65) + 2 * pi * 0.1, rel=1e-6)
    assert found.layers == ("0.35 mm #000000", "0.70 mm #000000")
    assert note_texts(found.problems) == (
        "Left out 1 open line beside the closed outlines, from (1000.0001, 1000.0001) mm to (3400.0003, 1000.0001) mm.",
    )


def test_lines_are_grouped_by_width_and_color():
    assert read(page(plan), layer="0.70 mm #000000").area_m2 == approx(2.4 * 0.65, rel=1e-6)
    assert "0.35 mm #000000, 0.70 mm #000000" in refused(page(plan), 20.0, layer="WALLS")


def test_a_page_without_a_scale_is_asked_about_with_the_notes_on_it():
    assert refused(page(plan)) == (
        'The page has no scale. Its outlines are 120.0 × 42.5 mm on paper. It says "1:20". Write the scale, such as '
        'scale = "1:20", or two points and their true distance as `reference`.'
    )
    assert refused(page(plan), unit_m=0.001).startswith("A drawing on paper has no unit.")


@pytest.mark.parametrize(
    ("note", "shown"),
    [
        ("Falls 1:80", '"1:80"'),
        ("1:20 1:5 detail", '"1:20, 1:5"'),
        ('1/4" = 1\'-0"', '1/4" = 1\'-0"'),
        ("2:15 pm", None),
    ],
)
def test_a_scale_noted_on_the_page_is_shown_but_not_used(note, shown):
    def draw(canvas):
        canvas.rect(10, 10, 100, 100)
        canvas.drawString(200, 200, note)

    line = refused(page(draw))
    assert ("It says" in line) == (shown is not None)
    assert (shown or "") in line


def test_an_ellipse_keeps_the_area_of_its_curves():
    found = read(page(lambda canvas: canvas.ellipse(20 * mm, 20 * mm, 100 * mm, 60 * mm)), 10.0)
    assert found.area_m2 == approx(pi * 0.4 * 0.2 * 1.00028, rel=2e-5)  # as enclosed by its four Béziers


def test_a_form_within_a_form_lies_where_both_place_it():
    def draw(canvas):
        canvas.beginForm("inner")
        canvas.rect(0, 0, 10 * mm, 10 * mm)
        canvas.endForm()
        canvas.beginForm("outer")
        canvas.saveState()
        canvas.translate(20 * mm, 0)
        canvas.scale(2, 1)
        canvas.doForm("inner")
        canvas.restoreState()
        canvas.endForm()
        canvas.translate(30 * mm, 40 * mm)
        canvas.rotate(90)
        canvas.doForm("outer")

    found = read(page(draw), 1.0)
    assert found.size_m == approx((0.01, 0.02), rel=1e-5)
    assert found.bounds[:2] == approx((0.02, 0.06), rel=1e-5)


@pytest.mark.parametrize("turn", [0, 90, 180, 270])
def test_a_turned_page_is_read_as_it_is_seen(turn):
    writer = pypdf.PdfWriter(clone_from=BytesIO(page(plan)))
    writer.pages[0].rotate(turn)
    writer.write(content := BytesIO())
    found = read(content.getvalue())
    assert found.size_m == approx((0.65, 2.4) if turn in (90, 270) else (2.4, 0.65), rel=1e-6)
    corner = {0: (1.0, 1.2), 90: (1.2, 5.94 - 3.4), 180: (5.94 - 3.4, 4.2 - 1.85), 270: (4.2 - 1.85, 1.0)}[turn]
    assert found.bounds[:2] == approx(corner, abs=1e-4)


def test_a_page_with_a_user_unit_is_refused():
    writer = pypdf.PdfWriter(clone_from=BytesIO(page(plan)))
    writer.pages[0][pypdf.generic.NameObject("/UserUnit")] = pypdf.generic.FloatObject(2.0)
    writer.write(content := BytesIO())
    assert refused(content.getvalue(), 20.0).startswith("The page is drawn in units of 2 points, which is not read.")


def test_one_of_several_pages_is_chosen():
    two = page(lambda canvas: canvas.rect(0, 0, 10, 10), plan)
    assert refused(two, 20.0) == "The PDF has 2 pages. Choose one with `page`."
    assert read(two, number=2).size_m == approx((2.4, 0.65), rel=1e-6)
    assert refused(two, 20.0, 3) == "There is no page 3. The PDF has 2 pages. Choose one with `page`."


def test_everything_but_lines_is_left_out_and_named():
    def draw(canvas):
        canvas.setFillColorRGB(1, 1, 1)
        canvas.rect(0, 0, 297 * mm, 210 * mm, stroke=0, fill=1)  # the white of the sheet
        canvas.setFillColorRGB(0, 0, 0)
        plan(canvas)
        canvas.setFillColorRGB(0.5, 0.5, 0.5)
        canvas.rect(200 * mm, 60 * mm, 10 * mm, 10 * mm, stroke=0, fill=1)

    found = read(page(draw))
    assert note_texts(found.problems)[0] == "Left out 1 white area."
    assert len(found.regions) == 2
    assert "filled #808080" in found.layers


def test_marks_on_the_page_name_its_pieces():
    file = InputFile("plan.pdf", page(plan), paper=Paper(20.0))
    found = read_pieces(file, None, Layers())
    assert [(piece.mark, len(piece.region.holes)) for piece in found.pieces] == [("C1", 1)]


def test_layers_of_marked_content_are_groups():
    content = page(lambda canvas: canvas.rect(10 * mm, 10 * mm, 50 * mm, 50 * mm))
    writer = pypdf.PdfWriter(clone_from=BytesIO(content))
    name, text = pypdf.generic.NameObject, pypdf.generic.TextStringObject
    layer = writer._add_object(
        pypdf.generic.DictionaryObject({name("/Type"): name("/OCG"), name("/Name"): text("COUNTER")})
    )
    first = writer.pages[0]
    first[name("/Resources")][name("/Properties")] = pypdf.generic.DictionaryObject({name("/L1"): layer})
    stream = pypdf.generic.DecodedStreamObject()
    stream.set_data(b"/OC /L1 BDC 20 20 100 50 re S EMC 200 20 30 30 re S")
    first[name("/Contents")] = writer._add_object(stream)
    writer.write(changed := BytesIO())
    found = read(changed.getvalue(), 1.0, layer="COUNTER")
    assert found.area_m2 == approx(100 * 50 * (0.0254 / 72) ** 2, rel=1e-6)
    assert "Layers that are off in the PDF count too. Choose the layers to read." in note_texts(found.problems)


def bomb(depth):
    """Forms that each draw the next one twice: 2 ** depth squares in a few kB."""
    objects = [
        b"<</Type/Catalog/Pages 2 0 R>>",
        b"<</Type/Pages/Kids[3 0 R]/Count 1>>",
        b"<</Type/Page/Parent 2 0 R/MediaBox[0 0 100 100]/Contents 4 0 R/Resources<</XObject<</F 5 0 R>>>>>>",
        b"<</Length 4>>stream\n/F Do\nendstream",
    ]
    for at in range(depth):
        draw = zlib.compress(b"/F Do /F Do" if at < depth - 1 else b"0 0 10 10 re S")
        inside = b"/Resources<</XObject<</F %d 0 R>>>>" % (6 + at) if at < depth - 1 else b""
        head = b"<</Type/XObject/Subtype/Form/BBox[0 0 99 99]/Filter/FlateDecode/Length %d%s>>stream\n" % (
            len(draw),
            inside,
        )
        objects.append(head + draw + b"\nendstream")
    content, places = b"%PDF-1.4\n", []
    for number, thing in enumerate(objects, start=1):
        places.append(len(content))
        content += b"%d 0 obj%s endobj\n" % (number, thing)
    table = b"".join(b"%010d 00000 n \n" % place for place in places)
    return content + b"xref\n0 %d\n0000000000 65535 f \n%strailer<</Size %d/Root 1 0 R>>\nstartxref\n%d\n%%%%EOF" % (
        len(objects) + 1, table, len(objects) + 1, len(content),
    )  # fmt: skip


def test_forms_that_unfold_without_end_are_refused_in_one_line():
    assert read(bomb(3), 1.0).area_m2 > 0
    file = InputFile("plan.pdf", bomb(24), Limits(memory_mb=400, seconds=5), Paper(1.0))
    with pytest.raises(FaultError) as refusal:
        read_drawing(file)
    assert "\n" not in words_of(refusal.value)


@pytest.mark.parametrize(
    "content",
    [b"%PDF-1.4 nothing", b"not a pdf", page(plan)[:900], page(lambda _: None)],
    ids=["head", "text", "torn", "empty"],
)
def test_a_file_that_is_no_drawing_is_refused_in_one_line(content):
    assert "\n" not in refused(content, 20.0)


def test_without_the_library_the_refusal_names_the_line_that_installs_it(monkeypatch):
    monkeypatch.setattr("geometry.readers.extras.find_spec", lambda _: None)
    assert refused(page(plan)) == (
        'PDF files need a library that is not installed. Install it: pip install "cast-estimator[pdf]".'
    )
