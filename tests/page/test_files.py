"""A revised drawing, model or schedule takes the place of the older one, after it has shown what it changes."""

from __future__ import annotations

import re
import shutil
import tomllib
from html import unescape
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np
import pytest
from starlette.testclient import TestClient

from estimator.page.uploads import looked_at
from tests.page.conftest import JOB

EXAMPLE = Path(__file__).parents[2] / "examples" / "kitchen"

Size = tuple[float, float]
CHANGED = '72" × 25-1/2" × 1" → 75" × 25-1/2" × 1"'


def dxf(path: Path, *sizes: Size, unit: int = 1, marks: tuple[str, ...] = ("K1", "K2", "K3")) -> bytes:
    """A drawing of rectangles with marks; units as $INSUNITS: 0 none, 1 in, 4 mm."""
    document = ezdxf.new(units=unit)
    space, x = document.modelspace(), 0.0
    for (length, width), mark in zip(sizes, marks, strict=False):
        space.add_lwpolyline([(x, 0), (x + length, 0), (x + length, width), (x, width)], close=True)
        space.add_text(mark, dxfattribs={"height": width / 10}).set_placement((x + length / 3, width / 3))
        x += length + width
    document.saveas(path)
    return path.read_bytes()


def stl(*size: float) -> bytes:
    """A block as an STL file, which names no unit."""
    corners = np.array([[x, y, z] for x in (0, 1) for y in (0, 1) for z in (0, 1)]) * size
    faces = ((0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3))
    lines = ["solid block"]
    for a, b, c, d in faces:
        for triangle in ((a, b, c), (a, c, d)):
            lines += ["facet normal 0 0 0", "outer loop"]
            lines += [f"vertex {x} {y} {z}" for x, y, z in corners[list(triangle)]]
            lines += ["endloop", "endfacet"]
    return "\n".join([*lines, "endsolid block"]).encode()


@pytest.fixture
def kitchen(page: TestClient, shop: Path) -> Path:
    """Job of two pieces from one drawing, in inches."""
    folder = shop / "hill"
    dxf(folder / "kitchen.dxf", (72, 25.5), (48, 25.5))
    (folder / "job.toml").write_text(
        JOB[: JOB.index("[[piece]]")]
        + '[[drawing]]\nfile = "kitchen.dxf"   # as measured\nthickness = "1 in"\nuse = "counter"\n\n'
        + '[[piece]]\nmark = "K1"\nfrom = "kitchen.dxf"\n\n[[piece]]\nmark = "K2"\nfrom = "kitchen.dxf"\n'
    )
    assert page.get("/jobs/hill").status_code == 200
    return folder


def table(folder: Path) -> dict[str, Any]:
    return tomllib.loads((folder / "job.toml").read_text("utf-8"))


def send(page: TestClient, old: str, content: bytes, name: str | None = None) -> Any:
    """Sends a newer file from the screen of the files; returns the screen of what it changes."""
    files = {"newer": (name or old, content)}
    return page.post("/upload/hill/newer", params={"file": old}, files=files)


def save(page: TestClient, shown: Any, **answers: str) -> Any:
    sent = dict(re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)"', shown.text)) | answers
    return page.post(shown.url.path, data=sent)


def said(shown: Any) -> str:
    """Text of a screen, its hyphens and spaces plain."""
    text = unescape(re.sub(r"<[^>]+>", " ", shown.text)).replace("\N{NON-BREAKING HYPHEN}", "-")
    return re.sub(r"\s+", " ", text)


def test_a_revised_drawing_shows_what_changes_and_leaves_everything_as_it_was_until_it_is_used(
    page: TestClient, kitchen: Path
) -> None:
    before = {path.name: path.read_bytes() for path in kitchen.iterdir()}
    shown = send(page, "kitchen.dxf", dxf(kitchen.parent / "new.dxf", (75, 25.5), (48, 25.5)))
    assert shown.status_code == 200
    assert CHANGED in said(shown)
    assert "lb →" in said(shown)
    assert "K2" not in said(shown).partition("What changes")[2]
    assert {path.name: path.read_bytes() for path in kitchen.iterdir()} == before


