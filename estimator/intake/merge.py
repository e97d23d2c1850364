"""Job over catalog: materials and workshop figures merge key by key; packs, blends and whole mixes replace theirs."""

from collections.abc import Mapping
from typing import Any

from estimator.errors import Fault
from estimator.intake.faults import nearest
from estimator.intake.mix_schema import FORMS, PART_FORMS, PROPORTIONS

Raw = dict[str, Any]
DENSITY_KEYS = ("relative_density", "density", "packing")  # exactly one of them describes a material
MARKUP_KEYS = ("margin", "markup")
TESTED_KEYS = ("first_crack_strength", "coupons")
UNCHANGING_KEYS = {"based_on", "note", "waste", "colour_group", "water_held_back", *TESTED_KEYS}


def over(base: Raw, top: Raw) -> Raw:
    """Tables merged key by key; a list, a text or a number of `top` replaces that of `base`."""
    merged = dict(base)
    for key, value in top.items():
        below = merged.get(key)
        merged[key] = over(below, value) if isinstance(below, dict) and isinstance(value, dict) else value
    return merged


def _exclusive(base: Raw, top: Raw, keys: tuple[str, ...]) -> Raw:
    """`base` without the keys that `top` answers in another way."""
    answered = any(key in top for key in keys)
    return {key: value for key, value in base.items() if not (answered and key in keys)}


def merge_material(base: Raw, top: Raw) -> Raw:
    """One material over its catalog entry: a new density stands alone."""
    return over(_exclusive(base, top, DENSITY_KEYS), top)


def merge_price(base: Raw, top: Raw) -> Raw:
    """Price terms over the catalog's: a markup replaces a margin and the other way."""
    return over(_exclusive(base, top, MARKUP_KEYS), top)


def merge_named(base: list[Any], top: list[Any]) -> list[Any]:
    """Tables with a name: one of `top` takes the place of the one of its name."""
    named = {entry.get("name") for entry in top if isinstance(entry, dict)}
    return [*(entry for entry in base if not (isinstance(entry, dict) and entry.get("name") in named)), *top]


def merge_catalogs(base: Raw, top: Raw) -> Raw:
    """A whole document over another."""
    merged = dict(base)
    for section, value in top.items():
        below = merged.get(section, [] if section == "supplier" else {})
        if section == "supplier" and isinstance(value, list) and isinstance(below, list):
            merged[section] = merge_named(below, value)
        elif not isinstance(value, dict) or not isinstance(below, dict):
            merged[section] = value
        elif section == "materials":
            merged[section] = dict(below)
            for name, entry in value.items():
                known = below.get(name, {})
                both = isinstance(entry, dict) and isinstance(known, dict)
                merged[section][name] = merge_material(known, entry) if both else entry
        elif section == "mixes":
            merged[section] = {**below, **value}
        elif section == "price":
            merged[section] = merge_price(below, value)
        else:
            merged[section] = over(below, value)
    return merged


def based(name: str, mixes: Mapping[str, Any], base_mixes: Mapping[str, Any], file: str, faults: list[Fault]) -> Any:
    """A mix with what it takes over from the mixes it is based on, or None with a fault.

    A mix of the job may start from the catalog's mix of its own name.
    """
    chain: list[Raw] = []
    seen: set[tuple[str, bool]] = set()
    at, own = name, name in mixes
    while True:
        source = mixes if own else base_mixes
        entry = source.get(at)
        if not isinstance(entry, dict):
            return entry
        if (at, own) in seen:
            faults.append(Fault(file, f"mix {name}, based_on", "goes round in a circle.", "Start from a finished mix."))
            return None
        seen.add((at, own))
        chain.append(entry)
        start = entry.get("based_on")
        if not isinstance(start, str):
            break
        own = start in mixes and not (start == at and own)
        if not own and start not in base_mixes:
            faults.append(
                Fault(
                    file,
                    f"mix {name}, based_on",
                    f'there is no mix "{start}".',
                    nearest(str(start), [*mixes, *base_mixes]),
                )
            )
            return None
        at = start
    merged: Raw = {}
    for entry in reversed(chain):
        merged = merge_mix(merged, entry)
    return merged


def merge_mix(base: Raw, top: Raw) -> Raw:
    """One mix over the one that it starts from, key by key: a blend replaces a blend.

    A mix proportioned anew drops how the other was, and whatever changes a mix drops the strength that it was tested
    for: coupons speak for the mix that they were cast of.
    """
    dropped: set[str] = set()
    forms = [key for key in FORMS if key in top]
    if forms:
        dropped.update(FORMS)
        if any(key in PART_FORMS for key in forms) or any(key in base for key in PART_FORMS):
            dropped.update(PROPORTIONS)
    if forms or "aggregate" in top:
        dropped.add("replacement")
    if not set(top) <= UNCHANGING_KEYS:
        dropped.update(TESTED_KEYS)
    return {key: value for key, value in base.items() if key not in dropped} | top
