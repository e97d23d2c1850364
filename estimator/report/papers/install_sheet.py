"""The install sheet: what is set in which order, by how many, through which door, on what support, and signed off."""

from collections.abc import Iterator, Sequence
from functools import partial
from typing import Any

from reportlab.lib.units import mm
from reportlab.platypus import Flowable, KeepTogether, Spacer
from reportlab.platypus import Table as Grid

from estimator.estimate import Estimate, PieceEstimate
from estimator.handling.doubts import doubt_messages
from estimator.pricing.labor import is_installed
from estimator.report.papers import drawing
from estimator.report.papers.crew import TOP_LEFT
from estimator.report.papers.drawing import Scale
from estimator.report.papers.lift_sheet import MARK
from estimator.report.papers.style import (
    BODY,
    GREY,
    INK,
    LABEL,
    PLAIN,
    SMALL,
    Front,
    Picture,
    Rule,
    alert,
    bind,
    by_statement,
    cut,
    facts,
    say,
    say_parts,
    section,
    tick_box,
    title,
    words_of,
)
from estimator.report.papers.table import table
from estimator.report.screen import Column
from estimator.report.words import DEFERRAL, STRENGTH_FLAGS, hold_words, moves_words
from estimator.weight import drop_edge_loads
from estimator.words import Words
from geometry.shape import plan_view
from geometry.views import PlanView

CHECKS = ("dry fit", "level", "seams", "support", "fixed", "clean")
MOST_BOXES = 4
"""Up to so many pieces of a mark have a row of boxes each; of more, one row is counted off by hand."""

DRAWN_HIGH, DRAWN_SHARE = 42 * mm, 0.42
AT_SITE = frozenset(
    {
        "does-not-fit", "hung", "unsupported-overhang", "floor-load", "planter", "carried-on-stairs", "cut-or-honed",
        "carried-on-edge", "cutout-carried-on-edge", "slender-strip", "stored-on-edge", "by-machine-only",
        "crew-over-four", "ground-wet", "finished",
    }
)  # fmt: skip
"""Conditions whose cautions the installer reads."""


def install_sheet(estimate: Estimate) -> bytes:
    """The paper; the same bytes for the same estimate."""
    front, words = Front("Install sheet", estimate.job), words_of(estimate)
    ours = [piece for piece in estimate.pieces if is_installed(piece.taken.piece)]
    others = [piece.taken.piece.mark for piece in estimate.pieces if not is_installed(piece.taken.piece)]
    story = [*_head(estimate, ours, others, front, words)]
    for number, piece in enumerate(ours, start=1):
        story.append(KeepTogether([*_piece(number, piece, front, words)]))
    if ours:
        story.append(KeepTogether([*_sign_off(front)]))
    return bind(front, story)


def _head(
    estimate: Estimate, ours: Sequence[PieceEstimate], others: Sequence[str], front: Front, words: Words
) -> Iterator[Flowable]:
    yield from title(front, "for the people on site: weights are the heaviest that a piece may be")
    site = estimate.job.site
    pairs = [
        ("Pieces to set", str(sum(our.taken.piece.quantity for our in ours))),
        ("Way in", f"{len(site.places)} places measured" if site else "NOT MEASURED"),
        ("To carry", words.length(site.distance_m) if site and site.distance_m is not None else "not measured"),
        ("Trips of the truck", str(len(estimate.delivery.trips))),
    ]
    yield from facts(pairs, front.width)
    failures = [(our.taken.piece.mark, [*map(words.text, doubt_messages(our.handling.way_in.doubts))]) for our in ours]
    failures += [(our.taken.piece.mark, [*map(words.text, doubt_messages(our.handling.in_use.doubts))]) for our in ours]
    yield from alert(by_statement(failures), front.width)
    if not ours:
        yield say("Nothing of this job is set by the workshop.", BODY)
    rows = []
    for number, estimated in enumerate(ours, start=1):
        piece, handling = estimated.taken.piece, estimated.handling
        rows.append(
            (
                str(number),
                "",
                piece.mark,
                str(piece.quantity),
                words.size(estimated.taken.solid.size_m),
                words.mass(estimated.weight.lift_kg, up=True),
                f"{moves_words(handling, words, ('carry', 'stairs'))}{STRENGTH_FLAGS[handling.strength]}",
            )
        )
    if rows:
        heads = ("As listed", "As set", "Mark", "Count", "Size", "Weight", "Carried by")
        columns = [Column(head, head in ("Count", "Weight")) for head in heads]
        note = "In the order of the job. Where seams or the way in ask for another, write it under “As set”."
        yield from section("Order of setting", table(columns, rows, front.width), say(note, SMALL))
    if others:
        yield say(f"Delivered, not set by us: {', '.join(others)}.", SMALL)
    cautions = [caution for caution in estimate.cautions if caution.caution.when in AT_SITE]
    if cautions:
        lines = [
            (caution.caution.severity.upper(), words_of(estimate).text(caution.text), ", ".join(caution.pieces[:12]))
            for caution in cautions
        ]
        caution_columns = [Column("", False), Column("Take care", False), Column("Pieces", False)]
        yield from section("Cautions", table(caution_columns, lines, front.width))
    yield Spacer(0, 4)
    yield say(DEFERRAL, SMALL)
    yield Spacer(0, 8)


