"""Sand replaced by beads: on each basis, by the rule of thumb of the trade, and mixes side by side."""

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

_SAME_SHARE = 1e-12  # the rounding of a share taken apart and put together again
REPLACED_BY: tuple[ReplacedBy, ...] = ("loose-volume", "absolute-volume", "mass")


@frozen
class Replacement:
    """One way of replacing a part of the sand, for what made one cubic meter with all the sand in."""

    by: ReplacedBy
    mix: Mix
    design: MixDesign
    sand_out_kg: float
    bead_in_kg: float
    bead_in_loose_m3: float
    yield_m3: float  # of the batch that made 1 m3 before
    lighter: float  # fraction by which the fresh density falls


def with_replacement(mix: Mix, sand: str, bead: str, fraction: float) -> Mix:
    """The mix with `fraction` of the loose volume that sand and bead share given to the bead: the trade's own way.

    Another mix than the one that was tested comes out untested.
    Raises FaultError where neither is in the mix, or the fraction is not from 0 to 1.
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
    """Share of the loose volume of sand and bead that the bead has."""
    shared = mix.aggregate.get(sand, 0.0) + mix.aggregate.get(bead, 0.0)
    return mix.aggregate.get(bead, 0.0) / shared if shared > 0.0 else 0.0


def untested(mix: Mix) -> Mix:
    """The mix without what another was tested for: a coupon and a bucket speak for their own mix alone."""
    return replace(mix, first_crack_strength_pa=None, first_crack_age_d=None, coupons=(), density_weighed=False)


def mix_with_beads(
    mix: Mix,
    materials: Mapping[str, Material],
    sand: str,
    bead: str,
    fraction: float,
    by: ReplacedBy = "loose-volume",
) -> Mix:
    """The mix with beads standing in for `fraction` of its sand, counted from the mix as if it were all sand.

    by  as in `replace_sand`; what else the mix has keeps its mass
    Raises FaultError as `with_replacement` and `replace_sand`.
    """
    if by == "loose-volume":
        return with_replacement(mix, sand, bead, fraction)
    other = replace_sand(with_replacement(mix, sand, bead, 0.0), materials, sand, bead, fraction, by).mix
    return untested(
        replace(
            mix,
            cementitious_share=other.cementitious_share,
            aggregate=other.aggregate,
            fibre=other.fibre,
            replaced_by=by,
        )
    )


def swap_pair(
    mix: Mix, materials: Mapping[str, Material], sand: str | None = None, bead: str | None = None
) -> tuple[str, str]:
    """The sand that is replaced and the bead that stands in for it: those named, else the only ones of the mix.

    Raises FaultError where one is open, or a name is no sand and no light aggregate.
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
    """Replace `fraction` of the sand in a mix by beads, and compare with the mix as it was.

    by  "loose-volume": a bucket of beads for a bucket of sand, which keeps the yield only if both pack alike;
        "absolute-volume": beads that fill the space of the sand itself, which keeps the yield;
        "mass": a kilogram for a kilogram, which for beads is many buckets.

    Everything else keeps its mass. Raises FaultError where the sand is not in the mix.
    """
    _check_fraction(fraction)
    before = make(mix, materials)
    sand_kg = sum(part.solids_kg for part in before.recipe.ingredients if part.material == sand)
    if sand_kg == 0.0:
        raise FaultError(f"aggregate.{sand}", message("swap-nothing", name=mix.name, sand=sand))
    out_kg = fraction * sand_kg
    out, beads = materials[sand], materials[bead]
    ratio = {
        "loose-volume": bulk_density_kg_m3(beads) / bulk_density_kg_m3(out),
        "absolute-volume": particle_density_kg_m3(beads) / particle_density_kg_m3(out),
        "mass": 1.0,
    }[by]
    parts = []
    bead_kg = out_kg * ratio
    for part in before.recipe.ingredients:
        if part.material == sand:
            parts.append(aggregate_of(out, sand_kg - out_kg))
            parts.append(aggregate_of(beads, bead_kg))
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
        bead_in_loose_m3=bead_kg / bulk_density_kg_m3(beads),
        yield_m3=before.recipe.cementitious_kg / after.cementitious_kg_m3,
        lighter=1.0 - after.fresh_density_kg_m3 / before.fresh_density_kg_m3,
    )


def replacements(
    mix: Mix, materials: Mapping[str, Material], sand: str, bead: str, fraction: float
) -> tuple[Replacement, ...]:
    """The same fraction replaced in each of the three ways, side by side; none where one of them cannot be made.

    Damp sand may bring too much water to a mix of sand alone, however sound the mix is with its beads in.
    """
    try:
        return tuple(replace_sand(mix, materials, sand, bead, fraction, by) for by in REPLACED_BY)
    except FaultError:
        return ()


def _check_fraction(fraction: float) -> None:
    if not 0.0 <= fraction <= 1.0:
        raise FaultError("replacement", message("swap-fraction", fraction=f"{fraction:g}"))


LIGHTER_PER_REPLACED = 0.5  # common practice: half the sand by volume, a quarter of the weight
MOST_AIR = 0.25  # beyond it a mix is foam, and its strength is gone; choice, as the two below
LEANEST_SHARE = 0.30  # of counted dry mass: less cement does not coat its sand
LOOSEST_PACKING = 0.50  # of a dry sand, fallen in loose
_ENOUGH = 1e-6


@frozen
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

    Raises FaultError where the mix cannot be made.
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
    """Share of the fresh density of the all-sand mix that is gone with the beads in; `air` of the mix with beads."""
    with_beads = mix if air is None else replace(mix, air=air)
    all_sand = make(with_replacement(mix, sand, bead, 0.0), materials)
    return 1.0 - make(with_beads, materials).fresh_density_kg_m3 / all_sand.fresh_density_kg_m3


def _closes(missing: Callable[[float], float], now: float, bound: float) -> float | None:
    """The value between `now` and `bound` at which `missing` is zero; None without a root in between."""
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
    """Material cost of one cubic meter; materials without a price are not in it."""

    per_m3: float
    unpriced: tuple[str, ...]


@frozen
class ComparedMix:
    """One mix in a comparison: the same pieces, cast in it."""

    design: MixDesign
    piece_fresh_kg: Mapping[str, float]  # by piece mark, of one
    piece_installed_kg: Mapping[str, float]
    piece_cost: Mapping[str, float]
    job_fresh_kg: float  # all pieces of the job
    job_cost: float
    cost: MixCost
    first_crack_strength_pa: float | None  # None: untested


@frozen
class ReplacementCurve:
    """One mix over the fraction of its sand that is replaced; arrays of one length, shape (n,)."""

    fraction: Floats
    fresh_density_kg_m3: Floats
    installed_density_kg_m3: Floats
    cost_per_m3: Floats
    floats_from: float | None  # least fraction shown at which the fresh mix is lighter than water


def cost_of(design: MixDesign, price_per_kg: Mapping[str, float]) -> MixCost:
    """Material cost of a mix per m3 from prices per kg as weighed; water is free unless priced."""
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
    """The same pieces cast wholly in each mix.

    piece_m3      volume of one piece, by piece mark
    quantity      how many of each
    price_per_kg  by material, as weighed; one that is missing is left out of the cost and named

    Costs are of the material in the pieces: no waste, no whole packs. Raises FaultError for a mix at fault.
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
