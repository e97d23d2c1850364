"""Parsers of foreign formats in a process of their own, with limits on its memory and time.

No `try` catches a crash in a library. The child runs one function on one file and hands plain values back over a pipe.
Whatever ends it is one refusal: a crash, too much memory, too much time. A file that the program's own code reads needs
no child; one from a stranger always gets one (`Limits.apart_mb = 0`).

The limits on address space, processor time and written files are those of POSIX systems. macOS does not hold the one on
address space, and Windows has none of the three: there the clock and a watch on the memory in use remain.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from contextlib import suppress
from importlib import import_module
from pathlib import Path
from typing import IO, TypeVar, cast

from geometry.errors import FaultError
from geometry.files import MB, InputFile, Limits, held_to, read_bytes
from geometry.message import message
from geometry.plain import packed, unpacked

T = TypeVar("T")

OWN_FORMATS = (".stl", ".csv", ".tsv", ".txt")
"""Formats that the program's own code reads: no library that could crash is between."""

_BOOT = "import sys; sys.path[:] = sys.argv[1:]; from geometry.apart import _serve; _serve()"
_ONE_MORE_S = 5  # for a child that ignores the first signal, or has answered and does not end
_WALL = 3  # times the processor time that a child may take, on the clock: it may share the machine
_LARGEST_FILE = 64 << 20  # that a child may write, bytes; none of our readers writes any
_LOOK_S = 0.05  # between two looks at a child's memory
_NEAR = 0.6  # of its limit
_HOLDS = sys.platform == "linux"  # whether the system holds a process to its address space
_inside = False  # whether this process is such a child


def guarded(read: Callable[..., T], file: InputFile, *asked: object) -> T:
    """What `read(file, *asked)` returns, found in a child where the file's size or its sender asks for one.

    Raises as `read`, and FaultError for a file that ends the child.
    """
    least = file.limits.apart_mb * MB
    if least and (file.suffix in OWN_FORMATS or _size(file) < least):
        with held_to(file.limits):
            return read(file, *asked)
    return apart(read, file, *asked)


def _size(file: InputFile) -> int:
    """Length of a file in bytes, 0 where there is none: its reader says so with what else is wrong."""
    try:
        return file.size
    except FaultError:
        return 0


def apart(read: Callable[..., T], file: InputFile, *asked: object) -> T:
    """What `read(file, *asked)` returns, found in a child process: for native libraries, which a bad file may crash.

    read   a function at the top of its module
    asked  plain values; what `read` returns is made of plain values, arrays, and the classes of `geometry.plain`

    Raises as `read`, and FaultError for a file that ends the child.
    """
    if _inside:
        return read(file, *asked)
    import pickle

    request = pickle.dumps((read.__module__, read.__qualname__, file, asked), protocol=5)
    end, answer = _run(request, file.limits, _size(file))
    if end:
        raise _refusal(end, file)
    kind, value = _unpacked(answer, file)
    if kind == "fault":
        raise cast(FaultError, value)
    if kind == "broken":
        raise RuntimeError(f"in the process that read {file.name}:\n{value}")
    return cast(T, value)


def _refusal(end: str, file: InputFile) -> FaultError:
    limits, size = file.limits, _size(file)
    if end == "memory":
        return limits.over(
            "apart-memory", "memory_mb", 2 * limits.memory_mb, taken=f"{limits.memory_of(size) / MB:,.0f}"
        )
    if end == "time":
        return limits.over("apart-time", "seconds", 2 * limits.seconds, taken=f"{limits.seconds_of(size):,.0f}")
    if end == "answer":
        return limits.over("apart-answer", "answer_mb", 2 * limits.answer_mb)
    return FaultError("", message("apart-crash", kind=file.suffix[1:].upper()))


def _unpacked(answer: bytes, file: InputFile) -> tuple[str, object]:
    try:
        kind, value = unpacked(answer)
    except Exception as error:  # a child that a file has taken over may write anything
        raise _refusal("crash", file) from error
    return kind, value


def _run(request: bytes, limits: Limits, size: int) -> tuple[str, bytes]:
    """How a child ended, "" where it ended well, and what it answered."""
    seconds = limits.seconds_of(size)
    try:
        child = subprocess.Popen(
            [sys.executable, "-P", "-c", _BOOT, *sys.path],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            env={**os.environ, "CAST_ESTIMATOR_CACHE": "off", "PYTHONFAULTHANDLER": ""},
        )
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise FaultError("", message("apart-not-started", reason=reason)) from error
    answer = bytearray()
    writer = threading.Thread(target=_send, args=(cast(IO[bytes], child.stdin), request), daemon=True)
    reader = threading.Thread(target=_receive, args=(cast(IO[bytes], child.stdout), answer, limits), daemon=True)
    most, end, ending = limits.memory_of(size), "time", ""
    try:
        writer.start()
        reader.start()
        end = _watch(child, reader, most, time.monotonic() + _WALL * seconds)
        if len(answer) > limits.answer_mb * MB:
            end = "answer"
    finally:
        if end:
            child.kill()
        ending = _ending(child, most)
        reader.join()
        writer.join()
        cast(IO[bytes], child.stdout).close()
    return end or ending, bytes(answer)


