"""Each screen of the desk in each state, light and dark, without a finding of axe-core; wide, narrow and enlarged."""

from __future__ import annotations

import re
from collections.abc import Iterator
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest

from tests.page.test_browser import Server, browser, opened, server, settled, sync_api
from tests.page.test_drafts import SQUARE
from tests.page.test_files import stl

__all__ = ["browser", "server"]

pytest.importorskip("axe_playwright_python")
AXE = files("axe_playwright_python").joinpath("axe.min.js").read_text("utf-8")
RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}
FINDINGS = """async (rules) => (await axe.run(document, rules)).violations.map(
  (found) => `${found.id}: ${found.nodes.map((node) => node.html.slice(0, 120)).join(" | ")}`)"""

DESK = "/jobs/hill"
SCREENS = (
    "/", "/?search=nothing", "/shop", "/new", "/people", DESK, f"{DESK}/add?kind=box", f"{DESK}/mix",
    f"{DESK}/liftable/C1", f"{DESK}/sheet", f"{DESK}/sheet?at=piece/0", f"{DESK}/sheet?at=mixes&new",
    f"{DESK}/sheet?at=piece/0/shape/cutouts&new", f"{DESK}/papers", f"{DESK}/client", f"{DESK}/changes",
    f"{DESK}/open/carry-untested?mark=C1", f"{DESK}/why?figure=cost.total", f"{DESK}/prices",
    f"{DESK}/sheet?at=piece/0/shape/drop_edges&new", "/nothing",
    f"{DESK}/sheet?at=option&new", f"{DESK}/versions?at=option/0&change=C1&more=shape/cutouts",
    f"{DESK}/add?at=option/0/add", f"{DESK}/coupons?mix=backer-45",
)  # fmt: skip


@pytest.fixture(params=["light", "dark"])
def tab(request: Any, browser: Any) -> Iterator[Any]:
    with opened(browser, 1280, 900) as tab:
        tab.emulate_media(color_scheme=request.param, reduced_motion="reduce")
        yield tab


def findings(tab: Any) -> list[str]:
    tab.evaluate(AXE)  # as the policy lets no script of another origin or in the page's text run
    return [str(found) for found in tab.evaluate(FINDINGS, RULES)]


def test_no_screen_has_a_finding(server: Server, tab: Any) -> None:
    for path in SCREENS:
        tab.goto(server.address + path)
        assert findings(tab) == [], path


def test_a_desk_with_a_problem_or_a_conflict_or_without_its_server_has_no_finding(server: Server, tab: Any) -> None:
    tab.goto(server.address + DESK)
    length = tab.get_by_label("Length", exact=True)
    length.fill("9")
    length.press("Enter")
    sync_api.expect(tab.locator("#problem")).to_be_visible()
    assert findings(tab) == []
    with opened(tab.context.browser, 1280, 900) as other:
        other.goto(server.address + DESK)
        theirs = other.get_by_label("Length", exact=True)
        theirs.fill("80 in")
        theirs.press("Enter")
        settled(other)
        sync_api.expect(theirs).not_to_have_attribute("aria-invalid", "true")
        other.wait_for_timeout(500)
    length.fill("81 in")
    length.press("Enter")
    sync_api.expect(tab.locator("#conflict")).to_be_visible()
    assert findings(tab) == []
    server.process.kill()
    server.process.communicate()
    tab.locator("#keep-yours").click()
    sync_api.expect(tab.locator("#live")).to_have_text("Offline. Changes are not saved.")
    assert findings(tab) == []


def test_what_opens_on_a_screen_and_what_is_wrong_on_it_has_none(server: Server, tab: Any, tmp_path: Path) -> None:
    tab.goto(server.address + DESK)
    tab.get_by_role("button", name="Turn in 3D").click()
    sync_api.expect(tab.locator("#solid .center")).to_have_attribute("style", re.compile("left"))
    assert findings(tab) == []
    tab.locator("h1").press("?")
    assert findings(tab) == []
    tab.keyboard.press("Escape")
    tab.goto(server.address)
    tab.get_by_text("More", exact=True).click()
    assert findings(tab) == []
    drawing = tmp_path / "island.csv"
    drawing.write_text(SQUARE)
    tab.goto(f"{server.address}/new")
    tab.locator("#drop input").set_input_files(drawing)
    tab.get_by_role("button", name="Read the files").click()
    tab.get_by_label("drawn in inches").check()
    assert findings(tab) == []
    tab.get_by_label("Thickness").fill("1")
    tab.locator("[name=use]").select_option("counter")
    tab.get_by_role("button", name="Make the job").click()
    sync_api.expect(tab.get_by_role("alert")).to_be_focused()
    assert findings(tab) == []


