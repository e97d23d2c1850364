"""Finished jobs against their estimates, worked by hand."""

import json
import re
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest

from estimator.__main__ import run
from estimator.pricing.history import Finished, MissingBatches, history_of, hours_of, used_kg_of
from estimator.pricing.labor import LaborLine
from estimator.records import Record, append_record, new_record

Write = Callable[[str], Path]
D = Decimal


def line(activity: str, figure: str, hours: str, time_s: float) -> LaborLine:
    return LaborLine(activity, figure, "", 1.0, "m2", time_s, 1, D(hours), D("42"), {}, "forms")


def record(kind: str, **values: object) -> Record:
    return Record(kind, "2026-04-02T10:00:00+00:00", values)


def finished(name: str, *records: Record) -> Finished:
    return Finished(
        name=name,
        required_kg={"white-cement": 100.0, "silica-sand": 60.0},
        net_m3=0.100,
        batch_m3=0.107,
        labour=(line("build forms", "form", "10.00", 10_000.0), line("seal", "seal", "4.00", 7_000.0)),
        direct=D("2000.00"),
        records=records,
    )


def test_waste_and_rates_follow_from_what_was_used() -> None:
    # first principles: 168 kg of 160 planned is 1.05; (1.07) · 1.05 − 1 = 12.35 %; 12 h for 10 h is 1.2
    history = history_of(
        [
            finished(
                "Quay",
                record("used", material="white-cement", mass_kg=104.0),
                record("used", material="silica-sand", mass_kg=64.0),
                record("hours", task="build forms", time_s=8 * 3600.0),
                record("hours", task="form", time_s=4 * 3600.0),
                record("remake", piece="C1", cause="blow-out at the rail", cost=80.0),
                record("finished"),
            )
        ]
    )
    assert [(each.name, each.planned, each.taken) for each in history.materials] == [
        ("white-cement", 100.0, 104.0),
        ("silica-sand", 60.0, 64.0),
    ]
    assert history.waste_now == pytest.approx(0.07)
    assert history.waste_next == pytest.approx(0.1235)
    # a task goes by the name of its activity or of its figure, and both are of one job
    (forms,) = history.activities
    assert (forms.name, forms.planned, forms.taken, forms.jobs) == ("build forms", 10.0, 12.0, 1)
    (rate,) = history.rates
    assert (rate.next_s, rate.low_s, rate.high_s, rate.jobs) == (pytest.approx(12_000.0),) * 3 + (1,)
    assert history.remake_next == pytest.approx(0.04)


def test_jobs_are_weighted_by_their_plan() -> None:
    history = history_of(
        [
            finished("one", record("hours", task="seal", time_s=3 * 3600.0), record("finished")),
            finished("two", record("hours", task="seal", time_s=7 * 3600.0), record("finished")),
            finished("three"),
        ]
    )
    (seal,) = history.activities
    assert (seal.planned, seal.taken, seal.jobs) == (8.0, 10.0, 2)
    (rate,) = history.rates
    assert (rate.figure, rate.now_s, rate.next_s) == ("seal", 7_000.0, 8_750.0)
    assert (rate.low_s, rate.high_s, rate.jobs) == (7_000.0 * 3 / 4, 7_000.0 * 7 / 4, 2)
    assert (history.waste_now, history.waste_next) == (None, None)


def test_masses_weighed_into_batches_count_where_nothing_else_was_recorded() -> None:
    records = [
        record("batch", mix="backer-45", masses_kg={"white-cement": 20.0, "silica-sand": 10.0}),
        record("batch", mix="backer-45", masses_kg={"white-cement": 21.0}),
        record("used", material="silica-sand", mass_kg=15.0),
    ]
    assert used_kg_of(records) == {"white-cement": 41.0, "silica-sand": 15.0}


def test_one_batch_of_eight_proposes_nothing() -> None:
    batch = record("batch", mix="backer-45", masses_kg={"white-cement": 12.0, "silica-sand": 7.0})
    plan = {
        "batches": {"backer-45": 8},
        "mixes_of": dict.fromkeys(("white-cement", "silica-sand"), frozenset({"backer-45"})),
    }
    one = history_of([replace(finished("Quay", batch), **plan)])
    assert (one.waste_now, one.waste_next, one.waste_spread) == (None, None, None)
    assert one.incomplete == ("Quay",)
    assert [(each.name, each.taken) for each in one.materials] == [("white-cement", 12.0), ("silica-sand", 7.0)]
    # first principles: eight batches of 19 kg against 160 planned is 0.95; 1.07 · 0.95 − 1 = 1.65 %
    eight = history_of([replace(finished("Quay", *[batch] * 8), **plan)])
    assert eight.waste_next == pytest.approx(1.07 * 8 * 19 / 160 - 1)


