"""The caster's own bucket: what fills it stands in for bulk densities measured by the standard."""

from collections.abc import Mapping
from dataclasses import replace

from estimator.job import Material
from estimator.mix.faults import MixError, bulk_density_kg_m3

LEAST_MEASURE_M3 = 0.002  # what a smaller measure shows of fresh mix is an indication only


def bulk_densities_kg_m3(fills_kg: Mapping[str, float], bucket_m3: float) -> dict[str, float]:
    """Loose bulk density of each material from the dry mass that fills a bucket level. Source: ASTM C29, loose."""
    return {name: mass_kg / bucket_m3 for name, mass_kg in fills_kg.items()}


def with_bucket_figures(
    materials: Mapping[str, Material],
    fills_kg: Mapping[str, float],
    *,
    bucket_m3: float | None = None,
    reference: str | None = None,
) -> dict[str, Material]:
    """The materials, with bulk densities from the masses that fill the same bucket level.

    fills_kg   dry mass of each material that fills the bucket
    bucket_m3  its volume; None takes it from `reference`, a material of `fills_kg` whose bulk density is known

    A material that gives its packing keeps that, and its particle density follows the new bulk density; one that
    gives its density keeps the density. For the swap itself the ratio of the two masses is all that counts.
    Raises MixError where a material is unknown, a mass is not above 0, or the bucket's volume cannot be found.
    """
    for name, mass_kg in fills_kg.items():
        if name not in materials:
            raise MixError(f"bucket.{name}", f"{name} is not among the materials.", "Correct the name.")
        if not mass_kg > 0.0:
            raise MixError(f"bucket.{name}", f"{mass_kg:g} kg does not fill a bucket.", "Write the mass that fills it.")
    if bucket_m3 is None:
        if reference is None or reference not in fills_kg:
            raise MixError(
                "bucket", "neither its volume nor a material of known bulk density is given.", "Give one of the two."
            )
        bucket_m3 = fills_kg[reference] / bulk_density_kg_m3(materials[reference])
    if not bucket_m3 > 0.0:
        raise MixError("bucket", f"a volume of {bucket_m3:g} m³ is not above 0.", "Write what it holds to the brim.")
    measured = dict(materials)
    for name, bulk_kg_m3 in bulk_densities_kg_m3(fills_kg, bucket_m3).items():
        material = materials[name]
        density_kg_m3 = material.density_kg_m3 if material.packing is None else bulk_kg_m3 / material.packing
        measured[name] = replace(material, bulk_density_kg_m3=bulk_kg_m3, density_kg_m3=density_kg_m3)
    return measured
