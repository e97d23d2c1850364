"""The price of whole jobs: the same however a job is written, with a line for each change."""

import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest

from estimator.commands.jobs import estimate_file
from estimator.document import to_document
from estimator.errors import InputError
from estimator.estimate import Estimate, price_before_tax
from estimator.explain import workings_of
from estimator.money import cents, round2
from estimator.pricing import side_by_side
from estimator.pricing.quote import lines_of
from estimator.words import PLAIN
from estimator.workshop import Labor, settings_of

Write = Callable[[str], Path]
D = Decimal
SMALL = 'shape = { kind = "slab", length = "30 in", width = "20 in", thickness = "1 in" }'
LARGE = 'shape = { kind = "slab", length = "60 in", width = "24 in", thickness = "1 in" }'
SINK = '{ kind = "rectangle", length = "16 in", width = "15 in", x = "7 in", y = "2 in" }'
HEAD = '[job]\nname = "Whole"\nmix = "backer-45"\nwaste = 0.07\ndate = "2026-03-02"\n'
A, B = (f'[[piece]]\nmark = "{mark}"\nuse = "counter"\n{shape}\n' for mark, shape in (("A", SMALL), ("B", LARGE)))


RISING = {
    "rate", "rate_install", "template", "travel", "form", "form_edge", "pour_setup", "batch", "batch_cleanup",
    "place_back", "strip_melamine", "flip", "hone", "seal", "crate", "install", "install_light",
}  # fmt: skip


@pytest.fixture
def estimated(write_job: Write) -> Callable[[str], Estimate]:
    return lambda text: estimate_file(write_job(text))


Run = Callable[[str], Estimate]


def test_a_quote_is_the_same_for_any_sequence_of_its_pieces(estimated: Run) -> None:
    one, other = estimated(HEAD + A + B), estimated(HEAD + B + A)
    assert one.cost == other.cost
    assert sorted((each.mark, each.price) for each in one.pricing.marks) == sorted(
        (each.mark, each.price) for each in other.pricing.marks
    )


def test_two_of_one_mark_cost_what_two_marks_do(estimated: Run) -> None:
    two = estimated(HEAD + A.replace('use = "counter"', 'use = "counter"\nquantity = 2\nforms = 2'))
    one_each = estimated(HEAD + A + A.replace('"A"', '"A2"'))
    assert two.cost.direct.total == one_each.cost.direct.total
    assert two.cost.total == one_each.cost.total


def test_every_sum_of_the_price_can_be_checked_with_a_pocket_calculator(estimated: Run) -> None:
    done = estimated(HEAD + A + B)
    cost, labour, terms = done.cost, done.pricing.labour, done.job.price
    assert all(line.cost == cents(line.hours * line.rate) for line in labour.lines)
    assert sum(line.cost for line in labour.lines) == cost.direct.labour
    assert sum(line.amount for line in lines_of(cost, terms)) == cost.total
    assert sum(each.price for each in done.pricing.marks) == cost.price
    assert sum(each.amount for each in cost.payments) == cost.total
    assert cost.overhead == cents(cost.direct.total * D("0.30"))
    assert cost.calculated == cents((cost.direct.total + cost.overhead) / D("0.75"))
    assert cost.tax == cents(cost.price * D("0.06"))
    kinds = ("materials", "consumables", "labour", "allowances", "forms", "freight", "delivery", "gear")
    document = to_document(done)["cost"]
    assert cents(sum(document[kind] for kind in kinds)) == cost.direct.total
    assert cents(document["direct"] + sum(document[kind] for kind in ("overhead", "margin", "tax"))) == cost.total
    # one name, one amount: by its lines, by its parts, by the pieces
    for kind in kinds:
        amount = cents(document[kind])
        assert cents(sum(line["amount"] for line in document["lines"] if line["kind"] == kind)) == amount, kind
        assert cents(sum(part["direct"][kind] for part in document["pieces"])) == amount, kind
    assert cents(sum(line["cost"] for line in document["labour_lines"])) == cents(document["labour"])
    assert cents(sum(line["amount"] for line in document["allowance_lines"])) == cents(document["allowances"])
    told = {each.figure: each.result for each in workings_of(done)}
    assert all(
        told[f"cost.{kind}"] == document[kind] for kind in ("labour", "allowances", "freight", "delivery", "gear")
    )
    assert "within" not in document
    for mark in done.pricing.marks:
        assert set(mark.direct) >= {"materials", "labour", "delivery", "allowances"}
    spent = [sum(mark.direct.values()) for mark in done.pricing.marks]
    assert sum(spent) == cost.direct.total


