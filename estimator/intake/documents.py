"""TOML files and the built-in catalog, read as plain tables."""

import tomllib
from functools import cache
from importlib import resources
from pathlib import Path

from estimator.cautions import Caution, cautions_from_toml
from estimator.errors import Fault, InputError
from estimator.intake.merge import Raw, merge_catalogs
from estimator.intake.spelling import either_spelling

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
    try:
        return either_spelling(tomllib.loads(text), name)
    except tomllib.TOMLDecodeError as error:
        said = str(error)
        raise InputError([Fault(name, "", f"is not TOML: {said}.", "Mend that line; texts stand in quotes.")]) from None


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
