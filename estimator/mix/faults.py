"""Faults of a mix. Each names the figure, what is wrong with it and how to fix it."""

from collections.abc import Callable, Iterator, Mapping
from math import isfinite

from estimator.errors import FaultError
from estimator.job import Material, Mix
from geometry.message import message

SHARES_SUM_TOLERANCE = 1e-6
MAX_ABSORPTION_OF_SOLID_AGGREGATE = 0.30  # of dry mass; natural aggregate absorbs 0.2 to 4 %, only porous ones more


def faults_of(mix: Mix, materials: Mapping[str, Material]) -> tuple[FaultError, ...]:
    """Every fault of a mix that can be found before it is proportioned, in the order the mix is written."""
    return tuple(_faults(mix, materials))


def particle_density_kg_m3(material: Material) -> float:
    """Density of the particles of a solid or of a liquid product; for a bead, its loose bulk density over its packing.

    Raises FaultError if it cannot be found.
    """
    density = material.density_kg_m3
    if density is None and material.packing is not None and material.bulk_density_kg_m3 is not None:
        density = material.bulk_density_kg_m3 / material.packing
    if density is None or not (isfinite(density) and density > 0.0):
        raise FaultError(
            f"materials.{material.name}.density",
            message("mix-no-density", name=material.name),
        )
    return density


def bulk_density_kg_m3(material: Material) -> float:
    """Loose, dry bulk density of an aggregate. Raises FaultError if it is not given."""
    density = material.bulk_density_kg_m3
    if density is None or not (isfinite(density) and density > 0.0):
        raise FaultError(
            f"materials.{material.name}.bulk_density",
            message("mix-no-bulk-density", name=material.name),
        )
    return density


def _faults(mix: Mix, materials: Mapping[str, Material]) -> Iterator[FaultError]:
    if not 0.0 < mix.cementitious_share <= 1.0:
        yield FaultError(
            "cementitious_share",
            message("mix-cementitious-share", cementitious_share=f"{mix.cementitious_share:g}"),
        )
    if not (isfinite(mix.water_cementitious) and mix.water_cementitious > 0.0):
        yield FaultError(
            "water_cementitious", message("mix-water-ratio", water_cementitious=f"{mix.water_cementitious:g}")
        )
    if not 0.0 <= mix.air < 1.0:
        yield FaultError("air", message("mix-air", air=f"{mix.air:g}"))
    if not (isfinite(mix.water_density_kg_m3) and mix.water_density_kg_m3 > 0.0):
        yield FaultError("water_density", message("mix-water-density", water_density_kg_m3=mix.water_density_kg_m3))
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
                yield FaultError(f"{role}.{name}", message("mix-dosage", dose=f"{dose:g}"))
    if mix.fibre_basis == "total" and sum(mix.fibre.values()) >= 1.0:
        yield FaultError("fibre", message("mix-all-fiber"))
    for role in ("cementitious", "aggregate", "admixtures", "polymer", "pigment", "fibre"):
        for name in getattr(mix, role):
            yield from _material_faults(f"{role}.{name}", name, role == "aggregate", materials)


def _share_faults(role: str, shares: Mapping[str, float]) -> Iterator[FaultError]:
    for name, share in shares.items():
        if not (isfinite(share) and share >= 0.0):
            yield FaultError(f"{role}.{name}", message("mix-share", share=f"{share:g}"))
    total = sum(shares.values())
    if abs(total - 1.0) > SHARES_SUM_TOLERANCE:
        yield FaultError(
            role, message("mix-shares-sum", total=f"{total:.9g}") if shares else message("mix-shares-none")
        )


def _reference_faults(mix: Mix, materials: Mapping[str, Material]) -> Iterator[FaultError]:
    if not mix.aggregate:
        return
    if mix.cementitious_share == 1.0:
        yield FaultError(
            "cementitious_share",
            message("mix-all-cementitious"),
        )
    if mix.reference_sand is None:
        yield FaultError(
            "reference_sand",
            message("mix-no-reference"),
        )
    elif mix.reference_sand not in materials:
        yield FaultError("reference_sand", message("mix-no-material-here", name=mix.reference_sand))
    else:
        yield from _raised_by(bulk_density_kg_m3, materials[mix.reference_sand])


def _material_faults(
    key: str, name: str, is_aggregate: bool, materials: Mapping[str, Material]
) -> Iterator[FaultError]:
    if name == "water":
        yield FaultError(key, message("mix-water-in-blend"))
        return
    if name not in materials:
        yield FaultError(key, message("mix-no-material-here", name=name))
        return
    material = materials[name]
    yield from _raised_by(particle_density_kg_m3, material)
    if not 0.0 < material.solids <= 1.0:
        yield FaultError(
            f"materials.{name}.solids",
            message("mix-solids", solids=f"{material.solids:g}"),
        )
    if not is_aggregate:
        return
    yield from _raised_by(bulk_density_kg_m3, material)
    if not (isfinite(material.moisture) and material.moisture >= 0.0):
        yield FaultError(f"materials.{name}.moisture", message("mix-moisture", moisture=f"{material.moisture:g}"))
    if not (isfinite(material.absorption) and material.absorption >= 0.0):
        yield FaultError(
            f"materials.{name}.absorption", message("mix-absorption", absorption=f"{material.absorption:g}")
        )
    elif material.kind != "light-aggregate" and material.absorption > MAX_ABSORPTION_OF_SOLID_AGGREGATE:
        yield FaultError(
            f"materials.{name}.absorption",
            message(
                "mix-absorption-high",
                name=name,
                absorption=f"{material.absorption:g}",
                as_share=f"{material.absorption / 100.0:g}",
            ),
        )


def _raised_by(figure: Callable[[Material], float], material: Material) -> Iterator[FaultError]:
    try:
        figure(material)
    except FaultError as fault:
        yield fault
