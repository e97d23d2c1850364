"""Terms and workings in the words of the shop."""

from __future__ import annotations

from estimator.mix.replacement import RuleOfThumb
from estimator.words import Words

CUBIC_YARD_M3 = 0.9144**3
DEFERRAL = (
    "Weights are calculated. Weigh the first piece before you rely on them for lifting. Local codes, manufacturers' "
    "ratings, and a licensed engineer or qualified rigger govern."
)
EXAMPLE_PRICES = "Prices of the built-in catalog are examples, not offers: put your suppliers' own in their place."

COUNTED_DRY = "dry batch weight, as if all sand (counted dry mass)"
FIRST_CRACK = "first-crack strength (limit of proportionality)"
BREAKING = "breaking strength (modulus of rupture)"
TO_COUNT_ON = "strength to count on (lower tolerance limit: 95 % of the material, at 95 % confidence)"
WATER_CM = "w/cm, water to cement and pozzolan"
WATER_C = "w/c, water to cement alone"
IN_PLACE = "in place (equilibrium)"
UNTESTED = "untested: not shown to be safe"
BASIS = {
    "loose-volume": "bucket for bucket (loose volume)",
    "absolute-volume": "by the space that it fills (absolute volume)",
    "mass": "pound for pound (mass)",
}
"""Ways of putting beads in the place of sand."""


def rule_of_thumb_words(mix: str, thumb: RuleOfThumb, words: Words) -> str:
    """Why a mix is not as light as the trade's rule of thumb says, and what would make it so."""
    sentence = (
        f"{mix}: {words.share(thumb.share)} of the sand replaced makes it {words.share(thumb.lighter)} lighter; the "
        f"rule of thumb (half the sand, a quarter of the weight) says {words.share(thumb.expected)}."
    )
    ways = []
    if thumb.air is not None:
        ways.append(f"{words.share(thumb.air)} air with the beads in, not {words.share(thumb.air_now)}")
    if thumb.cementitious_share is not None:
        ways.append(
            f"a cementitious share of {thumb.cementitious_share:.2f}, not {thumb.cementitious_share_now:.2f} "
            "(more sand to replace)"
        )
    if thumb.sand_bulk_density_kg_m3 is not None:
        ways.append(
            f"sand that packs looser, {words.density(thumb.sand_bulk_density_kg_m3)} and not "
            f"{words.density(thumb.sand_bulk_density_now_kg_m3)} (more beads to the bucket)"
        )
    if not ways:
        return f"{sentence} Neither air, nor leaner mix, nor looser sand closes the gap by itself."
    return (
        f"{sentence} What closes the gap by itself: {'; or '.join(ways)}. Weigh a known volume before you promise it."
    )
