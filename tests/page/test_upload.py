"""A job from dropped files, and hostile ones."""

import struct
import zipfile
from io import BytesIO
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from estimator import load_job

KITCHEN = Path(__file__).parents[2] / "examples" / "kitchen" / "kitchen.dxf"
ROOM = {"title": "Ridge kitchen", "thickness": "1 in"}


def upload(page: TestClient, files: dict[str, bytes], **given: str):
    sent = [("files", (name, content, "application/octet-stream")) for name, content in files.items()]
    return page.post("/upload", data=given, files=sent)


def test_a_kitchen_comes_from_its_drawing(page: TestClient, shop: Path) -> None:
    answer = upload(page, {"kitchen.dxf": KITCHEN.read_bytes()}, **ROOM, unit="in")
    assert answer.status_code == 200
    assert answer.url.path == "/jobs/ridge-kitchen"
    job = load_job(shop / "ridge-kitchen" / "job.toml")
    assert job.name == "Ridge kitchen"
    assert len(job.pieces) > 1


def test_without_a_unit_the_size_in_each_is_shown_and_the_files_need_not_be_sent_again(
    page: TestClient, shop: Path
) -> None:
    square = b"POLYGON((0 0, 60 0, 60 30, 0 30, 0 0))"
    answer = upload(page, {"top.wkt": square}, **ROOM)
    assert answer.status_code == 422
    assert "in mm" in answer.text
    assert "1.524" in answer.text
    assert "top.wkt" in answer.text
    token = answer.text.split('name="token" value="')[1].split('"')[0]
    assert list(shop.iterdir()) == [shop / "hill"]
    again = page.post("/upload", data=ROOM | {"token": token, "unit": "in"})
    assert again.url.path == "/jobs/ridge-kitchen"
    (piece,) = load_job(shop / "ridge-kitchen" / "job.toml").pieces
    assert piece.shape.plan_area().gross_m2 == pytest.approx(60 * 30 * 0.0254**2)


def bomb() -> bytes:
    with zipfile.ZipFile(packed := BytesIO(), "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("3D/3dmodel.model", b" " * 400_000_000)
    return packed.getvalue()


@pytest.mark.parametrize(
    "files",
    [
        {"nothing.dxf": b""},
        {"noise.dxf": bytes(range(256)) * 40},
        {"bomb.3mf": bomb()},
        {"many.stl": b"\0" * 80 + struct.pack("<I", 4_000_000_000)},
        {"program.exe": b"MZ"},
        {"..": b"x"},
        {".hidden": b"x"},
        {"../../escaped.dxf": b"x"},
        {"job.toml": b"[job]"},
        {"a\x00b.dxf": b"x"},
        {"deep.svg": b"<svg xmlns='http://www.w3.org/2000/svg'>" + b"<g>" * 100_000},
    ],
    ids=lambda files: next(iter(files)).replace("\x00", "NUL"),
)
def test_a_hostile_file_is_refused_in_words_and_writes_nothing(
    page: TestClient, shop: Path, files: dict[str, bytes]
) -> None:
    answer = upload(page, files, **ROOM, unit="in")
    assert answer.status_code in (400, 422)
    assert 'role="alert"' in answer.text or answer.status_code == 400
    assert list(shop.iterdir()) == [shop / "hill"]
    assert not list(shop.parent.glob("**/escaped.dxf"))
