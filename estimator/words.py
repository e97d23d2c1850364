"""Formatting of messages and figures for people, in one language, one system of units and one currency."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import field
from datetime import date
from decimal import Decimal
from functools import cache
from math import ceil, floor, inf, log10
from types import MappingProxyType
from typing import Any, Literal, Protocol

from estimator.catalog import SOURCE, catalog
from estimator.constants import (
    CUBIC_YARD_M3,
    FOOT_M,
    GALLON_M3,
    HOUR_S,
    INCH_M,
    POUND_FORCE_N,
    POUND_KG,
    POUND_PER_FOOT2_KG_M2,
    PSI_PA,
    SQUARE_FOOT_M2,
    STANDARD_GRAVITY_M_S2,
)
from estimator.units import (
    Units,
    format_area,
    format_areal_mass,
    format_density,
    format_length,
    format_mass,
    format_percent,
    format_pressure,
    format_temperature,
    format_volume,
)
from geometry.frozen import frozen
from geometry.message import Message

MPH_M_S = 5280 * FOOT_M / HOUR_S
BTU_H_FT2_F_W_M2_K = 1055.056 / HOUR_S / SQUARE_FOOT_M2 * 1.8  # the Btu of ISO 31-4, 1055.056 J
MINUS = "−"
"""Sign of a negative figure, which no reader takes for a hyphen."""

TOUCHING_M = 1e-6  # a length below it is 0
FULL_TOLERANCE = 0.01  # of a bucket; too little to see
KEY = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
"""Pattern of the key of a material or a mix; any other text is a title."""

PERCENT = re.compile(r"(?<=\d)%")
"""Percent sign after a number in the catalog's name of a mix."""

NUMBER_SIGNS: Mapping[str, tuple[str, str]] = MappingProxyType(
    {"en-US": (",", "."), "en-GB": (",", "."), "es": (".", ","), "de": (".", ",")}
)
"""Thousands separator and decimal sign of each language: those of babel, which takes 20 ms to load."""

OWN_NUMBERS = frozenset({"de"})
"""Languages with one number format. Spanish is written with a point or a comma, by country, so it takes the job's."""

DATE_STYLES: Mapping[str, Literal["medium", "long"]] = MappingProxyType({"de": "medium"})
"""Style in which a language dates a letter, if not the long one: 02.03.2026 in German."""

SOUND_OF_I = re.compile(r"h?[ií](?![aeoáéó])", re.IGNORECASE)
"""A Spanish word that begins with the sound of i: "izquierda", not "hielo"."""
MOST_PARTS = 1000

QUOTED = "text"
"""Name of the value whose message also supplies the attributes of the message around it."""
HIGH, LOW = ("high_", "most_"), ("low_", "least_")
"""Prefixes of names of values that round up, or down."""


class Named(Protocol):
    """A material or a mix: `label` is its title, or its key."""

    @property
    def label(self) -> str: ...


class JobLike(Protocol):
    """The properties of a job that decide its words."""

    @property
    def units(self) -> Units: ...
    @property
    def currency(self) -> str: ...
    @property
    def language(self) -> str: ...
    @property
    def crew_language(self) -> str: ...
    @property
    def client_language(self) -> str: ...


