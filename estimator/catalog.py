"""The word catalog: every message that people read, by id, in every language.

The messages stand in `catalogs/words/LANGUAGE/*.ftl`, in the format and with the plural and number rules of Fluent.
Its parser takes 0.2 ms a message, so that each is parsed when it is first asked for, and a message that chooses nothing
is filled without it. British English is the American text with the words of `en-GB.toml` exchanged, and messages of its
own where a word is not enough. A language that lacks a message shows the American one.
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
ReaderLanguage = Literal["en-US", "en-GB", "es"]
LANGUAGES: tuple[str, ...] = get_args(ReaderLanguage)
SOURCE: Language = "en-US"
UNREVIEWED = frozenset({"es"})
"""Languages that no native speaker has read yet; each of their sheets says so at its foot."""

MOST_TEXTS = 50_000  # kept of one language
LONG = 300  # letters of a value that is put in after the message is formatted
ENTRY = re.compile(r"^(-?[A-Za-z][\w-]*) *=", re.MULTILINE)
PLAIN_LINE = re.compile(r"([\w-]+| +\.(?P<attribute>[\w-]+)) *=(?P<text>[^{}]*(\{ *\$[\w-]+ *\}[^{}]*)*)")
PLACE = re.compile(r"\{ *\$([\w-]+) *\}")


@frozen
class Template:
    """A message that chooses nothing: text with places for values. Of values that are text it is made without the
    library, a hundred times sooner.

    begin   text before the first value
    rest    each value's name, and the text after it
    """

    begin: str
    rest: tuple[tuple[str, str], ...]

    @classmethod
    def all_of(cls, entry: str) -> Mapping[str | None, Template]:
        """The templates of the source of a message, by attribute, None for its text; none where any of it chooses, goes
        over more than a line or refers to a term."""
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
        """The message with its values; None where one is missing, or not text."""
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
        """Of the messages and terms of this language."""
        own = _entries(self.language).keys()
        return frozenset(own | _entries(SOURCE).keys() if self.language == "en-GB" else own)

    def source(self, id: str) -> str:
        """The source of a message or term."""
        own = _entries(self.language).get(id)
        return _british()(_entries(SOURCE)[id]) if own is None else own

    @property
    def entries(self) -> Mapping[str, str]:
        """The source of each message and term, by id."""
        ids = dict.fromkeys((*_entries(SOURCE), *_entries(self.language)))
        return {id: self.source(id) for id in ids if id in self.ids}

    def has(self, id: str) -> bool:
        """Whether this language, or the American one, has a message of this id."""
        return id in self.ids or (self.language != SOURCE and catalog(SOURCE).has(id))

    def text(self, id: str, values: Mapping[str, Any], attribute: str | None = None) -> str:
        """The message filled with its values, which are text or whole numbers; "" for an attribute that it lacks.

        Raises KeyError for an id that no catalog has, or a placeholder without a value.
        """
        templates = self._templates.get(id)
        if templates is None:
            templates = self._templates[id] = Template.all_of(self.source(id)) if id in self.ids else {}
        template = templates.get(attribute)
        text = None if template is None else template.filled(values)
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
