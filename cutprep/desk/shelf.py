"""Jobs as folders: the job file with its versions, the drawings beside it, and what was made of them.

A job is `job.toml` beside copies of its drawings: the command line runs the same folder. Each change is a new file
under `versions/`; nothing is ever written in place, so that whatever is killed, the folder is the job before or after
the change.
"""

from __future__ import annotations

import io
import json
import re
import secrets
import shutil
import tempfile
import zipfile
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from cutprep.errors import DrawingError, OutputError, Place
from cutprep.files import as_bytes, load_bytes, replace_file

JOB = "job.toml"
PAPER = "paper.json"
#: Form of the paper: one that an earlier cutprep made is made anew.
FORM = 4
VIEW = "view"
MADE = "made"
#: The job with every value written out, and all files that it names, in one.
KEPT = "kept.zip"
#: So many changes can be undone.
MOST_VERSIONS = 50
#: Endings of what can be dropped, of machines and cards that a job file names, and of places that a job was laid out in.
DRAWINGS, PROFILES, PLACES = (".svg", ".svgz", ".dxf"), (".toml",), (".json",)
#: Lists of names, too, may come with a job file.
LISTS = (".csv", ".txt")
BESIDE = (*DRAWINGS, *PLACES, *LISTS)
_NAME = re.compile(r"[a-z0-9][a-z0-9-]{0,60}")
_VIEW_NAME = re.compile(r"[a-z0-9-]{1,60}\.(svg|json|bin)")
#: What the drawings of one job may hold together.
MOST_BYTES = 300_000_000
_LARGEST = 60_000_000
_RESERVED = re.compile(r"(?i)(con|prn|aux|nul|com\d|lpt\d)(\..*)?")


@dataclass(frozen=True, slots=True)
class Folder:
    """One job.

    Attributes
    ----------
    path
        Its folder; the last part is the job's name in addresses.
    """

    path: Path

    @property
    def name(self) -> str:
        """The job's name in addresses."""
        return self.path.name

    @property
    def text(self) -> str:
        """The job file as it is now."""
        return load_bytes(self.path / JOB, _LARGEST).decode("utf-8")

    @property
    def version(self) -> int:
        """Number of the version that the job file is; one that was changed by hand becomes a new one."""
        numbers = self._numbers()
        text = as_bytes(self.text)
        now = self._now()
        for number in (now, *reversed(numbers)):
            if number in numbers and (self._version(number)).read_bytes() == text:
                return number
        return self._add(text)

    def write(self, text: str) -> int:
        """Make a text the job file; what was undone before can't be redone any more.

        Returns
        -------
        int
            The number of the new version.
        """
        now = self.version if (self.path / JOB).is_file() else 0
        for number in self._numbers():
            if number > now:
                self._version(number).unlink(missing_ok=True)
        return self._add(as_bytes(text))

    def step(self, by: int) -> int:
        """Undo (-1) or redo (1) one change; the version then, unchanged where there is none."""
        now = self.version
        wanted = now + by
        if wanted not in self._numbers():
            return now
        self._make_current(self._version(wanted).read_bytes(), wanted)
        return wanted

    @property
    def can(self) -> tuple[bool, bool]:
        """Whether something can be undone, and redone."""
        now, numbers = self.version, self._numbers()
        return now - 1 in numbers, now + 1 in numbers

    def paper(self) -> dict[str, Any]:
        """What the sections show, as it was last made; empty when nothing was."""
        try:
            found = json.loads(load_bytes(self.path / PAPER, _LARGEST))
        except (OSError, ValueError):
            return {}
        return found if isinstance(found, dict) and found.get("form") == FORM else {}

    @property
    def stamp(self) -> str:
        """Another word for each paper that was made."""
        try:
            told = (self.path / PAPER).stat()
        except OSError:
            return ""
        return f"{told.st_mtime_ns}-{told.st_ino}"

    def view(self, name: str) -> Path | None:
        """A picture or a table of the paper; None when there is none of that name."""
        path = self.path / VIEW / name
        return path if _VIEW_NAME.fullmatch(name) and path.is_file() else None

    def made(self, name: str) -> Path | None:
        """A file of the prepared job; None when there is none of that name."""
        folder = self.path / MADE
        known = {path.name: path for path in folder.iterdir() if path.is_file()} if folder.is_dir() else {}
        return known.get(name)

    def add_file(self, name: str, data: bytes, endings: tuple[str, ...] = DRAWINGS) -> str:
        """Put a drawing beside the job file.

        Parameters
        ----------
        name, data
            As it was sent.
        endings
            Of what it may be.

        Returns
        -------
        str
            The name under which it lies there: plain, and another one where that name is taken by another drawing.
        """
        wanted = plain_name(name, endings)
        held = sum(one.stat().st_size for one in self.path.iterdir() if one.is_file())
        if held + len(data) > MOST_BYTES:
            raise OutputError(
                f"one job holds drawings of up to {MOST_BYTES // 1_000_000} MB together",
                fix="Begin another job with the rest.",
            )
        stem, ending = Path(wanted).stem, Path(wanted).suffix
        for count in range(1, 1000):
            found = self.path / (wanted if count == 1 else f"{stem}-{count}{ending}")
            if not found.exists():
                replace_file(found, data)
                return found.name
            if found.is_file() and found.read_bytes() == data:
                return found.name
        raise OutputError(f"there are too many drawings called '{wanted}'", fix="Give it another name.")

    def add_beside(self, path: Path) -> None:
        """Put a copy of a file that lies beside another job file beside this one."""
        replace_file(self.path / path.name, path.read_bytes())

    def _versions(self) -> Path:
        return self.path / "versions"

    def _version(self, number: int) -> Path:
        return self._versions() / f"{number:06d}.toml"

    def _numbers(self) -> list[int]:
        if not self._versions().is_dir():
            return []
        return sorted(int(p.stem) for p in self._versions().glob("[0-9]*.toml") if p.stem.isdecimal())

    def _now(self) -> int:
        try:
            return int((self._versions() / "now").read_text(encoding="ascii"))
        except (OSError, ValueError):
            return 0

    def _add(self, text: bytes) -> int:
        numbers = self._numbers()
        number = (numbers[-1] if numbers else 0) + 1
        self._versions().mkdir(exist_ok=True)
        replace_file(self._version(number), text)
        self._make_current(text, number)
        for old in self._numbers()[:-MOST_VERSIONS]:
            self._version(old).unlink(missing_ok=True)
        return number

    def _make_current(self, text: bytes, number: int) -> None:
        replace_file(self.path / JOB, text)
        replace_file(self._versions() / "now", str(number).encode("ascii"))


