"""What cannot be shown to be safe: red words in a red frame, with a sign and a heading, so that no colour is needed."""

from collections.abc import Iterable, Sequence

from reportlab.lib.colors import HexColor
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Flowable, Spacer
from reportlab.platypus import Table as Grid

from estimator.report.papers.style import BODY, BOLD, say

RED = HexColor(0xB00020)
HEADING = "▲! NOT SHOWN TO BE SAFE"
HEAD = ParagraphStyle("alert-head", parent=BODY, fontName=BOLD, fontSize=10, leading=13, textColor=RED)
WORDS = ParagraphStyle("alert", parent=BODY, fontName=BOLD, fontSize=8.5, leading=11, textColor=RED)


def alert(lines: Sequence[str], width: float, heading: str = HEADING) -> list[Flowable]:
    """The frame with its lines; nothing where there are none."""
    if not lines:
        return []
    rows = [[say(heading, HEAD)], *([say(line, WORDS)] for line in lines)]
    grid = Grid(
        rows,
        colWidths=[width],
        style=[
            ("BOX", (0, 0), (-1, -1), 1.6, RED),
            ("LEFTPADDING", (0, 0), (-1, -1), 6),
            ("TOPPADDING", (0, 0), (-1, -1), 1.5),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 2),
        ],
    )
    return [grid, Spacer(0, 5)]


def by_statement(told: Iterable[tuple[str, Iterable[str]]], most: int = 12) -> list[str]:
    """Statements of many marks, each once with the marks that it is said of."""
    marks: dict[str, list[str]] = {}
    for mark, statements in told:
        for statement in statements:
            marks.setdefault(statement, []).append(mark)
    return [f"{_named(names, most)}: {statement}" for statement, names in marks.items()]


def _named(names: Sequence[str], most: int) -> str:
    more = len(names) - most
    return ", ".join(names[:most]) + (f" and {more} more" if more > 0 else "")
