"""`new --from`: a job from drawings, models and tables that runs as it is, or one line and nothing written."""

import json
import re
from pathlib import Path

import ezdxf
import pytest
import trimesh
from reportlab.pdfgen.canvas import Canvas

from estimator import estimate, load_job
from estimator.__main__ import run

SVG = """<svg xmlns="http://www.w3.org/2000/svg" width="2000mm" height="1000mm" viewBox="0 0 2000 1000">
<g id="frame"><rect x="1" y="1" width="1998" height="998"/></g>
<rect x="100" y="100" width="900" height="600"/><text x="150" y="200" font-size="40">V1</text>
<rect x="300" y="300" width="400" height="300"/></svg>"""


def drawing(path: Path, *marks: str, unit: int = 0) -> Path:
    """Counters of 60 by 24 side by side with the given marks; an empty mark leaves it out."""
    document = ezdxf.new("R2010", units=unit)
    space = document.modelspace()
    for number, mark in enumerate(marks):
        x = 80 * number
        space.add_lwpolyline([(x, 0), (x + 60, 0), (x + 60, 24), (x, 24)], close=True, dxfattribs={"layer": "PIECE"})
        space.add_circle((x + 30, 12), 6, dxfattribs={"layer": "PIECE"})
        if mark:
            space.add_text(mark, dxfattribs={"height": 1}).set_placement((x + 2, 2))
    document.saveas(path)
    return path


