"""Readers that behave as a hostile file could make them, for `test_apart.py`; a child process imports them."""

from __future__ import annotations

import ctypes
import os
import time

import numpy as np

from geometry.errors import FaultError
from geometry.files import InputFile
from geometry.message import message


def returns(_file: InputFile, value: object) -> object:
    return value


def refuses(_file: InputFile) -> None:
    raise FaultError("layer", message("drawing-no-unit", x="1", y="2", sizes=("a", "b")))


def breaks(_file: InputFile) -> None:
    raise KeyError("ours")


def reads_null(_file: InputFile) -> None:
    ctypes.string_at(0)


def aborts(_file: InputFile) -> None:
    os.abort()


def leaves(_file: InputFile, code: int) -> None:
    os._exit(code)


def writes_nonsense(_file: InputFile) -> None:
    for number in range(3, 20):
        try:
            os.write(number, b"nonsense")
        except OSError:
            continue
    os._exit(0)


def prints(_file: InputFile) -> str:
    os.write(1, b"noise of a library")
    print("more of it")
    return "quiet"


def fills_memory(_file: InputFile) -> None:
    held = []
    while True:
        held.append(np.ones(1 << 22))


def fills_memory_natively(_file: InputFile) -> None:
    """Like a C++ library: it gets no more memory, and ends the process."""
    allocate = ctypes.CDLL(None).malloc
    allocate.restype = ctypes.c_void_p
    while place := allocate(ctypes.c_size_t(1 << 24)):
        ctypes.memset(place, 1, 1 << 24)
    os.abort()


def holds(_file: InputFile, count: int) -> None:
    held = bytearray(count)
    held[:] = b"x" * count
    time.sleep(1e6)


def turns_for_ever(_file: InputFile) -> None:
    while True:
        pass


def sleeps_for_ever(_file: InputFile) -> None:
    time.sleep(1e6)


def closes_its_pipe_and_stays(_file: InputFile) -> None:
    for number in range(3, 20):
        try:
            os.close(number)
        except OSError:
            continue
    time.sleep(1e6)


def answers_for_ever(_file: InputFile) -> np.ndarray:
    return np.zeros(1 << 22)


def names_a_program(_file: InputFile) -> object:
    return os.system


def asks_for_another(file: InputFile) -> int:
    from geometry.apart import apart

    return apart(process, file)


def process(_file: InputFile) -> int:
    return os.getpid()
