"""Mixes side by side, and one mix over every replacement: what a job's pieces would weigh and cost in each."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from estimator.job import Material, Mix
from estimator.mix.made import MadeMix, make
from estimator.mix.replacement import with_replacement

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class MixCost:
    """Material cost of one cubic metre; materials without a price are not in it."""

    per_m3: float
    unpriced: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ComparedMix:
    """One mix in a comparison: the same pieces, cast in it."""

    made: MadeMix
    piece_fresh_kg: Mapping[str, float]  # by piece mark, of one
    piece_installed_kg: Mapping[str, float]
    piece_cost: Mapping[str, float]
    job_fresh_kg: float  # all pieces of the job
    job_cost: float
    cost: MixCost
    first_crack_strength_pa: float | None  # None: untested


@dataclass(frozen=True, slots=True)
class ReplacementCurve:
    """One mix over the fraction of its sand that is replaced; arrays of one length, shape (n,)."""

    fraction: Floats
    fresh_density_kg_m3: Floats
    installed_density_kg_m3: Floats
    cost_per_m3: Floats
    floats_from: float | None  # least fraction shown at which the fresh mix is lighter than water


def cost_of(made: MadeMix, price_per_kg: Mapping[str, float]) -> MixCost:
    """Material cost of a mix per m3 from prices per kg as weighed; water is free unless priced."""
    per_m3 = sum(mass_kg * price_per_kg.get(name, 0.0) for name, mass_kg in made.recipe_kg_m3.items())
    unpriced = tuple(name for name in made.recipe_kg_m3 if name not in price_per_kg and name != "water")
    return MixCost(per_m3=per_m3, unpriced=unpriced)


def compare(
    mixes: Sequence[Mix],
    materials: Mapping[str, Material],
    piece_m3: Mapping[str, float],
    quantity: Mapping[str, int],
    price_per_kg: Mapping[str, float],
) -> tuple[ComparedMix, ...]:
    """The same pieces cast wholly in each mix.

    piece_m3      volume of one piece, by piece mark
    quantity      how many of each
    price_per_kg  by material, as weighed; one that is missing is left out of the cost and named

    Costs are of the material in the pieces: no waste, no whole packs. Raises MixError for a mix at fault.
    """
    return tuple(_compared(mix, make(mix, materials), piece_m3, quantity, price_per_kg) for mix in mixes)


def replacement_curve(
    mix: Mix,
    materials: Mapping[str, Material],
    sand: str,
    bead: str,
    price_per_kg: Mapping[str, float],
    points: int = 21,
) -> ReplacementCurve:
    """Density and cost of a mix over 0 to 100 % of the loose volume of its sand replaced by beads."""
    fractions = np.linspace(0.0, 1.0, points)
    made = [make(with_replacement(mix, sand, bead, float(fraction)), materials) for fraction in fractions]
    floating = [float(fraction) for fraction, one in zip(fractions, made, strict=True) if one.floats]
    return ReplacementCurve(
        fraction=fractions,
        fresh_density_kg_m3=np.array([one.fresh_density_kg_m3 for one in made]),
        installed_density_kg_m3=np.array([one.installed_density_kg_m3 for one in made]),
        cost_per_m3=np.array([cost_of(one, price_per_kg).per_m3 for one in made]),
        floats_from=min(floating) if floating else None,
    )


def _compared(
    mix: Mix,
    made: MadeMix,
    piece_m3: Mapping[str, float],
    quantity: Mapping[str, int],
    price_per_kg: Mapping[str, float],
) -> ComparedMix:
    cost = cost_of(made, price_per_kg)
    job_m3 = sum(volume_m3 * quantity[mark] for mark, volume_m3 in piece_m3.items())
    return ComparedMix(
        made=made,
        piece_fresh_kg={mark: made.fresh_density_kg_m3 * volume_m3 for mark, volume_m3 in piece_m3.items()},
        piece_installed_kg={mark: made.installed_density_kg_m3 * volume_m3 for mark, volume_m3 in piece_m3.items()},
        piece_cost={mark: cost.per_m3 * volume_m3 for mark, volume_m3 in piece_m3.items()},
        job_fresh_kg=made.fresh_density_kg_m3 * job_m3,
        job_cost=cost.per_m3 * job_m3,
        cost=cost,
        first_crack_strength_pa=mix.first_crack_strength_pa,
    )
