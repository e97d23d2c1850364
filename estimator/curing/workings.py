"""How the curing figures came about, where they are plain formulas; temperatures come from the heat model."""

from __future__ import annotations

from collections.abc import Iterator

from estimator.curing.casting import MixHeat
from estimator.curing.hydration import Hydration, adiabatic_rise_k
from estimator.curing.pieces import PieceCuring
from estimator.workings import Working


def adiabatic_k(mix: MixHeat, curve: Hydration) -> float:
    """Rise of a section that loses no heat, K."""
    return adiabatic_rise_k(
        mix.cementitious_kg_m3, curve.heat_j_kg, curve.ultimate_degree, mix.density_kg_m3, mix.specific_heat_j_kg_k
    )


def curing_workings(mark: str, curing: PieceCuring) -> Iterator[Working]:
    """Adiabatic rise, evaporation, the water lost, and when it is stripped."""
    at = f"pieces.{mark}.curing"
    plan, casting = curing.plan, curing.casting
    mix, thin, room = casting.mix, casting.thin, casting.room
    if isinstance(mix.hydration, Hydration):
        curve = mix.hydration
        yield Working(
            f"{at}.heat.adiabatic_rise_k",
            "cementitious · heat · ultimate_degree / (density · specific_heat)",
            {
                "cementitious": mix.cementitious_kg_m3,
                "heat": curve.heat_j_kg,
                "ultimate_degree": curve.ultimate_degree,
                "density": mix.density_kg_m3,
                "specific_heat": mix.specific_heat_j_kg_k,
            },
            adiabatic_k(mix, curve),
            "K",
            "heat and degree of hydration by Schindler & Folliard, ACI Mat. J. 102(1), 2005; if no heat were lost",
        )
    yield from _peaks(at, curing)
    if plan.drying is not None and room.humidity is not None:
        lost = plan.drying
        yield Working(
            f"{at}.evaporation.rate_kg_m2_h",
            "5 · ((concrete_c + 18)^2.5 − humidity · (air_c + 18)^2.5) · (wind_km_h + 4) / 1000000",
            {
                "concrete_c": room.placed_c,
                "air_c": room.room_c,
                "humidity": room.humidity,
                "wind_km_h": room.wind_km_h,
            },
            lost.rate_kg_m2_h,
            "kg/m²h",
            "Uno, ACI Materials Journal 95(4), 1998",
        )
        yield Working(
            f"{at}.evaporation.share_of_mix_water",
            "max(0, rate_kg_m2_h) · uncovered_h / (thickness_m · water_kg_m3)",
            {
                "rate_kg_m2_h": lost.rate_kg_m2_h,
                "uncovered_h": room.uncovered_h,
                "thickness_m": thin.thickness_m,
                "water_kg_m3": thin.mix.water_kg_m3,
            },
            lost.share_of_mix_water,
            "",
            "one open face, wet throughout; thinnest section",
        )
    if plan.earliest_demould_h is not None and curing.covered_h is not None:
        yield Working(
            f"{at}.covered_h",
            "max(cover_time_h, earliest_demould_h)",
            {"cover_time_h": curing.cover_time_h, "earliest_demould_h": plan.earliest_demould_h},
            curing.covered_h,
            "h",
            "overnight by common practice; demould age by the heat model, heat low",
        )


def _peaks(at: str, curing: PieceCuring) -> Iterator[Working]:
    """The band of the peak: what the cover keeps of the adiabatic rise, which the heat model finds."""
    chosen, casting = curing.plan.chosen, curing.casting
    curve, placed_c = casting.mix.hydration, casting.room.placed_c
    if chosen is None or not isinstance(curve, Hydration):
        return
    rise_k = adiabatic_k(casting.mix, curve)
    sides = (
        ("low", curve.low_factor, chosen.peak.low_c),
        ("nominal", 1.0, chosen.peak.nominal_c),
        ("high", curve.high_factor, chosen.peak.high_c),
    )
    for side, factor, peak_c in sides:
        if peak_c is None:  # over the limit: no number is stated
            continue
        yield Working(
            f"{at}.peak_c.{side}",
            "placed_c + kept · heat_factor · adiabatic_rise_k",
            {
                "placed_c": placed_c,
                "kept": (peak_c - placed_c) / (factor * rise_k),
                "heat_factor": factor,
                "adiabatic_rise_k": rise_k,
            },
            peak_c,
            "°C",
            "kept: share of the rise left at the peak under the cover, by the heat model through the thickest section; "
            "heat ±15 %, since measured heat (NIST, ASTM C186) stands 12 to 13 % above the model",
        )
