"""Read foreign formats in a child process with limits on memory and time.

No `try` catches a crash in a native library. The child runs one function on one file and returns plain values over a
pipe. A crash, an exhausted memory limit and a timeout are each reported as one refusal. Files that the program's own
code parses are read in this process, except for uploads, which always get a child (`Limits.apart_mb = 0`).

Limits on address space, CPU time and file size are set with POSIX rlimits. macOS does not enforce the limit on address
space, and Windows has none of the three; there, this process enforces the timeout and polls the child's memory.
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
"""Formats that the program parses itself, without a native library that could crash."""

_BOOT = "import sys; sys.path[:] = sys.argv[1:]; from geometry.apart import _serve; _serve()"
_GRACE_S = 5  # before a child that ignores SIGXCPU, or has answered but does not exit, is killed
_WALL = 3  # wall-clock timeout as a multiple of the CPU limit, since the machine may be shared
_LARGEST_FILE = 64 << 20  # bytes that a child may write to a file; none of our readers writes any
_POLL_S = 0.05  # between two checks of a child's memory
_NEAR = 0.6  # share of the memory limit
_ENFORCES_MEMORY = sys.platform == "linux"  # whether the system enforces RLIMIT_AS
_in_child = False  # whether this process is such a child


def guarded(read: Callable[..., T], file: InputFile, *arguments: object) -> T:
    """Return `read(file, *arguments)`, run in a child process if the file is large or comes from outside.

    Raises what `read` raises, and FaultError if the file crashes the child or exceeds a limit.
    """
    least = file.limits.apart_mb * MB
    if least and (file.suffix in OWN_FORMATS or _size(file) < least):
        with held_to(file.limits):
            return read(file, *arguments)
    return apart(read, file, *arguments)


def _size(file: InputFile) -> int:
    """Size of a file in bytes; 0 if the file is missing, which its reader will report."""
    try:
        return file.size
    except FaultError:
        return 0


def apart(read: Callable[..., T], file: InputFile, *arguments: object) -> T:
    """Return `read(file, *arguments)`, run in a child process because a bad file may crash a native library.

    read       a function at the top level of its module, which returns plain values, arrays, and classes of
               `geometry.plain`
    arguments  plain values

    Raises what `read` raises, and FaultError if the file crashes the child or exceeds a limit.
    """
    if _in_child:
        return read(file, *arguments)
    import pickle

    request = pickle.dumps((read.__module__, read.__qualname__, file, arguments), protocol=5)
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
    """Fault to report for a child that ended with "memory", "time", "answer" or "crash"."""
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
    """Kind and value of a child's answer: "value", "fault" or "broken"."""
    try:
        kind, value = unpacked(answer)
    except Exception as error:  # a malicious file may make the child write anything
        raise _refusal("crash", file) from error
    return kind, value


def _run(request: bytes, limits: Limits, size: int) -> tuple[str, bytes]:
    """Run a child process; return how it failed ("memory", "time", "answer", "crash"; "" on success) and its answer."""
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
    with suppress(OSError), pipe:  # the child may have died
        pipe.write(request)


def _receive(pipe: IO[bytes], answer: bytearray, limits: Limits) -> None:
    with suppress(OSError):
        while len(answer) <= limits.answer_mb * MB and (part := pipe.read1(1 << 20)):  # type: ignore[attr-defined]
            answer += part


def _watch(child: subprocess.Popen[bytes], reader: threading.Thread, most: int, until: float) -> str:
    """Wait for the child's answer; return "time" or "memory" if it exceeds a limit, otherwise ""."""
    memory = _memory_of(child.pid)
    while reader.is_alive():
        reader.join(_POLL_S if memory else max(0.0, until - time.monotonic()))
        if reader.is_alive() and time.monotonic() >= until:
            return "time"
        if memory and memory() > most:
            return "memory"
    return ""  # the child has closed its pipe and is about to exit


def _memory_of(pid: int) -> Callable[[], int] | None:
    """Function that returns a process's resident memory, bytes; None where the system enforces the limit itself."""
    if _ENFORCES_MEMORY:
        return None
    import psutil

    process = psutil.Process(pid)

    def resident() -> int:
        try:
            return int(process.memory_info().rss)
        except psutil.Error:  # the process has exited
            return 0

    return resident


def _ending(child: subprocess.Popen[bytes], most: int) -> str:
    """Wait for a child to exit; return "" on success, otherwise "memory", "time" or "crash".

    A native library that runs out of memory usually crashes. A crash counts as "memory" if the child's peak memory was
    near its limit. The peak is ignored unless it exceeds this process's own, which a forked child inherits.
    """
    peak = 0
    if hasattr(os, "wait4"):
        import resource

        own = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
        killer = threading.Timer(_GRACE_S, os.kill, (child.pid, signal.SIGKILL))  # if it hangs after closing its pipe
        killer.start()
        _, status, usage = os.wait4(child.pid, 0)
        killer.cancel()
        child.returncode = os.waitstatus_to_exitcode(status)
        peak = (usage.ru_maxrss if usage.ru_maxrss > own else 0) * (1 if sys.platform == "darwin" else 1024)
    code = child.wait(_GRACE_S)
    if code == 0:
        return ""
    if code == _MEMORY_CODE:
        return "memory"
    if code == -getattr(signal, "SIGXCPU", 0):
        return "time"
    return "memory" if peak > _NEAR * most else "crash"


# In the child

_MEMORY_CODE = 77


def _serve() -> None:
    """Run the requested function and write its result to the pipe. Library output to stdout is discarded."""
    global _in_child
    _in_child = True
    import pickle

    answer = os.dup(1)
    os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
    module, name, file, arguments = pickle.load(sys.stdin.buffer)
    read = getattr(import_module(module), name)
    _limit(file.limits, _size(file))
    try:
        with held_to(file.limits):
            result = packed(("value", read(file, *arguments)))
    except FaultError as fault:
        out_of_memory = fault.message.id == "file-too-much"
        result = b"" if out_of_memory else packed(("fault", fault))
    except MemoryError:
        result = b""
    except Exception:
        import traceback

        result = packed(("broken", traceback.format_exc()))
    if not result:
        os._exit(_MEMORY_CODE)
    with os.fdopen(answer, "wb") as pipe:
        pipe.write(result)
    os._exit(0)  # skip the exit handlers of native libraries


def _limit(limits: Limits, size: int) -> None:
    """Set this process's limits, counted from its usage so far."""
    with suppress(ImportError):
        import resource

        used = resource.getrusage(resource.RUSAGE_SELF)
        seconds = int(used.ru_utime + used.ru_stime + limits.seconds_of(size)) + 1
        for name, soft, hard in (
            ("RLIMIT_CORE", 0, 0),
            ("RLIMIT_CPU", seconds, seconds + _GRACE_S),
            ("RLIMIT_FSIZE", _LARGEST_FILE, _LARGEST_FILE),
            ("RLIMIT_AS", (most := _address_space() + limits.memory_of(size)), most),
        ):
            with suppress(
                ValueError, OSError, AttributeError
            ):  # a lower limit is already set, or the system has no such limit
                resource.setrlimit(getattr(resource, name), (soft, hard))


def _address_space() -> int:
    """Address space that this process uses, bytes; 0 where the system does not report it."""
    try:
        return int(read_bytes(Path("/proc/self/statm")).split()[0]) * os.sysconf("SC_PAGE_SIZE")
    except (OSError, ValueError):
        return 0