@frozen
class Words:
    """Formatter of messages and figures in one language, one system of units and one currency.

    language   of the text
    numbers    language of the number format, None for `language`; a reader of Spanish has the job's
    exact      whether figures have the digits that tell a mistake, as in faults: lengths all of them, others enough to
               differ from 0 and from each other
    parts      texts of messages within others, which large jobs repeat: the board in "S12 front edge"

    >>> Words("imperial", "USD").mass(762.0, up=True), Words("metric", "EUR", "en-GB").share(0.07)
    ('1,680 lb', '7\xa0%')
    """

    units: Units
    currency: str
    language: str = SOURCE
    numbers: str | None = None
    exact: bool = False
    parts: dict[Message, str] = field(default_factory=dict, init=False, repr=False, compare=False)

    def __call__(self, id: str, attribute: str | None = None, /, **values: Any) -> str:
        """The message of this id with its values, each formatted by the suffix of its name (see FIGURES).

        attribute   an attribute of the message to return instead of its text, such as "fix"

        A message may also use `$units`, "imperial" or "metric", for its examples.

        >>> Words("imperial", "USD")("crew", people=2)
        '2 people'
        """
        return self._filled(id, attribute, values.items())

    def _filled(self, id: str, attribute: str | None, values: Iterable[tuple[str, Any]]) -> str:
        filled: dict[str, Any] = {"units": self.units}
        figures: list[tuple[str, float]] = []
        for name, value in values:
            if type(value) is str:  # most values are
                text = _manner(name).text
                filled[name] = value if text is None else text(self, value)
            else:
                filled[name] = self._value(name, value, attribute)
                if self.exact and isinstance(value, float) and _suffix(name) in EXACT:
                    figures.append((name, value))
        if figures:
            filled |= self._told_apart(figures, filled)
        return catalog(self.language).text(id, filled, attribute)

    def text(self, message: Message | str, attribute: str | None = None) -> str:
        """A message as text, or the attribute that its id names ("caution-stairs.why"); a string is left unchanged."""
        if isinstance(message, str):
            return message
        id, part = message.id, attribute
        if "." in id:
            id, _, own = id.partition(".")
            part = attribute or own
        return self._filled(id, part, message.values)

    def name(self, thing: Named) -> str:
        """Name of a material or a mix on papers: its title, or the catalog's name for its key."""
        return self.named(thing.label)

    def named(self, label: str) -> str:
        """A title unchanged; for a key, its name in the catalog with percents in the style of the language, else words.

        >>> words = Words("metric", "EUR", "en-GB")
        >>> words.named("grey-cement"), words.named("my-own-mix"), words.named("Sand, 30 mesh")
        ('Grey portland cement', 'My own mix', 'Sand, 30 mesh')
        """
        if KEY.fullmatch(label) is None:
            return label
        id = f"name-{label}"
        if catalog(self.language).has(id):
            return PERCENT.sub(f"{self._percent_gap}%", self(id))
        text = label.replace("-", " ")
        return text[:1].upper() + text[1:]

    def term(self, text: str) -> str:
        """A paragraph of a quote's terms: one of the catalog's by its key, any other as the shop wrote it.

        >>> Words("imperial", "USD").term("term-trivets")
        'Use cutting boards and trivets. Knives and hot pans mark the sealer.'
        """
        name = text.removeprefix("term-")
        return self(f"term-{name}") if name != text and catalog(self.language).has(text) else text

    def series(self, items: Iterable[str | Message]) -> str:
        """Items as a list: "A, B and C". Spanish says "e" for "y" before the sound of i.

        >>> Words("metric", "EUR", "es").series(["frente", "izquierda"])
        'frente e izquierda'
        """
        from babel.lists import format_list

        texts = [self.text(item) for item in items]
        listed = format_list(texts, locale=self.language.replace("-", "_"))
        if self.language == "es" and len(texts) > 1 and SOUND_OF_I.match(texts[-1]):
            return f"{listed.removesuffix(f' y {texts[-1]}')} e {texts[-1]}"
        return listed

    def shown(self, name: str, value: Any) -> tuple[str, str]:
        """What a figure is called without its unit, and its value in the style of that name.

        >>> Words("imperial", "USD").shown("gross_kg", 18.144)
        ('gross', '40 lb')
        """
        unit = next((suffix for suffix, _ in FIGURES if name.endswith(suffix)), "")
        return name.removesuffix(unit).replace("_", " "), str(self._value(name, value, None))

    def _value(self, name: str, value: Any, attribute: str | None) -> Any:
        manner = _manner(name)
        if isinstance(value, str):
            return manner.text(self, value) if manner.text else value
        if isinstance(value, Message):
            text = self._part(value) if attribute is None else self.text(value, attribute)
            return text if text or name == QUOTED else self._part(value)
        if isinstance(value, Sequence):
            item_name = f"{name[:-1]}" if name.endswith("_names") else name
            return self.series([str(self._value(item_name, item, attribute)) for item in value])
        return manner.figure(self, value, manner.up) if manner.figure else value

    def _told_apart(self, figures: Sequence[tuple[str, float]], texts: Mapping[str, str]) -> dict[str, str]:
        """Texts of the figures that are rounded away from what a user must see, with more digits."""
        told: dict[str, str] = {}
        for name, value in figures:
            alike = {other for also, other in figures if texts[also] == texts[name]}
            if len(alike) > 1 or (value != 0.0 and not re.search("[1-9]", texts[name])):
                enough = (n for n in DIGITS if len({self._in_digits(name, other, n) for other in alike}) == len(alike))
                told[name] = self._in_digits(name, value, next(enough, DIGITS[-1]))
            elif _suffix(name) == "_m" and not name.startswith(BOUNDS) and not _is_shown(value, self.units):
                told[name] = self._in_digits(name, value, DIGITS[0])
        return told

    def _in_digits(self, name: str, value: float, digits: int) -> str:
        """A figure with this many significant digits."""
        size, unit = EXACT[_suffix(name)][self.units == "metric"]
        number = f"{Decimal(f'{value / size:.{digits}g}'):f}{unit}"
        return number.replace(".", self.number_signs[1]) if unit == " mm" else self.figure(number)

    def _part(self, message: Message) -> str:
        text = self.parts.get(message)
        if text is None:
            if len(self.parts) >= MOST_PARTS:
                self.parts.clear()
            text = self.parts[message] = self.text(message)
        return text

    @property
    def number_signs(self) -> tuple[str, str]:
        """Thousands separator and decimal sign."""
        return NUMBER_SIGNS[self.numbers or self.language]

    def figure(self, text: str) -> str:
        """A figure with its thousands separated and the decimal sign of the language."""
        return grouped(text, *self.number_signs)

    def length(self, length_m: float) -> str:
        """A length. Millimeters have no thousands separator, as on drawings. Below 1/32 in it is a decimal.

        >>> Words("metric", "EUR", "de").length(0.0032), Words("metric", "EUR", "de").length(12.5)
        ('3,2 mm', '12,5 m')
        """
        if TOUCHING_M < abs(length_m) < INCH_M / 32.0:
            imperial = self.units == "imperial"
            return self.figure(f'{length_m / INCH_M:.1g}"' if imperial else f"{length_m * 1000.0:.1g} mm")
        text = format_length(length_m, self.units).replace(".", self.number_signs[1])
        return MINUS + text[1:] if text.startswith("-") else text

    def distance(self, distance_m: float) -> str:
        """A distance to the nearest foot or meter."""
        return self.figure(f"{distance_m / FOOT_M:.0f} ft" if self.units == "imperial" else f"{distance_m:.0f} m")

    def long(self, length_m: float) -> str:
        """A length of a truck bed or a room: feet and inches, or meters to the centimeter.

        >>> print(Words("imperial", "USD").long(2.794), Words("metric", "EUR", "de").long(2.794))
        9' 2" 2,79 m
        """
        if self.units == "metric":
            return self.figure(f"{length_m:.2f} m")
        feet, inches = divmod(round(length_m / INCH_M), 12)
        return f"{feet}' {inches}\""

    def drawn(self, length_m: float) -> str:
        """A length as a drawing or a build-up shows it: whole millimeters without a decimal.

        >>> Words("metric", "EUR").drawn(0.018), Words("metric", "EUR").drawn(0.0125)
        ('18 mm', '12.5 mm')
        """
        return self.length(length_m).replace(f"{self.number_signs[1]}0 mm", " mm")

    def size(self, size_m: Sequence[float]) -> str:
        """Outer sizes of a piece; millimeters are named once.

        >>> Words("metric", "EUR").size((1.2, 0.9, 0.06)), Words("imperial", "USD").size((0.0254, 0.0508))
        ('1200 × 900 × 60 mm', '1" × 2"')
        """
        *sides, last = [self.drawn(side_m) for side_m in size_m]
        return " × ".join([*(side.removesuffix(" mm") for side in sides), last])

    def mass(self, mass_kg: float, *, up: bool | None = None) -> str:
        return self.figure(format_mass(mass_kg, self.units, up=up))

    def volume(self, volume_m3: float) -> str:
        return self.figure(format_volume(volume_m3, self.units))

    def area(self, area_m2: float) -> str:
        return self.figure(format_area(area_m2, self.units))

    def goods_area(self, area_m2: float) -> str:
        """An area of material: whole square feet or meters from 100 on.

        >>> Words("metric", "EUR").goods_area(342.99), Words("metric", "EUR").goods_area(9.75)
        ('343 m²', '9.75 m²')
        """
        whole = round(area_m2 / self.area_unit_m2)
        return self.figure(f"{whole} {self.area_unit}") if whole >= 100 else self.area(area_m2)

    def density(self, density_kg_m3: float) -> str:
        return self.figure(format_density(density_kg_m3, self.units))

    def pressure(self, pressure_pa: float) -> str:
        return self.figure(format_pressure(pressure_pa, self.units))

    def least_strength(self, strength_pa: float) -> str:
        """A strength that a test must show, rounded up to 10 psi or 0.1 MPa.

        >>> Words("imperial", "USD").least_strength(2e6), Words("metric", "EUR", "de").least_strength(2.01e6)
        ('300 psi', '2,1 MPa')
        """
        if self.units == "imperial":
            return self.figure(f"{10 * ceil(strength_pa / PSI_PA / 10.0 - 1e-9)} psi")
        return self.figure(f"{ceil(strength_pa / 1e5 - 1e-9) / 10.0:.1f} MPa")

    def areal_mass(self, mass_per_area_kg_m2: float, *, up: bool | None = None) -> str:
        return self.figure(format_areal_mass(mass_per_area_kg_m2, self.units, up=up))

    def temperature(self, temperature_c: float, *, up: bool | None = None) -> str:
        return self.figure(format_temperature(temperature_c, self.units, up=up))

    def temperature_step(self, difference_k: float) -> str:
        """A temperature difference, rounded up, in °F or °C rather than K."""
        degrees = ceil(difference_k * (1.8 if self.units == "imperial" else 1.0) - 1e-9)
        return f"{degrees} {'°F' if self.units == 'imperial' else '°C'}"

    def mass_per_length(self, kg_per_m: float) -> str:
        """A mass per length, rounded up: lb/ft or kg/m."""
        if self.units == "imperial":
            return self.figure(f"{ceil(10.0 * kg_per_m * FOOT_M / POUND_KG) / 10.0:.1f} lb/ft")
        return self.figure(f"{ceil(10.0 * kg_per_m) / 10.0:.1f} kg/m")

    def ratio(self, ratio: float) -> str:
        """A ratio without a unit, to two decimals."""
        return self.figure(f"{ratio:.2f}")

    def factor(self, factor: float) -> str:
        """A factor of load or risk, rounded up to a tenth; the sign for infinity where nothing limits it.

        >>> Words("metric", "EUR", "de").factor(1.81)
        '1,9'
        """
        if factor == inf:
            return "∞"
        return self.figure(f"{ceil(10.0 * factor - 1e-9) / 10.0:.1f}")

    def wind(self, pressure_pa: float) -> str:
        """A wind pressure, rounded down because it is a limit: lb/ft² or Pa."""
        if self.units == "imperial":
            pounds = pressure_pa / STANDARD_GRAVITY_M_S2 / POUND_PER_FOOT2_KG_M2
            return self.figure(f"{floor(10.0 * pounds) / 10.0:.1f} lb/ft²")
        return self.figure(f"{floor(pressure_pa)} Pa")

    def evaporation(self, rate_kg_m2_h: float) -> str:
        """An evaporation rate: lb/ft²/h or kg/m²/h, to 0.01."""
        if self.units == "imperial":
            return self.figure(f"{rate_kg_m2_h / POUND_PER_FOOT2_KG_M2:.2f} lb/ft²/h")
        return self.figure(f"{rate_kg_m2_h:.2f} kg/m²/h")

    def force(self, force_n: float) -> str:
        return self.figure(f"{force_n / POUND_FORCE_N:.0f} lbf" if self.units == "imperial" else f"{force_n:.0f} N")

    def speed(self, speed_m_s: float) -> str:
        return self.figure(
            f"{_rounded(speed_m_s / MPH_M_S)} mph" if self.units == "imperial" else f"{_rounded(speed_m_s)} m/s"
        )

    def heat_transfer(self, conductance_w_m2_k: float) -> str:
        """A heat transfer coefficient: Btu/h/ft²/°F or W/m²/K."""
        if self.units == "imperial":
            return self.figure(f"{_rounded(conductance_w_m2_k / BTU_H_FT2_F_W_M2_K)} Btu/h/ft²/°F")
        return self.figure(f"{_rounded(conductance_w_m2_k)} W/m²/K")

    def thermal_resistance(self, resistance_m2k_w: float) -> str:
        """A thermal resistance: ft²·h·°F/Btu or m²·K/W."""
        if self.units == "imperial":
            return self.figure(f"{_rounded(resistance_m2k_w * BTU_H_FT2_F_W_M2_K)} ft²·h·°F/Btu")
        return self.figure(f"{_rounded(resistance_m2k_w)} m²·K/W")

    def specific_surface(self, surface_m2_kg: float) -> str:
        """Fineness of a cement: m²/kg in both systems, as mill certificates state it."""
        return self.figure(f"{surface_m2_kg:.0f} m²/kg")

    @property
    def area_unit(self) -> str:
        return "ft²" if self.units == "imperial" else "m²"

    @property
    def area_unit_m2(self) -> float:
        """Size of `area_unit`, m²."""
        return SQUARE_FOOT_M2 if self.units == "imperial" else 1.0

    @property
    def run_unit_m(self) -> float:
        """Unit of length in which edges and splashes are sold, m."""
        return FOOT_M if self.units == "imperial" else 1.0

    @property
    def concrete_unit(self) -> str:
        """Unit of volume in which the trade proportions and prices concrete."""
        return "yd³" if self.units == "imperial" else "m³"

    @property
    def concrete_unit_m3(self) -> float:
        """Size of `concrete_unit`, m³."""
        return CUBIC_YARD_M3 if self.units == "imperial" else 1.0

    @property
    def mass_unit(self) -> str:
        return "lb" if self.units == "imperial" else "kg"

    def count(self, number: int) -> str:
        """A whole number with thousands separators."""
        return self.figure(str(number))

    def money(self, amount: Decimal | float | None) -> str:
        """An amount without its currency, for a column whose head names it; a text such as "no price" for None."""
        return self("no-price") if amount is None else self.figure(f"{amount:.2f}")

    def price(self, amount: Decimal | float | None) -> str:
        """An amount with its currency sign: that of the country where both the currency and the language are at home,
        else one that tells it from other currencies.

        >>> Words("imperial", "USD").price(12950.16)
        '$12,950.16'
        >>> [Words("metric", "MXN", language, "en-US").price(950) for language in ("es", "en-US")]
        ['$950.00', 'MX$950.00']
        """
        if amount is None:
            return self("no-price")
        from babel.numbers import format_currency

        locale = (self.numbers or self.language).replace("-", "_")
        usual, local = _signs(self.language, locale, self.currency)
        return format_currency(amount, self.currency, locale=locale).replace(usual, local).replace("-", MINUS)

    def price_change(self, amount: Decimal) -> str:
        """A difference of prices with its sign and currency symbol.

        >>> Words("imperial", "USD").price_change(Decimal("-40"))
        '−$40.00'
        """
        return self.price(amount) if amount < 0 else f"+{self.price(amount)}"

    def more(self, amount: Decimal) -> str:
        """A difference of amounts with its sign."""
        return self.figure(f"{amount:+.2f}")

    def per_area(self, amount: float) -> str:
        """A price per square foot or square meter."""
        return self.figure(f"{amount * (SQUARE_FOOT_M2 if self.units == 'imperial' else 1.0):.2f}")

    def date(self, day: str) -> str:
        """A day, given in ISO format, as a letter dates it.

        >>> Words("imperial", "USD").date("2026-03-02"), Words("metric", "EUR", "de").date("2026-03-02")
        ('March 2, 2026', '02.03.2026')
        """
        from babel.dates import format_date

        style = DATE_STYLES.get(self.language, "long")
        return format_date(date.fromisoformat(day), style, locale=self.language.replace("-", "_"))

    def labor_rate(self, time_s_m2: float) -> str:
        """Hours of work per area of finished face."""
        return self.time_each(time_s_m2, "m2")

    def time_each(self, time_s: float, unit: str) -> str:
        """Time per unit of the quantity of an activity."""
        hours = time_s / HOUR_S
        if self.units == "imperial":
            hours *= {"m2": SQUARE_FOOT_M2, "m": FOOT_M}.get(unit, 1.0)
            per = {"m2": "/ft²", "m": "/ft"}.get(unit, "")
        else:
            per = {"m2": "/m²", "m": "/m"}.get(unit, "")
        return self.figure(f"{hours:.3g} h{per}")

    def to_step(self, mass_kg: float, step_kg: float) -> str:
        """A mass as a scale with this step shows it, always in the unit in which the step is a short decimal.

        >>> Words("imperial", "USD").to_step(7.03, 0.1 * POUND_KG), Words("metric", "EUR", "en-GB").to_step(12.34, 0.05)
        ('15.5 lb', '12.34 kg')
        """
        unit = scale_unit(step_kg)
        if unit is None:
            return self.mass(mass_kg)
        unit_kg = SCALE_UNITS[unit]
        places = _places(step_kg / unit_kg)
        places = max(0, ceil(-log10(step_kg) - 1e-9)) if places is None else places
        return self.figure(f"{mass_kg / unit_kg:.{places}f} {unit}")

    def as_weighed(self, mass_kg: float, step_kg: float) -> str:
        """A mass in the job's unit, with the decimals that a scale of this step shows.

        >>> Words("imperial", "USD").as_weighed(0.7938, 0.001), Words("metric", "EUR").as_weighed(0.7938, 0.001)
        ('1.75 lb', '0.794 kg')
        """
        unit_kg, unit = (POUND_KG, "lb") if self.units == "imperial" else (1.0, "kg")
        places = max(0, floor(-log10(step_kg / unit_kg) + 1e-9))
        return self.figure(f"{mass_kg / unit_kg:.{places}f} {unit}")

    def checked_mass(self, mass_kg: float, step_kg: float) -> str:
        """A mass for a density check in the unit of its scale: to 0.1 lb, 0.01 kg or 10 g.

        step_kg   step of the scale

        >>> words = Words("imperial", "USD")
        >>> words.checked_mass(2.0412, 0.1 * POUND_KG), words.checked_mass(2.0412, 0.001)
        ('4.5 lb', '2,040 g')
        """
        if scale_unit(step_kg) == "g":
            return self.figure(f"{round(mass_kg * 100.0) * 10} g")
        return self.figure(f"{mass_kg / POUND_KG:.1f} lb" if self.units == "imperial" else f"{mass_kg:.2f} kg")

    def measure(self, volume_m3: float) -> str:
        """Size of a measuring container as an adjective: 5-gal, 1-qt, 2-L; 2 L in languages without such hyphens."""
        hyphen = "-" if self.language.startswith("en") else " "
        if self.units == "metric":
            return f"{volume_m3 * 1000.0:.3g}{hyphen}L"
        gallons = volume_m3 / GALLON_M3
        return f"{gallons:.3g}{hyphen}gal" if gallons > 0.99 else f"{gallons * 4.0:.3g}{hyphen}qt"

    def bucketful(self, volume_m3: float) -> str:
        """A loose volume to the marks of a bucket: 0.1 gal, below a gallon 0.1 qt; or 0.1 L."""
        if self.units == "metric":
            return self.figure(f"{volume_m3 * 1000.0:.1f} L")
        gallons = volume_m3 / GALLON_M3
        return self.figure(f"{gallons:.1f} gal" if gallons >= 1.0 else f"{gallons * 4.0:.1f} qt")

    def buckets(self, volume_m3: float, bucket_m3: float) -> str:
        """The number of full buckets and the remainder; "" if not even one is full."""
        full = int(volume_m3 / bucket_m3 + FULL_TOLERANCE)
        rest_m3 = volume_m3 - full * bucket_m3
        if not full:
            return ""
        full_buckets = self("full-buckets", count=full)
        return full_buckets if rest_m3 < FULL_TOLERANCE * bucket_m3 else f"{full_buckets} + {self.bucketful(rest_m3)}"

    def day(self, day: str) -> str:
        """A day, given in ISO format, in short form with no-break spaces: "Mon, Mar 2"."""
        from babel.dates import format_skeleton

        text: str = format_skeleton("MMMEd", date.fromisoformat(day), locale=self.language.replace("-", "_"))
        return text.replace(" ", "\N{NO-BREAK SPACE}")

    def duration(self, time_s: float) -> str:
        """Hours and minutes, rounded up to the minute."""
        hours, minutes = divmod(ceil(time_s / 60.0 - 1e-6), 60)
        parts = (f"{hours} h" if hours else "", f"{minutes} min" if minutes else "")
        return " ".join(part for part in parts if part) or "0 min"

    def minutes(self, time_s: float) -> str:
        return f"{time_s / 60.0:.0f} min"

    def share(self, ratio: float) -> str:
        """A share as a percentage: "41%" in American papers, "41 %" elsewhere."""
        return self.figure(format_percent(ratio).replace(" ", self._percent_gap))

    @property
    def _percent_gap(self) -> str:
        return "" if (self.numbers or self.language) == SOURCE else "\N{NO-BREAK SPACE}"

    def crew(self, people: int | None) -> str:
        return self("machine-only") if people is None else self("crew", people=people)


