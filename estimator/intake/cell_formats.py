"""Units that a spreadsheet shows beside a number, from the cell's number format or its displayed text.

Source: ECMA-376 part 1, 18.8.31 (number format codes); OpenDocument 1.3 part 3, 19.385 (cell values).
"""

import re
from decimal import Decimal
from functools import cache
from typing import NamedTuple

from estimator.errors import FaultError
from estimator.units.reading import read_any
from geometry.message import Message, message

MOST_FORMAT = 255
"""Longest format, and longest text of a number, in characters; no spreadsheet stores more."""

TOKEN = re.compile(
    r"""(?P<quoted>"[^"]*") | \\(?P<escaped>.) | (?P<bracket>\[[^\]]*\]) | (?P<space>[_*].)
    | (?P<digits>General|[0#?][0#?.,/\ ]*(?<=/)\d+|[0#?][0#?.,/\ ]*) | (?P<exponent>E[+-]) | (?P<sign>.)""",
    re.VERBOSE | re.IGNORECASE | re.DOTALL,
)
SHOWN = re.compile(
    r"""[-+−]?\s*(?:(?:(?P<whole>\d+)\s+)?(?P<top>\d{1,4})/(?P<bottom>[1-9]\d{0,3})|(?P<number>\d[\d.,'’\s]*?))
    \s*(?P<beside>[^\d\s.,].*|)""",
    re.VERBOSE,
)


class Shown(NamedTuple):
    """How a cell shows its number.

    unit     unit after the number
    percent  whether it is shown as a percentage
    beside   text after the number that is not a unit: "pcs"
    wrong    what makes it unsafe to read: "scaled", "sections", "percent", "exponent" or "unseen"
    digits   digits that a whole number is filled up to with zeros: 3 shows 7 as 007
    """

    unit: str | None = None
    percent: bool = False
    beside: str = ""
    wrong: str | None = None
    digits: int = 1


class _Section(NamedTuple):
    beside: str
    percent: bool
    scaled: bool
    exponent: bool


@cache
def is_unit(text: str) -> bool:
    """Whether a text is a unit.

    >>> is_unit("mm"), is_unit("ft^3"), is_unit("%"), is_unit("pcs")
    (True, True, True, False)
    """
    if text == "%":
        return True
    if not text or len(text) > 20 or text[0].isdecimal():
        return False
    try:
        read_any(f"1 {text}")
    except FaultError:
        return False
    return True


@cache
def shown_by(number_format: str) -> Shown:
    r"""What a number format shows beside its numbers. Literals that are not units ("pcs") are ignored.

    >>> shown_by('0.0" mm"').unit, shown_by(r'#,##0.00\ "in"').unit, shown_by(r"0\m\m").unit, shown_by("0.00").unit
    ('mm', 'in', 'mm', None)
    >>> shown_by("000").digits, shown_by(";;;").wrong, shown_by('"900 mm"').wrong
    (3, 'unseen', 'unseen')
    >>> shown_by('0," mm"').wrong, shown_by('0" mm";-0" cm"').wrong, shown_by('0%" mm"').wrong
    ('scaled', 'sections', 'percent')
    """
    if len(number_format) > MOST_FORMAT:
        return Shown()
    if re.fullmatch("0{2,}", number_format):
        return Shown(digits=len(number_format))
    parts = _sections(number_format)
    sections = [section for part in parts if (section := _section(part)) is not None]
    if number_format and _section(parts[0]) is None and "@" not in number_format:
        return Shown(wrong="unseen")
    if not sections:
        return Shown()
    if any(section.scaled for section in sections):
        return Shown(wrong="scaled")
    if len({(section.beside, section.percent) for section in sections}) > 1:
        return Shown(wrong="sections") if any(is_unit(section.beside) for section in sections) else Shown()
    beside, percent = sections[0].beside, sections[0].percent
    if not is_unit(beside):
        return Shown(percent=percent, beside=beside)
    if percent:
        return Shown(wrong="percent")
    if any(section.exponent for section in sections):
        return Shown(wrong="exponent")
    return Shown(beside)


