"""Refusals of a job file, folders and exit status, seen from outside."""

import pytest

PIECE = '[[piece]]\nmark = "A"\nshape = { kind = "slab", length = "1 m", width = "500 mm", thickness = "20 mm" }\n'
HEAD = '[job]\nname = "T"\nunits = "metric"\nmix = "backer-45"\nwaste = 0.0\n'
MIX = '[mixes.m]\nbased_on = "backer-45"\n'


@pytest.mark.parametrize(
    ("job", "lines"),
    [
        (
            HEAD.replace("waste = 0.0", "waste = 7") + PIECE,
            ["job, waste: 7 is above 1. A share is 0 to 1. For 7 %, write 0.07."],
        ),
        (
            HEAD + PIECE.replace('"1 m"', "1.5"),
            ['piece A, shape.length: "1.5" has no unit. Write "1.5 m" (1500 mm), "1.5 cm" (15.0 mm) or "1.5 mm".'],
        ),
        (
            HEAD + PIECE.replace('"1 m"', '"1 lb"'),
            ['piece A, shape.length: "1 lb" is a mass. Enter a length. Write "38 mm".'],
        ),
        (
            HEAD + PIECE + '[stock]\nwhite-cement = "1 ton"\n',
            ['stock.white-cement: "1 ton" could be short, long or metric tons. Write "1 t" for 1,000 kg.'],
        ),
        (
            HEAD + PIECE.replace("thickness", "thicknes") + "[stok]\nx = 1\n",
            [
                "stok: this key is not known. Did you mean `stock`?",
                "piece A, shape.thickness: is missing. Add `thickness`.",
                "piece A, shape.thicknes: this key is not known. Did you mean `thickness`?",
            ],
        ),
        (
            HEAD.replace("backer-45", "backer-4") + PIECE,
            ['job, mix: there is no mix "backer-4". Did you mean `backer-45`?'],
        ),
        # reported where the job states it, not again at the catalog's mix based on it
        (
            HEAD + PIECE + '[mixes.backer-45]\nbased_on = "backer-0"\nair = 4\n',
            ["mix backer-45, air: 4 is above 1. A share is 0 to 1. For 4 %, write 0.04."],
        ),
        (
            HEAD
            + PIECE
            + '[mixes.m]\nbased_on = "backer-45"\naggregate = { silica-sand = 0.5, coated-eps-bead = 0.4 }\n',
            [
                "mix m, aggregate: The shares add up to 0.9, not 1. Change silica-sand and coated-eps-"
                "bead so that they add up to 1."
            ],
        ),
        (
            HEAD
            + PIECE
            + '[mixes.m]\nbased_on = "backer-45"\ncementitious = { white-cement = 0.9, silica-fume = 0.100002 }\n',
            [
                "mix m, cementitious: The shares add up to 1.000002, not 1. Change white-cement and "
                "silica-fume so that they add up to 1."
            ],
        ),
        (
            HEAD
            + PIECE
            + 'mix = "backer-45"\nlayers = [{ mix = "face", thickness = "3 mm" }, { mix = "backer-45" }]\n',
            ["piece A: `mix` and `layers` are both given. Keep `layers`, or keep `mix` for a piece of one mix."],
        ),
        (HEAD + PIECE + "layers = []\n", ["piece A, layers: is empty. Give at least 1."]),
        (
            HEAD + PIECE + 'layers = [{ mix = "face" }, { mix = "backer-45" }]\n',
            ["piece A: More than one layer has no thickness. Give every thickness but one."],
        ),
        (HEAD + PIECE + PIECE, ["piece A, mark: is used 2 times. Give every piece its own mark."]),
        (
            HEAD + PIECE + '[materials.silica-sand]\npacks = [{ name = "bag", mass = "50 lb", price = -1 }]\n',
            ["material silica-sand, packs[0].price: A price can't be -1. Write 0 or more."],
        ),
        (
            HEAD + PIECE + '[materials.foo]\nkind = "sand"\nbulk_density = "100 lb/ft^3"\n',
            ['material foo: has no density. Add relative_density = 2.65, or density = "2650 kg/m^3".'],
        ),
        (
            HEAD + PIECE + "[materials.silica-sand]\nabsorption = 0.5\n",
            ["material silica-sand: absorption 0.5 is above 30 % of the dry mass. For 0.5 %, write 0.005."],
        ),
        (
            HEAD + PIECE + "[price]\nmargin = 0.2\nmarkup = 0.3\n",
            ["price: margin and markup are both given. Keep the margin (on the price) or the markup (on cost)."],
        ),
        (
            HEAD + PIECE + "[price]\nmargin = 1.0\n",
            ["price: A margin of 1.0 leaves nothing for the cost. Write less than 1."],
        ),
    ],
)
def test_a_faulty_job_is_refused_with_place_fault_and_fix(desk, job, lines):
    assert desk.refused(job) == [f"job.toml: {line}" for line in lines]


