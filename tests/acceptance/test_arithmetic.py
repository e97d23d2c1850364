"""Mix, yield, weight, batches, packs and cost of small jobs, each figure calculated here independently."""

from decimal import ROUND_HALF_UP, Decimal

import pytest

approx = pytest.approx

PIECE = 'mark = "A"\nshape = { kind = "slab", length = "1 m", width = "500 mm", thickness = "20 mm" }\n'

# Damp, absorbent, with liquids and every admixture: a forgotten term shows.
MIX = """
[mixes.m]
cementitious_share = 0.4
cementitious = { c = 0.8, p = 0.2 }
aggregate = { s = 0.6, b = 0.4 }
reference_sand = "s"
water_cementitious = 0.35
admixtures = { a = 0.02 }
polymer = { e = 0.05 }
pigment = { g = 0.03 }
fibre = { f = 0.02 }
fibre_basis = "total"
air = 0.20
[materials.c]
kind = "cement"
relative_density = 3.15
[materials.p]
kind = "pozzolan"
density = "2200 kg/m^3"
[materials.s]
kind = "sand"
relative_density = 2.65
bulk_density = "1600 kg/m^3"
moisture = 0.05
absorption = 0.01
packs = [{ name = "bag", mass = "25 kg", price = 10.0 }]
[materials.b]
kind = "light-aggregate"
packing = 0.62
bulk_density = "50 kg/m^3"
absorption = 0.40
[materials.a]
kind = "admixture"
relative_density = 1.07
solids = 0.4
[materials.e]
kind = "polymer"
relative_density = 1.05
solids = 0.5
[materials.g]
kind = "pigment"
relative_density = 4.9
[materials.f]
kind = "fibre"
relative_density = 2.68
"""
JOB = f'[job]\nname = "T"\nunits = "metric"\nmix = "m"\nwaste = 0.10\n[[piece]]\nquantity = 3\n{PIECE}{MIX}'
DIRECT = ("materials", "consumables", "labour", "allowances", "forms", "freight", "delivery", "gear")


class Hand:
    """The mix above for 100 kg of counted dry mass, first principles only."""

    water_kg_m3 = 998.0
    cm = 40.0
    loose_m3 = 60.0 / 1600.0  # the sand-equivalent's
    sand, bead = 0.6 * loose_m3 * 1600.0, 0.4 * loose_m3 * 50.0
    admixture, emulsion, pigment = 0.02 * cm, 0.05 * cm / 0.5, 0.03 * cm
    free = 0.35 * cm
    absorbed = 0.01 * sand + 0.40 * bead
    to_weigh = free + absorbed - 0.05 * sand - 0.6 * admixture - 0.5 * emulsion
    others = cm + sand + bead + absorbed + free + 0.4 * admixture + 0.5 * emulsion + pigment
    fibre = 0.02 / 0.98 * others
    total = others + fibre
    # A liquid's product volume less that of its water is that of its solids.
    solids_m3 = (
        admixture / (1.07 * water_kg_m3)
        - 0.6 * admixture / water_kg_m3
        + emulsion / (1.05 * water_kg_m3)
        - 0.5 * emulsion / water_kg_m3
    )
    absolute_m3 = (
        0.8 * cm / (3.15 * water_kg_m3)
        + 0.2 * cm / 2200.0
        + sand / (2.65 * water_kg_m3)
        + bead / (50.0 / 0.62)
        + free / water_kg_m3
        + pigment / (4.9 * water_kg_m3)
        + fibre / (2.68 * water_kg_m3)
        + solids_m3
    )
    volume_m3 = absolute_m3 / (1.0 - 0.20)
    fresh_kg_m3 = total / volume_m3
    dry = sand + bead + fibre + pigment + 0.4 * admixture + 0.5 * emulsion + cm + min(0.2 * cm, free)
    installed_kg_m3 = dry / volume_m3 + 50.0


