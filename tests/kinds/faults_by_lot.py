"""The same faults planted into many kinds of template, at a score taken by lot."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np

from cutprep.model.operation import Operation
from tests.kinds.draw import XY, Net
from tests.kinds.faults import (
    CUT,
    SCORE,
    Fault,
    Strokes,
    along,
    instead,
    line,
    named_by,
    plus,
    said_of,
    split,
    without,
)

#: Kinds by name, as `tests.bench.fold_kinds` knows them; all close, and none has a fault.
NAMES = (
    "prism, glue flaps",
    "pyramid",
    "sleeve, 4 walls, flap",
    "gable box with handle",
    "tray and lid",
    "mailer, rolled sides, lid with ears",
    "envelope, four flaps",
    "bag with side folds",
    "house",
    "carton, sealed, full flaps",
)
#: Scores shorter than this are left alone, mm.
_LEAST = 15.0


def faults_in(name: str, net: Net, rng: np.random.Generator) -> Iterator[Fault]:
    """Seven faults at one score of a sound template, as a careless hand draws them."""
    scores = [s for s in split(net) if s.operation is Operation.SCORE]
    ends = [tuple(map(tuple, s.points[[0, -1]].tolist())) for s in scores]
    long = [e for e in ends if np.hypot(e[1][0] - e[0][0], e[1][1] - e[0][1]) > _LEAST]
    p, q = long[int(rng.integers(len(long)))]
    half, across = along(p, q, 0.5), ((q[1] - p[1]), -(q[0] - p[0]))
    size = float(np.hypot(*across))
    unit = (across[0] / size, across[1] / size)

    def off(xy: XY, by: float) -> XY:
        return (xy[0] + by * unit[0], xy[1] + by * unit[1])

    third = along(p, q, 0.35)
    changes: dict[str, Callable[[Strokes], Strokes]] = {
        "a score missing": lambda s: without(s, p, q),
        "a score on the cut layer": lambda s: instead(s, p, q, (CUT, (p, q))),
        "half a score on the cut layer": lambda s: instead(s, p, q, (CUT, (p, half)), (SCORE, (half, q))),
        "score also drawn as a cut": lambda s: plus(s, CUT, p, q),
        "score 1.2 mm short": lambda s: instead(s, p, q, (SCORE, (along(p, q, 1.2 / size), q))),
        "cut across a score": lambda s: plus(s, CUT, off(third, -5.0), off(third, 5.0)),
        "second score 0.5 mm beside": lambda s: plus(s, SCORE, off(p, 0.5), off(q, 0.5)),
    }
    for what, change in changes.items():
        yield Fault(
            f"{name}: {what}",
            lambda change=change: change(split(net)),  # type: ignore[misc]
            lambda: split(net),
            line(p, q).buffer(6.0 if what.startswith("cut") else 0.5),
        )


def table(nets: dict[str, Net], seed: int) -> Iterator[str]:
    """A row a kind: what is named at its place, and what is missed with all that is said of it."""
    yield "| kind | named at their place | missed: what is said |"
    yield "|---|---|---|"
    named = total = 0
    for name, net in nets.items():
        missed, here = [], 0
        before = said_of(split(net), seed)
        for fault in faults_in(name, net, np.random.default_rng([seed, *name.encode("utf-8")])):
            code, said = named_by(fault, seed, before)
            total += 1
            here += bool(code)
            if not code:
                missed.append(f"{fault.name.split(': ')[1]}: {', '.join(said) or 'nothing'}")
        named += here
        yield f"| {name} | {here} | {'; '.join(missed)} |"
    yield ""
    yield f"{named} of {total} named at their place"
