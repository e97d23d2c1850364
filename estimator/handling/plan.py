"""Handling plan of one piece: its moves from strip to set, and whether the shop has the people for them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from estimator.constants import DAY_S, below
from estimator.errors import FaultError
from estimator.handling.access import Access, access_of
from estimator.handling.cracking import Cracking, carried_beam, cracking_of, crackings, loaded_plate
from estimator.handling.doubts import Doubt, doubt_messages
from estimator.handling.gear import GearLift, gear_lift, gear_lifts, rigging_workings
from estimator.handling.in_use import InUse, in_use, in_use_workings, is_hung
from estimator.handling.lifts import HandLift, LiftName, lift_workings, lifts_of_all
from estimator.handling.loads import HOISTED, GearLoad, GearStage, load_workings
from estimator.handling.people import Crew
from estimator.handling.plates import bending_workings
from estimator.handling.sections import EdgeUp, FlatPiece, Lie, flat_piece
from estimator.handling.series import Series
from estimator.handling.strength import FirstCrack, Strength, Verdict, first_crack_of, worst_strength
from estimator.handling.transport import TIPS, Cargo, stance_of, tips_at_deg, tips_at_g
from estimator.handling.vacuum import vacuum_workings
from estimator.job import HandlingPreferences, Job, Piece, Vector
from estimator.notices import Notice
from estimator.takeoff import PieceTakeoff
from estimator.weight import Weight
from estimator.workings import Formula, Working, figure
from estimator.workshop import HandlingSettings
from geometry.edges import lies_within
from geometry.frozen import frozen
from geometry.message import Message, message

Holding = Literal["on-edge", "flat", "upright", "slings", "pads", "rigger"]
Move = Literal["strip", "flip", "tilt", "carry", "stairs", "set"]
Attitude = Holding | Literal["about-long-edge"]
CORE_KG_M3 = 1000.0  # an insert that displaces concrete and is lighter than water is a core of unknown extent; choice


# The lift used for each move. A piece is set down the way it was carried.
MOVES: dict[Move, LiftName] = {
    "strip": "strip",
    "flip": "turn",
    "carry": "carry",
    "stairs": "stairs",
    "set": "carry",
}
MACHINES: dict[Move, Message] = {
    "strip": message("machine", move="strip"),
    "flip": message("machine", move="flip"),
    "carry": message("machine", move="carry"),
    "stairs": message("machine", move="stairs"),
    "set": message("machine", move="set"),
}


@frozen
class PlannedMove:
    """One move of a piece.

    crew   people needed at the same time; None if it needs a machine
    gear   the machine, or what the crew needs; None for bare hands
    """

    name: Move
    lift: HandLift
    crew: int | None
    gear: Message | None


@frozen
class Handling:
    """Lifts, moves, gear, access and loads in use of one piece, with what is not shown to be safe.

    lifts          lifts by hand: strip, carry, stairs if the site has them, turn
    moves          moves in order, each with the people it needs at the same time, or its gear
    hold           on edge or flat in hands, upright, from slings, from vacuum pads, or as a rigger decides
    edge_up        the side that goes up when it is carried or stored on edge; None for a piece that never is
    transport_kg   largest weight on the truck, high side
    size_m         size of the bare piece
    crated_kg      high-side transport weight in a crate of the shop's usual weight
    crate_load_kg  load on the gear that lifts the crate
    tips_at_deg    tipping angle on edge; None for a piece that does not stand on edge
    stance         how it stands on the truck: base and offset over the shorter side, height of the center of gravity
    gear           gear needed
    attitudes      attitude of the piece in each move, in order
    strength       worst strength of tilt, carry, lift and overhang
    doubts         what no figure shows to be safe; printed in red at the head of the lift sheet
    assumptions    what was assumed where the job says nothing
    """

    lifts: tuple[HandLift, ...]
    moves: tuple[PlannedMove, ...]
    hold: Holding
    edge_up: EdgeUp | None
    lifting: GearLift
    cracking: Cracking
    in_use: InUse
    access: Access
    transport_kg: float
    size_m: Vector
    crated_kg: float
    crate_load_kg: float
    tips_at_deg: float | None
    stance: Mapping[str, float]
    gear: tuple[Message, ...]
    attitudes: tuple[tuple[Move, Attitude], ...]
    strength: Strength
    doubts: tuple[Doubt, ...]
    assumptions: tuple[Message | str, ...]

    def cargo(self, mark: str, quantity: int) -> Cargo:
        """Truck cargo of the pieces of one mark handled by this plan."""
        on_edge = self.tips_at_deg is not None
        stacks = self.flat is not None and not on_edge
        return Cargo(mark, quantity, self.transport_kg, self.size_m, on_edge=on_edge, stacks=stacks)

    def lift(self, name: str) -> HandLift | None:
        """Lift of this name, or None."""
        for lift in self.lifts:
            if lift.name == name:
                return lift
        return None

    @property
    def tips_at_g(self) -> float:
        """Acceleration of the truck at which the piece tips over its shorter side, unrestrained."""
        return tips_at_g(**self.stance)

    @property
    def not_shown_safe(self) -> tuple[Message, ...]:
        """The doubts as lines for a reader."""
        return doubt_messages(self.doubts)

    @property
    def carry(self) -> Crew:
        """Crew of the level carry; by machine only if the carry itself needs one."""
        return self._crew("carry")

    @property
    def flat(self) -> FlatPiece | None:
        """Piece as a flat plate; None for any other shape."""
        return None if self.cracking.plate is None else self.cracking.plate.flat

    @property
    def turn(self) -> Crew:
        return self._crew("turn")

    def _crew(self, name: str) -> Crew:
        lift = self.lift(name)
        assert lift is not None  # every piece is carried and flipped
        return lift.crew

    @property
    def site_crew(self) -> int | None:
        """Most people that a move on site needs at the same time; None if one of those moves needs a machine."""
        crews = [move.crew for move in self.moves if move.name in ("carry", "stairs", "set")]
        return None if None in crews else max(people or 0 for people in crews)

    @property
    def people(self) -> int:
        """Most people that a move by hand needs at the same time; 0 if none is by hand."""
        return max((move.crew or 0 for move in self.moves), default=0)

    @property
    def loads(self) -> tuple[GearLoad, ...]:
        return self.lifting.loads

    @property
    def needed_first_crack_pa(self) -> float | None:
        """First-crack strength from which on its planned moves are shown to be safe.

        None where bending is not computed, or a rigger decides how the piece is moved.
        """
        if self.cracking.cored or self.hold == "rigger":
            return None
        checks: list[Verdict | None] = [*self.cracking.planned_checks]
        if self.hold in ("slings", "pads"):
            checks = [self.lifting.vacuum.bending if self.hold == "pads" else self.lifting.rigging[0].bending]
        return max((check.required_factor * check.stress_pa for check in checks if check is not None), default=None)

    @property
    def gear_loads_kg(self) -> dict[GearStage | Literal["crate"], float]:
        """Load on the gear at each stage, dynamic factor and adhesion included, and of the crate that hangs, kg."""
        return {**{load.stage: load.load_kg for load in self.loads}, "crate": self.crate_load_kg}


def moves_by(lifts: Sequence[HandLift]) -> tuple[PlannedMove, ...]:
    """Every move in order, with the people it needs at the same time, or its gear."""
    by_name = {lift.name: lift for lift in lifts}
    return tuple(_move(name, by_name[lift]) for name, lift in MOVES.items() if lift in by_name)


def _move(name: Move, lift: HandLift) -> PlannedMove:
    if lift.crew.by_machine:
        return PlannedMove(name, lift, None, MACHINES[name])
    gear = message("straps-or-bars") if lift.crew.rehearsed else None
    if lift.people != lift.crew.persons:
        gear = message("third-guides")
    return PlannedMove(name, lift, lift.people, gear)


def plan_handling(taken: PieceTakeoff, weight: Weight, job: Job) -> Handling:
    """Handling plan of one piece, from its HIGH-side weights.

    Raises FaultError for picks, anchors, angles or figures that make every move impossible. The text names them.
    """
    (plan,) = plan_all([taken], [weight], job)
    if isinstance(plan, FaultError):
        raise plan
    return plan


def plan_all(takeoffs: Sequence[PieceTakeoff], weights: Sequence[Weight], job: Job) -> list[Handling | FaultError]:
    """Handling plan of every piece, in order, or the fault of a piece that cannot be moved as requested.

    Plates with the same numbers of openings and deeper strips are planned together, in columns.
    """
    rows = [_Row.of(taken, weight, job) for taken, weight in zip(takeoffs, weights, strict=True)]
    lifts = lifts_of_all(takeoffs, weights, [row.on_edge for row in rows], job.site, job.workshop.handling)
    for row, by_hand in zip(rows, lifts, strict=True):
        row.lifts = by_hand
    _plan_series(rows, job)
    return [_planned(row, job) for row in rows]


MOST_IN_SERIES = 2048  # plates at a time, so that their columns stay in the processor cache


@dataclass(slots=True)
class _Row:
    """One piece being planned, with the results so far."""

    taken: PieceTakeoff
    weight: Weight
    flat: FlatPiece | None
    on_edge: bool
    first_crack: FirstCrack
    lifts: tuple[HandLift, ...] | FaultError = ()
    cracking: Cracking | None = None
    lifting: GearLift | None = None

    @classmethod
    def of(cls, taken: PieceTakeoff, weight: Weight, job: Job) -> _Row:
        piece = taken.piece
        flat = flat_piece(piece.shape, taken.solid)
        on_edge = flat is not None and piece.handling.carried != "flat"
        first_crack = first_crack_of(piece, job.mixes, job.workshop.curing.strip_to_s / DAY_S)
        return cls(taken, weight, flat, on_edge, first_crack)

    @property
    def no_crew(self) -> bool:
        """Whether no crew may strip or carry it. A flip is not counted: it has its own frame."""
        assert not isinstance(self.lifts, FaultError)
        return any(lift.crew.by_machine for lift in self.lifts if lift.name in ("strip", "carry"))

    @property
    def make(self) -> tuple[int, int] | None:
        """Numbers of openings and of deeper strips of a plate that can be planned with others; None for the rest."""
        piece, flat = self.taken.piece, self.flat
        if (
            flat is None
            or flat.openings is None
            or not flat.even
            or piece.inserts
            or isinstance(self.lifts, FaultError)
        ):
            return None
        if piece.inserts or piece.handling.picks is not None or piece.handling.lifted_by == "inserts":
            return None
        return len(flat.openings), len(flat.drops)


def _plan_series(rows: Sequence[_Row], job: Job) -> None:
    """Plan the bending and lifting of plates of the same `make` together.

    A single plate of a make goes this way too, so that a plan never depends on the other pieces.
    """
    makes: dict[tuple[int, int], list[_Row]] = {}
    for row in rows:
        if (make := row.make) is not None:
            makes.setdefault(make, []).append(row)
    for alike in makes.values():
        for start in range(0, len(alike), MOST_IN_SERIES):
            batch = alike[start : start + MOST_IN_SERIES]
            series = _series_of(batch)
            steady = np.flatnonzero(series.steady)
            if len(steady):
                _plan_together(
                    series if len(steady) == len(batch) else series.some(steady),
                    [batch[i] for i in steady.tolist()],
                    job,
                )


def _series_of(rows: Sequence[_Row]) -> Series:
    return Series.of(
        [row.flat for row in rows if row.flat is not None],
        [row.weight.demould.high_kg - row.weight.inserts_kg for row in rows],
        [row.weight.center_of_gravity_m for row in rows],
    )


def _plan_together(series: Series, rows: Sequence[_Row], job: Job) -> None:
    settings = job.workshop.handling
    pieces = [row.taken.piece for row in rows]
    planned = [planned_attitudes(row.taken.piece, row.flat) for row in rows]
    ups = [flat.edge_up for flat in series.flats]
    cracks = crackings(series, [row.first_crack for row in rows], planned, ups, settings)
    solids, weights = [row.taken.solid for row in rows], [row.weight for row in rows]
    lifts = gear_lifts(series, pieces, solids, weights, cracks, settings, [row.no_crew for row in rows])
    for row, cracking, lifting in zip(rows, cracks, lifts, strict=True):
        row.cracking, row.lifting = cracking, lifting


def _plan_alone(row: _Row, job: Job) -> tuple[Cracking, GearLift]:
    """Bending and lifting of one piece. Raises FaultError for picks from which it cannot be moved."""
    piece, solid, flat, settings = row.taken.piece, row.taken.solid, row.flat, job.workshop.handling
    cast_high_kg = row.weight.demould.high_kg - row.weight.inserts_kg
    placed = [(insert.at_m or solid.centroid_m, insert.mass_kg) for insert in piece.inserts]
    beam = carried_beam(piece.shape, solid, flat, cast_high_kg, placed)
    cracking = cracking_of(
        beam,
        None if flat is None or beam is None else loaded_plate(flat, beam, cast_high_kg, placed),
        None if flat is None else flat.edge_up,
        row.first_crack,
        planned_attitudes(piece, flat),
        settings,
        cored=any(insert.mass_kg < CORE_KG_M3 * insert.displaces_m3 for insert in piece.inserts),
    )
    return cracking, gear_lift(piece, solid, flat, row.weight, cracking, settings, no_crew=row.no_crew)


def _planned(row: _Row, job: Job) -> Handling | FaultError:
    """Handling plan of a piece whose hand lifts are known, or the fault that prevents one."""
    if isinstance(row.lifts, FaultError):
        return row.lifts
    try:
        return _handling(row, row.lifts, job)
    except FaultError as error:
        return error


def _handling(row: _Row, lifts: tuple[HandLift, ...], job: Job) -> Handling:
    piece, solid, weight, site, flat = row.taken.piece, row.taken.solid, row.weight, job.site, row.flat
    settings, on_edge, cracking, lifting = job.workshop.handling, row.on_edge, row.cracking, row.lifting
    if cracking is None or lifting is None:
        cracking, lifting = _plan_alone(row, job)
    floor_kg_m2 = site.floor_load_kg_m2 if site else None
    plan_m2 = row.taken.plan.net_m2
    used = in_use(piece, solid, plan_m2, weight, floor_kg_m2, settings, cracking.first_crack.later_pa)
    transport_kg = weight.may_weigh_kg("transport")
    access = access_of(solid.size_m, transport_kg, flat, site, settings)
    hold = _hold(flat, lifts, lifting, piece, on_edge=on_edge)
    crated_kg = transport_kg + job.workshop.transport.crate_kg_m2 * row.taken.face_area_m2
    crate_load_kg = CRATE_LOAD.function(crated_kg=crated_kg, dynamic_factor=_crate_factor(lifting))
    return Handling(
        lifts=lifts,
        moves=moves_by(lifts),
        hold=hold,
        edge_up=None if flat is None else flat.edge_up,
        lifting=lifting,
        cracking=cracking,
        in_use=used,
        access=access,
        transport_kg=transport_kg,
        size_m=solid.size_m,
        crated_kg=crated_kg,
        crate_load_kg=crate_load_kg,
        tips_at_deg=tips_at_deg(solid.size_m) if on_edge else None,
        stance=stance_of(solid, weight.centers_m["transport"], on_edge=on_edge),
        gear=_gear(lifts, lifting, crate_load_kg, flat, settings, piece.handling, on_edge=on_edge),
        attitudes=_attitudes(flat, hold, piece, stairs=any(lift.name == "stairs" for lift in lifts)),
        strength=_strength(cracking, lifting, used, hold),
        doubts=_doubts(cracking, lifting, used, access, piece, balanced=_balanced(flat, weight)),
        assumptions=(*weight.assumptions, *cracking.assumptions, *_assumed(access, lifting)),
    )


def planned_attitudes(piece: Piece, flat: FlatPiece | None) -> tuple[Lie, ...]:
    """How a piece is carried: as the job says; else a plate on edge, tilted up first, and any other piece upright."""
    if piece.handling.carried is not None:
        return (piece.handling.carried,)
    return ("flat",) if flat is None else ("edge",)


def _hold(
    flat: FlatPiece | None, lifts: Sequence[HandLift], lifting: GearLift, piece: Piece, *, on_edge: bool
) -> Holding:
    """Attitude for the carry. A piece hung from gear hangs flat; one that is only flipped by machine does not hang."""
    wish = piece.handling
    if wish.lifted_by == "vacuum":
        return "pads"
    by_machine = any(lift.crew.by_machine for lift in lifts if lift.name == "carry")
    if by_machine or wish.picks is not None or wish.lifted_by in ("slings", "inserts"):
        return "slings" if lifting.rigging and not lifting.rigging[0].cracks else "rigger"
    if flat is None:
        return "upright"
    return "on-edge" if on_edge else "flat"


def _attitudes(
    flat: FlatPiece | None, hold: Holding, piece: Piece, *, stairs: bool
) -> tuple[tuple[Move, Attitude], ...]:
    """Attitude of the piece in each move. A tilt between two moves is a move of its own."""
    if flat is None:
        upright: Holding = "upright"
        between: tuple[tuple[Move, Attitude], ...] = (("stairs", upright),) if stairs else ()
        return (("strip", upright), ("flip", upright), ("carry", hold), *between, ("set", upright))
    moves: list[tuple[Move, Attitude]] = [("strip", "flat"), ("flip", "about-long-edge")]
    if hold == "on-edge":
        moves.append(("tilt", "about-long-edge"))
    moves.append(("carry", hold))
    if stairs:
        moves.append(("stairs", "flat" if piece.handling.carried == "flat" else "on-edge"))
    moves.append(("set", "on-edge" if is_hung(piece) else "flat"))
    return tuple(moves)


def _strength(cracking: Cracking, lifting: GearLift, used: InUse, hold: Holding) -> Strength:
    """Worst strength of tilt and carry by hand, or of the lift by gear, and of the overhang."""
    strengths: list[Strength] = []
    if hold in ("pads", "slings", "rigger"):
        rigged = lifting.rigging[0].bending if lifting.rigging else None
        bending: Verdict | None = lifting.vacuum.bending if hold == "pads" else rigged
        denied = hold != "pads" and lifting.no_picks is not None and lifting.no_picks.id == "picks-no-strength"
        cracks = denied or (bending is not None and bending.cracks)
        strengths.append("not-enough" if cracks else "untested" if bending is None else bending.strength)
    else:
        strengths.append(cracking.strength)
    over = None if used.standing is None else used.standing.overhang
    if over is not None and over.needs_support:
        strengths.append("untested" if cracking.first_crack.later_pa is None else "not-enough")
    return worst_strength(strengths)


def _gear(
    lifts: Sequence[HandLift],
    lifting: GearLift,
    crate_load_kg: float,
    flat: FlatPiece | None,
    settings: HandlingSettings,
    wish: HandlingPreferences,
    *,
    on_edge: bool,
) -> tuple[Message, ...]:
    gear = []
    by_machine = {lift.name for lift in lifts if lift.crew.by_machine}
    loads_kg = {load.stage: load.load_kg for load in lifting.loads}
    if lifting.planned:
        # the flip counts where a machine makes it: a frame may hang from the hoist
        stages = (*HOISTED, "turn") if "turn" in by_machine else HOISTED
        hook_kg, stage = max((crate_load_kg, "crate"), *((loads_kg[stage], stage) for stage in stages))
        gear.append(message("gear-hoist", hung_from=wish.hung_from, high_kg=hook_kg, stage=stage))
    if wish.lifted_by == "vacuum":
        gear.append(message("gear-beside-vacuum"))
    if "turn" in by_machine:
        gear.append(message("gear-flipping-frame", high_kg=loads_kg["turn"]))
    if "stairs" in by_machine:
        gear.append(message("gear-stairs"))
    if any(lift.crew.rehearsed for lift in lifts):
        gear.append(message("gear-straps-or-bars"))
    strip_m = None if flat is None else flat.narrowest_rail_m
    narrow = strip_m is not None and below(strip_m, settings.strip_least_m)
    if flat is not None and (narrow or flat.notches or (on_edge and flat.needs_strongback)):
        gear.append(message("gear-strongback"))
    if flat is not None:
        gear.append(message("gear-slotted-rack"))
    return tuple(gear)


CRATE_LOAD = Formula("crated_kg · dynamic_factor", "kg", message("source-crate-load"))


def _crate_factor(lifting: GearLift) -> float:
    """Dynamic factor of a crate that hangs: the larger of shop moves and of the lift on site."""
    return max(load.dynamic_factor for load in lifting.loads if load.stage in CRATE_HANGS)


CRATE_HANGS = ("yard", "install")


def _balanced(flat: FlatPiece | None, weight: Weight) -> bool:
    """Whether the center of gravity is within the outline of a plate. If not (an L or a U), two holds let it roll."""
    if flat is None:
        return True
    x, y = flat.seen(weight.center_of_gravity_m)
    if flat.openings is not None:
        return 0.0 <= x <= flat.length_m and 0.0 <= y <= flat.width_m
    return lies_within((x, y), flat.edge_rows[: len(flat.outline)])


def _doubts(
    cracking: Cracking, lifting: GearLift, used: InUse, access: Access, piece: Piece, *, balanced: bool
) -> tuple[Doubt, ...]:
    doubts = list(cracking.doubts)
    if not balanced:
        # picks of its own go around the center of gravity; two would let it roll
        picks = lifting.rigging[0].picks_m if lifting.planned and lifting.rigging else ()
        around = len(picks) > 2 and not lifting.rigging[0].cracks
        doubts.insert(0, Doubt("holds-off-balance", value=float(len(picks) if around else 0)))
    if lifting.planned and piece.handling.lifted_by == "vacuum":
        doubts += lifting.vacuum.doubts
    elif lifting.planned:
        doubts += () if lifting.no_picks is None else (lifting.no_picks,)
        doubts += lifting.rigging[0].doubts if lifting.rigging else ()
    return tuple(dict.fromkeys((*doubts, *used.doubts, *access.doubts)))


def _assumed(access: Access, lifting: GearLift) -> tuple[Message, ...]:
    assumptions = []
    if access.assumed:
        assumptions.append(message("access-assumed"))
    if lifting.rigging and not lifting.rigging[0].given:
        assumptions.append(message("picks-suggested"))
    return tuple(assumptions)


def crew_notices(plans: Mapping[str, Handling], people: int) -> tuple[Notice, ...]:
    """Warnings for moves that need more people than the shop has, one for each number of people.

    plans    handling plans by piece mark
    people   in the shop at one time
    """
    short: dict[int, list[Message]] = {}
    for mark, handling in plans.items():
        if handling.people > people:
            place = message("piece-moves", mark=mark, moves=_moves(handling, people))
            short.setdefault(handling.people, []).append(place)
    return tuple(
        Notice(
            "crew-short",
            message(
                "warning-crew-short",
                needed=needed,
                people=people,
                pieces=places[:MOST_NAMED],
                more=max(0, len(places) - MOST_NAMED),
            ),
        )
        for needed, places in sorted(short.items(), reverse=True)
    )


def _moves(handling: Handling, people: int) -> Sequence[Message]:
    return [move_name(move.name) for move in handling.moves if move.crew is not None and move.crew > people]


MOST_NAMED = 6
"""Pieces named in one warning."""


def move_name(move: Move) -> Message:
    """Name of a move, as a message."""
    return message("move", move=move)


def handling_workings(mark: str, handling: Handling) -> Iterator[Working]:
    """Yield the workings of the handling figures of one piece."""
    at, lifting = f"pieces.{mark}.handling", handling.lifting
    for lift in handling.lifts:
        yield from lift_workings(f"{at}.lifts.{lift.name}", lift)
    yield from load_workings(at, lifting.loads, lifting.strip, lifting.form_area_m2)
    for rig in lifting.rigging:
        yield from rigging_workings(f"{at}.rigging.{rig.key}", rig)
    yield from vacuum_workings(at, lifting.vacuum)
    for check in handling.cracking.checks:
        yield from bending_workings(f"{at}.bending.{check.carry.key}", check)
    yield from in_use_workings(at, handling.in_use)
    yield TIPS.working(f"{at}.tips_at_g", **handling.stance)
    weight_kg = handling.transport_kg
    yield figure(
        f"{at}.crated_kg",
        "weight_kg + crate_kg",
        {"weight_kg": weight_kg, "crate_kg": handling.crated_kg - weight_kg},
        "kg",
        message("source-crated"),
    )
    yield CRATE_LOAD.working(f"{at}.crate_load_kg", crated_kg=handling.crated_kg, dynamic_factor=_crate_factor(lifting))
