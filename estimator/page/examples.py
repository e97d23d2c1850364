"""Examples and defaults of fields in the units of the job, since the schema gives each in one system."""

from __future__ import annotations

import re
from functools import lru_cache
from math import floor, log10
from typing import Any

from estimator.errors import FaultError
from estimator.intake.documents import built_in_catalog
from estimator.intake.edit import KeyPath
from estimator.units import read_any
from estimator.units.table import BY_PINT, EXAMPLES, Kind, Units, pint_factor, unit_kind

SYSTEMS: dict[str, frozenset[str]] = {
    "imperial": frozenset({
        "in", "ft", "yd", "mile", "lb", "lbs", "oz", "cwt", "gal", "qt", "pt", "psi", "psf", "mph", "lbf", "Btu", "°F",
    }),
    "metric": frozenset({
        "mm", "cm", "m", "km", "kg", "g", "t", "L", "mL", "N", "kN", "W", "kW", "J", "kJ", "Pa", "kPa", "MPa", "°C",
        "K",
    }),
}  # fmt: skip
"""Symbols of the units of each system; those of time and angle are in both."""

QUANTITY = re.compile(
    r"(?<![\w.:/-])(\d+(?:-\d+/\d+|/\d+|\.\d+)?) ((?:°?[A-Za-z]+)(?:\^\d)?(?:[*/]°?[A-Za-z]+(?:\^\d)?)*)(?![\w=])"
)
LARGE_M, SMALL_KG, SMALL_M3, LOW_PA = 3.0, 0.45, 0.25, 0.5e6
EIGHTHS = 8


@lru_cache(maxsize=4096)
def in_units(text: str, units: Units) -> str:
    """Text with the quantities of the other system of units converted, to two digits.

    >>> in_units("72 in", "metric"), in_units("40 mm", "imperial"), in_units("0.28 h/ft^2", "metric")
    ('1800 mm', '1-5/8 in', '3 h/m^2')
    """
    return QUANTITY.sub(lambda match: _converted(match[0], match[2], units), text)


def default_at(path: KeyPath, units: Units) -> Any:
    """Value that the catalog has for a shop setting or a price term, for jobs in one system of units; None if none."""
    value: Any = built_in_catalog(units) if path and path[0] in ("workshop", "price") else None
    for key in path:
        value = value.get(key) if isinstance(value, dict) else None
    return value


def _converted(text: str, unit: str, units: Units) -> str:
    parts = set(re.findall(r"°?[A-Za-z]+", unit))
    other = "metric" if units == "imperial" else "imperial"
    if not parts & SYSTEMS[other] or parts & SYSTEMS[units]:
        return text
    if unit in ("°F", "°C"):
        degrees = float(text.partition(" ")[0])
        return f"{round((degrees - 32) / 1.8)} °C" if units == "metric" else f"{round(32 + 1.8 * degrees)} °F"
    try:
        kind, value = read_any(text)
        wanted = _unit(kind, value, units)
        known, plain = unit_kind(wanted, wanted)
        factor = plain if known == kind else pint_factor(wanted, BY_PINT[kind])
    except (FaultError, KeyError):
        return text
    if factor is None:
        return text
    number = value / float(factor)
    if wanted == "in":
        whole, eighths = divmod(round(number * EIGHTHS), EIGHTHS)
        if eighths and number < LARGE_M * EIGHTHS:
            share = (eighths / EIGHTHS).as_integer_ratio()
            return (f"{whole}-" if whole else "") + f"{share[0]}/{share[1]} in"
    return f"{_two_digits(number)} {wanted}"


def _unit(kind: Kind, value: float, units: Units) -> str:
    """Unit in which a quantity is written in one system. Raises KeyError for a kind without one."""
    imperial = units == "imperial"
    match kind:
        case "length":
            return ("ft" if imperial else "m") if value >= LARGE_M else "in" if imperial else "mm"
        case "mass" if value < SMALL_KG:
            return "oz" if imperial else "g"
        case "volume" if not imperial and value > SMALL_M3:
            return "m^3"
        case "pressure" if not imperial and value < LOW_PA:
            return "kPa"
        case "specific-surface":
            raise KeyError(kind)
    return EXAMPLES[kind][0 if imperial else 1].partition(" ")[2]


def _two_digits(number: float) -> str:
    if number == 0.0:
        return "0"
    places = 1 - floor(log10(abs(number)))
    rounded = round(number, places)
    return f"{rounded:.{max(places, 0)}f}".rstrip("0").rstrip(".") if places > 0 else f"{rounded:.0f}"
