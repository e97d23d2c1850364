"""A job whose pieces come from one drawing: entries that override it, and the drawing read again after an edit."""

import json
from collections.abc import Callable
from pathlib import Path

import ezdxf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator import InputError, estimate, load_job
from estimator.__main__ import run
from estimator.intake.seen import Seen, SeenPiece, compared, edge_lengths_m
from geometry.plane import Region
from geometry.readers.pieces import DrawnPiece

HEAD = '[job]\nname = "Kitchen"\nmix = "backer-45"\n'
DRAWING = '[[drawing]]\nfile = "kitchen.dxf"\nunit = "in"\nthickness = "1 in"\nuse = "counter"\n'
IN_M = 0.0254


def draw(path: Path, *boxes: tuple[str, float, float, float, float], layer: str = "COUNTER") -> None:
    """Boxes with a mark, a corner and a size, in inches; the mark may be empty."""
    document = ezdxf.new("R2010", units=0)
    for mark, x, y, width, height in boxes:
        corners = [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]
        document.modelspace().add_lwpolyline(corners, close=True, dxfattribs={"layer": layer})
        if mark:
            document.modelspace().add_text(mark, dxfattribs={"height": 1}).set_placement((x + 1, y + 1))
    document.saveas(path)


@pytest.fixture
def job(tmp_path: Path) -> Callable[[str], Path]:
    """Writes a job beside its drawing of two counters and returns the path of the job file."""
    draw(tmp_path / "kitchen.dxf", ("C1", 0, 0, 72, 25.5), ("C2", 0, 40, 36, 24))

    def write(text: str) -> Path:
        path = tmp_path / "job.toml"
        path.write_text(HEAD + text, encoding="utf-8")
        return path

    return write


def faults(path: Path) -> list[str]:
    with pytest.raises(InputError) as raised:
        load_job(path)
    return [str(fault) for fault in raised.value.faults]


def test_every_outline_is_a_piece_of_the_job(job) -> None:
    result = estimate(load_job(job(DRAWING)))
    # first principles: 72 · 25.5 · 1 in³
    assert list(result.pieces) == ["C2", "C1"]
    assert result.document()["pieces"][1]["volume_m3"] == pytest.approx(72 * 25.5 * IN_M**3)


def test_an_entry_overrides_the_drawing_key_by_key(job) -> None:
    text = DRAWING + (
        '[[piece]]\nmark = "C1"\nfrom = "kitchen.dxf"\nquantity = 2\ndescription = "Sink run"\n'
        'shape = { cutouts = [{ kind = "circle", diameter = "2 in", x = "36 in", y = "12 in" }] }\n'
    )
    first, second = load_job(job(text)).pieces
    assert (first.mark, first.quantity, first.use, first.description) == ("C1", 2, "counter", "Sink run")
    assert len(first.shape.cutouts) == 1
    assert second.mark == "C2"


def test_a_layer_has_the_meaning_that_the_user_gives(job) -> None:
    text = DRAWING + 'layer = { "COUNT*" = { thickness = "2 in", use = "panel" } }\n'
    assert {(piece.use, round(piece.shape.thickness_m / IN_M, 6)) for piece in load_job(job(text)).pieces} == {
        ("panel", 2.0)
    }


EDGES = """
[drawing.edges.DROP]
drop = { height = "3 in", thickness = "1-1/2 in" }
[drawing.edges."ease*"]
profile = { kind = "eased" }
[drawing.edges.WALL]
raw = true
[drawing.edges.SPLASH]
splash = { height = "4 in", thickness = "3/4 in" }
[drawing.edges.LEG]
waterfall = { height = "36 in" }
"""


def draw_edges(path: Path, **lines: list[tuple[float, float]]) -> None:
    """Adds a line on each of some layers, in inches."""
    document = ezdxf.readfile(path)
    for layer, points in lines.items():
        document.modelspace().add_lwpolyline(points, dxfattribs={"layer": layer})
    document.saveas(path)


