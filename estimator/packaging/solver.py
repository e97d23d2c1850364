"""The choice of packs as a mixed-integer program for HiGHS: where something couples the materials, or enumeration ends.

Every pack's tiers get a yes-or-no and a count; a supplier gets a yes-or-no that carries what its delivery costs and
the least value of its goods. Rounding to the cent stays outside: the program counts unrounded prices.
"""

import os
import sys
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from math import inf

from estimator.packaging.price import MILLIONTHS_PER_CENT
from estimator.packaging.search import Choice

OPTIMAL, INFEASIBLE = 0, 2  # status of scipy.optimize.milp


@dataclass(frozen=True, slots=True)
class Cover:
    """One material's need, and the ways of buying each of its packs, as in `search.cheapest_counts`."""

    need: float
    tolerance: float
    ways: Sequence[Sequence[Choice]]
    suppliers: Sequence[str] = ()  # of each pack; empty: no supplier counts


@dataclass(frozen=True, slots=True)
class Terms:
    """What a supplier asks for once, if anything is bought of it; millionths."""

    delivery: int  # charged once
    least_value: int  # of the goods, before freight


@dataclass(slots=True)
class _Program:
    """Columns and rows of the program as they are written down."""

    cost: list[float] = field(default_factory=list)
    upper: list[float] = field(default_factory=list)
    entries: list[tuple[int, int, float]] = field(default_factory=list)
    low: list[float] = field(default_factory=list)

    def column(self, cost_millionths: float, upper: float) -> int:
        self.cost.append(cost_millionths / MILLIONTHS_PER_CENT)
        self.upper.append(upper)
        return len(self.cost) - 1

    def at_least(self, low: float, row: Mapping[int, float]) -> None:
        self.entries += [(len(self.low), column, value) for column, value in row.items()]
        self.low.append(low)


def solved_counts(need: float, tolerance: float, ways: Sequence[Sequence[Choice]]) -> dict[int, int]:
    """The counts by column that cover one need at the least cost; equal costs are not told apart."""
    counts, _ = solved_together([Cover(need, tolerance, ways)], {}, inf)
    if counts is None:
        raise RuntimeError("HiGHS found no order where one exists")
    return counts[0]


def solved_together(
    covers: Sequence[Cover], terms: Mapping[str, Terms], limit_s: float
) -> tuple[list[dict[int, int]] | None, bool]:
    """(counts by column for every cover at the least cost of all together, whether that is proven).

    None if no order meets the terms, or none was found in the time.

    covers   what is needed; a supplier that `terms` does not name asks for nothing
    terms    by supplier
    limit_s  seconds after which HiGHS hands back the best it has

    HiGHS proves the optimum: the relative gap is set to 0, where its default would leave 1e-4.
    """
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import coo_array

    program = _Program()
    used = {supplier: program.column(asked.delivery, 1.0) for supplier, asked in terms.items()}
    value: dict[str, dict[int, float]] = {supplier: {} for supplier in terms}
    counted = [_write_cover(program, cover, used, value, terms) for cover in covers]
    for supplier, asked in terms.items():
        if asked.least_value:
            # a counted cent, so that float error never refuses a value met exactly
            low = {used[supplier]: (0.5 - asked.least_value / MILLIONTHS_PER_CENT)}
            program.at_least(0.0, value[supplier] | low)
    rows, columns, values = zip(*program.entries, strict=True)
    matrix = coo_array((values, (rows, columns)), shape=(len(program.low), len(program.cost)))
    with _quiet():
        solved = milp(
            np.array(program.cost),
            constraints=LinearConstraint(matrix.tocsr(), np.array(program.low), np.inf),
            bounds=Bounds(0.0, np.array(program.upper)),
            integrality=np.ones(len(program.cost), dtype=int),
            options={"mip_rel_gap": 0.0, "time_limit": limit_s},
        )
    if solved.x is None:
        return None, solved.status == INFEASIBLE
    found: list[dict[int, int]] = []
    for pairs in counted:
        counts: dict[int, int] = {}
        for column, variable in pairs:
            number = round(float(solved.x[variable]))
            if number:
                counts[column] = counts.get(column, 0) + number
        found.append(counts)
    return found, solved.status == OPTIMAL


@contextmanager
def _quiet() -> Iterator[None]:
    """Keep what HiGHS itself writes to the process's output (a line at each restart) out of our results."""
    sys.stdout.flush()
    kept, nowhere = os.dup(1), os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, 1)
        yield
    finally:
        os.dup2(kept, 1)
        os.close(kept)
        os.close(nowhere)


def _write_cover(
    program: _Program,
    cover: Cover,
    used: Mapping[str, int],
    value: Mapping[str, dict[int, float]],
    terms: Mapping[str, Terms],
) -> list[tuple[int, int]]:
    """Write one material's columns and rows; returns (column of the order, variable) pairs."""
    pairs: list[tuple[int, int]] = []
    covering: dict[int, float] = {}
    for number, choices in enumerate(cover.ways):
        supplier = cover.suppliers[number] if cover.suppliers else ""
        picks: dict[int, float] = {}
        begun: dict[int, int] = {}  # pallets begun, by column of the order
        pallets: dict[int, dict[int, float]] = {}
        for choice in choices:
            if not choice:
                continue
            pick = program.column(sum(run.tier.base for run in choice), 1.0)
            picks[pick] = -1.0
            if supplier in used:
                value[supplier][pick] = sum(run.tier.base for run in choice) / MILLIONTHS_PER_CENT
            for run in choice:
                tier = run.tier
                most = float(max(tier.first, -(-cover.need // run.size)))
                if supplier in used and terms[supplier].least_value and tier.unit:
                    # more than the need may be bought to bring the goods up to the value that the supplier asks
                    most = max(most, float(-(-terms[supplier].least_value // tier.unit)))
                most = most if tier.last is None else min(most, float(tier.last))
                count = program.column(tier.unit + tier.carriage, most)
                pairs.append((run.column, count))
                covering[count] = run.size
                program.at_least(0.0, {count: -1.0, pick: most})
                if tier.first:
                    program.at_least(0.0, {count: 1.0, pick: -float(tier.first)})
                if supplier in used:
                    value[supplier][count] = tier.unit / MILLIONTHS_PER_CENT
                if tier.pallet_fee:
                    if run.column not in begun:
                        begun[run.column] = program.column(tier.pallet_fee, 0.0)
                        pallets[run.column] = {begun[run.column]: float(tier.on_pallet)}
                    pallet = begun[run.column]
                    program.upper[pallet] = max(program.upper[pallet], -(-most // tier.on_pallet))
                    pallets[run.column][count] = -1.0
        for row in pallets.values():
            program.at_least(0.0, row)
        program.at_least(0.0 if supplier in used else -1.0, picks | ({used[supplier]: 1.0} if supplier in used else {}))
    program.at_least(cover.need - cover.tolerance, covering)
    return pairs
