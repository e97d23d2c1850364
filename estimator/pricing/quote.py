"""Quote price from direct cost, payment steps, and the range of a ballpark price."""

from collections.abc import Mapping, Sequence
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Decimal
from typing import get_args

import numpy as np

from estimator.errors import FaultError
from estimator.job import PaymentStep, PriceKind, PriceTerms, Received
from estimator.money import CENT, ZERO, cents, total
from geometry.arrays import Floats
from geometry.frozen import frozen
from geometry.message import Message, message


@frozen
class Allowance:
    """A contingency: a share of the direct cost of some marks.

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
        """Text of its line in the price."""
        kind, _, what = self.name.partition(", ")
        if kind == "remake":
            return message("price-line-remake", risk=what, of_share=self.share, base_price=float(self.base))
        return message("price-line-sizes", of_share=self.share, base_price=float(self.base))


@frozen
class DirectCost:
    """Direct cost of the job, each line rounded to the cent.

    labour           hours at their rates
    freight          freight of what is bought
    delivery         delivery of the finished pieces
    gear             hoists and lifts hired for pieces that no crew can lift
    size_allowance   allowance for sizes that may change until they are templated
    remake           allowance for pieces that may have to be cast again, by risk
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
        """Total allowance for sizes that may change and pieces that may have to be cast again."""
        return total(line.amount for line in self.allowance_lines)

    @property
    def kinds(self) -> dict[str, Decimal]:
        """Every kind of direct cost by its name, the same on every paper. They add up to the total."""
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
    """One payment step; the steps add up exactly to the total.

    received   amount the client paid for this step, which is then its amount; None: still to be paid
    """

    step: str
    share: float
    due: str
    amount: Decimal
    received: Decimal | None = None


@frozen
class TaxLine:
    """Tax on one kind of price: share · base, rounded.

    kind    kind of price, or "price" for all of it
    cost    direct cost of the kind, which sets its share of the price; 0 if it has none
    agreed  amount that the client accepted, which holds instead
    """

    kind: str
    share: float
    base: Decimal
    cost: Decimal = ZERO
    agreed: Decimal | None = None

    @property
    def amount(self) -> Decimal:
        return cents(self.base * exact(self.share)) if self.agreed is None else self.agreed


@frozen
class Line:
    """One line of the price, from material to tax."""

    kind: str  # key of the document's cost to which it belongs
    text: Message
    amount: Decimal
    always: bool = False  # shown even if it is zero


@frozen
class Cost:
    """Cost and price of the job. Each line is rounded; totals are sums of rounded lines.

    margin          calculated price less direct cost and overhead, whether the terms give a margin or a markup
    options         net price of the options taken for a lump sum
    minimum_charge  amount that raises the price to the shop's minimum
    rounding        amount that rounds the price, positive or negative
    adjustment      amount of the terms on top, positive or negative
    held            part of the adjustment that keeps the price that the client accepted
    unpriced        materials missing from the totals because they have no price
    """

    direct: DirectCost
    overhead: Decimal
    margin: Decimal
    options: Decimal
    minimum_charge: Decimal
    rounding: Decimal
    adjustment: Decimal
    tax_lines: tuple[TaxLine, ...]
    payments: tuple[Payment, ...]
    unpriced: tuple[str, ...]
    received: Decimal = ZERO  # paid by the client so far
    held: Decimal = ZERO

    @property
    def calculated(self) -> Decimal:
        """(direct + overhead) / (1 − margin), or · (1 + markup)."""
        return self.direct.total + self.overhead + self.margin

    @property
    def price(self) -> Decimal:
        """Price before tax."""
        return self.calculated + self.options + self.minimum_charge + self.rounding + self.adjustment

    @property
    def tax(self) -> Decimal:
        return total(line.amount for line in self.tax_lines)

    @property
    def total(self) -> Decimal:
        return self.price + self.tax

    @property
    def balance_due(self) -> Decimal:
        """Amount the client still has to pay; negative if more was received than the total."""
        return self.total - self.received


def lines_of(cost: Cost, terms: PriceTerms) -> tuple[Line, ...]:
    """Every line of the price, in order; the amounts add up exactly to the total.

    Lines of zero are left out, except the kinds that every price shows.
    """
    direct = cost.direct
    if terms.markup is not None:
        profit = message("price-line-markup", of_share=terms.markup)
    else:
        profit = message("price-line-margin", of_share=terms.margin or 0.0)
    lines = [
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
        Line("adjustment", message("price-line-adjustment"), cost.adjustment - cost.held),
        Line("adjustment", message("price-line-held"), cost.held),
        *(Line("tax", tax_text(line), line.amount, always=True) for line in cost.tax_lines),
    ]
    return tuple(line for line in lines if line.always or line.amount)


def tax_text(line: TaxLine) -> Message:
    """Text of a tax line: its base and its rate."""
    return message(f"price-line-tax-{line.kind}", of_share=line.share)


