"""Pallets: how many, how heavy, and which the shop cannot lift."""

from dataclasses import replace
from math import ceil

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.errors import FaultError
from estimator.job import Pack
from estimator.packaging.freight import PalletKind, pallets
from estimator.packaging.order import order
from estimator.packaging.price import line_of
from tests.refusal import words_of

LB, INCH = 0.45359237, 0.0254
# size: 48 × 40 in = 1219 × 1016 mm; the rating is the maker's, 2,500 to 4,600 lb are quoted
KIND = PalletKind(mass_kg=40 * LB, length_m=48 * INCH, width_m=40 * INCH, rated_kg=2500 * LB)


def pack(name, mass_kg, per_pallet):
    return Pack(name, mass_kg, None, None, 10.0, per_pallet=per_pallet)


def lines(*counted):
    return [("cement", line_of(one, one.mass_kg, count, 0)) for one, count in counted]


def test_two_sacks_of_beads_share_a_pallet():
    # common practice: a sack of about 50 ft³ and 150 lb, two to a pallet
    sack = pack("sack", 150 * LB, 2)
    made = order(160 * LB, [sack])
    assert [line.count for line in made.lines] == [2]
    standing = pallets([("bead", line) for line in made.lines], KIND)
    assert standing.count == 1
    assert standing.gross_kg == pytest.approx(340 * LB)


def test_each_line_starts_a_pallet_of_its_own():
    standing = pallets(lines((pack("bag", 94 * LB, 24), 25), (pack("sack", 50 * LB, 40), 10)), KIND)
    assert standing.count == 3
    assert [load.packs for load in standing.loads] == [
        (("cement", "bag", 24),),
        (("cement", "bag", 1),),
        (("cement", "sack", 10),),
    ]
    assert standing.gross_kg == pytest.approx((25 * 94 + 10 * 50 + 3 * 40) * LB)
    assert standing.footprint_m2 == pytest.approx(3 * 1.2192 * 1.016)


def test_lines_that_fill_no_pallet_share_one_on_request_within_its_rating():
    counted = lines((pack("bag", 94 * LB, 24), 25), (pack("sack", 50 * LB, 40), 10))
    assert pallets(counted, KIND, mixed=True).count == 2
    weak = PalletKind(KIND.mass_kg, KIND.length_m, KIND.width_m, 1000 * LB)
    heavy = lines((pack("a", 600 * LB, 1), 1), (pack("b", 300 * LB, 3), 2))
    assert pallets(heavy, weak, mixed=True).count == 2


def test_three_thirds_fill_one_pallet():
    thirds = lines(*((pack(name, 10.0, 3), 1) for name in "abc"))
    assert pallets(thirds, KIND, mixed=True).count == 1


def test_a_load_over_the_lift_limit_is_flagged_with_its_pallet_included():
    counted = lines((pack("bag", 50.0, 10), 12))
    limit = 10 * 50.0 + KIND.mass_kg
    assert pallets(counted, KIND, limit).over_limit == ()
    assert pallets(counted, KIND, limit - 0.01).over_limit == (0,)


def test_no_pallet_is_stacked_over_its_rating_unless_a_single_pack_exceeds_it():
    full, begun = pallets(lines((pack("bag", 94 * LB, 27), 28)), KIND).loads  # 27 × 94 lb = 2538 lb, over 2500 lb
    assert [load.packs[0][2] for load in (full, begun)] == [26, 2]
    assert (full.over_rating, begun.over_rating) == (False, False)
    (alone,) = pallets(lines((pack("block", 2600 * LB, 2), 1)), KIND, mixed=True).loads
    assert alone.over_rating


def test_a_pallet_without_a_size_is_refused():
    with pytest.raises(FaultError) as error:
        pallets([], PalletKind(20.0, 0.0, 1.0, 1000.0))
    assert error.value.key == "pallet.length_m"


@pytest.mark.parametrize("lift_limit_kg", [0.0, -1.0, float("nan")])
def test_a_lift_limit_of_nothing_is_refused(lift_limit_kg):
    with pytest.raises(FaultError) as error:
        pallets([], KIND, lift_limit_kg)
    assert error.value.key == "pallet.lift_limit"
    assert words_of(error.value)


@pytest.mark.parametrize("name", ["mass_kg", "length_m", "width_m", "rated_kg"])
@pytest.mark.parametrize("value", [-1.0, 0.0, float("nan")])
def test_a_pallet_that_nobody_can_have_is_refused_by_the_key_of_its_figure(name, value):
    if name == "mass_kg" and value == 0.0:  # not known
        assert pallets([], replace(KIND, mass_kg=0.0)).count == 0
        return
    with pytest.raises(FaultError) as error:
        pallets([], replace(KIND, **{name: value}))
    assert error.value.key == f"pallet.{name}"
    assert words_of(error.value)


