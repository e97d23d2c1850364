"""The text of a formula is what runs: precedence as on paper, and nothing but arithmetic."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.workings import Formula, figure, parsed
from geometry.message import message

PRACTICE = message("source-rates")
positive = st.floats(0.01, 1000.0)


@pytest.mark.parametrize(
    ("text", "result"),
    [
        ("2 + 3 · 4", 14.0),
        ("2 · 3^2", 18.0),  # the power first, on paper as here
        ("10 − 4 − 3", 3.0),
        ("12 / 2 / 3", 2.0),
        ("-2 + 5", 3.0),
        ("ceil(7 / 2) + min(3, 1, 2) · max(4, 5)", 9.0),
        ("sqrt(2^2 + 1.5^2)", 2.5),
        ("round2(2.675)", 2.68),  # half up, of the number as written
    ],
)
def test_arithmetic_reads_as_on_paper(text: str, result: float) -> None:
    assert parsed(text)() == pytest.approx(result, rel=1e-15)


@pytest.mark.parametrize(
    "text", ["a = 1", "a b", "", "a.b", "a[0]", "open('x')", "__import__('os')", "[1]", "'a'", "True", "a if b else c",
             "min(a, key=b)", "a % b", "a // b", "lambda: 1"],
)  # fmt: skip
def test_text_other_than_arithmetic_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="formula"):
        parsed(text)


def test_a_name_without_a_value_is_an_internal_error() -> None:
    with pytest.raises(TypeError, match="'b'"):
        figure("cost.tax", "a · b", {"a": 1.0}, "USD", PRACTICE)


@given(positive, positive, positive)
def test_kernel_and_working_use_the_same_formula(a: float, b: float, c: float) -> None:
    load = Formula("(a + b) · c / a^2 − b", "kg", PRACTICE)
    assert load(a=a, b=b, c=c) == load.working("x", a=a, b=b, c=c).result == (a + b) * c / a**2 - b


def test_columns_go_through_the_same_formula() -> None:
    column = np.array([1.0, 2.0, 4.0])
    assert Formula("2 · a^2 − a", "", PRACTICE)(a=column).tolist() == [1.0, 6.0, 28.0]
