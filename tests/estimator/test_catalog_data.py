"""The figures of the catalog lie within print and practice, agree with each other, and name no brand."""

import re
import tomllib
from collections.abc import Iterator
from dataclasses import replace
from importlib import resources
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from estimator import load_job
from estimator.intake.documents import in_units
from estimator.job import Material, Mix
from estimator.mix import make
from estimator.units import read_any, read_quantity, reading

WATER_KG_M3 = 998.0
LB_FT3 = 0.45359237 / 0.3048**3  # kg/m3 in one lb/ft3


def _read(name: str) -> dict[str, Any]:
    return tomllib.loads(resources.files("catalogs").joinpath(name).read_text(encoding="utf-8"))


MATERIALS: dict[str, dict[str, Any]] = _read("materials.toml")["materials"]
MIXES: dict[str, dict[str, Any]] = _read("mixes.toml")["mixes"]
SHOP = in_units(_read("workshop.toml"), "imperial")
MIXED = [name for name, table in MATERIALS.items() if table["kind"] != "consumable"]

# Particle and loose bulk density in kg/m3, each from low to high.
# source: "read" in print: gray cement, silica fume densified, fly ash, silica sand 90 to 100 lb/ft3, perlite 7.5 to
# 8 lb/ft3, uncoated bead and the packing of spheres, AR glass, water; all others from memory of the common literature
BANDS: dict[str, tuple[tuple[float, float], tuple[float, float] | None]] = {
    "grey-cement": ((3150, 3150), (830, 1650)),
    "white-cement": ((3050, 3150), (1100, 1500)),
    "fly-ash": ((2140, 2400), (540, 860)),
    "slag": ((2860, 2950), (1050, 1375)),
    "silica-fume": ((2200, 2250), (480, 720)),
    "metakaolin": ((2500, 2600), (300, 600)),
    "ground-glass-pozzolan": ((2500, 2600), (700, 1000)),
    "silica-sand": ((2620, 2650), (90 * LB_FT3, 100 * LB_FT3)),
    "silica-sand-fine": ((2620, 2650), (90 * LB_FT3, 100 * LB_FT3)),
    "superplasticizer-liquid": ((1030, 1100), None),
    "acrylic-emulsion": ((1040, 1070), None),
    "ar-glass-chopped": ((2680, 2680), None),
    "ar-glass-chopped-long": ((2680, 2680), None),
    "pva-chopped": ((1300, 1300), None),
    "iron-oxide-red": ((4900, 5200), (500, 1400)),
    "iron-oxide-black": ((4600, 4900), (500, 1400)),
    "iron-oxide-yellow": ((4000, 4100), (500, 1400)),
    "titanium-dioxide": ((3900, 4200), (500, 1400)),
    "perlite": ((150, 400), (120, 8 * LB_FT3)),
    "expanded-clay": ((500, 1500), (250, 800)),
    "expanded-glass": ((300, 800), (190, 450)),
    "hollow-microspheres": ((600, 900), (350, 450)),
    "uncoated-eps-bead": ((10 / 0.64, 25 / 0.56), (10, 25)),
    "water": ((997.9, 998.3), None),  # 62.30 lb/ft³ at 70 °F, 998.2 kg/m³ at 20 °C
}


def _bulk(name: str) -> float | None:
    table = MATERIALS[name]
    return read_quantity(table["bulk_density"], "density") if "bulk_density" in table else None


def _particle(name: str, water_kg_m3: float = 1000.0) -> float | None:
    table, bulk = MATERIALS[name], _bulk(name)
    if "relative_density" in table:
        return float(table["relative_density"]) * water_kg_m3
    if "density" in table:
        return read_quantity(table["density"], "density")
    return bulk / float(table["packing"]) if bulk is not None and "packing" in table else None


@pytest.mark.parametrize("name", BANDS)
def test_densities_lie_in_their_printed_bands(name: str) -> None:
    (low, high), loose = BANDS[name]
    particle, bulk = _particle(name), _bulk(name)
    assert particle is not None
    assert low <= particle * (1 + 1e-9)
    assert particle <= high * (1 + 1e-9)
    if loose:
        assert bulk is not None
        assert loose[0] <= bulk * (1 + 1e-9)
        assert bulk <= loose[1] * (1 + 1e-9)


@pytest.mark.parametrize("name", MATERIALS)
def test_every_material_has_exactly_one_density_and_a_source(name: str) -> None:
    table = MATERIALS[name]
    given = [key for key in ("relative_density", "density", "packing") if key in table]
    assert len(given) == 1 or (not given and table["kind"] == "consumable")
    assert len(table["source"]) > 15


