"""A piece typed into a job, and the acts beside open items."""

import re
import tomllib
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from estimator import load_job

SIZES = {
    "slab": {"length": "6' 3-1/2\"", "width": '25-1/2"', "thickness": "3/4 in"},
    "panel": {"length": "48 in", "height": "36 in", "skin": "5/8 in"},
    "box": {"length": "36 in", "width": "16 in", "height": "18 in", "wall": "5/8 in"},
}


@pytest.mark.parametrize("kind", SIZES)
def test_each_kind_of_piece_is_added_as_typed_and_shown(page: TestClient, shop: Path, kind: str) -> None:
    path = shop / "hill" / "job.toml"
    before = path.read_text("utf-8")
    form = page.get("/jobs/hill/add", params={"kind": kind}).text
    assert set(re.findall(r'name="(\w+)" required', form)) == {*SIZES[kind], "mark", "use"}
    assert 'value="C3"' in form  # the next free mark
    given = {"kind": kind, "mark": "C3", "quantity": "2", "use": "other"} | SIZES[kind]
    answer = page.post("/jobs/hill/add", data=given, follow_redirects=False)
    assert answer.headers.get("location") == "/jobs/hill/pieces/C3", answer.text
    assert path.read_text("utf-8").startswith(before.rstrip())
    piece = load_job(path).pieces[-1]
    assert (piece.mark, piece.quantity, piece.use) == ("C3", 2, "other")
    assert "C3" in page.get("/jobs/hill/pieces/C3").text


@pytest.mark.parametrize(
    ("wrong", "said"),
    [({"length": "72"}, "unit"), ({"length": ""}, "missing"), ({"mark": "C1"}, "C1"), ({"quantity": "two"}, "two")],
)
def test_an_impossible_piece_is_refused_with_what_was_typed(
    page: TestClient, shop: Path, wrong: dict[str, str], said: str
) -> None:
    before = (shop / "hill" / "job.toml").read_bytes()
    given = {"kind": "slab", "mark": "C3", "quantity": "1", "use": "counter"} | SIZES["slab"] | wrong
    answer = page.post("/jobs/hill/add", data=given)
    assert answer.status_code == 422
    assert said in answer.text.split('role="alert">')[1].split("</p>")[0]
    assert 'value="25-1/2&#34;"' in answer.text
    assert (shop / "hill" / "job.toml").read_bytes() == before


def test_a_kind_that_sizes_do_not_describe_is_not_offered(page: TestClient) -> None:
    assert page.get("/jobs/hill/add", params={"kind": "mesh"}).status_code == 404


def test_each_open_item_has_one_act_that_leads_somewhere(page: TestClient) -> None:
    shown = page.get("/jobs/hill").text.split('id="open"')[1].split("</ol>")[0]
    items = shown.count("<li>")
    links = re.findall(r'<a href="([^"]+)">[^<]+</a>', shown)
    assert 0 < items == len(links) <= 5
    for link in links:
        assert page.get(link.replace("&amp;", "&")).status_code == 200, link


PROFILE = "profile/points"
BOWL = {"kind": "revolution", PROFILE: "0 in, 0 in\r\n8 in, 0 in\r\n10 in, 6 in\r\n0 in, 6 in"}
RUN = {"kind": "extrusion", PROFILE: "0 in, 0 in\r\n4 in, 0 in\r\n4 in, 2 in", "length": "8 ft"}


@pytest.mark.parametrize("shape", [BOWL, BOWL | {"wall": "5/8 in", "open": "top"}, RUN])
def test_a_turned_shape_and_a_molding_are_entered_by_their_profile(
    page: TestClient, shop: Path, shape: dict[str, str]
) -> None:
    form = page.get("/jobs/hill/add", params={"kind": shape["kind"]}).text
    assert all(f'name="{key}"' in form for key in shape if key != "kind")
    answer = page.post("/jobs/hill/add", data=shape | {"mark": "B1", "use": "basin"}, follow_redirects=False)
    assert answer.headers["location"] == "/jobs/hill/pieces/B1"
    piece = tomllib.loads((shop / "hill" / "job.toml").read_text("utf-8"))["piece"][-1]["shape"]
    assert piece["profile"]["points"][1][0] in ("8 in", "4 in")
    assert piece.get("wall") == shape.get("wall")


@pytest.mark.parametrize(
    ("kind", "sent"),
    [("revolution", {"piece/1/shape/profile/points": BOWL[PROFILE]}), ("compound", {})],
)
def test_a_piece_takes_a_shape_that_has_a_profile_or_parts(
    page: TestClient, shop: Path, kind: str, sent: dict[str, str]
) -> None:
    at = "piece/1/shape"
    form = page.get("/jobs/hill/sheet", params={"at": at, "kind": kind}).text
    assert all(f'name="{key}"' in form for key in sent)
    answer = page.post("/jobs/hill/sheet", data={"at": at, "act": "save", "kind": kind} | sent)
    assert answer.status_code == 200
    shape = tomllib.loads((shop / "hill" / "job.toml").read_text("utf-8"))["piece"][1]["shape"]
    assert shape["kind"] == kind
    if kind == "compound":  # which begins with what was there
        assert shape["add"] == [{"kind": "slab", "length": "48 in", "width": "25-1/2 in", "thickness": "1 in"}]


def test_a_new_piece_is_asked_for_its_shape_wherever_it_is_begun(page: TestClient) -> None:
    answer = page.get("/jobs/hill/sheet?at=piece&new", follow_redirects=False)
    assert answer.headers["location"] == "/jobs/hill/add"
