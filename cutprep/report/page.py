"""Fills the pages' templates; whatever comes from a file is escaped."""

from __future__ import annotations

from typing import Any

import jinja2

from cutprep.model.finding import sentence

_PAGES = jinja2.Environment(
    loader=jinja2.PackageLoader("cutprep.report", "pages"),
    autoescape=True,
    trim_blocks=True,
    lstrip_blocks=True,
    undefined=jinja2.StrictUndefined,
)
_PAGES.filters["sentence"] = sentence


def render(page: str, **content: Any) -> str:
    """Fill a page of `report/pages`."""
    return _PAGES.get_template(page).render(**content)
