"""The catalog of cautions is complete and readable, and each applies exactly when its facts hold."""

from __future__ import annotations

import re
from importlib.resources import files

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.catalog import LANGUAGES, catalog
from estimator.cautions import CONDITIONS, SEVERITIES, Facts, applied_cautions, applied_ids, cautions_from_toml
from estimator.errors import InputError
from estimator.words import Words
from geometry.message import message

CATALOG = cautions_from_toml(files("catalogs").joinpath("cautions.toml").read_text(encoding="utf-8"))
PLAIN = Facts(use="other", mass_high_kg=10.0, strength_tested=True)
BEAD = frozenset({"EPS beads, coated"})
IMPERIAL, METRIC = Words("imperial", "USD"), Words("metric", "EUR", "en-GB")


def ids(facts: Facts) -> set[str]:
    return {applied.caution.id for applied in applied_cautions({"P1": facts}, CATALOG)}


def reason(facts: Facts, wanted: str, words: Words = IMPERIAL) -> str:
    applied = applied_cautions({"P1": facts}, CATALOG)
    return next(words.text(a.reasons["P1"]) for a in applied if a.caution.id == wanted)


def texts_of(facts: Facts, wanted: str, words: Words = IMPERIAL) -> str:
    return next(words.text(a.text) for a in applied_cautions({"P1": facts}, CATALOG) if a.caution.id == wanted)


def test_every_condition_is_used_and_every_caution_has_its_source():
    assert {caution.when for caution in CATALOG} == set(CONDITIONS)
    assert all(condition.meaning for condition in CONDITIONS.values())
    assert {caution.severity for caution in CATALOG} == set(SEVERITIES)


def test_a_small_tested_piece_without_hazards_has_only_the_deferral():
    assert ids(PLAIN) == {"who-governs"}


# one row per condition: the facts, and the cautions shown beside the deferral
@pytest.mark.parametrize(
    ("changes", "shown"),
    [
        ({"kinds": frozenset({"sand"})}, {"silica-dust"}),
        ({"kinds": frozenset({"cement"})}, {"silica-dust", "wet-cement", "mixer-guard"}),
        ({"kinds": frozenset({"pozzolan"})}, {"silica-dust", "fine-powder"}),
        ({"kinds": frozenset({"pigment"})}, {"fine-powder"}),
        ({"glass_fibre": True}, {"glass-fibre"}),
        ({"cut_on_site": True}, {"silica-cutting", "wet-grinding"}),
        ({"honed": True}, {"silica-cutting", "wet-grinding"}),
        ({"finished": True}, {"finish-chemicals"}),
        ({"crew": 6}, {"lift-rehearsed"}),
        ({"polystyrene": BEAD}, {"polystyrene-fire-load", "polystyrene-dust"}),
        ({"polystyrene_uncoated": BEAD}, {"polystyrene-uncoated"}),
        ({"fluid_beads": message("reason-fluid-stated", mix_name="Backer")}, {"beads-float"}),
        ({"fluid_beads": None}, set()),
        ({"crew": 2}, {"lift-two-person"}),
        ({"crew": 3}, {"lift-team"}),
        ({"crew": 4}, {"lift-team"}),
        ({"crew": None}, {"lift-mechanical", "floor-load"}),
        ({"above_guideline": True}, {"lift-above-guideline"}),
        ({"lifting_index": 1.0}, set()),
        ({"lifting_index": 1.1}, {"lifting-index-raised"}),
        ({"lifting_index": 3.0}, {"lifting-index-raised"}),
        ({"lifting_index": 3.1}, {"lifting-index-high"}),
        ({"turned_in_form": True}, {"turning"}),
        ({"carry_m": 10.0}, set()),
        ({"carry_m": 11.0}, {"long-carry"}),
        ({"stairs": True}, {"stairs"}),
        ({"slings": True}, {"rigging"}),
        ({"inserts": True}, {"insert-strength"}),
        ({"vacuum": True}, {"vacuum-lift"}),
        ({"ratings_missing": ("lift car",)}, {"rating-missing"}),
        ({"adhesion_ratio": 1.0}, set()),
        ({"adhesion_ratio": 1.9}, {"form-adhesion"}),
        ({"strength_tested": False}, {"strength-untested"}),
        ({"crack_shown_safe": False}, {"may-crack"}),
        ({"crack_shown_safe": True}, set()),
        ({"narrowest_rail_m": 0.0762}, set()),
        ({"narrowest_rail_m": 0.075}, {"slender-strip"}),
        ({"stored": "edge"}, {"stands-on-edge"}),
        ({"stored": "flat"}, {"stored-stacks"}),
        ({"use": "planter"}, {"planter-soil", "floor-load"}),
        ({"use": "counter"}, {"silica-cutting", "floor-load"}),
        ({"use": "counter", "cut_on_site": False}, {"floor-load"}),
        ({"hung": True}, {"hung-panel"}),
        ({"overhang_m": 0.20}, {"counter-overhang"}),
        ({"overhang_m": None}, set()),
        ({"on_edge": True}, {"tilt-on-long-edge"}),
        ({"on_edge": True, "opening": True}, {"tilt-on-long-edge", "cutout-on-edge"}),
        ({"opening": True}, set()),
        ({"trucked": True}, {"tie-down"}),
        ({"access_failures": (message("about", subject="stairs", text="too long"),)}, {"access-not-shown"}),
        ({"peak_high_c": 71.0}, {"heat-of-hydration"}),
        ({"peak_high_c": 70.0}, set()),
        ({"heat_added": True}, {"curing-heater"}),
    ],
)
def test_each_condition_shows_its_cautions_and_no_others(changes, shown):
    facts = Facts(**{"use": "other", "mass_high_kg": 10.0, "strength_tested": True, **changes})
    assert ids(facts) == {"who-governs"} | shown


