"""How every figure of an estimate came about: the workings of all stages, made when they are asked for."""

from collections import Counter
from collections.abc import Iterator, Sequence
from difflib import get_close_matches
from math import floor, isclose

from estimator.curing.pieces import curing_workings
from estimator.errors import Fault, InputError
from estimator.estimate import Estimate, PieceEstimate
from estimator.handling import delivery_workings, handling_workings
from estimator.mix.workings import mix_workings
from estimator.names import folded, in_document_spelling
from estimator.packaging.workings import supply_workings
from estimator.pricing import price_workings
from estimator.takeoff import takeoff_workings
from estimator.weight import weight_workings
from estimator.workings import Working, figure, money

LEADS = {
    ".crew": ".lifts.carry",
    ".turn_crew": ".lifts.turn",
    ".high_kg": ".stages",
    ".gear": ".loads",
}
"""Figures that are read off others: how many people carry a piece follows from what each of them would hold."""


def workings_of(estimate: Estimate) -> tuple[Working, ...]:
    """The working of every figure, in the order of the document."""
    job = estimate.job
    return (
        *_piece_workings(estimate),
        *supply_workings(estimate.supply, estimate.mixes, estimate.batching.batch_m3, job.currency),
        *(
            working
            for name, mix in estimate.mixes.items()
            for working in mix_workings(mix, job.mixes[name], job.materials)
        ),
        *delivery_workings(estimate.delivery),
        *price_workings(estimate.pricing, job),
        *_quantities(estimate),
    )


def _piece_workings(estimate: Estimate) -> Iterator[Working]:
    direct = {part.mark: float(sum(part.direct.values())) for part in estimate.pricing.marks}
    all_direct = sum(sorted(direct.values()))
    for piece in estimate.pieces:
        mark = piece.taken.piece.mark
        yield from takeoff_workings(piece.taken)
        yield from weight_workings(mark, piece.weight)
        yield from handling_workings(mark, piece.handling)
        yield from curing_workings(mark, piece.curing)
        yield from _price(piece, direct[mark], all_direct, estimate)


def _price(piece: PieceEstimate, direct: float, all_direct: float, estimate: Estimate) -> Iterator[Working]:
    """The price of all pieces of a mark, and of each square meter of them."""
    mark, price = piece.taken.piece.mark, float(estimate.cost.price)
    if all_direct > 0.0:
        odd_cents = round(float(piece.price) * 100.0) - floor(round(price * 100.0) * (direct / all_direct))
        yield money(
            f"pieces.{mark}.price",
            "floor(price · 100 · (direct / all_direct)) / 100 + odd_cents / 100",
            {"price": price, "direct": direct, "all_direct": all_direct, "odd_cents": float(odd_cents)},
            estimate.job.currency,
            "the price before tax, shared by direct cost; odd cents go to the marks that lost most by rounding down",
        )
    yield figure(
        f"pieces.{mark}.price_per_area",
        "price / pieces / plan_area_m2",
        {
            "price": float(piece.price),
            "pieces": float(piece.taken.piece.quantity),
            "plan_area_m2": piece.taken.plan.gross_m2,
        },
        f"{estimate.job.currency}/m²",
        "plan or elevation area, gross of openings",
    )


def _quantities(estimate: Estimate) -> Iterator[Working]:
    """What each activity is counted by, of all marks."""
    for line in estimate.pricing.labour.lines:
        if not isclose(sum(line.by_mark.values()), line.quantity, rel_tol=1e-9):
            continue  # a visit or a day of the whole job, not a sum over its pieces
        alike = Counter(line.by_mark.values())
        values: dict[str, float] = {}
        for i, (quantity, marks) in enumerate(alike.items(), start=1):
            values |= {f"marks_{i}": float(marks), f"quantity_{i}": quantity}
        yield figure(
            f"cost.labour_lines.{line.activity}.quantity",
            " + ".join(f"marks_{i} · quantity_{i}" for i in range(1, len(alike) + 1)),
            values,
            line.unit,
            f"{line.basis}, all pieces of each mark",
        )


def workings_of_figure(estimate: Estimate, figure: str) -> list[Working]:
    """The workings of a figure by its dotted path; of all below it where the path is a branch.

    Words that are spelled in two ways are found in both: `center_of_gravity_m`, `cost.labor`.
    Raises InputError for a figure without a working, naming the nearest.
    """
    wanted = _compared(figure)
    workings = workings_of(estimate)
    named = [(_compared(working.figure), working) for working in workings]
    for path in (wanted, *(wanted.removesuffix(end) + leads for end, leads in LEADS.items() if wanted.endswith(end))):
        exact = [working for name, working in named if name == path]
        matches = exact or [working for name, working in named if name.startswith(f"{path}.")]
        if matches:
            return matches
    near = _nearest_figure(workings, figure)
    fix = f'Did you mean "{near}"?' if near else "Figures are dotted paths, such as cost.price."
    raise InputError([Fault(estimate.job.file, figure, "there is no such figure with a working.", fix)])


def _compared(figure: str) -> str:
    """A figure's path as it is compared: marks in any case and spacing, words in either spelling."""
    return in_document_spelling(folded(figure))


def _nearest_figure(workings: Sequence[Working], figure: str) -> str | None:
    """The figure whose name comes nearest: by its whole path, else by its last words."""
    names = list(dict.fromkeys(working.figure for working in workings))
    near = get_close_matches(figure.strip(), names, n=1, cutoff=0.5)
    if near:
        return near[0]
    tails = {name.rsplit(".", 1)[-1]: name for name in reversed(names)}
    near = get_close_matches(figure.strip().rsplit(".", 1)[-1], list(tails), n=1, cutoff=0.5)
    return tails[near[0]] if near else None
