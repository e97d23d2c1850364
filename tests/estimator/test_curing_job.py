"""Curing of whole job files: results agree with shop practice, and nothing unknown is guessed."""

import json
from collections.abc import Callable
from dataclasses import astuple, fields
from pathlib import Path
from typing import Any

import pytest

from estimator.cement import CementAnalysis
from estimator.commands.jobs import estimate_file
from estimator.curing import covers
from estimator.curing.maturity import SILICA_FUME_FROM
from estimator.curing.pieces import covers_of, cure
from estimator.document import Document, to_document, to_json
from estimator.estimate import Estimate
from estimator.explain import workings_of
from estimator.intake import read_job
from estimator.job import Cure
from estimator.serialize import json_of
from estimator.takeoff import Takeoff
from estimator.words import PLAIN
from estimator.workshop import CuringSettings
from tests.curing_shop import ASSUMED_CEMENT, FILM_W_M2_K, HEAT_BAND, PRINTED

approx = pytest.approx
INCH_M = 0.0254
Write = Callable[[str], Path]
HEAD = '[job]\nname = "Cure"\nmix = "backer-45"\n'
WARM_SHOP = '[cure]\nroom = "80 °F"\nmix_temperature = "75 °F"\n'


def slab(mark: str, thickness: str, more: str = "") -> str:
    shape = f'shape = {{ kind = "slab", length = "6 ft", width = "2 ft", thickness = "{thickness}" }}'
    return f'[[piece]]\nmark = "{mark}"\n{more}\n{shape}\n'


def estimated(path: Path) -> Estimate:
    return estimate_file(path)


def curing_of(document: Document, mark: str) -> dict[str, Any]:
    return next(piece["curing"] for piece in document["pieces"] if piece["mark"] == mark)


# --- common practice, from a whole job file --------------------------------------------------------------------------


@pytest.mark.parametrize("mix", ["backer-45", "backer-45-acrylic", "backer-0", "face"])
def test_a_half_inch_sheet_in_a_shop_at_80_f_goes_under_plastic_and_curing_blanket_for_16_hours(
    write_job: Write, mix: str
) -> None:
    # common practice
    document = to_document(estimated(write_job(HEAD.replace("backer-45", mix) + slab("A", "1/2 in") + WARM_SHOP)))
    curing = curing_of(document, "A")
    assert curing["cover"]["answer"] is True
    assert curing["insulate"]["answer"] is True
    assert curing["add_heat"]["answer"] is False
    assert curing["cool_or_layers"]["answer"] is False
    assert curing["strip_h"][0] == curing["covered_h"] == 16.0


@pytest.mark.parametrize("mix", ["backer-45", "backer-45-acrylic", "backer-0", "face"])
def test_an_inch_and_a_half_in_the_same_weather_must_not_have_the_curing_blanket(write_job: Write, mix: str) -> None:
    # common practice
    document = to_document(estimated(write_job(HEAD.replace("backer-45", mix) + slab("A", "1-1/2 in") + WARM_SHOP)))
    curing = curing_of(document, "A")
    assert curing["cover"]["answer"] is True
    assert curing["insulate"]["answer"] is False
    assert "No curing blanket: it" in curing["insulate"]["why"]
    assert curing["cool_or_layers"]["answer"] is False


def test_in_winter_heat_is_added_and_its_caution_given(write_job: Write) -> None:
    # common practice
    winter = '[cure]\nroom = "45 °F"\nmix_temperature = "60 °F"\n'
    done = estimated(write_job(HEAD + slab("A", "1/2 in") + winter))
    curing = curing_of(to_document(done), "A")
    assert curing["add_heat"]["answer"] is True
    assert curing["add_heat"]["room_needed_c"] >= 12.0
    assert "curing-heater" in done.pieces[0].cautions
    assert any("Add heat" in PLAIN.text(warning.text) for warning in done.warnings)


def test_a_hot_thick_piece_is_cooled_or_layered_and_its_caution_given(write_job: Write) -> None:
    # common practice
    summer = '[cure]\nroom = "100 °F"\nmix_temperature = "90 °F"\n'
    done = estimated(write_job(HEAD + slab("A", "3 in") + summer))
    curing = curing_of(to_document(done), "A")
    assert curing["cool_or_layers"]["answer"] is True
    assert 0.0 < curing["cool_or_layers"]["layer_m"] < 3 * INCH_M
    assert "heat-of-hydration" in done.pieces[0].cautions
    assert "heat-of-hydration" not in estimated(write_job(HEAD + slab("A", "1/2 in"))).pieces[0].cautions


