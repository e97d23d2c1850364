"""The word catalog: every message that people read, by id, in every language.

The messages stand in `catalogs/words/LANGUAGE/*.ftl`, in the format and with the plural and number rules of Fluent.
Its parser takes 0.2 ms a message, so that each is parsed when it is first asked for. British English is the American
text with the words of `en-GB.toml` exchanged, and messages of its own where a word is not enough. A language that
lacks a message shows the American one.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Mapping
from functools import cache, cached_property
from typing import Any, Literal, get_args

from geometry.files import packaged, packaged_names
from geometry.frozen import frozen

Language = Literal["en-US", "en-GB"]
CrewLanguage = Literal["en-US", "en-GB", "es"]
LANGUAGES: tuple[str, ...] = get_args(CrewLanguage)
SOURCE: Language = "en-US"
UNREVIEWED = frozenset({"es"})
"""Languages that no native speaker has read yet; each of their sheets says so at its foot."""

MOST_TEXTS = 50_000  # kept of one language
LONG = 300  # letters of a value that is put in after the message is formatted
ENTRY = re.compile(r"^(-?[A-Za-z][\w-]*) *=", re.MULTILINE)


@frozen
class Template:
    """A message that chooses nothing: text with places for values. Of values that are text it is made a hundred times
    sooner than by the library.

    parts   text, and names of values at the odd places
    """

    parts: tuple[str, ...]

    @classmethod
    def of(cls, pattern: Any) -> Template | None:
        """The template of a parsed message; None where it chooses, refers to a term or formats a number."""
        from fluent.syntax.ast import Placeable, TextElement, VariableReference

        parts = [""]
        for element in getattr(pattern, "elements", [pattern]):
            if isinstance(element, TextElement):
                parts[-1] += element.value
            elif isinstance(element, Placeable) and isinstance(element.expression, VariableReference):
                parts += [element.expression.id.name, ""]
            else:
                return None
        return cls(tuple(parts))

    def filled(self, values: Mapping[str, Any]) -> str | None:
        """The message with its values; None where one is missing, or not text."""
        try:
            return "".join([values[part] if place % 2 else part for place, part in enumerate(self.parts)])
        except (KeyError, TypeError):
            return None


class Catalog:
    """The messages of one language."""

    def __init__(self, language: str) -> None:
        from fluent.runtime import FluentBundle

        self.language = language
        self._bundle = FluentBundle([language], use_isolating=False)
        self._texts: dict[tuple[Any, ...], str] = {}
        self._plain: dict[tuple[str, str | None], Template | None] = {}
        self._add(*(text for id, text in self.entries.items() if id.startswith("-")))

    @cached_property
    def entries(self) -> Mapping[str, str]:
        """The source of each message and term, by id."""
        if self.language != "en-GB":
            return _entries(self.language)
        exchange = _british()
        return {id: exchange(text) for id, text in _entries(SOURCE).items()} | _entries(self.language)

    def has(self, id: str) -> bool:
        """Whether this language, or the American one, has a message of this id."""
        return id in self.entries or (self.language != SOURCE and catalog(SOURCE).has(id))

    def text(self, id: str, values: Mapping[str, Any], attribute: str | None = None) -> str:
        """The message filled with its values, which are text or whole numbers; "" for an attribute that it lacks.

        Raises KeyError for an id that no catalog has, or a placeholder without a value.
        """
        plain = self._plain.get((id, attribute))
        if plain is not None:
            text = plain.filled(values)
            if text is not None:
                return text
        key = (id, attribute, *values.items())  # the pages of a long job say much alike
        text = self._texts.get(key)
        if text is None:
            if len(self._texts) >= MOST_TEXTS:
                self._texts.clear()
            text = self._texts[key] = self._filled(id, values, attribute)
        return text

    def _filled(self, id: str, values: Mapping[str, Any], attribute: str | None) -> str:
        if not self._bundle.has_message(id):
            if id not in self.entries:
                if self.language == SOURCE:
                    raise KeyError(f"the word catalog has no message {id}")
                return catalog(SOURCE).text(id, values, attribute)
            self._add(self.entries[id])
        entry = self._bundle.get_message(id)
        pattern = entry.value if attribute is None else entry.attributes.get(attribute)
        if pattern is None:
            return ""
        if (id, attribute) not in self._plain:
            self._plain[id, attribute] = Template.of(pattern)
        # the library refuses a value of more than a thousand letters, such as the marks of a long job
        long = {name: value for name, value in values.items() if isinstance(value, str) and len(value) > LONG}
        marks = {name: f"\ue000{number}\ue001" for number, name in enumerate(long)}
        text, errors = self._bundle.format_pattern(pattern, {**values, **marks})
        if errors:
            raise KeyError(f"message {id} in {self.language}: {errors[0]}")
        words = str(text)
        for name, value in long.items():
            words = words.replace(marks[name], value)
        return words

    def _add(self, *texts: str) -> None:
        from fluent.runtime import FluentResource

        self._bundle.add_resource(FluentResource("\n".join(texts)))


def language_of(units: Literal["imperial", "metric"]) -> Language:
    """The language of a job that names none."""
    return "en-US" if units == "imperial" else "en-GB"


@cache
def _british() -> Callable[[str], str]:
    return _exchange(tomllib.loads(packaged("catalogs", "words/en-GB.toml").decode())["words"])


@cache
def catalog(language: str) -> Catalog:
    """The catalog of a language."""
    return Catalog(language)


def _entries(language: str) -> dict[str, str]:
    folder = f"words/{language}"
    entries: dict[str, str] = {}
    for name in packaged_names("catalogs", folder):
        text = packaged("catalogs", f"{folder}/{name}").decode()
        starts = [*ENTRY.finditer(text)]
        for i, start in enumerate(starts):
            id = start[1]
            if id in entries:
                raise ValueError(f"{folder}/{name}: message {id} stands twice")
            stop = starts[i + 1].start() if i + 1 < len(starts) else len(text)
            entries[id] = text[start.start() : stop]
    return entries


def _exchange(words: Mapping[str, str]) -> Callable[[str], str]:
    """A function that exchanges the words of a message, and leaves its id and its placeholders alone."""
    longest_first = "|".join(sorted(words, key=len, reverse=True))
    kept = r"^-?[A-Za-z][\w-]* *=|\{ *\$[\w-]+|\[[\w-]+\]"
    pattern = re.compile(rf"{kept}|\b(?P<word>{longest_first})\b", re.IGNORECASE | re.MULTILINE)

    def exchanged(match: re.Match[str]) -> str:
        word = match["word"]
        if word is None:
            return match[0]
        other = words[word.lower()]
        return other.upper() if word.isupper() else other[0].upper() + other[1:] if word[0].isupper() else other

    return lambda text: pattern.sub(exchanged, text)
