"""The dates of a job, counted on a paper calendar."""

from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.commands.jobs import estimate_file
from estimator.document import to_document
from estimator.explain import workings_of
from estimator.pricing.calendar import Bench, Calendar, Hands
from estimator.words import PLAIN

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


def test_a_counter_has_the_dates_of_a_paper_calendar_from_template_to_installation(write_job: Write) -> None:
    # first principles on a calendar: 2 March 2026 is a Monday; seven days of wet cure after the pour and three of
    # drying before the sealer, three days of cure, nothing at work on 7, 8, 14, 15, 21 and 22 March
    told = calendar(write_job, 'start = "2026-03-02"', 'use = "counter"')
    assert {step.name: step.pour for step in told.steps if step.pour} == dict.fromkeys(
        ("pour", "strip", "slurry and hone", "seal", "sealer cures"), "day 1"
    )
    # what finishes a face is needed the day before it is stripped, what goes into the form before it is cast
    needed = {material: told.date_of(day) for material, day in told.needed.items()}
    assert (needed["sealer-penetrating"], needed["release-agent"]) == ("2026-03-04", "2026-03-03")
    assert dates(told) == [
        ("template", "2026-03-02", "2026-03-02"),
        ("build forms", "2026-03-03", "2026-03-03"),
        ("pour", "2026-03-04", "2026-03-04"),
        ("strip", "2026-03-05", "2026-03-05"),
        ("slurry and hone", "2026-03-05", "2026-03-05"),
        ("seal", "2026-03-16", "2026-03-16"),
        ("sealer cures", "2026-03-17", "2026-03-19"),
        ("crate", "2026-03-20", "2026-03-20"),
        ("ship", "2026-03-23", "2026-03-23"),
        ("install", "2026-03-24", "2026-03-24"),
    ]
    # with enough polymer no wet cure: sealed from the seventh day
    dry = dates(calendar(write_job, 'start = "2026-03-02"', 'use = "counter"\nmix = "backer-45-acrylic"'))
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


def test_a_templated_job_has_no_second_template_visit(write_job: Write) -> None:
    told = calendar(write_job, 'status = "templated"', 'use = "counter"')
    assert told.steps[0].name == "build forms"
    assert told.date_of(0) is None  # no date: days are counted from a Monday


def test_floor_and_forms_are_counted_by_week(write_job: Write) -> None:
    # 30 x 20 in three times from 5 March on; all three stand until they ship
    told = calendar(write_job, 'date = "2026-03-02"\nstart = "2026-03-04"', "quantity = 3\nforms = 1")
    area_m2 = 30 * 20 * 0.0254**2
    assert [week.forms for week in told.weeks] == [1, 1, *([0] * (len(told.weeks) - 2))]
    assert [round(week.floor_m2 / area_m2) for week in told.weeks][:2] == [2, 3]


def test_a_full_shop_floor_gives_a_warning(write_job: Write) -> None:
    told = calendar(write_job, "", "quantity = 3\nforms = 1\n")
    assert "floor-full" not in [each.id for each in told.warnings]
    narrow = estimate_file(
        write_job(
            '[job]\nname = "Days"\nmix = "backer-45"\nwaste = 0.07\n[workshop.calendar]\nfloor = "10 ft^2"\n'
            f'[[piece]]\nmark = "A"\nquantity = 3\nforms = 1\n{PIECE}\n'
        )
    ).calendar
    (full,) = (each for each in narrow.warnings if each.id == "floor-full")
    assert "12.5 ft²" in PLAIN.text(full.text)


@pytest.mark.parametrize(("hours", "last"), [(0.0, 4), (16.0, 4), (16.01, 7), (32.0, 7), (48.0, 8)])
def test_work_of_many_hours_runs_over_the_weekend(hours: float, last: int) -> None:
    # two people, 8 h a day, from Friday (day 4) on: 16 h are a day
    assert Hands(crew=2, hours_per_day=8.0, days_per_week=5, first_weekday=0).last_of(4, hours) == last


@settings(max_examples=200, deadline=None)
@given(
    st.integers(1, 7), st.integers(0, 6), st.frozensets(st.integers(0, 60), max_size=20), st.integers(0, 30), st.data()
)
def test_working_days_are_counted_one_by_one(
    per_week: int, first_weekday: int, closed: frozenset[int], count: int, data: st.DataObject
) -> None:
    hands = Hands(2, 8.0, per_week, first_weekday, closed)
    works = [day for day in range(500) if (day + first_weekday) % 7 < per_week and day not in closed]
    at = data.draw(st.integers(0, 40))
    assert hands.after(works[at], count) == works[at + count]
    assert hands.workdays_to(works[at]) == sum(0 < day <= works[at] for day in works)
    assert hands.before(works[at]) == max([0, *(day for day in works if 0 < day < works[at])])


