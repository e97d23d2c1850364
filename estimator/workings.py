"""How a figure came about: a formula that a reader can key into a calculator, and that the program runs itself.

A formula is plain arithmetic over the names of its values: `+ − · / ^ ( )`, `min(a, b)`, `max(a, b)`, `ceil(a)`,
`floor(a)`, `sqrt(a)`, and `round2(a)`, half up to two decimals as money is. Its text is compiled once, when it is first
used, into a function of floats (or, for the arithmetic alone, of NumPy arrays), so that what is shown and what is
computed cannot drift apart. Branches stay in Python and choose the formula.
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

SIGNS = str.maketrans({"·": "*", "−": "-", "^": "**"})  # of printed arithmetic, as Python writes them

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
    """One figure of the estimate document with the way to it.

    figure   dotted path in the document, a list entry by its mark or name: pieces.C1.weight.lift_kg
    formula  over the names in `values`
    result   in `unit`, as the document holds it
    source   standard, table, paper or practice, and what it assumes; in words where Python asks for one working
    """

    figure: str
    formula: str
    values: Values
    result: float
    unit: str
    source: Message | str


@frozen
class Formula:
    """A formula that a kernel calls and a working shows.

    text    plain arithmetic over names
    unit    of the result
    source  standard, table, paper or practice, and what it assumes

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
        """The result for these values: a float, or an array where arrays come in and no function stands in the text."""
        return parsed(self.text)(**values)

    @property
    def function(self) -> Callable[..., Any]:
        """What the text was compiled into: quicker to call, for figures that are asked for piece by piece."""
        return parsed(self.text)

    def working(self, path: str, **values: float) -> Working:
        """The figure at `path` with its value and the way to it."""
        return figure(path, self.text, values, self.unit, self.source)


def figure(path: str, formula: str, values: Values, unit: str, source: Message) -> Working:
    """The figure at `path` of the document, computed by the text of its own formula.

    Raises ValueError for a text that is no formula, TypeError for a name without a value or a value without a name:
    faults of the program.

    >>> from geometry.message import message
    >>> terms = message("source-terms-price")
    >>> figure("cost.tax", "round2(share · price)", {"share": 0.0725, "price": 812.4}, "USD", terms).result
    58.9
    """
    return Working(path, formula, values, parsed(formula)(**values), unit, source)


def money(path: str, formula: str, values: Values, currency: str, source: Message) -> Working:
    """The amount at `path`, computed by the text of its formula and exact to the cent, as every amount is."""
    return Working(path, formula, values, float(round2(parsed(formula)(**values))), currency, source)


@lru_cache(maxsize=4096)
def parsed(formula: str) -> Callable[..., Any]:
    """The function of named values that a formula's text means. Raises ValueError for anything but plain arithmetic.

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
    """Names of the values under a node, which is arithmetic throughout; raises ValueError where it is not."""
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
