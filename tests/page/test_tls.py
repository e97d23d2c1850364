"""The page over TLS, with a certificate that phones take."""

from __future__ import annotations

import signal
import socket
import ssl
import subprocess
import sys
from datetime import timedelta
from ipaddress import ip_address
from pathlib import Path

import pytest

from estimator.page.tls import AUTHORITY, FOLDER, SERVER, certificate

pytest.importorskip("trustme")
x509 = pytest.importorskip("cryptography.x509")


def test_phones_take_the_certificate(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    # from memory: some phones refuse more than 825 days, even of an authority that they trust, others more than 398
    certificate(tmp_path, {"localhost", "192.0.2.7"})
    assert str(tmp_path / FOLDER / AUTHORITY) in capsys.readouterr().err
    own = x509.load_pem_x509_certificate((tmp_path / FOLDER / SERVER).read_bytes())
    assert own.not_valid_after_utc - own.not_valid_before_utc < timedelta(days=398)
    names = own.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    assert names.get_values_for_type(x509.DNSName) == ["localhost"]
    assert names.get_values_for_type(x509.IPAddress) == [ip_address("192.0.2.7")]
    assert "O=Shop page" in own.subject.rfc4514_string()
    first = (tmp_path / FOLDER / AUTHORITY).read_bytes()
    certificate(tmp_path, {"localhost"})
    assert (tmp_path / FOLDER / AUTHORITY).read_bytes() == first  # a phone trusts it once


def test_a_phone_asleep_does_not_hold_up_the_end_of_the_page(shop: Path) -> None:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = [sys.executable, "-m", "estimator", "serve", str(shop), "--no-browser", "--tls", "--port", str(port)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as server:
        assert server.stdout is not None
        assert server.stdout.readline() == f"https://127.0.0.1:{port}/\n"
        trust = ssl.create_default_context(cafile=str(shop / FOLDER / AUTHORITY))
        plain = socket.create_connection(("127.0.0.1", port))
        with trust.wrap_socket(plain, server_hostname="127.0.0.1") as phone:
            phone.sendall(b"GET /phone-worker.js HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n")
            assert phone.recv(100).startswith(b"HTTP/1.1 200")
            server.send_signal(signal.SIGINT)
            _, errors = server.communicate(timeout=10)
    assert errors.splitlines() == [f"Install {shop / FOLDER / AUTHORITY} on each phone once, as a trusted certificate."]
