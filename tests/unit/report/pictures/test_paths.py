"""Path data of many lines at once is that of each of them."""

import numpy as np
import pytest
import shapely

from cutprep.report.pictures.paths import number, path_data, paths_data


def _circle(radius: float) -> np.ndarray:
    turn = np.linspace(0, 2 * np.pi, 61)
    points = radius * np.column_stack((np.cos(turn), np.sin(turn)))
    points[-1] = points[0]
    return points


def test_many_lines_are_written_as_each_of_them_is() -> None:
    """Short and long ones, open and closed, in any order; long ones as GEOS simplifies them to 0.05 mm."""
    square = np.array([(0, 0), (2.5, 0), (2.5, 2.5), (0, 2.5), (0, 0)], float)
    lines = [_circle(20), square, square[:4], _circle(0.01), np.column_stack((np.arange(12.0), np.zeros(12)))]
    start = np.cumsum([0, *map(len, lines)])
    found = paths_data(np.concatenate(lines), start)
    assert found == [path_data(points) for points in lines]
    assert found[1:3] == ["M0 0L2.5 0L2.5 2.5L0 2.5Z", "M0 0L2.5 0L2.5 2.5L0 2.5"]
    assert found[4] == "M0 0L11 0"
    simple = shapely.LineString(lines[0]).simplify(0.05).coords[:-1]
    assert found[0] == "M" + "L".join(f"{number(x)} {number(y)}" for x, y in simple) + "Z"
    assert paths_data(np.empty((0, 2)), np.zeros(1, int)) == []


def test_coordinates_of_a_path_are_written_as_single_numbers_are() -> None:
    """Digits that say nothing are left out, whatever stands before them; what is not finite is refused."""
    values = [0.0, -0.001, 10.0, 100.004, 0.1, 0.05, 20.5, 30.55, -7.0, 1e-9, 1200.1, 0.999]
    points = np.array(values).reshape(-1, 2)
    assert path_data(points) == "M" + "L".join(f"{number(x)} {number(y)}" for x, y in points)
    with pytest.raises(ValueError, match="not finite"):
        path_data(np.array([(0.0, np.inf), (1.0, 1.0)]))
