"""A computer on several networks: the shop chooses by which address phones and clients reach its page."""

from __future__ import annotations

import asyncio
import re
import socket
from collections.abc import Iterator
from errno import EACCES
from ipaddress import ip_address
from pathlib import Path

import pytest
from starlette.requests import Request
from starlette.testclient import TestClient

from estimator.commands.serve import _listening, _reached_at
from estimator.errors import InputError
from estimator.page.app import app_for
from estimator.page.papers import crew_address
from estimator.page.screen import Screens
from estimator.page.shelf import Shelf
from estimator.page.uploads import Uploads
from estimator.store import open_store
from tests.page.conftest import ORIGIN

OWN = ("http://192.0.2.7:8420/", "http://198.51.100.3:8420/")  # of no computer (RFC 5737)


@pytest.fixture
def bound(shop: Path) -> Iterator[TestClient]:
    """The page on two networks, called from its own computer."""
    with TestClient(app_for(shop, addresses=OWN), base_url=ORIGIN, headers={"origin": ORIGIN}) as client:
        yield client


def test_labels_and_links_are_offered_for_each_address(bound: TestClient) -> None:
    papers = bound.get("/jobs/hill/papers").text
    assert [address for address in OWN if address in papers] == list(OWN)
    first, second = (bound.get(f"/jobs/hill/papers/labels.pdf?at={at}").content for at in (0, 1))
    assert first[:5] == b"%PDF-"
    assert first != second
    sent = bound.post("/jobs/hill/client").text
    assert [address for address in OWN if f"{address}quote/" in sent] == list(OWN)
    assert "this computer only" not in sent


def test_a_label_of_a_job_with_spaces_in_its_name_holds_one_address(bound: TestClient, shop: Path) -> None:
    (shop / "hill").rename(shop / "Hill house #2")
    assert bound.get("/jobs/Hill house ~232/papers/labels.pdf").status_code == 200
    request = Request({"type": "http", "headers": [(b"host", b"127.0.0.1:8420")], "path": "/", "query_string": b"",
                       "scheme": "http", "server": ("127.0.0.1", 8420)})  # fmt: skip
    shelf = Shelf(shop)
    screens = Screens(shelf, Uploads(), open_store(shop), OWN)
    assert crew_address(screens, request, shelf.job("Hill house ~232")) == f"{OWN[0]}crew/Hill%20house%20~232/"


def test_phones_find_a_code_for_each_address(bound: TestClient) -> None:
    text = bound.get("/phone").text
    assert len(re.findall(r'<svg class="qr"', text)) == 2
    assert all(address in text for address in OWN)


def test_a_page_that_nobody_else_reaches_says_so(page: TestClient) -> None:
    assert "--host 0.0.0.0" in page.get("/jobs/hill/papers").text
    assert "this computer only" in page.get("/jobs/hill/client").text
    assert '<svg class="qr"' not in page.get("/phone").text


def test_only_addresses_that_others_reach_are_offered() -> None:
    assert _reached_at("127.0.0.1") == []
    assert _reached_at("192.0.2.7") == ["192.0.2.7"]
    assert not any(ip_address(own).is_loopback or ip_address(own).is_link_local for own in _reached_at("0.0.0.0"))


def test_the_parts_of_a_response_do_not_wait_for_each_other() -> None:
    # source: RFC 896 and RFC 1122, 4.2.3.2: a small segment waits until the one before is acknowledged, and an
    # acknowledgment may wait for up to 0.5 s; asyncio switches the first off for sockets of protocol TCP alone

    async def delays() -> int:
        accepted = asyncio.get_running_loop().create_future()
        listening = _listening("127.0.0.1", 0)
        server = await asyncio.start_server(lambda _, writer: accepted.set_result(writer), sock=listening)
        async with server:
            _, client = await asyncio.open_connection(*listening.getsockname())
            writer = await accepted
            without_delay = writer.get_extra_info("socket").getsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY)
            writer.close()
            client.close()
        return int(without_delay)

    assert asyncio.run(delays()) != 0


@pytest.mark.parametrize("host", ["192.0.2.7", "no.such.host.invalid", "a..b", "a b"])
def test_an_address_of_another_computer_is_refused_in_words(host: str) -> None:
    with pytest.raises(InputError, match=r"--host: .* is not an address of this computer\. Enter 0\.0\.0\.0"):
        _listening(host, 0)


def test_a_port_that_this_user_may_not_open_is_refused_in_words(monkeypatch: pytest.MonkeyPatch) -> None:
    def refused(*_: object) -> None:
        raise PermissionError(EACCES, "Permission denied")

    monkeypatch.setattr("socket.socket.bind", refused)
    with pytest.raises(InputError, match=r"--port: This user may not open port 80\. Enter a port from 1024 on"):
        _listening("127.0.0.1", 80)
