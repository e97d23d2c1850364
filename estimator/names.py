"""Comparison of names, and suggestions for wrong ones: marks, mixes, materials, suppliers, pours, color groups.

Names that differ only in no-break spaces, Unicode form, kind of dash, case or look-alike letters are the same name,
because on paper nobody sees the difference.
"""

import json
import re
from collections.abc import Iterable
from difflib import get_close_matches
from typing import Any
from unicodedata import category, normalize

from geometry.message import Message, message

MOST_NAMES = 12  # listed in a fix
MOST_QUOTED = 60  # characters
NEAR = 0.65  # similarity above which a wrong name counts as a typo; below it a suggestion would mislead

# keys of job file and document use the second spelling in every language
SPELLINGS = {
    "center": "centre",
    "color": "colour",
    "fiber": "fibre",
    "gray": "grey",
    "labor": "labour",
    "license": "licence",
    "miter": "mitre",
    "mold": "mould",
}

# mixes of earlier catalogs, which older job files may name
RENAMED_MIXES = {
    "back-0": "backer-0",
    "back-50": "backer-45",
    "back-50-acrylic": "backer-45-acrylic",
    "back-70": "backer-65",
    "back-100": "backer-100",
    "float-100": "backer-100",
    "mineral-50": "mineral-45",
}


LOOK_ALIKES = str.maketrans("авекмнорстухіјѕαβεζηικμνορτυχ", "abekmhopctyxijsabezhikmnoptyx")
"""Cyrillic and Greek letters that look like a Latin one in upper or lower case: on a label they are the same mark.

Source: Unicode Technical Standard 39, confusable characters.
"""


def tidy(name: str) -> str:
    """A name as stored and printed, without invisible characters and with single spaces.

    >>> tidy(" C1\\u00a0 left\\u200b ")
    'C1 left'
    """
    if name.isascii() and name.isprintable():
        return " ".join(name.split())
    return " ".join("".join(char for char in name if char.isspace() or category(char) not in ("Cf", "Cc")).split())


def folded(name: str) -> str:
    """A name in normal form for comparison.

    >>> folded("Ｃ1\\u00a0") == folded("c1")
    True
    >>> folded("C\\u20111") == folded("c-1")
    True
    >>> folded("\\u04211") == folded("C1")  # a Cyrillic letter
    True
    """
    plain = normalize("NFKC", tidy(normalize("NFKC", name)).casefold())
    if plain.isascii():
        return plain
    plain = normalize("NFKC", normalize("NFKD", plain).translate(LOOK_ALIKES))
    return "".join("-" if category(char) == "Pd" or char == "−" else char for char in plain)


def first_spellings(names: Iterable[str]) -> dict[str, str]:
    """Map every name to the first spelling of the same name."""
    first: dict[str, str] = {}
    return {name: first.setdefault(folded(name), name) for name in names}


def same_name(name: str, known: Iterable[str]) -> str | None:
    """The known name that equals a name up to case and spacing, or None."""
    names = list(known)
    return name if name in names else next((known for known in names if folded(known) == folded(name)), None)


def in_document_spelling(name: str) -> str:
    """A key or dotted path in the spelling of job file and document.

    >>> in_document_spelling("center_of_gravity_m"), in_document_spelling("demould_kg")
    ('centre_of_gravity_m', 'demould_kg')
    """
    for american, kept in SPELLINGS.items():
        name = name.replace(american, kept)
    return name


def american(name: str) -> str:
    """A key, or a place of keys, in American spelling.

    >>> american("fibre_basis")
    'fiber_basis'
    """
    for american_word, kept in SPELLINGS.items():
        name = name.replace(kept, american_word)
    return name


def both_spellings(name: str) -> set[str]:
    """All accepted spellings of a key or name of job file and document.

    >>> sorted(both_spellings("fibre_basis"))
    ['fiber_basis', 'fibre_basis']
    """
    names = {name}
    for american, kept in SPELLINGS.items():
        names |= {written.replace(kept, american) for written in names}
    return names


def guess(name: str, known: Iterable[str]) -> Message | None:
    """A fix that suggests the known name closest to a wrong one; None where no name or several are near.

    >>> str(guess("thicknes", ["length", "thickness"])), str(guess("thk", ["length", "thickness"]))
    ('did-you-mean (name = thickness)', 'did-you-mean (name = thickness)')
    >>> str(guess("sand", ["pail", "silica-sand"])), guess("zone", ["cover", "door"])
    ('did-you-mean (name = silica-sand)', None)
    """
    names = sorted(known)
    renamed = RENAMED_MIXES.get(name)
    if renamed in names:
        return message("did-you-mean", name=renamed)
    folded = {known_name.casefold(): known_name for known_name in names}
    close = [folded[near] for near in get_close_matches(name.casefold(), folded, n=1, cutoff=NEAR)]
    close = close or _holding(name, names)
    close = close or [known_name for known_name in names if _abbreviates(name.casefold(), known_name.casefold())]
    return message("did-you-mean", name=close[0]) if len(close) == 1 else None


def nearest(name: str, known: Iterable[str]) -> Message:
    """A fix that suggests the known name closest to a wrong one, or else lists the known names, likely ones first.

    >>> str(nearest("thicknes", ["length", "thickness"]))
    'did-you-mean (name = thickness)'
    >>> str(nearest("zone", ["cover", "door"]))
    'names-known (names = `cover`, `door`, more = 0)'
    """
    names = sorted(known)
    if (near := guess(name, names)) is not None:
        return near
    if not names:
        return message("names-none")
    likely = _holding(name, names)
    names.sort(key=lambda known_name: known_name not in likely)
    choices = ", ".join(f"`{known_name}`" for known_name in names[:MOST_NAMES])
    return message("names-known", names=choices, more=max(0, len(names) - MOST_NAMES))


def _holding(name: str, known: Iterable[str]) -> list[str]:
    """The known names that have all words of a name: `silica-sand` for sand."""
    words = _words(name)
    return [known_name for known_name in known if words and words <= _words(known_name)]


def _words(name: str) -> set[str]:
    return set(re.findall(r"[^\W_]+", name.casefold()))


def _abbreviates(short: str, name: str) -> bool:
    """Whether `short` has the first letter of a name and some others of it in order: qty for quantity."""
    letters = iter(name)
    return len(short) > 1 and short[0] == name[:1] and all(letter in letters for letter in short)


def quoted(value: Any) -> str:
    """A value as quoted in messages: in the notation of a TOML file, truncated to 60 characters.

    >>> quoted("5 in"), quoted(True), quoted({"a": [1, 2]})
    ('"5 in"', 'true', '{"a": [1, 2]}')
    """
    text = json.dumps(value, ensure_ascii=False, default=str)
    return text if len(text) <= MOST_QUOTED else f"{text[: MOST_QUOTED - 3]}..."
