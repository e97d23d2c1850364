"""Meaning and notation of the keys of the job file, declared once, at the field that holds the value.

A table of the job file is a frozen class with fields such as `Annotated[Length, Key("Length along x.", "72 in")]`. The
class does not import pydantic. The types in this module give pydantic their schema when `estimator.intake` reads a
file. The JSON Schema describes every key with the same text.
"""

from collections.abc import Callable
from dataclasses import fields
from datetime import date, datetime
from functools import cache, lru_cache
from types import MappingProxyType
from typing import (
    Annotated,
    Any,
    Literal,
    TypeVar,
    dataclass_transform,
    get_args,
    get_origin,
    get_type_hints,
)

from estimator.names import in_document_spelling, quoted, tidy
from estimator.workshop import SUFFIXES
from geometry.errors import UNIT_M, FaultError
from geometry.files import limits
from geometry.frozen import frozen
from geometry.message import Message, message

KIND = "x-kind"  # in the raw JSON Schema: how a value is written, later merged into the description of its key
OF_TABLE = "."  # first character of the key of a fault that concerns the whole table around the value
UNLESS = "x-unless"  # in the raw JSON Schema: what applies if the key is left out
FILL = "fill"  # amount of the one aggregate that fills the volume left by the others
DEAREST = 1e9  # above it cents are not represented exactly
UnitName = Literal["mm", "cm", "m", "in", "ft"]


RATES = MappingProxyType({"evaporation": "evaporation rate", "heat-transfer": "heat transfer coefficient"})
"""Names of kinds of quantity in descriptions, where they are not the kind itself."""


def with_unit(kind: str) -> str:
    """How a quantity of this kind is written, for the description of a key."""
    return f"{RATES.get(kind, kind.replace('-', ' '))} with its unit"


@frozen
class Key:
    """Description of a key for the author of a job file.

    text     one or two sentences in trade English
    example  a value as written in the file; None: the example of its type
    unless   what applies if the key is left out and the field has no default that says so
    key      name in the job file, if it is not the name of the field without its unit
    """

    text: str
    example: Any = None
    unless: str = ""
    key: str = ""

    def __get_pydantic_json_schema__(self, core: Any, handler: Any) -> dict[str, Any]:
        schema = dict(handler(core))
        schema["description"] = self.text
        if self.example is not None:
            schema["examples"] = [self.example]
        if self.unless:
            schema[UNLESS] = self.unless
        return schema


T = TypeVar("T")
TABLES: list[type] = []
"""All classes that are tables of the job file."""


@dataclass_transform(frozen_default=True)
def table(*, kw_only: bool = False) -> Callable[[type[T]], type[T]]:
    """Decorator that makes a class a frozen dataclass and a table of the job file that rejects unknown keys.

    A key is the name of its field without the unit, in the spelling of the job file.
    """

    def decorate(cls: type[T]) -> type[T]:
        model = frozen(kw_only=kw_only)(cls)
        config = {"extra": "forbid", "str_strip_whitespace": True, "alias_generator": lambda name: key_of(model, name)}
        model.__pydantic_config__ = config  # type: ignore[attr-defined]
        TABLES.append(model)
        return model

    return decorate


@frozen
class ByKind:
    """One of several tables, chosen by its key `kind`."""

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> Any:
        from pydantic_core import core_schema

        choices = {kind: handler.generate_schema(table) for table in get_args(source) for kind in kinds_of(table)}
        return core_schema.tagged_union_schema(choices, "kind")


def kinds_of(table: type) -> tuple[str, ...]:
    """Values of the key `kind` that a table may have; none for a table without that key."""
    kind = next((item.type for item in fields(table) if item.name == "kind"), None)
    while get_origin(kind) is Annotated:
        kind = get_args(kind)[0]
    return get_args(kind) if get_origin(kind) is Literal else ()


def key_of(cls: type, name: str) -> str:
    """Key in the job file of the field `name` of a table."""
    return _keys_of(cls)[name]


@cache
def _keys_of(cls: type) -> dict[str, str]:
    hints = get_type_hints(cls, include_extras=True)
    named = {name: [mark.key for mark in get_args(hint) if isinstance(mark, Key)] for name, hint in hints.items()}
    return {item.name: "".join(named[item.name]) or _without_unit(item.name) for item in fields(cls)}


