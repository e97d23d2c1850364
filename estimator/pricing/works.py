"""What each mark asks of the shop, read from its take-off and its handling."""

from math import ceil

from estimator.handling.plan import Handling
from estimator.job import Job, Piece, Risk
from estimator.packaging.form_plan import form_of, forms_built
from estimator.pricing.labour import PieceWork, WeightClass
from estimator.takeoff import LayerTakeoff, PieceTakeoff
from geometry import shapes

LIFT_TOLERANCE = 1e-6  # a layer thicker than one pass by less was rounded
TEMPLATED_USES = ("counter",)
INSTALLED_USES = ("counter", "panel", "basin", "fire")
FACE_METHODS = ("spray", "brush")


def work_of(taken: PieceTakeoff, handling: Handling, job: Job) -> PieceWork:
    """The work of one mark.

    A crew that the plan of handling leaves to a machine counts as the workshop's own crew, with the machine hired.
    """
    figures, piece = job.workshop.figures, taken.piece
    sinks, holes = openings(piece.shape, figures["labour.sink_least"])
    carry, own = handling.site_crew, int(figures["labour.demould_crew"])
    crews = {move.name: move.crew for move in handling.moves}
    face = [layer for layer in taken.layers if layer.method in FACE_METHODS]
    back = [layer for layer in taken.layers if layer.method not in FACE_METHODS]
    return PieceWork(
        mark=piece.mark,
        quantity=piece.quantity,
        forms_built=forms_built(piece, figures),
        form_area_m2=taken.solid.form_area_m2,
        form_edge_m=sum(length for kind, length in taken.solid.edge_lengths_m.items() if kind != "cutouts"),
        sinks=sinks,
        holes=holes,
        face_area_m2=sum(layer.area_m2 for layer in face),
        back_area_m2=sum(layer.area_m2 * passes(layer, figures["placing.lift_most"]) for layer in back),
        finished_area_m2=taken.solid.finished_area_m2,
        form_kind=form_of(piece, figures)[0],
        strip_crew=crews.get("strip") or own,
        flip_crew=crews.get("flip") or own,
        install_crew=(carry or int(figures["labour.install_crew"])) if is_installed(piece) else None,
        weight_class=weight_class(carry),
        templated=is_templated(piece),
        batch_volume_m3=piece.quantity * sum(layer.cast_m3 for layer in taken.layers),
    )


def passes(layer: LayerTakeoff, lift_most_m: float) -> int:
    """Passes in which a layer is packed: a hand-laid one no thicker each than the workshop rolls at once."""
    if layer.method != "hand" or layer.area_m2 <= 0.0:
        return 1
    return max(1, ceil(layer.volume_m3 / layer.area_m2 / lift_most_m - LIFT_TOLERANCE))


def is_templated(piece: Piece) -> bool:
    return piece.use in TEMPLATED_USES


def is_installed(piece: Piece) -> bool:
    return piece.install if piece.install is not None else piece.use in INSTALLED_USES


def weight_class(persons: int | None) -> WeightClass:
    """By the people who carry it; a machine's load is heavy."""
    if persons is None or persons > 2:
        return "heavy"
    return "light" if persons == 1 else "medium"


def openings(shape: shapes.Shape, sink_least_m: float) -> tuple[int, int]:
    """Openings that a form is built round: those whose smaller size is a sink's, and smaller ones."""
    sizes = list(_opening_sizes(shape))
    sinks = sum(size >= sink_least_m for size in sizes)
    return sinks, len(sizes) - sinks


def risk_of(taken: PieceTakeoff, job: Job) -> Risk:
    """How likely a piece has to be cast again: as the job says, else judged from colour, rails and size.

    Colour-critical: a mix with a pigment or of a colour group. Thin-railed: concrete between an opening and the edge
    narrower than the workshop's strip. Large: a face from the workshop's size up.
    """
    piece, figures = taken.piece, job.workshop.figures
    if piece.risk is not None:
        return piece.risk
    used = [job.mixes[layer.mix] for layer in piece.layers]
    if any(mix.pigment or mix.colour_group for mix in used):
        return "colour-critical"
    if any(rail < figures["handling.strip_least"] for rail in _rails(piece.shape, figures["labour.sink_least"])):
        return "thin-railed"
    return "large" if taken.face_area_m2 >= figures["quote.large_from"] else "plain"


def _opening_sizes(shape: shapes.Shape) -> list[float]:
    match shape:
        case shapes.Slab():
            return [_cutout_size(each) for each in shape.cutouts]
        case shapes.Outline():
            drawn = [_ring_size(ring.bounds) for ring in shape.region.holes]
            return [*drawn, *(_cutout_size(each) for each in shape.cutouts)]
        case shapes.Panel():
            return [_cutout_size(each.cutout) for each in shape.openings]
        case shapes.Box():
            return [each.diameter_m for each in shape.drain_holes]
        case shapes.Compound():
            return [size for part in shape.add for size in _opening_sizes(part.shape)]
        case _:
            return []


def _cutout_size(cutout: shapes.Cutout) -> float:
    match cutout:
        case shapes.CircleCutout():
            return cutout.diameter_m
        case shapes.OutlineCutout():
            return _ring_size(cutout.region.outer.bounds)
        case _:
            return min(cutout.length_m, cutout.width_m)


def _ring_size(bounds: tuple[float, float, float, float]) -> float:
    x0, y0, x1, y1 = bounds
    return min(x1 - x0, y1 - y0)


def _rails(shape: shapes.Shape, sink_least_m: float) -> list[float]:
    """Concrete left between each large opening of a slab and the edges."""
    if not isinstance(shape, shapes.Slab):
        return []
    rails = []
    for cutout in shape.cutouts:
        if _cutout_size(cutout) < sink_least_m:
            continue
        match cutout:
            case shapes.RectangleCutout():
                x0, y0, x1, y1 = cutout.x_m, cutout.y_m, cutout.x_m + cutout.length_m, cutout.y_m + cutout.width_m
            case shapes.CircleCutout():
                half = cutout.diameter_m / 2
                x0, y0, x1, y1 = cutout.x_m - half, cutout.y_m - half, cutout.x_m + half, cutout.y_m + half
            case shapes.EllipseCutout():
                a, b = cutout.length_m / 2, cutout.width_m / 2
                x0, y0, x1, y1 = cutout.x_m - a, cutout.y_m - b, cutout.x_m + a, cutout.y_m + b
            case shapes.OutlineCutout():
                u0, v0, u1, v1 = cutout.region.outer.bounds
                x0, y0, x1, y1 = u0 + cutout.x_m, v0 + cutout.y_m, u1 + cutout.x_m, v1 + cutout.y_m
        rails += [x0, y0, shape.length_m - x1, shape.width_m - y1]
    return rails