# --- sections --------------------------------------------------------------------------------------------------------


def test_the_thickest_section_forbids_the_curing_blanket_that_the_thinnest_would_have(write_job: Write) -> None:
    drop = ', drop_edges = [{ sides = ["front"], height = "4 in", thickness = "1-1/2 in" }] }'
    edged = slab("A", "1/2 in").replace(" }\n", drop + "\n")
    document = to_document(estimated(write_job(HEAD + edged + slab("B", "1/2 in") + slab("C", "1-1/2 in") + WARM_SHOP)))
    both, thin, thick = (curing_of(document, mark) for mark in "ABC")
    assert both["sections"]["thickest"]["thickness_m"] == approx(1.5 * INCH_M)
    assert both["sections"]["thinnest"]["thickness_m"] == approx(0.5 * INCH_M)
    assert (thin["insulate"]["answer"], thick["insulate"]["answer"], both["insulate"]["answer"]) == (True, False, False)
    assert both["peak_c"] == approx(thick["peak_c"])  # heat by the thick one
    assert both["evaporation"]["share_of_mix_water"] == approx(thin["evaporation"]["share_of_mix_water"])
    assert both["coldest_c"] <= thick["coldest_c"]
    assert (
        both["earliest_demould_h"] > thin["earliest_demould_h"]
    )  # bare, the thin part takes longer than under the blanket
    assert both["earliest_demould_h"] > thick["earliest_demould_h"]  # and longer than the thick part, which is warmer


@pytest.mark.parametrize(
    ("shape", "thickest", "thinnest"),
    [
        (
            'kind = "box", length = "30 in", width = "14 in", height = "14 in", wall = "3/4 in", base = "1 in"',
            2.5 - (2.5**2 - 2 * 2.125) ** 0.5,  # where two walls meet the base: 2 r² − 2 S r + Q = 0
            0.75,
        ),
        (
            'kind = "panel", length = "48 in", height = "36 in", skin = "1/2 in", '
            'returns = [{ sides = ["left"], depth = "2 in", thickness = "5/8 in" }], '
            'ribs = { spacing = "24 in", width = "1-1/4 in", depth = "2 in", ways = "y" }',
            1.25,
            0.5,
        ),
        (
            'kind = "slab", length = "48 in", width = "24 in", thickness = "1 in", '
            'taper = { to = "front", thickness = "3/4 in" }',
            1.0,
            0.75,
        ),
    ],
)
def test_sections_are_those_that_the_shape_names(
    write_job: Write, shape: str, thickest: float, thinnest: float
) -> None:
    done = estimated(write_job(HEAD + f'[[piece]]\nmark = "A"\nshape = {{ {shape} }}\n'))
    sections = done.pieces[0].curing.sections
    assert sections.thickest.thickness_m == approx(thickest * INCH_M)
    assert sections.thinnest.thickness_m == approx(thinnest * INCH_M)
    assert not sections.thickest.estimated


BAR = """
[piece.shape]
kind = "extrusion"
profile = { points = [[0, 0], [4, 0], [4, 2], [0, 2]], unit = "in" }
length = "60 in"
"""


def test_a_solid_without_a_thickness_heats_by_its_largest_sphere_and_cools_by_its_surface(write_job: Write) -> None:
    # source: EN 1992-1-1, 3.1.4, notional size 2·A/u; here with the two ends of the bar in the surface
    done = estimated(write_job(HEAD + f'[[piece]]\nmark = "A"\n{BAR}\n'))
    sections = done.pieces[0].curing.sections
    volume, surface = 4 * 2 * 60, 2 * (4 * 2) + 2 * (4 + 2) * 60
    assert sections.thickest.thickness_m == approx(2 * INCH_M, abs=2e-5)
    assert not sections.thickest.estimated
    assert sections.thinnest.thickness_m == approx(2 * volume / surface * INCH_M)
    assert sections.thinnest.estimated
    assert any("section is estimated" in PLAIN.text(warning.text) for warning in done.warnings)
    own = 'cure = { thickest = "2 in", thinnest = "1-1/2 in" }\n'
    told = estimated(write_job(HEAD + f'[[piece]]\nmark = "A"\n{own}{BAR}\n'))
    assert told.pieces[0].curing.casting.thickness_m == approx(2 * INCH_M)
    assert told.pieces[0].curing.casting.thin.thickness_m == approx(1.5 * INCH_M)
    assert not any("section is estimated" in PLAIN.text(warning.text) for warning in told.warnings)


