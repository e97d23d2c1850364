"""What is known of each piece when its cautions are asked for."""

from collections.abc import Mapping, Sequence

from estimator.cautions import Facts
from estimator.curing.pieces import PieceCuring
from estimator.handling import Handling
from estimator.handling.doubts import doubt_texts
from estimator.handling.in_use import is_hung
from estimator.job import Job, Material, Mix
from estimator.mix.limits import flows, holds_beads
from estimator.takeoff import PieceTakeoff
from estimator.weight import Weight

MIX_PARTS = ("cementitious", "aggregate", "admixtures", "polymer", "pigment", "fibre")


def facts_of(job: Job, taken: PieceTakeoff, weight: Weight, handling: Handling, curing: PieceCuring) -> Facts:
    """The facts of one piece, from its materials, its weight, how it is moved, cures and stands."""
    piece, place, wish = taken.piece, taken.piece.in_place, taken.piece.handling
    mixes = [job.mixes[layer.mix] for layer in taken.layers]
    materials = {name: job.materials[name] for mix in mixes for part in MIX_PARTS for name in getattr(mix, part)}
    lifting, cracking = handling.lifting, handling.cracking
    by_vacuum = lifting.planned and wish.lifted_by == "vacuum"
    standing = handling.in_use.standing
    overhang = None if standing is None else standing.overhang
    indices = [lift.niosh.lifting_index for lift in handling.lifts if lift.niosh is not None]
    return Facts(
        use=piece.use,
        mass_high_kg=weight.high_kg,
        kinds=frozenset(each.kind for each in materials.values()),
        glass_fibre=bool(_with(materials, "glass-fibre")),
        polystyrene=_with(materials, "polystyrene"),
        polystyrene_uncoated=_with(materials, "polystyrene") & _with(materials, "uncoated"),
        fluid_beads=_fluid_beads(mixes, job.materials),
        strength_tested=cracking.first_crack.later_pa is not None,
        outdoors=place.outdoors is True,
        dark=place.dark,
        honed=place.honed,
        cut_on_site=place.cut_on_site,
        narrowest_strip_m=cracking.narrowest_strip_m,
        overhang_m=overhang.overhang_m if overhang is not None and overhang.needs_support else None,
        crack_shown_safe=cracking.shown_safe if cracking.checks else None,
        on_edge=handling.hold == "on-edge",
        opening=cracking.plate is not None and cracking.plate.flat.needs_strongback,
        crew=handling.carry.persons,
        above_guideline=any(lift.above_guideline for lift in handling.lifts),
        lifting_index=max(indices, default=None),
        finished=True,
        turned_in_form=True,
        carry_m=job.site.distance_m if job.site else None,
        stairs=job.site is not None and job.site.stairs,
        slings=lifting.planned and not by_vacuum,
        inserts=any(rig.inserts for rig in lifting.rigging[:1]),
        vacuum=by_vacuum,
        adhesion_ratio=max(load.adhesion_kg / load.weight_kg for load in handling.loads),
        ratings_missing=tuple(dict.fromkeys(_ratings_missing(handling, by_vacuum=by_vacuum))),
        stored="edge" if handling.tips_at_deg is not None else None,
        hung=is_hung(piece),
        trucked=True,
        access_failures=doubt_texts(handling.way_in.doubts),
        peak_high_c=curing.peak_high_c,
        peak_limit_c=job.workshop.curing.peak_most_c,
        heat_added=curing.plan.add_heat.answer is True,
    )


def _fluid_beads(mixes: Sequence[Mix], materials: Mapping[str, Material]) -> str:
    """Why light beads float in one of the mixes; "" where they do not."""
    for mix in mixes:
        if holds_beads(mix, materials) and flows(mix, materials):
            how = "is stated to be fluid" if mix.consistency else "has water and plasticizer enough to flow"
            return f"light beads, and mix {mix.name} {how}"
    return ""


def _with(materials: dict[str, Material], trait: str) -> frozenset[str]:
    return frozenset(name for name, each in materials.items() if trait in each.traits)


def _ratings_missing(handling: Handling, *, by_vacuum: bool) -> list[str]:
    """What is meant to carry the piece and has no rating."""
    missing = []
    lifting, way = handling.lifting, handling.way_in
    if lifting.planned and not by_vacuum:
        for rig in lifting.rigging[:1]:
            if rig.sling.rating_kg is None:
                missing.append(rig.sling.what)
            if any(insert.ultimate_kg is None for insert in rig.inserts):
                missing.append("lifting inserts")
    if way.lift is not None and way.lift.rating_kg is None:
        missing.append(way.lift.what)
    return missing