def test_packs_without_a_pallet_count_ship_loose_and_add_their_weight():
    standing = pallets(lines((pack("drum", 220.0, None), 2)), KIND)
    assert (standing.count, standing.gross_kg, standing.loose) == (0, 440.0, (("cement", "drum", 2),))


def test_packs_of_unknown_mass_take_room_on_a_pallet_and_nothing_of_its_rating():
    weak = PalletKind(20.0, 1.2, 1.0, 10.0)
    counted = [("film", line_of(Pack("roll", None, None, 100.0, 10.0, per_pallet=40), 100.0, 30, 0))]
    standing = pallets(counted, weak, mixed=True)
    assert (standing.count, standing.fewest, standing.gross_kg) == (1, 1, 20.0)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(st.integers(1, 9), st.integers(1, 20)), min_size=1, max_size=6))
def test_packs_of_unknown_mass_never_share_more_than_the_floor(drawn):
    rolls = [Pack(f"p{n}", None, None, 100.0, 10.0, per_pallet=on_one) for n, (on_one, _) in enumerate(drawn)]
    counted = [("film", line_of(roll, 100.0, count, 0)) for roll, (_, count) in zip(rolls, drawn, strict=True)]
    standing = pallets(counted, KIND, mixed=True)
    for load in standing.loads:
        assert sum(count / drawn[int(name[1:])][0] for _, name, count in load.packs) <= 1 + 1e-8
    assert sum(count for load in standing.loads for *_, count in load.packs) == sum(count for _, count in drawn)
    assert standing.fewest <= standing.count


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(st.integers(1, 12), st.integers(1, 40), st.floats(1.0, 90.0)), max_size=5), st.booleans())
def test_every_pack_stands_somewhere_and_no_pallet_is_overloaded(drawn, mixed):
    counted = lines(*((pack(f"p{n}", kg, on_one), count) for n, (on_one, count, kg) in enumerate(drawn)))
    standing = pallets(counted, KIND, mixed=mixed)
    placed = {}
    for load in standing.loads:
        share = 0.0
        for _, name, count in load.packs:
            placed[name] = placed.get(name, 0) + count
            share += count / drawn[int(name[1:])][0]
        assert share <= 1 + 1e-8
        assert load.gross_kg - KIND.mass_kg <= KIND.rated_kg * (1 + 1e-8)
    assert placed == {line.pack.name: line.count for _, line in counted}
    apart = sum(ceil(count / on_one) for on_one, count, _ in drawn)
    assert standing.fewest <= standing.count <= apart
    assert mixed or standing.count == apart


@settings(max_examples=100, deadline=None)
@given(
    st.lists(st.tuples(st.integers(1, 9), st.integers(1, 30), st.floats(1.0, 400.0)), min_size=1, max_size=4),
    st.sampled_from([150.0, 250.0, 900.0]),
    st.one_of(st.none(), st.floats(50.0, 900.0)),
    st.booleans(),
)
def test_loads_are_weighed_and_flagged_pallet_by_pallet(drawn, rated_kg, lift_limit_kg, mixed):
    """A pallet may be too weak for a single pack, which then stands alone on one, and is flagged."""
    kind = replace(KIND, rated_kg=rated_kg)
    counted = lines(*((pack(f"p{n}", kg, on_one), count) for n, (on_one, count, kg) in enumerate(drawn)))
    loose = [("form-oil", line_of(pack("drum", 200.0, None), 200.0, 2, 0))]
    standing = pallets([*counted, *loose], kind, lift_limit_kg, mixed)
    masses = {f"p{n}": kg for n, (_, _, kg) in enumerate(drawn)}
    for number, load in enumerate(standing.loads):
        goods_kg = sum(count * masses[name] for _, name, count in load.packs)
        assert load.gross_kg == pytest.approx(goods_kg + kind.mass_kg)
        assert load.over_rating == (goods_kg > rated_kg * (1 + 1e-9))
        assert not load.over_rating or sum(count for *_, count in load.packs) == 1
        assert load.over_limit == (number in standing.over_limit)
        assert load.over_limit == (lift_limit_kg is not None and load.gross_kg > lift_limit_kg)
    goods_kg = sum(count * kg for _, count, kg in drawn) + 400.0
    assert standing.gross_kg == pytest.approx(goods_kg + standing.count * kind.mass_kg)
    assert standing.footprint_m2 == pytest.approx(standing.count * kind.length_m * kind.width_m)
    assert standing.loose == (("form-oil", "drum", 2),)
    # first principles: no pallet takes more than its floor or its rating, and a pack over the rating has one alone
    floor = sum(
        count / (min(on_one, int(rated_kg * (1 + 1e-9) / kg)) if kg <= rated_kg else 1) for on_one, count, kg in drawn
    )
    rating = sum(count * min(kg, rated_kg) for _, count, kg in drawn) / rated_kg
    if mixed:
        assert standing.fewest == ceil(max(floor, rating) - 1e-9)
    assert standing.fewest <= standing.count
