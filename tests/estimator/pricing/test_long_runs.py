"""A quantity is a number: many days with the same pour cost what the days cost one by one."""

from __future__ import annotations

from typing import Any

import pytest

from estimator import estimate, job_from
from estimator.batching import rounds
from estimator.pricing import days
from estimator.pricing.calendar import Calendar

SLAB = {"kind": "slab", "length": "1 m", "width": "500 mm", "thickness": "20 mm"}


def job(pieces: dict[str, tuple[int, int]], calendar: dict[str, Any] | None = None, **head: Any) -> Any:
    return job_from(
        {
            "job": {"name": "Terrace", "units": "metric", "mix": "backer-45", **head},
            "piece": [
                {"mark": mark, "quantity": quantity, "forms": forms, "use": "panel", "shape": SLAB}
                for mark, (quantity, forms) in pieces.items()
            ],
            "workshop": {"calendar": calendar or {}},
        }
    )


def calendar_of(job: Any, monkeypatch: pytest.MonkeyPatch, *, short: bool) -> Calendar:
    with monkeypatch.context() as patch:
        if not short:
            patch.setattr(days, "LONG_RUN", 10**9)
        return estimate(job).result.calendar


SHOPS: list[dict[str, Any]] = [
    {},
    {"days_per_week": 7},
    {"days_per_week": 3, "shop_crew": 1},
    {"shop_crew": 1, "hours_per_day": "4 h"},
    {"closed": ["2026-12-24", "2028-01-03"]},
]


@pytest.mark.parametrize("shop", SHOPS)
@pytest.mark.parametrize("pieces", [{"A": (3001, 1)}, {"A": (4003, 2), "B": (1500, 1), "C": (9, 3)}])
def test_repeating_weeks_are_counted_and_give_the_same_days(
    shop: dict[str, Any], pieces: dict[str, tuple[int, int]], monkeypatch: pytest.MonkeyPatch
) -> None:
    subject = job(pieces, shop, start="2026-03-02")
    whole, short = (calendar_of(subject, monkeypatch, short=short) for short in (False, True))
    assert short.steps == whole.steps
    assert short.lead_days == whole.lead_days
    assert short.needed == whole.needed
    assert short.attended == whole.attended
    assert short.warnings == whole.warnings
    by_number = {week.number: week for week in whole.weeks}
    for week in short.weeks:
        other = by_number[week.number]
        assert (week.first_day, week.forms) == (other.first_day, other.forms)
        assert week.floor_m2 == pytest.approx(other.floor_m2)
    assert short.weeks[-1].number == whole.weeks[-1].number


def test_a_long_run_is_cut_short():
    subject = job({"A": (100_000, 1)})
    found = estimate(subject).result
    assert len(found.calendar.weeks) < 300
    assert len(found.batching.pours) == 1


def alike(one: Any, other: Any) -> bool:
    """Whether two parts of documents agree, up to the last digits of a sum."""
    if isinstance(one, dict):
        return one.keys() == other.keys() and all(alike(one[key], other[key]) for key in one)
    if isinstance(one, list):
        return len(one) == len(other) and all(map(alike, one, other))
    return bool(one == pytest.approx(other, rel=1e-9, abs=1e-6) if isinstance(one, float) else one == other)


@pytest.mark.parametrize("pieces", [{"A": (250, 1)}, {"A": (333, 2), "B": (210, 1)}])
def test_runs_of_days_cost_and_order_what_single_days_do(
    pieces: dict[str, tuple[int, int]], monkeypatch: pytest.MonkeyPatch
) -> None:
    subject = job(pieces)
    runs = estimate(subject).document()
    monkeypatch.setattr(rounds, "MOST_DAYS", 10**9)
    single = estimate(subject).document()
    assert len(runs["pours"]) < len(single["pours"])
    assert runs["cost"] == single["cost"]
    for part in ("materials", "consumables", "mixes", "pallets", "delivery"):
        assert alike(runs[part], single[part]), part
    for mark in pieces:
        counted = [
            sum(entry["count"] for pour in document["pours"] for entry in pour["pieces"] if entry["mark"] == mark)
            for document in (runs, single)
        ]
        assert counted == [pieces[mark][0]] * 2
    days_cast = [sum(pour.get("days", 1) for pour in document["pours"]) for document in (runs, single)]
    assert days_cast[0] == days_cast[1]
    mixed = [sum(batch["count"] * batch["volume_m3"] for batch in document["batches"]) for document in (runs, single)]
    assert mixed[0] == pytest.approx(mixed[1], rel=1e-12)
    assert runs["calendar"]["ship_day"] == single["calendar"]["ship_day"]
