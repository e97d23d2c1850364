"""Hours by activity, worked by hand, and their crews."""

from dataclasses import replace
from decimal import Decimal
from typing import get_args

import pytest

from estimator.intake.build import read_settings
from estimator.intake.documents import built_in_catalog
from estimator.pricing.labor import Labor, PieceWork, PourWork, WorkStep, labor_of, passes, weight_class
from estimator.takeoff import LayerTakeoff

D = Decimal
FT_M, FT2_M2 = 0.3048, 0.3048**2
CATALOG = built_in_catalog()
SHOP = read_settings(CATALOG["workshop"], CATALOG, "workshop.toml", [])
COUNTER = PieceWork(
    mark="C1",
    quantity=1,
    forms_built=1,
    form_area_m2=20 * FT2_M2,
    form_edge_m=21 * FT_M,
    sinks=1,
    holes=1,
    face_area_m2=20 * FT2_M2,
    back_area_m2=40 * FT2_M2,
    finished_area_m2=20 * FT2_M2,
    form_kind="melamine",
    strip_crew=2,
    flip_crew=4,
    install_crew=2,
    weight_class="medium",
    templated=True,
    batch_volume_m3=0.05,
)


def hours(labour: Labor) -> dict[str, Decimal]:
    return {line.activity: line.hours for line in labour.lines}


def test_the_hours_of_a_counter_worked_by_hand() -> None:
    # first principles, example rates: 20 ft2 at 0.28 h, 21 ft at 0.05 h, two batches at 0.4 + 0.25 h ...
    labour = labor_of([COUNTER], PourWork(pours=1, batches=2), SHOP)
    units = {"m2": "area", "m": "length", "": ""}  # of a basis: an area, a length, else a count
    assert all(units[line.unit] in line.basis for line in labour.lines)
    assert all(line.unit for line in labour.lines if line.basis.endswith(("area", "length")))
    assert hours(labour) == {
        "template": D("2.00"),
        "travel to template": D("1.00"),
        "build forms": D("5.60"),
        "form edges": D("1.05"),
        "knock out sinks": D("0.75"),
        "knock out holes": D("0.15"),
        "set up to pour": D("0.50"),
        "mix": D("0.80"),
        "clean up": D("0.50"),
        "place face coat": D("1.00"),
        "place back coat": D("1.60"),
        "strip melamine forms, crew of 2": D("0.60"),
        "flip, crew of 4": D("0.40"),
        "slurry and hone": D("6.00"),
        "seal": D("4.00"),
        "crate": D("0.75"),
        "travel to install": D("2.00"),
        "set up on site": D("2.00"),
        "set medium pieces": D("1.50"),
    }
    # 26.70 h at 42 and 5.50 h at 55
    assert labour.hours == D("32.20")
    assert labour.cost == D("1423.90")


def test_a_line_is_hours_times_rate_to_the_cent() -> None:
    labour = labor_of([replace(COUNTER, form_area_m2=1.23456)], PourWork(1, 1), SHOP)
    for line in labour.lines:
        assert line.cost == (line.hours * line.rate).quantize(D("0.01"))
        assert float(line.hours) == pytest.approx(line.quantity * line.time_s * line.persons / 3600, abs=0.005)


def test_a_piece_that_is_neither_templated_nor_installed_has_no_visits() -> None:
    planter = replace(COUNTER, install_crew=None, templated=False)
    assert (
        not {"template", "travel to template", "travel to install", "set up on site"}
        & hours(labor_of([planter], PourWork(1, 1), SHOP)).keys()
    )


def test_the_crew_of_the_heaviest_piece_travels_and_sets_it() -> None:
    heavy = replace(COUNTER, mark="C2", install_crew=4, weight_class="heavy")
    told = hours(labor_of([COUNTER, heavy], PourWork(1, 1), SHOP))
    assert told["travel to install"] == D("4.00")
    assert told["set up on site"] == D("2.00")
    assert told["set medium pieces"] == D("1.50")
    assert told["set heavy pieces"] == D("4.00")


