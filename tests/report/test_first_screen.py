"""The first screen: its content, its number of lines, and warnings grouped by kind."""

from io import StringIO
from pathlib import Path

import pytest
from rich.console import Console

from estimator.__main__ import run
from estimator.commands.jobs import estimate_file
from estimator.estimate import Estimate
from estimator.notices import Notice
from estimator.packaging.materials import MaterialOrder
from estimator.report.first_screen import grouped, open_items
from estimator.report.papers.order import lines_of
from estimator.report.screen import MOST_LINES, TABLES, WIDTH, material_sheet, piece_sheet, screen_lines, sheet_tables
from estimator.words import PLAIN, Words, words_for
from geometry.message import message

ROOT = Path(__file__).parents[2]
EXAMPLE = ROOT / "examples/boathouse/job.toml"
HEAD = '[job]\nname = "Long hall"\nunits = "{units}"\nmix = "backer-45"\n'
PIECE = """
[[piece]]
mark = "{mark}"
use = "counter"
shape = {{ kind = "slab", length = "{length} mm", width = "900 mm", thickness = "{thickness} mm" }}
"""


def job_of(folder: Path, units: str, count: int) -> Path:
    pieces = (PIECE.format(mark=f"{'row ' * 4}{i}", length=900 + 40 * i, thickness=20 + i % 9) for i in range(count))
    path = folder / "job.toml"
    path.write_text(HEAD.format(units=units) + "".join(pieces))
    return path


@pytest.fixture(scope="module")
def boathouse() -> Estimate:
    return estimate_file(EXAMPLE)


@pytest.mark.parametrize("units", ["imperial", "metric"])
@pytest.mark.parametrize("count", [1, 40])
def test_the_first_screen_has_at_most_24_lines_of_100_columns(tmp_path: Path, units: str, count: int) -> None:
    made = estimate_file(job_of(tmp_path, units, count))
    lines = screen_lines(made, words_for(made.job))
    assert len(lines) <= MOST_LINES == 24
    assert max(len(line) for line in lines) <= WIDTH == 100


def test_the_first_screen_states_total_lead_time_heaviest_piece_order_and_open_safety_items(
    boathouse: Estimate,
) -> None:
    words = words_for(boathouse.job)
    text = "\n".join(line.plain for line in screen_lines(boathouse, words))
    assert words.price(boathouse.cost.total) in text
    assert f"{boathouse.calendar.lead_days} working days after approval" in text
    heaviest = max(boathouse.pieces, key=lambda piece: piece.weight.lift_kg)
    assert f"{heaviest.taken.piece.mark}  {words.mass(heaviest.weight.lift_kg, up=True)}" in text
    assert words.price(boathouse.supply.to_pay) in text
    assert text.index("1. ") < text.index("Warnings")
    assert len(open_items(boathouse, words)) > 5
    assert "+1 more" in text


def test_an_imperial_screen_shows_no_metric_unit_and_a_metric_screen_no_imperial_one(tmp_path: Path) -> None:
    for units, foreign in (("imperial", (" kg", " mm", "°C", " m²")), ("metric", (" lb", '"', "°F", " ft"))):
        made = estimate_file(job_of(tmp_path, units, 3))
        text = "\n".join(line.plain for line in screen_lines(made, words_for(made.job)))
        assert not [unit for unit in foreign if unit in text]


def test_a_narrow_terminal_loses_no_word(boathouse: Estimate) -> None:
    words = words_for(boathouse.job)
    text = " ".join(" ".join(line.plain for line in screen_lines(boathouse, words, 60)).split())
    for item in open_items(boathouse, words)[:5]:
        assert item.text in " ".join(text.split())
    assert "…" not in text


def test_warnings_of_one_kind_are_grouped() -> None:
    about = (Notice("batch-too-small", message("about", subject=mark, text=message("not-finite"))) for mark in "ABCDEF")
    assert [*grouped(about, PLAIN)] == ["A, B, C, D and 2 more: is not a finite number."]
    highest = (Notice("air-unusual", message("not-positive", length_m=-0.0254 * i)) for i in (3, 1, 2))
    assert [*grouped(highest, PLAIN)] == ['is −1".']