class Shelf:
    """All jobs of a desk.

    Parameters
    ----------
    path
        The folder that holds them; it is made when it is not there.

    Raises
    ------
    OutputError
        When it can't be made, or nothing may be written into it.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        try:
            path.mkdir(parents=True, exist_ok=True)
            with tempfile.TemporaryFile(dir=path):
                pass
        except OSError as fault:
            raise OutputError(
                f"nothing can be written into the desk's folder ({fault.strerror or fault})",
                fix="Name another one: cutprep desk FOLDER.",
                place=Place(file=str(path)),
            ) from None

    def jobs(self) -> list[Folder]:
        """All jobs, the one that was changed last first."""
        found = [
            path for path in self.path.iterdir() if (path / JOB).is_file() and _NAME.fullmatch(path.name)
        ]
        return [Folder(path) for path in sorted(found, key=lambda p: (p / JOB).stat().st_mtime, reverse=True)]

    def job(self, name: str) -> Folder | None:
        """A job by its name; None when there is none."""
        path = self.path / name
        return Folder(path) if _NAME.fullmatch(name) and (path / JOB).is_file() else None

    def start(self, title: str) -> Folder:
        """Make an empty folder for a job."""
        slug = re.sub(r"[^a-z0-9]+", "-", title.lower()).strip("-")[:40] or "job"
        folder = Folder(self.path / f"{slug}-{secrets.token_hex(3)}")
        folder.path.mkdir()
        return folder

    def forget(self, folder: Folder) -> None:
        """Remove a job with all that was made of it."""
        away = folder.path.with_name(f".gone-{secrets.token_hex(4)}")
        folder.path.rename(away)
        shutil.rmtree(away, ignore_errors=True)


def plain_name(name: str, endings: tuple[str, ...] = DRAWINGS) -> str:
    """A file name from outside as a plain one: no path, no sign that a system takes for something else.

    Raises
    ------
    DrawingError
        When it does not end as a drawing, or whatever else it shall be.
    """
    last = re.split(r"[/\\]", name)[-1]
    plain = "".join(c if c.isalnum() or c in " ._-()+" else "_" for c in last).strip(" .")
    stem, ending = Path(plain).stem, Path(plain).suffix
    if ending.lower() not in endings:
        raise DrawingError(
            f"'{last[:80]}' is no drawing",
            fix="Drop SVG or DXF drawings, or a job file (.toml) with its drawings.",
        )
    stem = stem.strip(" .")[:60] or "drawing"
    return f"_{stem}{ending}" if _RESERVED.fullmatch(stem) else f"{stem}{ending}"


def clear_unused(folder: Path, used: Iterable[str]) -> None:
    """Remove pictures that no paper shows any more."""
    kept = set(used)
    for path in (folder / VIEW).glob("*"):
        if path.name not in kept:
            path.unlink(missing_ok=True)


def packed(files: Mapping[str, bytes], folder: str = "") -> bytes:
    """Files in one, to be handed over; the same files give the same bytes.

    Parameters
    ----------
    files
        Name to content.
    folder
        In which they come out; none when empty.
    """
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as whole:
        for name in sorted(files):
            whole.writestr(zipfile.ZipInfo(f"{folder}/{name}" if folder else name), files[name])
    return stream.getvalue()
