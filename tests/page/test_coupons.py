"""Strength tests reach a mix from a file, sent or beside the job, or typed, and close what asked for them."""

from __future__ import annotations

import re
import tomllib
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

HEAD = "pour,age,face,span,width,depth,limit,peak\n"
ROWS = "".join(
    f"P-1,1 day,{face},10 in,2 in,1 in,{400 + number} lbf,{420 + number} lbf\n"
    for number, face in enumerate(("up", "down") * 3)
)
FILE = (HEAD + ROWS).encode()
AT = "/jobs/hill/coupons?mix=backer-45"
COMMON = {"pour": "P-1", "age": "1 day", "span": "10 in", "width": "2 in", "depth": "1 in"}


def asked_for(page: TestClient) -> bool:
    """Whether the desk asks for strength tests."""
    return "Enter strength tests" in page.get("/jobs/hill").text


def mix(shop: Path) -> dict[str, Any]:
    mixes = tomllib.loads((shop / "hill" / "job.toml").read_text("utf-8")).get("mixes", {})
    return dict(mixes.get("backer-45", {}))


def send(page: TestClient, name: str, content: bytes) -> Any:
    return page.post("/upload/hill/coupons", params={"mix": "backer-45"}, files={"coupons": (name, content)})


def typed(count: int = 6, **more: str) -> dict[str, str]:
    rows = {f"peak/{number}": f"{420 + number} lbf" for number in range(count)}
    rows |= {f"limit/{number}": f"{400 + number} lbf" for number in range(count)}
    rows |= {f"face/{number}": ("up", "down")[number % 2] for number in range(count)}
    return {"act": "type", **COMMON, **rows, **more}


def test_the_item_that_asks_for_tests_leads_to_their_screen(page: TestClient) -> None:
    desk = page.get("/jobs/hill").text
    [item, *_] = re.findall(r'href="([^"]*/open/[^"]*)">Enter strength tests', desk)
    assert f'href="{AT}"' in unescape(page.get(unescape(item)).text)
    assert "from a file or one by one" in page.get(unescape(item)).text


def test_a_file_of_the_lab_is_sent_and_closes_the_item(page: TestClient, shop: Path) -> None:
    assert asked_for(page)
    assert send(page, "lab 14.csv", FILE).url.path == "/jobs/hill"
    assert mix(shop) == {"based_on": "backer-45", "coupons": "lab 14.csv"}
    assert (shop / "hill" / "lab 14.csv").read_bytes() == FILE
    assert not asked_for(page)
    assert "stand in lab 14.csv" in page.get(AT).text
    newer = send(page, "lab 14.csv", FILE.replace(b"420", b"425"))
    assert newer.status_code == 422
    assert "another file called lab 14.csv" in newer.text


def test_a_file_beside_the_job_is_chosen(page: TestClient, shop: Path) -> None:
    (shop / "hill" / "tests.csv").write_bytes(FILE)
    assert "<option>tests.csv</option>" in page.get(AT).text
    assert page.post(AT, data={"act": "file", "name": "tests.csv"}).url.path == "/jobs/hill"
    assert mix(shop)["coupons"] == "tests.csv"
    assert not asked_for(page)


@pytest.mark.parametrize("name", ["../tests.csv", "nothing.csv", "job.toml", ""])
def test_another_name_is_refused(page: TestClient, shop: Path, name: str) -> None:
    (shop / "tests.csv").write_bytes(FILE)
    assert page.post(AT, data={"act": "file", "name": name}).status_code == 422
    assert mix(shop) == {}


def test_a_file_without_coupons_is_refused_with_its_row_and_left_nowhere(page: TestClient, shop: Path) -> None:
    wrong = send(page, "lab.csv", FILE.replace(b"421 lbf", b"421"))
    assert wrong.status_code == 422
    assert "row 3" in wrong.text
    assert send(page, "lab.csv", b"mark\nC1\n").status_code == 422
    assert not (shop / "hill" / "lab.csv").exists()
    assert mix(shop) == {}


def test_six_coupons_are_typed_on_one_screen(page: TestClient, shop: Path) -> None:
    shown = page.get(AT).text
    assert all(f'name="{name}"' in shown for name in typed() if name != "act")
    assert page.post(AT, data=typed()).url.path == "/jobs/hill"
    rows = mix(shop)["coupons"]
    assert len(rows) == 6
    assert rows[1] == {**COMMON, "face": "down", "limit": "401 lbf", "peak": "421 lbf"}
    assert not asked_for(page)
    assert page.post(AT, data=typed(2, pour="P-2")).url.path == "/jobs/hill"
    assert len(mix(shop)["coupons"]) == 8


def test_what_is_missing_of_a_coupon_is_named_and_what_was_typed_stays(page: TestClient, shop: Path) -> None:
    half = page.post(AT, data=typed(**{"face/2": ""}))
    assert half.status_code == 422
    assert "Coupon 3 has no entry for" in half.text
    assert 'value="425 lbf"' in half.text
    assert "No coupon has a load" in page.post(AT, data=typed(0)).text
    assert mix(shop) == {}


def test_coupons_take_the_place_of_a_typed_strength_which_the_screen_says(page: TestClient, shop: Path) -> None:
    sent = {"at": "mixes/backer-45", "act": "save", "mixes/backer-45/first_crack_strength": "1000 psi"}
    page.post("/jobs/hill/sheet", data={**sent, "mixes/backer-45/based_on": "backer-45"})
    assert "take the place of the strength" in page.get(AT).text
    send(page, "lab.csv", FILE)
    assert mix(shop) == {"based_on": "backer-45", "coupons": "lab.csv"}


def test_a_mix_that_the_job_does_not_know_has_none(page: TestClient) -> None:
    assert page.get("/jobs/hill/coupons?mix=nothing").status_code == 404
