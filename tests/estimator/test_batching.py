"""Pours and batches: whole pieces per batch, masses to the step of the scale, nothing lost."""

from collections.abc import Callable, Sequence
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator import job_from
from estimator.batching import capacity_m3, placing_of, plan_batches, plan_pours, to_scale
from estimator.batching.loading import Loading, scale_error, steps_of
from estimator.batching.placing import pot_life_s
from estimator.batching.rounds import Filling, Making, Room, Share, fill, pour_list, round_of, rounds_of, staffed
from estimator.commands.jobs import estimate_file
from estimator.errors import InputError
from estimator.estimate import survey
from estimator.intake import read_job
from estimator.job import Scale
from estimator.mix import make, yield_of
from estimator.mix.proportions import recipe_of_weighed
from estimator.words import PLAIN

POUND_KG, GRAM_KG = 0.45359237, 0.001
SCALES = (Scale(0.1 * GRAM_KG, 0.5), Scale(GRAM_KG, 10 * POUND_KG), Scale(0.1 * POUND_KG, None))
HEAD = '[job]\nname = "Batches"\nmix = "backer-45"\nwaste = 0.10\n'
Write = Callable[[str], Path]


def slab(mark: str, length: str, more: str = "") -> str:
    return (
        f'[[piece]]\nmark = "{mark}"\n{more}\n'
        f'shape = {{ kind = "slab", length = "{length}", width = "24 in", thickness = "1 in" }}\n'
    )


def planned(path: Path):  # type: ignore[no-untyped-def]
    job = read_job(path).sound()
    takeoff, mixes, _ = survey(job)
    return job, takeoff, mixes, plan_batches(job, takeoff, mixes)


def test_two_pieces_from_one_form_take_two_days(write_job: Write) -> None:
    _, takeoff, _, _ = planned(write_job(HEAD + slab("A", "4 ft", "quantity = 2\nforms = 1")))
    assert [(p.day, p.casts[0].count) for p in plan_pours(takeoff)] == [(1, 1), (2, 1)]


def test_a_named_pour_has_a_day_of_its_own_after_the_unnamed_one(write_job: Write) -> None:
    text = HEAD + slab("A", "4 ft", 'pour = "lid"') + slab("B", "4 ft", "quantity = 3\nforms = 2")
    _, takeoff, _, _ = planned(write_job(text))
    pours = plan_pours(takeoff)
    assert [(p.name, p.day, [(c.mark, c.count) for c in p.casts]) for p in pours] == [
        ("day 1", 1, [("B", 2)]),
        ("day 2", 2, [("B", 1)]),
        ("lid", 3, [("A", 1)]),
    ]


@pytest.mark.parametrize(("extra", "pours"), [(0, 200), (1, 1)])
def test_more_than_200_days_alike_are_one_pour_of_many_days(write_job: Write, extra: int, pours: int) -> None:
    count = 200 + extra
    text = HEAD + slab("A", "4 ft", f"quantity = {count}\nforms = 1")
    _, takeoff, _, batching = planned(write_job(text))
    found = plan_pours(takeoff)
    assert (len(found), sum(pour.days for pour in found), found[0].day) == (pours, count, 1)
    assert [PLAIN.text(label) for label in pour_list(found)] == [f"days 1–{count}"]
    assert {batch.days for batch in batching.batches} == {found[0].days}
    assert sum(batch.count * len(batch.marks) for batch in batching.batches) == count
    if extra:
        assert (found[0].name, PLAIN.text(found[0].label)) == ("days 1 to 201", "Days 1–201")


def test_batches_hold_the_volume_of_the_pieces_with_waste_and_loss(write_job: Write) -> None:
    text = HEAD + slab("A", "3 ft", "quantity = 5\nforms = 5") + '[workshop]\nloss_per_batch = "2 lb"\n'
    _, takeoff, mixes, batching = planned(write_job(text))
    cast_m3 = sum(t.piece.quantity * layer.cast_m3 for t in takeoff.pieces for layer in t.layers)
    count = sum(batch.count for batch in batching.batches)
    loss_m3 = count * 2 * POUND_KG / mixes["backer-45"].fresh_density_kg_m3
    assert batching.batch_m3["backer-45"] == pytest.approx(cast_m3 + loss_m3, rel=1e-12)


def test_a_batch_never_exceeds_the_mixer(write_job: Write) -> None:
    text = HEAD + slab("A", "5 ft", "quantity = 7\nforms = 7") + slab("B", "2 ft", "quantity = 4\nforms = 4")
    job, _, mixes, batching = planned(write_job(text))
    most = capacity_m3(mixes["backer-45"], job.workshop)
    assert all(batch.volume_m3 <= most * (1 + 1e-9) for batch in batching.batches)
    for batch in batching.batches:
        assert batch.loose_m3 <= 3 * 0.3048**3 * 0.65 * (1 + 1e-9)
        assert batch.mass_kg <= 250 * POUND_KG * (1 + 1e-9)


def test_every_piece_is_filled_exactly_once(write_job: Write) -> None:
    text = HEAD + slab("A", "5 ft", "quantity = 7\nforms = 7") + slab("B", "2 ft", "quantity = 4\nforms = 4")
    _, _, _, batching = planned(write_job(text))
    filled = [mark for batch in batching.batches for _ in range(batch.count) for mark in batch.marks]
    assert sorted(filled) == ["A"] * 7 + ["B"] * 4


def test_a_piece_larger_than_the_mixer_is_split_with_a_time_limit_for_its_batches(write_job: Write) -> None:
    _, _, _, batching = planned(write_job(HEAD + slab("A", "18 ft")))
    (batch,) = batching.batches
    assert batch.count > 1
    assert batch.marks == ("A",)
    assert any("within 30 min of its first water" in PLAIN.text(warning.text) for warning in batching.warnings)


def test_water_is_staged_and_fiber_comes_last(write_job: Write) -> None:
    _, _, mixes, batching = planned(write_job(HEAD + slab("A", "4 ft")))
    load = batching.batches[0].load
    # common practice: sand first, 80 to 90 % of the water, the rest, fiber last and only mixed in
    assert load[0].material == "silica-sand"
    assert load[-1].material == "ar-glass-chopped"
    water = [each.target_kg for each in load if each.material == "water"]
    assert 0.80 <= water[0] / sum(water) <= 0.90
    total = sum(each.target_kg for each in load)
    assert total == pytest.approx(mixes["backer-45"].fresh_density_kg_m3 * batching.batches[0].volume_m3, rel=1e-12)


