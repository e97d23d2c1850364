"""What all tables of the job file share: unknown keys are refused, values are frozen."""

from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

from estimator.names import tidy

SHARES_TOLERANCE = 1e-6  # shares that miss 1 by less were rounded, not mistaken


def _tidied(value: Any) -> Any:
    return tidy(value) if isinstance(value, str) else value


Name = Annotated[str, BeforeValidator(_tidied), Field(min_length=1, max_length=200)]


class Table(BaseModel):
    """A TOML table with a fixed set of keys."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=False, str_strip_whitespace=True)
