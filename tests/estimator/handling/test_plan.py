"""Handling plans of whole jobs: crews, picks, bending, use, access, delivery."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import pytest

from estimator.estimate import Estimate
from estimator.handling import niosh, people
from estimator.handling.doubts import Doubt, gear_message
from estimator.intake import read_job
from geometry.message import message
from tests.estimator.handling.conftest import CUT, SINK, SLAB, One, doubts_of, piece

ROOT = Path(__file__).parents[3]
INCH_M, POUND_KG, G = 0.0254, 0.45359237, 9.80665


# ----------------------------------------------------------------------------- by hand


def test_the_crew_carries_the_high_weight_within_the_shops_limit(estimate_piece: One) -> None:
    estimated = estimate_piece(piece())
    carry = estimated.handling.lift("carry")
    assert carry is not None
    assert carry.weight_kg == estimated.weight.lift_kg
    assert carry.crew.persons is not None
    assert (
        estimated.weight.lift_kg / carry.crew.persons
        <= 50 * POUND_KG
        < estimated.weight.lift_kg / (carry.crew.persons - 1)
    )


def test_flipping_in_the_form_has_a_crew_of_its_own_and_counts_the_boards(estimate_piece: One) -> None:
    estimated = estimate_piece(piece())
    turn = estimated.handling.lift("turn")
    assert turn is not None
    # common practice: form board on the form's faces and a flip board on the plan, 2.75 lb/ft² each
    board_kg_m2 = 2.75 * POUND_KG / 0.3048**2
    solid = estimated.taken.solid
    boards_kg = board_kg_m2 * (solid.form_area_m2 + 2.4 * 0.65)
    assert turn.weight_kg == pytest.approx(estimated.weight.demould.high_kg + boards_kg, rel=1e-12)


def test_stairs_have_a_limit_of_their_own_and_never_need_fewer_people(estimate_piece: One) -> None:
    site = '[site]\nstairs = [{ width = "1.2 m", headroom = "2.4 m", pitch = "35 deg" }]\ndistance = "18 m"\n'
    level, stairs = estimate_piece(piece()), estimate_piece(piece() + site)
    lift = stairs.handling.lift("stairs")
    assert lift is not None
    assert lift.crew.limit_kg == pytest.approx(35 * POUND_KG)
    assert stairs.handling.carry.by_machine or stairs.handling.carry.persons >= (level.handling.carry.persons or 5)
    assert {"stairs", "long-carry"} <= set(stairs.cautions)


def test_the_lifting_equation_screens_the_crew(estimate_piece: One) -> None:
    lift = estimate_piece(piece()).handling.lift("carry")
    assert lift is not None
    # source: NIOSH 94-110, RWL = 23 · HM · VM · DM · AM · FM · CM: H 40 cm, V 75 cm at both ends, poor grip, F 0.2
    expected_kg = 23 * (25 / 40) * (1 - 0.003 * abs(75 - 75)) * 1.0 * 1.0 * 1.0 * 0.90
    assert lift.task.rwl_kg == pytest.approx(expected_kg, rel=1e-9)
    assert lift.lifting_index == pytest.approx(lift.crew.share_kg / expected_kg, rel=1e-9)
    assert lift.remark == message("above-guideline")


def test_a_counter_drawn_away_from_the_origin_balances_like_one_drawn_at_it(estimate_piece: One) -> None:
    def drawn(x: float) -> str:
        corners = [(0, 0), (1800, 0), (1800, 600), (0, 600)]
        points = ", ".join(f"[{x + a}, {x + b}]" for a, b in corners)
        return f'{{ kind = "outline", unit = "mm", points = [{points}], thickness = "25 mm" }}'

    here, there = estimate_piece(piece(drawn(0))), estimate_piece(piece(drawn(5000)))
    assert [hold.share_kg for hold in there.handling.carry.holds] == pytest.approx(
        [hold.share_kg for hold in here.handling.carry.holds], rel=1e-9
    )
    for near, far in zip(here.handling.lifting.rigging, there.handling.lifting.rigging, strict=True):
        assert far.shares.shares_kg == pytest.approx(near.shares.shares_kg, rel=1e-6)
        for there_m, here_m in zip(far.picks_m, near.picks_m, strict=True):
            assert there_m == pytest.approx((here_m[0] + 5, here_m[1] + 5))


def test_the_lower_end_takes_more_weight_on_stairs(estimate_piece: One) -> None:
    site = '[site]\nstairs = [{ width = "1.2 m", headroom = "2.4 m", pitch = "35 deg" }]\n'
    light = '{ kind = "slab", length = "1.2 m", width = "500 mm", thickness = "15 mm" }'
    estimated = estimate_piece(piece(light) + site)
    lift = estimated.handling.lift("stairs")
    assert lift is not None
    assert lift.crew.persons == 2
    # first principles: on edge the center of gravity, 250 mm above the hands, leans 250 · tan 35° to the lower end
    lower = 0.5 + 0.25 * 0.70021 / 1.2
    assert lift.crew.share_kg == pytest.approx(lift.weight_kg * lower, rel=1e-4)


# ----------------------------------------------------------------------------- by gear


def test_stripping_counts_adhesion_before_the_dynamic_factor(estimate_piece: One) -> None:
    estimated = estimate_piece(piece(SLAB, 'handling = { release = "suction" }'))
    strip = estimated.handling.lifting.greatest
    assert strip.stage == "strip"
    # catalog: varnished timber 2.0 kPa on the form's faces; dynamic factor 1.3
    adhesion_kg = 2000.0 * estimated.taken.solid.form_area_m2 / G
    assert strip.adhesion_kg == pytest.approx(adhesion_kg, rel=1e-12)
    assert strip.load_kg == pytest.approx((estimated.weight.demould.high_kg + adhesion_kg) * 1.3, rel=1e-12)
    assert "form-adhesion" in estimated.cautions


def test_the_catalog_holds_the_figures_that_its_sources_print() -> None:
    shop = read_job(ROOT / "examples/boathouse/job.toml").sound().workshop.handling
    # as in the PCI handbook, from memory; the low end for stripping, since adhesion is counted separately
    assert (shop.dynamic_strip, shop.dynamic_turn, shop.dynamic_yard) == (1.3, 1.2, 1.2)
    assert (shop.dynamic_transport, shop.dynamic_install) == (1.5, 1.2)
    assert shop.crack_factor == 1.5
    assert shop.adhesion_pa == 2000.0  # trade guides: varnished timber, from memory
    assert (shop.insert_factor, shop.hardware_factor) == (4.0, 5.0)  # source: 29 CFR 1926.704 (read)
    assert shop.vacuum_factor == 2.0  # practice of EN 13155
    assert shop.vacuum_friction == 0.2  # a wet face
    # common practice: 50 lb a person, 35 lb on stairs; a rail under 3 in, an overhang over 6 in; brackets each 16 in
    assert (shop.limit_level_kg, shop.limit_stairs_kg) == pytest.approx((50 * POUND_KG, 35 * POUND_KG))
    assert shop.crew_most == people.MAX_CREW
    assert shop.carry_most_m == 10.0  # source: HSE INDG143
    assert (shop.strip_least_m, shop.overhang_most_m, shop.bracket_spacing_m) == pytest.approx(
        (3 * INCH_M, 6 * INCH_M, 16 * INCH_M)
    )
    # common practice: 2.5 to 3 lb/ft² of form board; wet soil about 110 lb/ft³
    assert shop.form_board_kg_m2 == pytest.approx(2.75 * POUND_KG / 0.3048**2)
    assert shop.wet_soil_kg_m3 == pytest.approx(110.0 * POUND_KG / 0.3048**3)
    assert niosh.HIGH_RISK_INDEX == 3.0


def test_the_shops_own_picks_are_used_as_given_and_inserts_get_their_factor(estimate_piece: One) -> None:
    own = """handling = { lifted_by = "slings", picks = { at = [["500 mm", "325 mm"], ["1900 mm", "325 mm"]],
      angle = "30 deg", angle_from = "vertical", insert_strength = "4000 lb", sling_rating = "2000 lb" } }"""
    estimated = estimate_piece(piece(more=own.replace("\n", " ")))
    (rig,) = estimated.handling.lifting.rigging
    load_kg = estimated.handling.lifting.greatest.load_kg
    # source: statics, ASME B30.9 practice: 60° from the horizontal multiplies a leg's share by 1.155
    assert rig.shares.shares_kg == pytest.approx([load_kg / 2] * 2, rel=1e-9)
    assert rig.tension_kg == pytest.approx(1.1547 * load_kg / 2, rel=1e-4)
    assert rig.insert_required_kg == pytest.approx(4 * rig.tension_kg)  # source: 29 CFR 1926.704
    assert rig.sling.shown_safe
    assert {"rigging", "insert-strength"} <= set(estimated.cautions)
    assert "rating-missing" not in estimated.cautions


def test_a_missing_rating_is_stated_in_red_and_as_a_caution(estimate_piece: One) -> None:
    estimated = estimate_piece(piece(more='handling = { lifted_by = "inserts" }'))
    assert "No load rating on file for the lifting inserts." in doubts_of(estimated)
    assert "No load rating on file for the slings." in doubts_of(estimated)
    assert "rating-missing" in estimated.cautions


def test_vacuum_counts_only_on_a_face_that_passed_a_leak_test(estimate_piece: One) -> None:
    untested = estimate_piece(piece(more='handling = { lifted_by = "vacuum" }'))
    measured = 'vacuum = "60 kPa", vacuum_holds = "10 min"'
    tested = estimate_piece(piece(more=f'handling = {{ lifted_by = "vacuum", {measured} }}'))
    words = "Nobody measured the vacuum on this face, or how long the pads stay tight. Measure both before you lift."
    assert words in doubts_of(untested)
    assert words not in doubts_of(tested)
    pads = tested.handling.lifting.vacuum.flat
    # source: practice of EN 13155: pad of 250 mm at 60 kPa holds 2,945 N; 150.1 kg with factor 2
    assert pads.capacity_kg == pytest.approx(pads.pads * 150.15, rel=1e-3)
    assert pads.load_kg <= pads.capacity_kg
    assert pads.pads == len(tested.handling.lifting.vacuum.places_m)


def test_proposed_picks_never_lie_in_a_cutout(estimate_piece: One) -> None:
    middle = '{ kind = "rectangle", length = "500 mm", width = "300 mm", x = "400 mm", y = "175 mm" }'
    estimated = estimate_piece(piece(CUT.replace(SINK, middle)))
    around = estimated.handling.lifting.rigging[0]
    assert around.key == "slings-around"
    # 3 in and 7.5 thicknesses clear of the span from 0.4 to 0.9 m
    for x, y in around.picks_m:
        assert not 0.4 - 0.1875 < x < 0.9 + 0.1875
        assert y in (pytest.approx(0.0), pytest.approx(0.65))


# ----------------------------------------------------------------------------- will it crack


def test_a_cutout_is_checked_on_its_rails_at_the_weight_of_the_piece(estimate_piece: One) -> None:
    estimated = estimate_piece(piece(CUT))
    by_ends = estimated.handling.cracking.checks[0]
    demould = estimated.weight.demould.high_kg
    assert by_ends.weight_kg == pytest.approx(demould, rel=1e-9)
    # first principles: uniform plate w over L less the cut-out's load about midspan, on .22 m of 25 mm, times 1.2
    w = demould * G / (0.65 * 2.4 - 0.56 * 0.43)
    moment = w * 0.65 * 2.4**2 / 8 - w * 0.43 * 0.56 / 2 * (1.2 - 0.56 / 4)
    assert by_ends.stress_pa == pytest.approx(1.2 * moment / (0.22 * 0.025**2 / 6), rel=1e-6)
    assert estimated.handling.cracking.beam.weakest is not None
    assert estimated.handling.cracking.beam.weakest.width_m == pytest.approx(0.22, rel=1e-6)


def test_untested_strength_never_counts_as_safe(estimate_piece: One) -> None:
    estimated = estimate_piece(piece())
    assert estimated.handling.cracking.first_crack.later_pa is None
    assert "May crack when carried. No strength test for the mix." in doubts_of(estimated)
    assert {"strength-untested", "may-crack"} <= set(estimated.cautions)


def test_a_tested_mix_shows_which_ways_of_holding_are_safe(estimate_piece: One) -> None:
    mix = '[mixes.tested]\nbased_on = "backer-45"\nfirst_crack_strength = "{}"\n'
    weak = estimate_piece(piece(CUT, 'mix = "tested"') + mix.format("4 MPa"))
    strong = estimate_piece(piece(CUT, 'mix = "tested"') + mix.format("40 MPa"))
    edge = estimate_piece(piece(CUT, 'mix = "tested"\nhandling = { carried = "edge" }') + mix.format("4 MPa"))
    flat = estimate_piece(piece(CUT, 'mix = "tested"\nhandling = { carried = "flat" }') + mix.format("4 MPa"))
    assert "May crack when carried flat by the ends. Not strong enough. Do not move it this way." in doubts_of(flat)
    assert flat.handling.cracking.advice[0] == "carry-on-edge"
    assert strong.handling.cracking.doubts == ()
    assert "may-crack" in flat.cautions
    # a plate goes on edge unless the shop says otherwise, and on edge it holds
    assert weak.handling.cracking.doubts == edge.handling.cracking.doubts == ()
    weaker = estimate_piece(piece(CUT, 'mix = "tested"') + mix.format("0.4 MPa"))
    assert [doubt.id for doubt in weaker.handling.cracking.doubts] == ["carry-not-enough"]
    assert "May crack when tilted up on its long edge. Not strong enough. Do not move it this way." in doubts_of(weaker)


def test_one_untested_layer_makes_the_whole_piece_untested(estimate_piece: One) -> None:
    mix = '[mixes.tested]\nbased_on = "backer-45"\nfirst_crack_strength = "40 MPa"\n'
    layers = 'layers = [{ mix = "face", thickness = "3 mm" }, { mix = "tested" }]'
    assert estimate_piece(piece(SLAB, layers) + mix).handling.cracking.first_crack.later_pa is None


def test_returns_stiffen_a_panel(estimate_piece: One) -> None:
    plain = estimate_piece(piece('{ kind = "panel", length = "2 m", height = "600 mm", skin = "15 mm" }', use="panel"))
    ribbed = estimate_piece(
        piece(
            '{ kind = "panel", length = "2 m", height = "600 mm", skin = "15 mm", returns = '
            '[{ sides = ["bottom", "top"], depth = "60 mm", thickness = "15 mm" }] }',
            use="panel",
        )
    )
    assert ribbed.handling.cracking.checks[0].stress_pa < plain.handling.cracking.checks[0].stress_pa


def test_a_slender_rail_beside_a_cutout_is_flagged(estimate_piece: One) -> None:
    near = SINK.replace('y = "110 mm"', 'y = "40 mm"')
    estimated = estimate_piece(piece(CUT.replace(SINK, near)))
    assert estimated.handling.cracking.narrowest_rail_m == pytest.approx(0.040, abs=1e-9)
    assert "slender-strip" in estimated.cautions
    assert message("gear-strongback") in estimated.handling.gear


# ----------------------------------------------------------------------------- in use, access, delivery


def test_a_planter_outdoors_is_weighed_soaked_and_full_of_wet_soil(estimate_piece: One) -> None:
    box = '{ kind = "box", length = "900 mm", width = "400 mm", height = "450 mm", wall = "20 mm", base = "25 mm" }'
    dry, wet = (
        estimate_piece(piece(box, use="planter")),
        estimate_piece(piece(box, "in_place = { outdoors = true }", "planter")),
    )
    soil_m3 = 0.86 * 0.36 * 0.425
    assert wet.weight.soil_kg == pytest.approx(soil_m3 * 110 * POUND_KG / 0.3048**3, rel=1e-9)
    assert wet.weight.filled_kg is not None
    assert wet.weight.soaked is not None
    assert wet.weight.soaked.nominal_kg == pytest.approx(1.12 * wet.weight.oven_dry_kg)
    assert wet.handling.in_use.standing is not None
    assert wet.handling.in_use.standing.weight_kg == pytest.approx(wet.weight.high_kg + wet.weight.soil_kg)
    assert dry.weight.soaked is None
    assert message("assumed-indoors") in dry.weight.assumptions


def test_a_hung_panel_shares_its_weight_among_its_anchors(estimate_piece: One) -> None:
    shape = '{ kind = "panel", length = "2 m", height = "600 mm", skin = "15 mm" }'
    own = 'in_place = { anchors = ["300 mm", "1500 mm"], anchor_height = "500 mm" }'
    estimated = estimate_piece(piece(shape, own, "panel"))
    hung = estimated.handling.in_use.hung
    assert hung is not None
    assert hung.load.bearing_kg == pytest.approx([estimated.weight.high_kg * 5 / 12, estimated.weight.high_kg * 7 / 12])
    assert hung.load.couple_n_m == pytest.approx(estimated.weight.high_kg * G * 0.0075)
    assert hung.load.push_n == pytest.approx(hung.load.couple_n_m / 0.5)
    assert "hung-panel" in estimated.cautions


def test_the_overhang_of_a_counter_is_flagged_and_brackets_are_proposed(estimate_piece: One) -> None:
    estimated = estimate_piece(piece(more='in_place = { overhang = "250 mm" }'))
    standing = estimated.handling.in_use.standing
    assert standing is not None
    assert standing.overhang is not None
    assert standing.overhang.allowed_m == 0.0, "an untested mix overhangs nothing"
    assert standing.overhang.needs_support
    places = standing.overhang.bracket_places_m
    assert max(b - a for a, b in pairwise(places)) <= 16 * INCH_M + 1e-9
    assert standing.kg_per_m == pytest.approx(estimated.weight.high_kg / 2.4)
    assert standing.kg_per_m2 == pytest.approx(estimated.weight.high_kg / (2.4 * 0.4))
    assert "counter-overhang" in estimated.cautions


def test_a_counter_bears_on_its_own_plan_alone(estimate_piece: One) -> None:
    """Neither in the corner that an L leaves open nor at its sink is anything that carries it."""
    corners = '[["0 m", "0 m"], ["2 m", "0 m"], ["2 m", "0.6 m"], ["0.6 m", "0.6 m"], ["0.6 m", "2 m"], ["0 m", "2 m"]]'
    sink = '{ kind = "rectangle", length = "500 mm", width = "400 mm", x = "1 m", y = "100 mm" }'
    shape = f'{{ kind = "outline", points = {corners}, thickness = "20 mm", cutouts = [{sink}] }}'
    estimated = estimate_piece(piece(shape))
    standing = estimated.handling.in_use.standing
    assert standing is not None
    assert standing.kg_per_m2 == pytest.approx(estimated.weight.high_kg / (2.0 * 0.6 + 0.6 * 1.4 - 0.5 * 0.4))


SITE = """[site]
door = { width = "800 mm", height = "2 m" }
turns = [{ from = "900 mm", to = "900 mm", height = "2.1 m" }]
lift = { width = "1 m", depth = "1.2 m", height = "2.1 m", rating = "600 kg" }
"""


def test_a_piece_too_large_for_the_access_is_offered_a_seam_clear_of_the_cutout(estimate_piece: One) -> None:
    estimated = estimate_piece(piece(CUT.replace('"2.4 m"', '"3.4 m"')) + SITE)
    way = estimated.handling.access
    assert way.doubts
    assert "access-not-shown" in estimated.cautions
    assert way.seams_m
    assert all(seam <= 0.92 - 3 * INCH_M + 1e-9 or seam >= 1.48 + 3 * INCH_M - 1e-9 for seam in way.seams_m)
    parts = [b - a for a, b in zip((0.0, *way.seams_m), (*way.seams_m, 3.4), strict=True)]
    assert way.longest_part_m is not None
    assert max(parts) <= way.longest_part_m + 1e-9


def test_an_elevator_without_a_rating_does_not_count_as_safe(estimate_piece: One) -> None:
    estimated = estimate_piece(piece('{ kind = "slab", length = "1 m", width = "600 mm", thickness = "25 mm" }') + SITE)
    bare = estimate_piece(
        piece('{ kind = "slab", length = "1 m", width = "600 mm", thickness = "25 mm" }')
        + SITE.replace(', rating = "600 kg"', "")
    )
    assert estimated.handling.access.doubts == ()
    assert bare.handling.access.doubts == (Doubt("rating-missing", gear_message("elevator")),)
    assert "rating-missing" in bare.cautions


def test_without_a_site_a_standard_door_is_assumed_and_stated(estimate_piece: One) -> None:
    estimated = estimate_piece(piece())
    assert estimated.handling.access.assumed
    assert message("access-assumed") in estimated.handling.assumptions


def test_all_pieces_stand_on_racks_and_all_racks_on_trips(estimate_job: Callable[[str], Estimate]) -> None:
    box = '{ kind = "box", length = "900 mm", width = "400 mm", height = "450 mm", wall = "20 mm" }'
    estimated = estimate_job(piece(more="quantity = 30") + piece(box, "quantity = 25", "planter", "P1"))
    delivery = estimated.delivery
    counted = {"C1": 0, "P1": 0}
    for stand in delivery.stands:
        assert stand.load.floor_kg <= delivery.payload_kg
        for mark, count in stand.pieces.items():
            counted[mark] += count
    assert counted == {"C1": 30, "P1": 25}
    assert sorted(i for trip in delivery.trips for i in trip.stands) == list(range(len(delivery.stands)))
    assert all(trip.truck.shown_safe for trip in delivery.trips)
    assert len(delivery.trips) > 1
    for stand in delivery.stands:
        # source: 49 CFR 393.106: working load of the tie-downs at least half the load
        assert stand.tie.working_load_kg == pytest.approx(stand.load.floor_kg / 2)


def test_a_piece_over_the_payload_of_the_truck_is_reported(estimate_job: Callable[[str], Estimate]) -> None:
    estimated = estimate_job(piece() + '[workshop.transport]\ntruck_payload = "120 kg"\n')
    assert Doubt("rating-over", gear_message("truck")) in estimated.delivery.doubts


def coupons(*sets: tuple[str, int]) -> str:
    """Six coupons a set: (age, limit of the weakest in N)."""
    rows = [
        f'{{ pour = "A", age = "{age}", face = "{"up" if i % 2 else "down"}", span = "200 mm", width = "50 mm", '
        f'depth = "10 mm", peak = "{3 * least} N", limit = "{least + i} N" }}'
        for age, least in sets
        for i in range(6)
    ]
    return f'[mixes.tested]\nbased_on = "backer-45"\ncoupons = [{", ".join(rows)}]\n'


def test_a_strength_tested_late_does_not_count_when_the_form_is_stripped(estimate_piece: One) -> None:
    tested = piece(SLAB.replace("25 mm", "12 mm"), 'mix = "tested"')
    both = estimate_piece(tested + coupons(("24 h", 100), ("28 days", 300))).handling.cracking
    only = estimate_piece(tested + coupons(("28 days", 300)))
    assert both.first_crack.strip_pa is not None
    assert both.first_crack.later_pa is not None
    assert both.first_crack.strip_pa < both.first_crack.later_pa
    assert only.handling.cracking.first_crack.strip_pa is None
    words = "Strength tested at 28 days only. May crack if moved sooner."
    assert words in doubts_of(only)
    assert not only.handling.cracking.shown_safe


def test_a_trough_bends_as_base_and_two_walls(estimate_piece: One) -> None:
    box = '{ kind = "box", length = "2 m", width = "400 mm", height = "450 mm", wall = "20 mm", base = "25 mm" }'
    estimated = estimate_piece(piece(box, use="planter"))
    by_ends = estimated.handling.cracking.checks[0]
    weight_kg = estimated.weight.demould.high_kg
    assert by_ends.weight_kg == pytest.approx(weight_kg, rel=1e-9)
    # first principles: U of 400 x 25 and twice 20 x 425 mm about its own axis; weights by area, the ends full
    areas, heights = [0.4 * 0.025, 2 * 0.02 * 0.425], [0.0125, 0.025 + 0.2125]
    axis = sum(a * z for a, z in zip(areas, heights, strict=True)) / sum(areas)
    second = 0.4 * 0.025**3 / 12 + 2 * 0.02 * 0.425**3 / 12
    second += sum(a * (z - axis) ** 2 for a, z in zip(areas, heights, strict=True))
    volume = sum(areas) * 1.96 + 2 * 0.02 * 0.4 * 0.45
    w = weight_kg * G / volume * sum(areas)
    # the end walls lie above the hands except for half their thickness
    ends = weight_kg * G / volume * 0.4 * 0.45 * 0.02
    moment = (w * 1.96 / 2 + ends) * 1.0 - ends * 0.99 - w * 0.98 * 0.49
    assert by_ends.stress_pa == pytest.approx(1.2 * moment / (second / (0.45 - axis)), rel=1e-9)
    assert {check.carry.attitude for check in estimated.handling.cracking.checks} == {"flat"}


def test_a_moulding_bends_with_the_modulus_of_its_profile(estimate_piece: One) -> None:
    shape = '{ kind = "extrusion", unit = "mm", profile = [[0, 0], [60, 0], [60, 120], [0, 120]], length = "2.5 m" }'
    estimated = estimate_piece(piece(shape, use="other"))
    checks = {check.carry.key: check for check in estimated.handling.cracking.checks}
    moment = estimated.weight.demould.high_kg * G * 2.5 / 8
    # first principles: b h² / 6, lying as cast and on its side
    assert checks["flat-ends"].stress_pa == pytest.approx(1.2 * moment / (0.06 * 0.12**2 / 6), rel=1e-6)
    assert checks["edge-ends"].stress_pa == pytest.approx(1.2 * moment / (0.12 * 0.06**2 / 6), rel=1e-6)


def test_the_bending_of_a_bowl_is_reported_as_not_checked(estimate_piece: One) -> None:
    shape = '{ kind = "revolution", unit = "mm", profile = [[0, 0], [200, 0], [250, 150], [0, 150]], wall = "15 mm" }'
    estimated = estimate_piece(piece(shape, use="basin"))
    assert "Bending not checked for this shape. A qualified person decides." in doubts_of(estimated)
    assert "may-crack" not in estimated.cautions
