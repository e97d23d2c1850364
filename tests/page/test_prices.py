"""Prices of packs are typed over in one list, and the other packs of a material stay as they are."""

from __future__ import annotations

import tomllib
from pathlib import Path

from starlette.testclient import TestClient

from estimator import estimate, load_job


def test_a_price_is_typed_over_and_the_other_packs_stay(page: TestClient, shop: Path) -> None:
    job = shop / "hill" / "job.toml"
    before = estimate(load_job(job)).result
    packs = before.job.materials["white-cement"].packs
    shown = page.get("/jobs/hill/prices").text
    assert shown.count('name="white-cement/') == sum(1 + len(pack.breaks) for pack in packs) > 1
    assert page.post("/jobs/hill/prices", data={"white-cement/0/0": "1e9x"}).status_code == 422
    assert page.post("/jobs/hill/prices", data={"white-cement/0/0": f"{packs[0].unit_price:g}"}).status_code == 200
    assert "materials" not in tomllib.loads(job.read_text("utf-8"))
    assert (
        page.post("/jobs/hill/prices", data={"white-cement/0/0": "39.5", "white-cement/0/1": "33"}).status_code == 200
    )
    after = estimate(load_job(job)).result
    changed = after.job.materials["white-cement"].packs
    assert [pack.unit_price for pack in changed] == [39.5, *(pack.unit_price for pack in packs[1:])]
    assert [each.unit_price for each in changed[0].breaks] == [33.0]
    assert [pack.name for pack in changed] == [pack.name for pack in packs]
    assert after.cost.total > before.cost.total


def test_a_price_of_the_shops_own_list_is_the_one_shown(page: TestClient, shop: Path) -> None:
    job = shop / "hill" / "job.toml"
    pack = '{ name = "big bag", mass = "1000 lb", price = 12345.67, supplier = "yard" }'
    (shop / "hill" / "own.toml").write_text(f"[materials.white-cement]\npacks = [{pack}]\n")
    job.write_text(job.read_text("utf-8").replace("[job]\n", '[job]\ncatalog = "own.toml"\n', 1), "utf-8")
    shown = page.get("/jobs/hill/prices").text
    assert 'value="12345.67"' in shown
    assert "big bag" in shown
    assert page.post("/jobs/hill/prices", data={"white-cement/0/0": "500"}).status_code == 200
    assert tomllib.loads(job.read_text("utf-8"))["materials"]["white-cement"]["packs"][0]["price"] == 500
