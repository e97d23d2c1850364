"""Lifting a piece by gear: rigging, pick points, and what each proposal can hold."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cache, partial

import numpy as np

from estimator.errors import FaultError, at_key
from estimator.handling.bending import CarryCheck
from estimator.handling.cracking import Cracking, check_between
from estimator.handling.doubts import Doubt, DoubtId, RatingCheck, check_rating
from estimator.handling.loads import (
    FACE_UP,
    GEAR_STAGES,
    HOISTED,
    INSERT_STRENGTH,
    GearLoad,
    GearStage,
    InsertCheck,
    StripRule,
    adhesion_mass,
    loads_in_series,
    loads_of,
    release_rule,
    stage_factors,
    strip_rule,
)
from estimator.handling.plates import (
    PARTS,
    PlateCheck,
    balanced_shares,
    bending_workings,
    check_hanging,
    clear_of_cutouts_m,
)
from estimator.handling.rigging import (
    PICK_LETTERS,
    RIGID_FOUR,
    TWO_POINT_PART,
    PickShares,
    PlanPoint,
    SlingLeg,
    angle_from_horizontal,
    check_pick_places,
    hook_height_for,
    legs_to_hook,
    pick_shares,
    plumb_legs,
)
from estimator.handling.sections import FlatPiece
from estimator.handling.series import Series, plate_checks, rigid_parts
from estimator.handling.strength import RANK
from estimator.handling.vacuum import VacuumPads, pads_for, pads_of, placed_in_series, vacuum_pads
from estimator.job import HandlingPreferences, Picks, Piece
from estimator.weight import Weight
from estimator.workings import Working, figure
from estimator.workshop import HandlingSettings
from geometry import shapes
from geometry.arrays import Floats
from geometry.frozen import frozen
from geometry.message import Message, message
from geometry.solid import Solid


@frozen
class Rigging:
    """One arrangement of picks, under the largest load of the stages at which the piece hangs.

    key        stable short name
    given      whether these are the shop's own picks, not a proposal
    picks_m    positions in the piece's plan
    checks     bending while hanging, with adhesion and dynamic factor; for a plate along and across; empty if unknown
    hook_m     height of the hook above the picks; None for plumb slings from a spreader
    around     whether slings go around the piece, which need edge protectors and stops against sliding
    near_m     distance of a pick that is too near a cut-out; None if all are clear
    """

    key: str
    name: Message
    given: bool
    stage: GearStage
    load_kg: float
    picks_m: tuple[PlanPoint, ...]
    shares: PickShares
    hook_m: float | None
    legs: tuple[SlingLeg, ...]
    inserts: tuple[InsertCheck, ...]
    sling: RatingCheck
    checks: tuple[PlateCheck | CarryCheck, ...]
    around: bool
    near_m: float | None

    @property
    def bending(self) -> PlateCheck | CarryCheck | None:
        """Worst of its checks."""
        return max(self.checks, key=lambda check: check.stress_pa, default=None)

    @property
    def way(self) -> Message:
        """Short name of the arrangement."""
        return message("rigged", way=self.key)

    @property
    def cracks(self) -> bool:
        """Whether the piece is not strong enough for this lift, so that it must not be proposed."""
        return self.bending is not None and self.bending.cracks

    @property
    def plumb(self) -> bool:
        return self.hook_m is None

    @property
    def tension_kg(self) -> float:
        """Largest tension of any leg."""
        return max(leg.tension_kg for leg in self.legs)

    @property
    def insert_required_kg(self) -> float | None:
        """Ultimate strength required of the most heavily loaded insert; None without inserts."""
        return max((insert.required_ultimate_kg for insert in self.inserts), default=None)

    @property
    def doubts(self) -> tuple[Doubt, ...]:
        """Doubts about inserts, slings, bending and distance from cut-outs."""
        doubts: list[Doubt] = []
        verdicts = {insert.verdict for insert in self.inserts}
        if "not-enough" in verdicts:
            doubts.append(Doubt("insert-not-enough"))
        elif "untested" in verdicts:
            doubts.append(Doubt("insert-untested"))
        doubts += self.sling.doubts
        if self.cracks:
            doubts.append(Doubt("slings-not-enough", self.way))
        elif self.bending is not None and self.bending.strength == "untested":
            doubts.append(Doubt("slings-untested", self.way))
        if self.near_m is not None:
            doubts.append(Doubt("picks-near-cutout", value=self.near_m))
        return tuple(doubts)


@frozen
class GearLift:
    """Lift by gear. `planned` if the shop plans it or the piece is too heavy for a crew."""

    planned: bool
    form_area_m2: float
    strip: StripRule
    loads: tuple[GearLoad, ...]
    rigging: tuple[Rigging, ...]
    no_picks: Doubt | None  # why no pick points are proposed; None if some are
    vacuum: VacuumPads

    @property
    def greatest(self) -> GearLoad:
        """Largest load of the stages at which the bare piece hangs."""
        return _greatest(self.loads)


def gear_lift(
    piece: Piece,
    solid: Solid,
    flat: FlatPiece | None,
    weight: Weight,
    cracking: Cracking,
    settings: HandlingSettings,
    *,
    no_crew: bool,
) -> GearLift:
    """Loads by stage, picks and pads. Raises FaultError for picks in the job that cannot hold the piece."""
    shape, wish = piece.shape, piece.handling
    strip = strip_rule(shape, wish, settings)
    loads = loads_of(weight, solid.form_area_m2, strip, wish, settings)
    greatest = _greatest(loads)
    center_m = weight.center_of_gravity_m
    rigging: list[Rigging] = []
    ways: list[Rigging] = []
    if wish.picks is not None:
        own_picks, center = wish.picks, (center_m[0], center_m[1])
        with at_key("handling.picks"):
            check_own_picks(own_picks, flat, solid, center, settings)
        rigging.append(
            _rigged(
                _Places("own-picks", message("own-picks", count=len(wish.picks.at_m)), wish.picks, given=True),
                solid.lowest_m,
                greatest,
                center_m,
                cracking,
                settings,
            )
        )
    else:
        proposals = _proposed(shape, solid, flat, (center_m[0], center_m[1]), inserts=wish.lifted_by == "inserts")
        ways = [_rigged(places, solid.lowest_m, greatest, center_m, cracking, settings) for places in proposals]
        rigging = [] if cracking.cored else _proposable(ways)
    planned = no_crew or wish.picks is not None or wish.lifted_by in ("slings", "inserts", "vacuum")
    no_picks = None
    if not rigging:
        plate: DoubtId = "picks-no-strength" if wish.picks is None and ways else "picks-no-room"
        no_picks = Doubt("picks-core" if cracking.cored else "picks-no-shape" if flat is None else plate)
    return GearLift(
        planned,
        solid.form_area_m2,
        strip,
        loads,
        tuple(rigging),
        no_picks,
        vacuum_pads(loads, (center_m[0], center_m[1]), wish, cracking, settings),
    )


def gear_lifts(
    series: Series,
    pieces: Sequence[Piece],
    solids: Sequence[Solid],
    weights: Sequence[Weight],
    crackings: Sequence[Cracking],
    settings: HandlingSettings,
    no_crew: Sequence[bool],
) -> list[GearLift]:
    """`gear_lift` for every plate of a series, with slings around the plate and vacuum pads on it."""
    rule = cache(partial(release_rule, settings=settings, boards=True))
    factors = cache(partial(stage_factors, settings=settings))
    wishes = [piece.handling for piece in pieces]
    strips = [
        rule(wish.release, wish.seal_pa, keyed=piece.shape.is_keyed) for wish, piece in zip(wishes, pieces, strict=True)
    ]
    adhesions_kg = [
        adhesion_mass(solid.form_area_m2, strip.adhesion_pa) if strip.adhesion_pa else 0.0
        for strip, solid in zip(strips, solids, strict=True)
    ]
    by_stage = [factors(strip.factor, wish.hung_from, wish.ground) for strip, wish in zip(strips, wishes, strict=True)]
    loads, loads_kg = loads_in_series(weights, adhesions_kg, by_stage)
    hoisted = [GEAR_STAGES.index(stage) for stage in HOISTED]
    greatest = np.array(hoisted)[loads_kg[hoisted].argmax(axis=0)].tolist()
    slung = _slung(series, [stages[i] for stages, i in zip(loads, greatest, strict=True)], crackings, settings)
    face_kg = loads_kg[[GEAR_STAGES.index(stage) for stage in FACE_UP]].max(axis=0)
    pads = _pads(series, wishes, face_kg, crackings, settings)
    lifts = []
    for row, (piece, solid) in enumerate(zip(pieces, solids, strict=True)):
        way, wish = slung[row], piece.handling
        rigging = () if way is None or way.cracks else (way,)
        no_picks = None if rigging else NO_ROOM if way is None else NO_STRENGTH
        lifts.append(
            GearLift(
                no_crew[row] or wish.lifted_by in ("slings", "vacuum"),
                solid.form_area_m2,
                strips[row],
                loads[row],
                rigging,
                no_picks,
                pads[row],
            )
        )
    return lifts


def _pads(
    series: Series,
    wishes: Sequence[HandlingPreferences],
    loads_kg: Floats,
    crackings: Sequence[Cracking],
    settings: HandlingSettings,
) -> list[VacuumPads]:
    """`vacuum_pads` for every plate of a series."""
    pad_of = cache(lambda vacuum_pa, holds_s: pads_of(vacuum_pa, holds_s, settings, cored=False))
    pads = [pad_of(wish.vacuum_pa, wish.vacuum_holds_s) for wish in wishes]
    ones_kg = np.array([straight.capacity_kg(1) for straight, _ in pads])
    cracks_pa = [cracking.first_crack.strip_pa for cracking in crackings]
    places = placed_in_series(series, loads_kg, ones_kg, cracks_pa, settings)
    return [
        pads_for(load_kg, *pair, placed, cored=False)
        for load_kg, pair, placed in zip(loads_kg.tolist(), pads, places, strict=True)
    ]


NO_ROOM, NO_STRENGTH = Doubt("picks-no-room"), Doubt("picks-no-strength")


def _slung(
    series: Series, loads: Sequence[GearLoad], crackings: Sequence[Cracking], settings: HandlingSettings
) -> list[Rigging | None]:
    """Two slings around each plate, under its load; None if there is no room for them."""
    parts = series.sling_parts()
    rows = np.flatnonzero(parts >= 0)
    riggings: list[Rigging | None] = [None] * len(loads)
    if not len(rows):
        return riggings
    subset = series.some(rows)
    hung = [loads[row] for row in rows.tolist()]
    load_kg = np.array([load.load_kg for load in hung])
    points = subset.sling_points(parts[rows])
    own = subset.own(points)
    shares_kg = load_kg[:, None] * rigid_parts(own, subset.own(subset.center_m[:, None, :])[:, 0])
    worst = subset.slung(points, shares_kg, load_kg, subset.grids.thickness_m / 2.0 + settings.pull_height_m)
    cracks_pa = [crackings[row].first_crack.strip_pa for row in rows.tolist()]
    checks = zip(*(plate_checks(bend, axis, cracks_pa, settings) for axis, bend in enumerate(worst)), strict=True)
    figures = (load_kg.tolist(), own.tolist(), shares_kg.tolist(), checks)
    for row, from_m, load, kg, own_m, shares, checked in zip(
        rows.tolist(), points[:, 0, 0].tolist(), hung, *figures, strict=True
    ):
        legs = plumb_legs(shares)
        riggings[row] = Rigging(
            "slings-around",
            message("slings-around", from_end_m=from_m, ends="square"),
            given=False,
            stage=load.stage,
            load_kg=kg,
            picks_m=tuple([(x, y) for x, y in own_m]),
            shares=PickShares(tuple(shares), False, RIGID_FOUR),
            hook_m=None,
            legs=legs,
            inserts=(),
            sling=RatingCheck("sling-leg", max(shares), settings.sling_rating_kg or None),
            checks=checked,
            around=True,
            near_m=None,
        )
    return riggings


def _greatest(loads: Sequence[GearLoad]) -> GearLoad:
    """Largest load of the stages at which the bare piece hangs."""
    return max((load for load in loads if load.stage in HOISTED), key=lambda load: load.load_kg)


def _proposable(ways: Sequence[Rigging]) -> list[Rigging]:
    """Arrangements not ruled out by strength, best first. Two picks on a plate must be shown safe both ways."""
    allowed = []
    for way in ways:
        strength = "untested" if way.bending is None else way.bending.strength
        if way.cracks or (way.key == "two-picks" and strength != "enough"):
            continue
        stress_pa = 0.0 if way.bending is None else round(way.bending.stress_pa)
        allowed.append((RANK[strength], stress_pa, way))
    return [way for *_, way in sorted(allowed, key=lambda ranked: ranked[:2])]


def check_own_picks(
    picks: Picks, flat: FlatPiece | None, solid: Solid, center_m: PlanPoint, settings: HandlingSettings
) -> None:
    """Raise FaultError for unusable picks in the job.

    Those are picks outside the piece or in a cut-out, a center of gravity outside the picks, a sling at less than 30°
    from the horizontal, and an angle without its reference.
    """
    if flat is not None:
        check_pick_places([flat.seen(point) for point in picks.at_m], flat.outline, flat.cutouts)
    else:
        (x0, y0), (lx, ly) = solid.lowest_m[:2], solid.size_m[:2]
        box = [(x0, y0), (x0 + lx, y0), (x0 + lx, y0 + ly), (x0, y0 + ly)]
        check_pick_places(picks.at_m, box)
    pick_shares(picks.at_m, center_m, 1.0)
    _angle(picks, settings)


def _angle(picks: Picks, settings: HandlingSettings) -> float:
    """Angle of the flattest leg from the horizontal, degrees: that of the picks, or the shop's default."""
    if picks.angle_deg is None:
        return angle_from_horizontal(settings.sling_angle_deg, "horizontal")
    return angle_from_horizontal(picks.angle_deg, picks.angle_from)


