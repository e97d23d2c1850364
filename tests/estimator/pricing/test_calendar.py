"""The days of a job, counted on a paper calendar."""

from collections.abc import Callable
from pathlib import Path

import pytest

from estimator.commands.estimate import estimate_file
from estimator.pricing.calendar import Calendar, Hands

Write = Callable[[str], Path]
PIECE = 'shape = { kind = "slab", length = "30 in", width = "20 in", thickness = "1 in" }'


def calendar(write_job: Write, head: str, piece: str) -> Calendar:
    return estimate_file(
        write_job(
            f'[job]\nname = "Days"\nmix = "backer-45"\nwaste = 0.07\n{head}\n[[piece]]\nmark = "A"\n{piece}\n{PIECE}\n'
        )
    ).calendar


def dates(told: Calendar) -> list[tuple[str, str | None, str | None]]:
    return [(step.name, told.date_of(step.first_day), told.date_of(step.last_day)) for step in told.steps]


def test_a_counter_from_template_to_install(write_job: Write) -> None:
    # first principles on a calendar: 2 March 2026 is a Monday; seven days of wet cure after the pour and three of
    # drying before the sealer, three days of cure, nothing at work on 7, 8, 14, 15, 21 and 22 March
    told = calendar(write_job, 'date = "2026-03-02"', 'use = "counter"')
    assert dates(told) == [
        ("template", "2026-03-02", "2026-03-02"),
        ("build forms", "2026-03-03", "2026-03-03"),
        ("pour", "2026-03-04", "2026-03-04"),
        ("strip", "2026-03-05", "2026-03-05"),
        ("slurry and hone", "2026-03-05", "2026-03-05"),
        ("seal", "2026-03-16", "2026-03-16"),
        ("sealer cures", "2026-03-17", "2026-03-19"),
        ("ship", "2026-03-20", "2026-03-20"),
        ("install", "2026-03-23", "2026-03-23"),
    ]
    # with enough polymer no wet cure: sealed from the seventh day
    dry = dates(calendar(write_job, 'date = "2026-03-02"', 'use = "counter"\nmix = "backer-45-acrylic"'))
    assert ("seal", "2026-03-11", "2026-03-11") in dry


def test_pieces_from_one_form_are_poured_day_after_day_and_not_on_a_weekend(write_job: Write) -> None:
    told = calendar(write_job, 'date = "2026-03-02"\nstart = "2026-03-04"', "quantity = 3\nforms = 1")
    assert [told.date_of(step.first_day) for step in told.steps if step.name == "pour"] == [
        "2026-03-05",
        "2026-03-06",
        "2026-03-09",
    ]
    strips = [told.date_of(step.first_day) for step in told.steps if step.name == "strip"]
    assert strips == ["2026-03-06", "2026-03-09", "2026-03-10"]
    assert "template" not in {step.name for step in told.steps}  # no counter
    assert "install" not in {step.name for step in told.steps}


def test_a_templated_job_does_not_template_again(write_job: Write) -> None:
    told = calendar(write_job, 'status = "templated"', 'use = "counter"')
    assert told.steps[0].name == "build forms"
    assert told.date_of(0) is None  # no date: days are counted from a Monday


def test_floor_and_forms_are_counted_by_week(write_job: Write) -> None:
    # 30 x 20 in three times from 5 March on; all three stand until they ship
    told = calendar(write_job, 'date = "2026-03-02"\nstart = "2026-03-04"', "quantity = 3\nforms = 1")
    area_m2 = 30 * 20 * 0.0254**2
    assert [week.forms for week in told.weeks] == [1, 1, *([0] * (len(told.weeks) - 2))]
    assert [round(week.floor_m2 / area_m2) for week in told.weeks][:2] == [2, 3]


def test_a_full_floor_is_warned_of(write_job: Write) -> None:
    told = calendar(write_job, "", "quantity = 3\nforms = 1\n")
    assert told.warnings == ()
    narrow = estimate_file(
        write_job(
            '[job]\nname = "Days"\nmix = "backer-45"\nwaste = 0.07\n[workshop.calendar]\nfloor = "10 ft^2"\n'
            f'[[piece]]\nmark = "A"\nquantity = 3\nforms = 1\n{PIECE}\n'
        )
    ).calendar
    assert len(narrow.warnings) == 1
    assert "12 ft²" in narrow.warnings[0].text


@pytest.mark.parametrize(("hours", "last"), [(0.0, 4), (16.0, 4), (16.01, 7), (32.0, 7), (48.0, 8)])
def test_work_of_many_hours_runs_over_the_weekend(hours: float, last: int) -> None:
    # two people, 8 h a day, from Friday (day 4) on: 16 h are a day
    assert Hands(crew=2, hours_per_day=8.0, days_per_week=5, first_weekday=0).last_of(4, hours) == last
