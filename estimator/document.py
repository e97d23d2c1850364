"""The estimate as a document (contract): JSON, SI units with the unit in each key; figures unrounded, money rounded."""

import json
from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from estimator.batching import Batch, DensityCheck, PiecePlacing, Pour, PourWork
from estimator.curing.document import curing_document, job_curing_document, strip_document, trace_numbers
from estimator.estimate import Estimate, PieceEstimate
from estimator.handling.document import delivery_document, handling_document
from estimator.lots import lot_lines
from estimator.mix import MadeMix
from estimator.mix_document import comparison_document, mix_document
from estimator.packaging.document import material_document, supply_document
from estimator.packaging.materials import cost_per_m3
from estimator.pricing.document import calendar_document, cost_document, quote_document
from estimator.weight import drop_edge_loads
from estimator.workings import Working

SCHEMA = "cast-estimate/1"
Document = dict[str, Any]


def to_document(estimate: Estimate, *, workings: bool = False) -> Document:
    """The estimate as plain tables and lists.

    workings   whether the working of every figure stands in it
    """
    job = estimate.job
    traces, crews = trace_numbers(estimate.curing), estimate.strip_crews
    return {
        "schema": SCHEMA,
        "job": {"name": job.name, "units": job.units, "currency": job.currency, "date": job.date, "status": job.status},
        "pieces": [
            _piece(each, traces.get(each.taken.piece.mark)) | {"placing": _placing(placing)}
            for each, placing in zip(estimate.pieces, estimate.batching.placing, strict=True)
        ],
        "mixes": [_mix(each, estimate) for each in estimate.mixes.values()],
        "comparisons": [
            comparison_document(each.comparison) for each in estimate.mix_facts.values() if each.comparison is not None
        ],
        "pours": [
            _pour(pour, work, estimate, crews)
            for pour, work in zip(estimate.batching.pours, estimate.batching.work, strict=True)
        ],
        "mixing": {"pot_life_s": estimate.batching.pot_life_s, "steps": list(job.workshop.loading_steps)},
        "batches": [
            _batch(each) | {"lots": lot_lines(job, estimate.mixes[each.mix])} for each in estimate.batching.batches
        ],
        "curing": job_curing_document(estimate.curing),
        "materials": [material_document(each) | _lot(each.material, estimate) for each in estimate.materials.lines],
        **supply_document(estimate.supply),
        "cost": cost_document(estimate.pricing, job.price)
        | {
            "charge": job.price.charge,
            "order_total": _money(estimate.supply.order_total),
        },
        "quote": quote_document(job, estimate.pricing, estimate.versions, estimate.calendar),
        "calendar": calendar_document(estimate.calendar),
        "delivery": delivery_document(estimate.delivery),
        "cautions": [
            {
                "id": each.caution.id,
                "severity": each.caution.severity,
                "text": each.caution.text,
                "why": each.caution.why,
                "source": each.caution.source,
                "pieces": list(each.pieces),
                "reasons": dict(each.reasons),
            }
            for each in estimate.cautions
        ],
        "warnings": [{"id": each.id, "text": each.text} for each in estimate.warnings],
        **({"workings": [_working(each) for each in estimate.workings]} if workings else {}),
    }


def _working(working: Working) -> Document:
    return {
        "figure": working.figure,
        "formula": working.formula,
        "values": dict(working.values),
        "result": working.result,
        "unit": working.unit,
        "source": working.source,
    }


