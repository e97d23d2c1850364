"""Schedules as shops send them: units, decimal signs, sheets, title rows, formulas and dates."""

import re
from collections.abc import Callable
from datetime import date
from io import BytesIO
from pathlib import Path
from typing import Any
from zipfile import ZIP_DEFLATED, ZipFile

import pytest
from openpyxl import Workbook

from estimator.intake.read import read_job
from estimator.words import PLAIN

Write = Callable[[str], Path]
HEAD = ["mark", "quantity", "shape.kind", "shape.length", "shape.width", "shape.thickness"]
JOB = '[job]\nname = "Tops"\nmix = "backer-45"\nwaste = 0.05\nunits = "metric"\n[[schedule]]\nfile = "{file}"\n{more}\n'


def csv_job(write_job: Write, rows: str, more: str = "", delimiter: str = ",") -> Any:
    path = write_job(JOB.format(file="tops.csv", more=more))
    (path.parent / "tops.csv").write_text(delimiter.join(HEAD) + "\n" + rows + "\n", encoding="utf-8")
    return read_job(path)


def xlsx_job(write_job: Write, fill: Callable[[Workbook], None], more: str = "") -> Any:
    path = write_job(JOB.format(file="tops.xlsx", more=more))
    book = Workbook()
    fill(book)
    book.save(path.parent / "tops.xlsx")
    return read_job(path)


def sizes(reading: Any) -> list[tuple[float, ...]]:
    shapes = [each.shape for each in reading.sound().pieces]
    return [(shape.length_m, shape.width_m, shape.thickness_m) for shape in shapes]


def lines(reading: Any) -> list[str]:
    return [str(each) for each in reading.faults]


@pytest.mark.parametrize("unit", ["", 'unit = "mm"'])
def test_a_point_before_three_digits_of_millimeters_is_refused(write_job: Write, unit: str) -> None:
    text = "1.200" if unit else "1.200 mm"
    (line,) = lines(csv_job(write_job, f"A,1,slab,{text},600 mm,25 mm", unit))
    fix = 'Add decimal = "point" or decimal = "comma" to [[schedule]].'
    assert line == f'tops.csv: row 2, piece A, shape.length: "{text}" could be 1.2 mm or 1200 mm. {fix}'


def test_inches_and_other_counts_of_digits_are_read(write_job: Write) -> None:
    found = csv_job(write_job, "A,1,slab,48.125 in,600.5 mm,1.125 in")
    assert sizes(found) == [pytest.approx((48.125 * 0.0254, 0.6005, 1.125 * 0.0254))]


@pytest.mark.parametrize("length", ["1.00,5", "1,000.5", "1250.5", "1.0005", "1.000.5", "1000,5.0", ".5", "0.600"])
def test_points_in_a_table_with_a_stated_decimal_comma_part_thousands_alone(write_job: Write, length: str) -> None:
    (fault,) = csv_job(write_job, f"A;1;slab;{length};600;25", 'unit = "mm"\ndecimal = "comma"', ";").faults
    assert f'"{length}" is not a number with a decimal comma' in str(fault)


def test_a_stated_decimal_sign_settles_it(write_job: Write) -> None:
    point = csv_job(write_job, "A,1,slab,1200.000 mm,600.250 mm,25 mm", 'decimal = "point"')
    assert sizes(point) == [pytest.approx((1.2, 0.60025, 0.025))]
    comma = csv_job(write_job, "A;1;slab;1.200 mm;1.600,5 mm;25,5 mm", 'decimal = "comma"', ";")
    assert sizes(comma) == [pytest.approx((1.2, 1.6005, 0.0255))]