def test_no_screen_is_wider_than_its_window_at_four_hundred_percent(server: Server, tab: Any) -> None:
    tab.set_viewport_size({"width": 320, "height": 256})  # 1280 × 1024 at 400 %
    for path in SCREENS:
        tab.goto(server.address + path)
        assert tab.evaluate("document.documentElement.scrollWidth") <= 320, path


def test_a_released_job_and_its_change_orders_have_none(server: Server, tab: Any, shop: Path) -> None:
    job = shop / "hill" / "job.toml"
    job.write_text(job.read_text("utf-8").replace("[job]", '[job]\nstatus = "released"'), "utf-8")
    tab.goto(f"{server.address}{DESK}/orders")
    assert findings(tab) == []
    for number in ("1", "2"):
        tab.goto(server.address + DESK)
        length = tab.get_by_label("Length", exact=True)
        length.fill(f"7{number}-1/2 in")
        length.press("Enter")
        sync_api.expect(tab.locator("#order")).to_be_visible()
        assert findings(tab) == []
        if number == "1":
            tab.locator("#order-reason").fill("wider window")
            tab.locator("#order-reason").press("Enter")
            tab.wait_for_url("**/orders")
            assert findings(tab) == []
    tab.goto(f"{server.address}{DESK}/sheet?at=piece/0")
    tab.get_by_label("Finish").fill("honed")
    tab.get_by_role("button", name="Save").click()
    sync_api.expect(tab.get_by_role("button", name="Write the change order")).to_be_visible()
    assert findings(tab) == []


def test_the_file_of_the_shop_has_none(server: Server, tab: Any, shop: Path) -> None:
    (shop / "shop.toml").write_text("[price]\nmargin = 0.3\n", "utf-8")
    for path in ("/shop", "/jobs/~shop/sheet", "/jobs/~shop/sheet?at=price", "/jobs/~shop/prices"):
        tab.goto(server.address + path)
        assert findings(tab) == [], path
    tab.goto(f"{server.address}/shop")
    tab.get_by_role("button", name="Use it in this job: Hill house").click()
    sync_api.expect(tab.get_by_role("link", name="Hill house")).to_be_visible()
    assert findings(tab) == []
    tab.set_viewport_size({"width": 320, "height": 256})
    for path in ("/shop", "/jobs/~shop/prices"):
        tab.goto(server.address + path)
        assert tab.evaluate("document.documentElement.scrollWidth") <= 320, path


def test_the_files_of_a_job_and_a_newer_one_have_none(server: Server, tab: Any, shop: Path, tmp_path: Path) -> None:
    folder = shop / "hill"
    (folder / "block.stl").write_bytes(stl(24, 12, 6))
    piece = '\n[[piece]]\nmark = "B1"\nshape = { kind = "mesh", file = "block.stl", unit = "in" }\n'
    (folder / "job.toml").write_text((folder / "job.toml").read_text("utf-8") + piece)
    newer = tmp_path / "block.stl"
    newer.write_bytes(stl(610, 305, 152))
    tab.goto(f"{server.address}{DESK}/files")
    assert findings(tab) == []
    tab.get_by_label("Newer file for block.stl").set_input_files(newer)
    tab.get_by_role("button", name="Show what changes").click()
    sync_api.expect(tab.get_by_text("as another unit would make it")).to_be_visible()
    assert findings(tab) == []
    tab.get_by_label("drawn in millimeters").check()
    tab.get_by_role("button", name="Show what changes").click()
    sync_api.expect(tab.get_by_role("button", name="Use the newer file")).to_be_visible()
    assert findings(tab) == []
    tab.set_viewport_size({"width": 320, "height": 256})
    assert tab.evaluate("document.documentElement.scrollWidth") <= 320
    tab.get_by_role("button", name="Use the newer file").click()
    tab.wait_for_url("**/jobs/hill")


def test_a_password_page_and_a_release_have_none(server: Server, tab: Any) -> None:
    tab.goto(f"{server.address}/people")
    tab.get_by_label("Name").fill("Olive")
    tab.get_by_label("Password").fill("correct horse")
    with tab.expect_navigation():
        tab.get_by_role("button", name="Add").click()
    tab.goto(f"{server.address}/sign-in")
    assert findings(tab) == []
    tab.get_by_label("Password or access code").fill("wrong")
    tab.get_by_label("Password or access code").press("Enter")
    sync_api.expect(tab.get_by_role("alert")).to_be_focused()
    assert findings(tab) == []
    tab.get_by_label("Name").fill("Olive")
    tab.get_by_label("Password or access code").fill("correct horse")
    with tab.expect_navigation():
        tab.get_by_role("button", name="Sign in").click()
    for path in ("/people", "/password", "/phone"):
        tab.goto(server.address + path)
        assert findings(tab) == [], path
