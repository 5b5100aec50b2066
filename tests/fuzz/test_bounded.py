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
#: Seeds that are read at least; the others hold faults for which a file is refused. All, where nothing is said.
LEAST_READ = {"dxf": 4, "job": 1}


@pytest.mark.parametrize("name", sorted(TARGETS))
def test_nothing_but_our_own_errors_comes_out(name: str) -> None:
    corpus = seeds(name)
    inputs = itertools.islice(mutants(corpus, words_of(corpus), 20, SHAPERS.get(name)), COUNT[name])
    # Inputs that are all refused, or all taken, would not come far into a reader, or not to its edges.
    assert {TARGETS[name](data) for data in inputs} == {True, False}


@pytest.mark.parametrize("name", sorted(TARGETS))
def test_seeds_are_read(name: str) -> None:
    assert len(seeds(name)) >= 2
    read = [TARGETS[name](data) for data in seeds(name)]
    assert sum(read) >= LEAST_READ.get(name, len(read))


@pytest.mark.parametrize("path", sorted(KEPT.iterdir()), ids=lambda path: path.name)
def test_what_took_the_fuzzer_longest_is_read(path: Path) -> None:
    """Of 80 minutes led by coverage; `endless.dxf` counted up to two thousand million."""
    assert TARGETS[path.suffix[1:]](path.read_bytes()) == (
        path.name != "slowest.svg"
    )  # which has nothing to cut


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
