"""Numbers that only Python reads as such are refused by every reader, as no other program reads them."""

import json
from collections.abc import Callable

import pytest

from estimator.units import read_any, read_quantity
from geometry.errors import FaultError
from geometry.files import InputFile, parsed_json
from geometry.mesh_file import read_mesh
from geometry.numbers import decimal_number, whole_number
from geometry.readers.drawing import read_drawing
from tests.fuzz_readers import MM, MODEL, PACKAGE, SEEDS, packed_with
from tests.geometry.readers.test_lying_files import svg
from tests.refusal import refusal

ODD = ("1_0", "١٠", "１０", "inf", "nan", "1e400")
FILES: dict[str, Callable[[bytes], bytes]] = {
    "plan.dxf": lambda odd: SEEDS["plan.dxf"].replace(b"90.0\n", odd + b"\n"),
    "plan.svg": lambda odd: SEEDS["plan.svg"].replace(b'<rect width="90"', b'<rect width="%s"' % odd),
    "page.svg": lambda odd: SEEDS["plan.svg"].replace(b"0 0 90 40", b"0 0 %s 40" % odd),
    "plan.geojson": lambda odd: SEEDS["plan.geojson"].replace(b"[90,", b"[%s," % odd),
    "plan.wkt": lambda odd: SEEDS["plan.wkt"].replace(b"90 ", odd + b" "),
    "plan.csv": lambda odd: SEEDS["plan.csv"].replace(b"A,90", b"A," + odd),
    "plan.txt": lambda odd: SEEDS["plan.txt"].replace(b"\t90\t", b"\t%s\t" % odd),
    "box.stl": lambda odd: SEEDS["text.stl"].replace(b"15.0 ", odd + b" "),
    "box.obj": lambda odd: SEEDS["box.obj"].replace(b"v 15 ", b"v %s " % odd),
    "box.ply": lambda odd: PLY.replace(b"\n15 ", b"\n%s " % odd),
    "box.3mf": lambda odd: packed_with(PACKAGE, MODEL, BOX.replace(b'x="15.0"', b'x="%s"' % odd)),
    "way.3mf": lambda odd: packed_with(PACKAGE, MODEL, BOX.replace(b"60 0 0", b"%s 0 0" % odd)),
    "facet.3mf": lambda odd: packed_with(PACKAGE, MODEL, BOX.replace(b'v1="1"', b'v1="%s"' % odd)),
}
BOX = SEEDS["model.xml"]
PLY = b"""ply
format ascii 1.0
element vertex 4
property double x
property double y
property double z
element face 4
property list uchar int vertex_indices
end_header
0 0 0
15 0 0
0 9 0
0 0 9
3 0 2 1
3 0 1 3
3 0 3 2
3 1 2 3
"""


def read(name: str, content: bytes) -> float:
    file = InputFile(name, content)
    if name.startswith(("plan", "page")):
        return read_drawing(file, unit_m=None if name.endswith("svg") else MM).area_m2
    return read_mesh(file, None if name.endswith("3mf") else MM).volume_m3


@pytest.mark.parametrize("odd", ODD)
@pytest.mark.parametrize("name", FILES)
def test_a_number_that_only_python_reads_is_refused(name: str, odd: str) -> None:
    # source: none of these formats has such a number (DXF reference, SVG 2, RFC 8259, OGC 06-103r4, 3MF Core)
    sound = FILES[name](b"1" if name == "facet.3mf" else b"95")
    assert read(name, sound) > 0
    damaged = FILES[name](odd.encode())
    assert damaged != sound
    with refusal():
        read(name, damaged)


@pytest.mark.parametrize(
    "transform",
    ["scale(inf)", "scale(1_0)", "scale(2", "scale(2,)", "rotate(45 10)", "matrix(1 0 0 1 5)", "SCALE(2)",
     "rotate(45deg)", "translate(5px)", "scale(٢)", "scale(2) x", "scale()"],
)  # fmt: skip
def test_a_transform_that_viewers_would_drop_is_refused(transform: str) -> None:
    # source: CSS Transforms 1, the syntax of the SVG attribute
    with refusal(r'The transform ".*" can\'t be read'):
        read_drawing(svg(f'<g transform="{transform}"><rect width="10" height="10"/></g>'))


@pytest.mark.parametrize(
    ("transform", "scale"),
    [
        ("", 1), ("none", 1), ("translate(10-5)", 1), ("scale(.5.5)", 0.25), (" scale ( 2 , 3 ) ", 6),
        ("scale(2e0)", 4), ("translate(1,2),scale(2)rotate(9 1 1)", 4), ("matrix(1 0 0 -1 5 5)", 1),
    ],
)  # fmt: skip
def test_a_transform_as_drawing_programs_write_it_is_read(transform: str, scale: float) -> None:
    drawing = read_drawing(svg(f'<g transform="{transform}"><rect width="10" height="10"/></g>'))
    assert drawing.area_m2 == pytest.approx(scale * 1e-4)


def test_the_place_of_a_copy_is_a_length() -> None:
    shape = '<defs><rect id="a" width="10" height="10"/></defs><rect y="20" width="50" height="30"/>'
    for place in ("nan", "1e400", "5%", "1_0"):
        with refusal("The x of a use is"):
            read_drawing(svg(f'{shape}<use href="#a" x="{place}"/>'))
    moved = read_drawing(svg(f'{shape}<use href="#a" x="1in" y="0"/>'))
    lefts = sorted(region.polygon().bounds[0] for region in moved.regions)
    assert lefts == pytest.approx([0.0, 96 * MM])  # 1 in is 96 units (CSS), of 1 mm on this page


def test_json_has_no_numbers_beyond_json() -> None:
    # source: RFC 8259, section 6
    for text in ("NaN", "[Infinity]", '{"a": -Infinity}', "1e400"):
        with pytest.raises(ValueError, match="not a number"):
            parsed_json(text)
    assert parsed_json("[1, 2.5, -3e2]") == json.loads("[1, 2.5, -3e2]")


@pytest.mark.parametrize("odd", [*ODD, "", "x", "0x10", "1 0", "1,5"])
def test_numbers_are_read_as_people_write_them(odd: str) -> None:
    with pytest.raises(ValueError, match=r"not a|could not convert|invalid literal"):
        decimal_number(odd)
    with pytest.raises(ValueError, match=r"not a|could not convert|invalid literal"):
        whole_number(odd)
    with pytest.raises(FaultError):
        read_quantity(f"{odd} mm", "length")
    with pytest.raises(FaultError):
        read_any(f"{odd} mm")
