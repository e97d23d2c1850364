"""Tables: every cell within its column, every word kept, no row alone."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.report.papers.style import (
    BOLD,
    PLAIN,
    SMALL,
    Front,
    bind,
    cut,
    say,
    say_parts,
    section,
    size_that_fits,
    width_of,
)
from estimator.report.papers.table import PAD, broken, table
from estimator.report.papers.text import Lines
from estimator.report.screen import Column
from tests.report.conftest import Estimated, read_pages

TEXT = st.text(st.sampled_from("abWi 0-/.é²½"), max_size=120)


@given(TEXT, st.floats(20.0, 300.0))
@settings(max_examples=60, deadline=None)
def test_broken_lines_fit_and_keep_every_letter(text: str, width: float) -> None:
    lines = broken(text, PLAIN, 8.0, width)
    assert all(width_of(line, PLAIN, 8.0) <= width + 0.02 or len(line) == 1 for line in lines)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")


@given(TEXT, st.floats(20.0, 300.0))
@settings(max_examples=60, deadline=None)
def test_cut_off_text_fits(text: str, width: float) -> None:
    made = cut(text, BOLD, 9.0, width)
    assert width_of(made, BOLD, 9.0) <= width
    assert made == text or made.endswith("…")


@given(st.lists(st.tuples(TEXT, TEXT, st.integers(0, 10**9)), min_size=1, max_size=12), st.floats(150.0, 500.0))
@settings(max_examples=30, deadline=None)
def test_columns_fill_the_width_and_hold_their_cells(rows: list[tuple[str, str, int]], width: float) -> None:
    made = table(
        (Column("Name", False), Column("What is said of it", False), Column("Count")),
        [(a, b, str(n)) for a, b, n in rows],
        width,
    )
    widths, size = made.looks.widths, made.looks.size
    assert abs(sum(widths) - width) < 0.01
    for row in made.body:
        for cell, column in zip(row, widths, strict=True):
            for line in cell:
                assert width_of(line, PLAIN, size) <= column - 2 * PAD + 0.05 or len(line) == 1


@pytest.mark.parametrize(
    ("sign", "figures"), [(".", ["8.8 lb", "94 lb", "no price"]), (",", ["8,8 kg", "1.094 kg", "kein Preis"])]
)
def test_decimal_signs_line_up(sign: str, figures: list[str]) -> None:
    rows = list(zip("abc", figures, strict=True))
    made = table((Column("Mark", False), Column("Mass")), rows, 300.0)
    short, long, words = (row[1][0] for row in made.body)
    assert [short, long.replace("\u2007", "").replace("\u2008", ""), words] == figures
    size = made.looks.size
    whole = figures[1].split()[0]
    assert abs(width_of(short[1:], PLAIN, size) - width_of(long.removeprefix(whole), PLAIN, size)) < 0.01
    assert short[1] == sign


def test_thousands_are_not_taken_for_decimals() -> None:
    made = table((Column("Mark", False), Column("Mass")), [("a", "1.094 kg"), ("b", "94 kg")], 300.0)
    assert [row[1][0] for row in made.body] == ["1.094 kg", "94 kg"]


def test_heads_are_repeated_and_no_row_stands_alone(boathouse: Estimated) -> None:
    front = Front("Rows", boathouse.estimate.job)
    for count in range(40, 60):  # some of these would leave one row for the last page
        rows = [(f"row{i}", str(i)) for i in range(count)]
        pages = read_pages(
            bind(front, section("Many", table([Column("Head", False), Column("No")], rows, front.width)))
        )
        assert all("Head" in page.text for page in pages)
        assert all(page.text.count("row") >= 2 for page in pages), count


def test_a_row_higher_than_a_page_is_split(boathouse: Estimated) -> None:
    front = Front("High", boathouse.estimate.job)
    made = bind(front, [table([Column("All", False), Column("Of", False)], [("word " * 3000, "x")], front.width)])
    assert sum(page.text.count("word") for page in read_pages(made)) == 3000


def test_too_many_columns_are_split_with_the_first_column_in_each_part(boathouse: Estimated) -> None:
    front = Front("Wide", boathouse.estimate.job)
    columns = [Column("Mark", False), *(Column(f"F{i}") for i in range(30))]
    made = bind(front, [table(columns, [["M1", *(["12345.67"] * 30)]], front.width)])
    said = read_pages(made)[0].text
    assert said.count("12345.67") == 30
    assert said.count("M1") == said.count("Mark") > 1


def test_a_size_is_found_between_its_bounds() -> None:
    assert size_that_fits("wide text here", PLAIN, 1.0, 20.0, 6.0) == 6.0
    assert size_that_fits("i", PLAIN, 500.0, 20.0, 6.0) == 20.0


@given(st.lists(st.text(st.sampled_from("abWi 0-/.é²½\u2206\u4e2d"), max_size=60), min_size=1, max_size=4))
@settings(max_examples=40, deadline=None)
def test_a_paragraph_keeps_its_words_in_lines_that_fit(parts: list[str]) -> None:
    made = say_parts([(part, i % 2 == 1) for i, part in enumerate(parts)])
    made.wrap(120.0, 1e4)
    assert all(
        x + width_of(text, font, 9.0) <= 120.05 or len(text) == 1 for line in made._lines for text, font, x in line
    )
    kept = "".join(text for line in made._lines for text, _, _ in line)
    assert kept.replace(" ", "") == "".join(parts).replace(" ", "")


def test_a_paragraph_higher_than_its_page_continues_on_the_next(boathouse: Estimated) -> None:
    front = Front("Long", boathouse.estimate.job)
    pages = read_pages(bind(front, [say("word " * 4000)]))
    assert len(pages) > 1
    assert sum(page.text.count("word") for page in pages) == 4000


@pytest.mark.parametrize(
    ("text", "width", "lines"),
    [
        ("up to 158 °F", 40.0, ["up to", "158 °F"]),
        ("2 L-shaped pieces", 36.0, ["2", "L-shaped", "pieces"]),
        ("45 % beads", 30.0, ["45 %", "beads"]),
    ],
)
def test_a_line_ends_in_front_of_a_figure_not_between_it_and_its_unit(
    text: str, width: float, lines: list[str]
) -> None:
    assert broken(text, PLAIN, 8.0, width) == lines
    flowing = Lines([(text, False)], SMALL)
    flowing.wrap(width, 100.0)
    assert [[bit for bit, _, _ in line] for line in flowing._lines] == [[line] for line in lines]


def test_a_number_stays_with_the_text_that_no_space_parts_from_it() -> None:
    made = say_parts(
        [("1\N{NO-BREAK SPACE}", True), ("Load the sand.  ", False), ("2\N{NO-BREAK SPACE}", True), ("Add it.", False)]
    )
    for width in range(40, 140):
        made.wrap(float(width), 1e4)
        assert not any(line[-1][0].endswith("2\N{NO-BREAK SPACE}") for line in made._lines)
