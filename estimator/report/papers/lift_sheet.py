"""The lift sheet for the crew: each piece to scale with what it weighs, who holds it where, and what may crack.

The large figure is the high side of the weight, rounded up. What no figure shows to be safe stands at the head in red
words. Published filters and the way to each figure are told in the workings, not here.
"""

from collections.abc import Iterator
from functools import partial
from math import ceil, floor
from typing import Any

from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.platypus import Flowable, KeepTogether, Spacer
from reportlab.platypus import Table as Grid

from estimator.estimate import Estimate, PieceEstimate
from estimator.handling.doubts import doubt_messages
from estimator.report.papers import drawing
from estimator.report.papers.drawing import Scale
from estimator.report.papers.style import (
    BODY,
    BOLD,
    LABEL,
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
    title,
    words_of,
)
from estimator.report.papers.table import table
from estimator.report.screen import Column
from estimator.report.words import CREW_ADVICE, DEFERRAL, MOVE_NAMES, hold_words, tilt_words
from estimator.words import Words
from geometry.shape import plan_view
from geometry.views import PlanView

ABOUT_MOVING = frozenset(
    {
        "crew-of-two", "crew-of-three-or-four", "crew-over-four", "by-machine-only",
        "above-guideline", "turned-in-form", "carried-far",
        "carried-on-stairs", "rigged", "rating-missing", "lifted-by-inserts", "lifted-by-vacuum", "adhesion-rules",
        "strength-untested", "crack-not-shown-safe", "carried-on-edge", "cutout-carried-on-edge", "slender-strip",
        "stored-on-edge", "stored-flat", "trucked",
    }
)  # fmt: skip
"""Conditions whose cautions the crew reads; the others stand on the sheets of those whom they concern."""

STAGES = {
    "fresh": "fresh, in its form",
    "demould": "out of its form",
    "transport": "on the truck",
    "installed": "in place, dry",
    "soaked": "soaked by rain",
}
BIG = ParagraphStyle("big", parent=BODY, fontName=BOLD, fontSize=26, leading=30)
MARK = ParagraphStyle("mark", parent=BODY, fontName=BOLD, fontSize=16, leading=20)
DRAWN_HIGH, DRAWN_SHARE = 60 * mm, 0.54
MOST_MARKS = 12
BESIDE_M = 0.25  # on a drawing, between two people who hold at one place
LETTERS = "ABCD"  # of pick points
SIGNED = "Signed ______________________   Date and time ______________________"
LET_GO = "seal broken all around by air or wedges, the piece moves freely in its form"
HOLD_POINT = "sides and knock-outs out, daylight seen all around the piece."
TOP_LEFT = [
    ("VALIGN", (0, 0), (-1, -1), "TOP"),
    ("LEFTPADDING", (0, 0), (-1, -1), 0),
    ("RIGHTPADDING", (0, 0), (-1, -1), 0),
    ("TOPPADDING", (0, 0), (-1, -1), 0),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 0),
]


def lift_sheet(estimate: Estimate) -> bytes:
    """The paper; the same bytes for the same estimate."""
    front, words = Front("Lift sheet", estimate.job), words_of(estimate)
    story = [*_head(estimate, front, words)]
    for piece in estimate.pieces:
        story.append(KeepTogether([*_piece(piece, front, words)]))
    story += _truck(estimate, front, words)
    return bind(front, story)


def _head(estimate: Estimate, front: Front, words: Words) -> Iterator[Flowable]:
    yield from title(front, "for the crew: every weight is the heaviest that the piece may be")
    heaviest = max(estimate.pieces, key=lambda piece: piece.weight.lift_kg)
    turned = max(estimate.pieces, key=lambda piece: piece.weight.turn_kg)
    count = sum(piece.taken.piece.quantity for piece in estimate.pieces)
    mark_room = front.width / 4 - 70
    pairs = [
        ("Pieces", str(count)),
        ("Heaviest to carry", f"{words.mass(heaviest.weight.lift_kg, up=True)} · {_short(heaviest, mark_room)}"),
        ("Heaviest to turn", f"{words.mass(turned.weight.turn_kg, up=True)} · {_short(turned, mark_room)}"),
        ("Largest crew", _largest_crew(estimate, words)),
    ]
    yield from facts(pairs, front.width)
    statements = [
        (piece.taken.piece.mark, [*map(words.text, piece.handling.not_shown_safe)]) for piece in estimate.pieces
    ]
    yield from alert(
        [*by_statement(statements), *map(words.text, doubt_messages(estimate.delivery.doubts))], front.width
    )
    cautions = [caution for caution in estimate.cautions if caution.caution.when in ABOUT_MOVING]
    rows = []
    for caution in cautions:
        marks = list(caution.pieces[:MOST_MARKS])
        more = len(caution.pieces) - len(marks)
        rows.append(
            (
                caution.caution.severity.upper(),
                words.text(caution.text),
                ", ".join(marks) + (f" +{more}" if more else ""),
            )
        )
    if rows:
        columns = [Column("", False), Column("Take care", False), Column("Pieces", False)]
        yield from section("Cautions", table(columns, rows, front.width))
    yield Spacer(0, 4)
    yield say(DEFERRAL, SMALL)
    yield say(
        "In the drawings: ○ one person's hands, ◐ where the piece balances, ▼ pick point, two rings: vacuum pad, "
        "■ foam. Dashed: behind.",
        SMALL,
    )
    yield Spacer(0, 6)


