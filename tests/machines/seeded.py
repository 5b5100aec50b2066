"""A job, a machine with its faults, and what she does, all from a seed; and the judgement of what came of them."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from cutprep.link.events import ENDS, EventKind, LinkEvent
from cutprep.link.log import SendLog
from cutprep.link.runs import Run
from cutprep.link.script import script_of
from cutprep.link.sending import Sending
from cutprep.model.moves import Moves
from cutprep.profile.line import LineStyle
from cutprep.profile.machine import GcodeStyle, HpglStyle, Machine
from cutprep.stages.write.machine_file import write
from tests.machines.controller import Controller
from tests.machines.picture import Faults
from tests.machines.plotter import Plotter
from tests.machines.wire import PtyEnd, SimulatedLine, SocketEnd
from tests.plans import MACHINE, plan

KINDS = ("poll", "enquire", "xon-xoff", "hardware", "gcode", "gcode-window")
UNIT = 0.025


@dataclass
class Case:
    """One run: what is sent over what, and what goes wrong.

    Attributes
    ----------
    seed, kind
        Of the run; of the machine, one of `KINDS`.
    moves, machine
        The plan and the profile.
    faults
        None goes wrong when it equals `Faults()`.
    stop
        When she stops, by the simulated clock; infinite: she does not.
    pty
        Through a pseudo-terminal, else through a local socket.
    """

    seed: int
    kind: str
    moves: Moves
    machine: Machine
    faults: Faults
    stop: float
    pty: bool

    @property
    def language(self) -> str:
        return "gcode" if self.kind.startswith("gcode") else "hpgl"


def case_of(seed: int, *, faulty: bool = True, kind: str = "") -> Case:
    """The case of a seed."""
    rng = np.random.default_rng(seed)
    kind = kind or KINDS[int(rng.integers(len(KINDS)))]
    style = LineStyle(
        speed=9600,
        handshake=kind if kind in ("poll", "enquire", "xon-xoff", "hardware") else "unsaid",
        buffer=int(rng.choice([128, 255, 1024])),
        confirm=kind in ("poll", "enquire") and bool(rng.random() < 0.5),
        control=kind in ("xon-xoff", "hardware") and bool(rng.random() < 0.5),
        window=127 if kind == "gcode-window" else 0,
        dwell_waits=kind.startswith("gcode") and bool(rng.random() < 0.5),
        wake=0.5,
        status="?" if np.random.default_rng((seed, 2)).random() < 0.4 else "",
        **({"hold": "!", "resume": "~", "reset": "\x18"} if rng.random() < 0.5 else {}),
    )
    encoded = bool(np.random.default_rng((seed, 1)).random() < 0.5)
    machine = replace(
        MACHINE,
        line=style,
        hpgl=HpglStyle(counts="hpgl2", encoded=True) if encoded else MACHINE.hpgl,
        gcode=GcodeStyle(arcs=False, dwell=0.05),
        travel_speed=100.0,
        change_how="automatic",
    )
    return Case(
        seed=seed,
        kind=kind,
        moves=plan(_strokes(rng)),
        machine=machine,
        faults=_faults(rng, kind) if faulty else Faults(),
        stop=float(rng.uniform(1, 15)) if faulty and rng.random() < 0.3 else np.inf,
        pty=bool(rng.random() < 0.5),
    )


def _strokes(rng: np.random.Generator) -> list[tuple[int, np.ndarray]]:
    """Strokes of some millimetres to some centimetres, on whole plotter units."""
    strokes = []
    for _ in range(int(rng.integers(3, 15))):
        steps = rng.integers(-400, 401, (int(rng.integers(2, 25)), 2))
        start = rng.integers(1000, 7000, 2)
        spots = np.clip(start + np.cumsum(steps, axis=0), 0, 11000)
        kept = np.append(True, (np.diff(spots, axis=0) != 0).any(axis=1))
        if kept.sum() > 1:
            strokes.append((1, spots[kept] * UNIT))
    return strokes


def _faults(rng: np.random.Generator, kind: str) -> Faults:
    """One or two things that go wrong."""
    faults = Faults()
    for _ in range(int(rng.integers(1, 3))):
        what = rng.choice(["delay", "lose", "garbage", "hang", "drop", "refuse"])
        when = float(rng.uniform(0.2, 20))
        if what == "delay" and kind != "xon-xoff":
            faults.delay = float(rng.uniform(0.05, 1.5))
        elif what == "lose":
            faults.lose = frozenset(int(n) for n in rng.integers(1, 40, 3))
        elif what == "garbage":
            pieces = [
                rng.integers(128, 256, int(rng.integers(1, 9))).astype(np.uint8).tobytes() for _ in range(4)
            ]
            faults.garbage = tuple((when + k, piece) for k, piece in enumerate(pieces))
        elif what == "hang":
            faults.hang = when
        elif what == "drop":
            faults.drop = when
        elif what == "refuse" and kind == "gcode":
            faults.refuse = int(rng.integers(5, 60))
    return faults


@dataclass
class Result:
    """What came of a case."""

    case: Case
    events: list[LinkEvent]
    drawn: list[list[tuple[float, float]]]
    planned: list[list[tuple[float, float]]]
    down: bool
    overflowed: bool
    tip: tuple[float, float] | None

    @property
    def last(self) -> LinkEvent:
        return self.events[-1]


def run(case: Case, *, run_of: Run | None = None) -> Result:
    """Send a case's job to its machine, and let the machine run on."""
    style, unit = case.machine.line, UNIT if case.language == "hpgl" else 1.0
    if case.language == "hpgl":
        machine: Plotter | Controller = Plotter(
            size=style.buffer, speed=50 / UNIT, handshake=style.handshake, faults=case.faults
        )
    else:
        machine = Controller(faults=case.faults)
    end = PtyEnd(style) if case.pty else SocketEnd(style)
    line = SimulatedLine(machine, end, style, faults=case.faults)
    one = run_of or whole_run(case)
    sending = Sending([one], line, SendLog(None))
    events = []
    wait = line.wait

    def wait_and_stop(seconds: float) -> None:
        wait(min(seconds, max(case.stop - line.now(), 0.001)) if line.now() < case.stop else seconds)
        if line.now() >= case.stop:
            sending.stop()

    line.wait = wait_and_stop  # type: ignore[method-assign]
    for event in sending:
        events.append(event)
        if event.kind is EventKind.ASKS:
            sending.go()
    line.finish(2000)
    end.cut()
    return Result(
        case=case,
        events=events,
        drawn=[
            stroke
            for stroke in machine.picture.strokes
            if len(stroke) > 1 or stroke is machine.picture.strokes[-1]
        ],
        planned=_planned(one.script.moves, unit),
        down=machine.picture.down,
        overflowed=machine.overflowed,
        tip=machine.picture.tip,
    )


