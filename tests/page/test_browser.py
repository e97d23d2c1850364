"""The page in a real browser: Debian's chromium, driven by playwright. Skipped where there is none, except in CI."""

from __future__ import annotations

import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from urllib.parse import quote
from urllib.request import urlopen

import pytest

from tests.page.conftest import DATABASE, JOB

sync_api = pytest.importorskip("playwright.sync_api")
CHROMIUM = shutil.which("chromium")
if CHROMIUM is None and not os.environ.get("CI"):
    pytest.skip("no chromium here: the page is not tried in a browser", allow_module_level=True)

WAIT_MS = 30_000  # only a page that hangs takes longer, even on a machine with much else to do


class Server:
    """`serve` on a free port, as its user starts it."""

    def __init__(self, folder: Path) -> None:
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        self.folder, self.address = folder, f"http://127.0.0.1:{self.port}"
        self.start()

    def start(self) -> None:
        command = [
            sys.executable,
            "-m",
            "estimator",
            "serve",
            str(self.folder),
            "--no-browser",
            "--port",
            str(self.port),
        ]
        if DATABASE is not None:
            command += ["--database", DATABASE]
        environment = os.environ | {"TMPDIR": str(self.folder.parent)}  # what a kill leaves goes with the test's folder
        self.process = subprocess.Popen(
            command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=environment
        )
        assert self.process.stdout is not None
        assert self.process.stdout.readline() == f"{self.address}/\n"
        for _ in range(100):
            try:
                urlopen(f"{self.address}/phone-worker.js").close()
            except OSError:
                time.sleep(0.05)
            else:
                return
        raise TimeoutError(self.address)

    def stop(self) -> tuple[float, int, str]:
        """Seconds that Ctrl-C took, exit status, and standard error."""
        begun = time.monotonic()
        self.process.send_signal(signal.SIGINT)
        out, errors = self.process.communicate(timeout=10)
        assert out == ""
        return time.monotonic() - begun, self.process.returncode, errors


@pytest.fixture
def server(shop: Path) -> Iterator[Server]:
    server = Server(shop)
    yield server
    if server.process.poll() is None:
        server.process.kill()
        server.process.communicate()


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with sync_api.sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM)
        yield browser
        browser.close()


@contextmanager
def opened(browser: Any, width: int, height: int, **more: Any) -> Iterator[Any]:
    """A tab in which any script error or policy violation fails the test."""
    errors: list[str] = []
    context = browser.new_context(viewport={"width": width, "height": height}, **more)
    tab = context.new_page()
    tab.set_default_timeout(WAIT_MS)
    tab.on("pageerror", lambda error: errors.append(str(error)))
    tab.on("console", lambda said: errors.append(said.text) if "Content Security Policy" in said.text else None)
    yield tab
    context.close()
    assert errors == []


@pytest.fixture
def tab(browser: Any) -> Iterator[Any]:
    with opened(browser, 1280, 900) as tab:
        yield tab


def length_of(tab: Any) -> Any:
    return tab.get_by_label("Length", exact=True)


def settled(tab: Any, **limits: Any) -> None:
    """Wait until the desk has the response to every change."""
    sync_api.expect(tab.locator("#desk")).not_to_have_attribute("aria-busy", "true", **limits)


def test_a_typed_size_moves_every_figure_without_a_reload(server: Server, tab: Any, shop: Path) -> None:
    tab.goto(f"{server.address}/jobs/hill")
    before = tab.locator('[data-f="lift"]').text_content()
    length_of(tab).fill("9 ft")
    length_of(tab).press("Enter")
    sync_api.expect(tab.locator('[data-f="lift"]')).not_to_have_text(before)
    settled(tab)
    assert 'length = "9 ft"' in (shop / "hill" / "job.toml").read_text("utf-8")
    weight = tab.locator('[data-f="lift"]').text_content()
    assert tab.locator('[data-weight="C1"]').text_content() == weight
    tab.get_by_role("button", name="Undo").click()
    sync_api.expect(tab.locator('[data-f="lift"]')).to_have_text(before)
    sync_api.expect(length_of(tab)).to_have_value("72 in")


