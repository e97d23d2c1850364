"""Options, alternates and change orders on the screen of all entries: the pieces and mixes that each may name."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import reduce
from pathlib import Path
from typing import Any

from estimator.intake.edit import KeyPath
from estimator.intake.read import pieces_of_files
from estimator.page.fields import VERSIONS, Field, Group, at_of, path_of, value_of
from estimator.page.orders import Table, lines_of, orders_of, with_overlay
from estimator.page.shelf import Kept

OF_MARKS = ("pieces", "remove")
"""Keys of a version that name pieces by their marks."""

MOST_BOXES = 60
"""Marks in a job with more pieces are typed."""


def is_version(path: KeyPath) -> bool:
    """Whether a path is that of an option, an alternate or a change order."""
    return len(path) == 2 and path[0] in VERSIONS and isinstance(path[1], int)


def base_of(path: KeyPath, table: Table, folder: Path) -> Table:
    """Job as it stands where a version begins, with the pieces that come from files. Raises InputError.

    An option begins at the options that are taken before it and the signed change orders; a change order at those
    signed before it.
    """
    kind, number = path[0], int(path[1])
    whole = {**table, "piece": [*table.get("piece", []), *pieces_of_files(table, folder)]}
    options = table.get("option", [])
    of_options = options[:number] if kind == "option" and value_of(path, table) else options
    taken = [option for option in of_options if option.get("taken") and "lump" not in option]
    orders = orders_of(table)
    signed = [order for order in (orders[:number] if kind == "change" else orders) if order.get("signed")]
    return reduce(with_overlay, [*taken, *signed], whole)


def changes_of(path: KeyPath, table: Table, folder: Path) -> list[str]:
    """What a version changes of pieces and tables, a line for each."""
    version = value_of(path, table)
    return list(lines_of(base_of(path, table, folder), version)) if isinstance(version, dict) else []


def marks_at(path: KeyPath, kept: Kept, folder: Path) -> list[tuple[str, str]]:
    """Marks of the pieces that a version may change, each with its description."""
    pieces = base_of(path, kept.table, folder)["piece"]
    known = [piece for piece in pieces if isinstance(piece, dict) and piece.get("mark")]
    return [(str(piece["mark"]), str(piece.get("description", ""))) for piece in known]


def parts_with_choices(path: KeyPath, parts: Iterator[Field | Group], kept: Kept) -> Iterator[Field | Group]:
    """Parts of a version with a choice for each mix that may be swapped, instead of names with a sign between them."""
    if not is_version(path) or kept.estimate is None:
        yield from parts
        return
    result = kept.estimate.result
    used = [layer.mix for piece in result.pieces for layer in piece.taken.piece.layers]
    swapped: dict[str, Any] = value_of((*path, "swap"), kept.table) or {}
    for part in parts:
        key = path_of(part.at)[-1]
        if key in OF_MARKS:
            yield replace(part, label=kept.words("version-marks", key=str(key)))
        elif key != "swap":
            yield part
        if key != "swap":
            continue
        for mix in dict.fromkeys([*swapped, *used]):
            others = tuple(name for name in result.job.mixes if name != mix)
            label = kept.words("version-swap", mix=mix)
            yield Field(at_of((*path, "swap", mix)), label, "", "choice", str(swapped.get(mix, "")), "", others)


def boxes_of_marks(
    path: KeyPath, fields: list[Field], kept: Kept, folder: Path
) -> dict[str, list[tuple[str, str, bool]]]:
    """Boxes for the keys of a version that name pieces, by key; none for a job of many pieces."""
    if not is_version(path):
        return {}
    marks = marks_at(path, kept, folder)
    if len(marks) > MOST_BOXES:
        return {}
    return {
        field.at: [(mark, f"{mark}, {name}" if name else mark, mark in field.text.splitlines()) for mark, name in marks]
        for field in fields
        if path_of(field.at)[-1] in OF_MARKS
    }