@pytest.mark.parametrize("name", MIXED)
def test_every_mixed_material_has_a_loose_bulk_density_below_its_own(name: str) -> None:
    bulk, particle = _bulk(name), _particle(name, WATER_KG_M3)
    assert bulk is not None
    assert particle is not None
    if MATERIALS[name].get("solids", 1.0) < 1.0 or MATERIALS[name]["kind"] == "water":
        assert bulk == pytest.approx(particle, rel=0.005)  # a liquid fills its bucket
    else:
        assert 0.1 < bulk / particle < 0.65  # loose: no looser than fluffed fume, no denser than packed spheres


@pytest.mark.parametrize(
    ("name", "solids_kg_m3"), [("acrylic-emulsion", (1050, 1200)), ("superplasticizer-liquid", (1150, 1350))]
)
def test_the_densities_of_a_liquid_and_its_solids_agree(name: str, solids_kg_m3: tuple[float, float]) -> None:
    # from memory: acrylic polymer about 1.05 to 1.2, polycarboxylate about 1.15 to 1.35
    solids, product = MATERIALS[name]["solids"], _particle(name, WATER_KG_M3)
    assert product is not None
    assert solids_kg_m3[0] < solids / (1 / product - (1 - solids) / WATER_KG_M3) < solids_kg_m3[1]


def _packs() -> Iterator[tuple[str, dict[str, Any]]]:
    for name, table in MATERIALS.items():
        for pack in table["packs"]:
            yield name, pack


@pytest.mark.parametrize(("name", "pack"), list(_packs()))
def test_every_pack_has_all_that_an_order_needs(name: str, pack: dict[str, Any]) -> None:
    assert pack["price"] > 0
    assert {"mass", "volume", "area", "length", "pieces"} & pack.keys()
    steps = [pack["price"]] + [step["price"] for step in pack.get("breaks", [])]
    assert all(cheaper < dearer for dearer, cheaper in pairwise(steps))
    bulk = _bulk(name)
    if "volume" in pack:
        volume_m3 = read_quantity(pack["volume"], "volume")
        assert bulk is not None
        mass_kg = read_quantity(pack["mass"], "mass") if "mass" in pack else volume_m3 * bulk
        assert mass_kg / volume_m3 == pytest.approx(bulk, rel=0.005)
    elif "mass" in pack:
        mass_kg = read_quantity(pack["mass"], "mass")
    else:
        return
    # pallets are rated up to 4,600 lb (read)
    assert pack.get("per_pallet", 1) * mass_kg <= 4600 * 0.45359237


@pytest.mark.parametrize("units", ["imperial", "metric"])
@pytest.mark.parametrize("name", MIXED)
def test_a_larger_pack_costs_no_more_by_mass(name: str, units: str) -> None:
    bulk = _bulk(name)
    assert bulk is not None
    packs = [
        (
            read_quantity(pack["mass"], "mass") if "mass" in pack else read_quantity(pack["volume"], "volume") * bulk,
            pack["price"],
        )
        for pack in MATERIALS[name]["packs"]
        if pack["units"] == units
    ]
    assert packs
    per_kg = [price / mass_kg for mass_kg, price in sorted(packs)]
    assert per_kg == sorted(per_kg, reverse=True)


def test_coated_beads_weigh_and_pack_as_the_trade_knows_them() -> None:
    # common practice: a sack of 150 lb holds about 50 ft3. source: random packing of spheres, 0.56 to 0.64
    assert _bulk("coated-eps-bead") == pytest.approx(150 / 50 * LB_FT3, rel=0.1)
    assert 0.56 <= MATERIALS["coated-eps-bead"]["packing"] <= 0.64


def test_the_names_that_jobs_rely_on_exist() -> None:
    wanted = """white-cement grey-cement silica-fume metakaolin ground-glass-pozzolan slag silica-sand silica-sand-fine
        coated-eps-bead uncoated-eps-bead expanded-glass perlite hollow-microspheres ar-glass-chopped
        ar-glass-chopped-long pva-chopped ar-glass-scrim blended-admixture-powder superplasticizer-powder
        superplasticizer-liquid defoamer retarder acrylic-emulsion iron-oxide-black foam-core form-board release-agent
        sealer-penetrating water"""
    assert set(wanted.split()) <= MATERIALS.keys()
    assert {"face", "solid-cast"} | {f"backer-{n}" for n in (0, 25, 45, 65, 85, 100)} <= MIXES.keys()


def _whole(name: str) -> dict[str, Any]:
    table = MIXES[name]
    base = _whole(table["based_on"]) if "based_on" in table else {}
    return base | {key: value for key, value in table.items() if key not in ("based_on", "note")}


def _materials() -> dict[str, Material]:
    return {
        name: Material(
            name=name,
            kind=table["kind"],
            density_kg_m3=_particle(name, WATER_KG_M3),
            bulk_density_kg_m3=_bulk(name),
            solids=table.get("solids", 1.0),
            absorption=table.get("absorption", 0.0),
            dose_low=table.get("dose", {}).get("low"),
            dose_high=table.get("dose", {}).get("high"),
        )
        for name, table in MATERIALS.items()
    }