def _short(piece: PieceEstimate, room: float) -> str:
    return cut(piece.taken.piece.mark, BOLD, 10, max(room, 30))


def _largest_crew(estimate: Estimate, words: Words) -> str:
    people = words.crew(max(piece.handling.people for piece in estimate.pieces))
    moves = [move for piece in estimate.pieces for move in piece.handling.moves]
    if all(move.crew is None for move in moves):
        return "machine only"
    return f"{people}, some moves by machine" if any(move.crew is None for move in moves) else people


def _piece(estimated: PieceEstimate, front: Front, words: Words) -> Iterator[Flowable]:
    piece, handling, weight = estimated.taken.piece, estimated.handling, estimated.weight
    yield Rule(front.width)
    quantity = "1 piece" if piece.quantity == 1 else f"{piece.quantity} pieces, each:"
    yield say_parts([(piece.mark, True)], MARK)
    yield say(f"{piece.use} · {quantity} {words.size(estimated.taken.solid.size_m)}", LABEL)
    yield Spacer(0, 3)
    yield from alert([*map(words.text, handling.not_shown_safe)], front.width)
    left, right = DRAWN_SHARE * front.width, (1 - DRAWN_SHARE) * front.width - 8
    view = plan_view(piece.shape)
    left_side: list[Flowable] = [
        Picture(left - 6, DRAWN_HIGH, partial(_draw, view=view, estimated=estimated, words=words)),
        say(_balance(estimated, view, words), SMALL),
    ]
    left_side += [say(f"{note[0].upper()}{note[1:]}.", SMALL) for note in view.notes]
    right_side: list[Flowable] = [
        say("Heaviest when carried", LABEL),
        say(words.mass(weight.lift_kg, up=True), BIG),
        *_lifts(estimated, words),
        Spacer(0, 4),
        _weights(estimated, right, words),
    ]
    yield Grid([[left_side, right_side]], colWidths=[left, right + 8], style=TOP_LEFT)
    yield from _below(estimated, words)
    yield Spacer(0, 8)


def _name(move: str) -> str:
    return MOVE_NAMES[move][0].upper() + MOVE_NAMES[move][1:]


def _lifts(estimated: PieceEstimate, words: Words) -> Iterator[Flowable]:
    for move in estimated.handling.moves:
        crew, weight = move.lift.crew, words.mass(move.lift.weight_kg, up=True)
        if move.crew is None:
            yield say_parts(
                [(f"{_name(move.name)}: machine only", True), (f" ({words.text(move.gear or '')}) · {weight}", False)]
            )
            continue
        burden = "" if crew.persons == 1 else f", up to {words.mass(crew.share_kg, up=True)} each"
        parts = [(f"{_name(move.name)}: {words.crew(move.crew)}", True), (f"{burden} · {weight}", False)]
        share = move.lift.guideline_share
        if share is not None:
            parts.append((f" · {ceil(100.0 * share - 1e-9)}% of the guideline", False))
        if move.gear:
            parts.append((f" · {words.text(move.gear)}", False))
        if move.lift.remark:
            parts.append((f" · {words.text(move.lift.remark)}", False))
        yield say_parts(parts)
    yield say_parts([("Hold it ", True), (hold_words(estimated.handling, words), False)])
    if (tilt := tilt_words(estimated.handling)) is not None:
        yield say_parts([("Tilt it up ", True), (tilt, False)])
        if (flat := estimated.handling.flat) is not None:
            places = " and ".join(words.length(bearing_m) for bearing_m in flat.bearings_m)
            start = "front" if flat.turned else "left"
            yield say_parts([("Bear on foam ", True), (f"{places} from the {start}", False)])


def _weights(estimated: PieceEstimate, width: float, words: Words) -> Flowable:
    weight = estimated.weight
    rows = [
        (STAGES[stage], words.mass(band.low_kg, up=False), words.mass(band.high_kg, up=True))
        for stage, band in weight.by_stage.items()
    ]
    rows.append(("turned, form and boards on", "", words.mass(weight.turn_kg, up=True)))
    rows.append(("in its crate", "", words.mass(estimated.handling.crated_kg, up=True)))
    if weight.filled_kg is not None:
        rows.append(("full of wet soil", "", words.mass(weight.filled_kg, up=True)))
    return table([Column("Weight", False), Column("at least"), Column("at most")], rows, width)


