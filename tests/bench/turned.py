"""Folding in 24 turns: `python -m tests.bench.turned [--seed N] [--part I/N] [--kind K] [--turns N] [--done FILE]`.

One template of every kind (`tests.bench.fold_kinds`) is drawn in 24 turns, half of them mirrored, all shuffled and
some lines split anew. Whatever is told of it must be the same in all: verdict, certainty, number of panels, duties,
sizes within 1e-3 mm, volume within 1e-5 of it, codes of findings. A kind that differs gets a line for each field, with what was told in
how many turns and the first turn that told so. With `--done` each kind's line is kept in a file,
and those that stand there are not run again.
"""

from __future__ import annotations

import argparse
import json
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import numpy as np

from cutprep.model.folded import FoldReport
from tests.bench.fold_kinds import chosen, make, timed_fold, word_of
from tests.kinds.draw import Manner, drawn

#: Sizes that differ by no more are the same, mm; volumes, by this share.
SAME_MM, SAME_SHARE = 1e-3, 1e-5


def manner_of(k: int) -> Manner:
    """Turn k of 24: exact quarters among them, every second one mirrored."""
    return Manner(turn=15.0 * k + 0.3 * (k % 3), mirror=bool(k % 2))


def told(report: FoldReport) -> dict[str, Any]:
    """What must not depend on the turn; lists of numbers in mm, but for the volume."""
    duties = Counter(p.duty.value for p in report.panels)
    return {
        "verdict": f"{word_of(report)} ({report.verdict.value})",
        "certainty": report.certainty.value,
        "panels": len(report.panels),
        "duties": ", ".join(f"{n} {d}" for d, n in sorted(duties.items())),
        "codes": ", ".join(sorted(m.code for m in report.messages)),
        "volume": [report.volume_mm3],
        "inside": sorted(report.drawn_mm or ()),
        "rim": sorted(np.ravel(report.rim_mm)) if report.rim_mm else [],
        "open": [report.open_length],
    }


def same(a: Any, b: Any, field: str) -> bool:
    """Whether two turns told the same."""
    if not isinstance(a, list):
        return bool(a == b)
    if len(a) != len(b):
        return False
    share = SAME_SHARE if field == "volume" else 0.0
    return all(abs(x - y) <= max(SAME_MM, share * abs(x)) for x, y in zip(a, b, strict=True))


def turned(kind: str, seed: int, k: int) -> tuple[list[dict[str, Any]], float]:
    """Fold one template in turn k; what was told of every part, and the time it took."""
    net, _ = make(kind, seed)
    drawing = drawn(net.strokes(), manner_of(k), np.random.default_rng([seed, k]), kind)
    reports, spent, fault = timed_fold(drawing)
    if fault:
        return [{"verdict": fault}], spent
    parts = sorted(reports, key=lambda r: (-len(r.panels), round(r.volume_mm3, 1)))
    return [told(r) for r in parts], spent


def differences(runs: Sequence[Sequence[dict[str, Any]]]) -> dict[str, list[tuple[int, int, Any]]]:
    """For each field that differs: in how many turns, from which on, and what."""
    found: dict[str, list[tuple[int, int, Any]]] = {}
    if len({len(r) for r in runs}) > 1:
        counts = Counter(len(r) for r in runs)
        return {"parts": [(n, [len(r) for r in runs].index(p), p) for p, n in counts.most_common()]}
    for part in range(len(runs[0])):
        for field in runs[0][part]:
            groups: list[tuple[int, int, Any]] = []
            for k, run in enumerate(runs):
                value = run[part].get(field, "fault")
                at = next((j for j, g in enumerate(groups) if same(g[2], value, field)), None)
                if at is None:
                    groups.append((1, k, value))
                else:
                    groups[at] = (groups[at][0] + 1, *groups[at][1:])
            if len(groups) > 1:
                found[field if len(runs[0]) == 1 else f"{field} of part {part}"] = sorted(
                    groups, key=lambda g: -g[0]
                )
    return found


def rows(names: Sequence[str], seed: int, turns: int, done: Path | None) -> Iterator[str]:
    """A row for each kind that differs, and their sum."""
    before = {}
    if done is not None and done.exists():
        lines = (json.loads(line) for line in done.read_text(encoding="utf-8").splitlines())
        before = {line["kind"]: line for line in lines if line["seed"] == seed and line["turns"] == turns}
    steady = 0
    for kind in names:
        line = before.get(kind)
        if line is None:
            results = [turned(kind, seed, k) for k in range(turns)]
            found = differences([r for r, _ in results])
            spent = [round(s, 3) for _, s in results]
            line = {"kind": kind, "seed": seed, "turns": turns, "differs": found, "spent": spent}
            if done is not None:
                with done.open("a", encoding="utf-8") as file:
                    file.write(json.dumps(line, default=float) + "\n")
        steady += not line["differs"]
        for field, groups in line["differs"].items():
            said = "; ".join(f"{n}x {value} (turn {k})" for n, k, value in groups)
            yield f"| {kind} | {field} | {said} |"
    yield ""
    yield f"{steady} of {len(names)} kinds: the same told in all {turns} turns"


def main() -> None:
    """Print what differs."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--turns", type=int, default=24)
    parser.add_argument("--part", default="1/1", help="I/N: every N-th kind from the I-th on")
    parser.add_argument("--kind", default=None, help="only kinds whose name holds this")
    parser.add_argument("--done", type=Path, default=None, help="file of the kinds that are done")
    asked = parser.parse_args()
    first, of = (int(n) for n in asked.part.split("/"))
    names = chosen(asked.kind)[first - 1 :: of]
    print(f"\n### {asked.turns} turns, seed {asked.seed}, part {asked.part}: {len(names)} kinds\n")
    print("| kind | what | told |\n|---|---|---|")
    for row in rows(names, asked.seed, asked.turns, asked.done):
        print(row, flush=True)


if __name__ == "__main__":
    main()
