"""The estimate as a document (contract): JSON, SI units with the unit in each key; figures unrounded, money rounded.

Each result is written by estimator.serialize; here stands what is found in no single result: a price beside an area, a
date beside a day, the packs beside the need.
"""

import json
from collections.abc import Sequence
from math import isnan

from estimator.curing.covers import stated
from estimator.curing.pieces import Curing
from estimator.estimate import Estimate, PieceEstimate, lot_lines
from estimator.explain import workings_of
from estimator.mix import MixDesign
from estimator.mixes import CastIn, Comparison
from estimator.money import round2
from estimator.packaging.consumables import ConsumableOrder, UsedUp
from estimator.packaging.forms import FORM_BOARD, FORM_MATERIAL
from estimator.packaging.materials import MaterialOrder, cost_per_m3
from estimator.packaging.stage import FormPlan, Supply
from estimator.pricing.calendar import Calendar
from estimator.pricing.quote import lines_of
from estimator.serialize import Document as Document
from estimator.serialize import attribute, pack_count, plain, table
from estimator.weight import Weight, drop_edge_loads
from estimator.workings import Working

SCHEMA = "cast-estimate/1"


def to_document(estimate: Estimate, *, workings: bool = False) -> Document:
    """The estimate as plain tables and lists.

    workings   whether the working of every figure stands in it
    """
    job, supply, batching = estimate.job, estimate.supply, estimate.batching
    return {
        "schema": SCHEMA,
        "job": {"name": job.name, "units": job.units, "currency": job.currency, "date": job.date, "status": job.status},
        "pieces": _pieces(estimate),
        "mixes": [_mix(mix, estimate) for mix in estimate.mixes.values()],
        "comparisons": [
            _comparison(facts.comparison) for facts in estimate.mix_facts.values() if facts.comparison is not None
        ],
        "pours": _pours(estimate),
        "mixing": {"pot_life_s": batching.pot_life_s, "steps": list(job.workshop.loading_steps)},
        "batches": [plain(batch) | {"lots": lot_lines(job, estimate.mixes[batch.mix])} for batch in batching.batches],
        "curing": {"limits": plain(estimate.curing.limits), "traces": _traces(estimate.curing)},
        "materials": [_material(order, estimate) for order in estimate.materials.lines],
        "consumables": [plain(used) | plain(used.order) | {"packs": _packs(used.order)} for used in supply.consumables],
        "pallets": _pallets(supply),
        "supply": {
            "goods": plain(supply.materials.goods),
            "freight": plain(supply.materials.paid),
            "total": plain(supply.materials.total),
            "proven": supply.materials.proven,
            "gap": float(supply.materials.gap),
            "order_total": plain(supply.order_total),
            "unpriced": list(supply.unpriced),
            "deliveries": plain(supply.materials.deliveries),
        },
        "forms": _forms(supply),
        "samples": plain(supply.samples),
        "shelf": _shelf(supply),
        "cost": _cost(estimate),
        "quote": _quote(estimate),
        "calendar": _calendar(estimate.calendar),
        "delivery": plain(estimate.delivery),
        "cautions": plain(estimate.cautions),
        "warnings": plain(estimate.warnings),
        **({"workings": plain(workings_of(estimate))} if workings else {}),
    }


def to_workings_document(workings: Sequence[Working]) -> Document:
    """Every working with the text of a formula and of a source written once.

    rows   figure, number of its formula, values, result, unit, number of its source
    """
    formulas = {text: number for number, text in enumerate(dict.fromkeys(working.formula for working in workings))}
    sources = {text: number for number, text in enumerate(dict.fromkeys(working.source for working in workings))}
    rows = [
        [
            working.figure,
            formulas[working.formula],
            dict(working.values),
            working.result,
            working.unit,
            sources[working.source],
        ]
        for working in workings
    ]
    return {"formulas": list(formulas), "sources": list(sources), "rows": rows}


def to_json(document: Document) -> str:
    """The document as JSON text, the same bytes for the same estimate.

    A line an entry: ten thousand pieces are half a gigabyte, which the encoder's own indenting takes minutes over.
    """
    write = json.JSONEncoder(ensure_ascii=False, allow_nan=False).encode
    sections = []
    for key, value in document.items():
        rows = isinstance(value, list) and len(value) > 0 and isinstance(value[0], dict)
        text = "[\n" + ",\n".join(write(row) for row in value) + "\n]" if rows else write(value)
        sections.append(f"{write(key)}: {text}")
    return "{\n" + ",\n".join(sections) + "\n}\n"


