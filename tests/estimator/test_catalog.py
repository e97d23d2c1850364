"""The word catalog: every message is used, filled and translated, and no sentence is left in code."""

import ast
import re
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path

import pytest
from babel import Locale

from estimator import load_job
from estimator.catalog import ENTRY, LANGUAGES, SOURCE, Catalog, Template, catalog
from estimator.errors import InputError
from estimator.words import Words, client_words_for, crew_words_for
from geometry.message import message

ROOT = Path(__file__).parents[2]
PLACEHOLDER = re.compile(r"\{\s*\$([\w-]+)")
TEMPLATES = sorted((ROOT / "estimator" / "page" / "templates").glob("*.html"))
ASKED = re.compile(r"\bt\(\"([\w-]+)\"")
"""A message asked for by a template."""
SOURCES = sorted(path for room in ("estimator", "geometry") for path in (ROOT / room).rglob("*.py"))
CREW_FILES = (
    "batch-sheets", "pour-days", "lift-sheet", "install-sheet", "truck-sheet", "labels", "cautions", "doubts",
    "handling",
)  # fmt: skip
"""Files of messages that a crew reads."""

TRANSLATIONS = [language for language in LANGUAGES if not language.startswith("en")]

CLIENT_FILES = ("quote", "change-order", "letter")
"""Files of messages that a client reads."""


def placeholders(text: str) -> set[str]:
    return set(PLACEHOLDER.findall(text))


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_message_of_a_language_asks_for_the_values_of_the_american_one(language: str) -> None:
    source = catalog(SOURCE).entries
    for id, text in catalog(language).entries.items():
        assert id in source, f"{id} stands in {language} alone"
        assert placeholders(text) == placeholders(source[id]), id


@pytest.mark.parametrize("language", LANGUAGES)
def test_numbers_have_the_signs_of_their_language(language: str) -> None:
    symbols = Locale.parse(language.replace("-", "_")).number_symbols
    symbols = symbols.get("latn", symbols)  # the lowest Babel has no numbering systems
    assert Words("metric", "EUR", language).number_signs == (symbols["group"], symbols["decimal"])


@pytest.mark.parametrize("language", TRANSLATIONS)
@pytest.mark.parametrize("file", CREW_FILES + CLIENT_FILES)
def test_a_translation_has_every_message_that_crew_and_client_read(language: str, file: str) -> None:
    american = ROOT / "catalogs" / "words" / "en-US" / f"{file}.ftl"
    ids = ENTRY.findall(american.read_text("utf-8")) if american.is_file() else []
    translated = catalog(language).entries
    assert [id for id in ids if id not in translated] == []


def test_all_translations_have_the_same_messages() -> None:
    first, *others = [catalog(language).ids for language in TRANSLATIONS]
    for ids in others:
        assert ids == first


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_message_can_be_filled(language: str) -> None:
    for id, text in catalog(language).entries.items():
        values = dict.fromkeys(placeholders(text), "x")
        assert catalog(language).text(id, values), id
        for attribute in re.findall(r"^ +\.([\w-]+) *=", text, re.MULTILINE):
            assert catalog(language).text(id, values, attribute), id


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_template_gives_the_same_text_as_the_library(language: str) -> None:
    words, templates = Catalog(language), 0
    for id in words.ids:
        for attribute, template in Template.all_of(words.source(id)).items():
            if not id.startswith("-"):
                templates += 1
                values = {name: f"‹{name}›" for name in placeholders(words.source(id))}
                assert template.filled(values) == words._filled(id, values, attribute), id
                assert not template.rest or template.filled({}) is None, id
    assert templates > len(words.ids) / 2


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


def test_a_value_may_be_as_long_as_the_marks_of_a_long_job() -> None:
    marks = [f"panel {number}" for number in range(5000)]
    text = Words("imperial", "USD").text(message("about", subject=marks, text="x" * 4000))
    assert text == f"{', '.join(marks[:-1])}, and {marks[-1]}: {'x' * 4000}"


def test_a_message_holds_the_marks_of_a_long_job() -> None:
    marks = ", ".join(f"W{number}" for number in range(2000))
    assert Words("imperial", "USD")("batch-for", pieces=marks) == f"For {marks}"


