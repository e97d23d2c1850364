"""Every kind of shape, written in a job file, with volumes and areas worked out by hand (meters)."""

from math import pi

import pytest

approx = pytest.approx

SLAB = 'kind = "slab", length = "2 m", width = "600 mm", thickness = "20 mm"'
DROPS = 'kind = "slab", length = "1 m", width = "500 mm", thickness = "20 mm"'
SINK = 'kind = "rectangle", length = "500 mm", width = "400 mm", x = "300 mm", y = "100 mm"'

BOX = 'kind = "box", length = "900 mm", width = "400 mm", height = "450 mm", wall = "20 mm", base = "25 mm"'
PANEL = 'kind = "panel", length = "1200 mm", height = "900 mm", skin = "13 mm"'
ALL_ROUND = 'returns = [{ sides = ["left", "right", "top", "bottom"], depth = "50 mm", thickness = "13 mm" }]'
RIBS = 'ribs = { spacing = "400 mm", width = "30 mm", depth = "60 mm", ways = "x" }'
ANGLE = 'profile = { points = [[0, 0], [100, 0], [100, 20], [20, 20], [20, 100], [0, 100]], unit = "mm" }'
ROUND = 'kind = "revolution", profile = { points = [[0, 0], [200, 0], [200, 300], [0, 300]], unit = "mm" }'
PART = 'kind = "slab", length = "1 m", width = "500 mm", thickness = "20 mm"'


@pytest.mark.parametrize(
    ("shape", "volume_m3"),
    [
        (SLAB, 2 * 0.6 * 0.02),
        # height is measured from the top, so 30 mm hang below; the corner of two drops counts once
        (
            f'{SLAB}, drop_edges = [{{ sides = ["front", "left"], height = "50 mm", thickness = "25 mm" }}]',
            2 * 0.6 * 0.02 + 0.03 * 0.025 * (2 + 0.6 - 0.025),
        ),
        (
            f'{DROPS}, drop_edges = [{{ sides = ["front", "back", "left", "right"], height = "50 mm", '
            'thickness = "25 mm" }]',
            1 * 0.5 * 0.02 + 0.03 * (1 * 0.5 - 0.95 * 0.45),
        ),
        # two drops of different size meet in a corner of 25 × 40 mm, 30 mm high where both are
        (
            f'{DROPS}, drop_edges = [{{ sides = ["front"], height = "50 mm", thickness = "25 mm" }}, '
            '{ sides = ["left"], height = "80 mm", thickness = "40 mm" }]',
            1 * 0.5 * 0.02 + 0.03 * 0.025 * 1 + 0.06 * 0.04 * 0.5 - 0.03 * 0.025 * 0.04,
        ),
        (f"{SLAB}, cutouts = [{{ {SINK} }}]", 2 * 0.6 * 0.02 - 0.5 * 0.4 * 0.02),
        (f'{SLAB}, cutouts = [{{ {SINK}, radius = "50 mm" }}]', 0.02 * (1.2 - (0.2 - (4 - pi) * 0.05**2))),
        (
            f'{SLAB}, cutouts = [{{ {SINK} }}, {{ kind = "circle", diameter = "35 mm", x = "1.2 m", y = "0.5 m" }}]',
            0.02 * (1.2 - 0.2 - pi * 0.0175**2),
        ),
        (
            f'{SLAB}, cutouts = [{{ kind = "ellipse", length = "500 mm", width = "400 mm", x = "1 m", y = "300 mm" }}]',
            0.02 * (1.2 - pi * 0.25 * 0.2),
        ),
        (
            f'{SLAB}, cutouts = [{{ kind = "outline", points = [[0, 0], [100, 0], [0, 100]], unit = "mm", '
            'x = "50 mm", y = "50 mm" }]',
            0.02 * (1.2 - 0.005),
        ),
        # the overlap of two cutouts is taken out once
        (
            f'{DROPS}, cutouts = [{{ kind = "rectangle", length = "100 mm", width = "100 mm", x = "100 mm", '
            'y = "100 mm" }, { kind = "rectangle", length = "100 mm", width = "100 mm", x = "150 mm", y = "150 mm" }]',
            0.02 * (0.5 - 0.0175),
        ),
        # a cutout goes through the drop below it: 15 of its 25 mm are in the way of the cutout
        (
            f'{SLAB}, drop_edges = [{{ sides = ["front"], height = "50 mm", thickness = "25 mm" }}], cutouts = '
            '[{ kind = "rectangle", length = "500 mm", width = "400 mm", x = "1 m", y = "10 mm" }]',
            0.02 * (1.2 - 0.2) + 0.03 * 0.025 * 2 - 0.5 * 0.015 * 0.03,
        ),
        (BOX, 0.9 * 0.4 * 0.45 - 0.86 * 0.36 * 0.425),
        (f"{BOX}, open = false", 0.9 * 0.4 * 0.45 - 0.86 * 0.36 * 0.4),  # the lid is as thick as the base
        (f"{PANEL}", 1.2 * 0.9 * 0.013),
        (f"{PANEL}, {ALL_ROUND}", 1.2 * 0.9 * 0.013 + 0.037 * (1.2 * 0.9 - (1.2 - 0.026) * (0.9 - 0.026))),
        (f'kind = "extrusion", {ANGLE}, length = "2 m"', (0.1 * 0.02 + 0.02 * 0.08) * 2),
        (
            'kind = "extrusion", profile = { points = [[0, 0], [100, 0], [100, 100], [0, 100]], unit = "mm" }, '
            'length = "1 m", mitre_left = 45',
            0.01 * (1 - 0.05),  # the miter takes half of a cube's height off a 100 mm square
        ),
        (ROUND, pi * 0.2**2 * 0.3),
        (f'{ROUND}, wall = "20 mm"', pi * (0.2**2 * 0.3 - 0.18**2 * 0.26)),
        (f'{ROUND}, wall = "20 mm", open = "top"', pi * (0.2**2 * 0.3 - 0.18**2 * 0.28)),
        # a triangle turned about an axis beside it: Pappus, area times the path of its centroid
        (
            'kind = "revolution", profile = { points = [[100, 0], [160, 0], [100, 30]], unit = "mm" }',
            0.06 * 0.03 / 2 * 2 * pi * 0.12,
        ),
        # two slabs that overlap by half
        (
            f'kind = "compound", unit = "mm", add = [{{ {PART}, at = [0, 0, 0] }}, {{ {PART}, at = [500, 0, 0] }}]',
            1.5 * 0.5 * 0.02,
        ),
        (
            f'kind = "compound", unit = "mm", add = [{{ {PART}, at = [0, 0, 0] }}], subtract = [{{ kind = "slab", '
            'length = "100 mm", width = "100 mm", thickness = "50 mm", at = [100, 100, -10] }]',
            0.01 - 0.1 * 0.1 * 0.02,
        ),
        (
            'kind = "outline", points = [[0, 0], [1000, 0], [1000, 500]], unit = "mm", thickness = "20 mm", cutouts = '
            '[{ kind = "circle", diameter = "100 mm", x = "800 mm", y = "200 mm" }]',
            0.02 * (0.25 - pi * 0.05**2),
        ),
        (
            'kind = "outline", points = [[0, 0], [100, 0], [100, 100], [0, 100]], unit = "mm", thickness = "20 mm", '
            'wall = "5 mm"',
            0.1 * 0.1 * 0.02 - 0.09 * 0.09 * 0.015,
        ),
    ],
)
def test_a_shape_has_the_volume_worked_out_by_hand(desk, shape, volume_m3):
    piece = desk.piece(shape)
    assert piece["volume_m3"] == approx(volume_m3, rel=1e-6)
    assert sum(layer["volume_m3"] for layer in piece["layers"]) == approx(piece["volume_m3"], rel=1e-9)


