"""Tables as people paste and save them: encodings, columns, decimal signs, units in heads, cells and cell formats."""

import re
import struct
import zipfile
from collections.abc import Callable
from datetime import date
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
import xlwt
from openpyxl import Workbook
from openpyxl.worksheet.formula import ArrayFormula

from estimator.intake import cells
from estimator.intake.read import read_job
from geometry.apart import apart
from geometry.files import InputFile, Limits
from tests.fuzz_readers import SEEDS

Write = Callable[[str], Path]
HEAD = ["mark", "quantity", "shape.kind", "shape.length", "shape.width", "shape.thickness"]
JOB = '[job]\nname = "Tops"\nmix = "backer-45"\nwaste = 0.05\nunits = "metric"\n[[schedule]]\nfile = "{file}"\n{more}\n'
INCH = 0.0254


def read(write_job: Write, name: str, content: bytes, more: str = "") -> Any:
    path = write_job(JOB.format(file=name, more=more))
    (path.parent / name).write_bytes(content)
    return read_job(path)


def sizes(reading: Any) -> list[tuple[float, ...]]:
    return [(piece.shape.length_m, piece.shape.width_m, piece.shape.thickness_m) for piece in reading.sound().pieces]


def lines(reading: Any) -> list[str]:
    return [str(fault) for fault in reading.faults]


# Text

MM = "\t".join(HEAD) + "\nTür\t2\tslab\t1200 mm\t600 mm\t25 mm\n"


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be"])
@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
def test_a_pasted_table_is_read_in_every_unicode_encoding(write_job: Write, encoding: str, ending: str) -> None:
    marks = {"utf-16-le": b"\xff\xfe", "utf-16-be": b"\xfe\xff"}
    content = marks.get(encoding, b"") + MM.replace("\n", ending).encode(encoding)
    reading = read(write_job, "tops.txt", content)
    assert [(piece.mark, piece.quantity) for piece in reading.sound().pieces] == [("Tür", 2)]
    assert sizes(reading) == [(1.2, 0.6, 0.025)]
    assert [notice.id for notice in reading.job.warnings if notice.id == "file-mended"] == []


def test_windows_text_is_read_with_a_warning(write_job: Write) -> None:
    reading = read(write_job, "tops.csv", MM.replace("\t", ",").encode("cp1252"))
    assert reading.sound().pieces[0].mark == "Tür"
    (notice,) = [notice for notice in reading.job.warnings if notice.id == "file-mended"]
    assert "table-encoding-guess" in str(notice.text)


@pytest.mark.parametrize(
    "content", [b"mark,quantity\n\x81\x8d\xff,1\n", b"mark\0,quantity\n", "mark".encode("utf-16-le")]
)
def test_a_file_that_is_not_text_is_refused_in_one_line(write_job: Write, content: bytes) -> None:
    assert lines(read(write_job, "tops.csv", content)) == ["tops.csv: The file is not text. Save it as UTF-8."]


@pytest.mark.parametrize("mark", [";", ",", "\t", "|"])
def test_a_first_line_states_the_delimiter(write_job: Write, mark: str) -> None:
    table = f"sep={mark}\r\n" + MM.replace("\t", mark).replace("\n", "\r\n")
    assert sizes(read(write_job, "tops.csv", table.encode())) == [(1.2, 0.6, 0.025)]
    wrong = table.replace("1200 mm", "1200")
    (line,) = lines(read(write_job, "tops.csv", wrong.encode()))
    assert line.startswith("tops.csv: row 2, piece Tür, shape.length")  # the row number of a spreadsheet


def table(rows: str, delimiter: str = ";", head: list[str] = HEAD) -> bytes:
    return (delimiter.join(head) + "\n" + rows + "\n").encode()


@pytest.mark.parametrize("delimiter", [";", "\t"])
def test_a_decimal_comma_is_read_where_no_comma_parts_columns(write_job: Write, delimiter: str) -> None:
    rows = "A;1;slab;1200,5 mm;600 mm;25,4 mm".replace(";", delimiter)
    assert sizes(read(write_job, "tops.csv", table(rows, delimiter))) == [pytest.approx((1.2005, 0.6, 0.0254))]


