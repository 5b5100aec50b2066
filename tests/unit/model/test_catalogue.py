"""The catalogue of codes is complete."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import cutprep
from cutprep.model.catalogue import CATALOGUE

ROOMS = ("check", "mend")
CODE = re.compile(r"[a-z]+(-[a-z]+)+|gap|stub|dashes|crumb|size|straightened")


def _texts() -> set[str]:
    """Every text in the rooms that looks like a code and stands where codes stand."""
    found = set()
    for path in (
        p for room in ROOMS for p in Path(cutprep.__file__).parent.joinpath("stages", room).glob("*.py")
    ):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.keyword) and node.arg == "code":
                found |= {c.value for c in ast.walk(node.value) if isinstance(c, ast.Constant)}
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "told":
                found |= {c.value for c in ast.walk(node.args[0]) if isinstance(c, ast.Constant)}
            if isinstance(node, ast.Return) and isinstance(node.value, ast.Tuple) and node.value.elts:
                first = node.value.elts[0]
                found |= {first.value} if isinstance(first, ast.Constant) else set()
    return {t for t in found if isinstance(t, str) and CODE.fullmatch(t)}


def test_every_code_is_explained() -> None:
    """And no explanation is left of a code that is gone."""
    used = _texts() | {"larger-than-sheet", "larger-than-machine"}
    assert used == set(CATALOGUE)


def test_the_codes_that_scripts_rely_on_are_there() -> None:
    """They never change."""
    assert {
        "doubled-line", "doubled-across-operations", "near-double", "open-outline", "gap", "score-past-outline",
        "score-ends-in-panel", "thin-strip", "crumb", "size", "copies-in-drawing",
    } <= set(CATALOGUE)  # fmt: skip


def test_explanations_are_sentences() -> None:
    """Codes are plain words, explanations end with a full stop."""
    for code, text in CATALOGUE.items():
        assert CODE.fullmatch(code)
        assert text[0].isupper()
        assert text.endswith(".")


def test_the_codes_stand_in_the_documentation() -> None:
    """With the same explanation."""
    page = (Path(cutprep.__file__).parent.parent / "docs" / "FINDINGS.md").read_text(encoding="utf-8")
    assert all(f"| `{code}` | {text} |" in page for code, text in CATALOGUE.items())
