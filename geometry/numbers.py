"""Numbers in files and fields, as every format means them: digits 0 to 9, a point, an exponent.

Python's own `float` and `int` also read 1_0 as ten, digits of other scripts, "inf" and "nan".
"""

from __future__ import annotations

from math import isfinite


def decimal_number(text: str) -> float:
    """A finite number in text. Raises ValueError for anything else.

    >>> decimal_number("-1.5e2"), decimal_number(" .5 ")
    (-150.0, 0.5)
    >>> decimal_number("1_0")
    Traceback (most recent call last):
    ValueError: not a number: '1_0'
    """
    number = float(text) if is_plain(text) else float("nan")
    if not isfinite(number):
        raise ValueError(f"not a number: {text!r}")
    return number


def whole_number(text: str) -> int:
    """A whole number in text. Raises ValueError for anything else.

    >>> whole_number("-12")
    -12
    """
    if not is_plain(text):
        raise ValueError(f"not a whole number: {text!r}")
    return int(text)


def is_plain(text: str) -> bool:
    """Whether a text has no signs that Python alone reads as part of a number."""
    return text.isascii() and "_" not in text
