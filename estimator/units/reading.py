"""Grammar of quantities in text, and of shares."""

import re
import unicodedata
from collections.abc import Mapping
from fractions import Fraction
from functools import lru_cache
from math import inf, isfinite
from types import MappingProxyType
from typing import NoReturn

from estimator.names import quoted
from estimator.units.formats import format_length
from estimator.units.table import (
    BY_PINT,
    GRAVITY,
    INCH,
    SPELLING,
    Kind,
    Units,
    example_of,
    hyphened,
    is_one_unit,
    kind_name,
    pint_factor,
    unit_kind,
)
from geometry.errors import FaultError
from geometry.message import Value, message

_PAIRS: Mapping[tuple[str, str], int] = MappingProxyType({("ft", "in"): 12, ("lb", "oz"): 16, ("h", "min"): 60})

_NUMBER = r"(?:[0-9]+(?:\s*-\s*|\s+)[0-9]+/[0-9]+|[0-9]+/[0-9]+|[0-9]+\.?[0-9]*|\.[0-9]+)"
_LEADING_NUMBER = re.compile(_NUMBER)
_SECOND_NUMBER = re.compile(r"[-+]?\s*[\d.]")
_PAIR = re.compile(rf"([A-Za-z]+|')\s*-?\s*({_NUMBER})\s*([A-Za-z]+|\")")
_PAIR_WITHOUT_UNIT = re.compile(rf"([A-Za-z]+(?=[\s-])|')\s*-?\s*({_NUMBER})")
_POWER = re.compile(r"[eE][-+]?[0-9]+")
_PLAIN = re.compile(r"([0-9]{1,9})(?:\.([0-9]{1,9}))? ?([a-z]+)")
_ZERO = re.compile(r"\s*0+(?:\.0*)?\s*")
_POINT = re.compile(r"(?<=[A-Za-z])\.(?![A-Za-z0-9])")  # of an abbreviation: in., lbs., sq. ft.
_SIGNS = str.maketrans(
    {"−": "-", "′": "'", "’": "'", "″": '"', "”": '"', "“": '"', "⁄": "/", "²": "^2", "³": "^3", "·": "*"}
)


def read_quantity(text: object, kind: Kind, *, negative: bool = False) -> float:
    """Parse the quantity in `text` to a float in the SI unit of its kind.

    text      a number with its unit: `25.5 in`, `6' 3-1/2"`, `3½ in`, `5 lb 8 oz`, `50 ft^3`, `250 ft²/gal`
    kind      required kind; a temperature is returned in °C, an angle in degrees, every other kind in its coherent SI
              unit (m, m2, m3, kg, s, K, N, J, kg/m3, kg/m2, m2/m3, m3/kg, s/m2, m2/s, 1/s, m/s, Pa, W ...)
    negative  whether it may be negative; a temperature always may, down to absolute zero

    A length of zero needs no unit. Raises FaultError for any other bare number, a unit of another kind, and anything
    outside the grammar.

    >>> read_quantity("6 ft 3-1/2 in", "length")
    1.9177
    >>> read_quantity("1.5", "mass")
    Traceback (most recent call last):
    geometry.errors.FaultError: quantity-no-unit (value = 1.5, example = in-units (imperial = 1.5 lb, metric = 1.5 kg))
    """
    if isinstance(text, str):
        return _read(text, kind, negative)
    if isinstance(text, (int, float)) and not isinstance(text, bool):
        _refuse_bare(str(text), str(text), Fraction(text) if isfinite(text) else None, kind, negative)
    raise FaultError("", message("quantity-not-text", value=quoted(text), example=example_of(kind)))


def read_ratio(value: object, *, above_one: bool = False) -> float:
    """Parse a share: a bare number, or text with or without %, from 0 to 1 (higher only with `above_one`).

    Raises FaultError. A percentage written as a bare number is never silently divided by 100.

    >>> read_ratio("7 %"), read_ratio(0.07), read_ratio("1/2")
    (0.07, 0.07, 0.5)
    >>> read_ratio(7)
    Traceback (most recent call last):
    geometry.errors.FaultError: share-above-one (value = 7, percent_share = 0.07, share = 0.07)
    """
    if isinstance(value, bool) or not isinstance(value, (int, float, str)):
        raise FaultError("", message("share-unreadable", value=quoted(value)))
    if isinstance(value, str):
        _refuse_long(value)
        label = f'"{value}"'
        sign, body = _sign_and_body(value)
        number = body.removesuffix("%").rstrip()
        if not _LEADING_NUMBER.fullmatch(number):
            if "," in body:
                raise FaultError("", message("share-comma", value=label))
            raise FaultError("", message("share-unreadable", value=label))
        exact = sign * _number(number, value) / (100 if body.endswith("%") else 1)
        ratio = float(exact)
    else:
        label = str(value)
        ratio = float(value) if abs(value) < MOST_RATIO else inf
    if not isfinite(ratio):
        raise FaultError("", message("share-unreadable", value=label))
    if ratio < 0:
        raise FaultError("", message("share-negative", value=label))
    if ratio > 1 and not above_one:
        if label.rstrip('"').endswith("%"):
            raise FaultError("", message("share-above-100", value=label))
        share = ratio / 100
        raise FaultError("", message("share-above-one", value=label, percent_share=share, share=f"{share:.12g}"))
    return ratio


