"""MLINE entities to shapes: parallel lines with their breaks, joints and caps.

The entity holds the finished geometry: at each station the place, the direction of the miter
there, and for each element its distance along the miter and where its strokes begin and end.
What it doesn't hold, whether joints and caps are drawn, stands in its style.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np

from cutprep.model.lines import Index, Points
from cutprep.stages.read.dxf.records import Records, as_number
from cutprep.stages.read.dxf.shapes.entities import Remarks, chain, frames
from cutprep.stages.read.dxf.shapes.faces import straight_lines
from cutprep.stages.read.dxf.shapes.shape import SpatialLines, gather

#: Bits of group 71 of an MLINE.
_CLOSED, _NO_START_CAP, _NO_END_CAP = 2, 4, 8
#: Bits of group 70 of an MLINESTYLE: joints; straight, inner round and outer round caps.
_JOINTS = 2
_START, _END = (16, 32, 64), (256, 512, 1024)
#: Group codes of a station: its position, direction and miter, and the numbers of each element.
_OF_STATIONS = frozenset({*(10 * axis + kind for axis in (1, 2, 3) for kind in (1, 2, 3)), 41, 74})


@dataclass(slots=True)
class _Station:
    position: Points
    direction: Points = field(default_factory=lambda: np.zeros(3))
    miter: Points = field(default_factory=lambda: np.zeros(3))
    params: list[list[float]] = field(default_factory=list)

    def at(self, element: int) -> Points:
        """Where an element crosses the miter."""
        own = self.params[element]
        return self.position + self.miter * (own[0] if own else 0.0)


@dataclass(slots=True)
class _Drawn:
    """Straight polylines, and half circles from a point counter-clockwise to another."""

    lines: list[Points] = field(default_factory=list)
    arcs: list[tuple[Points, Points]] = field(default_factory=list)


def shape_multilines(
    records: Records, chosen: Index, styles: dict[str, int], remarks: Remarks
) -> SpatialLines:
    """Shape MLINE entities; `chosen` (k,) records.

    Parameters
    ----------
    styles
        Handle (upper case) to the record of each MLINESTYLE.
    """
    lines: list[Points] = []
    owners: list[int] = []
    arcs: list[tuple[Points, Points]] = []
    arc_owners: list[int] = []
    for record in chosen.tolist():
        style = styles.get(records.text(record, 340).upper())
        drawn = _draw(
            _read_stations(records, record),
            int(records.number(record, 71, 0)),
            int(records.number(style, 70, 0)) if style is not None else 0,
        )
        if not drawn.lines:
            remarks.broken.append(record)
        lines += drawn.lines
        owners += [record] * len(drawn.lines)
        arcs += drawn.arcs
        arc_owners += [record] * len(drawn.arcs)
    return gather([straight_lines(lines, owners), _half_circles(records, arcs, arc_owners)])


def _half_circles(records: Records, arcs: list[tuple[Points, Points]], owners: list[int]) -> SpatialLines:
    if not arcs:
        return straight_lines([], [])
    record = np.array(owners, np.int64)
    planes = frames(records, record)
    ends = np.array(arcs)
    axes = np.stack((planes.x, planes.y, planes.z), axis=1)
    local = np.einsum("kij,kpj->kpi", axes, ends).reshape(-1, 3)
    count = len(arcs)
    bulge = np.tile([1.0, 0.0], count)  # the tangent of a quarter of 180 degrees
    return chain(record, np.full(count, 2), local, bulge, np.zeros(count, bool), planes)


def _read_stations(records: Records, record: int) -> list[_Station]:
    found: list[_Station] = []
    for code, value in records.pairs(record, _OF_STATIONS):
        number = as_number(str(value), 0.0)
        if code == 11:
            found.append(_Station(np.array([number, 0.0, 0.0])))
        if not found:
            continue
        station = found[-1]
        axis, kind = divmod(code, 10)
        if axis in {1, 2, 3} and kind in {1, 2, 3}:
            (station.position, station.direction, station.miter)[kind - 1][axis - 1] = number
        elif code == 74:
            station.params.append([])
        elif code == 41 and station.params:
            station.params[-1].append(number)
    return found


def _draw(stations: list[_Station], state: int, look: int) -> _Drawn:
    elements = min((len(s.params) for s in stations), default=0)
    if len(stations) < 2 or not elements:
        return _Drawn()
    closed = bool(state & _CLOSED)
    drawn = _Drawn(lines=[p for e in range(elements) for p in _draw_element(stations, e, closed=closed)])
    order = sorted(range(elements), key=lambda e: stations[0].params[e][0] if stations[0].params[e] else 0.0)
    low, high = order[0], order[-1]
    if look & _JOINTS:
        for station in stations if closed else stations[1:-1]:
            drawn.lines.append(np.array([station.at(high), station.at(low)]))
    if not closed:
        start, end = 0 if state & _NO_START_CAP else look, 0 if state & _NO_END_CAP else look
        _cap(drawn, stations[0], order, [bool(start & bit) for bit in _START])
        _cap(drawn, stations[-1], order[::-1], [bool(end & bit) for bit in _END])
    return drawn


def _draw_element(stations: list[_Station], element: int, *, closed: bool) -> Iterator[Points]:
    """One of the parallel lines: whole, or stroke by stroke when it has breaks."""
    at = np.array([s.at(element) for s in stations])
    last = len(stations) if closed else len(stations) - 1
    if all(len(s.params[element]) <= 2 for s in stations[:last]):
        yield np.vstack((at, at[:1])) if closed else at
        return
    for i in range(last):
        # Numbers behind the first say where along the line strokes begin and end by turns.
        marks = [at[i] + stations[i].direction * p for p in stations[i].params[element][1:]] or [at[i]]
        if len(marks) % 2:
            marks.append(at[(i + 1) % len(at)])
        yield from (np.array(pair) for pair in zip(marks[::2], marks[1::2], strict=True))


def _cap(drawn: _Drawn, station: _Station, order: list[int], wanted: list[bool]) -> None:
    """Straight, inner round and outer round caps across the elements in order."""
    square, inner, outer = wanted
    if len(order) < 2:
        return
    if square:
        drawn.lines.append(np.array([station.at(order[0]), station.at(order[-1])]))
    if inner and len(order) > 3:
        drawn.arcs.append((station.at(order[-2]), station.at(order[1])))
    if outer:
        drawn.arcs.append((station.at(order[-1]), station.at(order[0])))