def _piece(number: int, estimated: PieceEstimate, front: Front, words: Words) -> Iterator[Flowable]:
    piece, handling = estimated.taken.piece, estimated.handling
    yield Rule(front.width)
    yield say_parts([(f"{number} · {piece.mark}", True)], MARK)
    yield say(f"{piece.use} · {piece.quantity} × {words.size(estimated.taken.solid.size_m)}", LABEL)
    yield Spacer(0, 3)
    left = DRAWN_SHARE * front.width
    view = plan_view(piece.shape)
    lines = [say_parts([(f"{name}: ", True), (text, False)]) for name, text in _told(estimated, words)]
    draw = partial(_draw, view=view, estimated=estimated, words=words)
    yield Grid([[Picture(left - 8, DRAWN_HIGH, draw), lines]], colWidths=[left, front.width - left], style=TOP_LEFT)
    yield from alert(
        [*map(words.text, doubt_messages((*handling.way_in.doubts, *handling.in_use.doubts)))], front.width
    )
    rows = [f"{piece.mark}, {i} of {piece.quantity}" for i in range(1, piece.quantity + 1)]
    if piece.quantity > MOST_BOXES:
        rows = [f"{piece.mark}, all {piece.quantity}"]
    for text in rows:
        yield Picture(front.width, 17, partial(_boxes, text=text))
    yield Spacer(0, 8)


def _told(estimated: PieceEstimate, words: Words) -> Iterator[tuple[str, str]]:
    handling, weight = estimated.handling, estimated.weight
    heaviest = words.mass(weight.lift_kg, up=True)
    yield "Weight", f"{heaviest} to carry and set"
    yield "Crew", f"{moves_words(handling, words, ('carry', 'stairs', 'set'))}; {hold_words(handling, words)}"
    way = handling.way_in
    yield (
        "Way in",
        "; ".join(f"{words.text(check.place)}: {words.text(check.remark)}" for check in way.checks) or "not measured",
    )
    if way.seams_m:
        places = ", ".join(words.length(seam_m) for seam_m in way.seams_m)
        yield "Seam offered", f"at {places} along the piece, from its low end; {words.text(way.seam_note or '')}"
    elif way.seam_note:
        yield "Seam", words.text(way.seam_note)
    standing, hung = handling.in_use.standing, handling.in_use.hung
    if standing is not None:
        over = standing.overhang
        if over is not None and over.bracket_places_m:
            places = ", ".join(words.length(bracket_place_m) for bracket_place_m in over.bracket_places_m)
            yield (
                "Brackets",
                f"under the {words.length(over.overhang_m)} overhang, at {places}; {words.text(over.bracket_note)}",
            )
        elif over is not None:
            yield "Overhang", f"{words.length(over.overhang_m)}, no bracket proposed"
        yield "Load on what it stands on", words.areal_mass(standing.kg_per_m2)
        if standing.foot_kg is not None:
            yield "Load on one foot", f"up to {words.mass(standing.foot_kg, up=True)}, full of wet soil or water"
        if standing.wind_pa is not None:
            yield "Wind", f"{words.wind(standing.wind_pa)} on its side tips it while it is empty. Tie it down."
    yield "For the engineer", ", ".join(_dead_load(estimated, words))
    if hung is not None:
        places = ", ".join(words.length(anchor_m) for anchor_m in hung.anchors_m)
        whose = "proposed, not designed" if hung.proposed else "as given"
        yield (
            "Anchors",
            f"at {places} from the left, {words.length(hung.height_m)} up; {whose}. {words.text(hung.load.note)}",
        )
        yield "On one anchor", f"at most {words.mass(max(hung.load.bearing_kg), up=True)} of dead load"