def test_layers_are_averaged_by_thickness(write_job: Write) -> None:
    # first principles: of 3/4 in, 1/8 in is face coat and 5/8 in is backer
    layers = 'layers = [{ mix = "face", thickness = "1/8 in", method = "spray" }, { mix = "fumed" }]'
    fumed = """
[mixes.fumed]
based_on = "backer-45-acrylic"
cementitious = { white-cement = 0.9, silica-fume = 0.1 }
"""
    document = to_document(estimated(write_job(HEAD + slab("A", "3/4 in", layers) + fumed)))
    heat = curing_of(document, "A")["heat"]
    mixes = {mix["name"]: mix for mix in document["mixes"]}
    face, back = mixes["face"], mixes["fumed"]

    def mean(of: Callable[[dict[str, Any]], float]) -> float:
        return (of(face) + 5 * of(back)) / 6

    def cementitious(mix: dict[str, Any]) -> float:
        names = ("white-cement", "metakaolin", "silica-fume")
        return sum(mix["recipe_kg_m3"].get(name, 0.0) for name in names)

    assert heat["cementitious_kg_m3"] == approx(mean(cementitious), rel=5e-4)  # thickness is taken to 0.1 mm
    assert heat["density_kg_m3"] == approx(mean(lambda mix: mix["fresh_density_kg_m3"]), rel=5e-4)
    assert heat["water_kg_m3"] == approx(mean(lambda mix: mix["free_water_kg_m3"]), rel=5e-4)
    assert heat["silica_fume_share"] == approx(0.10)  # of the worse layer
    assert heat["curing_polymer_solids"] == approx(0.05)  # of the poorer layer
    assert curing_of(document, "A")["wet_cure"]["answer"] is False


def test_a_layer_without_curing_polymer_keeps_the_whole_piece_damp(write_job: Write) -> None:
    # common practice: 5 to 6 % of solids and more need no wet cure
    layers = 'layers = [{ mix = "face", thickness = "1/8 in", method = "spray" }, { mix = "backer-45" }]'
    curing = curing_of(to_document(estimated(write_job(HEAD + slab("A", "3/4 in", layers)))), "A")
    assert curing["wet_cure"]["answer"] is True
    assert "7 days" in curing["wet_cure"]["why"]


# --- cements outside the model ---------------------------------------------------------------------------------------

ANALYSIS = (
    'c3s = 0.68, c2s = 0.15, c3a = 0.11, c4af = 0.01, so3 = 0.03, free_cao = 0.01, mgo = 0.01, blaine = "420 m^2/kg"'
)


def of_cement(blend: str, more: str = "") -> str:
    mix = f'[mixes.other]\nbased_on = "backer-45"\ncementitious = {blend}\n'
    return HEAD.replace('"backer-45"', '"other"') + slab("A", "1 in") + mix + more


@pytest.mark.parametrize(
    ("blend", "more", "said"),
    [
        ("{ rapid-cement = 1.0 }", "", "calcium sulfoaluminate cement: it heats faster"),
        ("{ white-cement = 0.5, rapid-cement = 0.5 }", "", "calcium sulfoaluminate cement: it heats faster"),
        (
            "{ oddity = 1.0 }",
            '[materials.oddity]\nkind = "cement"\nrelative_density = 3.0\nbulk_density = "80 lb/ft^3"\n'
            'traits = ["off-model"]\n',
            "no mill certificate for Oddity",
        ),
    ],
)
def test_a_cement_outside_the_model_has_no_temperature(write_job: Write, blend: str, more: str, said: str) -> None:
    done = estimated(write_job(of_cement(blend, more)))
    curing = curing_of(to_document(done), "A")
    assert curing["modelled"] is False
    assert curing["peak_c"] is curing["strip_h"] is curing["covered_h"] is curing["trace"] is None
    assert [curing[key]["answer"] for key in ("insulate", "add_heat", "cool_or_layers")] == [None] * 3
    assert curing["cover"]["answer"] is True
    assert said in curing["insulate"]["why"]
    assert any(warning.id == "curing-not-shown-safe" and said in PLAIN.text(warning.text) for warning in done.warnings)


