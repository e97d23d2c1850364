"""The lift sheet for the crew: what to check first, then each piece to scale with its weights and its people.

Every weight is the high side, rounded up. Published filters and the way to each figure stand in the workings.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import partial
from math import floor

from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.platypus import Flowable, Spacer

from estimator.batching.rounds import in_runs
from estimator.cautions import AppliedCaution
from estimator.estimate import Estimate, PieceEstimate
from estimator.handling.gear import Rigging
from estimator.handling.loads import FACE_UP, HOISTED, GearStage
from estimator.handling.plan import MOVES, Handling
from estimator.handling.strength import MOST_FIRST_CRACK_PA
from estimator.handling.transport import Stand
from estimator.report.papers.crew import (
    Check,
    SharedCautions,
    capacity_words,
    carry_words,
    caution_lines,
    cautions_for,
    cautions_of_piece,
    check_list,
    checks_of,
    crew_of,
    face_at,
    front_of,
    guideline_words,
    hung_words,
    marks_message,
    piece_checks,
    piece_count,
    sentence,
    shared_cautions,
    stage_words,
    tilt_words,
)
from estimator.report.papers.lift_drawing import LETTERS, draw_lift, height_of, key_of, pick_places, symbols_of
from estimator.report.papers.pour_words import strip_note, strip_time
from estimator.report.papers.style import (
    BODY,
    BOLD,
    LABEL,
    SMALL,
    Columns,
    Front,
    Picture,
    Rule,
    bind,
    crew_words_of,
    cut,
    facts,
    on_one_page,
    say,
    say_parts,
    section,
    title,
)
from estimator.report.papers.table import table
from estimator.report.screen import Column
from estimator.words import Words
from geometry.message import few, message
from geometry.shape import plan_view
from geometry.views import PlanView

ABOUT_MOVING = frozenset(
    {
        "crew-of-two", "crew-of-three-or-four", "crew-over-four", "by-machine-only",
        "above-guideline", "turned-in-form", "carried-far",
        "carried-on-stairs", "rigged", "lifted-by-inserts", "lifted-by-vacuum", "adhesion-rules",
        "crack-not-shown-safe", "carried-on-edge", "cutout-carried-on-edge", "open-cutout", "slender-strip",
        "stored-on-edge", "stored-flat", "glued-parts",
    }
)  # fmt: skip
"""Conditions whose cautions the crew reads here; what the list of checks says already is left out."""

BIG = ParagraphStyle("big", parent=BODY, fontName=BOLD, fontSize=26, leading=30)
BY_HAND = ParagraphStyle("by hand", parent=BODY, fontName=BOLD, fontSize=9.5, leading=13, spaceAfter=3)
TO_SIGN = ParagraphStyle("to sign", parent=SMALL, leading=22)
MARK = ParagraphStyle("mark", parent=BODY, fontName=BOLD, fontSize=16, leading=20)
DRAWN_HIGH, DRAWN_SHARE = 68 * mm, 0.48
MOVE_SIZES = (8.0, 7.5, 7.0, 6.5)


def lift_sheet(estimate: Estimate) -> bytes:
    """The lift sheet as PDF; the same bytes for the same estimate."""
    words = crew_words_of(estimate)
    front = Front(words("lift-title"), estimate.job, words=words)
    checks = checks_of(estimate, estimate.pieces, words, estimate.delivery.doubts)
    cautions = shared_cautions(cautions_for(estimate, ABOUT_MOVING), estimate.pieces)
    story = [*_head(estimate, checks, cautions, front, words)]
    for piece in estimate.pieces:
        story.append(on_one_page([*_piece(piece, checks, cautions.own, front, words)]))
    return bind(front, story)


def _head(
    estimate: Estimate, checks: Sequence[Check], cautions: SharedCautions, front: Front, words: Words
) -> Iterator[Flowable]:
    yield from title(front, words("lift-purpose"))
    heaviest = max(estimate.pieces, key=lambda piece: piece.weight.lift_kg)
    flipped = max(estimate.pieces, key=lambda piece: piece.weight.turn_kg)
    room = front.width / 5 - 60
    pairs = [
        (words("lift-pieces"), str(sum(piece.taken.piece.quantity for piece in estimate.pieces))),
        (words("lift-heaviest-carry"), _heavy(heaviest, heaviest.weight.lift_kg, room, words)),
        (words("lift-heaviest-flip"), _heavy(flipped, flipped.weight.turn_kg, room, words)),
        *_crews(estimate, words),
    ]
    yield from facts(pairs, front.width, columns=max(4, len(pairs)))
    yield from check_list(checks, words, front.width, message("deferral-short"))
    yield from _racks(estimate, front, words)
    yield from cautions.flowables(words)
    yield Spacer(0, 4)
    yield say(words("caution-who-governs"), SMALL)
    yield say(words("lift-guideline-note", limit_share=1.0), SMALL)
    yield Spacer(0, 6)


def _heavy(piece: PieceEstimate, mass_kg: float, room: float, words: Words) -> str:
    return f"{words.mass(mass_kg, up=True)} · {cut(piece.taken.piece.mark, BOLD, 10, max(room, 30))}"


def _crews(estimate: Estimate, words: Words) -> Iterator[tuple[str, str]]:
    """The largest crew, and the pieces that no crew may carry, or else those of which a machine makes some moves."""
    people = max(piece.handling.people for piece in estimate.pieces)
    if people:
        yield words("lift-largest-crew"), words.crew(people)
    for id, moves in (("lift-only-by-machine", {"carry"}), ("lift-some-by-machine", set(MOVES))):
        marks = [
            piece.taken.piece.mark
            for piece in estimate.pieces
            if any(move.crew is None and move.name in moves for move in piece.handling.moves)
        ]
        if marks:
            yield words(id), words.text(few(marks, 3))
            return


def _racks(estimate: Estimate, front: Front, words: Words) -> Iterator[Flowable]:
    """What stands on which rack, racks loaded alike in one row, and on which trip it goes."""
    delivery = estimate.delivery
    trip_of = {stand: number for number, trip in enumerate(delivery.trips, start=1) for stand in trip.stands}
    alike: dict[tuple[str, ...], list[tuple[int, Stand]]] = {}
    for i, stand in sorted(enumerate(delivery.stands), key=lambda numbered: (trip_of[numbered[0]], numbered[0])):
        cells = (
            words.text(marks_message([piece_count(mark, count) for mark, count in stand.pieces.items()], ())),
            words.mass(stand.load.floor_kg, up=True),
            str(stand.straps),
            words("lift-forklift-ok", verdict=stand.forklift.verdict),
        )
        alike.setdefault((stand.rack, *cells), []).append((trip_of[i], stand))
    rows = [
        (
            in_runs(trip for trip, _ in stands),
            words("stand-name", rack=rack, number=in_runs(stand.number for _, stand in stands)),
            *cells,
        )
        for (rack, *cells), stands in alike.items()
    ]
    columns = [
        Column(words("lift-trip"), True),
        Column(words("lift-rack"), False),
        Column(words("lift-rack-each"), False),
        Column(words("lift-gross"), True),
        Column(words("lift-straps"), True),
        Column(words("lift-forklift"), False),
    ]
    yield from section(words("lift-truck"), table(columns, rows, front.width, sizes=(8.0, 7.5, 7.0, 6.5)))
    yield say(words("lift-see-truck-sheet"), SMALL)


def _piece(
    estimated: PieceEstimate, checks: Sequence[Check], own: Sequence[AppliedCaution], front: Front, words: Words
) -> Iterator[Flowable]:
    piece, handling = estimated.taken.piece, estimated.handling
    yield Rule(front.width)
    yield say_parts([(piece.mark, True)], MARK)
    yield say(piece_line(estimated, words), LABEL)
    for caution in own:
        if caution.caution.when == "glued-parts" and piece.mark in caution.reasons:
            yield say(sentence(words.text(caution.reasons[piece.mark])), SMALL)
    yield Spacer(0, 3)
    yield from piece_checks(estimated, checks, handling.doubts, words, front.width)
    yield from caution_lines(cautions_of_piece(estimated, own), words)
    left, right = DRAWN_SHARE * front.width, (1 - DRAWN_SHARE) * front.width - 8
    view = plan_view(piece.shape)
    high = height_of(view, estimated, left - 6, DRAWN_HIGH, words)
    rail_m, planned = front.job.workshop.handling.strip_least_m, _planned(handling)
    left_side: list[Flowable] = [
        Picture(left - 6, high, partial(draw_lift, view=view, estimated=estimated, words=words, rail_m=rail_m)),
        say(_center(estimated, view, words), SMALL),
        say(key_of(symbols_of(estimated, view, rail_m), words), SMALL),
    ]
    left_side += [say(sentence(words.text(note)), SMALL) for note in view.notes]
    right_side: list[Flowable] = [
        say(words("lift-max-weight"), LABEL),
        say(words.mass(estimated.weight.lift_kg, up=True), BIG),
        *([say(words("lift-weight-for-gear"), BY_HAND)] if planned or _not_planned(handling) else []),
        *([say(words("lift-by-gear", stages=_names(planned, words)), BY_HAND)] if planned else []),
        say(words("lift-by-hand", people=handling.carry.persons or 0), BY_HAND),
        _stages(estimated, right, words),
    ]
    yield Columns([left_side, right_side], [left, right + 8])
    yield from _below(estimated, words)
    yield Spacer(0, 8)


def piece_line(estimated: PieceEstimate, words: Words) -> str:
    """What the piece is, how many there are, and its outer size."""
    piece = estimated.taken.piece
    name = piece.description or words("piece-use", use=piece.use)
    size = words.size(estimated.taken.solid.size_m)
    return f"{name} · {words('lift-quantity', count=piece.quantity)} {size}"


def _stages(estimated: PieceEstimate, width: float, words: Words) -> Flowable:
    """One high weight for each stage, and who moves the piece; shares only where somebody carries one."""
    handling, weight = estimated.handling, estimated.weight
    by_hand = any(move.crew is not None for move in handling.moves)
    rows = []
    for move in handling.moves:
        crew = move.lift.crew
        rows.append(
            (
                stage_words(words("lift-stage-name", stage=move.name), move.name, estimated, words),
                words.mass(move.lift.weight_kg, up=True),
                crew_of(move, handling, words),
                "–" if move.crew is None else words.mass(crew.share_kg, up=True),
                guideline_words(move, words),
            )
        )
    others = [("transport", handling.transport_kg), ("crate", handling.crated_kg)]
    if weight.filled_kg is not None:
        others.append(("soil", weight.filled_kg))
    rows += [
        (
            words("lift-stage-name", stage=stage),
            words.mass(kg, up=True),
            words("lift-not-by-hand", stage=stage),
            "–",
            "–",
        )
        for stage, kg in others
    ]
    columns = [
        Column(words("lift-stage"), False),
        Column(words("lift-stage-max"), True),
        Column(words("lift-stage-crew"), False),
        Column(words("lift-stage-each"), True),
        Column(words("lift-stage-guideline"), True),
    ]
    shown = len(columns) if by_hand else 3
    return table(columns[:shown], [row[:shown] for row in rows], width, sizes=MOVE_SIZES)


def _center(estimated: PieceEstimate, view: PlanView, words: Words) -> str:
    x, y, _ = estimated.weight.center_of_gravity_m
    x0, y0, *_ = view.bounds_m
    center = words("lift-center", along_m=x - x0, across_m=y - y0, side=front_of(estimated))
    mirrored = face_at("strip", estimated) == "down" and estimated.handling.lifting.planned
    return f"{center} {words('lift-mirrored')}" if mirrored else center


def _below(estimated: PieceEstimate, words: Words) -> Iterator[Flowable]:
    """Holds, hold point, gear, picks, and what keeps the piece whole."""
    parts: list[tuple[str, bool]] = []
    for id, text in lines_of(estimated, words):
        if parts and id not in BESIDE:
            yield say_parts(parts)
            parts = []
        if text:
            parts += [(f"{'   ' if parts else ''}{words(id)}  ", True), (text, False)]
        else:
            yield say(words(id), TO_SIGN)
    if parts:
        yield say_parts(parts)


BESIDE = frozenset({"lift-in-form", "lift-face", "lift-foam"})
"""Short lines that stand behind the one before them."""


def lines_of(estimated: PieceEstimate, words: Words) -> Iterator[tuple[str, str]]:
    """Ids of labels and what stands behind them; a label alone is a line to sign."""
    handling = estimated.handling
    when = strip_time(estimated.curing, words)
    strip = words("pour-strip-unknown") if when is None else words("lift-when-strip", when=when)
    yield "lift-when", f"{sentence(strip)} {strip_note(words, is_known=when is not None)}"
    yield "lift-hold", carry_words(handling, words)
    if face_at("strip", estimated) is None:
        yield "lift-in-form", words("lift-in-form-open")
    if handling.hold == "rigger":
        yield "lift-face", words("lift-face-open")
    if (tilt := tilt_words(handling, words)) is not None:
        yield "lift-tilt", sentence(tilt)
        if (flat := handling.flat) is not None:
            places = words.series([words.length(bearing_m) for bearing_m in flat.bearings_m])
            side = front_of(estimated) if flat.turned else "left"
            foam = words("lift-foam-places", places=places, side=side) if places else words("lift-foam-none")
            yield "lift-foam", foam
    yield from _strip(estimated, words)
    planned, left = _planned(handling), _not_planned(handling)
    hung = f" {hung_words(estimated, words)}"
    if planned:
        yield "lift-capacity", f"{capacity_words(estimated, words, planned)}{hung}"
    if left:
        loads = f"{capacity_words(estimated, words, left)}{'' if planned else hung}"
        yield "lift-not-planned", words("lift-not-planned-stages", stages=loads, count=len(left))
    if handling.gear:
        yield "lift-gear", sentence(" · ".join(map(words.text, handling.gear)))
    if handling.lifting.planned:
        yield from _picks(estimated, words)
    needed_pa = handling.needed_first_crack_pa
    advice: list[str] = [
        way
        for way in handling.cracking.advice
        if way in CREW_ADVICE
        and CREW_ADVICE[way] not in estimated.cautions
        # who carries it on edge needs no such advice, and who hangs it must not have it
        and (way != "carry-on-edge" or handling.hold == "flat")
        and (way != "cure-longer" or needed_pa is not None)
    ]
    if advice:
        strength = words.least_strength(needed_pa or 0.0)
        if (needed_pa or 0.0) > MOST_FIRST_CRACK_PA:
            advice = ["out-of-reach" if way == "cure-longer" else way for way in advice]
        # what hangs is not tilted
        advice = ["strongback-hung" if way == "strongback" and handling.hold != "on-edge" else way for way in advice]
        yield "lift-avoid", " ".join(words("lift-advice", way=way, strength=strength) for way in advice)
    if handling.tips_at_deg is not None:
        yield "lift-on-edge", words("lift-tips", degrees=floor(handling.tips_at_deg))


CREW_ADVICE = {
    "carry-on-edge": None,
    "strongback": "cutout-on-edge",
    "cure-longer": None,
    "narrow-rail": "slender-strip",
}
"""What a crew can do so that a piece does not crack, and the caution that says the same."""


def _strip(estimated: PieceEstimate, words: Words) -> Iterator[tuple[str, str]]:
    """The load at the strip, and what is signed before hands or hook take it."""
    handling, lifting = estimated.handling, estimated.handling.lifting
    strip = next(load for load in handling.loads if load.stage == "strip")
    holds_on = lifting.strip.release == "suction"
    by_hand = not next(lift.crew for lift in handling.lifts if lift.name == "strip").by_machine
    if holds_on and by_hand:
        yield "lift-hold-point-hands", words("lift-let-go", high_kg=strip.load_kg)
        yield "lift-signed", ""
    if lifting.planned or (holds_on and not by_hand):
        yield "lift-strip-load", words("lift-strip-limit", high_kg=strip.load_kg)
    if lifting.planned and not holds_on:
        yield "lift-hold-point-hook", words("lift-daylight")
        yield "lift-signed", ""


def _picks(estimated: PieceEstimate, words: Words) -> Iterator[tuple[str, str]]:
    """Where gear takes hold, and the tension of each sling."""
    handling, lifting = estimated.handling, estimated.handling.lifting
    if handling.hold == "pads":
        yield "lift-pads", _pads(estimated, words)
    elif lifting.rigging and lifting.rigging[0].cracks:
        yield "lift-picks", words("lift-picks-none")
    elif lifting.rigging:
        rigging = lifting.rigging[0]
        legs = [
            words("lift-leg", leg=letter, high_kg=leg.tension_kg).replace(" ", "\N{NO-BREAK SPACE}")
            for letter, leg in zip(LETTERS, rigging.legs, strict=False)
        ]
        tensions = {words.mass(leg.tension_kg, up=True) for leg in rigging.legs}
        tension = words(
            "lift-tension",
            legs=next(iter(tensions)) if len(tensions) == 1 else ", ".join(legs),
            over=_over(rigging),
            high_load_kg=rigging.load_kg,
            stages=_names(_planned(handling), words),
        )
        sentences = [
            sentence(words.text(rigging.name)),
            words("lift-plumb") if rigging.hook_m is None else words("lift-hook", hook_m=rigging.hook_m),
            *((words("lift-points", count=len(legs)),) if len(legs) > 2 else ()),
            tension,
            words("lift-picks-given") if rigging.given else words("picks-suggested"),
        ]
        if rigging.insert_required_kg is not None:
            sentences.append(words("lift-insert-strength", high_kg=rigging.insert_required_kg))
        if rigging.around:
            sentences.append(words("lift-around"))
        yield "lift-picks", " ".join(sentences)
    elif lifting.no_picks is not None:
        yield "lift-picks", words.text(lifting.no_picks.message)


def _over(rigging: Rigging) -> str:
    """Why the tensions of the legs sum to more than the load, which a rigger who adds them up would doubt."""
    few, slant = not rigging.shares.determinate, any(leg.tension_kg > 1.001 * leg.share_kg for leg in rigging.legs)
    return "both" if few and slant else "few" if few else "slant" if slant else "no"


def _pads(estimated: PieceEstimate, words: Words) -> str:
    pads = estimated.handling.lifting.vacuum
    if pads.cracks or not pads.places_m:
        return words("lift-pads-crack" if pads.cracks else "lift-pads-none")
    x0, y0, *_ = plan_view(estimated.taken.piece.shape).bounds_m
    places = ", ".join(f"{words.length(x - x0)} / {words.length(y - y0)}" for x, y in pads.places_m)
    load = {"high_kg": pads.flat.load_kg, "stages": _names(_planned(estimated.handling), words)}
    return words(
        "lift-pads-places", count=len(pads.places_m), pad_m=pads.pad_m, places=places, side=front_of(estimated), **load
    )


def _planned(handling: Handling) -> list[GearStage]:
    """Stages at which the piece hangs as it was checked: flat from its slings, or flat from pads on its face."""
    rigging, stages = handling.lifting.rigging, tuple[GearStage, ...]()
    if handling.hold == "pads" and pick_places(handling):
        stages = FACE_UP
    elif handling.hold == "slings" and rigging and not rigging[0].cracks:
        stages = HOISTED
    stands = dict(handling.attitudes)["set"] == "on-edge"  # a panel that is stood up to be set
    return [stage for stage in stages if stage != "install" or not stands]


def _not_planned(handling: Handling) -> list[str]:
    """Stages at which a machine moves the piece without rigging that was checked, and the crate of what gear moves."""
    by_machine = {STAGE_OF[move.name] for move in handling.moves if move.crew is None and move.name in STAGE_OF}
    if handling.lifting.planned:
        by_machine |= {"crate"} if handling.hold in ("on-edge", "flat", "upright") else {*HOISTED, "crate"}
    return [stage for stage in handling.gear_loads_kg if stage in by_machine and stage not in _planned(handling)]


STAGE_OF: Mapping[str, str] = {"strip": "strip", "flip": "turn", "carry": "yard", "set": "install"}
"""The stage whose load a move puts on its gear."""


def _names(stages: Iterable[str], words: Words) -> str:
    """Stages by the names that the table of the stages has, as a list."""
    return words.series([words("stage-name", stage=stage) for stage in stages])
