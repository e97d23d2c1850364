"""Finished pieces on racks, pallets and trucks: loads, tie-downs, trips."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from math import atan, ceil, degrees, inf
from typing import Literal

from estimator.constants import FOOT_M, POUND_KG, require_not_negative, require_positive, require_within
from estimator.errors import FaultError
from estimator.handling.doubts import Doubt, DoubtId, RatingCheck, check_rating, quantity_of
from estimator.workings import Formula, Working
from estimator.workshop import Transport
from geometry.arrays import Vector
from geometry.frozen import frozen
from geometry.message import Message, few, message
from geometry.solid import Solid

# 49 CFR 393.110: number of tie-downs by length and weight of an article; 393.106: their working load.
SHORT_ARTICLE_M = 5.0 * FOOT_M
LIGHT_ARTICLE_KG = 1100.0 * POUND_KG
LONG_ARTICLE_M = 10.0 * FOOT_M
GROSS = Formula("pieces_kg + rack_kg", "kg", message("source-rack-gross"))
TIE_DOWN = Formula("gross_kg / 2", "kg", message("source-tie-down"))
STRAPS = Formula(
    "max(tie_downs, ceil(tie_down_kg / strap_kg − 0.000000001))",
    "",
    message("source-straps"),
)
TIPS = Formula(
    "(base_m / 2 − offset_m) / center_height_m",
    "g",
    message("source-tips"),
)
_SLACK = 1e-9


# --------------------------------------------------------------------------- racks, pallets, trucks


@frozen
class StoredLoad:
    """A rack, crate, A-frame or pallet with its load."""

    gross: RatingCheck  # of everything on it against its rating
    floor_kg: float  # with its own weight
    floor_kg_m2: float  # over its footprint

    @property
    def shown_safe(self) -> bool:
        return self.gross.shown_safe


def stored_load(
    what: Rack, weights_kg: Sequence[float], own_kg: float, footprint_m2: float, rating_kg: float | None
) -> StoredLoad:
    """Load on a rack, crate, A-frame or pallet, and its load on the floor.

    what         name for the sheet
    weights_kg   HIGH-side weights on it, kg
    own_kg       weight of the rack or pallet itself, kg
    rating_kg    maker's rating, kg; None is reported as missing, never assumed

    The floor's own posted or designed load governs (29 CFR 1926.250).
    """
    require_not_negative(quantity_of("quantity-own-weight", what), own_kg, "kg")
    require_positive(quantity_of("quantity-footprint", what), footprint_m2, "m²")
    for weight in weights_kg:
        require_not_negative(quantity_of("quantity-weight-on", what), weight, "kg")
    load_kg = sum(weights_kg)
    floor_kg: float = GROSS(pieces_kg=load_kg, rack_kg=own_kg)
    return StoredLoad(check_rating(what, load_kg, rating_kg), floor_kg, floor_kg / footprint_m2)


def truck_trips(
    weights_kg: Sequence[float],
    payload_kg: float,
    depths_m: Sequence[float] | None = None,
    room_m: float = inf,
    sides: Literal[1, 2] = 2,
) -> tuple[tuple[int, ...], ...]:
    """Indices of `weights_kg` by trip, with every trip within the payload, heaviest load placed first.

    depths_m, room_m   depth of a rack, or length of a bed, that each load takes, and that available on each side, m.
                       A load goes on the emptier side. Not limited if not given
    sides              two for an A-frame, one for a bed, a pallet or a stack

    Each load goes on the first trip with room (first-fit decreasing): at most 11/9 of the fewest possible trips plus
    one, and the same answer every time. Raises FaultError for a load over the payload and for a missing payload.

    >>> truck_trips([700.0, 400.0, 300.0, 600.0], 1000.0)
    ((0, 2), (3, 1))
    """
    require_positive("truck-payload", payload_kg, "kg")
    for weight_kg in weights_kg:
        require_not_negative("load", weight_kg, "kg")
    heaviest_kg = max(weights_kg, default=0.0)
    if heaviest_kg > payload_kg:
        raise FaultError("", message("load-over-payload", load_kg=heaviest_kg, payload_kg=payload_kg))
    trips: list[list[int]] = []
    room = _RoomLeft(len(weights_kg), payload_kg, room_m, sides)
    for index in sorted(range(len(weights_kg)), key=weights_kg.__getitem__, reverse=True):  # equal loads in order
        depth_m = 0.0 if depths_m is None else depths_m[index]
        trip = room.first(weights_kg[index], depth_m) if depth_m <= room_m + _SLACK else len(trips)
        if trip == len(trips):
            trips.append([])
        trips[trip].append(index)
        room.take(trip, weights_kg[index], depth_m)
    return tuple(tuple(trip) for trip in trips)


@frozen
class Line:
    """Loads end to end in one slot of a rack, or side by side across a pallet or a bed.

    loads    indices of the loads
    deep_m   depth of the deepest
    """

    loads: tuple[int, ...]
    weight_kg: float
    deep_m: float


def lines_of(
    alongs_m: Sequence[float], depths_m: Sequence[float], weights_kg: Sequence[float], room_m: float, most_kg: float
) -> list[Line]:
    """Lines of loads side by side, each as full as room and weight allow, with loads of similar depth together.

    alongs_m   length of the room that each load takes, m
    depths_m   depth that each load takes across it, m

    The deepest loads come first, and each line is filled before the next is started. A load that is larger than the
    room, or too heavy, gets its own line.

    >>> [line.loads for line in lines_of([1.0, 1.0, 1.5], [0.1, 0.3, 0.1], [5.0, 5.0, 5.0], 2.0, 100.0)]
    [(1,), (2,), (0,)]
    >>> [line.loads for line in lines_of([1.0, 1.0], [0.1, 0.1], [5.0, 5.0], 2.0, 100.0)]
    [(0, 1)]
    """
    order = sorted(range(len(alongs_m)), key=lambda i: (-depths_m[i], -alongs_m[i]))
    lines: list[Line] = []
    loads: list[int] = []
    left_m, left_kg = 0.0, 0.0
    for i in order:
        if loads and alongs_m[i] <= left_m + _SLACK and weights_kg[i] <= left_kg + _SLACK:
            loads.append(i)
        else:
            lines += _line(loads, depths_m, weights_kg)
            loads, left_m, left_kg = [i], room_m, most_kg
        left_m, left_kg = left_m - alongs_m[i], left_kg - weights_kg[i]
    return lines + _line(loads, depths_m, weights_kg)


def _line(loads: Sequence[int], depths_m: Sequence[float], weights_kg: Sequence[float]) -> list[Line]:
    if not loads:
        return []
    return [Line(tuple(loads), sum(weights_kg[i] for i in loads), max(depths_m[i] for i in loads))]


class _RoomLeft:
    """Mass and depth left on each of a row of trips, all empty at first.

    Stored as a binary tree: the children of node n are 2 n and 2 n + 1. A node holds the largest mass, and the largest
    depth on one side, left on any trip below it, so the first trip with room is found without a scan of the row.
    """

    def __init__(self, count: int, payload_kg: float, room_m: float, sides: int) -> None:
        self.leaves = 1 << max(0, count - 1).bit_length()
        self.kg = [payload_kg] * (2 * self.leaves)
        self.m = [room_m] * (2 * self.leaves)
        self.other_side_m = [room_m if sides == 2 else 0.0] * self.leaves

    def first(self, weight_kg: float, depth_m: float) -> int:
        """First trip with room for a load that fits an empty trip."""
        node, leaves, kg, m = 1, self.leaves, self.kg, self.m
        while True:
            if weight_kg <= kg[node] + _SLACK and depth_m <= m[node] + _SLACK:
                if node >= leaves:
                    return node - leaves
                node *= 2
            else:  # go to the next subtree on the right
                while node & 1:
                    node >>= 1
                node += 1

    def take(self, trip: int, weight_kg: float, depth_m: float) -> None:
        """Add a load to the emptier side of a trip."""
        node, kg, m = trip + self.leaves, self.kg, self.m
        kg[node] -= weight_kg
        emptier_m, other_m = m[node] - depth_m, self.other_side_m[trip]
        m[node], self.other_side_m[trip] = max(emptier_m, other_m), min(emptier_m, other_m)
        while node > 1:
            most_kg, most_m = max(kg[node], kg[node ^ 1]), max(m[node], m[node ^ 1])
            node >>= 1
            if most_kg == kg[node] and most_m == m[node]:
                return  # nothing changes above this node
            kg[node], m[node] = most_kg, most_m


# --------------------------------------------------------------------------- straps


@frozen
class TieDowns:
    """Minimum tie-downs for one article on a truck."""

    count: int
    working_load_kg: float  # minimum for all of them together


def tie_downs(length_m: float, weight_kg: float) -> TieDowns:
    """Minimum number of tie-downs of one article that is not blocked, and their minimum total working load.

    length_m    length along the truck, m
    weight_kg   weight of the article with its rack or crate, kg

    One up to 5 ft and 1,100 lb. Two if heavier or up to 10 ft. Beyond 10 ft, one more for each 10 ft or fraction.
    The working load is at least half the weight. Source: 49 CFR 393.106 and 393.110.

    >>> tie_downs(12 * 0.3048, 900.0).count
    3
    """
    require_positive("length-of-the-article", length_m, "m")
    require_positive("weight-of-the-article", weight_kg, "kg")
    short = length_m <= SHORT_ARTICLE_M * (1 + _SLACK) and weight_kg <= LIGHT_ARTICLE_KG * (1 + _SLACK)
    count = 1 if short else 1 + ceil(length_m / LONG_ARTICLE_M - _SLACK)
    return TieDowns(count, TIE_DOWN(gross_kg=weight_kg))


def straps_needed(least: TieDowns, strap_kg: float) -> int:
    """Number of straps of one working load limit, kg, that meets both the count and the working load.

    A strap goes from the truck over the article to its other side, so it counts in full.

    >>> straps_needed(TieDowns(2, 900.0), 300.0)
    3
    """
    require_positive("working-load-limit-of-a-strap", strap_kg, "kg")
    return int(STRAPS(tie_downs=float(least.count), tie_down_kg=least.working_load_kg, strap_kg=strap_kg))


# --------------------------------------------------------------------------- forklift


def forklift_capacity(rated_kg: float, rated_center_m: float, load_center_m: float) -> float:
    """Capacity of a forklift with the load center farther out than rated, kg; never more than rated.

    rated_kg, rated_center_m   from the data plate, kg and m from the fork's heel
    load_center_m              center of this load, m from the fork's heel

    rated · rated center / load center. An estimate on the low side: the data plate and the maker govern.

    >>> round(forklift_capacity(5000.0, 24.0, 28.0))
    4286
    """
    require_positive("rated-capacity", rated_kg, "kg")
    require_positive("rated-load-center", rated_center_m, "m")
    require_positive("load-center", load_center_m, "m")
    return rated_kg * min(1.0, rated_center_m / load_center_m)


# --------------------------------------------------------------------------- what tips


def tips_at_g(center_height_m: float, base_m: float, offset_m: float) -> float:
    """Sideways or forward acceleration, in g, at which a piece tips over the shorter side of its base, unrestrained.

    center_height_m   height of the center of gravity above the base, m
    base_m            shorter side of the base, m
    offset_m          offset of the center of gravity from the middle of that side, m

    >>> tips_at_g(0.5, 1.0, 0.0)
    1.0
    """
    require_positive("height-of-the-center-of-gravity", center_height_m, "m")
    require_positive("base-of-the-stack", base_m, "m")
    require_within("offset-of-the-center-of-gravity", offset_m, 0.0, base_m / 2.0, "m")
    acceleration_g: float = TIPS.function(base_m=base_m, offset_m=offset_m, center_height_m=center_height_m)
    return acceleration_g


def tipping_angle(height_m: float, thickness_m: float) -> float:
    """Angle, degrees, at which an even slab on edge falls over.

    >>> round(tipping_angle(0.65, 0.025), 1)
    2.2
    """
    require_positive("height", height_m, "m")
    require_positive("thickness", thickness_m, "m")
    return degrees(atan(tips_at_g(height_m / 2.0, thickness_m, 0.0)))


Rack = Literal["A-frame", "pallet"]


@frozen
class Cargo:
    """Pieces of one mark to be moved; thin pieces stand on edge.

    weight_kg   HIGH-side transport weight of one piece
    stacks      whether it is a plate that travels flat, with others on top of it
    """

    mark: str
    quantity: int
    weight_kg: float
    size_m: tuple[float, float, float]
    on_edge: bool
    stacks: bool = False

    @property
    def foot_m(self) -> tuple[float, float]:
        """Length and width that it takes on a pallet, the longer first."""
        sizes_m = sorted(self.size_m if self.stacks else self.size_m[:2])
        return sizes_m[-1], sizes_m[-2]


@frozen
class Stand:
    """One A-frame or pallet with its load.

    sides               pieces by mark on either side of an A-frame; a pallet has one side
    length_m, depth_m   size of its footprint, pieces that stick out included
    too_large           marks of pieces larger than the pallet, or too thick for a side of the A-frame
    tie                 minimum tie-downs for it on the truck
    strap_kg            working load limit of one of the shop's straps
    forklift            its gross weight against the forklift at its load center
    """

    rack: Rack
    number: int
    pieces: Mapping[str, int]
    sides: tuple[Mapping[str, int], ...]
    length_m: float
    depth_m: float
    too_large: tuple[str, ...]
    load: StoredLoad
    tie: TieDowns
    strap_kg: float
    forklift: RatingCheck

    @property
    def name(self) -> str:
        """Name in the document: "A-frame 1"."""
        return f"{self.rack} {self.number}"

    @property
    def straps(self) -> int:
        """Number of the shop's straps that hold it on the truck."""
        return straps_needed(self.tie, self.strap_kg)


