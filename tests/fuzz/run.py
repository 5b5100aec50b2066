"""Fuzz one reader for a while: `python -m tests.fuzz.run TARGET --seconds 600`.

With `atheris` (`pip install cutprep[fuzz]`) inputs are led by coverage; without it, or with `--engine
own`, seeds are changed at random by our own mutator. An input that ends in a foreign exception, takes
over 10 s or over 2 GiB stops the run and is kept; `python -m tests.fuzz.run TARGET --input FILE` runs it
again.
"""

from __future__ import annotations

import argparse
import importlib.util
import resource
import signal
import sys
import time
import traceback
from pathlib import Path
from types import FrameType

import numpy as np

HANG_SECONDS = 10
MEMORY_MB = 2048
LONGEST = 16_384  # a `job.json` of the corpus has 9,000 bytes
_NAMES = ("svg", "dxf", "job", "profile", "hpgl", "gcode", "index")


def main() -> None:
    """Read the arguments and run."""
    parser = argparse.ArgumentParser(prog="python -m tests.fuzz.run")
    parser.add_argument("target", choices=_NAMES)
    parser.add_argument("--seconds", type=int, default=60)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--engine", choices=("atheris", "own"), default="atheris")
    parser.add_argument("--found", type=Path, default=Path("fuzz-found"), help="folder for what is found")
    parser.add_argument("--input", type=Path, help="run one input and stop")
    given = parser.parse_args()
    given.found.mkdir(parents=True, exist_ok=True)
    if given.input:
        from tests.fuzz.targets import TARGETS

        TARGETS[given.target](given.input.read_bytes())
    elif given.engine == "atheris" and importlib.util.find_spec("atheris"):
        _led(given)
    else:
        _own(given)


def _led(given: argparse.Namespace) -> None:
    import atheris

    with atheris.instrument_imports(include=["cutprep", "tomllib"]):
        from tests.fuzz.targets import CORPUS, TARGETS, seeds
    from tests.fuzz.mutate import words_of
    from tests.fuzz.shaped import SHAPERS

    corpus = given.found / f"corpus-{given.target}"
    corpus.mkdir(exist_ok=True)
    options = [
        sys.argv[0],
        f"-timeout={HANG_SECONDS}",
        f"-rss_limit_mb={MEMORY_MB}",
        f"-max_total_time={given.seconds}",
        f"-seed={given.seed}",
        f"-max_len={LONGEST}",
        "-print_final_stats=1",
        f"-artifact_prefix={given.found}/{given.target}-",
        str(corpus),
        str(CORPUS / given.target),
    ]
    first = seeds(given.target)
    words = given.found / f"words-{given.target}"
    words.write_text("".join(f'"{_quoted(word)}"\n' for word in words_of(first)), encoding="ascii")
    options.insert(1, f"-dict={words}")
    shaper = SHAPERS.get(given.target)

    def change(data: bytes, longest: int, seed: int) -> bytes:
        if shaper is not None and seed % 2:
            changed = shaper(data, first, np.random.default_rng(seed))
            if changed != data and len(changed) <= longest:
                return changed
        return atheris.Mutate(data, longest)

    more = {} if shaper is None else {"custom_mutator": change}
    atheris.Setup(options, TARGETS[given.target], **more)
    atheris.Fuzz()


def _quoted(word: bytes) -> str:
    return "".join(f"\\x{byte:02x}" for byte in word)


def _hung(number: int, frame: FrameType | None) -> None:
    raise TimeoutError(f"over {HANG_SECONDS} s")


def _own(given: argparse.Namespace) -> None:
    from tests.fuzz.mutate import mutants, words_of
    from tests.fuzz.shaped import SHAPERS
    from tests.fuzz.targets import TARGETS, seeds

    corpus = seeds(given.target)
    signal.signal(signal.SIGALRM, _hung)
    ends = time.monotonic() + given.seconds
    count = finds = 0
    seen: set[str] = set()
    for data in mutants(corpus, words_of(corpus), given.seed, SHAPERS.get(given.target)):
        if time.monotonic() > ends:
            break
        count += 1
        signal.alarm(HANG_SECONDS)
        try:
            TARGETS[given.target](data)
        except BaseException as fault:
            if isinstance(fault, KeyboardInterrupt):
                raise
            where = (
                "".join(traceback.format_tb(fault.__traceback__)[-1:])
                + type(fault.__cause__ or fault).__name__
            )
            if where not in seen:
                seen.add(where)
                finds += 1
                (given.found / f"{given.target}-own-{finds}").write_bytes(data)
                traceback.print_exc()
        finally:
            signal.alarm(0)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
    print(f"{given.target}: {count} inputs in {given.seconds} s, {finds} different finds, peak {peak} MB")


if __name__ == "__main__":
    main()
