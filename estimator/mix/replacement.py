"""Replacement of sand by beads on each basis, the trade's rule of thumb, and mixes side by side."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from estimator.errors import FaultError
from estimator.job import Material, Mix, ReplacedBy
from estimator.mix.faults import bulk_density_kg_m3, particle_density_kg_m3
from estimator.mix.fresh import MixDesign, make
from estimator.mix.proportions import mix_of_recipe
from estimator.mix.recipe import aggregate_of
from geometry.frozen import frozen
from geometry.message import message

_SAME_SHARE = 1e-12  # rounding error of a share that is split and added up again
REPLACED_BY: tuple[ReplacedBy, ...] = ("loose-volume", "absolute-volume", "mass")


@frozen
class Replacement:
    """One way to replace part of the sand in a batch that makes one cubic meter with all its sand."""

    by: ReplacedBy
    mix: Mix
    design: MixDesign
    sand_out_kg: float
    bead_in_kg: float
    bead_in_loose_m3: float
    yield_m3: float  # of the batch that made 1 m3 before
    lighter: float  # relative drop of the fresh density


def with_replacement(mix: Mix, sand: str, bead: str, fraction: float) -> Mix:
    """Mix with `fraction` of the joint loose volume of sand and bead given to the bead, as the trade does it.

    If the mix changes, its tests no longer apply and it comes out untested. Raises FaultError if neither material is
    in the mix, or if the fraction is not from 0 to 1.
    """
    _check_fraction(fraction)
    shared = mix.aggregate.get(sand, 0.0) + mix.aggregate.get(bead, 0.0)
    if shared <= 0.0:
        raise FaultError(f"aggregate.{sand}", message("swap-neither", name=mix.name, sand=sand, bead=bead))
    aggregate = {name: share for name, share in mix.aggregate.items() if name not in (sand, bead)}
    aggregate = {sand: shared * (1.0 - fraction), bead: shared * fraction} | aggregate
    aggregate = {name: share for name, share in aggregate.items() if share > 0.0}
    names = {*aggregate, *mix.aggregate}
    if all(abs(aggregate.get(name, 0.0) - mix.aggregate.get(name, 0.0)) <= _SAME_SHARE for name in names):
        return mix
    return untested(replace(mix, aggregate=aggregate))


def replaced_share(mix: Mix, sand: str, bead: str) -> float:
    """Share of the bead in the joint loose volume of sand and bead."""
    shared = mix.aggregate.get(sand, 0.0) + mix.aggregate.get(bead, 0.0)
    return mix.aggregate.get(bead, 0.0) / shared if shared > 0.0 else 0.0


def untested(mix: Mix) -> Mix:
    """Mix without its test results, which apply only to the mix that was tested."""
    return replace(mix, first_crack_strength_pa=None, first_crack_age_d=None, coupons=(), density_weighed=False)


def mix_with_beads(
    mix: Mix,
    materials: Mapping[str, Material],
    sand: str,
    bead: str,
    fraction: float,
    by: ReplacedBy = "loose-volume",
) -> Mix:
    """Mix with `fraction` of its sand replaced by beads, relative to the same mix with all sand.

    by  basis, as in `replace_sand`; the other materials keep their mass

    Raises FaultError as `with_replacement` and `replace_sand` do.
    """
    if by == "loose-volume":
        return with_replacement(mix, sand, bead, fraction)
    replaced = replace_sand(with_replacement(mix, sand, bead, 0.0), materials, sand, bead, fraction, by).mix
    return untested(
        replace(
            mix,
            cementitious_share=replaced.cementitious_share,
            aggregate=replaced.aggregate,
            fibre=replaced.fibre,
            replaced_by=by,
        )
    )


def swap_pair(
    mix: Mix, materials: Mapping[str, Material], sand: str | None = None, bead: str | None = None
) -> tuple[str, str]:
    """Sand to replace and bead to replace it: those named, else the only ones of the mix.

    Raises FaultError if either is ambiguous, or if a name is not a sand or not a light aggregate.
    """
    beads = [name for name in mix.aggregate if materials[name].kind == "light-aggregate"]
    sand = sand or mix.reference_sand
    if sand is None or sand not in materials or materials[sand].kind != "sand":
        raise FaultError("sand", message("swap-no-sand", sand=sand) if sand else message("swap-sand-unknown"))
    if bead is None:
        if len(beads) != 1:
            missing = message("swap-bead-missing", name=mix.name)
            raise FaultError("bead", message("swap-which-bead", name=mix.name, beads=beads) if beads else missing)
        return sand, beads[0]
    if bead not in materials or materials[bead].kind != "light-aggregate":
        raise FaultError("bead", message("swap-no-bead", bead=bead))
    return sand, bead


def replace_sand(
    mix: Mix, materials: Mapping[str, Material], sand: str, bead: str, fraction: float, by: ReplacedBy
) -> Replacement:
    """Replace `fraction` of the sand in a mix by beads, and compare with the mix before.

    by  "loose-volume": a bucket of beads for a bucket of sand, which keeps the yield only if both pack alike;
        "absolute-volume": beads that fill the solid volume of the sand, which keeps the yield;
        "mass": a kilogram for a kilogram, which for beads is many buckets.

    Everything else keeps its mass. Raises FaultError if the sand is not in the mix.
    """
    _check_fraction(fraction)
    before = make(mix, materials)
    sand_kg = sum(part.solids_kg for part in before.recipe.ingredients if part.material == sand)
    if sand_kg == 0.0:
        raise FaultError(f"aggregate.{sand}", message("swap-nothing", name=mix.name, sand=sand))
    out_kg = fraction * sand_kg
    sand_material, bead_material = materials[sand], materials[bead]
    ratio = {
        "loose-volume": bulk_density_kg_m3(bead_material) / bulk_density_kg_m3(sand_material),
        "absolute-volume": particle_density_kg_m3(bead_material) / particle_density_kg_m3(sand_material),
        "mass": 1.0,
    }[by]
    parts = []
    bead_kg = out_kg * ratio
    for part in before.recipe.ingredients:
        if part.material == sand:
            parts.append(aggregate_of(sand_material, sand_kg - out_kg))
            parts.append(aggregate_of(bead_material, bead_kg))
        else:
            parts.append(part)
    reference_kg_m3 = bulk_density_kg_m3(materials[mix.reference_sand or sand])
    loose_m3 = sum(part.loose_m3 for part in parts if part.loose_m3 is not None)
    recipe = replace(
        before.recipe,
        counted_dry_kg=before.recipe.cementitious_kg + loose_m3 * reference_kg_m3,
        ingredients=tuple(part for part in parts if part.solids_kg > 0.0),
    )
    replaced = mix_of_recipe(
        recipe,
        reference_sand=mix.reference_sand,
        air=mix.air,
        fibre_basis=mix.fibre_basis,
        water_density_kg_m3=mix.water_density_kg_m3,
    )
    after = make(replaced, materials)
    return Replacement(
        by=by,
        mix=replaced,
        design=after,
        sand_out_kg=out_kg,
        bead_in_kg=bead_kg,
        bead_in_loose_m3=bead_kg / bulk_density_kg_m3(bead_material),
        yield_m3=before.recipe.cementitious_kg / after.cementitious_kg_m3,
        lighter=1.0 - after.fresh_density_kg_m3 / before.fresh_density_kg_m3,
    )


def replacements(
    mix: Mix, materials: Mapping[str, Material], sand: str, bead: str, fraction: float
) -> tuple[Replacement, ...]:
    """Same fraction replaced in each of the three ways, side by side; empty if one of them cannot be made.

    Damp sand may bring too much water to an all-sand mix, even if the mix with beads can be made.
    """
    try:
        return tuple(replace_sand(mix, materials, sand, bead, fraction, by) for by in REPLACED_BY)
    except FaultError:
        return ()


def _check_fraction(fraction: float) -> None:
    if not 0.0 <= fraction <= 1.0:
        raise FaultError("replacement", message("swap-fraction", fraction=f"{fraction:g}"))


LIGHTER_PER_REPLACED = 0.5  # common practice: replace half the sand by volume, lose a quarter of the weight
MOST_AIR = 0.25  # with more air a mix is foam without strength; choice, like the two below
LEANEST_SHARE = 0.30  # of counted dry mass: less cement does not coat the sand
LOOSEST_PACKING = 0.50  # of a dry sand, poured loose
_ENOUGH = 1e-6


@frozen
class RuleOfThumb:
    """A mix with beads compared with the all-sand mix and with the rule of thumb, and changes that would meet the rule.

    share                    share of the sand that is replaced
    lighter, expected        relative drop of the fresh density, actual and by the rule
    air                      air of the mix with beads; the other figures apply to both mixes
    cementitious_share       a leaner mix has more sand to replace
    sand_bulk_density_kg_m3  a sand that packs looser makes room for more beads by the bucket

    Each of the last three is the value that alone would meet the rule; None if it cannot. Fields with `_now` are the
    present values.
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
    """Comparison of a mix with the rule; None if no sand is replaced, or if it is at least as light as the rule.

    Raises FaultError if the mix cannot be made.
    """
    try:
        sand, bead = swap_pair(mix, materials)
    except FaultError:
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
    """Relative drop of the fresh density from the all-sand mix; `air` overrides that of the mix with beads."""
    with_beads = mix if air is None else replace(mix, air=air)
    all_sand = make(with_replacement(mix, sand, bead, 0.0), materials)
    return 1.0 - make(with_beads, materials).fresh_density_kg_m3 / all_sand.fresh_density_kg_m3


