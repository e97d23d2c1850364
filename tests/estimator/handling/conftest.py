"""Jobs of one piece, for tests of its handling plan."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from estimator.commands.jobs import estimate_file
from estimator.errors import InputError
from estimator.estimate import Estimate, PieceEstimate
from estimator.words import Words

Write = Callable[[str], Path]
One = Callable[[str], PieceEstimate]
Refused = Callable[[str], list[str]]

HEAD = '[job]\nname = "Handling"\nunits = "metric"\nmix = "backer-45"\n'
SLAB = '{ kind = "slab", length = "2.4 m", width = "650 mm", thickness = "25 mm" }'
SINK = '{ kind = "rectangle", length = "560 mm", width = "430 mm", x = "920 mm", y = "110 mm" }'
CUT = f'{{ kind = "slab", length = "2.4 m", width = "650 mm", thickness = "25 mm", cutouts = [{SINK}] }}'


def doubts_of(estimated: PieceEstimate) -> list[str]:
    """The doubts of a piece, as printed on its sheets."""
    words = Words("metric", "EUR", "en-GB")
    return [words.text(doubt) for doubt in estimated.handling.not_shown_safe]


def piece(shape: str = SLAB, more: str = "", use: str = "counter", mark: str = "C1") -> str:
    return f'[[piece]]\nmark = "{mark}"\nuse = "{use}"\nshape = {shape}\n{more}\n'


@pytest.fixture
def estimate_job(write_job: Write) -> Callable[[str], Estimate]:
    return lambda text: estimate_file(write_job(HEAD + text))


@pytest.fixture
def estimate_piece(estimate_job: Callable[[str], Estimate]) -> Callable[[str], PieceEstimate]:
    return lambda text: estimate_job(text).pieces[0]


@pytest.fixture
def refused(write_job: Write) -> Callable[[str], list[str]]:
    def lines(text: str) -> list[str]:
        with pytest.raises(InputError) as raised:
            estimate_file(write_job(HEAD + text))
        return [str(fault) for fault in raised.value.faults]

    return lines
