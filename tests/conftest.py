"""Settings of all tests."""

import os
import re
from functools import cache
from typing import Any

from hypothesis import settings

from estimator.catalog import catalog
from geometry.message import Message

os.environ["CAST_ESTIMATOR_CACHE"] = "off"  # no test reads what another test, or a user, left behind

# A clean checkout tries the same examples each time, so that it fails because of a change and not by chance. On a
# desk new examples are tried every time, and what they find becomes a test of its own.
settings.register_profile("checkout", derandomize=True, deadline=None)  # a shared machine is slow at times
settings.register_profile("long", max_examples=1200)
if os.environ.get("CI"):
    settings.load_profile("checkout")


def pytest_make_parametrize_id(val: object, argname: str) -> str | None:
    """Name a parameter that is the content of a file by its argument: an archive and a PDF tell the time at which they
    were written, and two processes that share the tests must give each the same name."""
    return argname if isinstance(val, bytes) else None


# Every message that a test makes must be one that the catalog can print in full.

PLACEHOLDER = re.compile(r"\{\s*\$([\w-]+)")
ADDED = {"units", "drawn"}
"""The job's units; whether a form sheet draws a size. The count of a warning is added when all are known, too."""

_make = Message.__new__


@cache
def _needed(id: str) -> frozenset[str]:
    """Values that a message shows, but those that whoever prints it adds: see ADDED."""
    source = catalog("en-US").entries.get(id.partition(".")[0])
    assert source is not None, f"no catalog has the message {id}"
    return frozenset(PLACEHOLDER.findall(source)) - ADDED - {"count" if id.startswith("warning-") else ""}


def _checked(cls: type[Message], id: str, values: tuple[tuple[str, Any], ...] = ()) -> Message:
    given = {name for name, value in values if value is not None}
    assert given >= _needed(id), f"message {id} lacks {sorted(_needed(id) - given)}"
    return _make(cls, id, values)


Message.__new__ = _checked  # type: ignore[method-assign, assignment]
