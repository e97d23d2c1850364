"""The job beside itself: alternatives, options and change orders, each estimated whole and told as a difference."""

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal

from estimator.errors import Fault, InputError
from estimator.job import Job
from estimator.money import cents
from estimator.pricing.compare import Standing

StandingOf = Callable[[Job], Standing]


@dataclass(frozen=True, slots=True)
class AlternativePrice:
    """Another way to make the job, whole."""

    name: str
    note: str
    standing: Standing


@dataclass(frozen=True, slots=True)
class OptionPrice:
    """What an option adds to the price before tax; taken, it is in the price already."""

    name: str
    note: str
    taken: bool
    price: Decimal | None  # None: taken with its pieces, no price of its own


@dataclass(frozen=True, slots=True)
class ChangeOrder:
    """A change of the job and what it changes: before tax, with tax, and in working days till it ships."""

    number: int
    reason: str
    date: str | None
    signed: str | None
    before: Standing
    after: Standing
    days: int  # working days more till it ships, those that the order names in

    @property
    def price(self) -> Decimal:
        return self.after.price - self.before.price

    @property
    def total(self) -> Decimal:
        return self.after.total - self.before.total


@dataclass(frozen=True, slots=True)
class Versions:
    alternatives: tuple[AlternativePrice, ...] = ()
    options: tuple[OptionPrice, ...] = ()
    changes: tuple[ChangeOrder, ...] = ()


def price_versions(job: Job, now: Standing, standing_of: StandingOf) -> Versions:
    """Alternatives, options and changes of a job, beside what the job itself comes to.

    now           the job itself
    standing_of   estimates a whole job
    Raises InputError with the faults of every version that cannot be estimated.
    """
    faults: list[Fault] = []
    known: dict[int, Standing] = {}

    def reached(version: Job, place: str) -> Standing | None:
        if id(version) not in known:
            try:
                known[id(version)] = standing_of(version)
            except InputError as error:
                faults.extend(Fault(f.file, f"{place}: {f.place}".rstrip(": "), f.what, f.fix) for f in error.faults)
                return None
        return known[id(version)]

    alternatives = []
    for other in job.alternatives:
        standing = reached(other.job, f"alternative {other.name}")
        if standing is not None:
            alternatives.append(AlternativePrice(other.name, other.note, standing))
    options = []
    for option in job.options:
        price = cents(option.lump) if option.lump is not None else None
        if option.job is not None:
            standing = reached(option.job, f"option {option.name}")
            price = standing.price - now.price if standing is not None else None
        options.append(OptionPrice(option.name, option.note, option.taken, price))
    changes = []
    for change in job.changes:
        before = reached(change.before, f"before change {change.number}")
        after = reached(change.after, f"change {change.number}")
        if before is not None and after is not None:
            changes.append(
                ChangeOrder(
                    change.number,
                    change.reason,
                    change.date,
                    change.signed,
                    before,
                    after,
                    after.lead_days - before.lead_days + change.days,
                )
            )
    if faults:
        raise InputError(faults)
    return Versions(tuple(alternatives), tuple(options), tuple(changes))