@frozen
class Trip:
    """One load of the truck.

    rows    rows of stands across the bed, from the cab back: indices into Delivery.stands
    bed_m   length of the bed that they take
    """

    rows: tuple[tuple[int, ...], ...]
    bed_m: float
    truck: RatingCheck

    @property
    def stands(self) -> tuple[int, ...]:
        """Indices into Delivery.stands, from the cab back."""
        return tuple(i for row in self.rows for i in row)


@frozen
class Delivery:
    """Load of a job by rack and by trip, checked against ratings.

    bed_m   length and width of the truck's bed
    """

    stands: tuple[Stand, ...]
    trips: tuple[Trip, ...]
    payload_kg: float
    bed_m: tuple[float, float]
    assumptions: tuple[Message, ...]

    @property
    def gross_kg(self) -> float:
        """Total weight that goes on the truck, racks included."""
        return sum(stand.load.floor_kg for stand in self.stands)

    @property
    def doubts(self) -> tuple[Doubt, ...]:
        """What is not shown to be safe, without repeats."""
        checks = [check for stand in self.stands for check in (stand.load.gross, stand.forklift)]
        checks += [trip.truck for trip in self.trips]
        doubts = [doubt for check in checks for doubt in check.doubts]
        for rack, doubt in TOO_LARGE.items():
            marks = dict.fromkeys(mark for stand in self.stands if stand.rack == rack for mark in stand.too_large)
            if marks:
                doubts.append(Doubt(doubt, _named(tuple(marks))))
        over = [stand.name for stand in self.stands if not self._fits(stand)]
        if over:
            doubts.append(Doubt("over-bed", _named(over)))
        return tuple(dict.fromkeys(doubts))

    def _fits(self, stand: Stand) -> bool:
        length_m, width_m = self.bed_m
        return stand.length_m <= length_m + _SLACK and stand.depth_m <= width_m + _SLACK


