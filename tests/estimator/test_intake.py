"""The job file: what it accepts, and the one line that each fault gets."""

from collections.abc import Callable
from pathlib import Path

import pytest

from estimator.intake import read_job, read_raw_job
from geometry.shapes import Box, Compound, DropEdge, RectangleCutout, Slab
from tests.estimator.conftest import JOB, SLAB

INCH_M, POUND_KG = 0.0254, 0.45359237
Write = Callable[[str], Path]


def lines(path: Path) -> list[str]:
    return [str(fault) for fault in read_job(path).faults]


def test_a_valid_job_becomes_si_values_with_catalog_defaults(write_job: Write) -> None:
    job = read_job(write_job(JOB)).sound()
    (piece,) = job.pieces
    assert piece.shape == Slab(1.8288, 0.6477, 0.01905)
    assert piece.layers[0].mix == "backer-45"
    assert job.workshop.mixer.mass_kg == pytest.approx(250 * POUND_KG)
    assert job.materials["coated-eps-bead"].kind == "light-aggregate"
    assert job.workshop.handling.limit_level_kg == pytest.approx(50 * POUND_KG)


def test_the_shape_of_the_contract_is_read_key_by_key(write_job: Write) -> None:
    text = JOB.replace(
        SLAB,
        """shape = { kind = "slab", length = "6 ft", width = "25-1/2 in", thickness = "3/4\\"", drop_edges = [
             { sides = ["front", "left"], height = "2 in", thickness = "1 in" }], cutouts = [
             { kind = "rectangle", length = "30 in", width = "16 in", x = "20 in", y = "4 in" }] }""",
    )
    shape = read_job(write_job(text)).sound().pieces[0].shape
    assert shape == Slab(
        1.8288,
        0.6477,
        0.01905,
        cutouts=(RectangleCutout(0.762, 0.4064, 0.508, 0.1016),),
        drop_edges=(DropEdge(("front", "left"), 0.0508, 0.0254),),
    )


def test_a_part_of_a_compound_lies_at_its_place_in_the_unit_of_the_compound(write_job: Write) -> None:
    box = '{ kind = "box", length = "20 cm", width = "20 cm", height = "20 cm", wall = "2 cm", at = [10, 0, "5 mm"] }'
    text = JOB.replace(SLAB, f'shape = {{ kind = "compound", unit = "cm", add = [{box}] }}')
    shape = read_job(write_job(text)).sound().pieces[0].shape
    assert isinstance(shape, Compound)
    assert shape.add[0].at_m == pytest.approx((0.10, 0.0, 0.005))
    assert shape.add[0].shape == Box(0.2, 0.2, 0.2, 0.02, 0.02)


def test_a_material_overrides_the_catalog_and_a_new_density_replaces_the_old_one(write_job: Write) -> None:
    text = JOB + '[materials.coated-eps-bead]\ndensity = "5 lb/ft^3"\nmoisture = 0.01\n'
    bead = read_job(write_job(text)).sound().materials["coated-eps-bead"]
    assert bead.density_kg_m3 == pytest.approx(5 * POUND_KG / 0.3048**3)
    assert bead.moisture == 0.01
    assert bead.packs, "packs of the catalog stay"


def test_relative_densities_refer_to_the_water_of_the_job(write_job: Write) -> None:
    job = read_job(write_job(JOB + '[materials.water]\ndensity = "1000 kg/m^3"\n')).sound()
    assert job.materials["grey-cement"].density_kg_m3 == pytest.approx(3150.0)
    assert job.mixes["backer-45"].water_density_kg_m3 == pytest.approx(1000.0)


def test_a_mix_based_on_another_replaces_its_blends_as_a_whole(write_job: Write) -> None:
    text = JOB + '[mixes.mine]\nbased_on = "backer-45"\naggregate = { silica-sand = 1.0 }\n'
    job = read_job(write_job(text)).sound()
    assert job.mixes["mine"].aggregate == {"silica-sand": 1.0}
    assert job.mixes["mine"].cementitious == job.mixes["backer-45"].cementitious


