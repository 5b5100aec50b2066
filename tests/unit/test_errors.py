"""Errors carry their place, and what is said nearest to the fault wins."""

from __future__ import annotations

import json
import pickle
from collections.abc import Callable
from types import FunctionType

import numpy as np
import pytest
import shapely
from lxml import etree

from cutprep.errors import (
    CutprepError,
    DrawingError,
    InputError,
    OutputError,
    Place,
    ReadbackError,
    at,
    is_ours,
)
from cutprep.model.findings.finding import Finding, Stopped


def test_place_reads_as_file_line_and_the_rest_in_brackets() -> None:
    place = Place(file="tray.svg", line=48, element="path 'lid'", layer="score", xy=(1, 2.346))
    assert str(place) == "tray.svg:48 (path 'lid', layer 'score', at 1.00, 2.35 mm)"
    assert str(Place()) == ""
    assert str(Place(line=3)) == "line 3"
    assert str(Place(layer="lid")) == "(layer 'lid')"


def test_at_adds_what_is_missing_and_keeps_what_is_there() -> None:
    with pytest.raises(DrawingError) as caught, at(file="outer.svg", line=1), at(line=7, element="path"):
        raise DrawingError("the arc has 6 numbers", fix="Draw it again.", place=Place(layer="cut"))
    assert caught.value.place == Place(file="outer.svg", line=7, element="path", layer="cut")
    assert str(caught.value) == "outer.svg:7 (path, layer 'cut'): the arc has 6 numbers. Draw it again."


def test_at_lets_other_exceptions_pass_untouched() -> None:
    with pytest.raises(KeyError), at(file="x"):
        raise KeyError("k")


def test_a_problem_that_ends_with_a_stop_gets_no_second_one() -> None:
    assert str(CutprepError("It broke.", fix="Mend it.")) == "It broke. Mend it."
    assert str(CutprepError("It broke")) == "It broke"


def test_errors_cross_a_process_border_whole() -> None:
    error = ReadbackError("differs", fix="Report it.", place=Place(file="a", xy=(1.0, 2.0)))
    copy = pickle.loads(pickle.dumps(error))
    assert type(copy) is ReadbackError
    assert (copy.problem, copy.fix, copy.place) == (error.problem, error.fix, error.place)


def test_the_tree() -> None:
    assert issubclass(DrawingError, InputError)
    assert issubclass(Stopped, InputError)
    assert issubclass(ReadbackError, OutputError)
    assert issubclass(InputError, CutprepError)
    assert not issubclass(InputError, OutputError)


@pytest.mark.parametrize(("count", "told"), [(1, "1 error in"), (2, "2 errors in")])
def test_stopped_tells_how_many_errors_and_crosses_a_process_border(count: int, told: str) -> None:
    fault, hint = Finding.of("gap", "open"), Finding.of("crumb", "small")
    copy = pickle.loads(pickle.dumps(Stopped([fault] * count + [hint])))
    assert told in str(copy)
    assert copy.findings == (*[fault] * count, hint)


def _caught(work: Callable[[], object], module: str) -> Exception:
    """What a function throws, as if it stood in a module of that name."""
    named = FunctionType(work.__code__, {**work.__globals__, "__name__": module}, closure=work.__closure__)
    with pytest.raises(Exception) as caught:
        named()
    tail = caught.value.with_traceback(caught.tb.tb_next)
    assert isinstance(tail, Exception)
    return tail


@pytest.mark.parametrize(
    ("work", "module", "ours"),
    [
        (lambda: int("x"), "cutprep.stages.read.svg.drawing", True),
        (lambda: json.loads("{"), "cutprep.stages.read.svg.drawing", True),
        (lambda: np.linalg.inv(np.zeros((2, 2))), "cutprep.geometry.affine", True),
        (lambda: int("x"), "ezdxf.entities.line", False),
        (lambda: json.loads("{"), "ezdxf.entities.line", False),
        (lambda: etree.fromstring("<svg>"), "cutprep.stages.read.svg.xml", False),
        (lambda: shapely.from_wkt("POLYGON"), "cutprep.geometry.lines.rings", False),
    ],
)
def test_a_fault_is_ours_when_our_code_was_running(
    work: Callable[[], object], module: str, ours: bool
) -> None:
    assert is_ours(_caught(work, module)) is ours


def test_a_fault_that_was_never_raised_is_ours() -> None:
    assert is_ours(ValueError("x"))
