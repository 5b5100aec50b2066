"""What was sent, and what was answered, in a file of its own outside the job's folder."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from pathlib import Path

from cutprep.profile.shelf import data_folder

#: So many logs are kept; older ones go.
_MOST = 40


class SendLog:
    """A log that is being written; each line is on the disk as soon as it is said.

    Parameters
    ----------
    path
        Of the file; None writes nothing.
    """

    def __init__(self, path: Path | None) -> None:
        self.path = path
        self._stream = None
        if path is not None:
            path.parent.mkdir(parents=True, exist_ok=True)
            self._stream = path.open("a", encoding="utf-8", buffering=1)

    def say(self, seconds: float, what: str) -> None:
        """Write a line: seconds on the line's clock, and what happened."""
        if self._stream is not None:
            self._stream.write(f"{seconds:12.3f} {what}\n")

    def close(self) -> None:
        """Let go of the file."""
        if self._stream is not None:
            self._stream.close()
            self._stream = None


def new_log(title: str) -> SendLog:
    """Begin a log of its own in the folder `sent` of what is kept for her; where that can't be, none is written."""
    folder = data_folder() / "sent"
    name = re.sub(r"[^A-Za-z0-9]+", "-", title).strip("-")[:40] or "file"
    moment = datetime.now(tz=UTC).astimezone()
    try:
        log = SendLog(folder / f"{moment:%Y-%m-%d-%H%M%S}-{name}.log")
        for old in sorted(folder.glob("*.log"))[:-_MOST]:
            old.unlink(missing_ok=True)
    except OSError:
        return SendLog(None)
    log.say(0.0, f"{title}, {moment:%Y-%m-%d %H:%M:%S}")
    return log
