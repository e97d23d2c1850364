"""A range for a piece of which little is known yet: what the job would come to, with a margin either way."""

from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

from estimator.pricing.quote import exact

STEP = Decimal(10)  # a ballpark is not told to the cent


@dataclass(frozen=True, slots=True)
class Range:
    """A price before tax, from low to high; never below the minimum charge.

    used     calculated with material charged as it is used
    bought   calculated with every pack bought for this job charged to it; outside the range where packs are large
    """

    low: Decimal
    used: Decimal
    bought: Decimal
    high: Decimal


def ballpark_range(used: Decimal, bought: Decimal, below: float, above: float, minimum: float) -> Range:
    """The range of a ballpark, outwards to whole tens.

    below, above   shares of the price with material charged as used
    minimum        least price that the workshop takes a job for
    """
    floor = exact(minimum)
    low = _tens(used * (1 - exact(below)), ROUND_FLOOR)
    high = _tens(used * (1 + exact(above)), ROUND_CEILING)
    return Range(max(floor, low), used, bought, max(floor, high))


def _tens(amount: Decimal, rule: str) -> Decimal:
    return (amount / STEP).quantize(Decimal(1), rounding=rule) * STEP
