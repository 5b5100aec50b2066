"""A rule that matches nothing is a slip, and stops the command with the names that are near."""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

import cutprep
from cutprep.cli.app import app
from cutprep.errors import JobError

CARD = """<svg xmlns="http://www.w3.org/2000/svg" width="120mm" height="80mm" viewBox="0 0 120 80">
<g id="Cut" fill="none" stroke="#d02020"><rect x="5" y="5" width="110" height="70"/></g>
<g id="score valley" fill="none" stroke="#2020d0"><path d="M60 5V75"/></g></svg>
"""


def run(*words: str | Path) -> Result:
    return CliRunner().invoke(app, [str(w) for w in words])


@pytest.fixture
def card(tmp_path: Path) -> Path:
    path = tmp_path / "card.svg"
    path.write_text(CARD)
    return path


@pytest.mark.parametrize(
    ("option", "rule", "message"),
    [
        ("--layer", "score valey=guide", "Did you mean score valley?"),
        ("--layer", "kut=cut", "Did you mean Cut?"),
        ("--layer", "lid=cut", "Known: Cut, score valley."),
        ("--colour", "#d02021=cut", "Did you mean #d02020"),
    ],
)
@pytest.mark.parametrize("command", ["check", "prepare", "mend", "fold"])
def test_a_slip_in_a_rule(command: str, option: str, rule: str, message: str, card: Path) -> None:
    out = () if command in ("check", "fold") else ("--out", card.with_name("out.svg"))
    result = run(command, card, option, rule, *out)
    assert result.exit_code == 2, result.output
    assert (
        f"'{rule.split('=', maxsplit=1)[0]}'" in result.stderr
        or rule.split("=", maxsplit=1)[0] in result.stderr
    )
    assert message in result.stderr
    assert not card.with_name("out.svg").exists()


def test_a_slip_in_a_job_file(card: Path) -> None:
    job = card.with_name("job.toml")
    job.write_text('[[template]]\nfile = "card.svg"\nlayers = { "score valey" = "guide" }\n')
    for command in (("check", job), ("prepare", job, "--out", card.with_name("o"))):
        result = run(*command)
        assert result.exit_code == 2
        assert "no layer in 'card' is called 'score valey'" in result.stderr


def test_a_rule_for_several_drawings_needs_to_match_in_one(card: Path) -> None:
    other = card.with_name("other.svg")
    other.write_text(CARD.replace("score valley", "lid"))
    assert run("check", card, other, "--layer", "lid=score").exit_code == 0
    result = run("check", card, other, "--layer", "lit=score")
    assert "no layer in any of the 2 drawings is called 'lit'" in result.stderr


def test_a_side_without_scores_is_told_at_once(card: Path) -> None:
    result = run(
        "prepare", card, "--from-back", "mountains", "--effort", "quick", "--out", card.with_name("o")
    )
    assert result.exit_code == 0
    assert (
        "Note: no score is known to be a mountain fold, so nothing is scored from the back." in result.stderr
    )


def test_groups_chains_and_any_capitals_match(tmp_path: Path) -> None:
    path = tmp_path / "nested.svg"
    path.write_text(CARD.replace("<g id=", '<g id="Outer"><g id=').replace("</g>", "</g></g>"))
    for name in ("outer", "CUT", "outer/cut"):
        cutprep.read(path, layers={name: "cut"})
    with pytest.raises(JobError, match="no layer in 'nested' is called 'inner'"):
        cutprep.read(path, layers={"inner": "cut"})
