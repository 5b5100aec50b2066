"""The plane graph: ends drawn together, lines split, doubles gone."""

from __future__ import annotations

import numpy as np

from cutprep.stages.fold.net.net_lines import CUT, SCORE
from cutprep.stages.fold.net.pieces import without_splits
from tests.folding import pieces_from as pieces
from tests.nets import Sketch


def test_a_crossing_splits_both_lines() -> None:
    got = pieces(Sketch().cut((0, 0), (10, 0)).cut((4, -5), (4, 5)))
    assert len(got) == 4
    assert np.isclose(sorted(got.lengths), [4, 5, 5, 6]).all()


def test_a_t_junction_splits_the_bar_and_stays_exact() -> None:
    got = pieces(Sketch().cut((0, 0), (10, 0)).score((4, 0.04), (4, 5)))
    assert len(got) == 3
    assert sorted(got.operations.tolist()) == [CUT, CUT, SCORE]


def test_a_gap_beyond_the_distance_stays_open() -> None:
    got = pieces(Sketch().cut((0, 0), (10, 0)).score((4, 0.06), (4, 5)))
    assert len(got) == 2


def test_doubles_become_one_however_drawn() -> None:
    got = pieces(Sketch().cut((0, 0), (10, 0)).cut((10, 0), (0, 0)).cut((0, 0), (3, 0)).cut((3, 0), (10, 0)))
    assert sorted(got.lengths.tolist()) == [3.0, 7.0]


def test_a_score_under_a_cut_is_cut() -> None:
    """That it is drawn both ways is the check's to tell."""
    got = pieces(Sketch().cut((0, 0), (10, 0)).score((2, 0), (6, 0)))
    assert sorted(zip(got.lengths.tolist(), got.operations.tolist(), strict=True)) == [
        (2.0, CUT),
        (4.0, CUT),
        (4.0, CUT),
    ]


def test_contradicting_folds_are_unsaid() -> None:
    got = pieces(Sketch().score((0, 0), (10, 0), fold=1).score((0, 0), (10, 0), fold=-1))
    assert got.fold.tolist() == [0]


def test_vertices_do_not_chain_together() -> None:
    """Ten ends 0.04 apart span 0.36; one cluster may be 0.075 wide at a distance of 0.05."""
    s = Sketch()
    for k in range(10):
        s.cut((0.04 * k, 0), (0.04 * k, 10 + k))
    got = pieces(s)
    assert len(got) >= 4


def test_neighbours_on_one_path_are_never_merged() -> None:
    s = Sketch().cut(*[(0.03 * k, 0.0) for k in range(20)])
    assert len(pieces(s)) == 19


def test_order_and_direction_change_nothing() -> None:
    rng = np.random.default_rng(5)
    rows = [tuple(map(tuple, rng.uniform(0, 50, (2, 2)))) for _ in range(25)]
    a, b = Sketch(), Sketch()
    for row in rows:
        a.cut(*row)
    for k in rng.permutation(25):
        b.cut(*rows[k][::-1])
    one, two = pieces(a), pieces(b)

    def key(p):
        return np.array(sorted(tuple(sorted(map(tuple, p.xy[e].round(6)))) for e in p.ends))

    assert np.allclose(key(one), key(two))


def test_many_crossings_end_in_good_time() -> None:
    s = Sketch()
    for k in range(30):
        s.cut((k, -1), (k, 30)).score((-1, k), (30, k))
    assert len(pieces(s)) == 2 * 30 * 31


def test_vertices_on_a_straight_say_nothing() -> None:
    got = without_splits(pieces(Sketch().cut(*[(3.0 * k, 4.0 * k) for k in range(6)], (40, 20))))
    assert sorted(got.lengths.tolist()) == [25.0, 25.0]
    assert got.xy[got.ends].tolist() == [[[0, 0], [15, 20]], [[15, 20], [40, 20]]]


def test_where_another_line_ends_or_another_sort_begins_a_vertex_stays() -> None:
    assert len(without_splits(pieces(Sketch().cut((0, 0), (5, 0), (10, 0)).score((5, 0), (5, 5))))) == 3
    assert len(without_splits(pieces(Sketch().cut((0, 0), (5, 0)).score((5, 0), (10, 0))))) == 2
    assert len(without_splits(pieces(Sketch().cut((0, 0), (5, 0.01), (10, 0))))) == 2
