"""Pricing stage of a job: cost lines from the results of the earlier stages, the price, and the share of each mark."""

from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from itertools import repeat
from math import fsum

import numpy as np

from estimator.batching import Batching
from estimator.constants import HOUR_S, SQUARE_FOOT_M2
from estimator.errors import FaultError
from estimator.handling.plan import Handling
from estimator.job import Job, PriceKind
from estimator.money import ZERO, cents, round2, total
from estimator.names import same_name
from estimator.notices import Notice
from estimator.pricing.edges import PricedEdge, priced_edges
from estimator.pricing.labor import (
    Labor,
    LaborLine,
    PieceWork,
    PourWork,
    is_installed,
    is_templated,
    labor_of,
    risk_of,
    site_days,
    total_area_m2,
    work_of,
)
from estimator.pricing.quote import Allowance, Cost, DirectCost, allocate, exact, price_job
from estimator.takeoff import PieceTakeoff
from estimator.weight import Weight
from estimator.workshop import Labor as Rates
from estimator.workshop import Settings, value_of
from geometry.frozen import frozen
from geometry.message import few, message


@frozen
class Spent:
    """An amount of the job, and the weights that divide it over the marks."""

    amount: Decimal
    by_mark: Mapping[str, float]


@frozen
class Bought:
    """Costs from the packaging stage, bought or taken from the shelf."""

    materials: Spent
    consumables: Spent
    forms: Spent
    freight: Spent
    unpriced: tuple[str, ...]


@frozen
class MarkPrice:
    """Share of one mark, all its pieces, in the job. The shares of all marks add up to the job to the cent.

    direct      by kind of cost
    price       before tax
    calculated  share of the same price by cost; `price` differs from it where the client accepted another
    """

    mark: str
    direct: Mapping[str, Decimal]
    price: Decimal
    calculated: Decimal


@frozen
class JobPrice:
    """The priced job."""

    labour: Labor
    works: tuple[PieceWork, ...]
    machine_days: int
    trips: int
    cost: Cost
    marks: tuple[MarkPrice, ...]
    warnings: tuple[Notice, ...]

    def edges(
        self, takeoffs: Iterable[PieceTakeoff], rates: Rates, per_m3: Mapping[str, float | None]
    ) -> dict[str, tuple[PricedEdge, ...]]:
        """Worked edges with their prices by length, by mark."""
        direct = float(total(amount for mark in self.marks for amount in mark.direct.values()))
        markup = float(self.cost.price) / direct if direct else 1.0
        works = {work.mark: work for work in self.works}
        priced = ((t.piece.mark, priced_edges(t, works[t.piece.mark], rates, per_m3, markup)) for t in takeoffs)
        return {mark: edges for mark, edges in priced if edges}


def price_the_job(
    job: Job,
    parts: Sequence[tuple[PieceTakeoff, Weight, Handling]],
    batching: Batching,
    bought: Bought,
    trips: int,
) -> JobPrice:
    """Cost and price of the job, and the share of each mark. Raises FaultError for a margin of 1 or more.

    trips   number of truck trips that deliver the finished pieces
    """
    shop = job.workshop
    works = tuple(work_of(taken, handling, job) for taken, _, handling in parts)
    batches = sum(batch.count for batch in batching.batches)
    labour = labor_of(
        works,
        PourWork(sum(pour.days for pour in batching.pours), batches, job.samples.count if job.samples else 0),
        shop,
    )
    days, on_site, hired = _machine_days(parts, batching, shop)
    loads = {t.piece.mark: t.piece.quantity * weight.transport.high_kg for t, weight, _ in parts}
    kinds = {
        "materials": bought.materials,
        "consumables": bought.consumables,
        "labour": Spent(labour.cost, _labor_by_mark(labour, works)),
        "forms": bought.forms,
        "freight": bought.freight,
        "delivery": Spent(cents(exact(shop.freight.delivery) * trips), loads),
        "gear": Spent(cents(exact(shop.equipment.machine_day) * days), hired),
    }
    marks = [taken.piece.mark for taken, _, _ in parts]
    costs_by_mark = _borne(list(kinds.values()), marks)
    size, remake = _allowances(job, parts, costs_by_mark)
    amounts = {kind: spent.amount for kind, spent in kinds.items()}
    costs = DirectCost(**amounts, size_allowance=size, remake=remake)
    contingencies = [
        Spent(line.amount, {mark: costs_by_mark[mark] for mark in line.marks}) for line in costs.allowance_lines
    ]
    options = total(cents(exact(lump)) for lump in job.lumps.values())
    shares = _by_kind(costs, labour, cents(exact(shop.equipment.machine_day) * on_site))
    cost = price_job(costs, job.price, options=options, kinds=shares, unpriced=bought.unpriced)
    borne = _borne([*kinds.values(), *contingencies], marks)
    calculated = allocate(cost.price, borne)
    prices: Mapping[str, Decimal] = calculated
    if job.price.agreed is not None and job.price.agreed.pieces:
        prices = _accepted(job.price.agreed.pieces, marks, cost.price, options)
    return JobPrice(
        labour=labour,
        works=works,
        machine_days=days,
        trips=trips,
        cost=cost,
        marks=_shares(kinds, contingencies, prices, calculated),
        warnings=_warnings(labour, works, shop),
    )


