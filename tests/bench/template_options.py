"""Options of templates at random dimensions: `python -m tests.bench.template_options [--each N] [--first SEED] [--kind K] [--option O]`.

Every set of dimensions is one that is drawn without options (`tests.bench.templates`). Each option that the kind offers is
then asked for alone, in millimetres or inches by lot, and two of them together by lot. What is asked for is *right* when
`check` is silent, the fold is what it was without, the inside within 0.05 mm (and the caliper where the kind states none, as of
a room with sides that are not alike), and the area that a slot, a notch or a window
takes off is that of plane geometry; it is *refused* well when the sentence says what would do, and that can be drawn.
"""

from __future__ import annotations

import argparse
import math
import re
import zlib
from collections import Counter
from collections.abc import Callable, Collection, Iterator, Mapping
from itertools import combinations

import numpy as np
import pytest
import shapely

from cutprep.errors import JobError
from cutprep.model.drawing import Drawing
from cutprep.model.findings.finding import Severity
from cutprep.model.folded import FoldReport
from cutprep.stages.check.inspect import check
from cutprep.stages.divide import divide
from cutprep.stages.fold.plan import fold
from cutprep.template.dimensions import Values
from cutprep.template.kind import KindOfTemplate
from cutprep.template.kinds import KINDS
from cutprep.template.options.faces import WINDOWS
from cutprep.template.remedy import draw_or_advise
from cutprep.tolerance import Tolerance
from tests.unit.template.options.test_options import bow_radius, notched
from tests.unit.template.test_expected import sizes

Rng = np.random.Generator
Words = dict[str, str]
TEXTS = ("Lime honey", "Zoë", "Ana", "From the hives behind the church", "7 oz", "Žofie & Øyvind", "{name}")
#: A length of an option, its least and most that are asked for, mm.
_LENGTHS = {"round": (0.4, 9), "relief": (0.3, 1.0), "notch": (3, 16), "slit": (2, 14), "hang": (6.5, 40), "tear": (4, 60)}  # fmt: skip
_WINDOW = " window"
_MOST = re.compile(r"Use (?:a tear line )?at most ([\d.]+) mm")
_BETWEEN = re.compile(r"Use from ([\d.]+) to ([\d.]+) mm")


def length(rng: Rng, least: float, most: float) -> str:
    """A length as it is typed: mm to a half, or eighths or sixteenths of an inch."""
    mm = float(rng.uniform(least, most))
    low, high = math.ceil(least / 25.4 * 16), math.floor(most / 25.4 * 16)
    if low > high or rng.random() < 0.5:
        return f"{max(round(2 * mm) / 2, least):g}mm"
    return f"{min(max(round(mm / 25.4 * 16), low), high)}/16in"


def asked(kind: KindOfTemplate, option: str, rng: Rng) -> Words:
    """An option as a maker would type it, at its places by lot."""
    places, words = kind.places, Words()
    if option in _LENGTHS:
        words[option] = length(rng, *_LENGTHS[option])
    elif option == "seam-side":
        words[option] = "outside"
    elif option == "text":
        words |= {"text": str(rng.choice(TEXTS)), "text-height": length(rng, 3, 12)}
    else:
        words["window"] = option.removesuffix(_WINDOW)
        if rng.random() < 0.5:
            words["window-width"] = length(rng, 8, 60)
        if rng.random() < 0.5:
            words["window-height"] = length(rng, 8, 60)
    if option.endswith(_WINDOW) or option in ("text", "hang"):
        words["face"] = str(rng.choice(places.faces))
        if rng.random() < 0.4:
            words["margin"] = length(rng, 3, 14)
    if option == "notch":
        words["notch-in"] = str(rng.choice(places.edges))
    if option == "tear":
        words["tear-in"] = str(rng.choice(places.tears))
    return words


def options_of(kind: KindOfTemplate) -> list[str]:
    """What can be asked of a kind; each shape of a window by itself."""
    known = {d.name for d in kind.all_dimensions}
    found = [o for o in (*_LENGTHS, "seam-side", "text") if o in known]
    return found + ([shape + _WINDOW for shape in WINDOWS[1:]] if "window" in known else [])


def area(drawing: Drawing) -> float:
    """Card in all parts, mm2."""
    template = divide(drawing, Tolerance())
    lines = template.lines
    return sum(
        shapely.Polygon(lines.points(p.outline), [lines.points(h) for h in p.holes]).area
        for p in template.parts
    )


def taken_off(kind: KindOfTemplate, words: Mapping[str, str], size: Values) -> float | None:
    """What plane geometry says that one option takes off, mm2; None where it depends on what is drawn."""
    d = kind.values(**kind.read(words))
    if any(name in words and d[name] and name in {one.name for one in kind.dimensions} for name in _LENGTHS):
        return None  # the kind has that without being asked
    d = Values({name: d[name] for name in d if name in words}, d.texts)
    if d.get("hang"):
        return 6 * (d["hang"] - 6) + math.pi * 9
    if d.get("notch"):
        return notched(d["notch"], bow_radius(size) if "bow" in size else math.inf)
    if d.get("slit") or d.get("tear") or "text" in words:
        return 0.0
    width, height = (d.get(f"window-{side}", 0.0) for side in ("width", "height"))
    shares = {"round": math.pi / 4, "rectangle": 1.0, "hexagon": 0.75}
    if words.get("window") in shares and width and height:
        return shares[words["window"]] * width * height
    return None