def _below(estimated: PieceEstimate, words: Words) -> Iterator[Flowable]:
    """Gear, picks, and what keeps it whole."""
    handling = estimated.handling
    lifting = handling.lifting
    strip = next(load for load in handling.loads if load.stage == "strip")
    holds_on = lifting.strip.release == "suction"
    by_hand = not next(lift.crew for lift in handling.lifts if lift.name == "strip").by_machine
    if holds_on and by_hand:
        held = f"As long as the form holds it, it takes {words.mass(strip.load_kg, up=True)}: by hoist only."
        yield say_parts([("HOLD POINT before hands lift it out: ", True), (f"{LET_GO}. {held}", False)])
        yield say(SIGNED, SMALL)
    if lifting.planned or (holds_on and not by_hand):
        limit = f"Set the hoist's limiter or load cell to {words.mass(strip.load_kg, up=True)} to strip."
        yield say_parts([("Strip load: ", True), (f"{limit} If it trips, stop and wedge again.", False)])
    if lifting.planned and lifting.strip.release == "hold-point":
        yield say_parts([("HOLD POINT before the hook takes weight: ", True), (HOLD_POINT, False)])
        yield say(SIGNED, SMALL)
    if handling.gear:
        yield say_parts([("Gear: ", True), ("; ".join(map(words.text, handling.gear)), False)])
    if lifting.planned:
        if handling.hold == "pads":
            yield say_parts([("Vacuum pads: ", True), (_pads(estimated, words), False)])
        elif lifting.rigging and lifting.rigging[0].cracks:
            yield say_parts([("Pick points: ", True), ("none. Those given would crack it.", False)])
        elif lifting.rigging:
            rigging = lifting.rigging[0]
            legs = ", ".join(
                f"{letter} {words.mass(leg.tension_kg, up=True)}"
                for letter, leg in zip(LETTERS, rigging.legs, strict=False)
            )
            above = "plumb from a spreader" if rigging.hook_m is None else f"hook {words.length(rigging.hook_m)} above"
            sentence = f"{words.text(rigging.name)}, {above}. Sling tension: {legs}. {_whose(rigging.given)}"
            if rigging.around:
                sentence += " Edge protectors at every edge, a stop against sliding, slings clear of openings."
            yield say_parts([("Pick points: ", True), (sentence, False)])
        elif lifting.no_picks is not None:
            yield say_parts([("Pick points: ", True), (words.text(lifting.no_picks.message), False)])
        loads = ", ".join(f"{load.stage} {words.mass(load.load_kg, up=True)}" for load in lifting.loads)
        yield say_parts([("Gear must carry: ", True), (loads, False)])
    advice = [CREW_ADVICE[way] for way in handling.cracking.advice if way in CREW_ADVICE]
    if handling.hold != "flat":  # who carries it on edge needs no such advice, and who hangs it must not have it
        advice = [way for way in advice if way != CREW_ADVICE["carry-on-edge"]]
    if advice:
        yield say_parts([("To avoid cracking: ", True), ("; ".join(advice), False)])
    if handling.tips_at_deg is not None:
        lean = floor(handling.tips_at_deg)
        at = f"at {lean}°" if lean else "under 1°"
        yield say(f"Tips over {at} of lean. Never leave it unsecured on edge.")


def _pads(estimated: PieceEstimate, words: Words) -> str:
    pads = estimated.handling.lifting.vacuum
    if not pads.places_m:
        return "no place found for them. Lift it by other gear."
    x0, y0, *_ = plan_view(estimated.taken.piece.shape).bounds_m
    places = ", ".join(f"{words.length(x - x0)} / {words.length(y - y0)}" for x, y in pads.places_m)
    return (
        f"{len(pads.places_m)} of {words.length(pads.pad_m)}, centers from left / front at {places}. "
        "On the clean, dry face only. Rig a safety chain or strap. Keep everybody from under it."
    )


def _whose(given: bool) -> str:
    return "Points as the workshop gave them." if given else "Suggestion only: a qualified rigger decides."


def _balance(estimated: PieceEstimate, view: PlanView, words: Words) -> str:
    x, y, z = estimated.weight.center_of_gravity_m
    x0, y0, _, _ = view.bounds_m
    low = estimated.taken.solid.lowest_m[2]
    return (
        f"It balances {words.length(x - x0)} from the left, {words.length(y - y0)} from the front, "
        f"{words.length(max(z - low, 0.0))} up. Seen on its face."
    )