def _shares(
    kinds: Mapping[str, Spent],
    contingencies: Iterable[Spent],
    prices: Mapping[str, Decimal],
    calculated: Mapping[str, Decimal],
) -> tuple[MarkPrice, ...]:
    """Share of each mark in every kind of cost, in the allowances, and in the price."""
    marks = list(prices)
    allowances = dict.fromkeys(marks, ZERO)
    for spent in contingencies:
        for mark, amount in allocate(spent.amount, spent.by_mark).items():
            allowances[mark] += amount
    weights = [dict(zip(marks, _weights(spent, marks), strict=True)) for spent in kinds.values()]
    costs = [allocate(spent.amount, of_marks) for spent, of_marks in zip(kinds.values(), weights, strict=True)]
    rows = zip(*(amounts.values() for amounts in (*costs, allowances)), strict=True)
    names = (*kinds, "allowances")
    return tuple(
        MarkPrice(mark, dict(zip(names, row, strict=True)), price, calculated[mark])
        for (mark, price), row in zip(prices.items(), rows, strict=True)
    )


def _by_kind(costs: DirectCost, labour: Labor, hired_on_site: Decimal) -> dict[PriceKind, Decimal]:
    """Direct cost by the kinds of line that may be taxed differently."""
    separate: dict[PriceKind, Decimal] = {
        "template": total(line.cost for line in labour.lines if line.step == "template"),
        "delivery": costs.delivery,
        "installation": total(line.cost for line in labour.lines if line.step == "site") + hired_on_site,
    }
    return {"pieces": costs.total - total(separate.values()), **separate}


def _borne(spendings: Sequence[Spent], marks: Sequence[str]) -> dict[str, float]:
    """Share of each mark in all amounts, equal shares if all weights are zero.

    Not rounded, so that equal pieces have equal shares, and two marks of one piece the same as one mark of two.
    """
    columns = []
    for spent in spendings:
        whole = fsum(spent.by_mark.values())
        weights = np.array(_weights(spent, marks))
        shares = weights / whole if whole > 0.0 else np.full(len(marks), 1.0 / len(marks))
        columns.append((float(spent.amount) * shares).tolist())
    return dict(zip(marks, map(fsum, zip(*columns, strict=True)), strict=True))


def _weights(spent: Spent | LaborLine, marks: Sequence[str]) -> list[float]:
    """Weight of each mark; 0 for a mark that has none."""
    if list(spent.by_mark) == marks:  # most weights are those of all marks, in order
        return list(spent.by_mark.values())
    return list(map(spent.by_mark.get, marks, repeat(0.0)))


def _labor_by_mark(labour: Labor, works: Sequence[PieceWork]) -> dict[str, float]:
    """Cost of the labor lines by mark, each line divided by its weights."""
    marks = [work.mark for work in works]
    columns = [[0.0] * len(marks)]
    for line in labour.lines:
        hourly = float(line.cost) / fsum(line.by_mark.values())
        columns.append((hourly * np.array(_weights(line, marks))).tolist())
    return dict(zip(marks, map(fsum, zip(*columns, strict=True)), strict=True))