def test_the_price_rises_with_every_rate_and_price(estimated: Run) -> None:
    done = estimated(HEAD + A)
    job = done.job
    base = price_before_tax(job, like=done)
    assert base == done.cost.price
    rising = [("labor", field) for field, key, _ in settings_of(Labor) if key in RISING]
    assert len(rising) == len(RISING)
    for name, field in [*rising, ("freight", "delivery")]:
        section = getattr(job.workshop, name)
        section = replace(section, **{field: getattr(section, field) * 1.5})
        dearer = replace(job, workshop=replace(job.workshop, **{name: section}))
        assert price_before_tax(dearer, like=done) > base, field
    for name, material in job.materials.items():
        if name not in {line.material for line in done.materials.lines}:
            continue
        packs = tuple(
            replace(pack, unit_price=None if pack.unit_price is None else pack.unit_price * 1.5, breaks=())
            for pack in material.packs
        )
        dearer = replace(job, materials={**job.materials, name: replace(material, packs=packs)})
        assert price_before_tax(dearer, like=done) >= base, name


def test_each_status_carries_its_allowance_and_a_templated_job_none(estimated: Run) -> None:
    names = {}
    for status in ("ballpark", "quoted", "templated"):
        done = estimated(HEAD + f'status = "{status}"\n' + A)
        names[status] = [(each.name, each.share) for each in done.cost.direct.size_allowance]
    assert names == {
        "ballpark": [("sizes not templated (ballpark)", 0.08)],
        "quoted": [("sizes not templated (quoted)", 0.02)],
        "templated": [],
    }


@pytest.mark.parametrize(
    ("piece", "risk"),
    [
        (A, "plain"),
        (A.replace(SMALL, SMALL.replace("30 in", "12 ft").replace("20 in", "26 in")), "large"),
        (
            A.replace(
                SMALL,
                SMALL.replace('"1 in" }', f'"1 in", cutouts = [{SINK}] }}'),
            ),
            "thin-railed",
        ),
        (A.replace("[[piece]]", '[[piece]]\nmix = "black"'), "colour-critical"),
        (A.replace("[[piece]]", '[[piece]]\nrisk = "colour-critical"'), "colour-critical"),
    ],
)
def test_the_allowance_for_remakes_goes_by_the_risk_of_the_piece(estimated: Run, piece: str, risk: str) -> None:
    black = '[mixes.black]\nbased_on = "backer-45"\npigment = { iron-oxide-black = 0.03 }\n'
    done = estimated(HEAD + piece + black)
    assert [each.name for each in done.cost.direct.remake] == [f"remake, {risk}"]


@pytest.mark.parametrize(("front", "risk"), [("4 in", "plain"), ("4-1/16 in", "thin-railed")])
def test_a_rail_exactly_at_the_minimum_width_is_not_too_narrow(estimated: Run, front: str, risk: str) -> None:
    # in meters 20-1/16 − (4 + 13-1/16) in comes out under 3 in by the last digit
    sink = f'{{ kind = "rectangle", length = "12 in", width = "13-1/16 in", x = "9 in", y = "{front}" }}'
    shape = SMALL.replace("20 in", "20-1/16 in").replace('"1 in" }', f'"1 in", cutouts = [{sink}] }}')
    done = estimated(HEAD + A.replace(SMALL, shape))
    assert [each.name for each in done.cost.direct.remake] == [f"remake, {risk}"]


