"""SVG drawings: physical units, viewBox, transforms, curves, and refusals."""

import math
from importlib.resources import files

import pytest
import shapely
import svgelements

from geometry.readers.drawing import read_drawing
from tests.refusal import note_texts, refusal, words_of


@pytest.fixture
def read(tmp_path):
    def read(body, page='width="200mm" height="100mm" viewBox="0 0 200 100"', **options):
        path = tmp_path / "drawing.svg"
        path.write_text(
            f'<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
            f'xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" {page}>{body}</svg>'
        )
        return read_drawing(path, **options)

    return read


def test_physical_size_and_view_box_give_the_unit(read):
    drawing = read('<rect x="10" y="20" width="30" height="40"/>')
    assert (drawing.unit_m, drawing.unit_source) == (pytest.approx(0.001), "header")
    assert drawing.area_m2 == pytest.approx(30 * 40e-6)
    # y runs upwards from the lower edge of the page
    assert drawing.bounds == pytest.approx((0.010, 0.040, 0.040, 0.080))


@pytest.mark.parametrize(
    ("page", "unit_m"),
    [
        ('width="20cm" height="10cm"', 0.0254 / 96),
        ('width="8in" height="4in" viewBox="0 0 8 4"', 0.0254),
        ('width="400mm" height="100mm" viewBox="0 0 200 100"', 0.001),
        ('width="400mm" height="100mm" viewBox="0 0 200 100" preserveAspectRatio="xMidYMid slice"', 0.002),
        ('width="72pt" viewBox="0 0 2 1"', 0.0127),
    ],
)
def test_units_of_the_page_are_exact(read, page, unit_m):
    # source: CSS Values and Units (96 px or 72 pt to the inch); SVG, meet and slice
    assert read('<rect width="1" height="1"/>', page).unit_m == pytest.approx(unit_m, rel=1e-12)


@pytest.mark.parametrize("page", ["", 'width="200" height="100"', 'width="100%" viewBox="0 0 200 100"'])
def test_pixels_are_refused_as_a_unit(read, page):
    with refusal(r"The file has no unit. Its size is 30 × 40: in mm 0\.03 × 0\.04 m"):
        read('<rect width="30" height="40"/>', page)
    assert read('<rect width="30" height="40"/>', page, unit_m=0.001).area_m2 == pytest.approx(1.2e-3)


def test_round_shapes_are_exact(read):
    # source: closed forms; a rounded rectangle is L·W − (4 − π)r²
    circle, rounded, ellipse = read(
        '<circle cx="20" cy="50" r="10"/><rect x="40" y="40" width="40" height="20" rx="5"/>'
        '<ellipse cx="120" cy="50" rx="20" ry="8"/>'
    ).regions
    assert circle.area_m2 * 1e6 == pytest.approx(100 * math.pi, rel=1e-9)
    assert circle.perimeter_m * 1e3 == pytest.approx(20 * math.pi, rel=1e-9)
    assert rounded.area_m2 * 1e6 == pytest.approx(800 - (4 - math.pi) * 25, rel=1e-9)
    assert ellipse.area_m2 * 1e6 == pytest.approx(160 * math.pi, rel=1e-9)


def test_bezier_curves_keep_their_area(read):
    # source: ∫ of the Bernstein polynomials by hand: the arch 0,0 – 0,60 – 60,60 – 60,0 covers 3/5 · 60 · 60;
    # a quadratic arch covers 2/3 of base times control height over 2
    cubic, quadratic = read(
        '<path d="M10,90 C10,30 70,30 70,90 Z"/><path d="M100,90 Q130,30 160,90 Z"/>', chord_m=1e-4
    ).regions
    assert cubic.area_m2 * 1e6 == pytest.approx(0.6 * 60 * 60, rel=1e-9)
    assert quadratic.area_m2 * 1e6 == pytest.approx(60 * 60 / 3, rel=1e-9)