TOO_LARGE: Mapping[Rack, DoubtId] = {"A-frame": "over-rack", "pallet": "over-pallet"}
MOST_NAMED = 12


def _named(names: Sequence[str]) -> Message:
    return few(names, MOST_NAMED)


@frozen
class RackType:
    """The A-frames or the pallets of a shop.

    rating_kg           rating; None if unknown
    depth_m, length_m   size of the footprint
    """

    name: Rack
    tare_kg: float
    rating_kg: float | None
    depth_m: float
    length_m: float

    def stand(
        self,
        number: int,
        sides: Sequence[Sequence[Cargo]],
        foot_m: tuple[float, float],
        settings: Transport,
        *,
        too_large: Iterable[str],
    ) -> Stand:
        """This rack with these pieces on it, its tie-downs, and its forklift check.

        foot_m   length and depth that the pieces take
        """
        load = [piece for side in sides for piece in side]
        length_m, depth_m = max(self.length_m, foot_m[0]), max(self.depth_m, foot_m[1])
        weights_kg = [piece.weight_kg for piece in load]
        stored = stored_load(self.name, weights_kg, self.tare_kg, self.length_m * self.depth_m, self.rating_kg)
        capacity_kg = forklift_capacity(settings.forklift_rating_kg, settings.forklift_load_center_m, depth_m / 2.0)
        return Stand(
            rack=self.name,
            number=number,
            pieces=_by_mark(load),
            sides=tuple(_by_mark(side) for side in sides),
            length_m=length_m,
            depth_m=depth_m,
            too_large=tuple(dict.fromkeys(too_large)),
            load=stored,
            tie=tie_downs(length_m, stored.floor_kg),
            strap_kg=settings.strap_rating_kg,
            forklift=check_rating("forklift", stored.floor_kg, capacity_kg),
        )