@frozen
class _Places:
    key: str
    name: Message
    picks: Picks
    given: bool = False
    around: bool = False


def _proposed(
    shape: shapes.Shape, solid: Solid, flat: FlatPiece | None, center_m: PlanPoint, *, inserts: bool
) -> list[_Places]:
    """Possible picks of a piece, in its plan."""
    if flat is not None:
        seen = flat.seen(center_m)
        return _by_inserts(flat, seen) if inserts else _slings_around(flat, seen)
    trough = shape.trough()
    if trough is not None and inserts:
        x0, y0 = solid.lowest_m[:2]
        in_m, part_m = trough.wall_m / 2.0, TWO_POINT_PART * trough.length_m
        xs, ys = (x0 + part_m, x0 + trough.length_m - part_m), (y0 + in_m, y0 + trough.width_m - in_m)
        four = ((xs[0], ys[0]), (xs[1], ys[0]), (xs[1], ys[1]), (xs[0], ys[1]))
        return [_Places("rim", message("picks-on-rim"), Picks(at_m=four))] if _holds(four, center_m) else []
    return []


def _slings_around(flat: FlatPiece, center_m: PlanPoint) -> list[_Places]:
    """Two slings around the plate, which bear on its long edges, clear of openings."""
    for part in PARTS:
        left, right = part * flat.length_m, (1 - part) * flat.length_m
        first, second = flat.edges_at(left), flat.edges_at(right)
        if first is None or second is None:
            continue  # a sling would span a gap in the outline
        four = ((left, first[0]), (right, second[0]), (right, second[1]), (left, first[1]))
        if clear_of_cutouts_m(flat, four) is None and _holds(four, center_m):
            name = message("slings-around", from_end_m=left, ends=_ends(flat))
            return [_Places("slings-around", name, Picks(at_m=tuple(flat.own(p) for p in four)), around=True)]
    return []


