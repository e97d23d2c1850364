"""Limits on input: the program's defaults, overridden by the shop's catalog, and by the command line."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import fields, replace

from estimator.errors import Fault, InputError
from estimator.intake.documents import Raw, built_in_catalog
from estimator.names import nearest, quoted
from geometry.files import MOST_OF_ANY, Limits, held_to
from geometry.message import Message, message

SECTION = "limits"
OPTION = "--limit"
NAMES = tuple(item.name for item in fields(Limits))
MOST_LEVELS = 200  # readers cannot recurse much deeper

_RAISED: ContextVar[tuple[tuple[str, int], ...]] = ContextVar("raised", default=())


@contextmanager
def raised_by(options: Iterable[str]) -> Iterator[None]:
    """Apply the limits of the command line, such as "rows=200000", which override all catalogs.

    Raises InputError with every faulty option.
    """
    limits, faults = dict[str, int](), list[Fault]()
    for option in options:
        name, _, number = (part.strip() for part in option.partition("="))
        value = int(number) if number.isascii() and number.isdecimal() and len(number) < 20 else None
        problem = message("limit-form", value=quoted(option)) if value is None else _fault(name, value)
        if problem or value is None:
            faults.append(Fault("cast-estimator", OPTION, problem or message("limit-form", value=quoted(option))))
        else:
            limits[name] = value
    if faults:
        raise InputError(faults)
    before = _RAISED.set(tuple(limits.items()))
    try:
        with limited_by(built_in_catalog()):
            yield
    finally:
        _RAISED.reset(before)


def check_limits(catalog: Raw, file: str, faults: list[Fault]) -> None:
    """Add a fault for each limit of a catalog that is unknown or out of range."""
    given = catalog.get(SECTION, {})
    if not isinstance(given, dict):
        faults.append(Fault(file, SECTION, message("section-not-table", name=SECTION)))
        return
    for name, value in given.items():
        if problem := _fault(name, value):
            faults.append(Fault(file, f"{SECTION}, {name}", problem))


@contextmanager
def limited_by(catalog: Raw) -> Iterator[None]:
    """Apply the valid limits of a catalog; limits from the command line override them."""
    given = catalog.get(SECTION, {})
    sound = {name: value for name, value in given.items() if not _fault(name, value)} if isinstance(given, dict) else {}
    with held_to(replace(Limits(), **sound | dict(_RAISED.get()))):
        yield


def _fault(name: str, value: object) -> Message | None:
    if name not in NAMES:
        return message("key-unknown", nearest=nearest(name, NAMES))
    least = 0 if name == "apart_mb" else 1
    most = MOST_LEVELS if name == "levels" else MOST_OF_ANY
    if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= most:
        return message("limit-range", value=quoted(value), least=f"{least}", most=f"{most:,}")
    return None
