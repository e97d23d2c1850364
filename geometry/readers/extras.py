"""Optional libraries, each with its own install command, which the fault message names."""

from __future__ import annotations

from importlib.util import find_spec

from geometry.errors import FaultError
from geometry.message import message

EXTRAS = {"step": "OCP", "3dm": "rhino3dm", "pdf": "pypdfium2"}
"""Module that each extra of the project installs."""


def require_extra(extra: str) -> None:
    """Raise FaultError, with the install command, if the library of an extra is missing."""
    if find_spec(EXTRAS[extra]) is None:
        raise FaultError("", message("extra-missing", kind=extra.upper(), extra=extra))
