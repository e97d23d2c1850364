"""Constants that several packages need, and the argument checks of the computing modules."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from math import inf, isfinite
from typing import TypeAlias

from geometry.errors import FaultError
from geometry.message import Message, message

STANDARD_GRAVITY_M_S2 = 9.80665  # exact by definition, CGPM 1901
HOUR_S, DAY_S = 3600.0, 86_400.0
POUND_KG = 0.45359237  # exact, international pound
INCH_M = 0.0254  # exact
FOOT_M = 0.3048  # exact
SQUARE_FOOT_M2 = FOOT_M**2
CUBIC_YARD_M3 = (3.0 * FOOT_M) ** 3
GALLON_M3 = 231 * INCH_M**3  # US gallon, exact
POUND_FORCE_N = POUND_KG * STANDARD_GRAVITY_M_S2
PSI_PA = POUND_FORCE_N / INCH_M**2
POUND_PER_FOOT2_KG_M2 = POUND_KG / SQUARE_FOOT_M2
WATER_DENSITY_KG_M3 = 998.0  # near 20 °C; of mix water, and reference of relative densities unless the job sets it


def fahrenheit(celsius: float) -> float:
    """Convert a temperature from Celsius to Fahrenheit."""
    return celsius * 1.8 + 32.0


Quantity: TypeAlias = "str | Message"
"""Name of a quantity in an error message: the rest of a message id `quantity-...`, or a message."""


def _named(name: Quantity) -> Message:
    return name if isinstance(name, Message) else message(f"quantity-{name}")


def require_finite(name: Quantity, value: float, _unit: str = "") -> None:
    """Raise FaultError for NaN and infinity, which later comparisons would let through."""
    if not isfinite(value):
        raise FaultError("", message("figure-not-finite", name=_named(name)))


def require_positive(name: Quantity, value: float, unit: str = "") -> None:
    """Raise FaultError unless a value is finite and above zero; the message names it with its unit."""
    if not 0.0 < value < inf:  # also true for NaN
        require_finite(name, value, unit)
        raise FaultError("", message("figure-not-positive", name=_named(name), value=figure_of(value, unit)))


def require_not_negative(name: Quantity, value: float, unit: str = "") -> None:
    """Raise FaultError unless a value is finite and not negative; the message names it with its unit."""
    if not 0.0 <= value < inf:
        require_finite(name, value, unit)
        raise FaultError("", message("figure-negative", name=_named(name), value=figure_of(value, unit)))


def require_within(name: Quantity, value: float, low: float, high: float, unit: str = "") -> None:
    """Raise FaultError unless a value is within the closed range from low to high."""
    if not (low <= value <= high and isfinite(value)):
        require_finite(name, value, unit)
        limits = {"least": figure_of(low, unit), "most": figure_of(high, unit)}
        raise FaultError("", message("figure-outside", name=_named(name), value=figure_of(value, unit), **limits))


ROUNDING = 1e-9  # relative rounding error of a sum or of a unit conversion


def below(figure: float, least: float) -> bool:
    """Whether a computed value is less than a limit by more than rounding: 25.5 − 22.5 in is not below 3 in.

    >>> 25.5 * 0.0254 - 22.5 * 0.0254 < 3 * 0.0254, below(25.5 * 0.0254 - 22.5 * 0.0254, 3 * 0.0254)
    (True, False)
    """
    return figure < least * (1.0 - ROUNDING)


def above(figure: float, most: float) -> bool:
    """Whether a computed value is more than a limit by more than rounding."""
    return figure > most * (1.0 + ROUNDING)


def require_one_of(name: Quantity, value: str | None, choices: Iterable[str]) -> None:
    """Raise FaultError for a word outside a closed set; the message lists the set."""
    known = tuple(choices)
    if value not in known:
        choices = ", ".join(known)
        if value is None:
            raise FaultError("", message("choice-missing", name=_named(name), choices=choices))
        raise FaultError("", message("choice-unknown", name=_named(name), value=value, choices=choices))


_FIGURES: Mapping[str, Callable[[float], Message | str]] = {
    "": lambda value: f"{value:g}",
    "°": lambda value: f"{value:g}°",
    "m": lambda value: message("figure-length", value_m=value),
    "m²": lambda value: message("figure-area", value_m2=value),
    "m³": lambda value: message("figure-volume", value_m3=value),
    "kg": lambda value: message("figure-mass", value_kg=value),
    "kg/m²": lambda value: message("figure-areal-mass", value_kg_m2=value),
    "kg/m³": lambda value: message("figure-density", value_kg_m3=value),
    "Pa": lambda value: message("figure-pressure", value_pa=value),
    "°C": lambda value: message("figure-temperature", value_c=value),
    "s": lambda value: message("figure-time", value_s=value),
    "W/m²K": lambda value: message("figure-heat-transfer", value_w_m2_k=value),
    "m²K/W": lambda value: message("figure-thermal-resistance", value_m2k_w=value),
    "m²/kg": lambda value: message("figure-specific-surface", value_m2_kg=value),
    "N": lambda value: message("figure-force", value_n=value),
}


def figure_of(value: float, unit: str = "") -> Message | str:
    """A value in SI as a message that prints it in the units of the job; plain text if it has no unit."""
    write = _FIGURES.get(unit)
    return f"{value:g} {unit}" if write is None else write(value)
