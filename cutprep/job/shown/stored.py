"""Pictures of the kinds of templates that come with the program, so that nobody waits for them to be drawn."""

from __future__ import annotations

from importlib.resources import files


def stored_picture(kind: str) -> str | None:
    """Give the usual picture of a kind.

    Parameters
    ----------
    kind
        Its name, which may come from anywhere: it is looked up among those that are there, and is never a path.

    Returns
    -------
    str or None
        An SVG file; None when there is none.
    """
    there = {one.name: one for one in (files("cutprep.job.shown") / "kinds").iterdir()}
    found = there.get(f"{kind}.svg")
    return None if found is None else found.read_text(encoding="utf-8")
