"""The catalogue of codes: complete, in plain sentences, and the only source of findings."""

from __future__ import annotations

import ast
import re
from dataclasses import replace
from pathlib import Path

import pytest

from cutprep.model.findings.catalogue import CATALOGUE, TABLES, entry_of
from cutprep.model.findings.entry import Mend, Severity
from cutprep.model.findings.finding import Finding
from tests.findings_page import PAGE, page
from tests.parsed import sources

CODE = re.compile(r"[a-z]+(-[a-z]+)*")


def _texts() -> set[str]:
    """Every text of the package but the catalogue's own."""
    return {
        node.value
        for source in sources()
        if Path(source.name).parent.name != "codes"
        for node in source.nodes
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    }


def test_no_explanation_is_left_of_a_code_that_is_gone() -> None:
    made = {"larger-than-sheet", "larger-than-machine"}  # put together from two words
    assert not set(CATALOGUE) - _texts() - made


def test_findings_come_from_the_catalogue_alone() -> None:
    """`Finding.of` refuses a code that stands not there; nobody but it makes one."""
    wrong = []
    for name, _, _, nodes in sources():
        if name == "model/findings/finding.py":
            continue
        wrong += [
            f"{name}:{node.lineno}"
            for node in nodes
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "Finding"
        ]
    assert not wrong


def test_a_finding_takes_what_the_catalogue_says() -> None:
    plain = Finding.of("crumb", "a crumb")
    assert (plain.severity, plain.mend) == (Severity.WARNING, Mend.SAFE)
    assert plain.fix == CATALOGUE["crumb"].advice
    other = Finding.of("size", "large", "Scale it.", severity=Severity.WARNING)
    assert (other.severity, other.fix) == (Severity.WARNING, "Scale it.")


@pytest.mark.parametrize(
    ("code", "given"),
    [
        ("no-such-code", {}),
        ("crumb", {"severity": Severity.ERROR}),
        ("fold-conflict", {"mend": Mend.SAFE}),
    ],
)
def test_what_the_catalogue_does_not_know_is_refused(code: str, given: dict[str, Severity | Mend]) -> None:
    with pytest.raises(ValueError, match=code):
        Finding.of(code, "a problem", **given)  # type: ignore[arg-type]


def test_a_finding_made_or_changed_otherwise_is_held_to_the_catalogue_too() -> None:
    with pytest.raises(ValueError, match="no-such-code"):
        Finding("no-such-code", Severity.NOTE, "a problem")
    with pytest.raises(ValueError, match="'gap' no note"):
        replace(Finding.of("gap", "open"), severity=Severity.NOTE)


def test_the_codes_that_scripts_rely_on_are_there() -> None:
    """They never change."""
    assert {
        "doubled-line", "doubled-across-operations", "near-double", "open-outline", "gap", "score-past-outline",
        "score-ends-in-panel", "thin-strip", "crumb", "size", "copies-in-drawing",
    } <= set(CATALOGUE)  # fmt: skip
    with pytest.raises(ValueError, match="no-such-code"):
        entry_of("no-such-code")


@pytest.mark.parametrize("code", sorted(CATALOGUE))
def test_explanations_are_sentences(code: str) -> None:
    """Codes are plain words, explanations and advice end with a full stop, errors and warnings say what to do."""
    entry = CATALOGUE[code]
    assert CODE.fullmatch(code)
    for text in filter(None, (entry.meaning, entry.advice)):
        assert text[0].isupper()
        assert text.endswith(".")
        assert "|" not in text
    assert entry.meaning
    assert entry.advice or set(entry.severities) <= {Severity.NOTE} or code in {"line-type", "fraction"}


def test_every_room_has_codes() -> None:
    assert {room for entry in CATALOGUE.values() for room in entry.rooms} == {
        "read", "classify", "check", "mend", "fold", "nest", "blade", "job", "readback",
    }  # fmt: skip
    assert sum(map(len, TABLES.values())) == len(CATALOGUE)


def test_the_page_on_findings_is_written_from_the_catalogue() -> None:
    assert PAGE.read_text(encoding="utf-8") == page(), "run `python -m tests.findings_page`"