def test_a_problem_is_shown_at_its_field_and_escape_reverts_it(server: Server, tab: Any) -> None:
    tab.goto(f"{server.address}/jobs/hill")
    before = tab.locator('[data-f="total"]').text_content()
    length_of(tab).fill("9")
    length_of(tab).press("Enter")
    sync_api.expect(tab.locator("#problem")).to_be_visible()
    sync_api.expect(length_of(tab)).to_have_attribute("aria-invalid", "true")
    assert tab.locator('[data-f="total"]').text_content() == before
    length_of(tab).press("Escape")
    sync_api.expect(length_of(tab)).to_have_value("72 in")
    sync_api.expect(tab.locator("#problem")).to_be_hidden()


def test_a_renamed_piece_is_still_the_one_shown(server: Server, tab: Any) -> None:
    tab.goto(f"{server.address}/jobs/hill/pieces/C2")
    weight = tab.locator('[data-f="lift"]').text_content()
    mark = tab.locator('[data-at="piece/1/mark"]')
    mark.fill("B7")
    mark.press("Enter")
    sync_api.expect(tab.get_by_role("heading", name="B7")).to_be_visible()
    assert tab.locator('[data-f="lift"]').text_content() == tab.locator('[data-weight="B7"]').text_content() == weight
    tab.get_by_role("button", name="Undo").click()
    sync_api.expect(tab.get_by_role("heading", name="C2")).to_be_visible()
    assert tab.locator('[data-f="lift"]').text_content() == weight


def test_the_list_follows_a_typed_count_and_description(server: Server, tab: Any) -> None:
    tab.goto(f"{server.address}/jobs/hill")
    for key, text in (("quantity", "3"), ("description", "Window counter")):
        field = tab.locator(f'[data-at="piece/0/{key}"]')
        field.fill(text)
        field.press("Enter")
    settled(tab)
    sync_api.expect(tab.locator('[data-count="C1"]')).to_have_text("× 3")
    sync_api.expect(tab.locator('[data-description="C1"]')).to_have_text("Window counter")


TESTED = """
[workshop.transport]
a_frame_rating = "1000 lb"

[mixes.backer-45]
based_on = "backer-45"
first_crack_strength = "1200 psi"
"""


def test_an_open_desk_says_when_the_last_item_is_closed(server: Server, tab: Any, shop: Path) -> None:
    tab.goto(f"{server.address}/jobs/hill")
    sync_api.expect(tab.locator("#none-open")).to_be_hidden()
    sync_api.expect(tab.get_by_role("heading", name="Not safe yet")).to_be_visible()
    (shop / "hill" / "job.toml").write_text(JOB + TESTED, encoding="utf-8")  # by somebody else
    sync_api.expect(tab.locator("#open li")).to_have_count(0)
    sync_api.expect(tab.locator("#none-open")).to_be_visible()
    sync_api.expect(tab.get_by_role("heading", name="Not safe yet")).to_be_hidden()


def test_two_editors_of_one_field_are_shown_both_values(server: Server, browser: Any, tab: Any, shop: Path) -> None:
    other = browser.new_context().new_page()
    for each in (tab, other):
        each.goto(f"{server.address}/jobs/hill")
    length_of(other).fill("70 in")
    length_of(other).press("Enter")
    settled(other)
    length_of(tab).fill("74 in")
    length_of(tab).press("Enter")
    sync_api.expect(tab.locator("#conflict")).to_be_visible()
    assert tab.locator("#take-theirs").text_content() == "Take theirs: 70 in"
    assert tab.locator("#keep-yours").text_content() == "Keep yours: 74 in"
    assert "Somebody changed this entry at " in str(tab.locator("#conflict").text_content())
    tab.wait_for_timeout(3500)  # until the desk has looked for what others changed
    tab.locator("#keep-yours").click()
    sync_api.expect(tab.locator("#conflict")).to_be_hidden()
    sync_api.expect(length_of(tab)).to_be_focused()
    for _ in range(100):
        if 'length = "74 in"' in (shop / "hill" / "job.toml").read_text("utf-8"):
            break
        time.sleep(0.05)
    else:
        raise AssertionError
    other.context.close()