def test_a_mix_of_the_job_may_be_based_on_the_catalogs_mix_of_the_same_name(write_job: Write) -> None:
    text = JOB + '[mixes.backer-45]\nbased_on = "backer-45"\nwater_cementitious = 0.30\n'
    job = read_job(write_job(text)).sound()
    assert job.mixes["backer-45"].water_cementitious == 0.30
    assert job.mixes["backer-45"].aggregate == {"silica-sand": 0.55, "coated-eps-bead": 0.45}


def test_a_markup_replaces_the_margin_of_the_catalog(write_job: Write) -> None:
    price = read_job(write_job(JOB + '[price]\nmarkup = "142.857 %"\n')).sound().price
    assert price.margin is None
    assert price.markup == pytest.approx(1.42857)


def test_a_tolerance_for_all_methods_replaces_those_by_method_of_the_catalog(write_job: Write) -> None:
    job = read_job(write_job(JOB + '[workshop]\nthickness_tolerance = "1/16 in"\n')).sound()
    assert set(job.workshop.thickness_tolerance_m.values()) == {INCH_M / 16}


def test_a_schedule_has_one_piece_per_row_with_dotted_columns(write_job: Write, tmp_path: Path) -> None:
    (tmp_path / "panels.csv").write_text(
        "mark,quantity,use,shape.kind,shape.length,shape.height,shape.skin,shape.returns[0].sides[0],"
        "shape.returns[0].depth,shape.returns[0].thickness,layers[0].mix,layers[0].thickness,layers[1].mix\n"
        "101,3,panel,panel,4 ft,3 ft,5/8 in,left,2 in,5/8 in,face,1/8 in,backer-45\n",
        encoding="utf-8",
    )
    job = read_job(write_job(JOB + '[[schedule]]\nfile = "panels.csv"\n')).sound()
    panel = job.pieces[1]
    assert (panel.mark, panel.quantity, panel.use) == ("101", 3, "panel")
    assert [layer.mix for layer in panel.layers] == ["face", "backer-45"]


def test_a_schedule_in_a_workbook_reads_the_same(write_job: Write, tmp_path: Path) -> None:
    from openpyxl import Workbook

    book = Workbook()
    book.active.append(["mark", "quantity", "shape.kind", "shape.length", "shape.width", "shape.thickness"])
    book.active.append([7, 2.0, "slab", "30 in", "20 in", "1 in"])
    book.save(tmp_path / "tops.xlsx")
    job = read_job(write_job(JOB + '[[schedule]]\nfile = "tops.xlsx"\n')).sound()
    assert (job.pieces[1].mark, job.pieces[1].quantity) == ("7", 2)


def test_a_fault_in_a_schedule_names_its_file_and_row(write_job: Write, tmp_path: Path) -> None:
    (tmp_path / "tops.csv").write_text("mark,shape.kind,shape.length\nT1,slab,30\n", encoding="utf-8")
    found = lines(write_job(JOB + '[[schedule]]\nfile = "tops.csv"\n'))
    assert 'tops.csv: row 2, piece T1, shape.length: "30" has no unit. Write "30 in" or "30 mm" (1-3/16").' in found
    assert "tops.csv: row 2, piece T1, shape.width: is missing. Add `width`." in found


