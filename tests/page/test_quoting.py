"""From an empty folder to a quote at the client's: a drawing is dropped, a few questions answered, a link sent."""

from __future__ import annotations

import base64
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

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

    def type(self, label: str, text: str) -> None:
        self.look()
        self.tab.get_by_label(label).fill("")
        self.tab.get_by_label(label).press_sequentially(text, delay=1000 * LETTER_S)


def drop(tab: Any, path: Path) -> None:
    """Drops a file on the page, wherever the pointer is."""
    tab.evaluate(DROP, [path.name, base64.b64encode(path.read_bytes()).decode()])


def test_a_kitchen_is_quoted_from_its_drawing_and_sent_in_three_minutes(
    empty_shop: Server, browser: Any, tab: Any
) -> None:
    tab.set_default_timeout(1000 * MOST_S)
    person, begun = Person(tab), time.monotonic()
    tab.goto(empty_shop.address)
    person.look()
    drop(tab, KITCHEN)
    tab.wait_for_url("**/drafts/*")
    person.look()
    tab.get_by_label("drawn in inches").check()
    person.look()
    tab.get_by_label("Drop edge").check()
    for size, text in (("height", "2 in"), ("thickness", "1 in")):
        person.look()
        tab.locator(f'[name="edges/0/0/drop/{size}"]').press_sequentially(text, delay=1000 * LETTER_S)
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
    link, code = tab.locator("#link").inner_text(), tab.locator("#code").inner_text()
    assert time.monotonic() - begun < MOST_S

    with opened(browser, 390, 844) as client:
        client.goto(link)
        client.get_by_label("Access code").fill(code)
        client.get_by_role("button", name="Open the quote").click()
        expect(client.get_by_text("The Alder Street house")).to_be_visible()
        expect(client.get_by_text(total).first).to_be_visible()
        assert "irect cost" not in client.content()