def _send(pipe: IO[bytes], request: bytes) -> None:
    with suppress(OSError), pipe:  # a child that died reads no further
        pipe.write(request)


def _receive(pipe: IO[bytes], answer: bytearray, limits: Limits) -> None:
    with suppress(OSError):
        while len(answer) <= limits.answer_mb * MB and (part := pipe.read1(1 << 20)):  # type: ignore[attr-defined]
            answer += part


def _watch(child: subprocess.Popen[bytes], reader: threading.Thread, most: int, until: float) -> str:
    """Wait until the child has answered or must be ended; how it must be ended, "" where it need not be."""
    memory = _memory_of(child.pid)
    while reader.is_alive():
        reader.join(_LOOK_S if memory else max(0.0, until - time.monotonic()))
        if reader.is_alive() and time.monotonic() >= until:
            return "time"
        if memory and memory() > most:
            return "memory"
    return ""  # it has closed its end, and ends itself right after


def _memory_of(pid: int) -> Callable[[], int] | None:
    """What a process holds in memory, bytes; None where the system itself holds it to its limit."""
    if _HOLDS:
        return None
    import psutil

    process = psutil.Process(pid)

    def held() -> int:
        try:
            return int(process.memory_info().rss)
        except psutil.Error:  # it has ended
            return 0

    return held


def _ending(child: subprocess.Popen[bytes], most: int) -> str:
    """Wait for the end of a child; "" where it answered, otherwise "memory", "time" or "crash".

    A native library that gets no memory ends its process as any crash does: such an end counts as one for memory where
    the child held nearly all that it may, and more than this process ever did, which the system counts with the child.
    """
    held = 0
    if hasattr(os, "wait4"):
        import resource

        own = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
        last = threading.Timer(
            _ONE_MORE_S, os.kill, (child.pid, signal.SIGKILL)
        )  # it has closed its pipe, and lives on
        last.start()
        _, status, used = os.wait4(child.pid, 0)
        last.cancel()
        child.returncode = os.waitstatus_to_exitcode(status)
        held = (used.ru_maxrss if used.ru_maxrss > own else 0) * (1 if sys.platform == "darwin" else 1024)
    code = child.wait(_ONE_MORE_S)
    if code == 0:
        return ""
    if code == _MEMORY_CODE:
        return "memory"
    if code == -getattr(signal, "SIGXCPU", 0):
        return "time"
    return "memory" if held > _NEAR * most else "crash"


# In the child.

_MEMORY_CODE = 77


def _serve() -> None:
    """Run what was asked for, and answer. What a library prints goes nowhere."""
    global _inside
    _inside = True
    import pickle

    answer = os.dup(1)
    os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
    module, name, file, asked = pickle.load(sys.stdin.buffer)
    read = getattr(import_module(module), name)
    _limit(file.limits, _size(file))
    try:
        with held_to(file.limits):
            found = packed(("value", read(file, *asked)))
    except FaultError as fault:
        short = fault.message.id == "file-too-much"
        found = b"" if short else packed(("fault", fault))
    except MemoryError:
        found = b""
    except Exception:
        import traceback

        found = packed(("broken", traceback.format_exc()))
    if not found:
        os._exit(_MEMORY_CODE)
    with os.fdopen(answer, "wb") as pipe:
        pipe.write(found)
    os._exit(0)  # what a library would do on its way out is nobody's concern


def _limit(limits: Limits, size: int) -> None:
    """Hold this process to its limits, counted from what it has taken up to now."""
    with suppress(ImportError):
        import resource

        used = resource.getrusage(resource.RUSAGE_SELF)
        seconds = int(used.ru_utime + used.ru_stime + limits.seconds_of(size)) + 1
        for name, soft, hard in (
            ("RLIMIT_CORE", 0, 0),
            ("RLIMIT_CPU", seconds, seconds + _ONE_MORE_S),
            ("RLIMIT_FSIZE", _LARGEST_FILE, _LARGEST_FILE),
            ("RLIMIT_AS", (most := _address_space() + limits.memory_of(size)), most),
        ):
            with suppress(ValueError, OSError, AttributeError):  # a lower limit holds already, or the system has none
                resource.setrlimit(getattr(resource, name), (soft, hard))


def _address_space() -> int:
    """Bytes of address space that this process has taken; 0 where the system does not say."""
    try:
        return int(read_bytes(Path("/proc/self/statm")).split()[0]) * os.sysconf("SC_PAGE_SIZE")
    except (OSError, ValueError):
        return 0
