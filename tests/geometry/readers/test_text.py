"""Outlines written as text: GeoJSON, WKT, CSV of points."""

import json
import math

import pytest

from geometry.readers.drawing import read_drawing
from tests.refusal import note_texts, refusal

SQUARE = [[0, 0], [4, 0], [4, 3], [0, 3], [0, 0]]
HOLE = [[1, 1], [2, 1], [2, 2], [1, 2], [1, 1]]


@pytest.fixture
def read(tmp_path):
    def read(name, content, unit_m=1.0, **options):
        path = tmp_path / name
        path.write_text(content if isinstance(content, str) else json.dumps(content), encoding="utf-8")
        return read_drawing(path, unit_m=unit_m, **options)

    return read


@pytest.mark.parametrize("name", ["a.geojson", "a.json"])
def test_geojson_of_each_kind_is_read(read, name):
    polygon = {"type": "Polygon", "coordinates": [SQUARE, HOLE]}
    line = {"type": "LineString", "coordinates": [[10, 0], [11, 0], [11, 1], [10, 0]]}
    drawing = read(
        name,
        {
            "type": "FeatureCollection",
            "features": [
                {"type": "Feature", "geometry": polygon, "properties": {"layer": "top"}},
                {"type": "Feature", "geometry": line, "properties": None},
                {"type": "Feature", "geometry": {"type": "Point", "coordinates": [5, 5]}, "properties": {}},
                {"type": "Feature", "geometry": None, "properties": {}},
            ],
        },
    )
    assert [region.area_m2 for region in drawing.regions] == pytest.approx([11.0, 0.5])
    assert note_texts(drawing.problems) == ("Left out 1 single point.",)
    assert read(name, polygon).area_m2 == pytest.approx(11.0)


def test_a_geojson_layer_is_a_property(read):
    features = [
        {"type": "Feature", "properties": {"layer": name}, "geometry": {"type": "Polygon", "coordinates": [ring]}}
        for name, ring in (("outer", SQUARE), ("inner", HOLE))
    ]
    document = {"type": "FeatureCollection", "features": features}
    assert read("a.geojson", document, layer="inner").area_m2 == pytest.approx(1.0)
    assert read("a.geojson", document).area_m2 == pytest.approx(11.0)
    with refusal(r'Nothing lies on a layer "x"\. The layers are inner, outer\.'):
        read("a.geojson", document, layer="x")


@pytest.mark.parametrize(
    "text",
    [
        "POLYGON ((0 0, 4 0, 4 3, 0 3, 0 0), (1 1, 2 1, 2 2, 1 2, 1 1))",
        "SRID=4326;POLYGON ((0 0, 4 0, 4 3, 0 3, 0 0), (1 1, 2 1, 2 2, 1 2, 1 1))",
        "POLYGON ((0 0, 4 0, 4 3, 0 3, 0 0))\n\nLINESTRING (1 1, 2 1, 2 2, 1 2, 1 1)\n",
        "GEOMETRYCOLLECTION (LINEARRING (0 0, 4 0, 4 3, 0 3, 0 0), POLYGON Z ((1 1 0, 2 1 0, 2 2 0, 1 2 0, 1 1 0)))",
    ],
)
def test_wkt_is_read(read, text):
    drawing = read("a.wkt", text, unit_m=0.01)
    assert drawing.area_m2 == pytest.approx(11e-4)


@pytest.mark.parametrize(
    "text",
    [
        "x,y\n0,0\n4,0\n4,3\n0,3\n\n1,1\n2,1\n2,2\n1,2\n",
        "0,0\n4,0\n4,3\n0,3\n0,0\n\n\n1,1\n2,1\n2,2\n1,2\n1,1\n",
        "\ufeffX;Y\n0;0\n4,0;0\n4,0;3,0\n0;3\n;\n1;1\n2;1\n2;2\n1;2\n",
        "0\t0\n4\t0\n4\t3\n0\t3\n\n1\t1\n2\t1\n2\t2\n1\t2",
        "0 0\n4 0\n4 3\n0 3\n\n1 1\n2 1\n2 2\n1 2",
        "outline,x,y\nA,0,0\nA,4,0\nB,1,1\nB,2,1\nA,4,3\nB,2,2\nB,1,2\nA,0,3\n",
    ],
)
def test_csv_of_points_is_read(read, text):
    assert read("a.csv", text).area_m2 == pytest.approx(11.0)


def test_csv_may_have_arcs_and_layers(read):
    # source: a bulge of 1 is half a circle
    text = "x,y,bulge,layer\n0,0,,a\n4,0,1,a\n4,2,,a\n0,2,,a\n"
    drawing = read("a.csv", text)
    assert drawing.area_m2 == pytest.approx(8 + math.pi / 2)
    assert drawing.layers == ("a",)


