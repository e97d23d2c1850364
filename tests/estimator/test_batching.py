"""Pours and batches: whole pieces to a batch, masses to the scale, nothing lost between them."""

from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.batching import capacity_m3, placing_of, plan_batches, plan_pours, to_scale
from estimator.batching.placing import pot_life_s
from estimator.errors import InputError
from estimator.estimate import survey
from estimator.intake import read_job
from estimator.job import Scale

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


def test_two_pieces_from_one_form_are_two_days(write_job: Write) -> None:
    _, takeoff, _, _ = planned(write_job(HEAD + slab("A", "4 ft", "quantity = 2\nforms = 1")))
    assert [(p.day, p.casts[0].count) for p in plan_pours(takeoff)] == [(1, 1), (2, 1)]


def test_a_named_pour_has_its_own_day_after_the_unnamed(write_job: Write) -> None:
    text = HEAD + slab("A", "4 ft", 'pour = "lid"') + slab("B", "4 ft", "quantity = 3\nforms = 2")
    _, takeoff, _, _ = planned(write_job(text))
    pours = plan_pours(takeoff)
    assert [(p.name, p.day, [(c.mark, c.count) for c in p.casts]) for p in pours] == [
        ("day 1", 1, [("B", 2)]),
        ("day 2", 2, [("B", 1)]),
        ("lid", 3, [("A", 1)]),
    ]


def test_batches_hold_what_the_pieces_take_with_waste_and_loss(write_job: Write) -> None:
    text = HEAD + slab("A", "3 ft", "quantity = 5\nforms = 5") + '[workshop]\nloss_per_batch = "2 lb"\n'
    _, takeoff, mixes, batching = planned(write_job(text))
    cast_m3 = sum(t.piece.quantity * layer.cast_m3 for t in takeoff.pieces for layer in t.layers)
    count = sum(batch.count for batch in batching.batches)
    loss_m3 = count * 2 * POUND_KG / mixes["backer-45"].fresh_density_kg_m3
    assert batching.batch_m3["backer-45"] == pytest.approx(cast_m3 + loss_m3, rel=1e-12)


def test_a_batch_never_passes_what_the_mixer_takes(write_job: Write) -> None:
    text = HEAD + slab("A", "5 ft", "quantity = 7\nforms = 7") + slab("B", "2 ft", "quantity = 4\nforms = 4")
    job, _, mixes, batching = planned(write_job(text))
    most = capacity_m3(mixes["backer-45"], job.workshop)
    assert all(batch.volume_m3 <= most * (1 + 1e-9) for batch in batching.batches)
    for batch in batching.batches:
        assert batch.loose_m3 <= 3 * 0.3048**3 * 0.65 * (1 + 1e-9)
        assert batch.mass_kg <= 250 * POUND_KG * (1 + 1e-9)


def test_every_piece_is_filled_once(write_job: Write) -> None:
    text = HEAD + slab("A", "5 ft", "quantity = 7\nforms = 7") + slab("B", "2 ft", "quantity = 4\nforms = 4")
    _, _, _, batching = planned(write_job(text))
    filled = [mark for batch in batching.batches for _ in range(batch.count) for mark in batch.marks]
    assert sorted(filled) == ["A"] * 7 + ["B"] * 4


def test_a_piece_larger_than_the_mixer_is_split_and_says_within_what_time(write_job: Write) -> None:
    _, _, _, batching = planned(write_job(HEAD + slab("A", "18 ft")))
    (batch,) = batching.batches
    assert batch.count > 1
    assert batch.marks == ("A",)
    assert any("within 30 min of its water" in warning.text for warning in batching.warnings)


def test_water_is_staged_and_fibre_comes_last(write_job: Write) -> None:
    _, _, mixes, batching = planned(write_job(HEAD + slab("A", "4 ft")))
    load = batching.batches[0].load
    # common practice: sand first, 80 to 90 % of the water, the rest, fibre last and only mixed in
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
def test_the_finest_scale_that_carries_it_weighs_it(target_kg: float, shown_kg: float) -> None:
    assert to_scale(target_kg, SCALES)[0] == pytest.approx(shown_kg, rel=1e-9)


@given(st.floats(min_value=1e-3, max_value=500.0))
def test_a_weighed_mass_is_off_by_at_most_half_a_step(target_kg: float) -> None:
    mass_kg, step_kg = to_scale(target_kg, SCALES)
    assert abs(mass_kg - target_kg) <= step_kg / 2 * (1 + 1e-9)