def _by_inserts(flat: FlatPiece, center_m: PlanPoint) -> list[_Places]:
    length_m, width_m = flat.length_m, flat.width_m
    proposals: list[_Places] = []
    for count, key in ((2, "two-picks"), (3, "three-picks"), (4, "four-picks")):
        for part in PARTS:
            x0, x1, y0, y1 = part * length_m, (1 - part) * length_m, part * width_m, (1 - part) * width_m
            across = center_m[1]
            # within a micrometer of the middle, the start counts as the heavier end
            heavy, light = (x0, x1) if center_m[0] < length_m / 2.0 + 1e-6 else (x1, x0)
            points = {
                2: ((x0, across), (x1, across)),
                3: ((heavy, y0), (heavy, y1), (light, across)),
                4: ((x0, y0), (x1, y0), (x1, y1), (x0, y1)),
            }[count]
            if _lies_on(flat, points) and clear_of_cutouts_m(flat, points) is None and _holds(points, center_m):
                name = message("picks-from-ends", count=count, from_end_m=x0, ends=_ends(flat))
                proposals.append(_Places(key, name, Picks(at_m=tuple(flat.own(p) for p in points))))
                break
    return proposals


def _ends(flat: FlatPiece) -> str:
    """Whether one place has one distance from each end, for the name of an arrangement."""
    return "square" if flat.square_ends else "angled"