def test_polystyrene_near_heat_and_solvents_has_its_cautions():
    always = {"who-governs", "polystyrene-fire-load", "polystyrene-dust"}

    def shown(**changes: object) -> set[str]:
        base = {"use": "other", "mass_high_kg": 10.0, "strength_tested": True, "polystyrene": BEAD}
        return ids(Facts(**{**base, **changes})) - always

    assert shown(use="fire") == {"polystyrene-near-fire"}
    assert shown(use="counter", cut_on_site=False) == {"polystyrene-hot-pans", "floor-load"}
    assert shown(outdoors=True) == {"polystyrene-hot-sun"}  # a color that is not stated may be dark
    assert shown(outdoors=True, dark=False) == set()
    assert shown(dark=True) == set()
    assert shown(honed=True) == {"polystyrene-solvents", "silica-cutting", "wet-grinding"}
    assert shown(cut_on_site=True) == {"polystyrene-solvents", "silica-cutting", "wet-grinding"}


def test_reasons_state_the_figure():
    heavy = Facts(use="panel", mass_high_kg=151.26, crew=None, narrowest_rail_m=0.06, overhang_m=0.2, carry_m=30.0)
    assert reason(heavy, "lift-mechanical") == "up to 334 lb"
    assert reason(heavy, "lift-mechanical", METRIC) == "up to 152 kg"
    assert reason(heavy, "slender-strip") == 'rail of 2-3/8" at the cutout'
    assert reason(heavy, "slender-strip", METRIC) == "rail of 60 mm at the cutout"
    assert reason(heavy, "counter-overhang", METRIC) == "overhang of 200 mm"
    assert reason(heavy, "long-carry") == "carried 98 ft"
    assert reason(heavy, "long-carry", METRIC) == "carried 30 m"
    hot = Facts(use="panel", mass_high_kg=1, peak_high_c=75.0)
    assert reason(hot, "heat-of-hydration") == "peak up to 167 °F"
    assert reason(hot, "heat-of-hydration", METRIC) == "peak up to 75 °C"
    assert reason(heavy, "strength-untested") == "no strength test"
    assert reason(Facts(use="fire", mass_high_kg=1, polystyrene=BEAD), "polystyrene-near-fire") == (
        "stands near a fire, mix holds EPS beads, coated"
    )
    assert reason(Facts(use="panel", mass_high_kg=1, ratings_missing=("rack", "truck")), "rating-missing") == (
        "no load rating: rack and truck"
    )