def test_the_waste_of_several_jobs_has_its_spread() -> None:
    def job(name: str, used: float) -> Finished:
        return finished(name, record("used", material="white-cement", mass_kg=used), record("finished"))

    history = history_of([job("one", 100.0), job("two", 110.0)])
    assert (history.waste_spread, history.waste_jobs) == ((pytest.approx(0.07), pytest.approx(0.177)), 2)
    assert history.waste_next == pytest.approx(1.07 * 1.05 - 1)


def test_one_bag_recorded_as_used_proposes_no_waste_before_the_job_is_finished() -> None:
    bag = record("used", material="white-cement", mass_kg=12.0)
    history = history_of([finished("Quay", bag)])
    assert (history.waste_now, history.waste_next, history.waste_jobs) == (None, None, 0)
    assert history.materials[0].ratio is None


def test_batches_without_a_material_do_not_complete_it() -> None:
    with_sand = record("batch", mix="backer-45", masses_kg={"white-cement": 25.0, "silica-sand": 15.0})
    without = record("batch", mix="backer-45", masses_kg={"white-cement": 25.0})
    plan = {
        "batches": {"backer-45": 4},
        "mixes_of": dict.fromkeys(("white-cement", "silica-sand"), frozenset({"backer-45"})),
    }
    history = history_of([replace(finished("Quay", with_sand, without, without, without), **plan)])
    assert {each.name: each.ratio is not None for each in history.materials} == {
        "white-cement": True,
        "silica-sand": False,
    }
    assert history.waste_next == pytest.approx(0.07)  # cement as planned; the sand says nothing


def test_a_bucket_of_a_mix_is_no_batch_and_a_material_of_no_mix_is_never_complete() -> None:
    batch = record("batch", mix="backer-45", masses_kg={"white-cement": 50.0})
    bucket = record("bucket", mix="backer-45", masses_kg={"white-cement": 5.0})
    plan = {"batches": {"backer-45": 2}, "mixes_of": {"white-cement": frozenset({"backer-45"})}}
    assert not replace(finished("Quay", batch, bucket), **plan).is_complete("white-cement")
    other = record("batch", mix="face", masses_kg={"white-cement": 50.0})
    assert not replace(finished("Quay", batch, other), **plan).is_complete("white-cement")
    whole = replace(finished("Quay", batch, batch), **plan)
    assert whole.is_complete("white-cement")
    assert not whole.is_complete("silica-sand")


def test_a_finished_job_with_six_of_eight_batches_says_so_and_proposes_no_waste() -> None:
    batch = record("batch", mix="backer-45", masses_kg={"white-cement": 12.0})
    plan = {"batches": {"backer-45": 8}, "mixes_of": {"white-cement": frozenset({"backer-45"})}}
    history = history_of([replace(finished("Quay", *[batch] * 6, record("finished")), **plan)])
    assert history.waste_next is None
    assert history.missing_batches == (MissingBatches("Quay", "backer-45", 6, 8),)
    used = record("used", material="white-cement", mass_kg=104.0)
    told = history_of([replace(finished("Quay", *[batch] * 6, used, record("finished")), **plan)])
    assert (told.missing_batches, told.waste_jobs) == ((), 1)


def test_remakes_propose_a_share_with_its_spread_from_finished_jobs_alone() -> None:
    def job(name: str, *records: Record) -> Finished:
        return finished(name, *records, record("finished"))

    remake = record("remake", piece="C1", cause="blow-out", cost=80.0)
    history = history_of([job("one", remake), job("two"), finished("running", remake)])
    # first principles: 80 of 4,000 in two finished jobs; 0 and 80 of 2,000 in one
    assert history.remake_next == pytest.approx(0.02)
    assert (history.remake_spread, history.remake_jobs) == ((0.0, pytest.approx(0.04)), 2)
    assert len(history.remakes) == 2
    open_cost = record("remake", piece="C2", cause="crack")
    unknown = history_of([job("one", remake, open_cost)])
    assert (unknown.remake_next, unknown.remake_jobs) == (None, 0)
    assert [each.cost for each in unknown.remakes] == [D("80.00"), None]


def test_a_rate_is_worked_out_from_hours_and_not_from_another_jobs_figure() -> None:
    # first principles: 4 h at 7,000 s and 2 h at 3,500 s are the same work; 5 h on each is 10 h for 8 h of work
    took = record("hours", task="seal", time_s=5 * 3600.0)
    one = finished("one", took, record("finished"))
    other = replace(one, name="two", labour=(line("seal", "seal", "2.00", 3_500.0),))
    for jobs in ([one, other], [other, one]):
        (rate,) = history_of(jobs).rates
        assert (rate.next_s, rate.low_s, rate.high_s) == (pytest.approx(8_750.0),) * 3


