"""The grammar of quantities in text, and of shares."""

import re
import unicodedata
from collections.abc import Mapping
from fractions import Fraction
from functools import lru_cache
from math import isfinite
from types import MappingProxyType
from typing import NoReturn

from estimator.units.table import BY_PINT, SPELLING, WORDS, Kind, is_one_unit, pint_factor, unit_kind
from geometry.errors import FaultError

_PAIRS: Mapping[tuple[str, str], int] = MappingProxyType({("ft", "in"): 12, ("lb", "oz"): 16, ("h", "min"): 60})

_NUMBER = r"(?:\d+(?:\s*-\s*|\s+)\d+/\d+|\d+/\d+|\d+\.?\d*|\.\d+)"
_LEADING_NUMBER = re.compile(_NUMBER)
_SECOND_NUMBER = re.compile(r"[-+]?\s*[\d.]")
_PAIR = re.compile(rf"([A-Za-z]+|')\s*-?\s*({_NUMBER})\s*([A-Za-z]+|\")")
_PAIR_WITHOUT_UNIT = re.compile(rf"(?:[A-Za-z]+(?:\s+|\s*-\s*)|'\s*-?\s*)({_NUMBER})")
_PLAIN = re.compile(r"(\d{1,9})(?:\.(\d{1,9}))? ?([a-z]+)")
_SIGNS = str.maketrans(
    {"−": "-", "′": "'", "’": "'", "″": '"', "”": '"', "“": '"', "⁄": "/", "²": "^2", "³": "^3", "·": "*"}
)


def read_quantity(text: object, kind: Kind, *, negative: bool = False) -> float:
    """The quantity written in `text`, as a float in the SI unit of its kind.

    text      a number with its unit: `25.5 in`, `6' 3-1/2"`, `3½ in`, `5 lb 8 oz`, `50 ft^3`, `250 ft²/gal`
    kind      what is needed; temperature comes back in °C, angle in degrees, every other kind in its coherent SI
              unit (m, m2, m3, kg, s, K, N, J, kg/m3, kg/m2, m2/m3, m3/kg, s/m2, m2/s, 1/s, m/s, Pa, W ...)
    negative  whether a value below zero may be; a temperature always may, down to absolute zero

    Raises FaultError for a bare number, a unit of another kind, and all that the grammar does not know.

    >>> read_quantity("6 ft 3-1/2 in", "length")
    1.9177
    >>> read_quantity("1.5", "length")
    Traceback (most recent call last):
    geometry.errors.FaultError: "1.5" has no unit. Write "1.5 in" or "38 mm".
    """
    if isinstance(text, str):
        return _read(text, kind, negative)
    if isinstance(text, (int, float)) and not isinstance(text, bool):
        _refuse_bare(f"{text:g}", Fraction(text) if isfinite(text) else None, kind)
    raise FaultError("", f"{text!r} is not text with a unit.", _example(kind))


def read_ratio(value: object, *, above_one: bool = False) -> float:
    """A share: a bare number, or text with or without %, from 0 to 1 (higher only with `above_one`).

    Raises FaultError. A percentage written as a bare number is asked about, never divided in silence.

    >>> read_ratio("7 %"), read_ratio(0.07), read_ratio("1/2")
    (0.07, 0.07, 0.5)
    >>> read_ratio(7)
    Traceback (most recent call last):
    geometry.errors.FaultError: 7 is above 1, where a share is needed. 7? write 0.07
    """
    if isinstance(value, bool) or not isinstance(value, (int, float, str)):
        raise FaultError("", f"{value!r} is not a share.", 'Write 0.07 or "7 %".')
    if isinstance(value, str):
        shown = f'"{value}"'
        sign, body = _sign_and_body(value)
        number = body.removesuffix("%").rstrip()
        if not _LEADING_NUMBER.fullmatch(number):
            if "," in body:
                raise FaultError(
                    "", f"{shown} has a comma.", "Write the decimal point, 0.07, and no thousand separators."
                )
            raise FaultError("", f"{shown} is not a share.", 'Write 0.07 or "7 %".')
        exact = sign * _number(number, value) / (100 if body.endswith("%") else 1)
        ratio = float(exact)
    else:
        shown = f"{value:g}" if isinstance(value, float) else str(value)
        ratio = float(value)
    if not isfinite(ratio):
        raise FaultError("", f"{shown} is not a number.", 'Write 0.07 or "7 %".')
    if ratio < 0:
        raise FaultError("", f"{shown} is negative, where a share is needed.", 'Write 0.07 or "7 %".')
    if ratio > 1 and not above_one:
        if shown.rstrip('"').endswith("%"):
            raise FaultError("", f"{shown} is above 100 %, where a share is needed.", "Write a share of the whole.")
        raise FaultError("", f"{shown} is above 1, where a share is needed.", f"{ratio:g}? write {ratio / 100:g}")
    return ratio


