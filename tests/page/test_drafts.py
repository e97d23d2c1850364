"""Files sent by a browser: asked about, made into jobs, and confined to their place."""

from __future__ import annotations

import re
import struct
import tomllib
import zipfile
from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image
from starlette.testclient import TestClient

from estimator import load_job
from estimator.page.uploads import choices_of

SQUARE = "0,0\n72,0\n72,24\n0,24\n0,0\n"
"""An outline without a unit, as CSV."""


def send(page: TestClient, files: dict[str, bytes], job: str = "") -> str:
    """Path of the questions about some files."""
    sent = [("files", (name, content)) for name, content in files.items()]
    answer = page.post(f"/upload{f'?job={job}' if job else ''}", files=sent, follow_redirects=False)
    assert answer.status_code == 303, answer.text
    return str(answer.headers["location"])


def test_a_drawing_without_a_unit_is_asked_about_and_nothing_is_preselected(page: TestClient) -> None:
    shown = page.get(send(page, {"island top.csv": SQUARE.encode()})).text
    assert "6 ft" in shown or "72&#34;" in shown  # in inches
    assert "72 × 24 mm" in shown
    assert len(re.findall(r'name="unit"', shown)) == 5
    assert "checked" not in shown


def test_a_drawing_becomes_a_job_of_the_unit_chosen(page: TestClient, shop: Path) -> None:
    at = send(page, {"island top.csv": SQUARE.encode()})
    asked = {"title": "Island", "unit": "in", "thickness": "1-1/2 in", "use": "counter"}
    answer = page.post(at, data=asked, follow_redirects=False)
    assert answer.status_code == 303, answer.text
    job = load_job(shop / "island" / "job.toml")
    assert job.name == "Island"
    assert job.pieces[0].shape.solid().size_m == pytest.approx((72 * 0.0254, 24 * 0.0254, 1.5 * 0.0254))
    assert page.get(at).status_code == 404  # the upload is gone


def test_a_list_of_pieces_is_one_whatever_its_marks_are_headed(page: TestClient, shop: Path) -> None:
    rows = "P1,3,1200 mm,600 mm,20 mm\nP2,5,900 mm,600 mm,20 mm\n"
    asked = {"title": "Facade", "units": "metric", "use": "panel"}
    at = send(page, {"list.csv": f"Type,Qty,Length,Width,Thickness\n{rows}".encode()})
    assert page.post(at, data=asked, follow_redirects=False).status_code == 303
    assert [piece.quantity for piece in load_job(shop / "facade" / "job.toml").pieces] == [3, 5]
    at = send(page, {"list.csv": f"Position,Qty,Length,Width,Thickness\n{rows}".encode()})
    assert "x, y, z" not in page.get(at).text
    assert "Name the columns in one row, such as Mark, Qty" in page.post(at, data=asked).text


def cube(facets: int) -> bytes:
    """STL of a box of 400 × 300 × 150, as far as its facets go."""
    far = (400.0, 300.0, 150.0)
    stl = b""
    for axis, side in ((0, 0), (0, 1), (1, 0), (1, 1), (2, 0), (2, 1)):
        along = [(u, v) if side else (v, u) for u, v in ((0, 0), (1, 0), (1, 1), (0, 1))]
        ring = [tuple(far[k] * (side if k == axis else at[(k - axis) % 3 - 1]) for k in range(3)) for at in along]
        for corners in ((0, 1, 2), (0, 2, 3)):
            stl += struct.pack("<12fH", 0, 0, 0, *(x for corner in corners for x in ring[corner]), 0)
    return bytes(80) + struct.pack("<I", facets) + stl[: 50 * facets]


