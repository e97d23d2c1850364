"""Edits of a job file that apply a way to make a piece liftable."""

from __future__ import annotations

import re
import tomllib
from math import dist
from pathlib import Path
from typing import Any

from estimator.errors import FaultError
from estimator.estimate import survey
from estimator.intake.edit import Edit, KeyPath
from estimator.intake.read import read_raw_job
from estimator.job import Insert, Job, Mix, Piece
from estimator.lighten import Way, runs_through
from estimator.names import same_name
from estimator.report.ways import axis_of
from geometry.message import message
from geometry.parts import can_be_cut, footprint
from geometry.split import Chord, chords_at

SAME_END_M = 1e-3
SAME_WEIGHT = 1e-3  # of a part, between the option and the edited file: sizes are written to 1e-4 of an inch


def edits_of(way: Way, piece: Piece, job: Job, content: bytes) -> list[Edit]:
    """Edits that write a way into the job file. Raises FaultError for a piece that is not in the file."""
    raw = tomllib.loads(content.decode("utf-8-sig"))
    tables = raw.get("piece", [])
    own = same_name(piece.mark, [str(table.get("mark", "")) for table in tables])
    unit = "in" if job.units == "imperial" else "mm"
    new = way.mix is not None and way.mix.name not in job.mixes
    edits = (
        [Edit("set", ("mixes", way.mix.name), mix_table(way.mix, way.instead_of))]
        if way.mix is not None and new
        else []
    )
    if own is None:
        return [*edits, Edit("add", ("piece",), _laid_over(way, piece, raw, job.file, unit))]
    number = [table.get("mark") for table in tables].index(own)
    if not {"shape", "from"} & tables[number].keys():
        raise FaultError("", message("lighten-not-in-file", mark=piece.mark, file=job.file))
    at: KeyPath = ("piece", number)
    if way.mix is not None and "layers" in tables[number]:
        for place, layer in enumerate(piece.layers):
            if layer.mix == way.instead_of:
                edits.append(Edit("set", (*at, "layers", place, "mix"), way.mix.name))
    elif way.mix is not None:
        edits.append(Edit("set", (*at, "mix"), way.mix.name))
    if _is_thinner(way, piece):
        edits.append(Edit("set", (*at, "shape", "thickness"), _length(way.thickness_m or 0.0, unit)))
    edits += [Edit("add", (*at, "inserts"), _core_table(core, unit)) for core in way.cores]
    if way.on_site:
        edits += _on_site(way, piece, tables[number], at)
    if way.seams:
        edits.append(Edit("set", (*at, "seams"), [_seam_table(seam, piece, unit) for seam in way.seams]))
    return edits


def _on_site(way: Way, piece: Piece, table: dict[str, Any], at: KeyPath) -> list[Edit]:
    """Edits that glue on site what the shop would glue on, cut at seams as it was."""
    edits = []
    for glued in piece.attached:
        key, place = glued.key.rstrip("]").split("[")
        written = table.get("shape", {}).get(key, ())
        if glued.glued == "shop" and int(place) < len(written):
            edits.append(Edit("set", (*at, "shape", key, int(place), "glued"), "site"))
            if way.seams and "at_seams" not in written[int(place)]:
                edits.append(Edit("set", (*at, "shape", key, int(place), "at_seams"), glued.at_seams))
    return edits


def _is_thinner(way: Way, piece: Piece) -> bool:
    return way.thickness_m is not None and way.thickness_m != piece.shape.cast_thickness_m


def _laid_over(way: Way, piece: Piece, raw: dict[str, Any], file: str, unit: str) -> dict[str, Any]:
    """A table that overrides a piece of one of the drawings of the job. Raises FaultError for any other piece."""
    drawings = raw.get("drawing", [])
    number = re.match(r"drawing (\d+),", piece.place)
    if number is None or int(number[1]) > len(drawings):
        raise FaultError("", message("lighten-not-in-file", mark=piece.mark, file=file))
    table: dict[str, Any] = {"mark": piece.mark, "from": drawings[int(number[1]) - 1]["file"]}
    if way.mix is not None:
        table["mix"] = way.mix.name
    if _is_thinner(way, piece):
        table["shape"] = {"thickness": _length(way.thickness_m or 0.0, unit)}
    if way.cores:
        table["inserts"] = [_core_table(core, unit) for core in way.cores]
    if way.seams:
        table["seams"] = [_seam_table(seam, piece, unit) for seam in way.seams]
    return table


def mix_table(mix: Mix, based_on: str) -> dict[str, Any]:
    """Table of the job file for a mix that differs from another only in its aggregate."""
    title = {"title": mix.title} if mix.title else {}
    aggregate = {name: round(share, 9) for name, share in mix.aggregate.items()}
    return {"based_on": based_on, **title, "aggregate": aggregate}


def _core_table(core: Insert, unit: str) -> dict[str, Any]:
    at = [] if core.at_m is None else [_length(place, unit) for place in core.at_m]
    volume = f"{core.displaces_m3 / 0.3048**3:.5g} ft^3" if unit == "in" else f"{core.displaces_m3 * 1000.0:.5g} L"
    mass = f"{core.mass_kg / 0.45359237:.4g} lb" if unit == "in" else f"{core.mass_kg:.4g} kg"
    return {"name": core.name, "material": core.material, "displaces": volume, "mass": mass, "at": at}


def _seam_table(seam: Chord, piece: Piece, unit: str) -> dict[str, Any]:
    """Table of the job file for a seam: one x or y if that line cuts the piece only once, else its two ends."""
    axis, (start, end) = axis_of(seam), seam
    through = {"through_cutout": True} if runs_through(seam, piece) else {}
    if axis is not None and can_be_cut(piece.shape):
        chords = chords_at(footprint(piece.shape), axis, start[axis])
        if len(chords) == 1 and all(min(dist(a, b) for b in seam) < SAME_END_M for a in chords[0]):
            return {"xy"[axis]: _length(start[axis], unit), **through}
    ends = {"from": [_length(place, unit) for place in start], "to": [_length(place, unit) for place in end]}
    return {**ends, **through}


def _length(length_m: float, unit: str) -> str:
    """A length as text of a job file, to a ten-thousandth of an inch or a micrometer."""
    text = f"{length_m / 0.0254:.4f}" if unit == "in" else f"{length_m * 1000.0:.3f}"
    return f"{text.rstrip('0').rstrip('.')} {unit}"


def check_way(content: bytes, path: Path, way: Way, number: int) -> None:
    """Check that the parts of an edited file weigh what the way says.

    Raises FaultError if they differ, and InputError for faults of the file.
    """
    job = read_raw_job(tomllib.loads(content.decode("utf-8-sig")), path).sound()
    weights = {taken.piece.mark: weight.lift_kg for taken, weight, _ in survey(job)[2]}
    for part in way.parts:
        found_kg = weights.get(part.mark)
        if found_kg is None or abs(found_kg - part.lift_kg) > SAME_WEIGHT * part.lift_kg:
            raise FaultError("", message("lighten-differs", number=number))
