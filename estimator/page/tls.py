"""TLS with the shop's own certificate authority. A phone needs to trust it only once."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from estimator.disk import write_new
from estimator.errors import Fault, InputError
from estimator.words import PLAIN
from geometry.files import read_bytes
from geometry.message import message

FOLDER, AUTHORITY, AUTHORITY_KEY, SERVER = ".shop-tls", "authority.pem", "authority-key.pem", "server.pem"
FOR = timedelta(days=390)
"""Validity of the page's certificate; phones refuse more than 398 days. Each start issues a new one."""


def certificate(folder: Path, names: Iterable[str]) -> dict[str, Any]:
    """Server settings for TLS. Prints on standard error which file phones have to trust.

    names   host names by which the page may be called

    Raises InputError if the package for certificates is missing, OSError.
    """
    try:
        from trustme import CA
    except ModuleNotFoundError:
        raise InputError([Fault("--tls", "", message("serve-no-tls"))]) from None
    inside = folder / FOLDER
    inside.mkdir(mode=0o700, exist_ok=True)
    public, key = inside / AUTHORITY, inside / AUTHORITY_KEY
    if public.exists() and key.exists():
        authority = CA.from_pem(read_bytes(public), read_bytes(key))
    else:
        authority = CA(organization_name="Shop page", organization_unit_name=folder.resolve().name or "jobs")
        _write_secret(key, authority.private_key_pem.bytes())
        write_new(public, authority.cert_pem.bytes())
    issued = authority.issue_cert(*sorted(names), not_after=datetime.now(UTC) + FOR)
    _write_secret(inside / SERVER, issued.private_key_and_cert_chain_pem.bytes())
    print(PLAIN("serve-authority", file=str(public)), file=sys.stderr, flush=True)
    return {"ssl_certfile": inside / SERVER}


def _write_secret(path: Path, content: bytes) -> None:
    """Write a file that only its owner can read."""
    path.unlink(missing_ok=True)
    os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
    write_new(path, content)