def _closes(missing: Callable[[float], float], now: float, bound: float) -> float | None:
    """Value between `now` and `bound` at which `missing` is zero; None without a root in between."""
    from scipy.optimize import brentq

    try:
        at_bound = missing(bound)
    except FaultError:
        return None
    if at_bound < 0.0:
        return None
    return float(brentq(missing, min(now, bound), max(now, bound), xtol=1e-9))


Floats = NDArray[np.float64]


@frozen
class MixCost:
    """Material cost of one cubic meter, without unpriced materials."""

    per_m3: float
    unpriced: tuple[str, ...]


@frozen
class ComparedMix:
    """One mix in a comparison, with the same pieces cast in it."""

    design: MixDesign
    piece_fresh_kg: Mapping[str, float]  # one piece, by mark
    piece_installed_kg: Mapping[str, float]
    piece_cost: Mapping[str, float]
    job_fresh_kg: float  # all pieces of the job
    job_cost: float
    cost: MixCost
    first_crack_strength_pa: float | None  # None: untested


@frozen
class ReplacementCurve:
    """Figures of one mix against the fraction of its sand that is replaced; arrays (n,)."""

    fraction: Floats
    fresh_density_kg_m3: Floats
    installed_density_kg_m3: Floats
    cost_per_m3: Floats
    floats_from: float | None  # smallest fraction of the curve at which the fresh mix is lighter than water


