"""Days on which the shop is closed: read, checked, and part of the schema."""

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from estimator.intake.json_schema import json_schema
from estimator.intake.read import read_job

Write = Callable[[str], Path]
JOB = '[job]\nname = "Days"\nmix = "backer-45"\nwaste = 0.07\n[[piece]]\nmark = "A"\n' + (
    'shape = { kind = "slab", length = "30 in", width = "20 in", thickness = "1 in" }\n'
)


def test_closed_days_are_dates(write_job: Write) -> None:
    job = read_job(write_job(JOB + '[workshop.calendar]\nclosed = ["2026-03-05", "2026-12-25"]\n')).job
    assert job is not None
    assert job.workshop.closed_days == {date(2026, 3, 5), date(2026, 12, 25)}
    plain = read_job(write_job(JOB)).job
    assert plain is not None
    assert plain.workshop.closed_days == frozenset()


@pytest.mark.parametrize("closed", ['["Christmas"]', '"2026-12-25"', "[25]"])
def test_a_closed_day_that_is_no_date_is_refused_in_one_line(write_job: Write, closed: str) -> None:
    told = read_job(write_job(JOB + f"[workshop.calendar]\nclosed = {closed}\n")).faults
    assert len(told) == 1
    assert "workshop.calendar" in str(told[0])


def test_closed_days_are_in_the_schema() -> None:
    calendar = json_schema()["$defs"]["WorkshopTable"]["properties"]["calendar"]["properties"]
    assert calendar["closed"]["items"] == {"format": "date", "type": "string"}