@pytest.mark.parametrize(
    ("blend", "said"),
    [
        ("{ white-cement = 1.0 }", "No mill certificate for the white cement"),
        ("{ grey-cement = 0.5, white-cement = 0.5 }", "No mill certificate for the white cement"),
        ("{ grey-cement = 0.85, silica-fume = 0.15 }", "Silica fume is 15%"),
    ],
)
def test_a_cement_outside_the_data_gives_a_warning_and_does_not_count_as_ordinary(
    write_job: Write, blend: str, said: str
) -> None:
    done = estimated(write_job(of_cement(blend)))
    assert any(said in flag for flag in curing_of(to_document(done), "A")["flags"])
    assert any(said in PLAIN.text(warning.text) for warning in done.warnings)


def test_an_assumed_ordinary_cement_is_stated_without_a_warning(write_job: Write) -> None:
    done = estimated(write_job(of_cement("{ grey-cement = 0.90, silica-fume = 0.10 }")))
    assert any("ordinary portland cement is assumed" in flag for flag in curing_of(to_document(done), "A")["flags"])
    assert not any(warning.id == "heat-model-limits" for warning in done.warnings)


def test_a_mill_certificate_replaces_the_assumed_cement(write_job: Write) -> None:
    own = f"[materials.white-cement]\nanalysis = {{ {ANALYSIS} }}\n"
    assumed = curing_of(to_document(estimated(write_job(of_cement("{ white-cement = 1.0 }")))), "A")
    known = curing_of(to_document(estimated(write_job(of_cement("{ white-cement = 1.0 }", own)))), "A")
    # H1's formula by hand: 500·C3S + 260·C2S + 866·C3A + 420·C4AF + 624·SO3 + 1186·CaO + 850·MgO
    by_hand = 500 * 0.68 + 260 * 0.15 + 866 * 0.11 + 420 * 0.01 + 624 * 0.03 + 1186 * 0.01 + 850 * 0.01
    assert known["heat"]["heat_j_kg"] == approx(1000 * by_hand)
    assert assumed["heat"]["heat_j_kg"] == approx(488_300, rel=1e-4)
    assert not any("No mill certificate" in flag for flag in known["flags"])
    assert any("C4AF 0.01 is below" in flag for flag in known["flags"])


def test_pozzolans_are_modeled_by_their_known_heat(write_job: Write) -> None:
    def heat(blend: str, more: str = "") -> dict[str, Any]:
        heat: dict[str, Any] = curing_of(to_document(estimated(write_job(of_cement(blend, more)))), "A")["heat"]
        return heat

    # source: Schindler & Folliard 2005: slag 461 J/g, fly ash 1800 J/g of its CaO; silica fume 330 J/g, Riding 2012
    assert heat("{ grey-cement = 0.6, slag = 0.4 }")["heat_j_kg"] == approx(0.6 * 488_300 + 0.4 * 461_000, rel=1e-4)
    ash = heat("{ grey-cement = 0.8, fly-ash = 0.2 }")
    assert ash["heat_j_kg"] == approx(0.8 * 488_300 + 0.2 * 0.10 * 1_800_000, rel=1e-4)
    fume = heat("{ grey-cement = 0.9, silica-fume = 0.1 }")
    assert fume["heat_j_kg"] == approx(0.9 * 488_300 + 0.1 * 330_000, rel=1e-4)
    unknown = heat("{ grey-cement = 0.8, metakaolin = 0.2 }")
    assert unknown["heat_j_kg"] == approx(488_300, rel=1e-4)  # as cement on the hot side
    assert unknown["low_factor"] == approx(0.85 * 0.8)  # as nothing on the cold side


# --- the shop's figures and the constants of the kernels -----------------------------------------------------------


