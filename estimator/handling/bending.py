"""Bending of a carried piece: beam statics, and the stress in its net sections for each way of carrying."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from functools import cache
from itertools import pairwise
from typing import Literal, NamedTuple

from estimator.constants import STANDARD_GRAVITY_M_S2, below, require_not_negative, require_positive, require_within
from estimator.errors import FaultError
from estimator.handling.rigging import TWO_POINT_PART
from estimator.handling.sections import Lie, Stretch
from estimator.handling.strength import Verdict
from geometry.frozen import frozen
from geometry.message import Message, message


@frozen
class SpreadLoad:
    """A uniform load between two positions."""

    from_m: float
    to_m: float
    n_per_m: float


@frozen
class PointLoad:
    at_m: float
    n: float


@frozen
class SupportedBeam:
    """A statically determinate beam with its reactions.

    stations_m     ends, supports, point loads and the ends of uniform loads, in order
    rates_n_per_m  uniform load between each station and the next
    shears_n       shear just right of each station; upward on the left part is positive
    moments_n_m    moment at each station, sagging positive
    """

    length_m: float
    supports_m: tuple[float, ...]
    reactions_n: tuple[float, ...]
    stations_m: tuple[float, ...]
    rates_n_per_m: tuple[float, ...]
    shears_n: tuple[float, ...]
    moments_n_m: tuple[float, ...]

    def shear_n(self, x_m: float) -> float:
        """Shear just right of x: sum of the forces to the left, upward positive."""
        at = self._before(x_m)
        return self.shears_n[at] - self.rates_n_per_m[at] * (x_m - self.stations_m[at])

    def moment_n_m(self, x_m: float) -> float:
        """Bending moment at x, sagging positive."""
        at = self._before(x_m)
        on_m = x_m - self.stations_m[at]
        return self.moments_n_m[at] + (self.shears_n[at] - self.rates_n_per_m[at] * on_m / 2.0) * on_m

    def extreme_moments(self, from_m: float, to_m: float) -> tuple[tuple[float, float], tuple[float, float]]:
        """((smallest moment, position), (largest moment, position)) between two positions, N·m and m."""
        moments = self.turning_points(from_m, to_m)
        return min(moments), max(moments)

    def turning_points(self, from_m: float, to_m: float) -> list[tuple[float, float]]:
        """Candidates for the extreme moments between two positions, as (moment, position), N·m and m.

        Between stations the moment is a parabola, so only its ends and its vertex can be extreme.
        """
        first, last = bisect_right(self.stations_m, from_m), bisect_left(self.stations_m, to_m)
        places = [from_m, *self.stations_m[first:last], to_m]
        for left, right in pairwise(tuple(places)):
            rate = self.rates_n_per_m[self._before((left + right) / 2.0)]
            if rate > 0.0:
                peak = left + self.shear_n(left) / rate
                if left < peak < right:
                    places.append(peak)
        return [(self.moment_n_m(x), x) for x in places]

    def _before(self, x_m: float) -> int:
        """Index of the last station at or left of x."""
        return max(0, bisect_right(self.stations_m, x_m) - 1)


class Bend(NamedTuple):
    """Bending at one position along a piece.

    moment_n_m   sagging positive
    modulus_m3   modulus of the strip or section that resists it
    pull_pa      part of the stress due to the horizontal pull of inclined slings
    by_strip     whether only the strip at a pick resists it, not the whole section
    """

    stress_pa: float
    at_m: float
    moment_n_m: float
    modulus_m3: float
    pull_pa: float = 0.0
    by_strip: bool = False


ALIKE = 1e-10
"""Relative difference below which two stresses count as equal, because of rounding."""

SAME_PLACE_M = 1e-9
"""Resolution of positions along a piece."""


def worst_bend(bends: Iterable[Bend]) -> Bend:
    """Bend of the largest stress. Of equal stresses (symmetric piece), a sagging one wins, then the last position."""
    known = list(bends)
    worst_pa = max(bend.stress_pa for bend in known)
    alike = [bend for bend in known if bend.stress_pa >= worst_pa * (1.0 - ALIKE)]
    last = max(alike, key=_order)
    return last._replace(stress_pa=worst_pa)


def _order(bend: Bend) -> tuple[bool, int, bool, float]:
    """Tie-breaking order of equally stressed positions."""
    return bend.moment_n_m > 0.0, round(bend.at_m / SAME_PLACE_M), bend.by_strip, abs(bend.moment_n_m)


def support_beam(
    length_m: float,
    supports_m: tuple[float, float],
    spreads: Sequence[SpreadLoad],
    points: Sequence[PointLoad] = (),
) -> SupportedBeam:
    """Place a piece on two supports and solve for the reactions by moments about the first.

    Raises FaultError if a support is off the piece, or if the piece would tip over a support.

    >>> beam = support_beam(2.4, (0.0, 2.4), [SpreadLoad(0.0, 2.4, 100.0)])
    >>> round(beam.moment_n_m(1.2), 6)
    72.0
    """
    require_positive("length", length_m, "m")
    first, second = sorted(supports_m)
    for support in (first, second):
        require_within("support", support, 0.0, length_m, "m")
    if first == second:
        raise FaultError("", message("supports-at-one-place"))
    for spread in spreads:
        require_not_negative("load", spread.n_per_m, "N/m")
        if not 0.0 <= spread.from_m <= spread.to_m <= length_m * (1.0 + 1e-9):
            raise FaultError("", message("load-off-piece", from_m=spread.from_m, to_m=spread.to_m, length_m=length_m))
    for point in points:
        require_not_negative("point-load", point.n, "N")
        require_within("point-load", point.at_m, 0.0, length_m, "m")
    total_n = sum(s.n_per_m * (s.to_m - s.from_m) for s in spreads) + sum(p.n for p in points)
    moment = sum(s.n_per_m * (s.to_m - s.from_m) * ((s.from_m + s.to_m) / 2.0 - first) for s in spreads)
    moment += sum(p.n * (p.at_m - first) for p in points)
    on_second = moment / (second - first)
    on_first = total_n - on_second
    for support, reaction in ((first, on_first), (second, on_second)):
        if reaction < -1e-9 * max(total_n, 1.0):
            far = second if support == first else first
            raise FaultError("", message("tips-over-support", first_m=first, second_m=second, other_m=far))
    return beam_on_reactions(length_m, (first, second), (on_first, on_second), spreads, points)


def beam_on_reactions(
    length_m: float,
    supports_m: tuple[float, ...],
    reactions_n: tuple[float, ...],
    spreads: Sequence[SpreadLoad],
    points: Sequence[PointLoad],
) -> SupportedBeam:
    """Shears and moments of a beam with known reactions, such as the pulls at its picks.

    Several supports may have the same position. The reactions must be in equilibrium with the loads.
    """
    rises: dict[float, float] = {0.0: 0.0, length_m: 0.0}  # change of the uniform load at a position
    jumps: dict[float, float] = {}  # change of the shear at a position
    for spread in spreads:
        rises[spread.from_m] = rises.get(spread.from_m, 0.0) + spread.n_per_m
        rises[spread.to_m] = rises.get(spread.to_m, 0.0) - spread.n_per_m
    for place, force_n in (*zip(supports_m, reactions_n, strict=True), *((p.at_m, -p.n) for p in points)):
        jumps[place] = jumps.get(place, 0.0) + force_n
    stations = sorted(rises.keys() | jumps.keys())
    rates, shears, moments = [], [], []
    rate = shear = moment = 0.0
    for number, place in enumerate(stations):
        if number:
            on_m = place - stations[number - 1]
            moment += (shear - rate * on_m / 2.0) * on_m
            shear -= rate * on_m
        rate += rises.get(place, 0.0)
        shear += jumps.get(place, 0.0)
        rates.append(rate)
        shears.append(shear)
        moments.append(moment)
    return SupportedBeam(
        length_m, supports_m, reactions_n, tuple(stations), tuple(rates), tuple(shears), tuple(moments)
    )


Advice = Literal["carry-on-edge", "strongback", "cure-longer", "thicker", "thicker-rail", "narrow-rail"]
Motion = Literal["carry", "tilt", "rails"]


@frozen
class Carry:
    """A way of holding a piece: flat or on edge, at two positions along its length."""

    name: Message
    attitude: Lie
    first_part: float  # position of each hold, as a fraction of the length
    second_part: float
    key: str = "own"  # stable short name
    move: Motion = "carry"


CARRIES: tuple[Carry, ...] = (
    Carry(message("held-flat-ends"), "flat", 0.0, 1.0, "flat-ends"),
    Carry(message("held-flat-fifths"), "flat", TWO_POINT_PART, 1.0 - TWO_POINT_PART, "flat-fifths"),
    Carry(message("held-edge-ends"), "edge", 0.0, 1.0, "edge-ends"),
    Carry(
        message("held-edge-fifths"),
        "edge",
        TWO_POINT_PART,
        1.0 - TWO_POINT_PART,
        "edge-fifths",
    ),
)


TILT = Carry(message("held-tilted"), "flat", 0.0, 1.0, "tilt", "tilt")
"""Tilting onto a long edge, never a short end or a corner: one long edge on the floor, the other in the hands."""


RAILS = Carry(message("held-rails"), "flat", 0.0, 1.0, "rails", "rails")
"""Rails beside a notch, which are unsupported at their free ends."""


class _CarryCheck(NamedTuple):
    stress_pa: float
    first_crack_pa: float | None
    required_factor: float
    carry: Carry
    weight_kg: float
    moment_n_m: float
    modulus_m3: float
    at_m: float


class CarryCheck(_CarryCheck, Verdict):
    """Largest tension for one way of holding, and its position.

    moment_n_m   moment where the stress is largest, sagging positive
    modulus_m3   modulus of the net cross-section there
    """

    __slots__ = ()

    @property
    def source(self) -> Message:
        """Source of the stress, for its working."""
        return message("source-bending-carry", at_m=self.at_m)


def check_carry(
    stretches: Sequence[Stretch],
    carry: Carry,
    first_crack_pa: float | None,
    *,
    dynamic_factor: float,
    required_factor: float,
    inserts: Sequence[tuple[float, float]] = (),
    measured: Sequence[tuple[float, float]] = (),
) -> CarryCheck:
    """Largest bending tension in a slab held in one way.

    stretches        stretches of the slab from `stretches_of_slab`, at the high-side density
    first_crack_pa   lower tolerance limit of the tested limit of proportionality at the age of handling, Pa, or None
    dynamic_factor   factor on all weights: 1 for a smooth carry, the stage's factor for gear
    inserts          (position along the length m, mass kg) of inserts
    measured         (position along the length m, modulus m³) of further sections, measured from the solid

    Every cross-section is checked with its net section modulus, so rails beside cut-outs are included, and the weight
    is net of cut-outs. It is not known which face is up, so the weaker face counts.
    """
    if not dynamic_factor >= 1.0:
        raise FaultError("", message("dynamic-factor-low", factor=dynamic_factor))
    require_positive("required-factor-against-cracking", required_factor)
    if first_crack_pa is not None:
        require_positive("first-crack-strength", first_crack_pa, "Pa")
    if not stretches:
        raise FaultError("", message("no-cross-sections"))
    length_m = stretches[-1].to_m
    g_n_kg = STANDARD_GRAVITY_M_S2 * dynamic_factor
    beam = support_beam(
        length_m,
        (carry.first_part * length_m, carry.second_part * length_m),
        [SpreadLoad(s.from_m, s.to_m, s.n_per_m * dynamic_factor) for s in stretches],
        [PointLoad(at_m, mass_kg * g_n_kg) for at_m, mass_kg in inserts],
    )
    bends = []
    for stretch in stretches:
        modulus_m3 = stretch.least_modulus_m3(carry.attitude)
        for moment_n_m, at_m in beam.turning_points(stretch.from_m, stretch.to_m):
            bends.append(Bend(abs(moment_n_m) / modulus_m3, at_m, moment_n_m, modulus_m3))
    for at_m, modulus_m3 in measured:
        moment_n_m = beam.moment_n_m(at_m)
        bends.append(Bend(abs(moment_n_m) / modulus_m3, at_m, moment_n_m, modulus_m3))
    worst = worst_bend(bends)
    return CarryCheck(
        worst.stress_pa,
        first_crack_pa,
        required_factor,
        carry=carry,
        weight_kg=sum(beam.reactions_n) / g_n_kg,
        moment_n_m=worst.moment_n_m,
        modulus_m3=worst.modulus_m3,
        at_m=worst.at_m,
    )


def thickness_for(check: CarryCheck, thickness_m: float) -> float | None:
    """Thickness at which a plain slab carried flat would reach its required factor, m; None without a strength test.

    Bending stress of a slab under its own weight falls with 1/t, since weight grows with t and the modulus with t².
    """
    require_positive("thickness", thickness_m, "m")
    if check.first_crack_pa is None:
        return None
    return thickness_m * max(1.0, check.required_factor * check.stress_pa / check.first_crack_pa)


def handling_advice(
    checks: Sequence[CarryCheck],
    *,
    narrowest_rail_m: float | None,
    has_cutout: bool,
    narrow_m: float,
) -> tuple[Advice, ...]:
    """Advice if a flat carry is not shown to be safe, most effective first.

    Carrying on edge is suggested only for pieces that can be, not for a planter, for example.
    """
    unsafe = on_edge = False
    for check in checks:
        on_edge = on_edge or check.carry.attitude == "edge"
        unsafe = unsafe or (check.carry.attitude == "flat" and not check.shown_safe)
    narrow = narrowest_rail_m is not None and below(narrowest_rail_m, narrow_m)
    return _advice(unsafe=unsafe, on_edge=on_edge, has_cutout=has_cutout, narrow=narrow)


@cache
def _advice(*, unsafe: bool, on_edge: bool, has_cutout: bool, narrow: bool) -> tuple[Advice, ...]:
    advice: list[Advice] = []
    if unsafe:
        if on_edge:
            advice.append("carry-on-edge")
        if has_cutout:
            advice.append("strongback")
        advice += ["cure-longer", "thicker-rail" if has_cutout else "thicker"]
    if narrow:
        advice.append("narrow-rail")
    return tuple(advice)
