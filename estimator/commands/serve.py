"""serve: the shop page over a folder of jobs, until it is stopped."""

import socket
import sys
import webbrowser
from contextlib import suppress
from errno import EADDRINUSE
from ipaddress import ip_address
from pathlib import Path

from estimator.errors import Fault, InputError
from geometry.message import message

STOP_WITHIN_S = 2
"""What is still being answered when the page is stopped gets this long."""


def run_serve(folder: Path, host: str, port: int, *, browser: bool) -> None:
    """Serves the page until Ctrl-C; prints its address. Raises InputError for a folder or an address that is none."""
    if not folder.is_dir():
        raise InputError([Fault(str(folder), "", message("serve-no-folder"))])
    if not _is_loopback(host):
        raise InputError([Fault("--host", "", message("serve-not-loopback", host=host))])
    listening = _listening(host, port)
    import uvicorn

    from estimator.page.app import LOOPBACK, app_for

    config = uvicorn.Config(
        app_for(folder, {*LOOPBACK, host}),
        log_level="error",
        server_header=False,
        timeout_graceful_shutdown=STOP_WITHIN_S,
        h11_max_incomplete_event_size=64_000,
    )
    address = f"http://{f'[{host}]' if ':' in host else host}:{port}/"
    print(address, flush=True)
    if browser:
        with suppress(webbrowser.Error):
            webbrowser.open(address)
    server = uvicorn.Server(config)
    sys.stdout.flush()
    with suppress(KeyboardInterrupt):
        server.run(sockets=[listening])


def _is_loopback(host: str) -> bool:
    if host == "localhost":
        return True
    try:
        return ip_address(host).is_loopback
    except ValueError:
        return False


def _listening(host: str, port: int) -> socket.socket:
    """A socket that listens. Raises InputError for a port that is taken, OSError."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    listening = socket.socket(family, socket.SOCK_STREAM)
    if sys.platform != "win32":  # there it would let a second server take the same port
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((host, port))
        listening.listen(128)
    except OSError as error:
        listening.close()
        if error.errno == EADDRINUSE:
            raise InputError([Fault("--port", "", message("serve-port-taken", port=str(port)))]) from None
        raise
    return listening
