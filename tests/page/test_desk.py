"""Jobs listed, made, copied and archived; entries changed in their file, one line per change."""

import difflib
import re
import tomllib
from html import unescape
from io import BytesIO
from pathlib import Path
from typing import Any
from zipfile import ZipFile

import pytest
from PIL import Image
from starlette.testclient import TestClient

from estimator import load_job
from estimator.page.app import app_for
from estimator.report.pack import PAPERS
from estimator.scratch import PREFIX
from estimator.store import open_store
from estimator.store.people import changes_of
from tests.page.conftest import JOB, ORIGIN

LENGTH = "piece/0/shape/length"


def change(page: TestClient, text: str, at: str = LENGTH, was: str = "72 in", **more: Any) -> Any:
    asked = {"at": at, "text": text, "was": was, "mark": "C1", "fields": [LENGTH, "piece/0/finish"]} | more
    return page.post("/jobs/hill/change", json=asked)


def file_of(shop: Path) -> str:
    return (shop / "hill" / "job.toml").read_text("utf-8")


def changed_lines(shop: Path) -> list[str]:
    lines = difflib.ndiff(JOB.splitlines(), file_of(shop).splitlines())
    return [line for line in lines if line[0] in "+-"]


def test_the_list_shows_each_job_and_finds_it_by_name_client_mark_and_mix(page: TestClient) -> None:
    for search in ("", "hill", "HOUSE", "c2", "backer"):
        assert "Hill house" in page.get("/", params={"search": search}).text
    assert "Hill house" not in page.get("/", params={"search": "granite"}).text


def test_a_changed_size_changes_one_line_and_all_figures_follow(page: TestClient, shop: Path) -> None:
    before = page.get("/jobs/hill").text
    answer = change(page, "8 ft")
    assert answer.status_code == 200
    assert changed_lines(shop) == [
        '- shape = { kind = "slab", length = "72 in", width = "25-1/2 in", thickness = "1 in" }',
        '+ shape = { kind = "slab", length = "8 ft", width = "25-1/2 in", thickness = "1 in" }',
    ]
    state = answer.json()
    assert state["values"] == {LENGTH: "8 ft", "piece/0/finish": ""}  # of the fields that the screen has
    assert state["figures"]["lift"] not in before
    shown = page.get("/jobs/hill").text
    for text in (state["figures"]["lift"], state["figures"]["total"], state["drawing"]["box"]):
        assert text in shown


@pytest.mark.parametrize(
    ("text", "said"), [("72", "unit"), ("-3 in", "negative"), ("five feet", "five feet"), ("0 in", "0")]
)
def test_an_invalid_entry_is_refused_in_words_and_nothing_is_saved(
    page: TestClient, shop: Path, text: str, said: str
) -> None:
    answer = change(page, text)
    assert answer.status_code == 422
    assert answer.json()["problem"].startswith("Length: ")  # the screen has no job file to look it up in
    assert said in answer.json()["problem"]
    assert file_of(shop) == JOB


def test_a_size_that_is_deleted_is_missing_by_the_name_of_its_field(page: TestClient, shop: Path) -> None:
    assert change(page, "").json()["problem"] == "Length is missing."
    assert file_of(shop) == JOB


def test_a_size_refused_in_a_form_is_told_by_the_name_of_its_field(page: TestClient) -> None:
    seam = {"at": "piece/0/seams", "act": "add", "piece/0/seams/0/x": "40 1/2"}
    sheet = page.post("/jobs/hill/sheet", data=seam).text
    assert "X: &#34;40 1/2&#34; has no unit. Write &#34;40-1/2 in&#34;." in sheet
    seam |= {"piece/0/seams/0/x": ""}
    assert 'alert">Seams: needs one place' in page.post("/jobs/hill/sheet", data=seam).text
    piece = {"kind": "slab", "length": "1600", "width": "24 in", "thickness": "1 in", "mark": "C9"}
    assert "Length: &#34;1600&#34; has no unit." in page.post("/jobs/hill/add", data=piece).text
    job = piece | {"title": "Shed", "units": "metric", "mark": ""}
    assert "Length: &#34;1600&#34; has no unit. Write &#34;1600 mm&#34;." in page.post("/new", data=job).text


