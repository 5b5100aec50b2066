"""Random jobs that nobody touched: `verify` has nothing to say. Two hundred: `python -m tests.bench.sound`."""

from __future__ import annotations

from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from tests.bench.sound import told_of


@settings(max_examples=1, deadline=None)
@example(13)  # six mirrored copies, cut in two passes
@given(st.integers(1, 2**32 - 1))
def test_a_job_that_nobody_touched_is_sound(seed: int) -> None:
    came, told = told_of(seed)
    assume(came != "not made")
    assert (came, told) == ("sound", [])
