"""The same choice of packs as a mixed-integer program for HiGHS: for what enumeration cannot prove."""

from collections.abc import Sequence

from estimator.packaging.price import MILLIONTHS_PER_CENT
from estimator.packaging.search import Choice


def solved_counts(need: float, tolerance: float, ways: Sequence[Sequence[Choice]]) -> dict[int, int]:
    """The counts by column that cover `need` at the least cost, proven by HiGHS; equal costs are not told apart.

    need, tolerance, ways  as in `search.cheapest_counts`
    """
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp

    cost: list[float] = []
    upper: list[float] = []
    columns: list[int | None] = []
    rows: list[dict[int, float]] = []
    low: list[float] = []
    cover: dict[int, float] = {}
    for choices in ways:
        picks = []
        for choice in choices:
            pick = len(cost)
            picks.append(pick)
            cost.append(sum(run.tier.base for run in choice) / MILLIONTHS_PER_CENT)
            upper.append(1.0)
            columns.append(None)
            for run in choice:
                count = len(cost)
                most = max(run.tier.first, -(-need // run.size))
                most = most if run.tier.last is None else min(most, run.tier.last)
                cost.append(run.tier.unit / MILLIONTHS_PER_CENT)
                upper.append(most)
                columns.append(run.column)
                cover[count] = run.size
                rows += [{count: -1.0, pick: float(most)}, {count: 1.0, pick: -float(run.tier.first)}]
                low += [0.0, 0.0]
        rows.append(dict.fromkeys(picks, -1.0))
        low.append(-1.0)
    rows.append(cover)
    low.append(need - tolerance)
    matrix = np.zeros((len(rows), len(cost)))
    for number, row in enumerate(rows):
        matrix[number, list(row)] = list(row.values())
    solved = milp(
        np.array(cost),
        constraints=LinearConstraint(matrix, np.array(low), np.inf),
        bounds=Bounds(0.0, np.array(upper)),
        integrality=np.ones(len(cost), dtype=int),
        options={"mip_rel_gap": 0.0},
    )
    if solved.x is None:
        raise RuntimeError(f"HiGHS found no order: {solved.message}")
    counts: dict[int, int] = {}
    for column, value in zip(columns, solved.x, strict=True):
        if column is not None and round(value):
            counts[column] = counts.get(column, 0) + round(value)
    return counts
