"""The mixer's phone in a real browser: nothing ticked is lost or doubled, whatever fails meanwhile."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from urllib.request import urlopen

import pytest

from estimator.pricing.history import used_kg_of
from estimator.records import Record
from estimator.store.database import back_up, open_store, restore
from estimator.store.people import add_person
from estimator.store.records import add_record, records_of
from tests.page.conftest import DATABASE
from tests.page.test_browser import CHROMIUM, Server, browser, opened, server, sync_api

__all__ = ["browser", "server"]

PHONE = {"viewport": {"width": 390, "height": 844}}
BATCH = "backer-45, C1, 1"
expect = sync_api.expect


@pytest.fixture
def phone(browser: Any) -> Iterator[Any]:
    with opened(browser, **PHONE["viewport"]) as tab:
        yield tab


def begin(tab: Any, server: Server) -> None:
    tab.goto(f"{server.address}/mixer/hill")
    tab.get_by_role("link", name="Start weighing").click()
    tab.locator("button.big").wait_for()  # the day's screen has a heading, too


def tick(tab: Any, times: int = 1) -> None:
    """Weighs the next materials as shown."""
    for _ in range(times):
        title = tab.locator("h1").inner_text()
        tab.locator("button.big").click()
        expect(tab.locator("h1").first).not_to_have_text(title)


def weighed(shop: Path) -> Counter[int]:
    records = records_of(shop / "hill" / "job.toml").of("weighing", batch=BATCH)
    return Counter(int(record.values["step"]) for record in records)


def waits(tab: Any, count: int) -> None:
    expect(tab.locator(".off")).to_contain_text(f": {count}")


def all_sent(tab: Any, shop: Path, count: int) -> None:
    for _ in range(100):
        if sum(weighed(shop).values()) >= count:
            break
        tab.wait_for_timeout(100)
    tab.wait_for_timeout(300)
    assert weighed(shop) == Counter(range(1, count + 1))


def tick_offline(server: Server, phone: Any, shop: Path) -> None:
    """Begin the batch, tick its first material, lose the network, and tick two more, which wait on the phone."""
    begin(phone, server)
    tick(phone)
    all_sent(phone, shop, 1)
    phone.context.set_offline(True)
    tick(phone, 2)
    waits(phone, 2)


def test_ticks_without_a_network_are_sent_once_when_it_is_back(server: Server, phone: Any, shop: Path) -> None:
    tick_offline(server, phone, shop)
    phone.context.set_offline(False)
    all_sent(phone, shop, 3)
    expect(phone.locator(".off")).to_have_count(0)


def test_a_reload_without_a_network_keeps_what_was_ticked(server: Server, phone: Any, shop: Path) -> None:
    begin(phone, server)
    ready = (
        "Promise.race([navigator.serviceWorker.ready, new Promise((_, no) => setTimeout(no, 5000))]).then(() => true)"
    )
    assert phone.evaluate(ready)
    phone.reload()
    tick(phone)
    all_sent(phone, shop, 1)
    phone.context.set_offline(True)
    tick(phone)
    phone.reload()
    tick(phone)
    waits(phone, 2)
    phone.context.set_offline(False)
    all_sent(phone, shop, 3)


def test_ticks_of_somebody_removed_are_brought_in_under_both_names(
    server: Server, phone: Any, browser: Any, shop: Path
) -> None:
    store, secret = open_store(shop, DATABASE), "a long password"
    for name, role in (("Ann", "office"), ("Zoë K.", "crew"), ("Sam", "crew")):
        add_person(store, name, role, secret)

    def sign_in(tab: Any, name: str) -> None:
        tab.get_by_label("Name").fill(name)
        tab.get_by_label("Password or access code").fill(secret)
        tab.get_by_role("button", name="Sign in").click()

    phone.goto(f"{server.address}/phone")
    sign_in(phone, "Zoë K.")
    phone.get_by_role("link", name="Mixer").wait_for()
    tick_offline(server, phone, shop)
    with opened(browser, 1280, 900) as office:
        office.goto(f"{server.address}/people")
        sign_in(office, "Ann")
        remove = office.get_by_role("button", name="Remove Zoë K.")
        remove.click()
        expect(remove).to_have_count(0)
    phone.context.set_offline(False)
    phone.get_by_role("link", name="Sign in").click()
    sign_in(phone, "Sam")
    all_sent(phone, shop, 3)
    phone.locator("a.big").click()
    phone.locator("button.big").wait_for()
    tick(phone)
    all_sent(phone, shop, 4)
    found = records_of(shop / "hill" / "job.toml").of("weighing")
    both = ("Zoë K.", "Sam")
    marks = [(record.values.get("tapped_by"), record.values.get("sent_by")) for record in found]
    assert marks == [(None, None), both, both, (None, None)]


def test_a_killed_server_loses_nothing(server: Server, phone: Any, shop: Path) -> None:
    begin(phone, server)
    tick(phone)
    all_sent(phone, shop, 1)
    server.process.kill()
    server.process.communicate()
    tick(phone, 2)
    waits(phone, 2)
    server.start()
    all_sent(phone, shop, 3)


def test_a_lost_answer_doubles_nothing(server: Server, phone: Any, shop: Path) -> None:
    begin(phone, server)
    lost = []

    def lose(route: Any) -> None:
        if route.request.method == "POST" and len(lost) < 2:
            lost.append(route.fetch())  # the shop keeps the tick, the phone never gets the answer
            route.abort()
        else:
            route.continue_()

    phone.route("**/entries", lose)
    tick(phone, 3)
    all_sent(phone, shop, 3)
    assert len(lost) == 2


def test_a_closed_browser_still_has_what_it_ticked(server: Server, browser: Any, shop: Path, tmp_path: Path) -> None:
    profile, launch = str(tmp_path / "profile"), browser.browser_type.launch_persistent_context
    first = launch(profile, executable_path=CHROMIUM, **PHONE)
    tab = first.pages[0]
    begin(tab, server)
    first.set_offline(True)
    tick(tab, 3)
    first.close()
    again = launch(profile, executable_path=CHROMIUM, **PHONE)
    tab = again.pages[0]
    tab.goto(f"{server.address}/mixer/hill")
    all_sent(tab, shop, 3)
    again.close()


def test_a_batch_is_made_to_its_end_and_its_density_is_kept(server: Server, phone: Any, shop: Path) -> None:
    begin(phone, server)
    while not phone.locator(".stages").count():
        phone.locator("button.big").click()
        phone.wait_for_timeout(100)
    while phone.locator(".stages").count():
        phone.locator("button.big").click()
        phone.wait_for_timeout(100)
    phone.get_by_role("link", name="Density check").click()
    keep, field = phone.get_by_role("button", name="Keep this weight"), phone.locator(".pm .in")
    expect(field).to_have_value("")  # a density that nobody has weighed corrects a mix by its own plan
    expect(keep).to_be_disabled()
    field.fill("60")
    expect(phone.get_by_role("img")).to_have_attribute("aria-label", re.compile("60"))
    keep.click()
    expect(phone.get_by_text("Density check:")).to_be_visible()
    phone.wait_for_timeout(500)
    records = records_of(shop / "hill" / "job.toml")
    (batch,), (bucket,) = records.of("batch"), records.of("bucket")
    assert batch.values["batch"] == bucket.values["batch"] == BATCH
    by_material: Counter[str] = Counter()
    for record in {record.values["step"]: record for record in records.of("weighing")}.values():
        by_material[record.values["material"]] += record.values["mass_kg"]
    assert batch.values["masses_kg"] == pytest.approx(dict(by_material))


def test_a_sack_that_ran_out_shrinks_the_batch(server: Server, phone: Any, shop: Path) -> None:
    begin(phone, server)
    tick(phone)
    name, first = phone.locator("h1").inner_text(), float(phone.locator(".pm .in").input_value())
    phone.get_by_role("link", name="Sack ran out").click()
    field, rescale = phone.get_by_label(f"{name} on the scale"), phone.get_by_role("button", name="Rescale to")
    expect(field).to_have_value("")  # the whole amount would be one tap away from a wrong figure
    for button in (rescale, phone.get_by_label("Less by"), phone.get_by_label("More by")):
        expect(button).to_be_disabled()
    expect(phone.get_by_text(f"less than {first}")).to_be_visible()
    field.fill(f"{first}")
    rescale.click()
    expect(phone.locator("#wrong")).to_have_text(f"Enter what is on the scale now, less than {first} g.")
    field.fill(f"{first / 2}")
    phone.get_by_label("More by").click()
    phone.get_by_label("Less by").click()
    expect(rescale).to_have_text(f"Rescale to {first / 2:.1f} g")
    rescale.click()
    expect(phone.get_by_text("Material 3 of")).to_have_count(0)
    phone.wait_for_timeout(500)
    records = records_of(shop / "hill" / "job.toml")
    (scaled,) = records.of("rescale")
    assert scaled.values["factor"] == pytest.approx(0.5, abs=0.01)
    first_kg, again_kg = (r.values["mass_kg"] for r in records.of("weighing", step=1))
    assert again_kg == pytest.approx(first_kg / 2, rel=0.02)


def test_the_crew_sees_that_the_network_is_lost_and_that_a_revision_is_newer(
    server: Server, phone: Any, shop: Path
) -> None:
    job = shop / "hill" / "job.toml"
    job.write_text(job.read_text("utf-8").replace("[job]", '[job]\nrevision = "1"'), "utf-8")
    phone.goto(f"{server.address}/crew/hill")
    phone.get_by_label("Code on the label").fill("c2-1")
    phone.get_by_role("button", name="Show the piece").click()
    expect(phone.get_by_role("heading", name="C2")).to_be_visible()
    expect(phone.locator("#carry .off")).to_be_hidden()
    phone.wait_for_load_state()  # with the script that hears of the network
    phone.context.set_offline(True)
    expect(phone.locator("#carry .off")).to_contain_text("revision 1")
    phone.get_by_role("link", name="Flip").click()
    expect(phone.get_by_role("heading", name="FLIP")).to_be_visible()
    job.write_text(job.read_text("utf-8").replace('revision = "1"', 'revision = "2"'), "utf-8")
    phone.context.set_offline(False)
    expect(phone.locator("#flip [data-old]")).to_have_text("Revised. Get revision 2 before you lift.")


def test_a_label_is_read_without_a_network_once_the_list_was_open(server: Server, phone: Any) -> None:
    phone.goto(f"{server.address}/crew/hill")
    assert phone.evaluate("navigator.serviceWorker.ready.then(() => true)")
    phone.reload()
    kept = "caches.open('phone-1').then((cache) => cache.match('/crew/hill/C2')).then((page) => !!page)"
    for _ in range(100):
        if phone.evaluate(kept):
            break
        phone.wait_for_timeout(100)
    phone.context.set_offline(True)
    phone.goto(f"{server.address}/crew/hill/C2?rev=7")
    expect(phone.locator("#carry .huge")).to_be_visible()
    expect(phone.locator("#carry .off")).to_contain_text("Offline.")
    expect(phone.locator("#carry [data-old]")).to_be_visible()
    phone.goto(f"{server.address}/crew/hill/C2?says=1-1")
    expect(phone.locator("#carry [data-stale]")).to_be_visible()
    expect(phone.locator("#carry [data-old]")).to_be_hidden()


def plan_of(tab: Any) -> dict[str, float]:
    """Masses of the first batch of the plan on the screen, by material."""
    day = tab.evaluate("JSON.parse(document.getElementById('day').textContent)")
    batch = next(batch for pour in day["pours"] for batch in pour["batches"] if batch["key"] == BATCH)
    masses: Counter[str] = Counter()
    for step, kg in zip(day["forms"][batch["form"]]["steps"], batch["kg"], strict=True):
        masses[step["material"]] += kg
    return dict(masses)


def weighed_in_part(tab: Any, server: Server, shop: Path) -> dict[str, float]:
    """Weigh two materials of the first batch, and wait until the shop has them; masses of its plan, by material."""
    begin(tab, server)
    tick(tab, 2)
    all_sent(tab, shop, 2)
    return plan_of(tab)


def ended(tab: Any, shop: Path, kind: str) -> Record:
    for _ in range(100):
        if found := records_of(shop / "hill" / "job.toml").of(kind, batch=BATCH):
            return found[-1]
        tab.wait_for_timeout(100)
    raise AssertionError(kind)


def test_a_batch_begun_before_the_job_changed_is_finished_with_its_own_amounts(
    server: Server, browser: Any, phone: Any, shop: Path
) -> None:
    planned = weighed_in_part(phone, server, shop)
    change(shop, '"1 in"', '"3/4 in"')
    with opened(browser, **PHONE["viewport"]) as other:  # the first phone's battery is dead
        other.goto(f"{server.address}/mixer/hill")
        assert plan_of(other)["white-cement"] > 1.2 * planned["white-cement"]  # in fewer batches
        other.get_by_role("link", name="Continue weighing").click()
        expect(other.locator(".bar-danger")).to_contain_text("Begun before the job changed")
        made(other)
        expect(other.locator(".bar-danger")).to_contain_text("Mixed for ")
        batch = ended(other, shop, "batch")
    assert batch.values["masses_kg"] == pytest.approx(planned, rel=0.01)


@pytest.mark.parametrize("kind", ["batch", "thrown"])
def test_a_batch_that_the_plan_lost_is_finished_or_thrown_after_a_reload(
    server: Server, phone: Any, shop: Path, kind: str
) -> None:
    planned = weighed_in_part(phone, server, shop)
    change(shop, 'mark = "C1"', 'mark = "K9"')
    phone.goto(f"{server.address}/mixer/hill")
    phone.get_by_role("link", name=BATCH).click()
    expect(phone.locator(".bar-danger")).to_have_text(
        "Begun before the job changed, with these amounts. Finish it with them, or throw it away."
    )
    if kind == "batch":
        made(phone)
        expect(phone.get_by_text("✓ ")).to_be_visible()
        expect(phone.locator(".bar-danger")).to_have_text("No longer in the plan")
        assert ended(phone, shop, kind).values["masses_kg"] == pytest.approx(planned, rel=0.01)
        phone.reload()
        expect(phone.get_by_role("button", name="Throw batch away", exact=True)).to_be_visible()
        return
    phone.get_by_role("button", name="Throw batch away", exact=True).click()
    expect(phone.get_by_role("button", name="Undo: Throw batch away")).to_be_visible()
    expect(phone.locator("button.big")).to_have_count(0)
    masses = ended(phone, shop, kind).values["masses_kg"]
    assert {name for name, kg in masses.items() if kg} == {
        record.values["material"] for record in records_of(shop / "hill" / "job.toml").of("weighing")
    }
    phone.get_by_role("button", name="Undo: Throw batch away").click()
    expect(phone.locator("[aria-label^='Material 3 of']")).to_be_visible()


def test_the_next_batch_has_the_plan_of_now(server: Server, phone: Any, shop: Path) -> None:
    begin(phone, server)
    made(phone)
    change(shop, 'length = "72 in"', 'length = "74 in"')
    urlopen(f"{server.address}/mixer/hill").close()  # estimated before the phone asks, which waits 4 s
    phone.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    expect(phone.locator(".bar-danger").first).to_contain_text("The job changed")
    phone.get_by_role("link", name="Start weighing").click()
    expect(phone.locator("[aria-label^='Material 1 of']")).to_be_visible()
    expect(phone.locator(".bar-danger")).to_have_count(0)
    day = phone.evaluate("JSON.parse(document.getElementById('day').textContent)")
    batch = next(batch for batch in day["pours"][0]["batches"] if batch["key"] == BATCH.replace(", 1", ", 2"))
    weight = float(phone.locator(".pm .in").input_value()) * 0.45359237
    assert weight == pytest.approx(batch["kg"][0], rel=0.01)


def test_a_batch_that_one_phone_threw_and_another_ended_is_done(
    server: Server, browser: Any, phone: Any, shop: Path
) -> None:
    begin(phone, server)
    tick(phone, 2)
    all_sent(phone, shop, 2)
    with opened(browser, **PHONE["viewport"]) as other:
        other.goto(f"{server.address}/mixer/hill")
        other.get_by_role("link", name="Continue weighing").click()
        other.locator("button.big").wait_for()
        other.context.set_offline(True)
        made(other)
        made(phone)
        phone.get_by_role("button", name="Throw batch away", exact=True).click()
        ended(phone, shop, "thrown")
        other.context.set_offline(False)
        ended(other, shop, "batch")
        other.wait_for_timeout(1000)
        other.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
        other.wait_for_timeout(1500)
        expect(other.get_by_text("✓ ")).to_be_visible()
        expect(other.get_by_role("button", name="Throw batch away", exact=True)).to_be_visible()


def test_two_lots_of_one_material_are_kept_with_the_weight_of_each(server: Server, phone: Any, shop: Path) -> None:
    begin(phone, server)
    name = phone.locator("h1").inner_text()
    phone.get_by_label("Lot on the sack").fill("A-17")
    whole = float(phone.locator(".pm .in").input_value())
    phone.get_by_role("link", name="Sack ran out").click()
    phone.get_by_role("button", name="I have another sack").click()
    expect(phone.locator("#wrong")).to_contain_text("Enter what is on the scale now")
    phone.locator(".pm .in").fill("5.0")
    phone.get_by_role("button", name="I have another sack").click()
    expect(phone.get_by_text("On the scale so far: 5.0 lb (A-17)")).to_be_visible()
    phone.reload()
    phone.get_by_label("Lot on the new sack").fill("B-2")
    phone.locator(".pm .in").fill("4.0")
    phone.locator("button.big").click()
    expect(phone.locator("#wrong")).to_have_text("5.0 lb is on the scale already. Enter the whole weight.")
    phone.locator(".pm .in").fill(f"{whole}")
    phone.locator("button.big").click()
    expect(phone.locator("h1").first).not_to_have_text(name)
    made(phone)
    rest = f"{whole - 5.0:.1f}"
    expect(phone.locator("table.tt tr").first).to_contain_text(f"5.0 lb (A-17) + {rest} lb (B-2)")
    masses = ended(phone, shop, "batch").values["masses_kg"]
    (sack,) = records_of(shop / "hill" / "job.toml").of("sack", batch=BATCH)
    (weighing,) = records_of(shop / "hill" / "job.toml").of("weighing", batch=BATCH, step=1)
    assert (sack.values["lot"], weighing.values["lot"]) == ("A-17", "B-2")
    assert masses[weighing.values["material"]] == pytest.approx(whole * 0.45359237)


def test_a_rescaled_batch_keeps_its_lots_and_pours_back_no_more_than_is_there(
    server: Server, phone: Any, shop: Path
) -> None:
    begin(phone, server)
    light = float(phone.locator(".pm .in").input_value()) / 2  # weighed short by mistake
    phone.locator(".pm .in").fill(f"{light:.1f}")
    phone.get_by_label("Lot on the sack").fill("A-17")
    tick(phone)
    phone.get_by_label("Lot on the sack").fill("S-1")
    whole = float(phone.locator(".pm .in").input_value())
    phone.get_by_role("link", name="Sack ran out").click()
    phone.locator(".pm .in").fill(f"{0.8 * whole:.1f}")
    expect(phone.locator("table.tt tr").nth(1)).to_contain_text(f"{light:.1f} lb{light:.1f} lb")
    phone.get_by_role("button", name="Rescale to").click()
    expect(phone.locator("[aria-label^='Material 3 of']")).to_be_visible()
    made(phone)
    rows = phone.locator("table.tt tr")
    expect(rows.nth(0)).to_contain_text("A-17")
    expect(rows.nth(1)).to_contain_text("S-1")
    material = records_of(shop / "hill" / "job.toml").of("weighing", step=1)[0].values["material"]
    assert ended(phone, shop, "batch").values["masses_kg"][material] == pytest.approx(light * 0.45359237, abs=0.03)


def test_a_batch_begun_before_the_job_changed_says_so_until_it_is_weighed_anew(
    server: Server, phone: Any, shop: Path
) -> None:
    begin(phone, server)
    tick(phone, 2)
    all_sent(phone, shop, 2)
    expect(phone.locator(".bar-danger")).to_have_count(0)
    job = shop / "hill" / "job.toml"
    job.write_text(job.read_text("utf-8").replace('"1 in"', '"3/4 in"'), "utf-8")
    phone.reload()
    expect(phone.locator(".bar-danger")).to_contain_text("Begun before the job changed")
    for _ in range(2):
        title = phone.locator("h1").inner_text()
        phone.get_by_role("button", name="Undo").click()
        expect(phone.locator("h1").first).not_to_have_text(title)
    expect(phone.locator(".bar-danger")).to_have_count(0)
    tick(phone, 2)
    while phone.locator(".steps").count():  # to its end, as it was begun
        tick(phone)
    job.write_text(job.read_text("utf-8").replace('"3/4 in"', '"1 in"'), "utf-8")
    phone.reload()
    expect(phone.get_by_role("heading", name="Mixing")).to_be_visible()
    expect(phone.locator(".bar-danger")).to_contain_text("Begun before the job changed")


def test_a_tick_is_undone_on_the_phone_and_in_the_shop(server: Server, phone: Any, shop: Path) -> None:
    begin(phone, server)
    first = phone.locator("h1").inner_text()
    phone.context.set_offline(True)
    tick(phone)
    phone.get_by_role("button", name=f"Undo: {first}").click()
    expect(phone.locator("h1").first).to_have_text(first)
    expect(phone.get_by_role("button", name="Undo")).to_have_count(0)
    phone.context.set_offline(False)
    tick(phone)
    all_sent(phone, shop, 1)


def test_two_phones_at_one_batch_with_a_server_killed_between_lose_and_double_nothing(
    server: Server, browser: Any, phone: Any, shop: Path
) -> None:
    with opened(browser, **PHONE["viewport"]) as other:
        begin(phone, server)
        begin(other, server)
        tick(phone)
        all_sent(phone, shop, 1)
        server.process.kill()
        server.process.communicate()
        tick(phone, 2)
        waits(phone, 2)
        server.start()
        all_sent(phone, shop, 3)
        other.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
        expect(other.get_by_label("Material 4 of", exact=False)).to_be_visible(timeout=15_000)
        while not other.locator(".stages").count():
            other.locator("button.big").click()
            other.wait_for_timeout(150)
        for tab in (other, phone):  # both finish it, the second before it hears of the first
            if tab is phone:
                phone.context.set_offline(True)
            while not tab.locator(".stages").count() and not tab.get_by_role("link", name="Density check").count():
                tab.locator("button.big").click()
                tab.wait_for_timeout(150)
            while tab.locator(".stages").count():
                tab.locator("button.big").click()
                tab.wait_for_timeout(150)
        phone.context.set_offline(False)
        for _ in range(100):
            if len(stored_entries_of(shop, "loaded")) > len(set(stored_entries_of(shop, "loaded"))):
                break
            phone.wait_for_timeout(100)
        phone.wait_for_timeout(500)
    records = records_of(shop / "hill" / "job.toml")
    (batch,) = records.of("batch")
    assert set(batch.values["masses_kg"]) == {record.values["material"] for record in records.of("weighing")}


def stored_entries_of(shop: Path, kind: str) -> list[int]:
    return [record.values["stage"] for record in records_of(shop / "hill" / "job.toml").of(kind)]


@pytest.mark.parametrize(("text", "share"), [("17,200", 1000.0), ("17.2", 1.0), ("17,2", 1.0), ("0017.20", 1.0)])
def test_a_figure_is_read_as_the_screen_writes_it(
    server: Server, phone: Any, shop: Path, text: str, share: float
) -> None:
    begin(phone, server)
    phone.locator(".pm .in").fill(text)
    phone.locator("button.big").click()
    all_sent(phone, shop, 1)
    [record] = records_of(shop / "hill" / "job.toml").of("weighing")
    assert record.values["mass_kg"] == pytest.approx(17.2 * 0.45359237 * share)


@pytest.mark.parametrize("text", ["", "1,72,00", "seven", "-3", "1e3", "0x10", "1.2.3"])
def test_what_is_no_figure_is_not_ticked(server: Server, phone: Any, shop: Path, text: str) -> None:
    begin(phone, server)
    phone.locator(".pm .in").fill(text)
    phone.locator("button.big").click()
    expect(phone.locator("#wrong")).to_be_visible()
    phone.wait_for_timeout(300)
    assert weighed(shop) == Counter()


def test_a_phone_whose_clock_is_a_day_off_keeps_the_time_of_the_shop(server: Server, phone: Any, shop: Path) -> None:
    phone.clock.set_system_time(datetime.now() - timedelta(days=1))
    begin(phone, server)
    tick(phone)
    all_sent(phone, shop, 1)  # heard from the shop
    phone.context.set_offline(True)
    tick(phone, 2)
    phone.clock.set_system_time(datetime.now() - timedelta(days=2))  # set back while it is used
    phone.get_by_role("button", name="Undo").click()
    phone.context.set_offline(False)
    for _ in range(100):
        if records_of(shop / "hill" / "job.toml").of("weighing", step=2):
            break
        phone.wait_for_timeout(100)
    phone.wait_for_timeout(500)
    kept = records_of(shop / "hill" / "job.toml").of("weighing")
    assert sorted(record.values["step"] for record in kept) == [1, 2]
    latest = max(datetime.fromisoformat(record.at) for record in kept)
    assert abs((datetime.now(UTC) - latest).total_seconds()) < 120.0


def test_a_full_phone_says_so_and_ticks_nothing_that_it_cannot_keep(server: Server, phone: Any, shop: Path) -> None:
    begin(phone, server)
    phone.evaluate(
        "() => { const put = IDBObjectStore.prototype.put; IDBObjectStore.prototype.put = function (row) {"
        " if (globalThis.full) throw new DOMException('full', 'QuotaExceededError'); return put.call(this, row); };"
        " globalThis.full = true; }"
    )
    title = phone.locator("h1").inner_text()
    phone.locator("button.big").click()
    expect(phone.get_by_role("alert").first).to_contain_text("no room")
    assert phone.locator("h1").inner_text() == title
    assert weighed(shop) == Counter()
    phone.evaluate("globalThis.full = false")
    tick(phone)
    all_sent(phone, shop, 1)
    expect(phone.get_by_text("no room")).to_have_count(0)


@pytest.mark.parametrize(("width", "height"), [(360, 640), (390, 844)])
def test_no_field_lies_under_the_buttons_and_no_figure_is_broken(
    server: Server, browser: Any, width: int, height: int
) -> None:
    with opened(browser, width, height) as phone:
        begin(phone, server)
        seen = 0
        while phone.locator("button.big").count():
            field, foot, figure = (phone.locator(part) for part in (".pm .in", ".foot", ".huge:not(.clock)"))
            if field.count():
                seen += 1
                box, below = field.bounding_box(), foot.bounding_box()
                assert box["y"] + box["height"] <= below["y"], phone.locator("h1").inner_text()
            if figure.count():
                box = figure.bounding_box()
                size = figure.evaluate("each => parseFloat(getComputedStyle(each).fontSize)")
                assert box["height"] < 1.5 * size
                assert figure.evaluate("each => each.scrollWidth <= each.clientWidth"), figure.inner_text()
                assert not any(sign.isdigit() for sign in figure.locator(".u").inner_text())
            phone.locator("button.big").click()
            phone.wait_for_timeout(120)
        assert seen > 5


def change(shop: Path, old: str, new: str) -> None:
    job = shop / "hill" / "job.toml"
    job.write_text(job.read_text("utf-8").replace(old, new), "utf-8")


def made(tab: Any) -> None:
    """Makes the batch on the screen to its end, as shown."""
    while tab.locator("button.big").count():
        tab.locator("button.big").click()
        tab.wait_for_timeout(120)


def test_another_piece_before_a_batch_that_is_done_takes_nothing_from_it(
    server: Server, phone: Any, shop: Path
) -> None:
    begin(phone, server)
    made(phone)
    job = shop / "hill" / "job.toml"
    for _ in range(100):
        if records_of(job).of("batch"):
            break
        phone.wait_for_timeout(100)
    first = '[[piece]]\nmark = "C1" '
    other = (
        '[[piece]]\nmark = "A1"\nuse = "counter"\nmix = "face"\npour = "0"\n'
        'shape = { kind = "slab", length = "30 in", width = "20 in", thickness = "1 in" }\n\n'
    )
    change(shop, first, other + first)
    phone.goto(f"{server.address}/mixer/hill")
    rows = phone.locator("ol.batches li")
    expect(rows.filter(has_text="done").filter(has_text="C1")).to_have_count(1)
    for pour in phone.locator("nav.pours a").all():
        pour.click()
        expect(rows.filter(has_text="A1").filter(has_text="done")).to_have_count(0)
    expect(phone.locator(".gone")).to_have_count(0)


def test_what_was_weighed_for_a_batch_that_the_plan_lost_stays_in_sight(server: Server, phone: Any, shop: Path) -> None:
    begin(phone, server)
    tick(phone, 2)
    all_sent(phone, shop, 2)
    change(shop, 'mark = "C1"', 'mark = "K9"')
    phone.goto(f"{server.address}/mixer/hill")
    expect(phone.locator("ol.batches").get_by_text("Weighing")).to_have_count(0)
    expect(phone.locator(".gone")).to_contain_text(BATCH)
    expect(phone.locator(".gone")).to_contain_text("Silica sand, ")
    expect(phone.locator(".gone li small")).to_have_count(3)
    change(shop, 'mark = "K9"', 'mark = "C1"')
    phone.reload()
    expect(phone.locator(".gone")).to_have_count(0)
    expect(phone.locator("ol.batches").get_by_text("Weighing")).to_have_count(1)


def test_a_batch_made_before_its_pieces_grew_says_so(server: Server, phone: Any, shop: Path) -> None:
    begin(phone, server)
    made(phone)
    expect(phone.locator(".bar-danger")).to_have_count(0)
    phone.wait_for_timeout(500)
    change(shop, 'length = "72 in"', 'length = "74 in"')
    phone.goto(f"{server.address}/mixer/hill")
    expect(phone.locator("ol.batches .bar-danger")).to_contain_text("Mixed for ")


def test_entries_of_before_batches_were_known_by_what_they_fill_still_count(
    server: Server, phone: Any, shop: Path
) -> None:
    phone.goto(f"{server.address}/mixer/hill")
    day = phone.evaluate("JSON.parse(document.getElementById('day').textContent)")
    batch = day["pours"][0]["batches"][0]
    step = day["forms"][batch["form"]]["steps"][0] | {"mass_kg": batch["kg"][0]}
    job = shop / "hill" / "job.toml"
    for batch, more in (("1-1", 0.0), ("7-1", 0.0), ("2-1", 5.0)):
        kg = step["mass_kg"] + more
        values = {"batch": batch, "step": step["step"], "material": step["material"], "mass_kg": kg, "target_kg": kg}
        add_record(job, Record("weighing", "2026-03-23T08:01:02Z", values))
    phone.reload()
    expect(phone.locator("ol.batches li").first).to_contain_text("1 of")
    expect(phone.locator(".gone li b")).to_have_text(["7-1", "2-1"])
    phone.get_by_role("link", name="Continue weighing").click()
    expect(phone.locator("[aria-label^='Material 2 of']")).to_be_visible()


def test_the_time_left_goes_on_by_itself_and_stays_on_every_screen(server: Server, phone: Any) -> None:
    phone.clock.install()
    begin(phone, server)
    while not phone.get_by_text("min left.").count():
        phone.locator("button.big").click()
        phone.wait_for_timeout(120)
    told = phone.locator(".body p.strong").filter(has_text="left.")
    before = told.inner_text()
    phone.context.set_offline(True)
    phone.clock.fast_forward("10:00")
    expect(told).not_to_have_text(before)
    assert int(before.split()[0]) - int(told.inner_text().split()[0]) in {10, 11}
    phone.get_by_role("link", name="Batches").click()
    expect(phone.locator("a.clock-line")).to_contain_text("min left.")
    phone.locator("ol.batches a").nth(1).click()
    expect(phone.locator("a.clock-line")).to_contain_text("C1")
    phone.clock.fast_forward("50:00")
    expect(phone.locator("a.clock-line")).to_contain_text("Do not place this batch.")


def test_every_pour_is_in_sight_on_a_narrow_phone(server: Server, browser: Any, shop: Path) -> None:
    for number in range(1, 6):
        change(
            shop,
            "[client]",
            f'[[piece]]\nmark = "D{number}"\npour = "long name {number}"\nuse = "counter"\n'
            'shape = { kind = "slab", length = "30 in", width = "20 in", thickness = "1 in" }\n\n[client]',
        )
    with opened(browser, 360, 740) as tab:
        tab.goto(f"{server.address}/mixer/hill")
        tab.locator("ol.batches").wait_for()
        links = tab.locator("nav.pours a").all()
        assert len(links) > 5
        for link in links:
            box = link.bounding_box()
            assert box["x"] >= 0
            assert box["x"] + box["width"] <= 360


def test_a_job_archived_in_mid_batch_says_so_and_loses_nothing(server: Server, phone: Any, shop: Path) -> None:
    begin(phone, server)
    tick(phone)
    all_sent(phone, shop, 1)
    (shop / "hill").rename(shop / "elsewhere")
    tick(phone)
    expect(phone.get_by_role("alert").filter(has_text="moved or archived")).to_be_visible(timeout=20_000)
    expect(phone.locator(".off")).to_have_count(0)
    (shop / "elsewhere").rename(shop / "hill")
    all_sent(phone, shop, 2)
    expect(phone.get_by_text("moved or archived")).to_have_count(0)


@pytest.mark.skipif(DATABASE is not None, reason="a file is put back")
@pytest.mark.parametrize("reload", [True, False])
def test_what_a_restored_back_up_lost_is_sent_again(server: Server, phone: Any, shop: Path, reload: bool) -> None:
    begin(phone, server)
    tick(phone)
    all_sent(phone, shop, 1)
    store = open_store(shop)
    saved = shop.parent / f"{shop.name}.saved"
    back_up(store, saved)
    store.close()
    tick(phone, 2)
    all_sent(phone, shop, 3)
    server.stop()
    restore(shop, saved)
    assert weighed(shop) == Counter([1])
    server.start()
    if reload:
        phone.reload()
    else:
        phone.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    all_sent(phone, shop, 3)


def test_a_batch_thrown_away_is_made_again_and_its_material_is_used(server: Server, phone: Any, shop: Path) -> None:
    job = shop / "hill" / "job.toml"
    begin(phone, server)
    first = phone.locator("h1").inner_text()
    for _ in range(2):
        made(phone)
        if not records_of(job).of("thrown"):
            phone.get_by_role("button", name="Throw batch away", exact=True).click()
            expect(phone.locator("h1").first).to_have_text(first)
    phone.wait_for_timeout(1000)
    (batch,), (thrown,) = records_of(job).of("batch"), records_of(job).of("thrown")
    assert thrown.values["masses_kg"] == pytest.approx(batch.values["masses_kg"])
    used = used_kg_of(records_of(job).records)
    assert used == pytest.approx({name: 2 * kg for name, kg in batch.values["masses_kg"].items()})


def test_a_batch_thrown_away_by_mistake_comes_back(server: Server, phone: Any, shop: Path) -> None:
    begin(phone, server)
    made(phone)
    phone.get_by_role("button", name="Throw batch away", exact=True).click()
    phone.get_by_role("button", name="Undo: Throw batch away").click()
    expect(phone.get_by_text("✓ ")).to_be_visible()
    phone.wait_for_timeout(1000)
    records = records_of(shop / "hill" / "job.toml")
    assert (len(records.of("batch")), records.of("thrown")) == (1, ())
