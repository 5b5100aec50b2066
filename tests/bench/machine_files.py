"""Machine files: worked examples of the standards, error of the way there and back, faults refused, speed.

Sources of the examples: HP 7470A manual (1984), HP PCL 5 TRM Part II (TRM II), HP notes LJ1880 and
LJ1831; NISTIR 6556 (2000). The way there and back is measured on random plans by the largest distance
of a planned vertex from the read line, in each language, through our reader and through ezhpgl.
"""

from __future__ import annotations

import math
import time
from collections import Counter
from dataclasses import replace

import numpy as np
import shapely
from hypothesis import HealthCheck, Phase, given, seed, settings

from cutprep.model.findings.finding import Severity
from cutprep.model.moves import Moves
from cutprep.profile.machine import Machine
from cutprep.stages.readback.compare.runs import strokes_of
from cutprep.stages.readback.machine_file import parse
from cutprep.stages.write.machine_file import write
from cutprep.tolerance import Tolerance
from tests.beside import compare
from tests.outside.test_hpgl_ezhpgl import their_strokes
from tests.plans import MACHINE, circle, jobs, plan

FRAME = "G21 G90 G17 G94\nF600\n"


def last_spot(program: str, language: str) -> str:
    moves, _ = parse(program, language)
    strokes = strokes_of(moves)
    x, y = (strokes[-1].points if strokes else moves.xy)[-1]
    return f"{x:.4f}, {y:.4f}"


def arc_length(program: str) -> str:
    """Of the arc that the chords were made from: each spans the angle by which they turn."""
    moves, _ = parse(f"{FRAME}{program}\nM2\n", "gcode")
    spots = np.vstack(([0.0, 0.0], moves.xy))[-int(moves.curved.sum()) - 1 :]
    steps = np.diff(spots, axis=0)
    turn = float(np.diff(np.unwrap(np.arctan2(steps[:, 1], steps[:, 0]))).mean()) / 2
    return f"{float(np.hypot(*steps.T).sum()) * turn / math.sin(turn):.6f}"


def said(program: str, language: str) -> str:
    _, findings = parse(program, language)
    return ", ".join(sorted({f.code for f in findings if f.severity is not Severity.NOTE})) or "accepted"


EXAMPLES = [
    ("PD list, last point", lambda: last_spot("IN;SP1;PA10,10;PD2500,10,10,1500,10,10;", "hpgl"), "0.2500, 0.2500", "TRM II p. 20-32"),
    ("PR after PU, last point", lambda: last_spot("IN;SP1;PA5000,4500;PD;PR-2000,0,2000,2000,0,-2000;PU500,0;PD2000,0,-2000,2000,0,-2000;PU;", "hpgl"), "137.5000, 112.5000", "HP-GL/2 sample for PR"),
    ("AA 45 by 25 degrees, end", lambda: last_spot("PA2000,0;PD;AA0,0,45,25;", "hpgl"), "35.3553, 35.3553", "LJ1880"),
    ("AA -45 by 10 degrees, end", lambda: last_spot("PU1050,1060;PD;AA0,0,-45,10;", "hpgl"), "37.2999, 0.1768", "7470A p. 3-18"),
    ("AR twice, end", lambda: last_spot("PA1500,1500;PD;AR0,2000,80,25;AR2000,0,80;", "hpgl"), "128.0580, 29.5772", "TRM II p. 20-14"),
    ("CI 400, start and end", lambda: last_spot("PA5000,5000;CI400;", "hpgl"), "135.0000, 125.0000", "7470A p. 3-12"),
    ("SC over IP, second circle", lambda: last_spot("IP0,0,2000,2000;SC0,10,0,10;SP1;PA5,5;IP2500,500,3500,1500;PA5,5;CI3;", "hpgl"), "82.5000, 25.0000", "LJ1831"),
    ("G2 I3 J4 from (7, 7), length", lambda: arc_length("G0 X7 Y7\nG2 X10 Y16 I3 J4"), "12.490458", "NISTIR 6556 3.5.3.2"),
    ("G3 I3 J4 from (7, 7), length", lambda: arc_length("G0 X7 Y7\nG3 X10 Y16 I3 J4"), "18.925469", "NISTIR 6556 3.5.3.2"),
    ("G2 R20 to (10, 15), length", lambda: arc_length("G2 X10 Y15 R20"), "18.701701", "NISTIR 6556 3.5.3.1"),
    ("G2 R-20 to (10, 15), length", lambda: arc_length("G2 X10 Y15 R-20"), "106.962005", "NISTIR 6556 3.5.3.1"),
    ("g0x +0. 12 34y 7", lambda: last_spot(f"{FRAME}g0x +0. 12 34y 7\nM2\n", "gcode"), "0.1234, 7.0000", "NISTIR 6556 3.3"),
    ("I3.003 (0.0018 mm off)", lambda: said(f"{FRAME}G0 X7 Y7\nG2 X10 Y16 I3.003 J4\nM2\n", "gcode"), "accepted", "NISTIR 6556 3.5.3.2"),
    ("I3.004 (0.0024 mm off)", lambda: said(f"{FRAME}G0 X7 Y7\nG2 X10 Y16 I3.004 J4\nM2\n", "gcode"), "arc-radii", "NISTIR 6556 3.5.3.2"),
    ("G0 G1 X1", lambda: said(f"{FRAME}G0 G1 X1\nM2\n", "gcode"), "modal-clash", "NISTIR 6556 3.3.5"),
    ("X1 X2", lambda: said(f"{FRAME}G0 X1 X2\nM2\n", "gcode"), "repeated-word", "NISTIR 6556 3.3.5"),
    ("(a (b) c)", lambda: said(f"{FRAME}(a (b) c)\nM2\n", "gcode"), "nested-comment, not-gcode", "NISTIR 6556 3.3.4"),
    ("PD400,0,100", lambda: said("IN;SP1;PD400,0,100;PU;SP0;", "hpgl"), "odd-coordinates", "7470A p. 3-8"),
    ("PD1e3,0", lambda: said("IN;SP1;PD1e3,0;PU;SP0;", "hpgl"), "exponent", "TRM II p. 17-10"),
    ("PD40000,0", lambda: said("IN;SP1;PD40000,0;PU;SP0;", "hpgl"), "out-of-range", "7470A p. 2-3"),
    ("no SP", lambda: said("IN;PD400,0;PU;SP0;", "hpgl"), "no-tool", "TRM II examples"),
    ("no last semicolon", lambda: said("IN;SP1;PD400,0;PU;SP0", "hpgl"), "missing-terminator", "7470A p. 1-9"),
]  # fmt: skip


