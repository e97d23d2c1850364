"""Solver for a mix of a given weight, density or least cost. If no mix meets it, reports the limit that stops it."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import field, replace
from itertools import product
from math import inf
from typing import Literal

import numpy as np

from estimator.errors import FaultError
from estimator.job import Material, Mix
from estimator.mix.fresh import MixDesign, make
from estimator.mix.replacement import cost_of, untested, with_replacement
from geometry.frozen import frozen
from geometry.message import message

Variable = Literal["replacement", "thickness_m", "water_cementitious", "cementitious_share"]
Stage = Literal["fresh", "installed"]

_AT_LIMIT = 1e-6  # of a range: closer than this a value is at its limit
_MET = 1e-6


@frozen
class Range:
    """Allowed range of a figure."""

    low: float
    high: float


@frozen
class SolvedPiece:
    """The piece whose weight is solved for.

    volume_m3    volume of one piece as a function of thickness in m
    thickness_m  thickness as drawn
    inserts_kg   mass of inserts, added to the concrete
    weight_kg    weight as a function of density in kg/m3 and thickness in m; None: density · volume + inserts
    """

    volume_m3: Callable[[float], float]
    thickness_m: float
    inserts_kg: float = 0.0
    weight_kg: Callable[[float, float], float] | None = None


@frozen
class Question:
    """A mix and the variables that may change, in order. A later one changes only if the earlier ones fall short."""

    mix: Mix
    materials: Mapping[str, Material]
    sand: str
    bead: str
    free: Mapping[Variable, Range]
    piece: SolvedPiece | None = None
    stage: Stage = "fresh"  # stage of the weight and density; fresh is the heavier
    price_per_kg: Mapping[str, float] = field(default_factory=dict)


@frozen
class Limit:
    """The end of its range where a figure lies."""

    figure: Variable
    end: Literal["low", "high"]
    value: float


@frozen
class Solution:
    """Result, or the nearest one that the limits allow.

    stopped_by  limits that the figures are at
    at_goal     whether the allowed weight or density keeps the cost from falling further
    """

    reached: bool
    values: Mapping[Variable, float]
    mix: Mix
    design: MixDesign
    density_kg_m3: float
    weight_kg: float | None  # of the piece, inserts included; None without a piece
    cost: float | None  # of the piece, or of 1 m3 without one; None without prices
    stopped_by: tuple[Limit, ...]
    at_goal: bool = False


def solve_for_weight(question: Question, at_most_kg: float) -> Solution:
    """Smallest change that brings the piece to at most this weight. Raises FaultError without a piece."""
    if question.piece is None:
        raise FaultError("piece", message("solve-no-piece"))
    return _step_toward(question, lambda solution: _weight_of(solution) - at_most_kg, downward_is_enough=True)


def solve_for_density(question: Question, target_kg_m3: float) -> Solution:
    """Smallest change that gives the mix the target density, from above or below."""
    return _step_toward(question, lambda solution: solution.density_kg_m3 - target_kg_m3, downward_is_enough=False)


def solve_for_least_cost(
    question: Question, *, at_most_kg: float | None = None, at_most_kg_m3: float | None = None
) -> Solution:
    """Cheapest figures within their ranges that respect a limit on weight or density, if given.

    Runs sequential least squares (SLSQP) from every corner and the middle of the ranges and keeps the best. Raises
    FaultError without prices, without a free figure, or for a weight without a piece.
    """
    from scipy.optimize import NonlinearConstraint, minimize

    if not question.price_per_kg or not question.free:
        raise FaultError("least_cost", message("solve-no-prices"))
    if at_most_kg is not None and question.piece is None:
        raise FaultError("piece", message("solve-no-piece"))
    _check_ranges(question)
    names = tuple(question.free)
    ranges = [question.free[name] for name in names]

    def at(unit: tuple[float, ...]) -> Solution:
        return _solution_at(question, dict(zip(names, _from_unit(unit, ranges), strict=True)))

    def excesses(solution: Solution) -> list[float]:
        """Excess over each limit, as a fraction of it; at most 0 if the limit is respected."""
        fractions = []
        if at_most_kg is not None:
            fractions.append(_weight_of(solution) / at_most_kg - 1.0)
        if at_most_kg_m3 is not None:
            fractions.append(solution.density_kg_m3 / at_most_kg_m3 - 1.0)
        return fractions

    def excess(solution: Solution) -> float:
        return max(excesses(solution), default=-1.0)

    def cost(solution: Solution) -> float:
        return 0.0 if solution.cost is None else solution.cost

    starts = [*product((0.0, 1.0), repeat=len(names)), (0.5,) * len(names)]
    scale = max(cost(at(starts[-1])), 1e-12)
    candidates = [at(start) for start in starts]
    constraints = [NonlinearConstraint(lambda unit: excesses(at(tuple(unit))), -inf, 0.0)]
    for start in starts:
        result = minimize(
            lambda unit: cost(at(tuple(unit))) / scale,
            np.array(start),
            method="SLSQP",
            bounds=[(0.0, 1.0)] * len(names),
            constraints=constraints if excesses(candidates[0]) else (),
            tol=1e-10,
        )
        candidates.append(at(tuple(min(max(float(value), 0.0), 1.0) for value in result.x)))
    feasible = [solution for solution in candidates if excess(solution) <= 1e-7]
    best = min(feasible, key=cost) if feasible else min(candidates, key=excess)
    stopped_by = tuple(_limits_met(question, best.values))
    at_goal = bool(feasible) and excess(best) > -_AT_LIMIT
    return replace(best, reached=bool(feasible), stopped_by=stopped_by, at_goal=at_goal)


def _step_toward(question: Question, miss: Callable[[Solution], float], *, downward_is_enough: bool) -> Solution:
    """Change one figure after another, each as far as it helps, until the target is met."""
    from scipy.optimize import brentq

    _check_ranges(question)
    starts = {name: _now(question, name) for name in question.free}
    # A figure of the mix that is outside its range is first brought inside, whatever its effect on the target.
    values: dict[Variable, float] = {
        name: min(max(starts[name], allowed.low), allowed.high)
        for name, allowed in question.free.items()
        if not allowed.low <= starts[name] <= allowed.high
    }
    solution = _solution_at(question, values)
    missed = miss(solution)
    for name, allowed in question.free.items():
        if _is_met(missed, downward_is_enough):
            break

        def missed_at(value: float, name: Variable = name) -> float:
            return miss(_solution_at(question, {**values, name: value}))

        start = values.get(name, starts[name])
        ends = [(missed_at(end), end) for end in (allowed.low, allowed.high)]
        crossing = [end for at_end, end in ends if at_end * missed <= 0.0]
        if crossing:
            end = min(crossing, key=lambda candidate: abs(candidate - start))
            values[name] = float(brentq(missed_at, start, end, xtol=1e-13))
        else:
            at_end, end = min(ends, key=lambda pair: abs(pair[0]))
            if abs(at_end) < abs(missed):
                values[name] = end
        solution = _solution_at(question, values)
        missed = miss(solution)
    return replace(
        solution,
        reached=_is_met(missed, downward_is_enough),
        stopped_by=tuple(_limits_met(question, values)),
    )


def _is_met(missed: float, downward_is_enough: bool) -> bool:
    """Whether the target is met within tolerance, in kg or kg/m3."""
    return abs(missed) <= _MET or (downward_is_enough and missed < 0.0)


def _solution_at(question: Question, values: Mapping[Variable, float]) -> Solution:
    mix = question.mix
    if "cementitious_share" in values:
        mix = _changed(mix, cementitious_share=values["cementitious_share"])
    if "water_cementitious" in values:
        mix = _changed(mix, water_cementitious=values["water_cementitious"])
    if "replacement" in values:
        mix = with_replacement(mix, question.sand, question.bead, min(max(values["replacement"], 0.0), 1.0))
    design = make(mix, question.materials)
    density_kg_m3 = design.fresh_density_kg_m3 if question.stage == "fresh" else design.installed_density_kg_m3
    volume_m3, weight_kg = 1.0, None
    if question.piece is not None:
        thickness_m = values.get("thickness_m", question.piece.thickness_m)
        volume_m3 = question.piece.volume_m3(thickness_m)
        weight_of = question.piece.weight_kg
        weight_kg = density_kg_m3 * volume_m3 + question.piece.inserts_kg
        if weight_of is not None:
            weight_kg = weight_of(density_kg_m3, thickness_m)
    cost = cost_of(design, question.price_per_kg).per_m3 * volume_m3 if question.price_per_kg else None
    return Solution(
        reached=False,
        values=dict(values),
        mix=mix,
        design=design,
        density_kg_m3=density_kg_m3,
        weight_kg=weight_kg,
        cost=cost,
        stopped_by=(),
    )


def _changed(mix: Mix, **figures: float) -> Mix:
    """Mix with these figures; untested if any of them changes."""
    same = all(getattr(mix, name) == value for name, value in figures.items())
    return mix if same else untested(replace(mix, **figures))  # type: ignore[arg-type]


def _now(question: Question, name: Variable) -> float:
    """Starting value of a figure."""
    if name == "cementitious_share":
        return question.mix.cementitious_share
    if name == "water_cementitious":
        return question.mix.water_cementitious
    if name == "thickness_m":
        return question.piece.thickness_m if question.piece is not None else 0.0
    sand = question.mix.aggregate.get(question.sand, 0.0)
    bead = question.mix.aggregate.get(question.bead, 0.0)
    return bead / (sand + bead) if sand + bead > 0.0 else 0.0


def _check_ranges(question: Question) -> None:
    for name, allowed in question.free.items():
        if not allowed.low <= allowed.high:
            raise FaultError(name, message("solve-range", low=f"{allowed.low:g}", high=f"{allowed.high:g}"))
        if name == "thickness_m" and question.piece is None:
            raise FaultError(name, message("solve-fixed-thickness"))


def _limits_met(question: Question, values: Mapping[Variable, float]) -> Iterator[Limit]:
    for name, value in values.items():
        allowed = question.free[name]
        near = _AT_LIMIT * max(allowed.high - allowed.low, 1e-12)
        if value <= allowed.low + near:
            yield Limit(name, "low", allowed.low)
        elif value >= allowed.high - near:
            yield Limit(name, "high", allowed.high)


def _from_unit(unit: tuple[float, ...], ranges: list[Range]) -> list[float]:
    return [allowed.low + part * (allowed.high - allowed.low) for part, allowed in zip(unit, ranges, strict=True)]


def _weight_of(solution: Solution) -> float:
    if solution.weight_kg is None:
        raise FaultError("piece", message("solve-no-piece"))
    return solution.weight_kg