def test_the_unit_of_a_schedule_applies_to_its_bare_lengths(write_job: Write) -> None:
    assert sizes(csv_job(write_job, "A,2,slab,1200,600.5,1 in", 'unit = "mm"')) == [
        pytest.approx((1.2, 0.6005, 0.0254))
    ]
    found = csv_job(write_job, "7,2,slab,49,22-1/2,3/4", 'unit = "in"')
    assert sizes(found) == [pytest.approx((49 * 0.0254, 22.5 * 0.0254, 0.75 * 0.0254))]
    assert (found.sound().pieces[0].mark, found.sound().pieces[0].quantity) == ("7", 2)
    comma = csv_job(write_job, "A;1;slab;1200,5;600;25", 'unit = "mm"\ndecimal = "comma"', ";")
    assert sizes(comma) == [pytest.approx((1.2005, 0.6, 0.025))]


def test_units_in_the_number_format_of_a_cell_are_read(write_job: Write) -> None:
    def fill(book: Workbook) -> None:
        sheet = book.active
        sheet.append(HEAD)
        sheet.append(["A", 2, "slab", 1200.125, 24, 25])
        for column, form in (("B", '0" pcs"'), ("D", '0.0" mm"'), ("E", r'#,##0\ "in"'), ("F", r"0\m\m")):
            sheet[f"{column}2"].number_format = form

    assert sizes(xlsx_job(write_job, fill)) == [pytest.approx((1.200125, 24 * 0.0254, 0.025))]


def two_sheets(book: Workbook) -> None:
    book.active.title = "Notes"
    book.active.append(["nothing here"])
    sheet = book.create_sheet("Tops")
    sheet.append(["Boathouse, second floor"])
    sheet.append([])
    sheet.append(["as agreed", "in mm"])
    sheet.append(HEAD)
    sheet.append(["A", 1, "slab", "1200 mm", "600 mm", "25 mm"])


def test_a_sheet_is_chosen_by_name_and_title_rows_are_passed_over(write_job: Write) -> None:
    assert len(xlsx_job(write_job, two_sheets, 'sheet = "tops"').sound().pieces) == 1
    assert lines(xlsx_job(write_job, two_sheets, 'sheet = "Top"')) == [
        'tops.xlsx: has no sheet "Top". Its sheets are "Notes" and "Tops".'
    ]
    (line,) = lines(xlsx_job(write_job, two_sheets))
    assert line.startswith(
        "tops.xlsx: has no head row with `mark`. Name the columns in one row, such as Mark, Qty, Length, Width, "
        "Thickness."
    )
    (line,) = lines(csv_job(write_job, "A,1,slab,1200 mm,600 mm,25 mm", 'sheet = "Tops"'))
    assert "is not a workbook" in line
    titled = write_job(JOB.format(file="titled.csv", more=""))
    text = "Second floor;;\n\n" + ";".join(HEAD) + "\nA;1;slab;1200 mm;600 mm;25 mm\n"
    (titled.parent / "titled.csv").write_text(text, encoding="utf-8")
    assert len(read_job(titled).sound().pieces) == 1


def test_a_formula_without_its_result_and_a_date_are_refused_in_one_line_each(write_job: Write) -> None:
    def fill(book: Workbook) -> None:
        book.active.append(HEAD)
        book.active.append(["A", "=1+1", "slab", "1200 mm", "600 mm", date(2026, 3, 4)])

    first, second = lines(xlsx_job(write_job, fill))
    assert first.startswith(
        "tops.xlsx: row 2, piece A, quantity: Cell B2 has the formula =1+1 without a result. Open"
        " the workbook, save it, and try again. Or type the value."
    )
    assert second.startswith("tops.xlsx: row 2, piece A, shape.thickness: Cell F2 is a date (2026-03-04)")


def test_a_column_in_both_spellings_is_refused_in_one_line(write_job: Write) -> None:
    path = write_job(JOB.format(file="tops.csv", more=""))
    head = ",".join([*HEAD, "shape.miter_left", "shape.mitre_left"])
    rows = "\n".join(f"{mark},1,slab,1200 mm,600 mm,25 mm,45,45" for mark in "AB")
    (path.parent / "tops.csv").write_text(f"{head}\n{rows}\n", encoding="utf-8")
    found = [line for line in lines(read_job(path)) if "same key" in line]
    assert found == [
        "tops.csv: row 2, piece A, shape.mitre_left: `miter_left` and `mitre_left` are the same key. Keep one of them."
    ]