def test_the_catalog_holds_the_figures_that_its_sources_print(write_job: Write) -> None:
    shop = read_job(write_job(HEAD + slab("A", "1 in"))).sound().workshop
    for name in (field.name for field in fields(CuringSettings)):
        # 55 °F is printed as 13 °C, 40 °F as 5 °C, 0.2 lb/ft²h as 1.0 kg/m²h
        rounded = {"cold_weather_c": 0.12}.get(name, 0.03)
        assert getattr(shop.curing, name) == approx(getattr(PRINTED, name), rel=rounded), name
    assert CementAnalysis(*astuple(shop.cement)) == ASSUMED_CEMENT
    assert shop.curing.heat_band == HEAT_BAND
    assert shop.curing.surface_conductance_w_m2_k == FILM_W_M2_K
    film, tarp = covers_of(Cure(), shop.curing)
    assert tarp.top_r - film.top_r == approx(0.5)
    assert tarp.form_r - film.form_r == approx(0.5)
    assert 0.0 < SILICA_FUME_FROM < 0.10


def test_a_limit_of_the_shop_applies_and_is_named_as_its_own(write_job: Write) -> None:
    usual = to_document(estimated(write_job(HEAD + slab("A", "1/2 in") + WARM_SHOP)))
    strict = '[workshop.curing]\npeak_most = "50 °C"\n'
    own = to_document(estimated(write_job(HEAD + slab("A", "1/2 in") + WARM_SHOP + strict)))
    assert curing_of(usual, "A")["insulate"]["answer"] is True
    assert curing_of(own, "A")["insulate"]["answer"] is False
    limits = {each["name"]: each for each in own["curing"]["limits"]}
    assert limits["peak temperature"]["value"] == approx(50.0)
    assert limits["peak temperature"]["source"] == "set by the shop, other than ACI 301-20"
    assert all(each["source"] for each in limits.values())


@pytest.mark.parametrize(
    ("own", "heat", "why"),
    [
        ("", False, "Stays at"),
        ('thin_section_least = "68 °F"', True, "at 68 °F or more"),
        ('strip_from = "8 h"\nstrip_to = "9 h"', True, "Not strong enough to strip within 9 h"),
    ],
)
def test_cold_is_judged_by_the_limits_of_the_shop(write_job: Write, own: str, heat: bool, why: str) -> None:
    cool = '[cure]\nroom = "64 °F"\nmix_temperature = "66 °F"\n'
    document = to_document(estimated(write_job(HEAD + slab("A", "1/2 in") + cool + f"[workshop.curing]\n{own}\n")))
    verdict = curing_of(document, "A")["add_heat"]
    assert verdict["answer"] is heat
    assert why in verdict["why"]


def test_room_and_cover_of_a_piece_go_before_those_of_the_job_and_the_shop(write_job: Write) -> None:
    own = 'cure = { room = "95 °F", tarp_resistance = "0.2 m^2*K/W", uncovered = "0 min" }'
    shop = '[workshop.curing]\nroom = "60 °F"\nhumidity = 0.30\n'
    document = to_document(
        estimated(write_job(HEAD + slab("A", "1/2 in", own) + slab("B", "1/2 in") + WARM_SHOP + shop))
    )
    a, b = curing_of(document, "A"), curing_of(document, "B")
    assert (a["room"]["room_c"], b["room"]["room_c"]) == (approx(35.0), approx(80 / 1.8 - 32 / 1.8))
    assert a["room"]["placed_c"] == b["room"]["placed_c"] == approx((75 - 32) / 1.8)
    assert a["room"]["humidity"] == b["room"]["humidity"] == approx(0.30)
    assert a["evaporation"]["share_of_mix_water"] == 0.0
    assert a["covers"][1]["top_r_m2k_w"] == approx(0.21)
    assert b["covers"][1]["top_r_m2k_w"] == approx(0.51)


def test_a_curing_blanket_is_entered_as_on_its_label(write_job: Write) -> None:
    own = 'cure = { tarp_resistance = "2.8 h*ft^2*degF/Btu" }'
    document = to_document(estimated(write_job(HEAD + slab("A", "1/2 in", own))))
    # first principles: 1 h·ft²·°F/Btu is 0.3048² · 3600 · 5/9 / 1055.056 m²K/W
    in_si = 2.8 * 0.3048**2 * 3600 * (5 / 9) / 1055.056
    assert curing_of(document, "A")["covers"][1]["top_r_m2k_w"] == approx(0.01 + in_si)