def _dead_load(estimated: PieceEstimate, words: Words) -> Iterator[str]:
    """Heaviest weight in place over the net plan area, and by length of drop edge."""
    weight, taken = estimated.weight, estimated.taken
    yield f"at most {words.areal_mass(estimated.high_per_area_kg_m2, up=True)} in place"
    for drop, kg_per_m in drop_edge_loads(taken, weight):
        yield f"of that {words.mass_per_length(kg_per_m)} along the drop at the {', '.join(drop.sides)}"


def _draw(canvas: Any, wide: float, high: float, view: PlanView, estimated: PieceEstimate, words: Words) -> None:
    """The piece on its face with seams as heavy broken lines, brackets and anchors as crosses."""
    scale = Scale.fitting(view.bounds_m, 32, 24, wide - 46, high - 32)
    drawing.draw_view(canvas, view, scale)
    drawing.overall(canvas, view.bounds_m, scale, words)
    drawing.balance_mark(canvas, scale.place(estimated.weight.centers_m["installed"][:2]), 4.0)
    x0, y0, x1, y1 = view.bounds_m
    canvas.setStrokeColor(INK)
    canvas.setLineWidth(1.6)
    turned = y1 - y0 > x1 - x0
    canvas.saveState()
    canvas.setDash(6, 2)
    for at in estimated.handling.way_in.seams_m:
        ends = ((x0, y0 + at), (x1, y0 + at)) if turned else ((x0 + at, y0), (x0 + at, y1))
        canvas.line(*scale.place(ends[0]), *scale.place(ends[1]))
    canvas.restoreState()
    standing, hung = estimated.handling.in_use.standing, estimated.handling.in_use.hung
    if standing is not None and standing.overhang is not None:
        for at in standing.overhang.bracket_places_m:
            drawing.cross_mark(canvas, scale.place((x0 + at, y0 + standing.overhang.overhang_m / 2)))
    if hung is not None:
        for at in hung.anchors_m:
            drawing.cross_mark(canvas, scale.place((x0 + at, y0 + hung.height_m)))


def _boxes(canvas: Any, wide: float, _: float, text: str) -> None:
    """A row of boxes to tick, a name and a date to write."""
    canvas.setFont(PLAIN, 7.5)
    canvas.setFillColor(INK)
    canvas.drawString(0, 4, cut(text, PLAIN, 7.5, 0.17 * wide - 4))
    step = 0.58 * wide / len(CHECKS)
    for i, check in enumerate(CHECKS):
        x = 0.17 * wide + i * step
        tick_box(canvas, x, 2, 10, 0.8)
        canvas.drawString(x + 13, 4, cut(check, PLAIN, 7.5, step - 15))
    canvas.setStrokeColor(GREY)
    canvas.setLineWidth(0.5)
    canvas.line(0.77 * wide, 2, wide, 2)
    canvas.setFillColor(GREY)
    canvas.drawString(0.77 * wide, 4, "name, date")


def _sign_off(front: Front) -> Iterator[Flowable]:
    yield from section("Accepted as set")
    yield say("Pieces, seams and finish were looked at together on the day of setting. Open points:", BODY)
    for label in ("open points", "for the client: name, date, signature", "for the workshop: name, date, signature"):
        yield Picture(front.width, 30, partial(_line, label=label))


def _line(canvas: Any, wide: float, _: float, label: str) -> None:
    canvas.setStrokeColor(INK)
    canvas.setLineWidth(0.6)
    canvas.line(0, 10, wide, 10)
    canvas.setFillColor(GREY)
    canvas.setFont(PLAIN, 7)
    canvas.drawString(0, 2, label)
