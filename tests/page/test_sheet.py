"""Every key of the job file can be reached, changed, added and removed."""

import re
import tomllib
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from estimator.errors import FaultError
from estimator.page.fields import Field, Group, fields_of, node_at, path_of, schema, typed
from tests.page.conftest import JOB


def table_of(shop: Path) -> dict[str, Any]:
    return tomllib.loads((shop / "hill" / "job.toml").read_text("utf-8"))


def test_every_section_of_the_job_file_can_be_opened(page: TestClient) -> None:
    sections = [part for part in fields_of((), tomllib.loads(JOB)) if isinstance(part, Group)]
    assert {part.at for part in sections} >= {
        "job",
        "piece",
        "site",
        "price",
        "client",
        "stock",
        "supplier",
        "workshop",
    }
    for part in sections:
        suffix = "&new" if part.is_list else ""
        assert page.get(f"/jobs/hill/sheet?at={part.at}{suffix}").status_code == 200, part.at


def test_a_table_that_is_none_is_not_found(page: TestClient) -> None:
    assert page.get("/jobs/hill/sheet", params={"at": "nothing"}).status_code == 404
    assert page.post("/jobs/hill/sheet", data={"at": "nothing", "act": "save"}).status_code == 404


def test_every_key_of_every_table_has_a_field_or_a_table_of_its_own() -> None:
    def visit(path: tuple[Any, ...], depth: int) -> int:
        count = 0
        for part in fields_of(path, {}):
            count += 1
            if isinstance(part, Group) and depth and not part.is_list:
                count += visit(path_of(part.at), depth - 1)
        return count

    assert visit((), 3) > len(schema()["properties"])


def test_an_entry_is_added_changed_and_removed(page: TestClient, shop: Path) -> None:
    entry = {"piece/0/inserts/0/name": "steel frame", "piece/0/inserts/0/mass": "6 lb"}
    added = {"at": "piece/0/inserts", "act": "add"} | entry
    assert page.post("/jobs/hill/sheet", data=added).status_code == 200
    assert table_of(shop)["piece"][0]["inserts"] == [{"name": "steel frame", "mass": "6 lb"}]
    changed = {"at": "piece/0/inserts/0", "act": "save", "piece/0/inserts/0/mass": "7 lb"}
    assert page.post("/jobs/hill/sheet", data=changed).status_code == 200
    assert table_of(shop)["piece"][0]["inserts"][0]["mass"] == "7 lb"
    assert page.post("/jobs/hill/sheet", data={"at": "piece/0/inserts/0", "act": "remove"}).status_code == 200
    assert not table_of(shop)["piece"][0].get("inserts")


def test_a_table_missing_in_the_file_starts_with_its_first_key(page: TestClient, shop: Path) -> None:
    assert page.post("/jobs/hill/sheet", data={"at": "price", "act": "save", "price/margin": "0.35"}).status_code == 200
    assert table_of(shop)["price"] == {"margin": 0.35}
    assert page.post("/jobs/hill/sheet", data={"at": "price", "act": "save", "price/margin": ""}).status_code == 200
    assert not table_of(shop).get("price")


def test_an_invalid_value_is_reported_and_kept_in_its_field(page: TestClient, shop: Path) -> None:
    answer = page.post("/jobs/hill/sheet", data={"at": "price", "act": "save", "price/margin": "35"})
    assert answer.status_code == 422
    assert 'value="35"' in answer.text
    assert table_of(shop) == tomllib.loads(JOB)


@pytest.mark.parametrize(
    ("kind", "text", "value"),
    [
        ("whole", "3", 3),
        ("number", "0.5", 0.5),
        ("share", "0.35", 0.35),
        ("share", "7 %", "7 %"),
        ("flag", "true", True),
        ("text", " 72 in ", "72 in"),
        ("text", "", None),
        ("list", "front\nleft\n", ["front", "left"]),
    ],
)
def test_typed_text_becomes_a_value(kind: Any, text: str, value: object) -> None:
    assert typed(text, Field("a", "A", "", kind, "", "")) == value


def test_text_is_not_taken_for_a_number() -> None:
    with pytest.raises(FaultError, match="page-not-a-number"):
        typed("three", Field("a", "A", "", "whole", "", ""))