def test_lines_along_edges_give_drops_profiles_and_raw_edges(job, tmp_path) -> None:
    path = job(DRAWING + EDGES)
    draw_edges(
        tmp_path / "kitchen.dxf",
        DROP=[(72, 25.5), (72, 0), (0, 0)],
        EASED=[(10, 64.1), (30, 64.1)],
        WALL=[(0, 0), (0, 64)],
        SPLASH=[(0, 25.5), (72, 25.5)],
        LEG=[(36, 40), (36, 64)],
    )
    job_read = load_job(path)
    assert {piece.mark for piece in job_read.pieces} == {"C1", "C2", "C1-S1", "C2-W1"}
    pieces = {piece.mark: piece.shape for piece in job_read.pieces if piece.mark in ("C1", "C2")}
    (drop,) = pieces["C1"].drop_edges
    assert drop.edges == (1, 2)
    profile = next(profile for profile in pieces["C2"].edge_profiles if profile.kind == "eased")
    (part,) = profile.edges
    # edge 3 runs from the back right corner to the left: from x = 36 down to 0
    assert (part.edge, part.from_m / IN_M, part.to_m / IN_M) == pytest.approx((3, 6, 26), abs=0.01)
    assert [shape.raw_edges for shape in (pieces["C1"], pieces["C2"])] == [(4,), (4,)]


def test_a_line_along_no_edge_is_refused_with_its_layer_and_place(job, tmp_path) -> None:
    path = job(DRAWING + EDGES)
    draw_edges(tmp_path / "kitchen.dxf", DROP=[(0, 10), (72, 10)], EASED=[(0, 64), (36, 64)], WALL=[(0, 0), (0, 64)])
    draw_edges(tmp_path / "kitchen.dxf", SPLASH=[(0, 25.5), (72, 25.5)], LEG=[(36, 40), (36, 64)])
    (found,) = faults(path)
    assert found.startswith("job.toml: drawing 1, edges.DROP: kitchen.dxf: "), found


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (DRAWING + "[drawing.edges.DROP]\n", "drawing 1, edges.DROP: A layer of edges needs exactly one of"),
        (DRAWING.replace('unit = "in"\n', ""), "kitchen.dxf: The file has no unit. Its size is 72 × 64"),
        (DRAWING.replace('thickness = "1 in"\n', ""), "drawing 1, piece C2, shape.thickness: "),
        (DRAWING + '[[piece]]\nmark = "C9"\nfrom = "kitchen.dxf"\n', "piece C9: kitchen.dxf has no piece C9."),
        (DRAWING + '[[piece]]\nmark = "C1"\nfrom = "bath.dxf"\n', "piece C1, from: No [[drawing]] names this file."),
        (
            DRAWING + '[[piece]]\nmark = "C1"\nshape = { kind = "box" }',
            'piece C1: This mark is in kitchen.dxf too. Add from = "kitchen.dxf"',
        ),
        (DRAWING.replace("kitchen", "bath"), "drawing 1, file: bath.dxf"),
        (DRAWING + 'holes = ["SINK"]\n', 'Nothing lies on a layer "SINK"'),
        (DRAWING + 'marks = "numbers"\n', "drawing 1, marks"),
        ('[[piece]]\nmark = "C1"\nfrom = "kitchen.dxf"\n', "piece C1, from: No [[drawing]] names this file."),
    ],
)  # fmt: skip
def test_faults_name_file_and_place(job, text: str, expected: str) -> None:
    found = faults(job(text))
    assert any(expected in line for line in found), found
    assert all(line.startswith("job.toml: ") for line in found)


def test_a_change_order_changes_a_drawn_piece(job) -> None:
    text = (
        HEAD.replace('name = "Kitchen"', 'name = "Kitchen"\nstatus = "released"\ndate = 2026-03-02')
        + DRAWING
        + '[[change]]\nnumber = 1\nreason = "thicker"\nsigned = 2026-04-02\n[[change.piece]]\nmark = "C1"\n'
        + 'shape.thickness = "2 in"\n'
    )
    path = job("")
    path.write_text(text, encoding="utf-8")
    assert {piece.mark: round(piece.shape.thickness_m / IN_M, 6) for piece in load_job(path).pieces} == {
        "C1": 2.0, "C2": 1.0,
    }  # fmt: skip


def test_the_schema_accepts_an_entry_that_only_overrides() -> None:
    import jsonschema

    from estimator.intake.json_schema import json_schema

    document = {
        "job": {"name": "Kitchen"},
        "drawing": [{"file": "kitchen.dxf", "layer": {"BAR": {"thickness": "1 in"}}, "marks": ["LABELS"]}],
        "piece": [{"mark": "C1", "from": "kitchen.dxf", "shape": {"thickness": "1 in"}}],
    }
    jsonschema.validate(document, json_schema())
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate({**document, "piece": [{"mark": "C1"}]}, json_schema())


