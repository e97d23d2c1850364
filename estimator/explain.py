"""Workings of every figure of an estimate, computed from the results of all stages on request."""

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from decimal import Decimal
from difflib import get_close_matches
from math import floor, isclose

from estimator.constants import HOUR_S
from estimator.curing.pieces import curing_workings
from estimator.errors import Fault, InputError
from estimator.estimate import Estimate, PieceEstimate
from estimator.handling import delivery_workings, handling_workings
from estimator.job import Job, PriceTerms
from estimator.mix import MixDesign
from estimator.mix.table import mix_workings
from estimator.money import round2
from estimator.names import NEAR, folded, in_document_spelling
from estimator.packaging.consumables import ConsumableOrder, UsedUp
from estimator.packaging.materials import MaterialOrder, list_price
from estimator.packaging.price import Line
from estimator.packaging.stage import FormPlan, Supply
from estimator.pricing.calendar import Calendar
from estimator.pricing.edges import edge_workings
from estimator.pricing.labor import Labor
from estimator.pricing.quote import Cost
from estimator.pricing.stage import JobPrice
from estimator.takeoff import takeoff_workings
from estimator.weight import weight_workings
from estimator.words import words_for
from estimator.workings import Working, figure, money
from geometry.message import message

PACKS = message("source-packs")
LINES = message("source-sum")


def supply_workings(
    supply: Supply, mixes: Mapping[str, MixDesign], batch_m3: Mapping[str, float], currency: str
) -> Iterator[Working]:
    """Yield the workings of needs, packs, prices, pallets, freight, consumables and forms, in order of dependence."""
    for line in supply.materials.lines:
        yield from _material(line, mixes, batch_m3, currency)
    yield from _delivery(supply, currency)
    for used in supply.consumables:
        yield _required(used)
        yield from _order(f"consumables.{used.material}", used.order, currency)
    yield _sum("cost.consumables", _priced((used.material, used.order.cost) for used in supply.consumables), currency)
    yield from _forms(supply.forms, currency)
    forms = _priced((order.name, order.cost) for order in supply.forms.materials)
    forms["hardware"] = float(supply.forms.hardware)
    if supply.samples is not None and supply.samples.concrete_cost is not None:
        forms["samples"] = float(supply.samples.concrete_cost)
    yield _sum("forms.cost", forms, currency)


def _material(
    line: MaterialOrder, mixes: Mapping[str, MixDesign], batch_m3: Mapping[str, float], currency: str
) -> Iterator[Working]:
    """Yield the workings of the need, packs, remainder and cost of one material."""
    at = f"materials.{line.material}"
    terms: list[str] = []
    values: dict[str, float] = {}
    for i, (mix, volume_m3) in enumerate(batch_m3.items(), start=1):
        per_m3 = mixes[mix].recipe_kg_m3.get(line.material)
        if per_m3 is not None:
            terms.append(f"recipe_{i}_kg_m3 · batch_{i}_m3")
            values |= {f"recipe_{i}_kg_m3": per_m3, f"batch_{i}_m3": volume_m3}
    source = message("source-required")
    yield figure(f"{at}.required_kg", " + ".join(terms), values, "kg", source)
    lines = line.lines
    if lines:
        yield _held(f"{at}.bought_kg", lines, "kg")
    yield figure(
        f"{at}.left_over_kg",
        "on_hand_kg + bought_kg − required_kg",
        {"on_hand_kg": line.on_hand_kg, "bought_kg": line.bought_kg, "required_kg": line.required_kg},
        "kg",
        PACKS,
    )
    yield from _prices(at, lines, currency)
    if line.purchase_cost is not None and lines:
        yield _sum(f"{at}.purchase_cost", _priced((entry.pack.name, entry.price) for entry in lines), currency)
    price = line.charge.unit_price if line.charge is not None else None
    if line.cost is not None and price is not None:
        yield _charge(f"{at}.cost", line.required_kg, price, float(line.cost), line.purchase_cost, currency)


