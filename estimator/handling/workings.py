"""How the figures of handling came about."""

from collections.abc import Iterator

from estimator.bounds import STANDARD_GRAVITY_M_S2
from estimator.handling.bending import CarryCheck
from estimator.handling.gear import GearLift, Rigging
from estimator.handling.in_use import InUse
from estimator.handling.niosh import METRIC, RecommendedWeight
from estimator.handling.people import HandLift
from estimator.handling.plan import Handling
from estimator.handling.plates import PlateCheck
from estimator.handling.rigging import PICK_LETTERS
from estimator.handling.transport import Delivery
from estimator.workings import Working

ADHESION_SOURCE = "adhesion by form face from trade guides (oiled steel read, timber from memory), on the form's faces"
NIOSH_SOURCE = (
    "NIOSH 94-110: a filter for one person's share of the lift-off, not a limit; it covers neither carrying nor teams"
)
TEAM_SOURCE = "HSE L23 team rule and INDG143 guideline weight: filters that ask for an assessment, not limits"


def handling_workings(mark: str, handling: Handling) -> list[Working]:
    """How what is told of moving one piece came about."""
    at = f"pieces.{mark}.handling"
    told: list[Working] = []
    for lift in handling.lifts:
        told += _by_hand(f"{at}.lifts.{lift.name}", lift)
    told += _by_gear(at, handling.lifting)
    for check in handling.cracking.checks:
        told += _bending(f"{at}.bending.{check.carry.key}", check)
    told += _in_use(at, handling.in_use)
    told.append(
        Working(
            f"{at}.crated_kg",
            "weight_kg + crate_kg",
            {"weight_kg": handling.freight.weight_kg, "crate_kg": handling.crated_kg - handling.freight.weight_kg},
            handling.crated_kg,
            "kg",
            "high-side transport weight, and a crate by the area of the piece: workshop's figure",
        )
    )
    return told


def _by_hand(at: str, lift: HandLift) -> Iterator[Working]:
    hold = max(lift.crew.holds, key=lambda each: each.share_kg, default=None)
    if hold is None:
        return
    if lift.crew.persons == 1:
        formula, values = "weight_kg", {"weight_kg": lift.weight_kg}
    else:
        other = next(each for each in lift.crew.holds if each is not hold)
        formula = "weight_kg · other_hold_m / (hold_m + other_hold_m) · side"
        values = {
            "weight_kg": lift.weight_kg,
            "hold_m": abs(hold.position_m - lift.grip.centre_m),
            "other_hold_m": abs(other.position_m - lift.grip.centre_m),
            "side": lift.grip.heavier_side if hold.persons == 2 else 1.0,
        }
    yield Working(
        f"{at}.share_kg",
        formula,
        values,
        lift.crew.share_kg,
        "kg",
        f"statics about the centre of gravity, heavier end and side; within the workshop's {lift.crew.limit_kg:.1f} kg "
        "a person",
    )
    if lift.niosh is not None:
        for end, weight in (("origin", lift.niosh.origin), ("destination", lift.niosh.destination)):
            yield _recommended(f"{at}.niosh.{end}.rwl_kg", weight, lift)
        if lift.niosh.rwl_kg > 0.0:
            yield Working(
                f"{at}.niosh.lifting_index",
                "share_kg / rwl_kg",
                {"share_kg": lift.crew.share_kg, "rwl_kg": lift.niosh.rwl_kg},
                lift.niosh.lifting_index,
                "",
                NIOSH_SOURCE,
            )
    if lift.team is not None and lift.team.team_kg is not None and lift.crew.persons is not None:
        yield Working(
            f"{at}.team_kg",
            "factor · persons · guideline_kg",
            {
                "factor": lift.team.team_kg / (lift.crew.persons * lift.team.guideline_kg),
                "persons": float(lift.crew.persons),
                "guideline_kg": lift.team.guideline_kg,
            },
            lift.team.team_kg,
            "kg",
            TEAM_SOURCE,
        )


