"""What `cutprep trial times` does: trial files out, measured times in, a fitted profile out."""

from __future__ import annotations

from pathlib import Path

from cutprep.cli import show
from cutprep.cli.files import make_folder, write_file
from cutprep.errors import JobError
from cutprep.job.folder.timed import fitted, in_its_place, seconds_of, timed_files
from cutprep.profile import shelf
from cutprep.profile.written import machine_toml
from cutprep.units import say_time


def write_trials(name: str, language: str | None, out: Path | None, *, replace: bool = False) -> None:
    """Write the trial files.

    Raises
    ------
    CutprepError
        When the profile or the folder can't be used.
    """
    if out is None:
        raise JobError("no folder is named for the trial files", fix="Add --out FOLDER.")
    machine = shelf.machine(name)
    files = timed_files(machine, language)
    make_folder(out)
    for file in files:
        write_file(out / file.name, file.text.encode("ascii"), replace=replace)
    rows = [(file.name, file.tries, say_time(file.estimate)) for file in files]
    show.show_table(("file", "what it tries", "estimate"), rows)
    show.say(
        f"{in_its_place(machine)}, run each file, time it from start to end, then run: "
        f"cutprep trial times --machine {name} --seconds S,S,S,S,S"
    )
    show.say("Keep your hands off the moving carriage while you time it; the machine's manual comes first.")


def fit_profile(name: str, language: str | None, times: str, profile: Path | None, *, replace: bool) -> None:
    """Fit a profile to measured times and write it, without a file's name among her own profiles.

    Raises
    ------
    CutprepError
        When a time can't be used, the fit fails, or the file can't be written.
    """
    try:
        seconds = [seconds_of(text) for text in times.split(",")]
    except JobError:
        raise JobError(
            f"'{times}' is no list of seconds", fix="Write for example 41.2,40.8,39.9,40.1,40.5."
        ) from None
    machine = shelf.machine(name)
    files = timed_files(machine, language)
    found = fitted(files, seconds, machine)
    rows = [(figure, f"{value:.4g}", f"{error:.2g}") for figure, value, error in found.figures]
    show.show_table(("figure", "fitted", "standard error"), rows)
    compared = [
        (file.tries, f"{measured:.2f} s", f"{predicted:.2f} s")
        for file, measured, predicted in zip(files, seconds, found.predicted.tolist(), strict=True)
    ]
    show.show_table(("trial", "measured", "with these figures"), compared)
    if profile is None:
        profile = shelf.own_folder() / "machines" / f"{machine.name}.toml"
        make_folder(profile.parent)
    write_file(profile, machine_toml(found.machine).encode("utf-8"), replace=replace)
    show.say(f"{profile}: left unexplained {found.residual:.2f} s (root mean square)")
