"""Hours and cost of the work on each piece and pour."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from decimal import Decimal
from math import ceil, fsum, hypot
from operator import attrgetter, itemgetter
from typing import Any, Literal

from estimator.constants import HOUR_S, below
from estimator.handling.plan import Handling
from estimator.job import Job, Piece, Risk
from estimator.money import cents, round2, total
from estimator.packaging.forms import form_set
from estimator.packaging.stage import form_of
from estimator.pricing.quote import exact
from estimator.supplies import FormKind
from estimator.takeoff import LayerTakeoff, PieceTakeoff
from estimator.workshop import Settings, value_of
from geometry import shapes
from geometry.frozen import frozen
from geometry.message import Message, message

LEAST_SETTING_S = (
    HOUR_S  # least setting time in a day on site, however far it is: a crew that travels longer stays over
)
WHOLE_TOLERANCE = 1e-9
WeightClass = Literal["light", "medium", "heavy"]
WorkStep = Literal["template", "forms", "pour", "strip", "hone", "seal", "crate", "site"]


@frozen
class PieceWork:
    """Quantities of shop work for one mark. Areas and lengths are for ONE piece or form.

    forms_built      forms built for it, renewals included
    form_edge_m      length of edges that the form is built along
    sinks, holes     large and small openings knocked out of one form
    face_area_m2     sprayed or brushed area of all face coats
    back_area_m2     packed or poured area, counted once per pass; a thick back takes several passes
    form_kind        form material
    strip_crew       people who strip it together
    flip_crew        people who flip it together
    install_crew     people who set it; None if this shop does not install it
    weight_class     by crew: light takes one person, medium two, heavy more or a machine
    templated        whether it is measured on site before its form is built
    batch_volume_m3  volume mixed for the whole mark, by which batch hours are divided
    seam_m           length of its seams; half of it is charged to the part on the other side
    glued_m          length along which a leg or a splash is glued on
    in_shop          whether it is glued in the shop
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
    form_kind: FormKind
    strip_crew: int
    flip_crew: int
    install_crew: int | None
    weight_class: WeightClass
    templated: bool
    batch_volume_m3: float
    seam_m: float = 0.0
    glued_m: float = 0.0
    in_shop: bool = False


@frozen
class PourWork:
    """Days of casting, batches mixed, and samples made for the client."""

    pours: int
    batches: int
    samples: int = 0


