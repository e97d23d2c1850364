"""An update of the program while phones hold ticks: nothing is lost, and no screen runs scripts of two versions."""

from __future__ import annotations

import os
import re
import shutil
import signal
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

import estimator
from tests.page.test_browser import Server, browser, opened, sync_api
from tests.page.test_phone import all_sent, begin, tick, waits, weighed

__all__ = ["browser"]
expect = sync_api.expect
ROOT = Path(estimator.__file__).parents[1]

NEXT = {
    "queue.js": ("export const actOf", 'export const VERSION = "next";\nexport const actOf'),
    "mixer.js": (
        'import { actOf, Queue } from "./queue.js";',
        'import { actOf, Queue, VERSION } from "./queue.js";\nimport { word } from "./scale.js";\n'
        "document.documentElement.dataset.runs = VERSION + word;",
    ),
}
"""A next version: its scripts work with one another alone, and one of them is new."""


@pytest.fixture
def following(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Folder with the next version of the program."""
    folder = tmp_path_factory.mktemp("next")
    for package in ("estimator", "geometry", "catalogs"):
        shutil.copytree(ROOT / package, folder / package, ignore=shutil.ignore_patterns("__pycache__"))
    static = folder / "estimator" / "page" / "static"
    for name, (old, new) in NEXT.items():
        text = (static / name).read_text("utf-8")
        assert old in text
        (static / name).write_text(text.replace(old, new, 1), "utf-8")
    (static / "scale.js").write_text('export const word = "!";\n', "utf-8")
    module = static.parent / "statics.py"
    module.write_text(module.read_text("utf-8").replace('"phone.js")', '"phone.js", "scale.js")', 1), "utf-8")
    return folder


class Versions(Server):
    """`serve` of one version of the program or the other, on one port."""

    def __init__(self, folder: Path, following: Path) -> None:
        self.following = following
        super().__init__(folder)

    def runs(self, *, next: bool) -> None:
        """Ends the server and starts it in the other version."""
        self.end()
        before = Path.cwd(), os.environ.get("PYTHONPATH")
        try:
            if next:
                os.chdir(self.following)
                os.environ["PYTHONPATH"] = str(self.following)
            self.start()
        finally:
            os.chdir(before[0])
            os.environ.pop("PYTHONPATH", None)
            if before[1] is not None:
                os.environ["PYTHONPATH"] = before[1]

    def end(self) -> None:
        self.process.send_signal(signal.SIGINT)
        self.process.communicate(timeout=20)


@pytest.fixture
def versions(shop: Path, following: Path) -> Iterator[Versions]:
    server = Versions(shop, following)
    yield server
    if server.process.poll() is None:
        server.process.kill()
        server.process.communicate()


@pytest.fixture
def phone(browser: Any) -> Iterator[Any]:
    with opened(browser, 390, 844) as tab:
        yield tab


def runs_next(phone: Any) -> bool:
    return phone.evaluate("document.documentElement.dataset.runs") == "next!"


def kept(phone: Any) -> None:
    """Waits until the phone keeps the screen that it shows, with all of its scripts."""
    phone.evaluate(
        "Promise.race([navigator.serviceWorker.ready, new Promise((_, no) => setTimeout(no, 8000))]).then(() => true)"
    )
    phone.reload()
    phone.locator("button.big, a.big").first.wait_for()
    for _ in range(100):
        if phone.evaluate(
            "caches.open('phone-1').then((cache) => cache.match('/mixer/hill', { ignoreSearch: true }))"
            ".then((page) => page && page.text())"
            ".then((text) => !!text && text.includes(document.body.dataset.version))"
        ):
            return
        phone.wait_for_timeout(100)
    raise TimeoutError("the screen is not kept")


def load_again(phone: Any) -> None:
    """Load the screen anew, and wait until it can be ticked."""
    phone.reload()
    phone.locator("button.big").wait_for()


def test_ticks_held_over_an_update_reach_the_shop_and_the_next_load_brings_the_new_scripts(
    versions: Versions, phone: Any, shop: Path
) -> None:
    begin(phone, versions)
    kept(phone)
    phone.context.set_offline(True)
    tick(phone, 2)
    versions.runs(next=True)
    load_again(phone)  # without a network: the old screen with its old scripts
    assert not runs_next(phone)
    tick(phone)
    waits(phone, 3)
    phone.context.set_offline(False)  # an old script and a new shop
    all_sent(phone, shop, 3)
    load_again(phone)
    assert runs_next(phone)
    kept(phone)
    phone.context.set_offline(True)
    load_again(phone)  # the new screen, whole
    assert runs_next(phone)
    tick(phone)
    waits(phone, 1)
    phone.context.set_offline(False)
    all_sent(phone, shop, 4)


def test_ticks_of_a_new_script_reach_a_shop_that_went_back_to_the_old_program(
    versions: Versions, phone: Any, shop: Path
) -> None:
    versions.runs(next=True)
    begin(phone, versions)
    assert runs_next(phone)
    kept(phone)
    phone.context.set_offline(True)
    tick(phone, 2)
    versions.runs(next=False)
    load_again(phone)
    assert runs_next(phone)
    tick(phone)
    phone.context.set_offline(False)
    all_sent(phone, shop, 3)
    load_again(phone)
    assert not runs_next(phone)
    tick(phone)
    all_sent(phone, shop, 4)


def test_an_update_that_comes_in_half_leaves_the_whole_old_screen_on_the_phone(
    versions: Versions, phone: Any, shop: Path
) -> None:
    begin(phone, versions)
    kept(phone)
    phone.context.set_offline(True)
    tick(phone, 2)
    statics = versions.following / "estimator" / "page" / "statics.py"
    sound = statics.read_text("utf-8")
    half = sound.replace("name not in STATIC or", 'name in ("scale.js", "queue.js") or name not in STATIC or')
    assert half != sound
    statics.write_text(half, "utf-8")  # as if the network went before all scripts had come
    versions.runs(next=True)
    phone.context.set_offline(False)
    phone.reload()
    phone.wait_for_timeout(1500)
    phone.context.set_offline(True)
    load_again(phone)
    assert not runs_next(phone)
    tick(phone)
    waits(phone, 1)  # the first two went as soon as the network was back
    statics.write_text(sound, "utf-8")
    versions.runs(next=True)
    phone.context.set_offline(False)
    all_sent(phone, shop, 3)
    load_again(phone)
    assert runs_next(phone)


def test_what_a_shop_could_not_read_is_sent_again_at_the_next_load(versions: Versions, phone: Any, shop: Path) -> None:
    mixer = versions.following / "estimator" / "page" / "mixer.py"
    text = mixer.read_text("utf-8")
    of_next = re.sub(r'"weighing": \{"batch"', '"weighed": {"batch"', text)
    assert of_next != text
    mixer.write_text(of_next, "utf-8")  # a shop whose program does not know what this phone sends
    versions.runs(next=True)
    begin(phone, versions)
    phone.locator("button.big").click()
    expect(phone.get_by_text("could not read", exact=False)).to_be_visible()
    assert not weighed(shop)
    versions.runs(next=False)
    phone.reload()
    all_sent(phone, shop, 1)
    expect(phone.get_by_text("could not read", exact=False)).to_have_count(0)


def test_a_desk_left_open_over_an_update_loads_the_new_one(versions: Versions, browser: Any) -> None:
    with opened(browser, 1280, 900) as desk:
        desk.goto(f"{versions.address}/jobs/hill")
        before = desk.evaluate("document.body.dataset.version")
        versions.runs(next=True)
        expect(desk.locator("body")).not_to_have_attribute("data-version", before)
