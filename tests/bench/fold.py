"""Figures of folding. Run `python -m tests.bench.fold [nets noise faults trees random speed solver]`.

Definitions: a net is *right* when it gives one part with the right panels and hinges, the right
verdict, a volume within 1 % and a seam error below 1 mm. Noise: every straight run of a net is
drawn by itself, ends off by up to the noise (uniform), a fifth of them twice, a fifth in two
pieces, 15 % too short by the gap, shuffled, half of them reversed (`tests.nets.roughen`). Seeds
are 0, 1, 2 ...; times are process times on the machine that prints them.
"""

from __future__ import annotations

import argparse
import math
import time
from collections.abc import Callable

import numpy as np

from cutprep.model.folded import FoldReport
from cutprep.stages.fold.closing.zip.body import as_meetings, meetings_of
from cutprep.stages.fold.closing.zip.outline import outline_of
from cutprep.stages.fold.closing.zip.seams import zippings
from cutprep.stages.fold.closing.zip.solve import distances, jacobian, solve
from cutprep.stages.fold.net.hinges import hinges_of, parts_of
from cutprep.stages.fold.net.net_lines import pick_net_lines
from cutprep.stages.fold.net.panels import find_net
from cutprep.stages.fold.net.part import hang_from, part_of
from cutprep.stages.fold.plan import fold
from cutprep.tolerance import Tolerance
from tests.fold_faults import FAULTS, WRONG
from tests.nets import (
    Sketch,
    drum,
    dual_edges,
    from_faces,
    frustum_net,
    gathered,
    globe,
    hang,
    hex_prism,
    net_of,
    ngon_tray,
    open_cube,
    pillow,
    pyramid_net,
    roughen,
    solid,
    spanning_trees,
    tray,
    tuck_end,
    unfold,
    webbed_tray,
)

TOLERANCE = Tolerance()


def pyramid_volume(n: int, side: float, height: float) -> float:
    return n * side**2 / (4 * math.tan(math.pi / n)) * height / 3


def frustum_volume(n: int, a: float, b: float, h: float) -> float:
    one, two = (n * s**2 / (4 * math.tan(math.pi / n)) for s in (a, b))
    return h / 3 * (one + two + math.sqrt(one * two))


#: Net, its exact volume, and the inside it must have (None: not a box of three lengths).
NETS: list[tuple[Sketch, float, tuple[float, float, float] | None]] = [
    (tray(), 405_000, (150, 90, 30)),
    (net_of("cube", 40), 64_000, (40, 40, 40)),
    (net_of("tetrahedron", 60), 0.117851130 * 60**3, None),
    (net_of("octahedron", 50), 0.471404521 * 50**3, None),
    (net_of("dodecahedron", 30), 7.663118961 * 30**3, None),
    (net_of("icosahedron", 40), 2.181694991 * 40**3, None),
    (hex_prism(), 1.5 * math.sqrt(3) * 40**2 * 90, (80, 40 * math.sqrt(3), 90)),
    (tuck_end(), 162_000, (90, 60, 30)),
    (
        webbed_tray(),
        math.sqrt(40**2 - 7**2) / 6 * (7000 + 4 * 107 * 77 + 9576),
        (114, 84, math.sqrt(40**2 - 7**2)),
    ),
    (gathered(), 150_000 + 2500 * math.sqrt(35**2 - 25**2) / 3, (50, 50, 60 + math.sqrt(35**2 - 25**2))),
    *[(ngon_tray(n), n * 60**2 / (4 * math.tan(math.pi / n)) * 20, None) for n in (3, 4, 5, 6, 8)],
    (open_cube(), 64_000, (40, 40, 40)),
    (frustum_net(4), frustum_volume(4, 60, 40, 50), (60, 60, 50)),
    (frustum_net(6), frustum_volume(6, 60, 40, 50), None),
    (pyramid_net(4), pyramid_volume(4, 60, 50), (60, 60, 50)),
    (pyramid_net(5), pyramid_volume(5, 60, 50), None),
]


def _fold(sketch: Sketch) -> tuple[FoldReport, float]:
    start = time.process_time()
    report = fold(sketch.drawing(), tolerance=TOLERANCE)[0]
    return report, time.process_time() - start


def nets() -> None:
    """Every net: counts, seam error, size, volume found and exact."""
    print(
        "| net | panels/hinges | flaps | open | angles | gap mm | inside found | inside exact | volume/exact - 1 | ms |"
    )
    print("|---|---|---|---|---|---|---|---|---|---|")
    for sketch, volume, inside in NETS:
        r, spent = _fold(sketch)
        angles = ", ".join(f"{a:g}" for a in sorted({round(h.angle, 4) + 0.0 for h in r.hinges}))
        size = " x ".join(f"{v:.3f}" for v in r.inside_mm or ())
        exact = " x ".join(f"{v:.3f}" for v in inside) if inside else "-"
        print(
            f"| {sketch.name} | {len(r.panels)}/{len(r.hinges)} | {len(r.flaps)} | {r.open_sides} | {angles} "
            f"| {r.gap:.1e} | {size} | {exact} | {r.volume_mm3 / volume - 1:+.1e} | {1000 * spent:.0f} |"
        )
    r, _ = _fold(pillow())
    print(f"| {r.name} | {len(r.panels)}/{len(r.hinges)} | - | - | - | - | {r.verdict.value} | | | |")


