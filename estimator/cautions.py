"""Which cautions apply, to which pieces, and why: the catalog of cautions against the facts of each piece."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any, Literal

from estimator.caution_conditions import CONDITIONS, Condition, Facts
from estimator.errors import Fault, InputError

__all__ = [
    "CONDITIONS",
    "SEVERITIES",
    "AppliedCaution",
    "Caution",
    "Condition",
    "Facts",
    "applied_cautions",
    "cautions_from_toml",
]

Severity = Literal["danger", "warning", "note"]
SEVERITIES: tuple[Severity, ...] = ("danger", "warning", "note")
_KEYS = ("id", "when", "severity", "text", "why", "source")


@dataclass(frozen=True, slots=True)
class Caution:
    """One entry of the catalog."""

    id: str
    when: str  # a name of CONDITIONS
    severity: Severity
    text: str
    why: str
    source: str


@dataclass(frozen=True, slots=True)
class AppliedCaution:
    """A caution, and the reason why it applies to each piece, by piece mark."""

    caution: Caution
    reasons: Mapping[str, str]

    @property
    def pieces(self) -> tuple[str, ...]:
        return tuple(self.reasons)


def applied_cautions(facts_by_mark: Mapping[str, Facts], cautions: Iterable[Caution]) -> tuple[AppliedCaution, ...]:
    """The cautions that apply to at least one piece, dangers first, otherwise in the order of the catalog.

    >>> lift = Caution("lift-two-person", "crew-of-two", "warning", "Two people.", "Heavy.", "common practice")
    >>> found = applied_cautions({"C1": Facts(use="counter", mass_high_kg=40.0, crew=2)}, [lift])
    >>> found[0].reasons
    {'C1': 'up to 40 kg (89 lb)'}
    """
    found = []
    for caution in cautions:
        reason_of = CONDITIONS[caution.when].reason
        reasons = {mark: reason for mark, facts in facts_by_mark.items() if (reason := reason_of(facts)) is not None}
        if reasons:
            found.append(AppliedCaution(caution, reasons))
    return tuple(sorted(found, key=lambda applied: SEVERITIES.index(applied.caution.severity)))


def cautions_from_toml(text: str, file: str = "cautions.toml") -> tuple[Caution, ...]:
    """Read the catalog of cautions from the text of a TOML file.

    Raises InputError with every fault found: a key unknown, missing or empty, an id used twice, a condition or
    severity outside its closed set.
    """
    try:
        document = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise InputError([Fault(file, "", f"not readable as TOML: {error}.")]) from error
    entries = document.pop("caution", [])
    faults = [Fault(file, key, "unknown key.", "Only [[caution]] is read here.") for key in document]
    if not isinstance(entries, list):
        raise InputError([Fault(file, "caution", "is not a list of tables.", "Write [[caution]].")])
    cautions: dict[str, Caution] = {}
    for number, entry in enumerate(entries, start=1):
        if not isinstance(entry, dict):
            faults.append(Fault(file, f"caution {number}", "is not a table.", "Write [[caution]]."))
            continue
        place = f"caution {entry.get('id', number)}"
        wrong = _faults_of_entry(file, place, entry)
        if not wrong and entry["id"] in cautions:
            wrong.append(Fault(file, place, "id is used twice.", "Give each caution its own."))
        if not wrong:
            cautions[entry["id"]] = Caution(**entry)
        faults.extend(wrong)
    if faults:
        raise InputError(faults)
    return tuple(cautions.values())


def _faults_of_entry(file: str, place: str, entry: Mapping[str, Any]) -> list[Fault]:
    faults = [Fault(file, f"{place}, {key}", "unknown key.", _offer(key, _KEYS)) for key in entry if key not in _KEYS]
    for key in _KEYS:
        value = entry.get(key)
        if not isinstance(value, str) or not value.strip():
            faults.append(Fault(file, f"{place}, {key}", "missing or empty.", "Give it as text."))
    for key, known in (("when", tuple(CONDITIONS)), ("severity", SEVERITIES)):
        value = entry.get(key)
        if isinstance(value, str) and value.strip() and value not in known:
            faults.append(Fault(file, f"{place}, {key}", f'"{value}" is not known.', _offer(value, known)))
    return faults


def _offer(word: str, known: Iterable[str]) -> str:
    nearest = get_close_matches(word, list(known), n=1)
    return f'Did you mean "{nearest[0]}"?' if nearest else f"Known: {', '.join(known)}."
