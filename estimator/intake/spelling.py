"""Either spelling: a job file may write `color_group` or `colour_group`, `gray-cement` or `grey-cement`."""

from typing import Any

from estimator.errors import Fault, InputError
from estimator.names import in_document_spelling

SPELLED_TWO_WAYS = frozenset(
    {
        "colour-critical",
        "colour_group",
        "demould_crew",
        "face-grey",
        "fibre",
        "fibre_basis",
        "forklift_load_centre",
        "glass-fibre",
        "grey-cement",
        "hardware_glass_fibre",
        "labour",
        "mitre_left",
        "mitre_right",
        "mould-laminate",
        "mould-rubber",
        "remake_colour_critical",
        "strip_glass_fibre",
        "thickness_glass_fibre",
        "uses_glass_fibre",
    }
)
"""Keys and values of the job file, and names of the built-in catalog, as the program spells them; a test holds the list
complete. What a user names otherwise is left as written."""
FREE_TEXT = ("cause", "mark", "name", "note", "pour", "reason", "text")  # their values are the user's own words


def either_spelling(raw: dict[str, Any], file: str) -> dict[str, Any]:
    """The document in the program's spelling. Raises InputError where one table holds both spellings of a key.

    >>> either_spelling({"mixes": {"shop": {"fiber": {"ar-glass": 0.03}}}}, "job.toml")
    {'mixes': {'shop': {'fibre': {'ar-glass': 0.03}}}}
    """
    faults: list[Fault] = []
    found: dict[str, Any] = _table(raw, file, (), faults)
    if faults:
        raise InputError(faults)
    return found


def _table(raw: dict[str, Any], file: str, path: tuple[str, ...], faults: list[Fault]) -> dict[str, Any]:
    table: dict[str, Any] = {}
    written: dict[str, str] = {}
    for key, value in raw.items():
        own = _spelled(key)
        if own in written:
            what = f"is written twice, `{written[own]}` and `{key}`: they are one name."
            faults.append(Fault(file, ".".join((*path, key)), what, "Keep one of them."))
        written[own] = key
        table[own] = _value(value, file, (*path, key), faults, free=key in FREE_TEXT)
    return table


def _value(value: Any, file: str, path: tuple[str, ...], faults: list[Fault], *, free: bool) -> Any:
    if isinstance(value, dict):
        return _table(value, file, path, faults)
    if isinstance(value, list):
        return [_value(each, file, path, faults, free=free) for each in value]
    return _spelled(value) if isinstance(value, str) and not free else value


def _spelled(name: str) -> str:
    own = in_document_spelling(name)
    return own if own in SPELLED_TWO_WAYS else name
