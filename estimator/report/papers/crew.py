"""What the papers of the lifting, trucking and install crews share: the checks, the cautions, and moves in words."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from functools import partial
from itertools import zip_longest
from math import ceil
from typing import Any, Literal

from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Flowable, Spacer
from reportlab.platypus import Table as Grid

from estimator.cautions import AppliedCaution
from estimator.estimate import Estimate, PieceEstimate
from estimator.handling import Handling
from estimator.handling.doubts import Doubt, DoubtId, marks_by_doubt
from estimator.handling.plan import Move, PlannedMove, move_name
from estimator.report.papers.style import (
    BODY,
    GREY,
    HEAD,
    INK,
    PLAIN,
    RED,
    WORDS,
    Columns,
    Framed,
    Picture,
    say,
    say_parts,
    section,
    tick_box,
)
from estimator.words import Words
from geometry.frozen import frozen
from geometry.message import Message, few, message

MOST_MARKS = 12
"""Marks that a line names; of more, it says how many."""

UNTESTED: frozenset[DoubtId] = frozenset({"carry-untested", "slings-untested", "pads-untested", "walls-untested"})
"""Doubts that say no more than that a mix has no strength test."""

UNRATED: frozenset[DoubtId] = frozenset({"rating-missing", "insert-untested"})

OPPOSITE = {"front": "back", "back": "front", "left": "right", "right": "left", "top": "bottom", "bottom": "top"}


# --------------------------------------------------------------------------- checks


@frozen
class Check:
    """One line of the list that is gone through before anything is moved.

    marks   of the pieces that it is about; none where it is about the truck and its racks
    ids     of the doubts that it stands for
    common  it is about every piece of the sheet, and more than one: then it stands in the list alone
    """

    text: Message
    marks: tuple[str, ...]
    ids: frozenset[DoubtId]
    common: bool

    def is_about(self, mark: str, doubt: Doubt) -> bool:
        """Whether the check is about this doubt of this piece."""
        return doubt.id in self.ids and mark in self.marks and (len(self.ids) > 1 or doubt.message in _parts(self.text))


def _parts(text: Message) -> tuple[Any, ...]:
    return (text, *(value for _, value in text.values))


def checks_of(
    estimate: Estimate, pieces: Sequence[PieceEstimate], words: Words, doubts: Iterable[Doubt] = ()
) -> list[Check]:
    """What is missing or does not fit: ratings, strength tests by mix, then everything else, each once.

    doubts   of the truck and its racks
    """
    of_pieces = marks_by_doubt((piece.taken.piece.mark, piece.handling.doubts) for piece in pieces)
    marks = {doubt: of_pieces.pop(doubt, []) for doubt in doubts} | of_pieces
    untested: dict[tuple[str, ...], list[str]] = {}
    for piece in pieces:
        if UNTESTED & {doubt.id for doubt in piece.handling.doubts}:
            untested.setdefault(_untested_mixes(estimate, piece, words), []).append(piece.taken.piece.mark)
    every = [piece.taken.piece.mark for piece in pieces]
    checks = []
    unrated = [doubt for doubt in marks if doubt.id in UNRATED]
    if unrated:
        gear = [doubt.about or message("lifting-inserts") for doubt in unrated]
        about = dict.fromkeys(mark for doubt in unrated for mark in marks[doubt])
        checks.append(Check(message("check-ratings", gear=gear), tuple(about), UNRATED, len(about) == len(every) > 1))
    for mixes, named in untested.items():
        text = message("check-untested", mixes=mixes, pieces=marks_message(named, every))
        checks.append(Check(text, tuple(named), UNTESTED, len(named) == len(every) > 1))
    for doubt, named in marks.items():
        if doubt.id not in UNRATED | UNTESTED:
            text = message("about", subject=marks_message(named, every), text=doubt.message) if named else doubt.message
            checks.append(Check(text, tuple(named), frozenset({doubt.id}), len(named) == len(every) > 1))
    return checks


def _untested_mixes(estimate: Estimate, piece: PieceEstimate, words: Words) -> tuple[str, ...]:
    """Names of the mixes of a piece that have no strength test."""
    mixes = [estimate.job.mixes[name] for name in dict.fromkeys(layer.mix for layer in piece.taken.piece.layers)]
    untested = [words.name(mix) for mix in mixes if mix.first_crack_strength_pa is None]
    return tuple(untested or [words.name(mix) for mix in mixes])


def marks_message(marks: Sequence[str], every: Sequence[str]) -> Message:
    """The marks of a statement; where they are all there are, and more than one, it says so."""
    if len(marks) == len(every) > 1:
        return message("all-pieces")
    return few(marks, MOST_MARKS)


def piece_count(mark: str, count: int) -> str:
    """A mark and how many of it, kept on one line."""
    return f"{mark}\N{NO-BREAK SPACE}({count})"


def check_list(
    checks: Sequence[Check], words: Words, width: float, *more: Message, heading: str = ""
) -> list[Flowable]:
    """The numbered list in its frame, a box to tick before each line; `more` stands on every sheet of the kind."""
    lines = [*(check.text for check in checks), *more]
    rows: list[list[Any]] = [[say(heading or words("check-title"), HEAD), "", ""]]
    for number, line in enumerate(lines, start=1):
        rows.append([Picture(11, 11, _box), say(f"{number}", WORDS), say(words.text(line), WORDS)])
    style = [
        ("BOX", (0, 0), (-1, -1), 1.6, RED),
        ("SPAN", (0, 0), (-1, 0)),
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 6),
        ("RIGHTPADDING", (0, 0), (-1, -1), 3),
        ("TOPPADDING", (0, 0), (-1, -1), 2),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 2),
    ]
    return [Grid(rows, colWidths=[20, 22, width - 42], style=style), Spacer(0, 5)]


def _box(canvas: Any, _wide: float, _high: float) -> None:
    tick_box(canvas, 0, 0.5, 9, 0.8)


def piece_checks(
    piece: PieceEstimate, checks: Sequence[Check], doubts: Sequence[Doubt], words: Words, width: float
) -> list[Flowable]:
    """Framed doubts of a piece that are not every piece's, each with its number in the list; [] without any.

    doubts   of the piece, as far as the sheet goes
    """
    mark = piece.taken.piece.mark
    lines: dict[int, Message] = {}
    for doubt in doubts:
        number = next((n for n, check in enumerate(checks, start=1) if check.is_about(mark, doubt)), None)
        if number is not None and not checks[number - 1].common:
            text = message("check-untested-piece") if doubt.id in UNTESTED else doubt.message
            lines.setdefault(number, text)
    if not lines:
        return []
    rows = [
        Columns(
            [[say(words("check-number", number=number), WORDS)], [say(words.text(text), WORDS)]], [96, width - 106], 0
        )
        for number, text in sorted(lines.items())
    ]
    return [Framed(rows, width, RED, 1.2), Spacer(0, 4)]


# --------------------------------------------------------------------------- cautions


def cautions_for(estimate: Estimate, conditions: Collection[str]) -> list[AppliedCaution]:
    """The cautions of a sheet's readers."""
    return [caution for caution in estimate.cautions if caution.caution.when in conditions]