@pytest.mark.parametrize(
    ("target_kg", "shown_kg"),
    [
        (0.012345, 0.0123),  # to 0.1 g
        (0.00001, 0.0001),  # never to nothing
        (1.23456, 1.235),  # to 1 g
        (10.0, 22.0 * POUND_KG),  # 22.046 lb to 0.1 lb
    ],
)
def test_a_material_is_weighed_on_the_finest_scale_that_can_carry_it(target_kg: float, shown_kg: float) -> None:
    assert to_scale(target_kg, SCALES)[0] == pytest.approx(shown_kg, rel=1e-9)


@given(st.floats(min_value=1e-3, max_value=500.0))
def test_a_weighed_mass_is_off_by_at_most_half_a_step(target_kg: float) -> None:
    mass_kg, step_kg = to_scale(target_kg, SCALES)
    assert abs(mass_kg - target_kg) <= step_kg / 2 * (1 + 1e-9)


def test_a_coarse_scale_gives_a_warning(write_job: Write) -> None:
    text = HEAD + slab("A", "4 ft") + '[workshop]\nscales = [{ step = "5 lb" }]\n'
    _, _, _, batching = planned(write_job(text))
    assert any("for EPS beads, coated. Use a finer scale" in PLAIN.text(warning.text) for warning in batching.warnings)


def test_pot_life_halves_from_70_to_90_degrees_and_never_grows(write_job: Write) -> None:
    job = read_job(write_job(HEAD + slab("A", "4 ft"))).sound()
    # common practice: 25 to 40 min at 70 °F, about half of that at 90 °F
    assert pot_life_s(job.workshop, (70 - 32) / 1.8) == pytest.approx(30 * 60)
    assert pot_life_s(job.workshop, (90 - 32) / 1.8) == pytest.approx(15 * 60)
    assert pot_life_s(job.workshop, (80 - 32) / 1.8) == pytest.approx(30 * 60 * 0.5**0.5)
    assert pot_life_s(job.workshop, 5.0) == pytest.approx(30 * 60)


def test_a_crew_places_no_more_within_the_pot_life_than_its_rate_allows(write_job: Write) -> None:
    layers = 'layers = [{ mix = "backer-45", method = "hand", waste = 0.0 }]\nquantity = 6\nforms = 6'
    text = HEAD + slab("A", "2 ft", layers)
    _, _, _, batching = planned(write_job(text))
    # Mixing takes 8 and carrying 1 of the 30 min; in the other 21 two people at 25 ft² an hour of 3/8 in place
    # 17.5 ft² · 3/8 in. A piece is 4 ft² · 1 in: one a batch.
    assert int(2 * 25 * (3 / 8) * (21 / 60) / (4 * 1)) == 1
    assert [(batch.count, batch.marks) for batch in batching.batches] == [(6, ("A",))]
    assert all((8 + 1) * 60 + batch.placing_s <= batch.place_within_s for batch in batching.batches)


def test_mixing_takes_its_part_of_the_pot_life(write_job: Write) -> None:
    layers = 'layers = [{ mix = "backer-45", method = "hand", waste = 0.0 }]\nquantity = 6\nforms = 6'
    sizes = []
    for mixing, carrying in ((2, 1), (8, 1), (8, 5)):
        times = f'[workshop.mixing]\nbatch_time = "{mixing} min"\ncarry_time = "{carrying} min"\n'
        batches = planned(write_job(HEAD + slab("A", "2 ft", layers) + times))[3].batches
        assert all((mixing + carrying) * 60 + batch.placing_s <= batch.place_within_s for batch in batches)
        sizes.append(max(len(batch.marks) for batch in batches))
    assert sizes == [2, 1, 1]


def test_a_batch_that_sets_before_it_is_mixed_is_refused(write_job: Write) -> None:
    text = HEAD + slab("A", "2 ft") + '[workshop]\npot_life = "9 min"\n'
    with pytest.raises(InputError) as raised:
        planned(write_job(text))
    assert [str(fault) for fault in raised.value.faults] == [
        "job.toml: workshop.pot_life: Backer, 45% beads must be placed within 9 min of first water, and mixing and "
        "carrying alone take 9 min. Cool the mix, or time a retarder."
    ]


def test_the_batches_of_a_color_group_are_equalized(write_job: Write) -> None:
    mix = '[mixes.sand-grey]\nbased_on = "backer-45"\ncolour_group = "{}"\n'
    pieces = slab("A", "3 ft", 'mix = "sand-grey"\nquantity = 7\nforms = 7')
    plain = planned(write_job(HEAD + pieces + mix.replace('\ncolour_group = "{}"', "")))[3]
    alike = planned(write_job(HEAD + pieces + mix.format("lobby")))[3]

    def sizes(batching):  # type: ignore[no-untyped-def]
        return sorted(len(batch.marks) for batch in batching.batches for _ in range(batch.count))

    assert sum(sizes(alike)) == sum(sizes(plain)) == 7
    assert max(sizes(alike)) - min(sizes(alike)) <= 1 <= max(sizes(plain)) - min(sizes(plain))


def test_a_thick_backer_placed_by_hand_is_built_in_layers_on_a_fresh_face(write_job: Write) -> None:
    layers = 'layers = [{ mix = "face", thickness = "1/8 in", method = "spray" }, { mix = "backer-45" }]'
    job, takeoff, _, _ = planned(write_job(HEAD + slab("A", "4 ft", layers)))
    placing = placing_of(takeoff.pieces[0], job)
    face, back = placing.layers
    # common practice: layers of at most 3/8 in; the backer 15 to 45 min after the face coat
    assert (face.lifts, face.wait_s) == (1, None)
    assert back.thickness_m == pytest.approx(7 / 8 * 0.0254)
    assert (back.lifts, back.wait_s) == (3, (15 * 60, 45 * 60))
    assert placing.hone_most_m == pytest.approx(0.0254 / 32)


def test_a_piece_without_a_face_coat_states_no_honing_depth(write_job: Write) -> None:
    job, takeoff, _, _ = planned(write_job(HEAD + slab("A", "4 ft")))
    assert placing_of(takeoff.pieces[0], job).hone_most_m is None


