"""Drawings, meshes and schedules as files beside a job, by `measure` and by `estimate`; sizes worked out by hand."""

import json
from math import pi
from pathlib import Path

import ezdxf
import numpy as np
import pandas as pd
import pytest
import trimesh

approx = pytest.approx
HEAD = '[job]\nname = "Test"\nunits = "metric"\nmix = "backer-45"\nwaste = 0.0\n'


def square(sheet, x, y, side, layer="0"):
    corners = [(x, y), (x + side, y), (x + side, y + side), (x, y + side)]
    sheet.add_lwpolyline(corners, close=True, dxfattribs={"layer": layer})


def dxf(path: Path, draw, unit: int = 4) -> None:
    drawing = ezdxf.new()
    drawing.header["$INSUNITS"] = unit
    draw(drawing.modelspace())
    drawing.saveas(path)


def box(size=(100, 60, 40), at=(0, 0, 0)) -> trimesh.Trimesh:
    made = trimesh.creation.box(size)
    made.apply_translation(np.array(size) / 2 + np.array(at))
    return made


def without(mesh: trimesh.Trimesh, keep) -> trimesh.Trimesh:
    mesh.update_faces(keep)
    return mesh


def test_a_ring_inside_a_hole_is_left_out_and_named(desk):
    def draw(sheet):
        square(sheet, 0, 0, 100)
        square(sheet, 20, 20, 60)  # a hole
        square(sheet, 40, 40, 20)  # the line of a bowl in it
        square(sheet, 200, 0, 50)  # another piece

    dxf(desk.folder / "sheet.dxf", draw)
    measured = desk.measure("sheet.dxf", "--thickness", "20 mm").document
    assert measured["kind"] == "outline"
    assert measured["area_m2"] == approx((100**2 - 60**2 + 50**2) * 1e-6)
    assert measured["perimeter_m"] == approx(4 * (100 + 60 + 50) * 1e-3)
    assert [(each["area_m2"], each["holes"]) for each in measured["pieces"]] == [
        (approx(6400e-6), 1),
        (approx(2500e-6), 0),
    ]
    assert measured["volume_m3"] == approx(8900e-6 * 0.02)
    assert measured["size_m"] == approx([0.25, 0.1])
    assert measured["problems"] == ["Left out 1 outline inside a hole, at (40, 40) mm. It is not material."]
    # a job takes one of them, and has to say which
    outcome = desk.shape_refused('kind = "outline", file = "sheet.dxf", thickness = "20 mm"')
    assert outcome == "shape.file: sheet.dxf has 2 separate outlines. Choose one, with `item` from 1 to 2."
    taken = desk.piece('kind = "outline", file = "sheet.dxf", item = 1, thickness = "20 mm"')
    assert taken["volume_m3"] == approx(6400e-6 * 0.02)


def test_a_wider_gap_is_closed_where_the_user_gives_it(desk):
    def draw(sheet):
        sheet.add_lwpolyline([(0, 0), (1000, 0), (1000, 600), (0, 600), (0, 0.5)])

    dxf(desk.folder / "open.dxf", draw)
    refused = desk.measure("open.dxf")
    assert refused.status == 2
    assert refused.err == (
        "open.dxf: An outline does not close. From (0, 0) mm to (0, 0.5) mm is a gap of 0.5 mm. Join the ends, set "
        "`gap` to at least 0.501 mm, or choose the layer of the outlines.\n"
    )
    measured = desk.measure("open.dxf", "--gap", "1/32 in").document
    assert measured["area_m2"] == approx(0.6, rel=1e-3)
    taken = desk.piece('kind = "outline", file = "open.dxf", gap = "0.6 mm", thickness = "20 mm"')
    assert taken["volume_m3"] == approx(0.012, rel=1e-3)


@pytest.mark.parametrize(
    ("draw", "area_m2"),
    [
        (lambda sheet: sheet.add_circle((0, 0), 100), pi * 0.01),
        (
            lambda sheet: sheet.add_lwpolyline(
                [(0, 0, 0), (100, 0, 1), (100, 50, 0), (0, 50, 1)], format="xyb", close=True
            ),
            0.1 * 0.05 + pi * 0.025**2,
        ),
        (lambda sheet: sheet.add_ellipse((0, 0), (100, 0), 0.5), pi * 0.1 * 0.05),
    ],
    ids=["circle", "bulges", "ellipse"],
)
def test_curves_in_a_drawing_have_their_true_area(desk, draw, area_m2):
    dxf(desk.folder / "curve.dxf", draw)
    assert desk.measure("curve.dxf").document["area_m2"] == approx(area_m2, rel=1e-9)