# Read again


def seen_of(*pieces: DrawnPiece) -> Seen:
    marks, _ = compared(pieces, None, "P")
    return Seen(
        "k.dxf",
        tuple(
            SeenPiece(mark, piece.quantity, piece.region, edge_lengths_m(piece.region))
            for mark, piece in zip(marks, pieces, strict=True)
        ),
    )


def box(x: float, y: float, width: float, height: float, mark: str | None = None) -> DrawnPiece:
    return DrawnPiece(mark, Region.rectangle(width, height).translated(x, y), ("0",))


def test_pieces_keep_their_numbers_and_new_ones_continue() -> None:
    before = [box(0, 0, 1, 0.5), box(2, 0, 1, 0.5), box(4, 0, 1, 0.5)]
    marks, changes = compared([box(-2, 0, 1, 0.5), box(2.1, 0, 1, 0.5), box(4, 0, 1.2, 0.5)], seen_of(*before), "P")
    assert marks == ["P4", "P2", "P3"]
    assert [change.id for change in changes] == ["drawn-changed", "drawn-new", "drawn-gone"]


def test_a_piece_that_hardly_overlaps_an_earlier_one_is_a_new_piece() -> None:
    # first principles: 0.1 of 0.9 m² is shared, a ninth
    marks, changes = compared([box(0.8, 0, 1, 0.5)], seen_of(box(0, 0, 1, 0.5)), "P")
    assert (marks, [change.id for change in changes]) == (["P2"], ["drawn-new", "drawn-gone"])


