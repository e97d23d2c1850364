"""Whether a mix flows by itself: as it is written, or by its water and its plasticizer."""

from collections.abc import Mapping

from estimator.job import Material, Mix

PLASTICIZES, THICKENS = "plasticizes", "thickens"
# A choice between mixes that the trade calls stiff (w/cm 0.33, half a dosage) and fluid (0.36, two thirds; 0.46 with
# none): a full dosage does as much as that much more water, and a full dosage of thickener takes that much back.
WATER_OF_A_FULL_DOSAGE, WATER_OF_A_FULL_THICKENER = 0.15, 0.08
FLOWS_FROM = 0.455  # w/cm, plasticizer and thickener counted


def flows(mix: Mix, materials: Mapping[str, Material]) -> bool:
    """Whether the mix flows by itself, so that light beads rise in it. What the mix states goes before what it implies.

    A dosage counts as a share of the most that its maker gives; as a full one where no range is given.
    """
    if mix.consistency:
        return mix.consistency == "fluid"
    water = mix.water_cementitious
    water += WATER_OF_A_FULL_DOSAGE * _dosage(mix, materials, PLASTICIZES)
    water -= WATER_OF_A_FULL_THICKENER * _dosage(mix, materials, THICKENS)
    return water >= FLOWS_FROM


def holds_beads(mix: Mix, materials: Mapping[str, Material]) -> bool:
    """Whether a light aggregate is in it."""
    return any(materials[name].kind == "light-aggregate" and share > 0.0 for name, share in mix.aggregate.items())


def _dosage(mix: Mix, materials: Mapping[str, Material], trait: str) -> float:
    """Dosage of the admixtures with a trait, as a share of their most."""
    full = 0.0
    for name, dosage in mix.admixtures.items():
        if dosage > 0.0 and trait in materials[name].traits:
            full += dosage / (materials[name].dose_high or dosage)
    return full