@pytest.mark.parametrize(
    ("shape", "form_m2", "finished_m2", "surface_m2"),
    [
        # top and outer edges; the underside is the open face of the form
        (SLAB, 1.2 + 0.02 * 5.2, 1.2 + 0.02 * 5.2, 2.4 + 0.02 * 5.2),
        # a raw cutout edge is formed and hidden; a finished one is formed and visible
        (f'{SLAB}, cutouts = [{{ {SINK}, edge = "raw" }}]', 1.14, 1.104, 2.14),
        (f"{SLAB}, cutouts = [{{ {SINK} }}]", 1.14, 1.14, 2.14),
        # outer faces of the drops count, their inner faces and undersides do not
        (
            f'{DROPS}, drop_edges = [{{ sides = ["front", "back", "left", "right"], height = "50 mm", '
            'thickness = "25 mm" }]',
            0.5 + 0.05 * 3,
            0.5 + 0.05 * 3,
            0.5 + 0.05 * 3 + (0.5 - 0.95 * 0.45) + 0.03 * 2 * (0.95 + 0.45) + 0.95 * 0.45,
        ),
        # the outside, not the rim; a planter shows outside and rim
        (
            BOX,
            0.9 * 0.4 + 2 * (0.9 + 0.4) * 0.45,
            None,
            0.36 + 1.17 + (0.36 - 0.86 * 0.36) + 0.86 * 0.36 + 2 * 1.22 * 0.425,
        ),
        (PANEL, 1.2 * 0.9, 1.2 * 0.9, 2 * 1.2 * 0.9 + 0.013 * 4.2),
        # face and outer faces of the returns
        (f"{PANEL}, {ALL_ROUND}", 1.08 + 0.05 * 4.2, 1.08 + 0.05 * 4.2, None),
        # the sides of the profile, not its ends
        (f'kind = "extrusion", {ANGLE}, length = "2 m"', 0.4 * 2, 0.4 * 2, 0.4 * 2 + 2 * 0.0036),
    ],
)
def test_areas_of_form_and_finish(desk, shape, form_m2, finished_m2, surface_m2):
    piece = desk.piece(shape)
    assert piece["form_area_m2"] == approx(form_m2, rel=1e-9)
    if finished_m2 is not None:
        assert piece["finished_area_m2"] == approx(finished_m2, rel=1e-9)
    if surface_m2 is not None:
        assert piece["surface_area_m2"] == approx(surface_m2, rel=1e-9)