def test_a_coarse_scale_is_warned_of(write_job: Write) -> None:
    text = HEAD + slab("A", "4 ft") + '[workshop]\nscales = [{ step = "5 lb" }]\n'
    _, _, _, batching = planned(write_job(text))
    assert any("coated-eps-bead weighed to the scale is" in warning.text for warning in batching.warnings)


def test_pot_life_halves_from_70_to_90_degrees_and_never_grows(write_job: Write) -> None:
    job = read_job(write_job(HEAD + slab("A", "4 ft"))).sound()
    # common practice: 25 to 40 min at 70 °F, about half of that at 90 °F
    assert pot_life_s(job.workshop, (70 - 32) / 1.8) == pytest.approx(30 * 60)
    assert pot_life_s(job.workshop, (90 - 32) / 1.8) == pytest.approx(15 * 60)
    assert pot_life_s(job.workshop, (80 - 32) / 1.8) == pytest.approx(30 * 60 * 0.5**0.5)
    assert pot_life_s(job.workshop, 5.0) == pytest.approx(30 * 60)


def test_a_crew_lays_no_more_within_the_pot_life_than_its_rate(write_job: Write) -> None:
    layers = 'layers = [{ mix = "backer-45", method = "hand", waste = 0.0 }]\nquantity = 6\nforms = 6'
    text = HEAD + slab("A", "2 ft", layers)
    _, _, _, batching = planned(write_job(text))
    # two people at 25 ft² an hour of 3/8 in lay 25 ft² · 3/8 in in half an hour; a piece is 4 ft² · 1 in
    fits = int(25 * (3 / 8) / (4 * 1))
    assert [len(batch.marks) for batch in batching.batches] == [fits]
    assert all(batch.placing_s <= batching.pot_life_s for batch in batching.batches)


def test_the_batches_of_a_colour_group_are_levelled(write_job: Write) -> None:
    mix = '[mixes.sand-grey]\nbased_on = "backer-45"\ncolour_group = "{}"\n'
    pieces = slab("A", "3 ft", 'mix = "sand-grey"\nquantity = 7\nforms = 7')
    plain = planned(write_job(HEAD + pieces + mix.replace('\ncolour_group = "{}"', "")))[3]
    alike = planned(write_job(HEAD + pieces + mix.format("lobby")))[3]

    def sizes(batching):  # type: ignore[no-untyped-def]
        return sorted(len(batch.marks) for batch in batching.batches for _ in range(batch.count))

    assert sum(sizes(alike)) == sum(sizes(plain)) == 7
    assert max(sizes(alike)) - min(sizes(alike)) <= 1 <= max(sizes(plain)) - min(sizes(plain))


def test_a_thick_hand_laid_back_is_built_in_lifts_on_a_fresh_face(write_job: Write) -> None:
    layers = 'layers = [{ mix = "face", thickness = "1/8 in", method = "spray" }, { mix = "backer-45" }]'
    job, takeoff, _, _ = planned(write_job(HEAD + slab("A", "4 ft", layers)))
    placing = placing_of(takeoff.pieces[0], job.mixes, job.workshop)
    face, back = placing.layers
    # common practice: lifts of at most 3/8 in; the back 15 to 45 min after the face
    assert (face.lifts, face.wait_s) == (1, None)
    assert back.thickness_m == pytest.approx(7 / 8 * 0.0254)
    assert (back.lifts, back.wait_s) == (3, (15 * 60, 45 * 60))
    assert placing.hone_most_m == pytest.approx(0.0254 / 32)


def test_a_piece_without_a_face_coat_names_no_depth_to_hone(write_job: Write) -> None:
    job, takeoff, _, _ = planned(write_job(HEAD + slab("A", "4 ft")))
    assert placing_of(takeoff.pieces[0], job.mixes, job.workshop).hone_most_m is None


def test_a_full_bucket_is_expected_within_the_density_tolerance(write_job: Write) -> None:
    _, _, mixes, batching = planned(write_job(HEAD + slab("A", "4 ft") + "[workshop]\ndensity_tolerance = 0.04\n"))
    check = batching.buckets["backer-45"]
    gallon_m3 = 231 * 0.0254**3
    net_kg = 5 * gallon_m3 * mixes["backer-45"].fresh_density_kg_m3
    assert check.expected_kg == pytest.approx(net_kg + 2 * POUND_KG)
    assert (check.low_kg, check.high_kg) == pytest.approx((0.96 * net_kg + 2 * POUND_KG, 1.04 * net_kg + 2 * POUND_KG))


