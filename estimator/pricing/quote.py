"""From direct cost to the price asked: overhead, margin or markup, minimum charge, rounding, tax, payment steps.

price = (direct + overhead) / (1 − margin), or (direct + overhead) · (1 + markup); options taken, a minimum charge and
rounding are lines of their own after it. Every line is rounded half up to the cent once; totals are sums of lines.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal

from estimator.job import PaymentStep, PriceTerms
from estimator.money import CENT, ZERO, cents, total


@dataclass(frozen=True, slots=True)
class Allowance:
    """A share of the direct cost of some marks, kept for what may go wrong with them.

    amount = share · base, rounded
    """

    name: str
    share: float
    base: Decimal
    marks: tuple[str, ...]

    @property
    def amount(self) -> Decimal:
        return cents(self.base * exact(self.share))


@dataclass(frozen=True, slots=True)
class DirectCost:
    """What the job itself costs, each line rounded to the cent; its five kinds are sums of lines.

    work             hours at their rates
    supply           freight of what is bought
    delivery         of the finished pieces
    equipment        hoists and lifts hired for pieces that no crew lifts
    size_allowance   sizes may still change until they are templated
    remake           pieces may have to be cast again, by their risk
    """

    materials: Decimal
    consumables: Decimal
    work: Decimal
    forms: Decimal
    supply: Decimal
    delivery: Decimal
    equipment: Decimal
    size_allowance: tuple[Allowance, ...] = ()
    remake: tuple[Allowance, ...] = ()

    @property
    def allowances(self) -> tuple[Allowance, ...]:
        return (*self.size_allowance, *self.remake)

    @property
    def labour(self) -> Decimal:
        """Hours at their rates, and the allowances for doing work again."""
        return self.work + total(each.amount for each in self.allowances)

    @property
    def freight(self) -> Decimal:
        """Freight of supplies, delivery of the pieces, gear hired to move them."""
        return total((self.supply, self.delivery, self.equipment))

    @property
    def total(self) -> Decimal:
        return total((self.materials, self.consumables, self.labour, self.forms, self.freight))


@dataclass(frozen=True, slots=True)
class Payment:
    """One step of payment; the steps add up to the total exactly."""

    step: str
    share: float
    due: str
    amount: Decimal


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the price as it is shown."""

    kind: str  # key of the document's cost to which it belongs
    text: str
    amount: Decimal
    always: bool = False  # shown even where it comes to nothing


@dataclass(frozen=True, slots=True)
class Cost:
    """Cost and price of the job. Each line is rounded; totals are sums of rounded lines.

    margin          what is left of the calculated price above direct cost and overhead, however the terms ask for it
    options         net price of the options that were taken for a lump sum
    minimum_charge  what lifts the price to the least that the workshop takes a job for
    rounding        what brings the price to a round one, either way
    unpriced        materials that are not in the totals for want of a price
    """

    direct: DirectCost
    overhead: Decimal
    margin: Decimal
    options: Decimal
    minimum_charge: Decimal
    rounding: Decimal
    tax: Decimal
    payments: tuple[Payment, ...]
    unpriced: tuple[str, ...]

    @property
    def calculated(self) -> Decimal:
        """(direct + overhead) / (1 − margin), or · (1 + markup)."""
        return self.direct.total + self.overhead + self.margin

    @property
    def price(self) -> Decimal:
        """Asked, before tax."""
        return self.calculated + self.options + self.minimum_charge + self.rounding

    @property
    def total(self) -> Decimal:
        return self.price + self.tax


def lines_of(cost: Cost, terms: PriceTerms) -> tuple[Line, ...]:
    """Every line of the price in its order; the amounts add up to the total exactly.

    Lines that come to nothing are left out but for the kinds that every price has.
    """
    direct = cost.direct
    if terms.markup is not None:
        profit = f"markup, {_percent(terms.markup)} on cost"
    else:
        profit = f"margin, {_percent(terms.margin or 0.0)} of the price"
    every = [
        Line("materials", "materials", direct.materials, always=True),
        Line("consumables", "consumables", direct.consumables, always=True),
        Line("labour", "labour", direct.work, always=True),
        *(
            Line("labour", f"{each.name}, {_percent(each.share)} of {each.base:,.2f}", each.amount)
            for each in direct.allowances
        ),
        Line("forms", "forms", direct.forms, always=True),
        Line("freight", "freight of supplies", direct.supply),
        Line("freight", "delivery of the pieces", direct.delivery),
        Line("freight", "hoist or lift hired", direct.equipment),
        Line("overhead", f"overhead, {_percent(terms.overhead)} of direct cost", cost.overhead, always=True),
        Line("margin", profit, cost.margin, always=True),
        Line("options", "options taken", cost.options),
        Line("minimum_charge", "up to the minimum charge", cost.minimum_charge),
        Line("rounding", "rounding", cost.rounding),
        Line("tax", f"tax, {_percent(terms.tax)} of the price", cost.tax, always=True),
    ]
    return tuple(line for line in every if line.always or line.amount)


