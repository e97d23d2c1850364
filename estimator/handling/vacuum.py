"""Lifting with vacuum pads: what a pad holds by area, and with which margin."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, pi
from typing import Literal

from estimator.bounds import STANDARD_GRAVITY_M_S2, require_one_of, require_positive, require_within
from estimator.errors import RangeError

Attitude = Literal["horizontal", "vertical"]
ATTITUDES: tuple[Attitude, ...] = ("horizontal", "vertical")

SAFETY_FACTOR = 2.0  # least factor on the holding force, practice of EN 13155
FRICTION_SAFETY_FACTOR = 4.0  # least factor of a shop where friction alone holds: ASME B30.20, from memory
FRICTION_DRY = 0.5  # pad on a clean dry face; 0.2 to 0.3 on a wet one
FRICTION_WET = 0.2
ATMOSPHERE_PA = 101_325.0  # standard atmosphere; less is to be had at altitude


@dataclass(frozen=True, slots=True)
class VacuumLift:
    """Pads on a face, which counts only where its vacuum was measured on it and held with the pump off."""

    pads: int
    load_kg: float
    capacity_kg: float  # of all pads, safety factor in
    leak_tested: bool

    @property
    def shown_safe(self) -> bool:
        return self.leak_tested and self.load_kg <= self.capacity_kg

    @property
    def verdict(self) -> Literal["enough", "not-enough", "untested"]:
        if self.load_kg > self.capacity_kg:
            return "not-enough"
        return "enough" if self.leak_tested else "untested"


def pad_force(diameter_m: float, vacuum_pa: float) -> float:
    """Holding force of one round pad, N: area times vacuum (below the atmosphere).

    >>> round(pad_force(0.250, 60e3))
    2945
    """
    require_positive("pad diameter", diameter_m, "m")
    require_within("vacuum below the atmosphere", vacuum_pa, 1.0, ATMOSPHERE_PA, "Pa")
    return pi / 4.0 * diameter_m**2 * vacuum_pa


def pad_capacity(
    diameter_m: float,
    vacuum_pa: float,
    attitude: str,
    friction: float = FRICTION_WET,
    safety_factor: float = SAFETY_FACTOR,
) -> float:
    """What one pad may carry, kg.

    attitude        of the piece: horizontal (the pad pulls straight) or vertical (friction holds it)
    friction        pad on face; the wet figure unless a dry clean face is said
    safety_factor   on the holding force, at least 2
    """
    require_one_of("attitude of the piece", attitude, ATTITUDES)
    require_within("friction of the pad", friction, 0.01, 1.0)
    if not safety_factor >= SAFETY_FACTOR:
        raise RangeError(f"safety factor {safety_factor:g} on vacuum: must be at least {SAFETY_FACTOR:g}")
    held_n = pad_force(diameter_m, vacuum_pa) * (friction if attitude == "vertical" else 1.0)
    return held_n / safety_factor / STANDARD_GRAVITY_M_S2


def pads_needed(load_kg: float, capacity_of_one_kg: float) -> int:
    """Whole pads for a load, kg, dynamic factor in."""
    require_positive("load", load_kg, "kg")
    require_positive("capacity of one pad", capacity_of_one_kg, "kg")
    return max(1, ceil(load_kg / capacity_of_one_kg - 1e-9))


def check_vacuum(pads: int, load_kg: float, capacity_of_one_kg: float, *, leak_tested: bool) -> VacuumLift:
    """Set a number of pads beside a load, kg, dynamic factor in."""
    if pads < 1:
        raise RangeError(f"{pads} vacuum pads: at least one")
    require_positive("load", load_kg, "kg")
    require_positive("capacity of one pad", capacity_of_one_kg, "kg")
    return VacuumLift(pads, load_kg, pads * capacity_of_one_kg, leak_tested)