def test_a_block_counts_with_its_scale_and_rotation(desk):
    drawing = ezdxf.new()
    drawing.header["$INSUNITS"] = 4
    square(drawing.blocks.new("B"), 0, 0, 10)
    placed = {"xscale": 2, "yscale": 3, "rotation": 30}
    drawing.modelspace().add_blockref("B", (5, 5), dxfattribs=placed)
    drawing.saveas(desk.folder / "block.dxf")
    assert desk.measure("block.dxf").document["area_m2"] == approx(600e-6)


FORMATS = {
    "a.wkt": "POLYGON((0 0,100 0,100 100,0 100,0 0),(20 20,80 20,80 80,20 80,20 20))",
    "a.geojson": json.dumps(
        {
            "type": "Polygon",
            "coordinates": [
                [[0, 0], [100, 0], [100, 100], [0, 100], [0, 0]],
                [[20, 20], [80, 20], [80, 80], [20, 80], [20, 20]],
            ],
        }
    ),
    "a.svg": '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">'
    '<path d="M0 0H100V100H0Z M20 20V80H80V20Z"/></svg>',
}


@pytest.mark.parametrize("name", FORMATS)
def test_a_file_without_a_unit_is_refused_and_accepted_once_the_job_gives_one(desk, name):
    desk.write(FORMATS[name], name)
    outcome = desk.shape_refused(f'kind = "outline", file = "{name}", thickness = "20 mm"')
    sizes = "in mm 0.1 × 0.1 m, in cm 1 × 1 m, in in 2.54 × 2.54 m, in m 100 × 100 m"
    said = f"{name}: The file has no unit. Its size is 100 × 100: {sizes}."
    assert outcome.startswith(f"shape.file: {said}")
    measured = desk.measure(name)
    assert (measured.status, measured.out) == (2, "")
    assert measured.err.startswith(said)
    piece = desk.piece(f'kind = "outline", file = "{name}", thickness = "1 in", unit = "in"')
    assert piece["volume_m3"] == approx(6400 * 0.0254**3)


def test_a_given_unit_that_contradicts_the_header_is_reported_by_name(desk):
    dxf(desk.folder / "square.dxf", lambda sheet: square(sheet, 0, 0, 100))
    measured = desk.measure("square.dxf", "--unit", "in").document
    assert measured["area_m2"] == approx((100 * 0.0254) ** 2)
    assert measured["problems"] == [
        "The file is in mm. The given unit, in, was used, so sizes are 25.4 times those in the file."
    ]


@pytest.mark.parametrize(
    ("draw", "line"),
    [
        (
            lambda s: (
                [s.add_line(a, b) for a, b in (((0, 0), (9, 0)), ((9, 0), (9, 5)), ((9, 5), (0, 5)))]
                and s.add_line((0, 5), (0, 3))
            ),
            "An outline does not close. From (0, 0) mm to (0, 3) mm is a gap of 3 mm",
        ),
        (
            lambda s: s.add_lwpolyline([(0, 0), (100, 100), (100, 0), (0, 100)], close=True),
            "An outline crosses itself at (50, 50) mm",
        ),
        (lambda s: square(s, 0, 0, 100) or square(s, 50, 50, 100), "One outline crosses another at (50, 100) mm"),
        (lambda _: None, "The drawing holds no outline that encloses an area"),
    ],
    ids=["open", "crossing itself", "crossing another", "empty"],
)
def test_a_faulty_drawing_is_refused_with_the_place(desk, draw, line):
    dxf(desk.folder / "bad.dxf", draw)
    outcome = desk.measure("bad.dxf")
    assert (outcome.status, outcome.out) == (2, "")
    assert outcome.err.startswith(f"bad.dxf: {line}")
    in_job = desk.shape_refused('kind = "outline", file = "bad.dxf", thickness = "20 mm"')
    assert in_job.startswith(f"shape.file: bad.dxf: {line}")


def test_a_small_area_prints_with_enough_digits(desk):
    dxf(desk.folder / "small.dxf", lambda sheet: square(sheet, 0, 0, 20))
    outcome = desk.call("measure", desk.folder / "small.dxf", "--unit", "mm")
    assert "4.0 cm²" in outcome.out


