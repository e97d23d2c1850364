"""A piece as it hardens, and what its verdicts are held against: mix, room, sections, limits."""

from __future__ import annotations

from collections.abc import Mapping

from estimator.constants import DAY_S, HOUR_S
from estimator.curing.hydration import ADIABATIC, Hydration, Unmodelled
from estimator.errors import FaultError
from estimator.workshop import CuringSettings
from geometry.frozen import frozen
from geometry.message import Message, message

SAME = 0.03
"""A limit that differs by less from the printed one is the same in other units: 55 °F is printed as 13 °C."""


THIN_SECTIONS = "thin sections placed and kept at"


@frozen
class Limit:
    """A figure that a verdict is held against."""

    name: str
    value: float
    unit: str
    source: Message


def limits_of(settings: CuringSettings) -> tuple[Limit, ...]:
    """The limits that verdicts are held against, each with its source; one that the shop has set itself says so."""
    evaporation = settings.evaporation_most_kg_m2_s * HOUR_S
    fume = evaporation * settings.evaporation_silica_fume
    table = (  # name, the shop's, as printed, unit, where that is printed
        ("peak temperature", settings.peak_most_c, 70.0, "°C", "aci-301"),
        ("core to surface", settings.core_surface_difference_k, 19.0, "K", "aci-301"),
        (THIN_SECTIONS, settings.thin_section_least_c, 13.0, "°C", "aci-306"),
        (
            "polymer solids that replace wet curing",
            settings.polymer_for_dry_cure,
            0.05,
            "of cementitious",
            "practice-polymer",
        ),
        ("stripping", settings.strip_from_s / HOUR_S, 16.0, "h", "practice-strip"),
        ("damp curing", settings.wet_cure_s / DAY_S, 7.0, "days", "practice"),
        ("evaporation", evaporation, 1.0, "kg/m²h", "aci-305"),  # 0.2 lb/ft²/h
        ("evaporation with silica fume", fume, 0.5, "kg/m²h", "aci-305-fume"),
        (
            "mix water lost before the cover",
            settings.water_loss_most,
            0.05,
            "of mix water",
            "planning",
        ),
    )
    return tuple(
        Limit(
            name,
            value,
            unit,
            standard if abs(value - printed) <= SAME * printed else message("limit-of-shop", standard=standard),
        )
        for name, value, printed, unit, source in table
        for standard in (message(f"limit-{source}"),)
    )


@frozen
class MixHeat:
    """Heat and water of a mix, per m³ of fresh mix.

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
                raise FaultError("", message("heat-share", name=name, share=f"{share:g}"))
        if self.water_kg_m3 <= 0.0:
            raise FaultError("", message("heat-free-water", water_kg_m3=self.water_kg_m3))

    @property
    def adiabatic(self) -> Mapping[str, float] | None:
        """Values of the ADIABATIC formula; None without a heat curve."""
        if isinstance(self.hydration, Unmodelled):
            return None
        return {
            "cementitious": self.cementitious_kg_m3,
            "heat": self.hydration.heat_j_kg,
            "ultimate_degree": self.hydration.ultimate_degree,
            "density": self.density_kg_m3,
            "specific_heat": self.specific_heat_j_kg_k,
        }

    @property
    def adiabatic_rise_k(self) -> float | None:
        """Temperature rise of a section that loses no heat, K; None without a heat curve."""
        return None if self.adiabatic is None else ADIABATIC(**self.adiabatic)


@frozen
class Room:
    """Where the piece lies; humidity None where it is not known.

    room_c, placed_c   of the air and of the mix when placed, °C
    humidity           relative, 0 to 1
    wind_km_h          over the open surface
    uncovered_h        from placing until the plastic is on
    """

    room_c: float
    placed_c: float
    humidity: float | None
    wind_km_h: float
    uncovered_h: float


@frozen
class ThermalSection:
    """A part of a piece: how thick it is, and its mix, averaged over the layers through that thickness."""

    thickness_m: float
    mix: MixHeat


@frozen
class Casting:
    """A piece to be cured.

    thickness_m, mix   of its thickest section, which rules overheating
    thinnest           the section that rules cold, stripping and drying; None where it is the same
    set_delay_h        by which a retarder delays the set, from a trial of this mix; None: no trial
    """

    thickness_m: float
    mix: MixHeat
    room: Room
    thinnest: ThermalSection | None = None
    set_delay_h: float | None = None

    @property
    def retarded(self) -> bool:
        """Whether any of its mixes holds a retarder."""
        return self.mix.retarded or self.thin.mix.retarded

    @property
    def thin(self) -> ThermalSection:
        """The thinnest section, which may be the only one."""
        return self.thinnest or ThermalSection(self.thickness_m, self.mix)
