"""Quantities in exact fractions: text with its unit to SI, money to the cent, and pi to fifty digits."""

import re
from fractions import Fraction

PI = Fraction("3.14159265358979323846264338327950288419716939937510")
INCH_M = Fraction("0.0254")
POUND_KG = Fraction("0.45359237")
CUBIC_FOOT_M3 = (12 * INCH_M) ** 3
IN_SI = {
    "mm": Fraction(1, 1000),
    "m": Fraction(1),
    "in": INCH_M,
    "ft": 12 * INCH_M,
    "kg": Fraction(1),
    "g": Fraction(1, 1000),
    "lb": POUND_KG,
    "L": Fraction(1, 1000),
    "m^3": Fraction(1),
    "ft^3": CUBIC_FOOT_M3,
    "kg/m^3": Fraction(1),
    "lb/ft^3": POUND_KG / CUBIC_FOOT_M3,
    "kg/m^2": Fraction(1),
    "lb/ft^2": POUND_KG / (12 * INCH_M) ** 2,
}
NUMBER = re.compile(r"(?:(\d+)-)?(\d+)/(\d+) (\S+)|(\d+(?:\.\d+)?) (\S+)")


def si(text: str) -> Fraction:
    """A quantity such as "25-7/16 in" or "12.5 kg" in SI.

    >>> si("1-1/2 in"), si("12.5 kg")
    (Fraction(381, 10000), Fraction(25, 2))
    """
    found = NUMBER.fullmatch(text)
    if found is None:
        raise ValueError(text)
    whole, above, below, of_fraction, decimal, of_decimal = found.groups()
    if decimal is not None:
        return Fraction(decimal) * IN_SI[of_decimal]
    return (int(whole or 0) + Fraction(int(above), int(below))) * IN_SI[of_fraction]


def cents(amount: Fraction) -> Fraction:
    """An amount of money rounded half up to the cent.

    >>> cents(Fraction("1.005")), cents(Fraction("-0.004"))
    (Fraction(101, 100), Fraction(0, 1))
    """
    sign = -1 if amount < 0 else 1
    return sign * Fraction(int(abs(amount) * 100 + Fraction(1, 2)), 100)