def test_a_comma_in_text_is_no_decimal_sign(write_job: Write) -> None:
    rows = "A;1;slab;1200.5 mm;600 mm;25.4 mm;2,5 m up"
    reading = read(write_job, "tops.csv", table(rows, head=[*HEAD, "note"]))
    assert sizes(reading) == [pytest.approx((1.2005, 0.6, 0.0254))]
    rows = "A;1;slab;1200,5 mm;600 mm;25 mm;2,5 m up"
    assert read(write_job, "tops.csv", table(rows, head=[*HEAD, "note"])).sound().pieces[0].note == "2,5 m up"


@pytest.mark.parametrize(
    ("cell", "said"),
    [
        ("1.200,5 mm", "has more than one point or comma. Write the number without signs between thousands"),
        ("1,200.5 mm", "has more than one point or comma"),
        ("1,200,000 mm", "has more than one point or comma"),
        ("1,200 mm", "could be 1.200 mm or 1200 mm. Write 1200 mm or 1.200 mm, or add decimal"),
        ("1.200 mm", "could be 1.2 mm or 1200 mm"),
        ("1 200 mm", '"1 200 mm"'),
        ("1 200 mm", '"1'),
        ("1e3 mm", '"1e3 mm"'),
    ],
)
def test_a_number_that_could_be_read_two_ways_is_refused(write_job: Write, cell: str, said: str) -> None:
    (line,) = lines(read(write_job, "tops.csv", table(f"A;1;slab;{cell};600 mm;25 mm")))
    assert line.startswith("tops.csv: row 2, piece A, shape.length: ")
    assert said in line


def test_a_table_that_writes_its_numbers_both_ways_is_refused(write_job: Write) -> None:
    (line,) = lines(read(write_job, "tops.csv", table("A;1;slab;1200,5 mm;600.5 mm;25 mm")))
    assert line.startswith(
        'tops.csv: has numbers with a decimal comma ("1200,5 mm") and with a decimal point ("600.5 mm").'
    )
    assert not lines(read(write_job, "tops.csv", table("A;1;slab;1200,5 mm;600 mm;25 mm"), 'decimal = "comma"'))


def test_a_comma_between_columns_is_never_a_decimal_sign(write_job: Write) -> None:
    (line,) = lines(read(write_job, "tops.csv", table('A,1,slab,"1200,5 mm",600 mm,25 mm', ",")))
    assert "shape.length" in line


@pytest.mark.parametrize("form", ["{} (mm)", "{} [mm]", "{}, mm", "{} mm", "{} in mm", "{}/mm", "{}(mm)"])
def test_a_head_names_the_unit_of_its_column(write_job: Write, form: str) -> None:
    head = [*HEAD[:3], *map(form.format, HEAD[3:])]
    assert sizes(read(write_job, "tops.csv", table("A;1;slab;1200;600,5;1 in", head=head))) == [
        pytest.approx((1.2, 0.6005, INCH))
    ]
    assert sizes(read(write_job, "tops.csv", table("A;1;slab;1200;600;25", head=head), 'unit = "in"')) == [
        pytest.approx((1.2, 0.6, 0.025))
    ]


def test_a_head_in_inches_takes_fractions(write_job: Write) -> None:
    head = [*HEAD[:3], *(f"{name} (in)" for name in HEAD[3:])]
    reading = read(write_job, "tops.txt", table("A\t1\tslab\t49-1/2\t25½\t3/4", "\t", head))
    assert sizes(reading) == [pytest.approx((49.5 * INCH, 25.5 * INCH, 0.75 * INCH))]


def test_a_head_may_name_a_percentage_and_a_mass(write_job: Write) -> None:
    head = [*HEAD, "waste (%)", "inserts.0.name", "inserts.0.mass (kg)"]
    reading = read(write_job, "tops.csv", table("A;1;slab;1200 mm;600 mm;25 mm;7,5;frame;11", head=head))
    (piece,) = reading.sound().pieces
    assert piece.inserts[0].mass_kg == 11
    assert piece.waste == pytest.approx(0.075)


def test_a_head_with_a_unit_of_another_kind_is_refused(write_job: Write) -> None:
    head = [*HEAD[:3], "shape.length (kg)", *HEAD[4:]]
    (line,) = lines(read(write_job, "tops.csv", table("A;1;slab;1200;600 mm;25 mm", head=head)))
    assert line.startswith("tops.csv: row 2, piece A, shape.length")