def test_a_recipe_is_what_is_weighed_and_its_yield_goes_by_absolute_volume(desk):
    mix = desk.estimate(JOB)["mixes"][0]
    per_m3 = {
        "c": 0.8 * Hand.cm,
        "p": 0.2 * Hand.cm,
        "s": 1.05 * Hand.sand,  # with its moisture
        "b": Hand.bead,
        "a": Hand.admixture,  # as product
        "e": Hand.emulsion,
        "g": Hand.pigment,
        "f": Hand.fibre,
        "water": Hand.to_weigh,
    }
    assert set(mix["recipe_kg_m3"]) == set(per_m3)
    for name, mass_kg in per_m3.items():
        assert mix["recipe_kg_m3"][name] == approx(mass_kg / Hand.volume_m3, rel=1e-9), name
    assert mix["fresh_density_kg_m3"] == approx(Hand.fresh_kg_m3, rel=1e-9)
    assert sum(mix["recipe_kg_m3"].values()) == approx(Hand.fresh_kg_m3, rel=1e-9)
    assert mix["free_water_kg_m3"] == approx(Hand.free / Hand.volume_m3, rel=1e-9)
    assert mix["installed_density_kg_m3"] == approx(Hand.installed_kg_m3, rel=1e-9)
    assert mix["volume_fractions"]["air"] == approx(0.20)
    assert sum(mix["volume_fractions"].values()) == approx(1.0)


def test_batch_volume_and_required_material_follow_from_pieces_and_waste(desk):
    document = desk.estimate(JOB)
    mix = document["mixes"][0]
    assert mix["batch_m3"] == approx(3 * 0.01 * 1.10, rel=1e-12)
    for line in document["materials"]:
        assert line["required_kg"] == approx(mix["recipe_kg_m3"][line["material"]] * mix["batch_m3"], rel=1e-9)


def test_weights_lie_within_their_tolerances(desk):
    document = desk.estimate(JOB + '[workshop]\ndensity_tolerance = 0.05\nthickness_tolerance = "2 mm"\n')
    weight = document["pieces"][0]["weight"]
    fresh_kg, installed_kg = 0.01 * Hand.fresh_kg_m3, 0.01 * Hand.installed_kg_m3
    assert weight["fresh_kg"] == approx(fresh_kg)
    assert weight["demould_kg"] == approx(fresh_kg)
    assert weight["installed_kg"] == approx(installed_kg)
    assert weight["high_kg"] == approx(fresh_kg * 1.05 * (1 + 2 / 20))
    assert weight["low_kg"] == approx(installed_kg * 0.95 * (1 - 2 / 20))
    assert weight["lift_kg"] == approx(weight["high_kg"])
    assert weight["turn_kg"] > weight["lift_kg"]


def test_inserts_count_with_their_whole_mass_and_move_the_center_of_gravity(desk):
    insert = 'inserts = [{ name = "frame", mass = "5 kg", at = ["1 m", "0 m", "0 m"] }]\n'
    tolerances = '[workshop]\ndensity_tolerance = 0.05\nthickness_tolerance = "2 mm"\n'
    job = JOB.replace("quantity = 3\n", "quantity = 3\n" + insert) + tolerances
    weight = desk.estimate(job)["pieces"][0]["weight"]
    fresh_kg = 0.01 * Hand.fresh_kg_m3
    assert weight["high_kg"] == approx(fresh_kg * 1.05 * 1.1 + 5)  # steel has no tolerance of thickness
    x_m, y_m, z_m = weight["stages"]["fresh"]["centre_of_gravity_m"]
    assert x_m == approx((fresh_kg * 0.5 + 5 * 1.0) / (fresh_kg + 5))
    assert y_m == approx(fresh_kg * 0.25 / (fresh_kg + 5))
    assert z_m == approx(fresh_kg * 0.01 / (fresh_kg + 5))


def test_more_water_from_stock_than_the_mix_may_have_is_a_fault(desk):
    (line,) = desk.refused(JOB.replace("moisture = 0.05", "moisture = 0.60"))
    assert line.startswith("job.toml: mix m, water_cementitious: Damp aggregate and liquids bring ")
    assert line.endswith("Dry the aggregate, use less liquid, or raise water_cementitious.")


HEAD = '[job]\nname = "T"\nunits = "metric"\nmix = "q"\n'
OWN = '[mixes.q]\nbased_on = "backer-45"\nwaste = 0.2\n'


