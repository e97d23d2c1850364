"""A whole job computed again from its text, in exact fractions and by the shortest way, as the design defines it.

Slow and plain on purpose, and without a line of the program. Figures of the work plan (labor, forms, consumables,
freight, delivery, hired gear, the number of batches) are taken from the document under test.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from fractions import Fraction
from typing import Any

from tests.second_engine.bodies import KINDS, Body, Bulk, at
from tests.second_engine.mixes import Concrete, concrete
from tests.second_engine.packs import charge, cheapest, list_price, pack_of
from tests.second_engine.quantities import cents, si

Table = dict[str, Any]
Figure = tuple[str, Any, Any]  # path in the document, value here, value there
ZERO = Fraction(0)
ONE = Fraction(1)


def figures(text: str, document: Table) -> Iterator[Figure]:
    """Every figure computed again, beside the document's. Raises TooMuchWaterError where no mix can be weighed."""
    job = tomllib.loads(text, parse_float=Fraction)
    used = dict.fromkeys(layer["mix"] for piece in job["piece"] for layer in layers_of(piece, job))
    mixes = {name: concrete(job["mixes"][name], job["materials"]) for name in used}
    cast = dict.fromkeys(mixes, ZERO)
    for piece, there in zip(job["piece"], document["pieces"], strict=True):
        yield from piece_figures(piece, there, job, mixes, cast)
    yield from mix_figures(job, document, mixes, cast)
    yield from material_figures(job, document, mixes, cast)
    yield from money_figures(job, document)


def layers_of(piece: Table, job: Table) -> list[Table]:
    return piece.get("layers") or [{"mix": piece.get("mix", job["job"]["mix"])}]


def piece_figures(
    piece: Table, there: Table, job: Table, mixes: dict[str, Concrete], cast: dict[str, Fraction]
) -> Iterator[Figure]:
    at_piece, body = f"pieces.{piece['mark']}", KINDS[piece["shape"]["kind"]](piece["shape"])
    layers, inserts = layers_of(piece, job), piece.get("inserts", [])
    whole = body.within(ZERO)
    bulks = body.layers([si(layer["thickness"]) if "thickness" in layer else None for layer in layers])
    for insert in inserts:
        volume = si(insert.get("displaces", "0 L"))
        bulks[-1] -= at(volume, [si(axis) for axis in insert["at"]] if "at" in insert else whole.center)
    for layer, bulk in zip(layers, bulks, strict=True):
        shares = layer.get("waste"), piece.get("waste"), job["mixes"][layer["mix"]].get("waste"), job["job"]["waste"]
        waste = next(share for share in shares if share is not None)
        cast[layer["mix"]] += piece["quantity"] * bulk.volume * (1 + waste)
    yield f"{at_piece}.volume_m3", sum(bulk.volume for bulk in bulks), there["volume_m3"]
    yield f"{at_piece}.plan_area_m2", body.plan_area, there["plan_area_m2"]
    yield f"{at_piece}.net_plan_area_m2", body.plan_area - body.openings_area, there["net_plan_area_m2"]
    for axis in range(3):
        yield f"{at_piece}.centroid_m.{axis}", whole.center[axis], there["centroid_m"][axis]
        yield f"{at_piece}.size_m.{axis}", body.size[axis], there["size_m"][axis]
    if not body.cuts:
        yield f"{at_piece}.form_area_m2", body.form_area, there["form_area_m2"]
    for number, (layer, bulk) in enumerate(zip(layers, bulks, strict=True)):
        at_layer = f"{at_piece}.layers.{number}"
        yield f"{at_layer}.volume_m3", bulk.volume, there["layers"][number]["volume_m3"]
        yield f"{at_layer}.mass_kg", bulk.volume * mixes[layer["mix"]].fresh, there["layers"][number]["mass_kg"]
    yield from weight_figures(
        piece, there, job, body, whole, [(mixes[y["mix"]], b) for y, b in zip(layers, bulks, strict=True)]
    )


