"""What the mix commands share: the mix of a catalog or job, and the size of a batch."""

import re
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from functools import wraps
from inspect import signature
from pathlib import Path
from typing import ParamSpec, TypeVar

from estimator.catalog import language_of
from estimator.disk import refusal
from estimator.errors import Fault, FaultError, InputError
from estimator.estimate import survey
from estimator.intake import read_job
from estimator.intake.read import read_shelf_of, words_of_file
from estimator.intake.shelf import Shelf
from estimator.job import Job, Material, Mix, Workshop
from estimator.mix import MixDesign, Recipe
from estimator.mix.table import recipe_for
from estimator.names import nearest, same_name
from estimator.takeoff import Takeoff
from estimator.units import Kind, Units, read_any, read_quantity, read_ratio
from estimator.words import PLAIN, Words, words_for
from geometry.frozen import frozen
from geometry.message import Message, message
from geometry.numbers import decimal_number

Given = ParamSpec("Given")
Result = TypeVar("Result")


@frozen
class Bench:
    """Mixes and materials, and how to write their figures."""

    file: str
    shelf: Shelf
    words: Words
    workshop: Workshop

    def mix(self, name: str) -> Mix:
        """The mix of this name. Raises InputError for an unknown name."""
        if name not in self.shelf.mixes:
            problem = message("mix-unknown", name=name, nearest=nearest(name, self.shelf.mixes))
            raise InputError([Fault(self.file, "", problem, words=self.words)])
        return self.shelf.mixes[name]


@frozen
class Measured:
    """A job with its pieces measured and its mixes made."""

    job: Job
    takeoff: Takeoff
    mixes: dict[str, MixDesign]
    words: Words


def open_bench(job: Path | None, units: Units | None = None) -> Bench:
    """The mixes of a job, or of the catalog where none is named. Raises InputError with every fault of them."""
    reading = read_shelf_of(job)
    shelf, workshop = reading.sound(), reading.workshop
    if workshop is None:
        raise InputError(reading.faults)
    return Bench(reading.file, shelf, _in_units(reading.words, units, job), workshop)


def measure_job(path: Path) -> Measured:
    """The job's pieces measured, its mixes made. Raises InputError with every fault."""
    job = read_job(path).sound()
    takeoff, mixes, _ = survey(job)
    return Measured(job, takeoff, mixes, words_for(job))


def in_words_of_job(command: Callable[Given, Result]) -> Callable[Given, Result]:
    """The command with its faults in the words of its argument `job`, and in the units of its argument `units`."""

    @wraps(command)
    def run(*args: Given.args, **kwargs: Given.kwargs) -> Result:
        try:
            return command(*args, **kwargs)
        except InputError as error:
            arguments = signature(command).bind(*args, **kwargs).arguments
            path, units = arguments.get("job"), arguments.get("units")
            words = words_of_file(path) if isinstance(path, Path) else PLAIN
            words = _in_units(words, units, path)
            raise InputError(fault.in_words(words) for fault in error.faults) from None

    return run


def _in_units(words: Words, units: Units | None, job: object) -> Words:
    """The words in the units asked for; a job keeps its language, and without one the units decide it."""
    if units is None:
        return words
    return replace(words, units=units, language=words.language if job else language_of(units))


@contextmanager
def telling(file: str, mix: str) -> Iterator[None]:
    """Turns a FaultError into the input's fault, at its place in the mix."""
    try:
        yield
    except FaultError as error:
        raise InputError([Fault(file, f"mix {mix}, {error.key}", error.message)]) from None


def quantity(option: str, text: str, kind: Kind) -> float:
    """The quantity of an option. Raises InputError that names the option."""
    try:
        return read_quantity(text, kind)
    except FaultError as error:
        raise InputError([Fault(option, "", error.message)]) from None


def ratio(option: str, text: str) -> float:
    """The share of an option, as a number or with %. Raises InputError that names the option."""
    try:
        return read_ratio(_as_number(text))
    except FaultError as error:
        raise InputError([Fault(option, "", error.message)]) from None


