"""Word catalog: every message that people read, by id, in every language.

The messages are in `catalogs/words/LANGUAGE/*.ftl`, in the format of Fluent and with its plural and number rules. Its
parser takes 0.2 ms per message, so a message is parsed on first use, and a message without selectors is filled without
the parser. British English is the American text with words replaced by those of `en-GB.toml`, and has messages of its
own where replacing words is not enough. A language that lacks a message shows the American one.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Mapping
from functools import cache, cached_property
from typing import TYPE_CHECKING, Any, Literal, get_args

from geometry.files import packaged, packaged_names
from geometry.frozen import frozen

if TYPE_CHECKING:
    from fluent.runtime import FluentBundle

Language = Literal["en-US", "en-GB"]
ReaderLanguage = Literal["en-US", "en-GB", "es", "de"]
LANGUAGES: tuple[str, ...] = get_args(ReaderLanguage)
SOURCE: Language = "en-US"
UNREVIEWED = frozenset({"es", "de"})
"""Languages that no native speaker has reviewed yet. Every sheet in them says so at its foot."""

MOST_TEXTS = 50_000  # size of the cache of formatted messages of a language
LONG = 300  # characters; a longer value is inserted after the message has been formatted
ENTRY = re.compile(r"^(-?[A-Za-z][\w-]*) *=", re.MULTILINE)
PLAIN_LINE = re.compile(r"([\w-]+| +\.(?P<attribute>[\w-]+)) *=(?P<text>[^{}]*(\{ *\$[\w-]+ *\}[^{}]*)*)")
PLACE = re.compile(r"\{ *\$([\w-]+) *\}")


@frozen
class Template:
    """A message without selectors: text with placeholders.

    If all values are strings, it is formatted without the library, a hundred times faster.

    begin   text before the first value
    rest    (name of a value, text after it) pairs
    """

    begin: str
    rest: tuple[tuple[str, str], ...]

    @classmethod
    def all_of(cls, entry: str) -> Mapping[str | None, Template]:
        """Templates of a message by attribute, None for the message itself.

        Empty if any part of its source has a selector, spans several lines or refers to a term.
        """
        lines = [line for line in entry.splitlines() if line.strip() and not line.startswith("#")]
        matches = [PLAIN_LINE.fullmatch(line) for line in lines]
        templates: dict[str | None, Template] = {}
        for match in matches:
            if match is None:
                return {}
            begin, *rest = PLACE.split(match["text"].strip())
            templates[match["attribute"]] = cls(begin, tuple(zip(rest[::2], rest[1::2], strict=True)))
        return templates

    def filled(self, values: Mapping[str, Any]) -> str | None:
        """The message with its values filled in; None if one is missing or is not a string."""
        text = self.begin
        try:
            for name, after in self.rest:
                text += values[name] + after
        except (KeyError, TypeError):
            return None
        return text


class Catalog:
    """The messages of one language."""

    def __init__(self, language: str) -> None:
        self.language = language
        self._texts: dict[tuple[Any, ...], str] = {}
        self._templates: dict[str, Mapping[str | None, Template]] = {}

    @cached_property
    def _bundle(self) -> FluentBundle:
        from fluent.runtime import FluentBundle, FluentResource

        bundle = FluentBundle([self.language], use_isolating=False)
        terms = [self.source(id) for id in self.ids if id.startswith("-")]
        bundle.add_resource(FluentResource("\n".join(terms)))
        return bundle

    @cached_property
    def ids(self) -> frozenset[str]:
        """Ids of the messages and terms of this language."""
        own = _entries(self.language).keys()
        return frozenset(own | _entries(SOURCE).keys() if self.language == "en-GB" else own)

    def source(self, id: str) -> str:
        """Fluent source of a message or term."""
        own = _entries(self.language).get(id)
        return british(_entries(SOURCE)[id]) if own is None else own

    @property
    def entries(self) -> Mapping[str, str]:
        """Fluent source of every message and term, by id."""
        ids = dict.fromkeys((*_entries(SOURCE), *_entries(self.language)))
        return {id: self.source(id) for id in ids if id in self.ids}

    def has(self, id: str) -> bool:
        """Whether this language or American English has a message with this id."""
        return id in self.ids or (self.language != SOURCE and catalog(SOURCE).has(id))

    def text(self, id: str, values: Mapping[str, Any], attribute: str | None = None) -> str:
        """The message with its values, strings or integers, filled in; "" for an attribute that it lacks.

        Raises KeyError for an id that no catalog has, or a placeholder without a value.
        """
        templates = self._templates.get(id)
        if templates is None:
            templates = self._templates[id] = Template.all_of(self.source(id)) if id in self.ids else {}
        template = templates.get(attribute)
        text = None if template is None else template.filled(values)
        if text is not None:
            return text
        key = (id, attribute, *values.items())  # the pages of a long job repeat many messages
        text = self._texts.get(key)
        if text is None:
            if len(self._texts) >= MOST_TEXTS:
                self._texts.clear()
            text = self._texts[key] = self._filled(id, values, attribute)
        return text

    def _filled(self, id: str, values: Mapping[str, Any], attribute: str | None) -> str:
        from fluent.runtime import FluentResource

        if not self._bundle.has_message(id):
            if id not in self.ids:
                if self.language == SOURCE:
                    raise KeyError(f"the word catalog has no message {id}")
                return catalog(SOURCE).text(id, values, attribute)
            self._bundle.add_resource(FluentResource(self.source(id)))
        entry = self._bundle.get_message(id)
        pattern = entry.value if attribute is None else entry.attributes.get(attribute)
        if pattern is None:
            return ""
        # the library rejects a value of more than a thousand characters, such as the marks of a long job
        long = {name: value for name, value in values.items() if isinstance(value, str) and len(value) > LONG}
        marks = {name: f"\ue000{number}\ue001" for number, name in enumerate(long)}
        text, errors = self._bundle.format_pattern(pattern, {**values, **marks})
        if errors:
            raise KeyError(f"message {id} in {self.language}: {errors[0]}")
        words = str(text)
        for name, value in long.items():
            words = words.replace(marks[name], value)
        return words


def language_of(units: Literal["imperial", "metric"]) -> Language:
    """Language of a job that does not name one."""
    return "en-US" if units == "imperial" else "en-GB"


def british(text: str) -> str:
    """American text in British words.

    >>> british("Color of the fiber")
    'Colour of the fibre'
    """
    return _exchanged()(text)


@cache
def _exchanged() -> Callable[[str], str]:
    return _exchange(tomllib.loads(packaged("catalogs", "words/en-GB.toml").decode())["words"])


@cache
def catalog(language: str) -> Catalog:
    """Catalog of a language, cached."""
    return Catalog(language)


@cache
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
    """A function that replaces words of a message but leaves its id, placeholders and selector keys alone."""
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
