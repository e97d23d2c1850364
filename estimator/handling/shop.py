"""Whether the shop has the people that its moves need at the same time."""

from collections.abc import Mapping, Sequence

from estimator.handling.plan import Handling
from estimator.notices import Notice


def crew_notices(plans: Mapping[str, Handling], people: int) -> tuple[Notice, ...]:
    """One warning for each number of people that moves need and the shop has not.

    plans    by piece mark
    people   in the shop at one time
    """
    short: dict[int, list[str]] = {}
    for mark, handling in plans.items():
        if handling.people > people:
            short.setdefault(handling.people, []).append(f"{mark} ({', '.join(_moves(handling, people))})")
    return tuple(
        Notice(
            "crew-short",
            f"{needed} people needed at the same time, {people} in the shop: {_listed(places)}. "
            "Hire help or use a machine.",
        )
        for needed, places in sorted(short.items(), reverse=True)
    )


def _moves(handling: Handling, people: int) -> Sequence[str]:
    return [move.name for move in handling.moves if move.crew is not None and move.crew > people]


def _listed(places: Sequence[str], most: int = 6) -> str:
    return ", ".join(places[:most]) + (f" and {len(places) - most} more" if len(places) > most else "")
