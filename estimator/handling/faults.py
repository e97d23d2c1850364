"""Input with which nothing can be lifted, hung or stood: refused, each with the key at fault and how to fix it."""

from collections.abc import Callable, Mapping

from estimator.errors import FaultError
from estimator.handling.gear_loads import GEAR_STAGES, INSERT_DESIGN_FACTORS
from estimator.handling.slings import angle_from_horizontal
from estimator.handling.team import MAX_ON_BARS
from estimator.handling.vacuum import ATMOSPHERE_PA, FRICTION_SAFETY_FACTOR, SAFETY_FACTOR


class HandlingError(FaultError):
    """A piece that cannot be handled as its entry says: `key` of the piece, and `what` is wrong with a fix in it."""

    def __init__(self, key: str, what: str) -> None:
        super().__init__(key, what if what.endswith(".") else f"{what}.")


def at_key(key: str, call: Callable[[], object]) -> None:
    """Run a check, and tell its FaultError as a fault of the piece's `key`."""
    try:
        call()
    except FaultError as error:
        raise HandlingError(key, error.what) from None


def figure_faults(figures: Mapping[str, float]) -> list[tuple[str, str, str]]:
    """(key, what, fix) of every figure of the workshop with which no lift could be planned."""
    found: list[tuple[str, str, str]] = []

    def least(key: str, floor: float, why: str) -> None:
        if figures[key] < floor:
            found.append((key, f"is {figures[key]:g}, under {floor:g}, {why}.", f"Write {floor:g} or more."))

    try:
        angle_from_horizontal(figures["handling.sling_angle"], "horizontal")
    except FaultError as error:
        found.append(("handling.sling_angle", f"{error}.", ""))
    for stage in GEAR_STAGES:
        least(f"handling.dynamic_{stage}", 1.0, "so that moving would make it lighter")
    least("handling.dynamic_machine_even", 2.5, "the practice of VDI/BV-BS 6205")
    least("handling.dynamic_machine_rough", 4.0, "the practice of VDI/BV-BS 6205")
    least("handling.insert_factor", INSERT_DESIGN_FACTORS["precast"], "which 29 CFR 1926.704 asks for")
    least("handling.hardware_factor", INSERT_DESIGN_FACTORS["hardware"], "which 29 CFR 1926.704 asks for")
    least("handling.vacuum_factor", SAFETY_FACTOR, "the practice of EN 13155")
    least("handling.vacuum_factor_upright", FRICTION_SAFETY_FACTOR, "the practice of ASME B30.20 where friction holds")
    least("handling.crack_factor", 1.0, "at which it cracks")
    least("handling.crew_most", 1.0, "and somebody has to lift it")
    least("handling.people", 1.0, "and somebody has to be there")
    least("handling.uneven_share", 1.0, "and somebody carries the rest")
    least("handling.dynamic_strip_reveals", 1.0, "so that moving would make it lighter")
    if figures["handling.crew_most"] > MAX_ON_BARS:
        found.append(
            (
                "handling.crew_most",
                f"is {figures['handling.crew_most']:g}: no carry is planned with more than {MAX_ON_BARS} people.",
                f"Write {MAX_ON_BARS} or less.",
            )
        )
    if not 0.01 <= figures["handling.vacuum_friction"] <= 1.0:
        found.append(("handling.vacuum_friction", "must lie between 0.01 and 1.", "A wet pad has 0.2 to 0.3."))
    if figures["handling.vacuum"] > ATMOSPHERE_PA:
        found.append(("handling.vacuum", "is more than the atmosphere.", "60 kPa below it is usual."))
    if figures["handling.lifting_time"] > 8.0 * 3600.0:
        found.append(
            ("handling.lifting_time", "is over the 8 h that the lifting equation covers.", "Write 8 h or less.")
        )
    for key in POSITIVE:
        if figures[key] <= 0.0:
            found.append((key, "must be more than zero.", "Give a positive quantity."))
    return found


POSITIVE = tuple(
    f"handling.{key}"
    for key in (
        "limit_level",
        "limit_stairs",
        "grip_spacing",
        "lifting_time",
        "wet_soil",
        "vacuum",
        "vacuum_cup",
        "bracket_spacing",
        "door",
        "door_height",
    )
) + tuple(
    f"transport.{key}"
    for key in (
        "truck_payload",
        "pallet_rating",
        "pallet_length",
        "pallet_width",
        "a_frame_depth",
        "forklift_rating",
        "forklift_load_centre",
    )
)
