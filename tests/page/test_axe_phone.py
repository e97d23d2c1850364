"""The screens of mixer, crew and client in each state without a finding of axe-core, light and dark, and at 400 %."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.page.test_axe import findings
from tests.page.test_browser import BROKEN, Server, browser, opened, server, sync_api

__all__ = ["browser", "server"]
expect = sync_api.expect


@pytest.fixture(params=["light", "dark"])
def phone(request: Any, browser: Any) -> Iterator[Any]:
    with opened(browser, 390, 844) as tab:
        tab.emulate_media(color_scheme=request.param, reduced_motion="reduce")
        yield tab


def is_fine(tab: Any, state: str) -> None:
    """No finding, no word broken at 360 px, and no wider than the window at 1280 px enlarged to 400 %."""
    assert findings(tab) == [], state
    tab.set_viewport_size({"width": 360, "height": 640})
    assert tab.evaluate(BROKEN) == [], state
    tab.set_viewport_size({"width": 320, "height": 640})
    assert tab.evaluate("document.documentElement.scrollWidth") <= 320, state
    tab.set_viewport_size({"width": 390, "height": 844})


@pytest.mark.parametrize("language", ["es", "de"])
def test_no_screen_of_the_crew_has_a_finding(server: Server, phone: Any, shop: Path, language: str) -> None:
    job = shop / "hill" / "job.toml"
    own = f'[job]\nrevision = "2"\ncrew_language = "{language}"'
    job.write_text(job.read_text("utf-8").replace("[job]", own), "utf-8")
    screens = ("/phone", "/crew/hill", "/crew/hill?code=zz", "/crew/hill/C1?rev=1", "/mixer/hill")
    for path in (*screens, "/crew/hill/C2#flip"):
        phone.goto(server.address + path)
        is_fine(phone, path)
    phone.context.set_offline(True)
    expect(phone.locator("#flip .off")).to_be_visible()
    is_fine(phone, "offline")
    phone.context.set_offline(False)


def test_no_screen_of_the_mixer_has_a_finding(server: Server, phone: Any) -> None:
    phone.goto(f"{server.address}/mixer/hill")
    is_fine(phone, "today")
    phone.get_by_role("link", name="Start weighing").click()
    expect(phone.get_by_role("link", name="Sack ran out")).to_be_visible()
    expect(phone.locator(".huge .u")).to_have_text("lb")
    is_fine(phone, "weigh")
    phone.get_by_role("link", name="Sack ran out").click()
    expect(phone.get_by_role("button", name="I have another sack")).to_be_visible()
    is_fine(phone, "sack")
    phone.get_by_label("on the scale").fill("5")
    is_fine(phone, "what a smaller batch weighs")
    phone.get_by_role("button", name="I have another sack").click()
    seen = set[str]()
    for _ in range(60):
        if phone.get_by_role("link", name="Density check").count():
            break
        if phone.locator(".stages").count() and "mixing" not in seen:
            seen.add("mixing")
            is_fine(phone, "mixing")
        phone.locator("button.big").press("Enter")
        phone.wait_for_timeout(120)
        expect(phone.locator("h1")).to_be_focused()  # also once the shop has the entry and the screen is drawn anew
    is_fine(phone, "done")
    phone.get_by_role("link", name="Density check").click()
    is_fine(phone, "density")
    phone.locator(".pm .in").fill("60")
    is_fine(phone, "density weighed")


def test_no_screen_of_the_client_has_a_finding(server: Server, phone: Any, browser: Any) -> None:
    with opened(browser, 1280, 900) as desk:
        desk.goto(f"{server.address}/jobs/hill/client")
        desk.get_by_role("button", name="Make a link to this quote").click()
        link, code = desk.locator("#link").inner_text(), desk.locator("#code").inner_text()
        phone.goto(link)
        is_fine(phone, "code")
        phone.get_by_label("Access code").fill("wrong")
        phone.get_by_role("button", name="Open the quote").click()
        expect(phone.get_by_role("alert")).to_be_visible()
        is_fine(phone, "wrong code")
        phone.get_by_label("Access code").fill(code)
        phone.get_by_role("button", name="Open the quote").click()
        expect(phone.get_by_label("Your name")).to_be_visible()
        is_fine(phone, "quote")
        phone.get_by_label("Your name").fill("Invented Client")
        phone.get_by_label("I accept this quote").check()
        phone.get_by_role("button", name="Accept and send").click()
        expect(phone.get_by_role("alert")).to_be_focused()
        is_fine(phone, "not signed")
        phone.get_by_label("My typed name").check()
        phone.get_by_role("button", name="Accept and send").click()
        expect(phone.locator("#accepted")).to_be_focused()
        is_fine(phone, "accepted")
        desk.goto(f"{server.address}/jobs/hill/client")
        desk.get_by_role("button", name="Withdraw").click()
        expect(desk.get_by_role("button", name="Withdraw")).to_have_count(0)
    phone.reload()
    is_fine(phone, "withdrawn")
