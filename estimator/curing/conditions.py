"""From the workshop's figures and a piece's own: the room, the covers, the limits, the cement that is assumed."""

from __future__ import annotations

from collections.abc import Mapping

from estimator.cement import CementAnalysis
from estimator.curing.casting import Room
from estimator.curing.covers import PLASTIC, TARP, Cover, StrengthNeed
from estimator.curing.limits import Limits
from estimator.curing.mix_heat import HeatSource
from estimator.job import Cure

HOUR_S = 3600.0
DAY_S = 86_400.0
KM_H = 3.6  # per m/s

Figures = Mapping[str, float]


def room_of(cure: Cure, figures: Figures) -> Room:
    """Where a piece lies: its own figures before the workshop's."""

    def said(own: float | None, key: str) -> float:
        return figures[f"curing.{key}"] if own is None else own

    return Room(
        room_c=said(cure.room_c, "room"),
        placed_c=said(cure.placed_c, "mix_temperature"),
        humidity=said(cure.humidity, "humidity"),
        wind_km_h=said(cure.air_speed_m_s, "air_speed") * KM_H,
        uncovered_h=said(cure.uncovered_s, "uncovered") / HOUR_S,
    )


def covers_of(cure: Cure, figures: Figures) -> tuple[Cover, Cover]:
    """Film alone, and film with the tarp round piece and form; the form resists below in both."""
    film_r = 1.0 / figures["curing.film_conductance"]
    tarp_r = 1.0 / figures["curing.tarp_conductance"] if cure.tarp_r is None else cure.tarp_r
    form_r = 1.0 / figures["curing.form_conductance"] if cure.form_r is None else cure.form_r
    return Cover(PLASTIC.name, film_r, form_r), Cover(TARP.name, film_r + tarp_r, form_r + tarp_r)


def limits_of(figures: Figures) -> Limits:
    """What the workshop holds its pieces to."""
    evaporation = figures["curing.evaporation_most"] * HOUR_S
    return Limits(
        peak_c=figures["curing.peak_most"],
        difference_k=figures["curing.core_surface_difference"],
        thin_section_c=figures["curing.thin_section_least"],
        cold_weather_c=figures["curing.cold_weather"],
        strip_from_h=figures["curing.strip_from"] / HOUR_S,
        strip_to_h=figures["curing.strip_to"] / HOUR_S,
        polymer_solids=figures["curing.polymer_for_dry_cure"],
        damp_days=figures["curing.wet_cure"] / DAY_S,
        evaporation_kg_m2_h=evaporation,
        evaporation_silica_fume_kg_m2_h=evaporation * figures["curing.evaporation_silica_fume"],
        notable_loss=figures["curing.water_loss_most"],
    )


def need_of(figures: Figures) -> StrengthNeed:
    """How strong a piece must be to be stripped."""
    return StrengthNeed(figures["curing.strip_strength"], figures["curing.strength_coefficient"])


def heat_source_of(figures: Figures) -> HeatSource:
    """The cement assumed where no analysis is given, and the band on its heat."""
    names = ("c3s", "c2s", "c3a", "c4af", "so3", "free_cao", "mgo")
    assumed = CementAnalysis(**{n: figures[f"cement.{n}"] for n in names}, blaine_m2_kg=figures["cement.blaine"])
    return HeatSource(assumed, figures["curing.heat_band"])
