"""Open safety items: each act really closes its item, and no doubt is without an act."""

from __future__ import annotations

import re
from html import unescape
from pathlib import Path
from typing import get_args

from starlette.testclient import TestClient

from estimator.handling.doubts import DoubtId
from estimator.page.closing import ACTS, GEAR


def acts(page: TestClient) -> dict[str, str]:
    """Open items of the desk: address and name of each act."""
    text = page.get("/jobs/hill").text.partition('id="open"')[2].partition("</ol>")[0]
    return {unescape(at): unescape(name) for at, name in re.findall(r'<a href="([^"]+)">([^<]+)</a>', text)}


def fields(page: TestClient, at: str) -> list[str]:
    return re.findall(r'name="((?:workshop|mixes|site|piece)/[^"]+)"', page.get(at).text)


def test_every_doubt_has_an_act_and_all_gear_has_ratings_to_enter() -> None:
    assert set(ACTS) == set(get_args(DoubtId))
    assert set(GEAR) == {"A-frame", "sling-leg", "pallet", "forklift", "truck", "elevator"}


def test_strength_tests_of_a_mix_of_the_catalog_close_their_items(page: TestClient, shop: Path) -> None:
    (at,) = [at for at, name in acts(page).items() if name == "Enter strength tests" and "carry" in at]
    (field,) = fields(page, at)
    assert field == "mixes/backer-45/first_crack_strength"
    assert page.post(at, data={field: "1000 psi"}).status_code == 200
    assert "Enter strength tests" not in acts(page).values()
    saved = (shop / "hill" / "job.toml").read_text("utf-8")
    assert '[mixes.backer-45]\nbased_on = "backer-45"\nfirst_crack_strength = "1000 psi"' in saved


def test_coupons_of_a_mix_of_the_catalog_can_be_entered_one_by_one(page: TestClient, shop: Path) -> None:
    rows = {"pour": "P-1", "age": "1 day", "span": "10 in", "width": "2 in", "depth": "1 in"}
    at = "mixes/backer-45/coupons"
    for number in range(6):
        sent = {f"{at}/{number}/{key}": text for key, text in (rows | {"peak": f"{420 + number} lbf"}).items()}
        limit = {f"{at}/{number}/limit": f"{400 + number} lbf", f"{at}/{number}/face": ("up", "down")[number % 2]}
        assert page.post("/jobs/hill/sheet", data={"at": at, "act": "add", **sent, **limit}).status_code == 200
    assert "Enter strength tests" not in acts(page).values()
    assert (shop / "hill" / "job.toml").read_text("utf-8").count('based_on = "backer-45"') == 1


def test_all_missing_ratings_of_gear_are_entered_at_once(page: TestClient) -> None:
    (at,) = [at for at, name in acts(page).items() if name == "Enter ratings"]
    sent = fields(page, at)
    assert sent
    page.post(at, data=dict.fromkeys(sent, "9000 lb"))
    assert "Enter ratings" not in acts(page).values()


def test_slings_get_their_rating_without_pick_points_of_the_shop(page: TestClient, shop: Path) -> None:
    heavy = (shop / "hill" / "job.toml").read_text("utf-8").replace('"72 in"', '"120 in"').replace('"1 in"', '"2 in"')
    (shop / "hill" / "job.toml").write_text(heavy, encoding="utf-8")
    (at,) = [at for at, name in acts(page).items() if name == "Enter ratings"]
    assert "workshop/handling/sling_rating" in fields(page, at)
    page.post(at, data=dict.fromkeys(fields(page, at), "9000 lb"))
    assert "Enter ratings" not in acts(page).values()


def test_a_refused_rating_is_shown_where_it_was_typed(page: TestClient) -> None:
    (at,) = [at for at, name in acts(page).items() if name == "Enter ratings"]
    answer = page.post(at, data=dict.fromkeys(fields(page, at), "900"))
    assert answer.status_code == 422
    assert 'value="900"' in answer.text
