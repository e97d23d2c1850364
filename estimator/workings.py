"""How a figure came about: formula, values, result, unit, source. Each stage tells its own, next to its formula.

A formula is plain arithmetic over the names of its values, so that a colleague can key it into a calculator and a
test can evaluate it: `+ − · / ^ ( )`, `min(a, b)`, `max(a, b)`, `ceil(a)`, and `round2(a)`, half up to two decimals
as money is.
"""

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Working:
    """One figure of the estimate document, shown.

    figure   dotted path in the document, a list entry by its mark or name: pieces.C1.weight.lift_kg
    formula  over the names in `values`
    result   in `unit`, as the document holds it
    source   standard, table, paper or practice; and what it assumes
    """

    figure: str
    formula: str
    values: Mapping[str, float]
    result: float
    unit: str
    source: str