def _recommended(figure: str, weight: RecommendedWeight, lift: HandLift) -> Working:
    return Working(
        figure,
        "lc · hm · vm · dm · am · fm · cm",
        {
            "lc": METRIC.load_constant,
            "hm": weight.horizontal,
            "vm": weight.vertical,
            "dm": weight.distance,
            "am": weight.asymmetry,
            "fm": weight.frequency,
            "cm": weight.coupling,
        },
        weight.rwl_kg,
        "kg",
        f"{NIOSH_SOURCE}; hands {lift.from_m:.2f} to {lift.to_m:.2f} m high and {lift.reach_m:.2f} m out, no twist, "
        f"{lift.lifts_per_min:g} a minute for {lift.duration_h:g} h, poor grip",
    )


def _by_gear(at: str, lifting: GearLift) -> Iterator[Working]:
    for load in lifting.loads:
        if load.adhesion_kg > 0.0:
            yield Working(
                f"{at}.loads.{load.stage}.adhesion_kg",
                "adhesion_pa · form_area_m2 / gravity_m_s2",
                {
                    "adhesion_pa": lifting.strip.adhesion_pa,
                    "form_area_m2": lifting.form_area_m2,
                    "gravity_m_s2": STANDARD_GRAVITY_M_S2,
                },
                load.adhesion_kg,
                "kg",
                ADHESION_SOURCE,
            )
        yield Working(
            f"{at}.loads.{load.stage}.load_kg",
            "(weight_kg + adhesion_kg) · dynamic_factor",
            {"weight_kg": load.weight_kg, "adhesion_kg": load.adhesion_kg, "dynamic_factor": load.dynamic_factor},
            load.load_kg,
            "kg",
            "high side of the weight and the form's adhesion first, then the dynamic factor of the stage; at the strip "
            "1.3 flat and 1.4 with reveals or knock-outs; from memory",
        )
    for rig in lifting.rigging:
        yield from _rigging(f"{at}.rigging.{rig.key}", rig)
    pads = lifting.vacuum
    for name, lift, friction, factor in (
        ("flat", pads.flat, 1.0, pads.factor),
        ("upright", pads.upright, pads.friction, pads.upright_factor),
    ):
        yield Working(
            f"{at}.vacuum.{name}.capacity_kg",
            "pads · pad_area_m2 · vacuum_pa · friction / factor / gravity_m_s2",
            {
                "pads": float(lift.pads),
                "pad_area_m2": pads.pad_area_m2,
                "vacuum_pa": pads.vacuum_pa,
                "friction": friction,
                "factor": factor,
                "gravity_m_s2": STANDARD_GRAVITY_M_S2,
            },
            lift.capacity_kg,
            "kg",
            "practice of EN 13155; where friction holds, of ASME B30.20 (from memory); by the vacuum on this face",
        )


def _rigging(at: str, rig: Rigging) -> Iterator[Working]:
    for letter, leg in zip(PICK_LETTERS, rig.legs, strict=False):
        yield Working(
            f"{at}.legs.{letter}.share_kg",
            "load_kg · part",
            {"load_kg": rig.load_kg, "part": leg.share_kg / rig.load_kg},
            leg.share_kg,
            "kg",
            f"statics about the centre of gravity; {rig.shares.assumption}",
        )
        yield Working(
            f"{at}.legs.{letter}.tension_kg",
            *(
                ("share_kg", {"share_kg": leg.share_kg})
                if rig.hook_m is None
                else (
                    "share_kg · leg_m / hook_m",
                    {"share_kg": leg.share_kg, "leg_m": leg.length_m, "hook_m": rig.hook_m},
                )
            ),
            leg.tension_kg,
            "kg",
            "share over the sine of the leg's angle from the horizontal; never under 30°, practice of ASME B30.9",
        )
    if rig.inserts:
        worst = max(rig.inserts, key=lambda insert: insert.required_ultimate_kg)
        yield Working(
            f"{at}.insert_required_kg",
            "tension_kg · design_factor",
            {"tension_kg": worst.load_kg, "design_factor": worst.design_factor},
            worst.required_ultimate_kg,
            "kg",
            "29 CFR 1926.704: four times the greatest load intended; the pull of the leg is taken for it",
        )
    if rig.bending is not None:
        yield from _bending(f"{at}.bending", rig.bending)


