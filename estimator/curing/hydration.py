"""How much heat a mix makes while it hardens, and how fast.

The model is that of Schindler and Folliard (ACI Materials Journal 102(1), 2005): the degree of hydration follows an
S-shaped curve of the equivalent age, whose three parameters come from the cement's analysis, its fineness, the
water-cement ratio and the pozzolans. It was fitted to ordinary Portland cements with fly ash and slag. What lies
outside is flagged here, or given no figure at all; it is never treated as ordinary cement without a word.
"""

from __future__ import annotations

from math import exp, pow
from typing import Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray

from estimator.cement import CementAnalysis
from estimator.errors import FaultError
from estimator.workings import Formula
from geometry.frozen import frozen
from geometry.message import Message, message

Array: TypeAlias = NDArray[np.float64]
CementKind: TypeAlias = Literal["grey", "white", "calcium-sulfoaluminate", "calcium-aluminate"]

REFERENCE_C = 21.1
"""Temperature at which the equivalent age of the model runs as the clock does, °C (70 °F; the paper's choice)."""

HIGHEST_SILICA_FUME = 0.10
"""Share of the cementitious mass up to which silica fume is inside what the heat figures were fitted to."""

LOWEST_C4AF = 0.05
"""C4AF below which the activation-energy fit is not extrapolated (white cements hold about 0.01)."""

UNFITTED_ACTIVATION_J_MOL = 40_000.0
"""Taken where the fit does not reach: the low end of the 40 to 45 kJ/mol that ASTM C1074 suggests."""

SLAG_HEAT_J_KG = 461_000.0  # Schindler & Folliard 2005
FLY_ASH_HEAT_J_KG_PER_CAO = 1_800_000.0  # Schindler & Folliard 2005: 1800 J/g times the CaO fraction of the ash
SILICA_FUME_HEAT_J_KG = 330_000.0  # Riding et al., ACI Materials Journal 109(6), 2012


ADIABATIC = Formula(
    "cementitious · heat · ultimate_degree / (density · specific_heat)",
    "K",
    message("source-adiabatic"),
)


@frozen
class Blend:
    """Composition of the cementitious mass, as shares that sum to 1.

    other         pozzolans without published heat figures (metakaolin, ground glass ...)
    fly_ash_cao   CaO fraction of the fly ash, needed only where there is some
    """

    cement: float
    silica_fume: float = 0.0
    fly_ash: float = 0.0
    slag: float = 0.0
    other: float = 0.0
    fly_ash_cao: float | None = None

    def __post_init__(self) -> None:
        shares = {n: getattr(self, n) for n in ("cement", "silica_fume", "fly_ash", "slag", "other")}
        for name, share in shares.items():
            if not 0.0 <= share <= 1.0:
                raise FaultError("", message("blend-share", name=name, share=f"{share:g}"))
        if abs(sum(shares.values()) - 1.0) > 1e-6:
            raise FaultError("", message("blend-sum", values=f"{sum(shares.values()):.4f}"))
        if self.cement == 0.0:
            raise FaultError("", message("blend-no-cement"))
        if self.fly_ash > 0.0 and self.fly_ash_cao is None:
            raise FaultError("", message("blend-fly-ash"))
        if self.fly_ash_cao is not None and not 0.0 <= self.fly_ash_cao <= 0.4:
            raise FaultError("", message("blend-fly-ash-range", fly_ash_cao=f"{self.fly_ash_cao:g}"))


@frozen
class Hydration:
    """Heat of a cementitious blend as it hydrates.

    heat_j_kg                 at full hydration, per kg of cementitious
    ultimate_degree           the degree that the mix can reach, of 1
    time_parameter_h          τ, at REFERENCE_C
    slope_parameter           β
    activation_energy_j_mol   of the Arrhenius rate
    low_factor, high_factor   the heat may be this many times the nominal
    outside                   what in the mix is outside the model's data
    assumed                   what is taken because it is not known
    """

    heat_j_kg: float
    ultimate_degree: float
    time_parameter_h: float
    slope_parameter: float
    activation_energy_j_mol: float
    low_factor: float
    high_factor: float
    outside: tuple[Message, ...]
    assumed: tuple[Message, ...]

    @property
    def flags(self) -> tuple[Message, ...]:
        """Assumptions and limits of the model that apply to this curve."""
        return self.outside + self.assumed

    def degree(self, equivalent_age_h: Array) -> Array:
        """Degree of hydration at equivalent ages (hours at REFERENCE_C), any shape."""
        return degree_of_hydration(equivalent_age_h, self.time_parameter_h, self.slope_parameter, self.ultimate_degree)


