"""The cost part of the estimate document (contract): amounts to the cent, and how they came about."""

from decimal import Decimal
from typing import Any

from estimator.job import PriceTerms
from estimator.money import total
from estimator.pricing.labour import LabourLine
from estimator.pricing.quote import Allowance, lines_of
from estimator.pricing.stage import JobPrice, MarkPrice

Document = dict[str, Any]


def cost_document(priced: JobPrice, terms: PriceTerms) -> Document:
    """The five kinds of direct cost add up to `direct`; with overhead and margin (and options, minimum charge and
    rounding) to `price`; with tax to `total`. `lines` add up to the total, `labour_lines` to `within.work`, `pieces`
    to the price.
    """
    cost, direct = priced.cost, priced.cost.direct
    return {
        "materials": money(direct.materials),
        "consumables": money(direct.consumables),
        "labour": money(direct.labour),
        "forms": money(direct.forms),
        "freight": money(direct.freight),
        "direct": money(direct.total),
        "overhead": money(cost.overhead),
        "margin": money(cost.margin),
        "options": money(cost.options),
        "minimum_charge": money(cost.minimum_charge),
        "rounding": money(cost.rounding),
        "price": money(cost.price),
        "tax": money(cost.tax),
        "total": money(cost.total),
        "within": {  # parts of the kinds above, not to be added again
            "work": money(direct.work),
            "size_allowance": money(total(each.amount for each in direct.size_allowance)),
            "remake": money(total(each.amount for each in direct.remake)),
            "supply": money(direct.supply),
            "delivery": money(direct.delivery),
            "equipment": money(direct.equipment),
        },
        "terms": {
            "overhead": terms.overhead,
            "margin": terms.margin,
            "markup": terms.markup,
            "tax": terms.tax,
            "minimum": terms.minimum,
            "round_to": terms.round_to,
            "rounding": terms.rounding,
        },
        "lines": [
            {"kind": each.kind, "text": each.text, "amount": money(each.amount)} for each in lines_of(cost, terms)
        ],
        "labour_hours": float(priced.labour.hours),
        "labour_lines": [_labour(each) for each in priced.labour.lines],
        "allowances": [_allowance(each) for each in direct.allowances],
        "machine_days": priced.machine_days,
        "trips": priced.trips,
        "payments": [
            {"step": each.step, "share": each.share, "due": each.due, "amount": money(each.amount)}
            for each in cost.payments
        ],
        "pieces": [_mark(each) for each in priced.marks],
        "unpriced": list(cost.unpriced),
    }


def money(amount: Decimal) -> float:
    """An amount as the document writes it: a number of two decimals at most."""
    return float(amount)


def _labour(line: LabourLine) -> Document:
    return {
        "name": line.activity,
        "basis": line.basis,
        "quantity": line.quantity,
        "unit": line.unit,
        "time_s": line.time_s,
        "persons": line.persons,
        "hours": float(line.hours),
        "rate": float(line.rate),
        "cost": money(line.cost),
    }


def _allowance(allowance: Allowance) -> Document:
    return {
        "name": allowance.name,
        "share": allowance.share,
        "base": money(allowance.base),
        "amount": money(allowance.amount),
        "pieces": list(allowance.marks),
    }


def _mark(mark: MarkPrice) -> Document:
    return {
        "mark": mark.mark,
        "direct": {kind: money(amount) for kind, amount in mark.direct.items()},
        "price": money(mark.price),
    }
