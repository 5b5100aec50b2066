"""What a hostile neighbour gets from the desk: nothing.

After the OWASP cheat sheets on cross-site request forgery and DNS rebinding, tried by plain requests from outside.
"""

from __future__ import annotations

import os
import signal
import socket
from contextlib import suppress
from pathlib import Path

import pytest

from tests.desk_server import Running, running


def test_nobody_enters_without_the_key(desk: Running) -> None:
    for path in ("/", "/jobs/any", "/pages/desk.js", "/?key=", "/?key=wrong", "/nothing"):
        status, headers, body = desk.ask("GET", path, known=False)
        assert status == 403
        assert "set-cookie" not in headers
        assert b"terminal" in body


def test_the_key_becomes_a_cookie_that_no_script_reads_and_no_other_site_sends(desk: Running) -> None:
    status, headers, _ = desk.ask("GET", f"/?key={desk.key}", known=False)
    assert (status, headers["location"]) == (303, "/")
    cookie = headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=strict" in cookie
    assert desk.ask("GET", "/")[0] == 200


@pytest.mark.parametrize(
    "host", ["evil.example", "127.0.0.1", "127.0.0.1:80", "", "localhost.evil.example:{port}"]
)
def test_another_host_name_gets_nothing(desk: Running, host: str) -> None:
    """A name that was made to point here (DNS rebinding) is in Host."""
    status, _, body = desk.ask("GET", "/", headers={"host": host.format(port=desk.port)})
    assert status in {400, 403}
    assert b"<main" not in body


@pytest.mark.parametrize(
    "origin",
    ["http://evil.example", "null", "", "https://127.0.0.1:{port}", "http://127.0.0.1:1", "http://127.0.0.1"],
)
def test_another_origin_changes_nothing(desk: Running, origin: str) -> None:
    before = sorted(path.name for path in desk.folder.iterdir())
    for path in ("/jobs", "/jobs/any/set", "/jobs/any/forget"):
        status, _, _ = desk.ask("POST", path, {"a": "b"}, {"origin": origin.format(port=desk.port)})
        assert status == 403
    assert sorted(path.name for path in desk.folder.iterdir()) == before


def test_every_answer_forbids_what_is_not_ours(desk: Running) -> None:
    for path in ("/", "/nothing", "/pages/desk.js"):
        _, headers, _ = desk.ask("GET", path)
        policy = headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "script-src 'self'" in policy
        assert "unsafe" not in policy
        assert "frame-ancestors 'none'" in policy
        assert headers["x-content-type-options"] == "nosniff"


def test_only_the_loopback_address_listens(desk: Running) -> None:
    """From the address that others see, there is nobody."""
    probe = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
    try:
        probe.connect(
            ("192.0.2.1", 9)
        )  # TEST-NET-1 (RFC 5737): nothing is sent by connecting a datagram socket
        outside = probe.getsockname()[0]
    except OSError:
        pytest.skip("this machine has no address but the loopback")
    finally:
        probe.close()
    if outside.startswith("127."):
        pytest.skip("this machine has no address but the loopback")
    with pytest.raises(OSError, match=r".*"):
        socket.create_connection((outside, desk.port), timeout=1).close()


@pytest.mark.parametrize(
    "path",
    [
        "/jobs/..%2f..%2fetc", "/jobs/../../etc/passwd", "/jobs/%2e%2e/made/passwd", "/jobs/a/view/..%2fjob.toml",
        "/jobs/a/made/..%2fjob.toml", "/pages/..%2fserve.py", "/pages/../guard.py", "/shared/..%2f..%2fpage.py", "/jobs/%00",
    ],
)  # fmt: skip
def test_no_name_is_a_path(desk: Running, path: str) -> None:
    status, _, body = desk.ask("GET", path)
    assert status in {400, 404, 405}
    assert b"root:" not in body
    assert b"import" not in body


def test_more_than_is_taken_is_refused_before_it_is_read(desk: Running) -> None:
    with socket.create_connection(("127.0.0.1", desk.port), timeout=10) as link:
        link.sendall(
            f"POST /jobs HTTP/1.1\r\nhost: 127.0.0.1:{desk.port}\r\norigin: http://127.0.0.1:{desk.port}\r\n"
            f"cookie: {desk.cookie}\r\ncontent-length: 900000000000\r\n\r\n".encode()
        )
        assert link.recv(100).startswith(b"HTTP/1.1 413")


@pytest.mark.parametrize(
    "raw",
    [
        b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03", b"GET /\r\n\r\n", b"GET / HTTP/9.9\r\n\r\n", b"\x00" * 2000,
        b"GET / HTTP/1.1\r\nhost: a\r\nhost: b\r\n\r\n", b"POST /jobs HTTP/1.1\r\ntransfer-encoding: chunked\r\n\r\nffffffffff\r\n",
        b"GET /" + b"a" * 200_000 + b" HTTP/1.1\r\n\r\n",
    ],
)  # fmt: skip
def test_noise_does_not_end_it(desk: Running, raw: bytes) -> None:
    with socket.create_connection(("127.0.0.1", desk.port), timeout=10) as link:
        got = b""
        with suppress(OSError):  # it may close the line before all of it is sent
            link.sendall(raw)
            link.shutdown(socket.SHUT_WR)
            got = link.recv(1000)
    assert b"200 OK" not in got
    assert desk.ask("GET", "/")[0] == 200


def test_two_desks_have_their_own_keys_and_ctrl_c_ends_one_cleanly(desk: Running, tmp_path: Path) -> None:
    with running(tmp_path) as other:
        assert other.key != desk.key
        assert other.ask("GET", "/", headers={"cookie": desk.cookie})[0] == 403
        assert desk.ask("GET", "/", headers={"cookie": f"{desk.cookie}; {other.enter()}"})[0] == 200
        workers = other.children()
        other.process.send_signal(signal.SIGINT)
        other.process.wait(10)
        assert other.process.stdout is not None
        assert "Traceback" not in other.process.stdout.read()
        for pid in workers:
            with pytest.raises(ProcessLookupError):
                os.kill(pid, 0)
