"""What an option, an alternate or a change order changes of a piece, in the fields of that piece.

A version is written as the keys in which it differs from the job, a list of a piece as a whole, since the reader
replaces it as a whole. So a field shows what counts in the version, and an entry added to a list keeps those before it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import replace
from functools import reduce
from pathlib import Path
from typing import Any
from urllib.parse import quote

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from estimator.errors import FaultError, InputError
from estimator.intake.edit import Edit, KeyPath, changed
from estimator.names import folded
from estimator.page.desk import ADDED, piece_fields
from estimator.page.fields import (
    Field,
    Group,
    are_tables,
    at_of,
    entry_of,
    fields_of,
    kinds_at,
    label_of,
    name_of,
    next_of,
    node_at,
    of_kind,
    path_of,
    typed,
    value_of,
)
from estimator.page.orders import (
    ReleasedError,
    Table,
    asked,
    differences,
    done,
    order_of,
    revise,
    with_overlay,
)
from estimator.page.overlays import base_of, is_version, parts_with_choices
from estimator.page.screen import Screens, problem_of
from estimator.page.sheet import as_given, edits_of, entry_of_form, joined, way_to
from estimator.page.shelf import JobFile, Kept
from estimator.words import Words


def routes(screens: Screens) -> list[Route]:
    """Route of the changes that a version makes to one piece."""

    async def changes(request: Request) -> Response:
        job, given = screens.job(request), dict[str, str]()
        if request.method == "POST":
            async with request.form() as sent:
                given = joined(sent.multi_items())
        return await run_in_threadpool(_screen, screens, request, job, given)

    return [Route("/jobs/{job}/versions", changes, methods=["GET", "POST"], name="versions")]


def _screen(screens: Screens, request: Request, job: JobFile, given: dict[str, str]) -> Response:
    """Screen of one piece of a version, or the choice of a piece; saves the fields if they were sent."""
    kept, asked_for = job.kept(), {**given, **request.query_params}
    words, path, mark = kept.words, path_of(asked_for.get("at", "")), asked_for.get("change", "")
    if not is_version(path):
        raise HTTPException(404)
    problem = ""
    try:
        piece = _Piece(path, kept, job.path.parent, mark, asked_for.get("more", ""), asked_for.get("kind", ""))
    except KeyError:
        raise HTTPException(404) from None
    except InputError:
        raise HTTPException(409) from None
    fields = list(piece.fields())
    try:
        if given.get("act") == "piece":
            fields = [as_given(field, given) for field in fields]
            revise(job, piece.edits(given, words), order_of(given))
            return done(job, given, f"/jobs/{job.name}/sheet?at={at_of(path)}")
    except ReleasedError as needed:
        return asked(screens, request, job, given, needed)
    except (FaultError, InputError, OSError) as error:
        problem = problem_of(error, words)
    started = value_of(path, kept.table) is not None
    here = f"/jobs/{job.name}/versions?at={at_of(path)}&change={quote(mark, safe='')}"
    below = f"{at_of(piece.new())}/" if piece.more else ""
    own = [field for field in fields if not below or not field.at.startswith(below)]
    name = given.get(f"{at_of(path)}/name") or name_of(path, kept.table)
    return screens.render(
        request, "versions.html", 422 if problem else 200, words=words, job=job, mark=piece.mark,
        title=words("version-title", mark=piece.mark, name=name),
        way=way_to(path if started else path[:1], kept.table), fields=own, kind=piece.kind, more=piece.more,
        kinds=[(kind, f"{here}&more={piece.more}&kind={quote(kind)}") for kind in piece.kinds],
        more_label=label_of(path_of(piece.more)[-1]) if piece.more else "",
        more_fields=[field for field in fields if field not in own],
        lists=[(f"{here}&more={more}", words(label)) for more, label in piece.lists()],
        tables=[(f"{here}&more={more}", label) for more, label in piece.tables()],
        rest=list(piece.rest()), stands=started, changes=piece.stands,
        carried={key: text for key, text in given.items() if key.startswith(f"{at_of(path)}/")}, problem=problem,
    )  # fmt: skip


class _Piece:
    """One piece as a version has it.

    before  the job where the version begins, with the mixes that it swaps
    now     the same with what it changes of pieces
    """

    def __init__(self, path: KeyPath, kept: Kept, folder: Path, mark: str, more: str, kind: str) -> None:
        """Raises KeyError for an unknown mark or key, InputError for files that cannot be read."""
        self.path, self.kept, self.table = path, kept, kept.table
        version = value_of(path, kept.table) or {}
        swap = {key: version[key] for key in ("swap", "pieces") if key in version}
        self.before = with_overlay(base_of(path, kept.table, folder), swap)
        self.now = with_overlay(self.before, {"piece": version.get("piece", [])})
        number = entry_of(mark, self.now)
        if number is None:
            raise KeyError(mark)
        self.at: KeyPath = ("piece", number)
        self.mark = str(self.now["piece"][number]["mark"])
        own = version.get("piece", [])
        self.entry = next((at for at, entry in enumerate(own) if folded(str(entry.get("mark"))) == folded(mark)), None)
        self.mixes = tuple(kept.estimate.result.job.mixes) if kept.estimate is not None else ()
        self.more, self.kind, self.kinds = more, "", list[str]()
        if more:
            node_at((*self.at, *path_of(more)), self.now)
            self.kinds = kinds_at(self.new(), self.now)
            self.kind = kind or (self.kinds[0] if self.kinds else "")

    @property
    def stands(self) -> bool:
        """Whether the version changes this piece already."""
        return self.entry is not None

    def new(self) -> KeyPath:
        """Path of what is to be entered more: a table of the piece, or the next entry of a list."""
        path = (*self.at, *path_of(self.more))
        return next_of(path, self.now, "") if "items" in node_at(path, self.now) else path

    def fields(self) -> Iterator[Field]:
        """Yield the fields of the piece with what counts in the version; a changed one says what the job has."""
        before = {field.at: field.text for field in piece_fields(self.before, self.mark)}
        for field in piece_fields(self.now, self.mark):
            if field.at == at_of((*self.at, "mark")):
                continue
            was = before.get(field.at, "")
            note = self.kept.words("version-was", text=was.replace("\n", ", ") or "–")
            yield replace(self._mix_chosen(field), help=note if was != field.text else "")
        if self.more:
            shown = {field.at for field in piece_fields(self.now, self.mark)}
            for part in of_kind(fields_of(self.new(), self.now, kind=self.kind or None), self.new(), self.kind):
                is_kind = self.kind and part.label == "Kind"
                if isinstance(part, Field) and part.at not in shown and not is_kind:
                    yield part

    def rest(self) -> Iterator[Field]:
        """Yield the fields of the piece and its shape that neither the job nor the version has."""
        shown = {field.at for field in self.fields()}
        for path in (self.at, (*self.at, "shape")):
            for part in fields_of(path, self.now):
                hidden = path_of(part.at)[-1] in ("mark", "kind", "from")
                if isinstance(part, Field) and part.at not in shown and not hidden:
                    yield part

    def lists(self) -> Iterator[tuple[str, str]]:
        """Yield the lists to which an entry may be added, as at the desk."""
        for key, label in ADDED:
            with suppress(KeyError):
                node_at((*self.at, *path_of(key)), self.now)
                yield key, label

    def tables(self) -> Iterator[tuple[str, str]]:
        """Yield the tables of the piece with more keys."""
        of_more = [(*self.at, *path_of(self.more))] if self.more else []
        for path in (self.at, *of_more):
            for part in fields_of(path, self.now):
                own = path_of(part.at)[2:]
                if isinstance(part, Group) and not part.is_list and own != ("shape",):
                    yield at_of(own), part.label

    def _mix_chosen(self, field: Field) -> Field:
        """The mix of a piece as a choice of those that the job knows."""
        if path_of(field.at)[-1] != "mix" or not self.mixes:
            return field
        return replace(field, kind="choice", choices=tuple(dict.fromkeys((*self.mixes, *filter(None, [field.text])))))

    def edits(self, given: Mapping[str, str], words: Words) -> list[Edit]:
        """Edits of the job file for what was typed. Raises FaultError."""
        if given.get("leave"):
            wanted = self.before["piece"][entry_of(self.mark, self.before)]
        else:
            wanted = self._typed(given, words)
        number = entry_of(self.mark, self.before)
        assert number is not None
        new = differences(self.before["piece"][number], wanted)
        entry = {"mark": self.mark, **new} if new else None
        if value_of(self.path, self.table) is None:
            return self._started(given, entry)
        if self.entry is None:
            return [] if entry is None else [Edit("add", (*self.path, "piece"), entry)]
        every: KeyPath = (*self.path, "piece")
        if entry is None:
            return [Edit("remove", every if len(value_of(every, self.table)) == 1 else (*every, self.entry))]
        old = value_of((*every, self.entry), self.table)
        return list(between((*every, self.entry), old, {**entry, "mark": old["mark"]}))

    def _typed(self, given: Mapping[str, str], words: Words) -> Any:
        """The piece as typed. Raises FaultError."""
        more = at_of(self.new()) if self.more else ""
        fields = [*self.fields(), *self.rest()]
        added = [field for field in fields if more and field.at.startswith(f"{more}/") and not field.text]
        plain = [field for field in fields if field not in added]
        after = reduce(changed, edits_of(plain, given, self.now, words.units), self.now)
        values = {path_of(f.at)[-1]: value for f in added if (value := typed(given.get(f.at, ""), f)) is not None}
        if values:
            values |= {"kind": self.kind} if self.kind else {}
            is_list = self.new()[-1] != path_of(self.more)[-1]
            entry = values if is_list else {**(value_of(self.new(), after) or {}), **values}
            at = (*self.at, *path_of(self.more))
            after = changed(after, Edit("add" if is_list else "set", at, entry))
        return value_of(self.at, after)

    def _started(self, given: Mapping[str, str], entry: Table | None) -> list[Edit]:
        """Edits that start the version with what was entered of it before a piece was chosen."""
        parts = parts_with_choices(self.path, fields_of(self.path, self.table), self.kept)
        head = entry_of_form(self.path, [part for part in parts if isinstance(part, Field)], given)
        return [Edit("add", self.path[:1], head | ({} if entry is None else {"piece": [entry]}))]


def between(at: KeyPath, old: Table, new: Table) -> Iterator[Edit]:
    """Yield the edits that make one table of another, each of the innermost key that differs."""
    for key, value in new.items():
        was = old.get(key)
        if isinstance(was, dict) and isinstance(value, dict):
            yield from between((*at, key), was, value)
        elif are_tables(was) and are_tables(value) and len(was) == len(value):
            for number, (first, second) in enumerate(zip(was, value, strict=True)):
                yield from between((*at, key, number), first, second)
        elif was != value:
            yield Edit("set", (*at, key), value)
    yield from (Edit("remove", (*at, key)) for key in old if key not in new)