def _lies_on(flat: FlatPiece, points: Sequence[PlanPoint]) -> bool:
    try:
        check_pick_places(points, flat.outline, flat.cutouts, edge_distance_m=flat.thickness_m)
    except FaultError:
        return False
    return True


def _holds(points: Sequence[PlanPoint], center_m: PlanPoint) -> bool:
    try:
        pick_shares(points, center_m, 1.0)
    except FaultError:
        return False
    return True


def _rigged(
    places: _Places,
    start_m: Sequence[float],
    load: GearLoad,
    center_m: Sequence[float],
    cracking: Cracking,
    settings: HandlingSettings,
) -> Rigging:
    picks, center = places.picks, (center_m[0], center_m[1])
    shares = pick_shares(picks.at_m, center, load.load_kg)
    hook_m = _hook_m(places, center, cracking, settings)
    if hook_m is None:
        legs = plumb_legs(shares.shares_kg)
    else:
        legs = legs_to_hook(picks.at_m, shares.shares_kg, center, hook_m)
    inserts = tuple(
        InsertCheck(leg.tension_kg, settings.insert_factor, picks.insert_strength_kg)
        for leg in legs
        if leg.share_kg > 0.0 and not places.around
    )
    rating_kg = picks.sling_rating_kg or settings.sling_rating_kg or None
    sling = check_rating("sling-leg", max(leg.tension_kg for leg in legs), rating_kg)
    near_m = None
    if cracking.plate is not None:
        flat = cracking.plate.flat
        near_m = clear_of_cutouts_m(flat, [flat.seen(point) for point in picks.at_m])
    return Rigging(
        places.key,
        places.name,
        places.given,
        load.stage,
        load.load_kg,
        picks.at_m,
        shares,
        hook_m,
        legs,
        inserts,
        sling,
        _bent(places, start_m, load, center, legs, cracking, settings),
        places.around,
        near_m,
    )


