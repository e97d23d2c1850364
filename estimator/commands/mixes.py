"""What the mix commands share: reading mixes with or without a job, and telling a mix's fault as the input's."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from estimator.errors import Fault, InputError
from estimator.estimate import survey
from estimator.intake import read_job
from estimator.intake.faults import nearest
from estimator.intake.read import read_shelf_of
from estimator.intake.shelf import Shelf
from estimator.job import Job, Mix, Workshop
from estimator.mix import MadeMix, MixError
from estimator.names import same_name
from estimator.report.words import Words
from estimator.takeoff import Takeoff
from estimator.units import Kind, Units, UnitsError, read_quantity, read_ratio


@dataclass(frozen=True, slots=True)
class Bench:
    """Mixes and materials, and how to write their figures."""

    file: str
    shelf: Shelf
    words: Words
    workshop: Workshop

    def mix(self, name: str) -> Mix:
        """A mix by its name. Raises InputError where there is none."""
        if name not in self.shelf.mixes:
            raise InputError([Fault(self.file, "", f'there is no mix "{name}".', nearest(name, self.shelf.mixes))])
        return self.shelf.mixes[name]


@dataclass(frozen=True, slots=True)
class Measured:
    """A job with its pieces measured and its mixes made."""

    job: Job
    takeoff: Takeoff
    mixes: dict[str, MadeMix]
    words: Words


def open_bench(job: Path | None, units: Units | None = None) -> Bench:
    """The mixes of a job, or of the catalog where none is named. Raises InputError with every fault of them."""
    reading = read_shelf_of(job)
    shelf, workshop = reading.sound(), reading.workshop
    if workshop is None:
        raise InputError(reading.faults)
    return Bench(reading.file, shelf, Words(units or reading.units, reading.currency), workshop)


def measure_job(path: Path) -> Measured:
    """The job's pieces measured, its mixes made. Raises InputError with every fault."""
    job = read_job(path).sound()
    takeoff, mixes, _ = survey(job)
    return Measured(job, takeoff, mixes, Words(job.units, job.currency))


@contextmanager
def telling(file: str, mix: str) -> Iterator[None]:
    """Turns a MixError into the input's fault, at its place in the mix."""
    try:
        yield
    except MixError as error:
        raise InputError([Fault(file, f"mix {mix}, {error.key}", error.what, error.fix)]) from None


def quantity(option: str, text: str, kind: Kind) -> float:
    """The quantity of an option. Raises InputError that names the option."""
    try:
        return read_quantity(text, kind)
    except UnitsError as error:
        raise InputError([Fault(option, "", error.what, error.fix)]) from None


def ratio(option: str, text: str) -> float:
    """The share of an option, as a number or with %. Raises InputError that names the option."""
    try:
        return read_ratio(_as_number(text))
    except UnitsError as error:
        raise InputError([Fault(option, "", error.what, error.fix)]) from None


def wrong(file: str, what: str, fix: str = "", place: str = "") -> InputError:
    """One fault of the input, or of an option."""
    return InputError([Fault(file, place, what, fix)])


@contextmanager
def writing(path: Path) -> Iterator[None]:
    """Turns a failure to write into the input's fault: the folder is the user's."""
    try:
        yield
    except OSError as error:
        what = f"cannot be written: {error.strerror or error}."
        raise wrong(path.name, what, "Check the folder and its permissions.") from None


def marks_of(measured: Measured, marks: list[str]) -> list[str]:
    """Marks as the job spells them. Raises InputError for a mark that the job does not have."""
    known = [taken.piece.mark for taken in measured.takeoff.pieces]
    found = {mark: same_name(mark, known) for mark in marks}
    unknown = [mark for mark, own in found.items() if own is None]
    if unknown:
        raise InputError(
            [Fault(measured.job.file, "", f'there is no piece "{mark}".', nearest(mark, known)) for mark in unknown]
        )
    return [own for own in found.values() if own is not None]


def _as_number(text: str) -> str | float:
    try:
        return float(text)
    except ValueError:
        return text
