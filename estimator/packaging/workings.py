"""How every figure of the order came about, so that it can be followed with a pocket calculator from the sheet."""

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from decimal import Decimal

from estimator.mix import MadeMix
from estimator.money import round2
from estimator.packaging.consumables import ConsumableOrder, UsedUp
from estimator.packaging.freight import Pallets
from estimator.packaging.materials import MaterialOrder, list_price
from estimator.packaging.order import Line
from estimator.packaging.stage import FormPlan, Supply
from estimator.workings import Working, figure, money

PACKS = "whole packs, the cheapest that cover the need"
LINES = "sum of rounded lines"


def supply_workings(
    supply: Supply, mixes: Mapping[str, MadeMix], batch_m3: Mapping[str, float], currency: str
) -> Iterator[Working]:
    """Needs, packs, prices, pallets, freight, consumables and forms, in the order in which they follow from another."""
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
    line: MaterialOrder, mixes: Mapping[str, MadeMix], batch_m3: Mapping[str, float], currency: str
) -> Iterator[Working]:
    """Need, packs, rest and cost of one material."""
    at = f"materials.{line.material}"
    terms: list[str] = []
    values: dict[str, float] = {}
    for i, (mix, volume_m3) in enumerate(batch_m3.items(), start=1):
        per_m3 = mixes[mix].recipe_kg_m3.get(line.material)
        if per_m3 is not None:
            terms.append(f"recipe_{i}_kg_m3 · batch_{i}_m3")
            values |= {f"recipe_{i}_kg_m3": per_m3, f"batch_{i}_m3": volume_m3}
    told = "recipe as weighed times what is batched of each mix, waste and loss in"
    yield figure(f"{at}.required_kg", " + ".join(terms), values, "kg", told)
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
        yield _sum(f"{at}.purchase_cost", _priced((each.pack.name, each.price) for each in lines), currency)
    price = line.charge.unit_price if line.charge is not None else None
    if line.cost is not None and price is not None:
        yield _charge(f"{at}.cost", line.required_kg, price, float(line.cost), line.purchase_cost, currency)


def _charge(
    path: str, required: float, unit_value: float, cost: float, paid: float | Decimal | None, currency: str
) -> Working:
    """What the job is charged: what it uses at list price, or whole packs where those cost less or are its own."""
    used = float(round2(required * unit_value))
    if abs(used - cost) < 0.005:
        return money(
            path,
            "round2(required · unit_price)",
            {"required": required, "unit_price": unit_value},
            currency,
            "what the job uses, at the lowest list price of a pack that holds no more; leftovers go to stock",
        )
    name = "packs_bought" if paid is not None and abs(float(paid) - cost) < 0.005 else "whole_packs_alone"
    told = "whole packs of this material alone, with nothing in stock: cheaper than by use, or ordered for this job"
    return money(path, name, {name: cost}, currency, told)


def _prices(at: str, lines: Iterable[Line], currency: str) -> Iterator[Working]:
    """The price of each line of packs: count times price, in as many steps as its breaks make."""
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
        told = f"list price of {line.pack.name}, breaks: {line.pack.breaks_rule}"
        yield money(f"{at}.packs.{line.pack.name}.price", formula, values, currency, told)


def _held(path: str, lines: Sequence[Line], unit: str) -> Working:
    values: dict[str, float] = {}
    for i, line in enumerate(lines, start=1):
        values |= {f"count_{i}": line.count, f"holds_{i}": line.amount / line.count}
    formula = " + ".join(f"count_{i} · holds_{i}" for i in range(1, len(lines) + 1))
    return figure(path, formula, values, unit, PACKS)


