"""The mix bench: shares tried without touching the job, and one written into it."""

import re
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from estimator import estimate, load_job
from estimator.errors import FaultError
from estimator.job import Job
from estimator.lighten import beads_of
from estimator.words import PLAIN
from geometry.message import Message
from tests.page.conftest import JOB


def rows_of(page: TestClient) -> dict[int, dict[str, object]]:
    answer = page.get("/jobs/hill/mix/rows", params={"mix": "backer-45"})
    return {row["share"]: row for row in answer.json()["rows"]}


def test_the_present_share_shows_the_figures_of_the_job(page: TestClient, shop: Path) -> None:
    rows = rows_of(page)
    assert list(rows) == list(range(0, 101, 5))
    result = estimate(load_job(shop / "hill" / "job.toml")).result
    total_kg = sum(piece.weight.installed_kg * piece.taken.piece.quantity for piece in result.pieces)
    assert rows[45]["all_kg"] == pytest.approx(total_kg)
    price = page.get("/jobs/hill/mix/price", params={"mix": "backer-45", "share": 45}).json()["price"]
    assert price.replace("$", "").replace(",", "") == f"{result.cost.price}"


def test_more_beads_are_lighter_and_leave_the_job_as_it_is(page: TestClient, shop: Path) -> None:
    before = (shop / "hill" / "job.toml").read_bytes()
    weights = [row["all_kg"] for row in rows_of(page).values() if not row["problem"]]
    assert weights == sorted(weights, reverse=True)
    shown = page.get("/jobs/hill/mix", params=[("keep", 0), ("keep", 45), ("keep", 80), ("keep", 20), ("keep", 5)]).text
    assert shown.count('<th scope="col" class="n">') == 4  # the last four
    assert (shop / "hill" / "job.toml").read_bytes() == before


@pytest.mark.parametrize(("share", "name"), [(65, "backer-65"), (55, "backer-55"), (0, "backer-0")])
def test_use_writes_the_share_and_undo_reverts_it(page: TestClient, shop: Path, share: int, name: str) -> None:
    path = shop / "hill" / "job.toml"
    before = path.read_text("utf-8")
    answer = page.post("/jobs/hill/mix", data={"mix": "backer-45", "share": str(share)}, follow_redirects=False)
    assert answer.status_code == 303, answer.text
    job = load_job(path)
    assert {layer.mix for piece in job.pieces for layer in piece.layers} == {name}
    assert beads_of(job, name) == pytest.approx(share / 100)
    kept = [line for line in before.splitlines() if line and "mix =" not in line]
    assert [line for line in path.read_text("utf-8").splitlines() if line in kept] == kept
    page.post("/jobs/hill/undo", json={"mark": "C1"})
    assert path.read_text("utf-8") == before


def test_choosing_the_present_share_changes_nothing(page: TestClient, shop: Path) -> None:
    path = shop / "hill" / "job.toml"
    before = path.read_bytes()
    page.post("/jobs/hill/mix", data={"mix": "backer-45", "share": "45"})
    assert path.read_bytes() == before


@pytest.mark.parametrize("share", ["101", "-5", "x", "", "4.5", "٥"])
def test_an_invalid_share_is_refused(page: TestClient, share: str) -> None:
    assert page.post("/jobs/hill/mix", data={"mix": "backer-45", "share": share}).status_code == 404


def test_a_mix_that_no_piece_uses_has_no_bench(page: TestClient) -> None:
    assert page.get("/jobs/hill/mix", params={"mix": "face"}).status_code == 404


def test_a_heavy_piece_shows_ways_to_lighten_it_and_one_is_written(page: TestClient, shop: Path) -> None:
    path = shop / "hill" / "job.toml"
    path.write_text(path.read_text("utf-8").replace('"72 in"', '"120 in"'), encoding="utf-8")
    shown = page.get("/jobs/hill/liftable/C1")
    assert 'name="way" value="1"' in shown.text
    before = path.read_bytes()
    if 'name="accept"' in shown.text:
        assert page.post("/jobs/hill/liftable/C1", data={"way": "1"}).status_code == 422
        assert path.read_bytes() == before
    people = max(move.crew or 99 for move in estimate(load_job(path)).pieces["C1"].handling.moves)
    answer = page.post("/jobs/hill/liftable/C1", data={"way": "1", "accept": "yes"}, follow_redirects=False)
    assert answer.status_code == 303, answer.text
    after = estimate(load_job(path))
    lightened = [piece for mark, piece in after.pieces.items() if mark.startswith("C1")]
    assert max(move.crew or 99 for piece in lightened for move in piece.handling.moves) < people
    for way in ("0", "99", "x"):
        assert page.post("/jobs/hill/liftable/C2", data={"way": way, "accept": "yes"}).status_code == 404
    assert page.get("/jobs/hill/liftable/C9").status_code == 404


def test_a_share_is_written_alike_on_the_slider_and_in_the_table(page: TestClient, shop: Path) -> None:
    path = shop / "hill" / "job.toml"
    for units, written, other in (("metric", "45\N{NO-BREAK SPACE}%", "45%"), ("imperial", "45%", "45 %")):
        path.write_text(JOB.replace("[job]", f'[job]\nunits = "{units}"'), encoding="utf-8")
        shown = re.sub(r"<[^>]+>", " ", page.get("/jobs/hill/mix").text)
        assert shown.count(written) > 1, units
        assert other not in shown, units
        assert written.replace("45", "1") in shown, units


def test_the_slider_stays_at_the_share_that_was_put_into_the_table(page: TestClient) -> None:
    shown = page.get("/jobs/hill/mix", params=[("keep", 45), ("keep", 60), ("keep", 45), ("keep", 60)]).text
    assert 'step="1" value="60"' in shown
    assert 'id="keep" value="60"' in shown


def test_a_share_that_was_used_stays_on_the_bench(page: TestClient, shop: Path) -> None:
    path = shop / "hill" / "job.toml"
    path.write_text(JOB.replace('mark = "C1" ', 'mark = "C1"\nmix = "face" '), encoding="utf-8")
    assert "Backer, 45%" in page.get("/jobs/hill/mix").text  # the mix of the most concrete
    shown = page.post("/jobs/hill/mix", data={"mix": "face", "share": "35"}).text
    assert 'data-mix="face-35"' in shown


def test_a_share_that_cannot_be_cast_says_why_in_the_table(page: TestClient, monkeypatch: pytest.MonkeyPatch) -> None:
    def refused(*_: object) -> Job:
        raise FaultError("", Message("mix-no-cementitious"))

    monkeypatch.setattr("estimator.page.mix.with_share", refused)
    shown = page.get("/jobs/hill/mix", params=[("keep", 80)]).text
    assert f"80%: {PLAIN('mix-no-cementitious')}" in shown
