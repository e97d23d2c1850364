"""Take-off: volume, areas and centroid of every piece, and the mix and volume of each of its layers."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Literal, TypeAlias, get_args

from estimator.errors import FaultError
from estimator.job import Job, Layer, Piece, Vector
from estimator.workings import Working, figure
from estimator.workshop import Method
from geometry.frozen import frozen
from geometry.message import message
from geometry.schedule import Measure, measure_many
from geometry.solid import Solid
from geometry.views import PlanArea

Faces: TypeAlias = Literal["form", "all"]
FACES: tuple[Faces, ...] = get_args(Faces)


@frozen
class LayerTakeoff:
    """One layer of one piece, less the volume of inserts."""

    mix: str
    method: Method
    volume_m3: float
    waste: float
    centroid_m: Vector
    area_m2: float

    @property
    def cast_m3(self) -> float:
        """Volume to mix for it, including waste."""
        return self.volume_m3 * (1.0 + self.waste)


@frozen
class PieceTakeoff:
    """Measured quantities of one piece of a mark."""

    piece: Piece
    solid: Solid
    layers: tuple[LayerTakeoff, ...]
    face_area_m2: float  # the plan of a flat piece, else all visible faces
    plan: PlanArea  # basis for comparing prices and weights

    @property
    def volume_m3(self) -> float:
        """Volume of concrete: the solid less the volume that inserts displace."""
        return sum([layer.volume_m3 for layer in self.layers])

    @property
    def notional_m(self) -> float:
        """Thickness of a solid that names none: 2 · volume / surface, m, less than that of a plate with its edges.

        Source: EN 1992-1-1, 3.1.4, notional size.
        """
        return 2.0 * self.solid.volume_m3 / self.solid.surface_area_m2


@frozen
class Takeoff:
    pieces: tuple[PieceTakeoff, ...]


@frozen
class Refusal:
    """A piece that cannot be measured, and why."""

    piece: Piece
    error: FaultError


def take_off(job: Job) -> tuple[Takeoff, tuple[Refusal, ...]]:
    """Measure all pieces of the job in one vectorized pass; also returns the pieces that cannot be measured."""
    pieces: dict[str, PieceTakeoff] = {}
    refusals: list[Refusal] = []
    for faces in FACES:
        chosen = [piece for piece in job.pieces if piece.faces == faces]
        for piece, measure in zip(chosen, _measures(chosen, faces), strict=True):
            try:
                pieces[piece.mark] = _taken(piece, measure, job)
            except FaultError as error:
                refusals.append(Refusal(piece, error))
    return Takeoff(tuple(pieces[piece.mark] for piece in job.pieces if piece.mark in pieces)), tuple(refusals)


def take_off_piece(piece: Piece, job: Job) -> PieceTakeoff:
    """Measure one piece, each layer with its own waste.

    The volume of an insert is subtracted from the innermost layer, which it lies against.
    Raises FaultError for a shape that cannot be measured, layers that do not fit it, and inserts larger than their
    layer.
    """
    (measure,) = _measures([piece], piece.faces)
    return _taken(piece, measure, job)


def _measures(pieces: Sequence[Piece], faces: Faces) -> list[Measure | FaultError]:
    thicknesses = [tuple(layer.thickness_m for layer in piece.layers) for piece in pieces]
    return measure_many([piece.shape for piece in pieces], thicknesses, faces) if pieces else []


MOST_DISPLACED = 0.95
"""Share of a layer that inserts may displace: a core within walls of 8 mm in a cube of half a meter leaves more."""


def _taken(piece: Piece, measure: Measure | FaultError, job: Job) -> PieceTakeoff:
    """Take-off of a measured piece, with the volume of its inserts subtracted from its innermost layer.

    Raises FaultError for layers that cannot be measured, and for inserts larger than their layer.
    """
    _check_layers(piece)
    if isinstance(measure, FaultError):
        raise measure
    solid, parts, plan = measure
    displaced_m3 = sum(insert.displaces_m3 for insert in piece.inserts)
    if displaced_m3 > MOST_DISPLACED * parts[-1].volume_m3:
        volumes = {"displaced_m3": displaced_m3, "layer_m3": parts[-1].volume_m3}
        raise FaultError("inserts", message("inserts-fill-layer", **volumes))
    layers = [
        LayerTakeoff(layer.mix, layer.method, part.volume_m3, _waste(layer, piece, job), part.centroid_m, part.area_m2)
        for layer, part in zip(piece.layers, parts, strict=True)
    ]
    if displaced_m3:
        inner = layers[-1]
        centroid_m = _less_inserts(piece, inner.volume_m3, inner.centroid_m, solid.centroid_m)
        layers[-1] = replace(inner, volume_m3=inner.volume_m3 - displaced_m3, centroid_m=centroid_m)
    return PieceTakeoff(piece, solid, tuple(layers), piece.shape.face_area_m2(solid), plan)


def _check_layers(piece: Piece) -> None:
    """Raise FaultError if all layers of a solid without a thickness have one. `geometry` checks everything else."""
    if piece.shape.cast_thickness_m is None and all(layer.thickness_m is not None for layer in piece.layers):
        raise FaultError("layers", message("layers-all-thick"))


def _less_inserts(piece: Piece, volume_m3: float, centroid_m: Vector, default_m: Vector) -> Vector:
    """Centroid of a layer less the volumes of the inserts."""
    rest_m3 = volume_m3 - sum(insert.displaces_m3 for insert in piece.inserts)
    x, y, z = (
        (
            volume_m3 * centroid_m[axis]
            - sum(insert.displaces_m3 * (insert.at_m or default_m)[axis] for insert in piece.inserts)
        )
        / rest_m3
        for axis in range(3)
    )
    return x, y, z


def _waste(layer: Layer, piece: Piece, job: Job) -> float:
    """Share of waste on cast volume: that of the layer, else of the piece, mix or job, else the shop's by method."""
    shares = layer.waste, piece.waste, job.mixes[layer.mix].waste, job.waste
    return next((share for share in shares if share is not None), job.workshop.waste.of(layer.method))


def takeoff_workings(taken: PieceTakeoff) -> list[Working]:
    """Workings of the plan area and volume of one piece."""
    at = f"pieces.{taken.piece.mark}"
    displaced_m3 = sum(insert.displaces_m3 for insert in taken.piece.inserts)
    layers = {f"layer_{i}_m3": layer.volume_m3 for i, layer in enumerate(taken.layers, start=1)}
    plan = taken.plan
    return [
        figure(
            f"{at}.net_plan_area_m2",
            "plan_area_m2 − openings_m2",
            {"plan_area_m2": plan.gross_m2, "openings_m2": plan.gross_m2 - plan.net_m2},
            "m²",
            plan.note or message("source-plan-area"),
        ),
        figure(
            f"{at}.volume_m3",
            "solid_m3 − displaced_m3",
            {"solid_m3": taken.solid.volume_m3, "displaced_m3": displaced_m3},
            "m³",
            message("source-solid", tolerance=f"{taken.solid.tolerance:.0e}" if taken.solid.tolerance else "none"),
        ),
        figure(f"{at}.volume_m3", " + ".join(layers), layers, "m³", message("source-layers")),
    ]
