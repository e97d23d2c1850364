"""`cast-estimator mix swap 60% --job JOB`: if so much sand is swapped, what do the pieces weigh, cost and need?"""

import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

from estimator.commands.estimate import estimate_file
from estimator.commands.mixes import ratio, telling
from estimator.document import to_json
from estimator.errors import Fault, InputError
from estimator.estimate import Estimate, PieceEstimate, estimate
from estimator.intake.documents import built_in_cautions
from estimator.intake.faults import nearest
from estimator.job import Job, Mix
from estimator.mix.bands import bands
from estimator.mix.replacement import REPLACED_BY, replaced_share, swap_pair, swapped
from estimator.mix.shown import recipe_for, show
from estimator.names import same_name
from estimator.report.mix_sheets import first_crack, form_sheet
from estimator.report.mix_words import BASIS, IN_PLACE
from estimator.report.tables import Column, Sheet, material_sheet
from estimator.report.terminal import print_sheets, print_warnings
from estimator.report.words import DEFERRAL, EXAMPLE_PRICES, Words


def run(
    share_text: str,
    path: Path,
    piece: str | None,
    name: str | None,
    sand: str | None,
    bead: str | None,
    by: str,
    *,
    as_json: bool,
) -> None:
    """Estimates the job as it is and with the sand swapped. Raises InputError for what is at fault."""
    share = ratio("SHARE", share_text)
    if by not in REPLACED_BY:
        raise InputError([Fault("--by", "", f'"{by}" is no way of replacing sand.', nearest(by, REPLACED_BY))])
    now = estimate_file(path)
    pieces = _pieces(now, piece)
    mix = _mix(now, pieces, name)
    with telling(now.job.file, mix.name):
        sand, bead = swap_pair(mix, now.job.materials, sand, bead or _only_bead(now))
        other = swapped(mix, now.job.materials, sand, bead, share, by)
        band = bands(other, now.job.materials).fresh_density_kg_m3
        was = replaced_share(mix, sand, bead)
    then = estimate(_with(now.job, other), built_in_cautions())
    after = [each for each in then.pieces if each.taken.piece.mark in {p.taken.piece.mark for p in pieces}]
    if as_json:
        sys.stdout.write(
            to_json(
                {
                    "mix": mix.name,
                    "sand": sand,
                    "bead": bead,
                    "by": by,
                    "replacement": {"now": was, "swapped": share},
                    "now": _document(now, pieces, mix),
                    "swapped": _document(then, after, other) | {"fresh_low": band.low, "fresh_high": band.high},
                }
            )
        )
        return
    words = Words(now.job.units, now.job.currency)
    made, made_now = then.mixes[mix.name], now.mixes[mix.name]
    rows = (
        ("sand swapped", words.share(was), words.share(share)),
        ("fresh", words.density(made_now.fresh_density_kg_m3), words.density(made.fresh_density_kg_m3)),
        ("  low to high", "", f"{words.density(band.low)} to {words.density(band.high)}"),
        (IN_PLACE, words.density(made_now.installed_density_kg_m3), words.density(made.installed_density_kg_m3)),
        ("in water, fresh", *("floats" if each.floats else "sinks" for each in (made_now, made))),
        ("first-crack strength", first_crack(mix, words), first_crack(other, words)),
    )
    mix_sheet = Sheet(
        f"{mix.name}: {bead} for {sand}, {BASIS[other.replaced_by]}",
        (Column("", False), Column("as it is"), Column("swapped")),
        rows,
    )
    layers = [(layer, each.taken.piece.quantity) for each in after for layer in each.taken.layers]
    needed_m3 = sum(layer.cast_m3 * quantity for layer, quantity in layers if layer.mix == mix.name)
    shown = show(made, then.job.materials, "masses", recipe_for(made, finished_m3=needed_m3))
    need_sheet = replace(
        form_sheet(shown, made, then.job.materials, then.job.workshop.scales, words),
        title=f"What these pieces need of {mix.name}, swapped, waste in: {words.volume(needed_m3)}",
    )
    sheets = [mix_sheet, _piece_sheet(pieces, after, words), need_sheet, material_sheet(then, words)]
    told = [text for text in then.warnings if text not in now.warnings]
    dangers = [
        f"{each.caution.severity.upper()}, {', '.join(each.pieces)}: {each.caution.text}"
        for each in then.cautions
        if each.caution.severity == "danger" and any(p.taken.piece.mark in each.pieces for p in after)
    ]
    title = f"{now.job.name}: {words.share(share)} of the sand swapped; the material order is of the whole job"
    print_sheets(title, sheets, [*dangers, EXAMPLE_PRICES, DEFERRAL])
    print_warnings(told)