def test_the_kind_of_a_shape_decides_its_keys() -> None:
    table = {"piece": [{"shape": {"kind": "box", "wall": "1 in"}}, {"shape": {"kind": "slab"}}]}
    assert "wall" in node_at(("piece", 0, "shape"), table)["properties"]
    assert "wall" not in node_at(("piece", 1, "shape"), table)["properties"]


def test_edges_are_chosen_from_those_that_the_piece_has(page: TestClient, shop: Path) -> None:
    at = "piece/0/shape/drop_edges"
    assert f'href="/jobs/hill/sheet?at={at}&amp;new"' in page.get("/jobs/hill").text
    shown = page.get("/jobs/hill/sheet", params={"at": at, "new": ""}).text
    assert shown.count(f'type="checkbox" name="{at}/0/edges"') == 4
    assert "front, 72" in shown
    sent = {"at": at, "act": "add", f"{at}/0/edges": ["", "front", "left"]}
    sent |= {f"{at}/0/height": "2 in", f"{at}/0/thickness": "1 in"}
    assert page.post("/jobs/hill/sheet", data=sent).status_code == 200
    assert 'edges = ["front", "left"]' in (shop / "hill" / "job.toml").read_text("utf-8")
    shown = page.get("/jobs/hill/sheet", params={"at": f"{at}/0"}).text
    assert shown.count(" checked>") == 3  # with that of the keys
    changed = {"at": f"{at}/0", "act": "save", f"{at}/0/edges": ["", "front"]}
    assert page.post("/jobs/hill/sheet", data=changed).status_code == 200
    assert 'edges = ["front"]' in (shop / "hill" / "job.toml").read_text("utf-8")


def test_an_edge_that_is_named_by_a_point_stays_text(page: TestClient, shop: Path) -> None:
    job = shop / "hill" / "job.toml"
    raw = 'thickness = "1 in", raw_edges = [{ near = ["36 in", "25 in"] }] }'
    job.write_text(job.read_text("utf-8").replace('thickness = "1 in" }', raw, 1), "utf-8")
    shown = page.get("/jobs/hill/sheet", params={"at": "piece/0/shape"}).text
    assert 'type="checkbox" name=' not in shown


def test_two_forms_open_at_once_lose_nothing_and_the_same_field_is_put_before_the_second(
    page: TestClient, shop: Path
) -> None:
    page.post("/jobs/hill/sheet", data={"at": "price", "act": "save", "price/margin": "0.3", "price/overhead": "0.1"})
    first = {"at": "price", "act": "save", "was/price/margin": "0.3", "was/price/overhead": "0.1"}
    page.post("/jobs/hill/sheet", data={**first, "price/margin": "0.35", "price/overhead": "0.1"})
    page.post("/jobs/hill/sheet", data={**first, "price/margin": "0.3", "price/overhead": "0.2"})
    assert table_of(shop)["price"] == {"margin": 0.35, "overhead": 0.2}
    answer = page.post("/jobs/hill/sheet", data={**first, "price/margin": "0.4", "price/overhead": "0.1"})
    assert answer.status_code == 422
    assert "changed “Margin” to 0.35 meanwhile. You typed 0.4." in answer.text
    assert table_of(shop)["price"]["margin"] == 0.35
    again = dict(re.findall(r'name="(was/price/[^"]+|price/[^"]+)" value="([^"]*)"', answer.text))
    assert (again["was/price/margin"], again["price/margin"]) == ("0.35", "0.4")
    assert page.post("/jobs/hill/sheet", data={"at": "price", "act": "save", **again}).status_code == 200
    assert table_of(shop)["price"] == {"margin": 0.4, "overhead": 0.2}


def test_every_link_of_the_desk_opens_a_screen(page: TestClient) -> None:
    desk = page.get("/jobs/hill").text
    links = {unescape(link) for link in re.findall(r'href="(/[^"]+)"', desk) if "/papers/" not in link}
    assert sum("&new" in link for link in links) == 8
    assert {link: page.get(link).status_code for link in links} == dict.fromkeys(links, 200)


