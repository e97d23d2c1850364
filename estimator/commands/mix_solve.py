"""`cast-estimator mix solve`: the least change to a mix, or a thickness, that makes a piece as light as asked."""

import sys
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import cache
from math import inf
from pathlib import Path
from typing import Any, Literal

from estimator.commands.mixes import Bench, in_words_of_job, marks_of, measure_job, open_bench, quantity, telling
from estimator.document import to_json
from estimator.errors import Fault, FaultError, InputError
from estimator.job import Job
from estimator.mix import MixDesign
from estimator.mix.replacement import swap_pair
from estimator.mix.solve import (
    Question,
    Range,
    Solution,
    SolvedPiece,
    Variable,
    solve_for_density,
    solve_for_least_cost,
    solve_for_weight,
)
from estimator.mix.table import recipe_for, show
from estimator.mixes import prices_of
from estimator.report.mix_sheets import form_sheet
from estimator.report.screen import Column, Sheet, print_sheets, print_warnings
from estimator.takeoff import LayerTakeoff, PieceTakeoff, take_off_piece
from estimator.units import read_quantity, read_ratio
from estimator.weight import thickness_spread
from estimator.words import Words, words_for
from geometry.message import Message, message
from geometry.shapes import Outline, Slab

NAMES: Mapping[Variable, str] = {
    "replacement": "swap-sand-replaced",
    "thickness_m": "solve-thickness-figure",
    "water_cementitious": "mix-water-cementitious",
    "cementitious_share": "solve-cementitious-share",
}
"""The message that names a figure."""
Stage = Literal["fresh", "installed"]


@in_words_of_job
def run(
    name: str,
    job: Path | None,
    piece: str | None,
    weight: str | None,
    density: str | None,
    allowed: Mapping[Variable, str | None],
    sand: str | None,
    bead: str | None,
    stage: Stage,
    *,
    least_cost: bool,
    as_json: bool,
) -> None:
    """Prints the solution, or the nearest that the limits allow and which of them stops it."""
    bench = open_bench(job)
    mix = bench.mix(name)
    ranges = {key: _range(key, text) for key, text in allowed.items() if text is not None}
    weight_kg = None if weight is None else quantity("--weight", weight, "mass")
    density_kg_m3 = None if density is None else quantity("--density", density, "density")
    _check_goal(weight_kg, density_kg_m3, piece, job, least_cost=least_cost)
    designs = None
    solved = None
    if piece is not None and job is not None:
        measured = measure_job(job)
        (piece,) = marks_of(measured, [piece])
        designs = measured.mixes
        taken = next(part for part in measured.takeoff.pieces if part.piece.mark == piece)
        solved = _solved(taken, measured.job, designs, name, stage)
    with telling(bench.file, name):
        pair = swap_pair(mix, bench.shelf.materials, sand, bead)
        question = Question(
            mix=mix,
            materials=bench.shelf.materials,
            sand=pair[0],
            bead=pair[1],
            free=ranges,
            piece=solved,
            stage=stage,
            price_per_kg=prices_of(bench.shelf.materials) if least_cost else {},
        )
        if least_cost:
            solution = solve_for_least_cost(question, at_most_kg=weight_kg, at_most_kg_m3=density_kg_m3)
        elif weight_kg is not None:
            solution = solve_for_weight(question, weight_kg)
        else:
            solution = solve_for_density(question, density_kg_m3 or 0.0)
    stopped = _stopped(solution, bench.words)
    if as_json:
        sys.stdout.write(to_json(_table(name, solution, stage, stopped)))
        return
    _print(name, bench, solution, solved, ranges, stage, stopped)


def _table(name: str, solution: Solution, stage: Stage, stopped: Sequence[str]) -> dict[str, Any]:
    """The solution as JSON tells it."""
    return {
        "mix": name,
        "reached": solution.reached,
        "values": dict(solution.values),
        "density_kg_m3": solution.density_kg_m3,
        "stage": stage,
        "weight_high_kg": solution.weight_kg,
        "cost": solution.cost,
        "stopped_by": list(stopped),
        "recipe_kg_m3": dict(solution.design.recipe_kg_m3),
        "floats": solution.design.floats,
    }


def _print(
    name: str,
    bench: Bench,
    solution: Solution,
    solved: SolvedPiece | None,
    ranges: Mapping[Variable, Range],
    stage: Stage,
    stopped: list[str],
) -> None:
    words = bench.words
    rows = [(words(NAMES[key]), _value(key, solution.values[key], words)) for key in ranges if key in solution.values]
    rows += [(words(NAMES[key]), words("solve-unchanged")) for key in ranges if key not in solution.values]
    rows.append((words("solve-density", stage=stage), words.density(solution.density_kg_m3)))
    if solution.weight_kg is not None:
        rows.append((words("solve-weight", stage=stage), words.mass(solution.weight_kg, up=True)))
    if solution.cost is not None and solved is not None:
        rows.append((words("solve-cost-of-piece", currency=words.currency), words.money(solution.cost)))
    elif solution.cost is not None:
        head = words("mix-cost-per", unit=words.concrete_unit, currency=words.currency)
        rows.append((head, words.money(solution.cost * words.concrete_unit_m3)))
    rows.append((words("mix-in-water"), words("mix-floats" if solution.design.floats else "mix-sinks")))
    volume_m3 = words.concrete_unit_m3
    if solved is not None:
        volume_m3 = solved.volume_m3(solution.values.get("thickness_m", solved.thickness_m))
    batch = recipe_for(solution.design, finished_m3=volume_m3)
    need = form_sheet(
        show(solution.design, bench.shelf.materials, "masses", batch),
        solution.design,
        bench.shelf.materials,
        bench.workshop.scales,
        words,
    )
    notes = [words("solve-limits", limits="; ".join(stopped))] if stopped else []
    notes += [words("solve-untested"), words("deferral")]
    sheet = Sheet(words("solve-solution"), (Column("", False), Column("")), tuple(rows))
    title = words("solve-met" if solution.reached else "solve-nearest", mix_name=bench.mix(name).label)
    print_sheets(title, [sheet, need], notes)
    print_warnings(solution.design.warnings, words)