# Workbooks

FORMATS = ('0.0" mm"', r'#,##0\ "in"', r"0\m\m")


def xlsx(cells: list[Any], formats: dict[int, str]) -> bytes:
    book = Workbook()
    sheet = book.worksheets[0]
    sheet.append(HEAD)
    sheet.append(cells)
    for column, form in formats.items():
        sheet.cell(2, column).number_format = form
    book.save(content := BytesIO())
    return content.getvalue()


def xls(cells: list[Any], formats: dict[int, str]) -> bytes:
    book = xlwt.Workbook()
    sheet = book.add_sheet("Sheet")
    for column, name in enumerate(HEAD):
        sheet.write(0, column, name)
    for column, value in enumerate(cells, start=1):
        form = formats.get(column, "yyyy-mm-dd" if isinstance(value, date) else "General")
        formula = isinstance(value, str) and value.startswith("=")
        style = xlwt.easyxf(num_format_str=form)
        sheet.write(1, column - 1, xlwt.Formula(value[1:]) if formula else value, style)
    book.save(content := BytesIO())
    return content.getvalue()


NAMESPACES = " ".join(
    f'xmlns:{short}="urn:oasis:names:tc:opendocument:xmlns:{name}:1.0"'
    for short, name in (("office", "office"), ("table", "table"), ("text", "text"))
)


def ods(rows: str, sheets: str = "") -> bytes:
    with zipfile.ZipFile(content := BytesIO(), "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        archive.writestr(
            "content.xml",
            f'<?xml version="1.0"?><office:document-content {NAMESPACES}><office:body><office:spreadsheet>{sheets}'
            f'<table:table table:name="Tops">{rows}</table:table></office:spreadsheet></office:body>'
            "</office:document-content>",
        )
    return content.getvalue()


def text_row(cells: list[str]) -> str:
    inside = "".join(
        f'<table:table-cell office:value-type="string"><text:p>{cell}</text:p></table:table-cell>' for cell in cells
    )
    return f"<table:table-row>{inside}</table:table-row>"


def number(value: float, shown: str, kind: str = "float") -> str:
    return (
        f'<table:table-cell office:value-type="{kind}" office:value="{value}"><text:p>{shown}</text:p>'
        "</table:table-cell>"
    )


TITLE = (
    '<table:table-row table:number-rows-repeated="3"><table:table-cell table:number-columns-repeated="1024"/>'
    "</table:table-row>"
)
BLANK = TITLE.replace('"3"', '"1048570"')
STRINGS = '<table:table-cell office:value-type="string"><text:p>A</text:p></table:table-cell>{}{}'
SLAB = '<table:table-cell office:value-type="string"><text:p>slab</text:p></table:table-cell>'


def ods_piece(*lengths: str) -> str:
    return f"<table:table-row>{STRINGS.format(number(2, '2'), SLAB)}{''.join(lengths)}</table:table-row>"


LENGTHS = (number(1200.125, "1.200,1 mm"), number(24, "24 in"), number(25, "25 mm"))


def test_units_in_cell_formats_are_read_from_every_kind_of_workbook(write_job: Write) -> None:
    cells = ["A", 2, "slab", 1200.125, 24, 25]
    formats = {2: '0" pcs"', **dict(zip((4, 5, 6), FORMATS, strict=True))}
    expected = [pytest.approx((1.200125, 24 * INCH, 0.025))]
    assert sizes(read(write_job, "a.xlsx", xlsx(cells, formats))) == expected
    assert sizes(read(write_job, "a.xls", xls(cells, formats))) == expected
    content = ods(TITLE + text_row(HEAD) + ods_piece(*LENGTHS) + BLANK)
    assert sizes(read(write_job, "a.ods", content)) == expected
    assert sizes(read(write_job, "a.ods", content, 'sheet = "tops"')) == expected


