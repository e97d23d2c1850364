"""A mix of the job file, however it is written, as the one inner form; its coupons as what they show."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from estimator import job
from estimator.intake.mix_schema import WATER, CouponTable, MixTable
from estimator.mix.faults import MixError
from estimator.mix.limits import usual_air
from estimator.mix.replacement import swap_pair, swapped
from estimator.mix.written import (
    mix_from_mass_per_volume,
    mix_from_masses,
    mix_from_volume_parts,
    share_of_sand_ratio,
)
from estimator.names import first_spellings

UNSTATED_AIR = 0.04  # poured, common practice 3 to 4 %
_DAY_S = 86_400.0


def build_mix(
    name: str, table: MixTable, materials: Mapping[str, job.Material], held_back: float, water_density_kg_m3: float
) -> job.Mix:
    """The mix that a table writes, its counted sand settled, sand replaced where it says so.

    held_back            share of the water kept for the second addition, where the mix names none
    water_density_kg_m3  of the job
    Raises MixError where the masses or parts make no mix.
    """
    mix = replace(
        _FORMS[table.form](name, table, materials, water_density_kg_m3),
        name=name,
        waste=table.waste,
        water_held_back=held_back if table.water_held_back is None else table.water_held_back,
        consistency=table.consistency or "",
        colour_group=table.colour_group or "",
        first_crack_strength_pa=table.first_crack_strength,
    )
    if table.replacement is None:
        return _with_usual_air(mix, table, materials)
    swap = table.replacement
    sand, bead = swap_pair(mix, materials, swap.sand, swap.bead)
    # The strength written beside a replacement is that of the mix with its beads in.
    made = swapped(mix, materials, sand, bead, swap.share, swap.by)
    return _with_usual_air(replace(made, first_crack_strength_pa=table.first_crack_strength), table, materials)


def with_coupons(mix: job.Mix, tables: Sequence[CouponTable]) -> job.Mix:
    """The mix with its coupons, and the first-crack strength to count on at the latest age that they show."""
    from estimator.strength import Coupon, first_crack_to_count_on, flexural_strengths

    if not tables:
        return mix
    pours = first_spellings(table.pour for table in tables)
    coupons = tuple(
        Coupon(
            pour=pours[table.pour],
            age_d=table.age / _DAY_S,
            face_up=table.face == "up",
            span_m=table.span,
            width_m=table.width,
            depth_m=table.depth,
            peak_load_n=table.peak,
            limit_load_n=table.limit,
        )
        for table in tables
    )
    sets: dict[tuple[str, float], int] = {}
    for coupon in coupons:
        sets[coupon.pour, coupon.age_d] = sets.get((coupon.pour, coupon.age_d), 0) + 1
    strengths = flexural_strengths([each for each in coupons if sets[each.pour, each.age_d] > 1])
    shown = [each.age_d for each in strengths if (each.design_pa or 0.0) > 0.0]
    age_d = max(shown, default=None)
    strength_pa = None if age_d is None else first_crack_to_count_on(strengths, age_d)
    return replace(mix, coupons=coupons, first_crack_strength_pa=strength_pa, first_crack_age_d=age_d)


def _by_share(name: str, table: MixTable, materials: Mapping[str, job.Material], water_kg_m3: float) -> job.Mix:
    ratio = table.sand_cementitious
    sands = [each for each in table.aggregate if each in materials and materials[each].kind == "sand"]
    return job.Mix(
        name=name,
        cementitious_share=(table.cementitious_share or 0.0) if ratio is None else share_of_sand_ratio(ratio),
        cementitious=dict(table.cementitious),
        aggregate=dict(table.aggregate),
        reference_sand=table.reference_sand or (sands[0] if len(sands) == 1 else None),
        water_cementitious=table.water_cementitious or 0.0,
        air=_air(table),
        admixtures=dict(table.admixtures),
        polymer=dict(table.polymer),
        pigment=dict(table.pigment),
        fibre=dict(table.fibre),
        fibre_basis=table.fibre_basis,
        water_density_kg_m3=water_kg_m3,
        written_as="share" if ratio is None else "sand-ratio",
    )


def _by_masses(name: str, table: MixTable, materials: Mapping[str, job.Material], water_kg_m3: float) -> job.Mix:
    mix = mix_from_masses(
        name,
        table.masses or {},
        materials,
        air=_air(table),
        reference_sand=table.reference_sand,
        fibre_basis=table.fibre_basis,
        water_density_kg_m3=water_kg_m3,
    )
    return replace(mix, written_as="masses")


def _by_mass_per_volume(
    name: str, table: MixTable, materials: Mapping[str, job.Material], water_kg_m3: float
) -> job.Mix:
    mix = mix_from_mass_per_volume(
        name,
        table.mass_per_volume or {},
        1.0,
        materials,
        reference_sand=table.reference_sand,
        fibre_basis=table.fibre_basis,
        water_density_kg_m3=water_kg_m3,
    )
    return replace(mix, written_as="mass-per-volume")


def _by_parts(name: str, table: MixTable, materials: Mapping[str, job.Material], water_kg_m3: float) -> job.Mix:
    """Parts by bucket; what is dosed beside them goes by the cementitious that the parts come to."""
    mix = mix_from_volume_parts(
        name,
        table.volume_parts or {},
        materials,
        air=_air(table),
        water_cementitious=table.water_cementitious,
        reference_sand=table.reference_sand,
        water_density_kg_m3=water_kg_m3,
    )
    liquids = [name for name in (*table.admixtures, *table.polymer) if materials[name].solids < 1.0]
    if liquids and WATER in (table.volume_parts or {}):
        raise MixError(
            "volume_parts.water",
            f"water is given in parts, and {liquids[0]} brings more: how much the paste gets is open.",
            "Give water_cementitious in place of parts of water.",
        )
    if mix.fibre and table.fibre:
        raise MixError("fibre", "fibre is dosed and stands in volume_parts too.", "Keep one of the two.")
    return replace(
        mix,
        admixtures={**mix.admixtures, **table.admixtures},
        polymer={**mix.polymer, **table.polymer},
        pigment={**mix.pigment, **table.pigment},
        fibre={**mix.fibre, **table.fibre},
        fibre_basis=table.fibre_basis if table.fibre else "counted-dry",
        written_as="volume-parts",
    )


def _with_usual_air(mix: job.Mix, table: MixTable, materials: Mapping[str, job.Material]) -> job.Mix:
    """The mix with the usual air of its light aggregate, where it doses an air entrainer and names no air."""
    if table.air is not None or table.mass_per_volume is not None:
        return mix
    band = usual_air(mix, materials, UNSTATED_AIR)
    return mix if band is None else replace(mix, air=0.5 * sum(band), air_band=band)


def _air(table: MixTable) -> float:
    return UNSTATED_AIR if table.air is None else table.air


_FORMS: Mapping[str, Callable[[str, MixTable, Mapping[str, job.Material], float], job.Mix]] = {
    "cementitious_share": _by_share,
    "sand_cementitious": _by_share,
    "masses": _by_masses,
    "mass_per_volume": _by_mass_per_volume,
    "volume_parts": _by_parts,
}
