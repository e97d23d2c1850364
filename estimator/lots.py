"""Lots of materials: pieces seen together are cast from one lot, so leftovers of another do not count for them."""

from collections.abc import Mapping
from dataclasses import dataclass

from estimator.job import Job, MaterialKind
from estimator.mix import MadeMix
from estimator.notices import Notice
from estimator.packaging.materials import required_kg

COLOURING: tuple[MaterialKind, ...] = ("cement", "pozzolan", "sand", "pigment")
"""Kinds whose lot shows in a face. Beads, fibre and admixture lie inside the paste."""


@dataclass(frozen=True, slots=True)
class CountedStock:
    """What of the shelf counts for a job, by material, and what was left out and why."""

    on_hand_kg: Mapping[str, float]
    left_out_kg: Mapping[str, float]
    warnings: tuple[Notice, ...]


def counted_stock(job: Job, mixes: Mapping[str, MadeMix], batch_m3: Mapping[str, float]) -> CountedStock:
    """The stock that may go into the job.

    For the mixes of a colour group a material that colours counts from one lot alone: from the lot that the job names,
    or, where it names none, from a lot that covers all that the job needs of it by itself. Leftovers of other lots
    count for the other mixes.
    """
    needed = required_kg(mixes, batch_m3)
    grouped = {name: volume_m3 for name, volume_m3 in batch_m3.items() if job.mixes[name].colour_group}
    bound = required_kg(mixes, grouped)
    on_hand, left_out, warnings = dict(job.stock_kg), {}, []
    for name, lots in job.stock_lots.items():
        if name not in bound or job.materials[name].kind not in COLOURING:
            continue
        wanted = job.lots.get(name)
        same_kg = sum(each.mass_kg for each in lots if wanted is not None and each.lot == wanted)
        if wanted is None:
            same_kg = max((each.mass_kg for each in lots if each.mass_kg >= needed[name]), default=0.0)
        other_kg = job.stock_kg[name] - same_kg
        free_kg = min(other_kg, needed[name] - bound[name])
        if other_kg - free_kg <= 0.0:
            continue
        on_hand[name] = same_kg + free_kg
        left_out[name] = other_kg - free_kg
        groups = ", ".join(sorted({job.mixes[mix].colour_group for mix in grouped}))
        lot = f"lot {wanted} of the job" if wanted else "any one lot that would cover the job"
        text = f"{left_out[name]:.3g} kg of {name} on the shelf is not of {lot} and does not count."
        warnings.append(Notice("stock-of-another-lot", f"colour group {groups}: {text}"))
    return CountedStock(on_hand, left_out, tuple(warnings))


def lot_lines(job: Job, made: MadeMix) -> dict[str, str | None]:
    """The lot of each material of a mix that colours, for the batch sheet; None is a line to fill in by hand."""
    named = (name for name in made.recipe_kg_m3 if name in job.materials and job.materials[name].kind in COLOURING)
    return {name: job.lots.get(name) for name in named}