def test_it_keeps_the_older_one_which_undo_brings_back(page: TestClient, kitchen: Path) -> None:
    before, old = (kitchen / "job.toml").read_text("utf-8"), (kitchen / "kitchen.dxf").read_bytes()
    new = dxf(kitchen.parent / "new.dxf", (75, 25.5), (48, 25.5))
    answer = save(page, send(page, "kitchen.dxf", new))
    assert answer.url.path == "/jobs/hill"
    assert '75" × 25-1/2"' in said(answer)
    assert (kitchen / "kitchen.dxf").read_bytes() == old
    assert (kitchen / "kitchen-2.dxf").read_bytes() == new
    after = (kitchen / "job.toml").read_text("utf-8")
    assert after == before.replace("kitchen.dxf", "kitchen-2.dxf")  # both pieces and the drawing, and no other letter
    assert "as measured" in after
    assert not [warning for warning in page.get("/jobs/hill/papers/estimate.json").json()["warnings"]
                if warning["id"] == "drawing-changed"]  # fmt: skip
    assert page.post("/jobs/hill/undo", json={"mark": "K1"}).status_code == 200
    assert (kitchen / "job.toml").read_text("utf-8") == before
    assert '72" × 25-1/2"' in said(page.get("/jobs/hill"))


def test_the_third_state_of_a_drawing_gets_the_next_number_and_the_same_file_none(
    page: TestClient, kitchen: Path
) -> None:
    for number, length in ((2, 75), (3, 78)):
        new = dxf(kitchen.parent / "new.dxf", (length, 25.5), (48, 25.5))
        old = table(kitchen)["drawing"][0]["file"]
        save(page, send(page, old, new, "kitchen.dxf"))
        assert table(kitchen)["drawing"][0]["file"] == f"kitchen-{number}.dxf"
    same = send(page, "kitchen-3.dxf", new, "kitchen.dxf")
    assert same.status_code == 422
    assert "has this kitchen-3.dxf already" in said(same)


def test_a_drawing_dropped_at_the_desk_under_the_name_of_an_older_one_is_taken_for_its_revision(
    page: TestClient, kitchen: Path
) -> None:
    new = dxf(kitchen.parent / "new.dxf", (75, 25.5), (48, 25.5))
    shown = page.post("/upload", params={"job": "hill"}, files={"files": ("Kitchen.DXF", new)})
    assert "/newer/" in shown.url.path
    assert CHANGED in said(shown)
    other = page.post("/upload", params={"job": "hill"}, files={"files": ("bar.dxf", new)})
    assert "/drafts/" in other.url.path


def test_a_unit_that_differs_is_asked_and_the_answer_is_written(page: TestClient, kitchen: Path) -> None:
    job = kitchen / "job.toml"
    dxf(kitchen / "kitchen.dxf", (72, 25.5), (48, 25.5), unit=0)
    job.write_text(job.read_text("utf-8").replace("# as measured", '# as measured\nunit = "in"'))
    metric = dxf(kitchen.parent / "new.dxf", (1850, 650), (1220, 650), unit=4)
    shown = send(page, "kitchen.dxf", metric)
    assert "The newer file is drawn in millimeters. The job reads the older one as drawn in inches." in said(shown)
    assert "Use the newer file" not in said(shown)
    assert re.search(r'value="mm" required checked', shown.text)  # the file says so
    answered = page.get(shown.url.path, params={"file": "kitchen.dxf", "unit": "mm"})
    assert "Use the newer file" in said(answered)
    save(page, answered)
    assert table(kitchen)["drawing"][0]["unit"] == "mm"
    assert "72-13/16" in said(page.get("/jobs/hill"))