def test_a_size_without_its_shape_is_suggested_with_it(write_job: Write) -> None:
    path = write_job(JOB.format(file="tops.csv", more=""))
    (path.parent / "tops.csv").write_text("mark,shape.kind,base\nA,box,20 mm\n", encoding="utf-8")
    assert 'tops.csv: column "base": is not known. Did you mean `shape.base`?' in lines(read_job(path))


@pytest.mark.parametrize(
    ("head", "row", "kind"),
    [
        ("Mark,Qty,Length (MM),Width (mm),Thk (mm)", "A,2,1200,600,25", "Slab"),
        ("PIECE;Pcs;LENGTH;HEIGHT;SKIN;REMARKS", "A;2;1200 mm;600 mm;13 mm;by the door", "Panel"),
        ("Piece mark,Quantity,Shape,Length,Width,Height,Wall", "A,2,box,900 mm,400 mm,450 mm,20 mm", "Box"),
        ("mark,Shape.Length,shape.width,SHAPE.THICKNESS,quantity", "A,1200 mm,600 mm,25 mm,2", "Slab"),
        ("Type,Qty,Length,Height,Skin", "A,2,1200 mm,600 mm,13 mm", "Panel"),
        ("Ref.,Qty,Length,Width,Thickness", "A,2,1200 mm,600 mm,25 mm", "Slab"),
        ("Mark,Qty,Length,Height,Thickness", "A,2,1200 mm,600 mm,13 mm", "Panel"),
        ("Mark,Qty,Width,Height,Thickness", "A,2,1200 mm,600 mm,13 mm", "Panel"),
    ],
)
def test_the_heads_of_a_shop_list_name_columns(write_job: Write, head: str, row: str, kind: str) -> None:
    # common practice: what a list of pieces is headed in a shop
    path = write_job(JOB.format(file="list.csv", more=""))
    (path.parent / "list.csv").write_text(f"Second floor\n{head}\n{row}\n", encoding="utf-8")
    (piece,) = read_job(path).sound().pieces
    assert (piece.mark, piece.quantity, type(piece.shape).__name__) == ("A", 2, kind)
    assert piece.shape.length_m in (1.2, 0.9)


def test_a_kind_of_shape_is_asked_for_where_the_sizes_leave_it_open(write_job: Write) -> None:
    path = write_job(JOB.format(file="list.csv", more=""))
    (path.parent / "list.csv").write_text(
        "Mark,Length,Width,Height,Thickness\nA,1.2 m,0.6 m,0.4 m,13 mm\n", encoding="utf-8"
    )
    (line,) = lines(read_job(path))
    assert line.startswith("list.csv: row 2, piece A, shape: `kind` is missing.")
    assert "In a list, add a column Shape with slab, panel or box." in line


def test_two_heads_for_one_column_are_refused(write_job: Write) -> None:
    path = write_job(JOB.format(file="list.csv", more=""))
    (path.parent / "list.csv").write_text("Mark,Qty,Count\nA,1,2\n", encoding="utf-8")
    assert lines(read_job(path)) == ['list.csv: has more than one column "quantity". Give every column its own name.']


def test_a_pdf_is_not_read_as_a_table(write_job: Write) -> None:
    path = write_job(JOB.format(file="tops.pdf", more=""))
    (path.parent / "tops.pdf").write_bytes(b"%PDF-1.7\nmark,quantity\n")
    assert lines(read_job(path)) == [
        "tops.pdf: is not a workbook. Save it again as CSV (UTF-8), XLSX or ODS, without a password."
    ]


# Hostile or damaged workbooks: each is refused in one line, before it is unpacked or read to its end.