def _pieces(estimate: Estimate) -> list[Document]:
    traces = trace_numbers(estimate.curing)
    return [
        _piece(piece)
        | {"placing": plain(placing)}
        | {"curing": plain(piece.curing) | {"trace": traces.get(piece.taken.piece.mark)}}
        for piece, placing in zip(estimate.pieces, estimate.batching.placing, strict=True)
    ]


def _piece(piece: PieceEstimate) -> Document:
    taken, weight = piece.taken, piece.weight
    solid, plan, quantity = taken.solid, taken.plan, taken.piece.quantity
    return {
        "mark": taken.piece.mark,
        "quantity": quantity,
        "use": taken.piece.use,
        "volume_m3": taken.volume_m3,
        "surface_area_m2": solid.surface_area_m2,
        "form_area_m2": solid.form_area_m2,
        "finished_area_m2": solid.finished_area_m2,
        "face_area_m2": taken.face_area_m2,
        "plan_area_m2": plan.gross_m2,
        "net_plan_area_m2": plan.net_m2,
        "mass_per_area_kg_m2": piece.mass_per_area_kg_m2,
        "high_per_area_kg_m2": piece.high_per_area_kg_m2,
        "drop_edges": [
            {"sides": list(drop.sides), "high_kg_per_m": kg_per_m} for drop, kg_per_m in drop_edge_loads(taken, weight)
        ],
        "price": plain(piece.price),
        "price_per_area": piece.price_per_area,
        "centroid_m": plain(solid.centroid_m),
        "size_m": plain(solid.size_m),
        "layers": [
            {
                "mix": layer.mix,
                "volume_m3": layer.volume_m3,
                "mass_kg": mass_kg,
                "area_m2": layer.area_m2,
                "waste": layer.waste,
            }
            for layer, mass_kg in zip(taken.layers, weight.layers_kg, strict=True)
        ],
        "weight": _weight(weight),
        "handling": plain(piece.handling),
        "cautions": list(piece.cautions),
    }


def _weight(weight: Weight) -> Document:
    return {
        **{
            key: getattr(weight, key)
            for key in ("fresh_kg", "demould_kg", "installed_kg", "low_kg", "high_kg", "lift_kg", "turn_kg")
        },
        "centre_of_gravity_m": list(weight.center_of_gravity_m),
        "stages": {
            stage: plain(band) | {"centre_of_gravity_m": list(weight.centers_m[stage])}
            for stage, band in weight.by_stage.items()
        },
        "filled_kg": weight.filled_kg,
        "assumptions": list(weight.assumptions),
    }


def _mix(mix: MixDesign, estimate: Estimate) -> Document:
    return {
        **plain(mix),
        **plain(estimate.mix_facts[mix.name]),
        "batch_m3": estimate.batching.batch_m3.get(mix.name, 0.0),
        "cost_per_m3": cost_per_m3(mix, estimate.job.materials),
    }


def _comparison(comparison: Comparison) -> Document:
    """A mix beside other shares of its sand replaced, and the curve of weight and cost from none to all of it."""
    curve = comparison.curve
    return {
        "mix": comparison.mix,
        "sand": comparison.sand,
        "bead": comparison.bead,
        "by": "loose-volume",
        "rows": [
            row_document(row, comparison.pieces.marks)
            | {
                "job_fresh_kg": comparison.whole_job(row.fresh_kg),
                "job_installed_kg": comparison.whole_job(row.installed_kg),
                "job_cost": plain(comparison.job_cost(row)),
            }
            for row in comparison.rows
        ],
        "curve": {
            "replacement": plain(curve.fraction),
            "fresh_density_kg_m3": plain(curve.fresh_density_kg_m3),
            "installed_density_kg_m3": plain(curve.installed_density_kg_m3),
            "cost_per_m3": plain(curve.cost_per_m3),
            "job_fresh_kg": plain(comparison.curve_job_kg),
            "job_cost": [_cents(cost) for cost in comparison.curve_job_cost.tolist()],
            "floats_from": curve.floats_from,
        },
    }


def row_document(row: CastIn, marks: tuple[str, ...]) -> Document:
    """One mix of a comparison, with each piece cast in it."""
    columns = zip(marks, row.fresh_kg, row.installed_kg, row.high_kg, row.cost, strict=True)
    return table(row) | {
        "pieces": [
            {
                "mark": mark,
                "fresh_kg": float(fresh_kg),
                "installed_kg": float(installed_kg),
                "high_kg": float(high_kg),
                "cost": _cents(float(cost)),
            }
            for mark, fresh_kg, installed_kg, high_kg, cost in columns
        ]
    }


