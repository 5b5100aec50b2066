"""A real Ctrl-C from outside: the best layout until then is kept, and it is sound."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from typer.testing import CliRunner

from cutprep.cli.app import app

SAMPLE = Path(__file__).parents[2] / "samples" / "jar-carton.svg"


@pytest.fixture
def _heeding_ctrl_c() -> Iterator[None]:
    """A shell has what it starts in the background ignore Ctrl-C, and that is handed down to whatever is started there."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)


@pytest.mark.skipif(os.name == "nt", reason="Windows has no signal for one process")
@pytest.mark.usefixtures("_heeding_ctrl_c")
def test_ctrl_c_in_the_search_keeps_the_best_layout(tmp_path: Path) -> None:
    words = [
        sys.executable,
        "-m",
        "cutprep",
        "prepare",
        str(SAMPLE),
        "--copies",
        "24",
        "--effort",
        "thorough",
    ]
    # Bars are shown on terminals only; rich takes this for one.
    with subprocess.Popen(
        [*words, "--out", str(tmp_path / "o")],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        env={**os.environ, "FORCE_COLOR": "1"},
        start_new_session=True,
    ) as process:
        assert process.stdout is not None
        said = b""
        while b"trying for" not in said and (more := os.read(process.stdout.fileno(), 4096)):
            said += more
        process.send_signal(signal.SIGINT)
        said += process.stdout.read()
    output = " ".join(said.decode().split())
    assert process.returncode == 0, output
    assert "the search was stopped; this is the best layout found until then" in output
    assert "Traceback" not in output
    told = CliRunner().invoke(app, ["verify", str(tmp_path / "o")])
    assert told.exit_code == 0, told.output
