"""Workings of a mix in the words of the shop."""

from __future__ import annotations

from estimator.mix.replacement import RuleOfThumb
from estimator.words import Words

CUBIC_YARD_M3 = 0.9144**3


def rule_of_thumb_words(mix: str, thumb: RuleOfThumb, words: Words) -> str:
    """Why a mix is not as light as the trade's rule of thumb says, and what would make it so."""
    sentence = words(
        "thumb",
        mix_name=mix,
        replaced_share=thumb.share,
        lighter_share=thumb.lighter,
        expected_share=thumb.expected,
    )
    ways = []
    if thumb.air is not None:
        ways.append(words("thumb-air", air_share=thumb.air, now_share=thumb.air_now))
    if thumb.cementitious_share is not None:
        share, now = f"{thumb.cementitious_share:.2f}", f"{thumb.cementitious_share_now:.2f}"
        ways.append(words("thumb-cementitious", share=share, now=now))
    if thumb.sand_bulk_density_kg_m3 is not None:
        density, now = (
            words.density(kg_m3) for kg_m3 in (thumb.sand_bulk_density_kg_m3, thumb.sand_bulk_density_now_kg_m3 or 0.0)
        )
        ways.append(words("thumb-sand", density=density, now=now))
    if not ways:
        return f"{sentence} {words('thumb-no-way')}"
    return f"{sentence} {words('thumb-ways', ways='; '.join(ways))}"
