"""The bucket check: what a full bucket of fresh mix should weigh, and what it means when it does not."""

from dataclasses import dataclass

from estimator.job import Workshop
from estimator.mix import MadeMix

TOO_HEAVY = "Heavier: beads short, sand over, or air lost. Check the bead bucket; don't mix longer to make up."
TOO_LIGHT = "Lighter: water, air or beads over. Stop adding water, mix slower, check the bead bucket."


@dataclass(frozen=True, slots=True)
class BucketCheck:
    """Expected weight of the workshop's own bucket, level full of fresh mix, bucket in."""

    bucket_m3: float
    tare_kg: float
    expected_kg: float
    low_kg: float
    high_kg: float


def bucket_check(mix: MadeMix, workshop: Workshop) -> BucketCheck:
    """Fresh density times the bucket, and the bucket; low and high at the workshop's density tolerance.

    Source: the bulk measure of ASTM C138, with the workshop's bucket in its place.
    """
    bucket_m3, tare_kg = workshop.figures["mixing.bucket"], workshop.figures["mixing.bucket_tare"]
    mass_kg, spread = bucket_m3 * mix.fresh_density_kg_m3, workshop.density_tolerance
    return BucketCheck(
        bucket_m3, tare_kg, tare_kg + mass_kg, tare_kg + mass_kg * (1.0 - spread), tare_kg + mass_kg * (1.0 + spread)
    )