def test_flat_holes_of_a_model_are_filled_if_the_user_says_so(page: TestClient, shop: Path) -> None:
    at = send(page, {"trough.stl": cube(10)}, "hill")
    shown = page.get(at).text
    assert "trough.stl is not closed: 4 open edges" in shown
    assert "Filled" not in shown  # its size is not known before its unit
    assert "400 × 300 × 150 mm" in shown
    asked = {"unit": "mm", "use": "planter"}
    before = (shop / "hill" / "job.toml").read_bytes()
    assert page.post(at, data=asked).status_code == 422
    assert (shop / "hill" / "job.toml").read_bytes() == before
    answer = page.post(at, data=asked | {"fill/0": "yes"}, follow_redirects=False)
    assert answer.headers["location"] == "/jobs/hill/pieces/trough"  # not the first piece of the job
    added = next(piece for piece in load_job(shop / "hill" / "job.toml").pieces if piece.mark == "trough")
    assert added.shape.solid().volume_m3 == pytest.approx(0.4 * 0.3 * 0.15)
    assert 'name="mark" required value="C3"' in page.get("/jobs/hill/add").text
    closed = page.get(send(page, {"closed.stl": cube(12)})).text
    assert "is not closed" not in closed


@pytest.mark.parametrize("missing", ["unit", "thickness"])
def test_an_unanswered_question_is_asked_again_and_nothing_is_written(
    page: TestClient, shop: Path, missing: str
) -> None:
    at = send(page, {"island.csv": SQUARE.encode()})
    asked = {"title": "Island", "unit": "in", "thickness": "1-1/2 in", "use": "counter"}
    answer = page.post(at, data={name: value for name, value in asked.items() if name != missing})
    assert answer.status_code == 422
    assert 'role="alert"' in answer.text
    assert not (shop / "island").exists()
    told = page.post(at, data=asked | {"thickness": "1.5"}).text
    assert "Thickness of the drawn pieces: &#34;1.5&#34; has no unit." in told
    assert "--thickness" not in told


def test_files_add_pieces_to_a_job_and_keep_its_lines(page: TestClient, shop: Path) -> None:
    before = (shop / "hill" / "job.toml").read_text("utf-8")
    at = send(page, {"island.csv": SQUARE.encode()}, "hill")
    answer = page.post(at, data={"unit": "in", "thickness": "1 in", "use": "counter"}, follow_redirects=False)
    assert answer.status_code == 303, answer.text
    after = (shop / "hill" / "job.toml").read_text("utf-8")
    assert after.startswith(before.rstrip())
    assert [piece.mark for piece in load_job(shop / "hill" / "job.toml").pieces] == ["C1", "C2", "P1"]
    again = send(page, {"island.csv": b"0,0\n9,0\n9,9\n0,9\n0,0\n"}, "hill")
    answer = page.post(again, data={"unit": "in", "thickness": "1 in", "use": "counter"})
    assert answer.status_code == 422
    assert "island.csv" in answer.text
    assert (shop / "hill" / "island.csv").read_text("utf-8") == SQUARE


@pytest.mark.parametrize(
    "name", ["../../outside.csv", "..\\outside.csv", "/etc/outside.csv", "C:\\outside.csv", "a/b/outside.csv"]
)
def test_a_path_in_a_file_name_leads_nowhere(page: TestClient, shop: Path, name: str) -> None:
    send(page, {name: SQUARE.encode()})
    assert not list(shop.rglob("outside.csv"))
    assert not any((folder / "outside.csv").exists() for folder in (shop.parent, shop.parent.parent, Path("/etc")))


@pytest.mark.parametrize("name", ["job.toml", ".hidden.csv", "con.csv", "a\u202eb.csv", "x" * 200 + ".csv"])
def test_a_file_type_that_is_not_read_is_refused(page: TestClient, shop: Path, name: str) -> None:
    answer = page.post("/upload", files=[("files", (name, b"0"))])
    assert answer.status_code == 422
    assert [path.name for path in shop.iterdir() if path.name[0] != "."] == ["hill"]
    assert [path for path in shop.iterdir() if path.is_dir()] == [shop / "hill"]


