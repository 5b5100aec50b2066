"""True outlines packed by the strip packer, for one sheet at a time.

spyrrow packs simple polygons into a strip of fixed height and makes it as short as it can. It
knows no sheets, holes, kept-out areas or mirrored copies, and it may panic; so it runs in a
child process, is asked whether a given set of copies fits into a strip no longer than the
sheet, and its answer is a proposal that the caller proves. Why a library: no equal of its search
(J. Gardeyn, G. Vanden Berghe, T. Wauters, "An open-source heuristic to reboot 2D nesting
research", arXiv 2509.13329, 2025) could be written here.

Its separation holds at the strip's edges too, so the strip is wider and longer than the usable area by
the gap on each side.
"""

from __future__ import annotations

import json
import math
import subprocess
import sys
import threading
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import shapely

from cutprep.progress import Progress, silent
from cutprep.stages.nest.item.demand import Pose
from cutprep.stages.nest.item.nofit import simpler
from cutprep.stages.nest.item.offcut import largest_offcut
from cutprep.stages.nest.item.pattern import Pattern, PatternPlacement
from cutprep.stages.nest.item.shape import Box
from cutprep.stages.nest.item.usable_area import UsableArea
from cutprep.stages.nest.pack import child
from cutprep.stages.nest.pack.greedy import Board

#: Threads of the packer: a fixed number, since another one gives another layout.
WORKERS = 2
#: No packing goes on longer than this, whatever the work allowed, seconds.
GUARD = 900
#: The packer speaks fifty times a second; one that says nothing for so long hangs, seconds.
SILENCE = 60.0
_ENDLESS = 10**9
#: Rectangles to keep out of whose edges are all tried; with more, the sheet is looked at in cells.
_FEW = 6
_NONSENSE = "what the packer said makes no sense"
#: Added to the separation, so that the packer's rounding stays on the safe side, mm.
_SAFE = 1e-4  # not a tolerance: single precision at 1000 mm is 6e-5


@dataclass(frozen=True, slots=True)
class Attempt:
    """What came of a packing.

    Attributes
    ----------
    placements
        The layout when it fits, else empty.
    why
        "fits", "work used up", "ended", "time used up", or what the packer died of.
    reports
        Steps of the packer.
    width
        Length of the shortest strip found less the gaps, mm, or NaN.
    work
        Their weight, as told in `child`.
    """

    placements: tuple[PatternPlacement, ...]
    why: str
    reports: int
    width: float = float("nan")
    work: int = 0

    @property
    def failed(self) -> bool:
        """Whether the packer broke down, rather than found nothing."""
        return self.why not in {"fits", "work used up", "ended", "time used up"}


def pack(
    board: Board,
    counts: Sequence[int],
    *,
    seed: int,
    tries: int,
    reports: int,
    most: int | None = None,
    far: float = 1.03,
    seconds: float = GUARD,
    progress: Progress = silent,
) -> Attempt:
    """Ask the packer for a sheet that holds these copies.

    Parameters
    ----------
    board
        The empty sheet.
    counts
        Copies of each demand.
    tries, reports, most, far
        Work allowed, as told in `child`; 0 reports goes by seconds, and then the result does not
        repeat.
    """
    wanted = [demand for demand, count in enumerate(counts) if count]
    outlines = {demand: _outline(board, demand) for demand in wanted}
    if any(outline is None for outline in outlines.values()):
        return Attempt((), "ended", 0)
    left, bottom, right, top = largest_free(board.usable)
    gap = board.usable.gap
    job = {
        "height": top - bottom + 2 * gap,
        "width": right - left + 2 * gap,
        "gap": gap + _SAFE if gap else 0.0,
        "seed": seed,
        "tries": tries,
        "far": far,
        "reports": reports,
        "most": most or _ENDLESS,
        "seconds": seconds,
        "workers": WORKERS,
        "items": [
            {
                "shape": outlines[demand],
                "count": counts[demand],
                "turns": _turns(board.allowed[demand]),
            }
            for demand in wanted
        ],
    }
    answer = run_child(job, progress)
    reports, why, work = answer["reports"], answer["why"], answer.get("work", 0)
    try:
        width = float(answer.get("width", math.nan)) - 2 * gap
        if why != "fits":
            return Attempt((), why, reports, width, work)
        placements = tuple(
            PatternPlacement(
                wanted[item],
                _nearest_pose(board.allowed[wanted[item]], float(turn)),
                float(x) + left - gap,
                float(y) + bottom - gap,
            )
            for item, turn, x, y in answer["placed"]
        )
    except (KeyError, IndexError, TypeError, ValueError, OverflowError):
        return Attempt((), _NONSENSE, reports)
    # What lies where is proved by the caller; here, that it is what was asked for.
    numbers = [value for placement in placements for value in (placement.x, placement.y, placement.pose.turn)]
    placed = [sum(placement.demand == demand for placement in placements) for demand in range(len(counts))]
    if placed != list(counts) or not all(map(math.isfinite, numbers)):
        return Attempt((), _NONSENSE, reports)
    return Attempt(placements, "fits", reports, width, work)


