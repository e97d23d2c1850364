"""`cast-estimator lighten`: the ways to make heavy pieces liftable, side by side, and one of them into the job file."""

import sys
from collections.abc import Sequence
from decimal import Decimal
from math import ceil
from pathlib import Path
from typing import Any

from estimator.commands.mixes import in_words_of_job, quantity, writing
from estimator.disk import digest, replace_unchanged
from estimator.document import to_json
from estimator.errors import Fault, FaultError, InputError
from estimator.estimate import Part, price_before_tax, survey
from estimator.intake import read_job
from estimator.intake.edit import edited
from estimator.job import Job, Piece
from estimator.lighten import Goal, Lightening, Way, heaviest, lighten
from estimator.lighten_edits import check_way, edits_of
from estimator.names import nearest, same_name
from estimator.report.screen import Column, Sheet, print_sheets
from estimator.report.ways import change_text
from estimator.words import Words, words_for
from geometry.files import read_bytes
from geometry.frozen import frozen
from geometry.message import message

COMMAND = "lighten"
MOST_PIECES = 3


@frozen
class Request:
    """What was asked on the command line."""

    piece: str | None
    people: int | None
    weight: str | None
    thinnest: str | None
    apply: int | None
    accept_untested: bool


@in_words_of_job
def run(job: Path, request: Request, *, as_json: bool) -> None:
    """Prints the ways for the heaviest pieces, or for one; or writes one of them into the job file.

    Raises InputError for what is at fault in the job, and for a call that cannot be.
    """
    goal = _goal(request)
    read = read_job(job).sound()
    _, _, parts = survey(read)
    lightenings = [_lightened(read, part, goal) for part in _chosen(read, parts, request)]
    if request.apply is not None:
        _apply(job, read, lightenings[0], request.apply, untested=request.accept_untested)
        return
    if as_json:
        sys.stdout.write(to_json({"pieces": [_table(entry) for entry in lightenings]}))
        return
    _print(read, lightenings, request)


def _goal(request: Request) -> Goal:
    if request.people is not None and request.weight is not None:
        raise InputError([Fault(COMMAND, "", message("lighten-people-or-weight"))])
    if request.apply is not None and request.piece is None:
        raise InputError([Fault(COMMAND, "--apply", message("lighten-apply-needs-piece"))])
    if request.accept_untested and request.apply is None:
        raise InputError([Fault(COMMAND, "--accept-untested", message("lighten-accept-alone"))])
    weight_kg = None if request.weight is None else quantity("--weight", request.weight, "mass")
    thinnest_m = None if request.thinnest is None else quantity("--thinnest", request.thinnest, "length")
    return Goal(request.people, weight_kg, thinnest_m)


def _chosen(job: Job, parts: Sequence[Part], request: Request) -> list[Part]:
    """The piece asked for; else the heaviest that need a machine, or more people than there are."""
    if request.piece is None:
        people = request.people or int(job.workshop.handling.people)
        if request.weight is not None:
            limit_kg = quantity("--weight", request.weight, "mass")
            heavy = [part for part in parts if part[1].lift_kg > limit_kg]
            return sorted(heavy, key=lambda part: -part[1].lift_kg)[:MOST_PIECES]
        return heaviest(parts, people, MOST_PIECES)
    marks = [taken.piece.mark for taken, _, _ in parts]
    own = same_name(request.piece, marks)
    if own is None:
        problem = message("piece-unknown", mark=request.piece, nearest=nearest(request.piece, marks))
        raise InputError([Fault(job.file, "", problem)])
    return [part for part in parts if part[0].piece.mark == own]


def _lightened(job: Job, part: Part, goal: Goal) -> Lightening:
    piece = part[0].piece
    if piece.part_of:
        reason = message("lighten-part", mark=piece.mark, whole=piece.part_of)
        return Lightening(piece.mark, part[1].lift_kg, part[2].carry.persons, (), reason)
    return lighten(job, part, goal)


# --------------------------------------------------------------------------- what is printed


def _core(way: Way) -> dict[str, float] | None:
    """The foam cores of a way, together."""
    return {"displaces_m3": way.core_m3, "mass_kg": sum(core.mass_kg for core in way.cores)} if way.cores else None


