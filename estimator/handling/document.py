"""Handling as it stands in the estimate document: plain tables and lists, the unit in each key."""

from collections.abc import Iterable
from math import isfinite
from typing import Any

from estimator.handling.bending import CarryCheck
from estimator.handling.by_gear import PICK_LETTERS, Rigging, VacuumPads
from estimator.handling.by_hand import HandLift
from estimator.handling.delivery import Delivery
from estimator.handling.doubt_words import doubt_text, doubt_texts
from estimator.handling.doubts import Doubt
from estimator.handling.in_use import InUse
from estimator.handling.niosh import RecommendedWeight
from estimator.handling.plan import Handling
from estimator.handling.plates import PlateCheck
from estimator.handling.ratings import RatingCheck
from estimator.handling.vacuum import VacuumLift
from estimator.handling.way_in import WayIn

Document = dict[str, Any]


def handling_document(handling: Handling) -> Document:
    """What is told of moving one piece; `crew` is the level carry's, null where the carry itself needs a machine."""
    lifting, cracking = handling.lifting, handling.cracking
    return {
        "crew": handling.carry.persons,
        "turn_crew": handling.turn.persons,
        "moves": [
            {
                "move": move.name,
                "crew": move.crew,
                "gear": move.gear or None,
                "attitude": dict(handling.attitudes)[move.name],
                "guideline_share": move.lift.guideline_share,
            }
            for move in handling.moves
        ],
        "release": lifting.strip.release,
        "hold": handling.hold,
        "edge_up": handling.edge_up,
        "attitudes": [{"move": move, "attitude": attitude} for move, attitude in handling.attitudes],
        "strength": handling.strength,
        "lifts": [_lift(each) for each in handling.lifts],
        "loads": [
            {
                "stage": load.stage,
                "weight_kg": load.weight_kg,
                "adhesion_kg": load.adhesion_kg,
                "dynamic_factor": load.dynamic_factor,
                "load_kg": load.load_kg,
            }
            for load in handling.loads
        ],
        "gear": list(handling.gear),
        "by_gear": lifting.planned,
        "rigging": [_rigging(each) for each in lifting.rigging],
        "no_pick_points": None if lifting.no_picks is None else doubt_text(lifting.no_picks),
        "vacuum": _vacuum(lifting.vacuum),
        "bending": [_bending(each) for each in cracking.checks],
        "weakest_section": None
        if cracking.weakest is None
        else {
            "from_end_m": cracking.weakest_at_m,
            "width_m": cracking.weakest.width_m,
            "modulus_m3": cracking.weakest.least_modulus_m3,
            "strips_m": [list(strip) for strip in cracking.weakest.strips],
        },
        "first_crack_pa": cracking.first_crack.later_pa,
        "first_crack_age_d": cracking.first_crack.age_d,
        "first_crack_at_strip_pa": cracking.first_crack.strip_pa,
        "bending_shown_safe": cracking.shown_safe,
        "narrowest_strip_m": cracking.narrowest_strip_m,
        "thickness_for_flat_carry_m": cracking.thickness_m,
        "advice": list(cracking.advice),
        "crated_kg": handling.crated_kg,
        "tips_at_deg": handling.tips_at_deg,
        **_in_use(handling.in_use),
        "way_in": _way_in(handling.way_in),
        "not_shown_safe": list(handling.not_shown_safe),
        "doubts": _doubts(handling.doubts),
        "assumptions": list(handling.assumptions),
    }


def delivery_document(delivery: Delivery) -> Document:
    """The job on its racks and on the truck."""
    return {
        "stands": [
            {
                "name": stand.name,
                "rack": stand.rack,
                "pieces": dict(stand.pieces),
                "gross_kg": stand.load.floor_kg,
                "floor_kg_m2": stand.load.floor_kg_m2,
                "rating": _rating(stand.load.gross),
                "tie_downs": stand.tie.count,
                "tie_down_kg": stand.tie.working_load_kg,
                "forklift": _rating(stand.forklift),
            }
            for stand in delivery.stands
        ],
        "trips": [
            {"stands": [delivery.stands[i].name for i in trip.stands], "truck": _rating(trip.truck)}
            for trip in delivery.trips
        ],
        "payload_kg": delivery.payload_kg,
        "not_shown_safe": list(doubt_texts(delivery.doubts)),
        "doubts": _doubts(delivery.doubts),
        "assumptions": list(delivery.assumptions),
    }


def _finite(value: float | None) -> float | None:
    """JSON has no infinity: a factor or an index without bound is told as null."""
    return value if value is not None and isfinite(value) else None


def _doubts(doubts: Iterable[Doubt]) -> list[Document]:
    return [{"id": doubt.id, "text": doubt_text(doubt)} for doubt in doubts]


def _rating(check: RatingCheck) -> Document:
    return {
        "what": check.what,
        "load_kg": check.load_kg,
        "rating_kg": check.rating_kg,
        "shown_safe": check.shown_safe,
        "verdict": check.verdict,
    }


