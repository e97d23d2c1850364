"""Field types of the job file: text with a unit in, SI float out, with a fault that says how to fix it."""

from collections.abc import Callable
from datetime import date, datetime
from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, PlainValidator, WithJsonSchema
from pydantic_core import PydanticCustomError

from estimator.errors import FaultError
from estimator.money import CURRENCIES
from estimator.names import tidy
from estimator.units import Kind, read_quantity, read_ratio

SHARES_TOLERANCE = 1e-6  # shares that miss 1 by less were rounded, not mistaken


def _tidied(value: Any) -> Any:
    return tidy(value) if isinstance(value, str) else value


Name = Annotated[str, BeforeValidator(_tidied), Field(min_length=1, max_length=200)]


class Table(BaseModel):
    """A TOML table with a fixed set of keys."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=False, str_strip_whitespace=True)


DEAREST = 1e9  # beyond it cents are not kept exactly
UNIT_M = {"mm": 0.001, "cm": 0.01, "m": 1.0, "in": 0.0254, "ft": 0.3048}


def fault(what: str, fix: str = "") -> PydanticCustomError:
    """An error whose two halves, what is wrong and how to fix it, survive pydantic's own wording."""
    return PydanticCustomError("fault", "{what} {fix}", {"what": what, "fix": fix})


def read_coordinate(value: str | int | float, unit: str | None) -> float:
    """A coordinate in metres: text with its unit, or a bare number in `unit`. Raises FaultError.

    >>> round(read_coordinate("1 in", None), 4), round(read_coordinate(2, "ft"), 4)
    (0.0254, 0.6096)
    """
    if isinstance(value, str):
        return read_quantity(value, "length", negative=True)
    if value == 0:
        return 0.0
    if unit is None:
        raise FaultError("", f"{value:g} has no unit.", f'Write "{value:g} in" or "{value:g} mm", or give `unit`.')
    return float(value) * UNIT_M[unit]


def _quantity(kind: Kind, *, zero: bool, negative: bool) -> Callable[[Any], float]:
    def read(value: Any) -> float:
        try:
            number = read_quantity(value, kind, negative=negative)
        except FaultError as error:
            raise fault(error.what, error.fix) from None
        if number == 0.0 and not zero:
            raise fault(f'"{value}" must be more than zero.', "Give a positive quantity.")
        return number

    return read


def _field(kind: Kind, example: str, meaning: str = "", *, zero: bool = False, negative: bool = False) -> Any:
    schema = {"type": "string", "description": meaning or f"{kind} with its unit", "examples": [example]}
    return Annotated[float, PlainValidator(_quantity(kind, zero=zero, negative=negative)), WithJsonSchema(schema)]


def _share(*, above_one: bool) -> Callable[[Any], float]:
    def read(value: Any) -> float:
        try:
            return read_ratio(value, above_one=above_one)
        except FaultError as error:
            raise fault(error.what, error.fix) from None

    return read


def _price(value: Any) -> Any:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise fault(f"{value!r} is not a price.", "Write a bare number in the job's currency, such as 9.50.")
    if not 0 <= value < float("inf"):
        raise fault(f"{value} is not a price a supplier can ask.", "Write a price of zero or more.")
    if value > DEAREST:
        raise fault(f"{value:g} is too large a price to reckon with.", f"Write {DEAREST:g} or less.")
    return value


def _count(value: Any) -> Any:
    if isinstance(value, bool) or not isinstance(value, int):
        raise fault(f"{value!r} is not a whole number.", "Write a whole number such as 2.")
    return value


def _one_or_more(value: Any) -> Any:
    if _count(value) < 1:
        raise fault(f"{value} is less than one.", "Write 1 or more.")
    return value


def _currency(value: Any) -> Any:
    if not isinstance(value, str) or value not in CURRENCIES:
        raise fault(f"{value!r} is not a currency of ISO 4217.".replace("'", '"'), _currency_mend(value))
    return value


def _currency_mend(value: Any) -> str:
    """A fix for a currency code that does not exist."""
    code = str(value).upper()
    if code in CURRENCIES:
        return f'Write "{code}".'
    return 'Write its code of three capital letters, such as "USD" or "EUR".'


def _date(value: Any) -> Any:
    if isinstance(value, date) and not isinstance(value, datetime):
        return value.isoformat()
    try:
        return date.fromisoformat(value).isoformat()
    except (TypeError, ValueError):
        raise fault(f'"{value}" is not a date.', 'Write year, month and day: "2026-03-02".') from None


Length = _field("length", "25-1/2 in")
Reach = _field("length", "0 in", zero=True)  # a length that may be nothing
Offset = _field("length", "0 in", zero=True, negative=True)
Gap = _field("length", "1/32 in", "ends of drawn lines nearer than this are one point; 0.1 mm unless given")
Area = _field("area", "12 ft^2")
Volume = _field("volume", "3 ft^3")
VolumeOrNone = _field("volume", "0 ft^3", zero=True)
Mass = _field("mass", "94 lb")
MassOrNone = _field("mass", "0 lb", zero=True)
Density = _field("density", "100 lb/ft^3")
Time = _field("time", "30 min")
Pressure = _field("pressure", "6 MPa")
Angle = _field("angle", "60 deg")
ArealMass = _field("areal-mass", "100 lb/ft^2")
Force = _field("force", "60 lbf")
Coverage = _field("coverage", "200 ft^2/gal")
Temperature = _field("temperature", "70 °F", zero=True, negative=True)
TimeOrNone = _field("time", "0 min", zero=True)
Speed = _field("speed", "1 mph", zero=True)
ThermalResistance = _field("thermal-resistance", "0.5 m^2*K/W")
SpecificSurface = _field("specific-surface", "370 m^2/kg")

Ratio = Annotated[
    float,
    PlainValidator(_share(above_one=False)),
    WithJsonSchema({"description": "a bare number from 0 to 1, or text with %", "examples": [0.07, "7 %"]}),
]
Proportion = Annotated[
    float,
    PlainValidator(_share(above_one=True)),
    WithJsonSchema({"description": "a bare number, which may be above 1, or text with %", "examples": [0.34]}),
]
Price = Annotated[float, BeforeValidator(_price)]
Currency = Annotated[str, BeforeValidator(_currency), WithJsonSchema({"type": "string", "enum": sorted(CURRENCIES)})]
Date = Annotated[str, BeforeValidator(_date), WithJsonSchema({"type": "string", "format": "date"})]
Count = Annotated[int, BeforeValidator(_one_or_more), Field(ge=1)]
WholeNumber = Annotated[int, BeforeValidator(_count), Field(ge=0)]
RelativeDensity = Annotated[float, Field(gt=0.0, le=25.0)]
Coordinate = str | int | float  # a quantity, or a bare number where the shape gives `unit`
