"""Faults of geometry as printed in a metric job."""

import re
from collections.abc import Iterable, Iterator
from contextlib import contextmanager

import pytest

from estimator.words import Words
from geometry.errors import FaultError
from geometry.message import Message

METRIC = Words("metric", "EUR", "en-US")


def words_of(error: FaultError) -> str:
    """A fault as printed: what is wrong, and what to type."""
    return f"{METRIC.text(error.message)} {METRIC.text(error.message, 'fix')}".strip()


@contextmanager
def refusal(pattern: str = "") -> Iterator[pytest.ExceptionInfo[FaultError]]:
    """Expects a FaultError whose text matches the pattern."""
    with pytest.raises(FaultError) as raised:
        yield raised
    text = f"{raised.value.key}: {words_of(raised.value)}".removeprefix(": ")
    assert re.search(pattern, text), text


def note_texts(notes: Iterable[Message]) -> tuple[str, ...]:
    """Notes on a file as printed in a metric job."""
    return tuple(METRIC.text(note) for note in notes)
