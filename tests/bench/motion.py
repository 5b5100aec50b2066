"""Time error by reference: hand-worked examples, an outside simulation, tick by tick; speed; calibration.

Time error is |estimate - reference| / reference on the same motions. References: mechanics and
S. K. Jeon's junction formula (2011) worked by hand; pyGCodeDecode 1.5.1; driving along the path in
ticks of 0.1 ms (tests/oracles.py).
"""

from __future__ import annotations

import importlib
import importlib.util
import math
import tempfile
import time
from dataclasses import replace
from pathlib import Path

import numpy as np

from cutprep.model.operation import Operation
from cutprep.profile.shelf import machines
from cutprep.stages.blade.plan import compensate
from cutprep.stages.motion.calibrate import fit, trials, with_figures
from cutprep.stages.motion.duration import duration
from cutprep.tolerance import Tolerance
from tests.moving import machine_of, moves_along, strokes_of
from tests.oracles import least_time, time_at_rest, time_with_jerk
from tests.outside import test_motion_integration as driven
from tests.outside import test_motion_pygcodedecode as outside


def row(name: str, reference: float, ours: float, source: str) -> None:
    error = abs(ours - reference) / reference
    print(f"  {name:34s} {reference:12.6f} {ours:12.6f} {100 * error:9.4f} %  {source}")


def simulated(folder: Path, points: np.ndarray, speed: float, acceleration: float, deviation: float) -> float:
    """Seconds that the outside simulation takes from rest to rest."""
    gcode_interpreter = importlib.import_module("pyGCodeDecode.gcode_interpreter")
    preset = {
        "nozzle_diam": 0.4, "filament_diam": 1.75, "p_vel": speed, "p_acc": acceleration,
        "jerk": math.sqrt(deviation * acceleration / 0.414), "vX": 1000, "vY": 1000, "vZ": 1000, "vE": 1000,
        "firmware": "junction_deviation",
    }  # fmt: skip
    (folder / "m.yaml").write_text("m:\n" + "".join(f"  {k}: {v}\n" for k, v in preset.items()))
    rows = [f"G1 X{x:.6f} Y{y:.6f} F{speed * 60:g}" for x, y in points[1:].tolist()]
    (folder / "a.gcode").write_text("\n".join(["G21", "G90", *rows, ""]))
    setup = gcode_interpreter.setup(presets_file=folder / "m.yaml", printer="m", verbosity_level=0)
    setup.set_initial_position({"X": float(points[0, 0]), "Y": float(points[0, 1]), "Z": 0, "E": 0})
    run = gcode_interpreter.simulation(folder / "a.gcode", initial_machine_setup=setup, verbosity_level=0)
    return float(run.blocklist[-1].get_segments()[-1].t_end)


def by_hand() -> None:
    print("\nworked by hand, s")
    plain = machine_of()
    lines = {100: 2.1, 5: 0.2, 4: 0.178885, 1: 0.089443}
    for length, seconds in lines.items():
        row(f"{length} mm from rest to rest", seconds, time_at_rest(length, 50, 500), "mechanics")
    for length, jerk, seconds in ((100, 5e3, 2.2), (4, 5e3, 0.294723), (1, 5e3, 0.185664), (100, 5e4, 2.11)):
        row(f"{length} mm, jerk {jerk:g}", seconds, time_with_jerk(length, 50, 500, jerk), "mechanics")
    square = [(0, 0), (100, 0), (100, 100), (0, 100), (0, 0)]
    zig = [(0, 0), (10, 0), (12, 0), (12, 2), (0, 2)]
    row("square of 100 mm", 8.359756, duration(moves_along(square, 50), plain).total, "Jeon 2011")
    stop = machine_of(junction=0.0)
    row("square, stopping at corners", 8.4, duration(moves_along(square, 50), stop).total, "mechanics")
    row("zig", 0.719446, duration(moves_along(zig, 100), plain).total, "Jeon 2011")
    isotropic = machine_of(path_acceleration=500.0, blocks=1000)
    for sides, seconds in ((12, 3.22319), (24, 3.22460), (72, 2.61248)):
        ours = duration(moves_along(outside.polygon(sides, 20), 50), isotropic).total
        row(f"{sides} sides, radius 20", seconds, ours, "Jeon 2011")
    pen = machine_of(acceleration=(19613.3, 19613.3))
    ours = duration(moves_along([(0, 0), (250, 0)], 381), pen).total
    row("pen plotter, 250 mm", 0.67559, ours, "HP 7470A manual, p. 3-3")


