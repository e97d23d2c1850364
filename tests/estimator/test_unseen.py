"""Rows, columns and sheets that a spreadsheet program does not show, and cells that only Python reads as numbers."""

from collections.abc import Callable
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
import xlwt
from openpyxl import Workbook

from estimator.intake.cells import Unseen, open_cells
from estimator.intake.schedule import read_rows
from geometry.files import InputFile, Limits
from tests.estimator.test_cells import HEAD, LENGTHS, NAMESPACES, lines, ods, ods_piece, read, text_row, xlsx
from tests.fuzz_readers import SHEET, packed_with, part_of

Write = Callable[[str], Path]
ROWS = [[mark, 1, "slab", "1200 mm", "600 mm", "25 mm"] for mark in ("A", "B", "C", "D")]
HIDDEN_ROWS, HIDDEN_COLUMN = (3, 5), 2  # B, D and the quantity


def as_xlsx(second: str | None = None, hide_first: bool = False) -> bytes:
    book = Workbook()
    tops = book.worksheets[0]
    tops.title = "Tops"
    for row in [HEAD, *ROWS]:
        tops.append(row)
    for number in HIDDEN_ROWS:
        tops.row_dimensions[number].hidden = True
    tops.column_dimensions["B"].hidden = True
    book.create_sheet("Blank")
    if second is not None:
        more = book.create_sheet("More")
        more.append(["mark"])
        more.sheet_state = second
    tops.sheet_state = "hidden" if hide_first else "visible"
    book.active = 1 if hide_first else 0
    book.save(content := BytesIO())
    return content.getvalue()


def as_xls(second: str | None = None, hide_first: bool = False) -> bytes:
    book = xlwt.Workbook()
    tops = book.add_sheet("Tops")
    for at, row in enumerate([HEAD, *ROWS]):
        for column, value in enumerate(row):
            tops.write(at, column, value)
    for number in HIDDEN_ROWS:
        tops.row(number - 1).hidden = True
    tops.col(HIDDEN_COLUMN - 1).hidden = True
    book.add_sheet("Blank")
    if second is not None:
        more = book.add_sheet("More")
        more.write(0, 0, "mark")
        more.visibility = {"visible": 0, "hidden": 1}[second]
    tops.visibility = int(hide_first)
    book.save(content := BytesIO())
    return content.getvalue()


def as_ods(second: str | None = None, hide_first: bool = False) -> bytes:
    marks = ("A", "B", "C", "D")
    pieces = [ods_piece(*LENGTHS).replace("<text:p>A<", f"<text:p>{mark}<") for mark in marks]
    for number, how in zip(HIDDEN_ROWS, ("collapse", "filter"), strict=True):
        pieces[number - 2] = pieces[number - 2].replace("row>", f'row table:visibility="{how}">', 1)
    columns = '<table:table-column/><table:table-column table:visibility="collapse"/><table:table-column/>'
    content = ods(columns + text_row(HEAD) + "".join(pieces))
    style = 'xmlns:style="urn:oasis:names:tc:opendocument:xmlns:style:1.0"'
    styles = "".join(
        f'<style:style style:name="{name}" style:family="table"><style:table-properties table:display="{shown}"/>'
        "</style:style>"
        for name, shown in (("on", "true"), ("off", "false"))
    )
    more = "" if second is None else text_row(["mark"])
    text = part_of(content, "content.xml").decode()
    text = text.replace(NAMESPACES, f"{NAMESPACES} {style}")
    text = text.replace("<office:body>", f"<office:automatic-styles>{styles}</office:automatic-styles><office:body>")
    text = text.replace('table:name="Tops"', f'table:name="Tops" table:style-name="{"off" if hide_first else "on"}"')
    end = "</office:spreadsheet>"
    shown = "off" if second == "hidden" else "on"
    text = text.replace(
        end,
        '<table:table table:name="Blank"><table:table-row><table:table-cell/></table:table-row></table:table>'
        f'<table:table table:name="More" table:style-name="{shown}">{more}</table:table>{end}',
    )
    return packed_with(content, "content.xml", text.encode())


FORMATS = {"tops.xlsx": as_xlsx, "tops.xls": as_xls, "tops.ods": as_ods}
EVERY = pytest.mark.parametrize("name", FORMATS)


def notes(reading: Any) -> list[str]:
    return [str(warning.text.values[1][1].id) for warning in reading.sound().warnings if warning.text.id == "of-file"]


@EVERY
def test_hidden_rows_and_columns_count_with_a_note(write_job: Write, name: str) -> None:
    reading = read(write_job, name, FORMATS[name](), 'sheet = "Tops"')
    assert [piece.mark for piece in reading.sound().pieces] == ["A", "B", "C", "D"]
    assert notes(reading) == ["table-rows-hidden", "table-columns-hidden"]
    values = [dict(dict(warning.text.values)["text"].values) for warning in reading.sound().warnings[:2]]
    assert [entry["count"] for entry in values] == [2, 1]
    assert "3, 5" in str(values[0]["rows"])
    assert "quantity" in str(values[1]["columns"])


@EVERY
def test_other_sheets_with_content_are_named_unless_they_are_hidden_or_the_job_names_a_sheet(
    write_job: Write, name: str
) -> None:
    make = FORMATS[name]
    assert "table-sheets-other" in notes(read(write_job, name, make("visible")))
    assert "table-sheets-other" not in notes(read(write_job, name, make("hidden")))
    assert "table-sheets-other" not in notes(read(write_job, name, make("visible"), 'sheet = "tops"'))


