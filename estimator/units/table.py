"""Known units: spellings, kinds and exact factors. pint converts units that the table of quotients does not have."""

import re
from collections.abc import Mapping
from difflib import get_close_matches
from fractions import Fraction
from functools import cache
from types import MappingProxyType
from typing import Any, Literal, cast

from geometry.errors import FaultError
from geometry.message import Message, Value, message

Units = Literal["imperial", "metric"]
Kind = Literal[
    "length", "area", "volume", "mass", "time", "temperature", "temperature-difference", "angle", "force", "energy",
    "density", "areal-mass", "mass-per-length", "coverage", "volume-per-mass", "time-per-area", "time-per-length",
    "area-per-time", "frequency", "speed", "pressure", "power", "thermal-resistance", "thermal-conductivity",
    "heat-transfer", "heat-capacity", "specific-energy", "molar-energy", "evaporation", "specific-surface", "amount",
]  # fmt: skip


INCH, POUND, GALLON = Fraction(254, 10_000), Fraction(45_359_237, 100_000_000), Fraction(3_785_411_784, 10**12)
GRAVITY = Fraction(980_665, 100_000)  # standard, m/s2: it defines the pound-force
LBF = POUND * GRAVITY
FOOT = 12 * INCH

# spellings (the first is the symbol), kind, factor to SI, name in pint
_TABLE: tuple[tuple[str, Kind, Fraction | int, str], ...] = (
    ('in inch inches "', "length", INCH, "inch"),
    ("ft foot feet lf '", "length", FOOT, "foot"),
    ("yd yard yards", "length", 3 * FOOT, "yard"),
    ("mm", "length", Fraction(1, 1000), "millimeter"),
    ("cm", "length", Fraction(1, 100), "centimeter"),
    ("m meter meters metre metres", "length", 1, "meter"),
    ("km", "length", 1000, "kilometer"),
    ("mile miles mi", "length", 5280 * FOOT, "mile"),
    ("sqft sf", "area", FOOT**2, "foot**2"),
    ("sy", "area", (3 * FOOT) ** 2, "yard**2"),
    ("cuft cf", "volume", FOOT**3, "foot**3"),
    ("cy", "volume", (3 * FOOT) ** 3, "yard**3"),
    ("gal gallon gallons", "volume", GALLON, "gallon"),
    ("qt quart quarts", "volume", GALLON / 4, "quart"),
    ("pt pint pints", "volume", GALLON / 8, "pint"),
    ("fl_oz floz", "volume", GALLON / 128, "fluid_ounce"),
    ("L l liter liters litre litres", "volume", Fraction(1, 1000), "liter"),
    ("mL ml cc", "volume", Fraction(1, 10**6), "milliliter"),
    ("lb lbs pound pounds", "mass", POUND, "pound"),
    ("oz ounce ounces", "mass", POUND / 16, "ounce"),
    ("cwt", "mass", 100 * POUND, "US_hundredweight"),
    ("kg", "mass", 1, "kilogram"),
    ("g gram grams", "mass", Fraction(1, 1000), "gram"),
    ("t tonne tonnes", "mass", 1000, "metric_ton"),
    ("s sec second seconds", "time", 1, "second"),
    ("min minute minutes", "time", 60, "minute"),
    ("h hr hrs hour hours", "time", 3600, "hour"),
    ("day days d", "time", 86_400, "day"),
    ("week weeks", "time", 604_800, "week"),
    ("K", "temperature-difference", 1, "kelvin"),
    ("degC °C C", "temperature-difference", 1, "delta_degree_Celsius"),
    ("degF °F F", "temperature-difference", Fraction(5, 9), "delta_degree_Fahrenheit"),
    ("deg degree degrees °", "angle", 1, "degree"),
    ("N", "force", 1, "newton"),
    ("kN", "force", 1000, "kilonewton"),
    ("lbf", "force", LBF, "pound_force"),
    ("kip kips", "force", 1000 * LBF, "kip"),
    ("kgf", "force", GRAVITY, "kilogram_force"),
    ("J", "energy", 1, "joule"),
    ("kJ", "energy", 1000, "kilojoule"),
    ("kWh", "energy", 3_600_000, "kilowatt_hour"),
    ("Btu BTU", "energy", Fraction(1_055_056, 1000), "Btu"),
    ("W", "power", 1, "watt"),
    ("kW", "power", 1000, "kilowatt"),
    ("Pa", "pressure", 1, "pascal"),
    ("kPa", "pressure", 1000, "kilopascal"),
    ("MPa", "pressure", 10**6, "megapascal"),
    ("GPa", "pressure", 10**9, "gigapascal"),
    ("bar", "pressure", 10**5, "bar"),
    ("mbar", "pressure", 100, "millibar"),
    ("inHg", "pressure", INCH * Fraction(135_951, 10) * GRAVITY, "inch_Hg"),  # mercury at 0 °C: 13,595.1 kg/m3
    ("psi", "pressure", LBF / INCH**2, "psi"),
    ("ksi", "pressure", 1000 * LBF / INCH**2, "ksi"),
    ("psf", "pressure", LBF / FOOT**2, "pound_force/foot**2"),
    ("mph", "speed", 5280 * FOOT / 3600, "mile/hour"),
    ("mol", "amount", 1, "mole"),
    ("pcf", "density", POUND / FOOT**3, "pound/foot**3"),
    ("gsm", "areal-mass", Fraction(1, 1000), "gram/meter**2"),
)
_PINT_NAME: Mapping[str, str] = MappingProxyType({row[0].split()[0]: row[3] for row in _TABLE})
_SIMPLE: Mapping[str, tuple[Kind, Fraction]] = MappingProxyType(
    {row[0].split()[0]: (row[1], Fraction(row[2])) for row in _TABLE}
)
_WRITTEN: Mapping[str, str] = MappingProxyType({word: row[0].split()[0] for row in _TABLE for word in row[0].split()})
# Drawings are lettered in capitals. One letter says more: M is no m, and K no k.
SPELLING: Mapping[str, str] = MappingProxyType(
    {
        written: symbol
        for word, symbol in _WRITTEN.items()
        if len(word) > 1
        for written in (word.lower(), word.upper(), word.capitalize())
    }
    | dict(_WRITTEN)
)
"""Symbol of every spelling of a unit."""
_POWER: Mapping[int, Kind] = MappingProxyType({1: "length", 2: "area", 3: "volume"})
# kind of a quotient of a kind and a plain one; a triple quotient takes two steps, sometimes through a helper name
_QUOTIENT: Mapping[tuple[str, str], str] = MappingProxyType(
    {
        ("mass", "volume"): "density",
        ("mass", "area"): "areal-mass",
        ("mass", "length"): "mass-per-length",
        ("area", "volume"): "coverage",
        ("volume", "mass"): "volume-per-mass",
        ("time", "area"): "time-per-area",
        ("time", "length"): "time-per-length",
        ("area", "time"): "area-per-time",
        ("area", "mass"): "specific-surface",
        ("", "time"): "frequency",
        ("length", "time"): "speed",
        ("force", "area"): "pressure",
        ("energy", "time"): "power",
        ("energy", "mass"): "specific-energy",
        ("energy", "amount"): "molar-energy",
        ("areal-mass", "time"): "evaporation",
        ("power", "area"): "(heat flux)",
        ("(heat flux)", "temperature-difference"): "heat-transfer",
        ("power", "length"): "(power per length)",
        ("(power per length)", "temperature-difference"): "thermal-conductivity",
        ("energy", "volume"): "(energy per volume)",
        ("(energy per volume)", "temperature-difference"): "heat-capacity",
    }
)
# SI unit by kind, for conversions by pint
BY_PINT: Mapping[Kind, str] = MappingProxyType(
    {
        "thermal-resistance": "m**2*K/W",
        "thermal-conductivity": "W/m/K",
        "heat-transfer": "W/m**2/K",
        "heat-capacity": "J/m**3/K",
        "specific-energy": "J/kg",
        "molar-energy": "J/mol",
        "evaporation": "kg/m**2/s",
        "specific-surface": "m**2/kg",
        "density": "kg/m**3",
        "areal-mass": "kg/m**2",
        "pressure": "Pa",
        "power": "W",
        "force": "N",
        "energy": "J",
    }
)
# suffix of names of values of the kind: mass_kg, density_kg_m3
SI_SUFFIX: Mapping[Kind, str] = MappingProxyType(
    {
        "length": "m",
        "area": "m2",
        "volume": "m3",
        "mass": "kg",
        "time": "s",
        "temperature": "c",
        "temperature-difference": "k",
        "angle": "deg",
        "force": "n",
        "energy": "j",
        "density": "kg_m3",
        "areal-mass": "kg_m2",
        "mass-per-length": "kg_m",
        "coverage": "m2_m3",
        "volume-per-mass": "m3_kg",
        "time-per-area": "s_m2",
        "time-per-length": "s_m",
        "area-per-time": "m2_s",
        "frequency": "hz",
        "speed": "m_s",
        "pressure": "pa",
        "power": "w",
        "thermal-resistance": "m2k_w",
        "thermal-conductivity": "w_mk",
        "heat-transfer": "w_m2k",
        "heat-capacity": "j_m3k",
        "specific-energy": "j_kg",
        "molar-energy": "j_mol",
        "evaporation": "kg_m2s",
        "specific-surface": "m2_kg",
        "amount": "mol",
    }
)
# typical quantity of each kind in an imperial job, and in a metric one
EXAMPLES: Mapping[Kind, tuple[str, str]] = MappingProxyType(
    {
        "length": ("1-1/2 in", "38 mm"),
        "area": ("12 ft^2", "1.2 m^2"),
        "volume": ("3 ft^3", "80 L"),
        "mass": ("94 lb", "25 kg"),
        "time": ("30 min", "30 min"),
        "temperature": ("70 °F", "21 °C"),
        "temperature-difference": ("35 °F", "20 °C"),
        "angle": ("60 deg", "60 deg"),
        "force": ("120 lbf", "500 N"),
        "energy": ("5 Btu", "5 kJ"),
        "density": ("100 lb/ft^3", "1600 kg/m^3"),
        "areal-mass": ("100 lb/ft^2", "480 kg/m^2"),
        "mass-per-length": ("10 lb/ft", "15 kg/m"),
        "coverage": ("200 ft^2/gal", "5 m^2/L"),
        "volume-per-mass": ("8 fl oz/cwt", "5 mL/kg"),
        "time-per-area": ("0.1 h/ft^2", "1 h/m^2"),
        "time-per-length": ("0.1 h/ft", "0.3 h/m"),
        "area-per-time": ("40 ft^2/h", "4 m^2/h"),
        "frequency": ("2 /min", "2 /min"),
        "speed": ("1 mph", "0.5 m/s"),
        "pressure": ("800 psi", "6 MPa"),
        "power": ("100 W", "100 W"),
        "thermal-resistance": ("3 ft^2*h*°F/Btu", "0.5 m^2*K/W"),
        "thermal-conductivity": ("0.5 Btu/h/ft/°F", "1 W/m/K"),
        "heat-transfer": ("0.4 Btu/h/ft^2/°F", "2 W/m^2/K"),
        "heat-capacity": ("30 Btu/ft^3/°F", "2000 kJ/m^3/K"),
        "specific-energy": ("200 Btu/lb", "450 kJ/kg"),
        "molar-energy": ("40 kJ/mol", "40 kJ/mol"),
        "evaporation": ("0.1 lb/ft^2/h", "0.5 kg/m^2/h"),
        "specific-surface": ("380 m^2/kg", "380 m^2/kg"),
        "amount": ("1 mol", "1 mol"),
    }
)


