"""What layers and colours are for, remembered as she says it at a drawing."""

from __future__ import annotations

from cutprep.desk.sent import told_of
from cutprep.errors import CutprepError
from cutprep.job.own.settings import keep_own
from cutprep.job.settings.remembered import remembered
from cutprep.model.rules import LineKind
from cutprep.stages.classify import kind_in


def kept_in_mind(kinds: str, name: str, word: str) -> str:
    """Remember what a layer or a colour is for, for the next drawing that has it.

    A layer whose name says itself what it is for is meant otherwise in this job only: the next drawing with such a
    name would be cut where it should be drawn, without a word.

    Parameters
    ----------
    kinds
        "layers" or "colours".
    name
        Of the layer, or the colour.
    word
        The operation; an empty one forgets it.

    Returns
    -------
    str
        What is told of it.
    """
    if kinds == "layers" and kind_in(name) is not None:
        return f"For this job only, since the name “{name}” says itself what it is for." if word else ""
    known = {one.lower() for one, _ in _own_rules(kinds)}
    try:
        if word:
            keep_own({kinds: {name: word}}, [], str)
        elif name.lower() in known:
            keep_own({}, [f"{kinds}.{name}"], str)
        else:
            return ""
    except CutprepError as fault:  # a slip in her own file: the job has its rule all the same
        return f"It could not be remembered: {told_of(fault, where=True)}"
    said = f"Remembered for the next drawing that has “{name}”: {word}."
    return said if word else f"“{name}” is no longer remembered."


def _own_rules(kinds: str) -> tuple[tuple[str, LineKind], ...]:
    try:
        entry = remembered().get(kinds)
    except CutprepError:
        return ()
    found: tuple[tuple[str, LineKind], ...] = () if entry is None else entry.value
    return found
