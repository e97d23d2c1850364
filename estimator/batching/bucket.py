"""The bucket check: what a full bucket of fresh mix should weigh, and what it means when it does not."""

from dataclasses import dataclass

from estimator.job import Workshop
from estimator.mix import MadeMix


@dataclass(frozen=True, slots=True)
class BucketCheck:
    """Expected weight of the workshop's own bucket, level full of fresh mix, bucket in; what to do when it is off."""

    bucket_m3: float
    tare_kg: float
    expected_kg: float
    low_kg: float
    high_kg: float
    when_heavy: str
    when_light: str


def bucket_check(mix: MadeMix, workshop: Workshop) -> BucketCheck:
    """Fresh density times the bucket, and the bucket; low and high at the workshop's density tolerance.

    Source: the bulk measure of ASTM C138, with the workshop's bucket in its place.
    """
    bucket_m3, tare_kg = workshop.figures["mixing.bucket"], workshop.figures["mixing.bucket_tare"]
    mass_kg, spread = bucket_m3 * mix.fresh_density_kg_m3, workshop.density_tolerance
    return BucketCheck(
        bucket_m3=bucket_m3,
        tare_kg=tare_kg,
        expected_kg=tare_kg + mass_kg,
        low_kg=tare_kg + mass_kg * (1.0 - spread),
        high_kg=tare_kg + mass_kg * (1.0 + spread),
        when_heavy=workshop.practice.get("bucket_heavy", ""),
        when_light=workshop.practice.get("bucket_light", ""),
    )
