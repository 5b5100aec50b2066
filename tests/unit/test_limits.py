"""Limits are numbers above 0, and hold for a whole run."""

from __future__ import annotations

import dataclasses
import gzip
from pathlib import Path

import pytest

from cutprep.errors import CutprepError, JobError
from cutprep.limits import Limits, raise_limits
from cutprep.stages.read.reader import read
from cutprep.tolerance import Tolerance


def test_defaults_are_above_any_template() -> None:
    limits = Limits()
    assert limits.points > limits.curve_points > 100_000
    assert limits.coordinate > 1e6


@pytest.mark.parametrize("field", [f.name for f in dataclasses.fields(Limits)])
def test_a_limit_below_one_is_a_programming_error(field: str) -> None:
    with pytest.raises(ValueError, match=field):
        Limits(**{field: 0})


def test_limits_are_raised_by_name() -> None:
    assert raise_limits([]) == Limits()
    raised = raise_limits(["points=20_000_000", " depth = 300"])
    assert raised == dataclasses.replace(Limits(), points=20_000_000, depth=300)
    assert isinstance(raised.points, int)
    assert raise_limits(["file-bytes=2e8"]).inflated_bytes == 200_000_000
    assert raise_limits(["file-bytes=5"]).inflated_bytes == Limits().inflated_bytes


@pytest.mark.parametrize("word", ["points", "points=", "points=no", "points=nan", "points=inf", "points=-1"])
def test_limits_that_are_no_number(word: str) -> None:
    with pytest.raises(JobError, match="limit points"):
        raise_limits([word])


def test_a_limit_that_is_not_there() -> None:
    with pytest.raises(JobError, match=r"no limit 'point'.*points"):
        raise_limits(["point=9"])


def _svg(inner: str, attributes: str = "") -> bytes:
    head = "<svg xmlns='http://www.w3.org/2000/svg' width='9mm' height='9mm' stroke='black'"
    return f"{head} {attributes}>{inner}</svg>".encode()


def _dxf(*rows: object, blocks: str = "") -> bytes:
    body = "\n".join(str(row) for row in rows)
    return f"{blocks}0\nSECTION\n2\nENTITIES\n{body}\n0\nENDSEC\n0\nEOF\n".encode()


_LINE = "<path d='M0 0L9 9'/>"
_BLOCK = "\n".join(
    str(row)
    for row in (
        *(0, "SECTION", 2, "BLOCKS", 0, "BLOCK", 2, "A", 10, 0, 20, 0),
        *(0, "LINE", 8, "cut", 10, 0, 20, 0, 11, 5, 21, 5, 0, "ENDBLK"),
        *(0, "BLOCK", 2, "B", 10, 0, 20, 0, 0, "INSERT", 2, "A", 10, 0, 20, 0, 0, "ENDBLK", 0, "ENDSEC", ""),
    )
)
_CLIPPED = "<clipPath id='c'><path d='M0 0H9V9H0z'/><path d='M0 0H9V9H0z'/></clipPath>" + "".join(
    f"<g transform='scale(1.{k})' clip-path='url(#c)'>{_LINE}</g>" for k in range(1, 9)
)
#: Field of Limits, a drawing, a value that stops it, one that lets it through.
_ASKING: list[tuple[str, bytes, float, float]] = [
    ("file_bytes", _svg(_LINE + " " * 1000), 900, 2000),
    ("inflated_bytes", gzip.compress(_svg(_LINE + " " * 1000), mtime=0), 900, 2000),
    ("elements", _svg(_LINE * 8), 8, 9),
    ("elements", _dxf(*(0, "LINE", 10, 0, 20, 0, 11, 9, 21, 9) * 8), 7, 30),
    ("depth", _svg("<g>" * 8 + _LINE + "</g>" * 8), 8, 20),
    ("depth", _dxf(0, "INSERT", 2, "B", 10, 0, 20, 0, blocks=_BLOCK), 1, 3),
    ("points", _svg(_LINE * 8), 15, 16),
    ("points", _dxf(*(0, "LINE", 10, 0, 20, 0, 11, 9, 21, 9) * 8), 15, 16),
    ("fit_points", _dxf(0, "SPLINE", 71, 3, *(11, 0, 21, 0, 11, 5, 21, 9, 11, 9, 21, 0)), 149, 150),
    ("curve_points", _dxf(0, "CIRCLE", 10, 0, 20, 0, 40, 1000), 50, 5000),
    ("expanded", _svg(f"<g id='a'>{_LINE}</g>" + "<use href='#a'/>" * 8), 15, 16),
    ("expanded", _dxf(0, "INSERT", 2, "A", 10, 0, 20, 0, 70, 4, 71, 2, 44, 9, 45, 9, blocks=_BLOCK), 15, 16),
    ("expanded", _svg(_CLIPPED), 15, 16),
    ("points", _svg(f"<g id='a'>{_LINE}</g>" + "<use href='#a'/>" * 8), 15, 99),
    ("points", _svg(_CLIPPED), 30, 99),
    ("style_bytes", _svg("<style>path{stroke:red}</style>" * 2 + _LINE), 31, 32),
    (
        "declarations",
        _svg("".join(f"<path style='fill:none;stroke-width:{k}px' d='M0 {k}H9'/>" for k in range(8))),
        16,
        17,
    ),
    ("coordinate", _dxf(0, "LINE", 10, 0, 20, 0, 11, 1e6, 21, 0), 999_999, 1e6),
    ("page", _svg(_LINE, "viewBox='0 0 9 9'").replace(b"width='9mm'", b"width='90m'"), 8, 9),
    (
        "entity_bytes",
        b"<!DOCTYPE svg [<!ENTITY a 'xxxxxxxxxx'>]>" + _svg(f"<g id='&a;&a;'>{_LINE}</g>"),
        19,
        20,
    ),
]


@pytest.mark.parametrize(("field", "data", "stops", "passes"), _ASKING)
def test_each_limit_stops_and_says_how_to_go_on(
    tmp_path: Path, field: str, data: bytes, stops: float, passes: float
) -> None:
    path, option = tmp_path / "drawing", field.replace("_", "-")
    path.write_bytes(data)
    with pytest.raises(CutprepError, match=f"--limit {option}=NUMBER"):
        read(path, limits=raise_limits([f"{option}={stops}"]), tolerance=Tolerance())
    assert len(read(path, limits=raise_limits([f"{option}={passes}"]), tolerance=Tolerance()).lines) > 0


def test_every_limit_of_reading_is_tried() -> None:
    # By the job, by folding, and by reading machine files.
    held_elsewhere = {"copies", "fold_work", "machine_bytes", "moves", "instructions"}
    assert {field for field, *_ in _ASKING} | held_elsewhere == {f.name for f in dataclasses.fields(Limits)}
