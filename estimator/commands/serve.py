"""serve: the shop page over a folder of jobs, until it is stopped."""

import ctypes
import signal
import socket
import sys
import webbrowser
from contextlib import suppress
from errno import EACCES, EADDRINUSE, EADDRNOTAVAIL
from ipaddress import ip_address
from pathlib import Path

from estimator.errors import Fault, InputError
from estimator.words import PLAIN
from geometry.message import message

HAND_OVER_S = 0.0005
"""How long a running estimate may keep a phone's tick from the interpreter, at each of its steps; usual are 5 ms."""

STOP_WITHIN_S = 2
"""What is still being answered when the page is stopped gets this long."""


def run_serve(
    folder: Path, host: str, port: int, *, browser: bool, tls: bool = False, database: str | None = None
) -> None:
    """Serves the page until Ctrl-C; prints its address. Raises InputError where the folder does not exist or
    the port is taken."""
    if not folder.is_dir():
        raise InputError([Fault(str(folder), "", message("serve-no-folder"))])
    listening = _listening(host, port)
    import uvicorn

    from estimator.page.access import new_code
    from estimator.page.app import app_for
    from estimator.page.connections import AT_ONCE, Connection, raise_files
    from estimator.page.tls import certificate
    from estimator.store import open_store
    from estimator.store.people import people_of

    code = None if _is_loopback(host) else new_code()

    config = uvicorn.Config(
        app_for(folder, _names(host), code, database, [_address(own, port, tls=tls) for own in _reached_at(host)]),
        **(certificate(folder, _names(host)) if tls else {}),
        http=Connection,
        backlog=AT_ONCE,
        log_level="error",
        server_header=False,
        timeout_graceful_shutdown=STOP_WITHIN_S,
        h11_max_incomplete_event_size=64_000,
    )
    address = _address(_own_address() if host in EVERY_ADDRESS else host, port, tls=tls)
    print(address, flush=True)
    if code is not None and not people_of(open_store(folder, database)):
        print(PLAIN("serve-code", code=code, scheme="https" if tls else "http"), file=sys.stderr, flush=True)
    if browser:
        with suppress(webbrowser.Error):
            webbrowser.open(address)
    Connection.open.most = raise_files()
    _share_arenas()
    sys.setswitchinterval(HAND_OVER_S)
    server = uvicorn.Server(config)
    for name in ("SIGTERM", "SIGHUP"):
        number = getattr(signal, name, None)
        if number is not None and signal.getsignal(number) != signal.SIG_IGN:  # as nohup sets it
            signal.signal(number, server.handle_exit)
    sys.stdout.flush()
    with suppress(KeyboardInterrupt):
        server.run(sockets=[listening])


def _share_arenas() -> None:
    """Let all threads take memory from two arenas. The C library of Linux gives up to eight a core, and each keeps what
    an estimate in one of its threads once needed: 50 phones and 5 desks raised the memory twice as fast with them."""
    if sys.platform == "linux":
        with suppress(OSError, AttributeError):  # another C library has no such setting
            ctypes.CDLL(None).mallopt(ARENA_MAX, ARENAS)


ARENA_MAX, ARENAS = -8, 2
"""M_ARENA_MAX of malloc.h, and how many."""

EVERY_ADDRESS = ("0.0.0.0", "::")
"""Of this computer."""


def _names(host: str) -> set[str]:
    """Names by which the page may be called."""
    from estimator.page.app import LOOPBACK

    own = {socket.gethostname(), _own_address(), *_reached_at(host)} if host in EVERY_ADDRESS else {host}
    return {*LOOPBACK, *own}


def _address(host: str, port: int, *, tls: bool) -> str:
    return f"{'https' if tls else 'http'}://{f'[{host}]' if ':' in host else host}:{port}/"


def _reached_at(host: str) -> list[str]:
    """By what other computers call this one, the way to the outside first; nothing where none reaches it."""
    if host not in EVERY_ADDRESS:
        return [] if _is_loopback(host) else [host]
    import ifaddr

    found = [str(each.ip) for adapter in ifaddr.get_adapters() for each in adapter.ips if each.is_IPv4]
    reached = [own for own in found if not (ip_address(own).is_loopback or ip_address(own).is_link_local)]
    return sorted(dict.fromkeys(reached), key=lambda own: own != _own_address())


def _own_address() -> str:
    """The address by which others on the network reach this computer; loopback without a network."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asked:
        try:
            asked.connect(("192.0.2.1", 9))  # of no computer (RFC 5737); nothing is sent
        except OSError:
            return "127.0.0.1"
        return str(asked.getsockname()[0])


def _is_loopback(host: str) -> bool:
    if host == "localhost":
        return True
    try:
        return ip_address(host).is_loopback
    except ValueError:
        return False


def _listening(host: str, port: int) -> socket.socket:
    """A socket that listens. Raises InputError for a port that is taken or closed to this user, and for an address that
    is not one of this computer, OSError."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    listening = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    if sys.platform != "win32":  # there it would let a second server take the same port
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((host, port))
        listening.listen(128)
    except (OSError, UnicodeError) as error:  # UnicodeError: of a name that no computer can have
        listening.close()
        number = getattr(error, "errno", None)
        if number in (EADDRINUSE, EACCES):
            fault = Fault("--port", "", message("serve-port-taken" if number == EADDRINUSE else "serve-port-closed",
                                                port=str(port)))  # fmt: skip
        elif number == EADDRNOTAVAIL or isinstance(error, socket.gaierror | UnicodeError):
            fault = Fault("--host", "", message("serve-no-address", host=host))
        else:
            raise
        raise InputError([fault]) from None
    return listening
