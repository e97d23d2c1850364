"""Input of the curing kernels in tests: a shop that keeps to the printed limits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from estimator.cement import CementAnalysis
from estimator.curing import hydration, plan
from estimator.curing.casting import Casting, MixHeat, Room
from estimator.curing.covers import BLANKET, PLASTIC, Cover
from estimator.curing.hydration import Blend, CementKind, Hydration, Unmodelled
from estimator.curing.plan import CuringPlan
from estimator.curing.slab import Surroundings
from estimator.intake import read_job
from estimator.workshop import CuringSettings

HOUR_S = 3600.0
PEAK_LIMIT_C, DIFFERENCE_LIMIT_K = 70.0, 19.0  # source: ACI 301-20, 160 °F and 35 °F
THIN_SECTION_MIN_C, COLD_WEATHER_C = 13.0, 5.0  # source: ACI 306R, 55 °F and 40 °F
EVAPORATION_LIMIT_KG_M2_H = 1.0  # source: ACI 305R-91, 0.2 lb/ft²h
FILM_W_M2_K = 10.0  # still air indoors, radiation included
HEAT_BAND = 0.15  # the model stands 12 to 13 % below sealed calorimetry (NIST, C186 data)
ASSUMED_CEMENT = CementAnalysis(
    c3s=0.57, c2s=0.17, c3a=0.09, c4af=0.08, so3=0.03, free_cao=0.01, mgo=0.02, blaine_m2_kg=370.0
)
FILM_ALONE, UNDER_TARP = Cover(PLASTIC, 0.0, 0.0), Cover(BLANKET, 0.5, 0.5)

PRINTED: CuringSettings = replace(
    read_job(Path(__file__).parents[1] / "examples/boathouse/job.toml").sound().workshop.curing,
    peak_most_c=PEAK_LIMIT_C,
    core_surface_difference_k=DIFFERENCE_LIMIT_K,
    thin_section_least_c=THIN_SECTION_MIN_C,
    cold_weather_c=COLD_WEATHER_C,
    strip_from_s=16.0 * HOUR_S,
    strip_to_s=24.0 * HOUR_S,
    polymer_for_dry_cure=0.05,
    wet_cure_s=7.0 * 24.0 * HOUR_S,
    evaporation_most_kg_m2_s=EVAPORATION_LIMIT_KG_M2_H / HOUR_S,
    evaporation_silica_fume=0.5,
    water_loss_most=0.05,
    heat_band=HEAT_BAND,
    strip_strength=0.30,
    strength_coefficient=0.25,
    surface_conductance_w_m2_k=FILM_W_M2_K,
)


def hydration_of(
    kind: CementKind, blend: Blend, water_cementitious: float, analysis: CementAnalysis | None = None
) -> Hydration | Unmodelled:
    return hydration.hydration_of(kind, blend, water_cementitious, analysis, ASSUMED_CEMENT, HEAT_BAND)


def surroundings(
    placed_c: float, air_c: float, top_r: float = 0.0, form_r: float = 0.0, added_w_m3: float = 0.0
) -> Surroundings:
    return Surroundings(placed_c, air_c, top_r, form_r, FILM_W_M2_K, added_w_m3)


def room(
    room_c: float, placed_c: float, humidity: float | None = None, wind_km_h: float = 0.0, uncovered_h: float = 0.5
) -> Room:
    return Room(room_c, placed_c, humidity, wind_km_h, uncovered_h)


def curing_plans(
    castings: Sequence[Casting], settings: CuringSettings = PRINTED, plastic: Cover = FILM_ALONE
) -> list[CuringPlan]:
    return plan.curing_plans(castings, plastic, UNDER_TARP, settings)


def curing_plan(
    thickness_m: float, mix: MixHeat, room: Room, settings: CuringSettings = PRINTED, plastic: Cover = FILM_ALONE
) -> CuringPlan:
    return curing_plans([Casting(thickness_m, mix, room)], settings, plastic)[0]


def adiabatic_rise_k(
    cementitious_kg_m3: float, heat_j_kg: float, ultimate: float, density_kg_m3: float, specific_heat_j_kg_k: float
) -> float:
    rise_k: float = hydration.ADIABATIC(
        cementitious=cementitious_kg_m3,
        heat=heat_j_kg,
        ultimate_degree=ultimate,
        density=density_kg_m3,
        specific_heat=specific_heat_j_kg_k,
    )
    return rise_k
