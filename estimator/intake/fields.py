"""What all tables of the job file share: unknown keys are refused, values are frozen; and the currency."""

from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict

from estimator.errors import FaultError
from estimator.keys import Checked
from estimator.money import CURRENCIES

SHARES_TOLERANCE = 1e-6  # shares that miss 1 by less were rounded, not mistaken


class Table(BaseModel):
    """A TOML table with a fixed set of keys."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=False, str_strip_whitespace=True)


def _currency(value: Any) -> Any:
    if not isinstance(value, str) or value not in CURRENCIES:
        what = f"{value!r} is not a currency of ISO 4217.".replace("'", '"')
        raise FaultError("", what, _currency_fix(value))
    return value


def _currency_fix(value: Any) -> str:
    """A fix for a currency code that does not exist."""
    code = str(value).upper()
    if code in CURRENCIES:
        return f'Write "{code}".'
    return 'Write its code of three capital letters, such as "USD" or "EUR".'


Currency = Annotated[str, Checked(_currency, "code of three capital letters", "USD", (("enum", sorted(CURRENCIES)),))]
