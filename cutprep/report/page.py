"""Fills the pages' templates; whatever comes from a file is escaped."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any

import jinja2

from cutprep.model.findings.finding import sentence


def firm(text: str) -> str:
    """Keep figures together: `1 11/16 to 3 1/2` breaks nowhere, a list of such behind its commas."""
    return re.sub(r"(?<![,;]) ", "\u00a0", text)


def listed(words: Iterable[str]) -> str:
    """Words as a list in a sentence: `A, B and C`."""
    *first, last = words
    return f"{', '.join(first)} and {last}" if first else last


def pages_of(package: str) -> jinja2.Environment:
    """The pages in the folder `pages` of a package; what is not defined is an error."""
    pages = jinja2.Environment(
        loader=jinja2.PackageLoader(package, "pages"),
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
