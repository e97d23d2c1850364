"""The form sheet: what the form builder reads, a form a page."""

from collections.abc import Iterator, Sequence
from functools import partial
from math import radians, tan
from typing import Any

from reportlab.lib.units import mm
from reportlab.platypus import Flowable, PageBreak, Spacer
from reportlab.platypus import Table as Grid

from estimator.estimate import Estimate, PieceEstimate
from estimator.packaging.stage import MarkForms
from estimator.report.papers import drawing
from estimator.report.papers.drawing import Scale
from estimator.report.papers.form_drawing import drawing_names, form_view
from estimator.report.papers.style import (
    BOLD,
    GREY,
    INK,
    LABEL,
    PAPER,
    PLAIN,
    SECTION,
    SMALL,
    TITLE,
    Front,
    Picture,
    Rule,
    bind,
    facts,
    say,
    size_that_fits,
    words_of,
)
from estimator.report.papers.table import table
from estimator.report.screen import Column
from estimator.words import Words
from geometry.cutouts import knock_out
from geometry.form_boards import edge_marks
from geometry.plane import Region
from geometry.shape import plan_view, telling_section
from geometry.shapes import Extrusion, Shape
from geometry.views import CrossSection, PlanView

Edges = Sequence[tuple[int, tuple[float, float], tuple[float, float]]]

MIRRORED = "MIRROR IMAGE – cast face down"
AS_SEEN = "AS SEEN FROM ABOVE – not mirrored"
MOST_OPENINGS = 40
"""So many cut-outs are numbered and listed; a perforated panel is built from its full-size drawing."""

SWAPPED = {"left": "right", "right": "left"}
LARGE_HIGH, READABLE_HIGH, LEAST_HIGH, SMALL_HIGH = 96 * mm, 64 * mm, 38 * mm, 44 * mm
ROOMY_ROWS, ROW = 10, 14.0
"""A longer list of boards takes its rows, points, from the large drawing, so that a form stays on its page."""

MARGINS = (48.0, 44.0)
"""Beside, and above with below, the large drawing: room for dimensions, points."""

ROOM_FOR_NUMBER = 18.0
"""A smaller cut-out has its number beside it, points."""

SIDE_BY_SIDE = 8
"""Up to so many cut-outs are listed beside the boards."""

TOP_LEFT = [("VALIGN", (0, 0), (-1, -1), "TOP"), ("LEFTPADDING", (0, 0), (-1, -1), 0)]


def form_sheet(estimate: Estimate) -> bytes:
    """The paper; the same bytes for the same estimate."""
    front, words = Front("Form sheet", estimate.job), words_of(estimate)
    story: list[Flowable] = []
    names = drawing_names([piece.taken.piece.mark for piece in estimate.pieces])
    forms = {mark.mark: mark for mark in estimate.supply.forms.marks}
    for number, piece in enumerate(estimate.pieces):
        if number:
            story.append(PageBreak())
        story += _form(piece, forms[piece.taken.piece.mark], names[piece.taken.piece.mark], front, words)
    return bind(front, story)


def _form(estimated: PieceEstimate, forms: MarkForms, drawn_in: str, front: Front, words: Words) -> Iterator[Flowable]:
    piece = estimated.taken.piece
    face_down = piece.shape.is_cast_face_down
    view, section = form_view(piece.shape), telling_section(piece.shape)
    yield say(f"{front.job.name} · form sheet, for the form builder", LABEL)
    yield say(piece.mark, TITLE)
    yield Rule(front.width)
    pairs = [
        ("Forms", f"{forms.set.forms}, {forms.kind}"),
        (
            "Built over the job",
            f"{forms.set.built}, for {forms.set.casts} {'cast' if forms.set.casts == 1 else 'casts'}",
        ),
        ("Inside, length × width", " × ".join(words.length(item) for item in view.size_m)),
        ("Both diagonals", words.length(view.diagonal_m) if view.is_rectangular else "not a rectangle"),
    ]
    pairs += _mitres(piece.shape)
    yield from facts(pairs, front.width)
    yield Picture(front.width, 20, partial(_banner, text=MIRRORED if face_down else AS_SEEN))
    yield Spacer(0, 4)
    length, width = view.size_m
    room = LARGE_HIGH - ROW * max(0, len(forms.boards) - ROOMY_ROWS)
    high = max(min(MARGINS[1] + width * (front.width - MARGINS[0]) / length, max(room, READABLE_HIGH)), LEAST_HIGH)
    edges = _numbered_edges(piece.shape, view, mirrored=face_down)
    draw = partial(
        _large, view=view, words=words, mirrored=face_down, section=None if face_down else section, edges=edges
    )
    if isinstance(piece.shape, Extrusion):
        draw = partial(_moulding, shape=piece.shape, draw=draw, view=view)
    yield Picture(front.width, high, draw)
    yield _beside(piece.shape, section, front, words, face_down=face_down)
    yield from _lists(forms, view, front, words, face_down=face_down)
    notes = [f"Full size, as built: {drawn_in}. Check a printed length before anything is cut from it."]
    notes += [f"{item[0].upper()}{item[1:]}." for item in (*view.notes, *(section.notes if section else ()))]
    yield Spacer(0, 4)
    yield say(" ".join(notes), SMALL)


