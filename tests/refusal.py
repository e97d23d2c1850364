"""Faults of geometry as a reader of a metric job gets them."""

import re
from collections.abc import Iterable, Iterator
from contextlib import contextmanager

import pytest

from estimator.words import Words
from geometry.errors import FaultError
from geometry.message import Message

METRIC = Words("metric", "EUR", "en-US")


def words_of(error: FaultError) -> str:
    """What a reader sees of a fault: what is wrong, and what to type."""
    return f"{METRIC.text(error.message)} {METRIC.text(error.message, 'fix')}".strip()


@contextmanager
def refusal(pattern: str = "") -> Iterator[pytest.ExceptionInfo[FaultError]]:
    """Expects a FaultError whose words hold the pattern."""
    with pytest.raises(FaultError) as raised:
        yield raised
    said = f"{raised.value.key}: {words_of(raised.value)}".removeprefix(": ")
    assert re.search(pattern, said), said


def said(notes: Iterable[Message]) -> tuple[str, ...]:
    """Notes on a file as a reader of a metric job gets them."""
    return tuple(METRIC.text(note) for note in notes)
