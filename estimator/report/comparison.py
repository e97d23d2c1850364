"""Jobs side by side, what moves the price, and what finished jobs took: as tables."""

from collections.abc import Callable, Sequence
from decimal import Decimal

from estimator.pricing.compare import Row, Value
from estimator.pricing.history import Compared, History, NextRate
from estimator.pricing.sensitivity import Swing
from estimator.report.tables import Column, Sheet
from estimator.report.words import Words

NO_SPREAD = "—"  # of one job
ALWAYS = ("price before tax", "total", "all pieces in place", "most people for a piece")


def comparison_sheets(
    names: Sequence[str],
    rows: Sequence[Row],
    swings: Sequence[Swing],
    price: Decimal,
    words: Words,
    *,
    every: bool,
) -> list[Sheet]:
    """Rows that differ (or all), each value with what it is more than the first; then what moves the price most.

    price   of the first job, before tax
    """
    shown = [row for row in rows if every or row.differs or row.what in ALWAYS]
    cells = tuple(
        (
            row.section,
            row.what,
            *(_cell(row, at, words) for at in range(len(row.values))),
        )
        for row in shown
    )
    heads = (Column("", False), Column("", False), *(Column(name) for name in names))
    sheets = [Sheet("Side by side", heads, cells)] if len(names) > 1 else []
    if swings:
        sheets.append(
            Sheet(
                f"What moves the price of {price:,.2f} most",
                (Column("Input", False), Column("Moved by"), Column("Down"), Column("Up")),
                tuple(
                    (
                        swing.name,
                        swing.step,
                        *("—" if each is None else words.more(each - price) for each in (swing.low, swing.high)),
                    )
                    for swing in swings
                ),
            )
        )
    return sheets


def history_sheets(history: History, words: Words) -> list[Sheet]:
    """Material and activity against the estimate, remakes, and what to reckon with next."""
    heads = (Column("", False), Column("Planned"), Column("Taken"), Column("Taken / planned"), Column("Complete jobs"))
    return [
        Sheet("Material", heads, tuple(_compared(each, words.mass) for each in history.materials)),
        Sheet("Activity", heads, tuple(_compared(each, lambda hours: f"{hours:.2f} h") for each in history.activities)),
        Sheet(
            "Remakes",
            (Column("Job", False), Column("Piece", False), Column("Cause", False), Column("Count"), Column("Cost")),
            tuple(
                (
                    remake.job,
                    remake.piece,
                    remake.cause,
                    str(remake.count),
                    "—" if remake.cost is None else words.money(remake.cost),
                )
                for remake in history.remakes
            ),
        ),
        Sheet(
            "To reckon with next",
            (Column("Figure", False), Column("Now"), Column("Next"), Column("Least to most"), Column("Jobs")),
            (*_shares(history, words), *(_rate(each, words) for each in history.rates)),
        ),
    ]


def _shares(history: History, words: Words) -> list[tuple[str, ...]]:
    rows: list[tuple[str, ...]] = []
    if history.waste_now is not None and history.waste_next is not None and history.waste_spread is not None:
        now, following = words.share(history.waste_now), words.share(history.waste_next)
        rows.append(
            (
                "waste on cast volume",
                now,
                following,
                _spread(history.waste_spread, history.waste_jobs, words),
                str(history.waste_jobs),
            )
        )
    if history.remake_next is not None and history.remake_spread is not None and history.remakes:
        following, spread = words.share(history.remake_next), _spread(history.remake_spread, history.remake_jobs, words)
        rows.append(("remakes, of direct cost", "", following, spread, str(history.remake_jobs)))
    return rows


def _spread(shares: tuple[float, float], jobs: int, words: Words) -> str:
    if jobs < 2:
        return NO_SPREAD
    return " to ".join(words.share(share) for share in shares)


def _rate(rate: NextRate, words: Words) -> tuple[str, ...]:
    now, following, low, high = (
        words.time_each(each, rate.unit) for each in (rate.now_s, rate.next_s, rate.low_s, rate.high_s)
    )
    return rate.figure, now, following, f"{low} to {high}" if rate.jobs > 1 else NO_SPREAD, str(rate.jobs)


def _compared(each: Compared, shown: Callable[[float], str]) -> tuple[str, ...]:
    """A part of what a job takes has no ratio to the whole that was planned: the ratio is of complete records."""
    complete = each.ratio
    if each.planned <= 0.0:
        ratio = "not planned"
    else:
        ratio = "not complete" if complete is None else f"{complete.whole:.2f}"
    jobs = "0" if complete is None else str(complete.jobs)
    return each.name, shown(each.planned), shown(each.taken), ratio, f"{jobs} of {each.jobs}"


def _cell(row: Row, at: int, words: Words) -> str:
    text = _shown(row, row.values[at], words)
    change = row.change(at) if at else None
    return f"{text} ({_signed(row, change, words)})" if change else text


def _shown(row: Row, value: Value, words: Words) -> str:
    if row.figure == "crew":
        return "—" if value == 0 else words.crew(None if value is None else int(value))
    if value is None:
        return "—"
    number = float(value)
    match row.figure:
        case "money":
            return words.money(value)
        case "mass":
            return words.mass(number)
        case "volume":
            return words.volume(number)
        case "area":
            return words.area(number)
        case "hours":
            return f"{number:.2f} h"
        case _:
            return f"{number:g}"


def _signed(row: Row, change: Decimal | float, words: Words) -> str:
    positive: Value = change.copy_abs() if isinstance(change, Decimal) else abs(change)
    return f"{'+' if change > 0 else '−'}{_shown(row, positive, words)}"
