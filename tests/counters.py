"""Random counters, and the best seams of a piece found by trying all sets of cuts."""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from itertools import combinations
from math import cos, pi, sin

import numpy as np
import shapely
from shapely import LineString, Polygon, box
from shapely.affinity import rotate
from shapely.ops import split

from estimator.handling.people import Grip, crew_for, room_for_hands
from estimator.handling.seams import SeamLimits, SeamPiece
from geometry.cuts import CutRules, cuts_of


def counter(draw: random.Random) -> Polygon:
    """A straight, L, U, D-ended or bowed counter with up to two sinks, m."""
    deep = draw.uniform(0.5, 0.75)
    long = draw.uniform(1.8, 3.6)
    match draw.choice(["straight", "L", "U", "D", "bowed"]):
        case "straight":
            plan = box(0.0, 0.0, long, deep)
        case "L":
            leg = draw.uniform(1.2, 2.4)
            plan = Polygon([(0, 0), (long, 0), (long, deep), (deep, deep), (deep, leg), (0, leg)])
        case "U":
            left, right = draw.uniform(1.2, 2.0), draw.uniform(1.2, 2.0)
            inner = [(long - deep, right), (long - deep, deep), (deep, deep), (deep, left)]
            plan = Polygon([(0, 0), (long, 0), (long, right), *inner, (0, left)])
        case "D":
            arc = [(long + deep / 2 * sin(a), deep / 2 - deep / 2 * cos(a)) for a in np.linspace(0.0, pi, 17)]
            plan = Polygon([(0, 0), *arc, (0, deep)])
        case _:
            bow = draw.uniform(0.05, 0.15)
            front = [(x, -bow * sin(pi * x / long)) for x in np.linspace(0.0, long, 17)]
            plan = Polygon([*front, (long, deep), (0, deep)])
    for _ in range(draw.choice([0, 1, 1, 2])):
        x = draw.uniform(0.2, long - 0.9)
        sink = box(x, 0.1, x + draw.uniform(0.35, 0.7), deep - 0.1)
        if plan.buffer(-0.05).contains(sink):
            plan = Polygon(plan.exterior, [*plan.interiors, sink.exterior])
    return rotate(plan, draw.choice([0, 90, 180, 270]), origin=(0.0, 0.0))


PERSON_KG = 22.68


def coarse_case(number: int) -> tuple[SeamPiece, SeamLimits]:
    """A random counter, and limits with so few cuts that all sets of them can be tried."""
    cuts = CutRules(0.076, 0.15, 0.25, number % 2 == 0)
    limits = SeamLimits(2 + number % 3, PERSON_KG, 0.6, None, lambda _: 2.6, 0.15, 0.0, cuts)
    return SeamPiece(counter(random.Random(number)), 45.0), limits


def best_of_all_sets(piece: SeamPiece, limits: SeamLimits) -> tuple[int, float, float] | None:
    """Number of parts, heaviest part and length of seams for the best set of cuts.

    Every set of cuts that do not cross is tried, the piece split as polygons, and every part judged alone."""
    cuts = cuts_of(piece.plan, limits.cuts)
    lines = [LineString([chord[:2], chord[2:]]) for chord in cuts.chords[cuts.across].tolist()]
    for count in range(4):
        found = []
        for some in combinations(lines, count):
            if any(a.intersection(b).length > 0 or a.crosses(b) for a, b in combinations(some, 2)):
                continue
            parts = _parts(piece.plan, some)
            masses = [part.area * piece.kg_m2 for part in parts]
            light = len(parts) == count + 1 and max(masses) <= limits.people * limits.person_kg + 1e-6
            if light and all(is_sound(part, mass, limits) for part, mass in zip(parts, masses, strict=True)):
                found.append((max(masses), sum(line.length for line in some)))
        if found:
            least = min(heaviest for heaviest, _ in found)
            return count + 1, least, min(long for heaviest, long in found if heaviest <= 1.01 * least + 1e-9)
    return None


def _parts(plan: Polygon, lines: Sequence[LineString]) -> list[Polygon]:
    parts = [plan]
    for line in lines:
        longer = shapely.affinity.scale(line, 1.0 + 1e-6, 1.0 + 1e-6)
        parts = [piece for part in parts for piece in split(part, longer).geoms if piece.area > 1e-6]
    return parts


def is_sound(part: Polygon, mass_kg: float, limits: SeamLimits) -> bool:
    """Whether a part keeps to the limits, judged alone."""
    x0, y0, x1, y1 = part.bounds
    (wide, _), (long, at_long) = sorted(((x1 - x0, part.centroid.x - x0), (y1 - y0, part.centroid.y - y0)))
    if wide < limits.width_m - 1e-9 or not Polygon(part.exterior).contains(part.centroid):
        return False
    if limits.longest_m is not None and long > limits.longest_m(wide) + 1e-9:
        corners = np.asarray(part.minimum_rotated_rectangle.exterior.coords)
        short, tall = sorted(np.hypot(*np.diff(corners[:3], axis=0).T).tolist())
        if tall > limits.longest_m(short) + 1e-9:
            return False
    room = room_for_hands(2.0 * (long + wide), limits.grip_m) if limits.grip_m else limits.people
    grip = Grip(long, at_long, 0.5, 2.0 * (long + wide), wide)
    return crew_for(mass_kg, grip, limits.person_kg, room, limits.people, 1.25).persons is not None


def random_counters(count: int, seed: int) -> Iterator[Polygon]:
    """A list of `count` random counters."""
    draw = random.Random(seed)
    for _ in range(count):
        yield counter(draw)
