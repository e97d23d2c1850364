"""What the page answers to whom."""

import asyncio
from collections.abc import MutableMapping
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from starlette.types import Receive, Scope, Send

from estimator.page import guards
from estimator.page.guards import MOST_BODY
from estimator.page.statics import FOREVER, address
from tests.page.conftest import JOB, ORIGIN

CHANGE = {"at": "piece/0/shape/length", "text": "70 in", "was": "72 in"}


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1.evil.example", "", "localhost@evil.example"])
def test_a_foreign_host_is_refused(page: TestClient, host: str) -> None:
    assert page.get("/", headers={"host": host}).status_code == 421


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "http://evil.example"},
        {"origin": "http://127.0.0.1:9999"},  # another port is the same site, not the same origin
        {"origin": "null"},
        {"origin": ""},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
        {"sec-fetch-site": "none"},
        {"sec-fetch-site": "same-origin", "origin": "http://evil.example"},
    ],
)
def test_another_site_cannot_write(page: TestClient, shop: Path, headers: dict[str, str]) -> None:
    assert page.post("/jobs/hill/change", json=CHANGE, headers=headers).status_code == 403
    assert (shop / "hill" / "job.toml").read_text("utf-8") == JOB


def test_pages_of_the_shop_may_write(page: TestClient) -> None:
    assert page.post("/jobs/hill/change", json=CHANGE, headers={"sec-fetch-site": "same-origin"}).status_code == 200
    back = CHANGE | {"text": "72 in", "was": "70 in"}
    assert page.post("/jobs/hill/change", json=back, headers={"origin": ORIGIN}).status_code == 200


def test_a_body_is_bounded_whatever_its_header_says(page: TestClient) -> None:
    assert page.post("/jobs/hill/change", content=b"x" * (MOST_BODY + 1)).status_code == 413
    chunks = (b"x" * 100_000 for _ in range(20))
    assert page.post("/jobs/hill/change", content=chunks).status_code == 413


def test_every_answer_keeps_foreign_scripts_and_frames_out(page: TestClient) -> None:
    for path in ("/", "/jobs/hill", address("page.js"), "/nothing", "/jobs/hill/papers/quote.pdf"):
        headers = page.get(path).headers
        assert "default-src 'none'" in headers["content-security-policy"]
        assert "unsafe" not in headers["content-security-policy"]
        assert "require-trusted-types-for 'script'" in headers["content-security-policy"]
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["cache-control"] == (FOREVER if path.startswith("/static/") else "no-store")


@pytest.mark.parametrize(
    "path",
    ["/static/..%2f..%2fcli.py", "/static/x/%2e%2e/app.py", "/static/0123456789ab/page.js", "/jobs/..%2f..%2fetc",
     "/jobs/hill/papers/..%2fjob.toml",
     "/jobs/nothing", "/jobs/hill/papers/secret.pdf", "/crew/hill/X9", "/jobs/hill/why?figure=nothing"],
)  # fmt: skip
def test_nothing_outside_the_folder_is_found(page: TestClient, path: str) -> None:
    assert page.get(path).status_code == 404


def test_a_link_out_of_the_folder_is_no_job(
    page: TestClient, shop: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    outside = tmp_path_factory.mktemp("outside")
    (outside / "job.toml").write_text(JOB.replace("Hill house", "Elsewhere"), encoding="utf-8")
    (shop / "linked").symlink_to(outside)
    assert "Elsewhere" not in page.get("/").text


def test_text_of_a_job_is_text_on_the_page(page: TestClient, shop: Path) -> None:
    evil = JOB.replace("Hill house", "<script>alert(1)</script>").replace(
        "The hill house", '\\"><img src=x onerror=alert(1)>'
    )
    (shop / "hill" / "job.toml").write_text(evil, encoding="utf-8")
    for path in (
        "/",
        "/jobs/hill",
        "/jobs/hill/sheet",
        "/jobs/hill/sheet?at=client",
        "/crew/hill",
        "/?search=<img%20src=x>",
    ):
        text = page.get(path).text
        assert "<script>alert" not in text
        assert "<img" not in text


def test_a_half_sent_request_does_not_stay_open(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(guards, "SLOWEST_S", 0.05)
    sent: list[dict[str, object]] = []

    async def receive() -> dict[str, object]:
        await asyncio.sleep(60)
        return {"type": "http.disconnect"}

    async def send(message: MutableMapping[str, object]) -> None:
        sent.append(dict(message))

    async def reads(_scope: Scope, receive: Receive, _send: Send) -> None:
        await receive()

    scope = {"type": "http", "method": "GET", "path": "/", "scheme": "http", "headers": [(b"host", b"127.0.0.1")]}
    asyncio.run(guards.Guard(reads, ["127.0.0.1"])(scope, receive, send))
    assert sent[0]["status"] == 408


OUTSIDE = {
    "job/catalog": "prices.toml",
    "job/stock_file": "stock.toml",
    "business/logo": "logo.png",
    "business/font": "font.ttf",
    "schedule/0/file": "list.csv",
    "drawing/0/file": "plan.dxf",
}
"""Keys that name a file, and a name."""


@pytest.mark.parametrize("key", OUTSIDE)
@pytest.mark.parametrize("way", ["../../", "../other/", "/etc/../", "{root}/"])
def test_no_entry_names_a_file_outside_the_folder_of_its_job(page: TestClient, shop: Path, key: str, way: str) -> None:
    name = way.format(root=shop.parent.as_posix()) + OUTSIDE[key]
    for folder in (shop.parent, shop / "other"):
        folder.mkdir(exist_ok=True)
        (folder / OUTSIDE[key]).write_bytes(b"SECRET,=1\n")
    before = (shop / "hill" / "job.toml").read_bytes()
    at, _, last = key.rpartition("/")
    sent = {"at": at, "act": "save", key: name, "business/name": "x"}
    if last == "file":
        sent |= {"at": at.partition("/")[0], "act": "add"}
    answer = page.post("/jobs/hill/sheet", data=sent)
    assert (answer.status_code, "SECRET" in answer.text) == (422, False)
    assert (shop / "hill" / "job.toml").read_bytes() == before


def test_a_file_that_the_shop_named_outside_the_folder_stays_in_use(page: TestClient, shop: Path) -> None:
    job = shop / "hill" / "job.toml"
    (shop / "prices.toml").write_text("[price]\ntax = 0.05\n")
    job.write_bytes(job.read_bytes().replace(b"[job]\n", b'[job]\ncatalog = "../prices.toml"\n'))
    sent = {"at": "piece/0/shape/length", "text": "80 in", "was": "72 in", "mark": "C1"}
    assert page.post("/jobs/hill/change", json=sent).status_code == 200
    assert b'catalog = "../prices.toml"' in job.read_bytes()
