"""Sending from the desk to simulated machines: a person starts it, stop works at once, a break says what is certain."""

from __future__ import annotations

import json
import re
import shutil
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from cutprep.link.words import CAUTION
from tests.desk_browser import IN_A_BROWSER, Seen, done, seeing, type_into, unfold
from tests.desk_server import Running, running
from tests.machines.at_a_socket import AtASocket
from tests.machines.controller import Controller
from tests.machines.plotter import Plotter
from tests.machines.seeded import UNIT

#: Asking within this finds what has come meanwhile, s.
PATIENCE = 20.0


@pytest.fixture
def machine() -> Iterator[AtASocket]:
    one = AtASocket(Controller(speed=400.0), faster=3.0)
    yield one
    one.close()


class Watched(Controller):
    """Takes down what came after it was told to hold, up to when it is told to go on."""

    def __init__(self, speed: float) -> None:
        super().__init__(speed=speed)
        self.after: bytearray | None = None
        self.strokes_then = 0

    def receive(self, data: bytes) -> None:
        for byte in data:
            if byte == ord("!"):
                self.after, self.strokes_then = bytearray(), len(self.picture.strokes)
            elif byte == ord("~"):
                self.after = None
            elif self.after is not None:
                self.after.append(byte)
        super().receive(data)


@pytest.fixture
def slow() -> Iterator[AtASocket]:
    one = AtASocket(Watched(speed=40.0))
    yield one
    one.close()


@pytest.fixture
def plotter() -> Iterator[AtASocket]:
    one = AtASocket(Plotter(size=255, speed=200 / UNIT, handshake="poll"), faster=3.0)
    yield one
    one.close()


def _ready_on(desk: Running, job: str, machine: str) -> str:
    """A job for one of her machines that nobody changes otherwise."""
    if f'machine = "{machine}"' not in (desk.folder / job / "job.toml").read_text():
        desk.change(job, "set", **{"job/machine": machine})
    desk.paper(job)
    (desk.folder / job / "handing.json").unlink(missing_ok=True)
    return job


@pytest.fixture
def ready_to_send(ready: Callable[..., str], desk: Running) -> str:
    return _ready_on(desk, ready("divider.svg"), "bench")


def _hand(desk: Running, job: str, do: str, **words: str) -> tuple[int, dict[str, str]]:
    status, _, body = desk.ask("POST", f"/jobs/{job}/handing", {"do": do, **words}, {"x-desk": "1"})
    return status, json.loads(body)


def _told(desk: Running, job: str, *kinds: str) -> dict[str, object]:
    """Wait until a kind of event was told."""
    until = time.monotonic() + PATIENCE
    told: dict[str, object] = {}
    while time.monotonic() < until:
        path = desk.folder / job / "handing.json"
        told = json.loads(path.read_text()) if path.is_file() else {}
        if told.get("kind") in kinds:
            return told
        time.sleep(0.02)
    raise AssertionError(f"{kinds} was not told: {told}")


def _told_beyond(desk: Running, job: str, strokes: int) -> None:
    """Wait until so many strokes are certain."""
    until = time.monotonic() + PATIENCE
    while int(str(_told(desk, job, "goes")["done"])) < strokes:
        assert time.monotonic() < until
        time.sleep(0.02)


def _stands_still(machine: AtASocket) -> None:
    until = time.monotonic() + PATIENCE
    while machine.machine.busy or machine.machine.picture.down:
        assert time.monotonic() < until
        time.sleep(0.02)


def test_nothing_moves_before_she_goes_on_and_all_is_drawn_then(
    desk: Running, ready_to_send: str, machine: AtASocket
) -> None:
    assert _hand(desk, ready_to_send, "send", to=machine.port) == (200, {})
    asked = _told(desk, ready_to_send, "asks")
    assert str(asked["said"]).startswith(CAUTION)
    assert machine.machine.picture.strokes == []
    status, refused = _hand(desk, ready_to_send, "send", to=machine.port)
    assert (status, refused["problem"]) == (422, "Another sending goes on.")
    assert desk.ask("POST", f"/jobs/{ready_to_send}/forget", {})[0] == 422
    _hand(desk, ready_to_send, "go")
    told = _told(desk, ready_to_send, "finished", "lost")
    assert told["kind"] == "finished"
    _stands_still(machine)
    assert len(machine.machine.picture.strokes) == told["strokes"]
    assert not machine.machine.picture.down
    for field, wish in (("stroke", {"stroke": "100000"}), ("sheet", {"sheet": "7"})):
        status, refused = _hand(desk, ready_to_send, "send", to=machine.port, **wish)
        assert (status, refused["field"]) == (422, field)


def test_a_plotter_draws_all_of_it_and_forgets_when_she_says_stop(
    desk: Running, ready: Callable[..., str], plotter: AtASocket
) -> None:
    job, machine = _ready_on(desk, ready("swing-tag.svg"), "plotter"), plotter.machine

    def drawn_until(end: str) -> list[list[tuple[float, float]]]:
        begun = len(machine.picture.strokes)
        assert _hand(desk, job, "send", to=plotter.port) == (200, {})
        _told(desk, job, "asks")
        assert len(machine.picture.strokes) == begun  # nothing moves before she goes on
        _hand(desk, job, "go")
        if end == "stopped":
            _told(desk, job, "goes")
            _hand(desk, job, "stop")
        told = _told(desk, job, "finished", "stopped", "lost")
        assert told["kind"] == end, told["said"]
        _stands_still(plotter)
        assert not machine.buffer.strip()
        assert not machine.overflowed
        return list(machine.picture.strokes[begun:])

    whole = drawn_until("finished")
    assert len(whole) == _told(desk, job, "finished")["strokes"]
    machine.speed = 20 / UNIT
    part = drawn_until("stopped")
    assert part != whole
    assert all(
        stroke[1:-1] == asked[1:-1][: len(stroke) - 2] for stroke, asked in zip(part, whole, strict=False)
    )


