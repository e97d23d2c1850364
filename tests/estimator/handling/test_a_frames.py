"""Racks, pallets and trucks fill by depth, length and width as well as by weight."""

from __future__ import annotations

from dataclasses import replace
from math import atan, ceil, degrees

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator import job_from
from estimator.handling.doubts import Doubt
from estimator.handling.transport import Cargo, deliver, lines_of, slot_depth, truck_trips
from geometry.message import message
from tests.estimator.handling.conftest import SLAB, piece


def test_thick_pieces_fill_the_frame_before_their_weight_does(estimate_job) -> None:
    text = piece(SLAB, "quantity = 6")
    roomy = estimate_job(text + '[workshop.transport]\na_frame_room = "600 mm"\na_frame_spacer = "25 mm"\n')
    tight = estimate_job(text + '[workshop.transport]\na_frame_room = "60 mm"\na_frame_spacer = "25 mm"\n')
    # 25 mm and a spacer of 25 mm each: one on either side of 60 mm
    assert len(roomy.delivery.stands) < len(tight.delivery.stands) == 3
    for stand in tight.delivery.stands:
        assert sum(stand.pieces.values()) == 2


@given(st.lists(st.tuples(st.floats(1, 100), st.floats(0.01, 0.3)), min_size=1, max_size=20))
def test_no_rack_is_over_its_weight_or_its_depth_and_nothing_is_left(loads):
    trips = truck_trips([kg for kg, _ in loads], 150.0, [m for _, m in loads], 0.3)  # 0.3 m on either side
    assert sorted(i for trip in trips for i in trip) == list(range(len(loads)))
    for trip in trips:
        assert sum(loads[i][0] for i in trip) <= 150.0 + 1e-6
        assert sum(loads[i][1] for i in trip) <= 0.6 + 1e-6


def test_three_thick_pieces_do_not_share_two_sides_that_take_one_each() -> None:
    assert [len(trip) for trip in truck_trips([1.0, 1.0, 1.0], 9.0, [0.2, 0.2, 0.2], 0.3)] == [2, 1]


def test_the_shops_straps_meet_number_and_working_load(estimate_job) -> None:
    # source: 49 CFR 393.110 (read) and 393.106 (read): number by length, half of the load together
    text = piece(SLAB, "quantity = 6")
    strong, weak = (
        estimate_job(text + f'[workshop.transport]\nstrap_rating = "{rating}"\n').delivery.stands[0]
        for rating in ("3000 lb", "50 lb")
    )
    assert strong.straps == strong.tie.count
    assert weak.straps == ceil(weak.load.floor_kg / 2 / (50 * 0.45359237)) > weak.tie.count


def test_a_planter_on_the_truck_tips_by_its_center_of_gravity(estimate_job) -> None:
    box = '{ kind = "box", length = "800 mm", width = "400 mm", height = "600 mm", wall = "20 mm", base = "30 mm" }'
    (planter,) = estimate_job(piece(box, use="planter")).pieces
    # statics: half the narrower foot over the height of the center of gravity, which an open box has below its middle
    assert planter.handling.tips_at_g == pytest.approx(0.2 / planter.weight.centers_m["transport"][2])
    assert planter.handling.tips_at_g > 0.4 / 0.6
    (slab,) = estimate_job(piece(SLAB)).pieces
    assert degrees(atan(slab.handling.tips_at_g)) == pytest.approx(slab.handling.tips_at_deg)


PLATE = {"mark": "S1", "shape": {"kind": "slab", "length": "1.2 m", "width": "600 mm", "thickness": "25 mm"}}
TRANSPORT = replace(
    job_from({"job": {"name": "Racks", "mix": "backer-0"}, "piece": [PLATE]}).workshop.transport,
    truck_payload_kg=20_000.0,
    truck_bed_length_m=6.0,
    truck_bed_width_m=2.3,
    a_frame_rating_kg=5_000.0,
    a_frame_tare_kg=80.0,
    a_frame_length_m=2.4,
    a_frame_depth_m=1.2,
    a_frame_room_m=0.5,
    a_frame_spacer_m=0.02,
    a_frame_slot_m=0.0,
    pallet_length_m=1.2,
    pallet_width_m=1.0,
    pallet_rating_kg=1_500.0,
    pallet_tare_kg=25.0,
    pallet_stack_m=0.6,
)


