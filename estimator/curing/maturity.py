"""Strength by age and temperature, and drying of a fresh surface."""

from __future__ import annotations

from math import exp, inf, log
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from estimator.constants import HOUR_S
from estimator.curing.casting import Room, ThermalSection
from estimator.errors import FaultError
from estimator.workings import Formula
from estimator.workshop import CuringSettings
from geometry.frozen import frozen
from geometry.message import message

Array: TypeAlias = NDArray[np.float64]

EVAPORATION = Formula(
    "5 · ((concrete_c + 18)^2.5 − humidity · (air_c + 18)^2.5) · (wind_km_h + 4) / 1000000",
    "kg/m²h",
    message("source-evaporation"),
)
WATER_LOST = Formula(
    "max(0, rate_kg_m2_h) · uncovered_h / (thickness_m · water_kg_m3)",
    "",
    message("source-water-lost"),
)
GAS_CONSTANT_J_MOL_K = 8.314462618  # CODATA
KELVIN_AT_ZERO_C = 273.15
CURVE_REFERENCE_C = 20.0
"""Temperature that the strength curve of EN 1992-1-1 stands on, °C."""

EN_ACTIVATION_J_MOL = 4000.0 * GAS_CONSTANT_J_MOL_K
"""Of the temperature-adjusted age of EN 1992-1-1, annex B, equation B.10, whose exponent is 4000 K."""

STRENGTH_COEFFICIENTS = {"rapid": 0.20, "normal": 0.25, "slow": 0.38}
"""s of EN 1992-1-1, 3.1.2(6): cement classes R, N and S."""


def age_factor(temperature_c: ArrayLike, activation_j_mol: float, reference_c: float) -> Array:
    """Equivalent hours at the reference temperature per hour at `temperature_c`, any shape.

    exp(E/R · (1/Tref − 1/T)), temperatures in kelvin. Source: ASTM C1074, Arrhenius form, where Q = E/R.
    """
    celsius = np.asarray(temperature_c, dtype=np.float64)
    if celsius.size and not float(celsius.min()) > -KELVIN_AT_ZERO_C:
        raise FaultError("", message("heat-below-zero", temperature_c=float(celsius.min())))
    if activation_j_mol < 0.0:
        raise FaultError("", message("heat-activation", activation_j_mol=f"{activation_j_mol:g}"))
    per_kelvin = activation_j_mol / GAS_CONSTANT_J_MOL_K
    reference = 1.0 / (reference_c + KELVIN_AT_ZERO_C)
    return np.asarray(np.exp(per_kelvin * (reference - 1.0 / (celsius + KELVIN_AT_ZERO_C))), dtype=np.float64)


def equivalent_age_h(time_h: ArrayLike, temperature_c: ArrayLike, activation_j_mol: float, reference_c: float) -> Array:
    """Equivalent age at each time of a temperature record, hours at the reference temperature.

    time_h          (m,) rising
    temperature_c   (m,) at those times, taken as straight between them
    Source: ASTM C1074.
    """
    time, factor = _record(time_h, age_factor(temperature_c, activation_j_mol, reference_c))
    return np.concatenate([[0.0], np.cumsum(np.diff(time) * 0.5 * (factor[1:] + factor[:-1]))])


def strength_fraction(age_h: ArrayLike, coefficient: float) -> Array:
    """Strength as a fraction of that at 28 days, any shape; 0 at age 0.

    age_h         equivalent age, hours at CURVE_REFERENCE_C
    coefficient   s, see STRENGTH_COEFFICIENTS
    exp(s · (1 − √(28 d/t))). Source: EN 1992-1-1, 3.1.2(6). It is stated from 3 days on and extended downwards here,
    so an age below a day is a guide for planning, to be confirmed by coupons.
    """
    _check_coefficient(coefficient)
    days = np.asarray(age_h, dtype=np.float64) / 24.0
    if days.size and float(days.min()) < 0.0:
        raise FaultError("", message("heat-age", age=f"{float(days.min()) * 24.0:g}"))
    return np.asarray(np.exp(coefficient * (1.0 - np.sqrt(28.0 / np.maximum(days, 1e-9)))), dtype=np.float64)


def age_for_strength_h(fraction: float, coefficient: float) -> float:
    """Equivalent age at which a fraction of the 28-day strength is reached, hours at CURVE_REFERENCE_C.

    The inverse of `strength_fraction`.
    """
    _check_coefficient(coefficient)
    if not 0.0 < fraction <= 1.0:
        raise FaultError("", message("heat-strength-fraction", fraction=f"{fraction:g}"))
    root = 1.0 - log(fraction) / coefficient
    return 28.0 * 24.0 / (root * root)


def between_references(activation_j_mol: float, from_c: float, to_c: float) -> float:
    """Factor from an equivalent age at one reference temperature to that at another."""
    return exp(
        activation_j_mol / GAS_CONSTANT_J_MOL_K * (1.0 / (to_c + KELVIN_AT_ZERO_C) - 1.0 / (from_c + KELVIN_AT_ZERO_C))
    )


def earliest_time_h(time_h: ArrayLike, age_h: ArrayLike, wanted_age_h: float) -> float | None:
    """Clock time at which an equivalent age is reached, straight between the points; None if not within the record.

    time_h, age_h   (m,), both rising
    """
    time, age = _record(time_h, age_h)
    if wanted_age_h > age[-1]:
        return None
    return float(np.interp(wanted_age_h, age, time))


