"""What the mixer's phone sends is kept once, and read by the commands."""

from __future__ import annotations

import json
import re
from html import unescape
from pathlib import Path
from secrets import token_hex
from typing import Any

import pytest
from starlette.testclient import TestClient

from estimator import estimate, load_job
from estimator.store.records import records_of


def weighing(**more: Any) -> dict[str, Any]:
    values = {"batch": "1-1", "step": 1, "material": "white-cement", "mass_kg": 7.5}
    return {"id": token_hex(16), "kind": "weighing", "at": "2026-03-23T08:01:02Z", "values": values} | more


def day_of(page: TestClient) -> dict[str, Any]:
    found = re.search(r'data-day="([^"]*)"', page.get("/mixer/hill").text)
    assert found is not None
    day: dict[str, Any] = json.loads(unescape(found[1]))
    return day


def test_the_day_holds_every_batch_as_its_sheet_has_it(page: TestClient, shop: Path) -> None:
    batching = estimate(load_job(shop / "hill" / "job.toml")).result.batching
    batches = [batch for pour in day_of(page)["pours"] for batch in pour["batches"]]
    assert len(batches) == sum(batch.count for batch in batching.batches)
    for batch in batches:
        sheet = batching.batches[int(batch["key"].partition("-")[0]) - 1]
        assert [step["mass_kg"] for step in batch["steps"]] == [load.mass_kg for load in sheet.load]
        staged = [step for stage in batch["stages"] for step in stage["steps"]]
        assert staged == [step["step"] for step in batch["steps"]]
        assert sum(stage["first_water"] for stage in batch["stages"]) == 1


def test_an_entry_sent_twice_is_kept_once_and_comes_back_on_the_next_screen(page: TestClient, shop: Path) -> None:
    entry = weighing()
    for _ in range(2):
        assert page.post("/mixer/hill/entries", json=[entry]).json() == {"kept": [entry["id"]], "refused": []}
    assert [each["id"] for each in day_of(page)["entries"]] == [entry["id"]]
    assert len(records_of(shop / "hill" / "job.toml").records) == 1


@pytest.mark.parametrize(
    "wrong",
    [
        {"kind": "drop"},
        {"at": "yesterday"},
        {"at": "2026-03-23T08:01:02"},
        {"values": {"batch": "1-1"}},
        {"values": {"batch": "1-1", "step": 1, "material": "white-cement", "mass_kg": -1.0}},
        {"values": {"batch": "1-1", "step": True, "material": "white-cement", "mass_kg": 1.0}},
        {"values": {"batch": "1-1", "step": 1, "material": "white-cement", "mass_kg": 1.0, "more": 1}},
        {"values": {"batch": "1" * 500, "step": 1, "material": "white-cement", "mass_kg": 1.0}},
    ],
)
def test_what_no_phone_of_ours_sends_is_refused_and_stops_nothing_beside_it(
    page: TestClient, wrong: dict[str, Any]
) -> None:
    good, bad = weighing(), weighing(**wrong)
    answer = page.post("/mixer/hill/entries", json=[bad, good]).json()
    assert answer == {"kept": [good["id"]], "refused": [bad["id"]]}


def test_a_bucket_from_the_phone_is_what_calibration_reads(page: TestClient, shop: Path) -> None:
    values = {"batch": "1-1", "mix": "backer-45", "container_m3": 0.01, "gross_kg": 17.0, "tare_kg": 0.5}
    page.post("/mixer/hill/entries", json=[weighing(kind="bucket", values=values)])
    (bucket,) = records_of(shop / "hill" / "job.toml").of("bucket", mix="backer-45")
    assert bucket.values["gross_kg"] == 17.0


def test_an_archived_job_keeps_its_records(page: TestClient, shop: Path) -> None:
    page.post("/mixer/hill/entries", json=[weighing()])
    page.post("/jobs/hill/archive")
    assert len(records_of(shop / "archive" / "hill" / "job.toml").records) == 1
