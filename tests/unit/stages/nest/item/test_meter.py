"""Work is counted, and a Ctrl-C that Python could not raise stops the search at the next count."""

from __future__ import annotations

import signal
import sys

import pytest

from cutprep.stages.nest.item.meter import Meter


class Interrupted:
    """Ctrl-C is pressed while it is finalised, where Python prints the exception and goes on."""

    def __del__(self) -> None:
        signal.raise_signal(signal.SIGINT)


def test_work_is_counted() -> None:
    meter = Meter()
    meter.spend(1.0)
    meter.spend(0.5)
    assert meter.spent == 1.5


def test_a_ctrl_c_that_got_lost_stops_at_the_next_count(monkeypatch: pytest.MonkeyPatch) -> None:
    lost: list[object] = []
    monkeypatch.setattr(sys, "unraisablehook", lambda what: lost.append(what.exc_type))
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    meter = Meter()
    try:
        with pytest.raises(KeyboardInterrupt), meter.heeding_ctrl_c():  # noqa: PT012 - where it is raised is the question
            Interrupted()
            assert lost == [KeyboardInterrupt]
            meter.spend(1.0)
            pytest.fail("the search went on")
        assert signal.getsignal(signal.SIGINT) is signal.default_int_handler
        meter.spend(1.0)
    finally:
        signal.signal(signal.SIGINT, before)


def test_one_that_gets_lost_again_and_again_is_raised_at_the_end(monkeypatch: pytest.MonkeyPatch) -> None:
    lost: list[object] = []
    monkeypatch.setattr(sys, "unraisablehook", lambda what: lost.append(what.exc_type))
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    meter = Meter()

    class Counts:
        def __del__(self) -> None:
            meter.spend(1.0)

    try:
        with pytest.raises(KeyboardInterrupt), meter.heeding_ctrl_c():  # noqa: PT012 - where it is raised is the question
            Interrupted()
            Counts()
            assert lost == [KeyboardInterrupt] * 2
        meter.spend(1.0)
    finally:
        signal.signal(signal.SIGINT, before)


def test_one_that_is_heeded_is_not_raised_twice() -> None:
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    meter = Meter()
    try:
        with pytest.raises(KeyboardInterrupt), meter.heeding_ctrl_c():
            signal.raise_signal(signal.SIGINT)
        meter.spend(1.0)
    finally:
        signal.signal(signal.SIGINT, before)


def test_a_handler_of_somebody_else_stays() -> None:
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        with Meter().heeding_ctrl_c():
            assert signal.getsignal(signal.SIGINT) is signal.SIG_IGN
    finally:
        signal.signal(signal.SIGINT, before)
