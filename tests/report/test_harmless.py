"""Names from a job file stay text wherever they are printed, and the same job gives the same bytes."""

import csv
import hashlib
import json
import os
import subprocess
import sys
import zipfile
from collections.abc import Callable
from io import BytesIO, StringIO
from pathlib import Path

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl import Workbook

from estimator.__main__ import run
from estimator.intake.cells import open_cells
from estimator.report.pack import PAPERS, make_papers
from estimator.report.papers.data_files import csv_bytes, fill_sheet, workbook_bytes
from geometry.files import InputFile
from tests.report.conftest import ROOT, Estimated, read_pages

BAD = ["=cmd()", "+1", "-2+3", "@x", "\t=1", " =1", "<b>bold", "&amp;", "\r=1", "\n+1", '"=1', "\xa0-1", "\u200b@x"]
BAD += ["\ufeff=1", "＝1", "＠x", "'=1", "''-1", "a;=1", "a;'=1", "a\n=1", "a\t+1", "_x003D_1", "\x01=1", "2\r\n3"]
RISKY = st.text(st.sampled_from("=+-@＝'\"\t\r\n;, a_x003D\x01\u200b\ufeff<&"), min_size=1, max_size=12)
"""Text of all signs that matter to a spreadsheet or to the files it reads."""


def test_markup_in_names_is_printed_as_it_stands(strange: Estimated) -> None:
    for name in ("quote.pdf", "labels.pdf"):
        said = " ".join(page.text for page in read_pages(PAPERS[name](strange.estimate)))
        for piece in strange.document["pieces"]:
            assert piece["mark"] in said, name
        assert '<i>=HYPERLINK("x")</i> & co' in said


def test_no_cell_of_a_csv_starts_a_formula(strange: Estimated) -> None:
    for name in (each for each in PAPERS if each.endswith(".csv")):
        text = PAPERS[name](strange.estimate).decode("utf-8-sig")
        for row in list(csv.reader(StringIO(text)))[1:]:
            for cell in row:
                assert _is_number(cell) or not cell.lstrip().startswith(("=", "+", "-", "@")), (name, cell)
    assert "'=cmd()" in PAPERS["pieces.csv"](strange.estimate).decode()


def sheet_of(texts: list[str]) -> InputFile:
    """A workbook with a column of texts."""
    book = Workbook()
    fill_sheet(book.active, ("name", "count"), [(each, 1) for each in texts], ("@", "0"))
    return InputFile("a.xlsx", workbook_bytes(book, "=title", None))


def table_of(texts: list[str]) -> InputFile:
    """A CSV with a column of texts."""
    return InputFile("a.csv", csv_bytes(("name", "count"), [(each, 1) for each in texts]))


def read_back(file: InputFile) -> list[str]:
    return [row[0].text for _, row in open_cells(file, None, "name").rows][1:]


def test_no_cell_of_a_workbook_is_a_formula() -> None:
    sheet = openpyxl.load_workbook(BytesIO(sheet_of(BAD).read())).active
    assert [row[0].data_type for row in sheet.iter_rows(min_row=2)] == ["s"] * len(BAD)
    assert sheet["A2"].value == "=cmd()"
    assert sheet["A2"].quotePrefix


def test_text_of_a_csv_cannot_start_a_formula_in_a_program_that_parts_its_columns_otherwise() -> None:
    text = table_of(BAD).read().decode("utf-8-sig")
    for delimiter in ",;\t":
        rows = text.splitlines() if delimiter != "," else [",".join(row) for row in csv.reader(StringIO(text))]
        for cell in (cell for row in rows for cell in row.split(delimiter)):
            shown = cell.lstrip('"\x01\u200b\ufeff\xa0 \t\r\n')
            assert not shown.startswith(("=", "+", "-", "@", "＝", "＠")), (delimiter, cell)


@pytest.mark.parametrize("write", [sheet_of, table_of])
def test_text_reads_back_as_it_was(write: Callable[[list[str]], InputFile]) -> None:
    assert read_back(write(BAD)) == BAD


