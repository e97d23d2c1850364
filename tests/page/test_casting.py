"""From a quote to the piece in hand: accepted on the client's phone, mixed without a network, weighed by its label."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from estimator import estimate, load_job
from estimator.report.papers.labels import code_text
from estimator.store.records import records_of
from tests.page.test_browser import Server, browser, opened, server, sync_api, tab

__all__ = ["browser", "server", "tab"]
expect = sync_api.expect


def signed(client: Any) -> None:
    """Draws a line in the box, like a finger."""
    pad = client.locator("#pad")
    pad.scroll_into_view_if_needed()
    box = pad.bounding_box()
    client.mouse.move(box["x"] + 20, box["y"] + 40)
    client.mouse.down()
    for step in range(1, 8):
        client.mouse.move(box["x"] + 20 + 25 * step, box["y"] + 40 - 15 * (step % 2))
    client.mouse.up()


def accepted(browser: Any, tab: Any, server: Server) -> None:
    """Sends the quote from the desk and accepts it on the client's phone."""
    tab.goto(f"{server.address}/jobs/hill/client")
    tab.get_by_role("button", name="Make a link to this quote").click()
    link, code = tab.locator("#link").inner_text(), tab.locator("#code").inner_text()
    with opened(browser, 390, 844) as client:
        client.goto(link)
        client.get_by_label("Access code").fill(code)
        client.get_by_role("button", name="Open the quote").click()
        client.get_by_label("Your name").fill("Invented Client")
        signed(client)
        client.get_by_label("I accept this quote").check()
        client.get_by_role("button", name="Accept and send").click()
        expect(client.get_by_text("Accepted. Thank you.")).to_be_visible()
        expect(client.get_by_role("img", name="Signature")).to_be_visible()
    tab.reload()
    expect(tab.get_by_text("Accepted by Invented Client")).to_be_visible()


def test_an_accepted_job_is_mixed_without_a_network_and_weighed_by_its_label(
    server: Server, browser: Any, tab: Any, shop: Path
) -> None:
    accepted(browser, tab, server)
    job = shop / "hill" / "job.toml"
    with opened(browser, 390, 844) as phone:
        phone.goto(f"{server.address}/phone")
        phone.get_by_role("link", name="Mixer").click()
        phone.get_by_role("link", name="Start weighing").click()
        phone.context.set_offline(True)
        for _ in range(60):
            if phone.get_by_role("link", name="Density check").count():
                break
            phone.locator("button.big").click()
            phone.wait_for_timeout(120)
        phone.get_by_role("link", name="Density check").click()
        phone.get_by_role("button", name="Keep this weight").click()
        expect(phone.locator(".off")).to_contain_text("Offline.")
        assert records_of(job).of("batch") == ()
        phone.context.set_offline(False)
        expect(phone.locator(".off")).to_have_count(0)
        for _ in range(100):
            if records_of(job).of("bucket"):
                break
            phone.wait_for_timeout(100)
        assert len(records_of(job).of("batch")) == len(records_of(job).of("bucket")) == 1

        planned = estimate(load_job(job))
        label = code_text("C2", f"{server.address}/crew/hill/", planned.result.job.revision or "")
        phone.goto(label)
        weight = planned.result.pieces[1].weight.lift_kg / 0.45359237
        shown = float(phone.locator("#carry .huge").inner_text().split("lb")[0])
        assert 0.0 <= shown - weight < 1.0
    tab.goto(f"{server.address}/jobs/hill/density")
    expect(tab.get_by_role("heading", name="Density checks")).to_be_visible()
    expect(tab.get_by_text("No density check yet")).to_have_count(0)
