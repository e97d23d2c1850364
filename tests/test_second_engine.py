"""The program agrees with an independent engine: every figure that the design defines, computed twice.

The long run is `python -m tests.second_engine --jobs 1000`.
"""

import copy
from fractions import Fraction

import pytest

from tests.second_engine import jobs
from tests.second_engine.bodies import ZERO, slab
from tests.second_engine.compare import agree, document_of, run
from tests.second_engine.engine import Money, figures
from tests.second_engine.packs import Pack, cheapest

JOBS = 40


def test_every_figure_agrees_on_random_jobs():
    outcome = run(range(JOBS))
    assert outcome.differences == []
    assert outcome.figures > 100 * (JOBS - outcome.refused)


@pytest.mark.parametrize("place", [("pieces", 0, "weight", "high_kg"), ("mixes", 0, "batch_m3"), ("cost", "total")])
def test_a_figure_that_is_slightly_off_is_found(place):
    text = jobs.toml_text(jobs.job(0))
    document = copy.deepcopy(document_of(text))
    table = document
    for step in place[:-1]:
        table = table[step]
    table[place[-1]] = round(table[place[-1]] + 0.01, 2) if place[0] == "cost" else table[place[-1]] * (1 + 2e-9)
    seen = [path for path, here, there in figures(text, document) if not agree(here, there)]
    assert len(seen) >= 1


def test_the_engine_measures_a_slab_with_two_drops_as_by_hand():
    # first principles: 72 × 25-1/2 × 3/4 in with drops front and left, 2 × 1 in; form of 2106.625 in²
    drops = [{"sides": ["front", "left"], "height": "2 in", "thickness": "1 in"}]
    body = slab({"length": "72 in", "width": "25.5 in", "thickness": "3/4 in", "drop_edges": drops})
    inch = Fraction("0.0254")
    assert body.within(ZERO).volume / inch**3 == Fraction("1497.625")
    assert body.form_area / inch**2 == Fraction("2106.625")


def test_the_engine_buys_up_to_a_break_where_that_is_cheaper():
    # nine at 10.00 are 90.00, ten at 8.75 are 87.50
    pack = Pack(Fraction(50), Fraction(10), 0, ((10, Fraction("8.75")),), incremental=False)
    assert cheapest(Fraction(450), ZERO, [pack]) == Fraction("87.5")


def test_money_has_to_agree_only_to_the_cent():
    assert agree(Money(Fraction("10.00")), 10.0)
    assert not agree(Money(Fraction("10.00")), 10.01)
    assert agree(Money(Fraction("10.005")), 10.0)  # exactly between two cents: either