def test_a_caution_names_its_weight_and_its_gear():
    planters = {
        mark: Facts(use="planter", mass_high_kg=100.0, full_high_kg=full_kg, strength_tested=True)
        for mark, full_kg in (("P1", 303.0), ("P2", 250.0))
    }
    soil = next(a for a in applied_cautions(planters, CATALOG) if a.caution.id == "planter-soil")
    assert "weighs up to 669 lb" in IMPERIAL.text(soil.text)  # the heavier one, rounded up
    assert "weighs up to 303 kg" in METRIC.text(soil.text)
    assert IMPERIAL.text(soil.reasons["P2"]) == "up to 552 lb full of wet soil"
    rack = Facts(use="panel", mass_high_kg=1, ratings_missing=("A-frame", "sling"))
    assert texts_of(rack, "rating-missing").startswith("No load rating on file for: A-frame and sling.")


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_caution_has_its_text_and_its_reason_in_every_language(language: str):
    entries = catalog(language).entries
    for caution in CATALOG:
        assert re.search(r"^ +\.why = .", entries[f"caution-{caution.id}"], re.MULTILINE), caution.id
    assert {id.removeprefix("caution-") for id in entries if id.startswith("caution-")} == {c.id for c in CATALOG}


def test_no_caution_names_a_unit_of_the_other_system():
    # no text has a figure with a unit, except the dust limits, which are in µg/m³ everywhere
    for id, text in catalog("en-US").entries.items():
        if id.startswith("caution-"):
            assert not re.search(r"\d ?(kg|lb|mm|in|ft|m|°C|°F|K)\b", text.replace("µg/m³", "")), id


def test_cautions_of_a_job_name_their_pieces_and_list_dangers_first():
    job = {
        "C1": Facts(use="other", mass_high_kg=60.0, crew=3, strength_tested=True),
        "C2": Facts(use="other", mass_high_kg=400.0, crew=None, strength_tested=True),
        "C3": Facts(use="other", mass_high_kg=65.0, crew=4, strength_tested=True),
    }
    applied = applied_cautions(job, CATALOG)
    assert {a.caution.id: a.pieces for a in applied} == {
        "lift-mechanical": ("C2",),
        "lift-team": ("C1", "C3"),
        "floor-load": ("C2",),
        "who-governs": ("C1", "C2", "C3"),
    }
    severities = [SEVERITIES.index(a.caution.severity) for a in applied]
    assert severities == sorted(severities)


def test_the_texts_state_the_published_limits():
    # source: 29 CFR 1910.1053, 29 CFR 1926.704, 49 CFR 393.106 (read)
    by_id = {caution.id: caution for caution in CATALOG}
    bead = Facts(use="other", mass_high_kg=1.0, polystyrene=BEAD)
    fire = next(a for a in applied_cautions({"P1": bead}, CATALOG) if a.caution.id == "polystyrene-fire-load")
    assert "Action level 25 µg/m³ and limit 50 µg/m³" in IMPERIAL("caution-silica-dust", "why")
    assert "1910.1053" in by_id["silica-dust"].source
    assert "1926.1153" in by_id["silica-cutting"].source
    assert "pH of 12 to 13" in IMPERIAL("caution-wet-cement", "why")
    assert "370 °C" in METRIC.text(fire.why)
    assert "four times" in IMPERIAL("caution-insert-strength")
    assert "half of the cargo" in IMPERIAL("caution-tie-down")


def test_a_faulty_catalog_is_refused_with_one_line_per_fault():
    text = """
    [[caution]]
    id = "one"
    when = "crew-of-too"
    severity = "deadly"
    source = ""
    colour = "red"
    [[caution]]
    id = "two"
    when = "always"
    severity = "note"
    source = "c"
    [[caution]]
    id = "two"
    when = "always"
    severity = "note"
    source = "c"
    """
    with pytest.raises(InputError) as caught:
        cautions_from_toml(text, "mine.toml")
    assert [str(fault) for fault in caught.value.faults] == [
        "mine.toml: caution one, colour: unknown key. Known: id, when, severity, source, figures.",
        "mine.toml: caution one, source: missing or empty. Enter text.",
        'mine.toml: caution one, when: "crew-of-too" is not known. Did you mean "crew-of-two"?',
        'mine.toml: caution one, severity: "deadly" is not known. Known: danger, warning, note.',
        "mine.toml: caution two: id is used twice. Give each caution its own id.",
    ]


