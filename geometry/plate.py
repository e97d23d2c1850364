"""Plans of a flat plate with drop edges, edge profiles and mitered ends, at any depth below its top."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise
from math import sqrt
from typing import Literal, TypeAlias, get_args

import numpy as np
import shapely

from geometry.arcs import edge_lengths, flatten
from geometry.arrays import Floats
from geometry.errors import FaultError, require, require_dimensions, require_positive
from geometry.frozen import frozen
from geometry.inset import INNER, Area, bands, inset
from geometry.message import message
from geometry.plan import FINE, NEAR
from geometry.plan_edges import Edge, PlanEdge, Stretch, chosen
from geometry.plane import Ring
from geometry.taper import Wedge

Profile: TypeAlias = Literal["eased", "round-over", "bevel", "cove", "bullnose", "mitre"]

PROFILES: tuple[Profile, ...] = get_args(Profile)

EASED_M = 0.003175
"""An eased edge is a round-over of an eighth of an inch."""


@frozen
class DropEdge:
    """A drop edge along `edges`, inside the outline, with its outer face flush.

    height_m     from the TOP of the plate down
    thickness_m  horizontal
    """

    edges: tuple[Edge, ...]
    height_m: float
    thickness_m: float


@frozen
class EdgeProfile:
    """The profile of `edges`.

    eased       a round-over of an eighth of an inch, or of `size_m`
    round-over  a convex quarter circle of radius `size_m` at the top
    bevel       a flat at 45°, `size_m` on each face
    cove        a concave quarter circle of radius `size_m` about the top arris
    bullnose    round-overs at top and bottom, each of half the edge's height
    mitre       a cut at 45° from the top arris inward through the plate, to which a waterfall leg is glued
    """

    edges: tuple[Edge, ...]
    kind: Profile
    size_m: float | None = None


@frozen
class Section:
    """Cross-section of one edge profile.

    size_m  radius or leg; for a miter the thickness of the plate
    """

    kind: Profile
    size_m: float

    @property
    def reach_m(self) -> float:
        """Depth of the profile."""
        return 2 * self.size_m if self.kind == "bullnose" else self.size_m

    def inset_m(self, depth_m: float) -> float:
        """Distance of the edge inward from the outline at a depth."""
        size = self.size_m
        if depth_m >= self.reach_m:
            return size if self.kind == "mitre" else 0.0
        match self.kind:
            case "bevel":
                return size - depth_m
            case "round-over" | "eased" | "bullnose":
                return size - sqrt(size**2 - (size - depth_m) ** 2)
            case "cove":
                return sqrt(size**2 - depth_m**2)
            case "mitre":
                return depth_m

    def stretch(self, depth_m: float) -> float:
        """Length along the section per unit of depth."""
        size = self.size_m
        if depth_m >= self.reach_m:
            return 1.0
        match self.kind:
            case "bevel" | "mitre":
                return sqrt(2.0)
            case "round-over" | "eased" | "bullnose":
                return size / sqrt(size**2 - (size - depth_m) ** 2)
            case "cove":
                return size / sqrt(size**2 - depth_m**2)

    @property
    def overhang_m(self) -> float:
        """Projection of the top beyond the bottom."""
        return self.size_m if self.kind in ("bullnose", "mitre") else 0.0


@frozen(eq=False)
class EdgedPlate:
    """A plate whose edges have drops, profiles or miters, or are left raw.

    ring       outline, counterclockwise, split where a drop, a profile or a raw edge begins or ends
    edges      numbered edges of the plan
    numbers    number of the edge that each part of the ring belongs to
    sections   profile of each part of the ring; None where it is square
    drops      (thickness, height) of the drops along each part
    raw        whether each part is left unfinished
    wedge      underside, if it slopes
    """

    ring: Ring
    edges: tuple[PlanEdge, ...]
    numbers: tuple[int, ...]
    thickness_m: float
    sections: tuple[Section | None, ...]
    drops: tuple[tuple[tuple[float, float], ...], ...]
    raw: tuple[bool, ...]
    wedge: Wedge | None = None

    @property
    def thinnest_and_thickest(self) -> tuple[float, float]:
        """Smallest and largest thickness of the plate, m."""
        return (self.thickness_m, self.thickness_m) if self.wedge is None else self.wedge.thinnest_and_thickest

    @property
    def height_m(self) -> float:
        """Height from the lowest drop to the top."""
        return max([self.thinnest_and_thickest[1], *(height for own in self.drops for _, height in own)])

    @property
    def marks(self) -> set[float]:
        """Depths at which slices change abruptly or start to change."""
        marks = {0.0, *self.thinnest_and_thickest, self.height_m}
        marks |= {height for own in self.drops for _, height in own}
        return marks | {section.reach_m for section in self.sections if section is not None}

    def is_worked(self, depth_m: float) -> bool:
        """Whether any edge profile reaches below a depth."""
        return any(section is not None and section.reach_m > depth_m for section in self.sections)

    def insets_m(self, depth_m: float) -> list[float]:
        """Inset of each part of the ring at a depth."""
        return [0.0 if section is None else section.inset_m(depth_m) for section in self.sections]

    def stretches(self, depth_m: float) -> list[float]:
        """Length of each part's section per unit of depth."""
        return [1.0 if section is None else section.stretch(depth_m) for section in self.sections]

    @property
    def outline(self) -> Area:
        """Plan from above, without profiles."""
        return _moved_area(self.ring, (0.0,) * len(self.sections))

    def top(self, depth_m: float) -> Area:
        """Plan of the plate without drops, as if it extended down to a depth."""
        return _moved_area(self.ring, tuple(self.insets_m(depth_m)))

    @property
    def foot(self) -> Area:
        """Plan of all horizontal faces that face down."""
        return _moved_area(self.ring, tuple(0.0 if s is None else s.overhang_m for s in self.sections))

    def hanging(self, depth_m: float) -> tuple[Area, ...]:
        """Areas of the drops at a depth."""
        insets = tuple(self.insets_m(depth_m))
        inner = tuple(
            max([inset_m, *(thick for thick, height in own if height > depth_m)])
            for inset_m, own in zip(insets, self.drops, strict=True)
        )
        return () if inner == insets else _bands(self.ring, insets, inner)