def test_a_full_bucket_is_expected_within_tolerance_and_measuring_error(write_job: Write) -> None:
    _, _, mixes, batching = planned(write_job(HEAD + slab("A", "4 ft") + "[workshop]\ndensity_tolerance = 0.04\n"))
    check = batching.batches[0].check
    assert check is not None
    # 0.73 ft³ fill 5 gal, which weigh 72 lb: over the 50 lb of one person, so the next size down
    volume_m3 = 2 * 231 * 0.0254**3
    net_kg = volume_m3 * mixes["backer-45"].fresh_density_kg_m3
    assert check.measure_m3 == pytest.approx(volume_m3)
    assert check.expected_kg == pytest.approx(net_kg + 1 * POUND_KG)
    error = 0.005 * (0.010 / volume_m3) ** (1 / 3) + 0.05 * POUND_KG / check.expected_kg
    assert check.high_kg - check.expected_kg == pytest.approx((0.04 + error) * net_kg)
    assert check.expected_kg - check.low_kg == pytest.approx((0.04 + error) * net_kg)
    assert (check.people, check.indication_only) == (1, False)
    # ASTM C138 (from memory): the scale good to 0.3 % of the filled weight
    assert check.scale_good_to_kg == pytest.approx(0.003 * check.expected_kg)


GALLON_M3, FOOT_M = 231 * 0.0254**3, 0.3048


@pytest.mark.parametrize(
    ("units", "limit", "length", "measure_m3", "indication_only"),
    [
        ("imperial", "80 lb", "4 ft", 5 * GALLON_M3, False),
        ("imperial", "50 lb", "4 ft", 2 * GALLON_M3, False),
        ("imperial", "20 lb", "4 ft", 1 * GALLON_M3, False),
        ("imperial", "50 lb", "9 in", 1 * GALLON_M3, False),  # 1.5 ft² · 1 in and its waste: 1.03 gal
        ("imperial", "50 lb", "7 in", GALLON_M3 / 4, True),  # under 2 L
        ("imperial", "50 lb", "1 in", None, False),  # under a quart
        ("metric", "25 kg", "4 ft", 0.010, False),
        ("metric", "10 kg", "4 ft", 0.005, False),
        ("metric", "25 kg", "6 in", 0.002, False),
        ("metric", "25 kg", "3 in", 0.001, True),
    ],
)
def test_the_density_check_takes_the_largest_bucket_that_the_batch_fills_and_one_person_lifts(
    write_job: Write, units: str, limit: str, length: str, measure_m3: float | None, indication_only: bool
) -> None:
    head = HEAD.replace("waste", f'units = "{units}"\nwaste')
    text = head + slab("A", length) + f'[workshop.handling]\nlimit_level = "{limit}"\n'
    batching = planned(write_job(text))[3]
    batch, check = batching.batches[0], batching.batches[0].check
    assert (check and check.measure_m3) == (None if measure_m3 is None else pytest.approx(measure_m3))
    if check is not None:
        assert check.indication_only == indication_only
        assert check.measure_m3 <= batch.yield_m3


def test_the_only_bucket_of_a_shop_is_lifted_by_several_people_if_it_is_too_heavy_for_one(write_job: Write) -> None:
    text = HEAD + slab("A", "4 ft") + '[workshop]\nmeasures = [{ volume = "5 gal", tare = "2 lb" }]\n'
    check = planned(write_job(text))[3].batches[0].check
    assert check is not None
    assert (check.measure_m3, check.people) == (pytest.approx(5 * GALLON_M3), 2)


def test_the_density_of_an_air_entrained_light_mix_is_expected_within_a_tenth_at_best(write_job: Write) -> None:
    mix = (
        "[mixes.backer-45]\ncementitious_share = 0.5\ncementitious = { grey-cement = 1.0 }\n"
        "aggregate = { perlite = 1.0 }\n"
        'reference_sand = "silica-sand"\nwater_cementitious = 0.5\nadmixtures = { air-entrainer = 0.003 }\n'
    )
    check = planned(write_job(HEAD + slab("A", "4 ft") + mix))[3].batches[0].check
    assert check is not None
    assert (check.high_kg - check.expected_kg) / (check.expected_kg - check.tare_kg) > 0.10


def test_a_drill_takes_liquids_first_and_fiber_last(write_job: Write) -> None:
    text = HEAD + slab("A", "4 ft") + '[workshop]\nmixer = { kind = "drill" }\n'
    load = planned(write_job(text))[3].batches[0].load
    assert load[0].material == "water"
    assert [each.material for each in load][-2:] == ["water", "ar-glass-chopped"]


def test_leftover_mix_makes_coupons_and_then_samples(write_job: Write) -> None:
    _, _, _, batching = planned(write_job(HEAD + slab("A", "8 ft")))
    (batch,) = batching.batches
    waste_m3 = 0.10 * 96 * 24 * 1 * 0.0254**3 / batch.count
    assert batch.left_over_m3 == pytest.approx(waste_m3, rel=0.01)
    coupon_m3, board_m3 = 12 * 2 * 0.5 * 0.0254**3, 12 * 12 * 0.5 * 0.0254**3
    assert batch.coupons == min(6, int(batch.left_over_m3 / coupon_m3)) == 6
    assert batch.samples == int((batch.left_over_m3 - 6 * coupon_m3) / board_m3)
    assert any("test coupons first" in note for note in map(PLAIN.text, batch.notes))


@pytest.mark.parametrize(
    ("key", "told"),
    [
        ('loading_order = ["sand"]', "loading_order leaves out light-aggregate, cement"),
        (
            'mixer = { kind = "pan" }',
            'mixer.kind "pan" has no usual loading order. Add loading_order = "dry-first" or "liquids-first".',
        ),
        ('loading_order = "dry"', 'loading_order "dry" is not known. Write "dry-first" or "liquids-first".'),
    ],
)
def test_a_mixer_that_cannot_be_loaded_is_refused(write_job: Write, key: str, told: str) -> None:
    faults = read_job(write_job(HEAD + slab("A", "4 ft") + f"[workshop]\n{key}\n")).faults
    assert told in str(faults[0])


def test_a_hot_pour_leaves_each_batch_the_time_of_its_own_temperature(write_job: Write) -> None:
    text = HEAD + slab("A", "4 ft", 'pour = "noon"\ncure = { mix_temperature = "90 °F" }') + slab("B", "4 ft")
    hot, mild = sorted(planned(write_job(text))[3].batches, key=lambda batch: batch.place_within_s)
    # common practice: about half as long at 90 °F as at 70 °F
    assert (hot.pour, hot.place_within_s / 60) == ("noon", pytest.approx(15))
    assert (mild.pour, mild.place_within_s / 60) == ("day 1", pytest.approx(30))
    assert any("sets sooner" in note for note in map(PLAIN.text, hot.notes))
    assert not any("sets sooner" in note for note in map(PLAIN.text, mild.notes))


