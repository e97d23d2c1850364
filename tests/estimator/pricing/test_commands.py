"""quick and compare on the command line: their output, and the one line of each fault."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from estimator.__main__ import run
from estimator.words import PLAIN

Write = Callable[[str], Path]
Output = pytest.CaptureFixture[str]
FOOT2_M2 = 0.3048**2
COUNTER = """
[job]
name = "Quote"
[[piece]]
mark = "C1"
use = "counter"
layers = [{ mix = "face", thickness = "1/8 in", method = "spray" }, { mix = "backer-45" }]
shape = { kind = "slab", length = "60 in", width = "25.5 in", thickness = "1 in", drop_edges = [
  { sides = ["front"], height = "2 in", thickness = "1 in" } ], cutouts = [
  { kind = "rectangle", length = "22 in", width = "16 in", x = "19 in", y = "5 in" } ] }
"""


def quick(capsys: Output, *arguments: str) -> dict[str, Any]:
    assert run(["quick", *arguments, "--json"]) == 0
    told: dict[str, Any] = json.loads(capsys.readouterr().out)
    return told


def test_bare_sizes_are_inches_and_a_unit_at_the_end_counts_for_both(capsys: Output) -> None:
    told = quick(capsys, "48x25.5")
    assert told["size_m"] == pytest.approx([48 * 0.0254, 25.5 * 0.0254, 0.0254])
    assert told["face_area_m2"] == pytest.approx(48 * 25.5 * 0.0254**2)
    for text in ("4 ft x 25-1/2 in", "48 x 25.5 in", "4' by 25.5\""):
        assert quick(capsys, text) == told, text
    metric = quick(capsys, "1219.2x647.7", "--units", "metric")
    assert metric["size_m"] == pytest.approx([*told["size_m"][:2], 0.025])  # at the usual thickness of a metric shop
    for text in ("1219.2 x 647.7 mm", "121.92 cm x 647.7 mm"):
        assert quick(capsys, text) == metric, "a size in metric units is answered in them"
    assert quick(capsys, "1219.2 x 647.7 mm", "--units", "imperial") == told


def test_the_ballpark_of_a_piece_brackets_its_quote(write_job: Write, capsys: Output) -> None:
    told = quick(capsys, "60x25.5", "--sink")
    for shelf in ("", '[stock]\nwhite-cement = "100 lb"\ncoated-eps-bead = "20 lb"\nsilica-sand = "100 lb"\n'):
        assert run(["estimate", str(write_job(COUNTER + shelf)), "--json"]) == 0
        price = json.loads(capsys.readouterr().out)["cost"]["price"]
        assert told["low"] < price < told["high"]
    assert told["high"] < 3 * told["low"]


def test_a_small_piece_costs_at_least_the_minimum(tmp_path: Path, capsys: Output) -> None:
    (tmp_path / "own.toml").write_text("[workshop.quote]\nminimum = 5000.0\n", encoding="utf-8")
    told = quick(capsys, "12x12", "--use", "other", "--catalog", str(tmp_path / "own.toml"))
    assert (told["low"], told["bought"], told["minimum"]) == (5000.0, 5000.0, 5000.0)


@pytest.mark.parametrize(
    ("arguments", "line"),
    [
        (["96"], 'quick: SIZE: "96" is not a length and a width. Write 96x25.5.'),
        (["96x"], 'quick: SIZE: "96x" is not a length and a width. Write 96x25.5.'),
        (["8 ft x 25.5"], 'quick: SIZE: "25.5" has no unit. Write "25.5 in" or "25.5 mm" (1").'),
        (["96xwide"], 'quick: SIZE: "96xwide" is not a length and a width. Write 96x25.5.'),
        (
            ["2400x650"],
            'quick: SIZE: "2400x650" is longer than 20 ft in inches. For millimeters, add --units metric. '
            'For inches, write "2400 in x 650 in".',
        ),
        (
            ["96x25.5", "--units", "metric"],
            'quick: SIZE: "96x25.5" is shorter than 150 mm in millimetres. For inches, leave out --units metric. '
            'For millimetres, write "96 mm x 25.5 mm".',
        ),
        (["96x25.5 lb"], 'quick: SIZE: "96 lb" is a mass. Enter a length. Write "1-1/2 in".'),
        (
            ["12x12", "--sink"],
            'quick: --sink: A sink does not fit this size. A sink needs 20" × 15" and 3" of rail all '
            "around. Write a job file for a smaller sink.",
        ),
        (["96x25.5", "--mix", "backer-4"], 'quick: --mix: there is no mix "backer-4". Did you mean `backer-45`?'),
        (["96x25.5", "--thickness", "1"], 'quick: --thickness: "1" has no unit. Write "1 in".'),
        (
            ["96x25.5", "--currency", "XXX"],
            'quick: --currency: "XXX" is not a currency code of ISO 4217. Write a code of three '
            'capital letters, such as "USD" or "EUR".',
        ),
        (["96x25.5", "--units", "si"], 'quick: --units: "si" is not one of imperial, metric.'),
        (
            ["96x25.5", "--quantity", "0"],
            'cast-estimator: --quantity: "0" is not allowed. Write a whole number of at least 1.',
        ),
        (["96x25.5", "--use", "bar"], 'quick: --use: "bar" is not one of counter, splash,'),
    ],
)
def test_each_fault_of_a_ballpark_is_reported_in_one_line(arguments: list[str], line: str, capsys: Output) -> None:
    assert run(["quick", *arguments]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.startswith(line), told.err
    assert told.err.count("\n") == 1


JOB = """
[job]
name = "{name}"
mix = "{mix}"
waste = 0.07
currency = "{currency}"
[[piece]]
mark = "A"
use = "counter"
shape = {{ kind = "slab", length = "30 in", width = "20 in", thickness = "1 in" }}
"""


def written(folder: Path, file: str, name: str, mix: str = "backer-45", currency: str = "USD", more: str = "") -> str:
    path = folder / file
    path.write_text(JOB.format(name=name, mix=mix, currency=currency) + more, encoding="utf-8")
    return str(path)


def test_jobs_are_compared_with_the_first(tmp_path: Path, capsys: Output) -> None:
    paths = [written(tmp_path, "a.toml", "Light"), written(tmp_path, "b.toml", "Heavy", "backer-0")]
    assert run(["compare", *paths, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["jobs"] == ["Light (a.toml)", "Heavy (b.toml)"]
    rows = {(row["section"], row["what"]): row for row in told["rows"]}
    place = rows["weight", "all pieces in place"]
    assert place["changes"][0] == pytest.approx(place["values"][1] - place["values"][0])
    assert place["changes"][0] > 0
    bead = rows["material", "coated-eps-bead"]
    assert bead["values"][0] > 0
    assert bead["values"][1] is None
    assert bead["changes"] == [None]
    total = rows["cost", "total"]
    assert total["changes"][0] == pytest.approx(total["values"][1] - total["values"][0])
    assert rows["piece A", "quantity"]["values"] == [1, 1]
    assert told["sensitivity"] == []


def test_a_job_is_compared_with_its_alternatives_and_the_inputs_that_move_its_price(
    tmp_path: Path, capsys: Output
) -> None:
    more = '[[alternative]]\nname = "sand"\nswap = { backer-45 = "backer-0" }\n'
    path = written(tmp_path, "a.toml", "Job", more=more)
    assert run(["compare", path, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["jobs"] == ["Job", "sand"]
    price = next(row for row in told["rows"] if row["what"] == "price before tax")["values"][0]
    swings = told["sensitivity"]
    assert len(swings) == 5
    spans = [max(abs(each["low"] - price), abs(each["high"] - price)) for each in swings]
    assert spans == sorted(spans, reverse=True)
    for each in swings:
        assert each["low"] <= price <= each["high"], each["input"]
    # ± 10 % of the rates moves the price by the work, with its allowances, overhead and margin
    rates = next(each for each in swings if each["input"] == "labour rates")
    assert rates["high"] - price == pytest.approx(price - rates["low"], abs=0.15)


def test_the_comparison_is_shown_as_tables(tmp_path: Path, capsys: Output) -> None:
    paths = [written(tmp_path, "a.toml", "Light"), written(tmp_path, "b.toml", "Heavy", "backer-0")]
    assert run(["compare", *paths]) == 0
    shown = capsys.readouterr().out
    assert "All pieces, installed" in shown
    assert "(+" in shown


def test_jobs_in_two_currencies_are_not_compared(tmp_path: Path, capsys: Output) -> None:
    paths = [written(tmp_path, "a.toml", "One"), written(tmp_path, "b.toml", "Two", currency="EUR")]
    assert run(["compare", *paths]) == 2
    told = capsys.readouterr()
    assert told.err == "b.toml: job, currency: is EUR, but the first job has USD. Compare jobs in one currency.\n"


LIFTED_BY = [
    ["quick", "96x25.5"],
    ["compare", "JOB"],
    ["compare", "JOB", "JOB"],
    ["explain", "JOB", "pieces.C1.weight.lift_kg"],
    ["mix", "compare", "backer-45", "backer-65", "--job", "JOB"],
    ["mix", "swap", "60%", "--job", "JOB"],
]


@pytest.mark.parametrize("arguments", LIFTED_BY, ids=lambda arguments: " ".join(arguments[:2]))
def test_output_with_a_lift_weight_says_that_it_is_calculated_and_who_governs(
    arguments: list[str], write_job: Write, capsys: Output
) -> None:
    path = str(write_job(COUNTER))
    assert run([path if each == "JOB" else each for each in arguments]) == 0
    assert PLAIN("deferral") in " ".join(capsys.readouterr().out.split())


def test_output_without_a_lift_weight_says_nothing_about_lifting(write_job: Write, capsys: Output) -> None:
    assert run(["explain", str(write_job(COUNTER)), "cost.price"]) == 0
    assert PLAIN("deferral") not in " ".join(capsys.readouterr().out.split())
