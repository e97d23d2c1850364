"""Constants that more than one room needs, and the checks that kernels make at the door."""

from __future__ import annotations

from collections.abc import Iterable
from math import inf, isfinite

from geometry.errors import FaultError

STANDARD_GRAVITY_M_S2 = 9.80665  # exact by definition, CGPM 1901
HOUR_S, DAY_S = 3600.0, 86_400.0
POUND_KG = 0.45359237  # exact, international pound
INCH_M = 0.0254  # exact
FOOT_M = 0.3048  # exact
SQUARE_FOOT_M2 = FOOT_M**2
GALLON_M3 = 231 * INCH_M**3  # US gallon, exact
POUND_PER_FOOT2_KG_M2 = POUND_KG / SQUARE_FOOT_M2
WATER_DENSITY_KG_M3 = 998.0  # near 20 °C; of the mix water, and what relative densities count by, unless the job says


def fahrenheit(celsius: float) -> float:
    """A temperature on the Fahrenheit scale."""
    return celsius * 1.8 + 32.0


def require_finite(name: str, value: float, unit: str = "") -> None:
    """Refuse nan and infinity: they pass every later comparison the wrong way."""
    if not isfinite(value):
        raise FaultError("", f"{name} is {value}{_unit(unit)}: give a finite number")


def require_positive(name: str, value: float, unit: str = "") -> None:
    """Refuse a value that is not finite and above zero; the message names it with its unit."""
    if not 0.0 < value < inf:  # nan is neither
        require_finite(name, value, unit)
        raise FaultError("", f"{name} is {value:g}{_unit(unit)}: must be above 0")


def require_not_negative(name: str, value: float, unit: str = "") -> None:
    """Refuse a value that is not finite or below zero; the message names it with its unit."""
    if not 0.0 <= value < inf:
        require_finite(name, value, unit)
        raise FaultError("", f"{name} is {value:g}{_unit(unit)}: must not be negative")


def require_within(name: str, value: float, low: float, high: float, unit: str = "") -> None:
    """Refuse a value outside the closed range low to high."""
    if not (low <= value <= high and isfinite(value)):
        require_finite(name, value, unit)
        raise FaultError("", f"{name} is {value:g}{_unit(unit)}: must be {low:g} to {high:g}{_unit(unit)}")


def require_one_of(name: str, value: str | None, choices: Iterable[str]) -> None:
    """Refuse a word outside a closed set; the message lists the set."""
    known = tuple(choices)
    if value not in known:
        given = "not given" if value is None else f"{value!r}"
        raise FaultError("", f"{name} is {given}: must be one of {', '.join(known)}")


def _unit(unit: str) -> str:
    if not unit:
        return ""
    return unit if unit in {"°", "%"} else f" {unit}"