def test_faults_of_reading_and_of_measuring_are_reported_together(desk):
    circle = ', cutouts = [{ kind = "circle", diameter = "2 m", x = "0 m", y = "0 m" }] }'
    other = PIECE.replace('"A"', '"B"').replace(" }\n", circle + "\n")
    thick = 'layers = [{ mix = "face", thickness = "30 mm" }, { mix = "backer-45" }]\n'
    lines = desk.refused(HEAD + PIECE + 'mix = "nope"\n' + other + PIECE.replace('"A"', '"C"') + thick)
    assert [line.split(": ")[1] for line in lines] == [
        "piece A, mix",
        "piece B, shape.cutouts[0].x",
        "piece C, layers",
    ]


@pytest.mark.parametrize("share", ['"7 %"', "0.07"])
def test_a_share_is_a_bare_number_or_text_with_a_percent_sign(desk, share):
    document = desk.estimate(HEAD.replace("waste = 0.0", f"waste = {share}") + PIECE)
    assert document["mixes"][0]["batch_m3"] == pytest.approx(0.01 * 1.07)


def test_shares_may_miss_a_sum_of_one_by_a_millionth(desk):
    near = '[mixes.m]\nbased_on = "backer-45"\ncementitious = { white-cement = 0.9, silica-fume = 0.1000009 }\n'
    assert desk.estimate(HEAD.replace("backer-45", "m") + PIECE + near)["mixes"][0]["name"] == "m"


def test_a_job_overrides_one_key_of_a_material_and_keeps_the_rest(desk):
    plain = desk.estimate(HEAD + PIECE)
    dearer = desk.estimate(HEAD + PIECE + '[materials.silica-sand]\nbulk_density = "50 lb/ft^3"\n')
    # half the loose density: for the same counted mass twice the loose volume, so as much sand and twice the beads
    before, after = (each["mixes"][0]["recipe_kg_m3"] for each in (plain, dearer))
    ratio = {name: after[name] / before[name] / (after["white-cement"] / before["white-cement"]) for name in before}
    assert ratio["silica-sand"] == pytest.approx(1.0)
    assert ratio["coated-eps-bead"] == pytest.approx(2.0)


def test_a_pack_is_overwritten_only_where_its_folder_holds_nothing_else(desk):
    job, out = desk.write(HEAD + PIECE), desk.folder / "pack"
    assert desk.call("estimate", job, "--out", out).status == 0
    assert desk.call("estimate", job, "--out", out).status == 0
    (out / "mine.txt").write_text("mine")
    before = {each: each.read_bytes() for each in out.rglob("*") if each.is_file()}
    outcome = desk.call("estimate", job, "--out", out)
    assert (outcome.status, outcome.out) == (2, "")
    assert "mine.txt" in outcome.err
    assert {each: each.read_bytes() for each in out.rglob("*") if each.is_file()} == before


@pytest.mark.parametrize("command", ["estimate", "new"])
def test_a_folder_of_other_files_is_left_alone(desk, command):
    (desk.folder / "full").mkdir()
    (desk.folder / "full/a").write_text("a")
    job = [desk.write(HEAD + PIECE), "--out"] if command == "estimate" else []
    outcome = desk.call(command, *job, desk.folder / "full")
    assert (outcome.status, outcome.out) == (2, "")
    assert [each.name for each in (desk.folder / "full").iterdir()] == ["a"]


def test_a_faulty_job_leaves_nothing_written(desk):
    outcome = desk.call("estimate", desk.write(HEAD), "--out", desk.folder / "pack")
    assert (outcome.status, outcome.out) == (2, "")
    assert not (desk.folder / "pack").exists()