def kind_name(kind: Kind) -> Message:
    """Name of a kind of quantity, with its article."""
    return message(f"kind-{kind}")


def example_of(kind: Kind | None, number: Fraction | None = None, digits: str = "") -> Message:
    """Example in the units of the job: a bare number with a unit, else a typical quantity of the kind.

    digits  the number as written: a fraction stays one, which of a length is one of an inch
    """
    imperial, metric = EXAMPLES["length" if kind is None else kind]
    if number is None:
        return message("in-units", imperial=imperial, metric=metric)
    units = [example.partition(" ")[2] for example in (imperial, metric)]
    plain = f"{float(number):.12g}"
    broken = ("-" if number < 0 else "") + hyphened(digits) if "/" in digits else plain
    if broken != plain and kind == "length":
        return message("in-units", imperial=f"{broken} in", metric=f"{broken} in")
    return message("in-units", imperial=f"{broken} {units[0]}", metric=f"{plain} {units[1]}")


def hyphened(number: str) -> str:
    """Mixed number with a hyphen between its whole and its fraction.

    >>> hyphened("63 1/2"), hyphened("3 - 1/2"), hyphened("5")
    ('63-1/2', '3-1/2', '5')
    """
    return re.sub(r"\s*-\s*|\s+", "-", number)


_FACTOR = re.compile(r"(?:((?i:sq|square|cu|cubic))\.? ?)?([A-Za-z_°]+|['\"])(?:\^?([123]))?")