# Cached, since several figures use the same slices, and since regions are compared by identity.


@lru_cache(maxsize=512)
def _moved_area(ring: Ring, distances_m: tuple[float, ...]) -> Area:
    return inset(ring, distances_m).area


@lru_cache(maxsize=512)
def _bands(ring: Ring, outer_m: tuple[float, ...], inner_m: tuple[float, ...]) -> tuple[Area, ...]:
    deeper = [far > near for far, near in zip(inner_m, outer_m, strict=True)]
    return bands(ring, inset(ring, outer_m), inset(ring, inner_m), deeper)


def lengths_of(area: Area) -> dict[int, float]:
    """Length of the edges of an area by their owner, m."""
    ring = area.region.outer
    lengths: dict[int, float] = {}
    for owner, length_m in zip(area.owners.tolist(), edge_lengths(ring.points, ring.ends, ring.bulges), strict=True):
        lengths[owner] = lengths.get(owner, 0.0) + float(length_m)
    return lengths


def lines_of(area: Area) -> dict[int, shapely.Geometry]:
    """Edges of an area by owner, flattened as in `fine_polygon`, without inner ones."""
    ring = area.region.outer
    if ring.bulges is None:
        points, edge = ring.points, np.arange(len(ring.points))
    else:
        points, edge = flatten(ring.points, ring.ends, ring.bulges, FINE * max(area.region.size_m))
    pieces: dict[int, list[Floats]] = {}
    owners = area.owners[edge].tolist()
    for owner, start, end in zip(owners, points, np.roll(points, -1, axis=0), strict=True):
        if owner != INNER:
            pieces.setdefault(owner, []).append(np.stack([start, end]))
    return {owner: shapely.multilinestrings(list(map(shapely.linestrings, own))) for owner, own in pieces.items()}


# From the edges named in a job ------------------------------------------------------------------------------


@frozen
class EdgeWork:
    """Drops, profiles and raw edges of a plate, as given in the job."""

    drops: tuple[DropEdge, ...] = ()
    profiles: tuple[EdgeProfile, ...] = ()
    raw: tuple[Edge, ...] = ()

    @property
    def profile_keys(self) -> list[str]:
        """Key of each profile in the job file; miters come from waterfalls."""
        mitres = [profile.kind == "mitre" for profile in self.profiles]
        counts = [sum(mitre == mitres[i] for mitre in mitres[:i]) for i in range(len(mitres))]
        names = ("edge_profiles", "waterfalls")
        return [f"{names[mitre]}[{count}]" for mitre, count in zip(mitres, counts, strict=True)]