# Fresh density, lb/ft3. source: glass-fiber-reinforced concrete 120 to 140 lb/ft3 (from memory); with polystyrene bead
# 1,500 to 2,000 kg/m3 in rich silica-fume concretes (Babu & Babu 2003, read), 800 to 1,800 over all (Chen & Liu
# 2004, read). Between them each replacement has its own part of the range.
FRESH_LB_FT3 = {
    "face": (120, 140),
    "face-glass": (120, 140),
    "face-grey": (120, 140),
    "backer-0": (120, 140),
    "solid-cast": (120, 140),
    "solid-cast-white": (120, 140),
    "backer-25": (1700 / LB_FT3, 2000 / LB_FT3),
    "backer-45": (1500 / LB_FT3, 1800 / LB_FT3),
    "backer-45-acrylic": (1500 / LB_FT3, 1800 / LB_FT3),
    "backer-65": (1300 / LB_FT3, 1600 / LB_FT3),
    "backer-85": (1150 / LB_FT3, 1450 / LB_FT3),
    "backer-100": (1000 / LB_FT3, 1400 / LB_FT3),
    "mineral-45": (1500 / LB_FT3, 1800 / LB_FT3),
}


@pytest.mark.parametrize("name", MIXES)
def test_each_mix_has_the_density_of_its_kind(name: str) -> None:
    made = make(Mix(name=name, **_whole(name)), _materials())
    low, high = FRESH_LB_FT3[name]
    assert low <= made.fresh_density_kg_m3 / LB_FT3 <= high
    assert not made.floats


@pytest.mark.parametrize("name", MIXES)
def test_no_mix_of_the_catalog_gives_a_warning_about_dosages(name: str) -> None:
    warnings = make(Mix(name=name, **_whole(name)), _materials()).warnings
    assert [each for each in warnings if each.id != "absorbent-aggregate"] == []


@pytest.mark.parametrize("name", MIXES)
def test_each_mix_names_materials_of_the_right_kind(name: str) -> None:
    whole = _whole(name)
    kinds = {
        "cementitious": {"cement", "pozzolan"},
        "aggregate": {"sand", "light-aggregate"},
        "admixtures": {"admixture"},
        "polymer": {"polymer"},
        "fibre": {"fibre"},
    }
    for role, allowed in kinds.items():
        assert {MATERIALS[material]["kind"] for material in whole.get(role, {})} <= allowed
    assert MATERIALS[whole["reference_sand"]]["kind"] == "sand"


def test_air_content_follows_the_placing_method() -> None:
    # common practice: poured 3 to 4 %, sprayed 4 to 6 %, hand-packed 6 to 10 %
    for name in MIXES:
        low, high = (0.04, 0.06) if "face" in name else (0.03, 0.04) if "solid" in name else (0.06, 0.10)
        assert low <= _whole(name)["air"] <= high


def test_face_coats_hold_neither_beads_nor_fiber_and_white_ones_no_silica_fume() -> None:
    for name in MIXES:
        whole = _whole(name)
        if name.startswith("face"):
            assert "fibre" not in whole
            assert "light-aggregate" not in {MATERIALS[material]["kind"] for material in whole["aggregate"]}
            traits = {trait for material in whole["cementitious"] for trait in MATERIALS[material].get("traits", [])}
            assert ("darkens" in traits) == ("white-cement" not in whole["cementitious"])


def test_catalog_materials_make_the_batch_worked_by_hand() -> None:
    # common practice: 45 lb cement, 5 lb fume, 25 lb sand, 1.75 lb admixture, 17 lb water, 3 lb fiber on 100 lb counted
    mix = Mix(
        name="worked batch",
        cementitious_share=0.5,
        cementitious={"white-cement": 0.9, "silica-fume": 0.1},
        aggregate={"silica-sand": 0.5, "coated-eps-bead": 0.5},
        reference_sand="silica-sand",
        water_cementitious=0.34,
        admixtures={"blended-admixture-powder": 0.035},
        fibre={"ar-glass-chopped": 0.03},
        air=0.07,
    )
    materials = _materials()
    materials["coated-eps-bead"] = replace(materials["coated-eps-bead"], bulk_density_kg_m3=3 * LB_FT3)
    made = make(mix, materials)
    per_100_lb = {name: mass * 100 / made.counted_dry_kg_m3 for name, mass in made.recipe_kg_m3.items()}
    assert per_100_lb == pytest.approx(
        {
            "white-cement": 45.0,
            "silica-fume": 5.0,
            "silica-sand": 25.0,
            "coated-eps-bead": 0.75,  # the loose volume of 25 lb of sand at 100 lb/ft3, at 3 lb/ft3
            "blended-admixture-powder": 1.75,
            "ar-glass-chopped": 3.0,
            "water": 17.0,
        }
    )