@frozen
class LaborLine:
    """One activity of the whole job.

    figure     shop figure for its time: labour.<figure>
    quantity   amount of `basis`: m2 or m by `unit`, otherwise a count
    time_s     time of one person for one unit
    persons    people who do it together
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
    by_mark: Mapping[str, float]  # weights by which the line is divided over the marks
    step: WorkStep  # of the calendar
    pieces: int | None = None  # pieces handled one at a time by all of `persons` together

    @property
    def cost(self) -> Decimal:
        return cents(self.hours * self.rate)

    @property
    def basis_id(self) -> str:
        """Basis in the form used at the end of message ids."""
        return self.basis.replace(" ", "-")

    @property
    def label(self) -> Message:
        """Name of the activity, as a message."""
        figure = f"{self.figure}-{self.step}" if self.figure == "travel" else self.figure
        return message(f"activity-{figure.replace('_', '-')}", crew=self.persons)


@frozen
class Labor:
    """All lines, and the number of days that the crew is on site."""

    lines: tuple[LaborLine, ...]
    site_days: int = 0

    @property
    def hours(self) -> Decimal:
        return sum((line.hours for line in self.lines), Decimal("0.00"))

    @property
    def cost(self) -> Decimal:
        return total(line.cost for line in self.lines)


BY_PIECE: tuple[tuple[WorkStep, str, str, str, str, Callable[[PieceWork], float]], ...] = (
    ("forms", "build forms", "form area", "m2", "form", lambda work: work.forms_built * work.form_area_m2),
    ("forms", "form edges", "edge length", "m", "form_edge", lambda work: work.forms_built * work.form_edge_m),
    ("forms", "knock out sinks", "large opening", "", "form_cutout", lambda work: work.forms_built * work.sinks),
    ("forms", "knock out holes", "small opening", "", "form_hole", lambda work: work.forms_built * work.holes),
    ("pour", "place face coat", "face coat area", "m2", "place_face", lambda work: work.quantity * work.face_area_m2),
    ("pour", "place back coat", "backer area", "m2", "place_back", lambda work: work.quantity * work.back_area_m2),
    ("hone", "slurry and hone", "finished area", "m2", "hone", lambda work: work.quantity * work.finished_area_m2),
    ("seal", "seal", "finished area", "m2", "seal", lambda work: work.quantity * work.finished_area_m2),
    (
        "crate",
        "glue parts",
        "seam length",
        "m",
        "seam",
        lambda work: work.quantity * work.glued_m if work.in_shop else 0.0,
    ),
    ("crate", "crate", "piece", "", "crate", lambda work: float(work.quantity)),
)
"""Activities counted by the piece: step, name, basis, unit, key of the time in `[workshop.labour]`, and quantity."""


def labor_of(works: Sequence[PieceWork], pours: PourWork, shop: Settings) -> Labor:
    """Hours and cost by activity, without lines of zero hours."""
    rate, rate_install = exact(shop.labor.rate), exact(shop.labor.rate_install)
    templated = {work.mark: float(work.quantity) for work in works if work.templated}
    mixed = {work.mark: work.batch_volume_m3 for work in works}
    alike = {work.mark: 1.0 for work in works}
    by_step: dict[WorkStep, list[_Activity]] = {}
    for step, name, basis, unit, figure, amount in BY_PIECE:
        by_step.setdefault(step, []).append(_by_piece(step, name, basis, unit, figure, works, amount))
    if templated:
        by_step["template"] = [
            _Activity("template", "template", "visit", "", "template", 1.0, templated),
            _Activity("template", "travel to template", "visit", "", "travel", 1.0, templated),
        ]
    by_step["forms"].append(_Activity("forms", "make samples", "sample", "", "sample", float(pours.samples), alike))
    by_step["pour"][:0] = [
        _Activity("pour", "set up to pour", "pour", "", "pour_setup", float(pours.pours), mixed),
        _Activity("pour", "mix", "batch", "", "batch", float(pours.batches), mixed),
        _Activity("pour", "clean up", "batch", "", "batch_cleanup", float(pours.batches), mixed),
    ]
    before = [activity for step in ("template", "forms", "pour") for activity in by_step.get(step, ())]
    after = [activity for step in ("hone", "seal", "crate") for activity in by_step[step]]
    days, on_site = _installing(works, shop)
    lines = (
        *(activity.line(shop, rate) for activity in before),
        *(activity.line(shop, rate, crew) for activity, crew in _stripping(works)),
        *(activity.line(shop, rate) for activity in after),
        *(activity.line(shop, rate_install, persons) for activity, persons in on_site),
    )
    return Labor(tuple(line for line in lines if line.hours), days)


def site_days(setting_s: float, shop: Settings) -> int:
    """Working days on site for `setting_s` of setting by one crew. Each day also takes travel and set-up time."""
    if setting_s <= 0.0:
        return 0
    day_s = shop.calendar.hours_per_day_s - shop.labor.travel_s - shop.labor.install_s
    return ceil(setting_s / max(day_s, LEAST_SETTING_S) - WHOLE_TOLERANCE)


def total_area_m2(works: Iterable[PieceWork]) -> float:
    """Total finished area of the pieces, m²."""
    return fsum(work.quantity * work.finished_area_m2 for work in works)


@frozen
class _Activity:
    """An activity, before the shop's time for it is applied."""

    step: WorkStep
    name: str
    basis: str
    unit: str
    figure: str
    quantity: float
    by_mark: Mapping[str, float]
    pieces: int | None = None

    def line(self, shop: Settings, rate: Decimal, persons: int = 1) -> LaborLine:
        time_s = value_of(shop.labor, self.figure)
        return LaborLine(
            activity=self.name,
            figure=self.figure,
            basis=self.basis,
            quantity=self.quantity,
            unit=self.unit,
            time_s=time_s,
            persons=persons,
            hours=round2(self.quantity * (time_s / HOUR_S) * persons),
            rate=rate,
            by_mark=self.by_mark,
            step=self.step,
            pieces=self.pieces,
        )


