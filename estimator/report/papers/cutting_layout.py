"""How the boards of the forms lie on their sheets, for the saw."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import partial
from typing import Any

from reportlab.platypus import Flowable, Spacer

from estimator.packaging.nesting import Nesting, Placed, Sheet
from estimator.packaging.stage import FormPlan
from estimator.report.papers.drawing import bare
from estimator.report.papers.style import INK, LABEL, SMALL, TINT, TITLE, Columns, Front, Picture, Rule, say
from estimator.report.papers.text import PLAIN, Run, known_width, write
from estimator.words import Words
from geometry.message import Message

FEW = 12
"""Up to so many sheets stand one below the other, more in pairs."""

SIZES = (6.0, 5.0)
"""Of type, points: the largest that fits a board; one that it does not fit is listed below its sheet."""


def cutting_layout(plan: FormPlan, named: Mapping[Message, str], front: Front, words: Words) -> Iterator[Flowable]:
    """The sheets, those cut alike once; `named` is how the boards are called beside their forms."""
    nesting = plan.nesting
    if nesting is None:
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
    for notice in () if nesting.sheets else plan.warnings:
        yield say(words.text(notice.text))
    a_row = 1 if nesting.count <= FEW else 2
    wide = front.width / a_row
    high = (wide - 8) * sheet.width_m / sheet.length_m
    cells = []
    for number, (boards, count) in enumerate(_alike(nesting), start=1):
        labels = _labels(boards, wide - 8, sheet, named, words)
        cell: list[Flowable] = [
            say(words("form-layout-sheet", number=number, count=count), LABEL),
            Picture(wide - 8, high, partial(_sheet, boards=boards, sheet=sheet, labels=labels)),
        ]
        if small := [board for board in boards if board not in labels]:
            cell += [Spacer(0, 3), say(words("form-layout-small", boards=_listed(small, named, words)), SMALL)]
        cells.append(cell)
    for i in range(0, len(cells), a_row):
        row = cells[i : i + a_row]
        yield Columns(row, [wide] * len(row))


def _alike(nesting: Nesting) -> Iterable[tuple[tuple[Placed, ...], int]]:
    """Each kind of sheet, and how many are cut alike."""
    return Counter(nesting.sheets).items()


Labels = Mapping[Placed, tuple[str, float]]
"""Text on a board, and the size of its type."""


def _labels(
    boards: Sequence[Placed], wide: float, sheet: Sheet, named: Mapping[Message, str], words: Words
) -> dict[Placed, tuple[str, float]]:
    """Labels of the boards that are large enough for theirs."""
    per_m = wide / sheet.length_m
    labels = {}
    for board in boards:
        short, long = sorted((board.length_m * per_m, board.width_m * per_m))
        text = f"{named[board.board]}  {_size(board, words)}"
        for size in SIZES:
            if size <= 0.95 * short and known_width(text, PLAIN, size) <= long - 3:
                labels[board] = text, size
                break
    return labels


def _size(board: Placed, words: Words) -> str:
    short, long = sorted((board.length_m, board.width_m))
    return f"{bare(long, words)} × {bare(short, words)}"


def _listed(boards: Sequence[Placed], named: Mapping[Message, str], words: Words) -> str:
    """Boards by their size, the largest first: what the saw needs to mark them."""
    by_size: dict[str, Counter[str]] = {}
    for board in sorted(boards, key=lambda board: -board.length_m * board.width_m):
        by_size.setdefault(_size(board, words), Counter())[named[board.board]] += 1
    return " · ".join(
        f"{size}: {'; '.join(name if count == 1 else f'{name} ({count})' for name, count in names.items())}"
        for size, names in by_size.items()
    )


def _sheet(canvas: Any, wide: float, high: float, boards: Sequence[Placed], sheet: Sheet, labels: Labels) -> None:
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
        if board not in labels:
            continue
        text, size = labels[board]
        if dx >= dy:
            level[size].append((x + 2, y + dy / 2 - 0.36 * size, text))
        else:
            upright[size].append((x + dx / 2 + 0.36 * size, y + 2, text))
    canvas.drawPath(path, stroke=1, fill=1)
    for size in SIZES:
        write(canvas, level[size], PLAIN, size, INK)
        write(canvas, upright[size], PLAIN, size, INK, upright=True)
