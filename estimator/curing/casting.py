"""A piece as it hardens, and what its verdicts are held against: mix, room, sections, limits."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from estimator.curing.hydration import Hydration, Unmodelled
from estimator.errors import FaultError

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


@dataclass(frozen=True, slots=True)
class MixHeat:
    """What the plan must know of a mix, per m³ of fresh mix.

    hydration               its heat curve, or why there is none
    water_kg_m3             free water
    silica_fume_share       of the cementitious
    curing_polymer_solids   solids of a polymer made for curing, per cementitious
    set_modified            whether a retarder or accelerator is in it
    retarded                whether a retarder is
    """

    hydration: Hydration | Unmodelled
    cementitious_kg_m3: float
    water_kg_m3: float
    density_kg_m3: float
    specific_heat_j_kg_k: float
    conductivity_w_m_k: float
    silica_fume_share: float
    curing_polymer_solids: float
    set_modified: bool = False
    retarded: bool = False

    def __post_init__(self) -> None:
        for name in ("silica_fume_share", "curing_polymer_solids"):
            share = getattr(self, name)
            if not 0.0 <= share <= 1.0:
                raise FaultError("", f"{name} is {share:g}: a share from 0 to 1 is wanted, 6 % is 0.06")
        if self.water_kg_m3 <= 0.0:
            raise FaultError("", f"free water {self.water_kg_m3:g} kg/m³ must be above 0")


@dataclass(frozen=True, slots=True)
class Room:
    """Where the piece lies; humidity None where it is not known.

    room_c, placed_c   of the air and of the mix when placed, °C
    humidity           relative, 0 to 1
    wind_km_h          over the open surface
    uncovered_h        from placing until the plastic is on
    """

    room_c: float
    placed_c: float
    humidity: float | None = None
    wind_km_h: float = 0.0
    uncovered_h: float = 0.5


@dataclass(frozen=True, slots=True)
class Section:
    """A part of a piece: how thick it is, and its mix, averaged over the layers through that thickness."""

    thickness_m: float
    mix: MixHeat


@dataclass(frozen=True, slots=True)
class Casting:
    """A piece to be cured.

    thickness_m, mix   of its thickest section, which rules overheating
    thinnest           the section that rules cold, stripping and drying; None where it is the same
    set_delay_h        by which a retarder delays the set, from a trial of this mix; None: no trial
    """

    thickness_m: float
    mix: MixHeat
    room: Room
    thinnest: Section | None = None
    set_delay_h: float | None = None

    @property
    def retarded(self) -> bool:
        """Whether any of its mixes holds a retarder."""
        return self.mix.retarded or self.thin.mix.retarded

    @property
    def thin(self) -> Section:
        """The thinnest section, which may be the only one."""
        return self.thinnest or Section(self.thickness_m, self.mix)