def _numbered_edges(shape: Shape, view: PlanView, *, mirrored: bool) -> Edges:
    """Where each numbered edge of a drawn plan is, as built: its number, a point of it, and the way inward."""
    if shape.edge_numbers != "plan":
        return ()
    x0, _, x1, _ = view.bounds_m
    return tuple(
        (number, (x0 + x1 - x, y), (-dx, dy)) if mirrored else (number, (x, y), (dx, dy))
        for number, (x, y), (dx, dy) in edge_marks(shape)
    )


def _number_edges(canvas: Any, edges: Edges, scale: Scale) -> None:
    """The numbers that the list of boards calls the edges by, just inside them."""
    canvas.setFillColor(GREY)
    canvas.setFont(BOLD, drawing.LETTER)
    for number, point, (dx, dy) in edges[:MOST_OPENINGS]:
        x, y = scale.place(point)
        canvas.drawCentredString(x + 8 * dx, y + 8 * dy - 2.5, str(number))


def _mitres(shape: Shape) -> list[tuple[str, str]]:
    """Each mitred end of a moulding, with the plane of its cut."""
    if not isinstance(shape, Extrusion):
        return []
    return [
        (
            f"Mitre, {side} end",
            f"{abs(angle):g}° off square, upright, in plan: the {'back' if angle > 0 else 'front'} is short",
        )
        for side, angle in (("left", shape.mitre_left_deg), ("right", shape.mitre_right_deg))
        if angle
    ]


def _moulding(canvas: Any, wide: float, high: float, shape: Extrusion, draw: Any, view: PlanView) -> None:
    """The large drawing, the angle of each mitre written inside its end."""
    draw(canvas, wide, high)
    scale = Scale.fitting(view.bounds_m, 34, 30, wide - MARGINS[0], high - MARGINS[1])
    x0, y0, x1, y1 = view.bounds_m
    canvas.setFillColor(INK)
    canvas.setFont(BOLD, drawing.LETTER)
    for angle, end, inward in ((shape.mitre_left_deg, x0, 1.0), (shape.mitre_right_deg, x1, -1.0)):
        if angle:
            # Beside the middle of the slanting cut.
            middle = end + inward * abs(tan(radians(angle))) * (y1 - y0) / 2
            x, y = scale.place((middle, (y0 + y1) / 2))
            write = canvas.drawString if inward > 0 else canvas.drawRightString
            write(x + inward * 6, y - 3, f"{abs(angle):g}°")


def _banner(canvas: Any, wide: float, high: float, text: str) -> None:
    canvas.setFillColor(INK)
    canvas.rect(0, 0, wide, high, stroke=0, fill=1)
    canvas.setFillColor(PAPER)
    canvas.setFont(BOLD, size_that_fits(text, BOLD, wide - 12, 14, 8))
    canvas.drawCentredString(wide / 2, high / 2 - 5, text)


def _large(
    canvas: Any,
    wide: float,
    high: float,
    view: PlanView,
    words: Words,
    mirrored: bool,
    section: CrossSection | None,
    edges: Edges,
) -> None:
    scale = Scale.fitting(view.bounds_m, 34, 30, wide - MARGINS[0], high - MARGINS[1])
    drawing.draw_view(canvas, view, scale)
    if view.is_rectangular:
        _diagonals(canvas, view, scale)
    drawing.overall(canvas, view.bounds_m, scale, words, row=0 if section is None else 0.6)
    for number, opening in enumerate(view.openings[:MOST_OPENINGS], start=1):
        (x0, y0), (x1, y1) = scale.place(opening.bounds[:2]), scale.place(opening.bounds[2:])
        beside = min(x1 - x0, y1 - y0) < ROOM_FOR_NUMBER
        drawing.number_mark(canvas, (x1 + 9 if beside else (x0 + x1) / 2, (y0 + y1) / 2), number)
    _number_edges(canvas, edges, scale)
    (x0, _), (x1, top) = scale.place(view.bounds_m[:2]), scale.place(view.bounds_m[2:])
    if mirrored:
        canvas.setFillColor(GREY)
        canvas.setFont(PLAIN, drawing.LETTER)
        canvas.drawString(x0, top + 4, "◂ the piece's right")
        canvas.drawRightString(x1, top + 4, "the piece's left ▸")
    if section is not None:
        drawing.cut_marks(canvas, scale, view.bounds_m, section)


def _diagonals(canvas: Any, view: PlanView, scale: Scale) -> None:
    """Short strokes from corner to corner, so that the measured diagonal is seen for what it is."""
    x0, y0, x1, y1 = view.bounds_m
    corners = [scale.place(point) for point in ((x0, y0), (x1, y1), (x0, y1), (x1, y0))]
    canvas.saveState()
    canvas.setStrokeColor(GREY)
    canvas.setLineWidth(drawing.HAIRLINE)
    canvas.setDash(1, 3)
    canvas.line(*corners[0], *corners[1])
    canvas.line(*corners[2], *corners[3])
    canvas.restoreState()