def test_a_batch_shared_by_a_hot_and_a_mild_piece_goes_by_the_hot_one(write_job: Write) -> None:
    text = HEAD + slab("A", "2 ft", 'cure = { mix_temperature = "90 °F" }') + slab("B", "2 ft")
    (batch,) = planned(write_job(text))[3].batches
    assert batch.marks == ("A", "B")
    assert batch.place_within_s / 60 == pytest.approx(15)


def test_a_job_cast_warm_shortens_every_batch(write_job: Write) -> None:
    (batch,) = planned(write_job(HEAD + slab("A", "2 ft") + '[cure]\nmix_temperature = "90 °F"\n'))[3].batches
    assert batch.place_within_s / 60 == pytest.approx(15)


def test_a_retarder_is_stated_and_lengthens_the_time_only_as_the_shop_has_timed_it(write_job: Write) -> None:
    mix = '[mixes.slow]\nbased_on = "backer-45"\nadmixtures = { blended-admixture-powder = 0.035, retarder = 0.002 }\n'
    text = HEAD.replace('"backer-45"', '"slow"') + slab("A", "2 ft") + mix
    (batch,) = planned(write_job(text))[3].batches
    assert batch.place_within_s / 60 == pytest.approx(30)
    assert any("retarder" in note for note in map(PLAIN.text, batch.notes))
    (timed,) = planned(write_job(text + "[workshop.mixing]\npot_life_retarder = 1.5\n"))[3].batches
    assert timed.place_within_s / 60 == pytest.approx(45)
    (plain,) = planned(write_job(HEAD + slab("A", "2 ft") + "[workshop.mixing]\npot_life_retarder = 1.5\n"))[3].batches
    assert plain.place_within_s / 60 == pytest.approx(30)


def test_bead_mixes_are_kept_stiff_and_never_vibrated(write_job: Write) -> None:
    # common practice
    (beads,) = planned(write_job(HEAD + slab("A", "2 ft")))[3].batches
    assert any("stiff" in note for note in map(PLAIN.text, beads.notes))
    assert any("Do not vibrate" in note for note in map(PLAIN.text, beads.notes))
    (sand,) = planned(write_job(HEAD.replace("backer-45", "backer-0") + slab("A", "2 ft")))[3].batches
    assert not any("stiff" in note or "vibrate" in note for note in map(PLAIN.text, sand.notes))
    fluid = '[mixes.backer-45]\nbased_on = "backer-45"\nconsistency = "fluid"\n'
    (poured,) = planned(write_job(HEAD + slab("A", "2 ft") + fluid))[3].batches
    assert any("set to be fluid" in note for note in map(PLAIN.text, poured.notes))


def test_the_sheet_says_when_to_place_the_backer_on_its_face_coat(write_job: Write) -> None:
    # common practice: fingerprint without smearing; a set face coat may delaminate; layers rolled; honing within it
    layers = 'layers = [{ mix = "face", thickness = "1/8 in", method = "spray" }, { mix = "backer-45" }]'
    placing = planned(write_job(HEAD + slab("A", "2 ft", layers)))[3].placing["A"]
    for part in ("no fiber, no beads", "takes a fingerprint", "it will delaminate", "Roll each", "Don't hone deeper"):
        assert any(part in note for note in map(PLAIN.text, placing.notes)), part
    bare = planned(write_job(HEAD + slab("A", "2 ft")))[3].placing["A"]
    assert [PLAIN.text(note)[:12] for note in bare.notes] == ["No face coat"]
    assert bare.hone_most_m is None


def test_a_thinner_face_coat_is_honed_less(write_job: Write) -> None:
    layers = 'layers = [{ mix = "face", thickness = "1/16 in", method = "spray" }, { mix = "backer-45" }]'
    placing = planned(write_job(HEAD + slab("A", "2 ft", layers)))[3].placing["A"]
    assert placing.hone_most_m == pytest.approx(0.0254 / 64)
    usual, thick = (
        planned(write_job(HEAD + slab("A", "2 ft", layers.replace("1/16", face))))[3].placing["A"].hone_most_m
        for face in ("1/8", "1/4")
    )
    assert thick == usual == pytest.approx(0.0254 / 32), "a thick face is honed no deeper: the sheet says how deep"


def test_a_shop_may_word_its_own_sheet(write_job: Write) -> None:
    own = '[workshop.practice]\nno_vibration = "Hands only."\n'
    (batch,) = planned(write_job(HEAD + slab("A", "2 ft") + own))[3].batches
    assert "Hands only." in batch.notes
    faults = read_job(write_job(HEAD + slab("A", "2 ft") + '[workshop.practice]\nvibration = "No."\n')).faults
    assert str(faults[0]).startswith("job.toml: workshop, practice.vibration")


def test_the_sheet_says_what_to_do_if_the_bucket_is_off(write_job: Write) -> None:
    check = planned(write_job(HEAD + slab("A", "2 ft")))[3].batches[0].check
    assert check is not None
    assert "not enough beads" in PLAIN.text(check.when_heavy)
    assert "too many beads" in PLAIN.text(check.when_light)
    plain = planned(write_job(HEAD.replace("backer-45", "backer-0") + slab("A", "2 ft")))[3].batches[0].check
    assert plain is not None
    assert "beads" not in PLAIN.text(plain.when_heavy) + PLAIN.text(plain.when_light)
    assert "Stop adding water" in PLAIN.text(plain.when_light)


def test_a_day_too_long_for_crew_or_mixer_gives_a_warning(write_job: Write) -> None:
    layers = 'layers = [{ mix = "backer-45", method = "hand" }]\nquantity = 60\nforms = 60'
    _, _, _, batching = planned(write_job(HEAD + slab("A", "4 ft", layers)))
    (work,) = batching.work
    # 60 pieces of 8 ft² of 1 in at 2 · 25 ft² an hour of 3/8 in
    assert work.placing_s / 3600 == pytest.approx(60 * 8 / (2 * 25) * 1 / (3 / 8))
    assert work.mixing_s == sum(batch.count for batch in batching.batches) * 8 * 60
    # A batch starts once mixer and crew are free, 8 and 1 min before it is placed.
    count = sum(batch.count for batch in batching.batches)
    assert work.taken_s == pytest.approx(count * 9 * 60 + work.placing_s)
    told = f"mixing and placing take 2 people {PLAIN.duration(work.taken_s)}. The day has 8 h."
    assert any(told in PLAIN.text(warning.text) for warning in batching.warnings)


