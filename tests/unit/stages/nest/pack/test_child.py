"""When the packer has worked enough, by its reports."""

from __future__ import annotations

from types import SimpleNamespace

from spyrrow import ReportType

from cutprep.stages.nest.pack.child import PackerLog

_JOB = {"width": 300.0, "reports": 100, "tries": 3, "far": 1.05}


def _told(log: PackerLog, *reports: tuple[object, float]) -> list[str]:
    return [log.take(kind, SimpleNamespace(width=width, placed_items=())) for kind, width in reports]


def test_attempts_given_up_far_from_the_sheet_end_it() -> None:
    """Three of them, counted from the last time that the strip got shorter."""
    log = PackerLog(dict(_JOB))
    given_up, fits = ReportType.ExplInfeas, ReportType.ExplFeas
    rows = [(given_up, 320.0), (fits, 320.0), *[(given_up, 319.0)] * 3]
    assert _told(log, *rows) == ["", "", "", "", "work used up"]
    assert _told(PackerLog(dict(_JOB)), (fits, 320.0), (fits, 299.0)) == ["", "fits"]


def test_attempts_that_the_packer_does_not_report_count_as_given_up() -> None:
    """While it compresses it only goes on with another strip: as much work as an attempt that it tells of."""
    log, told = PackerLog(dict(_JOB)), PackerLog(dict(_JOB))
    tries = ReportType.ExplImproving
    assert not any(_told(log, (tries, 320.0), (tries, 320.0), (tries, 320.2)))
    assert not any(
        _told(told, (tries, 320.0), (tries, 320.0), (ReportType.ExplInfeas, 320.0), (tries, 320.2))
    )
    assert (log.given_up, log.work) == (told.given_up, told.work) == (1, 3 * 70 + 500)
    assert _told(log, (tries, 320.3), (tries, 320.4)) == ["", "work used up"]


def test_all_work_may_be_limited() -> None:
    """By weight, whatever the reports are."""
    log = PackerLog(_JOB | {"most": 600})
    assert _told(log, (ReportType.ExplImproving, 320.0), (ReportType.ExplInfeas, 320.0)) == ["", ""]
    assert _told(log, (ReportType.CmprFeas, 310.0)) == ["work used up"]