def _beside(shape: Shape, section: CrossSection | None, front: Front, words: Words, *, face_down: bool) -> Flowable:
    """The finished piece face up, where the form is its mirror image, and the piece cut across."""
    half = front.width / 2
    cells: list[list[Flowable]] = []
    if face_down:
        draw = partial(_small, view=plan_view(shape), section=section)
        cells.append([say("The finished piece, face up", LABEL), Picture(half - 8, SMALL_HIGH, draw)])
    if section is not None:
        label = say("Cut across at A–A", LABEL)
        edges = edge_marks(shape) if shape.edge_numbers == "section" else ()
        cut = partial(_cut, section=section, words=words, edges=edges)
        cells.append([label, Picture(half - 8, SMALL_HIGH, cut)])
    cells += [[]] * (2 - len(cells))
    return Grid([cells], colWidths=[half, half], style=TOP_LEFT)


def _small(canvas: Any, wide: float, high: float, view: PlanView, section: CrossSection | None) -> None:
    scale = Scale.fitting(view.bounds_m, 12, 10, wide - 24, high - 20)
    drawing.draw_view(canvas, view, scale)
    if section is not None:
        drawing.cut_marks(canvas, scale, view.bounds_m, section)


def _cut(canvas: Any, wide: float, high: float, section: CrossSection, words: Words, edges: Edges) -> None:
    scale = Scale.fitting(section.bounds_m, 34, 22, wide - 44, high - 28)
    drawing.draw_section(canvas, section, scale)
    _number_edges(canvas, edges, scale)
    drawing.overall(canvas, section.bounds_m, scale, words)


def _lists(forms: MarkForms, view: PlanView, front: Front, words: Words, *, face_down: bool) -> Iterator[Flowable]:
    few = len(view.openings) <= SIDE_BY_SIDE
    wide = front.width * 0.5 - 6 if few and view.openings else front.width
    openings = list(_openings(view, wide, words))
    boards = list(_boards(forms, wide, words, face_down=face_down))
    if few and openings:
        yield Grid([[openings, boards]], colWidths=[front.width / 2] * 2, style=TOP_LEFT)
    else:
        yield from openings
        yield from boards


def _openings(view: PlanView, wide: float, words: Words) -> Iterator[Flowable]:
    if not view.openings:
        return
    columns = [
        Column("", False),
        Column("Knock-out", False),
        Column("Size"),
        Column("From left"),
        Column("From front"),
    ]
    rows = [_knock_out(i, opening, view, words) for i, opening in enumerate(view.openings[:MOST_OPENINGS], start=1)]
    yield say("Knock-outs, in the form as built", SECTION)
    yield table(columns, rows, wide)
    if len(view.openings) > MOST_OPENINGS:
        yield say(f"And {len(view.openings) - MOST_OPENINGS} more: see the full-size drawing.", SMALL)


def _boards(forms: MarkForms, wide: float, words: Words, *, face_down: bool) -> Iterator[Flowable]:
    """The cut list of one form; an edge's width is its height above the base board."""
    if not forms.boards:
        yield say("Not built of boards: made from the full-size drawing and the section.", SMALL)
        return
    rows = [
        (
            _as_built(board.name.removeprefix(f"{forms.mark} "), face_down=face_down)
            + (f", radius {words.length(board.radius_m)}" if board.radius_m is not None else ""),
            str(board.count),
            words.length(board.length_m),
            words.length(board.width_m),
        )
        for board in forms.boards[:MOST_OPENINGS]
    ]
    yield say("Boards of one form", SECTION)
    # The heading stands on every page of a long list, so it names the piece.
    heading = f"Board of {forms.mark}"
    yield table([Column(heading, False), Column("Count"), Column("Length"), Column("Height")], rows, wide)
    if len(forms.boards) > MOST_OPENINGS:
        yield say(f"And {len(forms.boards) - MOST_OPENINGS} more: see the full-size drawing.", SMALL)


def _as_built(name: str, *, face_down: bool) -> str:
    """A board as the builder sees it: left and right change places in a form that is mirrored."""
    if name.partition(",")[0] == "bottom":
        return f"base board{name.removeprefix('bottom')}"
    if not face_down:
        return name
    return " ".join(SWAPPED.get(word, word) for word in name.split(" "))


def _knock_out(number: int, opening: Region, view: PlanView, words: Words) -> Sequence[str]:
    left, front = view.bounds_m[:2]
    block = knock_out(opening)
    size = " × ".join(words.length(side_m) for side_m in block.size_m)
    x, y = block.corner_m
    if block.kind == "round":
        size = f"⌀ {words.length(block.size_m[0])}"
        note = "round, to its centre"
        x, y = block.center_m
    elif block.kind == "shaped":
        note = "shaped, to its outer size"
    else:
        note = f"corners {words.length(block.radius_m)} radius, to its sides" if block.radius_m else "sharp corners"
    return (str(number), note, size, words.length(x - left), words.length(y - front))