def test_a_file_without_a_unit_after_one_with_a_unit_is_asked_and_none_is_preselected(
    page: TestClient, kitchen: Path
) -> None:
    shown = send(page, "kitchen.dxf", dxf(kitchen.parent / "new.dxf", (75, 25.5), (48, 25.5), unit=0))
    assert "names no unit. The older one did." in said(shown)
    assert 'name="unit" value="in" required checked' not in shown.text
    assert shown.text.count('name="unit"') == shown.text.count('" required>')
    answered = page.get(shown.url.path, params={"file": "kitchen.dxf", "unit": "in"})
    assert CHANGED in said(answered)
    save(page, answered)
    assert table(kitchen)["drawing"][0]["unit"] == "in"


def test_sizes_that_grew_as_from_one_unit_to_another_are_asked_about(page: TestClient, shop: Path) -> None:
    folder = shop / "hill"
    (folder / "block.stl").write_bytes(stl(24, 12, 6))
    shape = '\n[[piece]]\nmark = "B1"\nshape = { kind = "mesh", file = "block.stl", unit = "in" }\n'
    (folder / "job.toml").write_text(JOB + shape + shape.replace("B1", "B2"))
    shown = send(page, "block.stl", stl(610, 305, 152))
    assert "as much larger or smaller as another unit would make it" in said(shown)
    answered = page.get(shown.url.path, params={"file": "block.stl", "unit": "mm"})
    save(page, answered)
    pieces = table(folder)["piece"]
    assert [piece["shape"]["unit"] for piece in pieces[2:]] == ["mm", "mm"]
    assert [piece["shape"]["file"] for piece in pieces[2:]] == ["block-2.stl", "block-2.stl"]
    grown = send(page, "block-2.stl", stl(650, 305, 152))
    assert "Use the newer file" in said(grown)


def test_a_piece_that_the_newer_drawing_lacks_is_named_and_a_new_one_comes_in(page: TestClient, kitchen: Path) -> None:
    new = dxf(kitchen.parent / "new.dxf", (72, 25.5), (30, 20), marks=("K1", "K3"))
    shown = send(page, "kitchen.dxf", new)
    assert shown.status_code == 422
    assert "kitchen.dxf does not have K2." in said(shown)
    assert "Use the newer file" not in said(shown)
    answered = page.get(shown.url.path, params={"file": "kitchen.dxf", "leave": "yes"})
    assert answered.status_code == 200
    save(page, answered)
    assert [piece["mark"] for piece in table(kitchen)["piece"]] == ["K1", "K3"]


def test_a_newer_drawing_is_read_with_the_layers_that_the_job_knows(page: TestClient, shop: Path) -> None:
    folder = shop / "hill"
    for name in ("job.toml", "kitchen.dxf"):
        shutil.copy(EXAMPLE / name, folder)
    document = ezdxf.readfile(folder / "kitchen.dxf")
    for line in document.modelspace().query('LINE[layer=="COUNTER"]'):
        for end in ("start", "end"):
            at = line.dxf.get(end)
            line.dxf.set(end, (114.0, at.y) if at.x == 110.0 else at)
    newer = folder.parent / "newer.dxf"
    document.saveas(newer)
    assert not looked_at(newer).sound  # by itself: the lines of its drop edge, which end within an edge, do not close
    shown = send(page, "kitchen.dxf", newer.read_bytes())
    assert '110" × 84" × 2" → 114" × 84" × 2"' in said(shown)


def test_a_newer_schedule_changes_its_rows(page: TestClient, shop: Path) -> None:
    folder = shop / "hill"
    head = "mark,shape.kind,shape.length (in),shape.width (in),shape.thickness (in)\n"
    (folder / "panels.csv").write_text(head + "P1,slab,30,20,1\nP2,slab,30,20,1\n")
    (folder / "job.toml").write_text(JOB + '\n[[schedule]]\nfile = "panels.csv"\n')
    shown = send(page, "panels.csv", (head + "P1,slab,36,20,1\nP3,slab,30,20,1\n").encode())
    text = said(shown)
    assert '30" × 20" × 1" → 36" × 20" × 1"' in text
    assert "P2" in text
    assert "P3" in text
    save(page, shown)
    assert table(folder)["schedule"] == [{"file": "panels-2.csv"}]


