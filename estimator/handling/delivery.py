"""The finished pieces of a job on racks and pallets, and those on the truck: loads, trips, straps."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import inf, isinf
from typing import Literal

from estimator.handling.doubts import Doubt
from estimator.handling.ratings import RatingCheck, check_rating
from estimator.handling.transport import (
    StoredLoad,
    TieDowns,
    forklift_capacity,
    stored_load,
    tie_downs,
    tipping_angle,
    truck_trips,
)

Rack = Literal["A-frame", "pallet"]


@dataclass(frozen=True, slots=True)
class Freight:
    """Pieces of one mark to be moved: of one, the HIGH-side transport weight; thin pieces stand on edge."""

    mark: str
    quantity: int
    weight_kg: float
    size_m: tuple[float, float, float]
    on_edge: bool


@dataclass(frozen=True, slots=True)
class Stand:
    """One A-frame or pallet with what stands on it.

    tie        the least straps for it on the truck
    forklift   its gross weight against the forklift at its load centre
    """

    name: str
    rack: Rack
    pieces: Mapping[str, int]
    load: StoredLoad
    tie: TieDowns
    forklift: RatingCheck


@dataclass(frozen=True, slots=True)
class Trip:
    stands: tuple[int, ...]  # into Delivery.stands
    truck: RatingCheck


@dataclass(frozen=True, slots=True)
class Delivery:
    """The job's load by rack, by trip, and by what is over a rating or has none."""

    stands: tuple[Stand, ...]
    trips: tuple[Trip, ...]
    payload_kg: float
    assumptions: tuple[str, ...]

    @property
    def doubts(self) -> tuple[Doubt, ...]:
        """What is not shown to be safe, each once."""
        checks = [check for stand in self.stands for check in (stand.load.gross, stand.forklift)]
        checks += [trip.truck for trip in self.trips]
        return tuple(dict.fromkeys(doubt for check in checks for doubt in check.doubts))


def deliver(freight: Sequence[Freight], figures: Mapping[str, float]) -> Delivery:
    """Share the pieces among A-frames (what travels on edge) and pallets, and those among trips.

    A rack takes what its rating, the truck's payload and, on the two sides of an A-frame, its depth leave it; a piece
    too heavy for either has one of its own and is told. The A-frame has no rating unless the workshop read it off its
    plate: then it is told that it is missing.
    """
    payload_kg = figures["transport.truck_payload"]
    stands: list[Stand] = []
    for rack in ("A-frame", "pallet"):
        carried = [each for each in freight if each.on_edge == (rack == "A-frame")]
        if carried:
            stands += _stands(rack, carried, payload_kg, figures)
    fitting = [i for i, stand in enumerate(stands) if stand.load.floor_kg <= payload_kg]
    packed = truck_trips([stands[i].load.floor_kg for i in fitting], payload_kg)
    trips = [tuple(fitting[k] for k in trip) for trip in packed]
    trips += [(i,) for i in range(len(stands)) if i not in set(fitting)]
    return Delivery(
        tuple(stands),
        tuple(
            Trip(trip, check_rating("truck", sum(stands[i].load.floor_kg for i in trip), payload_kg)) for trip in trips
        ),
        payload_kg,
        (
            "ratings of truck, pallet and forklift are the workshop's figures: read them off the plates",
            "A-frames: load both sides evenly, chock them, and strap the pieces before the truck moves or opens",
            "trips by weight: whether the racks find room on the bed is for the driver",
        ),
    )


def _stands(rack: Rack, carried: Sequence[Freight], payload_kg: float, figures: Mapping[str, float]) -> list[Stand]:
    if rack == "A-frame":
        own_kg, rating_kg, depth_m = (
            figures["transport.a_frame_tare"],
            figures["transport.a_frame_rating"] or None,
            figures["transport.a_frame_depth"],
        )
    else:
        own_kg, rating_kg, depth_m = (
            figures["transport.pallet_tare"],
            figures["transport.pallet_rating"],
            figures["transport.pallet_width"],
        )
    room_kg = min(rating_kg or float("inf"), payload_kg - own_kg)
    single = [each for each in carried for _ in range(each.quantity)]
    fits = [each for each in single if each.weight_kg <= room_kg]
    depths_m, room_m = None, inf
    if rack == "A-frame":
        depths_m = [min(each.size_m) + figures["transport.a_frame_spacer"] for each in fits]
        room_m = figures["transport.a_frame_room"]
    groups = (
        []
        if isinf(room_kg) or room_kg <= 0.0
        else truck_trips([each.weight_kg for each in fits], room_kg, depths_m, room_m)
    )
    loads = [[fits[i] for i in group] for group in groups] + [[each] for each in single if each.weight_kg > room_kg]
    return [
        _stand(f"{rack} {number}", rack, load, own_kg, rating_kg, depth_m, figures)
        for number, load in enumerate(loads, start=1)
    ]


def _stand(
    name: str,
    rack: Rack,
    load: Sequence[Freight],
    own_kg: float,
    rating_kg: float | None,
    depth_m: float,
    figures: Mapping[str, float],
) -> Stand:
    longest_m = max(max(each.size_m) for each in load)
    foot_m = longest_m if rack == "A-frame" else max(figures["transport.pallet_length"], longest_m)
    deep_m = max(depth_m, *(sorted(each.size_m)[1] for each in load)) if rack == "pallet" else depth_m
    pieces: dict[str, int] = {}
    for each in load:
        pieces[each.mark] = pieces.get(each.mark, 0) + 1
    footprint_m2 = (
        foot_m * depth_m
        if rack == "A-frame"
        else figures["transport.pallet_length"] * figures["transport.pallet_width"]
    )
    stored = stored_load(rack, [each.weight_kg for each in load], own_kg, footprint_m2, rating_kg)
    capacity_kg = forklift_capacity(
        figures["transport.forklift_rating"], figures["transport.forklift_load_centre"], deep_m / 2.0
    )
    return Stand(
        name,
        rack,
        pieces,
        stored,
        tie_downs(foot_m, stored.floor_kg),
        check_rating("forklift", stored.floor_kg, capacity_kg),
    )


def tips_at_deg(size_m: tuple[float, float, float]) -> float:
    """Angle at which a thin piece that stands on its longest edge falls over, degrees: always restrained."""
    thin_m, high_m, _ = sorted(size_m)
    return tipping_angle(high_m, thin_m)