def read_any(text: str) -> tuple[Kind, float]:
    """Parse a quantity of any kind: the kind of its unit, and the value in SI. For tables with free keys.

    A temperature is a reading, never a difference.

    >>> read_any("50 lb"), read_any("70 °F")[0]
    (('mass', 22.6796185), 'temperature')
    """
    _refuse_long(text)
    value, unit = _value_and_unit(text, None)
    given, factor = unit_kind(unit, text)
    kind = "temperature" if given == "temperature-difference" else given or _kind_by_pint(unit)
    if kind is None:
        raise FaultError("", message("quantity-kind-unknown", value=text))
    return kind, float(_in_kind(value, unit, given, factor, kind, text))


def units_of_length(text: str) -> Units:
    """Unit system in which a length is written. Raises FaultError as `read_quantity` does.

    >>> units_of_length("1-1/2 in"), units_of_length("38 mm")
    ('imperial', 'metric')
    """
    read_quantity(text, "length")
    _, factor = unit_kind(_value_and_unit(text, "length")[1], text)
    return "imperial" if (factor / INCH).denominator == 1 else "metric"


MOST_SIGNS = 80
"""Maximum length of a quantity in characters, so that its digits stay within the range of a float."""

MOST_RATIO = 1e12


def _refuse_long(text: str) -> None:
    if len(text) > MOST_SIGNS:
        raise FaultError("", message("quantity-too-long", value=text[:20], most=MOST_SIGNS))


@lru_cache(maxsize=32_768)  # a schedule repeats its few thicknesses thousands of times
def _read(text: str, kind: Kind, negative: bool) -> float:
    _refuse_long(text)
    if plain := _PLAIN.fullmatch(text):  # most cells of a schedule: the same figure as below, without its steps
        digits, decimals, unit = plain.groups("")
        given, factor = unit_kind(unit, text, kind)
        if given == kind:
            number = int(digits + decimals) * factor.numerator
            return number / int(factor.denominator * 10 ** len(decimals))
    if kind == "length" and _ZERO.fullmatch(text):
        return 0.0
    value, unit = _value_and_unit(text, kind, negative)
    value = _in_kind(value, unit, *unit_kind(unit, text, kind), kind, text)
    if value < 0 and not negative and kind != "temperature":
        positive = text.strip()[1:].lstrip()
        raise FaultError("", message("quantity-negative", value=text, needed=kind_name(kind), example=positive))
    return float(value)


def _value_and_unit(text: str, kind: Kind | None, negative: bool = True) -> tuple[Fraction, str]:
    sign, body = _sign_and_body(text)
    if not body:
        raise FaultError("", message("quantity-empty", example=example_of(kind)))
    if "," in body:
        raise FaultError("", message("quantity-comma", value=text))
    found = _LEADING_NUMBER.match(body)
    if not found:
        raise FaultError("", message("quantity-no-number", value=text, example=example_of(kind)))
    number = _number(found[0], text)
    rest = body[found.end() :].strip()
    if not rest:
        _refuse_bare(text.strip(), found[0], sign * number, kind, negative)
    if power := _POWER.match(body, found.end()):
        raise FaultError("", message("quantity-power", value=text, power=power[0]))
    if _SECOND_NUMBER.match(rest):
        raise FaultError("", message("quantity-two-numbers", value=text))
    if (pair := _PAIR.fullmatch(rest)) and not is_one_unit(rest):
        number, rest = _joined(number, pair[1], pair[2], pair[3], text), pair[3]
    elif pair := _PAIR_WITHOUT_UNIT.fullmatch(rest):
        _refuse_second(text, found[0], pair[1], pair[2])
    return sign * number, rest


def _sign_and_body(text: str) -> tuple[int, str]:
    """Sign of the text, and its rest normalized: plain fractions, single spaces, no points of abbreviations."""
    plain = text if text.isascii() else ""
    for char in "" if plain else text:
        if unicodedata.decomposition(char).startswith("<fraction>"):
            plain += " " if plain[-1:].isdigit() else ""
            plain += unicodedata.normalize("NFKC", char)
        else:
            plain += char
    plain = _POINT.sub("", " ".join(plain.translate(_SIGNS).replace("''", '"').split()))
    return (-1, plain[1:].lstrip()) if plain.startswith("-") else (1, plain)


def _number(body: str, text: str) -> Fraction:
    """Exact value of a decimal, a fraction, or a mixed number."""
    if "/" not in body:
        return Fraction(body.rstrip("."))
    whole, top, bottom = re.fullmatch(r"(?:(\d+)[\s-]+)?(\d+)/(\d+)", body).groups()  # type: ignore[union-attr]
    if int(bottom) == 0 or int(top) >= int(bottom):
        raise FaultError("", message("quantity-fraction", value=text, fraction=f"{top}/{bottom}"))
    return int(whole or 0) + Fraction(int(top), int(bottom))


