"""Faults of the input, one line each, worded so that a caster can fix them and reported all at once."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from typing import Protocol, TypeAlias

from estimator.words import PLAIN, JobLike, Words, words_for
from geometry.errors import FaultError as FaultError
from geometry.frozen import frozen
from geometry.message import Message, message


@frozen
class Fault:
    """One problem of the input: the file, the place in it, what is wrong, and how to fix it.

    message   what is wrong; its attribute "fix" tells what to type
    words     language and units of the job that the file belongs to

    >>> print(Fault("job.toml", "piece C1, shape.thickness", Message("not-finite")))
    job.toml: piece C1, shape.thickness: is not a finite number. Enter a length.
    """

    file: str
    place: str
    message: Message
    words: Words = PLAIN

    @property
    def what(self) -> str:
        """What is wrong, in one sentence."""
        return _exact(self.words).text(self.message)

    @property
    def fix(self) -> str:
        """What to type or do; "" if `what` already says it."""
        return _exact(self.words).text(self.message, "fix")

    def at(self, place: str) -> Fault:
        """The same fault at another place of its file."""
        return Fault(self.file, place, self.message, words=self.words)

    def in_words(self, words: Words) -> Fault:
        """The same fault in the language and the units of a job."""
        return Fault(self.file, self.place, self.message, words=words)

    def __str__(self) -> str:
        text = f"{self.place}: {self.what}" if self.place else self.what
        line = f"{self.file}: {text} {self.fix}".rstrip()
        return " ".join(line.split())


@lru_cache(maxsize=16)
def _exact(words: Words) -> Words:
    """The same words with all digits of a figure, so that a fault shows what was entered."""
    return replace(words, exact=True)


class at_key:  # noqa: N801  reads as the statement that it is
    """Context manager that gives every FaultError raised inside it this dotted key, whatever key it had."""

    __slots__ = ("key",)

    def __init__(self, key: str) -> None:
        self.key = key

    def __enter__(self) -> None:
        pass

    def __exit__(self, kind: object, error: BaseException | None, trace: object) -> None:
        if isinstance(error, FaultError):
            raise FaultError(self.key, error.message) from None


class InputError(ValueError):
    """The input cannot be estimated. `faults` has all problems found."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))


Locate: TypeAlias = Callable[[Iterable[Fault]], Sequence[Fault]]
"""Function that gives faults of a job the file that holds their key, which may be one that it is merged over."""


class LocatingJob(JobLike, Protocol):
    """The properties of a job that decide the words and the files of its faults."""

    @property
    def located(self) -> Locate: ...


def job_error(job: LocatingJob, faults: Iterable[Fault]) -> InputError:
    """The faults of a job as one error, in the units and language of the job."""
    words = words_for(job)
    return InputError(fault.in_words(words) for fault in job.located(faults))


def no_file(path: Path) -> Fault:
    """That a path which should lead to a file leads to a folder, or nowhere; "." has no name of its own."""
    return Fault(path.name or str(path), "", message("file-is-folder" if path.is_dir() else "file-missing"))