def _sections(number_format: str) -> list[list[re.Match[str]]]:
    """Tokens of each section: for positive numbers, negative numbers and zero."""
    sections: list[list[re.Match[str]]] = [[]]
    for token in TOKEN.finditer(number_format):
        if token["sign"] == ";":
            sections.append([])
        else:
            sections[-1].append(token)
    return sections[:3]


def _section(tokens: list[re.Match[str]]) -> _Section | None:
    """What one section shows; None if it does not show a number."""
    places = [i for i, token in enumerate(tokens) if token["digits"]]
    if not places:
        return None
    behind = ""
    for token in tokens[places[-1] + 1 :]:
        if token["quoted"] is not None:
            behind += token["quoted"][1:-1]
        elif token["sign"] not in ("(", ")"):  # parentheses of a negative number
            behind += token["escaped"] or token["sign"] or (" " if token["space"] else "")
    percent = any(token["sign"] == "%" for token in tokens)
    return _Section(
        beside=" ".join(behind.replace("%", "").split()),
        percent=percent,
        scaled=any(tokens[i]["digits"].rstrip().endswith(",") for i in places),
        exponent=any(token["exponent"] for token in tokens),
    )


def with_unit(value: float, shown: Shown) -> str:
    """Number of a spreadsheet as text, with the unit that its cell shows.

    >>> with_unit(2400.0, Shown("mm")), with_unit(0.07, Shown(percent=True)), with_unit(2.5, Shown())
    ('2400 mm', '7 %', '2.5')
    """
    number = plain(Decimal(repr(value)) * 100) if shown.percent else plain(Decimal(repr(value))).zfill(shown.digits)
    unit = "%" if shown.percent else shown.unit
    return f"{number} {unit}" if unit else number


def plain(number: Decimal) -> str:
    """Decimal as text, without an exponent or trailing zeros.

    >>> plain(Decimal("2400.0")), plain(Decimal("1E+3")), plain(Decimal("7.00"))
    ('2400', '1000', '7')
    """
    text = f"{number:f}"
    return (text.rstrip("0").rstrip(".") if "." in text else text) or "0"


def shown_as(text: str, value: float, cell: str) -> Shown | Message:
    """What a cell shows beside its number, from its displayed text; an error message if the two numbers differ.

    text   displayed text, in the locale of the spreadsheet: "2,400.0 mm"
    value  stored value

    >>> shown_as("2.400,0 mm", 2400.0, "D2").unit, shown_as("24 1/2 in", 24.5, "D2").unit
    ('mm', 'in')
    >>> str(shown_as("2.4 m", 2400.0, "D2"))
    'cell-shows-another (cell = D2, shown = 2.4 m, value = 2400)'
    """
    refusal = message("cell-shows-another", cell=cell, shown=text.strip()[:40], value=plain(Decimal(repr(value))))
    if len(text) > MOST_FORMAT:
        return refusal
    match = SHOWN.fullmatch(text.strip())
    if match is None:
        return refusal if any(is_unit(part) for part in re.findall(r"[^\W\d_]+|[\"']", text)) else Shown()
    percent = match["beside"].startswith("%")
    beside = match["beside"].removeprefix("%").strip()
    if re.match(r"E[+-]?\d", beside, re.IGNORECASE) or (percent and is_unit(beside)):
        return refusal
    if not _agree(match, abs(value) * (100 if percent else 1)):
        return refusal
    if percent or not is_unit(beside):
        return Shown(percent=percent, beside=beside)
    return Shown(beside)


def _agree(shown: re.Match[str], value: float) -> bool:
    """Whether a displayed number, with decimal point or comma, is the value rounded to the digits shown."""
    if shown["bottom"] is not None:
        bottom = int(shown["bottom"])
        return abs(int(shown["whole"] or 0) + int(shown["top"]) / bottom - value) <= 0.5000001 / bottom
    bare = re.sub(r"[\s'’]", "", shown["number"])
    for mark, between in ((".", ","), (",", ".")):
        whole, _, rest = bare.rpartition(mark) if bare.count(mark) == 1 else (bare, "", "")
        digits = whole.replace(between, "")
        if between in rest or mark in digits:
            continue
        number = Decimal(f"{digits}.{rest}" if rest else digits)
        if abs(number - Decimal(repr(value))) <= Decimal("0.5000001").scaleb(-len(rest)):
            return True
    return False