def panels(count: int, thickness_m: float, length_m: float = 2.4, kg: float = 40.0) -> Cargo:
    return Cargo("W1", count, kg, (length_m, 1.0, thickness_m), on_edge=True)


def test_39_panels_of_60_mm_do_not_stand_on_a_frame_of_1_2_m() -> None:
    # 60 mm and a spacer of 20 mm: six on either side of 0.5 m, twelve on a frame, however light they are
    estimated = deliver([panels(39, 0.060)], TRANSPORT)
    assert [sum(stand.pieces.values()) for stand in estimated.stands] == [12, 12, 12, 3]
    for stand in estimated.stands:
        assert all(sum(side.values()) * 0.08 <= 0.5 + 1e-9 for side in stand.sides)


def test_a_piece_takes_whole_slots() -> None:
    assert slot_depth(0.025, 0.025, 0.05) == pytest.approx(0.05), "exactly one slot is one slot"
    assert slot_depth(0.026, 0.025, 0.05) == pytest.approx(0.10)
    slotted = replace(TRANSPORT, a_frame_slot_m=0.05)
    # 60 mm and 20 mm take two slots of 50 mm: five on either side of 0.5 m
    assert [sum(stand.pieces.values()) for stand in deliver([panels(39, 0.060)], slotted).stands] == [10, 10, 10, 9]


def test_short_pieces_stand_end_to_end_along_the_length_of_the_frame() -> None:
    # two of 1.19 m with a spacer between them fill 2.4 m; two of 1.2 m do not
    short, long = (deliver([panels(24, 0.060, length_m)], TRANSPORT) for length_m in (1.19, 1.2))
    assert len(short.stands) == 1
    assert len(long.stands) == 2


def test_both_sides_of_a_frame_are_loaded_as_evenly_as_whole_pieces_allow() -> None:
    (stand,) = deliver([panels(7, 0.060)], TRANSPORT).stands
    first, second = (sum(side.values()) for side in stand.sides)
    assert abs(first - second) == 1


def test_a_piece_thicker_than_a_side_has_a_frame_of_its_own_and_is_reported() -> None:
    estimated = deliver([panels(2, 0.6)], TRANSPORT)
    assert [sum(stand.pieces.values()) for stand in estimated.stands] == [1, 1]
    assert Doubt("over-rack", message("marks", marks="W1", more=0)) in estimated.doubts


def test_what_shares_a_frame_with_a_piece_too_thick_for_a_side_is_not_named() -> None:
    thick = Cargo("W2", 1, 50.0, (2.0, 0.6, 0.5), on_edge=True)
    estimated = deliver([panels(3, 0.060), thick], TRANSPORT)
    assert {"W1", "W2"} in [set(stand.pieces) for stand in estimated.stands]
    assert [doubt.message for doubt in estimated.doubts if doubt.id == "over-rack"] == [
        Doubt("over-rack", message("marks", marks="W2", more=0)).message
    ]


def upright(count: int, length_m: float, width_m: float, kg: float = 50.0) -> Cargo:
    return Cargo("P1", count, kg, (length_m, width_m, 0.5), on_edge=False)


def test_pallets_fill_by_floor_area_and_stacks_by_height() -> None:
    # 0.9 x 0.4 m on 1.2 x 1.0 m: two abreast, one row along
    assert [sum(s.pieces.values()) for s in deliver([upright(5, 0.9, 0.4)], TRANSPORT).stands] == [2, 2, 1]
    # 0.55 x 0.45: two abreast and two rows
    assert [sum(s.pieces.values()) for s in deliver([upright(5, 0.55, 0.45)], TRANSPORT).stands] == [4, 1]
    # plates of 30 mm that travel flat, with 20 mm between them: twelve in 0.6 m
    plates = Cargo("S1", 13, 20.0, (1.1, 0.6, 0.03), on_edge=False, stacks=True)
    assert [sum(s.pieces.values()) for s in deliver([plates], TRANSPORT).stands] == [12, 1]