SCALE_UNITS = {"lb": POUND_KG, "g": 0.001, "kg": 1.0}
COARSE_KG = 0.005  # a scale with at least this step shows kilograms


@cache
def _signs(language: str, locale: str, currency: str) -> tuple[str, str]:
    """Sign of a currency in a number format, and the sign that a reader of a language expects.

    The first two letters of a currency's code are its country (ISO 4217). The US dollar is also the dollar of others'
    foreign trade, so it keeps the sign of the number format.
    """
    from babel import Locale
    from babel.languages import get_official_languages
    from babel.numbers import get_currency_symbol

    usual, spoken, country = get_currency_symbol(currency, locale), language.partition("-")[0], currency[:2]
    if currency == "USD" or spoken not in get_official_languages(country, de_facto=True):
        return usual, usual
    return usual, get_currency_symbol(currency, Locale(spoken, territory=country))


def scale_unit(step_kg: float) -> str | None:
    """Unit that a scale shows, in which its step is a short decimal: "lb", "kg" or "g"; None for an odd step."""
    if _places(step_kg / POUND_KG) is not None:
        return "lb"
    if _places(step_kg / 0.001) is None:
        return None
    return "g" if step_kg < COARSE_KG else "kg"


def words_for(job: JobLike) -> Words:
    """Words for the papers, messages and data of a job."""
    return Words(job.units, job.currency, job.language)


