"""What the sheet says beside the figures: common practice of placing and mixing, each where it applies.

The words are the workshop's own data ([workshop.practice]); here stands when each is said.
"""

from collections.abc import Iterator, Mapping

from estimator.job import Layer, Material, Mix, Workshop
from estimator.mix.flow import flows, holds_beads

RETARDS = "retards"
WARM_TOLERANCE_C = 0.1


def plain(mix: Mix) -> bool:
    """Whether a mix holds neither fibre nor any aggregate but its sand, so that honing it bares neither."""
    return not mix.fibre and all(name == mix.reference_sand for name in mix.aggregate)


def retarded(mix: Mix, materials: Mapping[str, Material]) -> bool:
    """Whether a retarder is in it."""
    return any(RETARDS in materials[name].traits for name in mix.admixtures)


def placing_advice(layers: tuple[Layer, ...], most_passes: int, mixes: Mapping[str, Mix]) -> Iterator[str]:
    """What is said of building up a piece: names of advice, in the order of the work.

    most_passes   of any layer
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
    """What is said of mixing a batch: names of advice.

    mix_c       when it is placed, °C; above `warm_c`, where the pot life is quoted, it counts as warm
    left_over   whether anything worth casting may be left of it
    is_face     whether another layer comes onto it
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


def worded(names: Iterator[str], workshop: Workshop) -> tuple[str, ...]:
    """The advice in the workshop's words; what it has no words for, or an empty text, is left out."""
    return tuple(text for name in names if (text := workshop.practice.get(name)))