def test_a_piece_too_heavy_for_any_crew_hires_a_machine_by_the_day(estimated: Run) -> None:
    heavy = A.replace(SMALL, SMALL.replace("30 in", "10 ft").replace("20 in", "4 ft").replace("1 in", "2 in"))
    done = estimated(HEAD + heavy)
    assert done.pieces[0].handling.carry.persons is None
    assert done.pricing.machine_days == 2  # stripped, and set on site
    assert done.cost.direct.gear == D("440.00")


def test_change_orders_add_up_to_the_changed_job(estimated: Run) -> None:
    changes = """
[[change]]
number = 1
reason = "longer"
signed = "2026-04-02"
[[change.piece]]
mark = "A"
shape.length = "40 in"
[[change]]
number = 2
reason = "another"
signed = "2026-04-03"
days = 3
[[change.add]]
mark = "C"
use = "counter"
shape = { kind = "slab", length = "20 in", width = "20 in", thickness = "1 in" }
"""
    head = HEAD + 'status = "released"\n'
    before, after = estimated(head + A), estimated(head + A + changes)
    first, second = after.versions.changes
    assert before.cost.price + first.price + second.price == after.cost.price
    assert before.cost.total + first.total + second.total == after.cost.total
    assert first.price_of("A") == first.price
    assert second.price_of("A") + second.price_of("C") == second.price
    assert second.price_of("C") > 0
    longer = estimated(head + A.replace("30 in", "40 in"))
    assert first.price == longer.cost.price - before.cost.price
    assert first.price > 0
    assert second.days == after.calendar.lead_days - longer.calendar.lead_days
    assert second.days >= 3


def test_hours_outside_the_shops_range_per_finished_area_give_a_warning(estimated: Run) -> None:
    for low, high, side in ((0.01, 0.02, "small job"), (90.0, 99.0, "may be missing"), (0.01, 99.0, None)):
        usual = f'[workshop.labor]\nwhole_job_low = "{low} h/ft^2"\nwhole_job_high = "{high} h/ft^2"\n'
        done = estimated(HEAD + B + usual)
        told = [PLAIN.text(each.text) for each in done.warnings if each.id == "hours-unusual"]
        assert len(told) == (side is not None)
        rate = float(done.pricing.labour.hours) / (done.standing.finished_area_m2 / 0.3048**2)
        if side is not None:
            assert side in told[0]
            assert float(told[0].split()[2]) == pytest.approx(rate, abs=0.006)
    tiny = estimated(HEAD + A.replace("30 in", "20 in") + '[workshop.labor]\nwhole_job_high = "0.02 h/ft^2"\n')
    assert [each.id for each in tiny.warnings if each.id == "hours-unusual"] == ["hours-unusual"], (
        "under a square meter too"
    )


def test_hours_just_within_the_shops_range_are_usual(estimated: Run) -> None:
    for job in (HEAD + B, HEAD + A):
        done = estimated(job)
        rate = float(done.pricing.labour.hours) / (done.standing.finished_area_m2 / 0.3048**2)
        for low, high, warned in ((0.99, 1.01, False), (1.01, 1.1, True), (0.9, 0.99, True)):
            usual = f'whole_job_low = "{low * rate} h/ft^2"\nwhole_job_high = "{high * rate} h/ft^2"\n'
            found = estimated(job + "[workshop.labor]\n" + usual).warnings
            assert any(warning.id == "hours-unusual" for warning in found) == warned


def test_a_comparison_has_a_row_for_each_kind_of_direct_cost(estimated: Run) -> None:
    done = estimated(HEAD + A)
    costs = {row.what: row.values[0] for row in side_by_side([done.standing]) if row.section == "cost"}
    assert {kind: costs.get(kind) for kind in done.standing.kinds} == dict(done.standing.kinds)


