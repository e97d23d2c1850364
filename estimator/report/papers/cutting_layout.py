"""How the boards of the forms lie on their sheets, for the saw."""

from collections.abc import Iterator, Mapping, Sequence
from functools import partial
from typing import Any

from reportlab.platypus import Flowable

from estimator.packaging.nesting import Nesting, Placed, Sheet
from estimator.packaging.stage import FormPlan
from estimator.report.papers.form_views import bare
from estimator.report.papers.style import INK, LABEL, SMALL, TINT, TITLE, Columns, Front, Picture, Rule, cut, say
from estimator.report.papers.text import PLAIN, Run, known_width, write
from estimator.words import Words
from geometry.message import Message

FEW = 12
"""Up to so many sheets stand one below the other, more in pairs."""

SIZES = (6.0, 4.5, 3.5)
"""Of type, points: the largest that fits a board's narrow side; on a narrower one none."""


def cutting_layout(plan: FormPlan, named: Mapping[Message, str], front: Front, words: Words) -> Iterator[Flowable]:
    """The sheets, those cut alike once; `named` is how the boards are called beside their forms."""
    nesting = plan.nesting
    if nesting is None or not nesting.sheets:
        return
    sheet = plan.sheet
    kerf = words("form-layout-kerf", kerf_m=sheet.kerf_m)
    if sheet.trim_m:
        kerf = f"{words('form-layout-trim', trim_m=sheet.trim_m)} {kerf}"
    size = words("form-layout-sheets", count=nesting.count, length_m=sheet.length_m, width_m=sheet.width_m)
    yield say(front.job.name, LABEL)
    yield say(words("form-layout"), TITLE)
    yield say(f"{size} {kerf}", SMALL)
    yield Rule(front.width)
    a_row = 1 if nesting.count <= FEW else 2
    wide = front.width / a_row
    high = (wide - 8) * sheet.width_m / sheet.length_m
    cells = [
        [say(words("form-layout-sheet", number=number, count=count), LABEL), Picture(wide - 8, high, draw)]
        for number, count, draw in _pictures(nesting, sheet, named, words)
    ]
    for i in range(0, len(cells), a_row):
        row = cells[i : i + a_row]
        yield Columns(row, [wide] * len(row))


def _pictures(
    nesting: Nesting, sheet: Sheet, named: Mapping[Message, str], words: Words
) -> Iterator[tuple[int, int, Any]]:
    """Number, count and drawing of each kind of sheet."""
    alike: dict[tuple[Placed, ...], int] = {}
    for boards in nesting.sheets:
        alike[boards] = alike.get(boards, 0) + 1
    for number, (boards, count) in enumerate(alike.items(), start=1):
        yield number, count, partial(_sheet, boards=boards, sheet=sheet, named=named, words=words)


def _sheet(
    canvas: Any,
    wide: float,
    high: float,
    boards: Sequence[Placed],
    sheet: Sheet,
    named: Mapping[Message, str],
    words: Words,
) -> None:
    per_m = wide / sheet.length_m
    canvas.setFillColor(TINT)
    canvas.setStrokeColor(INK)
    canvas.setLineWidth(0.8)
    canvas.rect(0, 0, wide, high, stroke=1, fill=1)
    canvas.setLineWidth(0.4)
    canvas.setFillGray(1)
    path = canvas.beginPath()
    level: dict[float, list[Run]] = {size: [] for size in SIZES}
    upright: dict[float, list[Run]] = {size: [] for size in SIZES}
    for board in boards:
        x, y = board.x_m * per_m, board.y_m * per_m
        dx, dy = board.length_m * per_m, board.width_m * per_m
        path.rect(x, y, dx, dy)
        sizes = [size for size in SIZES if size <= 0.95 * min(dx, dy)]
        if not sizes:
            continue
        sides = sorted((board.length_m, board.width_m), reverse=True)
        text = f"{named[board.board]}  {bare(sides[0], words)} × {bare(sides[1], words)}"
        size = next((size for size in sizes if known_width(text, PLAIN, size) <= max(dx, dy) - 3), sizes[-1])
        fitted = cut(text, PLAIN, size, max(dx, dy) - 3)
        if dx >= dy:
            level[size].append((x + 2, y + dy / 2 - 0.36 * size, fitted))
        else:
            upright[size].append((x + dx / 2 + 0.36 * size, y + 2, fitted))
    canvas.drawPath(path, stroke=1, fill=1)
    for size in SIZES:
        write(canvas, level[size], PLAIN, size, INK)
        write(canvas, upright[size], PLAIN, size, INK, upright=True)