def cost_of(design: MixDesign, price_per_kg: Mapping[str, float]) -> MixCost:
    """Material cost of a mix per m3, from prices per kg as weighed. Water is free unless priced."""
    per_m3 = sum(mass_kg * price_per_kg.get(name, 0.0) for name, mass_kg in design.recipe_kg_m3.items())
    unpriced = tuple(name for name in design.recipe_kg_m3 if name not in price_per_kg and name != "water")
    return MixCost(per_m3=per_m3, unpriced=unpriced)


def compare(
    mixes: Sequence[Mix],
    materials: Mapping[str, Material],
    piece_m3: Mapping[str, float],
    quantity: Mapping[str, int],
    price_per_kg: Mapping[str, float],
) -> tuple[ComparedMix, ...]:
    """Comparison of the same pieces cast entirely in each mix.

    piece_m3      volume of one piece, by piece mark
    quantity      number of pieces, by piece mark
    price_per_kg  price by material, as weighed; a missing material is left out of the cost and named

    Costs cover the material in the pieces, without waste or whole packs. Raises FaultError for a mix with a fault.
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
    """Density and cost of a mix with 0 to 100 % of the loose volume of its sand replaced by beads."""
    fractions = np.linspace(0.0, 1.0, points)
    designs = [make(with_replacement(mix, sand, bead, float(fraction)), materials) for fraction in fractions]
    floating = [float(fraction) for fraction, design in zip(fractions, designs, strict=True) if design.floats]
    return ReplacementCurve(
        fraction=fractions,
        fresh_density_kg_m3=np.array([design.fresh_density_kg_m3 for design in designs]),
        installed_density_kg_m3=np.array([design.installed_density_kg_m3 for design in designs]),
        cost_per_m3=np.array([cost_of(design, price_per_kg).per_m3 for design in designs]),
        floats_from=min(floating) if floating else None,
    )


def _compared(
    mix: Mix,
    design: MixDesign,
    piece_m3: Mapping[str, float],
    quantity: Mapping[str, int],
    price_per_kg: Mapping[str, float],
) -> ComparedMix:
    cost = cost_of(design, price_per_kg)
    job_m3 = sum(volume_m3 * quantity[mark] for mark, volume_m3 in piece_m3.items())
    return ComparedMix(
        design=design,
        piece_fresh_kg={mark: design.fresh_density_kg_m3 * volume_m3 for mark, volume_m3 in piece_m3.items()},
        piece_installed_kg={mark: design.installed_density_kg_m3 * volume_m3 for mark, volume_m3 in piece_m3.items()},
        piece_cost={mark: cost.per_m3 * volume_m3 for mark, volume_m3 in piece_m3.items()},
        job_fresh_kg=design.fresh_density_kg_m3 * job_m3,
        job_cost=cost.per_m3 * job_m3,
        cost=cost,
        first_crack_strength_pa=mix.first_crack_strength_pa,
    )