def _without_unit(name: str) -> str:
    unit = next((unit for unit in UNITS if name.endswith(f"_{unit}")), "")
    return in_document_spelling(name.removesuffix(f"_{unit}") if unit else name)


UNITS = sorted((*SUFFIXES.values(), "m2_m3", "m2k_w"), key=len, reverse=True)


@frozen
class Quantity:
    """Text with a unit, converted to SI by the grammar of `estimator.units`.

    zero, negative  whether it may be zero or negative
    """

    kind: str
    example: str
    zero: bool = False
    negative: bool = False

    def read(self, value: Any) -> float:
        """`value` in SI. Raises FaultError."""
        from estimator.units import read_quantity

        number = read_quantity(value, self.kind, negative=self.negative)  # type: ignore[arg-type]
        if number == 0.0 and not self.zero:
            example = message("in-units", imperial=self.example, metric=usual_metric(self.kind))
            raise FaultError("", message("quantity-zero", value=str(value), example=example))
        return number

    def __get_pydantic_core_schema__(self, _source: Any, _handler: Any) -> Any:
        from pydantic_core import core_schema

        known = lru_cache(maxsize=4096)(self.read)  # a schedule repeats the same sizes
        return core_schema.no_info_plain_validator_function(
            lambda value: known(value) if isinstance(value, str) else self.read(value)
        )

    def __get_pydantic_json_schema__(self, _core: Any, _handler: Any) -> dict[str, Any]:
        return {"type": "string", "examples": [self.example], KIND: with_unit(self.kind)}


@frozen
class Share:
    """A bare number, or text with %. A share is at most 1; a ratio may exceed it."""

    above_one: bool = False

    def read(self, value: Any) -> float:
        """`value` as a fraction of 1. Raises FaultError."""
        from estimator.units import read_ratio

        return read_ratio(value, above_one=self.above_one)

    def __get_pydantic_core_schema__(self, _source: Any, _handler: Any) -> Any:
        from pydantic_core import core_schema

        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(self, _core: Any, _handler: Any) -> dict[str, Any]:
        kind = (
            "bare number, which may exceed 1, or text with %"
            if self.above_one
            else "number from 0 to 1, or text with %"
        )
        return {"type": ["number", "string"], "examples": [0.34 if self.above_one else 0.07], KIND: kind}


@frozen
class VolumeDose:
    """Dose of a liquid as its manufacturer states it: volume of product per mass of cementitious, m³/kg."""

    m3_kg: float


class DoseOfMass:
    """A share by mass, or text with a volume of product per mass of cementitious."""

    def read(self, value: Any) -> float | VolumeDose:
        """`value` as a share or as a volume dose. Raises FaultError."""
        from estimator.units import read_quantity, read_ratio

        if isinstance(value, str) and any(letter.isalpha() for letter in value):
            return VolumeDose(read_quantity(value, "volume-per-mass"))
        return read_ratio(value)

    def __get_pydantic_core_schema__(self, _source: Any, _handler: Any) -> Any:
        from pydantic_core import core_schema

        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(self, _core: Any, _handler: Any) -> dict[str, Any]:
        kind = "number from 0 to 1, text with %, or a liquid's volume per mass of cementitious"
        return {"type": ["number", "string"], "examples": [0.028, "8 fl oz/cwt"], KIND: kind}


class DensityOrFill:
    """Mass per volume of concrete, or "fill" for the one aggregate that fills the remaining volume."""

    def read(self, value: Any) -> float | str:
        """`value` in kg/m³, or "fill". Raises FaultError."""
        return FILL if value == FILL else Quantity("density", "100 lb/ft^3").read(value)

    def __get_pydantic_core_schema__(self, _source: Any, _handler: Any) -> Any:
        from pydantic_core import core_schema

        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(self, _core: Any, _handler: Any) -> dict[str, Any]:
        return {"type": "string", "examples": ["100 lb/ft^3", FILL], KIND: 'density with its unit, or "fill"'}