CASES = [
    ("", "job.toml: job, name: is missing. Add `name`."),
    (
        JOB.replace('"72 in"', '"72"'),
        'job.toml: piece C1, shape.length: "72" has no unit. Write "72 in" or "72 mm" (2-13/16").',
    ),
    (
        JOB.replace('"72 in"', '"72 lb"'),
        'job.toml: piece C1, shape.length: "72 lb" is a mass. Enter a length. Write "1-1/2 in".',
    ),
    (
        JOB.replace("thickness =", "thicknes ="),
        "job.toml: piece C1, shape.thicknes: this key is not known. Did you mean `thickness`?",
    ),
    (
        JOB.replace("waste = 0.07", "waste = 7"),
        "job.toml: job, waste: 7 is above 1. A share is 0 to 1. For 7%, write 0.07.",
    ),
    (
        JOB.replace('kind = "slab"', 'kind = "slap"'),
        'job.toml: piece C1, shape: "slap" is not one of slab, outline, panel, box, extrusion, revolution, mesh, '
        "compound. Did you mean `slab`?",
    ),
    (
        JOB.replace('"backer-45"', '"bakcer-45"'),
        'job.toml: job, mix: there is no mix "bakcer-45". Did you mean `backer-45`?',
    ),
    (JOB.replace("[[piece]]", "[[pieces]]"), "job.toml: pieces: this key is not known. Did you mean `piece`?"),
    (
        '[job]\nname = "x"\n',
        "job.toml: piece: the job has no piece. Add at least one [[piece]] or [[schedule]].",
    ),
    (
        JOB + '[mixes.m]\nbased_on = "backer-45"\ncementitious = { white-cement = 0.5, silica-fume = 0.4 }\n',
        "job.toml: mix m, cementitious: The shares add up to 0.9, not 1. Change white-cement and "
        "silica-fume so that they add up to 1.",
    ),
    (
        JOB + '[mixes.m]\nbased_on = "backer-45"\naggregate = { silicasand = 1.0 }\n',
        'job.toml: mix m, aggregate: there is no material "silicasand". Did you mean `silica-sand`?',
    ),
    (
        JOB + '[mixes.m]\nbased_on = "backer-45"\nfibre = { silica-sand = 0.03 }\n',
        "job.toml: mix m, fibre.silica-sand: has the kind sand. Only fiber goes here. Move the "
        "material to its own part of the mix, or correct its kind.",
    ),
    (
        JOB + '[mixes.m]\nbased_on = "n"\n[mixes.n]\nbased_on = "m"\n',
        "job.toml: mix m, based_on: leads back to the mix itself. Start from another mix.",
    ),
    (
        JOB + '[materials.grit]\nkind = "sand"\nbulk_density = "100 lb/ft^3"\n',
        'job.toml: material grit: has no density. Add relative_density = 2.65, or density = "165 lb/ft^3".',
    ),
    (
        JOB + '[materials.grit]\nkind = "sand"\nrelative_density = 2.65\n',
        "job.toml: material grit: has no bulk_density. An aggregate needs one. Add bulk_density ="
        ' "100 lb/ft^3", loose and dry.',
    ),
    (
        JOB + '[materials.silica-sand]\npacks = [{ name = "bag", mass = "50 lb", price = -1 }]\n',
        "job.toml: material silica-sand, packs[0].price: A price can't be -1. Write 0 or more.",
    ),
    (
        JOB + '[materials.silica-sand]\npacks = [{ name = "bag", price = 1 }]\n',
        'job.toml: material silica-sand, packs[0]: has no mass and no volume. Add mass = "50 lb",'
        ' or volume = "27 ft^3".',
    ),
    (
        JOB + "[materials.silica-sand]\nsolids = 0.5\n",
        "job.toml: material silica-sand: solids is for a liquid or a slurry, not for sand. Remove it. "
        "Water in a damp aggregate is its `moisture`.",
    ),
    (
        JOB + "[materials.silica-sand]\nabsorption = 0.5\n",
        "job.toml: material silica-sand: absorption 0.5 is above 30% of the dry mass. For 0.5%, write 0.005.",
    ),
    (
        JOB + "[price]\nmargin = 1.0\n",
        "job.toml: price: A margin of 1.0 leaves nothing for the cost. Write less than 1.",
    ),
    (
        JOB + '[workshop.handling]\nlimit_levl = "40 lb"\n',
        "job.toml: workshop.handling.limit_levl: this key is not known. Did you mean `limit_level`?",
    ),
    (
        JOB + '[stock]\nwhite-cment = "60 lb"\n',
        "job.toml: stock.white-cment: there is no such material. Did you mean `white-cement`?",
    ),
    (
        JOB.replace(SLAB, 'shape = { kind = "mesh", file = "absent.stl", unit = "mm" }'),
        'job.toml: piece C1, shape.file: there is no file "absent.stl". Check the path. It starts'
        " at the file that names it.",
    ),
    (
        JOB.replace(SLAB, 'shape = { kind = "outline", points = [[0, 0], [1, 0], [1, 1]], thickness = "1 in" }'),
        'job.toml: piece C1, shape.points[1][0]: 1 has no unit. Write "1 in", or give `unit`.',
    ),
    (
        JOB.replace(SLAB, SLAB + '\nmix = "face"\nlayers = [{ mix = "face" }]'),
        "job.toml: piece C1: `mix` and `layers` are both given. Keep `layers`, or keep `mix` for a piece of one mix.",
    ),
    (
        JOB + f'[[piece]]\nmark = "C1"\n{SLAB}\n',
        "job.toml: piece C1, mark: is used 2 times. Give every piece its own mark.",
    ),
]