def test_ribs_stand_between_skin_and_their_depth_from_the_face(desk):
    # 900 mm high at 400 mm: two ribs along x, each 30 × (60 − 13) mm, or three; the volume tells a whole number
    piece = desk.piece(f"{PANEL}, {RIBS}")
    ribs = (piece["volume_m3"] - 1.2 * 0.9 * 0.013) / (1.2 * 0.03 * 0.047)
    assert ribs == approx(round(ribs), abs=1e-9)
    assert round(ribs) in (2, 3)
    assert piece["size_m"] == approx([1.2, 0.9, 0.06])


def test_a_piece_has_its_corner_at_the_origin_and_its_lowest_point_at_zero(desk):
    drop = f'{DROPS}, drop_edges = [{{ sides = ["left"], height = "80 mm", thickness = "40 mm" }}]'
    piece = desk.piece(drop)
    slab, edge = 0.01, 0.06 * 0.04 * 0.5
    assert piece["centroid_m"] == approx(
        [
            (slab * 0.5 + edge * 0.02) / (slab + edge),
            0.25,
            (slab * 0.07 + edge * 0.03) / (slab + edge),
        ]
    )
    assert piece["size_m"] == approx([1.0, 0.5, 0.08])


def test_a_face_coat_covers_top_outer_edges_and_cutouts_and_the_backer_takes_the_rest(desk):
    layers = 'layers = [{ mix = "face", thickness = "5 mm" }, { mix = "backer-45" }]'
    face, back = desk.piece(SLAB, layers)["layers"]
    # what lies within 5 mm of top or sides: the whole less a core 1990 × 590 × 15 mm
    assert face["volume_m3"] == approx(2 * 0.6 * 0.02 - 1.99 * 0.59 * 0.015, rel=1e-6)
    assert back["volume_m3"] == approx(1.99 * 0.59 * 0.015, rel=1e-6)
    assert (face["mix"], back["mix"]) == ("face", "backer-45")


def test_form_faces_all_coats_the_underside_too(desk):
    layers = 'form_faces = "all"\nlayers = [{ mix = "face", thickness = "5 mm" }, { mix = "backer-45" }]'
    face, back = desk.piece(SLAB, layers)["layers"]
    assert back["volume_m3"] == approx(1.99 * 0.59 * 0.010, rel=1e-6)
    assert face["volume_m3"] == approx(2 * 0.6 * 0.02 - 1.99 * 0.59 * 0.010, rel=1e-6)


def test_inserts_displace_the_innermost_layer_and_add_their_mass(desk):
    insert = (
        'layers = [{ mix = "face", thickness = "5 mm" }, { mix = "backer-45" }]\n'
        'inserts = [{ name = "core", displaces = "2 L", mass = "0.1 kg" }, { name = "frame", mass = "5 kg" }]'
    )
    with_them, without = desk.piece(SLAB, insert), desk.piece(SLAB, insert.splitlines()[0])
    assert with_them["volume_m3"] == approx(2 * 0.6 * 0.02 - 0.002)
    assert with_them["layers"][0]["volume_m3"] == approx(without["layers"][0]["volume_m3"])
    concrete_kg = sum(layer["mass_kg"] for layer in with_them["layers"])
    assert with_them["weight"]["fresh_kg"] == approx(concrete_kg + 5.1)


