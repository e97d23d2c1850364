"""Water lost from an uncovered surface, against the usual limits and, for thin pieces, against the water there is."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, pow

from estimator.curing.limits import PRINTED, Limits
from estimator.errors import RangeError

SILICA_FUME_FROM = 0.05
"""Share of the cementitious mass from which a mix counts as one with silica fume."""


@dataclass(frozen=True, slots=True)
class Drying:
    """What an uncovered surface loses.

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
    5·((Tc + 18)^2.5 − r·(Ta + 18)^2.5)·(V + 4)·1e-6. Source: Uno, ACI Materials Journal 95(4), 1998.
    """
    _check_air(humidity, wind_km_h)
    if min(concrete_c, air_c) < -18.0:
        raise RangeError(f"temperature {min(concrete_c, air_c):g} °C is below -18 °C, where the formula ends")
    return 5.0 * (pow(concrete_c + 18.0, 2.5) - humidity * pow(air_c + 18.0, 2.5)) * (wind_km_h + 4.0) * 1e-6


def evaporation_lb_ft2_h(concrete_f: float, air_f: float, humidity: float, wind_mph: float) -> float:
    """The same in US units, lb/(ft²·h): (Tc^2.5 − r·Ta^2.5)·(1 + 0.4 V)·1e-6, °F and mph. Source: Uno 1998."""
    _check_air(humidity, wind_mph)
    if min(concrete_f, air_f) < 0.0:
        raise RangeError(f"temperature {min(concrete_f, air_f):g} °F is below 0 °F, where the formula ends")
    return (pow(concrete_f, 2.5) - humidity * pow(air_f, 2.5)) * (1.0 + 0.4 * wind_mph) * 1e-6


def evaporation_limit_kg_m2_h(silica_fume_share: float, limits: Limits = PRINTED) -> float:
    """The limit for a mix, by the share of silica fume in its cementitious, 0 to 1."""
    if not 0.0 <= silica_fume_share <= 1.0:
        raise RangeError(f"silica fume share {silica_fume_share:g}: a share from 0 to 1 is wanted, 10 % is 0.10")
    if silica_fume_share >= SILICA_FUME_FROM:
        return limits.evaporation_silica_fume_kg_m2_h
    return limits.evaporation_kg_m2_h


def share_of_mix_water_lost(rate_kg_m2_h: float, hours: float, thickness_m: float, water_kg_m3: float) -> float:
    """Share of a piece's mix water that one open face loses in a time, of 1; 0 where water condenses.

    The rate is that of a wet surface throughout, the worst case; a share above 1 means that it dries out before.
    """
    if hours < 0.0:
        raise RangeError(f"time uncovered {hours:g} h cannot be negative")
    if not (thickness_m > 0.0 and water_kg_m3 > 0.0):
        raise RangeError("thickness and mix water must be above 0 to say what share of the water is lost")
    return max(0.0, rate_kg_m2_h) * hours / (thickness_m * water_kg_m3)


def drying(
    concrete_c: float,
    air_c: float,
    humidity: float,
    wind_km_h: float,
    uncovered_h: float,
    thickness_m: float,
    water_kg_m3: float,
    silica_fume_share: float,
    limits: Limits = PRINTED,
) -> Drying:
    """What a piece loses between placing and covering; arguments as in the functions above."""
    rate = evaporation_kg_m2_h(concrete_c, air_c, humidity, wind_km_h)
    per_hour = share_of_mix_water_lost(rate, 1.0, thickness_m, water_kg_m3)
    return Drying(
        rate_kg_m2_h=rate,
        limit_kg_m2_h=evaporation_limit_kg_m2_h(silica_fume_share, limits),
        share_of_mix_water=share_of_mix_water_lost(rate, uncovered_h, thickness_m, water_kg_m3),
        notable_share=limits.notable_loss,
        hours_to_notable=limits.notable_loss / per_hour if per_hour > 0.0 else inf,
    )


def _check_air(humidity: float, wind: float) -> None:
    if not 0.0 <= humidity <= 1.0:
        raise RangeError(f"relative humidity {humidity:g}: a fraction from 0 to 1 is wanted, 50 % is 0.50")
    if wind < 0.0:
        raise RangeError(f"wind {wind:g} cannot be negative")