def test_the_trust_in_a_proposal_goes_by_complete_jobs() -> None:
    took = record("hours", task="seal", time_s=4 * 3600.0)
    done = finished("one", took, record("finished"))
    assert history_of([done, finished("two", took), finished("three", took)]).least_jobs == 1
    assert history_of([done] * 3).least_jobs == 3
    assert history_of([finished("two", took)]).least_jobs is None


def test_hours_propose_no_rate_before_the_job_is_finished() -> None:
    history = history_of([finished("one", record("hours", task="seal", time_s=3600.0))])
    assert history.rates == ()
    assert [(each.name, each.taken) for each in history.activities] == [("seal", 1.0)]


def test_an_unknown_task_is_reported_and_counts_for_nothing() -> None:
    history = history_of([finished("one", record("hours", task="polish the van", time_s=3600.0))])
    assert (history.activities, history.unplanned) == ((), ("polish the van",))


def test_hours_of_a_task_add_up() -> None:
    told = [record("hours", task="seal", time_s=1800.0), record("hours", task="seal", time_s=5400.0)]
    assert hours_of(told) == {"seal": 2.0}


JOB = """
[job]
name = "Ferry shed"
mix = "backer-45"
waste = 0.07

[[piece]]
mark = "A"
shape = { kind = "slab", length = "30 in", width = "20 in", thickness = "1 in" }
"""


def test_the_command_sets_records_against_the_estimate(write_job: Write, capsys: pytest.CaptureFixture[str]) -> None:
    path = write_job(JOB)
    append_record(path, new_record("hours", {"task": "seal", "time_s": 3600.0}))
    assert run(["history", str(path)]) == 0
    assert "Records are not complete. No rates come from: Ferry shed." in " ".join(capsys.readouterr().out.split())
    assert run(["record", str(path), "finished"]) == 0
    capsys.readouterr()
    assert run(["history", str(path), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    # 30 x 20 in of face and 100 x 1 in of edge at 0.2 h/ft2
    assert [each["name"] for each in told["activities"]] == ["seal"]
    assert told["activities"][0]["taken"] == 1.0
    assert told["rates"][0]["next_s"] == pytest.approx(told["rates"][0]["now_s"] / told["activities"][0]["planned"])


def test_a_job_without_records_is_reported_in_one_line(write_job: Write, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["history", str(write_job(JOB))]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err == "job.toml: There are no records. job.records.jsonl is missing. Add records with `record`.\n"


def test_a_job_named_twice_counts_once(write_job: Write, capsys: pytest.CaptureFixture[str]) -> None:
    path = write_job(JOB)
    append_record(path, new_record("hours", {"task": "seal", "time_s": 3600.0}))
    assert run(["history", str(path), str(path)]) == 2
    assert capsys.readouterr().err == "job.toml: is named twice. Name every job once.\n"


def test_the_table_gives_no_ratio_for_part_of_the_batches(write_job: Write, capsys: pytest.CaptureFixture[str]) -> None:
    path = write_job(JOB.replace('mark = "A"', 'mark = "A"\nquantity = 40'))
    append_record(path, new_record("batch", {"mix": "backer-45", "masses_kg": {"white-cement": 12.0}}))
    append_record(path, new_record("remake", {"piece": "A", "cause": "crack"}))
    append_record(path, new_record("finished", {}))
    assert run(["history", str(path)]) == 0
    told = capsys.readouterr().out
    (cement,) = (row for row in told.splitlines() if "White portland cement" in row)
    assert "not complete" in cement
    assert "0 of 1" in cement
    text = " ".join(told.split())
    assert re.search(r"Ferry shed: 1 of \d+ batches of Backer, 45% beads recorded", text)
    assert "Remakes without a cost: Ferry shed A." in text
    assert "waste on cast volume" not in text


def test_the_spread_over_jobs_is_shown_and_a_single_job_has_none(
    write_job: Write, capsys: pytest.CaptureFixture[str]
) -> None:
    def table(*paths: Path) -> str:
        assert run(["history", *map(str, paths)]) == 0
        return " ".join(capsys.readouterr().out.split())

    first = write_job(JOB)
    second = first.with_name("second.toml")
    second.write_text(JOB.replace("Ferry shed", "Quay"), encoding="utf-8")
    for path, hours in ((first, 1.0), (second, 3.0)):
        append_record(path, new_record("hours", {"task": "seal", "time_s": hours * 3600.0}))
        append_record(path, new_record("finished", {}))
    assert re.search(r"seal \S+ h/ft² \S+ h/ft² — 1", table(first))
    low, high = re.findall(r"(\S+) h/ft²–(\S+) h/ft² 2", table(first, second))[0]
    assert float(high) / float(low) == pytest.approx(3.0, rel=0.02)
