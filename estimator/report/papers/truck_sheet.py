"""The truck sheet: what stands on which rack, where it stands on the bed, what it weighs, and how it is strapped."""

from collections.abc import Iterator, Mapping, Sequence
from functools import partial
from typing import Any

from reportlab.platypus import Flowable, Spacer
from reportlab.platypus import Table as Grid

from estimator.batching.rounds import in_runs
from estimator.estimate import Estimate
from estimator.handling import Delivery
from estimator.handling.transport import Stand, Trip
from estimator.report.papers.crew import (
    caution_lines,
    cautions_for,
    check_list,
    checks_of,
    piece_count,
    signature,
)
from estimator.report.papers.style import (
    BOLD,
    GREY,
    INK,
    PLAIN,
    SMALL,
    TINT,
    TOP_LEFT,
    Front,
    Picture,
    bind,
    crew_words_of,
    cut,
    facts,
    on_one_page,
    say,
    section,
    size_that_fits,
    title,
)
from estimator.report.papers.table import table
from estimator.report.screen import Column
from estimator.words import Words

ABOUT_LOADING = frozenset({"trucked", "stored-on-edge", "stored-flat"})
"""Conditions whose cautions the loaders and the driver read."""

DRAWN_SHARE, CAB = 0.36, 16.0
SIZES = (8.0, 7.5, 7.0, 6.5)
SHORT = {"A-frame": "A", "pallet": "P"}
"""Letters of the racks where a name has no room."""


def truck_sheet(estimate: Estimate) -> bytes:
    """The paper; the same bytes for the same estimate."""
    words = crew_words_of(estimate)
    front = Front(words("truck-title"), estimate.job, words=words)
    delivery = estimate.delivery
    story = [*_head(estimate, front, words)]
    for numbers in _alike(delivery):
        story.append(on_one_page([*_trips(delivery, numbers, front, words)]))
    return bind(front, story)


def _head(estimate: Estimate, front: Front, words: Words) -> Iterator[Flowable]:
    delivery = estimate.delivery
    yield from title(front, words("truck-purpose"))
    heaviest = max(delivery.stands, key=lambda stand: stand.load.floor_kg)
    straps = max(sum(delivery.stands[i].straps for i in trip.stands) for trip in delivery.trips)
    pairs = [
        (words("truck-trips"), str(len(delivery.trips))),
        (words("truck-gross-all"), words.mass(delivery.gross_kg, up=True)),
        (words("truck-heaviest"), f"{words.mass(heaviest.load.floor_kg, up=True)} · {_name([heaviest], words)}"),
        (words("truck-most-straps"), words("truck-straps-rated", count=straps, rating_kg=heaviest.strap_kg)),
    ]
    yield from facts(pairs, front.width)
    checks = checks_of(estimate, (), words, delivery.doubts)
    # that both sides of an A-frame are loaded evenly stands among the cautions
    assumed = [line for line in delivery.assumptions if line.id != "truck-a-frames"]
    yield from check_list(checks, words, front.width, *assumed, heading=words("truck-check-title"))
    cautions = cautions_for(estimate, ABOUT_LOADING)
    if cautions:
        yield from section(words("truck-cautions"), *caution_lines(cautions, words))
    yield say(words("caution-who-governs"), SMALL)


MOST_UNBROKEN = 16  # letters of a name that stays on one line


def _name(stands: Sequence[Stand], words: Words) -> str:
    """A rack, or racks of one kind, by their numbers."""
    name = words("stand-name", rack=stands[0].rack, number=in_runs(stand.number for stand in stands))
    return name.replace(" ", "\N{NO-BREAK SPACE}") if len(name) <= MOST_UNBROKEN else name


def _alike(delivery: Delivery) -> list[list[int]]:
    """Numbers of the trips, those that are loaded alike together."""
    trips: dict[object, list[int]] = {}
    for number, trip in enumerate(delivery.trips, start=1):
        rows = tuple(tuple(_load_of(delivery.stands[i]) for i in row) for row in trip.rows)
        trips.setdefault(rows, []).append(number)
    return list(trips.values())


def _load_of(stand: Stand) -> tuple[object, ...]:
    """What makes a rack like another: all but its number."""
    sides = tuple(tuple(side.items()) for side in stand.sides)
    return stand.rack, sides, stand.length_m, stand.depth_m, stand.load.floor_kg, stand.straps


def _trips(delivery: Delivery, numbers: Sequence[int], front: Front, words: Words) -> Iterator[Flowable]:
    """Trips that are loaded alike: the bed once, every rack by its number, and a line to sign for each trip."""
    trips = [delivery.trips[number - 1] for number in numbers]
    trip = trips[0]
    heading = words("truck-trip", trip=in_runs(numbers), trips=len(delivery.trips), count=len(numbers))
    load = words(
        "truck-load",
        high_kg=trip.truck.load_kg,
        payload_kg=delivery.payload_kg,
        bed_long_m=trip.bed_m,
        length_long_m=delivery.bed_m[0],
    )
    left = DRAWN_SHARE * front.width
    high = CAB / 2 + (left - CAB - 8) * delivery.bed_m[1] / max(delivery.bed_m[0], trip.bed_m)
    draw = partial(_draw, delivery=delivery, trips=trips, words=words)
    stands = _stands(delivery, trips, front.width - left - 6, words)
    grid = Grid([[Picture(left - 6, high, draw), stands]], colWidths=[left, front.width - left], style=TOP_LEFT)
    yield from section(heading, say(load, SMALL), Spacer(0, 3), grid)
    yield Spacer(0, 4)
    for number in numbers:
        yield from signature(words("truck-loaded-by", trip=number), front.width)


