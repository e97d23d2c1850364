"""estimate.xlsx: its formulas give the figures of the estimate, and no text of a job becomes a formula."""

import re
import shutil
import subprocess
from datetime import datetime
from decimal import ROUND_HALF_UP, Decimal
from io import BytesIO
from math import ceil, prod
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook, load_workbook

from estimator.commands.jobs import estimate_file
from estimator.estimate import Estimate
from estimator.packaging.price import line_of
from estimator.pricing.quote import tax_text
from estimator.report.papers.order import order_xlsx
from estimator.report.papers.workbook import estimate_xlsx
from estimator.words import words_for
from tests.report.conftest import Estimated

ROOT = Path(__file__).parents[2]
BOATHOUSE = ROOT / "examples/boathouse/job.toml"
OFFICE = shutil.which("soffice") or shutil.which("libreoffice")
STRANGE = """
[job]
name = "=HYPERLINK(1)"
units = "metric"
currency = "EUR"
mix = "backer-45"

[[piece]]
mark = "=1+1"
use = "panel"
shape = { kind = "slab", length = "900 mm", width = "600 mm", thickness = "20 mm" }

[[piece]]
mark = "@SUM(A1)"
use = "panel"
shape = { kind = "slab", length = "900 mm", width = "600 mm", thickness = "20 mm" }
"""


@pytest.fixture(scope="module")
def estimated() -> Estimate:
    return estimate_file(BOATHOUSE)


@pytest.fixture(scope="module")
def book(estimated: Estimate) -> Workbook:
    return load_workbook(BytesIO(estimate_xlsx(estimated)))


class Cells(list):
    """A range of cells, compared and negated cell by cell."""

    def __eq__(self, other: object) -> Any:
        return Cells(cell == other for cell in self)

    def __neg__(self) -> Any:
        return Cells(-cell for cell in self)


class Reckoner:
    """Evaluates formulas by plain rules: cells, + − * /, SUM, SUMPRODUCT, IF, MAX, MIN, INT, ROUND half up."""

    def __init__(self, book: Workbook) -> None:
        self.book = book

    def value(self, sheet: str, cell: str) -> Any:
        found = self.book[sheet][cell].value
        if isinstance(found, str) and found.startswith("="):
            return float(eval(self._python(sheet, found[1:]), {"__builtins__": {}}, self._functions()))
        return float(found) if isinstance(found, int | float) else found if isinstance(found, str) else 0.0

    def _python(self, sheet: str, text: str) -> str:
        def cells(match: re.Match[str]) -> str:
            where, first, last = match["sheet"] or sheet, match["first"], match["last"]
            if last is None:
                return f"V({where!r},{first!r})"
            rows = self.book[where][f"{first}:{last}"]
            return "C([" + ",".join(f"V({where!r},{c.coordinate!r})" for row in rows for c in row) + "])"

        text = re.sub("(?<![<>])=", "==", text)
        return re.sub(r"(?:'(?P<sheet>[A-Z][a-z]+)'!)?(?P<first>[A-Z]+\d+)(?::(?P<last>[A-Z]+\d+))?", cells, text)

    def _functions(self):
        def rounded(value: float, places: float) -> float:
            step = Decimal(1).scaleb(-int(places))
            return float(Decimal(repr(round(value, 9))).quantize(step, rounding=ROUND_HALF_UP))

        return {
            "V": self.value,
            "SUM": lambda *parts: sum(
                n for p in parts for n in (p if isinstance(p, list) else [p]) if not isinstance(n, str)
            ),
            "MAX": max,
            "MIN": min,
            "ROUND": rounded,
            "ROUNDUP": lambda value, _places: float(ceil(value)),
            "INT": lambda value: float(int(value + 1e-9)),
            "IF": lambda holds, yes, no: yes if holds else no,
            "C": Cells,
            "SUMPRODUCT": lambda *parts: sum(prod(row) for row in zip(*parts, strict=True)),
        }


def row_of(book: Workbook, sheet: str, first: str) -> int:
    return next(row for row in range(1, book[sheet].max_row + 1) if book[sheet].cell(row, 1).value == first)


def test_the_formulas_give_the_price_to_the_cent(estimated: Estimate, book: Workbook):
    reckon = Reckoner(book)
    cost = estimated.cost
    for line, amount in (
        ("Direct cost", cost.direct.total),
        ("Overhead, on direct cost", cost.overhead),
        ("Margin, of price", cost.margin),
        ("Price before tax", cost.price),
        ("Tax, 6%", cost.tax),
        ("Total with tax", cost.total),
    ):
        assert reckon.value("Price", f"B{row_of(book, 'Price', line)}") == pytest.approx(float(amount), abs=0.004), line