def _by_piece(
    step: WorkStep,
    name: str,
    basis: str,
    unit: str,
    figure: str,
    works: Sequence[PieceWork],
    amount: Callable[[PieceWork], float],
    pieces: int | None = None,
) -> _Activity:
    by_mark = dict(zip(map(MARK, works), map(float, map(amount, works)), strict=True))
    return _Activity(step, name, basis, unit, figure, fsum(by_mark.values()), by_mark, pieces)


def _stripping(works: Sequence[PieceWork]) -> Iterator[tuple[_Activity, int]]:
    """Yield stripping by kind of form and form area, and flipping by the piece, each with its crew."""
    for (kind, crew), group in _groups(works, attrgetter("form_kind", "strip_crew")):
        yield (
            _by_piece(
                "strip",
                f"strip {kind} forms, crew of {crew}",
                "form area",
                "m2",
                f"strip_{kind.replace('-', '_')}",
                group,
                lambda work: work.quantity * work.form_area_m2,
                sum(work.quantity for work in group),
            ),
            crew,
        )
    for crew, group in _groups(works, attrgetter("flip_crew")):
        count = sum(work.quantity for work in group)
        yield (
            _by_piece("strip", f"flip, crew of {crew}", "piece", "", "flip", group, attrgetter("quantity"), count),
            crew,
        )


def _groups(works: Sequence[PieceWork], key: Callable[[PieceWork], Any]) -> Iterator[tuple[Any, list[PieceWork]]]:
    """Yield the works with the same key together, by key."""
    groups: dict[Any, list[PieceWork]] = {}
    for work in works:
        groups.setdefault(key(work), []).append(work)
    yield from sorted(groups.items(), key=itemgetter(0))


def _installing(works: Sequence[PieceWork], shop: Settings) -> tuple[int, list[tuple[_Activity, int]]]:
    """Days on site, and the activities there.

    On each day everybody needed for the heaviest piece travels, and the shop's crew sets up. Pieces are set one at a
    time, with as many people as their weight class needs.
    """
    placed = [work for work in works if work.install_crew is not None]
    if not placed:
        return 0, []
    crew = int(shop.labor.install_crew)
    largest_crew = max(crew, *(work.install_crew or 0 for work in placed))
    all_placed = {work.mark: float(work.quantity) for work in placed}
    setting = []
    for kind in ("light", "medium", "heavy"):
        counts = {work.mark: float(work.quantity) for work in placed if work.weight_class == kind}
        persons = max([crew, *(work.install_crew or 0 for work in placed if work.weight_class == kind)])
        count = sum(counts.values())
        figure = f"install_{kind}"
        activity = _Activity("site", f"set {kind} pieces", "piece", "", figure, count, counts, int(count))
        setting.append((activity, persons))
    setting.append((_by_piece("site", "join seams", "seam length", "m", "seam", placed, _joints_m), 1))
    setting_s = fsum(activity.quantity * value_of(shop.labor, activity.figure) for activity, _ in setting)
    days = max(1, site_days(setting_s, shop))
    visits = [
        (_Activity("site", "travel to install", "visit", "", "travel", float(days), all_placed), largest_crew),
        (_Activity("site", "set up on site", "visit", "", "install", float(days), all_placed), crew),
    ]
    return days, visits + setting


def _joints_m(work: PieceWork) -> float:
    """Length joined on site for a mark; half of a seam is charged to each part."""
    return work.quantity * (work.seam_m / 2.0 + work.glued_m)


MARK = attrgetter("mark")
LIFT_TOLERANCE = 1e-6  # in passes; a smaller excess over a whole number of passes is a rounding error
TEMPLATED_USES = ("counter",)
INSTALLED_USES = ("counter", "splash", "panel", "basin", "fire")
FACE_METHODS = ("spray", "brush")


