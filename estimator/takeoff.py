"""Take-off: the volume, areas and balance of every piece, and how much of which mix each of its layers takes."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from estimator.errors import FaultError
from estimator.job import Job, Layer, Piece, Vector
from estimator.workings import Working, figure
from estimator.workshop import Method
from geometry.schedule import measure_many
from geometry.shape import layer_parts, measure, plan_area
from geometry.solid import LayerPart, Solid
from geometry.views import PlanArea


@dataclass(frozen=True, slots=True)
class LayerTakeoff:
    """One layer of one piece, inserts taken out."""

    mix: str
    method: Method
    volume_m3: float
    waste: float
    centroid_m: Vector
    area_m2: float

    @property
    def cast_m3(self) -> float:
        """What must be mixed for it."""
        return self.volume_m3 * (1.0 + self.waste)


@dataclass(frozen=True, slots=True)
class PieceTakeoff:
    """One piece of a mark, measured."""

    piece: Piece
    solid: Solid
    layers: tuple[LayerTakeoff, ...]
    face_area_m2: float  # the plan of a flat piece, else all that is seen
    plan: PlanArea  # by which price and weight are compared

    @property
    def volume_m3(self) -> float:
        """Concrete in it: the solid less what inserts displace."""
        return sum(layer.volume_m3 for layer in self.layers)


@dataclass(frozen=True, slots=True)
class Takeoff:
    pieces: tuple[PieceTakeoff, ...]


@dataclass(frozen=True, slots=True)
class Refusal:
    """A piece that cannot be taken off, and why."""

    piece: Piece
    error: FaultError


def take_off(job: Job) -> tuple[Takeoff, tuple[Refusal, ...]]:
    """Every piece of the job measured, in one pass over columns; and the pieces that have no measure."""
    refusals: list[Refusal] = []
    pieces: list[PieceTakeoff] = []
    for faces in ("form", "all"):
        chosen = [piece for piece in job.pieces if piece.faces == faces]
        pieces += _take_off_all(chosen, faces, job, refusals)
    order = {piece.mark: i for i, piece in enumerate(job.pieces)}
    pieces.sort(key=lambda each: order[each.piece.mark])
    return Takeoff(tuple(pieces)), tuple(refusals)


def take_off_piece(piece: Piece, job: Job) -> PieceTakeoff:
    """One piece measured, its layers with their own waste.

    What an insert displaces is taken from the layer against which it lies, the innermost.
    Raises FaultError for a shape without a measure, layers that do not fit it, or inserts larger than their layer.
    """
    _check_layers(piece)
    solid = measure(piece.shape)
    return _taken(piece, solid, layer_parts(piece.shape, _thicknesses(piece), piece.faces), job)


def _take_off_all(
    pieces: Sequence[Piece], faces: Literal["form", "all"], job: Job, refusals: list[Refusal]
) -> list[PieceTakeoff]:
    """The pieces in columns; where one is refused, the halves apart, until it stands alone."""
    if len(pieces) <= 1:
        return _take_off_alone(pieces, job, refusals)
    try:
        for piece in pieces:
            _check_layers(piece)
        measured = measure_many([piece.shape for piece in pieces], [_thicknesses(piece) for piece in pieces], faces)
        rows = zip(pieces, measured, strict=True)
        return [_taken(piece, solid, parts, job) for piece, (solid, parts) in rows]
    except FaultError:
        half = len(pieces) // 2
        parts = pieces[:half], pieces[half:]
        return [takeoff for part in parts for takeoff in _take_off_all(part, faces, job, refusals)]


def _take_off_alone(pieces: Sequence[Piece], job: Job, refusals: list[Refusal]) -> list[PieceTakeoff]:
    takeoffs = []
    for piece in pieces:
        try:
            takeoffs.append(take_off_piece(piece, job))
        except FaultError as error:
            refusals.append(Refusal(piece, error))
    return takeoffs


def _thicknesses(piece: Piece) -> tuple[float | None, ...]:
    return tuple(layer.thickness_m for layer in piece.layers)


def _taken(piece: Piece, solid: Solid, parts: Sequence[LayerPart], job: Job) -> PieceTakeoff:
    """A measured piece with what its inserts displace taken out of its innermost layer."""
    displaced_m3 = sum(insert.displaces_m3 for insert in piece.inserts)
    if displaced_m3 >= parts[-1].volume_m3:
        raise FaultError(
            "inserts",
            f"inserts displace {displaced_m3:.4g} m³ of a layer of {parts[-1].volume_m3:.4g} m³.",
            "Correct `displaces`.",
        )
    layers = []
    for i, (layer, part) in enumerate(zip(piece.layers, parts, strict=True)):
        volume_m3, centroid_m = part.volume_m3, part.centroid_m
        if i == len(parts) - 1 and displaced_m3:
            centroid_m = _less_inserts(piece, volume_m3, centroid_m, solid.centroid_m)
            volume_m3 -= displaced_m3
        layers.append(
            LayerTakeoff(
                mix=layer.mix,
                method=layer.method,
                volume_m3=volume_m3,
                waste=_waste(layer, piece, job),
                centroid_m=centroid_m,
                area_m2=part.area_m2,
            )
        )
    return PieceTakeoff(piece, solid, tuple(layers), piece.shape.face_area_m2(solid), plan_area(piece.shape))


def _check_layers(piece: Piece) -> None:
    """A solid without a thickness of its own cannot be filled by thicknesses alone; the rest geometry checks."""
    if piece.shape.cast_thickness_m is None and None not in _thicknesses(piece):
        raise FaultError(
            "layers",
            "every layer has a thickness, but the piece has none of its own.",
            "Leave the last layer's thickness out: it takes the rest.",
        )


def _less_inserts(piece: Piece, volume_m3: float, centroid_m: Vector, default_m: Vector) -> Vector:
    """Centroid of a layer once the inserts' volumes are taken out of it."""
    left_m3 = volume_m3 - sum(insert.displaces_m3 for insert in piece.inserts)
    x, y, z = (
        (
            volume_m3 * centroid_m[axis]
            - sum(insert.displaces_m3 * (insert.at_m or default_m)[axis] for insert in piece.inserts)
        )
        / left_m3
        for axis in range(3)
    )
    return x, y, z