@frozen
class Checked:
    """A plain value preprocessed by `check`, which returns the value to use or raises FaultError.

    form  entries of the JSON Schema besides its type
    """

    check: Callable[[Any], Any]
    kind: str
    example: Any
    form: tuple[tuple[str, Any], ...] = ()

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> Any:
        from pydantic_core import core_schema

        return core_schema.no_info_before_validator_function(self.check, handler(source))

    def __get_pydantic_json_schema__(self, core: Any, handler: Any) -> dict[str, Any]:
        return {**handler(core), **dict(self.form), "examples": [self.example], KIND: self.kind}


@frozen
class After:
    """A check of a parsed value.

    check     returns what is wrong, or None
    of_table  whether the fault concerns the table that holds the value
    """

    check: Callable[[Any], Message | None]
    of_table: bool = False

    def _checked(self, value: Any) -> Any:
        problem = None if value is None else self.check(value)
        if problem:
            raise FaultError(OF_TABLE if self.of_table else "", problem)
        return value

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> Any:
        from pydantic_core import core_schema

        return core_schema.no_info_after_validator_function(self._checked, handler(source))


@frozen
class AtLeast:
    """Minimum number of entries of a list."""

    count: int

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> Any:
        return {**handler(source), "min_length": self.count}


@frozen
class Coordinates:
    """A point or a list of points; a coordinate is a quantity, or a bare number in the unit of the table's key `unit`.

    size  number of coordinates of a point
    many  whether it is a list
    """

    size: int
    many: bool = False

    def read(self, value: Any, unit: str | None) -> Any:
        """`value` in meters. Raises FaultError."""
        try:
            if self.many:
                return tuple(tuple(read_coordinate(number, unit) for number in place) for place in value)
            return tuple(read_coordinate(number, unit) for number in value)
        except FaultError as error:
            raise FaultError(f"{OF_TABLE}at", error.message) from None

    def __get_pydantic_core_schema__(self, source: Any, _handler: Any) -> Any:
        from pydantic_core import core_schema

        number = core_schema.union_schema(
            [core_schema.str_schema(), core_schema.int_schema(), core_schema.float_schema()]
        )
        plain = core_schema.list_schema(number, min_length=self.size, max_length=self.size)
        plain = core_schema.list_schema(plain, min_length=1) if self.many else plain
        return core_schema.with_info_after_validator_function(
            lambda value, info: self.read(value, info.data.get("unit")), plain
        )


@frozen
class Text:
    """Non-empty text without invisible characters."""

    most: int = 200
    tidied: bool = True

    def __get_pydantic_core_schema__(self, _source: Any, _handler: Any) -> Any:
        from pydantic_core import core_schema

        plain = core_schema.str_schema(min_length=1, max_length=self.most, strip_whitespace=True)
        return core_schema.no_info_before_validator_function(_tidied, plain) if self.tidied else plain


def _tidied(value: Any) -> Any:
    return tidy(value) if isinstance(value, str) else value


def read_coordinate(value: str | int | float, unit: str | None) -> float:
    """A coordinate in meters, from text with its unit or a bare number in `unit`. Raises FaultError.

    >>> round(read_coordinate("1 in", None), 4), round(read_coordinate(2, "ft"), 4)
    (0.0254, 0.6096)
    """
    from estimator.units import read_quantity

    if isinstance(value, str):
        return read_quantity(value, "length", negative=True)
    if value == 0:
        return 0.0
    if unit is None:
        raise FaultError("", message("coordinate-no-unit", value=str(value)))
    return float(value) * UNIT_M[unit]


def usual_metric(kind: str) -> str:
    """A typical quantity of a kind as written in a metric job."""
    from estimator.units import EXAMPLES

    return EXAMPLES[kind][1]  # type: ignore[index]  # a kind of units


def _price(value: Any) -> Any:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise FaultError("", message("price-not-number", value=quoted(value)))
    if not 0 <= value < float("inf"):
        raise FaultError("", message("price-negative", value=str(value)))
    if value > DEAREST:
        raise FaultError("", message("price-too-large", value=str(value), most=f"{DEAREST:.0f}"))
    return value


def _amount(value: Any) -> Any:
    """A price that may be negative."""
    _price(abs(value) if isinstance(value, int | float) and not isinstance(value, bool) else value)
    return value


FIRST_DAY, LAST_DAY = date(1900, 1, 1), date(2199, 12, 31)
"""First and last allowed day of a job; choice. Leaves room in a date for validity, shelf life and long calendars."""