def _delivery(supply: Supply, currency: str) -> Iterator[Working]:
    """Pallets, what they weigh, and what bringing them costs."""
    brought = supply.materials.deliveries
    stands = [line for line in _lines(supply) if line.pack.per_pallet]
    mixed = sum(each.pallets for each in brought) != sum(-(-x.count // (x.pack.per_pallet or 1)) for x in stands)
    if stands and not mixed:
        values: dict[str, float] = {}
        for i, line in enumerate(stands, start=1):
            values |= {f"count_{i}": line.count, f"on_pallet_{i}": float(line.pack.per_pallet or 1)}
        formula = " + ".join(f"ceil(count_{i} / on_pallet_{i})" for i in range(1, len(stands) + 1))
        told = "each kind of pack on pallets of its own"
        yield figure("pallets.count", formula, values, "", told)
    goods_kg = sum(line.count * (line.pack.mass_kg or 0.0) for line in _lines(supply))
    count = sum(each.pallets for each in brought)
    gross_kg = sum(each.gross_kg for each in brought)
    yield figure(
        "pallets.gross_kg",
        "goods_kg + count · pallet_kg",
        {"goods_kg": goods_kg, "count": count, "pallet_kg": (gross_kg - goods_kg) / count if count else 0.0},
        "kg",
        "packs bought and the pallets under them; packaging itself is not counted",
    )
    charges = [charge for each in brought for charge in each.charges]
    values = {}
    for i, charge in enumerate(charges, start=1):
        values |= {f"number_{i}": charge.number, f"each_{i}": charge.each}
    formula = " + ".join(f"round2(number_{i} · each_{i})" for i in range(1, len(charges) + 1))
    told = "tariffs: " + ", ".join(charge.text for charge in charges) if charges else "nobody charges for it"
    small = {f"small_order_{i}": each.small_order for i, each in enumerate(brought, start=1) if each.small_order}
    formula = " + ".join([*([formula] if formula else []), *small])
    yield money("supply.freight", formula or "0", values | small, currency, told)
    if supply.materials.goods is not None and supply.materials.total is not None:
        bought = [(each.material, each.purchase_cost) for each in supply.materials.lines]
        yield _sum("supply.goods", {_name(n): float(cost) for n, cost in bought if cost is not None}, currency)
        parts = {"goods": float(supply.materials.goods), "freight": float(supply.materials.paid)}
        yield _sum("supply.total", parts, currency)


def _lines(supply: Supply) -> list[Line]:
    """The packs that are brought; water runs from the tap."""
    used = [consumable.order for consumable in supply.consumables] + list(supply.forms.materials)
    brought = {name for delivery in supply.materials.deliveries for name in _names_of(delivery.standing)}
    named = [(each.material, line) for each in supply.materials.lines if each.order for line in each.order.lines]
    named += [(each.name, line) for each in used for line in each.lines]
    return [line for name, line in named if name in brought]


def _names_of(standing: Pallets) -> set[str]:
    loads = {name for load in standing.loads for name, _, _ in load.packs}
    return loads | {name for name, _, _ in standing.loose}


def _required(used: UsedUp) -> Working:
    values: dict[str, float] = {}
    terms = []
    for i, part in enumerate(used.parts, start=1):
        mine = {
            "extent": part.extent,
            "uses": float(part.uses),
            "at_once": part.at_once,
            "per_unit": part.per_unit,
            "coats": float(part.coats),
            "waste": part.waste,
        }
        values |= {f"{name}_{i}": value for name, value in mine.items()}
        terms.append(f"max(extent_{i} / uses_{i}, at_once_{i}) · per_unit_{i} · coats_{i} · (1 + waste_{i})")
    formula = " + ".join(terms)
    if used.least:
        formula, values = f"max({formula}, least)", values | {"least": used.least}
    told = f"by {', '.join(dict.fromkeys(part.basis for part in used.parts))}: the workshop's rate over the geometry"
    if used.least:
        told += "; never less than the sheets on which the cut list was laid"
    return figure(f"consumables.{used.material}.required", formula, values, used.order.measure, told)


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
            f"casts shared out evenly, a form of {mark.kind} renewed after its uses: common practice",
        )
        yield money(
            f"{at}.hardware",
            "round2(built · each)",
            {"built": mark.set.built, "each": float(mark.hardware) / mark.set.built},
            currency,
            "the workshop's figure for one form; the catalog's is an example",
        )
    for order in plan.materials:
        yield from _order(f"forms.materials.{order.name}", order, currency)


def _sum(path: str, parts: Mapping[str, float], currency: str) -> Working:
    return money(path, " + ".join(parts) or "0", parts, currency, LINES)


def _priced(parts: Iterable[tuple[str, float | None]]) -> dict[str, float]:
    return {_name(name): price for name, price in parts if price is not None}


def _name(text: str) -> str:
    """A name that a formula can hold."""
    plain = re.sub(r"[^A-Za-z0-9]+", "_", text).strip("_")
    return f"n_{plain}" if not plain or plain[0].isdigit() else plain