def weight_figures(
    piece: Table, there: Table, job: Table, body: Body, whole: Bulk, parts: list[tuple[Concrete, Bulk]]
) -> Iterator[Figure]:
    at_weight, weight = f"pieces.{piece['mark']}.weight", there["weight"]
    settings = job["workshop"]
    hung = piece.get("inserts", [])
    inserts = sum((si(insert["mass"]) for insert in hung), ZERO)
    fresh = sum(mix.fresh * bulk.volume for mix, bulk in parts)
    stages = [fresh, sum(mix.installed * bulk.volume for mix, bulk in parts)]
    in_place = list(stages)
    if piece.get("in_place", {}).get("outdoors"):
        oven_dry = sum(mix.oven_dry * bulk.volume for mix, bulk in parts)
        stages.append(max(fresh, oven_dry * (1 + settings["handling"]["soaked_gain"])))
        in_place = stages
    thickness = si(settings["thickness_tolerance"]) / body.thinnest
    density = settings["density_tolerance"]

    def high(mass: Fraction) -> Fraction:
        return mass * (1 + density) * (1 + thickness) + inserts

    yield f"{at_weight}.fresh_kg", fresh + inserts, weight["fresh_kg"]
    yield f"{at_weight}.demould_kg", fresh + inserts, weight["demould_kg"]
    yield f"{at_weight}.installed_kg", stages[1] + inserts, weight["installed_kg"]
    yield f"{at_weight}.high_kg", high(max(stages)), weight["high_kg"]
    yield f"{at_weight}.lift_kg", high(max(stages)), weight["lift_kg"]
    yield f"{at_weight}.low_kg", min(stages) * (1 - density) * (1 - thickness) + inserts, weight["low_kg"]
    if not body.cuts:
        handling = settings["handling"]
        boards = body.form_area * si(handling["form_board"]) + body.size[0] * body.size[1] * si(
            handling["turning_board"]
        )
        yield f"{at_weight}.turn_kg", high(fresh) + boards, weight["turn_kg"]
    mass = sum((at(mix.fresh * bulk.volume, bulk.center) for mix, bulk in parts), at(ZERO, whole.center))
    for insert in hung:
        place = [si(axis) for axis in insert["at"]] if "at" in insert else whole.center
        mass += at(si(insert["mass"]), place)
    for axis in range(3):
        yield f"{at_weight}.centre_of_gravity_m.{axis}", mass.center[axis], weight["centre_of_gravity_m"][axis]
    net = body.plan_area - body.openings_area
    at_piece = f"pieces.{piece['mark']}"
    yield f"{at_piece}.mass_per_area_kg_m2", (stages[1] + inserts) / net, there["mass_per_area_kg_m2"]
    yield f"{at_piece}.high_per_area_kg_m2", high(max(in_place)) / net, there["high_per_area_kg_m2"]


def mix_figures(job: Table, document: Table, mixes: dict[str, Concrete], cast: dict[str, Fraction]) -> Iterator[Figure]:
    for there in document["mixes"]:
        name, at_mix = there["name"], f"mixes.{there['name']}"
        here = mixes[name]
        batches = sum(batch["count"] for batch in document["batches"] if batch["mix"] == name)
        cast[name] += batches * si(job["workshop"]["loss_per_batch"]) / here.fresh
        yield f"{at_mix}.fresh_density_kg_m3", here.fresh, there["fresh_density_kg_m3"]
        yield f"{at_mix}.installed_density_kg_m3", here.installed, there["installed_density_kg_m3"]
        yield f"{at_mix}.free_water_kg_m3", here.free_water, there["free_water_kg_m3"]
        yield f"{at_mix}.batch_m3", cast[name], there["batch_m3"]
        for key, mine in (("recipe_kg_m3", here.recipe), ("volume_fractions", here.fractions)):
            yield f"{at_mix}.{key}", sorted(mine), sorted(there[key])
            for material in mine.keys() & there[key].keys():
                yield f"{at_mix}.{key}.{material}", mine[material], there[key][material]


def material_figures(
    job: Table, document: Table, mixes: dict[str, Concrete], cast: dict[str, Fraction]
) -> Iterator[Figure]:
    required: dict[str, Fraction] = {}
    for name, here in mixes.items():
        for material, mass in here.recipe.items():
            required[material] = required.get(material, ZERO) + mass * cast[name]
    yield "materials", sorted(required), sorted(line["material"] for line in document["materials"])
    loads = batch_loads(document)
    for there in document["materials"]:
        name, at_material = there["material"], f"materials.{there['material']}"
        need = required[name]
        yield f"{at_material}.required_kg", need, there["required_kg"]
        yield f"{at_material} in all batches", need, loads[name]
        on_hand = si(job["stock"].get(name, "0 kg"))
        yield f"{at_material}.on_hand_kg", on_hand, there["on_hand_kg"]
        table = job["materials"].get(name, {})
        if not table.get("packs"):
            yield f"{at_material}.bought_kg", max(ZERO, need - on_hand), there["bought_kg"]
            yield f"{at_material}.cost", cents(ZERO) if name == "water" else None, there["cost"]
            continue
        yield from pack_figures(at_material, table, need, on_hand, there, job)