def _count(value: Any) -> Any:
    if isinstance(value, bool) or not isinstance(value, int):
        raise FaultError("", message("count-not-whole", value=quoted(value)))
    return value


def _one_or_more(value: Any) -> Any:
    if _count(value) < 1:
        raise FaultError("", message("count-below-one", value=value))
    if value > limits().count:
        raise limits().over("count-too-large", "count", value)
    return value


def _date(value: Any) -> Any:
    try:
        day = value if isinstance(value, date) and not isinstance(value, datetime) else date.fromisoformat(value)
    except (TypeError, ValueError):
        raise FaultError("", message("date-unreadable", value=quoted(value))) from None
    if not FIRST_DAY <= day <= LAST_DAY:
        raise FaultError(
            "",
            message("date-out-of-range", value=day.isoformat(), first=FIRST_DAY.isoformat(), last=LAST_DAY.isoformat()),
        )
    return day.isoformat()


def _part(value: Any) -> Any:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise FaultError("", message("parts-not-number", value=quoted(value)))
    if not 0.0 < value < float("inf"):
        raise FaultError("", message("parts-not-positive", value=str(value)))
    return value


Length = Annotated[float, Quantity("length", "25-1/2 in")]
Reach = Annotated[float, Quantity("length", "0 in", zero=True)]  # a length that may be zero
Offset = Annotated[float, Quantity("length", "0 in", zero=True, negative=True)]
Area = Annotated[float, Quantity("area", "12 ft^2")]
Volume = Annotated[float, Quantity("volume", "3 ft^3")]
VolumeOrNone = Annotated[float, Quantity("volume", "0 ft^3", zero=True)]
Mass = Annotated[float, Quantity("mass", "94 lb")]
MassOrNone = Annotated[float, Quantity("mass", "0 lb", zero=True)]
Density = Annotated[float, Quantity("density", "100 lb/ft^3")]
MassPerVolume = Annotated[float | str, DensityOrFill()]
Time = Annotated[float, Quantity("time", "30 min")]
TimeOrNone = Annotated[float, Quantity("time", "0 min", zero=True)]
Pressure = Annotated[float, Quantity("pressure", "6 MPa")]
Angle = Annotated[float, Quantity("angle", "60 deg")]
ArealMass = Annotated[float, Quantity("areal-mass", "100 lb/ft^2")]
Force = Annotated[float, Quantity("force", "60 lbf")]
Coverage = Annotated[float, Quantity("coverage", "200 ft^2/gal")]
Temperature = Annotated[float, Quantity("temperature", "70 °F", zero=True, negative=True)]
Speed = Annotated[float, Quantity("speed", "1 mph", zero=True)]
ThermalResistance = Annotated[float, Quantity("thermal-resistance", "0.5 m^2*K/W")]
SpecificSurface = Annotated[float, Quantity("specific-surface", "370 m^2/kg")]

Ratio = Annotated[float, Share()]
Dose = Annotated[float | VolumeDose, DoseOfMass()]
Proportion = Annotated[float, Share(above_one=True)]
Price = Annotated[
    float, Checked(_price, "bare number in the job's currency", 9.5, (("minimum", 0), ("maximum", DEAREST)))
]
Amount = Annotated[
    float,
    Checked(
        _amount, "bare number in the job's currency, or negative", -150.0, (("minimum", -DEAREST), ("maximum", DEAREST))
    ),
]
Part = Annotated[float, Checked(_part, "bare number of parts", 2, (("exclusiveMinimum", 0),))]
Count = Annotated[int, Checked(_one_or_more, "whole number from 1 on", 2, (("minimum", 1),))]
WholeNumber = Annotated[int, Checked(_count, "whole number", 2, (("minimum", 0),))]
Date = Annotated[str, Checked(_date, "date of year, month and day", "2026-03-02", (("format", "date"),))]
Name = Annotated[str, Text()]
Label = Annotated[str, Text(tidied=False)]
Place = Annotated[tuple[float, float, float], Coordinates(3)]
PlanPlace = Annotated[tuple[float, float], Coordinates(2)]
Points = Annotated[tuple[tuple[float, float], ...], Coordinates(2, many=True)]
Coordinate = str | int | float  # a quantity, or a bare number if the table has `unit`