@pytest.mark.parametrize(
    ("job_waste", "piece", "expected"),
    [
        ("", "", {"q": 0.012}),
        ("waste = 0.1\n", "", {"q": 0.012}),  # the mix's own overrides the job's
        ("waste = 0.1\n", "waste = 0.3\n", {"q": 0.013}),  # the piece's overrides the mix's
        (
            "waste = 0.1\n",
            'waste = 0.3\nlayers = [{ mix = "face", thickness = "5 mm", waste = 0.4 }, { mix = "q" }]\n',
            {"face": (0.01 - 0.99 * 0.49 * 0.015) * 1.4, "q": 0.99 * 0.49 * 0.015 * 1.3},  # the layer's overrides all
        ),
    ],
)
def test_the_waste_stated_closest_to_the_piece_applies(desk, job_waste, piece, expected):
    document = desk.estimate(f"{HEAD}{job_waste}[[piece]]\n{piece}{PIECE}{OWN}")
    assert {mix["name"]: mix["batch_m3"] for mix in document["mixes"]} == approx(expected, rel=1e-6)


def test_mix_left_in_the_bucket_is_mixed_as_well(desk):
    loss = '[workshop]\nloss_per_batch = "1 kg"\n'
    head = HEAD.replace('"q"', '"backer-45"') + "waste = 0.1\n"
    document = desk.estimate(f"{head}[[piece]]\nquantity = 40\nforms = 40\n{PIECE}{loss}")
    (mix,) = document["mixes"]
    batches = sum(batch["count"] for batch in document["batches"])
    assert batches > 1
    assert mix["batch_m3"] == approx(40 * 0.011 + batches * 1.0 / mix["fresh_density_kg_m3"], rel=1e-9)
    assert sum(batch["count"] * batch["volume_m3"] for batch in document["batches"]) == approx(mix["batch_m3"])


@pytest.mark.parametrize(
    ("mixer", "limit"),
    [
        ('{ volume = "80 L", mass = "500 kg", fill = 0.5 }', ("loose_m3", 0.040)),
        ('{ volume = "500 L", mass = "60 kg", fill = 0.9 }', ("mass_kg", 60.0)),
    ],
)
def test_a_batch_fits_the_mixer_by_loose_volume_and_by_mass(desk, mixer, limit):
    job = f"{HEAD.replace('q', 'backer-45')}waste = 0.0\n[[piece]]\nquantity = 12\nforms = 12\n{PIECE}"
    document = desk.estimate(f"{job}[workshop]\nmixer = {mixer}\n")
    key, most = limit
    for batch in document["batches"]:
        assert batch[key] <= most * (1 + 1e-9)
        # whole pieces: another would not fit
        pieces = batch["volume_m3"] / 0.01
        assert pieces == approx(round(pieces))
    fullest = max(document["batches"], key=lambda each: each["volume_m3"])
    assert fullest[key] * (1 + 0.01 / fullest["volume_m3"]) > most


def test_masses_are_rounded_to_the_step_of_the_scale_never_to_zero_and_state_the_rounding(desk):
    scales = '[workshop]\nscales = [{ step = "1 g", up_to = "1 kg" }, { step = "100 g" }]\n'
    document = desk.estimate(f"{HEAD.replace('q', 'backer-45')}waste = 0.0\n[[piece]]\n{PIECE}{scales}")
    (batch,) = document["batches"]
    for line in batch["load"]:
        step_kg = 0.001 if line["target_kg"] <= 1.0 else 0.1
        assert line["mass_kg"] > 0
        assert line["mass_kg"] / step_kg == approx(round(line["mass_kg"] / step_kg), abs=1e-6), line["material"]
        assert abs(line["mass_kg"] - line["target_kg"]) <= step_kg / 2 + 1e-12
        assert line["deviation"] == approx(line["mass_kg"] / line["target_kg"] - 1, abs=1e-12)


def test_a_trace_is_never_weighed_as_zero(desk):
    scales = '[workshop]\nscales = [{ step = "1 kg" }]\n'
    document = desk.estimate(f"{HEAD.replace('q', 'backer-45')}waste = 0.0\n[[piece]]\n{PIECE}{scales}")
    (batch,) = document["batches"]
    assert min(line["mass_kg"] for line in batch["load"]) == approx(1.0)
    assert min(line["target_kg"] for line in batch["load"]) < 0.5


