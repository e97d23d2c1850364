"""The trade's rule of thumb, half the sand replaced and a quarter of the weight gone, and what a mix lacks of it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from estimator.job import Material, Mix
from estimator.mix.faults import MixError, bulk_density_kg_m3, particle_density_kg_m3
from estimator.mix.made import make
from estimator.mix.replacement import replaced_share, swap_pair, with_replacement

LIGHTER_PER_REPLACED = 0.5  # common practice: half the sand by volume, a quarter of the weight
MOST_AIR = 0.25  # beyond it a mix is foam, and its strength is gone; choice, as the two below
LEANEST_SHARE = 0.30  # of counted dry mass: less cement does not coat its sand
LOOSEST_PACKING = 0.50  # of a dry sand, fallen in loose
_ENOUGH = 1e-6


@dataclass(frozen=True, slots=True)
class RuleOfThumb:
    """What a mix with beads weighs against the same mix with all its sand, and what would make it as light as the rule.

    lighter, expected      share of the fresh density that is gone, and that the rule promises
    air                    of the mix with beads, with what it is now; the others of both mixes
    cementitious_share     a leaner mix has more sand to replace
    sand_bulk_density_kg_m3  a sand that packs looser makes room for more beads, by the bucket

    Each is what that figure alone would have to be; None where it cannot close the gap by itself.
    """

    share: float
    lighter: float
    expected: float
    air_now: float
    air: float | None
    cementitious_share_now: float
    cementitious_share: float | None
    sand: str
    sand_bulk_density_now_kg_m3: float
    sand_bulk_density_kg_m3: float | None


def rule_of_thumb(mix: Mix, materials: Mapping[str, Material]) -> RuleOfThumb | None:
    """How a mix stands against the rule; None where no sand is replaced, or it is as light as the rule or lighter.

    Raises MixError where the mix cannot be made.
    """
    try:
        sand, bead = swap_pair(mix, materials)
    except MixError:
        return None
    share = replaced_share(mix, sand, bead)
    expected = LIGHTER_PER_REPLACED * share
    lighter = _lighter(mix, materials, sand, bead)
    if share == 0.0 or lighter >= expected - _ENOUGH:
        return None
    bulk_kg_m3 = bulk_density_kg_m3(materials[sand])

    def missing_with_air(air: float) -> float:
        return _lighter(mix, materials, sand, bead, air=air) - expected

    def missing_with_share(cementitious_share: float) -> float:
        return _lighter(replace(mix, cementitious_share=cementitious_share), materials, sand, bead) - expected

    def missing_with_bulk(density_kg_m3: float) -> float:
        looser = replace(materials[sand], bulk_density_kg_m3=density_kg_m3)
        return _lighter(mix, {**materials, sand: looser}, sand, bead) - expected

    return RuleOfThumb(
        share=share,
        lighter=lighter,
        expected=expected,
        air_now=mix.air,
        air=_closes(missing_with_air, mix.air, MOST_AIR),
        cementitious_share_now=mix.cementitious_share,
        cementitious_share=_closes(missing_with_share, mix.cementitious_share, LEANEST_SHARE),
        sand=sand,
        sand_bulk_density_now_kg_m3=bulk_kg_m3,
        sand_bulk_density_kg_m3=_closes(
            missing_with_bulk, bulk_kg_m3, LOOSEST_PACKING * particle_density_kg_m3(materials[sand])
        ),
    )


def _lighter(mix: Mix, materials: Mapping[str, Material], sand: str, bead: str, *, air: float | None = None) -> float:
    """Share of the fresh density of the all-sand mix that is gone with the beads in; `air` of the mix with beads."""
    with_beads = mix if air is None else replace(mix, air=air)
    all_sand = make(with_replacement(mix, sand, bead, 0.0), materials)
    return 1.0 - make(with_beads, materials).fresh_density_kg_m3 / all_sand.fresh_density_kg_m3


def _closes(missing: Callable[[float], float], now: float, bound: float) -> float | None:
    """The figure between now and its bound at which nothing is missing; None where there is none."""
    from scipy.optimize import brentq

    try:
        at_bound = missing(bound)
    except MixError:
        return None
    if at_bound < 0.0:
        return None
    return float(brentq(missing, min(now, bound), max(now, bound), xtol=1e-9))
