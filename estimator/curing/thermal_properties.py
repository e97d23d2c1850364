"""Conductivity and heat capacity of light cementitious material."""

from __future__ import annotations

from collections.abc import Mapping
from math import exp

from estimator.errors import RangeError

MOIST_FACTOR_RANGE = (1.16, 1.40)
"""Damp material conducts 16 to 40 % better than oven-dry. Source: table of ACI 122R, as printed beside its R values."""

SPECIFIC_HEATS_J_KG_K: Mapping[str, float] = {
    "water": 4186.0,
    "cementitious": 750.0,
    "mineral": 800.0,  # sand, glass, light mineral aggregate, pigment
    "plastic": 1300.0,  # expanded polystyrene, polymer solids, PVA fibre
}
"""From memory of handbook tables, rounded, at room temperature."""


def conductivity_dry_w_m_k(density_kg_m3: float) -> float:
    """Thermal conductivity of oven-dry concrete of any aggregate: 0.072·e^(0.00125 ρ), W/(m·K).

    density_kg_m3   oven-dry, 300 to 2500
    Source: ACI 213R / 122R (Valore).
    """
    if not 300.0 <= density_kg_m3 <= 2500.0:
        raise RangeError(f"dry density {density_kg_m3:g} kg/m³ is outside the conductivity formula's 300 to 2500")
    return 0.072 * exp(0.00125 * density_kg_m3)


def conductivity_moist_w_m_k(density_kg_m3: float, moist_factor: float = MOIST_FACTOR_RANGE[0]) -> float:
    """Conductivity of damp, curing material, W/(m·K): the oven-dry figure times a factor of MOIST_FACTOR_RANGE.

    The low end is taken unless said: less conduction means a hotter core, the safe side for cracking.
    """
    low, high = MOIST_FACTOR_RANGE
    if not low <= moist_factor <= high:
        raise RangeError(f"moist factor {moist_factor:g} is outside {low:g} to {high:g}")
    return conductivity_dry_w_m_k(density_kg_m3) * moist_factor


def specific_heat_j_kg_k(masses_kg_m3: Mapping[str, float]) -> float:
    """Specific heat of a fresh mix by the mass of each group of SPECIFIC_HEATS_J_KG_K, J/(kg·K)."""
    unknown = sorted(set(masses_kg_m3) - set(SPECIFIC_HEATS_J_KG_K))
    if unknown:
        raise RangeError(f"no specific heat for {', '.join(unknown)}: known are {', '.join(SPECIFIC_HEATS_J_KG_K)}")
    total = sum(masses_kg_m3.values())
    if min(masses_kg_m3.values(), default=0.0) < 0.0 or total <= 0.0:
        raise RangeError("specific heat of a mix: masses cannot be negative and must not all be 0")
    return sum(kg * SPECIFIC_HEATS_J_KG_K[group] for group, kg in masses_kg_m3.items()) / total