PACKED = re.compile(r"(?:bag|sack|pail|bucket|box|drum|can|jug|roll|sheet|pallet)(?:s|es)?", re.IGNORECASE)
"""What goods are packed in: a count of them is no quantity, for packs of one material differ."""


def is_one_unit(text: str) -> bool:
    """Whether the text has the form of a unit, such as `ft3` or `sq ft`."""
    return _FACTOR.fullmatch(text) is not None


@cache
def _factors(unit: str) -> tuple[tuple[tuple[str, int], ...], str]:
    """(symbol, exponent) pairs of a unit, and its first unknown word, "" if none."""
    plain = re.sub(r"(?i)\s+per\s+", "/", f" {unit}").strip().replace("**", "^")
    plain = re.sub(r"(?i)\b(?:fl\.? ?oz|fluid ounces?)(?![A-Za-z])", "fl_oz", plain)
    plain = re.sub(r"\bdeg (?=[CF]\b)", "deg", plain).replace("° ", "°")
    plain = re.sub(r"\bin Hg\b", "inHg", plain)
    plain = re.sub(r"\s*([*/^()])\s*", r"\1", plain)
    plain = re.sub(r"/\(([^()/]*)\)", lambda group: "/" + group[1].replace(" ", "*"), plain)
    plain = re.sub(r"(\^?[23]) ?(?=[A-Za-z°])", r"\1*", plain)  # m²K/W, W/m²K: everything after a slash divides
    factors: list[tuple[str, int]] = []
    for count, part in enumerate(plain.split("/")):
        for word in [] if not part and count == 0 else part.split("*"):
            found = _FACTOR.fullmatch(word)
            symbol = SPELLING.get(found[2]) if found else None
            if not found or not symbol or (found[1] and found[3]):
                return (), word or unit
            power = {"s": 2, "c": 3}[found[1][0].lower()] if found[1] else int(found[3] or 1)
            factors.append((symbol, -power if count else power))
    return tuple(factors), "" if factors else unit