def test_a_drill_takes_liquids_first_and_fibre_last(write_job: Write) -> None:
    text = HEAD + slab("A", "4 ft") + '[workshop]\nmixer = { kind = "drill" }\n'
    load = planned(write_job(text))[3].batches[0].load
    assert load[0].material == "water"
    assert [each.material for each in load][-2:] == ["water", "ar-glass-chopped"]


def test_what_waste_leaves_over_makes_coupons_and_then_sample_boards(write_job: Write) -> None:
    _, _, _, batching = planned(write_job(HEAD + slab("A", "8 ft")))
    (batch,) = batching.batches
    waste_m3 = 0.10 * 96 * 24 * 1 * 0.0254**3 / batch.count
    assert batch.left_over_m3 == pytest.approx(waste_m3, rel=0.01)
    coupon_m3, board_m3 = 12 * 2 * 0.5 * 0.0254**3, 12 * 12 * 0.5 * 0.0254**3
    assert batch.coupons == min(6, int(batch.left_over_m3 / coupon_m3)) == 6
    assert batch.samples == int((batch.left_over_m3 - 6 * coupon_m3) / board_m3)
    assert any("coupons first" in note for note in batch.notes)


@pytest.mark.parametrize(
    ("key", "told"),
    [
        ('loading_order = ["sand"]', "loading_order leaves out light-aggregate, cement"),
        ('mixer = { kind = "pan" }', 'mixer.kind "pan" has no way of loading. Known: paddle, drill; or add its own.'),
    ],
)
def test_a_mixer_that_nobody_can_load_is_refused(write_job: Write, key: str, told: str) -> None:
    faults = read_job(write_job(HEAD + slab("A", "4 ft") + f"[workshop]\n{key}\n")).faults
    assert told in str(faults[0])


def test_a_hot_pour_leaves_each_batch_the_time_of_its_own_temperature(write_job: Write) -> None:
    text = HEAD + slab("A", "4 ft", 'pour = "noon"\ncure = { mix_temperature = "90 °F" }') + slab("B", "4 ft")
    hot, mild = sorted(planned(write_job(text))[3].batches, key=lambda batch: batch.place_within_s)
    # common practice: about half as long at 90 °F as at 70 °F
    assert (hot.pour, hot.place_within_s / 60) == ("noon", pytest.approx(15))
    assert (mild.pour, mild.place_within_s / 60) == ("day 1", pytest.approx(30))
    assert any("sets sooner" in note for note in hot.notes)
    assert not any("sets sooner" in note for note in mild.notes)


def test_a_batch_shared_by_a_hot_and_a_mild_piece_goes_by_the_hot_one(write_job: Write) -> None:
    text = HEAD + slab("A", "2 ft", 'cure = { mix_temperature = "90 °F" }') + slab("B", "2 ft")
    (batch,) = planned(write_job(text))[3].batches
    assert batch.marks == ("A", "B")
    assert batch.place_within_s / 60 == pytest.approx(15)


def test_a_job_cast_warm_shortens_every_batch(write_job: Write) -> None:
    (batch,) = planned(write_job(HEAD + slab("A", "2 ft") + '[cure]\nmix_temperature = "90 °F"\n'))[3].batches
    assert batch.place_within_s / 60 == pytest.approx(15)


def test_a_retarder_is_said_and_lengthens_the_time_only_as_the_workshop_has_timed(write_job: Write) -> None:
    mix = '[mixes.slow]\nbased_on = "backer-45"\nadmixtures = { blended-admixture-powder = 0.035, retarder = 0.002 }\n'
    text = HEAD.replace('"backer-45"', '"slow"') + slab("A", "2 ft") + mix
    (batch,) = planned(write_job(text))[3].batches
    assert batch.place_within_s / 60 == pytest.approx(30)
    assert any("retarder" in note for note in batch.notes)
    (timed,) = planned(write_job(text + "[workshop.mixing]\npot_life_retarder = 1.5\n"))[3].batches
    assert timed.place_within_s / 60 == pytest.approx(45)
    (plain,) = planned(write_job(HEAD + slab("A", "2 ft") + "[workshop.mixing]\npot_life_retarder = 1.5\n"))[3].batches
    assert plain.place_within_s / 60 == pytest.approx(30)


