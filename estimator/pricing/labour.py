"""Hours by activity, from areas, edges, batches and pieces at the workshop's rates.

Hours of a line are rounded half up to 0.01 h before they meet the rate, so that a line can be followed with a pocket
calculator: cost = hours · rate.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import fsum
from typing import Literal

from estimator.money import cents, round2, total
from estimator.pricing.quote import exact

HOUR_S = 3600.0
WeightClass = Literal["light", "medium", "heavy"]


@dataclass(frozen=True, slots=True)
class PieceWork:
    """What one mark asks of the shop. Areas and lengths are of ONE piece or form.

    forms_built     forms that are built for it, renewals in
    form_edge_m     run of edges that the form is built along
    sinks, holes    large and small openings knocked out of one form
    face_area_m2    sprayed or brushed, all face coats
    back_area_m2    packed or poured, once a pass: a thick back takes more than one
    demould_crew    people who strip and turn it
    install_crew    people who set it, None where it is not set by this workshop
    weight_class    by the people it takes: light one, medium two, heavy more or a machine
    templated       its size is taken on site before its form is built
    batch_volume_m3 what is mixed for all of the mark, by which batch hours are shared
    """

    mark: str
    quantity: int
    forms_built: int
    form_area_m2: float
    form_edge_m: float
    sinks: int
    holes: int
    face_area_m2: float
    back_area_m2: float
    finished_area_m2: float
    demould_crew: int
    install_crew: int | None
    weight_class: WeightClass
    templated: bool
    batch_volume_m3: float


@dataclass(frozen=True, slots=True)
class PourWork:
    """Days of casting and batches mixed."""

    pours: int
    batches: int


@dataclass(frozen=True, slots=True)
class LabourLine:
    """One activity of the whole job.

    figure     the workshop's figure that its time comes from: labour.<figure>
    quantity   of `basis`: m2 or m by `unit`, otherwise a count
    time_s     of one person for one of it
    persons    who do it together
    hours      quantity · time · persons, rounded to 0.01 h
    """

    activity: str
    figure: str
    basis: str
    quantity: float
    unit: str
    time_s: float
    persons: int
    hours: Decimal
    rate: Decimal
    by_mark: Mapping[str, float]  # weights by which the line is shared over the marks

    @property
    def cost(self) -> Decimal:
        return cents(self.hours * self.rate)


@dataclass(frozen=True, slots=True)
class Labour:
    lines: tuple[LabourLine, ...]

    @property
    def hours(self) -> Decimal:
        return sum((line.hours for line in self.lines), Decimal("0.00"))

    @property
    def cost(self) -> Decimal:
        return total(line.cost for line in self.lines)


def labour_of(works: Sequence[PieceWork], pours: PourWork, figures: Mapping[str, float]) -> Labour:
    """Hours and cost by activity; lines that come to nothing are left out.

    figures   the workshop's, by dotted name: times "labour.*" in s, s/m2 or s/m, rates by the hour
    """
    rate, rate_install = exact(figures["labour.rate"]), exact(figures["labour.rate_install"])
    templated = {work.mark: float(work.quantity) for work in works if work.templated}
    mixed = {work.mark: work.batch_volume_m3 for work in works}
    forms = [
        _by_piece("build forms", "form area", "m2", "form", ((w, w.forms_built * w.form_area_m2) for w in works)),
        _by_piece("form edges", "edge length", "m", "form_edge", ((w, w.forms_built * w.form_edge_m) for w in works)),
        _by_piece("knock out sinks", "large opening", "", "form_cutout", ((w, w.forms_built * w.sinks) for w in works)),
        _by_piece("knock out holes", "small opening", "", "form_hole", ((w, w.forms_built * w.holes) for w in works)),
    ]
    cast = [
        _Activity("set up to pour", "pour", "", "pour_setup", float(pours.pours), mixed),
        _Activity("mix", "batch", "", "batch", float(pours.batches), mixed),
        _Activity("clean up", "batch", "", "batch_cleanup", float(pours.batches), mixed),
        _by_piece(
            "place face coat", "face coat area", "m2", "place_face", ((w, w.quantity * w.face_area_m2) for w in works)
        ),
        _by_piece(
            "place back coat", "back coat area", "m2", "place_back", ((w, w.quantity * w.back_area_m2) for w in works)
        ),
        _by_piece("strip and turn", "person", "", "demould", ((w, w.quantity * w.demould_crew) for w in works)),
    ]
    finish = [
        _by_piece(
            "slurry and hone", "finished area", "m2", "hone", ((w, w.quantity * w.finished_area_m2) for w in works)
        ),
        _by_piece("seal", "finished area", "m2", "seal", ((w, w.quantity * w.finished_area_m2) for w in works)),
        _by_piece("crate", "piece", "", "crate", ((w, float(w.quantity)) for w in works)),
    ]
    lines = []
    if templated:
        lines.append(_Activity("template", "visit", "", "template", 1.0, templated).line(figures, rate))
        lines.append(_Activity("travel to template", "visit", "", "travel", 1.0, templated).line(figures, rate))
    lines += [each.line(figures, rate) for each in (*forms, *cast, *finish)]
    lines += [each.line(figures, rate_install, persons) for each, persons in _installing(works, figures)]
    return Labour(tuple(line for line in lines if line.hours))


def total_area_m2(works: Iterable[PieceWork]) -> float:
    """Finished area of all pieces."""
    return fsum(work.quantity * work.finished_area_m2 for work in works)


@dataclass(frozen=True, slots=True)
class _Activity:
    """An activity before the workshop's time for it is known."""

    name: str
    basis: str
    unit: str
    figure: str
    quantity: float
    by_mark: Mapping[str, float]

    def line(self, figures: Mapping[str, float], rate: Decimal, persons: int = 1) -> LabourLine:
        time_s = figures[f"labour.{self.figure}"]
        hours = round2(self.quantity * (time_s / HOUR_S) * persons)
        return LabourLine(
            self.name, self.figure, self.basis, self.quantity, self.unit, time_s, persons, hours, rate, self.by_mark
        )


def _by_piece(name: str, basis: str, unit: str, figure: str, parts: Iterable[tuple[PieceWork, float]]) -> _Activity:
    by_mark = {work.mark: float(part) for work, part in parts}
    return _Activity(name, basis, unit, figure, fsum(by_mark.values()), by_mark)


def _installing(works: Sequence[PieceWork], figures: Mapping[str, float]) -> list[tuple[_Activity, int]]:
    """Setting on site: the workshop's crew sets up; everybody whom the heaviest piece needs travels, and sets pieces
    with as many as each weight class takes."""
    placed = [work for work in works if work.install_crew is not None]
    if not placed:
        return []
    crew = int(figures["labour.install_crew"])
    most = max(crew, *(work.install_crew or 0 for work in placed))
    every = {work.mark: float(work.quantity) for work in placed}
    steps = [
        (_Activity("travel to install", "visit", "", "travel", 1.0, every), most),
        (_Activity("set up on site", "visit", "", "install", 1.0, every), crew),
    ]
    for kind in ("light", "medium", "heavy"):
        counts = {work.mark: float(work.quantity) for work in placed if work.weight_class == kind}
        persons = max([crew, *(work.install_crew or 0 for work in placed if work.weight_class == kind)])
        steps.append(
            (_Activity(f"set {kind} pieces", "piece", "", f"install_{kind}", fsum(counts.values()), counts), persons)
        )
    return steps