def test_a_job_is_made_and_quoted_by_keyboard_alone(server: Server, tab: Any) -> None:
    tab.goto(f"{server.address}/new")
    tab.get_by_label("Job name").focus()
    for text in ("Mill vanity", "Tab", " ", "Tab", "V1", "Tab", "48 in", "Tab", "22-1/2 in", "Tab", "1 in", "Enter"):
        if text in ("Tab", "Enter"):
            tab.keyboard.press(text)
        elif text == " ":
            tab.keyboard.press("Space")
        else:
            tab.keyboard.press("Control+a")
            tab.keyboard.type(text)
    tab.wait_for_url("**/jobs/mill-vanity")
    sync_api.expect(tab.get_by_role("heading", name="V1")).to_be_visible()
    quote = tab.request.get(f"{server.address}/jobs/mill-vanity/papers/quote.pdf")
    assert quote.body().startswith(b"%PDF-")


SCREENS = (
    "/", "/new", "/jobs/hill", "/jobs/hill/add?kind=box", "/jobs/hill/mix", "/jobs/hill/liftable/C1",
    "/jobs/hill/sheet?at=piece/0", "/jobs/hill/papers", "/crew/hill", "/crew/hill/C1", "/shop",
    "/jobs/hill/files", "/jobs/hill/coupons?mix=backer-45", "/jobs/hill/sheet?at=option&new", "/jobs/hill/prices",
    "/jobs/hill/versions?at=option/0&change=C1&more=shape/cutouts", "/jobs/hill/client", "/mixer/hill",
)  # fmt: skip
NAMELESS = """
  [...document.querySelectorAll('input:not([type=hidden]), select, textarea, button')]
    .filter((each) => !(each.labels?.length || each.ariaLabel || each.textContent.trim() || each.closest('[hidden]')))
    .map((each) => each.outerHTML)
"""


BROKEN = r"""
  () => {
    const broken = [], range = document.createRange();
    const texts = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    while (texts.nextNode()) {
      const text = texts.currentNode;
      const part = text.parentElement;
      if (!part.checkVisibility() || part.closest("svg, option, script, .wraps, .sr, .skip")) continue;
      for (const { 0: word, index } of text.data.matchAll(/\p{L}{4,}/gu)) {
        range.setStart(text, index);
        range.setEnd(text, index + word.length);
        if (new Set([...range.getClientRects()].map(({ top }) => Math.round(top))).size > 1) broken.push(word);
      }
    }
    return broken;
  }
"""


def test_no_screen_is_wider_than_its_window_and_every_field_has_a_name(server: Server, tab: Any) -> None:
    for path in SCREENS:
        tab.goto(server.address + path)
        assert tab.evaluate(NAMELESS) == [], path
        for width in (320, 360, 768, 1024, 1180, 1280, 1920):  # 320: 1280 at 400 %
            tab.set_viewport_size({"width": width, "height": 800})
            assert tab.evaluate("document.documentElement.scrollWidth") <= width, (path, width)
            assert width != 360 or tab.evaluate(BROKEN) == [], path


LONG = "Oberschwabenküchenarbeitsplatte" * 3


def test_long_names_stay_in_the_window(server: Server, tab: Any, shop: Path) -> None:
    mark = f"Level 2, east wing, {LONG}"
    text = JOB.replace("Hill house", f"The house of {LONG}, second floor").replace("The hill house", LONG)
    text = text.replace('"C1"', f'"{mark}"\ndescription = "{LONG}"')
    (shop / "hill" / "job.toml").write_text(text, encoding="utf-8")
    for path in SCREENS:
        tab.goto(server.address + path.replace("C1", quote(mark)))
        for width in (320, 768, 1024, 1280):
            tab.set_viewport_size({"width": width, "height": 800})
            assert tab.evaluate("document.documentElement.scrollWidth") <= width, (path, width)
    tab.goto(f"{server.address}/jobs/hill")
    mark_in_list = tab.locator(".pc .mk").first.bounding_box()
    assert mark_in_list["width"] > 100  # not a letter a line


def test_without_the_server_the_desk_says_so_and_resumes_when_it_returns(server: Server, tab: Any) -> None:
    tab.goto(f"{server.address}/jobs/hill")
    server.process.kill()
    server.process.communicate()
    length_of(tab).fill("80 in")
    length_of(tab).press("Enter")
    sync_api.expect(tab.locator("#live")).to_have_text("Offline. Changes are not saved.")
    tab.wait_for_timeout(300)  # longer than figures may be late without a word
    sync_api.expect(tab.locator("#live")).to_have_text("Offline. Changes are not saved.")
    server.start()
    settled(tab, timeout=20_000)


