"""Files that contradict themselves or their format: refused, or read with a note."""

from __future__ import annotations

import json
import zipfile
from io import BytesIO, StringIO
from math import pi

import ezdxf
import pytest
import trimesh

from geometry.errors import FaultError
from geometry.files import InputFile
from geometry.mesh_file import read_mesh
from geometry.readers.drawing import read_drawing
from tests.fuzz_readers import SEEDS, packed_with
from tests.geometry.readers.test_gltf import glb, parts
from tests.refusal import note_texts, words_of

MODEL = "3D/3dmodel.model"
CORE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
RING = [[0, 0], [9, 0], [9, 9], [0, 0]]


def refusal(name: str, content: bytes | str, unit_m: float | None = 0.001) -> str:
    """The line with which a file is refused."""
    file = InputFile(name, content if isinstance(content, bytes) else content.encode())
    read = read_drawing if name.endswith(("json", "wkt")) else read_mesh
    with pytest.raises(FaultError) as raised:
        read(file, unit_m=None if name.endswith(("3mf", "glb")) else unit_m)
    return words_of(raised.value)


def svg(body: str) -> InputFile:
    page = 'xmlns="http://www.w3.org/2000/svg" width="100mm" height="50mm" viewBox="0 0 100 50"'
    return InputFile("plan.svg", f"<svg {page}>{body}</svg>".encode())


def notes(body: str) -> list[str]:
    return list(note_texts(read_drawing(svg(body)).problems))


RECT = '<rect width="100" height="50"/>'


@pytest.mark.parametrize(
    ("body", "line"),
    [
        (f"<style>rect {{ transform: scale(0.5) }}</style>{RECT}", 'The style rule "rect" moves or sizes shapes.'),
        (f"<style>.a, rect {{ width: 50px }}</style>{RECT}", 'The style rule ".a" moves or sizes shapes.'),
        ('<rect width="-100" height="50"/>', 'The width of a rect is "-100".'),
        ('<circle r="-3" cx="9" cy="9"/>', 'The r of a circle is "-3".'),
        ('<rect width="10em" height="50"/>', 'The width of a rect is "10em".'),
        ('<rect style="width: 10vw" height="50"/>', 'The width of a rect is "10vw".'),
        ('<path d="M0 0 H nan V50 H0 Z"/>', 'The path data "M0 0 H nan V50 H0 Z" can\'t be read.'),
        ('<path d="M0 0 H 5 V50 H 1e Z"/>', 'The path data "M0 0 H 5 V50 H 1e Z" can\'t be read.'),
        ('<polygon points="0,0 9,0 9,x"/>', 'The path data "0,0 9,0 9,x" can\'t be read.'),
    ],
)
def test_a_drawing_that_viewers_show_differently_is_refused(body: str, line: str) -> None:
    # source: SVG 2 (geometry properties, error processing), CSS Values and Units (font-relative lengths)
    with pytest.raises(FaultError) as raised:
        read_drawing(svg(body))
    assert words_of(raised.value).startswith(line)


@pytest.mark.parametrize(
    ("body", "note"),
    [
        (f"<style>rect {{ clip-path: inset(10px) }}</style>{RECT}", "Clip paths and masks are not applied."),
        ('<svg width="50" height="50"><rect width="100" height="50"/></svg>', "Clip paths and masks are not applied."),
        (f"<style>@import url('a.css');</style>{RECT}", "A style sheet outside the file is not read."),
        (f'<g fill="none">{RECT}</g>', "1 shape has neither fill nor stroke, and counts too."),
        (f"<style>rect {{ fill: none }}</style>{RECT}", "1 shape has neither fill nor stroke, and counts too."),
        ('<rect width="100" height="50" opacity="0"/>', "1 shape has neither fill nor stroke, and counts too."),
    ],
)
def test_content_that_may_not_show_is_reported(body: str, note: str) -> None:
    assert read_drawing(svg(body)).area_m2 == pytest.approx(0.1 * 0.05)
    (said_of_it,) = notes(body)
    assert said_of_it.startswith(note)


@pytest.mark.parametrize(
    "body",
    [
        RECT,
        f'<g fill="none" stroke="#000">{RECT}</g>',
        '<svg width="100" height="50" overflow="visible"><rect width="100" height="50"/></svg>',
        f"<style>g > rect {{ stroke: red }} text {{ x: 3px }}</style>{RECT}",
        '<rect width="100mm" height="100%" x="+0" y="-.0e0"/>',
        '<path d="M0 0h1e2v50L50.5,40,0,50z" class="a b"/>',
    ],
)
def test_a_plain_drawing_is_read_without_a_note(body: str) -> None:
    assert notes(body) == []


