"""The figures that a curing verdict is held against, with where they come from."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

PEAK_LIMIT_C = 70.0
"""Source: ACI 301-20 (160 °F)."""

DIFFERENCE_LIMIT_K = 19.0
"""Core to surface. Source: ACI 301-20 (35 °F)."""

THIN_SECTION_MIN_C = 13.0
"""Thin sections are placed and kept at this in cold weather. Source: ACI 306R (55 °F)."""

COLD_WEATHER_C = 5.0
"""Below this a room counts as cold weather. Source: ACI 306R (40 °F)."""

STRIP_FROM_H = 16.0
STRIP_TO_H = 24.0
"""Overnight, by common practice: pieces are stripped 16 to 24 hours after casting."""

CURING_POLYMER_SOLIDS = 0.05
"""Of the cementitious. Common practice: 5 to 6 % take the place of wet curing."""

DAMP_DAYS = 7.0
"""Common practice."""

EVAPORATION_LIMIT_KG_M2_H = 1.0
"""Rate above which plastic shrinkage cracking is likely, 0.2 lb/ft²/h. Source: ACI 305R-91."""

SILICA_FUME_LIMIT_KG_M2_H = 0.5
"""About half for mixes with silica fume, which hardly bleed. Source: as cited beside ACI 305R-91."""

NOTABLE_LOSS = 0.05
"""Share of the mix water lost before covering that the plan points out: a planning figure, no standard's."""


@dataclass(frozen=True, slots=True)
class Limit:
    """A figure that a verdict is held against."""

    name: str
    value: float
    unit: str
    source: str


@dataclass(frozen=True, slots=True)
class Limits:
    """What a workshop holds its pieces to; the printed figures unless it sets its own."""

    peak_c: float = PEAK_LIMIT_C
    difference_k: float = DIFFERENCE_LIMIT_K
    thin_section_c: float = THIN_SECTION_MIN_C
    cold_weather_c: float = COLD_WEATHER_C
    strip_from_h: float = STRIP_FROM_H
    strip_to_h: float = STRIP_TO_H
    polymer_solids: float = CURING_POLYMER_SOLIDS
    damp_days: float = DAMP_DAYS
    evaporation_kg_m2_h: float = EVAPORATION_LIMIT_KG_M2_H
    evaporation_silica_fume_kg_m2_h: float = SILICA_FUME_LIMIT_KG_M2_H
    notable_loss: float = NOTABLE_LOSS

    def listed(self) -> tuple[Limit, ...]:
        """Every limit with its source; one that a workshop has set itself says so."""
        return tuple(_listed(self))


PRINTED = Limits()
SET_TOLERANCE = 0.03
"""A limit that differs by less from the printed one is the same in other units: 55 °F is printed as 13 °C."""


def _listed(limits: Limits) -> Iterable[Limit]:
    for name, key, unit, source in _TABLE:
        value, printed = getattr(limits, key), getattr(PRINTED, key)
        own = abs(value - printed) > SET_TOLERANCE * printed
        yield Limit(name, value, unit, f"set by the workshop; {printed:g} by {source}" if own else source)


_TABLE = (
    ("peak temperature", "peak_c", "°C", "ACI 301-20 (160 °F)"),
    ("core to surface", "difference_k", "K", "ACI 301-20 (35 °F)"),
    ("thin sections placed and kept at", "thin_section_c", "°C", "ACI 306R (55 °F)"),
    (
        "polymer solids that replace wet curing",
        "polymer_solids",
        "of cementitious",
        "common practice, 5 to 6 %",
    ),
    ("stripping", "strip_from_h", "h", "common practice, 16 to 24 h"),
    ("damp curing", "damp_days", "days", "common practice, 7 days"),
    ("evaporation", "evaporation_kg_m2_h", "kg/m²h", "ACI 305R-91"),
    (
        "evaporation with silica fume",
        "evaporation_silica_fume_kg_m2_h",
        "kg/m²h",
        "about half, as cited beside ACI 305R-91",
    ),
    ("mix water lost before the cover", "notable_loss", "of mix water", "a planning figure, no standard's"),
)