def edged_plate(
    ring: Ring, edges: tuple[PlanEdge, ...], thickness_m: float, work: EdgeWork, wedge: Wedge | None = None
) -> EdgedPlate:
    """Plate with its drops, profiles and raw edges.

    ring   outline, counterclockwise
    edges  its numbered edges

    Raises FaultError, with the key at fault, for unknown edges and impossible edge work.
    """
    drops = [
        (_of_drop(drop, i), chosen(edges, drop.edges, f"drop_edges[{i}].edges")) for i, drop in enumerate(work.drops)
    ]
    profiles = [
        (profile, chosen(edges, profile.edges, f"{key}.edges"))
        for profile, key in zip(work.profiles, work.profile_keys, strict=True)
    ]
    raw = chosen(edges, work.raw, "raw_edges") if work.raw else ()
    stretches = [stretch for _, own in (*drops, *profiles) for stretch in own] + list(raw)
    split, numbers, spans = _split(ring, edges, stretches)
    plate = EdgedPlate(
        split,
        edges,
        tuple(numbers),
        thickness_m,
        (None,) * len(numbers),
        tuple(tuple((drop.thickness_m, drop.height_m) for drop, own in drops if _has(own, span)) for span in spans),
        tuple(_has(raw, span) for span in spans),
        wedge,
    )
    sections = _sections(plate, profiles, work.profile_keys, spans)
    plate = EdgedPlate(plate.ring, edges, plate.numbers, thickness_m, sections, plate.drops, plate.raw, wedge)
    _refuse_crowded(plate, work)
    return plate


def _of_drop(drop: DropEdge, i: int) -> DropEdge:
    require_dimensions(**{f"drop_edges[{i}].height": drop.height_m, f"drop_edges[{i}].thickness": drop.thickness_m})
    return drop


Span: TypeAlias = tuple[int, float, float]
"""Part of a split ring: number of its edge, and start and end along that edge, m."""


def _split(ring: Ring, edges: Sequence[PlanEdge], stretches: Sequence[Stretch]) -> tuple[Ring, list[int], list[Span]]:
    """Split a ring where stretches begin and end; also return the edge number and the span of each part."""
    least = NEAR * max(edge.length_m for edge in edges)
    cuts: dict[int, set[float]] = {}
    for stretch in stretches:
        cuts.setdefault(stretch.number, set()).update((stretch.from_m, stretch.to_m))
    parts: dict[int, list[tuple[complex, float, Span]]] = {}
    for edge in edges:
        start = 0.0
        for place, segment in zip(edge.places, edge.segments, strict=True):
            end = start + segment.length_m
            own = [cut for cut in sorted(cuts.get(edge.number, ())) if start + least < cut < end - least]
            ends = [start, *own, end]
            for a, b in pairwise(ends):
                share = (b - a) / segment.length_m
                bulge = segment.bulge if share == 1.0 else float(np.tan(segment.sweep * share / 4))
                at = segment.start if a == start else segment.at(a - start)
                parts.setdefault(place, []).append((at, bulge, (edge.number, a, b)))
            start = end
    ordered = [part for place in sorted(parts) for part in parts[place]]
    if len(ordered) == len(ring.points):
        return ring, [span[0] for _, _, span in ordered], [span for _, _, span in ordered]
    points = np.array([(at.real, at.imag) for at, _, _ in ordered])
    split = Ring(points, np.array([bulge for _, bulge, _ in ordered]))
    return split, [span[0] for _, _, span in ordered], [span for _, _, span in ordered]


def split_ring(ring: Ring, edges: Sequence[PlanEdge], stretches: Sequence[Stretch]) -> tuple[Ring, tuple[bool, ...]]:
    """Split a ring where stretches begin and end; also return whether each part lies on a stretch."""
    split, _, spans = _split(ring, edges, stretches)
    return split, tuple(_has(stretches, span) for span in spans)


def _has(stretches: Sequence[Stretch], span: Span) -> bool:
    """Whether any stretch covers a part of a ring."""
    number, a, b = span
    middle = (a + b) / 2
    return any(stretch.number == number and stretch.from_m < middle < stretch.to_m for stretch in stretches)


