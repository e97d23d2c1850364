"""A piece lifted by hoist or crane: where it is picked, what each leg, insert and pad must hold, and what bends.

Pick points are proposed by the rules of equal bending and moved outward where a cut-out is in the way; those that the
workshop gives are taken as they are. Points are in the piece's own plan.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import pi

from estimator.handling.bending import CarryCheck
from estimator.handling.cracking import Cracking, check_between
from estimator.handling.faults import at_key
from estimator.handling.flat import FlatPiece
from estimator.handling.gear_loads import GEAR_STAGES, GearLoad, GearStage, InsertCheck, check_insert, gear_loads
from estimator.handling.picks import TWO_POINT_PART, PickShares, Plan, check_pick_places, pick_shares
from estimator.handling.ratings import RatingCheck, check_rating
from estimator.handling.slings import SlingLeg, angle_from_horizontal, hook_height_for, legs_to_hook
from estimator.handling.vacuum import VacuumLift, check_vacuum, pad_capacity, pads_needed
from estimator.job import HandlingWish, Picks
from estimator.weight import Weight
from geometry import shapes
from geometry.solid import Solid

PICK_LETTERS = "ABCD"
HOISTED: tuple[GearStage, ...] = ("strip", "yard", "install")  # stages at which the bare piece hangs from gear
PARTS = (TWO_POINT_PART, 0.17, 0.13, 0.10, 0.07, 0.04)  # places tried, of the length, where a cut-out is in the way


@dataclass(frozen=True, slots=True)
class Rigging:
    """One arrangement of picks under the greatest load of the stages at which the piece hangs.

    key        stable short name
    given      the workshop's own picks, not a proposal
    picks_m    in the piece's own plan
    bending    along the piece between its outermost picks, adhesion and dynamic factor in; None for no plate
    hook_m     height of the hook above the picks
    """

    key: str
    name: str
    given: bool
    stage: GearStage
    load_kg: float
    picks_m: tuple[Plan, ...]
    shares: PickShares
    hook_m: float
    legs: tuple[SlingLeg, ...]
    inserts: tuple[InsertCheck, ...]
    sling: RatingCheck
    bending: CarryCheck | None

    @property
    def tension_kg(self) -> float:
        """Of the leg that pulls most."""
        return max(leg.tension_kg for leg in self.legs)

    @property
    def insert_required_kg(self) -> float:
        """What the insert that is loaded most must hold at failure."""
        return max(insert.required_ultimate_kg for insert in self.inserts)

    @property
    def statements(self) -> tuple[str, ...]:
        """What of it is not shown to be safe."""
        told = []
        weakest = next((insert for insert in self.inserts if not insert.shown_safe), None)
        if weakest is not None:
            told.append(f"lifting inserts: {weakest.verdict}")
        if not self.sling.shown_safe:
            told.append(f"{self.sling.what}: {self.sling.verdict}")
        if self.bending is not None and not self.bending.shown_safe:
            told.append(f"bending on {self.name}: {self.bending.verdict}")
        return tuple(told)


@dataclass(frozen=True, slots=True)
class VacuumPads:
    """Pads for the greatest load: flat (the pads pull straight) and upright (their friction holds)."""

    pad_m: float
    pad_area_m2: float
    vacuum_pa: float
    friction: float
    factor: float
    flat: VacuumLift
    upright: VacuumLift


@dataclass(frozen=True, slots=True)
class GearLift:
    """How gear lifts the piece. `planned` where the workshop means to, or no crew may."""

    planned: bool
    form_area_m2: float
    adhesion_pa: float
    loads: tuple[GearLoad, ...]
    rigging: tuple[Rigging, ...]
    no_proposal: str  # why no pick points are proposed; "" where some are
    vacuum: VacuumPads

    @property
    def greatest(self) -> GearLoad:
        """The greatest load of the stages at which the bare piece hangs."""
        return max((load for load in self.loads if load.stage in HOISTED), key=lambda load: load.load_kg)


def loads_of(weight: Weight, form_area_m2: float, figures: Mapping[str, float]) -> tuple[GearLoad, ...]:
    """What gear must carry at each stage, from the HIGH side of the weight then, adhesion at the strip alone."""
    stages = weight.stages
    weights_kg: dict[GearStage, float] = {
        "strip": stages.demould.high_kg,
        "turn": weight.turn_kg,
        "yard": stages.demould.high_kg,
        "transport": stages.transport.high_kg,
        "install": stages.installed.high_kg,
    }
    factors: dict[GearStage, float] = {stage: figures[f"handling.dynamic_{stage}"] for stage in GEAR_STAGES}
    return gear_loads(weights_kg, form_area_m2, figures["handling.adhesion"], factors)


def gear_lift(
    shape: shapes.Shape,
    solid: Solid,
    flat: FlatPiece | None,
    weight: Weight,
    cracking: Cracking,
    wish: HandlingWish,
    figures: Mapping[str, float],
    *,
    no_crew: bool,
) -> GearLift:
    """Loads by stage, picks and pads. Raises ValueError for picks of the workshop that cannot hold the piece."""
    loads = loads_of(weight, solid.form_area_m2, figures)
    greatest = max((load for load in loads if load.stage in HOISTED), key=lambda load: load.load_kg)
    centre_m = weight.centre_of_gravity_m
    rigging: list[Rigging] = []
    if wish.picks is not None:
        own_picks, centre = wish.picks, (centre_m[0], centre_m[1])
        at_key("handling.picks", lambda: check_own_picks(own_picks, flat, solid, centre, figures))
        rigging.append(
            _rigged(
                _Places("own-picks", "the workshop's picks", wish.picks, True),
                solid.lowest_m,
                greatest,
                centre_m,
                cracking,
                figures,
            )
        )
    else:
        for places in _proposed(shape, solid, flat, (centre_m[0], centre_m[1])):
            rigging.append(_rigged(places, solid.lowest_m, greatest, centre_m, cracking, figures))
    planned = no_crew or wish.picks is not None or wish.lifted_by in ("slings", "vacuum")
    no_proposal = "" if rigging else "pick points of this shape are for a qualified rigger: none is proposed"
    return GearLift(
        planned,
        solid.form_area_m2,
        figures["handling.adhesion"],
        loads,
        tuple(rigging),
        no_proposal,
        _pads(greatest.load_kg, wish.leak_tested, figures),
    )


def check_own_picks(
    picks: Picks, flat: FlatPiece | None, solid: Solid, centre_m: Plan, figures: Mapping[str, float]
) -> None:
    """Refuse picks of the workshop that no rigger could use. Raises ValueError that says which and why.

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


