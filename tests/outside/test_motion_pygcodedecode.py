"""Motion times against pyGCodeDecode 1.5.1 (KIT, MIT; Journal of Open Source Software, 10.21105/joss.06465).

It simulates G-code on firmware with junction deviation. Used where it can serve: every move written
as G1 (it knows no rapid rate), one acceleration whatever the direction, turns of 20 degrees and more
or 5 and less (it passes turns below 18 degrees at full speed), no lifting (M words cost it nothing).
Its corner speed is given as jerk = sqrt(deviation x acceleration / 0.414).
"""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from cutprep.stages.motion.duration import duration
from tests.moving import machine_of, moves_along

gcode_interpreter = pytest.importorskip("pyGCodeDecode.gcode_interpreter")

WITHIN = 0.005


def simulated(folder: Path, points: np.ndarray, speed: float, acceleration: float, deviation: float) -> float:
    """Seconds that the outside simulation takes from rest to rest."""
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


def polygon(sides: int, radius: float) -> np.ndarray:
    a = np.linspace(0, 2 * math.pi, sides + 1)
    return radius * np.column_stack((np.cos(a), np.sin(a)))


def stairs(count: int, step: float) -> np.ndarray:
    k = np.arange(count + 1)
    return np.vstack(((-50.0, 0.0), np.column_stack(((k + 1) // 2 * step, k // 2 * step))))


def wander(seed: int) -> np.ndarray:
    """Moves of 0.5 to 30 mm that turn by 20 to 150 degrees each."""
    rng = np.random.default_rng(seed)
    turn = np.radians(rng.uniform(20, 150, 40)) * rng.choice([-1, 1], 40)
    way = np.cumsum(turn)
    steps = (10 ** rng.uniform(-0.3, 1.5, 40))[:, None] * np.column_stack((np.cos(way), np.sin(way)))
    return np.vstack(((0.0, 0.0), np.cumsum(steps, axis=0)))


PATHS = {
    "square of 100 mm": (np.array([(0, 0), (100, 0), (100, 100), (0, 100), (0, 0)], float), 50, 500, 0.01),
    "zig": (np.array([(0, 0), (10, 0), (12, 0), (12, 2), (0, 2)], float), 100, 500, 0.01),
    "12 sides, radius 20": (polygon(12, 20), 50, 500, 0.01),
    "72 sides, radius 20": (polygon(72, 20), 50, 500, 0.01),
    "20 stairs of 0.5 mm": (stairs(20, 0.5), 50, 500, 0.01),
    "there and back": (np.array([(0, 0), (20, 0), (0, 0)], float), 50, 500, 0.01),
    "wander 1": (wander(1), 60, 1500, 0.01),
    "wander 2": (wander(2), 120, 3000, 0.02),
    "wander 3": (wander(3), 30, 500, 0.05),
}


@pytest.mark.parametrize("name", PATHS)
def test_time_agrees(name: str, tmp_path: Path) -> None:
    """Within half a percent; the whole path lies within the look-ahead."""
    points, speed, acceleration, deviation = PATHS[name]
    reference = simulated(tmp_path, points, speed, acceleration, deviation)
    machine = machine_of(
        acceleration=(1e9, 1e9), top_speed=(1e9, 1e9), path_acceleration=float(acceleration),
        junction=deviation, blocks=1000,
    )  # fmt: skip
    ours = duration(moves_along(points, speed), machine).total
    assert ours == pytest.approx(reference, rel=WITHIN)
