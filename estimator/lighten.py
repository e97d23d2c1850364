"""Ways to make a heavy piece liftable: more of its sand replaced, a thinner slab, a foam core, seams, gluing on site.

Every way goes through the stages of an estimate: the piece is measured and weighed, its moves are planned, its bending
is checked, and the whole job is priced. For each number of people, the result has the cheapest way with enough
strength, and an even cheaper one whose strength is untested, if there is one.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from decimal import Decimal
from functools import lru_cache
from itertools import pairwise, product
from math import hypot, inf, radians, tan
from typing import Literal

import numpy as np
import shapely
from shapely.affinity import affine_transform

from estimator.batching.rounds import capacity_m3
from estimator.errors import FaultError, InputError
from estimator.estimate import Part, price_before_tax, survey
from estimator.handling.access import CLEARANCE_M, check_passage
from estimator.handling.people import MAX_CREW
from estimator.handling.plan import Handling
from estimator.handling.seams import Load, LongestPart, NoSeams, SeamLimits, SeamPiece, plan_seams
from estimator.handling.strength import worst_strength
from estimator.job import Insert, Job, Mix, Piece
from estimator.mix import make
from estimator.mix.replacement import replaced_share, swap_pair, with_replacement
from estimator.parts import cut_piece, glued_pieces
from estimator.site import Stairs
from estimator.supplies import Taken
from geometry.cutouts import outlines_of
from geometry.cuts import CutRules, filled
from geometry.frozen import frozen
from geometry.message import Message, message
from geometry.parts import can_be_cut, footprint
from geometry.plan import fine_polygon
from geometry.plan_edges import level_way
from geometry.shapes import Outline, Slab
from geometry.split import Chord

GLUED_M = 1e-3  # around the plan of a glued part, which may meet the piece in a line
PLAN_CHORD_M = 1e-3  # chord tolerance for curves of the plan
CORE = "foam-core"
SAME_SHARE = 1e-6
TIGHTER = (1.0, 0.94, 0.88)  # factors on the load per person, tried until the parts pass every stage
NEAR_SHARE = 0.06  # shares of beads closer than this count as the same mix
STEP_BEADS = 0.25  # of the sand; steps of new mixes where the job has none of the same make with more beads


@frozen
class Goal:
    """Limits that a piece must meet.

    people     maximum crew of any of its moves; None: a line for each number of people
    weight_kg  maximum weight of a part when carried; None: limited by people alone
    thinnest_m minimum thickness of the slab; None: it keeps its thickness
    """

    people: int | None = None
    weight_kg: float | None = None
    thinnest_m: float | None = None


@frozen
class PartFigures:
    """One part of a piece as carried."""

    mark: str
    lift_kg: float
    area_m2: float
    size_m: tuple[float, float]  # sides of its minimum rotated rectangle, the longer first


@frozen
class Way:
    """One way to make a piece liftable.

    mix              the mix that replaces `instead_of`; None: unchanged
    sand_replaced    replaced share of the sand of its backer after the change; None if the backer has no sand
    cores            foam cores that are cast in, one in each part with room for it
    on_site          whether legs and splashes that the shop would glue on are glued on site instead
    seams            from edge to edge, in the plan of the piece, m
    parts            parts of the piece, one if there are no seams, each with what the shop glues to it; then what is
                     glued on site only now
    price            of the whole job, before tax
    strength         worst of tilt, carry, lift and overhang of all parts
    guideline_share  highest weight relative to the team guideline; None above three people
    """

    people: int
    mix: Mix | None
    instead_of: str
    sand_replaced: float | None
    thickness_m: float | None
    cores: tuple[Insert, ...]
    on_site: bool
    seams: tuple[Chord, ...]
    parts: tuple[PartFigures, ...]
    price: Decimal
    strength: Literal["enough", "untested"]
    guideline_share: float | None

    @property
    def heaviest_kg(self) -> float:
        return max(part.lift_kg for part in self.parts)

    @property
    def core_m3(self) -> float:
        """Total volume that the cores displace, m³."""
        return sum(core.displaces_m3 for core in self.cores)


@frozen
class Hint:
    """One change that makes a piece liftable, without a price: seams, more of its sand replaced, or gluing on site."""

    people: int
    sand_replaced: float | None
    on_site: bool
    seams: tuple[Chord, ...]
    strength: Literal["enough", "untested"]


@frozen
class Lightening:
    """A piece as drawn, and the ways to make it liftable, by increasing number of people.

    crew     number of people that carry it as drawn; None: by machine
    reason   why there is no way; None if there is one
    """

    mark: str
    lift_kg: float
    crew: int | None
    ways: tuple[Way, ...]
    reason: Message | None


def is_too_heavy(handling: Handling, people: int) -> bool:
    """Whether a move of a piece needs a machine or more people than available."""
    return any(move.crew is None or move.crew > people for move in handling.moves)


def lighten(job: Job, part: Part, goal: Goal) -> Lightening:
    """Find the ways to make one piece of a job liftable.

    part    the piece as drawn, with its take-off, weight and handling
    """
    taken, weight, handling = part
    piece = taken.piece
    most = min(goal.people or int(job.workshop.handling.people), MAX_CREW)
    by_hand = None if any(move.crew is None for move in handling.moves) else handling.people
    light = goal.weight_kg is None or weight.lift_kg <= goal.weight_kg
    enough = most if goal.people is not None or goal.weight_kg is not None else 1
    if light and by_hand is not None and by_hand <= enough:
        return Lightening(
            piece.mark, weight.lift_kg, handling.carry.persons, (), message("lighten-light", people=by_hand)
        )
    fewer = most if by_hand is None or not light or goal.people is not None else min(most, by_hand - 1)
    search = _Search(job, piece, goal)
    drafts = [draft for draft in search.drafts(fewer) if draft.people <= fewer]
    ways = _ways(search, drafts)
    reason = None if ways else search.reason(fewer)
    return Lightening(piece.mark, weight.lift_kg, handling.carry.persons, tuple(ways), reason)


HINT_PEOPLE = 2
MOST_HINT_SEAMS = 2


def hints_of(job: Job, part: Part) -> tuple[Hint, ...]:
    """At most two single changes that make a piece liftable: one or two seams, and gluing on site or more beads."""
    piece, most = part[0].piece, min(int(job.workshop.handling.people), MAX_CREW)
    if piece.part_of:
        return ()
    search = _Search(job, piece, Goal())
    own, *others = [variant for variant in variants(job, piece, Goal()) if variant.core is None and variant.changes < 2]
    found: list[_Draft] = []
    for people in dict.fromkeys((min(HINT_PEOPLE, most), most)):
        cut = search.cut(own, people, twice=False) if can_be_cut(piece.shape) else []
        found += [draft for draft in cut if len(draft.seams) <= MOST_HINT_SEAMS]
        if found:
            break
    lighter = (search.draft(variant, ()) for variant in others)
    found += [draft for draft in [next((draft for draft in lighter if draft is not None), None)] if draft is not None]
    return tuple(
        Hint(draft.people, draft.variant.sand_replaced, draft.variant.on_site, draft.seams, strength)
        for draft in found
        if draft.people <= most and (strength := draft.strength) != "not-enough"
    )


# --------------------------------------------------------------------------- what may change


@frozen
class _Variant:
    """The uncut piece with another mix, thickness, core or place of gluing, and the job with the mix added."""

    job: Job
    piece: Piece
    mix: Mix | None
    instead_of: str
    sand_replaced: float | None
    core: Insert | None
    on_site: bool

    @property
    def thickness_m(self) -> float | None:
        return self.piece.shape.cast_thickness_m

    @property
    def bare(self) -> Piece:
        """The piece without the core, which is its last insert."""
        if self.core is None:
            return self.piece
        return replace(self.piece, inserts=self.piece.inserts[:-1], takes=self.piece.takes[:-1])

    @property
    def changes(self) -> int:
        """Number of changes of mix, core and place of gluing from the piece as drawn."""
        return (self.mix is not None) + (self.core is not None) + self.on_site


def backer_of(piece: Piece, job: Job) -> str:
    """Name of the mix of the layer that fills the piece: the layer without a thickness, else the thickest."""
    layer = max(piece.layers, key=lambda layer: inf if layer.thickness_m is None else layer.thickness_m)
    return job.mixes[layer.mix].name


def lighter_mixes(job: Job, name: str) -> tuple[float | None, list[tuple[Mix, float]]]:
    """Share of sand that beads replace in a mix, and (mix, share) pairs of the same make with more beads.

    Mixes of the job or the catalog come first. New mixes in steps of a quarter of the sand fill the gaps, up to the
    highest share that the shop proposes.
    """
    mix, most = job.mixes[name], job.workshop.lighten.replaced_most
    try:
        sand, bead = swap_pair(mix, job.materials, bead=_bead_for(mix, job))
        now = replaced_share(mix, sand, bead)
    except FaultError:
        return None, []
    found: dict[float, Mix] = {}
    for other in job.mixes.values():
        share = replaced_share(other, sand, bead)
        if now + SAME_SHARE < share <= most + SAME_SHARE and _same_make(mix, other, sand, bead, share):
            known = found.get(round(share, 6))
            if known is None or known.first_crack_strength_pa is None:
                found[round(share, 6)] = other
    for step in range(1, int(1.0 / STEP_BEADS)):
        share = STEP_BEADS * step
        if now + SAME_SHARE < share <= most + SAME_SHARE and all(
            abs(share - other) > NEAR_SHARE for other in (now, *found)
        ):
            found[share] = mix_with(job, name, share)
    sound = []
    for share, other in sorted(found.items()):
        try:
            make(other, job.materials)
        except FaultError:
            continue
        sound.append((other, share))
    return now, sound


def mix_with(job: Job, name: str, share: float) -> Mix:
    """A mix of the job with a share of its sand replaced by beads: an existing mix of the same make, else a new one.

    share   of the loose volume of sand and bead, 0 to 1
    Raises FaultError for a mix without sand or without a bead that can replace it.
    """
    mix = job.mixes[name]
    sand, bead = swap_pair(mix, job.materials, bead=_bead_for(mix, job))
    if abs(replaced_share(mix, sand, bead) - share) < SAME_SHARE:
        return mix
    for other in job.mixes.values():
        same = abs(replaced_share(other, sand, bead) - share) < SAME_SHARE
        if same and _same_make(mix, other, sand, bead, share):
            return other
    title = re.sub(r"\d+(?= ?%)", f"{100.0 * share:.0f}", mix.title)
    own = with_replacement(mix, sand, bead, share)
    return replace(own, name=_name_of(name, share, job), title="" if title == mix.title else title)


def beads_of(job: Job, name: str) -> float | None:
    """Share of the sand of a mix that beads replace; None if no bead can."""
    mix = job.mixes[name]
    try:
        return replaced_share(mix, *swap_pair(mix, job.materials, bead=_bead_for(mix, job)))
    except FaultError:
        return None


USUAL_BEAD = "coated-eps-bead"


def _bead_for(mix: Mix, job: Job) -> str | None:
    """The bead that replaces sand in a mix without beads: that of a mix of the same make, else the usual one.

    None for a mix that already has beads.
    """
    if mix.reference_sand is None or any(job.materials[name].kind == "light-aggregate" for name in mix.aggregate):
        return None
    for other in job.mixes.values():
        for bead in other.aggregate.keys() - mix.aggregate.keys():
            share = replaced_share(other, mix.reference_sand, bead)
            is_bead = job.materials[bead].kind == "light-aggregate"
            if is_bead and share and _same_make(mix, other, mix.reference_sand, bead, share):
                return bead
    return USUAL_BEAD if USUAL_BEAD in job.materials else None


def _same_make(mix: Mix, other: Mix, sand: str, bead: str, share: float) -> bool:
    """Whether `other` is `mix` with this share of its sand replaced."""
    if set(other.aggregate) - {sand, bead} != set(mix.aggregate) - {sand, bead} or other.reference_sand != sand:
        return False
    like = with_replacement(mix, sand, bead, share)
    keys = ("cementitious_share", "cementitious", "water_cementitious", "admixtures", "polymer", "pigment", "fibre")
    same = all(getattr(like, key) == getattr(other, key) for key in (*keys, "fibre_basis", "air", "colour_group"))
    return same and all(abs(like.aggregate[name] - part) < SAME_SHARE for name, part in other.aggregate.items())


def _name_of(name: str, share: float, job: Job) -> str:
    """An unused name for a mix with another share of beads: backer-75."""
    stem = re.sub(r"-\d+$", "", name)
    base = f"{stem}-{100.0 * share:.0f}"
    number = 2
    unused = base
    while unused in job.mixes:
        unused, number = f"{base}-{number}", number + 1
    return unused


def variants(job: Job, piece: Piece, goal: Goal) -> Iterator[_Variant]:
    """Yield the piece as drawn, then with every mix, thickness, core and place of gluing that may replace its own."""
    old = backer_of(piece, job)
    now, lighter = lighter_mixes(job, old)
    in_shop = any(glued.glued == "shop" for glued in piece.attached)
    for (mix, share), on_site in product([(None, now), *lighter], (False, True) if in_shop else (False,)):
        changed = job if mix is None else replace(job, mixes={**job.mixes, mix.name: mix})
        layers = piece.layers
        if mix is not None:
            layers = tuple(replace(layer, mix=mix.name) if layer.mix == old else layer for layer in layers)
        for thinner in _thicknesses(piece, job, goal):
            own = replace(piece, layers=layers)
            if on_site:
                own = replace(own, attached=tuple(replace(glued, glued="site") for glued in piece.attached))
            thick_m = piece.shape.cast_thickness_m
            shape = None if thinner is None or thick_m is None else piece.shape.thicker(thinner - thick_m)
            if shape is not None:
                own = replace(own, shape=shape, nominal_thickness_m=thinner)
            yield _Variant(changed, own, mix, old, share, None, on_site)
            core = _core(own, changed)
            if core is not None:
                yield _Variant(changed, _with_core(own, core), mix, old, share, core, on_site)


def _with_core(piece: Piece, core: Insert) -> Piece:
    taken = Taken(CORE, core.displaces_m3, "m3", None)
    return replace(piece, inserts=(*piece.inserts, core), takes=(*piece.takes, taken))


def _thicknesses(piece: Piece, job: Job, goal: Goal) -> Iterator[float | None]:
    """Yield None for the present thickness, then smaller ones down to the allowed minimum, m."""
    yield None
    now = piece.shape.cast_thickness_m
    if goal.thinnest_m is None or now is None or all(layer.thickness_m is not None for layer in piece.layers):
        return
    step = 0.0254 / 8.0 if job.units == "imperial" else 0.0025
    least = max(goal.thinnest_m, job.workshop.sizes.thinnest_m)
    number = 1
    while now - number * step >= least - 1e-9:
        yield now - number * step
        number += 1


def _core(piece: Piece, job: Job) -> Insert | None:
    """The foam core that fits in a flat piece between its skins and within its solid edges; None if none fits."""
    limits, foam = job.workshop.lighten, job.materials.get(CORE)
    thickness_m = piece.shape.cast_thickness_m
    if thickness_m is None or foam is None or not foam.density_kg_m3 or not can_be_cut(piece.shape):
        return None
    if any(insert.displaces_m3 for insert in piece.inserts):
        return None  # it already has a core
    face_m = sum(layer.thickness_m or 0.0 for layer in piece.layers if layer.mix != backer_of(piece, job))
    deep_m = thickness_m - face_m - 2.0 * limits.core_skin_m
    if deep_m < limits.core_least_m - 1e-9:
        return None
    inner = plan_of(piece.shape).buffer(-limits.core_rib_m)
    if inner.is_empty:
        return None
    displaced_m3 = float(inner.area) * deep_m
    z = limits.core_skin_m + deep_m / 2.0
    at_m = (float(inner.centroid.x), float(inner.centroid.y), z)
    mass_kg = displaced_m3 * foam.density_kg_m3
    return Insert(name="foam core", mass_kg=mass_kg, displaces_m3=displaced_m3, at_m=at_m, material=CORE)


def runs_through(seam: Chord, piece: Piece) -> bool:
    """Whether a seam runs through an opening of a flat piece."""
    assert can_be_cut(piece.shape)
    plan, line = plan_of(piece.shape), shapely.LineString(seam)
    return any(line.intersects(shapely.Polygon(hole)) for hole in plan.interiors)


def plan_of(shape: Slab | Outline) -> shapely.Polygon:
    """Plan of a flat piece less its openings, with curves as chords."""
    region = footprint(shape)
    plan = region.polygon(PLAN_CHORD_M)
    openings = [opening.polygon(PLAN_CHORD_M) for opening in outlines_of(shape.cutouts, fine_polygon(region))]
    return plan.difference(shapely.union_all(openings)) if openings else plan


# --------------------------------------------------------------------------- search


@frozen
class _Draft:
    """A way that passes every stage, before it is priced.

    pieces  everything that is cast for it: the parts between its seams, then what is glued to them
    parts   the parts between its seams, with what the shop glues to them
    moved   everything that has to be light enough: the parts, and what is glued on site only now
    """

    variant: _Variant
    seams: tuple[Chord, ...]
    pieces: tuple[Piece, ...]
    parts: tuple[Part, ...]
    moved: tuple[Part, ...]

    @property
    def people(self) -> int:
        return max(handling.people for _, _, handling in self.moved)

    @property
    def strength(self) -> Literal["enough", "not-enough", "untested"]:
        return worst_strength(handling.strength for _, _, handling in self.moved)

    @property
    def cores(self) -> tuple[Insert, ...]:
        """Cores of all of its parts."""
        if self.variant.core is None:
            return ()
        name = self.variant.core.name
        return tuple(insert for piece in self.pieces for insert in piece.inserts if insert.name == name)

    @property
    def guideline_share(self) -> float | None:
        shares = [
            move.lift.guideline_share
            for _, _, handling in self.moved
            for move in handling.moves
            if move.crew == self.people
        ]
        known = [share for share in shares if share is not None]
        return max(known) if known and len(known) == len(shares) else None


class _Search:
    """Search for drafts of one piece: every variant whole, and cut for every number of people."""

    def __init__(self, job: Job, piece: Piece, goal: Goal) -> None:
        self._job, self._piece, self._goal = job, piece, goal
        self._no_seams: NoSeams | None = None  # for the largest number of people tried
        self._most = 0
        self._cracks = False

    def drafts(self, most: int) -> list[_Draft]:
        """All drafts for at most `most` people whose strength is not shown to be too low."""
        found: list[_Draft] = []
        for variant in variants(self._job, self._piece, self._goal):
            whole = self.draft(variant, ())
            if whole is not None:
                found.append(whole)
            done = inf if whole is None else whole.people
            for people in range(1, most + 1):
                if people < done and can_be_cut(variant.piece.shape):
                    found += self.cut(variant, people, twice=False)
            last = variant
        if not found and can_be_cut(self._piece.shape):
            for people in range(most, 0, -1):
                found += self.cut(last, people, twice=True)
        return found

    def draft(self, variant: _Variant, seams: tuple[Chord, ...]) -> _Draft | None:
        """The variant cut along seams; None unless every part passes every stage."""
        try:
            shop = variant.job.workshop.seams
            through = range(len(seams)) if shop.rail_at_seam_m else ()
            whole = variant.piece if variant.core is None or not seams else variant.bare
            pieces = cut_piece(whole, seams, shop.width_m, through)
            if whole is not variant.piece:  # no core runs through a seam: each part has its own
                cores = [_core(piece, variant.job) for piece in pieces]
                pieces = tuple(
                    piece if core is None else _with_core(piece, core)
                    for piece, core in zip(pieces, cores, strict=True)
                )
            glued = glued_pieces(variant.piece, variant.job.language, pieces)
            moved = survey(replace(variant.job, pieces=(*pieces, *glued)))[2]
        except (FaultError, InputError):
            return None
        parts = moved[: len(pieces)]
        draft = _Draft(variant, seams, (*pieces, *glued), tuple(parts), tuple(moved if variant.on_site else parts))
        if draft.strength == "not-enough":
            self._cracks = True
            return None
        weight_kg = self._goal.weight_kg
        if weight_kg is not None and any(weight.lift_kg > weight_kg * (1.0 + 1e-9) for _, weight, _ in draft.moved):
            return None
        return draft if all(_is_liftable(handling) for _, _, handling in draft.moved) else None

    def cut(self, variant: _Variant, people: int, *, twice: bool) -> list[_Draft]:
        """The variant cut by the fewest seams that make it liftable by this many people; [] if no seams do.

        twice   whether a first cut may go lengthwise or across a branch
        """
        try:
            part, *glued = _surveyed(variant.job, variant.piece)
        except (FaultError, InputError):
            return []
        assert can_be_cut(part[0].piece.shape)
        way = level_way(footprint(part[0].piece.shape).outer)
        core = None if variant.core is None else (variant.core, variant.job.workshop.lighten.core_rib_m)
        hung = _glued_loads(part, glued)
        piece = _turned(_seam_piece(part, hung, core), 1.0 / way)
        limits = replace(_limits(variant, part, hung, people, self._goal), twice=twice)
        found = self._cut(variant, piece, limits, way, people)
        rail_m = variant.job.workshop.seams.rail_at_seam_m
        if rail_m:
            through = replace(limits, cuts=limits.cuts._replace(rail_m=rail_m))
            found += self._cut(variant, piece, through, way, people)
        return found

    def _cut(self, variant: _Variant, piece: SeamPiece, limits: SeamLimits, way: complex, people: int) -> list[_Draft]:
        """The variant cut by the fewest seams within the limits; [] if no seams are.

        way   unit vector that rotates the leveled piece back
        """
        for share in TIGHTER:
            part_kg = None if limits.part_kg is None else limits.part_kg * share
            found = plan_seams(piece, replace(limits, person_kg=limits.person_kg * share, part_kg=part_kg))
            if isinstance(found, NoSeams):
                if people >= self._most:
                    self._most, self._no_seams = people, found
                return []
            seams = tuple((_at(seam.start_m, way), _at(seam.end_m, way)) for seam in found.seams)
            draft = self.draft(variant, seams)
            if draft is not None and draft.people <= people:
                return [draft]
        return []

    def way(self, draft: _Draft) -> Way:
        """Convert a draft to a way, with the price of the whole job."""
        variant, strength = draft.variant, draft.strength
        assert strength != "not-enough"
        figures = []
        for taken, weight, _ in draft.moved:
            figures.append(PartFigures(taken.piece.mark, weight.lift_kg, taken.plan.net_m2, _turned_size(taken.piece)))
        return Way(
            people=draft.people,
            mix=variant.mix,
            instead_of=variant.instead_of,
            sand_replaced=variant.sand_replaced,
            thickness_m=variant.thickness_m,
            cores=draft.cores,
            on_site=variant.on_site,
            seams=draft.seams,
            parts=tuple(figures),
            price=self.price(draft),
            strength=strength,
            guideline_share=draft.guideline_share,
        )

    def price(self, draft: _Draft) -> Decimal:
        """Price before tax of the job with the draft instead of the piece."""
        pieces: list[Piece] = []
        for piece in self._job.pieces:
            if piece.mark == self._piece.mark:
                pieces += draft.pieces
            elif piece.part_of != self._piece.mark:  # its legs and splashes come with it
                pieces.append(piece)
        return price_before_tax(replace(draft.variant.job, pieces=tuple(pieces)))

    def reason(self, people: int) -> Message:
        """Why there is no way."""
        if self._cracks:
            return message("lighten-cracks")
        if places := self._barred(people):
            id = "lighten-no-passage" if can_be_cut(self._piece.shape) else "lighten-no-passage-whole"
            return message(id, places=places)
        if not can_be_cut(self._piece.shape):
            return message("lighten-no-plate", people=people)
        asked = self._job.workshop.seams.rail_at_seam_m > 0.0
        barred = None if asked else self._no_seams
        if barred is not None and barred.lightest_kg is not None and barred.bounds_m:
            x0, _, x1, _ = barred.bounds_m
            part, *glued = _surveyed(self._job, self._piece)
            share = _flip_share(part, _glued_loads(part, glued))
            return message("lighten-zone", from_m=x0, to_m=x1, high_kg=barred.lightest_kg / share, people=people)
        return message("lighten-none", people=people)

    def _barred(self, people: int) -> list[Message]:
        """Places of the access that the piece does not pass, if they alone prevent every way."""
        part = _surveyed(self._job, self._piece)[0]
        barred = [check.place for check in part[2].access.checks if not check.passes]
        if not barred or not can_be_cut(self._piece.shape):
            return barred
        search = _Search(replace(self._job, site=None), self._piece, self._goal)
        return barred if search.drafts(people) else []


def _surveyed(job: Job, piece: Piece) -> list[Part]:
    """A piece and everything that is glued to it, weighed and planned. Raises what the stages raise."""
    return survey(replace(job, pieces=(piece, *glued_pieces(piece, job.language))))[2]


def _glued_loads(part: Part, glued: Sequence[Part]) -> tuple[Load, ...]:
    """What the shop glues to a flat piece, as loads on the plan: each on the area above or below it."""
    shape = part[0].piece.shape
    assert can_be_cut(shape)
    plan = filled(plan_of(shape))
    loads = []
    for taken, weight, _ in glued:
        pose = taken.piece.pose
        if taken.piece.glued_in_shop and pose is not None:
            low, size = np.array(taken.solid.lowest_m), np.array(taken.solid.size_m)
            ends = [pose.place(tuple(low + size * step))[:2] for step in np.ndindex(2, 2, 2)]
            area = shapely.MultiPoint(ends).convex_hull.buffer(GLUED_M, join_style="mitre").intersection(plan)
            if area.area > 0.0:
                loads.append(Load(area, weight.lift_kg))
    return tuple(loads)


def _flip_share(part: Part, hung: Sequence[Load]) -> float:
    """Ratio of the weight at the flip, with what is glued on later, to that of the carry."""
    return (part[1].turn_kg + sum(load.mass_kg for load in hung)) / part[1].lift_kg


def _is_liftable(handling: Handling) -> bool:
    """Whether people can move a part without a machine, hold it in balance, and bring it into the building."""
    if any(move.crew is None for move in handling.moves):
        return False
    if any(doubt.id == "holds-off-balance" for doubt in handling.doubts):
        return False
    access = handling.access
    rated = access.lift is None or access.lift.rating_kg is None or access.lift.shown_safe
    return rated and all(check.passes for check in access.checks)


def _turned_size(piece: Piece) -> tuple[float, float]:
    """Sides of the minimum rotated rectangle of a part, the longer first, m; its two largest sizes if not flat."""
    if not can_be_cut(piece.shape):
        *_, short, long = sorted(piece.shape.solid().size_m)
        return long, short
    corners = list(footprint(piece.shape).polygon().minimum_rotated_rectangle.exterior.coords)
    first, second = (hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(corners[:3]))
    return max(first, second), min(first, second)


def _seam_piece(part: Part, hung: Sequence[Load], core: tuple[Insert, float] | None = None) -> SeamPiece:
    """A flat piece at its heaviest move, the flip: the plate with its form boards spread over it, and its inserts.

    hung  what the shop glues to it after the flip
    core  a core and the distance that it keeps from the edges, m; its load is spread over the area inside
    """
    taken, weight, _ = part
    piece = taken.piece
    assert can_be_cut(piece.shape)
    plan = plan_of(piece.shape)
    boards = Load(filled(plan), weight.turn_kg - weight.demould.high_kg)
    concrete_kg = weight.demould.high_kg - weight.inserts_kg
    volume_m3 = taken.volume_m3
    loads = []
    for insert in piece.inserts:
        net_kg = insert.mass_kg - insert.displaces_m3 * concrete_kg / volume_m3
        if core is not None and insert is core[0]:
            inner = plan.buffer(-core[1])
            areas = shapely.get_parts(inner).tolist()
            loads += [Load(area, net_kg * float(area.area) / float(inner.area)) for area in areas]
        else:
            loads.append(Load(shapely.Point((insert.at_m or taken.solid.centroid_m)[:2]), net_kg))
    density_kg_m3 = concrete_kg / volume_m3
    loads += [
        Load(area, float(area.area) * (depth_m - piece.shape.thickness_m) * density_kg_m3)
        for hanging, depth_m in piece.shape.slices().behind
        for area in shapely.get_parts(hanging)
    ]
    plate_kg = weight.demould.high_kg - sum(load.mass_kg for load in loads)
    return SeamPiece(plan, plate_kg / float(plan.area), (boards, *loads, *hung))


def _turned(piece: SeamPiece, by: complex) -> SeamPiece:
    """A piece rotated about the origin by the angle of a unit vector, so that its edges are level."""
    if by == 1.0:
        return piece
    matrix = [by.real, -by.imag, by.imag, by.real, 0.0, 0.0]
    loads = tuple(Load(affine_transform(load.where, matrix), load.mass_kg) for load in piece.loads)
    return SeamPiece(affine_transform(piece.plan, matrix), piece.kg_m2, loads)


def _at(point: tuple[float, float], way: complex) -> tuple[float, float]:
    """A point of the rotated plan in the coordinates of the piece."""
    turned = complex(*point) * way
    return turned.real, turned.imag


def _limits(variant: _Variant, part: Part, hung: Sequence[Load], people: int, goal: Goal) -> SeamLimits:
    """Limits for the parts of a variant, with weights as at the flip."""
    taken = part[0]
    job, shop = variant.job, variant.job.workshop
    flip = _flip_share(part, hung)
    places = () if job.site is None else job.site.places
    pitch_deg = max((place.pitch_deg for place in places if isinstance(place, Stairs)), default=None)
    caps_kg = [_batch_kg(variant, part)]
    if goal.weight_kg is not None:
        caps_kg.append(goal.weight_kg * flip)
    if job.site is not None and job.site.lift is not None and job.site.lift.rating_kg is not None:
        caps_kg.append(job.site.lift.rating_kg * flip)
    return SeamLimits(
        people=people,
        person_kg=shop.handling.limit_level_kg,
        grip_m=shop.handling.grip_spacing_m,
        part_kg=min(caps_kg),
        longest_m=_longest(job, taken.solid.size_m[2]),
        width_m=shop.seams.least_part_m,
        seam_m=shop.seams.width_m,
        stairs=None if pitch_deg is None else (shop.handling.limit_stairs_kg * flip, tan(radians(pitch_deg))),
        flat=True,
        cuts=CutRules(shop.seams.at_cutout_m, shop.seams.at_corner_m, shop.seams.step_m),
    )


def _batch_kg(variant: _Variant, part: Part) -> float:
    """Largest weight at the flip of a part whose layers each take no more than one load of the mixer, kg."""
    taken, weight, _ = part
    rooms = []
    for layer in taken.layers:
        design = make(variant.job.mixes[layer.mix], variant.job.materials)
        room_m3 = capacity_m3(design, variant.job.workshop)
        rooms.append(room_m3 / layer.cast_m3 if layer.cast_m3 > 0.0 else inf)
    return min(rooms) * weight.turn_kg


def _longest(job: Job, height_m: float) -> LongestPart:
    """Function from the width of a part to the greatest length that fits the table and every place of the access, m."""
    table_m = sorted((job.workshop.seams.table_length_m, job.workshop.seams.table_width_m))
    places = () if job.site is None else job.site.places

    def passes(long_m: float, wide_m: float) -> bool:
        return all(check_passage((long_m, wide_m, height_m), place, CLEARANCE_M).passes for place in places)

    @lru_cache(maxsize=4096)
    def longest_m(wide_m: float) -> float:
        high = table_m[1] if wide_m <= table_m[0] + 1e-9 else 0.0
        if high == 0.0 or passes(high, wide_m):
            return high
        low = 0.0
        for _ in range(20):
            middle = (low + high) / 2.0
            low, high = (middle, high) if passes(middle, wide_m) else (low, middle)
        return low

    return longest_m


# --------------------------------------------------------------------------- selection


def _ways(search: _Search, drafts: Sequence[_Draft]) -> list[Way]:
    """For each number of people, the cheapest way that is strong enough, and a cheaper untested one if there is one.

    A way is left out if another takes fewer people, costs no more and is no weaker.
    """
    ways: list[Way] = []
    for people in sorted({draft.people for draft in drafts}):
        own = [draft for draft in drafts if draft.people == people]
        strong = _cheapest(search, [draft for draft in own if draft.strength == "enough"])
        weak = _cheapest(search, [draft for draft in own if draft.strength == "untested"])
        if strong is not None:
            ways.append(strong)
        if weak is not None and (strong is None or weak.price < strong.price):
            ways.append(weak)
    return [way for way in ways if not any(_beats(other, way) for other in ways if other is not way)]


def _beats(first: Way, second: Way) -> bool:
    stronger = first.strength == "enough" or second.strength == "untested"
    return first.people < second.people and first.price <= second.price and stronger


def _cheapest(search: _Search, drafts: Sequence[_Draft]) -> Way | None:
    """The cheapest of several drafts, or None.

    Seams cost the most, so only the draft with the fewest changes is priced for each number of parts, and only for the
    two smallest numbers of parts.
    """
    by_parts: dict[int, _Draft] = {}
    for draft in sorted(drafts, key=lambda draft: (len(draft.parts), draft.variant.changes)):
        by_parts.setdefault(len(draft.parts), draft)
    priced = [search.way(draft) for draft in list(by_parts.values())[:2]]
    return min(priced, key=lambda way: way.price, default=None)


def heaviest(parts: Iterable[Part], people: int, most: int) -> list[Part]:
    """The `most` heaviest pieces that need a machine or more people than available."""
    heavy = [part for part in parts if is_too_heavy(part[2], people)]
    return sorted(heavy, key=lambda part: -part[1].lift_kg)[:most]
