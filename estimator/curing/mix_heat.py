"""Heat of a mix: its cement and pozzolans as the model takes them, conductivity and specific heat."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import fields, replace
from math import exp

from estimator.cement import CementAnalysis
from estimator.curing.casting import MixHeat
from estimator.curing.hydration import (
    HIGHEST_SILICA_FUME,
    Blend,
    CementKind,
    Hydration,
    Unmodelled,
    hydration_of,
)
from estimator.errors import FaultError
from estimator.job import Material
from estimator.mix import MixDesign
from geometry.message import message

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
        raise FaultError(
            "",
            message(
                "heat-dry-density",
                density_kg_m3=density_kg_m3,
                lightest_kg_m3=LEAST_DRY_KG_M3,
                heaviest_kg_m3=MOST_DRY_KG_M3,
            ),
        )
    return 0.072 * exp(0.00125 * density_kg_m3)


def conductivity_moist_w_m_k(density_kg_m3: float, moist_factor: float = MOIST_FACTOR_RANGE[0]) -> float:
    """Conductivity of damp, curing material, W/(m·K): the oven-dry figure times a factor of MOIST_FACTOR_RANGE.

    The low end is taken unless said: less conduction means a hotter core, the safe side for cracking.
    """
    low, high = MOIST_FACTOR_RANGE
    if not low <= moist_factor <= high:
        raise FaultError(
            "", message("heat-moist-factor", moist_factor=f"{moist_factor:g}", low=f"{low:g}", high=f"{high:g}")
        )
    return conductivity_dry_w_m_k(density_kg_m3) * moist_factor


def specific_heat_j_kg_k(masses_kg_m3: Mapping[str, float]) -> float:
    """Specific heat of a fresh mix by the mass of each group of SPECIFIC_HEATS_J_KG_K, J/(kg·K)."""
    unknown = sorted(set(masses_kg_m3) - set(SPECIFIC_HEATS_J_KG_K))
    if unknown:
        raise FaultError("", message("heat-no-specific", unknown=[*unknown], known=[*SPECIFIC_HEATS_J_KG_K]))
    total = sum(masses_kg_m3.values())
    if min(masses_kg_m3.values(), default=0.0) < 0.0 or total <= 0.0:
        raise FaultError("", message("heat-masses"))
    return sum(kg * SPECIFIC_HEATS_J_KG_K[group] for group, kg in masses_kg_m3.items()) / total


LEAST_WATER_CEMENTITIOUS, MOST_WATER_CEMENTITIOUS = 0.15, 1.0
LEAST_DRY_KG_M3, MOST_DRY_KG_M3 = 300.0, 2500.0  # of the conductivity formula
SHARE_TOLERANCE = 1e-9


def section_heat(
    parts: Sequence[tuple[MixDesign, float]], materials: Mapping[str, Material], assumed: CementAnalysis, band: float
) -> MixHeat:
    """The layers through a section as one mix.

    parts     each mix with its share of the thickness; shares sum to 1
    assumed   cement that stands for one of which no analysis is given
    band      half width of the band on its heat

    Masses are averaged by thickness, and the heat curve is that of the average. What guards the surface takes its
    unsafe side: the greatest share of silica fume and the least of curing polymer in any layer. Where the model can
    say nothing, `hydration` tells why.
    """
    masses: dict[tuple[str, str], float] = defaultdict(float)
    for mix, share in parts:
        for ingredient in mix.recipe.ingredients:
            masses[ingredient.material, ingredient.role] += share * ingredient.solids_kg
    cementitious = {name: kg for (name, role), kg in masses.items() if role == "cementitious"}
    total_kg = sum(cementitious.values())
    free_kg = sum(share * mix.free_water_kg_m3 for mix, share in parts)
    absorbed_kg = sum(share * mix.absorbed_water_kg_m3 for mix, share in parts)
    dry_kg_m3 = sum(share * mix.oven_dry_density_kg_m3 for mix, share in parts)
    fume = max(_silica_fume_share(mix, materials) for mix, _ in parts)
    curve = _hydration(cementitious, free_kg / total_kg, materials, assumed, band)
    if not LEAST_DRY_KG_M3 <= dry_kg_m3 <= MOST_DRY_KG_M3:
        curve = Unmodelled(
            message(
                "cure-unmodeled-density",
                dry_kg_m3=dry_kg_m3,
                lightest_kg_m3=LEAST_DRY_KG_M3,
                heaviest_kg_m3=MOST_DRY_KG_M3,
            )
        )
    if isinstance(curve, Hydration):
        curve = _flagged(curve, cementitious, total_kg, fume, materials)
    groups: dict[str, float] = defaultdict(float, water=free_kg + absorbed_kg)
    for (name, role), kg in masses.items():
        groups[_heat_group(materials[name], role)] += kg
    acts = frozenset().union(*(materials[name].traits for name, role in masses if role == "admixture"))
    return MixHeat(
        hydration=curve,
        cementitious_kg_m3=total_kg,
        water_kg_m3=free_kg,
        density_kg_m3=sum(share * mix.fresh_density_kg_m3 for mix, share in parts),
        specific_heat_j_kg_k=specific_heat_j_kg_k(groups),
        conductivity_w_m_k=conductivity_moist_w_m_k(min(max(dry_kg_m3, LEAST_DRY_KG_M3), MOST_DRY_KG_M3)),
        silica_fume_share=fume,
        curing_polymer_solids=min(_polymer_solids(mix) for mix, _ in parts),
        set_modified=bool(acts & {"retards", "accelerates"}),
        retarded="retards" in acts,
    )


def _hydration(
    cementitious_kg: Mapping[str, float],
    water_cementitious: float,
    materials: Mapping[str, Material],
    assumed: CementAnalysis,
    band: float,
) -> Hydration | Unmodelled:
    parts = [(materials[name], kg) for name, kg in cementitious_kg.items() if materials[name].kind == "cement"]
    cements = [cement for cement, _ in parts]
    if not cements:
        return Unmodelled(message("cure-unmodeled-no-cement"))
    if not LEAST_WATER_CEMENTITIOUS <= water_cementitious <= MOST_WATER_CEMENTITIOUS:
        return Unmodelled(
            message(
                "cure-unmodeled-water",
                water_ratio=water_cementitious,
                least_ratio=LEAST_WATER_CEMENTITIOUS,
                most_ratio=MOST_WATER_CEMENTITIOUS,
            )
        )
    strange = [
        cement.label
        for cement in cements
        if "off-model" in cement.traits and cement.analysis is None and _cement_kind(cement) == "grey"
    ]
    if strange:
        return Unmodelled(message("cure-unmodeled-analysis", material_names=strange))
    kinds = [_cement_kind(cement) for cement in cements]
    kind: CementKind = next((cement for cement in kinds if cement.startswith("calcium")), "grey")
    known = all(cement.analysis is not None for cement in cements)
    if kind == "grey" and any(_cement_kind(e) == "white" and e.analysis is None for e in cements):
        kind = "white"
    analysis = _averaged(parts, assumed)
    return hydration_of(
        kind,
        _blend(cementitious_kg, materials),
        water_cementitious,
        analysis if known else None,
        assumed if known else analysis,
        band,
    )


def _cement_kind(cement: Material) -> CementKind:
    named: tuple[CementKind, ...] = ("calcium-sulfoaluminate", "calcium-aluminate", "white")
    return next((kind for kind in named if kind in cement.traits), "grey")


def _averaged(cements: Sequence[tuple[Material, float]], assumed: CementAnalysis) -> CementAnalysis:
    """The analysis of several cements by mass, the assumed one for those without."""
    total = sum(kg for _, kg in cements)
    return CementAnalysis(
        **{
            item.name: sum(kg * getattr(cement.analysis or assumed, item.name) for cement, kg in cements) / total
            for item in fields(CementAnalysis)
        }
    )


def _blend(cementitious_kg: Mapping[str, float], materials: Mapping[str, Material]) -> Blend:
    """Shares of the cementitious. A pozzolan of which no heat is known, a fly ash without its lime too, is `other`."""
    shares: dict[str, float] = defaultdict(float)
    total, lime = sum(cementitious_kg.values()), 0.0
    for name, kg in cementitious_kg.items():
        material, share = materials[name], kg / total
        part = "cement" if material.kind == "cement" else _pozzolan(material)
        shares[part] += share
        if part == "fly_ash":
            lime += share * (material.ash_cao or 0.0)
    ash = shares["fly_ash"]
    rest = 1.0 - sum(value for part, value in shares.items() if part != "cement")  # exactly 1 in sum
    return Blend(
        cement=rest,
        silica_fume=shares["silica_fume"],
        fly_ash=ash,
        slag=shares["slag"],
        other=shares["other"],
        fly_ash_cao=lime / ash if ash > 0.0 else None,
    )


def _pozzolan(material: Material) -> str:
    if "silica-fume" in material.traits:
        return "silica_fume"
    if "slag" in material.traits:
        return "slag"
    if "fly-ash" in material.traits and material.ash_cao is not None:
        return "fly_ash"
    return "other"


def _flagged(
    curve: Hydration,
    cementitious_kg: Mapping[str, float],
    total_kg: float,
    fume: float,
    materials: Mapping[str, Material],
) -> Hydration:
    """The curve, flagged where averaging over layers hides too much silica fume in one of them."""
    section = sum(kg for name, kg in cementitious_kg.items() if _is_fume(materials[name])) / total_kg
    if fume > HIGHEST_SILICA_FUME + SHARE_TOLERANCE >= section:
        more = message("curing-layer-fume", fume_share=fume, highest_share=HIGHEST_SILICA_FUME)
        return replace(curve, outside=(*curve.outside, more))
    return curve


def _silica_fume_share(mix: MixDesign, materials: Mapping[str, Material]) -> float:
    parts = [part for part in mix.recipe.ingredients if part.role == "cementitious"]
    fume_kg = sum(part.solids_kg for part in parts if _is_fume(materials[part.material]))
    return fume_kg / sum(part.solids_kg for part in parts)


def _polymer_solids(mix: MixDesign) -> float:
    """Solids of polymer per cementitious, at most 1."""
    solids_kg = sum(part.solids_kg for part in mix.recipe.ingredients if part.role == "polymer")
    return min(1.0, solids_kg / mix.cementitious_kg_m3)


def _is_fume(material: Material) -> bool:
    return "silica-fume" in material.traits


def _heat_group(material: Material, role: str) -> str:
    """Group of SPECIFIC_HEATS_J_KG_K that a material belongs to."""
    if role == "cementitious":
        return "cementitious"
    mineral = role in ("aggregate", "pigment") and "polystyrene" not in material.traits
    return "mineral" if mineral or "glass-fibre" in material.traits else "plastic"
