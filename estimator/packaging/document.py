"""The order in the estimate document (contract): packs, pallets, deliveries, consumables, forms, samples, shelf."""

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from estimator.packaging.consumables import ConsumableOrder
from estimator.packaging.form_plan import FormPlan
from estimator.packaging.forms import FORM_BOARD, FORM_MATERIAL
from estimator.packaging.freight import Charge
from estimator.packaging.materials import MaterialOrder
from estimator.packaging.order import Line
from estimator.packaging.pallets import PalletLoad
from estimator.packaging.stage import SamplePlan, Supply
from estimator.packaging.together import Delivery
from estimator.packaging.used_up import UsedUp

Document = dict[str, Any]


def material_document(line: MaterialOrder) -> Document:
    """One material of the recipes; a pack's `steps` (count times price of each) sum to the price of its line."""
    packs = line.order.lines if line.order is not None else ()
    return {
        "material": line.material,
        "required_kg": line.required_kg,
        "reserve_kg": line.order.reserve_kg if line.order is not None else 0.0,
        "on_hand_kg": line.on_hand_kg,
        "packs": [
            {
                "pack": each.pack.name,
                "supplier": each.pack.supplier,
                "item": each.pack.item,
                "count": each.count,
                "mass_kg": each.pack.mass_kg,
                "unit_price": each.unit_price,
                "price": each.price,
                "per_pallet": each.pack.per_pallet,
                "steps": _steps(each),
            }
            for each in packs
        ],
        "bought_kg": line.bought_kg,
        "left_over_kg": line.left_over_kg,
        "purchase_cost": _money(line.purchase_cost),
        "stock_cost": _money(line.stock_cost),
        "list_price_per_kg": None if line.charge is None else line.charge.unit_price,
        "packs_alone": None if line.charge is None else _money(line.charge.alone),
        "by_packs": line.charge is not None and line.charge.by_packs,
        "leftover_value": _money(line.leftover_value),
        "cost": _money(line.cost),
    }


def supply_document(supply: Supply) -> Document:
    """The sections of the document that tell what is bought."""
    return {
        "consumables": [_consumable(each) for each in supply.consumables],
        "pallets": _pallets(supply),
        "supply": {
            "goods": _money(supply.materials.goods),
            "freight": _money(supply.materials.paid),
            "total": _money(supply.materials.total),
            "proven": supply.materials.proven,
            "gap": float(supply.materials.gap),
            "order_total": _money(supply.order_total),
            "unpriced": list(supply.unpriced),
            "deliveries": [_delivery(each) for each in supply.materials.deliveries],
        },
        "forms": _forms(supply),
        "samples": None if supply.samples is None else _samples(supply.samples),
        "shelf": _shelf(supply),
    }


def _steps(line: Line) -> list[Document]:
    return [{"count": each.count, "of": each.of, "each": each.each} for each in line.steps]


def _used_packs(lines: Sequence[Line]) -> list[Document]:
    return [
        {
            "pack": each.pack.name,
            "supplier": each.pack.supplier,
            "item": each.pack.item,
            "count": each.count,
            "mass_kg": each.pack.mass_kg,
            "per_pallet": each.pack.per_pallet,
            "holds": each.amount / each.count,
            "unit_price": each.unit_price,
            "price": each.price,
            "steps": _steps(each),
        }
        for each in lines
    ]


def _order(order: ConsumableOrder) -> Document:
    return {
        "required": order.required,
        "unit": order.measure,
        "on_hand": order.on_hand,
        "packs": _used_packs(order.lines),
        "bought": order.bought,
        "left_over": order.left_over,
        "purchase_cost": order.purchase_cost,
        "cost": order.cost,
    }


def _consumable(each: UsedUp) -> Document:
    return {
        "material": each.material,
        "basis": each.basis,
        **_order(each.order),
        "least": each.least,
        "parts": [
            {
                "basis": part.basis,
                "extent": part.extent,
                "at_once": part.at_once,
                "uses": part.uses,
                "per_unit": part.per_unit,
                "coats": part.coats,
                "waste": part.waste,
                "required": part.required,
            }
            for part in each.parts
        ],
    }


def _pallets(supply: Supply) -> Document:
    """Pallets as they are charged, of everything that is bought; water comes by pipe."""
    brought = supply.materials.deliveries
    return {
        "count": sum(each.pallets for each in brought),
        "gross_kg": sum(each.gross_kg for each in brought),
        "fewest": sum(each.standing.fewest for each in brought),
        "footprint_m2": sum(each.standing.footprint_m2 for each in brought),
        "loads": [
            {**_load(load), "over": list(supply.over.get(number, ()))} for number, load in enumerate(supply.loads)
        ],
        "loose": [
            {"material": material, "pack": pack, "count": count}
            for each in brought
            for material, pack, count in each.standing.loose
        ],
    }