ROW = ["A", 1, "slab", 20, 10, 10]
ENTITIES = b'<!DOCTYPE x [<!ENTITY a0 "lol">%s]>' % b"".join(
    b'<!ENTITY a%d "%s">' % (n, b"&a%d;" % (n - 1) * 10) for n in range(1, 10)
)


def edited(write_job: Write, edit: Callable[[bytes], bytes], part: str = "xl/worksheets/sheet1.xml") -> Any:
    """A schedule whose workbook has one part changed by hand."""
    path = write_job(JOB.format(file="tops.xlsx", more='unit = "mm"'))
    book = Workbook()
    book.worksheets[0].append(HEAD)
    book.worksheets[0].append(ROW)
    book.save(whole := BytesIO())
    with ZipFile(whole) as old, ZipFile(path.parent / "tops.xlsx", "w", ZIP_DEFLATED) as new:
        for name in old.namelist():
            content = old.read(name)
            new.writestr(name, edit(content) if name == part else content)
    return read_job(path)


FAR = b"".join(b'<row r="%d"><c r="XFD%d"/></row>' % (row, row) for row in range(3, 400))
"""Blank cells in the last column, each of which the library fills up with 16,383 others."""


def with_bomb(root: bytes, at: bytes) -> Callable[[bytes], bytes]:
    return lambda xml: ENTITIES + xml[xml.index(root) :].replace(at, b"&a9;")