def _proposed(shape: shapes.Shape, solid: Solid, flat: FlatPiece | None, centre_m: Plan) -> list[_Places]:
    """Two, three and four picks that the piece can be held by, in its own plan."""
    if flat is not None:
        return _on_plate(flat, flat.seen(centre_m))
    if isinstance(shape, shapes.Box) and shape.open:
        x0, y0 = solid.lowest_m[:2]
        in_m, part_m = shape.wall_m / 2.0, TWO_POINT_PART * shape.length_m
        xs, ys = (x0 + part_m, x0 + shape.length_m - part_m), (y0 + in_m, y0 + shape.width_m - in_m)
        four = ((xs[0], ys[0]), (xs[1], ys[0]), (xs[1], ys[1]), (xs[0], ys[1]))
        return [_Places("rim", "four picks on the rim", Picks(four))] if _holds(four, centre_m) else []
    return []


def _on_plate(flat: FlatPiece, centre_m: Plan) -> list[_Places]:
    length_m, width_m = flat.length_m, flat.width_m
    found: list[_Places] = []
    for count, words in ((2, "two picks"), (3, "three picks"), (4, "four picks")):
        for part in PARTS:
            x0, x1, y0, y1 = part * length_m, (1 - part) * length_m, part * width_m, (1 - part) * width_m
            across = centre_m[1]
            heavy, light = (x0, x1) if centre_m[0] < length_m / 2.0 else (x1, x0)
            points = {
                2: ((x0, across), (x1, across)),
                3: ((heavy, y0), (heavy, y1), (light, across)),
                4: ((x0, y0), (x1, y0), (x1, y1), (x0, y1)),
            }[count]
            if _lies_on(flat, points) and _holds(points, centre_m):
                place = "0.207" if part == TWO_POINT_PART else f"{part:.2f}"
                name = f"{words}, {place} of the length from its ends"
                found.append(_Places(words.replace(" ", "-"), name, Picks(tuple(flat.own(p) for p in points))))
                break
    return found


def _lies_on(flat: FlatPiece, points: Sequence[Plan]) -> bool:
    try:
        check_pick_places(points, flat.outline, flat.cutouts, edge_distance_m=flat.thickness_m)
    except ValueError:
        return False
    return True


def _holds(points: Sequence[Plan], centre_m: Plan) -> bool:
    try:
        pick_shares(points, centre_m, 1.0)
    except ValueError:
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
    angle = _angle(picks, figures)
    hook_m = hook_height_for(picks.at_m, centre, angle, "horizontal") if len(picks.at_m) > 1 else 1.0
    legs = legs_to_hook(picks.at_m, shares.shares_kg, centre, hook_m)
    factor = figures["handling.insert_factor"]
    inserts = tuple(
        check_insert("precast", leg.tension_kg, picks.insert_strength_kg, factor) for leg in legs if leg.share_kg > 0.0
    )
    sling = check_rating("sling leg", max(leg.tension_kg for leg in legs), picks.sling_rating_kg)
    bending = None
    if cracking.axis is not None and len(picks.at_m) > 1:
        along = sorted(point[cracking.axis] - start_m[cracking.axis] for point in picks.at_m)
        if along[0] < along[-1]:
            bending = check_between(cracking, places.name, along[0], along[-1], load.load_kg / load.weight_kg, figures)
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
        bending,
    )


def _pads(load_kg: float, leak_tested: bool, figures: Mapping[str, float]) -> VacuumPads:
    pad_m, vacuum_pa = figures["handling.vacuum_cup"], figures["handling.vacuum"]
    friction, factor = figures["handling.vacuum_friction"], figures["handling.vacuum_factor"]
    lifts = []
    for attitude in ("horizontal", "vertical"):
        one_kg = pad_capacity(pad_m, vacuum_pa, attitude, friction, factor)
        lifts.append(check_vacuum(pads_needed(load_kg, one_kg), load_kg, one_kg, leak_tested=leak_tested))
    return VacuumPads(pad_m, pi / 4.0 * pad_m**2, vacuum_pa, friction, factor, lifts[0], lifts[1])