@pytest.fixture
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def refused(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    capsys.readouterr()
    assert run(["new", "job", *arguments]) == 2
    shown = capsys.readouterr()
    assert shown.out == ""
    assert not Path("job").exists()
    return shown.err


def test_drawings_models_and_tables_make_one_job(desk: Path, capsys: pytest.CaptureFixture[str]) -> None:
    drawing(desk / "kitchen.dxf", "C1", "C1", "", unit=1)
    (desk / "vanity.svg").write_text(SVG)
    trimesh.creation.box((400, 300, 200)).export(desk / "trough.stl")
    (desk / "panels.csv").write_text(
        "mark,shape.kind,shape.length,shape.width,shape.thickness\nW1,slab,40 in,20 in,1 in\nW2,slab,40 in,20 in,1 in\n"
    )
    files = ["--from", "kitchen.dxf", "vanity.svg", "panels.csv", "trough.stl"]
    assert run(["new", "job", *files, "--unit", "mm", "--thickness", "1 in"]) == 0
    shown = capsys.readouterr()
    assert shown.out.splitlines() == [
        "kitchen.dxf: 2 pieces of 1 mark. Left out: 1 outline without a mark.",
        "vanity.svg: 1 piece of 1 mark. Left out: 1 border line.",
        "panels.csv: a piece a row.",
        "trough.stl: 1 piece, 400 × 300 × 200 mm, 24.0 L.",
    ]
    result = estimate(load_job("job/job.toml"))
    assert list(result.pieces) == ["C1", "V1", "trough", "W1", "W2"]
    assert 'unmarked = "leave-out"' in Path("job/job.toml").read_text()
    record = json.loads(Path("job/kitchen.seen.json").read_bytes())
    assert [(piece["mark"], piece["quantity"], len(piece["edges_m"])) for piece in record["pieces"]] == [("C1", 2, 4)]
    picture = Path("job/kitchen.seen.svg").read_text()
    assert all(f">{text}<" in picture for text in ("C1", "no mark", "1", "4", "1524 × 610 mm"))
    assert set(json.loads(Path("job/.written.json").read_bytes())) == {
        path.name for path in Path("job").iterdir() if path.name != ".written.json"
    }
    assert run(["check", "job/job.toml"]) == 0


PAGE = """<svg xmlns="http://www.w3.org/2000/svg" width="{0}{unit}" height="{1}{unit}" viewBox="0 0 {2} {3}">
<rect x="0" y="0" width="{2}" height="{3}"/></svg>"""


@pytest.mark.parametrize(
    ("page", "unit", "thickness", "units"),
    [
        ((80, 25, 7680, 2400), "in", "1-1/2 in", "imperial"),
        ((2032, 635, 7680, 2400), "mm", "38 mm", "metric"),
        ((2032, 635, 2032, 635), "mm", "1-1/2 in", "metric"),  # drawn in millimeters
        ((80, 25, 80, 25), "in", "38 mm", "imperial"),  # drawn in inches
    ],
)
def test_a_drawing_in_pixels_makes_a_job_in_the_units_of_the_thickness(
    desk: Path, page: tuple[int, ...], unit: str, thickness: str, units: str
) -> None:
    (desk / "vanity.svg").write_text(PAGE.format(*page, unit=unit))
    assert run(["new", "job", "--from", "vanity.svg", "--thickness", thickness, "--use", "counter"]) == 0
    assert load_job("job/job.toml").units == units


def test_pieces_without_marks_are_numbered_separately_in_each_drawing(desk: Path) -> None:
    for name in ("a.dxf", "b.dxf"):
        drawing(desk / name, "", "", unit=1)
    assert run(["new", "job", "--from", "a.dxf", "b.dxf", "--thickness", "1 in", "--use", "counter"]) == 0
    job = load_job("job/job.toml")
    assert [piece.mark for piece in job.pieces] == ["P1", "P2", "Q1", "Q2"]
    assert {piece.use for piece in job.pieces} == {"counter"}


def test_without_a_unit_the_size_is_given_in_each_unit(desk: Path, capsys: pytest.CaptureFixture[str]) -> None:
    drawing(desk / "kitchen.dxf", "C1", "C2")
    said = refused(capsys, "--from", "kitchen.dxf", "--thickness", "1 in")
    assert all(
        text in said for text in ("in mm 0.14 × 0.024 m", "in cm 1.4 × 0.24 m", "in in 3.556 × 0.6096 m", "in m")
    )
    trimesh.creation.box((4, 3, 2)).export("trough.stl")
    assert "in in 0.102 × 0.0762 × 0.0508 m" in refused(capsys, "--from", "trough.stl")


@pytest.mark.parametrize(
    ("arguments", "expected"),
    [
        (["kitchen.dxf", "--unit", "in"], "--thickness: A drawing has no thickness. Give it with --thickness"),
        (["kitchen.dxf", "--unit", "inch", "--thickness", "1"], '--unit: "inch" is not a unit'),
        (["kitchen.dxf", "--unit", "in", "--thickness", "1"], '--thickness: "1" has no unit'),
        (["bath.dxf", "--unit", "in", "--thickness", "1 in"], "bath.dxf: there is no such file"),
        (["photo.jpg"], 'photo.jpg: ".jpg" is not a kind of file'),
        (["kitchen.dxf", "other/kitchen.dxf", "--unit", "in", "--thickness", "1 in"], "cannot be named kitchen.dxf"),
        (["kitchen.dxf", "kitchen.svg", "--unit", "in", "--thickness", "1 in"], "cannot be named kitchen.seen.json"),
        (["kitchen.dxf", "--unit", "in", "--thickness", "1 mm"], "piece C1, shape.thickness"),
        (["kitchen.dxf", "--unit", "in", "--thickness", "1 in", "--ignore", "PIECE"], "holds no outline"),
    ],
)
def test_faults_give_one_line_and_write_nothing(
    desk: Path, capsys: pytest.CaptureFixture[str], arguments: list[str], expected: str
) -> None:
    drawing(desk / "kitchen.dxf", "C1", "C2")
    (desk / "other").mkdir()
    drawing(desk / "other/kitchen.dxf", "C1")
    (desk / "photo.jpg").write_bytes(b"x")
    (desk / "kitchen.svg").write_text(SVG)
    assert expected in refused(capsys, "--from", *arguments)


@pytest.mark.usefixtures("desk")
def test_layers_go_into_the_job_as_they_were_given() -> None:
    drawing(Path("kitchen.dxf"), "C1", "C2", unit=1)
    layers = ["--pieces", "PIECE", "--holes", "PIE*", "--ignore", "DIM*", "--marks", "0"]
    assert run(["new", "job", "--from", "kitchen.dxf", "--thickness", "1 in", *layers]) == 2  # every outline is a hole
    layers[3] = "SINK"
    assert run(["new", "job", "--from", "kitchen.dxf", "--thickness", "1 in", *layers]) == 2  # no such layer
    layers[2:4] = []
    assert run(["new", "job", "--from", "kitchen.dxf", "--thickness", "1 in", *layers]) == 0
    text = Path("job/job.toml").read_text()
    assert all(line in text for line in ('pieces = ["PIECE"]', 'ignore = ["DIM*"]', 'marks = ["0"]'))
    assert [piece.mark for piece in load_job("job/job.toml").pieces] == ["C1", "C2"]


@pytest.mark.usefixtures("desk")
def test_a_pdf_drawing_needs_its_scale(capsys: pytest.CaptureFixture[str]) -> None:
    pytest.importorskip("pypdfium2")
    canvas = Canvas("plan.pdf", pagesize=(300, 200))
    canvas.rect(50, 50, 144, 72)  # points: 2 by 1 in
    canvas.drawString(60, 60, "C1")
    canvas.save()
    assert "The page has no scale" in refused(capsys, "--from", "plan.pdf", "--thickness", "1 in")
    assert run(["new", "job", "--from", "plan.pdf", "--thickness", "1 in", "--scale", "1 in = 2 ft"]) == 0
    (piece,) = load_job("job/job.toml").pieces
    assert (piece.mark, piece.shape.region.size_m) == ("C1", pytest.approx((4 * 0.3048, 2 * 0.3048), abs=1e-4))


@pytest.mark.usefixtures("desk")
def test_a_list_of_points_is_a_drawing_and_a_list_of_marks_a_table() -> None:
    Path("points.txt").write_text("x\ty\n0\t0\n900\t0\n900\t600\n0\t600\n")
    Path("list.txt").write_text(
        "mark\tshape.kind\tshape.length\tshape.width\tshape.thickness\nW1\tslab\t40 in\t20 in\t1 in\n"
    )
    files = ["--from", "points.txt", "list.txt", "--unit", "mm", "--thickness", "20 mm"]
    assert run(["new", "job", *files]) == 0
    assert [piece.mark for piece in load_job("job/job.toml").pieces] == ["P1", "W1"]


@pytest.mark.usefixtures("desk")
def test_options_for_files_need_files(capsys: pytest.CaptureFixture[str]) -> None:
    assert "--unit: This option goes with --from." in refused(capsys, "--unit", "in")


def test_a_changed_folder_is_left_alone(desk: Path, capsys: pytest.CaptureFixture[str]) -> None:
    drawing(desk / "kitchen.dxf", "C1", unit=1)
    call = ["new", "job", "--from", "kitchen.dxf", "--thickness", "1 in"]
    assert run(call) == 0
    assert run(call) == 0
    with Path("job/job.toml").open("a") as stream:
        stream.write("# mine\n")
    capsys.readouterr()
    assert run(call) == 2
    assert "job.toml" in capsys.readouterr().err
    assert Path("job/job.toml").read_text().endswith("# mine\n")


def test_the_numbers_in_the_picture_lie_inside_their_edges(desk: Path) -> None:
    drawing(desk / "kitchen.dxf", "C1", unit=1)
    assert run(["new", "job", "--from", "kitchen.dxf", "--thickness", "1 in"]) == 0
    picture = Path("job/kitchen.seen.svg").read_text()
    places = {text: (float(x), float(y)) for x, y, text in re.findall(r'<text x="(.+?)" y="(.+?)".*?>(\d)<', picture)}
    assert places["1"][1] > places["3"][1]  # the front edge is below the back one
    assert places["4"][0] < places["2"][0]


def test_a_drawing_on_paper_a_pasted_table_and_a_model_in_two_files_make_a_job(desk: Path) -> None:
    pytest.importorskip("pypdf")
    pytest.importorskip("pypdfium2")
    from tests.geometry.readers.test_pdf import page, plan

    (desk / "plan.pdf").write_bytes(page(plan))
    columns = ["mark", "shape.kind", *(f"shape.{side} (mm)" for side in ("length", "width", "thickness"))]
    table = "\t".join(columns) + "\r\nT1\tslab\t1200,5\t600\t25\r\n"
    (desk / "tops.txt").write_bytes(table.encode("utf-16"))
    for name, content in trimesh.Scene(trimesh.creation.box((0.4, 0.3, 0.1))).export(file_type="gltf").items():
        (desk / name.replace("model", "block")).write_bytes(content)
    files = ["plan.pdf", "tops.txt", "block.gltf"]
    assert run(["new", "job", "--from", *files, "--scale", "1:20", "--thickness", "30 mm", "--unit", "mm"]) == 0
    job = load_job(desk / "job" / "job.toml")
    assert sorted(piece.mark for piece in job.pieces) == ["C1", "T1", "block"]
    sizes = {piece.mark: piece.shape.solid().size_m for piece in job.pieces}
    assert sizes["C1"] == pytest.approx((2.4, 0.65, 0.03), rel=1e-6)
    assert sizes["T1"] == pytest.approx((1.2005, 0.6, 0.025))
    assert sizes["block"] == pytest.approx((0.4, 0.3, 0.1))


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ((5.0, 5.0), "Two outlines run close around C1, at (5, 5) in. Either may be the piece."),
        (
            (20.0, 0.4),
            "An outline at (1, 1) in runs close inside the edge of C1. As a hole it would leave a thin frame.",
        ),
    ],
)
def test_a_second_line_inside_a_piece_is_asked_about(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], text: tuple[float, float], expected: str
) -> None:
    document = ezdxf.new("R2010", units=1)
    for layer, x, width, height in (("COUNTER", 0.0, 72.0, 25.5), ("CABINET", 1.0, 70.0, 23.5)):
        corners = [(x, x), (x + width, x), (x + width, x + height), (x, x + height)]
        document.modelspace().add_lwpolyline(corners, close=True, dxfattribs={"layer": layer})
    document.modelspace().add_text("C1", dxfattribs={"height": 0.3}).set_placement(text)
    document.saveas(tmp_path / "plan.dxf")
    call = ["new", str(tmp_path / "job"), "--from", str(tmp_path / "plan.dxf"), "--thickness", "1 in"]
    assert run(call) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert expected in line
    assert run([*call, "--ignore", "CABINET"]) == 0
