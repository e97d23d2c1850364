"""The install sheet: where, through which door, on what, by whom, with which tools; a row to tick for each piece."""

from collections.abc import Iterator, Sequence
from functools import partial
from typing import Any, Literal

from reportlab.lib.units import mm
from reportlab.platypus import Flowable, Spacer

from estimator.cautions import AppliedCaution
from estimator.estimate import Estimate, PieceEstimate
from estimator.handling.in_use import ON_FOOT, Hung, Standing
from estimator.handling.loads import GearStage
from estimator.job import Piece
from estimator.names import folded
from estimator.pricing.labor import is_installed
from estimator.report.papers import drawing
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
    front_of,
    hung_words,
    marks_message,
    moves_words,
    piece_checks,
    sentence,
    shared_cautions,
    signature,
)
from estimator.report.papers.drawing import Scale
from estimator.report.papers.lift_drawing import SIDE_LETTER, is_square, key_of, mark_rails, plan_symbols
from estimator.report.papers.lift_sheet import MARK, piece_line
from estimator.report.papers.style import (
    BODY,
    INK,
    LABEL,
    SMALL,
    Columns,
    Front,
    Picture,
    Rule,
    bind,
    crew_words_of,
    facts,
    on_one_page,
    say,
    say_parts,
    section,
    title,
)
from estimator.report.papers.table import PAD, table
from estimator.report.papers.text import PLAIN, known_width
from estimator.report.screen import Column
from estimator.weight import drop_edge_loads
from estimator.words import Words
from geometry.message import Message, message
from geometry.shape import plan_view
from geometry.views import PlanView

MOST_ROWS = 400
"""Pieces up to which each has a row of its own; of more, a mark has one, counted off by hand."""

PUNCH_LINES = 4
"""Lines to write on at the sign-off."""

DRAWN_HIGH, DRAWN_SHARE = 42 * mm, 0.42
ROW_SIZES = (8.0, 7.5, 7.0, 6.5)
AT_SITE = frozenset(
    {
        "hung", "unsupported-overhang", "floor-load", "planter", "carried-on-stairs", "cut-or-honed",
        "carried-on-edge", "cutout-carried-on-edge", "open-cutout", "slender-strip", "stored-on-edge",
        "by-machine-only", "crew-over-four", "ground-wet", "finished", "glued-parts",
    }
)  # fmt: skip
"""Conditions whose cautions the installer reads; what the list of checks says already is left out."""


def install_sheet(estimate: Estimate) -> bytes:
    """The install sheet as PDF; the same bytes for the same estimate."""
    words = crew_words_of(estimate)
    front = Front(words("install-title"), estimate.job, words=words)
    ours = _in_order(estimate)
    checks = checks_of(estimate, ours, words)
    cautions = shared_cautions(cautions_for(estimate, AT_SITE), ours)
    story = [*_head(estimate, ours, checks, cautions, front, words)]
    for piece in ours:
        story.append(on_one_page([*_piece(piece, checks, cautions.own, front, words)]))
    if ours:
        story.append(on_one_page([*_sign_off(front, words)]))
    return bind(front, story)


def _in_order(estimate: Estimate) -> list[PieceEstimate]:
    """The pieces that the shop sets, in the order of the job where it states one."""
    ours = [piece for piece in estimate.pieces if is_installed(piece.taken.piece)]
    order = [folded(mark) for mark in estimate.job.site.order] if estimate.job.site else []
    place = {mark: at for at, mark in enumerate(order)}
    return sorted(ours, key=lambda piece: place.get(folded(piece.taken.piece.mark), len(place)))


