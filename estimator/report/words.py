"""Figures as words of the job's units and currency. Rounding happens here alone."""

from dataclasses import dataclass
from decimal import Decimal

from estimator.units import (
    Units,
    format_area,
    format_areal_mass,
    format_density,
    format_length,
    format_mass,
    format_volume,
)

HOUR_S = 3600.0
FOOT_M = 0.3048
SQUARE_FOOT_M2 = FOOT_M**2
CUBIC_YARD_M3 = 0.9144**3
DEFERRAL = (
    "Weights are computed, not weighed: weigh the first piece before it is lifted by its figure. "
    "Local codes, the makers' ratings, and a licensed engineer or qualified rigger govern."
)
EXAMPLE_PRICES = "Prices of the built-in catalog are examples, not offers: put your suppliers' own in their place."


@dataclass(frozen=True, slots=True)
class Words:
    """Writes figures in one system of units and one currency."""

    units: Units
    currency: str

    def length(self, length_m: float) -> str:
        return format_length(length_m, self.units)

    def size(self, size_m: tuple[float, float, float]) -> str:
        return " × ".join(self.length(each) for each in size_m)

    def mass(self, mass_kg: float, *, up: bool | None = None) -> str:
        return format_mass(mass_kg, self.units, up=up)

    def volume(self, volume_m3: float) -> str:
        return format_volume(volume_m3, self.units)

    def area(self, area_m2: float) -> str:
        return format_area(area_m2, self.units)

    def density(self, density_kg_m3: float) -> str:
        return format_density(density_kg_m3, self.units)

    def areal_mass(self, mass_per_area_kg_m2: float) -> str:
        return format_areal_mass(mass_per_area_kg_m2, self.units)

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

    def share(self, ratio: float) -> str:
        return f"{ratio:.1%}".replace(".0%", "%").replace("%", " %")

    def crew(self, persons: int | None) -> str:
        return "machine only" if persons is None else f"{persons} {'person' if persons == 1 else 'people'}"