@settings(max_examples=40, deadline=None)
@given(st.data())
def test_random_edits_keep_the_numbers_of_unmarked_pieces(data) -> None:
    # property: pieces keep their numbers when pieces are moved or stretched a little, left out or added
    count = data.draw(st.integers(1, 8))
    spots = [(3.0 * (i % 4), 2.0 * (i // 4)) for i in range(count)]
    sizes = [(data.draw(st.floats(0.6, 2.4)), data.draw(st.floats(0.4, 1.5))) for _ in range(count)]
    seen = seen_of(*(box(x, y, w, h) for (x, y), (w, h) in zip(spots, sizes, strict=True)))
    kept = data.draw(st.lists(st.integers(0, count - 1), unique=True))
    after, expected = [], []
    for number in kept:
        (x, y), (w, h) = spots[number], sizes[number]
        dx, dy = data.draw(st.floats(-0.2, 0.2)) * w, data.draw(st.floats(-0.2, 0.2)) * h
        after.append(box(x + dx, y + dy, w * data.draw(st.floats(0.9, 1.1)), h))
        expected.append(f"P{number + 1}")
    for extra in range(data.draw(st.integers(0, 2))):
        after.append(box(100 + 3 * extra, 0, 1, 1))
        expected.append(f"P{count + extra + 1}")
    marks, changes = compared(after, seen, "P")
    assert marks == expected
    assert sum(change.id == "drawn-gone" for change in changes) == count - len(kept)


@pytest.fixture
def accepted(job, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Callable[..., Path]:
    """A job whose drawing was accepted as it is, with more text at its end."""

    def write(text: str = "") -> Path:
        path = job(DRAWING + text)
        assert run(["check", str(path), "--accept"]) == 0
        assert json.loads((tmp_path / "kitchen.seen.json").read_bytes())["pieces"][1]["edges_m"][0] == pytest.approx(
            72 * IN_M
        )
        capsys.readouterr()
        return path

    return write


def test_check_lists_what_changed_until_it_is_accepted(accepted, tmp_path, capsys) -> None:
    path = accepted()
    before = path.read_bytes()
    draw(tmp_path / "kitchen.dxf", ("C1", 5, 0, 74, 25.5), ("C4", 0, 140, 36, 24))
    assert run(["check", str(path)]) == 0
    assert (
        'kitchen.dxf has changed: C1 was 72" × 25-1/2" and is 74" × 25-1/2", C4 is new, and C2 is gone.'
        in capsys.readouterr().out
    )
    assert run(["check", str(path), "--accept"]) == 0
    capsys.readouterr()
    assert run(["check", str(path)]) == 0
    assert "has changed" not in capsys.readouterr().out
    assert path.read_bytes() == before


def test_a_moved_piece_is_unchanged(accepted, tmp_path, capsys) -> None:
    path = accepted()
    draw(tmp_path / "kitchen.dxf", ("C1", 500, 300, 72, 25.5), ("C2", 0, 40, 36, 24))
    assert run(["check", str(path)]) == 0
    assert "has changed" not in capsys.readouterr().out


def test_an_entry_for_a_piece_that_is_gone_is_refused(accepted, tmp_path) -> None:
    path = accepted('[[piece]]\nmark = "C2"\nfrom = "kitchen.dxf"\n')
    draw(tmp_path / "kitchen.dxf", ("C1", 0, 0, 72, 25.5))
    assert faults(path) == ["job.toml: piece C2: kitchen.dxf has no piece C2. Known here: `C1`. Or delete this entry."]


def test_an_edge_that_the_job_numbers_may_move_by_half_an_inch_and_no_more(accepted, tmp_path) -> None:
    drop = 'shape = { drop_edges = [{ edges = [3, 2], height = "2 in", thickness = "1 in" }] }'
    path = accepted(f'[[piece]]\nmark = "C1"\nfrom = "kitchen.dxf"\n{drop}\n')
    draw(tmp_path / "kitchen.dxf", ("C1", 0, 0, 72.4, 25.5), ("C2", 0, 40, 36, 24))
    load_job(path)
    draw(tmp_path / "kitchen.dxf", ("C1", 0, 0, 74, 25.5), ("C2", 0, 40, 36, 24))
    assert faults(path) == [
        'job.toml: piece C1, shape.drop_edges[0]: Edge 3 was 72" long and is now 74". Check the numbers in the picture '
        "of the drawing. Then run: cast-estimator check JOB.toml --accept"
    ]
    assert run(["check", str(path), "--accept"]) == 0


def test_a_released_job_needs_a_change_order(accepted, tmp_path) -> None:
    path = accepted()
    path.write_text(path.read_text().replace('"Kitchen"', '"Kitchen"\nstatus = "released"\ndate = 2026-03-02'))
    load_job(path)
    draw(tmp_path / "kitchen.dxf", ("C1", 0, 0, 73, 25.5), ("C2", 0, 40, 36, 24))
    assert faults(path) == [
        "job.toml: drawing: A drawing changed after release. Add a [[change]] with its number and reason, or restore "
        "the drawing."
    ]


def test_a_damaged_record_is_refused(accepted, tmp_path) -> None:
    path = accepted()
    (tmp_path / "kitchen.seen.json").write_text('{"file": "kitchen.dxf", "pieces": [{}]}')
    assert faults(path)[0].startswith("kitchen.seen.json: The file cannot be read.")


# The example


def test_the_kitchen_of_the_examples_is_what_its_script_draws(tmp_path) -> None:
    from geometry.readers.pieces import read_pieces
    from tests.kitchen import PATH, write_kitchen

    write_kitchen(tmp_path / "kitchen.dxf")
    drawn, kept = (read_pieces(path, IN_M) for path in (tmp_path / "kitchen.dxf", PATH))
    assert [(piece.mark, piece.quantity) for piece in kept.pieces] == [
        ("K1", 1), ("K2", 1), ("K3", 1), ("B1", 1), ("S1", 2),
    ]  # fmt: skip
    assert [piece.region.area_m2 for piece in kept.pieces] == [piece.region.area_m2 for piece in drawn.pieces]
    assert kept.counts == drawn.counts
    result = load_job(PATH.with_name("job.toml"))
    assert {piece.mark: len(piece.shape.drop_edges) for piece in result.pieces} == {
        "K1": 1, "K2": 1, "K3": 1, "B1": 0, "S1": 0,
    }  # fmt: skip


OVER_C1 = '[[piece]]\nmark = "C1"\nfrom = "kitchen.dxf"\n'


@pytest.mark.parametrize("copies", [False, True])
def test_an_entry_over_a_drawing_names_edges_by_layer(job, tmp_path, copies: bool) -> None:
    if copies:
        draw(tmp_path / "kitchen.dxf", ("C1", 0, 0, 72, 25.5), ("C2", 0, 40, 36, 24), ("C1", 100, 0, 72, 25.5))
    path = job(
        DRAWING + OVER_C1 + "[piece.shape]\n"
        'drop_edges = [{ edges = [{ layer = "drop" }], height = "3 in", thickness = "1-1/2 in" }]\n'
        'edge_profiles = [{ sides = [{ layer = "EASE*", length = "20 in" }, 4], profile = "eased" }]\n'
        'raw_edges = [{ layer = "WALL" }]\n'
    )
    # a line along both counters, the rest of it along C1 alone; the lines join no outline
    draw_edges(
        tmp_path / "kitchen.dxf",
        DROP=[(72, 25.5), (72, 0), (0, 0)],
        EASED=[(10, 25.4), (30, 25.4)],
        WALL=[(0, 0), (0, 64)],
    )
    shapes = {piece.mark: piece.shape for piece in load_job(path).pieces}
    assert set(shapes) == {"C1", "C2"}
    (drop,), (profile,) = shapes["C1"].drop_edges, shapes["C1"].edge_profiles
    assert drop.edges == (1, 2)
    part, left = profile.edges
    # edge 3 runs from the back right corner to the left: from x = 72 down to 0
    assert (part.edge, part.from_m / IN_M, part.to_m / IN_M) == pytest.approx((3, 42, 62), abs=0.01)
    assert left == 4
    assert shapes["C1"].raw_edges == (4,)
    assert not shapes["C2"].drop_edges
    # first principles: the plate, and an L of drop as high as it hangs below the plate
    band = (72 * 1.5 + (25.5 - 1.5) * 1.5) * (3 - 1)
    eased = 20 * (1 - 3.14159265 / 4) / 8**2
    volume = shapes["C1"].solid().volume_m3 / IN_M**3
    assert volume == pytest.approx(72 * 25.5 + band - eased - 25.5 * eased / 20, abs=0.02)


@pytest.mark.parametrize(
    ("edge", "expected"),
    [
        ('{ layer = "DROP" }', "shape.raw_edges[0].layer: kitchen.dxf: No line of this layer lies along C1."),
        ('{ layer = "NONE" }', 'drawing 1, file: kitchen.dxf: Nothing lies on a layer "NONE"'),
        ('{ layer = "OFF" }', "shape.raw_edges[0].layer: kitchen.dxf: A line at (36"),
        (
            '{ layer = "WALL", length = "30 in" }',
            'raw_edges[0].length: is 30". The drawing has 25-1/2" (edge 4).',
        ),
        ('{ layer = "WALL", from = "3 in" }', "shape.raw_edges[0]: A layer draws its own parts of edges."),
    ],
)
def test_a_layer_without_an_edge_of_a_piece_is_refused_once(job, tmp_path, edge: str, expected: str) -> None:
    path = job(DRAWING + OVER_C1 + f"shape = {{ raw_edges = [{edge}] }}\n")
    draw_edges(tmp_path / "kitchen.dxf", DROP=[(0, 40), (36, 40)], OFF=[(0, 12), (72, 12)], WALL=[(0, 0), (0, 25.5)])
    (found,) = faults(path)
    assert expected in found


def test_edges_by_layer_follow_a_changed_drawing_and_numbers_do_not(accepted, tmp_path) -> None:
    draw_edges(tmp_path / "kitchen.dxf", WALL=[(0, 25.5), (72, 25.5)])
    path = accepted(OVER_C1 + 'shape = { raw_edges = [{ layer = "WALL" }] }\n')
    for length in (72, 74):
        draw(tmp_path / "kitchen.dxf", ("C1", 0, 0, length, 25.5), ("C2", 0, 40, 36, 24))
        draw_edges(tmp_path / "kitchen.dxf", WALL=[(0, 25.5), (length, 25.5)])
        assert load_job(path).pieces[0].shape.raw_edges == (3,)
    assert run(["check", str(path), "--accept"]) == 0
    path.write_text(path.read_text().replace('{ layer = "WALL" }', "3"))
    draw(tmp_path / "kitchen.dxf", ("C1", 0, 0, 76, 25.5), ("C2", 0, 40, 36, 24))
    assert any("raw_edges[0]: Edge 3 was 74" in line for line in faults(path))