def test_two_pieces_of_a_mark_cost_what_two_marks_do() -> None:
    two = labor_of([replace(COUNTER, quantity=2, forms_built=2, batch_volume_m3=0.1)], PourWork(1, 4), SHOP)
    one_each = labor_of([COUNTER, replace(COUNTER, mark="C2")], PourWork(1, 4), SHOP)
    assert hours(two) == hours(one_each)
    assert two.cost == one_each.cost


@pytest.mark.parametrize("key", ["rate", "rate_install"])
def test_labor_cost_rises_with_its_rate(key: str) -> None:
    dearer = replace(SHOP, labor=replace(SHOP.labor, **{key: getattr(SHOP.labor, key) + 1.0}))
    assert labor_of([COUNTER], PourWork(1, 2), dearer).cost > labor_of([COUNTER], PourWork(1, 2), SHOP).cost


def test_every_activity_belongs_to_a_step_of_the_calendar() -> None:
    lines = labor_of([COUNTER], PourWork(pours=1, batches=2, samples=2), SHOP).lines
    steps = {line.activity: line.step for line in lines}
    assert steps["make samples"] == steps["build forms"] == "forms"
    assert steps["set up to pour"] == steps["mix"] == steps["clean up"] == "pour"
    assert set(steps.values()) <= set(get_args(WorkStep))


@pytest.mark.parametrize(
    ("persons", "kind"), [(1, "light"), (2, "medium"), (3, "heavy"), (4, "heavy"), (None, "heavy")]
)
def test_a_piece_is_heavy_from_three_people_on_or_for_a_machine(persons: int | None, kind: str) -> None:
    assert weight_class(persons) == kind


def test_a_flip_takes_minutes_of_its_whole_crew_and_stripping_goes_by_area() -> None:
    # 20 pieces of 10 ft2 form area, 2 people strip them: 200 ft2 · 0.015 h · 2 = 6 h; 4 flip each in 6 min: 8 h
    panels = replace(COUNTER, quantity=20, form_area_m2=10 * FT2_M2)
    lines = {line.activity: line for line in labor_of([panels], PourWork(1, 1), SHOP).lines}
    strip, flip = lines["strip melamine forms, crew of 2"], lines["flip, crew of 4"]
    assert (strip.pieces, strip.persons, strip.hours) == (20, 2, D("6.00"))
    assert (flip.pieces, flip.persons, flip.hours) == (20, 4, D("8.00"))


def test_travel_and_set_up_are_counted_for_each_day_on_site() -> None:
    # 16 pieces of 0.75 h are 12 h; of 8 h on site 1 travels and 1 sets up, so 6 set: 2 days, 2 people
    told = labor_of([replace(COUNTER, quantity=16)], PourWork(1, 1), SHOP)
    assert told.site_days == 2
    assert (hours(told)["travel to install"], hours(told)["set up on site"]) == (D("4.00"), D("4.00"))
    assert labor_of([replace(COUNTER, quantity=17)], PourWork(1, 1), SHOP).site_days == 3


def test_samples_for_the_client_take_hours() -> None:
    assert hours(labor_of([COUNTER], PourWork(1, 1, samples=3), SHOP))["make samples"] == D("3.00")


def test_two_pieces_share_the_seam_between_them_and_glue_their_own_splashes() -> None:
    # first principles: a seam of 2 m lies on two pieces, so 1 m each; 0.5 m glued on site by each
    works = [replace(COUNTER, mark=mark, seam_m=2.0, glued_m=0.5) for mark in ("C1", "C2")]
    (line,) = (line for line in labor_of(works, PourWork(1, 1, 0), SHOP).lines if line.activity == "join seams")
    assert line.quantity == pytest.approx(2.0 + 2 * 0.5)


def test_a_layer_that_is_sprayed_or_has_no_area_is_one_pass() -> None:
    for layer in (
        LayerTakeoff("face", "spray", 0.03, 0.0, (0.0, 0.0, 0.0), 1.0),
        LayerTakeoff("backer-0", "hand", 0.03, 0.0, (0.0, 0.0, 0.0), 0.0),
    ):
        assert passes(layer, 0.01) == 1