@frozen
class SharedCautions:
    """The cautions of a sheet: what is said on every page marks nothing.

    every   hold for every piece and stand once
    most    hold for more than half of them and stand once, each with its marks
    own     stand on the pieces for which they hold
    marks   of the sheet, in their order
    """

    every: tuple[AppliedCaution, ...]
    most: tuple[AppliedCaution, ...]
    own: tuple[AppliedCaution, ...]
    marks: tuple[str, ...]

    def flowables(self, words: Words) -> Iterator[Flowable]:
        """Those that stand once, under their headings."""
        if self.every:
            yield from section(words("lift-every-piece"), *caution_lines(self.every, words))
        if self.most:
            of = [few([mark for mark in self.marks if mark in caution.pieces], MOST_MARKS) for caution in self.most]
            yield from section(words("lift-these-pieces"), *caution_lines(self.most, words, marks=of))


def shared_cautions(cautions: Sequence[AppliedCaution], pieces: Sequence[PieceEstimate]) -> SharedCautions:
    """Cautions of a sheet by where they stand. A note on what is glued stays with its piece, whose reason it gives."""
    marks = tuple(piece.taken.piece.mark for piece in pieces)

    def share(caution: AppliedCaution) -> float:
        return sum(mark in caution.pieces for mark in marks) / max(len(marks), 1)

    every = tuple(caution for caution in cautions if share(caution) == 1.0)
    most = tuple(
        caution for caution in cautions if 0.5 < share(caution) < 1.0 and caution.caution.when != "glued-parts"
    )
    return SharedCautions(every, most, tuple(c for c in cautions if c not in every and c not in most), marks)


def caution_lines(
    cautions: Iterable[AppliedCaution], words: Words, style: ParagraphStyle = BODY, marks: Iterable[Message] = ()
) -> Iterator[Flowable]:
    """Each caution as a line: its signal word, then hazard, consequence and action.

    marks   of the pieces that each is about, where it stands away from them
    """
    for caution, of in zip_longest(cautions, marks):
        signal = words(f"severity-{caution.caution.severity}")
        about = f"{words.text(of)}:  " if of is not None else ""
        yield say_parts([(f"{signal}  {about}", True), (words.text(caution.text), False)], style)
        yield Spacer(0, 2)


def cautions_of_piece(piece: PieceEstimate, cautions: Iterable[AppliedCaution]) -> list[AppliedCaution]:
    """Cautions that hold for one piece."""
    return [caution for caution in cautions if piece.taken.piece.mark in caution.pieces]


