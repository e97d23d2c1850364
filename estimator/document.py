"""The estimate as a document (contract): JSON, SI units with the unit in each key; figures unrounded, money rounded.

estimator.serialize writes single results. This module adds what combines several of them: a price with an area, a date
with a day, packs with a need.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import partial
from typing import Any

import numpy as np

from estimator.batching.loading import steps_of
from estimator.cautions import AppliedCaution
from estimator.curing.covers import stated
from estimator.curing.pieces import Curing, PieceCuring
from estimator.estimate import Estimate, PieceEstimate, lot_lines
from estimator.explain import workings_of
from estimator.garbage import without_collection
from estimator.mix import MixDesign
from estimator.mixes import CastIn, Comparison, Floats
from estimator.money import GUARD_DECIMALS
from estimator.packaging.consumables import ConsumableOrder
from estimator.packaging.forms import FORM_BOARD, FORM_MATERIAL
from estimator.packaging.materials import MaterialOrder, cost_per_m3
from estimator.packaging.stage import FormPlan, Supply
from estimator.pricing.calendar import Calendar
from estimator.pricing.quote import lines_of
from estimator.serialize import Document as Document
from estimator.serialize import attribute, json_lines, pack_count, plain, table
from estimator.takeoff import PieceTakeoff
from estimator.weight import Weight, drop_edge_loads
from estimator.words import Words, words_for
from estimator.workings import Working
from geometry.frozen import frozen
from geometry.shape import WorkedEdge

SCHEMA = "cast-estimate/1"


@without_collection()
def to_document(estimate: Estimate, *, workings: bool = False) -> Document:
    """The estimate as plain dicts and lists.

    workings   whether to include the working of every figure
    """
    words = words_for(estimate.job)
    return {
        key: plain(list(value) if isinstance(value, Iterator) else value, words)
        for key, value in sections_of(estimate, workings=workings)
    }


def sections_of(estimate: Estimate, *, workings: bool = False) -> Iterator[tuple[str, Any]]:
    """Yield the sections of the document for `json_lines`; long sections are iterators of rows."""
    job, supply, batching, words = estimate.job, estimate.supply, estimate.batching, words_for(estimate.job)
    yield "schema", SCHEMA
    yield "job", {name: getattr(job, name) for name in ("name", "units", "currency", "date", "status")}
    lots = {name: lot_lines(job, mix) for name, mix in estimate.mixes.items()}
    shared, traces = _Shared.of(estimate, lots), trace_numbers(estimate.curing)
    write_curing = partial(_curing, traces=traces)
    yield "pieces", _pieces(estimate, shared, write_curing)
    for key, rows in shared.rows.items():
        if rows:
            yield SHARED[key], (write_curing(row) if key == "curing" else row for row in rows)
    yield "mixes", [_mix(mix, estimate) for mix in estimate.mixes.values()]
    compared = (facts.comparison for facts in estimate.mix_facts.values())
    yield "comparisons", [_comparison(comparison) for comparison in compared if comparison is not None]
    yield "pours", _pours(estimate)
    yield "mixing", {"pot_life_s": batching.pot_life_s, "steps": steps_of(job)}
    yield "batches", _batches(estimate, shared, lots)
    yield "curing", {"limits": estimate.curing.limits, "traces": _traces(estimate.curing, traces)}
    yield "materials", [_material(order, estimate) for order in estimate.materials.lines]
    yield (
        "consumables",
        [table(used) | table(used.order) | {"packs": _packs(used.order)} for used in supply.consumables],
    )
    yield "pallets", _pallets(supply)
    yield "supply", _supply(supply)
    yield "forms", _forms(supply, words)
    yield "samples", supply.samples
    yield "shelf", _shelf(supply)
    yield "cost", _cost(estimate)
    yield "quote", _quote(estimate)
    yield "calendar", _calendar(estimate.calendar)
    yield "delivery", estimate.delivery
    yield "cautions", [_caution(applied, words) for applied in estimate.cautions]
    yield "warnings", estimate.warnings
    if workings:
        yield "workings", workings_of(estimate)


def to_workings_document(workings: Sequence[Working]) -> Document:
    """All workings, with every formula and source written only once.

    rows   figure, index of its formula, values, result, unit, index of its source
    """
    formulas = {text: number for number, text in enumerate(dict.fromkeys(working.formula for working in workings))}
    sources = {source: number for number, source in enumerate(dict.fromkeys(work.source for work in workings))}
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
    """A document as JSON text, the same bytes for the same estimate."""
    return b"".join(json_lines(document.items())).decode()


MOST_IN_FULL = 200
"""Number of marks up to which everything is written in full; above, results shared by several entries are written once.
"""

SHARED: Mapping[str, str] = {
    "handling": "handlings",
    "curing": "curings",
    "placing": "placings",
    "density_check": "density_checks",
    "notes": "batch_notes",
    "lots": "batch_lots",
}
"""Section of shared results, by key."""


@frozen
class _Shared:
    """Results that several entries of a long job share, each written once, in a section of its own.

    rows      shared results by key
    numbers   by key: index in `rows` by the identity of the result
    """

    rows: Mapping[str, Sequence[Any]]
    numbers: Mapping[str, Mapping[int, int]]

    @classmethod
    def of(cls, estimate: Estimate, lots: Mapping[str, Document]) -> _Shared:
        results: dict[str, Iterable[Any]] = {
            "handling": (piece.handling for piece in estimate.pieces),
            "curing": (piece.curing for piece in estimate.pieces),
            "placing": estimate.batching.placing.values(),
            "density_check": (batch.check for batch in estimate.batching.batches if batch.check is not None),
            "notes": (batch.notes for batch in estimate.batching.batches if batch.notes),
            "lots": (lots[batch.mix] for batch in estimate.batching.batches),
        }
        long = len(estimate.pieces) > MOST_IN_FULL
        rows = {key: _repeated(of_key) if long else [] for key, of_key in results.items()}
        return cls(rows, {key: {id(row): at for at, row in enumerate(of_key)} for key, of_key in rows.items()})

    def entry(self, key: str, result: Any, write: Callable[[Any], Any] = lambda result: result) -> Document:
        """A result under its key, or its index in the section of shared results."""
        number = self.numbers[key].get(id(result))
        return {key: write(result)} if number is None else {f"{key}_ref": number}


def _repeated(results: Iterable[Any]) -> list[Any]:
    """The results that occur more than once, without repetition."""
    by_identity = [(id(result), result) for result in results]
    times = Counter(identity for identity, _ in by_identity)
    return list({identity: result for identity, result in by_identity if times[identity] > 1}.values())


def _pieces(estimate: Estimate, shared: _Shared, write_curing: Callable[[PieceCuring], Document]) -> Iterator[Document]:
    for piece in estimate.pieces:
        row = _piece(piece) | shared.entry("handling", piece.handling)
        row["cautions"] = piece.cautions
        row |= shared.entry("placing", estimate.batching.placing[piece.taken.piece.mark])
        yield row | shared.entry("curing", piece.curing, write_curing)


def _batches(estimate: Estimate, shared: _Shared, lots: Mapping[str, Document]) -> Iterator[Document]:
    """Yield the rows of the batches.

    lots   lots of the coloring materials, by mix
    """
    for batch in estimate.batching.batches:
        row = {key: value for key, value in table(batch).items() if key not in ("days", "notes")} | _days(batch.days)
        row |= shared.entry("lots", lots[batch.mix]) | shared.entry("notes", batch.notes)
        yield row | shared.entry("density_check", batch.check)


def _curing(curing: PieceCuring, traces: Mapping[int, int]) -> Document:
    return {**table(curing), "trace": traces.get(id(curing.plan))}


def _drop_edges(taken: PieceTakeoff, weight: Weight) -> list[Document]:
    """Drop edges with the weight per length that hangs from each."""
    return [
        {
            "sides": list(edge.sides),
            "edges": list(edge.numbers),
            "length_m": edge.length_m,
            "height_m": edge.height_m,
            "thickness_m": edge.thickness_m,
            "high_kg_per_m": kg_per_m,
        }
        for edge, kg_per_m in drop_edge_loads(taken, weight)
    ]


def _edge(edge: WorkedEdge) -> Document:
    keys = ("number", "side", "length_m", "height_m", "thickness_m", "profile", "size_m", "raw")
    return {key: getattr(edge, key) for key in keys}


def _piece(piece: PieceEstimate) -> Document:
    taken, weight = piece.taken, piece.weight
    solid, plan, quantity = taken.solid, taken.plan, taken.piece.quantity
    return {
        "mark": taken.piece.mark,
        "quantity": quantity,
        "use": taken.piece.use,
        "part": taken.piece.part,
        "part_of": taken.piece.part_of,
        "glued": taken.piece.glued if taken.piece.pose is not None else None,
        "volume_m3": taken.volume_m3,
        "surface_area_m2": solid.surface_area_m2,
        "form_area_m2": solid.form_area_m2,
        "finished_area_m2": solid.finished_area_m2,
        "face_area_m2": taken.face_area_m2,
        "plan_area_m2": plan.gross_m2,
        "net_plan_area_m2": plan.net_m2,
        "mass_per_area_kg_m2": piece.mass_per_area_kg_m2,
        "high_per_area_kg_m2": piece.high_per_area_kg_m2,
        "drop_edges": _drop_edges(taken, weight),
        "edges": [
            {"name": edge.name, **_edge(edge.edge), "price_per_length": edge.price_per_length} for edge in piece.edges
        ],
        "price": piece.price,
        "price_per_area": piece.price_per_area,
        "price_per_length": piece.price_per_length,
        "centroid_m": solid.centroid_m,
        "size_m": solid.size_m,
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
        "weight": weight,
    }


def _mix(mix: MixDesign, estimate: Estimate) -> Document:
    return {
        **table(mix),
        **table(estimate.mix_facts[mix.name]),
        "batch_m3": estimate.batching.batch_m3.get(mix.name, 0.0),
        "cost_per_m3": cost_per_m3(mix, estimate.job.materials),
    }


def _comparison(comparison: Comparison) -> Document:
    """A mix compared with other shares of replaced sand, and the curve of weight and cost from 0 to 1."""
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
                "job_cost": comparison.job_cost(row),
            }
            for row in comparison.rows
        ],
        "curve": {
            "replacement": curve.fraction,
            "fresh_density_kg_m3": curve.fresh_density_kg_m3,
            "installed_density_kg_m3": curve.installed_density_kg_m3,
            "cost_per_m3": curve.cost_per_m3,
            "job_fresh_kg": comparison.curve_job_kg,
            "job_cost": _cents(comparison.curve_job_cost),
            "floats_from": curve.floats_from,
        },
    }


def row_document(row: CastIn, marks: tuple[str, ...]) -> Document:
    """One mix of a comparison, with each piece cast in it."""
    columns = (row.fresh_kg.tolist(), row.installed_kg.tolist(), row.high_kg.tolist(), _cents(row.cost))
    return table(row) | {
        "pieces": [
            {"mark": mark, "fresh_kg": fresh_kg, "installed_kg": installed_kg, "high_kg": high_kg, "cost": cost}
            for mark, fresh_kg, installed_kg, high_kg, cost in zip(marks, *columns, strict=True)
        ]
    }


def _cents(amounts: Floats) -> list[float]:
    """Amounts rounded to the cent like `round2`, vectorized; NaN, which becomes null in JSON, if there is no price."""
    hundredths = np.round(np.round(amounts, GUARD_DECIMALS) * 100.0, GUARD_DECIMALS - 2)
    rounded: list[float] = (np.floor(hundredths + 0.5) / 100.0).tolist()
    return rounded


def _days(days: int) -> Document:
    """Number of days of a pour as a dict; empty if it is one."""
    return {"days": days} if days > 1 else {}


def _pours(estimate: Estimate) -> list[Document]:
    """Rows of the pours: crew, times of one day, and the pieces stripped with their crews (null: by machine).

    In a long job, consecutive days with the same casts are one pour: `days` is their number, and pieces and batches are
    totals over these days.
    """
    crews, curing = estimate.strip_crews, estimate.curing
    pours = []
    for pour, work in zip(estimate.batching.pours, estimate.batching.work, strict=True):
        casts = {cast.mark: cast.count * pour.days for cast in pour.casts}
        strip = [
            {"mark": mark, "count": count, "strip_h": curing.pieces[mark].plan.strip_h, "crew": crews[mark]}
            for mark, count in casts.items()
        ]
        pours.append(
            {
                "pour": pour.name,
                "day": pour.day,
                **_days(pour.days),
                "pieces": [{"mark": mark, "count": count} for mark, count in casts.items()],
                "crew": work.crew,
                "mixing_s": work.mixing_s,
                "placing_s": work.placing_s,
                "taken_s": work.taken_s,
                "strip": strip,
            }
        )
    return pours


def trace_numbers(curing: Curing) -> dict[int, int]:
    """Index of the trace of each plan, by the identity of the plan; pieces that cure alike share a trace."""
    plans = (piece.plan for piece in curing.pieces.values() if piece.plan.chosen is not None)
    return {identity: number for number, identity in enumerate(dict.fromkeys(map(id, plans)))}


def _traces(curing: Curing, numbers: Mapping[int, int]) -> list[Document]:
    """Temperature over time for a plot, °C at mid-thickness per hour, under the chosen cover.

    numbers  indices of the traces, by the identity of their plans
    hot_c    thickest section at high heat; null above the range of the model
    cold_c   thinnest section at low heat
    """
    marks: dict[int, list[str]] = {number: [] for number in numbers.values()}
    for mark, piece in curing.pieces.items():
        if id(piece.plan) in numbers:
            marks[numbers[id(piece.plan)]].append(mark)
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
                "time_h": hot.time_h,
                "hot_c": [stated(celsius) for celsius in hot.high_c],
                "nominal_c": [stated(celsius) for celsius in hot.nominal_c],
                "cold_c": cold.low_c,
            }
        )
    return traces


def _supply(supply: Supply) -> Document:
    order = supply.materials
    return {
        "goods": order.goods,
        "freight": order.paid,
        "total": order.total,
        "proven": order.proven,
        "gap": order.gap,
        "order_total": supply.order_total,
        "unpriced": supply.unpriced,
        "deliveries": order.deliveries,
    }


def _material(order: MaterialOrder, estimate: Estimate) -> Document:
    """One material of the recipes, with its lot and the stock on the shelf that may not be used for it."""
    return table(order) | {
        "reserve_kg": order.order.reserve_kg if order.order is not None else 0.0,
        "packs": order.lines,
        "by_packs": order.charge is not None and order.charge.by_packs,
        "lot": estimate.job.lots.get(order.material),
        "other_lot_kg": estimate.stock.left_out_kg.get(order.material, 0.0),
    }


def _packs(order: ConsumableOrder) -> list[Document]:
    return [table(line) | {"holds": line.amount / line.count} for line in order.lines]


def _pallets(supply: Supply) -> Document:
    """Pallets of everything that is bought, as charged; water comes from the tap."""
    deliveries = supply.materials.deliveries
    return {
        "count": sum(delivery.pallets for delivery in deliveries),
        "gross_kg": sum(delivery.gross_kg for delivery in deliveries),
        "fewest": sum(delivery.standing.fewest for delivery in deliveries),
        "footprint_m2": sum(delivery.standing.footprint_m2 for delivery in deliveries),
        "loads": [table(load) | {"over": list(supply.over.get(i, ()))} for i, load in enumerate(supply.loads)],
        "loose": [pack_count(*pack) for delivery in deliveries for pack in delivery.standing.loose],
    }


def _forms(supply: Supply, words: Words) -> Document:
    """Forms. `cost` is materials, hardware and concrete of samples; that of board is in consumables[form-board]."""
    plan = supply.forms
    own = plan.cost_by_mark()
    board = next((used for used in supply.consumables if used.material == FORM_BOARD), None)
    by_mark = {} if board is None else board.by_mark
    whole = sum(by_mark.values())
    marks = []
    for forms in plan.marks:
        board_cost = 0.0 if board is None else _share(board.order.cost, by_mark.get(forms.mark, 0.0), whole)
        per_cast = None if board_cost is None else (float(own[forms.mark]) + board_cost) / forms.set.casts
        marks.append(
            table(forms)
            | {"material": FORM_MATERIAL.get(forms.kind, FORM_BOARD), "cost": float(own[forms.mark])}
            | {"board_cost": board_cost, "cost_per_cast": per_cast}
        )
    return {
        "cost": supply.forms_cost,
        "hardware": plan.hardware,
        "board_in": f"consumables.{FORM_BOARD}",
        "marks": marks,
        "materials": [
            {"material": order.name, "basis": order.basis} | table(order) | {"packs": _packs(order)}
            for order in plan.materials
        ],
        "cut_list": _cut_list(plan, words),
    }


def _caution(applied: AppliedCaution, words: Words) -> Document:
    """A caution with the text of its reason for each piece; thousands of pieces share one reason."""
    shared = {id(reason): reason for reason in applied.reasons.values()}
    texts = dict(zip(shared, map(words.text, shared.values()), strict=True))
    of_pieces = map(texts.__getitem__, map(id, applied.reasons.values()))
    return table(applied) | {"reasons": dict(zip(applied.reasons, of_pieces, strict=True))}


def _share(cost: float | None, part: float, whole: float) -> float | None:
    """Share of a mark in the cost of the board; None if board has no price."""
    if cost is None:
        return None
    return cost * part / whole if whole else 0.0


def _cut_list(plan: FormPlan, words: Words) -> Document:
    nesting = plan.nesting
    return {
        "sheet_m": [plan.sheet.length_m, plan.sheet.width_m],
        "kerf_m": plan.sheet.kerf_m,
        "boards": [
            {
                "board": words.text(board.label),  # no two are alike
                "length_m": board.length_m,
                "width_m": board.width_m,
                "count": board.count * forms.set.built,
                "radius_m": board.radius_m,
            }
            for forms in plan.marks
            for board in forms.boards
        ],
        "sheets": len(nesting.sheets) if nesting is not None and nesting.sheets else None,
        "fewest": attribute(nesting, "fewest"),
        "used": attribute(nesting, "used"),
        "layout": [] if nesting is None else nesting.sheets,
    }


def _shelf(supply: Supply) -> list[Document]:
    """Leftovers that the next job can list as its stock."""
    mixed = [(item.material, item.left_kg, "kg", item.reserve_kg, item.keeps_until) for item in supply.shelf]
    used = [(item.material, item.left, item.measure, 0.0, item.keeps_until) for item in supply.shelf_consumables]
    keys = ("material", "left", "unit", "reserve", "keeps_until")
    return [dict(zip(keys, row, strict=True)) for row in (*mixed, *used)]


def _cost(estimate: Estimate) -> Document:
    """Cost section, in which every amount has one name.

    The kinds of direct cost add up to `direct`; with overhead, margin, options, minimum charge, rounding and
    adjustment to `price`; with tax to `total`. `held` is the part of the adjustment that keeps an accepted price.
    `lines` add up to the total and, by kind, to the amount of that name; `labour_lines` to `labour`,
    `allowance_lines` to `allowances`, `pieces` to the direct cost and the price.
    """
    priced, terms = estimate.pricing, estimate.job.price
    cost, direct = priced.cost, priced.cost.direct
    amounts = (
        "overhead",
        "margin",
        "options",
        "minimum_charge",
        "rounding",
        "adjustment",
        "held",
        "price",
        "tax",
        "total",
    )
    return {
        **direct.kinds,
        "direct": float(direct.total),
        **{name: float(getattr(cost, name)) for name in amounts},
        "terms": terms,
        "lines": lines_of(cost, terms),
        "labour_hours": float(priced.labour.hours),
        "labour_lines": [table(line) | {"figure": f"labour.{line.figure}"} for line in priced.labour.lines],
        "allowance_lines": direct.allowance_lines,
        "tax_lines": cost.tax_lines,
        "machine_days": priced.machine_days,
        "trips": priced.trips,
        "pieces": priced.marks,
        "unpriced": list(cost.unpriced),
        "charge": terms.charge,
        "order_total": estimate.supply.order_total,
    }


def _quote(estimate: Estimate) -> Document:
    """Agreement with the client: status, validity, sign-offs, payments, alternatives, options and change orders."""
    job, cost, versions, calendar = estimate.job, estimate.pricing.cost, estimate.versions, estimate.calendar
    return {
        "status": job.status,
        "date": job.date,
        "valid_until": job.valid_until,
        "sign_offs": dict(job.sign_offs),
        "payments": cost.payments,
        "received": float(cost.received),
        "balance_due": float(cost.balance_due),
        "alternatives": [table(version) | table(version.standing) for version in versions.alternatives],
        "options": versions.options,
        "changes": versions.changes,
        "lead_days": calendar.lead_days,  # working days from approval to the day it ships
        "ships": estimate.ships,
    }


def _calendar(calendar: Calendar) -> Document:
    """Calendar section. Days are counted from 0, the start; dates are included if the job has one."""
    dated = calendar.date_of
    return {
        "start": calendar.start,
        "ship_day": calendar.ship_day,
        "last_day": calendar.last_day,
        "lead_days": calendar.lead_days,
        "needed": [{"material": name, "day": day, "date": dated(day)} for name, day in calendar.needed.items()],
        "attended": [
            {"pour": pour, "day": day, "date": dated(day)} for pour, days in calendar.attended.items() for day in days
        ],
        "steps": [
            table(step) | {"first_date": dated(step.first_day), "last_date": dated(step.last_day)}
            for step in calendar.steps
        ],
        "weeks": [table(week) | {"first_date": dated(week.first_day)} for week in calendar.weeks],
    }
