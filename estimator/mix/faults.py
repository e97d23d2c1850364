"""What can be wrong with a mix: each fault says which figure, what is wrong with it and how to fix it."""

from collections.abc import Callable, Iterator, Mapping
from math import isfinite

from estimator.errors import FaultError
from estimator.job import Material, Mix

SHARES_SUM_TOLERANCE = 1e-6
MAX_ABSORPTION_OF_SOLID_AGGREGATE = 0.30  # of dry mass; natural aggregate takes up 0.2 to 4 %, only porous ones more


def faults_of(mix: Mix, materials: Mapping[str, Material]) -> tuple[FaultError, ...]:
    """Every fault of a mix that can be seen before it is proportioned, in the order in which the mix is written."""
    return tuple(_faults(mix, materials))


def particle_density_kg_m3(material: Material) -> float:
    """Density of the particles (solid) or of the product (liquid); of a bead, its loose bulk density over its packing.

    Raises FaultError where neither is given.
    """
    density = material.density_kg_m3
    if density is None and material.packing is not None and material.bulk_density_kg_m3 is not None:
        density = material.bulk_density_kg_m3 / material.packing
    if density is None or not (isfinite(density) and density > 0.0):
        raise FaultError(
            f"materials.{material.name}.density",
            f"{material.name} has no density, so its volume in the mix is not known.",
            "Give relative_density, density, or packing with bulk_density.",
        )
    return density


def bulk_density_kg_m3(material: Material) -> float:
    """Loose, dry bulk density of an aggregate. Raises FaultError where it is not given."""
    density = material.bulk_density_kg_m3
    if density is None or not (isfinite(density) and density > 0.0):
        raise FaultError(
            f"materials.{material.name}.bulk_density",
            f"{material.name} has no loose bulk density, and aggregate is measured by loose volume.",
            "Weigh a level bucket of it and give bulk_density.",
        )
    return density


def _faults(mix: Mix, materials: Mapping[str, Material]) -> Iterator[FaultError]:
    if not 0.0 < mix.cementitious_share <= 1.0:
        yield FaultError(
            "cementitious_share",
            f"{mix.cementitious_share:g} is not a share of the counted dry mass.",
            "Write a number above 0 and at most 1, such as 0.5.",
        )
    if not (isfinite(mix.water_cementitious) and mix.water_cementitious > 0.0):
        yield FaultError(
            "water_cementitious", f"{mix.water_cementitious:g} is not above 0.", "Write a ratio such as 0.34."
        )
    if not 0.0 <= mix.air < 1.0:
        yield FaultError("air", f"{mix.air:g} is not a fraction of the volume.", "Write a number such as 0.04.")
    if not (isfinite(mix.water_density_kg_m3) and mix.water_density_kg_m3 > 0.0):
        yield FaultError("water_density", f"{mix.water_density_kg_m3:g} kg/m³ is not above 0.")
    yield from _share_faults("cementitious", mix.cementitious)
    if mix.aggregate or mix.cementitious_share < 1.0:
        yield from _share_faults("aggregate", mix.aggregate)
        yield from _reference_faults(mix, materials)
    for role, doses in (
        ("admixtures", mix.admixtures),
        ("polymer", mix.polymer),
        ("pigment", mix.pigment),
        ("fibre", mix.fibre),
    ):
        for name, dose in doses.items():
            if not (isfinite(dose) and dose >= 0.0):
                yield FaultError(f"{role}.{name}", f"a dose of {dose:g} is not a number of 0 or more.")
    if mix.fibre_basis == "total" and sum(mix.fibre.values()) >= 1.0:
        yield FaultError(
            "fibre", "fibre makes up the whole mix.", "A dose of everything must be below 1, such as 0.03."
        )
    for role in ("cementitious", "aggregate", "admixtures", "polymer", "pigment", "fibre"):
        for name in getattr(mix, role):
            yield from _material_faults(f"{role}.{name}", name, role == "aggregate", materials)


def _share_faults(role: str, shares: Mapping[str, float]) -> Iterator[FaultError]:
    for name, share in shares.items():
        if not (isfinite(share) and share >= 0.0):
            yield FaultError(f"{role}.{name}", f"a share of {share:g} is not a number of 0 or more.")
    total = sum(shares.values())
    if abs(total - 1.0) > SHARES_SUM_TOLERANCE:
        what = f"the shares sum to {total:.9g}, not 1." if shares else "there is none in the mix."
        yield FaultError(role, what, "Shares are of the whole: make them sum to 1.")


def _reference_faults(mix: Mix, materials: Mapping[str, Material]) -> Iterator[FaultError]:
    if not mix.aggregate:
        return
    if mix.cementitious_share == 1.0:
        yield FaultError(
            "cementitious_share",
            "1 leaves nothing for the aggregate that the mix names.",
            "Lower the share or leave the aggregate out.",
        )
    if mix.reference_sand is None:
        yield FaultError(
            "reference_sand",
            "it is not said which sand's volume is counted.",
            'Name it, such as reference_sand = "silica-sand".',
        )
    elif mix.reference_sand not in materials:
        yield FaultError("reference_sand", f"{mix.reference_sand} is not among the materials.")
    else:
        yield from _raised_by(bulk_density_kg_m3, materials[mix.reference_sand])


def _material_faults(
    key: str, name: str, is_aggregate: bool, materials: Mapping[str, Material]
) -> Iterator[FaultError]:
    if name == "water":
        yield FaultError(key, "water is set by water_cementitious alone.", "Leave it out here.")
        return
    if name not in materials:
        yield FaultError(key, f"{name} is not among the materials.", "Correct the name or add the material.")
        return
    material = materials[name]
    yield from _raised_by(particle_density_kg_m3, material)
    if not 0.0 < material.solids <= 1.0:
        yield FaultError(
            f"materials.{name}.solids",
            f"{material.solids:g} is not a share of the product's mass.",
            "Write a number above 0 and at most 1, such as 0.5.",
        )
    if not is_aggregate:
        return
    yield from _raised_by(bulk_density_kg_m3, material)
    if not (isfinite(material.moisture) and material.moisture >= 0.0):
        yield FaultError(f"materials.{name}.moisture", f"{material.moisture:g} is not a number of 0 or more.")
    if not (isfinite(material.absorption) and material.absorption >= 0.0):
        yield FaultError(f"materials.{name}.absorption", f"{material.absorption:g} is not a number of 0 or more.")
    elif material.kind != "light-aggregate" and material.absorption > MAX_ABSORPTION_OF_SOLID_AGGREGATE:
        yield FaultError(
            f"materials.{name}.absorption",
            f"{name} would take up {material.absorption:g} of its dry mass in water; only a light aggregate does.",
            f"{material.absorption:g} %? Write {material.absorption / 100.0:g}.",
        )


def _raised_by(figure: Callable[[Material], float], material: Material) -> Iterator[FaultError]:
    try:
        figure(material)
    except FaultError as fault:
        yield fault