def crew_words_for(job: JobLike) -> Words:
    """Words for the papers of the crew."""
    return _words_of_reader(job, job.crew_language)


def client_words_for(job: JobLike) -> Words:
    """Words for the papers of the client."""
    return _words_of_reader(job, job.client_language)


def _words_of_reader(job: JobLike, language: str) -> Words:
    return Words(job.units, job.currency, language, language if language in OWN_NUMBERS else job.language)


PLAIN = Words("imperial", "USD")
"""Words for messages without a job."""


def _directed(write: Callable[..., str]) -> Callable[[Words, Any, bool | None], str]:
    return lambda words, value, up: write(words, value, up=up)


def _plain(write: Callable[..., str]) -> Callable[[Words, Any, bool | None], str]:
    return lambda words, value, _up: write(words, value)


FIGURES: tuple[tuple[str, Callable[[Words, Any, bool | None], str]], ...] = (
    ("_s_m2", _plain(Words.labor_rate)),
    ("_m2_kg", _plain(Words.specific_surface)),
    ("_w_m2_k", _plain(Words.heat_transfer)),
    ("_m2k_w", _plain(Words.thermal_resistance)),
    ("_m_s", _plain(Words.speed)),
    ("_n", _plain(Words.force)),
    ("_kg_m3", _plain(Words.density)),
    ("_kg_m2", _directed(Words.areal_mass)),
    ("_kg_m2_h", _plain(Words.evaporation)),
    ("_kg_per_m", _plain(Words.mass_per_length)),
    ("_kg", _directed(Words.mass)),
    ("_m3", _plain(Words.volume)),
    ("_m2", _plain(Words.area)),
    ("_way_m", _plain(Words.distance)),
    ("_long_m", _plain(Words.long)),
    ("_m", _plain(Words.length)),
    ("_c", _directed(Words.temperature)),
    ("_k", _plain(Words.temperature_step)),
    ("_s", _plain(Words.duration)),
    ("_pa", _plain(Words.pressure)),
    ("_share", _plain(Words.share)),
    ("_ratio", _plain(Words.ratio)),
    ("_factor", _plain(Words.factor)),
    ("_price", _plain(Words.price)),
)
"""Format of a number by the suffix of its name; a number with another name is written unchanged."""


