"""Tested first crack of the mixes of a piece, and a stress beside it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import inf
from typing import Literal

from estimator.job import Mix, Piece
from estimator.strength import Coupon, first_crack_to_count_on, flexural_strengths, samples_of

Strength = Literal["enough", "not-enough", "untested"]
RANK: dict[Strength, int] = {"enough": 0, "untested": 1, "not-enough": 2}


def worst_strength(strengths: Iterable[Strength]) -> Strength:
    """The worst of several strengths; of none, enough.

    >>> worst_strength(["enough", "not-enough", "untested"])
    'not-enough'
    """
    return max(strengths, key=lambda strength: RANK[strength], default="enough")


@dataclass(frozen=True, slots=True)
class StressCheck:
    """One stress against the lower tested first crack of the mix at the age at which it acts.

    first_crack_pa    lower tested limit of proportionality; None: no test
    required_factor   first crack over stress that is asked for
    """

    stress_pa: float
    first_crack_pa: float | None
    required_factor: float

    @property
    def factor(self) -> float | None:
        """First-crack strength over stress; None where it was not tested."""
        if self.first_crack_pa is None:
            return None
        return float("inf") if self.stress_pa == 0.0 else self.first_crack_pa / self.stress_pa

    @property
    def strength(self) -> Strength:
        factor = self.factor
        if factor is None:
            return "untested"
        return "enough" if factor >= self.required_factor else "not-enough"

    @property
    def shown_safe(self) -> bool:
        return self.strength == "enough"


THIN_COUPON_PART = 0.75
"""Of the piece's thickness; a thinner coupon cracks at a higher stress, so it shows nothing for the piece. Choice."""


@dataclass(frozen=True, slots=True)
class FirstCrack:
    """Lower tested limit of proportionality to count on, the lowest of a piece's mixes; None: not shown.

    later_pa        at the latest age that was tested
    age_d           that age, the greatest of the mixes; None where nobody said it
    strip_pa        at the age at which the form is stripped
    thin_coupons_m  thickness of coupons that were tested but are too thin for this piece; None: there are none
    """

    later_pa: float | None
    age_d: float | None
    strip_pa: float | None
    thin_coupons_m: float | None

    @property
    def assumption(self) -> str:
        """Assumption where the job does not say at which age the mix was tested."""
        if self.later_pa is None or self.age_d is not None:
            return ""
        return "the tested first-crack strength is taken to be reached when the form is stripped"


def first_crack_of(piece: Piece, mixes: Mapping[str, Mix], strip_age_d: float) -> FirstCrack:
    """First-crack strength of a piece from its mixes' coupons; one untested mix leaves the piece untested.

    strip_age_d   days from casting to stripping

    A strength given without its coupons is taken as tested at the piece's own thickness.
    """
    used = [mixes[name] for name in dict.fromkeys(layer.mix for layer in piece.layers)]
    least_m = THIN_COUPON_PART * (piece.nominal_thickness_m or 0.0)
    thick = {mix.name: tuple(coupon for coupon in mix.coupons if coupon.depth_m >= least_m) for mix in used}
    thin_m = [coupon.depth_m for mix in used for coupon in mix.coupons if coupon.depth_m < least_m]
    ages = [age for mix in used if (age := _latest_d(mix, thick[mix.name])) is not None]
    later_pa = _lowest([_at(mix, thick[mix.name], inf) for mix in used])
    return FirstCrack(
        later_pa=later_pa,
        age_d=max(ages, default=None),
        strip_pa=_lowest([_at(mix, thick[mix.name], strip_age_d) for mix in used]),
        thin_coupons_m=max(thin_m, default=None) if later_pa is None else None,
    )


def _latest_d(mix: Mix, coupons: Sequence[Coupon]) -> float | None:
    """Latest tested age of a mix, days; None where it is not given."""
    if not mix.coupons:
        return mix.first_crack_age_d
    ages_d = [
        strength.age_d for strength in flexural_strengths(samples_of(coupons)) if (strength.design_pa or 0.0) > 0.0
    ]
    return max(ages_d, default=None)


def _at(mix: Mix, coupons: Sequence[Coupon], age_d: float) -> float | None:
    if not mix.coupons:
        return mix.first_crack_strength_pa
    return first_crack_to_count_on(flexural_strengths(samples_of(coupons)), age_d)


def _lowest(strengths_pa: list[float | None]) -> float | None:
    known = [strength_pa for strength_pa in strengths_pa if strength_pa is not None]
    return min(known) if known and len(known) == len(strengths_pa) else None
