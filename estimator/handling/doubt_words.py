"""Doubts in words, for the papers and the document: the one place where they are made."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType

from estimator.bounds import INCH_M
from estimator.handling.doubts import Doubt, DoubtId
from estimator.handling.ratings import Rating

RATING_WORDS: Mapping[Rating, str] = MappingProxyType(
    {"within": "within its rating", "over": "over its rating", "missing": "no load rating on file"}
)

_WORDS: Mapping[DoubtId, str] = MappingProxyType(
    {
        "access": "{about}",
        "bending-not-checked": "Bending not checked for this shape.",
        "bending-over-core": "Bending not checked: a foam core carries nothing, and where it lies is not known.",
        "carry-not-enough": "May crack {about}: not strong enough.",
        "carry-too-young": "Strength tested at {value:g} days only. May crack if moved sooner.",
        "carry-untested": "May crack when carried: no strength test for its mix.",
        "coupons-too-thin": "May crack when carried: its mix was tested {mm:.0f} mm ({inch:.2g} in) thick only.",
        "floor-over": "Over the posted floor load.",
        "holds-off-balance": "Balance point lies outside the piece. Use three holds or a strongback.",
        "insert-not-enough": "Lifting inserts: not strong enough. Use more or stronger inserts.",
        "insert-untested": "Lifting inserts: no load rating on file.",
        "overhang-unsupported": "Overhang needs a subtop or brackets.",
        "pads-core": "Vacuum pads: none over a core.",
        "pads-no-place": "Vacuum pads: no place for them on this piece. More or smaller pads.",
        "pads-not-enough": "Cracks on vacuum pads: not strong enough.",
        "pads-not-measured": "Vacuum pads: no measured vacuum and hold time for this face.",
        "pads-untested": "May crack on vacuum pads: no strength test for its mix.",
        "picks-core": "No pick points proposed: a foam core is cast in. A qualified rigger picks at solid ribs only.",
        "picks-near-cutout": "Pick too near a cutout ({inch:.1f} in, {mm:.0f} mm).",
        "picks-no-room": "No pick points proposed: no place clear of the cutouts. A qualified rigger decides.",
        "picks-no-shape": "No pick points proposed for this shape. A qualified rigger decides.",
        "picks-no-strength": "No pick points proposed: it would crack on slings. "
        "Cure longer, or move it on a pallet or in its form.",
        "rating-missing": "No load rating on file: {about}.",
        "rating-over": "Over its rating: {about}.",
        "slings-not-enough": "Cracks on {about}: not strong enough. Do not lift it so.",
        "slings-untested": "May crack on {about}: no strength test for its mix.",
        "tips-off-support": "Tips off its support by its own weight. Fasten it, or support the overhang.",
        "walls-not-checked": "Planter walls not checked for this shape. Use a liner frame or a tie.",
        "walls-not-enough": "Planter walls may crack under wet soil. Use a liner frame or a tie.",
        "walls-untested": "Planter walls: no strength test for its mix. Use a liner frame or a tie.",
    }
)


def doubt_text(doubt: Doubt) -> str:
    """One doubt as a line.

    >>> doubt_text(Doubt("rating-missing", "sling leg"))
    'No load rating on file: sling leg.'
    """
    value = doubt.value or 0.0
    return _WORDS[doubt.id].format(about=doubt.about, value=value, mm=value * 1000.0, inch=value / INCH_M)


def doubt_texts(doubts: Iterable[Doubt]) -> tuple[str, ...]:
    """Every doubt once, in order."""
    return tuple(dict.fromkeys(doubt_text(doubt) for doubt in doubts))