def _cents(amount: float) -> float | None:
    """Money to the cent, None where a price is missing."""
    return None if isnan(amount) else float(round2(amount))


def _pours(estimate: Estimate) -> list[Document]:
    """Each pour with its crew, its times, and what is stripped of it by whom (null: by machine)."""
    crews, curing = estimate.strip_crews, estimate.curing
    pours = []
    for pour, work in zip(estimate.batching.pours, estimate.batching.work, strict=True):
        casts = {cast.mark: cast.count for cast in pour.casts}
        strip = [
            {"mark": mark, "count": count, "strip_h": plain(curing.pieces[mark].plan.strip_h), "crew": crews[mark]}
            for mark, count in casts.items()
        ]
        pours.append(
            {
                "pour": pour.name,
                "day": pour.day,
                "pieces": [{"mark": mark, "count": count} for mark, count in casts.items()],
                "crew": work.crew,
                "mixing_s": work.mixing_s,
                "placing_s": work.placing_s,
                "taken_s": work.taken_s,
                "strip": strip,
            }
        )
    return pours


def trace_numbers(curing: Curing) -> dict[str, int]:
    """By mark, which of the traces shows it, counted from 0; pieces that cure alike share one."""
    numbers: dict[int, int] = {}
    return {
        mark: numbers.setdefault(id(piece.plan), len(numbers))
        for mark, piece in curing.pieces.items()
        if piece.plan.chosen is not None
    }


def _traces(curing: Curing) -> list[Document]:
    """Temperature against time for a plot, °C at mid-thickness by the hour, under the cover decided on.

    hot_c    thickest section, heat high; null where it is over the limit
    cold_c   thinnest section, heat low
    """
    marks: dict[int, list[str]] = {}
    for mark, number in trace_numbers(curing).items():
        marks.setdefault(number, []).append(mark)
    traces = []
    for number, alike in marks.items():
        plan = curing.pieces[alike[0]].plan
        assert plan.chosen is not None
        assert plan.cold is not None
        hot, cold = plan.chosen.trace.hourly, plan.cold.trace.hourly
        traces.append(
            {
                "trace": number,
                "pieces": alike,
                "cover": plan.chosen.cover.name,
                "time_h": plain(hot.time_h),
                "hot_c": [stated(celsius) for celsius in hot.high_c],
                "nominal_c": [stated(celsius) for celsius in hot.nominal_c],
                "cold_c": plain(cold.low_c),
            }
        )
    return traces


def _material(order: MaterialOrder, estimate: Estimate) -> Document:
    """One material of the recipes, and the lot that it is cast from with what of the shelf does not count for it."""
    return table(order) | {
        "reserve_kg": order.order.reserve_kg if order.order is not None else 0.0,
        "packs": plain(order.lines),
        "by_packs": order.charge is not None and order.charge.by_packs,
        "lot": estimate.job.lots.get(order.material),
        "other_lot_kg": estimate.stock.left_out_kg.get(order.material, 0.0),
    }


def _packs(order: ConsumableOrder) -> list[Document]:
    return [plain(line) | {"holds": line.amount / line.count} for line in order.lines]


def _pallets(supply: Supply) -> Document:
    """Pallets as they are charged, of everything that is bought; water comes by pipe."""
    deliveries = supply.materials.deliveries
    return {
        "count": sum(delivery.pallets for delivery in deliveries),
        "gross_kg": sum(delivery.gross_kg for delivery in deliveries),
        "fewest": sum(delivery.standing.fewest for delivery in deliveries),
        "footprint_m2": sum(delivery.standing.footprint_m2 for delivery in deliveries),
        "loads": [plain(load) | {"over": list(supply.over.get(i, ()))} for i, load in enumerate(supply.loads)],
        "loose": [pack_count(*pack) for delivery in deliveries for pack in delivery.standing.loose],
    }


