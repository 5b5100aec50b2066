"""One server and one window for all that is tried at the desk; layouts are looked for quickly."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import Browser

from tests.desk_browser import Seen, seeing
from tests.desk_server import Running, running

#: A machine of hers that speaks G-code over the network.
BENCH = """title = "Bench"
area = "300x400mm"
languages = ["gcode"]
[motion]
travel_speed = 400
acceleration = 50000
top_speed = 400
[gcode]
dwell = 0
arcs = false
[line]
dwell_waits = true
wake = 0.0
patience = 5
hold = "!"
resume = "~"
reset = "\\u0018"
[[tool]]
name = "drag knife"
number = 1
does = ["cut", "score"]
speed = 400
"""

#: Another that speaks HP-GL over the network, and is asked how much room it has.
PLOTTER = """title = "Plotter"
area = "300x400mm"
languages = ["hpgl"]
[line]
speed = 9600
handshake = "poll"
buffer = 255
wake = 0.0
patience = 5
[[tool]]
name = "drag knife"
number = 1
does = ["cut", "score"]
speed = 400
"""


@pytest.fixture(scope="session")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    folder = tmp_path_factory.mktemp("desk")
    own = folder / "own"
    own.mkdir()
    (own / "settings.toml").write_text('effort = "quick"\n', encoding="utf-8")
    (own / "machines").mkdir()
    (own / "machines" / "bench.toml").write_text(BENCH, encoding="utf-8")
    (own / "machines" / "plotter.toml").write_text(PLOTTER, encoding="utf-8")
    with running(folder, own=own) as one:
        yield one


@pytest.fixture(scope="session")
def ready(desk: Running) -> Callable[..., str]:
    """Makes a job of some samples that is only looked at; the same samples give the same job."""
    made: dict[tuple[str, ...], str] = {}

    def job(*names: str) -> str:
        if names not in made:
            made[names] = desk.begun(*names)
            desk.paper(made[names])
        return made[names]

    return job


@pytest.fixture(scope="session")
def window(browser: Browser, desk: Running) -> Iterator[Seen]:
    """One window for whoever needs none of her own."""
    with seeing(browser, desk) as one:
        yield one
        one.afresh()


@pytest.fixture
def seen(window: Seen) -> Iterator[Seen]:
    window.afresh()
    yield window
    assert window.wrong == [], window.wrong
