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
OWNER = "Shop page"
"""Whose certificates they are, as phones list them."""

FOR, SINCE = timedelta(days=390), timedelta(days=1)
"""Validity of the page's certificate, and how long before now it begins, for clocks that are slow; phones refuse more
than 398 days from its first to its last. Each start issues a new one."""


def certificate(folder: Path, names: Iterable[str]) -> dict[str, Any]:
    """Server settings for TLS. Prints on standard error which file phones have to trust.

    names   host names by which the page may be called

    Raises InputError if the package for certificates is missing, OSError.
    """
    try:
        from trustme import CA
    except ModuleNotFoundError:
        raise InputError([Fault("--tls", "", message("serve-no-tls"))]) from None
    inside, unit = folder / FOLDER, folder.resolve().name or "jobs"
    inside.mkdir(mode=0o700, exist_ok=True)
    public, key = inside / AUTHORITY, inside / AUTHORITY_KEY
    if public.exists() and key.exists():
        authority = CA.from_pem(read_bytes(public), read_bytes(key))
    else:
        authority = CA(organization_name=OWNER, organization_unit_name=unit)
        _write_secret(key, authority.private_key_pem.bytes())
        write_new(public, authority.cert_pem.bytes())
    now = datetime.now(UTC)
    issued = authority.issue_cert(
        *sorted(names),
        organization_name=OWNER,
        organization_unit_name=unit,
        not_before=now - SINCE,
        not_after=now + FOR,
    )
    _write_secret(inside / SERVER, issued.private_key_and_cert_chain_pem.bytes())
    print(PLAIN("serve-authority", file=str(public)), file=sys.stderr, flush=True)
    return {"ssl_certfile": inside / SERVER}


def _write_secret(path: Path, content: bytes) -> None:
    """Write a file that only its owner can read."""
    path.unlink(missing_ok=True)
    os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
    write_new(path, content)
