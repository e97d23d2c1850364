"""What is known of each piece when its cautions are asked for."""

from estimator.caution_conditions import Facts
from estimator.handling.plan import Handling
from estimator.job import Job, Material
from estimator.takeoff import PieceTakeoff
from estimator.weight import Weight

MIX_PARTS = ("cementitious", "aggregate", "admixtures", "polymer", "pigment", "fibre")


def facts_of(job: Job, taken: PieceTakeoff, weight: Weight, handling: Handling) -> Facts:
    """The facts of one piece, from its materials, its weight and how it is lifted."""
    mixes = [job.mixes[layer.mix] for layer in taken.layers]
    materials = {name: job.materials[name] for mix in mixes for part in MIX_PARTS for name in getattr(mix, part)}
    return Facts(
        use=taken.piece.use,
        mass_high_kg=weight.high_kg,
        kinds=frozenset(each.kind for each in materials.values()),
        glass_fibre=bool(_with(materials, "glass-fibre")),
        polystyrene=_with(materials, "polystyrene"),
        polystyrene_uncoated=_with(materials, "polystyrene") & _with(materials, "uncoated"),
        light_beads=any(each.kind == "light-aggregate" for each in materials.values()),
        fluid=any(mix.consistency == "fluid" for mix in mixes),
        strength_tested=all(mix.first_crack_strength_pa is not None for mix in mixes),
        crew=handling.carry.persons,
        turned_in_form=True,
        slings=handling.carry.by_machine or handling.turn.by_machine,
        adhesion_ratio=max(load.adhesion_kg / load.weight_kg for load in handling.loads),
        stored="edge" if taken.piece.use in ("counter", "panel") else None,
        hung=taken.piece.use == "panel",
        trucked=True,
    )


def _with(materials: dict[str, Material], trait: str) -> frozenset[str]:
    return frozenset(name for name, each in materials.items() if trait in each.traits)
