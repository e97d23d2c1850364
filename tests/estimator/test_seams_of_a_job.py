"""Seams that run through a sink, and seams of pieces with legs and splashes glued on in the shop."""

from collections.abc import Callable
from pathlib import Path

import pytest

from estimator import Estimate, InputError, estimate, load_job
from estimator.__main__ import run
from estimator.lighten import Goal, Lightening, lighten
from estimator.report.papers.quote import opening_lines
from estimator.words import Words

Write = Callable[[str], Path]

IN = 0.0254
G_M_S2 = 9.80665
HEAD = '[job]\nname = "Boat shed bar"\nunits = "imperial"\ncurrency = "USD"\nmix = "backer-45"\n'


def sink_counter(seams: str, edge: str = "finished") -> str:
    sink = f'{{ kind = "rectangle", length = "30 in", width = "16 in", x = "20 in", y = "4 in", edge = "{edge}" }}'
    return HEAD + (
        f'[[piece]]\nmark = "K1"\nuse = "counter"\nseams = {seams}\n'
        f'shape = {{ kind = "slab", length = "72 in", width = "25.5 in", thickness = "1 in", cutouts = [{sink}] }}\n'
    )


THROUGH = '[{ x = "38 in", through_cutout = true }]'


def test_parts_beside_a_seam_through_a_sink_add_up_to_the_whole(write_job: Write) -> None:
    whole = estimate(load_job(write_job(sink_counter("[]"))))
    cut = estimate(load_job(write_job(sink_counter(THROUGH))))
    assert list(cut.pieces) == ["K1a", "K1b"]
    rails_m3 = (25.5 - 16) / 16 * IN**3  # as much as the seam is wide
    volumes = [piece.taken.volume_m3 for piece in cut.pieces.values()]
    assert sum(volumes) == pytest.approx(whole.pieces["K1"].taken.volume_m3 - rails_m3, rel=1e-9)
    # first principles, in inches: each part minus its half of the sink
    assert [volume / IN**3 for volume in volumes] == pytest.approx(
        [(38 - 1 / 32) * 25.5 - (18 - 1 / 32) * 16, (34 - 1 / 32) * 25.5 - (12 - 1 / 32) * 16]
    )
    moments = sum(piece.taken.volume_m3 * piece.taken.solid.centroid_m[0] for piece in cut.pieces.values())
    assert moments == pytest.approx(
        whole.pieces["K1"].taken.volume_m3 * whole.pieces["K1"].taken.solid.centroid_m[0] - rails_m3 * 38 * IN, rel=1e-9
    )


def test_open_rails_are_checked_as_cantilevers_and_braced(write_job: Write) -> None:
    result = estimate(load_job(write_job(sink_counter(THROUGH))))
    part = result.pieces["K1a"]
    check = next(check for check in part.handling.cracking.checks if check.carry.key == "rails")
    # first principles: a cantilever of even thickness under its own weight, σ = 3 γ a² / t, whatever its width
    n_m3 = part.weight.demould.high_kg / part.taken.volume_m3 * G_M_S2
    free_m = (18 - 1 / 32) * IN
    factor = load_job(write_job(sink_counter(THROUGH))).workshop.handling.dynamic_yard
    assert check.stress_pa == pytest.approx(3 * n_m3 * factor * free_m**2 / IN, rel=1e-6)
    assert check in part.handling.cracking.planned_checks
    assert {"open-rails", "cutout-on-edge"} <= set(part.cautions)
    assert any(gear.id == "gear-strongback" for gear in part.handling.gear)
    flat = part.handling.flat
    assert flat is not None
    assert flat.narrowest_rail_m == pytest.approx(4 * IN)
    assert flat.edge_up == "front"  # the wider rail, at the back, goes down
    assert max(flat.bearings_m) < 20 * IN  # foam stands beside the notch, under no rail
    whole = estimate(load_job(write_job(sink_counter("[]")))).pieces["K1"]
    assert "open-rails" not in whole.cautions


