"""A straight piece on two supports, anywhere along it, with self-weight in steps and point loads: exact statics.

Positions are along the carried length from its left end, m; loads act downward, N and N/m; a moment is positive where
the piece sags (tension at the bottom face), negative where it hogs, N·m.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from estimator.bounds import require_not_negative, require_positive, require_within
from estimator.errors import RangeError


@dataclass(frozen=True, slots=True)
class Spread:
    """A load spread evenly from one position to another."""

    from_m: float
    to_m: float
    n_per_m: float


@dataclass(frozen=True, slots=True)
class PointLoad:
    at_m: float
    n: float


@dataclass(frozen=True, slots=True)
class SupportedBeam:
    """A beam with the reactions of its supports, all from statics.

    stations_m    ends, supports, point loads and the ends of spread loads, in order
    rates_n_per_m spread load between each station and the next
    shears_n      just right of each station, upward on the left part positive
    moments_n_m   at each station, sagging positive
    """

    length_m: float
    supports_m: tuple[float, ...]
    reactions_n: tuple[float, ...]
    stations_m: tuple[float, ...]
    rates_n_per_m: tuple[float, ...]
    shears_n: tuple[float, ...]
    moments_n_m: tuple[float, ...]

    def shear_n(self, x_m: float) -> float:
        """Shear just right of x: sum of what acts to the left, upward positive."""
        at = self._before(x_m)
        return self.shears_n[at] - self.rates_n_per_m[at] * (x_m - self.stations_m[at])

    def moment_n_m(self, x_m: float) -> float:
        """Bending moment at x, sagging positive."""
        at = self._before(x_m)
        on_m = x_m - self.stations_m[at]
        return self.moments_n_m[at] + (self.shears_n[at] - self.rates_n_per_m[at] * on_m / 2.0) * on_m

    def extreme_moments(self, from_m: float, to_m: float) -> tuple[tuple[float, float], tuple[float, float]]:
        """((least moment, where), (greatest moment, where)) between two positions, N·m and m.

        Between stations the moment is a parabola, so only its ends and its peak can be extreme.
        """
        first, last = bisect_right(self.stations_m, from_m), bisect_left(self.stations_m, to_m)
        places = [from_m, *self.stations_m[first:last], to_m]
        for left, right in pairwise(tuple(places)):
            rate = self.rates_n_per_m[self._before((left + right) / 2.0)]
            if rate > 0.0:
                peak = left + self.shear_n(left) / rate
                if left < peak < right:
                    places.append(peak)
        moments = [(self.moment_n_m(x), x) for x in places]
        return min(moments), max(moments)

    def _before(self, x_m: float) -> int:
        """The last station that is not right of x."""
        return max(0, bisect_right(self.stations_m, x_m) - 1)


def support_beam(
    length_m: float,
    supports_m: tuple[float, float],
    spreads: Sequence[Spread],
    points: Sequence[PointLoad] = (),
) -> SupportedBeam:
    """Set a piece on two supports, and solve their reactions by moments about the first.

    Raises RangeError where a support lies off the piece, or where the piece would tip over one of them.

    >>> beam = support_beam(2.4, (0.0, 2.4), [Spread(0.0, 2.4, 100.0)])
    >>> round(beam.moment_n_m(1.2), 6)
    72.0
    """
    require_positive("length", length_m, "m")
    first, second = sorted(supports_m)
    for support in (first, second):
        require_within("support", support, 0.0, length_m, "m")
    if first == second:
        raise RangeError("both supports lie at one place: the piece needs two")
    for spread in spreads:
        require_not_negative("load", spread.n_per_m, "N/m")
        if not 0.0 <= spread.from_m <= spread.to_m <= length_m * (1.0 + 1e-9):
            raise RangeError(f"load from {spread.from_m:g} to {spread.to_m:g} m lies off the piece of {length_m:g} m")
    for point in points:
        require_not_negative("point load", point.n, "N")
        require_within("point load", point.at_m, 0.0, length_m, "m")
    total_n = sum(s.n_per_m * (s.to_m - s.from_m) for s in spreads) + sum(p.n for p in points)
    moment = sum(s.n_per_m * (s.to_m - s.from_m) * ((s.from_m + s.to_m) / 2.0 - first) for s in spreads)
    moment += sum(p.n * (p.at_m - first) for p in points)
    on_second = moment / (second - first)
    on_first = total_n - on_second
    for support, reaction in ((first, on_first), (second, on_second)):
        if reaction < -1e-9 * max(total_n, 1.0):
            other = second if support == first else first
            raise RangeError(
                f"held at {first:g} and {second:g} m the piece tips over the support at {other:g} m: "
                "its centre of gravity must lie between the supports"
            )
    return beam_on_reactions(length_m, (first, second), (on_first, on_second), spreads, points)


def beam_on_reactions(
    length_m: float,
    supports_m: tuple[float, ...],
    reactions_n: tuple[float, ...],
    spreads: Sequence[Spread],
    points: Sequence[PointLoad],
) -> SupportedBeam:
    """A beam whose reactions are known, such as the pulls at its picks: rates, shears and moments along it.

    Several supports may stand at one place. The reactions must hold the loads in equilibrium.
    """
    rises: dict[float, float] = {0.0: 0.0, length_m: 0.0}  # change of the spread load at a place
    jumps: dict[float, float] = {}  # change of the shear at a place
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