def test_a_loss_that_fills_the_mixer_is_refused(write_job: Write) -> None:
    with pytest.raises(InputError) as raised:
        planned(write_job(HEAD + slab("A", "2 ft") + '[workshop]\nloss_per_batch = "900 lb"\n'))
    assert [str(fault) for fault in raised.value.faults] == [
        "job.toml: workshop.loss_per_batch: fills the whole mixer with Backer, 45% beads. Correct it, "
        "or the mixer's volume."
    ]


FACED = 'layers = [{ mix = "face", thickness = "1/8 in", method = "spray" }, { mix = "backer-45" }]\n'


def timeline(batches: Sequence[Filling], lead_s: float) -> dict[tuple[int, int], tuple[float, float]]:
    """Start and finish of every layer of every piece, by a plain walk through the batches without idle times."""
    clock_s, found = 0.0, {}
    for batch in batches:
        clock_s += lead_s
        for share in batch.shares:
            begun_s, clock_s = clock_s, clock_s + share.placing_s + (batch.parts - 1) * lead_s
            found[share.piece, share.layer] = (begun_s, clock_s)
    return found


def share(piece: int, layer: int, placing_min: float, volume_m3: float = 0.001) -> Share:
    window_s = (15 * 60.0, 45 * 60.0) if layer else None
    mix = ("face", "back")[layer]
    return Share(piece, layer, f"P{piece}", mix, volume_m3, 0.0, placing_min * 60.0, 2, window_s)


ROOMS = {"face": Room(0.030, 21 * 60.0), "back": Room(0.030, 21 * 60.0)}
PIECES = st.lists(
    st.tuples(st.floats(0.5, 12.0), st.floats(0.5, 20.0), st.floats(0.0005, 0.02)), min_size=1, max_size=12
)


@given(PIECES)
def test_every_layer_waits_within_its_window(sizes: list[tuple[float, float, float]]) -> None:
    pieces = [
        (share(i, 0, face, volume_m3 / 5), share(i, 1, back, volume_m3))
        for i, (face, back, volume_m3) in enumerate(sizes)
    ]
    making = Making(ROOMS, frozenset(), 9 * 60.0)
    alone = [staffed(layers, making, 8) for layers in pieces]
    possible = [layers for layers in alone if layers is not None]
    for each in rounds_of(possible, making):
        assert each.keeps
        placed = timeline(each.batches, making.lead_s)
        for wait in each.waits:
            (below_begun, below_done), (begun, done) = placed[wait.below.piece, 0], placed[wait.below.piece, 1]
            plain_s = max(begun - below_begun, done - below_done)
            assert plain_s - 1e-6 <= wait.wait_s <= 45 * 60.0 + 1e-6  # idle time can only lengthen it
            assert wait.wait_s + wait.below.placing_s >= 15 * 60.0 - 1e-6
    cast = [s.piece for each in rounds_of(possible, making) for b in each.batches for s in b.shares if s.layer == 0]
    assert sorted(cast) == [layers[0].piece for layers in possible]  # each face once, in no more than one batch


def test_the_wait_of_a_face_coat_counts_the_mixing_of_its_backer() -> None:
    # 5 min of face; 9 min until the backer is in the form, which is 1 min early: the face must be 15 min old where it
    # began; 20 min of backer. 10 + 20 min from the face finished to the backer placed.
    round_ = round_of([(share(0, 0, 5.0), share(0, 1, 20.0))], Making(ROOMS, frozenset(), 9 * 60.0))
    assert [wait.wait_s / 60 for wait in round_.waits] == [pytest.approx(30.0)]
    assert round_.idle_s / 60 == pytest.approx(1.0)
    # Two backer batches are mixed one after the other, each in its turn.
    slow = round_of([(share(0, 0, 5.0), share(0, 1, 24.0))], Making(ROOMS, frozenset(), 9 * 60.0))
    assert [wait.wait_s / 60 for wait in slow.waits] == [pytest.approx(1 + 9 + 12 + 9 + 12)]


def test_a_face_batch_covers_no_more_than_can_be_backed_while_it_is_fresh(write_job: Write) -> None:
    text = HEAD + slab("A", "1 ft", f"{FACED}quantity = 8\nforms = 8")
    batches = planned(write_job(text))[3].batches
    faces = [batch for batch in batches if batch.mix == "face"]
    assert sum(len(batch.marks) * batch.count for batch in faces) == 8
    assert all(batch.longest_wait_s is not None and batch.longest_wait_s <= 45 * 60 for batch in faces)
    assert all(batch.longest_wait_s is None for batch in batches if batch.mix != "face")
    hurried = planned(write_job(text + '[workshop.placing]\nface_wait_most = "25 min"\n'))[3].batches
    hurried_faces = [batch for batch in hurried if batch.mix == "face"]
    assert all(batch.longest_wait_s <= 25 * 60 for batch in hurried_faces)  # type: ignore[operator]
    assert max(len(batch.marks) for batch in hurried_faces) < max(len(batch.marks) for batch in faces)


def test_a_face_coat_that_two_people_cannot_back_in_time_gets_a_larger_crew(write_job: Write) -> None:
    # 18 ft² of 7/8 in: 50 min for two people, in three batches with 9 min before each
    batching = planned(write_job(HEAD + slab("A", "9 ft", FACED)))[3]
    (notice,) = (each for each in batching.warnings if each.id == "more-hands")
    (work,) = batching.work
    assert f"Plan {work.crew} people to place it, not 2" in PLAIN.text(notice.text)
    assert work.crew > 2
    assert {batch.crew for batch in batching.batches} == {work.crew}
    (face,) = (batch for batch in batching.batches if batch.mix == "face")
    assert face.longest_wait_s is not None
    assert face.longest_wait_s <= 45 * 60
    one_less = planned(write_job(HEAD + slab("A", "9 ft", FACED) + f"[workshop.placing]\ncrew = {work.crew - 1}\n"))[3]
    assert one_less.work[0].crew == work.crew
    just = planned(write_job(HEAD + slab("A", "9 ft", FACED) + f"[workshop.placing]\ncrew_most = {work.crew}\n"))[3]
    assert just.work[0].crew == work.crew
    with pytest.raises(InputError):
        planned(write_job(HEAD + slab("A", "9 ft", FACED) + f"[workshop.placing]\ncrew_most = {work.crew - 1}\n"))


