"""Options, alternatives and change orders in a job file: how they change the job, and the one line of each fault."""

from collections.abc import Callable
from pathlib import Path

import pytest

from estimator.intake import read_job
from estimator.words import PLAIN

Write = Callable[[str], Path]
HEAD = """
[job]
name = "Versions"
mix = "backer-45"
waste = 0.07
status = "{status}"
"""
PIECES = """
[[piece]]
mark = "C1"
use = "counter"
shape = { kind = "slab", length = "72 in", width = "25.5 in", thickness = "1 in" }

[[piece]]
mark = "C2"
use = "counter"
layers = [{ mix = "face", thickness = "1/8 in", method = "spray" }, { mix = "backer-45" }]
shape = { kind = "slab", length = "48 in", width = "25.5 in", thickness = "1 in" }
"""


def job(more: str = "", status: str = "quoted") -> str:
    return HEAD.format(status=status) + PIECES + more


def lines(path: Path) -> list[str]:
    return [str(fault) for fault in read_job(path).faults]


def test_an_alternative_swaps_a_mix_in_layers_and_as_the_mix_of_the_job(write_job: Write) -> None:
    text = job('[[alternative]]\nname = "sand only"\nswap = { backer-45 = "backer-0" }\n')
    read = read_job(write_job(text)).sound()
    (other,) = read.alternatives
    assert [layer.mix for piece in read.pieces for layer in piece.layers] == ["backer-45", "face", "backer-45"]
    assert [layer.mix for piece in other.job.pieces for layer in piece.layers] == ["backer-0", "face", "backer-0"]


def test_a_swap_may_apply_to_some_pieces_only(write_job: Write) -> None:
    text = job('[[alternative]]\nname = "one"\npieces = ["C2"]\nswap = { backer-45 = "backer-65" }\n')
    (other,) = read_job(write_job(text)).sound().alternatives
    assert [layer.mix for piece in other.job.pieces for layer in piece.layers] == ["backer-45", "face", "backer-65"]


def test_an_overlay_changes_a_piece_key_by_key(write_job: Write) -> None:
    text = job('[[alternative]]\nname = "thin"\n[[alternative.piece]]\nmark = "C1"\nshape.thickness = "3/4 in"\n')
    read = read_job(write_job(text)).sound()
    changed = read.alternatives[0].job.pieces[0].shape
    assert changed.thickness_m == pytest.approx(0.75 * 0.0254)
    assert changed.length_m == read.pieces[0].shape.length_m
    assert read.alternatives[0].job.pieces[1].shape is read.pieces[1].shape  # built once


def test_an_overlay_reaches_the_pieces_of_a_schedule(write_job: Write, tmp_path: Path) -> None:
    (tmp_path / "p.csv").write_text(
        "mark,shape.kind,shape.length,shape.width,shape.thickness\nW1,slab,4 ft,2 ft,1 in\n", encoding="utf-8"
    )
    text = job(
        '[[schedule]]\nfile = "p.csv"\n'
        '[[alternative]]\nname = "more"\n[[alternative.piece]]\nmark = "W1"\nquantity = 3\n'
    )
    read = read_job(write_job(text)).sound()
    assert (read.pieces[2].quantity, read.alternatives[0].job.pieces[2].quantity) == (1, 3)


def test_terms_and_rates_may_differ(write_job: Write) -> None:
    text = job(
        '[[alternative]]\nname = "lean"\nprice = { markup = 0.2 }\nworkshop = { labour = { rate = 30 } }\n'
        "materials = { silica-sand = { moisture = 0.03 } }\n"
    )
    other = read_job(write_job(text)).sound().alternatives[0].job
    assert (other.price.margin, other.price.markup) == (None, 0.2)
    assert other.workshop.labor.rate == 30
    assert other.materials["silica-sand"].moisture == 0.03


def test_an_option_taken_is_in_the_job_and_one_not_taken_is_not(write_job: Write) -> None:
    splash = '{ mark = "S1", shape = { kind = "slab", length = "4 ft", width = "4 in", thickness = "3/4 in" } }'
    text = job(
        f'[[option]]\nname = "splash"\nadd = [{splash}]\ntaken = true\n'
        '[[option]]\nname = "no C2"\nremove = ["C2"]\n[[option]]\nname = "sink"\nlump = 180.0\n'
    )
    read = read_job(write_job(text)).sound()
    assert [piece.mark for piece in read.pieces] == ["C1", "C2", "S1"]
    taken, beside, lump = read.options
    assert taken.taken
    assert beside.job is not None
    assert [piece.mark for piece in beside.job.pieces] == ["C1", "S1"]
    assert (lump.lump, lump.job) == (180.0, None)


def test_signed_change_orders_apply_one_after_the_other(write_job: Write) -> None:
    text = job(
        """
[[change]]
number = 1
reason = "longer"
signed = 2026-04-02
[[change.piece]]
mark = "C1"
shape.length = "80 in"
[[change]]
number = 2
reason = "thicker"
signed = "2026-04-09"
days = 2
[[change.piece]]
mark = "C1"
shape.thickness = "1-1/4 in"
[[change]]
number = 3
reason = "one less"
remove = ["C2"]
[sign_off]
sketch = 2026-03-01
sample = 2026-03-02
template = 2026-03-03
""",
        "released",
    )
    read = read_job(write_job(text)).sound()
    first, second, third = read.changes
    sizes = [each.after.pieces[0].shape for each in read.changes]
    assert [round(shape.length_m / 0.0254, 6) for shape in sizes] == [80, 80, 80]
    assert [round(shape.thickness_m / 0.0254, 6) for shape in sizes] == [1, 1.25, 1.25]
    assert first.before.pieces[0].shape.length_m == pytest.approx(72 * 0.0254)
    assert second.before.pieces == first.after.pieces
    assert read.pieces == second.after.pieces
    assert len(third.after.pieces) == 1
    assert (second.signed, second.days) == ("2026-04-09", 2)
    assert tuple(map(str, read.warnings)) == ("warning-change-unsigned (number = 3, reason = one less)",)


