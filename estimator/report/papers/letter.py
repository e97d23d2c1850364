"""Papers that leave the shop under its name: letterhead, addresses, accent color, own type, lines to sign on."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from io import BytesIO
from typing import Any

from reportlab.lib.colors import Color, HexColor
from reportlab.lib.enums import TA_RIGHT
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.lib.utils import ImageReader
from reportlab.platypus import Flowable, Spacer
from reportlab.platypus import Table as Grid

from estimator.job import Business, Job
from estimator.report.papers.style import (
    HAIR,
    INK,
    LABEL,
    PLAIN,
    SECTION,
    SMALL,
    STRONG,
    TITLE,
    TOP_LEFT,
    Front,
    Picture,
    Rule,
    on_one_page,
    say,
    section,
)
from estimator.report.papers.text import own_fonts
from estimator.words import Words

FLUSH_RIGHT = ParagraphStyle("flush-right", parent=SMALL, alignment=TA_RIGHT)
NAME = ParagraphStyle("letter-name", parent=SECTION, spaceBefore=0, spaceAfter=0)
LOGO_HEIGHT = 17 * mm
BETWEEN = 12 * mm  # two columns
TIGHT = [*TOP_LEFT, ("RIGHTPADDING", (0, 0), (-1, -1), 6)]


@contextmanager
def in_shop_type(job: Job) -> Iterator[None]:
    """Within it, papers are set in the shop's own font, where it has one."""
    with own_fonts(job.business.fonts):
        yield


def accent(business: Business) -> Color:
    """Color of the lines that stand out."""
    return HexColor(business.color) if business.color else INK


def letterhead(front: Front, words: Words) -> list[Flowable]:
    """Logo and name at the left, addresses and numbers at the right; nothing where the shop gave none."""
    business = front.job.business
    numbers = [words("letter-license", number=business.license)] if business.license else []
    numbers += [words("letter-tax-number", number=business.tax_number)] if business.tax_number else []
    numbers += [business.registration] if business.registration else []
    lines = [*business.address, *business.contact, *numbers]
    if not (business.name or lines or business.logo):
        return []
    logo = _logo(business.logo, front.width / 3.0)
    left = 0.0 if logo is None else max(25 * mm, logo.width + 6.0)
    right = 0.38 * front.width
    head = Grid(
        [[logo or [], [say(business.name, NAME)] if business.name else [], [say(line, FLUSH_RIGHT) for line in lines]]],
        colWidths=[left, front.width - left - right, right],
        style=[
            ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
            ("LEFTPADDING", (0, 0), (-1, -1), 0),
            ("RIGHTPADDING", (0, 0), (-1, -1), 0),
        ],
    )
    return [head, Spacer(0, 8)]


def _logo(content: bytes | None, most_width: float) -> Picture | None:
    if content is None:
        return None
    image = ImageReader(BytesIO(content))
    wide, high = image.getSize()
    width = min(wide * LOGO_HEIGHT / high, most_width)
    height = width * high / wide

    def draw(canvas: Any, _width: float, _height: float) -> None:
        canvas.drawImage(image, 0, 0, width, height, mask="auto")

    return Picture(width, height, draw)


def letter_title(front: Front, purpose: str = "") -> list[Flowable]:
    """Job, name of the paper, one line on what it is for, and a rule in the shop's color."""
    head: list[Flowable] = [say(front.job.name, LABEL), say(front.paper, TITLE)]
    if purpose:
        head.append(say(purpose, SMALL))
    return [*head, Rule(front.width, 2.0, accent(front.job.business)), Spacer(0, 5)]


def addresses(columns: Sequence[tuple[str, Sequence[str]]], width: float) -> list[Flowable]:
    """Labeled addresses side by side, the first line strong; those without lines are left out."""
    filled = [(label, lines) for label, lines in columns if lines]
    if not filled:
        return []
    cells = [[say(label, LABEL), say(lines[0], STRONG), *map(say, lines[1:])] for label, lines in filled]
    grid = Grid([cells], colWidths=[width / max(2, len(cells))] * len(cells), style=TIGHT, hAlign="LEFT")
    return [grid, Spacer(0, 6)]


def side_by_side(left: Sequence[Flowable], right: Sequence[Flowable], width: float) -> Flowable:
    """Two columns of parts."""
    half = (width - BETWEEN) / 2.0
    return Grid([[list(left), "", list(right)]], colWidths=[half, BETWEEN, half], style=TIGHT, hAlign="LEFT")


def together(front: Front, parts: Sequence[tuple[str, Sequence[Flowable]]]) -> list[Flowable]:
    """Headed parts on one page wherever a page holds them all; else each begins with what follows its heading."""
    flat = [
        part for heading, flowables in parts for part in ([say(heading, SECTION)] if heading else []) + [*flowables]
    ]
    height = sum(
        part.wrap(front.width, front.height)[1] + part.getSpaceBefore() + part.getSpaceAfter() for part in flat
    )
    if height < front.height - 12.0:
        return [on_one_page(flat)]
    story: list[Flowable] = []
    for heading, flowables in parts:
        story += section(heading, *flowables) if heading else [on_one_page(flowables)]
    return story


def signature_lines(width: float, words: Words, parties: Sequence[str]) -> list[Flowable]:
    """For each party a line to sign on, one for the name and one for the date; beside each other."""
    count = len(parties)
    part = (width - (count - 1) * float(BETWEEN)) / count
    captions = (words("letter-sign-signature"), words("letter-sign-name"), words("letter-sign-date"))

    def draw(canvas: Any, _wide: float, high: float) -> None:
        canvas.setStrokeColor(HAIR)
        canvas.setLineWidth(0.6)
        for number, party in enumerate(parties):
            x = number * (part + BETWEEN)
            canvas.setFillColor(INK)
            canvas.setFont(PLAIN, 8.5)
            canvas.drawString(x, high - 9, party)
            canvas.setFont(PLAIN, 7)
            canvas.line(x, 34, x + part, 34)
            canvas.drawString(x, 26, captions[0])
            for start, stop, caption in ((0.0, 0.62, captions[1]), (0.66, 1.0, captions[2])):
                canvas.line(x + start * part, 8, x + stop * part, 8)
                canvas.drawString(x + start * part, 0, caption)

    return [Spacer(0, 4), Picture(width, 66, draw)]