@pytest.mark.parametrize("name", ["box.stl", "ascii.stl", "solid.stl", "box.obj", "box.ply", "box.3mf"])
def test_a_solid_measures_the_same_in_every_format(desk, name):
    path = desk.folder / name
    if name == "ascii.stl":
        path.write_text(trimesh.exchange.stl.export_stl_ascii(box()))
    else:
        box().export(path)
    if name == "solid.stl":  # binary, although it begins like text
        path.write_bytes(b"solid" + path.read_bytes()[5:])
    measured = desk.measure(name, "--unit", "mm").document
    assert measured["kind"] == "mesh"
    assert measured["volume_m3"] == approx(0.1 * 0.06 * 0.04)
    assert measured["surface_area_m2"] == approx(2 * (0.006 + 0.004 + 0.0024))
    assert measured["centroid_m"] == approx([0.05, 0.03, 0.02])
    assert measured["size_m"] == approx([0.1, 0.06, 0.04])
    assert (measured["facets"], measured["bodies"], measured["closed"], measured["problems"]) == (12, 1, True, [])
    piece = desk.piece(f'kind = "mesh", file = "{name}", unit = "mm"')
    assert piece["volume_m3"] == approx(0.1 * 0.06 * 0.04)


def test_a_mesh_file_with_a_unit_of_its_own_needs_none_and_takes_no_other(desk):
    box().export(desk.folder / "box.3mf")
    assert desk.measure("box.3mf").document["volume_m3"] == approx(0.1 * 0.06 * 0.04)
    outcome = desk.measure("box.3mf", "--unit", "in")
    assert (outcome.status, outcome.out) == (2, "")
    assert (
        outcome.err
        == "box.3mf: The unit in the file is mm, not in. Leave the unit out, or export again in the other unit.\n"
    )


OPEN = 'kind = "mesh", file = "open.stl", unit = "mm"'


def turned(mesh: trimesh.Trimesh) -> trimesh.Trimesh:
    return trimesh.Trimesh(mesh.vertices, mesh.faces[:, ::-1], process=False)


def one_facet_turned() -> trimesh.Trimesh:
    faces = box().faces.copy()
    faces[2] = faces[2][::-1]
    return trimesh.Trimesh(box().vertices, faces, process=False)


def facet_added(corners: list[int] | np.ndarray) -> trimesh.Trimesh:
    return trimesh.Trimesh(box().vertices, np.vstack([box().faces, [corners]]), process=False)


@pytest.mark.parametrize(
    ("mesh", "litres", "problem"),
    [
        (lambda: turned(box()), 0.24, "Body 1 was inside out. It was turned."),
        (
            lambda: trimesh.util.concatenate([box(), turned(box(at=(300, 0, 0)))]),
            0.48,
            "Body 2 was inside out. It was turned.",
        ),
        (one_facet_turned, 0.24, "Turned 1 facet that ran against the rest."),
        (lambda: facet_added([0, 0, 1]), 0.24, "Left out 1 facet of zero area."),
        (lambda: facet_added(box().faces[0]), 0.24, "Left out 1 facet that is there more than once."),
        (
            lambda: trimesh.util.concatenate([box(), turned(box((20, 20, 20), (40, 20, 10)))]),
            0.232,
            "Body 2 lies inside another body and counts as its hollow, or as an island in one.",
        ),
    ],
)
def test_repairs_to_a_mesh_are_named_by_measure_and_in_the_warnings(desk, mesh, litres, problem):
    mesh().export(desk.folder / "m.stl")
    measured = desk.measure("m.stl", "--unit", "mm").document
    assert measured["volume_m3"] == approx(litres / 1000)
    assert measured["problems"] == [problem]
    job = f'{HEAD}[[piece]]\nmark = "A"\nshape = {{ kind = "mesh", file = "m.stl", unit = "mm" }}\n'
    document = desk.estimate(job)
    assert document["pieces"][0]["volume_m3"] == approx(litres / 1000)
    assert any(f"m.stl: {problem}" in each["text"] for each in document["warnings"])


def test_an_open_mesh_is_refused_with_the_place_and_filled_only_on_request(desk):
    without(box(), np.arange(12) != 3).export(desk.folder / "open.stl")
    outcome = desk.measure("open.stl", "--unit", "mm")
    assert (outcome.status, outcome.out) == (2, "")
    assert outcome.err.startswith("open.stl: 3 open edges near (33.3, 20, 0) mm")
    assert "The mesh encloses no volume" in outcome.err
    assert desk.shape_refused('kind = "mesh", file = "open.stl", unit = "mm"').startswith(
        "shape.file: open.stl: 3 open"
    )
    shape = 'shape = { kind = "mesh", file = "open.stl", unit = "mm", repair = "fill" }'
    document = desk.estimate(f'{HEAD}[[piece]]\nmark = "A"\n{shape}\n')
    assert document["pieces"][0]["volume_m3"] == approx(0.24e-3)
    assert any("open.stl: Filled 1 flat hole, " in each["text"] for each in document["warnings"])


