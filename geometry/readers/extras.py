"""Libraries that only some shops need: each has an install line of its own, which a refusal names."""

from __future__ import annotations

from importlib.util import find_spec

from geometry.errors import FaultError
from geometry.message import message

EXTRAS = {"step": "OCP", "3dm": "rhino3dm", "pdf": "pypdfium2"}
"""The module that each extra of the project brings."""


def require_extra(extra: str) -> None:
    """Raise FaultError, with the line that installs it, where the library of an extra is not here."""
    if find_spec(EXTRAS[extra]) is None:
        raise FaultError("", message("extra-missing", kind=extra.upper(), extra=extra))
