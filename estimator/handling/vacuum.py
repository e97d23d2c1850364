"""Lifting with vacuum pads: what a pad holds, how many a load needs, and where they stand on a plate."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, hypot, pi
from typing import Literal

from estimator.bounds import (
    STANDARD_GRAVITY_M_S2,
    require_one_of,
    require_positive,
    require_within,
)
from estimator.errors import FaultError
from estimator.handling.cracking import Cracking
from estimator.handling.doubts import Doubt
from estimator.handling.loads import FACE_UP, GearLoad
from estimator.handling.plates import PARTS, PlateCheck, balanced_shares, check_hanging, clear_of_cutouts_m, worst_of
from estimator.handling.rigging import LINE_TOLERANCE_M, Plan, plumb_legs
from estimator.handling.sections import FlatPiece
from estimator.handling.strength import RANK
from estimator.job import HandlingPreferences
from estimator.workshop import HandlingSettings

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
        raise FaultError("", f"safety factor {safety_factor:g} on vacuum: must be at least {SAFETY_FACTOR:g}")
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
        raise FaultError("", f"{pads} vacuum pads: at least one")
    require_positive("load", load_kg, "kg")
    require_positive("capacity of one pad", capacity_of_one_kg, "kg")
    return VacuumLift(pads, load_kg, pads * capacity_of_one_kg, leak_tested)


PAD_GRIDS = ((2, 2), (1, 4), (2, 3), (2, 4), (3, 4), (2, 6), (4, 4))  # rows and columns of pads tried


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


def place_pads(
    loads: Sequence[GearLoad], centre: Plan, wish: HandlingPreferences, cracking: Cracking, settings: HandlingSettings
) -> VacuumPads:
    """Pads by the vacuum measured on this face, where it was; by the workshop's figure until then.

    At the strip the back lies up, raw: pads lift a piece from the flip on.
    """
    load = max((each for each in loads if each.stage in FACE_UP), key=lambda each: each.load_kg)
    load_kg = load.load_kg
    pad_m = settings.vacuum_cup_m
    vacuum_pa = settings.vacuum_pa if wish.vacuum_pa is None else wish.vacuum_pa
    holds = wish.vacuum_holds_s is not None and wish.vacuum_holds_s >= settings.vacuum_hold_s
    tested = wish.vacuum_pa is not None and holds and not cracking.cored
    friction = settings.vacuum_friction
    straight, sliding = settings.vacuum_factor, settings.vacuum_factor_upright
    flat_kg = pad_capacity(pad_m, vacuum_pa, "horizontal", friction, straight)
    upright_kg = pad_capacity(pad_m, vacuum_pa, "vertical", friction, sliding)
    placed = _placed_pads(cracking, centre, load_kg, flat_kg, pad_m, settings)
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
    cracking: Cracking, centre: Plan, load_kg: float, one_kg: float, pad_m: float, settings: HandlingSettings
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
                    settings.crack_factor,
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
