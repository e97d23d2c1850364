"""Formatting of quantities, rounded to what a shop can measure, and only here. The output can be parsed again."""

from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from math import ceil, floor, isfinite

from estimator.units.table import FOOT, INCH, LBF, POUND, Units

LONG_IN, LONG_M = 120, 10.0  # lengths from these on are in feet, or in meters
MOST_PERCENT_DECIMALS = 3


def format_length(length_m: float, units: Units) -> str:
    r"""Length in inches to 1/16, in feet and inches from 10 ft; or in mm (to 0.1 below 20), in m from 10 m.

    >>> format_length(0.6477, "imperial"), format_length(4.2672, "imperial"), format_length(0.6477, "metric")
    ('25-1/2"', '14\' 0"', '648 mm')
    """
    if units == "metric":
        if abs(length_m) >= LONG_M:
            return f"{_half_up(length_m * 1000) / 1000:.3f}".rstrip("0").rstrip(".") + " m"
        return _stepped(length_m * 1000, ((20, 1), (0, 0.1)), "mm")
    sixteenths = _half_up(length_m / float(INCH) * 16)
    sign, (whole, part) = "-" if sixteenths < 0 else "", divmod(abs(sixteenths), 16)
    feet, inches = divmod(whole, 12) if abs(sixteenths) >= LONG_IN * 16 else (0, whole)
    fraction = str(Fraction(part, 16)) if part else ""
    text = "-".join(word for word in (str(inches) if inches or feet or not part else "", fraction) if word)
    return f"{sign}{feet}' {text}\"" if feet else f'{sign}{text}"'


def format_mass(mass_kg: float, units: Units, *, up: bool | None = None) -> str:
    """Mass to the pound (0.1 lb below 20, 0.01 lb below 1) or to 1 kg (0.1 kg below 100 kg, 1 g below 1 kg).

    up   None rounds to the nearest, True up (a high weight), False down (a low one)

    >>> format_mass(22.7, "imperial"), format_mass(22.7, "imperial", up=True), format_mass(22.7, "metric")
    ('50 lb', '51 lb', '22.7 kg')
    """
    if units == "imperial":
        return _stepped(mass_kg / float(POUND), ((20, 1), (1, 0.1), (0, 0.01)), "lb", up)
    if abs(mass_kg) < 1:
        return _stepped(mass_kg * 1000, ((0, 1),), "g", up)
    return _stepped(mass_kg, ((100, 1), (0, 0.1)), "kg", up)


def format_area(area_m2: float, units: Units) -> str:
    """Area to 0.1 ft² (0.01 below 1 ft²), or to 0.01 m² (0.001 below 0.1 m²; 1 cm² below 0.01 m², 0.1 below 10 cm²)."""
    if units == "imperial":
        return _stepped(area_m2 / float(FOOT**2), ((1, 0.1), (0, 0.01)), "ft²")
    if 0 < abs(area_m2) < 0.01:
        return _stepped(area_m2 * 1e4, ((10, 1), (0, 0.1)), "cm²")
    return _stepped(area_m2, ((0.1, 0.01), (0, 0.001)), "m²")


def format_volume(volume_m3: float, units: Units) -> str:
    """Volume to 0.1 ft³ or 1 L, with more decimals for smaller volumes."""
    if units == "imperial":
        return _stepped(volume_m3 / float(FOOT**3), ((10, 0.1), (0.1, 0.01), (0.01, 0.001), (0, 0.0001)), "ft³")
    return _stepped(volume_m3 * 1000, ((100, 1), (1, 0.1), (0.1, 0.01), (0, 0.001)), "L")


def format_density(density_kg_m3: float, units: Units) -> str:
    """Density to 1 lb/ft³ (0.1 below 20) or to 1 kg/m³ (0.1 below 100)."""
    if units == "imperial":
        return _stepped(density_kg_m3 / float(POUND / FOOT**3), ((20, 1), (0, 0.1)), "lb/ft³")
    return _stepped(density_kg_m3, ((100, 1), (0, 0.1)), "kg/m³")


def format_areal_mass(mass_per_area_kg_m2: float, units: Units, *, up: bool | None = None) -> str:
    """Mass per area to 0.1 lb/ft² or 0.1 kg/m²; `up` as in format_mass."""
    if units == "imperial":
        return _stepped(mass_per_area_kg_m2 / float(POUND / FOOT**2), ((0, 0.1),), "lb/ft²", up)
    return _stepped(mass_per_area_kg_m2, ((0, 0.1),), "kg/m²", up)


def format_pressure(pressure_pa: float, units: Units) -> str:
    """Stress or pressure to 1 psi (0.01 below 10 psi) or 0.01 MPa (0.1 kPa below 10 kPa), as suction of a form is.

    >>> format_pressure(2000, "metric"), format_pressure(2000, "imperial"), format_pressure(0, "metric")
    ('2.0 kPa', '0.29 psi', '0.00 MPa')
    """
    if units == "imperial":
        pounds = pressure_pa / float(LBF / INCH**2)
        return _stepped(pounds, ((0, 0.01 if 0 < abs(pounds) < 10 else 1),), "psi")
    if 0 < abs(pressure_pa) < 10e3:
        return _stepped(pressure_pa / 1e3, ((0, 0.1),), "kPa")
    return _stepped(pressure_pa / 1e6, ((0, 0.01),), "MPa")


def format_temperature(temperature_c: float, units: Units, *, up: bool | None = None) -> str:
    """Temperature to the degree, °F or °C.

    up   None rounds to the nearest, True up (the hot side), False down (the cold side)
    """
    if units == "imperial":
        return _stepped(temperature_c * 9 / 5 + 32, ((0, 1),), "°F", up)
    return _stepped(temperature_c, ((0, 1),), "°C", up)


def format_percent(share: float) -> str:
    """A share as a percentage: exact if that takes at most three decimals, else to a tenth, rounded half up.

    >>> format_percent(0.0725), format_percent(0.06), format_percent(0.08875), format_percent(1 / 3)
    ('7.25 %', '6 %', '8.875 %', '33.3 %')
    """
    written = (Decimal(repr(float(share))) * 100).normalize()
    exponent = written.as_tuple().exponent
    if isinstance(exponent, int) and exponent < -MOST_PERCENT_DECIMALS:
        written = written.quantize(Decimal("0.1"), rounding=ROUND_HALF_UP).normalize()
    return f"{written:f} %"


def _stepped(value: float, steps: tuple[tuple[float, float], ...], unit: str, up: bool | None = None) -> str:
    """`value` rounded to the first step whose threshold it reaches, without separators or exponents."""
    if not isfinite(value):
        raise ValueError(f"{value} {unit} cannot be shown as a quantity")
    step = next(step for threshold, step in steps if abs(value) >= threshold)
    steps_exact = value / step
    slack = 1e-9 * max(1.0, abs(steps_exact))  # a sum of floats barely above a step counts as that step
    count = _half_up(steps_exact) if up is None else ceil(steps_exact - slack) if up else floor(steps_exact + slack)
    return f"{count * step:.{max(0, len(f'{step:g}') - 2)}f} {unit}"


def _half_up(value: float) -> int:
    return floor(abs(value) + 0.5) * (-1 if value < 0 else 1)
