"""Every table of a job file can be started, changed and removed in the page, without an editor."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from copy import deepcopy
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from estimator.names import american
from estimator.page.examples import SYSTEMS
from estimator.page.fields import (
    Field,
    Group,
    _followed,
    _variants,
    fields_of,
    is_named,
    kinds_at,
    node_at,
    path_of,
    schema,
    typed,
)
from estimator.words import PLAIN
from tests.refusal import refusal

SHEET = "/jobs/hill/sheet"
ENTRIES: dict[str, tuple[str, dict[str, str], dict[str, Any]]] = {
    "insert": ("piece/0/inserts", {"name": "steel frame", "mass": "11 lb", "at": "36 in\n12 in\n1/2 in"},
               {"name": "steel frame", "mass": "11 lb", "at": ["36 in", "12 in", "1/2 in"]}),
    "cutout": ("piece/0/shape/cutouts", {"kind": "circle", "diameter": "1-3/8 in", "x": "36 in", "y": "22 in"}, {}),
    "drop edge": ("piece/0/shape/drop_edges", {"edges": "front\nleft", "height": "2 in", "thickness": "1 in"},
                  {"edges": ["front", "left"], "height": "2 in", "thickness": "1 in"}),
    "edge profile": ("piece/0/shape/edge_profiles", {"edges": "front", "profile": "eased", "size": "1/8 in"},
                     {"edges": ["front"], "profile": "eased", "size": "1/8 in"}),
    "waterfall": ("piece/0/shape/waterfalls", {"edges": "left", "height": "34 in"},
                  {"edges": ["left"], "height": "34 in"}),
    "splash": ("piece/0/shape/splashes", {"edges": "back", "height": "4 in", "thickness": "3/4 in"},
               {"edges": ["back"], "height": "4 in", "thickness": "3/4 in"}),
    "seam": ("piece/0/seams", {"x": "36 in"}, {}),
    "supplier": ("supplier", {"name": "north yard", "minimum": "250"}, {"name": "north yard", "minimum": 250}),
    "option": ("option", {"name": "Sealer upgrade", "lump": "180"}, {"name": "Sealer upgrade", "lump": 180}),
    "turn": ("site/turns", {"from": "44 in", "to": "42 in", "height": "96 in"}, {}),
    "stairs": ("site/stairs", {"width": "38 in", "headroom": "80 in", "pitch": "35 deg"}, {}),
    "payment": ("price/payments", {"share": "1", "name": "deposit", "due": "now"},
                {"share": 1, "name": "deposit", "due": "now"}),
}  # fmt: skip
"""Lists: where an entry is added, what is typed, and what then stands in the file where that differs."""

VALUES = {
    "handling": ("piece/0/handling", {"carried": "edge"}, {"carried": "edge"}),
    "picks": ("piece/0/handling/picks", {"at": "15 in, 12-3/4 in\n57 in, 12-3/4 in", "sling_rating": "500 lb"},
              {"at": [["15 in", "12-3/4 in"], ["57 in", "12-3/4 in"]], "sling_rating": "500 lb"}),
    "in place": ("piece/0/in_place", {"outdoors": "true", "overhang": "3 in"}, {"outdoors": True, "overhang": "3 in"}),
    "cure": ("piece/0/cure", {"room": "65 °F"}, {"room": "65 °F"}),
    "door": ("site/door", {"width": "36 in", "height": "80 in"}, {"width": "36 in", "height": "80 in"}),
    "elevator": ("site/lift", {"width": "51 in", "depth": "68 in", "height": "90 in", "rating": "2500 lb"}, None),
    "client": ("client", {"name": "The hill", "address": "1 Hill\nTown"},
               {"name": "The hill", "address": ["1 Hill", "Town"]}),
    "price": ("price", {"overhead": "0.2", "margin": "25%"}, {"overhead": 0.2, "margin": "25%"}),
    "handling settings": ("workshop/handling", {"people": "3"}, {"people": 3}),
    "mixer": ("workshop/mixer", {"volume": "4 ft^3"}, {"volume": "4 ft^3"}),
    "transport": ("workshop/transport", {"a_frame_rating": "2000 lb"}, {"a_frame_rating": "2000 lb"}),
    "business": ("business", {"name": "Lakeside casting"}, {"name": "Lakeside casting"}),
    "form": ("form", {"kind": "rubber", "uses": "20"}, {"kind": "rubber", "uses": 20}),
    "sign-offs": ("sign_off", {"sketch": "2026-03-05"}, {"sketch": "2026-03-05"}),
    "scope": ("scope", {"excluded": "Removal of old counters"}, {"excluded": ["Removal of old counters"]}),
    "samples": ("samples", {"count": "2", "price": "75"}, {"count": 2, "price": 75}),
    "receiving": ("receiving", {"lift_gate": "true"}, {"lift_gate": True}),
    "job": ("job", {"currency": "EUR"}, None),
}  # fmt: skip
"""Tables of single keys, which are started by their first key."""

NAMED = {
    "mix": (
        "mixes",
        "backer-45",
        {"aggregate": "silica-sand = 0.6\ncoated-eps-bead = 0.4"},
        {"based_on": "backer-45", "aggregate": {"silica-sand": 0.6, "coated-eps-bead": 0.4}},
    ),
    "material": ("materials", "silica-sand", {"moisture": "0.03"}, {"moisture": 0.03}),
    "lot": ("lots", "white-cement", {"": "24-118"}, "24-118"),
    "reserve": ("reserve", "white-cement", {"": "47 lb"}, "47 lb"),
    "stock": ("stock", "white-cement", {"mass": "60 lb"}, {"mass": "60 lb"}),
}
"""Tables whose entries have names: a name of the catalog starts from it."""


def stands(shop: Path, at: str) -> Any:
    found = tomllib.loads((shop / "hill" / "job.toml").read_text("utf-8"))
    for key in filter(None, at.split("/")):
        found = found[int(key)] if key.isdecimal() else found[key]
    return found


def save(page: TestClient, at: str, act: str, typed: dict[str, str], prefix: str, **more: str) -> None:
    sent = {f"{prefix}/{key}" if key else prefix: text for key, text in typed.items()}
    answer = page.post(SHEET, data={"at": at, "act": act, **sent, **more})
    assert answer.status_code == 200, answer.text.partition('role="alert">')[2].partition("<")[0]


EITHER: dict[str, tuple[str, Any]] = {
    "workshop/thickness_tolerance": ("1/16 in", "1/16 in"),
    "workshop/loading_order": ("liquids-first", "liquids-first"),
    "business/terms": ('Prices hold.\n{ text = "Use trivets.", uses = ["counter"] }',
                       ["Prices hold.", {"text": "Use trivets.", "uses": ["counter"]}]),
    "piece/0/shape/raw_edges": ('left\n{ edge = 3, from = "4 in", to = "20 in" }',
                                ["left", {"edge": 3, "from": "4 in", "to": "20 in"}]),
}  # fmt: skip
"""Keys that take one of several forms: what is typed, and what then stands in the file."""


@pytest.mark.parametrize("at", EITHER)
def test_a_key_of_several_forms_takes_each_and_shows_it_as_typed(page: TestClient, shop: Path, at: str) -> None:
    text, held = EITHER[at]
    above = at.rpartition("/")[0]
    save(page, above, "save", {"": text}, at)
    assert stands(shop, at) == held
    fields = {field.at: field for field in fields_of(path_of(above), stands(shop, "")) if isinstance(field, Field)}
    assert fields[at].text == text
    assert typed(text, fields[at]) == held


def test_several_forms_of_a_list_read_as_typed() -> None:
    table = {"drawing": [{"file": "a.dxf"}], "piece": [{"shape": {"kind": "extrusion", "profile": [["0 in", "1 in"]]}}]}

    def field(at: str) -> Field:
        found = (each for each in fields_of(path_of(at)[:-1], table) if each.at == at)
        return next(each for each in found if isinstance(each, Field))

    assert typed("order", field("drawing/0/marks")) == "order"
    assert typed("TEXT\nLABELS", field("drawing/0/marks")) == ["TEXT", "LABELS"]
    assert typed("hand = 1/8 in", field("workshop/thickness_tolerance")) == {"hand": "1/8 in"}
    assert field("piece/0/shape/profile").kind == "points"
    with refusal("is not a table"):
        typed("{ edge = ", Field("", "", "", "list", "", ""))


@pytest.mark.parametrize("name", ENTRIES)
def test_an_entry_of_a_list_is_added_changed_and_removed(page: TestClient, shop: Path, name: str) -> None:
    at, typed, held = ENTRIES[name]
    kind = {"kind": typed["kind"]} if "kind" in typed else {}
    screen = page.get(SHEET, params={"at": at, "new": "", **kind}).text
    assert all(f'name="{at}/0/{key}"' in screen for key in typed if key != "kind")
    save(page, at, "add", typed, f"{at}/0", **kind)
    assert stands(shop, f"{at}/0") == (held or typed)
    assert f'value="{at}/0"' in page.get(SHEET, params={"at": f"{at}/0"}).text
    save(page, f"{at}/0", "remove", {}, "")
    with pytest.raises((KeyError, IndexError)):
        stands(shop, f"{at}/0")


@pytest.mark.parametrize("name", VALUES)
def test_a_table_is_started_by_its_first_key(page: TestClient, shop: Path, name: str) -> None:
    at, typed, held = VALUES[name]
    screen = page.get(SHEET, params={"at": at}).text
    assert all(f'name="{at}/{key}"' in screen for key in typed)
    save(page, at, "save", typed, at)
    found = stands(shop, at)
    assert {key: found[key] for key in typed} == (held or typed)


@pytest.mark.parametrize("name", NAMED)
def test_an_entry_with_a_name_is_added_over_the_catalog(page: TestClient, shop: Path, name: str) -> None:
    at, key, typed, held = NAMED[name]
    assert f'<option value="{key}">' in page.get(SHEET, params={"at": at, "new": ""}).text
    save(page, at, "add", typed, f"{at}/{key}", key=key)
    assert stands(shop, f"{at}/{key}") == held
    assert page.get(SHEET, params={"at": f"{at}/{key}"}).status_code == 200
    save(page, f"{at}/{key}", "remove", {}, "")
    assert not tomllib.loads((shop / "hill" / "job.toml").read_text("utf-8")).get(at)


def test_a_layer_is_added_and_its_thickness_changed(page: TestClient, shop: Path) -> None:
    at = "piece/0/layers"
    save(page, at, "add", {"mix": "backer-45", "method": "hand"}, f"{at}/0")
    save(page, at, "add", {"mix": "face", "thickness": "1/8 in", "method": "spray"}, f"{at}/1")
    save(page, f"{at}/1", "save", {"thickness": "3/16 in"}, f"{at}/1")
    assert [layer["mix"] for layer in stands(shop, at)] == ["backer-45", "face"]
    assert stands(shop, f"{at}/1/thickness") == "3/16 in"


@pytest.mark.parametrize("units", ["imperial", "metric"])
def test_examples_and_defaults_are_in_the_units_of_the_job(units: str) -> None:
    table = {"job": {"units": units}, "piece": [{"mark": "C1", "shape": {"kind": "slab"}}]}
    other = SYSTEMS["metric" if units == "imperial" else "imperial"] - {"m", "t"}  # these are words too
    paths = [("piece", 0), ("piece", 0, "shape"), ("site",), ("stock",), ("mixes", "backer-45"), ("bucket",)]
    paths += [("workshop", section) for section in ("transport", "handling", "labour", "sizes", "curing", "forms")]
    for path in paths:
        for entry in fields_of(path, table):
            example = entry.example if isinstance(entry, Field) else ""
            for number, unit in re.findall(r"([\d.]+) (\S+)", f"{example} {entry.help}"):
                kept = unit.strip('".,') == "m^2/kg"  # fineness of a cement
                assert kept or not set(re.findall(r"°?[A-Za-z]+", unit)) & other, (path, entry.label, number, unit)


def test_a_default_of_the_shop_is_that_of_the_system_of_the_job() -> None:
    for units, width in (("imperial", "10 in"), ("metric", "250 mm")):
        fields = fields_of(("workshop", "handling"), {"job": {"units": units}})
        [pad] = [field for field in fields if isinstance(field, Field) and field.at.endswith("/vacuum_cup")]
        assert (pad.example, f"Default: {width}." in pad.help) == (width, True)


def test_the_site_of_a_client_is_an_address_and_its_example_is_cut_out_whole() -> None:
    fields = {field.label: field for field in fields_of(("client",), {}) if isinstance(field, Field)}
    assert "Site address" in fields
    assert fields["Contact"].help == "Contact for the job, one line each. If left out: none is printed."


@pytest.mark.parametrize(("language", "label"), [("en-US", "Miter left"), ("en-GB", "Mitre left")])
def test_a_field_is_named_in_the_spelling_of_the_job(language: str, label: str) -> None:
    run = {"kind": "extrusion", "length": "8 ft", "profile": [["0 in", "0 in"], ["4 in", "0 in"], ["4 in", "2 in"]]}
    table = {"job": {"language": language}, "piece": [{"mark": "M1", "shape": run}]}
    fields = {field.label for field in fields_of(("piece", 0, "shape"), table)}
    assert label in fields


def test_every_key_of_the_schema_has_an_entry() -> None:
    """Walks the schema, and at each table asks the page for its fields."""
    left_out, seen = [], set[tuple[str, ...]]()

    def below(node: dict[str, Any], path: tuple[str | int, ...], table: dict[str, Any]) -> None:
        shown = {path_of(entry.at)[-1]: entry for entry in fields_of(path, table)}
        for key in node.get("properties", {}):
            spelled_twice = american(key) != key and american(key) in node["properties"]
            spelled_twice |= key == "sides" and "edges" in node["properties"]
            if key not in shown and not spelled_twice:
                left_out.append((*path, key))
            entry = shown.get(key)
            if not isinstance(entry, Group):
                continue
            at: tuple[str | int, ...] = (*path, key, 0) if entry.is_list else (*path, key)
            named = is_named((*path, key), table)
            at = (*at, "own") if named else at
            for kind in kinds_at(at, table) or [""]:
                inner = planted(table, at, {"kind": kind} if kind else {})
                found = node_at(at, inner)
                name = (key, kind, *sorted(found.get("properties", {})))
                if name not in seen and found.get("properties"):
                    seen.add(name)
                    below(found, at, inner)

    below(schema(), (), {"job": {}})
    assert left_out == []
    assert len(seen) > 90


def planted(table: dict[str, Any], at: tuple[str | int, ...], value: Any) -> dict[str, Any]:
    """The table with a value at a path."""
    whole = deepcopy(table)
    part: Any = whole
    for key, after in pairwise(at):
        empty: Any = [] if isinstance(after, int) else {}
        if isinstance(key, int):
            part.extend({} for _ in range(key + 1 - len(part)))
            part = part[key]
        else:
            part = part.setdefault(key, empty)
    if isinstance(at[-1], int):
        part.append(value)
    else:
        part[at[-1]] = value
    return whole


def choices_in(node: Any) -> Iterator[tuple[str, str]]:
    """Keys of the schema that allow certain words alone, each with one of them."""
    if isinstance(node, dict):
        for key, part in node.get("properties", {}).items():
            for variant in _variants(_followed(part)):
                yield from ((key, word) for word in variant.get("enum", ()) if isinstance(word, str))
        for part in node.values():
            yield from choices_in(part)
    elif isinstance(node, list):
        for part in node:
            yield from choices_in(part)


OF_A_STANDARD = {"currency", "unit"}  # codes that the trade reads as they are


def test_every_choice_is_in_words_of_the_trade() -> None:
    found = {(key, word) for key, word in choices_in(schema()) if key not in OF_A_STANDARD}
    assert {("method", "pour"), ("hung_from", "machine"), ("risk", "thin-railed")} <= found
    kinds = {("kind", kind) for path in (("piece", 0, "shape"), ("piece", 0, "shape", "cutouts", 0)) for kind in
             kinds_at(path, {"piece": [{"shape": {"kind": "slab", "cutouts": [{}]}}]})}  # fmt: skip
    assert ("kind", "revolution") in kinds
    said = {(key, word): PLAIN("page-choice", choice=word, key=key) for key, word in found | kinds}
    for (key, word), text in said.items():
        assert text != word, key
        assert text[:1].isupper() or text[:1].isdigit(), (key, word, text)
        assert "_" not in text
        alike = [other for other in said if other[0] == key and said[other] == text]
        assert len({american(other) for _, other in alike}) == 1, (key, alike)


def test_a_choice_is_shown_in_words_and_kept_as_the_file_writes_it(page: TestClient, shop: Path) -> None:
    job = shop / "hill" / "job.toml"
    job.write_text(job.read_text("utf-8") + '\n[[piece.layers]]\nmix = "backer-45"\nmethod = "spray"\n', "utf-8")
    text = page.get("/jobs/hill/sheet?at=piece/1/layers/0").text
    assert '<option value="spray" selected>Sprayed</option>' in text
    assert '<option value="hand">By hand</option>' in text
    assert "Default: &#34;By hand&#34;." in text
