"""Nothing that lets somebody in stands in a log, an address or a page, beyond the client's own link."""

from __future__ import annotations

import re
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from http.client import HTTPConnection
from pathlib import Path
from urllib.parse import urlencode

import pytest

from tests.page.conftest import DATABASE

OFFICE_PASSWORD, SHOP_PASSWORD = "correct horse battery", "another long secret"
CODE = re.compile(r"Access code: (\S+)\. ")


class Visitor:
    """A browser that notes every address it was at, and every page and header it got."""

    def __init__(self, port: int) -> None:
        self.port, self.cookies = port, dict[str, str]()
        self.addresses, self.answers = list[str](), list[str]()

    def ask(self, method: str, path: str, **form: str) -> tuple[int, str]:
        line = HTTPConnection("127.0.0.1", self.port, timeout=30)
        head = {"origin": f"http://127.0.0.1:{self.port}", "accept": "text/html", "user-agent": "test"}
        head["cookie"] = "; ".join(f"{name}={value}" for name, value in self.cookies.items())
        if method == "POST":
            head["content-type"] = "application/x-www-form-urlencoded"
        self.addresses.append(path)
        line.request(method, path, urlencode(form) if form else None, head)
        answer = line.getresponse()
        text = answer.read().decode("utf-8", "replace")
        for name, value in answer.getheaders():
            if name == "set-cookie":
                key, _, rest = value.partition("=")
                self.cookies[key] = rest.partition(";")[0]
            elif name == "location":
                self.addresses.append(value)
        self.answers.append(text)
        line.close()
        return answer.status, text


@pytest.fixture
def serving(shop: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[int, Path]]:
    """Port of a page that other computers could reach, and the file with all that it writes."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    log = tmp_path_factory.mktemp("log") / "all.txt"
    command = [sys.executable, "-m", "estimator", "serve", str(shop), "--no-browser", "--port", str(port)]
    command += ["--host", "0.0.0.0", *(["--database", DATABASE] if DATABASE else [])]
    with log.open("wb") as stream, subprocess.Popen(command, stdout=stream, stderr=stream) as server:
        for _ in range(200):
            with socket.socket() as line:
                if line.connect_ex(("127.0.0.1", port)) == 0 and CODE.search(log.read_text("utf-8")):
                    break
            time.sleep(0.1)
        yield port, log
        server.terminate()


def test_no_log_and_no_address_holds_a_secret(serving: tuple[int, Path], shop: Path) -> None:
    port, log = serving
    said = CODE.search(log.read_text("utf-8"))
    assert said is not None
    start_code = said[1]
    before_people = log.read_text("utf-8")
    office, crew, client = Visitor(port), Visitor(port), Visitor(port)
    assert office.ask("POST", "/enter", code="wrong", to="/")[0] == 403
    office.ask("POST", "/enter", code=start_code, to="/")
    office.ask("POST", "/people", name="Olive", role="office", secret=OFFICE_PASSWORD)
    office.ask("POST", "/sign-in?to=%2F", name="Olive", secret="wrong " + OFFICE_PASSWORD)
    office.ask("POST", "/sign-in?to=%2F", name="Olive", secret=OFFICE_PASSWORD)
    _, page = office.ask("POST", "/people", name="Casey", role="crew", secret="")
    of_crew = re.search(r"Casey: (\w+)", page)
    assert of_crew is not None
    crew.ask("POST", "/sign-in?to=%2Fphone", name="Casey", secret=of_crew[1])
    crew.ask("GET", "/mixer/hill")
    office.ask("POST", "/password", now=OFFICE_PASSWORD, new=SHOP_PASSWORD)
    _, page = office.ask("POST", "/jobs/hill/client")
    link, code = re.search(r'id="link">[^<]*(/quote/[^<]+)<', page), re.search(r'id="code">([^<]+)<', page)
    assert link is not None
    assert code is not None
    client.ask("POST", f"{link[1]}/code", code="nope22")
    client.ask("POST", f"{link[1]}/code", code=code[1])
    assert "Accept this quote" in client.ask("GET", link[1])[1]
    office.ask("GET", "/jobs/hill/changes")
    office.ask("GET", "/jobs/hill%00/x")
    office.ask("POST", "/jobs/hill/change")  # not JSON
    secrets = {OFFICE_PASSWORD, SHOP_PASSWORD, of_crew[1], code[1]}
    secrets |= {value for who in (office, crew, client) for value in who.cookies.values() if len(value) > 8}
    assert len(secrets) >= 7
    written = log.read_text("utf-8").removeprefix(before_people)
    addresses = "\n".join((*office.addresses, *crew.addresses, *client.addresses))
    for secret in {*secrets, start_code}:
        assert secret not in addresses
        assert secret not in written
    assert link[1].rpartition("/")[2] not in written  # the link itself stands in no log either
    assert "/quote/" not in "".join(crew.answers)
    shown_once = {of_crew[1], code[1]}  # on the page that made them
    for secret in secrets:
        pages = [text for who in (office, crew, client) for text in who.answers if secret in text]
        assert len(pages) == (secret in shown_once), secret
    kept = [path for path in shop.rglob("*") if path.is_file()]
    for secret in secrets:
        assert not [path.name for path in kept if secret.encode() in path.read_bytes()], "stored as a hash alone"
