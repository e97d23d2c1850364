"""Pours: which pieces are cast together, and on which day."""

from dataclasses import dataclass

from estimator.takeoff import Takeoff


@dataclass(frozen=True, slots=True)
class Cast:
    """How many of a mark are cast in one pour."""

    mark: str
    count: int


@dataclass(frozen=True, slots=True)
class Pour:
    """Pieces cast together on one day."""

    name: str
    day: int
    casts: tuple[Cast, ...]


def plan_pours(takeoff: Takeoff) -> tuple[Pour, ...]:
    """Pours in the order of their days.

    A mark is cast `forms` at a time. Marks without a pour name share the days from the first on; each named pour has
    a day of its own after them, and more than one where its marks have too few forms.
    """
    rounds: dict[tuple[str, int], list[Cast]] = {}
    names = [taken.piece.pour for taken in takeoff.pieces if taken.piece.pour is not None]
    for taken in takeoff.pieces:
        piece = taken.piece
        left, turn = piece.quantity, 1
        while left > 0:
            cast = min(piece.forms, left)
            rounds.setdefault((piece.pour or "", turn), []).append(Cast(piece.mark, cast))
            left, turn = left - cast, turn + 1
    order = {name: i for i, name in enumerate(["", *dict.fromkeys(names)])}
    keys = sorted(rounds, key=lambda key: (order[key[0]], key[1]))
    return tuple(
        Pour(_name(name, turn, (name, 2) in rounds), day, tuple(rounds[name, turn]))
        for day, (name, turn) in enumerate(keys, start=1)
    )


def _name(name: str, turn: int, several: bool) -> str:
    if not name:
        return f"day {turn}"
    return f"{name}, turn {turn}" if several else name