def bomb() -> bytes:
    with zipfile.ZipFile(packed := BytesIO(), "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("3D/3dmodel.model", b" " * 400_000_000)
    return packed.getvalue()


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("bad.dxf", b"\x00" * 999),
        ("bad.svg", b'<!DOCTYPE a [<!ENTITY b SYSTEM "file:///etc/passwd">]><svg>&b;</svg>'),
        ("bad.3mf", b"PK\x03\x04 no archive"),
        ("bad.stl", b"solid"),
        ("bad.exe", b"MZ"),
        ("nothing.dxf", b""),
        ("bomb.3mf", bomb()),
        ("many.stl", b"\0" * 80 + struct.pack("<I", 4_000_000_000)),
        ("deep.svg", b"<svg xmlns='http://www.w3.org/2000/svg'>" + b"<g>" * 100_000),
    ],
)
def test_a_bad_file_is_reported_in_words(page: TestClient, name: str, content: bytes) -> None:
    shown = page.get(send(page, {name: content}))
    assert shown.status_code == 200
    assert 'class="why"' in shown.text
    assert "root:" not in shown.text
    assert "Make the job" not in shown.text


def test_keys_of_uploads_cannot_lead_into_other_folders(page: TestClient) -> None:
    for key in ("%2e%2e%2fhill", "0" * 32, "x", "." * 32):
        assert page.get(f"/drafts/{key}").status_code == 404


def test_each_unit_is_drawn_to_the_same_scale_beside_a_door() -> None:
    by_unit = {choice.unit: choice for choice in choices_of((96.0, 40.0))}
    assert by_unit["in"].size == '96" × 40"'
    assert by_unit["cm"].wide == pytest.approx(40.0 * 0.96)  # 40 px a meter
    assert by_unit["ft"].cut
    assert not by_unit["in"].cut


def plan_on_paper(before: int = 0) -> bytes:
    """A counter of 2400 by 650 mm, drawn 1:20, without a note of its scale, after some pages of text."""
    canvas_of = pytest.importorskip("reportlab.pdfgen.canvas").Canvas
    mm, content = 72 / 25.4, BytesIO()
    canvas = canvas_of(content, pagesize=(297 * mm, 210 * mm))
    for number in range(before):
        canvas.drawString(50 * mm, 60 * mm, f"Sheet {number + 1}")
        canvas.showPage()
    canvas.rect(50 * mm, 60 * mm, 120 * mm, 32.5 * mm)
    canvas.showPage()
    canvas.save()
    return content.getvalue()


@pytest.mark.parametrize(
    "answer",
    [{"scale": "1:20"}, {"first": "0, 0", "second": "120, 0", "distance": "2400 mm"}],
    ids=["scale", "two points"],
)
def test_a_drawing_on_paper_gets_its_scale(page: TestClient, shop: Path, answer: dict[str, str]) -> None:
    pytest.importorskip("pypdfium2")
    at = send(page, {"plan.pdf": plan_on_paper()})
    shown = page.get(at).text
    assert 'viewBox="0 0 120.000 32.500"' in shown
    asked = {"title": "Plan", "thickness": "20 mm", "use": "counter"}
    refused = page.post(at, data=asked | {"first": "0, 0", "second": "0, 0", "distance": "1 m"}, follow_redirects=False)
    assert refused.status_code == 422
    answered = page.post(at, data=asked | answer, follow_redirects=False)
    assert answered.status_code == 303, answered.text
    job = load_job(shop / "plan" / "job.toml")
    assert job.pieces[0].shape.solid().size_m == pytest.approx((2.4, 0.65, 0.02), rel=1e-4)


def test_an_invalid_point_is_asked_for_again(page: TestClient) -> None:
    pytest.importorskip("pypdfium2")
    at = send(page, {"plan.pdf": plan_on_paper()})
    asked = {"title": "Plan", "thickness": "20 mm", "use": "counter", "first": "here", "second": "0, 0"}
    answer = page.post(at, data=asked | {"distance": "1 m"}, follow_redirects=False)
    assert answer.status_code == 422
    assert "is not a point" in answer.text


