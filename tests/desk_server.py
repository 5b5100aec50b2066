"""A desk that runs as a maker starts it: a process of its own, its address read from what it prints."""

from __future__ import annotations

import http.client
import json
import os
import re
import subprocess
import sys
import time
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlencode

from typer.testing import CliRunner

from cutprep.cli.app import app

SAMPLES = Path(__file__).parents[1] / "samples"


@dataclass
class Running:
    """A desk at work, and what a browser knows of it."""

    process: subprocess.Popen[str]
    port: int
    key: str
    folder: Path
    cookie: str = field(default="")

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}/?key={self.key}"

    def ask(
        self,
        method: str,
        path: str,
        body: bytes | str | Mapping[str, str] | None = None,
        headers: Mapping[str, str] | None = None,
        *,
        known: bool = True,
    ) -> tuple[int, dict[str, str], bytes]:
        """Send one request; `known` sends the cookie and the origin of our own page along."""
        told: dict[str, str] = {}
        if known:
            told = {"cookie": self.cookie or self.enter()}
            if method != "GET":
                told["origin"] = f"http://127.0.0.1:{self.port}"
        if isinstance(body, Mapping):
            body = urlencode(body)
            told["content-type"] = "application/x-www-form-urlencoded"
        link = http.client.HTTPConnection("127.0.0.1", self.port, timeout=20)
        try:
            link.request(method, path, body=body, headers={**told, **(headers or {})})
            answer = link.getresponse()
            return answer.status, {k.lower(): v for k, v in answer.getheaders()}, answer.read()
        finally:
            link.close()

    def enter(self) -> str:
        """Open the address that was printed; the cookie that it gives."""
        _, headers, _ = self.ask("GET", f"/?key={self.key}", known=False)
        self.cookie = headers["set-cookie"].split(";")[0]
        return self.cookie

    def change(self, job: str, way: str, **words: str) -> tuple[int, dict[str, object]]:
        """Change a job as the page does."""
        sent = {key.replace("__", "/").replace("_0", "-0"): value for key, value in words.items()}
        status, _, body = self.ask("POST", f"/jobs/{job}/{way}", sent, {"x-desk": "1"})
        return status, json.loads(body)

    def drop(self, *files: tuple[str, bytes]) -> tuple[int, str, str]:
        """Drop files on the first page: status, name of the job, text of the answer."""
        status, headers, body = self._post_files("/jobs", files)
        return status, headers.get("location", "").rpartition("/")[2], body.decode()

    def send_file(self, job: str, way: str, name: str, data: bytes) -> tuple[int, dict[str, object]]:
        """Change a job by a file, as the page does."""
        status, _, body = self._post_files(f"/jobs/{job}/{way}", [(name, data)], {"x-desk": "1"})
        return status, json.loads(body)

    def _post_files(
        self, path: str, files: Iterable[tuple[str, bytes]], headers: Mapping[str, str] | None = None
    ) -> tuple[int, dict[str, str], bytes]:
        boundary = "honey"
        parts = b"".join(
            f'--{boundary}\r\ncontent-disposition: form-data; name="files"; filename="{name}"\r\n\r\n'.encode()
            + data
            + b"\r\n"
            for name, data in files
        )
        kind = {"content-type": f"multipart/form-data; boundary={boundary}", **(headers or {})}
        return self.ask("POST", path, parts + f"--{boundary}--\r\n".encode(), kind)

    def begun(self, *names: str) -> str:
        """Drop samples; the job's name."""
        status, job, _ = self.drop(*((name, (SAMPLES / name).read_bytes()) for name in names))
        assert status == 303
        return job

    def children(self) -> list[int]:
        """Its processes at work; none where the system does not list them."""
        tasks = Path(f"/proc/{self.process.pid}/task")
        listed = [(task / "children").read_text() for task in tasks.iterdir()] if tasks.is_dir() else []
        return [int(pid) for words in listed for pid in words.split()]

    def require_same_as_the_command(self, job: str, out: Path) -> None:
        """Prepare the job's folder by the command line; what the desk made must be the same to the last byte."""
        plan = str(self.folder / job / "job.toml")
        said = CliRunner().invoke(app, ["prepare", plan, "--out", str(out)])
        assert said.exit_code == 0, said.output
        made = self.folder / job / "made"
        assert sorted(p.name for p in out.iterdir()) == sorted(p.name for p in made.iterdir())
        for path in out.iterdir():
            assert path.read_bytes() == (made / path.name).read_bytes(), path.name

    def paper(
        self, job: str, *, section: str = "cutting", state: str = "done", within: float = 60
    ) -> dict[str, object]:
        """Wait until a section of the job as it is now has come to a state; the whole paper."""
        path = self.folder / job / "paper.json"
        until = time.monotonic() + within
        while time.monotonic() < until:
            if path.is_file():
                paper = json.loads(path.read_text())
                now = (self.folder / job / "versions" / "now").read_text()
                if str(paper["version"]) == now and paper["sections"].get(section, {}).get("state") == state:
                    return paper
            time.sleep(0.05)
        raise AssertionError(
            f"{section} did not come to '{state}': {path.read_text()[:500] if path.is_file() else ''}"
        )


@contextmanager
def running(folder: Path, *options: str, own: Path | None = None) -> Iterator[Running]:
    """Start a desk, and end it."""
    process = subprocess.Popen(
        [sys.executable, "-m", "cutprep", "desk", str(folder), "--no-browser", *options],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        env={**os.environ, "CUTPREP_FOLDER": str(own or folder / "own"), "NO_COLOR": "1"},
    )
    assert process.stdout is not None
    try:
        said = process.stdout.readline()
        found = re.search(r"http://127\.0\.0\.1:(\d+)/\?key=(\S+)", said)
        assert found, said + process.stdout.read()
        desk = Running(process, int(found[1]), found[2], folder)
        for _ in range(100):
            try:
                desk.enter()
                break
            except OSError:
                time.sleep(0.05)
        yield desk
    finally:
        process.terminate()
        process.wait(10)
        process.stdout.close()