@pytest.mark.parametrize("chord_m", [1e-4, 1e-6])
def test_curves_stay_within_the_tolerance(read, chord_m):
    path = "M20,50 C0,0 90,10 60,40 S 150,90 160,30 L170,95 Q 100,60 60,95 A40,20 30 0 1 10,60 Z"
    drawing = read(f'<path d="{path}"/>', chord_m=chord_m)
    shape = svgelements.Path(path)
    fine = []
    for segment in shape:
        if not isinstance(segment, svgelements.Move | svgelements.Close):
            fine += [segment.point(i / 2000) for i in range(2001)]
    ring = shapely.LinearRing([(p.x, 100 - p.y) for p in fine])
    ours = shapely.LinearRing(drawing.regions[0].outer.flattened(1e-7) * 1000)
    assert shapely.hausdorff_distance(ring, ours) < chord_m * 1000 + 2e-5
    assert drawing.area_m2 * 1e6 == pytest.approx(shapely.Polygon(ring).area, rel=1e-6)


@pytest.mark.parametrize(
    ("transform", "factor"),
    [
        ("rotate(30 50 50)", 1),
        ("translate(20,10) scale(0.5)", 0.25),
        ("translate(120,0) scale(-1,1)", 1),
        ("scale(1.5,0.5)", 0.75),
        ("skewX(20)", 1),
        ("matrix(0.5 0.1 -0.2 0.8 30 0)", 0.42),
    ],
)
def test_transforms_scale_areas_by_their_determinant(read, transform, factor):
    body = '<circle cx="40" cy="50" r="20"/><rect x="65" y="30" width="20" height="30" rx="4" ry="6"/>'
    plain = read(body).area_m2
    assert read(f'<g transform="{transform}">{body}</g>').area_m2 == pytest.approx(plain * factor, rel=1e-9)


def test_a_hole_of_a_path_is_no_material(read):
    drawing = read('<path fill-rule="evenodd" d="M0,0 H60 V60 H0 Z M10,10 H50 V50 H10 Z m10,10 h20 v20 h-20 z"/>')
    assert [region.area_m2 * 1e6 for region in drawing.regions] == pytest.approx([3600 - 1600])


SQUARE = '<rect width="10" height="10"/>'
INNER = "M0 0H60V60H0Z M10 10H50V50H10Z"  # the same way round
HOLE = "M0 0H60V60H0Z M10 10V50H50V10Z"
ISLAND = "M0 0H60V60H0Z M10 10V50H50V10Z M20 20H40V40H20Z"
RING = "M0 0A30 30 0 0 1 60 0A30 30 0 0 1 0 0Z M20 0A10 10 0 0 1 40 0A10 10 0 0 1 20 0Z"
NO_HOLE = "1 outline inside another of its path makes no hole, for the path is filled across it (fill-rule nonzero)."


@pytest.mark.parametrize(
    ("body", "area_mm2", "note"),
    [
        (f'<path d="{INNER}"/>', 3600, NO_HOLE),
        (f'<path d="{INNER}" transform="scale(-1,1)"/>', 3600, NO_HOLE),
        (f'<path d="{INNER}" fill-rule="evenodd"/>', 2000, ""),
        (f'<path d="{INNER}" style="FILL-RULE: EvenOdd"/>', 2000, ""),
        (f'<path d="{INNER}" fill-rule="evenodd" style="fill-rule:nonzero"/>', 3600, NO_HOLE),
        (f'<g fill-rule="evenodd"><g><path d="{INNER}"/></g></g>', 2000, ""),
        (f'<g fill-rule="evenodd"><path fill-rule="initial" d="{INNER}"/></g>', 3600, NO_HOLE),
        (f'<g fill-rule="evenodd"><path fill-rule="inherit" d="{INNER}"/></g>', 2000, ""),
        (f'<defs><path id="p" d="{INNER}"/></defs><use href="#p" fill-rule="evenodd"/>', 2000, ""),
        (f'<style>.e {{ fill-rule: evenodd }}</style><path class="e" d="{INNER}"/>', 2000, ""),
        (f'<style>.e {{ fill-rule: evenodd !important }}</style><path class="e" fill-rule="nonzero" d="{INNER}"/>',
         2000, ""),
        (f'<path d="{INNER}" fill="none" stroke="black"/>', 2000, ""),
        (f'<path d="{INNER}" fill-opacity="0" stroke="black"/>', 2000, ""),
        (f'<path d="{HOLE}"/>', 2000, ""),
        (f'<path d="{HOLE}" transform="scale(1,-1)"/>', 2000, ""),
        (f'<path d="{RING}"/>', 900 * math.pi, NO_HOLE),
        ('<path d="M0 0H60V60H0Z M60 30L20 10V50Z"/>', 3600 - 800, ""),  # touches the edge at a corner
        ('<path d="M0 0H60V60H0Z M60 30L20 50V10Z"/>', 3600, NO_HOLE),
        ('<rect width="60" height="60"/><rect x="10" y="10" width="40" height="40"/>', 2000, ""),  # lines, not one path
    ],
)  # fmt: skip
def test_a_path_is_filled_by_its_rule(read, body, area_mm2, note):
    # source: SVG 2, fill-rule: by nonzero an inner subpath makes a hole only if it runs the other way round
    drawing = read(body)
    assert drawing.area_m2 * 1e6 == pytest.approx(area_mm2)
    assert note_texts(drawing.problems) == ((note,) if note else ())