def _by_mark(pieces: Sequence[Cargo]) -> dict[str, int]:
    counts: dict[str, int] = {}
    for piece in pieces:
        counts[piece.mark] = counts.get(piece.mark, 0) + 1
    return counts


def a_frame_of(settings: Transport) -> RackType:
    """The shop's A-frames."""
    rating_kg = settings.a_frame_rating_kg or None
    return RackType("A-frame", settings.a_frame_tare_kg, rating_kg, settings.a_frame_depth_m, settings.a_frame_length_m)


def pallet_of(settings: Transport) -> RackType:
    """The shop's pallets."""
    return RackType(
        "pallet",
        settings.pallet_tare_kg,
        settings.pallet_rating_kg,
        settings.pallet_width_m,
        settings.pallet_length_m,
    )


def deliver(freight: Sequence[Cargo], settings: Transport) -> Delivery:
    """Distribute the pieces among A-frames (if they travel on edge) and pallets, and those among trips.

    A rack is limited by its rating, the truck's payload, its depth and its length; a truck by its payload and its bed.
    A piece too heavy or too large for any gets its own rack or trip and is flagged. An A-frame has a rating only if
    the shop read it off its plate; otherwise it is flagged as missing.
    """
    payload_kg, bed_m = settings.truck_payload_kg, (settings.truck_bed_length_m, settings.truck_bed_width_m)
    pieces = [cargo for cargo in freight for _ in range(cargo.quantity)]
    stands = [
        *_on_a_frames([piece for piece in pieces if piece.on_edge], settings),
        *_on_pallets([piece for piece in pieces if not piece.on_edge], settings),
    ]
    return Delivery(
        tuple(stands),
        tuple(_trips(stands, payload_kg, bed_m)),
        payload_kg,
        bed_m,
        (
            message("truck-ratings"),
            message("truck-a-frames"),
            message("truck-bed-assumed", length_long_m=bed_m[0], width_long_m=bed_m[1]),
        ),
    )


