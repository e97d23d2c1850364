"""From direct cost to the price asked, and the range of a ballpark."""

from collections.abc import Mapping, Sequence
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Decimal
from typing import get_args

import numpy as np

from estimator.errors import FaultError
from estimator.job import PaymentStep, PriceKind, PriceTerms, Received
from estimator.money import CENT, ZERO, cents, total
from geometry.frozen import frozen
from geometry.message import Message, message


@frozen
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

    @property
    def text(self) -> Message:
        """What it is kept for, as a line of the price says it."""
        kind, _, what = self.name.partition(", ")
        if kind == "remake":
            return message("price-line-remake", risk=what, of_share=self.share, base_price=float(self.base))
        return message("price-line-sizes", of_share=self.share, base_price=float(self.base))


@frozen
class DirectCost:
    """What the job itself costs, each line rounded to the cent.

    labour           hours at their rates
    freight          of what is bought
    delivery         of the finished pieces
    gear             hoists and lifts hired for pieces that no crew lifts
    size_allowance   sizes may still change until they are templated
    remake           pieces may have to be cast again, by their risk
    """

    materials: Decimal
    consumables: Decimal
    labour: Decimal
    forms: Decimal
    freight: Decimal
    delivery: Decimal
    gear: Decimal
    size_allowance: tuple[Allowance, ...] = ()
    remake: tuple[Allowance, ...] = ()

    @property
    def allowance_lines(self) -> tuple[Allowance, ...]:
        return (*self.size_allowance, *self.remake)

    @property
    def allowances(self) -> Decimal:
        """Kept for sizes that may change and for pieces that may have to be cast again."""
        return total(line.amount for line in self.allowance_lines)

    @property
    def kinds(self) -> dict[str, Decimal]:
        """Every kind of direct cost by the one name that it has on every paper; they add up to the total."""
        return {
            "materials": self.materials,
            "consumables": self.consumables,
            "labour": self.labour,
            "allowances": self.allowances,
            "forms": self.forms,
            "freight": self.freight,
            "delivery": self.delivery,
            "gear": self.gear,
        }

    @property
    def total(self) -> Decimal:
        return total(self.kinds.values())


@frozen
class Payment:
    """One step of payment; the steps add up to the total exactly.

    received   what the client paid for this step, which is then its amount; None: still to be paid
    """

    step: str
    share: float
    due: str
    amount: Decimal
    received: Decimal | None = None


@frozen
class TaxLine:
    """Tax on one kind of line of the price: share · base, rounded.

    kind   of the price, or "price" for all of it
    cost   direct cost of the kind, by which it shares in the price; nothing where it does not
    """

    kind: str
    share: float
    base: Decimal
    cost: Decimal = ZERO

    @property
    def amount(self) -> Decimal:
        return cents(self.base * exact(self.share))


@frozen
class Line:
    """One line of the price, from material to tax."""

    kind: str  # key of the document's cost to which it belongs
    text: Message
    amount: Decimal
    always: bool = False  # shown even where it comes to nothing


@frozen
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
    tax_lines: tuple[TaxLine, ...]
    payments: tuple[Payment, ...]
    unpriced: tuple[str, ...]
    received: Decimal = ZERO  # paid by the client so far

    @property
    def calculated(self) -> Decimal:
        """(direct + overhead) / (1 − margin), or · (1 + markup)."""
        return self.direct.total + self.overhead + self.margin

    @property
    def price(self) -> Decimal:
        """Asked, before tax."""
        return self.calculated + self.options + self.minimum_charge + self.rounding

    @property
    def tax(self) -> Decimal:
        return total(line.amount for line in self.tax_lines)

    @property
    def total(self) -> Decimal:
        return self.price + self.tax

    @property
    def balance_due(self) -> Decimal:
        """What the client still has to pay; negative where more was received than the job comes to."""
        return self.total - self.received


