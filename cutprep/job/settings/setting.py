"""What one setting is: its name, its form, its default, and where it may be given."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Any

from cutprep.job.settings.forms import Form


class Group(Enum):
    """What a setting is about; the value is the heading."""

    DRAWING = "The drawing"
    CARD = "The card"
    NAMES = "A text of its own on each copy"
    LAYOUT = "The layout"
    ORDER = "The order of work"
    BLADE = "The machine and its blade"
    OUTPUT = "What is written"


class Scope(Enum):
    """What a setting holds for; the value is the table of a job file that it stands in."""

    JOB = ""
    CARD = "stock"
    SHEET = "stock.sheet"
    TEMPLATE = "template"


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """One setting.

    Attributes
    ----------
    name
        In Python.
    group, scope
        What it is about, and what it holds for.
    form
        How its values are written.
    help
        One sentence.
    more
        What docs/JOB-FILE.md says beyond it.
    default
        Its value when nobody gives one; None where something else then decides.
    otherwise
        What decides then, or what is taken.
    key
        In a job file; with a dot, in a table of its own. The name, when empty.
    option
        On the command line; "--" and the name, when empty.
    also_option
        Another spelling of it.
    remembered
        May stand in the maker's own file.
    """

    name: str
    group: Group
    form: Form
    help: str
    scope: Scope = Scope.JOB
    more: str = ""
    default: Any = None
    otherwise: str = ""
    key: str = ""
    option: str = ""
    also_option: str = ""
    remembered: bool = True

    def __post_init__(self) -> None:
        object.__setattr__(self, "key", self.key or self.name)
        object.__setattr__(self, "option", self.option or f"--{self.name.replace('_', '-')}")

    @property
    def own_key(self) -> str:
        """Its key in the maker's own file: as in a job file outside the tables of cards."""
        return self.key if self.scope in (Scope.JOB, Scope.TEMPLATE) else self.name

    @property
    def said_default(self) -> str:
        """The default for a person."""
        if self.otherwise or self.default is None:
            return self.otherwise or "none"
        return self.form.say(self.default)