@pytest.mark.parametrize(
    ("shape", "line"),
    [
        (
            f'{SLAB}, cutouts = [{{ kind = "rectangle", length = "500 mm", width = "400 mm", x = "1.8 m", '
            'y = "100 mm" }]',
            "shape.cutouts[0].x: The cutout leaves the piece by 300 mm at the right. "
            "Move it inside the piece, or make it smaller.",
        ),
        (
            f'{SLAB}, cutouts = [{{ {SINK}, radius = "210 mm" }}]',
            "shape.cutouts[0].radius: is 210 mm, but the shorter side of the opening is 400 mm. "
            "Use 0 to half of the shorter side.",
        ),
        (
            f'{SLAB}, drop_edges = [{{ sides = ["front"], height = "10 mm", thickness = "25 mm" }}]',
            "shape.drop_edges[0].height: is 10.0 mm, less than the slab thickness (20 mm). "
            "Measure the height of a drop from the top of the slab.",
        ),
        (
            f'{SLAB}, drop_edges = [{{ sides = ["top"], height = "50 mm", thickness = "25 mm" }}]',
            'shape.drop_edges[0].sides[0]: "top" is not one of front, back, left, right.',
        ),
        (
            f'{PANEL}, returns = [{{ sides = ["left"], depth = "10 mm", thickness = "13 mm" }}]',
            "shape.returns[0].depth: is 10.0 mm, less than the 13.0 mm skin. Measure it from the face.",
        ),
        (
            'kind = "box", length = "900 mm", width = "400 mm", height = "450 mm", wall = "250 mm"',
            "shape.wall: is 250 mm, which leaves no hollow between the walls. "
            "Use less than half of the length and the width of the box.",
        ),
        (
            f'{ROUND}, open = "top"',
            "shape.open: is for a shell. Give a wall as well.",
        ),
        (
            'kind = "outline", points = [[0, 0], [100, 0], [0, 100], [100, 100]], unit = "mm", thickness = "20 mm"',
            "shape.points: The outline crosses itself at (50 mm, 50 mm). "
            "Redraw it so that its edges meet only at their ends.",
        ),
        (
            'kind = "outline", points = [[0, 0], [100, 0], [100, 100]], thickness = "20 mm"',
            'shape.points[1][0]: 100 has no unit. Write "100 mm", or give `unit`.',
        ),
        (
            'kind = "slob", length = "1 m"',
            'shape: "slob" is not one of slab, outline, panel, box, extrusion, revolution, mesh, compound. '
            "Did you mean `slab`?",
        ),
        (
            f'{SLAB}, at = ["0 mm", "0 mm", "0 mm"]',
            ": shape.at is only for parts of a compound. Remove `at`.",
        ),
    ],
)
def test_a_faulty_shape_is_refused_with_place_fault_and_fix(desk, shape, line):
    assert desk.shape_refused(shape) == line


@pytest.mark.parametrize("faces", ["form", "all"])
@pytest.mark.parametrize("quantity", [1, 2])
@pytest.mark.parametrize("shape", [SLAB, 'kind = "panel", length = "1 m", height = "1 m", skin = "20 mm"'])
def test_coats_that_leave_nothing_for_the_backer_are_refused_as_such(desk, shape, faces, quantity):
    # from both sides two coats of 10 mm meet; from the form alone one of 20 mm fills the piece
    thick = "10 mm" if faces == "all" else "20 mm"
    layers = f'form_faces = "{faces}"\nlayers = [{{ mix = "face", thickness = "{thick}" }}, {{ mix = "backer-45" }}]\n'
    job = "".join(f'[[piece]]\nmark = "A{i}"\n{layers}shape = {{ {shape} }}\n' for i in range(quantity))
    lines = desk.refused('[job]\nname = "T"\nmix = "backer-45"\n' + job)
    assert len(lines) == quantity
    for i, line in enumerate(lines):
        assert line.startswith(f"job.toml: piece A{i}, layers: ")
        assert "nothing" in line


MOULDING = 'kind = "extrusion", unit = "in", profile = [[0, 0], [12, 0], [12, 2], [0, 2]], length = "24 in"'


def test_a_miter_that_takes_a_third_of_a_moulding_gives_a_warning_with_its_plane(desk):
    # first principles: 45° across 12 in takes a triangle of 12 × 12 / 2 in off 24 × 12, a quarter; two take a half
    def warnings(keys):
        head = '[job]\nname = "Test"\nunits = "imperial"\nmix = "backer-45"\nwaste = 0.0\n'
        document = desk.estimate(f'{head}[[piece]]\nmark = "A"\nshape = {{ {MOULDING}{keys} }}\n')
        return [each["text"] for each in document["warnings"] if each["id"] == "mitre-deep"]

    assert warnings(", mitre_left = 45") == []
    (outcome,) = warnings(", mitre_left = 44, mitre_right = -44")
    assert outcome == (
        "piece A: The miters take 48% of the molding. They are plumb and turn in plan. "
        "To cut across the height, swap the coordinates of the profile."
    )


def test_the_schema_states_the_plane_of_a_miter(desk):
    schema = desk.call("schema").document
    mitre = schema["$defs"]["ExtrusionTable"]["properties"]["mitre_left"]
    assert "is plumb and turns in plan" in mitre["description"]
    assert "A positive angle shortens the back" in mitre["description"]
    gap = schema["$defs"]["OutlineTable"]["properties"]["gap"]
    assert "If left out: 0.1 mm (0.004 in)." in gap["description"]