def lines_of(cost: Cost, terms: PriceTerms) -> tuple[Line, ...]:
    """Every line of the price in its order; the amounts add up to the total exactly.

    Lines that come to nothing are left out but for the kinds that every price has.
    """
    direct = cost.direct
    if terms.markup is not None:
        profit = message("price-line-markup", of_share=terms.markup)
    else:
        profit = message("price-line-margin", of_share=terms.margin or 0.0)
    every = [
        Line("materials", message("price-line-materials"), direct.materials, always=True),
        Line("consumables", message("price-line-consumables"), direct.consumables, always=True),
        Line("labour", message("price-line-labor"), direct.labour, always=True),
        *(Line("allowances", line.text, line.amount) for line in direct.allowance_lines),
        Line("forms", message("price-line-forms"), direct.forms, always=True),
        Line("freight", message("price-line-freight"), direct.freight),
        Line("delivery", message("price-line-delivery"), direct.delivery),
        Line("gear", message("price-line-gear"), direct.gear),
        Line("overhead", message("price-line-overhead", of_share=terms.overhead), cost.overhead, always=True),
        Line("margin", profit, cost.margin, always=True),
        Line("options", message("price-line-options"), cost.options),
        Line("minimum_charge", message("price-line-minimum"), cost.minimum_charge),
        Line("rounding", message("price-line-rounding"), cost.rounding),
        *(Line("tax", tax_text(line), line.amount, always=True) for line in cost.tax_lines),
    ]
    return tuple(line for line in every if line.always or line.amount)


def tax_text(line: TaxLine) -> Message:
    """What a line of tax is on, and its rate."""
    return message(f"price-line-tax-{line.kind}", of_share=line.share)


def tax_lines_of(
    price: Decimal, options: Decimal, terms: PriceTerms, kinds: Mapping[PriceKind, Decimal]
) -> tuple[TaxLine, ...]:
    """Tax on the price asked: one line, or a line for each kind where the terms have rates of their own.

    options   part of the price, lump sums of options taken
    kinds     direct cost by kind; the price less options is shared by it, and the pieces take what rounding leaves
    """
    if not terms.tax_rates:
        return (TaxLine("price", terms.tax, price),)
    whole = total(kinds.values())
    bases: dict[PriceKind, Decimal] = {
        kind: cents((price - options) * amount / whole) if whole else ZERO
        for kind, amount in kinds.items()
        if kind != "pieces"
    }
    bases["pieces"] = price - options - total(bases.values())
    bases["options"] = options
    return tuple(
        TaxLine(kind, terms.tax_rates.get(kind, terms.tax), bases[kind], kinds.get(kind, ZERO))
        for kind in get_args(PriceKind)
        if bases.get(kind)
    )


def price_job(
    direct: DirectCost,
    terms: PriceTerms,
    *,
    options: Decimal = ZERO,
    kinds: Mapping[PriceKind, Decimal] | None = None,
    unpriced: Sequence[str] = (),
) -> Cost:
    """Price of a job on its terms; tax is on the price asked.

    options   lump sums of options taken, net of tax
    kinds     direct cost by kind of line, for tax that differs by kind; None: all of it is of pieces
    Raises FaultError for a margin of 1 or more, which no price can hold.
    """
    overhead = cents(direct.total * exact(terms.overhead))
    cost = direct.total + overhead
    margin = margin_on(cost, terms)
    calculated = cost + margin + options
    lifted = max(ZERO, cents(terms.minimum) - calculated)
    rounding = rounded_price(calculated + lifted, terms) - calculated - lifted
    price = calculated + lifted + rounding
    tax_lines = tax_lines_of(price, options, terms, kinds or {"pieces": direct.total})
    whole = price + total(line.amount for line in tax_lines)
    return Cost(
        direct=direct,
        overhead=overhead,
        margin=margin,
        options=options,
        minimum_charge=lifted,
        rounding=rounding,
        tax_lines=tax_lines,
        payments=payments_of(whole, terms.payments, terms.received),
        unpriced=tuple(unpriced),
        received=total(cents(payment.amount) for payment in terms.received),
    )