def read_any(text: str) -> tuple[Kind, float]:
    """The kind that the unit of `text` names, and the quantity in SI; for tables whose keys are open.

    A temperature is taken as a reading, never as a difference.

    >>> read_any("50 lb"), read_any("70 °F")[0]
    (('mass', 22.6796185), 'temperature')
    """
    value, unit = _value_and_unit(text, None)
    given, factor = unit_kind(unit, text)
    kind = "temperature" if given == "temperature-difference" else given or _kind_by_pint(unit)
    if kind is None:
        raise FaultError("", f'"{text}" is no kind of quantity that is known here.')
    return kind, float(_in_kind(value, unit, given, factor, kind, text))


@lru_cache(maxsize=32_768)  # a schedule repeats its few thicknesses thousands of times
def _read(text: str, kind: Kind, negative: bool) -> float:
    if plain := _PLAIN.fullmatch(text):  # most cells of a schedule: the same figure as below, without its steps
        digits, decimals, unit = plain.groups("")
        given, factor = unit_kind(unit, text)
        if given == kind:
            number = int(digits + decimals) * factor.numerator
            return number / int(factor.denominator * 10 ** len(decimals))
    value, unit = _value_and_unit(text, kind)
    value = _in_kind(value, unit, *unit_kind(unit, text), kind, text)
    if value < 0 and not negative and kind != "temperature":
        raise FaultError("", f'"{text}" is negative, where {WORDS[kind][0]} is needed.', _example(kind))
    return float(value)


def _value_and_unit(text: str, kind: Kind | None) -> tuple[Fraction, str]:
    sign, body = _sign_and_body(text)
    if not body:
        raise FaultError("", f'"{text}" is empty.', _example(kind))
    if "," in body:
        raise FaultError("", f'"{text}" has a comma.', "Write the decimal point, and no thousand separators.")
    found = _LEADING_NUMBER.match(body)
    if not found:
        raise FaultError("", f'"{text}" does not begin with a number.', _example(kind))
    number = _number(found[0], text)
    rest = body[found.end() :].strip()
    if not rest:
        _refuse_bare(text.strip(), sign * number, kind)
    if _SECOND_NUMBER.match(rest):
        raise FaultError(
            "",
            f'"{text}" holds two numbers.',
            'Write one: "1200 mm" without a space in it, a fraction as "3-1/2 in", and no ranges.',
        )
    if (pair := _PAIR.fullmatch(rest)) and not is_one_unit(rest):
        number, rest = _joined(number, pair[1], pair[2], pair[3], text), pair[3]
    elif _PAIR_WITHOUT_UNIT.fullmatch(rest):
        raise FaultError("", f'"{text}" has a second number without a unit.', "Write its unit too: 6' 3-1/2\".")
    return sign * number, rest


def _sign_and_body(text: str) -> tuple[int, str]:
    """The text in plain signs: fraction characters written out, spaces single, a leading minus taken off."""
    plain = text if text.isascii() else ""
    for char in "" if plain else text:
        if unicodedata.decomposition(char).startswith("<fraction>"):
            plain += " " if plain[-1:].isdigit() else ""
            plain += unicodedata.normalize("NFKC", char)
        else:
            plain += char
    plain = " ".join(plain.translate(_SIGNS).replace("''", '"').split())
    return (-1, plain[1:].lstrip()) if plain.startswith("-") else (1, plain)


