"""The file that the jobs of a shop share is edited in the page, and no job falls by it."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from estimator import estimate, load_job
from tests.page.conftest import JOB

SHEET, PRICES = "/jobs/~shop/sheet", "/jobs/~shop/prices"
SHOP = """# Of the shop
[price]
margin = 0.3          # since spring

[workshop.labour]
rate = 60.0
"""


@pytest.fixture
def shared(page: TestClient, shop: Path) -> Path:
    """Folder of three jobs: two use the shop's file, one of them released, the third does not."""
    (shop / "shop.toml").write_text(SHOP)
    for name, status in (("hill", ""), ("lake", 'status = "released"\nstart = "2026-11-30"\n')):
        (shop / name).mkdir(exist_ok=True)
        head = f'[job]\ncatalog = "../shop.toml"\n{status}'
        (shop / name / "job.toml").write_text(JOB.replace("[job]\n", head).replace("Hill", name.title()))
    (shop / "dale").mkdir()
    (shop / "dale" / "job.toml").write_text(JOB.replace("Hill house", "Dale house"))
    assert page.get("/").status_code == 200
    return shop


def total(folder: Path, name: str) -> float:
    return float(estimate(load_job(folder / name / "job.toml")).result.cost.total)


def table(path: Path) -> dict[str, Any]:
    return tomllib.loads(path.read_text("utf-8"))


def test_it_is_reached_from_the_jobs_and_names_those_that_use_it(page: TestClient, shared: Path) -> None:
    assert 'href="/shop"' in page.get("/").text
    shown = page.get("/shop").text
    assert "Jobs that use shop.toml" in shown
    users, others = shown.split("Jobs that do not use it")
    assert ("Hill house" in users, "Lake house" in users, "Dale house" in others) == (True, True, True)
    assert "Released. It keeps the price and the mixes" in users
    entries = page.get(SHEET).text
    assert "An entry here changes this job: Hill house." in entries
    assert "This released job keeps its accepted price and its mixes: Lake house." in entries
    assert 'at=workshop"' in entries
    assert 'at=piece"' not in entries
    assert shared.exists()


def test_an_entry_is_one_changed_line_moves_the_jobs_that_use_it_and_is_undone(page: TestClient, shared: Path) -> None:
    before = {name: total(shared, name) for name in ("hill", "dale")}
    assert page.get("/jobs/hill").status_code == 200
    answer = page.post(SHEET, data={"at": "price", "act": "save", "was/price/margin": "0.3", "price/margin": "0.4"})
    assert answer.status_code == 200
    assert (shared / "shop.toml").read_text() == SHOP.replace("margin = 0.3 ", "margin = 0.4 ")
    assert total(shared, "hill") > before["hill"]
    assert total(shared, "dale") == before["dale"]
    shown = re.search(r'data-f="total">\$([\d,.]+)<', page.get("/jobs/hill").text)  # not the figure of before
    assert shown is not None
    assert float(shown[1].replace(",", "")) == pytest.approx(total(shared, "hill"))
    assert "0.3 → 0.4" in page.get("/jobs/~shop/changes").text
    assert page.post("/shop", data={"act": "undo"}).status_code == 200
    assert (shared / "shop.toml").read_text() == SHOP
    assert total(shared, "hill") == before["hill"]


def test_two_editors_of_it_merge_and_the_same_entry_is_put_before_the_second(page: TestClient, shared: Path) -> None:
    first = {"at": "price", "act": "save", "was/price/margin": "0.3", "was/price/overhead": ""}
    page.post(SHEET, data={**first, "price/margin": "0.35", "price/overhead": ""})
    page.post(SHEET, data={**first, "price/margin": "0.3", "price/overhead": "0.2"})
    assert table(shared / "shop.toml")["price"] == {"margin": 0.35, "overhead": 0.2}
    answer = page.post(SHEET, data={**first, "price/margin": "0.4", "price/overhead": ""})
    assert answer.status_code == 422
    assert "changed “Margin” to 0.35" in answer.text


def test_what_a_job_would_fall_by_is_refused_with_its_name_and_nothing_is_written(
    page: TestClient, shared: Path
) -> None:
    wrong = page.post(SHEET, data={"at": "price", "act": "save", "price/margin": "40"})
    assert wrong.status_code == 422
    job = shared / "hill" / "job.toml"
    job.write_text(job.read_text().replace('mix = "backer-45"', 'mix = "own"'))
    (shared / "shop.toml").write_text(SHOP + '\n[mixes.own]\nbased_on = "backer-45"\n')
    gone = page.post(SHEET, data={"at": "mixes/own", "act": "remove"})
    assert gone.status_code == 422
    assert "Hill house" in gone.text
    assert "mixes.own" in (shared / "shop.toml").read_text()
    assert {path.name for path in shared.iterdir()} >= {"shop.toml", "hill", "lake", "dale"}
    assert not list(shared.glob(".trial*"))


