"""The first job of a new user, from an empty folder to a piece in hand, by what the screens offer alone.

One command, and nothing read: a kitchen is quoted from its drawing at the desk, sent, and accepted on the client's own
phone; its first batch is mixed on a phone without a network, and a piece is weighed by the code on its label.
"""

from __future__ import annotations

import base64
import time
from collections import Counter
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from estimator import estimate, load_job
from estimator.report.papers.labels import code_text
from estimator.store.records import records_of
from tests.page.test_browser import Server, browser, opened, sync_api, tab

__all__ = ["browser", "tab"]

KITCHEN = Path(__file__).parents[2] / "examples" / "kitchen" / "kitchen.dxf"
LETTER_S, ACT_S, MOST_S = 0.12, 1.2, 180.0
"""A slow typist, who looks before each act: 100 letters a minute are 8 a second less than a practiced one."""

DROP = """([name, content]) => {
  const bytes = Uint8Array.from(atob(content), (letter) => letter.charCodeAt(0));
  const dataTransfer = new DataTransfer();
  dataTransfer.items.add(new File([bytes], name));
  for (const kind of ["dragover", "drop"])
    document.body.dispatchEvent(new DragEvent(kind, { dataTransfer, bubbles: true, cancelable: true }));
}"""
expect = sync_api.expect


@pytest.fixture
def empty_shop(tmp_path: Path) -> Iterator[Server]:
    """The page over a folder without a job."""
    server = Server(tmp_path)
    yield server
    server.process.kill()
    server.process.communicate()


class Person:
    """A person at a desk, who takes time to look and to type."""

    def __init__(self, tab: Any) -> None:
        self.tab = tab

    def look(self) -> None:
        self.tab.wait_for_timeout(1000 * ACT_S)

    def click(self, role: str, name: str) -> None:
        self.look()
        self.tab.get_by_role(role, name=name, exact=True).first.click()

    def choose(self, label: str) -> None:
        self.look()
        self.tab.get_by_label(label).check()

    def type(self, label: str, text: str) -> None:
        self.type_into(self.tab.get_by_label(label), text)

    def type_into(self, field: Any, text: str) -> None:
        self.look()
        field.fill("")
        field.press_sequentially(text, delay=1000 * LETTER_S)

    def drop(self, path: Path) -> None:
        """Drops a file on the page, wherever the pointer is."""
        self.look()
        self.tab.evaluate(DROP, [path.name, base64.b64encode(path.read_bytes()).decode()])


def quoted(person: Person, address: str) -> tuple[str, str, str]:
    """Quotes the kitchen from its drawing; returns the client's link, its code, and the total."""
    tab = person.tab
    tab.goto(address)
    person.drop(KITCHEN)
    tab.wait_for_url("**/drafts/*")
    person.choose("drawn in inches")
    person.choose("Drop edge")
    for size, text in (("height", "2 in"), ("thickness", "1 in")):
        person.type_into(tab.locator(f'[name="edges/0/0/drop/{size}"]'), text)
    person.type("Job name", "Alder Street")
    person.type("Thickness of the drawn pieces", "1 in")
    person.look()
    tab.get_by_label("Use").select_option("Counter")
    person.click("button", "Make the job")
    tab.wait_for_url("**/jobs/alder-street")
    marks = tab.locator(".pc .mk").all_inner_texts()
    assert [mark.split()[0] for mark in marks] == ["K1", "K2", "K3", "B1", "S1"]
    total = tab.locator('[data-f="total"]').inner_text()
    person.click("link", "Send the quote")
    person.click("link", "Enter the client")
    person.type("Name", "The Alder Street house")
    person.click("button", "Save")
    tab.wait_for_url("**/sheet?at=client")
    person.click("link", "Client")
    person.click("button", "Make a link to this quote")
    return tab.locator("#link").inner_text(), tab.locator("#code").inner_text(), total


def accepted(client: Any, link: str, code: str, total: str) -> None:
    """Accepts the quote on the client's own phone, which is sent no cost of the shop."""
    client.goto(link)
    client.get_by_label("Access code").fill(code)
    client.get_by_role("button", name="Open the quote").click()
    expect(client.get_by_text("The Alder Street house")).to_be_visible()
    expect(client.get_by_text(total).first).to_be_visible()
    assert "irect cost" not in client.content()
    client.get_by_label("Your name").fill("Invented Client")
    pad = client.locator("#pad")
    pad.scroll_into_view_if_needed()
    box = pad.bounding_box()
    client.mouse.move(box["x"] + 20, box["y"] + 40)
    client.mouse.down()
    for step in range(1, 8):  # a line, like a finger's
        client.mouse.move(box["x"] + 20 + 25 * step, box["y"] + 40 - 15 * (step % 2))
    client.mouse.up()
    client.get_by_label("I accept this quote").check()
    client.get_by_role("button", name="Accept and send").click()
    expect(client.get_by_text("Accepted. Thank you.")).to_be_visible()
    expect(client.get_by_role("img", name="Signature")).to_be_visible()