def test_ctrl_c_stops_it_within_three_seconds_and_a_taken_port_is_refused(server: Server, tab: Any) -> None:
    tab.goto(f"{server.address}/jobs/hill")
    command = [
        sys.executable,
        "-m",
        "estimator",
        "serve",
        str(server.folder),
        "--no-browser",
        "--port",
        str(server.port),
    ]
    second = subprocess.run(command, capture_output=True, text=True, check=False)
    assert (second.returncode, second.stdout) == (2, "")
    assert f"Port {server.port} is in use" in second.stderr
    took_s, status, errors = server.stop()
    assert took_s < 3.0
    assert (status, errors) in ((0, ""), (130, ""), (130, errors))


def test_a_size_typed_while_another_is_being_saved_counts_without_a_conflict(
    server: Server, tab: Any, shop: Path
) -> None:
    tab.goto(f"{server.address}/jobs/hill")
    sent: list[str] = []
    tab.on("request", lambda request: sent.append(request.post_data) if request.url.endswith("/change") else None)
    for size in ("73 in", "74 in", "75 in", "76 in"):
        length_of(tab).fill(size)
        length_of(tab).press("Enter")
    settled(tab)
    for _ in range(100):
        if 'length = "76 in"' in (shop / "hill" / "job.toml").read_text("utf-8"):
            break
        tab.wait_for_timeout(50)
    sync_api.expect(tab.locator("#conflict")).to_be_hidden()
    assert 'length = "76 in"' in (shop / "hill" / "job.toml").read_text("utf-8")
    assert len(sent) < 4  # sizes overtaken by a newer one before their turn are not sent


def test_a_piece_is_turned_in_3d_by_keys(server: Server, tab: Any) -> None:
    tab.goto(f"{server.address}/jobs/hill")
    tab.get_by_role("button", name="Turn in 3D").press("Enter")
    canvas, mark = tab.locator("#solid canvas"), tab.locator("#solid .center")
    sync_api.expect(mark).to_have_attribute("style", re.compile("left: 50%"))  # a slab without openings: in the middle
    canvas.focus()
    before = canvas.screenshot()
    canvas.press("ArrowRight")
    assert canvas.screenshot() != before
    canvas.press("Home")
    assert canvas.screenshot() == before


def test_a_piece_in_3d_is_seen_whole_turned_by_one_finger_and_sized_by_two(server: Server, browser: Any) -> None:
    with opened(browser, 390, 800, has_touch=True) as phone:
        phone.goto(f"{server.address}/jobs/hill")
        phone.get_by_role("button", name="Turn in 3D").tap()
        canvas, mark = phone.locator("#solid canvas"), phone.locator("#solid .center")
        sync_api.expect(mark).to_have_attribute("style", re.compile("left"))
        canvas.scroll_into_view_if_needed()
        box = canvas.bounding_box()
        rims = [box | {"width": 4}, box | {"x": box["x"] + box["width"] - 4, "width": 4}]
        assert len({phone.screenshot(clip=rim) for rim in rims}) == 1  # nothing but the ground at either side
        before, x, y, fingers = canvas.screenshot(), box["x"] + 90, box["y"] + 90, phone.context.new_cdp_session(phone)

        def touch(what: str, *at: tuple[float, float], first: int = 0) -> bytes:
            points = [{"x": x + right, "y": y + down, "id": number} for number, (right, down) in enumerate(at, first)]
            fingers.send("Input.dispatchTouchEvent", {"type": what, "touchPoints": points})
            phone.wait_for_timeout(100)
            picture: bytes = canvas.screenshot()
            return picture

        touch("touchStart", (0, 0))
        turned = touch("touchMove", (60, 0))
        assert turned != before
        touch("touchStart", (60, 0), (120, 80))
        assert touch("touchMove", (60, 0), (150, 120)) != turned  # half as far again: half as large again
        assert touch("touchMove", (60, 0), (120, 80)) == turned  # a second finger turns nothing
        least = touch("touchMove", (60, 0), (66, 8))
        assert touch("touchMove", (60, 0), (63, 4)) == least  # never so small that it is lost
        assert touch("touchEnd", (60, 0)) == least
        assert touch("touchMove", (93, 4), first=1) != least  # the finger that is left turns it on