def test_thirty_thousand_style_rules_take_linear_time() -> None:
    rules = "".join(f".c{i} {{ display: none }}" for i in range(30_000))
    shapes = "".join(f'<rect class="c{i}" width="1" height="1"/>' for i in range(3000))
    drawing = read_drawing(svg(f"<style>{rules}</style>{shapes}{RECT}"))
    assert note_texts(drawing.problems) == ("Left out 3,000 shapes with display none.",)


@pytest.mark.parametrize(
    ("text", "line"),
    [
        (
            json.dumps({"type": "Polygon", "coordinates": [RING]})[:-1]
            + ', "coordinates": [[[0,0],[1,0],[1,1],[0,0]]]}',
            'The file cannot be read as GeoJSON (ValueError: the key "coordinates" stands twice).',
        ),
        ('{"type": "Point", "coordinates": ["0", 1]}', 'A geometry can\'t be read: "0" is not a number.'),
        (
            '{"type": "GeometryCollection", "geometries": [{"type": "Point", "coordinates": [true, 1]}]}',
            "A geometry can't be read: true is not a number.",
        ),
        (
            json.dumps({"type": "Polygon", "crs": {"properties": {"name": "urn:ogc:def:crs:OGC:1.3:CRS84"}}}),
            "The coordinates are longitude and latitude, in degrees.",
        ),
    ],
)
def test_geojson_that_could_mean_another_shape_is_refused(text: str, line: str) -> None:
    assert refusal("plan.geojson", text).startswith(line)


def test_a_curve_in_wkt_is_refused() -> None:
    text = "CURVEPOLYGON (CIRCULARSTRING (0 0, 4 0, 4 4, 0 4, 0 0))"
    assert refusal("plan.wkt", text) == "CURVEPOLYGON can't be read. Save curves as straight lines."


def model(attributes: str = "", more: str = "", within: str = "", facets: int = 0, copies: int = 0) -> bytes:
    """A 3MF package with a box and other content."""
    box = trimesh.creation.box((30, 20, 10))
    points = "".join(f'<vertex x="{x}" y="{y}" z="{z}"/>' for x, y, z in box.vertices)
    corners = "".join(f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in box.faces)
    corners += '<triangle v1="0" v2="1" v3="2"/>' * facets
    parts = "".join('<component objectid="1"/>' for _ in range(copies))
    group = f'<object id="9"><components>{parts}</components></object>' if copies else ""
    text = (
        f'<model xmlns="{CORE}" {attributes}><resources><object id="1"><mesh><vertices>{points}</vertices><triangles>'
        f"{corners}</triangles>{within}</mesh></object>{more}{group}</resources><build>"
        f'<item objectid="{9 if copies else 1}"/></build></model>'
    )
    return packed_with(SEEDS["box.3mf"], MODEL, text.encode())


BOOLEAN = "http://schemas.3mf.io/3dmanufacturing/booleanoperations/2023/07"
LATTICE = "http://schemas.microsoft.com/3dmanufacturing/beamlattice/2017/02"
MATERIAL = "http://schemas.microsoft.com/3dmanufacturing/material/2015/02"


def test_an_extension_that_makes_shapes_is_refused_and_one_that_colors_them_is_not() -> None:
    # source: 3MF Core Specification, 2.3: a reader must refuse a required extension that it does not know
    assert read_mesh(InputFile("a.3mf", model(f'xmlns:m="{MATERIAL}" requiredextensions="m"')), None).volume_m3 > 0
    line = refusal("a.3mf", model(f'xmlns:bo="{BOOLEAN}" requiredextensions="bo"'))
    assert line.startswith("The 3MF file needs booleanoperations/2023/07, which is not read.")
    assert "needs a.example/unknown/9," in refusal(
        "a.3mf", model('xmlns:u="http://a.example/unknown/9" requiredextensions="u"')
    )
    beams = '<b:beamlattice minlength="1" radius="1"><b:beams/></b:beamlattice>'
    assert "needs beamlattice" in refusal("a.3mf", model(f'xmlns:b="{LATTICE}"', within=beams))
    cut = '<object id="2"><bo:booleanshape objectid="1" operation="difference"/></object>'
    assert "needs booleanshape" in refusal("a.3mf", model(f'xmlns:bo="{BOOLEAN}"', more=cut))


def test_two_objects_or_two_parts_of_one_name_are_refused() -> None:
    assert refusal("a.3mf", model(more='<object id="1"/>')).startswith("Two objects of the 3MF file have the number 1.")
    twice = BytesIO(model())
    with zipfile.ZipFile(twice, "a") as archive:
        archive.writestr(MODEL.upper(), "<model/>")  # names are compared without case (Open Packaging Conventions)
    assert refusal("a.3mf", twice.getvalue()).startswith('The file holds "3d/3dmodel.model" twice.')