def test_each_mark_bears_its_part_of_each_line_of_labor(estimated: Run) -> None:
    done = estimated(HEAD + A + B)
    labour = done.pricing.labour
    for mark in done.pricing.marks:
        # by hand: of every line, the mark's weight over those of all
        share = sum(
            float(line.cost) * line.by_mark.get(mark.mark, 0.0) / sum(line.by_mark.values()) for line in labour.lines
        )
        assert float(mark.direct["labour"]) == pytest.approx(share, abs=0.02)


def test_lines_taxed_separately_are_taken_off_the_pieces(estimated: Run) -> None:
    taxed = HEAD + B + "[price]\ntax = 0.10\ntax_rates = { template = 0.0, installation = 0.0, delivery = 0.0 }\n"
    cost = estimated(taxed).cost
    assert sum(line.base for line in cost.tax_lines) == cost.price
    (pieces,) = (line for line in cost.tax_lines if line.kind == "pieces")
    assert pieces.amount == cents(pieces.base * D("0.10")) == cost.tax
    assert 0 < pieces.base < cost.price
    assert all(line.amount == 0 for line in cost.tax_lines if line.kind != "pieces")
    direct = cost.direct.total
    apart = sum(line.cost for line in estimated(taxed).pricing.labour.lines if line.step in ("template", "site"))
    assert float(pieces.base / cost.price) == pytest.approx(
        float((direct - apart - cost.direct.delivery) / direct), rel=0.02
    )


def test_versions_state_their_reason_and_the_weight_of_the_heaviest_piece(estimated: Run) -> None:
    change = '[[change]]\nnumber = 1\nreason = "longer"\nsigned = "2026-04-02"\n'
    change += '[[change.piece]]\nmark = "A"\nshape.length = "40 in"\n'
    done = estimated(HEAD + 'status = "released"\n' + A + change + '[[option]]\nname = "sink"\nlump = 120.0\n')
    assert [(each.number, each.reason) for each in done.versions.changes] == [(1, "longer")]
    assert [each.price for each in done.versions.options] == [D("120.00")]
    weighed = to_document(done)["pieces"][0]["weight"]["lift_kg"]
    assert done.standing.marks["A"].lift_kg == weighed > 0


def test_an_option_adds_the_difference_that_it_makes_to_the_job(estimated: Run) -> None:
    with_b = estimated(HEAD + A + B)
    add = B.replace("[[piece]]\n", "[[option.add]]\n")
    plain = estimated(HEAD + A + '[[option]]\nname = "bar"\n' + add)
    lump = estimated(HEAD + A + '[[option]]\nname = "sink"\nlump = 120.0\ntaken = true\n')
    assert plain.versions.options[0].price == with_b.cost.price - plain.cost.price
    assert lump.cost.options == D("120.00")
    assert lump.cost.price == plain.cost.price + 120
    taken = estimated(HEAD + A + '[[option]]\nname = "bar"\ntaken = true\n' + add)
    assert taken.cost == with_b.cost


def test_an_alternative_is_priced_as_a_whole_job(estimated: Run) -> None:
    done = estimated(HEAD + B + '[[alternative]]\nname = "sand"\nswap = { backer-45 = "backer-0" }\n')
    sand = estimated(HEAD.replace("backer-45", "backer-0") + B)
    assert done.versions.alternatives[0].standing.price == sand.cost.price
    assert done.versions.alternatives[0].standing.marks == sand.standing.marks
    assert done.versions.alternatives[0].standing.installed_kg > 1.2 * done.standing.installed_kg


def run(*arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, "-m", "estimator", *arguments], capture_output=True, text=True, check=False)


def test_a_fault_found_while_estimating_an_alternative_names_it(write_job: Write) -> None:
    text = HEAD + A + '[[alternative]]\nname = "hollow"\n[[alternative.piece]]\nmark = "A"\n'
    text += 'inserts = [{ name = "core", displaces = "9 ft^3" }]\n'
    done = run("check", str(write_job(text)))
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith("job.toml: alternative hollow: piece A, inserts: ")
    assert done.stderr.count("\n") == 1