def tax_lines_of(
    price: Decimal, options: Decimal, terms: PriceTerms, kinds: Mapping[PriceKind, Decimal]
) -> tuple[TaxLine, ...]:
    """Tax on the price: one line, or one for each kind if the terms have separate rates.

    options   part of the price: lump sums of options taken
    kinds     direct cost by kind, which divides the price less options; pieces get the rounding difference
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
    """Price of a job on its terms, with tax.

    options   lump sums of options taken, net of tax
    kinds     direct cost by kind of line, for tax that differs by kind; None: all of it is for pieces

    Raises FaultError for an adjustment that leaves no price.
    """
    overhead = cents(direct.total * exact(terms.overhead))
    cost = direct.total + overhead
    margin = margin_on(cost, terms)
    calculated = cost + margin + options
    minimum_charge = max(ZERO, cents(terms.minimum) - calculated)
    rounding = rounded_price(calculated + minimum_charge, terms) - calculated - minimum_charge
    adjustment, held = cents(exact(terms.adjustment)), ZERO
    price = calculated + minimum_charge + rounding + adjustment
    if terms.agreed is not None:
        held = cents(exact(terms.agreed.price)) - price
        adjustment, price = adjustment + held, price + held
    if price < ZERO:
        values = {"taken_off": f"{-adjustment}", "most": f"{price - adjustment}"}
        raise FaultError("price.adjustment", message("pricing-adjustment-whole", **values))
    tax_lines = tax_lines_of(price, options, terms, kinds or {"pieces": direct.total})
    if terms.agreed is not None and total(line.amount for line in tax_lines) != cents(exact(terms.agreed.tax)):
        tax_lines = (TaxLine("agreed", terms.tax, price, agreed=cents(exact(terms.agreed.tax))),)
    whole = price + total(line.amount for line in tax_lines)
    return Cost(
        direct=direct,
        overhead=overhead,
        margin=margin,
        options=options,
        minimum_charge=minimum_charge,
        rounding=rounding,
        adjustment=adjustment,
        tax_lines=tax_lines,
        payments=payments_of(whole, terms.payments, terms.received),
        unpriced=tuple(unpriced),
        received=total(cents(payment.amount) for payment in terms.received),
        held=held,
    )


def margin_on(cost: Decimal, terms: PriceTerms) -> Decimal:
    """Margin in currency: a share of the price, or a markup on cost.

    Source: arithmetic; a margin m on the price is a markup m / (1 − m) on cost, so 30 % margin is 42.857 % markup.
    """
    if terms.markup is not None:
        return cents(cost * exact(terms.markup))
    return cents(cost / (1 - exact(terms.margin or 0.0))) - cost


def rounded_price(price: Decimal, terms: PriceTerms) -> Decimal:
    """Price rounded to the nearest multiple of the rounding step (half up), or up to the next one."""
    step = cents(terms.round_to)
    if step <= CENT:
        return price
    rule = ROUND_CEILING if terms.rounding == "up" else ROUND_HALF_UP
    return ((price / step).quantize(Decimal(1), rounding=rule) * step).quantize(CENT)


def payments_of(
    amount: Decimal, steps: Sequence[PaymentStep], received: Sequence[Received] = ()
) -> tuple[Payment, ...]:
    """An amount in payment steps, each rounded to the cent; the last takes the rest, so that they add up.

    received   payments already made. A paid step is settled at the amount paid, even if the total has changed since.
               The rest is divided over the open steps in proportion to their shares. A payment that names no step
               settles the first open one.

    If every step is settled, the difference is a step of its own: a balance, or a refund if it is negative.
    """
    if not steps:
        return ()
    settled: dict[str, Decimal] = {}
    for payment in received:
        open_names = [step.name for step in steps if step.name not in settled]
        name = payment.step if payment.step is not None else open_names[0] if open_names else steps[-1].name
        settled[name] = settled.get(name, ZERO) + cents(payment.amount)
    open_steps = [step for step in steps if step.name not in settled]
    whole = total(exact(step.share) for step in open_steps) if settled else Decimal(1)
    open_amount = left = amount - total(settled.values())
    due = {}
    for i, step in enumerate(open_steps):
        if i == len(open_steps) - 1:
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
    """An amount divided over marks in proportion to `weights`, to the cent, adding up exactly.

    Shares are rounded down, and the remaining cents go one each to the shares with the largest remainders. Ties go by
    mark, so that the order of the pieces does not matter. If all weights are zero the shares are equal.
    """
    if not weights:
        return {}
    whole = sum(sorted(weights.values()))
    if whole <= 0.0:
        return allocate(amount, dict.fromkeys(weights, 1.0))
    count = int(amount / CENT)
    exact_cents = count * (np.fromiter(weights.values(), np.float64, len(weights)) / whole)
    shares = np.trunc(exact_cents)
    left = count - int(shares.sum())
    if left:
        step = 1 if left > 0 else -1
        shares[_largest(step * (exact_cents - shares), min(abs(left), len(weights)), list(weights))] += step
    return dict(zip(weights, map(CENT.__mul__, shares.astype(np.int64).tolist()), strict=True))


def _largest(values: Floats, count: int, marks: Sequence[str]) -> list[int]:
    """Indices of the `count` largest values; of equal values the first by mark."""
    least = np.partition(values, -count)[-count]
    larger = np.flatnonzero(values > least).tolist()
    equal = sorted(np.flatnonzero(values == least).tolist(), key=marks.__getitem__)
    return [*larger, *equal[: count - len(larger)]]


def exact(number: float) -> Decimal:
    """A number as a Decimal of its shortest decimal form, as it was written."""
    return Decimal(repr(float(number)))


STEP = Decimal(10)  # a ballpark price is given in whole tens


@frozen
class Range:
    """A price range before tax; never below the minimum charge.

    used     price with material charged as used
    bought   price with every pack bought for the job charged to it; outside the range if packs are large
    """

    low: Decimal
    used: Decimal
    bought: Decimal
    high: Decimal


def ballpark_range(used: Decimal, bought: Decimal, below: float, above: float, minimum: float) -> Range:
    """Range of a ballpark price, rounded outward to whole tens.

    below, above   fractions of the price with material charged as used
    minimum        shop's minimum price for a job
    """
    floor = exact(minimum)
    low = _tens(used * (1 - exact(below)), ROUND_FLOOR)
    high = _tens(used * (1 + exact(above)), ROUND_CEILING)
    return Range(max(floor, low), used, bought, max(floor, high))


def _tens(amount: Decimal, rule: str) -> Decimal:
    return (amount / STEP).quantize(Decimal(1), rounding=rule) * STEP
