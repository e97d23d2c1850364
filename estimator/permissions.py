"""What a job is refused unless somebody allows it by name."""

from collections.abc import Mapping

from estimator.errors import Fault
from estimator.job import Job, Material

NEAR_FIRE = "polystyrene-near-fire"
SOFTENS = "softens from about 80 °C (175 °F)"


def permission_faults(job: Job) -> list[Fault]:
    """Pieces used in or near a fire whose mix holds polystyrene, unless `allowed` names it."""
    faults = []
    for piece in job.pieces:
        if piece.use != "fire" or NEAR_FIRE in piece.allowed:
            continue
        mixes = {layer.mix: job.mixes[layer.mix] for layer in piece.layers}
        for name, mix in mixes.items():
            held = [each for each in mix.aggregate if "polystyrene" in job.materials[each].traits]
            if held:
                faults.append(
                    Fault(
                        piece.file,
                        f"{piece.place}, use",
                        f'is "fire", and mix {name} holds {", ".join(held)}, which {SOFTENS}.',
                        f"Use a mineral light aggregate ({', '.join(_mineral(job.materials)) or 'expanded glass'}), "
                        f'or write allowed = ["{NEAR_FIRE}"].',
                    )
                )
    return faults


def _mineral(materials: Mapping[str, Material]) -> list[str]:
    """Light aggregates that no heat of a hearth softens."""
    return sorted(each.name for each in materials.values() if "mineral" in each.traits)