def examples() -> None:
    print(f"{'worked example':32s} {'expected':28s} {'got':28s} source")
    for name, ask, expected, source in EXAMPLES:
        got = ask()
        print(f"{name:32s} {expected:28s} {got:28s} {source}{'' if got == expected else '   DIFFERS'}")


def off(planned: Moves, strokes: list[np.ndarray]) -> float:
    """Largest distance of a planned vertex from the line that was read, mm."""
    pairs = zip(strokes_of(planned), strokes, strict=True)
    return max(
        float(shapely.distance(shapely.points(a.points), shapely.LineString(b)).max()) for a, b in pairs
    )


def there_and_back(count: int = 300) -> None:
    worst: dict[str, float] = Counter()
    cases: Counter[str] = Counter()

    @seed(7)
    @settings(
        max_examples=count,
        deadline=None,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(jobs())
    def run(job: tuple[Machine, Moves]) -> None:
        machine, planned = job
        for language, unit in (("hpgl", machine.hpgl.unit), ("gcode", 0.005)):
            text = write(planned, machine, language)
            read, _ = parse(text, language, machine)
            curved = machine.gcode.arcs if language == "gcode" else machine.hpgl.arcs
            kind = f"{language}, {'arcs' if curved else 'chords'}, our reader"
            assert not compare(planned, read, within=unit, machine=machine, sagitta=Tolerance().sagitta)
            cases[kind] += 1
            worst[kind] = max(worst[kind], off(planned, [s.points for s in strokes_of(read)]) / unit)
            if language == "hpgl" and not curved:
                kind = "hpgl, chords, ezhpgl"
                cases[kind] += 1
                worst[kind] = max(
                    worst[kind], off(planned, [p for _, p in their_strokes(text, machine)]) / unit
                )

    run()
    print("\nthere and back on random plans: largest distance of a vertex, as a share of the limit")
    for kind in sorted(cases):
        print(f"  {kind:28s} {cases[kind]:4d} plans  {worst[kind]:.3f}")


def speed() -> None:
    machine = replace(MACHINE, width=600.0, height=600.0)
    planned = plan([(1, circle(10 + k % 40 * 14, 10 + k // 40 * 14, 5 + k % 3)) for k in range(1200)])
    print(f"\nspeed on {len(planned)} moves, CPU seconds (1200 circles)")
    for language, within in (("hpgl", 0.025), ("gcode", 0.005)):
        marks = [time.process_time()]
        text = write(planned, machine, language)
        marks.append(time.process_time())
        read, _ = parse(text, language, machine)
        marks.append(time.process_time())
        assert not compare(planned, read, within=within, machine=machine, sagitta=Tolerance().sagitta)
        marks.append(time.process_time())
        took = np.diff(marks)
        print(
            f"  {language:6s} {len(text):8d} bytes  write {took[0]:.2f}  read {took[1]:.2f}  compare {took[2]:.2f}"
        )


def recovered() -> None:
    """How far a recovered arc lies from the circle that was flattened."""
    rng = np.random.default_rng(3)
    worst = 0.0
    for _ in range(300):
        x, y, radius = rng.uniform((100, 100, 0.5), (200, 200, 90)).tolist()
        text = write(plan([(1, circle(x, y, radius))]), MACHINE, "gcode")
        read, _ = parse(text, "gcode", MACHINE)
        spots = read.xy[read.down]
        worst = max(worst, float(np.abs(np.hypot(*(spots - (x, y)).T) - radius).max()))
        assert text.count("G3 ") == 2
        assert math.isfinite(worst)
    print(
        f"\n300 circles flattened, written as two G3 each, read: {worst:.4f} mm from the true circle (limit 0.01)"
    )


def main() -> None:
    examples()
    there_and_back()
    recovered()
    speed()


if __name__ == "__main__":
    main()