def vertices(board: Board, demand: int) -> int:
    """How many corners the outline has that the packer is given; 0 when it is given none."""
    return len(_outline(board, demand) or ())


def run_child(job: dict[str, Any], progress: Progress = silent) -> dict[str, Any]:
    """Run one packing in a child process and give its last answer."""
    command = [sys.executable, "-P", str(Path(child.__file__))]
    answer: dict[str, Any] = {"reports": 0, "why": "the packer said nothing"}
    heard = [time.monotonic()]
    ends = heard[0] + float(job["seconds"]) + SILENCE
    over = threading.Event()
    with subprocess.Popen(  # noqa: S603 - our own file, run by our own interpreter
        command,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
        text=True,
    ) as process:
        assert process.stdin is not None
        assert process.stdout is not None
        guard = threading.Thread(target=_watch, args=(process, heard, ends, over), daemon=True)
        guard.start()
        try:
            process.stdin.write(json.dumps(job))
            process.stdin.close()
            for line in process.stdout:
                heard[0] = time.monotonic()
                message = _understood(line)
                if "why" in message:
                    answer = message
                    break
                progress("nest: packing", message["reports"], 0)
        except BrokenPipeError:
            pass
        except (ValueError, RecursionError):
            answer["why"] = _NONSENSE
        finally:
            hung = over.is_set()
            over.set()
            process.kill()
    if hung and not answer.get("placed"):
        answer["why"] = "the packer hung"
    elif answer["why"] == "the packer said nothing" and process.returncode:
        answer["why"] = f"the packer ended with code {process.returncode}"
    return answer


def _watch(process: subprocess.Popen[str], heard: list[float], ends: float, over: threading.Event) -> None:
    """End a packer that has said nothing for long, or goes on beyond its own guard."""
    while not over.wait(0.2):
        if time.monotonic() > min(heard[0] + SILENCE, ends):
            over.set()
            process.kill()


def _understood(line: str) -> dict[str, Any]:
    """One line of the child.

    Raises
    ------
    ValueError
        When it is none of the two that a child says.
    """
    message = json.loads(line)
    if (
        not isinstance(message, dict)
        or not isinstance(message.get("reports"), int)
        or not isinstance(message.get("why", ""), str)
        or not isinstance(message.get("work", 0), int)
    ):
        raise ValueError("this is no answer")  # noqa: TRY004 - the type of what another process says
    return message


def largest_free(usable: UsableArea) -> Box:
    """The largest rectangle inside the margin that no kept-out area touches."""
    left, bottom, right, top = usable.box
    areas = [area for area in usable.keep_out if area.intersects(shapely.box(*usable.box))]
    if len(areas) > _FEW or any(not area.equals(area.envelope) for area in areas):
        west, south, east, north = largest_offcut(Pattern((), ""), (), usable)
        return max(left, west), max(bottom, south), min(right, east), min(top, north)
    boxes = [area.bounds for area in areas]
    xs = sorted({left, right, *(x for b in boxes for x in (b[0], b[2]) if left < x < right)})
    ys = sorted({bottom, top, *(y for b in boxes for y in (b[1], b[3]) if bottom < y < top)})
    best, area = usable.box, -1.0
    for i, west in enumerate(xs):
        for east in xs[i + 1 :]:
            for j, south in enumerate(ys):
                for north in ys[j + 1 :]:
                    size = (east - west) * (north - south)
                    if size > area and not any(
                        b[0] < east and b[2] > west and b[1] < north and b[3] > south for b in boxes
                    ):
                        best, area = (west, south, east, north), size
    return best


def _outline(board: Board, demand: int) -> list[tuple[float, float]] | None:
    """Outline for the packer, or None when the template is not one simple piece."""
    solid = simpler(board.shapes[demand].solid)
    if solid.geom_type != "Polygon" or not any(not pose.mirror for pose in board.allowed[demand]):
        return None
    filled = shapely.polygons(shapely.get_exterior_ring(solid))
    clean = shapely.simplify(shapely.orient_polygons(filled), 0.0)
    return [(float(x), float(y)) for x, y in shapely.get_coordinates(clean)[:-1]]


def _turns(allowed: Sequence[Pose]) -> list[float] | None:
    """Allowed turns; None when any is."""
    turns = sorted({pose.turn for pose in allowed if not pose.mirror})
    return None if len(turns) > 4 else turns


def _nearest_pose(allowed: Sequence[Pose], turn: float) -> Pose:
    turns = _turns(allowed)
    if turns is None:
        return Pose(turn % 360.0)
    return Pose(min(turns, key=lambda t: abs((t - turn + 180.0) % 360.0 - 180.0)))