def test_a_released_job_keeps_its_price_and_its_mixes(page: TestClient, shared: Path) -> None:
    before = estimate(load_job(shared / "lake" / "job.toml")).result
    assert page.post(SHEET, data={"at": "price", "act": "save", "price/margin": "0.5"}).status_code == 200
    mix = {"at": "mixes", "act": "add", "key": "backer-45", "mixes/backer-45/air": "0.08"}
    assert page.post(SHEET, data=mix).status_code == 200
    after = estimate(load_job(shared / "lake" / "job.toml")).result
    assert after.standing.total == before.standing.total
    assert [piece.weight.lift_kg for piece in after.pieces] == [piece.weight.lift_kg for piece in before.pieces]
    open_job = estimate(load_job(shared / "hill" / "job.toml")).result
    assert open_job.pieces[0].weight.lift_kg < after.pieces[0].weight.lift_kg  # more air, as the shop says now
    assert table(shared / "lake" / "job.toml")["price"]["agreed"]["price"] == float(before.standing.price)
    assert "air" in table(shared / "lake" / "job.toml")["mixes"]["backer-45"]


def test_a_price_typed_over_counts_in_every_job_and_leaves_packs_of_the_other_system(
    page: TestClient, shared: Path
) -> None:
    shown = page.get(PRICES).text
    fields = re.findall(r'name="(white-cement/[^"]+)" value="([^"]*)"', shown)
    assert fields
    before = total(shared, "hill")
    sent = {f"was/{name}": price for name, price in fields}
    typed = {name: f"{2 * float(price):g}" for name, price in fields if price}
    assert page.post(PRICES, data=sent | typed).status_code == 200
    packs = table(shared / "shop.toml")["materials"]["white-cement"]["packs"]
    assert {pack.get("units") for pack in packs} >= {"imperial", "metric"}
    assert total(shared, "hill") > before


def test_a_shop_without_the_file_starts_it_and_a_job_uses_it(page: TestClient, shop: Path) -> None:
    assert "Start the shop file" in page.get("/shop").text
    assert page.get(SHEET).status_code == 404
    page.post("/shop", data={"act": "start"})
    assert (shop / "shop.toml").read_text().startswith("#")
    assert page.get(SHEET).status_code == 200
    before = (shop / "hill" / "job.toml").read_text()
    assert page.post("/shop", data={"act": "use", "job": "hill"}).status_code == 200
    after = (shop / "hill" / "job.toml").read_text()
    assert after.replace('catalog = "../shop.toml"\n', "") == before
    settings = {"at": "workshop/labour", "act": "save", "workshop/labour/rate": "80"}
    cheap = total(shop, "hill")
    assert page.post(SHEET, data=settings).status_code == 200
    assert total(shop, "hill") > cheap
    new = {"title": "Next", "units": "imperial", "length": "72 in", "width": "25 in", "thickness": "1 in"}
    assert page.post("/new", data=new).status_code == 200
    assert table(shop / "next" / "job.toml")["job"]["catalog"] == "../shop.toml"


def test_a_name_outside_the_shop_is_still_refused(page: TestClient, shared: Path) -> None:
    answer = page.post("/jobs/dale/sheet", data={"at": "job", "act": "save", "job/catalog": "../../shop.toml"})
    assert answer.status_code == 422
    inside = page.post("/jobs/dale/sheet", data={"at": "job", "act": "save", "job/catalog": "../shop.toml"})
    assert inside.status_code == 200
    assert table(shared / "dale" / "job.toml")["job"]["catalog"] == "../shop.toml"


def test_a_released_job_is_not_given_the_file(page: TestClient, shared: Path) -> None:
    job = shared / "dale" / "job.toml"
    job.write_text(job.read_text().replace("[job]", '[job]\nstatus = "released"\nstart = "2026-11-30"'))
    assert "Dale house" not in page.get("/shop").text
    assert page.post("/shop", data={"act": "use", "job": "dale"}).status_code == 404


@pytest.mark.parametrize("room", ["copy", "archive", "rows", "mix", "client", "papers", "orders", "add", "files"])
def test_it_has_no_screen_that_only_a_job_has(page: TestClient, shared: Path, room: str) -> None:
    assert page.get("/jobs/~shop").url.path == SHEET
    assert page.post(f"/jobs/~shop/{room}", data={"title": "x"}).status_code in (404, 405)
    assert page.get(f"/jobs/~shop/{room}").status_code in (404, 405)
    assert (shared / "shop.toml").read_text() == SHOP


def test_a_logo_of_the_shop_is_put_beside_its_file(page: TestClient, shared: Path) -> None:
    logo = (Path(__file__).parents[2] / "examples" / "boathouse" / "logo.png").read_bytes()
    answer = page.post("/upload/~shop", params={"at": "business/logo"}, files={"file": ("logo.png", logo)})
    assert answer.url.path == SHEET
    assert table(shared / "shop.toml")["business"] == {"logo": "logo.png"}
    assert (shared / "logo.png").read_bytes() == logo