def test_letter_keys_open_screens_only_outside_fields_and_can_be_switched_off(server: Server, tab: Any) -> None:
    tab.goto(f"{server.address}/jobs/hill")
    tab.keyboard.press("?")
    sync_api.expect(tab.locator("#keys")).to_be_visible()
    tab.keyboard.press("Escape")
    sync_api.expect(tab.locator("#keys")).to_be_hidden()
    length_of(tab).focus()
    tab.keyboard.type("m")
    assert tab.url.endswith("/jobs/hill")
    length_of(tab).press("Escape")
    tab.locator(".pc").first.focus()
    tab.keyboard.press("ArrowDown")
    tab.wait_for_url("**/pieces/C2")
    sync_api.expect(tab.locator(".pc").nth(1)).to_be_focused()
    tab.keyboard.press("m")
    tab.wait_for_url("**/jobs/hill/mix")
    tab.keyboard.press("?")
    tab.get_by_label("Single letters").uncheck()
    tab.keyboard.press("Escape")
    tab.goto(f"{server.address}/jobs/hill")
    tab.keyboard.press("m")
    tab.wait_for_timeout(300)
    assert tab.url.endswith("/jobs/hill")


def test_a_field_keeps_the_focus_when_it_is_saved(server: Server, tab: Any) -> None:
    tab.goto(f"{server.address}/jobs/hill/sheet?at=piece/0")
    tab.get_by_label("Finish").fill("honed")
    tab.get_by_label("Finish").press("Enter")
    sync_api.expect(tab.get_by_label("Finish")).to_have_value("honed")
    sync_api.expect(tab.get_by_label("Finish")).to_be_focused()


def test_a_screen_that_replaces_itself_leaves_the_focus_where_it_was(server: Server, tab: Any) -> None:
    focused = sync_api.expect(tab.locator(":focus"))
    tab.goto(f"{server.address}/jobs/hill/pieces/C2")
    mark = tab.get_by_label("Mark", exact=True)
    mark.fill("B7")
    mark.press("Enter")
    tab.wait_for_url("**/pieces/B7")
    focused.to_have_value("B7")
    undo = tab.get_by_role("button", name="Undo")
    undo.press("Enter")
    tab.wait_for_url("**/pieces/C2")
    sync_api.expect(undo).to_have_attribute("aria-disabled", "true")
    sync_api.expect(undo).to_be_focused()
    tab.get_by_role("button", name="Move up").press("Enter")
    tab.wait_for_load_state()
    sync_api.expect(tab.get_by_role("button", name="Move up")).to_have_count(0)  # it is the first now
    focused.to_have_id("main")
    length_of(tab).fill("50 in")
    length_of(tab).press("Enter")
    settled(tab)
    undo.press("Enter")
    settled(tab)
    sync_api.expect(length_of(tab)).to_have_value("48 in")
    sync_api.expect(undo).to_be_focused()


def test_what_is_wrong_with_a_form_has_the_focus_and_names_the_entry(server: Server, tab: Any) -> None:
    tab.goto(f"{server.address}/jobs/hill/sheet?at=piece/0/shape")
    length = tab.get_by_role("textbox", name="Length", exact=True)
    sync_api.expect(length).to_have_accessible_description(re.compile("Length along x"))
    length.fill("9")
    length.press("Enter")
    problem = tab.get_by_role("alert")
    sync_api.expect(problem).to_contain_text('Length: "9" has no unit.')
    sync_api.expect(problem).to_be_focused()


def test_changed_figures_are_told_once_with_their_labels(server: Server, tab: Any) -> None:
    tab.goto(f"{server.address}/jobs/hill")
    tab.evaluate("""() => {
      window.told = [];
      const note = (changes) => changes.forEach(({ target }) => {
        const told = (target.closest ? target : target.parentElement).closest("[role=status], [aria-live]");
        if (told) window.told.push(told.textContent);
      });
      new MutationObserver(note).observe(document.body, { subtree: true, childList: true, characterData: true });
    }""")
    length_of(tab).fill("9 ft")
    length_of(tab).press("Enter")
    sync_api.expect(tab.locator("#said")).not_to_be_empty()
    weight, total = (tab.locator(f'[data-f="{name}"]').text_content() for name in ("lift", "total"))
    crew = tab.locator('[data-f="lift-crew"]').text_content()
    said = f"To lift and carry, at most: {weight}, {crew}. Total due, tax included: {total}"
    assert tab.evaluate("window.told") == [said]


