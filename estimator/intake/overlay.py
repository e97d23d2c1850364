"""The job file once more with something changed: options, alternatives and change orders, laid over what is written."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from estimator.errors import Fault
from estimator.intake.documents import Raw, merge_catalogs, over
from estimator.intake.faults import nearest
from estimator.intake.supply_tables import OverlayTable
from estimator.names import first_spellings, folded

OVERLAID = ("mixes", "materials", "workshop", "price", "stock")


@dataclass(frozen=True, slots=True)
class RawPiece:
    """A piece as its file writes it, not yet checked."""

    file: str
    place: str
    raw: Any

    @property
    def mark(self) -> str | None:
        mark = self.raw.get("mark") if isinstance(self.raw, dict) else None
        return mark if isinstance(mark, str) else None


@dataclass(frozen=True, slots=True)
class Written:
    """A job file as written, with the rows of its schedules among the pieces."""

    sections: Raw
    pieces: tuple[RawPiece, ...]

    @property
    def marks(self) -> list[str]:
        return [piece.mark for piece in self.pieces if piece.mark is not None]


def overlaid(written: Written, table: OverlayTable, file: str, place: str, faults: list[Fault]) -> Written:
    """What is written with an overlay on it. A mark or a mix that the job does not have becomes a fault at `place`."""
    _check_marks(written, table, file, place, faults)
    changed = {folded(str(each.get("mark"))): each for each in table.piece}
    acted_on = {folded(mark) for mark in table.pieces or written.marks}
    removed = {folded(mark) for mark in table.remove}
    job = written.sections.get("job", {})
    default = job.get("mix") if isinstance(job, dict) else None
    met: set[str] = set()
    pieces = []
    for piece in written.pieces:
        mark = None if piece.mark is None else folded(piece.mark)
        if mark in removed:
            continue
        raw = piece.raw
        if mark in acted_on and table.swap:
            raw = _swapped(raw, table.swap, default, met)
        if mark is not None and mark in changed:
            raw = _changed(raw, changed[mark] | {"mark": piece.mark})
        pieces.append(replace(piece, raw=raw))
    for old in table.swap:
        if old not in met and acted_on <= {folded(mark) for mark in written.marks}:
            used = sorted({mix for piece in written.pieces for mix in _mixes_of(piece.raw, default)})
            faults.append(
                Fault(file, f"{place}, swap.{old}", f'no piece of it has the mix "{old}".', nearest(old, used))
            )
    for i, raw in enumerate(table.add):
        mark = raw.get("mark", i + 1)
        pieces.append(RawPiece(file, f"piece {mark}", raw))
    sections = {name: value for name in OVERLAID if (value := getattr(table, name))}
    return Written(merge_catalogs(written.sections, sections), tuple(pieces))


def _check_marks(written: Written, table: OverlayTable, file: str, place: str, faults: list[Fault]) -> None:
    known = {folded(mark) for mark in written.marks}
    named = [("pieces", mark) for mark in table.pieces] + [("remove", mark) for mark in table.remove]
    for i, each in enumerate(table.piece):
        mark = each.get("mark")
        if not isinstance(mark, str):
            faults.append(Fault(file, f"{place}, piece[{i}]", "names no mark.", "Add the mark that it changes."))
        else:
            named.append((f"piece[{i}].mark", mark))
    for key, mark in named:
        if folded(mark) not in known:
            fix = nearest(mark, written.marks)
            faults.append(Fault(file, f"{place}, {key}", f'there is no piece "{mark}".', fix))
    changed = [mark for key, mark in named if key.startswith("piece[")]
    for mark, first in first_spellings(changed).items():
        if mark != first or changed.count(mark) > 1:
            what = f'"{mark}" is changed more than once.'
            faults.append(Fault(file, f"{place}, piece", what, "Write all its changes into one entry."))


def _changed(raw: Any, change: Raw) -> Any:
    """A piece with the keys of a change; a shape of another kind replaces the whole shape."""
    if not isinstance(raw, dict):
        return raw
    shape, other = raw.get("shape"), change.get("shape")
    base = raw
    if (
        isinstance(shape, dict)
        and isinstance(other, dict)
        and other.get("kind", shape.get("kind")) != shape.get("kind")
    ):
        base = {key: value for key, value in raw.items() if key != "shape"}
    if ("mix" in change) != ("layers" in change):  # one of them takes the place of the other
        base = {key: value for key, value in base.items() if key not in ("mix", "layers")}
    return over(base, change)


def _swapped(raw: Any, swap: Mapping[str, str], default: Any, met: set[str]) -> Any:
    """A piece with other mixes in its layers, or in the place of the job's mix."""
    if not isinstance(raw, dict):
        return raw
    used = _mixes_of(raw, default)
    met.update(used)
    if isinstance(raw.get("layers"), list):
        layers = [
            {**layer, "mix": swap.get(layer["mix"], layer["mix"])}
            if isinstance(layer, dict) and isinstance(layer.get("mix"), str)
            else layer
            for layer in raw["layers"]
        ]
        return {**raw, "layers": layers}
    return {**raw, "mix": swap[used[0]]} if used and used[0] in swap else raw


def _mixes_of(raw: Any, default: Any) -> list[str]:
    if not isinstance(raw, dict):
        return []
    if isinstance(raw.get("layers"), list):
        named = [layer.get("mix") for layer in raw["layers"] if isinstance(layer, dict)]
    else:
        named = [raw.get("mix", default)]
    return [mix for mix in named if isinstance(mix, str)]
