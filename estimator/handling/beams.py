"""A straight piece on two supports, anywhere along it, with self-weight in steps and point loads: exact statics.

Positions are along the carried length from its left end, m; loads act downward, N and N/m; a moment is positive where
the piece sags (tension at the bottom face), negative where it hogs, N·m.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from estimator.bounds import require_not_negative, require_positive, require_within


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
    """A beam with the reactions of its two supports, all from statics."""

    length_m: float
    supports_m: tuple[float, float]
    spreads: tuple[Spread, ...]
    points: tuple[PointLoad, ...]
    reactions_n: tuple[float, float]

    def shear_n(self, x_m: float) -> float:
        """Shear just right of x: sum of what acts to the left, upward positive."""
        shear = sum(r for s, r in zip(self.supports_m, self.reactions_n, strict=True) if s <= x_m)
        shear -= sum(p.n for p in self.points if p.at_m <= x_m)
        return shear - sum(s.n_per_m * _covered(s, x_m) for s in self.spreads)

    def moment_n_m(self, x_m: float) -> float:
        """Bending moment at x, sagging positive."""
        moment = sum(r * max(0.0, x_m - s) for s, r in zip(self.supports_m, self.reactions_n, strict=True))
        moment -= sum(p.n * max(0.0, x_m - p.at_m) for p in self.points)
        for spread in self.spreads:
            covered_m = _covered(spread, x_m)
            moment -= spread.n_per_m * covered_m * (x_m - spread.from_m - covered_m / 2.0)
        return moment

    def extreme_moments(self, from_m: float, to_m: float) -> tuple[tuple[float, float], tuple[float, float]]:
        """((least moment, where), (greatest moment, where)) between two positions, N·m and m.

        Between loads, supports and steps the moment is a parabola, so only its ends and its peak can be extreme.
        """
        steps = {s.from_m for s in self.spreads} | {s.to_m for s in self.spreads} | {p.at_m for p in self.points}
        inside = sorted(x for x in steps | set(self.supports_m) if from_m < x < to_m)
        stations = [from_m, *inside, to_m]
        places = list(stations)
        for left, right in pairwise(stations):
            middle = (left + right) / 2.0
            n_per_m = sum(s.n_per_m for s in self.spreads if s.from_m <= middle < s.to_m)
            if n_per_m > 0.0:
                peak = left + self.shear_n(left) / n_per_m
                if left < peak < right:
                    places.append(peak)
        moments = [(self.moment_n_m(x), x) for x in places]
        return min(moments), max(moments)


def support_beam(
    length_m: float,
    supports_m: tuple[float, float],
    spreads: Sequence[Spread],
    points: Sequence[PointLoad] = (),
) -> SupportedBeam:
    """Set a piece on two supports, and solve their reactions by moments about the first.

    Raises ValueError where a support lies off the piece, or where the piece would tip over one of them.

    >>> beam = support_beam(2.4, (0.0, 2.4), [Spread(0.0, 2.4, 100.0)])
    >>> round(beam.moment_n_m(1.2), 6)
    72.0
    """
    require_positive("length", length_m, "m")
    first, second = sorted(supports_m)
    for support in (first, second):
        require_within("support", support, 0.0, length_m, "m")
    if first == second:
        raise ValueError("both supports lie at one place: the piece needs two")
    for spread in spreads:
        require_not_negative("load", spread.n_per_m, "N/m")
        if not 0.0 <= spread.from_m <= spread.to_m <= length_m * (1.0 + 1e-9):
            raise ValueError(f"load from {spread.from_m:g} to {spread.to_m:g} m lies off the piece of {length_m:g} m")
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
            raise ValueError(
                f"held at {first:g} and {second:g} m the piece tips over the support at {other:g} m: "
                "its centre of gravity must lie between the supports"
            )
    return SupportedBeam(length_m, (first, second), tuple(spreads), tuple(points), (on_first, on_second))


def _covered(spread: Spread, x_m: float) -> float:
    """Length of a spread load that lies left of x, m."""
    return min(max(x_m - spread.from_m, 0.0), spread.to_m - spread.from_m)
