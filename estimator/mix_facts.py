"""What an estimate tells of each of its mixes beside the recipe: bands, an early stop of the water, tests, swaps."""

from collections.abc import Mapping
from dataclasses import dataclass

from estimator.comparison import Comparison, compare_replacements
from estimator.job import Job, Mix
from estimator.mix import MadeMix, MixError
from estimator.mix.bands import MixBands, bands
from estimator.mix.colour import colour_differences
from estimator.mix.replacement import Replacement, replaced_share, replacements, swap_pair, with_replacement
from estimator.mix.water import StoppedEarly, stop_early
from estimator.notices import Notice
from estimator.strength import FlexuralStrength, flexural_strengths
from estimator.takeoff import Takeoff

SECOND_WATER_USED = (0.5, 0.0)  # of the water held back: what a caster asks who stops before all of it is in


@dataclass(frozen=True, slots=True)
class EarlyStop:
    """The mix if only a share of the water held back goes in."""

    used: float
    stopped: StoppedEarly


@dataclass(frozen=True, slots=True)
class MixFacts:
    """What is told of one mix of the job.

    early_stops  the least water last; none where no water is held back
    strengths    what its coupons show, pour by pour and age by age; none where it is untested
    by_basis     the sand that beads stand in for, replaced in each of the three ways; none without beads and sand
    comparison   None where no bead is in the mix
    """

    mix: Mix
    bands: MixBands
    early_stops: tuple[EarlyStop, ...]
    strengths: tuple[FlexuralStrength, ...]
    by_basis: tuple[Replacement, ...]
    comparison: Comparison | None


def mix_facts(job: Job, takeoff: Takeoff, mixes: Mapping[str, MadeMix]) -> dict[str, MixFacts]:
    """The facts of every mix that is cast."""
    return {name: _facts(job, takeoff, mixes, job.mixes[name]) for name in mixes}


def mix_warnings(job: Job, mixes: Mapping[str, MadeMix]) -> list[Notice]:
    """What the mixes exceed, and what would make pieces of one colour group differ."""
    told = [each.about(f"mix {name}") for name, mix in mixes.items() for each in mix.warnings]
    differences = colour_differences([job.mixes[name] for name in mixes], job.materials)
    return [*told, *(Notice("color-mismatch", text) for text in differences)]


def strengths_of(mix: Mix) -> tuple[FlexuralStrength, ...]:
    """What the coupons of a mix show; a coupon that stands alone in its pour and age is no sample and is left out."""
    counts: dict[tuple[str, float], int] = {}
    for coupon in mix.coupons:
        counts[coupon.pour, coupon.age_d] = counts.get((coupon.pour, coupon.age_d), 0) + 1
    return flexural_strengths([each for each in mix.coupons if counts[each.pour, each.age_d] > 1])


def _facts(job: Job, takeoff: Takeoff, mixes: Mapping[str, MadeMix], mix: Mix) -> MixFacts:
    made = mixes[mix.name]
    stops = []
    held_kg = made.recipe_kg_m3["water"] * mix.water_held_back
    for used in SECOND_WATER_USED if held_kg > 0.0 else ():
        ends_at = made.water_cementitious - (1.0 - used) * held_kg / made.cementitious_kg_m3
        if ends_at > 0.0:
            stops.append(EarlyStop(used, stop_early(mix, job.materials, ends_at)))
    return MixFacts(
        mix=mix,
        bands=bands(mix, job.materials),
        early_stops=tuple(stops),
        strengths=strengths_of(mix),
        by_basis=_by_basis(job, mix),
        comparison=compare_replacements(job, takeoff, mixes, mix.name),
    )


def _by_basis(job: Job, mix: Mix) -> tuple[Replacement, ...]:
    """What loose volume, absolute volume and mass would each make of the share that is replaced."""
    try:
        sand, bead = swap_pair(mix, job.materials)
    except MixError:
        return ()
    share = replaced_share(mix, sand, bead)
    if share == 0.0:
        return ()
    return replacements(with_replacement(mix, sand, bead, 0.0), job.materials, sand, bead, share)
