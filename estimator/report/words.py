"""Terms and workings in the words of the shop."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import TYPE_CHECKING

from estimator.mix.replacement import RuleOfThumb
from estimator.words import Words

if TYPE_CHECKING:
    from estimator.handling import Handling
    from estimator.workings import Working


CUBIC_YARD_M3 = 0.9144**3
DEFERRAL = (
    "Weights are computed, not weighed: weigh the first piece before it is lifted by its figure. "
    "Local codes, the makers' ratings, and a licensed engineer or qualified rigger govern."
)
EXAMPLE_PRICES = "Prices of the built-in catalog are examples, not offers: put your suppliers' own in their place."
CREW_ADVICE = {
    "carry-on-edge": "carry it on edge",
    "strongback": "clamp a strongback across the cutout before you tilt it; bear on foam on both sides of the cutout",
    "cure-longer": "cure longer before you move it",
    "narrow-rail": "brace the narrow rail beside the cutout; never lift by it",
}
"""What a crew can do so that a piece does not crack; to make it thicker is for whoever draws the next one."""


STRENGTH_FLAGS = {"enough": "", "not-enough": ", MAY CRACK", "untested": ", untested"}
"""Behind the crew wherever it is named, so that nobody takes a crew for a proof."""


def hold_words(handling: Handling, words: Words) -> str:
    """How the piece is held on its way."""
    return words("hold", hold=handling.hold, edge=handling.edge_up or "long")


OPPOSITE = {"front": "back", "back": "front", "left": "right", "right": "left", "top": "bottom", "bottom": "top"}


def tilt_words(handling: Handling) -> str | None:
    """How the piece gets up on edge; None where it does not."""
    if "tilt" not in dict(handling.attitudes):
        return None
    down = OPPOSITE[handling.edge_up] if handling.edge_up else "long"
    return f"about its {down} edge, on foam; never about a short end or a corner"


MOVE_NAMES = {
    "strip": "strip",
    "flip": "flip in the form",
    "carry": "carry",
    "stairs": "on the stairs",
    "set": "set in place",
}


def moves_words(handling: Handling, words: Words, names: Collection[str]) -> str:
    """Who makes the moves of these names, or which machine: "carry 2 people, on the stairs stair climber"."""
    return ", ".join(
        f"{MOVE_NAMES[move.name]} {words.crew(move.crew) if move.crew or move.gear is None else words.text(move.gear)}"
        for move in handling.moves
        if move.name in names
    )


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


MOST_MONEY = 1e12
DIGITS = 6  # significant, of a value on paper: enough to recompute the result to the figure that is shown


def figure_text(value: float) -> str:
    """A value to six significant digits, in full where it has two decimals at most, as money has."""
    if abs(value) < MOST_MONEY and round(value, 2) == value:
        return f"{value:.2f}".removesuffix(".00")
    text = f"{value:.{DIGITS}g}"
    if "e" not in text:
        return text
    return f"{value:.0f}" if abs(value) >= 1.0 else f"{value:.12f}".rstrip("0") if abs(value) >= 1e-9 else text


def values_text(names: Sequence[str], values: Sequence[float]) -> str:
    """The values of a formula, name by name."""
    return ", ".join(f"{name} = {figure_text(value)}" for name, value in zip(names, values, strict=True))


def values_lines(working: Working) -> list[str]:
    """The values of a formula in full, a line each."""
    longest = max((len(name) for name in working.values), default=0)
    return [f"{name:<{longest}} = {value!r}" for name, value in working.values.items()]


def result_text(working: Working) -> str:
    """The result of a working with its unit."""
    return f"{figure_text(working.result)} {working.unit}".rstrip()
