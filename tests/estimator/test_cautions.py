"""The catalog of cautions is complete and readable, and each applies exactly when its facts hold."""

from __future__ import annotations

from importlib.resources import files

import pytest

from estimator.cautions import CONDITIONS, SEVERITIES, Facts, applied_cautions, cautions_from_toml
from estimator.errors import InputError

CATALOG = cautions_from_toml(files("catalogs").joinpath("cautions.toml").read_text(encoding="utf-8"))
PLAIN = Facts(use="other", mass_high_kg=10.0, strength_tested=True)
BEAD = frozenset({"coated-eps-bead"})


def ids(facts: Facts) -> set[str]:
    return {applied.caution.id for applied in applied_cautions({"P1": facts}, CATALOG)}


def reason(facts: Facts, wanted: str) -> str:
    return next(a.reasons["P1"] for a in applied_cautions({"P1": facts}, CATALOG) if a.caution.id == wanted)


def test_every_condition_is_used_and_every_caution_has_its_source():
    assert {caution.when for caution in CATALOG} == set(CONDITIONS)
    assert all(condition.meaning for condition in CONDITIONS.values())
    assert {caution.severity for caution in CATALOG} == set(SEVERITIES)


def test_a_small_tested_piece_without_hazard_has_the_deferral_alone():
    assert ids(PLAIN) == {"who-governs"}


# one row a condition: what must be so, and what then must be shown, beside the deferral
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
        ({"fluid_beads": "it flows"}, {"beads-float"}),
        ({"fluid_beads": ""}, set()),
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
        ({"narrowest_strip_m": 0.0762}, set()),
        ({"narrowest_strip_m": 0.075}, {"slender-strip"}),
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
        ({"access_failures": ("too long for the turn",)}, {"access-not-shown"}),
        ({"peak_high_c": 71.0}, {"heat-of-hydration"}),
        ({"peak_high_c": 70.0}, set()),
        ({"heat_added": True}, {"curing-heater"}),
    ],
)
def test_each_condition_shows_its_cautions_and_no_others(changes, shown):
    facts = Facts(**{"use": "other", "mass_high_kg": 10.0, "strength_tested": True, **changes})
    assert ids(facts) == {"who-governs"} | shown


def test_polystyrene_near_heat_and_solvents():
    always = {"who-governs", "polystyrene-fire-load", "polystyrene-dust"}

    def shown(**changes: object) -> set[str]:
        base = {"use": "other", "mass_high_kg": 10.0, "strength_tested": True, "polystyrene": BEAD}
        return ids(Facts(**{**base, **changes})) - always

    assert shown(use="fire") == {"polystyrene-near-fire"}
    assert shown(use="counter", cut_on_site=False) == {"polystyrene-hot-pans", "floor-load"}
    assert shown(outdoors=True) == {"polystyrene-hot-sun"}  # a colour that nobody said may be dark
    assert shown(outdoors=True, dark=False) == set()
    assert shown(dark=True) == set()
    assert shown(honed=True) == {"polystyrene-solvents", "silica-cutting", "wet-grinding"}
    assert shown(cut_on_site=True) == {"polystyrene-solvents", "silica-cutting", "wet-grinding"}


def test_reasons_say_why_with_the_figure():
    heavy = Facts(use="panel", mass_high_kg=151.26, crew=None, narrowest_strip_m=0.06, overhang_m=0.2, carry_m=30.0)
    assert reason(heavy, "lift-mechanical") == "up to 152 kg (334 lb)"
    assert reason(heavy, "slender-strip") == "strip of 60 mm (2.4 in) beside a cut-out"
    assert reason(heavy, "counter-overhang") == "overhang of 200 mm (7.9 in)"
    assert reason(heavy, "long-carry") == "carried 30 m (98 ft)"
    assert (
        reason(Facts(use="panel", mass_high_kg=1, peak_high_c=75.0), "heat-of-hydration") == "peak up to 75 °C (167 °F)"
    )
    assert reason(heavy, "strength-untested") == "untested: not shown to be safe"
    assert reason(Facts(use="fire", mass_high_kg=1, polystyrene=BEAD), "polystyrene-near-fire") == (
        "use is fire, and it holds coated-eps-bead"
    )
    assert reason(Facts(use="panel", mass_high_kg=1, ratings_missing=("rack", "truck")), "rating-missing") == (
        "no rating: rack, truck"
    )


def test_cautions_of_a_job_name_their_pieces_and_dangers_come_first():
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


def test_published_limits_stand_in_the_texts():
    # source: 29 CFR 1910.1053, 29 CFR 1926.704, 49 CFR 393.106 (read)
    by_id = {caution.id: caution for caution in CATALOG}
    assert "Action level 25 µg/m³ and limit 50 µg/m³" in by_id["silica-dust"].why
    assert "1910.1053" in by_id["silica-dust"].source
    assert "1926.1153" in by_id["silica-cutting"].source
    assert "pH of 12 to 13" in by_id["wet-cement"].why
    assert "370 °C" in by_id["polystyrene-fire-load"].why
    assert "four times" in by_id["insert-strength"].text
    assert "half of the cargo" in by_id["tie-down"].text


def test_a_faulty_catalog_is_told_in_one_line_a_fault_all_at_once():
    text = """
    [[caution]]
    id = "one"
    when = "crew-of-too"
    severity = "deadly"
    text = "a"
    why = ""
    source = "b"
    colour = "red"
    [[caution]]
    id = "two"
    when = "always"
    severity = "note"
    text = "a"
    why = "b"
    source = "c"
    [[caution]]
    id = "two"
    when = "always"
    severity = "note"
    text = "a"
    why = "b"
    source = "c"
    """
    with pytest.raises(InputError) as caught:
        cautions_from_toml(text, "mine.toml")
    assert [str(fault) for fault in caught.value.faults] == [
        "mine.toml: caution one, colour: unknown key. Known: id, when, severity, text, why, source.",
        "mine.toml: caution one, why: missing or empty. Give it as text.",
        'mine.toml: caution one, when: "crew-of-too" is not known. Did you mean "crew-of-two"?',
        'mine.toml: caution one, severity: "deadly" is not known. Known: danger, warning, note.',
        "mine.toml: caution two: id is used twice. Give each caution its own.",
    ]


def test_a_catalog_that_is_no_toml_or_no_list_is_refused():
    with pytest.raises(InputError, match="not readable as TOML"):
        cautions_from_toml("[[caution")
    with pytest.raises(InputError, match="caution: is not a list of tables"):
        cautions_from_toml("caution = 3")
    with pytest.raises(InputError, match="caution 1: is not a table"):
        cautions_from_toml("caution = [3]")
    with pytest.raises(InputError, match="notice: unknown key"):
        cautions_from_toml("notice = 3")