def test_the_whole_catalog_reads_without_pint(monkeypatch: pytest.MonkeyPatch) -> None:
    def refused(unit: str, si: str) -> None:
        raise AssertionError(f"{unit} to {si} would import pint at every start")

    monkeypatch.setattr(reading, "pint_factor", refused)
    for section, table in SHOP["workshop"].items():
        for key, value in table.items() if isinstance(table, dict) and section != "practice" else ():
            if isinstance(value, str) and key != "kind":
                read_any(value)
    for table in MATERIALS.values():
        assert all(read_any(table[key])[0] == "density" for key in ("density", "bulk_density") if key in table)
        assert "shelf_life" not in table or read_any(table["shelf_life"])[0] == "time"
        for pack in table["packs"]:
            for kind in {"mass", "volume", "area", "length"} & pack.keys():
                assert read_any(pack[kind])[0] == kind


def test_the_assumed_cement_gives_the_printed_heat() -> None:
    # source: Schindler & Folliard 2005, heat of the assumed cement 488.3 J/g (coefficients from memory)
    heat = {"c3s": 500, "c2s": 260, "c3a": 866, "c4af": 420, "so3": 624, "free_cao": 1186, "mgo": 850}
    cement = SHOP["workshop"]["cement"]
    assert sum(factor * cement[name] for name, factor in heat.items()) == pytest.approx(488.3, abs=0.05)
    assert sum(cement[name] for name in heat) <= 1.0


def test_payment_steps_add_up_to_the_total() -> None:
    quote = SHOP["workshop"]["quote"]
    assert quote["deposit"] + quote["before_delivery"] + quote["on_install"] == pytest.approx(1.0)


def test_the_consumables_that_a_shop_uses_are_in_the_catalog() -> None:
    sold_by = {"form-area": "area", "finished-area": "area", "edge-length": "length", "piece": "pieces"}
    for name, use in SHOP["workshop"]["consumables"].items():
        assert MATERIALS[name]["kind"] == "consumable"
        sold = "volume" if "coverage" in use else sold_by[use["basis"]]
        assert all(sold in pack for pack in MATERIALS[name]["packs"]), name


GENERIC = """acrylic admixture agent air ar bead black blended board cement chopped clay coated core defoamer
    crate dioxide edge emulsion entrainer eps expanded film fine fly ash foam form fume glass grey ground honing hollow
    insert iron laminate mould rubber liquid long marble metakaolin microspheres oxide pad penetrating perlite plastic
    powder pozzolan pva rapid red release retarder sand scrim sealant sealer silica slag solvent
    lumber superplasticizer tape thickener threaded titanium uncoated water white yellow"""
CAPITAL_WORDS = {"ASTM", "Portland", "PVA"}


def test_no_name_is_a_brand() -> None:
    words = {word for name in MATERIALS for word in name.split("-")}
    assert words <= set(GENERIC.split())
    prose = [table["source"] for table in MATERIALS.values()] + [table["note"] for table in MIXES.values()]
    prose += [pack["name"] for _, pack in _packs()]
    for text in prose:
        inside = re.findall(r"(?<![.:?!] )(?<!^)\b[A-Z][A-Za-z]+", text)
        assert set(inside) <= CAPITAL_WORDS, text
        assert not set("®™©") & set(text)


def test_a_job_buys_packs_of_its_own_units(tmp_path: Path) -> None:
    job = '[job]\nname = "x"\nunits = "{units}"\nmix = "backer-45"\n[[piece]]\nmark = "A"\nshape = {{ kind = "slab", '
    job += 'length = "1000 mm", width = "600 mm", thickness = "20 mm" }}\n'
    for units, mass_kg in (("imperial", 94 * 0.45359237), ("metric", 25.0)):
        (tmp_path / "job.toml").write_text(job.format(units=units))
        packs = load_job(tmp_path / "job.toml").materials["white-cement"].packs
        assert max(pack.mass_kg or 0.0 for pack in packs) == pytest.approx(mass_kg)


def test_a_board_covers_the_area_of_its_size() -> None:
    # 8 sheets bought for 8 sheets needed left 16 cm2 over
    sized = 0
    for name, material in MATERIALS.items():
        for pack in material.get("packs", []):
            size = re.search(r"(\d+) × (\d+) × \d+ mm", pack["name"])
            if size is not None and "area" in pack:
                sized += 1
                sides_mm = int(size[1]) * int(size[2])
                assert read_quantity(pack["area"], "area") == pytest.approx(sides_mm / 1e6, rel=1e-12), name
    assert sized >= 2