def _draw(canvas: Any, wide: float, high: float, view: PlanView, estimated: PieceEstimate, words: Words) -> None:
    scale = Scale.fitting(view.bounds_m, 36, 26, wide - 50, high - 36)
    drawing.draw_view(canvas, view, scale)
    drawing.overall(canvas, view.bounds_m, scale, words)
    lifting = estimated.handling.lifting
    hangs = estimated.handling.hold in ("slings", "pads", "rigger")
    if estimated.handling.hold == "pads":
        for place in lifting.vacuum.places_m:
            drawing.pad_mark(canvas, scale.place(place), lifting.vacuum.pad_m * scale.per_m / 2)
    elif estimated.handling.hold == "slings" and lifting.rigging:
        for letter, pick in zip(LETTERS, lifting.rigging[0].picks_m, strict=False):
            drawing.pick_mark(canvas, scale.place(pick), letter)
    elif not hangs:
        if estimated.handling.hold == "on-edge" and (flat := estimated.handling.flat) is not None:
            low_up = estimated.handling.edge_up in ("front", "left", "bottom")
            up, down = (0.0, flat.width_m) if low_up else (flat.width_m, 0.0)
            x, y = scale.place(flat.own((flat.length_m / 2, up)))
            if flat.turned:
                x += 4 if low_up else -56
            else:
                x, y = x - 26, y + (3 if low_up else -9)
            drawing.note(canvas, x, y, "THIS EDGE UP", 6.5)
            for bearing_m in flat.bearings_m:
                drawing.foam_mark(canvas, scale.place(flat.own((bearing_m, down))))
        for at in _hands(estimated, view):
            drawing.hand_mark(canvas, scale.place(at))
    drawing.balance_mark(canvas, scale.place(estimated.weight.center_of_gravity_m[:2]))


def _hands(estimated: PieceEstimate, view: PlanView) -> list[tuple[float, float]]:
    """Where each person holds, in plan: at the ends of the piece, or at both long sides where two hold a place.

    On edge everybody has a hand under the edge that is down, two at one place on either side of it.
    """
    size = estimated.taken.solid.size_m
    along = 0 if size[0] >= size[1] else 1
    if estimated.handling.hold == "on-edge":
        return _hands_on_edge(estimated, view, along)
    low, high = view.bounds_m[:2], view.bounds_m[2:]
    middle = (low[1 - along] + high[1 - along]) / 2
    held: list[tuple[float, float]] = []
    for hold in estimated.handling.carry.holds:
        if hold.persons == 1:
            first = hold.position_m < size[along] / 2
            spots = [(low[along] if first else high[along], middle)]
        else:
            at = low[along] + hold.position_m
            spots = [(at, (low if number % 2 == 0 else high)[1 - along]) for number in range(hold.persons)]
        held += [(x, y) if along == 0 else (y, x) for x, y in spots]
    return held


def _hands_on_edge(estimated: PieceEstimate, view: PlanView, along: int) -> list[tuple[float, float]]:
    low, high = view.bounds_m[:2], view.bounds_m[2:]
    low_up = estimated.handling.edge_up in ("front", "left", "bottom")
    down = (high if low_up else low)[1 - along]
    held = []
    for hold in estimated.handling.carry.holds:
        for number in range(hold.persons):
            at = low[along] + hold.position_m + BESIDE_M * (number - (hold.persons - 1) / 2)
            spot = (min(max(at, low[along]), high[along]), down)
            held.append(spot if along == 0 else spot[::-1])
    return held


def _truck(estimate: Estimate, front: Front, words: Words) -> Iterator[Flowable]:
    """What stands on which rack, and what rides on which trip."""
    delivery = estimate.delivery
    trip_of = {stand: number for number, trip in enumerate(delivery.trips, start=1) for stand in trip.stands}
    rows = [
        (
            f"trip {trip_of[i]}" if i in trip_of else "",
            stand.name,
            ", ".join(f"{count} × {mark}" for mark, count in list(stand.pieces.items())[:MOST_MARKS])
            + (f" and {len(stand.pieces) - MOST_MARKS} more marks" if len(stand.pieces) > MOST_MARKS else ""),
            words.mass(stand.load.floor_kg, up=True),
            str(stand.tie.count),
            "yes" if stand.forklift.shown_safe else stand.forklift.verdict,
        )
        for i, stand in enumerate(delivery.stands)
    ]
    heads = ("Trip", "Rack", "Pieces", "Weight, rack in", "Straps", "Forklift may")
    columns = [Column(head, head in ("Weight, rack in", "Straps")) for head in heads]
    yield from section("On the truck", table(columns, rows, front.width))
    yield say(" ".join(map(words.text, delivery.assumptions)), SMALL)
