"""How every amount of the price came about, so that it can be followed with a pocket calculator."""

import re
from collections.abc import Iterator, Mapping
from decimal import Decimal

from estimator.job import Job, PriceTerms
from estimator.pricing.labor import HOUR_S, Labour
from estimator.pricing.quote import Cost
from estimator.pricing.stage import JobPrice
from estimator.workings import Working, figure, money

RATES = "the workshop's rate; the catalog's are examples"


def price_workings(priced: JobPrice, job: Job) -> tuple[Working, ...]:
    """Labour line by line, then from direct cost to the total."""
    return (*_labour(priced.labour, job.currency), *_price(priced, job))


def _labour(labour: Labour, currency: str) -> Iterator[Working]:
    for line in labour.lines:
        name = f"cost.labour_lines.{line.activity}"
        yield figure(
            f"{name}.hours",
            "round2(quantity · hours_each · persons)",
            {"quantity": line.quantity, "hours_each": line.time_s / HOUR_S, "persons": line.persons},
            "h",
            f"{RATES}; by {line.basis}{f' in {line.unit}' if line.unit else ''}",
        )
        yield money(
            f"{name}.cost",
            "round2(hours · rate)",
            {"hours": float(line.hours), "rate": float(line.rate)},
            currency,
            RATES,
        )
    yield _sum("cost.labour", {_name(line.activity): line.cost for line in labour.lines}, currency)


def _price(priced: JobPrice, job: Job) -> Iterator[Working]:
    cost = priced.cost
    direct, terms, currency = cost.direct, job.price, job.currency
    for allowance_line in direct.allowance_lines:
        yield money(
            f"cost.allowance_lines.{allowance_line.name}.amount",
            "round2(share · base)",
            {"share": allowance_line.share, "base": float(allowance_line.base)},
            currency,
            f"the workshop's allowance, on the direct cost of {', '.join(allowance_line.marks)}",
        )
    again = {_name(line.name): line.amount for line in direct.allowance_lines}
    yield _sum("cost.allowances", again, currency)
    yield _sum("cost.freight", {"supply_freight": direct.freight}, currency)
    shop = job.workshop
    for kind, number, rate in (
        ("delivery", {"trips": priced.trips}, shop.freight.delivery),
        ("gear", {"days": priced.machine_days}, shop.equipment.machine_day),
    ):
        formula, values = f"round2({next(iter(number))} · rate)", {**number, "rate": rate}
        yield money(f"cost.{kind}", formula, values, currency, RATES)
    yield _sum("cost.direct", direct.kinds, currency)
    yield money(
        "cost.overhead",
        "round2(share · direct)",
        {"share": terms.overhead, "direct": float(direct.total)},
        currency,
        "terms of the job, of direct cost",
    )
    yield from _asked(cost, terms, currency)


def _asked(cost: Cost, terms: PriceTerms, currency: str) -> Iterator[Working]:
    """From direct cost and overhead to the total."""
    direct = cost.direct
    burdened = {"direct": direct.total, "overhead": cost.overhead}
    values = {name: float(amount) for name, amount in burdened.items()}
    if terms.markup is not None:
        formula, told = "round2((direct + overhead) · markup)", "terms of the job, a markup on cost"
        values["markup"] = terms.markup
    else:
        formula = "round2((direct + overhead) / (1 − margin_share)) − (direct + overhead)"
        told = "terms of the job, a margin on the price"
        values["margin_share"] = terms.margin or 0.0
    yield money("cost.margin", formula, values, currency, told)
    if cost.minimum_charge:
        yield money(
            "cost.minimum_charge",
            "max(0, minimum − calculated − options)",
            {"minimum": terms.minimum, "calculated": float(cost.calculated), "options": float(cost.options)},
            currency,
            "the least that the workshop takes a job for",
        )
    late = {"options": cost.options, "minimum_charge": cost.minimum_charge, "rounding": cost.rounding}
    asked = {**burdened, "margin": cost.margin, **{name: amount for name, amount in late.items() if amount}}
    yield _sum("cost.price", asked, currency)
    yield money(
        "cost.tax",
        "round2(share · price)",
        {"share": terms.tax, "price": float(cost.price)},
        currency,
        "terms of the job, on the price",
    )
    yield _sum("cost.total", {"price": cost.price, "tax": cost.tax}, currency)
    yield money(
        "quote.balance_due",
        "total − received",
        {"total": float(cost.total), "received": float(cost.received)},
        currency,
        "payments received, as the job lists them",
    )


def _sum(path: str, parts: Mapping[str, Decimal], currency: str) -> Working:
    values = {name: float(amount) for name, amount in parts.items()}
    return money(path, " + ".join(parts) or "0", values, currency, "sum of rounded lines")


def _name(text: str) -> str:
    return re.sub(r"\W+", "_", text).strip("_")