def test_change_orders_are_numbered_in_sequence(write_job: Write) -> None:
    text = job('[[change]]\nnumber = 2\nreason = "y"\nremove = ["C1"]\n', "released")
    assert lines(write_job(text)) == [
        "job.toml: change 2, number: 2 is out of order. Number change orders 1, 2, 3. This one is 1."
    ]


def test_a_release_without_approvals_gives_a_warning(write_job: Write) -> None:
    read = read_job(write_job(job('[sign_off]\nsketch = "2026-03-01"\n', "released"))).sound()
    (warning,) = read.warnings
    assert PLAIN.text(warning.text) == (
        "The job is released, but not signed off: the sample and the template. Get signatures before casting."
    )


@pytest.mark.parametrize(
    ("more", "line"),
    [
        (
            '[[alternative]]\nname = "x"\npieces = ["C9"]\nswap = { backer-45 = "backer-0" }',
            'job.toml: alternative x, pieces: there is no piece "C9". Known here: `C1`, `C2`.',
        ),
        (
            '[[alternative]]\nname = "x"\nremove = ["Q"]',
            'job.toml: alternative x, remove: there is no piece "Q". Known here: `C1`, `C2`.',
        ),
        (
            '[[alternative]]\nname = "x"\n[[alternative.piece]]\nmark = "C3"\nquantity = 2',
            'job.toml: alternative x, piece[0].mark: there is no piece "C3". Known here: `C1`, `C2`.',
        ),
        (
            '[[alternative]]\nname = "x"\nswap = { backer-65 = "backer-0" }',
            'job.toml: alternative x, swap.backer-65: no piece here uses the mix "backer-65". Did you'
            " mean `backer-45`?",
        ),
        (
            '[[alternative]]\nname = "x"\npieces = ["C1"]\nswap = { backer-45 = "back-zero" }',
            'job.toml: alternative x: piece C1, mix: there is no mix "back-zero". Did you mean `backer-0`?',
        ),
        (
            '[[alternative]]\nname = "x"',
            "job.toml: alternative x: changes nothing. Add what changes, such as swap, piece, add, "
            "remove, price or workshop.",
        ),
        (
            '[[alternative]]\nname = "x"\n[[alternative.piece]]\nmark = "C1"\nshape.length = "80"',
            'job.toml: alternative x: piece C1, shape.length: "80" has no unit.',
        ),
        (
            '[[option]]\nname = "x"\nlump = 10\nremove = ["C1"]',
            "job.toml: option x: has a lump sum and changes too. Keep `lump`, or keep the changes.",
        ),
        (
            '[[option]]\nname = "x"\nlump = -10',
            "job.toml: option x, lump: A price can't be -10. Write 0 or more.",
        ),
        (
            '[[option]]\nname = "x"\nlump = 1\n[[option]]\nname = "x"\nlump = 2',
            'job.toml: option x, name: "x" is used twice. Give every one its own name.',
        ),
        (
            '[[change]]\nnumber = 1\nreason = "y"\nremove = ["C1"]',
            'job.toml: change 1: is a change order, but the job is "quoted". Change the piece itself,'
            ' or set status = "released" in [job].',
        ),
        (
            '[[option]]\nname = "y"\nadd = [{ mark = "C7" }]',
            "job.toml: option y: piece C7, shape: is missing.",
        ),
        ("[price]\nmargin = 1.0", "job.toml: price: A margin of 1.0 leaves nothing for the cost. Write less than 1."),
        ("[price]\nmargin = 1.2", "job.toml: price, margin: 1.2 is above 1. A share is 0 to 1."),
        (
            "[workshop.labour]\nrate = -5",
            "job.toml: workshop.labour.rate: -5 can't be used here. Write 0 or more, such as 42.0.",
        ),
        (
            '[price]\npayments = [{ name = "first", share = 0.5 }, { name = "last", share = 0.4 }]',
            "job.toml: price, payments: The payment steps add up to 0.9, not 1. Change the share of first and last.",
        ),
        (
            "[workshop.quote]\ndeposit = 0.6",
            "job.toml: workshop.quote: The payment steps add up to 1.1, not 1. Change the share of "
            "deposit (0.6), before_delivery (0.4), and on_install (0.1).",
        ),
        ('[sign_off]\nsketch = "2026-02-31"', 'job.toml: sign_off, sketch: "2026-02-31" is not a date. Write year,'),
    ],
)
def test_each_fault_is_reported_in_one_line(write_job: Write, more: str, line: str) -> None:
    found = lines(write_job(job(more + "\n")))
    assert len(found) == 1, found
    assert found[0].startswith(line), found[0]


@pytest.mark.parametrize(("code", "fix"), [("usd", 'Write "USD".'), ("XYZ", "Write a code of three capital")])
def test_a_currency_that_does_not_exist_is_refused(write_job: Write, code: str, fix: str) -> None:
    text = job().replace('name = "Versions"', f'name = "Versions"\ncurrency = "{code}"')
    (found,) = lines(write_job(text))
    assert found.startswith(f'job.toml: job, currency: "{code}" is not a currency code')
    assert fix in found
