"""Figures, terms and workings in the words of the shop, in one system of units and one currency."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from decimal import Decimal
from math import ceil, floor, log10
from typing import TYPE_CHECKING

from estimator.constants import (
    FOOT_M,
    GALLON_M3,
    HOUR_S,
    POUND_KG,
    POUND_PER_FOOT2_KG_M2,
    SQUARE_FOOT_M2,
    STANDARD_GRAVITY_M_S2,
)
from estimator.mix.replacement import RuleOfThumb
from estimator.money import percent
from estimator.units import (
    Units,
    format_area,
    format_areal_mass,
    format_density,
    format_length,
    format_mass,
    format_temperature,
    format_volume,
)
from estimator.workings import Working
from geometry.frozen import frozen

if TYPE_CHECKING:
    from estimator.handling import Handling
    from estimator.workings import Working


CUBIC_YARD_M3 = 0.9144**3
FULL_TOLERANCE = 0.01  # of a bucket: nobody sees the difference
DEFERRAL = (
    "Weights are computed, not weighed: weigh the first piece before it is lifted by its figure. "
    "Local codes, the makers' ratings, and a licensed engineer or qualified rigger govern."
)
EXAMPLE_PRICES = "Prices of the built-in catalog are examples, not offers: put your suppliers' own in their place."
HOLDS = {
    "on-edge": "on edge, {edge} edge up",
    "flat": "flat, hands under both long edges",
    "upright": "upright and level, hands under the base",
    "slings": "flat, hanging from slings; nobody under it",
    "rigger": "by machine, as a qualified rigger decides",
    "pads": "flat, hanging from vacuum pads, second hold on; nobody under it",
}
CREW_ADVICE = {
    "carry-on-edge": "carry it on edge",
    "strongback": "clamp a strongback across the cutout before you tilt it; bear on foam on both sides of the cutout",
    "cure-longer": "cure longer before you move it",
    "narrow-rail": "brace the narrow rail beside the cutout; never lift by it",
}
"""What a crew can do so that a piece does not crack; to make it thicker is for whoever draws the next one."""


STRENGTH_FLAGS = {"enough": "", "not-enough": ", MAY CRACK", "untested": ", untested"}
"""Behind the crew wherever it is named, so that nobody takes a crew for a proof."""


def hold_words(handling: Handling) -> str:
    """How the piece is held on its way."""
    return HOLDS[handling.hold].format(edge=handling.edge_up or "long")


OPPOSITE = {"front": "back", "back": "front", "left": "right", "right": "left", "top": "bottom", "bottom": "top"}


def tilt_words(handling: Handling) -> str | None:
    """How the piece gets up on edge; None where it does not."""
    if "tilt" not in dict(handling.attitudes):
        return None
    down = OPPOSITE[handling.edge_up] if handling.edge_up else "long"
    return f"about its {down} edge, on foam; never about a short end or a corner"


MOVE_NAMES = {
    "strip": "strip",
    "flip": "flip in the form",
    "carry": "carry",
    "stairs": "on the stairs",
    "set": "set in place",
}


def moves_words(handling: Handling, words: Words, names: Collection[str]) -> str:
    """Who makes the moves of these names, or which machine: "carry 2 people, on the stairs stair climber"."""
    return ", ".join(
        f"{MOVE_NAMES[move.name]} {move.gear if move.crew is None else words.crew(move.crew)}"
        for move in handling.moves
        if move.name in names
    )


@frozen
class Words:
    """Writes figures in one system of units and one currency."""

    units: Units
    currency: str

    def length(self, length_m: float) -> str:
        return format_length(length_m, self.units)

    def size(self, size_m: tuple[float, float, float]) -> str:
        return " × ".join(self.length(side_m) for side_m in size_m)

    def mass(self, mass_kg: float, *, up: bool | None = None) -> str:
        return format_mass(mass_kg, self.units, up=up)

    def volume(self, volume_m3: float) -> str:
        return format_volume(volume_m3, self.units)

    def area(self, area_m2: float) -> str:
        return format_area(area_m2, self.units)

    def density(self, density_kg_m3: float) -> str:
        return format_density(density_kg_m3, self.units)

    def areal_mass(self, mass_per_area_kg_m2: float, *, up: bool | None = None) -> str:
        return format_areal_mass(mass_per_area_kg_m2, self.units, up=up)

    def mass_per_length(self, kg_per_m: float) -> str:
        """Rounded up: lb/ft or kg/m."""
        if self.units == "imperial":
            return f"{ceil(10.0 * kg_per_m * FOOT_M / POUND_KG) / 10.0:.1f} lb/ft"
        return f"{ceil(10.0 * kg_per_m) / 10.0:.1f} kg/m"

    def wind(self, pressure_pa: float) -> str:
        """A pressure that must not be reached, rounded down: lb/ft² or Pa."""
        if self.units == "imperial":
            return f"{floor(10.0 * pressure_pa / STANDARD_GRAVITY_M_S2 / POUND_PER_FOOT2_KG_M2) / 10.0:.1f} lb/ft²"
        return f"{floor(pressure_pa):,} Pa"

    @property
    def areal_mass_unit(self) -> str:
        """The unit of `areal_mass`, for the head of a column."""
        return self.areal_mass(1.0).rpartition(" ")[2]

    def money(self, amount: Decimal | float | None) -> str:
        """An amount with its currency; what has no price says so."""
        return "no price" if amount is None else f"{amount:,.2f}"

    def more(self, amount: Decimal) -> str:
        """A difference with its sign."""
        return f"{amount:+,.2f}"

    def per_area(self, amount: float) -> str:
        """A price per square foot or square metre."""
        return f"{amount * (SQUARE_FOOT_M2 if self.units == 'imperial' else 1.0):,.2f}"

    def counted(self, quantity: float, unit: str, basis: str) -> str:
        """How much of its basis an activity is measured by."""
        if unit == "m2":
            return f"{self.area(quantity)} of {basis}"
        if unit == "m":
            return f"{self.length(quantity)} of {basis}"
        many = {"batch": "batches", "person": "people"}.get(basis, f"{basis}s")
        return f"{quantity:g} {basis if quantity == 1 else many}"

    def time_each(self, time_s: float, unit: str) -> str:
        """Time for one of what an activity is measured by."""
        hours = time_s / HOUR_S
        if self.units == "imperial":
            hours *= {"m2": SQUARE_FOOT_M2, "m": FOOT_M}.get(unit, 1.0)
            per = {"m2": "/ft²", "m": "/ft"}.get(unit, "")
        else:
            per = {"m2": "/m²", "m": "/m"}.get(unit, "")
        return f"{hours:.3g} h{per}"

    @property
    def area_unit(self) -> str:
        return "ft²" if self.units == "imperial" else "m²"

    def to_step(self, mass_kg: float, step_kg: float) -> str:
        """A mass as the scale with this step shows it: in the unit of which the step is a plain decimal."""
        for unit_kg, unit in ((POUND_KG, "lb"), (0.001, "g"), (1.0, "kg")):
            places = _places(step_kg / unit_kg)
            if places is not None:
                if unit == "g" and mass_kg >= 10.0:
                    return f"{mass_kg:.{places + 3}f} kg"
                return f"{mass_kg / unit_kg:.{places}f} {unit}"
        return self.mass(mass_kg)

    def as_weighed(self, mass_kg: float, step_kg: float) -> str:
        """A mass in the job's unit, with the decimals that a scale of this step shows.

        >>> Words("imperial", "USD").as_weighed(0.7938, 0.001), Words("metric", "EUR").as_weighed(0.7938, 0.001)
        ('1.75 lb', '0.794 kg')
        """
        unit_kg, unit = (POUND_KG, "lb") if self.units == "imperial" else (1.0, "kg")
        places = max(0, floor(-log10(step_kg / unit_kg) + 1e-9))
        return f"{mass_kg / unit_kg:.{places}f} {unit}"

    def checked_mass(self, mass_kg: float) -> str:
        """A mass as a density check needs it, finer than a weight that is carried: to 0.1 lb or 0.01 kg."""
        return f"{mass_kg / POUND_KG:.1f} lb" if self.units == "imperial" else f"{mass_kg:.2f} kg"

    def measure(self, volume_m3: float) -> str:
        """A measure by its name: 5-gal, 1-qt, 2-L."""
        if self.units == "metric":
            return f"{volume_m3 * 1000.0:.3g}-L"
        gallons = volume_m3 / GALLON_M3
        return f"{gallons:.3g}-gal" if gallons > 0.99 else f"{gallons * 4.0:.3g}-qt"

    def bucketful(self, volume_m3: float) -> str:
        """A loose volume as the marks of a bucket give it: 0.1 gal, below a gallon 0.1 qt; or 0.1 L."""
        if self.units == "metric":
            return f"{volume_m3 * 1000.0:.1f} L"
        gallons = volume_m3 / GALLON_M3
        return f"{gallons:.1f} gal" if gallons >= 1.0 else f"{gallons * 4.0:.1f} qt"

    def buckets(self, volume_m3: float, bucket_m3: float) -> str:
        """So many full buckets and the rest; nothing where one is not filled."""
        full = int(volume_m3 / bucket_m3 + FULL_TOLERANCE)
        rest = volume_m3 - full * bucket_m3
        if not full:
            return ""
        full_buckets = f"{full} full bucket{'s' if full > 1 else ''}"
        return full_buckets if rest < FULL_TOLERANCE * bucket_m3 else f"{full_buckets} + {self.bucketful(rest)}"

    def temperature(self, temperature_c: float, *, up: bool | None = None) -> str:
        return format_temperature(temperature_c, self.units, up=up)

    def duration(self, time_s: float) -> str:
        """Hours and minutes, to the minute, up."""
        hours, minutes = divmod(ceil(time_s / 60.0 - 1e-6), 60)
        return (
            " ".join(part for part in (f"{hours} h" if hours else "", f"{minutes} min" if minutes else "") if part)
            or "0 min"
        )

    def minutes(self, time_s: float) -> str:
        return f"{time_s / 60.0:.0f} min"

    def share(self, ratio: float) -> str:
        return percent(ratio)

    def crew(self, persons: int | None) -> str:
        return "machine only" if persons is None else f"{persons} {'person' if persons == 1 else 'people'}"


def _places(step: float) -> int | None:
    """Decimals of a step that is 1, 2 or 5 at some decimal place; None for any other."""
    for places in range(4):
        scaled = step * 10**places
        if scaled >= 1.0 - 1e-9 and abs(scaled - round(scaled)) < 1e-6 * scaled:
            return places
    return None


COUNTED_DRY = "dry batch weight, as if all sand (counted dry mass)"
FIRST_CRACK = "first-crack strength (limit of proportionality)"
BREAKING = "breaking strength (modulus of rupture)"
TO_COUNT_ON = "strength to count on (lower tolerance limit: 95 % of the material, at 95 % confidence)"
WATER_CM = "w/cm, water to cement and pozzolan"
WATER_C = "w/c, water to cement alone"
IN_PLACE = "in place (equilibrium)"
UNTESTED = "untested: not shown to be safe"
BASIS = {
    "loose-volume": "bucket for bucket (loose volume)",
    "absolute-volume": "by the space that it fills (absolute volume)",
    "mass": "pound for pound (mass)",
}
"""Ways of putting beads in the place of sand."""


def rule_of_thumb_words(mix: str, thumb: RuleOfThumb, words: Words) -> str:
    """Why a mix is not as light as the trade's rule of thumb says, and what would make it so."""
    sentence = (
        f"{mix}: {words.share(thumb.share)} of the sand replaced makes it {words.share(thumb.lighter)} lighter; the "
        f"rule of thumb (half the sand, a quarter of the weight) says {words.share(thumb.expected)}."
    )
    ways = []
    if thumb.air is not None:
        ways.append(f"{words.share(thumb.air)} air with the beads in, not {words.share(thumb.air_now)}")
    if thumb.cementitious_share is not None:
        ways.append(
            f"a cementitious share of {thumb.cementitious_share:.2f}, not {thumb.cementitious_share_now:.2f} "
            "(more sand to replace)"
        )
    if thumb.sand_bulk_density_kg_m3 is not None:
        ways.append(
            f"sand that packs looser, {words.density(thumb.sand_bulk_density_kg_m3)} and not "
            f"{words.density(thumb.sand_bulk_density_now_kg_m3)} (more beads to the bucket)"
        )
    if not ways:
        return f"{sentence} Neither air, nor leaner mix, nor looser sand closes the gap by itself."
    return (
        f"{sentence} What closes the gap by itself: {'; or '.join(ways)}. Weigh a known volume before you promise it."
    )


MOST_MONEY = 1e12
DIGITS = 6  # significant, of a value on paper: enough to recompute the result to the figure that is shown


def figure_text(value: float) -> str:
    """A value to six significant digits, in full where it has two decimals at most, as money has."""
    if abs(value) < MOST_MONEY and round(value, 2) == value:
        return f"{value:.2f}".removesuffix(".00")
    text = f"{value:.{DIGITS}g}"
    if "e" not in text:
        return text
    return f"{value:.0f}" if abs(value) >= 1.0 else f"{value:.12f}".rstrip("0") if abs(value) >= 1e-9 else text


def values_text(names: Sequence[str], values: Sequence[float]) -> str:
    """The values of a formula, name by name."""
    return ", ".join(f"{name} = {figure_text(value)}" for name, value in zip(names, values, strict=True))


def values_lines(working: Working) -> list[str]:
    """The values of a formula in full, a line each."""
    longest = max((len(name) for name in working.values), default=0)
    return [f"{name:<{longest}} = {value!r}" for name, value in working.values.items()]


def result_text(working: Working) -> str:
    """The result of a working with its unit."""
    return f"{figure_text(working.result)} {working.unit}".rstrip()