def slot_depth(thickness_m: float, spacer_m: float, slot_m: float) -> float:
    """Rack depth that a piece and its spacer take, in whole slots, m.

    slot_m   width of a slot; 0 for a rack without slots

    >>> round(slot_depth(0.060, 0.025, 0.050), 3), round(slot_depth(0.060, 0.025, 0.0), 3)
    (0.1, 0.085)
    """
    depth_m = thickness_m + spacer_m
    return depth_m if slot_m <= 0.0 else slot_m * ceil(depth_m / slot_m - _SLACK)


def _on_a_frames(pieces: Sequence[Cargo], settings: Transport) -> Iterator[Stand]:
    """Yield A-frames of pieces on edge, end to end along the frame, in slots as deep as the thickest of them."""
    rack, room_m, spacer_m = a_frame_of(settings), settings.a_frame_room_m, settings.a_frame_spacer_m
    room_kg = min(rack.rating_kg or inf, settings.truck_payload_kg - rack.tare_kg)
    alongs_m = [max(piece.size_m) + spacer_m for piece in pieces]
    depths_m = [slot_depth(min(piece.size_m), spacer_m, settings.a_frame_slot_m) for piece in pieces]
    weights_kg = [piece.weight_kg for piece in pieces]
    lines = lines_of(alongs_m, depths_m, weights_kg, rack.length_m + spacer_m, room_kg)
    alike: dict[tuple[tuple[str, ...], ...], Stand] = {}
    for number, load in enumerate(_loads(lines, room_kg, room_m, 2), start=1):
        marks = tuple(tuple(pieces[i].mark for i in line.loads) for line in load)
        if marks in alike:
            yield replace(alike[marks], number=number)
            continue
        sides = [[pieces[i] for line in side for i in line.loads] for side in _even_sides(load, room_m)]
        long_m = max(sum(alongs_m[i] for i in line.loads) for line in load) - spacer_m
        too_large = [pieces[i].mark for line in load for i in line.loads if depths_m[i] > room_m + _SLACK]
        alike[marks] = rack.stand(number, sides, (long_m, 0.0), settings, too_large=too_large)
        yield alike[marks]