def _machine_days(
    parts: Sequence[tuple[PieceTakeoff, Weight, Handling]], batching: Batching, shop: Settings
) -> tuple[int, int, dict[str, float]]:
    """Days of machine hire, those of them on site, and the weights that divide them over the marks.

    A machine is hired after each pour of a piece that no crew can flip, and to set pieces that no crew can carry; for a
    piece that the job hangs from gear, on both.
    """
    hung = {taken.piece.mark for taken, _, handling in parts if handling.lifting.planned}
    stripped = hung | {taken.piece.mark for taken, _, handling in parts if handling.turn.by_machine}
    by_machine = hung | {taken.piece.mark for taken, _, handling in parts if handling.site_crew is None}
    placed = {taken.piece.mark for taken, _, _ in parts if taken.piece.mark in by_machine and is_installed(taken.piece)}
    days = sum(pour.days for pour in batching.pours if any(cast.mark in stripped for cast in pour.casts))
    weights = {
        taken.piece.mark: float(taken.piece.quantity) * ((taken.piece.mark in stripped) + (taken.piece.mark in placed))
        for taken, _, _ in parts
    }
    heavy = sum(taken.piece.quantity for taken, _, _ in parts if taken.piece.mark in placed)
    on_site = site_days(heavy * shop.labor.install_heavy_s, shop)
    return days + on_site, on_site, weights


def _accepted(
    pieces: Mapping[str, float], marks: Sequence[str], price: Decimal, options: Decimal
) -> Mapping[str, Decimal]:
    """Price of each mark as the client accepted it; options beside the pieces are divided over them.

    Raises FaultError for amounts that are not those of the marks, or do not add up to the accepted price: to divide
    that by them would change what was accepted.
    """
    named = {same_name(name, marks) or name: cents(exact(amount)) for name, amount in pieces.items()}
    missing = [mark for mark in marks if mark not in named]
    unknown = [name for name, amount in named.items() if amount and name not in marks]
    if missing or unknown:
        listed = {"missing": few(missing, MOST_NAMED) if missing else "none", "unknown": few(unknown, MOST_NAMED)}
        raise FaultError("price.agreed.pieces", message("agreed-marks", **listed))
    own = {mark: named[mark] for mark in marks}
    whole = total(own.values())
    if whole not in (price, price - options):
        raise FaultError("price.agreed.pieces", message("agreed-sum", sum_price=float(whole), whole_price=float(price)))
    return own if whole == price else allocate(price, {mark: float(amount) for mark, amount in own.items()})


MOST_NAMED = 3


def _allowances(
    job: Job,
    parts: Sequence[tuple[PieceTakeoff, Weight, Handling]],
    borne: Mapping[str, float],
) -> tuple[tuple[Allowance, ...], tuple[Allowance, ...]]:
    """Allowances for sizes not templated yet, and for remakes by risk, on the direct cost of their marks."""
    terms = job.workshop.quote
    size = {"ballpark": terms.size_ballpark, "quoted": terms.size_quoted}.get(job.status, 0.0)
    waiting = [taken.piece.mark for taken, _, _ in parts if size > 0.0 and is_templated(taken.piece)]
    by_risk: dict[str, list[str]] = {}
    for taken, _, _ in parts:
        by_risk.setdefault(risk_of(taken, job), []).append(taken.piece.mark)

    def allowance(name: str, share: float, marks: Sequence[str]) -> Allowance:
        return Allowance(name, share, round2(fsum(borne[mark] for mark in marks)), tuple(sorted(marks)))

    return (
        (allowance(f"sizes not templated ({job.status})", size, waiting),) if waiting else (),
        tuple(
            allowance(f"remake, {risk}", share, by_risk[risk])
            for risk in sorted(by_risk)
            if (share := value_of(terms, f"remake_{risk.replace('-', '_')}")) > 0.0
        ),
    )


def _warnings(labour: Labor, works: Sequence[PieceWork], shop: Settings) -> tuple[Notice, ...]:
    """Warning if the hours per finished area are outside the shop's usual range."""
    area_m2 = total_area_m2(works)
    if area_m2 <= 0.0:
        return ()
    low, high = (
        time_s_m2 / HOUR_S * SQUARE_FOOT_M2
        for time_s_m2 in (shop.labor.whole_job_low_s_m2, shop.labor.whole_job_high_s_m2)
    )
    per_ft2 = float(labour.hours) / area_m2 * SQUARE_FOOT_M2
    if low <= per_ft2 <= high:
        return ()
    text = message(
        "warning-hours-unusual",
        rate_s_m2=float(labour.hours) * HOUR_S / area_m2,
        low_rate_s_m2=shop.labor.whole_job_low_s_m2,
        high_rate_s_m2=shop.labor.whole_job_high_s_m2,
        side="high" if per_ft2 > high else "low",
    )
    return (Notice("hours-unusual", text),)
