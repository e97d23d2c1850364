"""Will it crack? Bending of a slab for each way of holding it, against its tested first-crack strength.

The strength that counts is the lower limit of proportionality at the age of handling. A young modulus of rupture may
be shown, never relied on; a strength that was not tested is "not shown to be safe", whatever the stress.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from estimator.bounds import INCH_M, STANDARD_GRAVITY_M_S2, require_not_negative, require_positive

from .beams import PointLoad, Spread, support_beam
from .picks import ONE_POINT_PART, TWO_POINT_PART
from .sections import Attitude, Stretch

NARROW_STRIP_M = 3 * INCH_M  # common practice: a strip beside a cut-out under 3 in is flagged
REQUIRED_FACTOR = 1.5  # first crack over stress for handling precast pieces uncracked (as in PCI practice, from memory)
UNTESTED = "untested: not shown to be safe"
NOT_SHOWN = "not shown to be safe"
WITHIN = "within the tested first-crack strength"


@dataclass(frozen=True, slots=True)
class Carry:
    """A way of holding a piece: lying flat or standing on edge, held at two places of its length."""

    name: str
    attitude: Attitude
    first_part: float  # place of each hold, as a part of the length
    second_part: float
    key: str = "own"  # stable short name


CARRIES: tuple[Carry, ...] = (
    Carry("flat, held by the ends", "flat", 0.0, 1.0, "flat-ends"),
    Carry(
        "flat, held at 0.207 of the length from each end", "flat", TWO_POINT_PART, 1.0 - TWO_POINT_PART, "flat-fifths"
    ),
    Carry(
        "one end on the ground, held at 0.293 of the length from the other",
        "flat",
        0.0,
        1.0 - ONE_POINT_PART,
        "one-end-down",
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


@dataclass(frozen=True, slots=True)
class CarryCheck:
    """The greatest tension for one way of holding, where it is, and what it means."""

    carry: Carry
    weight_kg: float
    moment_n_m: float  # where the stress is greatest; sagging positive
    modulus_m3: float  # of the net cross-section there
    at_m: float
    stress_pa: float
    first_crack_pa: float | None  # lower tested limit of proportionality at that age
    required_factor: float

    @property
    def factor(self) -> float | None:
        """First-crack strength over stress; None where it was not tested."""
        if self.first_crack_pa is None:
            return None
        return float("inf") if self.stress_pa == 0.0 else self.first_crack_pa / self.stress_pa

    @property
    def shown_safe(self) -> bool:
        return self.factor is not None and self.factor >= self.required_factor

    @property
    def verdict(self) -> str:
        if self.factor is None:
            return UNTESTED
        return WITHIN if self.shown_safe else NOT_SHOWN


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
        raise ValueError(f"dynamic factor {dynamic_factor:g}: must be at least 1")
    require_positive("required factor against cracking", required_factor)
    if first_crack_pa is not None:
        require_positive("first-crack strength", first_crack_pa, "Pa")
    if not stretches:
        raise ValueError("no cross-sections: cut the slab into stretches first")
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
    return CarryCheck(carry, weight_kg, moment_n_m, modulus_m3, at_m, stress_pa, first_crack_pa, required_factor)


def four_point_moments(weight_n_m2: float, length_m: float, width_m: float) -> tuple[float, float]:
    """Moments of a plain plate held flat at four points by the 0.207 rule both ways, N·m: (along, across).

    Each is what one half of the plate resists: 0.0107 w a² b along and 0.0107 w a b² across, hogging and sagging.
    Source: statics; coefficient as in the PCI handbook (from memory).
    """
    require_not_negative("weight per area", weight_n_m2, "N/m²")
    require_positive("length", length_m, "m")
    require_positive("width", width_m, "m")
    half = TWO_POINT_PART**2 / 2.0 / 2.0  # w a²/2 of the overhang, on half of the plate
    return half * weight_n_m2 * length_m**2 * width_m, half * weight_n_m2 * length_m * width_m**2


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
) -> tuple[str, ...]:
    """What to do where a flat carry is not shown to be safe, in the order in which it helps."""
    advice = []
    if any(not check.shown_safe for check in checks if check.carry.attitude == "flat"):
        advice.append("carry on edge, the long finished edge up")
        if has_cutout:
            advice.append("clamp a strongback across the cut-out, until it is set")
        advice.append("cure longer before it is moved")
        advice.append("make it thicker" if not has_cutout else "make the strip beside the cut-out thicker")
    if narrowest_strip_m is not None and narrowest_strip_m < narrow_m:
        least = f"{narrow_m / INCH_M:.3g} in ({narrow_m * 1000:.0f} mm)"
        advice.append(f"a strip beside the cut-out is under {least}: brace it, never lift by it")
    return tuple(advice)