def test_a_size_typed_into_a_released_job_becomes_a_change_order(server: Server, tab: Any, shop: Path) -> None:
    job = shop / "hill" / "job.toml"
    job.write_text(job.read_text("utf-8").replace("[job]", '[job]\nstatus = "released"'), "utf-8")
    tab.goto(f"{server.address}/jobs/hill")
    before = tab.locator('[data-f="lift"]').text_content()
    length_of(tab).fill("74 in")
    length_of(tab).press("Enter")
    sync_api.expect(tab.locator("#order-lines")).to_have_text("C1, length: 72 in → 74 in")
    sync_api.expect(tab.locator("#order-reason")).to_be_focused()
    tab.keyboard.press("Escape")
    sync_api.expect(tab.locator("#order")).to_be_hidden()
    sync_api.expect(length_of(tab)).to_have_value("72 in")
    sync_api.expect(length_of(tab)).to_be_focused()
    length_of(tab).fill("74 in")
    length_of(tab).press("Enter")
    tab.locator("#order-reason").fill("wider window")
    tab.locator("#order-reason").press("Enter")
    tab.wait_for_url("**/jobs/hill/orders")
    sync_api.expect(tab.get_by_role("heading", name="Change order 1: wider window")).to_be_visible()
    tab.goto(f"{server.address}/jobs/hill")
    assert tab.locator('[data-f="lift"]').text_content() == before
    tab.goto(f"{server.address}/jobs/hill/orders")
    with tab.expect_navigation():
        tab.get_by_role("button", name="Put it into the job").click()
    tab.goto(f"{server.address}/jobs/hill")
    sync_api.expect(length_of(tab)).to_have_value("74 in")
    assert tab.locator('[data-f="lift"]').text_content() != before


def test_what_another_person_changes_is_seen_and_what_is_being_typed_stays(
    server: Server, browser: Any, tab: Any
) -> None:
    with opened(browser, 1280, 900) as other:
        for each in (tab, other):
            each.goto(f"{server.address}/jobs/hill")
        weight = tab.locator('[data-f="lift"]').text_content()
        width = tab.get_by_label("Width", exact=True)
        width.fill("26 i")  # not taken yet
        length_of(other).fill("80 in")
        length_of(other).press("Enter")
        sync_api.expect(tab.locator("#others")).to_contain_text("Somebody changed C1 › Length")
        sync_api.expect(tab.locator("#others")).to_contain_text("s ago")
        sync_api.expect(tab.locator('[data-f="lift"]')).not_to_have_text(weight)
        sync_api.expect(length_of(tab)).to_have_value("80 in")
        sync_api.expect(width).to_have_value("26 i")
        width.fill("26 in")
        width.press("Enter")
        settled(tab)
        sync_api.expect(tab.locator("#conflict")).to_be_hidden()
        length_of(tab).fill("81 i")
        length_of(other).fill("82 in")
        length_of(other).press("Enter")
        sync_api.expect(tab.locator('[data-weight="C1"]')).not_to_have_text(
            tab.locator('[data-weight="C1"]').text_content()
        )
        sync_api.expect(length_of(tab)).to_have_value("81 i")
        length_of(tab).fill("81 in")
        length_of(tab).press("Enter")
        sync_api.expect(tab.locator("#take-theirs")).to_have_text("Take theirs: 82 in")


def test_the_slider_moves_by_five_percent_and_with_shift_by_one(server: Server, tab: Any) -> None:
    tab.goto(f"{server.address}/jobs/hill/mix")
    slider, share, weight = tab.locator("#share"), tab.locator("#share-text"), tab.locator("#at-all")
    sync_api.expect(weight).not_to_have_text("–")
    at_45 = weight.text_content()
    slider.press("Shift+ArrowRight")
    sync_api.expect(share).to_have_text("46%")
    sync_api.expect(weight).not_to_have_text(at_45)
    sync_api.expect(weight).not_to_have_class(re.compile("old"))
    slider.press("ArrowRight")
    sync_api.expect(share).to_have_text("50%")
    slider.press("ArrowLeft")
    slider.press("Shift+ArrowLeft")
    sync_api.expect(share).to_have_text("44%")
    slider.press("ArrowLeft")
    sync_api.expect(share).to_have_text("40%")