def test_a_cutout_asks_for_the_sizes_of_its_kind_alone_and_shows_on_the_piece(page: TestClient, shop: Path) -> None:
    at = "piece/0/shape/cutouts"
    shown = page.get("/jobs/hill/sheet", params={"at": at, "new": ""}).text
    names = set(re.findall(rf'name="{at}/0/(\w+)"', shown))
    assert {"x", "y", "length", "width", "radius"} <= names
    assert not names & {"diameter", "file", "points", "scale"}
    circle = page.get("/jobs/hill/sheet", params={"at": at, "new": "", "kind": "circle"}).text
    assert set(re.findall(rf'name="{at}/0/(\w+)"', circle)) & {"diameter", "length"} == {"diameter"}
    typed = {"x": "20 in", "y": "4 in", "length": "30 in", "width": "16 in"}
    sent = {"at": at, "act": "add", "kind": "rectangle"} | {f"{at}/0/{key}": text for key, text in typed.items()}
    answer = page.post("/jobs/hill/sheet", data=sent)
    assert answer.url.path == "/jobs/hill/pieces/C1"
    assert table_of(shop)["piece"][0]["shape"]["cutouts"] == [{"kind": "rectangle", **typed}]
    held = page.get("/jobs/hill/sheet", params={"at": f"{at}/0"}).text
    assert set(re.findall(rf'name="{at}/0/(\w+)"', held)) & {"diameter", "length"} == {"length"}


def marks(shop: Path) -> list[str]:
    return [piece["mark"] for piece in table_of(shop)["piece"]]


def test_a_piece_is_copied_moved_and_taken_out_from_the_desk(page: TestClient, shop: Path) -> None:
    def act(act: str, at: str) -> str:
        desk = page.get("/jobs/hill")
        assert page.post("/jobs/hill/sheet", data={"at": at, "act": act}).status_code == 200
        return desk.text

    splash = {"at": "piece/0/shape/splashes", "act": "add", "piece/0/shape/splashes/0/edges": "back"}
    splash |= {
        f"piece/0/shape/splashes/0/{key}": text
        for key, text in {"height": "4 in", "thickness": "1 in", "mark": "S"}.items()
    }
    assert page.post("/jobs/hill/sheet", data=splash).status_code == 200
    assert 'value="copy"' in act("copy", "piece/0")
    assert marks(shop) == ["C1", "C2", "C3"]
    first, *_, copied = table_of(shop)["piece"]
    assert first["shape"]["splashes"][0].pop("mark") == "S"
    assert copied == first | {"mark": "C3"}
    act("up", "piece/2")
    assert marks(shop) == ["C1", "C3", "C2"]
    act("down", "piece/0")
    assert marks(shop) == ["C3", "C1", "C2"]
    assert "# by the window" in (shop / "hill" / "job.toml").read_text("utf-8")
    act("remove", "piece/1")
    assert marks(shop) == ["C3", "C2"]
    for _ in range(4):
        assert page.post("/jobs/hill/undo", json={}).status_code == 200
    assert marks(shop) == ["C1", "C2"]
    changes = page.get("/jobs/hill/changes").text
    assert "3 → 2" in changes


def test_a_piece_is_not_moved_beyond_its_list_and_the_last_one_is_not_offered_to_be_taken_out(
    page: TestClient, shop: Path
) -> None:
    desk = page.get("/jobs/hill").text
    assert [act for act in ("up", "down", "remove") if f'value="{act}"' in desk] == ["down", "remove"]
    assert page.post("/jobs/hill/sheet", data={"at": "piece/0", "act": "up"}).status_code == 404
    assert page.post("/jobs/hill/sheet", data={"at": "client", "act": "copy"}).status_code == 404
    page.post("/jobs/hill/sheet", data={"at": "piece/1", "act": "remove"})
    assert marks(shop) == ["C1"]
    assert 'value="remove"' not in page.get("/jobs/hill").text