def _percent(share: float) -> str:
    return f"{share * 100:.4g} %"


def price_job(
    direct: DirectCost,
    terms: PriceTerms,
    *,
    options: Decimal = ZERO,
    unpriced: Sequence[str] = (),
) -> Cost:
    """Price of a job on its terms; tax is on the price asked.

    options   lump sums of options taken, net of tax
    Raises ValueError for a margin of 1 or more, which no price can hold.
    """
    overhead = cents(direct.total * exact(terms.overhead))
    cost = direct.total + overhead
    margin = margin_on(cost, terms)
    calculated = cost + margin + options
    lifted = max(ZERO, cents(terms.minimum) - calculated)
    rounding = rounded_price(calculated + lifted, terms) - calculated - lifted
    price = calculated + lifted + rounding
    tax = cents(price * exact(terms.tax))
    return Cost(
        direct=direct,
        overhead=overhead,
        margin=margin,
        options=options,
        minimum_charge=lifted,
        rounding=rounding,
        tax=tax,
        payments=payments_of(price + tax, terms.payments),
        unpriced=tuple(unpriced),
    )


def margin_on(cost: Decimal, terms: PriceTerms) -> Decimal:
    """Margin in money: a share of the price, or a markup on cost. Raises ValueError for a margin of 1 or more.

    Source: arithmetic; a margin m on the price is a markup m / (1 − m) on cost, 30 % of the one 42.857 % of the other.
    """
    if terms.markup is not None:
        return cents(cost * exact(terms.markup))
    share = exact(terms.margin or 0.0)
    if share >= 1:
        raise ValueError("a margin of the whole price leaves nothing for the cost")
    return cents(cost / (1 - share)) - cost


def rounded_price(price: Decimal, terms: PriceTerms) -> Decimal:
    """The price at the nearest multiple of the rounding step (half up), or at the next one up."""
    step = cents(terms.round_to)
    if step <= CENT:
        return price
    rule = ROUND_CEILING if terms.rounding == "up" else ROUND_HALF_UP
    return ((price / step).quantize(Decimal(1), rounding=rule) * step).quantize(CENT)


def payments_of(amount: Decimal, steps: Sequence[PaymentStep]) -> tuple[Payment, ...]:
    """An amount in steps, each rounded to the cent; the last takes what is left, so that they add up to it."""
    paid, left = [], amount
    for i, step in enumerate(steps):
        due = left if i == len(steps) - 1 else cents(amount * exact(step.share))
        paid.append(Payment(step.name, step.share, step.due, due))
        left -= due
    return tuple(paid)


def share_out(amount: Decimal, weights: Mapping[str, float]) -> dict[str, Decimal]:
    """An amount shared out over marks in proportion to `weights`, to the cent, adding up to it exactly.

    Shares are rounded down, and the cents that are left go one each to the shares that lost most by it; among equals
    by mark, so that the order of the pieces does not matter. Without any weight the shares are equal.
    """
    if not weights:
        return {}
    whole = sum(sorted(weights.values()))
    if whole <= 0.0:
        return share_out(amount, dict.fromkeys(weights, 1.0))
    count = int(amount / CENT)
    wanted = {mark: count * (weight / whole) for mark, weight in weights.items()}
    shares = {mark: int(each) for mark, each in wanted.items()}
    left = count - sum(shares.values())
    step = 1 if left > 0 else -1
    order = sorted(weights, key=lambda mark: (-step * (wanted[mark] - shares[mark]), mark))
    for mark in order[: abs(left)]:
        shares[mark] += step
    return {mark: cents(Decimal(each) * CENT) for mark, each in shares.items()}


def exact(number: float) -> Decimal:
    """A ratio at the decimal form in which it was written."""
    return Decimal(repr(float(number)))