def test_a_face_coat_that_no_crew_can_back_in_time_is_refused(write_job: Write) -> None:
    text = HEAD + slab("A", "9 ft", FACED) + "[workshop.placing]\ncrew_most = 2\n"
    with pytest.raises(InputError) as raised:
        planned(write_job(text))
    (fault,) = raised.value.faults
    assert str(fault).startswith("job.toml: piece A: Face mix waits ")
    assert "2 people are too few" in str(fault)


def test_a_face_coat_is_never_placed_in_parts(write_job: Write) -> None:
    # A quarter of the mixer: the face of 100 ft² takes two batches, and no crew changes that.
    small = '[workshop]\nmixer = { volume = "0.9 ft^3", mass = "90 lb" }\n[workshop.placing]\ncrew_most = 40\n'
    with pytest.raises(InputError) as raised:
        planned(write_job(HEAD + slab("A", "50 ft", FACED) + small))
    assert "a face placed in parts shows a line" in str(raised.value.faults[0])
    patient = small.replace("crew_most = 40", 'crew_most = 40\nface_wait_most = "20 h"')
    with pytest.raises(InputError):  # however long it may wait
        planned(write_job(HEAD + slab("A", "50 ft", FACED) + patient))


def test_a_hot_face_coat_waits_less(write_job: Write) -> None:
    text = HEAD + slab("A", "1 ft", f'{FACED}cure = {{ mix_temperature = "90 °F" }}')
    batching = planned(write_job(text))[3]
    # common practice: about half the time at 90 °F
    assert next(iter(batching.placing.values())).layers[1].wait_s == pytest.approx((7.5 * 60, 22.5 * 60))
    (face,) = (batch for batch in batching.batches if batch.mix == "face")
    assert face.longest_wait_s is not None
    assert face.longest_wait_s <= 22.5 * 60


def test_a_piece_of_one_layer_fills_up_the_last_batch_of_a_round(write_job: Write) -> None:
    text = HEAD + slab("A", "1 ft", FACED) + slab("B", "1 ft")
    batches = planned(write_job(text))[3].batches
    assert [(batch.mix, batch.marks) for batch in batches] == [("face", ("A",)), ("backer-45", ("A", "B"))]


def test_a_face_batch_says_that_its_pieces_are_backed_before_the_next(write_job: Write) -> None:
    batches = planned(write_job(HEAD + slab("A", "1 ft", FACED)))[3].batches
    assert ["before you mix the next face batch" in " ".join(map(PLAIN.text, batch.notes)) for batch in batches] == [
        True,
        False,
    ]


THIRSTY = """
[materials.silica-sand]
moisture = 0.04
absorption = 0.01
[materials.expanded-clay]
absorption = 0.12
moisture = 0.05
[mixes.backer-45]
cementitious_share = 0.5
cementitious = { grey-cement = 1.0 }
aggregate = { silica-sand = 0.6, expanded-clay = 0.4 }
reference_sand = "silica-sand"
water_cementitious = 0.35
admixtures = { superplasticizer-liquid = 0.01 }
polymer = { acrylic-emulsion = 0.05 }
air = 0.06
"""


def test_a_batch_weighed_exactly_yields_the_volume_wanted(write_job: Write) -> None:
    fine = '[workshop]\nscales = [{ step = "0.0001 g" }]\n'
    (batch,) = planned(write_job(HEAD + slab("A", "2 ft") + THIRSTY + fine))[3].batches
    assert batch.yield_m3 == pytest.approx(batch.volume_m3, rel=1e-6)


def test_a_batch_weighed_coarsely_yields_by_the_water_that_really_is_free(write_job: Write) -> None:
    coarse = '[workshop]\nscales = [{ step = "0.5 kg" }]\n'
    job, _, _, batching = planned(write_job(HEAD + slab("A", "2 ft") + THIRSTY + coarse))
    (batch,) = batching.batches
    mass = {name: sum(each.mass_kg for each in batch.load if each.material == name) for name in job.materials}
    material = job.materials
    # made: absolute volume by hand, from what the scale shows
    dry = {"silica-sand": mass["silica-sand"] / 1.04, "expanded-clay": mass["expanded-clay"] / 1.05}
    free_kg = mass["water"] + dry["silica-sand"] * (0.04 - 0.01) + dry["expanded-clay"] * (0.05 - 0.12)
    solids_m3 = sum(kg / (material[name].density_kg_m3 or 0.0) for name, kg in dry.items())
    solids_m3 += sum(
        mass[name] / (material[name].density_kg_m3 or 0.0)
        for name in ("grey-cement", "superplasticizer-liquid", "acrylic-emulsion")
    )
    assert batch.yield_m3 == pytest.approx((solids_m3 + free_kg / 998.0) / 0.94, rel=1e-9)
    assert abs(batch.yield_m3 / batch.volume_m3 - 1.0) > 1e-3


FLOWING = """
[mixes.backer-45]
based_on = "backer-0"
aggregate = {{ silica-sand = 0.55, {bead} = 0.45 }}
water_cementitious = {water}
admixtures = {{ {admixture} }}
"""


@pytest.mark.parametrize(
    ("water", "admixture", "stated", "floats"),
    [
        (0.40, "superplasticizer-liquid = 0.015", "", True),  # a full dosage
        (0.40, "superplasticizer-powder = 0.005", "", True),
        (0.36, "superplasticizer-liquid = 0.010", "", True),
        (0.48, "defoamer = 0.001", "", True),  # water alone
        (0.33, "blended-admixture-powder = 0.028", "", False),
        (0.34, "blended-admixture-powder = 0.035", "", False),
        (0.36, "superplasticizer-liquid = 0.010, thickener = 0.002", "", False),
        (0.40, "superplasticizer-liquid = 0.015", "stiff", False),
        (0.33, "blended-admixture-powder = 0.028", "fluid", True),
    ],
)
def test_floating_beads_are_predicted_from_water_and_plasticizer(
    write_job: Write, water: float, admixture: str, stated: str, floats: bool
) -> None:
    mix = FLOWING.format(bead="coated-eps-bead", water=water, admixture=admixture)
    mix += f'consistency = "{stated}"\n' if stated else ""
    found = estimate_file(write_job(HEAD + slab("A", "2 ft") + mix))
    ids = {each.caution.id for each in found.cautions}
    assert ("beads-float" in ids) == floats
    notes = " ".join(map(PLAIN.text, found.batching.batches[0].notes))
    assert ("beads" in notes and "Keep this mix stiff" not in notes) == floats
    told = [each.id for each in found.warnings if each.id == "beads-may-float"]
    assert bool(told) == (floats and not stated)