def test_an_island_in_a_hole_is_left_out_by_either_rule(read):
    for rule in ("nonzero", "evenodd"):
        drawing = read(f'<path d="{ISLAND}" fill-rule="{rule}"/>')
        assert drawing.area_m2 * 1e6 == pytest.approx(2000)
        assert note_texts(drawing.problems)[0].startswith("Left out 1 outline")


HIDDEN = '<rect x="50" width="9" height="9" {}/>'


@pytest.mark.parametrize(
    ("hidden", "why"),
    [
        ('style="/* old */ display:none"', "with display none"),
        ('style="DISPLAY: None"', "with display none"),
        ('display="NONE"', "with display none"),
        ('class="a"', "with display none"),
        ('class="b" style="display: inline"', "with display none"),
        ('style="Visibility:HIDDEN"', "with visibility hidden"),
        ('systemLanguage="de"', "for readers of another language"),
    ],
)
def test_names_and_words_of_style_have_no_case(read, hidden, why):
    # source: CSS Syntax and Cascade: case, comments, !important; SVG 2: systemLanguage counts outside of switch, too
    sheet = "<style>.a { DISPLAY: NONE } .b { display: none ! important }</style>"
    drawing = read(sheet + SQUARE + HIDDEN.format(hidden))
    assert drawing.area_m2 * 1e6 == pytest.approx(100)
    assert note_texts(drawing.problems) == (f"Left out 1 shape {why}.",)


@pytest.mark.parametrize("clear", ['opacity="0.00"', 'fill="#0000"', 'fill-opacity="0%"', 'fill="rgba(0, 0, 0, 0)"'])
def test_clear_shapes_count_with_a_note(read, clear):
    drawing = read(SQUARE + HIDDEN.format(clear))
    assert note_texts(drawing.problems) == ("1 shape has neither fill nor stroke, and counts too.",)


@pytest.mark.parametrize(
    ("body", "message"),
    [
        ('<circle cx="50%" cy="50%" r="10"/>', 'The cx of a circle is "50%"'),
        ('<circle r="10%"/>', 'The r of a circle is "10%"'),
        ('<rect width="90" height="20" rx="10%"/>', 'The rx of a rect is "10%"'),
        ('<polygon points="0,0 10,0 10,10 0"/>', "can't be read"),
        ('<defs><svg id="s" width="9" height="9" viewBox="0 0 9 9"/></defs><use href="#s" width="50" height="50"/>',
         "a drawing within the drawing at another size"),
        ("<style>@supports (x:y) { .a { display: none } }</style>", 'The style rule ".a"'),
        ("<style>g { .a { display: none } }</style>", 'The style rule ".a"'),
        ('<style media="print">.a { display: none }</style>', 'The style rule ".a"'),
        ("<style>g > path { fill-rule: evenodd }</style>", 'The style rule "g > path"'),
    ],
)  # fmt: skip
def test_what_a_viewer_may_show_otherwise_is_refused(read, body, message):
    with refusal(message):
        read(SQUARE + body)