def _lift(lift: HandLift) -> Document:
    crew, niosh, team = lift.crew, lift.niosh, lift.team
    return {
        "name": lift.name,
        "weight_kg": lift.weight_kg,
        "crew": crew.persons,
        "share_kg": crew.share_kg,
        "limit_kg": crew.limit_kg,
        "holds": [
            {"from_end_m": each.position_m, "persons": each.persons, "share_kg": each.share_kg} for each in crew.holds
        ],
        "hands_m": [lift.from_m, lift.to_m],
        "reach_m": lift.reach_m,
        "lifts_per_min": lift.lifts_per_min,
        "duration_h": lift.duration_h,
        "niosh": None
        if niosh is None
        else {
            "rwl_kg": niosh.rwl_kg,
            "lifting_index": _finite(niosh.lifting_index),
            "origin": _recommended(niosh.origin),
            "destination": _recommended(niosh.destination),
        },
        "guideline_kg": {"men": lift.men_kg, "women": lift.women_kg},
        "team_kg": None if team is None else team.team_kg,
        "iso_pair_kg": None if team is None else team.iso_pair_kg,
        "guideline_share": lift.guideline_share,
        "above_guideline": lift.above_guideline,
        "remark": lift.remark,
    }


def _recommended(weight: RecommendedWeight) -> Document:
    return {
        "rwl_kg": weight.rwl_kg,
        "horizontal": weight.horizontal,
        "vertical": weight.vertical,
        "distance": weight.distance,
        "asymmetry": weight.asymmetry,
        "frequency": weight.frequency,
        "coupling": weight.coupling,
    }


def _rigging(rig: Rigging) -> Document:
    return {
        "name": rig.key,
        "words": rig.name,
        "given": rig.given,
        "stage": rig.stage,
        "load_kg": rig.load_kg,
        "hook_m": rig.hook_m,
        "legs": [
            {
                "name": letter,
                "pick_m": list(pick),
                "share_kg": leg.share_kg,
                "tension_kg": leg.tension_kg,
                "angle_from_horizontal_deg": leg.angle_from_horizontal_deg,
                "length_m": leg.length_m,
            }
            for letter, pick, leg in zip(PICK_LETTERS, rig.picks_m, rig.legs, strict=False)
        ],
        "determinate": rig.shares.determinate,
        "assumption": rig.shares.assumption,
        "insert_required_kg": rig.insert_required_kg,
        "insert_verdict": min(rig.inserts, key=lambda each: each.shown_safe).verdict if rig.inserts else None,
        "around": rig.around,
        "plumb": rig.plumb,
        "sling": _rating(rig.sling),
        "bending": None if rig.bending is None else _bending(rig.bending),
        "directions": [_bending(check) for check in rig.checks if isinstance(check, PlateCheck)],
    }


def _vacuum(pads: VacuumPads) -> Document:
    return {
        "pad_m": pads.pad_m,
        "flat": _pads(pads.flat),
        "upright": _pads(pads.upright),
        "places_m": [list(place) for place in pads.places_m],
        "bending": None if pads.bending is None else _bending(pads.bending),
    }


def _pads(lift: VacuumLift) -> Document:
    return {
        "pads": lift.pads,
        "load_kg": lift.load_kg,
        "capacity_kg": lift.capacity_kg,
        "shown_safe": lift.shown_safe,
        "verdict": lift.verdict,
    }


def _bending(check: CarryCheck | PlateCheck) -> Document:
    if isinstance(check, PlateCheck):
        way: Document = {"direction": check.direction, "by_strip": check.by_strip, "pull_pa": check.pull_pa}
    else:
        way = {"name": check.carry.key, "words": check.carry.name, "attitude": check.carry.attitude}
    return way | {
        "moment_n_m": check.moment_n_m,
        "at_m": check.at_m,
        "stress_pa": check.stress_pa,
        "factor": _finite(check.factor),
        "required_factor": check.required_factor,
        "shown_safe": check.shown_safe,
        "strength": check.strength,
    }


def _in_use(used: InUse) -> Document:
    hung, standing = used.hung, used.standing
    told: Document = {"hung": None, "standing": None}
    if hung is not None:
        told["hung"] = {
            "weight_kg": hung.weight_kg,
            "anchors_m": list(hung.anchors_m),
            "anchor_height_m": hung.height_m,
            "proposed": hung.proposed,
            "bearing_kg": list(hung.load.bearing_kg),
            "couple_n_m": hung.load.couple_n_m,
            "pull_n": list(hung.load.pull_n),
            "push_n": hung.load.push_n,
            "note": hung.load.note,
        }
    if standing is not None:
        over = standing.overhang
        told["standing"] = {
            "weight_kg": standing.weight_kg,
            "kg_per_m2": standing.kg_per_m2,
            "kg_per_m": None if standing.counter is None else standing.counter.kg_per_m,
            "posted_kg_m2": standing.posted_kg_m2,
            "foot_kg": standing.foot_kg,
            "tipping_wind_pa": standing.wind_pa,
            "within_posted": standing.within_posted,
            "wall_stress_pa": None if standing.walls is None else standing.walls.stress_pa,
            "wall_strength": None if standing.walls is None else standing.walls.strength,
            "overhang": None
            if over is None
            else {
                "overhang_m": over.overhang_m,
                "allowed_m": over.allowed_m,
                "needs_support": over.needs_support,
                "stays_put": over.stays_put,
                "brackets_m": list(over.bracket_places_m),
                "bracket_note": over.bracket_note,
            },
        }
    return told


def _way_in(way: WayIn) -> Document:
    return {
        "assumed": way.assumed,
        "places": [{"place": each.place, "passes": each.passes, "remark": each.remark} for each in way.checks],
        "lift": None if way.lift is None else _rating(way.lift),
        "longest_part_m": way.longest_part_m,
        "seams_m": list(way.seams_m),
        "seam_note": way.seam_note or None,
    }