def _forms(supply: Supply) -> Document:
    """`cost` is materials and hardware and samples' concrete; the board's cost stands with consumables[form-board]."""
    plan = supply.forms
    own = plan.cost_by_mark()
    board = next((used for used in supply.consumables if used.material == FORM_BOARD), None)
    marks = []
    for forms in plan.marks:
        board_cost = _board_cost(board, forms.mark)
        per_cast = None if board_cost is None else (float(own[forms.mark]) + board_cost) / forms.set.casts
        marks.append(
            plain(forms)
            | {"material": FORM_MATERIAL.get(forms.kind, FORM_BOARD), "cost": float(own[forms.mark])}
            | {"board_cost": board_cost, "cost_per_cast": per_cast}
        )
    return {
        "cost": plain(supply.forms_cost),
        "hardware": plain(plan.hardware),
        "board_in": f"consumables.{FORM_BOARD}",
        "marks": marks,
        "materials": [
            {"material": order.name, "basis": order.basis} | plain(order) | {"packs": _packs(order)}
            for order in plan.materials
        ],
        "cut_list": _cut_list(plan),
    }


def _board_cost(board: UsedUp | None, mark: str) -> float | None:
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
                "count": board.count * forms.set.built,
                "radius_m": board.radius_m,
            }
            for forms in plan.marks
            for board in forms.boards
        ],
        "sheets": attribute(nesting, "count"),
        "fewest": attribute(nesting, "fewest"),
        "used": attribute(nesting, "used"),
        "layout": [] if nesting is None else plain(nesting.sheets),
    }


def _shelf(supply: Supply) -> list[Document]:
    """What the next job can name as its stock."""
    mixed = [(item.material, item.left_kg, "kg", item.reserve_kg, item.keeps_until) for item in supply.shelf]
    used = [(item.material, item.left, item.measure, 0.0, item.keeps_until) for item in supply.shelf_consumables]
    keys = ("material", "left", "unit", "reserve", "keeps_until")
    return [plain(dict(zip(keys, row, strict=True))) for row in (*mixed, *used)]


def _cost(estimate: Estimate) -> Document:
    """One name, one amount: the kinds of direct cost add up to `direct`; with overhead, margin, options, minimum charge
    and rounding to `price`; with tax to `total`. `lines` add up to the total and, by kind, to the amount of that name;
    `labour_lines` to `labour`, `allowance_lines` to `allowances`, `pieces` to the direct cost and the price.
    """
    priced, terms = estimate.pricing, estimate.job.price
    cost, direct = priced.cost, priced.cost.direct
    amounts = ("overhead", "margin", "options", "minimum_charge", "rounding", "price", "tax", "total")
    return {
        **plain(direct.kinds),
        "direct": float(direct.total),
        **{name: float(getattr(cost, name)) for name in amounts},
        "terms": plain(terms),
        "lines": plain(lines_of(cost, terms)),
        "labour_hours": float(priced.labour.hours),
        "labour_lines": [plain(line) | {"figure": f"labour.{line.figure}"} for line in priced.labour.lines],
        "allowance_lines": plain(direct.allowance_lines),
        "machine_days": priced.machine_days,
        "trips": priced.trips,
        "pieces": plain(priced.marks),
        "unpriced": list(cost.unpriced),
        "charge": terms.charge,
        "order_total": plain(estimate.supply.order_total),
    }


def _quote(estimate: Estimate) -> Document:
    """What is agreed with the client: status, validity, sign-offs, payments, and what stands beside the job."""
    job, cost, versions, calendar = estimate.job, estimate.pricing.cost, estimate.versions, estimate.calendar
    return {
        "status": job.status,
        "date": job.date,
        "valid_until": job.valid_until,
        "sign_offs": dict(job.sign_offs),
        "payments": plain(cost.payments),
        "received": float(cost.received),
        "balance_due": float(cost.balance_due),
        "alternatives": [plain(version) | plain(version.standing) for version in versions.alternatives],
        "options": plain(versions.options),
        "changes": plain(versions.changes),
        "lead_days": calendar.lead_days,  # working days from approval to the day it ships
        "ships": estimate.ships,
    }


def _calendar(calendar: Calendar) -> Document:
    """Days count from 0, the start; dates stand where the job has one."""
    dated = calendar.date_of
    return {
        "start": plain(calendar.start),
        "ship_day": calendar.ship_day,
        "last_day": calendar.last_day,
        "lead_days": calendar.lead_days,
        "needed": [{"material": name, "day": day, "date": dated(day)} for name, day in calendar.needed.items()],
        "attended": [
            {"pour": pour, "day": day, "date": dated(day)} for pour, days in calendar.attended.items() for day in days
        ],
        "steps": [
            plain(step) | {"first_date": dated(step.first_day), "last_date": dated(step.last_day)}
            for step in calendar.steps
        ],
        "weeks": [plain(week) | {"first_date": dated(week.first_day)} for week in calendar.weeks],
    }