def work_of(taken: PieceTakeoff, handling: Handling, job: Job) -> PieceWork:
    """Work quantities of one mark.

    If the handling plan uses a machine, by need or because the job asks for slings, inserts, pads or picks, the shop's
    usual crew is counted, and the machine is hired.
    """
    shop, piece = job.workshop, taken.piece
    sinks, holes = openings(piece.shape, shop.labor.sink_least_m)
    (kind, uses), carry, own = form_of(piece, shop), handling.site_crew, int(shop.labor.demold_crew)
    crews = {move.name: move.crew for move in handling.moves}
    hung = handling.lifting.planned
    face = [layer for layer in taken.layers if layer.method in FACE_METHODS]
    back = [layer for layer in taken.layers if layer.method not in FACE_METHODS]
    return PieceWork(
        mark=piece.mark,
        quantity=piece.quantity,
        forms_built=form_set(piece.quantity, piece.forms, uses).built,
        form_area_m2=taken.solid.form_area_m2,
        form_edge_m=sum(
            length for kind, length in taken.solid.edge_lengths_m.items() if kind not in ("cutouts", "raw")
        ),
        sinks=sinks,
        holes=holes,
        face_area_m2=sum(layer.area_m2 for layer in face),
        back_area_m2=sum(layer.area_m2 * passes(layer, shop.placing.lift_most_m) for layer in back),
        finished_area_m2=taken.solid.finished_area_m2,
        form_kind=kind,
        strip_crew=own if hung else crews.get("strip") or own,
        flip_crew=crews.get("flip") or own,
        install_crew=None
        if not is_installed(piece)
        else int(shop.labor.install_crew)
        if hung or carry is None
        else carry,
        weight_class=weight_class(carry),
        templated=is_templated(piece),
        batch_volume_m3=piece.quantity * sum(layer.cast_m3 for layer in taken.layers),
        seam_m=sum(hypot(x1 - x0, y1 - y0) for (x0, y0), (x1, y1) in piece.joints_m) if is_installed(piece) else 0.0,
        glued_m=max(taken.solid.size_m[:2]) if piece.part == "splash" else taken.solid.size_m[0] if piece.pose else 0.0,
        in_shop=piece.glued_in_shop,
    )


def passes(layer: LayerTakeoff, lift_most_m: float) -> int:
    """Number of passes for a layer. Each pass of a hand-packed layer is no thicker than the shop packs at a time."""
    if layer.method != "hand" or layer.area_m2 <= 0.0:
        return 1
    return max(1, ceil(layer.volume_m3 / layer.area_m2 / lift_most_m - LIFT_TOLERANCE))


def is_templated(piece: Piece) -> bool:
    return piece.use in TEMPLATED_USES


def is_installed(piece: Piece) -> bool:
    if piece.glued_in_shop:
        return False
    return piece.install if piece.install is not None else piece.use in INSTALLED_USES


def weight_class(persons: int | None) -> WeightClass:
    """Weight class by the number of people who carry a piece; a machine load (None) is heavy."""
    if persons is None or persons > 2:
        return "heavy"
    return "light" if persons == 1 else "medium"


SAME_M = 1e-9  # sizes closer than this are equal


def openings(shape: shapes.Shape, sink_least_m: float) -> tuple[int, int]:
    """Numbers of large and small openings that a form is built around; large from `sink_least_m` on the short side."""
    sizes = [min(x1 - x0, y1 - y0) for x0, y0, x1, y1 in shape.opening_bounds()]
    sinks = sum(size >= sink_least_m - SAME_M for size in sizes)
    return sinks, len(sizes) - sinks


def risk_of(taken: PieceTakeoff, job: Job) -> Risk:
    """Risk class of a remake: from the job, else from color, rails and size.

    Color-critical: a mix with a pigment or in a color group. Thin-railed: concrete between an opening and the edge
    narrower than the shop's strip limit. Large: a face from the shop's size up.
    """
    piece, shop = taken.piece, job.workshop
    if piece.risk is not None:
        return piece.risk
    used = [job.mixes[layer.mix] for layer in piece.layers]
    if any(mix.pigment or mix.colour_group for mix in used):
        return "colour-critical"
    if any(below(rail, shop.handling.strip_least_m) for rail in _rails(piece.shape, shop.labor.sink_least_m)):
        return "thin-railed"
    return "plain" if below(taken.face_area_m2, shop.quote.large_from_m2) else "large"


def _rails(shape: shapes.Shape, sink_least_m: float) -> list[float]:
    """Widths of concrete between each large opening of a slab and the edges, m."""
    if not isinstance(shape, shapes.Slab):
        return []
    rails = []
    for x0, y0, x1, y1 in shape.opening_bounds():
        if min(x1 - x0, y1 - y0) >= sink_least_m - SAME_M:
            rails += [x0, y0, shape.length_m - x1, shape.width_m - y1]
    return rails
