"""The word catalog: every message is used, filled and translated, and no sentence stands in code."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from estimator.catalog import LANGUAGES, SOURCE, catalog
from estimator.words import Words
from geometry.message import message

ROOT = Path(__file__).parents[2]
PLACEHOLDER = re.compile(r"\{\s*\$([\w-]+)")
SOURCES = sorted(path for room in ("estimator", "geometry") for path in (ROOT / room).rglob("*.py"))
CREW_FILES = ("batch-sheets", "pour-days", "lift-sheet", "install-sheet", "truck-sheet", "labels", "cautions", "common")


def placeholders(text: str) -> set[str]:
    return set(PLACEHOLDER.findall(text))


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_message_of_a_language_asks_for_the_values_of_the_american_one(language: str) -> None:
    source = catalog(SOURCE).entries
    for id, text in catalog(language).entries.items():
        assert id in source, f"{id} stands in {language} alone"
        assert placeholders(text) == placeholders(source[id]), id


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_message_can_be_filled(language: str) -> None:
    for id, text in catalog(language).entries.items():
        values = dict.fromkeys(placeholders(text), "x")
        assert catalog(language).text(id, values), id
        for attribute in re.findall(r"^ +\.([\w-]+) *=", text, re.MULTILINE):
            assert catalog(language).text(id, values, attribute), id


def test_british_text_has_british_words_and_keeps_ids_and_placeholders() -> None:
    american, british = catalog("en-US").entries, catalog("en-GB").entries
    assert american.keys() <= british.keys()
    kept = re.compile(r"\{ *\$[\w-]+|^-?[\w-]+ *=|\[[\w-]+\]", re.MULTILINE)
    for id, text in british.items():
        words = kept.sub("", text)
        assert not re.search(r"\b(color|fiber|center|labor|mold|gray|aluminum)s?\b", words, re.IGNORECASE), id


def test_a_list_and_a_message_may_fill_a_message() -> None:
    words = Words("imperial", "USD")
    about = message("about", subject=["C1", "C2", "C3"], text=message("crew", people=2))
    assert words.text(about) == "C1, C2, and C3: 2 people"


def test_the_unit_of_a_value_is_read_from_its_name() -> None:
    found = message("not-positive", length_m=-0.0254)
    assert Words("imperial", "USD").text(found) == 'is -1".'
    assert Words("metric", "EUR", "en-GB").text(found) == "is -25 mm."


def ids_in_code() -> Iterator[str]:
    """Every text in code that could be an id: ids are told apart by the catalog alone."""
    for path in SOURCES:
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                yield node.value
            elif isinstance(node, ast.JoinedStr):
                yield "".join(part.value if isinstance(part, ast.Constant) else "*" for part in node.values)


def test_every_message_is_used() -> None:
    """An id with a part that is computed stands in code as text with a placeholder: f"doubt-{id}"."""
    texts = set(ids_in_code())
    patterns = [
        re.compile(re.escape(text).replace(r"\*", "[\\w-]+"))
        for text in texts
        if re.fullmatch(r"[\w-]+-\*|\*-[\w-]+", text)
    ]
    unused = [
        id
        for id in catalog(SOURCE).entries
        if id not in texts and not any(pattern.fullmatch(id) for pattern in patterns)
    ]
    assert not unused
