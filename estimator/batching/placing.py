"""Placing: pot life of a batch, placing rate of a crew, and the build-up of a piece in steps."""

from collections.abc import Iterable, Iterator, Mapping
from math import ceil

from estimator.job import Job, Layer, Material, Mix, Workshop
from estimator.mix.limits import flows, holds_beads
from estimator.takeoff import PieceTakeoff
from estimator.workshop import Method
from geometry.frozen import frozen
from geometry.message import Message, message

RETARDS = "retards"
WARM_TOLERANCE_C = 0.1


def plain(mix: Mix) -> bool:
    """Whether a mix has no fiber and no aggregate except its sand, so that honing exposes neither."""
    return not mix.fibre and all(name == mix.reference_sand for name in mix.aggregate)


def retarded(mix: Mix, materials: Mapping[str, Material]) -> bool:
    """Whether a mix contains a retarder."""
    return any(RETARDS in materials[name].traits for name in mix.admixtures)


def placing_advice(layers: tuple[Layer, ...], most_passes: int, mixes: Mapping[str, Mix]) -> Iterator[str]:
    """Yield the names of the advice for building up a piece, in the order of the work.

    most_passes   largest number of passes of any layer
    """
    face, layered = mixes[layers[0].mix], len(layers) > 1
    yield "plain_face" if plain(face) else "filled_face"
    if layered:
        yield from ("fingerprint", "set_face")
    if most_passes > 1:
        yield "passes"
    if plain(face) and layered:
        yield "honing"


def mixing_advice(
    mix: Mix, materials: Mapping[str, Material], mix_c: float, warm_c: float, *, left_over: bool, is_face: bool
) -> Iterator[str]:
    """Yield the names of the advice for mixing a batch.

    mix_c       temperature when placed, °C; warm if above `warm_c`, the temperature of the quoted pot life
    left_over   whether enough may be left over to cast something
    is_face     whether another layer is placed on it
    """
    if is_face:
        yield "face_round"
    if holds_beads(mix, materials):
        if flows(mix, materials):
            yield "fluid_beads" if mix.consistency else "likely_fluid_beads"
        else:
            yield "stiff"
        yield "no_vibration"
    if mix_c > warm_c + WARM_TOLERANCE_C:
        yield "warm_mix"
    if retarded(mix, materials):
        yield "retarder"
    if left_over:
        yield "left_over"


def worded(names: Iterable[str], workshop: Workshop) -> tuple[Message | str, ...]:
    """Texts of the advice, in the words of the shop if it has any; advice that the shop set to "" is left out."""
    own = workshop.practice
    return tuple(own[name] if name in own else message(f"advice-{name}") for name in names if own.get(name, name))


WARM_C, HOT_C = (70.0 - 32.0) / 1.8, (90.0 - 32.0) / 1.8  # the two temperatures for which the trade quotes pot life
LAYER_TOLERANCE = 1e-9  # a smaller excess over the lift limit is rounding


@frozen
class LayerPlacing:
    """Placing of one layer.

    thickness_m   None if the layer fills the rest of a shape without a thickness
    lifts         number of passes, each rolled or tamped
    wait_s        shortest and longest time after the layer before it; None for the first
    """

    mix: str
    method: Method
    thickness_m: float | None
    lifts: int
    wait_s: tuple[float, float] | None


@frozen
class PiecePlacing:
    """Build-up of one piece from the form inward.

    hone_most_m   maximum depth honed off its face; None if the face itself contains beads or fiber
    notes         advice from common practice
    """

    layers: tuple[LayerPlacing, ...]
    hone_most_m: float | None
    notes: tuple[Message | str, ...]


def pot_life_s(workshop: Workshop, mix_c: float, *, retarded: bool = False) -> float:
    """Time from first water until the batch must be in the form, at the temperature of the mix.

    The shop's figure is for 70 °F, and its share `pot_life_at_90f` of that remains at 90 °F. Pot life falls
    exponentially with temperature through these two points. A cold mix gets no longer pot life, and a retarder adds
    only what the shop has timed.
    Source: common practice, 25 to 40 min at 70 °F and about half of that at 90 °F.
    """
    left_at_hot = workshop.mixing.pot_life_at_90f
    gained = workshop.mixing.pot_life_retarder if retarded else 1.0
    return float(gained * workshop.pot_life_s * min(1.0, left_at_hot ** ((mix_c - WARM_C) / (HOT_C - WARM_C))))


def placed_c(taken: PieceTakeoff, job: Job) -> float:
    """Temperature of the mix when placed, °C: that of the piece if given, else that of the job."""
    own = taken.piece.cure.mix_temperature_c
    return job.workshop.curing.mix_temperature_c if own is None else own


def face_wait_s(taken: PieceTakeoff, below: str, job: Job) -> tuple[float, float]:
    """Shortest and longest time between placing one layer of a piece and placing the next.

    below  mix of the lower layer

    The shop's figures are for 70 °F without a retarder. Both times scale with the pot life.
    Source: common practice, a face that takes a fingerprint without smearing.
    """
    shop = job.workshop
    life_s = pot_life_s(job.workshop, placed_c(taken, job), retarded=retarded(job.mixes[below], job.materials))
    factor = life_s / job.workshop.pot_life_s
    return shop.placing.face_wait_least_s * factor, shop.placing.face_wait_most_s * factor


def placing_rate_m3_s(method: Method, workshop: Workshop) -> float:
    """Placing rate of the crew, m³/s: persons · area rate · the thickness for which that rate is quoted."""
    shop = workshop
    return shop.placing.crew * shop.placing.rate_m2_s(method) * shop.placing.thickness_m(method)


def placing_of(taken: PieceTakeoff, job: Job) -> PiecePlacing:
    """Build-up of one piece, in passes no thicker than a lift, each begun while the last is still fresh."""
    mixes, workshop, shop = job.mixes, job.workshop, job.workshop
    own_m = taken.piece.shape.cast_thickness_m
    given_m = sum(layer.thickness_m or 0.0 for layer in taken.piece.layers)
    layers = []
    for i, layer in enumerate(taken.piece.layers):
        thickness_m = layer.thickness_m
        if thickness_m is None and own_m is not None:
            thickness_m = own_m - given_m
        in_lifts = layer.method == "hand" and thickness_m is not None
        lifts = ceil(thickness_m / shop.placing.lift_most_m - LAYER_TOLERANCE) if in_lifts and thickness_m else 1
        wait = face_wait_s(taken, taken.piece.layers[i - 1].mix, job) if i else None
        layers.append(LayerPlacing(layer.mix, layer.method, thickness_m, lifts, wait))
    advice = placing_advice(taken.piece.layers, max(layer.lifts for layer in layers), mixes)
    hone_m = _hone_most_m(layers[0], workshop) if plain(mixes[layers[0].mix]) else None
    return PiecePlacing(tuple(layers), hone_m, worded(advice, workshop))


def _hone_most_m(face: LayerPlacing, workshop: Workshop) -> float:
    """Maximum depth honed off a plain face: the shop's figure, reduced in proportion for a thinner face."""
    most_m, usual_m = workshop.placing.honing_most_m, workshop.placing.face_thickness_m
    return most_m if face.thickness_m is None else most_m * min(1.0, face.thickness_m / usual_m)
