"""The mixes of an estimate as the document tells them (contract): SI, unrounded, the unit in each key."""

from math import isnan
from typing import Any

from estimator.comparison import CastIn, Comparison
from estimator.mix import MadeMix
from estimator.mix.bands import Band
from estimator.mix_facts import EarlyStop, MixFacts
from estimator.money import round2
from estimator.strength import FlexuralStrength, Spread

Document = dict[str, Any]


def mix_document(made: MadeMix, facts: MixFacts) -> Document:
    """What a mix weighs, holds and shows, with the low and high of what is predicted."""
    mix = facts.mix
    return {
        "name": made.name,
        "written_as": mix.written_as,
        "replaced_by": mix.replaced_by,
        "fresh_density_kg_m3": made.fresh_density_kg_m3,
        "demould_density_kg_m3": made.demould_density_kg_m3,
        "oven_dry_density_kg_m3": made.oven_dry_density_kg_m3,
        "installed_density_kg_m3": made.installed_density_kg_m3,
        "bands": {
            "fresh_density_kg_m3": _band(facts.bands.fresh_density_kg_m3),
            "oven_dry_density_kg_m3": _band(facts.bands.oven_dry_density_kg_m3),
            "installed_density_kg_m3": _band(facts.bands.installed_density_kg_m3),
            "yield_m3_per_m3": _band(facts.bands.yield_m3_per_m3),
        },
        "air": made.air,
        "air_low": made.air_low,
        "air_high": made.air_high,
        "water_cementitious": made.water_cementitious,
        "water_cement": made.water_cement,
        "free_water_kg_m3": made.free_water_kg_m3,
        "absorbed_water_kg_m3": made.absorbed_water_kg_m3,
        "water_held_back": mix.water_held_back,
        "early_stops": [_early_stop(each) for each in facts.early_stops],
        "cementitious_kg_m3": made.cementitious_kg_m3,
        "counted_dry_kg_m3": made.counted_dry_kg_m3,
        "fibre_basis": made.fibre_basis,
        "recipe_kg_m3": dict(made.recipe_kg_m3),
        "loose_m3_per_m3": dict(made.loose_m3_per_m3),
        "volume_fractions": dict(made.volume_fractions),
        "floats": made.floats,
        "consistency": mix.consistency or None,
        "colour_group": mix.colour_group or None,
        "first_crack_strength_pa": mix.first_crack_strength_pa,
        "first_crack_age_d": mix.first_crack_age_d,
        "strengths": [strength_document(each) for each in facts.strengths],
        "replacements": [
            {
                "by": each.by,
                "bead_in_kg_m3": each.bead_in_kg,
                "bead_in_loose_m3_per_m3": each.bead_in_loose_m3,
                "sand_out_kg_m3": each.sand_out_kg,
                "yield_m3_per_m3": each.yield_m3,
                "fresh_density_kg_m3": each.made.fresh_density_kg_m3,
                "lighter": each.lighter,
            }
            for each in facts.by_basis
        ],
    }


def comparison_document(comparison: Comparison) -> Document:
    """A mix beside other shares of its sand replaced, and the curve of weight and cost from none to all of it."""
    return {
        "mix": comparison.mix,
        "sand": comparison.sand,
        "bead": comparison.bead,
        "by": "loose-volume",
        "rows": [row_document(each, comparison.pieces.marks) | _job(each, comparison) for each in comparison.rows],
        "curve": {
            "replacement": comparison.curve.fraction.tolist(),
            "fresh_density_kg_m3": comparison.curve.fresh_density_kg_m3.tolist(),
            "installed_density_kg_m3": comparison.curve.installed_density_kg_m3.tolist(),
            "cost_per_m3": comparison.curve.cost_per_m3.tolist(),
            "job_fresh_kg": comparison.curve_job_kg.tolist(),
            "job_cost": [amount(each) for each in comparison.curve_job_cost.tolist()],
            "floats_from": comparison.curve.floats_from,
        },
    }


def row_document(row: CastIn, marks: tuple[str, ...]) -> Document:
    """One mix of a comparison, with each piece cast in it."""
    made = row.made
    return {
        "mix": row.mix.name,
        "replacement": row.replacement,
        "fresh_density_kg_m3": made.fresh_density_kg_m3,
        "installed_density_kg_m3": made.installed_density_kg_m3,
        "cementitious_kg_m3": made.cementitious_kg_m3,
        "water_cementitious": made.water_cementitious,
        "water_cement": made.water_cement,
        "cost_per_m3": None if row.unpriced else row.cost_per_m3,
        "unpriced": list(row.unpriced),
        "floats": made.floats,
        "first_crack_strength_pa": row.mix.first_crack_strength_pa,
        "pieces": [
            {
                "mark": mark,
                "fresh_kg": float(row.fresh_kg[i]),
                "installed_kg": float(row.installed_kg[i]),
                "high_kg": float(row.high_kg[i]),
                "cost": amount(float(row.cost[i])),
            }
            for i, mark in enumerate(marks)
        ],
    }


def strength_document(strength: FlexuralStrength) -> Document:
    """What the coupons of one pour at one age show."""
    return {
        "pour": strength.pour,
        "age_d": strength.age_d,
        "count": strength.count,
        "limit_of_proportionality": None if strength.limit is None else _spread(strength.limit),
        "modulus_of_rupture": _spread(strength.rupture),
        "to_count_on_pa": strength.design_pa,
        "shortcomings": list(strength.shortcomings),
    }


def amount(value: float) -> float | None:
    """Money to the cent, None where a price is missing."""
    return None if isnan(value) else float(round2(value))


def _job(row: CastIn, comparison: Comparison) -> Document:
    quantity = comparison.pieces.quantity
    return {
        "job_fresh_kg": float(row.fresh_kg @ quantity),
        "job_installed_kg": float(row.installed_kg @ quantity),
        "job_cost": amount(float(row.cost @ quantity)),
    }


def _band(band: Band) -> Document:
    return {"low": band.low, "best": band.best, "high": band.high, "parts": dict(band.parts)}


def _early_stop(stop: EarlyStop) -> Document:
    made = stop.stopped.made
    return {
        "second_water_used": stop.used,
        "water_cementitious": made.water_cementitious,
        "water_left_kg_m3": stop.stopped.water_left_kg_m3,
        "yield_ratio": stop.stopped.yield_ratio,
        "fresh_density_kg_m3": made.fresh_density_kg_m3,
        "installed_density_kg_m3": made.installed_density_kg_m3,
        "cautions": list(stop.stopped.cautions),
    }


def _spread(spread: Spread) -> Document:
    return {
        "mean_pa": spread.mean_pa,
        "deviation_pa": spread.deviation_pa,
        "variation": spread.variation,
        "characteristic_pa": spread.characteristic_pa,
        "tolerance_pa": spread.tolerance_pa,
    }
