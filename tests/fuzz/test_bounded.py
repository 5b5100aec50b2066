"""A bounded, seeded pass over every reader: the same inputs in each run. Long runs: tests/fuzz/run.py."""

from __future__ import annotations

import itertools
from pathlib import Path

import pytest

from tests.fuzz.mutate import mutants, words_of
from tests.fuzz.shaped import SHAPERS
from tests.fuzz.targets import CORPUS, TARGETS, Foreign, seeds

KEPT = Path(__file__).parent / "kept"
#: Inputs of each reader: some 2 s each.
COUNT = {"svg": 400, "dxf": 250, "job": 300, "profile": 300, "hpgl": 300, "gcode": 400, "index": 150}


@pytest.mark.parametrize("name", sorted(TARGETS))
def test_nothing_but_our_own_errors_comes_out(name: str) -> None:
    corpus = seeds(name)
    for data in itertools.islice(mutants(corpus, words_of(corpus), 20, SHAPERS.get(name)), COUNT[name]):
        TARGETS[name](data)


@pytest.mark.parametrize("name", sorted(TARGETS))
def test_every_seed_is_read(name: str) -> None:
    assert len(seeds(name)) >= 2
    for data in seeds(name):
        TARGETS[name](data)


@pytest.mark.parametrize("path", sorted(KEPT.iterdir()), ids=lambda path: path.name)
def test_what_took_the_fuzzer_longest_is_read(path: Path) -> None:
    """Of 80 minutes led by coverage; `endless.dxf` counted up to two thousand million."""
    TARGETS[path.suffix[1:]](path.read_bytes())


def test_the_same_seed_gives_the_same_inputs() -> None:
    corpus = seeds("svg")
    first, again, other = (
        list(itertools.islice(mutants(corpus, words_of(corpus), seed), 50)) for seed in (1, 1, 2)
    )
    assert first == again != other


def test_a_foreign_exception_would_be_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: object, **__: object) -> None:
        raise IndexError("list index out of range")

    monkeypatch.setattr("cutprep.stages.read.svg.drawing.read_svg", fail)
    with pytest.raises(Foreign, match="IndexError"):
        TARGETS["svg"](seeds("svg")[0])


def test_the_corpus_is_small() -> None:
    assert sum(path.stat().st_size for path in CORPUS.rglob("*")) < 200_000