def _even_sides(lines: Sequence[Line], room_m: float) -> tuple[list[Line], list[Line]]:
    """Lines on both sides of an A-frame, balanced in weight as far as their depth allows, heaviest line first."""
    sides: tuple[list[Line], list[Line]] = ([], [])
    for line in sorted(lines, key=lambda line: line.weight_kg, reverse=True):
        free = [side for side in sides if sum(placed.deep_m for placed in side) + line.deep_m <= room_m + _SLACK]
        if free:
            min(free, key=lambda side: sum(placed.weight_kg for placed in side)).append(line)
        else:
            min(sides, key=lambda side: sum(placed.deep_m for placed in side)).append(line)
    return sides


def _on_pallets(pieces: Sequence[Cargo], settings: Transport) -> Iterator[Stand]:
    """Yield pallets of plates in stacks, and of upright pieces in rows across the pallet."""
    rack, gap_m = pallet_of(settings), settings.a_frame_spacer_m
    room_kg = min(rack.rating_kg or inf, settings.truck_payload_kg - rack.tare_kg)
    flat, upright = [piece for piece in pieces if piece.stacks], [piece for piece in pieces if not piece.stacks]
    stacked = [Line((i,), piece.weight_kg, min(piece.size_m) + gap_m) for i, piece in enumerate(flat)]
    feet_m = [piece.foot_m for piece in upright]
    rows = lines_of(
        [width_m + gap_m for _, width_m in feet_m],
        [length_m + gap_m for length_m, _ in feet_m],
        [piece.weight_kg for piece in upright],
        rack.depth_m + gap_m,
        room_kg,
    )
    loads = [
        *((flat, load) for load in _loads(stacked, room_kg, settings.pallet_stack_m, 1)),
        *((upright, load) for load in _loads(rows, room_kg, rack.length_m + gap_m, 1)),
    ]
    for number, (cargo, load) in enumerate(loads, start=1):
        loaded = [cargo[i] for line in load for i in line.loads]
        long_m, wide_m = (max(piece.foot_m[side] for piece in loaded) for side in (0, 1))
        too_large = [
            piece.mark
            for piece in loaded
            if piece.foot_m[0] > rack.length_m + _SLACK or piece.foot_m[1] > rack.depth_m + _SLACK
        ]
        yield rack.stand(number, [loaded], (long_m, wide_m), settings, too_large=too_large)