PLAIN = """
[mixes.plain]
cementitious_share = 0.5
cementitious = { c = 1.0 }
aggregate = { s = 1.0 }
water_cementitious = 0.4
air = 0.0
[materials.c]
kind = "cement"
relative_density = 3.0
packs = [{ name = "bag", mass = "25 kg", price = 10.0, breaks = [{ from = 4, price = 8.0 }] }]
[materials.s]
kind = "sand"
relative_density = 2.6
bulk_density = "1500 kg/m^3"
packs = [
  { name = "bag", mass = "20 kg", price = 5.0 },
  { name = "sack", volume = "0.1 m^3", price = 30.0, minimum = 2 },
]
[materials.water]
packs = []
"""
# per m³: x of cement, x of sand, 0.4 x of water fill it
EACH_KG_M3 = 1 / (1 / (3.0 * 998) + 1 / (2.6 * 998) + 0.4 / 998)


@pytest.mark.parametrize(
    ("pieces", "stock", "cement", "sand"),
    [
        (1, "", {"bag": (1, 10.0)}, {"bag": (1, 5.0)}),
        (8, "", {"bag": (3, 10.0)}, {"bag": (4, 5.0)}),  # 71 kg: three at 10 are cheaper than four at 8
        (12, "", {"bag": (5, 8.0)}, {"bag": (6, 5.0)}),  # 107 kg: five, so all at the price of four and more
        (10, "", {"bag": (4, 8.0)}, {"bag": (5, 5.0)}),  # 89 kg
        # 357 kg of sand: two sacks (the least that is sold) and three bags at 75 beat 18 bags at 90
        (40, "", {"bag": (15, 8.0)}, {"sack": (2, 30.0), "bag": (3, 5.0)}),
        (12, '[stock]\nc = "30 kg"\n', {"bag": (4, 8.0)}, {"bag": (6, 5.0)}),
    ],
)
def test_the_cheapest_whole_packs_cover_what_stock_does_not(desk, pieces, stock, cement, sand):
    head = HEAD.replace('"q"', '"plain"') + "waste = 0.0\n"
    document = desk.estimate(f"{head}[[piece]]\nquantity = {pieces}\nforms = 100\n{PIECE}{PLAIN}{stock}")
    lines = {line["material"]: line for line in document["materials"]}
    for name, expected in (("c", cement), ("s", sand)):
        line = lines[name]
        assert line["required_kg"] == approx(pieces * 0.01 * EACH_KG_M3)
        assert {each["pack"]: (each["count"], each["unit_price"]) for each in line["packs"]} == expected
        bought_kg = sum(each["count"] * each["mass_kg"] for each in line["packs"])
        assert line["bought_kg"] == approx(bought_kg)
        assert line["left_over_kg"] == approx(line["on_hand_kg"] + bought_kg - line["required_kg"])
        assert line["left_over_kg"] >= 0
        assert line["purchase_cost"] == approx(sum(count * price for count, price in expected.values()))
    if "sack" in sand:
        assert next(each["mass_kg"] for each in lines["s"]["packs"] if each["pack"] == "sack") == approx(150.0)
    if stock:
        assert lines["c"]["on_hand_kg"] == approx(30.0)
        assert lines["c"]["stock_cost"] == approx(30.0 / 25.0 * 10.0)


def cents(amount: Decimal) -> Decimal:
    return amount.quantize(Decimal("0.01"), ROUND_HALF_UP)


@pytest.mark.parametrize("terms", ["margin = 0.35\noverhead = 0.155\ntax = 0.0725\n", "markup = 0.4\ntax = 0.0\n"])
def test_the_price_follows_from_direct_cost_by_the_stated_formula_to_the_cent(desk, terms):
    job = f"{HEAD.replace('q', 'backer-45')}waste = 0.07\n[[piece]]\nquantity = 7\n{PIECE}[price]\n{terms}"
    cost = desk.estimate(job)["cost"]
    amount = {key: Decimal(str(cost[key])) for key in cost if isinstance(cost[key], int | float)}
    direct = sum(
        amount[key]
        for key in ("materials", "consumables", "labour", "allowances", "forms", "freight", "delivery", "gear")
    )
    assert amount["direct"] == direct
    overhead = cents(direct * Decimal(str(cost["terms"]["overhead"])))
    assert amount["overhead"] == overhead
    if "margin" in terms:
        price = cents((direct + overhead) / (1 - Decimal("0.35")))
    else:
        price = cents((direct + overhead) * Decimal("1.4"))
    assert amount["price"] == price
    assert amount["margin"] == price - direct - overhead
    assert amount["tax"] == cents(price * Decimal(str(cost["terms"]["tax"])))
    assert amount["total"] == amount["price"] + amount["tax"]
    assert amount["materials"] > 0
    assert amount["labour"] > 0
