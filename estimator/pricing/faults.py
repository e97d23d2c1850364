"""Figures of the workshop with which no price or calendar can be made."""

from collections.abc import Iterator, Mapping

DAY_S = 86_400.0
LONGEST_WAIT_DAYS = 365.0  # of a cure: beyond it a slip of the pen
LONGEST_VALID_DAYS = 3_650.0
DEAREST = 1e9  # of one amount or one time: beyond it cents and hours are not kept exactly
CREWS = ("labour.demould_crew", "labour.install_crew", "calendar.shop_crew")
WAITS = ("calendar.seal_from", "calendar.seal_to", "calendar.sealer_cure", "curing.strip_to")
PRICED_SECTIONS = ("labour", "equipment", "freight", "quote")


def pricing_faults(figures: Mapping[str, float]) -> list[tuple[str, str, str]]:
    """(key, what, fix) of every such figure."""
    return [*_crews(figures), *_times(figures), *_amounts(figures)]


def _crews(figures: Mapping[str, float]) -> Iterator[tuple[str, str, str]]:
    for key in CREWS:
        if figures[key] < 1.0 or figures[key] % 1.0 or figures[key] > 1000.0:
            yield key, f"{figures[key]:g} is no number of people.", "Write a whole number from 1 on."


def _times(figures: Mapping[str, float]) -> Iterator[tuple[str, str, str]]:
    if not 0.0 < figures["calendar.hours_per_day"] <= DAY_S:
        yield "calendar.hours_per_day", "is no part of a day.", 'Write hours, such as "8 h".'
    if figures["calendar.days_per_week"] not in range(1, 8):
        yield "calendar.days_per_week", "is no number of days in a week.", "Write a whole number from 1 to 7."
    for key in WAITS:
        if figures[key] > LONGEST_WAIT_DAYS * DAY_S:
            yield key, f"is {figures[key] / DAY_S:g} days.", f"Write {LONGEST_WAIT_DAYS:g} days or less."
    if figures["quote.valid"] > LONGEST_VALID_DAYS * DAY_S:
        yield "quote.valid", f"is {figures['quote.valid'] / DAY_S:g} days.", f"Write {LONGEST_VALID_DAYS:g} or less."


def _amounts(figures: Mapping[str, float]) -> Iterator[tuple[str, str, str]]:
    for key, value in figures.items():
        if value > DEAREST and key.partition(".")[0] in PRICED_SECTIONS:
            yield key, f"{value:g} is too large to reckon with.", f"Write {DEAREST:g} or less."