@contextmanager
def writing(path: Path) -> Iterator[None]:
    """Turns a failure to write into the input's fault: the folder is the user's."""
    try:
        yield
    except OSError as error:
        raise InputError([Fault(path.name, "", message("file-not-written", reason=refusal(error)))]) from None


def marks_of(measured: Measured, marks: list[str]) -> list[str]:
    """Marks as the job spells them. Raises InputError for a mark that the job does not have."""
    marks_there = [taken.piece.mark for taken in measured.takeoff.pieces]
    spelled = {mark: same_name(mark, marks_there) for mark in marks}
    unknown = [mark for mark, own in spelled.items() if own is None]
    if unknown:
        raise InputError(
            Fault(measured.job.file, "", message("piece-unknown", mark=mark, nearest=nearest(mark, marks_there)))
            for mark in unknown
        )
    return [own for own in spelled.values() if own is not None]


def _as_number(text: str) -> str | float:
    try:
        number = decimal_number(text)
    except ValueError:
        return text
    return int(number) if number.is_integer() and text.strip().isdecimal() else number


_OPTION = "--for"
_OF = re.compile(r"(?P<count>[\d./ -]+)\s*(?P<unit>[A-Za-z][A-Za-z -]*?)\s+of\s+(?P<name>\S+)")


def batch_of_size(
    text: str, design: MixDesign, materials: Mapping[str, Material], pieces_m3: Callable[[list[str]], float]
) -> Recipe:
    """The recipe of a batch by counted dry mass, total mass, finished volume, packs or mass of one material, or pieces.

    pieces_m3   volume to mix for the pieces of these marks, of all where there are none
    Raises InputError that says what was not understood.
    """
    size = " ".join(text.split())
    try:
        if size == "pieces" or size.startswith("pieces "):
            marks = [mark.strip() for mark in size.removeprefix("pieces").split(",") if mark.strip()]
            return recipe_for(design, finished_m3=pieces_m3(marks))
        if match := _OF.fullmatch(size):
            return recipe_for(design, material_kg=(match["name"], _material_kg(match, design, materials)))
        head, _, last = size.rpartition(" ")
        if last == "counted":
            return recipe_for(design, counted_dry_kg=read_quantity(head, "mass"))
        if last == "total":
            return recipe_for(design, total_kg=read_quantity(head, "mass"))
        kind, value = read_any(size)
        if kind == "volume":
            return recipe_for(design, finished_m3=value)
        if kind == "mass":
            raise _fault(message("batch-mass-of-what", size=size))
    except FaultError as error:
        raise _fault(error.message) from None
    raise _fault(message("batch-size-unreadable", size=size))


def _material_kg(match: re.Match[str], design: MixDesign, materials: Mapping[str, Material]) -> float:
    """Mass of so many packs of a material, or of a mass of it."""
    name, unit = match["name"], match["unit"].strip()
    if design.recipe_kg_m3.get(name, 0.0) <= 0.0:
        near = nearest(name, design.recipe_kg_m3)
        raise _fault(message("batch-material-unknown", material=name, mix=design.name, nearest=near))
    packs = {pack.name: pack for pack in materials[name].packs} if name in materials else {}
    pack = packs.get(unit) or packs.get(unit.removesuffix("s"))
    if pack is None:
        try:
            return read_quantity(f"{match['count']} {unit}", "mass")
        except FaultError:
            values = {"unit": unit, "count": len(packs), "packs": " or ".join(packs)}
            raise _fault(message("batch-pack-unknown", material=name, **values)) from None
    if pack.mass_kg is None:
        raise _fault(message("batch-pack-without-mass", material=name, pack=pack.name))
    try:
        count = read_quantity(f"{match['count'].strip()} kg", "mass")  # the grammar of numbers, fractions in
    except FaultError as error:
        raise _fault(error.message) from None
    return count * pack.mass_kg


def _fault(problem: Message) -> InputError:
    return InputError([Fault(_OPTION, "", problem)])
