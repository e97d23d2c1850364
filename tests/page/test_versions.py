"""What an option, an alternate or a change order changes is entered in the fields of the piece, without key paths."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

SHEET, VERSIONS = "/jobs/hill/sheet", "/jobs/hill/versions"
SINK = '{ kind = "circle", diameter = "20 in", x = "30 in", y = "12 in" }'


def text_of(shop: Path) -> str:
    return (shop / "hill" / "job.toml").read_text("utf-8")


def table(shop: Path) -> dict[str, Any]:
    return tomllib.loads(text_of(shop))


def one_line_changed(before: str, after: str) -> bool:
    old, new = before.splitlines(), after.splitlines()
    return len(old) == len(new) and sum(map(str.__ne__, old, new)) == 1


def started(page: TestClient, at: str, change: str, **fields: str) -> str:
    """Starts a version; returns the screen on which its first change is entered."""
    sent = {"at": at, "act": "add", "change": change} | {f"{at}/0/{key}": text for key, text in fields.items()}
    answer = page.post(SHEET, data=sent)
    assert answer.status_code == 200
    return answer.text


def carried(screen: str) -> dict[str, str]:
    """What the form of a screen would send as it is."""
    inputs = re.findall(r'<input[^>]*?name="([^"]+)"[^>]*?value="([^"]*)"', screen)
    return {name: value for name, value in inputs if not name.startswith("order-")}


def changed(page: TestClient, at: str, mark: str, more: str = "", **typed: str) -> Any:
    """Types into the screen of a piece of a version, as it is shown."""
    query = {"at": at, "change": mark} | ({"more": more} if more else {})
    screen = page.get(VERSIONS, params=query).text
    names = {name.split("/", 2)[2]: name for name in re.findall(r'name="(piece/[^"]+)"', screen)}
    sent = carried(screen) | {names[key.replace("__", "/")]: text for key, text in typed.items()}
    return page.post(VERSIONS, params=query, data=sent)


def test_an_option_is_started_with_a_size_of_a_piece(page: TestClient, shop: Path) -> None:
    screen = started(page, "option", "C2", name="Deeper bar")
    assert 'value="25-1/2 in"' in screen
    assert "C2 in Deeper bar" in screen
    sent = carried(screen) | {"piece/1/shape/width": "30 in"}
    answer = page.post(VERSIONS, params={"at": "option/0", "change": "C2"}, data=sent)
    assert answer.status_code == 200
    assert table(shop)["option"] == [{"name": "Deeper bar", "piece": [{"mark": "C2", "shape": {"width": "30 in"}}]}]
    assert "C2, width: 25-1/2 in → 30 in" in answer.text


def test_a_second_size_is_one_changed_line_and_the_old_one_stands_beside_it(page: TestClient, shop: Path) -> None:
    sent = carried(started(page, "alternative", "C2", name="deeper")) | {"piece/1/shape/width": "30 in"}
    page.post(VERSIONS, params={"at": "alternative/0", "change": "C2"}, data=sent)
    before = text_of(shop)
    assert "In the job: 25-1/2 in" in page.get(VERSIONS, params={"at": "alternative/0", "change": "C2"}).text
    assert changed(page, "alternative/0", "C2", shape__width="31 in").status_code == 200
    assert one_line_changed(before, text_of(shop))
    assert changed(page, "alternative/0", "C2", shape__length="50 in", quantity="3", finish="honed").status_code == 200
    [entry] = table(shop)["alternative"][0]["piece"]
    assert entry == {
        "mark": "C2", "shape": {"width": "31 in", "length": "50 in"}, "quantity": 3, "finish": "honed",
    }  # fmt: skip
    assert changed(page, "alternative/0", "C2", shape__width="25-1/2 in").status_code == 200  # as in the job again
    assert table(shop)["alternative"][0]["piece"][0]["shape"] == {"length": "50 in"}
    assert changed(page, "alternative/0", "C1", shape__length="80 in").status_code == 200
    assert [piece["mark"] for piece in table(shop)["alternative"][0]["piece"]] == ["C2", "C1"]
    page.post(VERSIONS, params={"at": "alternative/0", "change": "C2"}, data={"act": "piece", "leave": "yes"})
    assert [piece["mark"] for piece in table(shop)["alternative"][0]["piece"]] == ["C1"]


def test_an_added_cutout_keeps_the_one_that_the_job_has(page: TestClient, shop: Path) -> None:
    job = shop / "hill" / "job.toml"
    job.write_text(text_of(shop).replace('thickness = "1 in" }', f'thickness = "1 in", cutouts = [{SINK}] }}', 1))
    sent = carried(started(page, "option", "C1", name="Second sink")) | {"piece/0/quantity": "2"}
    page.post(VERSIONS, params={"at": "option/0", "change": "C1"}, data=sent)
    shown = page.get(
        VERSIONS, params={"at": "option/0", "change": "C1", "more": "shape/cutouts", "kind": "circle"}
    ).text
    new = "piece/0/shape/cutouts/1/"
    assert f'name="{new}diameter"' in shown
    query = {"at": "option/0", "change": "C1", "more": "shape/cutouts", "kind": "circle"}
    typed = {f"{new}diameter": "1-3/8 in", f"{new}x": "60 in", f"{new}y": "20 in"}
    assert page.post(VERSIONS, params=query, data=carried(shown) | typed).status_code == 200
    first, second = table(shop)["option"][0]["piece"][0]["shape"]["cutouts"]
    assert (first["diameter"], second) == (
        "20 in",
        {"kind": "circle"} | {k.rpartition("/")[2]: v for k, v in typed.items()},
    )
    before = text_of(shop)
    assert changed(page, "option/0", "C1", shape__cutouts__0__diameter="18 in").status_code == 200
    assert one_line_changed(before, text_of(shop))
    assert table(shop)["piece"][0]["shape"]["cutouts"][0]["diameter"] == "20 in"


def test_a_table_of_the_piece_that_neither_has_is_entered(page: TestClient, shop: Path) -> None:
    sent = carried(started(page, "option", "C1", name="Outdoors")) | {"piece/0/quantity": "2"}
    page.post(VERSIONS, params={"at": "option/0", "change": "C1"}, data=sent)
    assert changed(page, "option/0", "C1", more="in_place", in_place__outdoors="true").status_code == 200
    assert table(shop)["option"][0]["piece"][0]["in_place"] == {"outdoors": True}
    assert changed(page, "option/0", "C1", waste="0.1").status_code == 200  # from the further entries of the piece
    assert table(shop)["option"][0]["piece"][0]["waste"] == 0.1


def test_an_option_adds_leaves_out_and_swaps_without_a_sign_between_names(page: TestClient, shop: Path) -> None:
    screen = started(page, "option", "+", name="A shelf")
    new = {"kind": "slab", "length": "24 in", "width": "12 in", "thickness": "1 in", "mark": "C9", "use": "counter"}
    assert page.post("/jobs/hill/add", params={"at": "option/0/add"}, data=carried(screen) | new).status_code == 200
    assert [piece["mark"] for piece in table(shop)["option"][0]["add"]] == ["C9"]
    shown = page.get(SHEET, params={"at": "option/0"}).text
    assert '<input type="checkbox" name="option/0/remove" value="C2">' in shown
    swapped = {"at": "option/0", "act": "save", "option/0/remove": "C2", "option/0/swap/backer-45": "backer-65"}
    assert page.post(SHEET, data=swapped).status_code == 200
    option = table(shop)["option"][0]
    assert (option["remove"], option["swap"]) == (["C2"], {"backer-45": "backer-65"})
    another = {**new, "mark": "C10"}
    page.post("/jobs/hill/add", params={"at": "option/0/add"}, data=another)
    assert [piece["mark"] for piece in table(shop)["option"][0]["add"]] == ["C9", "C10"]


def test_a_change_order_is_entered_in_the_same_fields_and_counts_from_what_was_signed(
    page: TestClient, shop: Path
) -> None:
    job = shop / "hill" / "job.toml"
    job.write_text(text_of(shop).replace("[job]", '[job]\nstatus = "released"\nstart = "2026-11-30"'))
    sent = carried(started(page, "change", "C2", number="1", reason="wider bar", signed="2026-11-30"))
    query = {"at": "change/0", "change": "C2"}
    assert page.post(VERSIONS, params=query, data=sent | {"piece/1/shape/width": "30 in"}).status_code == 200
    sent = {"at": "change", "act": "add", "change": "C2", "change/1/number": "2", "change/1/reason": "wider still"}
    screen = page.post(SHEET, data=sent).text
    assert 'value="30 in"' in screen
    typed = carried(screen) | {"piece/1/shape/width": "32 in"}
    answer = page.post(VERSIONS, params={"at": "change/1", "change": "C2"}, data=typed)
    assert "C2, width: 30 in → 32 in" in answer.text
    assert table(shop)["change"][1]["piece"] == [{"mark": "C2", "shape": {"width": "32 in"}}]
    assert table(shop)["change"][1]["agreed"]["price"] > 0.0


def test_a_size_that_is_none_is_refused_at_its_field_and_nothing_is_written(page: TestClient, shop: Path) -> None:
    screen, before = started(page, "option", "C2", name="Deeper bar"), text_of(shop)
    sent = carried(screen) | {"piece/1/shape/width": "30"}
    answer = page.post(VERSIONS, params={"at": "option/0", "change": "C2"}, data=sent)
    assert answer.status_code == 422
    assert 'value="30"' in answer.text
    assert 'value="Deeper bar"' in answer.text  # what was entered before is kept
    cleared = carried(screen) | {"piece/1/shape/width": ""}
    answer = page.post(VERSIONS, params={"at": "option/0", "change": "C2"}, data=cleared)
    assert "be cleared here" in answer.text
    assert text_of(shop) == before


@pytest.mark.parametrize("at", ["option/7", "option", "piece/0", "option/0/name", "job/name"])
def test_an_address_of_nothing_is_none(page: TestClient, at: str) -> None:
    assert page.get(VERSIONS, params={"at": at, "change": "C9"}).status_code == 404


def test_a_row_of_a_schedule_is_changed_like_any_piece(page: TestClient, shop: Path) -> None:
    (shop / "hill" / "panels.csv").write_text(
        "mark,shape.kind,shape.length (in),shape.width (in),shape.thickness (in)\nP1,slab,30,20,1\n"
    )
    job = shop / "hill" / "job.toml"
    job.write_text(text_of(shop) + '\n[[schedule]]\nfile = "panels.csv"\n')
    screen = started(page, "option", "P1", name="Longer panel")
    [name] = re.findall(r'name="(piece/\d+/shape/length)"', screen)
    sent = carried(screen) | {name: "34 in"}
    assert page.post(VERSIONS, params={"at": "option/0", "change": "P1"}, data=sent).status_code == 200
    assert table(shop)["option"][0]["piece"] == [{"mark": "P1", "shape": {"length": "34 in"}}]


def test_the_entries_of_a_changed_piece_open_on_its_screen(page: TestClient) -> None:
    sent = carried(started(page, "option", "C2", name="Deeper bar")) | {"piece/1/shape/width": "30 in"}
    page.post(VERSIONS, params={"at": "option/0", "change": "C2"}, data=sent)
    assert page.get(SHEET, params={"at": "option/0/piece/0/shape"}).url.path == VERSIONS