def test_a_face_that_flows_over_a_stiff_backer_floats_no_beads(write_job: Write) -> None:
    found = estimate_file(write_job(HEAD + slab("A", "2 ft", FACED)))
    assert "beads-float" not in {each.caution.id for each in found.cautions}


@pytest.mark.parametrize(("bead", "static"), [("coated-eps-bead", False), ("uncoated-eps-bead", True)])
def test_static_electricity_is_mentioned_for_uncoated_beads_only(write_job: Write, bead: str, static: bool) -> None:
    mix = FLOWING.format(bead=bead, water=0.33, admixture="blended-admixture-powder = 0.028")
    found = estimate_file(write_job(HEAD + slab("A", "2 ft") + mix))
    said = " ".join(f"{PLAIN.text(each.text)} {PLAIN.text(each.why)}" for each in found.cautions)
    assert ("static" in said) == static
    assert ("Ground the vacuum and metal tools" in said) == static


@pytest.mark.parametrize("kind", ["paddle", "drill", "pan"])
@pytest.mark.parametrize(("order", "first"), [("dry-first", "silica-sand"), ("liquids-first", "water")])
def test_the_loading_order_is_a_choice_independent_of_the_kind_of_mixer(
    write_job: Write, kind: str, order: str, first: str
) -> None:
    text = HEAD + slab("A", "4 ft") + f'[workshop]\nmixer = {{ kind = "{kind}" }}\nloading_order = "{order}"\n'
    job, _, _, batching = planned(write_job(text))
    load = batching.batches[0].load
    assert load[0].material == first
    assert [each.material for each in load][-2:] == ["water", "ar-glass-chopped"]  # held-back water, then fiber
    steps = [PLAIN.text(step) for step in steps_of(job, load)]
    assert steps[0].startswith("Load the sand" if order == "dry-first" else "Pour in the first water")


def test_a_list_of_kinds_is_loaded_in_its_order_without_the_steps_of_another(write_job: Write) -> None:
    kinds = ["cement", "sand", "light-aggregate", "pozzolan", "pigment", "admixture", "polymer", "water", "fibre"]
    listed = ", ".join(f'"{kind}"' for kind in kinds)
    job, _, _, batching = planned(write_job(HEAD + slab("A", "4 ft") + f"[workshop]\nloading_order = [{listed}]\n"))
    assert batching.batches[0].load[0].material == "white-cement"
    assert job.workshop.loading_steps == ()


def test_batches_too_small_for_the_mixer_are_reported_once_per_mix(write_job: Write) -> None:
    text = HEAD + slab("A", "6 in", f"{FACED}quantity = 3\nforms = 1")
    told = [PLAIN.text(each.text) for each in planned(write_job(text))[3].warnings if each.id == "batch-too-small"]
    assert len(told) == 2
    assert told[0].startswith("Face mix: 3 batches are too small for the mixer (smallest ")
    assert " lb, days 1–3). They fill less than 15% of it." in told[0]


@given(st.floats(min_value=1e-3, max_value=0.2), st.sampled_from(["backer-0", "backer-45", "backer-100", "face"]))
def test_what_a_batch_yields_is_the_absolute_volume_of_what_was_weighed(volume_m3: float, name: str) -> None:
    plate = {"kind": "slab", "length": "1.2 m", "width": "600 mm", "thickness": "25 mm"}
    damp = {"silica-sand": {"moisture": 0.03, "absorption": 0.01}}
    job = job_from(
        {
            "job": {"name": "Yield", "mix": name, "waste": 0.05},
            "piece": [{"mark": "A", "shape": plate}],
            "materials": damp,
        }
    )
    loading = Loading.of(make(job.mixes[name], job.materials), job)
    load = loading.load(volume_m3)
    weighed_kg: dict[str, float] = {}
    for step in load:
        weighed_kg[step.material] = weighed_kg.get(step.material, 0.0) + step.mass_kg
    mix = job.mixes[name]
    recipe = recipe_of_weighed(weighed_kg, job.materials, reference_sand=mix.reference_sand)
    slow = yield_of(recipe, job.materials, mix.air, mix.water_density_kg_m3)
    assert loading.yield_m3(load) == pytest.approx(slow.volume_m3, rel=1e-12)


def test_two_layers_of_one_mix_are_batched_as_one(write_job: Write) -> None:
    twice = 'layers = [{ mix = "backer-45", thickness = "1/4 in", method = "spray" }, { mix = "backer-45" }]'
    (one,), (two,) = (planned(write_job(HEAD + slab("A", "2 ft", more)))[3].batches for more in ("", twice))
    assert two.volume_m3 == pytest.approx(one.volume_m3, rel=1e-12)
    assert two.left_over_m3 == pytest.approx(one.left_over_m3, rel=1e-9)
    by_hand_s = 4 * (3 / 4) / (3 / 8) / 50 * 3600  # 4 ft² of 3/4 in, by two at 25 ft² an hour of 3/8 in
    assert two.placing_s > by_hand_s, "the sprayed quarter takes its time too"
    assert two.longest_wait_s is None, "nothing waits for its own mix"


@pytest.mark.parametrize(
    ("mix", "honed"),
    [
        ("aggregate = { silica-sand-fine = 1.0 }", True),
        ("aggregate = { silica-sand-fine = 1.0 }\nfibre = { ar-glass-chopped = 0.01 }", False),
        ("aggregate = { silica-sand-fine = 0.8, coated-eps-bead = 0.2 }", False),
    ],
)
def test_a_face_is_honed_only_where_that_exposes_neither_fiber_nor_beads(
    write_job: Write, mix: str, honed: bool
) -> None:
    # common practice
    layers = 'layers = [{ mix = "own", thickness = "1/8 in", method = "spray" }, { mix = "backer-45" }]'
    text = HEAD + slab("A", "2 ft", layers) + f'[mixes.own]\nbased_on = "face"\n{mix}\n'
    placing = planned(write_job(text))[3].placing["A"]
    assert (placing.hone_most_m is not None) == honed
    assert any("no fiber, no beads" in note for note in map(PLAIN.text, placing.notes)) == honed


def test_a_face_of_unknown_thickness_is_honed_by_the_shops_figure(write_job: Write) -> None:
    corners = '[["0 in", "0 in"], ["2 in", "0 in"], ["0 in", "2 in"]]'
    profile = f'shape = {{ kind = "extrusion", length = "1 ft", profile = {{ points = {corners} }} }}'
    text = HEAD + f'[[piece]]\nmark = "A"\nmix = "face"\n{profile}\n'
    job, _, _, batching = planned(write_job(text))
    assert batching.placing["A"].hone_most_m == job.workshop.placing.honing_most_m