def test_a_part_is_edited_by_the_entries_of_its_piece(page: TestClient, shop: Path) -> None:
    job = shop / "hill" / "job.toml"
    fall = 'thickness = "1 in", waterfalls = [{ edges = ["right"], height = "30 in", glued = "site" }] }'
    seam = fall + '\nseams = [{ x = "40 in" }]'
    job.write_text(JOB[::-1].replace('thickness = "1 in" }'[::-1], seam[::-1], 1)[::-1], encoding="utf-8")
    for mark in ("C2", "C2a", "C2b", "C2-W1"):  # the mark of the whole leads to its first part
        shown = page.get(f"/jobs/hill/pieces/{mark}").text
        assert "is a part of C2. These are the entries of C2." in shown
        assert 'data-at="piece/1/seams/0/x" value="40 in"' in shown
        assert "Copy C2<" in shown
    assert 'data-mark="C2a"' in page.get("/jobs/hill/pieces/C2").text
    answer = change(page, "20 in", "piece/1/seams/0/x", "40 in", mark="C2a", fields=["piece/1/seams/0/x"])
    assert next(row["size"] for row in answer.json()["pieces"] if row["mark"] == "C2a").startswith("20")


def test_another_entry_changed_in_the_meantime_merges_and_the_same_one_is_asked_about(
    page: TestClient, shop: Path
) -> None:
    page.get("/jobs/hill")
    (shop / "hill" / "job.toml").write_text(
        JOB.replace('"72 in"', '"70 in"').replace("quantity = 2", "quantity = 3"), "utf-8"
    )
    assert change(page, "26 in", "piece/0/shape/width", "25-1/2 in").status_code == 200
    assert 'length = "70 in", width = "26 in"' in file_of(shop)
    assert "quantity = 3" in file_of(shop)
    answer = change(page, "74 in")
    assert (answer.status_code, answer.json()["theirs"], answer.json()["yours"]) == (409, "70 in", "74 in")
    assert change(page, "74 in", was="70 in").status_code == 200


def test_undo_restores_the_file_byte_for_byte_and_never_overwrites_another_editor(page: TestClient, shop: Path) -> None:
    change(page, "8 ft")
    change(page, "3", "piece/1/quantity", "2")
    for _ in range(2):
        assert page.post("/jobs/hill/undo", json={"mark": "C1"}).status_code == 200
    assert file_of(shop) == JOB
    assert page.post("/jobs/hill/undo", json={}).status_code == 422
    change(page, "8 ft")
    (shop / "hill" / "job.toml").write_text(JOB.replace("C2", "C3"), encoding="utf-8")
    assert page.post("/jobs/hill/undo", json={}).status_code == 422
    assert "C3" in file_of(shop)


UNDO = re.compile(
    r'id="undo"[^>]*?(aria-disabled|data-of-other)?(?:="true")?>Undo</button> .*?id="undo-what">(.*?)</span>'
)


def undo_shown(page: TestClient) -> tuple[str, str]:
    found = UNDO.search(page.get("/jobs/hill").text)
    assert found
    return found[1] or "", unescape(found[2])


def test_undo_says_what_it_takes_back(page: TestClient) -> None:
    assert undo_shown(page) == ("aria-disabled", "")
    answer = change(page, "8 ft")
    assert answer.json()["undo"] == {"text": "C1 › Length: 8 ft → 72 in", "of_other": False}
    assert undo_shown(page) == ("", "C1 › Length: 8 ft → 72 in")
    sheet = {"at": "piece/1", "act": "save", "piece/1/color": "sand", "piece/1/note": "by the door"}
    page.post("/jobs/hill/sheet", data=sheet)
    assert undo_shown(page)[1] == "C2 › Color: sand → –, and 1 more"
    page.post("/jobs/hill/sheet", data={"at": "piece/1", "act": "remove"})
    assert undo_shown(page)[1] == "C2 taken out"
    shelf = {"kind": "slab", "length": "4 ft", "width": "1 ft", "thickness": "1 in", "mark": "S7", "use": "other"}
    page.post("/jobs/hill/add", data=shelf)
    assert undo_shown(page)[1] == "S7 added"
    change(page, "back", "piece/0/shape/raw_edges", "")
    assert undo_shown(page)[1] == "C1 › Raw edges: back → –"
    way = {"way": "1", "accept": "yes"}  # seams, as a list
    page.post("/jobs/hill/liftable/C1", data=way)
    assert undo_shown(page)[1] == "C1 › Seams added"