def test_closed_days_are_left_out_and_lead_time_counts_working_days(write_job: Write) -> None:
    # as the first test, with Wednesday 4 March closed: the pour moves to Thursday; its drying ends on a Sunday instead
    # of a Saturday, so both are sealed on Monday. 2 to 23 March are 15 working days after the first, one of them closed
    plain = calendar(write_job, 'start = "2026-03-02"', 'use = "counter"')
    closed = '\n[workshop.calendar]\nclosed = ["2026-03-04"]\n'
    told = calendar(write_job, 'start = "2026-03-02"' + closed, 'use = "counter"')
    firsts = {name: first for name, first, _ in dates(told)}
    assert (firsts["build forms"], firsts["pour"], firsts["strip"]) == ("2026-03-03", "2026-03-05", "2026-03-06")
    assert firsts["seal"] == "2026-03-16"
    assert (firsts["crate"], firsts["ship"]) == ("2026-03-20", "2026-03-23")
    assert (plain.lead_days, told.lead_days) == (15, 14)


def test_work_on_days_off_to_strip_or_keep_wet_is_listed(write_job: Write) -> None:
    # poured on Wednesday 4 March: due to be stripped on the 5th, and kept wet for seven days, to the 11th, over the
    # weekend of the 7th; a pour of enough polymer is not kept wet, and asks for somebody only where its strip is due
    attended = "2026-03-07", "2026-03-08"
    told = calendar(write_job, 'start = "2026-03-02"', 'use = "counter"')
    assert {pour: tuple(map(told.date_of, days)) for pour, days in told.attended.items()} == {"day 1": attended}
    (warned,) = (each for each in told.warnings if each.id == "attendance-on-days-off")
    assert "March 7, 2026 and March 8, 2026" in PLAIN.text(warned.text)
    undated = calendar(write_job, "", 'use = "counter"')
    (warned,) = (each for each in undated.warnings if each.id == "attendance-on-days-off")
    assert "Saturday of week 1 and Sunday of week 1" in PLAIN.text(warned.text)
    head, dry = 'start = "2026-03-02"', 'use = "counter"\nmix = "backer-45-acrylic"'
    assert calendar(write_job, head, dry).attended == {}
    closed = '\n[workshop.calendar]\nclosed = ["2026-03-05"]\n'
    due = calendar(write_job, head + closed, dry)
    assert [due.date_of(day) for day in due.attended["day 1"]] == ["2026-03-05"]


def test_no_day_takes_more_hours_than_its_people_have(write_job: Write) -> None:
    # first principles: every hour of the shop is given to a day on which somebody has it
    head = '[job]\nname = "Days"\nmix = "backer-45"\nwaste = 0.07\n'
    large = 'shape = { kind = "slab", length = "72 in", width = "30 in", thickness = "1 in" }'
    made = estimate_file(write_job(f'{head}[[piece]]\nmark = "A"\nquantity = 12\nforms = 6\n{large}\n'))
    lines, week = made.pricing.labour.lines, Hands(crew=2, hours_per_day=8.0, days_per_week=5, first_weekday=0)
    hours = float(sum(line.hours for line in lines if line.step not in ("template", "site")))
    assert 150.0 < hours <= 16.0 * (made.calendar.lead_days + 1)
    hone = [step for step in made.calendar.steps if step.name == "slurry and hone"]
    first, last = min(step.first_day for step in hone), max(step.last_day for step in hone)
    honing = float(sum(line.hours for line in lines if line.step == "hone"))
    assert honing <= 16.0 * (week.workdays_to(last) - week.workdays_to(first) + 1)


def test_a_crew_works_together_while_the_others_go_on() -> None:
    # three people, 8 h: two of them 6 h together on day 0; the third has 8 h, the two 2 h each
    bench = Bench(Hands(crew=3, hours_per_day=8.0, days_per_week=5, first_weekday=0))
    assert bench.take(0, 12.0, 2) == (0, 0)
    assert sorted(bench.free(0)) == [2.0, 2.0, 8.0]
    # three together for 3 h find 2 h on day 0 and one more on day 1
    assert bench.take(0, 9.0, 3) == (0, 1)
    assert sorted(bench.free(0)) == [0.0, 0.0, 6.0]
    assert sorted(bench.free(1)) == [7.0, 7.0, 7.0]
    # a task for anybody takes the 6 h that are left, then day 1
    assert bench.take(0, 8.0) == (0, 1)
    # six together need help from outside, and everybody in the shop: 12 h are 2 h by the clock
    assert bench.take(2, 12.0, 6) == (2, 2)
    assert bench.free(2) == [6.0, 6.0, 6.0]