def test_a_shell_leaves_out_the_named_face_or_the_open_rim(desk):
    box().export(desk.folder / "box.stl")
    cup = box()
    without(cup, cup.face_normals[:, 2] < 0.9).export(desk.folder / "cup.stl")
    # outer 100 × 60 × 40 mm, hollow 90 × 50 × 35, held to 1 %
    cast_m3 = 240e-6 - 0.09 * 0.05 * 0.035
    named = desk.piece('kind = "mesh", file = "box.stl", unit = "mm", wall = "5 mm", open = "top"')
    rim = desk.estimate(
        f'{HEAD}[[piece]]\nmark = "A"\nshape = {{ kind = "mesh", file = "cup.stl", unit = "mm", wall = "5 mm" }}\n'
    )
    assert named["volume_m3"] == approx(cast_m3, rel=0.01)
    assert rim["pieces"][0]["volume_m3"] == approx(cast_m3, rel=0.01)
    assert named["form_area_m2"] == approx(0.006 + 2 * 0.16 * 0.04, rel=1e-6)  # the outside, not the rim
    outcome = "cup.stl: The mesh is open at its rim. The flat face there is left out of the shell."
    assert any(outcome in each["text"] for each in rim["warnings"])


@pytest.mark.parametrize(
    ("keys", "line"),
    [
        ('open = "top"', "shape.open: open is for a shell only. Add `wall`."),
        ('wall = "30 mm"', "shape.wall: is 30 mm"),
        ('repair = "fil"', 'shape.repair: "fil" is not one of fill. Did you mean `fill`?'),
    ],
)
def test_a_mesh_key_without_effect_is_refused(desk, keys, line):
    box().export(desk.folder / "box.stl")
    assert desk.shape_refused(f'kind = "mesh", file = "box.stl", unit = "mm", {keys}').startswith(line)


def test_measure_refuses_an_open_side_without_a_wall(desk):
    box().export(desk.folder / "box.stl")
    outcome = desk.measure("box.stl", "--unit", "mm", "--open", "top")
    assert (outcome.status, outcome.out) == (2, "")
    assert outcome.err == "cast-estimator: --open: is for a shell only. Add --wall.\n"


@pytest.mark.parametrize(
    ("name", "content", "line"),
    [
        ("empty.stl", b"", "empty.stl: The file is empty."),
        ("x.iges", b"x", 'x.iges: ".iges" is not a kind of file that can be measured.'),
        ("bad.dxf", b"not a drawing", "bad.dxf: The file is not a DXF drawing, or is damaged beyond reading."),
        ("bad.geojson", b'{"type":"Poly', "bad.geojson: The file is not GeoJSON"),
    ],
)
def test_a_file_that_is_no_mesh_or_drawing_is_refused_in_one_line(desk, name, content, line):
    (desk.folder / name).write_bytes(content)
    outcome = desk.measure(name, "--unit", "mm")
    assert (outcome.status, outcome.out) == (2, "")
    assert outcome.err.startswith(line)
    assert outcome.err.count("\n") == 1


COLUMNS = ["mark", "quantity", "shape.kind", "shape.length", "shape.width", "shape.thickness"]
ROWS = [["A", "2", "slab", "1 m", "500 mm", "20 mm"], ["B", "", "slab", "2 m", "500 mm", "20 mm"]]


@pytest.mark.parametrize("name", ["comma.csv", "semicolon.csv", "book.xlsx"])
def test_a_schedule_has_one_piece_per_row_in_every_table_format(desk, name):
    if name == "book.xlsx":
        pd.DataFrame(ROWS, columns=COLUMNS).to_excel(desk.folder / name, index=False)
    else:
        between = ";" if name.startswith("semi") else ","
        desk.write("\ufeff" + "".join(between.join(row) + "\n" for row in [COLUMNS, *ROWS]), name)
    pieces = desk.estimate(f'{HEAD}[[schedule]]\nfile = "{name}"\n')["pieces"]
    assert [(each["mark"], each["quantity"]) for each in pieces] == [("A", 2), ("B", 1)]
    assert [each["volume_m3"] for each in pieces] == approx([0.01, 0.02])


def test_faults_in_a_schedule_name_file_row_and_column(desk):
    desk.write("mark,shape.kind,shape.length,shape.width,shape.thickness\nA,slab,1,500 mm,20 mm\n", "s.csv")
    assert desk.refused(f'{HEAD}[[schedule]]\nfile = "s.csv"\n') == [
        's.csv: row 2, piece A, shape.length: "1" has no unit. Write "1 m" (1000 mm), "1 cm" (10.0 mm) or "1 mm".'
    ]


def test_two_columns_with_the_same_name_are_refused(desk):
    desk.write("mark,mark,shape.kind\nA,B,slab\n", "s.csv")
    (line,) = desk.refused(f'{HEAD}[[schedule]]\nfile = "s.csv"\n')
    assert line.startswith('s.csv: has more than one column "mark".')
