"""Fills the pages' templates; whatever comes from a file is escaped."""

from __future__ import annotations

import re
import sys
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path
from typing import Any

import jinja2

from cutprep.files import compiled_beside
from cutprep.model.findings.finding import sentence


def firm(text: str) -> str:
    """Keep figures together: `1 11/16 to 3 1/2` breaks nowhere, a list of such behind its commas."""
    return re.sub(r"(?<![,;]) ", "\u00a0", text)


def listed(words: Iterable[str]) -> str:
    """Words as a list in a sentence: `A, B and C`."""
    *first, last = words
    return f"{', '.join(first)} and {last}" if first else last


class _Compiled(jinja2.FileSystemBytecodeCache):
    """Keeps compiled pages, which spares a twentieth of a short job; where that can't be done, it keeps none."""

    def load_bytecode(self, bucket: jinja2.bccache.Bucket) -> None:
        """Take a compiled page from where it is kept, if it is."""
        with suppress(OSError):
            super().load_bytecode(bucket)

    def dump_bytecode(self, bucket: jinja2.bccache.Bucket) -> None:
        """Keep a compiled page, if that can be done."""
        with suppress(OSError):
            Path(self.directory).mkdir(parents=True, exist_ok=True)
            super().dump_bytecode(bucket)


def pages_of(package: str) -> jinja2.Environment:
    """The pages in the folder `pages` of a package; what is not defined is an error."""
    guide = Path(str(sys.modules[package].__file__))
    kept = compiled_beside(guide)
    pages = jinja2.Environment(
        loader=jinja2.FileSystemLoader(guide.parent / "pages"),
        bytecode_cache=_Compiled(str(kept), "%s.jinja") if kept else None,
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        undefined=jinja2.StrictUndefined,
    )
    pages.filters.update(sentence=sentence, firm=firm, listed=listed)
    return pages


_PAGES = pages_of("cutprep.report")


def render(page: str, **content: Any) -> str:
    """Fill a page of `report/pages`."""
    return _PAGES.get_template(page).render(**content)
