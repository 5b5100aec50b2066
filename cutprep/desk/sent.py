"""What a form has sent, read word by word; what can't be read is refused."""

from __future__ import annotations

import math
import re
from collections.abc import Collection, Iterator, Mapping
from contextlib import contextmanager

from cutprep.desk.fields import on_the_page
from cutprep.errors import CutprepError, JobError
from cutprep.model.findings.finding import sentence

#: Name to texts that a form sent under it.
Words = Mapping[str, list[str]]
_LARGEST_JOB_FILE = 2_000_000
_OPTION = re.compile(r"^--[a-z-]+: ")


class Refused(CutprepError):
    """A change that is not made.

    Attributes
    ----------
    field
        The field it is about, if it is about one.
    status
        Of the answer: 409 when the page is older than the job.
    """

    def __init__(self, problem: str, fix: str = "", *, field: str = "", status: int = 422) -> None:
        super().__init__(ended(problem), fix=on_the_page(fix))
        self.field = field
        self.status = status


def ended(problem: str) -> str:
    """What is wrong as a sentence that ends, since the page says what to do behind it; without an option before it."""
    return sentence(_OPTION.sub("", problem))


def told_of(fault: CutprepError, *, where: bool = False) -> str:
    """A fault as one line of a page: what is wrong, where if that is asked for, and what to do."""
    place = f" ({fault.place})" if where and str(fault.place) else ""
    return f"{ended(fault.problem + place)} {on_the_page(fault.fix)}".strip()


def word_of(words: Words, key: str) -> str:
    """The last text that was sent under a name; empty without any."""
    found = words.get(key, [])
    return found[-1] if found else ""


def number_of(words: Words, key: str) -> int:
    """A number of something in the job."""
    word = word_of(words, key)
    if not word.isdecimal() or len(word) > 6:
        raise Refused("that is not in the job any more", "Load the page again.")
    return int(word)


def place_of_form(words: Words, key: str) -> tuple[float, float]:
    """A place of a drawing, mm."""
    try:
        x, y = (float(part) for part in word_of(words, key).split(","))
    except ValueError:
        raise Refused("This place can't be read.", "Load the page again.") from None
    if not (math.isfinite(x) and math.isfinite(y)):
        raise Refused("This place can't be read.", "Load the page again.")
    return round(x, 2), round(y, 2)


@contextmanager
def about(field: str, named: Collection[str] = ()) -> Iterator[None]:
    """Say of whatever is wrong within that it is about a field, or about that one of those `named` which it names first."""
    try:
        yield
    except Refused:
        raise
    except CutprepError as fault:
        head, _, rest = fault.problem.partition(": ")
        if head in named:
            raise Refused(rest, fault.fix, field=head) from None
        raise Refused(fault.problem, fault.fix, field=field) from None


def text_of(data: bytes) -> str:
    """A job file that was sent."""
    if len(data) > _LARGEST_JOB_FILE:
        raise JobError("the job file is larger than 2 MB")
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        raise JobError("the job file is no text") from None
