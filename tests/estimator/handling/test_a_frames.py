"""An A-frame is full by depth as well as by weight."""

from __future__ import annotations

from math import atan, ceil, degrees

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.handling.transport import truck_trips
from tests.estimator.handling.conftest import SLAB, piece


def test_thick_pieces_fill_the_frame_before_they_are_too_heavy(done) -> None:
    text = piece(SLAB, "quantity = 6")
    roomy = done(text + '[workshop.transport]\na_frame_room = "600 mm"\na_frame_spacer = "25 mm"\n')
    tight = done(text + '[workshop.transport]\na_frame_room = "60 mm"\na_frame_spacer = "25 mm"\n')
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


def test_straps_of_the_shop_meet_number_and_working_load(done) -> None:
    # source: 49 CFR 393.110 (read) and 393.106 (read): number by length, half of the load together
    text = piece(SLAB, "quantity = 6")
    strong, weak = (
        done(text + f'[workshop.transport]\nstrap_rating = "{rating}"\n').delivery.stands[0]
        for rating in ("3000 lb", "50 lb")
    )
    assert strong.straps == strong.tie.count
    assert weak.straps == ceil(weak.load.floor_kg / 2 / (50 * 0.45359237)) > weak.tie.count


def test_a_planter_tips_on_the_truck_by_where_it_balances(done) -> None:
    box = '{ kind = "box", length = "800 mm", width = "400 mm", height = "600 mm", wall = "20 mm", base = "30 mm" }'
    (planter,) = done(piece(box, use="planter")).pieces
    # statics: half the narrower foot over the height of the center of gravity, which an open box has below its middle
    assert planter.handling.tips_at_g == pytest.approx(0.2 / planter.weight.centers_m["transport"][2])
    assert planter.handling.tips_at_g > 0.4 / 0.6
    (slab,) = done(piece(SLAB)).pieces
    assert degrees(atan(slab.handling.tips_at_g)) == pytest.approx(slab.handling.tips_at_deg)
