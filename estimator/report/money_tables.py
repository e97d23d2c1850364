"""The tables of money and days: cost, labour, payments, what stands beside the price, calendar."""

from estimator.estimate import Estimate
from estimator.pricing.labour import LabourLine
from estimator.pricing.quote import lines_of
from estimator.report.tables import Column, Sheet
from estimator.report.words import Words


def cost_sheet(estimate: Estimate, words: Words) -> Sheet:
    """From material to the price with tax."""
    cost = estimate.cost
    rows: list[tuple[str, str]] = []
    for line in lines_of(cost, estimate.job.price):
        if line.kind == "overhead":
            rows.append(("direct cost", words.money(cost.direct.total)))
        if line.kind == "tax":
            rows.append(("price before tax", words.money(cost.price)))
        rows.append((line.text, words.money(line.amount)))
    return Sheet(
        "Cost and price",
        (Column("", False), Column(words.currency)),
        tuple(rows),
        ("total", words.money(cost.total)),
    )


def labour_sheet(estimate: Estimate, words: Words) -> Sheet:
    """Hours by activity at their rate: hours times rate is the cost."""
    labour = estimate.pricing.labour
    rows = tuple(
        (
            line.activity,
            _of(line, words),
            words.time_each(line.time_s, line.unit),
            str(line.persons),
            f"{line.hours:.2f}",
            words.money(line.rate),
            words.money(line.cost),
        )
        for line in labour.lines
    )
    heads = ("Activity", "Of", "Each", "People", "Person-hours", "Rate", f"Cost ({words.currency})")
    return Sheet(
        "Labour",
        tuple(Column(head, head not in ("Activity", "Of")) for head in heads),
        rows,
        ("", "", "", "", f"{labour.hours:.2f}", "", words.money(labour.cost)),
    )


def _of(line: LabourLine, words: Words) -> str:
    """What a line is counted by: its pieces and the people who handle each together, then its area."""
    counted = words.counted(line.quantity, line.unit, line.basis)
    if line.pieces is None or line.persons == 1:
        return counted
    pieces = f"{line.pieces} {'piece' if line.pieces == 1 else 'pieces'}, {line.persons} people together"
    return f"{pieces}, {counted}" if line.unit else pieces


def quote_sheet(estimate: Estimate, words: Words) -> Sheet:
    """Options, alternatives and change orders: what each does to the price before tax."""
    price = estimate.cost.price
    rows = [
        (
            "option" + (", taken" if each.taken else ""),
            each.name,
            "in the price" if each.price is None else words.money(each.price),
        )
        for each in estimate.versions.options
    ]
    rows += [
        ("alternative", each.name, words.more(each.standing.price - price)) for each in estimate.versions.alternatives
    ]
    rows += [
        (
            f"change order {each.number}" + ("" if each.signed else ", not signed"),
            each.reason,
            f"{words.more(each.price)}, {each.days:+d} days",
        )
        for each in estimate.versions.changes
    ]
    return Sheet(
        "Beside the price",
        (Column("", False), Column("", False), Column(words.currency)),
        tuple(rows),
    )


def payment_sheet(estimate: Estimate, words: Words) -> Sheet:
    """The steps in which the total is paid."""
    rows = tuple(
        (
            each.step,
            each.due if each.received is None else "received",
            words.share(each.share),
            words.money(each.amount),
        )
        for each in estimate.cost.payments
    )
    if estimate.cost.received:
        rows += (
            ("received", "", "", words.money(estimate.cost.received)),
            ("balance due", "", "", words.money(estimate.cost.balance_due)),
        )
    return Sheet(
        "Payment",
        (Column("Step", False), Column("Due", False), Column("Share"), Column(words.currency)),
        rows,
        ("total", "", "", words.money(estimate.cost.total)),
    )


def calendar_sheet(estimate: Estimate) -> Sheet:
    """The soonest days of the job."""
    calendar = estimate.calendar

    def shown(day: int) -> str:
        return calendar.date_of(day) or f"day {day + 1}"

    rows = tuple(
        (
            each.name,
            each.pour or "",
            shown(each.first_day),
            shown(each.last_day),
            "" if each.until_day is None else shown(each.until_day),
        )
        for each in calendar.steps
    )
    return Sheet(
        "Calendar",
        (Column("Step", False), Column("Pour", False), Column("From"), Column("To"), Column("At the latest")),
        rows,
    )
