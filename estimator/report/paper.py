"""The estimate as one PDF: pieces and weights, order, batch sheets, cost, cautions."""

from collections.abc import Sequence
from io import BytesIO
from typing import Any
from xml.sax.saxutils import escape

from reportlab.lib import colors
from reportlab.lib.pagesizes import A4, landscape, letter
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.platypus import Flowable, KeepTogether, LongTable, Paragraph, SimpleDocTemplate, Spacer

from estimator.estimate import Estimate
from estimator.report.money_tables import cost_sheet, labour_sheet
from estimator.report.tables import Sheet, batch_sheet, material_sheet, mix_sheet, piece_sheet
from estimator.report.words import DEFERRAL, EXAMPLE_PRICES, Words

BODY = ParagraphStyle("body", fontName="Helvetica", fontSize=8.5, leading=11)
FIGURE = ParagraphStyle("figure", parent=BODY, alignment=2)
HEAD = ParagraphStyle("head", parent=BODY, fontName="Helvetica-Bold")
HEAD_FIGURE = ParagraphStyle("head-figure", parent=HEAD, alignment=2)
TITLE = ParagraphStyle("title", parent=BODY, fontName="Helvetica-Bold", fontSize=16, leading=20, spaceAfter=6)
SECTION = ParagraphStyle("section", parent=TITLE, fontSize=11, leading=14, spaceBefore=10, spaceAfter=3)


def estimate_pdf(estimate: Estimate) -> bytes:
    """The paper of an estimate; the same bytes for the same estimate."""
    job = estimate.job
    words = Words(job.units, job.currency)
    page = landscape(letter if job.units == "imperial" else A4)
    buffer = BytesIO()
    paper = SimpleDocTemplate(
        buffer,
        pagesize=page,
        leftMargin=15 * mm,
        rightMargin=15 * mm,
        topMargin=15 * mm,
        bottomMargin=15 * mm,
        title=job.name,
        author="cast-estimator",
        invariant=1,
    )
    width = page[0] - 30 * mm
    story: list[Flowable] = [Paragraph(escape(job.name), TITLE)]
    for sheet in (piece_sheet(estimate, words), material_sheet(estimate, words)):
        story += _section(sheet, width)
    story.append(Paragraph(escape(EXAMPLE_PRICES), BODY))
    story += _section(mix_sheet(estimate, words), width)
    story.append(Paragraph("Batch sheets", SECTION))
    for batch in estimate.batching.batches:
        fills = f"Fills {', '.join(batch.marks)}. Mix {batch.count} of these."
        story.append(KeepTogether([*_section(batch_sheet(batch, words), width), Paragraph(escape(fills), BODY)]))
    story += _section(labour_sheet(estimate, words), width)
    story.append(KeepTogether(_section(cost_sheet(estimate, words), width / 2)))
    story.append(Paragraph("Cautions", SECTION))
    for caution in estimate.cautions:
        told = caution.caution
        heading = f"<b>{escape(told.severity.upper())}</b> {escape(told.text)}"
        applies = escape(f"({', '.join(caution.pieces)}; {told.source})")
        story.append(Paragraph(f"{heading} <i>{applies}</i>", BODY))
    story += [Spacer(0, 6), Paragraph(escape(DEFERRAL), BODY)]
    if estimate.warnings:
        story.append(Paragraph("Warnings", SECTION))
        story += [Paragraph(escape(warning), BODY) for warning in estimate.warnings]
    paper.build(story, onFirstPage=_foot, onLaterPages=_foot)
    return buffer.getvalue()


def _foot(canvas: Any, paper: Any) -> None:
    canvas.setFont("Helvetica", 8)
    canvas.drawString(15 * mm, 8 * mm, paper.title)
    canvas.drawRightString(paper.pagesize[0] - 15 * mm, 8 * mm, f"page {canvas.getPageNumber()}")


def _section(sheet: Sheet, width: float) -> Sequence[Flowable]:
    heads = [Paragraph(escape(each.head), HEAD_FIGURE if each.figure else HEAD) for each in sheet.columns]
    rows = [
        [
            Paragraph(escape(cell), FIGURE if column.figure else BODY)
            for cell, column in zip(row, sheet.columns, strict=True)
        ]
        for row in sheet.rows
    ]
    if sheet.totals:
        rows.append(
            [
                Paragraph(escape(cell), HEAD_FIGURE if column.figure else HEAD)
                for cell, column in zip(sheet.totals, sheet.columns, strict=True)
            ]
        )
    table = LongTable([heads, *rows], colWidths=[width / len(heads)] * len(heads), repeatRows=1)
    table.setStyle(
        [
            ("LINEBELOW", (0, 0), (-1, 0), 0.8, colors.black),
            ("LINEBELOW", (0, 1), (-1, -1), 0.2, colors.grey),
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ]
    )
    return [Paragraph(escape(sheet.title), SECTION), table]