@pytest.mark.parametrize(("text", "expected"), CASES, ids=[case[1][10:60] for case in CASES])
def test_each_fault_gets_one_line_with_place_and_fix(write_job: Write, text: str, expected: str) -> None:
    assert expected in lines(write_job(text))


def test_a_missing_job_file_and_one_that_is_not_toml_are_reported(tmp_path: Path) -> None:
    assert lines(tmp_path / "none.toml") == ["none.toml: there is no such file. Check the path."]
    (tmp_path / "bad.toml").write_text("[job\n")
    (line,) = lines(tmp_path / "bad.toml")
    assert line.startswith("bad.toml: line 1: A section head is not closed. Add the missing ].")
    (tmp_path / "latin.toml").write_bytes(b'name = "caf\xe9"')
    assert lines(tmp_path / "latin.toml") == ["latin.toml: is not UTF-8 text. Save the file as UTF-8."]


def test_faults_of_different_kinds_are_reported_together(write_job: Write) -> None:
    text = JOB.replace('"72 in"', '"72"').replace("waste = 0.07", "wast = 0.07") + '[stock]\nno-such = "1 lb"\n'
    assert len(lines(write_job(text))) == 3


def test_a_fault_names_the_file_in_which_its_key_stands(write_job: Write) -> None:
    path = write_job(
        JOB.replace("[job]\n", '[job]\ncatalog = ["shop.toml", "more.toml"]\n')
        + '[materials.white-cement]\ndensity = "2 lb"\n'
    )
    (path.parent / "shop.toml").write_text(
        '[workshop.labor]\nrate = -5\n[mixes.my]\nbased_on = "backer-45"\nair = 6\n[price]\ntax = 7\n'
        "[materials.white-cement]\nsupplier = 3\n"
    )
    (path.parent / "more.toml").write_text(
        '[mixes.my]\nair = 8\n[[supplier]]\nname = "North"\nminimum = "x"\n[materials.my-sand]\nkind = "sandy"\n'
    )
    found = {(fault.file, fault.place) for fault in read_job(path).faults}
    assert found >= {
        ("job.toml", "material white-cement, density"),
        ("shop.toml", "workshop.labor.rate"),
        ("shop.toml", "price, tax"),
        ("shop.toml", "material white-cement, supplier"),
        ("more.toml", "mix my, air"),
        ("more.toml", "supplier North, minimum"),
        ("more.toml", "material my-sand, kind"),
    }


@pytest.mark.parametrize("section", ["stock", "reserve"])
def test_an_unknown_material_is_named_beside_an_amount_that_cannot_be_read(write_job: Write, section: str) -> None:
    text = f'{JOB}[{section}]\nwhite-cement = "2 bags"\nadmixture = "10 lb"\n'
    assert lines(write_job(text)) == [
        f'job.toml: {section}.white-cement: "2 bags" counts packs. Enter what they hold, such as "188 lb".',
        f"job.toml: {section}.admixture: there is no such material. Did you mean `blended-admixture-powder`?",
    ]


def test_stock_that_no_mix_uses_gives_a_warning(write_job: Write) -> None:
    job = read_job(write_job(JOB + '[stock]\nperlite = "10 lb"\n')).sound()
    assert tuple(map(str, job.warnings)) == ("warning-stock-unused (material = perlite)",)


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("[job]\nname = “Top”\n", 'job.toml: line 2: has curly quotes. Use straight quotes, as in "like this".'),
        ("[job]\nname = ‘Top’\n", 'job.toml: line 2: has curly quotes. Use straight quotes, as in "like this".'),
        (
            '[job]\nname = "T"\n[[schedule]]\nfile = "C:\\Users\\shop\\tops.csv"\n',
            "job.toml: line 4: has a backslash in text. Write paths with /, or in single quotes.",
        ),
        # \t and \n are TOML for a tab and a new line: the file would parse, and name another file
        (
            '[job]\nname = "T"\n[[schedule]]\nfile = "C:\\tops\\new.csv"\n',
            "job.toml: line 4: has a backslash in text. Write paths with /, or in single quotes.",
        ),
    ],
)
def test_curly_quotes_and_backslash_paths_get_a_hint(write_job: Write, text: str, line: str) -> None:
    assert [str(each) for each in read_job(write_job(text)).faults] == [line]