def test_layers_are_put_in_another_order(page: TestClient, shop: Path) -> None:
    for number, (mix, thickness) in enumerate((("backer-45", ""), ("face", "1/8 in"))):
        layer = {f"piece/0/layers/{number}/mix": mix, f"piece/0/layers/{number}/thickness": thickness}
        assert page.post("/jobs/hill/sheet", data={"at": "piece/0/layers", "act": "add"} | layer).status_code == 200
    assert 'value="up"' in page.get("/jobs/hill/sheet?at=piece/0/layers/1").text
    assert page.post("/jobs/hill/sheet", data={"at": "piece/0/layers/1", "act": "up"}).status_code == 200
    assert [layer["mix"] for layer in table_of(shop)["piece"][0]["layers"]] == ["face", "backer-45"]


def test_a_yes_or_no_is_asked_in_these_words(page: TestClient) -> None:
    shown = page.get("/jobs/hill/sheet?at=receiving").text
    assert '<option value="true">Yes</option>' in shown
    assert '<option value="false">No</option>' in shown
    assert "Yes if the truck must bring a lift gate. Default: no." in shown


def test_an_example_in_an_empty_field_does_not_read_like_its_value(page: TestClient) -> None:
    screens = (
        "sheet?at=piece/0", "sheet?at=piece/0/shape/cutouts&new", "sheet?at=option&new", "add?kind=box",
        "coupons?mix=backer-45", "open/rating-missing", "versions?at=option/0&change=C1",
    )  # fmt: skip
    for screen in screens:
        shown = re.findall(r'placeholder="([^"]*)"', page.get(f"/jobs/hill/{screen}").text)
        assert shown, screen
        assert [text for text in shown if not text.startswith("e.g. ")] == [], screen


def test_a_shape_becomes_one_of_another_kind_and_keeps_the_sizes_they_share(page: TestClient, shop: Path) -> None:
    at = "piece/0/shape"
    shown = page.get(f"/jobs/hill/sheet?at={at}&kind=box").text
    for key in ("length", "width", "height", "wall", "base"):
        assert f'name="{at}/{key}"' in shown, key
    assert f'name="{at}/thickness"' not in shown
    sizes = {f"{at}/{key}": text for key, text in {"height": "18 in", "wall": ""}.items()}
    refused = page.post("/jobs/hill/sheet", data={"at": at, "act": "save", "kind": "box"} | sizes)
    assert refused.status_code == 422
    assert 'value="18 in"' in refused.text
    sizes[f"{at}/wall"] = "1 in"
    assert page.post("/jobs/hill/sheet", data={"at": at, "act": "save", "kind": "box"} | sizes).status_code == 200
    assert table_of(shop)["piece"][0]["shape"] == {
        "kind": "box", "length": "72 in", "width": "25-1/2 in", "height": "18 in", "wall": "1 in",
    }  # fmt: skip
    page.post("/jobs/hill/undo", json={})
    assert table_of(shop)["piece"][0]["shape"]["kind"] == "slab"


def test_a_cutout_becomes_round(page: TestClient, shop: Path) -> None:
    at = "piece/0/shape/cutouts"
    sizes = {"x": "10 in", "y": "9 in", "length": "20 in", "width": "10 in"}
    added = {"at": at, "act": "add", "kind": "rectangle"} | {f"{at}/0/{key}": text for key, text in sizes.items()}
    assert page.post("/jobs/hill/sheet", data=added).status_code == 200
    turned = {"at": f"{at}/0", "act": "save", "kind": "circle", f"{at}/0/diameter": "12 in"}
    assert page.post("/jobs/hill/sheet", data=turned).status_code == 200
    cutout = {"kind": "circle", "x": "10 in", "y": "9 in", "diameter": "12 in"}
    assert table_of(shop)["piece"][0]["shape"]["cutouts"] == [cutout]


@pytest.mark.parametrize("between", [", ", "\r\n", ",\r\n"])
def test_coordinates_stand_on_one_line_or_on_two(page: TestClient, shop: Path, between: str) -> None:
    at = "piece/0/seams"
    ends = {f"{at}/0/from": f"30 in{between}0 in", f"{at}/0/to": f"40 in{between}25-1/2 in"}
    assert page.post("/jobs/hill/sheet", data={"at": at, "act": "add"} | ends).status_code == 200
    [seam] = tomllib.loads((shop / "hill" / "job.toml").read_text("utf-8"))["piece"][0]["seams"]
    assert seam == {"from": ["30 in", "0 in"], "to": ["40 in", "25-1/2 in"]}