def _check_goal(
    weight_kg: float | None, density_kg_m3: float | None, piece: str | None, job: Path | None, *, least_cost: bool
) -> None:
    if not least_cost and (weight_kg is None) == (density_kg_m3 is None):
        raise InputError([Fault("mix solve", "", message("solve-one-goal"))])
    if weight_kg is not None and piece is None:
        raise InputError([Fault("--weight", "", message("option-weight-without-piece"))])
    if piece is not None and job is None:
        raise InputError([Fault("--piece", "", message("option-piece-without-job"))])


def _solved(taken: PieceTakeoff, job: Job, mixes: Mapping[str, MixDesign], name: str, stage: Stage) -> SolvedPiece:
    """The piece by its thickness: volume cast in the mix, and maximum weight with its other layers and inserts."""
    if not any(layer.mix == name for layer in taken.layers):
        cast = list(dict.fromkeys(layer.mix for layer in taken.layers))
        raise InputError(
            [Fault(job.file, "", message("piece-not-in-mix", mark=taken.piece.mark, mix=name, mixes=cast))]
        )
    measured = _by_thickness(taken, job)
    inserts_kg = sum(insert.mass_kg for insert in taken.piece.inserts)

    rest_kg_m3 = {
        mix: design.fresh_density_kg_m3 if stage == "fresh" else design.installed_density_kg_m3
        for mix, design in mixes.items()
    }

    def own(layers: tuple[LayerTakeoff, ...]) -> float:
        return sum(layer.volume_m3 for layer in layers if layer.mix == name)

    def weight_kg(density_kg_m3: float, thickness_m: float) -> float:
        at = measured(thickness_m)
        rest_kg = sum(
            layer.volume_m3 * rest_kg_m3[layer.mix] * mixes[layer.mix].high_over_likely
            for layer in at.layers
            if layer.mix != name
        )
        least = max(mixes[layer.mix].density_tolerance_least for layer in at.layers)
        over = (1.0 + max(job.workshop.density_tolerance, least)) * (1.0 + thickness_spread(at, job.workshop))
        return (density_kg_m3 * mixes[name].high_over_likely * own(at.layers) + rest_kg) * over + inserts_kg

    return SolvedPiece(
        volume_m3=lambda thickness_m: own(measured(thickness_m).layers),
        thickness_m=getattr(taken.piece.shape, "thickness_m", None) or taken.piece.nominal_thickness_m or 0.0,
        inserts_kg=inserts_kg,
        weight_kg=weight_kg,
    )


def _by_thickness(taken: PieceTakeoff, job: Job) -> Callable[[float], PieceTakeoff]:
    """The piece measured with another thickness. Raises InputError for a shape that cannot have it."""
    shape = taken.piece.shape

    def refused(problem: Message) -> InputError:
        text = message("solve-thickness", text=problem)
        return InputError([Fault(job.file, f"piece {taken.piece.mark}", text, words=words_for(job))])

    @cache
    def measured(thickness_m: float) -> PieceTakeoff:
        if not isinstance(shape, Slab | Outline):
            if thickness_m == (taken.piece.nominal_thickness_m or 0.0):
                return taken
            raise refused(message("solve-no-thickness"))
        if thickness_m == shape.thickness_m:
            return taken
        thinner = replace(shape, thickness_m=thickness_m)
        try:
            return take_off_piece(replace(taken.piece, shape=thinner, nominal_thickness_m=thickness_m), job)
        except FaultError as error:
            raise refused(error.message) from None

    return measured


def _range(key: Variable, text: str) -> Range:
    """ "0.30 to 0.36", "5/8 in to 1 in", "0 to 60%". Raises InputError that names the option."""
    option = {"thickness_m": "--thickness", "water_cementitious": "--water", "cementitious_share": "--share"}.get(
        key, "--replacement"
    )
    low, parted, high = (part.strip() for part in text.partition(" to "))
    if not parted:
        id = "option-range-of-lengths" if key == "thickness_m" else "option-range"
        raise InputError([Fault(option, "", message(id, value=text))])
    try:
        if key == "thickness_m":
            ends = [read_quantity(end, "length") for end in (low, high)]
        else:
            ends = [read_ratio(end, above_one=key == "water_cementitious") for end in (low, high)]
    except FaultError as error:
        raise InputError([Fault(option, "", error.message)]) from None
    if not ends[0] <= ends[1] < inf:
        raise InputError([Fault(option, "", message("option-range-downward", value=text))])
    return Range(*ends)


def _stopped(solution: Solution, words: Words) -> list[str]:
    """The limits that the figures stand at, in words; the goal's own limit last."""
    limits = [
        words(
            "solve-limit",
            figure=words(NAMES[limit.figure]),
            end=limit.end,
            value=_value(limit.figure, limit.value, words),
        )
        for limit in solution.stopped_by
    ]
    return [*limits, words("solve-goal")] if solution.at_goal else limits


def _value(key: Variable, value: float, words: Words) -> str:
    if key == "thickness_m":
        return words.length(value)
    return f"{value:.3g}" if key == "water_cementitious" else words.share(value)