def test_a_drawing_within_the_drawing_without_a_size_does_not_show(read):
    assert read(SQUARE + f'<svg width="0" height="9" viewBox="0 0 9 9">{SQUARE}</svg>').area_m2 * 1e6 == pytest.approx(
        100
    )
    half = '<svg width="50%" height="50%"><rect width="50%" height="50%"/></svg>'  # of 200 × 100
    assert read(half).area_m2 * 1e6 == pytest.approx(50 * 25)


def test_lines_and_open_paths_are_chained(read):
    drawing = read('<line x1="0" y1="0" x2="30" y2="0"/><polyline points="30,0 30,40 0,40"/><path d="M0,40 L0,0"/>')
    assert drawing.area_m2 * 1e6 == pytest.approx(1200)


def test_groups_are_layers_by_id_or_label(read):
    body = (
        '<g id="g1" inkscape:label="pieces"><g id="left"><rect width="10" height="10"/></g>'
        '<rect x="20" width="20" height="10"/></g><g id="frame"><rect x="-5" y="-5" width="99" height="99"/></g>'
    )
    assert read(body, layer="pieces").area_m2 * 1e6 == pytest.approx(300)
    assert read(body, layer="left").area_m2 * 1e6 == pytest.approx(100)
    with refusal('Nothing lies in a group "piece"') as refused:
        read(body, layer="piece")
    assert words_of(refused.value).endswith("The groups are frame, g1, left, pieces.")


def test_only_what_is_drawn_counts(read):
    drawing = read(
        '<defs><rect id="tile" width="10" height="10"/></defs><symbol id="s"><rect width="20" height="10"/></symbol>'
        '<marker id="m"><rect width="5" height="5"/></marker>'
        '<use xlink:href="#tile" x="30" y="30"/><use xlink:href="#s" x="60" y="60"/>'
        '<rect width="9" height="9" display="none"/><rect width="9" height="9" style="visibility:hidden"/>'
        "<text>C1</text>"
    )
    assert sorted(region.area_m2 * 1e6 for region in drawing.regions) == pytest.approx([100, 200])
    assert note_texts(drawing.problems) == (
        "Left out 1 shape with display none.",
        "Left out 1 shape with visibility hidden.",
    )


@pytest.mark.parametrize(
    ("body", "area_mm2", "problems"),
    [
        (f'<g visibility="hidden"><rect x="50" width="9" height="9"/><g style="visibility:visible">{SQUARE}</g></g>',
         100, ("Left out 1 shape with visibility hidden.",)),
        (f'<style>.old, #gone {{ display : none }} .kept {{display:inline}}</style>{SQUARE}<g class="old">'
         '<rect x="50" width="9" height="9"/><circle r="3"/></g><rect id="gone" class="kept" width="9" height="9"/>',
         100, ("Left out 3 shapes with display none.",)),
        ('<style>rect { display: none } .a { display: inline }</style><rect class="a" width="10" height="10"/>',
         100, ()),
        (f'<switch><g requiredExtensions="x"><circle r="40"/></g><g systemLanguage="de"><circle r="30"/></g>'
         f'<g>{SQUARE}</g><g><circle r="20"/></g></switch>', 100, ()),
        (f'<defs><g id="a">{SQUARE}<g display="none"><rect x="20" width="5" height="5"/></g></g></defs>'
         '<use href="#a" x="30" y="5"/><use xlink:href="#a" transform="scale(2)" x="40"/>'
         '<use href="#a" visibility="hidden"/>',
         500, ("Left out 3 shapes with display none.", "Left out 1 shape with visibility hidden.")),
        ('<symbol id="s"><rect width="20" height="10"/></symbol><symbol viewBox="0 0 1 1"/>'
         f'<clipPath id="c"><circle r="9"/></clipPath><pattern><circle r="8"/></pattern>{SQUARE}', 100, ()),
    ],
)  # fmt: skip
def test_content_that_a_browser_does_not_draw_is_left_out_and_counted(read, body, area_mm2, problems):
    # source: SVG 2, rendering tree: switch takes the first part that fits, visibility is inherited, display is not
    drawing = read(body)
    assert drawing.area_m2 * 1e6 == pytest.approx(area_mm2)
    assert note_texts(drawing.problems) == problems


