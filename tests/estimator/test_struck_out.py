"""What a shop has struck out in a workbook is asked about: the row may be cancelled, or an entry replaced."""

import zipfile
from collections.abc import Callable
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
import xlwt
from openpyxl import Workbook
from openpyxl.cell.rich_text import CellRichText, TextBlock
from openpyxl.cell.text import InlineFont
from openpyxl.formatting.rule import FormulaRule
from openpyxl.styles import Font

from estimator.intake.cells import open_cells
from estimator.intake.read import read_job
from geometry.files import InputFile, Limits

Write = Callable[[str], Path]
JOB = '[job]\nname = "Tops"\nmix = "backer-45"\nunits = "metric"\n[[schedule]]\nfile = "{name}"\nunit = "mm"\n'
HEAD = ["mark", "quantity", "shape.kind", "shape.length", "shape.width", "shape.thickness"]
ROWS = [["C1", 1, "slab", 1200, 600, 25], ["C2", 2, "slab", 900, 600, 25], ["C3", 1, "slab", 700, 600, 25]]
STRUCK = {(2, 0), (2, 3), (3, 1)}  # cells of C2, and the quantity of C3: row and column, from 0


def faults(write_job: Write, name: str, content: bytes) -> list[str]:
    path = write_job(JOB.format(name=name))
    (path.parent / name).write_bytes(content)
    return [str(fault) for fault in read_job(path).faults]


def xlsx(struck: set[tuple[int, int]] = STRUCK, change: Callable[[Any], None] = lambda _: None) -> bytes:
    book, content = Workbook(), BytesIO()
    sheet = book.active
    for row in [HEAD, *ROWS]:
        sheet.append(row)
    for row, column in struck:
        sheet.cell(row + 1, column + 1).font = Font(strike=True)
    sheet["I9"].font = Font(strike=True)  # an empty cell
    change(sheet)
    book.save(content)
    return content.getvalue()


def xls(struck: set[tuple[int, int]] = STRUCK) -> bytes:
    book, content = xlwt.Workbook(), BytesIO()
    sheet = book.add_sheet("Tops")
    line = xlwt.easyxf("font: struck_out on")
    for r, row in enumerate([HEAD, *ROWS]):
        for c, value in enumerate(row):
            sheet.write(r, c, value, *([line] if (r, c) in struck else []))
    book.save(content)
    return content.getvalue()


NAMES = " ".join(
    f'xmlns:{short}="urn:oasis:names:tc:opendocument:xmlns:{name}:1.0"'
    for short, name in (("office", "office"), ("table", "table"), ("text", "text"), ("style", "style"))
)
CONTENT = """<office:document-content {names}><office:automatic-styles>
<style:style style:name="plain" style:family="table-cell"/>
<style:style style:name="line" style:family="table-cell" style:parent-style-name="{above}">{properties}</style:style>
<style:style style:name="run" style:family="text"><style:text-properties style:text-line-through-style="solid"/>
</style:style></office:automatic-styles><office:body><office:spreadsheet><table:table table:name="Tops">
<table:table-column table:number-columns-repeated="5"/><table:table-column table:default-cell-style-name="{column}"/>
{rows}</table:table></office:spreadsheet></office:body></office:document-content>"""
STYLES = """<office:document-styles {names}><office:styles><style:style style:name="cancelled"
 style:family="table-cell"><style:text-properties style:text-line-through-type="single"/></style:style>
</office:styles></office:document-styles>"""
LINE = '<style:text-properties style:text-line-through-style="solid"/>'


def ods(
    struck: set[tuple[int, int]] = STRUCK, above: str = "", properties: str = LINE, column: str = "", run: str = ""
) -> bytes:
    lines = []
    for r, row in enumerate([HEAD, *ROWS]):
        line = ""
        for c, value in enumerate(row):
            style = ' table:style-name="line"' if (r, c) in struck else "" if column else ' table:style-name="plain"'
            kind = "float" if isinstance(value, int) else "string"
            shown = f'<text:span text:style-name="run">{run}</text:span>{value}' if run and r == c == 2 else value
            own = f' office:value="{value}"' if kind == "float" else ""
            line += (
                f'<table:table-cell{style} office:value-type="{kind}"{own}><text:p>{shown}</text:p></table:table-cell>'
            )
        lines.append(f"<table:table-row>{line}</table:table-row>")
    content = BytesIO()
    with zipfile.ZipFile(content, "w") as archive:
        archive.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        text = CONTENT.format(names=NAMES, rows="".join(lines), above=above, properties=properties, column=column)
        archive.writestr("content.xml", text)
        archive.writestr("styles.xml", STYLES.format(names=NAMES))
    return content.getvalue()