@pytest.mark.parametrize(
    ("name", "content", "message"),
    [
        ("a.geojson", "{", r"The file is not GeoJSON\. Line 1"),
        ("a.geojson", {"type": "Sphere"}, r"The file is not GeoJSON: 'Sphere' is not one of its types"),
        ("a.geojson", [1], r"The file is not GeoJSON"),
        ("a.geojson", {"type": "Polygon", "coordinates": [[[0, 0], [1, 1]]]}, r"A geometry can't be read"),
        ("a.geojson", {"type": "FeatureCollection", "features": []}, r"holds no outline"),
        (
            "a.geojson",
            {"type": "Polygon", "coordinates": [SQUARE, [[8, 8], [9, 8], [9, 9], [8, 8]]]},
            r"A polygon has a hole outside it at \(8, 8\)",
        ),
        ("a.geojson", '{"type":"FeatureCollection","features":[' * 9000, r"GeoJSON file is nested too deeply"),
        ("a.geojson", '{"geometry":' * 99 + "1" + ',"type":"Feature"}' * 99, r"nested more than 64 levels deep"),
        ("a.geojson", f'{{"type":"Point","coordinates":[{"9" * 10000},0]}}', r"cannot be read as GeoJSON \(ValueError"),
        ("a.wkt", "GEOMETRYCOLLECTION(" * 90000, r"nested more than 64 levels deep"),
        ("a.csv", "x,y\n0,0\n1_0,0\n", r'"1_0" is not a number'),
        ("a.csv", "x,y\n0,0\n1e200,0\n1e200,1\n", r"A coordinate is 1e\+200. At most 10,000,000,000 units"),
        ("a.csv", 'x,y\n"' + "0" * 200000 + '",0\n', r"is not a CSV table"),
        ("a.wkt", "POLYGON ((0 0, 1 0, 1 1))", r"The file is not WKT"),
        ("a.wkt", "LINESTRING (0 0, 1 0)\nPOLYGONE ((0 0))", r"Line 2 is not WKT"),
        ("a.wkt", "hello", r"The file is not WKT"),
        ("a.csv", "x,y\n0,0\n1,two\n", r'Line 3: "two" is not a number'),
        ("a.csv", "x,y\n0,0\n1,nan\n", r'Line 3: "nan" is not a number'),
        ("a.csv", "x,y,w\n0,0,0\n", r'Column "w" is not known\. Columns are x, y, z, outline'),
        ("a.csv", 'x,y,"a\nb"\n0,0,0\n', r'Column "a b" is not known'),
        ("a.csv", "x,bulge\n0,0\n", r"The heading names no columns x and y"),
        ("a.csv", "0,0\n1,0,5\n", r"Line 2: 3 cells for 2 columns"),
        ("a.csv", "0,0\n1,0\n", r"holds no outline that encloses an area"),
        ("a.csv", "0,0\n4,4\n4,0\n0,4\n", r"An outline crosses itself at \(2, 2\) m"),
    ],
)
def test_invalid_outlines_are_refused(read, name, content, message):
    with refusal(message):
        read(name, content)


def test_a_file_that_is_not_text_is_refused(tmp_path):
    (tmp_path / "a.csv").write_bytes(b"\xff\xfe\x00\x80\x81")
    with refusal("The file is not text"):
        read_drawing(tmp_path / "a.csv", unit_m=1.0)


@pytest.mark.parametrize("name", ["a.wkt", "a.geojson", "a.csv"])
def test_text_needs_a_unit(read, name):
    content = {
        "a.wkt": "POLYGON ((0 0, 4 0, 4 3, 0 3, 0 0))",
        "a.geojson": {"type": "Polygon", "coordinates": [SQUARE]},
        "a.csv": "0,0\n4,0\n4,3\n0,3\n",
    }[name]
    with refusal(r"The file has no unit. Its size is 4 × 3: in mm 0\.004 × 0\.003 m"):
        read(name, content, unit_m=None)


def test_polygons_of_one_multipolygon_that_overlap_are_refused(tmp_path):
    # source: OGC 06-103r4, 6.1.14: the interiors of two polygons of a MultiPolygon do not intersect
    outer = "((0 0,100 0,100 50,0 50,0 0))"
    path = tmp_path / "a.wkt"
    path.write_text(f"MULTIPOLYGON({outer},((10 10,20 10,20 20,10 20,10 10)))")
    with refusal("Two polygons of one MultiPolygon overlap"):
        read_drawing(path, unit_m=0.001)
    path.write_text(f"MULTIPOLYGON({outer},((110 10,120 10,120 20,110 20,110 10)))")
    assert read_drawing(path, unit_m=0.001).area_m2 * 1e6 == pytest.approx(5100)