def test_undo_takes_back_only_what_the_screen_named(page: TestClient, shop: Path) -> None:
    shown = change(page, "8 ft").json()["digest"]
    change(page, "3", "piece/1/quantity", "2")  # somebody else, whom the first screen does not show yet
    before = file_of(shop)
    answer = page.post("/jobs/hill/undo", json={"mark": "C1", "digest": shown})
    assert answer.status_code == 422
    assert answer.json()["problem"] == "Somebody else changed the job meanwhile. Read what Undo takes back now."
    assert file_of(shop) == before


def test_after_a_restart_entries_are_undone_by_the_log_one_by_one(page: TestClient, shop: Path) -> None:
    change(page, "8 ft")
    change(page, "3", "piece/1/quantity", "2")
    change(page, "honed", "piece/0/finish", "")
    with TestClient(app_for(shop), base_url=ORIGIN, headers={"origin": ORIGIN}) as restarted:
        for left in ("C1 › Finish: honed → –", "C2 › Quantity: 3 → 2", "C1 › Length: 8 ft → 72 in"):
            assert undo_shown(restarted) == ("", left)
            assert restarted.post("/jobs/hill/undo", json={"mark": "C1"}).status_code == 200
        assert undo_shown(restarted) == ("aria-disabled", "")
        assert restarted.post("/jobs/hill/undo", json={}).status_code == 422
    assert tomllib.loads(file_of(shop)) == tomllib.loads(JOB)


def test_what_was_written_elsewhere_is_not_undone_by_the_log(page: TestClient, shop: Path) -> None:
    change(page, "8 ft")
    (shop / "hill" / "job.toml").write_text(JOB.replace('"72 in"', '"9 ft"'), encoding="utf-8")
    with TestClient(app_for(shop), base_url=ORIGIN, headers={"origin": ORIGIN}) as restarted:
        assert undo_shown(restarted) == ("aria-disabled", "")
        assert restarted.post("/jobs/hill/undo", json={}).status_code == 422
    assert '"9 ft"' in file_of(shop)


def test_an_undo_stands_among_the_changes(page: TestClient, shop: Path) -> None:
    change(page, "8 ft")
    page.post("/jobs/hill/undo", json={"mark": "C1"})
    store = open_store(shop)
    noted = [(entry.what, entry.was, entry.becomes) for entry in changes_of(store, shop / "hill" / "job.toml")]
    assert noted == [(LENGTH, "8 ft", "72 in"), (LENGTH, "72 in", "8 ft")]


def test_an_unknown_key_is_no_entry(page: TestClient, shop: Path) -> None:
    for at in ("piece/0/weight", "piece/9/mark", "nothing", "job", "piece/0/shape", ""):
        assert change(page, "1", at, "").status_code in (404, 422)
    assert file_of(shop) == JOB


def test_a_new_job_comes_from_one_typed_piece(page: TestClient, shop: Path) -> None:
    given = {
        "title": "Lake Café",
        "units": "imperial",
        "mark": "V1",
        "length": "4 ft",
        "width": "22-1/2 in",
        "thickness": "1 in",
    }
    answer = page.post("/new", data=given, follow_redirects=False)
    assert answer.headers["location"] == "/jobs/lake-café".encode().decode("latin-1") or answer.status_code == 303
    (made,) = [path for path in shop.rglob("job.toml") if path.parent.name.startswith("lake")]
    job = load_job(made)
    assert (job.name, [piece.mark for piece in job.pieces]) == ("Lake Café", ["V1"])
    assert "V1" in page.get(answer.headers["location"]).text


@pytest.mark.parametrize("wrong", [{"length": "48"}, {"title": ""}, {"thickness": "0 in"}, {"units": "parsecs"}])
def test_an_invalid_new_job_is_not_written(page: TestClient, shop: Path, wrong: dict[str, str]) -> None:
    given = {
        "title": "Lake",
        "units": "imperial",
        "mark": "V1",
        "length": "4 ft",
        "width": "22 in",
        "thickness": "1 in",
    }
    answer = page.post("/new", data=given | wrong)
    assert answer.status_code == 422
    assert [path.name for path in shop.iterdir() if path.name[0] != "."] == ["hill"]
    assert [path.name for path in shop.iterdir() if path.is_dir()] == ["hill"]