def by_simulation() -> None:
    print("\noutside simulation, s")
    if importlib.util.find_spec("pyGCodeDecode") is None:
        print('  left out: pip install "cutprep[bench]"')
        return
    with tempfile.TemporaryDirectory() as folder:
        for name, (points, speed, acceleration, deviation) in outside.PATHS.items():
            reference = simulated(Path(folder), points, speed, acceleration, deviation)
            machine = machine_of(
                acceleration=(1e9, 1e9), top_speed=(1e9, 1e9), path_acceleration=float(acceleration),
                junction=deviation, blocks=1000,
            )  # fmt: skip
            row(name, reference, duration(moves_along(points, speed), machine).total, "pyGCodeDecode 1.5.1")


def tick_by_tick() -> None:
    print("\ntick by tick, other limits on each axis, s")
    for make in (driven.path, driven.rounded):
        for seed in range(4):
            rng = np.random.default_rng(100 + seed)
            acceleration = tuple(rng.uniform(300, 3000, 2).tolist())
            speed, deviation = rng.uniform(20, 150), rng.uniform(0.005, 0.05)
            points = make(seed)
            machine = machine_of(
                acceleration=acceleration, top_speed=(1e9, 1e9), junction=deviation, blocks=1000
            )
            reference = least_time(points, speed, acceleration, deviation)
            row(
                f"{make.__name__} {seed}",
                reference,
                duration(moves_along(points, speed), machine).total,
                "ticks",
            )


def speed() -> None:
    rng = np.random.default_rng(0)
    moves = moves_along(np.cumsum(rng.normal(size=(100_001, 2)), axis=0), 50)
    begin = time.perf_counter()
    total = duration(moves, machine_of()).total
    print(f"\n100 000 moves of {total:.0f} s estimated in {time.perf_counter() - begin:.3f} s")


def calibration() -> None:
    print("\ncalibration: error of the fitted figures, %, exact and with a hand off by 0.2 s (seed 1)")
    wanted = {"acceleration": 0.7, "speed": 0.85, "travel_speed": 1.2, "lift": 1.4}
    for name, machine in machines().items():
        moves = []
        for trial in trials(machine, Operation.DRAW):
            lines = trial.lines
            strokes = strokes_of(*(lines.points(i) for i in range(len(lines))), operation=Operation.DRAW)
            moves.append(compensate(strokes, machine, Tolerance()))
        tool = machine.tool_for(Operation.DRAW)
        assert tool is not None
        true = {
            "speed": tool.speed * wanted["speed"],
            "travel_speed": machine.travel_speed * wanted["travel_speed"],
            "acceleration": machine.acceleration[0] * wanted["acceleration"],
            "lift": (machine.lift + machine.lower) * wanted["lift"],
        }
        real = with_figures(machine, true, moves[0])
        seconds = np.array([duration(m, real).total for m in _at(moves, true["speed"])])
        noise = np.random.default_rng(1).normal(size=len(moves)) * 0.2
        for label, told in (("exact", seconds), ("by hand", seconds + noise)):
            found = fit(moves, told, machine)
            errors = ", ".join(f"{n} {100 * (v / true[n] - 1):+.2f}" for n, v, _ in found.figures)
            print(f"  {name:16s} {label:8s} {errors}; residual {found.residual:.3f} s")


def _at(moves, speed):
    return [replace(m, speed=np.where(m.down, speed, 0.0)) for m in moves]


def main() -> None:
    print(f"  {'motion':34s} {'reference':>12s} {'ours':>12s} {'error':>11s}  source")
    by_hand()
    by_simulation()
    tick_by_tick()
    speed()
    calibration()


if __name__ == "__main__":
    main()