def test_a_newer_schedule_without_a_unit_after_one_with_units_is_asked_for_it(page: TestClient, shop: Path) -> None:
    folder = shop / "hill"
    (folder / "panels.csv").write_text("mark,length (in),width (in),thickness (in)\nP1,30,20,1\n")
    (folder / "job.toml").write_text(JOB + '\n[[schedule]]\nfile = "panels.csv"\n')
    shown = send(page, "panels.csv", b"mark,length,width,thickness\nP1,900,500,25\n")
    assert "The newer file names no unit. The older one did." in said(shown)
    assert "required checked" not in shown.text
    answered = page.get(shown.url.path, params={"file": "panels.csv", "unit": "mm"})
    save(page, answered)
    assert table(folder)["schedule"] == [{"file": "panels-2.csv", "unit": "mm"}]


def test_a_released_job_and_a_file_that_cannot_be_read_refuse_it(page: TestClient, kitchen: Path) -> None:
    before = {path.name for path in kitchen.iterdir()}
    broken = send(page, "kitchen.dxf", b"not a drawing")
    assert broken.status_code == 422
    assert "can't be used" in said(broken)
    job = kitchen / "job.toml"
    job.write_text(job.read_text("utf-8").replace("[job]", '[job]\nstatus = "released"\nstart = "2026-11-30"'))
    refused = send(page, "kitchen.dxf", dxf(kitchen.parent / "new.dxf", (75, 25.5), (48, 25.5)))
    assert refused.status_code == 422
    assert "This job is released, so its drawings stay as they are." in said(refused)
    assert {path.name for path in kitchen.iterdir()} == before


def test_a_file_that_no_job_names_and_a_key_of_nothing_are_not_found(page: TestClient, kitchen: Path) -> None:
    shown = send(page, "kitchen.dxf", dxf(kitchen.parent / "new.dxf", (75, 25.5), (48, 25.5)))
    assert page.get(shown.url.path, params={"file": "../job.toml"}).status_code == 404
    assert page.get("/jobs/hill/newer/" + 32 * "0", params={"file": "kitchen.dxf"}).status_code == 404


def test_a_sent_quote_still_stands_on_the_older_drawing(page: TestClient, kitchen: Path) -> None:
    from estimator.page.shelf import sound

    sent = (kitchen / "job.toml").read_bytes()
    first = sound(sent, kitchen / "job.toml").pieces["K1"].weight.lift_kg
    save(page, send(page, "kitchen.dxf", dxf(kitchen.parent / "new.dxf", (96, 25.5), (48, 25.5))))
    assert sound(sent, kitchen / "job.toml").pieces["K1"].weight.lift_kg == first
    now = sound((kitchen / "job.toml").read_bytes(), kitchen / "job.toml").pieces["K1"].weight.lift_kg
    assert now == pytest.approx(first * 96 / 72, rel=0.01)  # first principles: a longer slab


def test_a_newer_file_given_to_a_key_that_names_the_older_one_shows_what_it_changes(
    page: TestClient, shop: Path
) -> None:
    folder = shop / "hill"
    (folder / "block.stl").write_bytes(stl(24, 12, 6))
    shape = '\n[[piece]]\nmark = "B1"\nshape = { kind = "mesh", file = "block.stl", unit = "in" }\n'
    (folder / "job.toml").write_text(JOB + shape)
    files = {"file": ("block.stl", stl(26, 12, 6))}
    shown = page.post("/upload/hill", params={"at": "piece/2/shape/file"}, files=files)
    assert "/newer/" in shown.url.path
    assert "B1" in said(shown).partition("What changes")[2]
