"""How names are compared: marks, mixes, materials, suppliers, pours, color groups.

A hard space, another Unicode form, another dash or another case is not another name: on paper nobody sees it.
"""

from collections.abc import Iterable
from unicodedata import category, normalize


def tidy(name: str) -> str:
    """A name as it is kept and printed: characters that cannot be seen left out, every run of spaces one space.

    >>> tidy(" C1\\u00a0 left\\u200b ")
    'C1 left'
    """
    return " ".join("".join(char for char in name if category(char) != "Cf").split())


def folded(name: str) -> str:
    """A name as it is compared.

    >>> folded("Ｃ1\\u00a0") == folded("c1")
    True
    >>> folded("C\\u20111") == folded("c-1")
    True
    """
    plain = normalize("NFKC", tidy(normalize("NFKC", name)).casefold())
    return "".join("-" if category(char) == "Pd" or char == "−" else char for char in plain)


def first_spellings(names: Iterable[str]) -> dict[str, str]:
    """Each name by the spelling in which the same name stood first."""
    first: dict[str, str] = {}
    return {name: first.setdefault(folded(name), name) for name in names}


def same_name(name: str, known: Iterable[str]) -> str | None:
    """The known name that a name stands for in any case and spacing, or None."""
    names = list(known)
    return name if name in names else next((each for each in names if folded(each) == folded(name)), None)