@pytest.mark.parametrize("turned", [False, True])
def test_a_narrow_rail_at_a_seam_has_a_caution_however_the_piece_lies(write_job: Write, turned: bool) -> None:
    job = sink_counter(THROUGH).replace('y = "4 in"', 'y = "1.5 in"')
    if turned:
        swaps = (('length = "72 in", width = "25.5 in"', 'length = "25.5 in", width = "72 in"'),)
        swaps += (('length = "30 in", width = "16 in"', 'length = "16 in", width = "30 in"'),)
        swaps += (('x = "20 in", y = "1.5 in"', 'x = "1.5 in", y = "20 in"'), ('x = "38 in"', 'y = "38 in"'))
        for before, after in swaps:
            assert before in job
            job = job.replace(before, after)
    for part in estimate(load_job(write_job(job))).pieces.values():
        assert part.handling.cracking.narrowest_rail_m == pytest.approx(1.5 * IN)
        assert "slender-strip" in set(part.cautions)
        assert [check.carry.key for check in part.handling.cracking.checks][-1] == "rails"


def test_a_seam_meets_a_sink_only_where_the_job_allows_it(write_job: Write) -> None:
    with pytest.raises(InputError) as raised:
        load_job(write_job(sink_counter('[{ x = "38 in" }]')))
    (fault,) = raised.value.faults
    assert "piece K1, seams[0]: runs through a cutout." in str(fault)
    assert "through_cutout = true" in str(fault)


def test_the_quote_names_a_notch_and_the_joints_leave_out_its_mouth(write_job: Write) -> None:
    result = estimate(load_job(write_job(sink_counter(THROUGH, edge="raw"))))
    words = Words("imperial", "USD")
    (line,) = opening_lines(result.pieces["K1b"].taken.piece.shape, 0.1, words)
    assert line == '1 notch 11-15/16" × 16", edge raw'
    labor = {row["name"]: row for row in result.tables.labour.to_dict("records")}
    assert labor["join seams"]["hours"] == pytest.approx(0.5 * (25.5 - 16) / 12, abs=0.02)  # half an hour a foot


# Pieces with legs and splashes glued on in the shop --------------------------------------------------------------


def bar(glued: str, seams: str, splash: str = "", edges: str = '["left", "right"]') -> str:
    return HEAD + (
        f'[[piece]]\nmark = "C1"\nuse = "counter"\ndescription = "Bar"\nseams = {seams}\n'
        'shape = { kind = "slab", length = "60 in", width = "25 in", thickness = "1.5 in", '
        f'waterfalls = [{{ edges = {edges}, height = "36 in", glued = "{glued}" }}], '
        f'splashes = [{{ edges = ["back"], height = "4 in", thickness = "3/4 in", glued = "{glued}"{splash} }}] }}\n'
    )


SEAM = '[{ x = "24 in" }]'


def test_legs_and_splashes_go_with_the_part_to_whose_edge_they_are_glued(write_job: Write) -> None:
    result = estimate(load_job(write_job(bar("shop", SEAM))))
    assert list(result.pieces) == ["C1a", "C1b", "C1a-W1", "C1b-W1", "C1a-S1", "C1b-S1"]
    part_of = {entry["mark"]: entry["part_of"] for entry in result.document()["pieces"]}
    assert [part_of[mark] for mark in ("C1a", "C1a-W1", "C1b-S1")] == ["C1", "C1a", "C1b"]
    volumes = {mark: piece.taken.volume_m3 / IN**3 for mark, piece in result.pieces.items()}
    # first principles, in inches: each end mitered at 45°, the seam 1/16 wide
    assert volumes["C1a"] == pytest.approx((24 - 1 / 32 - 0.75) * 25 * 1.5)
    assert volumes["C1b"] == pytest.approx((36 - 1 / 32 - 0.75) * 25 * 1.5)
    assert volumes["C1a-W1"] == volumes["C1b-W1"] == pytest.approx(25 * 1.5 * (36 - 0.75))
    assert volumes["C1a-S1"] == pytest.approx((24 - 1 / 32) * 4 * 0.75)
    assert volumes["C1b-S1"] == pytest.approx((36 - 1 / 32) * 4 * 0.75)