def test_the_unit_of_a_value_is_read_from_its_name() -> None:
    found = message("not-positive", length_m=-0.0254)
    assert Words("imperial", "USD").text(found) == 'is −1".'
    assert Words("metric", "EUR", "en-GB").text(found) == "is −25 mm."


def test_spanish_takes_the_numbers_of_the_job_and_german_has_its_own(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    text = """
    [job]
    name = "x"
    units = "metric"
    currency = "EUR"
    mix = "backer-45"
    crew_language = "es"
    client_language = "de"
    [[piece]]
    mark = "A"
    shape = { kind = "slab", length = "1 m", width = "0.5 m", thickness = "25 mm" }
    """
    path.write_text(text)
    job = load_job(path)
    spanish, german = crew_words_for(job), client_words_for(job)
    assert (spanish.mass(1234.0), spanish.length(0.0032)) == ("1,234 kg", "3.2 mm")
    assert (german.mass(1234.0), german.length(0.0032)) == ("1.234 kg", "3,2 mm")
    assert german.price(1234.56) == "1.234,56\N{NO-BREAK SPACE}€"  # source: CLDR, German in Germany
    assert (german.date("2026-11-29"), german.share(0.19)) == ("29.11.2026", "19\N{NO-BREAK SPACE}%")
    assert german.series(["A", "B", "C"]) == "A, B und C"


@pytest.mark.parametrize(
    ("currency", "language", "sign"),
    [  # source: CLDR, the sign of the currency in the country whose official language it is
        ("MXN", "es", "$"), ("ARS", "es", "$"), ("PEN", "es", "S/"), ("CAD", "en-US", "$"), ("AUD", "en-GB", "$"),
        ("NZD", "en-GB", "$"), ("ZAR", "en-GB", "R"),
        ("MXN", "en-US", "MX$"), ("CAD", "es", "CA$"), ("USD", "en-GB", "US$"), ("SEK", "en-GB", "SEK"),  # foreign
        ("USD", "en-US", "$"), ("GBP", "en-GB", "£"), ("EUR", "es", "€"),
    ],
)  # fmt: skip
def test_a_currency_has_its_local_sign_at_home_and_one_that_tells_it_apart_elsewhere(
    currency: str, language: str, sign: str
) -> None:
    words = Words("metric", currency, language, "en-US" if language == "es" else None)
    assert words.price(1234.5) == f"{sign}1,234.50"
    assert words.price_change(Decimal(-5)) == f"\N{MINUS SIGN}{sign}5.00"


@pytest.mark.parametrize("language", TRANSLATIONS)
def test_a_whole_job_in_a_language_for_crew_and_client_is_refused_with_what_to_write(
    tmp_path: Path, language: str
) -> None:
    path = tmp_path / "job.toml"
    path.write_text(f'[job]\nname = "x"\nlanguage = "{language}"\n')
    with pytest.raises(InputError) as refusal:
        load_job(path)
    assert (
        f'job, language: "{language}" is there for crew and client only. '
        "A whole job is written in one of en-US, en-GB. "
        f'Delete the line, and write crew_language = "{language}" or client_language = "{language}".'
    ) in str(refusal.value)


def ids_in_code() -> Iterator[str]:
    """Every text in code that could be an id; only the catalog tells which are."""
    for path in SOURCES:
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                yield node.value
            elif isinstance(node, ast.JoinedStr):
                yield "".join(part.value if isinstance(part, ast.Constant) else "*" for part in node.values)
    for path in TEMPLATES:
        yield from ASKED.findall(path.read_text("utf-8"))


def test_every_message_is_used() -> None:
    """An id with a computed part is in code as text with a placeholder: f"doubt-{id}"."""
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


DESCRIBED = {"Key", "Setting", "Condition", "Option", "Argument", "Typer", "command"}
"""What a key, an option or a name means, for the author of a file: it stands beside what it describes, and the JSON
Schema and `--help` print it in American English."""

EXCEPTIONS = {
    "estimator/keys.py": "how values are written, for the JSON Schema",
    "estimator/job.py": "what holds without a key, for the JSON Schema",
    "estimator/workshop.py": "how values are written, for the JSON Schema",
    "estimator/intake/json_schema.py": "the JSON Schema",
    "estimator/intake/tables.py": "how values are written, for the JSON Schema",
    "estimator/intake/term_tables.py": "how values are written, for the JSON Schema",
    "estimator/intake/build.py": "payment steps, which a job names when it records a payment",
    "estimator/money.py": "codes of currencies",
    "estimator/curing/covers.py": "names of covers in the document",
    "estimator/curing/casting.py": "names of limits in the document",
    "estimator/packaging/freight.py": "names of charges in the document",
    "estimator/pricing/calendar.py": "names of steps in the document",
    "estimator/pricing/labor.py": "names of activities in the document, which are part of their paths",
    "estimator/pricing/sensitivity.py": "names of swings in the document",
    "estimator/pricing/stage.py": "names of allowances in the document, which are part of their paths",
    "estimator/pricing/versions.py": "names of compared figures in the document",
    "estimator/serialize.py": "names of fields",
    "estimator/units/table.py": "spellings of units that are read",
    "estimator/commands/calls.py": "messages of the command line library that are told apart",
    "estimator/intake/documents.py": "messages of the TOML library that are told apart",
    "estimator/intake/corrections.py": "comments in a file that the program writes",
    "geometry/frozen.py": "source of a function",
    "geometry/plane.py": "messages of the planar library that are told apart",
    "geometry/readers/text.py": "names of geometries in a file",
}
"""Files with text that is no sentence for a reader, and what it is."""


def _is_internal(node: ast.AST) -> bool:
    """Whether a statement raises an error of the program, which no reader should see."""
    call = node.exc if isinstance(node, ast.Raise) else node.msg if isinstance(node, ast.Assert) else None
    return isinstance(node, ast.Assert) or (
        isinstance(call, ast.Call) and getattr(call.func, "id", "") not in ("FaultError", "InputError")
    )


def sentences(path: Path) -> Iterator[tuple[int, str]]:
    """Sentences that a reader could see: text of three words or more that is no docstring, description or markup."""
    tree = ast.parse(path.read_text("utf-8"))
    passed = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    for node in ast.walk(tree):
        described = isinstance(node, ast.Call) and getattr(node.func, "id", getattr(node.func, "attr", "")) in DESCRIBED
        if described or _is_internal(node):
            passed |= {id(part) for part in ast.walk(node)}
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in passed:
            text = node.value
            if re.search(r"[<>{}_]", text) is None and re.search(r"[A-Za-z]{2,}(?: [A-Za-z]{1,},?){2,}", text):
                yield node.lineno, text


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: str(path.relative_to(ROOT)))
def test_no_sentence_stands_in_code(path: Path) -> None:
    name = str(path.relative_to(ROOT))
    found = [f"{name}:{line}: {text}" for line, text in sentences(path)]
    if name in EXCEPTIONS:
        assert found, f"{name} needs no exception"
    else:
        assert found == []


def test_papers_name_a_mix_and_a_material_by_its_title_or_its_key(tmp_path: Path) -> None:
    text = """
    [job]
    name = "x"
    mix = "mine"
    [[piece]]
    mark = "A"
    colour = "warm gray"
    shape = { kind = "slab", length = "40 in", width = "20 in", thickness = "1 in" }
    [mixes.mine]
    based_on = "backer-45"
    [materials.silica-sand]
    title = "Silica sand, 30 mesh"
    """
    path = tmp_path / "job.toml"
    path.write_text(text)
    job = load_job(path)
    words = Words("metric", "EUR", "en-GB")
    assert words.name(job.mixes["mine"]) == "Mine"
    assert words.name(job.mixes["backer-45"]) == "Backer, 45\N{NO-BREAK SPACE}% beads"
    assert words.name(job.materials["silica-sand"]) == "Silica sand, 30 mesh"
    assert words.name(job.materials["grey-cement"]) == "Grey portland cement"
    assert job.pieces[0].color == "warm gray"