ASKED = "Rows 3, 4 hold text that is struck out. Delete what is cancelled, or take the line away."


@pytest.mark.parametrize(("name", "make"), [("tops.xlsx", xlsx), ("tops.xls", xls), ("tops.ods", ods)])
def test_rows_that_are_struck_out_are_asked_about(write_job: Write, name: str, make: Callable[..., bytes]) -> None:
    assert faults(write_job, name, make()) == [f"{name}: {ASKED}"]
    assert faults(write_job, name, make(set())) == []
    for mb in (20, 0):
        assert open_cells(InputFile(name, make(), Limits(apart_mb=mb)), None, "mark").unseen.struck == {3, 4}


MAIN = b"http://schemas.openxmlformats.org/spreadsheetml/2006/main"
SHARED = b'<sst xmlns="%s"><si><r><rPr><strike/></rPr><t>C0</t></r><r><t> C1</t></r></si></sst>' % MAIN
SHARED_TYPE = (
    b'<Override PartName="/xl/strings.xml" ContentType="application/vnd.openxmlformats-officedocument.'
    b'spreadsheetml.sharedStrings+xml"/>'
)


def test_a_piece_of_text_that_is_struck_out_is_asked_about(write_job: Write) -> None:
    def replace_quantity(sheet: Any) -> None:
        old = TextBlock(InlineFont(strike=True), "3")
        sheet["B2"] = CellRichText(old, " 4")  # a reader of plain text sees "3 4"

    [line] = faults(write_job, "tops.xlsx", xlsx(set(), replace_quantity))
    assert line.startswith("tops.xlsx: Row 2 holds text that is struck out.")
    changes = {
        "xl/worksheets/sheet1.xml": (b't="inlineStr"><is><t>C1</t></is>', b't="s"><v>0</v>'),
        "[Content_Types].xml": (b"</Types>", SHARED_TYPE + b"</Types>"),
    }
    shared = BytesIO()
    with zipfile.ZipFile(BytesIO(xlsx(set()))) as old, zipfile.ZipFile(shared, "w") as new:
        for part in old.namelist():
            new.writestr(part, old.read(part).replace(*changes.get(part, (b"", b""))))
        new.writestr("xl/strings.xml", SHARED)
    [line] = faults(write_job, "tops.xlsx", shared.getvalue())
    assert line.startswith("tops.xlsx: Row 2 holds text that is struck out.")


@pytest.mark.parametrize(
    "content",
    [
        ods(above="cancelled", properties=""),
        ods({(2, 2), (3, 2)}, properties='<style:text-properties style:text-line-through-type="double"/>'),
    ],
)
def test_a_style_strikes_out_by_what_it_rests_on(write_job: Write, content: bytes) -> None:
    assert faults(write_job, "tops.ods", content) == [f"tops.ods: {ASKED}"]


def test_a_style_may_take_the_line_away(write_job: Write) -> None:
    none = '<style:text-properties style:text-line-through-style="none"/>'
    assert faults(write_job, "tops.ods", ods(above="cancelled", properties=none)) == []


def test_a_column_and_a_run_of_text_may_be_struck_out(write_job: Write) -> None:
    [line] = faults(write_job, "tops.ods", ods(set(), column="line"))
    assert line.startswith("tops.ods: Rows 1, 2, 3 and 1 more hold text that is struck out.")
    [line] = faults(write_job, "tops.ods", ods(set(), run="panel "))
    assert line.startswith("tops.ods: Row 3 holds text that is struck out.")


def test_a_rule_that_may_strike_out_is_reported(write_job: Write) -> None:
    def add_rule(sheet: Any) -> None:
        sheet.conditional_formatting.add("A1:F9", FormulaRule(formula=['$G1="cancelled"'], font=Font(strike=True)))

    path = write_job(JOB.format(name="tops.xlsx"))
    (path.parent / "tops.xlsx").write_bytes(xlsx(set(), add_rule))
    notes = [notice.text for notice in read_job(path).job.warnings if notice.id == "file-mended"]
    assert [dict(note.values)["text"].id for note in notes] == ["table-rules-strike"]
