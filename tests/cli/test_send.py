"""`cutprep send` and `cutprep ports`, from outside: a real socket, a real folder, a real Ctrl-C."""

from __future__ import annotations

import json
import socket
import threading
from pathlib import Path

import pytest
from typer.testing import CliRunner

from cutprep.cli.app import app
from cutprep.cli.machines import sending
from cutprep.errors import JobError
from cutprep.profile.line import LineStyle
from cutprep.stages.write.machine_file import write
from tests.plans import MACHINE, plan

SAMPLES = Path(__file__).parents[2] / "samples"
PROFILE = """area = "300x400mm"
languages = ["gcode", "hpgl"]
[motion]
travel_speed = 4000
acceleration = 50000
top_speed = 4000
[gcode]
dwell = 0
arcs = false
[line]
wake = 0.0
patience = 1
[[tool]]
name = "drag knife"
number = 1
does = ["cut", "score"]
speed = 4000
"""


class Answering:
    """A controller on the loopback address that answers each line at once; after `silent` lines it answers none."""

    def __init__(self, silent: int = 10_000) -> None:
        self._server = socket.create_server(("127.0.0.1", 0))
        self.port = f"127.0.0.1:{self._server.getsockname()[1]}"
        self.lines: list[str] = []
        self._silent = silent
        self._thread = threading.Thread(target=self._serve, daemon=True)
        self._thread.start()

    def _serve(self) -> None:
        try:
            called, _ = self._server.accept()
        except OSError:
            return  # it was closed, and nobody had called
        with called, called.makefile("rb") as rows:
            for row in rows:
                self.lines.append(row.decode("ascii").strip())
                if len(self.lines) <= self._silent:
                    called.sendall(b"ok\r\n")

    def done(self) -> list[str]:
        self._server.close()
        self._thread.join(5)
        return self.lines


@pytest.fixture(autouse=True)
def own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Logs are kept in the maker's own folder."""
    monkeypatch.setenv("CUTPREP_FOLDER", str(tmp_path / "own"))


@pytest.fixture
def profile(tmp_path: Path) -> Path:
    (tmp_path / "bench.toml").write_text(PROFILE)
    return tmp_path / "bench.toml"


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "tag.gcode"
    path.write_text(write(plan([(1, [(x, 5), (x, 25)]) for x in (5, 10, 15)]), MACHINE, "gcode"))
    return path


def call(*words: object, typed: str = ""):  # type: ignore[no-untyped-def]
    return CliRunner().invoke(app, [str(word) for word in words], input=typed)


def test_a_file_goes_to_a_controller_line_by_line_once_she_agrees(
    file: Path, profile: Path, tmp_path: Path
) -> None:
    machine = Answering()
    result = call("send", file, "--to", machine.port, "--machine", profile, typed="y\n")
    assert result.exit_code == 0, result.output
    assert machine.done() == file.read_text().splitlines()
    assert "Its own switch is the emergency stop" in result.output
    assert "All of tag.gcode was sent, and taken." in result.output
    log = next((tmp_path / "own" / "sent").glob("*-tag-gcode.log")).read_text()
    assert all(line in log for line in machine.lines)


def test_she_who_does_not_agree_sends_nothing(file: Path, profile: Path) -> None:
    for typed in ("n\n", "", "later\n"):
        machine = Answering()
        result = call("send", file, "--to", machine.port, "--machine", profile, typed=typed)
        assert result.exit_code == 1
        assert "the machine was sent nothing that works" in result.output
        assert machine.done() == []


def test_a_silent_controller_ends_with_the_stroke_to_go_on_from(file: Path, profile: Path) -> None:
    machine = Answering(silent=12)
    result = call("send", file, "--to", machine.port, "--machine", profile, "--yes")
    assert result.exit_code == 1
    assert "has not answered for too long" in result.output
    assert f"--to {machine.port} --from-stroke 1" in result.output
    machine.done()
    again = Answering()
    result = call("send", file, "--to", again.port, "--machine", profile, "--from-stroke", 2, typed="y\n")
    assert result.exit_code == 0, result.output
    assert "goes on from stroke 2" in result.output
    assert "G1 X5 Y25 F240000" not in again.done()
    assert sum(line.startswith("G1") for line in again.lines) == 2


