"""A bending stress beside the strength that coupons have shown: a value of three, worded by whoever reads it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

Strength = Literal["enough", "not-enough", "untested"]
RANK: dict[Strength, int] = {"enough": 0, "untested": 1, "not-enough": 2}


def worst_strength(strengths: Iterable[Strength]) -> Strength:
    """The least that several checks show; of none, enough.

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