def test_seams_take_only_their_width_off_the_volume_cast(write_job: Write) -> None:
    whole = estimate(load_job(write_job(bar("shop", "[]"))))
    cut = estimate(load_job(write_job(bar("shop", SEAM))))

    def cast_m3(result: Estimate) -> float:
        return sum(piece.taken.volume_m3 for piece in result.pieces.values())

    assert cast_m3(cut) == pytest.approx(cast_m3(whole) - (25 * 1.5 + 4 * 0.75) / 16 * IN**3, rel=1e-9)


def test_each_part_is_weighed_balanced_and_carried_with_its_glued_parts(write_job: Write) -> None:
    apart = bar("site", SEAM, ', at_seams = "cut"').replace('height = "36 in"', 'height = "36 in", at_seams = "cut"')
    site = estimate(load_job(write_job(apart)))
    shop = estimate(load_job(write_job(bar("shop", SEAM))))
    own_kg, glued_kg = (
        {entry["mark"]: entry["weight"]["installed_kg"] for entry in result.document()["pieces"]}
        for result in (site, shop)
    )
    for mark in ("C1a", "C1b"):
        parts_kg = sum(own_kg[part] for part in (mark, f"{mark}-W1", f"{mark}-S1"))
        assert glued_kg[mark] == pytest.approx(parts_kg, rel=1e-9)
    left, right = (shop.pieces[mark] for mark in ("C1a", "C1b"))
    assert left.weight.center_of_gravity_m[0] < 12 * IN  # the center of gravity moves toward the leg at its end
    assert right.weight.center_of_gravity_m[0] > (24 + 18) * IN
    # statics: the leg hangs 36 in below the top, which the crew of this part carries with it
    assert left.handling.size_m[2] == pytest.approx((36 + 4) * IN)
    carry = next(lift for lift in left.handling.lifts if lift.name == "carry")
    assert carry.weight_kg == pytest.approx(left.weight.lift_kg)
    on_truck = [mark for stand in shop.result.delivery.stands for mark in stand.pieces]
    assert sorted(on_truck) == ["C1a", "C1b"]
    (caution,) = [caution for caution in shop.result.cautions if caution.caution.id == "glued-parts"]
    assert set(shop.pieces) == set(caution.reasons)


def test_a_leg_along_the_front_is_cut_where_the_counter_is(write_job: Write) -> None:
    result = estimate(load_job(write_job(bar("shop", SEAM, edges='["front"]'))))
    left, right = (result.pieces[mark].taken.piece.shape for mark in ("C1a-W1", "C1b-W1"))
    assert (left.length_m / IN, right.length_m / IN) == pytest.approx((24 - 1 / 32, 36 - 1 / 32))
    assert ("right" in left.raw_edges, "left" in left.raw_edges) == (True, False)  # the end at the seam is hidden
    assert ("right" in right.raw_edges, "left" in right.raw_edges) == (False, True)


def test_a_splash_stays_whole_where_it_is_glued_on_site_or_is_refused(write_job: Write) -> None:
    result = estimate(load_job(write_job(bar("site", SEAM))))
    assert list(result.pieces) == ["C1a", "C1b", "C1-W1", "C1-W2", "C1-S1"]
    assert result.pieces["C1-S1"].taken.piece.shape.length_m == pytest.approx(60 * IN)
    with pytest.raises(InputError) as raised:
        load_job(write_job(bar("shop", SEAM, ', at_seams = "whole"')))
    (fault,) = raised.value.faults
    assert "piece C1, shape.splashes[0].at_seams: would be glued in the shop to C1a and C1b." in str(fault)


def test_splashes_of_a_mark_are_numbered_across_all_parts(write_job: Write) -> None:
    result = estimate(load_job(write_job(bar("shop", SEAM, ', mark = "BS"'))))
    assert [mark for mark in result.pieces if mark.startswith("BS")] == ["BS-1", "BS-2"]