def noise(seeds: int = 40) -> None:
    """Noise and gaps against nets, on the ladder of snapping distances."""
    print(
        "| noise / gap | right | worst gap mm | worst angle deg | worst volume % | distances taken | wrong |"
    )
    print("|---|---|---|---|---|---|---|")
    for off, gap in (
        (0.0, 0.0),
        (0.05, 0.15),
        (0.1, 0.3),
        (0.12, 0.15),
        (0.2, 0.15),
        (0.2, 0.3),
        (0.3, 0.15),
    ):
        right = tried = 0
        worst = np.zeros(3)
        used: dict[float, int] = {}
        wrong: list[str] = []
        for sketch, _, _ in NETS:
            want, _ = _fold(sketch)
            for seed in range(seeds):
                rough = roughen(sketch.drawing(), off, gap, np.random.default_rng(seed))
                found = fold(rough, tolerance=TOLERANCE)
                tried += 1
                if len(found) == 1 and _is_right(found[0], want):
                    right += 1
                    worst = np.maximum(worst, _off(found[0], want))
                else:
                    wrong.append(f"{sketch.name} {seed}")
                if found:
                    used[found[0].tolerance_used] = used.get(found[0].tolerance_used, 0) + 1
        taken = " ".join(f"{k}: {v}" for k, v in sorted(used.items()))
        print(
            f"| {off} / {gap} | {right}/{tried} | {worst[0]:.2f} | {worst[1]:.2f} | {100 * worst[2]:.2f} | {taken} "
            f"| {', '.join(wrong[:6])} |"
        )


def _is_right(got: FoldReport, want: FoldReport) -> bool:
    return (
        got.verdict is want.verdict
        and len(got.panels) == len(want.panels)
        and len(got.hinges) == len(want.hinges)
        and got.gap < 1.0
        and abs(got.volume_mm3 / want.volume_mm3 - 1) < 0.01
    )


def _off(got: FoldReport, want: FoldReport) -> np.ndarray:
    one, two = (np.sort(np.abs([h.angle for h in r.hinges])) for r in (got, want))
    return np.array([got.gap, np.abs(one - two).max(), abs(got.volume_mm3 / want.volume_mm3 - 1)])


def faults() -> None:
    """Planted faults and wrong nets: what is said, and where."""
    print("| fault | code | figure | at | off by mm | verdict | gap mm |")
    print("|---|---|---|---|---|---|---|")
    for planted in (*FAULTS, *WRONG):
        reports = fold(planted.make(), declared=planted.declared, tolerance=TOLERANCE)
        hits = [m for r in reports for m in r.messages if m.code == planted.code]
        figure = "" if not hits or hits[0].measure is None else f"{hits[0].measure:.2f}"
        places = [p.xy for m in hits for p in m.places if p.xy]
        at = f"{places[0][0]:.1f}, {places[0][1]:.1f}" if places else ""
        away = min((math.dist(p, planted.xy) for p in places), default=math.nan) if planted.xy else math.nan
        said = planted.code if hits else ("(quiet)" if not planted.code else "MISSED")
        gap = reports[0].gap
        print(
            f"| {planted.name} | {said} | {figure} | {at} | {'' if math.isnan(away) else f'{away:.2f}'} "
            f"| {reports[0].verdict.value} | {'' if math.isnan(gap) else f'{gap:.3f}'} |"
        )


def trees() -> None:
    """All spanning trees of cube, tetrahedron and octahedron; 300 random ones of the large solids."""
    for name, volume in (("tetrahedron", 0.117851130), ("cube", 1.0), ("octahedron", 0.471404521)):
        v, faces = solid(name, 40.0)
        every = spanning_trees(dual_edges(faces), len(faces))
        right = sum(_closes(from_faces(unfold(v, faces, hang(t))), volume * 40.0**3) for t in every)
        print(f"{name}: {right} of {len(every)} spanning trees close at the right volume")
    for name, volume in (("dodecahedron", 7.663118961), ("icosahedron", 2.181694991)):
        v, faces = solid(name, 30.0)
        right = 0
        for seed in range(300):
            tree = _random_tree(dual_edges(faces), len(faces), np.random.default_rng(seed))
            right += _closes(from_faces(unfold(v, faces, hang(tree))), volume * 30.0**3)
        print(f"{name}: {right} of 300 random spanning trees close at the right volume")


def _random_tree(edges: list[tuple[int, int]], count: int, rng: np.random.Generator) -> list[tuple[int, int]]:
    group, tree = list(range(count)), []
    for k in rng.permutation(len(edges)):
        a, b = edges[k]
        if group[a] != group[b]:
            old = group[b]
            group = [group[a] if g == old else g for g in group]
            tree.append((a, b))
    return tree