def test_bead_mixes_are_kept_stiff_and_never_vibrated(write_job: Write) -> None:
    # common practice
    (beads,) = planned(write_job(HEAD + slab("A", "2 ft")))[3].batches
    assert any("stiff" in note for note in beads.notes)
    assert any("Never vibrate" in note for note in beads.notes)
    (sand,) = planned(write_job(HEAD.replace("backer-45", "backer-0") + slab("A", "2 ft")))[3].batches
    assert not any("stiff" in note or "vibrate" in note for note in sand.notes)
    fluid = '[mixes.backer-45]\nbased_on = "backer-45"\nconsistency = "fluid"\n'
    (poured,) = planned(write_job(HEAD + slab("A", "2 ft") + fluid))[3].batches
    assert any("written as fluid" in note for note in poured.notes)


def test_the_sheet_says_how_a_back_coat_meets_its_face(write_job: Write) -> None:
    # common practice: fingerprint without smearing; a set face may part; passes rolled; honing within the face coat
    layers = 'layers = [{ mix = "face", thickness = "1/8 in", method = "spray" }, { mix = "backer-45" }]'
    (placing,) = planned(write_job(HEAD + slab("A", "2 ft", layers)))[3].placing
    for part in ("neither fibre nor bead", "print in the face", "may part from it", "roll each", "Hone off no more"):
        assert any(part in note for note in placing.notes), part
    (bare,) = planned(write_job(HEAD + slab("A", "2 ft")))[3].placing
    assert [note[:19] for note in bare.notes] == ["No plain face coat:"]
    assert bare.hone_most_m is None


def test_less_is_honed_off_a_thinner_face(write_job: Write) -> None:
    layers = 'layers = [{ mix = "face", thickness = "1/16 in", method = "spray" }, { mix = "backer-45" }]'
    (placing,) = planned(write_job(HEAD + slab("A", "2 ft", layers)))[3].placing
    assert placing.hone_most_m == pytest.approx(0.0254 / 64)


def test_a_workshop_words_its_own_sheet(write_job: Write) -> None:
    own = '[workshop.practice]\nno_vibration = "Hands only."\n'
    (batch,) = planned(write_job(HEAD + slab("A", "2 ft") + own))[3].batches
    assert "Hands only." in batch.notes
    faults = read_job(write_job(HEAD + slab("A", "2 ft") + '[workshop.practice]\nvibration = "No."\n')).faults
    assert str(faults[0]).startswith("job.toml: workshop, practice.vibration")


def test_a_bucket_that_is_off_says_what_to_do(write_job: Write) -> None:
    check = planned(write_job(HEAD + slab("A", "2 ft")))[3].buckets["backer-45"]
    assert "beads short" in check.when_heavy
    assert "beads over" in check.when_light


def test_a_day_that_is_too_long_for_crew_or_mixer_is_warned_of(write_job: Write) -> None:
    layers = 'layers = [{ mix = "backer-45", method = "hand" }]\nquantity = 60\nforms = 60'
    _, _, _, batching = planned(write_job(HEAD + slab("A", "4 ft", layers)))
    (work,) = batching.work
    # 60 pieces of 8 ft² of 1 in at 2 · 25 ft² an hour of 3/8 in
    assert work.placing_s / 3600 == pytest.approx(60 * 8 / (2 * 25) * 1 / (3 / 8))
    assert work.mixing_s == sum(batch.count for batch in batching.batches) * 8 * 60
    assert any("25.6 h of work for a crew of 2, in a day of 8 h" in warning.text for warning in batching.warnings)


def test_a_loss_that_fills_the_mixer_is_a_fault_of_the_input(write_job: Write) -> None:
    with pytest.raises(InputError) as raised:
        planned(write_job(HEAD + slab("A", "2 ft") + '[workshop]\nloss_per_batch = "900 lb"\n'))
    assert [str(fault) for fault in raised.value.faults] == [
        "job.toml: workshop.loss_per_batch: fills the whole mixer with mix backer-45. Correct it, or the mixer."
    ]


def test_a_face_batch_covers_no_more_than_can_be_backed_while_it_is_fresh(write_job: Write) -> None:
    layers = 'layers = [{ mix = "face", thickness = "1/8 in", method = "spray" }, { mix = "backer-45" }]'
    _, _, _, batching = planned(write_job(HEAD + slab("A", "3 ft", f"{layers}\nquantity = 8\nforms = 8")))
    # two people at 25 ft² an hour of 3/8 in lay the 7/8 in back of 6 ft² in 16.8 min: the face of the fourth of a
    # batch would wait 50 min, over the 45 min of common practice
    faces = [len(batch.marks) for batch in batching.batches if batch.mix == "face" for _ in range(batch.count)]
    assert sorted(faces) == [2, 3, 3]