def _head(
    estimate: Estimate,
    ours: Sequence[PieceEstimate],
    checks: Sequence[Check],
    cautions: SharedCautions,
    front: Front,
    words: Words,
) -> Iterator[Flowable]:
    yield from title(front, words("install-purpose"))
    yield from facts(_where(estimate, words), front.width, columns=2)
    yield from facts(_site(estimate, ours, words), front.width)
    yield from check_list(
        checks, words, front.width, *_site_checks(estimate, ours), heading=words("install-check-title")
    )
    yield say(words("caution-who-governs"), SMALL)  # under the list, where no page break parts it from its sheet
    if not ours:
        yield say(words("install-none"), BODY)
    else:
        yield from _ticks(estimate, ours, front, words)
    left = [piece.taken.piece for piece in estimate.pieces if not is_installed(piece.taken.piece)]
    others = [piece.mark for piece in left if not piece.glued_in_shop]  # what is glued on comes with its piece
    if others:
        yield say(words("install-others", marks=words.text(marks_message(others, ()))), SMALL)
    if ours:
        yield from section(words("install-bring"), *_to_bring(estimate, ours, front.width, words))
    if ours:
        yield from cautions.flowables(words)
    yield Spacer(0, 8)


def _where(estimate: Estimate, words: Words) -> list[tuple[str, str]]:
    """Where the pieces go, and whom to call."""
    business, client = estimate.job.business, estimate.job.client
    lines = (
        ("install-site", client.site or client.address),
        ("install-contact", client.contact),
        ("install-client", (client.name,)),
        ("install-shop", (business.name, *business.contact)),
    )
    blank = words("install-not-given")
    return [(words(label), ", ".join(text for text in texts if text) or blank) for label, texts in lines]


def _site(estimate: Estimate, ours: Sequence[PieceEstimate], words: Words) -> list[tuple[str, str]]:
    """How many pieces, and what is known of the access and the floor."""
    site = estimate.job.site
    measured = len(site.places) if site else 0
    distance_m = site.distance_m if site else None
    floor_kg_m2 = site.floor_load_kg_m2 if site else None
    return [
        (words("install-pieces"), str(sum(our.taken.piece.quantity for our in ours))),
        (
            words("install-access"),
            words("install-measured", count=measured) if measured else words("install-not-measured"),
        ),
        (words("install-carry"), words("install-not-given") if distance_m is None else words.length(distance_m)),
        (
            words("install-floor"),
            words("install-floor-unknown") if floor_kg_m2 is None else words.areal_mass(floor_kg_m2, up=False),
        ),
    ]


def _site_checks(estimate: Estimate, ours: Sequence[PieceEstimate]) -> Iterator[Message]:
    """What nobody has measured or read on site."""
    settings, site = estimate.job.workshop.handling, estimate.job.site
    if site is None and ours:
        yield message("install-access-assumed", width_m=settings.door_m, height_m=settings.door_height_m)
    stands = any(our.handling.in_use.standing is not None for our in ours)
    if stands and (site is None or site.floor_load_kg_m2 is None):
        yield message("install-floor-check")
    yield message("deferral-short")


def _ticks(estimate: Estimate, ours: Sequence[PieceEstimate], front: Front, words: Words) -> Iterator[Flowable]:
    """A row to tick for each piece."""
    row_each = sum(our.taken.piece.quantity for our in ours) <= MOST_ROWS
    stated = {folded(mark) for mark in estimate.job.site.order} if estimate.job.site else set()
    rows = []
    for number, estimated in enumerate(ours, start=1):
        piece, handling = estimated.taken.piece, estimated.handling
        for name in _names(piece.mark, piece.quantity, words, row_each=row_each):
            order = [str(number) if folded(piece.mark) in stated else ""] if stated else []
            rows.append(
                (
                    *order,
                    name,
                    words.mass(estimated.weight.lift_kg, up=True),
                    words.crew(handling.site_crew) + words("strength-flag", strength=handling.strength),
                    words("install-tick-names"),
                    "",
                )
            )
    columns = [
        *([Column(words("install-order"), False)] if stated else []),
        Column(words("install-piece"), False),
        Column(words("install-max"), True),
        Column(words("install-carried-by"), False),
        Column(words("install-tick-head"), False),
        Column(words("install-as-set"), False),
    ]
    shares = (*((0.07,) if stated else ()), 0.12, 0.09, 0.20, 0.41, 0.11 if stated else 0.18)
    rooms = [share * front.width - 2 * PAD for share in shares]
    texts = {(row[i], rooms[i]) for row in rows for i in (-3, -2)}
    sizes = [size for size in ROW_SIZES if all(known_width(text, PLAIN, size) <= room for text, room in texts)]
    note = words("install-job-order" if stated else "install-crew-order")
    yield from section(
        words("install-ticks"), table(columns, rows, front.width, sizes=sizes or ROW_SIZES[-1:], shares=shares)
    )
    yield say(note, SMALL)


