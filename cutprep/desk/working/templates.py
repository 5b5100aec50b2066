"""Templates to begin with: asked of the process that draws them."""

from __future__ import annotations

import json
from typing import Any

from cutprep.desk.working.asking import Asking

#: So long one picture may take, s.
_PATIENCE = 20.0


class Templates:
    """Asks for templates, one question after the other."""

    def __init__(self) -> None:
        late = ("this takes too long to draw", "Try other dimensions.")
        self._asking = Asking("cutprep.desk.working.draw", _PATIENCE, late)
        self._known: dict[str, dict[str, Any]] = {}

    def listed(self) -> dict[str, Any]:
        """Names and titles of all kinds and sets."""
        return self._once({"ask": "list"})

    def kind(self, name: str) -> dict[str, Any]:
        """Title and fields of a kind or a set.

        Raises
        ------
        JobError
            When there is none of that name.
        """
        return self._once({"ask": "kind", "name": name})

    def picture(self, name: str, words: dict[str, str]) -> str:
        """A kind or a set as SVG, with some dimensions.

        Raises
        ------
        JobError
            Naming the dimension that can't be.
        """
        return str(self._asking.ask({"ask": "picture", "name": name, "words": words})["picture"])

    def files(self, name: str, words: dict[str, str]) -> dict[str, Any]:
        """What a job of it begins with: `files`, a `note` for its job file, and its `title`.

        Raises
        ------
        JobError
            Naming the dimension that can't be.
        """
        return self._asking.ask({"ask": "files", "name": name, "words": words})

    def close(self) -> None:
        """End the process."""
        self._asking.close()

    def _once(self, question: dict[str, Any]) -> dict[str, Any]:
        """What never changes is asked once."""
        key = json.dumps(question)
        if key not in self._known:
            self._known[key] = self._asking.ask(question)
        return self._known[key]
