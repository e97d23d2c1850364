"""A working in words: formula, values, result, unit and source, for paper and terminal alike."""

from collections.abc import Sequence
from difflib import get_close_matches

from estimator.errors import Fault, InputError
from estimator.estimate import Estimate
from estimator.names import folded, in_document_spelling
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


def workings_of_figure(estimate: Estimate, figure: str) -> list[Working]:
    """The workings of a figure by its dotted path; of all below it where the path is a branch.

    Words that are spelled in two ways are found in both: `center_of_gravity_m`, `cost.labor`.
    Raises InputError for a figure without a working, naming the nearest.
    """
    wanted = _compared(figure)
    named = [(_compared(each.figure), each) for each in estimate.workings]
    found = [each for name, each in named if name == wanted]
    found = found or [each for name, each in named if name.startswith(f"{wanted}.")]
    if not found:
        near = _nearest_figure(estimate.workings, figure)
        fix = f'Did you mean "{near}"?' if near else "Figures are dotted paths, such as cost.price."
        raise InputError([Fault(estimate.job.file, figure, "there is no such figure with a working.", fix)])
    return found


def _compared(figure: str) -> str:
    """A figure's path as it is compared: marks in any case and spacing, words in either spelling."""
    return in_document_spelling(folded(figure))


def _nearest_figure(workings: Sequence[Working], figure: str) -> str | None:
    """The figure whose name comes nearest: by its whole path, else by its last words."""
    names = list(dict.fromkeys(each.figure for each in workings))
    near = get_close_matches(figure.strip(), names, n=1, cutoff=0.5)
    if near:
        return near[0]
    tails = {name.rsplit(".", 1)[-1]: name for name in reversed(names)}
    near = get_close_matches(figure.strip().rsplit(".", 1)[-1], list(tails), n=1, cutoff=0.5)
    return tails[near[0]] if near else None
