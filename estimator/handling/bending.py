"""Will it crack? Bending of a slab for each way of holding it, against its tested first-crack strength.

The strength that counts is the lower limit of proportionality at the age of handling. A young modulus of rupture may
be shown, never relied on; a strength that was not tested stays "untested", whatever the stress.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from estimator.bounds import INCH_M, STANDARD_GRAVITY_M_S2, require_positive
from estimator.errors import RangeError

from .beams import PointLoad, Spread, support_beam
from .picks import TWO_POINT_PART
from .sections import Attitude, Stretch
from .strength import StressCheck

NARROW_STRIP_M = 3 * INCH_M  # common practice: a strip beside a cut-out under 3 in is flagged
REQUIRED_FACTOR = 1.5  # first crack over stress for handling precast pieces uncracked (as in PCI practice, from memory)
Advice = Literal["carry-on-edge", "strongback", "cure-longer", "thicker", "thicker-rail", "narrow-rail"]
Move = Literal["carry", "tilt"]


@dataclass(frozen=True, slots=True)
class Carry:
    """A way of holding a piece: lying flat or standing on edge, held at two places of its length."""

    name: str
    attitude: Attitude
    first_part: float  # place of each hold, as a part of the length
    second_part: float
    key: str = "own"  # stable short name
    move: Move = "carry"


CARRIES: tuple[Carry, ...] = (
    Carry("flat, held by the ends", "flat", 0.0, 1.0, "flat-ends"),
    Carry(
        "flat, held at 0.207 of the length from each end", "flat", TWO_POINT_PART, 1.0 - TWO_POINT_PART, "flat-fifths"
    ),
    Carry("on edge, held by the ends", "edge", 0.0, 1.0, "edge-ends"),
    Carry(
        "on edge, held at 0.207 of the length from each end",
        "edge",
        TWO_POINT_PART,
        1.0 - TWO_POINT_PART,
        "edge-fifths",
    ),
)


TILT = Carry("tilted up, one long edge down", "flat", 0.0, 1.0, "tilt", "tilt")
"""Up onto a long edge, never a short end or a corner: one long edge on the floor, the other in the hands."""


@dataclass(frozen=True, slots=True)
class CarryCheck(StressCheck):
    """The greatest tension for one way of holding, and where it is.

    moment_n_m   where the stress is greatest; sagging positive
    modulus_m3   of the net cross-section there
    """

    carry: Carry
    weight_kg: float
    moment_n_m: float
    modulus_m3: float
    at_m: float


def check_carry(
    stretches: Sequence[Stretch],
    carry: Carry,
    first_crack_pa: float | None,
    *,
    dynamic_factor: float = 1.0,
    required_factor: float = REQUIRED_FACTOR,
    inserts: Sequence[tuple[float, float]] = (),
    measured: Sequence[tuple[float, float]] = (),
) -> CarryCheck:
    """The greatest bending tension in a slab that is held one way.

    stretches        of the slab along its length, as stretches_of_slab cuts it, on the high side of density
    first_crack_pa   lower tolerance limit of the tested limit of proportionality at the age of handling, Pa, or None
    dynamic_factor   on all weights: 1 for a smooth carry; use the stage's factor for gear
    inserts          (position along the length m, mass kg) of what the piece carries
    measured         (position along the length m, modulus m³) of sections measured from the solid, which count too

    Every cross-section is checked with its own net section modulus, so the strip beside a cut-out counts, and the
    piece weighs what it weighs with the cut-out. The face that is up is not known, so the weaker way round counts.
    """
    if not dynamic_factor >= 1.0:
        raise RangeError(f"dynamic factor {dynamic_factor:g}: must be at least 1")
    require_positive("required factor against cracking", required_factor)
    if first_crack_pa is not None:
        require_positive("first-crack strength", first_crack_pa, "Pa")
    if not stretches:
        raise RangeError("no cross-sections: cut the slab into stretches first")
    length_m = stretches[-1].to_m
    g_n_kg = STANDARD_GRAVITY_M_S2 * dynamic_factor
    beam = support_beam(
        length_m,
        (carry.first_part * length_m, carry.second_part * length_m),
        [Spread(s.from_m, s.to_m, s.n_per_m * dynamic_factor) for s in stretches],
        [PointLoad(at_m, mass_kg * g_n_kg) for at_m, mass_kg in inserts],
    )
    worst = (
        0.0,
        0.0,
        0.0,
        stretches[0].least_modulus_m3(carry.attitude),
    )  # stress, moment, place, modulus
    for stretch in stretches:
        modulus_m3 = stretch.least_modulus_m3(carry.attitude)
        (hog, hog_at), (sag, sag_at) = beam.extreme_moments(stretch.from_m, stretch.to_m)
        worst = max(worst, (sag / modulus_m3, sag, sag_at, modulus_m3), (-hog / modulus_m3, hog, hog_at, modulus_m3))
    for at_m, modulus_m3 in measured:
        moment_n_m = beam.moment_n_m(at_m)
        worst = max(worst, (abs(moment_n_m) / modulus_m3, moment_n_m, at_m, modulus_m3))
    stress_pa, moment_n_m, at_m, modulus_m3 = worst
    weight_kg = sum(beam.reactions_n) / g_n_kg
    return CarryCheck(
        stress_pa,
        first_crack_pa,
        required_factor,
        carry=carry,
        weight_kg=weight_kg,
        moment_n_m=moment_n_m,
        modulus_m3=modulus_m3,
        at_m=at_m,
    )


def thickness_for(check: CarryCheck, thickness_m: float) -> float | None:
    """Thickness at which a plain slab carried flat would reach its required factor, m; None if it was not tested.

    Bending stress of a slab under its own weight falls with 1/t, since weight grows with t and the modulus with t².
    """
    require_positive("thickness", thickness_m, "m")
    if check.first_crack_pa is None:
        return None
    return thickness_m * max(1.0, check.required_factor * check.stress_pa / check.first_crack_pa)


def handling_advice(
    checks: Sequence[CarryCheck],
    *,
    narrowest_strip_m: float | None = None,
    has_cutout: bool = False,
    narrow_m: float = NARROW_STRIP_M,
) -> tuple[Advice, ...]:
    """What helps where a flat carry is not shown to be safe, in the order in which it helps.

    A piece that is not carried on edge, such as a planter, is never told to be.
    """
    advice: list[Advice] = []
    if any(not check.shown_safe for check in checks if check.carry.attitude == "flat"):
        if any(check.carry.attitude == "edge" for check in checks):
            advice.append("carry-on-edge")
        if has_cutout:
            advice.append("strongback")
        advice += ["cure-longer", "thicker-rail" if has_cutout else "thicker"]
    if narrowest_strip_m is not None and narrowest_strip_m < narrow_m:
        advice.append("narrow-rail")
    return tuple(advice)
