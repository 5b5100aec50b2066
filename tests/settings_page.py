"""The tables of settings in docs/JOB-FILE.md, written from the one table: `python -m tests.settings_page`."""

from __future__ import annotations

import re
from pathlib import Path

import cutprep
from cutprep.job.settings.setting import Group, Scope, Setting
from cutprep.job.settings.table import of_scope

PAGE = Path(cutprep.__file__).parent.parent / "docs" / "JOB-FILE.md"
_MARKS = re.compile(r"(<!-- settings: (\w+) -->\n).*?(<!-- end -->)", re.DOTALL)


def rows(scope: Scope) -> str:
    """One table: a row for each setting, group by group."""
    found = ["| key | option | meaning | when not given |", "| --- | --- | --- | --- |"]
    for group in Group:
        own = [setting for setting in of_scope(scope) if setting.group is group]
        found += [f"| **{group.value}** | | | |"] * bool(own)
        found += [_row(setting) for setting in own]
    return "\n".join(found) + "\n"


def _row(setting: Setting) -> str:
    meaning = " ".join(
        filter(None, (setting.help, f"{setting.more[0].upper()}{setting.more[1:]}." if setting.more else ""))
    )
    default = setting.said_default if setting.form.metavar else "false"
    cells = (f"`{setting.key}`", f"`{setting.option}`", meaning, default)
    return f"| {' | '.join(cell.replace('|', '&#124;') for cell in cells)} |"


def written(page: str) -> str:
    """The page with its tables as the settings are now."""
    return _MARKS.sub(lambda m: m[1] + rows(Scope[m[2]]) + m[3], page)


if __name__ == "__main__":
    PAGE.write_text(written(PAGE.read_text(encoding="utf-8")), encoding="utf-8")