@pytest.mark.parametrize(
    ("form", "said"),
    [
        ('0," mm"', "shows thousands as ones"),
        ("#,##0,", "shows thousands as ones"),
        ('0%" mm"', "shows a percentage with a unit"),
        ('0.0E+00" mm"', "shows powers of ten with a unit"),
        ('0" mm";-0" cm"', "shows another unit for negative numbers or zero"),
        ('[<1000]0" mm";0" m"', "shows another unit for negative numbers or zero"),
        ('0" planks"', '"1200 planks" has no unit that is known. Write the unit, such as 1200 mm or 1200 in.'),
    ],
)
@pytest.mark.parametrize(("name", "write"), [("a.xlsx", xlsx), ("a.xls", xls)])
def test_a_cell_format_that_hides_the_number_is_refused(
    write_job: Write, name: str, write: Callable[[list[Any], dict[int, str]], bytes], form: str, said: str
) -> None:
    content = write(["A", 2, "slab", 1200, "600 mm", "25 mm"], {4: form})
    (line,) = lines(read(write_job, name, content, 'unit = "mm"'))
    assert line.startswith(f"{name}: row 2, piece A, shape.length: ")
    assert said in line


def test_a_percentage_in_a_workbook_is_a_share(write_job: Write) -> None:
    book = Workbook()
    sheet = book.worksheets[0]
    sheet.append([*HEAD, "waste (%)"])
    sheet.append(["A", 2, "slab", "1200 mm", "600 mm", "25 mm", 0.07])
    sheet["G2"].number_format = "0%"
    book.save(content := BytesIO())
    assert read(write_job, "a.xlsx", content.getvalue()).sound().pieces[0].waste == pytest.approx(0.07)


@pytest.mark.parametrize("shown", ["1,2 m", "1.2E+03 mm", "1200% mm", "120 mm", "1200 boards"])
def test_a_cell_that_shows_another_number_than_it_holds_is_refused(write_job: Write, shown: str) -> None:
    rows = text_row(HEAD) + ods_piece(number(1200, shown), *LENGTHS[1:])
    (line,) = lines(read(write_job, "a.ods", ods(rows), 'unit = "mm"'))
    assert line.startswith("a.ods: row 2, piece A, shape.length: ")


def test_formulas_errors_and_dates_are_refused_in_one_line_each_in_every_workbook(write_job: Write) -> None:
    cells = ["A", "=1+1", "slab", "1200 mm", "600 mm", date(2026, 3, 4)]
    for name, content in (("a.xlsx", xlsx(cells, {})), ("a.xls", xls(cells, {}))):
        first, second = lines(read(write_job, name, content))
        assert first.startswith(f"{name}: row 2, piece A, quantity: Cell B2 has ")
        assert "without a result" in first
        assert "Cell F2 is a date" in second
    formula = '<table:table-cell table:formula="of:=1+1"/>'
    kept = '<table:table-cell table:formula="of:=1+1" office:value-type="float" office:value="2"><text:p>2</text:p>'
    wrong = '<table:table-cell table:formula="of:=B9" office:value-type="string"><text:p>#REF!</text:p>'
    row = ods_piece(*LENGTHS)
    two = number(2, "2")
    assert lines(read(write_job, "a.ods", ods(text_row(HEAD) + row.replace(two, f"{kept}</table:table-cell>")))) == []
    for cell, said in ((formula, "the formula =1+1 without a result"), (f"{wrong}</table:table-cell>", "error #REF!")):
        (line,) = lines(read(write_job, "a.ods", ods(text_row(HEAD) + row.replace(two, cell))))
        assert line.startswith("a.ods: row 2, piece A, quantity: Cell B2")
        assert said in line


def test_a_formula_over_many_cells_without_a_result_is_refused_in_one_line(write_job: Write) -> None:
    formula = ArrayFormula("B2:B2", "=SUM(A1:A1*1)")
    (line,) = lines(read(write_job, "a.xlsx", xlsx(["A", formula, "slab", "1200 mm", "600 mm", "25 mm"], {})))
    assert "Cell B2 has the formula =SUM(A1:A1*1) without a result" in line