def _load(load: PalletLoad) -> Document:
    return {
        "packs": [{"material": material, "pack": pack, "count": count} for material, pack, count in load.packs],
        "gross_kg": load.gross_kg,
    }


def _delivery(each: Delivery) -> Document:
    return {
        "supplier": each.supplier,
        "goods": each.goods,
        "pallets": each.pallets,
        "gross_kg": each.gross_kg,
        "charges": [_charge(charge) for charge in each.charges],
        "freight": each.freight,
        "small_order_charge": each.small_order,
    }


def _charge(charge: Charge) -> Document:
    return {"text": charge.text, "number": charge.number, "each": charge.each, "amount": charge.amount}


def _forms(supply: Supply) -> Document:
    """`cost` is materials and hardware and samples' concrete; the board's cost stands with consumables[form-board]."""
    plan = supply.forms
    own = plan.cost_by_mark()
    board = next((each for each in supply.consumables if each.material == FORM_BOARD), None)
    return {
        "cost": _money(supply.forms_cost),
        "hardware": _money(plan.hardware),
        "board_in": f"consumables.{FORM_BOARD}",
        "marks": [
            {
                "mark": each.mark,
                "kind": each.kind,
                "material": FORM_MATERIAL.get(each.kind, FORM_BOARD),
                "casts": each.set.casts,
                "forms": each.set.forms,
                "uses": each.uses,
                "built": each.set.built,
                "renewals": each.set.renewals,
                "form_area_m2": each.form_area_m2,
                "board_area_m2": each.board_area_m2,
                "material_kg": each.material_kg,
                "hardware": _money(each.hardware),
                "cost": _money(own[each.mark]),
                "board_cost": (part := _share(board, each.mark)),
                "cost_per_cast": None if part is None else (float(own[each.mark]) + part) / each.set.casts,
            }
            for each in plan.marks
        ],
        "materials": [{"material": each.name, "basis": each.basis, **_order(each)} for each in plan.materials],
        "cut_list": _cut_list(plan),
    }


def _share(board: UsedUp | None, mark: str) -> float | None:
    """The mark's part of what the board costs; None where that has no price."""
    if board is None:
        return 0.0
    whole = sum(board.by_mark.values())
    if board.order.cost is None:
        return None
    return board.order.cost * board.by_mark.get(mark, 0.0) / whole if whole else 0.0


def _cut_list(plan: FormPlan) -> Document:
    nesting = plan.nesting
    return {
        "sheet_m": [plan.sheet.length_m, plan.sheet.width_m],
        "kerf_m": plan.sheet.kerf_m,
        "boards": [
            {
                "board": board.name,
                "length_m": board.length_m,
                "width_m": board.width_m,
                "count": board.count * each.set.built,
                "radius_m": board.radius_m,
            }
            for each in plan.marks
            for board in each.boards
        ],
        "sheets": None if nesting is None else nesting.count,
        "fewest": None if nesting is None else nesting.fewest,
        "used": None if nesting is None else nesting.used,
        "layout": []
        if nesting is None
        else [
            [
                {
                    "board": placed.board,
                    "x_m": placed.x_m,
                    "y_m": placed.y_m,
                    "length_m": placed.length_m,
                    "width_m": placed.width_m,
                }
                for placed in laid
            ]
            for laid in nesting.sheets
        ],
    }


def _samples(plan: SamplePlan) -> Document:
    made = plan.made
    return {
        "count": made.count,
        "size_m": [plan.side_m, plan.side_m, plan.thickness_m],
        "mix": plan.mix,
        "area_m2": made.area_m2,
        "volume_m3": made.volume_m3,
        "concrete_cost": _money(plan.concrete_cost),
        "left_over_would_fill": plan.left_over,
        "price": made.price,
        "credit": made.credit,
    }


def _shelf(supply: Supply) -> list[Document]:
    """What the next job can name as its stock."""
    mixed = [
        {
            "material": each.material,
            "left": each.left_kg,
            "unit": "kg",
            "reserve": each.reserve_kg,
            "keeps_until": None if each.keeps_until is None else each.keeps_until.isoformat(),
        }
        for each in supply.shelf
    ]
    used = [
        {
            "material": each.material,
            "left": each.left,
            "unit": each.measure,
            "reserve": 0.0,
            "keeps_until": None if each.keeps_until is None else each.keeps_until.isoformat(),
        }
        for each in supply.shelf_consumables
    ]
    return [*mixed, *used]


def _money(amount: Decimal | None) -> float | None:
    return None if amount is None else float(amount)