def _record(time_h: ArrayLike, values: ArrayLike) -> tuple[Array, Array]:
    time = np.asarray(time_h, dtype=np.float64)
    row = np.asarray(values, dtype=np.float64)
    if time.ndim != 1 or time.shape != row.shape or time.size < 2:
        raise FaultError("", message("heat-record-shape"))
    if not np.all(np.diff(time) > 0.0):
        raise FaultError("", message("heat-record-order"))
    return time, row


def _check_coefficient(coefficient: float) -> None:
    if not 0.1 <= coefficient <= 0.6:
        raise FaultError("", message("heat-coefficient", coefficient=f"{coefficient:g}"))


SILICA_FUME_FROM = 0.05
"""Share of the cementitious mass from which a mix counts as one with silica fume."""


@frozen
class Drying:
    """Water lost by an uncovered surface.

    rate_kg_m2_h           negative where water condenses on it
    limit_kg_m2_h          for this mix
    share_of_mix_water     lost by the time it is covered, of 1
    notable_share          above which it is pointed out
    hours_to_notable       time uncovered in which that is lost; inf where nothing evaporates
    """

    rate_kg_m2_h: float
    limit_kg_m2_h: float
    share_of_mix_water: float
    notable_share: float
    hours_to_notable: float

    @property
    def over_limit(self) -> bool:
        """Whether the surface loses water faster than the mix bears."""
        return self.rate_kg_m2_h > self.limit_kg_m2_h

    @property
    def notable(self) -> bool:
        """Whether a notable share of the mix water is gone before the piece is covered."""
        return self.share_of_mix_water > self.notable_share


def evaporation_kg_m2_h(concrete_c: float, air_c: float, humidity: float, wind_km_h: float) -> float:
    """Evaporation from a wet surface, kg/(m²·h); negative where water would condense.

    concrete_c, air_c   °C, above -18 (the formula's zero, 0 °F)
    humidity            relative, 0 to 1
    wind_km_h           over the surface
    Source: Uno, ACI Materials Journal 95(4), 1998.
    """
    _check_air(humidity, wind_km_h)
    if min(concrete_c, air_c) < -18.0:
        raise FaultError("", message("drying-too-cold", temperature_c=min(concrete_c, air_c), least_c=-18.0))
    rate: float = EVAPORATION(concrete_c=concrete_c, air_c=air_c, humidity=humidity, wind_km_h=wind_km_h)
    return rate


def evaporation_limit_kg_m2_h(silica_fume_share: float, settings: CuringSettings) -> float:
    """The limit for a mix, by the share of silica fume in its cementitious, 0 to 1."""
    if not 0.0 <= silica_fume_share <= 1.0:
        raise FaultError("", message("drying-fume", silica_fume_share=f"{silica_fume_share:g}"))
    if silica_fume_share >= SILICA_FUME_FROM:
        return settings.evaporation_most_kg_m2_s * HOUR_S * settings.evaporation_silica_fume
    return settings.evaporation_most_kg_m2_s * HOUR_S


def share_of_mix_water_lost(rate_kg_m2_h: float, hours: float, thickness_m: float, water_kg_m3: float) -> float:
    """Share of a piece's mix water that one open face loses in a time, of 1; 0 where water condenses.

    The rate is that of a wet surface throughout, the worst case; a share above 1 means that it dries out before.
    """
    if hours < 0.0:
        raise FaultError("", message("drying-time", hours=f"{hours:g}"))
    if not (thickness_m > 0.0 and water_kg_m3 > 0.0):
        raise FaultError("", message("drying-thickness"))
    share: float = WATER_LOST(
        rate_kg_m2_h=rate_kg_m2_h, uncovered_h=hours, thickness_m=thickness_m, water_kg_m3=water_kg_m3
    )
    return share


def drying(room: Room, section: ThermalSection, settings: CuringSettings) -> Drying:
    """Water lost by the open face of a section until it is covered. Raises FaultError without a humidity."""
    if room.humidity is None:
        raise FaultError("", message("drying-no-humidity"))
    rate = evaporation_kg_m2_h(room.placed_c, room.room_c, room.humidity, room.wind_km_h)
    thickness_m, water_kg_m3 = section.thickness_m, section.mix.water_kg_m3
    per_hour = share_of_mix_water_lost(rate, 1.0, thickness_m, water_kg_m3)
    return Drying(
        rate_kg_m2_h=rate,
        limit_kg_m2_h=evaporation_limit_kg_m2_h(section.mix.silica_fume_share, settings),
        share_of_mix_water=share_of_mix_water_lost(rate, room.uncovered_h, thickness_m, water_kg_m3),
        notable_share=settings.water_loss_most,
        hours_to_notable=settings.water_loss_most / per_hour if per_hour > 0.0 else inf,
    )


def _check_air(humidity: float, wind: float) -> None:
    if not 0.0 <= humidity <= 1.0:
        raise FaultError("", message("drying-humidity", humidity=f"{humidity:g}"))
    if wind < 0.0:
        raise FaultError("", message("drying-wind", wind=f"{wind:g}"))
