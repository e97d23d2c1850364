"""Pausing of Python's garbage collector while a job is read, estimated or written."""

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def without_collection() -> Iterator[None]:
    """Disable the cyclic garbage collector within the context.

    Millions of small results live until the end, and scanning them again and again takes a fifth of the time. On exit
    they are moved to the oldest generation, which avoids an immediate scan of all of them.
    """
    was_enabled = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_enabled:
            gc.freeze()
            gc.unfreeze()
            gc.enable()
