"""The money and the days of the estimate document (contract): amounts to the cent, and how they came about."""

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from estimator.job import Job, PriceTerms
from estimator.pricing.calendar import Calendar
from estimator.pricing.compare import Standing
from estimator.pricing.labour import LabourLine
from estimator.pricing.quote import Allowance, lines_of
from estimator.pricing.stage import JobPrice, MarkPrice
from estimator.pricing.versions import Versions

Document = dict[str, Any]


def cost_document(priced: JobPrice, terms: PriceTerms) -> Document:
    """One name, one amount: the kinds of direct cost add up to `direct`; with overhead, margin, options, minimum charge
    and rounding to `price`; with tax to `total`. `lines` add up to the total and, by kind, to the amount of that name;
    `labour_lines` to `labour`, `allowance_lines` to `allowances`, `pieces` to the direct cost and the price.
    """
    cost, direct = priced.cost, priced.cost.direct
    return {
        **{kind: money(amount) for kind, amount in direct.kinds.items()},
        "direct": money(direct.total),
        "overhead": money(cost.overhead),
        "margin": money(cost.margin),
        "options": money(cost.options),
        "minimum_charge": money(cost.minimum_charge),
        "rounding": money(cost.rounding),
        "price": money(cost.price),
        "tax": money(cost.tax),
        "total": money(cost.total),
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
        "allowance_lines": [_allowance(line) for line in direct.allowance_lines],
        "machine_days": priced.machine_days,
        "trips": priced.trips,
        "pieces": [_mark(each) for each in priced.marks],
        "unpriced": list(cost.unpriced),
    }


def quote_document(job: Job, priced: JobPrice, versions: Versions, calendar: Calendar) -> Document:
    """What is agreed with the client: status, validity, sign-offs, payments, and what stands beside the job."""
    return {
        "status": job.status,
        "date": job.date,
        "valid_until": valid_until(job),
        "sign_offs": dict(job.sign_offs),
        "payments": [
            {
                "step": each.step,
                "share": each.share,
                "due": each.due,
                "amount": money(each.amount),
                "received": None if each.received is None else money(each.received),
            }
            for each in priced.cost.payments
        ],
        "received": money(priced.cost.received),
        "balance_due": money(priced.cost.balance_due),
        "alternatives": [
            {"name": each.name, "note": each.note, **standing_document(each.standing)} for each in versions.alternatives
        ],
        "options": [
            {
                "name": each.name,
                "note": each.note,
                "taken": each.taken,
                "price": None if each.price is None else money(each.price),
            }
            for each in versions.options
        ],
        "changes": [
            {
                "number": each.number,
                "reason": each.reason,
                "date": each.date,
                "signed": each.signed,
                "price": money(each.price),
                "total": money(each.total),
                "days": each.days,
            }
            for each in versions.changes
        ],
        "lead_days": calendar.lead_days,  # working days from approval to the day it ships
        "ships": calendar.date_of(calendar.ship_day) if job.status == "released" else None,
    }


def valid_until(job: Job) -> str | None:
    """The last day on which the quote stands; None where the job has no date, or the calendar ends before."""
    if job.date is None or job.price.valid_s is None:
        return None
    try:
        return (date.fromisoformat(job.date) + timedelta(seconds=job.price.valid_s)).isoformat()
    except OverflowError:
        return None


def standing_document(standing: Standing) -> Document:
    """The figures by which a job is compared with others."""
    return {
        "price": money(standing.price),
        "total": money(standing.total),
        "costs": {kind: money(amount) for kind, amount in standing.kinds.items()},
        "hours": standing.hours,
        "pieces": standing.pieces,
        "installed_kg": standing.installed_kg,
        "lift_kg": standing.lift_kg,
        "crew": standing.crew,
        "batches": standing.batches,
        "pours": standing.pours,
        "days": standing.days,
        "batch_m3": dict(standing.batch_m3),
        "required_kg": dict(standing.required_kg),
    }


def calendar_document(calendar: Calendar) -> Document:
    """Days count from 0, the start; dates stand where the job has one."""
    return {
        "start": None if calendar.start is None else calendar.start.isoformat(),
        "ship_day": calendar.ship_day,
        "last_day": calendar.last_day,
        "lead_days": calendar.lead_days,
        "needed": [
            {"material": name, "day": day, "date": calendar.date_of(day)} for name, day in calendar.needed.items()
        ],
        "attended": [
            {"pour": pour, "day": day, "date": calendar.date_of(day)}
            for pour, days in calendar.attended.items()
            for day in days
        ],
        "steps": [
            {
                "step": each.name,
                "pour": each.pour,
                "first_day": each.first_day,
                "last_day": each.last_day,
                "until_day": each.until_day,
                "first_date": calendar.date_of(each.first_day),
                "last_date": calendar.date_of(each.last_day),
            }
            for each in calendar.steps
        ],
        "weeks": [
            {
                "week": each.number,
                "first_day": each.first_day,
                "first_date": calendar.date_of(each.first_day),
                "forms": each.forms,
                "floor_m2": each.floor_m2,
            }
            for each in calendar.weeks
        ],
    }


def money(amount: Decimal) -> float:
    """An amount as the document writes it: a number of two decimals at most."""
    return float(amount)


def _labour(line: LabourLine) -> Document:
    return {
        "name": line.activity,
        "figure": f"labour.{line.figure}",
        "basis": line.basis,
        "quantity": line.quantity,
        "unit": line.unit,
        "time_s": line.time_s,
        "persons": line.persons,
        "pieces": line.pieces,
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