@pytest.mark.parametrize("folder", ["Smith #2", "100% done", "A & B?", "O'Neil <i>", "Ünï\\cødé", "a~23"])
def test_a_folder_of_any_name_is_a_job_that_opens(page: TestClient, shop: Path, folder: str) -> None:
    for other, title in ((folder, "Odd job"), ("a#", "Other job")):
        (shop / other).mkdir()
        (shop / other / "job.toml").write_text(JOB.replace("Hill house", title), encoding="utf-8")
    paths = set(map(unescape, re.findall('href="(/jobs/[^/"]+)"', page.get("/").text)))
    assert len(paths) == 3  # one each, though "a~23" and "a#" read alike in an address
    (desk,) = (path for path in paths if "Odd job" in page.get(path).text)
    links = set(map(unescape, re.findall('href="(/[^"]*)"', page.get(desk).text)))
    assert len(links) > 20
    for link in links:
        assert page.get(link).status_code == 200, link
    assert page.post(f"{desk}/copy", data={"title": "Second"}).status_code == 200
    assert page.post(f"{desk}/archive").status_code == 200
    assert (shop / "archive" / folder / "job.toml").is_file()


@pytest.mark.parametrize("mark", ["#2", "50%?", "A/B", "K 1"])
def test_a_piece_of_any_mark_is_shown_once_it_is_added(page: TestClient, mark: str) -> None:
    sizes = {"length": "72 in", "width": "25 in", "thickness": "1 in"}
    answer = page.post("/jobs/hill/add", data={"kind": "slab", "mark": mark, "use": "counter", "quantity": "1"} | sizes)
    assert f'<h1 id="mark">{mark}</h1>' in answer.text


def test_a_job_may_be_called_archive(page: TestClient, shop: Path) -> None:
    new = {"title": "Archive", "units": "imperial", "length": "72 in", "width": "25 in", "thickness": "1 in"}
    assert page.post("/new", data=new).status_code == 200
    assert page.post("/jobs/hill/copy", data={"title": "archive!"}).status_code == 200
    assert not (shop / "archive").exists()
    assert [path.parent.name for path in sorted(shop.glob("job-*/job.toml"))] == ["job-archive", "job-archive-2"]


def test_a_copy_is_a_job_of_its_own_and_an_archived_one_is_kept(page: TestClient, shop: Path) -> None:
    (shop / "hill" / "note.txt").write_text("beside it", encoding="utf-8")
    page.post("/jobs/hill/copy", data={"title": "Hill house, second bath"})
    assert file_of(shop) == JOB
    copy = shop / "hill-house-second-bath"
    assert load_job(copy / "job.toml").name == "Hill house, second bath"
    assert "# half the sand" in (copy / "job.toml").read_text("utf-8")
    assert (copy / "note.txt").read_text("utf-8") == "beside it"
    page.post("/jobs/hill/archive")
    assert "Hill house, second bath" in (text := page.get("/").text)
    assert 'href="/jobs/hill"' not in text
    assert (shop / "archive" / "hill" / "job.toml").read_text("utf-8") == JOB


def test_a_faulty_job_is_listed_with_its_faults(page: TestClient, shop: Path) -> None:
    (shop / "hill" / "job.toml").write_text(JOB.replace('"72 in"', '"72"'), encoding="utf-8")
    assert "shape.length" in page.get("/").text
    assert "shape.length" in page.get("/jobs/hill").text  # leads to all entries, where it can be fixed
    saved = page.post("/jobs/hill/sheet", data={"at": "piece/0/shape", "act": "save", LENGTH: "72 in"})
    assert saved.status_code == 200
    assert file_of(shop) == JOB


@pytest.mark.parametrize("name", [name for name in PAPERS if name.rpartition(".")[2] in ("pdf", "csv", "html", "json")])
def test_each_paper_can_be_opened(page: TestClient, name: str) -> None:
    answer = page.get(f"/jobs/hill/papers/{name}")
    assert answer.status_code == 200
    assert answer.content[:5] == b"%PDF-" or not name.endswith("pdf")
    assert answer.content


