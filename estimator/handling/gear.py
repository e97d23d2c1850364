"""A piece by gear: how it is rigged, from which picks, and what each proposal holds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import hypot, pi

from estimator.bounds import INCH_M
from estimator.errors import FaultError
from estimator.handling.bending import CarryCheck
from estimator.handling.cracking import Cracking, check_between
from estimator.handling.doubts import Doubt, DoubtId, RatingCheck, at_key, check_rating
from estimator.handling.plates import SIDE_PER_THICKNESS, PlateCheck, balanced_shares, check_hanging, worst_of
from estimator.handling.rigging import (
    GEAR_STAGES,
    LINE_TOLERANCE_M,
    TWO_POINT_PART,
    GearLoad,
    GearStage,
    InsertCheck,
    PickShares,
    Plan,
    SlingLeg,
    StripRule,
    VacuumLift,
    adhesion_mass,
    angle_from_horizontal,
    check_insert,
    check_pick_places,
    check_vacuum,
    gear_loads,
    hook_height_for,
    legs_to_hook,
    pad_capacity,
    pads_needed,
    pick_shares,
    plumb_legs,
)
from estimator.handling.sections import FlatPiece
from estimator.handling.strength import RANK
from estimator.job import HandlingPreferences, Picks
from estimator.weight import Weight
from geometry import shapes
from geometry.solid import Solid

PICK_LETTERS = "ABCD"
HOISTED: tuple[GearStage, ...] = ("strip", "yard", "install")  # stages at which the bare piece hangs from gear
FACE_UP: tuple[GearStage, ...] = ("yard", "install")  # of them, after the flip: pads hold on the face alone
PAD_GRIDS = ((2, 2), (1, 4), (2, 3), (2, 4), (3, 4), (2, 6), (4, 4))  # rows and columns of pads tried
PARTS = (TWO_POINT_PART, 0.17, 0.13, 0.10, 0.07, 0.04)  # places tried, of the length, where a cut-out is in the way
CLEAR_OF_CUTOUT_M = 3 * INCH_M  # least distance of a pick from a cut-out; and 7.5 thicknesses


@dataclass(frozen=True, slots=True)
class Rigging:
    """One arrangement of picks under the greatest load of the stages at which the piece hangs.

    key        stable short name
    given      the workshop's own picks, not a proposal
    picks_m    in the piece's own plan
    checks     bending as it hangs, adhesion and dynamic factor in: of a plate along and across; none where not known
    hook_m     height of the hook above the picks; None where the slings hang plumb from a spreader
    around     slings go around the piece: edge protectors and stops against sliding
    near_m     distance of the pick that is nearest to a cut-out, where that is too near; None: clear
    """

    key: str
    name: str
    given: bool
    stage: GearStage
    load_kg: float
    picks_m: tuple[Plan, ...]
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
        """The worst of its checks."""
        return max(self.checks, key=lambda check: check.stress_pa, default=None)

    @property
    def cracks(self) -> bool:
        """Whether the tested strength denies this lift: then it is shown to nobody as a way to lift the piece."""
        return self.bending is not None and self.bending.strength == "not-enough"

    @property
    def plumb(self) -> bool:
        return self.hook_m is None

    @property
    def tension_kg(self) -> float:
        """Of the leg that pulls most."""
        return max(leg.tension_kg for leg in self.legs)

    @property
    def insert_required_kg(self) -> float | None:
        """What the insert that is loaded most must hold at failure; None without inserts."""
        return max((insert.required_ultimate_kg for insert in self.inserts), default=None)

    @property
    def doubts(self) -> tuple[Doubt, ...]:
        """What of it is not shown to be safe."""
        found: list[Doubt] = []
        verdicts = {insert.verdict for insert in self.inserts}
        if "not-enough" in verdicts:
            found.append(Doubt("insert-not-enough"))
        elif "untested" in verdicts:
            found.append(Doubt("insert-untested"))
        found += self.sling.doubts
        strength = None if self.bending is None else self.bending.strength
        if strength == "untested":
            found.append(Doubt("slings-untested", self.name))
        if strength == "not-enough":
            found.append(Doubt("slings-not-enough", self.name))
        if self.near_m is not None:
            found.append(Doubt("picks-near-cutout", value=self.near_m))
        return tuple(found)


@dataclass(frozen=True, slots=True)
class VacuumPads:
    """Pads for the greatest load at which the face is up: flat (the pads pull straight) and upright (friction holds).

    places_m  of the pads on a plate that lies flat, in the piece's own plan; none where no place is found
    bending   of the plate at those pads
    cored     a core is cast in, and nobody knows how far it reaches: no pads over it
    """

    pad_m: float
    pad_area_m2: float
    vacuum_pa: float
    friction: float
    factor: float
    upright_factor: float
    flat: VacuumLift
    upright: VacuumLift
    places_m: tuple[Plan, ...]
    bending: PlateCheck | None
    cored: bool

    @property
    def doubts(self) -> tuple[Doubt, ...]:
        """What of it is not shown to be safe."""
        if self.cored:
            return (Doubt("pads-core"),)
        found = [] if self.flat.leak_tested else [Doubt("pads-not-measured")]
        if self.bending is None:
            found.append(Doubt("pads-no-place"))
        elif self.bending.strength != "enough":
            untested = self.bending.strength == "untested"
            found.append(Doubt("pads-untested" if untested else "pads-not-enough"))
        return tuple(found)


@dataclass(frozen=True, slots=True)
class GearLift:
    """How gear lifts the piece. `planned` where the workshop means to, or no crew may."""

    planned: bool
    form_area_m2: float
    strip: StripRule
    loads: tuple[GearLoad, ...]
    rigging: tuple[Rigging, ...]
    no_picks: Doubt | None  # why no pick points are proposed; None where some are
    vacuum: VacuumPads

    @property
    def greatest(self) -> GearLoad:
        """The greatest load of the stages at which the bare piece hangs."""
        return max((load for load in self.loads if load.stage in HOISTED), key=lambda load: load.load_kg)


def strip_rule(shape: shapes.Shape, wish: HandlingPreferences, figures: Mapping[str, float]) -> StripRule:
    """How this piece leaves its form: what the job says, else by the kind of form.

    Board forms come apart: a hold point, and weight · 1.3, or · 1.4 with knock-outs or turned-down edges. Rigid and
    rubber molds hold on: (weight + adhesion · form area) · 1.3. Source: PCI handbook, from memory.
    """
    release = wish.release or ("suction" if wish.seal_pa is not None or not is_board_form(shape) else "hold-point")
    if release == "suction":
        adhesion_pa = figures["handling.adhesion"] if wish.seal_pa is None else wish.seal_pa
        return StripRule(release, adhesion_pa, figures["handling.dynamic_strip"])
    plain = figures["handling.dynamic_strip"]
    return StripRule(release, 0.0, max(plain, figures["handling.dynamic_strip_reveals"]) if _keyed(shape) else plain)


def is_board_form(shape: shapes.Shape) -> bool:
    """Whether its form is built of boards, which come off side by side; any other is taken as a mold."""
    match shape:
        case shapes.Slab() | shapes.Outline(wall_m=None) | shapes.Panel():
            return True
        case _:
            return False


def _keyed(shape: shapes.Shape) -> bool:
    """Whether reveals, knock-outs or turned-down edges key it into its form."""
    match shape:
        case shapes.Slab():
            return bool(shape.cutouts or shape.drop_edges)
        case shapes.Outline():
            return bool(shape.cutouts or shape.region.polygon().interiors)
        case shapes.Panel():
            return bool(shape.returns or shape.ribs or shape.openings)
        case _:
            return False


def loads_of(
    weight: Weight, form_area_m2: float, strip: StripRule, wish: HandlingPreferences, figures: Mapping[str, float]
) -> tuple[GearLoad, ...]:
    """What gear must carry at each stage, from the HIGH side of the weight then, adhesion at the strip alone.

    From the yard on a piece for outdoors may be wet, and one that is set has not dried out yet. A piece that hangs
    from a machine that drives swings and jolts: a larger factor then, at every stage at which it hangs.
    """
    stages = weight.stages
    weights_kg: dict[GearStage, float] = {
        "strip": stages.demould.high_kg,
        "turn": weight.turn_kg,
        "yard": stages.may_weigh_kg("demould"),
        "transport": stages.may_weigh_kg("transport"),
        "install": max(stages.may_weigh_kg("transport"), stages.installed.high_kg),
    }
    factors: dict[GearStage, float] = {stage: figures[f"handling.dynamic_{stage}"] for stage in GEAR_STAGES}
    factors["strip"] = strip.factor
    if wish.hung_from == "machine":
        driven = figures[f"handling.dynamic_machine_{wish.ground}"]
        factors |= {stage: max(factors[stage], driven) for stage in HOISTED}
    return gear_loads(weights_kg, adhesion_mass(form_area_m2, strip.adhesion_pa), factors)


def gear_lift(
    shape: shapes.Shape,
    solid: Solid,
    flat: FlatPiece | None,
    weight: Weight,
    cracking: Cracking,
    wish: HandlingPreferences,
    figures: Mapping[str, float],
    *,
    no_crew: bool,
) -> GearLift:
    """Loads by stage, picks and pads. Raises RangeError for picks of the workshop that cannot hold the piece."""
    strip = strip_rule(shape, wish, figures)
    loads = loads_of(weight, solid.form_area_m2, strip, wish, figures)
    greatest = max((load for load in loads if load.stage in HOISTED), key=lambda load: load.load_kg)
    centre_m = weight.centre_of_gravity_m
    rigging: list[Rigging] = []
    ways: list[Rigging] = []
    if wish.picks is not None:
        own_picks, centre = wish.picks, (centre_m[0], centre_m[1])
        at_key("handling.picks", lambda: check_own_picks(own_picks, flat, solid, centre, figures))
        rigging.append(
            _rigged(
                _Places("own-picks", "the workshop's picks", wish.picks, given=True),
                solid.lowest_m,
                greatest,
                centre_m,
                cracking,
                figures,
            )
        )
    else:
        found = _proposed(shape, solid, flat, (centre_m[0], centre_m[1]), inserts=wish.lifted_by == "inserts")
        ways = [_rigged(places, solid.lowest_m, greatest, centre_m, cracking, figures) for places in found]
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
        _pads(loads, (centre_m[0], centre_m[1]), wish, cracking, figures),
    )


def _proposable(ways: Sequence[Rigging]) -> list[Rigging]:
    """Those that the strength allows, best first; two picks on a plate only where both directions are shown to hold."""
    allowed = []
    for way in ways:
        strength = "untested" if way.bending is None else way.bending.strength
        if strength == "not-enough" or (way.key == "two-picks" and strength != "enough"):
            continue
        stress_pa = 0.0 if way.bending is None else round(way.bending.stress_pa)
        allowed.append((RANK[strength], stress_pa, way))
    return [way for *_, way in sorted(allowed, key=lambda each: each[:2])]


def check_own_picks(
    picks: Picks, flat: FlatPiece | None, solid: Solid, centre_m: Plan, figures: Mapping[str, float]
) -> None:
    """Refuse picks of the workshop that no rigger could use. Raises RangeError that says which and why.

    Outside the piece, in a cut-out, a centre of gravity outside them, a sling under 30° from the horizontal, an angle
    without its reference.
    """
    if flat is not None:
        check_pick_places([flat.seen(point) for point in picks.at_m], flat.outline, flat.cutouts)
    else:
        (x0, y0), (lx, ly) = solid.lowest_m[:2], solid.size_m[:2]
        box = [(x0, y0), (x0 + lx, y0), (x0 + lx, y0 + ly), (x0, y0 + ly)]
        check_pick_places(picks.at_m, box)
    pick_shares(picks.at_m, centre_m, 1.0)
    _angle(picks, figures)


def _angle(picks: Picks, figures: Mapping[str, float]) -> float:
    """Angle of the flattest leg from the horizontal, degrees: the picks' own, else the workshop's."""
    if picks.angle_deg is None:
        return angle_from_horizontal(figures["handling.sling_angle"], "horizontal")
    return angle_from_horizontal(picks.angle_deg, picks.angle_from)


@dataclass(frozen=True, slots=True)
class _Places:
    key: str
    name: str
    picks: Picks
    given: bool = False
    around: bool = False


def _proposed(
    shape: shapes.Shape, solid: Solid, flat: FlatPiece | None, centre_m: Plan, *, inserts: bool
) -> list[_Places]:
    """Places by which the piece can be held, in its own plan."""
    if flat is not None:
        seen = flat.seen(centre_m)
        return _by_inserts(flat, seen) if inserts else _slings_around(flat, seen)
    if isinstance(shape, shapes.Box) and shape.open and inserts:
        x0, y0 = solid.lowest_m[:2]
        in_m, part_m = shape.wall_m / 2.0, TWO_POINT_PART * shape.length_m
        xs, ys = (x0 + part_m, x0 + shape.length_m - part_m), (y0 + in_m, y0 + shape.width_m - in_m)
        four = ((xs[0], ys[0]), (xs[1], ys[0]), (xs[1], ys[1]), (xs[0], ys[1]))
        return [_Places("rim", "four picks on the rim", Picks(four))] if _holds(four, centre_m) else []
    return []


def _slings_around(flat: FlatPiece, centre_m: Plan) -> list[_Places]:
    """Two slings around the plate, which bear on its long edges; outside openings."""
    for part in PARTS:
        left, right = part * flat.length_m, (1 - part) * flat.length_m
        first, second = flat.edges_at(left), flat.edges_at(right)
        if first is None or second is None:
            continue  # a sling would span a gap of the outline
        four = ((left, first[0]), (right, second[0]), (right, second[1]), (left, first[1]))
        if clear_of_cutouts_m(flat, four) is None and _holds(four, centre_m):
            name = f"two slings around it, {_part(part)} of the length from each end"
            return [_Places("slings-around", name, Picks(tuple(flat.own(p) for p in four)), around=True)]
    return []


def _by_inserts(flat: FlatPiece, centre_m: Plan) -> list[_Places]:
    length_m, width_m = flat.length_m, flat.width_m
    found: list[_Places] = []
    for count, words in ((2, "two picks"), (3, "three picks"), (4, "four picks")):
        for part in PARTS:
            x0, x1, y0, y1 = part * length_m, (1 - part) * length_m, part * width_m, (1 - part) * width_m
            across = centre_m[1]
            # at the middle, to a micrometer, either end may be the heavier
            heavy, light = (x0, x1) if centre_m[0] < length_m / 2.0 + 1e-6 else (x1, x0)
            points = {
                2: ((x0, across), (x1, across)),
                3: ((heavy, y0), (heavy, y1), (light, across)),
                4: ((x0, y0), (x1, y0), (x1, y1), (x0, y1)),
            }[count]
            if _lies_on(flat, points) and clear_of_cutouts_m(flat, points) is None and _holds(points, centre_m):
                name = f"{words}, {_part(part)} of the length from its ends"
                found.append(_Places(words.replace(" ", "-"), name, Picks(tuple(flat.own(p) for p in points))))
                break
    return found


def _part(part: float) -> str:
    return "0.207" if part == TWO_POINT_PART else f"{part:.2f}"


def clear_of_cutouts_m(flat: FlatPiece, points: Sequence[Plan]) -> float | None:
    """None where every pick stands clear of every cut-out; else how near the nearest stands, along the piece, m.

    Clear is 3 in and 7.5 thicknesses beyond the span that the cut-out takes along the piece.
    """
    least_m = max(CLEAR_OF_CUTOUT_M, SIDE_PER_THICKNESS * flat.thickness_m)
    gaps = [max(low - x, x - high, 0.0) for x, _ in points for low, high in flat.cutout_spans_m]
    nearest_m = min(gaps, default=least_m)
    return None if nearest_m >= least_m - 1e-9 else nearest_m


def _lies_on(flat: FlatPiece, points: Sequence[Plan]) -> bool:
    try:
        check_pick_places(points, flat.outline, flat.cutouts, edge_distance_m=flat.thickness_m)
    except FaultError:
        return False
    return True


def _holds(points: Sequence[Plan], centre_m: Plan) -> bool:
    try:
        pick_shares(points, centre_m, 1.0)
    except FaultError:
        return False
    return True


def _rigged(
    places: _Places,
    start_m: Sequence[float],
    load: GearLoad,
    centre_m: Sequence[float],
    cracking: Cracking,
    figures: Mapping[str, float],
) -> Rigging:
    picks, centre = places.picks, (centre_m[0], centre_m[1])
    shares = pick_shares(picks.at_m, centre, load.load_kg)
    hook_m = _hook_m(places, centre, cracking, figures)
    if hook_m is None:
        legs = plumb_legs(shares.shares_kg)
    else:
        legs = legs_to_hook(picks.at_m, shares.shares_kg, centre, hook_m)
    factor = figures["handling.insert_factor"]
    inserts = tuple(
        check_insert("precast", leg.tension_kg, picks.insert_strength_kg, factor)
        for leg in legs
        if leg.share_kg > 0.0 and not places.around
    )
    sling = check_rating("sling leg", max(leg.tension_kg for leg in legs), picks.sling_rating_kg)
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
        _bent(places, start_m, load, centre, legs, shares, cracking, figures),
        places.around,
        near_m,
    )


def _hook_m(places: _Places, centre: Plan, cracking: Cracking, figures: Mapping[str, float]) -> float | None:
    """Height of the hook; None for plumb slings from a spreader, as a thin plate and slings around a piece need."""
    picks = places.picks
    thin = cracking.plate is not None and cracking.plate.flat.thickness_m < figures["handling.plumb_under"]
    if places.around or (thin and picks.angle_deg is None):
        return None
    if len(picks.at_m) == 1:
        return 1.0
    return hook_height_for(picks.at_m, centre, _angle(picks, figures), "horizontal")


def _bent(
    places: _Places,
    start_m: Sequence[float],
    load: GearLoad,
    centre: Plan,
    legs: Sequence[SlingLeg],
    shares: PickShares,
    cracking: Cracking,
    figures: Mapping[str, float],
) -> tuple[PlateCheck | CarryCheck, ...]:
    """Bending as it hangs: a plate both ways, a trough or moulding along; none where it is not worked out."""
    at_m = places.picks.at_m
    if cracking.plate is not None:
        flat = cracking.plate.flat
        points, middle = [flat.seen(point) for point in at_m], flat.seen(centre)
        return check_hanging(
            cracking.plate,
            points,
            balanced_shares(points, shares.shares_kg, middle, load.load_kg).tolist(),
            legs,
            middle,
            flat.thickness_m / 2.0 + figures["handling.pull_height"],
            cracking.first_crack.strip_pa,
            figures["handling.crack_factor"],
        )
    if cracking.axis is not None and len(at_m) > 1:
        along = sorted(point[cracking.axis] - start_m[cracking.axis] for point in at_m)
        if along[0] < along[-1]:
            factor = load.load_kg / load.weight_kg
            check = check_between(cracking, places.name, along[0], along[-1], factor, figures)
            return () if check is None else (check,)
    return ()


def _pads(
    loads: Sequence[GearLoad], centre: Plan, wish: HandlingPreferences, cracking: Cracking, figures: Mapping[str, float]
) -> VacuumPads:
    """Pads by the vacuum measured on this face, where it was; by the workshop's figure until then.

    At the strip the back lies up, raw: pads lift a piece from the flip on.
    """
    load = max((each for each in loads if each.stage in FACE_UP), key=lambda each: each.load_kg)
    load_kg = load.load_kg
    pad_m = figures["handling.vacuum_cup"]
    vacuum_pa = figures["handling.vacuum"] if wish.vacuum_pa is None else wish.vacuum_pa
    holds = wish.vacuum_holds_s is not None and wish.vacuum_holds_s >= figures["handling.vacuum_hold"]
    tested = wish.vacuum_pa is not None and holds and not cracking.cored
    friction = figures["handling.vacuum_friction"]
    straight, sliding = figures["handling.vacuum_factor"], figures["handling.vacuum_factor_upright"]
    flat_kg = pad_capacity(pad_m, vacuum_pa, "horizontal", friction, straight)
    upright_kg = pad_capacity(pad_m, vacuum_pa, "vertical", friction, sliding)
    placed = _placed_pads(cracking, centre, load_kg, flat_kg, pad_m, figures)
    places, bending = placed if placed is not None else ((), None)
    count = len(places) or pads_needed(load_kg, flat_kg)
    return VacuumPads(
        pad_m,
        pi / 4.0 * pad_m**2,
        vacuum_pa,
        friction,
        straight,
        sliding,
        check_vacuum(count, load_kg, flat_kg, leak_tested=tested),
        check_vacuum(pads_needed(load_kg, upright_kg), load_kg, upright_kg, leak_tested=tested),
        places,
        bending,
        cracking.cored,
    )


def _placed_pads(
    cracking: Cracking, centre: Plan, load_kg: float, one_kg: float, pad_m: float, figures: Mapping[str, float]
) -> tuple[tuple[Plan, ...], PlateCheck] | None:
    """Rows of the fewest pads that lie on the plate clear of its cut-outs, none loaded over what it may carry."""
    if cracking.plate is None or cracking.cored:
        return None
    flat, middle = cracking.plate.flat, cracking.plate.flat.seen(centre)
    found: list[tuple[int, int, float, tuple[Plan, ...], PlateCheck]] = []
    for rows, columns in PAD_GRIDS:
        count = rows * columns
        holds = any(rank < RANK["not-enough"] for rank, *_ in found)
        if count * one_kg < load_kg or (holds and count > found[0][1]):
            continue
        for part in PARTS:
            points = _grid(flat, rows, columns, part)
            if not _pads_lie_on(flat, points, pad_m):
                continue
            pulls_kg = balanced_shares(points, [load_kg / count] * count, middle, load_kg)
            if min(pulls_kg) <= 0.0 or max(pulls_kg) > one_kg or not _balance(points, pulls_kg.tolist(), middle):
                continue
            check = worst_of(
                check_hanging(
                    cracking.plate,
                    points,
                    pulls_kg.tolist(),
                    plumb_legs(pulls_kg.tolist()),
                    middle,
                    0.0,
                    cracking.first_crack.strip_pa,
                    figures["handling.crack_factor"],
                )
            )
            found.append((RANK[check.strength], count, check.stress_pa, points, check))
    if not found:
        return None
    *_, points, check = min(found, key=lambda each: each[:3])
    return tuple(flat.own(point) for point in points), check


def _grid(flat: FlatPiece, rows: int, columns: int, part: float) -> tuple[Plan, ...]:
    """Even rows and columns of pads, the outermost at this part of each side; a single one at the middle."""

    def places(count: int, side_m: float) -> list[float]:
        if count == 1:
            return [side_m / 2.0]
        return [side_m * (part + (1.0 - 2.0 * part) * number / (count - 1)) for number in range(count)]

    return tuple((x, y) for x in places(columns, flat.length_m) for y in places(rows, flat.width_m))


def _balance(points: Sequence[Plan], pulls_kg: Sequence[float], middle: Plan) -> bool:
    """Whether the pulls act through the center of gravity, to what a shop can mark."""
    whole_kg = sum(pulls_kg)
    at = [sum(kg * point[axis] for kg, point in zip(pulls_kg, points, strict=True)) / whole_kg for axis in (0, 1)]
    return hypot(at[0] - middle[0], at[1] - middle[1]) <= LINE_TOLERANCE_M


def _pads_lie_on(flat: FlatPiece, points: Sequence[Plan], pad_m: float) -> bool:
    from shapely.geometry import MultiPoint, Polygon

    if clear_of_cutouts_m(flat, points) is not None:
        return False
    return bool(Polygon(flat.outline, flat.cutouts).buffer(-pad_m / 2.0).covers(MultiPoint(points)))