def whole_run(case: Case) -> Run:
    """The job's machine file, from its first stroke."""
    text = write(case.moves, case.machine, case.language)
    return Run("sheet-01", 1, 1, script_of(text, case.language, case.machine), case.machine)


def _planned(moves: Moves, unit: float) -> list[list[tuple[float, float]]]:
    """Strokes of a plan in the machine's units."""
    strokes = []
    for number in range(int(moves.stroke.max()) + 1):
        rows = np.flatnonzero(moves.stroke == number)
        spots = np.vstack((moves.begin[rows[:1]], moves.xy[rows])) / unit
        whole = np.rint(spots) if unit == UNIT else np.round(spots, 4)
        strokes.append([tuple(spot) for spot in whole.tolist()])
    return strokes


def faults_of(result: Result) -> list[str]:
    """What is wrong with a result; empty when all that is promised holds."""
    wrong = []
    drawn, planned, last = result.drawn, result.planned, result.last
    if not _is_prefix(drawn, planned, result.tip):
        wrong.append("what was drawn is no prefix of the plan")
    whole = sum(drawn[k] == planned[k] for k in range(len(drawn)) if k < len(planned))
    if last.done - _skipped(result) > whole:
        wrong.append(f"{last.done} strokes are said to be certain, {whole} were drawn")
    if len(drawn) > last.sent - _skipped(result):
        wrong.append(f"{len(drawn)} strokes were begun, {last.sent} are said to have been sent")
    sound = result.case.faults == Faults()
    if drawn != planned and (last.kind is EventKind.FINISHED or (last.kind is EventKind.SENT and sound)):
        wrong.append(f"said to be {last.kind.value}, and the picture is not the plan")
    if last.kind is EventKind.FINISHED and last.done != last.strokes:
        wrong.append(f"said to be finished with {last.done} of {last.strokes} strokes done")
    if result.down and "lift" not in last.said and last.kind is not EventKind.SENT:
        wrong.append("the tool is down, and she is not told")
    if result.overflowed:
        wrong.append("the machine's buffer has overflowed")
    if last.kind not in ENDS:
        wrong.append(f"the last event is {last.kind.value}")
    return wrong


def _skipped(result: Result) -> int:
    return result.last.strokes - len(result.planned)


def _is_prefix(drawn, planned, tip) -> bool:  # type: ignore[no-untyped-def]
    if len(drawn) > len(planned) or drawn[:-1] != planned[: max(len(drawn) - 1, 0)]:
        return False
    if not drawn:
        return True
    last, whole = drawn[-1], planned[len(drawn) - 1]
    if last != whole[: len(last)]:
        return False
    if tip is None or len(last) == len(whole):
        return True
    (ax, ay), (bx, by), (x, y) = last[-1], whole[len(last)], tip
    return (
        abs((bx - ax) * (y - ay) - (by - ay) * (x - ax)) < 1e-6 * max(1.0, abs(bx - ax) + abs(by - ay)) ** 2
    )