def test_a_changed_hour_or_pack_carries_through_to_the_total(estimated: Estimate):
    book = load_workbook(BytesIO(estimate_xlsx(estimated)))
    total = f"B{row_of(book, 'Price', 'Total with tax')}"
    before = Reckoner(book).value("Price", total)
    book["Labor"]["C2"] = book["Labor"]["C2"].value + 10.0
    dearer = Reckoner(book).value("Price", total)
    terms = estimated.job.price
    factor = (1 + terms.overhead) / (1 - (terms.margin or 0)) * (1 + terms.tax)
    assert dearer - before == pytest.approx(10.0 * book["Labor"]["D2"].value * factor, abs=0.05)
    sand = f"B{row_of(book, 'Materials', 'Silica sand')}"
    book["Materials"][sand] = 0.5 * book["Materials"][sand].value
    assert Reckoner(book).value("Price", total) < dearer


def test_tables_add_up_to_the_estimate(estimated: Estimate, book: Workbook):
    reckon = Reckoner(book)
    count = sum(piece.taken.piece.quantity for piece in estimated.pieces)
    assert reckon.value("Pieces", f"C{row_of(book, 'Pieces', 'Total')}") == count
    concrete = sum(piece.taken.volume_m3 * piece.taken.piece.quantity for piece in estimated.pieces) / 0.3048**3
    assert reckon.value("Pieces", f"H{row_of(book, 'Pieces', 'Total')}") == pytest.approx(concrete)
    price = float(sum(piece.price for piece in estimated.pieces))
    assert reckon.value("Pieces", f"O{row_of(book, 'Pieces', 'Total')}") == pytest.approx(price)
    materials = float(estimated.cost.direct.materials)
    assert reckon.value("Materials", f"H{row_of(book, 'Materials', 'Total')}") == pytest.approx(materials, abs=0.004)
    assert reckon.value("Labor", f"E{row_of(book, 'Labor', 'Total')}") == pytest.approx(
        float(estimated.cost.direct.labour)
    )


PACKS = """
[job]
name = "Breaks"
mix = "backer-0"
{charge}
[materials.silica-sand]
packs = [{pack}]
[[piece]]
mark = "F1"
use = "panel"
quantity = 12
shape = {{ kind = "slab", length = "60 in", width = "24 in", thickness = "1 in" }}
"""
BREAKS = "breaks = [{ from = 5, price = 8.75 }, { from = 10, price = 8.1 }]"


@pytest.mark.parametrize(
    "pack",
    [
        f'{{ name = "bag", mass = "50 lb", price = 9.5, {BREAKS} }}',
        f'{{ name = "bag", mass = "50 lb", price = 9.5, breaks_rule = "incremental", {BREAKS} }}',
        f'{{ name = "bag", mass = "50 lb", price = 9.5, per_pallet = 7, pallet_price = 50.0, {BREAKS} }}',
        '{ name = "bag", mass = "50 lb", price = 9.5 }',
    ],
)
@pytest.mark.parametrize("charge", ["", '[price]\ncharge = "packs"\n'])
def test_a_price_with_breaks_is_a_formula_that_follows_the_count(tmp_path: Path, pack: str, charge: str):
    path = tmp_path / "job.toml"
    path.write_text(PACKS.format(pack=pack, charge=charge))
    estimated = estimate_file(path)
    book = load_workbook(BytesIO(estimate_xlsx(estimated)))
    line = next(line for order in estimated.materials.lines for line in order.lines if order.material == "silica-sand")
    row, reckon = row_of(book, "Packages", "Silica sand"), Reckoner(book)
    assert line.price is not None
    assert line.count > 10
    assert reckon.value("Packages", f"H{row}") == pytest.approx(line.price, abs=0.001)
    total = reckon.value("Price", f"B{row_of(book, 'Price', 'Total with tax')}")
    assert total == pytest.approx(float(estimated.cost.total), abs=0.004)
    if not charge:
        needed = f"B{row_of(book, 'Materials', 'Silica sand')}"
        before = reckon.value("Price", f"B{row_of(book, 'Price', 'Total with tax')}")
        book["Materials"][needed] = 2.0 * book["Materials"][needed].value
        assert Reckoner(book).value("Price", f"B{row_of(book, 'Price', 'Total with tax')}") > before
    for count in (1, 4, 5, 9, 10, 14, 23):
        book["Packages"][f"D{row}"] = count
        whole = (line.full_pallets and line.pack.per_pallet) or 0
        full = count // whole if whole else 0
        same = line_of(line.pack, 1.0, count - full * whole, full)
        assert Reckoner(book).value("Packages", f"H{row}") == pytest.approx(same.price, abs=0.001), count