def test_a_million_filled_rows_are_refused_before_they_are_parsed(write_job: Write) -> None:
    content = xlsx(["A", 2, "slab", "1200 mm", "600 mm", "25 mm"], {})
    row = b'<row><c t="n"><v>%d</v></c></row>'
    with zipfile.ZipFile(BytesIO(content)) as old, zipfile.ZipFile(new := BytesIO(), "w", zipfile.ZIP_DEFLATED) as book:
        for name in old.namelist():
            part = old.read(name)
            book.writestr(
                name, part.replace(b"</sheetData>", b"".join(map(row.__mod__, range(10**6))) + b"</sheetData>")
            )
    (line,) = lines(read(write_job, "a.xlsx", new.getvalue()))
    assert line.startswith("a.xlsx: has more than 100,000 rows")


def test_a_sheet_of_an_ods_is_chosen_by_name_and_linked_copies_do_not_count(write_job: Write) -> None:
    notes = f'<table:table table:name="Notes">{text_row(["nothing", "here"])}</table:table>'
    link = f"<table:dde-links><table:dde-link>{notes}</table:dde-link></table:dde-links>"
    content = ods(text_row(HEAD) + ods_piece(*LENGTHS), notes + link)
    assert len(read(write_job, "a.ods", content, 'sheet = "TOPS"').sound().pieces) == 1
    (line,) = lines(read(write_job, "a.ods", content, 'sheet = "Top"'))
    assert line == 'a.ods: has no sheet "Top". Its sheets are "Notes" and "Tops".'
    (line,) = lines(read(write_job, "a.ods", content))
    assert "has no head row" in line


def test_repeated_rows_are_repeated_pieces(write_job: Write) -> None:
    row = ods_piece(*LENGTHS).replace("<table:table-row>", '<table:table-row table:number-rows-repeated="2">')
    found = lines(read(write_job, "a.ods", ods(text_row(HEAD) + row)))
    assert len(found) == 1
    assert "row 3" in found[0]  # the same mark again


def repeated(what: str, times: str) -> str:
    name = f"table-{'cell ' if what == 'columns' else 'row>'}"
    more = f'{name.rstrip(" >")} table:number-{what}-repeated="{times}"{name[-1]}'
    return text_row(HEAD) + ods_piece(*LENGTHS).replace(name, more, 1)


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        (text_row(HEAD) + ods_piece(*LENGTHS).replace("row>", 'row table:number-rows-repeated="900000">', 1), "rows"),
        (text_row([*HEAD, "x"]).replace("table-cell ", 'table-cell table:number-columns-repeated="16384" ', 1), "col"),
        (BLANK + text_row(HEAD), "has more than 100,000 rows"),
        (
            text_row(HEAD) + ods_piece(*LENGTHS).replace('"2"', '"two"'),
            "Cell B2 should hold a number",
        ),
        (text_row(HEAD) + "<table:table-row>", "cannot be read as ODS (XMLSyntaxError"),
        *((repeated("columns", times), f'number-columns-repeated is "{times}"') for times in ("0", "-5", "1_0", "٣")),
        *((repeated("rows", times), f'number-rows-repeated is "{times}"') for times in ("0", "-5", "1.5", "9" * 30)),
        (text_row(HEAD) + ods_piece(number(1200, f"1{' ' * 99_999}1 mm"), *LENGTHS[1:]), "Cell D2 shows"),
    ],
)
def test_a_hostile_or_damaged_ods_is_refused_in_one_line(write_job: Write, rows: str, said: str) -> None:
    (line,) = lines(read(write_job, "a.ods", ods(rows)))
    assert said in line


def test_entities_in_an_ods_are_refused_in_one_line(write_job: Write) -> None:
    content = ods(text_row(HEAD))
    with zipfile.ZipFile(BytesIO(content)) as old, zipfile.ZipFile(new := BytesIO(), "w") as archive:
        xml = old.read("content.xml").replace(
            b"<office:document", b'<!DOCTYPE x [<!ENTITY a "lol">]><office:document', 1
        )
        archive.writestr("content.xml", xml)
    assert lines(read(write_job, "a.ods", new.getvalue())) == [
        "a.ods: defines entities of its own. Save it again as CSV (UTF-8), XLSX or ODS."
    ]