def test_a_small_file_of_many_copies_is_counted_before_it_unfolds() -> None:
    line = refusal("a.3mf", model(facets=388, copies=20_000))
    assert line.startswith("Its copies of parts have 7,999,600 facets. At most 2,000,000 are read.")
    described, buffer = parts([{"mesh": 0}])
    described["meshes"][0]["primitives"] *= 99_999
    described["nodes"] *= 3
    described["scenes"][0]["nodes"] = [0, 1, 2]
    assert refusal("a.glb", glb(described, buffer)).startswith("Its copies of parts have 3,599,952 facets.")
    described["meshes"][0]["primitives"] *= 2
    assert refusal("a.glb", glb(described, buffer)).startswith("The glTF file unfolds to 199,998 parts.")


def test_a_key_that_stands_twice_in_gltf_is_refused() -> None:
    described, buffer = parts([{"mesh": 0}])
    content = glb(described, buffer).replace(b'"scene": 0', b'"nodes":[]')  # as long as before
    assert 'the key "nodes" stands twice' in refusal("a.glb", content)


def test_faces_of_obj_count_from_one_and_its_free_forms_are_named() -> None:
    box = SEEDS["box.obj"]
    assert refusal("a.obj", box + b"f 0 1 2\n") == (
        "A face of the OBJ file names corner 0. Corners count from 1. Export it again."
    )
    mesh = read_mesh(InputFile("a.obj", box + b"cstype bezier\nsurf 0 1 0 1 1 2 3 4\nend\ncall b.obj\n"), 0.001)
    assert note_texts(mesh.problems) == ("Left out 1 object of type call.", "Left out 1 object of type surf.")


@pytest.mark.parametrize(
    ("body", "line"),
    [
        (f'<g style="transform: scale(2)">{RECT}</g>', 'The transform "transform: scale(2)" can\'t be read.'),
        ('<rect width="9" height="9" transform="scale(2)" transform-origin="5 5"/>', 'The transform "transform-origin'),
        (f'<g style="rotate: 45deg">{RECT}</g>', 'The transform "rotate: 45deg" can\'t be read.'),
    ],
)
def test_a_shape_moved_by_its_style_is_refused(body: str, line: str) -> None:
    # source: CSS Transforms 1 and 2
    with pytest.raises(FaultError) as raised:
        read_drawing(svg(body))
    assert words_of(raised.value).startswith(line)


def test_shapes_in_a_clear_group_are_reported_and_those_after_it_are_not() -> None:
    hole = '<rect x="9" y="9" width="9" height="9"/>'
    assert notes(f'<g style="transform: none" opacity="0"><g>{hole}</g></g>{RECT}') == [
        "1 shape has neither fill nor stroke, and counts too."
    ]


@pytest.mark.parametrize("version", ["R12", "R2010"])
def test_a_wide_line_counts_by_its_middle_with_a_note(version: str) -> None:
    # A drill hole drawn as a donut of 40 mm is a circle of 20 mm with a width of 20 mm.
    document = ezdxf.new(version, units=4)
    space = document.modelspace()
    corners = [(0, 0), (100, 0), (100, 50), (0, 50)]
    donut = [(40, 25, 20, 20, 1), (60, 25, 20, 20, 1)]
    if version == "R12":
        space.add_polyline2d(corners, close=True)
        space.add_polyline2d(donut, format="xyseb", close=True)
    else:
        space.add_lwpolyline(corners, close=True)
        space.add_lwpolyline(donut, close=True)
    document.write(text := StringIO())
    drawing = read_drawing(InputFile("plan.dxf", text.getvalue().encode()), unit_m=0.001)
    assert drawing.area_m2 == pytest.approx((5000 - 100 * pi) * 1e-6)
    assert note_texts(drawing.problems) == ("1 line has a width. Its middle counts as the edge.",)


PLY = b"""ply
format ascii 1.0
element vertex 4
property float x
property float y
property float z
property uchar red
element face 4
property list uchar int vertex_indices
end_header
0 0 0 9
9 0 0 9
0 9 0 9
0 0 9 9
3 0 2 1
3 0 1 3
3 0 3 2
3 1 2 3
"""


def test_a_vertex_with_a_number_too_many_is_refused() -> None:
    assert read_mesh(InputFile("a.ply", PLY), 0.001).volume_m3 == pytest.approx(9**3 / 6 * 1e-9)
    assert refusal("a.ply", PLY.replace(b"9 0 0 9", b"0 9 0 0 9")).startswith("Vertex 2 of the PLY file has more")
