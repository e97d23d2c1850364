"""The program's figures beside those of the second engine, job by job."""

import tomllib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from estimator.api import InputError, estimate, job_from
from tests.second_engine import jobs
from tests.second_engine.engine import Money, Near, figures
from tests.second_engine.mixes import TooMuchWaterError, concrete

RELATIVE = 1e-9
CENT = Fraction(1, 100)


@dataclass
class Outcome:
    """Figures compared in a run, and every one that differs."""

    jobs: int
    refused: int  # by both: more water in the stock than the mix may have
    figures: int
    differences: list[str]


def document_of(text: str) -> Any:
    """The estimate of a job file's text, in process."""
    return estimate(job_from(tomllib.loads(text))).document()


def agree(here: Any, there: Any) -> bool:
    """Whether two figures agree: money to the cent, all else to 1e-9 of itself; a length of zero to 1e-12."""
    if isinstance(here, Money):
        exact = Fraction(here)
        close = abs(exact - Fraction(str(there)))
        on_the_edge = abs((exact / CENT) % 1 - Fraction(1, 2)) < RELATIVE * max(1, abs(exact / CENT))
        return close <= CENT / 2 or (on_the_edge and close < CENT)
    if isinstance(here, Fraction) and there is not None:
        scale = there.scale if isinstance(there, Near) else abs(float(here))
        return abs(float(here - Fraction(there))) <= max(RELATIVE * scale, 1e-12)
    return bool(here == there)


def cannot_be_weighed(text: str) -> bool:
    """Whether the stock of a mix that a piece uses brings more water than the mix may have."""
    job = tomllib.loads(text, parse_float=Fraction)
    for mix in job["mixes"].values():
        try:
            concrete(mix, job["materials"])
        except TooMuchWaterError:
            return True
    return False


def differences(number: int) -> Iterator[tuple[int, str]]:
    """(figures compared, difference or nothing) of the job of that number."""
    text = jobs.toml_text(jobs.job(number))
    try:
        document = document_of(text)
    except InputError as error:
        yield 0, "refused" if cannot_be_weighed(text) else f"job {number} is refused: {error}"
        return
    for path, here, there in figures(text, document):
        shown = float(here) if isinstance(here, Fraction) else here
        yield 1, "" if agree(here, there) else f"job {number}, {path}: {shown} here, {there} in the document"


def run(numbers: Iterable[int]) -> Outcome:
    """Compares the jobs of these numbers."""
    outcome = Outcome(0, 0, 0, [])
    for number in numbers:
        outcome.jobs += 1
        for compared, difference in differences(number):
            outcome.figures += compared
            if difference == "refused":
                outcome.refused += 1
            elif difference:
                outcome.differences.append(difference)
    return outcome