def test_undo_by_keys_stops_at_what_somebody_else_has_changed(server: Server, tab: Any, shop: Path) -> None:
    tab.goto(f"{server.address}/jobs/hill")
    length_of(tab).fill("9 ft")
    length_of(tab).press("Enter")
    said = tab.locator("#undo-what")
    sync_api.expect(said).to_have_text("C1 › Length: 9 ft → 72 in")
    undo = tab.locator("#undo")
    tab.evaluate("() => document.getElementById('undo').toggleAttribute('data-of-other', true)")
    tab.locator("#mark").click()
    tab.keyboard.press("Control+z")
    sync_api.expect(undo).to_be_focused()
    assert '"9 ft"' in (shop / "hill" / "job.toml").read_text("utf-8")
    tab.keyboard.press("Enter")
    sync_api.expect(length_of(tab)).to_have_value("72 in")
    sync_api.expect(said).to_have_text("")
    sync_api.expect(undo).to_have_attribute("aria-disabled", "true")


def test_figures_of_another_share_are_told_apart_where_a_share_is_refused(server: Server, tab: Any) -> None:
    def refuse(route: Any) -> None:
        rows = route.fetch().json()["rows"]
        refused = [{"share": row["share"], "problem": "No room for it."} if row["share"] == 50 else row for row in rows]
        route.fulfill(json={"rows": refused})

    tab.route("**/mix/rows?*", refuse)
    tab.goto(f"{server.address}/jobs/hill/mix")
    weight = tab.locator("#at-all")
    sync_api.expect(weight).not_to_have_text("–")
    tab.locator("#share").press("ArrowRight")
    sync_api.expect(tab.locator("#problem")).to_have_text("No room for it.")
    sync_api.expect(tab.locator("#use")).to_be_disabled()
    sync_api.expect(weight).to_have_class(re.compile("old"))
    tab.locator("#share").press("ArrowRight")
    sync_api.expect(weight).not_to_have_class(re.compile("old"))


def test_an_option_is_entered_by_keyboard_alone(server: Server, tab: Any, shop: Path) -> None:
    tab.goto(f"{server.address}/jobs/hill/sheet?at=option&new")
    tab.get_by_label("Name").focus()
    tab.keyboard.type("Deeper bar")
    tab.get_by_label("Piece that changes").focus()
    tab.keyboard.type("C2")
    tab.keyboard.press("Tab")
    tab.keyboard.press("Enter")
    tab.get_by_label("Width").focus()
    tab.keyboard.press("Control+A")
    tab.keyboard.type("30 in")
    tab.keyboard.press("Enter")
    sync_api.expect(tab.get_by_text("C2, width: 25-1/2 in → 30 in")).to_be_visible()
    assert 'piece = [{ mark = "C2", shape = { width = "30 in" } }]' in (shop / "hill" / "job.toml").read_text("utf-8")


def test_a_ticked_option_moves_the_payments_with_the_total(server: Server, tab: Any, shop: Path) -> None:
    file = shop / "hill" / "job.toml"
    file.write_text(file.read_text("utf-8") + '\n[[option]]\nname = "third coat of sealer"\nlump = 140\n', "utf-8")
    tab.goto(f"{server.address}/jobs/hill/client")
    tab.get_by_role("button", name="Make a link to this quote").click()
    link, code = tab.locator("#link").inner_text(), tab.locator("#code").inner_text()
    tab.goto(link)
    tab.get_by_label("Access code").fill(code)
    tab.get_by_role("button", name="Open the quote").click()

    def cents(texts: list[str]) -> list[int]:
        return [round(100 * float(text.strip("$").replace(",", ""))) for text in texts]

    total, payments = tab.locator("[data-total]"), tab.locator(".payments > li > b")
    before = cents(payments.all_inner_texts())
    assert [sum(before)] == cents([total.inner_text()])
    tab.get_by_label("third coat of sealer").check()
    after = cents(payments.all_inner_texts())
    assert [sum(after)] == cents([total.inner_text()])
    assert sum(after) > sum(before)
    tab.get_by_label("Your name").fill("Invented Client")
    tab.get_by_label("My typed name").check()
    tab.get_by_label("I accept this quote").check()
    tab.get_by_role("button", name="Accept and send").click()
    sync_api.expect(tab.locator("#accepted")).to_be_visible()
    assert cents(payments.all_inner_texts()) == after
