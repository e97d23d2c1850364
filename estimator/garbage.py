"""When Python looks for garbage: not while a job is read, estimated or written."""

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def without_collection() -> Iterator[None]:
    """No search for cyclic garbage meanwhile: millions of small results live on to the end, and looking through them
    again and again is a fifth of the work. Afterwards they count as old, which spares the search through all of them
    that would follow at once."""
    was_enabled = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_enabled:
            gc.freeze()
            gc.unfreeze()
            gc.enable()