def _piece_sheet(before: list[PieceEstimate], after: list[PieceEstimate], words: Words) -> Sheet:
    """What one of each mark weighs and costs, as it is and swapped; the high weights are the ones to lift by."""
    rows: list[tuple[str, ...]] = []
    for one, other in zip(before, after, strict=True):
        pair = (one, other)
        quantity = one.taken.piece.quantity
        rows += [
            (one.taken.piece.mark, IN_PLACE, *(words.mass(each.weight.installed_kg) for each in pair)),
            ("", "to lift, high", *(words.mass(each.weight.lift_kg, up=True) for each in pair)),
            ("", "to turn in its form, high", *(words.mass(each.weight.turn_kg, up=True) for each in pair)),
            ("", "carried by", *(words.crew(each.handling.carry.persons) for each in pair)),
            ("", f"price, {words.currency}", *(words.money(float(each.price) / quantity) for each in pair)),
        ]
    columns = (Column("Piece", False), Column("of one", False), Column("as it is"), Column("swapped"))
    return Sheet("The pieces", columns, tuple(rows))


def _pieces(now: Estimate, mark: str | None) -> list[PieceEstimate]:
    known = [each.taken.piece.mark for each in now.pieces]
    own = None if mark is None else same_name(mark, known)
    found = [each for each in now.pieces if mark is None or each.taken.piece.mark == own]
    if not found:
        raise InputError([Fault(now.job.file, "", f'there is no piece "{mark}".', nearest(str(mark), known))])
    return found


def _mix(now: Estimate, pieces: list[PieceEstimate], name: str | None) -> Mix:
    """The mix that is swapped: the one named, else the one of which these pieces hold most."""
    volumes: dict[str, float] = {}
    for each in pieces:
        for layer in each.taken.layers:
            volumes[layer.mix] = volumes.get(layer.mix, 0.0) + layer.cast_m3 * each.taken.piece.quantity
    if name is not None and name not in volumes:
        raise InputError([Fault(now.job.file, "", f"no such piece is cast in {name}.", nearest(name, volumes))])
    return now.job.mixes[name or max(volumes, key=lambda each: volumes[each])]


def _only_bead(now: Estimate) -> str | None:
    """The light aggregate of the job, where its mixes hold one alone."""
    materials = now.job.materials
    held = {n for mix in now.mixes for n in now.job.mixes[mix].aggregate if materials[n].kind == "light-aggregate"}
    return held.pop() if len(held) == 1 else None


def _with(job: Job, mix: Mix) -> Job:
    """The job with the mix in place of the one of its name; nothing of its other versions."""
    return replace(job, mixes={**job.mixes, mix.name: mix}, alternatives=(), options=(), changes=())


def _document(done: Estimate, pieces: list[PieceEstimate], mix: Mix) -> dict[str, Any]:
    made = done.mixes[mix.name]
    return {
        "fresh_density_kg_m3": made.fresh_density_kg_m3,
        "installed_density_kg_m3": made.installed_density_kg_m3,
        "floats": made.floats,
        "first_crack_strength_pa": mix.first_crack_strength_pa,
        "pieces": [
            {
                "mark": each.taken.piece.mark,
                "fresh_kg": each.weight.fresh_kg,
                "installed_kg": each.weight.installed_kg,
                "high_kg": each.weight.high_kg,
                "lift_kg": each.weight.lift_kg,
                "crew": each.handling.carry.persons,
                "price": float(each.price) / each.taken.piece.quantity,
            }
            for each in pieces
        ],
        "required_kg": {line.material: line.required_kg for line in done.materials.lines},
        "total": float(done.cost.total),
    }