EXACT: Mapping[str, tuple[tuple[float, str], tuple[float, str]]] = MappingProxyType(
    {
        "_m": ((INCH_M, '"'), (0.001, " mm")),
        "_m2": ((SQUARE_FOOT_M2, " ft²"), (1.0, " m²")),
        "_m3": ((FOOT_M**3, " ft³"), (0.001, " L")),
        "_kg": ((POUND_KG, " lb"), (1.0, " kg")),
        "_kg_m2": ((POUND_KG / SQUARE_FOOT_M2, " lb/ft²"), (1.0, " kg/m²")),
        "_kg_m3": ((POUND_KG / FOOT_M**3, " lb/ft³"), (1.0, " kg/m³")),
        "_pa": ((PSI_PA, " psi"), (1e6, " MPa")),
    }
)
"""Size in SI and name of the units in which a figure shows all its digits, imperial and metric, by its suffix."""

DIGITS = (6, 9, 12)
BOUNDS = ("limit", "least", "most", "max", "min")
"""How names of values begin that the program sets: they show as on paper."""


@cache
def _suffix(name: str) -> str:
    """Suffix of a name that decides its format; "" without one."""
    return next((suffix for suffix, _ in FIGURES if name.endswith(suffix)), "")


def _is_shown(length_m: float, units: Units) -> bool:
    """Whether a length is a whole number of the steps that paper shows."""
    step_m = INCH_M / 16.0 if units == "imperial" else 1e-4 if abs(length_m) < 0.02 else 1e-3
    return abs(length_m / step_m - round(length_m / step_m)) < 1e-6


