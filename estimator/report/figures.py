"""Workings as a reader checks them: values in SI, as the formula takes them, and beside them in the job's units."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType

from estimator.constants import FOOT_M, INCH_M, POUND_FORCE_N, POUND_KG, PSI_PA, SQUARE_FOOT_M2, fahrenheit
from estimator.units import Units
from estimator.workings import Working

MOST_MONEY = 1e12
DIGITS = 6  # significant, of a value on paper: enough to recompute the result to the figure that is shown

IMPERIAL: Mapping[str, tuple[float, str]] = MappingProxyType(
    {
        "kg": (POUND_KG, "lb"),
        "m": (INCH_M, "in"),
        "m2": (SQUARE_FOOT_M2, "ft²"),
        "m3": (FOOT_M**3, "ft³"),
        "kg/m2": (POUND_KG / SQUARE_FOOT_M2, "lb/ft²"),
        "kg/m3": (POUND_KG / FOOT_M**3, "lb/ft³"),
        "kg/m2h": (POUND_KG / SQUARE_FOOT_M2, "lb/ft²h"),
        "Pa": (PSI_PA, "psi"),
        "N": (POUND_FORCE_N, "lbf"),
        "N·m": (POUND_FORCE_N * FOOT_M, "lbf·ft"),
        "K": (5.0 / 9.0, "°F"),
        "USD/m2": (1.0 / SQUARE_FOOT_M2, "USD/ft²"),
    }
)
"""SI units, with what one of the customary unit beside it comes to."""

SUFFIXES: Mapping[str, str] = MappingProxyType(
    {
        "_kg_m3": "kg/m3",
        "_kg_m2": "kg/m2",
        "_kg": "kg",
        "_m3": "m3",
        "_m2": "m2",
        "_m": "m",
        "_pa": "Pa",
        "_n": "N",
        "_k": "K",
        "_c": "°C",
    }
)
"""Endings of the names of values, longest first, with their unit."""


def figure_text(value: float) -> str:
    """A value to six significant digits, in full where it has two decimals at most, as money has.

    What is left of a difference of equal sums is 0.

    >>> figure_text(12950.16), figure_text(1 / 3), figure_text(0.3 - 0.1 * 3)
    ('12950.16', '0.333333', '0')
    """
    if abs(value) < MOST_MONEY and round(value, 2) == value:
        return f"{value:.2f}".removesuffix(".00")
    text = f"{value:.{DIGITS}g}"
    if "e" not in text:
        return text
    return f"{value:.0f}" if abs(value) >= 1.0 else f"{value:.12f}".rstrip("0") if abs(value) >= 1e-9 else "0"


FEET_FROM_M = 10.0 * FOOT_M  # lengths from here on stand in feet


def customary(value: float, unit: str, units: Units) -> str:
    """A value of an SI unit in the units of an imperial job; "" where the job is metric, or the unit is no SI unit.

    >>> customary(98.921, "kg", "imperial"), customary(60.0, "°C", "imperial"), customary(98.921, "kg", "metric")
    ('218.083 lb', '140 °F', '')
    >>> customary(0.0254, "m", "imperial"), customary(76.2, "m", "imperial"), customary(0.8, "g", "imperial")
    ('1 in', '250 ft', '')
    """
    if units == "metric":
        return ""
    if unit == "°C":
        return f"{figure_text(fahrenheit(value))} °F"
    if unit == "m" and abs(value) >= FEET_FROM_M:
        return f"{figure_text(value / FOOT_M)} ft"
    known = IMPERIAL.get(unit.replace("²", "2").replace("³", "3"))
    return "" if known is None else f"{figure_text(value / known[0])} {known[1]}"


def unit_of(name: str) -> str:
    """The unit that the name of a value ends on; "" where it ends on none."""
    return next((unit for suffix, unit in SUFFIXES.items() if name.endswith(suffix)), "")


def values_text(names: Sequence[str], values: Sequence[float]) -> str:
    """The values of a formula, name by name."""
    return ", ".join(f"{name} = {figure_text(value)}" for name, value in zip(names, values, strict=True))


def values_lines(working: Working, units: Units) -> list[str]:
    """The values of a formula in full, a line each, with the units of the job beside them."""
    longest = max((len(name) for name in working.values), default=0)
    lines = []
    for name, value in working.values.items():
        beside = customary(value, unit_of(name), units)
        lines.append(f"{name:<{longest}} = {value!r}" + (f" ({beside})" if beside else ""))
    return lines


def result_text(working: Working, units: Units) -> str:
    """The result of a working in the units of the job, and in SI."""
    beside = customary(working.result, working.unit, units)
    result = f"{figure_text(working.result)} {working.unit}".rstrip()
    return f"{beside} ({result})" if beside else result