def test_a_ballpark_imports_no_heavy_library() -> None:
    code = (
        "import sys; from estimator.__main__ import run; status = run(['quick', '96x25.5', '--sink', '--json']);"
        "heavy = {'pint', 'pandas', 'scipy', 'reportlab', 'ezdxf', 'trimesh', 'manifold3d'} & set(sys.modules);"
        "print(status, sorted(heavy), file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stderr == "0 []\n"


@pytest.mark.parametrize("terms", ['markup = "40 %"', "margin = 0.2"])
def test_the_workings_of_a_price_are_plain_arithmetic(estimated: Run, terms: str) -> None:
    shop = "\n[workshop.quote]\nminimum = 9000.0\nround_to = 5.0\n"
    done = estimated(HEAD + A + "[price]\n" + terms + shop)
    names = {"max": max, "round2": lambda amount: float(round2(amount))}
    told = {each.figure: each for each in workings_of(done) if each.figure.startswith("cost.")}
    assert {
        "cost.margin",
        "cost.minimum_charge",
        "cost.price",
        "cost.total",
        "cost.labour",
        "cost.allowances",
    } <= told.keys()
    for each in told.values():
        formula = each.formula.replace("·", "*").replace("−", "-")
        assert eval(formula, {"__builtins__": {}}, {**names, **each.values}) == pytest.approx(each.result, abs=1e-9)
    assert done.cost.price == D("9000.00")


def test_a_discount_is_a_line_a_working_and_a_figure_of_the_document(estimated: Run) -> None:
    full, less = (estimated(HEAD + A + f"[price]\nmargin = 0.2\nadjustment = {off}\n") for off in (0, -45.5))
    assert full.cost.price - less.cost.price == D("45.50")
    assert [line.amount for line in lines_of(less.cost, less.job.price) if line.kind == "adjustment"] == [D("-45.50")]
    (working,) = [each for each in workings_of(less) if each.figure == "cost.price"]
    assert working.values["adjustment"] == -45.5
    assert sum(each.price for each in less.pieces) == less.cost.price


@pytest.mark.parametrize("wrong", ['"5 %"', "true", "nan", "1e12"])
def test_an_adjustment_is_a_number_of_the_currency(write_job: Write, wrong: str) -> None:
    with pytest.raises(InputError) as refused:
        estimate_file(write_job(HEAD + A + f"[price]\nadjustment = {wrong}\n"))
    (fault,) = refused.value.faults
    assert "price.adjustment" in str(fault) or "price, adjustment" in str(fault)


@pytest.mark.parametrize(
    ("shop", "line"),
    [
        ('[workshop.calendar]\nhours_per_day = "0 h"', "workshop.calendar.hours_per_day: 0 h is not part of a day."),
        (
            "[workshop.calendar]\ndays_per_week = 8",
            "workshop.calendar.days_per_week: 8 is not a number of days in a week.",
        ),
        (
            '[workshop.calendar]\nseal_from = "4000 days"',
            "workshop.calendar.seal_from: 4000 days is too long. Write 365 days",
        ),
        ("[workshop.labour]\ndemould_crew = 1.5", "workshop.labour.demould_crew: 1.5 is not a number of people."),
        (
            "[workshop.quote]\nremake_plain = 3",
            "workshop.quote.remake_plain: 3 is above 1. A share is 0 to 1. For 3%,",
        ),
        ("[price]\noverhead = 30", "price: overhead is 30 times the cost. At most 5 is allowed. For 30%, write 0.3."),
        ("[price]\nmarkup = 40", "price: markup is 40 times the cost. At most 5 is allowed. For 40%, write 0.4."),
    ],
)
def test_a_figure_that_prevents_a_price_is_refused_in_one_line(write_job: Write, shop: str, line: str) -> None:
    with pytest.raises(InputError) as told:
        estimate_file(write_job(HEAD + A + shop + "\n"))
    assert [str(fault).startswith(f"job.toml: {line}") for fault in told.value.faults] == [True], told.value