def pack_figures(
    at_material: str, table: Table, need: Fraction, on_hand: Fraction, there: Table, job: Table
) -> Iterator[Figure]:
    sold = {pack["name"]: pack_of(pack, table) for pack in table["packs"]}
    bought = sum((line["count"] * sold[line["pack"]].mass for line in there["packs"]), ZERO)
    paid = sum((sold[line["pack"]].line(line["count"]) for line in there["packs"]), ZERO)
    yield f"{at_material}.bought_kg", bought, there["bought_kg"]
    yield f"{at_material}.left_over_kg", on_hand + bought - need, Near(there["left_over_kg"], need)
    yield f"{at_material}.purchase_cost", Money(paid), there["purchase_cost"]
    if not job["supplier"]:  # otherwise freight and minimums may make other packs the cheaper ones
        least = cheapest(need, on_hand, list(sold.values()))
        yield f"{at_material}, the cheapest packs", Money(least), there["purchase_cost"]
    packs = list(sold.values())
    special = table.get("special", False)
    cost = paid if job["price"]["charge"] == "packs" else charge(need, packs, special=special)
    yield f"{at_material}.cost", Money(cost), there["cost"]
    price = list_price(need, packs)
    yield f"{at_material}.stock_cost", Money(min(on_hand, need) * price), there["stock_cost"]
    yield f"{at_material}.leftover_value", Money(max(ZERO, on_hand + bought - need) * price), there["leftover_value"]


def batch_loads(document: Table) -> dict[str, float]:
    """Mass of each material in all batches."""
    loads: dict[str, float] = {}
    for batch in document["batches"]:
        for load in batch["load"]:
            loads[load["material"]] = loads.get(load["material"], 0.0) + batch["count"] * load["target_kg"]
    return loads


class Money(Fraction):
    """An amount that has to agree to the cent."""


class Near(float):
    """A difference of two larger figures: it agrees to within a share of the larger one."""

    scale: float

    def __new__(cls, value: float, scale: Fraction) -> Near:
        near = super().__new__(cls, value)
        near.scale = float(scale)
        return near


def money(number: Any) -> Fraction:
    """An amount of the document, read as printed."""
    return Fraction(str(number))


def money_figures(job: Table, document: Table) -> Iterator[Figure]:
    cost, terms, quote = document["cost"], job["price"], job["workshop"]["quote"]
    parts = {
        "materials": [line["cost"] for line in document["materials"]],
        "consumables": [line["cost"] for line in document["consumables"]],
        "labour": [line["cost"] for line in cost["labour_lines"]],
        "allowances": [line["amount"] for line in cost["allowance_lines"]],
        "forms": [document["forms"]["cost"]],
        "freight": [cost["freight"]],
        "delivery": [cost["delivery"]],
        "gear": [cost["gear"]],
    }
    sums = {key: sum((money(part) for part in amounts if part is not None), ZERO) for key, amounts in parts.items()}
    for key, amount in sums.items():
        yield f"cost.{key}", Money(amount), cost[key]
    if not job["supplier"]:
        yield "cost.freight", Money(0), cost["freight"]
    for line in cost["allowance_lines"]:
        yield (
            f"cost.allowance_lines.{line['name']}",
            Money(cents(money(line["base"]) * money(line["share"]))),
            line["amount"],
        )
    direct = sum(sums.values(), ZERO)
    overhead = cents(direct * terms["overhead"])
    if "markup" in terms:
        margin = cents((direct + overhead) * terms["markup"])
    else:
        margin = cents((direct + overhead) / (1 - terms["margin"])) - direct - overhead
    asked = direct + overhead + margin
    lifted = max(ZERO, Fraction(quote["minimum"]) - asked)
    price = stepped(asked + lifted, Fraction(quote["round_to"]), up=terms.get("rounding") == "up")
    tax = cents(price * terms["tax"])
    for key, amount in {
        "direct": direct,
        "overhead": overhead,
        "margin": margin,
        "minimum_charge": lifted,
        "rounding": price - asked - lifted,
        "price": price,
        "tax": tax,
        "total": price + tax,
    }.items():
        yield f"cost.{key}", Money(amount), cost[key]
    yield "prices of the pieces", Money(price), sum(money(piece["price"]) for piece in document["pieces"])
    bought = [line["purchase_cost"] for line in (*document["materials"], *document["consumables"])]
    order = sum((money(part) for part in bought if part is not None), money(document["supply"]["freight"]))
    yield "cost.order_total", Money(order), cost["order_total"]


def stepped(price: Fraction, step: Fraction, *, up: bool) -> Fraction:
    """The price at the nearest step, half up, or at the next one up."""
    if step <= Fraction(1, 100):
        return price
    steps = -(-price // step) if up else (price / step + Fraction(1, 2)) // 1
    return steps * step
