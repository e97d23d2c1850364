"""Beams in columns: shears, moments and extremes of many pieces at once, as in `bending` for one."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from typing import TypeVar

import numpy as np

from estimator.handling.bending import ALIKE, SAME_PLACE_M
from geometry.arrays import Flags, Floats, Ints
from geometry.frozen import frozen

Table = TypeVar("Table", Floats, Ints)


@frozen(slots=False)
class Beams:
    """Beams under known forces, one in each row.

    stations   (n, m) positions, in order
    rates      (n, m) spread load just right of each station, N/m
    shears     (n, m) shear just right of each, upward on the left part positive, N
    moments    (n, m) bending moment, sagging positive, N·m
    stretch    (n, m) index of the stretch right of each
    """

    stations: Floats
    rates: Floats
    shears: Floats
    moments: Floats
    stretch: Ints

    @cached_property
    def points(self) -> tuple[Floats, Floats, Ints]:
        """Where a moment may be extreme, the moment there, and the stretch: (n, p) each, in order along the beam.

        Each interval between stations has a start, a peak and an end; the peak is nan if it is not inside.
        """
        start, end = self.stations[:, :-1], self.stations[:, 1:]
        rate, shear, moment = self.rates[:, :-1], self.shears[:, :-1], self.moments[:, :-1]
        with np.errstate(divide="ignore", invalid="ignore"):
            peak = start + shear / rate
        peak = np.where((rate > 0.0) & (start < peak) & (peak < end), peak, np.nan)
        on = peak - start
        at_peak = moment + (shear - rate * on / 2.0) * on
        stretch = self.stretch[:, :-1]
        return (
            _woven(start, peak, end),
            _woven(moment, at_peak, self.moments[:, 1:]),
            _woven(stretch, stretch, stretch),
        )

    def scaled(self, factor: float) -> Beams:
        """Same beams with all loads times `factor`."""
        return Beams(self.stations, self.rates * factor, self.shears * factor, self.moments * factor, self.stretch)

    def moment_at(self, places: Floats) -> Floats:
        """Bending moment at one position of each beam, (n,)."""
        rows = np.arange(len(places))
        at = np.maximum((self.stations <= places[:, None]).sum(axis=1) - 1, 0)
        on = places - self.stations[rows, at]
        moment: Floats = self.moments[rows, at] + (self.shears[rows, at] - self.rates[rows, at] * on / 2.0) * on
        return moment


def _woven(start: Table, middle: Table, end: Table) -> Table:
    """Columns of three tables (n, m) interleaved, (n, 3 m)."""
    return np.stack([start, middle, end], axis=2).reshape(len(start), -1)


def beams_on(places: Floats, n_per_m: Floats, at: Floats, forces_n: Floats) -> Beams:
    """Beams under spread loads and forces that hold them in equilibrium.

    places     (n, s + 1) ends of the spread loads
    n_per_m    (n, s) spread loads; one of zero length has the load of the one before
    at         (n, q) where forces act; no two at one place
    forces_n   (n, q) forces, upward positive
    """
    n, count = places.shape
    rises = np.diff(n_per_m, axis=1, prepend=0.0, append=0.0)
    stations = np.concatenate([places, at], axis=1)
    beam, order = np.arange(n)[:, np.newaxis], np.argsort(stations, axis=1, kind="stable")
    stations = stations[beam, order]
    rises = np.concatenate([rises, np.zeros_like(at)], axis=1)[beam, order]
    jumps = np.concatenate([np.zeros_like(places), forces_n], axis=1)[beam, order]
    rates, shears, moments = (np.empty(stations.shape) for _ in range(3))
    rate = shear = moment = np.zeros(n)
    for number in range(stations.shape[1]):
        if number:
            on = stations[:, number] - stations[:, number - 1]
            moment = moment + (shear - rate * on / 2.0) * on
            shear = shear - rate * on
        rates[:, number] = rate = rate + rises[:, number]
        shears[:, number] = shear = shear + jumps[:, number]
        moments[:, number] = moment
    stretch = np.minimum(np.cumsum(order < count, axis=1) - 1, count - 2)
    return Beams(stations, rates, shears, moments, stretch)


@frozen(eq=False)
class Bends:
    """Candidates for the worst bending of many pieces, (n, c) each, as in `Bend`. Negative stress: no candidate."""

    stress_pa: Floats
    at_m: Floats
    moment_n_m: Floats
    modulus_m3: Floats
    pull_pa: Floats
    by_strip: Flags

    @classmethod
    def of(cls, at_m: Floats, moment_n_m: Floats, modulus_m3: Floats, counts: Flags) -> Bends:
        """Bending of whole sections."""
        stress = np.where(counts, np.abs(moment_n_m) / modulus_m3, -1.0)
        return cls(stress, at_m, moment_n_m, modulus_m3, np.zeros(stress.shape), np.zeros(stress.shape, dtype=bool))

    def worst(self) -> Worst:
        """Worst of each row, by the rule of `worst_bend`."""
        rows = np.arange(len(self.stress_pa))
        pick = self.stress_pa.argmax(axis=1)
        worst_pa = self.stress_pa[rows, pick]
        alike = self.stress_pa >= (worst_pa * (1.0 - ALIKE))[:, None]
        tied = np.flatnonzero(alike.sum(axis=1) > 1)
        remaining = alike[tied]
        moments = self.moment_n_m[tied]
        for order in (
            moments > 0.0,
            np.rint(self.at_m[tied] / SAME_PLACE_M),
            self.by_strip[tied],
            np.abs(moments),
        ):
            values = np.where(remaining, order, -np.inf)
            remaining &= values == values.max(axis=1)[:, None]
        pick[tied] = remaining.argmax(axis=1)
        return Worst(
            worst_pa,
            self.at_m[rows, pick],
            self.moment_n_m[rows, pick],
            self.modulus_m3[rows, pick],
            self.pull_pa[rows, pick],
            self.by_strip[rows, pick],
        )


def joined(bends: Sequence[Bends]) -> Bends:
    """Candidates side by side."""
    return Bends(
        *(
            np.concatenate([getattr(candidates, name) for candidates in bends], axis=1)
            for name in ("stress_pa", "at_m", "moment_n_m", "modulus_m3", "pull_pa", "by_strip")
        )
    )


@frozen(eq=False)
class Worst:
    """Worst bending of each piece, (n,) each."""

    stress_pa: Floats
    at_m: Floats
    moment_n_m: Floats
    modulus_m3: Floats
    pull_pa: Floats
    by_strip: Flags

    @classmethod
    def none(cls, count: int) -> Worst:
        """Columns of zeros, to be filled."""
        stress, at, moment, modulus, pull = np.zeros((5, count))
        return cls(stress, at, moment, modulus, pull, np.zeros(count, dtype=bool))

    def put(self, rows: Ints, worst: Worst) -> None:
        """Set these rows."""
        for name in ("stress_pa", "at_m", "moment_n_m", "modulus_m3", "pull_pa", "by_strip"):
            getattr(self, name)[rows] = getattr(worst, name)
