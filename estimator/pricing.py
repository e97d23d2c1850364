"""What the job costs and what to ask for it: direct cost, overhead, margin, tax; and each mark's share."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from estimator.job import PriceTerms
from estimator.money import cents, total


@dataclass(frozen=True, slots=True)
class DirectCost:
    """What the job itself costs, each line rounded to the cent."""

    materials: Decimal
    consumables: Decimal
    labour: Decimal
    forms: Decimal
    freight: Decimal

    @property
    def total(self) -> Decimal:
        return total((self.materials, self.consumables, self.labour, self.forms, self.freight))


@dataclass(frozen=True, slots=True)
class Cost:
    """Cost and price of the job. Each line is rounded; totals are sums of rounded lines.

    margin    what is left of the price above direct cost and overhead, however the terms ask for it
    unpriced  materials that are not in the totals for want of a price
    """

    direct: DirectCost
    overhead: Decimal
    margin: Decimal
    tax: Decimal
    unpriced: tuple[str, ...]

    @property
    def price(self) -> Decimal:
        """Before tax."""
        return self.direct.total + self.overhead + self.margin

    @property
    def total(self) -> Decimal:
        return self.price + self.tax


def price_job(direct: DirectCost, terms: PriceTerms, unpriced: Sequence[str] = ()) -> Cost:
    """Price of a job: (direct + overhead) / (1 − margin), or · (1 + markup); total with tax on the price.

    Raises ValueError for a margin of 1 or more, which no price can hold.
    """
    overhead = cents(direct.total * exact(terms.overhead))
    cost = direct.total + overhead
    if terms.markup is not None:
        margin = cents(cost * exact(terms.markup))
    else:
        share = exact(terms.margin or 0.0)
        if share >= 1:
            raise ValueError("a margin of the whole price leaves nothing for the cost")
        margin = cents(cost / (1 - share) - cost)
    return Cost(direct, overhead, margin, cents((cost + margin) * exact(terms.tax)), tuple(unpriced))


def share_price(price: Decimal, weights: Mapping[str, float]) -> dict[str, Decimal]:
    """A price shared out over marks in proportion to `weights`, to the cent, adding up to it exactly.

    The cents that rounding leaves go to the largest shares.
    """
    whole = sum(weights.values())
    if not weights or whole <= 0.0:
        return dict.fromkeys(weights, Decimal("0.00"))
    shares = {mark: cents(price * exact(weight / whole)) for mark, weight in weights.items()}
    left = price - total(shares.values())
    step = Decimal("0.01") if left > 0 else Decimal("-0.01")
    for mark in sorted(weights, key=lambda each: -weights[each]) * 2:
        if left == 0:
            break
        shares[mark] += step
        left -= step
    return shares


def exact(number: float) -> Decimal:
    """A ratio at the decimal form in which it was written."""
    return Decimal(repr(float(number)))