@EVERY
def test_a_hidden_first_sheet_is_read_only_by_name(write_job: Write, name: str) -> None:
    content = FORMATS[name]("visible", hide_first=True)
    (line,) = lines(read(write_job, name, content))
    assert line.startswith(f'{name}: The first sheet, "Tops", is hidden. Show the sheet, or name the sheet to read.')
    assert len(read(write_job, name, content, 'sheet = "Tops"').sound().pieces) == 4


@EVERY
def test_a_strangers_workbook_is_read_alike_in_a_process_of_its_own(name: str) -> None:
    content = FORMATS[name]("visible")
    here, apart = (open_cells(InputFile(name, content, Limits(apart_mb=mb)), None, "mark").unseen for mb in (20, 0))
    assert here == apart == Unseen(frozenset(HIDDEN_ROWS), frozenset([HIDDEN_COLUMN]), ("More",))


@EVERY
def test_a_coupon_that_is_hidden_is_not_counted_unseen(tmp_path: Path, name: str) -> None:
    (tmp_path / name).write_bytes(FORMATS[name]())
    with pytest.raises(ValueError, match=r"table-rows-unseen \(count = 2"):
        read_rows(tmp_path / name)


def test_rows_and_columns_without_height_or_width_are_hidden_too() -> None:
    sheet = part_of(as_xlsx(), SHEET)
    assert sheet.count(b'hidden="1"') == 3
    flat = sheet.replace(b'width="13" hidden="1"', b'width="0"').replace(b'hidden="1"', b'ht="0" customHeight="1"')
    assert flat != sheet
    found = open_cells(InputFile("a.xlsx", packed_with(as_xlsx(), SHEET, flat)), None, "mark").unseen
    assert found == Unseen(frozenset(HIDDEN_ROWS), frozenset([HIDDEN_COLUMN]))


@pytest.mark.parametrize("form", ["1_0", "١٠", "１０", "inf", "nan", "0x10", "1,5", "1 0"])
def test_a_number_that_only_python_reads_is_refused_in_a_workbook(write_job: Write, form: str) -> None:
    # source: XML Schema part 2, the lexical space of double
    new = xlsx(["A", 2, "slab", 1200.5, "600 mm", "25 mm"], {})
    damaged = part_of(new, SHEET).replace(b"<v>1200.5</v>", f"<v>{form}</v>".encode())
    (line,) = lines(read(write_job, "a.xlsx", packed_with(new, SHEET, damaged), 'unit = "mm"'))
    assert line.startswith(f'a.xlsx: A cell that should hold a number holds "{form}".')
    row = ods_piece(*LENGTHS).replace('office:value="2"', f'office:value="{form}"')
    (line,) = lines(read(write_job, "a.ods", ods(text_row(HEAD) + row)))
    assert f'Cell B2 should hold a number, but holds "{form}".' in line


def test_text_in_a_workbook_that_looks_odd_is_still_text(write_job: Write) -> None:
    new = xlsx(["A_1", 2, "slab", "1200 mm", "600 mm", "25 mm"], {})
    formula = part_of(new, SHEET).replace(
        b'<c r="A2" t="inlineStr"><is><t>A_1</t></is></c>', b'<c r="A2" t="str"><f>"A"&amp;"_1"</f><v>A_1</v></c>'
    )
    formula = formula.replace(b"<v>2</v>", b"<v> 2E0\n</v>")
    reading = read(write_job, "a.xlsx", packed_with(new, SHEET, formula))
    assert [(piece.mark, piece.quantity) for piece in reading.sound().pieces] == [("A_1", 2)]


@pytest.mark.parametrize("form", [";;;", '"900 mm"', '"yes";"no"', "[Red]"])
def test_a_cell_that_does_not_show_its_number_is_refused(write_job: Write, form: str) -> None:
    # source: ECMA-376 part 1, 18.8.31: a section without digits shows its text alone
    content = xlsx(["A", 2, "slab", 1200, 600, 25], {4: form})
    (line,) = lines(read(write_job, "a.xlsx", content, 'unit = "mm"'))
    assert "that does not show the number" in line


def test_a_mark_is_what_its_cell_shows(write_job: Write) -> None:
    reading = read(write_job, "a.xlsx", xlsx([7, 2, "slab", 1200, 600, 25], {1: "000", 2: "00"}), 'unit = "mm"')
    assert [(piece.mark, piece.quantity) for piece in reading.sound().pieces] == [("007", 2)]


def test_one_place_in_two_spellings_is_two_columns_of_one_name(write_job: Write) -> None:
    head = ",".join([*HEAD, "layers[0].mix", "layers.0.mix"])
    content = f"{head}\nA,1,slab,1200 mm,600 mm,25 mm,face,backer-45\n"
    assert lines(read(write_job, "a.csv", content.encode())) == [
        'a.csv: has more than one column "layers.0.mix". Give every column its own name.'
    ]


@pytest.mark.parametrize(
    ("unit", "form", "wrong"),
    [
        ("mm", '0" in"', True),
        ("mm", '0" cm"', False),
        ("in", '0" ft"', False),
        ("ft", '0" mm"', True),
        ("mm", "0", False),
    ],
)
def test_a_cell_that_shows_the_other_system_of_units_than_its_head_is_asked_about(
    write_job: Write, unit: str, form: str, wrong: bool
) -> None:
    new = xlsx(["A", 1, "slab", 12, "600 mm", "25 mm"], {4: form})
    headed = part_of(new, SHEET).replace(b"shape.length", b"shape.length (%s)" % unit.encode())
    found = lines(read(write_job, "a.xlsx", packed_with(new, SHEET, headed)))
    assert ["contradicts the head of its column" in line for line in found] == ([True] if wrong else [])