def _closes(sketch: Sketch, volume: float) -> bool:
    found = fold(sketch.drawing(), tolerance=TOLERANCE)
    return len(found) == 1 and found[0].closes is True and abs(found[0].volume_mm3 / volume - 1) < 1e-6


def random_solids(count: int = 300) -> None:
    """Nets of random convex solids along random trees; nets that overlap themselves are left out."""
    from tests.outside.test_fold_hulls import random_net

    right = tried = false = 0
    for seed in range(count):
        net = random_net(seed)
        if net is None:
            continue
        tried += 1
        found = fold(from_faces(net[0]).drawing(), tolerance=TOLERANCE)
        closed = len(found) == 1 and found[0].verdict.value == "closed solid"
        good = closed and abs(found[0].volume_mm3 / net[1] - 1) < 1e-6
        right += good
        false += closed and not good
    print(
        f"random convex solids: {right} of {tried} fold back at the right volume; wrongly called closed: {false}"
    )


def speed() -> None:
    """Time against the number of panels, clean and rough (best of 3)."""
    print("| net | panels | clean s | noise 0.05 / gap 0.15 s |")
    print("|---|---|---|---|")
    nets_ = [
        hex_prism(),
        net_of("icosahedron", 40),
        drum(24),
        globe(8, 6),
        drum(64),
        globe(12, 8),
        globe(20, 10),
    ]
    for sketch in nets_:
        clean = sketch.drawing()
        rough = roughen(clean, 0.05, 0.15, np.random.default_rng(0))
        panels = len(fold(clean, tolerance=TOLERANCE)[0].panels)
        print(f"| {sketch.name} | {panels} | {_best(clean):.2f} | {_best(rough):.2f} |")
    slow = tray(far_wall=36).drawing()
    print(
        f"a tray that does not close: {_best(slow):.2f} s; a carton that does not: {_best(tuck_end(lid=24).drawing()):.2f} s"
    )


def _best(drawing: object) -> float:
    spent = []
    for _ in range(3):
        start = time.process_time()
        fold(drawing, tolerance=TOLERANCE)  # type: ignore[arg-type]
        spent.append(time.process_time() - start)
    return min(spent)


def solver() -> None:
    """The numpy solver beside scipy's `least_squares` (trf, exact derivative), from the same start."""
    from scipy.optimize import least_squares

    print("| net | unknowns | numpy ms | numpy gap mm | scipy ms | scipy gap mm |")
    print("|---|---|---|---|---|---|")
    for sketch in (
        open_cube(),
        net_of("octahedron", 50),
        net_of("dodecahedron", 30),
        pyramid_net(5),
        globe(12, 8),
    ):
        net = find_net(pick_net_lines(sketch.drawing()), TOLERANCE)
        scores = hinges_of(net)
        part = part_of(net, parts_of(len(net.rings), scores)[0], scores)
        everyone = list(range(len(part.panels)))
        zipped = zippings(outline_of(part, frozenset(everyone)))[0]
        meetings = as_meetings(meetings_of([(zipped.side(p.a), zipped.side(p.b)) for p in zipped.pairs]))
        tree = hang_from(part, 0, everyone)
        free = np.flatnonzero(tree.hinge >= 0)
        size = float(np.sqrt(part.areas.mean()))
        rough = np.radians(np.full(len(everyone), 60.0 if len(everyone) < 20 else 25.0))

        def ours(tree=tree, meetings=meetings, free=free, size=size, rough=rough):  # type: ignore[no-untyped-def]
            return solve(tree, meetings, rough, free, size=size).gaps.max()

        above = tree.above

        def theirs(tree=tree, meetings=meetings, free=free, size=size, rough=rough, above=above):  # type: ignore[no-untyped-def]
            def spread(x: np.ndarray) -> np.ndarray:
                full = rough.copy()
                full[free] = x
                return full

            got = least_squares(
                lambda x: distances(tree, meetings, spread(x)).ravel() / size,
                rough[free],
                jac=lambda x: jacobian(tree, meetings, spread(x), free, above).reshape(-1, len(free)) / size,
                xtol=1e-12, ftol=1e-12, gtol=1e-12,
            )  # fmt: skip
            return np.linalg.norm(distances(tree, meetings, spread(got.x)), axis=1).max()

        print(f"| {sketch.name} | {len(free)} | {_timed(ours)} | {_timed(theirs)} |")


def _timed(run: Callable[[], float]) -> str:
    start = time.perf_counter()
    gap = run()
    return f"{1000 * (time.perf_counter() - start):.1f} | {gap:.1e}"


TABLES: dict[str, Callable[[], None]] = {
    "nets": nets,
    "noise": noise,
    "faults": faults,
    "trees": trees,
    "random": random_solids,
    "speed": speed,
    "solver": solver,
}

if __name__ == "__main__":
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("tables", nargs="*", metavar="TABLE", help=", ".join(TABLES))
    asked = parser.parse_args().tables
    unknown = [name for name in asked if name not in TABLES]
    if unknown:
        parser.error(f"no table {unknown[0]}; there are {', '.join(TABLES)}")
    for name in asked or list(TABLES):
        print(f"\n## {name}\n")
        TABLES[name]()