def _joined(first: Fraction, large: str, second: str, small: str, text: str) -> Fraction:
    """Feet and inches, pounds and ounces, or hours and minutes as one number in the smaller unit."""
    ratio = _PAIRS.get((SPELLING.get(large, ""), SPELLING.get(small, "")))
    if ratio is None:
        raise FaultError("", message("quantity-units-joined", value=text))
    rest = _number(second, text)
    if first.denominator != 1 or rest >= ratio:
        units = {"large": SPELLING[large], "small": SPELLING[small]}
        total = f"{float(first * ratio + rest):.12g} {SPELLING[small]}"
        raise FaultError("", message("quantity-pair", value=text, total=total, ratio=ratio, **units))
    return first * ratio + rest


_WEIGHED: Mapping[tuple[Kind, Kind], Fraction] = MappingProxyType(
    {
        ("force", "mass"): 1 / GRAVITY,
        ("mass", "force"): GRAVITY,
        ("pressure", "areal-mass"): 1 / GRAVITY,
        ("areal-mass", "pressure"): GRAVITY,
    }
)
"""Loads that codes state as forces and shops as weights, or the reverse: 40 psf, 2 kN/m^2, 210 kg/cm^2."""


def _in_kind(value: Fraction, unit: str, given: Kind | None, factor: Fraction, kind: Kind, text: str) -> Fraction:
    if given == kind:
        return value * factor
    if given is not None and (given, kind) in _WEIGHED:
        return value * factor * _WEIGHED[given, kind]
    if kind == "temperature" and given == "temperature-difference":
        zero = {"degF": Fraction(32), "K": Fraction(27_315, 100)}.get(SPELLING.get(unit.replace(" ", ""), ""), 0)
        celsius = (value - zero) * factor
        if celsius < Fraction(-27_315, 100):
            raise FaultError("", message("quantity-below-zero", value=text, example=example_of(kind)))
        return celsius
    if given is None and (by_pint := pint_factor(unit, BY_PINT.get(kind, "kg**9"))) is not None:
        return value * by_pint
    given = given or _kind_by_pint(unit)
    example = "8 fl oz" if kind == "volume" and SPELLING.get(unit) == "oz" else example_of(kind)
    values: dict[str, Value] = {"needed": kind_name(kind), "example": example}
    if given is None:
        raise FaultError("", message("quantity-unit-odd", value=text, **values))
    raise FaultError("", message("quantity-other-kind", value=text, given=kind_name(given), **values))


def _kind_by_pint(unit: str) -> Kind | None:
    return next((kind for kind, si in BY_PINT.items() if pint_factor(unit, si) is not None), None)


LONGEST_BARE_IN = 240
"""In an imperial job, a longer bare number is rather one of millimeters: few pieces are over 20 ft."""

LEAST_BARE_MM, LONGEST_BARE_M, LONGEST_BARE_CM = 3, 10, 300
"""A bare number may be one of millimeters where it is a thickness that can be cast, and one of meters or centimeters up
to the size of a large piece."""


def _refuse_bare(text: str, digits: str, number: Fraction | None, kind: Kind | None, negative: bool) -> NoReturn:
    """Raise FaultError for a number without a unit.

    digits    the number as written, without its sign
    negative  whether it may be negative
    """
    if number is None:
        raise FaultError("", message("quantity-not-finite", value=text, example=example_of(kind)))
    if number < 0 and not negative and kind not in (None, "temperature"):
        example = example_of(kind, -number, digits)
        raise FaultError("", message("quantity-negative", value=text, needed=kind_name(kind), example=example))
    if kind == "length" and number > 0 and "/" not in digits:
        raise FaultError("", message("quantity-no-unit-length", value=text, **_likely_lengths(float(number))))
    raise FaultError("", message("quantity-no-unit", value=text, example=example_of(kind, number, digits)))


def _likely_lengths(number: float) -> dict[str, Value]:
    """What a bare number may mean as a length in either system of units, and the size that it has in each unit."""
    imperial = "in" if number < LEAST_BARE_MM else "in-mm" if number <= LONGEST_BARE_IN else "mm-in"
    metric = "m-cm-mm" if number < LONGEST_BARE_M else "mm-cm" if number <= LONGEST_BARE_CM else "mm"
    return {
        "number": f"{number:.12g}",
        "imperial": imperial,
        "metric": metric,
        "millimeters": format_length(number / 1000, "imperial"),
        "inches": format_length(number * float(INCH), "imperial"),
        "centimeters": format_length(number / 100, "metric"),
        "meters": format_length(number, "metric"),
    }


def _refuse_second(text: str, first: str, large: str, second: str) -> NoReturn:
    """Raise FaultError for a second number without a unit, with the unit that goes with the first if there is one."""
    small = next((small for unit, small in _PAIRS if unit == SPELLING.get(large)), None)
    if small is None:
        raise FaultError("", message("quantity-second-unit", value=text))
    second = hyphened(second)
    pair = f"{first}' {second}\"" if large == "'" else f"{first} {large} {second} {small}"
    raise FaultError("", message("quantity-second-unit-of", value=text, example=pair))