def test_orders_of_suppliers_and_drawings_of_forms_come_by_the_folder(page: TestClient, shop: Path) -> None:
    (shop / "hill").rename(shop / "hügel \N{CJK UNIFIED IDEOGRAPH-5C71}")
    for name in ("purchase-orders", "forms"):
        assert f"{name}.zip" in page.get("/jobs/hügel 山/papers").text
        answer = page.get(f"/jobs/hügel 山/papers/{name}.zip")
        with ZipFile(BytesIO(answer.content)) as packed:
            assert all(entry.startswith(f"{name}/") for entry in packed.namelist())
            assert packed.namelist()
        assert "%E5%B1%B1" in answer.headers["content-disposition"]


def test_all_papers_come_in_one_archive_that_is_the_same_each_time(page: TestClient) -> None:
    first, second = (page.get("/jobs/hill/papers/pack.zip").content for _ in range(2))
    assert first[:2] == b"PK"
    assert first == second


def test_a_figure_shows_its_working(page: TestClient) -> None:
    text = page.get("/jobs/hill/why", params={"figure": "pieces.C1.weight.lift_kg"}).text
    assert "density_tolerance" in text


def test_the_crew_sees_weight_people_and_a_warning_of_an_old_revision(page: TestClient, shop: Path) -> None:
    (shop / "hill" / "job.toml").write_text(JOB.replace("[client]", 'revision = "2"\n\n[client]', 1), encoding="utf-8")
    lift = page.get("/jobs/hill/pieces/C2").text.split('data-f="lift">')[1].split("<")[0]
    text = page.get("/crew/hill/C2?rev=1").text
    assert lift.split()[0] in text
    assert 'role="alert">Revised. Get revision 2 before you lift.' in text
    assert "hidden>Revised. Get revision 2 before you lift." in page.get("/crew/hill/C2?rev=2").text


def test_a_refused_size_leaves_nothing_behind(page: TestClient, shop: Path) -> None:
    before = sorted(path.name for path in (shop / "hill").iterdir())
    sent = {"at": "piece/0/shape/length", "text": "-4 in", "was": "72 in", "mark": "C1"}
    assert page.post("/jobs/hill/change", json=sent).status_code == 422
    assert sorted(path.name for path in (shop / "hill").iterdir()) == before


def test_a_new_job_takes_the_shop_prices_and_mixes_of_another(page: TestClient, shop: Path) -> None:
    first = shop / "hill" / "job.toml"
    Image.new("RGB", (30, 20)).save(shop / "hill" / "logo.png")
    (shop / "prices.toml").write_text("[price]\ntax = 0.05\n")
    own = (
        '\n[business]\nname = "Lakeside casting"\nlogo = "logo.png"\n[workshop.labour]\nrate = 61.0\n'
        "[price]\nmargin = 0.2\nadjustment = -50\nagreed = { price = 1, tax = 0 }\n"
        '[mixes.own]\nbased_on = "backer-45"\nair = 0.08\n'
    )
    text = first.read_text("utf-8").replace("[job]\n", '[job]\ncatalog = "../prices.toml"\n', 1)
    first.write_text(text + own, "utf-8")
    assert '<option value="hill" selected>' in page.get("/new").text
    new = {"title": "Second", "units": "imperial", "length": "60 in", "width": "24 in", "thickness": "1 in"}
    assert page.post("/new", data=new | {"like": "hill"}).status_code == 200
    made = load_job(shop / "second" / "job.toml")
    assert (made.business.name, made.workshop.labor.rate) == ("Lakeside casting", 61.0)
    assert (made.price.margin, made.price.tax, made.price.adjustment, made.price.agreed) == (0.2, 0.05, 0.0, None)
    assert (shop / "second" / "logo.png").is_file()
    assert made.client.name == ""
    assert [entry.name for entry in shop.iterdir() if entry.name.startswith(PREFIX)] == []
    assert page.post("/new", data=new | {"title": "Third", "like": "gone"}).status_code == 422
    assert not (shop / "third").exists()