def test_tables_come_below_the_first_screen(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["estimate", str(EXAMPLE), "--show", "labour, pieces"]) == 0
    out = capsys.readouterr().out
    assert out.index("Not safe yet") < out.index("\nLabor") < out.index("\nPieces")
    assert "Cost and price" not in out
    assert run(["estimate", str(EXAMPLE), "--full"]) == 0
    assert "Cost and price" in capsys.readouterr().out


@pytest.mark.parametrize("call", [["--show", "prices"], ["--show", "pieces", "--json"], ["--full", "--json"]])
def test_an_unknown_table_and_tables_beside_json_are_refused(
    call: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["estimate", str(EXAMPLE), *call]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.count("\n") == 1
    assert "--show" in told.err


def test_every_table_has_rows_in_the_example(boathouse: Estimate) -> None:
    words = words_for(boathouse.job)
    for sheets in TABLES.values():
        assert any(sheet(boathouse, words).rows for sheet in sheets)


@pytest.mark.parametrize("width", [60, 80, 100, 140])
def test_tables_fit_the_terminal_and_lose_no_figure_and_no_word(boathouse: Estimate, width: int) -> None:
    words = words_for(boathouse.job)
    for make in (make for sheets in TABLES.values() for make in sheets):
        sheet, shown = make(boathouse, words), StringIO()
        for table in sheet_tables(sheet, width):
            Console(file=shown, width=400, highlight=False).print(table)
        lines = shown.getvalue().splitlines()
        assert max(map(len, lines)) <= width, sheet.title
        text = set(" ".join(lines).split())
        for i, column in enumerate(sheet.columns):
            cells = [row[i] for row in sheet.rows]
            assert all(" ".join(cell.split()) in " ".join(" ".join(lines).split()) for cell in cells if column.figure)
            assert {word for cell in (column.head, *cells) for word in cell.split()} <= text, sheet.title


def test_a_pipe_that_closes_early_and_no_color_cause_no_trouble(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["estimate", str(EXAMPLE)]) == 0
    told = capsys.readouterr()
    assert "\x1b" not in told.out
    assert told.err == ""


def test_a_working_is_shown_in_the_units_of_the_job(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for units, shown in (("imperial", " lb ("), ("metric", " kg\n")):
        path = job_of(tmp_path, units, 1)
        mark = estimate_file(path).pieces[0].taken.piece.mark
        assert run(["explain", str(path), f"pieces.{mark}.weight.lift_kg"]) == 0
        out = capsys.readouterr().out
        assert shown in out.partition("source")[0]
        assert (" lb" in out) == (units == "imperial")


def test_the_order_on_the_screen_is_what_the_purchase_orders_ask_for(boathouse: Estimate) -> None:
    lines, words = lines_of(boathouse), words_for(boathouse.job)
    asked = sum(line.price or 0.0 for line in lines) + float(boathouse.supply.materials.paid)
    text = "\n".join(line.plain for line in screen_lines(boathouse, words))
    named = {line.material for line in lines}
    assert f"{words.price(round(asked, 2))} for {len(named)} items" in text
    assert "water" not in named


@pytest.mark.parametrize(("language", "sign"), [("en-US", ","), ("de", ".")])
def test_counts_of_the_tables_have_their_thousands_parted(tmp_path: Path, language: str, sign: str) -> None:
    path = tmp_path / "job.toml"
    path.write_text(
        '[job]\nname = "Tiles"\nunits = "metric"\nmix = "backer-45"\n[[piece]]\nmark = "T1"\nquantity = 60000\n'
        'shape = { kind = "slab", length = "300 mm", width = "300 mm", thickness = "20 mm" }\n'
    )
    estimate = estimate_file(path)
    words = Words("metric", "EUR", language)
    (row,) = piece_sheet(estimate, words).rows
    assert row[1] == f"60{sign}000"
    needed, bought = next((line, row[3]) for line, row in bought_rows(estimate, words) if line.lines[0].count > 999)
    assert bought == f"{needed.lines[0].count:,} × {needed.lines[0].pack.name}".replace(",", sign)


def bought_rows(estimate: Estimate, words: Words) -> list[tuple[MaterialOrder, tuple[str, ...]]]:
    """Lines of the material order that buy packs, each with its row of the table."""
    rows = zip(estimate.materials.lines, material_sheet(estimate, words).rows, strict=True)
    return [(line, row) for line, row in rows if line.lines]
