"""How each piece is lifted: the crew by hand, and what a hoist must be rated for at each stage."""

from dataclasses import dataclass

from estimator.handling.gear_loads import GearLoad, gear_loads
from estimator.handling.team import Crew, crew_for, room_for_hands
from estimator.job import Workshop
from estimator.takeoff import PieceTakeoff
from estimator.weight import Weight
from estimator.workings import Working


@dataclass(frozen=True, slots=True)
class Handling:
    """Crew for the bare piece and for turning it in its form; loads for gear; the gear that is needed."""

    carry: Crew
    turn: Crew
    loads: tuple[GearLoad, ...]
    gear: tuple[str, ...]


def plan_handling(taken: PieceTakeoff, weight: Weight, workshop: Workshop) -> Handling:
    """The smallest crew for the lift weight, its heavier end counted along the longest side, and the loads for gear."""
    figures = workshop.figures
    size = taken.solid.size_m
    centre_m = [at - low for at, low in zip(weight.centre_of_gravity_m, taken.solid.lowest_m, strict=True)]
    along = max((0, 1, 2), key=lambda axis: size[axis])
    room = room_for_hands(2.0 * sum(sorted(size)[1:]), figures["handling.grip_spacing"])
    limit_kg = figures["handling.limit_level"]
    carry = crew_for(weight.lift_kg, size[along], centre_m[along], limit_kg, room)
    turn = crew_for(weight.turn_kg, size[along], centre_m[along], limit_kg, room)
    stages = weight.stages
    loads = gear_loads(
        {
            "strip": stages.demould.high_kg,
            "turn": weight.turn_kg,
            "yard": stages.demould.high_kg,
            "transport": stages.transport.high_kg,
            "install": stages.installed.high_kg,
        },
        taken.solid.form_area_m2,
        figures["handling.adhesion"],
        {stage: figures[f"handling.dynamic_{stage}"] for stage in ("strip", "turn", "yard", "transport", "install")},
    )
    gear = []
    if carry.by_machine or turn.by_machine:
        gear.append("hoist, crane or lift truck rated for the largest of the loads, under a qualified rigger")
    if turn.by_machine and not carry.by_machine:
        gear.append("turning frame")
    return Handling(carry, turn, loads, tuple(gear))


def handling_workings(mark: str, handling: Handling) -> list[Working]:
    """How the load at each stage came about."""
    return [
        Working(
            f"pieces.{mark}.handling.loads.{load.stage}.load_kg",
            "(weight_kg + adhesion_kg) · dynamic_factor",
            {"weight_kg": load.weight_kg, "adhesion_kg": load.adhesion_kg, "dynamic_factor": load.dynamic_factor},
            load.load_kg,
            "kg",
            "weight and the form's adhesion first, then the dynamic factor of the stage",
        )
        for load in handling.loads
    ]
