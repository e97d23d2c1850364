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


MOST_GARBAGE = 200_000  # objects that one piece of work may leave before garbage is looked for


@contextmanager
def collection_on_call() -> Iterator[None]:
    """Cyclic garbage is looked for where `collect` is called, not meanwhile, and never in what stands before.

    A search through the estimate and half a paper finds nothing and takes a tenth of the time.
    """
    was_enabled = gc.isenabled()
    gc.disable()
    gc.freeze()
    try:
        yield
    finally:
        gc.unfreeze()
        if was_enabled:
            gc.enable()


def collect() -> None:
    """Looks for cyclic garbage where there may be much."""
    if gc.get_count()[0] > MOST_GARBAGE:
        gc.collect()


_last: list[object] = []


def not_freed(result: object) -> None:
    """Keeps a result until the next one, or until the process ends at once: to free it object by object takes time."""
    _last[:] = [result]