def _table(entry: Lightening) -> dict[str, Any]:
    """The ways of one piece as JSON tells them."""
    options = [
        {
            "n": number,
            "people": way.people,
            "sand_replaced": way.sand_replaced,
            "mix": way.instead_of if way.mix is None else way.mix.name,
            "thickness_m": way.thickness_m,
            "core": _core(way),
            "glued_on_site": way.on_site,
            "seams": [[list(start), list(end)] for start, end in way.seams],
            "parts": [
                {"mark": part.mark, "lift_kg": part.lift_kg, "area_m2": part.area_m2, "size_m": list(part.size_m)}
                for part in way.parts
            ],
            "price": float(way.price),
            "strength": way.strength,
            "guideline_share": way.guideline_share,
        }
        for number, way in enumerate(entry.ways, start=1)
    ]
    return {"mark": entry.mark, "as_drawn": {"lift_kg": entry.lift_kg, "crew": entry.crew}, "options": options}


def _print(job: Job, lightenings: Sequence[Lightening], request: Request) -> None:
    words = words_for(job)
    if not lightenings:
        print(words("lighten-nothing-heavy", people=request.people or int(job.workshop.handling.people)))
        return
    price = price_before_tax(job) if any(entry.ways for entry in lightenings) else Decimal(0)
    pieces = {piece.mark: piece for piece in job.pieces}
    for entry in lightenings:
        title = words("lighten-title", mark=entry.mark, high_kg=entry.lift_kg, crew=words.crew(entry.crew))
        if entry.reason is not None:
            print_sheets(title, (), [words.text(entry.reason)])
            continue
        print_sheets(title, [_sheet(entry, pieces[entry.mark], price, words)])
    if any(way.strength == "untested" for entry in lightenings for way in entry.ways):
        print(words("lighten-not-tested"))
    if any(entry.ways for entry in lightenings):
        print(words("lighten-prices"))
        print(words("lighten-how"))
        print(words("deferral"))


def _sheet(entry: Lightening, piece: Piece, price: Decimal, words: Words) -> Sheet:
    rows = tuple(
        (
            str(number),
            str(way.people),
            change_text(way, piece, words),
            str(len(way.parts)),
            words.mass(way.heaviest_kg, up=True),
            words.money(way.price),
            words.price_change(way.price - price),
            words("lighten-no-guideline", people=str(way.people))
            if way.guideline_share is None
            else words.share(ceil(100.0 * way.guideline_share - 1e-9) / 100.0),
            words("lighten-strength", strength=way.strength),
        )
        for number, way in enumerate(entry.ways, start=1)
    )
    ids = ("number", "people", "change", "parts", "heaviest", "price", "difference", "guideline", "strength")
    columns = tuple(Column(words(f"lighten-head-{id}"), id not in ("change", "strength")) for id in ids)
    return Sheet("", columns, rows)


# --------------------------------------------------------------------------- into the job file


def _apply(path: Path, job: Job, entry: Lightening, number: int, *, untested: bool) -> None:
    """Write one of the ways into the job file, which is read again and compared before it is saved."""
    words = words_for(job)
    if entry.reason is not None:
        raise InputError([Fault(job.file, f"piece {entry.mark}", entry.reason)])
    if number > len(entry.ways):
        problem = message("lighten-no-option", number=number, most=len(entry.ways))
        raise InputError([Fault(COMMAND, "--apply", problem)])
    way = entry.ways[number - 1]
    if way.strength == "untested" and not untested:
        raise InputError([Fault(COMMAND, "--apply", message("lighten-accept", number=number))])
    content = read_bytes(path)
    piece = next(piece for piece in job.pieces if piece.mark == entry.mark)
    try:
        new = edited(content, edits_of(way, piece, job, content))
        check_way(new, path, way, number)
        with writing(path):
            replace_unchanged(path, new, digest(content))
    except FaultError as error:
        raise InputError([Fault(path.name, error.key, error.message)]) from None
    print(words("lighten-applied", file=path.name, mark=entry.mark, number=number))
