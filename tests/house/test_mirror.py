"""Where a module's tests are to be found, and that no kind of template and no room falls out of a list."""

from __future__ import annotations

from pathlib import Path

import cutprep
from cutprep.template.kinds import KINDS
from tests.mutation.sample import ROOMS
from tests.unit.stages.fold.test_templates import WANTED
from tests.unit.template.test_expected import NAMES

ROOT = Path(__file__).parents[2]
PACKAGE, UNIT = Path(cutprep.__file__).parent, ROOT / "tests" / "unit"
#: Folders of the package whose tests stand elsewhere.
ELSEWHERE = {"cli": "tests/cli", "cli/machines": "tests/cli", "cli/own": "tests/cli"}


def _folders(base: Path, files: str) -> set[Path]:
    return {path.parent.relative_to(base) for path in base.rglob(files) if path.name != "__init__.py"}


def test_unit_tests_mirror_the_package() -> None:
    """A folder's tests stand in the folder of the same name, or in the one above it."""
    package, tested = _folders(PACKAGE, "*.py"), _folders(UNIT, "test_*.py")
    assert tested <= package, "tests of folders that are not there"
    untested = {str(f) for f in package if not {f, f.parent} & (tested - {Path()}) and f != Path()}
    assert untested == set(ELSEWHERE)
    assert all(list((ROOT / where).glob("test_*.py")) for where in ELSEWHERE.values())


def test_every_kind_of_template_stands_in_both_lists_and_none_that_is_gone() -> None:
    """The lists are parametrised over: a kind that disappears, or comes without a verdict, is missed here."""
    assert set(NAMES) == set(KINDS), "tests/unit/template/test_expected.py: NAMES"
    assert set(WANTED) == set(KINDS), "tests/unit/stages/fold/test_templates.py: WANTED"


def test_what_is_changed_and_what_is_to_notice_is_there() -> None:
    """A file that moves must not leave the mutation runs without being missed."""
    for name, room in ROOMS.items():
        assert all(list(ROOT.glob(pattern)) for pattern in room.files), name
        assert all((ROOT / path.removeprefix("--ignore=")).exists() for path in room.tests), name