@frozen
class _Manner:
    """Format of a value: functions for text and for numbers, and whether to round up (True) or down (False)."""

    text: Callable[[Words, str], str] | None
    figure: Callable[[Words, Any, bool | None], str] | None
    up: bool | None


@cache
def _manner(name: str) -> _Manner:
    """Format of a value of this name."""
    text = Words.date if name.endswith("_date") else Words.named if name.endswith("_name") else None
    figure = next((figure for suffix, figure in FIGURES if name.endswith(suffix)), None)
    return _Manner(text, figure, True if name.startswith(HIGH) else False if name.startswith(LOW) else None)


def grouped(text: str, group: str = ",", decimal: str = ".") -> str:
    """A figure that begins with a number, with thousands separators added and a true minus.

    >>> grouped("12950.16 kg"), grouped("-1250"), grouped("12950.16", ".", ",")
    ('12,950.16 kg', '−1,250', '12.950,16')
    """
    sign = len(text) - len(text.lstrip("+-"))
    end = sign
    while end < len(text) and text[end].isdigit():
        end += 1
    rest = text[end:]
    if rest.startswith("."):
        rest = decimal + rest[1:]
    before = text[:sign].replace("-", MINUS)
    if end - sign < 4:
        return before + text[sign:end] + rest
    return f"{before}{int(text[sign:end]):,}".replace(",", group) + rest


def _rounded(value: float) -> str:
    """A number to three significant digits, without an exponent up to a million."""
    return f"{float(f'{value:.3g}'):g}"


def _places(step: float) -> int | None:
    """Number of decimals of a step that has at most three; None for any other."""
    for places in range(4):
        scaled = step * 10**places
        if scaled >= 1.0 - 1e-9 and abs(scaled - round(scaled)) < 1e-6 * scaled:
            return places
    return None