def test_an_insert_may_make_a_piece_thinner_than_its_sections(write_job: Write) -> None:
    core = 'inserts = [{ name = "foam core", displaces = "0.2 ft^3", mass = "0.3 lb" }]'
    flags = curing_of(to_document(estimated(write_job(HEAD + slab("A", "1-1/2 in", core)))), "A")["flags"]
    assert any("thinner in places" in flag for flag in flags)


def test_a_schedule_names_the_room_by_column(write_job: Write) -> None:
    path = write_job(HEAD + '[[schedule]]\nfile = "rows.csv"\n')
    head = "mark,shape.kind,shape.length,shape.width,shape.thickness,cure.room\n"
    (path.parent / "rows.csv").write_text(head + "A,slab,4 ft,2 ft,1 in,65 °F\nB,slab,4 ft,2 ft,1 in,\n", "utf-8")
    document = to_document(estimated(path))
    assert curing_of(document, "A")["room"]["room_c"] == approx((65 - 32) / 1.8)
    assert curing_of(document, "B")["room"]["room_c"] == approx((70 - 32) / 1.8)


# --- the document ----------------------------------------------------------------------------------------------------

KEYS = """modelled sections room cover covered_h insulate add_heat cool_or_layers wet_cure earliest_demould_h strip_h
    after_stripping peak_c peak_time_h difference_k coldest_c strength_at_strip covers evaporation heat flags trace"""


def test_the_document_has_the_whole_cure_and_a_trace_of_the_hot_and_the_cold_side(write_job: Write) -> None:
    document = to_document(estimated(write_job(HEAD + slab("A", "1/2 in") + slab("B", "1/2 in") + slab("C", "1 in"))))
    a, b, c = (curing_of(document, mark) for mark in "ABC")
    assert set(KEYS.split()) == set(a)
    assert a["trace"] == b["trace"] != c["trace"]
    traces = {each["trace"]: each for each in document["curing"]["traces"]}
    trace = traces[a["trace"]]
    assert trace["pieces"] == ["A", "B"]
    assert trace["time_h"] == [float(hour) for hour in range(73)]
    assert len(trace["hot_c"]) == len(trace["nominal_c"]) == len(trace["cold_c"]) == 73
    assert max(trace["hot_c"]) == approx(a["peak_c"]["high"], abs=0.5)
    assert max(trace["cold_c"]) < max(trace["hot_c"])
    assert a["peak_c"]["low"] < a["peak_c"]["nominal"] < a["peak_c"]["high"]
    json.loads(to_json(document))


def test_above_90_degrees_the_document_says_over_the_limit_and_has_no_trace(write_job: Write) -> None:
    summer = '[cure]\nroom = "100 °F"\nmix_temperature = "95 °F"\n'
    document = to_document(estimated(write_job(HEAD + slab("A", "5 in") + summer)))
    curing = curing_of(document, "A")
    assert curing["peak_c"]["high"] == "over the limit"
    hot = document["curing"]["traces"][curing["trace"]]["hot_c"]
    assert None in hot
    assert all(each <= 90.0 for each in hot if each is not None)
    reasons = next(each for each in document["cautions"] if each["id"] == "heat-of-hydration")["reasons"]
    assert reasons["A"] == "peak is over the limit"


def test_pours_state_who_strips_what_and_when(write_job: Write) -> None:
    document = to_document(estimated(write_job(HEAD + slab("A", "1/2 in", "quantity = 2\nforms = 2") + WARM_SHOP)))
    (pour,) = document["pours"]
    assert pour["crew"] == 2
    assert pour["placing_s"] > 0.0
    (strip,) = pour["strip"]
    assert (strip["mark"], strip["count"], strip["strip_h"]) == ("A", 2, [16.0, 24.0])
    assert strip["crew"] == document["pieces"][0]["handling"]["turn_crew"]


def test_a_form_waits_in_the_calendar_until_its_cold_piece_can_be_stripped(write_job: Write) -> None:
    def days(more: str) -> list[int]:
        done = estimated(write_job(HEAD + slab("A", "1/2 in", "quantity = 2\nforms = 1") + more))
        return [step.first_day for step in done.calendar.steps if step.name == "pour"]

    mild, cold = days(""), days('[cure]\nroom = "48 °F"\nmix_temperature = "60 °F"\n')
    assert mild[1] - mild[0] == 1
    assert cold[1] - cold[0] > 1


