"""Tested first-crack strength of the mixes of a piece, and checks of a stress against it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import lru_cache
from math import inf
from typing import Literal

from estimator.job import Mix, Piece
from estimator.strength import Coupon, first_crack_to_count_on, flexural_strengths, samples_of
from geometry.frozen import frozen
from geometry.message import Message, message

Strength = Literal["enough", "not-enough", "untested"]
MOST_FIRST_CRACK_PA = 11e6
"""First crack that glass-fiber concrete hardly exceeds: 5 to 11 MPa at 28 days (PCI MNL 128, from memory)."""

RANK: dict[Strength, int] = {"enough": 0, "untested": 1, "not-enough": 2}


def worst_strength(strengths: Iterable[Strength]) -> Strength:
    """Worst of several strengths; "enough" for an empty list.

    >>> worst_strength(["enough", "not-enough", "untested"])
    'not-enough'
    """
    return max(strengths, key=RANK.__getitem__, default="enough")


class Verdict:
    """Result of a stress against the lower tested first crack of the mix at the age at which the stress acts.

    Base class of results with these three figures. Those for many pieces are named tuples, which are fast to create.
    """

    __slots__ = ()

    stress_pa: float
    first_crack_pa: float | None
    required_factor: float

    @property
    def factor(self) -> float | None:
        """First-crack strength over stress; None if it was not tested."""
        if self.first_crack_pa is None:
            return None
        return float("inf") if self.stress_pa == 0.0 else self.first_crack_pa / self.stress_pa

    @property
    def strength(self) -> Strength:
        if self.first_crack_pa is None or (factor := self.factor) is None:
            return "untested"
        return "enough" if factor >= self.required_factor else "not-enough"

    @property
    def shown_safe(self) -> bool:
        return self.first_crack_pa is not None and self.strength == "enough"

    @property
    def cracks(self) -> bool:
        """Whether gear must not put the stress on the piece: its mix was tested too weak, or none is strong enough."""
        if self.first_crack_pa is None:
            return self.required_factor * self.stress_pa > MOST_FIRST_CRACK_PA
        return self.strength == "not-enough"


@frozen
class StressCheck(Verdict):
    """One stress against the first crack.

    first_crack_pa    lower tested limit of proportionality; None: no test
    required_factor   required first crack over stress
    """

    stress_pa: float
    first_crack_pa: float | None
    required_factor: float


THIN_COUPON_PART = 0.75
"""Of the piece's thickness. A thinner coupon cracks at a higher stress, so it proves nothing for the piece. Choice."""


@frozen
class FirstCrack:
    """Lower tested limit of proportionality to count on, the lowest of a piece's mixes; None: not shown.

    later_pa        at the latest age tested
    age_d           that age, the largest of the mixes; None if it was not given
    strip_pa        at the age when the form is stripped
    thin_coupons_m  thickness of coupons that were tested but are too thin for this piece; None if there are none
    """

    later_pa: float | None
    age_d: float | None
    strip_pa: float | None
    thin_coupons_m: float | None

    @property
    def assumption(self) -> Message | None:
        """Assumption if the job does not say at what age the mix was tested, else None."""
        if self.later_pa is None or self.age_d is not None:
            return None
        return message("assumed-strength-at-strip")


def first_crack_of(piece: Piece, mixes: Mapping[str, Mix], strip_age_d: float) -> FirstCrack:
    """First-crack strength of a piece from the coupons of its mixes. One untested mix leaves the piece untested.

    strip_age_d   days from casting to stripping

    A strength given without coupons counts as tested at the piece's own thickness.
    """
    used = dict.fromkeys([layer.mix for layer in piece.layers])
    tests = tuple([(m.first_crack_strength_pa, m.first_crack_age_d, m.coupons) for m in map(mixes.__getitem__, used)])
    return _first_crack(tests, THIN_COUPON_PART * (piece.nominal_thickness_m or 0.0), strip_age_d)


_Test = tuple[float | None, float | None, tuple[Coupon, ...]]  # first crack, its age, and the coupons of one mix


@lru_cache(maxsize=256)  # a job has few mixes and thicknesses, however many pieces
def _first_crack(tests: tuple[_Test, ...], least_m: float, strip_age_d: float) -> FirstCrack:
    """First crack of mixes from their tests. Coupons under the least thickness do not count."""
    thin_m = [coupon.depth_m for _, _, coupons in tests for coupon in coupons if coupon.depth_m < least_m]
    ages: list[float | None] = []
    later_pa, strip_pa = [], []
    for given_pa, given_d, coupons in tests:
        if not coupons:
            ages.append(given_d)
            later_pa.append(given_pa)
            strip_pa.append(given_pa)
            continue
        strengths = flexural_strengths(samples_of([coupon for coupon in coupons if coupon.depth_m >= least_m]))
        ages.append(max((strength.age_d for strength in strengths if (strength.design_pa or 0.0) > 0.0), default=None))
        later_pa.append(first_crack_to_count_on(strengths, inf))
        strip_pa.append(first_crack_to_count_on(strengths, strip_age_d))
    lowest_pa = _lowest(later_pa)
    return FirstCrack(
        later_pa=lowest_pa,
        age_d=max((age_d for age_d in ages if age_d is not None), default=None),
        strip_pa=_lowest(strip_pa),
        thin_coupons_m=max(thin_m, default=None) if lowest_pa is None else None,
    )


def _lowest(strengths_pa: list[float | None]) -> float | None:
    known = [strength_pa for strength_pa in strengths_pa if strength_pa is not None]
    return min(known) if known and len(known) == len(strengths_pa) else None
