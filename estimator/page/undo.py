"""Undo: the last change that was made here, what and whose it is, and taking it back.

While the page runs, a job keeps the bytes from before each change. After a restart the log of changes says what was,
and one entry after the other can be taken back from it, as long as the file still has what the entry wrote.
"""

from __future__ import annotations

from typing import Any

from estimator.errors import FaultError
from estimator.intake.edit import Edit
from estimator.page.changes import place_of
from estimator.page.fields import Field, are_tables, fields_of, path_of, typed, value_of
from estimator.page.orders import is_released
from estimator.page.shelf import JobFile, Kept, written
from estimator.store.people import Change, changes_of, who
from geometry.frozen import frozen
from geometry.message import message

MOST_LOGGED = 50
LONGEST = 24
"""Values with more letters are not told beside undo."""


@frozen
class Undo:
    """What undo would take back.

    text      the change in words, and who made it if that was somebody else
    of_other  whether somebody else made it
    """

    text: str
    of_other: bool


def undo_of(job: JobFile, kept: Kept) -> Undo | None:
    """What Undo takes back: the last change here, or in the log; None without one."""
    person, table = "", kept.table
    if last := job.last_change:
        changes, person, table = last.changes, last.person, last.table
    elif logged := _logged(job, kept):
        changes, person = [(logged[0].what, logged[0].was, logged[0].becomes)], logged[0].person
    else:
        return None
    what, was, becomes = changes[0]
    value = value_of(path_of(what), kept.table)
    if are_tables(value) and not was and written(value[-1]) == becomes:  # an entry that was added to a list
        what, table = f"{what}/{len(value) - 1}", kept.table
    values = f"{becomes or '–'} → {was or '–'}"
    if "\n" in values or max(len(was), len(becomes)) > LONGEST:
        values = "none" if was and becomes else "gone" if was else "added"
    of_other = person not in ("", who.get())
    text = kept.words(
        "page-undo-what",
        what=place_of(what, table),
        values=values,
        more=len(changes) - 1,
        person=person if of_other else "none",
    )
    return Undo(text, of_other)


def undo(job: JobFile, shown: str | None) -> Kept:
    """Take the last change back; return the new state.

    shown  digest of the file for which the screen says what undo takes back; None if it does not say

    Raises FaultError if there is nothing to undo or the file has changed since, InputError, OSError.
    """
    kept = job.kept()
    if shown not in (None, kept.digest):
        raise FaultError("", message("page-undo-other-now"))
    if job.last_change is None and (logged := _logged(job, kept)):
        return job.take_back(logged[1], kept)
    return job.undo()


def _logged(job: JobFile, kept: Kept) -> tuple[Change, Edit] | None:
    """Last change in the log that was not taken back since, and the edit that does; None if its key is not as written.

    A released job changes by orders, of which each is an agreement and none is undone by its log.
    """
    if job.store is None or is_released(kept.table):
        return None
    standing = list[Change]()
    for change in reversed(changes_of(job.store, job.path, MOST_LOGGED)):
        last = standing[-1] if standing else None
        if last and (last.what, last.was, last.becomes) == (change.what, change.becomes, change.was):
            standing.pop()
        else:
            standing.append(change)
    edit = _edit_back(standing[-1], kept.table) if standing else None
    return None if edit is None else (standing[-1], edit)


def _edit_back(change: Change, table: dict[str, Any]) -> Edit | None:
    """Edit that gives a key the value that it had before a change; None unless it has the one that was written."""
    path = path_of(change.what)
    try:
        parts = [part for part in fields_of(path[:-1], table) if part.at == change.what]
        field = next((part for part in parts if isinstance(part, Field)), None)
        if field is None or field.text != change.becomes:
            return None
        value = typed(change.was, field)
    except (KeyError, FaultError):  # a key of another version, or of no job file
        return None
    return Edit("remove", path) if value is None else Edit("set", path, value)