def to_workings_document(workings: Sequence[Working]) -> Document:
    """Every working with the text of a formula and of a source written once.

    rows   figure, number of its formula, values, result, unit, number of its source
    """
    formulas = {text: number for number, text in enumerate(dict.fromkeys(each.formula for each in workings))}
    sources = {text: number for number, text in enumerate(dict.fromkeys(each.source for each in workings))}
    rows = [
        [each.figure, formulas[each.formula], dict(each.values), each.result, each.unit, sources[each.source]]
        for each in workings
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
        told = "[\n" + ",\n".join(write(each) for each in value) + "\n]" if rows else write(value)
        sections.append(f"{write(key)}: {told}")
    return "{\n" + ",\n".join(sections) + "\n}\n"


def _money(amount: Decimal | None) -> float | None:
    return None if amount is None else float(amount)


def _piece(piece: PieceEstimate, trace: int | None) -> Document:
    taken, weight = piece.taken, piece.weight
    solid, quantity = taken.solid, taken.piece.quantity
    return {
        "mark": taken.piece.mark,
        "quantity": quantity,
        "use": taken.piece.use,
        "volume_m3": taken.volume_m3,
        "surface_area_m2": solid.surface_area_m2,
        "form_area_m2": solid.form_area_m2,
        "finished_area_m2": solid.finished_area_m2,
        "face_area_m2": taken.face_area_m2,
        "plan_area_m2": taken.plan.gross_m2,
        "net_plan_area_m2": taken.plan.net_m2,
        "mass_per_area_kg_m2": weight.installed_kg / taken.plan.net_m2,
        "high_per_area_kg_m2": weight.in_place_kg / taken.plan.net_m2,
        "drop_edges": [
            {"sides": list(drop.sides), "high_kg_per_m": kg_per_m} for drop, kg_per_m in drop_edge_loads(taken, weight)
        ],
        "price": _money(piece.price),
        "price_per_area": float(piece.price) / quantity / taken.plan.gross_m2,
        "centroid_m": list(solid.centroid_m),
        "size_m": list(solid.size_m),
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
        "weight": {
            "fresh_kg": weight.fresh_kg,
            "demould_kg": weight.demould_kg,
            "installed_kg": weight.installed_kg,
            "low_kg": weight.low_kg,
            "high_kg": weight.high_kg,
            "lift_kg": weight.lift_kg,
            "turn_kg": weight.turn_kg,
            "centre_of_gravity_m": list(weight.centre_of_gravity_m),
            "stages": {
                stage: {
                    "low_kg": band.low_kg,
                    "nominal_kg": band.nominal_kg,
                    "high_kg": band.high_kg,
                    "centre_of_gravity_m": list(weight.centres_m[stage]),
                }
                for stage, band in weight.stages.by_stage.items()
            },
            "filled_kg": None if weight.filled is None else weight.filled.high_kg,
            "assumptions": list(weight.assumptions),
        },
        "handling": handling_document(piece.handling),
        "curing": curing_document(piece.curing, trace),
        "cautions": list(piece.cautions),
    }


def _mix(mix: MadeMix, estimate: Estimate) -> Document:
    return {
        **mix_document(mix, estimate.mix_facts[mix.name]),
        "batch_m3": estimate.batching.batch_m3.get(mix.name, 0.0),
        "cost_per_m3": cost_per_m3(mix, estimate.job.materials),
    }


def _lot(material: str, estimate: Estimate) -> Document:
    """The lot that the job is cast from, and what of the shelf is of another and does not count."""
    return {
        "lot": estimate.job.lots.get(material),
        "other_lot_kg": estimate.stock.left_out_kg.get(material, 0.0),
    }


def _density_check(check: DensityCheck) -> Document:
    return {
        "measure_m3": check.measure_m3,
        "tare_kg": check.tare_kg,
        "expected_kg": check.expected_kg,
        "low_kg": check.low_kg,
        "high_kg": check.high_kg,
        "scale_good_to_kg": check.scale_good_to_kg,
        "people": check.people,
        "indication_only": check.indication_only,
        "when_heavy": check.when_heavy,
        "when_light": check.when_light,
    }


def _placing(placing: PiecePlacing) -> Document:
    return {
        "layers": [
            {
                "mix": layer.mix,
                "method": layer.method,
                "thickness_m": layer.thickness_m,
                "lifts": layer.lifts,
                "wait_s": None if layer.wait_s is None else list(layer.wait_s),
            }
            for layer in placing.layers
        ],
        "hone_most_m": placing.hone_most_m,
        "notes": list(placing.notes),
    }


def _pour(pour: Pour, work: PourWork, estimate: Estimate, crews: Mapping[str, int | None]) -> Document:
    casts = {cast.mark: cast.count for cast in pour.casts}
    return {
        "pour": pour.name,
        "day": pour.day,
        "pieces": [{"mark": mark, "count": count} for mark, count in casts.items()],
        "crew": work.crew,
        "mixing_s": work.mixing_s,
        "placing_s": work.placing_s,
        "taken_s": work.taken_s,
        "strip": strip_document(casts, estimate.curing, crews),
    }


def _batch(batch: Batch) -> Document:
    return {
        "pour": batch.pour,
        "mix": batch.mix,
        "count": batch.count,
        "volume_m3": batch.volume_m3,
        "loose_m3": batch.loose_m3,
        "yield_m3": batch.yield_m3,
        "mass_kg": batch.mass_kg,
        "pieces": list(batch.marks),
        "placing_s": batch.placing_s,
        "crew": batch.crew,
        "left_over_m3": batch.left_over_m3,
        "coupons": batch.coupons,
        "samples": batch.samples,
        "place_within_s": batch.place_within_s,
        "longest_wait_s": batch.longest_wait_s,
        "density_check": None if batch.check is None else _density_check(batch.check),
        "notes": list(batch.notes),
        "load": [
            {
                "step": each.step,
                "material": each.material,
                "target_kg": each.target_kg,
                "mass_kg": each.mass_kg,
                "volume_m3": each.volume_m3,
                "deviation": each.deviation,
            }
            for each in batch.load
        ],
    }
