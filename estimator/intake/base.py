"""What all tables of the job file share: unknown keys are refused, values are frozen."""

from pydantic import BaseModel, ConfigDict


class Table(BaseModel):
    """A TOML table with a fixed set of keys."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=False, str_strip_whitespace=True)
