"""TOML files and the built-in catalog, read as plain tables."""

import re
import tomllib
from functools import cache
from importlib import resources
from pathlib import Path

from estimator.cautions import Caution, cautions_from_toml
from estimator.errors import Fault, InputError
from estimator.intake.merge import Raw, merge_catalogs
from estimator.intake.spelling import either_spelling

CURLY_QUOTES = "“”„‘’‚"
LINE_OF_ERROR = re.compile(r"at line (\d+)")
WINDOWS_PATH = re.compile(  # a lone backslash within a file's name in double quotes
    r'^(?!\s*#).*"[^"]*(?<!\\)\\(?!\\)[^"]*\.(?:stl|obj|ply|off|3mf|dxf|svg|csv|xlsx|toml)"', re.IGNORECASE
)
WRITE_PATHS = "Write paths with / between their parts, or in single quotes."
BUILT_IN = ("materials.toml", "mixes.toml", "workshop.toml")
CATALOG_SECTIONS = ("materials", "mixes", "workshop", "price", "bucket", "business", "supplier", "receiving")


def read_toml(path: Path, shown: str | None = None) -> Raw:
    """A TOML document. Raises InputError with one line where it is missing, unreadable or not TOML."""
    name = shown or path.name
    try:
        text = path.read_bytes().decode("utf-8-sig")
    except FileNotFoundError:
        raise InputError([Fault(name, "", "there is no such file.", "Check the path.")]) from None
    except IsADirectoryError:
        raise InputError([Fault(name, "", "is a folder.", "Name the job file in it.")]) from None
    except UnicodeDecodeError:
        raise InputError([Fault(name, "", "is not UTF-8 text.", "Save it as UTF-8.")]) from None
    except OSError as error:
        raise InputError([Fault(name, "", f"cannot be read: {error.strerror}.", "Check its permissions.")]) from None
    _check_paths(text, name)
    try:
        return either_spelling(tomllib.loads(text), name)
    except tomllib.TOMLDecodeError as error:
        raise InputError([_not_toml(name, text, str(error))]) from None


def _not_toml(file: str, text: str, said: str) -> Fault:
    """The line at fault, and what most likely is wrong with it."""
    found = LINE_OF_ERROR.search(said)
    line = text.splitlines()[int(found[1]) - 1] if found and int(found[1]) <= len(text.splitlines()) else ""
    place = f"line {found[1]}" if found else ""
    outside = re.sub(r"""".*?"|'.*?'""", "", line)  # within straight quotes curly ones are text
    if any(quote in outside for quote in CURLY_QUOTES):
        return Fault(file, place, "has curly quotes.", 'Write straight ones: "like this".')
    if "\\" in outside or re.search(r"\\|hex|Escaped", said):
        return Fault(file, place, "has a backslash in a text.", WRITE_PATHS)
    return Fault(file, "", f"is not TOML: {said}.", "Mend that line; texts stand in quotes.")


def _check_paths(text: str, file: str) -> None:
    """Refuses Windows paths in double quotes, where a backslash and a letter stand for another character."""
    faults = [
        Fault(file, f"line {number}", "has a backslash in a text.", WRITE_PATHS)
        for number, line in enumerate(text.splitlines(), start=1)
        if "\\" in line and WINDOWS_PATH.search(line)
    ]
    if faults:
        raise InputError(faults)


@cache
def built_in_catalog() -> Raw:
    """The catalog that the package carries."""
    catalog: Raw = {}
    for name in BUILT_IN:
        text = resources.files("catalogs").joinpath(name).read_text(encoding="utf-8")
        catalog = merge_catalogs(catalog, tomllib.loads(text))
    return catalog


def built_in_cautions() -> tuple[Caution, ...]:
    """The cautions that the package carries."""
    return cautions_from_toml(resources.files("catalogs").joinpath("cautions.toml").read_text(encoding="utf-8"))