@frozen
class Unmodelled:
    """A cement of which the model can say nothing."""

    reason: Message


def heat_of_cement(cement: CementAnalysis) -> float:
    """Heat of complete hydration of a Portland cement, J per kg.

    500·C3S + 260·C2S + 866·C3A + 420·C4AF + 624·SO3 + 1186·free CaO + 850·MgO, in J/g.
    Source: Schindler & Folliard, ACI Mat. J. 102(1), 2005 (after Bogue).
    """
    c = cement
    joules_per_gram = (
        500.0 * c.c3s
        + 260.0 * c.c2s
        + 866.0 * c.c3a
        + 420.0 * c.c4af
        + 624.0 * c.so3
        + 1186.0 * c.free_cao
        + 850.0 * c.mgo
    )
    return 1000.0 * joules_per_gram


def heat_of_blend(cement: CementAnalysis, blend: Blend) -> float:
    """Heat of complete hydration per kg of cementitious, J/kg. A pozzolan without figures is counted as cement.

    Source: Schindler & Folliard 2005 for slag and fly ash; Riding et al. 2012 for silica fume.
    """
    return (
        (blend.cement + blend.other) * heat_of_cement(cement)
        + blend.slag * SLAG_HEAT_J_KG
        + blend.fly_ash * (blend.fly_ash_cao or 0.0) * FLY_ASH_HEAT_J_KG_PER_CAO
        + blend.silica_fume * SILICA_FUME_HEAT_J_KG
    )


def ultimate_degree(water_cementitious: float, fly_ash: float = 0.0, slag: float = 0.0) -> float:
    """Degree of hydration that a mix can reach: 1.031 w/cm / (0.194 + w/cm) + 0.50 fly ash + 0.30 slag, at most 1.

    Source: Mills 1966, extended by Schindler & Folliard 2005, which sets the ceiling too.
    """
    if not 0.15 <= water_cementitious <= 1.0:
        raise FaultError("", message("heat-water-ratio", water_cementitious=f"{water_cementitious:g}"))
    return min(1.0, 1.031 * water_cementitious / (0.194 + water_cementitious) + 0.50 * fly_ash + 0.30 * slag)


def time_parameter_h(cement: CementAnalysis, blend: Blend) -> float:
    """Hydration time parameter τ at REFERENCE_C, hours. Source: Schindler & Folliard 2005."""
    c = cement
    plain = 66.78 * pow(c.c3a, -0.154) * pow(c.c3s, -0.401) * pow(c.blaine_m2_kg, -0.804) * pow(c.so3, -0.758)
    return plain * exp(2.187 * blend.slag + 9.50 * blend.fly_ash * (blend.fly_ash_cao or 0.0))


def slope_parameter(cement: CementAnalysis, blend: Blend) -> float:
    """Hydration slope parameter β. Source: Schindler & Folliard 2005."""
    c = cement
    plain = 181.4 * pow(c.c3a, 0.146) * pow(c.c3s, 0.227) * pow(c.blaine_m2_kg, -0.535) * pow(c.so3, 0.558)
    return plain * exp(-0.647 * blend.slag)


def activation_energy_j_mol(cement: CementAnalysis, blend: Blend) -> float:
    """Activation energy, J/mol: 22,100 C3A^0.30 C4AF^0.25 Blaine^0.35, changed by fly ash and slag.

    Below LOWEST_C4AF the fit is not extrapolated: it would make white cement hardly sensitive to heat, and so
    understate the peak. UNFITTED_ACTIVATION_J_MOL is taken if it is greater.
    Source: Schindler, ACI Mat. J. 101(1), 2004; fineness and compounds as used in Schindler & Folliard 2005.
    """
    c = cement
    plain = 22_100.0 * pow(c.c3a, 0.30) * pow(c.c4af, 0.25) * pow(c.blaine_m2_kg, 0.35)
    if c.c4af < LOWEST_C4AF:
        plain = max(plain, UNFITTED_ACTIVATION_J_MOL)
    return plain * (1.0 - 1.05 * blend.fly_ash * (1.0 - (blend.fly_ash_cao or 0.0) / 0.40) + 0.40 * blend.slag)