def _sections(
    plate: EdgedPlate,
    profiles: Sequence[tuple[EdgeProfile, Sequence[Stretch]]],
    keys: Sequence[str],
    spans: Sequence[Span],
) -> tuple[Section | None, ...]:
    sections: list[Section | None] = [None] * len(spans)
    for (profile, stretches), key in zip(profiles, keys, strict=True):
        require_positive(profile.size_m, f"{key}.size")
        for place, span in enumerate(spans):
            if not _has(stretches, span):
                continue
            edge = plate.edges[span[0] - 1]
            name = edge.side or str(edge.number)
            require(sections[place] is None, f"{key}.edges", message("edge-twice", side=name))
            sections[place] = _section(plate, profile, plate.drops[place], key)
    return tuple(sections)


def _section(plate: EdgedPlate, profile: EdgeProfile, drops: Sequence[tuple[float, float]], key: str) -> Section:
    """Profile section of one part of the ring. Raises FaultError if it does not fit the edge."""
    thin, thick = plate.thinnest_and_thickest
    if profile.kind == "mitre":
        require(not drops and thin == thick, f"{key}.edges", message("mitre-on-drop"))
        return Section("mitre", thin)
    if profile.kind == "bullnose":
        require(thin == thick, f"{key}.profile", message("bullnose-on-taper"))
        height = max([thick, *(height for _, height in drops)])
        radius = height / 2
        stated = profile.size_m is None or abs(profile.size_m - radius) < 1e-6
        require(stated, f"{key}.size", message("bullnose-size", size_m=profile.size_m or 0.0, radius_m=radius))
        least = min((thickness for thickness, _ in drops), default=radius)
        require(
            radius <= least * (1 + NEAR),
            f"{key}.profile",
            message("bullnose-too-high", radius_m=radius, thickness_m=least),
        )
        return Section("bullnose", radius)
    size = profile.size_m if profile.size_m is not None else EASED_M if profile.kind == "eased" else None
    if size is None:
        raise FaultError(f"{key}.size", message("edge-no-size", kind=profile.kind))
    require(size <= thin * (1 + NEAR), f"{key}.size", message("edge-too-large", size_m=size, thin_m=thin))
    return Section(profile.kind, size)


def _refuse_crowded(plate: EdgedPlate, work: EdgeWork) -> None:
    """Raise FaultError, at the key of the widest, if drops or profiles leave no room for each other."""
    thick = plate.thinnest_and_thickest[1]
    for i, drop in enumerate(work.drops):
        require(
            drop.height_m >= thick * (1 - NEAR),
            f"drop_edges[{i}].height",
            message("drop-too-low", height_m=drop.height_m, thick_m=thick),
        )
    sizes = [0.0 if section is None else section.size_m for section in plate.sections]
    thicknesses = [max((thickness for thickness, _ in own), default=0.0) for own in plate.drops]
    if not _fits(plate.ring, sizes, 1.0):
        i = max(range(len(work.profiles)), key=lambda i: work.profiles[i].size_m or 0.0)
        key = f"{work.profile_keys[i]}.{'edges' if work.profiles[i].size_m is None else 'size'}"
        raise FaultError(key, message("edge-no-room", size_m=max(sizes), room_m=_room(plate.ring, sizes)))
    both = [max(pair) for pair in zip(sizes, thicknesses, strict=True)]
    if not _fits(plate.ring, both, 1.0):
        i = max(range(len(work.drops)), key=lambda i: work.drops[i].thickness_m)
        refusal = message("edge-no-room", size_m=max(thicknesses), room_m=_room(plate.ring, both))
        raise FaultError(f"drop_edges[{i}].thickness", refusal)


def _fits(ring: Ring, distances_m: Sequence[float], share: float) -> bool:
    """Whether a ring can be offset inward by the given distances, scaled by `share`."""
    try:
        inset(ring, [share * distance_m for distance_m in distances_m])
    except FaultError:
        return False
    return True


def _room(ring: Ring, distances_m: Sequence[float]) -> float:
    """Largest of the distances after scaling all of them down until the ring can be offset inward, m."""
    low, high = 0.0, 1.0
    for _ in range(20):
        middle = (low + high) / 2
        low, high = (middle, high) if _fits(ring, distances_m, middle) else (low, middle)
    return low * max(distances_m)