@pytest.mark.parametrize(("row", "column", "fault"), [(65535, 255, "has 256 columns"), (65535, 0, None)])
def test_a_single_cell_in_a_far_corner_of_an_xls_costs_little(
    write_job: Write, row: int, column: int, fault: str
) -> None:
    book = xlwt.Workbook()
    sheet = book.add_sheet("Tops")
    for at, name in enumerate(HEAD):
        sheet.write(0, at, name)
        sheet.write(1, at, ["A", 1, "slab", "1200 mm", "600 mm", "25 mm"][at])
    sheet.write(row, column, "A" if column else " ")
    book.save(content := BytesIO())
    found = lines(read(write_job, "a.xls", content.getvalue()))
    assert [fault in line for line in found] == ([True] if fault else [])


def test_a_workbook_is_recognized_by_its_content(write_job: Write) -> None:
    content = xlsx(["A", 2, "slab", "1200 mm", "600 mm", "25 mm"], {})
    assert len(read(write_job, "a.xls", content).sound().pieces) == 1
    assert sizes(read(write_job, "a.xls", MM.encode("utf-16"))) == [(1.2, 0.6, 0.025)]  # text under that name
    assert lines(read(write_job, "a.xlsx", MM.encode())) == [
        "a.xlsx: is not a workbook. Save it again as CSV (UTF-8), XLSX or ODS, without a password."
    ]


@pytest.mark.parametrize("name", ["table.xlsx", "table.ods"])
def test_a_workbook_that_is_large_once_unpacked_or_a_strangers_is_read_in_another_process(
    monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    content = SEEDS[name]
    with zipfile.ZipFile(BytesIO(content)) as archive:
        unpacked_mb = sum(part.file_size for part in archive.infolist()) / 1e6
    started: list[str] = []
    monkeypatch.setattr(cells, "apart", lambda read, *given: started.append(name) or apart(read, *given))

    def rows(apart_mb: float) -> list[Any]:
        return list(cells.open_cells(InputFile(name, content, Limits(apart_mb=apart_mb)), None, "mark").rows)

    here = rows(max(unpacked_mb, len(content) / 1e6) + 1e-5)
    assert here
    assert started == []
    assert rows(0) == rows(unpacked_mb) == here
    assert started == [name, name]


def stated_sizes(content: bytes, size: int) -> bytes:
    """The archive with another unpacked size stated for each part."""
    changed = bytearray(content)
    for mark, at in ((b"PK\1\2", 24), (b"PK\3\4", 22)):
        for found in re.finditer(mark, content):
            changed[found.start() + at : found.start() + at + 4] = struct.pack("<I", size)
    return bytes(changed)


def zip64(content: bytes, size: int, start: int) -> bytes:
    """The archive with a list of its parts that claims to be so long and to start there, in the 64-bit form."""
    end = content.index(b"PK\5\6")
    record = b"PK\6\6" + struct.pack("<QHHIIQQQQ", 44, 45, 45, 0, 0, 9, 9, size, start)
    locator = b"PK\6\7" + struct.pack("<IQI", 0, end, 1)
    return (
        content[:end]
        + record
        + locator
        + b"PK\5\6"
        + struct.pack("<4H2IH", 0, 0, *[2**16 - 1] * 2, *[2**32 - 1] * 2, 0)
    )


@pytest.mark.parametrize(
    "lie",
    [
        lambda content: stated_sizes(content, 10),
        lambda content: zip64(content, 2**60, 0),
        lambda content: zip64(content, 100, 2**60),
    ],
)
def test_an_archive_that_lies_about_its_parts_is_one_line(write_job: Write, lie: Callable[[bytes], bytes]) -> None:
    (line,) = lines(read(write_job, "a.xlsx", lie(xlsx(["A", 2, "slab", "1200 mm", "600 mm", "25 mm"], {}))))
    assert line.startswith("a.xlsx: The file cannot be read as ZIP")


def test_an_archive_in_a_workbook_is_never_opened(write_job: Write) -> None:
    with zipfile.ZipFile(inner := BytesIO(), "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("sheet.xml", bytes(90_000_000))
    content = BytesIO(xlsx(["A", 2, "slab", "1200 mm", "600 mm", "25 mm"], {}))
    with zipfile.ZipFile(content, "a", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/embeddings/inner.zip", inner.getvalue())
    assert sizes(read(write_job, "a.xlsx", content.getvalue())) == [(1.2, 0.6, 0.025)]