def _stands(delivery: Delivery, trips: Sequence[Trip], width: float, words: Words) -> Flowable:
    """The racks of trips that are loaded alike: those with the same load in one row, with boxes to tick for each."""
    alike: dict[tuple[object, ...], list[Stand]] = {}
    for trip in trips:
        for i in trip.stands:
            alike.setdefault(_load_of(delivery.stands[i]), []).append(delivery.stands[i])
    rows = []
    for stands in alike.values():
        stand = stands[0]
        rows.append(
            (
                _name(stands, words),
                _pieces(stand, words),
                words.mass(stand.load.floor_kg, up=True),
                str(stand.straps),
                words.mass(stand.tie.working_load_kg, up=True),
                words("lift-forklift-ok", verdict=stand.forklift.verdict),
                "\n".join(f"{each.number}  ☐  ☐" for each in stands),
            )
        )
    columns = [
        Column(words("lift-rack"), False),
        Column(words("lift-rack-each"), False),
        Column(words("truck-gross"), True),
        Column(words("lift-straps"), True),
        Column(words("truck-strap-total"), True),
        Column(words("lift-forklift"), False),
        Column(words("truck-ticks"), True),
    ]
    return table(columns, rows, width, sizes=SIZES)


def _pieces(stand: Stand, words: Words) -> str:
    """What stands on a rack; of an A-frame, on either side."""
    if len(stand.sides) == 1:
        return _counts(stand.sides[0])
    return "\n".join(
        words("truck-side", side=letter, pieces=_counts(side))
        for letter, side in zip("AB", stand.sides, strict=True)
        if side
    )


def _counts(pieces: Mapping[str, int]) -> str:
    """Every mark and how many of it: the loader looks for each."""
    return ", ".join(piece_count(mark, count) for mark, count in pieces.items())


def _draw(canvas: Any, wide: float, high: float, delivery: Delivery, trips: Sequence[Trip], words: Words) -> None:
    """The bed from above, the cab to the left, and where each rack stands on it."""
    trip = trips[0]
    length_m, width_m = delivery.bed_m
    scale = (wide - CAB - 2) / max(length_m, trip.bed_m)
    top = high - 2
    canvas.setStrokeColor(INK)
    canvas.setLineWidth(1.0)
    canvas.rect(CAB, top - width_m * scale, length_m * scale, width_m * scale, stroke=1, fill=0)
    canvas.rect(2, top - 0.85 * width_m * scale, CAB - 2, 0.7 * width_m * scale, stroke=1, fill=0)
    canvas.saveState()
    canvas.translate(11, top - width_m * scale / 2)
    canvas.rotate(90)
    canvas.setFont(PLAIN, 6)
    canvas.setFillColor(GREY)
    canvas.drawCentredString(0, 0, words("truck-cab"))
    canvas.restoreState()
    at_m = 0.0
    for row in zip(*(trip.rows for trip in trips), strict=True):
        places = [[delivery.stands[i] for i in place] for place in zip(*row, strict=True)]
        _row(canvas, places, (CAB + at_m * scale, top - width_m * scale / 2), scale, words)
        at_m += max(stands[0].length_m for stands in places)


def _row(canvas: Any, places: Sequence[Sequence[Stand]], at: tuple[float, float], scale: float, words: Words) -> None:
    """Racks abreast, in the middle of the bed: in each place one of every trip."""
    x, y = at[0], at[1] + scale * sum(stands[0].depth_m for stands in places) / 2
    for stands in places:
        stand = stands[0]
        wide, high = stand.length_m * scale, stand.depth_m * scale
        y -= high
        canvas.setFillColor(TINT)
        canvas.setStrokeColor(INK)
        canvas.setLineWidth(0.6)
        canvas.rect(x + 0.8, y + 0.8, wide - 1.6, high - 1.6, stroke=1, fill=1)
        canvas.setFillColor(INK)
        name = _name(stands, words)
        size = size_that_fits(name, BOLD, wide - 4, 7.5, 5.5)
        canvas.setFont(BOLD, size)
        short = f"{SHORT[stand.rack]}{in_runs(stand.number for stand in stands)}"
        fits = canvas.stringWidth(name, BOLD, size) <= wide - 4
        canvas.drawCentredString(x + wide / 2, y + high / 2 + 0.5, name if fits else short)
        canvas.setFont(PLAIN, 6)
        weight = cut(words.mass(stand.load.floor_kg, up=True), PLAIN, 6, wide - 3)
        canvas.drawCentredString(x + wide / 2, y + high / 2 - 7.5, weight)