def test_a_stick_gets_the_files_and_a_port_that_is_not_there_is_said(
    desk: Running, ready_to_send: str, tmp_path: Path
) -> None:
    assert _hand(desk, ready_to_send, "send", to=str(tmp_path)) == (200, {})
    told = _told(desk, ready_to_send, "sent")
    assert "read again" in str(told["said"])
    made = desk.folder / ready_to_send / "made"
    for copy in tmp_path.iterdir():
        assert copy.read_bytes() == (made / copy.name).read_bytes()
    assert list(tmp_path.iterdir())
    status, refused = _hand(desk, ready_to_send, "send", to="/dev/ttyHONEY9")
    assert (status, refused["field"]) == (422, "to")
    assert "--" not in refused["fix"]
    assert _hand(desk, ready_to_send, "hold")[0] == 422


@pytest.mark.browser
@IN_A_BROWSER[1]
def test_a_desk_that_is_killed_lifts_the_tool_and_the_next_one_shows_all_as_it_was(
    browser: Browser, desk: Running, ready_to_send: str, slow: AtASocket, tmp_path: Path
) -> None:
    job, own = ready_to_send, desk.folder / "own"
    shutil.copytree(desk.folder / job, tmp_path / "jobs" / job)
    with running(tmp_path / "jobs", own=own) as one, seeing(browser, one) as seen:
        page = seen.job(job)
        answers = page.locator(".answer").all_inner_texts()
        _hand(one, job, "send", to=slow.port)
        _told(one, job, "asks")
        _hand(one, job, "go")
        _told(one, job, "goes")
        one.process.kill()
        one.process.wait(10)
        _stands_still(slow)
        unfold(page, "making")
        type_into(page.get_by_label("Copies of divider.svg"), "9")
        expect(page.locator("#fault")).to_have_text("The desk does not answer. Is it still running?")
        with running(tmp_path / "jobs", "--port", str(one.port), own=own) as again:
            expect(page.locator("#fault")).to_contain_text("The desk was closed. Start it again")
            page.goto(again.address)
            page.locator(f'a[href="/jobs/{job}"]').first.click()
            done(page)
            assert page.locator(".answer").all_inner_texts() == answers
            told = "The desk was closed while this was sent, and the tool may be down."
            expect(page.locator("#handing")).to_contain_text(told)
        seen.wrong.clear()  # the browser logs each request that nobody answered


@pytest.mark.browser
@IN_A_BROWSER[1]
def test_she_holds_stops_and_goes_on_from_the_stroke_that_the_page_proposes(
    seen: Seen, desk: Running, ready_to_send: str, slow: AtASocket
) -> None:
    page = seen.job(ready_to_send)
    unfold(page, "cutting")
    page.get_by_text("send to the machine", exact=True).click()
    expect(page.locator("p.cautions")).to_contain_text("Its own switch is the emergency stop")
    field = page.get_by_label("Port, or a folder or stick")
    field.fill("127.0.0.1:1")
    page.get_by_role("button", name="send", exact=True).click()
    expect(page.locator(".to-machine .wrongly")).to_contain_text("127.0.0.1")
    field.fill(slow.port)
    page.get_by_role("button", name="send", exact=True).click()
    bar, machine = page.locator("#handing"), slow.machine
    expect(bar).to_contain_text("Keep hands, hair and sleeves away from the carriage")
    expect(page.locator(".to-machine .wrongly")).to_have_count(0)
    assert machine.picture.strokes == []
    page.reload()  # whoever comes in the middle sees it, and can stop it
    expect(bar.get_by_role("button", name="stop the machine")).to_be_visible()
    bar.get_by_role("button", name="go on").click()
    bar.get_by_role("button", name="hold").click()
    go_on = bar.get_by_role("button", name="go on")
    expect(go_on).to_be_visible()
    assert bytes(machine.after) == b""  # held: it has had nothing since
    assert machine.busy
    go_on.click()
    expect(bar.get_by_role("button", name="hold")).to_be_visible()
    assert machine.after is None  # told to go on
    machine.speed = 400.0
    _told_beyond(desk, ready_to_send, 1)
    bar.get_by_role("button", name="stop the machine").click()
    expect(bar).to_contain_text("told to lift the tool")
    stopped = _told(desk, ready_to_send, "stopped")
    # It was held at once, and then reset: of the file it has had nothing since, and it has begun no stroke.
    assert bytes(machine.after).partition(b"\x18")[0] == b""
    assert not re.search(rb"[XY]", machine.after)
    assert len(machine.picture.strokes) == machine.strokes_then
    assert not machine.picture.down
    page.reload()
    unfold(page, "cutting")
    stroke = page.get_by_label("Stroke to begin with")
    expect(stroke).to_have_value(str(int(str(stopped["done"])) + 1))
    assert int(stroke.input_value()) > 1
    expect(page.get_by_label("Port, or a folder or stick")).to_have_value(slow.port)
    drawn = len(machine.picture.strokes)
    page.get_by_role("button", name="send", exact=True).click()
    bar.get_by_role("button", name="go on").click()
    expect(bar).to_contain_text("is finished", timeout=PATIENCE * 1000)
    _stands_still(slow)
    assert len(machine.picture.strokes) - drawn == int(str(stopped["strokes"])) - int(str(stopped["done"]))
    expect(bar.get_by_role("button", name="stop the machine")).to_have_count(0)
    bar.get_by_role("button", name="put away").click()
    expect(bar).to_be_hidden()
    seen.forget_refusals()