def _charge(
    path: str, required: float, unit_value: float, cost: float, paid: float | Decimal | None, currency: str
) -> Working:
    """Working of a charge: the amount used at list price, or whole packs if they cost less or the job keeps them."""
    used = float(round2(required * unit_value))
    if abs(used - cost) < 0.005:
        return money(
            path,
            "round2(required · unit_price)",
            {"required": required, "unit_price": unit_value},
            currency,
            message("source-charge-used"),
        )
    name = "packs_bought" if paid is not None and abs(float(paid) - cost) < 0.005 else "whole_packs_alone"
    return money(path, name, {name: cost}, currency, message("source-charge-packs"))


def _prices(at: str, lines: Iterable[Line], currency: str) -> Iterator[Working]:
    """Yield the price of each line of packs: count times price, one term per price break."""
    for line in lines:
        if line.price is None:
            continue
        values: dict[str, float] = {}
        loose: list[str] = []
        pallets: list[str] = []
        for i, step in enumerate(line.steps, start=1):
            values |= {f"count_{i}": step.count, f"each_{i}": step.each}
            (pallets if step.of == "full pallet" else loose).append(f"count_{i} · each_{i}")
        formula = " + ".join(f"round2({' + '.join(terms)})" for terms in (pallets, loose) if terms)
        source = message("source-list-price", pack=line.pack.name, rule=line.pack.breaks_rule)
        yield money(f"{at}.packs.{line.pack.name}.price", formula, values, currency, source)


def _held(path: str, lines: Sequence[Line], unit: str) -> Working:
    values: dict[str, float] = {}
    for i, line in enumerate(lines, start=1):
        values |= {f"count_{i}": line.count, f"holds_{i}": line.amount / line.count}
    formula = " + ".join(f"count_{i} · holds_{i}" for i in range(1, len(lines) + 1))
    return figure(path, formula, values, unit, PACKS)