def _bending(at: str, check: CarryCheck | PlateCheck) -> Iterator[Working]:
    if check.stress_pa <= 0.0:
        return
    pull_pa = check.pull_pa if isinstance(check, PlateCheck) else 0.0
    values = {"moment_n_m": abs(check.moment_n_m), "modulus_m3": check.modulus_m3}
    yield Working(
        f"{at}.stress_pa",
        "moment_n_m / modulus_m3 + pull_pa" if pull_pa else "moment_n_m / modulus_m3",
        values | ({"pull_pa": pull_pa} if pull_pa else {}),
        check.stress_pa,
        "Pa",
        _where(check),
    )
    if check.first_crack_pa is not None and check.factor is not None:
        yield Working(
            f"{at}.factor",
            "first_crack_pa / stress_pa",
            {"first_crack_pa": check.first_crack_pa, "stress_pa": check.stress_pa},
            check.factor,
            "",
            f"against the tested lower limit of proportionality; at least {check.required_factor:g} is asked for",
        )


def _where(check: CarryCheck | PlateCheck) -> str:
    if isinstance(check, CarryCheck):
        return f"statics on the net cross-section at {check.at_m:.3f} m along the piece, the weaker face down"
    place = f"at {check.at_m:.3f} m, bending {check.direction} the piece"
    if not check.by_strip:
        return f"statics on the whole net cross-section {place}"
    return (
        f"{place}: the row's moment on 7.5 thicknesses on either side of each pick, at most half the plate (PCI "
        "practice, from memory); inclined slings add V / tan α · e"
    )


def _in_use(at: str, used: InUse) -> Iterator[Working]:
    if used.hung is not None:
        hung = used.hung
        yield Working(
            f"{at}.hung.couple_n_m",
            "weight_kg · gravity_m_s2 · out_m",
            {"weight_kg": hung.weight_kg, "gravity_m_s2": STANDARD_GRAVITY_M_S2, "out_m": hung.out_m},
            hung.load.couple_n_m,
            "N·m",
            hung.load.note,
        )
        yield Working(
            f"{at}.hung.push_n",
            "couple_n_m / lever_m",
            {"couple_n_m": hung.load.couple_n_m, "lever_m": hung.height_m},
            hung.load.push_n,
            "N",
            hung.load.note,
        )
    if used.standing is not None:
        standing = used.standing
        yield Working(
            f"{at}.standing.kg_per_m2",
            "weight_kg / supported_m2",
            {"weight_kg": standing.weight_kg, "supported_m2": standing.weight_kg / standing.kg_per_m2},
            standing.kg_per_m2,
            "kg/m²",
            "high-side weight on its plan, less an overhang; the posted or designed floor load governs",
        )


def delivery_workings(delivery: Delivery) -> list[Working]:
    """How the loads of racks and trips came about."""
    told = []
    for stand in delivery.stands:
        at = f"delivery.stands.{stand.name}"
        told.append(
            Working(
                f"{at}.gross_kg",
                "pieces_kg + rack_kg",
                {
                    "pieces_kg": stand.load.gross.load_kg,
                    "rack_kg": stand.load.floor_kg - stand.load.gross.load_kg,
                },
                stand.load.floor_kg,
                "kg",
                "high-side transport weights and the rack's own; workshop's figures",
            )
        )
        told.append(
            Working(
                f"{at}.tie_down_kg",
                "gross_kg / 2",
                {"gross_kg": stand.load.floor_kg},
                stand.tie.working_load_kg,
                "kg",
                "49 CFR 393.106: working load of all tie-downs at least half of the load",
            )
        )
    return told