def doubled(levels):
    groups = "".join(
        f'<g id="u{n}"><use href="#u{n - 1}"/><use href="#u{n - 1}" x="{2**n}"/></g>' for n in range(1, levels + 1)
    )
    return f'<defs><g id="u0"><rect width="1" height="1"/></g>{groups}</defs><use href="#u{levels}"/>'


def test_uses_within_uses_all_count(read):
    # each level draws the one below twice, 2 ** n apart: 32 squares side by side, each of 1 mm²
    assert read(doubled(5)).area_m2 * 1e6 == pytest.approx(32)


def test_clipping_is_reported_and_not_applied(read):
    drawing = read('<rect width="9" height="9" clip-path="url(#c)"/>')
    assert note_texts(drawing.problems) == ("Clip paths and masks are not applied. What they hide counts too.",)


@pytest.mark.parametrize(
    ("body", "message"),
    [
        (
            '<path d="M0,0 L50,0 L50,50 L0,50 L0,2"/>',
            r"does not close\. From \((0, 0|0, 2)\) mm to \((0, 2|0, 0)\) mm is a gap of 2 mm",
        ),
        ('<polygon points="0,0 50,50 50,0 0,50"/>', r"crosses itself at \(25, 25\) mm"),
        ("<text>C1</text>", r"holds no outline that encloses an area\. Left out 1 text"),
        ('<symbol id="s" viewBox="0 0 1 1"/><use href="#s"/>', r"A symbol with a viewBox of its own"),
        (doubled(20), r"The SVG file unfolds to \d,\d{3},\d{3} parts. At most 100,000 are read"),
        ('<g id="a"><rect width="3" height="3"/><use href="#a" x="10"/></g>', r'uses "a" inside itself'),
        ('<use href="other.svg#a"/>', r'uses "other.svg#a", which it does not hold'),
        ("<g>" * 5000 + "</g>" * 5000, r"nested more than 64 levels deep"),
        (f'<path d="M0 0 {"L1 1 " * 200_000}Z"/>', r"unfolds to 200,00\d parts"),
        ("<style>g > .a { display: none }</style>", r'The style rule "g > .a" hides, shows or fills shapes'),
        ('<rect width="1e999" height="3"/>', r"not a finite number"),
        ("<rect", r"The file is not SVG: .* line 1"),
    ],
)
def test_refusals_give_places_in_the_axes_of_the_drawing(read, body, message):
    with refusal(message):
        read(body)


def test_another_kind_of_xml_is_refused(tmp_path):
    (tmp_path / "a.svg").write_text("<html/>")
    with refusal("The file is not SVG: its root is <html>"):
        read_drawing(tmp_path / "a.svg")


def test_an_icon_from_a_general_package_has_its_true_area():
    """A real file from elsewhere; area against fine points of svgelements, holes by shapely's even-odd rule."""
    pytest.importorskip("matplotlib")
    path = files("matplotlib") / "mpl-data" / "images" / "move.svg"
    drawing = read_drawing(path, unit_m=0.001)
    total = shapely.Polygon()
    for element in svgelements.SVG.parse(str(path)).elements(lambda e: isinstance(e, svgelements.Shape)):
        for part in svgelements.Path(element).as_subpaths():
            points = [s.point(i / 400) for s in svgelements.Path(part) if s.start is not None for i in range(400)]
            if len(points) > 2:
                total = total.symmetric_difference(shapely.Polygon([(p.x, p.y) for p in points]))
    scale = svgelements.Matrix(svgelements.SVG.parse(str(path)).viewbox_transform or "").a
    assert drawing.area_m2 * 1e6 == pytest.approx(total.area / scale**2, rel=1e-5)