def _delivery(supply: Supply, currency: str) -> Iterator[Working]:
    """Yield the workings of the pallets, their weight and the cost of delivering them."""
    deliveries = supply.materials.deliveries
    stacked = [line for line in _lines(supply) if line.pack.per_pallet]
    mixed = sum(entry.pallets for entry in deliveries) != sum(-(-x.count // (x.pack.per_pallet or 1)) for x in stacked)
    if stacked and not mixed:
        values: dict[str, float] = {}
        for i, line in enumerate(stacked, start=1):
            values |= {f"count_{i}": line.count, f"on_pallet_{i}": float(line.pack.per_pallet or 1)}
        formula = " + ".join(f"ceil(count_{i} / on_pallet_{i})" for i in range(1, len(stacked) + 1))
        yield figure("pallets.count", formula, values, "", message("source-pallets-own"))
    goods_kg = sum(line.count * (line.pack.mass_kg or 0.0) for line in _lines(supply))
    count = sum(entry.pallets for entry in deliveries)
    gross_kg = sum(entry.gross_kg for entry in deliveries)
    yield figure(
        "pallets.gross_kg",
        "goods_kg + count · pallet_kg",
        {"goods_kg": goods_kg, "count": count, "pallet_kg": (gross_kg - goods_kg) / count if count else 0.0},
        "kg",
        message("source-gross"),
    )
    charges = [charge for entry in deliveries for charge in entry.charges]
    values = {}
    for i, charge in enumerate(charges, start=1):
        values |= {f"number_{i}": charge.number, f"each_{i}": charge.each}
    formula = " + ".join(f"round2(number_{i} · each_{i})" for i in range(1, len(charges) + 1))
    tariffs = [charge.text for charge in charges]
    source = message("source-tariffs", tariffs=tariffs) if tariffs else message("source-no-freight")
    small = {f"small_order_{i}": entry.small_order for i, entry in enumerate(deliveries, start=1) if entry.small_order}
    formula = " + ".join([*([formula] if formula else []), *small])
    yield money("supply.freight", formula or "0", values | small, currency, source)
    if supply.materials.goods is not None and supply.materials.total is not None:
        bought = [(entry.material, entry.purchase_cost) for entry in supply.materials.lines]
        yield _sum("supply.goods", {_name(n): float(cost) for n, cost in bought if cost is not None}, currency)
        parts = {"goods": float(supply.materials.goods), "freight": float(supply.materials.paid)}
        yield _sum("supply.total", parts, currency)


def _lines(supply: Supply) -> list[Line]:
    """Lines of all packs that are bought."""
    return [line for item in supply.bought for line in item.lines]


def _required(used: UsedUp) -> Working:
    values: dict[str, float] = {}
    terms = []
    for i, part in enumerate(used.parts, start=1):
        figures = {
            "extent": part.extent,
            "uses": float(part.uses),
            "at_once": part.at_once,
            "per_unit": part.per_unit,
            "coats": float(part.coats),
            "waste": part.waste,
        }
        values |= {f"{name}_{i}": value for name, value in figures.items()}
        terms.append(f"max(extent_{i} / uses_{i}, at_once_{i}) · per_unit_{i} · coats_{i} · (1 + waste_{i})")
    formula = " + ".join(terms)
    if used.least:
        formula, values = f"max({formula}, least)", values | {"least": used.least}
    bases = [message(f"by-{part.basis}") for part in used.parts]
    source = message("source-rate", bases=list(dict.fromkeys(bases)), sheets="yes" if used.least else "no")
    return figure(f"consumables.{used.material}.required", formula, values, used.order.measure, source)


def _order(at: str, order: ConsumableOrder, currency: str) -> Iterator[Working]:
    if order.lines:
        yield _held(f"{at}.bought", order.lines, order.measure)
    yield from _prices(at, order.lines, currency)
    if order.purchase_cost is not None:
        yield _sum(f"{at}.purchase_cost", _priced((line.pack.name, line.price) for line in order.lines), currency)
    unit_value = list_price(order.required, order.packs, order.sizes) if order.packs else None
    if order.cost is not None and unit_value is not None:
        yield _charge(f"{at}.cost", order.required, unit_value, order.cost, order.purchase_cost, currency)


def _forms(plan: FormPlan, currency: str) -> Iterator[Working]:
    for mark in plan.marks:
        at = f"forms.marks.{mark.mark}"
        share, more = divmod(mark.set.casts, mark.set.forms)
        yield figure(
            f"{at}.built",
            "more · ceil((share + 1) / uses) + (forms − more) · ceil(share / uses)",
            {"more": more, "share": share, "uses": mark.uses, "forms": mark.set.forms},
            "",
            message("source-forms-built"),
        )
        yield money(
            f"{at}.hardware",
            "round2(built · each)",
            {"built": mark.set.built, "each": float(mark.hardware) / mark.set.built},
            currency,
            message("source-form-hardware"),
        )
    for order in plan.materials:
        yield from _order(f"forms.materials.{order.name}", order, currency)


def _sum(path: str, parts: Mapping[str, float] | Mapping[str, Decimal], currency: str) -> Working:
    values = {name: float(amount) for name, amount in parts.items()}
    return money(path, " + ".join(values) or "0", values, currency, LINES)


def _priced(parts: Iterable[tuple[str, float | None]]) -> dict[str, float]:
    return {_name(name): price for name, price in parts if price is not None}


def _name(text: str) -> str:
    """The text as a valid variable name of a formula."""
    plain = re.sub(r"[^A-Za-z0-9]+", "_", text).strip("_")
    return f"n_{plain}" if not plain or plain[0].isdigit() else plain


RATES = message("source-rates")


def price_workings(priced: JobPrice, job: Job) -> tuple[Working, ...]:
    """Workings of the labor lines, then of the steps from direct cost to the total."""
    return (*_labour(priced.labour, job.currency), *_price(priced, job))


def _labour(labour: Labor, currency: str) -> Iterator[Working]:
    for line in labour.lines:
        name = f"cost.labour_lines.{line.activity}"
        yield figure(
            f"{name}.hours",
            "round2(quantity · hours_each · persons)",
            {"quantity": line.quantity, "hours_each": line.time_s / HOUR_S, "persons": line.persons},
            "h",
            message("source-labor", by=message(f"by-{line.basis_id}")),
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
            message("source-allowance", marks=", ".join(allowance_line.marks)),
        )
    allowances = {_name(line.name): line.amount for line in direct.allowance_lines}
    yield _sum("cost.allowances", allowances, currency)
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
        message("source-terms-direct"),
    )
    yield from _price_and_total(cost, terms, currency)


def _price_and_total(cost: Cost, terms: PriceTerms, currency: str) -> Iterator[Working]:
    """Yield the workings of the steps from direct cost and overhead to the total."""
    direct = cost.direct
    full_cost = {"direct": direct.total, "overhead": cost.overhead}
    values = {name: float(amount) for name, amount in full_cost.items()}
    if terms.markup is not None:
        formula, source = "round2((direct + overhead) · markup)", message("source-terms-markup")
        values["markup"] = terms.markup
    else:
        formula = "round2((direct + overhead) / (1 − margin_share)) − (direct + overhead)"
        source = message("source-terms-margin")
        values["margin_share"] = terms.margin or 0.0
    yield money("cost.margin", formula, values, currency, source)
    if cost.minimum_charge:
        yield money(
            "cost.minimum_charge",
            "max(0, minimum − calculated − options)",
            {"minimum": terms.minimum, "calculated": float(cost.calculated), "options": float(cost.options)},
            currency,
            message("source-minimum"),
        )
    extras = {name: getattr(cost, name) for name in ("options", "minimum_charge", "rounding")}
    extras |= {"adjustment": cost.adjustment - cost.held, "held": cost.held}
    parts = {**full_cost, "margin": cost.margin, **{name: amount for name, amount in extras.items() if amount}}
    yield _sum("cost.price", parts, currency)
    if [line.kind for line in cost.tax_lines] == ["agreed"]:
        yield money("cost.tax", "agreed", {"agreed": float(cost.tax)}, currency, message("source-agreed"))
    elif not terms.tax_rates:
        yield money(
            "cost.tax",
            "round2(share · price)",
            {"share": terms.tax, "price": float(cost.price)},
            currency,
            message("source-terms-price"),
        )
    else:
        for line in cost.tax_lines:
            yield money(
                f"cost.tax_lines.{line.kind}.amount",
                "round2(share · base)",
                {"share": line.share, "base": float(line.base)},
                currency,
                message("source-terms-kinds"),
            )
        yield _sum("cost.tax", {line.kind: line.amount for line in cost.tax_lines}, currency)
    yield _sum("cost.total", {"price": cost.price, "tax": cost.tax}, currency)
    yield money(
        "quote.balance_due",
        "total − received",
        {"total": float(cost.total), "received": float(cost.received)},
        currency,
        message("source-payments"),
    )


LEADS = {
    ".crew": ".lifts.carry",
    ".turn_crew": ".lifts.turn",
    ".high_kg": ".stages",
    ".gear": ".loads",
}
"""Figures without a formula of their own, and the figures they follow from: the crew follows from the lifts."""


def workings_of(estimate: Estimate) -> tuple[Working, ...]:
    """Workings of all figures, in the order of the document."""
    job = estimate.job
    return (
        *_piece_workings(estimate),
        *supply_workings(estimate.supply, estimate.mixes, estimate.batching.batch_m3, job.currency),
        *(
            working
            for name, mix in estimate.mixes.items()
            for working in mix_workings(mix, job.mixes[name], job.materials)
        ),
        *delivery_workings(estimate.delivery),
        *price_workings(estimate.pricing, job),
        *_quantities(estimate),
        *_days(estimate.calendar),
    )


def _piece_workings(estimate: Estimate) -> Iterator[Working]:
    direct = {part.mark: float(sum(part.direct.values())) for part in estimate.pricing.marks}
    all_direct = sum(sorted(direct.values()))
    for piece in estimate.pieces:
        mark = piece.taken.piece.mark
        yield from takeoff_workings(piece.taken)
        yield from weight_workings(mark, piece.weight)
        yield from handling_workings(mark, piece.handling)
        yield from curing_workings(mark, piece.curing)
        yield from _piece_price(piece, direct[mark], all_direct, estimate)
        yield from edge_workings(mark, piece.edges, estimate.job.currency)


def _piece_price(piece: PieceEstimate, direct: float, all_direct: float, estimate: Estimate) -> Iterator[Working]:
    """Yield the price of all pieces of a mark, and their price per square meter."""
    mark, price = piece.taken.piece.mark, float(estimate.cost.price)
    agreed = estimate.job.price.agreed
    if agreed is not None and mark in agreed.pieces:
        values = {"agreed": float(piece.price)}
        yield money(f"pieces.{mark}.price", "agreed", values, estimate.job.currency, message("source-agreed"))
    elif all_direct > 0.0:
        odd_cents = round(float(piece.price) * 100.0) - floor(round(price * 100.0) * (direct / all_direct))
        yield money(
            f"pieces.{mark}.price",
            "floor(price · 100 · (direct / all_direct)) / 100 + odd_cents / 100",
            {"price": price, "direct": direct, "all_direct": all_direct, "odd_cents": float(odd_cents)},
            estimate.job.currency,
            message("source-price-shared"),
        )
    yield figure(
        f"pieces.{mark}.price_per_area",
        "price / pieces / plan_area_m2",
        {
            "price": float(piece.price),
            "pieces": float(piece.taken.piece.quantity),
            "plan_area_m2": piece.taken.plan.gross_m2,
        },
        f"{estimate.job.currency}/m²",
        message("source-price-area"),
    )


def _quantities(estimate: Estimate) -> Iterator[Working]:
    """Yield the quantity of each activity, summed over the marks."""
    for line in estimate.pricing.labour.lines:
        if not isclose(sum(line.by_mark.values()), line.quantity, rel_tol=1e-9):
            continue  # a visit or a day of the whole job, not a sum over its pieces
        counts = Counter(line.by_mark.values())
        values: dict[str, float] = {}
        for i, (quantity, marks) in enumerate(counts.items(), start=1):
            values |= {f"marks_{i}": float(marks), f"quantity_{i}": quantity}
        yield figure(
            f"cost.labour_lines.{line.activity}.quantity",
            " + ".join(f"marks_{i} · quantity_{i}" for i in range(1, len(counts) + 1)),
            values,
            line.unit,
            message("source-quantity", by=message(f"by-{line.basis_id}")),
        )


def _days(calendar: Calendar) -> Iterator[Working]:
    """Yield the days promised to the customer, counted from the approval on day 0."""
    before = max((step for step in calendar.steps if step.name not in ("ship", "install")), key=lambda s: s.last_day)
    ship, last = calendar.ship_day, calendar.last_day
    yield figure(
        "calendar.ship_day",
        "last_day_before + days_to_next_workday",
        {"last_day_before": before.last_day, "days_to_next_workday": ship - before.last_day},
        "d",
        message("source-ship-day", step=before.label, pour=before.pour or "none"),
    )
    for path in ("calendar.lead_days", "quote.lead_days"):
        yield figure(
            path,
            "ship_day − days_off",
            {"ship_day": ship, "days_off": ship - calendar.lead_days},
            "d",
            message("source-lead-days"),
        )
    yield figure(
        "calendar.last_day",
        "max(ship_day, last_day_on_site)",
        {"ship_day": ship, "last_day_on_site": last},
        "d",
        message("source-last-day"),
    )


def workings_of_figure(estimate: Estimate, figure: str) -> list[Working]:
    """Workings of a figure by its dotted path; of all figures below it if the path is a branch.

    American and British spelling both work: `center_of_gravity_m`, `cost.labor`.
    Raises InputError for a figure without a working; the message suggests the nearest path.
    """
    wanted = _compared(figure)
    workings = workings_of(estimate)
    named = [(_compared(working.figure), working) for working in workings]
    for path in (wanted, *(wanted.removesuffix(end) + leads for end, leads in LEADS.items() if wanted.endswith(end))):
        exact = [working for name, working in named if name == path]
        matches = exact or [working for name, working in named if name.startswith(f"{path}.")]
        if matches:
            return matches
    near = _nearest_figure(workings, figure)
    problem = message("figure-unknown-near", near=near) if near else message("figure-unknown")
    raise InputError([Fault(estimate.job.file, figure, problem, words=words_for(estimate.job))])


def _compared(figure: str) -> str:
    """Path of a figure in normal form for comparison: case, spacing and spelling are made uniform."""
    return in_document_spelling(folded(figure))


def _nearest_figure(workings: Sequence[Working], figure: str) -> str | None:
    """The figure with the most similar path, else with the most similar last component; None if none is similar."""
    names = list(dict.fromkeys(working.figure for working in workings))
    near = get_close_matches(figure.strip(), names, n=1, cutoff=NEAR)
    if near:
        return near[0]
    tails = {name.rsplit(".", 1)[-1]: name for name in reversed(names)}
    near = get_close_matches(figure.strip().rsplit(".", 1)[-1], list(tails), n=1, cutoff=NEAR)
    return tails[near[0]] if near else None