def test_the_setting_order_lists_legs_with_the_parts_of_a_piece(write_job: Write) -> None:
    job = load_job(write_job(bar("shop", SEAM) + '[site]\norder = ["C1"]\n'))
    assert job.site is not None
    assert set(job.site.order) == {"C1a", "C1b", "C1a-W1", "C1b-W1", "C1a-S1", "C1b-S1"}


def test_an_l_with_a_splash_is_cut_at_its_miter(write_job: Write) -> None:
    corners = [(0, 0), (96, 0), (96, 25.5), (25.5, 25.5), (25.5, 72), (0, 72)]
    points = ", ".join(f'["{x} in", "{y} in"]' for x, y in corners)
    job = HEAD + (
        '[[piece]]\nmark = "L1"\nuse = "counter"\n'
        'seams = [{ unit = "in", from = [25.5, 25.5], to = [0, 0] }]\n'
        f'shape = {{ kind = "outline", points = [{points}], thickness = "1 in", '
        'splashes = [{ edges = ["front", "left"], height = "4 in", thickness = "3/4 in", glued = "shop" }] }\n'
    )
    result = estimate(load_job(write_job(job)))
    assert list(result.pieces) == ["L1a", "L1b", "L1a-S1", "L1b-S1"]
    # first principles: a band of 3/4 in along two walls of 96 and 72 in, less the seam across it at 45°
    band = (96 + 72 - 0.75) * 0.75 * 4
    strips = sum(result.pieces[mark].taken.volume_m3 for mark in ("L1a-S1", "L1b-S1"))
    assert strips / IN**3 == pytest.approx(band - 0.75 * 2**0.5 / 16 * 4, rel=1e-4)


# What `lighten` proposes ----------------------------------------------------------------------------------------


def vanity(rail: str) -> str:
    """A heavy counter whose heaviest part holds the whole sink."""
    sink = 'kind = "rectangle", length = "30 in", width = "16 in", x = "33 in", y = "4 in"'
    return HEAD + (
        '[[piece]]\nmark = "K1"\nuse = "counter"  # a sink in the middle\nshape = { kind = "slab", length = "96 in", '
        f'width = "25.5 in", thickness = "2 in", cutouts = [{{ {sink} }}] }}\n'
        f'[workshop.lighten]\ncore_least = "12 in"\n[workshop.seams]\nrail_at_seam = "{rail}"\n'
    )


def lightened(path: Path, goal: Goal) -> Lightening:
    result = estimate(load_job(path)).result
    piece = result.pieces[0]
    return lighten(result.job, (piece.taken, piece.weight, piece.handling), goal)


def through_sink(found: Lightening) -> list[int]:
    """Numbers of parts of the ways with a seam through the sink, from 33 to 63 in."""
    return [
        len(way.parts)
        for way in found.ways
        if any(33 * IN < start[0] < 63 * IN and start[0] == pytest.approx(end[0]) for start, end in way.seams)
    ]


def test_a_seam_through_a_sink_is_proposed_only_where_the_shop_asks_for_it(write_job: Write) -> None:
    goal = Goal(people=2)
    assert not through_sink(lightened(write_job(vanity("0 in")), goal))
    assert not through_sink(lightened(write_job(vanity("4.5 in")), goal))  # the front rail has 4 in
    assert through_sink(lightened(write_job(vanity("4 in")), goal)) == [4]  # five without


def test_the_reason_names_the_setting_that_would_help(write_job: Write) -> None:
    found = lightened(write_job(vanity("0 in")), Goal(weight_kg=16.0))
    assert found.reason is not None
    text = Words("imperial", "USD").text(found.reason)
    assert 'write rail_at_seam = "3 in" in [workshop.seams]' in text


