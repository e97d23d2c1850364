"""The first-crack strength that a piece has shown: when it is stripped, and later."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from estimator.job import Mix, Piece
from estimator.strength import first_crack_to_count_on, flexural_strengths, samples_of

DAY_S = 86_400.0


@dataclass(frozen=True, slots=True)
class FirstCrack:
    """Lower tested limit of proportionality to count on, the lowest of a piece's mixes; None: not shown.

    later_pa   at the latest age that was tested
    age_d      that age, the greatest of the mixes; None where nobody said it
    strip_pa   at the age at which the form is stripped
    """

    later_pa: float | None
    age_d: float | None
    strip_pa: float | None

    @property
    def assumption(self) -> str:
        """What is taken where the job does not say at which age it was tested."""
        if self.later_pa is None or self.age_d is not None:
            return ""
        return "the tested first-crack strength is taken to be reached when the form is stripped"


def first_crack_of(piece: Piece, mixes: Mapping[str, Mix], strip_age_d: float) -> FirstCrack:
    """What the coupons of a piece's mixes show; one untested mix leaves the whole piece untested.

    strip_age_d   days from casting to stripping
    """
    used = [mixes[name] for name in dict.fromkeys(layer.mix for layer in piece.layers)]
    ages = [mix.first_crack_age_d for mix in used if mix.first_crack_age_d is not None]
    return FirstCrack(
        later_pa=_lowest([mix.first_crack_strength_pa for mix in used]),
        age_d=max(ages, default=None),
        strip_pa=_lowest([_at_strip(mix, strip_age_d) for mix in used]),
    )


def _at_strip(mix: Mix, age_d: float) -> float | None:
    if mix.first_crack_age_d is None or not mix.coupons:
        return mix.first_crack_strength_pa
    return first_crack_to_count_on(flexural_strengths(samples_of(mix.coupons)), age_d)


def _lowest(strengths_pa: list[float | None]) -> float | None:
    known = [each for each in strengths_pa if each is not None]
    return min(known) if known and len(known) == len(strengths_pa) else None