def test_of_a_drawing_with_several_pages_the_page_is_chosen(page: TestClient, shop: Path) -> None:
    pytest.importorskip("pypdfium2")
    at = send(page, {"plan.pdf": plan_on_paper(before=2)})
    first = page.get(at).text
    assert "Which page of plan.pdf holds the pieces?" in first
    assert re.findall(r'href="\?page=(\d+)"', first) == ["1", "2", "3"]
    assert "Make the job" not in first
    assert 'class="why"' in page.get(f"{at}?page=1").text  # text alone
    third = page.get(f"{at}?page=3").text
    assert 'viewBox="0 0 120.000 32.500"' in third
    assert 'href="?page=3" aria-current="true"' in third
    asked = {"title": "Plan", "thickness": "20 mm", "use": "counter", "scale": "1:20"}
    assert page.post(f"{at}?page=3", data=asked, follow_redirects=False).status_code == 303
    assert tomllib.loads((shop / "plan" / "job.toml").read_text("utf-8"))["drawing"][0]["page"] == 3
    assert "no page 9" in page.get(f"{send(page, {'plan.pdf': plan_on_paper(before=1)})}?page=9").text


def kitchen(path: Path) -> bytes:
    """A drawing of a counter with a sink, a loose note, and a line along its front on a layer of its own."""
    import ezdxf

    drawing = ezdxf.new()
    drawing.header["$INSUNITS"] = 1
    space = drawing.modelspace()

    def rectangle(x: float, y: float, along: float, across: float, layer: str) -> None:
        corners = [(x, y), (x + along, y), (x + along, y + across), (x, y + across)]
        space.add_lwpolyline(corners, close=True, dxfattribs={"layer": layer})

    rectangle(0, 0, 84, 25.5, "PIECE")
    rectangle(28, 4, 30, 16, "SINK")
    space.add_text("A1", dxfattribs={"layer": "TEXT", "height": 3}).set_placement((6, 12))
    space.add_line((0, 0), (84, 0), dxfattribs={"layer": "FRONT-DROP"})
    space.add_line((0, -9), (84, -9), dxfattribs={"layer": "NOTE"})
    drawing.saveas(path)
    return path.read_bytes().replace(b"FRONT-DROP", b"front <drop>")


def test_lines_along_an_edge_are_asked_about_and_become_its_work(page: TestClient, shop: Path, tmp_path: Path) -> None:
    at = send(page, {"kitchen.dxf": kitchen(tmp_path / "kitchen.dxf")})
    shown = page.get(at).text
    assert "What are the lines on layer front &lt;drop&gt;?" in shown
    assert "layer NOTE" not in shown
    assert 'src="data:image/svg+xml;base64,' in shown
    asked = {"title": "Kitchen", "thickness": "1-1/4 in", "use": "counter"}
    assert page.post(at, data=asked).status_code == 422
    assert "Choose one" in page.post(at, data=asked).text
    sized = {"edges/0/0": "drop", "edges/0/0/drop/height": "2 in"}
    assert page.post(at, data=asked | sized).status_code == 422
    sized |= {"edges/0/0/drop/thickness": "1-1/4 in"}
    assert page.post(at, data=asked | sized, follow_redirects=False).status_code == 303
    [piece] = load_job(shop / "kitchen" / "job.toml").pieces
    assert piece.shape.solid().size_m[2] == pytest.approx(2 * 0.0254)


@pytest.mark.parametrize("answer", ["none", "raw"])
def test_lines_along_an_edge_may_be_something_else(page: TestClient, shop: Path, tmp_path: Path, answer: str) -> None:
    at = send(page, {"kitchen.dxf": kitchen(tmp_path / "kitchen.dxf")})
    asked = {"title": "Kitchen", "thickness": "1-1/4 in", "use": "counter", "edges/0/0": answer}
    assert page.post(at, data=asked, follow_redirects=False).status_code == 303
    table = tomllib.loads((shop / "kitchen" / "job.toml").read_text("utf-8"))["drawing"][0]
    assert table.get("edges") == ({"front <drop>": {"raw": True}} if answer == "raw" else None)


def test_the_pages_of_a_document_are_shown_as_pictures(page: TestClient) -> None:
    pytest.importorskip("pypdfium2")
    canvas = pytest.importorskip("reportlab.pdfgen.canvas")
    written = BytesIO()
    drawn = canvas.Canvas(written)
    for _ in range(3):
        drawn.rect(100, 100, 300, 120)
        drawn.showPage()
    drawn.save()
    shown = page.get(send(page, {"plan.pdf": written.getvalue()})).text
    assert shown.count("data:image/png;base64,") == 3


