"""Lifting with vacuum pads: their capacity, how many a load needs, and where they go on a plate."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import lru_cache
from math import ceil, hypot, pi
from typing import NamedTuple

import numpy as np

from estimator.constants import STANDARD_GRAVITY_M_S2, require_positive, require_within
from estimator.handling.bending import ALIKE
from estimator.handling.cracking import Cracking
from estimator.handling.doubts import Doubt
from estimator.handling.loads import FACE_UP, GearLoad
from estimator.handling.plates import (
    PARTS,
    PlateCheck,
    balanced_shares,
    check_hanging,
    least_from_cutout_m,
    worst_of,
)
from estimator.handling.rigging import LINE_TOLERANCE_M, PlanPoint, plumb_legs
from estimator.handling.sections import FlatPiece
from estimator.handling.series import Series, balanced, plate_checks
from estimator.handling.strength import RANK, Strength
from estimator.job import HandlingPreferences
from estimator.workings import Formula, Working
from estimator.workshop import ATMOSPHERE_PA, HandlingSettings
from geometry.arrays import Flags, Floats, Ints
from geometry.frozen import frozen
from geometry.message import message

PAD_GRIDS = ((2, 2), (1, 4), (2, 3), (2, 4), (3, 4), (2, 6), (4, 4))  # rows and columns of pads tried
_SAME_M = 1e-9
UnitGrid = tuple[PlanPoint, ...]


def _unit_grid(rows: int, columns: int, part: float) -> UnitGrid:
    """Even rows and columns of pads, as fractions of length and width.

    The outermost are at `part`; a single row or column is in the middle.
    """

    def places(count: int) -> list[float]:
        if count == 1:
            return [0.5]
        return [part + (1.0 - 2.0 * part) * number / (count - 1) for number in range(count)]

    return tuple((x, y) for x in places(columns) for y in places(rows))


UNIT_GRIDS = [_unit_grid(rows, columns, part) for rows, columns in PAD_GRIDS for part in PARTS]
UNIT_POINTS = np.array([point for grid in UNIT_GRIDS for point in grid])
UNIT_STARTS = np.cumsum([0, *(len(grid) for grid in UNIT_GRIDS[:-1])])
GRIDS = [
    (rows * columns, list(enumerate(UNIT_GRIDS))[number * len(PARTS) : (number + 1) * len(PARTS)])
    for number, (rows, columns) in enumerate(PAD_GRIDS)
]
"""Number of pads of each grid, and its numbered variants, one for each entry of PARTS."""

CAPACITY = Formula(
    "pads · pad_area_m2 · vacuum_pa · friction / factor / gravity_m_s2",
    "kg",
    message("source-vacuum"),
)


@frozen
class Pad:
    """A round pad on a face.

    vacuum_pa     vacuum below the atmosphere
    friction      friction of the pad on an upright face; 1 if it pulls straight
    factor        safety factor on the holding force
    leak_tested   whether the vacuum was measured on this face and held with the pump off; else it counts as untested
    """

    diameter_m: float
    vacuum_pa: float
    friction: float
    factor: float
    leak_tested: bool

    def __post_init__(self) -> None:
        require_positive("pad-diameter", self.diameter_m, "m")
        require_within("vacuum-below-the-atmosphere", self.vacuum_pa, 1.0, ATMOSPHERE_PA, "Pa")

    def capacity_kg(self, pads: int) -> float:
        """Capacity of this many pads, safety factor included, kg.

        >>> round(Pad(0.250, 60e3, 1.0, 2.0, leak_tested=True).capacity_kg(1))
        150
        """
        return _capacity_kg(pads, self.diameter_m, self.vacuum_pa, self.friction, self.factor)

    def values(self, pads: int) -> dict[str, float]:
        """Values of the CAPACITY formula."""
        return _values(pads, self.diameter_m, self.vacuum_pa, self.friction, self.factor)


def _values(pads: int, diameter_m: float, vacuum_pa: float, friction: float, factor: float) -> dict[str, float]:
    return {
        "pads": float(pads),
        "pad_area_m2": pi / 4.0 * diameter_m**2,
        "vacuum_pa": vacuum_pa,
        "friction": friction,
        "factor": factor,
        "gravity_m_s2": STANDARD_GRAVITY_M_S2,
    }


@lru_cache(maxsize=256)  # a shop has few pads; keyed by figures, which hash faster than a Pad
def _capacity_kg(pads: int, diameter_m: float, vacuum_pa: float, friction: float, factor: float) -> float:
    capacity_kg: float = CAPACITY(**_values(pads, diameter_m, vacuum_pa, friction, factor))
    return capacity_kg


class VacuumLift(NamedTuple):
    """A number of pads under a load, kg, dynamic factor included."""

    pads: int
    load_kg: float
    pad: Pad

    @property
    def capacity_kg(self) -> float:
        """Capacity of all pads, safety factor included, kg."""
        return self.pad.capacity_kg(self.pads)

    @property
    def shown_safe(self) -> bool:
        return self.verdict == "enough"

    @property
    def verdict(self) -> Strength:
        if self.load_kg > self.pad.capacity_kg(self.pads):
            return "not-enough"
        return "enough" if self.pad.leak_tested else "untested"


@frozen
class VacuumPads:
    """Pads for the largest load with the face up: flat (the pads pull straight) and upright (friction holds).

    places_m  places of the pads on a plate lying flat, in the piece's own plan; empty if there is no place for them
    bending   bending of the plate at those pads
    cored     whether a core of unknown extent is cast in, so that no pads may go over it
    """

    flat: VacuumLift
    upright: VacuumLift
    places_m: tuple[PlanPoint, ...]
    bending: PlateCheck | None
    cored: bool

    @property
    def pad_m(self) -> float:
        return self.flat.pad.diameter_m

    @property
    def cracks(self) -> bool:
        """Whether the piece is not strong enough to hang from pads at these places."""
        return self.bending is not None and self.bending.cracks

    @property
    def doubts(self) -> tuple[Doubt, ...]:
        """What is not shown to be safe."""
        if self.cored:
            return (Doubt("pads-core"),)
        doubts = [] if self.flat.pad.leak_tested else [Doubt("pads-not-measured")]
        if self.bending is None:
            doubts.append(Doubt("pads-no-place"))
        elif self.bending.strength != "enough":
            doubts.append(Doubt("pads-not-enough" if self.cracks else "pads-untested"))
        return tuple(doubts)


def pads_needed(load_kg: float, capacity_of_one_kg: float) -> int:
    """Number of pads for a load, kg, dynamic factor included."""
    require_positive("load", load_kg, "kg")
    require_positive("capacity-of-one-pad", capacity_of_one_kg, "kg")
    return max(1, ceil(load_kg / capacity_of_one_kg - 1e-9))


def vacuum_pads(
    loads: Sequence[GearLoad],
    center: PlanPoint,
    wish: HandlingPreferences,
    cracking: Cracking,
    settings: HandlingSettings,
) -> VacuumPads:
    """Pads for a piece, from the vacuum measured on this face, or else from the shop's figure.

    At strip the rough back is up, so pads lift a piece only from the flip on.
    """
    load_kg = face_load_kg(loads)
    straight, sliding = pads_of(wish.vacuum_pa, wish.vacuum_holds_s, settings, cored=cracking.cored)
    placed = placed_pads(cracking, center, load_kg, straight.capacity_kg(1), settings)
    return pads_for(load_kg, straight, sliding, placed, cored=cracking.cored)


def face_load_kg(loads: Sequence[GearLoad]) -> float:
    """Largest load with the face up, kg."""
    return max([load.load_kg for load in loads if load.stage in FACE_UP])


def pads_of(
    measured_pa: float | None, holds_s: float | None, settings: HandlingSettings, *, cored: bool
) -> tuple[Pad, Pad]:
    """The shop's pad when it pulls straight, and when friction holds.

    measured_pa, holds_s   vacuum on this face and how long it holds with the pump off; None: not measured
    """
    vacuum_pa = settings.vacuum_pa if measured_pa is None else measured_pa
    holds = holds_s is not None and holds_s >= settings.vacuum_hold_s
    tested = measured_pa is not None and holds and not cored
    straight = Pad(settings.vacuum_cup_m, vacuum_pa, 1.0, settings.vacuum_factor, tested)
    return straight, replace(straight, friction=settings.vacuum_friction, factor=settings.vacuum_factor_upright)


def pads_for(load_kg: float, straight: Pad, sliding: Pad, placed: PlacedPads | None, *, cored: bool) -> VacuumPads:
    """Pads for a load, with their places if there are any."""
    require_positive("load", load_kg, "kg")
    places_m, bending = placed if placed is not None else ((), None)
    return VacuumPads(
        VacuumLift(len(places_m) or pads_needed(load_kg, straight.capacity_kg(1)), load_kg, straight),
        VacuumLift(pads_needed(load_kg, sliding.capacity_kg(1)), load_kg, sliding),
        places_m,
        bending,
        cored,
    )


PlacedPads = tuple[tuple[PlanPoint, ...], PlateCheck]  # places in the piece's own plan, and the bending there


def placed_pads(
    cracking: Cracking, center: PlanPoint, load_kg: float, capacity_of_one_kg: float, settings: HandlingSettings
) -> PlacedPads | None:
    """Grid of the fewest pads that lie on the plate clear of its cut-outs, with no pad over its capacity; else None."""
    if cracking.plate is None or cracking.cored:
        return None
    flat, middle = cracking.plate.flat, cracking.plate.flat.seen(center)
    lying = _lying(flat, settings.vacuum_cup_m)
    ways: list[tuple[int, int, float, tuple[PlanPoint, ...], PlateCheck]] = []
    for count, grids in GRIDS:
        holds = any(rank < RANK["not-enough"] for rank, *_ in ways)
        if count * capacity_of_one_kg < load_kg or (holds and count > ways[0][1]):
            continue
        for number, grid in grids:
            if not lying[number]:
                continue
            points = tuple((flat.length_m * x, flat.width_m * y) for x, y in grid)
            pulls_kg = balanced_shares(points, [load_kg / count] * count, middle, load_kg)
            within = min(pulls_kg) > 0.0 and max(pulls_kg) <= capacity_of_one_kg
            if not within or not _balance(points, pulls_kg, middle):
                continue
            check = worst_of(
                check_hanging(
                    cracking.plate,
                    points,
                    pulls_kg,
                    plumb_legs(pulls_kg),
                    middle,
                    0.0,
                    cracking.first_crack.strip_pa,
                    settings.crack_factor,
                )
            )
            ways.append((RANK[check.strength], count, check.stress_pa, points, check))
    if not ways:
        return None
    rank, count, _ = min(way[:3] for way in ways)
    chosen = [way for way in ways if way[:2] == (rank, count)]
    # of grids with equal stress, such as four in one line across which the plate bends, take the first
    least_pa = min(stress_pa for _, _, stress_pa, *_ in chosen)
    *_, points, check = next(way for way in chosen if way[2] * (1.0 - ALIKE) <= least_pa)
    return tuple(flat.own(point) for point in points), check


def placed_in_series(
    series: Series,
    loads_kg: Floats,
    capacities_kg: Floats,
    cracks_pa: Sequence[float | None],
    settings: HandlingSettings,
) -> list[PlacedPads | None]:
    """Same as `placed_pads`, for every plate of a series.

    loads_kg, capacities_kg   (n,) load of each plate, and capacity of one pad on it
    """
    n = len(loads_kg)
    lying = series.lying(UNIT_POINTS, UNIT_STARTS, settings.vacuum_cup_m)
    crack = np.array([np.nan if pa is None else pa for pa in cracks_pa])
    best = np.full((3, n), np.inf)  # rank, number of pads, stress
    checks: list[PlateCheck | None] = [None] * n
    grid_of = np.zeros(n, dtype=int)
    first = np.zeros(n)  # number of pads of the first grid that holds
    for count, grids in GRIDS:
        holds = best[0] < RANK["not-enough"]
        candidates = (count * capacities_kg >= loads_kg) & ~(holds & (count > first))
        for number, grid in grids:
            rows = np.flatnonzero(candidates & lying[:, number])
            if not len(rows):
                continue
            subset, pulls_kg, points = _pulls(series, rows, np.array(grid), loads_kg)
            able = (pulls_kg.min(axis=1) > 0.0) & (pulls_kg.max(axis=1) <= capacities_kg[rows])
            able &= _balanced_at(points, pulls_kg, subset.center_m)
            if not able.any():
                continue
            rows, subset = rows[able], subset.some(np.flatnonzero(able))
            across = len({y for _, y in grid})
            worst = subset.hung_on_grid(points[able], pulls_kg[able], len(grid) // across, across)
            stress = np.maximum(worst[0].stress_pa, worst[1].stress_pa)
            with np.errstate(divide="ignore"):
                enough = crack[rows] / stress >= settings.crack_factor
            rank = np.where(enough, RANK["enough"], RANK["not-enough"])
            rank = np.where(np.isnan(crack[rows]), RANK["untested"], rank)
            first[rows] = np.where(first[rows] == 0.0, count, first[rows])
            figures = rank, np.full(len(rows), count), stress
            better = _comes_before(figures, best[:, rows])
            best[:, rows[better]] = np.array(figures)[:, better]
            grid_of[rows[better]] = number
            strengths_pa = [cracks_pa[row] for row in rows.tolist()]
            pairs = zip(
                *(plate_checks(bend, axis, strengths_pa, settings) for axis, bend in enumerate(worst)), strict=True
            )
            for row, is_better, pair in zip(rows.tolist(), better.tolist(), pairs, strict=True):
                if is_better:
                    checks[row] = worst_of(pair)
    return [
        None
        if check is None
        else (
            tuple(flat.own((flat.length_m * x, flat.width_m * y)) for x, y in UNIT_GRIDS[number]),
            check,
        )
        for flat, check, number in zip(series.flats, checks, grid_of.tolist(), strict=True)
    ]


def _pulls(series: Series, rows: Ints, grid: Floats, loads_kg: Floats) -> tuple[Series, Floats, Floats]:
    """Subset of a series with the pulls of pads on a grid, (n, p), and their places, (n, p, 2)."""
    subset = series.some(rows)
    points = subset.grids.size_m[:, None, :] * grid
    return subset, balanced(points, subset.center_m, loads_kg[rows]), points


def _balanced_at(points: Floats, pulls_kg: Floats, center_m: Floats) -> Flags:
    """Whether the pulls act through the centers of gravity, as closely as a shop can mark, (n,)."""
    at = (points * pulls_kg[:, :, None]).sum(axis=1) / pulls_kg.sum(axis=1)[:, None] - center_m
    return np.asarray(np.hypot(at[:, 0], at[:, 1]) <= LINE_TOLERANCE_M)


def _comes_before(option: Sequence[Floats], best: Floats) -> Flags:
    """Whether rank, number and stress (n,) come before those of another option, in lexicographic order."""
    (rank, count, stress), (other_rank, other_count, other_stress) = option, best
    fewer = (rank == other_rank) & (count < other_count)
    milder = (rank == other_rank) & (count == other_count) & (stress < other_stress * (1.0 - ALIKE))
    return np.asarray((rank < other_rank) | fewer | milder)


def _balance(points: Sequence[PlanPoint], pulls_kg: Sequence[float], middle: PlanPoint) -> bool:
    """Whether the pulls act through the center of gravity, as closely as a shop can mark."""
    whole_kg = sum(pulls_kg)
    at = [sum(kg * point[axis] for kg, point in zip(pulls_kg, points, strict=True)) / whole_kg for axis in (0, 1)]
    return hypot(at[0] - middle[0], at[1] - middle[1]) <= LINE_TOLERANCE_M


def _lying(flat: FlatPiece, pad_m: float) -> list[bool]:
    """Whether every pad of each grid lies entirely on the plate and clear of the cut-outs."""
    points = UNIT_POINTS * (flat.length_m, flat.width_m)
    lies = flat.clearances_m(points) >= pad_m / 2.0 - _SAME_M
    if flat.cutout_spans_m:
        low, high = np.array(flat.cutout_spans_m).T
        lies &= np.maximum(low - points[:, :1], points[:, :1] - high).min(axis=1) >= least_from_cutout_m(flat) - _SAME_M
    whole: list[bool] = np.logical_and.reduceat(lies, UNIT_STARTS).tolist()
    return whole


def vacuum_workings(at: str, pads: VacuumPads) -> Iterator[Working]:
    """Yield the workings of the pad capacities; `at` is the path of the piece's handling."""
    for name, lift in (("flat", pads.flat), ("upright", pads.upright)):
        yield CAPACITY.working(f"{at}.vacuum.{name}.capacity_kg", **lift.pad.values(lift.pads))