def refusal(
    kind: KindOfTemplate, given: Mapping[str, float | str], option: str, fault: JobError
) -> list[str]:
    """What is wrong with a refusal: nothing named that would do, or what is named would not."""
    if not fault.fix or "\n" in fault.problem:
        return [f"refused without a word of what would do: {fault.problem}"]
    named = [float(v) for found in (_MOST, _BETWEEN) if (m := found.search(fault.fix)) for v in m.groups()]
    found = []
    for value in named if option in _LENGTHS else []:
        try:
            kind.from_values(**{**given, option: value})
        except JobError as again:
            found.append(f"what would do would not: {fault.problem} | {fault.fix} | {again.problem}")
    return found


def told(reports: tuple[FoldReport, ...], meant: Collection[str]) -> list[str]:
    """What the fold warns of, but for what is meant so."""
    codes = (m.code for r in reports for m in r.messages if m.severity is not Severity.NOTE)
    return sorted(code for code in codes if code not in meant)


class Base:
    """A set of dimensions without options."""

    def __init__(self, kind: KindOfTemplate, size: Values) -> None:
        self.kind = kind
        own = {d.name for d in kind.dimensions}
        self.size: dict[str, float | str] = {name: v for name, v in size.items() if name in own}
        drawing = kind.from_values(**self.size)
        self.caliper = float(size.get("caliper", 0.0))
        self.area = area(drawing)
        said = kind.expect(size)
        self.states_inside, self.meant = said.inside is not None, said.told
        self.reports = fold(drawing, thickness=self.caliper, tolerance=Tolerance())

    def wrong(self, words: Mapping[str, str], off: float | None, option: str = "") -> tuple[str, list[str]]:
        """Whether an option is "right", "refused" or "wrong", and why."""
        said = self.kind.read(words)
        given = {**self.size, **{key: said[key] for key in words}}
        try:
            drawing = draw_or_advise(self.kind, given)
        except JobError as fault:
            found = refusal(self.kind, given, option, fault)
            return ("wrong" if found else "refused"), found
        told_of = check(drawing, Tolerance(), blade_offset=0.25)
        found = [f"{f.code}: {f.problem}" for f in told_of if f.severity is not Severity.NOTE][:2]
        if off is not None and abs(self.area - area(drawing) - off) > 0.01 * off + 0.5:
            found.append(f"area off by {self.area - area(drawing):.2f}, stated {off:.2f}")
        reports = fold(drawing, thickness=self.caliper, tolerance=Tolerance())
        now, before = (sorted(r.verdict.value for r in rs) for rs in (reports, self.reports))
        if now != before:
            return "wrong", [*found, f"verdicts {now}, without {before}"]
        warned, before_that = (told(rs, self.meant) for rs in (reports, self.reports))
        if warned != before_that:
            found.append(f"the fold warns of {warned}, without of {before_that}")
        rooms = [sorted(sorted(r.inside_mm or ()) for r in rs) for rs in (reports, self.reports)]
        for one, other in zip(*rooms, strict=True):
            # Of boxes as large as each other in a room of many sides any may be told, where the kind states none; the wall that
            # is a caliper narrower or wider than the others leaves it as much larger one way than another.
            as_large = not self.states_inside and math.prod(one) == pytest.approx(math.prod(other), rel=1e-3)
            near = 0.05 if self.states_inside else 0.05 + self.caliper
            if one != pytest.approx(other, abs=near) and not as_large:
                found.append(f"inside {one}, without {other}")
        return ("wrong" if found else "right"), found


def tried(
    kind: KindOfTemplate, seed: int, pairs: int, only: str
) -> Iterator[tuple[str, str, list[str], Words]]:
    """Each option alone, and pairs by lot: its name, what came of it, why, and what was asked."""
    rng = np.random.default_rng([zlib.crc32(kind.name.encode()), seed, 1])
    options = [o for o in options_of(kind) if only in ("", o)]
    if not options:
        return
    size = sizes(kind, seed)
    base = Base(kind, size)
    for option in options:
        words = asked(kind, option, rng)
        yield option, *base.wrong(words, taken_off(kind, words, size), option), words
    both = list(combinations(options, 2))
    for k in rng.permutation(len(both))[:pairs]:
        words = Words()
        for option in both[int(k)]:
            words |= asked(kind, option, rng)
        yield " + ".join(both[int(k)]), *base.wrong(words, None), words


def main(say: Callable[..., None] = print) -> None:
    """Print a row for each kind, what went wrong, and the sum."""
    asked_for = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    asked_for.add_argument("--each", type=int, default=6)
    asked_for.add_argument("--first", type=int, default=20000)
    asked_for.add_argument("--pairs", type=int, default=4, help="pairs of options by lot, for each set")
    asked_for.add_argument("--kind", choices=sorted(KINDS))
    asked_for.add_argument("--option", default="")
    given = asked_for.parse_args()
    sums: Counter[str] = Counter()
    for name in [given.kind] if given.kind else list(KINDS):
        row: Counter[str] = Counter()
        for seed in range(given.first, given.first + given.each):
            for option, came, why, words in tried(KINDS[name], seed, given.pairs, given.option):
                row[came] += 1
                if came == "wrong":
                    say(f"    {name} {seed} {option} {words}: {'; '.join(why)}", flush=True)
        sums += row
        say(
            f"{name:18s} {row['right']:5d} right {row['refused']:4d} refused {row['wrong']:4d} wrong",
            flush=True,
        )
    say(f"{'all':18s} {sums['right']:5d} right {sums['refused']:4d} refused {sums['wrong']:4d} wrong")


if __name__ == "__main__":
    main()