def test_a_proposed_seam_through_a_sink_is_written_as_one(write_job: Write) -> None:
    path = write_job(vanity("3 in"))
    found = lightened(path, Goal(people=2))
    (number,) = [n for n, way in enumerate(found.ways, start=1) if len(way.parts) == 4]
    call = ["lighten", str(path), "--piece", "K1", "--people", "2", "--apply", str(number), "--accept-untested"]
    assert run(call) == 0
    text = path.read_text(encoding="utf-8")
    assert text.count("through_cutout = true") == 1
    assert "# a sink in the middle" in text
    assert [piece.mark for piece in load_job(path).pieces] == ["K1a", "K1b", "K1c", "K1d"]


def test_each_part_of_a_cored_piece_has_a_core_of_its_own(write_job: Write) -> None:
    path = write_job(vanity("0 in").replace('core_least = "12 in"', 'core_least = "1/2 in"'))
    found = lightened(path, Goal(people=2))
    number = next(n for n, way in enumerate(found.ways, start=1) if way.cores and way.seams)
    call = ["lighten", str(path), "--piece", "K1", "--people", "2", "--apply", str(number), "--accept-untested"]
    assert run(call) == 0
    parts = [piece for piece in load_job(path).pieces if piece.part == "seam"]
    assert [len(piece.inserts) for piece in parts] == [1, 0, 1]  # the rails at the sink have no room
    for part in (parts[0], parts[2]):
        # first principles: the plan less a rib of 3 in all round, between skins of 3/8 in
        long_m, wide_m = part.shape.region.size_m
        foam_m3 = (long_m - 6 * IN) * (wide_m - 6 * IN) * (2 - 2 * 3 / 8) * IN
        assert part.inserts[0].displaces_m3 == pytest.approx(foam_m3, rel=1e-3)
    result = estimate(load_job(path))
    for piece in result.pieces.values():  # a core is within its part, so the balance is too
        x, _, _ = piece.weight.center_of_gravity_m
        x0, _, x1, _ = piece.taken.piece.shape.region.bounds
        assert x0 + 0.3 * (x1 - x0) < x < x1 - 0.3 * (x1 - x0)


@pytest.mark.parametrize("kind", ["slab", "box"])
def test_a_door_that_is_too_small_is_the_reason(write_job: Write, kind: str) -> None:
    site = '[site]\ndoor = { width = "8 in", height = "8 in" }\n'
    shape = {
        "slab": 'kind = "slab", length = "110 in", width = "60 in", thickness = "1-1/2 in"',
        "box": 'kind = "box", length = "60 in", width = "24 in", height = "24 in", wall = "1 in", base = "1 in"',
    }[kind]
    found = lightened(write_job(HEAD + f'[[piece]]\nmark = "K1"\nshape = {{ {shape} }}\n{site}'), Goal(people=4))
    assert found.reason is not None
    assert "by the door" in Words("imperial", "USD").text(found.reason)


@pytest.mark.parametrize(
    ("cutout", "rail"),
    [
        (
            'kind = "rectangle", length = "30 in", width = "21 in", x = "20 in", y = "0 in"',
            4.5,
        ),  # an apron sink, open at the front
        ('kind = "rectangle", length = "2 in", width = "2 in", x = "20 in", y = "0 in"', None),  # round a pipe
        (
            'kind = "rectangle", length = "30 in", width = "16 in", x = "0 in", y = "0 in"',
            None,
        ),  # at a corner there are no rails
    ],
)
def test_a_notch_in_the_job_file_is_no_seam(write_job: Write, cutout: str, rail: float | None) -> None:
    shape = f'kind = "slab", length = "72 in", width = "25.5 in", thickness = "1 in", cutouts = [{{ {cutout} }}]'
    job = HEAD + f'[[piece]]\nmark = "K1"\nuse = "counter"\nshape = {{ {shape} }}\n'
    (piece,) = estimate(load_job(write_job(job))).pieces.values()
    narrowest_m = piece.handling.cracking.narrowest_rail_m
    assert narrowest_m == (None if rail is None else pytest.approx(rail * IN))
    assert ("open-rails" in piece.cautions) == (rail is not None)
