"""Workings: how a figure was computed, as a formula that the program runs and a reader can key into a calculator.

A formula is plain arithmetic over the names of its values: `+ − · / ^ ( )`, `min(a, b)`, `max(a, b)`, `ceil(a)`,
`floor(a)`, `sqrt(a)`, and `round2(a)`, half up to two decimals as for money. Its text is compiled on first use into a
function of floats (or of NumPy arrays, if it has only operators), so that the formula shown is always the one computed.
Branches stay in Python and choose the formula.
"""

from __future__ import annotations

import ast
from collections.abc import Callable, Iterator, Mapping
from functools import lru_cache
from math import ceil, floor, sqrt
from types import CodeType, FunctionType
from typing import Any

from estimator.money import round2
from geometry.frozen import frozen
from geometry.message import Message

SIGNS = str.maketrans({"·": "*", "−": "-", "^": "**"})  # printed operators and their Python equivalents

OPERATORS = (ast.Add, ast.Sub, ast.Mult, ast.Div, ast.Pow)
FUNCTIONS: dict[str, Callable[..., Any]] = {
    "min": min,
    "max": max,
    "ceil": ceil,
    "floor": floor,
    "sqrt": sqrt,
    "round2": lambda amount: float(round2(amount)),
}

Values = Mapping[str, float]


@frozen
class Working:
    """One figure of the estimate document and how it was computed.

    figure   dotted path in the document, with list entries by mark or name: pieces.C1.weight.lift_kg
    formula  over the names in `values`
    result   in `unit`, as in the document
    source   standard, table, paper or practice, and its assumptions; a string in a working returned by `estimator.api`
    """

    figure: str
    formula: str
    values: Values
    result: float
    unit: str
    source: Message | str


@frozen
class Formula:
    """A formula that computing code calls and a working shows.

    text    plain arithmetic over names
    unit    of the result
    source  standard, table, paper or practice, and its assumptions

    >>> from geometry.message import message
    >>> tension = Formula("share_kg · leg_m / hook_m", "kg", message("picks-one"))
    >>> tension(share_kg=100.0, leg_m=2.0, hook_m=1.0)
    200.0
    >>> tension.working("rigging.A.tension_kg", share_kg=100.0, leg_m=2.0, hook_m=1.0).result
    200.0
    """

    text: str
    unit: str
    source: Message

    def __call__(self, **values: Any) -> Any:
        """The result for these values: a float, or an array for arrays if the text has no functions."""
        return parsed(self.text)(**values)

    @property
    def function(self) -> Callable[..., Any]:
        """The compiled function, which is faster to call once per piece."""
        return parsed(self.text)

    def working(self, path: str, **values: float) -> Working:
        """The working of the figure at `path` for these values."""
        return figure(path, self.text, values, self.unit, self.source)


def figure(path: str, formula: str, values: Values, unit: str, source: Message) -> Working:
    """The working of the figure at `path` of the document, computed by its formula.

    Raises ValueError for a text that is not a formula, and TypeError for a name without a value or a value without a
    name. Both are bugs of the program.

    >>> from geometry.message import message
    >>> terms = message("source-terms-price")
    >>> figure("cost.tax", "round2(share · price)", {"share": 0.0725, "price": 812.4}, "USD", terms).result
    58.9
    """
    return Working(path, formula, values, parsed(formula)(**values), unit, source)


def money(path: str, formula: str, values: Values, currency: str, source: Message) -> Working:
    """The working of the amount at `path`, computed by its formula and rounded to the cent."""
    return Working(path, formula, values, float(round2(parsed(formula)(**values))), currency, source)


@lru_cache(maxsize=4096)
def parsed(formula: str) -> Callable[..., Any]:
    """Compile a formula to a function of its named values. Raises ValueError for anything but plain arithmetic.

    >>> parsed("2 · (a + b)^2 − max(a, b)")(a=1.0, b=2.0)
    16.0
    """
    try:
        tree = ast.parse(formula.translate(SIGNS), mode="eval")
    except SyntaxError:
        raise ValueError(f"{formula!r} is no formula.") from None
    names = dict.fromkeys(_names(tree.body))  # every node is checked before any of it is compiled
    named = [ast.arg(name) for name in names]
    tree.body = ast.Lambda(ast.arguments([], [], None, named, [None for _ in names], None, []), tree.body)
    code = compile(ast.fix_missing_locations(tree), formula, "eval").co_consts[0]
    assert isinstance(code, CodeType)
    return FunctionType(code, FUNCTIONS)


def _names(node: ast.expr) -> Iterator[str]:
    """Yield the names of the values below a node. Raises ValueError for anything but arithmetic."""
    match node:
        case ast.Constant(value=int() | float() as number) if not isinstance(number, bool):
            return
        case ast.Name(id=name) if name not in FUNCTIONS:
            yield name
        case ast.UnaryOp(op=ast.USub(), operand=operand):
            yield from _names(operand)
        case ast.BinOp(left=left, op=sign, right=right) if isinstance(sign, OPERATORS):
            yield from _names(left)
            yield from _names(right)
        case ast.Call(func=ast.Name(id=name), args=arguments, keywords=[]) if name in FUNCTIONS:
            for argument in arguments:
                yield from _names(argument)
        case _:
            raise ValueError(f"{ast.unparse(node)} is no arithmetic of a formula.")