def _hook_m(places: _Places, center: PlanPoint, cracking: Cracking, settings: HandlingSettings) -> float | None:
    """Height of the hook, m; None for plumb slings from a spreader, as thin plates and slings around a piece need."""
    picks = places.picks
    thin = cracking.plate is not None and cracking.plate.flat.thickness_m < settings.plumb_under_m
    if places.around or (thin and picks.angle_deg is None):
        return None
    if len(picks.at_m) == 1:
        return 1.0
    return hook_height_for(picks.at_m, center, _angle(picks, settings), "horizontal")


def _bent(
    places: _Places,
    start_m: Sequence[float],
    load: GearLoad,
    center: PlanPoint,
    legs: Sequence[SlingLeg],
    cracking: Cracking,
    settings: HandlingSettings,
) -> tuple[PlateCheck | CarryCheck, ...]:
    """Bending while hanging: a plate in both directions, a trough or molding along its length; empty if unknown."""
    at_m = places.picks.at_m
    if cracking.plate is not None:
        flat = cracking.plate.flat
        points, middle = [flat.seen(point) for point in at_m], flat.seen(center)
        return check_hanging(
            cracking.plate,
            points,
            balanced_shares(points, [leg.share_kg for leg in legs], middle, load.load_kg),
            legs,
            middle,
            flat.thickness_m / 2.0 + settings.pull_height_m,
            cracking.first_crack.strip_pa,
            settings.crack_factor,
        )
    if cracking.beam is not None and len(at_m) > 1:
        axis = cracking.beam.axis
        along = sorted(point[axis] - start_m[axis] for point in at_m)
        if along[0] < along[-1]:
            factor = load.load_kg / load.weight_kg
            check = check_between(cracking, places.name, along[0], along[-1], factor, settings)
            return () if check is None else (check,)
    return ()


def rigging_workings(at: str, rig: Rigging) -> Iterator[Working]:
    """Yield the workings of the leg tensions, inserts and bending of one arrangement; `at` is its path."""
    for letter, leg in zip(PICK_LETTERS, rig.legs, strict=False):
        yield figure(
            f"{at}.legs.{letter}.share_kg",
            "load_kg · part",
            {"load_kg": rig.load_kg, "part": leg.share_kg / rig.load_kg},
            "kg",
            message("source-leg-share", shares=rig.shares.assumption),
        )
        formula, values = "share_kg", {"share_kg": leg.share_kg}
        if rig.hook_m is not None:
            formula, values = "share_kg · leg_m / hook_m", values | {"leg_m": leg.length_m, "hook_m": rig.hook_m}
        yield figure(
            f"{at}.legs.{letter}.tension_kg",
            formula,
            values,
            "kg",
            message("source-leg-tension"),
        )
    if rig.inserts:
        insert = max(rig.inserts, key=lambda insert: insert.required_ultimate_kg)
        yield INSERT_STRENGTH.working(f"{at}.insert_required_kg", **insert.values)
    if rig.bending is not None:
        yield from bending_workings(f"{at}.bending", rig.bending)
