"""Estimate a job of lightweight cast pieces: volumes, mix, order, price, weight and handling.

>>> from estimator import estimate, load_job
>>> done = estimate(load_job("examples/boathouse/job.toml"))
>>> done.pieces["C1"].weight.lift_kg > done.pieces["C1"].weight.installed_kg
True
"""

import sys
from types import ModuleType
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from estimator.api import Estimate, Fault, InputError, Job, estimate, job_from, load_job

__all__ = ["Estimate", "Fault", "InputError", "Job", "estimate", "job_from", "load_job"]


class _Package(ModuleType):
    """Module type of the package that imports the public names on first use, so that `--help` prints at once.

    It also keeps `estimate` the function: the import system would otherwise replace it with the module of that name.
    """

    def __getattr__(self, name: str) -> Any:
        if name not in __all__:
            raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
        from estimator import api

        return getattr(api, name)

    def __setattr__(self, name: str, value: Any) -> None:
        if not (name == "estimate" and isinstance(value, ModuleType)):
            super().__setattr__(name, value)

    def __dir__(self) -> list[str]:
        return sorted({*super().__dir__(), *__all__})


sys.modules[__name__].__class__ = _Package