def test_a_piece_larger_than_the_pallet_or_the_truck_bed_is_reported() -> None:
    estimated = deliver([upright(1, 1.5, 0.4)], TRANSPORT)
    assert Doubt("over-pallet", message("marks", marks="P1", more=0)) in estimated.doubts
    assert estimated.stands[0].length_m == 1.5
    long = deliver([panels(1, 0.03, length_m=7.0)], TRANSPORT)
    assert [doubt.id for doubt in long.doubts if doubt.id == "over-bed"] == ["over-bed"]
    assert not [doubt for doubt in deliver([panels(1, 0.03)], TRANSPORT).doubts if doubt.id == "over-bed"]


def test_a_truck_is_full_when_its_bed_is() -> None:
    # frames of 2.4 x 1.2 m: one abreast on 2.3 m, two along 6 m
    estimated = deliver([panels(39, 0.060)], TRANSPORT)
    assert [trip.stands for trip in estimated.trips] == [(0, 1), (2, 3)]
    wide = deliver([panels(39, 0.060)], replace(TRANSPORT, truck_bed_width_m=2.4))
    assert [trip.rows for trip in wide.trips] == [((0, 1), (2, 3))]


cargo = st.builds(
    Cargo,
    st.sampled_from(["A", "B", "C"]),
    st.integers(1, 6),
    st.floats(5.0, 400.0),
    st.tuples(st.floats(0.2, 3.0), st.floats(0.2, 1.5), st.floats(0.01, 0.7)),
    on_edge=st.booleans(),
)


@given(st.lists(cargo, min_size=1, max_size=8))
def test_everything_is_loaded_once_and_only_a_single_piece_may_exceed_its_room(freight: list[Cargo]) -> None:
    estimated = deliver(freight, TRANSPORT)
    loaded: dict[str, int] = {}
    for stand in estimated.stands:
        for mark, count in stand.pieces.items():
            loaded[mark] = loaded.get(mark, 0) + count
        both = [count for side in stand.sides for count in side.values()]
        assert sum(both) == sum(stand.pieces.values())
    wanted: dict[str, int] = {}
    for lot in freight:
        wanted[lot.mark] = wanted.get(lot.mark, 0) + lot.quantity
    assert loaded == wanted
    assert sorted(i for trip in estimated.trips for i in trip.stands) == list(range(len(estimated.stands)))
    for trip in estimated.trips:
        if len(trip.stands) > 1:
            assert trip.bed_m <= 6.0 + 1e-6
            assert trip.truck.load_kg <= 20_000.0
        for row in trip.rows:
            if len(row) > 1:
                assert sum(estimated.stands[i].depth_m for i in row) <= 2.3 + 1e-6


@given(st.lists(st.tuples(st.floats(0.1, 3.0), st.floats(0.01, 0.5), st.floats(1.0, 90.0)), min_size=1, max_size=20))
def test_no_row_is_longer_than_its_room_unless_it_is_a_single_piece(items: list[tuple[float, float, float]]) -> None:
    alongs_m, depths_m, weights_kg = zip(*items, strict=True)
    lines = lines_of(alongs_m, depths_m, weights_kg, 2.4, 100.0)
    assert sorted(i for line in lines for i in line.loads) == list(range(len(items)))
    for line in lines:
        assert line.deep_m == max(depths_m[i] for i in line.loads)
        if len(line.loads) > 1:
            assert sum(alongs_m[i] for i in line.loads) <= 2.4 + 1e-6
            assert line.weight_kg <= 100.0 + 1e-6
