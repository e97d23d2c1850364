"""Places of faults: the file in which a key stands, and the key as it is typed there."""

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from estimator.errors import Fault
from estimator.intake.documents import Raw, spelled

SECTIONS = {"material": "materials", "mix": "mixes"}
"""Sections of the entries that a place names: "mix backer, air" is mixes.backer.air."""
KEY = re.compile(r"(?<![\w-])[a-z_]+(?![\w-])")


def located(faults: Iterable[Fault], written: Sequence[tuple[str, Raw]]) -> tuple[Fault, ...]:
    """Faults of a job in the file that holds their key, and with the key as typed there.

    written   names and documents as typed: the job file first, whose name the faults have, then the files that it is
              merged over, the first to count first. Of two files that hold as much of a place, the first is named.
    """
    job = written[0][0]
    typed = [_typed_keys(raw) for _, raw in written]
    found = []
    for fault in faults:
        if fault.file == job:
            steps = _steps(fault.place)
            depths = [_depth(raw, steps) for _, raw in written]
            at = depths.index(max(depths))
            fault = Fault(written[at][0], place_as_typed(fault.place, typed[at]), fault.message, fault.words)
        found.append(fault)
    return tuple(found)


def place_as_typed(place: str, typed: Mapping[str, str]) -> str:
    """A place with its keys as typed, by the key in the program's spelling.

    >>> place_as_typed("mix fibre, fibre.grey-cement", {"fibre": "fiber"})
    'mix fibre, fiber.grey-cement'
    """
    entry, comma, keys = place.rpartition(", ")  # the entry has the name of a piece or a mix
    if not comma and " " in place:
        return place
    return entry + comma + KEY.sub(lambda key: typed.get(key[0], key[0]), keys)


def _typed_keys(raw: Any) -> dict[str, str]:
    """Keys of a document and its tables that are typed in another spelling than the program's, by the program's."""
    parts = raw.values() if isinstance(raw, Mapping) else raw if isinstance(raw, list) else ()
    typed = {own: key for part in parts for own, key in _typed_keys(part).items()}
    return typed | ({spelled(key): key for key in raw if spelled(key) != key} if isinstance(raw, Mapping) else {})


def _steps(place: str) -> list[str]:
    """Keys and indices on the way to a place.

    >>> _steps("mix m, fibre.ar-glass"), _steps("material sand, packs[0].price"), _steps("workshop.labour.rate")
    (['mixes', 'm', 'fibre', 'ar-glass'], ['materials', 'sand', 'packs', '0', 'price'], ['workshop', 'labour', 'rate'])
    """
    entry, comma, keys = place.rpartition(", ")
    if not comma:
        entry, keys = (place, "") if " " in place else ("", place)
    kind, _, name = entry.partition(" ")
    steps = [SECTIONS.get(kind, kind), name, *re.split(r"[.\[\]]+", keys)]
    return [step for step in steps if step]


def _depth(raw: Any, steps: Sequence[str]) -> int:
    """Number of steps of a way that a document, as typed, goes along."""
    for number, step in enumerate(steps):
        if isinstance(raw, Mapping):
            key = next((key for key in raw if spelled(key) == step), None)
            if key is None:
                return number
            raw = raw[key]
        elif isinstance(raw, list):
            named = [part for part in raw if isinstance(part, Mapping) and step in (part.get("name"), part.get("mark"))]
            if not named and not (step.isdecimal() and int(step) < len(raw)):
                return number
            raw = named[0] if named else raw[int(step)]
        else:
            return number
    return len(steps)
