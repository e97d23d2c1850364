"""From a key to the figure on the screen: a size of a job of 50 pieces is changed at the desk, in a real browser.

Run from the project's root: python -m tests.benchmarks.bench_page [EDITS]. The floor beside each edit is the same key
in the same tab, answered by a file of the page that is filled into the same place: the browser, the server's input and
output, and the paint, without a job. Edits and floors take turns, so that other work on the machine weighs on both.
The processor time of the server is what an edit costs it, browser and paint aside.
"""

from __future__ import annotations

import os
import random
import sys
import tempfile
from pathlib import Path
from typing import Any

from playwright.sync_api import sync_playwright

from tests.page.test_browser import CHROMIUM, Server

EDITS, WARM = 60, 6
PIECES = 50
HEAD = '[job]\nname = "Ferry terminal"\nunits = "metric"\ncurrency = "EUR"\nmix = "backer-45"\n'
WATCH = """() => {
  const figure = document.querySelector('[data-f="lift"]'), floor = document.createElement("input");
  floor.id = "floor";
  document.querySelector("#desk").append(floor);
  window.took = { edit: [], floor: [] };
  let begun = 0, of = "", done = null;
  window.until = (kind, count) => new Promise((resolve) => { // without asking again and again, which would cost time
    done = () => { if (took[kind].length >= count) resolve(); };
    done();
  });
  document.addEventListener("keydown", (event) => {
    if (event.key !== "Enter") return;
    begun = event.timeStamp;
    of = event.target === floor ? "floor" : "edit";
    const { src } = document.querySelector("script[src]");
    if (of === "floor") fetch(src, { cache: "no-store" }).then((reply) => reply.text()).then((text) => {
      figure.textContent = `${text.length} ${begun}`;
    });
  }, true);
  const after = new MessageChannel();
  after.port1.onmessage = () => {
    took[of].push(performance.now() - begun);
    begun = 0;
    done?.();
  };
  new MutationObserver(() => { if (begun) requestAnimationFrame(() => after.port2.postMessage(0)); })
    .observe(figure, { childList: true, characterData: true, subtree: true });
}"""


def job() -> str:
    """Unlike slabs, each with a sink, typed into a job file."""
    between = random.Random(5).randint
    pieces = (
        f'\n[[piece]]\nmark = "S{number}"\nuse = "counter"\nshape = {{ kind = "slab", '
        f'length = "{between(1200, 2400)} mm", width = "{between(550, 700)} mm", '
        f'thickness = "{(20, 22, 25)[number % 3]} mm", cutouts = [{{ kind = "rectangle", '
        f'length = "{between(450, 700)} mm", width = "{between(350, 400)} mm", '
        f'x = "{between(150, 400)} mm", y = "{between(80, 120)} mm" }}] }}\n'
        for number in range(1, PIECES + 1)
    )
    return HEAD + "".join(pieces)


def processor_s(pid: int) -> float:
    """Processor time of a process so far."""
    parts = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    return (int(parts[11]) + int(parts[12])) / os.sysconf("SC_CLK_TCK")


def until(tab: Any, kind: str, count: int) -> None:
    tab.evaluate(f"until('{kind}', {count})")


def at(times: list[float], share: float) -> float:
    return sorted(times)[min(int(share * len(times)), len(times) - 1)]


def measured(server: Server, edits: int) -> tuple[list[float], list[float], float]:
    """Milliseconds from key to figure of each edit and of each floor, and the server's processor time of one edit."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM)
        tab = browser.new_page(viewport={"width": 1280, "height": 900})
        tab.goto(f"{server.address}/jobs/ferry")
        tab.evaluate(WATCH)
        length, floor = tab.get_by_label("Length", exact=True), tab.locator("#floor")
        begun_s = 0.0
        for number in range(1, edits + WARM + 1):
            if number == WARM + 1:
                begun_s = processor_s(server.process.pid)
            length.fill(f"{1300 + 7 * number} mm")
            length.press("Enter")
            until(tab, "edit", number)
            floor.press("Enter")
            until(tab, "floor", number)
        cost_s = (processor_s(server.process.pid) - begun_s) / edits
        took = tab.evaluate("took")
        browser.close()
    return took["edit"][WARM:], took["floor"][WARM:], cost_s


def main() -> None:
    edits = int(sys.argv[1]) if len(sys.argv) > 1 else EDITS
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name, "ferry")
        folder.mkdir()
        (folder / "job.toml").write_text(job(), encoding="utf-8")
        server = Server(Path(name))
        try:
            ours, floors, cost_s = measured(server, edits)
        finally:
            server.process.kill()
            server.process.communicate()
    print(
        f"{PIECES} pieces, one length changed, {edits} times: from key to figure {at(ours, 0.5):.0f} ms, "
        f"95th percentile {at(ours, 0.95):.0f} ms; floor {at(floors, 0.5):.0f} and {at(floors, 0.95):.0f} ms, "
        f"{at(ours, 0.5) / at(floors, 0.5):.1f} and {at(ours, 0.95) / at(floors, 0.95):.1f} times; "
        f"{1e3 * cost_s:.0f} ms of the server's processor time, load {os.getloadavg()[0]:.1f}"
    )


if __name__ == "__main__":
    main()