@pytest.mark.parametrize(
    ("edit", "said"),
    [
        (with_bomb(b"<worksheet", b"20"), "cannot be read as XLSX (ParseError"),
        (lambda xml: xml.replace(b"<v>20</v>", b"<v>nan</v>"), 'should hold a number holds "nan"'),
        (lambda xml: xml.replace(b"<v>20</v>", b"<v>%s</v>" % (b"9" * 10000)), "cannot be read as XLSX (ValueError"),
        (lambda xml: xml.replace(b'"F2"', b'"ZZZZZZ2"'), "cannot be read as XLSX (ValueError"),
        (lambda xml: xml.replace(b'"D2"', b'"ZZZZZZ2"'), "Cell E2 stands twice, or after a cell to the right of it"),
        (lambda xml: xml.replace(b'r="E2"', b'r="D2"'), "Cell D2 stands twice"),
        (lambda xml: xml.replace(b'<row r="2"', b'<row r="1"'), "Row 1 stands after row 1"),
        (lambda xml: xml.replace(b'<row r="2"', b'<row r="-2"'), '"-2" is not a row or a cell'),
        (lambda xml: xml.replace(b'r="D2"', b'r="d2"'), '"d2" is not a row or a cell'),
        (lambda xml: xml.replace(b"</sheetData>", FAR + b"</sheetData>"), "has more than 5,000,000 cells or styles"),
        (lambda xml: xml[: len(xml) // 2], "cannot be read as XLSX (ParseError"),
        (
            lambda xml: xml.replace(b"<sheetData>", b" " * 20_000_000 + b"<sheetData>"),
            "times its size. At most 100 times are read",
        ),
        (lambda xml: xml.replace(b'<row r="2"', b'<row r="999999999"'), "has more than 100,000 rows"),
    ],
)
def test_a_hostile_or_damaged_workbook_is_refused_in_one_line(
    write_job: Write, edit: Callable[[bytes], bytes], said: str
) -> None:
    (line,) = lines(edited(write_job, edit))
    assert said in line


def test_a_workbook_with_too_many_sheets_is_refused_in_one_line(write_job: Write) -> None:
    def more(xml: bytes) -> bytes:
        (sheet,) = re.findall(rb"<sheet .*?/>", xml)
        return xml.replace(sheet, b"".join(sheet.replace(b'"Sheet"', b'"S%d"' % i) for i in range(1001)))

    (line,) = lines(edited(write_job, more, "xl/workbook.xml"))
    assert "has 1,001 sheets. At most 1,000 are read" in line
    assert "--limit sheets=2000" in line


def test_entities_in_the_list_of_sheets_are_refused_in_one_line(write_job: Write) -> None:
    (line,) = lines(edited(write_job, with_bomb(b"<workbook", b"Sheet"), "xl/workbook.xml"))
    assert "cannot be read as XLSX" in line


def test_rows_beyond_the_stated_size_of_the_sheet_count(write_job: Write) -> None:
    reading = edited(write_job, lambda xml: xml.replace(b'ref="A1:F2"', b'ref="A1:F1"'))
    assert sizes(reading) == [(0.02, 0.01, 0.01)]


@pytest.mark.parametrize(
    ("row", "column", "said"),
    [
        (1048576, 16384, "has more than 100,000 rows"),
        (1048576, 1, "has more than 100,000 rows"),
        (2, 16384, "has 16,384 columns. At most 200"),
    ],
)
def test_a_single_cell_in_a_far_corner_is_refused_in_one_line(
    write_job: Write, row: int, column: int, said: str
) -> None:
    def fill(book: Workbook) -> None:
        book.worksheets[0].append(HEAD)
        book.worksheets[0].append(ROW)
        book.worksheets[0].cell(row, column, "x")

    (line,) = lines(xlsx_job(write_job, fill))
    assert said in line


def test_ten_thousand_digits_are_refused_in_one_line(write_job: Write) -> None:
    assert len(lines(csv_job(write_job, f"A,{'9' * 10000},slab,20 mm,10 mm,1 mm"))) == 1


@pytest.mark.parametrize("cell", ["left, right", "[left, right]", '["left", "right"]', "left; right"])
def test_a_cell_may_hold_a_list(write_job: Write, cell: str) -> None:
    def fill(book: Workbook) -> None:
        book.worksheets[0].append(
            ["mark", "shape.kind", "shape.length", "shape.height", "shape.skin"]
            + [f"shape.returns[0].{key}" for key in ("sides", "depth", "thickness")]
        )
        book.worksheets[0].append(["F1", "panel", "1200 mm", "900 mm", "20 mm", cell, "60 mm", "20 mm"])

    (piece,) = xlsx_job(write_job, fill).sound().pieces
    assert piece.shape.returns[0].sides == ("left", "right")


def test_a_list_of_edges_may_hold_numbers_and_sides(write_job: Write) -> None:
    def fill(book: Workbook) -> None:
        drop = [f"shape.drop_edges[0].{key}" for key in ("edges", "height", "thickness")]
        book.worksheets[0].append([*HEAD, *drop])
        book.worksheets[0].append(["A", 1, "slab", "900 mm", "600 mm", "25 mm", "front, 2", "60 mm", "25 mm"])

    (piece,) = xlsx_job(write_job, fill).sound().pieces
    assert piece.shape.drop_edges[0].edges == ("front", 2)


def test_a_row_that_begins_with_a_hash_is_a_piece_and_is_told_of(write_job: Write) -> None:
    # "#1" is a usual mark of a piece, so no row is taken for a remark
    found = csv_job(
        write_job, "A,1,slab,1.2 m,600 mm,25 mm\n# B,1,slab,1.2 m,600 mm,25 mm\n#3,1,slab,1.2 m,600 mm,25 mm"
    )
    assert [piece.mark for piece in found.sound().pieces] == ["A", "# B", "#3"]
    (told,) = [note.text for note in found.sound().warnings if note.id == "file-mended"]
    assert "2 rows that begin with # count as pieces (rows 3, 4)." in PLAIN.text(told)
    every = csv_job(write_job, "#1,1,slab,1.2 m,600 mm,25 mm\n#2,1,slab,1.2 m,600 mm,25 mm")
    assert not [note for note in every.sound().warnings if note.id == "file-mended"]


def test_a_remark_line_is_refused_as_one(write_job: Write) -> None:
    (line,) = lines(csv_job(write_job, "A,1,slab,1.2 m,600 mm,25 mm\n# for the second floor"))
    assert line.startswith('tops.csv: row 3: "# for the second floor" has a mark and nothing else. Fill in the row, or')