def margin_on(cost: Decimal, terms: PriceTerms) -> Decimal:
    """Margin in money: a share of the price, or a markup on cost. Raises FaultError for a margin of 1 or more.

    Source: arithmetic; a margin m on the price is a markup m / (1 − m) on cost, 30 % of the one 42.857 % of the other.
    """
    if terms.markup is not None:
        return cents(cost * exact(terms.markup))
    share = exact(terms.margin or 0.0)
    if share >= 1:
        raise FaultError("", message("pricing-margin-whole"))
    return cents(cost / (1 - share)) - cost


def rounded_price(price: Decimal, terms: PriceTerms) -> Decimal:
    """The price at the nearest multiple of the rounding step (half up), or at the next one up."""
    step = cents(terms.round_to)
    if step <= CENT:
        return price
    rule = ROUND_CEILING if terms.rounding == "up" else ROUND_HALF_UP
    return ((price / step).quantize(Decimal(1), rounding=rule) * step).quantize(CENT)


def payments_of(
    amount: Decimal, steps: Sequence[PaymentStep], received: Sequence[Received] = ()
) -> tuple[Payment, ...]:
    """An amount in steps, each rounded to the cent; the last takes what is left, so that they add up to it.

    received   what was paid already. A step that was paid is settled at what was paid for it, whatever the total has
               become since; the rest is shared over the steps that are open, in proportion to their shares. A payment
               that names no step settles the first open one.

    Where every step is settled, what is left is a step of its own: a balance, or a refund if it is negative.
    """
    if not steps:
        return ()
    settled: dict[str, Decimal] = {}
    for payment in received:
        free = [step.name for step in steps if step.name not in settled]
        name = payment.step if payment.step is not None else free[0] if free else steps[-1].name
        settled[name] = settled.get(name, ZERO) + cents(payment.amount)
    still = [step for step in steps if step.name not in settled]
    whole = total(exact(step.share) for step in still) if settled else Decimal(1)
    open_amount = left = amount - total(settled.values())
    due = {}
    for i, step in enumerate(still):
        if i == len(still) - 1:
            due[step.name] = left
        elif open_amount <= 0 or whole <= 0:
            due[step.name] = ZERO
        else:
            due[step.name] = cents(open_amount * exact(step.share) / whole)
        left -= due[step.name]
    payments = [
        Payment(
            step.name, step.share, step.due, settled.get(step.name, due.get(step.name, ZERO)), settled.get(step.name)
        )
        for step in steps
    ]
    if left:
        payments.append(Payment("refund" if left < 0 else "remaining balance", 0.0, steps[-1].due, left))
    return tuple(payments)


def allocate(amount: Decimal, weights: Mapping[str, float]) -> dict[str, Decimal]:
    """An amount shared out over marks in proportion to `weights`, to the cent, adding up to it exactly.

    Shares are rounded down, and the cents that are left go one each to the shares that lost most by it; among equals
    by mark, so that the order of the pieces does not matter. Without any weight the shares are equal.
    """
    if not weights:
        return {}
    whole = sum(sorted(weights.values()))
    if whole <= 0.0:
        return allocate(amount, dict.fromkeys(weights, 1.0))
    count = int(amount / CENT)
    wanted = count * (np.fromiter(weights.values(), np.float64, len(weights)) / whole)
    shares = np.trunc(wanted)
    left = count - int(shares.sum())
    if left:
        step = 1 if left > 0 else -1
        order = np.lexsort((np.array(list(weights)), -step * (wanted - shares)))
        shares[order[: abs(left)]] += step
    return {mark: int(share) * CENT for mark, share in zip(weights, shares.tolist(), strict=True)}


def exact(number: float) -> Decimal:
    """A ratio at the decimal form in which it was written."""
    return Decimal(repr(float(number)))


STEP = Decimal(10)  # a ballpark is given in whole tens


@frozen
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
