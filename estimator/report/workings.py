"""A working in words: formula, values, result, unit and source, for paper and terminal alike."""

from collections.abc import Sequence

from estimator.workings import Working

MOST_MONEY = 1e12
DIGITS = 6  # significant, of a value on paper: enough to recompute the result to the figure that is shown


def figure_text(value: float) -> str:
    """A value to six significant digits, in full where it has two decimals at most, as money has."""
    if abs(value) < MOST_MONEY and round(value, 2) == value:
        return f"{value:.2f}".removesuffix(".00")
    text = f"{value:.{DIGITS}g}"
    if "e" not in text:
        return text
    return f"{value:.0f}" if abs(value) >= 1.0 else f"{value:.12f}".rstrip("0") if abs(value) >= 1e-9 else text


def values_text(names: Sequence[str], values: Sequence[float]) -> str:
    """The values of a formula, name by name."""
    return ", ".join(f"{name} = {figure_text(value)}" for name, value in zip(names, values, strict=True))


def values_lines(working: Working) -> list[str]:
    """The values of a formula in full, a line each."""
    longest = max((len(name) for name in working.values), default=0)
    return [f"{name:<{longest}} = {value!r}" for name, value in working.values.items()]


def result_text(working: Working) -> str:
    return f"{figure_text(working.result)} {working.unit}".rstrip()