def put(page: TestClient, at: str, name: str, content: bytes) -> str:
    """Text of the page after a file was put beside the job."""
    return page.post("/upload/hill", params={"at": at}, files={"file": (name, content)}).text


def test_a_logo_is_put_beside_the_job_and_named_there(page: TestClient, shop: Path) -> None:
    written = BytesIO()
    Image.new("RGB", (40, 20)).save(written, "PNG")
    assert "Logo: choose a file" in page.get("/jobs/hill/sheet", params={"at": "business"}).text
    put(page, "business/logo", "../own logo.png", written.getvalue())
    assert tomllib.loads((shop / "hill" / "job.toml").read_text("utf-8"))["business"] == {"logo": "own logo.png"}
    assert (shop / "hill" / "own logo.png").read_bytes() == written.getvalue()


@pytest.mark.parametrize(
    ("at", "name", "content"),
    [
        ("business/logo", "logo.png", b"no picture"),
        ("business/logo", "job.toml", b"[job]"),
        ("business/logo", ".shop.db", b""),
        ("job/name", "logo.png", b"x"),
        ("", "logo.png", b"x"),
    ],
)
def test_a_file_that_is_none_of_the_key_leaves_nothing(
    page: TestClient, shop: Path, at: str, name: str, content: bytes
) -> None:
    before = {path.name: path.read_bytes() for path in (shop / "hill").iterdir()}
    assert 'role="alert"' in put(page, at, name, content)
    assert {path.name: path.read_bytes() for path in (shop / "hill").iterdir()} == before


ROWS = b"""mark,quantity,shape.kind,shape.length (mm),shape.height (mm),shape.skin (mm)
W1,2,panel,1800,900,16
W2,1,panel,1200,900,16
"""


def test_rows_of_a_schedule_are_asked_for_their_units_and_become_entries(page: TestClient, shop: Path) -> None:
    at = send(page, {"walls.csv": ROWS})
    assert page.get(at).text.count('name="units"') == 2
    asked = {"title": "Walls", "use": "panel", "units": "metric"}
    assert page.post(at, data=asked, follow_redirects=False).status_code == 303
    path = shop / "walls" / "job.toml"
    before = load_job(path)
    assert (before.units, before.currency) == ("metric", "EUR")
    assert "List the rows in the job" in page.get("/jobs/walls").text
    assert page.post("/jobs/walls/rows", follow_redirects=False).status_code == 303
    table = tomllib.loads(path.read_text("utf-8"))
    assert [piece["mark"] for piece in table["piece"]] == ["W1", "W2"]
    assert "schedule" not in table
    after = load_job(path)
    was, now = ([(each.mark, each.quantity, each.shape) for each in job.pieces] for job in (before, after))
    assert was == now
    shown = page.get("/jobs/walls").text
    assert "List the rows" not in shown
    assert 'data-at="piece/0/quantity"' in shown


@pytest.mark.parametrize(
    ("rows", "unit", "sizes_m"),
    [
        ("A1,1,72,25 1/2,1\nA2,1,12,12,1\n", "in", (1.8288, 0.6477, 0.0254)),
        ("A1;1;1,20;0,60;0,03\n", "m", (1.2, 0.6, 0.03)),
    ],
)
def test_a_schedule_without_units_is_asked_for_its_unit_and_none_is_preselected(
    page: TestClient, shop: Path, rows: str, unit: str, sizes_m: tuple[float, ...]
) -> None:
    head = "mark,quantity,length,width,thickness\n"
    content = ((head.replace(",", ";") if ";" in rows else head) + rows).encode()
    at = send(page, {"list.csv": content})
    text = page.get(at).text
    assert "list.csv names no unit. Which size is your largest piece?" in text
    assert text.count('type="radio" name="unit"') == 5
    assert "checked" not in text
    assert 'name="units"' not in text  # the unit tells them
    assert page.post(at, data={"title": "List", "use": "counter"}).status_code == 422
    assert page.post(at, data={"title": "List", "use": "counter", "unit": unit}, follow_redirects=False).is_redirect
    shape = load_job(shop / "list" / "job.toml").pieces[0].shape
    assert (shape.length_m, shape.width_m, shape.thickness_m) == pytest.approx(sizes_m)
