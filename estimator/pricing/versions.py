"""Comparison of a job with its alternatives, options and change orders."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from math import fsum
from typing import Literal

from estimator.batching import Batching
from estimator.errors import Fault, InputError
from estimator.handling.plan import Handling
from estimator.job import Job, Piece
from estimator.money import ZERO, cents
from estimator.packaging.materials import MaterialOrders
from estimator.pricing.calendar import Calendar
from estimator.pricing.quote import Cost, Payment
from estimator.pricing.stage import JobPrice
from estimator.takeoff import PieceTakeoff
from estimator.weight import Weight
from geometry.frozen import frozen
from geometry.message import Message, message

ALWAYS = ("price before tax", "total", "all pieces in place", "most people for a piece")
"""Rows of a comparison that are shown even if they do not differ."""

Figure = Literal["money", "mass", "volume", "hours", "count", "crew", "days", "area"]
Value = Decimal | float | int | None  # None: the job does not have it; for a crew, by machine only


@frozen
class MarkStanding:
    """Figures of one mark: weights of one piece, price of all its pieces."""

    quantity: int
    volume_m3: float
    installed_kg: float
    lift_kg: float
    crew: int | None  # None: by machine only
    price: Decimal
    calculated: Decimal  # share of the price by cost, whatever the client accepted
    piece: Piece
    size_m: tuple[float, float, float]


@frozen
class Standing:
    """Figures of one job by which jobs are compared."""

    name: str
    marks: Mapping[str, MarkStanding]
    batch_m3: Mapping[str, float]  # by mix
    required_kg: Mapping[str, float]  # by material
    kinds: Mapping[str, Decimal]  # direct cost by kind, overhead, margin
    price: Decimal
    total: Decimal
    held: Decimal  # part of the price that keeps what the client accepted
    payments: tuple[Payment, ...]  # they add up to the total
    hours: float
    finished_area_m2: float
    batches: int
    pours: int
    days: int  # until it ships
    lead_days: int  # same, in working days

    @property
    def pieces(self) -> int:
        return sum(mark.quantity for mark in self.marks.values())

    @property
    def installed_kg(self) -> float:
        """Installed weight of all pieces."""
        return fsum(mark.quantity * mark.installed_kg for mark in self.marks.values())

    @property
    def lift_kg(self) -> float:
        """High side of the heaviest piece."""
        return max((mark.lift_kg for mark in self.marks.values()), default=0.0)

    @property
    def crew(self) -> int | None:
        """People for the heaviest piece; None if one needs a machine."""
        crews = [mark.crew for mark in self.marks.values()]
        known = [crew for crew in crews if crew is not None]
        return max(known, default=0) if len(known) == len(crews) else None


@frozen
class Row:
    """One figure of every job that is compared."""

    section: str  # section and figure as data
    what: str
    figure: Figure
    values: tuple[Value, ...]
    head: Message  # section and figure on paper
    label: Message

    @property
    def differs(self) -> bool:
        return any(value != self.values[0] for value in self.values)

    def change(self, at: int) -> Decimal | float | None:
        """Difference of the job `at` from the first; None if either has no value."""
        first, value = self.values[0], self.values[at]
        if first is None or value is None:
            return None
        if isinstance(first, Decimal) and isinstance(value, Decimal):
            return value - first
        return float(value) - float(first)


def standing_of(
    name: str,
    parts: Sequence[tuple[PieceTakeoff, Weight, Handling]],
    batching: Batching,
    materials: MaterialOrders,
    priced: JobPrice,
    calendar: Calendar,
) -> Standing:
    """Figures of a job after every stage has run."""
    prices = {mark.mark: mark for mark in priced.marks}
    cost = priced.cost
    return Standing(
        name=name,
        marks={
            taken.piece.mark: MarkStanding(
                taken.piece.quantity,
                taken.volume_m3,
                weight.installed_kg,
                weight.lift_kg,
                handling.carry.persons,
                prices[taken.piece.mark].price,
                prices[taken.piece.mark].calculated,
                taken.piece,
                taken.solid.size_m,
            )
            for taken, weight, handling in parts
        },
        batch_m3=dict(batching.batch_m3),
        required_kg={line.material: line.required_kg for line in materials.lines},
        kinds={
            **cost.direct.kinds,
            "overhead": cost.overhead,
            "margin": cost.margin,
        },
        price=cost.price,
        total=cost.total,
        held=cost.held,
        payments=cost.payments,
        hours=float(priced.labour.hours),
        finished_area_m2=fsum(taken.piece.quantity * taken.solid.finished_area_m2 for taken, _, _ in parts),
        batches=sum(batch.count for batch in batching.batches),
        pours=sum(pour.days for pour in batching.pours),
        days=calendar.ship_day,
        lead_days=calendar.lead_days,
    )


OF_JOB: tuple[tuple[str, str, str, Figure, Callable[[Standing], Value]], ...] = (
    ("job", "pieces", "pieces", "count", lambda job: job.pieces),
    ("job", "finished area", "finished-area", "area", lambda job: job.finished_area_m2),
    ("job", "batches", "batches", "count", lambda job: job.batches),
    ("job", "days of casting", "casting-days", "count", lambda job: job.pours),
    ("job", "days till it ships", "days-to-ship", "days", lambda job: job.days),
    ("job", "labour", "labor", "hours", lambda job: job.hours),
    ("weight", "all pieces in place", "all-installed", "mass", lambda job: job.installed_kg),
    ("weight", "heaviest to lift, high", "heaviest", "mass", lambda job: job.lift_kg),
    ("weight", "most people for a piece", "most-people", "crew", lambda job: job.crew),
)
IN_ALL: tuple[tuple[str, str, str, Figure, Callable[[Standing], Value]], ...] = (
    ("cost", "price before tax", "price", "money", lambda job: job.price),
    ("cost", "total", "total", "money", lambda job: job.total),
)
OF_MARK: tuple[tuple[str, str, Figure, Callable[[MarkStanding], Value]], ...] = (
    ("quantity", "quantity", "count", lambda standing: standing.quantity),
    ("in place", "installed", "mass", lambda standing: standing.installed_kg),
    ("to lift, high", "lift", "mass", lambda standing: standing.lift_kg),
    ("people", "people", "crew", lambda standing: standing.crew),
    ("price, all", "price-all", "money", lambda standing: standing.price),
)
"""Compared figures: section and name as data, end of the message id, kind, and the function that reads it."""


def side_by_side(jobs: Sequence[Standing]) -> tuple[Row, ...]:
    """Every figure of the jobs; the others are compared with the first."""

    def row(section: str, what: str, id: str, figure: Figure, values: Iterable[Value]) -> Row:
        return Row(section, what, figure, tuple(values), message(f"compare-{section}"), message(f"compare-{id}"))

    rows = [row(section, what, id, figure, map(value, jobs)) for section, what, id, figure, value in OF_JOB]
    for kind in jobs[0].kinds if jobs else ():
        rows.append(row("cost", kind, f"direct-{kind}", "money", [job.kinds[kind] for job in jobs]))
    rows += [row(section, what, id, figure, map(value, jobs)) for section, what, id, figure, value in IN_ALL]
    rows += _rows_of_names("mix", "volume", [job.batch_m3 for job in jobs])
    rows += _rows_of_names("material", "mass", [job.required_kg for job in jobs])
    for mark in dict.fromkeys(mark for job in jobs for mark in job.marks):
        marks = [job.marks.get(mark) for job in jobs]
        head = message("compare-piece", mark=mark)
        for what, id, figure, value in OF_MARK:
            absent = 0 if figure == "crew" else None
            values = tuple(absent if standing is None else value(standing) for standing in marks)
            rows.append(Row(f"piece {mark}", what, figure, values, head, message(f"compare-{id}")))
    return tuple(rows)


def _rows_of_names(section: str, figure: Figure, tables: Sequence[Mapping[str, float]]) -> Iterator[Row]:
    """Yield a row for each mix or material that any job has."""
    for name in dict.fromkeys(name for table in tables for name in table):
        values = tuple(table.get(name) for table in tables)
        yield Row(section, name, figure, values, message(f"compare-{section}"), message("compare-named", of_name=name))


StandingOf = Callable[[Job], Standing]


@frozen
class AlternativePrice:
    """An alternative to the whole job."""

    name: str
    note: str
    standing: Standing


@frozen
class OptionPrice:
    """Price that an option adds before tax; the price of the job includes it if it is taken."""

    name: str
    note: str
    taken: bool
    price: Decimal | None  # None: taken with its pieces, no price of its own


@frozen
class ChangeOrder:
    """A change of the job and its effect on the price before tax, with tax, and on the working days until it ships.

    agreed   whether the client has accepted the prices after it
    """

    number: int
    reason: str
    date: str | None
    signed: str | None
    before: Standing
    after: Standing
    days: int  # additional working days until it ships, including those named by the order
    note: str = ""
    agreed: bool = False

    def price_of(self, mark: str) -> Decimal:
        """Change of the price of a mark: of the accepted prices, or by cost before they are accepted."""
        old, new = self.before.marks.get(mark), self.after.marks.get(mark)
        before = ZERO if old is None else old.price if self.agreed else old.calculated
        return (new.price if new is not None else ZERO) - before

    @property
    def price(self) -> Decimal:
        return self.after.price - self.before.price

    @property
    def total(self) -> Decimal:
        return self.after.total - self.before.total


@frozen
class Versions:
    alternatives: tuple[AlternativePrice, ...] = ()
    options: tuple[OptionPrice, ...] = ()
    changes: tuple[ChangeOrder, ...] = ()


def _holding(version: Job, held: Decimal) -> Job:
    """A version with the adjustment that keeps the accepted price of the job it differs from."""
    if not held or version.price.agreed is not None:
        return version
    return replace(version, price=replace(version.price, adjustment=version.price.adjustment + float(held)))


def price_versions(job: Job, now: Cost, standing_of: StandingOf) -> Versions:
    """Prices of the alternatives, options and changes of a job.

    now           cost and price of the job itself
    standing_of   function that estimates a whole job

    What keeps the accepted price of a job counts for its versions too, so that each differs by its own changes alone.

    Raises InputError with the faults of every version that cannot be estimated.
    """
    faults: list[Fault] = []
    known: dict[int, Standing] = {}

    def estimate(version: Job, place: str, held: Decimal) -> Standing | None:
        if id(version) not in known:
            try:
                known[id(version)] = standing_of(_holding(version, held))
            except InputError as error:
                faults.extend(fault.at(f"{place}: {fault.place}".rstrip(": ")) for fault in error.faults)
                return None
        return known[id(version)]

    alternatives = []
    for alternative in job.alternatives:
        standing = estimate(alternative.job, f"alternative {alternative.name}", now.held)
        if standing is not None:
            alternatives.append(AlternativePrice(alternative.name, alternative.note, standing))
    options = []
    for option in job.options:
        price = cents(option.lump) if option.lump is not None else None
        if option.job is not None:
            standing = estimate(option.job, f"option {option.name}", now.held)
            price = standing.price - now.price if standing is not None else None
        options.append(OptionPrice(option.name, option.note, option.taken, price))
    changes = []
    for change in job.changes:
        before = estimate(change.before, f"before change {change.number}", ZERO)
        held = before.held if before is not None else ZERO
        after = estimate(change.after, f"change {change.number}", held)
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
                    change.note,
                    change.after.price.agreed is not None or change.before.price.agreed is None,
                )
            )
    if faults:
        raise InputError(faults)
    return Versions(tuple(alternatives), tuple(options), tuple(changes))
