"""Tests and states of aggregate: voids, densities by weighing in water, moisture between stock and surface-dry."""

from dataclasses import dataclass

from estimator.mix.faults import MAX_ABSORPTION_OF_SOLID_AGGREGATE, MixError


@dataclass(frozen=True, slots=True)
class RelativeDensities:
    """Relative densities of an aggregate and its absorption, of dry mass."""

    oven_dry: float
    saturated_surface_dry: float
    apparent: float
    absorption: float


def relative_densities(oven_dry_kg: float, saturated_kg: float, in_water_kg: float) -> RelativeDensities:
    """Relative densities from one sample weighed dry, saturated surface-dry, and hung in water.

    Raises MixError unless in water < oven-dry <= saturated. Source: ASTM C127 (formula from memory).

    >>> round(relative_densities(1.980, 2.000, 1.254).oven_dry, 3)
    2.654
    """
    if not 0.0 < in_water_kg < oven_dry_kg <= saturated_kg:
        raise MixError(
            "sample",
            f"masses of {oven_dry_kg:g} dry, {saturated_kg:g} saturated and {in_water_kg:g} in water contradict.",
            "In water weighs least, saturated most.",
        )
    return RelativeDensities(
        oven_dry=oven_dry_kg / (saturated_kg - in_water_kg),
        saturated_surface_dry=saturated_kg / (saturated_kg - in_water_kg),
        apparent=oven_dry_kg / (oven_dry_kg - in_water_kg),
        absorption=(saturated_kg - oven_dry_kg) / oven_dry_kg,
    )


def voids_of_bulk(bulk_density_kg_m3: float, particle_density_kg_m3: float) -> float:
    """Fraction of a bulk's volume that is air between the dry particles; 1 less the packing.

    Raises MixError where the bulk is denser than its particles. Source: ASTM C29 (formula from memory).
    """
    if not 0.0 < bulk_density_kg_m3 <= particle_density_kg_m3:
        raise MixError(
            "bulk_density",
            f"a bulk of {bulk_density_kg_m3:g} kg/m³ cannot hold particles of {particle_density_kg_m3:g} kg/m³.",
            "Check both densities.",
        )
    return 1.0 - bulk_density_kg_m3 / particle_density_kg_m3


def stock_of_dry_kg(dry_kg: float, moisture: float) -> float:
    """Mass in the stockpile of an oven-dry mass; `moisture` is total, of dry mass."""
    return dry_kg * (1.0 + moisture)


def stock_of_surface_dry_kg(surface_dry_kg: float, surface_moisture: float) -> float:
    """Mass in the stockpile of a saturated surface-dry mass.

    surface_moisture  free moisture, of surface-dry mass. Total moisture (of dry mass) is another figure: putting it
                      here counts the absorption twice.
    """
    return surface_dry_kg * (1.0 + surface_moisture)


def surface_dry_of_dry_kg(dry_kg: float, absorption: float) -> float:
    """Saturated surface-dry mass of an oven-dry mass.

    Raises MixError for an absorption above 0.30, which only a light aggregate has: 0.5 % is 0.005.
    """
    if not 0.0 <= absorption <= MAX_ABSORPTION_OF_SOLID_AGGREGATE:
        raise MixError(
            "absorption",
            f"{absorption:g} of the dry mass is more than sand or stone takes up.",
            f"{absorption:g} %? Write {absorption / 100.0:g}.",
        )
    return dry_kg * (1.0 + absorption)


def surface_moisture_of_total(moisture: float, absorption: float) -> float:
    """Free moisture, of surface-dry mass, from total moisture and absorption, both of dry mass; negative if thirsty."""
    return (moisture - absorption) / (1.0 + absorption)


def dry_density_of_factor(specific_gravity_factor: float, moisture: float, water_density_kg_m3: float) -> float:
    """Particle density of the dry mass of a light aggregate, kg/m3, from its factor by the pycnometer.

    specific_gravity_factor  mass as tested over the mass of the water that it displaces
    moisture                 that it was tested at, of dry mass; the factor holds for that moisture alone

    Source: ACI 211.2, specific gravity factor (from memory).
    """
    return specific_gravity_factor * water_density_kg_m3 / (1.0 + moisture)