def _waste(layer: Layer, piece: Piece, job: Job) -> float:
    """Waste on cast volume: the layer's own, else the piece's, the mix's, the job's, the workshop's by method."""
    shares = layer.waste, piece.waste, job.mixes[layer.mix].waste, job.waste
    return next((share for share in shares if share is not None), job.workshop.waste.of(layer.method))


def takeoff_workings(taken: PieceTakeoff) -> list[Working]:
    """How the concrete in one piece came about."""
    at = f"pieces.{taken.piece.mark}"
    displaced_m3 = sum(insert.displaces_m3 for insert in taken.piece.inserts)
    layers = {f"layer_{i}_m3": layer.volume_m3 for i, layer in enumerate(taken.layers, start=1)}
    precision = "closed form" if taken.solid.tolerance == 0.0 else f"held to {taken.solid.tolerance:.0e} of itself"
    plan = taken.plan
    return [
        figure(
            f"{at}.net_plan_area_m2",
            "plan_area_m2 − openings_m2",
            {"plan_area_m2": plan.gross_m2, "openings_m2": plan.gross_m2 - plan.net_m2},
            "m²",
            plan.note or "area of the top or elevation, returns and edges inside it, less its openings",
        ),
        figure(
            f"{at}.volume_m3",
            "solid_m3 − displaced_m3",
            {"solid_m3": taken.solid.volume_m3, "displaced_m3": displaced_m3},
            "m³",
            f"geometry of the shape, {precision}; less what inserts displace",
        ),
        figure(f"{at}.volume_m3", " + ".join(layers), layers, "m³", "the layers fill the piece"),
    ]