def _loads(lines: Sequence[Line], room_kg: float, room_m: float, sides: Literal[1, 2]) -> list[list[Line]]:
    """Lines by rack. A line too heavy for a rack gets its own."""
    fit = [line for line in lines if line.weight_kg <= room_kg]
    depths_m = [line.deep_m for line in fit]
    groups = truck_trips([line.weight_kg for line in fit], room_kg, depths_m, room_m, sides) if fit else ()
    return [[fit[i] for i in group] for group in groups] + [[line] for line in lines if line.weight_kg > room_kg]


def _trips(stands: Sequence[Stand], payload_kg: float, bed_m: tuple[float, float]) -> Iterator[Trip]:
    """Yield trips of stands in rows across the bed. A stand over the payload or the bed gets its own trip."""
    length_m, width_m = bed_m
    weights_kg = [stand.load.floor_kg for stand in stands]
    rows = lines_of(
        [stand.depth_m for stand in stands], [stand.length_m for stand in stands], weights_kg, width_m, payload_kg
    )
    for load in _loads(rows, payload_kg, length_m, 1):
        gross_kg, taken_m = sum(row.weight_kg for row in load), sum(row.deep_m for row in load)
        yield Trip(tuple(row.loads for row in load), taken_m, check_rating("truck", gross_kg, payload_kg))


def stance_of(solid: Solid, center_m: Vector, *, on_edge: bool) -> dict[str, float]:
    """Arguments of `tips_at_g` for a piece as it stands on the truck, m.

    center_m   center of gravity in transport, in the piece's own axes

    A plate on edge stands on its longest edge, with its center of gravity assumed at mid-thickness and mid-height.
    """
    if on_edge:
        thin_m, high_m, _ = sorted(solid.size_m)
        return {"center_height_m": high_m / 2.0, "base_m": thin_m, "offset_m": 0.0}
    axis = 0 if solid.size_m[0] < solid.size_m[1] else 1
    base_m, at_m = solid.size_m[axis], center_m[axis] - solid.lowest_m[axis]
    return {
        "center_height_m": center_m[2] - solid.lowest_m[2],
        "base_m": base_m,
        "offset_m": min(abs(at_m - base_m / 2.0), base_m / 2.0),
    }


def tips_at_deg(size_m: tuple[float, float, float]) -> float:
    """Angle at which a thin piece on its longest edge falls over, degrees. Such a piece is always restrained."""
    thin_m, high_m, _ = sorted(size_m)
    return tipping_angle(high_m, thin_m)


def delivery_workings(delivery: Delivery) -> Iterator[Working]:
    """Yield the workings of the rack loads and straps."""
    for stand in delivery.stands:
        at, gross_kg, pieces_kg = f"delivery.stands.{stand.name}", stand.load.floor_kg, stand.load.gross.load_kg
        yield GROSS.working(f"{at}.gross_kg", pieces_kg=pieces_kg, rack_kg=gross_kg - pieces_kg)
        yield TIE_DOWN.working(f"{at}.tie_down_kg", gross_kg=gross_kg)
        tie = {"tie_downs": float(stand.tie.count), "tie_down_kg": stand.tie.working_load_kg}
        yield STRAPS.working(f"{at}.straps", **tie, strap_kg=stand.strap_kg)