def test_every_curing_working_names_a_figure(write_job: Write) -> None:
    done = estimated(write_job(HEAD + slab("A", "1/2 in")))
    figures = {each.figure for each in workings_of(done) if each.figure.startswith("pieces.A.curing")}
    told = (
        "heat.adiabatic_rise_k",
        *("peak_c.low", "peak_c.nominal", "peak_c.high"),
        *("evaporation.rate_kg_m2_h", "evaporation.share_of_mix_water", "covered_h"),
    )
    assert figures == {f"pieces.A.curing.{figure}" for figure in told}


def test_a_cover_keeps_a_share_of_the_adiabatic_rise_and_the_band_is_15_percent_of_heat(write_job: Write) -> None:
    done = estimated(write_job(HEAD + slab("A", "1/2 in")))
    peaks = {
        each.figure.rpartition(".")[2]: each.values for each in workings_of(done) if ".curing.peak_c." in each.figure
    }
    assert peaks["high"]["heat_factor"] == pytest.approx(1.15)
    assert all(0.0 < values["kept"] < 1.0 for values in peaks.values())


# --- cost ------------------------------------------------------------------------------------------------------------


def test_equal_castings_are_computed_once_whatever_their_number(
    write_job: Write, monkeypatch: pytest.MonkeyPatch
) -> None:
    cases: list[int] = []
    real = covers.heat_histories

    def counted(asked: Any, *rest: Any) -> Any:
        cases.append(len(asked))
        return real(asked, *rest)

    monkeypatch.setattr(covers, "heat_histories", counted)
    covers.KEPT.clear()
    path = write_job(HEAD + '[[schedule]]\nfile = "rows.csv"\n')
    rows = "".join(f"P{i},slab,{3 + i % 7} ft,2 ft,{('1/2', '5/8', '3/4')[i % 3]} in\n" for i in range(600))
    head = "mark,shape.kind,shape.length,shape.width,shape.thickness\n"
    (path.parent / "rows.csv").write_text(head + rows, "utf-8")
    done = estimated(path)
    assert len(done.curing.pieces) == 600
    assert sum(cases) == 3 * 2 * 3  # three thicknesses, two covers, heat low, nominal and high
    assert len({id(piece) for piece in done.curing.pieces.values()}) == 3  # pieces that cure alike share one result
    estimated(path)
    assert sum(cases) == 3 * 2 * 3  # and the same job again runs none


def test_pieces_computed_together_cure_like_each_alone(write_job: Write) -> None:
    slab = 'shape = { kind = "slab", length = "4 ft", width = "2 ft", thickness = "3/4 in"'
    drop = slab + ', drop_edges = [{ sides = ["front"], height = "3 in", thickness = "1 in" }] }'
    faced = 'layers = [{ mix = "face", thickness = "1/8 in" }, { mix = "backer-45" }]'
    inserts = 'inserts = [{ name = "core", displaces = "0.05 ft^3", mass = "0.1 lb" }]'
    makes = [slab + " }", drop, slab + " }\n" + faced, slab + " }\n" + inserts, slab + ' }\ncure = { room = "45 °F" }']
    makes += [slab + ' }\ncure = { thinnest = "1/2 in" }', slab + " }\n" + 'layers = [{ mix = "backer-0" }]']
    text = "".join(f'[[piece]]\nmark = "P{i}"\n{make}\n' for i, make in enumerate([*makes, *makes]))
    done = estimated(write_job(HEAD + text))
    for piece in done.pieces:
        covers.KEPT.clear()
        alone = cure(done.job, Takeoff((piece.taken,)), done.mixes).pieces[piece.taken.piece.mark]
        assert json_of(alone) == json_of(piece.curing)
    assert len({id(piece.curing) for piece in done.pieces}) == len(makes)


