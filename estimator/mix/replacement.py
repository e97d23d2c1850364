"""Sand replaced by beads: by loose volume, by absolute volume or by mass, and what each does to the yield."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from estimator.job import Material, Mix, ReplacedBy
from estimator.mix.faults import MixError, bulk_density_kg_m3, particle_density_kg_m3
from estimator.mix.made import MadeMix, make
from estimator.mix.recipe import aggregate_of
from estimator.mix.weighed import mix_of_recipe

_SAME_SHARE = 1e-12  # the rounding of a share taken apart and put together again
REPLACED_BY: tuple[ReplacedBy, ...] = ("loose-volume", "absolute-volume", "mass")


@dataclass(frozen=True, slots=True)
class Replacement:
    """One way of replacing a part of the sand, for what made one cubic metre with all the sand in."""

    by: ReplacedBy
    mix: Mix
    made: MadeMix
    sand_out_kg: float
    bead_in_kg: float
    bead_in_loose_m3: float
    yield_m3: float  # of the batch that made 1 m3 before
    lighter: float  # fraction by which the fresh density falls


def with_replacement(mix: Mix, sand: str, bead: str, fraction: float) -> Mix:
    """The mix with `fraction` of the loose volume that sand and bead share given to the bead: the trade's own way.

    Another mix than the one that was tested comes out untested.
    Raises MixError where neither is in the mix, or the fraction is not from 0 to 1.
    """
    _check_fraction(fraction)
    shared = mix.aggregate.get(sand, 0.0) + mix.aggregate.get(bead, 0.0)
    if shared <= 0.0:
        raise MixError(f"aggregate.{sand}", f"{mix.name} has neither {sand} nor {bead} in it.", "Name its sand.")
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


def swapped(
    mix: Mix,
    materials: Mapping[str, Material],
    sand: str,
    bead: str,
    fraction: float,
    by: ReplacedBy = "loose-volume",
) -> Mix:
    """The mix with beads standing in for `fraction` of its sand, counted from the mix as if it were all sand.

    by  as in `replace_sand`; what else the mix has keeps its mass
    Raises MixError as `with_replacement` and `replace_sand`.
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
    """The sand that is swapped and the bead that stands in for it: those named, else the only ones of the mix.

    Raises MixError where one is open, or a name is no sand and no light aggregate.
    """
    beads = [name for name in mix.aggregate if materials[name].kind == "light-aggregate"]
    sand = sand or mix.reference_sand
    if sand is None or sand not in materials or materials[sand].kind != "sand":
        raise MixError("sand", f"{sand or 'no sand'} is no sand that could be swapped.", "Name the sand.")
    if bead is None:
        if len(beads) != 1:
            held = "holds no light aggregate" if not beads else f"holds {' and '.join(beads)}"
            raise MixError("bead", f"{mix.name} {held}: which bead comes in is open.", "Name the bead.")
        return sand, beads[0]
    if bead not in materials or materials[bead].kind != "light-aggregate":
        raise MixError("bead", f"{bead} is no light aggregate.", "Name one such as coated-eps-bead.")
    return sand, bead


def replace_sand(
    mix: Mix, materials: Mapping[str, Material], sand: str, bead: str, fraction: float, by: ReplacedBy
) -> Replacement:
    """Replace `fraction` of the sand in a mix by beads, and compare with the mix as it was.

    by  "loose-volume": a bucket of beads for a bucket of sand, which keeps the yield only if both pack alike;
        "absolute-volume": beads that fill the space of the sand itself, which keeps the yield;
        "mass": a kilogram for a kilogram, which for beads is many buckets.

    Everything else keeps its mass. Raises MixError where the sand is not in the mix.
    """
    _check_fraction(fraction)
    before = make(mix, materials)
    sand_kg = sum(part.solids_kg for part in before.recipe.ingredients if part.material == sand)
    if sand_kg == 0.0:
        raise MixError(f"aggregate.{sand}", f"{mix.name} has no {sand} in it to replace.", "Name its sand.")
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
        made=after,
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
    except MixError:
        return ()


def _check_fraction(fraction: float) -> None:
    if not 0.0 <= fraction <= 1.0:
        raise MixError("replacement", f"{fraction:g} is not a fraction of the sand.", "Write a number from 0 to 1.")