def test_paths_in_single_quotes_or_with_doubled_backslashes_are_read(write_job: Write) -> None:
    for path in (r"'plans\new.csv'", r'"plans\\new.csv"'):
        found = read_job(write_job(JOB + f"[[schedule]]\nfile = {path}\n")).faults
        assert ["there is no file" in str(each) for each in found] == [True]


def test_only_close_names_are_suggested(write_job: Write) -> None:
    assert lines(write_job(JOB.replace("[job]\n", "[job]\nzebra = 1\n")))[0].startswith(
        "job.toml: job, zebra: this key is not known. Known here:"
    )
    assert "Did you mean `waste`?" in lines(write_job(JOB.replace("[job]\n", "[job]\nwastte = 0.1\n")))[0]


OF_KIND = {
    "rectangle": {"length": "10 in", "width": "8 in", "radius": "1 in"},
    "ellipse": {"length": "10 in", "width": "8 in"},
    "circle": {"diameter": "8 in"},
    "outline": {"points": [["0 in", "0 in"], ["8 in", "0 in"], ["8 in", "6 in"]]},
}
DRAWN = {
    "file": "sink.dxf",
    "layer": "SINK",
    "gap": "1 mm",
    "scale": "1:20",
    "page": 2,
    "reference": {"points": [["20 mm", "30 mm"], ["140 mm", "30 mm"]], "distance": "96 in"},
}
EVERY = {**DRAWN, **{key: value for keys in OF_KIND.values() for key, value in keys.items()}}


def faults_of(shape: dict[str, object]) -> list[str]:
    raw = {"job": {"name": "Sink", "mix": "backer-45"}, "piece": [{"mark": "C1", "shape": shape}]}
    return [str(fault) for fault in read_raw_job(raw, Path("job.toml")).faults]


@pytest.mark.parametrize(
    ("kind", "key"), [(kind, key) for kind, own in OF_KIND.items() for key in EVERY if key not in {**own, "file": ""}]
)
def test_a_cutout_refuses_what_belongs_to_another_kind_instead_of_leaving_it_out(kind: str, key: str) -> None:
    plate = {"kind": "slab", "length": "6 ft", "width": "2 ft", "thickness": "1 in"}
    cutout = {"kind": kind, "x": "20 in", "y": "12 in", **OF_KIND[kind]}
    assert faults_of({**plate, "cutouts": [cutout]}) == []
    (line,) = faults_of({**plate, "cutouts": [{**cutout, key: EVERY[key]}]})
    assert "piece C1, shape.cutouts[0]" in line
    assert key in line


@pytest.mark.parametrize("key", [key for key in DRAWN if key != "file"])
@pytest.mark.parametrize("kind", ["outline", "extrusion", "revolution"])
def test_how_a_drawing_is_read_is_refused_where_points_take_its_place(kind: str, key: str) -> None:
    points = {"points": [["0 in", "0 in"], ["8 in", "0 in"], ["8 in", "6 in"]]}
    shapes: dict[str, dict[str, object]] = {
        "outline": {**points, "thickness": "1 in"},
        "extrusion": {"profile": points, "length": "4 ft"},
        "revolution": {"profile": points},
    }
    shape = {"kind": kind, **shapes[kind]}
    assert faults_of(shape) == []
    table = shape if kind == "outline" else shape["profile"]
    table[key] = DRAWN[key]  # type: ignore[index]
    (line,) = faults_of(shape)
    where = key if kind == "outline" else f"profile.{key}"
    assert line == f"job.toml: piece C1, shape.{where}: is for a drawing only. Remove it, or add `file`."


def test_an_unknown_key_of_a_shape_lists_those_of_its_kind() -> None:
    profile = [["0 in", "0 in"], ["8 in", "0 in"], ["8 in", "6 in"]]
    (line,) = faults_of({"kind": "revolution", "profile": profile, "length": "3 in"})
    assert line == (
        "job.toml: piece C1, shape.length: this key is not known. "
        "Known here: `at`, `kind`, `open`, `profile`, `unit`, `wall`."
    )