def degree_of_hydration(equivalent_age_h: Array, time_parameter_h: float, slope: float, ultimate: float) -> Array:
    """α(te) = αu · exp(−(τ/te)^β), of 1; 0 at age 0.

    equivalent_age_h   hours at REFERENCE_C, not negative, any shape
    Source: Schindler & Folliard 2005, after Freiesleben Hansen & Pedersen.
    """
    age = np.maximum(equivalent_age_h, 1e-9)  # the curve is flat to every order at 0: this only avoids dividing by it
    return np.asarray(ultimate * np.exp(-((time_parameter_h / age) ** slope)), dtype=np.float64)


def hydration_of(
    kind: CementKind,
    blend: Blend,
    water_cementitious: float,
    analysis: CementAnalysis | None,
    assumed: CementAnalysis,
    band: float,
) -> Hydration | Unmodelled:
    """The heat curve of a blend, flagged where assumed or outside the data; Unmodelled for a blend without a model.

    kind                 which cement it is
    analysis             from the mill's certificate
    assumed              taken, and flagged, where that is missing
    water_cementitious   free water per cementitious, by mass
    band                 half width of the band on heat, as a share of it; the model stands 12 to 13 % below sealed
                         calorimetry (NIST, C186 data)

    Raises FaultError for an impossible w/cm.
    """
    if kind in ("calcium-sulfoaluminate", "calcium-aluminate"):
        return Unmodelled(message("cure-unmodeled-cement", kind=kind))
    cement = analysis or assumed
    return Hydration(
        heat_j_kg=heat_of_blend(cement, blend),
        ultimate_degree=ultimate_degree(water_cementitious, blend.fly_ash, blend.slag),
        time_parameter_h=time_parameter_h(cement, blend),
        slope_parameter=slope_parameter(cement, blend),
        activation_energy_j_mol=activation_energy_j_mol(cement, blend),
        # On the low side an unknown pozzolan may add nothing; on the high side it is already counted as cement.
        low_factor=(1.0 - band) * (1.0 - blend.other),
        high_factor=1.0 + band,
        outside=_outside(kind, analysis, blend),
        assumed=_assumed(kind, analysis, assumed, blend),
    )


def _outside(kind: CementKind, analysis: CementAnalysis | None, blend: Blend) -> tuple[Message, ...]:
    flags: list[Message] = []
    if analysis is None and kind == "white":
        flags.append(message("curing-white-cement"))
    elif analysis is not None and analysis.c4af < LOWEST_C4AF:
        low = message(
            "curing-low-c4af",
            c4af=f"{analysis.c4af:g}",
            lowest=f"{LOWEST_C4AF:g}",
            activation=f"{UNFITTED_ACTIVATION_J_MOL / 1000:g}",
        )
        flags.append(low)
    if blend.silica_fume > HIGHEST_SILICA_FUME + 1e-9:
        flags.append(message("curing-silica-fume", fume_share=blend.silica_fume, highest_share=HIGHEST_SILICA_FUME))
    return tuple(flags)


def _assumed(
    kind: CementKind, analysis: CementAnalysis | None, assumed: CementAnalysis, blend: Blend
) -> tuple[Message, ...]:
    flags: list[Message] = []
    if analysis is None and kind != "white":
        usual = message(
            "curing-assumed-cement",
            c3s_share=assumed.c3s,
            c3a_share=assumed.c3a,
            blaine=f"{assumed.blaine_m2_kg:g}",
        )
        flags.append(usual)
    if blend.other > 0.0:
        flags.append(message("curing-pozzolan", pozzolan_share=blend.other))
    return tuple(flags)