def test_a_batch_short_by_its_scale_gives_a_warning_and_a_surplus_is_left_over(write_job: Write) -> None:
    coarse = '[workshop]\nscales = [{{ step = "{} lb" }}]\n'
    short = long = False
    for pounds in (0.3, 0.5, 1.0, 1.2):
        text = HEAD.replace("backer-45", "backer-0") + slab("A", "36 in") + coarse.format(pounds)
        batching = planned(write_job(text))[3]
        (batch,) = batching.batches
        (told,) = [each for each in batching.warnings if each.id == "batch-short"] or [None]
        lack = 1.0 - batch.yield_m3 / batch.volume_m3
        assert (told is not None) == (lack > 0.005)
        if told is not None:
            assert PLAIN.text(told.text) == (
                f"Day 1, Backer, all sand: as weighed, a batch comes out {100 * lack:.1f}% short. Use a finer scale."
            )
            short = True
        waste_m3 = 0.10 * 36 * 24 * 1 * 0.0254**3
        assert batch.left_over_m3 == pytest.approx(waste_m3 + max(0.0, batch.yield_m3 - batch.volume_m3), rel=1e-9)
        long |= lack < -0.005
    assert short
    assert long


def test_a_piece_of_several_batches_is_named_in_a_warning(write_job: Write) -> None:
    batching = planned(write_job(HEAD + slab("A", "18 ft")))[3]
    (told,) = (each for each in batching.warnings if each.id == "piece-split")
    count = batching.batches[0].count
    assert PLAIN.text(told.text).startswith(f"A takes {count} batches of Backer, 45% beads.")


def test_unlike_batches_of_a_color_group_are_reported_with_their_difference(write_job: Write) -> None:
    mix = '[mixes.sand-grey]\nbased_on = "backer-45"\ncolour_group = "lobby"\n'
    pieces = slab("A", "5 ft", 'mix = "sand-grey"') + slab("B", "2 ft", 'mix = "sand-grey"')
    batching = planned(
        write_job(HEAD + pieces + mix + '[workshop]\nmixer = { volume = "1.4 ft^3", mass = "250 lb" }\n')
    )[3]
    sizes = sorted(batch.volume_m3 for batch in batching.batches)
    assert len(sizes) > 1
    (told,) = (each for each in batching.warnings if each.id == "batch-sizes-differ")
    share = f"{100 * (sizes[-1] / sizes[0] - 1):.0f}%"
    assert f"batches of Sand grey differ in size by {share}." in PLAIN.text(told.text)


def test_a_mass_beyond_every_scale_is_weighed_in_parts_on_the_largest() -> None:
    scales = (Scale(0.001, 1.0), Scale(0.01, 5.0))
    assert to_scale(12.3456, scales) == (pytest.approx(12.35), 0.01)
    # Half of its step, as a share of the mass; common practice
    assert scale_error(12.5, scales) == pytest.approx(0.005 / 12.5)
    assert scale_error(0.5, scales) == pytest.approx(0.0005 / 0.5)


def test_a_pinch_per_cubic_meter_is_loaded_too(write_job: Write) -> None:
    trace = '[mixes.backer-45]\nbased_on = "backer-45"\npigment = { iron-oxide-black = 0.001 }\n'
    _, _, mixes, batching = planned(write_job(HEAD + slab("A", "4 ft") + trace))
    assert mixes["backer-45"].recipe_kg_m3["iron-oxide-black"] < 1.0
    assert "iron-oxide-black" in [each.material for each in batching.batches[0].load]


def test_halves_and_tenths_of_a_batch_fill_it() -> None:
    room = Room(1.0, 1e9)
    for parts in (2, 3, 7, 10, 49):
        batches = fill([share(i, 1, 0.0, 1.0 / parts) for i in range(parts)], room, alike=False)
        assert [len(batch.shares) for batch in batches] == [parts]
        assert len(fill([share(i, 1, 0.0, 1.001 / parts) for i in range(parts)], room, alike=False)) == 2


def test_a_step_names_liquids_and_held_back_water_only_where_there_are_any(write_job: Write) -> None:
    dry, _, _, planned_dry = planned(write_job(HEAD + slab("A", "4 ft")))
    wet_mix = '[mixes.backer-45]\nbased_on = "backer-45"\npolymer = { acrylic-emulsion = 0.05 }\n'
    wet, _, _, planned_wet = planned(write_job(HEAD + slab("A", "4 ft") + wet_mix))
    said = [
        [PLAIN.text(step) for step in steps_of(job, batching.batches[0].load)]
        for job, batching in ((dry, planned_dry), (wet, planned_wet))
    ]
    assert ["and the liquids" in " ".join(steps) for steps in said] == [False, True]
    assert all(any("held-back water" in step for step in steps) for steps in said)
    at_once = '[mixes.backer-45]\nbased_on = "backer-45"\nwater_held_back = 0.0\n'
    job, _, _, batching = planned(write_job(HEAD + slab("A", "4 ft") + at_once))
    steps = [PLAIN.text(step) for step in steps_of(job, batching.batches[0].load)]
    assert not any("held-back" in step for step in steps)
    assert any(step.startswith("Add the first water") for step in steps)
    assert any(step.startswith("Add the fiber last") for step in steps)
    every = [PLAIN.text(step) for step in steps_of(job)]
    assert len(every) == len(job.workshop.loading_steps), "without a load, all of them"


def test_rounds_of_a_color_group_start_with_faces_as_equal_as_pieces_allow() -> None:
    """Faces of 9, 4, 3 and 8 parts: 12 and 12 in two rounds."""
    making = Making(ROOMS, frozenset({"face"}), 9 * 60.0)
    parts = (9, 4, 3, 8)
    pieces = [(share(i, 0, part * 0.25, part * 0.0005), share(i, 1, 7.0, 0.0001)) for i, part in enumerate(parts)]
    plain = rounds_of(pieces, Making(ROOMS, frozenset(), 9 * 60.0))
    assert len(plain) == 2
    rounds = rounds_of(pieces, making)
    faces = [sum(share.volume_m3 for share in each.batches[0].shares) for each in rounds]
    assert all(each.keeps for each in rounds)
    assert faces == [pytest.approx(12 * 0.0005)] * 2
    assert sorted(share.piece for each in rounds for share in each.batches[0].shares) == [0, 1, 2, 3]
