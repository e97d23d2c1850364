"""What no figure shows to be safe, as values: which doubt, and about what. Words are made from them last."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

DoubtId = Literal[
    "access",
    "bending-not-checked",
    "bending-over-core",
    "carry-not-enough",
    "carry-too-young",
    "carry-untested",
    "coupons-too-thin",
    "floor-over",
    "holds-off-balance",
    "insert-not-enough",
    "insert-untested",
    "overhang-unsupported",
    "pads-core",
    "pads-no-place",
    "pads-not-enough",
    "pads-not-measured",
    "pads-untested",
    "picks-core",
    "picks-near-cutout",
    "picks-no-room",
    "picks-no-shape",
    "picks-no-strength",
    "rating-missing",
    "rating-over",
    "slings-not-enough",
    "slings-untested",
    "tips-off-support",
    "walls-not-checked",
    "walls-not-enough",
    "walls-untested",
]
DOUBT_IDS: tuple[DoubtId, ...] = get_args(DoubtId)


@dataclass(frozen=True, slots=True)
class Doubt:
    """One thing that is not shown to be safe.

    about   what it is about: the gear, the way of holding, the place on the way in; "" where the id says it all
    value   the deciding figure, SI: an age in days, a distance in m
    """

    id: DoubtId
    about: str = ""
    value: float | None = None