@given(st.lists(RISKY.filter(str.strip), min_size=1, max_size=5))
def test_any_text_reads_back_as_it_was(texts: list[str]) -> None:
    assert read_back(table_of(texts)) == texts
    assert read_back(sheet_of(texts)) == texts


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def test_the_same_job_gives_the_same_bytes(metric: Estimated) -> None:
    assert make_papers(metric.estimate) == make_papers(metric.estimate)


def test_two_runs_give_the_same_bytes(tmp_path: Path) -> None:
    digests = []
    for seed in ("1", "2"):
        folder = tmp_path / seed
        subprocess.run(
            [sys.executable, "-m", "estimator", "estimate", str(ROOT / "examples/boathouse/job.toml"), "--out", folder],
            cwd=ROOT,
            env={**os.environ, "PYTHONHASHSEED": seed},
            check=True,
            capture_output=True,
        )
        files = (each for each in folder.rglob("*") if each.is_file())
        digests.append({str(each.relative_to(folder)): hashlib.sha256(each.read_bytes()).hexdigest() for each in files})
    assert digests[0] == digests[1]
    assert set(PAPERS) < set(digests[0])


def test_dates_in_a_workbook_are_those_of_the_job(metric: Estimated) -> None:
    with zipfile.ZipFile(BytesIO(PAPERS["order.xlsx"](metric.estimate))) as archive:
        core = archive.read("docProps/core.xml").decode()
        assert {info.date_time for info in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}
    assert core.count("2026-03-02T00:00:00Z") == 2


def test_the_order_is_the_same_in_every_file(metric: Estimated) -> None:
    rows = list(csv.reader(StringIO(PAPERS["order.csv"](metric.estimate).decode("utf-8-sig"))))
    sheet = openpyxl.load_workbook(BytesIO(PAPERS["order.xlsx"](metric.estimate))).active
    assert [[cell.value for cell in row][:4] for row in sheet.iter_rows(min_row=2)] == [
        [row[0], row[1], row[2] or None, int(row[3])] for row in rows[1:]
    ]


def test_the_document_in_the_pack_equals_the_json_output(metric: Estimated) -> None:
    assert json.loads(PAPERS["estimate.json"](metric.estimate)) == metric.document


def test_explain_prints_formula_values_result_and_source(capsys: pytest.CaptureFixture[str]) -> None:
    job = str(ROOT / "examples/boathouse/job.toml")
    assert run(["explain", job, "cost.total"]) == 0
    said = capsys.readouterr().out
    assert "price + tax" in said
    assert "source:" in said
    assert run(["explain", job, "pieces.C1.weight.lft_kg"]) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert 'Did you mean "pieces.C1.weight.lift_kg"?' in captured.err
    assert captured.err.count("\n") == 1


def test_data_files_have_the_units_of_the_job_beside_si(boathouse: Estimated, metric: Estimated) -> None:
    def first(made: Estimated, name: str) -> dict[str, str]:
        return next(csv.DictReader(StringIO(PAPERS[name](made.estimate).decode("utf-8-sig"))))

    piece = first(boathouse, "pieces.csv")
    assert float(piece["length_in"]) == pytest.approx(float(piece["length_m"]) / 0.0254)
    assert float(piece["lift_lb"]) == pytest.approx(float(piece["lift_kg"]) / 0.45359237)
    assert float(piece["volume_ft3"]) == pytest.approx(float(piece["volume_m3"]) / 0.3048**3)
    material = first(boathouse, "materials.csv")
    assert float(material["required_lb"]) == pytest.approx(float(material["required_kg"]) / 0.45359237)
    assert (material["material"], material["title"]) == ("white-cement", "White portland cement")
    piece = first(metric, "pieces.csv")
    assert float(piece["length_mm"]) == pytest.approx(1000.0 * float(piece["length_m"]))
    assert not [head for head in piece if head.endswith(("_lb", "_in"))]
    assert " lb" in PAPERS["shelf.toml"](boathouse.estimate).decode()
    assert " lb" not in PAPERS["shelf.toml"](metric.estimate).decode()