def released(tab: Any) -> None:
    """Releases the job at the desk, once the client's answer is in."""
    tab.reload()
    expect(tab.get_by_text("Accepted by Invented Client")).to_be_visible()
    tab.get_by_role("link", name="Release").first.click()
    tab.get_by_role("button", name="Release").click()
    expect(tab.locator("#released")).to_be_visible()


def mixed(phone: Any, job: Path, address: str) -> None:
    """Mixes the first batch without a network; the shop has all of it once the network is back, each entry once."""
    phone.goto(f"{address}/phone")
    phone.get_by_role("link", name="Mixer").click()
    phone.get_by_role("link", name="Start weighing").click()
    phone.locator("button.big").wait_for()
    phone.context.set_offline(True)
    while not phone.get_by_role("link", name="Density check").count():
        phone.locator("button.big").click()
        phone.wait_for_timeout(120)
    phone.get_by_role("link", name="Density check").click()
    phone.locator(".pm .in").fill("60")
    phone.get_by_role("button", name="Keep this weight").click()
    expect(phone.locator(".off")).to_contain_text("Offline.")
    assert records_of(job).of("batch") == ()
    phone.context.set_offline(False)
    expect(phone.locator(".off")).to_have_count(0)
    for _ in range(100):
        if records_of(job).of("bucket"):
            break
        phone.wait_for_timeout(100)
    (batch,), (_,) = records_of(job).of("batch"), records_of(job).of("bucket")
    by_step = {record.values["step"]: record.values for record in records_of(job).of("weighing")}
    weighed = Counter[str]()
    for values in by_step.values():
        weighed[values["material"]] += values["mass_kg"]
    assert batch.values["masses_kg"] == pytest.approx(dict(weighed))


def weighed_by_label(desk: Any, phone: Any, job: Path, address: str) -> None:
    """Prints the labels at the desk; the code on one opens its piece on a phone, typed or scanned."""
    sheet = desk.request.get(f"{address}/jobs/alder-street/papers/labels.pdf").body()
    printed = [page.extract_text() for page in PdfReader(BytesIO(sheet)).pages]
    planned = estimate(load_job(job)).result
    piece = next(piece for piece in planned.pieces if piece.taken.piece.mark == "K3")
    [at] = [number for number, text in enumerate(printed) if "K3" in text]
    for scanned in (False, True):
        if scanned:
            phone.goto(code_text("K3", f"{address}/crew/alder-street/", planned.job.revision or ""))
        else:
            phone.goto(f"{address}/phone")
            phone.get_by_role("link", name="Crew").click()
            phone.get_by_label("Code on the label").fill("K3")
            phone.get_by_role("button", name="Show the piece").click()
        shown = phone.locator("#carry .huge").inner_text().split("lb")[0].strip()
        assert 0.0 <= float(shown) - piece.weight.lift_kg / 0.45359237 < 1.0
        assert f"{shown}\N{NO-BREAK SPACE}lb" in printed[at] or f"{shown} lb" in printed[at]


def test_a_new_user_quotes_casts_and_weighs_a_kitchen_from_an_empty_folder(
    empty_shop: Server, browser: Any, tab: Any
) -> None:
    tab.set_default_timeout(1000 * MOST_S)
    begun, address = time.monotonic(), empty_shop.address
    link, code, total = quoted(Person(tab), address)
    assert time.monotonic() - begun < MOST_S
    with opened(browser, 390, 844) as client:
        accepted(client, link, code, total)
    released(tab)
    job = empty_shop.folder / "alder-street" / "job.toml"
    with opened(browser, 390, 844) as phone:
        mixed(phone, job, address)
        weighed_by_label(tab, phone, job, address)
    tab.goto(f"{address}/jobs/alder-street/density")
    expect(tab.get_by_role("heading", name="Density checks")).to_be_visible()
    expect(tab.get_by_text("No density check yet")).to_have_count(0)