def test_taxes_by_kind_are_formulas(tmp_path: Path):
    path = tmp_path / "job.toml"
    rates = "[price.tax_rates]\ninstallation = 0.0\ndelivery = 0.055\n"
    path.write_text(PACKS.format(pack='{ name = "bag", mass = "50 lb", price = 9.5 }', charge=rates))
    estimated = estimate_file(path)
    book = load_workbook(BytesIO(estimate_xlsx(estimated)))
    reckon = Reckoner(book)
    for line in estimated.cost.tax_lines:
        row = row_of(book, "Price", words_for(estimated.job).text(tax_text(line)))
        assert reckon.value("Price", f"D{row}") == pytest.approx(float(line.base), abs=0.004)
        assert reckon.value("Price", f"B{row}") == pytest.approx(float(line.amount), abs=0.004)
    total = reckon.value("Price", f"B{row_of(book, 'Price', 'Total with tax')}")
    assert total == pytest.approx(float(estimated.cost.total), abs=0.004)


def test_every_sheet_prints_on_pages_of_its_own_width(book: Workbook):
    for sheet in book:
        assert sheet.print_area, sheet.title
        assert sheet.page_setup.fitToWidth == 1


def test_text_of_the_job_never_becomes_a_formula(tmp_path: Path):
    path = tmp_path / "job.toml"
    path.write_text(STRANGE)
    estimated = estimate_file(path)
    book = load_workbook(BytesIO(estimate_xlsx(estimated)))
    strange = {"=1+1", "@SUM(A1)", "=HYPERLINK(1)"}
    texts = [cell for sheet in book for row in sheet.iter_rows() for cell in row if cell.value in strange]
    assert {cell.value for cell in texts} == strange
    assert all(cell.data_type == "s" and cell.quotePrefix for cell in texts)


def test_the_same_estimate_gives_the_same_bytes(estimated: Estimate):
    assert estimate_xlsx(estimated) == estimate_xlsx(estimated)


@pytest.mark.skipif(OFFICE is None, reason="no LibreOffice here to recompute the workbook")
def test_a_spreadsheet_program_gets_the_same_total(estimated: Estimate, tmp_path: Path):
    (tmp_path / "estimate.xlsx").write_bytes(estimate_xlsx(estimated))
    call = [
        str(OFFICE),
        "--headless",
        "--convert-to",
        "csv",
        "--outdir",
        str(tmp_path),
        str(tmp_path / "estimate.xlsx"),
    ]
    subprocess.run(call, check=True, capture_output=True, timeout=120)
    said = (tmp_path / "estimate.csv").read_text()
    assert f"{estimated.cost.total:,.2f}" in said


def test_a_workbook_holds_days_as_dates_and_numbers_without_noise(boathouse: Estimated) -> None:
    book = load_workbook(BytesIO(estimate_xlsx(boathouse.estimate)))
    order = load_workbook(BytesIO(order_xlsx(boathouse.estimate))).active
    dates = [row[2].value for row in book["Calendar"].iter_rows(min_row=2)] + [row[11].value for row in order][1:]
    assert len(dates) > 20
    assert all(isinstance(day, datetime) for day in dates)
    for sheet in (*book, order):
        for cell in (cell for row in sheet.iter_rows() for cell in row if isinstance(cell.value, float)):
            assert cell.value == float(f"{cell.value:.12g}"), f"{sheet.title} {cell.coordinate}"


def test_an_imperial_order_states_pounds_beside_kilograms(boathouse: Estimated) -> None:
    head, *rows = load_workbook(BytesIO(order_xlsx(boathouse.estimate))).active.iter_rows(values_only=True)
    assert head[-2:] == ("mass_each_lb", "mass_lb")
    (cement,) = [row for row in rows if row[0] == "white-cement"]
    assert cement[-2:] == (94, cement[3] * 94)  # common practice: a bag of cement holds 94 lb