def _names(mark: str, quantity: int, words: Words, *, row_each: bool) -> list[str]:
    """One name for each piece of a mark, or one for all."""
    if quantity == 1:
        return [mark]
    if not row_each:
        return [words("install-all-of", mark=mark, count=quantity)]
    return [words("install-one-of", mark=mark, number=number, count=quantity) for number in range(1, quantity + 1)]


def _to_bring(estimate: Estimate, ours: Sequence[PieceEstimate], width: float, words: Words) -> Iterator[Flowable]:
    """Tools, gear, adhesive and sealer, a box before each."""
    lines = [f"☐ {sentence(words.text(item)).removesuffix('.')}" for item in dict.fromkeys(_items(estimate, ours))]
    half = -(-len(lines) // 2)
    yield Columns([[say(line) for line in lines[:half]], [say(line) for line in lines[half:]]], [width / 2] * 2)


SITE_GEAR = ("gear-stairs", "gear-straps-or-bars", "gear-strongback", "gear-slotted-rack")
"""Gear of a piece that is needed on site as well, beside the hoist."""
ON_SITE: tuple[GearStage | Literal["crate"], ...] = ("install", "crate")
"""Stages at which a piece hangs on site."""


def _items(estimate: Estimate, ours: Sequence[PieceEstimate]) -> Iterator[Message]:
    yield message("install-bring-tools")
    yield message("install-bring-shims")
    yield message("install-bring-foam")
    yield message("install-bring-ppe")
    hooks: dict[str, tuple[float, str]] = {}
    for our in ours:
        hung_from, loads_kg = our.taken.piece.handling.hung_from, our.handling.gear_loads_kg
        hooks[hung_from] = max(hooks.get(hung_from, (0.0, "")), *((loads_kg[stage], stage) for stage in ON_SITE))
    for our in ours:
        for gear in our.handling.gear:
            if gear.id == "gear-hoist":
                hung_from = our.taken.piece.handling.hung_from
                hook_kg, stage = hooks[hung_from]
                yield message("gear-hoist", hung_from=hung_from, high_kg=hook_kg, stage=stage)
            elif gear.id in SITE_GEAR:
                yield gear
    uses = {our.taken.piece.use for our in ours}
    if any(our.handling.in_use.hung is not None for our in ours):
        yield message("install-bring-panel")
    if uses & {"counter", "splash", "basin"}:
        yield message("install-bring-counter")
    counters = (our.handling.flat for our in ours if our.taken.piece.use == "counter")
    if "basin" in uses or any(flat is not None and flat.needs_strongback for flat in counters):
        yield message("install-bring-sink")
    if "planter" in uses:
        yield message("install-bring-planter")
    brackets = sum(
        our.taken.piece.quantity * len(standing.overhang.bracket_places_m)
        for our in ours
        if (standing := our.handling.in_use.standing) is not None and standing.overhang is not None
    )
    if brackets:
        yield message("install-bring-brackets", count=brackets)
    if any(caution.caution.when in ("cut-or-honed", "ground-wet") for caution in estimate.cautions):
        yield message("install-bring-cutting")
    yield _sealer(estimate)


def _sealer(estimate: Estimate) -> Message:
    """The job's own sealers, for touch-up."""
    used = [line.material for line in estimate.supply.consumables if line.material.startswith("sealer")]
    names = [estimate.job.materials[name].label for name in used]
    return message("install-bring-sealer", material_names=names) if names else message("install-bring-sealer-any")


def _piece(
    estimated: PieceEstimate, checks: Sequence[Check], own: Sequence[AppliedCaution], front: Front, words: Words
) -> Iterator[Flowable]:
    yield Rule(front.width)
    yield say_parts([(estimated.taken.piece.mark, True)], MARK)
    yield say(piece_line(estimated, words), LABEL)
    yield Spacer(0, 3)
    yield from piece_checks(estimated, checks, estimated.handling.doubts, words, front.width)
    yield from caution_lines(cautions_of_piece(estimated, own), words)
    left = DRAWN_SHARE * front.width
    view = plan_view(estimated.taken.piece.shape)
    lines = [
        say_parts([(f"{name}  ", True), (text, False)])
        for name, text in _lines(estimated, words, front.job.workshop.seams.width_m)
    ]
    rail_m = front.job.workshop.handling.strip_least_m
    draw = partial(_draw, view=view, estimated=estimated, words=words, rail_m=rail_m)
    key = say(key_of(_symbols(estimated, view, rail_m), words), SMALL)
    yield Columns([[Picture(left - 8, DRAWN_HIGH, draw), key], lines], [left, front.width - left])
    yield Spacer(0, 8)


def _lines(estimated: PieceEstimate, words: Words, seam_m: float) -> Iterator[tuple[str, str]]:
    handling = estimated.handling
    yield words("lift-max-weight"), words.mass(estimated.weight.lift_kg, up=True)
    yield words("install-crew"), moves_words(handling, words, ("carry", "stairs", "set"))
    yield words("install-hold"), carry_words(handling, words)
    if handling.lifting.planned:
        capacity = f"{capacity_words(estimated, words, ON_SITE)} {hung_words(estimated, words)}"
        yield words("lift-capacity"), f"{capacity} {words('install-picks')}"
    yield words("install-access"), access_words(estimated, words)
    way, piece = handling.access, estimated.taken.piece
    if piece.joints_m:
        yield words("install-seam"), words("install-seam-parts", whole=piece.part_of, width_m=seam_m)
    if way.seam_note is not None:
        places = words.series([words.length(place_m) for place_m in way.seams_m])
        side = front_of(estimated) if _is_turned(plan_view(piece.shape)) else "left"
        at = f"{words('install-seam-places', places=places, side=side)} " if way.seams_m else ""
        yield words("install-seam"), f"{at}{words.text(way.seam_note)}"
    standing, hung = handling.in_use.standing, handling.in_use.hung
    if standing is not None:
        yield from _standing(standing, words, piece, noted="counter-overhang" in estimated.cautions)
    if piece.part not in ON_FOOT:
        yield words("install-dead-load"), _dead_load(estimated, words)
    if hung is not None:
        yield from _hung(hung, words, noted="hung-panel" in estimated.cautions)


def access_words(estimated: PieceEstimate, words: Words) -> str:
    """How the piece goes through each place, or through the door that stands for an access nobody measured."""
    way = estimated.handling.access
    if way.assumed:
        return words("install-assumed-door", remark=[check.remark for check in way.checks])
    passed = [words.text(message("about", subject=check.place, text=check.remark)) for check in way.checks]
    return sentence("; ".join(passed)) if passed else words("install-not-measured")


def _standing(standing: Standing, words: Words, piece: Piece, *, noted: bool) -> Iterator[tuple[str, str]]:
    """Brackets and loads of a piece that stands; `noted` where a caution says who sizes the brackets."""
    over = standing.overhang
    if over is not None and over.bracket_places_m:
        places = words.series([words.length(place_m) for place_m in over.bracket_places_m])
        where = words("install-bracket-places", overhang_m=over.overhang_m, places=places)
        yield words("install-brackets"), where if noted else f"{where} {words.text(over.bracket_note)}"
    elif over is not None:
        yield words("install-overhang"), words("install-overhang-free", overhang_m=over.overhang_m)
    load = words("install-load-carried", high_kg_m2=standing.kg_per_m2)
    if piece.part in ON_FOOT and standing.kg_per_m is not None:
        load = words("install-load-foot", mass_kg_per_m=standing.kg_per_m)
    yield words("install-load"), load
    if standing.foot_kg is not None:
        yield words("install-foot"), words("install-foot-full", high_kg=standing.foot_kg)
    if standing.wind_pa is not None:
        yield words("install-wind"), words("install-wind-tips", pressure=words.wind(standing.wind_pa))


def _hung(hung: Hung, words: Words, *, noted: bool) -> Iterator[tuple[str, str]]:
    """Anchors of a piece that hangs; `noted` where a caution says who designs them."""
    places = words.series([words.length(anchor_m) for anchor_m in hung.anchors_m])
    whose = words("install-anchors-suggested" if hung.proposed else "install-anchors-given")
    at = words("install-anchor-places", places=places, height_m=hung.height_m)
    note = "" if noted else f" {words.text(hung.load.note)}"
    yield words("install-anchors"), f"{at} {whose}{note}"
    yield words("install-on-anchor"), words("install-on-anchor-max", high_kg=max(hung.load.bearing_kg))


def _dead_load(estimated: PieceEstimate, words: Words) -> str:
    """Heaviest weight installed over the net plan area, and by length of drop edge."""
    loads = [words("install-in-place", high_kg_m2=estimated.high_per_area_kg_m2)]
    for drop, kg_per_m in drop_edge_loads(estimated.taken, estimated.weight):
        sides = words.series([message("install-side", side=side) for side in drop.sides])
        loads.append(words("install-drop-load", mass_kg_per_m=kg_per_m, sides=sides))
    return f"{', '.join(loads)}."


def _is_turned(view: PlanView) -> bool:
    """Whether the piece lies with its length from front to back, so that seams count from the front."""
    x0, y0, x1, y1 = view.bounds_m
    return y1 - y0 > x1 - x0


def _draw(
    canvas: Any, wide: float, high: float, view: PlanView, estimated: PieceEstimate, words: Words, rail_m: float
) -> None:
    """The piece on its face with seams as heavy broken lines, brackets and anchors as crosses, narrow rails in loops.

    rail_m   width under which a rail at a cut-out is marked
    """
    scale = Scale.fitting(view.bounds_m, 32, 24, wide - 46, high - 32)
    drawing.draw_view(canvas, view, scale)
    drawing.overall(canvas, view.bounds_m, scale, words)
    (left, low), (right, _) = scale.place(view.bounds_m[:2]), scale.place(view.bounds_m[2:])
    side = words("lift-side", side=front_of(estimated))
    drawing.centered_note(canvas, (left + right) / 2.0, low - drawing.STAND_OFF - 11.0, side, SIDE_LETTER)
    center = scale.place(estimated.weight.centers_m["installed"][:2])
    drawing.balance_mark(canvas, center, 4.0)
    if estimated.handling.flat is not None:
        mark_rails(canvas, estimated.handling.flat, rail_m, scale, center, words)
    x0, y0, x1, y1 = view.bounds_m
    turned = _is_turned(view)
    offered = [
        ((x0, y0 + at), (x1, y0 + at)) if turned else ((x0 + at, y0), (x0 + at, y1))
        for at in estimated.handling.access.seams_m
    ]
    drawing.seam_lines(canvas, [*estimated.taken.piece.joints_m, *offered], scale)
    canvas.setStrokeColor(INK)
    canvas.setLineWidth(drawing.SEAM)
    standing, hung = estimated.handling.in_use.standing, estimated.handling.in_use.hung
    if standing is not None and standing.overhang is not None:
        for at in standing.overhang.bracket_places_m:
            drawing.cross_mark(canvas, scale.place((x0 + at, y0 + standing.overhang.overhang_m / 2)))
    if hung is not None:
        for at in hung.anchors_m:
            drawing.cross_mark(canvas, scale.place((x0 + at, y0 + hung.height_m)))


def _symbols(estimated: PieceEstimate, view: PlanView, rail_m: float) -> Iterator[str]:
    """Symbols in the drawing of a piece."""
    standing, hung = estimated.handling.in_use.standing, estimated.handling.in_use.hung
    yield "balance"
    if estimated.taken.piece.joints_m or estimated.handling.access.seams_m:
        yield "seam"
    brackets = standing is not None and standing.overhang is not None and standing.overhang.bracket_places_m
    if brackets or hung is not None:
        yield "cross"
    if (brackets or hung is not None or estimated.handling.access.seams_m) and not is_square(estimated):
        yield "outermost"
    yield from plan_symbols(estimated.handling, view, rail_m)


def _sign_off(front: Front, words: Words) -> Iterator[Flowable]:
    yield from section(words("install-sign-off"))
    yield say(words("install-accepted"), BODY)
    for label in (*("",) * PUNCH_LINES, words("install-client-signs"), words("install-shop-signs")):
        yield from signature(label, front.width)
