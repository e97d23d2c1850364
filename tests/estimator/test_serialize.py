"""What of each result stands in the document: every path leads somewhere, and nothing without bound is written."""

from dataclasses import fields
from decimal import Decimal
from math import inf
from typing import Any

import numpy as np
import pytest

from estimator.handling.doubts import RatingCheck
from estimator.serialize import DERIVED, KEYS, plain


@pytest.mark.parametrize("kind", KEYS, ids=lambda kind: f"{kind.__module__}.{kind.__name__}")
def test_each_key_is_an_attribute_or_derived(kind: type[Any]) -> None:
    known = {item.name for item in fields(kind)} | set(dir(kind))
    for entry in KEYS[kind].split():
        key, _, path = entry.partition("=")
        assert key in DERIVED.get(kind, {}) or (path or key).split(".")[0] in known, entry


def test_each_derived_key_stands_in_its_class() -> None:
    for kind, derived in DERIVED.items():
        assert set(derived) <= {entry.partition("=")[0] for entry in KEYS[kind].split()}, kind


def test_numbers_become_those_of_json() -> None:
    assert plain([Decimal("1.10"), inf, np.float64(2.5), np.array([1, 2]), True, None]) == [
        1.1, None, 2.5, [1, 2], True, None,
    ]  # fmt: skip


def test_a_result_without_a_line_is_a_fault_of_the_program() -> None:
    with pytest.raises(KeyError):
        plain(object.__new__(type("Unlisted", (), {})))


def test_a_missing_rating_is_null() -> None:
    assert plain(RatingCheck("forklift", 900.0, None)) == {
        "what": "forklift", "load_kg": 900.0, "rating_kg": None, "shown_safe": False, "verdict": "missing",
    }  # fmt: skip