def test_a_pour_beyond_the_hours_of_its_day_is_reported(write_job: Write) -> None:
    text = '[workshop.labour]\nbatch = "30 h"\n'
    head = '[job]\nname = "Days"\nmix = "backer-45"\nwaste = 0.07\n'
    made = estimate_file(write_job(f'{head}{text}[[piece]]\nmark = "A"\n{PIECE}\n'))
    assert "pour-over-hours" in [each.id for each in made.calendar.warnings]


def test_a_quote_states_lead_time_and_a_released_job_dates(write_job: Write) -> None:
    head = '[job]\nname = "Days"\nmix = "backer-45"\nwaste = 0.07\ndate = "2026-03-02"\n'
    told = {}
    for status in ("quoted", "released"):
        made = estimate_file(write_job(f'{head}status = "{status}"\n[[piece]]\nmark = "A"\n{PIECE}\n'))
        told[status] = to_document(made)
    quoted, released = told["quoted"], told["released"]
    assert quoted["quote"]["ships"] is None
    assert quoted["calendar"]["start"] is None
    assert quoted["quote"]["lead_days"] == quoted["calendar"]["lead_days"] > 0
    assert released["quote"]["ships"] is not None
    # what is used first is needed first, each before its use
    needed = {each["material"]: each["date"] for each in released["calendar"]["needed"]}
    pour = next(step for step in released["calendar"]["steps"] if step["step"] == "pour")
    assert needed["white-cement"] < pour["first_date"]
    assert needed["form-board"] <= needed["white-cement"] <= needed["sealer-penetrating"]


def test_days_of_a_change_order_move_the_ship_date(write_job: Write) -> None:
    head = '[job]\nname = "Days"\nmix = "backer-45"\nwaste = 0.07\nstatus = "released"\n'
    ships = {}
    for days in (0, 2, 10):
        change = f'[[change]]\nnumber = 1\nreason = "color"\nsigned = "2026-03-03"\ndays = {days}\n'
        change += '[[change.piece]]\nmark = "A"\nuse = "panel"\n'
        made = estimate_file(write_job(f'{head}[[piece]]\nmark = "A"\nuse = "other"\n{PIECE}\n{change}'))
        ships[days] = made.calendar.lead_days
        assert made.versions.changes[0].days == days
    assert (ships[2] - ships[0], ships[10] - ships[0]) == (2, 10)


def test_materials_for_pieces_and_molds_are_needed_before_their_use(write_job: Write) -> None:
    head = '[job]\nname = "Days"\nmix = "backer-45"\nwaste = 0.07\nstart = "2026-03-02"\n'
    more = 'form = { kind = "rubber" }\nconsumables = { ar-glass-scrim = { area = "6 ft^2" } }\n'
    told = estimate_file(write_job(f'{head}[[piece]]\nmark = "A"\n{more}{PIECE}\n')).calendar
    days = {step.name: step.first_day for step in told.steps}
    assert told.needed["mould-rubber"] <= days["build forms"]
    assert told.needed["ar-glass-scrim"] < days["pour"]


def test_a_payment_received_is_stated_with_the_balance(write_job: Write) -> None:
    head = '[job]\nname = "Days"\nmix = "backer-45"\nwaste = 0.07\n'
    paid = '[price]\ntax = 0.0725\nreceived = [{ amount = 500.0, step = "deposit" }]\n'
    made = estimate_file(write_job(f'{head}{paid}[[piece]]\nmark = "A"\n{PIECE}\n'))
    quote = to_document(made)["quote"]
    assert quote["received"] == 500.0
    assert quote["balance_due"] == pytest.approx(float(made.cost.total) - 500.0, abs=0.001)
    assert sum(step["amount"] for step in quote["payments"]) == pytest.approx(float(made.cost.total), abs=0.001)
    assert [step["received"] for step in quote["payments"]] == [500.0, None, None]
    (working,) = [each for each in workings_of(made) if each.figure == "quote.balance_due"]
    assert working.result == quote["balance_due"]


def test_the_lead_time_promised_to_a_client_can_be_explained(write_job: Write) -> None:
    head = '[job]\nname = "Days"\nmix = "backer-45"\nwaste = 0.07\nstart = "2026-03-16"\n'
    done = estimate_file(write_job(f'{head}[[piece]]\nmark = "A"\n{PIECE}\n'))
    days = {working.figure: working for working in workings_of(done)}
    calendar = to_document(done)["calendar"]
    for name in ("ship_day", "lead_days", "last_day"):
        assert days[f"calendar.{name}"].result == calendar[name]
    assert days["quote.lead_days"].result == calendar["lead_days"]
    ship, crate = (next(s for s in calendar["steps"] if s["step"] == name) for name in ("ship", "crate"))
    assert days["calendar.ship_day"].values["last_day_before"] == crate["last_day"] < ship["first_day"]
    weekend = [day for day in range(1, ship["first_day"] + 1) if day % 7 in (5, 6)]  # day 0 is a Monday
    assert days["calendar.lead_days"].values["days_off"] == len(weekend)