# --------------------------------------------------------------------------- moves


def sentence(text: str) -> str:
    """Text that stands as a sentence."""
    text = text[:1].upper() + text[1:]
    return text if text.endswith(".") else f"{text}."


def hold_words(handling: Handling, words: Words) -> str:
    """How the piece is carried, and whether its face is up."""
    face = "none" if handling.flat is None else "up"
    return words("hold", hold=handling.hold, edge=handling.edge_up or "long", face=face)


def carry_words(handling: Handling, words: Words) -> str:
    """How the piece is carried, as sentences; what gear carries may hang, or ride on a cart."""
    rides = handling.carry.by_machine and handling.hold in ("slings", "pads")
    return sentence(hold_words(handling, words)) + (f" {words('hold-on-cart')}" if rides else "")


def face_at(move: Move, piece: PieceEstimate) -> Literal["up", "down"] | None:
    """Which way the finished face looks in a move: down in its form, up when it is flat after the flip.

    None on edge, in the flip, for what is no plate, and where a rigger decides.
    """
    if not piece.taken.piece.shape.is_cast_face_down:
        return None
    if move == "strip":
        return "down"
    lies_flat = dict(piece.handling.attitudes).get(move) in ("flat", "slings", "pads")
    return "up" if lies_flat and piece.handling.flat is not None else None


def stage_words(name: str, move: Move, piece: PieceEstimate, words: Words) -> str:
    """The name of a move, with the side to which the face looks."""
    face = face_at(move, piece)
    return name if face is None else words("lift-stage-face", name=name, face=face)


def front_of(piece: PieceEstimate) -> str:
    """Name of the side that is drawn below: the front, or the bottom of a panel."""
    plate = piece.taken.piece.shape.plate()
    return "front" if plate is None else plate.sides[0]


def tilt_words(handling: Handling, words: Words) -> str | None:
    """How the piece gets up on edge; None where it does not."""
    if "tilt" not in dict(handling.attitudes):
        return None
    return words("tilt", edge=OPPOSITE[handling.edge_up] if handling.edge_up else "long")


def crew_of(move: PlannedMove, handling: Handling, words: Words) -> str:
    """Who makes a move, or which machine, with the flag of a strength that is not shown."""
    flag = words("strength-flag", strength=handling.strength)
    if move.crew is None:
        return words("move-by-machine", gear=words.text(move.gear or "")) + flag
    gear = f", {words.text(move.gear)}" if move.gear is not None else ""
    return f"{words.crew(move.crew)}{gear}{flag}"


def moves_words(handling: Handling, words: Words, names: Collection[str]) -> str:
    """Who makes the moves of these names, moves by the same crew together: "carry, set: 2 people"."""
    by_crew: dict[str, list[str]] = {}
    for move in handling.moves:
        if move.name in names:
            by_crew.setdefault(crew_of(move, handling, words), []).append(words.text(move_name(move.name)))
    if len(by_crew) == 1:
        return next(iter(by_crew))
    return " · ".join(f"{', '.join(moves)}: {crew}" for crew, moves in by_crew.items())


def capacity_words(piece: PieceEstimate, words: Words, stages: Collection[str]) -> str:
    """Least capacity of the gear at each of these stages."""
    loads = [
        words("lift-capacity-stage", name=words("stage-name", stage=stage), high_kg=kg).replace(
            " ", "\N{NO-BREAK SPACE}"
        )
        for stage, kg in piece.handling.gear_loads_kg.items()
        if stage in stages
    ]
    return f"{' · '.join(loads)}."


def hung_words(piece: PieceEstimate, words: Words) -> str:
    """What the piece hangs from with these loads."""
    wish = piece.taken.piece.handling
    return words("lift-capacity-for", hung_from=wish.ground if wish.hung_from == "machine" else wish.hung_from)


def guideline_words(move: PlannedMove, words: Words) -> str:
    """Share of the published team guideline, rounded up, or that there is none for so many; a dash for a machine."""
    share = move.lift.guideline_share
    if move.crew is None:
        return "–"
    return words("lift-no-guideline") if share is None else words.share(ceil(100.0 * share - 1e-9) / 100.0)


# --------------------------------------------------------------------------- signatures


def signature(label: str, width: float) -> Iterator[Flowable]:
    """A line to sign, what is to be written under it."""
    yield Picture(width, 26, partial(_line, label=label))


def _line(canvas: Any, wide: float, _: float, label: str) -> None:
    canvas.setStrokeColor(INK)
    canvas.setLineWidth(0.6)
    canvas.line(0, 9, wide, 9)
    canvas.setFillColor(GREY)
    canvas.setFont(PLAIN, 7)
    canvas.drawString(0, 1, label)