def test_a_job_goes_onto_a_stick_in_the_order_of_running(tmp_path: Path) -> None:
    job, stick = tmp_path / "tags", tmp_path / "stick"
    stick.mkdir()
    made = call(
        "prepare",
        SAMPLES / "swing-tag.svg",
        "--copies",
        4,
        "--sheet",
        "100x150mm",
        "--effort",
        "quick",
        "--out",
        job,
    )
    assert made.exit_code == 0, made.output
    result = call("send", job, "--to", stick)
    assert result.exit_code == 0, result.output
    order = [row.strip() for row in result.output.splitlines() if "on sheet" in row]
    assert order[0] == f"1. sheet-01.hpgl, on sheet 1 of {len(order)}"
    assert {file.name for file in stick.iterdir()} == {row.split()[1].rstrip(",") for row in order}
    assert (stick / "sheet-01.hpgl").read_bytes() == (job / "sheet-01.hpgl").read_bytes()
    assert call("send", job, "--to", stick, "--sheet", 99).exit_code == 2
    (stick / "sheet-01.hpgl").write_text("an older one")
    assert call("send", job, "--to", stick).exit_code == 2  # it may be another job's
    assert (stick / "sheet-01.hpgl").read_text() == "an older one"
    assert call("send", job, "--to", stick, "--replace").exit_code == 0
    assert (stick / "sheet-01.hpgl").read_bytes() == (job / "sheet-01.hpgl").read_bytes()
    yes = call("send", job, "--to", "127.0.0.1:9", "--yes")
    assert yes.exit_code == 2
    assert "may start unasked" in yes.output


@pytest.mark.parametrize(
    ("to", "told"),
    [
        ("/dev/no-such-port", "there is no port"),
        ("127.0.0.1:1", "can't be opened"),
        ("/dev/ttyS99", "[line]"),
    ],
)
def test_a_port_that_can_not_be_used(file: Path, profile: Path, to: str, told: str) -> None:
    result = call("send", file, "--to", to, "--machine", profile)
    assert result.exit_code == 2
    assert told in result.output
    assert "Traceback" not in result.output


def test_ports_are_listed_as_data_and_for_people() -> None:
    for row in json.loads(call("ports", "--json").stdout):
        assert set(row) == {"name", "kind", "told"}
    assert "HOST:PORT" in call("ports").output


def test_the_estimate_knows_a_line_whose_speed_the_profile_gives(file: Path, tmp_path: Path) -> None:
    slow = tmp_path / "slow.toml"
    slow.write_text(PROFILE.replace("[line]", "[line]\nspeed = 300"))
    told = json.loads(call("time", file, "--machine", slow, "--json").stdout)
    size = len(file.read_bytes())
    assert told["over_line"] == pytest.approx(size / 30, rel=0.05)  # 300 baud are 30 bytes a second
    assert told["over_line"] > told["seconds"]["total"]
    assert "Sent over its line at 300 baud" in call("time", file, "--machine", slow).output


def test_a_job_s_machine_is_spoken_to_as_its_profile_says_now_or_as_the_named_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The speed of the line is found out after the first try: it need not be prepared again for that."""
    monkeypatch.setenv("CUTPREP_FOLDER", str(tmp_path / "hers"))
    profile = tmp_path / "hers" / "machines" / "mine.toml"
    profile.parent.mkdir(parents=True)
    profile.write_text(PROFILE)
    other = tmp_path / "other.toml"
    other.write_text(PROFILE.replace("[line]", "[line]\nspeed = 300"))
    words = ["prepare", str(SAMPLES / "divider.svg"), "--machine", "mine", "--effort", "quick", "--out"]
    assert CliRunner().invoke(app, [*words, str(tmp_path / "o")]).exit_code == 0
    profile.write_text(PROFILE.replace("[line]", "[line]\nspeed = 9600"))
    styles: list[int] = []

    def told(*_: object, style: LineStyle, **__: object) -> None:
        styles.append(style.speed)
        raise JobError("far enough")

    monkeypatch.setattr(sending, "job_runs", told)
    for named in ([], ["--machine", str(other)]):
        result = CliRunner().invoke(app, ["send", str(tmp_path / "o"), "--to", "nowhere:1", *named])
        assert (result.exit_code, result.stderr) == (2, "Error: far enough\n")
    assert styles == [9600, 300]