def unit_kind(unit: str, text: str, needed: Kind | None = None) -> tuple[Kind | None, Fraction]:
    """Kind and exact SI factor of a unit in the table; (None, 1) for a unit that pint must convert.

    text    the whole text, for the message of the FaultError that an unknown unit raises
    needed  kind of quantity of which that message gives an example
    """
    if unit == "%":
        raise FaultError("", message("quantity-percent", value=text))
    kind, factor, unknown = _kind_and_factor(unit)
    if unknown:
        if re.search(r"\btons?\b", unit):
            raise FaultError("", message("quantity-ton", value=text))
        if re.search(r"\bmils?\b", unit):
            raise FaultError("", message("quantity-mil", value=text))
        if PACKED.fullmatch(unit):
            raise FaultError("", message("quantity-packs", value=text))
        lower = {word.lower(): word for word in [*_WRITTEN, "fl oz"]}
        near = get_close_matches(unknown.lower(), lower, n=1, cutoff=0.75)
        if near:
            raise FaultError("", message("quantity-unit-near", value=text, unit=unknown, near=lower[near[0]]))
        if needed is not None:
            values: dict[str, Value] = {"needed": kind_name(needed), "example": example_of(needed)}
            raise FaultError("", message("quantity-unit-not-known", value=text, unit=unknown, **values))
        raise FaultError("", message("quantity-unit-unknown", value=text, unit=unknown))
    return kind, factor


@cache
def _kind_and_factor(unit: str) -> tuple[Kind | None, Fraction, str]:
    """Kind, factor and first unknown word of a unit: a plain unit divided by plain units in sequence."""
    factors, unknown = _factors(unit)
    undecided = (None, Fraction(1), unknown)
    if unknown:
        return undecided
    kind, factor = "", Fraction(1)
    for place, (symbol, power) in enumerate(factors):
        plain = _plain(symbol, abs(power))
        if plain is None or (place and power > 0):
            return undecided
        if power > 0:
            kind, factor = plain
        else:
            kind, factor = _QUOTIENT.get((kind, plain[0]), "(none)"), factor / plain[1]
    return (cast(Kind, kind), factor, "") if kind in SI_SUFFIX else undecided


def _plain(symbol: str, power: int) -> tuple[Kind, Fraction] | None:
    """Kind and factor of one symbol to a power, which may exceed 1 for lengths; None if only pint has it."""
    if symbol not in _SIMPLE:
        return None
    kind, factor = _SIMPLE[symbol]
    if power == 1:
        return kind, factor
    return (_POWER[power], factor**power) if kind == "length" else None


@cache
def pint_factor(unit: str, si: str) -> Fraction | None:
    """Exact factor from a unit of known symbols to an SI unit; None if the dimensions differ."""
    factors, _ = _factors(unit)
    registry = _registry()
    product = registry.Unit("*".join(f"({_PINT_NAME[symbol]})**({power})" for symbol, power in factors))
    if not product.is_compatible_with(si):
        return None
    return Fraction(registry.Quantity(Fraction(1), product).to(si).magnitude)


@cache
def _registry() -> Any:
    import pint  # imported on use: it takes longer than the program may take to start

    return pint.UnitRegistry(non_int_type=Fraction)