def test_a_catalog_that_is_not_toml_or_not_a_list_is_refused():
    with pytest.raises(InputError, match="not readable as TOML"):
        cautions_from_toml("[[caution")
    with pytest.raises(InputError, match="caution: is not a list of tables"):
        cautions_from_toml("caution = 3")
    with pytest.raises(InputError, match="caution 1: is not a table"):
        cautions_from_toml("caution = [3]")
    with pytest.raises(InputError, match="notice: unknown key"):
        cautions_from_toml("notice = 3")


@pytest.mark.parametrize(
    ("language", "death"),
    [
        ("en-US", r"kill|dead|electrocute"),
        ("en-GB", r"kill|dead|electrocute"),
        ("es", r"mata|mort|electrocut"),
        ("de", r"töt|töd|tot|Stromschl"),
    ],
)
def test_danger_stands_only_before_what_can_kill_and_says_so(language: str, death: str) -> None:
    values = {"items": "slings", "mass_kg": 1.0}
    for caution in CATALOG:
        if caution.severity == "danger":
            text = Words("metric", "EUR", language)(f"caution-{caution.id}", **values)
            assert re.search(death, text), caution.id


FACTS = st.builds(
    Facts,
    use=st.sampled_from(["counter", "panel", "planter", "fire", "other"]),
    mass_high_kg=st.floats(5.0, 400.0),
    full_high_kg=st.floats(5.0, 900.0),
    kinds=st.sets(st.sampled_from(["cement", "pozzolan", "sand", "pigment"])).map(frozenset),
    polystyrene=st.sampled_from([frozenset(), BEAD]),
    strength_tested=st.booleans(),
    outdoors=st.booleans(),
    dark=st.sampled_from([None, True, False]),
    honed=st.booleans(),
    cut_on_site=st.sampled_from([None, True, False]),
    narrowest_rail_m=st.sampled_from([None, 0.05, 0.09]),
    overhang_m=st.sampled_from([None, 0.3]),
    crack_shown_safe=st.sampled_from([None, True, False]),
    on_edge=st.booleans(),
    opening=st.booleans(),
    crew=st.sampled_from([None, 1, 2, 3, 6]),
    lifting_index=st.sampled_from([None, 0.8, 1.4, 3.5]),
    adhesion_ratio=st.sampled_from([None, 0.5, 2.0]),
    stored=st.sampled_from([None, "edge", "flat"]),
    peak_high_c=st.sampled_from([None, 60.0, 82.0, float("inf")]),
    heat_added=st.booleans(),
)


@given(st.lists(FACTS, min_size=1, max_size=8), st.randoms())
def test_pieces_asked_together_have_the_reasons_of_each_by_itself(kinds, chance):
    facts = {f"P{number}": chance.choice(kinds) for number in range(20)}
    applied = {found.caution.when: found.reasons for found in applied_cautions(facts, CATALOG)}
    for when, condition in CONDITIONS.items():
        alone = {mark: why for mark, of_piece in facts.items() if (why := condition.reason(of_piece)) is not None}
        assert applied.get(when, {}) == alone, when
        assert list(applied.get(when, {})) == list(alone), when


@given(
    st.lists(
        st.builds(
            Facts,
            use=st.sampled_from(["counter", "planter", "panel"]),
            mass_high_kg=st.sampled_from([8.0, 40.0, 95.0]),
            full_high_kg=st.just(120.0),
            crew=st.sampled_from([1, 2, 3, 5, None]),
            lifting_index=st.sampled_from([None, 0.8, 1.4, 3.3]),
            narrowest_rail_m=st.sampled_from([None, 0.05, 0.2]),
            strength_tested=st.booleans(),
        ),
        max_size=12,
    )
)
def test_many_pieces_have_the_cautions_that_each_has_alone(facts):
    marks = [f"P{number}" for number in range(2 * len(facts))]
    by_mark = dict(zip(marks, facts + facts, strict=True))  # every make twice
    together = applied_cautions(by_mark, CATALOG)
    own = applied_ids(together, marks)
    for mark, of_piece in by_mark.items():
        alone = applied_cautions({mark: of_piece}, CATALOG)
        assert own[mark] == tuple(applied.caution.id for applied in alone)
        reasons = {applied.caution.id: applied.reasons[mark] for applied in together if mark in applied.reasons}
        assert reasons == {applied.caution.id: applied.reasons[mark] for applied in alone}