# --- bad input -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (
            '[cure]\nroom = "80 °C"\n',
            "job.toml: cure: room: 80 °C is out of range. Enter 0 °F to 122 °F. Check the unit.",
        ),
        (
            '[cure]\nmix_temperature = "75 °C"\n',
            "job.toml: cure: mix_temperature: 75 °C is out of range. Enter 34 °F to 113 °F. Check the unit.",
        ),
        ('[cure]\nrom = "80 °F"\n', "job.toml: cure, rom: this key is not known. Did you mean `room`?"),
        (
            '[cure]\ntarp_resistance = "0 m^2*K/W"\n',
            'job.toml: cure, tarp_resistance: "0 m^2*K/W" must be more than 0. Write "0.5 m^2*K/W".',
        ),
        (
            '[cure]\ntarp_resistance = "50 m^2*K/W"\n',
            "job.toml: cure: tarp_resistance: 50 m^2*K/W is out of range. Enter 0.00568 "
            'ft²·h·°F/Btu to 56.8 ft²·h·°F/Btu. A curing blanket has about "3 ft^2*h*°F/Btu".',
        ),
        ("[cure]\nhumidity = 50\n", "job.toml: cure, humidity: "),
        ("[cure]\nroom = 80\n", "job.toml: cure, room: "),
        (
            '[workshop.curing]\nroom = "80 °C"\n',
            "job.toml: workshop.curing.room: 80 °C is out of range. Enter 0 °F to 122 °F. Check the unit.",
        ),
        (
            '[workshop.curing]\npeak_most = "160 °C"\n',
            "job.toml: workshop.curing.peak_most: 160 °C is out of range. Enter 104 °F to 194 °F. ACI"
            " 301 allows 158 °F.",
        ),
        (
            '[workshop.curing]\nstrip_to = "5 days"\n',
            "job.toml: workshop.curing.strip_to: 5 days is out of range. The heat model covers 1 h to "
            "72 h. Write 72 h or less.",
        ),
        (
            '[workshop.curing]\nstrip_from = "30 h"\n',
            "job.toml: workshop.curing.strip_to: is 24 h, before strip_from, 30 h. Swap the two.",
        ),
        (
            '[workshop.curing]\nform_conductance = "0 W/m^2/K"\n',
            "job.toml: workshop.curing.form_conductance: 0 W/m^2/K is out of range. Enter 0.0176"
            ' Btu/h/ft²/°F to 176 Btu/h/ft²/°F. A 3/4 in board has about "0.9 Btu/h/ft^2/°F".',
        ),
        (
            "[workshop.cement]\nc3s = 0.90\n",
            "job.toml: workshop.cement: The compounds add up to 1.300 of the cement. They can't add up to more than 1.",
        ),
        (
            f"[materials.white-cement]\nanalysis = {{ {ANALYSIS.replace('0.68', '0.98')} }}\n",
            "job.toml: material white-cement, analysis: The compounds add up to 1.300 of the cement. "
            "They can't add up to more than 1.",
        ),
        (
            f"[materials.white-cement]\nanalysis = {{ {ANALYSIS.replace('420', '42')} }}\n",
            "job.toml: material white-cement, analysis.blaine: A fineness of 42 m^2/kg is out of range. Enter"
            ' 200 m²/kg to 800 m²/kg. Write blaine = "370 m^2/kg".',
        ),
        (
            f"[materials.silica-sand]\nanalysis = {{ {ANALYSIS} }}\n",
            "job.toml: material silica-sand: analysis is for cement, not for sand. Remove `analysis`,"
            " or correct the kind.",
        ),
        (
            "[materials.fly-ash]\ncao = 0.6\n",
            "job.toml: material fly-ash: cao is 0.6. A fly ash has at most 40%. Write the share by mass, such as 0.10.",
        ),
    ],
)
def test_an_impossible_cure_is_refused_in_one_line(write_job: Write, text: str, told: str) -> None:
    faults = read_job(write_job(HEAD + slab("A", "1 in") + text)).faults
    assert len(faults) == 1
    assert str(faults[0]).startswith(told)


def test_a_piece_thinner_where_it_is_thickest_is_refused(write_job: Write) -> None:
    own = 'cure = { thickest = "1 in", thinnest = "2 in" }'
    faults = read_job(write_job(HEAD + slab("A", "1 in", own))).faults
    assert [str(fault) for fault in faults] == [
        "job.toml: piece A, cure: thinnest is 2 in, more than thickest, 1 in. Swap the two."
    ]
