"""Flexural coupons: strength of a pour from a set of small beams, and the shortcomings of the set.

Two stresses matter. A piece is designed for the limit of proportionality, where the matrix first cracks. The modulus of
rupture, the highest stress that the fibers carry, drops toward it as glass fiber ages. A strength that was not tested
is always None, never zero or a typical value.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from math import sqrt
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from estimator.constants import require_positive
from estimator.errors import FaultError
from geometry.frozen import frozen
from geometry.message import Message, message

Array: TypeAlias = NDArray[np.float64]

FEWEST_COUPONS = 6
"""Fewest coupons for which a lower limit is stated. Common practice; EN 1170-5 has at least three up and three down."""

SPAN_TO_DEPTH = (16.0, 30.0)
"""Range of span over depth in which neither shear nor large deflection distorts third-point bending.

From memory of ASTM C947. A coupon outside it is reported, not rejected.
"""

FIT_WINDOW = (0.10, 0.30)
"""Range of load for fitting the initial slope, as shares of the highest load: after seating, before the first crack."""


@frozen
class Coupon:
    """One beam tested in third-point bending.

    pour, age_d    pour that it was cast from, and its age, days
    face_up        whether the face that lay in the form was up
    span_m         between supports, with the loads at its thirds
    width_m, depth_m   measured at the break
    peak_load_n    highest total load
    limit_load_n   total load at the limit of proportionality; None if it was not recorded
    """

    pour: str
    age_d: float
    face_up: bool
    span_m: float
    width_m: float
    depth_m: float
    peak_load_n: float
    limit_load_n: float | None = None

    def __post_init__(self) -> None:
        if not self.age_d > 0.0:
            raise FaultError("", message("coupon-age", pour=self.pour, days=f"{self.age_d:g}"))
        if self.limit_load_n is not None and not 0.0 < self.limit_load_n <= self.peak_load_n:
            loads = {"limit_n": self.limit_load_n, "peak_n": self.peak_load_n}
            raise FaultError("", message("coupon-limit", pour=self.pour, **loads))
        third_point_stress_pa(self.peak_load_n, self.span_m, self.width_m, self.depth_m)

    @property
    def rupture_pa(self) -> float:
        """Modulus of rupture, Pa."""
        return third_point_stress_pa(self.peak_load_n, self.span_m, self.width_m, self.depth_m)

    @property
    def limit_pa(self) -> float | None:
        """Limit of proportionality, Pa; None if it was not recorded."""
        if self.limit_load_n is None:
            return None
        return third_point_stress_pa(self.limit_load_n, self.span_m, self.width_m, self.depth_m)


@frozen
class Spread:
    """Statistics of one strength over a set of coupons.

    mean_pa, deviation_pa   mean and sample standard deviation
    variation               coefficient of variation, as a fraction of 1
    characteristic_pa       5 % fractile by EN 1990, annex D, deviation unknown; None below FEWEST_COUPONS
    tolerance_pa            stress that 95 % of the material exceeds, with 95 % confidence; None below FEWEST_COUPONS
    """

    mean_pa: float
    deviation_pa: float
    characteristic_pa: float | None
    tolerance_pa: float | None

    @property
    def variation(self) -> float:
        """Coefficient of variation, as a fraction of 1."""
        return self.deviation_pa / self.mean_pa


@frozen
class FlexuralStrength:
    """Flexural strength from the coupons of one pour at one age.

    limit          limit of proportionality; None unless every coupon has it
    rupture        modulus of rupture
    shortcomings   of the set of coupons
    """

    pour: str
    age_d: float
    count: int
    limit: Spread | None
    rupture: Spread
    shortcomings: tuple[Message, ...]

    @property
    def design_pa(self) -> float | None:
        """Design stress: the tolerance limit of the limit of proportionality; None if it is not known."""
        return None if self.limit is None else self.limit.tolerance_pa


def third_point_stress_pa(load_n: float, span_m: float, width_m: float, depth_m: float) -> float:
    """Extreme fiber stress of a beam loaded at the third points of its span: F = P·L/(b·d²), Pa.

    load_n   total of both loads
    Raises FaultError unless all are positive and finite. Source: ASTM C947, EN 1170-5.
    """
    for name, value, unit in (
        ("load", load_n, "N"),
        ("span", span_m, "m"),
        ("width", width_m, "m"),
        ("depth", depth_m, "m"),
    ):
        if not (value > 0.0 and np.isfinite(value)):
            require_positive(f"coupon-{name}", value, unit)
    return load_n * span_m / (width_m * depth_m**2)


def limit_load_n(
    deflection_m: ArrayLike, load_n: ArrayLike, offset_m: float, window: tuple[float, float] = FIT_WINDOW
) -> float:
    """Load at the limit of proportionality of a load-deflection curve by the offset method, N.

    deflection_m, load_n   (m,) recorded curve, with deflection increasing up to the highest load
    offset_m               shift of the fitted line along the deflection axis; the report states it
    window                 range of load, as shares of the highest load, over which that line is fitted

    The result is the highest load up to where the curve crosses the shifted line; if a crack makes the load drop, it is
    the load before the drop. The intercept of the line accounts for the seating of the coupon. A curve that does not
    cross the line before its highest load is proportional up to it, and that load is returned.
    Raises FaultError for a curve that is too short or not increasing, and for a non-positive offset.
    """
    deflection, load = np.asarray(deflection_m, dtype=np.float64), np.asarray(load_n, dtype=np.float64)
    if deflection.ndim != 1 or deflection.shape != load.shape or deflection.size < 4:
        raise FaultError("", message("curve-shape"))
    if not offset_m > 0.0:
        raise FaultError("", message("curve-offset", offset_m=offset_m))
    top = int(load.argmax())
    deflection, load = deflection[: top + 1], load[: top + 1]
    if not np.all(np.diff(deflection) > 0.0):
        raise FaultError("", message("curve-not-rising"))
    low, high = (share * load[-1] for share in window)
    # Fit the first stretch only: a curve that drops at a crack may pass through the window again.
    beyond = int(np.argmax(load > high))
    fitted = np.flatnonzero(load[:beyond] >= low)
    if fitted.size < 3:
        part = {"from_share": window[0], "to_share": window[1]}
        raise FaultError("", message("curve-few-points", count=int(fitted.size), **part))
    slope, intercept = np.polyfit(deflection[fitted], load[fitted], 1)
    if not slope > 0.0:
        raise FaultError("", message("curve-not-loading"))
    lead = load - (slope * (deflection - offset_m) + intercept)  # positive while the curve is above the shifted line
    below = np.flatnonzero((lead < 0.0) & (np.arange(load.size) >= beyond))
    if below.size == 0:
        return float(load[-1])
    after = int(below[0])
    part = lead[after - 1] / (lead[after - 1] - lead[after])
    crossing = float(load[after - 1] + part * (load[after] - load[after - 1]))
    return max(crossing, float(load[:after].max()))


def characteristic_factor(count: int, fractile: float = 0.05) -> float:
    """kn of EN 1990, annex D, deviation unknown: t(n − 1)·√(1 + 1/n). mean − kn·s estimates the fractile.

    Raises FaultError below two results.
    """
    _check_count(count)
    _check_share("fractile", fractile)
    from scipy.special import stdtrit  # imported on use: it takes longer than the start of the program

    return float(stdtrit(count - 1, 1.0 - fractile)) * sqrt(1.0 + 1.0 / count)


def tolerance_factor(count: int, coverage: float = 0.95, confidence: float = 0.95) -> float:
    """k of the one-sided tolerance limit mean − k·s, by the noncentral t distribution.

    coverage     share of the material that exceeds the limit
    confidence   probability that this holds
    Source: standard theory for the normal distribution; tabled for example in ISO 16269-6.
    """
    _check_count(count)
    _check_share("coverage", coverage)
    _check_share("confidence", confidence)
    from scipy.special import nctdtrit, ndtri

    return float(nctdtrit(count - 1, float(ndtri(coverage)) * sqrt(count), confidence)) / sqrt(count)


def spread_of(stresses_pa: Sequence[float]) -> Spread:
    """Mean, standard deviation and lower limits of two or more results, Pa."""
    _check_count(len(stresses_pa))
    values = np.asarray(stresses_pa, dtype=np.float64)
    mean, deviation = float(values.mean()), float(values.std(ddof=1))
    enough = values.size >= FEWEST_COUPONS
    return Spread(
        mean_pa=mean,
        deviation_pa=deviation,
        characteristic_pa=mean - characteristic_factor(values.size) * deviation if enough else None,
        tolerance_pa=mean - tolerance_factor(values.size) * deviation if enough else None,
    )


def flexural_strength(coupons: Sequence[Coupon]) -> FlexuralStrength | None:
    """Flexural strength from a set of coupons of one pour and one age; None if there are no coupons.

    Raises FaultError for a single coupon and for coupons of several pours or ages, which are not a sample of one
    strength: see `flexural_strengths`.
    """
    if not coupons:
        return None
    pours, ages = {c.pour for c in coupons}, {c.age_d for c in coupons}
    if len(pours) > 1:
        raise FaultError("", message("coupons-of-several-pours", pours=sorted(pours)))
    if len(ages) > 1:
        raise FaultError("", message("coupons-of-several-ages", ages=[f"{age:g}" for age in sorted(ages)]))
    limits = [c.limit_pa for c in coupons if c.limit_pa is not None]
    limit = spread_of(limits) if len(limits) == len(coupons) else None
    rupture = spread_of([c.rupture_pa for c in coupons])
    return FlexuralStrength(
        pour=coupons[0].pour,
        age_d=coupons[0].age_d,
        count=len(coupons),
        limit=limit,
        rupture=rupture,
        shortcomings=_shortcomings(coupons, limit, rupture),
    )


def flexural_strengths(coupons: Sequence[Coupon]) -> tuple[FlexuralStrength, ...]:
    """Flexural strengths of the coupons by pour and age, in that order."""
    sets: dict[tuple[str, float], list[Coupon]] = {}
    for coupon in coupons:
        sets.setdefault((coupon.pour, coupon.age_d), []).append(coupon)
    strengths = (flexural_strength(sets[key]) for key in sorted(sets))
    return tuple(s for s in strengths if s is not None)


def first_crack_to_count_on(strengths: Sequence[FlexuralStrength], age_d: float) -> float | None:
    """Design strength at an age, Pa, from the latest sets tested by then; the lowest of several pours.

    A set without a positive lower limit is skipped. None if no set remains.
    """
    known = [(s.age_d, s.design_pa) for s in strengths if s.age_d <= age_d and (s.design_pa or 0.0) > 0.0]
    latest = max((age for age, _ in known), default=None)
    return min((pa for age, pa in known if age == latest and pa is not None), default=None)


def samples_of(coupons: Sequence[Coupon]) -> list[Coupon]:
    """The coupons without any that is the only one of its pour and age: one coupon is not a sample."""
    counts = Counter((coupon.pour, coupon.age_d) for coupon in coupons)
    return [coupon for coupon in coupons if counts[coupon.pour, coupon.age_d] > 1]


def _shortcomings(coupons: Sequence[Coupon], limit: Spread | None, rupture: Spread) -> tuple[Message, ...]:
    lacking = []
    if len(coupons) < FEWEST_COUPONS:
        lacking.append(message("coupons-below-fewest", count=len(coupons), fewest=FEWEST_COUPONS))
    up = sum(c.face_up for c in coupons)
    if abs(2 * up - len(coupons)) > 1:
        lacking.append(message("coupons-one-sided", up=up, count=len(coupons)))
    if limit is None:
        missing = sum(c.limit_load_n is None for c in coupons)
        lacking.append(message("coupons-without-limit", count=missing))
    short, slender = SPAN_TO_DEPTH
    outside = sum(not short <= c.span_m / c.depth_m <= slender for c in coupons)
    if outside:
        values = {"from": f"{short:g}", "to": f"{slender:g}"}
        lacking.append(message("coupons-odd-span", count=outside, **values))
    if any(s.tolerance_pa is not None and s.tolerance_pa <= 0.0 for s in (limit, rupture) if s is not None):
        lacking.append(message("coupons-scatter"))
    return tuple(lacking)


def _check_count(count: int) -> None:
    if count < 2:
        raise FaultError("", message("coupons-too-few", count=count))


def _check_share(name: str, share: float) -> None:
    if not 0.0 < share < 1.0:
        raise FaultError("", message("strength-share", name=name, value=f"{share:g}"))