def _number(body: str, text: str) -> Fraction:
    """A decimal, a fraction or a whole and a fraction, exactly."""
    if "/" not in body:
        return Fraction(body.rstrip("."))
    whole, top, bottom = re.fullmatch(r"(?:(\d+)[\s-]+)?(\d+)/(\d+)", body).groups()  # type: ignore[union-attr]
    if int(bottom) == 0 or int(top) >= int(bottom):
        raise FaultError(
            "", f'"{text}" holds {top}/{bottom}, no proper fraction.', 'Write whole and fraction: "3-1/2 in".'
        )
    return int(whole or 0) + Fraction(int(top), int(bottom))


def _joined(first: Fraction, large: str, second: str, small: str, text: str) -> Fraction:
    """Feet and inches, pounds and ounces, hours and minutes, in the smaller unit."""
    ratio = _PAIRS.get((SPELLING.get(large, ""), SPELLING.get(small, "")))
    if ratio is None:
        raise FaultError("", f'"{text}" joins two units that do not go together.', "Write it in one unit.")
    rest = _number(second, text)
    if first.denominator != 1 or rest >= ratio:
        raise FaultError(
            "",
            f'"{text}" is not whole {SPELLING[large]} and less than {ratio} {SPELLING[small]}.',
            f'Write it in one unit: "{float(first * ratio + rest):g} {SPELLING[small]}", if that is meant.',
        )
    return first * ratio + rest


def _in_kind(value: Fraction, unit: str, given: Kind | None, factor: Fraction, kind: Kind, text: str) -> Fraction:
    if given == kind:
        return value * factor
    if kind == "temperature" and given == "temperature-difference":
        zero = {"degF": Fraction(32), "K": Fraction(27_315, 100)}.get(SPELLING.get(unit.replace(" ", ""), ""), 0)
        celsius = (value - zero) * factor
        if celsius < Fraction(-27_315, 100):
            raise FaultError("", f'"{text}" lies below absolute zero.', _example(kind))
        return celsius
    if given is None and (by_pint := pint_factor(unit, BY_PINT.get(kind, "kg**9"))) is not None:
        return value * by_pint
    given = given or _kind_by_pint(unit)
    name = WORDS[given][0] if given else "something else"
    fluid = kind == "volume" and SPELLING.get(unit) == "oz"
    fix = 'Write "fl oz" for the fluid ounce.' if fluid else _example(kind)
    raise FaultError("", f'"{text}" is {name} where {WORDS[kind][0]} is needed.', fix)


def _kind_by_pint(unit: str) -> Kind | None:
    return next((kind for kind, si in BY_PINT.items() if pint_factor(unit, si) is not None), None)


def _refuse_bare(text: str, number: Fraction | None, kind: Kind | None) -> NoReturn:
    if number is None:
        raise FaultError("", f'"{text}" is not a number.', _example(kind))
    raise FaultError("", f'"{text}" has no unit.', _example(kind, number))


def _example(kind: Kind | None, number: Fraction | None = None) -> str:
    """How to write it: the bare number in the first unit of its kind, and the same quantity in the second."""
    value = Fraction(3, 2) if number is None else number
    if kind is None:
        return f'Write its unit: "{float(value):g} in", "{float(value):g} lb".'
    _, first, second = WORDS[kind]
    shown = f'"{float(value):g} {first}"'
    if not second:
        return f"Write {shown}."
    if kind == "temperature":
        other = (value - 32) * 5 / 9
    else:
        other = value * unit_kind(first, first)[1] / unit_kind(second, second)[1]
    return f'Write {shown} or "{_short(float(other))} {second}".'


def _short(value: float) -> str:
    return f"{value:.0f}" if abs(value) >= 10 else f"{value:.2g}"
